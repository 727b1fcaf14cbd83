/* dimension.h — what kind of quantity a number is: exponents of the base dimensions, and their names.
 *
 * Exponents are kept in halves so that a square root (a flow coefficient, Q over the root of a pressure) stays exact. */
#ifndef IMP_DIMENSION_H
#define IMP_DIMENSION_H

#include <stdbool.h>
#include <stdint.h>

#include "status.h"

enum { IMP_BASE_LENGTH, IMP_BASE_MASS, IMP_BASE_TIME, IMP_BASE_TEMPERATURE, IMP_BASE_CURRENT,
       IMP_BASE_AMOUNT, IMP_BASE_LUMINOUS, IMP_BASE_MONEY, IMP_BASE_COUNT };

typedef struct imp_dimension {
    int8_t halves[IMP_BASE_COUNT]; /* twice the exponent of m, kg, s, K, A, mol, cd, money */
    char currency[4];              /* ISO 4217 code where money is in it, else empty; empty money fits any currency */
} imp_dimension;

/* The named kinds of quantity: X(identifier, "text with article", m, kg, s, K, A, mol, cd, money) in whole exponents.
 * A temperature is a reading on a scale; a temperature difference is not (see quantity.h). The first name of an
 * exponent set is the one that messages use. */
#define IMP_NAMED_DIMENSION_LIST(X)                                                                                    \
    X(IMP_PURE, "a pure number", 0, 0, 0, 0, 0, 0, 0, 0)                                                               \
    X(IMP_TEMPERATURE, "a temperature", 0, 0, 0, 1, 0, 0, 0, 0)                                                        \
    X(IMP_TEMPERATURE_DIFFERENCE, "a temperature difference", 0, 0, 0, 1, 0, 0, 0, 0)                                  \
    X(IMP_LENGTH, "a length", 1, 0, 0, 0, 0, 0, 0, 0)                                                                  \
    X(IMP_AREA, "an area", 2, 0, 0, 0, 0, 0, 0, 0)                                                                     \
    X(IMP_VOLUME, "a volume", 3, 0, 0, 0, 0, 0, 0, 0)                                                                  \
    X(IMP_MASS, "a mass", 0, 1, 0, 0, 0, 0, 0, 0)                                                                      \
    X(IMP_TIME, "a time", 0, 0, 1, 0, 0, 0, 0, 0)                                                                      \
    X(IMP_RATE, "a rate per time", 0, 0, -1, 0, 0, 0, 0, 0)                                                            \
    X(IMP_VELOCITY, "a velocity", 1, 0, -1, 0, 0, 0, 0, 0)                                                             \
    X(IMP_ACCELERATION, "an acceleration", 1, 0, -2, 0, 0, 0, 0, 0)                                                    \
    X(IMP_FLOW, "a volume flow", 3, 0, -1, 0, 0, 0, 0, 0)                                                              \
    X(IMP_MASS_FLOW, "a mass flow", 0, 1, -1, 0, 0, 0, 0, 0)                                                           \
    X(IMP_DENSITY, "a density", -3, 1, 0, 0, 0, 0, 0, 0)                                                               \
    X(IMP_FORCE, "a force", 1, 1, -2, 0, 0, 0, 0, 0)                                                                   \
    X(IMP_PRESSURE, "a pressure", -1, 1, -2, 0, 0, 0, 0, 0)                                                            \
    X(IMP_ENERGY, "an energy", 2, 1, -2, 0, 0, 0, 0, 0)                                                                \
    X(IMP_POWER, "a power", 2, 1, -3, 0, 0, 0, 0, 0)                                                                   \
    X(IMP_VISCOSITY, "a dynamic viscosity", -1, 1, -1, 0, 0, 0, 0, 0)                                                  \
    X(IMP_KINEMATIC_VISCOSITY, "a kinematic viscosity", 2, 0, -1, 0, 0, 0, 0, 0)                                       \
    X(IMP_CURRENT, "a current", 0, 0, 0, 0, 1, 0, 0, 0)                                                                \
    X(IMP_VOLTAGE, "a voltage", 2, 1, -3, 0, -1, 0, 0, 0)                                                              \
    X(IMP_RESISTANCE, "an electrical resistance", 2, 1, -3, 0, -2, 0, 0, 0)                                            \
    X(IMP_RESISTANCE_PER_LENGTH, "a resistance per length", 1, 1, -3, 0, -2, 0, 0, 0)                                  \
    X(IMP_CHARGE, "a charge", 0, 0, 1, 0, 1, 0, 0, 0)                                                                  \
    X(IMP_CAPACITANCE, "a capacitance", -2, -1, 4, 0, 2, 0, 0, 0)                                                      \
    X(IMP_INDUCTANCE, "an inductance", 2, 1, -2, 0, -2, 0, 0, 0)                                                       \
    X(IMP_POWER_PER_LENGTH, "a power per length", 1, 1, -3, 0, 0, 0, 0, 0)                                             \
    X(IMP_POWER_PER_AREA, "a power per area", 0, 1, -3, 0, 0, 0, 0, 0)                                                 \
    X(IMP_HEAT_CAPACITY, "a specific heat capacity", 2, 0, -2, -1, 0, 0, 0, 0)                                         \
    X(IMP_HEAT_CAPACITY_TOTAL, "a heat capacity", 2, 1, -2, -1, 0, 0, 0, 0)                                            \
    X(IMP_HEAT_CAPACITY_PER_LENGTH, "a heat capacity per length", 1, 1, -2, -1, 0, 0, 0, 0)                            \
    X(IMP_HEAT_LOSS, "a heat loss per kelvin", 2, 1, -3, -1, 0, 0, 0, 0)                                               \
    X(IMP_CONDUCTIVITY, "a thermal conductivity", 1, 1, -3, -1, 0, 0, 0, 0)                                            \
    X(IMP_HEAT_TRANSFER, "a heat transfer coefficient", 0, 1, -3, -1, 0, 0, 0, 0)                                      \
    X(IMP_THERMAL_RESISTANCE, "a thermal resistance", 0, -1, 3, 1, 0, 0, 0, 0)                                         \
    X(IMP_PER_TEMPERATURE, "a coefficient per kelvin", 0, 0, 0, -1, 0, 0, 0, 0)                                        \
    X(IMP_SPECIFIC_ENERGY, "a specific energy", 2, 0, -2, 0, 0, 0, 0, 0)                                               \
    X(IMP_SPECIFIC_POWER, "a power per volume flow", -1, 1, -2, 0, 0, 0, 0, 0)                                         \
    X(IMP_SPECIFIC_CONSUMPTION, "a fuel volume per energy", 1, -1, 2, 0, 0, 0, 0, 0)                                   \
    X(IMP_COVERAGE, "an area per volume", -1, 0, 0, 0, 0, 0, 0, 0)                                                     \
    X(IMP_MASS_PER_AREA, "a mass per area", -2, 1, 0, 0, 0, 0, 0, 0)                                                   \
    X(IMP_MASS_PER_LENGTH, "a mass per length", -1, 1, 0, 0, 0, 0, 0, 0)                                               \
    X(IMP_AMOUNT, "an amount of substance", 0, 0, 0, 0, 0, 1, 0, 0)                                                    \
    X(IMP_MOLAR_MASS, "a molar mass", 0, 1, 0, 0, 0, -1, 0, 0)                                                         \
    X(IMP_LUMINOUS_INTENSITY, "a luminous intensity", 0, 0, 0, 0, 0, 0, 1, 0)                                          \
    X(IMP_MONEY, "an amount of money", 0, 0, 0, 0, 0, 0, 0, 1)                                                         \
    X(IMP_MONEY_PER_MASS, "a price per mass", 0, -1, 0, 0, 0, 0, 0, 1)                                                 \
    X(IMP_MONEY_PER_VOLUME, "a price per volume", -3, 0, 0, 0, 0, 0, 0, 1)                                             \
    X(IMP_MONEY_PER_AREA, "a price per area", -2, 0, 0, 0, 0, 0, 0, 1)                                                 \
    X(IMP_MONEY_PER_TIME, "a price per time", 0, 0, -1, 0, 0, 0, 0, 1)                                                 \
    X(IMP_MONEY_PER_ENERGY, "a price per energy", -2, -1, 2, 0, 0, 0, 0, 1)

