/* The questions on top of an operating point: sections, orifices, air temperature, balance, time to heat up. */
#include "rig_sample.h"

#include "heat.h"

static const double nan_value = (double)NAN;
static const double pi = 3.14159265358979323846;

static imp_rig_need pressure_need(double pressure)
{
    return (imp_rig_need){.gun_pressure = pressure, .flow = (double)NAN, .gun_temperature = (double)NAN};
}

static double weaker_gun(const imp_rig_result *r)
{
    return fmin(r->side[IMP_ISO].gun_pressure, r->side[IMP_RESIN].gun_pressure);
}

static void one_section_more_than_the_most_falls_short(void **state)
{
    (void)state;
    for (double least = 50e5; least < 80e5; least += 5e5) {
        imp_rig rig = sample_rig();
        const imp_rig_need need = pressure_need(least);
        int sections = 0;
        imp_rig_shortfall limit;
        imp_rig_result r;
        assert_int_equal(imp_rig_most_sections(&rig, &need, &sections, &limit, &r, NULL), IMP_OK);
        rig.sections = sections;
        assert_true(weaker_gun(&r) >= least);
        assert_relative(solved(&rig).flow, r.flow, 1e-12);
        rig.sections = sections + 1;
        if (limit == IMP_RIG_RANGE_END) {
            assert_int_equal(sections, 8);
        } else {
            assert_int_equal(limit, IMP_RIG_GUN_PRESSURE);
            const imp_rig_result next = solved(&rig);
            assert_true(weaker_gun(&next) < least);
        }
    }
}

static void more_sections_than_the_rig_may_carry_are_not_offered(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.most_sections = 3.0;
    const imp_rig_need need = pressure_need(10e5);
    int sections = 0;
    imp_rig_shortfall limit;
    imp_rig_result r;
    assert_int_equal(imp_rig_most_sections(&rig, &need, &sections, &limit, &r, NULL), IMP_OK);
    assert_int_equal(sections, 3);
    assert_int_equal(limit, IMP_RIG_RANGE_END);
}

static void a_need_that_one_section_misses_says_by_how_much(void **state)
{
    (void)state;
    const imp_rig rig = sample_rig();
    imp_rig_need need = pressure_need(95e5);
    int sections = 77;
    imp_rig_shortfall limit;
    imp_rig_result r;
    imp_error error;
    assert_int_equal(imp_rig_most_sections(&rig, &need, &sections, &limit, &r, &error), IMP_NO_SOLUTION);
    assert_contains(error.message, "with one section ");
    assert_contains(error.message, " bar less than needed");
    assert_int_equal(sections, 77);
    need = (imp_rig_need){.gun_pressure = nan_value, .flow = 30e-3 / 60.0, .gun_temperature = nan_value};
    assert_int_equal(imp_rig_most_sections(&rig, &need, &sections, &limit, &r, &error), IMP_NO_SOLUTION);
    assert_contains(error.message, "the flow is ");
    need = (imp_rig_need){.gun_pressure = nan_value, .flow = nan_value, .gun_temperature = IMP_CELSIUS(80.0)};
    assert_int_equal(imp_rig_most_sections(&rig, &need, &sections, &limit, &r, &error), IMP_NO_SOLUTION);
    assert_contains(error.message, "K colder than needed");
    need.gun_temperature = nan_value;
    assert_int_equal(imp_rig_most_sections(&rig, &need, &sections, &limit, &r, &error), IMP_MISSING);
    assert_contains(error.message, "missing what must be met");
}

