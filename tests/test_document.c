/* Reading documents: a corpus of good and bad ones with every message, places, files beside, and lack of memory. */
#include "support.h"

#include <cjson/cJSON.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>

#include "document.h"
#include "file.h"

#define CORPUS IMP_TESTS_FOLDER "/documents"

enum { MOST_TEXT = 4096, FILE_LIMIT = 1 << 24 };

/* ---- support ---- */

static imp_status load_beside(void *context, const char *name, const imp_allocator *allocator, char **text,
                              size_t *length, imp_error *error)
{
    char path[MOST_TEXT];
    snprintf(path, sizeof path, "%s/%s", (const char *)context, name);
    const imp_status status = imp_file_read(path, FILE_LIMIT, allocator, text, length, error);
    return status == IMP_IO ? imp_fail(error, status, NULL, "cannot read \"%s\"", name) : status;
}

/* material-....json, rig-....json, job-....json */
static imp_document_kind kind_of(const char *name)
{
    return strncmp(name, "material", 8) == 0 ? IMP_MATERIAL : strncmp(name, "rig", 3) == 0 ? IMP_RIG : IMP_JOB;
}

static imp_status read_beside(const char *folder, const char *name, const imp_allocator *allocator, imp_node **root,
                              imp_issues *issues)
{
    char path[MOST_TEXT], context[MOST_TEXT], *text = NULL;
    size_t length = 0;
    snprintf(context, sizeof context, "%s", folder);
    snprintf(path, sizeof path, "%s/%s", folder, name);
    assert_int_equal(imp_file_read(path, FILE_LIMIT, NULL, &text, &length, NULL), IMP_OK);
    const imp_document_loader loader = {load_beside, context};
    imp_issues_init(issues, allocator);
    const imp_status status = imp_document_read(kind_of(name), name, text, length, &loader, allocator, root, issues);
    imp_release(NULL, text);
    return status;
}

static imp_status read_job(const char *text, imp_node **root, imp_issues *issues)
{
    imp_issues_init(issues, NULL);
    return imp_document_read(IMP_JOB, "job.json", text, strlen(text), NULL, NULL, root, issues);
}

#define JOB(fields) "{\"name\":\"j (invented)\",\"rig\":{\"name\":\"r\"},\"material\":{\"name\":\"m\"}," fields "}"

/* The only message about a job with these fields. */
static void assert_refused(const char *job, const char *message)
{
    imp_node *root = NULL;
    imp_issues issues;
    char text[1024] = "";
    assert_int_not_equal(read_job(job, &root, &issues), IMP_OK);
    assert_null(root);
    assert_int_equal(issues.count, 1);
    assert_string_equal(imp_issue_text(&issues.items[0], text, sizeof text), message);
    imp_issues_free(&issues);
}

typedef void (*use_name)(const char *folder, const char *name);

