/* Every limit of the manual's table, on both sides: what is just as large as it allows is taken, one more is not.
 * Over 500 lines: many small cases of one subject. */
#include "support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "columns.h"
#include "document.h"
#include "engine.h"
#include "json_scan.h"
#include "limit_table.h"
#include "log_lua.h"
#include "log_support.h"
#include "options.h"
#include "sandbox.h"
#include "unit.h"

/* What each probe writes its text into. */
static char *made;
static size_t made_length, made_capacity;

static void begin(void)
{
    made_length = 0;
}

static void add_bytes(const char *text, size_t length)
{
    if (made_length + length + 1 > made_capacity) {
        made_capacity = 2 * (made_length + length + 1);
        made = realloc(made, made_capacity);
        assert_non_null(made);
    }
    memcpy(made + made_length, text, length);
    made_length += length;
    made[made_length] = '\0';
}

static void add(const char *text)
{
    add_bytes(text, strlen(text));
}

static void add_times(const char *text, size_t times)
{
    for (size_t i = 0; i < times; i++)
        add(text);
}

static void pad_to(size_t length)
{
    while (made_length < length)
        add(" ");
}

/* --- documents --- */

/* The text in `made`; a refusal says the sentence. */
static bool scans(const char *sentence)
{
    imp_json_scan scan;
    imp_issues issues;
    imp_issues_init(&issues, NULL);
    const imp_status status = imp_json_scan_text("job.json", made, made_length, NULL, &scan, &issues);
    if (status != IMP_OK)
        assert_contains(issues.items[0].message, sentence);
    imp_json_scan_free(&scan);
    imp_issues_free(&issues);
    return status == IMP_OK;
}

static bool document_bytes(size_t n)
{
    begin();
    add("[");
    pad_to(n - 1);
    add("]");
    return scans("larger than 16 MiB");
}

static bool document_depth(size_t n)
{
    begin();
    add_times("[", n);
    add_times("]", n);
    return scans("more than 32 levels");
}

static bool document_values(size_t n) /* the list is one */
{
    begin();
    add("[0");
    add_times(",0", n - 2);
    add("]");
    return scans("more than 200000 values");
}

static bool number_characters(size_t n)
{
    begin();
    add("[0.");
    add_times("1", n - 2);
    add("]");
    return scans("more than 60 characters");
}

/* The document in `made`, and the first of its faults that is a limit. */
static bool reads(imp_document_kind kind)
{
    imp_issues issues;
    imp_node *root = NULL;
    bool is_limit = false;
    imp_issues_init(&issues, NULL);
    imp_document_read(kind, "x.json", made, made_length, NULL, NULL, &root, &issues);
    for (size_t i = 0; i < issues.count; i++)
        is_limit = is_limit || issues.items[i].status == IMP_LIMIT;
    imp_node_free(root, NULL);
    imp_issues_free(&issues);
    return !is_limit;
}

static bool list_items(size_t n)
{
    begin();
    add("{\"impinge\": 1, \"hose\": {\"taps\": [\"40 V\"");
    add_times(",\"40 V\"", n - 1);
    add("]}}");
    return reads(IMP_RIG);
}

static bool text_bytes(size_t n)
{
    begin();
    add("{\"impinge\": 1, \"name\": \"");
    add_times("x", n);
    add("\"}");
    return reads(IMP_JOB);
}

static bool faults_listed(size_t n)
{
    imp_issues issues;
    imp_issues_init(&issues, NULL);
    for (size_t i = 0; i < n; i++)
        imp_issues_add(&issues, IMP_SYNTAX, "x.json", 1, 1, "x", "wrong");
    const bool all = issues.count == n;
    assert_int_equal(issues.count + issues.left_out, n);
    imp_issues_free(&issues);
    return all;
}

static bool unit_bytes(size_t n)
{
    imp_unit unit;
    begin();
    add(n % 2 == 1 ? "m" : "mm");
    while (made_length < n)
        add("*1");
    const imp_status status = imp_unit_parse(made, made_length, &unit, NULL);
    assert_true(status == IMP_OK || status == IMP_LIMIT);
    return status == IMP_OK;
}

