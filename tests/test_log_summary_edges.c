/* The standard summary of logs that have only a part of what it looks for, and its options at their defaults and limits. */
#include "log_support.h"

static imp_log_summary summary; /* large */

static void summarise(const char *text, const imp_log_summary_options *options)
{
    summarise_text(text, options, &summary);
}

static void imbalance_is_taken_at_the_gun_only_where_both_sides_are_logged_there(void **state)
{
    (void)state;
    summarise("time,trigger,iso_gun_pressure [bar],resin_gun_pressure [bar],iso_pressure [bar],resin_pressure [bar]\n"
              "0,1,90,100,60,50\n1,0,90,100,60,50\n", NULL);
    assert_close(summary.imbalance_mean.si, -0.1, 1e-15);
    summarise("time,trigger,iso_gun_pressure [bar],iso_pressure [bar],resin_pressure [bar]\n0,1,90,60,50\n1,0,90,60,50\n", NULL);
    assert_close(summary.imbalance_mean.si, 0.2, 1e-15);
    summarise("time,trigger,resin_gun_pressure [bar],iso_pressure [bar],resin_pressure [bar]\n0,1,90,60,50\n1,0,90,60,50\n", NULL);
    assert_close(summary.imbalance_mean.si, 0.2, 1e-15);
    summarise("time,trigger,iso_gun_pressure [bar],resin_pressure [bar]\n0,1,90,50\n1,0,90,50\n", NULL);
    assert_false(summary.imbalance_mean.known);
}

/* Without a trigger the counters' rates say that material moves: any at all, or a flow above the threshold. */
static void counters_alone_tell_when_it_sprays(void **state)
{
    (void)state;
    static const char log[] = "time,iso_cycles,resin_cycles\n0,100,100\n1,101,101\n2,102,102\n3,102,102\n4,102,102\n13,102,102\n22,102,102\n31,102,102\n"
                              "40,102,102\n49,102,102\n58,102,102\n67,102,102\n76,102,102\n85,102,102\n94,102,102\n";
    imp_log_summary_options options;
    memset(&options, 0, sizeof options);
    summarise(log, &options);
    assert_true(summary.spraying_time.known && summary.spraying_time.si > 0.0);
    const double moved = summary.spraying_time.si;
    assert_false(summary.iso_volume.known && strcmp(summary.volume_by, "counters") == 0);
    options.iso_displacement = options.resin_displacement = 1e-4;
    options.flow_threshold = 5e-5; /* half of a cycle a second */
    summarise(log, &options);
    assert_true(summary.spraying_time.si > 0.0 && summary.spraying_time.si < moved);
    assert_string_equal(summary.volume_by, "counters");
    options.flow_threshold = 1.0;
    summarise(log, &options);
    assert_true(summary.spraying_time.si == 0.0 && summary.sprays == 0 && !summary.longest_spray.known);
    options.resin_displacement = 0.0; /* of one side only: no volumes by counters */
    summarise(log, &options);
    assert_string_not_equal(summary.volume_by, "counters");
}

static void one_side_alone_tells_that_material_moves_but_not_that_it_sprays(void **state)
{
    (void)state;
    static const char *const logs[] = {"time,iso_flow [L/min]\n0,2\n1,0\n2,0\n", "time,resin_flow [L/min]\n0,2\n1,0\n2,0\n"};
    for (size_t i = 0; i < 2; i++) {
        summarise(logs[i], NULL);
        assert_false(summary.spraying_time.known);
        assert_false(summary.iso_volume.known || summary.resin_volume.known || summary.ratio.known);
        assert_true((i == 0 ? summary.iso_pumped : summary.resin_pumped).known);
        assert_string_equal(summary.volume_by, "flows");
    }
    summarise("time,trigger,iso_flow [L/min]\n0,1,2\n1,0,2\n2,0,0\n3,0,0\n", NULL);
    assert_true(summary.spraying_time.si == 1.0 && summary.recirculating_time.si == 1.0 && summary.idle_time.si == 1.0);
    assert_true(summary.iso_volume.known && !summary.resin_volume.known && !summary.ratio.known);
}

