#include "document.h"

#include <cjson/cJSON.h>
#include <math.h>
#include <stdatomic.h>
#include <stdio.h>
#include <string.h>

#include "document_check.h"
#include "field_table.h"
#include "json_scan.h"
#include "number.h"
#include "quantity.h"

/* What the documents of one reading share. */
typedef struct reading {
    const imp_document_loader *loader;
    const imp_allocator *allocator;
    imp_issues *issues;
    imp_status status; /* of the first fault; IMP_MEMORY wins */
} reading;

/* One file. */
typedef struct reader {
    reading *all;
    const char *file;
    const char *text;
    const imp_json_scan *scan;
    char path[IMP_PLACE_SIZE]; /* of the value being read */
} reader;

/* ---- faults ---- */

static void note(reading *all, imp_status status)
{
    if (all->status == IMP_OK || status == IMP_MEMORY)
        all->status = status;
}

static void refuse(reader *r, size_t at, imp_status status, const char *message)
{
    const imp_json_place *place = &r->scan->places[at];
    if (r->all->status == IMP_MEMORY)
        return; /* what is missing then may only not have been read */
    note(r->all, imp_issues_add(r->all->issues, status, r->file, place->line, place->column, r->path, "%s", message));
}

enum { SHOWN = 60, SHOWN_SIZE = SHOWN + 24 };

/* What was found, for messages: "12 bar" in quotes, the number 14, true, null, a list, a record. */
static const char *found(const reader *r, size_t at, const cJSON *item, char *text)
{
    const imp_json_place *place = &r->scan->places[at];
    char shown[SHOWN_SIZE];
    if (cJSON_IsString(item))
        snprintf(text, SHOWN_SIZE, "\"%s\"", imp_shown_text(item->valuestring, strlen(item->valuestring), SHOWN, shown));
    else if (cJSON_IsNumber(item))
        snprintf(text, SHOWN_SIZE, "the number %s", imp_shown_text(r->text + place->start, place->end - place->start, SHOWN, shown));
    else if (cJSON_IsNull(item))
        snprintf(text, SHOWN_SIZE, "null");
    else if (cJSON_IsBool(item))
        snprintf(text, SHOWN_SIZE, cJSON_IsTrue(item) ? "true" : "false");
    else
        snprintf(text, SHOWN_SIZE, cJSON_IsArray(item) ? "a list" : "a record");
    return text;
}

static void refuse_found(reader *r, size_t at, imp_status status, const char *expected, const cJSON *item, const char *hint)
{
    char message[IMP_MESSAGE_SIZE], got[SHOWN_SIZE];
    snprintf(message, sizeof message, "expected %s, got %s%s", expected, found(r, at, item, got), hint);
    refuse(r, at, status, message);
}

/* The value is of another kind than the row's. */
static void refuse_kind(reader *r, size_t at, const imp_param *row, const cJSON *item)
{
    char expected[240];
    imp_param_expected(row, expected, sizeof expected);
    refuse_found(r, at, IMP_TYPE, expected, item, cJSON_IsNull(item) ? "; leave out what is not known" : "");
}

/* ---- single values ---- */

static bool keep_text(reader *r, imp_node *node, const char *text, size_t length)
{
    node->text = imp_copy_text(r->all->allocator, text, length);
    if (node->text == NULL)
        note(r->all, IMP_MEMORY);
    return node->text != NULL;
}

static void refuse_quantity_text(reader *r, size_t at, const imp_param *row, const cJSON *item, const imp_error *error)
{
    const char *text = item->valuestring + strspn(item->valuestring, " \t");
    char expected[240], hint[IMP_MESSAGE_SIZE] = "";
    double value;
    size_t used = 0;
    imp_number_read(text, strlen(text), &value, &used);
    const char *message = error->message; /* which may begin with the text in quotes, and so does ours */
    const size_t length = strlen(item->valuestring);
    if (message[0] == '"' && strncmp(message + 1, item->valuestring, length) == 0 && strncmp(message + 1 + length, "\": ", 3) == 0)
        message += length + 4;
    if (used > 0)
        snprintf(hint, sizeof hint, ": %.200s", message);
    imp_param_expected(row, expected, sizeof expected);
    refuse_found(r, at, error->status, expected, item, hint);
}

/* A bare number where a unit is due: the same number with the customary unit shows what is meant. */
static void refuse_bare_number(reader *r, size_t at, const imp_param *row, const cJSON *item, const char *written)
{
    char expected[240], shown[SHOWN_SIZE];
    snprintf(expected, sizeof expected, "%s such as \"%s %s\"", imp_dimension_name(row->dimension),
             imp_shown_text(written, strlen(written), SHOWN, shown), row->unit);
    refuse_found(r, at, IMP_DIMENSION_MISMATCH, expected, item, "");
}

