/* Heaters, the heating circuit of the hose, warm-up and mixing. Published values stand in reference/heat.json. */
#include "support.h"

#include "catalogue.h"
#include "heat.h"

static const double zero_celsius = 273.15;

static const char *sentence(const imp_error *error)
{
    static char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE];
    return imp_error_text(error, text, sizeof text);
}

/* Heaters */

static void heated_flow_returns_the_flow_that_took_the_power(void **state)
{
    (void)state;
    double power = 0.0, flow = 0.0;
    assert_int_equal(imp_heat_heating_power(5e-5, 1200.0, 1800.0, 35.0, 0.9, &power, NULL), IMP_OK);
    assert_int_equal(imp_heat_heated_flow(power, 1200.0, 1800.0, 35.0, 0.9, &flow, NULL), IMP_OK);
    assert_relative(flow, 5e-5, 1e-14);
}

static void no_rise_takes_no_power_and_half_the_efficiency_takes_twice(void **state)
{
    (void)state;
    double none = -1.0, once = 0.0, twice = 0.0;
    assert_int_equal(imp_heat_heating_power(5e-5, 1200.0, 1800.0, 0.0, 1.0, &none, NULL), IMP_OK);
    assert_int_equal(imp_heat_heating_power(5e-5, 1200.0, 1800.0, 35.0, 1.0, &once, NULL), IMP_OK);
    assert_int_equal(imp_heat_heating_power(5e-5, 1200.0, 1800.0, 35.0, 0.5, &twice, NULL), IMP_OK);
    assert_true(none == 0.0);
    assert_relative(twice, 2.0 * once, 1e-14);
}

static void a_flow_without_rise_has_no_largest_value_and_is_refused(void **state)
{
    (void)state;
    double flow = -7.0;
    imp_error error;
    assert_int_equal(imp_heat_heated_flow(6000.0, 1200.0, 1800.0, 0.0, 1.0, &flow, &error), IMP_RANGE);
    assert_string_equal(sentence(&error), "temperature_rise: 0 K is not above 0 K");
    assert_true(flow == -7.0);
}

/* Pressure times flow is the power that heats the liquid: the same as heating it by the rise. */
static void viscous_rise_carries_the_hydraulic_power(void **state)
{
    (void)state;
    double rise = 0.0, power = 0.0;
    assert_int_equal(imp_heat_viscous_rise(6e6, 1200.0, 1800.0, &rise, NULL), IMP_OK);
    assert_int_equal(imp_heat_heating_power(5e-5, 1200.0, 1800.0, rise, 1.0, &power, NULL), IMP_OK);
    assert_relative(power, 6e6 * 5e-5, 1e-14);
}

/* Heating circuit */

static void power_of_the_circuit_adds_up_to_voltage_times_current(void **state)
{
    (void)state;
    imp_heat_circuit circuit;
    assert_int_equal(imp_heat_hose_circuit(0.3, 4.0, 60.0, 12.0, 0.15, &circuit, NULL), IMP_OK);
    assert_relative(circuit.power + circuit.lead_loss, 60.0 * circuit.current, 1e-14);
    assert_relative(circuit.power_per_length * 4.0 * 12.0, circuit.power, 1e-14);
    assert_relative(circuit.current * (4.0 * 0.3 + 0.15), 60.0, 1e-14);
}

static imp_heat_tap tap_of(imp_heat_tap_supply supply)
{
    imp_heat_tap tap = {.voltage = -1.0};
    imp_error error;
    if (imp_heat_hose_tap(&supply, &tap, &error) != IMP_OK)
        fail_msg("%s", sentence(&error));
    return tap;
}

static const double trade_taps[] = {75.0, 40.0};
static const double trade_setting = 45.0;
static const imp_heat_tap_supply trade = {.section_resistance = 0.277,
                                          .sections = 1.0,
                                          .section_length = 15.0,
                                          .taps = trade_taps,
                                          .tap_count = 2,
                                          .current_limit = 45.0,
                                          .current_setting = &trade_setting,
                                          .supply_ratio = 1.0};

