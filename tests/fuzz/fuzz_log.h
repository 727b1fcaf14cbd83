/* fuzz_log.h — a log in memory as a file, questions of every kind about it, and all their answers as one number. */
#ifndef IMP_FUZZ_LOG_H
#define IMP_FUZZ_LOG_H

#include <sys/mman.h>
#include <unistd.h>

#include "fuzz.h"
#include "log_summary.h"

/* The text as a file; the path is good until the next call for the same `number` (0 or 1). */
static inline const char *file_of(int number, const char *text, size_t length)
{
    static int files[2] = {-1, -1};
    static char paths[2][32];
    if (files[number] < 0)
        files[number] = memfd_create("log", MFD_CLOEXEC);
    if (files[number] < 0 || ftruncate(files[number], 0) != 0 || pwrite(files[number], text, length, 0) != (ssize_t)length)
        abort();
    snprintf(paths[number], sizeof paths[number], "/proc/self/fd/%d", files[number]);
    return paths[number];
}

/* FNV-1a */
static inline void mix(uint64_t *hash, const void *bytes, size_t count)
{
    const unsigned char *at = bytes;
    for (size_t i = 0; i < count; i++)
        *hash = (*hash ^ at[i]) * UINT64_C(1099511628211);
}

enum { FUZZ_NUMBERS = 12 };

typedef struct questions {
    imp_log_summary_plan *plan;
    imp_reduction numbers[FUZZ_NUMBERS], spans, series;
    size_t number_count;
    bool has_spans, has_series;
} questions;

static inline void ask_number(imp_columns *columns, questions *all, imp_reduction_kind kind, imp_column value, imp_column mask,
                              double parameter)
{
    if (all->number_count < FUZZ_NUMBERS &&
        imp_columns_reduce(columns, kind, value, mask, parameter, &all->numbers[all->number_count], NULL) == IMP_OK)
        all->number_count++;
}

/* The summary, and questions with every kind of memory about the first columns. */
static inline imp_status ask_questions(imp_columns *columns, questions *all, imp_error *error)
{
    const imp_log_header *header = imp_columns_header(columns);
    imp_log_summary_options options = {.iso_displacement = 1.2e-4, .resin_displacement = 1e-4, .flow_uncertainty = 0.01,
                                       .window_count = 1};
    imp_column spraying, a, b, x, y;
    memset(all, 0, sizeof *all);
    snprintf(options.windows[0].column, sizeof options.windows[0].column, "%s", header->columns[0].name);
    options.windows[0].low = 0.0;
    options.windows[0].high = 300.0;
    const imp_status status = imp_log_summary_ask(columns, &options, &all->plan, &spraying, error);
    if (status != IMP_OK || imp_columns_source(columns, header->columns[0].name, &a, error) != IMP_OK)
        return status;
    if (header->count < 2 || imp_columns_source(columns, header->columns[1].name, &b, NULL) != IMP_OK)
        b = a;
    ask_number(columns, all, IMP_REDUCE_SD, a, spraying, 0.0);
    ask_number(columns, all, IMP_REDUCE_INTEGRAL_TRAPEZOID, a, IMP_NO_COLUMN, 0.0);
    ask_number(columns, all, IMP_REDUCE_TIME_MEAN, b, IMP_NO_COLUMN, 0.0);
    ask_number(columns, all, IMP_REDUCE_QUANTILE, b, IMP_NO_COLUMN, 0.3);
    ask_number(columns, all, IMP_REDUCE_FIRST, a, IMP_NO_COLUMN, 0.0);
    ask_number(columns, all, IMP_REDUCE_LAST, b, IMP_NO_COLUMN, 0.0);
    if (imp_columns_over_time(columns, IMP_COLUMN_ROLLING, a, 30.0, &x, NULL) == IMP_OK &&
        imp_columns_unary(columns, IMP_COLUMN_RATE, x, &x, NULL) == IMP_OK)
        ask_number(columns, all, IMP_REDUCE_SD, x, IMP_NO_COLUMN, 0.0);
    if (imp_columns_binary(columns, IMP_COLUMN_DIVIDE, a, b, &x, NULL) == IMP_OK)
        ask_number(columns, all, IMP_REDUCE_MEAN, x, IMP_NO_COLUMN, 0.0);
    if (imp_columns_over_time(columns, IMP_COLUMN_ROLLING, a, 20.0, &x, NULL) == IMP_OK &&
        imp_columns_binary(columns, IMP_COLUMN_ABOVE, a, x, &y, NULL) == IMP_OK) {
        all->has_spans = imp_columns_spans(columns, y, &a, 1, &all->spans, NULL) == IMP_OK;
        if (imp_columns_over_time(columns, IMP_COLUMN_LASTING, y, 5.0, &y, NULL) == IMP_OK)
            ask_number(columns, all, IMP_REDUCE_SUM, a, y, 0.0);
    }
    all->has_series = imp_columns_resample(columns, a, IMP_NO_COLUMN, 60.0, &all->series, NULL) == IMP_OK;
    return IMP_OK;
}

