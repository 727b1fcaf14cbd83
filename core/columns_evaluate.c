#include <math.h>
#include <string.h>

#include "columns_internal.h"

static double finite_or_missing(double x)
{
    return isfinite(x) ? x : IMP_NO_VALUE;
}

static void durations(const imp_frame *frame, bool is_mask, const double *a, double *out)
{
    for (size_t i = 0; i < frame->rows; i++)
        out[i] = (is_mask ? a[i] == 1.0 : a[i] == a[i]) ? frame->duration[i] : IMP_NO_VALUE;
}

/* change and rate: against the row before, unless a break parts them */
static void difference(const imp_engine *engine, imp_node_state *state, bool per_time, const imp_frame *frame, const double *a,
                       double *out)
{
    const size_t last = frame->rows - 1;
    const double rise = state->is_connected ? a[0] - state->before : IMP_NO_VALUE;
    out[0] = finite_or_missing(per_time ? rise / state->since : rise);
    if (last > 0) {
        engine->kernels->binary(IMP_COLUMN_SUBTRACT, a + 1, a, out + 1, last);
        if (per_time)
            engine->kernels->binary(IMP_COLUMN_DIVIDE, out + 1, frame->duration, out + 1, last);
        for (size_t i = imp_bits_find(frame->holds, 0, last, false); i < last; i = imp_bits_find(frame->holds, i + 1, last, false))
            out[i + 1] = IMP_NO_VALUE;
    }
    state->before = a[last];
    state->since = frame->duration[last];
    state->is_connected = frame->duration[last] > 0.0;
}

/* Where row `first` begins, no value of the frame lasts `seconds`: only a row of each so many need be looked at, and those
 * before it as long as they are equal to it. */
static bool none_lasts(double seconds, const imp_frame *frame, const double *a, size_t first)
{
    const double rows_needed = seconds / frame->greatest_duration; /* an infinity where no row has a duration */
    if (!(rows_needed >= 2.0))
        return false;
    const double steps = floor(rows_needed) - 1.0; /* one less, for what rounding may do */
    for (size_t start = first; steps < (double)(frame->rows - start);) {
        size_t row = start + (size_t)steps;
        if (row >= frame->rows)
            return true;
        while (row > start && a[row] == a[row - 1] && frame->duration[row - 1] > 0.0)
            row--;
        if (row == start)
            return false; /* perhaps */
        start = row;
    }
    return true;
}

/* unchanged where all of a frame's values are there and it is quickly seen that none of them lasts long enough */
static bool nothing_unchanged(imp_node_state *state, double seconds, const imp_frame *frame, const double *a)
{
    const size_t rows = frame->rows;
    size_t first = 0;
    if (state->is_connected)
        while (first < rows && a[first] == state->before && (first == 0 || frame->duration[first - 1] > 0.0)) {
            if (frame->time[first] - state->since >= seconds)
                return false;
            first++;
        }
    if (!(seconds > 0.0) || (first < rows && !none_lasts(seconds, frame, a, first)))
        return false;
    size_t start = rows - 1;
    while (start > first && a[start] == a[start - 1] && frame->duration[start - 1] > 0.0)
        start--;
    if (first < rows)
        state->since = frame->time[start];
    state->before = a[rows - 1];
    state->is_connected = frame->duration[rows - 1] > 0.0;
    return true;
}

static void unchanged(imp_node_state *state, double seconds, const imp_frame *frame, const double *a, double *out)
{
    for (size_t i = 0; i < frame->rows; i++) {
        if (!state->is_connected || a[i] != state->before)
            state->since = frame->time[i];
        out[i] = a[i] == a[i] ? (frame->time[i] - state->since >= seconds ? 1.0 : 0.0) : IMP_NO_VALUE;
        state->before = a[i];
        state->is_connected = frame->duration[i] > 0.0;
    }
}

/* --- rolling means --- */

void imp_node_state_reset(imp_node_state *state)
{
    double *const queue = state->queue;
    const size_t capacity = state->queue_capacity;
    memset(state, 0, sizeof *state);
    state->queue = queue;
    state->queue_capacity = capacity;
    imp_exact_sum_init(&state->sum);
}

