#include "stats.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "exact_sum.h"
#include "rooms.h"

/* --- mean, spread, quantiles --- */

#define VALUES_ROW                                                                                                     \
    {                                                                                                                  \
        .name = "values", .symbol = "x", .kind = IMP_LIST, .dimension = IMP_PURE, .low = -1e300, .high = 1e300,        \
        .help = "the numbers, in their order"                                                                          \
    }

static const imp_param mean_in[] = {VALUES_ROW};
static const imp_param mean_out[] = {
    {.name = "mean", .symbol = "m", .dimension = IMP_PURE, .trend = "?", .digits = 15, .help = "arithmetic mean"},
};

static imp_status check_values(const double *values, size_t count, size_t least, imp_error *error)
{
    if (count < least)
        return imp_fail(error, IMP_RANGE, "values", "expected at least %zu numbers, got %zu", least, count);
    for (size_t i = 0; i < count; i++)
        if (imp_check(&mean_in[0], values[i], error) != IMP_OK)
            return IMP_RANGE;
    return IMP_OK;
}

static void add_values(const double *values, size_t count, imp_exact_sum *sum)
{
    imp_exact_sum_init(sum);
    for (size_t i = 0; i < count; i++)
        imp_exact_sum_add(sum, values[i]);
}

imp_status imp_stats_mean(const double *values, size_t count, double *mean, imp_error *error)
{
    imp_exact_sum sum;
    const imp_status status = check_values(values, count, 1, error);
    if (status != IMP_OK)
        return status;
    add_values(values, count, &sum);
    const double found = imp_exact_sum_value(&sum) / (double)count;
    if (!isfinite(found))
        return imp_fail(error, IMP_RANGE, "values", "the sum is too large");
    *mean = found;
    return IMP_OK;
}

static const imp_param sd_in[] = {VALUES_ROW};
static const imp_param sd_out[] = {
    {.name = "sd", .symbol = "s", .dimension = IMP_PURE, .trend = "?", .digits = 15, .help = "standard deviation, n - 1"},
};

imp_status imp_stats_sd(const double *values, size_t count, double *sd, imp_error *error)
{
    imp_exact_sum sum, squares;
    const imp_status status = check_values(values, count, 2, error);
    if (status != IMP_OK)
        return status;
    add_values(values, count, &sum);
    imp_exact_sum_init(&squares);
    for (size_t i = 0; i < count; i++)
        imp_exact_sum_add_product(&squares, values[i], values[i]);
    const double deviations = imp_exact_sum_deviations(&sum, &squares, count);
    if (!isfinite(deviations))
        return imp_fail(error, IMP_RANGE, "values", "the sum of squares is too large");
    *sd = sqrt(deviations / ((double)count - 1.0));
    return IMP_OK;
}

static const imp_param quantile_in[] = {
    VALUES_ROW,
    {.name = "p", .symbol = "p", .dimension = IMP_PURE, .unit = "%", .presence = IMP_DEFAULT, .fallback = 0.5, .low = 0.0,
     .high = 1.0, .help = "share of the numbers below the quantile"},
};
static const imp_param quantile_out[] = {
    {.name = "quantile", .symbol = "x_p", .dimension = IMP_PURE, .trend = "?+", .digits = 15, .help = "straight between two order statistics"},
};

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double sorted_quantile(const double *sorted, size_t count, double p)
{
    const double place = p * (double)(count - 1), low = floor(place);
    const size_t at = (size_t)low;
    return at + 1 < count && place > low ? sorted[at] + (place - low) * (sorted[at + 1] - sorted[at]) : sorted[at];
}

imp_status imp_stats_quantile(const double *values, size_t count, double p, double *work, double *quantile,
                              imp_error *error)
{
    imp_status status = check_values(values, count, 1, error);
    if (status == IMP_OK)
        status = imp_check(&quantile_in[1], p, error);
    if (status != IMP_OK)
        return status;
    if (work != values)
        memcpy(work, values, count * sizeof *values);
    qsort(work, count, sizeof *work, by_size);
    *quantile = sorted_quantile(work, count, p);
    return IMP_OK;
}

/* --- control charts --- */

/* Largest z with a normal density worth integrating, and steps of Simpson's rule over [-Z, Z]. */
#define LARGEST_Z 9.0
enum { STEPS = 360 };

static double below(double z)
{
    return 0.5 * erfc(-z / sqrt(2.0));
}

