/* log_header.h — what the columns of a job log are: their names, units and kinds, and how its texts are written.
 *
 * A header cell is `name [unit]`. The names that the tool knows have a kind of quantity each, and must be given a unit of
 * it; any other column is kept under its own name. */
#ifndef IMP_LOG_HEADER_H
#define IMP_LOG_HEADER_H

#include <stdbool.h>
#include <stddef.h>

#include "dimension.h"
#include "memory.h"
#include "status.h"
#include "unit.h"

enum { IMP_LOG_MOST_COLUMNS = 64, IMP_LOG_NAME_SIZE = 64 };

typedef struct imp_log_column {
    char name[IMP_LOG_NAME_SIZE];
    imp_unit unit; /* as written in the log; values are handed out in SI */
    imp_dimension dimension;
    bool is_reading;
    bool is_known; /* one of imp_log_known */
} imp_log_column;

typedef struct imp_log_header {
    imp_log_column columns[IMP_LOG_MOST_COLUMNS]; /* without time */
    size_t count;
    size_t time_at;       /* place of the time column among all cells of a row */
    bool is_calendar;     /* time is a date and time of day: seconds since 1970-01-01 00:00 UTC; else seconds of its own */
    bool has_zone;        /* the time texts say their zone; without one they are taken as they stand, at zone_offset */
    double zone_offset;   /* seconds east of UTC, of the first time text (or as declared) */
} imp_log_header;

/* The known columns, in the order of the manual: 0 .. imp_log_known_count() - 1. */
typedef struct imp_log_known {
    const char *name;
    imp_named_dimension dimension;
    const char *help;
} imp_log_known;
size_t imp_log_known_count(void);
const imp_log_known *imp_log_known_at(size_t index);
const imp_log_known *imp_log_known_find(const char *name);

/* Index of a column, or -1. */
int imp_log_header_find(const imp_log_header *header, const char *name);
/* Name nearest to a mistyped one, or NULL. */
const char *imp_log_header_nearest(const imp_log_header *header, const char *name);

/* How a logger's own headers, units and times become these. All texts live with the mapping. */
typedef struct imp_log_mapping_row {
    const char *header; /* as the logger writes it, without its unit */
    const char *name;   /* "time" or a column's name */
    const char *unit;   /* NULL: as the header says */
} imp_log_mapping_row;

typedef struct imp_log_mapping {
    char separator;          /* 0: found from the header */
    char decimal;            /* '.' or ','; 0: point */
    const char *time_format; /* NULL: ISO 8601 or seconds; else a pattern of YYYY MM DD hh mm ss, "DD.MM.YYYY hh:mm:ss" */
    bool has_zone_offset;
    double zone_offset; /* seconds east of UTC for times without a zone */
    const imp_log_mapping_row *rows;
    size_t count;
    imp_arena arena; /* owns the texts of a mapping read from a document */
} imp_log_mapping;

/* Read a `columns` document: {"impinge": 1, "separator": ";", "decimal": "comma", "time_format": "DD.MM.YYYY hh:mm:ss",
 * "time_zone": "+01:00", "columns": [{"header": "P iso", "name": "iso_pressure", "unit": "bar"}]}; all but "columns" and
 * "impinge" may be absent; separator is one of , ; tab. One fault at a time, place = its dotted path.
 * allocator may be NULL. Call imp_log_mapping_free after success. */
imp_status imp_log_mapping_read(const char *text, size_t length, const imp_allocator *allocator, imp_log_mapping *mapping,
                                imp_error *error);
void imp_log_mapping_free(imp_log_mapping *mapping);

/* ISO 8601 in the log's own zone ("2031-05-14T07:00:01+02:00"; no zone where the log has none), or seconds with their
 * unit where time is no calendar time. size >= 48. Returns text. */
char *imp_log_time_text(const imp_log_header *header, double time, char *text, size_t size);

#endif
