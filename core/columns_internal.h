/* columns_internal.h — shared by the files of columns, and by nobody else. */
#ifndef IMP_COLUMNS_INTERNAL_H
#define IMP_COLUMNS_INTERNAL_H

#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <string.h>

#include "columns.h"
#include "kernels.h"
#include "memory.h"
#include "sketch.h"

#define IMP_NO_VALUE ((double)NAN) /* a missing cell */

enum { IMP_FRAME_ROWS = 512, IMP_FRAME_WORDS = IMP_FRAME_ROWS / 64, IMP_MOST_TAPS = 64 };

/* --- expressions --- */
typedef struct imp_node {
    imp_column_operation operation;
    int a, b;
    double parameter; /* seconds, or a constant's value */
    imp_column_kind kind;
    int source;     /* header column of a source */
    double *memory; /* values of a column in memory */
    int level;      /* how many decisions of lasting it waits for */
    double back, ahead; /* seconds of rows before and after a row that it depends on */
    int rows_back;
} imp_node;

/* --- what reductions keep --- */
typedef enum imp_tally_kind { IMP_TALLY_MOMENTS, IMP_TALLY_SKETCH, IMP_TALLY_TIME, IMP_TALLY_TRAPEZOID, IMP_TALLY_INCREASE,
                              IMP_TALLY_SPANS, IMP_TALLY_STUCK, IMP_TALLY_SERIES } imp_tally_kind;

enum { IMP_WANT_SUM = 1, IMP_WANT_SQUARES = 2, IMP_WANT_INTEGRAL = 4 };

/* Count, sum, least and greatest of some values. */
typedef struct imp_moments {
    uint64_t count;
    double least, greatest; /* infinities when empty */
    imp_exact_sum sum;
} imp_moments;

/* An unbroken run of rows where a mask is 1, or a period of a series. */
typedef struct imp_stretch {
    bool is_used;
    double from, reach; /* a series: start of the period in `from` */
    double value;       /* stuck: the value that does not change */
    uint64_t rows;
    imp_moments *values; /* one a value of the spans; one for a series */
} imp_stretch;

/* A span without its values, which lie apart: most spans carry few. */
typedef struct imp_kept_span {
    double from, to;
    uint64_t rows;
} imp_kept_span;

typedef struct imp_tally {
    imp_tally_kind kind;
    int value, mask; /* nodes; mask may be IMP_NO_COLUMN */
    int shared;      /* of the engine that counts: which of its totals is of these two, or -1 */
    double parameter; /* period of a series */
    unsigned wants;
    bool is_answered;
    bool keeps_first; /* a piece of a log: its first stretch may belong to one of the piece before */
    bool has_begun;   /* a row was counted */
    int exponent;     /* of the largest value summed lately; only a guess that saves looking before adding */
    /* moments, time (sum: time; squares: integral), trapezoid (squares), increase (sum) */
    imp_moments moments;
    imp_exact_sum squares;
    double first, last;
    bool has_first, has_last;
    /* trapezoid: the row before; increase: the first row present, and whether a step back in time parts it from before */
    double before, before_duration;
    bool is_first_counted, is_first_parted, was_parted;
    double time_before;
    bool has_time_before;
    /* quantiles */
    imp_sketch sketch;
    double *gathered; /* of a column in memory */
    size_t gathered_count;
    /* spans and series */
    int values[IMP_SPAN_VALUES];
    size_t value_count;
    imp_stretch open, first_stretch;
    bool is_open_first;
    imp_kept_span *spans;
    imp_span_value *span_values; /* value_count a span */
    imp_series_point *points;
    size_t kept, kept_capacity;
    uint64_t span_count;
    double longest;
    imp_exact_sum total;
} imp_tally;

typedef struct imp_asked {
    imp_reduction_kind kind;
    int tally;
    double parameter;
    imp_dimension dimension;
    bool is_reading;
} imp_asked;

/* --- rows as they came, kept at the ends of a piece --- */
typedef struct imp_row_store {
    double *cells; /* row after row: time, line, the sources in use */
    size_t width, rows, capacity;
} imp_row_store;

