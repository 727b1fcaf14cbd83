/* The command impinge, run as a person runs it: what it prints, where, and what it tells the shell.
 * Over 500 lines: many small cases of one subject. */
#include "shell.h"
#include "support.h"

#include <cjson/cJSON.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "catalogue.h"

/* ---- calc ---- */

static void one_result_stands_alone_on_its_line(void **state)
{
    (void)state;
    static const command_case cases[] = {
        /* 9.3 degC: dew point at 20 degC and 50 %, as psychrometric tables print it */
        {"impinge calc climate.dew_point air_temperature='20 degC' relative_humidity='50 %'", 0, "9.3 degC\n", NULL},
        {"impinge calc --format text climate.dew_point relative_humidity=0.5 air_temperature='68 degF'", 0,
         "9.3 degC\n", NULL},
    };
    CHECK_CASES(cases);
}

static void several_results_stand_under_each_other(void **state)
{
    (void)state;
    run_result result =
        shell("impinge calc climate.surface_condition air_temperature='20 degC' relative_humidity='50 %' "
              "surface_temperature='12 degC'");
    assert_int_equal(result.code, 0);
    const char *dew_point = strstr(result.out, "dew_point "), *spread = strstr(result.out, "spread ");
    assert_non_null(dew_point);
    assert_non_null(spread);
    const char *value = strstr(dew_point, "9.3 degC"), *difference = strstr(spread, "2.7");
    assert_non_null(value);
    assert_non_null(difference); /* 12 less 9.3 */
    assert_int_equal(value - dew_point, difference - spread);
    done(&result);
}

static void json_gives_all_digits_and_the_inputs_as_typed(void **state)
{
    (void)state;
    cJSON *json =
        json_of("impinge calc climate.dew_point air_temperature='0.1 degC' relative_humidity='50 %' --format json");
    assert_int_equal(member(json, "impinge")->valueint, 1);
    assert_string_equal(member(json, "calculation")->valuestring, "climate.dew_point");
    const cJSON *temperature = member(member(json, "inputs"), "air_temperature");
    assert_true(member(temperature, "value")->valuedouble == 0.1);
    assert_string_equal(member(temperature, "unit")->valuestring, "degC");
    assert_string_equal(member(member(json, "inputs"), "humidity_over")->valuestring, "branch"); /* the default */

    /* the printed value is the computed double: parsed back to SI it is bit for bit the library's */
    double in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
    const imp_calc *calc = imp_catalogue_find("climate.dew_point");
    assert_non_null(calc);
    for (size_t i = 0; i < calc->input_count; i++)
        in[i] = (double)NAN;
    in[0] = 0.1 + 273.15;
    in[1] = 0.5;
    assert_int_equal(imp_calc_numbers(calc, in, out, NULL), IMP_OK);
    assert_true(member(member(member(json, "outputs"), "dew_point"), "value")->valuedouble + 273.15 == out[0]);
    cJSON_Delete(json);
}

static void sheet_shows_formula_numbers_and_source(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("climate.dew_point");
    assert_non_null(calc);
    run_result result =
        shell("impinge calc climate.dew_point air_temperature='20 degC' relative_humidity='50 %' --sheet");
    assert_int_equal(result.code, 0);
    assert_contains(result.out, calc->title);
    assert_contains(result.out, calc->formula);
    assert_contains(result.out, "air_temperature");
    assert_contains(result.out, "20 degC");
    assert_contains(result.out, "ASHRAE Handbook Fundamentals");
    done(&result);
    cJSON *json = json_of(
        "impinge calc climate.dew_point air_temperature='20 degC' relative_humidity='50 %' --sheet --format json");
    const cJSON *first = cJSON_GetArrayItem(member(json, "sheet"), 0);
    assert_string_equal(member(first, "role")->valuestring, "input");
    assert_true(member(member(first, "value"), "value")->valuedouble == 20.0);
    cJSON_Delete(json);
}

