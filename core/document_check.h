/* document_check.h — what a document's fields must satisfy among themselves; private to the document room. */
#ifndef IMP_DOCUMENT_CHECK_H
#define IMP_DOCUMENT_CHECK_H

#include <stdbool.h>

#include "document.h"

/* Check one document, itself or inside another one. `prefix` is the path of its root in its file ("" or "rig").
 * Fields that were refused before are skipped. *status becomes the first fault's where it was IMP_OK; IMP_MEMORY wins.
 */
void imp_document_check(imp_document_kind kind, const imp_node *root, const char *file, const char *prefix,
                        imp_issues *issues, imp_status *status);

/* True for a relative path with "/" between its parts that stays inside its folder. */
bool imp_is_file_beside(const char *name);

#endif
