/* The standard summary of a log: known totals of a made-up day, and that threads and pieces change no bit of it.
 * Over 500 lines: many small cases of one subject. */
#include "log_support.h"

static imp_log_summary summary; /* large */

typedef struct asked {
    imp_log_summary_plan *plan;
    imp_reduction spans[4], numbers[12], series;
} asked;

static imp_log_summary_options usual_options(void)
{
    imp_log_summary_options options;
    memset(&options, 0, sizeof options);
    options.window_count = 2;
    strcpy(options.windows[0].column, "hose_temperature");
    options.windows[0].low = 45.0 + 273.15;
    options.windows[0].high = 60.0 + 273.15;
    strcpy(options.windows[1].column, "not_logged");
    return options;
}

static void summarise(const char *text, const imp_log_summary_options *options)
{
    summarise_text(text, options, &summary);
}

#define HEADER "time,trigger,hose_temperature [degC],iso_pressure [bar],resin_pressure [bar],iso_flow [L/min],resin_flow [L/min]\n"

static void times_volumes_and_ratio_are_those_of_the_day(void **state)
{
    (void)state;
    imp_log_summary_options options = usual_options();
    options.iso_density = 1200.0;
    options.resin_density = 1100.0;
    options.flow_uncertainty = 0.01;
    summarise(HEADER "0,0,30,0,0,0,0\n"
                     "1,0,30,90,90,1,1\n"   /* recirculating, 2 s */
                     "3,1,44,80,80,3,3\n"   /* spraying, 2 s, too cold */
                     "5,1,50,88,80,3,2.4\n" /* 1 s */
                     "6,1,61,80,80,3,3\n"   /* 4 s, too hot */
                     "10,0,50,90,90,0,0\n"  /* idle, 1 s */
                     "11,0,50,90,90,0.04,0.04\n"
                     "12,1,50,80,80,3,3\n"  /* spraying; a gap follows, so no time */
                     "100,0,50,90,90,0,0\n",
              &options);
    assert_int_equal(summary.rows, 9);
    assert_true(summary.logged_time == 12.0 && summary.spraying_time.si == 7.0 && summary.recirculating_time.si == 2.0);
    assert_true(summary.idle_time.si == 3.0);
    assert_int_equal(summary.sprays, 2);
    assert_true(summary.longest_spray.si == 7.0);
    assert_relative(summary.iso_volume.si, 3.0 / 60000.0 * 7.0, 1e-15);
    assert_relative(summary.resin_volume.si, (3.0 * 6.0 + 2.4) / 60000.0, 1e-15);
    assert_relative(summary.iso_pumped.si, (3.0 * 7.0 + 2.0 + 0.04) / 60000.0, 1e-15);
    assert_relative(summary.iso_mass.si, 3.0 / 60000.0 * 7.0 * 1200.0, 1e-15);
    assert_relative(summary.ratio.si, 21.0 / 20.4, 1e-15);
    /* GUM: two meters of 1 % each */
    assert_relative(summary.ratio_uncertainty.si, 21.0 / 20.4 * 0.01 * sqrt(2.0), 1e-15);
    assert_string_equal(summary.volume_by, "flows");
    assert_int_equal(summary.window_count, 1);
    assert_true(summary.windows[0].below == 2.0 && summary.windows[0].inside == 1.0 && summary.windows[0].above == 4.0);
    assert_close(summary.imbalance_greatest.si, 0.1, 1e-15);
    assert_close(summary.imbalance_mean.si, 0.025, 1e-16);
    assert_relative(summary.columns[2].spraying_mean.si, 82e5, 1e-15);
    assert_relative(summary.columns[2].mean.si, (90.0 * 4 + 80.0 * 3 + 88.0) / 9.0 * 1e5, 1e-15);
    assert_int_equal(summary.faults.kind[IMP_FAULT_GAP].count, 1);
}

