/* The reader of job logs: numbers against strtod, times against known dates, and a corpus of damaged files. */
#include "log_support.h"

#include "log_internal.h"

enum { MOST_ROWS = 4096 };

/* All rows of a log, and what was wrong. */
typedef struct whole_log {
    size_t rows;
    double time[MOST_ROWS], values[8][MOST_ROWS];
    uint64_t line[MOST_ROWS];
    size_t columns;
    imp_log_header header;
    imp_log_faults faults;
    imp_error error;
} whole_log;

static whole_log whole;

static imp_status keep_rows(void *context, imp_log_block *block, imp_error *error)
{
    (void)context;
    (void)error;
    for (size_t i = 0; i < block->rows; i++, whole.rows++) {
        assert_true(whole.rows < MOST_ROWS);
        whole.time[whole.rows] = block->time[i];
        whole.line[whole.rows] = block->line[i];
        for (size_t c = 0; c < whole.columns; c++)
            whole.values[c][whole.rows] = block->values[c][i];
    }
    return IMP_OK;
}

static imp_status discard(void *context, imp_log_block *block, imp_error *error)
{
    (void)context;
    (void)block;
    (void)error;
    return IMP_OK;
}

/* What is read with the header (64 KiB) is the first chunk of the first run, whatever its size; a second run has all in chunks. */
static imp_status read_run(const char *path, const imp_log_options *options, int runs)
{
    imp_log *log = NULL;
    memset(&whole, 0, sizeof whole);
    imp_status status = imp_log_open(path, options, &log, &whole.error);
    if (status == IMP_OK) {
        whole.header = *imp_log_header_of(log);
        whole.columns = whole.header.count;
        for (int i = 1; i < runs; i++)
            imp_log_run(log, discard, NULL, NULL);
        status = imp_log_run(log, keep_rows, NULL, &whole.error);
        whole.faults = *imp_log_faults_of(log);
    }
    imp_log_close(log);
    return status;
}

static imp_status read_path(const char *path, const imp_log_options *options)
{
    return read_run(path, options, 1);
}

static imp_status read_text(const char *text)
{
    return read_path(file_with(text), NULL);
}

static imp_status read_mapped(const char *text, const char *document)
{
    imp_log_mapping mapping;
    assert_ok(imp_log_mapping_read(document, strlen(document), NULL, &mapping, error));
    const imp_log_options options = {.mapping = &mapping};
    const imp_status status = read_path(file_with(text), &options);
    imp_log_mapping_free(&mapping);
    return status;
}

static uint64_t count_of(imp_log_fault fault)
{
    return whole.faults.kind[fault].count;
}

static uint64_t all_faults(void)
{
    uint64_t sum = 0;
    for (int i = 0; i < IMP_LOG_FAULT_COUNT; i++)
        sum += whole.faults.kind[i].count;
    return sum;
}

static void values_are_read_in_si(void **state)
{
    (void)state;
    assert_int_equal(read_text("time,iso_pressure [bar],iso_temperature [degC],iso_flow [L/min],note\n0,80,50.5,2.4,7\n1,,-3,0,\n"), IMP_OK);
    assert_int_equal(whole.rows, 2);
    assert_true(whole.values[0][0] == 8e6 && whole.values[1][0] == 50.5 + 273.15);
    assert_relative(whole.values[2][0], 2.4 / 60000.0, 3e-16);
    assert_true(whole.values[2][0] == imp_unit_to_si(&whole.header.columns[2].unit, 2.4) && whole.values[3][0] == 7.0);
    assert_true(whole.values[0][1] != whole.values[0][1] && whole.values[1][1] == -3.0 + 273.15);
    assert_true(whole.header.columns[1].is_reading && whole.header.columns[0].is_known && !whole.header.columns[3].is_known);
    assert_int_equal(whole.faults.missing[0], 1);
    assert_int_equal(whole.faults.lines, 3);
    assert_int_equal(all_faults(), 0);
}

