#include "log_summary.h"

#include <math.h>
#include <pthread.h>
#include <string.h>

#include "columns_internal.h"

#define FLOW_THRESHOLD (0.05e-3 / 60.0)
enum { NOT_ASKED = -1 };
#define CYCLE_WINDOW 5.0  /* s: a counter's rate is a mean over this */
#define STUCK_AFTER 1800.0 /* s without any change, spraying among them: common practice, no source */

typedef struct column_plan {
    imp_reduction count, least, greatest, mean, spraying_least, spraying_greatest, spraying_mean, stuck;
} column_plan;

struct imp_log_summary_plan {
    imp_log_summary_options options;
    imp_reduction rows, first_time, last_time, logged, spraying, recirculating, idle, sprays;
    imp_reduction iso_sprayed, resin_sprayed, iso_pumped, resin_pumped; /* volumes, or cycles */
    bool by_counters;
    imp_reduction rolling_least, rolling_greatest, off_ratio;
    imp_reduction imbalance_mean, imbalance_least, imbalance_greatest;
    column_plan columns[IMP_LOG_MOST_COLUMNS];
    struct {
        imp_log_window window;
        imp_reduction below, inside, above;
    } windows[IMP_LOG_MOST_WINDOWS];
    size_t window_count;
};

/* Building goes on after a failure, without effect, so that the expressions below can be written straight down. */
typedef struct builder {
    imp_columns *columns;
    imp_status status;
    imp_error *error;
} builder;

static imp_column source(builder *by, const char *name)
{
    imp_column column = IMP_NO_COLUMN;
    if (by->status == IMP_OK && imp_log_header_find(imp_columns_header(by->columns), name) >= 0)
        by->status = imp_columns_source(by->columns, name, &column, by->error);
    return column;
}

static imp_column constant(builder *by, double si, imp_column like)
{
    imp_column column = IMP_NO_COLUMN;
    const imp_column_kind kind = imp_columns_kind(by->columns, like);
    const imp_quantity quantity = {.si = si, .dimension = kind.dimension, .is_reading = kind.is_reading};
    if (by->status == IMP_OK)
        by->status = imp_columns_constant(by->columns, &quantity, &column, by->error);
    return column;
}

/* An expression of something that the log lacks is lacking too. */
static imp_column of_two(builder *by, imp_column_operation operation, imp_column a, imp_column b)
{
    imp_column column = IMP_NO_COLUMN;
    if (by->status == IMP_OK && a != IMP_NO_COLUMN && b != IMP_NO_COLUMN)
        by->status = imp_columns_binary(by->columns, operation, a, b, &column, by->error);
    return column;
}

static imp_column of_one(builder *by, imp_column_operation operation, imp_column a)
{
    imp_column column = IMP_NO_COLUMN;
    if (by->status == IMP_OK && a != IMP_NO_COLUMN)
        by->status = imp_columns_unary(by->columns, operation, a, &column, by->error);
    return column;
}

static imp_column over_time(builder *by, imp_column_operation operation, imp_column a, double seconds)
{
    imp_column column = IMP_NO_COLUMN;
    if (by->status == IMP_OK && a != IMP_NO_COLUMN)
        by->status = imp_columns_over_time(by->columns, operation, a, seconds, &column, by->error);
    return column;
}

static imp_reduction reduce(builder *by, imp_reduction_kind kind, imp_column value, imp_column mask)
{
    imp_reduction reduction = NOT_ASKED;
    if (by->status == IMP_OK && value != IMP_NO_COLUMN)
        by->status = imp_columns_reduce(by->columns, kind, value, mask, 0.0, &reduction, by->error);
    return reduction;
}

/* The same, but not known at all without the mask. */
static imp_reduction reduce_where(builder *by, imp_reduction_kind kind, imp_column value, imp_column mask)
{
    return mask != IMP_NO_COLUMN ? reduce(by, kind, value, mask) : NOT_ASKED;
}

static imp_reduction spans_of(builder *by, imp_column mask)
{
    imp_reduction reduction = NOT_ASKED;
    if (by->status == IMP_OK && mask != IMP_NO_COLUMN)
        by->status = imp_columns_spans(by->columns, mask, NULL, 0, &reduction, by->error);
    return reduction;
}

