/* impinge calc with a calculation whose inputs and results are of every kind: swept, solved, varied, shown in other units. */
#include "shell.h"
#include "support.h"

/* y = 2 x; above 1 it is high; it answers with a word that holds a comma; "rest" is there from 1 on. */
static const char kinds[] =
    "return calculator { id = 'kinds', title = 'All kinds', source = 'invented', inputs = {\n"
    "{ name = 'x', low = 0, high = 10 }, { name = 'mode', choices = { 'a, b', 'plain' }, default = 'a, b' },\n"
    "{ name = 'doubled', kind = 'flag', default = true }, { name = 'note', kind = 'text', optional = true } },\n"
    "outputs = { { name = 'y' }, { name = 'rest', optional = true }, { name = 'high', kind = 'flag' },\n"
    "{ name = 'word', choices = { 'a, b', 'plain' } } }, compute = function(given)\n"
    "local y = given.doubled and 2 * given.x or given.x\n"
    "return { y = y, rest = given.x >= 1 and given.x - 1 or nil, high = y > 2, word = given.mode } end }\n";

/* Nothing of it is a number. */
static const char flags[] =
    "return calculator { id = 'flags', title = 'A flag', inputs = { { name = 'x' } }, outputs = { { name = 'high', kind = 'flag' } },\n"
    "compute = function(given) return given.x > 1 end }\n";

#define KINDS "impinge calc kinds.lua "

typedef struct shown_case {
    const char *command;
    const char *parts[6]; /* all in what is shown, ended by NULL */
} shown_case;

static void check_shown(const shown_case *wanted)
{
    run_result result = shell(wanted->command);
    if (result.code != 0)
        fail_msg("%s: %s", wanted->command, result.err);
    for (size_t i = 0; wanted->parts[i] != NULL; i++)
        assert_contains(result.out, wanted->parts[i]);
    done(&result);
}

#define CHECK_SHOWN(cases)                                                                                             \
    for (size_t i_ = 0; i_ < sizeof(cases) / sizeof(cases)[0]; i_++)                                                   \
    check_shown(&(cases)[i_])

static void a_sweep_shows_flags_and_words_beside_numbers(void **state)
{
    (void)state;
    static const command_case cases[] = {
        {KINDS "--sweep x=0..2/3 --format csv", 0, "x,y,rest,high,word\n0,0,,false,\"a, b\"\n1,2,0,false,\"a, b\"\n2,4,1,true,\"a, b\"\n", NULL},
        {KINDS "mode=plain doubled=false --sweep x=0..2/2 --format csv", 0, "x,y,rest,high,word\n0,0,,false,plain\n2,2,1,false,plain\n", NULL},
        {KINDS "mode=plain --sweep x=2..0/2", 0, "x  y  rest  high   word\n2  4  1     true   plain\n0  0  -     false  plain\n", NULL},
        {"impinge calc flags.lua --sweep x=0..2/2 --format csv", 0, "x,high\n0,false\n2,true\n", NULL},
        {"impinge calc flags.lua x=2", 0, "true\n", NULL},
        {"impinge calc flags.lua x=0", 0, "false\n", NULL},
    };
    CHECK_CASES(cases);
    cJSON *json = json_of(KINDS "note='a word' --sweep x=1..2/2 --format json");
    const cJSON *points = member(json, "points");
    assert_int_equal(cJSON_GetArraySize(points), 2);
    assert_true(cJSON_IsFalse(member(points->child, "high")));
    assert_true(cJSON_IsTrue(member(points->child->next, "high")));
    assert_string_equal(member(points->child, "word")->valuestring, "a, b");
    assert_string_equal(member(member(json, "inputs"), "note")->valuestring, "a word");
    cJSON_Delete(json);
}

