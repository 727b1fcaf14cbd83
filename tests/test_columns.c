/* Column expressions over logs: what each means, edges on both sides, and that blocks, threads and pieces change nothing.
 * Over 500 lines: many small cases of one subject. */
#include "log_support.h"

typedef struct bench {
    imp_log *log;
    imp_columns *columns;
    imp_error error;
} bench;

static bench open_path(const char *path, const imp_log_options *options, const imp_allocator *allocator)
{
    bench made = {.log = NULL};
    assert_int_equal(imp_log_open(path, options, &made.log, &made.error), IMP_OK);
    assert_int_equal(imp_columns_create(allocator, &made.columns, &made.error), IMP_OK);
    assert_int_equal(imp_columns_bind(made.columns, imp_log_header_of(made.log), &made.error), IMP_OK);
    return made;
}

static bench open_text(const char *text)
{
    return open_path(file_with(text), NULL, NULL);
}

static void close_bench(bench *made)
{
    imp_columns_free(made->columns);
    imp_log_close(made->log);
}

static imp_column source(bench *made, const char *name)
{
    imp_column column = IMP_NO_COLUMN;
    assert_ok(imp_columns_source(made->columns, name, &column, error));
    return column;
}

static imp_column number(bench *made, double value)
{
    imp_column column = IMP_NO_COLUMN;
    const imp_quantity quantity = {.si = value, .dimension = imp_dimension_of(IMP_PURE)};
    assert_ok(imp_columns_constant(made->columns, &quantity, &column, error));
    return column;
}

static imp_column two(bench *made, imp_column_operation operation, imp_column a, imp_column b)
{
    imp_column column = IMP_NO_COLUMN;
    assert_ok(imp_columns_binary(made->columns, operation, a, b, &column, error));
    return column;
}

static imp_column one(bench *made, imp_column_operation operation, imp_column a)
{
    imp_column column = IMP_NO_COLUMN;
    assert_ok(imp_columns_unary(made->columns, operation, a, &column, error));
    return column;
}

static imp_column timed(bench *made, imp_column_operation operation, imp_column a, double seconds)
{
    imp_column column = IMP_NO_COLUMN;
    assert_ok(imp_columns_over_time(made->columns, operation, a, seconds, &column, error));
    return column;
}

static imp_reduction ask(bench *made, imp_reduction_kind kind, imp_column value, imp_column mask)
{
    imp_reduction reduction = -1;
    assert_ok(imp_columns_reduce(made->columns, kind, value, mask, 0.5, &reduction, error));
    return reduction;
}

static imp_reduction ask_spans(bench *made, imp_column mask, imp_column value)
{
    imp_reduction reduction = -1;
    assert_ok(imp_columns_spans(made->columns, mask, &value, value == IMP_NO_COLUMN ? 0 : 1, &reduction, error));
    return reduction;
}

static void run(bench *made)
{
    assert_ok(imp_columns_run(made->columns, made->log, error));
}

static double answer(bench *made, imp_reduction reduction)
{
    imp_quantity quantity = {.si = 0.0};
    assert_ok(imp_columns_result(made->columns, reduction, &quantity, error));
    return quantity.si;
}

static imp_span span_at(bench *made, imp_reduction reduction, size_t index)
{
    imp_span span = {.from = 0.0};
    assert_ok(imp_columns_span_at(made->columns, reduction, index, &span, error));
    return span;
}

/* --- rows of an expression --- */

typedef struct rows_seen {
    size_t rows;
    double values[64];
} rows_seen;

static imp_status see_rows(void *context, size_t rows, const double *time, const double *duration,
                           const double *const *values, imp_error *error)
{
    rows_seen *seen = context;
    (void)time;
    (void)duration;
    (void)error;
    for (size_t i = 0; i < rows; i++)
        seen->values[seen->rows++] = values[0][i];
    return IMP_OK;
}

/* "x" stands for missing. */
static void check_rows(bench *made, imp_column column, const char *expected)
{
    rows_seen seen = {.rows = 0};
    assert_ok(imp_columns_each(made->columns, &column, 1, see_rows, &seen, error));
    run(made);
    char text[1024] = "", number_text[IMP_NUMBER_TEXT_SIZE];
    for (size_t i = 0; i < seen.rows; i++) {
        strcat(text, i > 0 ? " " : "");
        strcat(text, isnan(seen.values[i]) ? "x" : imp_number_write(seen.values[i], 12, number_text, sizeof number_text));
    }
    assert_string_equal(text, expected);
}

