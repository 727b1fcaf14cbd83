/* The rig as one system: the independent solution, the limits, conservation, refusals, and what the entry hands out.
 * Over 500 lines: many small cases of one subject. */
#include "rig_sample.h"

#include <cjson/cJSON.h>
#include <stdio.h>
#include <stdlib.h>

#include "argument.h"
#include "gun.h"
#include "heat.h"
#include "pump.h"

static const double nan_value = (double)NAN;

/* ---- against the independent solution, tests/independent/operating_point.py ---- */

static cJSON *read_independent(void)
{
    FILE *file = fopen(IMP_TESTS_FOLDER "/independent/operating_point.json", "rb");
    assert_non_null(file);
    fseek(file, 0, SEEK_END);
    const long length = ftell(file);
    rewind(file);
    char *text = calloc((size_t)length + 1, 1);
    assert_int_equal(fread(text, 1, (size_t)length, file), (size_t)length);
    fclose(file);
    cJSON *document = cJSON_Parse(text);
    free(text);
    assert_non_null(document);
    return document;
}

static void evaluate_inputs(const cJSON *inputs, imp_arena *arena, imp_sheet *sheet, imp_value *out)
{
    const imp_calc *calc = imp_catalogue_find("rig.operating_point");
    const char *names[IMP_MOST_INPUTS];
    char *texts[IMP_MOST_INPUTS];
    size_t count = 0;
    imp_value in[IMP_MOST_INPUTS];
    imp_error error = {.status = IMP_OK};
    for (const cJSON *input = inputs->child; input != NULL; input = input->next, count++) {
        names[count] = input->string;
        texts[count] = cJSON_IsString(input) ? strdup(input->valuestring) : cJSON_PrintUnformatted(input);
    }
    imp_status status = imp_arguments_read(calc, count, names, (const char *const *)texts, arena, in, &error);
    if (status == IMP_OK)
        status = imp_calc_evaluate_in(calc, in, out, sheet, arena, &error);
    if (status != IMP_OK)
        fail_msg("%s: %s", error.place, error.message);
    for (size_t i = 0; i < count; i++)
        free(texts[i]);
}

/* 0.1 % would do for a person; two sound solutions of the same equations agree far better. */
static void compare_rig(const cJSON *rig)
{
    const imp_calc *calc = imp_catalogue_find("rig.operating_point");
    const char *name = cJSON_GetObjectItemCaseSensitive(rig, "name")->valuestring;
    imp_value out[IMP_MOST_OUTPUTS];
    imp_arena arena;
    imp_arena_init(&arena, NULL);
    evaluate_inputs(cJSON_GetObjectItemCaseSensitive(rig, "inputs"), &arena, NULL, out);
    int compared = 0;
    double worst = 0.0;
    const cJSON *expected = NULL;
    cJSON_ArrayForEach(expected, cJSON_GetObjectItemCaseSensitive(rig, "expected"))
    {
        size_t index;
        const imp_param *row = imp_calc_output(calc, expected->string, &index);
        if (row == NULL) {
            assert_contains(expected->string, "note_");
            continue;
        }
        compared++;
        assert_true(out[index].given);
        if (row->kind == IMP_CHOICE) {
            assert_string_equal(row->choices[(int)out[index].number], expected->valuestring);
            continue;
        }
        const double deviation = fabs(out[index].number / expected->valuedouble - 1.0);
        if (!(deviation < 1e-6))
            print_error("%s: %s is %.12g, independently %.12g (SI)\n", name, expected->string, out[index].number, expected->valuedouble);
        assert_true(deviation < 1e-6);
        worst = fmax(worst, deviation);
    }
    print_message("%s: %d values, largest relative deviation %.1e\n", name, compared, worst);
    assert_true(compared > 20);
    imp_arena_free(&arena);
}

static void three_rigs_agree_with_an_independent_solution(void **state)
{
    (void)state;
    cJSON *document = read_independent();
    const cJSON *rigs = cJSON_GetObjectItemCaseSensitive(document, "rigs"), *rig = NULL;
    assert_int_equal(cJSON_GetArraySize(rigs), 3);
    cJSON_ArrayForEach(rig, rigs) compare_rig(rig);
    cJSON_Delete(document);
}

