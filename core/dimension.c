#include "dimension.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_HALVES = 64 };

static const struct {
    const char *text;
    imp_dimension dimension;
} kinds[] = {
#define X(identifier, text, m, kg, s, K, A, mol, cd, money)                                                            \
    {text, {{2 * (m), 2 * (kg), 2 * (s), 2 * (K), 2 * (A), 2 * (mol), 2 * (cd), 2 * (money)}, ""}},
    IMP_NAMED_DIMENSION_LIST(X)
#undef X
};

imp_dimension imp_dimension_of(imp_named_dimension name)
{
    const imp_dimension none = {{0}, ""};
    return (unsigned)name < IMP_NAMED_DIMENSION_COUNT ? kinds[name].dimension : none;
}

const char *imp_dimension_name(imp_named_dimension name)
{
    return (unsigned)name < IMP_NAMED_DIMENSION_COUNT ? kinds[name].text : "an unknown kind of quantity";
}

static bool same_exponents(imp_dimension a, imp_dimension b)
{
    return memcmp(a.halves, b.halves, sizeof a.halves) == 0;
}

/* Append to a text of known length; returns the new length, never beyond the buffer. */
static size_t append(char *text, size_t size, size_t length, const char *more)
{
    if (length + 1 >= size)
        return length;
    const int written = snprintf(text + length, size - length, "%s", more);
    return length + (size_t)written < size ? length + (size_t)written : size - 1;
}

static size_t append_power(char *text, size_t size, size_t length, const char *symbol, int halves)
{
    char power[16];
    length = append(text, size, length, symbol);
    if (halves == 2)
        return length;
    snprintf(power, sizeof power, halves % 2 == 0 ? "^%d" : "^%d.5", halves / 2);
    return append(text, size, length, power);
}

char *imp_dimension_si_text(imp_dimension dimension, char *text, unsigned long size)
{
    const char *const symbols[IMP_BASE_COUNT] = {
        "m", "kg", "s", "K", "A", "mol", "cd", dimension.currency[0] != '\0' ? dimension.currency : "money"};
    size_t length = 0;
    int above = 0, below = 0;
    if (size == 0)
        return text;
    text[0] = '\0';
    for (int base = 0; base < IMP_BASE_COUNT; base++) {
        above += dimension.halves[base] > 0;
        below += dimension.halves[base] < 0;
    }
    if (above == 0)
        length = append(text, size, length, "1");
    int written = 0;
    for (int base = 0; base < IMP_BASE_COUNT; base++)
        if (dimension.halves[base] > 0) {
            if (written++ > 0)
                length = append(text, size, length, " ");
            length = append_power(text, size, length, symbols[base], dimension.halves[base]);
        }
    if (below == 0)
        return text;
    length = append(text, size, length, below > 1 ? "/(" : "/");
    written = 0;
    for (int base = 0; base < IMP_BASE_COUNT; base++)
        if (dimension.halves[base] < 0) {
            if (written++ > 0)
                length = append(text, size, length, " ");
            length = append_power(text, size, length, symbols[base], -dimension.halves[base]);
        }
    if (below > 1)
        append(text, size, length, ")");
    return text;
}

/* The unit that people say instead of its exponents; all coherent SI, so no factor is needed. */
static const struct {
    imp_named_dimension kind;
    const char *unit;
} coherent_units[] = {
    {IMP_FORCE, "N"},
    {IMP_PRESSURE, "Pa"},
    {IMP_ENERGY, "J"},
    {IMP_POWER, "W"},
    {IMP_VISCOSITY, "Pa s"},
    {IMP_VOLTAGE, "V"},
    {IMP_RESISTANCE, "ohm"},
    {IMP_RESISTANCE_PER_LENGTH, "ohm/m"},
    {IMP_CHARGE, "C"},
    {IMP_CAPACITANCE, "F"},
    {IMP_INDUCTANCE, "H"},
    {IMP_POWER_PER_LENGTH, "W/m"},
    {IMP_POWER_PER_AREA, "W/m^2"},
    {IMP_HEAT_CAPACITY, "J/(kg K)"},
    {IMP_HEAT_CAPACITY_TOTAL, "J/K"},
    {IMP_HEAT_CAPACITY_PER_LENGTH, "J/(m K)"},
    {IMP_HEAT_LOSS, "W/K"},
    {IMP_CONDUCTIVITY, "W/(m K)"},
    {IMP_HEAT_TRANSFER, "W/(m^2 K)"},
    {IMP_THERMAL_RESISTANCE, "m^2 K/W"},
};