/* The sum of the window is held in two doubles, each a whole multiple of a fixed binary place, so that values come and go
 * without rounding. Where that does not do (values of very different size), an exact sum takes over. Either way the mean is
 * that of the exact sum, rounded once, and depends on nothing but the rows in the window. */
static void set_places(imp_node_state *state, double largest)
{
    int exponent, rows;
    frexp(largest, &exponent);
    frexp((double)state->queue_capacity, &rows);
    exponent += 1; /* room for somewhat larger values to come */
    state->limit = ldexp(1.0, exponent);
    state->first = ldexp(1.5, exponent + rows);
    state->second = ldexp(1.5, exponent + rows - (52 - rows));
    state->is_slow = exponent > 900 || exponent < -800;
}

/* The value's parts above the two places; false where something is left below. */
static inline bool take_parts(const imp_node_state *state, double value, double *upper, double *lower)
{
    const double a = (state->first + value) - state->first, rest = value - a;
    const double b = (state->second + rest) - state->second;
    *upper = a;
    *lower = b;
    return rest == b && fabs(value) < state->limit;
}

/* All over again from the values in the window. */
static void rebuild_sum(imp_node_state *state)
{
    double largest = 0.0;
    for (size_t i = 0; i < state->queue_count; i++)
        largest = fmax(largest, fabs(state->queue[2 * ((state->queue_start + i) & (state->queue_capacity - 1)) + 1]));
    set_places(state, largest);
    state->upper = state->lower = 0.0;
    imp_exact_sum_init(&state->sum);
    for (size_t i = 0; i < state->queue_count; i++) {
        const double value = state->queue[2 * ((state->queue_start + i) & (state->queue_capacity - 1)) + 1];
        double a, b;
        state->is_slow = !take_parts(state, value, &a, &b) || state->is_slow;
        state->upper += a;
        state->lower += b;
        imp_exact_sum_add(&state->sum, value);
    }
}

static inline void change_sum(imp_node_state *state, double value, double sign)
{
    double a, b;
    if (state->is_slow) {
        imp_exact_sum_add(&state->sum, sign * value);
    } else if (take_parts(state, value, &a, &b)) {
        state->upper += sign * a;
        state->lower += sign * b;
    } else {
        rebuild_sum(state);
    }
}

static imp_status grow_queue(imp_engine *engine, imp_node_state *state, imp_error *error)
{
    const size_t capacity = state->queue_capacity > 0 ? 2 * state->queue_capacity : 128;
    if (capacity > IMP_ROLLING_ROWS)
        return imp_fail(error, IMP_LIMIT, NULL, "a rolling window reaches over more than %d rows; resample first",
                        IMP_ROLLING_ROWS);
    double *queue = imp_allocate(engine->columns->allocator, 2 * capacity, sizeof *queue);
    if (queue == NULL)
        return imp_columns_out_of_memory(error);
    for (size_t i = 0; i < state->queue_count; i++)
        memcpy(queue + 2 * i, state->queue + 2 * ((state->queue_start + i) & (state->queue_capacity - 1)), 2 * sizeof *queue);
    imp_release(engine->columns->allocator, state->queue);
    state->queue = queue;
    state->queue_start = 0;
    state->queue_capacity = capacity;
    rebuild_sum(state);
    return IMP_OK;
}

static void empty_queue(imp_node_state *state)
{
    state->queue_count = state->queue_start = 0;
    state->upper = state->lower = 0.0;
    if (state->is_slow)
        rebuild_sum(state);
}

/* One row: what has left the window goes, its value comes. */
static imp_status roll(imp_engine *engine, imp_node_state *state, double seconds, double time, double value, imp_error *error)
{
    while (state->queue_count > 0 && state->queue[2 * state->queue_start] <= time - seconds) {
        const double old = state->queue[2 * state->queue_start + 1];
        state->queue_start = (state->queue_start + 1) & (state->queue_capacity - 1);
        if (--state->queue_count == 0)
            empty_queue(state);
        else
            change_sum(state, old, -1.0);
    }
    if (value != value)
        return IMP_OK;
    if (state->queue_count == state->queue_capacity) {
        const imp_status status = grow_queue(engine, state, error);
        if (status != IMP_OK)
            return status;
    }
    const size_t at = 2 * ((state->queue_start + state->queue_count++) & (state->queue_capacity - 1));
    state->queue[at] = time;
    state->queue[at + 1] = value;
    change_sum(state, value, 1.0);
    return IMP_OK;
}

