/* sketch.h — a histogram of doubles from which any quantile can be read with a stated error, and which merges exactly.
 *
 * A value's bin is its sign, its exponent and the first 11 bits behind the leading one: the middle of a bin is within
 * IMP_SKETCH_ERROR of every value in it, relatively. |values| below 2^-60 count as zero, those from 2^60 on as 2^60. */
#ifndef IMP_SKETCH_H
#define IMP_SKETCH_H

#include <stddef.h>
#include <stdint.h>

#include "memory.h"
#include "status.h"

/* Largest relative error of a quantile: half a bin, 2^-12 = 0.0244 %. */
#define IMP_SKETCH_ERROR (1.0 / 4096.0)

enum { IMP_SKETCH_PAGE = 256, IMP_SKETCH_PAGES = 2 * 120 * 2048 / IMP_SKETCH_PAGE + 1 };

typedef struct imp_sketch {
    uint64_t **pages; /* IMP_SKETCH_PAGES of them, counts of 256 bins each, made when first needed */
    uint64_t count;
    const imp_allocator *allocator;
} imp_sketch;

/* allocator may be NULL: the default. */
void imp_sketch_init(imp_sketch *sketch, const imp_allocator *allocator);
void imp_sketch_free(imp_sketch *sketch);
/* Not-a-numbers are left out. IMP_MEMORY: counts added before stay. */
imp_status imp_sketch_add(imp_sketch *sketch, const double *values, size_t count);
imp_status imp_sketch_merge(imp_sketch *sketch, const imp_sketch *other);
/* The value below which a share p (0 .. 1) lies, between order statistics as in imp_stats_quantile, each within
 * IMP_SKETCH_ERROR; least and greatest bound it. Not-a-number when empty. */
double imp_sketch_quantile(const imp_sketch *sketch, double p, double least, double greatest);

/* For writing: the bins in rising order. Start with *bin = 0; false when there is no further one; *bin is then moved on. */
typedef struct imp_sketch_bin {
    uint32_t index;
    uint64_t count;
} imp_sketch_bin;
int imp_sketch_next(const imp_sketch *sketch, uint32_t *next, imp_sketch_bin *bin);
/* For reading: IMP_RANGE where the index is none. */
imp_status imp_sketch_put(imp_sketch *sketch, imp_sketch_bin bin);

#endif