static void wrong_inputs_are_refused_in_one_sentence(void **state)
{
    (void)state;
    static const command_case cases[] = {
        {"impinge calc climate.dewpoint", 3, NULL,
         "climate.dewpoint: unknown calculation; did you mean \"climate.dew_point\"?\n"},
        {"impinge calc climate.dew_point 'air_temperature'", 3, NULL,
         "climate.dew_point: expected NAME=VALUE, got \"air_temperature\"\n"},
        {"impinge calc climate.dew_point air_temperatur='20 degC'", 3, NULL,
         "climate.dew_point: air_temperatur: unknown input; did you mean \"air_temperature\"?\n"},
        {"impinge calc climate.dew_point", 3, NULL, "climate.dew_point: missing air_temperature, relative_humidity\n"},
        {"impinge calc climate.dew_point air_temperature='20 degC' relative_humidity='140 %'", 3, NULL,
         "climate.dew_point: relative_humidity: 140 % is above 100 %\n"},
        {"impinge calc climate.dew_point air_temperature='4 C' relative_humidity='50 %'", 3, NULL,
         "climate.dew_point: air_temperature: expected a temperature such as \"20 degC\", got \"4 C\"; C is coulomb: write \"4 degC\"\n"},
        {"impinge calc climate.dew_point air_temperature='40 F' relative_humidity='50 %'", 3, NULL,
         "climate.dew_point: air_temperature: expected a temperature such as \"20 degC\", got \"40 F\"; F is farad: write \"40 degF\"\n"},
        {"impinge calc climate.dew_point air_temperature='40 mF' relative_humidity='50 %'", 3, NULL,
         "climate.dew_point: air_temperature: expected a temperature such as \"20 degC\", got \"40 mF\"\n"},
        {"impinge calc climate.dew_point air_temperature='4 degC' relative_humidity=70", 3, NULL,
         "climate.dew_point: relative_humidity: 7000 % is above 100 %; write \"70 %\"\n"},
        {"impinge calc climate.dew_point air_temperature='4 degC' relative_humidity='700 %'", 3, NULL,
         "climate.dew_point: relative_humidity: 700 % is above 100 %\n"},
        {"impinge calc climate.dew_point air_temperature='20 degC' air_temperature='20 degC'", 3, NULL,
         "climate.dew_point: air_temperature: given twice\n"},
        {"impinge calc zzzzzzzzzzz", 3, NULL, "zzzzzzzzzzz: unknown calculation; \"impinge list\" shows them all\n"},
        {"impinge explain climate.dewpoint", 3, NULL,
         "climate.dewpoint: unknown calculation; did you mean \"climate.dew_point\"?\n"},
    };
    CHECK_CASES(cases);
}

/* ---- explain and list ---- */

static void every_calculation_explains_itself_with_an_example_that_works(void **state)
{
    (void)state;
    const imp_calc *calc;
    assert_true(imp_catalogue_count() > 50);
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++) {
        char command[COMMAND_SIZE];
        snprintf(command, sizeof command, "impinge explain %s", calc->id);
        run_result text = shell(command);
        assert_int_equal(text.code, 0);
        assert_contains(text.out, calc->title);
        for (size_t input = 0; input < calc->input_count; input++)
            assert_contains(text.out, calc->inputs[input].name);
        for (size_t output = 0; output < calc->output_count; output++)
            assert_contains(text.out, calc->outputs[output].name);
        done(&text);

        snprintf(command, sizeof command, "impinge explain %s --format json", calc->id);
        cJSON *json = json_of(command);
        const cJSON *entry = cJSON_GetArrayItem(member(json, "calculations"), 0);
        const cJSON *example = cJSON_GetObjectItemCaseSensitive(entry, "example");
        if (example == NULL)
            print_error("%s has no example\n", calc->id);
        assert_non_null(example);
        snprintf(command, sizeof command, "%s --format json --sheet", example->valuestring);
        cJSON *outcome = json_of(command);
        assert_int_equal(cJSON_GetArraySize(member(outcome, "outputs")), calc->output_count);
        cJSON_Delete(outcome);
        cJSON_Delete(json);
    }
}

