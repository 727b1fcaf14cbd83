/* Rows of a log from text. A row of plain numbers takes the short way: one look at each cell, eight bytes at a time.
 * Anything else in a row (quotes, blanks, exponents, words, a missing cell) sends that row the long way.
 * A little over 500 lines: the short way and the careful one are kept side by side, for they must agree. */
#include "log_internal.h"

#include <math.h>
#include <string.h>

#include "kernels.h"
#include "number.h"

#define LARGEST_VALUE 1e30 /* in SI: no reading of a rig comes near, and sums stay finite */
#define EACH_BYTE(x) ((x) * UINT64_C(0x0101010101010101))

enum { EXACT_POWERS = 23 }; /* powers of ten that a double holds exactly */
static const double powers[EXACT_POWERS] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                            1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

static bool is_digit(char c)
{
    return (unsigned char)(c - '0') <= 9;
}

/* --- the short way --- */

#if defined(__BYTE_ORDER__) && __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__ && defined(__GNUC__)
#define HAS_EIGHT_BYTES 1
#endif

/* the top bit of a byte that differs by 0 or more is always set */
const imp_log_shape imp_log_no_shape = {.allowed = 0x80, .looked_at = 0x80};

/* Digits with at most one decimal sign, any length: value / *divisor is the number. Returns behind the last, NULL for the
 * long way. Both are whole numbers that a double holds, so that their quotient is correctly rounded.
 * Source: W. D. Clinger, How to read floating point numbers accurately, 1990. */
static const char *plain_number(const char *at, char decimal, double *value, double *divisor)
{
    uint64_t whole = 0;
    int digits = 0, behind = 0;
    for (; is_digit(*at); at++, digits++)
        whole = whole * 10 + (uint64_t)(*at - '0');
    if (*at == decimal)
        for (at++; is_digit(*at); at++, behind++)
            whole = whole * 10 + (uint64_t)(*at - '0');
    if (digits + behind == 0 || digits + behind > 18 || whole >> 53 != 0)
        return NULL;
    *value = (double)whole;
    *divisor = powers[behind];
    return at;
}

/* A cell that is a plain number; NULL for anything else. Returns its end: what stands there is for the caller to judge. */
static const char *short_cell(const char *at, char decimal, double *value, double *divisor)
{
    const bool negative = *at == '-';
    const char *end = plain_number(at + negative, decimal, value, divisor);
    if (end != NULL && negative)
        *value = -*value;
    return end;
}

/* Rows before `row` are divided, those from it on have another divisor. */
static void change_divisor(imp_log_work *work, size_t column, size_t row, double divisor)
{
    imp_log_pending *pending = &work->pending[column];
    if (row > pending->from && pending->divisor != 1.0) {
        const imp_conversion by = {.text_divisor = pending->divisor, .factor = 1.0};
        imp_kernels_best()->convert(work->block.values[column] + pending->from, row - pending->from, &by);
    }
    pending->from = row;
    pending->divisor = divisor;
    work->shapes[column] = imp_log_no_shape;
}

#if defined(HAS_EIGHT_BYTES)

static void learn_byte(imp_log_shape *shape, unsigned at, char expected, unsigned allowed)
{
    shape->expected |= (uint64_t)(unsigned char)expected << 8 * at;
    shape->allowed |= (uint64_t)allowed << 8 * at;
    shape->looked_at |= UINT64_C(0x80) << 8 * at;
}

/* Learn the shape of a cell of a few characters and of what stands behind it, so that the next row's cell can be read without
 * looking for its end. A shape has no place for signs. */
