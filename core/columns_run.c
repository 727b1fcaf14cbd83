/* Runs: rows into frames, frames through the nodes level by level, and on to the reductions. */
#include <math.h>
#include <string.h>

#include "columns_internal.h"
#include "log_internal.h"

/* --- evaluation --- */

static size_t clamp(uint64_t row, uint64_t first, size_t rows)
{
    return row <= first ? 0 : row - first >= rows ? rows : (size_t)(row - first);
}

static imp_status count_frame(imp_engine *engine, imp_frame *frame, imp_error *error)
{
    imp_columns *columns = engine->columns;
    imp_status status = IMP_OK;
    frame->count_from = clamp(engine->count_from, frame->first_row, frame->rows);
    frame->count_to = clamp(engine->count_to, frame->first_row, frame->rows);
    for (size_t i = 0; i < columns->tally_count && status == IMP_OK; i++)
        if (imp_engine_counts(engine, columns->tallies[i]))
            status = imp_tally_count(engine, columns->tallies[i], frame, error);
    if (status == IMP_OK && engine->length == 0 && columns->tap != NULL) {
        const double *values[IMP_MOST_TAPS];
        for (size_t i = 0; i < columns->tap_count && status == IMP_OK; i++) {
            status = imp_node_need(engine, columns->taps[i], frame, error);
            values[i] = frame->values[columns->taps[i]];
        }
        if (status == IMP_OK)
            status = columns->tap(columns->tap_context, frame->rows, frame->time, frame->duration, values, error);
    }
    engine->counted = frame->first_row + frame->rows;
    return status;
}

/* The nodes of one level that remember rows, over one frame; then lasting of the next level may decide rows up to here. */
static imp_status evaluate_level(imp_engine *engine, int level, uint64_t number, imp_error *error)
{
    const imp_columns *columns = engine->columns;
    imp_frame *frame = engine->frames[number % IMP_FRAMES];
    imp_status status = IMP_OK;
    for (size_t i = 0; i < engine->ordered_count && status == IMP_OK; i++) {
        const int node = engine->ordered[i];
        if (columns->nodes[node].level == level && columns->nodes[node].operation != IMP_COLUMN_LASTING)
            status = imp_node_need(engine, node, frame, error);
    }
    for (size_t i = 0; i < engine->ordered_count && status == IMP_OK; i++) {
        const int node = engine->ordered[i];
        if (columns->nodes[node].level != level + 1 || columns->nodes[node].operation != IMP_COLUMN_LASTING)
            continue;
        status = imp_node_need(engine, columns->nodes[node].a, frame, error);
        if (status == IMP_OK)
            imp_node_decide(engine, node, number);
    }
    return status;
}

/* Frames that lasting of this level has decided. */
static uint64_t decided_frames(const imp_engine *engine, int level, uint64_t below)
{
    uint64_t decided = below;
    for (size_t i = 0; i < engine->ordered_count; i++) {
        const imp_node *node = &engine->columns->nodes[engine->ordered[i]];
        if (node->operation != IMP_COLUMN_LASTING || node->level != level)
            continue;
        const uint64_t first_open = imp_node_undecided(engine, engine->ordered[i]);
        decided = first_open < decided ? first_open : decided;
    }
    return decided;
}

/* All frames that are evaluated go to the reductions. Where another thread is at it already, that one goes on with them,
 * unless they must be through now. */
static imp_status count_frames(imp_engine *engine, bool must_wait, imp_error *error)
{
    if (engine->is_shared && must_wait)
        pthread_mutex_lock(&engine->counting);
    else if (engine->is_shared && pthread_mutex_trylock(&engine->counting) != 0)
        return IMP_OK;
    for (uint64_t number = atomic_load(&engine->frames_counted);
         engine->status == IMP_OK && number < atomic_load_explicit(&engine->evaluated, memory_order_acquire); number++) {
        engine->status = count_frame(engine, engine->frames[number % IMP_FRAMES], &engine->error);
        atomic_store_explicit(&engine->frames_counted, number + 1, memory_order_release);
    }
    const imp_status status = engine->status;
    if (status != IMP_OK) {
        atomic_store(&engine->has_failed, true);
        if (error != NULL)
            *error = engine->error;
    }
    if (engine->is_shared)
        pthread_mutex_unlock(&engine->counting);
    return status;
}

static imp_status advance(imp_engine *engine, imp_error *error)
{
    imp_status status = IMP_OK;
    const int last = engine->levels - 1;
    uint64_t ready = engine->filled;
    for (int level = 0; level <= last && status == IMP_OK; level++) {
        if (level > 0)
            ready = decided_frames(engine, level, engine->done[level - 1]);
        while (engine->done[level] < ready && status == IMP_OK) {
            status = evaluate_level(engine, level, engine->done[level], error);
            engine->done[level]++;
            if (level == last && status == IMP_OK) {
                atomic_store_explicit(&engine->evaluated, engine->done[level], memory_order_release);
                if (!engine->is_shared)
                    status = count_frames(engine, true, error);
            }
        }
    }
    return status;
}

