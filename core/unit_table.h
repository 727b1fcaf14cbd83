/* unit_table.h — the unit table as data, and the names built on it. For unit.c and unit_name.c alone; everyone else
 * asks unit.h. */
#ifndef IMP_UNIT_TABLE_H
#define IMP_UNIT_TABLE_H

#include "unit.h"

enum { IMP_UNIT_NAME_SIZE = 64 };

/* Sorted by name (strcmp order). */
extern const imp_unit_row imp_unit_table[];
extern const size_t imp_unit_table_count;

/* A name with its SI prefix taken off: its row (NULL when the name is unknown) and the prefix's power of ten. */
typedef struct imp_unit_name {
    const imp_unit_row *row;
    int ten;
} imp_unit_name;

/* The whole name first, then prefix and name. */
imp_unit_name imp_unit_name_find(const char *name, size_t length);

/* IMP_UNKNOWN with advice: the nearest known name, or what to write instead. */
imp_status imp_unit_name_unknown(const char *typed, imp_error *error);

#endif
