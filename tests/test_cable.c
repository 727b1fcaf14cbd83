/* Cable, breaker and drop together, by IEC and by NEC. Over 500 lines: many small cases of one subject. */
#include "support.h"

#include <stdio.h>

#include "argument.h"
#include "cable.h"
#include "catalogue.h"

static const double NOT_GIVEN = (double)NAN;

static imp_cable_laying laid(imp_cable_method method, imp_insulation insulation)
{
    return (imp_cable_laying){.phases = IMP_THREE_PHASE,
                              .method = method,
                              .insulation = insulation,
                              .ambient_temperature = 303.15,
                              .grouped = 1.0,
                              .code = IMP_CODE_IEC,
                              .layers_on_drum = 0.0,
                              .terminal_temperature = 348.15};
}

static imp_cable_load load_of(double current)
{
    return (imp_cable_load){.current = current,
                            .length = 25.0,
                            .voltage = 400.0,
                            .power_factor = 1.0,
                            .drop_limit = 0.05,
                            .conductor = IMP_COPPER_CLASS_5,
                            .continuous = true,
                            .breaker = NOT_GIVEN,
                            .section = NOT_GIVEN,
                            .fault_current = NOT_GIVEN,
                            .clearing_time = NOT_GIVEN};
}

static imp_cable_choice chosen(const imp_cable_load *load, const imp_cable_laying *laying)
{
    imp_cable_choice choice = {.section = -1.0};
    imp_error error = {.message = ""};
    if (imp_cable_size(load, laying, &choice, &error) != IMP_OK)
        print_error("%s: %s\n", error.place, error.message);
    return choice;
}

/* The refusal's text; "" when it is accepted. */
static const char *refusal(const imp_cable_load *load, const imp_cable_laying *laying, imp_status expected)
{
    static char text[IMP_MESSAGE_SIZE + IMP_PLACE_SIZE];
    imp_cable_choice choice = {.section = 42.0};
    imp_error error = {.message = ""};
    const imp_status status = imp_cable_size(load, laying, &choice, &error);
    assert_int_equal(status, expected);
    assert_true(status == IMP_OK || choice.section == 42.0);
    return imp_error_text(&error, text, sizeof text);
}

/* common practice, no source: 38.4 A through 6 mm^2 PVC at 30 degC goes by methods C and E with a 40 A breaker */
static void six_square_millimetres_carry_38_4_amperes_on_a_wall_and_in_free_air(void **state)
{
    (void)state;
    const imp_cable_load load = load_of(38.4);
    imp_cable_laying laying = laid(IMP_METHOD_C, IMP_INSULATION_PVC);
    imp_cable_choice choice = chosen(&load, &laying);
    assert_close(choice.section * 1e6, 6.0, 1e-9);
    assert_close(choice.breaker, 40.0, 0.0);
    assert_close(choice.ampacity, 41.0, 1e-9);
    assert_relative(choice.drop_fraction, 0.01641, 0.001);
    assert_int_equal(choice.gauge, 0);
    laying.method = IMP_METHOD_E;
    choice = chosen(&load, &laying);
    assert_close(choice.section * 1e6, 6.0, 1e-9);
    assert_close(choice.ampacity, 43.0, 1e-9);
}

/* common practice, no source: not by B1 or B2, not at 40 degC (C: 35.7 A), not with one layer on a drum */
static void six_square_millimetres_do_not_carry_38_4_amperes_where_they_cool_worse(void **state)
{
    (void)state;
    imp_cable_load load = load_of(38.4);
    load.section = 6e-6;
    imp_cable_laying laying = laid(IMP_METHOD_B1, IMP_INSULATION_PVC);
    assert_string_equal(refusal(&load, &laying, IMP_NO_SOLUTION),
                        "section: 6 mm^2 carries 36 A as it is laid, less than the load's 38.4 A; use a larger section, split "
                        "the load, or lay the cable where it cools better");
    laying.method = IMP_METHOD_B2;
    assert_contains(refusal(&load, &laying, IMP_NO_SOLUTION), "6 mm^2 carries 34 A as it is laid");
    laying = laid(IMP_METHOD_C, IMP_INSULATION_PVC);
    laying.ambient_temperature = 313.15;
    assert_contains(refusal(&load, &laying, IMP_NO_SOLUTION), "6 mm^2 carries 35.67 A as it is laid");
    laying = laid(IMP_METHOD_E, IMP_INSULATION_PVC);
    laying.layers_on_drum = 1.0;
    assert_contains(refusal(&load, &laying, IMP_NO_SOLUTION), "6 mm^2 carries 36.55 A as it is laid");
}

/* common practice, no source: a 63 A breaker on 6 mm^2 is refused */
static void a_63_ampere_breaker_is_too_large_for_6_square_millimetres(void **state)
{
    (void)state;
    imp_cable_load load = load_of(38.4);
    load.section = 6e-6;
    load.breaker = 63.0;
    const imp_cable_laying laying = laid(IMP_METHOD_C, IMP_INSULATION_PVC);
    assert_string_equal(refusal(&load, &laying, IMP_NO_SOLUTION),
                        "section: 6 mm^2 bears a breaker of 41 A at most as it is laid, not one of 63 A; use a smaller breaker "
                        "or a larger section");
    load.section = NOT_GIVEN;
    const imp_cable_choice choice = chosen(&load, &laying);
    assert_close(choice.section * 1e6, 16.0, 1e-9);
    assert_close(choice.breaker, 63.0, 0.0);
    assert_int_equal(choice.governed_by, IMP_CABLE_BREAKER);
}