typedef enum imp_named_dimension {
#define X(identifier, ...) identifier,
    IMP_NAMED_DIMENSION_LIST(X)
#undef X
    IMP_NAMED_DIMENSION_COUNT
} imp_named_dimension;

/* The exponents of a named kind. */
imp_dimension imp_dimension_of(imp_named_dimension name);

/* Text with article of a named kind ("a pressure"). */
const char *imp_dimension_name(imp_named_dimension name);

/* Write a description for a message into text (size >= 64 recommended): the name with article if it has one,
 * else the exponents, "a quantity in m^2 kg/s". is_reading tells a temperature from a difference. Returns text. */
char *imp_dimension_text(imp_dimension dimension, bool is_reading, char *text, unsigned long size);

/* Write the coherent SI unit of a dimension, "kg/(m s^2)", "1/s", "EUR/kg", "m^1.5"; "1" when pure. imp_unit_parse reads it
 * where all exponents are whole. size >= 128 is always enough. Returns text. */
char *imp_dimension_si_text(imp_dimension dimension, char *text, unsigned long size);
/* The coherent SI unit as people say it: "Pa", "W/(m K)"; base units where there is no such name. Returns text. */
char *imp_dimension_unit_text(imp_dimension dimension, char *text, unsigned long size);

bool imp_dimension_is_pure(imp_dimension dimension);
/* Same exponents, and currencies that do not contradict each other. */
bool imp_dimension_same(imp_dimension a, imp_dimension b);

/* Product, quotient (IMP_DIMENSION_MISMATCH on two different currencies, IMP_RANGE when an exponent leaves +-32). */
imp_status imp_dimension_multiply(imp_dimension a, imp_dimension b, imp_dimension *product, imp_error *error);
imp_status imp_dimension_divide(imp_dimension a, imp_dimension b, imp_dimension *quotient, imp_error *error);
/* Power with a rational exponent numerator/denominator; IMP_RANGE where the result is not in halves or leaves +-32. */
imp_status imp_dimension_power(imp_dimension a, int numerator, int denominator, imp_dimension *power, imp_error *error);

#endif
