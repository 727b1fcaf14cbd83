/* unit_table.h — the unit table as data, for unit.c alone; everyone else asks unit.h. */
#ifndef IMP_UNIT_TABLE_H
#define IMP_UNIT_TABLE_H

#include "unit.h"

/* Sorted by name (strcmp order). */
extern const imp_unit_row imp_unit_table[];
extern const size_t imp_unit_table_count;

#endif
