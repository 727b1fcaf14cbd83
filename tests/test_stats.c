/* Statistics and control charts: certified values, published examples, and refusals. More cases: reference/stats.json. */
#include "log_support.h"

#include "stats.h"

/* NIST StRD, univariate summary statistics, NumAcc4: 10000000.2, then 10000000.1 and 10000000.3 five hundred times; certified
 * mean 10000000.2, standard deviation 0.1 (data construction from memory). The doubles nearest to these data have a deviation
 * of 0.1 to nine digits only: their spacing is 1.9e-9. */
static void nist_numacc4_is_met_as_far_as_doubles_hold_its_data(void **state)
{
    (void)state;
    static double values[1001];
    double mean, sd;
    values[0] = 10000000.2;
    for (int i = 1; i < 1001; i++)
        values[i] = i % 2 ? 10000000.1 : 10000000.3;
    assert_ok(imp_stats_mean(values, 1001, &mean, error));
    assert_ok(imp_stats_sd(values, 1001, &sd, error));
    assert_relative(mean, 10000000.2, 4e-16);
    /* exact for the doubles themselves: sum of squares by the differences from 10000000.2, which are exact (Sterbenz) */
    const double low = 10000000.1 - 10000000.2, high = 10000000.3 - 10000000.2;
    const double shift = 500.0 * (low + high), squares = 500.0 * (low * low + high * high);
    assert_relative(sd, sqrt((squares - shift * shift / 1001.0) / 1000.0), 1e-14);
    assert_relative(sd, 0.1, 1e-8);
}

static void a_common_offset_changes_no_spread(void **state)
{
    (void)state;
    double values[100], moved[100], sd, moved_sd;
    for (int i = 0; i < 100; i++) {
        values[i] = (double)((i * 7919) % 100);
        moved[i] = values[i] + 0x1p40;
    }
    assert_ok(imp_stats_sd(values, 100, &sd, error));
    assert_ok(imp_stats_sd(moved, 100, &moved_sd, error));
    assert_true(sd == moved_sd);
    for (int i = 0; i < 100; i++)
        moved[i] = 0.1;
    assert_ok(imp_stats_sd(moved, 100, &sd, error));
    assert_true(sd == 0.0);
}

/* e-Handbook 6.3.2.4 (values from memory): target 50, s = 2.0539, weight 0.3; limits 47.4115 and 52.5884 once settled */
static void ewma_is_that_of_the_e_handbook(void **state)
{
    (void)state;
    static const double values[20] = {52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5,
                                      49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};
    static const double published[20] = {50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33,
                                         50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99};
    double averages[20], lower[20], upper[20];
    assert_ok(imp_stats_ewma(values, 20, 50.0, 2.0539, 0.3, 3.0, averages, lower, upper, error));
    for (int i = 0; i < 20; i++)
        assert_close(averages[i], published[i], 0.0101); /* the table rounds each average before it takes the next */
    assert_close(lower[19], 47.4115, 0.0002);
    assert_close(upper[19], 52.5884, 0.0002);
    /* the first limit is that of one value: target +- 3 w s */
    assert_relative(upper[0] - 50.0, 3.0 * 0.3 * 2.0539, 1e-14);
    for (int i = 1; i < 20; i++)
        assert_true(upper[i] > upper[i - 1] && lower[i] < lower[i - 1]);
}

static void an_ewma_of_weight_one_is_the_data(void **state)
{
    (void)state;
    const double values[] = {1.0, 5.0, -2.0};
    double averages[3], upper[3];
    assert_ok(imp_stats_ewma(values, 3, 0.0, 1.0, 1.0, 3.0, averages, NULL, upper, error));
    for (int i = 0; i < 3; i++)
        assert_true(averages[i] == values[i] && upper[i] == 3.0);
}

/* The recursion's other form: the largest sum of the latest terms, or nothing. */
static double largest_tail(const double *values, int last, double sign, double target, double k)
{
    double best = 0.0, sum = 0.0;
    for (int i = last; i >= 0; i--) {
        sum += sign * (values[i] - target) - k;
        best = fmax(best, sum);
    }
    return best;
}

