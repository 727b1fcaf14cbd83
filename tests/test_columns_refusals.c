/* What column expressions, reductions, spans and rows refuse, each with its sentence; and that a refusal changes nothing: the set
 * still answers afterwards. The meaning of what is not refused is in test_columns.c. */
#include "log_support.h"

#include "columns_internal.h"

typedef struct bench {
    imp_log *log;
    imp_columns *columns;
    imp_column flow, temperature, mask, memory, short_memory, constant, memory_mask;
    imp_error error;
} bench;

static const double two_values[] = {1.0, 2.0};

static bench open_bench(void)
{
    bench made = {.log = NULL};
    imp_column zero;
    const imp_quantity three = {.si = 3.0}, none = {.si = 0.0, .dimension = imp_dimension_of(IMP_FLOW)};
    assert_ok(imp_log_open(file_with("time,iso_flow [L/min],iso_temperature [degC]\n0,6,20\n1,12,21\n2,0,22\n3,6,23\n"), NULL, &made.log, error));
    assert_ok(imp_columns_create(NULL, &made.columns, error));
    assert_ok(imp_columns_bind(made.columns, imp_log_header_of(made.log), error));
    assert_ok(imp_columns_source(made.columns, "iso_flow", &made.flow, error));
    assert_ok(imp_columns_source(made.columns, "iso_temperature", &made.temperature, error));
    assert_ok(imp_columns_memory(made.columns, two_values, 2, imp_dimension_of(IMP_PURE), false, &made.memory, error));
    assert_ok(imp_columns_memory(made.columns, two_values, 1, imp_dimension_of(IMP_PURE), false, &made.short_memory, error));
    assert_ok(imp_columns_constant(made.columns, &three, &made.constant, error));
    assert_ok(imp_columns_constant(made.columns, &none, &zero, error));
    assert_ok(imp_columns_binary(made.columns, IMP_COLUMN_ABOVE, made.flow, zero, &made.mask, error));
    assert_ok(imp_columns_unary(made.columns, IMP_COLUMN_PRESENT, made.memory, &made.memory_mask, error));
    return made;
}

/* The flow's mean: (6 + 12 + 0 + 6)/4 L/min. */
static void close_bench(bench *made)
{
    imp_reduction mean;
    imp_quantity result;
    assert_ok(imp_columns_reduce(made->columns, IMP_REDUCE_MEAN, made->flow, IMP_NO_COLUMN, 0.0, &mean, error));
    assert_ok(imp_columns_run(made->columns, made->log, error));
    assert_ok(imp_columns_result(made->columns, mean, &result, error));
    assert_relative(result.si, 6e-3 / 60.0, 1e-15);
    imp_columns_free(made->columns);
    imp_log_close(made->log);
}

#define assert_refused(call, wanted, sentence)                                                                          \
    do {                                                                                                               \
        memset(&made.error, 0, sizeof made.error);                                                                     \
        assert_int_equal(call, wanted);                                                                                \
        assert_contains(made.error.message, sentence);                                                                 \
    } while (0)

#define UNARY(operation, a) imp_columns_unary(made.columns, IMP_COLUMN_##operation, a, &column, &made.error)
#define OVER_TIME(operation, a, seconds) imp_columns_over_time(made.columns, IMP_COLUMN_##operation, a, seconds, &column, &made.error)
#define BINARY(operation, a, b) imp_columns_binary(made.columns, IMP_COLUMN_##operation, a, b, &column, &made.error)
#define REDUCE(kind, a, mask) imp_columns_reduce(made.columns, IMP_REDUCE_##kind, a, mask, 0.5, &reduction, &made.error)

