#include "solve.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>

/* The root lies between best and other; best has the smaller value; previous is the best of the step before. */
typedef struct bracket {
    double best, best_value;
    double other, other_value;
    double previous, previous_value;
} bracket;

static bool same_sign(double a, double b)
{
    return (a > 0.0) == (b > 0.0);
}

/* Keep the root between best and other, and the smaller value in best. */
static void order(bracket *b)
{
    if (same_sign(b->best_value, b->other_value)) {
        b->other = b->previous;
        b->other_value = b->previous_value;
    }
    if (fabs(b->other_value) < fabs(b->best_value)) {
        b->previous = b->best;
        b->previous_value = b->best_value;
        b->best = b->other;
        b->best_value = b->other_value;
        b->other = b->previous;
        b->other_value = b->previous_value;
    }
}

/* Step from best towards the root by inverse quadratic interpolation, or by the secant where only two points differ.
 * Not a number where the values do not allow it. */
static double interpolated_step(const bracket *b)
{
    const double s = b->best_value / b->previous_value;
    double numerator, denominator;
    if (b->previous == b->other) {
        numerator = (b->best - b->other) * s;
        denominator = 1.0 - s;
    } else {
        const double q = b->previous_value / b->other_value;
        const double r = b->best_value / b->other_value;
        numerator = s * ((b->other - b->best) * q * (q - r) - (b->best - b->previous) * (r - 1.0));
        denominator = -(q - 1.0) * (r - 1.0) * (s - 1.0);
    }
    return numerator / denominator;
}

/* The next step: interpolation while it stays well inside the bracket and shortens the steps, bisection otherwise. */
static double choose_step(const bracket *b, double step_before_last)
{
    const double half = 0.5 * b->other - 0.5 * b->best;
    if (fabs(b->previous_value) <= fabs(b->best_value))
        return half;
    const double step = interpolated_step(b);
    const bool inside = step * half > 0.0 && fabs(step) < 1.5 * fabs(half);
    return inside && fabs(step) < 0.5 * fabs(step_before_last) ? step : half;
}

static imp_status refuse_value(double x, imp_error *error)
{
    return imp_fail(error, IMP_NO_SOLUTION, NULL, "the function has no value at %.10g", x);
}

imp_status imp_solve_bracketed(imp_function function, void *context, double low, double high, double tolerance,
                               double *root, imp_error *error)
{
    if (!isfinite(low) || !isfinite(high) || !isfinite(tolerance) || !(tolerance >= 0.0))
        return imp_fail(error, IMP_RANGE, NULL, "the search needs finite ends and a tolerance of at least 0");
    const double low_value = function(low, context);
    const double high_value = function(high, context);
    if (isnan(low_value) || isnan(high_value))
        return refuse_value(isnan(low_value) ? low : high, error);
    if (low_value == 0.0 || high_value == 0.0) {
        *root = low_value == 0.0 ? low : high;
        return IMP_OK;
    }
    if (same_sign(low_value, high_value))
        return imp_fail(error, IMP_NO_SOLUTION, NULL,
                        "no change of sign between %.10g (value %.6g) and %.10g (value %.6g)", low, low_value, high,
                        high_value);

    bracket b = {.best = high,
                 .best_value = high_value,
                 .other = low,
                 .other_value = low_value,
                 .previous = low,
                 .previous_value = low_value};
    double step = high - low, step_before_last = step;
    for (;;) {
        order(&b);
        const double width = fabs(b.other - b.best);
        const double least_step = 2.0 * DBL_EPSILON * fabs(b.best) + 0.5 * tolerance + DBL_TRUE_MIN;
        if (b.best_value == 0.0 || 0.5 * width <= least_step) {
            *root = b.best;
            return IMP_OK;
        }
        const double chosen = choose_step(&b, step_before_last);
        step_before_last = step;
        step = chosen;
        b.previous = b.best;
        b.previous_value = b.best_value;
        b.best += fabs(step) > least_step ? step : copysign(least_step, b.other - b.best);
        b.best_value = function(b.best, context);
        if (isnan(b.best_value))
            return refuse_value(b.best, error);
    }
}

/* Reflect columns first.. of the rows below `first`, and the right side, so that column `first` vanishes below its
 * diagonal. Returns false where nothing is left of the column. */
static bool reflect(double (*work)[IMP_LEAST_SQUARES_COLUMNS + 1], size_t rows, size_t columns, size_t first,
                    double least_norm)
{
    double norm = 0.0;
    for (size_t row = first; row < rows; row++)
        norm = hypot(norm, work[row][first]);
    if (!(norm > least_norm))
        return false;
    const double diagonal = work[first][first] > 0.0 ? -norm : norm;
    work[first][first] -= diagonal; /* the column now holds the reflector */
    const double scale = -diagonal * work[first][first];
    for (size_t column = first + 1; column <= columns; column++) {
        double product = 0.0;
        for (size_t row = first; row < rows; row++)
            product += work[row][first] * work[row][column];
        for (size_t row = first; row < rows; row++)
            work[row][column] -= product / scale * work[row][first];
    }
    work[first][first] = diagonal;
    return true;
}

imp_status imp_least_squares(const double *matrix, const double *right, size_t rows, size_t columns,
                             double *coefficients, double *residual, imp_error *error)
{
    if (columns < 1 || columns > IMP_LEAST_SQUARES_COLUMNS || rows < columns || rows > IMP_LEAST_SQUARES_ROWS)
        return imp_fail(error, IMP_LIMIT, NULL,
                        "least squares takes 1 to %d columns and as many rows or more, up to %d",
                        IMP_LEAST_SQUARES_COLUMNS, IMP_LEAST_SQUARES_ROWS);
    double work[IMP_LEAST_SQUARES_ROWS][IMP_LEAST_SQUARES_COLUMNS + 1]; /* the right side is the last column */
    double column_norm[IMP_LEAST_SQUARES_COLUMNS] = {0};
    for (size_t row = 0; row < rows; row++) {
        for (size_t column = 0; column <= columns; column++) {
            work[row][column] = column < columns ? matrix[row * columns + column] : right[row];
            if (!isfinite(work[row][column]))
                return imp_fail(error, IMP_RANGE, NULL, "row %zu of the least squares is not finite", row + 1);
            if (column < columns)
                column_norm[column] = hypot(column_norm[column], work[row][column]);
        }
    }
    for (size_t column = 0; column < columns; column++)
        if (!reflect(work, rows, columns, column, 8.0 * DBL_EPSILON * column_norm[column]))
            return imp_fail(error, IMP_NO_SOLUTION, NULL, "column %zu of the least squares depends on the others",
                            column + 1);

    double solution[IMP_LEAST_SQUARES_COLUMNS] = {0};
    for (size_t i = columns; i-- > 0;) {
        solution[i] = work[i][columns];
        for (size_t column = i + 1; column < columns; column++)
            solution[i] -= work[i][column] * solution[column];
        solution[i] /= work[i][i];
    }
    double left = 0.0;
    for (size_t row = columns; row < rows; row++)
        left = hypot(left, work[row][columns]);
    for (size_t i = 0; i < columns; i++)
        coefficients[i] = solution[i];
    if (residual != NULL)
        *residual = left;
    return IMP_OK;
}
