/* solve.h — numerical methods shared by the rooms: a bracketed root, and small linear least squares.
 * Nothing here allocates, and nothing here can diverge. */
#ifndef IMP_SOLVE_H
#define IMP_SOLVE_H

#include <stddef.h>

#include "status.h"

/* A function of one variable. A value that is not a number ends the search. */
typedef double (*imp_function)(double x, void *context);

/* Root of a continuous function between low and high (either order), where its values differ in sign or one is zero.
 * The bracket only ever shrinks, so the search cannot leave it. It ends when the root is known to within
 * tolerance (absolute, >= 0) + 4 ulp; tolerance 0 gives all that a double can hold.
 * IMP_RANGE: an end or the tolerance is not finite, or the tolerance is negative. IMP_NO_SOLUTION: no change of sign
 * (both values in the message), or a value that is not a number.
 * Source: Brent, Algorithms for Minimization without Derivatives, 1973, ch. 4: interpolation while each step is under
 * half of the step before last, bisection otherwise, so that the number of calls is bounded. */
imp_status imp_solve_bracketed(imp_function function, void *context, double low, double high, double tolerance,
                               double *root, imp_error *error);

enum { IMP_LEAST_SQUARES_COLUMNS = 4, IMP_LEAST_SQUARES_ROWS = 64 };

/* Coefficients x that make |matrix x - right| least, by Householder QR. matrix is row after row; 1 <= columns <=
 * IMP_LEAST_SQUARES_COLUMNS, columns <= rows <= IMP_LEAST_SQUARES_ROWS. *residual (may be NULL) is the norm that is
 * left. IMP_LIMIT: sizes outside these. IMP_RANGE: an entry that is not finite. IMP_NO_SOLUTION: columns that depend on
 * each other. Source: Golub and Van Loan, Matrix Computations, 4th ed., alg. 5.1.1, 5.2.1 and 5.3.2 (numbers from
 * memory). */
imp_status imp_least_squares(const double *matrix, const double *right, size_t rows, size_t columns,
                             double *coefficients, double *residual, imp_error *error);

#endif
