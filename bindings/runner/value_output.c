#include "value_output.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "number.h"

enum { CELL_SIZE = 128 };

void row_unit(const imp_param *row, imp_unit *unit)
{
    const char *text = row->unit != NULL ? row->unit : "1";
    if (imp_unit_parse(text, strlen(text), unit, NULL) != IMP_OK)
        imp_unit_parse("1", 1, unit, NULL); /* a fault in a row of ours, which the row test finds */
}

/* A value that fits one cell: everything but lists and tables. */
static const char *scalar_text(const imp_param *row, const imp_value *value, int digits, char *text, size_t size)
{
    if (!value->given)
        return "none";
    if (row->kind == IMP_TEXT || row->kind == IMP_DATE)
        return value->text != NULL ? value->text : "";
    if (row->kind == IMP_FLAG)
        return value->number != 0.0 ? "true" : "false";
    return imp_param_format_money(row, value->number, value->currency, digits, text, size);
}

void value_text(output *out, const imp_param *row, const imp_value *value)
{
    char text[CELL_SIZE];
    if (value->given && row->kind == IMP_TABLE) {
        output_format(out, "%zu record%s", value->count, value->count == 1 ? "" : "s");
    } else if (value->given && row->kind == IMP_LIST) {
        for (size_t i = 0; i < value->count; i++) {
            output_text(out, i > 0 ? ", " : "");
            output_text(out, imp_param_format(row, value->items[i].number, out->digits, text, sizeof text));
        }
    } else {
        output_text(out, scalar_text(row, value, out->digits, text, sizeof text));
    }
}

static size_t field_count(const imp_param *rows)
{
    size_t count = 0;
    while (rows != NULL && rows[count].name != NULL)
        count++;
    return count;
}

static void pad(output *out, size_t used, size_t width)
{
    while (used++ < width)
        output_text(out, " ");
}

/* Width of a table's column: its name and its cells. */
static size_t column_width(const imp_param *row, const imp_value *table, size_t fields, size_t column, int digits)
{
    size_t width = text_width(row->rows[column].name);
    for (size_t i = 0; i < table->count; i++) {
        char text[CELL_SIZE];
        const imp_value *cell = &table->items[i * fields + column];
        const size_t cell_width = text_width(scalar_text(&row->rows[column], cell, digits, text, sizeof text));
        width = cell_width > width ? cell_width : width;
    }
    return width;
}

static void table_lines(output *out, const imp_param *row, const imp_value *table, const char *indent)
{
    const size_t fields = field_count(row->rows);
    for (size_t line = 0; line <= table->count; line++) {
        output_text(out, indent);
        for (size_t column = 0; column < fields; column++) {
            char text[CELL_SIZE];
            const imp_param *field = &row->rows[column];
            const char *cell = line == 0
                                   ? field->name
                                   : scalar_text(field, &table->items[(line - 1) * fields + column], out->digits, text, sizeof text);
            output_text(out, cell);
            if (column + 1 < fields)
                pad(out, text_width(cell), column_width(row, table, fields, column, out->digits) + 2);
        }
        output_text(out, "\n");
    }
}

void value_lines(output *out, const imp_param *row, const imp_value *value, const char *indent)
{
    if (value->given && row->kind == IMP_TABLE) {
        table_lines(out, row, value, indent);
        return;
    }
    output_text(out, indent);
    value_text(out, row, value);
    output_text(out, "\n");
}

void values_lines(output *out, const imp_param *rows, size_t count, const imp_value *values, const char *indent)
{
    size_t width = 0;
    for (size_t i = 0; i < count; i++)
        width = text_width(rows[i].name) > width ? text_width(rows[i].name) : width;
    for (size_t i = 0; i < count; i++) {
        output_format(out, "%s%s", indent, rows[i].name);
        pad(out, text_width(rows[i].name), width + 2);
        value_text(out, &rows[i], &values[i]);
        output_text(out, "\n");
        if (values[i].given && rows[i].kind == IMP_TABLE) {
            char deeper[32];
            snprintf(deeper, sizeof deeper, "%.16s    ", indent);
            table_lines(out, &rows[i], &values[i], deeper);
        }
    }
}

void quantity_json(json_writer *json, const imp_unit *unit, double si)
{
    char text[IMP_NUMBER_TEXT_SIZE];
    json_open_object_inline(json);
    json_key(json, "value");
    json_raw(json, isfinite(si) ? imp_quantity_exact(unit, si, text, sizeof text) : "null");
    json_member_text(json, "unit", unit->text[0] != '\0' ? unit->text : "1");
    json_close_object(json);
}

static void record_json(json_writer *json, const imp_param *rows, const imp_value *values)
{
    json_open_object_inline(json);
    for (size_t i = 0; rows != NULL && rows[i].name != NULL; i++) {
        if (!values[i].given)
            continue;
        json_key(json, rows[i].name);
        value_json(json, &rows[i], &values[i]);
    }
    json_close_object(json);
}

void value_json(json_writer *json, const imp_param *row, const imp_value *value)
{
    imp_unit unit;
    char text[CELL_SIZE];
    if (!value->given) {
        json_text(json, NULL);
        return;
    }
    switch (row->kind) {
    case IMP_NUMBER:
        row_unit(row, &unit);
        imp_param_unit_text(row, value->currency, unit.text, sizeof unit.text);
        quantity_json(json, &unit, value->number);
        break;
    case IMP_LIST:
        row_unit(row, &unit);
        json_open_array(json);
        for (size_t i = 0; i < value->count; i++)
            quantity_json(json, &unit, value->items[i].number);
        json_close_array(json);
        break;
    case IMP_TABLE:
        json_open_array(json);
        for (size_t i = 0; i < value->count; i++)
            record_json(json, row->rows, value->items + i * field_count(row->rows));
        json_close_array(json);
        break;
    case IMP_RECORD:
    case IMP_FILE_OR_RECORD:
        record_json(json, row->rows, value->items);
        break;
    case IMP_FLAG:
        json_flag(json, value->number != 0.0);
        break;
    default:
        json_text(json, scalar_text(row, value, 0, text, sizeof text));
        break;
    }
}

