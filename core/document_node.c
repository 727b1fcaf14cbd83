/* Read values: finding them by path and freeing them. */
#include "document.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "field_table.h"

static const imp_param documents[IMP_DOCUMENT_KIND_COUNT] = {
    [IMP_MATERIAL] = {.name = "material", .kind = IMP_RECORD, .rows = imp_material_rows, .help = "A two-part material"},
    [IMP_RIG] = {.name = "rig", .kind = IMP_RECORD, .rows = imp_rig_rows, .help = "A spray rig"},
    [IMP_JOB] = {.name = "job", .kind = IMP_RECORD, .rows = imp_job_rows, .help = "A job on its day"},
};

const imp_param *imp_document_root_row(imp_document_kind kind)
{
    return &documents[kind];
}

const imp_param *imp_document_rows(imp_document_kind kind)
{
    return documents[kind].rows;
}

const char *imp_document_name(imp_document_kind kind)
{
    return documents[kind].name;
}

/* One step of a path: a name, and the number of an item behind it (0 = none). */
typedef struct step {
    char name[IMP_PLACE_SIZE];
    size_t item;
} step;

/* Take the step at *path and move behind it and its dot. False when it is not of the form name or name[n]. */
static bool take_step(const char **path, step *taken)
{
    const size_t length = strcspn(*path, ".[");
    if (length == 0 || length >= sizeof taken->name)
        return false;
    memcpy(taken->name, *path, length);
    taken->name[length] = '\0';
    taken->item = 0;
    const char *at = *path + length;
    if (*at == '[') {
        char *end = NULL;
        const unsigned long item = at[1] >= '0' && at[1] <= '9' ? strtoul(at + 1, &end, 10) : 0;
        if (item == 0 || *end != ']')
            return false;
        taken->item = item;
        at = end + 1;
    }
    if (*at != '\0' && (*at != '.' || at[1] == '\0'))
        return false;
    *path = *at == '.' ? at + 1 : at;
    return true;
}

const imp_param *imp_document_row(imp_document_kind kind, const char *path)
{
    const imp_param *row = NULL, *rows = imp_document_rows(kind);
    for (step s; *path != '\0'; rows = row->rows) {
        if (rows == NULL || !take_step(&path, &s))
            return NULL;
        row = imp_param_find(rows, s.name);
        if (row == NULL)
            return NULL;
    }
    return row;
}

/* The path up to `end`, for messages. */
static char *path_so_far(const char *path, const char *end, char *text)
{
    size_t length = (size_t)(end - path);
    while (length > 0 && path[length - 1] == '.')
        length--;
    snprintf(text, IMP_PLACE_SIZE, "%.*s", (int)(length < IMP_PLACE_SIZE ? length : IMP_PLACE_SIZE - 1), path);
    return text;
}

const imp_node *imp_node_find(const imp_node *root, const char *path, imp_error *error)
{
    const imp_node *node = root;
    char place[IMP_PLACE_SIZE];
    for (const char *at = path; *at != '\0';) {
        step s;
        if (!take_step(&at, &s)) {
            imp_fail(error, IMP_UNKNOWN, path, "not a path such as \"site.air_temperature\" or \"rig.hose.taps[1]\"");
            return NULL;
        }
        path_so_far(path, at, place);
        const imp_param *rows = node->kind == IMP_RECORD ? node->row->rows : NULL;
        const imp_param *row = imp_param_find(rows, s.name);
        if (row == NULL) {
            const char *nearest = imp_param_nearest(rows, s.name);
            imp_fail(error, IMP_UNKNOWN, place,
                     nearest != NULL ? "unknown field; did you mean \"%s\"?" : "unknown field%s",
                     nearest != NULL ? nearest : "");
            return NULL;
        }
        node = &node->children[row - rows];
        if (s.item > 0 && ((node->kind != IMP_LIST && node->kind != IMP_TABLE) || s.item > node->count)) {
            imp_fail(error, IMP_UNKNOWN, place, "there is no such item");
            return NULL;
        }
        if (s.item > 0)
            node = &node->children[s.item - 1];
    }
    return node;
}

bool imp_node_has_value(const imp_node *node)
{
    return node != NULL && (node->given || node->is_default);
}

static void free_content(imp_node *node, const imp_allocator *allocator)
{
    for (size_t i = 0; i < node->count; i++)
        free_content(&node->children[i], allocator);
    imp_release(allocator, node->children);
    imp_release(allocator, node->text);
}

void imp_node_free(imp_node *node, const imp_allocator *allocator)
{
    if (node == NULL)
        return;
    free_content(node, allocator);
    imp_release(allocator, node);
}