static int compare_names(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* Every .json file of a folder, in the order of names; returns how many. */
static size_t each_file(const char *folder, use_name use)
{
    char *names[512];
    size_t count = 0;
    DIR *directory = opendir(folder);
    assert_non_null(directory);
    for (struct dirent *entry; (entry = readdir(directory)) != NULL;)
        if (strstr(entry->d_name, ".json") != NULL) {
            assert_true(count < sizeof names / sizeof names[0]);
            names[count++] = imp_copy_text(NULL, entry->d_name, strlen(entry->d_name));
        }
    closedir(directory);
    qsort(names, count, sizeof names[0], compare_names);
    for (size_t i = 0; i < count; i++) {
        use(folder, names[i]);
        imp_release(NULL, names[i]);
    }
    return count;
}

/* ---- corpus ---- */

static void expect_readable(const char *folder, const char *name)
{
    imp_node *root = NULL;
    imp_issues issues;
    char text[1024];
    const imp_status status = read_beside(folder, name, NULL, &root, &issues);
    for (size_t i = 0; i < issues.count; i++)
        print_error("%s\n", imp_issue_located_text(&issues.items[i], text, sizeof text));
    assert_int_equal(status, IMP_OK);
    assert_int_equal(issues.count, 0);
    assert_true(imp_node_find(root, "name", NULL)->given);
    imp_node_free(root, NULL);
    imp_issues_free(&issues);
}

static void every_good_document_is_read(void **state)
{
    (void)state;
    assert_true(each_file(CORPUS "/good", expect_readable) >= 15);
}

static char *found_messages;
static size_t found_used, found_size;

static void append(const char *line, const char *indent)
{
    found_used += (size_t)snprintf(found_messages + found_used, found_size - found_used, "%s%s\n", indent, line);
    assert_true(found_used < found_size);
}

static void collect_messages(const char *folder, const char *name)
{
    imp_node *root = NULL;
    imp_issues issues;
    char text[1024];
    assert_int_not_equal(read_beside(folder, name, NULL, &root, &issues), IMP_OK);
    assert_null(root);
    assert_true(issues.count > 0);
    append(name, "");
    for (size_t i = 0; i < issues.count; i++)
        append(imp_issue_located_text(&issues.items[i], text, sizeof text), "  ");
    imp_issues_free(&issues);
}

static void every_bad_document_is_refused_with_these_sentences(void **state)
{
    (void)state;
    char *expected = NULL;
    size_t length = 0;
    found_size = 1 << 18;
    found_used = 0;
    found_messages = calloc(found_size, 1);
    assert_true(each_file(CORPUS "/bad", collect_messages) >= 40);
    assert_int_equal(imp_file_read(CORPUS "/messages.txt", FILE_LIMIT, NULL, &expected, &length, NULL), IMP_OK);
    /* line by line: a difference is shown by itself */
    const char *found = found_messages;
    for (const char *at = expected; *at != '\0' || *found != '\0';) {
        char wanted[1200], got[1200];
        const int wanted_length = (int)strcspn(at, "\n"), got_length = (int)strcspn(found, "\n");
        snprintf(wanted, sizeof wanted, "%.*s", wanted_length, at);
        snprintf(got, sizeof got, "%.*s", got_length, found);
        assert_string_equal(got, wanted);
        at += wanted_length + (at[wanted_length] == '\n');
        found += got_length + (found[got_length] == '\n');
    }
    imp_release(NULL, expected);
    free(found_messages);
}

/* ---- what is read ---- */

static void values_are_si_and_keep_what_was_written(void **state)
{
    (void)state;
    imp_node *root = NULL;
    imp_issues issues;
    assert_int_equal(read_beside(CORPUS "/good", "job-us.json", NULL, &root, &issues), IMP_OK);
    const imp_node *node = imp_node_find(root, "site.air_temperature", NULL);
    assert_close(node->number, (57.0 - 32.0) / 1.8 + 273.15, 1e-9); /* NIST SP 811, B.8 */
    assert_string_equal(node->text, "57 degF");
    assert_string_equal(node->unit.text, "degF");
    assert_int_equal(node->line, 7);
    assert_int_equal(node->column, 32);
    node = imp_node_find(root, "work.thickness", NULL);
    assert_close(node->number, 3.5 * 0.0254, 1e-12);
    node = imp_node_find(root, "supply.phases", NULL);
    assert_string_equal(node->row->choices[(int)node->number], "3");
    assert_string_equal(imp_node_find(root, "prices.labour_rate", NULL)->unit.dimension.currency, "USD");
    imp_node_free(root, NULL);
    imp_issues_free(&issues);
}

static void dates_are_days_since_1970(void **state)
{
    (void)state;
    /* `date -u -d 2031-04-17 +%s` of GNU coreutils 9.1 divided by 86400 gives 22386; the others likewise */
    static const struct {
        const char *text;
        double days;
    } cases[] = {
        {"1970-01-01", 0}, {"1969-12-31", -1}, {"2000-02-29", 11016}, {"2031-04-17", 22386}, {"1900-03-01", -25508}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char text[300];
        imp_node *root = NULL;
        imp_issues issues;
        snprintf(text, sizeof text, JOB("\"date\":\"%s\""), cases[i].text);
        assert_int_equal(read_job(text, &root, &issues), IMP_OK);
        assert_close(imp_node_find(root, "date", NULL)->number, cases[i].days, 0.0);
        imp_node_free(root, NULL);
        imp_issues_free(&issues);
    }
}

static void absent_fields_are_there_and_say_that_they_are_not_given(void **state)
{
    (void)state;
    imp_node *root = NULL;
    imp_issues issues;
    assert_int_equal(read_job(JOB("\"crew\":2"), &root, &issues), IMP_OK);
    const imp_node *node = imp_node_find(root, "material.iso.storage.min", NULL);
    assert_non_null(node);
    assert_false(imp_node_has_value(node));
    assert_string_equal(node->row->unit, "degC");
    node = imp_node_find(root, "site.humidity_over", NULL);
    assert_false(node->given);
    assert_true(node->is_default);
    assert_true(imp_node_has_value(node));
    assert_true(imp_node_find(root, "crew", NULL)->given);
    assert_int_equal(imp_node_find(root, "rig.loads", NULL)->count, 0);
    imp_node_free(root, NULL);
    imp_issues_free(&issues);
}

static void paths_find_items_and_name_the_nearest_field(void **state)
{
    (void)state;
    imp_node *root = NULL;
    imp_issues issues;
    imp_error error = {.status = IMP_OK};
    char text[1024];
    assert_int_equal(read_beside(CORPUS "/good", "job-with-files.json", NULL, &root, &issues), IMP_OK);
    assert_string_equal(imp_node_find(root, "material", NULL)->text, "material-full.json");
    assert_close(imp_node_find(root, "material.iso.viscosity[2].temperature", NULL)->number, 298.15, 1e-9);
    assert_close(imp_node_find(root, "rig.hose.taps[3]", NULL)->number, 84.0, 1e-12);
    assert_ptr_equal(imp_node_find(root, "", NULL), root);
    static const struct {
        const char *path, *message;
    } wrong[] = {
        {"material.iso.viscsity[2].temperature",
         "material.iso.viscsity[2]: unknown field; did you mean \"viscosity\"?"},
        {"material.iso.viscosity[9].temperature", "material.iso.viscosity[9]: there is no such item"},
        {"material.iso[1]", "material.iso[1]: there is no such item"},
        {"crew.size", "crew.size: unknown field"},
        {"material..iso", "material..iso: not a path such as \"site.air_temperature\" or \"rig.hose.taps[1]\""},
        {"material.", "material.: not a path such as \"site.air_temperature\" or \"rig.hose.taps[1]\""},
        {"rig.hose.taps[0]", "rig.hose.taps[0]: not a path such as \"site.air_temperature\" or \"rig.hose.taps[1]\""},
        {"rig.hose.taps[x]", "rig.hose.taps[x]: not a path such as \"site.air_temperature\" or \"rig.hose.taps[1]\""},
    };
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        assert_null(imp_node_find(root, wrong[i].path, &error));
        assert_string_equal(imp_error_text(&error, text, sizeof text), wrong[i].message);
    }
    imp_node_free(root, NULL);
    imp_issues_free(&issues);
}

