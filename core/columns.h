/* columns.h — expressions over the columns of a log, checked for their dimensions when they are written and evaluated
 * block by block, all of them in one pass.
 *
 * A set of columns (imp_columns) holds expressions; one is a number (imp_column) in it. Expressions are lazy: reductions
 * are asked for first, then one run answers all that are not answered yet. Nothing is per row but the C loops.
 *
 * What is meant
 * - A cell is missing (not-a-number) or finite. Arithmetic with a missing cell, or without a finite result (x/0), is
 *   missing. A mask is 1, 0 or missing; a row counts where its mask is 1. and/or with a missing side: 0 and x = 0,
 *   1 or x = 1, else missing.
 * - Time: a row holds until the next one (step). The time from a row to the next counts for the row, unless it is longer
 *   than `gap` or not positive: then the row has no duration, and there is a break behind it. Rates, rolling windows, runs
 *   and spans do not reach across a break. A row with the time of the row before it is left out.
 * - lasting(mask, D): the mask where it is part of an unbroken run of at least D, the run's first rows included. A run lasts
 *   from its first row until the first row where the mask is not 1, or, before a break, until its last row.
 * - rolling(x, W): mean of what is present in (t - W, t], after the last break.
 * - rate(x): (x - x before)/(t - t before); missing after a break. change(x): x - x before.
 * - unchanged(x, D): 1 where x has had the same value for at least D (counted from the first row that had it).
 *
 * Sums are exact, so that results do not depend on blocks, threads, or where a log was cut into pieces. */
#ifndef IMP_COLUMNS_H
#define IMP_COLUMNS_H

#include "exact_sum.h"
#include "log_reader.h"
#include "quantity.h"

typedef struct imp_columns imp_columns;
typedef int imp_column;
typedef int imp_reduction;
enum { IMP_NO_COLUMN = -1 };

/* Limits: kept spans and series values, rows that may wait for a decision of lasting, rows of a rolling window, expressions,
 * and levels (lasting inside lasting, and what needs none). */
enum {
    IMP_COLUMNS_SPANS_KEPT = 10000,
    IMP_COLUMNS_SERIES_KEPT = 200000,
    IMP_COLUMNS_WAITING_ROWS = 32768,
    IMP_ROLLING_ROWS = 131072,
    IMP_MOST_NODES = 4096,
    IMP_MOST_LEVELS = 8
};

/* allocator may be NULL. */
imp_status imp_columns_create(const imp_allocator *allocator, imp_columns **columns, imp_error *error);
void imp_columns_free(imp_columns *columns);

/* --- sources --- */
/* Take the columns of a log as sources; before any other call, once. The header is copied. */
imp_status imp_columns_bind(imp_columns *columns, const imp_log_header *header, imp_error *error);
const imp_log_header *imp_columns_header(const imp_columns *columns);
/* Longest time between two rows that still counts as time; 10 s unless set. Before a run. > 0. */
imp_status imp_columns_set_gap(imp_columns *columns, double seconds, imp_error *error);
/* A log's column by name, "time" included. IMP_UNKNOWN: "no column resin_flw; did you mean resin_flow?" */
imp_status imp_columns_source(imp_columns *columns, const char *name, imp_column *column, imp_error *error);
/* A column in memory (copied); rows have no time. Infinities are refused (IMP_RANGE), not-a-number is missing. */
imp_status imp_columns_memory(imp_columns *columns, const double *si, size_t count, imp_dimension dimension,
                              bool is_reading, imp_column *column, imp_error *error);
imp_status imp_columns_constant(imp_columns *columns, const imp_quantity *value, imp_column *column, imp_error *error);

