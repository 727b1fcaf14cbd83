/* unit.h — unit texts and what they mean.
 *
 * A unit text is a product of names with integer powers: "bar", "kg/m^3", "W/(m K)", "lb/ft^3", "mm2", "1/min", "%".
 * A blank, "*" or a middle dot multiplies; "/" divides by the one factor that follows it ("a/b/c" = a/(b c));
 * "^" or a trailing digit raises; parentheses group; "m2", "m^2", "m^-2" and superscripts (m²) are all read.
 * A name is looked up whole first, then as prefix and name, then without its trailing digits: "inH2O", "kPa", "mm2".
 * SI prefixes stand before the units that customarily take them. Names are case-sensitive ("mm" is not "MM").
 * degC and degF alone are readings on a scale; inside a product, and as K, degC_diff, degF_diff, they are differences.
 * Gauge and absolute are no units: the name of an input tells them apart. */
#ifndef IMP_UNIT_H
#define IMP_UNIT_H

#include <stddef.h>

#include "dimension.h"

enum { IMP_UNIT_TEXT_SIZE = 48 };

typedef struct imp_unit {
    double factor; /* SI value = value * factor + offset */
    double offset; /* non-zero for readings only */
    imp_dimension dimension;
    bool is_reading; /* a temperature on a scale */
    bool is_absolute; /* K or degR alone: a reading converts to it as an absolute temperature */
    char text[IMP_UNIT_TEXT_SIZE]; /* as written by the caller, blanks trimmed */
} imp_unit;

/* Parse a unit text of `length` bytes. "" and "1" are the pure number. IMP_SYNTAX with the place of the fault,
 * IMP_UNKNOWN with the nearest known name, IMP_DIMENSION_MISMATCH on two currencies, IMP_RANGE when the factor or an
 * exponent is too large, IMP_LIMIT when the text is longer than IMP_UNIT_TEXT_SIZE - 1. */
imp_status imp_unit_parse(const char *text, size_t length, imp_unit *unit, imp_error *error);

/* Convert between value in unit and SI, rounded once where the unit is a whole part of SI's. Never fail; no check. */
double imp_unit_to_si(const imp_unit *unit, double value);
double imp_unit_from_si(const imp_unit *unit, double si);

/* A conversion made once and used often, from one unit to another. */
typedef struct imp_converter {
    double factor, offset; /* value in `to` = value in `from` * factor + offset */
} imp_converter;

/* IMP_DIMENSION_MISMATCH when the units measure different things, or one is a reading and the other a difference (a
 * reading does convert to K or degR as an absolute temperature). */
imp_status imp_unit_converter(const imp_unit *from, const imp_unit *to, imp_converter *converter, imp_error *error);

/* To within 1 ulp or so of converting by way of SI. */
static inline double imp_convert(const imp_converter *converter, double value)
{
    return value * converter->factor + converter->offset;
}

/* One row of the unit table. Aliases are rows of their own, with the same meaning. */
typedef struct imp_unit_row {
    const char *name;
    const char *meaning; /* "pound-force per square inch" */
    const char *source;  /* "NIST SP 811 B.8", "SI brochure table 8", "ISO 4217", ... */
    double factor;
    double offset;
    imp_dimension dimension;
    bool is_reading;
    bool is_absolute; /* K, degR */
    bool takes_prefix;
} imp_unit_row;

/* Rows 0 .. imp_unit_count() - 1, sorted by name (strcmp); NULL beyond. */
size_t imp_unit_count(void);
const imp_unit_row *imp_unit_at(size_t index);
/* Exact name without prefix, or NULL. */
const imp_unit_row *imp_unit_find(const char *name, size_t length);

#endif