static void missing_cells_stay_missing_through_arithmetic(void **state)
{
    (void)state;
    bench made = open_text("time,a,b\n0,1,2\n1,,3\n2,4,0\n3,-5,\n4,1e29,1e29\n");
    const imp_column a = source(&made, "a"), b = source(&made, "b");
    check_rows(&made, two(&made, IMP_COLUMN_ADD, a, b), "3 x 4 x 2e29");
    check_rows(&made, two(&made, IMP_COLUMN_SUBTRACT, a, b), "-1 x 4 x 0");
    check_rows(&made, two(&made, IMP_COLUMN_DIVIDE, a, b), "0.5 x x x 1");
    check_rows(&made, one(&made, IMP_COLUMN_SQRT, a), "1 x 2 x 316227766017000");
    check_rows(&made, one(&made, IMP_COLUMN_ABS, a), "1 x 4 5 1e29");
    check_rows(&made, one(&made, IMP_COLUMN_NEGATE, a), "-1 x -4 5 -1e29");
    check_rows(&made, one(&made, IMP_COLUMN_PRESENT, a), "1 0 1 1 1");
    check_rows(&made, two(&made, IMP_COLUMN_OR_ELSE, a, b), "1 3 4 -5 1e29");
    check_rows(&made, two(&made, IMP_COLUMN_MINIMUM, a, b), "1 x 0 x 1e29");
    check_rows(&made, two(&made, IMP_COLUMN_MAXIMUM, a, b), "2 x 4 x 1e29");
    close_bench(&made);
}

/* three-valued logic of Kleene */
static void masks_are_one_zero_or_missing(void **state)
{
    (void)state;
    bench made = open_text("time,a,b\n0,0,0\n1,0,1\n2,0,\n3,1,0\n4,1,1\n5,1,\n6,,0\n7,,1\n8,,\n");
    const imp_column zero = number(&made, 0.0);
    const imp_column a = two(&made, IMP_COLUMN_ABOVE, source(&made, "a"), zero), b = two(&made, IMP_COLUMN_ABOVE, source(&made, "b"), zero);
    check_rows(&made, two(&made, IMP_COLUMN_AND, a, b), "0 0 0 0 1 x 0 x x");
    check_rows(&made, two(&made, IMP_COLUMN_OR, a, b), "0 1 x 1 1 1 x 1 x");
    check_rows(&made, one(&made, IMP_COLUMN_NOT, a), "1 1 1 0 0 0 x x x");
    check_rows(&made, two(&made, IMP_COLUMN_WHERE, source(&made, "b"), a), "x x x 0 1 x x x x");
    check_rows(&made, two(&made, IMP_COLUMN_EQUALS, source(&made, "a"), source(&made, "b")), "1 0 x 0 1 x x x x");
    check_rows(&made, two(&made, IMP_COLUMN_DIFFERS, source(&made, "a"), source(&made, "b")), "0 1 x 1 0 x x x x");
    check_rows(&made, two(&made, IMP_COLUMN_AT_LEAST, source(&made, "a"), source(&made, "b")), "1 0 x 1 1 x x x x");
    check_rows(&made, two(&made, IMP_COLUMN_AT_MOST, source(&made, "a"), source(&made, "b")), "1 1 x 0 1 x x x x");
    check_rows(&made, two(&made, IMP_COLUMN_BELOW, source(&made, "a"), source(&made, "b")), "0 1 x 0 0 x x x x");
    close_bench(&made);
}