static void the_largest_orifice_just_meets_the_pressure(void **state)
{
    (void)state;
    const imp_rig rig = sample_rig();
    for (double least = 45e5; least < 90e5; least += 10e5) {
        const imp_rig_need need = pressure_need(least);
        double factor = 0.0;
        imp_rig_shortfall limit;
        imp_rig_result r;
        assert_int_equal(imp_rig_largest_orifice(&rig, &need, &factor, &limit, &r, NULL), IMP_OK);
        assert_int_equal(limit, IMP_RIG_GUN_PRESSURE);
        assert_relative(weaker_gun(&r), least, 1e-6);
        imp_rig wider = rig;
        wider.side[IMP_ISO].orifice *= 1.01 * factor;
        wider.side[IMP_RESIN].orifice *= 1.01 * factor;
        const imp_rig_result beyond = solved(&wider);
        assert_true(weaker_gun(&beyond) < least && beyond.flow > r.flow);
    }
}

static void the_lowest_air_temperature_just_meets_the_need(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.drum_temperature = nan_value; /* the drums follow the air */
    const imp_rig_need need = {.gun_pressure = nan_value, .flow = nan_value, .gun_temperature = IMP_CELSIUS(42.0)};
    double ambient = 0.0;
    imp_rig_shortfall limit;
    imp_rig_result r;
    assert_int_equal(imp_rig_lowest_ambient(&rig, &need, &ambient, &limit, &r, NULL), IMP_OK);
    assert_int_equal(limit, IMP_RIG_GUN_TEMPERATURE);
    assert_close(fmin(r.side[IMP_ISO].gun_temperature, r.side[IMP_RESIN].gun_temperature), IMP_CELSIUS(42.0), 1e-4);
    rig.ambient_temperature = ambient - 1.0;
    const imp_rig_result colder = solved(&rig);
    assert_true(fmin(colder.side[IMP_ISO].gun_temperature, colder.side[IMP_RESIN].gun_temperature) < IMP_CELSIUS(42.0));
}

/* Heat balance of a metre of hose standing still, by hand: I^2 R/L = k (T - Ta), with the circuit's current at its limit
 * of 38 A (64 V across four sections, below the 90 V tap). Every other need is met in far colder air. */
static void the_lowest_air_temperature_is_one_in_which_the_hose_heat_holds(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.drum_temperature = IMP_CELSIUS(22.0);
    rig.loss_coefficient = 1.2;
    const imp_rig_need need = pressure_need(10e5);
    double ambient = 0.0;
    imp_rig_shortfall limit;
    imp_rig_result r;
    assert_int_equal(imp_rig_lowest_ambient(&rig, &need, &ambient, &limit, &r, NULL), IMP_OK);
    assert_int_equal(limit, IMP_RIG_HOSE_HEAT);
    assert_close(ambient, IMP_CELSIUS(46.5) - 38.0 * 38.0 * 0.42 / 15.0 / 1.2, 1e-4);
    assert_true(weaker_gun(&r) > 10e5);
    rig.hose_temperature = nan_value; /* nothing set, nothing to hold */
    rig.hose_current = 20.0;
    assert_int_equal(imp_rig_lowest_ambient(&rig, &need, &ambient, &limit, &r, NULL), IMP_OK);
    assert_true(limit != IMP_RIG_HOSE_HEAT);
    rig.hose_temperature = IMP_CELSIUS(46.5);
    rig.section_resistance = nan_value; /* no heat in the hose */
    assert_int_equal(imp_rig_lowest_ambient(&rig, &need, &ambient, &limit, &r, NULL), IMP_OK);
    assert_true(limit != IMP_RIG_HOSE_HEAT);
}

static void a_hose_heat_too_weak_for_any_air_says_by_how_much(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.loss_coefficient = 10.0; /* 65 W/m at 40 degC */
    const imp_rig_need need = pressure_need(10e5);
    double ambient = 77.0;
    imp_rig_shortfall limit;
    imp_rig_result r;
    imp_error error;
    assert_int_equal(imp_rig_lowest_ambient(&rig, &need, &ambient, &limit, &r, &error), IMP_NO_SOLUTION);
    assert_contains(error.message, "even in air of 40 degC the hose heat gives 40.43 W/m, 24.6 W/m less than");
    assert_close(ambient, 77.0, 0.0);
}

