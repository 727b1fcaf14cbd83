/* stats.h — means, spread, quantiles and control charts of a list of numbers.
 *
 * Numbers outside an entry's rows, too few of them, or not-a-number are refused; place = the input's name.
 * Control charts: NIST/SEMATECH e-Handbook of Statistical Methods, chapter 6. */
#ifndef IMP_STATS_H
#define IMP_STATS_H

#include <stddef.h>

#include "memory.h"
#include "status.h"

/* Mean: exact sum, rounded, over the count. */
imp_status imp_stats_mean(const double *values, size_t count, double *mean, imp_error *error);
/* Standard deviation with n - 1; count >= 2. Sums of values and squares are exact. */
imp_status imp_stats_sd(const double *values, size_t count, double *sd, imp_error *error);
/* Quantile p in 0 .. 1: order statistics at 1 + (n - 1) p, straight between two. work[count] is sorted in. */
imp_status imp_stats_quantile(const double *values, size_t count, double p, double *work, double *quantile,
                              imp_error *error);

/* Shewhart constants for samples of n (2 .. 25) from a normal distribution: mean and standard deviation of the range over
 * sigma (d2, d3), mean of the sample standard deviation over sigma (c4), and the factors of the mean and range charts. */
typedef struct imp_stats_shewhart {
    double d2, d3, c4, A2, A3, D3, D4, B3, B4;
} imp_stats_shewhart;
imp_status imp_stats_shewhart_constants(double n, imp_stats_shewhart *constants, imp_error *error);

/* Individuals chart: centre = mean, limits = mean -+ 3 mean moving range/1.128, moving range limit = 3.267 x its mean.
 * e-Handbook 6.3.2.2. count >= 2. */
typedef struct imp_stats_individuals {
    double centre, lower, upper, moving_range, moving_range_upper;
} imp_stats_individuals;
imp_status imp_stats_individuals_chart(const double *values, size_t count, imp_stats_individuals *chart, imp_error *error);

/* Exponentially weighted moving average: z_0 = target, z_i = w x_i + (1 - w) z_(i-1), limits target -+ width sd
 * sqrt(w/(2 - w) (1 - (1 - w)^(2 i))). e-Handbook 6.3.2.4. weight in (0, 1], sd > 0, width > 0.
 * averages, lower, upper: count each, may be NULL. */
imp_status imp_stats_ewma(const double *values, size_t count, double target, double sd, double weight, double width,
                          double *averages, double *lower, double *upper, imp_error *error);

/* Tabular cumulative sum: high_i = max(0, high_(i-1) + x_i - target - k), low_i = max(0, low_(i-1) + target - k - x_i);
 * a signal where one is above h. k and h in the values' unit (often 0.5 and 4 to 5 standard deviations).
 * e-Handbook 6.3.2.3. high, low: count each, may be NULL; *first_signal is the index, count when there is none. */
imp_status imp_stats_cusum(const double *values, size_t count, double target, double k, double h, double *high,
                           double *low, size_t *first_signal, imp_error *error);

#endif
