/* The rig's and the hoses' entries with records as a script or the command gives them: too many points or taps, a supply of
 * one phase, and each question asked in each of its ways. */
#include "support.h"

#include <stdio.h>
#include <stdlib.h>

#include "impinge.h"

enum { TEXT = 8192 };

/* The parts of an invented rig that a test may replace. */
typedef struct parts {
    const char *hose, *gun, *iso_viscosity, *resin_viscosity, *supply, *rig_more;
} parts;

#define VISCOSITY(cool, warm)                                                                                          \
    "[{\"temperature\":\"20 degC\",\"viscosity\":\"" cool " mPa s\"},{\"temperature\":\"50 degC\",\"viscosity\":\"" warm " mPa s\"}]"

static const parts usual = {.hose = "",
                            .gun = "\"discharge_coefficient\":0.75",
                            .iso_viscosity = VISCOSITY("290", "65"),
                            .resin_viscosity = VISCOSITY("700", "150"),
                            .supply = "{}",
                            .rig_more = ""};

static const char *const rig_questions[] = {"rig.operating_point", "rig.most_sections", "rig.largest_orifice", "rig.lowest_ambient",
                                            "rig.balancing_temperature", "rig.heat_up_time"};
enum { QUESTIONS = sizeof rig_questions / sizeof rig_questions[0] };

/* more: further inputs, "name", "text", ..., NULL; may be NULL. */
static imp_status ask(const char *id, const parts *of, const char *const *more, imp_value *out, imp_error *error)
{
    static char rig[TEXT], material[2 * TEXT];
    snprintf(rig, sizeof rig,
             "{\"hose\":{\"section_length\":\"15 m\",\"iso_bore\":\"9.6 mm\",\"resin_bore\":\"9.6 mm\",\"loss_coefficient\":\"0.6 W/(m K)\"%s},"
             "\"gun\":{\"iso_orifice\":\"1 mm\",\"resin_orifice\":\"1 mm\",%s}%s}", of->hose, of->gun, of->rig_more);
    snprintf(material, sizeof material,
             "{\"volume_ratio\":1,\"drum_volume\":\"200 L\",\"iso\":{\"density\":\"1230 kg/m^3\",\"heat_capacity\":\"1.6 kJ/(kg K)\",\"viscosity\":%s},"
             "\"resin\":{\"density\":\"1150 kg/m^3\",\"heat_capacity\":\"1.9 kJ/(kg K)\",\"viscosity\":%s}}", of->iso_viscosity, of->resin_viscosity);
    const char *names[16] = {"rig", "material", "hoses", "settings", "site", "supply"};
    const char *texts[16] = {rig, material, "{\"sections\":3,\"whip\":false}",
                             "{\"iso_temperature\":\"45 degC\",\"resin_temperature\":\"45 degC\",\"pressure\":\"90 bar\"}", "{\"air_temperature\":\"15 degC\"}",
                             of->supply};
    size_t count = 6;
    for (; more != NULL && *more != NULL; more += 2, count++) {
        names[count] = more[0];
        texts[count] = more[1];
    }
    const imp_calc *calc = imp_catalogue_find(id);
    imp_value in[IMP_MOST_INPUTS];
    imp_arena arena;
    assert_non_null(calc);
    imp_arena_init(&arena, NULL);
    *error = (imp_error){.status = IMP_OK};
    imp_status status = imp_arguments_read(calc, count, names, texts, &arena, in, error);
    if (status == IMP_OK)
        status = imp_calc_evaluate_in(calc, in, out, NULL, &arena, error);
    imp_arena_free(&arena);
    return status;
}
#define MORE(...) ((const char *const[]){__VA_ARGS__, NULL})

static double answer(const char *id, const parts *of, const char *const *more, const char *output)
{
    imp_value out[IMP_MOST_OUTPUTS];
    imp_error error;
    size_t index = 0;
    if (ask(id, of, more, out, &error) != IMP_OK)
        fail_msg("%s: %s: %s", id, error.place, error.message);
    assert_non_null(imp_calc_output(imp_catalogue_find(id), output, &index));
    return out[index].given ? out[index].number : (double)NAN;
}

static void expect(const char *id, const parts *of, const char *const *more, imp_status status, const char *place, const char *message)
{
    imp_value out[IMP_MOST_OUTPUTS];
    imp_error error;
    const imp_status found = ask(id, of, more, out, &error);
    if (found != status || strstr(error.place, place) == NULL || strstr(error.message, message) == NULL)
        fail_msg("%s: status %d, %s: %s (expected %s: %s)", id, (int)found, error.place, error.message, place, message);
}