static void the_independent_rigs_are_laminar_in_transition_and_short_of_heat(void **state)
{
    (void)state;
    cJSON *document = read_independent();
    double reynolds[3], share[3];
    for (int i = 0; i < 3; i++) {
        const cJSON *expected = cJSON_GetObjectItemCaseSensitive(cJSON_GetArrayItem(cJSON_GetObjectItemCaseSensitive(document, "rigs"), i), "expected");
        reynolds[i] = cJSON_GetArrayItem(cJSON_GetObjectItemCaseSensitive(expected, "note_resin_hose_reynolds"), 0)->valuedouble;
        share[i] = cJSON_GetObjectItemCaseSensitive(expected, "note_heat_share")->valuedouble;
    }
    assert_true(reynolds[0] < 2000.0 && share[0] < 0.99);
    assert_true(reynolds[1] > 2000.0 && reynolds[1] < 4000.0);
    assert_true(share[2] > 1.0 - 1e-9);
    cJSON_Delete(document);
}

/* ---- what the solution is ---- */

static void the_higher_gauge_shows_the_set_pressure(void **state)
{
    (void)state;
    for (double set = 30e5; set <= 150e5; set += 20e5) {
        imp_rig rig = sample_rig();
        rig.set_pressure = set;
        const imp_rig_result r = solved(&rig);
        assert_int_equal(r.governs, IMP_RIG_SET_PRESSURE);
        assert_relative(fmax(r.side[IMP_ISO].pump_pressure, r.side[IMP_RESIN].pump_pressure), set, 1e-8);
    }
}

static void the_mean_gauge_is_weighted_with_the_pumps_areas(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.gauge = IMP_RIG_MEAN_GAUGE;
    rig.side[IMP_RESIN].pump_area = 7e-4;
    const imp_rig_result r = solved(&rig);
    const double mean = (r.side[IMP_ISO].pump_pressure * 5.5e-4 + r.side[IMP_RESIN].pump_pressure * 7e-4) / 12.5e-4;
    assert_relative(mean, 100e5, 1e-8);
}

static void flows_stand_in_the_ratio_of_the_pumps(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.side[IMP_ISO].displacement = 120e-6;
    rig.side[IMP_RESIN].volumetric_efficiency = 0.9;
    const imp_rig_result r = solved(&rig);
    const double ratio = 120.0 * 0.96 / (90.0 * 0.9);
    assert_relative(r.volume_ratio, ratio, 1e-14);
    assert_relative(r.side[IMP_ISO].flow / r.side[IMP_RESIN].flow, ratio, 1e-12);
    assert_relative(r.side[IMP_ISO].flow + r.side[IMP_RESIN].flow, r.flow, 1e-12);
    double rate;
    assert_int_equal(imp_pump_cycle_rate(r.side[IMP_RESIN].flow, 90e-6, 0.9, &rate, NULL), IMP_OK);
    assert_relative(r.cycle_rate, rate, 1e-12);
}

static void without_pump_data_the_materials_ratio_holds(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.side[IMP_ISO].displacement = nan_value;
    rig.volume_ratio = 2.5;
    const imp_rig_result r = solved(&rig);
    assert_relative(r.side[IMP_ISO].flow / r.side[IMP_RESIN].flow, 2.5, 1e-12);
    assert_true(isnan(r.cycle_rate));
}

static void pump_gauge_is_gun_pressure_plus_what_the_hoses_take(void **state)
{
    (void)state;
    const imp_rig rig = sample_rig();
    const imp_rig_result r = solved(&rig);
    for (int side = 0; side < IMP_SIDES; side++) {
        const imp_rig_side_result *s = &r.side[side];
        double drop;
        assert_int_equal(imp_gun_orifice_pressure(0.95e-3, s->mass_flow / s->gun_density, s->gun_density, 0.75, &drop, NULL), IMP_OK);
        assert_relative(s->gun_pressure, drop, 1e-9);
        assert_relative(s->pump_pressure, s->gun_pressure + s->run.pressure_drop, 1e-9);
        assert_true(s->hose_end_pressure > s->gun_pressure && s->hose_end_pressure < s->pump_pressure);
    }
}

