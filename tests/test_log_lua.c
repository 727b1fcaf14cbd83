/* Columns and job logs in scripts: lua/columns.lua asserts what it says, in the sandbox and in stock Lua. */
#include "support.h"

#include <lauxlib.h>
#include <lualib.h>
#include <stdio.h>

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
        cmocka_unit_test(errors_of_columns_name_script_and_line),
        cmocka_unit_test(a_script_pays_for_its_columns_and_rows),
        cmocka_unit_test(stock_lua_opens_any_log),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
