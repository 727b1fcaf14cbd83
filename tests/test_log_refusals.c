/* Headers, columns documents and texts of logs that cannot be used, each refused with its sentence; and what stands beside the limits. */
#include "log_support.h"

#include <sys/stat.h>

#include "columns.h"
#include "log_internal.h"

typedef struct rows_kept {
    size_t rows;
    double time[32], value[32];
} rows_kept;

static imp_status keep(void *context, imp_log_block *block, imp_error *error)
{
    rows_kept *kept = context;
    (void)error;
    for (size_t i = 0; i < block->rows && kept->rows < 32; i++, kept->rows++) {
        kept->time[kept->rows] = block->time[i];
        kept->value[kept->rows] = block->values[0][i];
    }
    return IMP_OK;
}

static imp_status read_log(const char *text, const imp_log_options *options, rows_kept *kept, imp_error *why)
{
    imp_log *log = NULL;
    memset(kept, 0, sizeof *kept);
    memset(why, 0, sizeof *why);
    imp_status status = imp_log_open(file_with(text), options, &log, why);
    if (status == IMP_OK)
        status = imp_log_run(log, keep, kept, why);
    imp_log_close(log);
    return status;
}

static void a_header_that_cannot_be_meant_is_refused_at_its_column(void **state)
{
    (void)state;
    static const struct { const char *text, *place, *message; } cases[] = {
        {"time,iso_temperature\n0,1\n", "iso_temperature", "has no unit; write it behind the name, such as \"iso_temperature [degC]\""},
        {"time,iso_pressure\n0,1\n", "iso_pressure", "such as \"iso_pressure [bar]\""},
        {"time,iso_flow\n0,1\n", "iso_flow", "such as \"iso_flow [L/min]\""},
        {"time,hose_current\n0,1\n", "hose_current", "such as \"hose_current [A]\""},
        {"time,wind_speed\n0,1\n", "wind_speed", "such as \"wind_speed [m/s]\""},
        {"time,iso_flow [bar]\n0,1\n", "iso_flow", "expected the unit of a volume flow, such as [L/min], got [bar]"},
        {"time,iso_pressure [m]\n0,1\n", "iso_pressure", "such as [bar], got [m]"},
        {"time,trigger [bar]\n0,1\n", "trigger", "such as [1], got [bar]"},
        {"time,iso_temperature [degC_diff]\n0,1\n", "iso_temperature", "which is a difference"},
        {"time,iso_pressure [bra]\n0,1\n", "iso_pressure", "bra"},
        {"time,a,a\n0,1,2\n", "a", "there are two columns of this name"},
        {"time,time,a\n0,1,2\n", "time", "there are two columns of this name"},
        {"time [min],a\n0,1\n", "time", "expected ISO 8601 or seconds [s], got [min]"},
        {"zeit,a\n0,1\n", "time", "(first column: \"zeit\")"},
        {"time\n0\n", "", "the header has no column besides time"},
        {"time,a [bar\n0,1\n", "", "expected \"name [unit]\""},
        {"time,a\x01\n0,1\n", "", "bytes that are no text"},
        {"", "", "empty"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        rows_kept kept;
        imp_error why;
        if (read_log(cases[i].text, NULL, &kept, &why) == IMP_OK)
            fail_msg("\"%s\" is read", cases[i].text);
        if (cases[i].place[0] != '\0')
            assert_string_equal(why.place, cases[i].place);
        assert_contains(why.message, cases[i].message);
    }
}

static void names_and_columns_have_their_limits(void **state)
{
    (void)state;
    rows_kept kept;
    imp_error why;
    char text[20000] = "time,", name[1200];
    memset(name, 'n', sizeof name);
    snprintf(text + 5, sizeof text - 5, "%.*s\n0,1\n", IMP_LOG_NAME_SIZE - 1, name);
    assert_int_equal(read_log(text, NULL, &kept, &why), IMP_OK);
    snprintf(text + 5, sizeof text - 5, "%.*s\n0,1\n", IMP_LOG_NAME_SIZE, name);
    assert_int_equal(read_log(text, NULL, &kept, &why), IMP_LIMIT);
    assert_contains(why.message, "is longer than");
    snprintf(text + 5, sizeof text - 5, "%.*s\n0,1\n", 1100, name);
    assert_int_equal(read_log(text, NULL, &kept, &why), IMP_LIMIT);
    assert_contains(why.message, "is longer than");
    for (int over = 0; over < 2; over++) {
        size_t used = 4;
        for (int i = 0; i < IMP_LOG_MOST_COLUMNS + over; i++)
            used += (size_t)snprintf(text + used, sizeof text - used, ",c%d", i);
        used += (size_t)snprintf(text + used, sizeof text - used, "\n0");
        for (int i = 0; i < IMP_LOG_MOST_COLUMNS + over; i++)
            used += (size_t)snprintf(text + used, sizeof text - used, ",1");
        assert_int_equal(read_log(text, NULL, &kept, &why), over ? IMP_LIMIT : IMP_OK);
    }
    assert_contains(why.message, "there are more than");
}

static void odd_headers_are_read_as_they_are_meant(void **state)
{
    (void)state;
    rows_kept kept;
    imp_error why;
    assert_int_equal(read_log("time,,b\n0,1,2\n", NULL, &kept, &why), IMP_OK); /* a name of its own for a column without */
    assert_int_equal(read_log("time,a,\n0,1,\n", NULL, &kept, &why), IMP_OK);  /* a separator at the end */
    assert_int_equal(read_log("time [s];a [strokes?]\n0;1\n", NULL, &kept, &why), IMP_OK); /* a logger's own mark */
    assert_int_equal(read_log("time\ta\n0\t1.5\n", NULL, &kept, &why), IMP_OK);
    assert_true(kept.rows == 1 && kept.value[0] == 1.5);
    assert_int_equal(read_log("a;time\n1.5;0\n2.5;1\n", NULL, &kept, &why), IMP_OK); /* time at the end */
    assert_true(kept.rows == 2 && kept.value[0] == 1.5 && kept.time[1] == 1.0);
    assert_int_equal(read_log("time;a\n0;1,5\n", NULL, &kept, &why), IMP_SYNTAX);
    assert_contains(why.message, "decimal commas must be declared in a columns document");
    const imp_log_mapping comma = {.decimal = ','};
    const imp_log_options options = {.mapping = &comma};
    assert_int_equal(read_log("time;a\n0;1,5\n", &options, &kept, &why), IMP_OK);
    assert_true(kept.rows == 1 && kept.value[0] == 1.5);
    assert_int_equal(read_log("time;a\n0;1.5\n", &options, &kept, &why), IMP_SYNTAX);
    assert_contains(why.message, "a decimal comma is declared");
    assert_int_equal(read_log("time,a\n0,1\n", &options, &kept, &why), IMP_RANGE);
    assert_contains(why.message, "a comma cannot both separate cells and stand in numbers");
    assert_true(imp_log_known_count() > 10);
    for (size_t i = 0; i < imp_log_known_count(); i++)
        assert_ptr_equal(imp_log_known_find(imp_log_known_at(i)->name), imp_log_known_at(i));
    assert_null(imp_log_known_at(imp_log_known_count()));
}

/* Most texts of a log have the minute of the one before; a fraction, a zone or another day each leaves that short way. */
static void times_of_day_follow_each_other_in_every_notation(void **state)
{
    (void)state;
    static const struct { const char *text; double seconds; } times[] = {
        {"2031-05-14T07:00:00.5+02:00", 0.5}, {"2031-05-14T07:00:01.25+02:00", 1.25}, {"2031-05-14T07:00:01.123456789+02:00", 1.123456789},
        {"2031-05-14T07:00:01.1234567891+02:00", 1.123456789}, {"2031-05-14T07:00:02+02:00", 2.0}, {"2031-05-14T07:00:03+0200", 3.0},
        {"2031-05-14T07:00:04+02", 4.0}, {"2031-05-14T06:00:05+01:00", 5.0}, {"2031-05-14T05:00:06Z", 6.0}, {"2031-05-14 05:00:07Z", 7.0},
        {"2031-05-14T05:00:08,5Z", 8.5}, {"2031-05-14T05:01:00Z", 60.0}, {"2031-05-14T05:02Z", 120.0}, {"2031-05-15T05:00:00Z", 86400.0}};
    char text[2000] = "time;a\n";
    for (size_t i = 0; i < sizeof times / sizeof times[0]; i++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "%s;%zu\n", times[i].text, i);
    rows_kept kept;
    imp_error why;
    assert_int_equal(read_log(text, NULL, &kept, &why), IMP_OK);
    assert_int_equal(kept.rows, sizeof times / sizeof times[0]);
    for (size_t i = 0; i < kept.rows; i++)
        assert_close(kept.time[i] - kept.time[0] + 0.5, times[i].seconds, 1e-6); /* a double holds seconds since 1970 to 2e-7 */
    /* what only begins like the time before is none */
    assert_int_equal(read_log("time,a\n2031-05-14T07:00:00Z,1\n2031-05-14T07:00:61Z,2\n2031-05-14T07:00:0xZ,3\n2031-05-14T07:00:01.Z,4\n"
                              "2031-05-14T07:00:02ZZ,5\n2031-05-14T07:00:03,6\n12,7\n2031-05-14T07:00:04Z,8\n", NULL, &kept, &why), IMP_OK);
    assert_true(kept.rows >= 2 && kept.value[0] == 1.0 && kept.value[kept.rows - 1] == 8.0);
    for (size_t i = 0; i < kept.rows; i++)
        assert_true(kept.value[i] == 1.0 || kept.value[i] == 6.0 || kept.value[i] == 8.0); /* 6: without a zone, as the log's */
}

static void a_columns_document_that_cannot_be_meant_is_refused_at_its_place(void **state)
{
    (void)state;
    static const struct { const char *members, *place, *message; } cases[] = {
        {"\"zzzzzzzz\": 1, \"columns\": []", "", "\"zzzzzzzz\" is not known here"},
        {"\"columns\": 5", "columns", "expected a list of"},
        {"\"decimal\": \"point\"", "columns", "expected a list of"},
        {"\"columns\": [5]", "columns[1]", "expected an object with \"header\" and \"name\""},
        {"\"columns\": [{\"header\": \"a\", \"name\": \"\"}]", "columns[1]", "expected both"},
        {"\"columns\": [{\"header\": \"a\", \"name\": \"b\"}, {\"header\": \"a\"}]", "columns[2]", "expected both"},
        {"\"columns\": [{\"header\": 5, \"name\": \"b\"}]", "columns[1]", "expected a text"},
        {"\"columns\": [{\"header\": \"a\", \"name\": 5}]", "columns[1]", "expected a text"},
        {"\"columns\": [{\"header\": \"a\", \"name\": \"b\", \"unit\": []}]", "columns[1]", "expected a text"},
        {"\"columns\": [{\"header\": \"a\", \"name\": \"b\", \"unti\": \"bar\"}]", "columns[1]", "did you mean \"unit\"?"},
        {"\"separator\": \"|\", \"columns\": []", "separator", "expected one of \",\", \";\", \"tab\", got \"|\""},
        {"\"separator\": 5, \"columns\": []", "separator", "expected a text"},
        {"\"decimal\": 5, \"columns\": []", "decimal", "expected a text"},
        {"\"time_format\": 5, \"columns\": []", "time_format", "expected a text"},
        {"\"time_format\": \"DD.MM.YY\", \"columns\": []", "time_format", "expected \"iso\", \"seconds\" or a pattern"},
        {"\"time_format\": \"DD.MM. hh:mm\", \"columns\": []", "time_format", "expected \"iso\""},
        {"\"time_format\": \"DD.YY hh:mm\", \"columns\": []", "time_format", "expected \"iso\""},
        {"\"time_format\": \"MM.YY hh:mm\", \"columns\": []", "time_format", "expected \"iso\""},
        {"\"time_zone\": \"\", \"columns\": []", "time_zone", "expected an offset such as"},
        {"\"time_zone\": \"+25:00\", \"columns\": []", "time_zone", "expected an offset such as"},
        {"\"time_zone\": \"+02:\", \"columns\": []", "time_zone", "expected an offset such as"},
        {"\"time_zone\": 2, \"columns\": []", "time_zone", "expected a text"},
    };
    char text[400];
    imp_log_mapping mapping;
    imp_error why;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        snprintf(text, sizeof text, "{\"impinge\": 1, %s}", cases[i].members);
        if (imp_log_mapping_read(text, strlen(text), NULL, &mapping, &why) == IMP_OK)
            fail_msg("%s is read", text);
        assert_string_equal(why.place, cases[i].place);
        assert_contains(why.message, cases[i].message);
    }
    static const char *const versions[] = {"{\"impinge\": 2, \"columns\": []}", "{\"impinge\": \"1\", \"columns\": []}"};
    for (size_t i = 0; i < 2; i++) {
        assert_int_not_equal(imp_log_mapping_read(versions[i], strlen(versions[i]), NULL, &mapping, &why), IMP_OK);
        assert_contains(why.message, "expected the format version 1");
    }
}

