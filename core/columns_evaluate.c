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
static void difference(imp_node_state *state, bool per_time, const imp_frame *frame, const double *a, double *out)
{
    for (size_t i = 0; i < frame->rows; i++) {
        const double rise = state->is_connected ? a[i] - state->before : IMP_NO_VALUE;
        out[i] = finite_or_missing(per_time ? rise / state->since : rise);
        state->before = a[i];
        state->since = frame->duration[i];
        state->is_connected = frame->duration[i] > 0.0;
    }
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

static imp_status rolling(imp_engine *engine, imp_node_state *state, double seconds, const imp_frame *frame,
                          const double *a, double *out, imp_error *error)
{
    for (size_t i = 0; i < frame->rows; i++) {
        if (!state->is_connected)
            empty_queue(state);
        const double time = frame->time[i];
        while (state->queue_count > 0 && state->queue[2 * state->queue_start] <= time - seconds) {
            const double value = state->queue[2 * state->queue_start + 1];
            state->queue_start = (state->queue_start + 1) & (state->queue_capacity - 1);
            if (--state->queue_count == 0)
                empty_queue(state);
            else
                change_sum(state, value, -1.0);
        }
        if (a[i] == a[i]) {
            if (state->queue_count == state->queue_capacity) {
                const imp_status status = grow_queue(engine, state, error);
                if (status != IMP_OK)
                    return status;
            }
            const size_t at = 2 * ((state->queue_start + state->queue_count++) & (state->queue_capacity - 1));
            state->queue[at] = time;
            state->queue[at + 1] = a[i];
            change_sum(state, a[i], 1.0);
        }
        const double sum = state->is_slow ? imp_exact_sum_value(&state->sum) : state->upper + state->lower;
        out[i] = state->queue_count > 0 ? finite_or_missing(sum / (double)state->queue_count) : IMP_NO_VALUE;
        state->is_connected = frame->duration[i] > 0.0;
    }
    return IMP_OK;
}

imp_status imp_node_evaluate(imp_engine *engine, int index, imp_frame *frame, imp_error *error)
{
    const imp_node *node = &engine->columns->nodes[index];
    imp_node_state *state = &engine->states[index];
    double *out = frame->values[index];
    const double *a = node->a >= 0 ? frame->values[node->a] : NULL, *b = node->b >= 0 ? frame->values[node->b] : NULL;
    switch (node->operation) {
    case IMP_COLUMN_SOURCE:
    case IMP_COLUMN_TIME:
    case IMP_COLUMN_MEMORY:
    case IMP_COLUMN_CONSTANT:
    case IMP_COLUMN_LASTING: return IMP_OK;
    case IMP_COLUMN_RATE:
    case IMP_COLUMN_CHANGE: difference(state, node->operation == IMP_COLUMN_RATE, frame, a, out); return IMP_OK;
    case IMP_COLUMN_UNCHANGED: unchanged(state, node->parameter, frame, a, out); return IMP_OK;
    case IMP_COLUMN_ROLLING: return rolling(engine, state, node->parameter, frame, a, out, error);
    case IMP_COLUMN_DURATION: durations(frame, engine->columns->nodes[node->a].kind.is_mask, a, out); return IMP_OK;
    default:
        if (b != NULL)
            engine->kernels->binary(node->operation, a, b, out, frame->rows);
        else
            engine->kernels->unary(node->operation, a, out, frame->rows);
        return IMP_OK;
    }
}

/* --- lasting --- */

static void fill(imp_engine *engine, int node, uint64_t from_frame, size_t from_row, uint64_t to_frame, size_t to_row,
                 double value)
{
    for (uint64_t number = from_frame; number <= to_frame; number++) {
        const imp_frame *frame = engine->frames[number % IMP_FRAMES];
        const size_t first = number == from_frame ? from_row : 0, last = number == to_frame ? to_row : frame->rows;
        for (size_t i = first; i < last; i++)
            frame->values[node][i] = value;
    }
}

void imp_node_decide(imp_engine *engine, int index, uint64_t number)
{
    const imp_node *node = &engine->columns->nodes[index];
    imp_node_state *state = &engine->states[index];
    imp_frame *frame = engine->frames[number % IMP_FRAMES];
    const double *mask = frame->values[node->a];
    double *out = frame->values[index];
    for (size_t i = 0; i < frame->rows; i++) {
        if (mask[i] != 1.0) {
            if (state->is_open && !state->is_decided)
                fill(engine, index, state->open_frame, state->open_row, number, i, 0.0);
            state->is_open = false;
            out[i] = mask[i] == mask[i] ? 0.0 : IMP_NO_VALUE;
            continue;
        }
        if (!state->is_open) {
            state->is_open = true;
            state->is_decided = false;
            state->since = frame->time[i];
            state->open_frame = number;
            state->open_row = i;
        }
        /* the row holds until the next one, which is there as it came */
        const double reach = frame->duration[i] > 0.0 ? frame->time[i + 1] : frame->time[i];
        if (!state->is_decided && reach - state->since >= node->parameter) {
            state->is_decided = true;
            fill(engine, index, state->open_frame, state->open_row, number, i, 1.0);
        }
        out[i] = 1.0;
        if (!(frame->duration[i] > 0.0)) {
            if (!state->is_decided)
                fill(engine, index, state->open_frame, state->open_row, number, i + 1, 0.0);
            state->is_open = false;
        }
    }
}

uint64_t imp_node_undecided(const imp_engine *engine, int node)
{
    const imp_node_state *state = &engine->states[node];
    return state->is_open && !state->is_decided ? state->open_frame : UINT64_MAX;
}