/* The same for rows from `first` on as long as nothing out of the ordinary comes: no break, no room lacking, no value that the
 * two places do not hold. Everything is kept in registers. Returns the first row that was not done. */
static size_t roll_on(imp_node_state *state, double seconds, const imp_frame *frame, const double *a, double *out, size_t first)
{
    const imp_node_state held = *state;
    const size_t mask = held.queue_capacity - 1, stop = imp_bits_find(frame->holds, first, frame->rows, false);
    size_t start = held.queue_start, count = held.queue_count, row = first;
    double upper = held.upper, lower = held.lower, upper_part = 0.0, lower_part = 0.0;
    double *const queue = held.queue;
    if (held.queue_capacity == 0 || held.is_slow || (first > 0 && !(frame->duration[first - 1] > 0.0)) ||
        (first == 0 && !held.is_connected))
        return first;
    for (; row < frame->rows && row <= stop; row++) {
        const double time = frame->time[row], value = a[row];
        const bool is_there = value == value;
        if (is_there && (count == held.queue_capacity || !take_parts(&held, value, &upper_part, &lower_part)))
            break;
        double upper_change = 0.0, lower_change = 0.0;
        for (; count > 0 && queue[2 * start] <= time - seconds; count--) {
            take_parts(&held, queue[2 * start + 1], &upper_part, &lower_part);
            upper_change -= upper_part;
            lower_change -= lower_part;
            start = (start + 1) & mask;
        }
        if (is_there) {
            const size_t at = 2 * ((start + count++) & mask);
            queue[at] = time;
            queue[at + 1] = value;
            take_parts(&held, value, &upper_part, &lower_part);
            upper_change += upper_part;
            lower_change += lower_part;
        }
        upper += upper_change;
        lower += lower_change;
        out[row] = count > 0 ? (upper + lower) / (double)count : IMP_NO_VALUE;
    }
    state->queue_start = start;
    state->queue_count = count;
    state->upper = upper;
    state->lower = lower;
    if (row > first)
        state->is_connected = frame->duration[row - 1] > 0.0;
    return row;
}

static imp_status rolling(imp_engine *engine, imp_node_state *state, double seconds, const imp_frame *frame,
                          const double *a, double *out, imp_error *error)
{
    for (size_t i = roll_on(state, seconds, frame, a, out, 0); i < frame->rows; i = roll_on(state, seconds, frame, a, out, i + 1)) {
        if (!state->is_connected)
            empty_queue(state);
        const imp_status status = roll(engine, state, seconds, frame->time[i], a[i], error);
        if (status != IMP_OK)
            return status;
        const double sum = state->is_slow ? imp_exact_sum_value(&state->sum) : state->upper + state->lower;
        out[i] = state->queue_count > 0 ? finite_or_missing(sum / (double)state->queue_count) : IMP_NO_VALUE;
        state->is_connected = frame->duration[i] > 0.0;
    }
    return IMP_OK;
}

/* --- nodes --- */

static void set_zero(const imp_engine *engine, imp_frame *frame, int node)
{
    frame->is_zero[node] = true;
    frame->values[node] = engine->zeros;
}

static bool is_comparison(imp_column_operation operation)
{
    return operation >= IMP_COLUMN_ABOVE && operation <= IMP_COLUMN_AT_MOST;
}

/* A column of the log, or one times a constant: its extent is at hand. */
static bool has_known_extent(const imp_engine *engine, const imp_frame *frame, int index)
{
    const imp_node *nodes = engine->columns->nodes, *node = &nodes[index];
    if (node->operation == IMP_COLUMN_SOURCE || node->operation == IMP_COLUMN_CONSTANT || frame->has_extent[index])
        return true;
    return (node->operation == IMP_COLUMN_MULTIPLY || node->operation == IMP_COLUMN_DIVIDE) &&
           nodes[node->b].operation == IMP_COLUMN_CONSTANT && has_known_extent(engine, frame, node->a);
}

