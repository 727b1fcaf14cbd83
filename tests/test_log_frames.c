/* A log is evaluated in frames of some hundred rows, many of which are passed over as a whole. Here every row of a long one is
 * held against the definitions in columns.h, written down once more row by row. All values are whole eighths, so that plain
 * sums of them are exact, and expected values may be compared to the last bit. */
#include "log_support.h"

#include "columns.h"

enum { ROWS = 6000, NODES = 13 };
#define GAP 10.0
#define FAR 0x1p200 /* so much larger that two doubles do not hold a sum */

typedef struct rows_of_log {
    double time[ROWS + 1], a[ROWS], b[ROWS];
    double value[NODES][ROWS]; /* expected */
} rows_of_log;

static uint64_t next_random(uint64_t *state)
{
    uint64_t z = (*state += UINT64_C(0x9e3779b97f4a7c15)); /* splitmix64 */
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return (z ^ (z >> 31)) >> 11;
}

static bool one_in(uint64_t *state, uint64_t chances)
{
    return next_random(state) % chances == 0;
}

static bool holds(const rows_of_log *log, size_t row)
{
    const double step = log->time[row + 1] - log->time[row];
    return row + 1 < ROWS && step > 0.0 && step <= GAP;
}

/* Values of `a` wander, stand still for a while, or are missing; `b` is rarely above 90. */
static void invent(rows_of_log *log, uint64_t seed)
{
    double time = 1000.0, a = 40.0;
    size_t still = 0, high = 0;
    for (size_t i = 0; i < ROWS; i++) {
        const bool has_holes = i / 700 % 3 == 1;
        log->time[i] = time;
        time += one_in(&seed, 400) ? 100.0 : one_in(&seed, 900) ? -30.5 : one_in(&seed, 10) ? 0.5 : 1.0;
        still = still > 0 ? still - 1 : one_in(&seed, 900) ? 100 + next_random(&seed) % 700 : 0;
        high = high > 0 ? high - 1 : one_in(&seed, 300) ? next_random(&seed) % 20 : 0;
        if (still == 0)
            a = fmin(fmax(a + ((double)(next_random(&seed) % 33) - 16.0) / 8.0 + (a < 50.0 ? 0.125 : -0.125), 0.0), 100.0);
        log->a[i] = has_holes && one_in(&seed, 20) ? (double)NAN : a;
        log->b[i] = high > 0 ? 95.0 : 10.0 + (double)(next_random(&seed) % 500) / 8.0;
    }
    log->time[ROWS] = time;
}

static double mask_of(bool is_one, double a)
{
    return a != a ? a : is_one ? 1.0 : 0.0;
}

static double both(double x, double y)
{
    return x == 0.0 || y == 0.0 ? 0.0 : x == 1.0 && y == 1.0 ? 1.0 : (double)NAN;
}

static void expect_lasting(const rows_of_log *log, const double *mask, double seconds, double *out)
{
    for (size_t i = 0; i < ROWS; i++)
        out[i] = mask[i];
    for (size_t first = 0; first < ROWS;) {
        size_t last = first;
        if (mask[first] != 1.0) {
            first++;
            continue;
        }
        while (holds(log, last) && mask[last + 1] == 1.0)
            last++;
        const double until = holds(log, last) ? log->time[last + 1] : log->time[last];
        for (size_t i = first; i <= last; i++)
            out[i] = until - log->time[first] >= seconds ? 1.0 : 0.0;
        first = last + 1;
    }
}

static void expect_unchanged(const rows_of_log *log, double seconds, double *out)
{
    for (size_t i = 0; i < ROWS; i++) {
        size_t first = i;
        while (first > 0 && holds(log, first - 1) && log->a[first - 1] == log->a[i])
            first--;
        out[i] = mask_of(log->time[i] - log->time[first] >= seconds, log->a[i]);
    }
}

static void expect_rolling(const rows_of_log *log, const double *values, double seconds, double *out)
{
    for (size_t i = 0; i < ROWS; i++) {
        double sum = 0.0, count = 0.0;
        for (size_t k = i;; k--) {
            if (log->time[k] <= log->time[i] - seconds)
                break;
            if (values[k] == values[k]) {
                sum += values[k];
                count += 1.0;
            }
            if (k == 0 || !holds(log, k - 1))
                break;
        }
        out[i] = count > 0.0 ? sum / count : (double)NAN;
    }
}