static void a_breaker_below_the_load_is_refused(void **state)
{
    (void)state;
    imp_cable_load load = load_of(38.4);
    load.breaker = 32.0;
    const imp_cable_laying laying = laid(IMP_METHOD_C, IMP_INSULATION_PVC);
    assert_string_equal(refusal(&load, &laying, IMP_NO_SOLUTION),
                        "breaker: a breaker of 32 A is too small for 38.4 A; use one of 40 A or split the load");
}

static void nothing_carries_900_amperes(void **state)
{
    (void)state;
    const imp_cable_load load = load_of(900.0);
    const imp_cable_laying laying = laid(IMP_METHOD_E, IMP_INSULATION_XLPE);
    assert_string_equal(refusal(&load, &laying, IMP_NO_SOLUTION),
                        "current: no section in the table up to 300 mm^2 carries 900 A: the largest carries 621 A as it is laid; split the "
                        "load, or lay the cable where it cools better");
    imp_cable_laying nec = laying;
    nec.code = IMP_CODE_NEC;
    assert_contains(refusal(&load, &nec, IMP_NO_SOLUTION), "no section in the table up to 600 kcmil carries 1125 A (125 % of the continuous load): the largest carries 420 A");
}

static void a_breaker_that_no_section_bears_is_refused(void **state)
{
    (void)state;
    imp_cable_load load = load_of(400.0);
    load.breaker = 800.0;
    const imp_cable_laying laying = laid(IMP_METHOD_C, IMP_INSULATION_XLPE);
    assert_contains(refusal(&load, &laying, IMP_NO_SOLUTION), "breaker: no section in the table up to 300 mm^2 bears a breaker of 800 A: the largest bears");
}

static void above_125_amperes_the_breaker_has_to_be_told(void **state)
{
    (void)state;
    imp_cable_load load = load_of(200.0);
    const imp_cable_laying laying = laid(IMP_METHOD_E, IMP_INSULATION_PVC);
    assert_string_equal(refusal(&load, &laying, IMP_NO_SOLUTION),
                        "breaker: no circuit-breaker of IEC 60898-1 carries 200 A; give the rating of the one that is there, or "
                        "split the load");
    load.breaker = 200.0;
    const imp_cable_choice choice = chosen(&load, &laying);
    assert_close(choice.section * 1e6, 95.0, 1e-9);
    assert_close(choice.ampacity, 238.0, 1e-9);
}

static void the_drop_governs_a_long_cable(void **state)
{
    (void)state;
    imp_cable_load load = load_of(20.0);
    const imp_cable_laying laying = laid(IMP_METHOD_C, IMP_INSULATION_PVC);
    load.length = 10.0;
    imp_cable_choice choice = chosen(&load, &laying);
    assert_int_equal(choice.governed_by, IMP_CABLE_AMPACITY);
    load.length = 200.0;
    const imp_cable_choice longer = chosen(&load, &laying);
    assert_int_equal(longer.governed_by, IMP_CABLE_DROP);
    assert_true(longer.section > choice.section && longer.drop_fraction <= 0.05);
    load.section = choice.section;
    assert_contains(refusal(&load, &laying, IMP_NO_SOLUTION),
                    "section: over 200 m of 2.5 mm^2 the voltage drop is 16.5 %, above 5 %; use a larger section, or at most 60.4 m of this one");
    load.section = NOT_GIVEN;
    load.current = 60.0;
    load.length = 4900.0;
    assert_string_equal(refusal(&load, &laying, IMP_NO_SOLUTION),
                        "length: no section in the table up to 300 mm^2 keeps the voltage drop within 5 % over 4900 m: the largest "
                        "does up to 2500 m; split the load or bring the supply closer");
}

/* The next smaller section must fail one of the three conditions, whatever the load. */
static void the_chosen_section_is_the_least_that_does(void **state)
{
    (void)state;
    for (int method = IMP_METHOD_B1; method <= IMP_METHOD_E; method++)
        for (double current = 3.0; current < 120.0; current *= 1.13)
            for (double length = 5.0; length < 600.0; length *= 2.1) {
                imp_cable_load load = load_of(current);
                load.length = length;
                const imp_cable_laying laying = laid((imp_cable_method)method, IMP_INSULATION_XLPE);
                const imp_cable_choice choice = chosen(&load, &laying);
                assert_true(choice.section > 0.0);
                assert_true(current <= choice.breaker && choice.breaker <= choice.ampacity && choice.drop_fraction <= 0.05);
                load.section = choice.section;
                const imp_cable_choice again = chosen(&load, &laying);
                assert_true(again.section == choice.section && again.drop_fraction == choice.drop_fraction);
                size_t row = 0;
                assert_true(imp_table_row(IMP_TABLE_PVC_2, choice.section * 1e6, &row));
                if (row == 0)
                    continue;
                load.section = imp_table_value(IMP_TABLE_PVC_2, row - 1, 0) * 1e-6;
                assert_int_equal(imp_cable_size(&load, &laying, &(imp_cable_choice){.section = 0.0}, NULL), IMP_NO_SOLUTION);
            }
}

static void worse_cooling_never_asks_for_less_copper(void **state)
{
    (void)state;
    const imp_cable_load load = load_of(45.0);
    double last = 0.0;
    for (double celsius = 10.0; celsius <= 60.0; celsius += 5.0) {
        imp_cable_laying laying = laid(IMP_METHOD_C, IMP_INSULATION_PVC);
        laying.ambient_temperature = 273.15 + celsius;
        const double section = chosen(&load, &laying).section;
        assert_true(section >= last);
        last = section;
    }
    last = 0.0;
    for (double circuits = 1.0; circuits <= 20.0; circuits += 1.0) {
        imp_cable_laying laying = laid(IMP_METHOD_B2, IMP_INSULATION_PVC);
        laying.grouped = circuits;
        const double section = chosen(&load, &laying).section;
        assert_true(section >= last);
        last = section;
    }
    last = 0.0;
    for (double layers = 0.0; layers <= 4.0; layers += 1.0) {
        imp_cable_laying laying = laid(IMP_METHOD_E, IMP_INSULATION_XLPE);
        laying.layers_on_drum = layers;
        const double section = chosen(&load, &laying).section;
        assert_true(section > last || layers == 1.0);
        last = section;
    }
}