static void learn_shape(imp_log_shape *shape, const char *at, const char *end, const imp_log_format *format, bool is_last)
{
    const unsigned length = (unsigned)(end - at), marks = is_last && *end == '\r' ? 2 : 1;
    imp_log_shape learnt = {.advance = length + marks};
    if (end - at + marks > 8 || *at == '-' || (is_last ? end[marks - 1] != '\n' : *end != format->separator))
        return;
    uint64_t weight = 10, weights[4] = {0, 0, 0, 0}; /* ten times the number: see same_shape */
    for (unsigned i = length; i-- > 0;) {
        if (at[i] == format->decimal) {
            learn_byte(&learnt, i, at[i], 0x7f);
            continue;
        }
        learn_byte(&learnt, i, '0', 0x76);
        learnt.digits |= UINT64_C(0xff) << 8 * i;
        weights[i / 2] = i % 2 == 0 ? weight / 10 : weight;
        weight *= 10;
    }
    for (unsigned i = length; i < length + marks; i++)
        learn_byte(&learnt, i, at[i], 0x7f);
    learnt.weights[0] = weights[0] << 32 | weights[2];
    learnt.weights[1] = weights[1] << 32 | weights[3];
    *shape = learnt;
}

/* A cell of the same shape as the one above it: as long, with its point at the same place and the same mark behind it.
 * Then its end is known before its text is, and the processor need not wait for one cell to begin with the next.
 * The digits are added up in pairs, the first of each ten times the second; a pair that is cut by the point or by the end
 * is ten times too large, so that all the others are made so too. */
static inline bool same_shape(const char *at, const imp_log_shape *shape, double *value)
{
    uint64_t text;
    memcpy(&text, at, sizeof text);
    text ^= shape->expected;
    if (((((text & EACH_BYTE(0x7f)) + shape->allowed) | text) & shape->looked_at) != 0)
        return false;
    const uint64_t pair = UINT64_C(0x000000ff000000ff), digits = text & shape->digits, pairs = digits * 10 + (digits >> 8);
    const uint64_t sum = (pairs & pair) * shape->weights[0] + ((pairs >> 16) & pair) * shape->weights[1];
    *value = (double)(int64_t)(sum >> 32);
    return true;
}

#endif

/* "2031-05-14T07:00:01+02:00" in the minute and zone of the row before. */
static inline const char *short_time(const char *at, const imp_log_clock *clock, double *time)
{
    if (!clock->is_set || memcmp(at, clock->prefix, 8) != 0 || memcmp(at + 8, clock->prefix + 8, 8) != 0 || at[16] != ':' || !is_digit(at[17]) || !is_digit(at[18]) ||
        at[17] > '5')
        return NULL;
    const double second = (at[17] - '0') * 10 + (at[18] - '0');
    double fraction = 0.0;
    at += 19;
    if (*at == '.') {
        const char *start = ++at;
        uint64_t digits = 0;
        for (; is_digit(*at); at++)
            digits = digits * 10 + (uint64_t)(*at - '0');
        if (at == start || at - start > 9)
            return NULL;
        fraction = (double)digits / powers[at - start];
    }
    for (size_t i = 0; i < clock->suffix_length; i++, at++)
        if (*at != clock->suffix[i])
            return NULL;
    *time = clock->minute + (second + fraction);
    return at;
}

/* The time cell, in another minute than the row before. */
static const char *any_time(imp_log_work *work, const char *at, double *time)
{
    const imp_log_header *header = work->format->header;
    const char *end = at;
    imp_log_time found;
    if (!header->is_calendar) {
        double divisor;
        end = short_cell(at, work->format->decimal, time, &divisor);
        if (end != NULL)
            *time /= divisor;
        return end;
    }
    while (end - at < 48 && *end != work->format->separator && *end != '\n' && *end != '\r' && *end != '"')
        end++;
    if (!imp_log_time_read(at, (size_t)(end - at), &work->clock, &found) || !found.is_calendar)
        return NULL;
    *time = found.seconds;
    return end;
}

/* A cell of another shape than the one above it: its end, or NULL for the long way. */
static const char *other_cell(imp_log_work *work, const char *at, size_t column, size_t row)
{
    const imp_log_format *format = work->format;
    double value, divisor;
    const char *end = short_cell(at, format->decimal, &value, &divisor);
    if (end == NULL) {
        if (*at != format->separator && *at != '\n' && *at != '\r')
            return NULL;
        work->block.values[column][row] = (double)NAN;
        work->has_missing = true;
        return at;
    }
    const bool is_small = fabs(value) < 1e14; /* ten times it is a whole number too */
    if (is_small) {
        value *= 10.0;
        divisor *= 10.0;
    }
    if (divisor != work->pending[column].divisor)
        change_divisor(work, column, row, divisor);
    work->block.values[column][row] = value;
#if defined(HAS_EIGHT_BYTES)
    if (is_small)
        learn_shape(&work->shapes[column], at, end, format, column + 1 == format->header->count && format->header->time_at < column + 1);
#endif
    return end;
}

