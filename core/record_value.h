/* record_value.h — what a document says, handed to a calculation: a read record as the values of an input's fields. */
#ifndef IMP_RECORD_VALUE_H
#define IMP_RECORD_VALUE_H

#include "catalogue.h"
#include "document.h"

/* The fields of a read record for rows, one value a row, in the rows' order; what the document has beyond them is left
 * out. Lists and records below live in the arena, texts in the node. An absent field is not given, or its row's default.
 * currency: of the amounts of money among them, "" at first; several records may be read one after another.
 * IMP_TYPE: a field is of another kind or dimension than its row; IMP_UNKNOWN: a choice that the row does not have;
 * IMP_RANGE; IMP_DIMENSION_MISMATCH: two currencies; IMP_MEMORY. place = the field's path below the record. */
imp_status imp_record_fields(const imp_node *record, const imp_param *rows, imp_arena *arena, imp_value *fields,
                             char currency[4], imp_error *error);

#endif
