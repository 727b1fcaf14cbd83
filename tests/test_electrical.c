/* Currents, resistance, drop, ratings, generator and running cost. */
#include "support.h"

#include "catalogue.h"
#include "electrical.h"

static const double NOT_GIVEN = (double)NAN;

static imp_electrical_run run_of(double current, double length, double section)
{
    return (imp_electrical_run){.conductor = {.section = section, .temperature = 343.15, .material = IMP_COPPER_CLASS_5},
                                .current = current,
                                .length = length,
                                .voltage = 400.0,
                                .phases = IMP_THREE_PHASE,
                                .power_factor = 1.0,
                                .reactance = 0.08e-3};
}

/* common practice, no source: a line of 38.4 A at 400 V three-phase gives 26.60 kVA */
static void a_line_current_of_38_4_amperes_is_26_6_kilovolt_amperes(void **state)
{
    (void)state;
    double current = 0.0, apparent = 0.0;
    assert_int_equal(imp_electrical_three_phase_current(26600.0, 400.0, 1.0, 1.0, &current, &apparent, NULL), IMP_OK);
    assert_close(current, 38.4, 0.01);
    assert_relative(sqrt(3.0) * 400.0 * 38.4, 26600.0, 0.001);
    assert_close(apparent, 26600.0, 1e-9);
}

/* common practice, no source: 38.4 A over 25 m of 6 mm^2, class 5, 70 degC, unity power factor: 6.565 V, 1.641 % */
static void the_drop_along_25_metres_of_6_square_millimetres_is_1_64_percent(void **state)
{
    (void)state;
    const imp_electrical_run run = run_of(38.4, 25.0, 6e-6);
    double drop = 0.0, fraction = 0.0;
    assert_int_equal(imp_electrical_voltage_drop(&run, &drop, &fraction, NULL), IMP_OK);
    assert_relative(drop, 6.565, 0.001);
    assert_relative(fraction, 0.01641, 0.001);
}

/* common practice, no source: a 32 A plug is refused at 38.4 A */
static void a_32_ampere_plug_is_refused_at_38_4_amperes(void **state)
{
    (void)state;
    imp_error error;
    double rating = 1.0;
    assert_int_equal(imp_electrical_plug_rating(38.4, IMP_CODE_IEC, 32.0, &rating, &error), IMP_NO_SOLUTION);
    assert_string_equal(error.place, "plug");
    assert_string_equal(error.message, "a plug of 32 A cannot carry 38.4 A; use a larger one or split the load");
    assert_true(rating == 1.0);
    assert_int_equal(imp_electrical_plug_rating(38.4, IMP_CODE_IEC, 63.0, &rating, &error), IMP_OK);
    assert_close(rating, 63.0, 0.0);
    assert_int_equal(imp_electrical_plug_rating(38.4, IMP_CODE_IEC, NOT_GIVEN, &rating, &error), IMP_OK);
    assert_close(rating, 63.0, 0.0);
    assert_int_equal(imp_electrical_plug_rating(32.0, IMP_CODE_IEC, 32.0, &rating, &error), IMP_OK);
    assert_close(rating, 32.0, 0.0);
}

static void three_single_phase_loads_draw_what_one_three_phase_load_draws(void **state)
{
    (void)state;
    double three = 0.0, one = 0.0, apparent = 0.0;
    assert_int_equal(imp_electrical_three_phase_current(9000.0, 400.0, 0.9, 0.8, &three, &apparent, NULL), IMP_OK);
    assert_int_equal(imp_electrical_single_phase_current(3000.0, 400.0 / sqrt(3.0), 0.9, 0.8, &one, &apparent, NULL), IMP_OK);
    assert_relative(one, three, 1e-12);
}

static void arguments_outside_their_rows_are_refused_and_leave_the_result(void **state)
{
    (void)state;
    imp_error error;
    double current = 5.0, apparent = 6.0;
    assert_int_equal(imp_electrical_three_phase_current(1e3, 400.0, 1.2, 1.0, &current, &apparent, &error), IMP_RANGE);
    assert_string_equal(error.place, "power_factor");
    assert_string_equal(error.message, "1.2 is above 1");
    assert_int_equal(imp_electrical_three_phase_current((double)NAN, 400.0, 1.0, 1.0, &current, &apparent, &error), IMP_RANGE);
    assert_string_equal(error.message, "not a finite number");
    assert_int_equal(imp_electrical_single_phase_current(1e3, 0.5, 1.0, 1.0, &current, &apparent, &error), IMP_RANGE);
    assert_string_equal(error.place, "voltage");
    assert_string_equal(error.message, "0.5 V is below 1 V");
    assert_true(current == 5.0 && apparent == 6.0);
}