static void a_set_belongs_to_one_log_and_has_a_gap_above_nothing(void **state)
{
    (void)state;
    bench made = open_bench();
    assert_refused(imp_columns_bind(made.columns, imp_log_header_of(made.log), &made.error), IMP_INTERNAL, "belong to a log already");
    static const double wrong[] = {0.0, -1.0, HUGE_VAL, (double)NAN};
    for (size_t i = 0; i < 4; i++) {
        assert_refused(imp_columns_set_gap(made.columns, wrong[i], &made.error), IMP_RANGE, "expected a time above 0 s");
        assert_string_equal(made.error.place, "gap");
    }
    assert_ok(imp_columns_set_gap(made.columns, 1e-9, error));
    close_bench(&made);
    imp_columns_free(NULL); /* nothing */
}

static void numbers_of_no_column_are_refused_everywhere(void **state)
{
    (void)state;
    bench made = open_bench();
    static const imp_column wrong[] = {-1, -2, 100000};
    for (size_t i = 0; i < 3; i++) {
        imp_column column;
        imp_reduction reduction;
        const char *sentence = "is not of this set";
        assert_refused(UNARY(ABS, wrong[i]), IMP_INTERNAL, sentence);
        assert_refused(OVER_TIME(ROLLING, wrong[i], 5.0), IMP_INTERNAL, sentence);
        assert_refused(BINARY(ADD, wrong[i], made.flow), IMP_INTERNAL, sentence);
        assert_refused(BINARY(ADD, made.flow, wrong[i]), IMP_INTERNAL, sentence);
        assert_refused(REDUCE(MEAN, wrong[i], IMP_NO_COLUMN), IMP_INTERNAL, sentence);
        assert_refused(imp_columns_spans(made.columns, wrong[i], NULL, 0, &reduction, &made.error), IMP_INTERNAL, sentence);
        assert_refused(imp_columns_spans(made.columns, made.mask, &wrong[i], 1, &reduction, &made.error), IMP_INTERNAL, sentence);
        assert_refused(imp_columns_stuck(made.columns, wrong[i], IMP_NO_COLUMN, 5.0, &reduction, &made.error), IMP_INTERNAL, sentence);
        assert_refused(imp_columns_resample(made.columns, wrong[i], IMP_NO_COLUMN, 5.0, &reduction, &made.error), IMP_INTERNAL, sentence);
        assert_refused(imp_columns_each(made.columns, &wrong[i], 1, NULL, NULL, &made.error), IMP_INTERNAL, sentence);
        if (wrong[i] != IMP_NO_COLUMN)
            assert_refused(REDUCE(MEAN, made.flow, wrong[i]), IMP_INTERNAL, sentence);
        assert_int_equal(imp_columns_kind(made.columns, wrong[i]).length, 0);
        assert_false(imp_columns_kind(made.columns, wrong[i]).is_streamed);
    }
    close_bench(&made);
}

static void operations_take_their_number_of_columns(void **state)
{
    (void)state;
    bench made = open_bench();
    imp_column column;
    imp_reduction reduction;
    assert_refused(UNARY(ADD, made.flow), IMP_INTERNAL, "does not take one column");
    assert_refused(OVER_TIME(ADD, made.flow, 5.0), IMP_INTERNAL, "does not take a column and a time");
    assert_refused(BINARY(NEGATE, made.flow, made.flow), IMP_INTERNAL, "does not take two columns");
    assert_refused(imp_columns_reduce(made.columns, (imp_reduction_kind)99, made.flow, IMP_NO_COLUMN, 0.0, &reduction, &made.error), IMP_INTERNAL,
                   "no such reduction");
    close_bench(&made);
}

