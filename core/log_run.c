/* Runs over a log: chunks of text are read, parsed, and their rows handed on in order, by one thread or by several.
 * There is no queue of jobs: whoever is free takes the next step that may be taken. Steps behind come first, so that
 * rows are still in the cache when they are looked at again; there are more chunks than threads, so that one who may
 * not hand on yet can read ahead. */
#include <pthread.h>
#include <stdatomic.h>
#include <string.h>
#include <unistd.h>

#include "log_internal.h"

enum { SPARE_CHUNKS = 2, SPINS = 4000 };

typedef struct run {
    imp_log *log;
    imp_log_take take;
    imp_log_then then;
    void *context;
    imp_log_work *works;
    size_t work_count;
    bool is_shared;
    /* under the mutex where several threads share the run */
    pthread_mutex_t mutex;
    pthread_cond_t changed;
    _Atomic unsigned changes;
    uint64_t next_read, next_taken; /* numbers of chunks */
    bool is_reading, is_behind; /* one thread each, at most; and one takes: the next chunk is due only behind it */
    bool has_behind;                /* rows were taken that `then` has not been called for */
    bool is_over;                   /* nothing more is to be read */
    imp_status status;
    imp_error error;
} run;

/* --- chunks --- */

static void work_free(imp_log_work *work)
{
    imp_release(work->allocator, work->text);
    imp_release(work->allocator, work->block.time);
    imp_release(work->allocator, work->block.line);
}

static imp_status work_init(const imp_log *log, imp_log_work *work, imp_error *error)
{
    /* columns are kept a little apart: equal places in all of them must not meet in one set of the cache */
    const size_t stride = log->rows + 8, columns = log->header.count + 1;
    memset(work, 0, sizeof *work);
    work->allocator = log->allocator;
    work->format = &log->format;
    work->clock = log->clock;
    work->text = imp_allocate(log->allocator, IMP_LOG_LONGEST_LINE + 1 + log->chunk + IMP_LOG_PADDING, 1);
    work->block.time = imp_allocate(log->allocator, columns * stride + 8 * columns, sizeof(double));
    work->block.line = imp_allocate(log->allocator, log->rows, sizeof(uint64_t));
    work->block.capacity = log->rows;
    for (size_t c = 0; c < IMP_LOG_MOST_COLUMNS; c++) {
        work->shapes[c] = imp_log_no_shape;
        work->pending[c].divisor = 1.0;
    }
    if (work->text == NULL || work->block.time == NULL || work->block.line == NULL) {
        work_free(work);
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    }
    for (size_t c = 0; c < log->header.count; c++)
        work->block.values[c] = work->block.time + (c + 1) * stride;
    return IMP_OK;
}

/* Hand the rows of one chunk on, and parse what did not fit into the first block. */
static imp_status hand_on(const run *all, imp_log_work *work, imp_error *error)
{
    imp_log *log = all->log;
    for (;;) {
        const uint64_t before = log->faults.lines;
        const uint64_t parsed_before = work->line - work->faults.lines;
        /* lines of a work count from the start of its text: those before this block are in the log's count already */
        const uint64_t shift = before - parsed_before;
        for (size_t i = 0; i < work->block.rows; i++)
            work->block.line[i] += shift;
        imp_log_faults_append(&log->faults, &work->faults, shift);
        if (work->block.rows > 0) {
            const imp_status status = all->take(all->context, &work->block, error);
            if (status != IMP_OK)
                return status;
        }
        if (work->at >= work->length)
            return IMP_OK;
        imp_log_parse(work);
    }
}

/* --- steps: entered and left under the mutex, worked without it --- */

static void lock(run *all)
{
    if (all->is_shared)
        pthread_mutex_lock(&all->mutex);
}

static void unlock(run *all)
{
    if (all->is_shared)
        pthread_mutex_unlock(&all->mutex);
}

/* Something was done that another thread may be waiting for. */
static void tell(run *all)
{
    if (!all->is_shared)
        return;
    atomic_fetch_add_explicit(&all->changes, 1, memory_order_release);
    pthread_cond_broadcast(&all->changed);
}

static void stop(run *all, imp_status status, const imp_error *error)
{
    if (all->status == IMP_OK) {
        all->status = status;
        all->error = *error;
    }
    all->is_over = true;
}

