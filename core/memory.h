/* memory.h — the one way in which the core allocates, so that tests can make any allocation fail. */
#ifndef IMP_MEMORY_H
#define IMP_MEMORY_H

#include <stddef.h>

typedef struct imp_allocator {
    /* Like realloc with a context: size 0 frees and returns NULL; NULL on failure leaves the old block as it was. */
    void *(*resize)(void *context, void *block, size_t size);
    void *context;
} imp_allocator;

/* The C library's. */
const imp_allocator *imp_allocator_default(void);

/* allocator may be NULL: the default. imp_allocate zeroes. NULL on failure or when count * size overflows. */
void *imp_allocate(const imp_allocator *allocator, size_t count, size_t size);
void *imp_resize(const imp_allocator *allocator, void *block, size_t count, size_t size);
void imp_release(const imp_allocator *allocator, void *block);
char *imp_copy_text(const imp_allocator *allocator, const char *text, size_t length);

/* An arena: many small blocks that are freed together. Zeroed memory, aligned for any type; NULL on failure. */
typedef struct imp_arena {
    const imp_allocator *allocator;
    struct imp_arena_block *blocks;
} imp_arena;

void imp_arena_init(imp_arena *arena, const imp_allocator *allocator);
void *imp_arena_allocate(imp_arena *arena, size_t count, size_t size);
char *imp_arena_copy_text(imp_arena *arena, const char *text, size_t length);
void imp_arena_free(imp_arena *arena);

#endif