/* The frame being filled is full: evaluate what can be, and go on with its last row in the next one. */
imp_status imp_engine_complete_frame(imp_engine *engine, imp_error *error)
{
    imp_frame *full = engine->filling;
    full->rows = engine->fill - 1;
    imp_frame_prepare(engine, full);
    engine->filled++;
    imp_status status = advance(engine, error);
    const uint64_t done = engine->done[engine->levels - 1];
    if (status == IMP_OK && engine->is_shared &&
        (atomic_load(&engine->has_failed) || done >= atomic_load(&engine->frames_counted) + IMP_FRAMES_UNCOUNTED))
        status = count_frames(engine, true, error);
    if (status != IMP_OK)
        return status;
    if (engine->filled - done >= IMP_FRAMES_WAITING)
        return imp_fail(error, IMP_LIMIT, NULL,
                        "lasting has to look ahead over more than %d rows; ask for a shorter time, or resample first",
                        IMP_COLUMNS_WAITING_ROWS);
    imp_frame **place = &engine->frames[engine->filled % IMP_FRAMES];
    if (atomic_load_explicit(&engine->frames_counted, memory_order_acquire) > engine->released) {
        /* a frame that nothing waits for is used again: few stay in the cache */
        imp_frame **released = &engine->frames[engine->released++ % IMP_FRAMES];
        *place = *released;
        *released = NULL;
    } else if (imp_frame_create(engine, place) != IMP_OK) {
        return imp_columns_out_of_memory(error);
    }
    imp_frame *next = *place;
    const size_t last = engine->fill - 1;
    const double duration_before = full->duration[last - 1];
    next->first_row = full->first_row + last;
    next->time[0] = full->time[last];
    for (size_t i = 0; i < engine->source_count; i++)
        next->values[engine->sources[i]][0] = full->values[engine->sources[i]][last];
    next->duration_before = duration_before;
    engine->filling = next;
    engine->fill = 1;
    return IMP_OK;
}

/* --- rows in order --- */

/* Rows [first, first + count) of a block, which come in order, into the frame. */
static void copy_rows(imp_engine *engine, const imp_log_block *block, size_t first, size_t count)
{
    imp_frame *frame = engine->filling;
    memcpy(frame->time + engine->fill, block->time + first, count * sizeof(double));
    for (size_t i = 0; i < engine->source_count; i++)
        memcpy(frame->values[engine->sources[i]] + engine->fill, block->values[engine->source_columns[i]] + first,
               count * sizeof(double));
    engine->fill += count;
    engine->fed += count;
    engine->last_time = block->time[first + count - 1];
    engine->has_last = true;
}

/* How many rows from `first` on follow each other forwards in time without a gap; their durations are noted. */
static size_t plain_rows(imp_engine *engine, const imp_log_block *block, size_t first, size_t most)
{
    if (!engine->has_last || engine->fill == 0)
        return 0;
    const double *time = block->time + first, gap = engine->columns->gap;
    double *duration = engine->filling->duration + engine->fill - 1;
    duration[0] = time[0] - engine->last_time;
    bool is_plain = duration[0] > 0.0 && duration[0] <= gap;
    for (size_t i = 1; i < most; i++) {
        const double step = time[i] - time[i - 1];
        duration[i] = step;
        is_plain &= step > 0.0 && step <= gap;
    }
    if (is_plain)
        return most;
    size_t plain = 0;
    while (plain < most && duration[plain] > 0.0 && duration[plain] <= gap)
        plain++;
    return plain;
}

static void note(imp_engine *engine, imp_log_fault fault, uint64_t line)
{
    if (engine->notes_faults)
        imp_log_fault_add(engine->faults, fault, line, -1);
}

/* One row that may be out of order, a duplicate, or behind a gap. */
static imp_status take_row(imp_engine *engine, const imp_log_block *block, size_t row, imp_error *error)
{
    const double step = engine->has_last ? block->time[row] - engine->last_time : 0.0;
    const bool is_kept = !engine->has_last || step != 0.0, is_parted = !(step > 0.0 && step <= engine->columns->gap);
    if (engine->is_partial) {
        const imp_status status = imp_piece_take(engine, block, row, is_kept, is_parted && engine->has_last, error);
        if (status != IMP_OK)
            return status;
    }
    if (engine->has_last && is_parted)
        note(engine, step == 0.0 ? IMP_FAULT_DUPLICATE : step < 0.0 ? IMP_FAULT_OUT_OF_ORDER : IMP_FAULT_GAP,
             block->line[row]);
    if (!is_kept)
        return IMP_OK;
    if (engine->fill > 0)
        engine->filling->duration[engine->fill - 1] = is_parted ? 0.0 : step;
    copy_rows(engine, block, row, 1);
    return IMP_OK;
}

