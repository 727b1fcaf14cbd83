/* How far the questions about a rig search, and what slow losses do to its warming up: the invented rig of rig_sample.h. */
#include "rig_sample.h"

static const double nan_value = (double)NAN;

static imp_rig_need pressure_need(double gun_pressure)
{
    return (imp_rig_need){.gun_pressure = gun_pressure, .flow = nan_value, .gun_temperature = nan_value};
}

static double widest(const imp_rig *rig, const imp_rig_need *need, imp_rig_shortfall *limit)
{
    double factor = 0.0;
    imp_rig_result r;
    imp_error error = {.status = IMP_OK};
    if (imp_rig_largest_orifice(rig, need, &factor, limit, &r, &error) != IMP_OK)
        fail_msg("%s: %s", error.place, error.message);
    return factor;
}

/* A need that any orifice meets: the search ends at five times, and before that where the hose itself is no wider. */
static void an_orifice_is_widened_five_times_at_most_and_never_beyond_its_hose(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    imp_rig_shortfall limit;
    const imp_rig_need need = pressure_need(1.0);
    rig.side[IMP_ISO].orifice = rig.side[IMP_RESIN].orifice = 0.4e-3;
    assert_relative(widest(&rig, &need, &limit), 5.0, 1e-12);
    assert_int_equal(limit, IMP_RIG_RANGE_END);
    rig.side[IMP_RESIN].orifice = 2.2e-3;
    rig.side[IMP_ISO].orifice = 2.4e-3; /* in a whip of 6.4 mm */
    const double factor = widest(&rig, &need, &limit);
    assert_int_equal(limit, IMP_RIG_RANGE_END);
    assert_relative(factor, 0.99 * 6.4 / 2.4, 1e-12);
}

/* Without leads, a tap of 64 V gives P' = U^2/(R n^2 l) on n sections, or what the current limit of 38 A gives where that is
 * less. The loss k (T - Ta) is chosen between what n and n + 1 sections are given, so that n are held and no more. */
static void the_most_sections_are_those_that_the_hose_heat_holds(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.lead_resistance = 0.0;
    rig.taps[2] = 64.0;
    rig.most_sections = 8.0;
    rig.measured_voltage = nan_value; /* the taps give what is written on them */
    const imp_rig_need need = pressure_need(1e5);
    const double held = rig.hose_temperature - rig.ambient_temperature;
    for (int sections = 4; sections <= 7; sections++) {
        const double with = 64.0 * 64.0 / (0.42 * sections * sections * 15.0), with_more = with * sections * sections / ((sections + 1.0) * (sections + 1.0));
        int found = 0;
        imp_rig_shortfall limit;
        imp_rig_result r;
        rig.loss_coefficient = 0.5 * (fmin(with, 38.0 * 38.0 * 0.42 / 15.0) + with_more) / held;
        assert_int_equal(imp_rig_most_sections(&rig, &need, &found, &limit, &r, NULL), IMP_OK);
        assert_int_equal(found, sections);
        assert_int_equal(limit, IMP_RIG_HOSE_HEAT);
    }
}

/* Through narrow orifices so little flows that it arrives cold; the rig as it is delivers it warm. */
static void a_temperature_that_only_enough_flow_brings_is_no_refusal(void **state)
{
    (void)state;
    imp_rig rig = sample_rig(), narrow;
    rig.section_resistance = nan_value; /* nothing heats the hose */
    rig.ambient_temperature = IMP_CELSIUS(-5.0);
    imp_rig_result own, fifth;
    imp_rig_shortfall limit;
    assert_int_equal(imp_rig_operating_point(&rig, NULL, &own, NULL), IMP_OK);
    narrow = rig;
    narrow.side[IMP_ISO].orifice *= 0.2;
    narrow.side[IMP_RESIN].orifice *= 0.2;
    const double warm = fmin(own.side[IMP_ISO].gun_temperature, own.side[IMP_RESIN].gun_temperature);
    const bool flows = imp_rig_operating_point(&narrow, NULL, &fifth, NULL) == IMP_OK;
    assert_true(!flows || fmin(fifth.side[IMP_ISO].gun_temperature, fifth.side[IMP_RESIN].gun_temperature) < warm - 1.0);
    const imp_rig_need need = {.gun_pressure = nan_value, .flow = nan_value, .gun_temperature = warm - 0.2};
    assert_true(widest(&rig, &need, &limit) >= 1.0 - 1e-9);
}

