/* The sandbox: attacks end as a used-up budget or an ordinary error, in bounded time, and honest scripts do not notice.
 */
#include "support.h"

#include <lauxlib.h>
#include <lualib.h>
#include <stdio.h>
#include <time.h>

#include "sandbox.h"
#include "sandbox_attacks.h"
#include "state.h"

typedef struct printed {
    char text[4096];
    size_t length;
} printed;

static void keep(void *context, const char *text, size_t length)
{
    printed *all = context;
    const size_t room = sizeof all->text - 1 - all->length;
    const size_t kept = length < room ? length : room;
    memcpy(all->text + all->length, text, kept);
    all->length += kept;
    all->text[all->length] = '\0';
}

static const imp_budget small_budget = {.memory = 16u << 20, .steps = 3000000, .seconds = 3.0, .output = 65536};

static imp_script *open_script(imp_budget budget, bool trusted, printed *output)
{
    static const char *const folders[] = {IMP_TESTS_FOLDER "/lua/modules"};
    const imp_script_options options = {.budget = budget,
                                        .folders = folders,
                                        .folder_count = 1,
                                        .trusted = trusted,
                                        .write = output != NULL ? keep : NULL,
                                        .write_context = output};
    imp_script *script = NULL;
    imp_error error = {0};
    if (imp_script_open(&options, &script, &error) != IMP_OK)
        fail_msg("%s", error.message);
    return script;
}

static imp_status run(imp_script *script, const char *text, imp_error *error)
{
    memset(error, 0, sizeof *error);
    return imp_script_run_text(script, text, strlen(text), "script.lua", 0, error);
}

static double seconds_now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

enum { LONGEST_SECONDS = 15 }; /* for one attack, on a slow machine and under the sanitizers; the budget is 3 s */

static void attacks_end_in_bounded_time_as_they_should(void **state)
{
    (void)state;
    int wrong = 0;
    for (size_t i = 0; i < ATTACK_COUNT; i++) {
        const attack *each = &attacks[i];
        printed output = {.length = 0};
        imp_error error;
        char text[1024];
        imp_script *script = open_script(small_budget, false, &output);
        const double start = seconds_now();
        const imp_status status = run(script, each->text, &error);
        const double taken = seconds_now() - start;
        imp_error_text(&error, text, sizeof text);
        const bool as_expected = status == each->expected && strstr(text, each->message) != NULL &&
                                 strstr(output.text, "escaped") == NULL && taken < LONGEST_SECONDS;
        if (!as_expected) {
            print_error("%s: \"%s\", %.1f s, printed \"%.60s\"\n", each->name, status == IMP_OK ? "no error" : text,
                        taken, output.text);
            wrong++;
        }
        imp_script_close(script);
    }
    assert_int_equal(wrong, 0);
}

static void used_up_script_runs_no_more(void **state)
{
    (void)state;
    printed output = {.length = 0};
    imp_error error;
    imp_script *script = open_script(small_budget, false, &output);
    assert_int_equal(run(script, "while true do end", &error), IMP_LIMIT);
    assert_int_equal(run(script, "print 'alive'", &error), IMP_LIMIT);
    assert_contains(error.message, "used up its budget of 3 million steps");
    assert_string_equal(output.text, "");
    imp_script_close(script);
}

static void budgets_hold_over_all_calls_of_a_script(void **state)
{
    (void)state;
    imp_error error;
    imp_script *script = open_script(small_budget, false, NULL);
    imp_status status = IMP_OK;
    int calls = 0;
    while (status == IMP_OK && ++calls < 100)
        status = run(script, "for i = 1, 200000 do end", &error);
    assert_int_equal(status, IMP_LIMIT);
    assert_in_range(calls, 10, 20); /* 3 million steps */
    imp_script_close(script);
}

static void wall_clock_ends_a_script(void **state)
{
    (void)state;
    imp_error error;
    imp_budget budget = small_budget;
    budget.steps = 1000000000000u;
    budget.seconds = 0.2;
    imp_script *script = open_script(budget, false, NULL);
    const double start = seconds_now();
    assert_int_equal(run(script, "while true do end", &error), IMP_LIMIT);
    assert_contains(error.message, "0.2 s");
    assert_true(seconds_now() - start < 5.0);
    imp_script_close(script);
}