static void the_factors_multiply(void **state)
{
    (void)state;
    imp_cable_laying laying = laid(IMP_METHOD_E, IMP_INSULATION_XLPE);
    laying.ambient_temperature = 313.15;
    laying.grouped = 2.0;
    laying.layers_on_drum = 2.0;
    imp_cable_capacity capacity;
    assert_int_equal(imp_cable_ampacity(10e-6, &laying, &capacity, NULL), IMP_OK);
    assert_close(capacity.tabulated, 75.0, 0.0);
    assert_relative(capacity.factor, 0.91 * 0.88 * 0.65, 1e-12);
    assert_relative(capacity.ampacity, 75.0 * 0.91 * 0.88 * 0.65, 1e-12);
}

static void what_no_table_gives_is_refused(void **state)
{
    (void)state;
    const imp_cable_load load = load_of(20.0);
    imp_cable_laying laying = laid(IMP_METHOD_C, IMP_INSULATION_PVC);
    laying.layers_on_drum = 5.0;
    assert_string_equal(refusal(&load, &laying, IMP_NOT_APPLICABLE),
                        "layers_on_drum: no factor is published for 5 layers on a drum, 4 at most; unwind the cable");
    laying = laid(IMP_METHOD_C, IMP_INSULATION_PVC);
    laying.ambient_temperature = 273.15 + 65.0;
    assert_string_equal(refusal(&load, &laying, IMP_NOT_APPLICABLE),
                        "ambient_temperature: IEC 60364-5-52 gives no factor for PVC above 60 degC; lead the cable where it is cooler");
    laying = laid(IMP_METHOD_C, IMP_INSULATION_PVC);
    laying.grouped = 25.0;
    assert_contains(refusal(&load, &laying, IMP_NOT_APPLICABLE), "grouped: IEC 60364-5-52 gives no factor for more than 20");
    laying.grouped = 2.5;
    assert_string_equal(refusal(&load, &laying, IMP_RANGE), "grouped: 2.5 is not a whole number");
    laying = laid(IMP_METHOD_C, IMP_INSULATION_PVC);
    imp_cable_load thin = load;
    thin.section = 1e-6;
    assert_string_equal(refusal(&thin, &laying, IMP_NOT_APPLICABLE), "section: IEC 60364-5-52 gives no current below 1.5 mm^2");
    thin.section = 7e-6;
    assert_contains(refusal(&thin, &laying, IMP_NOT_APPLICABLE), "the nearest are 6 mm^2 and 10 mm^2");
    thin.section = 6e-6;
    thin.conductor = IMP_ALUMINIUM_CLASS_2;
    assert_string_equal(refusal(&thin, &laying, IMP_NOT_APPLICABLE), "class: the capacities here are of copper only");
}

static imp_cable_laying nec(imp_insulation insulation, double terminal_celsius)
{
    imp_cable_laying laying = laid(IMP_METHOD_B1, insulation);
    laying.code = IMP_CODE_NEC;
    laying.terminal_temperature = 273.15 + terminal_celsius;
    return laying;
}

/* NEC 210.19(A)(1), 210.20(A): 18 kW at 240 V three-phase is 43.3 A; continuous 54.1 A; breaker 60 A; 6 AWG at 75 degC (65 A) */
static void a_continuous_load_counts_125_percent_by_the_nec(void **state)
{
    (void)state;
    imp_cable_load load = load_of(43.3);
    load.voltage = 240.0;
    const imp_cable_laying laying = nec(IMP_INSULATION_PVC, 75.0);
    imp_cable_choice choice = chosen(&load, &laying);
    assert_close(choice.breaker, 60.0, 0.0);
    assert_int_equal(choice.gauge, 5);
    assert_close(choice.ampacity, 65.0, 0.0);
    assert_close(choice.section * 1e6, 13.30, 0.005);
    load.continuous = false;
    choice = chosen(&load, &laying);
    assert_close(choice.breaker, 45.0, 0.0);
    assert_int_equal(choice.gauge, 4); /* 8 AWG, 50 A */
}

/* NEC 240.4(D): 14, 12 and 10 AWG stand behind 15, 20 and 30 A however much they could carry. */
static void small_conductors_have_their_own_breaker_limits(void **state)
{
    (void)state;
    static const struct {
        double current, breaker;
        int gauge;
    } rows[] = {{12.0, 15.0, 1}, {16.0, 20.0, 2}, {20.0, 25.0, 3}, {24.0, 30.0, 3}, {24.1, 35.0, 4}};
    const imp_cable_laying laying = nec(IMP_INSULATION_XLPE, 75.0);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const imp_cable_load load = load_of(rows[i].current);
        const imp_cable_choice choice = chosen(&load, &laying);
        assert_close(choice.breaker, rows[i].breaker, 0.0);
        assert_int_equal(choice.gauge, rows[i].gauge);
    }
}

