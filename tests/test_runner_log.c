/* impinge log, run as a person runs it: events at their criteria's edges, merging, damaged files, rules of one's own.
 * Over 500 lines: many small cases of one subject. */
#include "shell.h"
#include "support.h"

#define JOB " --job " IMP_SOURCE_FOLDER "/examples/orchard-store/job.json "
#define EDGE "impinge run " IMP_TESTS_FOLDER "/logs/edge.lua "
#define MAKE "impinge run " IMP_SOURCE_FOLDER "/examples/make-log.lua "

/* ---- events ---- */

typedef struct edge_case {
    const char *arguments; /* of edge.lua: what is wrong, and by how much */
    const char *id;
    bool is_found;
} edge_case;

/* The criteria are those of scripts/logs: common practice but for the material's windows (of the invented example) and
 * the 3 K of ISO 8502-4. Dew point at 20 degC and 50 %: 9.27 degC (ASHRAE Fundamentals 2017 ch. 1, as in
 * reference/climate.json). */
static const edge_case edges[] = {
    {"off-ratio 1.0399", "off-ratio", false},
    {"off-ratio 1.0401", "off-ratio", true},
    {"off-ratio 0.9601", "off-ratio", false},
    {"off-ratio 0.9599", "off-ratio", true},
    {"pressure-imbalance 0.0999 40", "pressure-imbalance", false},
    {"pressure-imbalance 0.1001 40", "pressure-imbalance", true},
    {"pressure-imbalance 0.15 9", "pressure-imbalance", false},
    {"pressure-imbalance 0.15 10", "pressure-imbalance", true},
    {"crossover-risk 0.501 5", "crossover-risk", false},
    {"crossover-risk 0.499 5", "crossover-risk", true},
    {"crossover-risk 0.4 1", "crossover-risk", false},
    {"crossover-risk 0.4 2", "crossover-risk", true},
    {"crossover-floor 19.9", "crossover-risk", false},
    {"crossover-floor 20", "crossover-risk", true},
    {"pressure-out-of-window 105 6", "pressure-out-of-window", false},
    {"pressure-out-of-window 105.1 6", "pressure-out-of-window", true},
    {"pressure-out-of-window 62 6", "pressure-out-of-window", false},
    {"pressure-out-of-window 61.9 6", "pressure-out-of-window", true},
    {"pressure-out-of-window 110 4", "pressure-out-of-window", false},
    {"pressure-out-of-window 110 5", "pressure-out-of-window", true},
    {"inlet-starvation 0.14 10", "inlet-starvation", false}, /* against a mean that has the dip in it */
    {"inlet-starvation 0.17 10", "inlet-starvation", true},
    {"inlet-starvation 0.3 4.7", "inlet-starvation", false},
    {"inlet-starvation 0.3 5.3", "inlet-starvation", true},
    {"restriction 0.901", "restriction", false},
    {"restriction 0.899", "restriction", true},
    {"restriction 1.099", "restriction", false},
    {"restriction 1.101", "restriction", true},
    {"iso-temperature-out 41 15", "iso-temperature-out", false},
    {"iso-temperature-out 40.9 15", "iso-temperature-out", true},
    {"iso-temperature-out 58 15", "iso-temperature-out", false},
    {"iso-temperature-out 58.1 15", "iso-temperature-out", true},
    {"iso-temperature-out 60 9", "iso-temperature-out", false},
    {"iso-temperature-out 60 10", "iso-temperature-out", true},
    {"resin-temperature-out 41 15", "resin-temperature-out", false},
    {"resin-temperature-out 40.9 15", "resin-temperature-out", true},
    {"resin-temperature-out 58 15", "resin-temperature-out", false},
    {"resin-temperature-out 58.1 15", "resin-temperature-out", true},
    {"hose-temperature-out 41 15", "hose-temperature-out", false},
    {"hose-temperature-out 40.9 15", "hose-temperature-out", true},
    {"hose-temperature-out 58 15", "hose-temperature-out", false},
    {"hose-temperature-out 58.1 15", "hose-temperature-out", true},
    {"cold-hose 5 40", "cold-hose", false},
    {"cold-hose 5.01 40", "cold-hose", true},
    {"cold-hose 6 29", "cold-hose", false},
    {"cold-hose 6 30", "cold-hose", true},
    {"heater-shortfall 42 70", "heater-shortfall", false},
    {"heater-shortfall 41.9 70", "heater-shortfall", true},
    {"heater-shortfall 41.5 59", "heater-shortfall", false},
    {"heater-shortfall 41.5 60", "heater-shortfall", true},
    {"slow-warm-up 2700", "slow-warm-up", false},
    {"slow-warm-up 2705", "slow-warm-up", true},
    {"dew-point-spread 12.28", "dew-point-spread", false},
    {"dew-point-spread 12.25", "dew-point-spread", true},
    {"air-temperature-out 5", "air-temperature-out", false},
    {"air-temperature-out 4.9", "air-temperature-out", true},
    {"surface-temperature-out 7", "surface-temperature-out", false},
    {"surface-temperature-out 6.9", "surface-temperature-out", true},
    {"humidity-out 84", "humidity-out", false},
    {"humidity-out 84.1", "humidity-out", true},
    {"wind-out 6", "wind-out", false},
    {"wind-out 6.1", "wind-out", true},
    {"stuck-sensor 299", "stuck-sensor", false},
    {"stuck-sensor 300", "stuck-sensor", true},
    {"implausible-reading 150 3", "implausible-reading", false},
    {"implausible-reading 150.1 3", "implausible-reading", true},
    {"drum-change 0", "drum-change", false},
    {"drum-change 1", "drum-change", true},
    {"long-pause 1195", "long-pause", false},
    {"long-pause 1200", "long-pause", true},
    /* fifteen points 1.002 and 0.998 in turn, one away from them: the limits move with it */
    {"ratio-jump 1.012", "ratio-jump", false},
    {"ratio-jump 1.02", "ratio-jump", true},
    /* one excursion is one event, however far it goes */
    {"ratio-jump 1.05", "ratio-jump", true},
    {"ratio-jump 1.05", "ratio-drift", false},
    {"ratio-jump 1.05", "ratio-shift", false},
    {"ratio-jump 1.5", "ratio-drift", false},
    {"ratio-jump 1.5", "ratio-shift", false},
    {"ratio-shift 1", "ratio-shift", false},
    {"ratio-shift 1.02", "ratio-shift", true},
    {"ratio-drift 1", "ratio-drift", false},
    {"ratio-drift 1.03", "ratio-drift", true},
};