static void temperature_readings_have_no_sign_and_no_sum(void **state)
{
    (void)state;
    bench made = open_bench();
    imp_column column, change, share;
    imp_reduction reduction;
    assert_refused(UNARY(NEGATE, made.temperature), IMP_DIMENSION_MISMATCH, "has no sign; take a difference first");
    assert_refused(UNARY(ABS, made.temperature), IMP_DIMENSION_MISMATCH, "has no sign");
    assert_refused(UNARY(SQRT, made.temperature), IMP_DIMENSION_MISMATCH, "temperature reading");
    assert_refused(REDUCE(SUM, made.temperature, IMP_NO_COLUMN), IMP_TYPE, "do not add up; take a mean or a difference");
    assert_refused(REDUCE(INTEGRAL, made.temperature, IMP_NO_COLUMN), IMP_TYPE, "do not add up");
    assert_refused(REDUCE(INTEGRAL_TRAPEZOID, made.temperature, IMP_NO_COLUMN), IMP_TYPE, "do not add up");
    assert_refused(REDUCE(INCREASE, made.temperature, IMP_NO_COLUMN), IMP_TYPE, "do not add up");
    /* a change of readings is a difference: it has a sign */
    assert_ok(imp_columns_unary(made.columns, IMP_COLUMN_CHANGE, made.temperature, &change, error));
    assert_false(imp_columns_kind(made.columns, change).is_reading);
    assert_ok(imp_columns_unary(made.columns, IMP_COLUMN_NEGATE, change, &column, error));
    /* a rolling mean of a mask is a share, no mask any more; of readings it is a reading */
    assert_ok(imp_columns_over_time(made.columns, IMP_COLUMN_ROLLING, made.mask, 2.0, &share, error));
    assert_false(imp_columns_kind(made.columns, share).is_mask);
    assert_ok(imp_columns_over_time(made.columns, IMP_COLUMN_ROLLING, made.temperature, 2.0, &column, error));
    assert_true(imp_columns_kind(made.columns, column).is_reading);
    close_bench(&made);
}

static void columns_in_memory_have_no_time(void **state)
{
    (void)state;
    bench made = open_bench();
    imp_column column;
    imp_reduction reduction;
    const char *sentence = "a column in memory has no time";
    assert_refused(UNARY(RATE, made.memory), IMP_TYPE, sentence);
    assert_refused(UNARY(CHANGE, made.memory), IMP_TYPE, sentence);
    assert_refused(UNARY(DURATION, made.memory), IMP_TYPE, sentence);
    assert_refused(OVER_TIME(ROLLING, made.memory, 5.0), IMP_TYPE, sentence);
    assert_refused(REDUCE(TIME, made.memory, IMP_NO_COLUMN), IMP_TYPE, sentence);
    assert_refused(REDUCE(TIME_MEAN, made.memory, IMP_NO_COLUMN), IMP_TYPE, sentence);
    assert_refused(REDUCE(INTEGRAL, made.memory, IMP_NO_COLUMN), IMP_TYPE, sentence);
    assert_refused(REDUCE(INTEGRAL_TRAPEZOID, made.memory, IMP_NO_COLUMN), IMP_TYPE, sentence);
    assert_refused(REDUCE(INCREASE, made.memory, IMP_NO_COLUMN), IMP_TYPE, sentence);
    assert_refused(imp_columns_spans(made.columns, made.memory_mask, NULL, 0, &reduction, &made.error), IMP_TYPE, sentence);
    assert_refused(imp_columns_stuck(made.columns, made.memory, IMP_NO_COLUMN, 5.0, &reduction, &made.error), IMP_TYPE, sentence);
    assert_refused(imp_columns_resample(made.columns, made.memory, IMP_NO_COLUMN, 5.0, &reduction, &made.error), IMP_TYPE, sentence);
    assert_refused(imp_columns_each(made.columns, &made.memory, 1, NULL, NULL, &made.error), IMP_TYPE, "not read by row of a log");
    /* a constant goes with both */
    assert_ok(imp_columns_binary(made.columns, IMP_COLUMN_MULTIPLY, made.memory, made.constant, &column, error));
    assert_int_equal(imp_columns_kind(made.columns, column).length, 2);
    assert_ok(imp_columns_binary(made.columns, IMP_COLUMN_MULTIPLY, made.constant, made.flow, &column, error));
    assert_true(imp_columns_kind(made.columns, column).is_streamed);
    close_bench(&made);
}