static void rates_windows_and_changes_do_not_reach_across_a_break(void **state)
{
    (void)state;
    /* a gap of 90 s before 100, a step back before 50, a duplicate of 51 that is left out */
    bench made = open_text("time,a\n0,1\n2,5\n4,3\n10,3\n100,7\n101,9\n50,1\n51,2\n51,77\n52,6\n");
    const imp_column a = source(&made, "a");
    check_rows(&made, one(&made, IMP_COLUMN_RATE, a), "x 2 -1 0 x 2 x 1 4");
    check_rows(&made, one(&made, IMP_COLUMN_CHANGE, a), "x 4 -2 0 x 2 x 1 4");
    check_rows(&made, timed(&made, IMP_COLUMN_ROLLING, a, 4.0), "1 3 4 3 7 8 1 1.5 3");
    check_rows(&made, timed(&made, IMP_COLUMN_ROLLING, a, 4.001), "1 3 3 3 7 8 1 1.5 3");
    check_rows(&made, timed(&made, IMP_COLUMN_UNCHANGED, a, 6.0), "0 0 0 1 0 0 0 0 0");
    check_rows(&made, timed(&made, IMP_COLUMN_UNCHANGED, a, 6.001), "0 0 0 0 0 0 0 0 0");
    check_rows(&made, one(&made, IMP_COLUMN_DURATION, a), "2 2 6 0 1 0 1 1 0");
    const imp_log_faults *faults = imp_columns_faults(made.columns);
    assert_int_equal(faults->kind[IMP_FAULT_GAP].count, 1);
    assert_int_equal(faults->kind[IMP_FAULT_GAP].line[0], 6);
    assert_int_equal(faults->kind[IMP_FAULT_OUT_OF_ORDER].count, 1);
    assert_int_equal(faults->kind[IMP_FAULT_OUT_OF_ORDER].line[0], 8);
    assert_int_equal(faults->kind[IMP_FAULT_DUPLICATE].count, 1);
    assert_int_equal(faults->kind[IMP_FAULT_DUPLICATE].line[0], 10);
    close_bench(&made);
}

static void a_run_lasts_when_it_holds_for_the_time_and_not_a_moment_less(void **state)
{
    (void)state;
    /* 1 holds from 1 to 6: 5 s; from 8 to 12 with a gap behind it: 4 s; at the end from 200 to 203, 3 s */
    bench made = open_text("time,a\n0,0\n1,1\n2,1\n3,1\n5,1\n6,0\n8,1\n12,1\n100,0\n200,1\n203,1\n");
    const imp_column on = two(&made, IMP_COLUMN_EQUALS, source(&made, "a"), number(&made, 1.0));
    check_rows(&made, timed(&made, IMP_COLUMN_LASTING, on, 5.0), "0 1 1 1 1 0 0 0 0 0 0");
    check_rows(&made, timed(&made, IMP_COLUMN_LASTING, on, 5.0001), "0 0 0 0 0 0 0 0 0 0 0");
    check_rows(&made, timed(&made, IMP_COLUMN_LASTING, on, 4.0), "0 1 1 1 1 0 1 1 0 0 0");
    check_rows(&made, timed(&made, IMP_COLUMN_LASTING, on, 3.0), "0 1 1 1 1 0 1 1 0 1 1");
    const imp_reduction spans = ask_spans(&made, timed(&made, IMP_COLUMN_LASTING, on, 4.0), source(&made, "a"));
    const imp_reduction all = ask_spans(&made, on, IMP_NO_COLUMN);
    run(&made);
    assert_int_equal(imp_columns_span_count(made.columns, spans), 2);
    assert_int_equal(imp_columns_span_count(made.columns, all), 3);
    const imp_span first = span_at(&made, spans, 0), second = span_at(&made, spans, 1);
    assert_true(first.from == 1.0 && first.to == 6.0 && first.duration == 5.0 && first.rows == 4 && first.values[0].mean == 1.0);
    assert_true(second.from == 8.0 && second.to == 12.0 && second.rows == 2);
    double longest, total;
    assert_ok(imp_columns_span_totals(made.columns, all, &longest, &total, error));
    assert_true(longest == 5.0 && total == 12.0);
    close_bench(&made);
}