/* ---- sheets ---- */

static void unit_of_line(const imp_sheet_line *line, imp_unit *unit)
{
    const imp_param row = {.unit = line->unit};
    row_unit(&row, unit);
}

/* The value as a person reads it; steps have none of their own yet. */
static const char *line_text(const imp_sheet_line *line, char *text, size_t size)
{
    char number[IMP_NUMBER_TEXT_SIZE];
    imp_unit unit;
    if (line->text != NULL)
        return line->text;
    unit_of_line(line, &unit);
    imp_number_write(imp_unit_from_si(&unit, line->value), 6, number, sizeof number);
    const bool pure = line->unit == NULL || strcmp(line->unit, "1") == 0;
    snprintf(text, size, pure ? "%s" : "%s %s", number, line->unit);
    return text;
}

static const char *or_empty(const char *text)
{
    return text != NULL ? text : "";
}

static void lines_of_role(output *out, const imp_sheet *sheet, imp_sheet_role role, const char *heading)
{
    size_t symbol_width = 0, name_width = 0, found = 0;
    for (size_t i = 0; i < sheet->count; i++) {
        const imp_sheet_line *line = &sheet->lines[i];
        if (line->role != role)
            continue;
        const size_t symbol = text_width(or_empty(line->symbol)), name = text_width(or_empty(line->name));
        symbol_width = symbol > symbol_width ? symbol : symbol_width;
        name_width = name > name_width ? name : name_width;
        found++;
    }
    if (found == 0)
        return;
    output_text(out, "\n");
    output_heading(out, heading);
    for (size_t i = 0; i < sheet->count; i++) {
        const imp_sheet_line *line = &sheet->lines[i];
        if (line->role != role)
            continue;
        char text[CELL_SIZE];
        output_format(out, "  %s", or_empty(line->symbol));
        pad(out, text_width(or_empty(line->symbol)), symbol_width + (symbol_width > 0 ? 2 : 0));
        output_text(out, or_empty(line->name));
        pad(out, text_width(or_empty(line->name)), name_width + 2);
        output_format(out, "%s\n", line_text(line, text, sizeof text));
        if (role == IMP_SHEET_STEP && line->formula != NULL)
            output_format(out, "      %s\n", line->formula);
    }
}

void sheet_lines(output *out, const imp_calc *calc, const imp_sheet *sheet)
{
    enum { WIDTH = 100 };
    output_text(out, "\n");
    output_heading(out, calc->title);
    output_format(out, "  %s\n", calc->id);
    lines_of_role(out, sheet, IMP_SHEET_INPUT, "Inputs");
    output_text(out, "\n");
    output_heading(out, "Formula");
    output_wrapped(out, "  ", "    ", calc->formula, WIDTH);
    for (size_t i = 0; i < sheet->count; i++)
        if (sheet->lines[i].substituted != NULL && strcmp(sheet->lines[i].substituted, calc->formula) != 0)
            output_wrapped(out, "  ", "    ", sheet->lines[i].substituted, WIDTH);
    lines_of_role(out, sheet, IMP_SHEET_STEP, "Steps");
    lines_of_role(out, sheet, IMP_SHEET_RESULT, "Results");
    output_text(out, "\n");
    output_wrapped(out, "Source    ", "          ", calc->source, WIDTH);
    output_wrapped(out, "Validity  ", "          ", calc->validity, WIDTH);
}

/* Choices, lists and tables have their text alone. */
static bool is_number_line(const imp_calc *calc, const imp_sheet_line *line)
{
    const imp_param *row = NULL;
    if (line->role == IMP_SHEET_INPUT)
        row = imp_calc_input(calc, or_empty(line->name), NULL);
    else if (line->role == IMP_SHEET_RESULT)
        row = imp_calc_output(calc, or_empty(line->name), NULL);
    return (row == NULL || row->kind == IMP_NUMBER) && isfinite(line->value);
}

void sheet_json(json_writer *json, const imp_calc *calc, const imp_sheet *sheet)
{
    static const char *const roles[] = {
        [IMP_SHEET_INPUT] = "input", [IMP_SHEET_STEP] = "step", [IMP_SHEET_RESULT] = "result"};
    json_open_array(json);
    for (size_t i = 0; i < sheet->count; i++) {
        const imp_sheet_line *line = &sheet->lines[i];
        char text[CELL_SIZE];
        imp_unit unit;
        unit_of_line(line, &unit);
        json_open_object(json);
        json_member_text(json, "role", roles[line->role]);
        json_member_text(json, "symbol", line->symbol);
        json_member_text(json, "name", line->name);
        json_member_text(json, "formula", line->formula);
        json_member_text(json, "substituted", line->substituted);
        json_key(json, "value");
        if (is_number_line(calc, line))
            quantity_json(json, &unit, line->value);
        else
            json_text(json, NULL);
        json_member_text(json, "text", line_text(line, text, sizeof text));
        json_close_object(json);
    }
    json_close_array(json);
}
