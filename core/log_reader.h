/* log_reader.h — job logs: CSV (RFC 4180) read as a stream, in blocks of rows, with what is wrong counted by line.
 *
 * A log may be any length: memory is a few fixed buffers for each thread. Numbers are correctly rounded. Cells that are
 * empty are missing (not-a-number in a block); cells that are no number count as missing and are reported. */
#ifndef IMP_LOG_READER_H
#define IMP_LOG_READER_H

#include <stdint.h>

#include "log_header.h"

/* What can be wrong with a log: X(identifier, "key in results", "what a person reads, after a count"). */
#define IMP_LOG_FAULT_LIST(X)                                                                                          \
    X(IMP_FAULT_NOT_A_NUMBER, "not_a_number", "cells that are no number")                                              \
    X(IMP_FAULT_TOO_LARGE, "too_large", "numbers too large to be one")                                                 \
    X(IMP_FAULT_RAGGED, "ragged", "rows with too few or too many cells, left out")                                               \
    X(IMP_FAULT_NO_TIME, "no_time", "rows without a readable time, left out")                                          \
    X(IMP_FAULT_OUT_OF_ORDER, "out_of_order", "rows earlier than the one before; no time is counted across")           \
    X(IMP_FAULT_DUPLICATE, "duplicate", "rows with the same time as the one before, left out")                         \
    X(IMP_FAULT_GAP, "gap", "gaps in time, not counted as time")                                                       \
    X(IMP_FAULT_STUCK, "stuck", "readings that did not move for long")                                                 \
    X(IMP_FAULT_LONG_LINE, "long_line", "lines too long to be a row, left out")                                        \
    X(IMP_FAULT_BINARY, "binary", "lines with bytes that are no text, left out")                                       \
    X(IMP_FAULT_QUOTES, "quotes", "rows with quotes that do not close, left out")                                                \
    X(IMP_FAULT_TRUNCATED, "truncated", "last line cut off, left out")

typedef enum imp_log_fault {
#define X(identifier, key, text) identifier,
    IMP_LOG_FAULT_LIST(X)
#undef X
    IMP_LOG_FAULT_COUNT
} imp_log_fault;

const char *imp_log_fault_key(imp_log_fault fault);
const char *imp_log_fault_text(imp_log_fault fault);

enum { IMP_LOG_LINES_KEPT = 20, IMP_LOG_MOST_THREADS = 64 };

/* One kind of fault: how often, and the first lines (from 1, the header's included) with the column it was in (-1: the row).
 * Lines are kept in the file's order. */
typedef struct imp_log_fault_count {
    uint64_t count;
    unsigned kept;
    uint64_t line[IMP_LOG_LINES_KEPT];
    int column[IMP_LOG_LINES_KEPT];
} imp_log_fault_count;

typedef struct imp_log_faults {
    imp_log_fault_count kind[IMP_LOG_FAULT_COUNT];
    uint64_t lines;                           /* lines of the file, the header's and empty ones included */
    uint64_t rows;                            /* rows with a readable time */
    uint64_t bytes;
    uint64_t missing[IMP_LOG_MOST_COLUMNS];   /* empty or unreadable cells of each column, in rows with a time */
    uint64_t unreadable[IMP_LOG_MOST_COLUMNS]; /* those of them that are not empty */
    char sample[IMP_LOG_NAME_SIZE];           /* the first cell that is no number */
    int sample_column;
} imp_log_faults;

void imp_log_fault_add(imp_log_faults *faults, imp_log_fault fault, uint64_t line, int column);
/* Add those of the lines that follow; `lines_before` is added to their line numbers. */
void imp_log_faults_append(imp_log_faults *faults, const imp_log_faults *next, uint64_t lines_before);

typedef struct imp_log_options {
    int threads;                     /* 1 or less: the caller's thread alone */
    const imp_log_mapping *mapping;  /* may be NULL */
    size_t chunk;                    /* bytes read at a time; 0: chosen. Results do not depend on it */
    size_t rows;                     /* rows a block; 0: chosen. Results do not depend on it */
    const imp_allocator *allocator;  /* may be NULL; called from several threads, one at a time */
} imp_log_options;

/* Rows in the file's order. `values[c]` belongs to header column c; not-a-number is missing. The arrays may be written to,
 * and hold `capacity` rows. They live until the callback returns. */
typedef struct imp_log_block {
    size_t rows, capacity;
    double *time;                          /* never missing; not yet checked for order */
    uint64_t *line;                        /* line number of each row */
    double *values[IMP_LOG_MOST_COLUMNS];
} imp_log_block;

/* Called for one block after the other, never for two at once, but not always on the same thread. Another status than
 * IMP_OK ends the run, which returns it. */
typedef imp_status (*imp_log_take)(void *context, imp_log_block *block, imp_error *error);

typedef struct imp_log imp_log;

/* Open a file ("-": standard input) and read its header. options may be NULL. IMP_IO: the file cannot be read.
 * IMP_SYNTAX, IMP_UNKNOWN, IMP_DIMENSION_MISMATCH: the header cannot be used, in one sentence: place is the column. */
imp_status imp_log_open(const char *path, const imp_log_options *options, imp_log **log, imp_error *error);
void imp_log_close(imp_log *log);
const imp_log_header *imp_log_header_of(const imp_log *log);

/* Read the rest, block by block. May be called again: a file is then read again from its first row (IMP_IO for a pipe).
 * IMP_SYNTAX when nothing is left: no row could be used, and why. */
imp_status imp_log_run(imp_log *log, imp_log_take take, void *context, imp_error *error);
/* What was wrong, after a run; faults of order and of time are found by columns.h, not here. */
const imp_log_faults *imp_log_faults_of(const imp_log *log);

#endif
