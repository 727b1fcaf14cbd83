/* columns_partial.h — shared by columns_partial.c and columns_merge.c. */
#ifndef IMP_COLUMNS_PARTIAL_H
#define IMP_COLUMNS_PARTIAL_H

#include "columns_internal.h"

/* A number that differs where what was asked differs. */
uint64_t imp_columns_questions(const imp_columns *columns);

#endif
