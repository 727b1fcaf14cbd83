/* Loads on a three-phase supply: phasors, states, diversity. */
#include "support.h"

#include <complex.h>

#include "catalogue.h"
#include "electrical_loads.h"
#include "line_currents.h"

static const double NOT_GIVEN = (double)NAN;

static imp_load load_of(imp_load_kind kind, imp_load_connection connection, double power)
{
    return (imp_load){.kind = kind,
                      .connection = connection,
                      .power = power,
                      .rated_voltage = NOT_GIVEN,
                      .power_factor = 1.0,
                      .efficiency = 1.0,
                      .diversity = 1.0,
                      .start = IMP_START_DIRECT,
                      .when = IMP_WHEN_ALWAYS};
}

static imp_line_currents sum_of(const imp_load *loads, size_t count, double measured, imp_supply_state when)
{
    imp_line_currents sum = {.neutral = -1.0};
    imp_error error = {.message = ""};
    const imp_line_supply supply = {.voltage = 400.0, .measured_voltage = measured, .phases = IMP_THREE_PHASE};
    if (imp_line_currents_sum(&supply, loads, count, when, &sum, &error) != IMP_OK)
        print_error("%s: %s\n", error.place, error.message);
    return sum;
}

static void a_balanced_load_has_no_neutral_current_in_star_or_delta(void **state)
{
    (void)state;
    for (int connection = IMP_LOAD_STAR; connection <= IMP_LOAD_DELTA; connection++) {
        imp_load load = load_of(IMP_LOAD_OTHER, (imp_load_connection)connection, 12e3);
        load.power_factor = 0.8;
        const imp_line_currents sum = sum_of(&load, 1, NOT_GIVEN, IMP_STATE_ALL);
        for (int line = 0; line < 3; line++)
            assert_relative(sum.line[line], 12e3 / (sqrt(3.0) * 400.0 * 0.8), 1e-12);
        assert_close(sum.neutral, 0.0, 1e-12);
        assert_close(sum.unbalance, 0.0, 1e-12);
        assert_relative(sum.apparent_power, 15e3, 1e-12);
        assert_relative(sum.active_power, 12e3, 1e-12);
        assert_relative(sum.power_factor, 0.8, 1e-12);
    }
}

static void three_equal_line_to_neutral_loads_are_one_star_load(void **state)
{
    (void)state;
    const imp_load three[] = {load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L1_N, 2e3), load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L2_N, 2e3),
                              load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L3_N, 2e3)};
    const imp_load star = load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_STAR, 6e3);
    const imp_line_currents split = sum_of(three, 3, 380.0, IMP_STATE_ALL), whole = sum_of(&star, 1, 380.0, IMP_STATE_ALL);
    for (int line = 0; line < 3; line++)
        assert_relative(split.line[line], whole.line[line], 1e-12);
    assert_close(split.neutral, 0.0, 1e-12);
}

static void three_equal_line_to_line_loads_are_one_delta_load(void **state)
{
    (void)state;
    const imp_load three[] = {load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L1_L2, 3e3), load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L2_L3, 3e3),
                              load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L3_L1, 3e3)};
    const imp_load delta = load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_DELTA, 9e3);
    const imp_line_currents split = sum_of(three, 3, NOT_GIVEN, IMP_STATE_ALL), whole = sum_of(&delta, 1, NOT_GIVEN, IMP_STATE_ALL);
    for (int line = 0; line < 3; line++)
        assert_relative(split.line[line], whole.line[line], 1e-12);
}

static void a_line_to_line_load_uses_two_lines_and_no_neutral(void **state)
{
    (void)state;
    for (int connection = IMP_LOAD_L1_L2; connection <= IMP_LOAD_L3_L1; connection++) {
        const imp_load load = load_of(IMP_LOAD_RESISTIVE, (imp_load_connection)connection, 4e3);
        const imp_line_currents sum = sum_of(&load, 1, NOT_GIVEN, IMP_STATE_ALL);
        const int idle = (connection - IMP_LOAD_L1_L2 + 2) % 3;
        for (int line = 0; line < 3; line++)
            assert_close(sum.line[line], line == idle ? 0.0 : 10.0, 1e-12);
        assert_close(sum.neutral, 0.0, 1e-12);
    }
}