enum { HIGH, LARGE, HIGH_AND_LARGE, HIGH_OR_NEVER, SCALED, HIGH_LASTING, LARGE_LASTING, UNCHANGED, ROLLING, CHANGE, LARGE_ROLLING,
       LONG_ROLLING, FAR_APART_ROLLING };

/* `a` times FAR where it is large, else `b`: the sums of each are exact, so that theirs is rounded once. */
static void expect_far_apart(rows_of_log *log)
{
    for (size_t i = 0; i < ROWS; i++) {
        double far = 0.0, near = 0.0, count = 0.0;
        for (size_t k = i; log->time[k] > log->time[i] - 60.0; k--) {
            far += log->a[k] >= 50.0 ? log->a[k] * FAR : 0.0;
            near += log->a[k] >= 50.0 ? 0.0 : log->b[k];
            count += 1.0;
            if (k == 0 || !holds(log, k - 1))
                break;
        }
        log->value[FAR_APART_ROLLING][i] = (far + near) / count;
    }
}

static void expect_all(rows_of_log *log)
{
    for (size_t i = 0; i < ROWS; i++) {
        const double a = log->a[i], b = log->b[i];
        log->value[HIGH][i] = mask_of(b > 90.0, b);
        log->value[LARGE][i] = mask_of(a >= 50.0, a);
        log->value[HIGH_AND_LARGE][i] = both(log->value[HIGH][i], log->value[LARGE][i]);
        log->value[HIGH_OR_NEVER][i] = log->value[HIGH][i];
        log->value[SCALED][i] = mask_of(a * 0.5 < b * 0.25 - 15.0, a);
        log->value[CHANGE][i] = i > 0 && holds(log, i - 1) ? a - log->a[i - 1] : (double)NAN;
        log->value[LARGE_ROLLING][i] = log->value[LARGE][i] == 1.0 ? a : (double)NAN;
    }
    expect_lasting(log, log->value[HIGH], 7.0, log->value[HIGH_LASTING]);
    expect_lasting(log, log->value[LARGE], 20.0, log->value[LARGE_LASTING]);
    expect_unchanged(log, 300.0, log->value[UNCHANGED]);
    expect_rolling(log, log->a, 60.0, log->value[ROLLING]);
    static double where[ROWS];
    memcpy(where, log->value[LARGE_ROLLING], sizeof where);
    expect_rolling(log, where, 30.0, log->value[LARGE_ROLLING]);
    expect_rolling(log, log->b, 1500.0, log->value[LONG_ROLLING]);
    expect_far_apart(log);
}

/* --- the same by the core --- */

static const char *write_log(const rows_of_log *log)
{
    static char text[ROWS * 64];
    size_t used = (size_t)sprintf(text, "time,a,b\n");
    for (size_t i = 0; i < ROWS; i++) {
        used += (size_t)sprintf(text + used, "%.1f,", log->time[i]);
        if (log->a[i] == log->a[i])
            used += (size_t)sprintf(text + used, "%.3f", log->a[i]);
        used += (size_t)sprintf(text + used, ",%.3f\n", log->b[i]);
    }
    return file_of(text, used);
}

typedef struct bench {
    imp_log *log;
    imp_columns *columns;
    imp_column node[NODES], a, b;
} bench;

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

static imp_column timed(bench *made, imp_column_operation operation, imp_column a, double seconds)
{
    imp_column column = IMP_NO_COLUMN;
    assert_ok(imp_columns_over_time(made->columns, operation, a, seconds, &column, error));
    return column;
}

