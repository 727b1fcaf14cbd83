/* columns_values.h — the values of an expression over columns in memory. */
#ifndef IMP_COLUMNS_VALUES_H
#define IMP_COLUMNS_VALUES_H

#include "columns.h"

/* Evaluate a column in memory into values[count]; masks are 1, 0 or missing. IMP_TYPE when it is a log's column or has
 * not `count` rows; IMP_MEMORY. */
imp_status imp_columns_values(imp_columns *columns, imp_column column, double *values, size_t count, imp_error *error);

#endif