static void lasting_decides_over_many_frames_and_gives_up_beyond_its_limit(void **state)
{
    (void)state;
    enum { ROWS = 40000 };
    char *text = malloc(ROWS * 12 + 100);
    size_t used = (size_t)sprintf(text, "time,a\n");
    for (int i = 0; i < ROWS; i++)
        used += (size_t)sprintf(text + used, "%d,%d\n", i, i >= 1000 && i < 21000);
    const char *path = file_of(text, used);
    free(text);
    for (double seconds = 20000.0; seconds <= 20001.0; seconds += 1.0) {
        bench made = open_path(path, NULL, NULL);
        const imp_column on = two(&made, IMP_COLUMN_EQUALS, source(&made, "a"), number(&made, 1.0));
        const imp_reduction time = ask(&made, IMP_REDUCE_TIME, timed(&made, IMP_COLUMN_LASTING, on, seconds), IMP_NO_COLUMN);
        run(&made);
        assert_true(answer(&made, time) == (seconds > 20000.0 ? 0.0 : 20000.0));
        close_bench(&made);
    }
    bench made = open_path(path, NULL, NULL);
    const imp_column off = one(&made, IMP_COLUMN_PRESENT, source(&made, "a"));
    ask(&made, IMP_REDUCE_TIME, timed(&made, IMP_COLUMN_LASTING, off, 1e6), IMP_NO_COLUMN);
    assert_int_equal(imp_columns_run(made.columns, made.log, &made.error), IMP_LIMIT);
    assert_contains(made.error.message, "look ahead over more than");
    close_bench(&made);
}

static void integrals_are_steps_or_trapezoids_and_leave_gaps_out(void **state)
{
    (void)state;
    bench made = open_text("time,a,m\n0,0,1\n1,1,1\n2,2,0\n4,4,1\n100,5,1\n101,,1\n102,7,1\n103,8,1\n");
    const imp_column a = source(&made, "a"), m = two(&made, IMP_COLUMN_EQUALS, source(&made, "m"), number(&made, 1.0));
    const imp_reduction step = ask(&made, IMP_REDUCE_INTEGRAL, a, IMP_NO_COLUMN), masked = ask(&made, IMP_REDUCE_INTEGRAL, a, m);
    const imp_reduction trapezoid = ask(&made, IMP_REDUCE_INTEGRAL_TRAPEZOID, a, IMP_NO_COLUMN);
    const imp_reduction trapezoid_masked = ask(&made, IMP_REDUCE_INTEGRAL_TRAPEZOID, a, m);
    const imp_reduction time = ask(&made, IMP_REDUCE_TIME, a, IMP_NO_COLUMN), mean = ask(&made, IMP_REDUCE_TIME_MEAN, a, IMP_NO_COLUMN);
    const imp_reduction on = ask(&made, IMP_REDUCE_TIME, m, IMP_NO_COLUMN);
    run(&made);
    assert_true(answer(&made, step) == 0.0 + 1.0 + 2.0 * 2.0 + 5.0 + 7.0);
    assert_true(answer(&made, masked) == 1.0 + 5.0 + 7.0);
    assert_true(answer(&made, trapezoid) == 0.5 + 1.5 + 6.0 + 7.5);
    assert_true(answer(&made, trapezoid_masked) == 0.5 + 7.5);
    assert_true(answer(&made, time) == 1.0 + 1.0 + 2.0 + 1.0 + 1.0);
    assert_true(answer(&made, mean) == 17.0 / 6.0);
    assert_true(answer(&made, on) == 1.0 + 1.0 + 1.0 + 1.0 + 1.0);
    close_bench(&made);
}

static void counters_rise_across_gaps_but_not_across_resets_or_steps_back(void **state)
{
    (void)state;
    bench made = open_text("time,n,m\n0,10,1\n1,12,1\n2,,1\n3,15,0\n200,20,1\n201,3,1\n202,5,1\n100,9,1\n101,10,1\n");
    const imp_column n = source(&made, "n"), m = two(&made, IMP_COLUMN_EQUALS, source(&made, "m"), number(&made, 1.0));
    const imp_reduction all = ask(&made, IMP_REDUCE_INCREASE, n, IMP_NO_COLUMN), masked = ask(&made, IMP_REDUCE_INCREASE, n, m);
    run(&made);
    assert_true(answer(&made, all) == 2.0 + 3.0 + 5.0 + 2.0 + 1.0);
    assert_true(answer(&made, masked) == 2.0 + 5.0 + 2.0 + 1.0);
    close_bench(&made);
}

static void a_series_has_a_mean_for_each_period_that_has_a_row(void **state)
{
    (void)state;
    bench made = open_text("time,a\n5,1\n9,3\n10,5\n19.5,\n31,7\n");
    imp_reduction series;
    imp_series_point point;
    assert_ok(imp_columns_resample(made.columns, source(&made, "a"), IMP_NO_COLUMN, 10.0, &series, error));
    run(&made);
    assert_int_equal(imp_columns_series_count(made.columns, series), 3);
    static const double expected[3][3] = {{0, 2, 3}, {10, 5, 5}, {30, 7, 7}};
    for (size_t i = 0; i < 3; i++) {
        assert_ok(imp_columns_series_at(made.columns, series, i, &point, error));
        assert_true(point.time == expected[i][0] && point.mean == expected[i][1] && point.greatest == expected[i][2]);
    }
    assert_int_equal(imp_columns_series_at(made.columns, series, 3, &point, NULL), IMP_RANGE);
    close_bench(&made);
}

