/* file.h — whole files: reading one into memory, and writing one so that it is there whole or not at all. */
#ifndef IMP_FILE_H
#define IMP_FILE_H

#include <stddef.h>

#include "memory.h"
#include "status.h"

/* Read a file of at most `limit` bytes. *text is terminated (not counted in *length) and released with imp_release;
 * allocator may be NULL: the default. The file may be a pipe.
 * IMP_IO with the reason in words (no such file, no permission, a folder, ...), IMP_LIMIT, IMP_MEMORY; place is empty.
 */
imp_status imp_file_read(const char *path, size_t limit, const imp_allocator *allocator, char **text, size_t *length,
                         imp_error *error);

/* Write a file: under another name in the same folder first, which then takes the place of `path`. On failure the old
 * file is as it was and no other is left behind. An old file's permissions are kept; a link is followed, unless it
 * leads nowhere. Where `path` is no regular file (a terminal, a pipe) it is written to directly.
 * IMP_IO with the reason in words, IMP_LIMIT when the name is too long; place is empty. */
imp_status imp_file_write_atomic(const char *path, const char *text, size_t length, imp_error *error);

/* The system's error `code` in English words: strerror may answer in another language and from shared memory. */
const char *imp_file_reason(int code);

#endif