/* common practice, no source */
static void one_to_six_sections_of_the_trades_hose_take_its_two_taps(void **state)
{
    (void)state;
    static const double voltages[] = {40.0, 40.0, 40.0, 75.0, 75.0, 75.0};
    for (int sections = 1; sections <= 6; sections++) {
        imp_heat_tap_supply supply = trade;
        supply.sections = sections;
        const imp_heat_tap tap = tap_of(supply);
        assert_true(tap.voltage == voltages[sections - 1]);
        assert_true(tap.current == 45.0);
        assert_int_equal(tap.limited_by, IMP_HEAT_NEED_MET);
        assert_close(tap.power / sections, 560.9, 0.05);
        assert_close(tap.power_per_length, 37.4, 0.05);
        assert_close(tap.apparent_power, sections <= 3 ? 1800.0 : 3375.0, 1e-9);
    }
}

/* common practice, no source */
static void a_section_of_the_trades_hose_may_have_0_296_ohm_on_the_lower_and_0_278_on_the_upper_tap(void **state)
{
    (void)state;
    static const struct {
        double resistance, sections;
        imp_heat_limit limit;
        double voltage;
    } cases[] = {
        {0.296, 3.0, IMP_HEAT_NEED_MET, 40.0},
        {0.297, 3.0, IMP_HEAT_NEED_MET, 75.0},
        {0.2777, 6.0, IMP_HEAT_NEED_MET, 75.0},
        {0.2785, 6.0, IMP_HEAT_HIGHEST_TAP, 75.0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        imp_heat_tap_supply supply = trade;
        supply.section_resistance = cases[i].resistance;
        supply.sections = cases[i].sections;
        const imp_heat_tap tap = tap_of(supply);
        assert_int_equal(tap.limited_by, cases[i].limit);
        assert_true(tap.voltage == cases[i].voltage);
    }
    assert_close(40.0 / 45.0 / 3.0, 0.296, 0.0005);
    assert_close(75.0 / 45.0 / 6.0, 0.278, 0.0005);
}

static const double taps[] = {90.0, 48.0, 64.0};
static const double setting = 40.0;
static const imp_heat_tap_supply rig = {.section_resistance = 0.25,
                                        .sections = 4.0,
                                        .section_length = 12.0,
                                        .taps = taps,
                                        .tap_count = 3,
                                        .current_limit = 60.0,
                                        .current_setting = &setting,
                                        .lead_resistance = 0.1,
                                        .supply_ratio = 1.0};

static void the_highest_tap_gives_what_an_unregulated_loop_takes(void **state)
{
    (void)state;
    imp_heat_tap_supply supply = rig;
    supply.sections = 20.0;
    supply.supply_ratio = 0.9;
    const imp_heat_tap tap = tap_of(supply);
    imp_heat_circuit circuit;
    assert_int_equal(imp_heat_hose_circuit(0.25, 20.0, 0.9 * 90.0, 12.0, 0.1, &circuit, NULL), IMP_OK);
    assert_int_equal(tap.limited_by, IMP_HEAT_HIGHEST_TAP);
    assert_true(tap.voltage == 90.0);
    assert_relative(tap.current, circuit.current, 1e-14);
    assert_relative(tap.power_per_length, circuit.power_per_length, 1e-14);
    assert_relative(tap.apparent_power, circuit.power + circuit.lead_loss, 1e-14);
}

static void a_required_power_is_met_exactly_while_current_and_taps_allow(void **state)
{
    (void)state;
    const double required = 30.0, much = 80.0;
    imp_heat_tap_supply supply = rig;
    supply.current_setting = NULL;
    supply.required_power_per_length = &required;
    const imp_heat_tap met = tap_of(supply);
    assert_int_equal(met.limited_by, IMP_HEAT_NEED_MET);
    assert_relative(met.power_per_length, required, 1e-14);
    assert_relative(met.power, required * 4.0 * 12.0, 1e-14);
    supply.required_power_per_length = &much; /* takes 62 A */
    const imp_heat_tap cut = tap_of(supply);
    assert_int_equal(cut.limited_by, IMP_HEAT_CURRENT);
    assert_true(cut.current == 60.0);
    assert_true(cut.power_per_length < much);
}

static void a_lower_supply_takes_a_higher_tap_for_the_same_current(void **state)
{
    (void)state;
    imp_heat_tap_supply supply = rig; /* 40 A take 44 V */
    const imp_heat_tap nominal = tap_of(supply);
    supply.supply_ratio = 0.9; /* 48 V give only 43.2 V */
    const imp_heat_tap low = tap_of(supply);
    assert_true(nominal.voltage == 48.0 && low.voltage == 64.0);
    assert_true(low.current == nominal.current);
    assert_relative(low.apparent_power, 64.0 * 0.9 * 40.0, 1e-14);
}

static void a_tap_that_just_suffices_is_taken_in_spite_of_rounding(void **state)
{
    (void)state;
    const double ampere = 100.0, volts[] = {30.0, 60.0};
    const imp_heat_tap_supply supply = {.section_resistance = 0.1,
                                        .sections = 3.0,
                                        .section_length = 10.0,
                                        .taps = volts,
                                        .tap_count = 2,
                                        .current_limit = 200.0,
                                        .current_setting = &ampere,
                                        .supply_ratio = 1.0};
    assert_true(3.0 * 0.1 * 100.0 > 30.0); /* in doubles */
    assert_true(tap_of(supply).voltage == 30.0);
}

static void the_order_of_the_taps_does_not_matter(void **state)
{
    (void)state;
    static const double orders[3][3] = {{48.0, 64.0, 90.0}, {90.0, 64.0, 48.0}, {64.0, 90.0, 48.0}};
    for (double sections = 1.0; sections <= 12.0; sections++)
        for (size_t i = 0; i < 3; i++) {
            imp_heat_tap_supply supply = rig;
            supply.sections = sections;
            const imp_heat_tap first = tap_of(supply);
            supply.taps = orders[i];
            assert_true(tap_of(supply).voltage == first.voltage);
        }
}

static const char *tap_refusal(const imp_heat_tap_supply *supply, imp_status expected)
{
    imp_error error = {.status = IMP_OK};
    static char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE];
    imp_heat_tap tap = {.voltage = -7.0};
    assert_int_equal(imp_heat_hose_tap(supply, &tap, &error), expected);
    assert_true(tap.voltage == -7.0);
    return imp_error_text(&error, text, sizeof text);
}