static void list_shows_every_calculation_and_filters_by_words(void **state)
{
    (void)state;
    run_result all = shell("impinge list");
    assert_int_equal(all.code, 0);
    const imp_calc *calc;
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++)
        assert_contains(all.out, calc->id);
    done(&all);
    run_result some = shell("impinge list DEW point");
    assert_contains(some.out, "climate.dew_point");
    assert_null(strstr(some.out, "climate.wood_moisture"));
    done(&some);
    const command_case none = {"impinge list quodlibet", 0, NULL,
                               "impinge: no calculation mentions all of that; \"impinge list\" shows them all\n"};
    check_case(&none);
}

static void json_list_holds_the_whole_interface(void **state)
{
    (void)state;
    cJSON *json = json_of("impinge list --format json");
    const cJSON *calculations = member(json, "calculations"), *command;
    assert_int_equal(cJSON_GetArraySize(calculations), imp_catalogue_count());
    int index = 0;
    for (const cJSON *entry = calculations->child; entry != NULL; entry = entry->next, index++) {
        const imp_calc *calc = imp_catalogue_at((size_t)index);
        assert_string_equal(member(entry, "id")->valuestring, calc->id);
        assert_int_equal(cJSON_GetArraySize(member(entry, "inputs")), calc->input_count);
        assert_int_equal(cJSON_GetArraySize(member(entry, "outputs")), calc->output_count);
        assert_true(cJSON_IsString(member(entry, "room_title")));
    }
    /* and every command's help names every option that the list gives it */
    cJSON_ArrayForEach(command, member(json, "commands"))
    {
        char line[COMMAND_SIZE];
        const cJSON *option;
        snprintf(line, sizeof line, "impinge %s --help", member(command, "name")->valuestring);
        run_result help = shell(line);
        assert_int_equal(help.code, 0);
        assert_string_equal(help.err, "");
        cJSON_ArrayForEach(option, member(command, "options"))
            assert_contains(help.out, member(option, "name")->valuestring);
        done(&help);
    }
    cJSON_Delete(json);
}

/* ---- the command line ---- */

static void wrong_command_lines_end_with_3_and_a_hint(void **state)
{
    (void)state;
    static const command_case cases[] = {
        {"impinge", 3, NULL, "impinge: expected a command; \"impinge --help\" lists them\n"},
        {"impinge clac", 3, NULL, "impinge: unknown command \"clac\"; did you mean \"calc\"?\n"},
        {"impinge quodlibet", 3, NULL, "impinge: unknown command \"quodlibet\"; \"impinge --help\" lists them\n"},
        {"impinge --stage", 3, NULL, "impinge: unknown option \"--stage\"; \"impinge --help\" lists them\n"},
        {"impinge calc", 3, NULL, "impinge calc: expected ID-or-FILE.lua [NAME=VALUE]...; \"impinge calc --help\" says more\n"},
        {"impinge explain a b", 3, NULL, "impinge explain: expected ID-or-FILE.lua only, got \"b\" too\n"},
        {"impinge list --formt json", 3, NULL,
         "impinge list: unknown option \"--formt\"; did you mean \"--format\"?\n"},
        {"impinge list --format yaml", 3, NULL, "impinge list: --format: expected one of text, json, got \"yaml\"\n"},
        {"impinge list --format", 3, NULL, "impinge list: --format: expected FORMAT, got nothing\n"},
        {"impinge list --format json --format=text", 3, NULL, "impinge list: --format is given twice\n"},
        {"impinge calc x --sheet=yes", 3, NULL, "impinge calc: --sheet takes no value, got \"yes\"\n"},
        {"impinge eval --max-seconds 1e9 1", 3, NULL,
         "impinge eval: --max-seconds: expected a number from 0.01 to 86400, got \"1e9\"\n"},
        {"impinge eval --max-seconds nan 1", 3, NULL,
         "impinge eval: --max-seconds: expected a number from 0.01 to 86400, got \"nan\"\n"},
        {"impinge list -o ''", 3, NULL, "impinge list: --output: expected FILE, got an empty text\n"},
    };
    CHECK_CASES(cases);
}

