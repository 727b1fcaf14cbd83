/* Spray hours: each row of a forecast judged by the rules on the weather, at each edge of the material's window and of the
 * spread to the dew point. Forecasts, job and material are invented. */
#include "shell.h"

#define ORCHARD IMP_SOURCE_FOLDER "/examples/orchard-store/"
#define HOURS "impinge check " ORCHARD "job.json --report spray-hours --forecast forecast.csv "

static const char heading[] = "time,air_temperature [degC],relative_humidity [%],wind_speed [m/s],surface_temperature [degC]\n";

typedef struct hour_case {
    const char *row; /* behind the time */
    const char *verdict;
    const char *reason; /* the first rule that is not go, or NULL */
} hour_case;

/* The example's material: air 5 to 40 degC, surface 7 to 46 degC, humidity to 84 %, wind to 6 m/s. Spread: 3 K by ISO 8502-4,
 * caution below 4 K. Dew point at 20 degC and 50 %: 9.3 degC, as psychrometric tables print it (9.27 in ASHRAE's). */
static const hour_case edges[] = {
    {"20,50,1,14", "go", NULL},
    {"20,50,1,13.3", "go", NULL},
    {"20,50,1,13.2", "caution", "surface-clear-of-dew-point"},
    {"20,50,1,12.3", "caution", "surface-clear-of-dew-point"},
    {"20,50,1,12.2", "stop", "surface-clear-of-dew-point"},
    {"5,50,1,10", "go", NULL},
    {"4.9,50,1,10", "stop", "air-temperature-in-window"},
    {"40,10,1,40", "go", NULL},
    {"40.1,10,1,40", "stop", "air-temperature-in-window"},
    {"10,40,1,7", "go", NULL},
    {"10,40,1,6.9", "stop", "surface-temperature-in-window"},
    {"38,10,1,46", "go", NULL},
    {"38,10,1,46.1", "stop", "surface-temperature-in-window"},
    {"20,84,1,25", "go", NULL},
    {"20,84.1,1,25", "stop", "relative-humidity-in-window"},
    {"20,50,6,20", "go", NULL},
    {"20,50,6.1,20", "stop", "wind-speed-in-window"},
    {"20,50,,20", "not known", "wind-speed-in-window"},        /* the job's own reading is of another hour */
    {"20,,1,20", "not known", "surface-clear-of-dew-point"},
    {"20,50,1,", "not known", "surface-clear-of-dew-point"},
    {"20,50,x,20", "not known", "wind-speed-in-window"},
    {"20,50,99,20", "not known", "wind-speed-in-window"},      /* beyond what the field of the job takes */
    {"20,50,7,", "stop", "surface-clear-of-dew-point"},        /* the worst of several; reasons in the order of the rules */
};
enum { EDGES = sizeof edges / sizeof edges[0] };

static void write_edges(void)
{
    char text[4096];
    int length = snprintf(text, sizeof text, "%s", heading);
    for (int i = 0; i < EDGES; i++)
        length += snprintf(text + length, sizeof text - (size_t)length, "2031-05-%02dT%02d:00+02:00,%s\n", 1 + i / 24, i % 24, edges[i].row);
    write_file("forecast.csv", text);
}

static void every_edge_of_the_windows_decides_its_hour(void **state)
{
    (void)state;
    write_edges();
    cJSON *json = json_of(HOURS "--format json");
    const cJSON *hours = member(json, "hours");
    int wrong = 0;
    assert_int_equal(cJSON_GetArraySize(hours), EDGES);
    for (int i = 0; i < EDGES; i++) {
        const cJSON *hour = cJSON_GetArrayItem(hours, i), *reason = cJSON_GetArrayItem(member(hour, "reasons"), 0);
        const char *verdict = member(hour, "verdict")->valuestring, *id = reason != NULL ? member(reason, "id")->valuestring : "";
        if (strcmp(verdict, edges[i].verdict) != 0 || strcmp(id, edges[i].reason != NULL ? edges[i].reason : "") != 0) {
            print_error("%s: %s by \"%s\", expected %s by \"%s\"\n", edges[i].row, verdict, id, edges[i].verdict,
                        edges[i].reason != NULL ? edges[i].reason : "");
            wrong++;
        }
    }
    assert_int_equal(wrong, 0);
    const cJSON *first = cJSON_GetArrayItem(hours, 0);
    assert_close(member(member(first, "spread"), "value")->valuedouble, 14.0 - 9.27, 0.01);
    assert_close(member(member(member(first, "readings"), "wind_speed"), "value")->valuedouble, 1.0, 1e-12);
    cJSON_Delete(json);
}

static void hours_that_follow_each_other_are_one_stretch_and_a_gap_ends_it(void **state)
{
    (void)state;
    char text[1024];
    snprintf(text, sizeof text,
             "%s2031-05-01T08:00+02:00,20,50,1,14\n2031-05-01T09:00+02:00,20,50,1,12.5\n2031-05-01T10:00+02:00,20,50,7,14\n"
             "2031-05-01T11:00+02:00,20,50,1,14\n2031-05-01T14:00+02:00,20,50,1,14\n2031-05-01T15:00+02:00,20,50,1,14\n",
             heading);
    write_file("forecast.csv", text);
    run_result result = shell(HOURS);
    assert_int_equal(result.code, 0);
    assert_contains(result.out, "  * 2031-05-01 08:00 to 10:00, with caution\n  * 2031-05-01 11:00 to 12:00\n  * 2031-05-01 14:00 to 16:00\n");
    assert_contains(result.out, "Of the forecast's rows 4 can be sprayed and 1 with caution, of 6.");
    assert_contains(result.out, "Wind is below the material's limit: 7 m/s, at most 6 m/s");
    assert_contains(result.out, "A forecast is no reading");
    done(&result);
}