static void what_a_columns_document_may_say_is_understood(void **state)
{
    (void)state;
    static const struct { const char *members; char separator, decimal; bool has_format; double zone; } cases[] = {
        {"\"separator\": \"tab\"", '\t', 0, false, 0.0},    {"\"separator\": \"\\t\"", '\t', 0, false, 0.0},
        {"\"separator\": \",\"", ',', 0, false, 0.0},       {"\"separator\": \";\", \"decimal\": \"comma\"", ';', ',', false, 0.0},
        {"\"decimal\": \"point\"", 0, '.', false, 0.0},     {"\"time_format\": \"iso\"", 0, 0, false, 0.0},
        {"\"time_format\": \"seconds\"", 0, 0, false, 0.0}, {"\"time_format\": \"DD.MM.YY hh:mm\"", 0, 0, true, 0.0},
        {"\"time_zone\": \"-03:30\"", 0, 0, false, -12600.0}, {"\"time_zone\": \"Z\"", 0, 0, false, 0.0}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char text[200];
        imp_log_mapping mapping;
        snprintf(text, sizeof text, "{\"impinge\": 1, \"columns\": [], %s}", cases[i].members);
        assert_ok(imp_log_mapping_read(text, strlen(text), NULL, &mapping, error));
        assert_true(mapping.separator == cases[i].separator && mapping.decimal == cases[i].decimal);
        assert_true((mapping.time_format != NULL) == cases[i].has_format && mapping.zone_offset == cases[i].zone);
        imp_log_mapping_free(&mapping);
    }
}