static void help_and_version_go_to_standard_output(void **state)
{
    (void)state;
    run_result help = shell("impinge --help"), version = shell("impinge --version");
    assert_int_equal(help.code, 0);
    assert_string_equal(help.err, "");
    assert_contains(help.out, "check");
    assert_contains(help.out, "never replace the supplier's data sheets, local codes and licensed practice");
    assert_int_equal(version.code, 0);
    assert_string_equal(version.out, "impinge " IMP_VERSION "\n");
    done(&help);
    done(&version);
}

static void output_goes_to_a_file_whole_or_not_at_all(void **state)
{
    (void)state;
    char path[PATH_SIZE];
    run_result result =
        shell("impinge calc climate.dew_point air_temperature='20 degC' relative_humidity='50 %' -oresult.txt");
    char *text = read_file(in_folder("result.txt", path));
    assert_int_equal(result.code, 0);
    assert_string_equal(result.out, "");
    assert_string_equal(text, "9.3 degC\n");
    free(text);
    done(&result);
    result =
        shell("impinge calc climate.dew_point air_temperature='20 degC' relative_humidity='140 %' --output result.txt");
    text = read_file(path);
    assert_int_equal(result.code, 3);
    assert_string_equal(text, "9.3 degC\n"); /* as it was */
    free(text);
    done(&result);
    result = shell("impinge list -o missing/result.txt");
    assert_int_equal(result.code, 7);
    assert_contains(result.err, "missing/result.txt");
    done(&result);
}

static void a_reader_that_goes_away_is_no_error(void **state)
{
    (void)state;
    static const command_case cases[] = {
        {"(sleep 0.1; impinge list --format json; echo $? >&2) | true", 0, NULL, "0\n"},
        {"(sleep 0.1; impinge eval 'string.rep(\"a\", 300000)'; echo $? >&2) | true", 0, NULL, "0\n"},
    };
    CHECK_CASES(cases);
}

static void a_full_disk_ends_with_7(void **state)
{
    (void)state;
    if (access("/dev/full", W_OK) != 0)
        skip();
    run_result result = shell("impinge list > /dev/full");
    assert_int_equal(result.code, 7);
    assert_contains(result.err, "impinge: the output could not be written: ");
    done(&result);
}

static void colour_comes_only_when_asked_for(void **state)
{
    (void)state;
    run_result plain = shell("impinge list"), forced = shell("NO_COLOR=1 impinge list --color always"),
               never = shell("impinge list --color=never");
    assert_null(strchr(plain.out, '\033'));      /* not a terminal */
    assert_non_null(strchr(forced.out, '\033')); /* the option is stronger than the variable */
    assert_null(strchr(never.out, '\033'));
    done(&plain);
    done(&forced);
    done(&never);
}

/* ---- eval ---- */

static void eval_shows_what_a_line_gives(void **state)
{
    (void)state;
    static const command_case cases[] = {
        {"impinge eval '1 + 2'", 0, "3\n", NULL},
        {"impinge eval '1 / 3'", 0, "0.3333333333333333\n", NULL}, /* the shortest that reads back the same */
        {"impinge eval '0.1 + 0.2'", 0, "0.30000000000000004\n", NULL},
        {"impinge eval '2^40'", 0, "1099511627776\n", NULL},
        {"impinge eval 'q\"3 bar\" * 2'", 0, "6 bar\n", NULL},
        {"impinge eval 'q\"0.1 degC\"'", 0, "0.1 degC\n", NULL},
        {"impinge eval 'q\"14 degC\" - q\"9.5 degC\"'", 0, "4.5 K\n", NULL},
        {"impinge eval 'q\"8 bar\":to \"kPa\"'", 0, "800 kPa\n", NULL},
        {"impinge eval 'imp.climate.dew_point{ air_temperature = q\"20 degC\", relative_humidity = q\"50 %\" "
         "}:to(\"degC\", 2)'",
         0, "9.3 degC\n", NULL},
        {"impinge eval '{ b = q\"2 m\", a = 1.5, c = \"text\" }'", 0, "a = 1.5\nb = 2 m\nc = text\n", NULL},
        {"impinge eval '{ inner = { 1, 2 }, empty = {} }'", 0, "empty = {}\ninner[1] = 1\ninner[2] = 2\n", NULL},
        {"impinge eval '{ \"x\", \"y\" }'", 0, "x\ny\n", NULL},
        {"impinge eval 'nil'", 0, NULL, NULL},
        {"impinge eval '\"as it is\"'", 0, "as it is\n", NULL},
        {"impinge eval '1, nil, true'", 0, "1\ntrue\n", NULL},
        {"impinge eval 'local x = 3; return x * 2'", 0, "6\n", NULL},
        {"impinge eval 'print(5)'", 0, "5\n", NULL},
        {"impinge eval -- '-5'", 0, "-5\n", NULL},
        {"impinge eval 'foo('", 5, NULL, "eval:1: unexpected symbol near <eof>\n"},
        {"LUA_INIT='error(1)' LUA_PATH=/ impinge eval 1", 0, "1\n", NULL},
        {"LC_ALL=de_DE.UTF-8 impinge eval '1.5'", 0, "1.5\n", NULL},
    };
    CHECK_CASES(cases);
}

