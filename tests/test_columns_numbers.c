/* Columns against numbers and against each other: whatever is known of a block beforehand (its least and greatest value, a
 * mask that is 0 in all rows), the answers are those of the rows one by one. */
#include "log_support.h"

enum { ROWS = 1500 }; /* more than one block */

static const char *const names[] = {"rising", "falling", "gappy", "flat", "nothing"};
enum { SOURCES = sizeof names / sizeof names[0] };

static double cell(int source, int row)
{
    switch (source) {
    case 0: return row;
    case 1: return 2000.5 - row;
    case 2: return row % 5 == 0 ? (double)NAN : row % 17 - 8.0;
    case 3: return 3.0;
    default: return (double)NAN;
    }
}

static const char *log_path(void)
{
    static char text[ROWS * 64];
    size_t used = (size_t)sprintf(text, "time,rising,falling,gappy,flat,nothing\n");
    for (int row = 0; row < ROWS; row++) {
        used += (size_t)sprintf(text + used, "%d", row);
        for (int source = 0; source < SOURCES; source++)
            used += isnan(cell(source, row)) ? (size_t)sprintf(text + used, ",") : (size_t)sprintf(text + used, ",%g", cell(source, row));
        text[used++] = '\n';
    }
    return file_of(text, used);
}

/* As columns.h defines it, row by row. */
static double applied(imp_column_operation operation, double a, double b)
{
    const bool both = !isnan(a) && !isnan(b);
    double value = (double)NAN;
    switch (operation) {
    case IMP_COLUMN_ADD: value = a + b; break;
    case IMP_COLUMN_SUBTRACT: value = a - b; break;
    case IMP_COLUMN_MULTIPLY: value = a * b; break;
    case IMP_COLUMN_DIVIDE: value = a / b; break;
    case IMP_COLUMN_ABOVE: value = a > b; break;
    case IMP_COLUMN_AT_LEAST: value = a >= b; break;
    case IMP_COLUMN_BELOW: value = a < b; break;
    case IMP_COLUMN_AT_MOST: value = a <= b; break;
    case IMP_COLUMN_EQUALS: value = a == b; break;
    default: value = a != b; break;
    }
    return both && isfinite(value) ? value : (double)NAN;
}

static const imp_column_operation operations[] = {IMP_COLUMN_ADD, IMP_COLUMN_SUBTRACT, IMP_COLUMN_MULTIPLY, IMP_COLUMN_DIVIDE,
                                                  IMP_COLUMN_ABOVE, IMP_COLUMN_AT_LEAST, IMP_COLUMN_BELOW, IMP_COLUMN_AT_MOST,
                                                  IMP_COLUMN_EQUALS, IMP_COLUMN_DIFFERS};
enum { OPERATIONS = sizeof operations / sizeof operations[0], NUMBERS = 8, SIDES = SOURCES + NUMBERS };
static const double numbers[NUMBERS] = {0.0, 1.0, -2.5, 3.0, 749.0, 2000.5, -1e9, 1e308};

static double side(int at, int row)
{
    return at < SOURCES ? cell(at, row) : numbers[at - SOURCES];
}

typedef struct answers {
    imp_reduction count, least, greatest, sum;
} answers;

static void open_set(imp_log **log, imp_columns **columns, imp_column sides[SIDES])
{
    assert_ok(imp_log_open(log_path(), NULL, log, error));
    assert_ok(imp_columns_create(NULL, columns, error));
    assert_ok(imp_columns_bind(*columns, imp_log_header_of(*log), error));
    for (int i = 0; i < SOURCES; i++)
        assert_ok(imp_columns_source(*columns, names[i], &sides[i], error));
    for (int i = 0; i < NUMBERS; i++) {
        const imp_quantity quantity = {.si = numbers[i]};
        assert_ok(imp_columns_constant(*columns, &quantity, &sides[SOURCES + i], error));
    }
}

static double answer(const imp_columns *columns, imp_reduction reduction)
{
    imp_quantity quantity;
    return imp_columns_result(columns, reduction, &quantity, NULL) == IMP_OK ? quantity.si : (double)NAN;
}

