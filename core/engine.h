/* engine.h — what can be done with every calculation, the core's own and a declared one alike: solve backwards, sweep,
 * sensitivity, uncertainty. All of it works on inputs of kind number, and nothing here knows any formula. */
#ifndef IMP_ENGINE_H
#define IMP_ENGINE_H

#include <stdint.h>

#include "catalogue.h"

enum { IMP_MOST_SOLUTIONS = 8, IMP_SCAN_STEPS = 200, IMP_MOST_SWEEP_STEPS = 10000, IMP_MOST_DRAWS = 10000000 };

typedef struct imp_solution {
    double values[IMP_MOST_SOLUTIONS]; /* every value of the unknown that was found, ascending, SI */
    size_t count;
} imp_solution;

/* Values of input `unknown` for which output `output` equals `target` (SI), searched within the input's allowed range:
 * a scan for sign changes, each then closed in on to all digits a double holds. in[] as for imp_calc_evaluate; the
 * unknown's own value is ignored.
 * IMP_TYPE: not a number, or without a range to search in. IMP_NO_SOLUTION: "no bore between 1 mm and 100 mm gives
 * pressure_drop = 20 bar; the closest is 18.2 bar at 100 mm". Errors of the entry itself when it fails everywhere. */
imp_status imp_calc_solve(const imp_calc *calc, const imp_value *in, size_t unknown, size_t output, double target,
                          imp_solution *solution, imp_error *error);

/* Evaluate at `steps` (2..IMP_MOST_SWEEP_STEPS) equally spaced values of input `vary` from `from` to `to` (SI). points[steps] receives the
 * inputs' values; results[steps * output_count] the outputs, those of a point that was refused with given == false.
 * IMP_RANGE: an end outside the input's range, or too few or too many steps. Fails when every point is refused. */
imp_status imp_calc_sweep(const imp_calc *calc, const imp_value *in, size_t vary, double from, double to, size_t steps,
                          double *points, imp_value *results, imp_error *error);

typedef struct imp_sensitivity {
    double derivative; /* d output / d input, SI */
    double elasticity; /* (x/y) dy/dx; not-a-number where x is a temperature reading or y is 0 */
} imp_sensitivity;

/* Central differences (one-sided at the end of a range): table[input * output_count + output], rows of inputs that are
 * no numbers or not given hold not-a-number. */
imp_status imp_calc_sensitivity(const imp_calc *calc, const imp_value *in, imp_sensitivity *table, imp_error *error);

typedef struct imp_uncertainty {
    double linear;         /* combined standard uncertainty, GUM (JCGM 100:2008) eq. 10 */
    double simulated;      /* sample standard deviation of the draws, JCGM 101:2008 */
    double simulated_error; /* standard error of `simulated`: s / sqrt(2 (n - 1)), normal approximation */
    double mean;           /* of the draws */
} imp_uncertainty;

enum { IMP_DEFAULT_DRAWS = 20000 };

/* The row that a standard uncertainty of this row's values has: a difference where they are readings, not negative. */
imp_param imp_spread_row(const imp_param *row);

/* The unit of d output / d input in the rows' units, "bar/mm", "K/(L/min)"; "1" where both are pure. size >= 128 is
 * enough. Returns text. */
char *imp_derivative_unit(const imp_param *output, const imp_param *input, char *text, size_t size);

/* Standard uncertainty of every output from those of the inputs (standard[input_count], SI, 0 or not-a-number = exact;
 * independent, normal). draws 2..IMP_MOST_DRAWS; the same seed gives the same draws on every machine. A draw that the entry
 * refuses is drawn again; more than half of them refused is IMP_RANGE. results[output_count]; outputs that are no
 * numbers hold not-a-number. */
imp_status imp_calc_uncertainty(const imp_calc *calc, const imp_value *in, const double *standard, size_t draws,
                                uint64_t seed, imp_uncertainty *results, imp_error *error);

#endif