static double density(double z)
{
    return exp(-0.5 * z * z) / sqrt(2.0 * acos(-1.0));
}

/* Mean and mean square of the range of n standard normal values.
 * E(w) = integral of 1 - F^n - (1 - F)^n; P(w <= x) = n integral of f(z) (F(z + x) - F(z))^(n-1), and E(w^2) = integral of
 * 2 x (1 - P). Source: L. H. C. Tippett, Biometrika 17, 1925, for the mean; the second from the distribution of the range. */
static void range_moments(double n, double *mean, double *square)
{
    /* places 2 Z/STEPS apart: the outer integral takes all of them from -Z to Z, and every range from 0 to 2 Z; the inner one
     * every second place */
    const double step = 2.0 * LARGEST_Z / STEPS;
    double shares[2 * STEPS + 1], densities[STEPS + 1], sum = 0.0, sum_square = 0.0;
    for (int i = 0; i <= 2 * STEPS; i++)
        shares[i] = below(-LARGEST_Z + step * i);
    for (int i = 0; i <= STEPS; i++)
        densities[i] = density(-LARGEST_Z + step * i);
    for (int i = 0; i <= STEPS; i++) {
        const double weight = i == 0 || i == STEPS ? 1.0 : i % 2 == 1 ? 4.0 : 2.0;
        sum += weight * (1.0 - pow(shares[i], n) - pow(1.0 - shares[i], n));
        double inside = 0.0;
        for (int k = 0; k <= STEPS; k += 2) {
            const double inner_weight = k == 0 || k == STEPS ? 1.0 : k % 4 == 2 ? 4.0 : 2.0;
            inside += inner_weight * densities[k] * pow(shares[k + i] - shares[k], n - 1.0);
        }
        sum_square += weight * 2.0 * step * i * (1.0 - n * inside * 2.0 * step / 3.0);
    }
    *mean = sum * step / 3.0;
    *square = sum_square * step / 3.0;
}

static const imp_param shewhart_in[] = {
    {.name = "n", .symbol = "n", .dimension = IMP_PURE, .low = 2.0, .high = 25.0, .help = "values in a sample"},
};
#define CONSTANT_ROW(name_, trend_, help_)                                                                             \
    {                                                                                                                  \
        .name = name_, .symbol = name_, .dimension = IMP_PURE, .trend = trend_, .digits = 6, .help = help_             \
    }
static const imp_param shewhart_out[] = {
    CONSTANT_ROW("d2", "+", "mean range over sigma"),
    CONSTANT_ROW("d3", "?", "standard deviation of the range over sigma"),
    CONSTANT_ROW("c4", "+", "mean standard deviation over sigma"),
    CONSTANT_ROW("A2", "-", "limits of means, times the mean range"),
    CONSTANT_ROW("A3", "-", "limits of means, times the mean standard deviation"),
    CONSTANT_ROW("D3", "+", "lower limit of ranges, times the mean range"),
    CONSTANT_ROW("D4", "-", "upper limit of ranges, times the mean range"),
    CONSTANT_ROW("B3", "+", "lower limit of standard deviations, times their mean"),
    CONSTANT_ROW("B4", "-", "upper limit of standard deviations, times their mean"),
};

imp_status imp_stats_shewhart_constants(double n, imp_stats_shewhart *constants, imp_error *error)
{
    const imp_status status = imp_check(&shewhart_in[0], n, error);
    if (status != IMP_OK)
        return status;
    double mean, square;
    range_moments(n, &mean, &square);
    imp_stats_shewhart found;
    found.d2 = mean;
    found.d3 = sqrt(square - mean * mean);
    found.c4 = sqrt(2.0 / (n - 1.0)) * tgamma(0.5 * n) / tgamma(0.5 * (n - 1.0)); /* lgamma would write a global */
    const double spread = 3.0 * sqrt(1.0 - found.c4 * found.c4) / found.c4;
    found.A2 = 3.0 / (found.d2 * sqrt(n));
    found.A3 = 3.0 / (found.c4 * sqrt(n));
    found.D3 = fmax(0.0, 1.0 - 3.0 * found.d3 / found.d2);
    found.D4 = 1.0 + 3.0 * found.d3 / found.d2;
    found.B3 = fmax(0.0, 1.0 - spread);
    found.B4 = 1.0 + spread;
    *constants = found;
    return IMP_OK;
}

