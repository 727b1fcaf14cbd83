/* impinge eval: one line of Lua, or lines from a prompt or from standard input. */
#include <lauxlib.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "commands.h"
#include "exit_code.h"
#include "line_reader.h"
#include "memory.h"
#include "module.h"
#include "session.h"
#include "show.h"
#include "watchdog.h"

static const char CHUNK_NAME[] = "=eval";
static const char environment_key = 0; /* its address is the registry's key */

typedef struct evaluation {
    const options *given;
    output *out;
    imp_script *script;
} evaluation;

/* The table in which a line's own globals live from line to line; everything else is looked up in the sandbox's. */
static int make_environment(lua_State *L)
{
    lua_newtable(L);
    lua_createtable(L, 0, 1);
    lua_pushglobaltable(L);
    lua_setfield(L, -2, "__index");
    lua_setmetatable(L, -2);
    lua_rawsetp(L, LUA_REGISTRYINDEX, &environment_key);
    return 0;
}

static imp_status start(evaluation *eval, imp_error *error)
{
    imp_status status = session_open(eval->given, eval->out, &eval->script, error);
    if (status == IMP_OK)
        status = imp_script_protect(eval->script, make_environment, NULL, 0, error);
    return status;
}

/* "eval:1: unexpected symbol" as place and message */
static imp_status fail_at_line(evaluation *eval, int load_status, imp_error *error)
{
    lua_State *L = imp_script_state(eval->script);
    char text[IMP_MESSAGE_SIZE], place[32];
    imp_script_error_text(L, -1, text, sizeof text);
    const char *reason = strstr(text, ": ");
    if (load_status == LUA_ERRMEM && !imp_script_was_refused_memory(eval->script))
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory"); /* the machine's, not the budget's */
    if (load_status == LUA_ERRMEM)
        return imp_fail(error, IMP_LIMIT, "eval", "used up its budget of memory");
    if (reason == NULL || (size_t)(reason - text) >= sizeof place)
        return imp_fail(error, IMP_SCRIPT, "eval", "%s", text);
    snprintf(place, sizeof place, "%.*s", (int)(reason - text), text);
    return imp_fail(error, IMP_SCRIPT, place, "%s", reason + 2);
}

/* Load a line as an expression, else as a statement; on success its function is on the stack. *unfinished: a statement
 * or an expression has begun and the text ended. */
