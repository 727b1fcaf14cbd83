/* Logs opened: their header, and their text cut into chunks of whole rows. log_run.c runs over them. */
#include "log_reader.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "file.h"
#include "log_internal.h"

enum { ROWS = 1024, LEAST_CHUNK = 1024, MOST_CHUNK = 1 << 20 };
enum { CARRY_SIZE = 2 * IMP_LOG_LONGEST_LINE }; /* a row that is not complete yet, or the start of the file */

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
    default: return imp_fail(error, IMP_IO, NULL, "the file could not be read: %s (%d)", imp_file_reason(reason), reason);
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
        imp_log_cell cell;
        size_t cells = 0; /* a row may end before its time */
        for (; cells <= log->header.time_at && at <= last; cells++, at++)
            at = imp_log_cell_read(at, last, log->format.separator, buffer, sizeof buffer, &cell);
        imp_log_clock clock = log->clock;
        imp_log_time time;
        if (cells > log->header.time_at && imp_log_time_read(cell.text, cell.length, &clock, &time)) {
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
    opened->carry = imp_allocate(allocator, CARRY_SIZE, 1);
    imp_status status = opened->carry != NULL ? IMP_OK : memory_failed(error);
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

imp_status imp_log_fill(imp_log *log, imp_log_work *work, imp_error *error)
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
