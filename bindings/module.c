#include "module.h"

#include <stdio.h>

#include "budget.h"
#include "calculator_lua.h"
#include "catalogue_lua.h"
#include "column_lua.h"
#include "engine_lua.h"
#include "job_lua.h"
#include "log_lua.h"
#include "number.h"
#include "quantity_lua.h"
#include "sort.h"
#include "stats_lua.h"

/* imp.require_api(n): an error when this version is too old for the script */
static int module_require_api(lua_State *L)
{
    int exact = 0;
    const lua_Integer wanted = lua_type(L, 1) == LUA_TNUMBER ? lua_tointegerx(L, 1, &exact) : 0;
    if (!exact || wanted < 1)
        return imp_raise_text(L, "require_api: expected a whole number such as %d", IMP_API_LEVEL);
    if (wanted > IMP_API_LEVEL)
        return imp_raise_text(L, "this script needs API level %lld; impinge %s has API level %d", (long long)wanted,
                              IMP_VERSION, IMP_API_LEVEL);
    return 0;
}

/* Upvalue 2 the table, 3 its sorted keys, 4 the place of the last. */
static int sorted_next(lua_State *L)
{
    const lua_Integer at = lua_tointeger(L, lua_upvalueindex(4)) + 1;
    lua_pushinteger(L, at);
    lua_replace(L, lua_upvalueindex(4));
    if (lua_rawgeti(L, lua_upvalueindex(3), at) == LUA_TNIL)
        return 1;
    lua_pushvalue(L, -1);
    lua_rawget(L, lua_upvalueindex(2));
    return 2;
}

/* context: the script that pays for the comparison, or NULL */
static bool key_less(lua_State *L, int a, int b, void *context)
{
    if (context != NULL)
        imp_spend(L, 2);
    return imp_key_less(L, a, b, NULL);
}

static int module_next(lua_State *L)
{
    lua_settop(L, 2);
    if (lua_next(L, 1) != 0)
        return 2;
    lua_pushnil(L);
    return 1;
}

/* pairs(imp): with the groups that nobody has asked for yet */
static int module_pairs(lua_State *L)
{
    luaL_checktype(L, 1, LUA_TTABLE);
    imp_catalogue_make_groups(L, 1);
    lua_pushcfunction(L, module_next);
    lua_pushvalue(L, 1);
    lua_pushnil(L);
    return 3;
}

/* Whether the table at index is what luaopen_impinge gives. */
static bool is_module(lua_State *L, int index)
{
    if (luaL_getmetafield(L, index, "__pairs") == LUA_TNIL)
        return false;
    const bool is_ours = lua_tocfunction(L, -1) == module_pairs;
    lua_pop(L, 1);
    return is_ours;
}

/* imp.sorted_pairs(t): like pairs, numbers first, then texts in the order of their bytes */
static int module_sorted_pairs(lua_State *L)
{
    char got[200];
    if (lua_type(L, 1) != LUA_TTABLE)
        return imp_raise_text(L, "sorted_pairs: expected a table, got %s",
                              imp_value_described(L, imp_lua_here(L), 1, got, sizeof got));
    lua_settop(L, 1);
    if (is_module(L, 1))
        imp_catalogue_make_groups(L, 1);
    lua_newtable(L);
    lua_Integer count = 0;
    for (lua_pushnil(L); lua_next(L, 1) != 0; lua_pop(L, 1)) {
        const int type = lua_type(L, -2);
        if (type != LUA_TNUMBER && type != LUA_TSTRING && type != LUA_TBOOLEAN)
            return imp_raise_text(L, "sorted_pairs: keys must be numbers or texts, got a %s", lua_typename(L, type));
        lua_pushvalue(L, -2);
        lua_rawseti(L, 2, ++count);
    }
    luaL_checkstack(L, 8, "sorted_pairs");
    imp_sort(L, 2, count, key_less, imp_lua_here(L)->script);
    lua_pushvalue(L, lua_upvalueindex(1));
    lua_pushvalue(L, 1);
    lua_pushvalue(L, 2);
    lua_pushinteger(L, 0);
    lua_pushcclosure(L, sorted_next, 4);
    return 1;
}

/* Reading a name that the module hasn't got, or not yet: upvalue 2 is the module's table. */
static int find_name(lua_State *L)
{
    const char *name = lua_type(L, 2) == LUA_TSTRING ? lua_tostring(L, 2) : "?";
    const char *nearest = NULL;
    int least = 3;
    lua_settop(L, 2);
    if (imp_catalogue_push_group(L, lua_upvalueindex(2), name))
        return 1;
    imp_catalogue_make_groups(L, lua_upvalueindex(2));
    for (lua_pushnil(L); lua_next(L, lua_upvalueindex(2)) != 0; lua_pop(L, 1)) {
        const int distance = imp_name_distance(lua_tostring(L, 3), name, least);
        if (distance < least) {
            least = distance;
            nearest = lua_tostring(L, 3);
        }
    }
    return imp_raise_text(L, nearest != NULL ? "imp has no \"%.80s\"; did you mean \"%s\"?" : "imp has no \"%.80s\"%s",
                          name, nearest != NULL ? nearest : "");
}

static const luaL_Reg functions[] = {
    {"require_api", module_require_api}, {"sorted_pairs", module_sorted_pairs}, {NULL, NULL}};

int luaopen_impinge(lua_State *L)
{
    luaL_checkversion(L);
    lua_newtable(L);
    imp_set_functions(L, functions);
    imp_quantity_open(L);
    imp_job_open(L);
    imp_catalogue_open(L);
    imp_calculator_open(L);
    imp_engine_open(L);
    imp_column_open(L);
    imp_log_open_library(L);
    imp_stats_open(L);
    lua_pushliteral(L, IMP_VERSION);
    lua_setfield(L, -2, "version");
    lua_pushinteger(L, IMP_API_LEVEL);
    lua_setfield(L, -2, "api_level");
    lua_createtable(L, 0, 3);
    lua_pushlightuserdata(L, imp_lua_open(L));
    lua_pushvalue(L, -3);
    lua_pushcclosure(L, find_name, 2);
    lua_setfield(L, -2, "__index");
    lua_pushcfunction(L, module_pairs);
    lua_setfield(L, -2, "__pairs");
    lua_pushboolean(L, 0);
    lua_setfield(L, -2, "__metatable");
    lua_setmetatable(L, -2);
    return 1;
}
