/* Units and dimensions: the table, the grammar and what is refused. compare_units.py checks every factor of the table
 * against GNU units and UDUNITS-2. Over 500 lines: many small cases of one subject. */
#include "unit.h"

#include <stdio.h>
#include <stdlib.h>

#include "support.h"

static imp_unit parse(const char *text)
{
    imp_unit unit;
    imp_error error;
    if (imp_unit_parse(text, strlen(text), &unit, &error) != IMP_OK) {
        print_error("\"%s\": %s\n", text, error.message);
        fail();
    }
    return unit;
}

static void assert_refused(const char *text, imp_status status, const char *message)
{
    imp_unit unit;
    memset(&unit, 0x5A, sizeof unit);
    const imp_unit before = unit;
    imp_error error;
    assert_int_equal(imp_unit_parse(text, strlen(text), &unit, &error), status);
    assert_int_equal(error.status, status);
    assert_string_equal(error.message, message);
    assert_memory_equal(&unit, &before, sizeof unit); /* outputs are untouched on failure */
    assert_int_equal(imp_unit_parse(text, strlen(text), &unit, NULL), status);
}

static bool is_currency(const imp_unit_row *row)
{
    return row->dimension.currency[0] != '\0';
}

/* ---- the table ---- */

static void table_is_sorted_by_name_without_doubles(void **state)
{
    (void)state;
    for (size_t i = 1; i < imp_unit_count(); i++)
        assert_true(strcmp(imp_unit_at(i - 1)->name, imp_unit_at(i)->name) < 0);
    assert_null(imp_unit_at(imp_unit_count()));
}

static void every_row_is_found_by_its_name(void **state)
{
    (void)state;
    for (size_t i = 0; i < imp_unit_count(); i++)
        assert_ptr_equal(imp_unit_find(imp_unit_at(i)->name, strlen(imp_unit_at(i)->name)), imp_unit_at(i));
    assert_null(imp_unit_find("", 0));
    assert_null(imp_unit_find("ps", 2));
    assert_null(imp_unit_find("psix", 4));
    assert_null(imp_unit_find("m\0i", 3));
    assert_ptr_equal(imp_unit_find("psix", 3), imp_unit_find("psi", 3));
}

static void every_row_is_complete(void **state)
{
    (void)state;
    for (size_t i = 0; i < imp_unit_count(); i++) {
        const imp_unit_row *row = imp_unit_at(i);
        assert_true(row->meaning[0] != '\0' && row->source[0] != '\0');
        assert_true(isnormal(row->factor) && row->factor > 0.0);
        assert_true(row->is_reading == (row->offset != 0.0));
        assert_true(strlen(row->name) < IMP_UNIT_TEXT_SIZE - 4);
        const imp_unit unit = parse(row->name);
        assert_true(unit.factor == row->factor && unit.offset == row->offset);
        assert_true(imp_dimension_same(unit.dimension, row->dimension));
        assert_true(unit.is_reading == row->is_reading && unit.is_absolute == row->is_absolute);
        assert_string_equal(unit.text, row->name);
    }
}

/* Aliases share their meaning, and are then the same unit. */
static void table_holds_at_least_260_distinct_units(void **state)
{
    (void)state;
    int distinct = 0;
    for (size_t i = 0; i < imp_unit_count(); i++) {
        const imp_unit_row *row = imp_unit_at(i);
        bool is_first = !is_currency(row);
        for (size_t j = 0; j < imp_unit_count() && is_first; j++) {
            const imp_unit_row *other = imp_unit_at(j);
            if (j == i || strcmp(other->meaning, row->meaning) != 0)
                continue;
            assert_true(other->factor == row->factor && other->offset == row->offset);
            assert_true(imp_dimension_same(other->dimension, row->dimension));
            is_first = i < j;
        }
        distinct += is_first;
    }
    assert_true(distinct >= 260);
}