/* the C library's strtod is the outside reference for rounding */
static void numbers_are_those_of_strtod(void **state)
{
    (void)state;
    static const char *const cells[] = {
        "0", "1", "-1", "00012", "1.", ".5", "-.5", "+3", "1e3", "1E-3", "-1.5e+2", "123456.7", "1234567", "0.000001", "9.999999",
        "12345678", "123456789.25", "0.1234567890123456789", "9007199254740993", "18014398509481985", "1.7976931348623157e29",
        "4.9e-324", "2.2250738585072011e-308", "0.30000000000000004", "8.41e21", "123456789012345678901234567890e-20", "7.2057594037927933e16",
        "1.00000000000000011102230246251565404236316680908203125", "99999999", "9999999.", "-0", "-0.0"};
    char text[256];
    for (size_t i = 0; i < sizeof cells / sizeof cells[0]; i++)
        for (int layout = 0; layout < 3; layout++) {
            snprintf(text, sizeof text, layout == 0 ? "time,x\n0,%s\n" : layout == 1 ? "time,x,y\n0,%s,1\n" : "time,x\r\n0,\"%s\"", cells[i]);
            assert_int_equal(read_text(text), IMP_OK);
            const double expected = strtod(cells[i], NULL);
            assert_memory_equal(&whole.values[0][0], &expected, sizeof expected);
        }
    /* many of one and of changing shape, so that the short way and its fallbacks take turns */
    static char many[MOST_ROWS * 40];
    static double expected[3000];
    size_t used = (size_t)sprintf(many, "time,x\n");
    unsigned seed = 1;
    for (int i = 0; i < 3000; i++) {
        char cell[32];
        seed = seed * 1103515245u + 12345u;
        const double size = ((double)(seed >> 8) / 16777216.0 - 0.3) * pow(10.0, i % 50 < 40 ? 2 : (int)(seed >> 20) % 12 - 5);
        snprintf(cell, sizeof cell, "%.*f", i % 50 < 40 ? 1 : (int)(seed >> 16) % 10, size);
        expected[i] = strtod(cell, NULL);
        used += (size_t)sprintf(many + used, "%d,%s\n", i, cell);
    }
    assert_int_equal(read_text(many), IMP_OK);
    assert_int_equal(whole.rows, 3000);
    assert_memory_equal(whole.values[0], expected, sizeof expected);
}

/* seconds as GNU date prints them (date -u -d TEXT +%s, coreutils 9.1) */
static void times_are_seconds_since_1970(void **state)
{
    (void)state;
    static const struct { const char *text; double seconds; } cases[] = {
        {"1970-01-01T00:00:00Z", 0.0}, {"2000-03-01T00:00:00Z", 951868800.0}, {"2000-02-29 23:59:59Z", 951868799.0},
        {"2031-05-14T07:00:01+02:00", 1936501201.0}, {"2031-05-14T05:00:01Z", 1936501201.0}, {"2031-05-14T07:00:01.25+0200", 1936501201.25},
        {"2031-05-14T07:00+02", 1936501200.0}, {"1969-12-31T23:59:59Z", -1.0}, {"2031-05-13T22:30:01.5-06:30", 1936501201.5}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char text[128];
        snprintf(text, sizeof text, "time,x\n%s,1\n", cases[i].text);
        assert_int_equal(read_text(text), IMP_OK);
        assert_true(whole.time[0] == cases[i].seconds);
        assert_true(whole.header.is_calendar && whole.header.has_zone);
    }
    static const char *const impossible[] = {"2031-02-29T00:00:00Z", "2031-13-01T00:00:00Z", "2031-04-31T00:00:00", "2031-01-01T24:00:00",
                                             "2031-01-01", "yesterday", "2031-01-01T00:00:61", "2031-1-1T0:0:0", "2031-01-01T00:00:00+", "1e400"};
    for (size_t i = 0; i < sizeof impossible / sizeof impossible[0]; i++) {
        char text[128];
        snprintf(text, sizeof text, "time,x\n%s,1\n", impossible[i]);
        assert_int_equal(read_text(text), IMP_SYNTAX);
        assert_contains(whole.error.message, "without a readable time");
    }
}

static void a_time_reads_back_from_its_text(void **state)
{
    (void)state;
    char text[64];
    assert_int_equal(read_text("time,x\n2031-05-14T07:00:01.250+02:00,1\n"), IMP_OK);
    assert_string_equal(imp_log_time_text(&whole.header, whole.time[0], text, sizeof text), "2031-05-14T07:00:01.250+02:00");
    assert_int_equal(read_text("time,x\n2031-05-14 07:00:01,1\n"), IMP_OK);
    assert_string_equal(imp_log_time_text(&whole.header, whole.time[0], text, sizeof text), "2031-05-14T07:00:01");
    assert_int_equal(read_text("time [s],x\n12.5,1\n"), IMP_OK);
    assert_string_equal(imp_log_time_text(&whole.header, whole.time[0], text, sizeof text), "12.5 s");
}

