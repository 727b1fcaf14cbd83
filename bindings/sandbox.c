#include "sandbox.h"

#include <lauxlib.h>
#include <lualib.h>
#include <stdio.h>
#include <string.h>

#include "budget.h"
#include "file.h"
#include "memory.h"
#include "module.h"
#include "sandbox_libraries.h"
#include "state.h"

const char imp_module_key = 0;

/* ---- setting up ---- */

static int write_printed(lua_State *L)
{
    imp_script *script = imp_script_of(L);
    const int count = lua_gettop(L);
    for (int i = 1; i <= count; i++) {
        size_t length;
        const char *text = luaL_tolstring(L, i, &length);
        imp_spend_output(L, length + 1);
        if (script->write != NULL) {
            script->write(script->write_context, text, length);
            script->write(script->write_context, i < count ? "\t" : "\n", 1);
        }
        lua_pop(L, 1);
    }
    if (count == 0 && script->write != NULL) {
        imp_spend_output(L, 1);
        script->write(script->write_context, "\n", 1);
    }
    return 0;
}

/* Where a trusted script's require looks: its own folder and the given ones. */
static int set_package_path(lua_State *L)
{
    const imp_script *script = imp_script_of(L);
    luaL_Buffer path;
    lua_getglobal(L, "package");
    luaL_buffinit(L, &path);
    for (size_t i = 0; i <= script->folder_count; i++) {
        const char *folder = i == 0 ? script->own_folder : script->folders[i - 1];
        if (folder == NULL)
            continue;
        luaL_addstring(&path, folder);
        luaL_addstring(&path, "/?.lua;");
    }
    luaL_pushresult(&path);
    lua_setfield(L, -2, "path");
    return 0;
}

/* Lua's own libraries, with the environment's LUA_* left unread. */
static void open_trusted(lua_State *L)
{
    lua_pushboolean(L, 1);
    lua_setfield(L, LUA_REGISTRYINDEX, "LUA_NOENV");
    luaL_openlibs(L);
    lua_getglobal(L, "package");
    lua_getfield(L, -1, "loaded");
    lua_rawgetp(L, LUA_REGISTRYINDEX, &imp_module_key);
    lua_setfield(L, -2, "impinge");
    lua_pop(L, 2);
    set_package_path(L);
    lua_settop(L, 1);
}

static void open_sandboxed(lua_State *L)
{
    imp_open_base(L);
    imp_open_loading(L);
    imp_open_string(L);
    imp_open_table(L);
    imp_open_math(L);
    imp_open_utf8(L);
}

static int open_state(lua_State *L)
{
    imp_script *script = lua_touserdata(L, 1);
    lua_settop(L, 0);
    imp_lua_open(L)->script = script;
    luaopen_impinge(L);
    lua_pushvalue(L, -1);
    lua_rawsetp(L, LUA_REGISTRYINDEX, &imp_module_key);
    if (script->trusted)
        open_trusted(L);
    else
        open_sandboxed(L);
    lua_getfield(L, 1, "q");
    lua_setglobal(L, "q");
    lua_getfield(L, 1, "calculator");
    lua_setglobal(L, "calculator");
    lua_pushvalue(L, 1);
    lua_setglobal(L, "imp");
    lua_pushcfunction(L, write_printed);
    lua_setglobal(L, "print");
    if (!script->trusted)
        imp_close_globals(L);
    return 0;
}

static bool copy_folders(imp_script *script, const imp_script_options *options)
{
    script->folders = imp_allocate(NULL, options->folder_count + 1, sizeof *script->folders);
    if (script->folders == NULL)
        return false;
    for (size_t i = 0; i < options->folder_count; i++) {
        script->folders[i] = imp_copy_text(NULL, options->folders[i], strlen(options->folders[i]));
        if (script->folders[i] == NULL)
            return false;
        script->folder_count++;
    }
    return true;
}