/* Right kind and in range? Then node->number is written. */
static void accept_quantity(reader *r, size_t at, const imp_param *row, const cJSON *item, const imp_quantity *quantity,
                            imp_node *node)
{
    imp_error error = {.status = IMP_OK};
    char written[SHOWN_SIZE];
    if (!imp_dimension_same(quantity->dimension, imp_dimension_of(row->dimension))) {
        if (imp_dimension_is_pure(quantity->dimension))
            refuse_bare_number(r, at, row, item, node->text);
        else
            refuse_found(r, at, IMP_DIMENSION_MISMATCH, imp_dimension_name(row->dimension), item, "");
        return;
    }
    if (imp_param_accept(row, quantity, found(r, at, item, written), &node->number, &error) != IMP_OK)
        refuse(r, at, error.status, error.message);
}

static void read_number(reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    const imp_json_place *place = &r->scan->places[at];
    imp_quantity quantity = {.si = 0.0};
    node->number = (double)NAN;
    if (cJSON_IsNumber(item)) {
        size_t used = 0;
        imp_number_read(r->text + place->start, place->end - place->start, &quantity.si, &used);
        if (!keep_text(r, node, r->text + place->start, place->end - place->start) || !isfinite(quantity.si))
            return; /* the scan has refused a number that is not finite */
        imp_unit_parse("", 0, &node->unit, NULL);
    } else if (cJSON_IsString(item)) {
        imp_error error = {.status = IMP_OK};
        const size_t length = strlen(item->valuestring);
        if (!keep_text(r, node, item->valuestring, length))
            return;
        if (imp_quantity_parse(item->valuestring, length, &quantity, &node->unit, &error) != IMP_OK) {
            refuse_quantity_text(r, at, row, item, &error);
            return;
        }
    } else {
        refuse_kind(r, at, row, item);
        return;
    }
    accept_quantity(r, at, row, item, &quantity, node);
}

static void read_choice(reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    char number[IMP_NUMBER_TEXT_SIZE];
    int index = -1;
    node->number = (double)NAN;
    if (cJSON_IsString(item))
        index = imp_param_choice(row, item->valuestring);
    else if (cJSON_IsNumber(item)) /* "phases": 3 */
        index = imp_param_choice(row, imp_number_write(item->valuedouble, 0, number, sizeof number));
    if (index >= 0)
        node->number = index;
    else
        refuse_kind(r, at, row, item);
}

static void read_text(reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    if (!cJSON_IsString(item))
        refuse_kind(r, at, row, item);
    else if (item->valuestring[strspn(item->valuestring, " \t\r\n")] == '\0')
        refuse(r, at, IMP_SYNTAX, "expected a text, got an empty one");
    else if (strlen(item->valuestring) > IMP_DOCUMENT_LONGEST_TEXT)
        refuse(r, at, IMP_LIMIT, "a text of more than 4000 bytes");
    else
        keep_text(r, node, item->valuestring, strlen(item->valuestring));
}

static void read_flag(reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    if (cJSON_IsBool(item))
        node->number = cJSON_IsTrue(item) ? 1.0 : 0.0;
    else
        refuse_kind(r, at, row, item);
}

/* Days from 1970-01-01 to a date of the proleptic Gregorian calendar (ISO 8601); false when there is no such day. */
static bool days_of_date(const char *text, double *days)
{
    static const int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    static const char form[] = "dddd-dd-dd";
    if (strlen(text) != sizeof form - 1)
        return false;
    for (size_t i = 0; form[i] != '\0'; i++)
        if (form[i] == 'd' ? text[i] < '0' || text[i] > '9' : text[i] != form[i])
            return false;
    const int year = (text[0] - '0') * 1000 + (text[1] - '0') * 100 + (text[2] - '0') * 10 + (text[3] - '0');
    const int month = (text[5] - '0') * 10 + (text[6] - '0'), day = (text[8] - '0') * 10 + (text[9] - '0');
    const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    if (year < 1 || month < 1 || month > 12 || day < 1 || day > lengths[month - 1] + (leap && month == 2 ? 1 : 0))
        return false;
    const int before = year - 1;
    int count = before * 365 + before / 4 - before / 100 + before / 400 + day - 1;
    for (int m = 1; m < month; m++)
        count += lengths[m - 1] + (leap && m == 2 ? 1 : 0);
    *days = count - 719162; /* days from 0001-01-01 to 1970-01-01 */
    return true;
}