static void every_question_refuses_more_taps_or_points_than_can_be_kept(void **state)
{
    (void)state;
    static char taps[2048], points[4096];
    strcpy(taps, ",\"taps\":[\"10 V\"");
    for (int i = 0; i < IMP_RIG_MOST_TAPS; i++)
        strcat(taps, ",\"10 V\"");
    strcat(taps, "]");
    strcpy(points, "[");
    for (int i = 0; i < IMP_FLUID_POINTS + 1; i++)
        sprintf(points + strlen(points), "%s{\"temperature\":\"%d degC\",\"viscosity\":\"%d mPa s\"}", i > 0 ? "," : "", 10 + 2 * i, 900 - 30 * i);
    strcat(points, "]");
    for (size_t i = 0; i < QUESTIONS; i++) {
        parts of = usual;
        of.hose = taps;
        expect(rig_questions[i], &of, NULL, IMP_LIMIT, "rig.hose.taps", "more than 32 taps");
        of = usual;
        of.iso_viscosity = points;
        expect(rig_questions[i], &of, NULL, IMP_LIMIT, "material.iso.viscosity", "17 points; at most 16 can be fitted");
        of = usual;
        of.resin_viscosity = points;
        expect(rig_questions[i], &of, NULL, IMP_LIMIT, "material.resin.viscosity", "17 points; at most 16 can be fitted");
    }
}

static void every_question_names_what_its_rig_lacks(void **state)
{
    (void)state;
    for (size_t i = 0; i < QUESTIONS; i++) {
        const char *const *more = i > 0 && i < 4 ? MORE("least_pressure", "60 bar") : NULL;
        parts of = usual;
        of.gun = "\"discharge_coefficient\":null";
        expect(rig_questions[i], &of, NULL, IMP_TYPE, "discharge_coefficient", "");
        of = usual;
        of.gun = "\"rated_pressure\":\"200 bar\"";
        expect(rig_questions[i], &of, more, IMP_MISSING, "", "missing rig.gun.discharge_coefficient");
        of = usual;
        of.iso_viscosity = VISCOSITY("100", "200");
        expect(rig_questions[i], &of, more, i == 5 ? IMP_OK : IMP_NOT_APPLICABLE,
               i == 5 ? "" : "material.iso.viscosity", i == 5 ? "" : "falls as it warms");
    }
}

static void a_least_flow_is_met_and_not_exceeded_by_one_section_more(void **state)
{
    (void)state;
    const double sections = answer("rig.most_sections", &usual, MORE("least_flow", "3 L/min"), "sections");
    assert_true(sections >= 1.0);
    assert_true(answer("rig.most_sections", &usual, MORE("least_flow", "3 L/min"), "flow") >= 3e-3 / 60.0);
    assert_true(answer("rig.most_sections", &usual, MORE("least_flow", "2 L/min"), "sections") >= sections);
    expect("rig.largest_orifice", &usual, MORE("least_flow", "3 L/min"), IMP_NOT_APPLICABLE, "", "a wider orifice only adds flow");
}

static void pressures_balance_at_the_pump_or_at_the_gun_or_it_is_said_that_none_does(void **state)
{
    (void)state;
    const double iso = answer("rig.balancing_temperature", &usual, MORE("balance_at", "pump"), "iso_balanced_pressure"),
                 resin = answer("rig.balancing_temperature", &usual, MORE("balance_at", "pump"), "resin_balanced_pressure");
    assert_true(isfinite(iso) || isfinite(resin));
    expect("rig.balancing_temperature", &usual, MORE("balance_at", "gun"), IMP_NO_SOLUTION, "", "the orifices decide");
    parts by_law = usual;
    by_law.gun = "\"orifice_length_ratio\":2";
    assert_true(isfinite(answer("rig.balancing_temperature", &by_law, MORE("balance_at", "gun"), "iso_temperature")) ||
                isfinite(answer("rig.balancing_temperature", &by_law, MORE("balance_at", "gun"), "resin_temperature")));
}

#define HEATERS ",\"heaters\":{\"iso\":{\"power\":\"6 kW\",\"rated_voltage\":\"230 V\"},\"resin\":{\"power\":\"6 kW\",\"rated_voltage\":\"230 V\"}}"