/* --- scripts --- */

static const char *granted;

static int prepare(lua_State *L)
{
    imp_log_grant(L, granted);
    lua_pushglobaltable(L);
    lua_pushliteral(L, "path");
    lua_pushstring(L, granted);
    lua_rawset(L, -3);
    return 0;
}

/* True when the script of `made` ends well; else its message, which says the limit, is in `said`. */
static char said[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE + 4];
static bool runs_within(const imp_budget *budget, imp_status *status)
{
    const imp_script_options given = {.budget = *budget};
    imp_script *script = NULL;
    imp_error error = {.status = IMP_OK};
    assert_int_equal(imp_script_open(&given, &script, &error), IMP_OK);
    if (granted != NULL)
        assert_int_equal(imp_script_protect(script, prepare, NULL, 0, &error), IMP_OK);
    *status = imp_script_run_text(script, made, made_length, "probe", 0, &error);
    imp_error_text(&error, said, sizeof said);
    imp_script_close(script);
    return *status == IMP_OK;
}

static bool runs(const char *sentence)
{
    imp_status status;
    const imp_budget budget = imp_default_budget();
    const bool well = runs_within(&budget, &status);
    if (!well && strstr(said, sentence) == NULL)
        print_error("%s\n", said);
    assert_true(well || strstr(said, sentence) != NULL);
    return well;
}

/* The template with `n` put in. */
static void write_script(const char *format, size_t n)
{
    char text[2048];
    snprintf(text, sizeof text, "local n = %zu\nlocal function list(one) local all = {} for i = 1, n do all[i] = one(i) end return all end\n", n);
    begin();
    add(text);
    add(format);
}

static bool viscosity_points(size_t n)
{
    write_script("imp.fluid.viscosity{ temperature = q'20 degC', points = list(function(i)"
                 " return { temperature = q(10 + i, 'degC'), viscosity = q(900 - i, 'mPa s') } end) }",
                 n);
    return runs("points");
}

static bool hose_sections(size_t n)
{
    write_script("imp.hose.run{ fluid = { density = '1150 kg/m^3', heat_capacity = '1.9 kJ/(kg K)',"
                 " viscosity = { { temperature = '20 degC', viscosity = '200 mPa s' } } },"
                 " sections = list(function() return { bore = '12 mm', length = '0.2 m' } end),"
                 " flow = '2 L/min', inlet_temperature = '45 degC', inlet_pressure = '190 bar', ambient_temperature = '5 degC' }",
                 n);
    return runs("can be marched");
}

static bool loads(size_t n)
{
    write_script("imp.electrical.line_currents{ voltage = '400 V', loads = list(function()"
                 " return { kind = 'resistive', connection = 'L1-N', power = '10 W' } end) }",
                 n);
    return runs("64");
}

static bool loads_chosen(size_t n)
{
    write_script("imp.electrical.may_run{ voltage = '400 V', state = 'heating', limit_current = '320 A', breaker = '200 A',"
                 " loads = list(function() return { kind = 'resistive', connection = 'L1-N', power = '10 W' } end) }",
                 n);
    return runs("16");
}

static bool transformer_taps(size_t n)
{
    write_script("imp.heat.hose_tap{ section_resistance = '0.2 ohm', sections = 4, section_length = '15 m', current_limit = '60 A',"
                 " required_power_per_length = '40 W/m', lead_resistance = '0 ohm', taps = list(function(i) return q(10 + i, 'V') end) }",
                 n);
    return runs("taps");
}

static bool calculators(size_t n)
{
    write_script("for i = 1, n do imp.calculator { id = 'probe' .. i, title = 'x', formula = 'y = x', source = 'x',"
                 " inputs = { { name = 'x' } }, outputs = { { name = 'y' } }, compute = function(given) return { y = given.x } end } end",
                 n);
    return runs("calculators");
}