/* IEC 60228 class 5: 16 mm^2 has 1.21 ohm/km at 20 degC; alpha 0.00393 /K makes 27.5 % more at 90 degC. */
static void warm_copper_resists_more(void **state)
{
    (void)state;
    imp_electrical_conductor conductor = {.section = 16e-6, .temperature = 293.15, .material = IMP_COPPER_CLASS_5};
    double cold = 0.0, warm = 0.0;
    assert_int_equal(imp_electrical_conductor_resistance(&conductor, 1000.0, &cold, NULL), IMP_OK);
    conductor.temperature = 363.15;
    assert_int_equal(imp_electrical_conductor_resistance(&conductor, 1000.0, &warm, NULL), IMP_OK);
    assert_close(cold, 1.21, 1e-12);
    assert_relative(warm / cold, 1.275, 0.0002);
}

static void every_section_of_the_table_has_its_resistance(void **state)
{
    (void)state;
    double last = (double)INFINITY;
    for (size_t row = 0; row < imp_tables[IMP_TABLE_CONDUCTOR].row_count; row++) {
        const double section = imp_table_value(IMP_TABLE_CONDUCTOR, row, 0) * 1e-6;
        const imp_electrical_conductor conductor = {.section = section, .temperature = 293.15, .material = IMP_COPPER_CLASS_5};
        double resistance = 0.0;
        assert_int_equal(imp_electrical_resistance(&conductor, &resistance, NULL), IMP_OK);
        assert_close(resistance * 1e3, imp_table_value(IMP_TABLE_CONDUCTOR, row, 2), 1e-12);
        assert_true(resistance < last);
        last = resistance;
    }
}

/* NEC chapter 9 table 8, note: R2 = R1 (1 + 0.00323 (T2 - 75)); 6 AWG has 0.491 ohm/1000 ft at 75 degC */
static void nec_resistance_starts_from_75_degrees(void **state)
{
    (void)state;
    imp_electrical_conductor conductor = {.section = 13.3e-6, .temperature = 348.15, .code = IMP_CODE_NEC};
    double resistance = 0.0;
    assert_int_equal(imp_electrical_conductor_resistance(&conductor, 304.8, &resistance, NULL), IMP_OK);
    assert_close(resistance, 0.491, 1e-12);
    conductor.temperature = 363.15;
    assert_int_equal(imp_electrical_conductor_resistance(&conductor, 304.8, &resistance, NULL), IMP_OK);
    assert_close(resistance, 0.491 * (1.0 + 0.00323 * 15.0), 1e-12);
}

static void the_drop_goes_with_current_and_length_and_against_section(void **state)
{
    (void)state;
    double drop = 0.0, twice = 0.0, fraction = 0.0;
    imp_electrical_run run = run_of(20.0, 30.0, 4e-6);
    assert_int_equal(imp_electrical_voltage_drop(&run, &drop, &fraction, NULL), IMP_OK);
    run.length = 60.0;
    assert_int_equal(imp_electrical_voltage_drop(&run, &twice, &fraction, NULL), IMP_OK);
    assert_relative(twice, 2.0 * drop, 1e-12);
    run.current = 10.0;
    assert_int_equal(imp_electrical_voltage_drop(&run, &twice, &fraction, NULL), IMP_OK);
    assert_relative(twice, drop, 1e-12);
    run.conductor.section = 6e-6;
    assert_int_equal(imp_electrical_voltage_drop(&run, &twice, &fraction, NULL), IMP_OK);
    assert_true(twice < drop);
}

/* A line's drop against the neutral is 1/sqrt(3) of that between lines; on one phase the way back doubles it. */
static void one_phase_drops_two_over_root_three_times_as_much(void **state)
{
    (void)state;
    imp_electrical_run run = run_of(16.0, 40.0, 2.5e-6);
    double three = 0.0, one = 0.0, fraction = 0.0;
    assert_int_equal(imp_electrical_voltage_drop(&run, &three, &fraction, NULL), IMP_OK);
    run.phases = IMP_SINGLE_PHASE;
    assert_int_equal(imp_electrical_voltage_drop(&run, &one, &fraction, NULL), IMP_OK);
    assert_relative(one / three, 2.0 / sqrt(3.0), 1e-12);
}