imp_status imp_script_open(const imp_script_options *options, imp_script **script, imp_error *error)
{
    imp_script *made = imp_allocate(NULL, 1, sizeof *made);
    if (made == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    made->budget = options->budget;
    made->trusted = options->trusted;
    made->write = options->write;
    made->write_context = options->write_context;
    imp_status status = copy_folders(made, options) ? IMP_OK : imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    if (status == IMP_OK) {
        made->L = lua_newstate(imp_budget_allocate, made);
        if (made->L == NULL)
            status = made->memory_refused
                         ? imp_fail(error, IMP_LIMIT, NULL, "the memory budget is too small for any script")
                         : imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    }
    if (status == IMP_OK) {
        *(imp_script **)lua_getextraspace(made->L) = made;
        status = imp_script_protect(made, open_state, made, 0, error);
    }
    if (status != IMP_OK) {
        imp_script_close(made);
        return status;
    }
    *script = made;
    return IMP_OK;
}

void imp_script_close(imp_script *script)
{
    if (script == NULL)
        return;
    if (script->L != NULL)
        lua_close(script->L);
    for (size_t i = 0; i < script->folder_count; i++)
        imp_release(NULL, script->folders[i]);
    imp_release(NULL, script->folders);
    imp_release(NULL, script->own_folder);
    imp_release(NULL, script);
}

lua_State *imp_script_state(imp_script *script)
{
    return script->L;
}

bool imp_script_was_refused_memory(const imp_script *script)
{
    return script->memory_refused;
}

imp_budget imp_script_used(const imp_script *script)
{
    return script->used;
}

/* ---- errors ---- */

static const char no_message[] = "error without a message";

/* Lua's own require tells, a line each, everywhere it looked for a module; that there is none, it says before. */
static void cut_places_looked_at(char *text)
{
    char *list = strstr(text, ":\n\tno field package.preload");
    if (list != NULL)
        *list = '\0';
}

char *imp_script_error_text(lua_State *L, int index, char *text, size_t size)
{
    const int absolute = lua_absindex(L, index);
    const int type = lua_type(L, absolute);
    if (type == LUA_TSTRING) {
        snprintf(text, size, "%s", lua_tostring(L, absolute));
        cut_places_looked_at(text);
        return text;
    }
    if (type == LUA_TTABLE && lua_checkstack(L, 3)) {
        /* a raw look through the fields: pushing the name "message" could raise */
        for (lua_pushnil(L); lua_next(L, absolute) != 0; lua_pop(L, 1)) {
            if (lua_type(L, -2) == LUA_TSTRING && lua_type(L, -1) == LUA_TSTRING &&
                strcmp(lua_tostring(L, -2), "message") == 0) {
                snprintf(text, size, "%s", lua_tostring(L, -1));
                lua_pop(L, 2);
                return text;
            }
        }
    }
    snprintf(text, size, type == LUA_TNIL ? no_message : "error object is a %s value",
             lua_typename(L, type));
    return text;
}

/* Split "file:line: message"; the length of "file:line", or 0. */
static size_t place_length(const char *text)
{
    for (const char *colon = strchr(text, ':'); colon != NULL; colon = strchr(colon + 1, ':')) {
        const size_t digits = strspn(colon + 1, "0123456789");
        if (digits > 0 && strncmp(colon + 1 + digits, ": ", 2) == 0)
            return (size_t)(colon - text) + 1 + digits;
    }
    return 0;
}

static imp_status fail_script(const imp_script *script, int status, imp_error *error)
{
    char text[IMP_MESSAGE_SIZE + IMP_PLACE_SIZE], place[IMP_PLACE_SIZE] = "";
    if (script->tripped != IMP_NOT_TRIPPED)
        return imp_budget_fail(script, error);
    if (status == LUA_ERRMEM || (lua_checkstack(script->L, 2) && imp_raised_status(script->L, -1) == IMP_MEMORY))
        return imp_fail(error, IMP_MEMORY, script->name, "out of memory");
    imp_script_error_text(script->L, -1, text, sizeof text);
    const size_t length = place_length(text);
    if (length == 0 || length >= sizeof place)
        return imp_fail(error, IMP_SCRIPT, script->name, "%.470s", text[0] != '\0' ? text : no_message);
    memcpy(place, text, length);
    return imp_fail(error, IMP_SCRIPT, place, "%.470s", text[length + 2] != '\0' ? text + length + 2 : no_message);
}

/* ---- running ---- */

static imp_status protected_call(imp_script *script, int arguments, int results, imp_error *error)
{
    lua_State *const L = script->L;
    const int status = lua_pcall(L, arguments, results, 0);
    if (status == LUA_ERRMEM && script->memory_refused && script->tripped == IMP_NOT_TRIPPED)
        script->tripped = IMP_TRIP_MEMORY;
    if (status == LUA_OK && script->tripped == IMP_NOT_TRIPPED)
        return IMP_OK;
    const imp_status failed = fail_script(script, status, error);
    if (status != LUA_OK)
        lua_pop(L, 1);
    return failed;
}

imp_status imp_script_call(imp_script *script, int arguments, int results, imp_error *error)
{
    const int base = lua_gettop(script->L) - arguments - 1;
    imp_status status;
    if (script->tripped != IMP_NOT_TRIPPED) {
        status = imp_budget_fail(script, error);
    } else {
        imp_budget_start(script);
        status = protected_call(script, arguments, results, error);
        imp_budget_stop(script);
    }
    if (status != IMP_OK)
        lua_settop(script->L, base);
    return status;
}

imp_status imp_script_protect(imp_script *script, lua_CFunction function, void *context, int results, imp_error *error)
{
    const int base = lua_gettop(script->L);
    if (!lua_checkstack(script->L, 2))
        return imp_fail(error, IMP_MEMORY, script->name, "out of memory");
    lua_pushcfunction(script->L, function);
    lua_pushlightuserdata(script->L, context);
    const imp_status status = protected_call(script, 1, results, error);
    if (status != IMP_OK)
        lua_settop(script->L, base);
    return status;
}

typedef struct chunk {
    const char *text;
    size_t length;
    const char *name; /* with its "@" */
} chunk;

/* Compile and run; all of it inside the budget. */
static int run_chunk(lua_State *L)
{
    const chunk *run = lua_touserdata(L, 1);
    lua_settop(L, 0);
    const int status = luaL_loadbufferx(L, run->text, run->length, run->name, "t");
    if (status != LUA_OK) {
        imp_budget_rethrow(L, status);
        return lua_error(L);
    }
    lua_call(L, 0, LUA_MULTRET);
    return lua_gettop(L);
}

imp_status imp_script_run_text(imp_script *script, const char *text, size_t length, const char *name, int results,
                               imp_error *error)
{
    char named[sizeof script->name + 1];
    const size_t skipped = imp_text_head(text, length);
    snprintf(script->name, sizeof script->name, "%s", name);
    snprintf(named, sizeof named, "@%s", script->name);
    chunk run = {.text = text + skipped, .length = length - skipped, .name = named};
    if (!lua_checkstack(script->L, 2))
        return imp_fail(error, IMP_MEMORY, script->name, "out of memory");
    lua_pushcfunction(script->L, run_chunk);
    lua_pushlightuserdata(script->L, &run);
    return imp_script_call(script, 1, results, error);
}

imp_status imp_script_run_file(imp_script *script, const char *path, int results, imp_error *error)
{
    char *text = NULL;
    size_t length = 0;
    imp_status status = imp_file_read(path, IMP_LONGEST_SCRIPT, NULL, &text, &length, error);
    if (status != IMP_OK) {
        imp_error_prefix(error, path, ": ");
        return status;
    }
    const char *slash = strrchr(path, '/');
    imp_release(NULL, script->own_folder);
    script->own_folder = slash == NULL ? imp_copy_text(NULL, ".", 1)
                                       : imp_copy_text(NULL, path, slash > path ? (size_t)(slash - path) : 1);
    if (script->own_folder == NULL)
        status = imp_fail(error, IMP_MEMORY, path, "out of memory");
    if (status == IMP_OK && script->trusted)
        status = imp_script_protect(script, set_package_path, NULL, 0, error);
    if (status == IMP_OK)
        status = imp_script_run_text(script, text, length, path, results, error);
    imp_release(NULL, text);
    return status;
}

typedef struct argument_list {
    size_t count;
    const char *const *texts;
} argument_list;

static int set_arguments(lua_State *L)
{
    const argument_list *list = lua_touserdata(L, 1);
    lua_pushglobaltable(L);
    lua_pushliteral(L, "arg");
    lua_newtable(L);
    for (size_t i = 0; i < list->count; i++) {
        lua_pushstring(L, list->texts[i]);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    lua_rawset(L, -3);
    return 0;
}

imp_status imp_script_set_arguments(imp_script *script, size_t count, const char *const texts[], imp_error *error)
{
    argument_list list = {count, texts};
    return imp_script_protect(script, set_arguments, &list, 0, error);
}