/* Is there a line of the CSV report that says that the event was found? */
static bool has_event(const char *csv, const char *id)
{
    static const char *const levels[] = {"stop", "caution", "note"};
    char wanted[96];
    for (size_t i = 0; i < 3; i++) {
        snprintf(wanted, sizeof wanted, "\n%s,%s,", levels[i], id);
        if (strstr(csv, wanted) != NULL)
            return true;
    }
    return false;
}

static void every_event_is_found_beyond_its_criterion_and_not_within(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof edges / sizeof edges[0]; i++) {
        char command[512];
        snprintf(command, sizeof command, EDGE "%s > edge.csv && impinge log edge.csv" JOB "--format csv",
                 edges[i].arguments);
        run_result result = shell(command);
        if (has_event(result.out, edges[i].id) != edges[i].is_found || strncmp(result.out, "section,id,", 11) != 0) {
            print_error("%s: expected %s%s\n%s%s", edges[i].arguments, edges[i].is_found ? "" : "no ", edges[i].id,
                        result.out, result.err);
            fail();
        }
        done(&result);
    }
}

/* The generator leaves the iso flow as it is and divides it by the ratio for the resin's. */
static void a_ratio_event_names_the_side_that_ran_short(void **state)
{
    static const struct {
        const char *ratio, *side, *other;
    } cases[] = {{"1.06", "resin ran short", "iso ran short"}, {"0.94", "iso ran short", "resin ran short"}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char command[512];
        snprintf(command, sizeof command, EDGE "off-ratio %s > edge.csv && impinge log edge.csv" JOB, cases[i].ratio);
        run_result result = shell(command);
        assert_contains(result.out, cases[i].side);
        assert_null(strstr(result.out, cases[i].other));
        assert_contains(result.out, "; ratio "); /* the figures stay beside it */
        assert_contains(result.out, "Before the next job: check");
        done(&result);
    }
}