static void a_stuck_value_is_found_at_its_time_when_the_mask_holds_in_it(void **state)
{
    (void)state;
    char text[40000];
    size_t used = (size_t)sprintf(text, "time,a,m\n");
    for (int i = 0; i < 2000; i++) /* moves; stands from 100 to 160, from 900 to 1560 and, while m is 0, from 1700 */
        used += (size_t)sprintf(text + used, "%d,%d,%d\n", i, i >= 100 && i <= 160 ? -1 : i >= 900 && i <= 1560 ? -2 : i >= 1700 && i < 1999 ? -3 : i % 7, i < 1690);
    const char *path = file_of(text, used);
    static const struct { double seconds; uint64_t spans; } cases[] = {{60.0, 2}, {61.0, 2}, {61.5, 1}, {661.0, 1}, {662.0, 0}, {3.0, 2}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        bench made = open_path(path, NULL, NULL);
        imp_reduction stuck;
        const imp_column m = two(&made, IMP_COLUMN_EQUALS, source(&made, "m"), number(&made, 1.0));
        assert_ok(imp_columns_stuck(made.columns, source(&made, "a"), m, cases[i].seconds, &stuck, error));
        run(&made);
        assert_int_equal(imp_columns_span_count(made.columns, stuck), cases[i].spans);
        if (cases[i].spans > 0)
            assert_true(span_at(&made, stuck, (size_t)cases[i].spans - 1).from == 900.0);
        close_bench(&made);
    }
}

static void what_does_not_fit_together_is_refused(void **state)
{
    (void)state;
    bench made = open_text("time,iso_pressure [bar],iso_flow [L/min],iso_temperature [degC],a\n0,1,1,20,1\n1,1,1,20,1\n");
    const imp_column pressure = source(&made, "iso_pressure"), flow = source(&made, "iso_flow"), temperature = source(&made, "iso_temperature");
    imp_column column, memory;
    imp_reduction reduction;
    const double values[] = {1.0, 2.0}, infinite[] = {HUGE_VAL};
    assert_int_equal(imp_columns_binary(made.columns, IMP_COLUMN_ADD, pressure, flow, &column, &made.error), IMP_DIMENSION_MISMATCH);
    assert_contains(made.error.message, "pressure");
    assert_int_equal(imp_columns_binary(made.columns, IMP_COLUMN_ABOVE, pressure, number(&made, 3.0), &column, &made.error), IMP_DIMENSION_MISMATCH);
    assert_int_equal(imp_columns_binary(made.columns, IMP_COLUMN_ADD, temperature, temperature, &column, &made.error), IMP_DIMENSION_MISMATCH);
    assert_int_equal(imp_columns_binary(made.columns, IMP_COLUMN_AND, pressure, flow, &column, &made.error), IMP_TYPE);
    assert_contains(made.error.message, "expected a mask");
    assert_int_equal(imp_columns_over_time(made.columns, IMP_COLUMN_LASTING, flow, 5.0, &column, &made.error), IMP_TYPE);
    assert_int_equal(imp_columns_over_time(made.columns, IMP_COLUMN_ROLLING, flow, 0.0, &column, &made.error), IMP_RANGE);
    assert_int_equal(imp_columns_over_time(made.columns, IMP_COLUMN_ROLLING, flow, NAN, &column, &made.error), IMP_RANGE);
    assert_int_equal(imp_columns_reduce(made.columns, IMP_REDUCE_SUM, temperature, IMP_NO_COLUMN, 0.0, &reduction, &made.error), IMP_TYPE);
    assert_contains(made.error.message, "do not add up");
    assert_int_equal(imp_columns_reduce(made.columns, IMP_REDUCE_MEAN, flow, pressure, 0.0, &reduction, &made.error), IMP_TYPE);
    assert_int_equal(imp_columns_reduce(made.columns, IMP_REDUCE_QUANTILE, flow, IMP_NO_COLUMN, 1.5, &reduction, &made.error), IMP_RANGE);
    assert_int_equal(imp_columns_source(made.columns, "iso_flw", &column, &made.error), IMP_UNKNOWN);
    assert_contains(made.error.message, "did you mean \"iso_flow\"");
    assert_ok(imp_columns_memory(made.columns, values, 2, imp_dimension_of(IMP_PURE), false, &memory, error));
    assert_int_equal(imp_columns_memory(made.columns, infinite, 1, imp_dimension_of(IMP_PURE), false, &column, &made.error), IMP_RANGE);
    assert_int_equal(imp_columns_binary(made.columns, IMP_COLUMN_ADD, memory, source(&made, "a"), &column, &made.error), IMP_TYPE);
    assert_int_equal(imp_columns_over_time(made.columns, IMP_COLUMN_ROLLING, memory, 5.0, &column, &made.error), IMP_TYPE);
    assert_int_equal(imp_columns_reduce(made.columns, IMP_REDUCE_INTEGRAL, memory, IMP_NO_COLUMN, 0.0, &reduction, &made.error), IMP_TYPE);
    const imp_reduction mean = ask(&made, IMP_REDUCE_MEAN, flow, IMP_NO_COLUMN);
    imp_quantity quantity;
    assert_int_equal(imp_columns_result(made.columns, mean, &quantity, &made.error), IMP_NOT_APPLICABLE);
    close_bench(&made);
}