/* ISO 4217 has about 180 active codes; the ten of the largest turnover (BIS triennial survey 2022) are among them. */
static void currencies_are_the_codes_of_iso_4217(void **state)
{
    (void)state;
    int count = 0;
    for (size_t i = 0; i < imp_unit_count(); i++) {
        const imp_unit_row *row = imp_unit_at(i);
        if (!is_currency(row))
            continue;
        count++;
        assert_string_equal(row->name, row->dimension.currency);
        assert_int_equal(strspn(row->name, "ABCDEFGHIJKLMNOPQRSTUVWXYZ"), 3);
        assert_string_equal(row->source, "ISO 4217");
        assert_true(row->factor == 1.0);
    }
    assert_in_range(count, 165, 190);
    static const char *const traded[] = {"USD", "EUR", "JPY", "GBP", "CNY", "AUD", "CAD", "CHF", "HKD", "SGD"};
    for (size_t i = 0; i < sizeof traded / sizeof traded[0]; i++)
        assert_string_equal(parse(traded[i]).dimension.currency, traded[i]);
    assert_string_equal(parse("money").dimension.currency, "");
}

/* NIST SP 811 (2008) B.8, the seven digits printed there (from memory; compare_units.py finds the same from two
 * programs). */
static void factors_are_those_printed_by_nist(void **state)
{
    (void)state;
    static const struct {
        const char *unit;
        double si;
    } printed[] = {
        {"psi", 6.894757e3},
        {"psf", 4.788026e1},
        {"inHg", 3.386389e3},
        {"inH2O", 2.490889e2},
        {"torr", 1.333224e2},
        {"ft lbf", 1.355818},
        {"Btu", 1.055056e3},
        {"Btu_th", 1.054350e3},
        {"hp", 7.456999e2},
        {"hp_metric", 7.354988e2},
        {"ton_refrigeration", 3.516853e3},
        {"gal", 3.785412e-3},
        {"gal_uk", 4.546090e-3},
        {"fl_oz", 2.957353e-5},
        {"bdft", 2.359737e-3},
        {"ft3", 2.831685e-2},
        {"cfm", 4.719474e-4},
        {"gpm", 6.309020e-5},
        {"lb/ft3", 1.601846e1},
        {"lb/gal", 1.198264e2},
        {"lb/ft2", 4.882428},
        {"oz", 2.834952e-2},
        {"gr", 6.479891e-5},
        {"slug", 1.459390e1},
        {"lbf", 4.448222},
        {"pdl", 1.382550e-1},
        {"cmil", 5.067075e-10},
        {"Btu in/(h ft^2 degF)", 1.442279e-1},
        {"Btu/(h ft^2 degF)", 5.678263},
        {"ft^2 h degF/Btu", 1.761102e-1},
        {"Btu/(lb degF)", 4.1868e3},
        {"Btu/h", 2.930711e-1},
        {"lbf s/ft^2", 4.788026e1},
        {"ft2/s", 9.290304e-2},
        {"darcy", 9.869233e-13},
    };
    for (size_t i = 0; i < sizeof printed / sizeof printed[0]; i++)
        assert_close(parse(printed[i].unit).factor, printed[i].si,
                     0.501 * pow(10.0, floor(log10(printed[i].si)) - 6.0));
}

/* ---- prefixes ---- */

/* SI brochure, 9th edition, table 7. */
static void all_prefixes_of_the_si_are_read(void **state)
{
    (void)state;
    static const struct {
        const char *unit;
        double si;
    } prefixed[] = {
        {"Qm", 1e30},  {"Rm", 1e27},  {"Ym", 1e24},  {"Zm", 1e21},  {"Em", 1e18},  {"Pm", 1e15},  {"Tm", 1e12},
        {"Gm", 1e9},   {"Mm", 1e6},   {"km", 1e3},   {"hm", 1e2},   {"dam", 1e1},  {"dm", 1e-1},  {"cm", 1e-2},
        {"mm", 1e-3},  {"um", 1e-6},  {"µm", 1e-6},  {"μm", 1e-6},  {"nm", 1e-9},  {"pm", 1e-12}, {"fm", 1e-15},
        {"am", 1e-18}, {"zm", 1e-21}, {"ym", 1e-24}, {"rm", 1e-27}, {"qm", 1e-30},
    };
    for (size_t i = 0; i < sizeof prefixed / sizeof prefixed[0]; i++)
        assert_relative(parse(prefixed[i].unit).factor, prefixed[i].si, 1e-15);
}

