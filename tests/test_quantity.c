/* Quantities: what a person types, conversion, and the arithmetic that is allowed.
 * Over 500 lines: many small cases of one subject. */
#include "quantity.h"

#include <stdio.h>

#include "number.h"
#include "support.h"

static imp_quantity parse(const char *text)
{
    imp_quantity quantity;
    imp_error error;
    if (imp_quantity_parse(text, strlen(text), &quantity, NULL, &error) != IMP_OK) {
        print_error("\"%s\": %s\n", text, error.message);
        fail();
    }
    return quantity;
}

static imp_unit unit_of(const char *text)
{
    imp_unit unit;
    assert_int_equal(imp_unit_parse(text, strlen(text), &unit, NULL), IMP_OK);
    return unit;
}

static double in(const char *text, const char *unit_text)
{
    const imp_quantity quantity = parse(text);
    const imp_unit unit = unit_of(unit_text);
    double value = NAN;
    imp_error error;
    if (imp_quantity_in(&quantity, &unit, &value, &error) != IMP_OK) {
        print_error("%s in %s: %s\n", text, unit_text, error.message);
        fail();
    }
    return value;
}

static void assert_not_read(const char *text, imp_status status, const char *message)
{
    imp_quantity quantity;
    memset(&quantity, 0x5A, sizeof quantity);
    const imp_quantity before = quantity;
    imp_error error;
    assert_int_equal(imp_quantity_parse(text, strlen(text), &quantity, NULL, &error), status);
    assert_string_equal(error.message, message);
    assert_memory_equal(&quantity, &before, sizeof quantity); /* outputs are untouched on failure */
    assert_int_equal(imp_quantity_parse(text, strlen(text), &quantity, NULL, NULL), status);
}

static void assert_not_in(const char *text, const char *unit_text, const char *message)
{
    const imp_quantity quantity = parse(text);
    const imp_unit unit = unit_of(unit_text);
    double value = -77.0;
    imp_error error;
    assert_int_equal(imp_quantity_in(&quantity, &unit, &value, &error), IMP_DIMENSION_MISMATCH);
    assert_string_equal(error.message, message);
    assert_true(value == -77.0);
    char written[96] = "untouched";
    assert_int_equal(imp_quantity_format(&quantity, &unit, 0, written, sizeof written, NULL), IMP_DIMENSION_MISMATCH);
    assert_string_equal(written, "untouched");
}

/* ---- reading ---- */

static void a_number_and_its_unit_are_read(void **state)
{
    (void)state;
    assert_relative(parse("1200 psi").si, 8273708.7518, 1e-10); /* 1200 x 6894.757293168, NIST SP 811 B.8 */
    assert_relative(parse("-3.5e2 kPa").si, -350000.0, 1e-15);
    assert_relative(parse("68 %").si, 0.68, 1e-15);
    assert_true(parse("4").si == 4.0);
    assert_true(imp_dimension_is_pure(parse("4").dimension));
    assert_true(parse("  12 \t m ").si == 12.0);
    assert_true(parse("+5 m").si == 5.0);
    assert_true(parse("20 degC").is_reading && parse("20 degC").si == 293.15);
    assert_false(parse("20 K").is_reading);
    assert_string_equal(parse("12.50 EUR").dimension.currency, "EUR");
    assert_true(parse("12.50 EUR/kg").si == 12.5);
}

static void the_unit_may_follow_at_once(void **state)
{
    (void)state;
    assert_true(parse("12bar").si == 1.2e6);
    assert_relative(parse("68%").si, 0.68, 1e-15);
    assert_relative(parse("5eV").si, 5.0 * 1.602176634e-19, 1e-15);
    assert_true(parse("5e3V").si == 5000.0);
    assert_true(parse("20degC").si == 293.15);
    assert_true(parse("5/8in").si == parse("5/8 in").si);
    assert_true(parse("5.m").si == 5.0);
}

