/* Compressed air: free air, compressor, receiver, line, condensate. */
#include "support.h"

#include "air.h"
#include "catalogue.h"
#include "humidity.h"

static imp_air_compressor small_compressor(void)
{
    return (imp_air_compressor){.free_air_flow = 0.01,
                                .gauge_pressure = 7e5,
                                .stages = 1.0,
                                .efficiency = 0.7,
                                .intake_pressure = 100e3,
                                .intake_temperature = 293.15,
                                .ambient_pressure = 101325.0};
}

static imp_air_line hose_of(double bore, double length)
{
    return (imp_air_line){.bore = bore, .length = length, .roughness = 0.0, .temperature = 293.15, .ambient_pressure = 101325.0};
}

/* common practice, no source: 325 L/min of free air to 8 bar gauge in one stage at 65 % takes 2.56 kW within 1 % */
static void a_small_compressor_takes_2_56_kilowatts(void **state)
{
    (void)state;
    imp_air_compressor compressor = small_compressor();
    compressor.free_air_flow = 0.325 / 60.0;
    compressor.gauge_pressure = 8e5;
    compressor.efficiency = 0.65;
    double power = 0.0, specific = 0.0;
    assert_int_equal(imp_air_compressor_power(&compressor, &power, &specific, NULL), IMP_OK);
    assert_relative(power, 2560.0, 0.01);
    assert_relative(specific * compressor.free_air_flow, power, 1e-12);
}

static void reference_air_is_its_own_free_air(void **state)
{
    (void)state;
    double free_air = 0.0;
    assert_int_equal(imp_air_free_air(0.01, 0.0, 293.15, 100e3, &free_air, NULL), IMP_OK);
    assert_relative(free_air, 0.01, 1e-12);
    assert_int_equal(imp_air_free_air(0.01, 200e3, 1.2 * 293.15, 100e3, &free_air, NULL), IMP_OK);
    assert_relative(free_air, 0.025, 1e-12);
}

/* Many stages with cooling approach isothermal work p Q ln(r), the least there is (Cengel and Boles, 7-11). */
static void more_stages_take_less_power_and_never_less_than_isothermal(void **state)
{
    (void)state;
    imp_air_compressor compressor = small_compressor();
    compressor.efficiency = 1.0;
    double last = (double)INFINITY, power = 0.0, specific = 0.0;
    const double isothermal = 100e3 * compressor.free_air_flow * log((7e5 + 101325.0) / 100e3);
    for (double stages = 1.0; stages <= 6.0; stages += 1.0) {
        compressor.stages = stages;
        assert_int_equal(imp_air_compressor_power(&compressor, &power, &specific, NULL), IMP_OK);
        assert_true(power < last && power > isothermal);
        last = power;
    }
    assert_relative(last, isothermal, 0.06);
}

/* A gentle compression is a pump's work, p Q: the work of a small pressure rise is volume times rise. */
static void a_small_pressure_rise_costs_volume_times_rise(void **state)
{
    (void)state;
    imp_air_compressor compressor = small_compressor();
    compressor.ambient_pressure = 100e3;
    compressor.gauge_pressure = 10.0;
    compressor.efficiency = 1.0;
    double power = 0.0, specific = 0.0;
    assert_int_equal(imp_air_compressor_power(&compressor, &power, &specific, NULL), IMP_OK);
    assert_relative(power, 10.0 * compressor.free_air_flow, 1e-4);
}

static void nothing_to_compress_is_refused(void **state)
{
    (void)state;
    imp_air_compressor compressor = small_compressor();
    compressor.gauge_pressure = 10e3;
    compressor.ambient_pressure = 80e3;
    imp_error error;
    double power = 1.0, specific = 2.0;
    assert_int_equal(imp_air_compressor_power(&compressor, &power, &specific, &error), IMP_NO_SOLUTION);
    assert_string_equal(error.place, "gauge_pressure");
    assert_string_equal(error.message, "the air leaves at no more than its intake pressure; check intake_pressure and ambient_pressure");
    compressor.stages = 1.5;
    assert_int_equal(imp_air_compressor_power(&compressor, &power, &specific, &error), IMP_RANGE);
    assert_string_equal(error.message, "1.5 is not a whole number");
    assert_true(power == 1.0 && specific == 2.0);
}

/* Conservation: what the compressor delivers while it runs is what is drawn over the whole cycle. */
static void a_cycle_delivers_what_it_draws(void **state)
{
    (void)state;
    imp_air_cycle cycle;
    assert_int_equal(imp_air_receiver_cycle(0.3, 6e5, 8e5, 0.004, 0.010, &cycle, NULL), IMP_OK);
    assert_relative(0.010 * cycle.run_time, 0.004 * (cycle.run_time + cycle.idle_time), 1e-12);
    assert_relative(cycle.duty, cycle.run_time / (cycle.run_time + cycle.idle_time), 1e-12);
    assert_relative(cycle.starts, 1.0 / (cycle.run_time + cycle.idle_time), 1e-12);
    assert_relative(0.004 * cycle.idle_time, 0.3 * 2.0, 1e-12); /* 0.3 m^3 over 2 bar hold 0.6 m^3 of free air */
}

