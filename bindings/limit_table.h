/* limit_table.h — the limits of the program that a person may meet, gathered from the constants that set them: the manual's page
 * "limits" and the tests read this table. */
#ifndef IMP_LIMIT_TABLE_H
#define IMP_LIMIT_TABLE_H

typedef struct imp_limit {
    const char *key;   /* for tests */
    const char *group; /* heading in the manual */
    const char *what;
    double most;
    const char *unit;   /* "bytes", "levels", ... */
    const char *beyond; /* what happens then */
} imp_limit;

/* Ended by a row without key. */
const imp_limit *imp_program_limits(void);

/* "16 MiB", "200 million instructions". size >= 64. Returns text. */
char *imp_limit_text(const imp_limit *limit, char *text, unsigned long size);

#endif
