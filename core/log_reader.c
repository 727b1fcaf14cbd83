/* Reading logs in chunks. Over 500 lines: plain files, pipes and threads share the same carry of an unfinished row. */
#include "log_reader.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "log_internal.h"

enum { ROWS = 1024, LEAST_CHUNK = 1024, MOST_CHUNK = 1 << 20, SPINS = 4000 };
enum { CARRY_SIZE = 2 * IMP_LOG_LONGEST_LINE }; /* a row that is not complete yet, or the start of the file */

struct imp_log {
    const imp_allocator *allocator;
    char *path;
    int file;
    imp_log_options options;
    size_t chunk, rows;
    imp_log_header header;
    imp_log_format format;
    imp_log_clock clock;
    uint64_t header_lines;
    long long data_at; /* offset of the first row */
    bool was_run;
    /* reading, one thread at a time */
    char *carry;
    size_t carried;
    bool at_end, discarding;
    uint64_t bytes; /* read so far */
    /* handing on, one thread at a time */
    imp_log_faults faults;
    imp_error error;
};

static imp_status memory_failed(imp_error *error)
{
    return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
}

static imp_status read_failed(imp_error *error, int reason)
{
    switch (reason) {
    case ENOENT: return imp_fail(error, IMP_IO, NULL, "there is no such file");
    case EACCES: return imp_fail(error, IMP_IO, NULL, "this file may not be read");
    case EISDIR: return imp_fail(error, IMP_IO, NULL, "this is a folder, not a file");
    default: return imp_fail(error, IMP_IO, NULL, "the file could not be read (system error %d)", reason);
    }
}

/* As many bytes as there are up to `size`; fewer only at the end. */
static imp_status read_bytes(imp_log *log, char *to, size_t size, size_t *got, imp_error *error)
{
    *got = 0;
    while (*got < size && !log->at_end) {
        const ssize_t taken = read(log->file, to + *got, size - *got);
        if (taken < 0 && errno == EINTR)
            continue;
        if (taken < 0)
            return read_failed(error, errno);
        log->at_end = taken == 0;
        *got += (size_t)taken;
    }
    log->bytes += *got;
    return IMP_OK;
}

/* --- the header --- */

static char guess_separator(const char *text, const char *end)
{
    size_t commas = 0, semicolons = 0, tabs = 0;
    for (; text < end; text++) {
        commas += *text == ',';
        semicolons += *text == ';';
        tabs += *text == '\t';
    }
    if (semicolons > commas && semicolons >= tabs)
        return ';';
    return tabs > commas ? '\t' : ',';
}

static imp_conversion conversion_of(const imp_unit *unit)
{
    /* imp_unit_to_si either multiplies or divides by a whole number: find out which, so that a loop can do the same */
    const double divisor = floor(1.0 / unit->factor + 0.5);
    imp_unit plain = *unit;
    plain.offset = 0.0;
    bool divides = divisor > 1.0;
    for (int i = 1; i < 1000 && divides; i++) {
        const double probe = 0.1 * i, si = imp_unit_to_si(&plain, probe);
        divides = si == probe / divisor;
    }
    const imp_conversion by = {.text_divisor = 1.0, .divisor = divides ? divisor : 0.0, .factor = unit->factor, .offset = unit->offset};
    return by;
}

/* Whether times are calendar times, and their zone, from the first rows that have a readable one. */
static void look_at_times(imp_log *log, const char *at, const char *end)
{
    for (int i = 0; i < 100 && at < end; i++) {
        unsigned lines;
        const char *next = imp_log_row_end(at, end, log->at_end, log->format.separator, &lines);
        if (next == NULL)
            return;
        const char *last = next;
        while (last > at && (last[-1] == '\n' || last[-1] == '\r'))
            last--;
        char buffer[64];
        imp_log_cell cell = {at, 0, false};
        for (size_t place = 0; place <= log->header.time_at && at <= last; place++, at++)
            at = imp_log_cell_read(at, last, log->format.separator, buffer, sizeof buffer, &cell);
        imp_log_clock clock = log->clock;
        imp_log_time time;
        if (imp_log_time_read(cell.text, cell.length, &clock, &time)) {
            log->header.is_calendar = time.is_calendar;
            log->header.has_zone = time.has_zone || (time.is_calendar && log->options.mapping != NULL &&
                                                     log->options.mapping->has_zone_offset);
            log->header.zone_offset = time.zone_offset;
            return;
        }
        at = next;
    }
}

