/* A shared object that makes the n-th call of one kind fail, for whole commands: LD_PRELOAD it with
 *   FAULT_KIND  memory | write-full | write-short | write-interrupted | read-short | read-interrupted | read-error | open |
 *               vanish (no such file) | forbidden (no new file) | rename | sync | int-write | term-write | term-sync |
 *               hup-rename (a signal comes at that call)
 *   FAULT_AT    the number of the call that fails, from 1; 0 counts only
 *   FAULT_COUNT a file that receives the number of calls seen
 * Memory fails once; a full disk stays full. Only descriptors above 2 and files opened for writing fail in the write kinds
 * unless FAULT_STDOUT is set. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static char kind[32];
static long at;
static long seen;
static bool ready, on_stdout;

__attribute__((constructor)) static void start(void)
{
    const char *wanted = getenv("FAULT_KIND"), *number = getenv("FAULT_AT");
    on_stdout = getenv("FAULT_STDOUT") != NULL;
    snprintf(kind, sizeof kind, "%s", wanted != NULL ? wanted : "");
    at = number != NULL ? atol(number) : 0;
    ready = true;
}

__attribute__((destructor)) static void stop(void)
{
    const char *name = getenv("FAULT_COUNT");
    ready = false;
    if (name == NULL)
        return;
    FILE *file = fopen(name, "w");
    if (file != NULL) {
        fprintf(file, "%ld\n", seen);
        fclose(file);
    }
}

/* Nothing fails behind the end of main: what the C library and a compiler's counters write there is not the command's. */
typedef int main_function(int, char **, char **);
static main_function *command;
static int command_alone(int count, char **words, char **environment)
{
    const int code = command(count, words, environment);
    ready = false;
    return code;
}

int __libc_start_main(main_function *main, int count, char **words, void (*init)(void), void (*fini)(void), void (*last)(void), void *stack);
int __libc_start_main(main_function *main, int count, char **words, void (*init)(void), void (*fini)(void), void (*last)(void), void *stack)
{
    int (*real)(main_function *, int, char **, void (*)(void), void (*)(void), void (*)(void), void *) =
        (int (*)(main_function *, int, char **, void (*)(void), void (*)(void), void (*)(void), void *))dlsym(RTLD_NEXT, "__libc_start_main");
    command = main;
    return real(command_alone, count, words, init, fini, last, stack);
}

static bool now(const char *this_kind, bool stays)
{
    if (!ready || strcmp(kind, this_kind) != 0)
        return false;
    const long number = __atomic_add_fetch(&seen, 1, __ATOMIC_RELAXED);
    return at > 0 && (number == at || (stays && number > at));
}

static void *next(const char *name)
{
    return dlsym(RTLD_NEXT, name);
}

/* dlsym itself may allocate before the real functions are known: a small static pool serves it. */
static char pool[65536];
static size_t pool_used;
static void *from_pool(size_t size)
{
    void *block = pool + pool_used;
    pool_used += (size + 15u) & ~(size_t)15u;
    return pool_used <= sizeof pool ? block : NULL;
}
static bool in_pool(const void *block)
{
    return (const char *)block >= pool && (const char *)block < pool + sizeof pool;
}

static void *(*real_malloc)(size_t), *(*real_calloc)(size_t, size_t), *(*real_realloc)(void *, size_t);
static void (*real_free)(void *);
static bool finding;

static bool find_real(void)
{
    if (real_free != NULL)
        return true;
    if (finding)
        return false;
    finding = true;
    real_malloc = (void *(*)(size_t))next("malloc");
    real_calloc = (void *(*)(size_t, size_t))next("calloc");
    real_realloc = (void *(*)(void *, size_t))next("realloc");
    real_free = (void (*)(void *))next("free");
    finding = false;
    return true;
}

void *malloc(size_t size)
{
    if (!find_real())
        return from_pool(size);
    if (now("memory", false)) {
        errno = ENOMEM;
        return NULL;
    }
    return real_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    if (!find_real())
        return from_pool(count * size);
    if (now("memory", false)) {
        errno = ENOMEM;
        return NULL;
    }
    return real_calloc(count, size);
}

void *realloc(void *block, size_t size)
{
    if (!find_real() || in_pool(block))
        return from_pool(size);
    if (size > 0 && now("memory", false)) {
        errno = ENOMEM;
        return NULL;
    }
    return real_realloc(block, size);
}

void free(void *block)
{
    if (block != NULL && !in_pool(block) && find_real())
        real_free(block);
}

ssize_t write(int descriptor, const void *bytes, size_t count)
{
    ssize_t (*real)(int, const void *, size_t) = (ssize_t(*)(int, const void *, size_t))next("write");
    const bool ours = descriptor > 2 || (descriptor == 1 && on_stdout);
    if (ours && now("write-full", true)) {
        errno = ENOSPC;
        return -1;
    }
    if (ours && now("write-interrupted", false)) {
        errno = EINTR;
        return -1;
    }
    if (ours && now("int-write", false))
        raise(SIGINT);
    if (ours && now("term-write", false))
        raise(SIGTERM);
    if (ours && count > 1 && now("write-short", false))
        return real(descriptor, bytes, 1);
    return real(descriptor, bytes, count);
}

ssize_t read(int descriptor, void *bytes, size_t count)
{
    ssize_t (*real)(int, void *, size_t) = (ssize_t(*)(int, void *, size_t))next("read");
    if (descriptor > 2 && now("read-error", false)) {
        errno = EIO;
        return -1;
    }
    if (descriptor > 2 && now("read-interrupted", false)) {
        errno = EINTR;
        return -1;
    }
    if (descriptor > 2 && count > 1 && now("read-short", false))
        return real(descriptor, bytes, 1);
    return real(descriptor, bytes, count);
}

int open(const char *path, int flags, ...)
{
    int (*real)(const char *, int, ...) = (int (*)(const char *, int, ...))next("open");
    va_list arguments;
    va_start(arguments, flags);
    const int mode = (flags & O_CREAT) != 0 ? va_arg(arguments, int) : 0;
    va_end(arguments);
    if (now("open", false)) {
        errno = EMFILE;
        return -1;
    }
    if (now("vanish", false)) {
        errno = ENOENT;
        return -1;
    }
    if ((flags & O_CREAT) != 0 && now("forbidden", false)) {
        errno = EACCES;
        return -1;
    }
    return real(path, flags, mode);
}

int rename(const char *from, const char *to)
{
    int (*real)(const char *, const char *) = (int (*)(const char *, const char *))next("rename");
    if (now("rename", false)) {
        errno = EACCES;
        return -1;
    }
    if (now("hup-rename", false))
        raise(SIGHUP);
    return real(from, to);
}

int fsync(int descriptor)
{
    int (*real)(int) = (int (*)(int))next("fsync");
    if (now("sync", false)) {
        errno = EIO;
        return -1;
    }
    if (now("term-sync", false))
        raise(SIGTERM);
    return real(descriptor);
}