static void energy_from_drum_to_gun_is_conserved_to_nine_digits(void **state)
{
    (void)state;
    const imp_rig rig = sample_rig();
    const imp_rig_result r = solved(&rig);
    for (int side = 0; side < IMP_SIDES; side++) {
        const imp_rig_side_result *s = &r.side[side];
        const double carried = s->mass_flow * rig.side[side].fluid.heat_capacity * (s->gun_temperature - IMP_CELSIUS(22.0));
        const double given = s->heater_power * 0.93 + s->run.heating - s->run.loss + s->run.viscous_heating;
        assert_relative(carried, given, 1e-9);
    }
    assert_relative(r.hose_power, r.side[IMP_ISO].run.heating + r.side[IMP_RESIN].run.heating, 1e-14);
}

static void the_drive_balances_the_forces_of_both_pumps(void **state)
{
    (void)state;
    const imp_rig rig = sample_rig();
    const imp_rig_result r = solved(&rig);
    const imp_pump_drive drive = {.iso_pressure = r.side[IMP_ISO].pump_pressure, .resin_pressure = r.side[IMP_RESIN].pump_pressure, .iso_area = 5.5e-4, .resin_area = 5.5e-4, .drive_area = 11e-4, .efficiency = 1.0};
    double pressure;
    assert_int_equal(imp_pump_drive_pressure(&drive, &pressure, NULL), IMP_OK);
    assert_relative(r.drive_pressure, pressure, 1e-12);
    double iso, resin;
    assert_int_equal(imp_pump_hydraulic_power(drive.iso_pressure, r.side[IMP_ISO].flow, 0.7, &iso, NULL), IMP_OK);
    assert_int_equal(imp_pump_hydraulic_power(drive.resin_pressure, r.side[IMP_RESIN].flow, 0.7, &resin, NULL), IMP_OK);
    assert_relative(r.motor_power, iso + resin, 1e-12);
}

/* The coefficient belongs to the Reynolds number on the theoretical velocity that it makes itself. */
static void a_discharge_coefficient_from_the_length_ratio_satisfies_its_own_law(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.discharge_coefficient = nan_value;
    rig.orifice_length_ratio = 3.5;
    const imp_rig_result r = solved(&rig);
    for (int side = 0; side < IMP_SIDES; side++) {
        const imp_rig_side_result *s = &r.side[side];
        const double theoretical = s->gun_density * sqrt(2.0 * s->gun_pressure / s->gun_density) * 0.95e-3 / s->gun_viscosity;
        double coefficient;
        assert_int_equal(imp_gun_discharge_coefficient(theoretical, 3.5, &coefficient, NULL), IMP_OK);
        assert_relative(s->discharge_coefficient, coefficient, 1e-9);
    }
    assert_false(r.outside_orifice_range);
}

static void a_chamber_with_two_orifices_a_side_shares_the_flow(void **state)
{
    (void)state;
    imp_rig one = sample_rig(), two = sample_rig();
    for (int side = 0; side < IMP_SIDES; side++) {
        two.side[side].orifice_count = 2.0;
        two.side[side].orifice /= sqrt(2.0);
    }
    assert_relative(solved(&two).flow, solved(&one).flow, 1e-9);
}

static void a_weak_heater_leaves_the_liquid_colder_by_its_power(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.side[IMP_RESIN].heater_power = 2000.0;
    const imp_rig_result r = solved(&rig);
    const imp_rig_side_result *s = &r.side[IMP_RESIN];
    const double power = 2000.0 * (395.0 / 400.0) * (395.0 / 400.0);
    assert_relative(s->heater_power, power, 1e-12);
    double rise;
    assert_true(s->heater_margin < 0.0);
    rise = power * 0.93 / (s->mass_flow * 1890.0);
    assert_relative(s->heater_temperature - IMP_CELSIUS(22.0), rise, 1e-9);
    assert_relative(s->heater_margin, power - s->mass_flow * 1890.0 * 24.0 / 0.93, 1e-9);
}

/* A material as warm as it is set needs no heater. */
static void a_warm_drum_needs_no_heater(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.drum_temperature = IMP_CELSIUS(50.0);
    const imp_rig_result r = solved(&rig);
    assert_close(r.side[IMP_ISO].heater_power, 0.0, 0.0);
    assert_close(r.side[IMP_ISO].heater_temperature, IMP_CELSIUS(50.0), 1e-9);
}