static void heating_up_counts_the_heaters_and_what_the_supply_gives(void **state)
{
    (void)state;
    parts of = usual;
    of.rig_more = HEATERS;
    const double quick = answer("rig.heat_up_time", &of, MORE("heater_heat_capacity", "20 kJ/K"), "heater_time");
    assert_true(quick > 0.0);
    assert_true(isnan(answer("rig.heat_up_time", &of, MORE("heater_heat_capacity", "20 kJ/K"), "power_available")));
    const double slow = answer("rig.heat_up_time", &of, MORE("heater_heat_capacity", "20 kJ/K", "available_power", "3 kW"), "heater_time");
    assert_relative(slow, 4.0 * quick, 1e-9); /* a quarter of the 12 kW, and nothing is lost */
    assert_true(answer("rig.heat_up_time", &of, NULL, "time") == 0.0); /* heaters without a capacity take none */
    assert_true(answer("rig.heat_up_time", &of, NULL, "share") == 1.0);
}

/* 230 V from one phase is what the heater is rated for; 400 V between lines gives it 400/sqrt(3). */
static void a_supply_of_one_phase_is_taken_as_it_is(void **state)
{
    (void)state;
    parts of = usual;
    of.rig_more = HEATERS;
    of.supply = "{\"voltage\":\"230 V\",\"phases\":1}";
    const double one = answer("rig.heat_up_time", &of, MORE("heater_heat_capacity", "20 kJ/K"), "power_wanted");
    assert_relative(one, 12e3, 1e-12);
    of.supply = "{\"voltage\":\"400 V\",\"phases\":3}";
    const double three = answer("rig.heat_up_time", &of, MORE("heater_heat_capacity", "20 kJ/K"), "power_wanted");
    assert_relative(three, 12e3 * pow(400.0 / sqrt(3.0) / 230.0, 2.0), 1e-12);
    /* between the lines of a split phase: half of it to the neutral (NEC 120/240 V) */
    of.supply = "{\"voltage\":\"460 V\",\"phases\":1}";
    assert_relative(answer("rig.heat_up_time", &of, MORE("heater_heat_capacity", "20 kJ/K"), "power_wanted"), 12e3, 1e-12);
}

static void records_that_are_given_in_part_leave_the_rest_unknown(void **state)
{
    (void)state;
    imp_value out[IMP_MOST_OUTPUTS];
    imp_error error;
    const imp_calc *calc = imp_catalogue_find("rig.operating_point");
    const char *names[] = {"rig", "material"}, *texts[] = {"{}", "{}"};
    imp_value in[IMP_MOST_INPUTS];
    imp_arena arena;
    imp_arena_init(&arena, NULL);
    assert_int_equal(imp_arguments_read(calc, 2, names, texts, &arena, in, &error), IMP_OK);
    assert_int_equal(imp_calc_evaluate_in(calc, in, out, NULL, &arena, &error), IMP_MISSING);
    assert_contains(error.message, "missing ");
    imp_arena_free(&arena);
}

#define LIQUID(more)                                                                                                   \
    "{\"density\":\"1150 kg/m^3\",\"heat_capacity\":\"1.9 kJ/(kg K)\",\"viscosity\":" VISCOSITY("700", "150") more "}"

static double end_of_hose(const char *fluid, const char *section, const char *output)
{
    const imp_calc *calc = imp_catalogue_find("hose.run");
    const char *names[] = {"fluid", "sections", "flow", "inlet_temperature", "inlet_pressure", "ambient_temperature"};
    const char *texts[] = {fluid, section, "2.5 L/min", "45 degC", "90 bar", "5 degC"};
    imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
    imp_arena arena;
    imp_error error;
    size_t index = 0;
    imp_arena_init(&arena, NULL);
    if (imp_arguments_read(calc, 6, names, texts, &arena, in, &error) != IMP_OK || imp_calc_evaluate_in(calc, in, out, NULL, &arena, &error) != IMP_OK)
        fail_msg("%s: %s", error.place, error.message);
    assert_non_null(imp_calc_output(calc, output, &index));
    imp_arena_free(&arena);
    return out[index].given ? out[index].number : (double)NAN;
}

