#include "text_table.h"

#include <string.h>

void text_table_init(text_table *table, imp_arena *arena, size_t columns)
{
    *table = (text_table){.arena = arena, .columns = columns};
}

static bool make_room(text_table *table)
{
    if (table->count < table->capacity)
        return true;
    const size_t capacity = table->capacity > 0 ? 2 * table->capacity : 64;
    const char **cells = imp_arena_allocate(table->arena, capacity, sizeof *cells); /* the old ones stay in the arena */
    if (cells == NULL)
        return false;
    if (table->count > 0)
        memcpy(cells, table->cells, table->count * sizeof *cells);
    table->cells = cells;
    table->capacity = capacity;
    return true;
}

void text_table_add(text_table *table, const char *text)
{
    const char *copy = imp_arena_copy_text(table->arena, text, strlen(text));
    if (copy == NULL || !make_room(table))
        table->failed = true;
    else
        table->cells[table->count++] = copy;
}

static size_t column_width(const text_table *table, size_t column)
{
    size_t width = 0;
    for (size_t i = column; i < table->count; i += table->columns)
        width = text_width(table->cells[i]) > width ? text_width(table->cells[i]) : width;
    return width;
}

bool text_table_write(const text_table *table, output *out, const char *indent)
{
    size_t *widths = imp_arena_allocate(table->arena, table->columns, sizeof *widths);
    if (table->failed || widths == NULL)
        return false;
    for (size_t column = 0; column < table->columns; column++)
        widths[column] = column_width(table, column);
    for (size_t i = 0; i < table->count; i++) {
        const size_t column = i % table->columns; /* NOLINT(clang-analyzer-core.DivideZero): every table is made with its columns */
        output_text(out, column == 0 ? indent : "  ");
        output_text(out, table->cells[i]);
        for (size_t used = text_width(table->cells[i]); column + 1 < table->columns && used < widths[column]; used++)
            output_text(out, " ");
        if (column + 1 == table->columns || i + 1 == table->count)
            output_text(out, "\n");
    }
    return true;
}