static void a_file_beside_reads_the_same_as_the_record_inline(void **state)
{
    (void)state;
    imp_node *apart = NULL, *whole = NULL;
    imp_issues issues;
    assert_int_equal(read_beside(CORPUS "/good", "job-with-files.json", NULL, &apart, &issues), IMP_OK);
    imp_issues_free(&issues);
    assert_int_equal(read_beside(CORPUS "/good", "job-full.json", NULL, &whole, &issues), IMP_OK);
    imp_issues_free(&issues);
    static const char *const paths[] = {"rig.heaters.resin.power", "rig.loads[4].start", "material.window.pressure.max",
                                        "material.limits.dew_point_spread", "rig.hose.insulation.outer_diameter"};
    for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++) {
        const imp_node *a = imp_node_find(apart, paths[i], NULL), *b = imp_node_find(whole, paths[i], NULL);
        assert_true(a->given && b->given);
        assert_ptr_equal(a->row, b->row);
        assert_close(a->number, b->number, 0.0);
    }
    imp_node_free(apart, NULL);
    imp_node_free(whole, NULL);
}

/* ---- refusals that are not in the corpus ---- */

static void a_file_name_needs_a_loader(void **state)
{
    (void)state;
    assert_refused("{\"name\":\"j\",\"rig\":\"rig.json\",\"material\":{\"name\":\"m\"}}",
                   "job.json: rig: files cannot be read here; put the record itself in its place");
}