static void a_sheet_stands_under_every_kind_of_question(void **state)
{
    (void)state;
    static const shown_case cases[] = {
        {KINDS "--sweep x=1..2/2 --sheet", {"x  y  rest", "All kinds\n  kinds\n", "Inputs", "Results", "Source    invented", NULL}},
        {KINDS "--solve-for x --target y=3 --sheet", {"1.5\n", "All kinds\n  kinds\n", "Results", NULL}},
        {KINDS "x=1 --sensitivity --sheet", {"y = 2\n", "Elasticity", "All kinds\n  kinds\n", NULL}},
        {KINDS "x=1 --uncertainty x=0.1 --draws 100 --sheet", {"0.2", "100 draws", "All kinds\n  kinds\n", NULL}},
        {KINDS "--solve-for x --target y=3 --sheet --format json", {"\"solutions\": [", "\"sheet\": [", NULL}},
        {KINDS "--sweep x=1..2/2 --sheet --format json", {"\"points\": [", "\"sheet\": [", NULL}},
    };
    CHECK_SHOWN(cases);
}

static void only_numbers_have_slopes_and_uncertainties(void **state)
{
    (void)state;
    cJSON *json = json_of(KINDS "x=1 --sensitivity --format json");
    const cJSON *slopes = member(json, "sensitivity");
    assert_int_equal(cJSON_GetArraySize(slopes), 2); /* y and rest */
    assert_relative(member(member(member(member(slopes, "y"), "x"), "derivative"), "value")->valuedouble, 2.0, 1e-6);
    assert_null(cJSON_GetObjectItem(member(slopes, "y"), "mode"));
    cJSON_Delete(json);
    json = json_of(KINDS "x=1.5 --uncertainty x=0.1 --draws 200 --format json");
    const cJSON *spreads = member(json, "uncertainty");
    assert_relative(member(member(member(spreads, "y"), "linear"), "value")->valuedouble, 0.2, 1e-6);
    assert_null(cJSON_GetObjectItem(spreads, "high"));
    cJSON_Delete(json);
    static const shown_case cases[] = {
        {KINDS "x=1.5 --uncertainty x=0.1 --draws 200", {"y ", "rest ", NULL}},
        {KINDS "x=0 --sensitivity", {"y = 0\n", NULL}},
    };
    CHECK_SHOWN(cases);
}

static void what_is_no_number_is_refused_where_one_is_needed(void **state)
{
    (void)state;
    static const command_case cases[] = {
        {KINDS "x=1 --sweep mode=1..2", 3, NULL, "--sweep: mode is not a number; only numbers can be varied\n"},
        {KINDS "--sweep x", 3, NULL, "--sweep: expected NAME=FROM..TO or NAME=FROM..TO/STEPS, got \"x\"\n"},
        {KINDS "--sweep x=..2", 3, NULL, "--sweep: expected NAME=FROM..TO or NAME=FROM..TO/STEPS, got \"x=..2\"\n"},
        {KINDS "--sweep x=1..", 3, NULL, "--sweep: expected NAME=FROM..TO or NAME=FROM..TO/STEPS, got \"x=1..\"\n"},
        {KINDS "--sweep x=1..2/10001", 3, NULL, "--sweep: expected 2 to 10000 steps, got 10001\n"},
        {KINDS "--solve-for x --target y", 3, NULL, "--target: expected OUTPUT=VALUE, got \"y\"\n"},
        {KINDS "--solve-for x --target =2", 3, NULL, "--target: expected OUTPUT=VALUE, got \"=2\"\n"},
        {KINDS "--solve-for x --target high=true", 3, NULL, "--target: high is not a number\n"},
        {"impinge calc flags.lua --solve-for x --target hight=true", 3, NULL, "--target: flags has no output \"hight\"; it has high\n"},
        {"impinge calc flags.lua --sweep x=0..2 --format svg", 3, NULL, "flags: has no output that is a number, so there is nothing to draw\n"},
        {KINDS "x=1 --uncertainty x", 3, NULL, "--uncertainty: expected NAME=VALUE, got \"x\"\n"},
        {KINDS "x=1 --uncertainty =1", 3, NULL, "--uncertainty: expected NAME=VALUE, got \"=1\"\n"},
        {KINDS "x=1 --uncertainty mode=1", 3, NULL, "--uncertainty: mode is not a number\n"},
        {KINDS "x=1 --uncertainty zzzzzzzz=1", 3, NULL, "--uncertainty: kinds has no input \"zzzzzzzz\"\n"},
        {KINDS "x=1 --uncertainty x=0.1 --uncertainty x=0.2", 3, NULL, "--uncertainty: x is given twice\n"},
        {KINDS "--solve-for zzzzzzzz --target y=1", 3, NULL, "--solve-for: kinds has no input \"zzzzzzzz\"\n"},
        {KINDS "x=1 --sweep x=1..2", 3, NULL, "x: is given, and so cannot be swept\n"},
    };
    CHECK_CASES(cases);
}

