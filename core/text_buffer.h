/* text_buffer.h — text that grows, for writing JSON. */
#ifndef IMP_TEXT_BUFFER_H
#define IMP_TEXT_BUFFER_H

#include <stdbool.h>
#include <stddef.h>

#include "memory.h"

typedef struct imp_text {
    char *text; /* terminated; NULL before the first piece */
    size_t length, capacity;
    bool failed; /* out of memory: further pieces are dropped */
    const imp_allocator *allocator;
} imp_text;

void imp_text_init(imp_text *text, const imp_allocator *allocator);
void imp_text_free(imp_text *text);
void imp_text_add(imp_text *text, const char *piece);
#if defined(__GNUC__)
__attribute__((format(printf, 2, 3)))
#endif
void imp_text_format(imp_text *text, const char *format, ...);
/* Shortest number that reads back the same double; null where it is not finite. */
void imp_text_number(imp_text *text, double value);
/* A JSON string, quoted and escaped. */
void imp_text_string(imp_text *text, const char *string);

#endif
