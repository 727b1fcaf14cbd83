/* Errors of the disk and signals while a file is read or written: a sentence, the old file as it was, nothing left behind.
 * Linked with --wrap for the calls below, so that one of them can be made to fail as a disk makes it fail. */
#ifndef _XOPEN_SOURCE
#define _XOPEN_SOURCE 700
#endif
#include "support.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/types.h>
#include <unistd.h>

#include "file.h"

enum { LIMIT = 1 << 20 };

typedef enum call { NO_CALL, OPEN, READ, WRITE, SYNC, CLOSE, RENAME, PENDING } call;

static struct {
    call at;      /* the call that fails */
    int code;     /* with this errno */
    int times;    /* so often, then no more */
    int signal;   /* sent to this program in every write; 0: none */
    size_t most;  /* bytes that a write takes at once; 0: all */
} fault;

static bool fails(call at)
{
    if (fault.at != at || fault.times == 0)
        return false;
    fault.times--;
    errno = fault.code;
    return true;
}

int __real_open(const char *path, int flags, ...);
int __wrap_open(const char *path, int flags, ...);
ssize_t __real_read(int file, void *to, size_t size);
ssize_t __wrap_read(int file, void *to, size_t size);
ssize_t __real_write(int file, const void *from, size_t size);
ssize_t __wrap_write(int file, const void *from, size_t size);
int __real_fsync(int file);
int __wrap_fsync(int file);
int __real_close(int file);
int __wrap_close(int file);
int __real_rename(const char *from, const char *to);
int __wrap_rename(const char *from, const char *to);
int __real_sigpending(sigset_t *set);
int __wrap_sigpending(sigset_t *set);

int __wrap_open(const char *path, int flags, ...)
{
    va_list list;
    va_start(list, flags);
    const mode_t mode = (flags & O_CREAT) != 0 ? va_arg(list, mode_t) : 0;
    va_end(list);
    return fails(OPEN) ? -1 : __real_open(path, flags, mode);
}

ssize_t __wrap_read(int file, void *to, size_t size)
{
    return fails(READ) ? -1 : __real_read(file, to, size);
}

ssize_t __wrap_write(int file, const void *from, size_t size)
{
    if (fault.signal != 0)
        kill(getpid(), fault.signal);
    return fails(WRITE) ? -1 : __real_write(file, from, fault.most > 0 && size > fault.most ? fault.most : size);
}

int __wrap_fsync(int file)
{
    return fails(SYNC) ? -1 : __real_fsync(file);
}

/* The file is closed all the same, as on Linux. */
int __wrap_close(int file)
{
    const int code = __real_close(file);
    return fails(CLOSE) ? -1 : code;
}

int __wrap_rename(const char *from, const char *to)
{
    return fails(RENAME) ? -1 : __real_rename(from, to);
}

int __wrap_sigpending(sigset_t *set)
{
    return fails(PENDING) ? -1 : __real_sigpending(set);
}

static char folder[64], path[80];

static int enter(void **state)
{
    (void)state;
    strcpy(folder, "/tmp/impinge-fault-XXXXXX");
    if (mkdtemp(folder) == NULL)
        return -1;
    snprintf(path, sizeof path, "%s/a.txt", folder);
    return imp_file_write_atomic(path, "old", 3, NULL) == IMP_OK ? 0 : -1;
}

static int leave(void **state)
{
    (void)state;
    unlink(path);
    return rmdir(folder); /* fails when something was left behind */
}

static int count_files(void)
{
    int count = 0;
    DIR *directory = opendir(folder);
    assert_non_null(directory);
    for (struct dirent *entry; (entry = readdir(directory)) != NULL;)
        count += entry->d_name[0] != '.';
    closedir(directory);
    return count;
}

static void assert_content(const char *content)
{
    char *text = NULL;
    size_t length = 0;
    assert_int_equal(imp_file_read(path, LIMIT, NULL, &text, &length, NULL), IMP_OK);
    assert_string_equal(text, content);
    imp_release(NULL, text);
    assert_int_equal(count_files(), 1);
}

static imp_status write_with(call at, int code, int times, imp_error *error)
{
    fault.at = at;
    fault.code = code;
    fault.times = times;
    *error = (imp_error){.status = IMP_OK};
    const imp_status status = imp_file_write_atomic(path, "new", 3, error);
    fault.at = NO_CALL;
    return status;
}

