/* Spans (unbroken runs of a mask) and series (means over fixed times). */
#include <math.h>
#include <string.h>

#include "columns_internal.h"

imp_status imp_stretch_init(const imp_columns *columns, imp_stretch *stretch, size_t values)
{
    memset(stretch, 0, sizeof *stretch);
    if (values == 0)
        return IMP_OK;
    stretch->values = imp_allocate(columns->allocator, values, sizeof *stretch->values);
    return stretch->values != NULL ? IMP_OK : IMP_MEMORY;
}

static double moments_mean(const imp_moments *moments)
{
    imp_exact_sum sum = moments->sum;
    return moments->count > 0 ? imp_exact_sum_value(&sum) / (double)moments->count : IMP_NO_VALUE;
}

/* Room for one more; the kind decides which list it is. */
static imp_status make_room(imp_columns *columns, imp_tally *tally, imp_error *error)
{
    if (tally->kept < tally->kept_capacity)
        return IMP_OK;
    const size_t capacity = tally->kept_capacity > 0 ? 2 * tally->kept_capacity : 64;
    if (tally->kind != IMP_TALLY_SERIES) {
        imp_kept_span *spans = imp_resize(columns->allocator, tally->spans, capacity, sizeof *spans);
        if (spans == NULL)
            return imp_columns_out_of_memory(error);
        tally->spans = spans;
        if (tally->value_count > 0) {
            imp_span_value *values =
                imp_resize(columns->allocator, tally->span_values, capacity * tally->value_count, sizeof *values);
            if (values == NULL)
                return imp_columns_out_of_memory(error);
            tally->span_values = values;
        }
    } else {
        imp_series_point *points = imp_resize(columns->allocator, tally->points, capacity, sizeof *points);
        if (points == NULL)
            return imp_columns_out_of_memory(error);
        tally->points = points;
    }
    tally->kept_capacity = capacity;
    return IMP_OK;
}

static imp_status keep_span(imp_columns *columns, imp_tally *tally, const imp_span *span, imp_error *error)
{
    if (tally->kept == IMP_COLUMNS_SPANS_KEPT)
        return IMP_OK;
    const imp_status status = make_room(columns, tally, error);
    if (status != IMP_OK)
        return status;
    tally->spans[tally->kept] = (imp_kept_span){span->from, span->to, span->rows};
    for (size_t k = 0; k < tally->value_count; k++)
        tally->span_values[tally->kept * tally->value_count + k] = span->values[k];
    tally->kept++;
    return IMP_OK;
}

void imp_tally_span(const imp_tally *tally, size_t index, imp_span *span)
{
    const imp_kept_span *kept = &tally->spans[index];
    *span = (imp_span){.from = kept->from, .to = kept->to, .duration = kept->to - kept->from, .rows = kept->rows};
    for (size_t k = 0; k < IMP_SPAN_VALUES; k++)
        span->values[k] = k < tally->value_count
                              ? tally->span_values[index * tally->value_count + k]
                              : (imp_span_value){0, IMP_NO_VALUE, IMP_NO_VALUE, IMP_NO_VALUE};
}

static imp_status keep_point(imp_columns *columns, imp_tally *tally, const imp_series_point *point, imp_error *error)
{
    if (tally->kept == IMP_COLUMNS_SERIES_KEPT)
        return imp_fail(error, IMP_LIMIT, NULL, "a series has more than %d values; take a longer period",
                        IMP_COLUMNS_SERIES_KEPT);
    const imp_status status = make_room(columns, tally, error);
    if (status == IMP_OK)
        tally->points[tally->kept++] = *point;
    return status;
}

/* A stretch that is over goes into the list. */
static imp_status emit(imp_columns *columns, imp_tally *tally, const imp_stretch *stretch, imp_error *error)
{
    if (tally->kind == IMP_TALLY_SERIES) {
        const imp_moments *moments = &stretch->values[0];
        const imp_series_point point = {stretch->from, moments->count, moments_mean(moments), moments->least,
                                        moments->greatest};
        return keep_point(columns, tally, &point, error);
    }
    if (tally->kind == IMP_TALLY_STUCK && (stretch->rows == 0 || stretch->reach - stretch->from < tally->parameter))
        return IMP_OK;
    const double duration = stretch->reach - stretch->from;
    tally->span_count++;
    tally->longest = fmax(tally->longest, duration);
    imp_exact_sum_add(&tally->total, duration);
    if (tally->kept == IMP_COLUMNS_SPANS_KEPT)
        return IMP_OK;
    imp_span span = {.from = stretch->from, .to = stretch->reach, .duration = duration, .rows = stretch->rows};
    for (size_t i = 0; i < IMP_SPAN_VALUES; i++) {
        const bool has_value = i < tally->value_count && stretch->values[i].count > 0;
        span.values[i].count = has_value ? stretch->values[i].count : 0;
        span.values[i].mean = has_value ? moments_mean(&stretch->values[i]) : IMP_NO_VALUE;
        span.values[i].least = has_value ? stretch->values[i].least : IMP_NO_VALUE;
        span.values[i].greatest = has_value ? stretch->values[i].greatest : IMP_NO_VALUE;
    }
    return keep_span(columns, tally, &span, error);
}

