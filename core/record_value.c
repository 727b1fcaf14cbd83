#include "record_value.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct taking {
    imp_arena *arena;
    char *currency;
    imp_error *error;
} taking;

static imp_status take(taking *run, const imp_node *node, const imp_param *row, imp_value *value);

static size_t row_count(const imp_param *rows)
{
    size_t count = 0;
    while (rows[count].name != NULL)
        count++;
    return count;
}

static bool is_record(imp_kind kind)
{
    return kind == IMP_RECORD || kind == IMP_FILE_OR_RECORD;
}

static imp_value *new_items(taking *run, size_t count)
{
    imp_value *items = imp_arena_allocate(run->arena, count > 0 ? count : 1, sizeof *items);
    if (items == NULL)
        imp_fail(run->error, IMP_MEMORY, NULL, "out of memory");
    return items;
}

static imp_status refuse(const taking *run, const imp_param *row)
{
    char expected[200];
    return imp_fail(run->error, IMP_TYPE, row->name, "expected %s; the document's field of this name is another",
                    imp_param_expected(row, expected, sizeof expected));
}

/* ---- single values ---- */

static imp_status take_number(taking *run, const imp_node *node, const imp_param *row, imp_value *value)
{
    value->number = node->number;
    if (node->row != row && node->row->dimension != row->dimension)
        return refuse(run, row);
    const char *currency = node->given ? node->unit.dimension.currency : "";
    if (currency[0] != '\0' && run->currency[0] != '\0' && strcmp(currency, run->currency) != 0)
        return imp_fail(run->error, IMP_DIMENSION_MISMATCH, row->name, "is in %s where another amount is in %s", currency,
                        run->currency);
    if (currency[0] != '\0') {
        memcpy(value->currency, currency, sizeof value->currency);
        memcpy(run->currency, currency, sizeof value->currency);
    }
    return node->row == row ? IMP_OK : imp_check(row, node->number, run->error); /* its own row it has passed */
}

static imp_status take_choice(const taking *run, const imp_node *node, const imp_param *row, imp_value *value)
{
    const char *text = node->row->choices[(size_t)node->number];
    const int index = node->row->choices == row->choices ? (int)node->number : imp_param_choice(row, text);
    if (index < 0)
        return imp_fail(run->error, IMP_UNKNOWN, row->name, "has no choice \"%.60s\"", text);
    value->number = index;
    return IMP_OK;
}

/* ---- records and lists ---- */

/* The field of a record for a row, or NULL: at the same place where both have the same rows, else by name. */
static const imp_node *field(const imp_node *record, const imp_param *row, size_t place)
{
    if (place < record->count && record->children[place].row == row)
        return &record->children[place];
    for (size_t i = 0; i < record->count; i++)
        if (strcmp(record->children[i].row->name, row->name) == 0)
            return &record->children[i];
    return NULL;
}

static imp_status take_fields(taking *run, const imp_node *record, const imp_param *rows, imp_value *fields)
{
    for (size_t i = 0; rows[i].name != NULL; i++) {
        const imp_node *node = field(record, &rows[i], i);
        const bool stands = node != NULL && (is_record(node->kind) ? node->given : imp_node_has_value(node));
        if (stands) {
            const imp_status status = take(run, node, &rows[i], &fields[i]);
            if (status != IMP_OK)
                return status;
        } else {
            fields[i].number = rows[i].presence == IMP_DEFAULT ? rows[i].fallback : (double)NAN;
            fields[i].given = rows[i].presence == IMP_DEFAULT;
        }
    }
    return IMP_OK;
}

static imp_status take_items(taking *run, const imp_node *node, const imp_param *row, imp_value *value)
{
    const size_t fields = row->kind == IMP_TABLE ? row_count(row->rows) : 1;
    imp_value *items = new_items(run, node->count * fields);
    imp_status status = items != NULL ? IMP_OK : IMP_MEMORY;
    for (size_t i = 0; status == IMP_OK && i < node->count; i++) {
        const imp_node *item = &node->children[i];
        if (row->kind == IMP_TABLE)
            status = take_fields(run, item, row->rows, &items[i * fields]);
        else
            status = take_number(run, item, row, &items[i]);
        items[i * fields].given = items[i * fields].given || row->kind == IMP_LIST;
        if (status != IMP_OK) {
            char place[IMP_PLACE_SIZE];
            snprintf(place, sizeof place, "%s[%zu]%s", row->name, i + 1, row->kind == IMP_TABLE ? "." : "");
            if (row->kind == IMP_LIST && run->error != NULL)
                run->error->place[0] = '\0';
            imp_error_prefix(run->error, place, "");
        }
    }
    value->items = items;
    value->count = node->count;
    return status;
}

static imp_status take_record(taking *run, const imp_node *node, const imp_param *row, imp_value *value)
{
    imp_value *fields = new_items(run, row_count(row->rows));
    if (fields == NULL)
        return IMP_MEMORY;
    const imp_status status = take_fields(run, node, row->rows, fields);
    if (status != IMP_OK)
        imp_error_prefix(run->error, row->name, ".");
    value->items = fields;
    value->count = row_count(row->rows);
    return status;
}

static imp_status take(taking *run, const imp_node *node, const imp_param *row, imp_value *value)
{
    imp_value taken = {.number = 0.0, .given = true};
    imp_status status = IMP_OK;
    if (node->kind != row->kind && !(is_record(node->kind) && is_record(row->kind)))
        return refuse(run, row);
    switch (row->kind) {
    case IMP_NUMBER:
        status = take_number(run, node, row, &taken);
        break;
    case IMP_CHOICE:
        status = take_choice(run, node, row, &taken);
        break;
    case IMP_LIST:
    case IMP_TABLE:
        status = take_items(run, node, row, &taken);
        break;
    case IMP_RECORD:
    case IMP_FILE_OR_RECORD:
        status = take_record(run, node, row, &taken);
        break;
    case IMP_FLAG:
        taken.number = node->number;
        break;
    case IMP_TEXT:
    case IMP_DATE:
        taken.number = node->number;
        taken.text = node->text;
        break;
    }
    if (status == IMP_OK)
        *value = taken;
    return status;
}

imp_status imp_record_fields(const imp_node *record, const imp_param *rows, imp_arena *arena, imp_value *fields,
                             char currency[4], imp_error *error)
{
    taking run = {.arena = arena, .currency = currency, .error = error};
    return take_fields(&run, record, rows, fields);
}