static void one_line_alone_returns_through_the_neutral_and_is_unbalanced_by_two(void **state)
{
    (void)state;
    const imp_load load = load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L3_N, 2300.0);
    const imp_line_currents sum = sum_of(&load, 1, NOT_GIVEN, IMP_STATE_ALL);
    assert_close(sum.line[0], 0.0, 0.0);
    assert_relative(sum.line[2], 2300.0 * sqrt(3.0) / 400.0, 1e-12);
    assert_relative(sum.neutral, sum.line[2], 1e-12);
    assert_relative(sum.unbalance, 2.0, 1e-12);
}

/* A heater's power falls with the square of the voltage, so its current falls with the voltage; a motor's rises. */
static void low_voltage_lowers_a_heaters_current_and_raises_a_motors(void **state)
{
    (void)state;
    imp_load heater = load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_STAR, 10e3), motor = load_of(IMP_LOAD_MOTOR, IMP_LOAD_STAR, 4e3);
    motor.efficiency = 0.86;
    motor.power_factor = 0.82;
    const double full = sum_of(&heater, 1, NOT_GIVEN, IMP_STATE_ALL).line[0], low = sum_of(&heater, 1, 360.0, IMP_STATE_ALL).line[0];
    assert_relative(low, 0.9 * full, 1e-12);
    assert_relative(sum_of(&heater, 1, 360.0, IMP_STATE_ALL).active_power, 0.81 * 10e3, 1e-12);
    const double motor_full = sum_of(&motor, 1, NOT_GIVEN, IMP_STATE_ALL).line[0];
    assert_relative(motor_full, 4e3 / 0.86 / 0.82 / (sqrt(3.0) * 400.0), 1e-12);
    assert_relative(sum_of(&motor, 1, 360.0, IMP_STATE_ALL).line[0], motor_full / 0.9, 1e-12);
}

static void a_rated_voltage_is_that_across_the_load(void **state)
{
    (void)state;
    imp_load heater = load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L1_N, 2e3);
    heater.rated_voltage = 240.0;
    const imp_line_currents sum = sum_of(&heater, 1, NOT_GIVEN, IMP_STATE_ALL);
    const double across = 400.0 / sqrt(3.0);
    assert_relative(sum.active_power, 2e3 * across * across / (240.0 * 240.0), 1e-12);
}

static void a_state_counts_its_own_loads_and_those_that_always_run(void **state)
{
    (void)state;
    imp_load loads[] = {load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_STAR, 9e3), load_of(IMP_LOAD_OTHER, IMP_LOAD_STAR, 3e3),
                        load_of(IMP_LOAD_OTHER, IMP_LOAD_STAR, 1e3)};
    loads[0].when = IMP_WHEN_HEATING;
    loads[1].when = IMP_WHEN_SPRAYING;
    assert_relative(sum_of(loads, 3, NOT_GIVEN, IMP_STATE_HEATING).active_power, 10e3, 1e-12);
    assert_relative(sum_of(loads, 3, NOT_GIVEN, IMP_STATE_SPRAYING).active_power, 4e3, 1e-12);
    assert_relative(sum_of(loads, 3, NOT_GIVEN, IMP_STATE_ALL).active_power, 13e3, 1e-12);
    assert_close(sum_of(loads, 1, NOT_GIVEN, IMP_STATE_SPRAYING).line[0], 0.0, 0.0);
    assert_close(sum_of(loads, 1, NOT_GIVEN, IMP_STATE_SPRAYING).unbalance, 0.0, 0.0);
    assert_close(sum_of(loads, 1, NOT_GIVEN, IMP_STATE_SPRAYING).power_factor, 1.0, 0.0);
}