static void what_the_log_lacks_is_not_known(void **state)
{
    (void)state;
    summarise("time,air_temperature [degC]\n0,12\n1,13\n", NULL);
    assert_true(!summary.spraying_time.known && !summary.idle_time.known && !summary.iso_volume.known && !summary.ratio.known);
    assert_true(!summary.ratio_uncertainty.known && !summary.imbalance_mean.known && !summary.rolling_least.known);
    assert_string_equal(summary.volume_by, "not known");
    assert_true(summary.columns[0].mean.known && summary.columns[0].mean.si == 12.5 + 273.15);
    assert_true(!summary.columns[0].spraying_mean.known);
    summarise("time,trigger\n0,1\n1,0\n", NULL);
    assert_true(summary.spraying_time.known && summary.spraying_time.si == 1.0);
    assert_true(!summary.recirculating_time.known && !summary.idle_time.known);
}

static void counters_are_preferred_where_their_displacement_is_known(void **state)
{
    (void)state;
    imp_log_summary_options options = usual_options();
    options.iso_displacement = 120e-6;
    options.resin_displacement = 100e-6;
    summarise("time,trigger,iso_cycles,resin_cycles,iso_flow [L/min],resin_flow [L/min]\n"
              "0,1,100,200,9,9\n1,1,110,210,9,9\n2,1,130,234,9,9\n3,0,140,244,9,9\n",
              &options);
    assert_string_equal(summary.volume_by, "counters");
    assert_relative(summary.iso_volume.si, 30 * 120e-6, 1e-15);
    assert_relative(summary.resin_volume.si, 34 * 100e-6, 1e-15);
    assert_relative(summary.iso_pumped.si, 40 * 120e-6, 1e-15);
    assert_relative(summary.ratio.si, 30 * 120e-6 / (34 * 100e-6), 1e-15);
    /* a difference of two readings rounded to one: variance 1/6 (GUM 4.3.7 for each) */
    assert_relative(summary.ratio_uncertainty.si / summary.ratio.si, sqrt(1.0 / (6.0 * 900.0) + 1.0 / (6.0 * 34.0 * 34.0)), 1e-14);
    assert_relative(summary.rolling_greatest.si, 1.2, 1e-12);
}

static void without_a_trigger_both_flows_say_that_it_sprays(void **state)
{
    (void)state;
    summarise("time,iso_flow [L/min],resin_flow [L/min]\n0,2,2\n1,2,0\n2,0,0.05\n3,2,2\n4,0,0\n", NULL);
    assert_true(summary.spraying_time.si == 2.0 && summary.recirculating_time.si == 1.0 && summary.idle_time.si == 1.0);
}

/* --- one run, threads, pieces --- */

static imp_reduction *next_number(asked *all, int *count)
{
    return &all->numbers[(*count)++];
}

