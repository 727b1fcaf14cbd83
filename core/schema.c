#include "schema.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "number.h"

/* A growing text; once an allocation has failed, writing does nothing. */
typedef struct writer {
    const imp_allocator *allocator;
    char *text;
    size_t length, capacity;
    bool failed;
    int depth; /* of indentation */
} writer;

static void put(writer *w, const char *text, size_t length)
{
    if (w->failed)
        return;
    if (w->length + length + 1 > w->capacity) {
        const size_t capacity = 2 * (w->length + length + 1) + 4096;
        char *larger = imp_resize(w->allocator, w->text, capacity, 1);
        if (larger == NULL) {
            w->failed = true;
            return;
        }
        w->text = larger;
        w->capacity = capacity;
    }
    memcpy(w->text + w->length, text, length);
    w->length += length;
    w->text[w->length] = '\0';
}

static void put_text(writer *w, const char *text)
{
    put(w, text, strlen(text));
}

/* A JSON string; our own texts hold no control characters. */
static void put_string(writer *w, const char *text)
{
    put_text(w, "\"");
    for (; *text != '\0'; text++) {
        if (*text == '"' || *text == '\\')
            put_text(w, "\\");
        put(w, text, 1);
    }
    put_text(w, "\"");
}

static void new_line(writer *w)
{
    put_text(w, "\n");
    for (int i = 0; i < w->depth; i++)
        put_text(w, "  ");
}

/* Begin a member: a comma behind the one before, a new line, the key. */
static void key(writer *w, const char *name, bool *first)
{
    if (!*first)
        put_text(w, ",");
    *first = false;
    new_line(w);
    put_string(w, name);
    put_text(w, ": ");
}

static void open_brace(writer *w)
{
    put_text(w, "{");
    w->depth++;
}

static void close_brace(writer *w)
{
    w->depth--;
    new_line(w);
    put_text(w, "}");
}

static void string_member(writer *w, const char *name, const char *value, bool *first)
{
    key(w, name, first);
    put_string(w, value);
}

static void number_member(writer *w, const char *name, double value, bool *first)
{
    char text[IMP_NUMBER_TEXT_SIZE];
    key(w, name, first);
    put_text(w, imp_number_write(value, 0, text, sizeof text));
}

static bool is_whole(const char *text)
{
    return text[0] != '\0' && text[strspn(text, "0123456789")] == '\0';
}

/* Help, and behind it the customary unit and the range. */
static void describe(writer *w, const imp_param *row, bool *first)
{
    char text[600], low[96], high[96], range[240] = "";
    const bool has_unit = row->unit != NULL && strcmp(row->unit, "1") != 0;
    if ((row->kind == IMP_NUMBER || row->kind == IMP_LIST) && imp_param_has_range(row) && row->low < row->high) {
        const bool open_low = row->ends == IMP_OPEN_LOW || row->ends == IMP_OPEN;
        const bool open_high = row->ends == IMP_OPEN_HIGH || row->ends == IMP_OPEN;
        imp_param_format(row, row->low, 6, low, sizeof low);
        imp_param_format(row, row->high, 6, high, sizeof high);
        snprintf(range, sizeof range, ". %s %s, %s %s", open_low ? "Above" : "From", low, open_high ? "below" : "up to",
                 high);
    } else if ((row->kind == IMP_NUMBER || row->kind == IMP_LIST) && has_unit)
        snprintf(range, sizeof range, ". Unit such as %s", row->unit);
    snprintf(text, sizeof text, "%s%s", row->help, range);
    string_member(w, "description", text, first);
}

/* ---- single values ---- */

/* A number and, somewhere behind it, a unit; the reader judges both. */
#define QUANTITY_PATTERN "^[ \\t]*[-+]?\\.?[0-9].*[^-+0-9.eE/ \\t].*$"
#define NUMBER_PATTERN "^[ \\t]*[-+]?\\.?[0-9].*$"
#define DATE_PATTERN "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"
/* A relative path: no part is empty, "." or "..". */
#define FILE_PATTERN "^(?!.*(^|/)\\.{0,2}(/|$))[^\\\\:\\u0000-\\u001f]+$"

static void put_pure_limits(writer *w, const imp_param *row, bool *first)
{
    if (!imp_param_has_range(row))
        return;
    const bool open_low = row->ends == IMP_OPEN_LOW || row->ends == IMP_OPEN;
    const bool open_high = row->ends == IMP_OPEN_HIGH || row->ends == IMP_OPEN;
    number_member(w, open_low ? "exclusiveMinimum" : "minimum", row->low, first);
    number_member(w, open_high ? "exclusiveMaximum" : "maximum", row->high, first);
}

static void put_quantity(writer *w, const imp_param *row, bool *first)
{
    if (row->dimension != IMP_PURE) {
        string_member(w, "type", "string", first);
        string_member(w, "pattern", QUANTITY_PATTERN, first);
        return;
    }
    key(w, "type", first);
    put_text(w, "[\"number\", \"string\"]");
    string_member(w, "pattern", NUMBER_PATTERN, first);
    put_pure_limits(w, row, first);
}

static void put_choices(writer *w, const imp_param *row, bool *first)
{
    key(w, "enum", first);
    put_text(w, "[");
    for (size_t i = 0; row->choices[i] != NULL; i++) {
        put_text(w, i > 0 ? ", " : "");
        put_string(w, row->choices[i]);
    }
    for (size_t i = 0; row->choices[i] != NULL; i++)
        if (is_whole(row->choices[i])) {
            put_text(w, ", ");
            put_text(w, row->choices[i]);
        }
    put_text(w, "]");
}