/* Cells from *column on, but not those from `end` on, as long as they are of the same shape as those above them. */
static inline const char *alike_cells(imp_log_work *work, const char *at, size_t *column, size_t end, size_t row)
{
    size_t next = *column;
#if defined(HAS_EIGHT_BYTES)
    const imp_log_shape *shapes = work->shapes;
    double *const *values = work->block.values;
    for (; next < end && same_shape(at, &shapes[next], &values[next][row]); next++)
        at += shapes[next].advance;
#else
    (void)work, (void)end, (void)row;
#endif
    *column = next;
    return at;
}

/* A whole row the short way. Returns the start of the next one, NULL for the long way. */
static inline const char *short_row(imp_log_work *work, const char *at, size_t row)
{
    const char separator = work->format->separator;
    const size_t cells = work->format->cells, time_at = work->format->header->time_at;
    size_t column = 0;
    bool has_time = false; /* the cells before it and itself are through */
    while (column + has_time < cells) {
        const size_t run_end = has_time ? cells - 1 : time_at;
        const char *end;
        at = alike_cells(work, at, &column, run_end, row);
        if (column < run_end) {
            end = other_cell(work, at, column++, row);
        } else if (!has_time) {
            has_time = true;
            end = short_time(at, &work->clock, &work->block.time[row]);
            if (end == NULL)
                end = any_time(work, at, &work->block.time[row]);
        } else {
            break; /* the last cell was of its shape, line end and all */
        }
        if (end == NULL)
            return NULL;
        if (column + has_time < cells) {
            if (*end != separator)
                return NULL;
            at = end + 1;
            continue;
        }
        end += *end == '\r';
        if (*end != '\n')
            return NULL;
        at = end + 1;
    }
    return at;
}

/* --- the long way --- */

static const char *line_end(const char *at, const char *end)
{
    /* NOLINTNEXTLINE(clang-analyzer-core.NonNullParamChecker): a row begins in the text, never nowhere */
    const char *found = memchr(at, '\n', (size_t)(end - at));
    return found != NULL ? found + 1 : NULL;
}

const char *imp_log_row_end(const char *at, const char *end, bool is_last, char separator, unsigned *lines)
{
    const char *first_line = line_end(at, end);
    *lines = 1;
    if (memchr(at, '"', (size_t)((first_line != NULL ? first_line : end) - at)) == NULL)
        return first_line != NULL ? first_line : is_last ? end : NULL;
    bool quoted = false, cell_start = true;
    unsigned count = 0;
    for (const char *p = at; p < end; p++) {
        if (quoted) {
            if (*p == '"')
                quoted = false;
            else if (*p == '\n' && ++count == IMP_LOG_MOST_QUOTED_LINES)
                break;
            continue;
        }
        if (*p == '\n') {
            *lines = count + 1;
            return p + 1;
        }
        /* a quote opens a cell at its start, or goes on with a quoted cell as a doubled quote */
        if (*p == '"' && (cell_start || p[-1] == '"'))
            quoted = true;
        cell_start = *p == separator || (cell_start && *p == ' ');
        if (p - at > IMP_LOG_LONGEST_LINE)
            break;
    }
    const bool may_go_on = !is_last && count < IMP_LOG_MOST_QUOTED_LINES && end - at <= IMP_LOG_LONGEST_LINE;
    if (may_go_on || (first_line == NULL && !is_last))
        return NULL;
    return first_line != NULL ? first_line : end;
}

