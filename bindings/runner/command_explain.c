/* impinge explain: what a calculation computes, from what, where it comes from and where it holds. */
#include <stdio.h>
#include <string.h>

#include "calculation.h"
#include "calculation_file.h"
#include "commands.h"
#include "exit_code.h"
#include "rooms.h"

enum { EXPLAIN_WIDTH = 100 };

static const char *presence_text(const imp_param *row, char *text, size_t size)
{
    char value[96];
    if (row->presence == IMP_REQUIRED)
        return "required";
    if (row->presence == IMP_OPTIONAL || row->kind == IMP_LIST || row->kind == IMP_TABLE)
        return "optional";
    if (row->kind == IMP_FLAG)
        snprintf(text, size, "default %s", row->fallback != 0.0 ? "true" : "false");
    else
        snprintf(text, size, "default %s", imp_param_format(row, row->fallback, 6, value, sizeof value));
    return text;
}

/* "a pressure in bar", "one of dry, condensing" */
static char *output_kind(const imp_param *row, char *text, size_t size)
{
    if (row->kind != IMP_NUMBER && row->kind != IMP_LIST)
        return allowed_text(row, text, size);
    const bool has_unit = row->unit != NULL && strcmp(row->unit, "1") != 0;
    snprintf(text, size, "%s%s%s%s", row->kind == IMP_LIST ? "a list, each " : "", imp_dimension_name(row->dimension),
             has_unit ? " in " : "", has_unit ? row->unit : "");
    return text;
}

/* name (symbol), what it may be and whether it must be given; its help below it; the fields of a table deeper. */
static void write_row(output *out, const imp_param *row, bool is_input, int depth)
{
    char lead[160], rest[32], allowed[1024], presence[128], text[1400];
    const bool has_symbol = row->symbol != NULL && strcmp(row->symbol, row->name) != 0;
    snprintf(lead, sizeof lead, has_symbol ? "%*s%s (%s)  " : "%*s%s  ", 2 + 4 * depth, "", row->name, row->symbol);
    snprintf(rest, sizeof rest, "%*s", 6 + 4 * depth, "");
    if (is_input)
        snprintf(text, sizeof text, "%s; %s", allowed_text(row, allowed, sizeof allowed),
                 presence_text(row, presence, sizeof presence));
    else
        output_kind(row, text, sizeof text);
    output_wrapped(out, lead, rest, text, EXPLAIN_WIDTH);
    if (row->help != NULL)
        output_wrapped(out, rest, rest, row->help, EXPLAIN_WIDTH);
    for (const imp_param *field = row->rows; field != NULL && field->name != NULL; field++)
        write_row(out, field, is_input, depth + 1);
}

static void write_rows(output *out, const char *heading, const imp_param *rows, size_t count, bool is_input)
{
    output_text(out, "\n");
    output_heading(out, heading);
    for (size_t i = 0; i < count; i++)
        write_row(out, &rows[i], is_input, 0);
}

static void write_text(output *out, const imp_calc *calc, const char *example)
{
    const char *room = imp_room_title(calc->id);
    output_heading(out, calc->title);
    output_format(out, room != NULL ? "  %s - %s\n\n" : "  %s\n\n", calc->id, room);
    output_wrapped(out, "Formula   ", "          ", calc->formula, EXPLAIN_WIDTH);
    output_wrapped(out, "Source    ", "          ", calc->source, EXPLAIN_WIDTH);
    output_wrapped(out, "Validity  ", "          ", calc->validity, EXPLAIN_WIDTH);
    write_rows(out, "Inputs", calc->inputs, calc->input_count, true);
    write_rows(out, "Outputs", calc->outputs, calc->output_count, false);
    if (example != NULL) {
        output_text(out, "\n");
        output_heading(out, "Example");
        output_format(out, "  %s\n", example);
    }
}

static void write_json(output *out, const imp_calc *calc, const char *example)
{
    json_writer json;
    json_init(&json, out);
    json_open_object(&json);
    json_key(&json, "impinge");
    json_raw(&json, "1");
    json_key(&json, "calculations"); /* as in list */
    json_open_array(&json);
    calculation_json(&json, calc, example);
    json_close_array(&json);
    json_close_object(&json);
}

int command_explain(const options *given, output *out)
{
    imp_arena arena;
    calculation source;
    const int code = calculation_open(given, given->positional[0], &source);
    if (code != EXIT_OK)
        return code;
    imp_arena_init(&arena, NULL);
    const char *example = NULL; /* left out where none is found */
    const bool complete = example_command(source.calc, source.word, &arena, &example) != IMP_MEMORY;
    if (complete && strcmp(options_text(given, OPTION_FORMAT), "json") == 0)
        write_json(out, source.calc, example);
    else if (complete)
        write_text(out, source.calc, example);
    imp_arena_free(&arena);
    calculation_close(&source);
    return complete ? EXIT_OK : complain_memory();
}
