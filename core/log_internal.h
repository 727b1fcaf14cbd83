/* log_internal.h — shared by the files of the log reader, and by nobody else. */
#ifndef IMP_LOG_INTERNAL_H
#define IMP_LOG_INTERNAL_H

#include "kernels.h"
#include "log_reader.h"

enum { IMP_LOG_LONGEST_LINE = 65536, IMP_LOG_PADDING = 32, IMP_LOG_MOST_QUOTED_LINES = 8 };

/* Time texts: all of a log are usually alike, so what was read for the last one (up to its minute) is kept. */
typedef struct imp_log_clock {
    const char *format; /* pattern of the mapping, or NULL */
    double zone_offset; /* for texts without one */
    char decimal;
    char prefix[16];    /* "2031-05-14T07:00" of the last ISO text */
    double minute;      /* its seconds since 1970, zone taken off */
    char suffix[8];     /* its zone as written */
    size_t suffix_length;
    bool is_set;
} imp_log_clock;

typedef struct imp_log_time {
    double seconds;
    bool is_calendar, has_zone;
    double zone_offset;
} imp_log_time;

/* The whole text as a time. False when it is none. Numbers are seconds unless a format is declared. */
bool imp_log_time_read(const char *text, size_t length, imp_log_clock *clock, imp_log_time *time);

/* All that a row parser has to know; the same for every thread. */
typedef struct imp_log_format {
    const imp_log_header *header;
    char separator, decimal;
    size_t cells;                                          /* in a row, time included */
    imp_conversion conversions[IMP_LOG_MOST_COLUMNS];
} imp_log_format;

/* How the last cell of a column looked, byte by byte of eight: see log_parse.c. */
typedef struct imp_log_shape {
    uint64_t expected;      /* 0 for a digit, the decimal sign, the mark behind the cell */
    uint64_t allowed;       /* what may be added to the difference from it before its byte's top bit is set */
    uint64_t looked_at, digits; /* top bits of all bytes that matter; bytes that are digits */
    uint64_t weights[2];    /* of pairs of digits: the first and third, the second and fourth */
    size_t advance;         /* to the next cell */
} imp_log_shape;

/* Cells of a column are put into the block as whole numbers first, and divided when the block is complete, many at a time:
 * rows from `from` on still are to be divided, all by the same. A shape that fits is one of this divisor. */
typedef struct imp_log_pending {
    size_t from;
    double divisor;
} imp_log_pending;

/* A chunk of a log on its way: text, then rows. */
typedef struct imp_log_work {
    const imp_log_format *format;
    imp_log_clock clock;
    imp_log_shape shapes[IMP_LOG_MOST_COLUMNS];
    imp_log_pending pending[IMP_LOG_MOST_COLUMNS];
    imp_log_block block;
    imp_log_faults faults; /* of the rows in the block; lines count from 1 at the start of the text */
    char *text;            /* whole rows, then IMP_LOG_PADDING bytes that end any cell */
    size_t length, at;     /* `at`: where the next row begins */
    uint64_t line;         /* lines before `at` in this text */
    bool is_last;          /* the text ends the file */
    bool has_missing;
    /* log_run.c */
    enum { IMP_WORK_FREE, IMP_WORK_READ, IMP_WORK_PARSED, IMP_WORK_TAKEN } state;
    uint64_t number;       /* of the chunk in the log */
    imp_status status;     /* of reading it, and error where it failed */
    imp_error error;
    const imp_allocator *allocator;
} imp_log_work;

/* A log that is open. One thread at a time reads from it, one at a time hands rows on. */
struct imp_log {
    const imp_allocator *allocator;
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
};

/* Fill a work's text with whole rows. work->length is 0 at the end of the file. */
imp_status imp_log_fill(imp_log *log, imp_log_work *work, imp_error *error);

/* Fits no cell. */
extern const imp_log_shape imp_log_no_shape;

/* Parse rows from work->at until the block is full or the text ends. The block is in SI. */
void imp_log_parse(imp_log_work *work);

/* End of the row that begins at `at` (behind its line end), NULL where it does not end before `end` and the file may go
 * on. A quoted cell may hold line ends: *lines counts them all. Quotes that do not close end with their first line. */
const char *imp_log_row_end(const char *at, const char *end, bool is_last, char separator, unsigned *lines);

/* One cell of a row: its text without quotes and blanks around it. Quoted text is unfolded into buffer. */
typedef struct imp_log_cell {
    const char *text;
    size_t length;
    bool open_quote; /* quotes did not close */
    bool is_cut;     /* quoted, and longer than the buffer: text is only its beginning */
} imp_log_cell;
const char *imp_log_cell_read(const char *at, const char *end, char separator, char *buffer, size_t size,
                              imp_log_cell *cell);

/* imp_log_run for a piece of a log, which may be without a usable row; and what is then said of the whole.
 * `then` (may be NULL) is called behind takes, never twice at once, but at the same time as another take. */
typedef void (*imp_log_then)(void *context);
imp_status imp_log_run_staged(imp_log *log, imp_log_take take, imp_log_then then, void *context, imp_error *error);
size_t imp_log_threads(const imp_log *log);
imp_status imp_log_run_piece(imp_log *log, imp_log_take take, void *context, imp_error *error);
imp_status imp_log_nothing_left(const imp_log_header *header, const imp_log_faults *faults, char decimal, imp_error *error);

/* Lines and bytes before the first row. */
void imp_log_header_extent(const imp_log *log, uint64_t *lines, uint64_t *bytes);

/* Read the header row [text, end). */
imp_status imp_log_header_read(const char *text, const char *end, char separator, const imp_log_mapping *mapping,
                               const imp_allocator *allocator, imp_log_header *header, imp_error *error);

#endif