/* Starts are most frequent when half of the supply is drawn (compressor handbooks; the derivative says so). */
static void starts_are_most_frequent_at_half_the_supply(void **state)
{
    (void)state;
    imp_air_cycle half, less, more;
    assert_int_equal(imp_air_receiver_cycle(0.3, 6e5, 8e5, 0.0050, 0.010, &half, NULL), IMP_OK);
    assert_int_equal(imp_air_receiver_cycle(0.3, 6e5, 8e5, 0.0045, 0.010, &less, NULL), IMP_OK);
    assert_int_equal(imp_air_receiver_cycle(0.3, 6e5, 8e5, 0.0055, 0.010, &more, NULL), IMP_OK);
    assert_true(half.starts > less.starts && half.starts > more.starts);
    assert_relative(less.starts, more.starts, 1e-12);
}

static void a_supply_that_never_catches_up_is_refused(void **state)
{
    (void)state;
    imp_error error;
    imp_air_cycle cycle = {.duty = 3.0};
    assert_int_equal(imp_air_receiver_cycle(0.3, 6e5, 8e5, 0.010, 0.010, &cycle, &error), IMP_NO_SOLUTION);
    assert_string_equal(error.place, "supply");
    assert_string_equal(error.message,
                        "a supply of 600 L/min never fills the receiver while 600 L/min are drawn; draw less or supply more");
    assert_int_equal(imp_air_receiver_cycle(0.3, 8e5, 6e5, 0.005, 0.010, &cycle, &error), IMP_NO_SOLUTION);
    assert_string_equal(error.place, "cut_out");
    assert_string_equal(error.message, "6 bar is not above the cut-in pressure of 8 bar");
    assert_true(cycle.duty == 3.0);
}

static void two_halves_of_a_line_lose_what_the_whole_loses(void **state)
{
    (void)state;
    const imp_air_line whole = hose_of(0.013, 40.0), half = hose_of(0.013, 20.0);
    double all = 0.0, first = 0.0, second = 0.0;
    assert_int_equal(imp_air_line_drop(0.02, 7e5, &whole, &all, NULL), IMP_OK);
    assert_int_equal(imp_air_line_drop(0.02, 7e5, &half, &first, NULL), IMP_OK);
    assert_int_equal(imp_air_line_drop(0.02, 7e5 - first, &half, &second, NULL), IMP_OK);
    assert_relative(first + second, all, 1e-9);
    assert_true(second > first); /* thinner air flows faster */
}

/* For a small drop the gas is a liquid of line density: Darcy-Weisbach. */
static void a_small_drop_is_darcy_weisbachs(void **state)
{
    (void)state;
    const imp_air_line line = hose_of(0.1, 1.0);
    const double flow = 1e-4, area = acos(-1.0) / 4.0 * 0.01; /* laminar */
    const double density = 801325.0 / (287.05 * 293.15), free_density = 100e3 / (287.05 * 293.15);
    const double velocity = flow * free_density / density / area;
    const double viscosity = 1.458e-6 * pow(293.15, 1.5) / (293.15 + 110.4);
    double drop = 0.0;
    assert_int_equal(imp_air_line_drop(flow, 7e5, &line, &drop, NULL), IMP_OK);
    assert_relative(drop, 32.0 * viscosity * velocity / 0.01, 1e-6); /* Hagen-Poiseuille */
}

static void a_line_that_cannot_pass_the_flow_is_refused(void **state)
{
    (void)state;
    imp_error error;
    double drop = 1.0;
    imp_air_line line = hose_of(0.013, 30.0);
    assert_int_equal(imp_air_line_drop(7.0 / 60.0, 7e5, &line, &drop, &error), IMP_NO_SOLUTION);
    assert_string_equal(error.place, "free_air_flow");
    assert_string_equal(error.message, "the line cannot pass it from this pressure: the air would have to flow at the speed of "
                                       "sound; take a wider bore, a shorter line or more pressure");
    line = hose_of(0.025, 900.0);
    assert_int_equal(imp_air_line_drop(4.0 / 60.0, 2e5, &line, &drop, &error), IMP_NO_SOLUTION);
    assert_contains(error.message, "nothing would be left at its end");
    assert_true(drop == 1.0);
}