static void swap_stretches(imp_stretch *a, imp_stretch *b)
{
    const imp_stretch held = *a;
    *a = *b;
    *b = held;
}

static imp_status close_open(imp_columns *columns, imp_tally *tally, imp_error *error)
{
    imp_status status = IMP_OK;
    if (tally->open.is_used && tally->is_open_first)
        swap_stretches(&tally->open, &tally->first_stretch); /* the piece before may go on in it */
    else if (tally->open.is_used)
        status = emit(columns, tally, &tally->open, error);
    tally->open.is_used = tally->is_open_first = false;
    return status;
}

static void begin(imp_tally *tally, double from)
{
    imp_stretch *open = &tally->open;
    open->is_used = true;
    open->from = open->reach = from;
    open->rows = 0;
    for (size_t i = 0; i < tally->value_count; i++)
        imp_moments_init(&open->values[i]);
}

/* Rows [first, end) belong to the open stretch. */
static void add_rows(imp_tally *tally, const imp_frame *frame, size_t first, size_t end)
{
    tally->open.rows += end - first;
    for (size_t k = 0; k < tally->value_count; k++)
        imp_moments_add_where(&tally->open.values[k], frame->values[tally->values[k]] + first, NULL, end - first, &tally->exponent);
}

static void begin_span(imp_tally *tally, const imp_frame *frame, size_t row, bool is_first)
{
    begin(tally, frame->time[row]);
    /* where the row before is parted from this one, nothing can go on */
    tally->is_open_first =
        is_first && tally->keeps_first && (row > 0 ? frame->duration[row - 1] : frame->duration_before) > 0.0;
}

imp_status imp_tally_count_spans(const imp_engine *engine, imp_tally *tally, const imp_frame *frame, imp_error *error)
{
    imp_columns *columns = engine->columns;
    const size_t to = frame->count_to;
    imp_status status = IMP_OK;
    uint64_t ones[IMP_FRAME_WORDS];
    if (frame->count_from >= to)
        return IMP_OK;
    if (frame->is_zero[tally->mask]) {
        tally->has_begun = true;
        return tally->open.is_used ? close_open(columns, tally, error) : IMP_OK;
    }
    engine->kernels->ones(frame->values[tally->mask], frame->rows, ones);
    for (size_t i = frame->count_from; i < to && status == IMP_OK;) {
        if (!tally->open.is_used) {
            const size_t start = imp_bits_find(ones, i, to, true);
            const bool is_first = !tally->has_begun && start == i;
            tally->has_begun = true;
            if (start == to)
                break;
            begin_span(tally, frame, start, is_first);
            i = start;
        }
        /* up to the first row that is not in it, or a row without a duration, which is its last */
        const size_t end = imp_bits_find(ones, i, to, false), last = imp_bits_find(frame->holds, i, end, false);
        const bool is_broken = last < end;
        if (end > i) {
            tally->open.reach = frame->time[last];
            add_rows(tally, frame, i, is_broken ? last + 1 : end);
        }
        i = is_broken ? last + 1 : end;
        if (is_broken || end < to)
            status = close_open(columns, tally, error);
    }
    return status;
}

/* A value that does not change, over unbroken rows: the stretch's `rows` are those of them where the mask is 1. */
static bool goes_on(const imp_tally *tally, double value, double duration_before)
{
    return tally->open.is_used && duration_before > 0.0 && value == tally->open.value;
}

static imp_status count_stuck_row(imp_columns *columns, imp_tally *tally, const imp_frame *frame, const double *values,
                                  const double *mask, size_t i, imp_error *error)
{
    imp_status status = IMP_OK;
    const double duration_before = i > 0 ? frame->duration[i - 1] : frame->duration_before;
    if (!goes_on(tally, values[i], duration_before)) {
        status = close_open(columns, tally, error);
        if (values[i] == values[i]) {
            begin(tally, frame->time[i]);
            tally->open.value = values[i];
            tally->is_open_first = !tally->has_begun && tally->keeps_first && duration_before > 0.0;
        }
    }
    tally->has_begun = true;
    tally->open.rows += mask == NULL || mask[i] == 1.0;
    tally->open.reach = frame->duration[i] > 0.0 ? frame->time[i + 1] : frame->time[i];
    return status;
}