static void answers_of_another_kind_are_none(void **state)
{
    (void)state;
    imp_log *log = NULL;
    imp_columns *columns = NULL;
    imp_column a, zero, mask;
    imp_reduction mean, spans, series;
    imp_error why;
    imp_span span;
    imp_series_point point;
    imp_quantity result;
    double longest, total;
    const imp_quantity nothing = {.si = 0.0};
    assert_ok(imp_log_open(file_with("time,a\n0,1\n1,2\n2,0\n"), NULL, &log, error));
    assert_ok(imp_columns_create(NULL, &columns, error));
    assert_ok(imp_columns_bind(columns, imp_log_header_of(log), error));
    assert_ok(imp_columns_source(columns, "a", &a, error));
    assert_ok(imp_columns_constant(columns, &nothing, &zero, error));
    assert_ok(imp_columns_binary(columns, IMP_COLUMN_ABOVE, a, zero, &mask, error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_MEAN, a, IMP_NO_COLUMN, 0.0, &mean, error));
    assert_ok(imp_columns_spans(columns, mask, &a, 1, &spans, error));
    assert_ok(imp_columns_resample(columns, a, IMP_NO_COLUMN, 1.0, &series, error));
    assert_int_equal(imp_columns_span_at(columns, spans, 0, &span, &why), IMP_NOT_APPLICABLE);
    assert_contains(why.message, "have not been run yet");
    assert_int_equal(imp_columns_span_totals(columns, spans, &longest, &total, &why), IMP_NOT_APPLICABLE);
    assert_int_equal(imp_columns_series_at(columns, series, 0, &point, &why), IMP_NOT_APPLICABLE);
    assert_ok(imp_columns_run(columns, log, error));
    for (imp_reduction wrong = -1; wrong < 100; wrong += wrong < 5 ? 1 : 40) {
        if (wrong != spans) {
            assert_int_equal(imp_columns_span_at(columns, wrong, 0, &span, &why), IMP_INTERNAL);
            assert_contains(why.message, "this reduction has no such answer");
            assert_int_equal(imp_columns_span_totals(columns, wrong, &longest, &total, &why), IMP_INTERNAL);
            assert_int_equal(imp_columns_spans_kept(columns, wrong), 0);
        }
        if (wrong != series) {
            assert_int_equal(imp_columns_series_at(columns, wrong, 0, &point, &why), IMP_INTERNAL);
            assert_int_equal(imp_columns_series_count(columns, wrong), 0);
        }
    }
    assert_int_equal(imp_columns_span_at(columns, spans, 1, &span, &why), IMP_RANGE);
    assert_contains(why.message, "there are 1 spans kept");
    assert_ok(imp_columns_result(columns, mean, &result, error));
    assert_true(result.si == 1.0);
    imp_columns_free(columns);
    imp_log_close(log);
}

