/* How far a given cable reaches and how much it carries: the inverses of the choice. */
#include "support.h"

#include "cable.h"

static const double NOT_GIVEN = (double)NAN;

static imp_cable_laying laid(imp_code code, imp_cable_method method, imp_insulation insulation)
{
    return (imp_cable_laying){.phases = IMP_THREE_PHASE,
                              .method = method,
                              .insulation = insulation,
                              .ambient_temperature = 303.15,
                              .grouped = 1.0,
                              .code = code,
                              .layers_on_drum = 0.0,
                              .terminal_temperature = 348.15};
}

static imp_cable_load load_of(double current, double section)
{
    return (imp_cable_load){.current = current,
                            .length = 25.0,
                            .voltage = 400.0,
                            .power_factor = 0.9,
                            .drop_limit = 0.05,
                            .conductor = IMP_COPPER_CLASS_5,
                            .continuous = true,
                            .breaker = NOT_GIVEN,
                            .section = section,
                            .fault_current = NOT_GIVEN,
                            .clearing_time = NOT_GIVEN};
}

static double longest(const imp_cable_load *load, const imp_cable_laying *laying)
{
    double length = -1.0;
    imp_error error = {.message = ""};
    if (imp_cable_length(load, laying, &length, &error) != IMP_OK)
        print_error("%s: %s\n", error.place, error.message);
    return length;
}

static imp_cable_most most_of(const imp_cable_load *load, const imp_cable_laying *laying)
{
    imp_cable_most most = {.current = -1.0};
    imp_error error = {.message = ""};
    if (imp_cable_most_current(load, laying, &most, &error) != IMP_OK)
        print_error("%s: %s\n", error.place, error.message);
    return most;
}

/* A round trip through the choice, in both codes: at that length the section still does, a hair longer it does not. */
static void the_longest_cable_just_passes_the_choice(void **state)
{
    (void)state;
    for (int code = IMP_CODE_IEC; code <= IMP_CODE_NEC; code++)
        for (double current = 5.0; current < 90.0; current *= 1.7) {
            const imp_cable_laying laying = laid((imp_code)code, IMP_METHOD_C, IMP_INSULATION_XLPE);
            imp_cable_load load = load_of(current, NOT_GIVEN);
            imp_cable_choice choice;
            assert_int_equal(imp_cable_size(&load, &laying, &choice, NULL), IMP_OK);
            load.section = choice.section;
            load.length = longest(&load, &laying);
            assert_int_equal(imp_cable_size(&load, &laying, &choice, NULL), IMP_OK);
            assert_relative(choice.drop_fraction, 0.05, 1e-9);
            load.length *= 1.0 + 1e-6;
            assert_int_equal(imp_cable_size(&load, &laying, &choice, NULL), IMP_NO_SOLUTION);
        }
}

static void the_most_current_just_passes_the_choice(void **state)
{
    (void)state;
    for (int code = IMP_CODE_IEC; code <= IMP_CODE_NEC; code++)
        for (double length = 1.0; length < 2000.0; length *= 3.0)
            for (int thick = 0; thick < 2; thick++) {
                const imp_cable_laying laying = laid((imp_code)code, IMP_METHOD_B2, IMP_INSULATION_PVC);
                imp_cable_load load = load_of(NOT_GIVEN, code == IMP_CODE_NEC ? imp_table_nec_area(thick ? 5 : 1) : thick ? 16e-6 : 2.5e-6);
                imp_cable_choice choice;
                load.length = length;
                const imp_cable_most most = most_of(&load, &laying);
                load.breaker = most.breaker;
                load.current = most.current;
                assert_int_equal(imp_cable_size(&load, &laying, &choice, NULL), IMP_OK);
                assert_relative(choice.drop_fraction, most.drop_fraction, 1e-6);
                load.current *= 1.0 + 1e-6;
                assert_int_equal(imp_cable_size(&load, &laying, &choice, NULL), IMP_NO_SOLUTION);
            }
}