imp_status imp_engine_feed(imp_engine *engine, const imp_log_block *block, imp_error *error)
{
    imp_status status = IMP_OK;
    for (size_t row = 0; row < block->rows && status == IMP_OK;) {
        const size_t room = IMP_FRAME_ROWS + 1 - engine->fill, left = block->rows - row;
        const bool is_watched = engine->is_partial && !engine->head_complete;
        const size_t plain = is_watched ? 0 : plain_rows(engine, block, row, room < left ? room : left);
        if (plain > 0) {
            for (size_t i = 0; i < plain && engine->is_partial && status == IMP_OK; i++)
                status = imp_row_store_add(engine, &engine->tail, block, row + i, error);
            copy_rows(engine, block, row, plain);
            row += plain;
        } else {
            status = take_row(engine, block, row++, error);
        }
        if (status == IMP_OK && engine->fill == IMP_FRAME_ROWS + 1)
            status = imp_engine_complete_frame(engine, error);
    }
    return status;
}

imp_status imp_engine_flush(imp_engine *engine, imp_error *error)
{
    if (engine->fill == 0)
        return IMP_OK;
    imp_frame *frame = engine->filling;
    frame->duration[engine->fill - 1] = 0.0;
    frame->rows = engine->fill;
    imp_frame_prepare(engine, frame);
    engine->filled++;
    engine->fill = 0;
    const imp_status status = advance(engine, error);
    return status == IMP_OK ? count_frames(engine, true, error) : status;
}

/* --- runs --- */

static imp_status take_block(void *context, imp_log_block *block, imp_error *error)
{
    return imp_engine_feed(context, block, error);
}

static void count_block(void *context)
{
    count_frames(context, false, NULL);
}

imp_status imp_columns_run(imp_columns *columns, imp_log *log, imp_error *error)
{
    imp_engine *engine = NULL;
    imp_status status = imp_engine_create(columns, 0, false, &engine, error);
    if (status != IMP_OK || engine == NULL)
        return status;
    memset(&columns->faults, 0, sizeof columns->faults);
    /* an allocator of the caller's is never called by two threads at once, nor are the caller's rows handed out by several */
    engine->is_shared = imp_log_threads(log) > 1 && columns->allocator == NULL && columns->tap == NULL;
    status = imp_log_run_staged(log, take_block, engine->is_shared ? count_block : NULL, engine, error);
    if (status == IMP_OK)
        status = imp_engine_flush(engine, error);
    imp_log_faults_append(&columns->faults, imp_log_faults_of(log), 0);
    for (size_t i = 0; i < columns->tally_count; i++) {
        imp_tally *tally = columns->tallies[i];
        if (!imp_engine_counts(engine, tally))
            continue;
        if (status == IMP_OK)
            status = imp_tally_finish(columns, tally, error);
        if (status != IMP_OK)
            imp_tally_reset(tally);
    }
    imp_engine_free(engine);
    columns->tap = NULL;
    columns->tap_count = 0;
    return status;
}

/* One pass over columns in memory of one length. */
static imp_status run_length(imp_columns *columns, size_t length, imp_error *error)
{
    imp_engine *engine = NULL;
    imp_status status = imp_engine_create(columns, length, false, &engine, error);
    if (status != IMP_OK || engine == NULL)
        return status;
    imp_frame *frame = engine->filling;
    for (size_t first = 0; first < length && status == IMP_OK; first += IMP_FRAME_ROWS) {
        frame->rows = length - first < IMP_FRAME_ROWS ? length - first : IMP_FRAME_ROWS;
        frame->first_row = first;
        imp_frame_prepare(engine, frame);
        for (size_t i = 0; i < columns->node_count; i++)
            if (engine->needed[i] && columns->nodes[i].operation == IMP_COLUMN_MEMORY)
                frame->values[i] = columns->nodes[i].memory + first;
        status = evaluate_level(engine, 0, 0, error);
        if (status == IMP_OK)
            status = count_frame(engine, frame, error);
    }
    for (size_t i = 0; i < columns->tally_count && status == IMP_OK; i++)
        if (imp_engine_counts(engine, columns->tallies[i]))
            status = imp_tally_finish(columns, columns->tallies[i], error);
    imp_engine_free(engine);
    return status;
}

imp_status imp_columns_run_memory(imp_columns *columns, imp_error *error)
{
    for (size_t i = 0; i < columns->tally_count; i++) {
        imp_tally *tally = columns->tallies[i];
        const imp_column_kind kind = columns->nodes[tally->value].kind;
        if (tally->is_answered || kind.is_streamed)
            continue;
        const imp_status status = kind.length > 0 ? run_length(columns, kind.length, error) : imp_tally_finish(columns, tally, error);
        if (status != IMP_OK)
            return status;
    }
    return IMP_OK;
}