static void eval_reads_lines_and_keeps_what_they_assign(void **state)
{
    (void)state;
    static const command_case cases[] = {
        {"printf 'x = 4\\nx + 1\\nfunction f(a)\\nreturn a * 2\\nend\\nf(x)\\n' | impinge eval", 0, "5\n8\n", NULL},
        {"printf '1\\nf(\\n' | impinge eval", 5, "1\n", "eval:1: unexpected symbol near <eof>\n"},
        {"printf '' | impinge eval", 0, NULL, NULL},
        {"printf '7' | impinge eval", 0, "7\n", NULL},
    };
    CHECK_CASES(cases);
}

static void a_failing_line_ends_with_5_and_its_place(void **state)
{
    (void)state;
    run_result mixed = shell("impinge eval 'q\"3 bar\" + q\"2 m\"'");
    assert_int_equal(mixed.code, 5);
    assert_string_equal(mixed.out, "");
    assert_string_equal(mixed.err, "eval:1: cannot add a pressure and a length\n");
    done(&mixed);
    run_result undeclared = shell("impinge eval 'preasure + 1'");
    assert_int_equal(undeclared.code, 5);
    assert_contains(undeclared.err, "preasure");
    done(&undeclared);
}

/* ---- run ---- */

static void run_gives_the_script_its_arguments(void **state)
{
    (void)state;
    write_file("arguments.lua", "for i = 1, #arg do print(i, arg[i]) end\n");
    static const command_case cases[] = {
        {"impinge run arguments.lua a --help -o", 0, "1\ta\n2\t--help\n3\t-o\n", NULL},
        {"impinge run arguments.lua", 0, NULL, NULL},
        {"impinge run -- arguments.lua -- x", 0, "1\t--\n2\tx\n", NULL},
    };
    CHECK_CASES(cases);
    run_result file = shell("impinge run -o lines.txt arguments.lua one && cat lines.txt");
    assert_string_equal(file.out, "1\tone\n");
    done(&file);
}

static void run_finds_modules_beside_the_script(void **state)
{
    (void)state;
    char path[PATH_SIZE];
    mkdir(in_folder("site", path), 0700);
    write_file("site/beside.lua", "return { answer = 42 }\n");
    write_file("site/main.lua", "print(require(\"beside\").answer)\n");
    const command_case beside = {"impinge run site/main.lua", 0, "42\n", NULL};
    check_case(&beside);
}

static void a_failing_script_ends_with_5_and_its_line(void **state)
{
    (void)state;
    write_file("failing.lua", "print(\"before\")\nerror(\"no luck\")\n");
    run_result result = shell("impinge run failing.lua");
    assert_int_equal(result.code, 5);
    assert_string_equal(result.out, "before\n");
    assert_string_equal(result.err, "failing.lua:2: no luck\n");
    done(&result);
    result =
        shell("impinge run -o failing.txt failing.lua; code=$?; test ! -e failing.txt || echo written; exit $code");
    assert_int_equal(result.code, 5);
    assert_string_equal(result.out, "");
    done(&result);
    result = shell("impinge run missing.lua");
    assert_int_equal(result.code, 4);
    assert_contains(result.err, "missing.lua");
    done(&result);
}