/* Cylinder insulation: the pair's loss is that of heat.hose_loss, which has its own published cases. */
static void insulation_stands_in_for_a_loss_coefficient(void **state)
{
    (void)state;
    imp_rig insulated = sample_rig(), plain = sample_rig();
    insulated.loss_coefficient = nan_value;
    insulated.insulation_inner = 0.03;
    insulated.insulation_outer = 0.055;
    insulated.insulation_conductivity = 0.04;
    insulated.wind_speed = 3.0;
    imp_heat_loss loss;
    assert_int_equal(imp_heat_hose_loss(0.03, 0.055, 0.04, IMP_CELSIUS(46.5), IMP_CELSIUS(12.0), 3.0, 0.9, &loss, NULL), IMP_OK);
    plain.loss_coefficient = loss.loss_coefficient;
    assert_close(solved(&insulated).side[IMP_ISO].gun_temperature, solved(&plain).side[IMP_ISO].gun_temperature, 1e-12);
}

static void an_unheated_rig_is_told_as_off(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.section_resistance = nan_value;
    const imp_rig_result r = solved(&rig);
    assert_int_equal(r.heat, IMP_HOSE_HEAT_OFF);
    assert_close(r.hose_power, 0.0, 0.0);
    assert_true(r.side[IMP_RESIN].gun_temperature < IMP_CELSIUS(46.0));
}

/* ---- limits ---- */

static void each_limit_governs_where_it_is_reached_first(void **state)
{
    (void)state;
    for (int limit = IMP_RIG_DRIVE_PRESSURE; limit < IMP_RIG_LIMITS; limit++) {
        imp_rig rig = sample_rig();
        const imp_rig_result before = solved(&rig);
        double *const limits[] = {NULL, &rig.drive_pressure_limit, &rig.motor_power, &rig.oil_flow, &rig.fluid_pressure_limit};
        *limits[limit] *= 0.8 * before.used[limit];
        const imp_rig_result r = solved(&rig);
        assert_int_equal(r.governs, limit);
        assert_relative(r.used[limit], 1.0, 1e-8);
        assert_true(r.flow < before.flow && r.set_gauge < 100e5);
        for (int other = 0; other < IMP_RIG_LIMITS; other++)
            assert_true(r.used[other] <= 1.0 + 1e-8);
    }
}

static void unknown_limits_do_not_count(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.motor_power = rig.drive_pressure_limit = rig.drive_area = rig.oil_flow = rig.fluid_pressure_limit = nan_value;
    const imp_rig_result r = solved(&rig), whole = (rig = sample_rig(), solved(&rig));
    assert_relative(r.flow, whole.flow, 1e-12);
    assert_true(isnan(r.used[IMP_RIG_DRIVE_PRESSURE]) && isnan(r.drive_pressure));
}

/* The hose that leads down stands under the set pressure and the column below the rig. */
static void the_highest_pressure_counts_still_liquid_at_the_bottom(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.rise = -40.0;
    const imp_rig_result r = solved(&rig);
    const double density = 1230.0 / (1.0 + 7e-4 * -3.0);
    assert_relative(r.side[IMP_ISO].highest_pressure, 100e5 + density * 9.80665 * 40.0, 1e-9);
    assert_relative(r.side[IMP_ISO].rating_margin, 150e5 - r.side[IMP_ISO].highest_pressure, 1e-9);
}

/* ---- along the hoses ---- */

static void the_profile_leads_from_pump_to_gun(void **state)
{
    (void)state;
    const imp_rig rig = sample_rig();
    imp_hose_point points[IMP_SIDES][256];
    imp_hose_trace traces[IMP_SIDES] = {{.points = points[0], .capacity = 256}, {.points = points[1], .capacity = 256}};
    imp_rig_result r;
    assert_int_equal(imp_rig_operating_point(&rig, traces, &r, NULL), IMP_OK);
    for (int side = 0; side < IMP_SIDES; side++) {
        const imp_hose_point *last = &points[side][traces[side].count - 1];
        assert_true(traces[side].count > 40);
        assert_relative(points[side][0].pressure, r.side[side].pump_pressure, 1e-12);
        assert_close(points[side][0].temperature, r.side[side].heater_temperature, 1e-9);
        assert_close(last->position, 63.0, 1e-9);
        assert_relative(last->pressure, r.side[side].gun_pressure, 1e-8);
        assert_close(last->temperature, r.side[side].gun_temperature, 1e-9);
    }
}

/* ---- refusals: one sentence each ---- */

