/* Pieces of a log: the rows at both ends that must be kept as they came, because a neighbour may change what they mean. */
#include <math.h>
#include <string.h>

#include "columns_internal.h"

enum { TRIM_ROWS = 8192 };

void imp_row_store_free(imp_engine *engine, imp_row_store *store)
{
    imp_release(engine->columns->allocator, store->cells);
    store->cells = NULL;
    store->rows = store->capacity = 0;
}

static bool is_parted(const imp_engine *engine, const imp_row_store *store, size_t row)
{
    const double step = store->cells[row * store->width] - store->cells[(row - 1) * store->width];
    return !(step > 0.0 && step <= engine->columns->gap);
}

/* The first row that must be fed again so that row `due` and all later ones are evaluated as before. */
size_t imp_piece_context(const imp_engine *engine, const imp_row_store *store, size_t due)
{
    size_t row = due;
    for (int steps = engine->rows_back + 1; steps > 0 && row > 0; steps--, row--)
        if (row < store->rows && is_parted(engine, store, row))
            return row - 1;
    if (row >= store->rows)
        return store->rows > 0 ? store->rows - 1 : 0;
    const double time = store->cells[row * store->width];
    while (row > 0 && time - store->cells[row * store->width] < engine->back) {
        if (is_parted(engine, store, row))
            return row - 1;
        row--;
    }
    return row;
}

static void trim(imp_engine *engine, imp_row_store *store)
{
    const uint64_t due = engine->counted > engine->tail_first ? engine->counted - engine->tail_first : 0;
    const size_t first = imp_piece_context(engine, store, due < store->rows ? (size_t)due : store->rows);
    memmove(store->cells, store->cells + first * store->width, (store->rows - first) * store->width * sizeof *store->cells);
    store->rows -= first;
    engine->tail_first += first;
}

imp_status imp_row_store_add(imp_engine *engine, imp_row_store *store, const imp_log_block *block, size_t row,
                             imp_error *error)
{
    if (store == &engine->tail && store->rows == store->capacity && store->rows >= TRIM_ROWS)
        trim(engine, store);
    if (store->rows == store->capacity) {
        if (store->rows >= (size_t)2 * IMP_COLUMNS_WAITING_ROWS)
            return imp_fail(error, IMP_LIMIT, NULL, "windows reach over more than %d rows of a piece; resample first",
                            IMP_COLUMNS_WAITING_ROWS);
        const size_t capacity = store->capacity > 0 ? 2 * store->capacity : 256;
        double *cells = imp_resize(engine->columns->allocator, store->cells, capacity, store->width * sizeof *cells);
        if (cells == NULL)
            return imp_columns_out_of_memory(error);
        store->cells = cells;
        store->capacity = capacity;
    }
    double *to = store->cells + store->rows++ * store->width;
    *to++ = block->time[row];
    *to++ = (double)block->line[row];
    for (size_t i = 0; i < engine->source_count; i++)
        *to++ = block->values[engine->source_columns[i]][row];
    return IMP_OK;
}

/* From this row on, nothing depends on what came before the piece. */
static void split(imp_engine *engine, double time)
{
    engine->has_split = true;
    engine->split_row = engine->count_from = engine->fed;
    engine->split_time = time;
    engine->head_split = engine->head.rows - 1;
    engine->notes_faults = true;
}

imp_status imp_piece_take(imp_engine *engine, const imp_log_block *block, size_t row, bool is_kept, bool is_parted_row,
                          imp_error *error)
{
    imp_status status = IMP_OK;
    const double time = block->time[row];
    if (!engine->head_complete)
        status = imp_row_store_add(engine, &engine->head, block, row, error);
    if (status != IMP_OK || !is_kept)
        return status;
    if (engine->fed == 0)
        engine->start_time = time;
    if (!engine->has_split) {
        if (!engine->is_ready && time - engine->start_time >= engine->back) {
            engine->is_ready = true;
            engine->ready_row = engine->fed;
        }
        /* behind a break, every node starts afresh */
        if (is_parted_row || (engine->is_ready && engine->fed > engine->ready_row + (uint64_t)engine->rows_back))
            split(engine, time);
    } else if (!engine->head_complete) {
        engine->break_after_split = engine->break_after_split || is_parted_row;
        engine->head_complete = engine->fed >= engine->split_row + 2 && engine->counted > engine->split_row &&
                                (engine->break_after_split || time - engine->split_time >= engine->ahead);
    }
    return imp_row_store_add(engine, &engine->tail, block, row, error);
}