static imp_log_work *work_in_state(run *all, int state)
{
    for (size_t i = 0; i < all->work_count; i++)
        if ((int)all->works[i].state == state)
            return &all->works[i];
    return NULL;
}

static bool call_behind(run *all)
{
    if (!all->has_behind || all->is_behind)
        return false;
    all->is_behind = true;
    all->has_behind = false;
    unlock(all);
    all->then(all->context);
    lock(all);
    all->is_behind = false;
    return true;
}

static bool take_next(run *all)
{
    imp_log_work *work = NULL;
    for (size_t i = 0; i < all->work_count; i++)
        if (all->works[i].state == IMP_WORK_PARSED && all->works[i].number == all->next_taken)
            work = &all->works[i];
    if (work == NULL)
        return false;
    imp_error error = work->error;
    imp_status status = work->status;
    const bool is_wanted = all->status == IMP_OK;
    work->state = IMP_WORK_TAKEN;
    unlock(all);
    if (status == IMP_OK && is_wanted)
        status = hand_on(all, work, &error);
    lock(all);
    if (status != IMP_OK)
        stop(all, status, &error);
    work->state = IMP_WORK_FREE;
    all->next_taken++;
    all->has_behind = all->then != NULL && all->status == IMP_OK;
    return true;
}

/* Reading is one thread's at a time; others may read on while this one parses. */
static bool read_next(run *all)
{
    imp_log_work *work = all->is_over || all->is_reading ? NULL : work_in_state(all, IMP_WORK_FREE);
    if (work == NULL)
        return false;
    all->is_reading = true;
    work->state = IMP_WORK_READ;
    unlock(all);
    work->length = 0;
    work->status = imp_log_fill(all->log, work, &work->error);
    const bool is_end = work->status != IMP_OK || work->length == 0;
    lock(all);
    all->is_reading = false;
    work->number = all->next_read;
    if (is_end)
        all->is_over = true;
    if (is_end && work->status == IMP_OK) {
        work->state = IMP_WORK_FREE;
        return true;
    }
    all->next_read++;
    tell(all);
    if (!is_end) {
        unlock(all);
        imp_log_parse(work);
        lock(all);
    }
    work->state = IMP_WORK_PARSED;
    return true;
}

/* Nothing is left that this thread could do, now or later. */
static bool is_finished(run *all)
{
    return all->is_over && !all->is_reading && work_in_state(all, IMP_WORK_READ) == NULL && work_in_state(all, IMP_WORK_PARSED) == NULL;
}

/* A while without sleeping: what is waited for mostly takes less time than to be woken. */
static void wait_for_change(run *all)
{
    const unsigned seen = atomic_load(&all->changes);
    unlock(all);
    for (int i = 0; i < SPINS && atomic_load_explicit(&all->changes, memory_order_acquire) == seen; i++)
        ;
    lock(all);
    while (atomic_load(&all->changes) == seen)
        pthread_cond_wait(&all->changed, &all->mutex);
}

static void work_through(run *all)
{
    lock(all);
    for (;;) {
        if (call_behind(all) || take_next(all) || read_next(all))
            tell(all);
        else if (is_finished(all))
            break;
        else
            wait_for_change(all);
    }
    unlock(all);
}

/* --- threads --- */

static void *helper_main(void *context)
{
    work_through(context);
    return NULL;
}

static void run_on_threads(run *all, size_t threads)
{
    pthread_t helpers[IMP_LOG_MOST_THREADS];
    size_t helper_count = 0;
    all->is_shared = threads > 1;
    pthread_mutex_init(&all->mutex, NULL);
    pthread_cond_init(&all->changed, NULL);
    /* without a thread more, those there are do it all */
    while (helper_count + 1 < threads && pthread_create(&helpers[helper_count], NULL, helper_main, all) == 0)
        helper_count++;
    work_through(all);
    for (size_t i = 0; i < helper_count; i++)
        pthread_join(helpers[i], NULL);
    pthread_cond_destroy(&all->changed);
    pthread_mutex_destroy(&all->mutex);
}

