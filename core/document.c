/* Whole documents: records, lists, files beside, and what is wrong with their keys. */
#include "document.h"

#include <stdatomic.h>
#include <stdio.h>
#include <string.h>

#include "document_check.h"
#include "document_reader.h"
#include "field_table.h"
#include "place_text.h"

static void read_value(imp_reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node);
static void read_file(imp_reading *all, imp_document_kind kind, const char *file, const char *text, size_t length,
                      imp_node *node);

/* Make node the place of a value that is not given; a record has its fields below it. False on lack of memory. */
static bool make_absent(imp_reading *all, const imp_param *row, imp_node *node)
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
        imp_reader_note(all, IMP_MEMORY);
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
 * `hint` receives their paths in quotes, as far as there is room. */
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

static void refuse_key(imp_reader *r, const imp_param *rows, const char *key, size_t at)
{
    const size_t length = strlen(r->path);
    const imp_json_place *place = &r->scan->places[at];
    char hint[HINT_SIZE] = "";
    if (r->all->issues->count < IMP_MOST_ISSUES)
        key_hint(rows, key, hint);
    imp_path_append_key(r->path, key, strlen(key));
    imp_reader_note(r->all, imp_issues_add(r->all->issues, IMP_UNKNOWN, r->file, place->key_line, place->key_column,
                                           r->path, "unknown key%s", hint));
    r->path[length] = '\0';
}

static void refuse_missing(imp_reader *r, const imp_param *row, size_t at)
{
    const size_t length = strlen(r->path);
    char expected[240], message[IMP_MESSAGE_SIZE];
    imp_path_append_key(r->path, row->name, strlen(row->name));
    snprintf(message, sizeof message, "missing; expected %s", imp_param_expected(row, expected, sizeof expected));
    imp_reader_refuse(r, at, IMP_MISSING, message);
    r->path[length] = '\0';
}

static void read_record(imp_reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    if (!cJSON_IsObject(item)) {
        imp_reader_refuse_kind(r, at, row, item);
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

static void read_items(imp_reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    if (!cJSON_IsArray(item)) {
        imp_reader_refuse_kind(r, at, row, item);
        return;
    }
    const size_t count = (size_t)cJSON_GetArraySize(item), length = strlen(r->path);
    if (count == 0) {
        imp_reader_refuse(r, at, IMP_SYNTAX, "an empty list; leave out what is not known");
        return;
    }
    if (count > IMP_DOCUMENT_MOST_ITEMS) {
        imp_reader_refuse(r, at, IMP_LIMIT, "a list of more than 1000 items");
        return;
    }
    node->children = imp_allocate(r->all->allocator, count, sizeof *node->children);
    if (node->children == NULL) {
        imp_reader_note(r->all, IMP_MEMORY);
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

static void load_file(imp_reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    const char *name = item->valuestring;
    const imp_document_loader *loader = r->all->loader;
    char *text = NULL;
    size_t length = 0;
    imp_error error = {.status = IMP_OK};
    if (!imp_is_file_beside(name)) {
        imp_reader_refuse_found(r, at, IMP_SYNTAX, "the name of a file beside this one, without \"..\"", item, "");
        return;
    }
    if (loader == NULL) {
        imp_reader_refuse(r, at, IMP_IO, "files cannot be read here; put the record itself in its place");
        return;
    }
    if (!imp_reader_keep_text(r, node, name, strlen(name)))
        return;
    const imp_status status = loader->load(loader->context, name, r->all->allocator, &text, &length, &error);
    if (status == IMP_MEMORY)
        imp_reader_note(r->all, IMP_MEMORY);
    else if (status != IMP_OK)
        imp_reader_refuse(r, at, status, error.message);
    else
        read_file(r->all, document_of(row), name, text, length, node);
    imp_release(r->all->allocator, text);
}

static bool check_head(imp_reader *r, imp_document_kind kind, const cJSON *item, size_t at);

static void read_document(imp_reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
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

static void read_value(imp_reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node)
{
    if (r->all->status == IMP_MEMORY)
        return;
    node->given = true;
    node->is_default = false;
    node->line = r->scan->places[at].line;
    node->column = r->scan->places[at].column;
    switch (row->kind) {
    case IMP_LIST:
    case IMP_TABLE:
        read_items(r, row, item, at, node);
        break;
    case IMP_RECORD:
        read_record(r, row, item, at, node);
        break;
    case IMP_FILE_OR_RECORD:
        read_document(r, row, item, at, node);
        break;
    default:
        imp_reader_value(r, row, item, at, node);
        break;
    }
}

/* ---- whole files ---- */

/* A document of another kind or of a newer format is said once, instead of a fault for every key. */
static bool check_head(imp_reader *r, imp_document_kind kind, const cJSON *item, size_t at)
{
    const size_t length = strlen(r->path);
    bool right = true;
    size_t next = at + 1;
    for (const cJSON *member = item->child; member != NULL; next += r->scan->places[next].span, member = member->next) {
        char message[120];
        message[0] = '\0';
        if (strcmp(member->string, "impinge") == 0 && cJSON_IsNumber(member) &&
            member->valuedouble > IMP_DOCUMENT_VERSION)
            snprintf(message, sizeof message,
                     "written in format %.9g, and this program reads format %d; use a newer program",
                     member->valuedouble, IMP_DOCUMENT_VERSION);
        if (strcmp(member->string, "kind") == 0 && cJSON_IsString(member))
            for (int other = 0; other < IMP_DOCUMENT_KIND_COUNT; other++)
                if (other != (int)kind && strcmp(member->valuestring, imp_document_name((imp_document_kind)other)) == 0)
                    snprintf(message, sizeof message, "this is a %s, expected a %s",
                             imp_document_name((imp_document_kind)other), imp_document_name(kind));
        if (message[0] == '\0')
            continue;
        imp_path_append_key(r->path, member->string, strlen(member->string));
        imp_reader_refuse(r, next, IMP_UNKNOWN, message);
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

static void read_tree(imp_reader *r, imp_document_kind kind, const cJSON *tree, imp_node *node)
{
    if (!cJSON_IsObject(tree)) {
        char expected[40];
        snprintf(expected, sizeof expected, "a %s in braces", imp_document_name(kind));
        imp_reader_refuse_found(r, 0, IMP_TYPE, expected, tree, "");
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

static void read_file(imp_reading *all, imp_document_kind kind, const char *file, const char *text, size_t length,
                      imp_node *node)
{
    imp_json_scan scan;
    const imp_status status = imp_json_scan_text(file, text, length, all->allocator, &scan, all->issues);
    if (status != IMP_OK)
        imp_reader_note(all, status);
    if (scan.readable && status != IMP_MEMORY) {
        const char *end = NULL;
        cJSON *tree = build_tree(text, length, &end);
        imp_reader r = {.all = all, .file = file, .text = text, .scan = &scan};
        if (tree == NULL)
            imp_reader_note(all, IMP_MEMORY); /* what the scan accepts, cJSON accepts */
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
    imp_reading all = {.loader = loader, .allocator = allocator, .issues = issues, .status = IMP_OK};
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
        imp_reader_note(&all, IMP_MEMORY);
    return all.status;
}