static void a_rig_that_works_in_any_cold_is_told_so(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    const imp_rig_need need = pressure_need(1e5);
    rig.loss_coefficient = 0.01;
    double ambient = 0.0;
    imp_rig_shortfall limit;
    imp_rig_result r;
    assert_int_equal(imp_rig_lowest_ambient(&rig, &need, &ambient, &limit, &r, NULL), IMP_OK);
    assert_close(ambient, IMP_CELSIUS(-60.0), 1e-9);
    assert_int_equal(limit, IMP_RIG_RANGE_END);
}

static void the_balancing_temperature_makes_the_gauges_equal(void **state)
{
    (void)state;
    const imp_rig rig = sample_rig();
    for (int side = 0; side < IMP_SIDES; side++) {
        double temperature = 0.0;
        imp_rig_result r;
        imp_error error = {.status = IMP_OK};
        if (imp_rig_balancing_temperature(&rig, (imp_side)side, IMP_RIG_AT_PUMP, &temperature, &r, &error) != IMP_OK)
            fail_msg("%s", error.message);
        assert_relative(r.side[IMP_ISO].pump_pressure, r.side[IMP_RESIN].pump_pressure, 1e-7);
        /* the resin is the thicker: it must get warmer, or the iso colder */
        assert_true(side == IMP_ISO ? temperature < IMP_CELSIUS(46.0) : temperature > IMP_CELSIUS(46.0));
    }
}

/* With a fixed ratio and a fixed coefficient the orifices fix the gun pressures, whatever the temperature. */
static void fixed_orifices_cannot_be_balanced_at_the_gun_by_temperature(void **state)
{
    (void)state;
    const imp_rig rig = sample_rig();
    double temperature = 0.0;
    imp_rig_result r;
    imp_error error;
    assert_int_equal(imp_rig_balancing_temperature(&rig, IMP_RESIN, IMP_RIG_AT_GUN, &temperature, &r, &error), IMP_NO_SOLUTION);
    assert_contains(error.message, "makes the pressures at the gun equal");
    assert_contains(error.message, "the orifices decide");
}

/* A coefficient that follows the Reynolds number does depend on it. */
static void orifices_after_their_own_law_can_be_balanced_at_the_gun(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.discharge_coefficient = nan_value;
    rig.orifice_length_ratio = 5.0;
    rig.side[IMP_ISO].fluid.density = rig.side[IMP_RESIN].fluid.density = 1190.0; /* equal but for the viscosity */
    rig.side[IMP_RESIN].fluid.expansion = rig.side[IMP_ISO].fluid.expansion;
    double temperature = 0.0;
    imp_rig_result r;
    imp_error error = {.status = IMP_OK};
    if (imp_rig_balancing_temperature(&rig, IMP_ISO, IMP_RIG_AT_GUN, &temperature, &r, &error) != IMP_OK)
        fail_msg("%s", error.message);
    assert_relative(r.side[IMP_ISO].gun_pressure, r.side[IMP_RESIN].gun_pressure, 1e-7);
    assert_true(temperature < IMP_CELSIUS(46.0)); /* as thick as the resin */
}

/* ---- answers of the independent solution, tests/independent/operating_point.json, stand in tests/reference/rig.json ---- */

/* ---- time to heat up ---- */

static imp_rig hose_alone(void)
{
    imp_rig rig = sample_rig();
    rig.drum_temperature = IMP_CELSIUS(22.0); /* above what the drums must have */
    return rig;
}

static double hose_capacity(const imp_rig *rig)
{
    double contents = 0.0;
    for (int side = 0; side < IMP_SIDES; side++)
        contents += pi * 0.0096 * 0.0096 / 4.0 * 60.0 * rig->side[side].fluid.density * rig->side[side].fluid.heat_capacity;
    return contents + 900.0 * 60.0;
}

static imp_rig_heat_up heated(const imp_rig *rig, double heater_capacity, double available)
{
    imp_rig_heat_up r;
    imp_error error = {.status = IMP_OK};
    if (imp_rig_heat_up_time(rig, heater_capacity, available, &r, &error) != IMP_OK)
        fail_msg("%s: %s", error.place, error.message);
    return r;
}