static bool same(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

static void check_pair(const imp_columns *columns, const answers *found, imp_column_operation operation, int a, int b)
{
    const bool is_mask = operation >= IMP_COLUMN_ABOVE;
    double count = 0.0, least = (double)NAN, greatest = (double)NAN;
    imp_exact_sum sum;
    imp_exact_sum_init(&sum);
    for (int row = 0; row < ROWS; row++) {
        const double value = applied(operation, side(a, row), side(b, row));
        if (isnan(value))
            continue;
        count += is_mask ? value == 1.0 : 1.0;
        least = fmin(least, value);
        greatest = fmax(greatest, value);
        imp_exact_sum_add(&sum, value);
    }
    const double total = imp_exact_sum_value(&sum);
    if (answer(columns, found->count) != count || !same(answer(columns, found->least), least) || !same(answer(columns, found->greatest), greatest) ||
        !same(answer(columns, found->sum), isfinite(total) ? total : answer(columns, found->sum)))
        fail_msg("operation %d of %d and %d: count %g (%g), least %g (%g), greatest %g (%g), sum %.17g (%.17g)", (int)operation, a, b,
                 answer(columns, found->count), count, answer(columns, found->least), least, answer(columns, found->greatest), greatest,
                 answer(columns, found->sum), total);
}

static void every_operation_answers_as_its_rows_do(void **state)
{
    (void)state;
    static answers found[OPERATIONS][SIDES][SIDES];
    imp_log *log = NULL;
    imp_columns *columns = NULL;
    imp_column sides[SIDES];
    open_set(&log, &columns, sides);
    for (int o = 0; o < OPERATIONS; o++)
        for (int a = 0; a < SOURCES; a++)
            for (int b = 0; b < SIDES; b++) {
                answers *to = &found[o][a][b];
                imp_column made;
                assert_ok(imp_columns_binary(columns, operations[o], sides[a], sides[b], &made, error));
                assert_ok(imp_columns_reduce(columns, IMP_REDUCE_COUNT, made, IMP_NO_COLUMN, 0.0, &to->count, error));
                assert_ok(imp_columns_reduce(columns, IMP_REDUCE_MIN, made, IMP_NO_COLUMN, 0.0, &to->least, error));
                assert_ok(imp_columns_reduce(columns, IMP_REDUCE_MAX, made, IMP_NO_COLUMN, 0.0, &to->greatest, error));
                assert_ok(imp_columns_reduce(columns, IMP_REDUCE_SUM, made, IMP_NO_COLUMN, 0.0, &to->sum, error));
            }
    assert_ok(imp_columns_run(columns, log, error));
    for (int o = 0; o < OPERATIONS; o++)
        for (int a = 0; a < SOURCES; a++)
            for (int b = 0; b < SIDES; b++)
                check_pair(columns, &found[o][a][b], operations[o], a, b);
    imp_columns_free(columns);
    imp_log_close(log);
}

/* Where nothing else asks for x times c, its extent comes from that of x, and its rows are not looked at. */
static void comparisons_of_scaled_columns_answer_as_their_rows_do(void **state)
{
    (void)state;
    static imp_reduction found[4][NUMBERS][NUMBERS][4];
    imp_log *log = NULL;
    imp_columns *columns = NULL;
    imp_column sides[SIDES];
    open_set(&log, &columns, sides);
    for (int o = 0; o < 4; o++)
        for (int by = 0; by < NUMBERS; by++)
            for (int limit = 0; limit < NUMBERS; limit++)
                for (int compare = 0; compare < 4; compare++) {
                    imp_column scaled, mask;
                    assert_ok(imp_columns_binary(columns, operations[o], sides[0], sides[SOURCES + by], &scaled, error));
                    assert_ok(imp_columns_binary(columns, operations[4 + compare], scaled, sides[SOURCES + limit], &mask, error));
                    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_TIME, mask, IMP_NO_COLUMN, 0.0, &found[o][by][limit][compare], error));
                }
    assert_ok(imp_columns_run(columns, log, error));
    for (int o = 0; o < 4; o++)
        for (int by = 0; by < NUMBERS; by++)
            for (int limit = 0; limit < NUMBERS; limit++)
                for (int compare = 0; compare < 4; compare++) {
                    double time = 0.0;
                    for (int row = 0; row + 1 < ROWS; row++)
                        time += applied(operations[4 + compare], applied(operations[o], cell(0, row), numbers[by]), numbers[limit]) == 1.0;
                    if (answer(columns, found[o][by][limit][compare]) != time)
                        fail_msg("rising, operation %d with %g, compared (%d) with %g: %g s, expected %g s", (int)operations[o], numbers[by],
                                 compare, numbers[limit], answer(columns, found[o][by][limit][compare]), time);
                }
    imp_columns_free(columns);
    imp_log_close(log);
}