static bench open_bench(const char *path, int threads)
{
    bench made = {.log = NULL};
    const imp_log_options options = {.threads = threads, .chunk = threads > 1 ? 3000 : 0, .rows = threads > 1 ? 100 : 0};
    assert_ok(imp_log_open(path, &options, &made.log, error));
    assert_ok(imp_columns_create(NULL, &made.columns, error));
    assert_ok(imp_columns_bind(made.columns, imp_log_header_of(made.log), error));
    assert_ok(imp_columns_set_gap(made.columns, GAP, error));
    assert_ok(imp_columns_source(made.columns, "a", &made.a, error));
    assert_ok(imp_columns_source(made.columns, "b", &made.b, error));
    imp_column *node = made.node;
    node[HIGH] = two(&made, IMP_COLUMN_ABOVE, made.b, number(&made, 90.0));
    node[LARGE] = two(&made, IMP_COLUMN_AT_LEAST, made.a, number(&made, 50.0));
    node[HIGH_AND_LARGE] = two(&made, IMP_COLUMN_AND, node[HIGH], node[LARGE]);
    node[HIGH_OR_NEVER] = two(&made, IMP_COLUMN_OR, node[HIGH], two(&made, IMP_COLUMN_ABOVE, made.b, number(&made, 1000.0)));
    node[SCALED] = two(&made, IMP_COLUMN_BELOW, two(&made, IMP_COLUMN_MULTIPLY, made.a, number(&made, 0.5)),
                       two(&made, IMP_COLUMN_SUBTRACT, two(&made, IMP_COLUMN_MULTIPLY, made.b, number(&made, 0.25)), number(&made, 15.0)));
    node[HIGH_LASTING] = timed(&made, IMP_COLUMN_LASTING, node[HIGH], 7.0);
    node[LARGE_LASTING] = timed(&made, IMP_COLUMN_LASTING, node[LARGE], 20.0);
    node[UNCHANGED] = timed(&made, IMP_COLUMN_UNCHANGED, made.a, 300.0);
    node[ROLLING] = timed(&made, IMP_COLUMN_ROLLING, made.a, 60.0);
    assert_ok(imp_columns_unary(made.columns, IMP_COLUMN_CHANGE, made.a, &node[CHANGE], error));
    node[LARGE_ROLLING] = timed(&made, IMP_COLUMN_ROLLING, two(&made, IMP_COLUMN_WHERE, made.a, node[LARGE]), 30.0);
    node[LONG_ROLLING] = timed(&made, IMP_COLUMN_ROLLING, made.b, 1500.0);
    const imp_column far = two(&made, IMP_COLUMN_MULTIPLY, two(&made, IMP_COLUMN_WHERE, made.a, node[LARGE]), number(&made, FAR));
    node[FAR_APART_ROLLING] = timed(&made, IMP_COLUMN_ROLLING, two(&made, IMP_COLUMN_OR_ELSE, far, made.b), 60.0);
    return made;
}

static void close_bench(bench *made)
{
    imp_columns_free(made->columns);
    imp_log_close(made->log);
}

typedef struct rows_seen {
    const rows_of_log *log;
    size_t rows, faults;
} rows_seen;

static imp_status see_rows(void *context, size_t rows, const double *time, const double *duration,
                           const double *const *values, imp_error *error)
{
    rows_seen *seen = context;
    (void)duration;
    (void)error;
    for (size_t i = 0; i < rows; i++, seen->rows++)
        for (size_t k = 0; k < NODES; k++) {
            const double found = values[k][i], expected = seen->log->value[k][seen->rows];
            if (time[i] == seen->log->time[seen->rows] && (found == expected || (found != found && expected != expected)))
                continue;
            if (seen->faults++ < 5)
                print_error("row %zu, node %zu: %.17g, expected %.17g\n", seen->rows, k, found, expected);
        }
    return IMP_OK;
}

static rows_of_log *invented(uint64_t seed)
{
    static rows_of_log log;
    invent(&log, seed);
    expect_all(&log);
    return &log;
}

static void every_row_is_as_defined(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 8; seed++) {
        const rows_of_log *log = invented(seed);
        bench made = open_bench(write_log(log), 1);
        rows_seen seen = {.log = log};
        assert_ok(imp_columns_each(made.columns, made.node, NODES, see_rows, &seen, error));
        assert_ok(imp_columns_run(made.columns, made.log, error));
        assert_int_equal(seen.rows, ROWS);
        assert_int_equal(seen.faults, 0);
        close_bench(&made);
    }
}