static void a_file_name_stays_inside_its_folder(void **state)
{
    (void)state;
    static const char *const outside[] = {"..", "../a", "a/..", "a/../b", "/a",     "//a",  "a//b",
                                          "a/", ".",    "./a",  "C:a",    "a\\\\b", "a\\nb"};
    static const char *const inside[] = {"a", "a/b/c.json", "..a", "a..b/c..", ".hidden", "\xC3\xB6.json", "a b"};
    char job[300];
    for (size_t i = 0; i < sizeof outside / sizeof outside[0]; i++) {
        imp_node *root = NULL;
        imp_issues issues;
        snprintf(job, sizeof job, "{\"name\":\"j\",\"rig\":\"%s\",\"material\":{\"name\":\"m\"}}", outside[i]);
        assert_int_equal(read_job(job, &root, &issues), IMP_SYNTAX);
        assert_contains(issues.items[0].message, "expected the name of a file beside this one, without \"..\", got ");
        imp_issues_free(&issues);
    }
    for (size_t i = 0; i < sizeof inside / sizeof inside[0]; i++) {
        snprintf(job, sizeof job, "{\"name\":\"j\",\"rig\":\"%s\",\"material\":{\"name\":\"m\"}}", inside[i]);
        assert_refused(
            job,
            "job.json: rig: files cannot be read here; put the record itself in its place"); /* the name was taken;
                                                                                                there is no loader */
    }
}

static void lists_and_texts_have_a_longest(void **state)
{
    (void)state;
    char *job = calloc(20000, 1);
    strcpy(job, "{\"name\":\"j\",\"material\":{\"name\":\"m\"},\"rig\":{\"name\":\"r\",\"hose\":{\"taps\":[\"1 V\"");
    for (int i = 0; i < 1000; i++)
        strcat(job, ",\"1 V\"");
    strcat(job, "]}}}");
    assert_refused(job, "job.json: rig.hose.taps: a list of more than 1000 items");
    memset(job, 0, 20000);
    strcpy(job, "{\"name\":\"j\",\"material\":{\"name\":\"m\"},\"rig\":{\"name\":\"r\"},\"note\":\"");
    memset(job + strlen(job), 'n', 4001);
    strcat(job, "\"}");
    assert_refused(job, "job.json: note: expected a text of at most 4000 bytes, got one of 4001; shorten it");
    free(job);
}

static void very_many_faults_end_with_a_count(void **state)
{
    (void)state;
    char *job = calloc(1 << 16, 1), text[1024];
    imp_node *root = NULL;
    imp_issues issues;
    strcpy(job, "{\"name\":\"j\",\"rig\":{\"name\":\"r\"},\"material\":{\"name\":\"m\"}");
    for (int i = 0; i < 130; i++)
        snprintf(job + strlen(job), 64, ",\n\"strange_key_%d\":1", i);
    strcat(job, "}");
    assert_int_equal(read_job(job, &root, &issues), IMP_UNKNOWN);
    assert_int_equal(issues.count, IMP_MOST_ISSUES + 1);
    assert_string_equal(imp_issue_text(&issues.items[IMP_MOST_ISSUES], text, sizeof text),
                        "job.json: 30 more faults are not listed");
    imp_issues_free(&issues);
    free(job);
}

static void a_long_path_is_cut_and_not_overrun(void **state)
{
    (void)state;
    imp_node *root = NULL;
    imp_issues issues;
    char job[4000] = "{\"name\":\"j\",\"rig\":{\"name\":\"r\"},\"material\":{\"name\":\"m\"}";
    for (int i = 0; i < 20; i++)
        snprintf(job + strlen(job), 100,
                 ",\"\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6\xc3\xb6%050d\":{}", i);
    strcat(job, "}");
    assert_int_equal(read_job(job, &root, &issues), IMP_UNKNOWN);
    assert_int_equal(issues.count, 20);
    for (size_t i = 0; i < issues.count; i++)
        assert_true(strlen(issues.items[i].place) < IMP_PLACE_SIZE);
    imp_issues_free(&issues);
}

