/* Reductions: what each keeps while rows go by, how two pieces join, and how an answer is read off. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "columns_internal.h"
#include "stats.h"

void imp_moments_init(imp_moments *moments)
{
    moments->count = 0;
    moments->least = HUGE_VAL;
    moments->greatest = -HUGE_VAL;
    imp_exact_sum_init(&moments->sum);
}

/* A zero has lost its sign: of -0 and 0, which are equal, the one met first must not decide. */
static void widen(imp_moments *moments, uint64_t count, double least, double greatest)
{
    moments->count += count;
    moments->least = (least < moments->least ? least : moments->least) + 0.0;
    moments->greatest = (greatest > moments->greatest ? greatest : moments->greatest) + 0.0;
}

void imp_moments_merge(imp_moments *moments, const imp_moments *next)
{
    widen(moments, next->count, next->least, next->greatest);
    imp_exact_sum_merge(&moments->sum, &next->sum);
}

imp_extent imp_moments_add_where(imp_moments *moments, const double *values, const double *mask, size_t rows, int *exponent)
{
    imp_extent found;
    imp_exact_sum_add_where(&moments->sum, values, mask, rows, exponent, &found);
    widen(moments, found.count, found.least, found.greatest);
    return found;
}

imp_status imp_moments_add_total(imp_engine *engine, imp_moments *moments, const imp_tally *tally, imp_frame *frame,
                                 uint64_t *count, imp_error *error)
{
    const imp_block_sum *sum;
    const imp_status status = imp_frame_total_of(engine, frame, tally->shared, &sum, error);
    if (status != IMP_OK)
        return status;
    *count = sum->extent.count;
    widen(moments, sum->extent.count, sum->extent.least, sum->extent.greatest);
    if (tally->kind != IMP_TALLY_MOMENTS || (tally->wants & IMP_WANT_SUM) != 0)
        imp_exact_sum_add_found(&moments->sum, frame->values[tally->value], tally->mask >= 0 ? frame->values[tally->mask] : NULL,
                                frame->rows, sum);
    return IMP_OK;
}

static void reset_stretch(imp_stretch *stretch, size_t values)
{
    stretch->is_used = false;
    stretch->rows = 0;
    for (size_t i = 0; i < values; i++)
        imp_moments_init(&stretch->values[i]);
}

void imp_tally_reset(imp_tally *tally)
{
    imp_moments_init(&tally->moments);
    imp_exact_sum_init(&tally->squares);
    imp_exact_sum_init(&tally->total);
    tally->has_begun = tally->has_first = tally->has_last = tally->is_first_counted = tally->is_first_parted = false;
    tally->was_parted = tally->has_time_before = tally->is_open_first = tally->is_answered = false;
    tally->before = IMP_NO_VALUE;
    tally->before_duration = tally->longest = 0.0;
    tally->kept = tally->gathered_count = 0;
    tally->span_count = 0;
    reset_stretch(&tally->open, tally->value_count);
    reset_stretch(&tally->first_stretch, tally->value_count);
    imp_sketch_free(&tally->sketch);
}

void imp_tally_free(const imp_columns *columns, imp_tally *tally)
{
    imp_sketch_free(&tally->sketch);
    imp_release(columns->allocator, tally->gathered);
    imp_release(columns->allocator, tally->spans);
    imp_release(columns->allocator, tally->span_values);
    imp_release(columns->allocator, tally->points);
    imp_release(columns->allocator, tally->open.values);
    imp_release(columns->allocator, tally->first_stretch.values);
}

/* --- counting --- */

static bool counts(const double *values, const double *mask, size_t row)
{
    return values[row] == values[row] && (mask == NULL || mask[row] == 1.0);
}

/* At least one row counts. */
static void count_ends(imp_tally *tally, const double *values, const double *mask, size_t rows)
{
    size_t first = 0, last = rows - 1;
    while (!tally->has_first && !counts(values, mask, first))
        first++;
    if (!tally->has_first)
        tally->first = values[first];
    while (!counts(values, mask, last))
        last--;
    tally->last = values[last];
    tally->has_first = tally->has_last = true;
}

