#include "quantity.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "number.h"

/* ---- reading ---- */

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

/* The text for a message: one line, cut when long. */
static const char *shown(const char *text, size_t length, char *copy, size_t size)
{
    const size_t kept = length < size - 4 ? length : size - 4;
    for (size_t i = 0; i < kept; i++)
        copy[i] = (unsigned char)text[i] < 0x20 ? '?' : text[i];
    memcpy(copy + kept, kept < length ? "..." : "", kept < length ? 4 : 1);
    return copy;
}

/* Whole number at the start of text; returns the bytes taken. */
static size_t read_whole(const char *text, size_t length, double *value)
{
    size_t digits = 0;
    size_t used = 0;
    while (digits < length && is_digit(text[digits]))
        digits++;
    if (digits > 0)
        imp_number_read(text, digits, value, &used);
    return used;
}

/* "5/8" at the start of text: bytes taken, 0 when there is none. A unit such as "1/min" is none. */
static size_t read_fraction(const char *text, size_t length, double *above, double *below)
{
    double first_value, second_value;
    const size_t first = read_whole(text, length, &first_value);
    if (first == 0 || first == length || text[first] != '/')
        return 0;
    const size_t second = read_whole(text + first + 1, length - first - 1, &second_value);
    if (second == 0)
        return 0;
    *above = first_value;
    *below = second_value;
    return first + 1 + second;
}

/* Number, fraction or mixed number at the start of text. */
static imp_status read_amount(const char *text, size_t length, double *value, size_t *used, imp_error *error)
{
    char copy[64];
    double number = 0.0, above = 0.0, below = 1.0;
    size_t taken = 0;
    const size_t sign = length > 0 && (text[0] == '-' || text[0] == '+') ? 1 : 0;
    size_t end = read_fraction(text + sign, length - sign, &above, &below);
    if (end > 0) {
        end += sign;
    } else {
        imp_number_read(text, length, &number, &taken);
        if (taken == 0)
            return imp_fail(error, IMP_SYNTAX, NULL, "\"%s\" does not begin with a number",
                            shown(text, length, copy, sizeof copy));
        end = taken;
        double whole;
        size_t at = taken;
        while (at < length && is_blank(text[at]))
            at++;
        if (at > taken && read_whole(text + sign, length - sign, &whole) + sign == taken) {
            const size_t fraction = read_fraction(text + at, length - at, &above, &below);
            if (fraction > 0)
                end = at + fraction;
        }
    }
    if (below == 0.0)
        return imp_fail(error, IMP_RANGE, NULL, "\"%s\" divides by zero", shown(text, length, copy, sizeof copy));
    const double part = above / below;
    const double result = sign == 1 && text[0] == '-' ? -(fabs(number) + part) : number + part;
    if (!isfinite(result))
        return imp_fail(error, IMP_RANGE, NULL, "\"%s\" is beyond the largest number",
                        shown(text, length, copy, sizeof copy));
    *value = result;
    *used = end;
    return IMP_OK;
}

imp_status imp_quantity_parse(const char *text, size_t length, imp_quantity *quantity, imp_unit *unit, imp_error *error)
{
    char copy[64];
    double value = 0.0;
    size_t used = 0;
    while (length > 0 && is_blank(text[0]))
        text++, length--;
    while (length > 0 && is_blank(text[length - 1]))
        length--;
    if (length == 0)
        return imp_fail(error, IMP_SYNTAX, NULL, "expected a number, got an empty text");
    imp_status status = read_amount(text, length, &value, &used, error);
    if (status != IMP_OK)
        return status;
    if (used < length && text[used] == ',')
        return imp_fail(error, IMP_SYNTAX, NULL,
                        "\"%s\": a comma is not read; the decimal sign is a point, as in \"1.5\", and thousands stand "
                        "together, as in \"1200\"",
                        shown(text, length, copy, sizeof copy));
    if (used < length && text[used] == '/')
        return imp_fail(error, IMP_SYNTAX, NULL,
                        "\"%s\": a unit does not begin with \"/\"; write \"3 1/min\" for three per minute",
                        shown(text, length, copy, sizeof copy));
    imp_unit parsed;
    status = imp_unit_parse(text + used, length - used, &parsed, error);
    if (status != IMP_OK)
        return status;
    const imp_quantity result = imp_quantity_from(value, &parsed);
    if (!isfinite(result.si))
        return imp_fail(error, IMP_RANGE, NULL, "\"%s\" is beyond the largest number",
                        shown(text, length, copy, sizeof copy));
    *quantity = result;
    if (unit != NULL)
        *unit = parsed;
    return IMP_OK;
}