static bool logs_open(size_t n)
{
    granted = IMP_TESTS_FOLDER "/logs/small.csv";
    write_script("local days = list(function() return imp.log.open(path) end)", n);
    const bool all = runs("logs are open at once");
    granted = NULL;
    return all;
}

static bool script_bytes(size_t n)
{
    const imp_script_options given = {.budget = imp_default_budget()};
    imp_script *script = NULL;
    imp_error error;
    begin();
    add("--");
    pad_to(n);
    assert_int_equal(imp_script_open(&given, &script, &error), IMP_OK);
    const imp_status status = imp_script_run_file(script, file_of(made, made_length), 0, &error);
    imp_script_close(script);
    assert_true(status == IMP_OK || strstr(error.message, "larger than") != NULL);
    return status == IMP_OK;
}

/* The budgets: the least that a script needs is found, so that both sides are known; then the default is what the table says. */
static bool fits(const char *text, const imp_budget *budget)
{
    imp_status status;
    begin();
    add(text);
    const bool well = runs_within(budget, &status);
    assert_true(well || status == IMP_LIMIT);
    return well;
}

static bool script_steps(size_t n)
{
    imp_budget budget = imp_default_budget();
    assert_true(budget.steps == IMP_SCRIPT_STEPS);
    budget.steps = 200000;
    return n == IMP_SCRIPT_STEPS ? fits("for i = 1, 1000 do end", &budget) : fits("for i = 1, 1000000 do end", &budget);
}

static bool script_memory(size_t n)
{
    imp_budget budget = imp_default_budget();
    assert_true(budget.memory == IMP_SCRIPT_MEMORY);
    char text[96]; /* a few MiB are the state's own, and of the piece in the making */
    snprintf(text, sizeof text, "local t = {} for i = 1, %d do t[i] = ('x'):rep((1 << 20) + i) end", n == IMP_SCRIPT_MEMORY ? 59 : 64);
    return fits(text, &budget);
}

static bool script_seconds(size_t n)
{
    imp_budget budget = imp_default_budget();
    assert_true(budget.seconds == IMP_SCRIPT_SECONDS);
    budget.seconds = 0.2;
    budget.steps *= 1000;
    return n == IMP_SCRIPT_SECONDS ? fits("return 1", &budget) : fits("while true do end", &budget);
}

static bool script_output(size_t n)
{
    imp_budget budget = imp_default_budget();
    assert_true(budget.output == IMP_SCRIPT_OUTPUT);
    char text[96]; /* print adds a line end */
    snprintf(text, sizeof text, "print(('x'):rep(%zu))", n - 1);
    return fits(text, &budget);
}

/* --- the engine and the command line --- */

static bool sweep_steps(size_t n)
{
    const imp_calc *calc = imp_catalogue_find("climate.dew_point");
    imp_value in[IMP_MOST_INPUTS] = {{.number = 293.15, .given = true}, {.number = 0.5, .given = true}};
    double *points = calloc(n, sizeof *points);
    imp_value *results = calloc(n * calc->output_count, sizeof *results);
    assert_non_null(points);
    assert_non_null(results);
    const imp_status status = imp_calc_sweep(calc, in, 0, 273.15, 303.15, n, points, results, NULL);
    free(points);
    free(results);
    return status == IMP_OK;
}

static bool takes_option(const char *command, const char *option, size_t n)
{
    char program[] = "impinge", verb[16], name[32], number[32], file[] = "climate.dew_point";
    char *words[] = {program, verb, file, name, number, NULL};
    options given;
    imp_error error;
    snprintf(verb, sizeof verb, "%s", command);
    snprintf(name, sizeof name, "%s", option);
    snprintf(number, sizeof number, "%zu", n);
    const imp_status status = options_parse(5, words, &given, &error);
    if (status == IMP_OK)
        options_free(&given);
    else
        assert_int_equal(status, IMP_RANGE);
    return status == IMP_OK;
}

static bool draws(size_t n)
{
    return takes_option("calc", "--draws", n);
}

static bool log_threads(size_t n)
{
    return takes_option("log", "--threads", n);
}