static void refuse(const imp_rig *rig, imp_status status, const char *place, const char *reason)
{
    imp_rig_result result, untouched;
    imp_error error = {.status = IMP_OK};
    memset(&result, 0x5a, sizeof result);
    memcpy(&untouched, &result, sizeof result);
    const imp_status got = imp_rig_operating_point(rig, NULL, &result, &error);
    if (got != status || strcmp(error.place, place) != 0)
        print_error("%s: %s: %s\n", imp_status_text(got), error.place, error.message);
    assert_int_equal(got, status);
    assert_string_equal(error.place, place);
    assert_contains(error.message, reason);
    assert_memory_equal(&result, &untouched, sizeof result);
}

static void nonsense_rigs_are_refused_in_one_sentence(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.side[IMP_ISO].hose_bore = 0.0;
    refuse(&rig, IMP_RANGE, "rig.hose.iso_bore", "0 mm is not above 0 mm");
    rig = sample_rig();
    rig.side[IMP_RESIN].heater_power = -3000.0;
    refuse(&rig, IMP_RANGE, "rig.heaters.resin.power", "-3 kW is not above 0 kW");
    rig = sample_rig();
    rig.side[IMP_RESIN].orifice = 0.007;
    refuse(&rig, IMP_RANGE, "rig.gun.resin_orifice", "7 mm is not smaller than the whip hose's bore of 6.4 mm before it");
    rig = sample_rig();
    rig.whip_fitted = 0.0;
    rig.side[IMP_RESIN].orifice = 0.0096;
    refuse(&rig, IMP_RANGE, "rig.gun.resin_orifice", "9.6 mm is not smaller than the hose's bore of 9.6 mm before it");
    rig = sample_rig();
    rig.side[IMP_ISO].fluid.points[2].viscosity = 3.0;
    refuse(&rig, IMP_NOT_APPLICABLE, "material.iso.viscosity", "a liquid's falls as it warms");
    rig = sample_rig();
    rig.sensor_position = 61.0;
    refuse(&rig, IMP_RANGE, "rig.hose.sensor_position", "61 m is beyond the end of the heated hose, 60 m with hoses.sections of 4");
    rig.sensor_position = 60.0;
    assert_true(solved(&rig).flow > 0.0);
    rig = sample_rig();
    rig.sections = 2.5;
    refuse(&rig, IMP_RANGE, "hoses.sections", "2.5 is not a whole number");
    rig = sample_rig();
    rig.roughness = 0.0004;
    refuse(&rig, IMP_RANGE, "rig.hose.roughness", "0.4 mm is more than 5 % of the iso bore of 6.4 mm");
    rig = sample_rig();
    rig.set_pressure = (double)INFINITY;
    refuse(&rig, IMP_RANGE, "settings.pressure", "not a finite number");
    rig = sample_rig();
    rig.discharge_coefficient = nan_value;
    rig.orifice_length_ratio = 40.0;
    refuse(&rig, IMP_RANGE, "rig.gun.orifice: length_ratio", "40 is above 10");
}

static void everything_that_is_missing_is_named_at_once(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.set_pressure = rig.side[IMP_ISO].orifice = rig.loss_coefficient = nan_value;
    rig.side[IMP_RESIN].fluid.count = 0;
    refuse(&rig, IMP_MISSING, "", "missing rig.gun.iso_orifice, settings.pressure, material.resin.viscosity, rig.hose.loss_coefficient (or all of rig.hose.insulation)");
    rig = sample_rig();
    rig.whip_length = nan_value;
    refuse(&rig, IMP_MISSING, "", "missing rig.whip.length (or hoses.whip false)");
    rig.whip_fitted = 0.0;
    assert_true(solved(&rig).flow > 0.0);
    rig = sample_rig();
    rig.drive_efficiency = nan_value;
    refuse(&rig, IMP_MISSING, "", "missing rig.drive.efficiency");
    rig.motor_power = nan_value; /* nothing to judge by it */
    assert_true(isnan(solved(&rig).motor_power));
    rig = sample_rig();
    rig.whip_heated = 1.0;
    refuse(&rig, IMP_MISSING, "", "missing rig.whip.resistance");
    rig.whip_fitted = 0.0;
    assert_true(solved(&rig).flow > 0.0);
    imp_rig_init(&rig);
    refuse(&rig, IMP_MISSING, "", "missing material.iso.density, material.resin.density, ");
}