static void a_quiet_day_has_no_event(void **state)
{
    (void)state;
    run_result result = shell(EDGE "none > quiet.csv && impinge log quiet.csv" JOB);
    assert_int_equal(result.code, 0);
    assert_contains(result.out, "DAY REPORT: NO EVENT THAT MATTERS\n");
    assert_contains(result.out, "Events\n------\n  none\n");
    assert_contains(result.out, "nothing wrong with it");
    /* sprays of 80 s of every 100 s from the first minute on, the last one cut off after 39 s: 8 x 80 + 39 = 679 s, in three digits */
    assert_contains(result.out, "Spraying             11.3 min in 9 sprays\n");
    done(&result);
}

static double fact_of(const char *csv, const char *start)
{
    const char *line = strstr(csv, start);
    assert_non_null(line);
    return strtod(line + strlen(start), NULL);
}

/* Mass needed grows with the area: 10 % too much is at area used/(1.1 needed for one square metre). */
static void material_over_plan_is_found_beyond_its_excess(void **state)
{
    (void)state;
    run_result result = shell(EDGE "none > quiet.csv && impinge log quiet.csv" JOB "--format csv");
    const double used = fact_of(result.out, "\nfact,material-against-plan,mass used,"),
                 needed = fact_of(result.out, "\nfact,material-against-plan,mass needed,");
    done(&result);
    for (int i = 0; i < 2; i++) {
        char command[1024];
        const double area = 185.0 * used / (1.1 * needed) * (i == 0 ? 1.001 : 0.999);
        snprintf(command, sizeof command,
                 "cp " IMP_SOURCE_FOLDER "/examples/orchard-store/*.json . && sed 's/\"area\": \"185 m^2\"/\"area\": "
                                         "\"%.9g m^2\"/' job.json > small.json && "
                 "impinge log quiet.csv --job small.json --format csv",
                 area);
        result = shell(command);
        assert_int_equal(result.code, i);
        assert_int_equal(has_event(result.out, "material-over-plan"), i);
        done(&result);
    }
}

static void what_a_log_lacks_is_not_known(void **state)
{
    (void)state;
    write_file("bare.csv", "time [s],iso_pressure [bar]\n0,90\n1,91\n2,90\n");
    run_result result = shell("impinge log bare.csv --format csv");
    assert_int_equal(result.code, 0);
    assert_contains(result.out, "\nevent,off-ratio,not known,,,,,,");
    assert_contains(result.out, "the log has no iso_flow, resin_flow");
    assert_contains(result.out, "no job was given (--job)");
    assert_null(strstr(result.out, "\nstop,"));
    done(&result);
}

static void the_example_is_what_its_generator_writes(void **state)
{
    (void)state;
    run_result result =
        shell(MAKE "rows=1800 step=5 | cmp - " IMP_SOURCE_FOLDER "/examples/orchard-store/day.csv && "
                   "impinge log " IMP_SOURCE_FOLDER "/examples/orchard-store/day.csv" JOB "--format csv");
    assert_int_equal(result.code, 2);
    assert_true(has_event(result.out, "off-ratio"));
    assert_true(has_event(result.out, "cold-hose"));
    assert_true(has_event(result.out, "drum-change"));
    assert_false(has_event(result.out, "crossover-risk"));
    assert_contains(result.out, "\nfact,warm-up,time to warm up,");
    done(&result);
    result = shell(MAKE "faults=none > good.csv && impinge log good.csv" JOB);
    assert_int_equal(result.code, 0);
    done(&result);
    CHECK_CASES(((const command_case[]){
        {MAKE "fault=none", 5, NULL,
         IMP_SOURCE_FOLDER "/examples/make-log.lua: expected seed=, rows=, step=, start= or faults=, got fault=none\n"},
        {MAKE "faults=wet", 5, NULL,
         IMP_SOURCE_FOLDER
         "/examples/make-log.lua: there is no fault wet; there are off-ratio, cold-hose, drum-change, imbalance, "
         "crossover, starvation, restriction, heater, stuck, implausible, damage\n"}}));
}

/* ---- many files, pieces ---- */

