/* json_scan.h — a strict look at JSON text before a tree is built from it, and where every value stands.
 *
 * Refused beyond what RFC 8259 refuses: a byte order mark, repeated keys in one object, integers from 2^53 on and
 * numbers that no double holds, numbers of more than IMP_JSON_MOST_NUMBER characters, U+0000, more than
 * IMP_JSON_DEEPEST levels, IMP_JSON_MOST_VALUES values or IMP_JSON_LONGEST bytes.
 * What is accepted here, cJSON accepts and consumes whole. */
#ifndef IMP_JSON_SCAN_H
#define IMP_JSON_SCAN_H

#include <stdbool.h>
#include <stddef.h>

#include "issue.h"
#include "memory.h"

enum {
    IMP_JSON_DEEPEST = 32,
    IMP_JSON_LONGEST = 16 * 1024 * 1024,
    IMP_JSON_MOST_VALUES = 200000,
    IMP_JSON_MOST_NUMBER = 60 /* cJSON reads at most 63 characters of a number */
};

/* One value of the text. Values are kept in the order in which they begin; the values inside one follow it directly. */
typedef struct imp_json_place {
    size_t start, end;             /* bytes of the value: [start, end) */
    unsigned line, column;         /* of the value, from 1, columns in characters */
    unsigned key_line, key_column; /* of its key; 0 where it has none */
    size_t span;                   /* number of values from this one to the next that is not inside it */
} imp_json_place;

typedef struct imp_json_scan {
    imp_json_place *places;
    size_t count;
    size_t capacity;
    bool readable; /* the grammar holds: a tree can be built, although some value in it may be refused */
    const imp_allocator *allocator;
} imp_json_scan;

/* Scan text of `length` bytes; file is its name in messages. IMP_OK; IMP_SYNTAX or IMP_LIMIT with the faults added to
 * issues; IMP_MEMORY. Repeated keys and numbers that cannot be kept are all reported and leave scan->readable true; a
 * fault of the grammar ends the scan. Call imp_json_scan_free in every case. */
imp_status imp_json_scan_text(const char *file, const char *text, size_t length, const imp_allocator *allocator,
                              imp_json_scan *scan, imp_issues *issues);
void imp_json_scan_free(imp_json_scan *scan);

#endif
