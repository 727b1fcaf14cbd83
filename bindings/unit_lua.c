#include "unit_lua.h"

#include <string.h>

static const char units_key = 0; /* only its address is used */

enum { MOST_UNITS = 10000 };

const imp_unit *imp_unit_cached(lua_State *L, const char *text, size_t length, imp_error *error)
{
    lua_rawgetp(L, LUA_REGISTRYINDEX, &units_key);
    lua_pushlstring(L, text, length);
    lua_rawget(L, -2);
    const imp_unit *known = lua_touserdata(L, -1);
    if (known != NULL) {
        lua_pop(L, 2);
        return known;
    }
    imp_unit parsed;
    if (imp_unit_parse(text, length, &parsed, error) != IMP_OK) {
        lua_pop(L, 2);
        return NULL;
    }
    lua_rawgeti(L, -2, 1); /* how many there are */
    const lua_Integer count = lua_tointeger(L, -1) + 1;
    lua_pop(L, 2);
    if (count > MOST_UNITS) {
        lua_pop(L, 1);
        imp_fail(error, IMP_LIMIT, NULL, "more than %d different unit texts", MOST_UNITS);
        return NULL;
    }
    lua_pushlstring(L, text, length);
    imp_unit *unit = lua_newuserdatauv(L, sizeof *unit, 0);
    *unit = parsed;
    lua_rawset(L, -3);
    lua_pushinteger(L, count);
    lua_rawseti(L, -2, 1);
    lua_pop(L, 1);
    return unit;
}

const imp_unit *imp_unit_of_row(lua_State *L, const char *text)
{
    lua_rawgetp(L, LUA_REGISTRYINDEX, &units_key);
    lua_rawgetp(L, -1, text);
    const imp_unit *unit = lua_touserdata(L, -1);
    lua_pop(L, 1);
    if (unit == NULL && (unit = imp_unit_cached(L, text, strlen(text), NULL)) != NULL) {
        lua_pushlightuserdata(L, (void *)unit); /* the cache keeps it, and nobody writes through it */
        lua_rawsetp(L, -2, text);
    }
    lua_pop(L, 1);
    return unit;
}

static const imp_unit *cached(lua_State *L, const char *text, imp_error *error)
{
    return imp_unit_cached(L, text, strlen(text), error);
}

const imp_unit *imp_quantity_unit(lua_State *L, const imp_quantity *quantity, const imp_unit *unit)
{
    char text[128];
    if (unit != NULL)
        return unit;
    if (quantity->is_reading)
        return cached(L, "degC", NULL);
    return cached(L, imp_dimension_unit_text(quantity->dimension, text, sizeof text), NULL);
}

void imp_units_open(lua_State *L)
{
    imp_lua *lua = imp_lua_open(L);
    lua_newtable(L);
    lua_rawsetp(L, LUA_REGISTRYINDEX, &units_key);
    lua->pure = cached(L, "1", NULL);
    lua->kelvin = cached(L, "K", NULL);
    lua->fahrenheit_difference = cached(L, "degF_diff", NULL);
}
