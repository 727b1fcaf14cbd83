/* schema.h — JSON Schemas of the documents, written from the field tables that the reader uses.
 *
 * Editors complete and check documents with them. They agree with the reader on structure, kinds of value, required and
 * unknown keys, choices and bare numbers; what only the reader judges is the quantity itself (dimension, range),
 * repeated keys, and what fields must satisfy among themselves. */
#ifndef IMP_SCHEMA_H
#define IMP_SCHEMA_H

#include <stddef.h>

#include "document.h"

/* Write the schema of a kind of document (JSON Schema draft 2020-12) into *text, terminated, released with imp_release.
 * allocator may be NULL: the default. IMP_MEMORY. */
imp_status imp_schema_write(imp_document_kind kind, const imp_allocator *allocator, char **text, size_t *length,
                            imp_error *error);

#endif