static void cusum_is_the_largest_sum_of_latest_deviations(void **state)
{
    (void)state;
    double values[200], high[200], low[200];
    size_t first = 0;
    for (int i = 0; i < 200; i++)
        values[i] = 325.0 + ((i * 7919) % 64 - 32) / 32.0 + (i >= 150 ? 1.5 : 0.0);
    assert_ok(imp_stats_cusum(values, 200, 325.0, 0.3125, 4.0, high, low, &first, error));
    for (int i = 0; i < 200; i++) {
        assert_close(high[i], largest_tail(values, i, 1.0, 325.0, 0.3125), 1e-9);
        assert_close(low[i], largest_tail(values, i, -1.0, 325.0, 0.3125), 1e-9);
    }
    assert_true(first >= 150 && first < 160);
    assert_true(high[first] > 4.0 && high[first - 1] <= 4.0);
}

static void a_cusum_within_its_slack_never_signals(void **state)
{
    (void)state;
    double values[50];
    size_t first;
    for (int i = 0; i < 50; i++)
        values[i] = i % 2 ? 10.5 : 9.5;
    assert_ok(imp_stats_cusum(values, 50, 10.0, 0.5, 1.0, NULL, NULL, &first, error));
    assert_int_equal(first, 50);
}

/* closed forms: d2(2) = 2/sqrt(pi), d2(3) = 3/sqrt(pi), d3(2)^2 = 2 - 4/pi, c4(2) = sqrt(2/pi) */
static void shewhart_constants_meet_their_closed_forms(void **state)
{
    (void)state;
    const double pi = acos(-1.0);
    imp_stats_shewhart two, three;
    assert_ok(imp_stats_shewhart_constants(2.0, &two, error));
    assert_ok(imp_stats_shewhart_constants(3.0, &three, error));
    assert_relative(two.d2, 2.0 / sqrt(pi), 1e-10);
    assert_relative(three.d2, 3.0 / sqrt(pi), 1e-10);
    assert_relative(two.d3, sqrt(2.0 - 4.0 / pi), 1e-8);
    assert_relative(two.c4, sqrt(2.0 / pi), 1e-14);
    assert_relative(two.A2, 3.0 * sqrt(pi / 8.0), 1e-10);
}

/* Walpole et al., table A.22 (from memory for these n): c4, B3, B4, A3 */
static void standard_deviation_charts_have_the_published_factors(void **state)
{
    (void)state;
    static const double cases[][5] = {{5, 0.9400, 0, 2.089, 1.427}, {10, 0.9727, 0.284, 1.716, 0.975}, {25, 0.9896, 0.565, 1.435, 0.606}};
    for (size_t i = 0; i < 3; i++) {
        imp_stats_shewhart found;
        assert_ok(imp_stats_shewhart_constants(cases[i][0], &found, error));
        assert_close(found.c4, cases[i][1], 0.00005);
        assert_close(found.B3, cases[i][2], 0.0006);
        assert_close(found.B4, cases[i][3], 0.0006);
        assert_close(found.A3, cases[i][4], 0.0006);
    }
}

static void quantiles_meet_the_ends_and_the_middle(void **state)
{
    (void)state;
    const double values[] = {4.0, 1.0, 3.0, 2.0};
    double work[4], quantile;
    static const double expected[][2] = {{0.0, 1.0}, {1.0, 4.0}, {0.5, 2.5}, {0.25, 1.75}, {1.0 / 3.0, 2.0}};
    for (size_t i = 0; i < 5; i++) {
        assert_ok(imp_stats_quantile(values, 4, expected[i][0], work, &quantile, error));
        assert_close(quantile, expected[i][1], 1e-15);
    }
}

