#include "calculation.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "rooms.h"
#include "value_output.h"

int room_length(const char *id)
{
    return (int)strcspn(id, ".");
}

/* "volume flow" of "a volume flow" */
static const char *bare_name(imp_named_dimension dimension)
{
    const char *name = imp_dimension_name(dimension);
    const char *blank = strchr(name, ' ');
    return blank != NULL ? blank + 1 : name;
}

static char *choices_text(const imp_param *row, char *text, size_t size)
{
    size_t used = (size_t)snprintf(text, size, "one of");
    for (size_t i = 0; row->choices != NULL && row->choices[i] != NULL && used < size; i++)
        used += (size_t)snprintf(text + used, size - used, "%s %s", i > 0 ? "," : "", row->choices[i]);
    return text;
}

char *allowed_text(const imp_param *row, char *text, size_t size)
{
    const char *each = row->kind == IMP_LIST ? "a list, each " : "";
    if (row->kind == IMP_CHOICE)
        return choices_text(row, text, size);
    if (row->kind != IMP_NUMBER && row->kind != IMP_LIST)
        return imp_param_expected(row, text, size);
    if (!imp_param_has_range(row)) {
        snprintf(text, size, "%sany %s", each, bare_name(row->dimension));
        return text;
    }
    char low[96], high[96];
    imp_param number = *row; /* a list's ends are numbers */
    number.kind = IMP_NUMBER;
    imp_param_format(&number, row->low, 6, low, sizeof low);
    imp_param_format(&number, row->high, 6, high, sizeof high);
    const bool open_low = row->ends == IMP_OPEN_LOW || row->ends == IMP_OPEN;
    const bool open_high = row->ends == IMP_OPEN_HIGH || row->ends == IMP_OPEN;
    if (!isfinite(row->high))
        snprintf(text, size, "%s%s %s", each, open_low ? "above" : "from", low);
    else if (!isfinite(row->low))
        snprintf(text, size, "%s%s %s", each, open_high ? "below" : "up to", high);
    else if (!open_low && !open_high)
        snprintf(text, size, "%s%s to %s", each, low, high);
    else
        snprintf(text, size, "%s%s %s, %s %s", each, open_low ? "above" : "from", low, open_high ? "below" : "up to",
                 high);
    return text;
}

/* ---- JSON ---- */

static const char *kind_name(imp_kind kind)
{
    static const char *const names[] = {
        [IMP_NUMBER] = "number", [IMP_CHOICE] = "choice", [IMP_LIST] = "list",
        [IMP_TABLE] = "table",   [IMP_RECORD] = "record", [IMP_TEXT] = "text",
        [IMP_FLAG] = "flag",     [IMP_DATE] = "date",     [IMP_FILE_OR_RECORD] = "file or record",
    };
    return names[kind];
}

static void ends_json(json_writer *json, const imp_param *row, const imp_unit *unit)
{
    if (isfinite(row->low)) {
        json_key(json, "low");
        quantity_json(json, unit, row->low);
    }
    if (isfinite(row->high)) {
        json_key(json, "high");
        quantity_json(json, unit, row->high);
    }
    if (row->ends == IMP_OPEN_LOW || row->ends == IMP_OPEN) {
        json_key(json, "low_is_open");
        json_flag(json, true);
    }
    if (row->ends == IMP_OPEN_HIGH || row->ends == IMP_OPEN) {
        json_key(json, "high_is_open");
        json_flag(json, true);
    }
}

static void row_json(json_writer *json, const imp_param *row)
{
    imp_unit unit;
    row_unit(row, &unit);
    json_open_object(json);
    json_member_text(json, "name", row->name);
    json_member_text(json, "symbol", row->symbol);
    json_member_text(json, "kind", kind_name(row->kind));
    if (row->kind == IMP_NUMBER || row->kind == IMP_LIST) {
        json_member_text(json, "dimension", bare_name(row->dimension));
        json_member_text(json, "unit", row->unit != NULL ? row->unit : "1");
        if (imp_param_has_range(row))
            ends_json(json, row, &unit);
    }
    json_key(json, "required");
    json_flag(json, row->presence == IMP_REQUIRED);
    if (row->presence == IMP_DEFAULT && row->kind != IMP_LIST && row->kind != IMP_TABLE) {
        const imp_value fallback = {.number = row->fallback, .given = true};
        json_key(json, "default");
        value_json(json, row, &fallback);
    }
    if (row->choices != NULL) {
        json_key(json, "choices");
        json_open_array_inline(json);
        for (size_t i = 0; row->choices[i] != NULL; i++)
            json_text(json, row->choices[i]);
        json_close_array(json);
    }
    if (row->rows != NULL) {
        json_key(json, "rows");
        json_open_array(json);
        for (size_t i = 0; row->rows[i].name != NULL; i++)
            row_json(json, &row->rows[i]);
        json_close_array(json);
    }
    if (row->trend != NULL)
        json_member_text(json, "trend", row->trend);
    json_member_text(json, "help", row->help);
    json_close_object(json);
}

static void rows_json(json_writer *json, const char *key, const imp_param *rows, size_t count)
{
    json_key(json, key);
    json_open_array(json);
    for (size_t i = 0; i < count; i++)
        row_json(json, &rows[i]);
    json_close_array(json);
}

void calculation_json(json_writer *json, const imp_calc *calc, const char *example)
{
    char room[64];
    snprintf(room, sizeof room, "%.*s", room_length(calc->id), calc->id);
    json_open_object(json);
    json_member_text(json, "id", calc->id);
    if (imp_room_title(calc->id) != NULL) { /* a declared one has no room */
        json_member_text(json, "room", room);
        json_member_text(json, "room_title", imp_room_title(calc->id));
    }
    json_member_text(json, "title", calc->title);
    json_member_text(json, "formula", calc->formula);
    json_member_text(json, "source", calc->source);
    json_member_text(json, "validity", calc->validity);
    rows_json(json, "inputs", calc->inputs, calc->input_count);
    rows_json(json, "outputs", calc->outputs, calc->output_count);
    if (example != NULL)
        json_member_text(json, "example", example);
    json_close_object(json);
}