static void the_sandbox_is_lifted_by_trust_alone(void **state)
{
    (void)state;
    write_file("reach.lua", "print(os.getenv(\"HOME\") ~= nil)\n");
    run_result caged = shell("impinge run reach.lua"), trusted = shell("HOME=/ impinge run --trust reach.lua");
    assert_int_equal(caged.code, 5);
    assert_string_equal(caged.out, "");
    assert_int_equal(trusted.code, 0);
    assert_string_equal(trusted.out, "true\n");
    done(&caged);
    done(&trusted);
}

static void each_budget_ends_with_6_and_names_itself(void **state)
{
    (void)state;
    static const struct {
        const char *command, *said;
    } cases[] = {
        {"impinge eval --max-steps 10000 'while true do end'", "used up its budget of"},
        {"impinge eval --max-seconds 0.05 'while true do pcall(function() while true do end end) end'",
         "used up its budget of"},
        {"impinge eval --max-memory 4 'local t = {} for i = 1, 1e7 do t[i] = {} end'", "used up its budget of"},
        {"impinge eval --max-output 0.01 'for i = 1, 1e5 do print(i) end'", "used up its budget of"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        run_result result = shell(cases[i].command);
        if (result.code != 6)
            print_error("%s: exit code %d, %s\n", cases[i].command, result.code, result.err);
        assert_int_equal(result.code, 6);
        assert_contains(result.err, cases[i].said);
        done(&result);
    }
}

/* ---- check ---- */

static void faults_of_a_job_are_all_named_and_end_with_4(void **state)
{
    (void)state;
    write_file("wrong.json", "{ \"impinge\": 1, \"name\": \"wrong\",\n  \"site\": { \"air_temperature\": \"12 bar\",\n"
                             "    \"relative_humidty\": \"50 %\" } }\n");
    run_result result = shell("impinge check wrong.json");
    assert_int_equal(result.code, 4);
    assert_string_equal(result.out, "");
    assert_contains(result.err, "wrong.json:2:32: site.air_temperature: expected a temperature such as \"20 degC\", got \"12 bar\"\n");
    assert_contains(result.err,
                    "wrong.json:3:5: site.relative_humidty: unknown key; did you mean \"relative_humidity\"?\n");
    assert_contains(result.err, "wrong.json:1:1: rig: missing");
    done(&result);
    result =
        shell("impinge check missing.json -o report.txt; code=$?; test ! -e report.txt || echo written; exit $code");
    assert_int_equal(result.code, 4);
    assert_string_equal(result.out, "");
    assert_contains(result.err, "missing.json");
    done(&result);
}

#define EXAMPLE IMP_SOURCE_FOLDER "/examples/orchard-store/"

static void the_verdict_is_the_exit_code(void **state)
{
    (void)state;
    static const struct {
        const char *command, *verdict;
        int code;
    } cases[] = {
        {"impinge check " EXAMPLE "job.json --format json --stage plan", NULL, -1},
        {"impinge check " EXAMPLE "job.json --format json", NULL, -1},
        {"impinge check " EXAMPLE "bad-day.json --format json", "stop", 2},
        {"impinge check " EXAMPLE "bad-day.json --format json --rules " IMP_SOURCE_FOLDER "/examples/company-rules.lua",
         "stop", 2},
    };
    static const char *const verdicts[] = {"go", "caution", "stop"};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        run_result result = shell(cases[i].command);
        cJSON *json = cJSON_Parse(result.out);
        assert_non_null(json);
        assert_string_equal(result.err, "");
        assert_in_range(result.code, 0, 2);
        const char *verdict = member(json, "verdict")->valuestring;
        if (cases[i].verdict != NULL) {
            assert_string_equal(verdict, cases[i].verdict);
            assert_int_equal(result.code, cases[i].code);
        } else {
            assert_string_equal(verdict, verdicts[result.code]); /* the example job passes */
            assert_int_not_equal(result.code, 2);
        }
        cJSON_Delete(json);
        done(&result);
    }
}