static void results_carry_their_kind(void **state)
{
    (void)state;
    bench made = open_text("time,iso_flow [L/min],iso_temperature [degC]\n0,6,20\n1,6,22\n2,6,24\n");
    const imp_column flow = source(&made, "iso_flow"), temperature = source(&made, "iso_temperature");
    imp_quantity result;
    const imp_reduction volume = ask(&made, IMP_REDUCE_INTEGRAL, flow, IMP_NO_COLUMN), mean = ask(&made, IMP_REDUCE_MEAN, temperature, IMP_NO_COLUMN);
    const imp_reduction sd = ask(&made, IMP_REDUCE_SD, temperature, IMP_NO_COLUMN);
    run(&made);
    assert_ok(imp_columns_result(made.columns, volume, &result, error));
    assert_true(imp_dimension_same(result.dimension, imp_dimension_of(IMP_VOLUME)));
    assert_close(result.si, 0.2e-3, 1e-18);
    assert_ok(imp_columns_result(made.columns, mean, &result, error));
    assert_true(result.is_reading && result.si == 295.15);
    assert_ok(imp_columns_result(made.columns, sd, &result, error));
    assert_true(!result.is_reading);
    assert_close(result.si, 2.0, 1e-13);
    close_bench(&made);
}

static void columns_in_memory_answer_without_a_log(void **state)
{
    (void)state;
    imp_columns *columns;
    imp_column a, doubled, two_;
    imp_reduction sum, median, sd, count;
    imp_quantity result;
    double values[2000];
    for (int i = 0; i < 2000; i++)
        values[i] = i % 10 == 9 ? (double)NAN : (double)((i * 37) % 2000);
    const imp_quantity factor = {.si = 2.0};
    assert_ok(imp_columns_create(NULL, &columns, error));
    assert_ok(imp_columns_memory(columns, values, 2000, imp_dimension_of(IMP_PRESSURE), false, &a, error));
    assert_ok(imp_columns_constant(columns, &factor, &two_, error));
    assert_ok(imp_columns_binary(columns, IMP_COLUMN_MULTIPLY, a, two_, &doubled, error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_SUM, doubled, IMP_NO_COLUMN, 0.0, &sum, error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_QUANTILE, a, IMP_NO_COLUMN, 0.5, &median, error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_COUNT, a, IMP_NO_COLUMN, 0.0, &count, error));
    assert_ok(imp_columns_run_memory(columns, error));
    double expected = 0.0;
    for (int i = 0; i < 2000; i++)
        expected += i % 10 == 9 ? 0.0 : 2.0 * values[i];
    assert_ok(imp_columns_result(columns, sum, &result, error));
    assert_true(result.si == expected && imp_dimension_same(result.dimension, imp_dimension_of(IMP_PRESSURE)));
    assert_ok(imp_columns_result(columns, count, &result, error));
    assert_true(result.si == 1800.0);
    /* the missing ones are those that end in 3, so the two in the middle of the rest are 999 and 1000 */
    assert_ok(imp_columns_result(columns, median, &result, error));
    assert_true(result.si == 999.5);
    /* asked later: a second run answers only that */
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_SD, a, IMP_NO_COLUMN, 0.0, &sd, error));
    assert_int_equal(imp_columns_result(columns, sd, &result, NULL), IMP_NOT_APPLICABLE);
    assert_ok(imp_columns_run_memory(columns, error));
    assert_ok(imp_columns_result(columns, sd, &result, error));
    assert_close(result.si, 577.5, 1.0);
    imp_columns_free(columns);
}

