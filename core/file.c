/* The only file of the core that talks to the operating system: POSIX, and so errno. */
#ifndef _XOPEN_SOURCE
#define _XOPEN_SOURCE 700
#endif
#include "file.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { SHOWN_PATH = 200, WRITTEN_AT_ONCE = 1 << 20 };

const char *imp_file_reason(int code)
{
    switch (code) {
    case ENOENT:
        return "there is no such file";
    case ENOTDIR:
        return "a part of its path is not a folder";
    case EACCES:
    case EPERM:
        return "permission denied";
    case EISDIR:
        return "it is a folder";
    case ENOSPC:
        return "the disk is full";
    case EDQUOT:
        return "the disk quota is used up";
    case EROFS:
        return "the disk is read-only";
    case EMFILE:
    case ENFILE:
        return "too many files are open";
    case ENAMETOOLONG:
        return "its name is too long";
    case ELOOP:
        return "its links lead round in a circle";
    case EFBIG:
        return "it would be too large";
    case EIO:
        return "the disk reports an error";
    case EINTR:
        return "it was interrupted";
    case EPIPE:
        return "nobody reads the other end";
    default:
        return "the system refused";
    }
}

static imp_status fail_with(imp_error *error, const char *action, const char *path, int code)
{
    return imp_fail(error, IMP_IO, NULL, "cannot %s \"%.*s\": %s (%d)", action, SHOWN_PATH, path, imp_file_reason(code), code);
}

static int open_file(const char *path, int flags, mode_t mode)
{
    int file;
    do
        file = open(path, flags | O_CLOEXEC, mode);
    while (file < 0 && errno == EINTR);
    return file;
}

/* Bytes read, 0 at the end, -1 with errno set. */
static ssize_t read_some(int file, char *to, size_t size)
{
    ssize_t got;
    do
        got = read(file, to, size);
    while (got < 0 && errno == EINTR);
    return got;
}

/* Read to the end, growing *text; *text must be released by the caller in every case. */
static imp_status read_all(int file, const char *path, size_t limit, const imp_allocator *allocator, char **text,
                           size_t *length, imp_error *error)
{
    size_t capacity = 0;
    for (*length = 0;;) {
        if (capacity - *length < 2) {
            capacity = capacity > 0 ? 2 * capacity : 4096;
            char *larger = imp_resize(allocator, *text, capacity, 1);
            if (larger == NULL)
                return imp_fail(error, IMP_MEMORY, NULL, "out of memory while reading \"%.*s\"", SHOWN_PATH, path);
            *text = larger;
        }
        const ssize_t got = read_some(file, *text + *length, capacity - *length - 1);
        if (got < 0)
            return fail_with(error, "read", path, errno);
        *length += (size_t)got;
        if (*length > limit)
            return imp_fail(error, IMP_LIMIT, NULL, "\"%.*s\" is larger than %zu bytes", SHOWN_PATH, path, limit);
        if (got == 0) {
            (*text)[*length] = '\0';
            return IMP_OK;
        }
    }
}

imp_status imp_file_read(const char *path, size_t limit, const imp_allocator *allocator, char **text, size_t *length,
                         imp_error *error)
{
    const int file = open_file(path, O_RDONLY, 0);
    if (file < 0)
        return fail_with(error, "read", path, errno);
    char *content = NULL;
    size_t bytes = 0;
    const imp_status status = read_all(file, path, limit, allocator, &content, &bytes, error);
    close(file);
    if (status != IMP_OK) {
        imp_release(allocator, content);
        return status;
    }
    *text = content;
    *length = bytes;
    return IMP_OK;
}

/* A signal that ends the program must not leave a half-written file behind: such signals wait until what was written is in
 * its place or taken away again. `before` receives those that waited anyway. */
static const int ending_signals[] = {SIGHUP, SIGINT, SIGTERM};
enum { ENDING_SIGNALS = sizeof ending_signals / sizeof ending_signals[0] };

static void hold_signals(sigset_t *before)
{
    sigset_t held;
    sigemptyset(&held);
    for (size_t i = 0; i < ENDING_SIGNALS; i++)
        sigaddset(&held, ending_signals[i]);
    pthread_sigmask(SIG_BLOCK, &held, before);
}