char *imp_dimension_unit_text(imp_dimension dimension, char *text, unsigned long size)
{
    for (size_t i = 0; i < sizeof coherent_units / sizeof coherent_units[0]; i++)
        if (same_exponents(dimension, imp_dimension_of(coherent_units[i].kind))) {
            snprintf(text, size, "%s", coherent_units[i].unit);
            return text;
        }
    return imp_dimension_si_text(dimension, text, size);
}

char *imp_dimension_text(imp_dimension dimension, bool is_reading, char *text, unsigned long size)
{
    const char *name = NULL;
    if (same_exponents(dimension, imp_dimension_of(IMP_TEMPERATURE)))
        name = imp_dimension_name(is_reading ? IMP_TEMPERATURE : IMP_TEMPERATURE_DIFFERENCE);
    for (int kind = 0; name == NULL && kind < IMP_NAMED_DIMENSION_COUNT; kind++)
        if (same_exponents(dimension, imp_dimension_of((imp_named_dimension)kind)))
            name = kinds[kind].text;
    if (name != NULL) {
        snprintf(text, size, "%s", name);
        return text;
    }
    char exponents[128];
    snprintf(text, size, "a quantity in %s", imp_dimension_si_text(dimension, exponents, sizeof exponents));
    return text;
}

bool imp_dimension_is_pure(imp_dimension dimension)
{
    for (int base = 0; base < IMP_BASE_COUNT; base++)
        if (dimension.halves[base] != 0)
            return false;
    return true;
}

static bool currencies_agree(const char *a, const char *b)
{
    return a[0] == '\0' || b[0] == '\0' || strcmp(a, b) == 0;
}

bool imp_dimension_same(imp_dimension a, imp_dimension b)
{
    return same_exponents(a, b) && currencies_agree(a.currency, b.currency);
}

/* a times b raised to `sign` (+1 or -1). */
static imp_status combine(imp_dimension a, imp_dimension b, int sign, imp_dimension *result, imp_error *error)
{
    if (!currencies_agree(a.currency, b.currency))
        return imp_fail(error, IMP_DIMENSION_MISMATCH, NULL, "%s and %s are two currencies; convert one of them first",
                        a.currency, b.currency);
    imp_dimension combined = a.currency[0] != '\0' ? a : b;
    for (int base = 0; base < IMP_BASE_COUNT; base++) {
        const int halves = a.halves[base] + sign * b.halves[base];
        if (abs(halves) > MOST_HALVES)
            return imp_fail(error, IMP_RANGE, NULL, "an exponent leaves -32 to 32");
        combined.halves[base] = (int8_t)halves;
    }
    if (combined.halves[IMP_BASE_MONEY] == 0)
        memset(combined.currency, 0, sizeof combined.currency);
    *result = combined;
    return IMP_OK;
}

imp_status imp_dimension_multiply(imp_dimension a, imp_dimension b, imp_dimension *product, imp_error *error)
{
    return combine(a, b, 1, product, error);
}

imp_status imp_dimension_divide(imp_dimension a, imp_dimension b, imp_dimension *quotient, imp_error *error)
{
    return combine(a, b, -1, quotient, error);
}

imp_status imp_dimension_power(imp_dimension a, int numerator, int denominator, imp_dimension *power, imp_error *error)
{
    if (denominator == 0)
        return imp_fail(error, IMP_RANGE, NULL, "an exponent divides by zero");
    imp_dimension raised = a;
    for (int base = 0; base < IMP_BASE_COUNT; base++) {
        const long long scaled = (long long)a.halves[base] * numerator;
        if (scaled % denominator != 0)
            return imp_fail(error, IMP_RANGE, NULL, "an exponent is no multiple of 1/2");
        const long long halves = scaled / denominator;
        if (halves > MOST_HALVES || halves < -MOST_HALVES)
            return imp_fail(error, IMP_RANGE, NULL, "an exponent leaves -32 to 32");
        raised.halves[base] = (int8_t)halves;
    }
    if (raised.halves[IMP_BASE_MONEY] == 0)
        memset(raised.currency, 0, sizeof raised.currency);
    *power = raised;
    return IMP_OK;
}