static void prefixes_stand_only_before_units_that_take_them(void **state)
{
    (void)state;
    int taking = 0, refusing = 0;
    for (size_t i = 0; i < imp_unit_count(); i++) {
        const imp_unit_row *row = imp_unit_at(i);
        char name[IMP_UNIT_TEXT_SIZE];
        snprintf(name, sizeof name, "G%s", row->name);
        imp_unit unit;
        if (imp_unit_find(name, strlen(name)) != NULL || row->name[0] == '1')
            continue;
        const imp_status status = imp_unit_parse(name, strlen(name), &unit, NULL);
        if (row->takes_prefix) {
            assert_int_equal(status, IMP_OK);
            assert_relative(unit.factor, 1e9 * row->factor, 1e-15);
            taking++;
        } else if (strpbrk(row->name, "0123456789") == NULL) { /* "GH2" would be a power */
            assert_int_equal(status, IMP_UNKNOWN);
            refusing++;
        }
    }
    assert_true(taking > 30 && refusing > 200);
    assert_refused("klb", IMP_UNKNOWN, "unknown unit \"klb\"; \"lb\" takes no SI prefix");
    assert_refused("kpsi", IMP_UNKNOWN, "unknown unit \"kpsi\"; \"psi\" takes no SI prefix");
    assert_refused("mdegC", IMP_UNKNOWN, "unknown unit \"mdegC\"; \"degC\" takes no SI prefix");
    assert_refused("kkm", IMP_UNKNOWN, "unknown unit \"kkm\"; did you mean \"km\"?");
}

/* A whole name comes before prefix and name, however the two could be cut. */
static void whole_names_come_first(void **state)
{
    (void)state;
    assert_true(parse("min").factor == 60.0);                          /* not a milli-inch */
    assert_true(parse("ft").factor == 0.3048);                         /* not a femto-tonne */
    assert_true(parse("Pa").factor == 1.0);                            /* not a peta-annum */
    assert_true(parse("cd").dimension.halves[IMP_BASE_LUMINOUS] == 2); /* not a centi-day */
    assert_relative(parse("PS").factor, 735.49875, 1e-12);
    assert_relative(parse("mmH2O").factor, 9.80665, 1e-12);
    assert_relative(parse("inH2O").factor, 249.08891, 1e-12);
    assert_relative(parse("inH2O2").factor, 249.08891 * 249.08891, 1e-12); /* squared */
    assert_true(parse("daN").factor == 10.0);
    assert_true(parse("kg").factor == 1.0);
}

static void powers_of_ten_are_exact(void **state)
{
    (void)state;
    assert_true(parse("mm").factor == 1e-3);
    assert_true(parse("mm^2").factor == 1e-6);
    assert_true(parse("mm3").factor == 1e-9);
    assert_true(parse("um/mm").factor == 1e-3);
    assert_true(parse("g/cm^3").factor == 1000.0);
    assert_true(parse("kPa").factor == 1000.0);
    assert_true(parse("cP").factor == 1e-3);
    assert_true(parse("mm2/s").factor == parse("cSt").factor);
    assert_true(parse("mL").factor == 1e-6);
}

/* ---- grammar ---- */

static void assert_same_unit(const char *a, const char *b)
{
    const imp_unit first = parse(a), second = parse(b);
    if (!(fabs(first.factor / second.factor - 1.0) < 1e-15))
        print_error("%s and %s\n", a, b);
    assert_relative(first.factor, second.factor, 1e-15);
    assert_true(imp_dimension_same(first.dimension, second.dimension));
    assert_true(first.is_reading == second.is_reading);
}

static void products_and_powers_can_be_written_in_several_ways(void **state)
{
    (void)state;
    assert_same_unit("kg/m^3", "kg/m3");
    assert_same_unit("kg/m^3", "kg m^-3");
    assert_same_unit("kg/m^3", "kg*m-3");
    assert_same_unit("kg/m^3", "kg·m⁻³");
    assert_same_unit("kg/m^3", "kg.m^-3");
    assert_same_unit("kg/m^3", " kg / m^3\t");
    assert_same_unit("W/(m K)", "W/m/K");
    assert_same_unit("W/(m K)", "W m-1 K-1");
    assert_same_unit("W/(m2 K)", "W/(m²·K)");
    assert_same_unit("1/min", "min^-1");
    assert_same_unit("1/min", "min⁻¹");
    assert_same_unit("m^+2", "m2");
    assert_same_unit("(m/s)^2", "m2/s2");
    assert_same_unit("((m))", "m");
    assert_same_unit("mm²", "mm^2");
    assert_same_unit("m⋅s", "m s");
    assert_same_unit("Pa.s", "Pa s");
    assert_same_unit("mΩ/m", "mohm/m");
    assert_same_unit("°C", "degC");
    assert_same_unit("", "1");
    assert_same_unit("ohm/km", "mohm/m");
    assert_same_unit("mgKOH/g", "permille");
    assert_same_unit("mgKOH/g", "mg/g");
    assert_same_unit("sqft", "ft2");
    assert_same_unit("cuft/min", "cfm");
    assert_same_unit("%", "percent");
    assert_same_unit("%/K", "percent/K");
}

