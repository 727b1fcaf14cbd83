/* The parts that commands write with: text in JSON, values of every kind, columns of text, examples, ranges; and what is
 * shown of tables. */
#include "shell.h"

#include "calculation.h"
#include "completion.h"
#include "json.h"
#include "text_table.h"
#include "value_output.h"

/* ---- JSON ---- */

static cJSON *as_json(const char *text)
{
    output out;
    json_writer json;
    output_init(&out, "", "never");
    json_init(&json, &out);
    json_open_array_inline(&json);
    json_text(&json, text);
    json_close_array(&json);
    output_bytes(&out, "", 1);
    cJSON *read = cJSON_Parse(out.text);
    if (read == NULL)
        print_error("not JSON: %s\n", out.text);
    assert_non_null(read);
    output_free(&out);
    return read;
}

static void any_text_in_json_reads_back_as_it_was(void **state)
{
    (void)state;
    static const char *const texts[] = {"", "plain", "\"quoted\" \\", "line\nend", "tab\there", "bell\a and \x1f", "delete\x7f",
                                        "aé€𐍈", "\xed\x9f\xbf", "\xee\x80\x80", "\xf4\x8f\xbf\xbf", "\xe0\xa0\x80", "\xf0\x90\x80\x80"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        cJSON *read = as_json(texts[i]);
        assert_string_equal(read->child->valuestring, texts[i]);
        cJSON_Delete(read);
    }
}

/* RFC 3629: what is no UTF-8 is replaced byte by byte, what follows is kept. */
static void bytes_that_are_no_text_become_replacement_characters(void **state)
{
    (void)state;
#define NOT "\xef\xbf\xbd"
    static const struct {
        const char *bytes, *shown;
    } cases[] = {
        {"\x80" "a", NOT "a"},                        /* a continuation alone */
        {"\xc0\xaf", NOT NOT},                        /* an overlong slash */
        {"\xc3", NOT},                                /* cut off */
        {"\xc3(", NOT "("},
        {"\xe2\x82", NOT NOT},                        /* cut off in the middle */
        {"\xe2\x82(", NOT NOT "("},
        {"\xe0\x80\x80", NOT NOT NOT},                /* overlong */
        {"\xed\xa0\x80", NOT NOT NOT},                /* a surrogate */
        {"\xf0\x80\x80\x80", NOT NOT NOT NOT},        /* overlong */
        {"\xf4\x90\x80\x80", NOT NOT NOT NOT},        /* beyond U+10FFFF */
        {"\xf5" "b", NOT "b"},
        {"\xf1\x80\x80", NOT NOT NOT},
        {"\xff\xfe", NOT NOT},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        cJSON *read = as_json(cases[i].bytes);
        assert_string_equal(read->child->valuestring, cases[i].shown);
        cJSON_Delete(read);
    }
}

static void what_is_not_finite_is_null_in_json(void **state)
{
    (void)state;
    output out;
    json_writer json;
    imp_unit metre;
    assert_int_equal(imp_unit_parse("m", 1, &metre, NULL), IMP_OK);
    imp_unit pure = metre;
    pure.text[0] = '\0';
    output_init(&out, "", "never");
    json_init(&json, &out);
    json_open_array_inline(&json);
    json_number(&json, HUGE_VAL);
    quantity_json(&json, &metre, (double)NAN);
    quantity_json(&json, &pure, 2.0);
    json_close_array(&json);
    output_bytes(&out, "", 1);
    assert_string_equal(out.text, "[null, {\"value\": null, \"unit\": \"m\"}, {\"value\": 2, \"unit\": \"1\"}]\n");
    output_free(&out);
}

/* ---- values ---- */

static const imp_param fields[] = {{.name = "name", .kind = IMP_TEXT},
                                   {.name = "length", .kind = IMP_NUMBER, .unit = "m", .dimension = IMP_LENGTH},
                                   {.name = NULL}};

static void check_value(const imp_param *row, const imp_value *value, const char *expected)
{
    output out;
    output_init(&out, "", "never");
    value_lines(&out, row, value, " ");
    output_bytes(&out, "", 1);
    assert_string_equal(out.text, expected);
    output_free(&out);
}

