/* Whole files: what is written is read back, and a write that fails leaves the old file and nothing else. */
#include "support.h"

#include <dirent.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "failing_memory.h"
#include "file.h"

enum { LIMIT = 1 << 20 };

typedef struct place {
    char folder[64];
    char path[128];
} place;

static int enter(void **state)
{
    place *p = calloc(1, sizeof *p);
    strcpy(p->folder, "/tmp/impinge-file-XXXXXX");
    if (mkdtemp(p->folder) == NULL)
        return -1;
    snprintf(p->path, sizeof p->path, "%s/a.txt", p->folder);
    *state = p;
    return 0;
}

static int count_files(const char *folder)
{
    int count = 0;
    DIR *directory = opendir(folder);
    assert_non_null(directory);
    for (struct dirent *entry; (entry = readdir(directory)) != NULL;)
        count += entry->d_name[0] != '.';
    closedir(directory);
    return count;
}

static int leave(void **state)
{
    place *p = *state;
    char path[512];
    DIR *directory = opendir(p->folder);
    for (struct dirent *entry; (entry = readdir(directory)) != NULL;) {
        snprintf(path, sizeof path, "%s/%s", p->folder, entry->d_name);
        if (entry->d_name[0] != '.')
            unlink(path);
    }
    closedir(directory);
    rmdir(p->folder);
    free(p);
    return 0;
}

static void assert_content(const char *path, const char *content, size_t length)
{
    char *text = NULL;
    size_t found = 0;
    assert_int_equal(imp_file_read(path, LIMIT, NULL, &text, &found, NULL), IMP_OK);
    assert_int_equal(found, length);
    assert_memory_equal(text, content, length);
    assert_int_equal(text[found], '\0');
    imp_release(NULL, text);
}

static void what_is_written_is_read_back(void **state)
{
    const place *p = *state;
    char large[10000];
    for (size_t i = 0; i < sizeof large; i++)
        large[i] = (char)(i * 7 % 251);
    assert_int_equal(imp_file_write_atomic(p->path, "", 0, NULL), IMP_OK);
    assert_content(p->path, "", 0);
    assert_int_equal(imp_file_write_atomic(p->path, large, sizeof large, NULL), IMP_OK);
    assert_content(p->path, large, sizeof large);
    assert_int_equal(count_files(p->folder), 1);
}

static void permissions_of_the_old_file_stay_and_links_are_followed(void **state)
{
    const place *p = *state;
    char link[160];
    struct stat found;
    snprintf(link, sizeof link, "%s/b.txt", p->folder);
    assert_int_equal(imp_file_write_atomic(p->path, "old", 3, NULL), IMP_OK);
    assert_int_equal(chmod(p->path, 0640), 0);
    assert_int_equal(symlink("a.txt", link), 0);
    assert_int_equal(imp_file_write_atomic(link, "new", 3, NULL), IMP_OK);
    assert_content(p->path, "new", 3);
    assert_int_equal(stat(p->path, &found), 0);
    assert_int_equal(found.st_mode & 0777, 0640);
    assert_int_equal(lstat(link, &found), 0);
    assert_true(S_ISLNK(found.st_mode));
}

static void a_write_that_fails_half_way_leaves_the_old_file_alone(void **state)
{
    const place *p = *state;
    static char large[8192];
    imp_error error;
    struct rlimit old, small;
    assert_int_equal(imp_file_write_atomic(p->path, "old", 3, NULL), IMP_OK);
    signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &old), 0);
    small = old;
    small.rlim_cur = 4096;
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    const imp_status status = imp_file_write_atomic(p->path, large, sizeof large, &error);
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &old), 0);
    assert_int_equal(status, IMP_IO);
    assert_contains(error.message, "it would be too large");
    assert_content(p->path, "old", 3);
    assert_int_equal(count_files(p->folder), 1);
}

static void reasons_are_words(void **state)
{
    const place *p = *state;
    char *text = NULL, nowhere[160];
    size_t length = 0;
    imp_error error;
    snprintf(nowhere, sizeof nowhere, "%s/none/a.txt", p->folder);
    assert_int_equal(imp_file_read(nowhere, LIMIT, NULL, &text, &length, &error), IMP_IO);
    assert_contains(error.message, "there is no such file");
    assert_contains(error.message, "none/a.txt");
    assert_int_equal(imp_file_read(p->folder, LIMIT, NULL, &text, &length, &error), IMP_IO);
    assert_contains(error.message, "it is a folder");
    assert_int_equal(imp_file_write_atomic(nowhere, "x", 1, &error), IMP_IO);
    assert_contains(error.message, "there is no such file");
    assert_int_equal(imp_file_write_atomic(p->folder, "x", 1, &error), IMP_IO);
    assert_contains(error.message, "it is a folder");
    assert_null(text);
    assert_int_equal(count_files(p->folder), 0);
}

static void a_file_beyond_the_limit_is_refused_and_an_endless_one_too(void **state)
{
    const place *p = *state;
    char *text = NULL;
    size_t length = 0;
    assert_int_equal(imp_file_write_atomic(p->path, "12345", 5, NULL), IMP_OK);
    assert_int_equal(imp_file_read(p->path, 4, NULL, &text, &length, NULL), IMP_LIMIT);
    assert_int_equal(imp_file_read("/dev/zero", LIMIT, NULL, &text, &length, NULL), IMP_LIMIT);
    assert_null(text);
    assert_int_equal(imp_file_read(p->path, 5, NULL, &text, &length, NULL), IMP_OK);
    imp_release(NULL, text);
}

static void what_is_no_regular_file_is_written_directly(void **state)
{
    (void)state;
    struct stat found;
    assert_int_equal(imp_file_write_atomic("/dev/null", "x", 1, NULL), IMP_OK);
    assert_int_equal(stat("/dev/null", &found), 0);
    assert_true(S_ISCHR(found.st_mode));
}

static void lack_of_memory_is_reported(void **state)
{
    const place *p = *state;
    static char large[10000];
    assert_int_equal(imp_file_write_atomic(p->path, large, sizeof large, NULL), IMP_OK);
    imp_status status = IMP_MEMORY;
    long n = 0;
    for (; status == IMP_MEMORY; n++) {
        long left = n;
        const imp_allocator allocator = {fail_at, &left};
        char *text = NULL;
        size_t length = 0;
        status = imp_file_read(p->path, LIMIT, &allocator, &text, &length, NULL);
        assert_true((status == IMP_OK) == (text != NULL));
        imp_release(&allocator, text);
    }
    assert_int_equal(status, IMP_OK);
    assert_true(n > 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(what_is_written_is_read_back, enter, leave),
        cmocka_unit_test_setup_teardown(permissions_of_the_old_file_stay_and_links_are_followed, enter, leave),
        cmocka_unit_test_setup_teardown(a_write_that_fails_half_way_leaves_the_old_file_alone, enter, leave),
        cmocka_unit_test_setup_teardown(reasons_are_words, enter, leave),
        cmocka_unit_test_setup_teardown(a_file_beyond_the_limit_is_refused_and_an_endless_one_too, enter, leave),
        cmocka_unit_test(what_is_no_regular_file_is_written_directly),
        cmocka_unit_test_setup_teardown(lack_of_memory_is_reported, enter, leave),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