static imp_status count_moments(imp_engine *engine, imp_tally *tally, imp_frame *frame, const double *values,
                                const double *mask, size_t rows, imp_error *error)
{
    imp_status status = IMP_OK;
    uint64_t count = 0;
    if (rows == frame->rows) {
        status = imp_moments_add_total(engine, &tally->moments, tally, frame, &count, error);
    } else if ((tally->wants & IMP_WANT_SUM) != 0) {
        count = imp_moments_add_where(&tally->moments, values, mask, rows, &tally->exponent).count;
    } else {
        const imp_extent found = engine->kernels->select(values, mask, rows, engine->scratch);
        widen(&tally->moments, found.count, found.least, found.greatest);
        count = found.count;
    }
    if (status != IMP_OK || count == 0)
        return status;
    count_ends(tally, values, mask, rows);
    if ((tally->wants & IMP_WANT_SQUARES) != 0)
        for (size_t i = 0; i < rows; i++)
            if (counts(values, mask, i))
                imp_exact_sum_add_product(&tally->squares, values[i], values[i]);
    return status;
}

/* Time of the rows that count, and the integral over it. Each row's product is rounded, their sum is not. */
static void count_time(const imp_engine *engine, imp_tally *tally, const double *values, const double *mask,
                       const imp_frame *frame, size_t from, size_t rows)
{
    const bool is_mask = engine->columns->nodes[tally->value].kind.is_mask;
    double *time = engine->scratch, *area = engine->scratch_b;
    engine->kernels->times(values, is_mask, mask, frame->duration + from, time, rows);
    imp_exact_sum_add_block(&tally->moments.sum, time, rows, 0.0, frame->greatest_duration);
    if ((tally->wants & IMP_WANT_INTEGRAL) == 0)
        return;
    imp_extent found;
    engine->kernels->binary(IMP_COLUMN_MULTIPLY, time, values, area, rows);
    imp_exact_sum_add_where(&tally->squares, area, NULL, rows, &tally->exponent, &found);
}

/* A row's interval is the one that ends with it, so that the row before is always known. */
static void count_trapezoid(imp_tally *tally, const imp_frame *frame, const double *values, const double *mask)
{
    for (size_t i = 0; i < frame->rows; i++) {
        const double value = mask == NULL || mask[i] == 1.0 ? values[i] : IMP_NO_VALUE;
        const double area = 0.5 * (tally->before + value) * tally->before_duration;
        if (i >= frame->count_from && i < frame->count_to && tally->before_duration > 0.0 && area == area)
            imp_exact_sum_add(&tally->squares, area);
        tally->before = value;
        tally->before_duration = frame->duration[i];
    }
}

static void count_increase(imp_tally *tally, const imp_frame *frame, const double *values, const double *mask)
{
    for (size_t i = 0; i < frame->count_to; i++) {
        const bool stepped_back = tally->has_time_before && frame->time[i] < tally->time_before;
        tally->time_before = frame->time[i];
        tally->has_time_before = true;
        if (i < frame->count_from)
            continue;
        if (stepped_back) {
            tally->was_parted = true;
            tally->has_last = false;
        }
        if (values[i] != values[i])
            continue;
        const bool is_counted = mask == NULL || mask[i] == 1.0;
        if (!tally->has_first) {
            tally->has_first = true;
            tally->first = values[i];
            tally->is_first_counted = is_counted;
            tally->is_first_parted = tally->was_parted;
        }
        if (tally->has_last && is_counted && values[i] > tally->last) {
            imp_exact_sum_add(&tally->moments.sum, values[i]);
            imp_exact_sum_add(&tally->moments.sum, -tally->last);
        }
        tally->last = values[i];
        tally->has_last = true;
    }
}

static imp_status gather(imp_columns *columns, imp_tally *tally, const double *values, size_t rows, imp_error *error)
{
    double *more = imp_resize(columns->allocator, tally->gathered, tally->gathered_count + rows, sizeof *more);
    if (more == NULL)
        return imp_columns_out_of_memory(error);
    tally->gathered = more;
    for (size_t i = 0; i < rows; i++)
        if (values[i] == values[i])
            more[tally->gathered_count++] = values[i];
    return IMP_OK;
}