/* and, or with a side that is 0 in all rows of a block, or missing in some. */
static void masks_join_as_their_rows_do(void **state)
{
    (void)state;
    enum { MASKS = 5 };
    static imp_reduction found[2][MASKS][MASKS];
    imp_log *log = NULL;
    imp_columns *columns = NULL;
    imp_column sides[SIDES], masks[MASKS];
    open_set(&log, &columns, sides);
    static const struct { int a, b; } made[MASKS] = {{0, 4}, {3, 1}, {2, 0}, {0, 6}, {4, 0}}; /* rising > 749, flat > 1, gappy > 0, rising > -1e9, nothing > 0 */
    for (int i = 0; i < MASKS; i++)
        assert_ok(imp_columns_binary(columns, IMP_COLUMN_ABOVE, sides[made[i].a], sides[SOURCES + made[i].b], &masks[i], error));
    for (int o = 0; o < 2; o++)
        for (int a = 0; a < MASKS; a++)
            for (int b = 0; b < MASKS; b++) {
                imp_column joined;
                assert_ok(imp_columns_binary(columns, o == 0 ? IMP_COLUMN_AND : IMP_COLUMN_OR, masks[a], masks[b], &joined, error));
                assert_ok(imp_columns_reduce(columns, IMP_REDUCE_COUNT, joined, IMP_NO_COLUMN, 0.0, &found[o][a][b], error));
            }
    assert_ok(imp_columns_run(columns, log, error));
    for (int a = 0; a < MASKS; a++)
        for (int b = 0; b < MASKS; b++) {
            double both = 0.0, either = 0.0;
            for (int row = 0; row < ROWS; row++) {
                const bool one = applied(IMP_COLUMN_ABOVE, cell(made[a].a, row), numbers[made[a].b]) == 1.0;
                const bool two = applied(IMP_COLUMN_ABOVE, cell(made[b].a, row), numbers[made[b].b]) == 1.0;
                both += one && two;
                either += one || two;
            }
            assert_true(answer(columns, found[0][a][b]) == both);
            assert_true(answer(columns, found[1][a][b]) == either);
        }
    imp_columns_free(columns);
    imp_log_close(log);
}

/* Everything that evaluates a block asks for memory once at most; each of it fails once. */
static void every_failed_allocation_of_a_set_is_an_error(void **state)
{
    (void)state;
    imp_log *log = NULL;
    assert_ok(imp_log_open(log_path(), NULL, &log, error));
    long failed = 0;
    for (long left = 0;; left++) {
        counted_memory memory = {.left = left, .taken = 0};
        const imp_allocator allocator = {counted_resize, &memory};
        imp_columns *columns = NULL;
        imp_column a, b, two, above, mask, rolling, lasting;
        imp_reduction reduction;
        imp_error error;
        const imp_quantity quantity = {.si = 2.0};
        imp_status status = imp_columns_create(&allocator, &columns, &error);
#define STEP(call) status = status == IMP_OK ? (call) : status
        STEP(imp_columns_bind(columns, imp_log_header_of(log), &error));
        STEP(imp_columns_source(columns, "rising", &a, &error));
        STEP(imp_columns_source(columns, "gappy", &b, &error));
        STEP(imp_columns_constant(columns, &quantity, &two, &error));
        STEP(imp_columns_over_time(columns, IMP_COLUMN_ROLLING, a, 40.0, &rolling, &error));
        STEP(imp_columns_over_time(columns, IMP_COLUMN_ROLLING, b, 30.0, &b, &error));
        STEP(imp_columns_binary(columns, IMP_COLUMN_ADD, rolling, two, &a, &error));
        STEP(imp_columns_binary(columns, IMP_COLUMN_ABOVE, a, b, &above, &error));
        STEP(imp_columns_over_time(columns, IMP_COLUMN_UNCHANGED, b, 2.0, &mask, &error));
        STEP(imp_columns_binary(columns, IMP_COLUMN_OR, mask, above, &mask, &error));
        STEP(imp_columns_over_time(columns, IMP_COLUMN_LASTING, mask, 3.0, &lasting, &error));
        STEP(imp_columns_over_time(columns, IMP_COLUMN_ROLLING, a, 20.0, &rolling, &error));
        STEP(imp_columns_reduce(columns, IMP_REDUCE_MEAN, rolling, lasting, 0.0, &reduction, &error));
        STEP(imp_columns_reduce(columns, IMP_REDUCE_SD, a, IMP_NO_COLUMN, 0.0, &reduction, &error));
        STEP(imp_columns_reduce(columns, IMP_REDUCE_MAX, a, mask, 0.0, &reduction, &error));
        STEP(imp_columns_reduce(columns, IMP_REDUCE_QUANTILE, a, mask, 0.3, &reduction, &error));
        STEP(imp_columns_stuck(columns, b, mask, 2.0, &reduction, &error));
        STEP(imp_columns_resample(columns, a, mask, 10.0, &reduction, &error));
        STEP(imp_columns_spans(columns, above, &rolling, 1, &reduction, &error));
        STEP(imp_columns_run(columns, log, &error));
#undef STEP
        imp_columns_free(columns);
        if (status == IMP_OK)
            break;
        assert_int_equal(status, IMP_MEMORY);
        failed++;
    }
    imp_log_close(log);
    assert_true(failed > 30);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_operation_answers_as_its_rows_do),
        cmocka_unit_test(comparisons_of_scaled_columns_answer_as_their_rows_do),
        cmocka_unit_test(masks_join_as_their_rows_do),
        cmocka_unit_test(every_failed_allocation_of_a_set_is_an_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