static void scripts_do_not_see_each_other(void **state)
{
    (void)state;
    imp_error error;
    printed output = {.length = 0};
    imp_script *first = open_script(small_budget, false, NULL);
    assert_int_equal(run(first, "string.rep = nil; imp.q = nil; math.pi = 3", &error), IMP_OK);
    imp_script *second = open_script(small_budget, false, &output);
    assert_int_equal(run(second, "print(('x'):rep(3), imp.q '1 m', math.pi > 3.1)", &error), IMP_OK);
    assert_string_equal(output.text, "xxx\t1 m\ttrue\n");
    imp_script_close(first);
    imp_script_close(second);
}

static void random_numbers_repeat_from_run_to_run(void **state)
{
    (void)state;
    imp_error error;
    printed outputs[2] = {{.length = 0}, {.length = 0}};
    for (int i = 0; i < 2; i++) {
        imp_script *script = open_script(small_budget, false, &outputs[i]);
        assert_int_equal(run(script, "print(math.random(), math.random(1000))", &error), IMP_OK);
        imp_script_close(script);
    }
    assert_string_equal(outputs[0].text, outputs[1].text);
}

static void file_is_text_and_names_its_line(void **state)
{
    (void)state;
    imp_error error;
    imp_script *script = open_script(small_budget, false, NULL);
    assert_int_equal(imp_script_run_file(script, IMP_TESTS_FOLDER "/lua/no_such_file.lua", 0, &error), IMP_IO);
    assert_contains(error.place, "no_such_file.lua");
    assert_int_equal(run(script, "\x1bLua", &error), IMP_SCRIPT);
    assert_contains(error.message, "binary chunk");
    assert_int_equal(run(script, "local x = = 1", &error), IMP_SCRIPT);
    assert_string_equal(error.place, "script.lua:1");
    assert_int_equal(run(script, "#!/usr/bin/env impinge\nerror 'here'", &error), IMP_SCRIPT);
    assert_string_equal(error.place, "script.lua:2");
    assert_string_equal(error.message, "here");
    imp_script_close(script);
}

static void results_stay_on_the_stack_and_errors_leave_nothing(void **state)
{
    (void)state;
    imp_error error;
    imp_script *script = open_script(small_budget, false, NULL);
    lua_State *L = imp_script_state(script);
    assert_int_equal(imp_script_run_text(script, "return 1, 'two'", 15, "script.lua", LUA_MULTRET, &error), IMP_OK);
    assert_int_equal(lua_gettop(L), 2);
    assert_string_equal(lua_tostring(L, 2), "two");
    assert_int_equal(imp_script_run_text(script, "error 'x'", 9, "script.lua", LUA_MULTRET, &error), IMP_SCRIPT);
    assert_int_equal(lua_gettop(L), 2);
    imp_script_close(script);
}

static void arguments_are_the_global_arg(void **state)
{
    (void)state;
    imp_error error;
    printed output = {.length = 0};
    static const char *const texts[] = {"day.csv", "5"};
    imp_script *script = open_script(small_budget, false, &output);
    assert_int_equal(imp_script_set_arguments(script, 2, texts, &error), IMP_OK);
    assert_int_equal(run(script, "print(#arg, arg[1], arg[2])", &error), IMP_OK);
    assert_string_equal(output.text, "2\tday.csv\t5\n");
    imp_script_close(script);
}

static void trusted_script_has_the_standard_libraries_and_no_budget(void **state)
{
    (void)state;
    imp_error error;
    printed output = {.length = 0};
    const imp_budget tiny = {.memory = 1000, .steps = 1000, .seconds = 0.001, .output = 10};
    imp_script *script = open_script(tiny, true, &output);
    assert_int_equal(run(script,
                         "for i = 1, 1e5 do end local co = coroutine.wrap(function() "
                         "coroutine.yield(require('impinge').q '1 m') end) "
                         "print(os.time() > 0, io ~= nil, co(), require('neighbour').name)",
                         &error),
                     IMP_OK);
    assert_string_equal(output.text, "true\ttrue\t1 m\tneighbour\n");
    imp_script_close(script);
}