/* The closed form of one lump: C/k ln((Te - T0)/(Te - T1)), Te = Ta + P eta/k; k below 1 W/K as a well wrapped drum has. */
static void a_well_wrapped_drum_takes_the_time_of_its_lump(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.drum_temperature = IMP_CELSIUS(10.0);
    rig.drum_loss = 0.9;
    imp_rig_heat_up r;
    imp_error error = {.status = IMP_OK};
    if (imp_rig_heat_up_time(&rig, nan_value, 1e6, &r, &error) != IMP_OK)
        fail_msg("%s: %s", error.place, error.message);
    double slowest = 0.0;
    for (int side = 0; side < IMP_SIDES; side++) {
        const imp_fluid *fluid = &rig.side[side].fluid;
        const double end = rig.ambient_temperature + 1000.0 * 0.8 / 0.9;
        slowest = fmax(slowest, 0.2 * fluid->density * fluid->heat_capacity / 0.9 * log((end - IMP_CELSIUS(10.0)) / (end - IMP_CELSIUS(18.0))));
    }
    assert_relative(r.drum_time, slowest, 1e-9);
}

/* Hydrostatics: two metres more of rise take rho g 2 m from the pressure at the pump, at the density in the drum. */
static void a_pump_that_stands_higher_has_less_at_its_inlet(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    imp_rig_result low, high;
    assert_int_equal(imp_rig_operating_point(&rig, NULL, &low, NULL), IMP_OK);
    rig.side[IMP_ISO].line_rise += 2.0;
    rig.side[IMP_RESIN].line_rise += 2.0;
    assert_int_equal(imp_rig_operating_point(&rig, NULL, &high, NULL), IMP_OK);
    for (int side = 0; side < IMP_SIDES; side++) {
        imp_fluid fluid = rig.side[side].fluid;
        double density;
        assert_int_equal(imp_fluid_fit(&fluid, NULL), IMP_OK);
        assert_int_equal(imp_fluid_density_at(&fluid, rig.drum_temperature, &density, NULL), IMP_OK);
        assert_relative(low.side[side].inlet_pressure - high.side[side].inlet_pressure, density * 9.80665 * 2.0, 1e-9);
    }
}

/* The places are those of the material's file, whose name for the points is "viscosity". */
static void a_liquid_that_cannot_be_fitted_is_named_as_in_its_file(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    imp_rig_result r;
    imp_error error = {.status = IMP_OK};
    rig.side[IMP_ISO].fluid.points[1].viscosity = 0.0;
    assert_int_equal(imp_rig_operating_point(&rig, NULL, &r, &error), IMP_RANGE);
    assert_string_equal(error.place, "material.iso.viscosity[2].viscosity");
    rig = sample_rig();
    rig.side[IMP_RESIN].fluid.points[1].viscosity = 5.0; /* warmer and thicker */
    assert_int_equal(imp_rig_operating_point(&rig, NULL, &r, &error), IMP_NOT_APPLICABLE);
    assert_string_equal(error.place, "material.resin.viscosity");
    assert_int_equal(imp_rig_operating_point(&rig, NULL, &r, NULL), IMP_NOT_APPLICABLE); /* nobody asks where */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_orifice_is_widened_five_times_at_most_and_never_beyond_its_hose),
        cmocka_unit_test(the_most_sections_are_those_that_the_hose_heat_holds),
        cmocka_unit_test(a_temperature_that_only_enough_flow_brings_is_no_refusal),
        cmocka_unit_test(a_pump_that_stands_higher_has_less_at_its_inlet),
        cmocka_unit_test(a_liquid_that_cannot_be_fitted_is_named_as_in_its_file),
        cmocka_unit_test(a_well_wrapped_drum_takes_the_time_of_its_lump),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