static void surface_is_assumed_only_when_somebody_says_so(void **state)
{
    (void)state;
    write_file("forecast.csv", "time,air_temperature [degF],relative_humidity [%],wind_speed [mph]\n2031-05-01T08:00Z,68,50,2\n");
    run_result unknown = shell(HOURS), assumed = shell(HOURS "--surface-below '6 K'"), cold = shell(HOURS "--surface-below '8 K'");
    assert_int_equal(unknown.code, 2);
    assert_contains(unknown.out, "the forecast has no surface temperature");
    assert_int_equal(assumed.code, 0); /* 14 less 9.3 */
    assert_contains(assumed.out, "The surface is taken to be 6.0 K colder than the air");
    assert_contains(assumed.out, "4.7 K");
    assert_int_equal(cold.code, 2); /* 12 less 9.3 is below 3 */
    done(&unknown);
    done(&assumed);
    done(&cold);
}

static void company_rules_on_the_weather_hold_for_hours_too(void **state)
{
    (void)state;
    char text[512];
    snprintf(text, sizeof text, "%s2031-05-01T08:00+02:00,20,50,1,14\n", heading);
    write_file("forecast.csv", text);
    write_file("five.lua", "tighten { id = 'surface-clear-of-dew-point', at_least = q '5 K', reason = 'a wet spring' }\n");
    write_file("indoors.lua", "silence { id = 'wind-speed-in-window', reason = 'closed halls' }\n");
    run_result tight = shell(HOURS "--rules five.lua");
    assert_int_equal(tight.code, 2);
    assert_contains(tight.out, "Surface is clear of the dew point: 4.7 K, at least 5.0 K");
    done(&tight);
    snprintf(text, sizeof text, "%s2031-05-01T08:00+02:00,20,50,30,14\n", heading);
    write_file("forecast.csv", text);
    run_result silent = shell(HOURS "--rules indoors.lua");
    assert_int_equal(silent.code, 0);
    assert_contains(silent.out, "Silenced by the company: Wind is below the material's limit (indoors.lua:1: closed halls).");
    done(&silent);
}

static void wrong_forecasts_are_refused_in_one_sentence(void **state)
{
    (void)state;
    static const struct { const char *text, *message; } files[] = {
        {"time,air_temperature [degC]\n2031-05-01T08:00Z,20\n2031-05-01T07:00Z,20\n", "impinge: forecast.csv: row 2 is not later than the one before\n"},
        {"time,air_temperature [degC]\n", NULL},
        {"time,altitude [bar]\n2031-05-01T08:00Z,20\n", NULL},
        {"air_temperature [degC]\n20\n", NULL},
    };
    for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
        write_file("forecast.csv", files[i].text);
        run_result result = shell(HOURS);
        assert_int_equal(result.code, 4);
        assert_string_equal(result.out, "");
        assert_contains(result.err, "forecast.csv");
        assert_null(strstr(result.err, ".lua"));
        assert_ptr_equal(strchr(result.err, '\n'), result.err + strlen(result.err) - 1);
        if (files[i].message != NULL)
            assert_string_equal(result.err, files[i].message);
        done(&result);
    }
    write_edges();
    static const command_case cases[] = {
        {"impinge check " ORCHARD "job.json --report spray-hours", 3, NULL,
         "impinge check: --report spray-hours needs --forecast FILE.csv, a weather forecast with a row an hour\n"},
        {"impinge check " ORCHARD "job.json --forecast forecast.csv", 3, NULL,
         "impinge check: --forecast and --surface-below are for --report spray-hours; add it, or leave them out\n"},
        {HOURS "--surface-below '2 bar'", 3, NULL,
         "impinge: --surface-below: expected a difference of temperatures such as \"2 K\", got \"2 bar\"\n"},
        {HOURS "--surface-below='-2 K'", 3, NULL,
         "impinge: --surface-below: expected a difference of temperatures such as \"2 K\", got \"-2 K\"\n"},
    };
    CHECK_CASES(cases);
    run_result missing = shell("impinge check " ORCHARD "job.json --report spray-hours --forecast none.csv");
    assert_int_equal(missing.code, 4);
    assert_contains(missing.err, "impinge: cannot read the forecast \"none.csv\"");
    done(&missing);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_edge_of_the_windows_decides_its_hour),
        cmocka_unit_test(hours_that_follow_each_other_are_one_stretch_and_a_gap_ends_it),
        cmocka_unit_test(surface_is_assumed_only_when_somebody_says_so),
        cmocka_unit_test(company_rules_on_the_weather_hold_for_hours_too),
        cmocka_unit_test(wrong_forecasts_are_refused_in_one_sentence),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
