#include "completion.h"

#include <lauxlib.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "catalogue_lua.h"
#include "sandbox_libraries.h"

enum { LONGEST_NAME = 120 };

static bool add(completion *names, const char *name)
{
    if (names->count + 1 >= names->capacity) {
        const size_t capacity = names->capacity > 0 ? 2 * names->capacity : 256;
        const char **list = imp_arena_allocate(&names->arena, capacity, sizeof *list); /* ended by NULL: zeroed */
        if (list == NULL)
            return false;
        if (names->count > 0)
            memcpy(list, names->names, names->count * sizeof *list);
        names->names = list;
        names->capacity = capacity;
    }
    const char *copy = imp_arena_copy_text(&names->arena, name, strlen(name));
    if (copy == NULL)
        return false;
    names->names[names->count++] = copy;
    return true;
}

/* Add what the table on top of the stack holds under `lead`, tables one level deep. */
static bool collect_table(lua_State *L, completion *names, const char *lead, bool deeper)
{
    bool complete = true;
    luaL_checkstack(L, 6, "nested too deeply");
    const int table = lua_gettop(L);
    for (lua_pushnil(L); complete && lua_next(L, table) != 0; lua_settop(L, table + 1)) {
        char name[LONGEST_NAME];
        if (lua_type(L, -2) != LUA_TSTRING)
            continue;
        const bool is_group = lua_type(L, -1) == LUA_TTABLE && deeper;
        snprintf(name, sizeof name, "%s%s%s", lead, lua_tostring(L, -2), is_group ? "." : "");
        complete = add(names, name) && (!is_group || collect_table(L, names, name, false));
    }
    lua_settop(L, table);
    return complete;
}

static int collect(lua_State *L)
{
    completion *names = lua_touserdata(L, 1);
    lua_rawgetp(L, LUA_REGISTRYINDEX, &imp_module_key);
    imp_catalogue_make_groups(L, lua_gettop(L));
    if (!collect_table(L, names, "imp.", true))
        return luaL_error(L, "out of memory");
    return 0;
}

static int compare_names(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

imp_status completion_open(completion *names, imp_script *script, imp_error *error)
{
    memset(names, 0, sizeof *names);
    imp_arena_init(&names->arena, NULL);
    const imp_status status = imp_script_protect(script, collect, names, 0, error);
    if (status == IMP_OK && names->count > 0)
        qsort(names->names, names->count, sizeof *names->names, compare_names);
    return status;
}

void completion_free(completion *names)
{
    imp_arena_free(&names->arena);
}

const char *completion_next(const completion *names, const char *text, size_t *at)
{
    const size_t length = strlen(text);
    while (*at < names->count) {
        const char *name = names->names[(*at)++];
        if (strncmp(name, text, length) != 0)
            continue;
        const char *dot = strchr(name + length, '.');
        if (dot == NULL || dot[1] == '\0')
            return name;
    }
    return NULL;
}
