/* table for sandboxed scripts: on plain tables only, every range charged before it is walked. */
#include <lauxlib.h>
#include <lua.h>
#include <lualib.h>

#include "budget.h"
#include "sandbox_libraries.h"
#include "sort.h"
#include "state.h"

enum { LONGEST_RANGE = 100000000 };

/* A table whose length and fields are its own: a metatable could make stock loops endless. */
static void check_plain(lua_State *L, int index, const char *function)
{
    static const char *const refused[] = {"__len", "__index", "__newindex"};
    luaL_checktype(L, index, LUA_TTABLE);
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        if (luaL_getmetafield(L, index, refused[i]) == LUA_TNIL)
            continue;
        imp_raise_text(L, "table.%s: expected a plain table, got one whose metatable has %s", function, refused[i]);
    }
}

/* Charge for the places first .. last. */
static void charge_range(lua_State *L, const char *function, lua_Integer first, lua_Integer last)
{
    if (first > last)
        return;
    const lua_Unsigned count = (lua_Unsigned)last - (lua_Unsigned)first + 1;
    if (count == 0 || count > LONGEST_RANGE)
        imp_raise_text(L, "table.%s: the range from %lld to %lld is too long", function, (long long)first,
                       (long long)last);
    imp_spend(L, count);
}

/* The stock function, upvalue 2, in this frame. */
static int run_stock(lua_State *L)
{
    return lua_tocfunction(L, lua_upvalueindex(2))(L);
}

static lua_Integer length_of(lua_State *L, int index)
{
    return (lua_Integer)lua_rawlen(L, index);
}

static int table_concat(lua_State *L)
{
    check_plain(L, 1, "concat");
    charge_range(L, "concat", luaL_optinteger(L, 3, 1), luaL_optinteger(L, 4, length_of(L, 1)));
    return run_stock(L);
}

static int table_insert(lua_State *L)
{
    check_plain(L, 1, "insert");
    if (lua_gettop(L) == 3)
        charge_range(L, "insert", luaL_checkinteger(L, 2), length_of(L, 1));
    return run_stock(L);
}

static int table_remove(lua_State *L)
{
    check_plain(L, 1, "remove");
    charge_range(L, "remove", luaL_optinteger(L, 2, length_of(L, 1)), length_of(L, 1));
    return run_stock(L);
}

static int table_move(lua_State *L)
{
    check_plain(L, 1, "move");
    if (!lua_isnoneornil(L, 5))
        check_plain(L, 5, "move");
    charge_range(L, "move", luaL_checkinteger(L, 2), luaL_checkinteger(L, 3));
    return run_stock(L);
}

static int table_unpack(lua_State *L)
{
    check_plain(L, 1, "unpack");
    charge_range(L, "unpack", luaL_optinteger(L, 2, 1), luaL_optinteger(L, 3, length_of(L, 1)));
    return run_stock(L);
}

/* Long texts that share a beginning take long to compare. */
static void charge_comparison(lua_State *L, int a, int b)
{
    unsigned long long bytes = 0;
    if (lua_type(L, a) == LUA_TSTRING && lua_type(L, b) == LUA_TSTRING) {
        const lua_Unsigned a_length = lua_rawlen(L, a), b_length = lua_rawlen(L, b);
        bytes = a_length < b_length ? a_length : b_length;
    }
    imp_spend(L, 2 + bytes / 64);
}

static bool has_order(lua_State *L, int index)
{
    if (luaL_getmetafield(L, index, "__lt") == LUA_TNIL)
        return false;
    lua_pop(L, 1);
    return true;
}

static bool less_by_value(lua_State *L, int a, int b, void *context)
{
    (void)context;
    const int a_type = lua_type(L, a), b_type = lua_type(L, b);
    const bool is_ordered = a_type == b_type && (a_type == LUA_TNUMBER || a_type == LUA_TSTRING);
    if (!is_ordered && !has_order(L, a) && !has_order(L, b)) /* Lua's own message has no line here */
        imp_raise_text(L, "table.sort: cannot compare a %s with a %s", lua_typename(L, a_type),
                       lua_typename(L, b_type));
    charge_comparison(L, a, b);
    return lua_compare(L, a, b, LUA_OPLT) != 0;
}

/* By the function at stack index 2. */
static bool less_by_function(lua_State *L, int a, int b, void *context)
{
    (void)context;
    imp_spend(L, 2);
    lua_pushvalue(L, 2);
    lua_pushvalue(L, a);
    lua_pushvalue(L, b);
    lua_call(L, 2, 1);
    const bool less = lua_toboolean(L, -1) != 0;
    lua_pop(L, 1);
    return less;
}

static int table_sort(lua_State *L)
{
    check_plain(L, 1, "sort");
    const bool has_function = !lua_isnoneornil(L, 2);
    if (has_function)
        luaL_checktype(L, 2, LUA_TFUNCTION);
    lua_settop(L, 2);
    luaL_checkstack(L, 16, "table.sort");
    imp_sort(L, 1, length_of(L, 1), has_function ? less_by_function : less_by_value, NULL);
    return 0;
}

void imp_open_table(lua_State *L)
{
    static const luaL_Reg guarded[] = {{"concat", table_concat}, {"insert", table_insert}, {"remove", table_remove},
                                       {"move", table_move},     {"unpack", table_unpack}, {NULL, NULL}};
    static const luaL_Reg own[] = {{"sort", table_sort}, {NULL, NULL}};
    static const char *const plain[] = {"pack", NULL};
    lua_pushcfunction(L, luaopen_table);
    lua_call(L, 0, 1);
    const int stock = lua_gettop(L);
    lua_newtable(L);
    imp_copy_plain(L, stock, plain);
    imp_set_functions(L, own);
    for (const luaL_Reg *each = guarded; each->name != NULL; each++) {
        lua_pushlightuserdata(L, imp_lua_open(L));
        lua_getfield(L, stock, each->name);
        lua_pushcclosure(L, each->func, 2);
        lua_setfield(L, -2, each->name);
    }
    lua_setglobal(L, "table");
    lua_pop(L, 1);
}