static imp_reduction stuck_of(builder *by, imp_column column, imp_column spraying)
{
    imp_reduction reduction = NOT_ASKED;
    if (by->status == IMP_OK && column != IMP_NO_COLUMN && spraying != IMP_NO_COLUMN)
        by->status = imp_columns_stuck(by->columns, column, spraying, STUCK_AFTER, &reduction, by->error);
    return reduction;
}

static imp_column either(builder *by, imp_column a, imp_column b)
{
    return a == IMP_NO_COLUMN ? b : b == IMP_NO_COLUMN ? a : of_two(by, IMP_COLUMN_OR, a, b);
}

/* Material moves on one side: its flow, or else the mean rate of its counter, is above the threshold. */
static imp_column moves(builder *by, const imp_log_summary_options *options, const char *flow_name, const char *cycles_name,
                        double displacement)
{
    const imp_column flow = source(by, flow_name);
    if (flow != IMP_NO_COLUMN)
        return of_two(by, IMP_COLUMN_ABOVE, flow, constant(by, options->flow_threshold, flow));
    const imp_column cycles = source(by, cycles_name);
    if (cycles == IMP_NO_COLUMN)
        return IMP_NO_COLUMN;
    const imp_column rate = over_time(by, IMP_COLUMN_ROLLING, of_one(by, IMP_COLUMN_RATE, cycles), CYCLE_WINDOW);
    return of_two(by, IMP_COLUMN_ABOVE, rate,
                  constant(by, displacement > 0.0 ? options->flow_threshold / displacement : 0.0, rate));
}

static imp_column plan_times(builder *by, imp_log_summary_plan *plan)
{
    const imp_log_summary_options *options = &plan->options;
    const imp_column iso = moves(by, options, "iso_flow", "iso_cycles", options->iso_displacement);
    const imp_column resin = moves(by, options, "resin_flow", "resin_cycles", options->resin_displacement);
    const imp_column trigger = source(by, "trigger"), moving = either(by, iso, resin);
    imp_column time = IMP_NO_COLUMN;
    if (by->status == IMP_OK)
        by->status = imp_columns_source(by->columns, "time", &time, by->error);
    const imp_column spraying = trigger != IMP_NO_COLUMN ? of_two(by, IMP_COLUMN_EQUALS, trigger, constant(by, 1.0, trigger))
                                                         : of_two(by, IMP_COLUMN_AND, iso, resin);
    const imp_column still = of_one(by, IMP_COLUMN_NOT, spraying);
    plan->rows = reduce(by, IMP_REDUCE_COUNT, time, IMP_NO_COLUMN);
    plan->first_time = reduce(by, IMP_REDUCE_FIRST, time, IMP_NO_COLUMN);
    plan->last_time = reduce(by, IMP_REDUCE_LAST, time, IMP_NO_COLUMN);
    plan->logged = reduce(by, IMP_REDUCE_TIME, time, IMP_NO_COLUMN);
    plan->spraying = reduce(by, IMP_REDUCE_TIME, spraying, IMP_NO_COLUMN);
    plan->recirculating = reduce(by, IMP_REDUCE_TIME, of_two(by, IMP_COLUMN_AND, moving, still), IMP_NO_COLUMN);
    plan->idle = reduce(by, IMP_REDUCE_TIME, of_two(by, IMP_COLUMN_AND, of_one(by, IMP_COLUMN_NOT, moving), still), IMP_NO_COLUMN);
    plan->sprays = spans_of(by, spraying);
    return spraying;
}

