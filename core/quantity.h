/* quantity.h — a number with its dimension, and the arithmetic that is allowed on it.
 *
 * A temperature reading (degC, degF) is a point on a scale: reading - reading is a difference, reading +- difference is a
 * reading, and nothing else can be done with readings. Everything is SI inside. */
#ifndef IMP_QUANTITY_H
#define IMP_QUANTITY_H

#include "unit.h"

typedef struct imp_quantity {
    double si;
    imp_dimension dimension;
    bool is_reading;
} imp_quantity;

/* Parse "1200 psi", "5/8 in", "-3.5e2 kPa", "68 %", "4": number, fraction "a/b" or mixed number "1 5/8" (a sign holds
 * for the whole), blanks or none, unit. "12 1/min" is twelve per minute.
 * The decimal sign is a point, whatever the locale. unit (may be NULL) receives the unit that was written.
 * IMP_SYNTAX when there is no number, IMP_RANGE when it is not finite, and what imp_unit_parse says. */
imp_status imp_quantity_parse(const char *text, size_t length, imp_quantity *quantity, imp_unit *unit, imp_error *error);

/* The value in a unit. IMP_DIMENSION_MISMATCH when it does not fit: "expected a length, got a pressure (1200000
 * Pa)". A reading converts to K and degR as an absolute temperature; a difference never converts to degC or degF. */
imp_status imp_quantity_in(const imp_quantity *quantity, const imp_unit *unit, double *value, imp_error *error);

/* value in unit, as a quantity. */
imp_quantity imp_quantity_from(double value, const imp_unit *unit);

/* The number in the unit with as few digits as read back the same SI value, "0.6" for 0.6 mil. size >=
 * IMP_NUMBER_TEXT_SIZE (number.h) is enough. Returns text. */
char *imp_quantity_exact(const imp_unit *unit, double si, char *text, size_t size);

/* "82.7371 bar": value in unit rounded to `digits` significant digits (1..17; 0 = as imp_quantity_exact) without superfluous zeros, point as decimal sign, exponent form below 1e-4 and from 1e15 on. size >= 96 is
 * always enough. Same errors as imp_quantity_in. A pure number has no unit text. */
imp_status imp_quantity_format(const imp_quantity *quantity, const imp_unit *unit, int digits, char *text, size_t size,
                               imp_error *error);

/* Arithmetic. IMP_DIMENSION_MISMATCH: "cannot add a pressure and a length", "two temperature readings cannot be added". */
imp_status imp_quantity_add(const imp_quantity *a, const imp_quantity *b, imp_quantity *sum, imp_error *error);
imp_status imp_quantity_subtract(const imp_quantity *a, const imp_quantity *b, imp_quantity *difference, imp_error *error);
imp_status imp_quantity_multiply(const imp_quantity *a, const imp_quantity *b, imp_quantity *product, imp_error *error);
imp_status imp_quantity_divide(const imp_quantity *a, const imp_quantity *b, imp_quantity *quotient, imp_error *error);
/* a to a rational power; exponent must be a multiple of 1/2 where a has a dimension. */
imp_status imp_quantity_power(const imp_quantity *a, double exponent, imp_quantity *power, imp_error *error);
/* -1, 0, 1 in *order. A reading and a difference do not compare. */
imp_status imp_quantity_compare(const imp_quantity *a, const imp_quantity *b, int *order, imp_error *error);

#endif
