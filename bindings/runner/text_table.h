/* text_table.h — cells in columns, for results as plain text. */
#ifndef IMP_RUNNER_TEXT_TABLE_H
#define IMP_RUNNER_TEXT_TABLE_H

#include "memory.h"
#include "output.h"

typedef struct text_table {
    imp_arena *arena; /* of the cells' texts */
    size_t columns;
    const char **cells;
    size_t count, capacity;
    bool failed; /* out of memory: a cell is missing */
} text_table;

void text_table_init(text_table *table, imp_arena *arena, size_t columns);
/* The next cell, row after row; the text is copied. */
void text_table_add(text_table *table, const char *text);
/* Write the rows, `indent` before each; columns are two blanks apart. False when a cell is missing. */
bool text_table_write(const text_table *table, output *out, const char *indent);

#endif