static void plan_volumes(builder *by, imp_log_summary_plan *plan, imp_column spraying)
{
    const imp_log_summary_options *options = &plan->options;
    const imp_column iso_cycles = source(by, "iso_cycles"), resin_cycles = source(by, "resin_cycles");
    imp_column iso = source(by, "iso_flow"), resin = source(by, "resin_flow");
    imp_reduction_kind kind = IMP_REDUCE_INTEGRAL;
    double scale = 1.0;
    plan->by_counters = iso_cycles != IMP_NO_COLUMN && resin_cycles != IMP_NO_COLUMN && options->iso_displacement > 0.0 &&
                        options->resin_displacement > 0.0;
    imp_column iso_rate = iso, resin_rate = resin;
    if (plan->by_counters) {
        kind = IMP_REDUCE_INCREASE;
        iso = iso_cycles;
        resin = resin_cycles;
        iso_rate = of_one(by, IMP_COLUMN_RATE, iso);
        resin_rate = of_one(by, IMP_COLUMN_RATE, resin);
        scale = options->iso_displacement / options->resin_displacement;
    }
    plan->iso_pumped = reduce(by, kind, iso, IMP_NO_COLUMN);
    plan->resin_pumped = reduce(by, kind, resin, IMP_NO_COLUMN);
    plan->iso_sprayed = reduce_where(by, kind, iso, spraying);
    plan->resin_sprayed = reduce_where(by, kind, resin, spraying);
    /* rolling ratio; with counters in cycles, so that its limits are divided by the displacements' ratio */
    const imp_column iso_mean = over_time(by, IMP_COLUMN_ROLLING, of_two(by, IMP_COLUMN_WHERE, iso_rate, spraying), options->ratio_window);
    const imp_column resin_mean = over_time(by, IMP_COLUMN_ROLLING, of_two(by, IMP_COLUMN_WHERE, resin_rate, spraying), options->ratio_window);
    const imp_column ratio = of_two(by, IMP_COLUMN_DIVIDE, iso_mean, resin_mean);
    if (ratio == IMP_NO_COLUMN)
        return;
    const double nominal = options->nominal_ratio / scale;
    const imp_column low = of_two(by, IMP_COLUMN_BELOW, ratio, constant(by, nominal * (1.0 - options->ratio_tolerance), ratio));
    const imp_column high = of_two(by, IMP_COLUMN_ABOVE, ratio, constant(by, nominal * (1.0 + options->ratio_tolerance), ratio));
    plan->rolling_least = reduce(by, IMP_REDUCE_MIN, ratio, spraying);
    plan->rolling_greatest = reduce(by, IMP_REDUCE_MAX, ratio, spraying);
    plan->off_ratio = reduce(by, IMP_REDUCE_TIME, of_two(by, IMP_COLUMN_OR, low, high), spraying);
}

static void plan_imbalance(builder *by, imp_log_summary_plan *plan, imp_column spraying)
{
    imp_column iso = source(by, "iso_gun_pressure"), resin = source(by, "resin_gun_pressure");
    if (iso == IMP_NO_COLUMN || resin == IMP_NO_COLUMN) {
        iso = source(by, "iso_pressure");
        resin = source(by, "resin_pressure");
    }
    const imp_column imbalance = of_two(by, IMP_COLUMN_DIVIDE, of_two(by, IMP_COLUMN_SUBTRACT, iso, resin), resin);
    plan->imbalance_mean = reduce_where(by, IMP_REDUCE_MEAN, imbalance, spraying);
    plan->imbalance_least = reduce_where(by, IMP_REDUCE_MIN, imbalance, spraying);
    plan->imbalance_greatest = reduce_where(by, IMP_REDUCE_MAX, imbalance, spraying);
}