/* --- rows being evaluated --- */
/* Values and mask of which several reductions may want count, extent and sum: found once a frame. */
typedef struct imp_total {
    int value, mask; /* nodes */
} imp_total;

typedef struct imp_frame_total {
    imp_block_sum sum; /* of all rows of the frame */
    int exponent;      /* as in imp_exact_sum_find */
} imp_frame_total;

typedef struct imp_frame {
    size_t rows;            /* evaluated; one more row may be there as it came */
    uint64_t first_row;     /* number of its first row among all rows fed */
    size_t count_from, count_to; /* rows that reductions count */
    double duration_before; /* of the row before the first */
    double greatest_duration;
    bool is_rising;                  /* no row is earlier than the one before it */
    uint64_t holds[IMP_FRAME_WORDS]; /* bit by bit: the row has a duration */
    double *time, *duration;
    double **own;    /* each node's array; NULL where not needed */
    double **values; /* each node's values: its own array, or another of equal values: an operand's, or the engine's zeros */
    bool *is_done;   /* the node's values are there */
    bool *is_zero;   /* all rows of the node are known to be 0 */
    bool *has_extent;
    imp_extent *extents; /* of a node's rows, where has_extent */
    bool *has_total;
    imp_frame_total *totals; /* where has_total */
    size_t total_count;
    size_t nodes;
    double *storage;
} imp_frame;

/* --- rolling means: columns_rolling.c --- */

/* Rows as far back as a rolling mean reaches, shared by all columns with the same time. */
typedef struct imp_window {
    struct imp_window *next;
    double seconds;
    int level;
    uint64_t frames; /* taken */
    double *time;    /* of the rows held */
    size_t capacity, held;
    size_t start;    /* the first row of those held that is in the window of the last */
    size_t dropped;  /* rows let go before the last frame came */
    bool is_connected;
    uint32_t first[IMP_FRAME_ROWS + IMP_KERNEL_ROUND]; /* of the last frame's rows: where each one's window begins */
} imp_window;

/* What a column keeps of the rows held by its window. */
typedef struct imp_rolling {
    uint64_t frames;
    double *values; /* with the running sums behind them */
    size_t capacity, held;
    imp_sum_places places;
    bool is_slow;   /* two doubles do not hold the sums */
    bool is_summed; /* then: `sum` is of rows [sum_from, sum_to), `summed` values */
    size_t sum_from, sum_to, summed;
    imp_exact_sum sum;
} imp_rolling;

typedef struct imp_node_state {
    double before, since;
    bool has_before, is_connected;
    /* lasting: an open run */
    bool is_open, is_decided;
    uint64_t open_frame;
    size_t open_row;
    imp_window *window; /* rolling */
    imp_rolling rolling;
} imp_node_state;

/* A frame's columns lie apart by a little more than a power of two: see log_run.c */
enum { IMP_FRAME_STRIDE = IMP_FRAME_ROWS + 16 };
/* Frames that may wait for lasting, and those that may wait to be counted while others are evaluated. */
enum { IMP_FRAMES_WAITING = IMP_COLUMNS_WAITING_ROWS / IMP_FRAME_ROWS + 1, IMP_FRAMES_UNCOUNTED = 4,
       IMP_FRAMES = IMP_FRAMES_WAITING + IMP_FRAMES_UNCOUNTED + 2 };

