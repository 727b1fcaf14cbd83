#include "sheet.h"

#include <string.h>

void imp_sheet_init(imp_sheet *sheet, const imp_allocator *allocator)
{
    memset(sheet, 0, sizeof *sheet);
    sheet->allocator = allocator;
}

/* The texts of a line, one after the other, for copying and freeing. */
enum { TEXT_COUNT = 6 };
static const char **line_text(imp_sheet_line *line, int index)
{
    const char **const texts[TEXT_COUNT] = {&line->symbol,      &line->name, &line->formula,
                                            &line->substituted, &line->unit, &line->text};
    return texts[index];
}

static void free_line(const imp_allocator *allocator, imp_sheet_line *line)
{
    for (int i = 0; i < TEXT_COUNT; i++)
        imp_release(allocator, (void *)*line_text(line, i)); /* the sheet's own copy */
}

void imp_sheet_free(imp_sheet *sheet)
{
    for (size_t i = 0; i < sheet->count; i++)
        free_line(sheet->allocator, &sheet->lines[i]);
    imp_release(sheet->allocator, sheet->lines);
    imp_sheet_init(sheet, sheet->allocator);
}

static bool make_room(imp_sheet *sheet)
{
    if (sheet->count < sheet->capacity)
        return true;
    const size_t capacity = sheet->capacity > 0 ? 2 * sheet->capacity : 16;
    imp_sheet_line *lines = imp_resize(sheet->allocator, sheet->lines, capacity, sizeof *lines);
    if (lines == NULL)
        return false;
    sheet->lines = lines;
    sheet->capacity = capacity;
    return true;
}

static bool copy_line(const imp_allocator *allocator, const imp_sheet_line *line, imp_sheet_line *copy)
{
    bool complete = true;
    *copy = *line;
    for (int i = 0; i < TEXT_COUNT; i++) {
        const char **text = line_text(copy, i);
        if (*text == NULL)
            continue;
        *text = imp_copy_text(allocator, *text, strlen(*text));
        complete = complete && *text != NULL;
    }
    if (!complete)
        free_line(allocator, copy);
    return complete;
}

void imp_sheet_add(imp_sheet *sheet, const imp_sheet_line *line)
{
    if (sheet == NULL || sheet->failed)
        return;
    if (!make_room(sheet) || !copy_line(sheet->allocator, line, &sheet->lines[sheet->count]))
        sheet->failed = true;
    else
        sheet->count++;
}

void imp_sheet_step(imp_sheet *sheet, const char *symbol, const char *name, const char *formula, double si, const char *unit)
{
    const imp_sheet_line line = {.role = IMP_SHEET_STEP, .symbol = symbol, .name = name, .formula = formula,
                                 .value = si, .unit = unit};
    imp_sheet_add(sheet, &line);
}