static void exactly_one_of_setting_and_requirement_is_taken(void **state)
{
    (void)state;
    const double required = 30.0;
    imp_heat_tap_supply supply = rig;
    supply.required_power_per_length = &required;
    assert_string_equal(tap_refusal(&supply, IMP_RANGE),
                        "current_setting: given together with required_power_per_length; give only one of the two");
    supply.required_power_per_length = NULL;
    supply.current_setting = NULL;
    assert_string_equal(tap_refusal(&supply, IMP_MISSING),
                        "current_setting: missing; give either current_setting or required_power_per_length");
}

static void an_empty_or_endless_list_of_taps_is_refused(void **state)
{
    (void)state;
    double many[IMP_HEAT_MOST_TAPS + 1];
    for (size_t i = 0; i < IMP_HEAT_MOST_TAPS + 1; i++)
        many[i] = 20.0 + (double)i;
    imp_heat_tap_supply supply = rig;
    supply.tap_count = 0;
    assert_string_equal(tap_refusal(&supply, IMP_MISSING),
                        "taps: the list is empty; give the voltage of at least one tap");
    supply.taps = many;
    supply.tap_count = IMP_HEAT_MOST_TAPS + 1;
    assert_string_equal(tap_refusal(&supply, IMP_LIMIT), "taps: 33 taps are more than the 32 that are handled");
    supply.tap_count = IMP_HEAT_MOST_TAPS;
    assert_true(tap_of(supply).voltage == 44.0); /* 40 A through 1.1 ohm */
    many[0] = 0.0;
    assert_string_equal(tap_refusal(&supply, IMP_RANGE), "taps: 0 V is not above 0 V");
}