static imp_status load_line(evaluation *eval, const char *text, bool *unfinished, imp_error *error)
{
    lua_State *L = imp_script_state(eval->script);
    const size_t length = strlen(text);
    char *expression = imp_allocate(NULL, length + 8, 1);
    if (expression == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    snprintf(expression, length + 8, "return %s", text);
    int loaded = luaL_loadbufferx(L, expression, length + 7, CHUNK_NAME, "t");
    imp_release(NULL, expression);
    if (loaded != LUA_OK) {
        lua_settop(L, 0);
        loaded = luaL_loadbufferx(L, text, length, CHUNK_NAME, "t");
    }
    if (loaded == LUA_OK) {
        lua_rawgetp(L, LUA_REGISTRYINDEX, &environment_key);
        lua_setupvalue(L, -2, 1);
        return IMP_OK;
    }
    const imp_status status = fail_at_line(eval, loaded, error);
    const size_t end = strlen(error->message);
    *unfinished = end >= 5 && strcmp(error->message + end - 5, "<eof>") == 0;
    lua_settop(L, 0);
    return status;
}

/* Call the loaded line and show what it returns. */
static imp_status call_and_show(evaluation *eval, imp_error *error)
{
    lua_State *L = imp_script_state(eval->script);
    imp_status status = imp_script_call(eval->script, 0, LUA_MULTRET, error);
    const int count = lua_gettop(L);
    if (status != IMP_OK || count == 0)
        return status;
    if (!lua_checkstack(L, 4))
        return imp_fail(error, IMP_LIMIT, "eval", "too many values to show");
    lua_pushcfunction(L, show_values);
    lua_insert(L, 1);
    lua_pushlightuserdata(L, eval->out);
    lua_insert(L, 2);
    status = imp_script_call(eval->script, count + 1, 0, error);
    lua_settop(L, 0);
    return status;
}

static imp_status run_line(evaluation *eval, const char *text, bool *unfinished, imp_error *error)
{
    *unfinished = false;
    imp_status status = load_line(eval, text, unfinished, error);
    if (status != IMP_OK)
        return status;
    if (!options_has(eval->given, OPTION_TRUST))
        watchdog_start(options_number(eval->given, OPTION_MAX_SECONDS));
    status = call_and_show(eval, error);
    watchdog_end();
    return status;
}

/* Put a line behind the unfinished ones. Takes both over; NULL when memory ran out. */
static char *join_lines(char *before, char *line)
{
    if (before == NULL)
        return line;
    const size_t length = strlen(before), more = strlen(line);
    char *joined = malloc(length + more + 2);
    if (joined != NULL)
        snprintf(joined, length + more + 2, "%s\n%s", before, line);
    free(before);
    free(line);
    return joined;
}

/* At a terminal an error is shown and the talk goes on; a budget that is used up needs a fresh state. */
static imp_status recover(evaluation *eval, imp_status status, imp_error *error)
{
    complain(error, 0);
    if (status != IMP_LIMIT)
        return IMP_OK;
    fputs("impinge: starting afresh; what was assigned is gone\n", stderr);
    imp_script_close(eval->script);
    eval->script = NULL;
    return start(eval, error);
}

static imp_status run_lines(evaluation *eval, const completion *names, imp_error *error)
{
    line_reader reader = line_reader_open(names);
    imp_status status = IMP_OK;
    bool unfinished = false;
    char *text = NULL, *line;
    if (reader.is_terminal)
        output_text(eval->out, "impinge " IMP_VERSION ". Lua with q and imp at hand; Ctrl-D ends.\n");
    output_flush(eval->out);
    while (status == IMP_OK && (line = line_reader_next(&reader, unfinished)) != NULL) {
        const bool gives_up = unfinished && line[0] == '\0'; /* an empty line ends an unfinished one */
        text = join_lines(text, line);
        if (text == NULL)
            return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
        status = run_line(eval, text, &unfinished, error);
        unfinished = unfinished && !gives_up;
        if (status != IMP_OK && unfinished) {
            status = IMP_OK;
            continue;
        }
        free(text);
        text = NULL;
        if (status != IMP_OK && reader.is_terminal)
            status = recover(eval, status, error);
        output_flush(eval->out);
    }
    if (status == IMP_OK && text != NULL)
        status = run_line(eval, text, &unfinished, error); /* it was never finished: say so */
    if (status == IMP_OK && reader.failed)
        status = imp_fail(error, IMP_MEMORY, NULL, "standard input could not be read to its end");
    free(text);
    if (reader.is_terminal)
        output_text(eval->out, "\n");
    return status;
}

/* A talk at the prompt, or the lines of standard input. */
static imp_status talk(evaluation *eval, imp_error *error)
{
    completion names;
    imp_status status = completion_open(&names, eval->script, error);
    if (status == IMP_OK)
        status = run_lines(eval, &names, error);
    completion_free(&names);
    return status;
}

int command_eval(const options *given, output *out)
{
    imp_error error;
    bool unfinished;
    evaluation eval = {.given = given, .out = out};
    imp_status status = start(&eval, &error);
    int code = status == IMP_IO ? EXIT_INTERNAL : exit_code_of_script(status);
    if (status == IMP_OK) {
        status = given->positional_count > 0 ? run_line(&eval, given->positional[0], &unfinished, &error)
                                             : talk(&eval, &error);
        code = exit_code_of_script(status);
    }
    imp_script_close(eval.script);
    return status == IMP_OK ? EXIT_OK : complain(&error, code);
}
