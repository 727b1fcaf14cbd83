/* shell.h — the command impinge run as a person runs it, for the tests of what it prints, where, and what it tells the
 * shell. Each program of tests works in a folder of its own. */
#ifndef IMP_TEST_SHELL_H
#define IMP_TEST_SHELL_H

#include "support.h"

#include <cjson/cJSON.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

enum { MOST_TEXT = 4 * 1024 * 1024, COMMAND_SIZE = 8192, PATH_SIZE = 256 };

typedef struct run_result {
    int code;
    char *out, *err;
} run_result;

static char folder[] = "/tmp/impinge-runner-XXXXXX"; /* of this run of the tests; make_folder() */

static inline char *read_stream(FILE *stream)
{
    char *text = calloc(1, MOST_TEXT);
    assert_non_null(text);
    const size_t length = fread(text, 1, MOST_TEXT - 1, stream);
    assert_true(length < MOST_TEXT - 1);
    return text;
}

static inline char *read_file(const char *path)
{
    FILE *stream = fopen(path, "r");
    if (stream == NULL)
        return NULL;
    char *text = read_stream(stream);
    fclose(stream);
    return text;
}

static inline char *in_folder(const char *name, char *path)
{
    snprintf(path, PATH_SIZE, "%s/%s", folder, name);
    return path;
}

static inline void write_file(const char *name, const char *text)
{
    char path[PATH_SIZE];
    FILE *stream = fopen(in_folder(name, path), "w");
    assert_non_null(stream);
    fputs(text, stream);
    fclose(stream);
}

/* Run a shell command in the tests' folder, in which "impinge" is the program under test. */
static inline run_result shell(const char *command)
{
    char whole[COMMAND_SIZE], path[PATH_SIZE];
    run_result result;
    const int length = snprintf(whole, sizeof whole, "cd %s && impinge() { %s \"$@\"; } && { %s\n} 2>stderr.txt",
                                folder, IMPINGE_BINARY, command);
    assert_true(length > 0 && (size_t)length < sizeof whole);
    FILE *stream = popen(whole, "r");
    assert_non_null(stream);
    result.out = read_stream(stream);
    const int status = pclose(stream);
    assert_true(WIFEXITED(status));
    result.code = WEXITSTATUS(status);
    result.err = read_file(in_folder("stderr.txt", path));
    assert_non_null(result.err);
    return result;
}

static inline void done(run_result *result)
{
    free(result->out);
    free(result->err);
}

typedef struct command_case {
    const char *command;
    int code;
    const char *out, *err; /* exact; NULL: empty */
} command_case;

static inline void check_case(const command_case *wanted)
{
    run_result result = shell(wanted->command);
    const char *out = wanted->out != NULL ? wanted->out : "", *err = wanted->err != NULL ? wanted->err : "";
    if (result.code != wanted->code || strcmp(result.out, out) != 0 || strcmp(result.err, err) != 0) {
        print_error(
            "%s\n  exit code %d, expected %d\n  stdout \"%s\"\n  expected \"%s\"\n  stderr \"%s\"\n  expected \"%s\"\n",
            wanted->command, result.code, wanted->code, result.out, out, result.err, err);
        fail();
    }
    done(&result);
}

#define CHECK_CASES(cases)                                                                                             \
    for (size_t i_ = 0; i_ < sizeof(cases) / sizeof(cases)[0]; i_++)                                                   \
    check_case(&(cases)[i_])

static inline cJSON *json_of(const char *command)
{
    run_result result = shell(command);
    if (result.code != 0)
        print_error("%s\n%s", command, result.err);
    assert_int_equal(result.code, 0);
    const char *end = NULL;
    cJSON *json = cJSON_ParseWithOpts(result.out, &end, true);
    if (json == NULL)
        print_error("%s: not JSON near \"%.60s\"\n", command, end != NULL ? end : "");
    assert_non_null(json);
    done(&result);
    return json;
}

static inline const cJSON *member(const cJSON *json, const char *name)
{
    const cJSON *found = cJSON_GetObjectItemCaseSensitive(json, name);
    if (found == NULL)
        print_error("no member \"%s\"\n", name);
    assert_non_null(found);
    return found;
}

static inline int make_folder(void **state)
{
    (void)state;
    return mkdtemp(folder) != NULL ? 0 : -1;
}

static inline int remove_folder(void **state)
{
    (void)state;
    char command[PATH_SIZE];
    snprintf(command, sizeof command, "rm -r %s", folder);
    return system(command) == 0 ? 0 : -1;
}

#endif
