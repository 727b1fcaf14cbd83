/* Rolling means. A window knows which rows belong to each row's mean, and nothing of their values: all columns with the same
 * time share one. A column keeps sums of its values from the first row held up to each row, so that a mean takes the
 * difference of two of them.
 *
 * A sum is held in two doubles, each a whole multiple of a fixed binary place, so that sums and differences of them are not
 * rounded. Where that does not do (values of very different size), an exact sum takes over. Either way the mean is that of
 * the exact sum, rounded once, and depends on nothing but the rows in the window. */
#include <math.h>
#include <string.h>

#include "columns_internal.h"

/* --- windows --- */

void imp_rolling_free(const imp_columns *columns, imp_rolling *rolling)
{
    imp_release(columns->allocator, rolling->values);
    rolling->values = NULL;
    rolling->capacity = 0;
}

void imp_rolling_reset(imp_rolling *rolling)
{
    double *const values = rolling->values;
    const size_t capacity = rolling->capacity;
    memset(rolling, 0, sizeof *rolling);
    rolling->values = values;
    rolling->capacity = capacity;
    imp_exact_sum_init(&rolling->sum);
}

void imp_window_reset(imp_window *window)
{
    window->frames = 0;
    window->held = window->start = window->dropped = 0;
    window->is_connected = false;
}

/* The window of a time; columns of one level take the same frames. */
imp_status imp_window_of(imp_engine *engine, int node, imp_window **found)
{
    const imp_node *nodes = engine->columns->nodes;
    imp_window **place = &engine->windows;
    for (; *place != NULL; place = &(*place)->next)
        if ((*place)->seconds == nodes[node].parameter && (*place)->level == nodes[node].level)
            break;
    if (*place == NULL) {
        imp_window *made = imp_allocate(engine->columns->allocator, 1, sizeof *made);
        if (made == NULL)
            return IMP_MEMORY;
        made->seconds = nodes[node].parameter;
        made->level = nodes[node].level;
        *place = made;
    }
    *found = *place;
    return IMP_OK;
}

void imp_windows_free(imp_engine *engine)
{
    while (engine->windows != NULL) {
        imp_window *window = engine->windows;
        engine->windows = window->next;
        imp_release(engine->columns->allocator, window->time);
        imp_release(engine->columns->allocator, window);
    }
}

/* Rows that have left the window go when there is no room for the frame's. */
static imp_status make_room(const imp_engine *engine, imp_window *window, imp_error *error)
{
    const size_t left = window->held - window->start;
    window->dropped = 0;
    if (window->held + IMP_FRAME_ROWS <= window->capacity)
        return IMP_OK;
    double *time = window->time;
    if (left + left / 2 + IMP_FRAME_ROWS > window->capacity) {
        const size_t capacity = 2 * (left + IMP_FRAME_ROWS);
        time = imp_allocate(engine->columns->allocator, capacity, sizeof *time);
        if (time == NULL)
            return imp_columns_out_of_memory(error);
        window->capacity = capacity;
    }
    if (left > 0)
        memmove(time, window->time + window->start, left * sizeof *time);
    if (time != window->time)
        imp_release(engine->columns->allocator, window->time);
    window->time = time;
    window->dropped = window->start;
    window->held = left;
    window->start = 0;
    return IMP_OK;
}

/* Whether one row leaves the window with every row of an unbroken frame, as where a log has a row a second. */
static bool slides_evenly(const imp_window *window, const imp_frame *frame)
{
    const double seconds = window->seconds, *last = window->time + window->held, *leaving = window->time + window->start;
    int is_even = window->is_connected && window->held > window->start &&
                  imp_bits_find(frame->holds, 0, frame->rows - 1, false) == frame->rows - 1;
    for (size_t row = 0; is_even && row < frame->rows; row += 64) { /* an uneven one is soon seen */
        const size_t end = frame->rows - row < 64 ? frame->rows : row + 64;
        for (size_t i = row; i < end; i++)
            is_even &= (leaving[i] <= last[i] - seconds) & (leaving[i + 1] > last[i] - seconds);
    }
    return is_even;
}

/* Each row's window reaches back to the first row later than its time before it, but not across a break. */
static imp_status take_rows(const imp_engine *engine, imp_window *window, const imp_frame *frame, imp_error *error)
{
    imp_status status = make_room(engine, window, error);
    if (status != IMP_OK)
        return status;
    const double seconds = window->seconds, *time = window->time;
    size_t start = window->start, most = 0, last = window->held;
    memcpy(window->time + window->held, frame->time, frame->rows * sizeof *time);
    if (slides_evenly(window, frame)) {
        for (size_t row = 0; row < frame->rows; row++)
            window->first[row] = (uint32_t)(start + 1 + row);
        window->start += frame->rows;
        window->held += frame->rows;
        window->is_connected = frame->duration[frame->rows - 1] > 0.0;
        return IMP_OK;
    }
    for (size_t row = 0; row < frame->rows; row++, last++) {
        if (row > 0 ? !(frame->duration[row - 1] > 0.0) : !window->is_connected)
            start = last;
        for (const double oldest = time[last] - seconds; start < last && time[start] <= oldest;)
            start++;
        window->first[row] = (uint32_t)start;
        most = last - start > most ? last - start : most;
    }
    if (most >= IMP_ROLLING_ROWS)
        return imp_fail(error, IMP_LIMIT, NULL, "a rolling window reaches over more than %d rows; resample first",
                        IMP_ROLLING_ROWS);
    window->start = start;
    window->held = last;
    window->is_connected = frame->duration[frame->rows - 1] > 0.0;
    return IMP_OK;
}

