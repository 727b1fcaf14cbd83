#include "argument.h"

#include <cjson/cJSON.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "json_scan.h"
#include "number.h"
#include "quantity.h"

enum { MOST_ITEMS = 4096 };

static imp_status refuse(const imp_param *row, imp_status status, const char *text, imp_error *error)
{
    char expected[200];
    imp_param_expected(row, expected, sizeof expected);
    return imp_fail(error, status, row->name, "expected %s, got \"%s\"", expected, text);
}

static imp_status read_number(const imp_param *row, const char *text, imp_value *value, imp_error *error)
{
    imp_quantity quantity;
    char written[80];
    const imp_status status = imp_quantity_parse(text, strlen(text), &quantity, NULL, error);
    if (status != IMP_OK) {
        if (error != NULL) {
            char reason[IMP_MESSAGE_SIZE], expected[160];
            memcpy(reason, error->message, sizeof reason);
            imp_param_expected(row, expected, sizeof expected);
            imp_fail(error, status, row->name, "expected %s, got \"%s\": %.200s", expected, text, reason);
        }
        return status;
    }
    snprintf(written, sizeof written, "\"%.70s\"", text);
    memcpy(value->currency, quantity.dimension.currency, sizeof value->currency);
    return imp_param_accept(row, &quantity, written, &value->number, error);
}

static imp_status read_choice(const imp_param *row, const char *text, imp_value *value, imp_error *error)
{
    const int index = imp_param_choice(row, text);
    if (index < 0)
        return refuse(row, IMP_UNKNOWN, text, error);
    value->number = index;
    return IMP_OK;
}

static imp_value *new_items(imp_arena *arena, const imp_param *row, size_t count, imp_status *status, imp_error *error)
{
    if (count > MOST_ITEMS) {
        *status = imp_fail(error, IMP_LIMIT, row->name, "more than %d items", MOST_ITEMS);
        return NULL;
    }
    imp_value *items = imp_arena_allocate(arena, count, sizeof *items);
    *status = items != NULL ? IMP_OK : imp_fail(error, IMP_MEMORY, row->name, "out of memory");
    return items;
}

/* A JSON scalar as the text a person would have typed. */
static const char *scalar_text(const cJSON *item, char *buffer, size_t size)
{
    if (cJSON_IsString(item))
        return item->valuestring;
    if (cJSON_IsNumber(item))
        return imp_number_write(item->valuedouble, 0, buffer, size);
    if (cJSON_IsBool(item))
        return cJSON_IsTrue(item) ? "true" : "false";
    return NULL;
}

static imp_status read_json(const imp_param *row, const cJSON *json, imp_arena *arena, imp_value *value, imp_error *error);

static size_t row_count(const imp_param *rows)
{
    size_t count = 0;
    while (rows[count].name != NULL)
        count++;
    return count;
}

static imp_status read_record(const imp_param *rows, const cJSON *json, imp_arena *arena, imp_value *fields, imp_error *error)
{
    if (!cJSON_IsObject(json))
        return imp_fail(error, IMP_TYPE, NULL, "expected a record in braces");
    for (const cJSON *member = json->child; member != NULL; member = member->next) {
        const imp_param *field = imp_param_find(rows, member->string);
        if (field == NULL) {
            const char *nearest = imp_param_nearest(rows, member->string);
            return imp_fail(error, IMP_UNKNOWN, member->string, nearest != NULL ? "unknown name; did you mean \"%s\"?" : "unknown name%s",
                            nearest != NULL ? nearest : "");
        }
        const imp_status status = read_json(field, member, arena, &fields[field - rows], error);
        if (status != IMP_OK)
            return status;
    }
    for (size_t i = 0; rows[i].name != NULL; i++) {
        if (!fields[i].given && rows[i].presence == IMP_DEFAULT)
            fields[i] = (imp_value){.number = rows[i].fallback, .given = true};
        else if (!fields[i].given && rows[i].presence == IMP_REQUIRED && rows[i].kind != IMP_TEXT) /* no calculation needs a name */
            return imp_fail(error, IMP_MISSING, rows[i].name, "missing");
    }
    return IMP_OK;
}