static imp_status count_quantiles(const imp_engine *engine, imp_tally *tally, const double *values, const double *mask,
                                  size_t rows, imp_error *error)
{
    imp_columns *columns = engine->columns;
    const imp_extent found = engine->kernels->select(values, mask, rows, engine->scratch);
    const double *selected = mask != NULL ? engine->scratch : values;
    if (found.count == 0)
        return IMP_OK;
    widen(&tally->moments, found.count, found.least, found.greatest);
    if (!columns->nodes[tally->value].kind.is_streamed)
        return gather(columns, tally, selected, rows, error);
    return imp_sketch_add(&tally->sketch, selected, rows) == IMP_OK ? IMP_OK : imp_columns_out_of_memory(error);
}

/* The nodes that a tally reads; *is_none: no row counts, and nothing more was needed to know that. */
static imp_status need_nodes(imp_engine *engine, const imp_tally *tally, imp_frame *frame, bool *is_none, imp_error *error)
{
    imp_status status = tally->mask >= 0 ? imp_node_need(engine, tally->mask, frame, error) : IMP_OK;
    const bool is_masked_out = tally->mask >= 0 && frame->is_zero[tally->mask];
    *is_none = frame->count_to <= frame->count_from || is_masked_out;
    /* these remember rows that do not count, too */
    const bool looks_at_all = tally->kind == IMP_TALLY_TRAPEZOID || tally->kind == IMP_TALLY_INCREASE || tally->kind == IMP_TALLY_STUCK;
    if (status == IMP_OK && (!*is_none || looks_at_all))
        status = imp_node_need(engine, tally->value, frame, error);
    for (size_t k = 0; k < tally->value_count && status == IMP_OK && tally->kind == IMP_TALLY_SPANS && !is_masked_out; k++)
        status = imp_node_need(engine, tally->values[k], frame, error);
    return status;
}

imp_status imp_tally_count(imp_engine *engine, imp_tally *tally, imp_frame *frame, imp_error *error)
{
    imp_columns *columns = engine->columns;
    bool is_none;
    const imp_status status = need_nodes(engine, tally, frame, &is_none, error);
    const size_t from = frame->count_from, rows = frame->count_to > from ? frame->count_to - from : 0;
    const double *values = frame->values[tally->value], *mask = tally->mask >= 0 ? frame->values[tally->mask] : NULL;
    const double *values_from = values + from, *mask_from = mask != NULL ? mask + from : NULL;
    if (status != IMP_OK)
        return status;
    switch (tally->kind) {
    case IMP_TALLY_MOMENTS: return is_none ? IMP_OK : count_moments(engine, tally, frame, values_from, mask_from, rows, error);
    case IMP_TALLY_SKETCH: return is_none ? IMP_OK : count_quantiles(engine, tally, values_from, mask_from, rows, error);
    case IMP_TALLY_TIME:
        if (!is_none && !(frame->is_zero[tally->value] && columns->nodes[tally->value].kind.is_mask))
            count_time(engine, tally, values_from, mask_from, frame, from, rows);
        return IMP_OK;
    case IMP_TALLY_TRAPEZOID: count_trapezoid(tally, frame, values, mask); return IMP_OK;
    case IMP_TALLY_INCREASE: count_increase(tally, frame, values, mask); return IMP_OK;
    case IMP_TALLY_SPANS: return imp_tally_count_spans(engine, tally, frame, error);
    case IMP_TALLY_STUCK: return imp_tally_count_stuck(columns, tally, frame, error);
    case IMP_TALLY_SERIES: return is_none ? IMP_OK : imp_tally_count_series(engine, tally, frame, error);
    }
    return IMP_OK;
}

/* --- joining --- */

imp_status imp_tally_join(imp_columns *columns, imp_tally *tally, imp_tally *next, imp_error *error)
{
    if (tally->kind == IMP_TALLY_INCREASE && tally->has_last && next->has_first && !next->is_first_parted &&
        next->is_first_counted && next->first > tally->last) {
        imp_exact_sum_add(&tally->moments.sum, next->first);
        imp_exact_sum_add(&tally->moments.sum, -tally->last);
    }
    imp_moments_merge(&tally->moments, &next->moments);
    imp_exact_sum_merge(&tally->squares, &next->squares);
    if (!tally->has_first && next->has_first) {
        tally->has_first = true;
        tally->first = next->first;
        tally->is_first_counted = next->is_first_counted;
        tally->is_first_parted = tally->was_parted || next->is_first_parted;
    }
    if (next->has_last || next->was_parted) {
        tally->has_last = next->has_last;
        tally->last = next->last;
    }
    tally->was_parted = tally->was_parted || next->was_parted;
    if (imp_sketch_merge(&tally->sketch, &next->sketch) != IMP_OK)
        return imp_columns_out_of_memory(error);
    if (tally->kind >= IMP_TALLY_SPANS)
        return imp_tally_join_stretches(columns, tally, next, error);
    return IMP_OK;
}

