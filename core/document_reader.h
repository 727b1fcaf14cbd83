/* document_reader.h — one reading of documents, its faults, and its single values; private to the document room. */
#ifndef IMP_DOCUMENT_READER_H
#define IMP_DOCUMENT_READER_H

#include <cjson/cJSON.h>
#include <stdbool.h>

#include "document.h"
#include "json_scan.h"

/* What the documents of one reading share. */
typedef struct imp_reading {
    const imp_document_loader *loader;
    const imp_allocator *allocator;
    imp_issues *issues;
    imp_status status; /* of the first fault; IMP_MEMORY wins */
} imp_reading;

/* One file. */
typedef struct imp_reader {
    imp_reading *all;
    const char *file;
    const char *text;
    const imp_json_scan *scan;
    char path[IMP_PLACE_SIZE]; /* of the value being read */
} imp_reader;

/* In all of these `at` is the index of a value among scan->places. */

/* Keep the status of the first fault; IMP_MEMORY wins. */
void imp_reader_note(imp_reading *all, imp_status status);
/* A fault of the value at r->path. */
void imp_reader_refuse(imp_reader *r, size_t at, imp_status status, const char *message);
/* "expected EXPECTED, got ITEM HINT" */
void imp_reader_refuse_found(imp_reader *r, size_t at, imp_status status, const char *expected, const cJSON *item,
                             const char *hint);
/* The value is of another kind than the row's. */
void imp_reader_refuse_kind(imp_reader *r, size_t at, const imp_param *row, const cJSON *item);

/* Copy text into node->text; false, noted, on lack of memory. */
bool imp_reader_keep_text(imp_reader *r, imp_node *node, const char *text, size_t length);

/* Read a number, choice, text, flag or date into node; faults are noted. */
void imp_reader_value(imp_reader *r, const imp_param *row, const cJSON *item, size_t at, imp_node *node);

#endif
