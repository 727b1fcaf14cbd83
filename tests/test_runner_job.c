/* impinge calc --job: the records of a calculation from a job and the rig and material that it names. The job is the
 * invented example. */
#include "shell.h"
#include "support.h"

#define EXAMPLES IMP_SOURCE_FOLDER "/examples/orchard-store"
#define ORCHARD EXAMPLES "/job.json"
#define POINT "impinge calc rig.operating_point --job " ORCHARD " profile=no "

static double member_number(const cJSON *object, const char *name)
{
    return member(member(object, name), "value")->valuedouble;
}

static double output_of(const char *command, const char *name)
{
    cJSON *json = json_of(command);
    const double number = member_number(member(json, "outputs"), name);
    cJSON_Delete(json);
    return number;
}

static void the_jobs_records_give_the_operating_point_of_the_check(void **state)
{
    (void)state;
    cJSON *calc = json_of(POINT "--format json"), *check = json_of("impinge check " ORCHARD " --format json");
    const cJSON *outputs = member(calc, "outputs"), *point = member(check, "operating_point");
    static const char *const names[] = {"flow", "resin_gun_pressure", "iso_gun_temperature", "drive_pressure",
                                        "hose_heating"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        assert_relative(member_number(outputs, names[i]), member_number(point, names[i]), 1e-14);
    assert_string_equal(member(outputs, "governs")->valuestring, member(point, "governs")->valuestring);
    cJSON_Delete(calc);
    cJSON_Delete(check);
}

static void what_is_written_stands_instead_of_the_jobs(void **state)
{
    (void)state;
    const double as_laid = output_of(POINT "--format json", "resin_gun_pressure");
    assert_true(output_of(POINT "hoses='{\"sections\": 2}' --format json", "resin_gun_pressure") > as_laid + 5.0);
    assert_true(output_of(POINT "set_pressure='80 bar' --format json", "resin_pump_pressure") < 80.0 + 1e-6);
}

static void solving_and_sweeping_take_the_job_too(void **state)
{
    (void)state;
    run_result solved = shell(POINT "--solve-for set_pressure --target resin_gun_pressure='62 bar'");
    char command[1024];
    assert_int_equal(solved.code, 0);
    solved.out[strcspn(solved.out, "\n")] = '\0';
    snprintf(command, sizeof command, POINT "set_pressure='%s' --format json", solved.out);
    assert_relative(output_of(command, "resin_gun_pressure"), 62.0, 1e-6);
    done(&solved);
    run_result swept = shell(POINT "--sweep air_temperature='-10 degC..20 degC/3' --format csv");
    assert_int_equal(swept.code, 0);
    assert_contains(swept.out, "\n20,");
    done(&swept);
}

static void each_question_is_one_line(void **state)
{
    (void)state;
    static const command_case cases[] = {
        {"impinge calc rig.most_sections --job " ORCHARD " | head -1 | tr -d ' '", 0, "sections4\n", NULL},
        {"impinge calc rig.largest_orifice --job " ORCHARD " > /dev/null", 0, "", NULL},
        {"impinge calc rig.lowest_ambient --job " ORCHARD " > /dev/null", 0, "", NULL},
        {"impinge calc rig.heat_up_time --job " ORCHARD " > /dev/null", 0, "", NULL},
        {"impinge calc rig.balancing_temperature balance_at=pump --job " ORCHARD " > /dev/null", 0, "", NULL},
    };
    CHECK_CASES(cases);
}

/* Far too cold, and set far too cold: nothing that one may change is enough, which is one sentence that names it all. */
static void changes_of_which_none_is_enough_are_named_together(void **state)
{
    (void)state;
    run_result result = shell("cp " EXAMPLES "/*.json . && sed -e 's/\"47 degC\"/\"20 degC\"/' -e 's/\"14 degC\"/\"-25 degC\"/' " ORCHARD
                              " > cold.json && impinge check cold.json --format html");
    assert_contains(result.out, "none of these is enough by itself, whatever is set within its range: hose sections, set pressure, ");
    assert_null(strstr(result.out, "no hose sections within"));
    done(&result);
}

static void a_job_that_does_not_serve_is_refused_in_one_sentence(void **state)
{
    (void)state;
    write_file("misspelt.json", "{ \"impinge\": 1, \"kind\": \"job\", \"name\": \"Wrong (invented)\", \"rig\": { \"name\": \"r\" }, "
                                "\"material\": { \"name\": \"m\" }, \"sight\": {} }\n");
    write_file("bare.json", "{ \"impinge\": 1, \"kind\": \"job\", \"name\": \"Bare (invented)\", \"rig\": { \"name\": \"r\" }, "
                            "\"material\": { \"name\": \"m\" } }\n");
    static const command_case cases[] = {
        {"impinge calc climate.dew_point --job " ORCHARD, 3, "", "--job: climate.dew_point asks for no record of a job\n"},
        {"impinge calc rig.most_sections --job none.json", 4, "", "impinge: cannot read \"none.json\": there is no such file (2)\n"},
        {"impinge calc rig.most_sections --job misspelt.json", 4, "", "misspelt.json:1:113: sight: unknown key\n"},
        {"impinge calc rig.most_sections", 3, "", "rig.most_sections: missing rig, material, hoses, settings, site\n"},
    };
    CHECK_CASES(cases);
    run_result bare = shell("impinge calc rig.most_sections --job bare.json");
    assert_int_equal(bare.code, 3);
    assert_contains(bare.err, "material.iso.density");
    assert_contains(bare.err, "settings.pressure");
    done(&bare);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_jobs_records_give_the_operating_point_of_the_check),
        cmocka_unit_test(what_is_written_stands_instead_of_the_jobs),
        cmocka_unit_test(solving_and_sweeping_take_the_job_too),
        cmocka_unit_test(each_question_is_one_line),
        cmocka_unit_test(changes_of_which_none_is_enough_are_named_together),
        cmocka_unit_test(a_job_that_does_not_serve_is_refused_in_one_sentence),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