imp_status imp_tally_finish(imp_columns *columns, imp_tally *tally, imp_error *error)
{
    imp_status status = IMP_OK;
    if (tally->kind >= IMP_TALLY_SPANS)
        status = imp_tally_close(columns, tally, error);
    tally->is_answered = status == IMP_OK;
    return status;
}

/* --- answers --- */

void imp_columns_result_kind(const imp_columns *columns, imp_reduction reduction, imp_dimension *dimension, bool *is_reading)
{
    *dimension = columns->asked[reduction].dimension;
    *is_reading = columns->asked[reduction].is_reading;
}

static double mean_of(const imp_exact_sum *sum, double count)
{
    imp_exact_sum copy = *sum;
    return imp_exact_sum_value(&copy) / count;
}

static double quantile_of(const imp_columns *columns, const imp_tally *tally, double p)
{
    if (columns->nodes[tally->value].kind.is_streamed)
        return imp_sketch_quantile(&tally->sketch, p, tally->moments.least, tally->moments.greatest);
    double quantile = IMP_NO_VALUE;
    if (tally->gathered_count > 0)
        imp_stats_quantile(tally->gathered, tally->gathered_count, p, tally->gathered, &quantile, NULL);
    return quantile;
}

static double answer(const imp_columns *columns, const imp_asked *asked, const imp_tally *tally)
{
    const double count = (double)tally->moments.count;
    switch (asked->kind) {
    case IMP_REDUCE_COUNT: return count;
    case IMP_REDUCE_SUM:
    case IMP_REDUCE_TIME:
    case IMP_REDUCE_INCREASE: return mean_of(&tally->moments.sum, 1.0);
    case IMP_REDUCE_MEAN: return mean_of(&tally->moments.sum, count);
    case IMP_REDUCE_SD:
        return tally->moments.count < 2
                   ? IMP_NO_VALUE
                   : sqrt(imp_exact_sum_deviations(&tally->moments.sum, &tally->squares, tally->moments.count) / (count - 1.0));
    case IMP_REDUCE_MIN: return tally->moments.least;
    case IMP_REDUCE_MAX: return tally->moments.greatest;
    case IMP_REDUCE_FIRST: return tally->has_first ? tally->first : IMP_NO_VALUE;
    case IMP_REDUCE_LAST: return tally->has_last ? tally->last : IMP_NO_VALUE;
    case IMP_REDUCE_QUANTILE: return quantile_of(columns, tally, asked->parameter);
    case IMP_REDUCE_INTEGRAL:
    case IMP_REDUCE_INTEGRAL_TRAPEZOID: return mean_of(&tally->squares, 1.0);
    case IMP_REDUCE_TIME_MEAN: return mean_of(&tally->squares, mean_of(&tally->moments.sum, 1.0));
    }
    return IMP_NO_VALUE;
}

imp_status imp_columns_result(const imp_columns *columns, imp_reduction reduction, imp_quantity *result, imp_error *error)
{
    if (reduction < 0 || (size_t)reduction >= columns->asked_count)
        return imp_fail(error, IMP_INTERNAL, NULL, "reduction %d is not of this set", reduction);
    const imp_asked *asked = &columns->asked[reduction];
    const imp_tally *tally = columns->tallies[asked->tally];
    if (!tally->is_answered)
        return imp_fail(error, IMP_NOT_APPLICABLE, NULL, "the columns have not been run yet");
    const double si = answer(columns, asked, tally);
    if (!isfinite(si))
        return imp_fail(error, IMP_MISSING, NULL,
                        asked->kind == IMP_REDUCE_SD ? "there are fewer than two values" : "there is no value");
    result->si = si;
    result->dimension = asked->dimension;
    result->is_reading = asked->is_reading;
    return IMP_OK;
}