/* "/" takes the one factor behind it, so W/m K is not W/(m K). */
static void a_slash_divides_by_the_next_factor_only(void **state)
{
    (void)state;
    assert_same_unit("W/m K", "W K/m");
    assert_same_unit("J/kg/K", "J/(kg K)");
    assert_same_unit("m/s s", "m");
    assert_same_unit("1/m/s", "1/(m s)");
}

static void temperatures_are_differences_inside_a_product(void **state)
{
    (void)state;
    assert_true(parse("degC").is_reading && parse("degC").offset == 273.15);
    assert_true(parse("(degC)").is_reading);
    assert_true(parse("celsius").is_reading);
    assert_same_unit("J/(kg degC)", "J/(kg K)");
    assert_same_unit("1/degC", "1/K");
    assert_same_unit("degC^2", "K2");
    assert_false(parse("degC/min").is_reading);
    assert_true(parse("degC/min").offset == 0.0);
    assert_relative(parse("Btu/(lb degF)").factor, 4186.8, 1e-12);
    assert_false(parse("K").is_reading);
    assert_true(parse("K").is_absolute && parse("mK").is_absolute && parse("degR").is_absolute);
    assert_false(parse("degC_diff").is_reading || parse("degC_diff").is_absolute);
    assert_false(parse("K/s").is_absolute || parse("K^2").is_absolute);
    assert_relative(parse("degF_diff").factor, 5.0 / 9.0, 1e-15);
}

static void conversion_goes_both_ways(void **state)
{
    (void)state;
    const imp_unit fahrenheit = parse("degF"), bar = parse("bar");
    assert_relative(imp_unit_to_si(&fahrenheit, 32.0), 273.15, 1e-15);
    assert_relative(imp_unit_to_si(&fahrenheit, 212.0), 373.15, 1e-15);
    assert_close(imp_unit_from_si(&fahrenheit, 233.15), -40.0, 1e-12);
    assert_true(imp_unit_to_si(&bar, 12.0) == 1.2e6);
    assert_true(imp_unit_from_si(&bar, 1.2e6) == 12.0);
}

static void text_is_kept_as_written_without_outer_blanks(void **state)
{
    (void)state;
    assert_string_equal(parse("  kg / m3 ").text, "kg / m3");
    assert_string_equal(parse("").text, "");
    assert_string_equal(parse("m³").text, "m³");
}

static void parsing_stops_at_the_given_length(void **state)
{
    (void)state;
    char *text = malloc(3); /* not terminated: a byte too far is seen by the address sanitizer */
    assert_non_null(text);
    memcpy(text, "psi", 3);
    imp_unit unit;
    assert_int_equal(imp_unit_parse(text, 3, &unit, NULL), IMP_OK);
    memcpy(text, "mm2", 3);
    assert_int_equal(imp_unit_parse(text, 2, &unit, NULL), IMP_OK);
    assert_true(unit.factor == 1e-3);
    free(text);
}

/* ---- refusals ---- */

static void unknown_names_get_the_nearest_known_one(void **state)
{
    (void)state;
    static const struct {
        const char *typed, *meant;
    } slips[] = {
        {"pis", "psi"},   {"KPA", "kPa"},      {"MM", "mm"},          {"kw", "kW"},           {"degc", "degC"},
        {"DegF", "degF"}, {"barr", "bar"},     {"gallonz", "gallon"}, {"litres", "litre"},    {"eur", "EUR"},
        {"kgs", "kg"},    {"HP", "hp"},        {"btu", "BTU"},        {"celcius", "celsius"}, {"mmhg", "mmHg"},
        {"ppmm", "ppm"},  {"metres", "metre"},
    };
    for (size_t i = 0; i < sizeof slips / sizeof slips[0]; i++) {
        char message[128];
        snprintf(message, sizeof message, "unknown unit \"%s\"; did you mean \"%s\"?", slips[i].typed, slips[i].meant);
        assert_refused(slips[i].typed, IMP_UNKNOWN, message);
    }
    assert_refused("xyzzy", IMP_UNKNOWN, "unknown unit \"xyzzy\"");
    assert_refused("kg/pis2", IMP_UNKNOWN, "unknown unit \"pis\"; did you mean \"psi\"?");
}