static void read_date(reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    node->number = (double)NAN;
    if (cJSON_IsString(item) && days_of_date(item->valuestring, &node->number))
        keep_text(r, node, item->valuestring, strlen(item->valuestring));
    else
        refuse_kind(r, at, row, item);
}

/* ---- structured values ---- */

static void read_value(reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node);
static void read_file(reading *all, imp_document_kind kind, const char *file, const char *text, size_t length, imp_node *node);

/* Make node the place of a value that is not given; a record has its fields below it. False on lack of memory. */
static bool make_absent(reading *all, const imp_param *row, imp_node *node)
{
    *node = (imp_node){.row = row, .kind = row->kind == IMP_FILE_OR_RECORD ? IMP_RECORD : row->kind};
    if (row->presence == IMP_DEFAULT) {
        node->number = row->fallback;
        node->is_default = true;
    }
    if (node->kind != IMP_RECORD)
        return true;
    size_t count = 0;
    while (row->rows[count].name != NULL)
        count++;
    node->children = imp_allocate(all->allocator, count, sizeof *node->children);
    if (node->children == NULL) {
        note(all, IMP_MEMORY);
        return false;
    }
    node->count = count; /* zeroed children are safe to free */
    for (size_t i = 0; i < count; i++)
        if (!make_absent(all, &row->rows[i], &node->children[i]))
            return false;
    return true;
}

enum { MOST_HINTS = 3, HINT_SIZE = 200 };

/* Name the records exactly `depth` levels below rows that have a field of this name; returns how many there are.
 * `hint` receives the first MOST_HINTS, in quotes. */
static size_t records_with(const imp_param *rows, const char *name, int depth, const char *below, char *hint)
{
    size_t count = 0;
    for (; rows->name != NULL; rows++) {
        if (depth == 0 && strcmp(rows->name, name) == 0) {
            const size_t used = strlen(hint);
            snprintf(hint + used, HINT_SIZE - used, "%s\"%s\"", used > 0 ? " or " : "", below);
            return 1;
        }
        if (depth == 0 || rows->rows == NULL)
            continue;
        char deeper[IMP_PLACE_SIZE], more[HINT_SIZE] = "";
        snprintf(deeper, sizeof deeper, "%.80s%s%.60s", below, below[0] != '\0' ? "." : "", rows->name);
        const size_t found_here = records_with(rows->rows, name, depth - 1, deeper, more);
        const size_t used = strlen(hint);
        if (found_here > 0)
            snprintf(hint + used, HINT_SIZE - used, "%s%s", used > 0 ? " or " : "", more);
        count += found_here;
    }
    return count;
}

/* Why a key is not known here, for the message: a mistyped name, or one that belongs in another record. */
static void key_hint(const imp_param *rows, const char *key, char *hint)
{
    enum { DEEPEST = 4 };
    const char *nearest = imp_param_nearest(rows, key);
    if (nearest != NULL) {
        snprintf(hint, HINT_SIZE, "; did you mean \"%s\"?", nearest);
        return;
    }
    for (int depth = 1; depth <= DEEPEST; depth++) {
        char places[HINT_SIZE] = "";
        const size_t count = records_with(rows, key, depth, "", places);
        if (count > 0 && count <= MOST_HINTS)
            snprintf(hint, HINT_SIZE, "; it belongs in %.160s", places);
        if (count > 0)
            return;
    }
}

static void refuse_key(reader *r, const imp_param *rows, const char *key, size_t at)
{
    const size_t length = strlen(r->path);
    const imp_json_place *place = &r->scan->places[at];
    char hint[HINT_SIZE] = "";
    if (r->all->issues->count < IMP_MOST_ISSUES)
        key_hint(rows, key, hint);
    imp_path_append_key(r->path, key, strlen(key));
    note(r->all, imp_issues_add(r->all->issues, IMP_UNKNOWN, r->file, place->key_line, place->key_column, r->path,
                                "unknown key%s", hint));
    r->path[length] = '\0';
}

static void refuse_missing(reader *r, const imp_param *row, size_t at)
{
    const size_t length = strlen(r->path);
    char expected[240], message[IMP_MESSAGE_SIZE];
    imp_path_append_key(r->path, row->name, strlen(row->name));
    snprintf(message, sizeof message, "missing; expected %s", imp_param_expected(row, expected, sizeof expected));
    refuse(r, at, IMP_MISSING, message);
    r->path[length] = '\0';
}