static void reactance_counts_with_the_sine(void **state)
{
    (void)state;
    imp_electrical_run run = run_of(100.0, 100.0, 95e-6);
    double drop = 0.0, fraction = 0.0, per_length = 0.0;
    run.power_factor = 0.8;
    assert_int_equal(imp_electrical_resistance(&run.conductor, &per_length, NULL), IMP_OK);
    assert_int_equal(imp_electrical_voltage_drop(&run, &drop, &fraction, NULL), IMP_OK);
    assert_relative(drop, sqrt(3.0) * 1e4 * (0.8 * per_length + 0.6 * 0.08e-3), 1e-12);
}

static void a_drop_larger_than_the_voltage_is_refused(void **state)
{
    (void)state;
    imp_error error;
    double drop = 1.0, fraction = 2.0;
    const imp_electrical_run run = run_of(100.0, 5000.0, 2.5e-6);
    assert_int_equal(imp_electrical_voltage_drop(&run, &drop, &fraction, &error), IMP_NO_SOLUTION);
    assert_contains(error.message, "out of 400 V; give less current, a shorter cable or a larger section");
    assert_true(drop == 1.0 && fraction == 2.0);
}

static void a_section_between_the_standards_is_refused(void **state)
{
    (void)state;
    imp_error error;
    double drop = 1.0, fraction = 2.0;
    const imp_electrical_run run = run_of(10.0, 50.0, 7e-6);
    assert_int_equal(imp_electrical_voltage_drop(&run, &drop, &fraction, &error), IMP_NOT_APPLICABLE);
    assert_string_equal(error.message, "IEC 60228 has no class 5 copper conductor of 7 mm^2; the nearest are 6 mm^2 and 10 mm^2");
}

static void no_miniature_breaker_goes_beyond_125_amperes(void **state)
{
    (void)state;
    imp_error error;
    double rating = 0.0;
    assert_int_equal(imp_electrical_breaker_rating(125.0, IMP_CODE_IEC, &rating, NULL), IMP_OK);
    assert_close(rating, 125.0, 0.0);
    assert_int_equal(imp_electrical_breaker_rating(125.5, IMP_CODE_IEC, &rating, &error), IMP_NO_SOLUTION);
    assert_string_equal(error.place, "current");
    assert_string_equal(error.message, "no circuit-breaker of IEC 60898-1 up to 125 A carries 125.5 A; split the load");
    assert_int_equal(imp_electrical_breaker_rating(125.5, IMP_CODE_NEC, &rating, &error), IMP_OK);
    assert_close(rating, 150.0, 0.0);
    assert_int_equal(imp_electrical_plug_rating(101.0, IMP_CODE_NEC, NOT_GIVEN, &rating, &error), IMP_NO_SOLUTION);
    assert_string_equal(error.message, "no plug of IEC 60309-1 and -2 up to 100 A carries 101 A; split the load");
}

static void the_adiabatic_section_doubles_with_current_and_with_four_times_the_time(void **state)
{
    (void)state;
    imp_error error;
    double section = 0.0, twice = 0.0;
    assert_int_equal(imp_electrical_adiabatic_section(1000.0, 0.1, 115.0, &section, NULL), IMP_OK);
    assert_int_equal(imp_electrical_adiabatic_section(2000.0, 0.1, 115.0, &twice, NULL), IMP_OK);
    assert_relative(twice, 2.0 * section, 1e-12);
    assert_int_equal(imp_electrical_adiabatic_section(1000.0, 0.4, 115.0, &twice, NULL), IMP_OK);
    assert_relative(twice, 2.0 * section, 1e-12);
    assert_int_equal(imp_electrical_adiabatic_section(1000.0, 5.1, 115.0, &twice, &error), IMP_RANGE);
    assert_string_equal(error.place, "clearing_time");
    assert_string_equal(error.message, "5.1 s is above 5 s");
}

static void a_heater_at_its_rated_voltage_gives_its_rated_power(void **state)
{
    (void)state;
    double power = 0.0;
    assert_int_equal(imp_electrical_heater_power(9000.0, 400.0, 400.0, &power, NULL), IMP_OK);
    assert_close(power, 9000.0, 1e-9);
    assert_int_equal(imp_electrical_heater_power(9000.0, 400.0, 200.0, &power, NULL), IMP_OK);
    assert_close(power, 2250.0, 1e-9);
    assert_int_equal(imp_electrical_heater_power(9000.0, 400.0, 0.0, &power, NULL), IMP_OK);
    assert_close(power, 0.0, 0.0);
}