static inline void mix_faults(uint64_t *hash, const imp_log_faults *faults)
{
    mix(hash, &faults->lines, sizeof faults->lines);
    mix(hash, &faults->rows, sizeof faults->rows);
    mix(hash, faults->missing, sizeof faults->missing);
    mix(hash, faults->unreadable, sizeof faults->unreadable);
    mix(hash, faults->sample, strlen(faults->sample));
    for (int i = 0; i < IMP_LOG_FAULT_COUNT; i++) {
        const imp_log_fault_count *kind = &faults->kind[i];
        require(kind->kept <= IMP_LOG_LINES_KEPT && kind->kept <= kind->count, "no more lines are kept than there are");
        mix(hash, &kind->count, sizeof kind->count);
        mix(hash, kind->line, kind->kept * sizeof kind->line[0]);
        mix(hash, kind->column, kind->kept * sizeof kind->column[0]);
    }
}

/* Everything that a run or a merge answered. */
static inline uint64_t answers_of(const imp_columns *columns, const questions *all)
{
    static imp_log_summary summary;
    uint64_t hash = UINT64_C(14695981039346656037);
    imp_error error;
    imp_quantity result;
    const imp_status collected = imp_log_summary_collect(columns, all->plan, &summary, &error);
    if (collected != IMP_OK)
        require_error(collected, &error);
    else
        mix(&hash, &summary.iso_volume.si, sizeof summary.iso_volume.si);
    for (size_t i = 0; i < all->number_count; i++) {
        const imp_status status = imp_columns_result(columns, all->numbers[i], &result, &error);
        if (status != IMP_OK)
            require_error(status, &error);
        else
            mix(&hash, &result.si, sizeof result.si);
        mix(&hash, &status, sizeof status);
    }
    for (size_t i = 0; all->has_spans && i < imp_columns_spans_kept(columns, all->spans); i++) {
        imp_span span;
        require(imp_columns_span_at(columns, all->spans, i, &span, NULL) == IMP_OK, "a kept span is there");
        mix(&hash, &span.from, sizeof span.from);
        mix(&hash, &span.to, sizeof span.to);
        mix(&hash, &span.duration, sizeof span.duration);
        mix(&hash, &span.rows, sizeof span.rows);
        mix(&hash, &span.values[0], sizeof span.values[0]);
    }
    for (size_t i = 0; all->has_series && i < imp_columns_series_count(columns, all->series); i++) {
        imp_series_point point;
        require(imp_columns_series_at(columns, all->series, i, &point, NULL) == IMP_OK, "a kept point is there");
        mix(&hash, &point, sizeof point);
    }
    mix_faults(&hash, imp_columns_faults(columns));
    return hash;
}

static inline imp_status discard(void *context, imp_log_block *block, imp_error *error)
{
    (void)context;
    (void)block;
    (void)error;
    return IMP_OK;
}

/* A log's answers; false, with the reason in error, when it cannot be used. */
static inline bool run_log(const char *path, const imp_log_options *options, uint64_t *answers, uint64_t *bytes,
                           imp_error *error)
{
    imp_log *log = NULL;
    imp_columns *columns = NULL;
    questions all;
    if (imp_log_open(path, options, &log, error) != IMP_OK)
        return false;
    imp_status status = imp_columns_create(NULL, &columns, error);
    if (status == IMP_OK)
        status = imp_columns_bind(columns, imp_log_header_of(log), error);
    if (status == IMP_OK)
        status = ask_questions(columns, &all, error);
    /* what was read with the header (64 KiB) is the first chunk of the first run, whatever its size; a second has all in chunks */
    if (status == IMP_OK && options->chunk > 0)
        imp_log_run(log, discard, NULL, NULL);
    if (status == IMP_OK)
        status = imp_columns_run(columns, log, error);
    if (status == IMP_OK) {
        *answers = answers_of(columns, &all);
        *bytes = imp_columns_faults(columns)->bytes; /* pieces do not know those of the header */
    }
    imp_columns_free(columns);
    imp_log_close(log);
    return status == IMP_OK;
}

/* What a piece of a log keeps for merging, to be released with free; NULL when it cannot be used. */
static inline char *partial_of(const char *path, const imp_log_options *options, size_t *length)
{
    imp_log *log = NULL;
    imp_columns *columns = NULL;
    questions all;
    char *text = NULL;
    if (imp_log_open(path, options, &log, NULL) != IMP_OK)
        return NULL;
    if (imp_columns_create(NULL, &columns, NULL) == IMP_OK && imp_columns_bind(columns, imp_log_header_of(log), NULL) == IMP_OK &&
        ask_questions(columns, &all, NULL) == IMP_OK && imp_columns_run_partial(columns, log, &text, length, NULL) != IMP_OK)
        text = NULL;
    imp_columns_free(columns);
    imp_log_close(log);
    return text;
}

#endif