static void read_record(reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    if (!cJSON_IsObject(item)) {
        refuse_kind(r, at, row, item);
        return;
    }
    const size_t length = strlen(r->path);
    size_t next = at + 1;
    for (const cJSON *member = item->child; member != NULL; next += r->scan->places[next].span, member = member->next) {
        const imp_param *field = imp_param_find(row->rows, member->string);
        if (field == NULL) {
            refuse_key(r, row->rows, member->string, next);
            continue;
        }
        imp_node *child = &node->children[field - row->rows];
        if (child->given)
            continue; /* the scan has refused the repeated key */
        imp_path_append_key(r->path, field->name, strlen(field->name));
        read_value(r, field, member, next, child);
        r->path[length] = '\0';
    }
    for (size_t i = 0; i < node->count; i++)
        if (row->rows[i].presence == IMP_REQUIRED && !node->children[i].given)
            refuse_missing(r, &row->rows[i], at);
}

static void read_items(reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    if (!cJSON_IsArray(item)) {
        refuse_kind(r, at, row, item);
        return;
    }
    const size_t count = (size_t)cJSON_GetArraySize(item), length = strlen(r->path);
    if (count == 0) {
        refuse(r, at, IMP_SYNTAX, "an empty list; leave out what is not known");
        return;
    }
    if (count > IMP_DOCUMENT_MOST_ITEMS) {
        refuse(r, at, IMP_LIMIT, "a list of more than 1000 items");
        return;
    }
    node->children = imp_allocate(r->all->allocator, count, sizeof *node->children);
    if (node->children == NULL) {
        note(r->all, IMP_MEMORY);
        return;
    }
    node->count = count;
    imp_param one = *row; /* an item by itself: what make_absent and messages need to know of it */
    one.kind = row->kind == IMP_LIST ? IMP_NUMBER : IMP_RECORD;
    one.presence = IMP_OPTIONAL;
    size_t next = at + 1, index = 0;
    for (const cJSON *member = item->child; member != NULL; next += r->scan->places[next].span, member = member->next) {
        imp_node *child = &node->children[index++];
        if (!make_absent(r->all, &one, child))
            return;
        imp_path_append_item(r->path, index);
        read_value(r, &one, member, next, child);
        child->row = row;
        r->path[length] = '\0';
    }
}

/* The document that a row of kind file or record holds. */
static imp_document_kind document_of(const imp_param *row)
{
    return row->rows == imp_rig_rows ? IMP_RIG : IMP_MATERIAL;
}

static void load_file(reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    const char *name = item->valuestring;
    const imp_document_loader *loader = r->all->loader;
    char *text = NULL;
    size_t length = 0;
    imp_error error = {.status = IMP_OK};
    if (!imp_is_file_beside(name)) {
        refuse_found(r, at, IMP_SYNTAX, "the name of a file beside this one, without \"..\"", item, "");
        return;
    }
    if (loader == NULL) {
        refuse(r, at, IMP_IO, "files cannot be read here; put the record itself in its place");
        return;
    }
    if (!keep_text(r, node, name, strlen(name)))
        return;
    const imp_status status = loader->load(loader->context, name, r->all->allocator, &text, &length, &error);
    if (status == IMP_MEMORY)
        note(r->all, IMP_MEMORY);
    else if (status != IMP_OK)
        refuse(r, at, status, error.message);
    else
        read_file(r->all, document_of(row), name, text, length, node);
    imp_release(r->all->allocator, text);
}

static bool check_head(reader *r, imp_document_kind kind, const cJSON *item, size_t at);

static void read_document(reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    if (cJSON_IsString(item)) {
        load_file(r, row, item, at, node);
        return;
    }
    if (cJSON_IsObject(item) && !check_head(r, document_of(row), item, at))
        return;
    read_record(r, row, item, at, node);
    if (r->all->status != IMP_MEMORY)
        imp_document_check(document_of(row), node, r->file, r->path, r->all->issues, &r->all->status);
}

static void read_value(reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    if (r->all->status == IMP_MEMORY)
        return;
    node->given = true;
    node->is_default = false;
    node->line = r->scan->places[at].line;
    node->column = r->scan->places[at].column;
    switch (row->kind) {
    case IMP_NUMBER:
        read_number(r, row, item, at, node);
        break;
    case IMP_CHOICE:
        read_choice(r, row, item, at, node);
        break;
    case IMP_LIST:
    case IMP_TABLE:
        read_items(r, row, item, at, node);
        break;
    case IMP_RECORD:
        read_record(r, row, item, at, node);
        break;
    case IMP_TEXT:
        read_text(r, row, item, at, node);
        break;
    case IMP_FLAG:
        read_flag(r, row, item, at, node);
        break;
    case IMP_DATE:
        read_date(r, row, item, at, node);
        break;
    case IMP_FILE_OR_RECORD:
        read_document(r, row, item, at, node);
        break;
    }
}