static imp_status check_text(const char *text, size_t length, imp_error *error)
{
    const unsigned char *bytes = (const unsigned char *)text;
    if (length == 0)
        return imp_fail(error, IMP_SYNTAX, NULL, "the file is empty; expected a header \"time, name [unit], ...\" and rows");
    if (length >= 2 && ((bytes[0] == 0xff && bytes[1] == 0xfe) || (bytes[0] == 0xfe && bytes[1] == 0xff)))
        return imp_fail(error, IMP_SYNTAX, NULL, "the text is UTF-16; save it as UTF-8");
    return IMP_OK;
}

static imp_status read_header(imp_log *log, imp_error *error)
{
    const imp_log_mapping *mapping = log->options.mapping;
    size_t got;
    imp_status status = read_bytes(log, log->carry, IMP_LOG_LONGEST_LINE + 1, &got, error);
    if (status == IMP_OK)
        status = check_text(log->carry, got, error);
    if (status != IMP_OK)
        return status;
    const char *at = log->carry, *end = log->carry + got;
    if (got >= 3 && memcmp(at, "\xef\xbb\xbf", 3) == 0)
        at += 3;
    while (at < end && (*at == '\n' || *at == '\r'))
        log->header_lines += *at++ == '\n';
    const char *newline = memchr(at, '\n', (size_t)(end - at));
    const char *line = newline != NULL ? newline : end;
    log->format.separator = mapping != NULL && mapping->separator != 0 ? mapping->separator : guess_separator(at, line);
    unsigned lines;
    const char *next = imp_log_row_end(at, end, log->at_end, log->format.separator, &lines);
    if (at == end || next == NULL)
        return imp_fail(error, IMP_SYNTAX, NULL, at == end ? "there is no header" : "the first line is no header: it is too long");
    log->header_lines += lines;
    const char *last = next;
    while (last > at && (last[-1] == '\n' || last[-1] == '\r'))
        last--;
    status = imp_log_header_read(at, last, log->format.separator, mapping, log->allocator, &log->header, error);
    if (status != IMP_OK)
        return status;
    log->format.header = &log->header;
    log->format.decimal = mapping != NULL && mapping->decimal != 0 ? mapping->decimal : '.';
    log->format.cells = log->header.count + 1;
    if (log->format.decimal == log->format.separator)
        return imp_fail(error, IMP_RANGE, NULL, "a comma cannot both separate cells and stand in numbers");
    for (size_t i = 0; i < log->header.count; i++)
        log->format.conversions[i] = conversion_of(&log->header.columns[i].unit);
    log->clock.decimal = log->format.decimal;
    log->clock.format = mapping != NULL ? mapping->time_format : NULL;
    log->clock.zone_offset = mapping != NULL && mapping->has_zone_offset ? mapping->zone_offset : 0.0;
    look_at_times(log, next, end);
    log->data_at = next - log->carry;
    log->carried = (size_t)(end - next);
    /* blocks that a chunk about fills */
    size_t rows_seen = 0;
    for (const char *p = next; p < end; p++)
        rows_seen += *p == '\n';
    const size_t row_bytes = rows_seen > 0 ? log->carried / rows_seen + 1 : 100;
    log->rows = log->options.rows > 0 ? log->options.rows : ROWS;
    log->chunk = log->options.chunk > 0 ? log->options.chunk : row_bytes * (log->rows - log->rows / 32);
    if (log->options.chunk == 0 && log->chunk < LEAST_CHUNK)
        log->chunk = LEAST_CHUNK;
    if (log->chunk > MOST_CHUNK)
        log->chunk = MOST_CHUNK;
    memmove(log->carry, next, log->carried);
    return IMP_OK;
}

imp_status imp_log_open(const char *path, const imp_log_options *options, imp_log **log, imp_error *error)
{
    const imp_allocator *allocator = options != NULL ? options->allocator : NULL;
    imp_log *opened = imp_allocate(allocator, 1, sizeof *opened);
    if (opened == NULL)
        return memory_failed(error);
    opened->allocator = allocator;
    opened->file = -1;
    if (options != NULL)
        opened->options = *options;
    opened->path = imp_copy_text(allocator, path, strlen(path));
    opened->carry = imp_allocate(allocator, CARRY_SIZE, 1);
    imp_status status = opened->path != NULL && opened->carry != NULL ? IMP_OK : memory_failed(error);
    if (status == IMP_OK) {
        opened->file = strcmp(path, "-") == 0 ? dup(0) : open(path, O_RDONLY | O_CLOEXEC);
        status = opened->file >= 0 ? read_header(opened, error) : read_failed(error, errno);
    }
    if (status == IMP_OK)
        *log = opened;
    else
        imp_log_close(opened);
    return status;
}