#define FILES_MADE                                                                                                     \
    "mkdir -p season && for i in 1 2 3 4 5 6 7 8; do " MAKE                                                            \
    "rows=900 seed=$i start=2031-05-0${i}T07:00:00Z faults=none > season/$i.csv; done && " MAKE                        \
    "rows=900 seed=9 start=2031-05-09T07:00:00Z faults=off-ratio,imbalance,damage > season/9.csv && "

static void partial_results_merge_to_the_bytes_of_one_run(void **state)
{
    (void)state;
    run_result result = shell(
        FILES_MADE "ls season/*.csv | xargs -P 2 -I{} " IMPINGE_BINARY " log {}" JOB "--partial -o {}.part && "
                   "for format in text json html csv markdown; do impinge log season/*.csv" JOB
                   "--format $format > single; impinge log --merge season/*.part" JOB
                   "--format $format > merged; cmp single merged || exit 9; "
                   "impinge log season/9.csv" JOB "--format $format > single; impinge log --merge season/9.csv.part" JOB
                   "--format $format > merged; cmp single merged || exit 9; done; "
                   "impinge log season/*.csv" JOB "--partial > all.part; impinge log --merge all.part" JOB
                   "> merged; impinge log season/*.csv" JOB "--threads 3 | cmp - merged");
    assert_string_equal(result.err, "");
    assert_string_equal(result.out, "");
    assert_int_equal(result.code, 0);
    done(&result);
}

static void gnu_parallel_gives_the_same_where_it_is_installed(void **state)
{
    (void)state;
    run_result result = shell("command -v parallel > /dev/null || exit 77; " FILES_MADE "parallel -j 2 " IMPINGE_BINARY
                              " log {}" JOB "--partial -o {}.gnu ::: season/*.csv && "
                              "impinge log season/*.csv" JOB "> single; impinge log --merge season/*.gnu" JOB
                              "> merged; cmp single merged");
    if (result.code == 77) {
        done(&result);
        skip();
    }
    assert_string_equal(result.out, "");
    assert_int_equal(result.code, 0);
    done(&result);
}

static void pieces_of_one_log_join_to_the_whole(void **state)
{
    (void)state;
    run_result result =
        shell("mkdir -p whole pieces && " MAKE
              "> whole/a.csv && head -n 1 whole/a.csv > header && tail -n +2 whole/a.csv | split -l 700 - rows- && "
              "n=0; for rows in rows-*; do n=$((n + 1)); name=$(echo abcdef | cut -c$n); cat header $rows > "
              "pieces/$name.csv; done; "
              "cd pieces; for format in json html csv; do impinge log ../whole/a.csv --period '1 min'" JOB
              "--format $format | sed 's,../whole/,,' > ../single; "
              "impinge log --join [abcd].csv --period '1 min'" JOB
              "--format $format > ../joined; cmp ../single ../joined || exit 9; done; "
              "for f in [abcd].csv; do impinge log $f --partial --period '1 min'" JOB "-o $f.part; done; "
              "impinge log --merge --join [abcd].csv.part" JOB "--format csv | cmp - ../joined");
    assert_string_equal(result.err, "");
    assert_string_equal(result.out, "");
    assert_int_equal(result.code, 0);
    done(&result);
}

static void results_do_not_depend_on_threads(void **state)
{
    (void)state;
    run_result result =
        shell("impinge run --max-output 100 --max-steps 1e12 --max-seconds 600 " IMP_SOURCE_FOLDER
              "/examples/make-log.lua rows=28800 > long.csv && "
              "impinge log long.csv" JOB "--format html > one; for n in 2 3 7; do impinge log long.csv" JOB
              "--format html --threads $n | cmp - one || exit 9; done; "
              "test $(wc -c < one) -lt 300000 && ! grep -E -c '<script|src=|href=\"?h|url' one");
    assert_string_equal(result.out,
                        "0\n"); /* what grep counts: eight hours at 1 Hz fit into 300 kB that need nothing else */
    assert_int_equal(result.code, 0);
    done(&result);
}

