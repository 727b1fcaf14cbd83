#include "param.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "number.h"

bool imp_param_has_range(const imp_param *row)
{
    return row->low != 0.0 || row->high != 0.0;
}

/* The row's customary unit; rows are ours, so a unit that does not parse is a fault that the row test finds. */
static void row_unit(const imp_param *row, imp_unit *unit)
{
    const char *text = row->unit != NULL ? row->unit : "1";
    if (imp_unit_parse(text, strlen(text), unit, NULL) != IMP_OK) {
        memset(unit, 0, sizeof *unit);
        unit->factor = 1.0;
    }
}

static imp_status refuse_range(const imp_param *row, double value, imp_error *error)
{
    char got[96], low[96], high[96];
    imp_param_format(row, value, 6, got, sizeof got);
    imp_param_format(row, row->low, 6, low, sizeof low);
    imp_param_format(row, row->high, 6, high, sizeof high);
    if (!isfinite(row->high) || value <= row->low) {
        const bool open = row->ends == IMP_OPEN_LOW || row->ends == IMP_OPEN;
        return imp_fail(error, IMP_RANGE, row->name, open ? "%s is not above %s" : "%s is below %s", got, low);
    }
    const bool open = row->ends == IMP_OPEN_HIGH || row->ends == IMP_OPEN;
    return imp_fail(error, IMP_RANGE, row->name, open ? "%s is not below %s" : "%s is above %s", got, high);
}

imp_status imp_check(const imp_param *row, double value, imp_error *error)
{
    if (!isfinite(value))
        return imp_fail(error, IMP_RANGE, row->name, "not a finite number");
    if (!imp_param_has_range(row))
        return IMP_OK;
    const bool open_low = row->ends == IMP_OPEN_LOW || row->ends == IMP_OPEN;
    const bool open_high = row->ends == IMP_OPEN_HIGH || row->ends == IMP_OPEN;
    const bool above = open_low ? value > row->low : value >= row->low;
    const bool below = open_high ? value < row->high : value <= row->high;
    return above && below ? IMP_OK : refuse_range(row, value, error);
}

static imp_status refuse_kind(const imp_param *row, const char *written, const char *hint, imp_error *error)
{
    char expected[160];
    imp_param_expected(row, expected, sizeof expected);
    return imp_fail(error, IMP_DIMENSION_MISMATCH, row->name, "expected %s, got %s%s", expected, written, hint);
}

/* Length of the written text but for its closing quote. */
static size_t length_before_quote(const char *written)
{
    const size_t length = strlen(written);
    return length > 0 && written[length - 1] == '"' ? length - 1 : length;
}

/* "4 C" is four coulombs, "40 F" are farads: what is written for degrees all the same. Returns hint. */
static const char *hint_of_degrees(const imp_param *row, const imp_quantity *quantity, const char *written, char *hint, size_t size)
{
    const size_t length = length_before_quote(written);
    const char last = length > 0 ? written[length - 1] : '\0';
    const bool is_alone = length > 1 && strchr(" 0123456789.", written[length - 2]) != NULL, is_celsius = last == 'C';
    const bool is_degrees = row->dimension == IMP_TEMPERATURE || row->dimension == IMP_TEMPERATURE_DIFFERENCE;
    const imp_named_dimension meant = is_celsius ? IMP_CHARGE : IMP_CAPACITANCE;
    char number[IMP_NUMBER_TEXT_SIZE];
    hint[0] = '\0';
    if (is_degrees && is_alone && imp_dimension_same(quantity->dimension, imp_dimension_of(meant)))
        snprintf(hint, size, "; %c is %s: write \"%s deg%c%s\"", last, is_celsius ? "coulomb" : "farad",
                 imp_number_write(quantity->si, 0, number, sizeof number), last, row->dimension == IMP_TEMPERATURE ? "" : "_diff");
    return hint;
}

/* 70 for 70 %: where the bare number is too much and as many percent are not, says how percent are written. */
static void hint_at_percent(const imp_param *row, double value, const char *written, imp_error *error)
{
    const size_t length = length_before_quote(written);
    const bool is_bare = length > 0 && strchr("0123456789", written[length - 1]) != NULL && row->dimension == IMP_PURE;
    if (error == NULL || !is_bare || row->unit == NULL || strcmp(row->unit, "%") != 0 || imp_check(row, value / 100.0, NULL) != IMP_OK)
        return;
    char message[IMP_MESSAGE_SIZE], number[IMP_NUMBER_TEXT_SIZE];
    memcpy(message, error->message, sizeof message);
    imp_fail(error, IMP_RANGE, row->name, "%.200s; write \"%s %%\"", message, imp_number_write(value, 0, number, sizeof number));
}

imp_status imp_param_accept(const imp_param *row, const imp_quantity *quantity, const char *written, double *si,
                            imp_error *error)
{
    const imp_dimension wanted = imp_dimension_of(row->dimension);
    char degrees[80];
    if (!imp_dimension_same(quantity->dimension, wanted))
        return refuse_kind(row, written, imp_dimension_is_pure(quantity->dimension) ? "; a number needs its unit here"
                                         : hint_of_degrees(row, quantity, written, degrees, sizeof degrees), error);
    if (quantity->is_reading && row->dimension != IMP_TEMPERATURE)
        return refuse_kind(row, written, ", a reading; a difference is written in K, degC_diff or degF_diff", error);
    if (!quantity->is_reading && row->dimension == IMP_TEMPERATURE)
        return refuse_kind(row, written, ", a difference; a reading is written in degC or degF", error);
    const imp_status status = imp_check(row, quantity->si, error);
    if (status == IMP_OK)
        *si = quantity->si;
    else
        hint_at_percent(row, quantity->si, written, error);
    return status;
}