/* The largest flow that is still passed leaves the line at no less than ambient pressure and no more than sound's speed. */
static void the_drop_grows_smoothly_to_the_largest_flow(void **state)
{
    (void)state;
    const imp_air_line line = hose_of(0.013, 30.0);
    double last = 0.0, drop = 0.0;
    double passed = 0.0;
    for (double flow = 0.001; flow < 0.2; flow *= 1.02) {
        if (imp_air_line_drop(flow, 7e5, &line, &drop, NULL) != IMP_OK)
            break;
        assert_true(drop > last && drop < 7e5);
        last = drop;
        passed = flow;
    }
    assert_true(passed > 0.02 && passed < 0.1);
    assert_true(last > 4e5);
}

static imp_air_intake summer(void)
{
    return (imp_air_intake){.air_temperature = 303.15, .relative_humidity = 0.6, .ambient_pressure = 101325.0};
}

/* Conservation: vapour taken in = water out + vapour left (saturated at line temperature and pressure). */
static void water_out_and_vapour_left_are_the_vapour_taken_in(void **state)
{
    (void)state;
    const imp_air_intake intake = summer();
    double water = 0.0, dew_point = 0.0;
    assert_int_equal(imp_air_condensate(0.01, &intake, 7e5, 308.15, &water, &dew_point, NULL), IMP_OK);
    const double dry = 0.01 * 100e3 / (287.05 * 293.15);
    const double taken = imp_humidity_ratio(0.6 * imp_humidity_saturation(303.15, IMP_OVER_BRANCH), 101325.0);
    const double left = imp_humidity_ratio(imp_humidity_saturation(dew_point, IMP_OVER_BRANCH), 801325.0);
    assert_relative(water + dry * left, dry * taken, 1e-12);
    assert_close(dew_point, 308.15, 0.0);
}

static void dry_enough_air_leaves_no_water_and_its_dew_point_rises_with_pressure(void **state)
{
    (void)state;
    const imp_air_intake intake = {.air_temperature = 293.15, .relative_humidity = 0.2, .ambient_pressure = 101325.0};
    double water = 9.0, low = 0.0, high = 0.0;
    assert_int_equal(imp_air_condensate(0.01, &intake, 1e5, 313.15, &water, &low, NULL), IMP_OK);
    assert_close(water, 0.0, 0.0);
    assert_int_equal(imp_air_condensate(0.01, &intake, 4e5, 313.15, &water, &high, NULL), IMP_OK);
    assert_true(high > low && high < 313.15);
}

static void the_hotter_the_line_the_less_water_falls_out(void **state)
{
    (void)state;
    const imp_air_intake intake = summer();
    double last = (double)INFINITY, water = 0.0, dew_point = 0.0;
    for (double celsius = 2.0; celsius <= 80.0; celsius += 2.0) {
        assert_int_equal(imp_air_condensate(0.01, &intake, 7e5, 273.15 + celsius, &water, &dew_point, NULL), IMP_OK);
        assert_true(water <= last && water >= 0.0);
        last = water;
    }
    assert_close(last, 0.0, 0.0);
}

static void gauge_pressures_stand_on_the_ambient_pressure(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("air.free_air");
    const double nan = (double)NAN;
    double sea = 0.0, high = 0.0;
    assert_int_equal(imp_calc_numbers(calc, (double[]){0.01, 6e5, nan, nan}, &sea, NULL), IMP_OK);
    assert_int_equal(imp_calc_numbers(calc, (double[]){0.01, 6e5, nan, 84.5e3}, &high, NULL), IMP_OK);
    assert_relative(sea / high, (600e3 + 101.325e3) / (600e3 + 84.5e3), 1e-12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_small_compressor_takes_2_56_kilowatts),
        cmocka_unit_test(reference_air_is_its_own_free_air),
        cmocka_unit_test(more_stages_take_less_power_and_never_less_than_isothermal),
        cmocka_unit_test(a_small_pressure_rise_costs_volume_times_rise),
        cmocka_unit_test(nothing_to_compress_is_refused),
        cmocka_unit_test(a_cycle_delivers_what_it_draws),
        cmocka_unit_test(starts_are_most_frequent_at_half_the_supply),
        cmocka_unit_test(a_supply_that_never_catches_up_is_refused),
        cmocka_unit_test(two_halves_of_a_line_lose_what_the_whole_loses),
        cmocka_unit_test(a_small_drop_is_darcy_weisbachs),
        cmocka_unit_test(a_line_that_cannot_pass_the_flow_is_refused),
        cmocka_unit_test(the_drop_grows_smoothly_to_the_largest_flow),
        cmocka_unit_test(water_out_and_vapour_left_are_the_vapour_taken_in),
        cmocka_unit_test(dry_enough_air_leaves_no_water_and_its_dew_point_rises_with_pressure),
        cmocka_unit_test(the_hotter_the_line_the_less_water_falls_out),
        cmocka_unit_test(gauge_pressures_stand_on_the_ambient_pressure),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