/* NEC 240.4(B): 2 AWG at 75 degC carries 115 A, no standard rating: the next, 125 A, is allowed. */
static void the_next_standard_breaker_is_allowed_above_an_ampacity_between_ratings(void **state)
{
    (void)state;
    imp_cable_load load = load_of(90.0); /* continuous: 112.5 A */
    const imp_cable_laying laying = nec(IMP_INSULATION_PVC, 75.0);
    const imp_cable_choice choice = chosen(&load, &laying);
    assert_close(choice.breaker, 125.0, 0.0);
    assert_int_equal(choice.gauge, 8);
    load.section = 33.63e-6;
    load.breaker = 150.0;
    assert_string_equal(refusal(&load, &laying, IMP_NO_SOLUTION),
                        "section: 2 AWG bears a breaker of 125 A at most as it is laid, not one of 150 A; use a smaller breaker or "
                        "a larger section");
}

/* NEC 110.14(C): the terminals' column caps what a 90 degC conductor may carry; derating starts from 90 degC. */
static void terminals_cap_and_the_insulation_column_derates(void **state)
{
    (void)state;
    imp_cable_capacity capacity;
    imp_cable_laying laying = nec(IMP_INSULATION_XLPE, 75.0);
    assert_int_equal(imp_cable_ampacity(13.3e-6, &laying, &capacity, NULL), IMP_OK);
    assert_close(capacity.ampacity, 65.0, 0.0);
    laying.ambient_temperature = 313.15;
    assert_int_equal(imp_cable_ampacity(13.3e-6, &laying, &capacity, NULL), IMP_OK);
    assert_close(capacity.ampacity, 65.0, 0.0); /* 75 x 0.91 = 68.25, still capped */
    laying.ambient_temperature = 323.15;
    assert_int_equal(imp_cable_ampacity(13.3e-6, &laying, &capacity, NULL), IMP_OK);
    assert_close(capacity.ampacity, 75.0 * 0.82, 1e-9);
    laying.terminal_temperature = 333.15;
    assert_int_equal(imp_cable_ampacity(13.3e-6, &laying, &capacity, NULL), IMP_OK);
    assert_close(capacity.ampacity, 55.0, 0.0);
    laying.terminal_temperature = 273.15 + 70.0;
    imp_error error;
    assert_int_equal(imp_cable_ampacity(13.3e-6, &laying, &capacity, &error), IMP_NOT_APPLICABLE);
    assert_string_equal(error.message, "terminals are rated 60 degC, 75 degC or 90 degC, not 70 degC");
}

/* NEC 110.14(C)(1)(a), (b) and table 310.16: unmarked terminals bear the 60 degC column to 1 AWG (6 AWG 55 A, 1 AWG 110 A),
 * the 75 degC column above (1/0 AWG 150 A). */
static void unmarked_terminals_are_at_60_degrees_to_1_awg(void **state)
{
    (void)state;
    imp_cable_capacity capacity;
    imp_cable_laying laying = nec(IMP_INSULATION_XLPE, 75.0);
    laying.terminal_temperature = (double)NAN;
    static const struct {
        size_t row;
        double ampacity, breaker, celsius;
    } rows[] = {{4, 55.0, 60.0, 60.0}, {8, 110.0, 110.0, 60.0}, {9, 150.0, 150.0, 75.0}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_int_equal(imp_cable_ampacity(imp_table_nec_area(rows[i].row), &laying, &capacity, NULL), IMP_OK);
        assert_close(capacity.ampacity, rows[i].ampacity, 0.0);
        assert_close(capacity.largest_breaker, rows[i].breaker, 0.0);
        assert_close(capacity.working_temperature, 273.15 + rows[i].celsius, 1e-9);
    }
}

static void the_largest_breaker_is_the_ampacity_or_the_necs_next_rating(void **state)
{
    (void)state;
    imp_cable_capacity capacity;
    imp_cable_laying laying = laid(IMP_METHOD_C, IMP_INSULATION_PVC);
    assert_int_equal(imp_cable_ampacity(6e-6, &laying, &capacity, NULL), IMP_OK);
    assert_close(capacity.largest_breaker, 41.0, 1e-9);
    assert_close(capacity.working_temperature, 343.15, 1e-9);
    laying = nec(IMP_INSULATION_XLPE, 75.0);
    static const double published[] = {15, 20, 30, 50, 70, 90, 100, 125, 150}; /* 14 to 1 AWG: 240.4(B), (D), 75 degC column */
    for (size_t row = 0; row < sizeof published / sizeof published[0]; row++) {
        assert_int_equal(imp_cable_ampacity(imp_table_nec_area(row), &laying, &capacity, NULL), IMP_OK);
        assert_close(capacity.largest_breaker, published[row], 0.0);
    }
    assert_close(capacity.working_temperature, 348.15, 1e-9);
}

