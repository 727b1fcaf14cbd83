/* load and require for sandboxed scripts: text only, from fixed folders only. */
#ifndef _XOPEN_SOURCE
#define _XOPEN_SOURCE 700 /* realpath */
#endif

#include <lauxlib.h>
#include <lua.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "budget.h"
#include "file.h"
#include "memory.h"
#include "sandbox_libraries.h"
#include "state.h"

static const char loaded_key = 0; /* name -> value of the modules of this state; only the address is used */

size_t imp_text_head(const char *text, size_t length)
{
    size_t skipped = length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    if (skipped < length && text[skipped] == '#')
        while (skipped < length && text[skipped] != '\n')
            skipped++;
    return skipped;
}

/* load(text [, name [, mode [, environment]]]) */
static int base_load(lua_State *L)
{
    size_t length;
    if (lua_type(L, 1) != LUA_TSTRING)
        return imp_raise_text(L, "load: expected a text; a reader function is not offered to scripts");
    const char *text = lua_tolstring(L, 1, &length);
    const char *name = luaL_optstring(L, 2, text);
    const char *mode = luaL_optstring(L, 3, "t");
    if (strchr(mode, 't') == NULL)
        return imp_raise_text(L, "load: compiled code is not offered to scripts; mode is \"t\"");
    if (length > IMP_LONGEST_SCRIPT)
        return imp_raise_text(L, "load: a script has at most %d bytes", IMP_LONGEST_SCRIPT);
    const bool has_environment = !lua_isnone(L, 4);
    imp_spend(L, length);
    const int status = luaL_loadbufferx(L, text, length, name, "t");
    if (status != LUA_OK) {
        imp_budget_rethrow(L, status);
        lua_pushnil(L);
        lua_insert(L, -2);
        return 2;
    }
    if (has_environment) {
        lua_pushvalue(L, 4);
        lua_setupvalue(L, -2, 1);
    }
    return 1;
}

/* a.b_2: parts of small letters, digits and underscores */
static bool is_module_name(const char *name, size_t length)
{
    bool in_part = false;
    for (size_t i = 0; i < length; i++) {
        const char c = name[i];
        const bool is_letter = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_';
        if (!is_letter && !(c == '.' && in_part))
            return false;
        in_part = is_letter;
    }
    return in_part && length < 128;
}

/* Is the file really inside the folder, links followed? */
static bool is_inside(const char *folder, const char *path)
{
    char *real_path = realpath(path, NULL);
    if (real_path == NULL) /* not there: the folder need not be looked at */
        return false;
    char *real_folder = realpath(folder, NULL);
    const size_t length = real_folder != NULL ? strlen(real_folder) : 0;
    const bool inside = real_folder != NULL && strncmp(real_folder, real_path, length) == 0 &&
                        (real_path[length] == '/' || strcmp(real_folder, "/") == 0);
    free(real_folder);
    free(real_path);
    return inside;
}

/* Load the module's file in folder and push the function; false when it isn't there. path is on top of the stack. */
static bool load_from(lua_State *L, const char *folder)
{
    const char *path = lua_tostring(L, -1);
    const char *chunk_name = lua_pushfstring(L, "@%s", path);
    char *text = NULL;
    size_t length = 0;
    imp_error error;
    if (!is_inside(folder, path))
        return false;
    if (imp_file_read(path, IMP_LONGEST_SCRIPT, NULL, &text, &length, &error) != IMP_OK)
        return imp_raise_text(L, "require: %s: %s", path, error.message) != 0;
    const size_t head = imp_text_head(text, length);
    const int status = luaL_loadbufferx(L, text + head, length - head, chunk_name, "t"); /* does not raise */
    imp_release(NULL, text);
    if (status != LUA_OK) {
        imp_budget_rethrow(L, status);
        lua_error(L);
    }
    return true;
}

/* Push the module's function, or raise with the places where it was looked for. */
static void find_module(lua_State *L, const char *name)
{
    const imp_script *script = imp_script_of(L);
    char looked[256] = "";
    size_t used = 0;
    luaL_gsub(L, name, ".", "/");
    const int file = lua_gettop(L);
    for (size_t i = 0; i <= script->folder_count; i++) {
        const char *folder = i == 0 ? script->own_folder : script->folders[i - 1];
        if (folder == NULL)
            continue;
        lua_pushfstring(L, "%s/%s.lua", folder, lua_tostring(L, file));
        if (load_from(L, folder))
            return;
        lua_settop(L, file);
        if (used < sizeof looked)
            used += (size_t)snprintf(looked + used, sizeof looked - used, "%s%s", used > 0 ? ", " : "", folder);
    }
    imp_raise_text(L, "require: no module \"%s\"; looked in %s", name, used > 0 ? looked : "no folder");
}

/* require "a.b": once a state; the value the file returns, or true */
static int base_require(lua_State *L)
{
    size_t length;
    if (lua_type(L, 1) != LUA_TSTRING)
        return imp_raise_text(L, "require: expected a module's name such as \"foam.limits\"");
    const char *name = lua_tolstring(L, 1, &length);
    lua_settop(L, 1);
    lua_rawgetp(L, LUA_REGISTRYINDEX, &loaded_key);
    lua_pushvalue(L, 1);
    if (lua_rawget(L, 2) == LUA_TLIGHTUSERDATA)
        return imp_raise_text(L, "require: module \"%.100s\" requires itself", name);
    if (!lua_isnil(L, -1))
        return 1;
    if (!is_module_name(name, length))
        return imp_raise_text(
            L, "require: \"%.100s\" is not a module's name; write small letters, digits and _ with dots between", name);
    find_module(L, name);
    lua_pushvalue(L, 1);
    lua_pushlightuserdata(L, (void *)&loaded_key); /* being loaded */
    lua_rawset(L, 2);
    lua_pushvalue(L, 1);
    const int status = lua_pcall(L, 1, 1, 0);
    if (status != LUA_OK) {
        lua_pushvalue(L, 1);
        lua_pushnil(L);
        lua_rawset(L, 2);
        imp_budget_rethrow(L, status);
        return lua_error(L);
    }
    if (lua_isnil(L, -1))
        lua_pushboolean(L, 1);
    lua_pushvalue(L, 1);
    lua_pushvalue(L, -2);
    lua_rawset(L, 2);
    return 1;
}

void imp_open_loading(lua_State *L)
{
    static const luaL_Reg own[] = {{"load", base_load}, {"require", base_require}, {NULL, NULL}};
    lua_newtable(L);
    lua_rawgetp(L, LUA_REGISTRYINDEX, &imp_module_key);
    lua_setfield(L, -2, "impinge");
    lua_rawsetp(L, LUA_REGISTRYINDEX, &loaded_key);
    lua_pushglobaltable(L);
    imp_set_functions(L, own);
    lua_pop(L, 1);
}