/* A row with one end, a list, and a file whose name does not end in .lua. */
static void a_calculator_explains_its_rows_whatever_they_are(void **state)
{
    (void)state;
    write_file("halves", "return calculator { id = 'halves', title = 'Half open', inputs = { { name = 'least', unit = 'm', low = q '1 m', open = 'low' },\n"
                         "{ name = 'most', unit = 'm', high = q '2 m', default = q '1 m' }, { name = 'many', kind = 'list', unit = 'm', low = q '0 m', optional = true },\n"
                         "{ name = 'is_so', kind = 'flag', default = true }, { name = 'word', choices = { 'a', 'b' }, default = 'b' } },\n"
                         "outputs = { { name = 'y', unit = 'm' }, { name = 'so', kind = 'flag' } },\n"
                         "compute = function(given) return { y = given.least + given.most, so = given.is_so } end }\n");
    static const shown_case cases[] = {
        {"impinge explain halves", {"above 1 m", "up to 2 m", "a list, each from 0 m", "one of a, b", "impinge calc halves least=", NULL}},
        {"impinge calc halves least='2 m'", {"y   3 m\n", "so  true\n", NULL}},
        {"impinge calc halves least='2 m' many='1 m, 2 m' --sheet", {"many", "1 m, 2 m", NULL}},
    };
    CHECK_SHOWN(cases);
    cJSON *json = json_of("impinge explain halves --format json");
    const cJSON *least = member(member(json, "calculations")->child, "inputs")->child;
    assert_true(member(member(least, "low"), "value")->valuedouble == 1.0);
    assert_null(cJSON_GetObjectItem(least, "high"));
    assert_true(cJSON_IsTrue(member(least, "low_is_open")));
    assert_null(cJSON_GetObjectItem(least->next, "low"));
    assert_true(member(member(least->next, "high"), "value")->valuedouble == 2.0);
    assert_string_equal(member(least->next->next, "kind")->valuestring, "list");
    cJSON_Delete(json);
    static const command_case refused[] = {
        {"impinge calc halves least='1 m'", 3, NULL, "halves: least: 1 m is not above 1 m\n"},
    };
    CHECK_CASES(refused);
}

/* Names longer than any that there is are cut in the sentence. */
static void an_endless_name_is_refused_as_any_other(void **state)
{
    (void)state;
#define LONG "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"
    static const command_case cases[] = {
        {KINDS "--solve-for " LONG "b --target y=1", 3, NULL, "--solve-for: kinds has no input \"" LONG "\"\n"},
        {KINDS "--solve-for x --target " LONG "b=1", 3, NULL, "--target: kinds has no output \"" LONG "\"; \"impinge explain kinds.lua\" lists them\n"},
        {KINDS "x=1 --uncertainty " LONG "b=1", 3, NULL, "--uncertainty: kinds has no input \"" LONG "\"\n"},
    };
    CHECK_CASES(cases);
}

static void a_chart_leaves_out_what_is_no_number_and_what_was_refused(void **state)
{
    (void)state;
    static const shown_case cases[] = {
        {KINDS "note=words mode=plain --sweep x=0..2/5 --format svg", {"<svg", NULL}},
        {KINDS "note=words --sweep x=0..2/5 --digits 2", {"0.5", NULL}},
    };
    CHECK_SHOWN(cases);
}

/* A number of steps beyond what a machine counts is named as it was typed. */
static void a_sweep_of_absurdly_many_steps_is_refused(void **state)
{
    (void)state;
    static const command_case cases[] = {
        {KINDS "--sweep x=1..2/99999999999", 3, NULL, "--sweep: expected 2 to 10000 steps, got 99999999999\n"},
        {KINDS "--sweep x=1..2/", 3, NULL,
         "--sweep: x: expected a pure number, got \"2/\": \"2/\": a unit does not begin with \"/\"; write \"3 1/min\" for three per minute\n"},
    };
    CHECK_CASES(cases);
}

