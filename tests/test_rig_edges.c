/* The rig with single things missing, switched off or beyond their limits: what is named, and what is answered all the same. */
#include "rig_sample.h"

#include <stdio.h>

static const double nan_value = (double)NAN;

static void assert_refused(const imp_rig *rig, imp_status status, const char *place, const char *message)
{
    imp_rig_result result;
    imp_error error = {.status = IMP_OK};
    const imp_status found = imp_rig_operating_point(rig, NULL, &result, &error);
    if (found != status || strstr(error.place, place) == NULL || strstr(error.message, message) == NULL)
        fail_msg("status %d, %s: %s (expected %s: %s)", (int)found, error.place, error.message, place, message);
    /* whether somebody wants the sentence or not */
    assert_int_equal(imp_rig_operating_point(rig, NULL, &result, NULL), status);
}

static void what_a_heated_hose_cannot_do_without_is_named(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.tap_count = 0;
    assert_refused(&rig, IMP_MISSING, "", "missing rig.hose.taps");
    rig = sample_rig();
    rig.current_limit = nan_value;
    assert_refused(&rig, IMP_MISSING, "", "missing rig.hose.current_limit");
    rig = sample_rig();
    rig.hose_temperature = nan_value;
    assert_refused(&rig, IMP_MISSING, "", "missing settings.hose_temperature (or settings.hose_current)");
    rig.hose_current = 20.0; /* the other way to set it */
    assert_true(solved(&rig).hose_heat > 0.0);
    rig = sample_rig();
    rig.section_resistance = rig.current_limit = rig.hose_temperature = nan_value;
    rig.tap_count = 0; /* no heat: none of it is asked for */
    assert_true(solved(&rig).hose_heat == 0.0);
}

static void either_of_two_that_go_together_is_missed(void **state)
{
    (void)state;
    for (int side = 0; side < IMP_SIDES; side++) {
        imp_rig rig = sample_rig();
        rig.side[side].displacement = nan_value;
        assert_refused(&rig, IMP_MISSING, "", "missing material.volume_ratio (or both displacements of rig.pumps)");
        rig.volume_ratio = 1.0;
        assert_close(solved(&rig).volume_ratio, 1.0, 1e-12);
        rig = sample_rig();
        rig.gauge = IMP_RIG_MEAN_GAUGE;
        rig.side[side].pump_area = nan_value;
        assert_refused(&rig, IMP_MISSING, "", "missing both areas of rig.pumps (for the mean of the gauges)");
        rig.gauge = IMP_RIG_HIGHER_GAUGE;
        assert_true(solved(&rig).flow > 0.0);
        rig = sample_rig();
        rig.side[side].whip_bore = nan_value;
        assert_refused(&rig, IMP_MISSING, "", side == IMP_ISO ? "missing rig.whip.iso_bore" : "missing rig.whip.resin_bore");
    }
}

static void insulation_is_of_use_only_as_a_whole(void **state)
{
    (void)state;
    imp_rig whole = sample_rig();
    whole.loss_coefficient = nan_value;
    whole.insulation_inner = 0.03;
    whole.insulation_outer = 0.06;
    whole.insulation_conductivity = 0.04;
    whole.wind_speed = 2.0;
    assert_true(solved(&whole).flow > 0.0);
    static const char message[] = "missing rig.hose.loss_coefficient (or all of rig.hose.insulation)";
    imp_rig rig = whole;
    rig.insulation_inner = nan_value;
    assert_refused(&rig, IMP_MISSING, "", message);
    rig = whole;
    rig.insulation_outer = nan_value;
    assert_refused(&rig, IMP_MISSING, "", message);
    rig = whole;
    rig.insulation_conductivity = nan_value;
    assert_refused(&rig, IMP_MISSING, "", message);
    rig = whole;
    rig.insulation_outer = 0.02;
    assert_refused(&rig, IMP_RANGE, "rig.hose.insulation", "30 mm");
}

static void sections_are_a_whole_number_from_one_to_what_can_be_marched(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.sensor_position = 0.0;
    static const double wrong[] = {0.0, 0.5, -1.0, 1.5, 1e6};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        rig.sections = wrong[i];
        assert_refused(&rig, IMP_RANGE, "hoses.sections", "");
    }
    rig.sections = 1.0;
    assert_true(solved(&rig).flow > 0.0);
}

static void the_hose_circuit_is_refused_at_its_own_name(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.taps[1] = 0.0;
    assert_refused(&rig, IMP_RANGE, "rig.hose.taps", "0 V");
}