/* ---- writing ---- */

/* The SI unit that messages name for a kind of quantity. */
static const char *message_unit(imp_dimension dimension, char *text, size_t size)
{
    static const char *const named[] = {"N", "Pa", "J", "W", "C", "V", "ohm", "F", "H"};
    for (size_t i = 0; i < sizeof named / sizeof named[0]; i++) {
        const imp_unit_row *row = imp_unit_find(named[i], strlen(named[i]));
        if (row != NULL && imp_dimension_same(row->dimension, dimension))
            return named[i];
    }
    return imp_dimension_si_text(dimension, text, size);
}

/* A value for a message: readings in degC, all else in SI. */
static double message_value(const imp_quantity *quantity)
{
    const imp_unit_row *const celsius = imp_unit_find("degC", 4);
    return quantity->is_reading && celsius != NULL ? quantity->si - celsius->offset : quantity->si;
}

/* "a pressure (1200000 Pa)", "a temperature (20 degC)", "a pure number (0.5)". */
static const char *describe(const imp_quantity *quantity, char *text, size_t size)
{
    char kind[128], unit[128], number[IMP_NUMBER_TEXT_SIZE];
    imp_dimension_text(quantity->dimension, quantity->is_reading, kind, sizeof kind);
    imp_number_write(message_value(quantity), 6, number, sizeof number);
    if (imp_dimension_is_pure(quantity->dimension))
        snprintf(text, size, "%s (%s)", kind, number);
    else
        snprintf(text, size, "%s (%s %s)", kind, number,
                 quantity->is_reading ? "degC" : message_unit(quantity->dimension, unit, sizeof unit));
    return text;
}

static bool is_money(imp_dimension dimension)
{
    return dimension.halves[IMP_BASE_MONEY] != 0;
}

/* Two amounts that differ in their currencies alone. */
static bool differ_in_currency(imp_dimension a, imp_dimension b)
{
    return is_money(a) && memcmp(a.halves, b.halves, sizeof a.halves) == 0 && !imp_dimension_same(a, b);
}

imp_status imp_quantity_in(const imp_quantity *quantity, const imp_unit *unit, double *value, imp_error *error)
{
    char expected[128], got[320];
    if (differ_in_currency(quantity->dimension, unit->dimension))
        return imp_fail(error, IMP_DIMENSION_MISMATCH, NULL, "expected an amount in %s, got one in %s",
                        unit->dimension.currency, quantity->dimension.currency);
    const bool same = imp_dimension_same(quantity->dimension, unit->dimension);
    if (same && !quantity->is_reading && unit->is_reading)
        return imp_fail(error, IMP_DIMENSION_MISMATCH, NULL,
                        "a temperature difference does not convert to %s; use K or %s_diff", unit->text,
                        unit->factor == 1.0 ? "degC" : "degF");
    if (!same || (quantity->is_reading && !unit->is_reading && !unit->is_absolute))
        return imp_fail(error, IMP_DIMENSION_MISMATCH, NULL, "expected %s, got %s",
                        imp_dimension_text(unit->dimension, unit->is_reading, expected, sizeof expected),
                        describe(quantity, got, sizeof got));
    const double result = imp_unit_from_si(unit, quantity->si);
    if (!isfinite(result))
        return imp_fail(error, IMP_RANGE, NULL, "the value in \"%s\" is beyond the largest number", unit->text);
    *value = result;
    return IMP_OK;
}

