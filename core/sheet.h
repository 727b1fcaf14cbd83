/* sheet.h — the record of a calculation, so that every number can be opened to its symbols, formula and source.
 * A NULL sheet means: don't record. Recording allocates; calculations do not. */
#ifndef IMP_SHEET_H
#define IMP_SHEET_H

#include <stddef.h>

#include "memory.h"
#include "param.h"

typedef enum imp_sheet_role { IMP_SHEET_INPUT, IMP_SHEET_STEP, IMP_SHEET_RESULT } imp_sheet_role;

/* In a sheet the texts are the sheet's own copies; NULL where there is nothing to say. */
typedef struct imp_sheet_line {
    imp_sheet_role role;
    const char *symbol;      /* "Re" */
    const char *name;        /* "reynolds", or a few words */
    const char *formula;     /* "Re = rho v d / mu" */
    const char *substituted; /* the formula with numbers */
    double value;            /* SI */
    const char *unit;        /* customary unit; NULL or "1" for a pure number */
    const char *text;        /* the value as a person reads it */
} imp_sheet_line;

typedef struct imp_sheet {
    const imp_allocator *allocator;
    imp_sheet_line *lines;
    size_t count, capacity;
    bool failed; /* an allocation failed: the sheet is incomplete and must not be shown */
} imp_sheet;

void imp_sheet_init(imp_sheet *sheet, const imp_allocator *allocator);
void imp_sheet_free(imp_sheet *sheet);

/* Add a copy of a line. Does nothing when sheet is NULL; on lack of memory marks the sheet failed. */
void imp_sheet_add(imp_sheet *sheet, const imp_sheet_line *line);

/* Record an intermediate step. Does nothing when sheet is NULL; on lack of memory marks the sheet failed. */
void imp_sheet_step(imp_sheet *sheet, const char *symbol, const char *name, const char *formula, double si, const char *unit);

#endif