/* IEC 60364-4-43 434.5.2: 3 kA for 0.4 s ask PVC at 70 degC (k 115) for 16.5 mm^2, so 25 mm^2; XLPE (143) for 13.3: 16 mm^2. */
static void a_fault_that_is_given_governs_a_short_cable(void **state)
{
    (void)state;
    imp_cable_load load = load_of(20.0);
    imp_cable_laying laying = laid(IMP_METHOD_C, IMP_INSULATION_PVC);
    load.length = 5.0;
    assert_int_equal(chosen(&load, &laying).governed_by, IMP_CABLE_AMPACITY);
    assert_true(isnan(chosen(&load, &laying).fault_section));
    load.fault_current = 3000.0;
    load.clearing_time = 0.4;
    imp_cable_choice choice = chosen(&load, &laying);
    assert_int_equal(choice.governed_by, IMP_CABLE_FAULT);
    assert_relative(choice.fault_section * 1e6, 3000.0 * sqrt(0.4) / 115.0, 1e-12);
    assert_close(choice.section * 1e6, 25.0, 1e-9);
    assert_close(choice.breaker, 20.0, 0.0);
    laying.insulation = IMP_INSULATION_XLPE;
    assert_close(chosen(&load, &laying).section * 1e6, 16.0, 1e-9);
    load.clearing_time = 0.002; /* 0.94 mm^2: the current governs again */
    assert_int_equal(chosen(&load, &laying).governed_by, IMP_CABLE_AMPACITY);
    load.section = 6e-6;
    load.clearing_time = 0.4;
    assert_string_equal(refusal(&load, &laying, IMP_NO_SOLUTION),
                        "section: 6 mm^2 is too thin for the fault, which asks for 13.27 mm^2; use a larger section or a breaker "
                        "that clears faster");
    load.section = NOT_GIVEN;
    load.fault_current = 100e3;
    load.clearing_time = 5.0;
    assert_string_equal(refusal(&load, &laying, IMP_NO_SOLUTION),
                        "fault_current: no section in the table up to 300 mm^2 stands 100 kA for 5 s, which asks for 1564 mm^2; "
                        "use a breaker that clears faster or limits the current");
    load.clearing_time = NOT_GIVEN;
    assert_string_equal(refusal(&load, &laying, IMP_MISSING), "clearing_time: missing; a fault needs both its current and its time");
    load.clearing_time = 6.0;
    assert_string_equal(refusal(&load, &laying, IMP_RANGE), "clearing_time: 6 s is above 5 s");
}

/* The k of IEC 60364-5-54 annex A: 226 sqrt(ln(1 + (end - begin)/(234.5 + begin))), copper, gives the rounded table values. */
static void the_ks_of_faults_are_those_of_their_temperatures(void **state)
{
    (void)state;
    static const struct {
        imp_insulation insulation;
        imp_code code;
        double begin, end;
    } rows[] = {{IMP_INSULATION_PVC, IMP_CODE_IEC, 70.0, 160.0}, {IMP_INSULATION_XLPE, IMP_CODE_IEC, 90.0, 250.0},
                {IMP_INSULATION_PVC, IMP_CODE_NEC, 75.0, 150.0}, {IMP_INSULATION_XLPE, IMP_CODE_NEC, 90.0, 250.0},
                {IMP_INSULATION_RUBBER, IMP_CODE_IEC, 60.0, 200.0}, {IMP_INSULATION_RUBBER, IMP_CODE_NEC, 60.0, 200.0}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        imp_cable_load load = load_of(20.0);
        imp_cable_laying laying = laid(IMP_METHOD_C, rows[i].insulation);
        laying.code = rows[i].code;
        load.fault_current = 2000.0;
        load.clearing_time = 1.0;
        const double k = 226.0 * sqrt(log(1.0 + (rows[i].end - rows[i].begin) / (234.5 + rows[i].begin)));
        assert_relative(chosen(&load, &laying).fault_section * 1e6, 2000.0 / k, 0.005);
    }
}

static void the_next_sizes_are_told_and_end_with_the_table(void **state)
{
    (void)state;
    imp_cable_load load = load_of(38.4);
    imp_cable_laying laying = laid(IMP_METHOD_C, IMP_INSULATION_PVC);
    imp_cable_choice choice = chosen(&load, &laying);
    assert_close(choice.below.section * 1e6, 4.0, 1e-9); /* B.52.4, C: 4 mm2 32 A, 10 mm2 57 A */
    assert_close(choice.below.ampacity, 32.0, 1e-9);
    assert_close(choice.above.section * 1e6, 10.0, 1e-9);
    assert_close(choice.above.ampacity, 57.0, 1e-9);
    assert_true(choice.below.drop_fraction > choice.drop_fraction && choice.drop_fraction > choice.above.drop_fraction);
    load.section = 10e-6;
    assert_relative(chosen(&load, &laying).drop_fraction, choice.above.drop_fraction, 1e-12);
    load = load_of(5.0);
    choice = chosen(&load, &laying);
    assert_true(isnan(choice.below.section) && choice.above.section > choice.section);
    load.section = 300e-6;
    assert_true(isnan(chosen(&load, &laying).above.section));
    laying.code = IMP_CODE_NEC;
    load = load_of(40.0);
    choice = chosen(&load, &laying);
    assert_int_equal(choice.below.gauge, choice.gauge - 1);
    assert_int_equal(choice.above.gauge, choice.gauge + 1);
}

/* common practice, no source: 38.4 A through six square millimetres or its neighbour in AWG, each code by its own table: IEC
 * table B.52.4 method C 41 A at 30 degC, 0.87 of it at 40 degC; NEC 310.16 8 AWG 50 A at 75 degC, which a continuous 38.4 A
 * (48 A) needs, 0.88 of it at 40 degC (310.15(B)(1)(1)): 44 A, which still carries 38.4 A */
static void the_same_load_has_another_table_and_factor_in_each_code(void **state)
{
    (void)state;
    const imp_cable_load load = load_of(38.4);
    imp_cable_laying laying = laid(IMP_METHOD_C, IMP_INSULATION_PVC);
    imp_cable_choice choice = chosen(&load, &laying);
    assert_close(choice.section * 1e6, 6.0, 1e-9);
    imp_cable_capacity capacity;
    laying.ambient_temperature = 313.15;
    assert_int_equal(imp_cable_ampacity(6e-6, &laying, &capacity, NULL), IMP_OK);
    assert_close(capacity.tabulated, 41.0, 0.0);
    assert_relative(capacity.factor, 0.87, 1e-12);
    laying = nec(IMP_INSULATION_PVC, 75.0);
    choice = chosen(&load, &laying);
    assert_int_equal(choice.gauge, 4); /* 8 AWG */
    assert_close(choice.breaker, 50.0, 0.0);
    laying.ambient_temperature = 313.15;
    assert_int_equal(imp_cable_ampacity(choice.section, &laying, &capacity, NULL), IMP_OK);
    assert_close(capacity.tabulated, 50.0, 0.0);
    assert_relative(capacity.factor, 0.88, 1e-12);
    assert_int_equal(chosen(&load, &laying).gauge, 5); /* 44 A bears no breaker of 50 A but that of 45 A: one size up */
    imp_cable_load six = load;
    six.section = imp_table_nec_area(2); /* 10 AWG, 5.26 mm2 */
    assert_contains(refusal(&six, &laying, IMP_NO_SOLUTION), "10 AWG carries");
}