static void rows_of_different_columns_do_not_meet(void **state)
{
    (void)state;
    bench made = open_bench();
    imp_column column, constant_mask;
    imp_reduction reduction;
    assert_refused(BINARY(MULTIPLY, made.memory, made.flow), IMP_TYPE, "a column of a log and a column in memory have different rows");
    assert_refused(BINARY(ADD, made.memory, made.short_memory), IMP_TYPE, "the columns differ in length: 2 and 1");
    assert_refused(REDUCE(MEAN, made.flow, made.memory_mask), IMP_TYPE, "the column and its mask have different rows");
    assert_refused(REDUCE(MEAN, made.short_memory, made.memory_mask), IMP_TYPE, "the column and its mask have different rows");
    assert_refused(REDUCE(MEAN, made.flow, made.temperature), IMP_TYPE, "expected a mask (a comparison), got a temperature");
    assert_refused(UNARY(NOT, made.flow), IMP_TYPE, "expected a mask (a comparison), got a volume flow");
    assert_refused(BINARY(OR, made.mask, made.flow), IMP_TYPE, "expected a mask");
    assert_refused(BINARY(AND, made.flow, made.mask), IMP_TYPE, "expected a mask");
    assert_refused(BINARY(WHERE, made.flow, made.flow), IMP_TYPE, "expected a mask");
    assert_refused(OVER_TIME(LASTING, made.flow, 1.0), IMP_TYPE, "expected a mask");
    /* of masks, the lesser, the greater and the first present are masks; of a mask and a number they are none */
    assert_ok(imp_columns_binary(made.columns, IMP_COLUMN_ABOVE, made.temperature, made.temperature, &constant_mask, error));
    assert_ok(imp_columns_binary(made.columns, IMP_COLUMN_MAXIMUM, made.mask, constant_mask, &column, error));
    assert_true(imp_columns_kind(made.columns, column).is_mask);
    assert_ok(imp_columns_binary(made.columns, IMP_COLUMN_OR_ELSE, made.mask, made.constant, &column, error));
    assert_false(imp_columns_kind(made.columns, column).is_mask);
    assert_ok(imp_columns_binary(made.columns, IMP_COLUMN_MINIMUM, made.constant, made.mask, &column, error));
    assert_false(imp_columns_kind(made.columns, column).is_mask);
    close_bench(&made);
}

static void times_and_shares_have_their_ranges(void **state)
{
    (void)state;
    bench made = open_bench();
    imp_column column;
    imp_reduction reduction;
    static const double wrong[] = {0.0, -5.0, HUGE_VAL, (double)NAN};
    for (size_t i = 0; i < 4; i++) {
        assert_refused(OVER_TIME(LASTING, made.mask, wrong[i]), IMP_RANGE, "expected a time above 0 s");
        assert_refused(imp_columns_stuck(made.columns, made.flow, made.mask, wrong[i], &reduction, &made.error), IMP_RANGE, "expected a time above 0 s");
        assert_refused(imp_columns_resample(made.columns, made.flow, made.mask, wrong[i], &reduction, &made.error), IMP_RANGE, "expected a time above 0 s");
        assert_string_equal(made.error.place, "period");
    }
    static const double shares[] = {-1e-9, 1.0 + 1e-9, (double)NAN};
    for (size_t i = 0; i < 3; i++)
        assert_refused(imp_columns_reduce(made.columns, IMP_REDUCE_QUANTILE, made.flow, IMP_NO_COLUMN, shares[i], &reduction, &made.error), IMP_RANGE,
                       "expected a share from 0 to 1");
    const imp_quantity endless = {.si = HUGE_VAL};
    assert_refused(imp_columns_constant(made.columns, &endless, &column, &made.error), IMP_RANGE, "a constant must be finite");
    static const double infinite[] = {1.0, -HUGE_VAL};
    assert_refused(imp_columns_memory(made.columns, infinite, 2, imp_dimension_of(IMP_PURE), false, &column, &made.error), IMP_RANGE, "value 2 is not finite");
    assert_refused(imp_columns_source(made.columns, "zzzzzzzzzzzz", &column, &made.error), IMP_UNKNOWN, "the log has no such column");
    assert_null(strstr(made.error.message, "did you mean"));
    close_bench(&made);
}