static void a_value_of_any_kind_has_its_lines(void **state)
{
    (void)state;
    imp_value items[] = {{.number = 1.0, .given = true}, {.number = 2.5, .given = true}};
    imp_value cells[] = {{.text = "long", .given = true}, {.number = 12.0, .given = true}, {.text = NULL, .given = true}, {.given = false}};
    const imp_param list = {.name = "list", .kind = IMP_LIST, .unit = "m", .dimension = IMP_LENGTH};
    const imp_param table = {.name = "table", .kind = IMP_TABLE, .rows = fields};
    const imp_param flag = {.name = "flag", .kind = IMP_FLAG}, text = {.name = "text", .kind = IMP_TEXT};
    check_value(&list, &(imp_value){.items = items, .count = 2, .given = true}, " 1 m, 2.5 m\n");
    check_value(&list, &(imp_value){.items = items, .count = 0, .given = true}, " \n");
    check_value(&list, &(imp_value){.given = false}, " none\n");
    check_value(&table, &(imp_value){.items = cells, .count = 2, .given = true}, " name  length\n long  12 m\n       none\n");
    check_value(&table, &(imp_value){.given = false}, " none\n");
    check_value(&flag, &(imp_value){.number = 1.0, .given = true}, " true\n");
    check_value(&flag, &(imp_value){.number = 0.0, .given = true}, " false\n");
    check_value(&text, &(imp_value){.text = NULL, .given = true}, " \n");
    check_value(&text, &(imp_value){.text = "word", .given = true}, " word\n");
}

static void a_row_whose_unit_is_none_counts_as_pure(void **state)
{
    (void)state;
    imp_unit unit;
    const imp_param wrong = {.name = "x", .unit = "glorp"}, none = {.name = "x"};
    row_unit(&wrong, &unit);
    assert_true(unit.factor == 1.0);
    row_unit(&none, &unit);
    assert_true(unit.factor == 1.0);
}

static void a_range_is_told_with_its_open_and_missing_ends(void **state)
{
    (void)state;
    static const struct {
        double low, high;
        imp_ends ends;
        const char *text;
    } cases[] = {
        {0.0, 0.0, IMP_CLOSED, "any length"},
        {1.0, 2.0, IMP_CLOSED, "1 m to 2 m"},
        {1.0, 2.0, IMP_OPEN_LOW, "above 1 m, up to 2 m"},
        {1.0, 2.0, IMP_OPEN_HIGH, "from 1 m, below 2 m"},
        {1.0, 2.0, IMP_OPEN, "above 1 m, below 2 m"},
        {1.0, HUGE_VAL, IMP_CLOSED, "from 1 m"},
        {1.0, HUGE_VAL, IMP_OPEN_LOW, "above 1 m"},
        {-HUGE_VAL, 2.0, IMP_CLOSED, "up to 2 m"},
        {-HUGE_VAL, 2.0, IMP_OPEN_HIGH, "below 2 m"},
    };
    char text[256];
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        imp_param row = {.name = "x", .kind = IMP_NUMBER, .unit = "m", .dimension = IMP_LENGTH, .low = cases[i].low, .high = cases[i].high, .ends = cases[i].ends};
        assert_string_equal(allowed_text(&row, text, sizeof text), cases[i].text);
    }
    static const char *const words[] = {"a", "b", NULL};
    const imp_param choice = {.name = "x", .kind = IMP_CHOICE, .choices = words}, nothing = {.name = "x", .kind = IMP_CHOICE};
    assert_string_equal(allowed_text(&choice, text, sizeof text), "one of a, b");
    assert_string_equal(allowed_text(&nothing, text, sizeof text), "one of");
}

/* ---- columns of text ---- */

static void a_table_keeps_its_columns_however_long_it_is(void **state)
{
    (void)state;
    imp_arena arena;
    text_table table;
    output out;
    imp_arena_init(&arena, NULL);
    output_init(&out, "", "never");
    text_table_init(&table, &arena, 2);
    for (int i = 0; i < 199; i++) /* the last row is short of a cell */
        text_table_add(&table, i % 2 == 0 ? "é" : "wide");
    assert_true(text_table_write(&table, &out, ""));
    output_bytes(&out, "", 1);
    size_t lines = 0;
    for (const char *at = out.text; *at != '\0'; at = strchr(at, '\n') + 1, lines++)
        assert_true(strncmp(at, lines < 99 ? "é  wide\n" : "é \n", lines < 99 ? 9 : 2) == 0);
    assert_int_equal(lines, 100);
    output_free(&out);
    imp_arena_free(&arena);
}

static void long_words_and_many_blanks_break_lines_cleanly(void **state)
{
    (void)state;
    output out;
    output_init(&out, "", "never");
    output_wrapped(&out, "- ", "  ", "one  two   three\nfour ", 9);
    output_bytes(&out, "", 1);
    assert_string_equal(out.text, "- one two\n  three\n  four\n");
    output_free(&out);
}