static void what_governs_the_most_current_is_named(void **state)
{
    (void)state;
    const imp_cable_laying laying = laid(IMP_CODE_IEC, IMP_METHOD_C, IMP_INSULATION_PVC);
    imp_cable_load load = load_of(NOT_GIVEN, 6e-6); /* B.52.4: 41 A, so a 40 A breaker */
    imp_cable_most most = most_of(&load, &laying);
    assert_close(most.current, 40.0, 1e-9);
    assert_close(most.breaker, 40.0, 0.0);
    assert_close(most.ampacity, 41.0, 1e-9);
    assert_int_equal(most.governed_by, IMP_CABLE_BREAKER);
    load.breaker = 41.0;
    assert_int_equal(most_of(&load, &laying).governed_by, IMP_CABLE_AMPACITY);
    load.breaker = 16.0;
    assert_close(most_of(&load, &laying).current, 16.0, 1e-9);
    load.length = 500.0;
    most = most_of(&load, &laying);
    assert_int_equal(most.governed_by, IMP_CABLE_DROP);
    assert_relative(most.drop_fraction, 0.05, 1e-9);
}

/* NEC 210.19, 210.20: a continuous load counts 125 %, so a 50 A breaker on 8 AWG carries 40 A of it. */
static void a_continuous_load_gets_four_fifths_by_the_nec(void **state)
{
    (void)state;
    const imp_cable_laying laying = laid(IMP_CODE_NEC, IMP_METHOD_B1, IMP_INSULATION_PVC);
    imp_cable_load load = load_of(NOT_GIVEN, imp_table_nec_area(3));
    load.length = 1.0;
    assert_close(most_of(&load, &laying).current, 40.0, 1e-9);
    assert_close(most_of(&load, &laying).breaker, 50.0, 0.0);
    load.continuous = false;
    assert_close(most_of(&load, &laying).current, 50.0, 1e-9);
}

static void a_shorter_thicker_or_cooler_cable_never_carries_less(void **state)
{
    (void)state;
    imp_cable_laying laying = laid(IMP_CODE_IEC, IMP_METHOD_E, IMP_INSULATION_XLPE);
    double last = 0.0;
    for (size_t row = 0; row < imp_tables[IMP_TABLE_PVC_2].row_count; row++) {
        const imp_cable_load load = load_of(NOT_GIVEN, imp_table_value(IMP_TABLE_PVC_2, row, 0) * 1e-6);
        const double current = most_of(&load, &laying).current;
        assert_true(current >= last);
        last = current;
    }
    imp_cable_load load = load_of(NOT_GIVEN, 16e-6);
    last = 1e9;
    for (load.length = 1.0; load.length < 4000.0; load.length *= 2.0) {
        const double current = most_of(&load, &laying).current;
        assert_true(current <= last);
        last = current;
    }
    load.length = 10.0;
    last = 1e9;
    for (double celsius = 10.0; celsius <= 80.0; celsius += 5.0) {
        laying.ambient_temperature = 273.15 + celsius;
        const double current = most_of(&load, &laying).current;
        assert_true(current <= last);
        last = current;
    }
}

/* NEC 310.15(C)(1): 7 to 9 current-carrying conductors in one raceway carry 70 %, 10 to 20 carry 50 %. A single-phase circuit
 * has two of them, a three-phase one three. */
static void four_circuits_of_two_wires_are_eight_conductors(void **state)
{
    (void)state;
    const imp_cable_load load = load_of(5.0, 5.261e-6); /* AWG 10 */
    imp_cable_laying laying = laid(IMP_CODE_NEC, IMP_METHOD_B1, IMP_INSULATION_XLPE);
    const double alone = most_of(&load, &laying).ampacity;
    laying.phases = IMP_SINGLE_PHASE;
    laying.grouped = 4.0;
    const double eight = most_of(&load, &laying).ampacity;
    laying.phases = IMP_THREE_PHASE;
    assert_relative(most_of(&load, &laying).ampacity / eight, 0.5 / 0.7, 1e-12);
    assert_true(eight <= alone);
}

/* NEC 310.16: AWG 14 carries 25 A at 90 degC; nine conductors carry 70 % of it, 17.5 A, and of 240.6(A) only 15 A, the
 * first rating there is, protects that. */
static void the_smallest_breaker_there_is_may_be_the_one(void **state)
{
    (void)state;
    const imp_cable_load load = load_of(5.0, 2.081e-6);
    imp_cable_laying laying = laid(IMP_CODE_NEC, IMP_METHOD_B1, IMP_INSULATION_XLPE);
    laying.grouped = 3.0;
    assert_relative(most_of(&load, &laying).breaker, 15.0, 1e-12);
}

