/* Logs that are odd but may be meant, and texts that stop or grow where none is expected to: what is read of them, what is
 * counted, and what is said. */
#include "log_support.h"

#include <fcntl.h>

#include "log_internal.h"

enum { MOST_ROWS = 64 };

static struct {
    size_t rows;
    double time[MOST_ROWS], values[3][MOST_ROWS];
    uint64_t line[MOST_ROWS];
    imp_log_header header;
    imp_log_faults faults;
    imp_error error;
} kept;

static imp_status keep(void *context, imp_log_block *block, imp_error *error)
{
    (void)context;
    (void)error;
    for (size_t i = 0; i < block->rows; i++, kept.rows++) {
        assert_true(kept.rows < MOST_ROWS);
        kept.time[kept.rows] = block->time[i];
        kept.line[kept.rows] = block->line[i];
        for (size_t c = 0; c < kept.header.count && c < 3; c++)
            kept.values[c][kept.rows] = block->values[c][i];
    }
    return IMP_OK;
}

static imp_status read_path(const char *path, const imp_log_options *options)
{
    imp_log *log = NULL;
    memset(&kept, 0, sizeof kept);
    imp_status status = imp_log_open(path, options, &log, &kept.error);
    if (status == IMP_OK) {
        kept.header = *imp_log_header_of(log);
        status = imp_log_run(log, keep, NULL, &kept.error);
        kept.faults = *imp_log_faults_of(log);
    }
    imp_log_close(log);
    return status;
}

static imp_status read_text(const char *text)
{
    return read_path(file_with(text), NULL);
}

static uint64_t count_of(imp_log_fault fault)
{
    return kept.faults.kind[fault].count;
}

static void the_mark_that_is_met_most_separates_the_cells(void **state)
{
    (void)state;
    static const char *const logs[] = {"time\ta;b\tc\n1\t2\t3\n", "time;a,b;c\n1;2;3\n", "time,a;b,c\n1,2,3\n", "time\ta,b\tc\n1\t2\t3\n"};
    for (size_t i = 0; i < sizeof logs / sizeof logs[0]; i++) {
        assert_int_equal(read_text(logs[i]), IMP_OK);
        assert_int_equal(kept.header.count, 2);
        assert_int_equal(kept.rows, 1);
        assert_true(kept.values[1][0] == 3.0);
    }
}

static void empty_lines_anywhere_are_no_rows_and_no_faults(void **state)
{
    (void)state;
    assert_int_equal(read_text("\r\n\n\ntime,a\n\n\r\n2031-05-14T07:00:00,1\n\n2031-05-14T07:00:01,2\n\n"), IMP_OK);
    assert_true(kept.header.is_calendar);
    assert_int_equal(kept.rows, 2);
    assert_int_equal(kept.line[0], 7);
    assert_int_equal(kept.line[1], 9);
    for (int fault = 0; fault < IMP_LOG_FAULT_COUNT; fault++)
        assert_int_equal(count_of((imp_log_fault)fault), 0);
}

static void what_has_no_header_says_so(void **state)
{
    (void)state;
    assert_int_equal(read_text("\n\r\n"), IMP_SYNTAX);
    assert_contains(kept.error.message, "there is no header");
    assert_int_equal(read_text("   \n1\n"), IMP_MISSING);
    assert_contains(kept.error.message, "(first column: \"column_1\")");
}

static void utf_16_is_named_in_both_orders_and_nothing_else_is_taken_for_it(void **state)
{
    (void)state;
    static const char *const utf16[] = {"\xff\xfet", "\xfe\xfft", "\xff\xfe", "\xfe\xff"};
    static const char *const other[] = {"\xff", "\xfe", "\xff\xff", "\xfe\xfe", "\xffz,1\n", "\xfez,1\n"};
    for (size_t i = 0; i < sizeof utf16 / sizeof utf16[0]; i++) {
        assert_int_equal(read_text(utf16[i]), IMP_SYNTAX);
        assert_contains(kept.error.message, "the text is UTF-16; save it as UTF-8");
    }
    for (size_t i = 0; i < sizeof other / sizeof other[0]; i++) {
        assert_int_equal(read_text(other[i]), IMP_MISSING);
        assert_contains(kept.error.message, "the header has no column \"time\"");
    }
}

