#include "memory.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

static void *standard_resize(void *context, void *block, size_t size)
{
    (void)context;
    if (size == 0) {
        free(block);
        return NULL;
    }
    return realloc(block, size);
}

const imp_allocator *imp_allocator_default(void)
{
    static const imp_allocator standard = {standard_resize, NULL};
    return &standard;
}

void *imp_resize(const imp_allocator *allocator, void *block, size_t count, size_t size)
{
    if (size != 0 && count > SIZE_MAX / size)
        return NULL;
    const imp_allocator *use = allocator != NULL ? allocator : imp_allocator_default();
    const size_t bytes = count * size;
    return use->resize(use->context, block, bytes > 0 ? bytes : 1);
}

void *imp_allocate(const imp_allocator *allocator, size_t count, size_t size)
{
    void *block = imp_resize(allocator, NULL, count, size);
    if (block != NULL)
        memset(block, 0, count * size);
    return block;
}

void imp_release(const imp_allocator *allocator, void *block)
{
    const imp_allocator *use = allocator != NULL ? allocator : imp_allocator_default();
    if (block != NULL)
        use->resize(use->context, block, 0);
}

char *imp_copy_text(const imp_allocator *allocator, const char *text, size_t length)
{
    char *copy = imp_allocate(allocator, length + 1, 1);
    if (copy != NULL)
        memcpy(copy, text, length);
    return copy;
}

struct imp_arena_block {
    struct imp_arena_block *next;
    max_align_t content[];
};

void imp_arena_init(imp_arena *arena, const imp_allocator *allocator)
{
    arena->allocator = allocator;
    arena->blocks = NULL;
}

void *imp_arena_allocate(imp_arena *arena, size_t count, size_t size)
{
    if (size != 0 && count > (SIZE_MAX - sizeof(struct imp_arena_block)) / size)
        return NULL;
    struct imp_arena_block *block = imp_allocate(arena->allocator, 1, sizeof *block + count * size);
    if (block == NULL)
        return NULL;
    block->next = arena->blocks;
    arena->blocks = block;
    return block->content;
}

char *imp_arena_copy_text(imp_arena *arena, const char *text, size_t length)
{
    char *copy = imp_arena_allocate(arena, length + 1, 1);
    if (copy != NULL)
        memcpy(copy, text, length);
    return copy;
}

void imp_arena_free(imp_arena *arena)
{
    while (arena->blocks != NULL) {
        struct imp_arena_block *next = arena->blocks->next;
        imp_release(arena->allocator, arena->blocks);
        arena->blocks = next;
    }
}
