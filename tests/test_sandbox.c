/* The sandbox: attacks end as a used-up budget or an ordinary error, in bounded time, and honest scripts do not notice.
 */
#include "support.h"

#include <lauxlib.h>
#include <stdio.h>
#include <time.h>

#include "sandbox.h"
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

typedef struct attack {
    const char *name, *text;
    imp_status expected;
    const char *message; /* part of "place: message" */
} attack;

enum { LONGEST_SECONDS = 15 }; /* for one attack, on a slow machine and under the sanitizers; the budget is 3 s */

/* Everything that has been tried on hosts of Lua 5.4: loops, swallowed errors, handlers, blow-ups inside C, forged
 * lengths, memory, output, and the way out through what is not offered. */
/* clang-format off */
static const attack attacks[] = {
    {"endless loop", "while true do end", IMP_LIMIT, "script.lua:1: used up its budget of 3 million steps"},
    {"endless loop on line 3", "local n = 0\n\nwhile true do n = n + 1 end", IMP_LIMIT, "script.lua:3: used up its budget"},
    {"loop at the integer limit", "for i = math.maxinteger - 1, math.maxinteger, 0.0 + 1 do end for i = 1, math.maxinteger do end",
     IMP_LIMIT, "steps"},
    {"goto loop", "::again:: goto again", IMP_LIMIT, "steps"},
    {"endless recursion in tail calls", "local function f() return f() end f()", IMP_LIMIT, "steps"},
    {"loop in pcall", "pcall(function() while true do end end) while true do end", IMP_LIMIT, "steps"},
    {"pcall for ever", "while true do pcall(function() while true do end end) end", IMP_LIMIT, "steps"},
    {"pcall of pcall for ever", "while true do pcall(pcall, pcall, error) end", IMP_LIMIT, "steps"},
    {"escape after the budget", "pcall(function() while true do end end) print 'escaped'", IMP_LIMIT, "steps"},
    {"xpcall whose handler loops", "xpcall(function() while true do end end, function() while true do end end) print 'escaped'",
     IMP_LIMIT, "steps"},
    {"xpcall whose handler loops on an ordinary error", "xpcall(error, function() while true do end end)", IMP_LIMIT, "steps"},
    {"xpcall whose handler fails", "local function h() error(h) end print(xpcall(error, h))", IMP_OK, ""},
    {"__close that loops",
     "local c <close> = setmetatable({}, {__close = function() while true do end end})", IMP_LIMIT, "steps"},
    {"__close that loops after the budget",
     "local c <close> = setmetatable({}, {__close = function() while true do end end}) while true do end", IMP_LIMIT, "steps"},
    {"many __close after the budget",
     "local function f(n) local c <close> = setmetatable({}, {__close = function() while true do end end}) if n > 0 then f(n - 1) "
     "end while true do end end f(150)", IMP_LIMIT, "steps"},
    {"__close that swallows and goes on",
     "pcall(function() local c <close> = setmetatable({}, {__close = function() pcall(error) end}) while true do end end) print 'escaped'",
     IMP_LIMIT, "steps"},
    {"__close that is a C function", "do local c <close> = setmetatable({}, {__close = pcall}) end while true do local c <close> = "
     "setmetatable({}, {__close = string.rep}) end", IMP_SCRIPT, "bad argument #1 to 'close'"},
    {"__gc", "setmetatable({}, {__gc = function() while true do end end})", IMP_SCRIPT, "__gc is not offered"},
    {"__gc armed late", "local m = {} for i = 1, 10000 do setmetatable({}, m) end m.__gc = function() while true do end end", IMP_OK, ""},
    {"__index that loops", "local t = setmetatable({}, {__index = function() while true do end end}) print(t.x)", IMP_LIMIT, "steps"},
    {"__index chain", "local t = {} for i = 1, 3000 do t = setmetatable({}, {__index = t}) end print(t.x)", IMP_SCRIPT, "__index"},
    {"__index of itself", "local t = {} t.__index = t setmetatable(t, t) print(t.x)", IMP_SCRIPT, "loop"},
    {"__eq that loops", "local m = {__eq = function() while true do end end} print(setmetatable({}, m) == setmetatable({}, m))",
     IMP_LIMIT, "steps"},
    {"__tostring that loops in print", "print(setmetatable({}, {__tostring = function() while true do end end}))", IMP_LIMIT, "steps"},
    {"error object with a hostile __tostring", "error(setmetatable({}, {__tostring = function() while true do end end}))", IMP_SCRIPT,
     "error object is a table value"},
    {"error object with a hostile __index", "error(setmetatable({}, {__index = function() while true do end end}))", IMP_SCRIPT,
     "error object is a table value"},
    {"error object with a message", "error({message = 'my own'})", IMP_SCRIPT, "my own"},
    {"error without a message", "error()", IMP_SCRIPT, "error without a message"},
    {"huge rep", "print(#('x'):rep(1e9))", IMP_LIMIT, "16 MiB of memory"},
    {"rep beyond all numbers", "('x'):rep(math.maxinteger)", IMP_LIMIT, "memory"},
    {"rep of nothing", "assert((''):rep(1e18) == '')", IMP_OK, ""},
    {"rep with a separator", "('x'):rep(1e9, ', ')", IMP_LIMIT, "memory"},
    {"doubling", "local s = 'x' while true do s = s .. s end", IMP_LIMIT, "memory"},
    {"doubling caught", "while true do pcall(function() local s = 'x' while true do s = s .. s end end) end", IMP_LIMIT, "memory"},
    {"filling a table", "local t = {} for i = 1, 1e9 do t[i] = i end", IMP_LIMIT, "memory"},
    {"filling a table, caught for ever", "while true do pcall(function() local t = {} while true do t[#t + 1] = {} end end) end",
     IMP_LIMIT, ""},
    {"filling the stack", "local function f(...) return f(1, ...) end f()", IMP_LIMIT, ""},
    {"deep recursion", "local function f() return 1 + f() end f()", IMP_LIMIT, "memory"},
    {"recursion through C", "local function f() return pcall(f) end print(select('#', f()))", IMP_OK, ""},
    {"recursion through gsub", "local function f(s) return (s:gsub('.', f)) end f('x')", IMP_SCRIPT, "overflow"},
    {"living at the edge of memory",
     "local t, s = {}, ('x'):rep(1000) for i = 1, 14000 do t[i] = s .. i end while true do local x = {s .. #t} end", IMP_LIMIT, ""},
    {"pattern blow-up", "local n = 28 (('a'):rep(n)):match(('a?'):rep(n) .. ('a'):rep(n))", IMP_LIMIT, "steps"},
    {"pattern blow-up in find", "(('a'):rep(90)):find('a*a*a*a*a*b')", IMP_LIMIT, "steps"},
    {"pattern blow-up in gsub", "(('a'):rep(90)):gsub('a*a*a*a*a*b', '')", IMP_LIMIT, "steps"},
    {"pattern blow-up in gmatch", "for w in (('a'):rep(90)):gmatch('a-a-a-a-a-b') do end", IMP_LIMIT, "steps"},
    {"pattern blow-up with a balance", "(('('):rep(200000)):find('%b()')", IMP_LIMIT, "steps"},
    {"pattern blow-up with a back reference", "(('a'):rep(3000)):find('(a*)%1b')", IMP_LIMIT, "steps"},
    {"pattern too deep", "(('a'):rep(1000)):match(('(a)'):rep(30) .. ('a?'):rep(300))", IMP_SCRIPT, "pattern too complex"},
    {"plain find, quadratic", "local s = ('a'):rep(400000) while true do s:find(('a'):rep(200000) .. 'b', 1, true) end", IMP_LIMIT, ""},
    {"table.move over a huge range", "table.move({}, 1, 1e15, 2)", IMP_SCRIPT, "too long"},
    {"table.move over everything", "table.move({}, math.mininteger, math.maxinteger, 2)", IMP_SCRIPT, "too long"},
    {"table.insert with a forged length", "table.insert(setmetatable({}, {__len = function() return 1e15 end}), 1, 'x')", IMP_SCRIPT,
     "__len"},
    {"table.remove with a forged length", "table.remove(setmetatable({}, {__len = function() return 1e15 end}), 1)", IMP_SCRIPT, "__len"},
    {"table.concat with a forged length", "table.concat(setmetatable({}, {__len = function() return 1e15 end, __index = function() "
     "return 'x' end}))", IMP_SCRIPT, "metatable has"},
    {"table.concat over a huge range", "table.concat({}, '', 1, math.maxinteger)", IMP_SCRIPT, "too long"},
    {"table.unpack over a huge range", "table.unpack({}, 1, 1e7)", IMP_LIMIT, "steps"},
    {"table.insert at the front for ever", "local t = {} while true do table.insert(t, 1, 1) end", IMP_LIMIT, "steps"},
    {"table.sort of long texts", "local t, s = {}, ('x'):rep(1e6) for i = 1, 1e5 do t[i] = s end table.sort(t)", IMP_LIMIT, "steps"},
    {"table.sort with an evil comparison", "local t = {} for i = 1, 1000 do t[i] = i end table.sort(t, function() return true end)", IMP_OK,
     ""},
    {"table.sort whose comparison empties the table",
     "local t = {} for i = 1, 100 do t[i] = i end table.sort(t, function(a, b) for i = 1, 100 do t[i] = nil end return a < b end)",
     IMP_SCRIPT, "compare"},
    {"table.sort whose comparison loops", "table.sort({3, 2, 1}, function() while true do end end)", IMP_LIMIT, "steps"},
    {"sorted_pairs of very many", "local t = {} for i = 1, 2e5 do t[i] = i end while true do for k in imp.sorted_pairs(t) do break end end",
     IMP_LIMIT, ""},
    {"compiled code", "load('\\27Lua')()", IMP_SCRIPT, "call"},
    {"compiled code asked for", "load('\\27Lua', 'x', 'b')", IMP_SCRIPT, "not offered"},
    {"endless reader", "load(function() return 'x ' end)", IMP_SCRIPT, "expected a text"},
    {"load for ever", "while true do load(('local a = 1 '):rep(10000)) end", IMP_LIMIT, ""},
    {"parser depth", "print(load(('('):rep(100000)))", IMP_OK, ""},
    {"too many locals", "print(load(('local a '):rep(300)))", IMP_OK, ""},
    {"output flood", "while true do print(('x'):rep(1000)) end", IMP_LIMIT, "64 KiB of output"},
    {"output flood caught", "while true do pcall(print, ('x'):rep(1000)) end", IMP_LIMIT, "output"},
    {"calculations for ever", "while true do pcall(imp.climate.dew_point, {air_temperature = q '20 degC', relative_humidity = 0.5}) end",
     IMP_LIMIT, ""},
    {"units for ever", "for i = 1, 1e9 do pcall(q, i, 'm^' .. i % 31 .. ' kg' .. ('/s'):rep(i % 3) .. ' ' ) end", IMP_LIMIT, ""},
    {"os", "os.execute('true')", IMP_SCRIPT, "\"os\" is not offered to scripts"},
    {"io", "io.open('/etc/passwd')", IMP_SCRIPT, "\"io\" is not offered"},
    {"debug", "debug.sethook()", IMP_SCRIPT, "\"debug\" is not offered"},
    {"package", "package.loadlib('x', 'y')", IMP_SCRIPT, "\"package\" is not offered"},
    {"coroutine", "coroutine.wrap(print)()", IMP_SCRIPT, "\"coroutine\" is not offered"},
    {"rawset", "rawset(_G, 'x', 1)", IMP_SCRIPT, "\"rawset\" is not offered"},
    {"collectgarbage", "collectgarbage('stop')", IMP_SCRIPT, "\"collectgarbage\" is not offered"},
    {"dofile", "dofile('/etc/passwd')", IMP_SCRIPT, "\"dofile\" is not offered"},
    {"loadfile", "loadfile('/etc/passwd')", IMP_SCRIPT, "\"loadfile\" is not offered"},
    {"string.dump", "string.dump(print)", IMP_SCRIPT, "nil value (field 'dump')"},
    {"requiring a library", "require 'os'", IMP_SCRIPT, "no module \"os\""},
    {"requiring upwards", "require '..passwd'", IMP_SCRIPT, "not a module's name"},
    {"requiring by path", "require '/etc/passwd'", IMP_SCRIPT, "not a module's name"},
    {"requiring with a zero byte", "require 'a\\0b'", IMP_SCRIPT, "not a module's name"},
    {"requiring through a link out of the folder", "require 'outside'", IMP_SCRIPT, "no module \"outside\""},
    {"requiring itself", "require 'circle'", IMP_SCRIPT, "requires itself"},
    {"metatable of texts", "getmetatable('').__index = nil", IMP_SCRIPT, "index a boolean"},
    {"metatable of globals", "setmetatable(_G, nil)", IMP_SCRIPT, "protected"},
    {"metatable of imp", "setmetatable(imp, nil)", IMP_SCRIPT, "protected"},
    {"metatable of a quantity", "getmetatable(q '1 m').__add = nil", IMP_SCRIPT, ""},
    {"undeclared global read", "local a = 1\nprint(speling)", IMP_SCRIPT, "script.lua:2: undeclared global \"speling\""},
    {"undeclared global assigned", "x = 1", IMP_SCRIPT, "script.lua:1: undeclared global \"x\" assigned; use \"local x\""},
    {"undeclared function", "function f() end", IMP_SCRIPT, "use \"local function f\""},
};
/* clang-format on */

static void attacks_end_in_bounded_time_as_they_should(void **state)
{
    (void)state;
    int wrong = 0;
    for (size_t i = 0; i < sizeof attacks / sizeof attacks[0]; i++) {
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

int main(void)
{
    const struct CMUnitTest tests[] = {
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