const char *imp_log_cell_read(const char *at, const char *end, char separator, char *buffer, size_t size,
                              imp_log_cell *cell)
{
    while (at < end && *at == ' ')
        at++;
    cell->open_quote = cell->is_cut = false;
    if (at == end || *at != '"') {
        const char *stop = memchr(at, separator, (size_t)(end - at));
        stop = stop != NULL ? stop : end;
        const char *last = stop;
        while (last > at && (last[-1] == ' ' || (last[-1] == '\t' && separator != '\t')))
            last--;
        cell->text = at;
        cell->length = (size_t)(last - at);
        return stop;
    }
    size_t used = 0;
    for (at++; at < end; at++) {
        if (*at == '"') {
            if (at + 1 == end || at[1] != '"')
                break;
            at++;
        }
        if (used < size)
            buffer[used++] = *at;
        else
            cell->is_cut = true;
    }
    cell->open_quote = at == end;
    cell->text = buffer;
    cell->length = used;
    while (cell->length > 0 && cell->text[0] == ' ') {
        cell->text++;
        cell->length--;
    }
    while (cell->length > 0 && cell->text[cell->length - 1] == ' ')
        cell->length--;
    const char *stop = memchr(at, separator, (size_t)(end - at));
    return stop != NULL ? stop : end;
}

enum { CELL_BUFFER = 512 };

static bool read_number(const imp_log_cell *cell, char decimal, double *value)
{
    char copy[CELL_BUFFER];
    size_t used = 0;
    if (cell->is_cut || cell->length > sizeof copy)
        return false;
    for (size_t i = 0; i < cell->length; i++) {
        if (decimal == ',' && cell->text[i] == '.')
            return false;
        copy[i] = decimal == ',' && cell->text[i] == ',' ? '.' : cell->text[i];
    }
    imp_number_read(copy, cell->length, value, &used);
    return used == cell->length;
}

static void note_sample(imp_log_faults *faults, const imp_log_cell *cell, int column)
{
    if (faults->sample[0] != '\0')
        return;
    size_t length = cell->length < sizeof faults->sample - 1 ? cell->length : sizeof faults->sample - 1;
    memcpy(faults->sample, cell->text, length);
    while (length > 0 && length < cell->length && ((unsigned char)cell->text[length] & 0xc0) == 0x80)
        length--; /* a whole UTF-8 character */
    faults->sample[length] = '\0';
    faults->sample_column = column;
}

static bool has_control_bytes(const char *at, const char *end)
{
    for (; at < end; at++)
        if ((unsigned char)*at < ' ' && *at != '\t' && *at != '\n' && *at != '\r')
            return true;
    return false;
}

static double convert(const imp_conversion *by, double value)
{
    return (by->divisor > 0.0 ? value / by->divisor : value * by->factor) + by->offset;
}

/* Times are all of the kind of the log's first one. */
static bool read_time(imp_log_work *work, const imp_log_cell *cell, imp_log_time *time)
{
    if (cell->is_cut || !imp_log_time_read(cell->text, cell->length, &work->clock, time))
        return false;
    if (time->is_calendar == work->format->header->is_calendar)
        return true;
    work->clock.is_set = false; /* or the short way would take the next one of its minute */
    return false;
}

static double read_value(imp_log_work *work, const imp_log_cell *cell, int column, uint64_t line)
{
    double value = (double)NAN;
    imp_log_faults *faults = &work->faults;
    if (cell->length == 0) {
        work->has_missing = true;
        return (double)NAN;
    }
    if (read_number(cell, work->format->decimal, &value)) {
        if (fabs(convert(&work->format->conversions[column], value)) < LARGEST_VALUE)
            return value;
        imp_log_fault_add(faults, IMP_FAULT_TOO_LARGE, line, column);
    } else {
        imp_log_fault_add(faults, IMP_FAULT_NOT_A_NUMBER, line, column);
    }
    note_sample(faults, cell, column);
    faults->unreadable[column]++;
    work->has_missing = true;
    return (double)NAN;
}