static imp_status read_nested_record(const imp_param *row, const cJSON *json, imp_arena *arena, imp_value *value,
                                     imp_error *error)
{
    const size_t count = row_count(row->rows);
    imp_status status;
    imp_value *fields = new_items(arena, row, count, &status, error);
    if (status != IMP_OK)
        return status;
    status = read_record(row->rows, json, arena, fields, error);
    if (status != IMP_OK) {
        imp_error_prefix(error, row->name, ".");
        return status;
    }
    *value = (imp_value){.items = fields, .count = count};
    return IMP_OK;
}

static imp_status read_array(const imp_param *row, const cJSON *json, imp_arena *arena, imp_value *value, imp_error *error)
{
    if (!cJSON_IsArray(json))
        return imp_fail(error, IMP_TYPE, row->name, "expected a list in square brackets");
    const size_t count = (size_t)cJSON_GetArraySize(json);
    const size_t fields = row->kind == IMP_TABLE ? row_count(row->rows) : 1;
    imp_status status;
    imp_value *items = new_items(arena, row, count * fields, &status, error);
    size_t at = 0;
    for (const cJSON *item = json->child; status == IMP_OK && item != NULL; item = item->next, at++) {
        char buffer[IMP_NUMBER_TEXT_SIZE], place[96];
        const char *text = scalar_text(item, buffer, sizeof buffer);
        if (row->kind == IMP_TABLE)
            status = read_record(row->rows, item, arena, items + at * fields, error);
        else if (text != NULL)
            status = read_number(row, text, &items[at], error);
        else
            status = imp_fail(error, IMP_TYPE, NULL, "expected a number with its unit");
        items[at * fields].given = row->kind == IMP_LIST || items[at * fields].given;
        if (status != IMP_OK) {
            snprintf(place, sizeof place, "%s[%zu]", row->name, at + 1);
            if (row->kind == IMP_LIST && error != NULL)
                error->place[0] = '\0';
            imp_error_prefix(error, place, ".");
        }
    }
    if (status == IMP_OK)
        *value = (imp_value){.items = items, .count = count};
    return status;
}

static imp_status read_json(const imp_param *row, const cJSON *json, imp_arena *arena, imp_value *value, imp_error *error)
{
    imp_status status;
    char buffer[IMP_NUMBER_TEXT_SIZE];
    const char *text = scalar_text(json, buffer, sizeof buffer);
    if (row->kind == IMP_LIST || row->kind == IMP_TABLE)
        status = read_array(row, json, arena, value, error);
    else if (row->kind == IMP_RECORD || row->kind == IMP_FILE_OR_RECORD)
        status = read_nested_record(row, json, arena, value, error);
    else if (text == NULL)
        status = imp_fail(error, IMP_TYPE, row->name, "expected a number or a text");
    else
        return imp_argument_read(row, text, arena, value, error);
    value->given = status == IMP_OK;
    return status;
}

/* What cJSON could not read: text that is no JSON, or, where it is JSON, for lack of memory. */
static imp_status refuse_json(const imp_param *row, const char *text, imp_error *error)
{
    imp_json_scan scan;
    imp_issues issues;
    imp_issues_init(&issues, NULL);
    const imp_status status = imp_json_scan_text("", text, strlen(text), NULL, &scan, &issues);
    imp_json_scan_free(&scan);
    imp_issues_free(&issues);
    if (status == IMP_OK || status == IMP_MEMORY)
        return imp_fail(error, IMP_MEMORY, row->name, "out of memory");
    return imp_fail(error, IMP_SYNTAX, row->name, "not readable as JSON: \"%.80s\"", text);
}