/* --- expressions: equal ones are kept once --- */
typedef enum imp_column_operation {
    /* of one column: imp_columns_unary */
    IMP_COLUMN_NEGATE, IMP_COLUMN_ABS, IMP_COLUMN_SQRT, IMP_COLUMN_NOT, IMP_COLUMN_PRESENT, IMP_COLUMN_RATE,
    IMP_COLUMN_CHANGE, IMP_COLUMN_DURATION, /* the time that each row holds; the operand only says which rows */
    /* of one column and a time: imp_columns_over_time */
    IMP_COLUMN_LASTING, IMP_COLUMN_ROLLING, IMP_COLUMN_UNCHANGED,
    /* of two columns: imp_columns_binary */
    IMP_COLUMN_ADD, IMP_COLUMN_SUBTRACT, IMP_COLUMN_MULTIPLY, IMP_COLUMN_DIVIDE, IMP_COLUMN_MINIMUM, IMP_COLUMN_MAXIMUM,
    IMP_COLUMN_ABOVE, IMP_COLUMN_AT_LEAST, IMP_COLUMN_BELOW, IMP_COLUMN_AT_MOST, IMP_COLUMN_EQUALS, IMP_COLUMN_DIFFERS,
    IMP_COLUMN_AND, IMP_COLUMN_OR, IMP_COLUMN_WHERE, IMP_COLUMN_OR_ELSE,
    /* made by the calls above */
    IMP_COLUMN_SOURCE, IMP_COLUMN_TIME, IMP_COLUMN_MEMORY, IMP_COLUMN_CONSTANT
} imp_column_operation;

/* IMP_DIMENSION_MISMATCH as in quantity.h; IMP_TYPE: a mask is wanted or not wanted, lengths differ, or an operation over
 * time on a column in memory; IMP_MEMORY. */
imp_status imp_columns_unary(imp_columns *columns, imp_column_operation operation, imp_column a, imp_column *column,
                             imp_error *error);
/* seconds > 0. */
imp_status imp_columns_over_time(imp_columns *columns, imp_column_operation operation, imp_column a, double seconds,
                                 imp_column *column, imp_error *error);
/* where(a, mask): a where the mask is 1, else missing. or_else(a, b): a where present, else b. */
imp_status imp_columns_binary(imp_columns *columns, imp_column_operation operation, imp_column a, imp_column b,
                              imp_column *column, imp_error *error);

typedef struct imp_column_kind {
    imp_dimension dimension;
    bool is_reading, is_mask, is_streamed; /* streamed: rows come from a log */
    size_t length;                         /* of a column in memory */
} imp_column_kind;
imp_column_kind imp_columns_kind(const imp_columns *columns, imp_column column);

/* --- reductions; mask may be IMP_NO_COLUMN: every row --- */
typedef enum imp_reduction_kind {
    IMP_REDUCE_COUNT,    /* rows present; of a mask: rows where it is 1 */
    IMP_REDUCE_SUM,      /* IMP_TYPE for temperature readings */
    IMP_REDUCE_MEAN,     /* of rows, unweighted */
    IMP_REDUCE_SD,       /* n - 1 */
    IMP_REDUCE_MIN, IMP_REDUCE_MAX, IMP_REDUCE_FIRST, IMP_REDUCE_LAST,
    IMP_REDUCE_QUANTILE, /* parameter 0 .. 1; exact in memory, within IMP_SKETCH_ERROR of the value (in SI) when streamed */
    IMP_REDUCE_TIME,     /* time of the rows where the column (a mask) is 1, or else is present */
    IMP_REDUCE_INTEGRAL, /* over time, step: a row's value holds until the next row */
    IMP_REDUCE_INTEGRAL_TRAPEZOID, /* straight between rows; counts where both rows are present, masked and not parted */
    IMP_REDUCE_TIME_MEAN,          /* integral (step) over time present */
    IMP_REDUCE_INCREASE  /* of a running count: the sum of its rises row to row, where the later row's mask is 1; a fall (a
                            reset) counts nothing. Rises across a gap in time count, across a step back they do not */
} imp_reduction_kind;

imp_status imp_columns_reduce(imp_columns *columns, imp_reduction_kind kind, imp_column value, imp_column mask,
                              double parameter, imp_reduction *reduction, imp_error *error);
/* Dimension and kind of a result, before any run. */
void imp_columns_result_kind(const imp_columns *columns, imp_reduction reduction, imp_dimension *dimension,
                             bool *is_reading);
/* After a run. IMP_MISSING: no row counted (never for counts, sums, times and integrals, which are 0).
 * IMP_NOT_APPLICABLE: not run yet. */
imp_status imp_columns_result(const imp_columns *columns, imp_reduction reduction, imp_quantity *result, imp_error *error);

/* Runs of rows where the mask is 1. Each carries count, mean, least and greatest of up to IMP_SPAN_VALUES columns.
 * The first IMP_COLUMNS_SPANS_KEPT are kept, all are counted. */