static void thresholds_and_gaps_are_those_asked_for(void **state)
{
    (void)state;
    static const char log[] = "time,iso_flow [L/min],resin_flow [L/min]\n0,1,1\n20,1,1\n40,3,3\n60,0,0\n";
    imp_log_summary_options options;
    memset(&options, 0, sizeof options);
    summarise(log, &options);
    assert_true(summary.logged_time == 0.0 && summary.faults.kind[IMP_FAULT_GAP].count == 3);
    options.gap = 30.0;
    summarise(log, &options);
    assert_true(summary.logged_time == 60.0 && summary.spraying_time.si == 60.0);
    options.flow_threshold = 2e-3 / 60.0;
    summarise(log, &options);
    assert_true(summary.spraying_time.si == 20.0 && summary.idle_time.si == 40.0);
}

static void a_ratio_without_any_known_doubt_has_no_uncertainty(void **state)
{
    (void)state;
    imp_log_summary_options options;
    memset(&options, 0, sizeof options);
    summarise("time,trigger,iso_flow [L/min],resin_flow [L/min]\n0,1,2,2\n1,0,0,0\n", &options);
    assert_true(summary.ratio.known && !summary.ratio_uncertainty.known);
    options.iso_displacement = options.resin_displacement = 1e-4;
    summarise("time,trigger,iso_cycles,resin_cycles\n0,1,5,5\n1,1,5,9\n2,0,5,9\n", &options); /* no cycle of iso: nothing to relate it to */
    assert_true(summary.ratio.known && summary.ratio.si == 0.0 && !summary.ratio_uncertainty.known);
    summarise("time,trigger,iso_cycles,resin_cycles\n0,1,5,5\n1,1,9,5\n2,0,9,5\n", &options);
    assert_false(summary.ratio.known || summary.ratio_uncertainty.known);
}

static void windows_may_be_open_at_either_end_and_there_is_a_most(void **state)
{
    (void)state;
    imp_log_summary_options options;
    memset(&options, 0, sizeof options);
    for (size_t i = 0; i < IMP_LOG_MOST_WINDOWS; i++) {
        strcpy(options.windows[i].column, "a");
        options.windows[i].low = i == 1 || i == 2 ? (double)NAN : 2.0;
        options.windows[i].high = i == 1 || i == 3 ? (double)NAN : 4.0;
    }
    options.window_count = IMP_LOG_MOST_WINDOWS + 6;
    summarise("time,trigger,a\n0,1,1\n1,1,3\n2,1,5\n3,1,\n4,0,3\n", &options);
    assert_int_equal(summary.window_count, IMP_LOG_MOST_WINDOWS);
    static const double expected[4][3] = {{1, 1, 1}, {0, 3, 0}, {0, 2, 1}, {1, 2, 0}}; /* below, inside, above */
    for (size_t i = 0; i < 4; i++) {
        assert_true(summary.windows[i].below == expected[i][0]);
        assert_true(summary.windows[i].inside == expected[i][1]);
        assert_true(summary.windows[i].above == expected[i][2]);
    }
    summarise("time,a\n0,1\n1,3\n", &options); /* nobody knows when it sprayed */
    assert_int_equal(summary.window_count, 0);
}

static void sensors_that_stand_still_again_and_again_are_all_counted(void **state)
{
    (void)state;
    enum { TIMES = 30, ROWS_EACH = 200 };
    char *text = calloc(TIMES * ROWS_EACH + 2, 32);
    size_t used = (size_t)sprintf(text, "time,trigger,iso_pressure [bar]\n");
    for (int i = 0; i < TIMES * ROWS_EACH; i++)
        used += (size_t)sprintf(text + used, "%d,1,%d\n", 10 * i, 50 + i / ROWS_EACH);
    summarise(text, NULL);
    assert_int_equal(summary.faults.kind[IMP_FAULT_STUCK].count, TIMES);
    assert_int_equal(summary.faults.kind[IMP_FAULT_STUCK].kept, IMP_LOG_LINES_KEPT);
    free(text);
}