static void there_are_limits_of_columns_levels_and_rows_handed_out(void **state)
{
    (void)state;
    bench made = open_bench();
    imp_column column = made.mask, many[IMP_MOST_TAPS + 1];
    imp_reduction reduction;
    for (int level = 1; level < IMP_MOST_LEVELS; level++)
        assert_ok(imp_columns_over_time(made.columns, IMP_COLUMN_LASTING, column, 1.0 + level, &column, error));
    imp_column deepest = column;
    assert_refused(OVER_TIME(LASTING, deepest, 20.0), IMP_LIMIT, "lasting is nested more than 7 deep");
    for (size_t i = 0; i <= IMP_MOST_TAPS; i++)
        many[i] = i % 2 == 0 ? made.flow : made.constant; /* a constant is handed out, too */
    assert_refused(imp_columns_each(made.columns, many, IMP_MOST_TAPS + 1, NULL, NULL, &made.error), IMP_LIMIT, "at most 64 columns can be handed out by row");
    assert_refused(imp_columns_spans(made.columns, made.mask, many, IMP_SPAN_VALUES + 1, &reduction, &made.error), IMP_LIMIT, "spans carry at most 8 columns");
    imp_quantity value = {.si = 0.0};
    imp_status status = IMP_OK;
    for (int i = 0; i <= IMP_MOST_NODES && status == IMP_OK; i++) {
        value.si = 10.0 + i;
        status = imp_columns_constant(made.columns, &value, &column, &made.error);
    }
    assert_int_equal(status, IMP_LIMIT);
    assert_contains(made.error.message, "there are more than 4096 column expressions");
    assert_refused(imp_columns_memory(made.columns, two_values, 2, imp_dimension_of(IMP_PURE), false, &column, &made.error), IMP_LIMIT, "more than 4096");
    assert_refused(REDUCE(COUNT, made.mask, deepest), IMP_LIMIT, "more than 4096"); /* a column of its own joins the two masks */
    assert_ok(imp_columns_constant(made.columns, &(imp_quantity){.si = 10.0}, &column, error)); /* equal ones are kept once */
    close_bench(&made);
}

static imp_status refuse_rows(void *context, size_t rows, const double *time, const double *duration, const double *const *values, imp_error *error)
{
    (void)rows, (void)time, (void)duration, (void)values;
    ++*(int *)context;
    return imp_fail(error, IMP_RANGE, "row", "enough");
}

static void a_row_that_is_refused_ends_the_run(void **state)
{
    (void)state;
    bench made = open_bench();
    int calls = 0;
    assert_ok(imp_columns_each(made.columns, &made.flow, 1, refuse_rows, &calls, error));
    assert_refused(imp_columns_run(made.columns, made.log, &made.error), IMP_RANGE, "enough");
    assert_int_equal(calls, 1);
    close_bench(&made); /* rows were asked for by one run only */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_set_belongs_to_one_log_and_has_a_gap_above_nothing),
        cmocka_unit_test(numbers_of_no_column_are_refused_everywhere),
        cmocka_unit_test(operations_take_their_number_of_columns),
        cmocka_unit_test(temperature_readings_have_no_sign_and_no_sum),
        cmocka_unit_test(columns_in_memory_have_no_time),
        cmocka_unit_test(rows_of_different_columns_do_not_meet),
        cmocka_unit_test(times_and_shares_have_their_ranges),
        cmocka_unit_test(there_are_limits_of_columns_levels_and_rows_handed_out),
        cmocka_unit_test(a_row_that_is_refused_ends_the_run),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
