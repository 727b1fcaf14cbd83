/* completion.h — the names that the prompt can complete: everything in `imp`, from the state itself. */
#ifndef IMP_RUNNER_COMPLETION_H
#define IMP_RUNNER_COMPLETION_H

#include "memory.h"
#include "sandbox.h"

typedef struct completion {
    imp_arena arena;
    const char **names; /* "imp.q", "imp.climate." where more follows, "imp.climate.dew_point"; sorted, ended by NULL */
    size_t count, capacity;
} completion;

/* Collect the names of a script's state. IMP_MEMORY. completion_free is due in every case. */
imp_status completion_open(completion *names, imp_script *script, imp_error *error);
void completion_free(completion *names);

/* The first name from *at on that begins with `text` and goes no further than its next dot, or NULL; *at moves on. */
const char *completion_next(const completion *names, const char *text, size_t *at);

#endif