static void a_columns_document_maps_headers_units_and_times(void **state)
{
    (void)state;
    assert_int_equal(read_mapped("Zeit;P Iso [Bar];Bem.\n14.05.2031 07:00:01;80,5;\"a;b\"\n14.05.2031 07:00:02;81,0;\n14.05.2031 07:01:00;-1,25;3\n",
                                 "{\"impinge\": 1, \"separator\": \";\", \"decimal\": \"comma\", \"time_format\": \"DD.MM.YYYY hh:mm:ss\", "
                                 "\"time_zone\": \"+02:00\", \"columns\": [{\"header\": \"Zeit\", \"name\": \"time\"}, "
                                 "{\"header\": \"P Iso\", \"name\": \"iso_pressure\", \"unit\": \"bar\"}]}"),
                     IMP_OK);
    assert_int_equal(whole.rows, 3);
    assert_true(whole.time[0] == 1936501201.0 && whole.time[1] == 1936501202.0 && whole.time[2] == 1936501260.0);
    assert_true(whole.values[0][0] == 80.5e5 && whole.values[0][2] == -1.25e5);
    assert_string_equal(whole.header.columns[0].name, "iso_pressure");
    assert_int_equal(count_of(IMP_FAULT_NOT_A_NUMBER), 1);
    assert_int_equal(whole.faults.kind[IMP_FAULT_NOT_A_NUMBER].line[0], 2);
    assert_int_equal(whole.faults.kind[IMP_FAULT_NOT_A_NUMBER].column[0], 1);
}

