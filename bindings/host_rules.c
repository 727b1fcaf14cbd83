#include "host_rules.h"

#include <string.h>

#include "job_lua.h"
#include "quantity_lua.h"

static const char declarations_key = 0, functions_key = 0; /* only their addresses are used */

enum { DEEPEST_DECLARATION = 12 };

/* ---- declaring ---- */

/* Give the function on top of the stack a number: functions[function] = n and functions[n] = function. */
static void number_function(lua_State *L)
{
    lua_rawgetp(L, LUA_REGISTRYINDEX, &functions_key);
    lua_pushvalue(L, -2);
    if (lua_rawget(L, -2) == LUA_TNIL) {
        const lua_Integer number = (lua_Integer)lua_rawlen(L, -2) + 1;
        lua_pushvalue(L, -3);
        lua_rawseti(L, -3, number);
        lua_pushvalue(L, -3);
        lua_pushinteger(L, number);
        lua_rawset(L, -4);
    }
    lua_pop(L, 2);
}

/* Push a copy of the table at index: what is declared is the data as it stands now. */
static void push_snapshot(lua_State *L, const char *what, int index, int depth)
{
    if (depth > DEEPEST_DECLARATION)
        imp_raise_text(L, "%s: nested more than %d deep, or a table that holds itself", what, DEEPEST_DECLARATION);
    luaL_checkstack(L, 10, "nested too deeply");
    lua_newtable(L);
    const int copy = lua_gettop(L);
    for (lua_pushnil(L); lua_next(L, index) != 0; lua_settop(L, copy + 1)) {
        lua_pushvalue(L, -2);
        lua_pushvalue(L, -2);
        if (lua_type(L, -1) == LUA_TTABLE)
            push_snapshot(L, what, lua_gettop(L), depth + 1);
        else if (lua_type(L, -1) == LUA_TFUNCTION)
            number_function(L);
        lua_pushvalue(L, copy + 3);
        lua_insert(L, -2);
        lua_rawset(L, copy);
    }
}

static void set_place(lua_State *L)
{
    lua_Debug frame;
    for (int level = 1; lua_getstack(L, level, &frame); level++) {
        lua_getinfo(L, "Sl", &frame);
        if (frame.currentline <= 0)
            continue;
        lua_pushinteger(L, frame.currentline);
        lua_setfield(L, -2, "line");
        lua_pushstring(L, frame.source[0] == '@' ? frame.source + 1 : frame.short_src);
        lua_setfield(L, -2, "file");
        return;
    }
}

/* rule { ... } and its like. Upvalues: the state's record, the file, the word. */
static int declare(lua_State *L)
{
    const imp_rule_file *file = lua_touserdata(L, lua_upvalueindex(2));
    const char *word = lua_tostring(L, lua_upvalueindex(3));
    char got[200];
    if (!file->is_loading)
        return imp_raise_text(L, "%s: declared while the file loads, not from inside a rule", word);
    if (lua_type(L, 1) != LUA_TTABLE)
        return imp_raise_text(L, "%s: expected its fields in braces, as in %s { id = \"...\", ... }, got %s", word,
                              word, imp_value_described(L, imp_lua_here(L), 1, got, sizeof got));
    lua_settop(L, 1);
    push_snapshot(L, word, 1, 1);
    lua_pushstring(L, word);
    lua_setfield(L, 2, "declared");
    set_place(L);
    lua_rawgetp(L, LUA_REGISTRYINDEX, &declarations_key);
    lua_pushvalue(L, 2);
    lua_rawseti(L, -2, (lua_Integer)lua_rawlen(L, -2) + 1);
    return 0;
}

static int open_declarations(lua_State *L)
{
    static const char *const usual[] = {"rule", "tighten", "silence", "replace", "case", NULL};
    imp_rule_file *file = lua_touserdata(L, 1);
    const char *const *words = file->words != NULL ? file->words : usual;
    lua_newtable(L);
    lua_rawsetp(L, LUA_REGISTRYINDEX, &declarations_key);
    lua_newtable(L);
    lua_rawsetp(L, LUA_REGISTRYINDEX, &functions_key);
    lua_pushglobaltable(L);
    for (size_t i = 0; words[i] != NULL; i++) {
        lua_pushstring(L, words[i]);
        lua_pushlightuserdata(L, imp_lua_open(L));
        lua_pushlightuserdata(L, file);
        lua_pushstring(L, words[i]);
        lua_pushcclosure(L, declare, 3);
        lua_rawset(L, -3);
    }
    return 0;
}