static imp_status read_json_text(const imp_param *row, const char *text, imp_arena *arena, imp_value *value, imp_error *error)
{
    cJSON *json = cJSON_ParseWithOpts(text, NULL, 1); /* 1: nothing may follow */
    if (json == NULL)
        return refuse_json(row, text, error);
    const imp_status status = row->kind == IMP_LIST || row->kind == IMP_TABLE
                                  ? read_array(row, json, arena, value, error)
                                  : read_nested_record(row, json, arena, value, error);
    cJSON_Delete(json);
    return status;
}

/* "40 V, 75 V": items between commas or semicolons */
static imp_status read_plain_list(const imp_param *row, const char *text, imp_arena *arena, imp_value *value, imp_error *error)
{
    size_t count = 1;
    for (const char *at = text; *at != '\0'; at++)
        count += *at == ',' || *at == ';';
    imp_status status;
    imp_value *items = new_items(arena, row, count, &status, error);
    const char *at = text;
    for (size_t i = 0; status == IMP_OK && i < count; i++) {
        const size_t length = strcspn(at, ",;");
        char *item = imp_arena_copy_text(arena, at, length);
        if (item == NULL)
            return imp_fail(error, IMP_MEMORY, row->name, "out of memory");
        status = read_number(row, item, &items[i], error);
        items[i].given = true;
        at += length + 1;
    }
    if (status == IMP_OK)
        *value = (imp_value){.items = items, .count = count};
    return status;
}

imp_status imp_argument_read(const imp_param *row, const char *text, imp_arena *arena, imp_value *value, imp_error *error)
{
    imp_value read = {.number = 0.0};
    imp_status status = IMP_OK;
    switch (row->kind) {
    case IMP_NUMBER:
        status = read_number(row, text, &read, error);
        break;
    case IMP_CHOICE:
        status = read_choice(row, text, &read, error);
        break;
    case IMP_LIST:
        status = text[strspn(text, " \t")] == '[' ? read_json_text(row, text, arena, &read, error)
                                                  : read_plain_list(row, text, arena, &read, error);
        break;
    case IMP_TABLE:
    case IMP_RECORD:
    case IMP_FILE_OR_RECORD:
        status = read_json_text(row, text, arena, &read, error);
        break;
    case IMP_FLAG:
        if (strcmp(text, "true") != 0 && strcmp(text, "false") != 0)
            status = refuse(row, IMP_TYPE, text, error);
        read.number = strcmp(text, "true") == 0;
        break;
    case IMP_TEXT:
    case IMP_DATE:
        read.text = imp_arena_copy_text(arena, text, strlen(text));
        status = read.text != NULL ? IMP_OK : imp_fail(error, IMP_MEMORY, row->name, "out of memory");
        break;
    default:
        status = refuse(row, IMP_TYPE, text, error);
        break;
    }
    if (status == IMP_OK) {
        read.given = true;
        *value = read;
    }
    return status;
}

static imp_status refuse_name(const imp_calc *calc, const char *name, imp_error *error)
{
    const char *nearest = imp_calc_nearest_input(calc, name);
    if (nearest != NULL)
        return imp_fail(error, IMP_UNKNOWN, name, "unknown input; did you mean \"%s\"?", nearest);
    return imp_fail(error, IMP_UNKNOWN, name, "unknown input; \"impinge explain %s\" lists them", calc->id);
}

imp_status imp_arguments_read(const imp_calc *calc, size_t count, const char *const names[], const char *const texts[],
                              imp_arena *arena, imp_value *in, imp_error *error)
{
    imp_status status = IMP_OK;
    for (size_t i = 0; i < calc->input_count; i++)
        in[i] = (imp_value){.number = (double)NAN};
    for (size_t i = 0; status == IMP_OK && i < count; i++) {
        size_t index = 0;
        const imp_param *row = imp_calc_input(calc, names[i], &index);
        if (row == NULL)
            status = refuse_name(calc, names[i], error);
        else if (in[index].given)
            status = imp_fail(error, IMP_SYNTAX, names[i], "given twice");
        else
            status = imp_argument_read(row, texts[i], arena, &in[index], error);
    }
    if (status != IMP_OK)
        imp_error_prefix(error, calc->id, ": ");
    return status;
}