typedef struct imp_engine {
    imp_columns *columns;
    const imp_kernels *kernels;
    size_t length;      /* of columns in memory; 0: rows come from a log */
    bool *needed;
    int *ordered; /* nodes that must see every frame, in order */
    size_t ordered_count;
    imp_node_state *states;
    imp_total *totals;
    size_t total_count;
    int *total_of;       /* a node's without a mask, or -1 */
    imp_window *windows; /* one behind the other */
    imp_frame *frames[IMP_FRAMES];
    uint64_t filled;                /* frames complete */
    uint64_t done[IMP_MOST_LEVELS]; /* frames through each level */
    uint64_t released;              /* frames whose memory went to later ones */
    /* Where a log is read by several threads, one may count frames (in their order) while another evaluates later ones. */
    bool is_shared;
    pthread_mutex_t counting;         /* held by the one that counts */
    _Atomic uint64_t evaluated;       /* frames through all levels */
    _Atomic uint64_t frames_counted;
    _Atomic bool has_failed;
    imp_status status; /* of counting */
    imp_error error;
    imp_frame *filling;
    size_t fill;                    /* rows in it */
    int levels;
    double *constants, *scratch, *scratch_b;
    double *zeros; /* of a frame's length; many masks are 0 in all rows of most frames */
    int sources[IMP_LOG_MOST_COLUMNS]; /* nodes that are fed: header column of each in source_columns */
    int source_columns[IMP_LOG_MOST_COLUMNS];
    size_t source_count;
    bool has_last;
    double last_time;
    uint64_t fed;                  /* rows taken */
    uint64_t counted;              /* rows that all reductions have seen */
    uint64_t count_from, count_to; /* of the rows, those that reductions count */
    bool notes_faults;
    imp_log_faults *faults;
    /* pieces: rows of the head are kept as they came, until what follows no longer depends on what came before */
    bool is_partial, has_split, head_complete;
    imp_row_store head, tail;
    double back, ahead;
    int rows_back;
    size_t head_split; /* rows of the head before the body */
    double split_time, start_time;
    uint64_t split_row, ready_row;
    bool is_ready, break_after_split;
    uint64_t tail_first; /* number of the tail's first row */
} imp_engine;

struct imp_columns {
    const imp_allocator *allocator;
    imp_log_header header;
    bool is_bound;
    double gap;
    imp_node *nodes;
    size_t node_count, node_capacity;
    imp_tally **tallies;
    size_t tally_count, tally_capacity;
    imp_asked *asked;
    size_t asked_count, asked_capacity;
    /* each */
    int taps[IMP_MOST_TAPS];
    size_t tap_count;
    imp_columns_rows tap;
    void *tap_context;
    imp_log_faults faults;
    imp_engine *merging;
    void *plan; /* of a summary; released with the set */
};

/* columns_frame.c */
imp_status imp_frame_create(const imp_engine *engine, imp_frame **frame);
void imp_frame_free(const imp_columns *columns, imp_frame *frame);
/* All rows are there: find out about their times, before anything is evaluated. */
void imp_frame_prepare(const imp_engine *engine, imp_frame *frame);
/* Extent of rows [0, frame->rows) of one node, found once. */
imp_status imp_frame_extent(imp_engine *engine, imp_frame *frame, int index, const imp_extent **extent, imp_error *error);
/* Count, extent and sum of rows [0, frame->rows), found once. */
imp_status imp_frame_total_of(imp_engine *engine, imp_frame *frame, int total, const imp_block_sum **sum, imp_error *error);
/* The first place from `from` on whose bit is set (or not), or `to`. */
size_t imp_bits_find(const uint64_t *bits, size_t from, size_t to, bool is_set);

/* columns_evaluate.c: makes sure that rows [0, frame->rows) of one node are there, and of those it needs. Most nodes are
 * evaluated only when their values matter; those that remember rows must be so in every frame, in order. */
imp_status imp_node_need(imp_engine *engine, int index, imp_frame *frame, imp_error *error);
bool imp_node_remembers(const imp_node *node);
/* lasting: decides rows of this and of earlier frames. */
void imp_node_decide(imp_engine *engine, int index, uint64_t number);
/* The first frame that lasting has not decided yet, or UINT64_MAX. */
uint64_t imp_node_undecided(const imp_engine *engine, int node);
void imp_node_state_reset(imp_node_state *state);

