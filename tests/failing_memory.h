/* failing_memory.h — an allocator whose n-th call fails, for the tests of what happens then. */
#ifndef IMP_TEST_FAILING_MEMORY_H
#define IMP_TEST_FAILING_MEMORY_H

#include <stddef.h>
#include <stdlib.h>

/* resize of an imp_allocator: context counts down the calls that still succeed. */
static inline void *fail_at(void *context, void *block, size_t size)
{
    long *left = context;
    if (size == 0) {
        free(block);
        return NULL;
    }
    return (*left)-- == 0 ? NULL : realloc(block, size);
}

#endif