static const imp_param individuals_in[] = {VALUES_ROW};
static const imp_param individuals_out[] = {
    {.name = "centre", .symbol = "m", .dimension = IMP_PURE, .trend = "?", .digits = 8, .help = "mean"},
    {.name = "lower", .symbol = "LCL", .dimension = IMP_PURE, .trend = "?", .digits = 8, .help = "lower control limit"},
    {.name = "upper", .symbol = "UCL", .dimension = IMP_PURE, .trend = "?", .digits = 8, .help = "upper control limit"},
    {.name = "moving_range", .symbol = "MR", .dimension = IMP_PURE, .trend = "?", .digits = 8, .help = "mean moving range"},
    {.name = "moving_range_upper", .symbol = "MR_u", .dimension = IMP_PURE, .trend = "?", .digits = 8,
     .help = "upper control limit of moving ranges"},
};

imp_status imp_stats_individuals_chart(const double *values, size_t count, imp_stats_individuals *chart, imp_error *error)
{
    /* as the handbook prints and uses them, so that its charts and ours are the same: d2 is 1.12838 and D4 3.2665 in full */
    const double d2 = 1.128, upper_factor = 3.267;
    imp_status status = check_values(values, count, 2, error);
    imp_stats_individuals found;
    if (status == IMP_OK)
        status = imp_stats_mean(values, count, &found.centre, error);
    if (status != IMP_OK)
        return status;
    imp_exact_sum ranges;
    imp_exact_sum_init(&ranges);
    for (size_t i = 1; i < count; i++)
        imp_exact_sum_add(&ranges, fabs(values[i] - values[i - 1]));
    found.moving_range = imp_exact_sum_value(&ranges) / ((double)count - 1.0);
    found.lower = found.centre - 3.0 * found.moving_range / d2;
    found.upper = found.centre + 3.0 * found.moving_range / d2;
    found.moving_range_upper = found.moving_range * upper_factor;
    *chart = found;
    return IMP_OK;
}

static const imp_param chart_rows[] = {
    {.name = "sd", .dimension = IMP_PURE, .low = 0.0, .high = 1e300, .ends = IMP_OPEN_LOW},
    {.name = "weight", .dimension = IMP_PURE, .low = 0.0, .high = 1.0, .ends = IMP_OPEN_LOW},
    {.name = "width", .dimension = IMP_PURE, .low = 0.0, .high = 1e3, .ends = IMP_OPEN_LOW},
    {.name = "target", .dimension = IMP_PURE, .low = -1e300, .high = 1e300},
    {.name = "k", .dimension = IMP_PURE, .low = 0.0, .high = 1e300},
    {.name = "h", .dimension = IMP_PURE, .low = 0.0, .high = 1e300, .ends = IMP_OPEN_LOW},
};
enum { SD, WEIGHT, WIDTH, TARGET, K, H };

imp_status imp_stats_ewma(const double *values, size_t count, double target, double sd, double weight, double width,
                          double *averages, double *lower, double *upper, imp_error *error)
{
    const double given[] = {sd, weight, width, target};
    imp_status status = check_values(values, count, 1, error);
    for (size_t i = 0; i < 4 && status == IMP_OK; i++)
        status = imp_check(&chart_rows[i], given[i], error);
    if (status != IMP_OK)
        return status;
    double average = target, left = 1.0; /* left: (1 - weight)^(2 i) */
    for (size_t i = 0; i < count; i++) {
        average = weight * values[i] + (1.0 - weight) * average;
        left *= (1.0 - weight) * (1.0 - weight);
        const double reach = width * sd * sqrt(weight / (2.0 - weight) * (1.0 - left));
        if (averages != NULL)
            averages[i] = average;
        if (lower != NULL)
            lower[i] = target - reach;
        if (upper != NULL)
            upper[i] = target + reach;
    }
    return IMP_OK;
}

imp_status imp_stats_cusum(const double *values, size_t count, double target, double k, double h, double *high, double *low,
                           size_t *first_signal, imp_error *error)
{
    const double given[] = {target, k, h};
    imp_status status = check_values(values, count, 1, error);
    for (size_t i = 0; i < 3 && status == IMP_OK; i++)
        status = imp_check(&chart_rows[TARGET + i], given[i], error);
    if (status != IMP_OK)
        return status;
    double above = 0.0, under = 0.0;
    size_t first = count;
    for (size_t i = 0; i < count; i++) {
        above = fmax(0.0, above + values[i] - target - k);
        under = fmax(0.0, under + target - k - values[i]);
        if (first == count && (above > h || under > h))
            first = i;
        if (high != NULL)
            high[i] = above;
        if (low != NULL)
            low[i] = under;
    }
    *first_signal = first;
    return IMP_OK;
}