static void streamed_quantiles_keep_their_stated_error(void **state)
{
    (void)state;
    enum { ROWS = 20001 };
    char *text = malloc(ROWS * 40);
    size_t used = (size_t)sprintf(text, "time,a\n");
    unsigned seed = 2;
    static double values[ROWS];
    for (int i = 0; i < ROWS; i++) {
        seed = seed * 1103515245u + 12345u;
        values[i] = ((double)(seed >> 8) / 16777216.0 - 0.3) * (i % 3 == 0 ? 1000.0 : 0.01);
        used += (size_t)sprintf(text + used, "%d,%.17g\n", i, values[i]);
    }
    bench made = open_path(file_of(text, used), NULL, NULL);
    free(text);
    imp_column memory;
    assert_ok(imp_columns_memory(made.columns, values, ROWS, imp_dimension_of(IMP_PURE), false, &memory, error));
    for (double p = 0.0; p <= 1.0; p += 0.125) {
        imp_reduction sketch, exact;
        assert_ok(imp_columns_reduce(made.columns, IMP_REDUCE_QUANTILE, source(&made, "a"), IMP_NO_COLUMN, p, &sketch, error));
        assert_ok(imp_columns_reduce(made.columns, IMP_REDUCE_QUANTILE, memory, IMP_NO_COLUMN, p, &exact, error));
        run(&made);
        assert_ok(imp_columns_run_memory(made.columns, error));
        assert_relative(answer(&made, sketch), answer(&made, exact), 1.0 / 4096.0);
    }
    close_bench(&made);
}

static void a_run_that_finds_no_value_says_so(void **state)
{
    (void)state;
    bench made = open_text("time,a,b\n0,,1\n1,,2\n");
    const imp_column a = source(&made, "a");
    const imp_reduction mean = ask(&made, IMP_REDUCE_MEAN, a, IMP_NO_COLUMN), count = ask(&made, IMP_REDUCE_COUNT, a, IMP_NO_COLUMN);
    const imp_reduction sum = ask(&made, IMP_REDUCE_SUM, a, IMP_NO_COLUMN), least = ask(&made, IMP_REDUCE_MIN, a, IMP_NO_COLUMN);
    const imp_reduction sd = ask(&made, IMP_REDUCE_SD, a, IMP_NO_COLUMN);
    imp_quantity result;
    run(&made);
    assert_int_equal(imp_columns_result(made.columns, mean, &result, &made.error), IMP_MISSING);
    assert_int_equal(imp_columns_result(made.columns, least, &result, &made.error), IMP_MISSING);
    assert_int_equal(imp_columns_result(made.columns, sd, &result, &made.error), IMP_MISSING);
    assert_true(answer(&made, count) == 0.0 && answer(&made, sum) == 0.0);
    close_bench(&made);
}

/* A clock set back by an hour (summer time ends) costs the one interval at the step, and nothing else. */
static void a_clock_set_back_costs_one_interval(void **state)
{
    (void)state;
    char text[20000];
    size_t used = (size_t)sprintf(text, "time,a\n");
    for (int i = 0; i < 400; i++) {
        const int minute = i < 200 ? 56 * 60 + 40 + i : i - 200;
        used += (size_t)sprintf(text + used, "2031-10-26T02:%02d:%02d,1\n", minute / 60 % 60, minute % 60);
    }
    bench made = open_path(file_of(text, used), NULL, NULL);
    const imp_reduction time = ask(&made, IMP_REDUCE_TIME, source(&made, "a"), IMP_NO_COLUMN);
    run(&made);
    assert_true(answer(&made, time) == 398.0);
    assert_int_equal(imp_columns_faults(made.columns)->kind[IMP_FAULT_OUT_OF_ORDER].count, 1);
    assert_int_equal(imp_columns_faults(made.columns)->kind[IMP_FAULT_OUT_OF_ORDER].line[0], 202);
    close_bench(&made);
}