static void gauge_and_absolute_are_no_units(void **state)
{
    (void)state;
    assert_refused("psig", IMP_UNKNOWN,
                   "unknown unit \"psig\"; write \"psi\", the input's name tells gauge from absolute");
    assert_refused("bara", IMP_UNKNOWN,
                   "unknown unit \"bara\"; write \"bar\", the input's name tells gauge from absolute");
    assert_refused("kPag", IMP_UNKNOWN,
                   "unknown unit \"kPag\"; write \"kPa\", the input's name tells gauge from absolute");
}

static void names_that_could_mean_several_units_get_advice(void **state)
{
    (void)state;
    assert_refused("ton", IMP_UNKNOWN, "unknown unit \"ton\"; write \"t\", \"ton_us\" (short) or \"ton_uk\" (long)");
    assert_refused("mt", IMP_UNKNOWN, "unknown unit \"mt\"; write \"t\" for a tonne");
    assert_refused("scfm", IMP_UNKNOWN,
                   "unknown unit \"scfm\"; write \"cfm\": the input's name tells the reference conditions");
    assert_refused(
        "Nm3/h", IMP_UNKNOWN,
        "unknown unit \"Nm\"; write \"N m\" for a newton metre, and \"m^3\" for a gas: the input's name tells "
        "its reference conditions");
}

static void a_fault_in_the_grammar_is_told_with_its_place(void **state)
{
    (void)state;
    assert_refused("kg//m", IMP_SYNTAX, "unit \"kg//m\": expected a unit name at \"/m\"");
    assert_refused("/min", IMP_SYNTAX, "unit \"/min\": expected a unit name at \"/min\"");
    assert_refused("kg/", IMP_SYNTAX, "unit \"kg/\": expected a unit name at its end");
    assert_refused("kg*", IMP_SYNTAX, "unit \"kg*\": expected a unit name at its end");
    assert_refused("W/(m K", IMP_SYNTAX, "unit \"W/(m K\": expected \")\" at its end");
    assert_refused("m)", IMP_SYNTAX, "unit \"m)\": expected a unit name at \")\"");
    assert_refused("()", IMP_SYNTAX, "unit \"()\": expected a unit name at \")\"");
    assert_refused("m^", IMP_SYNTAX, "unit \"m^\": expected a whole exponent at its end");
    assert_refused("m^x", IMP_SYNTAX, "unit \"m^x\": expected a whole exponent at \"x\"");
    assert_refused("m⁻", IMP_SYNTAX, "unit \"m⁻\": expected a superscript digit at its end");
    assert_refused("2 m", IMP_SYNTAX, "unit \"2 m\": a unit holds no number but 1, at \"2 m\"");
    assert_refused("12", IMP_SYNTAX, "unit \"12\": a unit holds no number but 1, at \"12\"");
    assert_refused("m^0.5", IMP_SYNTAX, "unit \"m^0.5\": a unit holds no number but 1, at \"5\"");
    assert_refused("\"", IMP_SYNTAX, "unit \"\"\": write inches as in and feet as ft");
    assert_refused("'", IMP_SYNTAX, "unit \"'\": write inches as in and feet as ft");
    assert_refused("$", IMP_SYNTAX, "unit \"$\": expected a unit name at \"$\"");
    assert_refused("m\n", IMP_SYNTAX, "unit \"m?\": expected a unit name at \"?\"");
    assert_refused("m\xff", IMP_SYNTAX, "unit \"m?\": expected a unit name at \"?\"");
    imp_error error;
    imp_unit unit;
    assert_int_equal(imp_unit_parse("m\0s", 3, &unit, &error), IMP_SYNTAX);
    assert_string_equal(error.message, "unit \"m?s\": expected a unit name at \"?s\"");
}

