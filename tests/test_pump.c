/* Flow, power, drive pressure and inlet of pumps. Published values are in reference/pump.json. */
#include "support.h"

#include "pump.h"

static const imp_pump_drive even = {.iso_pressure = 1e7,
                                    .resin_pressure = 1e7,
                                    .iso_area = 5e-4,
                                    .resin_area = 5e-4,
                                    .drive_area = 1e-2,
                                    .efficiency = 1.0}; /* invented */
static const imp_pump_inlet drum = {.supply_absolute_pressure = 101325.0,
                                    .line_drop = 20000.0,
                                    .vapour_pressure = 2000.0,
                                    .rise = 1.0,
                                    .density = 1200.0}; /* invented */

static double drive_pressure(const imp_pump_drive *drive)
{
    double pressure = NAN;
    assert_int_equal(imp_pump_drive_pressure(drive, &pressure, NULL), IMP_OK);
    return pressure;
}

static double margin_of(const imp_pump_inlet *inlet)
{
    double margin = NAN;
    assert_int_equal(imp_pump_inlet_margin(inlet, &margin, NULL), IMP_OK);
    return margin;
}

static void refuse(imp_status status, const imp_error *error, const char *sentence)
{
    char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE];
    assert_int_equal(status, IMP_RANGE);
    assert_string_equal(imp_error_text(error, text, sizeof text), sentence);
}

static void cycle_rate_inverts_flow(void **state)
{
    (void)state;
    for (double rate = 0.1; rate < 5.0; rate *= 1.7) {
        double flow, back;
        assert_int_equal(imp_pump_flow(6e-5, rate, 0.93, &flow, NULL), IMP_OK);
        assert_int_equal(imp_pump_cycle_rate(flow, 6e-5, 0.93, &back, NULL), IMP_OK);
        assert_relative(back, rate, 1e-14);
    }
}

static void pump_at_rest_delivers_nothing(void **state)
{
    (void)state;
    double flow;
    assert_int_equal(imp_pump_flow(6e-5, 0.0, 1.0, &flow, NULL), IMP_OK);
    assert_true(flow == 0.0);
}

static void power_at_the_drive_is_power_at_the_pumps(void **state)
{
    (void)state;
    /* energy: at one stroke speed, what the oil puts in is what both liquids take up */
    imp_pump_drive drive = even;
    drive.resin_pressure = 7e6;
    drive.resin_area = 4e-4;
    const double speed = 0.2;
    double iso, resin, oil;
    assert_int_equal(imp_pump_hydraulic_power(drive.iso_pressure, drive.iso_area * speed, 1.0, &iso, NULL), IMP_OK);
    assert_int_equal(imp_pump_hydraulic_power(drive.resin_pressure, drive.resin_area * speed, 1.0, &resin, NULL),
                     IMP_OK);
    assert_int_equal(imp_pump_hydraulic_power(drive_pressure(&drive), drive.drive_area * speed, 1.0, &oil, NULL),
                     IMP_OK);
    assert_relative(oil, iso + resin, 1e-14);
}

static void half_the_efficiency_takes_twice_the_power_and_pressure(void **state)
{
    (void)state;
    double full, half;
    assert_int_equal(imp_pump_hydraulic_power(1e7, 1e-4, 1.0, &full, NULL), IMP_OK);
    assert_int_equal(imp_pump_hydraulic_power(1e7, 1e-4, 0.5, &half, NULL), IMP_OK);
    assert_relative(half, 2.0 * full, 1e-15);
    imp_pump_drive worn = even;
    worn.efficiency = 0.5;
    assert_relative(drive_pressure(&worn), 2.0 * drive_pressure(&even), 1e-15);
}

static void equal_pressures_are_divided_by_the_area_ratio(void **state)
{
    (void)state;
    assert_relative(drive_pressure(&even), 1e7 * (5e-4 + 5e-4) / 1e-2, 1e-15);
}

static void swapping_the_sides_changes_nothing(void **state)
{
    (void)state;
    imp_pump_drive one = even, other = even;
    one.iso_pressure = other.resin_pressure = 1.3e7;
    one.iso_area = other.resin_area = 7e-4;
    assert_relative(drive_pressure(&one), drive_pressure(&other), 1e-15);
}

static void inlet_without_losses_keeps_the_supply_pressure(void **state)
{
    (void)state;
    const imp_pump_inlet plain = {.supply_absolute_pressure = 101325.0, .density = 1200.0};
    assert_true(margin_of(&plain) == 101325.0);
}

static void each_metre_of_rise_costs_the_weight_of_a_metre_of_liquid(void **state)
{
    (void)state;
    imp_pump_inlet higher = drum;
    higher.rise = 2.0;
    assert_relative(margin_of(&drum) - margin_of(&higher), 1200.0 * 9.80665, 1e-12);
    imp_pump_inlet below = drum;
    below.rise = -1.0;
    assert_true(margin_of(&below) > margin_of(&drum));
}

static void starved_pump_has_a_negative_margin(void **state)
{
    (void)state;
    imp_pump_inlet cold = drum;
    cold.line_drop = 150000.0;
    assert_true(margin_of(&cold) < 0.0);
}

static void values_outside_their_range_are_refused_in_one_sentence(void **state)
{
    (void)state;
    imp_error error;
    double result = 42.0;
    refuse(imp_pump_flow(0.0, 1.0, 1.0, &result, &error), &error, "displacement: 0 cm^3 is not above 0 cm^3");
    refuse(imp_pump_flow(6e-5, 1.0, 93.0, &result, &error), &error, "volumetric_efficiency: 9300 % is above 100 %");
    refuse(imp_pump_cycle_rate(-1e-3, 6e-5, 1.0, &result, &error), &error, "flow: -60 L/min is below 0 L/min");
    refuse(imp_pump_hydraulic_power(8e7, 1e-4, 1.0, &result, &error), &error, "pressure: 800 bar is above 700 bar");
    refuse(imp_pump_hydraulic_power(NAN, 1e-4, 1.0, &result, &error), &error, "pressure: not a finite number");
    imp_pump_drive drive = even;
    drive.drive_area = 0.0;
    refuse(imp_pump_drive_pressure(&drive, &result, &error), &error, "drive_area: 0 cm^2 is not above 0 cm^2");
    imp_pump_inlet inlet = drum;
    inlet.density = 1.2;
    refuse(imp_pump_inlet_margin(&inlet, &result, &error), &error, "density: 1.2 kg/m^3 is below 300 kg/m^3");
    assert_true(result == 42.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cycle_rate_inverts_flow),
        cmocka_unit_test(pump_at_rest_delivers_nothing),
        cmocka_unit_test(power_at_the_drive_is_power_at_the_pumps),
        cmocka_unit_test(half_the_efficiency_takes_twice_the_power_and_pressure),
        cmocka_unit_test(equal_pressures_are_divided_by_the_area_ratio),
        cmocka_unit_test(swapping_the_sides_changes_nothing),
        cmocka_unit_test(inlet_without_losses_keeps_the_supply_pressure),
        cmocka_unit_test(each_metre_of_rise_costs_the_weight_of_a_metre_of_liquid),
        cmocka_unit_test(starved_pump_has_a_negative_margin),
        cmocka_unit_test(values_outside_their_range_are_refused_in_one_sentence),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