/* The summary, and a script's worth of questions with every kind of memory: windows, rates, nested lasting, spans, series. */
static void ask_everything(imp_columns *columns, asked *all)
{
    imp_column spraying, flow, resin, ratio, off, rolling, trigger, x, y;
    imp_log_summary_options options = usual_options();
    const imp_quantity one = {.si = 1.0}, small = {.si = 0.03};
    int n = 0;
    options.iso_displacement = options.resin_displacement = 1.2e-4;
    assert_ok(imp_log_summary_ask(columns, &options, &all->plan, &spraying, error));
    assert_ok(imp_columns_source(columns, "iso_flow", &flow, error));
    assert_ok(imp_columns_source(columns, "resin_flow", &resin, error));
    assert_ok(imp_columns_binary(columns, IMP_COLUMN_DIVIDE, flow, resin, &ratio, error));
    assert_ok(imp_columns_constant(columns, &one, &x, error));
    assert_ok(imp_columns_binary(columns, IMP_COLUMN_SUBTRACT, ratio, x, &x, error));
    assert_ok(imp_columns_unary(columns, IMP_COLUMN_ABS, x, &x, error));
    assert_ok(imp_columns_constant(columns, &small, &y, error));
    assert_ok(imp_columns_binary(columns, IMP_COLUMN_ABOVE, x, y, &off, error));
    assert_ok(imp_columns_spans(columns, off, &ratio, 1, &all->spans[0], error));
    assert_ok(imp_columns_over_time(columns, IMP_COLUMN_LASTING, off, 5.0, &off, error));
    assert_ok(imp_columns_spans(columns, off, &ratio, 1, &all->spans[1], error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_INTEGRAL_TRAPEZOID, flow, off, 0, next_number(all, &n), error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_INTEGRAL_TRAPEZOID, flow, IMP_NO_COLUMN, 0, next_number(all, &n), error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_TIME_MEAN, flow, spraying, 0, next_number(all, &n), error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_QUANTILE, flow, spraying, 0.3, next_number(all, &n), error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_SD, flow, spraying, 0, next_number(all, &n), error));
    assert_ok(imp_columns_over_time(columns, IMP_COLUMN_ROLLING, flow, 30.0, &rolling, error));
    assert_ok(imp_columns_unary(columns, IMP_COLUMN_RATE, rolling, &x, error));
    assert_ok(imp_columns_over_time(columns, IMP_COLUMN_ROLLING, x, 20.0, &x, error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_SD, x, IMP_NO_COLUMN, 0, next_number(all, &n), error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_MAX, x, off, 0, next_number(all, &n), error));
    assert_ok(imp_columns_source(columns, "trigger", &trigger, error));
    assert_ok(imp_columns_over_time(columns, IMP_COLUMN_UNCHANGED, trigger, 12.0, &x, error));
    assert_ok(imp_columns_over_time(columns, IMP_COLUMN_LASTING, x, 20.0, &x, error));
    assert_ok(imp_columns_binary(columns, IMP_COLUMN_OR, x, off, &x, error));
    assert_ok(imp_columns_over_time(columns, IMP_COLUMN_LASTING, x, 9.0, &x, error));
    assert_ok(imp_columns_spans(columns, x, &flow, 1, &all->spans[2], error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_TIME, x, IMP_NO_COLUMN, 0, next_number(all, &n), error));
    assert_ok(imp_columns_stuck(columns, trigger, IMP_NO_COLUMN, 15.0, &all->spans[3], error));
    assert_ok(imp_columns_resample(columns, flow, IMP_NO_COLUMN, 60.0, &all->series, error));
    assert_ok(imp_columns_source(columns, "iso_cycles", &x, error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_INCREASE, x, spraying, 0, next_number(all, &n), error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_FIRST, x, spraying, 0, next_number(all, &n), error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_LAST, x, spraying, 0, next_number(all, &n), error));
    while (n < 12)
        *next_number(all, &n) = -1;
}

/* Every answer as text, numbers with all their digits. */
typedef struct answers {
    char text[1 << 20];
    size_t used;
} answers;

static void put(answers *to, const char *name, double value)
{
    to->used += (size_t)snprintf(to->text + to->used, sizeof to->text - to->used, "%s %.17g\n", name, value);
    assert_true(to->used < sizeof to->text - 100);
}

static void put_value(answers *to, const char *name, imp_log_value value)
{
    put(to, name, value.known ? value.si : -1e99);
}

static void put_summary(answers *to)
{
    const struct { const char *name; imp_log_value value; } values[] = {
        {"first", summary.first_time}, {"last", summary.last_time}, {"spraying", summary.spraying_time},
        {"recirculating", summary.recirculating_time}, {"idle", summary.idle_time}, {"longest", summary.longest_spray},
        {"iso", summary.iso_volume}, {"resin", summary.resin_volume}, {"iso pumped", summary.iso_pumped},
        {"resin pumped", summary.resin_pumped}, {"ratio", summary.ratio}, {"uncertainty", summary.ratio_uncertainty},
        {"rolling least", summary.rolling_least}, {"rolling greatest", summary.rolling_greatest}, {"off", summary.off_ratio_time},
        {"imbalance", summary.imbalance_mean}, {"least", summary.imbalance_least}, {"greatest", summary.imbalance_greatest}};
    for (size_t i = 0; i < sizeof values / sizeof values[0]; i++)
        put_value(to, values[i].name, values[i].value);
    put(to, "rows", (double)summary.rows);
    put(to, "logged", summary.logged_time);
    put(to, "sprays", (double)summary.sprays);
    put(to, "below", summary.windows[0].below);
    put(to, "inside", summary.windows[0].inside);
    for (size_t i = 0; i < summary.column_count; i++) {
        const imp_log_column_summary *column = &summary.columns[i];
        put(to, column->name, (double)column->count);
        put_value(to, "least", column->least);
        put_value(to, "greatest", column->greatest);
        put_value(to, "mean", column->mean);
        put_value(to, "spraying", column->spraying_mean);
        put(to, "missing", (double)summary.faults.missing[i]);
    }
    for (int i = 0; i < IMP_LOG_FAULT_COUNT; i++) {
        put(to, imp_log_fault_key((imp_log_fault)i), (double)summary.faults.kind[i].count);
        for (unsigned k = 0; k < summary.faults.kind[i].kept; k++)
            put(to, "line", (double)summary.faults.kind[i].line[k]);
    }
    put(to, "lines", (double)summary.faults.lines);
}

