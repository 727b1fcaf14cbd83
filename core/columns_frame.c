/* Frames: some hundred rows of every node, as they are evaluated together. */
#include "columns_internal.h"

static bool has_storage(const imp_engine *engine, size_t node)
{
    const imp_column_operation operation = engine->columns->nodes[node].operation;
    return engine->needed[node] && operation != IMP_COLUMN_CONSTANT && operation != IMP_COLUMN_TIME &&
           operation != IMP_COLUMN_MEMORY;
}

void imp_frame_free(const imp_columns *columns, imp_frame *frame)
{
    if (frame == NULL)
        return;
    imp_release(columns->allocator, frame->storage);
    imp_release(columns->allocator, frame->own);
    imp_release(columns->allocator, frame->is_done);
    imp_release(columns->allocator, frame->extents);
    imp_release(columns->allocator, frame->totals);
    imp_release(columns->allocator, frame);
}

static void place_arrays(const imp_engine *engine, imp_frame *frame)
{
    const imp_columns *columns = engine->columns;
    double *next = frame->storage + (size_t)2 * IMP_FRAME_STRIDE;
    size_t constant = 0;
    frame->time = frame->storage;
    frame->duration = frame->storage + IMP_FRAME_STRIDE;
    for (size_t i = 0; i < columns->node_count; i++) {
        const imp_column_operation operation = columns->nodes[i].operation;
        if (!engine->needed[i])
            continue;
        if (operation == IMP_COLUMN_TIME) {
            frame->own[i] = frame->time;
        } else if (operation == IMP_COLUMN_CONSTANT) {
            frame->own[i] = engine->constants + constant++ * IMP_FRAME_STRIDE;
        } else if (operation != IMP_COLUMN_MEMORY) {
            frame->own[i] = next;
            next += IMP_FRAME_STRIDE;
        }
        frame->values[i] = frame->own[i];
    }
}

imp_status imp_frame_create(const imp_engine *engine, imp_frame **frame)
{
    const imp_columns *columns = engine->columns;
    const size_t nodes = columns->node_count > 0 ? columns->node_count : 1;
    size_t arrays = 2;
    for (size_t i = 0; i < columns->node_count; i++)
        arrays += has_storage(engine, i);
    imp_frame *made = imp_allocate(columns->allocator, 1, sizeof *made);
    if (made == NULL)
        return IMP_MEMORY;
    made->storage = imp_allocate(columns->allocator, arrays * IMP_FRAME_STRIDE, sizeof(double));
    made->own = imp_allocate(columns->allocator, 2 * nodes, sizeof(double *));
    made->is_done = imp_allocate(columns->allocator, 3 * nodes + engine->total_count, sizeof *made->is_done);
    made->extents = imp_allocate(columns->allocator, nodes, sizeof *made->extents);
    made->totals = imp_allocate(columns->allocator, engine->total_count + 1, sizeof *made->totals);
    if (made->totals == NULL || made->storage == NULL || made->own == NULL || made->is_done == NULL || made->extents == NULL) {
        imp_frame_free(columns, made);
        return IMP_MEMORY;
    }
    made->values = made->own + nodes;
    made->is_zero = made->is_done + nodes;
    made->has_extent = made->is_zero + nodes;
    made->has_total = made->has_extent + nodes;
    made->nodes = nodes;
    made->total_count = engine->total_count;
    place_arrays(engine, made);
    *frame = made;
    return IMP_OK;
}

void imp_frame_prepare(const imp_engine *engine, imp_frame *frame)
{
    const double *time = frame->time;
    bool is_rising = true;
    memset(frame->is_done, 0, (3 * frame->nodes + frame->total_count) * sizeof *frame->is_done); /* and the lists behind it */
    memset(frame->holds, 0, sizeof frame->holds);
    frame->greatest_duration = engine->kernels->holds(frame->duration, frame->rows, frame->holds);
    for (size_t i = 1; i < frame->rows; i++)
        is_rising &= time[i] >= time[i - 1];
    frame->is_rising = is_rising;
}

/* The extent of a column times or by a constant is that of the column, computed likewise: rounding keeps order. */
static bool scaled_extent(bool divides, double by, const imp_extent *of, imp_extent *extent)
{
    const double a = divides ? of->least / by : of->least * by, b = divides ? of->greatest / by : of->greatest * by;
    if (!isfinite(a) || !isfinite(b))
        return false;
    *extent = (imp_extent){of->count, a < b ? a : b, a < b ? b : a};
    return true;
}

imp_status imp_frame_extent(imp_engine *engine, imp_frame *frame, int index, const imp_extent **extent, imp_error *error)
{
    imp_extent *found = &frame->extents[index];
    const imp_node *node = &engine->columns->nodes[index];
    imp_status status = IMP_OK;
    *extent = found;
    if (frame->has_extent[index])
        return IMP_OK;
    const bool divides = node->operation == IMP_COLUMN_DIVIDE;
    if ((divides || node->operation == IMP_COLUMN_MULTIPLY) && !frame->is_done[index] &&
        engine->columns->nodes[node->b].operation == IMP_COLUMN_CONSTANT) {
        const imp_extent *of;
        status = imp_frame_extent(engine, frame, node->a, &of, error);
        frame->has_extent[index] = status == IMP_OK && scaled_extent(divides, engine->columns->nodes[node->b].parameter, of, found);
    }
    if (status != IMP_OK || frame->has_extent[index])
        return status;
    if (engine->total_of[index] >= 0) {
        const imp_block_sum *sum;
        status = imp_frame_total_of(engine, frame, engine->total_of[index], &sum, error);
        if (status == IMP_OK)
            *found = sum->extent;
        frame->has_extent[index] = status == IMP_OK;
        return status;
    }
    status = imp_node_need(engine, index, frame, error);
    if (status == IMP_OK)
        *found = engine->kernels->select(frame->values[index], NULL, frame->rows, NULL);
    frame->has_extent[index] = status == IMP_OK;
    return status;
}

imp_status imp_frame_total_of(imp_engine *engine, imp_frame *frame, int total, const imp_block_sum **sum, imp_error *error)
{
    const imp_total *of = &engine->totals[total];
    imp_frame_total *found = &frame->totals[total];
    *sum = &found->sum;
    if (frame->has_total[total])
        return IMP_OK;
    imp_status status = imp_node_need(engine, of->value, frame, error);
    if (status == IMP_OK && of->mask >= 0)
        status = imp_node_need(engine, of->mask, frame, error);
    if (status != IMP_OK)
        return status;
    imp_exact_sum_find(frame->values[of->value], of->mask >= 0 ? frame->values[of->mask] : NULL, frame->rows, &found->exponent, &found->sum);
    frame->has_total[total] = true;
    return IMP_OK;
}

static unsigned lowest_bit(uint64_t word)
{
#if defined(__GNUC__)
    return (unsigned)__builtin_ctzll(word);
#else
    unsigned bit = 0;
    for (; (word & 1) == 0; word >>= 1)
        bit++;
    return bit;
#endif
}

size_t imp_bits_find(const uint64_t *bits, size_t from, size_t to, bool is_set)
{
    const uint64_t turned = is_set ? 0 : UINT64_MAX;
    while (from < to) {
        const uint64_t word = (bits[from / 64] ^ turned) >> (from % 64);
        if (word != 0) {
            const size_t found = from + lowest_bit(word);
            return found < to ? found : to;
        }
        from += 64 - from % 64;
    }
    return to;
}