static void what_cannot_be_kept_in_a_number_is_refused(void **state)
{
    (void)state;
    assert_refused("Qm^14", IMP_RANGE, "unit \"Qm^14\" is too large or too small for a number");
    assert_refused("qm^14", IMP_RANGE, "unit \"qm^14\" is too large or too small for a number");
    assert_refused("ly^32", IMP_RANGE, "unit \"ly^32\" is too large or too small for a number");
    assert_refused("m^33", IMP_RANGE, "unit \"m^33\": an exponent is beyond -32 to 32");
    assert_refused("m99999999999999999999", IMP_RANGE,
                   "unit \"m99999999999999999999\": an exponent is beyond -32 to 32");
    assert_refused("m³³", IMP_RANGE, "unit \"m³³\": an exponent is beyond -32 to 32");
    assert_refused("m^32 m", IMP_RANGE, "an exponent leaves -32 to 32");
    assert_refused("(m^20)^20", IMP_RANGE, "an exponent leaves -32 to 32");
    assert_true(parse("m^32").dimension.halves[IMP_BASE_LENGTH] == 64);
    assert_true(parse("m^-32").dimension.halves[IMP_BASE_LENGTH] == -64);
}

static void a_text_that_is_too_long_is_refused(void **state)
{
    (void)state;
    char text[IMP_UNIT_TEXT_SIZE + 1] = "";
    for (int i = 0; i < IMP_UNIT_TEXT_SIZE - 1; i++)
        strcat(text, i % 2 == 0 ? "%" : "*");
    assert_int_equal(strlen(parse(text).text), IMP_UNIT_TEXT_SIZE - 1);
    strcat(text, "*");
    assert_refused(text, IMP_LIMIT, "a unit text is at most 47 bytes long, this one is 48");
}

static void two_currencies_do_not_go_together(void **state)
{
    (void)state;
    assert_refused("EUR USD", IMP_DIMENSION_MISMATCH, "EUR and USD are two currencies; convert one of them first");
    assert_refused("EUR/USD", IMP_DIMENSION_MISMATCH, "EUR and USD are two currencies; convert one of them first");
    assert_true(imp_dimension_is_pure(parse("EUR/EUR").dimension));
    assert_string_equal(parse("EUR/EUR").dimension.currency, "");
    assert_string_equal(parse("money/EUR EUR").dimension.currency, "EUR");
    assert_string_equal(parse("kg/EUR").dimension.currency, "EUR");
}

/* Any text at all is read or refused, and what was read is read again from its own text. */
static void random_texts_are_read_or_refused(void **state)
{
    (void)state;
    static const char *const pieces[] = {"m",  "kg", "s", "/", "*", " ", "^",  "2", "-1",  "(",    ")",   ".",
                                         "°C", "²",  "⁻", "·", "%", "1", "in", "k", "EUR", "\xff", "psi", "0"};
    uint32_t seed = 1;
    int read = 0, refused = 0;
    for (int i = 0; i < 100000; i++) {
        char text[128] = "";
        seed = seed * 1664525u + 1013904223u;
        const int count = (int)(seed >> 28) + 1;
        for (int j = 0; j < count; j++) {
            seed = seed * 1664525u + 1013904223u;
            strcat(text, pieces[(seed >> 16) % (sizeof pieces / sizeof pieces[0])]);
        }
        imp_unit unit, again;
        imp_error error = {IMP_OK, "", ""};
        const imp_status status = imp_unit_parse(text, strlen(text), &unit, i % 20 == 0 ? &error : NULL);
        if (status != IMP_OK) {
            assert_true(i % 20 != 0 || error.message[0] != '\0');
            refused++;
            continue;
        }
        read++;
        assert_true(isnormal(unit.factor));
        assert_int_equal(imp_unit_parse(unit.text, strlen(unit.text), &again, NULL), IMP_OK);
        assert_true(again.factor == unit.factor && again.offset == unit.offset);
    }
    assert_true(read > 1000 && refused > 1000);
}

/* ---- dimensions ---- */

static void assert_dimension_text(const char *unit_text, const char *expected)
{
    char text[96];
    const imp_unit unit = parse(unit_text);
    assert_string_equal(imp_dimension_text(unit.dimension, unit.is_reading, text, sizeof text), expected);
}