static void a_fleet_table_adds_up_and_marks_what_is_unusual(void **state)
{
    (void)state;
    run_result result = shell(FILES_MADE "impinge log season/*.csv" JOB "--format csv");
    assert_int_equal(result.code, 2);
    const char *odd = strstr(result.out, "\nseason/9.csv,");
    assert_non_null(odd);
    assert_contains(odd, " ratio "); /* among its outliers */
    const char *total = strstr(result.out, "\ntotal,");
    assert_non_null(total);
    double mass = 0.0, sum = 0.0;
    for (const char *line = strchr(result.out, '\n'); line != NULL && line[1] != '\0'; line = strchr(line + 1, '\n')) {
        const char *cell = line;
        for (int i = 0; i < 13; i++)
            cell = strchr(cell + 1, ',');
        mass = strtod(cell + 1, NULL);
        if (line != total)
            sum += mass;
    }
    assert_relative(mass, sum, 2e-5); /* six digits a cell */
    done(&result);
    result = shell("impinge log season/1.csv season/none.csv season/2.csv" JOB);
    assert_int_equal(result.code, 4);
    assert_contains(result.err, "season/none.csv: there is no such file");
    assert_contains(result.out, "\nTotal         2 files");
    done(&result);
}

/* ---- forms ---- */

static void json_is_whole_and_says_what_the_text_says(void **state)
{
    (void)state;
    run_result result = shell(EDGE "none > quiet.csv && impinge log quiet.csv" JOB "--format json");
    assert_int_equal(result.code, 0);
    cJSON *json = cJSON_ParseWithOpts(result.out, NULL, true);
    assert_non_null(json);
    assert_int_equal(member(json, "impinge")->valueint, 1);
    assert_string_equal(member(json, "report")->valuestring, "day report");
    const cJSON *summary = member(member(json, "day"), "summary");
    assert_true(member(member(summary, "spraying_time"), "value")->valuedouble == 679.0); /* as above */
    assert_string_equal(member(member(summary, "iso_volume"), "unit")->valuestring, "L");
    assert_true(cJSON_GetArraySize(member(member(json, "day"), "events")) > 20);
    cJSON_Delete(json);
    done(&result);
}

/* The same figures as the text: the day of the edges and its totals, and of many logs a row each. */
static void markdown_has_what_the_text_has(void **state)
{
    (void)state;
    run_result day = shell(EDGE "none > quiet.csv && impinge log quiet.csv" JOB "--format markdown");
    assert_int_equal(day.code, 0);
    assert_contains(day.out, "# Day report: IN ORDER\n");
    assert_contains(day.out, "- Log: quiet.csv\n");
    assert_contains(day.out, "\n## Totals\n\n| What | Value |\n| --- | --- |\n");
    assert_contains(day.out, "| Spraying | 11\\.3 min in "); /* 679 s */
    assert_contains(day.out, "\n## Looked for and not found\n");
    assert_contains(day.out, "\n## Cautions\n\n- Isocyanates");
    done(&day);
    run_result units = shell("impinge log quiet.csv" JOB "--format markdown --units us");
    assert_contains(units.out, " degF |");
    assert_null(strstr(units.out, " degC |"));
    done(&units);
    run_result many = shell("cp quiet.csv 'a|b.csv'; echo junk > junk.csv; impinge log quiet.csv 'a|b.csv' junk.csv" JOB "--format markdown");
    assert_contains(many.out, "# Table of logs: IN ORDER\n");
    assert_contains(many.out, "\n| quiet.csv | ");
    assert_contains(many.out, "\n| a\\|b.csv | ");
    assert_contains(many.out, "\n## Cannot be used\n\n- junk.csv: ");
    done(&many);
    run_result unusable = shell("impinge log junk.csv --format markdown");
    assert_contains(unusable.out, "# Day report: THE LOG CANNOT BE USED\n");
    done(&unusable);
}

static void names_of_files_and_columns_are_made_safe(void **state)
{
    (void)state;
    run_result result = shell("printf 'time [s],\"<b>x\"\\n0,1\\n1,=2\\n' > '<i>.csv'; impinge log '<i>.csv' --format "
                              "html; impinge log '<i>.csv' --format csv");
    assert_null(strstr(result.out, "<i>"));
    assert_null(strstr(result.out, "<b>x</th>"));
    assert_contains(result.out, "&lt;i&gt;.csv");
    done(&result);
}