/* Sensors that always move a little while material is sprayed. */
static bool should_move(const imp_log_column *column)
{
    static const char *const names[] = {"iso_temperature", "resin_temperature", "iso_pressure", "resin_pressure",
                                        "iso_gun_pressure", "resin_gun_pressure", "iso_flow", "resin_flow", "hose_current"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        if (strcmp(column->name, names[i]) == 0)
            return true;
    return false;
}

static void plan_columns(builder *by, imp_log_summary_plan *plan, imp_column spraying)
{
    const imp_log_header *header = imp_columns_header(by->columns);
    for (size_t i = 0; i < header->count; i++) {
        column_plan *to = &plan->columns[i];
        const imp_column column = source(by, header->columns[i].name);
        to->count = reduce(by, IMP_REDUCE_COUNT, column, IMP_NO_COLUMN);
        to->least = reduce(by, IMP_REDUCE_MIN, column, IMP_NO_COLUMN);
        to->greatest = reduce(by, IMP_REDUCE_MAX, column, IMP_NO_COLUMN);
        to->mean = reduce(by, IMP_REDUCE_MEAN, column, IMP_NO_COLUMN);
        to->spraying_least = reduce_where(by, IMP_REDUCE_MIN, column, spraying);
        to->spraying_greatest = reduce_where(by, IMP_REDUCE_MAX, column, spraying);
        to->spraying_mean = reduce_where(by, IMP_REDUCE_MEAN, column, spraying);
        to->stuck = NOT_ASKED;
        if (should_move(&header->columns[i]))
            to->stuck = stuck_of(by, column, spraying);
    }
}

static void plan_windows(builder *by, imp_log_summary_plan *plan, imp_column spraying)
{
    for (size_t i = 0; i < plan->options.window_count && i < IMP_LOG_MOST_WINDOWS; i++) {
        const imp_log_window *window = &plan->options.windows[i];
        const imp_column column = source(by, window->column);
        if (column == IMP_NO_COLUMN || spraying == IMP_NO_COLUMN)
            continue;
        imp_column below = IMP_NO_COLUMN, above = IMP_NO_COLUMN;
        if (isfinite(window->low))
            below = of_two(by, IMP_COLUMN_BELOW, column, constant(by, window->low, column));
        if (isfinite(window->high))
            above = of_two(by, IMP_COLUMN_ABOVE, column, constant(by, window->high, column));
        const size_t at = plan->window_count++;
        plan->windows[at].window = *window;
        plan->windows[at].below = reduce(by, IMP_REDUCE_TIME, below, spraying);
        plan->windows[at].above = reduce(by, IMP_REDUCE_TIME, above, spraying);
        const imp_column outside = either(by, below, above);
        plan->windows[at].inside =
            outside != IMP_NO_COLUMN ? reduce(by, IMP_REDUCE_TIME, of_one(by, IMP_COLUMN_NOT, outside), spraying)
                                     : reduce(by, IMP_REDUCE_TIME, of_one(by, IMP_COLUMN_PRESENT, column), spraying);
    }
}

static void fill_defaults(imp_log_summary_options *options)
{
    if (!(options->nominal_ratio > 0.0))
        options->nominal_ratio = 1.0;
    if (!(options->ratio_tolerance > 0.0))
        options->ratio_tolerance = 0.05;
    if (!(options->ratio_window > 0.0))
        options->ratio_window = 60.0;
    if (!(options->flow_threshold > 0.0))
        options->flow_threshold = FLOW_THRESHOLD;
    if (!(options->gap > 0.0))
        options->gap = 10.0;
}

imp_status imp_log_summary_ask(imp_columns *columns, const imp_log_summary_options *options, imp_log_summary_plan **plan,
                               imp_column *spraying, imp_error *error)
{
    if (columns->plan != NULL)
        return imp_fail(error, IMP_INTERNAL, NULL, "the summary was asked for already");
    imp_log_summary_plan *made = imp_allocate(columns->allocator, 1, sizeof *made);
    if (made == NULL)
        return imp_columns_out_of_memory(error);
    columns->plan = made;
    if (options != NULL)
        made->options = *options;
    fill_defaults(&made->options);
    made->rolling_least = made->rolling_greatest = made->off_ratio = NOT_ASKED;
    builder by = {columns, imp_columns_set_gap(columns, made->options.gap, error), error};
    const imp_column mask = plan_times(&by, made);
    plan_volumes(&by, made, mask);
    plan_imbalance(&by, made, mask);
    plan_columns(&by, made, mask);
    plan_windows(&by, made, mask);
    if (by.status != IMP_OK)
        return by.status;
    *plan = made;
    if (spraying != NULL)
        *spraying = mask;
    return IMP_OK;
}

/* --- collecting --- */

static imp_log_value value_of(const imp_columns *columns, imp_reduction reduction)
{
    imp_quantity quantity;
    imp_log_value value = {false, 0.0};
    if (reduction != NOT_ASKED && imp_columns_result(columns, reduction, &quantity, NULL) == IMP_OK) {
        value.known = true;
        value.si = quantity.si;
    }
    return value;
}

static imp_log_value times(imp_log_value value, double factor)
{
    value.si *= factor;
    value.known = value.known && factor > 0.0;
    return value;
}

static double relative_uncertainty(const imp_log_summary_plan *plan, double iso_amount, double resin_amount)
{
    if (!plan->by_counters)
        return plan->options.flow_uncertainty * sqrt(2.0);
    /* a difference of two readings, each rounded to a whole cycle: variance 2/12 */
    return sqrt(1.0 / (6.0 * iso_amount * iso_amount) + 1.0 / (6.0 * resin_amount * resin_amount));
}

static void collect_volumes(const imp_columns *columns, const imp_log_summary_plan *plan, imp_log_summary *summary)
{
    const imp_log_summary_options *options = &plan->options;
    const double iso_unit = plan->by_counters ? options->iso_displacement : 1.0;
    const double resin_unit = plan->by_counters ? options->resin_displacement : 1.0;
    const imp_log_value iso = value_of(columns, plan->iso_sprayed), resin = value_of(columns, plan->resin_sprayed);
    summary->volume_by = plan->by_counters ? "counters" : plan->iso_pumped != NOT_ASKED || plan->resin_pumped != NOT_ASKED ? "flows" : "not known";
    summary->iso_volume = times(iso, iso_unit);
    summary->resin_volume = times(resin, resin_unit);
    summary->iso_pumped = times(value_of(columns, plan->iso_pumped), iso_unit);
    summary->resin_pumped = times(value_of(columns, plan->resin_pumped), resin_unit);
    summary->iso_mass = times(summary->iso_volume, options->iso_density);
    summary->resin_mass = times(summary->resin_volume, options->resin_density);
    if (iso.known && resin.known && resin.si > 0.0) {
        summary->ratio.known = true;
        summary->ratio.si = summary->iso_volume.si / summary->resin_volume.si;
        const double relative = relative_uncertainty(plan, iso.si, resin.si);
        summary->ratio_uncertainty.known = relative > 0.0 && isfinite(relative);
        summary->ratio_uncertainty.si = summary->ratio_uncertainty.known ? summary->ratio.si * relative : 0.0;
    }
    const double scale = iso_unit / resin_unit;
    summary->rolling_least = times(value_of(columns, plan->rolling_least), scale);
    summary->rolling_greatest = times(value_of(columns, plan->rolling_greatest), scale);
    summary->off_ratio_time = value_of(columns, plan->off_ratio);
}

static void collect_columns(const imp_columns *columns, const imp_log_summary_plan *plan, imp_log_summary *summary)
{
    const imp_log_header *header = imp_columns_header(columns);
    summary->column_count = header->count;
    for (size_t i = 0; i < header->count; i++) {
        imp_log_column_summary *to = &summary->columns[i];
        const column_plan *from = &plan->columns[i];
        memcpy(to->name, header->columns[i].name, sizeof to->name);
        memcpy(to->unit, header->columns[i].unit.text, sizeof to->unit);
        to->dimension = header->columns[i].dimension;
        to->is_reading = header->columns[i].is_reading;
        to->count = (uint64_t)value_of(columns, from->count).si;
        to->missing = summary->rows - to->count;
        to->least = value_of(columns, from->least);
        to->greatest = value_of(columns, from->greatest);
        to->mean = value_of(columns, from->mean);
        to->spraying_least = value_of(columns, from->spraying_least);
        to->spraying_greatest = value_of(columns, from->spraying_greatest);
        to->spraying_mean = value_of(columns, from->spraying_mean);
        if (from->stuck == NOT_ASKED)
            continue;
        const uint64_t stuck = imp_columns_span_count(columns, from->stuck);
        for (uint64_t k = 0; k < stuck && k < IMP_LOG_LINES_KEPT; k++)
            imp_log_fault_add(&summary->faults, IMP_FAULT_STUCK, 0, (int)i);
        summary->faults.kind[IMP_FAULT_STUCK].count += stuck > IMP_LOG_LINES_KEPT ? stuck - IMP_LOG_LINES_KEPT : 0;
    }
}

imp_status imp_log_summary_collect(const imp_columns *columns, const imp_log_summary_plan *plan, imp_log_summary *summary,
                                   imp_error *error)
{
    imp_quantity rows;
    /* NOLINTNEXTLINE(clang-analyzer-core.NullDereference): without a plan nothing is collected */
    const imp_status status = imp_columns_result(columns, plan->rows, &rows, error);
    if (status != IMP_OK)
        return status;
    memset(summary, 0, sizeof *summary);
    summary->faults = *imp_columns_faults(columns);
    summary->rows = (uint64_t)rows.si;
    summary->first_time = value_of(columns, plan->first_time);
    summary->last_time = value_of(columns, plan->last_time);
    summary->logged_time = value_of(columns, plan->logged).si;
    summary->spraying_time = value_of(columns, plan->spraying);
    summary->recirculating_time = value_of(columns, plan->recirculating);
    summary->idle_time = value_of(columns, plan->idle);
    if (plan->sprays != NOT_ASKED) {
        double total;
        summary->sprays = imp_columns_span_count(columns, plan->sprays);
        summary->longest_spray.known = summary->sprays > 0 && imp_columns_span_totals(columns, plan->sprays, &summary->longest_spray.si, &total, NULL) == IMP_OK;
    }
    collect_volumes(columns, plan, summary);
    summary->imbalance_mean = value_of(columns, plan->imbalance_mean);
    summary->imbalance_least = value_of(columns, plan->imbalance_least);
    summary->imbalance_greatest = value_of(columns, plan->imbalance_greatest);
    collect_columns(columns, plan, summary);
    summary->window_count = plan->window_count;
    for (size_t i = 0; i < plan->window_count; i++) {
        summary->windows[i].window = plan->windows[i].window;
        summary->windows[i].below = value_of(columns, plan->windows[i].below).si;
        summary->windows[i].inside = value_of(columns, plan->windows[i].inside).si;
        summary->windows[i].above = value_of(columns, plan->windows[i].above).si;
    }
    return IMP_OK;
}

/* --- many files --- */

typedef struct batch {
    const char *const *paths;
    size_t count, next;
    const imp_log_options *log_options;
    const imp_log_summary_options *options;
    imp_log_summary *summaries;
    imp_status *statuses;
    imp_error *errors;
    pthread_mutex_t lock;
} batch;

static imp_status summarise(const char *path, const imp_log_options *log_options, const imp_log_summary_options *options,
                            imp_log_summary *summary, imp_error *error)
{
    imp_log *log = NULL;
    imp_columns *columns = NULL;
    imp_log_summary_plan *plan = NULL;
    imp_status status = imp_log_open(path, log_options, &log, error);
    if (status == IMP_OK)
        status = imp_columns_create(log_options != NULL ? log_options->allocator : NULL, &columns, error);
    if (status == IMP_OK)
        status = imp_columns_bind(columns, imp_log_header_of(log), error);
    if (status == IMP_OK)
        status = imp_log_summary_ask(columns, options, &plan, NULL, error);
    if (status == IMP_OK)
        status = imp_columns_run(columns, log, error);
    if (status == IMP_OK)
        status = imp_log_summary_collect(columns, plan, summary, error);
    imp_columns_free(columns);
    imp_log_close(log);
    return status;
}

static void *batch_main(void *context)
{
    batch *all = context;
    for (;;) {
        pthread_mutex_lock(&all->lock);
        const size_t mine = all->next < all->count ? all->next++ : all->count;
        pthread_mutex_unlock(&all->lock);
        if (mine == all->count)
            return NULL;
        memset(&all->errors[mine], 0, sizeof all->errors[mine]);
        all->statuses[mine] =
            summarise(all->paths[mine], all->log_options, all->options, &all->summaries[mine], &all->errors[mine]);
    }
}

imp_status imp_log_summarise_files(const char *const *paths, size_t count, const imp_log_options *log_options,
                                   const imp_log_summary_options *options, int threads, imp_log_summary *summaries,
                                   imp_status *statuses, imp_error *errors)
{
    enum { MOST = 64 };
    pthread_t helpers[MOST];
    int running = 0;
    batch all = {.paths = paths, .count = count, .log_options = log_options, .options = options, .summaries = summaries,
                 .statuses = statuses, .errors = errors};
    if (pthread_mutex_init(&all.lock, NULL) != 0)
        return IMP_INTERNAL;
    while (running < threads - 1 && running < MOST && (size_t)running + 1 < count &&
           pthread_create(&helpers[running], NULL, batch_main, &all) == 0)
        running++;
    batch_main(&all);
    while (running > 0)
        pthread_join(helpers[--running], NULL);
    pthread_mutex_destroy(&all.lock);
    return IMP_OK;
}