/* Published table look-ups at each row: one step above what a size carries asks for the next size. */
static void a_hair_above_each_rows_current_takes_the_next_row(void **state)
{
    (void)state;
    for (int code = IMP_CODE_IEC; code <= IMP_CODE_NEC; code++)
        for (int method = IMP_METHOD_B1; method <= IMP_METHOD_E; method++) {
            imp_cable_laying laying = laid((imp_cable_method)method, IMP_INSULATION_XLPE);
            laying.code = (imp_code)code;
            const imp_table_id id = code == IMP_CODE_NEC ? IMP_TABLE_NEC_AMPACITY : IMP_TABLE_PVC_2;
            for (size_t row = 0; row + 1 < imp_tables[id].row_count; row++) {
                imp_cable_capacity own;
                const double section = code == IMP_CODE_NEC ? imp_table_nec_area(row) : imp_table_value(id, row, 0) * 1e-6;
                assert_int_equal(imp_cable_ampacity(section, &laying, &own, NULL), IMP_OK);
                imp_cable_load load = load_of(own.ampacity);
                load.length = 0.1;
                load.continuous = false;
                load.section = section;
                load.breaker = own.largest_breaker;
                if (load.breaker < own.ampacity) /* 240.4(D) holds the small ones below what they carry */
                    continue;
                assert_int_equal(imp_cable_size(&load, &laying, &(imp_cable_choice){.section = 0.0}, NULL), IMP_OK);
                load.current *= 1.0 + 1e-6;
                load.breaker = fmax(load.breaker, load.current);
                assert_int_equal(imp_cable_size(&load, &laying, &(imp_cable_choice){.section = 0.0}, NULL), IMP_NO_SOLUTION);
                load.section = NOT_GIVEN;
                assert_true(chosen(&load, &laying).section > section);
            }
        }
}

static imp_cable_capacity rubber(imp_code code, imp_phases phases, double section)
{
    imp_cable_laying laying = laid(IMP_METHOD_E, IMP_INSULATION_RUBBER);
    imp_cable_capacity capacity = {.ampacity = -1.0};
    laying.code = code;
    laying.phases = phases;
    assert_int_equal(imp_cable_ampacity(section, &laying, &capacity, NULL), IMP_OK);
    return capacity;
}

/* BS 7671 4F1A and 4F3A, a distributor's and a cable maker's printing; NEC 400.5(A)(1) as a public page prints it. */
static void a_flexible_rubber_cable_bears_what_its_own_tables_say(void **state)
{
    (void)state;
    static const double bs[][3] = {{1.5, 16, 16}, {2.5, 25, 20}, {4, 30, 26}, {6, 39, 34}, {10, 51, 47}, {16, 73, 63}, {25, 97, 83}};
    static const double nec_rows[][3] = {{0, 18, 15}, {1, 25, 20}, {2, 30, 25}, {3, 40, 35}, {4, 55, 45}, {5, 70, 60}, {7, 95, 80}};
    for (size_t i = 0; i < 7; i++) {
        assert_close(rubber(IMP_CODE_IEC, IMP_SINGLE_PHASE, bs[i][0] * 1e-6).ampacity, bs[i][1], 1e-9);
        assert_close(rubber(IMP_CODE_IEC, IMP_THREE_PHASE, bs[i][0] * 1e-6).ampacity, bs[i][2], 1e-9);
        const double section = imp_table_nec_area((size_t)nec_rows[i][0]);
        assert_close(rubber(IMP_CODE_NEC, IMP_SINGLE_PHASE, section).ampacity, nec_rows[i][1], 1e-9);
        assert_close(rubber(IMP_CODE_NEC, IMP_THREE_PHASE, section).ampacity, nec_rows[i][2], 1e-9);
    }
    assert_close(rubber(IMP_CODE_IEC, IMP_THREE_PHASE, 95e-6).ampacity, 192.0, 1e-9);
    assert_close(rubber(IMP_CODE_IEC, IMP_THREE_PHASE, 6e-6).working_temperature, 333.15, 1e-9);
    assert_close(rubber(IMP_CODE_NEC, IMP_THREE_PHASE, imp_table_nec_area(4)).working_temperature, 333.15, 1e-9);
}