/* ---- damage ---- */

typedef struct damaged_case {
    const char *make; /* shell that writes bad.csv */
    int code;
    const char *part; /* of what is said, on either stream */
} damaged_case;

static const damaged_case damaged[] = {
    {": > bad.csv", 4, "bad.csv: the file is empty"},
    {"printf 'iso_flow [L/min]\\n1\\n' > bad.csv", 4, "has no column \"time\""},
    {"printf 'time [s],iso_flow [bar]\\n0,1\\n' > bad.csv", 4, "iso_flow"},
    {"printf 'time [s],iso_flow [L/min]\\n' > bad.csv", 4, "bad.csv: "},
    {"head -c 20000 good.csv > bad.csv", 0, "1 last line cut off, left out"},
    {"head -c 5000 /dev/zero > bad.csv", 4, "bad.csv: "},
    {"{ head -n 100 good.csv; head -c 3000 /dev/zero | tr '\\0' '\\001'; echo; tail -n 100 good.csv; } > bad.csv", 0,
     "bytes that are no text, left out (line 101)"},
    {"sed '50s/$/,1/;60s/,0,/,/' good.csv > bad.csv", 0,
     "2 rows with too few or too many cells, left out (lines 50, 60)"},
    {"sed '70s/[0-9]*\\.[0-9]/x/' good.csv > bad.csv", 0, "1 cells that are no number (line 70)"},
    {"{ head -n 1 good.csv; tail -n +2 good.csv | sort -r; } > bad.csv", 0, "rows earlier than the one before"},
    {"sed '100p;200p' good.csv > bad.csv", 0, "2 rows with the same time as the one before, left out (lines 101, 202)"},
    {"sed '100,200d' good.csv > bad.csv", 0, "1 gaps in time, not counted as time (line 100)"},
    {"printf "
     "'time,trigger\\n2031-10-26T02:59:58+02:00,1\\n2031-10-26T02:59:59+02:00,1\\n2031-10-26T02:00:00+01:00,1\\n2031-"
     "10-26T02:00:01+01:00,0\\n' > bad.csv",
     0, "nothing wrong with it"},
    {"printf 'time [s],x\\n0,1\\n1,1e308\\n2,1e309\\n' > bad.csv", 0, "numbers too large"},
    {"{ head -n 10 good.csv; head -c 100000 /dev/zero | tr '\\0' 'x'; echo; tail -n 10 good.csv; } > bad.csv", 0,
     "lines too long to be a row"},
    {"sed 's/\\./,/g;1s/,/,/g' good.csv > bad.csv", 4, "bad.csv"},
    {"printf '\\357\\273\\277time [s],x\\r\\n0,1\\r\\n1,2\\r\\n' > bad.csv", 0, "nothing wrong with it"},
};

static void a_damaged_file_gives_counts_or_one_sentence(void **state)
{
    (void)state;
    run_result result = shell(MAKE "faults=none rows=600 > good.csv");
    done(&result);
    for (size_t i = 0; i < sizeof damaged / sizeof damaged[0]; i++) {
        char command[1024];
        snprintf(command, sizeof command, "%s; impinge log bad.csv", damaged[i].make);
        result = shell(command);
        const size_t length = strlen(result.err);
        const bool is_one_line = length == 0 || strchr(result.err, '\n') == result.err + length - 1;
        /* what is left may hold events: only that the file could be used counts here */
        const bool is_expected =
            damaged[i].code == 4 ? result.code == 4 && length > 0 : result.code <= 2 && length == 0;
        if (!is_expected || !is_one_line ||
            (strstr(result.out, damaged[i].part) == NULL && strstr(result.err, damaged[i].part) == NULL)) {
            print_error("%s\nexpected %d and \"%s\", got %d\n%s%s", damaged[i].make, damaged[i].code, damaged[i].part,
                        result.code, result.out, result.err);
            fail();
        }
        done(&result);
    }
}