enum { IMP_SPAN_VALUES = 8 };
typedef struct imp_span_value {
    uint64_t count; /* 0: the others are not-a-number */
    double mean, least, greatest;
} imp_span_value;
typedef struct imp_span {
    double from, to, duration; /* seconds; as lasting counts */
    uint64_t rows;
    imp_span_value values[IMP_SPAN_VALUES];
} imp_span;
imp_status imp_columns_spans(imp_columns *columns, imp_column mask, const imp_column *values, size_t value_count,
                             imp_reduction *reduction, imp_error *error);
/* Spans in which the value does not change for at least `seconds`, over unbroken rows, and the mask (IMP_NO_COLUMN: any row)
 * is 1 somewhere; a span's `rows` are those where it is. */
imp_status imp_columns_stuck(imp_columns *columns, imp_column value, imp_column mask, double seconds,
                             imp_reduction *reduction, imp_error *error);
uint64_t imp_columns_span_count(const imp_columns *columns, imp_reduction reduction);
size_t imp_columns_spans_kept(const imp_columns *columns, imp_reduction reduction);
imp_status imp_columns_span_at(const imp_columns *columns, imp_reduction reduction, size_t index, imp_span *span,
                               imp_error *error);
/* Longest one, and time of all together. */
imp_status imp_columns_span_totals(const imp_columns *columns, imp_reduction reduction, double *longest, double *total,
                                   imp_error *error);

/* Means over fixed times: one value for each period (from a whole multiple of it) that has a row, in the order of the log.
 * IMP_LIMIT in the run when there are more than IMP_COLUMNS_SERIES_KEPT. */
typedef struct imp_series_point {
    double time; /* start of the period */
    uint64_t count;
    double mean, least, greatest;
} imp_series_point;
imp_status imp_columns_resample(imp_columns *columns, imp_column value, imp_column mask, double period,
                                imp_reduction *reduction, imp_error *error);
size_t imp_columns_series_count(const imp_columns *columns, imp_reduction reduction);
imp_status imp_columns_series_at(const imp_columns *columns, imp_reduction reduction, size_t index,
                                 imp_series_point *point, imp_error *error);

/* --- rows, for what expressions cannot say --- */
/* For the next run only: called in order with evaluated rows: values[i][row] of the columns asked for, time and the duration of each row (0: a
 * break follows). Another status than IMP_OK ends the run. */
typedef imp_status (*imp_columns_rows)(void *context, size_t rows, const double *time, const double *duration,
                                       const double *const *values, imp_error *error);
imp_status imp_columns_each(imp_columns *columns, const imp_column *wanted, size_t count, imp_columns_rows call,
                            void *context, imp_error *error);

/* --- runs --- */
/* Answer everything asked for since the last run, in one pass over the log (whose header was bound). */
imp_status imp_columns_run(imp_columns *columns, imp_log *log, imp_error *error);
/* The same for columns in memory; a streamed column that was asked for is IMP_NOT_APPLICABLE. */
imp_status imp_columns_run_memory(imp_columns *columns, imp_error *error);
/* What the last run found wrong, the reader's findings included. */
const imp_log_faults *imp_columns_faults(const imp_columns *columns);

/* --- pieces of a log: run each, merge later; the merged answers are those of one run, to the last bit --- */
/* Run over one piece, and keep what its neighbours may change (rows at both ends, sums unrounded) as JSON text, released
 * with imp_release by the set's allocator. Answers are not available from this set.
 * IMP_LIMIT when windows reach over more than IMP_COLUMNS_WAITING_ROWS rows. */
imp_status imp_columns_run_partial(imp_columns *columns, imp_log *log, char **text, size_t *length, imp_error *error);
/* Merge: a set bound to the same header with the same reductions asked for (IMP_TYPE: "was made with other questions");
 * add the partial results in the log's order, then finish; then results are there as after a run. */
imp_status imp_columns_merge(imp_columns *columns, const char *text, size_t length, imp_error *error);
imp_status imp_columns_merge_finish(imp_columns *columns, imp_error *error);
/* The header that a partial result was made with, to bind a set before merging. */
imp_status imp_columns_partial_header(const char *text, size_t length, imp_log_header *header, imp_error *error);

#endif
