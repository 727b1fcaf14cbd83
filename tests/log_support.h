/* log_support.h — what the tests of job logs share: files from text, every answer of a log as one text, an allocator that fails. */
#ifndef IMP_LOG_TEST_SUPPORT_H
#define IMP_LOG_TEST_SUPPORT_H

#include "support.h"

#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "log_summary.h"
#include "number.h"

/* A file with this content; the name is good until the next call. */
static inline const char *file_of(const char *text, size_t length)
{
    static char path[] = "/tmp/impinge-log-XXXXXX";
    static int made;
    if (made)
        unlink(path);
    memcpy(path + strlen(path) - 6, "XXXXXX", 6);
    const int file = mkstemp(path);
    assert_true(file >= 0);
    made = 1;
    assert_int_equal(write(file, text, length), (ssize_t)length);
    close(file);
    return path;
}

static inline const char *file_with(const char *text)
{
    return file_of(text, strlen(text));
}

#define assert_ok(call)                                                                                                \
    do {                                                                                                               \
        imp_error error_ = {.status = IMP_OK};                                                                         \
        imp_error *const error = &error_;                                                                              \
        if ((call) != IMP_OK) {                                                                                        \
            print_error("%s: %s: %s\n", #call, error_.place, error_.message);                                          \
            _fail(__FILE__, __LINE__);                                                                                 \
        }                                                                                                              \
    } while (0)

/* The standard summary of a log with this text. */
static inline void summarise_text(const char *text, const imp_log_summary_options *options, imp_log_summary *summary)
{
    const char *path = file_with(text);
    imp_status status;
    imp_error error;
    assert_int_equal(imp_log_summarise_files(&path, 1, NULL, options, 1, summary, &status, &error), IMP_OK);
    if (status != IMP_OK)
        fail_msg("%s: %s", error.place, error.message);
}

/* Allocations until the next one fails; below 0: never. */
typedef struct counted_memory {
    long left;
    long taken;
} counted_memory;

static inline void *counted_resize(void *context, void *block, size_t size)
{
    counted_memory *memory = context;
    if (size == 0) {
        free(block);
        return NULL;
    }
    memory->taken++;
    if (memory->left == 0)
        return NULL;
    if (memory->left > 0)
        memory->left--;
    return realloc(block, size);
}

#endif