/* y = |n-fold saw-tooth|: one solution a tooth */
static imp_status teeth(const imp_call *call)
{
    call->out[0].number = sin(call->in[0].number * 3.14159265358979);
    return IMP_OK;
}

static bool solutions(size_t n)
{
    imp_param in_rows[] = {{.name = "x", .low = 0.5, .high = 0.0, .help = "x"}};
    static const imp_param out_rows[] = {{.name = "y", .help = "y", .trend = "?"}};
    in_rows[0].high = 0.5 + (double)n;
    const imp_calc calc = {.id = "test.teeth", .inputs = in_rows, .input_count = 1, .outputs = out_rows, .output_count = 1, .evaluate = teeth};
    const imp_value in[1] = {{.given = false}};
    imp_solution found;
    assert_int_equal(imp_calc_solve(&calc, in, 0, 0, 0.0, &found, NULL), IMP_OK);
    return found.count == n;
}

/* --- logs --- */

static imp_status open_made(imp_log **log, imp_columns **columns, imp_error *error)
{
    *columns = NULL;
    const imp_status status = imp_log_open(file_of(made, made_length), NULL, log, error);
    if (status == IMP_OK) {
        assert_int_equal(imp_columns_create(NULL, columns, error), IMP_OK);
        assert_int_equal(imp_columns_bind(*columns, imp_log_header_of(*log), error), IMP_OK);
    }
    return status;
}

static bool opens(void)
{
    imp_log *log = NULL;
    imp_columns *columns;
    imp_error error;
    const imp_status status = open_made(&log, &columns, &error);
    assert_true(status == IMP_OK || status == IMP_LIMIT);
    if (status == IMP_OK) {
        imp_columns_free(columns);
        imp_log_close(log);
    }
    return status == IMP_OK;
}

static bool log_columns(size_t n)
{
    char name[24];
    begin();
    add("time");
    for (size_t i = 0; i < n; i++) {
        snprintf(name, sizeof name, ",c%zu", i);
        add(name);
    }
    add("\n0");
    add_times(",1", n);
    add("\n");
    return opens();
}

static bool log_name_bytes(size_t n)
{
    begin();
    add("time,");
    add_times("x", n);
    add("\n0,1\n");
    return opens();
}

/* True when the log of `made` has two rows and no fault. */
static bool is_whole(void)
{
    imp_log *log = NULL;
    imp_columns *columns;
    imp_error error;
    imp_column a;
    imp_reduction count;
    assert_int_equal(open_made(&log, &columns, &error), IMP_OK);
    assert_int_equal(imp_columns_source(columns, "a", &a, &error), IMP_OK);
    assert_int_equal(imp_columns_reduce(columns, IMP_REDUCE_COUNT, a, IMP_NO_COLUMN, 0.0, &count, &error), IMP_OK);
    assert_int_equal(imp_columns_run(columns, log, &error), IMP_OK);
    const imp_log_faults *faults = imp_columns_faults(columns);
    const bool whole = faults->rows == 2;
    assert_true(whole || faults->kind[IMP_FAULT_LONG_LINE].count + faults->kind[IMP_FAULT_QUOTES].count > 0);
    imp_columns_free(columns);
    imp_log_close(log);
    return whole;
}

static bool log_line_bytes(size_t n)
{
    begin();
    add("time,a\n0,1\n1,");
    const size_t start = made_length - 2;
    while (made_length < start + n - 1)
        add(" ");
    add("2\n");
    return is_whole();
}

static bool log_quoted_lines(size_t n)
{
    begin();
    add("time,a,b\n0,1,2\n1,2,\"x");
    add_times("\ny", n - 1);
    add("\"\n");
    return is_whole();
}

/* Rows a second apart, in which a is 1 and 0 by turns. */
static void write_rows(size_t count)
{
    char row[32];
    begin();
    add("time,a\n");
    for (size_t i = 0; i < count; i++) {
        const int length = snprintf(row, sizeof row, "%zu,%zu\n", i, i % 2);
        add_bytes(row, (size_t)length);
    }
}

