/* An engine: what one run of a set of columns works with, and the lists of what has to be done, made once. */
#include <math.h>
#include <string.h>

#include "columns_internal.h"

bool imp_engine_counts(const imp_engine *engine, const imp_tally *tally)
{
    const imp_column_kind *kind = &engine->columns->nodes[tally->value].kind;
    return !tally->is_answered && (engine->length > 0 ? !kind->is_streamed && kind->length == engine->length : kind->is_streamed);
}

/* All nodes that what is asked depends on; nodes come after their operands. */
static void mark_needed(imp_engine *engine)
{
    const imp_columns *columns = engine->columns;
    bool *needed = engine->needed;
    for (size_t i = 0; i < columns->tally_count; i++) {
        const imp_tally *tally = columns->tallies[i];
        if (!imp_engine_counts(engine, tally))
            continue;
        needed[tally->value] = true;
        if (tally->mask >= 0)
            needed[tally->mask] = true;
        if (tally->kind == IMP_TALLY_SPANS)
            for (size_t k = 0; k < tally->value_count; k++)
                needed[tally->values[k]] = true;
    }
    for (size_t i = 0; engine->length == 0 && i < columns->tap_count; i++)
        needed[columns->taps[i]] = true;
    for (size_t i = columns->node_count; i-- > 0;) {
        const imp_node *node = &columns->nodes[i];
        if (!needed[i])
            continue;
        if (node->a >= 0)
            needed[node->a] = true;
        if (node->b >= 0)
            needed[node->b] = true;
        engine->levels = node->level + 1 > engine->levels ? node->level + 1 : engine->levels;
        engine->back = fmax(engine->back, node->back);
        engine->ahead = fmax(engine->ahead, node->ahead);
        engine->rows_back = node->rows_back > engine->rows_back ? node->rows_back : engine->rows_back;
    }
}

/* The totals that tallies share. */
static imp_status list_totals(imp_engine *engine)
{
    const imp_columns *columns = engine->columns;
    engine->totals = imp_allocate(columns->allocator, columns->tally_count + 1, sizeof *engine->totals);
    engine->total_of = imp_allocate(columns->allocator, columns->node_count + 1, sizeof *engine->total_of);
    if (engine->totals == NULL || engine->total_of == NULL)
        return IMP_MEMORY;
    for (size_t i = 0; i < columns->node_count; i++)
        engine->total_of[i] = -1;
    for (size_t i = 0; i < columns->tally_count; i++) {
        imp_tally *tally = columns->tallies[i];
        tally->shared = -1;
        if (!imp_engine_counts(engine, tally) || (tally->kind != IMP_TALLY_MOMENTS && tally->kind != IMP_TALLY_SERIES))
            continue;
        size_t at = 0;
        while (at < engine->total_count && (engine->totals[at].value != tally->value || engine->totals[at].mask != tally->mask))
            at++;
        engine->totals[at] = (imp_total){tally->value, tally->mask};
        engine->total_count += at == engine->total_count;
        tally->shared = (int)at;
        if (tally->mask < 0)
            engine->total_of[tally->value] = (int)at;
    }
    return IMP_OK;
}

/* Nodes that must see every frame, in order. */
static imp_status list_ordered(imp_engine *engine)
{
    const imp_columns *columns = engine->columns;
    engine->ordered = imp_allocate(columns->allocator, columns->node_count + 1, sizeof *engine->ordered);
    if (engine->ordered == NULL)
        return IMP_MEMORY;
    for (size_t i = 0; i < columns->node_count; i++)
        if (engine->needed[i] && (imp_node_remembers(&columns->nodes[i]) || columns->nodes[i].operation == IMP_COLUMN_LASTING))
            engine->ordered[engine->ordered_count++] = (int)i;
    return IMP_OK;
}

static imp_status fill_constants(imp_engine *engine)
{
    const imp_columns *columns = engine->columns;
    size_t count = 0, at = 0;
    for (size_t i = 0; i < columns->node_count; i++)
        count += engine->needed[i] && columns->nodes[i].operation == IMP_COLUMN_CONSTANT;
    engine->constants = imp_allocate(columns->allocator, (count + 3) * IMP_FRAME_STRIDE, sizeof(double));
    if (engine->constants == NULL)
        return IMP_MEMORY;
    for (size_t i = 0; i < columns->node_count; i++)
        if (engine->needed[i] && columns->nodes[i].operation == IMP_COLUMN_CONSTANT) {
            for (size_t k = 0; k < IMP_FRAME_STRIDE; k++)
                engine->constants[at * IMP_FRAME_STRIDE + k] = columns->nodes[i].parameter;
            at++;
        }
    engine->scratch = engine->constants + count * IMP_FRAME_STRIDE;
    engine->scratch_b = engine->scratch + IMP_FRAME_STRIDE;
    engine->zeros = engine->scratch_b + IMP_FRAME_STRIDE;
    return IMP_OK;
}