/* A resistance in series takes its share: the hose gets less where the whip is heated too. */
static void a_heated_whip_takes_current_from_the_hose(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.current_limit = 300.0; /* the highest tap decides, not the limit */
    const imp_rig_result cold = solved(&rig);
    rig.whip_heated = 1.0;
    rig.whip_resistance = 0.5;
    const imp_rig_result heated = solved(&rig);
    assert_true(heated.hose_heat_most < cold.hose_heat_most);
    rig.whip_resistance = 1e-9;
    assert_relative(solved(&rig).hose_heat_most, cold.hose_heat_most, 1e-6);
    rig.whip_fitted = 0.0;
    rig.whip_resistance = 0.5;
    assert_relative(solved(&rig).hose_heat_most, cold.hose_heat_most, 1e-12); /* one that is not fitted takes nothing */
}

/* Heat of a resistance goes with the square of its voltage. */
static void a_lower_supply_lowers_the_hose_heat_where_the_transformer_says_how(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.current_limit = 300.0;
    rig.supply_phases = 3.0;
    rig.primary_voltage = rig.supply_voltage = rig.measured_voltage = 400.0;
    const double whole = solved(&rig).hose_heat_most;
    rig.measured_voltage = 360.0;
    assert_relative(solved(&rig).hose_heat_most, 0.81 * whole, 1e-9);
    rig.measured_voltage = nan_value; /* taken as rated */
    assert_relative(solved(&rig).hose_heat_most, whole, 1e-12);
    rig.measured_voltage = 360.0;
    rig.primary_voltage = nan_value;
    assert_relative(solved(&rig).hose_heat_most, whole, 1e-12);
    rig.primary_voltage = 400.0;
    rig.supply_voltage = nan_value;
    assert_relative(solved(&rig).hose_heat_most, whole, 1e-12);
    /* between line and neutral of three lines */
    rig.supply_voltage = 400.0;
    rig.measured_voltage = 400.0 * 0.9;
    rig.primary_voltage = 230.0;
    assert_relative(solved(&rig).hose_heat_most, whole * pow(360.0 / sqrt(3.0) / 230.0, 2.0), 1e-9);
}

static void a_heater_without_a_rated_voltage_gives_its_rated_power(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.measured_voltage = 300.0;
    for (int side = 0; side < IMP_SIDES; side++)
        rig.side[side].heater_power = 20.0; /* far too weak: all of it is drawn */
    const imp_rig_result low = solved(&rig);
    for (int side = 0; side < IMP_SIDES; side++)
        rig.side[side].heater_voltage = nan_value;
    const imp_rig_result rated = solved(&rig);
    for (int side = 0; side < IMP_SIDES; side++) {
        assert_relative(rated.side[side].heater_power, 20.0, 1e-9);
        assert_relative(low.side[side].heater_power, 20.0 * 0.75 * 0.75, 1e-9);
    }
}

static void inlets_are_told_as_far_as_the_transfer_line_is_known(void **state)
{
    (void)state;
    for (int lack = 0; lack < 5; lack++) {
        imp_rig rig = sample_rig();
        imp_rig_side *resin = &rig.side[IMP_RESIN];
        double *const lacking[] = {&resin->transfer_ratio, &resin->line_bore, &resin->line_length, &resin->transfer_air, &resin->vapour_pressure};
        *lacking[lack] = nan_value;
        const imp_rig_result r = solved(&rig);
        assert_true(isnan(r.side[IMP_RESIN].inlet_margin));
        assert_true((isnan(r.side[IMP_RESIN].inlet_pressure) != 0) == (lack != 4));
        assert_true(isfinite(r.side[IMP_ISO].inlet_margin));
    }
}

static void any_part_of_a_course_may_be_left_out(void **state)
{
    (void)state;
    const imp_rig rig = sample_rig();
    double drops[8], temperatures[8];
    imp_hose_trace none[IMP_SIDES] = {{.points = NULL}, {.points = NULL}};
    imp_hose_trace some[IMP_SIDES] = {{.drops = drops}, {.temperatures = temperatures}};
    imp_rig_result without, with;
    assert_int_equal(imp_rig_operating_point(&rig, none, &without, NULL), IMP_OK);
    assert_int_equal(imp_rig_operating_point(&rig, some, &with, NULL), IMP_OK);
    assert_true(without.flow == with.flow);
    double sum = 0.0;
    for (int i = 0; i < 5; i++) /* four sections and the whip */
        sum += drops[i];
    assert_relative(sum, with.side[IMP_ISO].run.pressure_drop, 1e-9);
    assert_relative(temperatures[4], with.side[IMP_RESIN].gun_temperature, 1e-9);
}