static void collect(const imp_columns *columns, const asked *all, answers *to)
{
    to->used = 0;
    for (int i = 0; i < 12; i++) {
        imp_quantity quantity = {.si = -1e99};
        if (all->numbers[i] >= 0)
            imp_columns_result(columns, all->numbers[i], &quantity, NULL);
        put(to, "number", quantity.si);
    }
    for (int i = 0; i < 4; i++) {
        put(to, "spans", (double)imp_columns_span_count(columns, all->spans[i]));
        for (size_t k = 0; k < imp_columns_spans_kept(columns, all->spans[i]); k++) {
            imp_span span;
            assert_ok(imp_columns_span_at(columns, all->spans[i], k, &span, error));
            put(to, "from", span.from);
            put(to, "duration", span.duration);
            put(to, "rows", (double)span.rows);
            put(to, "mean", span.values[0].count > 0 ? span.values[0].mean : 0.0);
        }
    }
    for (size_t k = 0; k < imp_columns_series_count(columns, all->series); k++) {
        imp_series_point point;
        assert_ok(imp_columns_series_at(columns, all->series, k, &point, error));
        put(to, "point", point.time);
        put(to, "mean", point.mean);
        put(to, "count", (double)point.count);
    }
    assert_ok(imp_log_summary_collect(columns, all->plan, &summary, error));
    put_summary(to);
}

static void answer_one(const char *path, const imp_log_options *options, answers *to)
{
    imp_log *log = NULL;
    imp_columns *columns = NULL;
    asked all;
    assert_ok(imp_log_open(path, options, &log, error));
    assert_ok(imp_columns_create(NULL, &columns, error));
    assert_ok(imp_columns_bind(columns, imp_log_header_of(log), error));
    ask_everything(columns, &all);
    assert_ok(imp_columns_run(columns, log, error));
    collect(columns, &all, to);
    imp_columns_free(columns);
    imp_log_close(log);
}

static char *partial_of(const char *path, size_t *length)
{
    imp_log *log = NULL;
    imp_columns *columns = NULL;
    asked all;
    char *text = NULL;
    assert_ok(imp_log_open(path, NULL, &log, error));
    assert_ok(imp_columns_create(NULL, &columns, error));
    assert_ok(imp_columns_bind(columns, imp_log_header_of(log), error));
    ask_everything(columns, &all);
    assert_ok(imp_columns_run_partial(columns, log, &text, length, error));
    imp_columns_free(columns);
    imp_log_close(log);
    return text;
}

enum { MOST_ROWS = 6000, ROW_SIZE = 120 };
#define LOG_HEADER                                                                                                     \
    "time,trigger,hose_temperature [degC],iso_pressure [bar],resin_pressure [bar],iso_flow [L/min],resin_flow [L/min],"   \
    "iso_cycles,resin_cycles\n"

static unsigned seed;

static unsigned dice(unsigned sides)
{
    seed = seed * 1103515245u + 12345u;
    return (seed >> 8) % sides;
}

