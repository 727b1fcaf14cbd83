/* Scripts of lua/ that assert what they say, run in the sandbox, under the most aggressive collector, and in stock Lua.
 */
#include "support.h"

#include <lauxlib.h>
#include <lualib.h>
#include <stdio.h>
#include <stdlib.h>

#include "document.h"
#include "job_lua.h"
#include "module.h"
#include "sandbox.h"

static imp_node *job; /* of jobs/base.json */

static char *read_text(const char *path, size_t *length)
{
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    fseek(file, 0, SEEK_END);
    const long size = ftell(file);
    rewind(file);
    char *text = malloc((size_t)size + 1);
    assert_non_null(text);
    *length = fread(text, 1, (size_t)size, file);
    text[*length] = '\0';
    fclose(file);
    return text;
}

static int read_job(void **state)
{
    (void)state;
    size_t length;
    char *text = read_text(IMP_TESTS_FOLDER "/jobs/base.json", &length);
    imp_issues issues;
    imp_issues_init(&issues, NULL);
    const imp_status status = imp_document_read(IMP_JOB, "base.json", text, length, NULL, NULL, &job, &issues);
    imp_issues_free(&issues);
    free(text);
    return status == IMP_OK ? 0 : -1;
}

static int free_job(void **state)
{
    (void)state;
    imp_node_free(job, NULL);
    return 0;
}

static void to_stderr(void *context, const char *text, size_t length)
{
    (void)context;
    fwrite(text, 1, length, stderr);
}

static int set_job(lua_State *L)
{
    lua_pushglobaltable(L);
    lua_pushliteral(L, "job");
    imp_view_push(L, lua_touserdata(L, 1));
    lua_rawset(L, -3);
    return 0;
}

static int collect_always(lua_State *L)
{
    lua_gc(L, LUA_GCINC, 1, 1000, 1); /* the next cycle begins at once */
    return 0;
}

static void run_script(const char *name, bool collects_always)
{
    static const char *const folders[] = {IMP_TESTS_FOLDER "/lua/modules"};
    const imp_script_options options = {
        .budget = imp_default_budget(), .folders = folders, .folder_count = 1, .write = to_stderr};
    imp_script *script = NULL;
    imp_error error = {0};
    char path[512], text[1024];
    snprintf(path, sizeof path, "%s/lua/%s", IMP_TESTS_FOLDER, name);
    imp_status status = imp_script_open(&options, &script, &error);
    if (status == IMP_OK)
        status = imp_script_protect(script, set_job, job, 0, &error);
    if (status == IMP_OK && collects_always)
        status = imp_script_protect(script, collect_always, NULL, 0, &error);
    if (status == IMP_OK)
        status = imp_script_run_file(script, path, 0, &error);
    imp_script_close(script);
    if (status != IMP_OK)
        fail_msg("%s", imp_error_text(&error, text, sizeof text));
}

static const char *const scripts[] = {"quantities.lua",  "catalogue.lua",   "libraries.lua",
                                      "job.lua",         "calculators.lua", "solving.lua", "wrong_values.lua",
                                      "wrong_declarations.lua", "text_edges.lua"};

static void scripts_find_what_they_assert(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof scripts / sizeof scripts[0]; i++)
        run_script(scripts[i], false);
}

static void scripts_find_it_under_the_most_aggressive_collector_too(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof scripts / sizeof scripts[0]; i++)
        run_script(scripts[i], true);
}

static void error_names_script_line_calculation_and_input(void **state)
{
    (void)state;
    const char *text =
        "\n\n\n\n\n\nlocal d = imp.climate.dew_point{ air_temperature = q '20 degC', relative_humidity = q '12 bar' }";
    const imp_script_options options = {.budget = imp_default_budget()};
    imp_script *script = NULL;
    imp_error error;
    assert_int_equal(imp_script_open(&options, &script, &error), IMP_OK);
    assert_int_equal(imp_script_run_text(script, text, strlen(text), "script.lua", 0, &error), IMP_SCRIPT);
    assert_string_equal(error.place, "script.lua:7");
    assert_contains(error.message, "climate.dew_point: relative_humidity: expected a number such as \"");
    assert_contains(error.message, "got \"12 bar\"");
    imp_script_close(script);
}

static void module_loads_into_stock_lua(void **state)
{
    (void)state;
    lua_State *L = luaL_newstate();
    assert_non_null(L);
    luaL_openlibs(L);
    luaL_requiref(L, "impinge", luaopen_impinge, 0);
    lua_settop(L, 0);
    const char *text = "local imp = require 'impinge' local q = imp.q\n"
                       "local d = imp.climate.dew_point{ air_temperature = q '20 degC', relative_humidity = 0.5 }\n"
                       "for k in imp.sorted_pairs { b = 1, a = 2 } do d = d + q '0 K' end\n"
                       "local f = coroutine.wrap(function() coroutine.yield(q '1 m' + q '1 ft') end)\n"
                       "undeclared = f()\n"
                       "assert(not pcall(function() return q '3 bar' + q '2 m' end))\n"
                       "return tostring(d), tostring(undeclared)";
    if (luaL_dostring(L, text) != LUA_OK)
        fail_msg("%s", lua_tostring(L, -1));
    assert_contains(lua_tostring(L, 1), "9.27"); /* ASHRAE Fundamentals 2017 ch. 1, as in reference/climate.json */
    assert_string_equal(lua_tostring(L, 2), "1.3048 m");
    lua_close(L);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(scripts_find_what_they_assert),
        cmocka_unit_test(scripts_find_it_under_the_most_aggressive_collector_too),
        cmocka_unit_test(error_names_script_line_calculation_and_input),
        cmocka_unit_test(module_loads_into_stock_lua),
    };
    return cmocka_run_group_tests(tests, read_job, free_job);
}