static void dimensions_have_names_for_people(void **state)
{
    (void)state;
    assert_dimension_text("psi", "a pressure");
    assert_dimension_text("degC", "a temperature");
    assert_dimension_text("K", "a temperature difference");
    assert_dimension_text("%", "a pure number");
    assert_dimension_text("EUR", "an amount of money");
    assert_dimension_text("USD/lb", "a price per mass");
    assert_dimension_text("m^2 kg/s", "a quantity in m^2 kg/s");
    assert_dimension_text("1/(m^4 s)", "a quantity in 1/(m^4 s)");
    assert_dimension_text("EUR/m^4", "a quantity in EUR/m^4");
    assert_dimension_text("money m", "a quantity in m money");
}

static void every_named_kind_has_one_text(void **state)
{
    (void)state;
    for (int i = 0; i < IMP_NAMED_DIMENSION_COUNT; i++) {
        char text[96];
        const imp_named_dimension kind = (imp_named_dimension)i;
        assert_true(strncmp(imp_dimension_name(kind), "a ", 2) == 0 ||
                    strncmp(imp_dimension_name(kind), "an ", 3) == 0);
        imp_dimension_text(imp_dimension_of(kind), kind == IMP_TEMPERATURE, text, sizeof text);
        assert_true(strncmp(text, "a quantity in", 13) != 0);
        for (int j = 0; j < i; j++)
            assert_string_not_equal(imp_dimension_name(kind), imp_dimension_name((imp_named_dimension)j));
    }
}

/* The SI text of a kind is a unit text of the same kind. */
static void si_text_is_read_back_as_the_same_dimension(void **state)
{
    (void)state;
    for (size_t i = 0; i < imp_unit_count(); i++) {
        char text[128];
        const imp_dimension dimension = imp_unit_at(i)->dimension;
        const imp_unit unit = parse(imp_dimension_si_text(dimension, text, sizeof text));
        assert_true(unit.factor == 1.0);
        assert_true(imp_dimension_same(unit.dimension, dimension));
    }
}

static void a_root_keeps_half_exponents(void **state)
{
    (void)state;
    char text[96];
    imp_dimension root, back;
    imp_error error;
    const imp_dimension pressure = imp_dimension_of(IMP_PRESSURE);
    assert_int_equal(imp_dimension_power(pressure, 1, 2, &root, &error), IMP_OK);
    assert_string_equal(imp_dimension_text(root, false, text, sizeof text), "a quantity in kg^0.5/(m^0.5 s)");
    assert_int_equal(imp_dimension_power(root, 2, 1, &back, &error), IMP_OK);
    assert_true(imp_dimension_same(back, pressure));
    assert_int_equal(imp_dimension_multiply(root, root, &back, &error), IMP_OK);
    assert_true(imp_dimension_same(back, pressure));
    imp_dimension untouched = pressure;
    assert_int_equal(imp_dimension_power(root, 1, 2, &untouched, &error), IMP_RANGE);
    assert_string_equal(error.message, "an exponent is no multiple of 1/2");
    assert_int_equal(imp_dimension_power(pressure, 1, 0, &untouched, &error), IMP_RANGE);
    assert_int_equal(imp_dimension_power(pressure, 17, 1, &untouched, &error), IMP_RANGE);
    assert_true(imp_dimension_same(untouched, pressure));
}

static void money_of_any_currency_fits_every_currency(void **state)
{
    (void)state;
    const imp_dimension any = imp_dimension_of(IMP_MONEY), euro = parse("EUR").dimension,
                        dollar = parse("USD").dimension;
    assert_true(imp_dimension_same(any, euro) && imp_dimension_same(dollar, any));
    assert_false(imp_dimension_same(euro, dollar));
    imp_dimension product;
    imp_error error;
    assert_int_equal(imp_dimension_multiply(any, euro, &product, &error), IMP_OK);
    assert_string_equal(product.currency, "EUR");
    assert_int_equal(imp_dimension_divide(any, euro, &product, &error), IMP_OK);
    assert_true(imp_dimension_is_pure(product) && product.currency[0] == '\0');
    assert_int_equal(imp_dimension_divide(euro, dollar, &product, &error), IMP_DIMENSION_MISMATCH);
    assert_int_equal(imp_dimension_power(euro, 0, 1, &product, &error), IMP_OK);
    assert_true(imp_dimension_is_pure(product) && product.currency[0] == '\0');
}