static void what_cannot_be_asked_for_is_refused(void **state)
{
    (void)state;
    const imp_rig rig = sample_rig();
    imp_rig_need need = {.gun_pressure = 0.0, .flow = nan_value, .gun_temperature = nan_value};
    imp_rig_shortfall limit;
    imp_rig_result r;
    imp_error error;
    int sections = 5;
    double factor = 7.0, ambient = 7.0;
    assert_int_equal(imp_rig_most_sections(&rig, &need, &sections, &limit, &r, &error), IMP_RANGE);
    assert_contains(error.message, "a least pressure or flow must be above 0");
    need = (imp_rig_need){.gun_pressure = nan_value, .flow = -1.0, .gun_temperature = nan_value};
    assert_int_equal(imp_rig_lowest_ambient(&rig, &need, &ambient, &limit, &r, &error), IMP_RANGE);
    need.flow = 1e-5;
    assert_int_equal(imp_rig_largest_orifice(&rig, &need, &factor, &limit, &r, &error), IMP_NOT_APPLICABLE);
    assert_contains(error.message, "a wider orifice only adds flow");
    need.flow = nan_value;
    assert_int_equal(imp_rig_largest_orifice(&rig, &need, &factor, &limit, &r, &error), IMP_MISSING);
    imp_rig broken = rig;
    broken.set_pressure = nan_value;
    need.gun_pressure = 50e5;
    assert_int_equal(imp_rig_most_sections(&broken, &need, &sections, &limit, &r, &error), IMP_MISSING);
    assert_int_equal(imp_rig_largest_orifice(&broken, &need, &factor, &limit, &r, &error), IMP_MISSING);
    assert_int_equal(imp_rig_lowest_ambient(&broken, &need, &ambient, &limit, &r, &error), IMP_MISSING);
    assert_int_equal(imp_rig_balancing_temperature(&broken, IMP_ISO, IMP_RIG_AT_PUMP, &factor, &r, &error), IMP_MISSING);
    assert_true(sections == 5 && factor == 7.0 && ambient == 7.0);
}

/* A hose whose liquid is too thick in any length has no point from which a need could be met. */
static void a_rig_without_any_flow_answers_with_the_reason(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    for (int side = 0; side < IMP_SIDES; side++) {
        rig.side[side].hose_bore = 0.0012;
        rig.side[side].whip_bore = 0.0012;
        for (int i = 0; i < 3; i++)
            rig.side[side].fluid.points[i].viscosity *= 2000.0 / (1.0 + 1500.0 * i);
    }
    const imp_rig_need need = {.gun_pressure = 50e5, .flow = nan_value, .gun_temperature = nan_value};
    imp_rig_shortfall limit;
    imp_rig_result r;
    imp_error error = {.status = IMP_OK};
    int sections = 5;
    const imp_status status = imp_rig_most_sections(&rig, &need, &sections, &limit, &r, &error);
    assert_int_not_equal(status, IMP_OK);
    assert_contains(error.message, "with one section ");
    double temperature = 7.0;
    assert_int_not_equal(imp_rig_balancing_temperature(&rig, IMP_ISO, IMP_RIG_AT_GUN, &temperature, &r, &error), IMP_OK);
    assert_true(error.message[0] != '\0' && temperature == 7.0);
}

static void temperature_alone_may_not_balance_the_pumps(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.side[IMP_RESIN].hose_bore = 0.02; /* never as much as the iso's */
    rig.side[IMP_RESIN].whip_bore = 0.02;
    rig.side[IMP_RESIN].orifice = 0.003;
    double temperature = 7.0;
    imp_rig_result r;
    imp_error error;
    assert_int_equal(imp_rig_balancing_temperature(&rig, IMP_RESIN, IMP_RIG_AT_PUMP, &temperature, &r, &error), IMP_NO_SOLUTION);
    assert_contains(error.message, "makes the pressures at the pumps equal");
    assert_null(strstr(error.message, "the orifices decide"));
    assert_true(temperature == 7.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_a_heated_hose_cannot_do_without_is_named),
        cmocka_unit_test(either_of_two_that_go_together_is_missed),
        cmocka_unit_test(insulation_is_of_use_only_as_a_whole),
        cmocka_unit_test(sections_are_a_whole_number_from_one_to_what_can_be_marched),
        cmocka_unit_test(the_hose_circuit_is_refused_at_its_own_name),
        cmocka_unit_test(a_heated_whip_takes_current_from_the_hose),
        cmocka_unit_test(a_lower_supply_lowers_the_hose_heat_where_the_transformer_says_how),
        cmocka_unit_test(a_heater_without_a_rated_voltage_gives_its_rated_power),
        cmocka_unit_test(inlets_are_told_as_far_as_the_transfer_line_is_known),
        cmocka_unit_test(any_part_of_a_course_may_be_left_out),
        cmocka_unit_test(what_cannot_be_asked_for_is_refused),
        cmocka_unit_test(a_rig_without_any_flow_answers_with_the_reason),
        cmocka_unit_test(temperature_alone_may_not_balance_the_pumps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