/* ---- files of units ---- */

static void a_wrong_file_of_units_is_refused_in_one_sentence(void **state)
{
    (void)state;
    static const struct {
        const char *text, *said;
    } cases[] = {
        {"[]", "units.json: expected a document in braces\n"},
        {"{\"shows\": {}}", "units.json: shows: unknown key; expected base and show\n"},
        {"{\"impinge\": 2, \"show\": {}}", "units.json: impinge: expected the version 1\n"},
        {"{\"impinge\": \"1\", \"show\": {}}", "units.json: impinge: expected the version 1\n"},
        {"{\"kind\": \"job\", \"show\": {}}", "units.json: kind: expected \"units\"\n"},
        {"{\"kind\": 1, \"show\": {}}", "units.json: kind: expected \"units\"\n"},
        {"{\"base\": \"uk\", \"show\": {}}", "units.json: base: expected \"si\" or \"us\"\n"},
        {"{\"base\": 1, \"show\": {}}", "units.json: base: expected \"si\" or \"us\"\n"},
        {"{\"base\": \"us\"}", "units.json: show: missing: expected which unit is shown as which, such as {\"bar\": \"kPa\"}\n"},
        {"{\"show\": [\"bar\"]}", "units.json: show: missing: expected which unit is shown as which, such as {\"bar\": \"kPa\"}\n"},
        {"{\"show\": {\"bar\": 1}}", "units.json: show: expected a unit in quotes for each unit, such as \"bar\": \"kPa\"\n"},
        {"{\"show\": {\"degC\": \"K\"}}", NULL},
        {"{\"show\": {\"bar\": \"kPa\"}", "units.json:1"},
        {"{\"show\": {\"bra\": \"kPa\"}}", "units.json: show.bra: "},
        {"{\"show\": {\"bar\": \"kpA\"}}", "units.json: show.bar: "},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        write_file("units.json", cases[i].text);
        run_result result = shell(KINDS "x=1 --units units.json");
        if (cases[i].said == NULL) {
            assert_int_equal(result.code, 4);
            assert_contains(result.err, "a reading of temperature cannot be shown as a difference, nor the other way round");
        } else {
            if (result.code != 4 || strstr(result.err, cases[i].said) != result.err)
                fail_msg("%s: exit code %d, \"%s\"", cases[i].text, result.code, result.err);
        }
        assert_string_equal(result.out, "");
        done(&result);
    }
}

static void the_same_value_is_shown_with_any_file_of_units(void **state)
{
    (void)state;
    write_file("units.json", "{\"base\": \"si\", \"name\": \"ours\", \"note\": \"invented\", \"show\": {\"s\": \"min\"}}");
    run_result bare = shell(KINDS "x=1"), own = shell(KINDS "x=1 --units units.json"), us = shell(KINDS "x=1 --units us");
    assert_int_equal(bare.code, 0);
    assert_string_equal(own.out, bare.out); /* pure numbers have no unit to change */
    assert_string_equal(us.out, bare.out);
    done(&bare);
    done(&own);
    done(&us);
}

static int make_calculators(void **state)
{
    if (make_folder(state) != 0)
        return -1;
    write_file("kinds.lua", kinds);
    write_file("flags.lua", flags);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_sweep_shows_flags_and_words_beside_numbers),
        cmocka_unit_test(a_sheet_stands_under_every_kind_of_question),
        cmocka_unit_test(only_numbers_have_slopes_and_uncertainties),
        cmocka_unit_test(what_is_no_number_is_refused_where_one_is_needed),
        cmocka_unit_test(a_calculator_explains_its_rows_whatever_they_are),
        cmocka_unit_test(an_endless_name_is_refused_as_any_other),
        cmocka_unit_test(a_chart_leaves_out_what_is_no_number_and_what_was_refused),
        cmocka_unit_test(a_sweep_of_absurdly_many_steps_is_refused),
        cmocka_unit_test(a_wrong_file_of_units_is_refused_in_one_sentence),
        cmocka_unit_test(the_same_value_is_shown_with_any_file_of_units),
    };
    return cmocka_run_group_tests(tests, make_calculators, remove_folder);
}