imp_status imp_tally_count_stuck(imp_columns *columns, imp_tally *tally, const imp_frame *frame, imp_error *error)
{
    const double *values = frame->values[tally->value], *mask = tally->mask >= 0 ? frame->values[tally->mask] : NULL;
    const size_t from = frame->count_from, to = frame->count_to;
    imp_status status = IMP_OK;
    size_t i = from;
    /* the stretch that is open ends soon as a rule; then only one that reaches the frame's end can matter, when the frame is
     * shorter than the time asked for */
    for (; i < to && status == IMP_OK && 
           (!tally->has_begun || i == from || tally->is_open_first || tally->open.from < frame->time[from]);
         i++)
        status = count_stuck_row(columns, tally, frame, values, mask, i, error);
    const bool is_short = frame->greatest_duration * (double)frame->rows < tally->parameter;
    if (is_short && i < to && status == IMP_OK) {
        size_t last = to - 1;
        while (last > i && values[last] == values[last - 1] && frame->duration[last - 1] > 0.0)
            last--;
        if (last > i) {
            status = close_open(columns, tally, error); /* no more than this frame long */
            i = last;
        }
    }
    for (; i < to && status == IMP_OK; i++)
        status = count_stuck_row(columns, tally, frame, values, mask, i, error);
    return status;
}

/* Rows [first, end) are all in the period that begins at `start`; those of them that count are added. */
static imp_status add_to_period(imp_engine *engine, imp_tally *tally, double start, imp_frame *frame, size_t first, size_t end,
                                imp_error *error)
{
    const bool is_open = tally->open.is_used && tally->open.from == start;
    imp_moments found, *to = &tally->open.values[0];
    imp_status status = IMP_OK;
    uint64_t count = 0;
    if (!is_open) {
        to = &found;
        imp_moments_init(&found);
    }
    if (end - first == frame->rows)
        status = imp_moments_add_total(engine, to, tally, frame, &count, error);
    else
        count = imp_moments_add_where(to, frame->values[tally->value] + first,
                                      tally->mask >= 0 ? frame->values[tally->mask] + first : NULL, end - first, &tally->exponent).count;
    if (status != IMP_OK || count == 0 || is_open)
        return status;
    if (tally->open.is_used)
        status = close_open(engine->columns, tally, error);
    begin(tally, start);
    tally->is_open_first = !tally->has_begun && tally->keeps_first;
    tally->has_begun = true;
    tally->open.values[0] = found;
    return status;
}

static double period_of(double time, double period)
{
    return floor(time / period) * period;
}

/* The first row of [from, to] that is in another period than row `from`; times rise. */
static size_t period_end(const double *time, double period, size_t from, size_t to)
{
    const double start = period_of(time[from], period);
    size_t same = from, other = to;
    while (other - same > 1) {
        /* a guess, as if there was a row a second; then by halves */
        const double left = start + period - time[same];
        size_t middle = same == from && other == to && left < (double)(to - from) ? from + (size_t)left : same + (other - same) / 2;
        if (middle <= same)
            middle = same + 1;
        if (period_of(time[middle], period) == start) {
            same = middle;
        } else {
            other = middle;
            if (period_of(time[middle - 1], period) == start)
                break;
        }
    }
    return other;
}

imp_status imp_tally_count_series(imp_engine *engine, imp_tally *tally, imp_frame *frame, imp_error *error)
{
    const size_t to = frame->count_to;
    imp_status status = IMP_OK;
    for (size_t i = frame->count_from; i < to && status == IMP_OK;) {
        const size_t end = frame->is_rising ? period_end(frame->time, tally->parameter, i, to) : i + 1;
        status = add_to_period(engine, tally, period_of(frame->time[i], tally->parameter), frame, i, end, error);
        i = end;
    }
    return status;
}

static void append(imp_tally *tally, const imp_stretch *next)
{
    tally->open.reach = next->reach;
    tally->open.rows += next->rows;
    for (size_t i = 0; i < tally->value_count; i++)
        imp_moments_merge(&tally->open.values[i], &next->values[i]);
}

/* The first stretch of the next piece: it goes on with the open one, or stands for itself. */
static imp_status take_first(imp_columns *columns, imp_tally *tally, imp_stretch *first, imp_error *error)
{
    const bool is_same = tally->kind == IMP_TALLY_SPANS   ? true
                         : tally->kind == IMP_TALLY_STUCK ? tally->open.value == first->value
                                                          : tally->open.from == first->from;
    if (tally->open.is_used && is_same) {
        append(tally, first);
        return IMP_OK;
    }
    const imp_status status = close_open(columns, tally, error);
    swap_stretches(&tally->open, first);
    return status;
}

