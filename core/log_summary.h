/* log_summary.h — the standard summary of a job log: times, volumes, ratio, pressures and temperatures, and what was wrong.
 *
 * It is a list of reductions (columns.h) over the known columns, asked for together with whatever a script asks, so that
 * one pass answers all and pieces merge exactly. What a log lacks is not known, never guessed.
 *
 * What is meant
 * - spraying: trigger is 1; without a trigger column, both flows (or cycle rates) are above `flow_threshold`.
 * - recirculating: not spraying while a flow (or cycle rate) is above the threshold. idle: neither.
 * - volumes: by counters where cycles and displacement are known, else by flows (step integral); sprayed volume counts
 *   while spraying only, pumped volume always. Mass where a density is given.
 * - ratio: iso over resin volume while spraying. Its standard uncertainty: counters, each difference of two readings that
 *   are rounded to a cycle, sqrt(1/6) cycles; flows, `flow_uncertainty` a meter (relative). GUM, linear.
 * - rolling ratio: mean flows over `ratio_window`, while spraying.
 * - imbalance: (iso - resin)/resin pressure while spraying, at the gun where logged there, else at the pump. */
#ifndef IMP_LOG_SUMMARY_H
#define IMP_LOG_SUMMARY_H

#include "columns.h"

/* A window that a column should keep while spraying, SI; not-a-number at an end: open. */
typedef struct imp_log_window {
    char column[IMP_LOG_NAME_SIZE];
    double low, high;
} imp_log_window;

enum { IMP_LOG_MOST_WINDOWS = 24 };

typedef struct imp_log_summary_options {
    double iso_displacement, resin_displacement; /* m^3 a cycle; 0: not known */
    double iso_density, resin_density;           /* kg/m^3; 0: not known */
    double nominal_ratio;                        /* iso over resin by volume; 0: 1 */
    double ratio_tolerance;                      /* relative; 0: 5 % */
    double ratio_window;                         /* s; 0: 60 s */
    double flow_uncertainty;                     /* relative standard uncertainty of a flow meter; 0: not known */
    double flow_threshold;                       /* m^3/s; 0: 0.05 L/min */
    double gap;                                  /* s; 0: 10 s */
    imp_log_window windows[IMP_LOG_MOST_WINDOWS];
    size_t window_count;
} imp_log_summary_options;

/* A value that may not be known. */
typedef struct imp_log_value {
    bool known;
    double si;
} imp_log_value;

typedef struct imp_log_column_summary {
    char name[IMP_LOG_NAME_SIZE];
    char unit[IMP_UNIT_TEXT_SIZE]; /* the log's own, for display */
    imp_dimension dimension;
    bool is_reading;
    uint64_t count, missing;
    imp_log_value least, greatest, mean;                             /* of all rows */
    imp_log_value spraying_least, spraying_greatest, spraying_mean; /* of rows while spraying */
} imp_log_column_summary;

typedef struct imp_log_window_summary {
    imp_log_window window;
    double below, inside, above; /* time while spraying, s */
} imp_log_window_summary;

typedef struct imp_log_summary {
    uint64_t rows;
    imp_log_value first_time, last_time;
    double logged_time;                                         /* s, without gaps */
    imp_log_value spraying_time, recirculating_time, idle_time; /* s */
    uint64_t sprays;                                            /* times that the trigger was pulled */
    imp_log_value longest_spray;
    imp_log_value iso_volume, resin_volume, iso_pumped, resin_pumped; /* m^3; pumped: at any time */
    imp_log_value iso_mass, resin_mass;                               /* kg */
    const char *volume_by;                                            /* "counters", "flows" or "not known" */
    imp_log_value ratio, ratio_uncertainty;
    imp_log_value rolling_least, rolling_greatest;
    imp_log_value off_ratio_time; /* s of spraying with the rolling ratio outside the tolerance */
    imp_log_value imbalance_mean, imbalance_least, imbalance_greatest;
    imp_log_column_summary columns[IMP_LOG_MOST_COLUMNS];
    size_t column_count;
    imp_log_window_summary windows[IMP_LOG_MOST_WINDOWS];
    size_t window_count;
    imp_log_faults faults;
} imp_log_summary;

/* The reductions of the summary in a set of columns, whose other reductions run along. */
typedef struct imp_log_summary_plan imp_log_summary_plan;

/* Ask for the summary. options may be NULL; windows on columns that the log lacks are left out. The plan is released with
 * the set. *spraying (may be NULL) receives the mask, IMP_NO_COLUMN where it is not known. */
imp_status imp_log_summary_ask(imp_columns *columns, const imp_log_summary_options *options, imp_log_summary_plan **plan,
                               imp_column *spraying, imp_error *error);
/* After a run or a finished merge. summary is large: do not keep it on a small stack. */
imp_status imp_log_summary_collect(const imp_columns *columns, const imp_log_summary_plan *plan, imp_log_summary *summary,
                                   imp_error *error);

/* Many files: each is opened, summarised and closed, `threads` files at a time. statuses[i] and errors[i] say how file i
 * went. IMP_MEMORY or IMP_INTERNAL when the whole could not be done. */
imp_status imp_log_summarise_files(const char *const *paths, size_t count, const imp_log_options *log_options,
                                   const imp_log_summary_options *options, int threads, imp_log_summary *summaries,
                                   imp_status *statuses, imp_error *errors);

#endif