static void a_write_that_the_disk_refuses_says_why_and_leaves_the_old_file(void **state)
{
    (void)state;
    static const struct {
        call at;
        int code;
        const char *reason;
    } cases[] = {
        {OPEN, EACCES, "permission denied"},
        {OPEN, EPERM, "permission denied"},
        {OPEN, EROFS, "the disk is read-only"},
        {OPEN, EMFILE, "too many files are open"},
        {OPEN, ENFILE, "too many files are open"},
        {OPEN, ENOTDIR, "a part of its path is not a folder"},
        {OPEN, ELOOP, "its links lead round in a circle"},
        {OPEN, ENOMEM, "the system refused"},
        {OPEN, EEXIST, "the system refused"},
        {WRITE, ENOSPC, "the disk is full"},
        {WRITE, EDQUOT, "the disk quota is used up"},
        {WRITE, EFBIG, "it would be too large"},
        {SYNC, EIO, "the disk reports an error"},
        {CLOSE, EDQUOT, "the disk quota is used up"},
        {RENAME, EROFS, "the disk is read-only"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        imp_error error;
        char number[16];
        snprintf(number, sizeof number, "(%d)", cases[i].code);
        assert_int_equal(write_with(cases[i].at, cases[i].code, INT_MAX, &error), IMP_IO);
        assert_contains(error.message, "cannot write");
        assert_contains(error.message, path);
        assert_contains(error.message, cases[i].reason);
        assert_contains(error.message, number);
        assert_content("old");
    }
}

static void calls_that_a_signal_interrupts_are_made_again(void **state)
{
    (void)state;
    static const call calls[] = {OPEN, WRITE};
    imp_error error;
    for (size_t i = 0; i < sizeof calls / sizeof calls[0]; i++) {
        assert_int_equal(write_with(calls[i], EINTR, 3, &error), IMP_OK);
        assert_content("new");
        assert_int_equal(imp_file_write_atomic(path, "old", 3, NULL), IMP_OK);
    }
    char *text = NULL;
    size_t length = 0;
    fault.at = READ;
    fault.code = EINTR;
    fault.times = 2;
    assert_int_equal(imp_file_read(path, LIMIT, NULL, &text, &length, NULL), IMP_OK);
    assert_string_equal(text, "old");
    imp_release(NULL, text);
}

/* An interrupted close has closed on Linux; a file system that cannot sync has no more to do. */
static void what_the_file_is_whole_in_spite_of_is_no_fault(void **state)
{
    (void)state;
    static const struct {
        call at;
        int code;
    } harmless[] = {{CLOSE, EINTR}, {SYNC, EINVAL}, {SYNC, EROFS}, {PENDING, EFAULT}};
    imp_error error;
    for (size_t i = 0; i < sizeof harmless / sizeof harmless[0]; i++) {
        assert_int_equal(write_with(harmless[i].at, harmless[i].code, 1, &error), IMP_OK);
        assert_content("new");
        assert_int_equal(imp_file_write_atomic(path, "old", 3, NULL), IMP_OK);
    }
}

static void names_in_use_are_passed_over(void **state)
{
    (void)state;
    imp_error error;
    assert_int_equal(write_with(OPEN, EEXIST, 5, &error), IMP_OK);
    assert_content("new");
}

static void a_disk_that_takes_a_byte_at_a_time_gets_the_whole_file(void **state)
{
    (void)state;
    imp_error error;
    fault.most = 1;
    assert_int_equal(write_with(NO_CALL, 0, 0, &error), IMP_OK);
    fault.most = 0;
    assert_content("new");
}

static void a_read_that_the_disk_refuses_says_why(void **state)
{
    (void)state;
    char *text = NULL;
    size_t length = 0;
    imp_error error;
    fault.at = READ;
    fault.code = EIO;
    fault.times = 1;
    assert_int_equal(imp_file_read(path, LIMIT, NULL, &text, &length, &error), IMP_IO);
    assert_contains(error.message, "cannot read");
    assert_contains(error.message, "the disk reports an error");
    assert_null(text);
}

static void what_takes_no_more_says_why(void **state)
{
    (void)state;
    imp_error error;
    assert_int_equal(imp_file_write_atomic("/dev/full", "new", 3, &error), IMP_IO);
    assert_contains(error.message, "cannot write \"/dev/full\": the disk is full");
    fault.at = WRITE;
    fault.code = EPIPE;
    fault.times = 1;
    assert_int_equal(imp_file_write_atomic("/dev/null", "new", 3, &error), IMP_IO);
    assert_contains(error.message, "nobody reads the other end");
    fault.at = OPEN;
    fault.code = EACCES;
    fault.times = 1;
    assert_int_equal(imp_file_write_atomic("/dev/null", "new", 3, &error), IMP_IO);
    assert_contains(error.message, "permission denied");
}

static void a_name_that_leaves_no_room_for_another_beside_it_is_too_long(void **state)
{
    (void)state;
    static char name[PATH_MAX + 1];
    imp_error error;
    memset(name, 'a', PATH_MAX - 5);
    assert_int_equal(imp_file_write_atomic(name, "new", 3, &error), IMP_IO);
    assert_contains(error.message, "its name is too long");
    memset(name, 'a', PATH_MAX);
    assert_int_equal(imp_file_write_atomic(name, "new", 3, &error), IMP_LIMIT);
    assert_contains(error.message, "the file name is longer than");
}

static volatile sig_atomic_t came;

static void count_signal(int number)
{
    (void)number;
    came = came + 1;
}

/* The signal comes when half of it may be written: it waits until the old file is safe, then it arrives. */
static void a_signal_that_ends_the_program_leaves_the_old_file(void **state)
{
    (void)state;
    static const int ending[] = {SIGHUP, SIGINT, SIGTERM};
    for (size_t i = 0; i < sizeof ending / sizeof ending[0]; i++) {
        imp_error error;
        struct sigaction old, counted = {.sa_handler = count_signal};
        came = 0;
        assert_int_equal(sigaction(ending[i], &counted, &old), 0);
        fault.signal = ending[i];
        const imp_status status = write_with(NO_CALL, 0, 0, &error);
        fault.signal = 0;
        assert_int_equal(sigaction(ending[i], &old, NULL), 0);
        assert_int_equal(status, IMP_IO);
        assert_contains(error.message, "it was interrupted");
        assert_int_equal(came, 1);
        assert_content("old");
    }
}

static void a_signal_that_waited_before_goes_on_waiting_and_the_file_is_written(void **state)
{
    (void)state;
    imp_error error;
    sigset_t held, before;
    struct sigaction old, counted = {.sa_handler = count_signal};
    came = 0;
    assert_int_equal(sigaction(SIGTERM, &counted, &old), 0);
    sigemptyset(&held);
    sigaddset(&held, SIGTERM);
    assert_int_equal(sigprocmask(SIG_BLOCK, &held, &before), 0);
    fault.signal = SIGTERM;
    const imp_status status = write_with(NO_CALL, 0, 0, &error);
    fault.signal = 0;
    const int came_within = came;
    assert_int_equal(sigprocmask(SIG_SETMASK, &before, NULL), 0);
    assert_int_equal(sigaction(SIGTERM, &old, NULL), 0);
    assert_int_equal(status, IMP_OK);
    assert_int_equal(came_within, 0);
    assert_int_equal(came, 1);
    assert_content("new");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_write_that_the_disk_refuses_says_why_and_leaves_the_old_file, enter, leave),
        cmocka_unit_test_setup_teardown(calls_that_a_signal_interrupts_are_made_again, enter, leave),
        cmocka_unit_test_setup_teardown(what_the_file_is_whole_in_spite_of_is_no_fault, enter, leave),
        cmocka_unit_test_setup_teardown(names_in_use_are_passed_over, enter, leave),
        cmocka_unit_test_setup_teardown(a_disk_that_takes_a_byte_at_a_time_gets_the_whole_file, enter, leave),
        cmocka_unit_test_setup_teardown(a_read_that_the_disk_refuses_says_why, enter, leave),
        cmocka_unit_test(what_takes_no_more_says_why),
        cmocka_unit_test(a_name_that_leaves_no_room_for_another_beside_it_is_too_long),
        cmocka_unit_test_setup_teardown(a_signal_that_ends_the_program_leaves_the_old_file, enter, leave),
        cmocka_unit_test_setup_teardown(a_signal_that_waited_before_goes_on_waiting_and_the_file_is_written, enter, leave),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