imp_status imp_tally_join_stretches(imp_columns *columns, imp_tally *tally, imp_tally *next, imp_error *error)
{
    imp_status status = IMP_OK;
    const bool first_is_over = next->first_stretch.is_used, first_is_open = next->open.is_used && next->is_open_first;
    if (first_is_over)
        status = take_first(columns, tally, &next->first_stretch, error);
    else if (first_is_open)
        status = take_first(columns, tally, &next->open, error);
    if (status == IMP_OK && next->has_begun && !first_is_open)
        status = close_open(columns, tally, error);
    for (size_t i = 0; i < next->kept && status == IMP_OK; i++) {
        imp_span span;
        if (tally->kind != IMP_TALLY_SERIES)
            imp_tally_span(next, i, &span);
        status = tally->kind != IMP_TALLY_SERIES ? keep_span(columns, tally, &span, error)
                                                : keep_point(columns, tally, &next->points[i], error);
    }
    tally->span_count += next->span_count;
    tally->longest = fmax(tally->longest, next->longest);
    imp_exact_sum_merge(&tally->total, &next->total);
    if (status == IMP_OK && next->open.is_used && !first_is_open) {
        swap_stretches(&tally->open, &next->open);
        tally->is_open_first = false;
    }
    tally->has_begun = tally->has_begun || next->has_begun;
    return status;
}

imp_status imp_tally_close(imp_columns *columns, imp_tally *tally, imp_error *error)
{
    return close_open(columns, tally, error);
}

/* --- answers --- */

static const imp_tally *tally_of(const imp_columns *columns, imp_reduction reduction)
{
    return reduction >= 0 && (size_t)reduction < columns->asked_count ? columns->tallies[columns->asked[reduction].tally] : NULL;
}

static bool has_spans(const imp_tally *tally)
{
    return tally != NULL && (tally->kind == IMP_TALLY_SPANS || tally->kind == IMP_TALLY_STUCK);
}

static imp_status check_answer(const imp_tally *tally, bool has_answer, imp_error *error)
{
    if (!has_answer)
        return imp_fail(error, IMP_INTERNAL, NULL, "this reduction has no such answer");
    if (!tally->is_answered)
        return imp_fail(error, IMP_NOT_APPLICABLE, NULL, "the columns have not been run yet");
    return IMP_OK;
}

uint64_t imp_columns_span_count(const imp_columns *columns, imp_reduction reduction)
{
    const imp_tally *tally = tally_of(columns, reduction);
    return tally != NULL ? tally->span_count : 0;
}

size_t imp_columns_spans_kept(const imp_columns *columns, imp_reduction reduction)
{
    const imp_tally *tally = tally_of(columns, reduction);
    return has_spans(tally) ? tally->kept : 0;
}

imp_status imp_columns_span_at(const imp_columns *columns, imp_reduction reduction, size_t index, imp_span *span,
                               imp_error *error)
{
    const imp_tally *tally = tally_of(columns, reduction);
    const imp_status status = check_answer(tally, has_spans(tally), error);
    if (status != IMP_OK)
        return status;
    if (index >= tally->kept)
        return imp_fail(error, IMP_RANGE, NULL, "there are %zu spans kept", tally->kept);
    imp_tally_span(tally, index, span);
    return IMP_OK;
}

imp_status imp_columns_span_totals(const imp_columns *columns, imp_reduction reduction, double *longest, double *total,
                                   imp_error *error)
{
    const imp_tally *tally = tally_of(columns, reduction);
    const imp_status status = check_answer(tally, has_spans(tally), error);
    if (status != IMP_OK)
        return status;
    imp_exact_sum sum = tally->total;
    *longest = tally->longest;
    *total = imp_exact_sum_value(&sum);
    return IMP_OK;
}

size_t imp_columns_series_count(const imp_columns *columns, imp_reduction reduction)
{
    const imp_tally *tally = tally_of(columns, reduction);
    return tally != NULL && tally->kind == IMP_TALLY_SERIES ? tally->kept : 0;
}

imp_status imp_columns_series_at(const imp_columns *columns, imp_reduction reduction, size_t index,
                                 imp_series_point *point, imp_error *error)
{
    const imp_tally *tally = tally_of(columns, reduction);
    const imp_status status = check_answer(tally, tally != NULL && tally->kind == IMP_TALLY_SERIES, error);
    if (status != IMP_OK)
        return status;
    if (index >= tally->kept)
        return imp_fail(error, IMP_RANGE, NULL, "the series has %zu values", tally->kept);
    *point = tally->points[index];
    return IMP_OK;
}