static void a_row_that_ends_before_its_time_is_ragged(void **state)
{
    (void)state;
    assert_int_equal(read_text("a,b,time\n1\n1,2\n3,4,2031-05-14T07:00:00\n"), IMP_OK);
    assert_int_equal(kept.rows, 1);
    assert_true(kept.header.is_calendar && kept.values[1][0] == 4.0);
    assert_int_equal(count_of(IMP_FAULT_RAGGED), 2);
    assert_int_equal(kept.faults.kind[IMP_FAULT_RAGGED].line[1], 3);
}

/* The kind of the times is looked for in the beginning of the file only, as far as whole rows are there. */
static void times_behind_a_very_long_row_are_read_too(void **state)
{
    (void)state;
    static char text[2 * IMP_LOG_LONGEST_LINE];
    static const size_t lengths[] = {1000, IMP_LOG_LONGEST_LINE - 40, IMP_LOG_LONGEST_LINE - 10};
    for (size_t i = 0; i < sizeof lengths / sizeof lengths[0]; i++) {
        memset(text, 0, sizeof text);
        strcpy(text, "time,a\nno time,");
        memset(text + strlen(text), '7', lengths[i]);
        strcat(text, "\n5,6\n");
        assert_int_equal(read_text(text), IMP_OK);
        assert_int_equal(kept.rows, 1);
        assert_false(kept.header.is_calendar);
        assert_true(kept.time[0] == 5.0 && kept.values[0][0] == 6.0);
        assert_int_equal(count_of(IMP_FAULT_NO_TIME), 1);
    }
}

static void a_line_longer_than_any_row_is_counted_and_the_next_is_read(void **state)
{
    (void)state;
    static const size_t lengths[] = {IMP_LOG_LONGEST_LINE - 1, IMP_LOG_LONGEST_LINE, IMP_LOG_LONGEST_LINE + 1, IMP_LOG_LONGEST_LINE + 2, 100000, 200000};
    static char text[300000];
    static const imp_log_options options[] = {{.threads = 1}, {.chunk = 1 << 20}, {.chunk = 1000}, {.rows = 1}};
    for (size_t i = 0; i < sizeof lengths / sizeof lengths[0]; i++)
        for (size_t k = 0; k < sizeof options / sizeof options[0]; k++) {
            strcpy(text, "time,a\n1,2\n");
            memset(text + 11, 'x', lengths[i]);
            strcpy(text + 11 + lengths[i], "\n3,4\n5,6\n");
            assert_int_equal(read_path(file_with(text), &options[k]), IMP_OK);
            assert_int_equal(kept.rows, 3);
            assert_int_equal(kept.line[1], 4);
            assert_true(kept.values[0][2] == 6.0);
            assert_int_equal(count_of(lengths[i] > IMP_LOG_LONGEST_LINE ? IMP_FAULT_LONG_LINE : IMP_FAULT_RAGGED), 1);
        }
}

static void standard_input_is_the_file_called_minus(void **state)
{
    (void)state;
    const int before = dup(0), file = open(file_with("time,a\n1,2\n"), O_RDONLY);
    assert_true(before >= 0 && file >= 0 && dup2(file, 0) == 0);
    const imp_status status = read_path("-", NULL);
    assert_int_equal(dup2(before, 0), 0);
    close(before);
    close(file);
    assert_int_equal(status, IMP_OK);
    assert_int_equal(kept.rows, 1);
}

/* A cell of more characters than a number may have is none, quoted or not, and not a part of itself. */
static void a_number_of_hundreds_of_digits_is_none(void **state)
{
    (void)state;
    enum { DIGITS = 600 };
    static char text[2 * DIGITS];
    for (int quoted = 0; quoted < 2; quoted++) {
        snprintf(text, sizeof text, "time,a\n0,1\n1,%s1.", quoted ? "\"" : "");
        memset(text + strlen(text), '0', DIGITS);
        snprintf(text + strlen(text), 16, "e2%s\n", quoted ? "\"" : "");
        assert_int_equal(read_text(text), IMP_OK);
        assert_int_equal(kept.rows, 2);
        assert_true(isnan(kept.values[0][1]));
        assert_int_equal(count_of(IMP_FAULT_NOT_A_NUMBER), 1);
        memset(text, 0, sizeof text);
    }
    /* the same number in fewer digits */
    assert_int_equal(read_text("time,a\n0,1\n1,\"1.000e2\"\n"), IMP_OK);
    assert_true(kept.values[0][1] == 100.0);
}

