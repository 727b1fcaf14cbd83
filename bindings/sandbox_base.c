/* What a sandboxed script sees of Lua's base library and of math, and what it is told about the rest. */
#include <lauxlib.h>
#include <lua.h>
#include <lualib.h>
#include <string.h>

#include "budget.h"
#include "sandbox_libraries.h"
#include "state.h"

/* ---- taking functions over from the stock libraries ---- */

int imp_charged_call(lua_State *L)
{
    unsigned long long bytes = 0;
    for (int i = lua_gettop(L); i > 0; i--)
        if (lua_type(L, i) == LUA_TSTRING)
            bytes += lua_rawlen(L, i);
    imp_spend(L, 1 + bytes / 64);
    return lua_tocfunction(L, lua_upvalueindex(1))(L); /* in this frame: messages name the function as the script did */
}

void imp_copy_charged(lua_State *L, int library, const char *const names[])
{
    for (int i = 0; names[i] != NULL; i++) {
        lua_getfield(L, library, names[i]);
        lua_pushcclosure(L, imp_charged_call, 1);
        lua_setfield(L, -2, names[i]);
    }
}

void imp_copy_plain(lua_State *L, int library, const char *const names[])
{
    for (int i = 0; names[i] != NULL; i++) {
        lua_getfield(L, library, names[i]);
        lua_setfield(L, -2, names[i]);
    }
}

/* ---- errors ---- */

/* Push true and the results, or false and the error; a used-up budget goes on upwards. */
static int finish_protected(lua_State *L, int status)
{
    if (status != LUA_OK)
        imp_budget_rethrow(L, status);
    else
        imp_spend(L, 1); /* raises when something swallowed a used-up budget */
    lua_pushboolean(L, status == LUA_OK);
    lua_insert(L, 1);
    return lua_gettop(L);
}

static int base_pcall(lua_State *L)
{
    luaL_checkany(L, 1);
    return finish_protected(L, lua_pcall(L, lua_gettop(L) - 1, LUA_MULTRET, 0));
}

/* The handler runs after the stack is unwound, under the same budget, never inside an error that is being raised. */
static int base_xpcall(lua_State *L)
{
    luaL_checkany(L, 1);
    luaL_checktype(L, 2, LUA_TFUNCTION);
    lua_pushvalue(L, 2);
    lua_insert(L, 1);
    lua_remove(L, 3);
    const int status = lua_pcall(L, lua_gettop(L) - 2, LUA_MULTRET, 0);
    if (status != LUA_OK) {
        imp_budget_rethrow(L, status);
        lua_pushvalue(L, 1);
        lua_insert(L, -2);
        imp_budget_rethrow(L, lua_pcall(L, 1, 1, 0));
    }
    lua_remove(L, 1);
    return finish_protected(L, status);
}

/* ---- metatables ---- */

static int base_setmetatable(lua_State *L)
{
    const int type = lua_type(L, 2);
    luaL_checktype(L, 1, LUA_TTABLE);
    luaL_argexpected(L, type == LUA_TNIL || type == LUA_TTABLE, 2, "nil or table");
    if (luaL_getmetafield(L, 1, "__metatable") != LUA_TNIL)
        return imp_raise_text(L, "setmetatable: this table's metatable is protected");
    if (type == LUA_TTABLE) {
        lua_pushliteral(L, "__gc");
        if (lua_rawget(L, 2) != LUA_TNIL)
            return imp_raise_text(L, "setmetatable: __gc is not offered to scripts; use a local with <close>");
        lua_pop(L, 1);
    }
    lua_settop(L, 2);
    lua_setmetatable(L, 1);
    return 1;
}

/* ---- globals ---- */

/* Names of stock Lua that a script may look for; only the message differs from any other name's. */
static bool is_stock_name(const char *name)
{
    static const char *const names[] = {"collectgarbage", "coroutine",  "debug", "dofile",  "io",
                                        "loadfile",       "loadstring", "os",    "package", "rawset",
                                        "setfenv",        "unpack",     "warn",  NULL};
    for (int i = 0; names[i] != NULL; i++)
        if (strcmp(names[i], name) == 0)
            return true;
    return false;
}