static void a_set_takes_the_summary_once(void **state)
{
    (void)state;
    imp_log *log = NULL;
    imp_columns *columns = NULL;
    imp_log_summary_plan *plan = NULL;
    imp_column spraying = 77;
    imp_error why;
    assert_ok(imp_log_open(file_with("time,a\n0,1\n"), NULL, &log, error));
    assert_ok(imp_columns_create(NULL, &columns, error));
    assert_ok(imp_columns_bind(columns, imp_log_header_of(log), error));
    assert_ok(imp_log_summary_ask(columns, NULL, &plan, &spraying, error));
    assert_int_equal(spraying, IMP_NO_COLUMN);
    assert_int_equal(imp_log_summary_ask(columns, NULL, &plan, NULL, &why), IMP_INTERNAL);
    assert_int_equal(imp_log_summary_collect(columns, plan, &summary, &why), IMP_NOT_APPLICABLE); /* not run yet */
    imp_columns_free(columns);
    imp_log_close(log);
}

static void any_number_of_threads_summarises_any_number_of_files(void **state)
{
    (void)state;
    static imp_log_summary all[3];
    imp_status statuses[3];
    imp_error errors[3];
    const char *const path = file_with("time,a\n0,1\n1,3\n"), *const paths[3] = {path, "/no such log", path};
    static const int threads[] = {0, 1, 2, 3, 9};
    for (size_t i = 0; i < sizeof threads / sizeof threads[0]; i++) {
        memset(all, 0, sizeof all);
        assert_int_equal(imp_log_summarise_files(paths, 3, NULL, NULL, threads[i], all, statuses, errors), IMP_OK);
        assert_true(statuses[0] == IMP_OK && statuses[1] == IMP_IO && statuses[2] == IMP_OK);
        assert_contains(errors[1].message, "there is no such file");
        assert_true(all[0].columns[0].mean.si == 2.0 && all[2].columns[0].mean.si == 2.0);
    }
    assert_int_equal(imp_log_summarise_files(paths, 0, NULL, NULL, 4, all, statuses, errors), IMP_OK);
}

/* Each allocation of the whole fails once: the file's status says so, and nothing is left behind (the sanitizer looks). */
static void every_failed_allocation_is_an_error_of_its_file(void **state)
{
    (void)state;
    imp_log_summary_options options;
    memset(&options, 0, sizeof options);
    options.window_count = 1;
    strcpy(options.windows[0].column, "iso_pressure");
    options.windows[0].low = 1e5;
    options.windows[0].high = 9e6;
    const char *const path = file_with("time,iso_cycles,resin_cycles,iso_pressure [bar],resin_pressure [bar]\n0,1,1,50,50\n1,2,2,51,50\n2,3,4,50,51\n");
    long failed = 0;
    for (long left = 0;; left++) {
        counted_memory memory = {.left = left, .taken = 0};
        const imp_allocator allocator = {counted_resize, &memory};
        const imp_log_options log_options = {.allocator = &allocator};
        imp_status status = IMP_OK;
        imp_error error;
        assert_int_equal(imp_log_summarise_files(&path, 1, &log_options, &options, 1, &summary, &status, &error), IMP_OK);
        if (status == IMP_OK)
            break;
        assert_int_equal(status, IMP_MEMORY);
        failed++;
    }
    assert_true(failed > 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(imbalance_is_taken_at_the_gun_only_where_both_sides_are_logged_there),
        cmocka_unit_test(counters_alone_tell_when_it_sprays),
        cmocka_unit_test(one_side_alone_tells_that_material_moves_but_not_that_it_sprays),
        cmocka_unit_test(thresholds_and_gaps_are_those_asked_for),
        cmocka_unit_test(a_ratio_without_any_known_doubt_has_no_uncertainty),
        cmocka_unit_test(windows_may_be_open_at_either_end_and_there_is_a_most),
        cmocka_unit_test(sensors_that_stand_still_again_and_again_are_all_counted),
        cmocka_unit_test(a_set_takes_the_summary_once),
        cmocka_unit_test(any_number_of_threads_summarises_any_number_of_files),
        cmocka_unit_test(every_failed_allocation_is_an_error_of_its_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