static void a_motor_of_the_nec_table_is_found_by_its_horsepower(void **state)
{
    (void)state;
    imp_error error;
    double current = 9.0;
    assert_int_equal(imp_electrical_motor_current(10.0 * 746.0, 208.0, &current, NULL), IMP_OK);
    assert_close(current, 30.8, 0.0);
    assert_int_equal(imp_electrical_motor_current(10.0 * 745.7, 480.0, &current, NULL), IMP_OK);
    assert_close(current, 14.0, 0.0);
    /* half a per cent is the same motor, as it covers what a conversion through kW with one digit leaves */
    assert_int_equal(imp_electrical_motor_current(10.0 * 745.7 * 1.0049, 480.0, &current, NULL), IMP_OK);
    assert_int_equal(imp_electrical_motor_current(10.0 * 745.7 * 1.0053, 480.0, &current, NULL), IMP_NOT_APPLICABLE);
    assert_int_equal(imp_electrical_motor_current(10.0 * 745.7 * 0.9951, 480.0, &current, NULL), IMP_OK);
    assert_int_equal(imp_electrical_motor_current(10.0 * 745.7 * 0.9947, 480.0, &current, NULL), IMP_NOT_APPLICABLE);
    assert_int_equal(imp_electrical_motor_current(9.0 * 745.7, 480.0, &current, &error), IMP_NOT_APPLICABLE);
    assert_string_equal(error.message, "NEC table 430.250 has no motor of 9 hp; take the next larger standard one");
    assert_int_equal(imp_electrical_motor_current(10.0 * 745.7, 400.0, &current, &error), IMP_NOT_APPLICABLE);
    assert_string_equal(error.place, "voltage");
    assert_close(current, 14.0, 0.0);
}

static imp_generator_case site(void)
{
    return (imp_generator_case){.running_power = 20e3,
                                .running_power_factor = 0.9,
                                .starting_power = 40e3,
                                .dip_limit = 0.2,
                                .reactance = 0.2,
                                .altitude = 0.0,
                                .ambient_temperature = 298.15,
                                .installed = NOT_GIVEN,
                                .largest_line_current = NOT_GIVEN,
                                .voltage = NOT_GIVEN,
                                .time = NOT_GIVEN,
                                .duty = 1.0,
                                .specific_consumption = NOT_GIVEN};
}

static void a_generator_of_the_needed_rating_dips_exactly_to_the_limit(void **state)
{
    (void)state;
    imp_generator_case load = site();
    load.altitude = 1800.0;
    load.ambient_temperature = 313.15;
    imp_generator_need need;
    assert_int_equal(imp_electrical_generator(&load, &need, NULL), IMP_OK);
    assert_int_equal(need.governed_by, IMP_GENERATOR_STARTING);
    assert_true(isnan(need.voltage_dip));
    load.installed = need.rating;
    assert_int_equal(imp_electrical_generator(&load, &need, NULL), IMP_OK);
    assert_relative(need.voltage_dip, load.dip_limit, 1e-12);
}

static void without_a_motor_the_running_load_governs(void **state)
{
    (void)state;
    imp_generator_case load = site();
    load.starting_power = 0.0;
    load.installed = 30e3;
    imp_generator_need need;
    assert_int_equal(imp_electrical_generator(&load, &need, NULL), IMP_OK);
    assert_relative(need.rating, 20e3 / 0.9, 1e-12);
    assert_int_equal(need.governed_by, IMP_GENERATOR_RUNNING);
    assert_close(need.voltage_dip, 0.0, 0.0);
}

/* common practice, no source: 3.5 % for each 300 m above 150 m, 1 % for each 5 K above 25 degC, each by itself */
static void thin_and_hot_air_ask_for_a_larger_generator(void **state)
{
    (void)state;
    imp_generator_case load = site();
    imp_generator_need low, high;
    assert_int_equal(imp_electrical_generator(&load, &low, NULL), IMP_OK);
    load.altitude = 1050.0;
    assert_int_equal(imp_electrical_generator(&load, &high, NULL), IMP_OK);
    assert_relative(high.rating, low.rating / (1.0 - 0.105), 1e-12);
    load.altitude = 150.0;
    load.ambient_temperature = 308.15;
    assert_int_equal(imp_electrical_generator(&load, &high, NULL), IMP_OK);
    assert_relative(high.rating, low.rating / 0.98, 1e-12);
    load.altitude = 0.0;
    load.ambient_temperature = 278.15;
    assert_int_equal(imp_electrical_generator(&load, &high, NULL), IMP_OK);
    assert_relative(high.rating, low.rating, 1e-12);
}