static void check_spans(const bench *made, imp_reduction reduction, const rows_of_log *log, const double *mask)
{
    size_t found = 0;
    for (size_t first = 0; first < ROWS;) {
        size_t last = first, count = 0;
        double sum = 0.0;
        imp_span span = {.from = 0.0};
        if (mask[first] != 1.0) {
            first++;
            continue;
        }
        while (holds(log, last) && mask[last + 1] == 1.0)
            last++;
        for (size_t i = first; i <= last; i++)
            if (log->a[i] == log->a[i]) {
                count++;
                sum += log->a[i];
            }
        assert_ok(imp_columns_span_at(made->columns, reduction, found++, &span, error));
        assert_true(span.from == log->time[first] && span.to == (holds(log, last) ? log->time[last + 1] : log->time[last]));
        assert_int_equal(span.rows, last + 1 - first);
        assert_int_equal(span.values[0].count, count);
        assert_true(count == 0 || span.values[0].mean == sum / (double)count);
        first = last + 1;
    }
    assert_int_equal(imp_columns_span_count(made->columns, reduction), found);
}

/* Neighbouring rows of one period that count make a point; a step back in time begins another. */
static void check_series(const bench *made, imp_reduction reduction, const rows_of_log *log, const double *mask, double period)
{
    size_t found = 0, count = 0;
    double start = 0.0, sum = 0.0, least = 0.0, greatest = 0.0;
    for (size_t i = 0; i <= ROWS; i++) {
        if (i < ROWS && (mask[i] != 1.0 || log->a[i] != log->a[i]))
            continue;
        const double period_start = i < ROWS ? floor(log->time[i] / period) * period : -1.0;
        if (count > 0 && period_start != start) {
            imp_series_point point = {.time = 0.0};
            assert_ok(imp_columns_series_at(made->columns, reduction, found++, &point, error));
            assert_true(point.time == start && point.count == count && point.mean == sum / (double)count &&
                        point.least == least && point.greatest == greatest);
            count = 0;
        }
        if (i == ROWS)
            break;
        least = count == 0 ? log->a[i] : fmin(least, log->a[i]);
        greatest = count == 0 ? log->a[i] : fmax(greatest, log->a[i]);
        sum = (count == 0 ? 0.0 : sum) + log->a[i];
        start = period_start;
        count++;
    }
    assert_int_equal(imp_columns_series_count(made->columns, reduction), found);
    assert_true(found > 20);
}

static void check_reductions(int threads, uint64_t seed)
{
    const rows_of_log *log = invented(seed);
    bench made = open_bench(write_log(log), threads);
    const imp_column *node = made.node;
    imp_reduction high, large, series, sum, least;
    double expected_sum = 0.0, expected_least = HUGE_VAL;
    imp_quantity found;
    assert_ok(imp_columns_spans(made.columns, node[HIGH_LASTING], &made.a, 1, &high, error));
    assert_ok(imp_columns_spans(made.columns, node[LARGE_LASTING], &made.a, 1, &large, error));
    assert_ok(imp_columns_resample(made.columns, made.a, node[LARGE], 60.0, &series, error));
    assert_ok(imp_columns_reduce(made.columns, IMP_REDUCE_SUM, made.a, node[LARGE], 0.0, &sum, error));
    assert_ok(imp_columns_reduce(made.columns, IMP_REDUCE_MIN, made.a, node[LARGE], 0.0, &least, error));
    assert_ok(imp_columns_run(made.columns, made.log, error));
    check_spans(&made, high, log, log->value[HIGH_LASTING]);
    check_spans(&made, large, log, log->value[LARGE_LASTING]);
    check_series(&made, series, log, log->value[LARGE], 60.0);
    for (size_t i = 0; i < ROWS; i++)
        if (log->value[LARGE][i] == 1.0) {
            expected_sum += log->a[i];
            expected_least = fmin(expected_least, log->a[i]);
        }
    assert_ok(imp_columns_result(made.columns, sum, &found, error));
    assert_true(found.si == expected_sum);
    assert_ok(imp_columns_result(made.columns, least, &found, error));
    assert_true(found.si == expected_least);
    close_bench(&made);
}

static void spans_series_and_sums_are_those_of_the_rows(void **state)
{
    (void)state;
    for (uint64_t seed = 11; seed <= 14; seed++)
        check_reductions(1, seed);
}

static void one_thread_may_count_while_another_evaluates(void **state)
{
    (void)state;
    for (uint64_t seed = 21; seed <= 26; seed++)
        check_reductions(2 + (int)(seed % 3), seed);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_is_as_defined),
        cmocka_unit_test(spans_series_and_sums_are_those_of_the_rows),
        cmocka_unit_test(one_thread_may_count_while_another_evaluates),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