/* What stands behind the cut is part of the cell, however many blanks there are before it. */
static void a_time_with_more_behind_hundreds_of_blanks_is_none(void **state)
{
    (void)state;
    enum { BLANKS = 600 };
    char text[2 * BLANKS];
    snprintf(text, sizeof text, "time,a\n1,2\n\"3%*sx\",4\n5,6\n", BLANKS, "");
    assert_int_equal(read_text(text), IMP_OK);
    assert_int_equal(kept.rows, 2);
    assert_true(kept.time[1] == 5.0);
    assert_int_equal(count_of(IMP_FAULT_NO_TIME), 1);
}

static void the_first_cell_that_is_no_number_is_kept_in_whole_characters(void **state)
{
    (void)state;
    char text[256] = "time,a\n0,";
    for (int i = 0; i < 40; i++)
        strcat(text, "\xC3\xA9");
    strcat(text, "\n1,2\n");
    assert_int_equal(read_text(text), IMP_OK);
    assert_int_equal(count_of(IMP_FAULT_NOT_A_NUMBER), 1);
    assert_int_equal(strlen(kept.faults.sample), IMP_LOG_NAME_SIZE - 2); /* one byte less than there is room for */
    for (size_t i = 0; i < strlen(kept.faults.sample); i += 2)
        assert_memory_equal(kept.faults.sample + i, "\xC3\xA9", 2);
}

static void blanks_round_a_cell_are_not_part_of_it(void **state)
{
    (void)state;
    static const char *const logs[] = {"time,a,b\n0, 1 ,2\t\n", "time,a,b\n0,\" 1 \",\" 2\"\n", "time , a , b\n 0 ,1\t ,2 \n", "time\ta\tb\n0\t 1 \t2\n"};
    for (size_t i = 0; i < sizeof logs / sizeof logs[0]; i++) {
        assert_int_equal(read_text(logs[i]), IMP_OK);
        assert_int_equal(kept.rows, 1);
        assert_true(kept.values[0][0] == 1.0 && kept.values[1][0] == 2.0);
    }
    assert_int_equal(read_text("time,a,b\n0,\t,\" \"\n"), IMP_OK);
    assert_int_equal(kept.faults.missing[0], 1);
    assert_int_equal(kept.faults.missing[1], 1);
    assert_int_equal(count_of(IMP_FAULT_NOT_A_NUMBER), 0);
}

static void seconds_that_are_no_digits_are_no_time_in_the_minute_of_the_last(void **state)
{
    (void)state;
    static const char *const times[] = {"2031-05-14T07:00:x1", "2031-05-14T07:00:1x", "2031-05-14T07:00:61", "2031-05-14T07:00:9", "2031-05-14T07:00;02"};
    for (size_t i = 0; i < sizeof times / sizeof times[0]; i++) {
        char text[200];
        snprintf(text, sizeof text, "time,a\n2031-05-14T07:00:01,1\n%s,2\n2031-05-14T07:00:03,3\n", times[i]);
        assert_int_equal(read_text(text), IMP_OK);
        assert_int_equal(kept.rows, 2);
        assert_true(kept.time[1] - kept.time[0] == 2.0);
        assert_int_equal(count_of(IMP_FAULT_NO_TIME), 1);
    }
    assert_int_equal(read_text("time,a\n2031-05-14T07:00:01,1\n2031-05-14T07:00:60,2\n2031-05-14T07:01:01,3\n2032-05-14T07:01:01,4\n"), IMP_OK);
    assert_int_equal(kept.rows, 4);
    assert_true(kept.time[1] - kept.time[0] == 59.0 && kept.time[3] - kept.time[2] == 366 * 86400.0); /* 2032 is a leap year */
}

