/* pattern.h — Lua 5.4's text patterns, matched within a budget of steps.
 *
 * The reference manual's section 6.4.1 says what a pattern means. A pattern is compiled first, so that a malformed one
 * is refused before any matching; matching then backtracks over the items and counts every step, so that a pattern that
 * would take for ever ends when the caller's budget does. Nothing here allocates or knows Lua. */
#ifndef IMP_PATTERN_H
#define IMP_PATTERN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { IMP_MOST_CAPTURES = 32 };

typedef struct imp_pattern_item {
    unsigned char kind, repeat; /* private to pattern.c */
    unsigned char first, second;
    uint32_t set[8]; /* one bit a byte */
} imp_pattern_item;

/* Compile a pattern of `length` bytes, a leading ^ already taken off by the caller, into items, of which there must be
 * room for length + 1. Returns NULL and *count on success, else what is wrong with the pattern. */
const char *imp_pattern_compile(const char *pattern, size_t length, imp_pattern_item *items, size_t *count);

enum { IMP_CAPTURE_OPEN = -1, IMP_CAPTURE_POSITION = -2 };

typedef struct imp_capture {
    size_t start;
    ptrdiff_t length; /* or IMP_CAPTURE_POSITION */
} imp_capture;

typedef enum imp_match_status {
    IMP_MATCHED,
    IMP_NOT_MATCHED,
    IMP_MATCH_TOO_DEEP,
    IMP_MATCH_EXHAUSTED
} imp_match_status;

typedef struct imp_matcher {
    const imp_pattern_item *items;
    size_t item_count;
    const char *text;
    size_t length;
    /* Asked now and then with the steps done since; false ends the match with IMP_MATCH_EXHAUSTED. */
    bool (*spend)(void *context, unsigned long long steps);
    void *context;
    int capture_count; /* results of a match */
    imp_capture captures[IMP_MOST_CAPTURES];
    imp_match_status failure; /* private */
    int depth;
    unsigned long long steps;
} imp_matcher;

/* Match at byte `at` of the text and nowhere else; *end is one past the last byte matched. */
imp_match_status imp_pattern_match(imp_matcher *matcher, size_t at, size_t *end);

/* First place of `wanted` in text at or after `from`, as plain bytes, or SIZE_MAX; *exhausted as above. */
size_t imp_plain_find(const char *text, size_t length, const char *wanted, size_t wanted_length, size_t from,
                      bool (*spend)(void *context, unsigned long long steps), void *context, bool *exhausted);

#endif