static void put_default(writer *w, const imp_param *row, bool *first)
{
    char text[96];
    if (row->presence != IMP_DEFAULT)
        return;
    if (row->kind == IMP_FLAG) {
        key(w, "default", first);
        put_text(w, row->fallback != 0.0 ? "true" : "false");
    } else if (row->kind == IMP_NUMBER && row->dimension == IMP_PURE)
        number_member(w, "default", row->fallback, first);
    else
        string_member(w, "default", imp_param_format(row, row->fallback, -1, text, sizeof text), first);
}

/* ---- structure ---- */

static void put_value(writer *w, const imp_param *row);

static void put_record(writer *w, const imp_param *rows, bool *first)
{
    string_member(w, "type", "object", first);
    key(w, "properties", first);
    open_brace(w);
    bool first_row = true, any_required = false;
    for (const imp_param *row = rows; row->name != NULL; row++) {
        key(w, row->name, &first_row);
        put_value(w, row);
        any_required = any_required || row->presence == IMP_REQUIRED;
    }
    close_brace(w);
    if (any_required) {
        bool first_name = true;
        key(w, "required", first);
        put_text(w, "[");
        for (const imp_param *row = rows; row->name != NULL; row++) {
            if (row->presence != IMP_REQUIRED)
                continue;
            put_text(w, first_name ? "" : ", ");
            put_string(w, row->name);
            first_name = false;
        }
        put_text(w, "]");
    }
    key(w, "additionalProperties", first);
    put_text(w, "false");
}

static void put_items(writer *w, const imp_param *row, bool *first)
{
    bool first_item = true;
    string_member(w, "type", "array", first);
    number_member(w, "minItems", 1, first);
    number_member(w, "maxItems", IMP_DOCUMENT_MOST_ITEMS, first);
    key(w, "items", first);
    open_brace(w);
    if (row->kind == IMP_LIST)
        put_quantity(w, row, &first_item);
    else
        put_record(w, row->rows, &first_item);
    close_brace(w);
}

static void put_file_or_record(writer *w, const imp_param *row, bool *first)
{
    char reference[80];
    bool first_way = true;
    snprintf(reference, sizeof reference, "#/$defs/%s", row->name);
    key(w, "anyOf", first);
    put_text(w, "[");
    open_brace(w);
    string_member(w, "type", "string", &first_way);
    string_member(w, "pattern", FILE_PATTERN, &first_way);
    close_brace(w);
    put_text(w, ", ");
    open_brace(w);
    first_way = true;
    string_member(w, "$ref", reference, &first_way);
    close_brace(w);
    put_text(w, "]");
}

static void put_value(writer *w, const imp_param *row)
{
    bool first = true;
    open_brace(w);
    describe(w, row, &first);
    switch (row->kind) {
    case IMP_NUMBER:
        put_quantity(w, row, &first);
        break;
    case IMP_CHOICE:
        put_choices(w, row, &first);
        break;
    case IMP_LIST:
    case IMP_TABLE:
        put_items(w, row, &first);
        break;
    case IMP_RECORD:
        put_record(w, row->rows, &first);
        break;
    case IMP_TEXT:
        string_member(w, "type", "string", &first);
        string_member(w, "pattern", "[^ \\t\\r\\n]", &first);
        number_member(w, "maxLength", IMP_DOCUMENT_LONGEST_TEXT, &first);
        break;
    case IMP_FLAG:
        string_member(w, "type", "boolean", &first);
        break;
    case IMP_DATE:
        string_member(w, "type", "string", &first);
        string_member(w, "format", "date", &first);
        string_member(w, "pattern", DATE_PATTERN, &first);
        break;
    case IMP_FILE_OR_RECORD:
        put_file_or_record(w, row, &first);
        break;
    }
    put_default(w, row, &first);
    close_brace(w);
}

/* The documents that rows of this one may hold inline. */
static void put_definitions(writer *w, const imp_param *rows, bool *first)
{
    bool any = false, first_name = true;
    for (const imp_param *row = rows; row->name != NULL; row++) {
        if (row->kind != IMP_FILE_OR_RECORD)
            continue;
        if (!any) {
            key(w, "$defs", first);
            open_brace(w);
            any = true;
        }
        bool first_member = true;
        key(w, row->name, &first_name);
        open_brace(w);
        put_record(w, row->rows, &first_member);
        close_brace(w);
    }
    if (any)
        close_brace(w);
}

imp_status imp_schema_write(imp_document_kind kind, const imp_allocator *allocator, char **text, size_t *length,
                            imp_error *error)
{
    const imp_param *row = imp_document_root_row(kind);
    writer w = {.allocator = allocator};
    char title[80];
    bool first = true;
    snprintf(title, sizeof title, "impinge %s document, format %d", row->name, IMP_DOCUMENT_VERSION);
    open_brace(&w);
    string_member(&w, "$schema", "https://json-schema.org/draft/2020-12/schema", &first);
    string_member(&w, "title", title, &first);
    string_member(&w, "description", row->help, &first);
    put_record(&w, row->rows, &first);
    put_definitions(&w, row->rows, &first);
    close_brace(&w);
    put_text(&w, "\n");
    if (w.failed) {
        imp_release(allocator, w.text);
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory while writing the %s schema", row->name);
    }
    *text = w.text;
    *length = w.length;
    return IMP_OK;
}