/* 12 kW on one line of three asks for 36 kVA, though 12 kVA runs: no line may carry more than a third. */
static void the_most_loaded_line_asks_for_three_times_its_power(void **state)
{
    (void)state;
    imp_generator_case load = site();
    imp_generator_need need;
    load.starting_power = 0.0;
    load.running_power = 12e3;
    load.running_power_factor = 1.0;
    load.voltage = 400.0;
    load.largest_line_current = 12e3 / (400.0 / sqrt(3.0));
    assert_int_equal(imp_electrical_generator(&load, &need, NULL), IMP_OK);
    assert_relative(need.rating, 36e3, 1e-12);
    assert_int_equal(need.governed_by, IMP_GENERATOR_UNBALANCE);
    load.largest_line_current /= 3.0; /* spread evenly: the running load itself */
    assert_int_equal(imp_electrical_generator(&load, &need, NULL), IMP_OK);
    assert_relative(need.rating, 12e3, 1e-12);
    assert_int_equal(need.governed_by, IMP_GENERATOR_RUNNING);
    imp_error error;
    load.voltage = NOT_GIVEN;
    assert_int_equal(imp_electrical_generator(&load, &need, &error), IMP_MISSING);
    assert_string_equal(error.place, "voltage");
}

static void the_fuel_of_the_day_is_energy_times_consumption(void **state)
{
    (void)state;
    imp_generator_case load = site();
    imp_generator_need need;
    load.specific_consumption = 0.3e-3 / 3.6e6;
    imp_error error;
    assert_int_equal(imp_electrical_generator(&load, &need, &error), IMP_MISSING);
    assert_string_equal(error.place, "time");
    assert_string_equal(error.message, "missing; fuel needs the time that the generator runs");
    load.time = 8.0 * 3600.0;
    load.duty = 0.5;
    assert_int_equal(imp_electrical_generator(&load, &need, NULL), IMP_OK);
    assert_relative(need.energy, load.running_power * 4.0 * 3600.0, 1e-12);
    assert_relative(need.fuel * 1e3, load.running_power / 1e3 * 4.0 * 0.3, 1e-12);
    load.specific_consumption = NOT_GIVEN;
    assert_int_equal(imp_electrical_generator(&load, &need, NULL), IMP_OK);
    assert_true(isnan(need.fuel) && !isnan(need.energy));
}

static void running_cost_needs_exactly_one_price(void **state)
{
    (void)state;
    imp_error error;
    double energy = 1.0, fuel = 2.0, cost = 3.0;
    imp_running_cost run = {.power = 1000.0, .duty = 0.5, .time = 7200.0, .energy_price = NOT_GIVEN, .fuel_price = NOT_GIVEN,
                            .specific_consumption = NOT_GIVEN};
    assert_int_equal(imp_electrical_running_cost(&run, &energy, &fuel, &cost, &error), IMP_MISSING);
    assert_string_equal(error.message, "missing energy_price, or fuel_price with specific_consumption");
    run.fuel_price = 1600.0;
    assert_int_equal(imp_electrical_running_cost(&run, &energy, &fuel, &cost, &error), IMP_MISSING);
    assert_string_equal(error.place, "specific_consumption");
    run.energy_price = 0.3 / 3.6e6;
    assert_int_equal(imp_electrical_running_cost(&run, &energy, &fuel, &cost, &error), IMP_NOT_APPLICABLE);
    assert_string_equal(error.place, "fuel_price");
    assert_true(energy == 1.0 && fuel == 2.0 && cost == 3.0);
    run.fuel_price = NOT_GIVEN;
    assert_int_equal(imp_electrical_running_cost(&run, &energy, &fuel, &cost, &error), IMP_OK);
    assert_close(energy, 3.6e6, 1e-6);
    assert_close(cost, 0.3, 1e-12);
    assert_true(isnan(fuel));
}

static void every_entry_of_the_room_stands_in_the_catalogue(void **state)
{
    (void)state;
    static const char *const ids[] = {"three_phase_current", "single_phase_current", "conductor_resistance", "voltage_drop",
                                      "breaker_rating", "plug_rating", "cable_size", "adiabatic_section", "heater_power",
                                      "awg_area", "generator", "line_currents", "running_cost"};
    for (size_t i = 0; i < sizeof ids / sizeof ids[0]; i++) {
        char id[64] = "electrical.";
        strncat(id, ids[i], sizeof id - 12);
        assert_non_null(imp_catalogue_find(id));
    }
}