static void refuses_length(imp_cable_load load, const imp_cable_laying *laying, imp_status expected, const char *text)
{
    char found[IMP_MESSAGE_SIZE + IMP_PLACE_SIZE];
    imp_error error = {.message = ""};
    double length = 42.0;
    assert_int_equal(imp_cable_length(&load, laying, &length, &error), expected);
    assert_string_equal(imp_error_text(&error, found, sizeof found), text);
    assert_true(length == 42.0);
}

static void refuses_load(imp_cable_load load, const imp_cable_laying *laying, imp_status expected, const char *text)
{
    char found[IMP_MESSAGE_SIZE + IMP_PLACE_SIZE];
    imp_error error = {.message = ""};
    imp_cable_most most = {.current = 42.0};
    assert_int_equal(imp_cable_most_current(&load, laying, &most, &error), expected);
    assert_string_equal(imp_error_text(&error, found, sizeof found), text);
    assert_true(most.current == 42.0);
}

static void what_does_not_go_is_refused_with_what_would(void **state)
{
    (void)state;
    imp_cable_laying laying = laid(IMP_CODE_IEC, IMP_METHOD_C, IMP_INSULATION_PVC);
    refuses_length(load_of(50.0, 6e-6), &laying, IMP_NO_SOLUTION,
                   "section: 6 mm^2 carries 41 A as it is laid, less than the load's 50 A; use a larger section, split the load, "
                   "or lay the cable where it cools better");
    imp_cable_load load = load_of(38.4, 6e-6);
    load.breaker = 32.0;
    refuses_length(load, &laying, IMP_NO_SOLUTION, "breaker: a breaker of 32 A is too small for 38.4 A; use one of 40 A or split the load");
    load.breaker = 63.0;
    refuses_length(load, &laying, IMP_NO_SOLUTION,
                   "section: 6 mm^2 bears a breaker of 41 A at most as it is laid, not one of 63 A; use a smaller breaker or a larger section");
    refuses_load(load, &laying, IMP_NO_SOLUTION,
                 "section: 6 mm^2 bears a breaker of 41 A at most as it is laid, not one of 63 A; use a smaller breaker or a larger section");
    load = load_of(10.0, 6e-6);
    load.length = 0.0;
    refuses_load(load, &laying, IMP_RANGE, "length: 0 m is not above 0 m");
    refuses_length(load_of(0.0, 6e-6), &laying, IMP_RANGE, "current: 0 A is not above 0 A");
    refuses_length(load_of(10.0, 7e-6), &laying, IMP_NOT_APPLICABLE,
                   "section: IEC 60228 has no class 2 copper conductor of 7 mm^2; the nearest are 6 mm^2 and 10 mm^2");
    laying.method = (imp_cable_method)9;
    refuses_length(load_of(10.0, 6e-6), &laying, IMP_RANGE, "method: 9 is not one of its choices");
    laying = laid(IMP_CODE_IEC, IMP_METHOD_B2, IMP_INSULATION_PVC);
    laying.grouped = 20.0;
    laying.layers_on_drum = 4.0;
    laying.ambient_temperature = 273.15 + 60.0;
    refuses_load(load_of(1.0, 1.5e-6), &laying, IMP_NO_SOLUTION,
                 "section: 1.5 mm^2 carries 0.9975 A as it is laid, and no standard breaker is so small; use a larger section, or "
                 "lay the cable where it cools better");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_longest_cable_just_passes_the_choice),
        cmocka_unit_test(the_most_current_just_passes_the_choice),
        cmocka_unit_test(four_circuits_of_two_wires_are_eight_conductors),
        cmocka_unit_test(the_smallest_breaker_there_is_may_be_the_one),
        cmocka_unit_test(what_governs_the_most_current_is_named),
        cmocka_unit_test(a_continuous_load_gets_four_fifths_by_the_nec),
        cmocka_unit_test(a_shorter_thicker_or_cooler_cable_never_carries_less),
        cmocka_unit_test(what_does_not_go_is_refused_with_what_would),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