static void the_entry_takes_the_list_and_the_one_of_two_that_is_given(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("heat.hose_tap");
    imp_value volts[3] = {
        {.number = 90.0, .given = true}, {.number = 48.0, .given = true}, {.number = 64.0, .given = true}};
    imp_value in[9] = {{.number = 0.25, .given = true}, {.number = 4.0, .given = true},
                       {.number = 12.0, .given = true}, {.items = volts, .count = 3, .given = true},
                       {.number = 60.0, .given = true}, {.number = 40.0, .given = true}};
    imp_value out[6];
    imp_error error;
    in[7] = (imp_value){.number = 0.1, .given = true};
    assert_int_equal(imp_calc_evaluate(calc, in, out, NULL, &error), IMP_OK);
    const imp_heat_tap tap = tap_of(rig);
    assert_true(out[0].number == tap.voltage && out[1].number == tap.current && out[4].number == tap.apparent_power);
    assert_string_equal(calc->outputs[5].choices[(int)out[5].number], "need met");
    in[5].given = false;
    assert_int_equal(imp_calc_evaluate(calc, in, out, NULL, &error), IMP_MISSING);
    assert_string_equal(
        sentence(&error),
        "heat.hose_tap: current_setting: missing; give either current_setting or required_power_per_length");
}

/* Warm-up and mixing */

static imp_status warm_up(double power, double loss, double ambient, double start, double target, double *time,
                          imp_error *error)
{
    double energy = 0.0;
    const imp_status status = imp_heat_warm_up_time(power, 2e5, loss, zero_celsius + ambient, zero_celsius + start,
                                                    zero_celsius + target, time, &energy, error);
    if (status == IMP_OK)
        assert_relative(energy, power * *time, 1e-14);
    return status;
}

static void without_loss_all_power_goes_into_the_heat_capacity(void **state)
{
    (void)state;
    double time = 0.0;
    assert_int_equal(warm_up(6000.0, 0.0, 5.0, 10.0, 60.0, &time, NULL), IMP_OK);
    assert_relative(time, 2e5 * 50.0 / 6000.0, 1e-12);
}

static void a_vanishing_loss_warms_up_as_without(void **state)
{
    (void)state;
    double without = 0.0, with = 0.0;
    assert_int_equal(warm_up(6000.0, 0.0, 5.0, 10.0, 60.0, &without, NULL), IMP_OK);
    for (double loss = 1e-3; loss > 1e-300; loss *= 1e-3) {
        assert_int_equal(warm_up(6000.0, loss, 5.0, 10.0, 60.0, &with, NULL), IMP_OK);
        assert_relative(with, without, loss + 1e-13);
    }
}

static void warming_up_in_two_steps_takes_as_long(void **state)
{
    (void)state;
    double whole = 0.0, first = 0.0, second = 0.0;
    assert_int_equal(warm_up(6000.0, 60.0, 5.0, 10.0, 80.0, &whole, NULL), IMP_OK);
    assert_int_equal(warm_up(6000.0, 60.0, 5.0, 10.0, 47.0, &first, NULL), IMP_OK);
    assert_int_equal(warm_up(6000.0, 60.0, 5.0, 47.0, 80.0, &second, NULL), IMP_OK);
    assert_relative(first + second, whole, 1e-12);
}

/* From ambient with time constant C/G, 1 - 1/e of the way takes one time constant. */
static void one_time_constant_reaches_63_per_cent(void **state)
{
    (void)state;
    double time = 0.0;
    assert_int_equal(warm_up(3000.0, 50.0, 10.0, 10.0, 10.0 + 60.0 * (1.0 - exp(-1.0)), &time, NULL), IMP_OK);
    assert_relative(time, 2e5 / 50.0, 1e-12);
}

