/* document.h — reading material, rig and job documents: strict JSON against the field tables.
 *
 * The field tables (field_table_*.c) are rows like those of the calculations. The reader, its messages, the JSON
 * Schemas and the manual all come from them. Everything is SI once read. Paths are dotted, items count from 1:
 * "material.iso.viscosity[2].temperature". */
#ifndef IMP_DOCUMENT_H
#define IMP_DOCUMENT_H

#include "issue.h"
#include "memory.h"
#include "param.h"
#include "status.h"

typedef enum imp_document_kind { IMP_MATERIAL, IMP_RIG, IMP_JOB } imp_document_kind;
enum { IMP_DOCUMENT_KIND_COUNT = 3 };

/* The version of the documents' format that this program reads: the value of the key "impinge". */
enum { IMP_DOCUMENT_VERSION = 1 };
/* Most items of one list, most bytes of one text. */
enum { IMP_DOCUMENT_MOST_ITEMS = 1000, IMP_DOCUMENT_LONGEST_TEXT = 4000 };

/* One read value, or the place of one that was not given.
 * Every field of a record has its node, so that known paths are always found: given says whether the document has it,
 * is_default that it does not and the row's default stands in. */
typedef struct imp_node {
    const imp_param *row; /* never NULL; an item of a list or table has the row of its list or table */
    imp_kind kind; /* the row's; IMP_RECORD for an item of a table and for a file or record; IMP_NUMBER for an item of a
                      list */
    double number; /* number: SI; choice: index; flag: 0 or 1; date: days since 1970-01-01 */
    char *text;    /* text and date; number: as written; file or record: the file's name, or NULL when inline */
    imp_unit unit; /* number: as written; of no meaning when not given */
    struct imp_node *children; /* record: one a row, in the rows' order; list and table: the items */
    size_t count;
    bool given;
    bool is_default;
    unsigned line, column; /* of the value in its file; 0 when not given */
} imp_node;

/* Rows of a document, ended by a row without name. */
const imp_param *imp_document_rows(imp_document_kind kind);
/* The row of a whole document: its name, kind IMP_RECORD and its rows. */
const imp_param *imp_document_root_row(imp_document_kind kind);
/* "material", "rig", "job": also the value of the optional key "kind". */
const char *imp_document_name(imp_document_kind kind);
/* Row of a dotted path ("hoses.sections", "material.iso.viscosity.temperature"; [n] is skipped), or NULL. */
const imp_param *imp_document_row(imp_document_kind kind, const char *path);

/* Reads a file that a document names, relative to the document's folder. *text comes from `allocator` and belongs to
 * the caller then. The name has been checked: a relative path without "..", separated by "/". */
typedef struct imp_document_loader {
    imp_status (*load)(void *context, const char *name, const imp_allocator *allocator, char **text, size_t *length,
                       imp_error *error);
    void *context;
} imp_document_loader;

/* Read a document. text need not be terminated; file_name is used in messages only. loader may be NULL: then a rig or
 * material must be inline. allocator may be NULL: the default. issues must be initialised; they are added to.
 * IMP_OK: *root is the document, to be freed with imp_node_free. Else *root is untouched and issues hold every fault
 * of the document and of the files it names; the status is the first fault's, or IMP_MEMORY (issues then incomplete).
 * cJSON builds the tree and takes its memory from its own hooks, by default malloc. */
imp_status imp_document_read(imp_document_kind kind, const char *file_name, const char *text, size_t length,
                             const imp_document_loader *loader, const imp_allocator *allocator, imp_node **root,
                             imp_issues *issues);

/* Free a root. node may be NULL; allocator as given to the read. */
void imp_node_free(imp_node *node, const imp_allocator *allocator);

/* Node of a dotted path below root ("site.air_temperature", "material.iso.viscosity[2].temperature"), given or not.
 * NULL with IMP_UNKNOWN in error (may be NULL) when no field has this name, naming the nearest, or the list has no such
 * item. */
const imp_node *imp_node_find(const imp_node *root, const char *path, imp_error *error);

/* True where a value stands: given, or filled by a default. node may be NULL: false. */
bool imp_node_has_value(const imp_node *node);

#endif