static void a_text_longer_than_any_buffer_is_written_whole(void **state)
{
    (void)state;
    char text[3000];
    memset(text, 'x', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    output out;
    output_init(&out, "", "never");
    for (int i = 0; i < 4; i++)
        output_format(&out, "%s;", text);
    assert_int_equal(out.length, 4 * sizeof text);
    assert_true(out.text[sizeof text - 1] == ';' && out.text[4 * sizeof text - 1] == ';');
    output_free(&out);
}

/* ---- examples ---- */

static imp_status never(const imp_call *call)
{
    return imp_fail(call->error, IMP_RANGE, NULL, "never");
}

static imp_status always(const imp_call *call)
{
    call->out[0] = (imp_value){.number = 1.0, .given = true};
    return IMP_OK;
}

static imp_calc invented(const imp_param *inputs, size_t count, imp_evaluate evaluate)
{
    static const imp_param outputs[] = {{.name = "y", .kind = IMP_NUMBER}};
    return (imp_calc){.id = "invented", .title = "Invented", .formula = "", .source = "", .validity = "", .inputs = inputs,
                      .input_count = count, .outputs = outputs, .output_count = 1, .evaluate = evaluate};
}

static void an_example_lies_within_the_ranges_of_its_rows(void **state)
{
    (void)state;
    static const char *const words[] = {"a", "b", NULL};
    const imp_param rows[] = {
        {.name = "closed", .kind = IMP_NUMBER, .low = 123456.5, .high = 123457.5, .unit = "1"},
        {.name = "open", .kind = IMP_NUMBER, .low = 123456.0, .high = 123458.0, .ends = IMP_OPEN, .unit = "1"},
        {.name = "word", .kind = IMP_CHOICE, .choices = words},
        {.name = "is_so", .kind = IMP_FLAG},
        {.name = "note", .kind = IMP_TEXT},
        {.name = "record", .kind = IMP_RECORD, .rows = fields},
    };
    imp_calc calc = invented(rows, sizeof rows / sizeof rows[0] - 1, always);
    imp_arena arena;
    const char *command = NULL;
    imp_arena_init(&arena, NULL);
    assert_int_equal(example_command(&calc, "invented", &arena, &command), IMP_OK);
    assert_string_equal(command, "impinge calc invented closed=123457.5 open=123457 word=a is_so=false note=note");
    calc.input_count++; /* a record cannot be made up from its rows */
    assert_int_equal(example_command(&calc, "invented", &arena, &command), IMP_NO_SOLUTION);
    calc.input_count = 1;
    calc.evaluate = never;
    assert_int_equal(example_command(&calc, "invented", &arena, &command), IMP_NO_SOLUTION);
    calc.example = "closed=1"; /* one of its own is taken as it is */
    assert_int_equal(example_command(&calc, "invented", &arena, &command), IMP_OK);
    assert_string_equal(command, "impinge calc invented closed=1");
    calc.input_count = IMP_MOST_INPUTS + 1;
    assert_int_equal(example_command(&calc, "invented", &arena, &command), IMP_LIMIT);
    imp_arena_free(&arena);
}

/* ---- what eval shows ---- */

static void tables_are_shown_by_position_then_by_name(void **state)
{
    (void)state;
    static const command_case cases[] = {
        {"impinge eval '{ x = 1, 10, [3] = 30, [-1] = 5, [1.5] = 6, [true] = 7 }'", 0, "[-1] = 5\n[1] = 10\n[3] = 30\nx = 1\n", NULL},
        {"impinge eval '{ 1, { 2, 3 } }'", 0, "[1] = 1\n[2][1] = 2\n[2][2] = 3\n", NULL},
        {"impinge eval '{ { a = { b = { } } } }'", 0, "[1].a.b = {}\n", NULL},
        {"impinge eval '{ f = print, half = 0.5, yes = true }'", 0, "f = a function\nhalf = 0.5\nyes = true\n", NULL},
        {"impinge eval 'print'", 0, "a function\n", NULL},
        {"impinge eval '{}'", 0, NULL, NULL},
        {"impinge eval 'q\"0.5\", q\"3 m\" * q\"2 kg\" * q\"5 K\"'", 0, "0.5\n30 m kg K\n", NULL},
        {"impinge eval 'local t = {} t.t = t return t' | sed 's/\\.t//g'", 0, "t = ...\n", NULL}, /* ends by itself */
        {"impinge eval 'error { message = \"mine\" }'", 5, NULL, "impinge: mine\n"},
        {"impinge eval 'error { message = 5 }'", 5, NULL, "impinge: error object is a table value\n"},
        {"impinge eval 'error { 5 }'", 5, NULL, "impinge: error object is a table value\n"},
        {"impinge eval 'error(nil)'", 5, NULL, "impinge: error without a message\n"},
        {"impinge eval 'error(\"a:12: b\", 0)'", 5, NULL, "a:12: b\n"},
        {"impinge eval 'error(\"a: b\", 0)'", 5, NULL, "impinge: a: b\n"},
    };
    CHECK_CASES(cases);
}

/* ---- names that the Tab key offers ---- */

static void completion_goes_no_further_than_the_next_dot(void **state)
{
    (void)state;
    const char *names[] = {"imp.air.", "imp.air.demand", "imp.air.demand.x", "imp.airy", "imp.q", NULL};
    const completion offered = {.names = names, .count = 5};
    static const struct {
        const char *text, *first, *second;
    } cases[] = {{"imp.a", "imp.air.", "imp.airy"}, {"imp.air.", "imp.air.", "imp.air.demand"}, {"imp.air.d", "imp.air.demand", NULL}, {"x", NULL, NULL}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        size_t at = 0;
        const char *wanted[] = {cases[i].first, cases[i].second, NULL};
        for (int k = 0; k < 3; k++) {
            const char *found = completion_next(&offered, cases[i].text, &at);
            assert_true((found == NULL) == (wanted[k] == NULL));
            if (found == NULL)
                break;
            assert_string_equal(found, wanted[k]);
        }
    }
}

static void a_terminal_alone_has_colours_unless_they_are_refused(void **state)
{
    (void)state;
    output out;
    setenv("NO_COLOR", "1", 1);
    output_init(&out, NULL, "auto");
    assert_false(out.color);
    setenv("NO_COLOR", "", 1);
    output_init(&out, "file", "auto");
    assert_false(out.color); /* a file is no terminal */
    output_init(&out, "file", "always");
    assert_true(out.color);
    unsetenv("NO_COLOR");
    output_init(&out, "file", "auto");
    assert_false(out.color);
}

/* ---- lines and files of scripts ---- */

static void eval_takes_what_standard_input_holds(void **state)
{
    (void)state;
    write_file("many.sh", "printf 'x = \"'; head -c 3000000 /dev/zero | tr '\\0' a; printf '\"\\n'\n");
    static const command_case cases[] = {
        {"printf 'x = {' | impinge eval", 5, NULL, "eval:1: unexpected symbol near <eof>\n"},
        {"printf 'x = {\n\n5' | impinge eval", 5, NULL, "eval:2: unexpected symbol near <eof>\n"},
        {"printf 'x = {\n5}\nx[1]' | impinge eval --trust", 0, "5\n", NULL},
        {"sh many.sh | impinge eval --max-memory 1", 6, NULL, "eval: used up its budget of memory\n"},
        {"impinge eval 'print((\"x\"):rep(70000))' | wc -c", 0, "70001\n", NULL},
        {"impinge eval --trust 'os.getenv(\"HOME\") ~= nil'", 0, "true\n", NULL},
        {"(sleep 0.1; impinge eval 'for i = 1, 1e5 do print(i) end'; echo $? >&2) | head -1 > /dev/null", 0, NULL, "0\n"},
    };
    CHECK_CASES(cases);
}

static void marks_before_a_script_are_no_part_of_it(void **state)
{
    (void)state;
    static const command_case cases[] = {
        {"printf '\357\273\277#!/usr/bin/env impinge\nprint(1)\n' > marked.lua; impinge run marked.lua", 0, "1\n", NULL},
        {"printf '\357\273\277print(2)' > marked.lua; impinge run marked.lua", 0, "2\n", NULL},
        {"printf '#!only this' > marked.lua; impinge run marked.lua", 0, NULL, NULL},
        {"printf '' > marked.lua; impinge run marked.lua", 0, NULL, NULL},
        {"printf 'x\n#y' > marked.lua; impinge run marked.lua", 5, NULL, "marked.lua:2: syntax error near '#'\n"},
    };
    CHECK_CASES(cases);
}

/* ---- tables in results ---- */

#define HOSE_RUN                                                                                                       \
    "impinge calc hose.run fluid='{\"density\": \"1000 kg/m^3\", \"heat_capacity\": \"2 kJ/(kg K)\", \"viscosity\": [{\"temperature\": \"20 degC\", " \
    "\"viscosity\": \"200 mPa s\"}]}' sections='[{\"bore\": \"10 mm\", \"length\": \"10 m\"}]' inlet_temperature='20 degC' inlet_pressure='90 bar' " \
    "ambient_temperature='20 degC' "

static void tables_are_shown_in_other_units_and_left_out_of_sweeps(void **state)
{
    (void)state;
    run_result si = shell(HOSE_RUN "flow='2 L/min'"), us = shell(HOSE_RUN "flow='2 L/min' --units us");
    assert_int_equal(us.code, 0);
    assert_contains(si.out, " m/s");
    assert_null(strstr(us.out, " m/s")); /* in the table along the hose, either */
    assert_contains(us.out, "68.0 degF");
    done(&si);
    done(&us);
    run_result sweep = shell(HOSE_RUN "--sweep flow='1 L/min..2 L/min/2' --format csv"), svg = shell(HOSE_RUN "--sweep flow='1 L/min..2 L/min/2' --format svg"),
               text = shell(HOSE_RUN "--sweep flow='1 L/min..2 L/min/2' --digits 3");
    assert_int_equal(sweep.code, 0);
    assert_contains(sweep.out, "flow [L/min],");
    assert_null(strstr(sweep.out, "sections"));
    assert_int_equal(svg.code, 0);
    assert_contains(svg.out, "<svg");
    assert_int_equal(text.code, 0);
    assert_null(strstr(text.out, "record"));
    done(&sweep);
    done(&svg);
    done(&text);
}

/* ---- limits of the commands' options ---- */

static void options_that_do_not_go_together_are_refused(void **state)
{
    (void)state;
    write_file("day.csv", "time [s],iso_flow [L/min]\n0,0\n1,1\n");
    static const command_case cases[] = {
        {"impinge log day.csv --partial --join", 3, NULL, "impinge log: --join says how partial results are put together: give it with --merge\n"},
        {"impinge log day.csv --merge --period '1 s'", 3, NULL, "impinge log: --period and --columns are for reading logs, and were given with --partial\n"},
        {"impinge log day.csv --merge --columns x.json", 3, NULL, "impinge log: --period and --columns are for reading logs, and were given with --partial\n"},
        {"impinge log day.csv --period 'glorp'", 3, NULL, "impinge log: --period: expected a time above 0 s such as \"1 min\"\n"},
        {"impinge log day.csv --period '0 s'", 3, NULL, "impinge log: --period: expected a time above 0 s such as \"1 min\"\n"},
        {"impinge new rule 9lives", 3, NULL, "impinge new: expected a name of letters, digits, _ and - (at most 40, a letter first), got \"9lives\"\n"},
        {"impinge new rule a.b", 3, NULL, "impinge new: expected a name of letters, digits, _ and - (at most 40, a letter first), got \"a.b\"\n"},
        {"impinge new rule abcdefghijklmnopqrstuvwxyzabcdefghijklmno", 3, NULL,
         "impinge new: expected a name of letters, digits, _ and - (at most 40, a letter first), got \"abcdefghijklmnopqrstuvwxyzabcdefghijklmno\"\n"},
        {"impinge calc a/b", 3, NULL, "a/b: unknown calculation; \"impinge list\" shows them all\n"},
        {"impinge calc zzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzz", 3, NULL,
         "zzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzzz: unknown calculation; \"impinge list\" shows them all\n"},
        {"impinge list zzzzzzz", 0, NULL, "impinge: no calculation mentions all of that; \"impinge list\" shows them all\n"},
    };
    CHECK_CASES(cases);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_text_in_json_reads_back_as_it_was),
        cmocka_unit_test(bytes_that_are_no_text_become_replacement_characters),
        cmocka_unit_test(what_is_not_finite_is_null_in_json),
        cmocka_unit_test(a_value_of_any_kind_has_its_lines),
        cmocka_unit_test(a_row_whose_unit_is_none_counts_as_pure),
        cmocka_unit_test(a_range_is_told_with_its_open_and_missing_ends),
        cmocka_unit_test(a_table_keeps_its_columns_however_long_it_is),
        cmocka_unit_test(long_words_and_many_blanks_break_lines_cleanly),
        cmocka_unit_test(a_text_longer_than_any_buffer_is_written_whole),
        cmocka_unit_test(an_example_lies_within_the_ranges_of_its_rows),
        cmocka_unit_test(tables_are_shown_by_position_then_by_name),
        cmocka_unit_test(completion_goes_no_further_than_the_next_dot),
        cmocka_unit_test(a_terminal_alone_has_colours_unless_they_are_refused),
        cmocka_unit_test(eval_takes_what_standard_input_holds),
        cmocka_unit_test(marks_before_a_script_are_no_part_of_it),
        cmocka_unit_test(tables_are_shown_in_other_units_and_left_out_of_sweeps),
        cmocka_unit_test(options_that_do_not_go_together_are_refused),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