static void a_hose_alone_takes_the_time_of_one_lump(void **state)
{
    (void)state;
    const imp_rig rig = hose_alone();
    const imp_rig_heat_up r = heated(&rig, nan_value, nan_value);
    double time, energy;
    assert_int_equal(imp_heat_warm_up_time(38.0 * 38.0 * 0.42 * 4.0, hose_capacity(&rig), 0.6 * 60.0, IMP_CELSIUS(12.0), IMP_CELSIUS(12.0), IMP_CELSIUS(46.5), &time, &energy, NULL), IMP_OK);
    assert_relative(r.hose_time, time, 1e-9);
    assert_relative(r.energy, energy, 1e-9);
    assert_close(r.drum_time, 0.0, 0.0);
    assert_relative(r.time, r.hose_time, 0.0);
    assert_relative(r.power_available, sqrt(3.0) * 395.0 * 63.0, 1e-12);
    assert_close(r.share, 1.0, 0.0);
}

static void half_the_power_lets_a_lossless_load_take_twice_the_time(void **state)
{
    (void)state;
    imp_rig rig = hose_alone();
    rig.loss_coefficient = 1e-9;
    const double power = 38.0 * 38.0 * 0.42 * 4.0;
    assert_relative(heated(&rig, nan_value, power / 2.0).time, 2.0 * heated(&rig, nan_value, nan_value).time, 1e-6);
}

static void without_losses_the_energy_is_that_of_the_capacities(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.loss_coefficient = 1e-9;
    rig.drum_loss = 0.0;
    rig.drum_temperature = IMP_CELSIUS(10.0);
    const double shares[] = {nan_value, 6000.0, 3000.0};
    for (int i = 0; i < 3; i++) {
        const imp_rig_heat_up r = heated(&rig, 20e3, shares[i]);
        double energy = hose_capacity(&rig) * 34.5;
        for (int side = 0; side < IMP_SIDES; side++)
            energy += 0.2 * rig.side[side].fluid.density * rig.side[side].fluid.heat_capacity * 8.0 / 0.8 + 20e3 * 34.0 / 0.93;
        assert_relative(r.energy, energy, 1e-6);
        assert_true(r.drum_time > 0.0 && r.heater_time > 0.0 && r.hose_time > 0.0);
        assert_relative(r.time, fmax(r.drum_time, fmax(r.hose_time, r.heater_time)), 1e-12);
    }
}

/* What one load leaves, the others get: all of the power flows until the last is warm. */
static void a_short_supply_is_used_in_full(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.loss_coefficient = 1e-9;
    rig.drum_loss = 0.0;
    rig.drum_temperature = IMP_CELSIUS(10.0);
    const imp_rig_heat_up r = heated(&rig, 20e3, 900.0);
    assert_relative(r.energy, 900.0 * r.time, 1e-6);
    assert_true(r.share < 0.1);
    assert_true(r.hose_time < r.time);
}

static void less_power_never_heats_sooner(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.drum_temperature = IMP_CELSIUS(10.0);
    double before = (double)INFINITY;
    for (double available = 6000.0; available < 30000.0; available *= 1.2) {
        const imp_rig_heat_up r = heated(&rig, 20e3, available);
        assert_true(r.time <= before * (1.0 + 1e-12));
        before = r.time;
    }
}