imp_quantity imp_quantity_from(double value, const imp_unit *unit)
{
    return (imp_quantity){imp_unit_to_si(unit, value), unit->dimension, unit->is_reading};
}

char *imp_quantity_exact(const imp_unit *unit, double si, char *text, size_t size)
{
    const double value = imp_unit_from_si(unit, si);
    for (int digits = 1; digits <= 17 && isfinite(value); digits++) {
        double back = 0.0;
        size_t used = 0;
        imp_number_write(value, digits, text, size);
        imp_number_read(text, strlen(text), &back, &used);
        if (used > 0 && imp_unit_to_si(unit, back) == si)
            return text;
    }
    return imp_number_write(value, 0, text, size); /* no decimal number in this unit gives this double */
}

imp_status imp_quantity_format(const imp_quantity *quantity, const imp_unit *unit, int digits, char *text, size_t size,
                               imp_error *error)
{
    char number[IMP_NUMBER_TEXT_SIZE];
    double value;
    const imp_status status = imp_quantity_in(quantity, unit, &value, error);
    if (status != IMP_OK)
        return status;
    if (digits == 0)
        imp_quantity_exact(unit, quantity->si, number, sizeof number);
    else
        imp_number_write(value, digits, number, sizeof number);
    const bool is_bare = unit->text[0] == '\0' || strcmp(unit->text, "1") == 0;
    if (size > 0)
        snprintf(text, size, is_bare ? "%s" : "%s %s", number, unit->text);
    return IMP_OK;
}

/* ---- arithmetic ---- */

static imp_status finish(imp_quantity result, imp_quantity *out, imp_error *error)
{
    if (!isfinite(result.si))
        return imp_fail(error, IMP_RANGE, NULL, "the result is not a finite number");
    *out = result;
    return IMP_OK;
}

/* Same kind, so that the two can be added, subtracted or compared; `sentence` has two %s for the kinds. */
static imp_status check_same(const imp_quantity *a, const imp_quantity *b, const char *verb, const char *between,
                             imp_error *error)
{
    char a_text[128], b_text[128];
    if (imp_dimension_same(a->dimension, b->dimension))
        return IMP_OK;
    if (differ_in_currency(a->dimension, b->dimension))
        return imp_fail(error, IMP_DIMENSION_MISMATCH, NULL, "cannot %s amounts in %s %s %s", verb,
                        a->dimension.currency, between, b->dimension.currency);
    return imp_fail(error, IMP_DIMENSION_MISMATCH, NULL, "cannot %s %s %s %s", verb,
                    imp_dimension_text(a->dimension, a->is_reading, a_text, sizeof a_text), between,
                    imp_dimension_text(b->dimension, b->is_reading, b_text, sizeof b_text));
}

/* The dimension with the currency of whichever names one. */
static imp_dimension shared_dimension(const imp_quantity *a, const imp_quantity *b)
{
    return a->dimension.currency[0] != '\0' ? a->dimension : b->dimension;
}

imp_status imp_quantity_add(const imp_quantity *a, const imp_quantity *b, imp_quantity *sum, imp_error *error)
{
    const imp_status status = check_same(a, b, "add", "and", error);
    if (status != IMP_OK)
        return status;
    if (a->is_reading && b->is_reading)
        return imp_fail(error, IMP_DIMENSION_MISMATCH, NULL, "two temperature readings cannot be added");
    return finish((imp_quantity){a->si + b->si, shared_dimension(a, b), a->is_reading || b->is_reading}, sum, error);
}