/* An invented log with pauses, off-ratio stretches, gaps, and (where asked) damage. */
static size_t invent_rows(char rows[][ROW_SIZE], size_t count, bool is_damaged)
{
    long time = 0, iso = 0, resin = 0, left = 0, off = 0;
    int spraying = 0;
    for (size_t i = 0; i < count; i++) {
        if (left-- == 0) {
            spraying = !spraying;
            left = 4 + dice(30);
            time += dice(40) == 0 ? 500 : 0;
        }
        off = off > 0 ? off - 1 : dice(80) == 0 ? 12 : 0;
        const double iso_flow = spraying ? (off > 0 ? 2.0 : 2.4) + dice(100) / 1000.0 : 0.0, resin_flow = spraying ? 2.4 + dice(100) / 1000.0 : 0.0;
        iso += spraying && dice(3) > 0;
        resin += spraying && dice(3) > 0;
        snprintf(rows[i], ROW_SIZE, "%ld,%d,%.1f,%.1f,%.1f,%.3f,%.3f,%ld,%ld\n", time, spraying, 40.0 + dice(250) / 10.0,
                 80.0 + dice(90) / 10.0, 80.0 + dice(90) / 10.0, iso_flow, resin_flow, iso, resin);
        time++;
        const unsigned harm = is_damaged ? dice(25) : 99;
        if (harm == 0 && i > 0)
            memcpy(rows[i], rows[i - 1], ROW_SIZE);
        else if (harm == 1)
            rows[i][dice((unsigned)strlen(rows[i]) - 1)] = "x,\"; -"[dice(6)];
        else if (harm == 2 && i > 0)
            time -= dice(30);
        else if (harm == 3)
            snprintf(rows[i], ROW_SIZE, "%ld,,,,,,,,\n", time++);
    }
    return count;
}

static const char *write_piece(char rows[][ROW_SIZE], size_t first, size_t last)
{
    static char text[sizeof LOG_HEADER + MOST_ROWS * ROW_SIZE];
    size_t used = (size_t)sprintf(text, "%s", LOG_HEADER);
    for (size_t i = first; i < last; i++)
        used += (size_t)sprintf(text + used, "%s", rows[i]);
    return file_of(text, used);
}

static char rows[MOST_ROWS][ROW_SIZE];
static answers expected, found;

static void check_same(const char *what, int round)
{
    size_t line = 0;
    if (strcmp(expected.text, found.text) == 0)
        return;
    for (size_t i = 0; expected.text[i] == found.text[i]; i++)
        line = expected.text[i] == '\n' ? i + 1 : line;
    fail_msg("%s differs in round %d: expected %.60s, got %.60s", what, round, expected.text + line, found.text + line);
}

static void threads_chunks_and_blocks_change_no_bit(void **state)
{
    (void)state;
    seed = 1;
    for (int round = 0; round < 6; round++) {
        const size_t count = invent_rows(rows, round % 2 ? 5000 : 700, round > 1);
        const char *path = write_piece(rows, 0, count);
        answer_one(path, NULL, &expected);
        for (int i = 0; i < 4; i++) {
            const imp_log_options options = {.threads = 1 + i, .chunk = (size_t)(100 + 3000 * i), .rows = (size_t)(10 + 77 * i)};
            answer_one(path, &options, &found);
            check_same("a run on threads", round);
        }
    }
}

static void pieces_merge_to_one_run_to_the_last_bit(void **state)
{
    (void)state;
    seed = 2;
    for (int round = 0; round < 40; round++) {
        const size_t count = invent_rows(rows, round % 4 == 0 ? 40 : round % 4 == 1 ? 400 : 5000, round % 3 > 0);
        answer_one(write_piece(rows, 0, count), NULL, &expected);
        imp_columns *columns = NULL;
        asked all;
        size_t first = 0;
        int pieces = 0;
        while (first < count) {
            const unsigned few = dice(3);
            size_t last = first + 1 + dice(few == 0 ? 3 : few == 1 ? 60 : 3000);
            last = last < count ? last : count;
            size_t length;
            char *text = partial_of(write_piece(rows, first, last), &length);
            if (columns == NULL) {
                imp_log_header header;
                assert_ok(imp_columns_partial_header(text, length, &header, error));
                assert_ok(imp_columns_create(NULL, &columns, error));
                assert_ok(imp_columns_bind(columns, &header, error));
                ask_everything(columns, &all);
            }
            assert_ok(imp_columns_merge(columns, text, length, error));
            free(text);
            first = last;
            pieces++;
        }
        assert_ok(imp_columns_merge_finish(columns, error));
        collect(columns, &all, &found);
        imp_columns_free(columns);
        check_same(pieces > 1 ? "a merge of pieces" : "a merge of one piece", round);
    }
}