imp_status imp_engine_create(imp_columns *columns, size_t length, bool is_partial, imp_engine **engine, imp_error *error)
{
    const size_t nodes = columns->node_count > 0 ? columns->node_count : 1;
    imp_engine *made = imp_allocate(columns->allocator, 1, sizeof *made);
    if (made == NULL)
        return imp_columns_out_of_memory(error);
    made->columns = columns;
    made->kernels = imp_kernels_best();
    made->length = length;
    made->is_partial = is_partial;
    made->faults = &columns->faults;
    made->levels = 1;
    pthread_mutex_init(&made->counting, NULL);
    made->count_to = UINT64_MAX;
    made->count_from = is_partial ? UINT64_MAX : 0;
    made->notes_faults = !is_partial;
    made->needed = imp_allocate(columns->allocator, nodes, sizeof *made->needed);
    made->states = imp_allocate(columns->allocator, nodes, sizeof *made->states);
    if (made->needed == NULL || made->states == NULL) {
        imp_engine_free(made);
        return imp_columns_out_of_memory(error);
    }
    mark_needed(made);
    for (size_t i = 0; i < columns->node_count; i++)
        if (made->needed[i] && columns->nodes[i].operation == IMP_COLUMN_SOURCE) {
            made->sources[made->source_count] = (int)i;
            made->source_columns[made->source_count++] = columns->nodes[i].source;
        }
    for (size_t i = 0; i < columns->node_count; i++)
        if (made->needed[i] && columns->nodes[i].operation == IMP_COLUMN_ROLLING &&
            imp_window_of(made, (int)i, &made->states[i].window) != IMP_OK) {
            imp_engine_free(made);
            return imp_columns_out_of_memory(error);
        }
    made->head.width = made->tail.width = made->source_count + 2;
    if (list_totals(made) != IMP_OK || list_ordered(made) != IMP_OK || fill_constants(made) != IMP_OK || imp_frame_create(made, &made->filling) != IMP_OK) {
        imp_engine_free(made);
        return imp_columns_out_of_memory(error);
    }
    made->frames[0] = made->filling;
    for (size_t i = 0; i < columns->tally_count; i++)
        columns->tallies[i]->keeps_first = is_partial;
    imp_engine_restart(made);
    *engine = made;
    return IMP_OK;
}

void imp_engine_free(imp_engine *engine)
{
    if (engine == NULL)
        return;
    const imp_columns *columns = engine->columns;
    for (size_t i = 0; i < IMP_FRAMES; i++)
        imp_frame_free(columns, engine->frames[i]);
    for (size_t i = 0; engine->states != NULL && i < columns->node_count; i++)
        imp_rolling_free(columns, &engine->states[i].rolling);
    imp_windows_free(engine);
    imp_row_store_free(engine, &engine->head);
    imp_row_store_free(engine, &engine->tail);
    pthread_mutex_destroy(&engine->counting);
    imp_release(columns->allocator, engine->constants);
    imp_release(columns->allocator, engine->ordered);
    imp_release(columns->allocator, engine->totals);
    imp_release(columns->allocator, engine->total_of);
    imp_release(columns->allocator, engine->needed);
    imp_release(columns->allocator, engine->states);
    imp_release(columns->allocator, engine);
}

void imp_engine_restart(imp_engine *engine)
{
    for (size_t i = 0; i < engine->columns->node_count; i++)
        imp_node_state_reset(&engine->states[i]);
    for (imp_window *window = engine->windows; window != NULL; window = window->next)
        imp_window_reset(window);
    for (size_t i = 0; i < IMP_FRAMES; i++)
        if (engine->frames[i] != engine->filling)
            imp_frame_free(engine->columns, engine->frames[i]);
    for (size_t i = 0; i < IMP_FRAMES; i++)
        engine->frames[i] = NULL;
    engine->frames[0] = engine->filling;
    engine->released = 0;
    engine->filled = 0;
    atomic_store(&engine->evaluated, 0);
    atomic_store(&engine->frames_counted, 0);
    memset(engine->done, 0, sizeof engine->done);
    engine->filling->duration_before = 0.0;
    engine->filling->first_row = engine->fed;
    engine->fill = 0;
    engine->has_last = false;
}