static void aluminium_is_made_in_class_2_only(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("electrical.conductor_resistance");
    imp_error error;
    double out[1] = {4.0};
    double in[] = {50e-6, 1000.0, 293.15, 1.0, 1.0, 0.0};
    assert_int_equal(imp_calc_numbers(calc, in, out, &error), IMP_NOT_APPLICABLE);
    assert_string_equal(error.place, "electrical.conductor_resistance: class");
    in[3] = 0.0;
    assert_int_equal(imp_calc_numbers(calc, in, out, &error), IMP_OK);
    assert_close(out[0], 0.641, 1e-12);
}

/* At power factor 1 the drop is root 3 times current, length and the resistance that the sheet tells. */
static void the_sheet_of_a_drop_tells_its_resistance(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("electrical.voltage_drop");
    const char *names[] = {"current", "length", "voltage", "section", "power_factor", "phases"};
    const double numbers[] = {38.4, 25.0, 400.0, 6e-6, 1.0, IMP_THREE_PHASE};
    imp_value in[IMP_MOST_INPUTS] = {{.given = false}}, out[IMP_MOST_OUTPUTS];
    imp_sheet sheet;
    imp_error error = {.message = ""};
    for (size_t i = 0; i < 6; i++) {
        size_t at;
        assert_non_null(imp_calc_input(calc, names[i], &at));
        in[at] = (imp_value){.number = numbers[i], .given = true};
    }
    imp_sheet_init(&sheet, NULL);
    if (imp_calc_evaluate(calc, in, out, &sheet, &error) != IMP_OK)
        fail_msg("%s: %s", error.place, error.message);
    double resistance = 0.0;
    for (size_t i = 0; i < sheet.count; i++)
        if (sheet.lines[i].role == IMP_SHEET_STEP && strcmp(sheet.lines[i].symbol, "R") == 0)
            resistance = sheet.lines[i].value;
    assert_relative(sqrt(3.0) * 38.4 * 25.0 * resistance, out[0].number, 1e-12);
    imp_sheet_free(&sheet);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_line_current_of_38_4_amperes_is_26_6_kilovolt_amperes),
        cmocka_unit_test(the_drop_along_25_metres_of_6_square_millimetres_is_1_64_percent),
        cmocka_unit_test(a_32_ampere_plug_is_refused_at_38_4_amperes),
        cmocka_unit_test(three_single_phase_loads_draw_what_one_three_phase_load_draws),
        cmocka_unit_test(arguments_outside_their_rows_are_refused_and_leave_the_result),
        cmocka_unit_test(warm_copper_resists_more),
        cmocka_unit_test(every_section_of_the_table_has_its_resistance),
        cmocka_unit_test(nec_resistance_starts_from_75_degrees),
        cmocka_unit_test(the_drop_goes_with_current_and_length_and_against_section),
        cmocka_unit_test(one_phase_drops_two_over_root_three_times_as_much),
        cmocka_unit_test(reactance_counts_with_the_sine),
        cmocka_unit_test(a_drop_larger_than_the_voltage_is_refused),
        cmocka_unit_test(a_section_between_the_standards_is_refused),
        cmocka_unit_test(no_miniature_breaker_goes_beyond_125_amperes),
        cmocka_unit_test(the_adiabatic_section_doubles_with_current_and_with_four_times_the_time),
        cmocka_unit_test(a_heater_at_its_rated_voltage_gives_its_rated_power),
        cmocka_unit_test(a_motor_of_the_nec_table_is_found_by_its_horsepower),
        cmocka_unit_test(a_generator_of_the_needed_rating_dips_exactly_to_the_limit),
        cmocka_unit_test(without_a_motor_the_running_load_governs),
        cmocka_unit_test(thin_and_hot_air_ask_for_a_larger_generator),
        cmocka_unit_test(the_most_loaded_line_asks_for_three_times_its_power),
        cmocka_unit_test(the_fuel_of_the_day_is_energy_times_consumption),
        cmocka_unit_test(running_cost_needs_exactly_one_price),
        cmocka_unit_test(every_entry_of_the_room_stands_in_the_catalogue),
        cmocka_unit_test(aluminium_is_made_in_class_2_only),
        cmocka_unit_test(the_sheet_of_a_drop_tells_its_resistance),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
