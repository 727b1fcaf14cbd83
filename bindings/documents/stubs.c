/* Stubs for editors of Lua (the `---@meta` notes that LuaLS reads): the module's functions from a file, and every
 * calculation from its rows. The file is Lua: it returns the module's table with the same names. */
#include <stdio.h>
#include <string.h>

#include "calculation.h"
#include "documents.h"
#include "file.h"
#include "rooms.h"

enum { LARGEST_FUNCTIONS = 1024 * 1024, NAME_SIZE = 512, TEXT_SIZE = 512 };

/* One line of a comment: line ends become blanks. */
static void write_comment(output *out, const char *text)
{
    for (const char *at = text != NULL ? text : ""; *at != '\0'; at++)
        output_bytes(out, *at == '\n' ? " " : at, 1);
}

/* The class that describes the rows of a record: "impinge.hose.run.with.sections". */
static void class_name(char *name, size_t size, const char *parent, const char *row)
{
    if (snprintf(name, size, "%s.%s", parent, row[0] == '$' ? row + 1 : row) >= (int)size)
        name[size - 1] = '\0'; /* no name of ours is so long */
}

/* The type of a value that is given (input) or comes back. */
static void write_type(output *out, const imp_param *row, const char *class, bool input)
{
    const char *number = input ? "impinge.value" : "impinge.quantity";
    switch (row->kind) {
    case IMP_NUMBER:
        output_text(out, number);
        break;
    case IMP_LIST:
        output_format(out, input ? "(%s)[]|string" : "%s[]", number);
        break;
    case IMP_FLAG:
        output_text(out, "boolean");
        break;
    case IMP_TABLE:
        output_format(out, "%s[]", class);
        break;
    case IMP_RECORD:
        output_text(out, class);
        break;
    case IMP_CHOICE:
        for (size_t i = 0; row->choices[i] != NULL; i++)
            output_format(out, "%s\"%s\"", i > 0 ? "|" : "", row->choices[i]);
        break;
    case IMP_FILE_OR_RECORD:
        output_format(out, "string|%s", class);
        break;
    case IMP_TEXT:
    case IMP_DATE:
        output_text(out, "string");
        break;
    }
}

/* "temperature in degC, -60 degC to 80 degC, default 20 degC: what it is" */
static void write_meaning(output *out, const imp_param *row, bool input)
{
    char text[TEXT_SIZE];
    if (row->kind == IMP_NUMBER || row->kind == IMP_LIST)
        output_format(out, " in %s", row->unit != NULL ? row->unit : "1");
    if (input && imp_param_has_range(row))
        output_format(out, ", %s", allowed_text(row, text, sizeof text));
    if (row->presence == IMP_DEFAULT && (row->kind == IMP_NUMBER || row->kind == IMP_CHOICE))
        output_format(out, ", default %s", imp_param_format(row, row->fallback, 6, text, sizeof text));
    output_text(out, ": ");
    write_comment(out, row->help);
}

static void write_class(output *out, const char *name, const imp_param *rows, size_t count, bool input);

/* The classes of the records among the rows, which must stand before the class that uses them. */
static void write_inner_classes(output *out, const char *name, const imp_param *rows, size_t count, bool input)
{
    for (size_t i = 0; i < count && rows[i].name != NULL; i++) {
        char inner[NAME_SIZE];
        if (rows[i].rows == NULL)
            continue;
        class_name(inner, sizeof inner, name, rows[i].name);
        write_class(out, inner, rows[i].rows, (size_t)-1, input);
    }
}

static void write_class(output *out, const char *name, const imp_param *rows, size_t count, bool input)
{
    write_inner_classes(out, name, rows, count, input);
    output_format(out, "---@class %s\n", name);
    for (size_t i = 0; i < count && rows[i].name != NULL; i++) {
        char inner[NAME_SIZE];
        const bool plain = rows[i].name[0] != '$';
        const bool may_miss = rows[i].presence != IMP_REQUIRED || (!input && rows[i].rows != NULL);
        class_name(inner, sizeof inner, name, rows[i].name);
        output_format(out, plain ? "---@field %s%s " : "---@field ['%s']%s ", rows[i].name, may_miss ? "?" : "");
        write_type(out, &rows[i], inner, input);
        write_meaning(out, &rows[i], input);
        output_text(out, "\n");
    }
    output_text(out, "\n");
}

static void write_calculation(output *out, const imp_calc *calc)
{
    char with[NAME_SIZE], results[NAME_SIZE];
    snprintf(with, sizeof with, "impinge.%s.with", calc->id);
    snprintf(results, sizeof results, "impinge.%s.results", calc->id);
    write_class(out, with, calc->inputs, calc->input_count, true);
    const bool single = calc->output_count == 1;
    if (single)
        write_inner_classes(out, results, calc->outputs, 1, false);
    else
        write_class(out, results, calc->outputs, calc->output_count, false);
    output_format(out, "---%s.\n---\n---Formula: ", calc->title);
    write_comment(out, calc->formula);
    output_text(out, "\n---\n---Source: ");
    write_comment(out, calc->source);
    output_text(out, "\n---\n---Holds for: ");
    write_comment(out, calc->validity);
    output_format(out, "\n---@param with %s\n---@return ", with);
    if (single) {
        char inner[NAME_SIZE];
        class_name(inner, sizeof inner, results, calc->outputs[0].name);
        write_type(out, &calc->outputs[0], inner, false);
        output_format(out, " %s", calc->outputs[0].name);
        write_meaning(out, &calc->outputs[0], false);
    } else {
        output_text(out, results);
    }
    output_format(out, "\nfunction imp.%s(with) end\n\n", calc->id);
}

/* The catalogue's ids as one type, for the functions that take an id. */
static void write_ids(output *out)
{
    const imp_calc *calc;
    output_text(out, "---@alias impinge.id\n");
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++)
        output_format(out, "---| \"%s\" # %s\n", calc->id, calc->title);
    output_text(out, "\n");
}

imp_status write_stubs(const char *folder, const char *functions, imp_error *error)
{
    output out;
    char *text = NULL;
    size_t length = 0;
    const imp_calc *calc;
    const char *room = "";
    const imp_status status = imp_file_read(functions, LARGEST_FUNCTIONS, NULL, &text, &length, error);
    if (status != IMP_OK)
        return status;
    output_init(&out, "impinge.lua", "never");
    output_bytes(&out, text, length);
    imp_release(NULL, text);
    output_text(&out, "\n-- The catalogue, written by the build from the calculations' own rows.\n\n");
    write_ids(&out);
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++) {
        if (strncmp(room, calc->id, (size_t)room_length(calc->id) + 1) != 0) {
            output_format(&out, "---%s\nimp.%.*s = imp.%.*s or {}\n\n", imp_room_title(calc->id), room_length(calc->id),
                          calc->id, room_length(calc->id), calc->id);
            room = calc->id;
        }
        write_calculation(&out, calc);
    }
    output_text(&out, "return imp\n");
    return finish_file(&out, folder, "impinge.lua", error);
}