static void fractions_and_mixed_numbers_are_read(void **state)
{
    (void)state;
    assert_relative(parse("5/8 in").si, 0.625 * 0.0254, 1e-15);
    assert_relative(parse("1 5/8 in").si, 1.625 * 0.0254, 1e-15);
    assert_relative(parse("-5/8 in").si, -0.625 * 0.0254, 1e-15);
    assert_relative(parse("-1 5/8 in").si, -1.625 * 0.0254, 1e-15);
    assert_relative(parse("+1   1/2 in").si, 1.5 * 0.0254, 1e-15);
    assert_true(parse("5/8").si == 0.625);
    assert_true(parse("1 5/8").si == 1.625);
    assert_true(parse("-0 1/2").si == -0.5);
}

/* The "1" of "1/min" belongs to the unit. */
static void a_unit_that_begins_with_one_is_no_fraction(void **state)
{
    (void)state;
    assert_relative(parse("12 1/min").si, 0.2, 1e-15);
    assert_relative(parse("1/2 1/min").si, 0.5 / 60.0, 1e-15);
    assert_relative(parse("1 1/2 1/min").si, 1.5 / 60.0, 1e-15);
    assert_true(parse("12 1").si == 12.0);
}

static void the_unit_as_written_is_handed_back(void **state)
{
    (void)state;
    imp_quantity quantity;
    imp_unit unit;
    assert_int_equal(imp_quantity_parse("5 lb/ft^3", 9, &quantity, &unit, NULL), IMP_OK);
    assert_string_equal(unit.text, "lb/ft^3");
    assert_int_equal(imp_quantity_parse("5 lb/ft^3", 4, &quantity, &unit, NULL), IMP_OK);
    assert_string_equal(unit.text, "lb");
}

static void what_is_not_readable_is_told_in_a_sentence(void **state)
{
    (void)state;
    assert_not_read("", IMP_SYNTAX, "expected a number, got an empty text");
    assert_not_read("   ", IMP_SYNTAX, "expected a number, got an empty text");
    assert_not_read("bar", IMP_SYNTAX, "\"bar\" does not begin with a number");
    assert_not_read("EUR 12.50", IMP_SYNTAX, "\"EUR 12.50\" does not begin with a number");
    assert_not_read("nan m", IMP_SYNTAX, "\"nan m\" does not begin with a number");
    assert_not_read("- 5 m", IMP_SYNTAX, "\"- 5 m\" does not begin with a number");
    assert_not_read("1,5 bar", IMP_SYNTAX,
                    "\"1,5 bar\": a comma is not read; the decimal sign is a point, as in \"1.5\", and thousands stand "
                    "together, as in \"1200\"");
    assert_not_read("12/min", IMP_SYNTAX,
                    "\"12/min\": a unit does not begin with \"/\"; write \"3 1/min\" for three per minute");
    assert_not_read("1 2 m", IMP_SYNTAX, "unit \"2 m\": a unit holds no number but 1, at \"2 m\"");
    assert_not_read("12 pis", IMP_UNKNOWN, "unknown unit \"pis\"; did you mean \"psi\"?");
    assert_not_read("5/8\"", IMP_SYNTAX, "unit \"\"\": write inches as in and feet as ft");
    assert_not_read("1/0 in", IMP_RANGE, "\"1/0 in\" divides by zero");
    assert_not_read("1 1/0 in", IMP_RANGE, "\"1 1/0 in\" divides by zero");
    assert_not_read("1e999 m", IMP_RANGE, "\"1e999 m\" is beyond the largest number");
    assert_not_read("1e308 km", IMP_RANGE, "\"1e308 km\" is beyond the largest number");
}