static void diversity_lowers_the_lines_and_not_what_is_connected(void **state)
{
    (void)state;
    imp_load loads[] = {load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_STAR, 6e3), load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L1_N, 2e3)};
    const imp_line_currents full = sum_of(loads, 2, NOT_GIVEN, IMP_STATE_ALL);
    loads[0].diversity = loads[1].diversity = 0.5;
    const imp_line_currents half = sum_of(loads, 2, NOT_GIVEN, IMP_STATE_ALL);
    for (int line = 0; line < 3; line++) {
        assert_relative(half.line[line], 0.5 * full.line[line], 1e-12);
        assert_relative(half.connected[line], full.line[line], 1e-12);
        assert_relative(full.connected[line], full.line[line], 1e-12);
    }
    assert_relative(half.neutral, 0.5 * full.neutral, 1e-12);
}

/* Active and reactive power add; amperes of unlike power factor do not. */
static void currents_of_unlike_power_factor_add_to_less_than_their_sum(void **state)
{
    (void)state;
    imp_load loads[] = {load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_STAR, 8e3), load_of(IMP_LOAD_MOTOR, IMP_LOAD_STAR, 8e3)};
    loads[1].power_factor = 0.6;
    const double both = sum_of(loads, 2, NOT_GIVEN, IMP_STATE_ALL).line[0];
    const double apart = sum_of(&loads[0], 1, NOT_GIVEN, IMP_STATE_ALL).line[0] + sum_of(&loads[1], 1, NOT_GIVEN, IMP_STATE_ALL).line[0];
    const double reactive = 8e3 * 0.8 / 0.6;
    assert_true(both < apart);
    assert_relative(both, sqrt(16e3 * 16e3 + reactive * reactive) / (sqrt(3.0) * 400.0), 1e-12);
}

/* Kirchhoff, and power: what the lines carry is what the loads draw, for any mixture. */
static void the_lines_carry_the_power_of_the_loads(void **state)
{
    (void)state;
    imp_load loads[8];
    double active = 0.0, reactive = 0.0;
    for (int i = 0; i < 8; i++) {
        loads[i] = load_of(IMP_LOAD_OTHER, (imp_load_connection)i, 1000.0 + 370.0 * i);
        loads[i].power_factor = 0.55 + 0.05 * i;
        active += loads[i].power;
        reactive += loads[i].power * tan(acos(loads[i].power_factor));
    }
    const imp_line_currents sum = sum_of(loads, 8, NOT_GIVEN, IMP_STATE_ALL);
    assert_relative(sum.active_power, active, 1e-12);
    assert_relative(sum.apparent_power, hypot(active, reactive), 1e-12);
    assert_true(400.0 / sqrt(3.0) * (sum.line[0] + sum.line[1] + sum.line[2]) >= sum.apparent_power * (1.0 - 1e-12));
}

/* common practice, no source, but for the third: star-delta takes a third of the direct start's apparent power */
static void star_delta_starts_with_a_third_of_a_direct_start(void **state)
{
    (void)state;
    imp_load motor = load_of(IMP_LOAD_MOTOR, IMP_LOAD_STAR, 7.5e3);
    motor.efficiency = 0.9;
    motor.power_factor = 0.85;
    motor.diversity = 0.5; /* starting knows no diversity */
    const double direct = sum_of(&motor, 1, NOT_GIVEN, IMP_STATE_ALL).starting_power;
    motor.start = IMP_START_STAR_DELTA;
    assert_relative(sum_of(&motor, 1, NOT_GIVEN, IMP_STATE_ALL).starting_power, direct / 3.0, 1e-12);
    assert_relative(direct, 6.5 * 7.5e3 / 0.9 / 0.85, 1e-12);
    motor.start = IMP_START_SOFT;
    assert_relative(sum_of(&motor, 1, NOT_GIVEN, IMP_STATE_ALL).starting_power, 3.0 * 7.5e3 / 0.9 / 0.85, 1e-12);
    const imp_load heater = load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_STAR, 9e3);
    assert_close(sum_of(&heater, 1, NOT_GIVEN, IMP_STATE_ALL).starting_power, 0.0, 0.0);
}