static const char *shown_name(lua_State *L)
{
    return lua_type(L, 2) == LUA_TSTRING ? lua_tostring(L, 2) : "?";
}

static int refuse_reading(lua_State *L)
{
    const char *name = shown_name(L);
    if (is_stock_name(name))
        return imp_raise_text(L, "\"%.80s\" is not offered to scripts", name);
    return imp_raise_text(L, "undeclared global \"%.80s\"; is it misspelt, or a local of another function?", name);
}

static int refuse_assigning(lua_State *L)
{
    const char *name = shown_name(L);
    const bool is_function = lua_type(L, 3) == LUA_TFUNCTION;
    return imp_raise_text(L, "undeclared global \"%.80s\" assigned; use \"local %s%.80s\"", name,
                          is_function ? "function " : "", name);
}

void imp_close_globals(lua_State *L)
{
    static const luaL_Reg guards[] = {{"__index", refuse_reading}, {"__newindex", refuse_assigning}, {NULL, NULL}};
    lua_pushglobaltable(L);
    lua_newtable(L);
    imp_set_functions(L, guards);
    lua_pushboolean(L, 0);
    lua_setfield(L, -2, "__metatable");
    lua_setmetatable(L, -2);
    lua_pop(L, 1);
}

/* ---- opening ---- */

void imp_open_base(lua_State *L)
{
    static const char *const plain[] = {"assert", "error",  "getmetatable", "ipairs",   "next", "pairs",    "rawequal",
                                        "rawget", "rawlen", "select",       "tostring", "type", "_VERSION", NULL};
    static const char *const charged[] = {"tonumber", NULL};
    static const luaL_Reg own[] = {
        {"pcall", base_pcall}, {"xpcall", base_xpcall}, {"setmetatable", base_setmetatable}, {NULL, NULL}};
    /* the stock library opens into a table of its own, and what is allowed goes over */
    lua_newtable(L);
    lua_rawgeti(L, LUA_REGISTRYINDEX, LUA_RIDX_GLOBALS);
    lua_pushvalue(L, -2);
    lua_rawseti(L, LUA_REGISTRYINDEX, LUA_RIDX_GLOBALS);
    luaopen_base(L);
    lua_pop(L, 1);
    lua_pushvalue(L, -1);
    lua_rawseti(L, LUA_REGISTRYINDEX, LUA_RIDX_GLOBALS);
    const int globals = lua_gettop(L), stock = globals - 1;
    imp_copy_plain(L, stock, plain);
    imp_copy_charged(L, stock, charged);
    imp_set_functions(L, own);
    lua_pushvalue(L, globals);
    lua_setfield(L, globals, "_G");
    lua_pop(L, 2);
}

/* The same numbers in every run: a seed is given, never taken from the clock. */
static int math_randomseed(lua_State *L)
{
    luaL_checknumber(L, 1);
    lua_settop(L, 1);
    lua_pushvalue(L, lua_upvalueindex(1));
    lua_insert(L, 1);
    lua_call(L, 1, 0);
    return 0;
}

void imp_open_math(lua_State *L)
{
    static const char *const plain[] = {"abs",  "acos",       "asin",      "atan", "ceil", "cos",    "deg",
                                        "exp",  "floor",      "fmod",      "huge", "log",  "max",    "maxinteger",
                                        "min",  "mininteger", "modf",      "pi",   "rad",  "random", "sin",
                                        "sqrt", "tan",        "tointeger", "type", "ult",  NULL};
    lua_pushcfunction(L, luaopen_math);
    lua_call(L, 0, 1);
    const int stock = lua_gettop(L);
    lua_newtable(L);
    imp_copy_plain(L, stock, plain);
    lua_getfield(L, stock, "randomseed");
    lua_pushvalue(L, -1);
    lua_pushinteger(L, 1);
    lua_call(L, 1, 0);
    lua_pushcclosure(L, math_randomseed, 1);
    lua_setfield(L, -2, "randomseed");
    lua_setglobal(L, "math");
    lua_pop(L, 1);
}
