/* Columns and job logs in scripts: lua/columns.lua and lua/log_refusals.lua assert what they say, in the sandbox and in stock Lua. */
#include "support.h"

#include <lauxlib.h>
#include <lualib.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "log_lua.h"
#include "module.h"
#include "sandbox.h"

static const char day_path[] = IMP_TESTS_FOLDER "/logs/small.csv";

static int prepare(lua_State *L)
{
    imp_log_grant(L, day_path);
    lua_pushglobaltable(L);
    lua_pushliteral(L, "day_path");
    lua_pushstring(L, day_path);
    lua_rawset(L, -3);
    return 0;
}

static int collect_always(lua_State *L)
{
    lua_gc(L, LUA_GCINC, 1, 1000, 1); /* the next cycle begins at once */
    return 0;
}

static imp_script *open_script(bool collects_always)
{
    static const char *const folders[] = {IMP_TESTS_FOLDER "/lua/modules"};
    const imp_script_options options = {.budget = imp_default_budget(), .folders = folders, .folder_count = 1};
    imp_script *script = NULL;
    imp_error error;
    assert_int_equal(imp_script_open(&options, &script, &error), IMP_OK);
    assert_int_equal(imp_script_protect(script, prepare, NULL, 0, &error), IMP_OK);
    if (collects_always)
        assert_int_equal(imp_script_protect(script, collect_always, NULL, 0, &error), IMP_OK);
    return script;
}

static void run_columns(bool collects_always)
{
    imp_script *script = open_script(collects_always);
    imp_error error;
    char text[1024];
    const imp_status status = imp_script_run_file(script, IMP_TESTS_FOLDER "/lua/columns.lua", 0, &error);
    imp_script_close(script);
    if (status != IMP_OK)
        fail_msg("%s", imp_error_text(&error, text, sizeof text));
}

static void columns_answer_what_the_script_asserts(void **state)
{
    (void)state;
    run_columns(false);
}

static void columns_answer_it_under_the_most_aggressive_collector_too(void **state)
{
    (void)state;
    run_columns(true);
}

static imp_status run_text(const char *text, imp_error *error)
{
    imp_script *script = open_script(false);
    const imp_status status = imp_script_run_text(script, text, strlen(text), "script.lua", 0, error);
    imp_script_close(script);
    return status;
}

/* A file for the script, by the name of a global. */
static void make_file(char *path, const char *text)
{
    const int file = mkstemp(path);
    assert_true(file >= 0);
    assert_int_equal(write(file, text, strlen(text)), (ssize_t)strlen(text));
    close(file);
}

static char plain_path[32], mapping_path[32], wrong_mapping_path[32];

static int prepare_more(lua_State *L)
{
    static const char *const names[] = {"plain_path", "mapping_path", "wrong_mapping_path", "missing_path"};
    const char *const paths[] = {plain_path, mapping_path, wrong_mapping_path, "/nowhere/missing.csv"};
    lua_pushglobaltable(L);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        imp_log_grant(L, paths[i]);
        lua_pushstring(L, names[i]);
        lua_pushstring(L, paths[i]);
        lua_rawset(L, -3);
    }
    return 0;
}

static void logs_columns_and_charts_refuse_with_a_sentence(void **state)
{
    (void)state;
    strcpy(plain_path, "/tmp/impinge-plain-XXXXXX");
    strcpy(mapping_path, "/tmp/impinge-map-XXXXXX");
    strcpy(wrong_mapping_path, "/tmp/impinge-wrong-XXXXXX");
    make_file(plain_path, "time,f\n0,1\n1,2\n");
    make_file(mapping_path, "{\"impinge\":1,\"columns\":[{\"header\":\"f\",\"name\":\"iso_flow\",\"unit\":\"L/min\"}]}");
    make_file(wrong_mapping_path, "{");
    for (int always = 0; always < 2; always++) {
        imp_script *script = open_script(always != 0);
        imp_error error;
        char text[1024];
        assert_int_equal(imp_script_protect(script, prepare_more, NULL, 0, &error), IMP_OK);
        const imp_status status = imp_script_run_file(script, IMP_TESTS_FOLDER "/lua/log_refusals.lua", 0, &error);
        imp_script_close(script);
        if (status != IMP_OK)
            fail_msg("%s", imp_error_text(&error, text, sizeof text));
    }
    unlink(plain_path);
    unlink(mapping_path);
    unlink(wrong_mapping_path);
}