static void what_cannot_be_computed_is_refused(void **state)
{
    (void)state;
    const double bad[] = {1.0, (double)NAN}, good[] = {1.0, 2.0};
    double result = 7.0, work[2];
    size_t first = 7;
    imp_stats_shewhart constants;
    imp_stats_individuals chart;
    imp_error error;
    assert_int_equal(imp_stats_mean(bad, 2, &result, &error), IMP_RANGE);
    assert_string_equal(error.place, "values");
    assert_int_equal(imp_stats_mean(good, 0, &result, &error), IMP_RANGE);
    assert_contains(error.message, "at least 1 numbers, got 0");
    assert_int_equal(imp_stats_sd(good, 1, &result, &error), IMP_RANGE);
    assert_int_equal(imp_stats_quantile(good, 2, 1.01, work, &result, &error), IMP_RANGE);
    assert_string_equal(error.place, "p");
    assert_int_equal(imp_stats_individuals_chart(good, 1, &chart, &error), IMP_RANGE);
    assert_int_equal(imp_stats_shewhart_constants(1.0, &constants, &error), IMP_RANGE);
    assert_int_equal(imp_stats_shewhart_constants(26.0, &constants, &error), IMP_RANGE);
    assert_int_equal(imp_stats_ewma(good, 2, 0.0, 0.0, 0.3, 3.0, NULL, NULL, NULL, &error), IMP_RANGE);
    assert_string_equal(error.place, "sd");
    assert_int_equal(imp_stats_ewma(good, 2, 0.0, 1.0, 0.0, 3.0, NULL, NULL, NULL, &error), IMP_RANGE);
    assert_int_equal(imp_stats_ewma(good, 2, NAN, 1.0, 0.3, 3.0, NULL, NULL, NULL, &error), IMP_RANGE);
    assert_int_equal(imp_stats_cusum(good, 2, 0.0, -1.0, 4.0, NULL, NULL, &first, &error), IMP_RANGE);
    assert_int_equal(imp_stats_cusum(good, 2, 0.0, 0.5, 0.0, NULL, NULL, &first, &error), IMP_RANGE);
    assert_true(result == 7.0 && first == 7);
}

static void one_value_is_enough_and_is_its_own_quantile(void **state)
{
    (void)state;
    const double value[] = {7.0};
    double work[1], average, quantile, high, low;
    size_t first = 9;
    imp_error error;
    for (double p = 0.0; p <= 1.0; p += 0.25) {
        assert_int_equal(imp_stats_quantile(value, 1, p, work, &quantile, &error), IMP_OK);
        assert_close(quantile, 7.0, 0.0);
    }
    assert_int_equal(imp_stats_ewma(value, 1, 5.0, 1.0, 0.25, 3.0, &average, NULL, NULL, &error), IMP_OK);
    assert_close(average, 5.5, 1e-15);
    assert_int_equal(imp_stats_cusum(value, 1, 5.0, 0.5, 1.0, &high, &low, &first, &error), IMP_OK);
    assert_close(high, 1.5, 1e-15);
    assert_close(low, 0.0, 0.0);
    assert_int_equal(first, 0);
    assert_int_not_equal(imp_stats_cusum(value, 1, (double)NAN, 0.5, 1.0, &high, &low, &first, &error), IMP_OK);
    assert_int_not_equal(imp_stats_cusum(value, 1, 5.0, -0.5, 1.0, &high, &low, &first, &error), IMP_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nist_numacc4_is_met_as_far_as_doubles_hold_its_data),
        cmocka_unit_test(a_common_offset_changes_no_spread),
        cmocka_unit_test(ewma_is_that_of_the_e_handbook),
        cmocka_unit_test(an_ewma_of_weight_one_is_the_data),
        cmocka_unit_test(cusum_is_the_largest_sum_of_latest_deviations),
        cmocka_unit_test(a_cusum_within_its_slack_never_signals),
        cmocka_unit_test(shewhart_constants_meet_their_closed_forms),
        cmocka_unit_test(standard_deviation_charts_have_the_published_factors),
        cmocka_unit_test(quantiles_meet_the_ends_and_the_middle),
        cmocka_unit_test(what_cannot_be_computed_is_refused),
        cmocka_unit_test(one_value_is_enough_and_is_its_own_quantile),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