imp_status imp_rule_file_load(imp_rule_file *file, const imp_script_options *options, const char *path,
                              imp_error *error)
{
    imp_status status = imp_script_open(options, &file->script, error);
    if (status == IMP_OK)
        status = imp_script_protect(file->script, open_declarations, file, 0, error);
    file->is_loading = true;
    if (status == IMP_OK)
        status = imp_script_run_file(file->script, path, 0, error);
    file->is_loading = false;
    return status;
}

void imp_rule_file_declarations(imp_rule_file *file)
{
    lua_State *const L = imp_script_state(file->script);
    lua_settop(L, 0);
    lua_rawgetp(L, LUA_REGISTRYINDEX, &declarations_key);
}

size_t imp_rule_file_count(imp_rule_file *file)
{
    lua_State *const L = imp_script_state(file->script);
    if (!lua_checkstack(L, 1))
        return 0;
    lua_rawgetp(L, LUA_REGISTRYINDEX, &declarations_key);
    const size_t count = lua_rawlen(L, -1);
    lua_pop(L, 1);
    return count;
}

lua_Integer imp_rule_function_number(lua_State *L, int index)
{
    const int function = lua_absindex(L, index);
    lua_rawgetp(L, LUA_REGISTRYINDEX, &functions_key);
    lua_pushvalue(L, function);
    lua_rawget(L, -2);
    const lua_Integer number = lua_tointeger(L, -1);
    lua_pop(L, 2);
    return number;
}

/* ---- calling ---- */

typedef struct request {
    lua_Integer function;
    const imp_node *job;
} request;

static int run_function(lua_State *L)
{
    const request *wanted = lua_touserdata(L, 1);
    lua_settop(L, 0);
    lua_rawgetp(L, LUA_REGISTRYINDEX, &functions_key);
    lua_rawgeti(L, 1, wanted->function);
    lua_remove(L, 1);
    if (wanted->job != NULL)
        imp_view_push(L, wanted->job);
    else
        lua_pushnil(L);
    lua_call(L, 1, LUA_MULTRET);
    return lua_gettop(L);
}

imp_status imp_rule_file_call(imp_rule_file *file, lua_Integer function, const imp_node *job, imp_recording *recording,
                              imp_error *error)
{
    lua_State *const L = imp_script_state(file->script);
    imp_lua *lua = imp_lua_known(L);
    request wanted = {function, job};
    lua_settop(L, 0);
    lua_pushcfunction(L, run_function);
    lua_pushlightuserdata(L, &wanted);
    lua->recording = recording;
    const imp_status status = imp_script_call(file->script, 1, LUA_MULTRET, error);
    lua->recording = NULL;
    return status;
}

typedef struct invocation {
    lua_Integer function;
    imp_push_arguments push;
    imp_take_results take;
    void *context;
} invocation;

static int invoke(lua_State *L)
{
    const invocation *wanted = lua_touserdata(L, 1);
    lua_settop(L, 0);
    lua_rawgetp(L, LUA_REGISTRYINDEX, &functions_key);
    lua_rawgeti(L, 1, wanted->function);
    lua_remove(L, 1);
    const int arguments = wanted->push(L, wanted->context);
    lua_call(L, arguments, LUA_MULTRET);
    if (wanted->take != NULL)
        wanted->take(L, wanted->context);
    return lua_gettop(L);
}

imp_status imp_rule_file_invoke(imp_rule_file *file, lua_Integer function, imp_push_arguments push, imp_take_results take,
                                void *context, imp_recording *recording, imp_error *error)
{
    lua_State *const L = imp_script_state(file->script);
    imp_lua *lua = imp_lua_known(L);
    invocation wanted = {function, push, take, context};
    lua_settop(L, 0);
    lua_pushcfunction(L, invoke);
    lua_pushlightuserdata(L, &wanted);
    lua->recording = recording;
    const imp_status status = imp_script_call(file->script, 1, LUA_MULTRET, error);
    lua->recording = NULL;
    return status;
}
