/* exact_sum.h — sums of doubles without rounding: the order of the terms does not matter, and the result is rounded once.
 *
 * A sum is a whole number times 2^-1074, kept as overlapping 64-bit pieces 32 bits apart, so that an addition touches two
 * or three of them and carries wait. Sums merge, and equal sums have equal texts.
 * Source of the idea: R. M. Neal, Fast exact summation using small and large superaccumulators, 2015. */
#ifndef IMP_EXACT_SUM_H
#define IMP_EXACT_SUM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "status.h"

enum { IMP_EXACT_BLOCK = 1024, /* values that add up in two doubles */
       IMP_EXACT_PIECES = 70, IMP_EXACT_TEXT_SIZE = IMP_EXACT_PIECES * 9 + 32 };

struct imp_extent;
struct imp_block_sum;

typedef struct imp_exact_sum {
    int64_t piece[IMP_EXACT_PIECES]; /* piece i counts 2^(32 i - 1074) */
    int32_t before_carry;            /* additions that still fit before a carry is due */
    int16_t low, high;               /* pieces outside [low, high] are zero; low > high: the sum is empty */
    bool overflowed;                 /* an infinity or not-a-number was added */
} imp_exact_sum;

void imp_exact_sum_init(imp_exact_sum *sum);
void imp_exact_sum_add(imp_exact_sum *sum, double value);
/* The exact product a b. Its bits below 2^-1074 are lost, which matters only for |a b| < 1e-290. */
void imp_exact_sum_add_product(imp_exact_sum *sum, double a, double b);
/* `count` values at once, not-a-numbers left out: several times faster than one by one, with the same result. least and
 * greatest are those of the values present (as the caller has found them anyway); with none present nothing happens. */
void imp_exact_sum_add_block(imp_exact_sum *sum, const double *values, size_t count, double least, double greatest);
/* The same for values where mask (may be NULL) is 1, found and added in one pass; *found (see kernels.h) says what was
 * there. *exponent is of an earlier block, to guess by, and is kept up; any will do to begin with. */
void imp_exact_sum_add_where(imp_exact_sum *sum, const double *values, const double *mask, size_t count, int *exponent,
                             struct imp_extent *found);
/* The same in two steps, for a block of at most IMP_EXACT_BLOCK values that several sums take. */
void imp_exact_sum_find(const double *values, const double *mask, size_t count, int *exponent, struct imp_block_sum *found);
void imp_exact_sum_add_found(imp_exact_sum *sum, const double *values, const double *mask, size_t count,
                             const struct imp_block_sum *found);
void imp_exact_sum_merge(imp_exact_sum *sum, const imp_exact_sum *other);
void imp_exact_sum_subtract(imp_exact_sum *sum, const imp_exact_sum *other);
/* The sum, rounded once to the nearest double (ties to even); an infinity where it is too large; not-a-number when it
 * overflowed. Carries are settled in passing, which changes no value. */
double imp_exact_sum_value(imp_exact_sum *sum);

/* Sum of squared deviations from the mean, from n, sum v and sum v^2: exact but for two roundings at the end. */
double imp_exact_sum_deviations(const imp_exact_sum *sum, const imp_exact_sum *squares, uint64_t count);

/* "first:hex,hex,..." with size >= IMP_EXACT_TEXT_SIZE; "0" when zero, "overflow". Returns text. */
char *imp_exact_sum_write(imp_exact_sum *sum, char *text, size_t size);
/* IMP_SYNTAX when the text is none of ours; sum is untouched then. */
imp_status imp_exact_sum_read(const char *text, imp_exact_sum *sum, imp_error *error);

#endif