static void a_report_goes_to_its_file_even_when_the_verdict_is_stop(void **state)
{
    (void)state;
    run_result result =
        shell("impinge check " EXAMPLE "bad-day.json --format html -o report.html; echo $?; head -c 9 report.html");
    assert_string_equal(result.out, "2\n<!doctype");
    assert_string_equal(result.err, "");
    done(&result);
}

static void faults_of_rule_files_end_with_their_codes(void **state)
{
    (void)state;
    write_file("endless.lua", "while true do end\n");
    write_file("broken.lua", "rule { id = \n");
    write_file("talkative.lua", "print(\"aside\")\n");
    static const struct {
        const char *command;
        int code;
        const char *said;
    } cases[] = {
        {"impinge check " EXAMPLE "job.json --rules missing.lua", 4, "missing.lua"},
        {"impinge check " EXAMPLE "job.json --rules broken.lua", 5, "broken.lua:"},
        {"impinge check " EXAMPLE "job.json --rules endless.lua --max-steps 100000", 6,
         "endless.lua:1: used up its budget of"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        run_result result = shell(cases[i].command);
        if (result.code != cases[i].code)
            print_error("%s: exit code %d, %s\n", cases[i].command, result.code, result.err);
        assert_int_equal(result.code, cases[i].code);
        assert_string_equal(result.out, "");
        assert_contains(result.err, cases[i].said);
        done(&result);
    }
    run_result aside = shell("impinge check " EXAMPLE "job.json --format json --rules talkative.lua");
    cJSON *json = cJSON_Parse(aside.out); /* what rules print does not spoil the report */
    assert_non_null(json);
    assert_string_equal(aside.err, "aside\n");
    cJSON_Delete(json);
    done(&aside);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_result_stands_alone_on_its_line),
        cmocka_unit_test(several_results_stand_under_each_other),
        cmocka_unit_test(json_gives_all_digits_and_the_inputs_as_typed),
        cmocka_unit_test(sheet_shows_formula_numbers_and_source),
        cmocka_unit_test(wrong_inputs_are_refused_in_one_sentence),
        cmocka_unit_test(every_calculation_explains_itself_with_an_example_that_works),
        cmocka_unit_test(list_shows_every_calculation_and_filters_by_words),
        cmocka_unit_test(json_list_holds_the_whole_interface),
        cmocka_unit_test(wrong_command_lines_end_with_3_and_a_hint),
        cmocka_unit_test(help_and_version_go_to_standard_output),
        cmocka_unit_test(output_goes_to_a_file_whole_or_not_at_all),
        cmocka_unit_test(a_reader_that_goes_away_is_no_error),
        cmocka_unit_test(a_full_disk_ends_with_7),
        cmocka_unit_test(colour_comes_only_when_asked_for),
        cmocka_unit_test(eval_shows_what_a_line_gives),
        cmocka_unit_test(eval_reads_lines_and_keeps_what_they_assign),
        cmocka_unit_test(a_failing_line_ends_with_5_and_its_place),
        cmocka_unit_test(run_gives_the_script_its_arguments),
        cmocka_unit_test(run_finds_modules_beside_the_script),
        cmocka_unit_test(a_failing_script_ends_with_5_and_its_line),
        cmocka_unit_test(the_sandbox_is_lifted_by_trust_alone),
        cmocka_unit_test(each_budget_ends_with_6_and_names_itself),
        cmocka_unit_test(faults_of_a_job_are_all_named_and_end_with_4),
        cmocka_unit_test(the_verdict_is_the_exit_code),
        cmocka_unit_test(a_report_goes_to_its_file_even_when_the_verdict_is_stop),
        cmocka_unit_test(faults_of_rule_files_end_with_their_codes),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