/* ---- lack of memory ---- */

typedef struct scarcity {
    long left; /* allocations until one fails */
    long live; /* blocks in use */
    bool has_failed;
} scarcity;

static void *scarce_resize(void *context, void *block, size_t size)
{
    scarcity *s = context;
    if (size == 0) {
        s->live -= block != NULL;
        free(block);
        return NULL;
    }
    if (s->left-- == 0) {
        s->has_failed = true;
        return NULL;
    }
    void *larger = realloc(block, size);
    s->live += block == NULL && larger != NULL;
    return larger;
}

/* Each allocation of ours fails once: the reader says so, leaves no root and gives everything back. */
static void read_with_scarce_memory(const char *folder, const char *name)
{
    for (long n = 0;; n++) {
        scarcity s = {.left = n};
        const imp_allocator allocator = {scarce_resize, &s};
        imp_node *root = NULL;
        imp_issues issues;
        const imp_status status = read_beside(folder, name, &allocator, &root, &issues);
        if (s.has_failed) {
            assert_int_equal(status, IMP_MEMORY);
            assert_null(root);
        }
        imp_node_free(root, &allocator);
        imp_issues_free(&issues);
        assert_int_equal(s.live, 0);
        if (!s.has_failed)
            return;
    }
}

static void each_failing_allocation_is_reported_and_nothing_leaks(void **state)
{
    (void)state;
    read_with_scarce_memory(CORPUS "/good", "job-full.json");
    read_with_scarce_memory(CORPUS "/good", "job-with-files.json");
    read_with_scarce_memory(CORPUS "/bad", "job-everything-wrong.json");
    read_with_scarce_memory(CORPUS "/bad", "job-file-with-faults.json");
    read_with_scarce_memory(CORPUS "/bad", "job-repeated-keys.json");
    read_with_scarce_memory(CORPUS "/bad", "job-limits-order.json");
}

static long tree_allocations_left;

static void *scarce_tree_allocate(size_t size)
{
    return tree_allocations_left-- == 0 ? NULL : malloc(size);
}

static void a_tree_that_finds_no_memory_is_reported(void **state)
{
    (void)state;
    cJSON_Hooks hooks = {scarce_tree_allocate, free};
    cJSON_InitHooks(&hooks);
    imp_status status = IMP_MEMORY;
    for (long n = 0; status == IMP_MEMORY; n++) {
        imp_node *root = NULL;
        imp_issues issues;
        tree_allocations_left = n;
        status = read_beside(CORPUS "/good", "job-with-files.json", NULL, &root, &issues);
        assert_true(status == IMP_OK || status == IMP_MEMORY);
        assert_int_equal(issues.count, 0);
        imp_node_free(root, NULL);
        imp_issues_free(&issues);
    }
    cJSON_InitHooks(NULL);
    assert_int_equal(status, IMP_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_good_document_is_read),
        cmocka_unit_test(every_bad_document_is_refused_with_these_sentences),
        cmocka_unit_test(values_are_si_and_keep_what_was_written),
        cmocka_unit_test(dates_are_days_since_1970),
        cmocka_unit_test(absent_fields_are_there_and_say_that_they_are_not_given),
        cmocka_unit_test(paths_find_items_and_name_the_nearest_field),
        cmocka_unit_test(a_file_beside_reads_the_same_as_the_record_inline),
        cmocka_unit_test(a_file_name_needs_a_loader),
        cmocka_unit_test(a_file_name_stays_inside_its_folder),
        cmocka_unit_test(lists_and_texts_have_a_longest),
        cmocka_unit_test(very_many_faults_end_with_a_count),
        cmocka_unit_test(a_long_path_is_cut_and_not_overrun),
        cmocka_unit_test(each_failing_allocation_is_reported_and_nothing_leaks),
        cmocka_unit_test(a_tree_that_finds_no_memory_is_reported),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