static void a_lamp_of_half_a_watt_has_its_own_power_factor(void **state)
{
    (void)state;
    imp_load lamp = load_of(IMP_LOAD_OTHER, IMP_LOAD_L1_N, 0.5);
    lamp.power_factor = 0.7;
    assert_relative(sum_of(&lamp, 1, NOT_GIVEN, IMP_STATE_ALL).power_factor, 0.7, 1e-12);
}

static void a_load_outside_its_rows_is_named_by_its_place(void **state)
{
    (void)state;
    imp_load loads[] = {load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_STAR, 6e3), load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L1_N, 2e3)};
    loads[1].power_factor = 0.0;
    imp_error error;
    imp_line_currents sum = {.neutral = 8.0};
    const imp_line_supply supply = {.voltage = 400.0, .measured_voltage = NOT_GIVEN, .phases = IMP_THREE_PHASE};
    assert_int_equal(imp_line_currents_sum(&supply, loads, 2, IMP_STATE_ALL, &sum, &error), IMP_RANGE);
    assert_string_equal(error.place, "loads[2].power_factor");
    assert_string_equal(error.message, "0 is not above 0");
    loads[1].power_factor = 1.0;
    loads[0].connection = (imp_load_connection)9;
    assert_int_equal(imp_line_currents_sum(&supply, loads, 2, IMP_STATE_ALL, &sum, &error), IMP_RANGE);
    assert_string_equal(error.place, "loads[1].connection");
    assert_true(sum.neutral == 8.0);
}

enum { FIELDS = 11, KIND = 1, CONNECTION = 2, POWER = 3 };

static void a_motor_without_its_power_factor_is_refused(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("electrical.line_currents");
    imp_value fields[FIELDS] = {0}, in[5] = {0}, out[12] = {{.number = 3.0}};
    fields[KIND] = (imp_value){.number = IMP_LOAD_MOTOR, .given = true};
    fields[CONNECTION] = (imp_value){.number = IMP_LOAD_DELTA, .given = true};
    fields[POWER] = (imp_value){.number = 3e3, .given = true};
    in[0] = (imp_value){.number = 400.0, .given = true};
    in[2] = (imp_value){.items = fields, .count = 1, .given = true};
    imp_error error;
    assert_int_equal(imp_calc_evaluate(calc, in, out, NULL, &error), IMP_MISSING);
    assert_string_equal(error.place, "electrical.line_currents: loads[1].power_factor");
    assert_string_equal(error.message, "missing; a motor's nameplate gives it");
    assert_true(out[0].number == 3.0);
    fields[KIND].number = IMP_LOAD_RESISTIVE; /* a heater needs neither, and starts from the defaults */
    assert_int_equal(imp_calc_evaluate(calc, in, out, NULL, &error), IMP_OK);
    assert_relative(out[0].number, 3e3 / (sqrt(3.0) * 400.0), 1e-12);
}

static void more_than_64_loads_are_refused(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("electrical.line_currents");
    static imp_value fields[65 * FIELDS];
    for (size_t i = 0; i < 65; i++) {
        fields[i * FIELDS + KIND] = (imp_value){.number = IMP_LOAD_RESISTIVE, .given = true};
        fields[i * FIELDS + CONNECTION] = (imp_value){.number = IMP_LOAD_STAR, .given = true};
        fields[i * FIELDS + POWER] = (imp_value){.number = 1e3, .given = true};
    }
    imp_value in[5] = {{.number = 400.0, .given = true}}, out[12];
    in[2] = (imp_value){.items = fields, .count = 65, .given = true};
    imp_error error;
    assert_int_equal(imp_calc_evaluate(calc, in, out, NULL, &error), IMP_LIMIT);
    assert_string_equal(error.message, "65 loads; 64 at most, take some together");
    in[2].count = 64;
    assert_int_equal(imp_calc_evaluate(calc, in, out, NULL, &error), IMP_OK);
    assert_relative(out[6].number, 64e3, 1e-12);
}