void imp_log_close(imp_log *log)
{
    if (log == NULL)
        return;
    const imp_allocator *allocator = log->allocator;
    if (log->file >= 0)
        close(log->file);
    imp_release(allocator, log->carry);
    imp_release(allocator, log->path);
    imp_release(allocator, log);
}

const imp_log_header *imp_log_header_of(const imp_log *log)
{
    return &log->header;
}

const imp_log_faults *imp_log_faults_of(const imp_log *log)
{
    return &log->faults;
}

void imp_log_header_extent(const imp_log *log, uint64_t *lines, uint64_t *bytes)
{
    *lines = log->header_lines;
    *bytes = (uint64_t)log->data_at;
}

/* --- text in whole rows --- */

/* Start of the row that is not complete yet. */
static const char *incomplete_row(const imp_log *log, const char *text, const char *end)
{
    if (memchr(text, '"', (size_t)(end - text)) == NULL) {
        while (end > text && end[-1] != '\n')
            end--;
        return end;
    }
    unsigned lines;
    for (const char *next = text; next != NULL;) {
        text = next;
        next = text < end ? imp_log_row_end(text, end, false, log->format.separator, &lines) : NULL;
    }
    return text;
}

/* Fill a work's text with whole rows. work->length is 0 at the end of the file. */
static imp_status fill(imp_log *log, imp_log_work *work, imp_error *error)
{
    size_t length = log->carried;
    memcpy(work->text, log->carry, length);
    work->at = work->length = 0;
    work->line = 0;
    for (;;) {
        size_t got;
        const imp_status status = read_bytes(log, work->text + length, log->chunk, &got, error);
        if (status != IMP_OK)
            return status;
        if (log->discarding) {
            /* the rest of a line that is too long: its first bytes are kept, so that it is seen and counted */
            const char *newline = memchr(work->text + length, '\n', got);
            const size_t dropped = newline != NULL ? (size_t)(newline - (work->text + length)) : got;
            memmove(work->text + length, work->text + length + dropped, got - dropped);
            got -= dropped;
            log->discarding = newline == NULL;
        }
        length += got;
        work->is_last = log->at_end;
        if (log->at_end) {
            work->length = length;
            log->carried = 0;
            break;
        }
        const char *cut = incomplete_row(log, work->text, work->text + length);
        size_t left = (size_t)(work->text + length - cut);
        if (left > IMP_LOG_LONGEST_LINE + 1) {
            left = IMP_LOG_LONGEST_LINE + 1;
            log->discarding = true;
        }
        work->length = (size_t)(cut - work->text);
        if (work->length > 0) {
            memcpy(log->carry, cut, left);
            log->carried = left;
            break;
        }
        length = left;
    }
    memset(work->text + work->length, '\n', IMP_LOG_PADDING);
    return IMP_OK;
}

/* --- runs --- */

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
        return memory_failed(error);
    }
    for (size_t c = 0; c < log->header.count; c++)
        work->block.values[c] = work->block.time + (c + 1) * stride;
    return IMP_OK;
}

typedef struct run {
    imp_log *log;
    imp_log_take take;
    imp_log_then then;
    void *context;
    pthread_mutex_t reading, turning;
    pthread_cond_t turned;
    uint64_t next; /* chunk to be read */
    _Atomic uint64_t turn; /* chunk whose rows are due */
    _Atomic bool stopped;
    bool is_shared;
    imp_status status;
    imp_error error;
} run;

/* Hand the rows of one chunk on, and parse what did not fit into the first block. */
static imp_status deliver(run *all, imp_log_work *work, imp_error *error)
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

static void stop(run *all, imp_status status, const imp_error *error)
{
    if (all->status == IMP_OK) {
        all->status = status;
        all->error = *error;
    }
    atomic_store(&all->stopped, true);
}

static void lock(const run *all, pthread_mutex_t *mutex)
{
    if (all->is_shared)
        pthread_mutex_lock(mutex);
}