typedef imp_status (*asking)(imp_columns *columns, imp_column a, imp_reduction *reduction, imp_error *error);

/* Run `ask` over the log of `made`; *kept receives the number of spans kept. */
static bool answers(asking ask, size_t *kept)
{
    imp_log *log = NULL;
    imp_columns *columns;
    imp_error error;
    imp_column a;
    imp_reduction reduction;
    assert_int_equal(open_made(&log, &columns, &error), IMP_OK);
    assert_int_equal(imp_columns_source(columns, "a", &a, &error), IMP_OK);
    assert_int_equal(ask(columns, a, &reduction, &error), IMP_OK);
    const imp_status status = imp_columns_run(columns, log, &error);
    assert_true(status == IMP_OK || status == IMP_LIMIT);
    if (kept != NULL)
        *kept = imp_columns_spans_kept(columns, reduction);
    imp_columns_free(columns);
    imp_log_close(log);
    return status == IMP_OK;
}

static imp_status ask_spans(imp_columns *columns, imp_column a, imp_reduction *reduction, imp_error *error)
{
    const imp_quantity half = {.si = 0.5};
    imp_column constant = 0, mask = 0;
    assert_int_equal(imp_columns_constant(columns, &half, &constant, error), IMP_OK);
    assert_int_equal(imp_columns_binary(columns, IMP_COLUMN_ABOVE, a, constant, &mask, error), IMP_OK);
    return imp_columns_spans(columns, mask, NULL, 0, reduction, error);
}

static bool log_spans(size_t n)
{
    size_t kept = 0;
    write_rows(2 * n);
    assert_true(answers(ask_spans, &kept));
    return kept == n;
}

static imp_status ask_series(imp_columns *columns, imp_column a, imp_reduction *reduction, imp_error *error)
{
    return imp_columns_resample(columns, a, IMP_NO_COLUMN, 1.0, reduction, error);
}

static bool log_series(size_t n)
{
    write_rows(n);
    return answers(ask_series, NULL);
}

static imp_status ask_rolling(imp_columns *columns, imp_column a, imp_reduction *reduction, imp_error *error)
{
    imp_column mean = 0;
    assert_int_equal(imp_columns_over_time(columns, IMP_COLUMN_ROLLING, a, 1e9, &mean, error), IMP_OK);
    return imp_columns_reduce(columns, IMP_REDUCE_MAX, mean, IMP_NO_COLUMN, 0.0, reduction, error);
}

static bool log_rolling_rows(size_t n)
{
    write_rows(n);
    return answers(ask_rolling, NULL);
}

static bool log_expressions(size_t n)
{
    imp_columns *columns = NULL;
    imp_column column;
    imp_error error;
    imp_status status = imp_columns_create(NULL, &columns, &error);
    for (size_t i = 0; i < n && status == IMP_OK; i++) {
        const imp_quantity value = {.si = (double)i};
        status = imp_columns_constant(columns, &value, &column, &error);
    }
    assert_true(status == IMP_OK || status == IMP_LIMIT);
    imp_columns_free(columns);
    return status == IMP_OK;
}

static bool log_lasting(size_t n)
{
    imp_log *log = NULL;
    imp_columns *columns;
    imp_error error;
    imp_column mask;
    write_rows(4);
    assert_int_equal(open_made(&log, &columns, &error), IMP_OK);
    imp_status status = imp_columns_source(columns, "a", &mask, &error);
    if (status == IMP_OK)
        status = imp_columns_unary(columns, IMP_COLUMN_PRESENT, mask, &mask, &error);
    for (size_t i = 0; i < n && status == IMP_OK; i++)
        status = imp_columns_over_time(columns, IMP_COLUMN_LASTING, mask, 1.0 + (double)i, &mask, &error);
    assert_true(status == IMP_OK || status == IMP_LIMIT);
    imp_columns_free(columns);
    imp_log_close(log);
    return status == IMP_OK;
}

