/* day.h — one opened job log with the expressions and questions that are asked of it. Private to the bindings.
 *
 * A day is shared: by the userdata of the state that opened it, by those of rule files that were handed it, and by
 * every column and answer that belongs to it. The last one frees it; a closed day answers nothing any more. */
#ifndef IMP_DAY_H
#define IMP_DAY_H

#include <lua.h>

#include "log_summary.h"

struct imp_host;

typedef enum imp_answer_kind { IMP_ANSWER_NUMBER, IMP_ANSWER_SPANS, IMP_ANSWER_SERIES } imp_answer_kind;

/* One thing asked of a day. */
typedef struct imp_answer {
    imp_answer_kind kind;
    imp_reduction reduction;
    imp_unit unit; /* in which it is shown; empty text: coherent SI */
    bool has_unit;
    bool is_count;      /* a whole number */
    imp_column mask;    /* of spans */
    size_t value_count; /* of spans */
    imp_column values[IMP_SPAN_VALUES];
    imp_unit value_units[IMP_SPAN_VALUES];
    bool value_has_unit[IMP_SPAN_VALUES];
    imp_dimension value_dimensions[IMP_SPAN_VALUES];
    bool value_readings[IMP_SPAN_VALUES];
} imp_answer;

typedef struct imp_day {
    int references;
    imp_log *log;         /* NULL: closed, or put together from summaries */
    imp_columns *columns; /* NULL: closed */
    bool is_hosted;       /* the log command runs it: scripts ask, and are answered later */
    bool is_ran;          /* a hosted day: its one run is over */
    double period;        /* s: least period of a series, so that a long log does not take more memory; 0: any */
    imp_answer *answers;
    size_t answer_count, answer_capacity;
    imp_log_summary_plan *plan;
    imp_column spraying;
    bool has_asked_summary;
    char *name; /* the path as given */
    /* of a run on another thread */
    imp_status status;
    imp_error error;
    char *partial;
    size_t partial_length;
    bool wants_partial;
    imp_log_mapping mapping;
    bool has_mapping;
} imp_day;

/* A day without a log yet; references = 1. NULL on lack of memory. */
imp_day *imp_day_create(const char *name);
/* Open its log (options may be NULL) and bind its columns. */
imp_status imp_day_open(imp_day *day, const imp_log_options *options, imp_error *error);
/* Bind its columns to a header, for merging. */
imp_status imp_day_bind(imp_day *day, const imp_log_header *header, imp_error *error);
void imp_day_close(imp_day *day);
void imp_day_release(imp_day *day); /* NULL is allowed */

/* Add an answer; *index receives its number. IMP_MEMORY. */
imp_status imp_day_ask(imp_day *day, const imp_answer *answer, size_t *index, imp_error *error);
/* Ask for the standard summary once; sets day->spraying. */
imp_status imp_day_ask_summary(imp_day *day, const imp_log_summary_options *options, imp_error *error);
/* Run what has been asked: status and error are also kept in the day. */
imp_status imp_day_run(imp_day *day, imp_error *error);

/* IMP_NOT_APPLICABLE when it is closed. */
imp_status imp_day_check(const imp_day *day, imp_error *error);

#endif