static void unlock(const run *all, pthread_mutex_t *mutex)
{
    if (all->is_shared)
        pthread_mutex_unlock(mutex);
}

static void wait_for_turn(run *all, uint64_t mine)
{
    for (int i = 0; i < SPINS; i++)
        if (atomic_load_explicit(&all->turn, memory_order_acquire) == mine)
            return;
    lock(all, &all->turning);
    while (atomic_load(&all->turn) != mine)
        pthread_cond_wait(&all->turned, &all->turning);
    unlock(all, &all->turning);
}

static void pass_turn(run *all)
{
    lock(all, &all->turning);
    atomic_fetch_add(&all->turn, 1);
    if (all->is_shared)
        pthread_cond_broadcast(&all->turned);
    unlock(all, &all->turning);
}

/* One thread's part: read a chunk, parse it while others read theirs, hand it on in its turn. */
static void work_through(run *all, imp_log_work *work)
{
    imp_error error = {.status = IMP_OK};
    for (;;) {
        lock(all, &all->reading);
        imp_status status = IMP_OK;
        work->length = 0;
        if (!atomic_load(&all->stopped))
            status = fill(all->log, work, &error);
        if (status != IMP_OK)
            work->length = 0;
        const bool has_text = work->length > 0;
        const uint64_t mine = all->next;
        if (has_text || status != IMP_OK)
            all->next++;
        unlock(all, &all->reading);
        if (!has_text && status == IMP_OK)
            return;
        if (has_text)
            imp_log_parse(work);
        wait_for_turn(all, mine);
        if (status == IMP_OK && !atomic_load(&all->stopped))
            status = deliver(all, work, &error);
        if (status != IMP_OK)
            stop(all, status, &error);
        pass_turn(all);
        if (all->then != NULL && status == IMP_OK)
            all->then(all->context);
    }
}

typedef struct helper {
    run *all;
    imp_log_work *work;
    pthread_t thread;
    bool is_running;
} helper;

static void *helper_main(void *context)
{
    helper *one = context;
    work_through(one->all, one->work);
    return NULL;
}

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

static void run_on_threads(run *all, imp_log_work *works, size_t threads)
{
    helper helpers[IMP_LOG_MOST_THREADS];
    all->is_shared = threads > 1;
    pthread_mutex_init(&all->reading, NULL);
    pthread_mutex_init(&all->turning, NULL);
    pthread_cond_init(&all->turned, NULL);
    for (size_t i = 1; i < threads; i++) {
        helpers[i].all = all;
        helpers[i].work = &works[i];
        /* without a thread more, those there are do it all */
        helpers[i].is_running = pthread_create(&helpers[i].thread, NULL, helper_main, &helpers[i]) == 0;
    }
    work_through(all, &works[0]);
    for (size_t i = 1; i < threads; i++)
        if (helpers[i].is_running)
            pthread_join(helpers[i].thread, NULL);
    pthread_cond_destroy(&all->turned);
    pthread_mutex_destroy(&all->turning);
    pthread_mutex_destroy(&all->reading);
}

size_t imp_log_threads(const imp_log *log)
{
    const size_t threads = log->options.threads > 1 ? (size_t)log->options.threads : 1;
    return threads < IMP_LOG_MOST_THREADS ? threads : IMP_LOG_MOST_THREADS;
}

static imp_status run_piece(imp_log *log, imp_log_take take, imp_log_then then, void *context, imp_error *error)
{
    const size_t threads = imp_log_threads(log);
    size_t made = 0;
    imp_status status = rewind_log(log, error);
    if (status != IMP_OK)
        return status;
    if (log->was_run)
        log->bytes = (uint64_t)log->data_at;
    memset(&log->faults, 0, sizeof log->faults);
    log->faults.lines = log->header_lines;
    log->was_run = true;
    imp_log_work *works = imp_allocate(log->allocator, threads, sizeof *works);
    if (works == NULL)
        return memory_failed(error);
    for (; made < threads && status == IMP_OK; made += status == IMP_OK)
        status = work_init(log, &works[made], error);
    if (status == IMP_OK) {
        run all = {.log = log, .take = take, .then = then, .context = context};
        run_on_threads(&all, works, threads);
        log->faults.bytes = log->bytes;
        status = all.status;
        if (status != IMP_OK && error != NULL)
            *error = all.error;
    }
    for (size_t i = 0; i < made; i++)
        work_free(&works[i]);
    imp_release(log->allocator, works);
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