static bool log_mapping_bytes(size_t n)
{
    char name[] = "/tmp/impinge-mapping-XXXXXX", script[256];
    const int file = mkstemp(name);
    assert_true(file >= 0);
    begin();
    add("{\"impinge\": 1, \"columns\": [{\"header\": \"P\", \"name\": \"iso_pressure\", \"unit\": \"bar\"}]");
    pad_to(n - 1);
    add("}");
    assert_int_equal(write(file, made, made_length), (ssize_t)made_length);
    close(file);
    granted = name;
    snprintf(script, sizeof script, "imp.log.open(path, { columns = path })");
    begin();
    add(script);
    imp_status status;
    const imp_budget budget = imp_default_budget();
    runs_within(&budget, &status); /* the document itself is no log: only its size is asked about */
    granted = NULL;
    unlink(name);
    return strstr(said, "larger than") == NULL;
}

/* --- the table --- */

static const struct {
    const char *key;
    bool (*takes)(size_t n);
} probes[] = {{"document-bytes", document_bytes},     {"document-depth", document_depth},
              {"document-values", document_values},   {"number-characters", number_characters},
              {"list-items", list_items},             {"text-bytes", text_bytes},
              {"faults-listed", faults_listed},       {"unit-bytes", unit_bytes},
              {"viscosity-points", viscosity_points}, {"hose-sections", hose_sections},
              {"loads", loads},                       {"loads-chosen", loads_chosen},
              {"transformer-taps", transformer_taps}, {"solutions", solutions},
              {"sweep-steps", sweep_steps},           {"draws", draws},
              {"log-columns", log_columns},           {"log-name-bytes", log_name_bytes},
              {"log-line-bytes", log_line_bytes},     {"log-quoted-lines", log_quoted_lines},
              {"log-threads", log_threads},           {"log-spans", log_spans},
              {"log-series", log_series},             {"log-rolling-rows", log_rolling_rows},
              {"log-expressions", log_expressions},   {"log-lasting", log_lasting},
              {"log-mapping-bytes", log_mapping_bytes}, {"logs-open", logs_open},
              {"script-bytes", script_bytes},         {"calculators", calculators},
              {"script-memory", script_memory},       {"script-steps", script_steps},
              {"script-seconds", script_seconds},     {"script-output", script_output}};

static void every_limit_holds_on_both_sides(void **state)
{
    (void)state;
    size_t rows = 0;
    int wrong = 0;
    for (const imp_limit *row = imp_program_limits(); row->key != NULL; row++, rows++) {
        size_t i = 0;
        while (i < sizeof probes / sizeof probes[0] && strcmp(probes[i].key, row->key) != 0)
            i++;
        if (i == sizeof probes / sizeof probes[0])
            fail_msg("the limit %s has no probe", row->key);
        const bool at = probes[i].takes((size_t)row->most), beyond = probes[i].takes((size_t)row->most + 1);
        if (!at || beyond) {
            print_error("%s: %.0f is %s, one more is %s\n", row->key, row->most, at ? "taken" : "refused", beyond ? "taken" : "refused");
            wrong++;
        }
    }
    assert_int_equal(rows, sizeof probes / sizeof probes[0]);
    assert_int_equal(wrong, 0);
}

static void limits_are_written_as_people_say_them(void **state)
{
    (void)state;
    const imp_limit rows[] = {{"a", "", "", 16.0 * 1024 * 1024, "bytes", ""},
                              {"a", "", "", 64.0 * 1024, "bytes", ""},
                              {"a", "", "", 4000.0, "bytes", ""},
                              {"a", "", "", 2e8, "instructions", ""},
                              {"a", "", "", 32.0, "levels", ""}};
    const char *const texts[] = {"16 MiB", "64 KiB", "4000 bytes", "200 million instructions", "32 levels"};
    char text[64];
    for (size_t i = 0; i < 5; i++)
        assert_string_equal(imp_limit_text(&rows[i], text, sizeof text), texts[i]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_limit_holds_on_both_sides),
        cmocka_unit_test(limits_are_written_as_people_say_them),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    free(made);
    return failed;
}
