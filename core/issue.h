/* issue.h — what is wrong with a file: every fault of it at once, each with its place, line and column. */
#ifndef IMP_ISSUE_H
#define IMP_ISSUE_H

#include <stddef.h>

#include "memory.h"
#include "status.h"

typedef struct imp_issue {
    imp_status status;
    char *file;            /* as named by the caller, or by the document that refers to it */
    char *place;           /* dotted path in that file; items count from 1; empty for the file as a whole */
    char *message;         /* one clause: expected, found, fix; no full stop */
    unsigned line, column; /* from 1, columns in characters; 0 when no place in the text is meant */
} imp_issue;

enum { IMP_MOST_ISSUES = 100 };

typedef struct imp_issues {
    imp_issue *items;
    size_t count;
    size_t capacity;
    size_t left_out; /* found beyond IMP_MOST_ISSUES, counted and not kept */
    const imp_allocator *allocator;
} imp_issues;

/* allocator may be NULL: the default. */
void imp_issues_init(imp_issues *issues, const imp_allocator *allocator);
void imp_issues_free(imp_issues *issues);

/* Keep one more issue; only count it when IMP_MOST_ISSUES are kept already. Returns status, or IMP_MEMORY when there
 * was no room for it. */
#if defined(__GNUC__)
__attribute__((format(printf, 7, 8)))
#endif
imp_status
imp_issues_add(imp_issues *issues, imp_status status, const char *file, unsigned line, unsigned column,
               const char *place, const char *format, ...);

/* Where issues were left out, say how many in a last issue without place. IMP_OK or IMP_MEMORY. */
imp_status imp_issues_close(imp_issues *issues, const char *file);

/* The sentence "job.json: site.air_temperature: expected a temperature, got \"12 bar\"" into text, always terminated;
 * a fault of the file's own text has its line and column in the place: "job.json:3:14: the text ends inside a string".
 * size >= 1024 is enough. Returns text. */
char *imp_issue_text(const imp_issue *issue, char *text, size_t size);
/* The same with line and column always, in the form that editors follow: "job.json:7:12: site.air_temperature: ...". */
char *imp_issue_located_text(const imp_issue *issue, char *text, size_t size);

#endif