/* At every cap from nothing to enough the script either ends well or reports the budget; the sanitizers see to the
 * rest. */
static void memory_may_run_out_anywhere(void **state)
{
    (void)state;
    const char *text =
        "local a, b = q '3 bar', q(2, 'psi') local c = (a + b) * 2 / q '4 s' local t = {} for i = 1, 50 do t[i] = c:to "
        "'bar/s' end "
        "local d = imp.climate.dew_point{air_temperature = q '20 degC', relative_humidity = '50 %'} "
        "local s = imp.sheet{calculation = 'climate.dew_point', with = {air_temperature = q '20 degC', "
        "relative_humidity = 0.5}} "
        "local e = imp.explain 'hose.pressure_drop' local n = require 'neighbour' "
        "local g = ('some words here'):gsub('%a+', string.upper) for k in imp.sorted_pairs(e) do t[#t + 1] = k end "
        "pcall(error, {}) table.sort(t) table.concat(t) load('return 1')() print(d, #s.lines, g, n)";
    bool enough = false;
    for (size_t memory = 1000; !enough; memory += memory < 60000 ? 997 : 211) {
        imp_budget budget = imp_default_budget();
        budget.memory = memory;
        const imp_script_options options = {
            .budget = budget, .folders = (const char *const[]){IMP_TESTS_FOLDER "/lua/modules"}, .folder_count = 1};
        imp_script *script = NULL;
        imp_error error;
        imp_status status = imp_script_open(&options, &script, &error);
        if (status == IMP_OK)
            status = run(script, text, &error);
        if (status != IMP_OK)
            assert_int_equal(status, IMP_LIMIT);
        enough = status == IMP_OK;
        imp_script_close(script);
        assert_true(memory < 1000000);
    }
}

/* A call that the machine had no memory for. */
static int lacks_memory(lua_State *L)
{
    const imp_error error = {.status = IMP_MEMORY, .place = "rig", .message = "out of memory"};
    return imp_raise(L, &error);
}

static void no_script_takes_lack_of_memory_for_an_answer(void **state)
{
    (void)state;
    printed output = {.length = 0};
    imp_script *script = open_script(small_budget, false, &output);
    imp_error error;
    lua_State *L = imp_script_state(script);
    lua_pushglobaltable(L);
    lua_pushliteral(L, "lacks");
    lua_pushcfunction(L, lacks_memory);
    lua_rawset(L, -3);
    lua_pop(L, 1);
    assert_int_equal(run(script, "print 'before' pcall(lacks) print 'behind'", &error), IMP_MEMORY);
    assert_string_equal(error.message, "out of memory");
    assert_string_equal(output.text, "before\n");
    imp_script_close(script);
}

/* Lua itself lists everywhere it looked: a person needs the first line. */
static void a_module_that_is_not_there_is_one_line(void **state)
{
    (void)state;
    lua_State *L = luaL_newstate();
    char text[200];
    assert_non_null(L);
    luaL_openlibs(L);
    assert_int_not_equal(luaL_dostring(L, "require 'no.such.module'"), LUA_OK);
    assert_non_null(strchr(lua_tostring(L, -1), '\n'));
    imp_script_error_text(L, -1, text, sizeof text);
    assert_contains(text, "module 'no.such.module' not found");
    assert_null(strchr(text, '\n'));
    lua_close(L);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_module_that_is_not_there_is_one_line),
        cmocka_unit_test(attacks_end_in_bounded_time_as_they_should),
        cmocka_unit_test(used_up_script_runs_no_more),
        cmocka_unit_test(budgets_hold_over_all_calls_of_a_script),
        cmocka_unit_test(wall_clock_ends_a_script),
        cmocka_unit_test(scripts_do_not_see_each_other),
        cmocka_unit_test(random_numbers_repeat_from_run_to_run),
        cmocka_unit_test(file_is_text_and_names_its_line),
        cmocka_unit_test(results_stay_on_the_stack_and_errors_leave_nothing),
        cmocka_unit_test(arguments_are_the_global_arg),
        cmocka_unit_test(trusted_script_has_the_standard_libraries_and_no_budget),
        cmocka_unit_test(memory_may_run_out_anywhere),
        cmocka_unit_test(no_script_takes_lack_of_memory_for_an_answer),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