int imp_param_choice(const imp_param *row, const char *text)
{
    for (int i = 0; row->choices != NULL && row->choices[i] != NULL; i++)
        if (strcmp(row->choices[i], text) == 0)
            return i;
    return -1;
}

const imp_param *imp_param_find(const imp_param *rows, const char *name)
{
    for (; rows != NULL && rows->name != NULL; rows++)
        if (strcmp(rows->name, name) == 0)
            return rows;
    return NULL;
}

const char *imp_param_nearest(const imp_param *rows, const char *name)
{
    const char *nearest = NULL;
    int least = (int)(strlen(name) / 3) + 2; /* a third of the letters may be wrong */
    for (; rows != NULL && rows->name != NULL; rows++) {
        const int distance = imp_name_distance(rows->name, name, least);
        if (distance < least) {
            least = distance;
            nearest = rows->name;
        }
    }
    return nearest;
}

/* Temperatures are shown to a tenth of a degree: nobody reads a thermometer closer. */
static char *format_reading(double value, const char *unit, char *text, size_t size)
{
    char number[IMP_NUMBER_TEXT_SIZE];
    snprintf(text, size, "%s %s", imp_number_write_fixed(value, 1, number, sizeof number), unit);
    return text;
}

enum { DEFAULT_DIGITS = 4 };

char *imp_param_unit_text(const imp_param *row, const char *currency, char *text, size_t size)
{
    const char *unit = row->unit != NULL ? row->unit : "1";
    const char *money = currency[0] != '\0' ? strstr(unit, "money") : NULL;
    if (money == NULL)
        snprintf(text, size, "%s", unit);
    else
        snprintf(text, size, "%.*s%s%s", (int)(money - unit), unit, currency, money + strlen("money"));
    return text;
}

char *imp_param_format(const imp_param *row, double value, int digits, char *text, size_t size)
{
    return imp_param_format_money(row, value, "", digits, text, size);
}

char *imp_param_format_money(const imp_param *row, double value, const char *currency, int digits, char *text, size_t size)
{
    if (row->kind == IMP_CHOICE) {
        const int index = (int)value;
        int count = 0;
        while (row->choices != NULL && row->choices[count] != NULL)
            count++;
        snprintf(text, size, "%s", index >= 0 && index < count ? row->choices[index] : "?");
        return text;
    }
    imp_unit unit;
    row_unit(row, &unit);
    if (digits == 0 && row->digits == 0 && row->dimension == IMP_TEMPERATURE)
        return format_reading(imp_unit_from_si(&unit, value), unit.text, text, size);
    const int wanted = digits < 0 ? 0 : digits > 0 ? digits : row->digits > 0 ? row->digits : DEFAULT_DIGITS;
    char number[IMP_NUMBER_TEXT_SIZE];
    imp_number_write(imp_unit_from_si(&unit, value), wanted, number, sizeof number);
    char unit_text[IMP_UNIT_TEXT_SIZE];
    imp_param_unit_text(row, currency, unit_text, sizeof unit_text);
    snprintf(text, size, strcmp(unit_text, "1") == 0 ? "%s" : "%s %s", number, unit_text);
    return text;
}

/* "one of B1, B2, C, E" */
static char *list_choices(const imp_param *row, char *text, size_t size)
{
    size_t used = (size_t)snprintf(text, size, "one of");
    for (int i = 0; row->choices != NULL && row->choices[i] != NULL && used < size; i++)
        used += (size_t)snprintf(text + used, size - used, "%s %s", i > 0 ? "," : "", row->choices[i]);
    return text;
}

/* A value inside the range that reads well as an example. */
static double example_value(const imp_param *row)
{
    if (row->presence == IMP_DEFAULT)
        return row->fallback;
    imp_unit unit;
    row_unit(row, &unit);
    static const double nice[] = {20.0, 5.0, 1.0, 100.0, 0.5, 0.1, 0.01, 1000.0, 1e4, 1e5};
    for (size_t i = 0; i < sizeof nice / sizeof nice[0]; i++)
        if (imp_check(row, imp_unit_to_si(&unit, nice[i]), NULL) == IMP_OK)
            return imp_unit_to_si(&unit, nice[i]);
    return row->high;
}

char *imp_param_expected(const imp_param *row, char *text, size_t size)
{
    char example[96];
    switch (row->kind) {
    case IMP_NUMBER:
        if (row->dimension == IMP_PURE && (row->unit == NULL || strcmp(row->unit, "1") == 0))
            snprintf(text, size, "a pure number");
        else if (row->dimension == IMP_PURE)
            snprintf(text, size, "a number such as \"%s\"",
                     imp_param_format(row, example_value(row), 6, example, sizeof example));
        else
            snprintf(text, size, "%s such as \"%s\"", imp_dimension_name(row->dimension),
                     imp_param_format(row, example_value(row), 6, example, sizeof example));
        break;
    case IMP_CHOICE:
        return list_choices(row, text, size);
    case IMP_LIST:
        snprintf(text, size, "a list, each %s", imp_dimension_name(row->dimension));
        break;
    case IMP_TABLE:
        snprintf(text, size, "a list of records");
        break;
    case IMP_RECORD:
        snprintf(text, size, "a record");
        break;
    case IMP_FILE_OR_RECORD:
        snprintf(text, size, "a record, or the name of a file that holds it");
        break;
    case IMP_TEXT:
        snprintf(text, size, "a text");
        break;
    case IMP_FLAG:
        snprintf(text, size, "true or false");
        break;
    case IMP_DATE:
        snprintf(text, size, "a date such as \"2031-05-14\"");
        break;
    }
    return text;
}