static char us_path[32];

static int prepare_us(lua_State *L)
{
    imp_log_grant(L, us_path);
    lua_pushglobaltable(L);
    lua_pushstring(L, "us_path");
    lua_pushstring(L, us_path);
    lua_rawset(L, -3);
    return 0;
}

static void a_full_log_refuses_what_does_not_fit_and_logs_do_not_mix(void **state)
{
    (void)state;
    strcpy(us_path, "/tmp/impinge-us-XXXXXX");
    make_file(us_path, "time [s],iso_temperature [degF],resin_temperature [degF],iso_flow [gal/min],resin_flow [gpm]\n"
                       "0,60,60,60,60\n1,70,60,60,60\n2,80,70,0,0\n");
    imp_script *script = open_script(false);
    imp_error error;
    char text[1024];
    assert_int_equal(imp_script_protect(script, prepare_us, NULL, 0, &error), IMP_OK);
    const imp_status status = imp_script_run_file(script, IMP_TESTS_FOLDER "/lua/column_limits.lua", 0, &error);
    imp_script_close(script);
    unlink(us_path);
    if (status != IMP_OK)
        fail_msg("%s", imp_error_text(&error, text, sizeof text));
}

static void errors_of_columns_name_script_and_line(void **state)
{
    (void)state;
    imp_error error;
    assert_int_equal(
        run_text("\nlocal day = imp.log.open(day_path)\nlocal x = day.iso_flow + day.iso_pressure", &error),
        IMP_SCRIPT);
    assert_string_equal(error.place, "script.lua:3");
    assert_string_equal(error.message, "cannot add a volume flow and a pressure");
}

static void a_script_pays_for_its_columns_and_rows(void **state)
{
    (void)state;
    imp_error error;
    assert_int_equal(run_text("local t = {} for i = 1, 1000 do t[i] = i end local c = imp.column(t)\n"
                              "local all = {} for i = 1, 1e6 do all[i] = c + i end",
                              &error),
                     IMP_LIMIT);
    assert_contains(error.message, "memory");
    assert_int_equal(run_text("local day = imp.log.open(day_path)\n"
                              "day:rows({ 'iso_flow' }, function() while true do end end)",
                              &error),
                     IMP_LIMIT);
    assert_int_equal(run_text("local all = {} for i = 1, 100 do all[i] = imp.log.open(day_path) end", &error),
                     IMP_SCRIPT);
    assert_contains(error.message, "close some");
}

static void stock_lua_opens_any_log(void **state)
{
    (void)state;
    lua_State *L = luaL_newstate();
    assert_non_null(L);
    luaL_openlibs(L);
    luaL_requiref(L, "impinge", luaopen_impinge, 0);
    lua_settop(L, 0);
    lua_pushstring(L, day_path);
    lua_setglobal(L, "day_path");
    if (luaL_dostring(L, "local imp = require 'impinge' local day = imp.log.open(day_path)\n"
                         "local n = 0 for span in day.trigger:equals(1):spans() do n = n + 1 end\n"
                         "day:rows({ 'iso_flow' }, function(t, f) n = n + f end)\n"
                         "return n") != LUA_OK)
        fail_msg("%s", lua_tostring(L, -1));
    assert_close(lua_tonumber(L, -1), 45.8, 1e-12);
    lua_close(L);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(columns_answer_what_the_script_asserts),
        cmocka_unit_test(columns_answer_it_under_the_most_aggressive_collector_too),
        cmocka_unit_test(logs_columns_and_charts_refuse_with_a_sentence),
        cmocka_unit_test(a_full_log_refuses_what_does_not_fit_and_logs_do_not_mix),
        cmocka_unit_test(errors_of_columns_name_script_and_line),
        cmocka_unit_test(a_script_pays_for_its_columns_and_rows),
        cmocka_unit_test(stock_lua_opens_any_log),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