static void a_loggers_own_headers_are_mapped(void **state)
{
    (void)state;
    write_file(
        "columns.json",
        "{\"impinge\": 1, \"separator\": \";\", \"decimal\": \"comma\", \"time_format\": \"DD.MM.YYYY hh:mm:ss\", "
        "\"columns\": [{\"header\": \"Zeit\", \"name\": \"time\"}, {\"header\": \"P iso\", \"name\": \"iso_pressure\", "
        "\"unit\": \"bar\"}]}");
    write_file("own.csv", "Zeit;P iso\n01.05.2031 07:00:00;90,5\n01.05.2031 07:00:01;91,5\n");
    run_result result = shell("impinge log own.csv --columns columns.json --format csv");
    assert_int_equal(result.code, 0);
    assert_contains(result.out, "\ncolumn,iso_pressure,max,91.5,bar,");
    assert_contains(result.out, "\ntotal,first_time,,2031-05-01T07:00:00,");
    done(&result);
}

/* ---- rules of one's own ---- */

static void company_rules_add_tighten_silence_and_replace(void **state)
{
    (void)state;
    write_file("own.lua",
               "event { id = 'warm-iso', title = 'Iso warmer than we like', group = 'company', level = 'caution', "
               "needs = { 'iso_temperature' },\n"
               "  criterion = { most = q '46 degC' }, compute = function(day, job, criterion) return "
               "day.iso_temperature:above(criterion.most) end }\n"
               "tighten { id = 'off-ratio', criterion = { tolerance = q '0.1 %' }, reason = 'our own proof' }\n"
               "silence { id = 'stuck-sensor', reason = 'this logger rounds' }\n"
               "replace { id = 'long-pause', reason = 'lunch is no event', criterion = { pause = q '2 h' } }\n");
    run_result result = shell(EDGE "none > quiet.csv && impinge log quiet.csv" JOB "--rules own.lua");
    assert_int_equal(result.code, 2);
    assert_contains(result.out, "STOP     Ratio outside its tolerance");
    assert_contains(result.out, "tightened          own.lua:3: our own proof");
    assert_contains(result.out, "CAUTION  Iso warmer than we like [company]");
    assert_contains(result.out,
                    "Silenced             A reading stands still while the rig works: this logger rounds (own.lua:4)");
    done(&result);
}

static void wrong_company_rules_are_refused_in_one_sentence(void **state)
{
    (void)state;
    write_file("loose.lua", "tighten { id = 'off-ratio', criterion = { tolerance = q '6 %' } }\n");
    write_file("unknown.lua", "silence { id = 'off-raito', reason = 'x' }\n");
    write_file("field.lua", "event { id = 'x', titel = 'X' }\n");
    write_file("endless.lua", "while true do end\n");
    static const command_case cases[] = {
        {"impinge log quiet.csv --rules loose.lua", 5, NULL,
         "impinge: loose.lua:1: tighten: \"off-ratio\": tolerance 6 % is looser than the rule's own, 5 %; tighten can "
         "only tighten\n"},
        {"impinge log quiet.csv --rules unknown.lua", 5, NULL,
         "impinge: unknown.lua:1: silence: there is no log rule \"off-raito\"\n"},
        {"impinge log quiet.csv --rules none.lua", 4, NULL,
         "impinge: cannot read the rules \"none.lua\": No such file or directory\n"},
    };
    CHECK_CASES(cases);
    run_result result = shell("impinge log quiet.csv --rules field.lua");
    assert_int_equal(result.code, 5);
    assert_contains(result.err, "field.lua:1: event: has no field \"titel\"");
    done(&result);
    result = shell("impinge log quiet.csv --max-steps 100000 --rules endless.lua");
    assert_int_equal(result.code, 6);
    assert_contains(result.err, "used up its budget");
    done(&result);
}

static void a_rule_that_throws_is_a_stop_and_the_others_still_run(void **state)
{
    (void)state;
    write_file("thrown.lua",
               "event { id = 'thrown', title = 'Thrown', group = 'company', compute = function() error 'mine' end }\n"
               "event { id = 'number', title = 'Number', group = 'company', compute = function(day) return "
               "day.iso_flow end }\n"
               "event { id = 'now', title = 'Now', group = 'company', compute = function(day) return "
               "day.iso_flow:mean() end }\n");
    run_result result = shell(EDGE "none > quiet.csv && impinge log quiet.csv --rules thrown.lua");
    assert_int_equal(result.code, 2);
    assert_contains(result.out, "thrown.lua:1: mine");
    assert_contains(result.out, "a column is no answer by itself");
    assert_contains(result.out, "this needs the whole log");
    assert_contains(result.out, "Ratio of each spray");
    done(&result);
}

