/* Cases that rule files declare: what "impinge test" says of them, and that the pre-job check leaves them alone. */
#include "shell.h"

static const char rules[] =
    "rule { id = 'two', title = 'Two people (invented)', group = 'work', stage = 'plan', uses = { 'crew' },\n"
    "  compute = function(job) return job.crew end, at_least = q '2', caution_below = q '3', source = 'practice' }\n"
    "rule { id = 'short', title = 'Short hose (invented)', group = 'work', stage = 'site', uses = { 'site.altitude' },\n"
    "  compute = function(job) return job.site.altitude end, at_most = q '100 m', lever = { 'site.altitude' }, source = 'practice' }\n"
    "rule { id = 'thrower', title = 'Throws (invented)', group = 'work', stage = 'plan', at_most = q '1',\n"
    "  compute = function(job) return job.crew + q '1 m' end, source = 'practice' }\n";

static run_result test_of(const char *cases)
{
    char text[8192];
    snprintf(text, sizeof text, "%s%s", rules, cases);
    write_file("cases.lua", text);
    return shell("impinge test cases.lua");
}

static void cases_that_hold_say_so_in_their_order(void **state)
{
    (void)state;
    run_result result = test_of(
        "case { rule = 'two', name = 'alone', job = { crew = 1 }, verdict = 'stop', reason = 'below', value = 1, limit = 2 }\n"
        "case { rule = 'two', job = { crew = q '2' }, verdict = 'caution' }\n"
        "case { rule = 'two', name = 'silent', job = {}, verdict = 'not known', missing = { 'crew' } }\n"
        "case { rule = 'short', name = 'high', job = { site = { altitude = q '0.3 km' } }, verdict = 'stop', value = q '300 m',\n"
        "  passes = { ['site.altitude'] = q '100 m' }, within = q '1 m' }\n"
        "case { rule = 'short', name = 'office', stage = 'plan', job = {}, verdict = 'to be read on site' }\n"
        "case { rule = 'plug-rating', name = 'of the standard rules', job = {}, verdict = 'not known' }\n");
    assert_string_equal(result.err, "");
    assert_string_equal(result.out, "ok      two: alone\nok      two: case 2\nok      two: silent\nok      short: high\nok      short: office\n"
                                    "ok      plug-rating: of the standard rules\n6 of 6 cases hold\n");
    assert_int_equal(result.code, 0);
    done(&result);
}

static void cases_that_fail_say_what_came_instead(void **state)
{
    (void)state;
    run_result result = test_of(
        "case { rule = 'two', name = 'verdict', job = { crew = 1 }, verdict = 'go' }\n"
        "case { rule = 'two', name = 'value', job = { crew = 1 }, verdict = 'stop', value = 7 }\n"
        "case { rule = 'two', name = 'kind', job = { crew = 1 }, verdict = 'stop', value = q '1 m' }\n"
        "case { rule = 'two', name = 'reason', job = { crew = 1 }, verdict = 'stop', reason = 'above' }\n"
        "case { rule = 'two', name = 'missing', job = {}, verdict = 'not known', missing = { 'shift' } }\n"
        "case { rule = 'two', name = 'lever', job = { crew = 1 }, verdict = 'stop', passes = { crew = 2 } }\n"
        "case { rule = 'two', name = 'field', job = { crews = 1 }, verdict = 'stop' }\n"
        "case { rule = 'two', name = 'unit', job = { crew = 1, site = { altitude = '3 bar' } }, verdict = 'stop' }\n"
        "case { rule = 'two', name = 'holds', job = { crew = 3 }, verdict = 'go' }\n");
    assert_int_equal(result.code, 2);
    assert_contains(result.out, "FAILED  two: verdict: it is stop (below its lower limit), expected go\n");
    assert_contains(result.out, "FAILED  two: value: value is 1, expected 7\n");
    assert_contains(result.out, "FAILED  two: kind: value: ");
    assert_contains(result.out, "FAILED  two: reason: the reason is \"below its lower limit\", expected \"above\" in it\n");
    assert_contains(result.out, "FAILED  two: missing: shift is not among what is missing\n");
    assert_contains(result.out, "FAILED  two: lever: crew: no value of it makes the rule pass\n");
    assert_contains(result.out, "FAILED  two: field: job: crews: ");
    assert_contains(result.out, "FAILED  two: unit: job: site.altitude: expected a length");
    assert_contains(result.out, "ok      two: holds\n1 of 9 cases hold\n");
    done(&result);
}

/* A script that fails is a stop in a check, so that a case which expects a stop would otherwise hide a broken rule. */
static void case_whose_script_fails_never_holds(void **state)
{
    (void)state;
    run_result result = test_of(
        "case { rule = 'thrower', name = 'stop', job = { crew = 1 }, verdict = 'stop' }\n"
        "case { rule = 'thrower', name = 'reason', job = { crew = 1 }, verdict = 'stop', reason = 'cannot add' }\n"
        "case { rule = 'two', name = 'holds', job = { crew = 1 }, verdict = 'stop' }\n");
    assert_int_equal(result.code, 2);
    assert_contains(result.out, "FAILED  thrower: stop: the rule's script failed: cases.lua:6: ");
    assert_contains(result.out, "cannot add");
    assert_contains(result.out, "FAILED  thrower: reason: the rule's script failed: cases.lua:6: ");
    assert_contains(result.out, "ok      two: holds\n1 of 3 cases hold\n");
    done(&result);
}

