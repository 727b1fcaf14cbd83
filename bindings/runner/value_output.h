/* value_output.h — values of rows as a person reads them and as JSON. */
#ifndef IMP_RUNNER_VALUE_OUTPUT_H
#define IMP_RUNNER_VALUE_OUTPUT_H

#include "catalogue.h"
#include "json.h"

/* The row's unit; the pure number where it has none. */
void row_unit(const imp_param *row, imp_unit *unit);

/* One line, without its end: "9.3 degC", "B2", "40 V, 75 V", "none"; a table as its number of records. */
void value_text(output *out, const imp_param *row, const imp_value *value);
/* The value of one row alone: a line, or a table's lines. */
void value_lines(output *out, const imp_param *row, const imp_value *value, const char *indent);
/* The values of all rows: "name  value" with the values in one column, tables below them. */
void values_lines(output *out, const imp_param *rows, size_t count, const imp_value *values, const char *indent);

/* {"value": 9.27, "unit": "degC"}; choices as texts, lists as arrays, tables as arrays of objects, absent ones null. */
void value_json(json_writer *json, const imp_param *row, const imp_value *value);
void quantity_json(json_writer *json, const imp_unit *unit, double si);

/* A sheet with its calculation's formula, source and validity. */
void sheet_lines(output *out, const imp_calc *calc, const imp_sheet *sheet);
void sheet_json(json_writer *json, const imp_calc *calc, const imp_sheet *sheet);

#endif
