/* argument.h — a calculation's inputs from text, as a person types them. */
#ifndef IMP_ARGUMENT_H
#define IMP_ARGUMENT_H

#include "catalogue.h"

/* Read one value for a row: "20 degC", "68 %", "B2", "true"; a list as "40 V, 75 V" or a JSON array; a table as a JSON
 * array of objects, each value a text or a number; a record as such an object. Items live in the arena. The value is
 * checked against its row.
 * IMP_TYPE, IMP_SYNTAX, IMP_DIMENSION_MISMATCH, IMP_RANGE, IMP_UNKNOWN with place = the row's name. */
imp_status imp_argument_read(const imp_param *row, const char *text, imp_arena *arena, imp_value *value, imp_error *error);

/* Read `name=text` pairs for an entry into in[input_count]. Names may not repeat; unknown ones name the nearest. */
imp_status imp_arguments_read(const imp_calc *calc, size_t count, const char *const names[], const char *const texts[],
                              imp_arena *arena, imp_value *in, imp_error *error);

#endif