static void check_says_to_correct_a_script_that_fails(void **state)
{
    (void)state;
    write_file("thrower.lua", "rule { id = 'thrower', title = 'Throws (invented)', group = 'work', stage = 'plan', at_most = q '1',\n"
                              "  compute = function(job) return job.crew + q '1 m' end, source = 'practice', advice = 'Send another person.' }\n");
    run_result result = shell("impinge check " IMP_SOURCE_FOLDER "/examples/orchard-store/job.json --rules thrower.lua");
    assert_int_equal(result.code, 2);
    assert_contains(result.out, "the rule's script failed: ");
    assert_contains(result.out, "Do      Correct the script");
    assert_null(strstr(result.out, "Send another person"));
    done(&result);
}

static void wrong_declarations_are_refused_in_one_sentence(void **state)
{
    (void)state;
    static const struct { const char *cases, *message; int code; } wrong[] = {
        {"case { rule = 'too', job = {}, verdict = 'go' }\n", "cases.lua:7: case: there is no rule \"too\" declared before it", 5},
        {"case { rule = 'two', job = {}, verdict = 'fine' }\n", "cases.lua:7: case: verdict must be one of stop, not known, ", 5},
        {"case { rule = 'two', verdict = 'go' }\n", "cases.lua:7: case: job must be a table", 5},
        {"case { rule = 'two', job = {}, verdict = 'go', stag = 'plan' }\n", "cases.lua:7: case: has no field \"stag\"", 5},
        {"case 'two'\n", "cases.lua:7: case: expected its fields in braces", 5},
        {"", "cases.lua: declares no cases; add case {", 4},
    };
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        run_result result = test_of(wrong[i].cases);
        assert_int_equal(result.code, wrong[i].code);
        assert_string_equal(result.out, "");
        assert_contains(result.err, wrong[i].message);
        assert_ptr_equal(strchr(result.err, '\n'), result.err + strlen(result.err) - 1);
        done(&result);
    }
    write_file("nothing.lua", "print 'read once'\n");
    static const command_case nothing = {
        "impinge test nothing.lua", 4, "read once\n",
        "nothing.lua: declares no calculator and no rule; \"impinge new calculator NAME\" and \"impinge new rule NAME\" write one to begin with\n"};
    check_case(&nothing);
}

static void mistyped_ids_and_groups_are_told_of(void **state)
{
    (void)state;
#define CHECK_TYPED "impinge check " IMP_SOURCE_FOLDER "/examples/orchard-store/job.json --rules typed.lua"
    static const struct { const char *rules, *message; int code; } typed[] = {
        {"silence { id = 'wind-sped-in-window', reason = 'tried' }\n",
         "impinge: typed.lua:1: silence: there is no rule \"wind-sped-in-window\"; did you mean \"wind-speed-in-window\"?\n", 5},
        {"tighten { id = 'zzz', at_least = q '1' }\n", "impinge: typed.lua:1: tighten: there is no rule \"zzz\"\n", 5},
        {"rule { id = 'two', title = 'Two (invented)', group = 'wether', stage = 'plan', compute = function() return q '2' end, at_least = q '1' }\n",
         "impinge: typed.lua:1: rule: \"two\": the group \"wether\" is new; did you mean \"weather\"?\n", 0},
        {"rule { id = 'two', title = 'Two (invented)', group = 'scaffold', stage = 'plan', compute = function() return q '2' end, at_least = q '1' }\n",
         "", 0},
    };
    for (size_t i = 0; i < sizeof typed / sizeof typed[0]; i++) {
        write_file("typed.lua", typed[i].rules);
        run_result result = shell(CHECK_TYPED);
        assert_string_equal(result.err, typed[i].message);
        assert_int_equal(result.code, typed[i].code);
        if (i == 2)
            assert_contains(result.out, "Two (invented) [wether: two]");
        done(&result);
    }
}

static void endless_case_ends_by_the_budget(void **state)
{
    (void)state;
    run_result result = test_of("rule { id = 'endless', title = 'Endless (invented)', group = 'work', stage = 'plan', at_most = q '1',\n"
                                "  compute = function() while true do end end, source = 'practice' }\n"
                                "case { rule = 'endless', job = {}, verdict = 'stop', reason = 'used up its budget' }\n"
                                "case { rule = 'plug-rating', name = 'judged behind it', job = {}, verdict = 'not known' }\n");
    assert_int_equal(result.code, 2);
    assert_contains(result.out, "FAILED  endless: case 1: the rule's script failed: ");
    assert_contains(result.out, "used up its budget");
    assert_contains(result.out, "ok      plug-rating: judged behind it\n");
    done(&result);
}

static void check_leaves_cases_alone(void **state)
{
    (void)state;
    run_result tested = test_of("case { rule = 'two', name = 'wrong', job = { crew = 1 }, verdict = 'go' }\n");
    assert_int_equal(tested.code, 2);
    run_result checked = shell("impinge check " IMP_SOURCE_FOLDER "/examples/orchard-store/job.json --rules cases.lua --format json");
    assert_contains(checked.out, "\"id\": \"two\"");
    assert_string_equal(checked.err, "");
    done(&tested);
    done(&checked);
}

static void example_holds(void **state)
{
    (void)state;
    run_result result = shell("impinge test " IMP_SOURCE_FOLDER "/examples/company-rules.lua");
    assert_int_equal(result.code, 0);
    assert_contains(result.out, "4 of 4 cases hold\n");
    done(&result);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cases_that_hold_say_so_in_their_order),
        cmocka_unit_test(cases_that_fail_say_what_came_instead),
        cmocka_unit_test(case_whose_script_fails_never_holds),
        cmocka_unit_test(check_says_to_correct_a_script_that_fails),
        cmocka_unit_test(wrong_declarations_are_refused_in_one_sentence),
        cmocka_unit_test(mistyped_ids_and_groups_are_told_of),
        cmocka_unit_test(endless_case_ends_by_the_budget),
        cmocka_unit_test(check_leaves_cases_alone),
        cmocka_unit_test(example_holds),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