/* True when one has come since; before NULL: none is held. */
static bool is_asked_to_end(const sigset_t *before)
{
    sigset_t pending;
    if (before == NULL || sigpending(&pending) != 0)
        return false;
    for (size_t i = 0; i < ENDING_SIGNALS; i++)
        if (sigismember(&pending, ending_signals[i]) == 1 && sigismember(before, ending_signals[i]) == 0)
            return true;
    return false;
}

/* 0, or the error code; EINTR when the program is to end (before not NULL). */
static int write_all(int file, const char *text, size_t length, const sigset_t *before)
{
    while (length > 0) {
        const ssize_t written = write(file, text, length < WRITTEN_AT_ONCE ? length : WRITTEN_AT_ONCE);
        if (written < 0 && errno != EINTR)
            return errno;
        if (is_asked_to_end(before))
            return EINTR;
        if (written > 0) {
            text += written;
            length -= (size_t)written;
        }
    }
    return 0;
}

/* Write what is open as `file` and close it: 0, or the error code. before NULL: neither held signals nor a sync. */
static int write_and_close(int file, const char *text, size_t length, const sigset_t *before)
{
    int code = write_all(file, text, length, before);
    if (code == 0 && before != NULL && fsync(file) != 0 && errno != EINVAL && errno != EROFS)
        code = errno;
    /* after EINTR the file is closed on Linux, and closing again could close another thread's file */
    if (close(file) != 0 && code == 0 && errno != EINTR)
        code = errno;
    return code;
}

static imp_status write_directly(const char *path, const char *text, size_t length, imp_error *error)
{
    const int file = open_file(path, O_WRONLY | O_NOCTTY, 0);
    if (file < 0)
        return fail_with(error, "write", path, errno);
    const int code = write_and_close(file, text, length, NULL);
    return code == 0 ? IMP_OK : fail_with(error, "write", path, code);
}

/* Open a new file beside `path` under a name that nobody uses; `name` has PATH_MAX bytes. -1 with errno set. */
static int open_beside(const char *path, char *name)
{
    for (unsigned attempt = 0; attempt < 1000; attempt++) {
        const int length = snprintf(name, PATH_MAX, "%s.%ld-%u.part", path, (long)getpid(), attempt);
        if (length < 0 || length >= PATH_MAX) {
            errno = ENAMETOOLONG;
            return -1;
        }
        const int file = open_file(name, O_WRONLY | O_CREAT | O_EXCL, 0666);
        if (file >= 0 || errno != EEXIST)
            return file;
    }
    return -1;
}

/* Write a new file beside `target` and put it in its place: 0, or the error code, and then nothing has changed. */
static int replace_file(const char *target, const struct stat *old, const char *text, size_t length, const sigset_t *before)
{
    char name[PATH_MAX];
    const int file = open_beside(target, name);
    if (file < 0)
        return errno;
    if (old != NULL && fchmod(file, old->st_mode & 07777) != 0) {
        /* a file system without permissions: nothing to keep */
    }
    int code = write_and_close(file, text, length, before);
    if (code == 0 && rename(name, target) != 0)
        code = errno;
    if (code != 0)
        unlink(name);
    return code;
}

imp_status imp_file_write_atomic(const char *path, const char *text, size_t length, imp_error *error)
{
    char target[PATH_MAX];
    struct stat old;
    const bool exists = stat(path, &old) == 0;
    if (exists && S_ISDIR(old.st_mode))
        return fail_with(error, "write", path, EISDIR);
    if (exists && !S_ISREG(old.st_mode))
        return write_directly(path, text, length, error);
    if (exists && realpath(path, target) == NULL)
        return fail_with(error, "write", path, errno);
    if (!exists && snprintf(target, sizeof target, "%s", path) >= (int)sizeof target)
        return imp_fail(error, IMP_LIMIT, NULL, "the file name is longer than %d bytes", PATH_MAX);
    sigset_t before;
    hold_signals(&before);
    const int code = replace_file(target, exists ? &old : NULL, text, length, &before);
    pthread_sigmask(SIG_SETMASK, &before, NULL);
    return code == 0 ? IMP_OK : fail_with(error, "write", path, code);
}