/* 6 mm2 of rubber bears 34 A on three phases (BS 7671 4F1A): no breaker above that, no current above that. */
static void rubber_stops_on_both_sides_of_what_its_table_gives(void **state)
{
    (void)state;
    imp_cable_load load = load_of(32.0);
    imp_cable_laying laying = laid(IMP_METHOD_C, IMP_INSULATION_RUBBER);
    load.length = 5.0;
    load.section = 6e-6;
    load.breaker = 34.0;
    assert_string_equal(refusal(&load, &laying, IMP_OK), "");
    load.breaker = 34.1;
    assert_contains(refusal(&load, &laying, IMP_NO_SOLUTION), "6 mm^2 bears a breaker of 34 A at most as it is laid, not one of 34.1 A");
    load.current = load.breaker = 34.1;
    assert_contains(refusal(&load, &laying, IMP_NO_SOLUTION), "6 mm^2 carries 34 A as it is laid, less than the load's 34.1 A");
    laying.method = IMP_METHOD_B2;
    assert_string_equal(refusal(&load, &laying, IMP_NOT_APPLICABLE),
                        "method: flexible rubber cable is rated lying on a surface (C) or in free air (E), not B2 in conduit; lay it so, or "
                        "use a cable made for conduit");
    laying.code = IMP_CODE_NEC;
    assert_contains(refusal(&load, &laying, IMP_NOT_APPLICABLE), "not B2 in conduit");
}

static void rubber_of_a_size_that_its_table_leaves_out_is_refused(void **state)
{
    (void)state;
    imp_cable_load load = load_of(20.0);
    imp_cable_laying laying = laid(IMP_METHOD_E, IMP_INSULATION_RUBBER);
    load.section = 120e-6;
    assert_string_equal(refusal(&load, &laying, IMP_NOT_APPLICABLE),
                        "section: BS 7671 table 4F1A gives no current for a rubber cable of 120 mm^2 on three phases; its largest is 95 mm^2");
    laying.phases = IMP_SINGLE_PHASE;
    load.section = 35e-6;
    assert_string_equal(refusal(&load, &laying, IMP_NOT_APPLICABLE),
                        "section: BS 7671 table 4F1A gives no current for a rubber cable of 35 mm^2 on one phase; its largest is 25 mm^2");
    laying.code = IMP_CODE_NEC;
    load.section = imp_table_nec_area(6);
    assert_string_equal(refusal(&load, &laying, IMP_NOT_APPLICABLE),
                        "section: NEC table 400.5(A)(1) gives no current for a rubber cable of 3 AWG on one phase; its largest is 2 AWG");
}

/* NEC 240.5(A): a cord is protected at its ampacity, without the next standard rating of 240.4(B). 6 AWG: 45 A; at 40 degC
 * 0.82 (310.15(B)(1)(1), 60 degC) of it, 36.9 A. */
static void a_cord_has_no_next_standard_breaker(void **state)
{
    (void)state;
    imp_cable_laying laying = laid(IMP_METHOD_E, IMP_INSULATION_RUBBER);
    laying.code = IMP_CODE_NEC;
    imp_cable_load load = load_of(36.0); /* 125 % of it is 45 A */
    load.length = 5.0;
    assert_int_equal(chosen(&load, &laying).gauge, 5); /* 6 AWG */
    assert_close(chosen(&load, &laying).breaker, 45.0, 0.0);
    load.current = 36.1;
    assert_int_equal(chosen(&load, &laying).gauge, 6); /* 4 AWG */
    laying.ambient_temperature = 313.15;
    imp_cable_capacity capacity;
    assert_int_equal(imp_cable_ampacity(imp_table_nec_area(4), &laying, &capacity, NULL), IMP_OK);
    assert_close(capacity.ampacity, 36.9, 1e-9);
    assert_close(capacity.largest_breaker, 36.9, 1e-9);
}

/* NEC 400.5(A)(1) has no 3 AWG: where drop or fault rule 4 AWG out, the next is 2 AWG. */
static void a_size_without_a_current_is_passed_over(void **state)
{
    (void)state;
    imp_cable_laying laying = laid(IMP_METHOD_E, IMP_INSULATION_RUBBER);
    laying.code = IMP_CODE_NEC;
    imp_cable_load load = load_of(30.0);
    double last = 0.0;
    for (load.length = 20.0; load.length < 450.0; load.length += 1.0) {
        const imp_cable_choice choice = chosen(&load, &laying);
        assert_true(choice.gauge != 7 && choice.ampacity >= 30.0 && choice.section >= last);
        assert_true(choice.gauge != 6 || choice.above.gauge == 8);
        assert_true(choice.gauge != 8 || (choice.below.gauge == 6 && isnan(choice.above.section)));
        last = choice.section;
    }
    assert_close(last, imp_table_nec_area(7), 1e-12);
    load.length = 5.0;
    load.clearing_time = 1.0;
    load.fault_current = 141.0 * 22.0; /* 22 mm2: 4 AWG has 21.15, 3 AWG would have 26.7 */
    assert_int_equal(chosen(&load, &laying).gauge, 8);
}

static void every_nec_size_is_told_by_its_name(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("electrical.cable_size");
    size_t output = 0;
    const imp_param *row = imp_calc_output(calc, "gauge", &output);
    assert_non_null(row);
    assert_string_equal(row->choices[0], "none");
    size_t size = 0;
    for (; row->choices[size + 1] != NULL; size++) {
        char name[16];
        assert_string_equal(row->choices[size + 1], imp_table_nec_size(size, name, sizeof name));
    }
    assert_int_equal(size, imp_tables[IMP_TABLE_NEC_AMPACITY].row_count);
}

static void mistyped_choices_of_the_typed_function_are_refused(void **state)
{
    (void)state;
    const imp_cable_load load = load_of(20.0);
    imp_cable_laying laying = laid((imp_cable_method)7, IMP_INSULATION_PVC);
    assert_string_equal(refusal(&load, &laying, IMP_RANGE), "method: 7 is not one of its choices");
}