/* --- entries --- */

enum { MOST_VALUES = 4096 };

/* A list's items as an array. Room for it is the caller's. */
static imp_status list_of(const imp_value *value, double *to, imp_error *error)
{
    if (value->count > MOST_VALUES)
        return imp_fail(error, IMP_LIMIT, "values", "there are more than %d numbers; use a column", MOST_VALUES);
    for (size_t i = 0; i < value->count; i++)
        to[i] = value->items[i].number;
    return IMP_OK;
}

static imp_status mean_evaluate(const imp_call *call)
{
    double values[MOST_VALUES];
    const imp_status status = list_of(&call->in[0], values, call->error);
    return status == IMP_OK ? imp_stats_mean(values, call->in[0].count, &call->out[0].number, call->error) : status;
}

static imp_status sd_evaluate(const imp_call *call)
{
    double values[MOST_VALUES];
    const imp_status status = list_of(&call->in[0], values, call->error);
    return status == IMP_OK ? imp_stats_sd(values, call->in[0].count, &call->out[0].number, call->error) : status;
}

static imp_status quantile_evaluate(const imp_call *call)
{
    double values[MOST_VALUES];
    const imp_status status = list_of(&call->in[0], values, call->error);
    return status == IMP_OK ? imp_stats_quantile(values, call->in[0].count, call->in[1].number, values,
                                                 &call->out[0].number, call->error)
                            : status;
}

static imp_status individuals_evaluate(const imp_call *call)
{
    double values[MOST_VALUES];
    imp_stats_individuals chart;
    imp_status status = list_of(&call->in[0], values, call->error);
    if (status == IMP_OK)
        status = imp_stats_individuals_chart(values, call->in[0].count, &chart, call->error);
    if (status != IMP_OK)
        return status;
    call->out[0].number = chart.centre;
    call->out[1].number = chart.lower;
    call->out[2].number = chart.upper;
    call->out[3].number = chart.moving_range;
    call->out[4].number = chart.moving_range_upper;
    return IMP_OK;
}

static imp_status shewhart_evaluate(const imp_call *call)
{
    imp_stats_shewhart found;
    const imp_status status = imp_stats_shewhart_constants(call->in[0].number, &found, call->error);
    if (status != IMP_OK)
        return status;
    const double values[] = {found.d2, found.d3, found.c4, found.A2, found.A3, found.D3, found.D4, found.B3, found.B4};
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++)
        call->out[i].number = values[i];
    return IMP_OK;
}

#define HANDBOOK "NIST/SEMATECH e-Handbook of Statistical Methods, "

const imp_calc imp_stats_calcs[] = {
    IMP_CALC(mean, "stats.mean", "Mean", "m = sum(x)/n", HANDBOOK "1.3.5.1", "the sum is exact and rounded once"),
    IMP_CALC(sd, "stats.sd", "Standard deviation", "s = sqrt(sum((x - m)^2)/(n - 1))", HANDBOOK "1.3.5.6",
             "two numbers or more; sums of squares are exact"),
    IMP_CALC(quantile, "stats.quantile", "Quantile", "x_p at 1 + (n - 1) p, straight between two",
             "R. J. Hyndman, Y. Fan, Sample quantiles in statistical packages, 1996, definition 7", "one number or more"),
    IMP_CALC(individuals, "stats.individuals", "Individuals control chart", "UCL, LCL = m +- 3 MR/1.128; MR_u = 3.267 MR",
             HANDBOOK "6.3.2.2", "numbers in their order in time, nearly normal and not correlated"),
    IMP_CALC(shewhart, "stats.shewhart", "Constants of control charts",
             "A2 = 3/(d2 sqrt(n)); D3, D4 = 1 -+ 3 d3/d2; A3 = 3/(c4 sqrt(n)); B3, B4 = 1 -+ 3 sqrt(1 - c4^2)/c4",
             HANDBOOK "6.3.2; d2 and d3 integrated from the distribution of the range (Tippett 1925)",
             "samples from a normal distribution"),
    IMP_CALC_END,
};
