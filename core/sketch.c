#include "sketch.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

enum { PARTS = 2048, OCTAVES = 120, HALF = OCTAVES * PARTS }; /* bins of one sign; zero stands between the signs */

void imp_sketch_init(imp_sketch *sketch, const imp_allocator *allocator)
{
    memset(sketch, 0, sizeof *sketch);
    sketch->allocator = allocator;
}

void imp_sketch_free(imp_sketch *sketch)
{
    for (size_t i = 0; sketch->pages != NULL && i < IMP_SKETCH_PAGES; i++)
        imp_release(sketch->allocator, sketch->pages[i]);
    imp_release(sketch->allocator, sketch->pages);
    sketch->pages = NULL;
    sketch->count = 0;
}

/* 0 .. 2 HALF, rising with the value; HALF is zero. */
static uint32_t index_of(double value)
{
    uint64_t bits;
    memcpy(&bits, &value, sizeof bits);
    const uint64_t magnitude = bits & (UINT64_MAX >> 1);
    int64_t bin = (int64_t)(magnitude >> 41) - (INT64_C(1023) - OCTAVES / 2) * PARTS;
    if (bin < 0)
        return HALF;
    bin = bin < HALF ? bin : HALF - 1;
    return (uint32_t)(bits >> 63 != 0 ? HALF - 1 - bin : HALF + 1 + bin);
}

/* The middle of a bin. */
static double value_of(uint32_t index)
{
    if (index == HALF)
        return 0.0;
    const bool is_negative = index < HALF;
    const uint64_t bin = is_negative ? HALF - 1 - index : index - HALF - 1;
    const uint64_t bits = ((bin + (UINT64_C(1023) - OCTAVES / 2) * PARTS) << 41) + (UINT64_C(1) << 40);
    double value;
    memcpy(&value, &bits, sizeof value);
    return is_negative ? -value : value;
}

imp_status imp_sketch_put(imp_sketch *sketch, imp_sketch_bin bin)
{
    if (bin.index > 2 * HALF)
        return IMP_RANGE;
    if (sketch->pages == NULL)
        sketch->pages = imp_allocate(sketch->allocator, IMP_SKETCH_PAGES, sizeof *sketch->pages);
    if (sketch->pages == NULL)
        return IMP_MEMORY;
    uint64_t **page = &sketch->pages[bin.index / IMP_SKETCH_PAGE];
    if (*page == NULL)
        *page = imp_allocate(sketch->allocator, IMP_SKETCH_PAGE, sizeof **page);
    if (*page == NULL)
        return IMP_MEMORY;
    (*page)[bin.index % IMP_SKETCH_PAGE] += bin.count;
    sketch->count += bin.count;
    return IMP_OK;
}

imp_status imp_sketch_add(imp_sketch *sketch, const double *values, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (values[i] != values[i])
            continue;
        const imp_sketch_bin bin = {index_of(values[i]), 1};
        if (imp_sketch_put(sketch, bin) != IMP_OK)
            return IMP_MEMORY;
    }
    return IMP_OK;
}

int imp_sketch_next(const imp_sketch *sketch, uint32_t *next, imp_sketch_bin *bin)
{
    for (uint32_t i = *next; sketch->pages != NULL && i <= 2 * HALF; i++) {
        const uint64_t *page = sketch->pages[i / IMP_SKETCH_PAGE];
        if (page == NULL) {
            i |= IMP_SKETCH_PAGE - 1;
            continue;
        }
        if (page[i % IMP_SKETCH_PAGE] == 0)
            continue;
        bin->index = i;
        bin->count = page[i % IMP_SKETCH_PAGE];
        *next = i + 1;
        return 1;
    }
    return 0;
}

imp_status imp_sketch_merge(imp_sketch *sketch, const imp_sketch *other)
{
    uint32_t next = 0;
    imp_sketch_bin bin;
    while (imp_sketch_next(other, &next, &bin))
        if (imp_sketch_put(sketch, bin) != IMP_OK)
            return IMP_MEMORY;
    return IMP_OK;
}

/* The value that would stand at `rank` (from 0) in order. */
static double ranked(const imp_sketch *sketch, uint64_t rank, double least, double greatest)
{
    uint32_t next = 0;
    uint64_t before = 0;
    imp_sketch_bin bin;
    if (rank == 0)
        return least;
    while (imp_sketch_next(sketch, &next, &bin)) {
        before += bin.count;
        if (before > rank)
            return fmin(fmax(value_of(bin.index), least), greatest);
    }
    return greatest;
}

double imp_sketch_quantile(const imp_sketch *sketch, double p, double least, double greatest)
{
    if (sketch->count == 0)
        return (double)NAN;
    const double place = p * (double)(sketch->count - 1), low = floor(place);
    const uint64_t rank = (uint64_t)low;
    const double a = rank + 1 >= sketch->count ? greatest : ranked(sketch, rank, least, greatest);
    const double b = rank + 2 >= sketch->count ? greatest : ranked(sketch, rank + 1, least, greatest);
    return a + (place - low) * (b - a);
}