/* ---- usage, scripts ---- */

static void wrong_use_is_refused_in_one_sentence(void **state)
{
    (void)state;
    static const command_case cases[] = {
        {"impinge log quiet.csv --partial --merge", 3, NULL,
         "impinge log: --partial and --merge cannot be given together\n"},
        {"impinge log quiet.csv --period '3 bar'", 3, NULL,
         "impinge log: --period: expected a time above 0 s such as \"1 min\"\n"},
        {"impinge log quiet.csv -o ./quiet.csv", 3, NULL,
         "impinge log: --output names one of the logs, which it would overwrite\n"},
        {"impinge log --merge quiet.csv", 4, NULL,
         "impinge: partial result quiet.csv: this is no log summary; expected what \"impinge log --partial\" wrote\n"},
    };
    CHECK_CASES(cases);
    run_result result = shell("impinge log quiet.csv --partial > with && impinge log --merge with" JOB
                              "> out; code=$?; cat out; exit $code");
    assert_int_equal(result.code, 4);
    assert_contains(result.err, "quiet.csv: this partial result was made with other questions");
    done(&result);
    result = shell("impinge log quiet.csv --partial > uncut && head -c 9000 uncut > cut && impinge log --merge cut");
    assert_int_equal(result.code, 4);
    assert_contains(result.err, "cut");
    done(&result);
}

/* The example of the scripting guide, as it is written there. */
static void the_guides_example_runs(void **state)
{
    (void)state;
    write_file("guide.lua",
               "local imp = require \"impinge\"\nlocal q   = imp.q\n"
               "local day   = imp.log.open(\"day.csv\")\n"
               "local ratio = day.iso_flow / day.resin_flow\n"
               "local bad   = (ratio - 1):abs():above(0.05):where(day.trigger:equals(1)):lasting(q \"5 s\")\n"
               "for span in bad:spans() do print(span.from, span.to, span.duration, ratio:mean(span)) end\n");
    run_result result = shell(EDGE "off-ratio 1.06 > day.csv && impinge run guide.lua day.csv");
    assert_string_equal(result.err, "");
    assert_string_equal(result.out, "260 s\t340 s\t80 s\t1.06\n");
    done(&result);
    result = shell("impinge run guide.lua");
    assert_int_equal(result.code, 5);
    assert_contains(result.err, "guide.lua:3: open: a script reads only files named on the command line");
    done(&result);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_event_is_found_beyond_its_criterion_and_not_within),
        cmocka_unit_test(a_ratio_event_names_the_side_that_ran_short),
        cmocka_unit_test(a_quiet_day_has_no_event),
        cmocka_unit_test(material_over_plan_is_found_beyond_its_excess),
        cmocka_unit_test(what_a_log_lacks_is_not_known),
        cmocka_unit_test(the_example_is_what_its_generator_writes),
        cmocka_unit_test(partial_results_merge_to_the_bytes_of_one_run),
        cmocka_unit_test(gnu_parallel_gives_the_same_where_it_is_installed),
        cmocka_unit_test(pieces_of_one_log_join_to_the_whole),
        cmocka_unit_test(results_do_not_depend_on_threads),
        cmocka_unit_test(a_fleet_table_adds_up_and_marks_what_is_unusual),
        cmocka_unit_test(json_is_whole_and_says_what_the_text_says),
        cmocka_unit_test(markdown_has_what_the_text_has),
        cmocka_unit_test(names_of_files_and_columns_are_made_safe),
        cmocka_unit_test(a_damaged_file_gives_counts_or_one_sentence),
        cmocka_unit_test(a_loggers_own_headers_are_mapped),
        cmocka_unit_test(company_rules_add_tighten_silence_and_replace),
        cmocka_unit_test(wrong_company_rules_are_refused_in_one_sentence),
        cmocka_unit_test(a_rule_that_throws_is_a_stop_and_the_others_still_run),
        cmocka_unit_test(wrong_use_is_refused_in_one_sentence),
        cmocka_unit_test(the_guides_example_runs),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