imp_status imp_quantity_subtract(const imp_quantity *a, const imp_quantity *b, imp_quantity *difference,
                                 imp_error *error)
{
    const imp_status status = check_same(b, a, "subtract", "from", error);
    if (status != IMP_OK)
        return status;
    if (!a->is_reading && b->is_reading)
        return imp_fail(error, IMP_DIMENSION_MISMATCH, NULL,
                        "a temperature reading cannot be subtracted from a temperature difference");
    return finish((imp_quantity){a->si - b->si, shared_dimension(a, b), a->is_reading && !b->is_reading}, difference,
                  error);
}

static imp_status refuse_reading(const imp_quantity *quantity, const char *done, imp_error *error)
{
    if (!quantity->is_reading)
        return IMP_OK;
    return imp_fail(error, IMP_DIMENSION_MISMATCH, NULL,
                    "a temperature reading cannot be %s; subtract another reading first", done);
}

imp_status imp_quantity_multiply(const imp_quantity *a, const imp_quantity *b, imp_quantity *product, imp_error *error)
{
    imp_dimension dimension;
    imp_status status = refuse_reading(a->is_reading ? a : b, "multiplied", error);
    if (status == IMP_OK)
        status = imp_dimension_multiply(a->dimension, b->dimension, &dimension, error);
    if (status != IMP_OK)
        return status;
    return finish((imp_quantity){a->si * b->si, dimension, false}, product, error);
}

imp_status imp_quantity_divide(const imp_quantity *a, const imp_quantity *b, imp_quantity *quotient, imp_error *error)
{
    imp_dimension dimension;
    imp_status status = refuse_reading(a, "divided", error);
    if (status == IMP_OK)
        status = refuse_reading(b, "a divisor", error);
    if (status == IMP_OK)
        status = imp_dimension_divide(a->dimension, b->dimension, &dimension, error);
    if (status != IMP_OK)
        return status;
    if (b->si == 0.0)
        return imp_fail(error, IMP_RANGE, NULL, "division by zero");
    return finish((imp_quantity){a->si / b->si, dimension, false}, quotient, error);
}

imp_status imp_quantity_power(const imp_quantity *a, double exponent, imp_quantity *power, imp_error *error)
{
    imp_dimension dimension = a->dimension;
    imp_status status = refuse_reading(a, "raised to a power", error);
    if (status != IMP_OK)
        return status;
    if (!isfinite(exponent))
        return imp_fail(error, IMP_RANGE, NULL, "the exponent is not a finite number");
    if (!imp_dimension_is_pure(a->dimension)) {
        char kind[128];
        const double halves = 2.0 * exponent;
        if (halves != floor(halves))
            return imp_fail(error, IMP_RANGE, NULL, "the exponent of %s must be a multiple of 1/2",
                            imp_dimension_text(a->dimension, false, kind, sizeof kind));
        if (fabs(halves) > 64.0)
            return imp_fail(error, IMP_RANGE, NULL, "an exponent leaves -32 to 32");
        status = imp_dimension_power(a->dimension, (int)halves, 2, &dimension, error);
        if (status != IMP_OK)
            return status;
    }
    if (a->si < 0.0 && exponent != floor(exponent))
        return imp_fail(error, IMP_RANGE, NULL, "a negative value has no power with a fraction");
    if (a->si == 0.0 && exponent < 0.0)
        return imp_fail(error, IMP_RANGE, NULL, "division by zero");
    return finish((imp_quantity){pow(a->si, exponent), dimension, false}, power, error);
}

imp_status imp_quantity_compare(const imp_quantity *a, const imp_quantity *b, int *order, imp_error *error)
{
    const imp_status status = check_same(a, b, "compare", "and", error);
    if (status != IMP_OK)
        return status;
    if (a->is_reading != b->is_reading)
        return imp_fail(error, IMP_DIMENSION_MISMATCH, NULL,
                        "a temperature reading and a temperature difference do not compare");
    if (isnan(a->si) || isnan(b->si))
        return imp_fail(error, IMP_RANGE, NULL, "not-a-number does not compare");
    *order = (a->si > b->si) - (a->si < b->si);
    return IMP_OK;
}