/* ---- whole files ---- */

/* A document of another kind or of a newer format is said once, instead of a fault for every key. */
static bool check_head(reader *r, imp_document_kind kind, const cJSON *item, size_t at)
{
    const size_t length = strlen(r->path);
    bool right = true;
    size_t next = at + 1;
    for (const cJSON *member = item->child; member != NULL; next += r->scan->places[next].span, member = member->next) {
        char message[120];
        message[0] = '\0';
        if (strcmp(member->string, "impinge") == 0 && cJSON_IsNumber(member) && member->valuedouble > IMP_DOCUMENT_VERSION)
            snprintf(message, sizeof message, "written in format %.9g, and this program reads format %d; use a newer program",
                     member->valuedouble, IMP_DOCUMENT_VERSION);
        if (strcmp(member->string, "kind") == 0 && cJSON_IsString(member))
            for (int other = 0; other < IMP_DOCUMENT_KIND_COUNT; other++)
                if (other != (int)kind && strcmp(member->valuestring, imp_document_name((imp_document_kind)other)) == 0)
                    snprintf(message, sizeof message, "this is a %s, expected a %s", imp_document_name((imp_document_kind)other),
                             imp_document_name(kind));
        if (message[0] == '\0')
            continue;
        imp_path_append_key(r->path, member->string, strlen(member->string));
        refuse(r, next, IMP_UNKNOWN, message);
        r->path[length] = '\0';
        right = false;
    }
    return right;
}

/* cJSON writes its last error into a static variable at each parse. Nobody here reads it, but two threads may not write
 * it at once. */
static cJSON *build_tree(const char *text, size_t length, const char **end)
{
    static atomic_flag busy = ATOMIC_FLAG_INIT;
    while (atomic_flag_test_and_set_explicit(&busy, memory_order_acquire))
        continue;
    cJSON *tree = cJSON_ParseWithLengthOpts(text, length, end, 0);
    atomic_flag_clear_explicit(&busy, memory_order_release);
    return tree;
}

static void read_tree(reader *r, imp_document_kind kind, const cJSON *tree, imp_node *node)
{
    if (!cJSON_IsObject(tree)) {
        char expected[40];
        snprintf(expected, sizeof expected, "a %s in braces", imp_document_name(kind));
        refuse_found(r, 0, IMP_TYPE, expected, tree, "");
        return;
    }
    if (!check_head(r, kind, tree, 0))
        return;
    node->given = true;
    node->line = r->scan->places[0].line;
    node->column = r->scan->places[0].column;
    read_record(r, imp_document_root_row(kind), tree, 0, node);
    if (r->all->status != IMP_MEMORY)
        imp_document_check(kind, node, r->file, "", r->all->issues, &r->all->status);
}

static void read_file(reading *all, imp_document_kind kind, const char *file, const char *text, size_t length, imp_node *node)
{
    imp_json_scan scan;
    const imp_status status = imp_json_scan_text(file, text, length, all->allocator, &scan, all->issues);
    if (status != IMP_OK)
        note(all, status);
    if (scan.readable && status != IMP_MEMORY) {
        const char *end = NULL;
        cJSON *tree = build_tree(text, length, &end);
        reader r = {.all = all, .file = file, .text = text, .scan = &scan};
        if (tree == NULL)
            note(all, IMP_MEMORY); /* what the scan accepts, cJSON accepts */
        else
            read_tree(&r, kind, tree, node);
        cJSON_Delete(tree);
    }
    imp_json_scan_free(&scan);
}

imp_status imp_document_read(imp_document_kind kind, const char *file_name, const char *text, size_t length,
                             const imp_document_loader *loader, const imp_allocator *allocator, imp_node **root,
                             imp_issues *issues)
{
    reading all = {.loader = loader, .allocator = allocator, .issues = issues, .status = IMP_OK};
    imp_node *node = imp_allocate(allocator, 1, sizeof *node);
    if (node == NULL)
        return IMP_MEMORY;
    if (make_absent(&all, imp_document_root_row(kind), node))
        read_file(&all, kind, file_name, text, length, node);
    if (all.status == IMP_OK) {
        *root = node;
        return IMP_OK;
    }
    imp_node_free(node, allocator);
    if (imp_issues_close(issues, file_name) != IMP_OK)
        note(&all, IMP_MEMORY);
    return all.status;
}