static imp_status converter_between(const char *from_text, const char *to_text, imp_converter *converter, imp_error *error)
{
    imp_unit from, to;
    assert_int_equal(imp_unit_parse(from_text, strlen(from_text), &from, NULL), IMP_OK);
    assert_int_equal(imp_unit_parse(to_text, strlen(to_text), &to, NULL), IMP_OK);
    return imp_unit_converter(&from, &to, converter, error);
}

/* 100 degC is 212 degF and 373.15 K (SI brochure, 9th ed., 2.3.1); 10 K of difference is 18 degF_diff */
static void a_converter_agrees_with_converting_by_way_of_si(void **state)
{
    (void)state;
    imp_converter converter;
    assert_int_equal(converter_between("degC", "degF", &converter, NULL), IMP_OK);
    assert_close(imp_convert(&converter, 100.0), 212.0, 1e-12);
    assert_int_equal(converter_between("degC", "K", &converter, NULL), IMP_OK);
    assert_close(imp_convert(&converter, 100.0), 373.15, 1e-12);
    assert_int_equal(converter_between("K", "degF_diff", &converter, NULL), IMP_OK);
    assert_close(imp_convert(&converter, 10.0), 18.0, 1e-13);
    assert_int_equal(converter_between("lb/ft^3", "kg/m^3", &converter, NULL), IMP_OK);
    assert_close(imp_convert(&converter, 1.0), 0.45359237 / (0.3048 * 0.3048 * 0.3048), 1e-12);
}

static void a_converter_refuses_what_does_not_fit(void **state)
{
    (void)state;
    imp_converter converter = {7.0, 7.0};
    imp_error error;
    assert_int_equal(converter_between("bar", "m", &converter, &error), IMP_DIMENSION_MISMATCH);
    assert_string_equal(error.message, "bar is a pressure, not a length");
    assert_int_equal(converter_between("K", "degC", &converter, &error), IMP_DIMENSION_MISMATCH);
    assert_int_equal(converter_between("degC", "degC_diff", &converter, &error), IMP_DIMENSION_MISMATCH);
    assert_true(converter.factor == 7.0 && converter.offset == 7.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(table_is_sorted_by_name_without_doubles),
        cmocka_unit_test(every_row_is_found_by_its_name),
        cmocka_unit_test(every_row_is_complete),
        cmocka_unit_test(table_holds_at_least_260_distinct_units),
        cmocka_unit_test(currencies_are_the_codes_of_iso_4217),
        cmocka_unit_test(factors_are_those_printed_by_nist),
        cmocka_unit_test(all_prefixes_of_the_si_are_read),
        cmocka_unit_test(prefixes_stand_only_before_units_that_take_them),
        cmocka_unit_test(whole_names_come_first),
        cmocka_unit_test(powers_of_ten_are_exact),
        cmocka_unit_test(products_and_powers_can_be_written_in_several_ways),
        cmocka_unit_test(a_slash_divides_by_the_next_factor_only),
        cmocka_unit_test(temperatures_are_differences_inside_a_product),
        cmocka_unit_test(conversion_goes_both_ways),
        cmocka_unit_test(text_is_kept_as_written_without_outer_blanks),
        cmocka_unit_test(parsing_stops_at_the_given_length),
        cmocka_unit_test(unknown_names_get_the_nearest_known_one),
        cmocka_unit_test(gauge_and_absolute_are_no_units),
        cmocka_unit_test(names_that_could_mean_several_units_get_advice),
        cmocka_unit_test(a_fault_in_the_grammar_is_told_with_its_place),
        cmocka_unit_test(what_cannot_be_kept_in_a_number_is_refused),
        cmocka_unit_test(a_text_that_is_too_long_is_refused),
        cmocka_unit_test(two_currencies_do_not_go_together),
        cmocka_unit_test(random_texts_are_read_or_refused),
        cmocka_unit_test(dimensions_have_names_for_people),
        cmocka_unit_test(every_named_kind_has_one_text),
        cmocka_unit_test(si_text_is_read_back_as_the_same_dimension),
        cmocka_unit_test(a_root_keeps_half_exponents),
        cmocka_unit_test(money_of_any_currency_fits_every_currency),
        cmocka_unit_test(a_converter_agrees_with_converting_by_way_of_si),
        cmocka_unit_test(a_converter_refuses_what_does_not_fit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