/* --- a column's sums --- */

/* The places that values up to the largest, and sums of as many as there is room for, need. */
static bool set_places(imp_rolling *rolling, double largest)
{
    int exponent, rows;
    frexp(largest, &exponent);
    frexp((double)rolling->capacity, &rows);
    exponent += 1; /* room for somewhat larger values to come */
    rolling->places.limit = ldexp(1.0, exponent);
    rolling->places.first = ldexp(1.5, exponent + rows);
    rolling->places.second = ldexp(1.5, exponent + rows - (52 - rows));
    return exponent <= 900 && exponent >= -800;
}

static imp_running_sums sums_at(const imp_rolling *rolling, size_t row)
{
    const size_t stride = rolling->capacity + IMP_KERNEL_ROUND + 1;
    double *upper = rolling->values + stride + row;
    return (imp_running_sums){upper, upper + stride, upper + 2 * stride};
}

/* The kernels take some values more. */
static void put_end(double *values)
{
    for (size_t i = 0; i < IMP_KERNEL_ROUND; i++)
        values[i] = IMP_NO_VALUE;
}

/* All over again from the first `count` values, by places that suit them. False where two doubles do not hold the sums. */
static bool rebuild_sums(const imp_engine *engine, imp_rolling *rolling, size_t count)
{
    double largest = 0.0;
    for (size_t i = 0; i < count; i++)
        largest = fabs(rolling->values[i]) > largest ? fabs(rolling->values[i]) : largest;
    const imp_running_sums sums = sums_at(rolling, 0);
    put_end(rolling->values + count);
    sums.upper[0] = sums.lower[0] = sums.count[0] = 0.0;
    return set_places(rolling, largest) && engine->kernels->running_sums(rolling->values, count, &rolling->places, &sums);
}

/* The rows that the window let go of, and the room that it made. */
static imp_status follow_window(const imp_engine *engine, const imp_window *window, imp_rolling *rolling, imp_error *error)
{
    const bool is_larger = window->capacity != rolling->capacity;
    double *values = rolling->values;
    if (window->dropped == 0 && !is_larger)
        return IMP_OK;
    const size_t left = rolling->held - window->dropped;
    if (is_larger) {
        values = imp_allocate(engine->columns->allocator, 4 * (window->capacity + IMP_KERNEL_ROUND + 1), sizeof *values);
        if (values == NULL)
            return imp_columns_out_of_memory(error);
    }
    if (left > 0)
        memmove(values, rolling->values + window->dropped, left * sizeof *values);
    if (is_larger)
        imp_release(engine->columns->allocator, rolling->values);
    rolling->values = values;
    rolling->capacity = window->capacity;
    rolling->held = left;
    rolling->is_summed = false; /* the exact sum is of other rows now */
    rolling->is_slow = !rebuild_sums(engine, rolling, left);
    return IMP_OK;
}

static void mean_exactly(const imp_window *window, imp_rolling *rolling, size_t rows, double *out)
{
    if (!rolling->is_summed) {
        imp_exact_sum_init(&rolling->sum);
        rolling->sum_from = rolling->sum_to = window->first[0];
        rolling->summed = 0;
        rolling->is_summed = true;
    }
    for (size_t row = 0; row < rows; row++) {
        for (; rolling->sum_to <= rolling->held + row; rolling->sum_to++)
            if (rolling->values[rolling->sum_to] == rolling->values[rolling->sum_to]) {
                imp_exact_sum_add(&rolling->sum, rolling->values[rolling->sum_to]);
                rolling->summed++;
            }
        for (; rolling->sum_from < window->first[row]; rolling->sum_from++)
            if (rolling->values[rolling->sum_from] == rolling->values[rolling->sum_from]) {
                imp_exact_sum_add(&rolling->sum, -rolling->values[rolling->sum_from]);
                rolling->summed--;
            }
        const double mean = imp_exact_sum_value(&rolling->sum) / (double)rolling->summed;
        out[row] = rolling->summed > 0 && isfinite(mean) ? mean : IMP_NO_VALUE;
    }
}

imp_status imp_node_roll(imp_engine *engine, imp_node_state *state, const imp_frame *frame, const double *a, double *out,
                         imp_error *error)
{
    imp_window *window = state->window;
    imp_rolling *rolling = &state->rolling;
    const size_t rows = frame->rows;
    imp_status status = IMP_OK;
    if (window->frames == rolling->frames) { /* the first of its columns to come to this frame */
        status = take_rows(engine, window, frame, error);
        window->frames++;
    }
    rolling->frames++;
    if (status == IMP_OK)
        status = follow_window(engine, window, rolling, error);
    if (status != IMP_OK)
        return status;
    double *values = rolling->values + rolling->held;
    memcpy(values, a, rows * sizeof *values);
    put_end(values + rows);
    const imp_running_sums sums = sums_at(rolling, rolling->held), whole = sums_at(rolling, 0);
    if (!rolling->is_slow && !engine->kernels->running_sums(values, rows, &rolling->places, &sums))
        rolling->is_slow = !rebuild_sums(engine, rolling, rolling->held + rows);
    if (rolling->is_slow)
        mean_exactly(window, rolling, rows, out);
    else
        engine->kernels->window_means(&whole, window->first, rolling->held, rows, out);
    rolling->held += rows;
    return IMP_OK;
}
