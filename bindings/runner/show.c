#include "show.h"

#include <lauxlib.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "number.h"
#include "output.h"
#include "quantity_lua.h"
#include "value_output.h"

enum { MOST_DEPTH = 16, PATH_SIZE = 512 };

typedef struct table_key {
    bool is_text;
    lua_Integer number;
    const char *text; /* lives as long as the table holds the key */
} table_key;

static int compare_keys(const void *a, const void *b)
{
    const table_key *left = a, *right = b;
    if (left->is_text != right->is_text)
        return left->is_text - right->is_text; /* positions before names */
    if (left->is_text)
        return strcmp(left->text, right->text);
    return (left->number > right->number) - (left->number < right->number);
}

/* Push the keys of the table at `index` that are names or whole numbers, sorted, as a userdata; returns their number.
 */
static size_t push_keys(lua_State *L, int index, const table_key **keys)
{
    size_t count = 0;
    for (lua_pushnil(L); lua_next(L, index) != 0; lua_pop(L, 1))
        count++;
    table_key *found = lua_newuserdatauv(L, (count + 1) * sizeof *found, 0);
    size_t used = 0;
    for (lua_pushnil(L); lua_next(L, index) != 0; lua_pop(L, 1)) {
        table_key key = {.is_text = lua_type(L, -2) == LUA_TSTRING};
        if (key.is_text)
            key.text = lua_tostring(L, -2);
        else if (lua_isinteger(L, -2))
            key.number = lua_tointeger(L, -2);
        else
            continue;
        if (used < count)
            found[used++] = key;
    }
    qsort(found, used, sizeof *found, compare_keys);
    *keys = found;
    return used;
}

static void show_number(output *out, const imp_unit *unit, double si)
{
    char text[IMP_NUMBER_TEXT_SIZE];
    output_text(out, imp_quantity_exact(unit, si, text, sizeof text));
    if (unit->text[0] != '\0' && strcmp(unit->text, "1") != 0)
        output_format(out, " %s", unit->text);
}

static void show_scalar(lua_State *L, output *out, int index)
{
    char text[IMP_NUMBER_TEXT_SIZE];
    size_t length = 0;
    const imp_unit *unit = NULL;
    const imp_quantity *quantity = imp_quantity_test(L, imp_lua_open(L), index, &unit);
    if (quantity != NULL)
        unit = imp_quantity_unit(L, quantity, unit);
    if (quantity != NULL && unit != NULL) {
        show_number(out, unit, quantity->si);
        return;
    }
    if (lua_type(L, index) == LUA_TNUMBER && !lua_isinteger(L, index)) {
        output_text(out, imp_number_write(lua_tonumber(L, index), 0, text, sizeof text));
        return;
    }
    if (lua_type(L, index) == LUA_TFUNCTION)
        lua_pushliteral(L, "a function");
    else
        luaL_tolstring(L, index, NULL);
    const char *shown = lua_tolstring(L, -1, &length);
    output_bytes(out, shown, length);
}

static bool is_list_of_scalars(lua_State *L, int index, const table_key *keys, size_t count)
{
    bool plain = count > 0;
    for (size_t i = 0; plain && i < count; i++) {
        plain = !keys[i].is_text && keys[i].number == (lua_Integer)i + 1;
        lua_rawgeti(L, index, (lua_Integer)i + 1);
        plain = plain && lua_type(L, -1) != LUA_TTABLE;
        lua_pop(L, 1);
    }
    return plain;
}

/* Lines of the table at `index`; `path` (of PATH_SIZE bytes) is what leads to it, and is put back. */
static void show_table(lua_State *L, output *out, int index, char *path, int depth)
{
    const table_key *keys;
    luaL_checkstack(L, 16, "too deep a table to show");
    const int top = lua_gettop(L);
    const size_t count = push_keys(L, index, &keys), length = strlen(path);
    const bool plain = depth == 0 && is_list_of_scalars(L, index, keys, count);
    if (count == 0 && depth > 0)
        output_format(out, "%s = {}\n", path);
    for (size_t i = 0; i < count; i++) {
        if (keys[i].is_text) {
            lua_pushstring(L, keys[i].text);
            snprintf(path + length, PATH_SIZE - length, length > 0 ? ".%s" : "%s", keys[i].text);
            lua_rawget(L, index);
        } else {
            snprintf(path + length, PATH_SIZE - length, "[%lld]", (long long)keys[i].number);
            lua_rawgeti(L, index, keys[i].number);
        }
        const int value = lua_gettop(L);
        if (lua_type(L, value) == LUA_TTABLE && depth < MOST_DEPTH) {
            show_table(L, out, value, path, depth + 1);
        } else {
            if (!plain)
                output_format(out, "%s = ", path);
            if (lua_type(L, value) == LUA_TTABLE)
                output_text(out, "...");
            else
                show_scalar(L, out, value);
            output_text(out, "\n");
        }
        path[length] = '\0';
        lua_settop(L, value - 1);
    }
    lua_settop(L, top);
}

int show_values(lua_State *L)
{
    output *out = lua_touserdata(L, 1);
    const int count = lua_gettop(L);
    for (int i = 2; i <= count; i++) {
        char path[PATH_SIZE] = "";
        if (lua_isnil(L, i))
            continue;
        if (lua_type(L, i) == LUA_TTABLE) {
            show_table(L, out, i, path, 0);
        } else {
            show_scalar(L, out, i);
            output_text(out, "\n");
        }
        lua_settop(L, count);
    }
    return 0;
}