/* Most comparisons with a limit are 0 in every row, as the extents of both sides tell. */
static imp_status find_never(imp_engine *engine, const imp_node *node, imp_frame *frame, bool *is_never, imp_error *error)
{
    const imp_extent *a, *b;
    *is_never = false;
    if (!is_comparison(node->operation) || !has_known_extent(engine, frame, node->a) || !has_known_extent(engine, frame, node->b))
        return IMP_OK;
    imp_status status = imp_frame_extent(engine, frame, node->a, &a, error);
    if (status == IMP_OK)
        status = imp_frame_extent(engine, frame, node->b, &b, error);
    /* cppcheck-suppress uninitStructMember; imp_frame_extent has set it where status is IMP_OK */
    if (status != IMP_OK || a->count < frame->rows || b->count < frame->rows) /* a missing cell is missing in the mask */
        return status;
    switch (node->operation) {
    case IMP_COLUMN_ABOVE: *is_never = a->greatest <= b->least; break;
    case IMP_COLUMN_AT_LEAST: *is_never = a->greatest < b->least; break;
    case IMP_COLUMN_BELOW: *is_never = a->least >= b->greatest; break;
    default: *is_never = a->least > b->greatest; break;
    }
    return IMP_OK;
}

/* and, or: the second side is not looked at where the first decides for all rows, and one that is 0 in all rows is left out. */
static imp_status join_masks(imp_engine *engine, const imp_node *node, int index, imp_frame *frame, bool *is_found, imp_error *error)
{
    const bool is_and = node->operation == IMP_COLUMN_AND;
    imp_status status = imp_node_need(engine, node->a, frame, error);
    const bool a_is_zero = frame->is_zero[node->a];
    *is_found = is_and && a_is_zero;
    if (status == IMP_OK && !*is_found) {
        status = imp_node_need(engine, node->b, frame, error);
        const bool b_is_zero = frame->is_zero[node->b];
        *is_found = a_is_zero || b_is_zero;
        if (*is_found && !is_and) {
            frame->values[index] = frame->values[a_is_zero ? node->b : node->a];
            frame->is_zero[index] = a_is_zero && b_is_zero;
        }
    }
    if (*is_found && is_and)
        set_zero(engine, frame, index);
    return status;
}

static imp_status evaluate_two(imp_engine *engine, int index, imp_frame *frame, imp_error *error)
{
    const imp_node *node = &engine->columns->nodes[index], *second = &engine->columns->nodes[node->b];
    const bool is_logical = node->operation == IMP_COLUMN_AND || node->operation == IMP_COLUMN_OR;
    bool is_found = false;
    imp_status status = is_logical ? join_masks(engine, node, index, frame, &is_found, error)
                                   : find_never(engine, node, frame, &is_found, error);
    if (status != IMP_OK || is_found) {
        if (!is_logical)
            set_zero(engine, frame, index);
        return status;
    }
    status = imp_node_need(engine, node->a, frame, error);
    if (status == IMP_OK)
        status = imp_node_need(engine, node->b, frame, error);
    if (status != IMP_OK)
        return status;
    const double *a = frame->values[node->a];
    if ((node->operation == IMP_COLUMN_MULTIPLY || node->operation == IMP_COLUMN_DIVIDE) &&
        second->operation == IMP_COLUMN_CONSTANT && second->parameter == 1.0)
        frame->values[index] = frame->values[node->a]; /* the same, to the last bit */
    else if (!engine->kernels->binary(node->operation, a, frame->values[node->b], frame->own[index], frame->rows))
        set_zero(engine, frame, index);
    return IMP_OK;
}

static imp_status evaluate_one(imp_engine *engine, int index, imp_frame *frame, imp_error *error)
{
    const imp_node *node = &engine->columns->nodes[index];
    imp_node_state *state = &engine->states[index];
    double *out = frame->own[index];
    const imp_extent *extent;
    imp_status status = imp_node_need(engine, node->a, frame, error);
    const double *a = frame->values[node->a];
    if (status != IMP_OK)
        return status;
    switch (node->operation) {
    case IMP_COLUMN_RATE:
    case IMP_COLUMN_CHANGE: difference(engine, state, node->operation == IMP_COLUMN_RATE, frame, a, out); break;
    case IMP_COLUMN_UNCHANGED:
        status = imp_frame_extent(engine, frame, node->a, &extent, error);
        if (status == IMP_OK && extent->count == frame->rows && nothing_unchanged(state, node->parameter, frame, a))
            set_zero(engine, frame, index);
        else if (status == IMP_OK)
            unchanged(state, node->parameter, frame, a, out);
        break;
    case IMP_COLUMN_ROLLING: status = rolling(engine, state, node->parameter, frame, a, out, error); break;
    case IMP_COLUMN_DURATION: durations(frame, engine->columns->nodes[node->a].kind.is_mask, a, out); break;
    default: engine->kernels->unary(node->operation, a, out, frame->rows); break;
    }
    return status;
}