static void every_failed_allocation_is_an_error_and_leaks_nothing(void **state)
{
    (void)state;
    char text[30000];
    size_t used = (size_t)sprintf(text, "time,a\n");
    for (int i = 0; i < 2000; i++)
        used += (size_t)sprintf(text + used, "%d,%d\n", i, i % 9);
    const char *path = file_of(text, used);
    long failed = 0;
    for (long left = 0;; left++) {
        counted_memory memory = {.left = left, .taken = 0};
        const imp_allocator allocator = {counted_resize, &memory};
        imp_log *log = NULL;
        imp_columns *columns = NULL;
        imp_column a, five, on, rolling;
        imp_reduction reduction;
        imp_error error;
        char *partial = NULL;
        size_t length;
        const imp_quantity quantity = {.si = 5.0};
        assert_int_equal(imp_log_open(path, NULL, &log, &error), IMP_OK);
        imp_status status = imp_columns_create(&allocator, &columns, &error);
        if (status == IMP_OK)
            status = imp_columns_bind(columns, imp_log_header_of(log), &error);
        if (status == IMP_OK)
            status = imp_columns_source(columns, "a", &a, &error);
        if (status == IMP_OK)
            status = imp_columns_constant(columns, &quantity, &five, &error);
        if (status == IMP_OK)
            status = imp_columns_binary(columns, IMP_COLUMN_ABOVE, a, five, &on, &error);
        if (status == IMP_OK)
            status = imp_columns_over_time(columns, IMP_COLUMN_LASTING, on, 2.0, &on, &error);
        if (status == IMP_OK)
            status = imp_columns_over_time(columns, IMP_COLUMN_ROLLING, a, 300.0, &rolling, &error);
        if (status == IMP_OK)
            status = imp_columns_spans(columns, on, &rolling, 1, &reduction, &error);
        if (status == IMP_OK)
            status = imp_columns_reduce(columns, IMP_REDUCE_QUANTILE, rolling, on, 0.5, &reduction, &error);
        if (status == IMP_OK)
            status = imp_columns_resample(columns, rolling, on, 60.0, &reduction, &error);
        if (status == IMP_OK)
            status = imp_columns_run(columns, log, &error);
        if (status == IMP_OK)
            status = imp_columns_run_partial(columns, log, &partial, &length, &error);
        if (status == IMP_OK)
            status = imp_columns_merge(columns, partial, length, &error);
        if (status == IMP_OK)
            status = imp_columns_merge_finish(columns, &error);
        imp_release(&allocator, partial);
        imp_columns_free(columns);
        imp_log_close(log);
        if (status == IMP_OK)
            break;
        assert_int_equal(status, IMP_MEMORY);
        failed++;
    }
    assert_true(failed > 30);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(missing_cells_stay_missing_through_arithmetic),
        cmocka_unit_test(masks_are_one_zero_or_missing),
        cmocka_unit_test(rates_windows_and_changes_do_not_reach_across_a_break),
        cmocka_unit_test(a_run_lasts_when_it_holds_for_the_time_and_not_a_moment_less),
        cmocka_unit_test(lasting_decides_over_many_frames_and_gives_up_beyond_its_limit),
        cmocka_unit_test(integrals_are_steps_or_trapezoids_and_leave_gaps_out),
        cmocka_unit_test(counters_rise_across_gaps_but_not_across_resets_or_steps_back),
        cmocka_unit_test(a_series_has_a_mean_for_each_period_that_has_a_row),
        cmocka_unit_test(a_stuck_value_is_found_at_its_time_when_the_mask_holds_in_it),
        cmocka_unit_test(what_does_not_fit_together_is_refused),
        cmocka_unit_test(results_carry_their_kind),
        cmocka_unit_test(columns_in_memory_answer_without_a_log),
        cmocka_unit_test(streamed_quantiles_keep_their_stated_error),
        cmocka_unit_test(a_run_that_finds_no_value_says_so),
        cmocka_unit_test(a_clock_set_back_costs_one_interval),
        cmocka_unit_test(every_failed_allocation_is_an_error_and_leaks_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
