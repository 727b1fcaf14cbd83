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

void imp_node_state_reset(imp_node_state *state)
{
    const imp_rolling rolling = state->rolling;
    imp_window *const window = state->window;
    memset(state, 0, sizeof *state);
    state->rolling = rolling;
    state->window = window;
    imp_rolling_reset(&state->rolling);
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
    case IMP_COLUMN_ROLLING: status = imp_node_roll(engine, state, frame, a, out, error); break;
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