/* columns_rolling.c */
imp_status imp_window_of(imp_engine *engine, int node, imp_window **found);
void imp_window_reset(imp_window *window);
void imp_windows_free(imp_engine *engine);
void imp_rolling_reset(imp_rolling *rolling);
void imp_rolling_free(const imp_columns *columns, imp_rolling *rolling);
imp_status imp_node_roll(imp_engine *engine, imp_node_state *state, const imp_frame *frame, const double *a, double *out,
                         imp_error *error);

/* columns_tally.c */
void imp_moments_init(imp_moments *moments);
void imp_moments_merge(imp_moments *moments, const imp_moments *next);
/* Values where mask (may be NULL) is 1; *exponent as in imp_exact_sum_add_where. */
imp_extent imp_moments_add_where(imp_moments *moments, const double *values, const double *mask, size_t rows, int *exponent);
/* The same for all rows of a frame, as found for the tally's total. */
imp_status imp_moments_add_total(imp_engine *engine, imp_moments *moments, const imp_tally *tally, imp_frame *frame,
                                 uint64_t *count, imp_error *error);
void imp_tally_reset(imp_tally *tally);
void imp_tally_free(const imp_columns *columns, imp_tally *tally);
imp_status imp_tally_count(imp_engine *engine, imp_tally *tally, imp_frame *frame, imp_error *error);
/* Append what the next piece counted. */
imp_status imp_tally_join(imp_columns *columns, imp_tally *tally, imp_tally *next, imp_error *error);
/* The log has ended: close what is open. */
imp_status imp_tally_finish(imp_columns *columns, imp_tally *tally, imp_error *error);

/* columns_spans.c */
imp_status imp_stretch_init(const imp_columns *columns, imp_stretch *stretch, size_t values);
imp_status imp_tally_count_spans(const imp_engine *engine, imp_tally *tally, const imp_frame *frame, imp_error *error);
imp_status imp_tally_count_stuck(imp_columns *columns, imp_tally *tally, const imp_frame *frame, imp_error *error);
imp_status imp_tally_count_series(imp_engine *engine, imp_tally *tally, imp_frame *frame, imp_error *error);
imp_status imp_tally_join_stretches(imp_columns *columns, imp_tally *tally, imp_tally *next, imp_error *error);
/* The kept span of this place. */
void imp_tally_span(const imp_tally *tally, size_t index, imp_span *span);
imp_status imp_tally_close(imp_columns *columns, imp_tally *tally, imp_error *error);

/* columns_engine.c */
/* length: of the columns in memory to run, 0 for a log. Only what is not answered yet is evaluated. */
imp_status imp_engine_create(imp_columns *columns, size_t length, bool is_partial, imp_engine **engine, imp_error *error);
void imp_engine_free(imp_engine *engine);
/* Whether the tally is one of this run's. */
bool imp_engine_counts(const imp_engine *engine, const imp_tally *tally);
/* Forget all rows and what nodes remember of them. */
void imp_engine_restart(imp_engine *engine);

/* columns_run.c */
/* Rows in order; the arrays are not kept. */
imp_status imp_engine_feed(imp_engine *engine, const imp_log_block *block, imp_error *error);
/* Evaluate all rows fed but the last, whose duration is not known yet. At least two rows are in the frame. */
imp_status imp_engine_complete_frame(imp_engine *engine, imp_error *error);
/* Evaluate all rows fed; the last one has no duration. */
imp_status imp_engine_flush(imp_engine *engine, imp_error *error);
imp_status imp_columns_out_of_memory(imp_error *error);

/* columns_piece.c */
/* The first row of a store that must be fed again so that row `due` and later ones are evaluated as before. */
size_t imp_piece_context(const imp_engine *engine, const imp_row_store *store, size_t due);
imp_status imp_row_store_add(imp_engine *engine, imp_row_store *store, const imp_log_block *block, size_t row,
                             imp_error *error);
void imp_row_store_free(imp_engine *engine, imp_row_store *store);
/* A row that was kept by order, or (is_kept false) left out as a duplicate. */
imp_status imp_piece_take(imp_engine *engine, const imp_log_block *block, size_t row, bool is_kept, bool is_parted,
                          imp_error *error);



#endif