/* A folder of its own would do; those that everybody may not read need a user who is not root, so they are left to the faults. */
static void what_is_no_log_file_is_refused(void **state)
{
    (void)state;
    imp_log *log = NULL;
    imp_error why;
    assert_int_equal(imp_log_open("/nowhere/day.csv", NULL, &log, &why), IMP_IO);
    assert_contains(why.message, "no such file");
    assert_int_not_equal(imp_log_open("/tmp", NULL, &log, &why), IMP_OK);
    assert_true(strlen(why.message) > 0);
    rows_kept kept;
    assert_int_not_equal(read_log("\xff\xfet\0i\0", NULL, &kept, &why), IMP_OK);
    assert_true(strlen(why.message) > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_header_that_cannot_be_meant_is_refused_at_its_column),
        cmocka_unit_test(names_and_columns_have_their_limits),
        cmocka_unit_test(odd_headers_are_read_as_they_are_meant),
        cmocka_unit_test(times_of_day_follow_each_other_in_every_notation),
        cmocka_unit_test(a_columns_document_that_cannot_be_meant_is_refused_at_its_place),
        cmocka_unit_test(what_a_columns_document_may_say_is_understood),
        cmocka_unit_test(answers_of_another_kind_are_none),
        cmocka_unit_test(what_is_no_log_file_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