static void a_column_too_high_says_which_limit_and_by_how_much(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.set_pressure = 10e5;
    rig.rise = 100.0;
    /* 1241 kg/m^3 at 12 degC, 9.80665 m/s^2, 100 m: 12.17 bar */
    refuse(&rig, IMP_NO_SOLUTION, "hoses.rise", "needs 12.17 bar at the pump before anything flows, 2.173 bar more than the set pressure allows");
    rig.set_pressure = 100e5;
    rig.drive_pressure_limit = 8e5;
    refuse(&rig, IMP_NO_SOLUTION, "hoses.rise", "the drive's pressure limit allows");
}

static void a_liquid_too_cold_for_its_data_says_so(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    for (int i = 0; i < 3; i++) {
        static const double thick[] = {60.0, 6.0, 1.2};
        rig.side[IMP_RESIN].fluid.points[i].viscosity = thick[i];
    }
    rig.drum_temperature = IMP_CELSIUS(-40.0);
    rig.side[IMP_RESIN].set_temperature = IMP_CELSIUS(-20.0);
    rig.section_resistance = nan_value;
    refuse(&rig, IMP_NOT_APPLICABLE, "temperature", "too far outside the viscosity points");
}

static void a_hose_too_long_for_a_thick_liquid_says_what_it_would_take(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    for (int i = 0; i < 3; i++)
        rig.side[IMP_RESIN].fluid.points[i].viscosity *= 300.0;
    rig.section_length = 120.0;
    rig.side[IMP_RESIN].hose_bore = 0.004;
    refuse(&rig, IMP_NO_SOLUTION, "", "times what the set pressure allows; the liquid is too thick or the hose too long");
}

/* Rigs from the whole of the rows' ranges, of any nonsense: an answer that satisfies every limit, or a sentence. */
static void any_rig_gives_an_answer_or_a_sentence(void **state)
{
    (void)state;
    uint64_t seed = 7;
    int answers = 0;
    for (int i = 0; i < 400; i++) {
        imp_rig rig = sample_rig();
        double *const numbers[] = {&rig.set_pressure, &rig.rise, &rig.section_length, &rig.loss_coefficient, &rig.side[0].hose_bore, &rig.side[1].hose_bore, &rig.side[0].orifice,
                                   &rig.side[1].orifice, &rig.motor_power, &rig.drive_pressure_limit, &rig.side[0].displacement, &rig.current_limit, &rig.side[1].heater_power, &rig.oil_flow};
        for (size_t k = 0; k < sizeof numbers / sizeof numbers[0]; k++) {
            seed = seed * 6364136223846793005u + 1442695040888963407u;
            *numbers[k] *= pow(10.0, 1.6 * ((double)(seed >> 33) / 2147483648.0 - 0.5));
        }
        imp_rig_result r;
        imp_error error = {.status = IMP_OK};
        const imp_status status = imp_rig_operating_point(&rig, NULL, &r, &error);
        assert_int_not_equal(status, IMP_INTERNAL);
        if (status != IMP_OK) {
            assert_true(strlen(error.message) > 8);
            continue;
        }
        answers++;
        assert_true(isfinite(r.flow) && r.flow > 0.0);
        assert_relative(r.used[r.governs], 1.0, 1e-6);
        for (int limit = 0; limit < IMP_RIG_LIMITS; limit++)
            assert_true(isnan(r.used[limit]) || r.used[limit] <= 1.0 + 1e-6);
    }
    print_message("%d of 400 rigs have an operating point\n", answers);
    assert_true(answers > 200);
}

/* ---- the entry ---- */

static void the_sheet_shows_balances_numbers_and_source(void **state)
{
    (void)state;
    cJSON *document = read_independent();
    imp_value out[IMP_MOST_OUTPUTS];
    imp_arena arena;
    imp_sheet sheet;
    imp_arena_init(&arena, NULL);
    imp_sheet_init(&sheet, NULL);
    evaluate_inputs(cJSON_GetObjectItemCaseSensitive(cJSON_GetArrayItem(cJSON_GetObjectItemCaseSensitive(document, "rigs"), 0), "inputs"), &arena, &sheet, out);
    const char *const symbols[] = {"r", "Q_iso", "m_resin", "dp_iso", "dp_g_resin", "p_iso", "Tg_resin", "u"};
    for (size_t i = 0; i < sizeof symbols / sizeof symbols[0]; i++) {
        bool found = false;
        for (size_t k = 0; k < sheet.count; k++)
            found = found || (sheet.lines[k].role == IMP_SHEET_STEP && sheet.lines[k].symbol != NULL && strcmp(sheet.lines[k].symbol, symbols[i]) == 0 && sheet.lines[k].formula != NULL);
        if (!found)
            print_error("no step shows %s\n", symbols[i]);
        assert_true(found);
    }
    assert_false(sheet.failed);
    imp_sheet_free(&sheet);
    imp_arena_free(&arena);
    cJSON_Delete(document);
}