/* What a person types, read and evaluated: the first refusal's text, or "" where there is none. */
static const char *typed_refusal(const char *length, const char *method, const char *breaker, const char *section)
{
    static char text[IMP_MESSAGE_SIZE + IMP_PLACE_SIZE];
    const imp_calc *calc = imp_catalogue_find("electrical.cable_size");
    const char *names[] = {"current", "voltage", "phases", "insulation", "length", "method", "breaker", "section"};
    const char *texts[] = {"38.4 A", "400 V", "3", "pvc", length, method, breaker, section};
    imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
    imp_arena arena;
    imp_error error = {.message = ""};
    imp_arena_init(&arena, NULL);
    imp_status status = imp_arguments_read(calc, 8, names, texts, &arena, in, &error);
    if (status == IMP_OK)
        status = imp_calc_evaluate(calc, in, out, NULL, &error);
    imp_arena_free(&arena);
    return status == IMP_OK ? "" : imp_error_text(&error, text, sizeof text);
}

static void what_is_typed_wrong_is_told_with_what_would_work(void **state)
{
    (void)state;
    assert_string_equal(typed_refusal("25 m", "C", "40 A", "6 mm^2"), "");
    assert_string_equal(typed_refusal("0 m", "C", "40 A", "6 mm^2"), "electrical.cable_size: length: 0 m is not above 0 m");
    assert_string_equal(typed_refusal("25 m", "D", "40 A", "6 mm^2"), "electrical.cable_size: method: expected one of B1, B2, C, E, got \"D\"");
    assert_string_equal(typed_refusal("25 m", "C", "32 A", "6 mm^2"),
                        "electrical.cable_size: breaker: a breaker of 32 A is too small for 38.4 A; use one of 40 A or split the load");
    assert_contains(typed_refusal("25 m", "C", "40 A", "7 mm^2"), "the nearest are 6 mm^2 and 10 mm^2");
}

/* The steps of a sheet are those of its result: the table's capacity times the factors. */
static void the_sheet_of_a_size_multiplies_to_its_ampacity(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("electrical.cable_size");
    const char *names[] = {"current", "length", "voltage", "grouped", "ambient_temperature", "phases", "method", "insulation"};
    const char *texts[] = {"38.4 A", "25 m", "400 V", "2", "40 degC", "3", "C", "pvc"};
    imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
    imp_error error = {.message = ""};
    imp_arena arena;
    imp_sheet sheet;
    imp_arena_init(&arena, NULL);
    imp_sheet_init(&sheet, NULL);
    if (imp_arguments_read(calc, 8, names, texts, &arena, in, &error) != IMP_OK || imp_calc_evaluate(calc, in, out, &sheet, &error) != IMP_OK)
        fail_msg("%s: %s", error.place, error.message);
    double product = 1.0;
    int steps = 0;
    for (size_t i = 0; i < sheet.count; i++)
        if (sheet.lines[i].role == IMP_SHEET_STEP) {
            product *= sheet.lines[i].value;
            steps++;
        }
    size_t ampacity;
    assert_non_null(imp_calc_output(calc, "ampacity", &ampacity));
    assert_int_equal(steps, 2);
    assert_relative(product, out[ampacity].number, 1e-12);
    imp_sheet_free(&sheet);
    imp_arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(six_square_millimetres_carry_38_4_amperes_on_a_wall_and_in_free_air),
        cmocka_unit_test(six_square_millimetres_do_not_carry_38_4_amperes_where_they_cool_worse),
        cmocka_unit_test(a_63_ampere_breaker_is_too_large_for_6_square_millimetres),
        cmocka_unit_test(a_breaker_below_the_load_is_refused),
        cmocka_unit_test(nothing_carries_900_amperes),
        cmocka_unit_test(a_breaker_that_no_section_bears_is_refused),
        cmocka_unit_test(above_125_amperes_the_breaker_has_to_be_told),
        cmocka_unit_test(the_drop_governs_a_long_cable),
        cmocka_unit_test(the_chosen_section_is_the_least_that_does),
        cmocka_unit_test(worse_cooling_never_asks_for_less_copper),
        cmocka_unit_test(the_factors_multiply),
        cmocka_unit_test(what_no_table_gives_is_refused),
        cmocka_unit_test(a_continuous_load_counts_125_percent_by_the_nec),
        cmocka_unit_test(small_conductors_have_their_own_breaker_limits),
        cmocka_unit_test(the_next_standard_breaker_is_allowed_above_an_ampacity_between_ratings),
        cmocka_unit_test(terminals_cap_and_the_insulation_column_derates),
        cmocka_unit_test(unmarked_terminals_are_at_60_degrees_to_1_awg),
        cmocka_unit_test(the_largest_breaker_is_the_ampacity_or_the_necs_next_rating),
        cmocka_unit_test(a_fault_that_is_given_governs_a_short_cable),
        cmocka_unit_test(the_ks_of_faults_are_those_of_their_temperatures),
        cmocka_unit_test(the_next_sizes_are_told_and_end_with_the_table),
        cmocka_unit_test(the_same_load_has_another_table_and_factor_in_each_code),
        cmocka_unit_test(a_hair_above_each_rows_current_takes_the_next_row),
        cmocka_unit_test(a_flexible_rubber_cable_bears_what_its_own_tables_say),
        cmocka_unit_test(rubber_stops_on_both_sides_of_what_its_table_gives),
        cmocka_unit_test(rubber_of_a_size_that_its_table_leaves_out_is_refused),
        cmocka_unit_test(a_cord_has_no_next_standard_breaker),
        cmocka_unit_test(a_size_without_a_current_is_passed_over),
        cmocka_unit_test(every_nec_size_is_told_by_its_name),
        cmocka_unit_test(mistyped_choices_of_the_typed_function_are_refused),
        cmocka_unit_test(what_is_typed_wrong_is_told_with_what_would_work),
        cmocka_unit_test(the_sheet_of_a_size_multiplies_to_its_ampacity),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