static void foreign_and_unlike_partial_results_are_refused(void **state)
{
    (void)state;
    seed = 3;
    const size_t count = invent_rows(rows, 2000, false);
    size_t length;
    char *text = partial_of(write_piece(rows, 0, count), &length);
    imp_log_header header;
    imp_columns *columns = NULL;
    imp_error error;
    imp_log_summary_plan *plan;
    assert_int_equal(imp_columns_partial_header(text, length, &header, &error), IMP_OK);
    assert_int_equal(imp_columns_partial_header("{\"impinge\":1}", 13, &header, &error), IMP_SYNTAX);
    assert_contains(error.message, "no partial result");
    assert_int_equal(imp_columns_create(NULL, &columns, &error), IMP_OK);
    assert_int_equal(imp_columns_bind(columns, &header, &error), IMP_OK);
    assert_int_equal(imp_columns_merge_finish(columns, &error), IMP_MISSING);
    assert_int_equal(imp_log_summary_ask(columns, NULL, &plan, NULL, &error), IMP_OK);
    assert_int_equal(imp_columns_merge(columns, text, length, &error), IMP_TYPE);
    assert_contains(error.message, "other questions");
    imp_columns_free(columns);
    /* cut anywhere, or with a byte changed: refused or read, never a crash */
    for (size_t cut = 1; cut < length; cut += length / 150 + 1) {
        asked all;
        assert_int_equal(imp_columns_create(NULL, &columns, &error), IMP_OK);
        assert_int_equal(imp_columns_bind(columns, &header, &error), IMP_OK);
        ask_everything(columns, &all);
        assert_int_not_equal(imp_columns_merge(columns, text, cut, &error), IMP_OK);
        assert_true(strlen(error.message) > 0);
        const char kept = text[cut];
        text[cut] = "0\"x,-"[cut % 5];
        if (imp_columns_merge(columns, text, length, &error) != IMP_OK)
            assert_true(strlen(error.message) > 0);
        text[cut] = kept;
        imp_columns_free(columns);
    }
    free(text);
}

/* The text with the first `from` in it replaced. */
static char *with(const char *text, size_t length, const char *from, const char *to, size_t *made)
{
    char *result = calloc(1, length + strlen(to) + 1);
    assert_non_null(result);
    memcpy(result, text, length);
    char *at = strstr(result, from);
    assert_non_null(at);
    const size_t rest = length - (size_t)(at - result) - strlen(from);
    memmove(at + strlen(to), at + strlen(from), rest);
    memcpy(at, to, strlen(to));
    *made = length - strlen(from) + strlen(to);
    return result;
}

/* found by a fuzzer: each is a number that the program would have used as an index or a reading */
static void numbers_of_partial_results_are_not_trusted(void **state)
{
    (void)state;
    static const struct {
        const char *from, *to;
    } changes[] = {{"\"sample_column\":0", "\"sample_column\":9"},
                   {"\"sample_column\":0", "\"sample_column\":-1"},
                   {"\"sample_column\":0", "\"sample_column\":0.5"},
                   {",\"missing\":", ",\"ragged\":\"1 5 null\",\"missing\":"},
                   {",\"missing\":", ",\"ragged\":\"1 5 9\",\"missing\":"},
                   {",\"missing\":", ",\"ragged\":\"1 5 -2\",\"missing\":"},
                   {"\"head\":[\"", "\"head\":[\"1e999 "}};
    imp_log *log = NULL;
    imp_columns *columns = NULL;
    imp_log_header header;
    size_t length = 0, made = 0;
    char *text = NULL;
    assert_ok(imp_log_open(file_with("time,trigger\n0,1\n1,1\n2,0\n"), NULL, &log, error));
    assert_ok(imp_columns_create(NULL, &columns, error));
    assert_ok(imp_columns_bind(columns, imp_log_header_of(log), error));
    assert_ok(imp_columns_run_partial(columns, log, &text, &length, error));
    imp_columns_free(columns);
    imp_log_close(log);
    assert_ok(imp_columns_partial_header(text, length, &header, error));
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        imp_error why;
        char *changed = with(text, length, changes[i].from, changes[i].to, &made);
        assert_ok(imp_columns_create(NULL, &columns, error));
        assert_ok(imp_columns_bind(columns, &header, error));
        assert_int_equal(imp_columns_merge(columns, changed, made, &why), IMP_SYNTAX);
        assert_contains(why.message, "no partial result");
        imp_columns_free(columns);
        free(changed);
    }
    free(text);
}