static void a_liquid_expands_only_where_it_is_known_from_which_temperature(void **state)
{
    (void)state;
    static const char section[] = "[{\"bore\":\"9.6 mm\",\"length\":\"15 m\",\"loss_coefficient\":\"0.3 W/(m K)\"}]";
    const double fixed = end_of_hose(LIQUID(""), section, "mass_flow");
    assert_relative(fixed, 1150.0 * 2.5e-3 / 60.0, 1e-12);
    assert_relative(end_of_hose(LIQUID(",\"expansion\":\"7e-4 1/K\""), section, "mass_flow"), fixed, 1e-12);
    assert_relative(end_of_hose(LIQUID(",\"reference_temperature\":\"25 degC\""), section, "mass_flow"), fixed, 1e-12);
    assert_relative(end_of_hose(LIQUID(",\"expansion\":\"7e-4 1/K\",\"reference_temperature\":\"25 degC\""), section, "mass_flow"),
                    fixed / (1.0 + 7e-4 * 20.0), 1e-12);
}

static void a_rated_section_has_a_margin_and_one_without_has_none(void **state)
{
    (void)state;
    assert_true(isnan(end_of_hose(LIQUID(""), "[{\"bore\":\"9.6 mm\",\"length\":\"15 m\"}]", "pressure_margin")));
    assert_close(end_of_hose(LIQUID(""), "[{\"bore\":\"9.6 mm\",\"length\":\"15 m\",\"rated_pressure\":\"100 bar\"}]", "pressure_margin"), 10e5, 1.0);
}

static void both_hoses_of_a_jacket_have_the_same_sections(void **state)
{
    (void)state;
    imp_fluid fluid = {.count = 2, .density = 1150.0, .heat_capacity = 1900.0, .points = {{293.15, 0.7}, {323.15, 0.15}}};
    imp_hose_section sections[2] = {{.bore = 0.0096, .length = 15.0, .loss_coefficient = 0.3, .rated_pressure = (double)NAN},
                                    {.bore = 0.0096, .length = 15.0, .loss_coefficient = 0.3, .rated_pressure = (double)NAN}};
    imp_hose_control control = {.side = IMP_ISO, .position = 5.0, .set_temperature = 320.0};
    imp_hose_pair pair = {.control = &control};
    imp_hose_pair_result result;
    imp_error error;
    fluid.reference_temperature = 293.15;
    assert_int_equal(imp_fluid_fit(&fluid, NULL), IMP_OK);
    for (int side = 0; side < IMP_SIDES; side++)
        pair.run[side] = (imp_hose_run){.fluid = &fluid, .sections = sections, .section_count = 2, .flow = 4e-5, .inlet_temperature = 318.0,
                                        .inlet_pressure = 9e6, .ambient_temperature = 283.0};
    assert_int_equal(imp_hose_pair_march(&pair, NULL, &result, &error), IMP_OK);
    pair.run[IMP_RESIN].section_count = 1;
    assert_int_equal(imp_hose_pair_march(&pair, NULL, &result, &error), IMP_RANGE);
    assert_string_equal(error.place, "resin.sections");
    assert_contains(error.message, "1 sections where the iso hose has 2; both lie in one jacket");
    pair.run[IMP_RESIN].section_count = 2;
    control.position = -1.0;
    assert_int_equal(imp_hose_pair_march(&pair, NULL, &result, &error), IMP_RANGE);
    assert_string_equal(error.place, "control.position");
    control.position = 5.0;
    control.set_temperature = 5000.0;
    assert_int_equal(imp_hose_pair_march(&pair, NULL, &result, &error), IMP_RANGE);
    assert_string_equal(error.place, "control.set_temperature");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_question_refuses_more_taps_or_points_than_can_be_kept),
        cmocka_unit_test(every_question_names_what_its_rig_lacks),
        cmocka_unit_test(a_least_flow_is_met_and_not_exceeded_by_one_section_more),
        cmocka_unit_test(pressures_balance_at_the_pump_or_at_the_gun_or_it_is_said_that_none_does),
        cmocka_unit_test(heating_up_counts_the_heaters_and_what_the_supply_gives),
        cmocka_unit_test(a_supply_of_one_phase_is_taken_as_it_is),
        cmocka_unit_test(records_that_are_given_in_part_leave_the_rest_unknown),
        cmocka_unit_test(a_liquid_expands_only_where_it_is_known_from_which_temperature),
        cmocka_unit_test(a_rated_section_has_a_margin_and_one_without_has_none),
        cmocka_unit_test(both_hoses_of_a_jacket_have_the_same_sections),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