/* However many of them stand in one minute: the first says what times are, in the whole log and in every part of it. */
static void times_of_another_kind_than_the_first_are_none(void **state)
{
    (void)state;
    assert_int_equal(read_text("time,a\n2,1\n2031-04-17T07:00:55Z,1\n2031-04-17T07:00:56Z,1\n2031-04-17T07:00:57Z,1\n3,1\n"), IMP_OK);
    assert_false(kept.header.is_calendar);
    assert_int_equal(kept.rows, 2);
    assert_int_equal(count_of(IMP_FAULT_NO_TIME), 3);
    assert_int_equal(read_text("time,a\n2031-04-17T07:00:55Z,1\n2,1\n3,1\n2031-04-17T07:00:56Z,1\n"), IMP_OK);
    assert_true(kept.header.is_calendar);
    assert_int_equal(kept.rows, 2);
    assert_int_equal(count_of(IMP_FAULT_NO_TIME), 2);
}

static void a_temperature_may_be_in_any_unit_of_a_reading(void **state)
{
    (void)state;
    static const char *const logs[] = {"time,iso_temperature [K]\n0,300\n", "time,iso_temperature [degC]\n0,26.85\n", "time,iso_temperature [degF]\n0,80.33\n"};
    for (size_t i = 0; i < sizeof logs / sizeof logs[0]; i++) {
        assert_int_equal(read_text(logs[i]), IMP_OK);
        assert_true(kept.header.columns[0].is_reading);
        assert_close(kept.values[0][0], 300.0, 1e-9);
    }
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

static void a_mapped_column_keeps_its_own_unit_or_gets_one(void **state)
{
    (void)state;
    static const char with_unit[] = "{\"impinge\":1,\"columns\":[{\"header\":\"P\",\"name\":\"iso_pressure\",\"unit\":\"bar\"}]}";
    static const char without[] = "{\"impinge\":1,\"columns\":[{\"header\":\"P\",\"name\":\"iso_pressure\"}]}";
    assert_int_equal(read_mapped("time,P\n0,2\n", with_unit), IMP_OK);
    assert_true(kept.values[0][0] == 2e5);
    assert_int_equal(read_mapped("time,P [kPa]\n0,2\n", without), IMP_OK);
    assert_true(kept.values[0][0] == 2e3);
    assert_int_equal(read_mapped("time,P\n0,2\n", without), IMP_MISSING);
    assert_contains(kept.error.message, "has no unit");
}

static void a_zone_that_is_none_is_refused(void **state)
{
    (void)state;
    static const char *const zones[] = {"", " ", "x", "+1", "07:00", ".5Z", ",5+01:00", " Z"};
    for (size_t i = 0; i < sizeof zones / sizeof zones[0]; i++) {
        char document[200];
        imp_log_mapping mapping;
        imp_error error;
        snprintf(document, sizeof document, "{\"impinge\":1,\"time_zone\":\"%s\",\"columns\":[]}", zones[i]);
        assert_int_equal(imp_log_mapping_read(document, strlen(document), NULL, &mapping, &error), IMP_RANGE);
        assert_string_equal(error.place, "time_zone");
        assert_contains(error.message, "expected an offset such as \"+01:00\" or \"Z\"");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_mark_that_is_met_most_separates_the_cells),
        cmocka_unit_test(empty_lines_anywhere_are_no_rows_and_no_faults),
        cmocka_unit_test(what_has_no_header_says_so),
        cmocka_unit_test(utf_16_is_named_in_both_orders_and_nothing_else_is_taken_for_it),
        cmocka_unit_test(a_row_that_ends_before_its_time_is_ragged),
        cmocka_unit_test(times_behind_a_very_long_row_are_read_too),
        cmocka_unit_test(a_line_longer_than_any_row_is_counted_and_the_next_is_read),
        cmocka_unit_test(standard_input_is_the_file_called_minus),
        cmocka_unit_test(a_number_of_hundreds_of_digits_is_none),
        cmocka_unit_test(a_time_with_more_behind_hundreds_of_blanks_is_none),
        cmocka_unit_test(the_first_cell_that_is_no_number_is_kept_in_whole_characters),
        cmocka_unit_test(blanks_round_a_cell_are_not_part_of_it),
        cmocka_unit_test(seconds_that_are_no_digits_are_no_time_in_the_minute_of_the_last),
        cmocka_unit_test(times_of_another_kind_than_the_first_are_none),
        cmocka_unit_test(a_temperature_may_be_in_any_unit_of_a_reading),
        cmocka_unit_test(a_mapped_column_keeps_its_own_unit_or_gets_one),
        cmocka_unit_test(a_zone_that_is_none_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