/* found by a fuzzer */
static void a_piece_keeps_the_sign_of_a_zero(void **state)
{
    (void)state;
    imp_log *log = NULL;
    imp_columns *columns = NULL;
    imp_column a;
    imp_reduction last;
    imp_quantity result;
    size_t length = 0;
    char *text = NULL;
    for (int round = 0; round < 2; round++) {
        if (round == 0)
            assert_ok(imp_log_open(file_with("time,a\n0,1\n1,1\n2,-0\n"), NULL, &log, error));
        assert_ok(imp_columns_create(NULL, &columns, error));
        assert_ok(imp_columns_bind(columns, imp_log_header_of(log), error));
        assert_ok(imp_columns_source(columns, "a", &a, error));
        assert_ok(imp_columns_reduce(columns, IMP_REDUCE_LAST, a, IMP_NO_COLUMN, 0, &last, error));
        if (round == 0) {
            assert_ok(imp_columns_run_partial(columns, log, &text, &length, error));
        } else {
            assert_ok(imp_columns_merge(columns, text, length, error));
            assert_ok(imp_columns_merge_finish(columns, error));
            assert_ok(imp_columns_result(columns, last, &result, error));
            assert_true(result.si == 0.0 && signbit(result.si));
        }
        imp_columns_free(columns);
    }
    imp_log_close(log);
    free(text);
}

static void many_files_are_summarised_each_for_itself(void **state)
{
    (void)state;
    enum { FILES = 9 };
    static char names[FILES][64];
    static imp_log_summary summaries[FILES];
    const char *paths[FILES];
    imp_status statuses[FILES];
    imp_error errors[FILES];
    for (int i = 0; i < FILES; i++) {
        snprintf(names[i], sizeof names[i], "/tmp/impinge-many-%d-%d.csv", (int)getpid(), i);
        paths[i] = names[i];
        if (i == 4)
            continue; /* this one is not there */
        FILE *file = fopen(names[i], "w");
        assert_non_null(file);
        fprintf(file, "time,trigger\n0,1\n%d,0\n", i + 1);
        fclose(file);
    }
    for (int threads = 1; threads < 5; threads++) {
        assert_int_equal(imp_log_summarise_files(paths, FILES, NULL, NULL, threads, summaries, statuses, errors), IMP_OK);
        for (int i = 0; i < FILES; i++) {
            assert_int_equal(statuses[i], i == 4 ? IMP_IO : IMP_OK);
            if (i != 4)
                assert_true(summaries[i].spraying_time.si == i + 1.0);
        }
        assert_contains(errors[4].message, "no such file");
    }
    for (int i = 0; i < FILES; i++)
        unlink(names[i]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(times_volumes_and_ratio_are_those_of_the_day),
        cmocka_unit_test(what_the_log_lacks_is_not_known),
        cmocka_unit_test(counters_are_preferred_where_their_displacement_is_known),
        cmocka_unit_test(without_a_trigger_both_flows_say_that_it_sprays),
        cmocka_unit_test(threads_chunks_and_blocks_change_no_bit),
        cmocka_unit_test(pieces_merge_to_one_run_to_the_last_bit),
        cmocka_unit_test(foreign_and_unlike_partial_results_are_refused),
        cmocka_unit_test(numbers_of_partial_results_are_not_trusted),
        cmocka_unit_test(a_piece_keeps_the_sign_of_a_zero),
        cmocka_unit_test(many_files_are_summarised_each_for_itself),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