static void messages_stay_short_for_long_texts(void **state)
{
    (void)state;
    char text[5000];
    memset(text, 'x', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    imp_quantity quantity;
    imp_error error;
    assert_int_equal(imp_quantity_parse(text, strlen(text), &quantity, NULL, &error), IMP_SYNTAX);
    assert_true(strlen(error.message) < 100);
    assert_contains(error.message, "...\" does not begin with a number");
    text[0] = '1';
    assert_int_equal(imp_quantity_parse(text, strlen(text), &quantity, NULL, &error), IMP_LIMIT);
}

/* ---- conversion ---- */

static void values_convert_to_every_unit_of_their_kind(void **state)
{
    (void)state;
    /* 1 in = 25.4 mm and 1 gal = 231 in^3 by definition; 12 V x 2 Ah is 24 Wh. */
    assert_relative(in("1 in", "mm"), 25.4, 1e-15);
    assert_relative(in("231 in^3", "gal"), 1.0, 1e-15);
    assert_relative(in("24 V Ah", "Wh"), 24.0, 1e-15);
    assert_relative(in("250 %", "1"), 2.5, 1e-15);
    assert_relative(in("56.1 mgKOH/g", "%"), 5.61, 1e-15);
    assert_relative(in("5 money/kg", "EUR/kg"), 5.0, 1e-15);
}

/* Units of ten and its like are rounded once, so that equal things compare equal. */
static void decimal_units_meet_exactly(void **state)
{
    (void)state;
    assert_true(parse("1 in").si == parse("2.54 cm").si);
    assert_true(parse("9 mm").si == 0.009);
    assert_true(parse("35 um").si == 35e-6);
    assert_true(parse("7 %").si == 0.07);
    assert_true(in("0.25", "%") == 25.0);
    assert_true(in("0.0254 m", "cm") == 2.54);
    assert_true(in("0.35 L", "mL") == 350.0);
    assert_true(parse("3 1/min").si == 3.0 / 60.0);
}

static void a_reading_converts_to_other_scales_and_to_kelvin(void **state)
{
    (void)state;
    assert_close(in("25 degC", "degF"), 77.0, 1e-12);
    assert_close(in("-40 degF", "degC"), -40.0, 1e-12);
    assert_close(in("20 degC", "K"), 293.15, 1e-12);
    assert_close(in("20 degC", "mK"), 293150.0, 1e-9);
    assert_close(in("32 degF", "degR"), 491.67, 1e-12);
    assert_close(in("10 K", "degF_diff"), 18.0, 1e-12);
    assert_close(in("18 degF_diff", "degC_diff"), 10.0, 1e-12);
}

static void a_reading_and_a_difference_are_two_kinds(void **state)
{
    (void)state;
    assert_not_in("10 K", "degC", "a temperature difference does not convert to degC; use K or degC_diff");
    assert_not_in("10 K", "degF", "a temperature difference does not convert to degF; use K or degF_diff");
    assert_not_in("20 degC", "degC_diff", "expected a temperature difference, got a temperature (20 degC)");
    assert_not_in("20 degC", "K m/m", "expected a temperature difference, got a temperature (20 degC)");
}

static void another_kind_is_refused_with_both_named(void **state)
{
    (void)state;
    assert_not_in("12 bar", "m", "expected a length, got a pressure (1200000 Pa)");
    assert_not_in("5", "bar", "expected a pressure, got a pure number (5)");
    assert_not_in("3 m", "%", "expected a pure number, got a length (3 m)");
    assert_not_in("2 kg/m^3", "degC", "expected a temperature, got a density (2 kg/m^3)");
    assert_not_in("2 m^5", "V", "expected a voltage, got a quantity in m^5 (2 m^5)");
    assert_not_in("20 degC", "bar", "expected a pressure, got a temperature (20 degC)");
    assert_not_in("20 C", "degC", "expected a temperature, got a charge (20 C)");
    assert_not_in("5 EUR", "USD", "expected an amount in USD, got one in EUR");
    assert_not_in("5 EUR/h", "USD/h", "expected an amount in USD, got one in EUR");
}

static void a_value_beyond_the_largest_number_is_refused(void **state)
{
    (void)state;
    const imp_quantity quantity = parse("1e300 m");
    const imp_unit unit = unit_of("qm");
    double value = -77.0;
    imp_error error;
    assert_int_equal(imp_quantity_in(&quantity, &unit, &value, &error), IMP_RANGE);
    assert_string_equal(error.message, "the value in \"qm\" is beyond the largest number");
    assert_true(value == -77.0);
}

/* ---- writing ---- */

static void assert_written(const char *text, const char *unit_text, int digits, const char *expected)
{
    const imp_quantity quantity = parse(text);
    const imp_unit unit = unit_of(unit_text);
    char written[96];
    assert_int_equal(imp_quantity_format(&quantity, &unit, digits, written, sizeof written, NULL), IMP_OK);
    assert_string_equal(written, expected);
}

static void values_are_written_with_their_unit(void **state)
{
    (void)state;
    assert_written("1200 psi", "bar", 6, "82.7371 bar");
    assert_written("5/8 in", "mm", 0, "15.875 mm");
    assert_written("68%", "%", 4, "68 %");
    assert_written("68%", "1", 4, "0.68");
    assert_written("68%", "", 4, "0.68");
    assert_written("20 degC", "degF", 3, "68 degF");
    assert_written("12.50 EUR", "EUR", 0, "12.5 EUR");
    assert_written("1 m", "km", 0, "0.001 km");
    assert_written("-0.0 m", "m", 0, "0 m");
}

/* Read, write, read again: the same quantity, whatever the unit. */
static void every_unit_of_the_table_is_read_back_as_it_was_written(void **state)
{
    (void)state;
    static const double values[] = {1.0, 7.25, -3.5, 123456.789, 2e-7};
    for (size_t i = 0; i < imp_unit_count(); i++)
        for (size_t j = 0; j < sizeof values / sizeof values[0]; j++) {
            const imp_unit unit = unit_of(imp_unit_at(i)->name);
            const imp_quantity quantity = imp_quantity_from(values[j], &unit);
            char written[96];
            assert_int_equal(imp_quantity_format(&quantity, &unit, 0, written, sizeof written, NULL), IMP_OK);
            const imp_quantity back = parse(written);
            assert_close(back.si, quantity.si, fabs(quantity.si) * 1e-15);
            assert_true(back.is_reading == quantity.is_reading);
            assert_true(imp_dimension_same(back.dimension, quantity.dimension));
            /* Twelve digits show the number that was typed. */
            char number[IMP_NUMBER_TEXT_SIZE], expected[96];
            if (unit.is_reading && fabs(values[j]) < 1e-3)
                continue; /* the scale's offset takes the last digits of a small reading */
            imp_quantity_format(&quantity, &unit, 12, written, sizeof written, NULL);
            snprintf(expected, sizeof expected, strcmp(unit.text, "1") == 0 ? "%s" : "%s %s",
                     imp_number_write(values[j], 12, number, sizeof number), unit.text);
            assert_string_equal(written, expected);
        }
}

static void a_small_buffer_is_never_overrun(void **state)
{
    (void)state;
    const imp_unit unit = unit_of("bar");
    const imp_quantity quantity = imp_quantity_from(82.7371, &unit);
    char written[8];
    memset(written, '#', sizeof written);
    assert_int_equal(imp_quantity_format(&quantity, &unit, 0, written, 5, NULL), IMP_OK);
    assert_string_equal(written, "82.7");
    assert_int_equal(written[5], '#');
    assert_int_equal(imp_quantity_format(&quantity, &unit, 0, written, 0, NULL), IMP_OK);
}

/* ---- arithmetic ---- */

typedef imp_status (*operation)(const imp_quantity *, const imp_quantity *, imp_quantity *, imp_error *);

static void assert_result(operation apply, const char *a, const char *b, const char *expected)
{
    const imp_quantity first = parse(a), second = parse(b), wanted = parse(expected);
    imp_quantity result;
    imp_error error;
    if (apply(&first, &second, &result, &error) != IMP_OK) {
        print_error("%s, %s: %s\n", a, b, error.message);
        fail();
    }
    assert_close(result.si, wanted.si, 1e-12 * fabs(wanted.si));
    assert_true(result.is_reading == wanted.is_reading);
    assert_true(imp_dimension_same(result.dimension, wanted.dimension));
    assert_string_equal(result.dimension.currency, wanted.dimension.currency);
}

static void assert_no_result(operation apply, const char *a, const char *b, imp_status status, const char *message)
{
    const imp_quantity first = parse(a), second = parse(b);
    imp_quantity result;
    memset(&result, 0x5A, sizeof result);
    const imp_quantity before = result;
    imp_error error;
    assert_int_equal(apply(&first, &second, &result, &error), status);
    assert_string_equal(error.message, message);
    assert_memory_equal(&result, &before, sizeof result);
}

static void sums_and_differences_of_one_kind(void **state)
{
    (void)state;
    assert_result(imp_quantity_add, "1 m", "20 cm", "1.2 m");
    assert_result(imp_quantity_subtract, "1 bar", "20 kPa", "0.8 bar");
    assert_result(imp_quantity_add, "5 EUR", "3 money", "8 EUR");
    assert_result(imp_quantity_subtract, "5 money", "3 EUR", "2 EUR");
    assert_result(imp_quantity_add, "1", "50 %", "1.5");
}

static void readings_follow_the_rules_of_a_scale(void **state)
{
    (void)state;
    assert_result(imp_quantity_subtract, "30 degC", "20 degC", "10 K");
    assert_result(imp_quantity_subtract, "68 degF", "50 degF", "10 K");
    assert_result(imp_quantity_add, "20 degC", "10 K", "30 degC");
    assert_result(imp_quantity_add, "10 K", "20 degC", "30 degC");
    assert_result(imp_quantity_add, "20 degC", "18 degF_diff", "30 degC");
    assert_result(imp_quantity_subtract, "20 degC", "10 K", "10 degC");
    assert_result(imp_quantity_add, "10 K", "5 K", "15 K");
    assert_no_result(imp_quantity_add, "20 degC", "10 degC", IMP_DIMENSION_MISMATCH,
                     "two temperature readings cannot be added");
    assert_no_result(imp_quantity_subtract, "10 K", "20 degC", IMP_DIMENSION_MISMATCH,
                     "a temperature reading cannot be subtracted from a temperature difference");
    assert_no_result(imp_quantity_multiply, "2", "20 degC", IMP_DIMENSION_MISMATCH,
                     "a temperature reading cannot be multiplied; subtract another reading first");
    assert_no_result(imp_quantity_multiply, "20 degC", "2", IMP_DIMENSION_MISMATCH,
                     "a temperature reading cannot be multiplied; subtract another reading first");
    assert_no_result(imp_quantity_divide, "20 degC", "2", IMP_DIMENSION_MISMATCH,
                     "a temperature reading cannot be divided; subtract another reading first");
    assert_no_result(imp_quantity_divide, "2", "20 degC", IMP_DIMENSION_MISMATCH,
                     "a temperature reading cannot be a divisor; subtract another reading first");
}

static void different_kinds_do_not_add(void **state)
{
    (void)state;
    assert_no_result(imp_quantity_add, "1 bar", "1 m", IMP_DIMENSION_MISMATCH, "cannot add a pressure and a length");
    assert_no_result(imp_quantity_subtract, "1 bar", "1 m", IMP_DIMENSION_MISMATCH,
                     "cannot subtract a length from a pressure");
    assert_no_result(imp_quantity_add, "20 degC", "1 m", IMP_DIMENSION_MISMATCH,
                     "cannot add a temperature and a length");
    assert_no_result(imp_quantity_add, "1", "1 K", IMP_DIMENSION_MISMATCH,
                     "cannot add a pure number and a temperature difference");
    assert_no_result(imp_quantity_add, "5 EUR", "5 USD", IMP_DIMENSION_MISMATCH, "cannot add amounts in EUR and USD");
    assert_no_result(imp_quantity_subtract, "5 EUR/kg", "5 USD/kg", IMP_DIMENSION_MISMATCH,
                     "cannot subtract amounts in USD from EUR");
}

static void products_and_quotients_carry_their_kind(void **state)
{
    (void)state;
    assert_result(imp_quantity_multiply, "3 m", "4 m", "12 m^2");
    assert_result(imp_quantity_multiply, "12.50 EUR/kg", "4 kg", "50 EUR");
    assert_result(imp_quantity_divide, "100 m", "10 s", "36 km/h");
    assert_result(imp_quantity_divide, "1 bar", "1 kPa", "100");
    assert_result(imp_quantity_divide, "10 EUR", "4 EUR", "2.5");
    assert_result(imp_quantity_multiply, "4.1868 kJ/(kg K)", "10 K", "41.868 kJ/kg");
    assert_no_result(imp_quantity_divide, "1 m", "0 s", IMP_RANGE, "division by zero");
    assert_no_result(imp_quantity_multiply, "1e300 m", "1e300 m", IMP_RANGE, "the result is not a finite number");
    assert_no_result(imp_quantity_multiply, "1 EUR", "1 USD", IMP_DIMENSION_MISMATCH,
                     "EUR and USD are two currencies; convert one of them first");
    assert_no_result(imp_quantity_multiply, "1 m^32", "1 m", IMP_RANGE, "an exponent leaves -32 to 32");
}

static void assert_power(const char *base, double exponent, const char *expected)
{
    const imp_quantity quantity = parse(base), wanted = parse(expected);
    imp_quantity power;
    assert_int_equal(imp_quantity_power(&quantity, exponent, &power, NULL), IMP_OK);
    assert_close(power.si, wanted.si, 1e-12 * fabs(wanted.si));
    assert_true(imp_dimension_same(power.dimension, wanted.dimension));
}

static void assert_no_power(const char *base, double exponent, imp_status status, const char *message)
{
    const imp_quantity quantity = parse(base);
    imp_quantity power = quantity;
    imp_error error;
    assert_int_equal(imp_quantity_power(&quantity, exponent, &power, &error), status);
    assert_string_equal(error.message, message);
    assert_true(power.si == quantity.si);
}

static void powers_take_whole_and_half_exponents(void **state)
{
    (void)state;
    assert_power("3 m", 2.0, "9 m^2");
    assert_power("9 m^2", 0.5, "3 m");
    assert_power("4 m^2", 1.5, "8 m^3");
    assert_power("2 s", -1.0, "0.5 1/s");
    assert_power("5 EUR", 0.0, "1");
    assert_power("2", 0.3, "1.2311444133449163"); /* GNU bc 1.07: e(0.3*l(2)) */
    assert_power("-2 m", 3.0, "-8 m^3");
    const imp_quantity pressure = parse("4 Pa");
    imp_quantity root, back;
    assert_int_equal(imp_quantity_power(&pressure, 0.5, &root, NULL), IMP_OK);
    assert_int_equal(imp_quantity_power(&root, 2.0, &back, NULL), IMP_OK);
    assert_relative(back.si, 4.0, 1e-15);
    assert_true(imp_dimension_same(back.dimension, pressure.dimension));
}

static void powers_without_a_meaning_are_refused(void **state)
{
    (void)state;
    assert_no_power("20 degC", 2.0, IMP_DIMENSION_MISMATCH,
                    "a temperature reading cannot be raised to a power; subtract another reading first");
    assert_no_power("2 bar", 0.3, IMP_RANGE, "the exponent of a pressure must be a multiple of 1/2");
    assert_no_power("2 m", 33.0, IMP_RANGE, "an exponent leaves -32 to 32");
    assert_no_power("2 m", 1e300, IMP_RANGE, "an exponent leaves -32 to 32");
    assert_no_power("2 m", (double)NAN, IMP_RANGE, "the exponent is not a finite number");
    assert_no_power("2", (double)INFINITY, IMP_RANGE, "the exponent is not a finite number");
    assert_no_power("-4 m^2", 0.5, IMP_RANGE, "a negative value has no power with a fraction");
    assert_no_power("0 m", -1.0, IMP_RANGE, "division by zero");
    assert_no_power("1e200", 2.0, IMP_RANGE, "the result is not a finite number");
}

static int compare(const char *a, const char *b)
{
    const imp_quantity first = parse(a), second = parse(b);
    int order = 77;
    assert_int_equal(imp_quantity_compare(&first, &second, &order, NULL), IMP_OK);
    return order;
}

static void assert_not_compared(const char *a, const char *b, const char *message)
{
    const imp_quantity first = parse(a), second = parse(b);
    int order = 77;
    imp_error error;
    assert_int_equal(imp_quantity_compare(&first, &second, &order, &error), IMP_DIMENSION_MISMATCH);
    assert_string_equal(error.message, message);
    assert_int_equal(order, 77);
}

static void quantities_of_one_kind_compare(void **state)
{
    (void)state;
    assert_int_equal(compare("1 m", "99 cm"), 1);
    assert_int_equal(compare("1 in", "2.54 cm"), 0);
    assert_int_equal(compare("20 degC", "70 degF"), -1);
    assert_int_equal(compare("5 K", "18 degF_diff"), -1);
    assert_int_equal(compare("5 EUR", "5 money"), 0);
    assert_not_compared("20 degC", "293.15 K", "a temperature reading and a temperature difference do not compare");
    assert_not_compared("1 m", "1 s", "cannot compare a length and a time");
    assert_not_compared("1 EUR", "1 USD", "cannot compare amounts in EUR and USD");
    const imp_quantity nothing = {(double)NAN, {{0}, ""}, false};
    int order = 77;
    assert_int_equal(imp_quantity_compare(&nothing, &nothing, &order, NULL), IMP_RANGE);
    assert_int_equal(order, 77);
}

/* (a + b) - b = a and (a b)/b = a, for random values in random units. */
static void arithmetic_undoes_itself(void **state)
{
    (void)state;
    uint32_t seed = 7;
    for (int i = 0; i < 5000; i++) {
        seed = seed * 1664525u + 1013904223u;
        const imp_unit_row *row = imp_unit_at((seed >> 8) % imp_unit_count());
        if (row->is_reading)
            continue;
        const imp_unit unit = unit_of(row->name);
        seed = seed * 1664525u + 1013904223u;
        const imp_quantity a = imp_quantity_from((double)(seed >> 8) / 1000.0 + 1.0, &unit);
        seed = seed * 1664525u + 1013904223u;
        const imp_quantity b = imp_quantity_from((double)(seed >> 8) / 1000.0 + 1.0, &unit);
        imp_quantity sum, product, back;
        assert_int_equal(imp_quantity_add(&a, &b, &sum, NULL), IMP_OK);
        assert_int_equal(imp_quantity_subtract(&sum, &b, &back, NULL), IMP_OK);
        assert_close(back.si, a.si, 1e-15 * (fabs(a.si) + fabs(b.si)));
        assert_int_equal(imp_quantity_multiply(&a, &b, &product, NULL), IMP_OK);
        assert_int_equal(imp_quantity_divide(&product, &b, &back, NULL), IMP_OK);
        assert_relative(back.si, a.si, 1e-15);
        assert_true(imp_dimension_same(back.dimension, a.dimension));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_number_and_its_unit_are_read),
        cmocka_unit_test(the_unit_may_follow_at_once),
        cmocka_unit_test(fractions_and_mixed_numbers_are_read),
        cmocka_unit_test(a_unit_that_begins_with_one_is_no_fraction),
        cmocka_unit_test(the_unit_as_written_is_handed_back),
        cmocka_unit_test(what_is_not_readable_is_told_in_a_sentence),
        cmocka_unit_test(messages_stay_short_for_long_texts),
        cmocka_unit_test(values_convert_to_every_unit_of_their_kind),
        cmocka_unit_test(decimal_units_meet_exactly),
        cmocka_unit_test(a_reading_converts_to_other_scales_and_to_kelvin),
        cmocka_unit_test(a_reading_and_a_difference_are_two_kinds),
        cmocka_unit_test(another_kind_is_refused_with_both_named),
        cmocka_unit_test(a_value_beyond_the_largest_number_is_refused),
        cmocka_unit_test(values_are_written_with_their_unit),
        cmocka_unit_test(every_unit_of_the_table_is_read_back_as_it_was_written),
        cmocka_unit_test(a_small_buffer_is_never_overrun),
        cmocka_unit_test(sums_and_differences_of_one_kind),
        cmocka_unit_test(readings_follow_the_rules_of_a_scale),
        cmocka_unit_test(different_kinds_do_not_add),
        cmocka_unit_test(products_and_quotients_carry_their_kind),
        cmocka_unit_test(powers_take_whole_and_half_exponents),
        cmocka_unit_test(powers_without_a_meaning_are_refused),
        cmocka_unit_test(quantities_of_one_kind_compare),
        cmocka_unit_test(arithmetic_undoes_itself),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