size_t imp_log_threads(const imp_log *log)
{
    const size_t threads = log->options.threads > 1 ? (size_t)log->options.threads : 1;
    return threads < IMP_LOG_MOST_THREADS ? threads : IMP_LOG_MOST_THREADS;
}

/* --- whole runs --- */

imp_status imp_log_nothing_left(const imp_log_header *header, const imp_log_faults *faults, char decimal, imp_error *error)
{
    int worst = -1;
    for (int i = 0; i < IMP_LOG_FAULT_COUNT; i++)
        if (faults->kind[i].count > 0 && (worst < 0 || faults->kind[i].count > faults->kind[worst].count))
            worst = i;
    if (faults->rows == 0 && worst < 0)
        return imp_fail(error, IMP_SYNTAX, NULL, "there are no rows behind the header");
    if (faults->rows == 0)
        return imp_fail(error, IMP_SYNTAX, NULL, "no row can be used: %llu %s (the first in line %llu; a row has %zu cells)",
                        (unsigned long long)faults->kind[worst].count, imp_log_fault_text((imp_log_fault)worst),
                        (unsigned long long)faults->kind[worst].line[0], header->count + 1);
    const char *hint = "";
    if (decimal == '.' && strchr(faults->sample, ',') != NULL)
        hint = "; decimal commas must be declared in a columns document";
    else if (decimal == ',' && strchr(faults->sample, '.') != NULL)
        hint = "; a decimal comma is declared";
    return imp_fail(error, IMP_SYNTAX, header->columns[faults->sample_column].name,
                    "no cell of any row can be read as a number; the first is \"%s\"%s", faults->sample, hint);
}

static bool any_value(const imp_log_header *header, const imp_log_faults *faults)
{
    uint64_t unreadable = 0;
    for (size_t i = 0; i < header->count; i++) {
        if (faults->missing[i] < faults->rows)
            return true;
        unreadable += faults->unreadable[i];
    }
    return faults->rows > 0 && unreadable == 0;
}

static imp_status rewind_log(imp_log *log, imp_error *error)
{
    if (!log->was_run)
        return IMP_OK;
    if (lseek(log->file, (off_t)log->data_at, SEEK_SET) < 0)
        return imp_fail(error, IMP_IO, NULL, "this input can be read only once; save it to a file");
    log->carried = 0;
    log->at_end = log->discarding = false;
    return IMP_OK;
}

static imp_status run_piece(imp_log *log, imp_log_take take, imp_log_then then, void *context, imp_error *error)
{
    const size_t threads = imp_log_threads(log), works = threads > 1 ? threads + SPARE_CHUNKS : 1;
    size_t made = 0;
    imp_status status = rewind_log(log, error);
    if (status != IMP_OK)
        return status;
    if (log->was_run)
        log->bytes = (uint64_t)log->data_at;
    memset(&log->faults, 0, sizeof log->faults);
    log->faults.lines = log->header_lines;
    log->was_run = true;
    run all = {.log = log, .take = take, .then = then, .context = context, .work_count = works};
    all.works = imp_allocate(log->allocator, works, sizeof *all.works);
    if (all.works == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    for (; made < works && status == IMP_OK; made += status == IMP_OK)
        status = work_init(log, &all.works[made], error);
    if (status == IMP_OK) {
        run_on_threads(&all, threads);
        log->faults.bytes = log->bytes;
        status = all.status;
        if (status != IMP_OK && error != NULL)
            *error = all.error;
    }
    for (size_t i = 0; i < made; i++)
        work_free(&all.works[i]);
    imp_release(log->allocator, all.works);
    return status;
}

imp_status imp_log_run_piece(imp_log *log, imp_log_take take, void *context, imp_error *error)
{
    return run_piece(log, take, NULL, context, error);
}

imp_status imp_log_run_staged(imp_log *log, imp_log_take take, imp_log_then then, void *context, imp_error *error)
{
    const imp_status status = run_piece(log, take, then, context, error);
    return status == IMP_OK && !any_value(&log->header, &log->faults)
               ? imp_log_nothing_left(&log->header, &log->faults, log->format.decimal, error)
               : status;
}

imp_status imp_log_run(imp_log *log, imp_log_take take, void *context, imp_error *error)
{
    return imp_log_run_staged(log, take, NULL, context, error);
}