bool imp_node_remembers(const imp_node *node)
{
    switch (node->operation) {
    case IMP_COLUMN_RATE:
    case IMP_COLUMN_CHANGE:
    case IMP_COLUMN_UNCHANGED:
    case IMP_COLUMN_ROLLING: return true;
    default: return false;
    }
}

imp_status imp_node_need(imp_engine *engine, int index, imp_frame *frame, imp_error *error)
{
    const imp_node *node = &engine->columns->nodes[index];
    if (frame->is_done[index])
        return IMP_OK;
    frame->is_done[index] = true;
    switch (node->operation) {
    case IMP_COLUMN_SOURCE:
    case IMP_COLUMN_TIME:
    case IMP_COLUMN_MEMORY:
    case IMP_COLUMN_CONSTANT:
    case IMP_COLUMN_LASTING: return IMP_OK; /* these are there, or have been decided */
    default: break;
    }
    frame->values[index] = frame->own[index];
    return node->b >= 0 ? evaluate_two(engine, index, frame, error) : evaluate_one(engine, index, frame, error);
}

/* --- lasting --- */

/* Rows of the open run, up to row to_row of frame to_frame, are not part of one that is long enough. */
static void clear_run(imp_engine *engine, int node, const imp_node_state *state, uint64_t to_frame, size_t to_row)
{
    for (uint64_t number = state->open_frame; number <= to_frame; number++) {
        const imp_frame *frame = engine->frames[number % IMP_FRAMES];
        const size_t first = number == state->open_frame ? state->open_row : 0, last = number == to_frame ? to_row : frame->rows;
        if (last > first)
            memset(frame->own[node] + first, 0, (last - first) * sizeof(double));
    }
}

static void close_run(imp_engine *engine, int node, imp_node_state *state, uint64_t number, size_t row)
{
    if (!state->is_decided)
        clear_run(engine, node, state, number, row);
    state->is_open = false;
}

/* The rows are those of the mask, but for runs that turn out to be too short. */
void imp_node_decide(imp_engine *engine, int index, uint64_t number)
{
    const imp_node *node = &engine->columns->nodes[index];
    imp_node_state *state = &engine->states[index];
    imp_frame *frame = engine->frames[number % IMP_FRAMES];
    const size_t rows = frame->rows;
    uint64_t ones[IMP_FRAME_WORDS];
    if (frame->is_zero[node->a]) {
        if (state->is_open)
            close_run(engine, index, state, number, 0);
        set_zero(engine, frame, index);
        return;
    }
    frame->values[index] = frame->own[index];
    memcpy(frame->own[index], frame->values[node->a], rows * sizeof(double));
    engine->kernels->ones(frame->values[node->a], rows, ones);
    for (size_t i = 0; i < rows || state->is_open;) {
        if (!state->is_open) {
            i = imp_bits_find(ones, i, rows, true);
            if (i == rows)
                break;
            state->is_open = true;
            state->is_decided = false;
            state->since = frame->time[i];
            state->open_frame = number;
            state->open_row = i;
        }
        /* a row holds until the next one, which is there as it came; without a duration it ends the run */
        const size_t end = imp_bits_find(ones, i, rows, false), last = imp_bits_find(frame->holds, i, end, false);
        const bool is_broken = last < end;
        if (end > i && !state->is_decided)
            state->is_decided = frame->time[last] - state->since >= node->parameter;
        if (end == rows && !is_broken)
            break; /* it may go on */
        i = is_broken ? last + 1 : end;
        close_run(engine, index, state, number, i);
    }
}

uint64_t imp_node_undecided(const imp_engine *engine, int node)
{
    const imp_node_state *state = &engine->states[node];
    return state->is_open && !state->is_decided ? state->open_frame : UINT64_MAX;
}