static void at_the_target_already_takes_no_time(void **state)
{
    (void)state;
    double time = -1.0;
    assert_int_equal(warm_up(0.0, 50.0, 10.0, 40.0, 40.0, &time, NULL), IMP_OK);
    assert_true(time == 0.0);
}

static void a_target_out_of_reach_names_the_temperature_that_is_reached(void **state)
{
    (void)state;
    static const struct {
        double power, loss, start, target;
        const char *text;
    } cases[] = {
        {1000.0, 25.0, 10.0, 60.0,
         "target_temperature: 60.0 degC is not reached; this power against this loss settles at 45.0 degC"},
        {1000.0, 25.0, 10.0, 45.0,
         "target_temperature: 45.0 degC is not reached; this power against this loss settles at 45.0 degC"},
        {1000.0, 25.0, 50.0, 60.0,
         "target_temperature: 60.0 degC is not reached; this power against this loss settles at 45.0 degC"},
        {0.0, 25.0, 0.0, 60.0,
         "target_temperature: 60.0 degC is not reached; this power against this loss settles at 5.0 degC"},
        {0.0, 0.0, 12.0, 60.0,
         "target_temperature: 60.0 degC is not reached; this power against this loss settles at 12.0 degC"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double time = -7.0;
        imp_error error;
        assert_int_equal(warm_up(cases[i].power, cases[i].loss, 5.0, cases[i].start, cases[i].target, &time, &error),
                         IMP_NO_SOLUTION);
        assert_string_equal(sentence(&error), cases[i].text);
        assert_true(time == -7.0);
    }
}

static void cooling_down_is_refused(void **state)
{
    (void)state;
    double time = -7.0;
    imp_error error;
    assert_int_equal(warm_up(1000.0, 25.0, 5.0, 50.0, 40.0, &time, &error), IMP_RANGE);
    assert_string_equal(
        sentence(&error),
        "target_temperature: 40.0 degC is below the start_temperature of 50.0 degC; this warms up only");
    assert_true(time == -7.0);
}

static void mixing_keeps_the_heat_and_is_the_same_both_ways_round(void **state)
{
    (void)state;
    const imp_heat_stream iso = {.flow = 5e-5, .density = 1200.0, .heat_capacity = 1500.0, .temperature = 330.0};
    const imp_heat_stream resin = {.flow = 5.2e-5, .density = 1100.0, .heat_capacity = 2000.0, .temperature = 310.0};
    double forth = 0.0, back = 0.0;
    assert_int_equal(imp_heat_mixed_temperature(&iso, &resin, &forth, NULL), IMP_OK);
    assert_int_equal(imp_heat_mixed_temperature(&resin, &iso, &back, NULL), IMP_OK);
    assert_close(forth, back, 1e-12 * forth);
    const double given = 5e-5 * 1200.0 * 1500.0 * (330.0 - forth), taken = 5.2e-5 * 1100.0 * 2000.0 * (forth - 310.0);
    assert_relative(given, taken, 1e-10);
}

/* Where the temperature settles: ambient + power/loss, 5 degC + 100 W/(0.5 W/K) = 205 degC. */
static void the_sheet_of_a_warm_up_tells_where_it_settles(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("heat.warm_up_time");
    const double numbers[] = {100.0, 2e5, 0.5, 278.15, 283.15, 333.15};
    for (int with_loss = 0; with_loss < 2; with_loss++) {
        imp_value in[6], out[IMP_MOST_OUTPUTS];
        imp_sheet sheet;
        for (size_t i = 0; i < 6; i++)
            in[i] = (imp_value){.number = i == 2 && !with_loss ? 0.0 : numbers[i], .given = true};
        imp_sheet_init(&sheet, NULL);
        assert_int_equal(imp_calc_evaluate(calc, in, out, &sheet, NULL), IMP_OK);
        int steps = 0;
        for (size_t i = 0; i < sheet.count; i++)
            if (sheet.lines[i].role == IMP_SHEET_STEP) {
                assert_string_equal(sheet.lines[i].symbol, "Te");
                assert_close(sheet.lines[i].value, 273.15 + 205.0, 1e-9);
                steps++;
            }
        assert_int_equal(steps, with_loss); /* without loss it settles nowhere */
        imp_sheet_free(&sheet);
    }
}

/* The temperature that a very long hose approaches, Ta + q/U = 5 degC + 12 W/m/(0.4 W/(m K)) = 35 degC; none without a loss. */
static void the_sheet_of_a_hose_tells_what_it_approaches(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("heat.outlet_temperature");
    const double numbers[] = {320.0, 278.15, 5e-5, 1100.0, 1800.0, 0.4, 60.0, 12.0};
    for (int with_loss = 0; with_loss < 2; with_loss++) {
        imp_value in[8], out[IMP_MOST_OUTPUTS];
        imp_sheet sheet;
        for (size_t i = 0; i < 8; i++)
            in[i] = (imp_value){.number = i == 5 && !with_loss ? 0.0 : numbers[i], .given = true};
        imp_sheet_init(&sheet, NULL);
        assert_int_equal(imp_calc_evaluate(calc, in, out, &sheet, NULL), IMP_OK);
        int found = 0;
        for (size_t i = 0; i < sheet.count; i++)
            if (sheet.lines[i].role == IMP_SHEET_STEP && strcmp(sheet.lines[i].symbol, "Te") == 0) {
                assert_close(sheet.lines[i].value, 273.15 + 35.0, 1e-9);
                found++;
            }
        assert_int_equal(found, with_loss);
        imp_sheet_free(&sheet);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(heated_flow_returns_the_flow_that_took_the_power),
        cmocka_unit_test(no_rise_takes_no_power_and_half_the_efficiency_takes_twice),
        cmocka_unit_test(a_flow_without_rise_has_no_largest_value_and_is_refused),
        cmocka_unit_test(viscous_rise_carries_the_hydraulic_power),
        cmocka_unit_test(power_of_the_circuit_adds_up_to_voltage_times_current),
        cmocka_unit_test(one_to_six_sections_of_the_trades_hose_take_its_two_taps),
        cmocka_unit_test(a_section_of_the_trades_hose_may_have_0_296_ohm_on_the_lower_and_0_278_on_the_upper_tap),
        cmocka_unit_test(the_highest_tap_gives_what_an_unregulated_loop_takes),
        cmocka_unit_test(a_required_power_is_met_exactly_while_current_and_taps_allow),
        cmocka_unit_test(a_lower_supply_takes_a_higher_tap_for_the_same_current),
        cmocka_unit_test(a_tap_that_just_suffices_is_taken_in_spite_of_rounding),
        cmocka_unit_test(the_order_of_the_taps_does_not_matter),
        cmocka_unit_test(exactly_one_of_setting_and_requirement_is_taken),
        cmocka_unit_test(an_empty_or_endless_list_of_taps_is_refused),
        cmocka_unit_test(the_entry_takes_the_list_and_the_one_of_two_that_is_given),
        cmocka_unit_test(without_loss_all_power_goes_into_the_heat_capacity),
        cmocka_unit_test(a_vanishing_loss_warms_up_as_without),
        cmocka_unit_test(warming_up_in_two_steps_takes_as_long),
        cmocka_unit_test(one_time_constant_reaches_63_per_cent),
        cmocka_unit_test(at_the_target_already_takes_no_time),
        cmocka_unit_test(a_target_out_of_reach_names_the_temperature_that_is_reached),
        cmocka_unit_test(cooling_down_is_refused),
        cmocka_unit_test(mixing_keeps_the_heat_and_is_the_same_both_ways_round),
        cmocka_unit_test(the_sheet_of_a_hose_tells_what_it_approaches),
        cmocka_unit_test(the_sheet_of_a_warm_up_tells_where_it_settles),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