static void profiles_are_handed_out_as_tables(void **state)
{
    (void)state;
    cJSON *document = read_independent();
    imp_value out[IMP_MOST_OUTPUTS];
    imp_arena arena;
    size_t profile, pump, gun;
    const imp_calc *calc = imp_catalogue_find("rig.operating_point");
    imp_arena_init(&arena, NULL);
    evaluate_inputs(cJSON_GetObjectItemCaseSensitive(cJSON_GetArrayItem(cJSON_GetObjectItemCaseSensitive(document, "rigs"), 0), "inputs"), &arena, NULL, out);
    const imp_param *row = imp_calc_output(calc, "resin_profile", &profile);
    assert_non_null(row);
    assert_non_null(imp_calc_output(calc, "resin_pump_pressure", &pump));
    assert_non_null(imp_calc_output(calc, "resin_gun_pressure", &gun));
    const size_t fields = 7;
    const size_t pressure = (size_t)(imp_param_find(row->rows, "pressure") - row->rows);
    assert_true(out[profile].given && out[profile].count > 40);
    assert_relative(out[profile].items[pressure].number, out[pump].number, 1e-9);
    assert_relative(out[profile].items[(out[profile].count - 1) * fields + pressure].number, out[gun].number, 1e-8);
    imp_arena_free(&arena);
    cJSON_Delete(document);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(three_rigs_agree_with_an_independent_solution),
        cmocka_unit_test(the_independent_rigs_are_laminar_in_transition_and_short_of_heat),
        cmocka_unit_test(the_higher_gauge_shows_the_set_pressure),
        cmocka_unit_test(the_mean_gauge_is_weighted_with_the_pumps_areas),
        cmocka_unit_test(flows_stand_in_the_ratio_of_the_pumps),
        cmocka_unit_test(without_pump_data_the_materials_ratio_holds),
        cmocka_unit_test(pump_gauge_is_gun_pressure_plus_what_the_hoses_take),
        cmocka_unit_test(energy_from_drum_to_gun_is_conserved_to_nine_digits),
        cmocka_unit_test(the_drive_balances_the_forces_of_both_pumps),
        cmocka_unit_test(a_discharge_coefficient_from_the_length_ratio_satisfies_its_own_law),
        cmocka_unit_test(a_chamber_with_two_orifices_a_side_shares_the_flow),
        cmocka_unit_test(a_weak_heater_leaves_the_liquid_colder_by_its_power),
        cmocka_unit_test(a_warm_drum_needs_no_heater),
        cmocka_unit_test(insulation_stands_in_for_a_loss_coefficient),
        cmocka_unit_test(an_unheated_rig_is_told_as_off),
        cmocka_unit_test(each_limit_governs_where_it_is_reached_first),
        cmocka_unit_test(unknown_limits_do_not_count),
        cmocka_unit_test(the_highest_pressure_counts_still_liquid_at_the_bottom),
        cmocka_unit_test(the_profile_leads_from_pump_to_gun),
        cmocka_unit_test(nonsense_rigs_are_refused_in_one_sentence),
        cmocka_unit_test(everything_that_is_missing_is_named_at_once),
        cmocka_unit_test(a_column_too_high_says_which_limit_and_by_how_much),
        cmocka_unit_test(a_liquid_too_cold_for_its_data_says_so),
        cmocka_unit_test(a_hose_too_long_for_a_thick_liquid_says_what_it_would_take),
        cmocka_unit_test(any_rig_gives_an_answer_or_a_sentence),
        cmocka_unit_test(the_sheet_shows_balances_numbers_and_source),
        cmocka_unit_test(profiles_are_handed_out_as_tables),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