static void a_bad_columns_document_names_the_place(void **state)
{
    (void)state;
    static const struct { const char *text, *place, *message; } cases[] = {
        {"{\"impinge\": 1, \"columns\": [{\"header\": \"P\", \"name\": \"iso_pressure\", \"unit\": \"bra\"}]}", "columns[1]", "unit: "},
        {"{\"impinge\": 1, \"colums\": []}", "", "did you mean \"columns\""},
        {"{\"impinge\": 1, \"decimal\": \"komma\", \"columns\": []}", "decimal", "\"point\" or \"comma\""},
        {"{\"impinge\": 1, \"separator\": \",\", \"decimal\": \"comma\", \"columns\": []}", "decimal", "cannot both"},
        {"{\"impinge\": 1, \"time_zone\": \"CET\", \"columns\": []}", "time_zone", "+01:00"},
        {"{\"impinge\": 1, \"time_format\": \"dd\", \"columns\": []}", "time_format", "pattern"},
        {"{\"columns\": []}", "impinge", "version"},
        {"{\"impinge\": 1, \"columns\": [{\"name\": \"x\"}]}", "columns[1]", "both"},
        {"{\"impinge\": 1", "line 1", "end"},
        {"[]", "", "object"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        imp_log_mapping mapping;
        imp_error error;
        assert_int_not_equal(imp_log_mapping_read(cases[i].text, strlen(cases[i].text), NULL, &mapping, &error), IMP_OK);
        assert_contains(error.place, cases[i].place);
        assert_contains(error.message, cases[i].message);
    }
}

/* RFC 4180, sections 2.5 to 2.7 */
static void quotes_are_those_of_rfc_4180(void **state)
{
    (void)state;
    assert_int_equal(read_text("\xef\xbb\xbf\"time\",\"a \"\"x\"\"\",\"iso_pressure [bar]\"\r\n\"0\",\"1.5\",80\r\n1,\"two\nlines\",81\r\n2,\" 3 \",\"82\"\r\n"), IMP_OK);
    assert_string_equal(whole.header.columns[0].name, "a \"x\"");
    assert_int_equal(whole.rows, 3);
    assert_true(whole.values[0][0] == 1.5 && whole.values[0][2] == 3.0 && whole.values[1][1] == 81e5);
    assert_int_equal(count_of(IMP_FAULT_NOT_A_NUMBER), 1);
    assert_int_equal(whole.line[2], 5);
    assert_int_equal(whole.faults.lines, 5);
}

static void a_header_that_cannot_be_used_is_one_sentence(void **state)
{
    (void)state;
    static const struct { const char *text, *place, *message; } cases[] = {
        {"", "", "empty"},
        {"\n\n", "", "no header"},
        {"pressure,temperature\n1,2\n", "time", "no column \"time\""},
        {"time\n1\n", "", "no column besides time"},
        {"time,iso_pressure\n1,2\n", "iso_pressure", "has no unit; write it behind the name, such as \"iso_pressure [bar]\""},
        {"time,iso_pressure [degC]\n1,2\n", "iso_pressure", "expected the unit of a pressure, such as [bar], got [degC]"},
        {"time,iso_pressure [bra]\n1,2\n", "iso_pressure", "bra"},
        {"time,iso_temperature [K_diff]\n1,2\n", "iso_temperature", ""},
        {"time,x,x\n1,2,3\n", "x", "two columns"},
        {"time,x,time\n1,2,3\n", "time", "two columns"},
        {"time [min],x\n1,2\n", "time", "seconds [s]"},
        {"time,x [bar\n1,2\n", "x", "name [unit]"},
        {"\xff\xfet\0i\0", "", "UTF-16"},
        {"time,x\n", "", "no rows"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        assert_int_not_equal(read_text(cases[i].text), IMP_OK);
        assert_string_equal(whole.error.place, cases[i].place);
        assert_contains(whole.error.message, cases[i].message);
    }
    assert_int_equal(read_path("/nowhere/at.csv", NULL), IMP_IO);
    assert_contains(whole.error.message, "no such file");
    assert_int_equal(read_path("/tmp", NULL), IMP_IO);
    assert_contains(whole.error.message, "folder");
}

/* --- the damaged corpus --- */

static void damaged_rows_are_counted_with_their_lines_and_the_rest_is_used(void **state)
{
    (void)state;
    assert_int_equal(read_text("time,a,b\n"
                               "0,1,2\n"          /* 2 */
                               "1,x,2\n"          /* 3: not a number */
                               "2,1\n"            /* 4: ragged */
                               "3,1,2,3\n"        /* 5: ragged */
                               "4,1,2,\n"         /* 6: a separator at the end is fine */
                               ",1,2\n"           /* 7: no time */
                               "\n"               /* 8: empty */
                               "5,1e999,2\n"      /* 9: too large */
                               "6,1e308,2\n"      /* 10: too large */
                               "7,\x01\x02,\x03\n" /* 11: binary */
                               "8,\"1,2\n"        /* 12: quotes do not close */
                               "9,1,2\n"          /* 13 */
                               "10,NaN,inf\n"     /* 14: two cells */
                               "11,0x10,1..2\n"   /* 15: two cells */
                               "12,1"),           /* 16: truncated */
                     IMP_OK);
    assert_int_equal(count_of(IMP_FAULT_NOT_A_NUMBER), 5);
    assert_int_equal(count_of(IMP_FAULT_RAGGED), 2);
    assert_int_equal(count_of(IMP_FAULT_NO_TIME), 1);
    assert_int_equal(count_of(IMP_FAULT_TOO_LARGE), 2);
    assert_int_equal(count_of(IMP_FAULT_BINARY), 1);
    assert_int_equal(count_of(IMP_FAULT_QUOTES), 1);
    assert_int_equal(count_of(IMP_FAULT_TRUNCATED), 1);
    assert_int_equal(all_faults(), 13);
    assert_int_equal(whole.faults.kind[IMP_FAULT_RAGGED].line[1], 5);
    assert_int_equal(whole.faults.kind[IMP_FAULT_TOO_LARGE].line[1], 10);
    assert_int_equal(whole.faults.kind[IMP_FAULT_BINARY].line[0], 11);
    assert_int_equal(whole.faults.kind[IMP_FAULT_QUOTES].line[0], 12);
    assert_int_equal(whole.faults.kind[IMP_FAULT_NOT_A_NUMBER].line[4], 15);
    assert_int_equal(whole.faults.kind[IMP_FAULT_NOT_A_NUMBER].column[4], 1);
    assert_int_equal(whole.faults.kind[IMP_FAULT_TRUNCATED].line[0], 16);
    assert_int_equal(whole.rows, 8);
    assert_int_equal(whole.line[2], 6);
    assert_int_equal(whole.faults.lines, 16);
    assert_string_equal(whole.faults.sample, "x");
}

static void a_whole_file_of_the_wrong_kind_is_one_sentence(void **state)
{
    (void)state;
    assert_int_equal(read_text("time;a;b\n0;1,5;2,5\n1;1,5;2,5\n"), IMP_SYNTAX);
    assert_string_equal(whole.error.place, "a");
    assert_contains(whole.error.message, "\"1,5\"; decimal commas must be declared");
    assert_int_equal(read_text("time,a,b\n0,1,5,2,5\n1,1,5,2,5\n"), IMP_SYNTAX);
    assert_contains(whole.error.message, "2 rows with too few or too many cells, left out (the first in line 2; a row has 3 cells)");
    static char binary[5000];
    unsigned seed = 9;
    for (size_t i = 0; i < sizeof binary; i++) {
        seed = seed * 1103515245u + 12345u;
        binary[i] = (char)(seed >> 16);
    }
    assert_int_equal(read_path(file_of(binary, sizeof binary), NULL), IMP_SYNTAX);
    assert_true(strlen(whole.error.message) > 0);
    memcpy(binary, "time,a\n0,1\n", 11);
    assert_int_equal(read_path(file_of(binary, sizeof binary), NULL), IMP_OK);
    assert_int_equal(whole.rows, 1);
    assert_true(all_faults() > 3);
}

static void a_line_of_100000_characters_is_left_out_and_counted_once(void **state)
{
    (void)state;
    enum { LONG = 100000 };
    static char text[2 * LONG + 200];
    for (int with_end = 0; with_end < 2; with_end++) {
        size_t used = (size_t)sprintf(text, "time,a\n0,1\n1,");
        memset(text + used, '7', LONG);
        used += LONG;
        used += (size_t)sprintf(text + used, with_end ? "\n2,3\n" : "");
        for (size_t chunk = 0; chunk < 3; chunk++) {
            const imp_log_options options = {.chunk = chunk == 0 ? 0 : chunk == 1 ? 64 : 70000};
            assert_int_equal(read_path(file_of(text, used), &options), IMP_OK);
            assert_int_equal(whole.rows, with_end ? 2 : 1);
            assert_int_equal(count_of(IMP_FAULT_LONG_LINE), 1);
            assert_int_equal(whole.faults.kind[IMP_FAULT_LONG_LINE].line[0], 3);
            assert_int_equal(all_faults(), 1);
            assert_int_equal(whole.faults.lines, with_end ? 4 : 3);
        }
    }
}

/* Any cut of any damaged text: never a crash, and the same answer whatever the size of chunks and blocks and threads. */
static void chunks_blocks_and_threads_change_nothing(void **state)
{
    (void)state;
    static const char *const parts[] = {"1,2,3\n", "2,\"a\nb\",4\n", "\"3\",4,5\r\n", "4,\"5\n", ",,\n", "5,,\n", "x\n", "6,7,8,9\n", "\n", "7,1e5,-.5\n",
                                        "8,\"9\"\"\",1\n", "\"\n", "9,1,2"};
    static char text[20000];
    unsigned seed = 4;
    for (int round = 0; round < 40; round++) {
        size_t used = (size_t)sprintf(text, "time,a,b\n0,1,1\n");
        const int count = round % 4 == 0 ? 3 : 400;
        for (int i = 0; i < count; i++) {
            seed = seed * 1103515245u + 12345u;
            used += (size_t)sprintf(text + used, "%s", parts[(seed >> 16) % (round % 2 ? 3 : 13)]);
        }
        static whole_log first;
        const char *path = file_of(text, used);
        const imp_status status = read_path(path, NULL);
        first = whole;
        for (int i = 0; i < 12; i++) {
            const int size = i / 2;
            const imp_log_options options = {.threads = 1 + size % 3, .chunk = (size_t)(1 + size * size * 37), .rows = (size_t)(1 + 5 * size)};
            assert_int_equal(read_run(path, &options, 1 + i % 2), status);
            assert_memory_equal(&whole.faults, &first.faults, sizeof first.faults);
            assert_int_equal(whole.rows, first.rows);
            assert_memory_equal(whole.time, first.time, sizeof first.time);
            assert_memory_equal(whole.line, first.line, sizeof first.line);
            assert_memory_equal(whole.values, first.values, sizeof first.values);
        }
    }
}

static void a_log_can_be_run_again_and_a_callback_can_stop_it(void **state)
{
    (void)state;
    imp_log *log;
    imp_error error;
    memset(&whole, 0, sizeof whole);
    assert_int_equal(imp_log_open(file_with("time,a\n0,1\n1,2\n"), NULL, &log, &error), IMP_OK);
    whole.columns = 1;
    assert_int_equal(imp_log_run(log, keep_rows, NULL, &error), IMP_OK);
    const imp_log_faults first = *imp_log_faults_of(log);
    assert_int_equal(imp_log_run(log, keep_rows, NULL, &error), IMP_OK);
    assert_int_equal(whole.rows, 4);
    assert_true(whole.values[0][3] == 2.0);
    assert_int_equal(imp_log_faults_of(log)->lines, first.lines);
    assert_int_equal(imp_log_faults_of(log)->bytes, first.bytes);
    imp_log_close(log);
}

static imp_status refuse(void *context, imp_log_block *block, imp_error *error)
{
    ++*(int *)context;
    return imp_fail(error, IMP_LIMIT, NULL, "enough after %zu rows", block->rows);
}

static void a_failing_callback_ends_the_run_on_all_threads(void **state)
{
    (void)state;
    static char text[200000];
    size_t used = (size_t)sprintf(text, "time,a\n");
    for (int i = 0; i < 15000; i++)
        used += (size_t)sprintf(text + used, "%d,1\n", i);
    for (int threads = 1; threads < 4; threads++) {
        const imp_log_options options = {.threads = threads, .chunk = 500};
        imp_log *log;
        imp_error error;
        int calls = 0;
        assert_int_equal(imp_log_open(file_of(text, used), &options, &log, &error), IMP_OK);
        assert_int_equal(imp_log_run(log, refuse, &calls, &error), IMP_LIMIT);
        assert_contains(error.message, "enough");
        assert_int_equal(calls, 1);
        imp_log_close(log);
    }
}

static void every_failed_allocation_is_an_error_and_leaks_nothing(void **state)
{
    (void)state;
    const char *document = "{\"impinge\": 1, \"columns\": [{\"header\": \"t\", \"name\": \"time\"}, {\"header\": \"p\", \"name\": \"x\", \"unit\": \"bar\"}]}";
    const char *path = file_with("t,p\n0,1\n1,2\n");
    long failed = 0;
    for (long left = 0;; left++) {
        counted_memory memory = {.left = left, .taken = 0};
        const imp_allocator allocator = {counted_resize, &memory};
        imp_log_mapping mapping;
        imp_error error;
        imp_log *log = NULL;
        imp_status status = imp_log_mapping_read(document, strlen(document), &allocator, &mapping, &error);
        if (status == IMP_OK) {
            const imp_log_options options = {.threads = 2, .mapping = &mapping, .allocator = &allocator};
            status = imp_log_open(path, &options, &log, &error);
            memset(&whole, 0, sizeof whole);
            whole.columns = 1;
            if (status == IMP_OK)
                status = imp_log_run(log, keep_rows, NULL, &error);
            imp_log_close(log);
            imp_log_mapping_free(&mapping);
        }
        if (status == IMP_OK)
            break;
        assert_int_equal(status, IMP_MEMORY);
        failed++;
    }
    assert_true(failed > 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(values_are_read_in_si),
        cmocka_unit_test(numbers_are_those_of_strtod),
        cmocka_unit_test(times_are_seconds_since_1970),
        cmocka_unit_test(a_time_reads_back_from_its_text),
        cmocka_unit_test(a_columns_document_maps_headers_units_and_times),
        cmocka_unit_test(a_bad_columns_document_names_the_place),
        cmocka_unit_test(quotes_are_those_of_rfc_4180),
        cmocka_unit_test(a_header_that_cannot_be_used_is_one_sentence),
        cmocka_unit_test(damaged_rows_are_counted_with_their_lines_and_the_rest_is_used),
        cmocka_unit_test(a_whole_file_of_the_wrong_kind_is_one_sentence),
        cmocka_unit_test(a_line_of_100000_characters_is_left_out_and_counted_once),
        cmocka_unit_test(chunks_blocks_and_threads_change_nothing),
        cmocka_unit_test(a_log_can_be_run_again_and_a_callback_can_stop_it),
        cmocka_unit_test(a_failing_callback_ends_the_run_on_all_threads),
        cmocka_unit_test(every_failed_allocation_is_an_error_and_leaks_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