static void what_never_gets_warm_is_named(void **state)
{
    (void)state;
    imp_rig rig = hose_alone();
    imp_rig_heat_up r;
    imp_error error;
    rig.ambient_temperature = IMP_CELSIUS(-45.0);
    rig.loss_coefficient = 2.0;
    assert_int_equal(imp_rig_heat_up_time(&rig, nan_value, nan_value, &r, &error), IMP_NO_SOLUTION);
    assert_contains(error.message, "the hose only reaches");
    rig = hose_alone();
    rig.drum_temperature = IMP_CELSIUS(5.0);
    rig.drum_heater_power = nan_value;
    assert_int_equal(imp_rig_heat_up_time(&rig, nan_value, nan_value, &r, &error), IMP_MISSING);
    assert_contains(error.message, "heating power of the iso drum");
    rig = hose_alone();
    rig.heat_capacity_per_length = nan_value;
    assert_int_equal(imp_rig_heat_up_time(&rig, nan_value, nan_value, &r, &error), IMP_MISSING);
    assert_string_equal(error.place, "rig.hose.heat_capacity_per_length");
}

/* What is warm takes what it loses, 0.6 W/(m K) over 60 m and 34.5 K, until the last load is warm; the drums lose nothing. */
static void what_is_warm_is_held_until_the_last_is(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.loss_coefficient = 0.6;
    rig.drum_loss = 0.0;
    rig.drum_temperature = IMP_CELSIUS(10.0);
    const imp_rig_heat_up r = heated(&rig, nan_value, 1e6);
    double time, energy;
    assert_int_equal(imp_heat_warm_up_time(38.0 * 38.0 * 0.42 * 4.0, hose_capacity(&rig), 0.6 * 60.0, IMP_CELSIUS(12.0), IMP_CELSIUS(12.0), IMP_CELSIUS(46.5), &time, &energy, NULL), IMP_OK);
    assert_relative(r.hose_time, time, 1e-9);
    assert_true(r.hose_time < r.time);
    for (int side = 0; side < IMP_SIDES; side++)
        energy += 0.2 * rig.side[side].fluid.density * rig.side[side].fluid.heat_capacity * 8.0 / 0.8;
    assert_relative(r.energy, energy + 0.6 * 60.0 * 34.5 * (r.time - r.hose_time), 1e-9);
}

/* Also with losses: what is held takes its part of a short supply before the rest is shared. */
static void a_short_supply_holds_what_is_warm_first(void **state)
{
    (void)state;
    imp_rig rig = sample_rig();
    rig.loss_coefficient = 0.3;
    rig.drum_loss = 0.0;
    rig.drum_temperature = IMP_CELSIUS(10.0);
    const imp_rig_heat_up r = heated(&rig, nan_value, 1500.0);
    assert_true(r.hose_time < r.time && r.share < 1.0);
    assert_true(r.energy <= 1500.0 * r.time * (1.0 + 1e-9));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_section_more_than_the_most_falls_short),
        cmocka_unit_test(more_sections_than_the_rig_may_carry_are_not_offered),
        cmocka_unit_test(a_need_that_one_section_misses_says_by_how_much),
        cmocka_unit_test(the_largest_orifice_just_meets_the_pressure),
        cmocka_unit_test(the_lowest_air_temperature_just_meets_the_need),
        cmocka_unit_test(the_lowest_air_temperature_is_one_in_which_the_hose_heat_holds),
        cmocka_unit_test(a_hose_heat_too_weak_for_any_air_says_by_how_much),
        cmocka_unit_test(a_rig_that_works_in_any_cold_is_told_so),
        cmocka_unit_test(the_balancing_temperature_makes_the_gauges_equal),
        cmocka_unit_test(fixed_orifices_cannot_be_balanced_at_the_gun_by_temperature),
        cmocka_unit_test(orifices_after_their_own_law_can_be_balanced_at_the_gun),
        cmocka_unit_test(a_hose_alone_takes_the_time_of_one_lump),
        cmocka_unit_test(half_the_power_lets_a_lossless_load_take_twice_the_time),
        cmocka_unit_test(without_losses_the_energy_is_that_of_the_capacities),
        cmocka_unit_test(a_short_supply_is_used_in_full),
        cmocka_unit_test(less_power_never_heats_sooner),
        cmocka_unit_test(what_never_gets_warm_is_named),
        cmocka_unit_test(what_is_warm_is_held_until_the_last_is),
        cmocka_unit_test(a_short_supply_holds_what_is_warm_first),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
