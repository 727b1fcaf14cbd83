/* kernels.h — the loops over columns in which the time of a log goes: element by element, and sums.
 * There are two sets, which give the same results: one for any machine, one for those with AVX2. */
#ifndef IMP_KERNELS_H
#define IMP_KERNELS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "columns.h"

/* Arrays of columns may be read and written up to the next multiple of this. */
enum { IMP_KERNEL_ROUND = 8 };

/* Of the values present; least > greatest where there is none. */
typedef struct imp_extent {
    uint64_t count;
    double least, greatest;
} imp_extent;

/* Parts of values above two binary places, summed without rounding, and whether anything is left below: exact_sum.c. */
typedef struct imp_split_sum {
    double upper, lower;
    bool has_rest;
} imp_split_sum;

/* What a block's values come to; the sum is upper + lower where two doubles hold it: exact_sum.c. */
typedef struct imp_block_sum {
    imp_extent extent;
    double upper, lower;
    bool is_held;
} imp_block_sum;

/* Binary places at which values below the limit are split, so that sums of the parts are not rounded: columns_rolling.c. */
typedef struct imp_sum_places {
    double first, second, limit;
} imp_sum_places;

/* Sums of the parts above both places, and of ones, over all values before a row: one more than there are rows. */
typedef struct imp_running_sums {
    double *upper, *lower, *count;
} imp_running_sums;

/* How numbers as written become SI, exactly as imp_unit_to_si does: / text_divisor, then / divisor or (where that is 0)
 * * factor, then + offset. */
typedef struct imp_conversion {
    double text_divisor, divisor, factor, offset;
} imp_conversion;

typedef struct imp_kernels {
    /* out = a operation b, the operations of imp_columns_binary; unary ones of arithmetic. False when all of a mask is 0
     * (true may be said of any). */
    bool (*binary)(imp_column_operation operation, const double *a, const double *b, double *out, size_t rows);
    void (*unary)(imp_column_operation operation, const double *a, double *out, size_t rows);
    /* extent of values where mask (may be NULL) is 1; those go to `to` (may be NULL without a mask), else missing */
    imp_extent (*select)(const double *values, const double *mask, size_t rows, double *to);
    /* duration where the value counts (a mask: is 1, else is present) and mask (may be NULL) is 1, else 0 */
    void (*times)(const double *values, bool is_mask, const double *mask, const double *duration, double *to, size_t rows);
    imp_split_sum (*split_sum)(const double *values, size_t rows, double first, double second);
    /* select and split_sum at once, of values where mask (may be NULL) is 1 */
    imp_split_sum (*moments)(const double *values, const double *mask, size_t rows, double first, double second, imp_extent *extent);
    void (*convert)(double *values, size_t rows, const imp_conversion *by);
    /* bit by bit, whether the mask is 1; bits of the last word behind the rows are clear */
    void (*ones)(const double *mask, size_t rows, uint64_t *bits);
    /* bit by bit, whether a row has a duration; gives the greatest */
    double (*holds)(const double *duration, size_t rows, uint64_t *bits);
    /* goes on with the sums at place 0, missing values left out; false where a value does not fit the places. Values behind
     * the rows, up to the next multiple of IMP_KERNEL_ROUND, are missing. */
    bool (*running_sums)(const double *values, size_t rows, const imp_sum_places *places, const imp_running_sums *sums);
    /* means of the values from first[i] up to and with `from` + i */
    void (*window_means)(const imp_running_sums *sums, const uint32_t *first, size_t from, size_t rows, double *out);
} imp_kernels;

const imp_kernels *imp_kernels_best(void);

/* The two sets; imp_kernels_wide is NULL where it was not compiled. */
extern const imp_kernels imp_kernels_plain;
const imp_kernels *imp_kernels_wide(void);

#endif