/* What is wrong with the row as a whole, or IMP_LOG_FAULT_COUNT. */
static imp_log_fault row_fault(const imp_log_work *work, const char *at, const char *end, bool has_end, unsigned lines)
{
    const imp_log_format *format = work->format;
    char buffer[CELL_BUFFER];
    size_t cells = 0, length = 0;
    bool open_quote = false;
    if (end - at > IMP_LOG_LONGEST_LINE)
        return IMP_FAULT_LONG_LINE;
    if (has_control_bytes(at, end))
        return IMP_FAULT_BINARY;
    for (const char *p = at;; p++) {
        imp_log_cell cell;
        p = imp_log_cell_read(p, end, format->separator, buffer, sizeof buffer, &cell);
        cells++;
        length = cell.length;
        open_quote = open_quote || cell.open_quote;
        if (p == end)
            break;
    }
    if (open_quote)
        return IMP_FAULT_QUOTES;
    if (cells < format->cells && !has_end && work->is_last)
        return IMP_FAULT_TRUNCATED;
    const bool extra_empty = cells == format->cells + 1 && length == 0; /* a separator at the end of the row */
    (void)lines;
    return cells == format->cells || extra_empty ? IMP_LOG_FAULT_COUNT : IMP_FAULT_RAGGED;
}

static void long_row(imp_log_work *work, const char *at, const char *end, bool has_end, unsigned lines, size_t row)
{
    const imp_log_format *format = work->format;
    const uint64_t line = work->line + 1;
    const char *p = at;
    while (p < end && (*p == ' ' || *p == '\t'))
        p++;
    if (p == end)
        return; /* an empty line */
    const imp_log_fault fault = row_fault(work, at, end, has_end, lines);
    if (fault != IMP_LOG_FAULT_COUNT) {
        imp_log_fault_add(&work->faults, fault, line, -1);
        return;
    }
    /* the time first: without it the row's other cells are not looked at */
    imp_log_time time = {.seconds = 0.0};
    for (int pass = 0; pass < 2; pass++) {
        int column = 0;
        p = at;
        for (size_t i = 0; i < format->cells; i++, p++) {
            char buffer[CELL_BUFFER];
            imp_log_cell cell;
            p = imp_log_cell_read(p, end, format->separator, buffer, sizeof buffer, &cell);
            if (i == format->header->time_at) {
                if (pass == 0 && !read_time(work, &cell, &time)) {
                    imp_log_fault_add(&work->faults, IMP_FAULT_NO_TIME, line, -1);
                    return;
                }
            } else if (pass == 1) {
                change_divisor(work, (size_t)column, row, 1.0);
                work->block.values[column][row] = read_value(work, &cell, column, line);
                column++;
            } else {
                column++;
            }
        }
    }
    work->block.time[row] = time.seconds;
    work->block.line[row] = line;
    work->block.rows++;
}

static void to_si(imp_log_work *work)
{
    const size_t rows = work->block.rows;
    for (size_t c = 0; c < work->format->header->count; c++) {
        imp_conversion by = work->format->conversions[c];
        if (work->pending[c].from > 0)
            change_divisor(work, c, rows, 1.0);
        else
            by.text_divisor = work->pending[c].divisor;
        work->pending[c].from = 0;
        imp_kernels_best()->convert(work->block.values[c], rows, &by);
    }
}

static void count_missing(imp_log_work *work)
{
    for (size_t c = 0; c < work->format->header->count; c++) {
        const double *values = work->block.values[c];
        uint64_t missing = 0;
        for (size_t i = 0; i < work->block.rows; i++)
            missing += values[i] != values[i];
        work->faults.missing[c] += missing;
    }
}

void imp_log_parse(imp_log_work *work)
{
    imp_log_block *block = &work->block;
    const char *const text = work->text, *const end = text + work->length;
    const char *at = text + work->at;
    const uint64_t line_before = work->line;
    memset(&work->faults, 0, sizeof work->faults);
    work->has_missing = false;
    block->rows = 0;
    while (at < end && block->rows < block->capacity) {
        const char *next = short_row(work, at, block->rows);
        if (next != NULL && next <= end) {
            block->line[block->rows++] = ++work->line;
            at = next;
            continue;
        }
        unsigned lines;
        next = imp_log_row_end(at, end, true, work->format->separator, &lines);
        const char *last = next;
        const bool has_end = last[-1] == '\n';
        last -= has_end;
        if (last > at && last[-1] == '\r')
            last--;
        long_row(work, at, last, has_end, lines, block->rows);
        work->line += lines;
        at = next;
    }
    work->at = (size_t)(at - text);
    work->faults.rows = block->rows;
    work->faults.lines = work->line - line_before;
    if (work->has_missing)
        count_missing(work);
    to_si(work);
}