/* By definition: one line stands at the supply's voltage; the neutral of two stands between them; three are 120 degrees
 * apart, in the order L1, L2, L3, and the voltage is that between any two. */
static void the_lines_of_a_supply_stand_where_their_number_says(void **state)
{
    (void)state;
    imp_load load = load_of(IMP_LOAD_OTHER, IMP_LOAD_L1_N, 1e3);
    imp_line_supply supply = {.voltage = 230.0, .measured_voltage = NOT_GIVEN, .phases = IMP_SINGLE_PHASE};
    imp_load_supply found;
    assert_int_equal(imp_load_supply_of(&supply, &load, 1, IMP_STATE_ALL, &found, NULL), IMP_OK);
    assert_int_equal(found.lines, 1);
    assert_close(cabs(found.phase[0] - 230.0), 0.0, 1e-12);
    load.connection = IMP_LOAD_L1_L2;
    supply.voltage = 240.0;
    supply.measured_voltage = 236.0;
    assert_int_equal(imp_load_supply_of(&supply, &load, 1, IMP_STATE_ALL, &found, NULL), IMP_OK);
    assert_int_equal(found.lines, 2);
    assert_close(cabs(found.phase[0] - 118.0), 0.0, 1e-12);
    assert_close(cabs(found.phase[1] + 118.0), 0.0, 1e-12);
    supply.phases = IMP_THREE_PHASE;
    assert_int_equal(imp_load_supply_of(&supply, &load, 1, IMP_STATE_ALL, &found, NULL), IMP_OK);
    assert_int_equal(found.lines, 3);
    assert_close(cimag(found.phase[0]), 0.0, 1e-12);
    for (int line = 0; line < 3; line++)
        assert_relative(cabs(found.phase[line] - found.phase[(line + 1) % 3]), 236.0, 1e-12);
    assert_close(cabs(found.phase[0] + found.phase[1] + found.phase[2]), 0.0, 1e-10);
    assert_true(cimag(found.phase[1]) < 0.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_balanced_load_has_no_neutral_current_in_star_or_delta),
        cmocka_unit_test(three_equal_line_to_neutral_loads_are_one_star_load),
        cmocka_unit_test(three_equal_line_to_line_loads_are_one_delta_load),
        cmocka_unit_test(a_line_to_line_load_uses_two_lines_and_no_neutral),
        cmocka_unit_test(one_line_alone_returns_through_the_neutral_and_is_unbalanced_by_two),
        cmocka_unit_test(low_voltage_lowers_a_heaters_current_and_raises_a_motors),
        cmocka_unit_test(a_rated_voltage_is_that_across_the_load),
        cmocka_unit_test(a_state_counts_its_own_loads_and_those_that_always_run),
        cmocka_unit_test(diversity_lowers_the_lines_and_not_what_is_connected),
        cmocka_unit_test(currents_of_unlike_power_factor_add_to_less_than_their_sum),
        cmocka_unit_test(the_lines_carry_the_power_of_the_loads),
        cmocka_unit_test(a_lamp_of_half_a_watt_has_its_own_power_factor),
        cmocka_unit_test(star_delta_starts_with_a_third_of_a_direct_start),
        cmocka_unit_test(a_load_outside_its_rows_is_named_by_its_place),
        cmocka_unit_test(a_motor_without_its_power_factor_is_refused),
        cmocka_unit_test(more_than_64_loads_are_refused),
        cmocka_unit_test(the_lines_of_a_supply_stand_where_their_number_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
