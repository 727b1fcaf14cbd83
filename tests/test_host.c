/* The check engine's host: rule files in states of their own, and only data between the two. */
#include "support.h"

#include <lauxlib.h>
#include <stdio.h>
#include <stdlib.h>

#include "document.h"
#include "host.h"
#include "sandbox.h"

static const char rules_folder[] = IMP_TESTS_FOLDER "/lua/rules";
static const char *const folders[] = {IMP_TESTS_FOLDER "/lua/modules"};
static imp_node *job; /* of jobs/base.json */

static int read_job(void **state)
{
    (void)state;
    static char text[65536];
    FILE *file = fopen(IMP_TESTS_FOLDER "/jobs/base.json", "rb");
    if (file == NULL)
        return -1;
    const size_t length = fread(text, 1, sizeof text, file);
    fclose(file);
    imp_issues issues;
    imp_issues_init(&issues, NULL);
    const imp_status status = imp_document_read(IMP_JOB, "base.json", text, length, NULL, NULL, &job, &issues);
    imp_issues_free(&issues);
    return status == IMP_OK ? 0 : -1;
}

static int free_job(void **state)
{
    (void)state;
    imp_node_free(job, NULL);
    return 0;
}

typedef struct written {
    char text[256];
    size_t length;
} written;

static void keep(void *context, const char *text, size_t length)
{
    written *all = context;
    assert_true(all->length + length < sizeof all->text);
    memcpy(all->text + all->length, text, length);
    all->length += length;
    all->text[all->length] = '\0';
}

static int collect_always(lua_State *L)
{
    lua_gc(L, LUA_GCINC, 1, 1000, 1); /* the next cycle begins at once */
    return 0;
}

/* Whether the engine's collector never rests. */
static bool collects_always;

/* Run an engine's script with a host; budgets of memory for the engine and for each rule file. */
static imp_status run_engine(const char *text, const char *path, size_t engine_memory, size_t rule_memory,
                             written *output, imp_error *error)
{
    static const char *const rules[] = {"a.lua", "b.lua"};
    const imp_host_option options[] = {{.name = "stage", .kind = IMP_HOST_TEXT, .text = "site"},
                                       {.name = "units", .kind = IMP_HOST_TEXT},
                                       {.name = "folder", .kind = IMP_HOST_TEXT, .text = rules_folder},
                                       {.name = "rules", .kind = IMP_HOST_TEXTS, .texts = rules, .count = 2},
                                       {.name = "strict", .kind = IMP_HOST_FLAG, .flag = true},
                                       {.name = "digits", .kind = IMP_HOST_NUMBER, .number = 4.0}};
    imp_script_options engine = {.budget = imp_default_budget(), .folders = folders, .folder_count = 1};
    engine.budget.memory = engine_memory;
    imp_host_settings settings = {.job = job,
                                  .rows = imp_document_rows(IMP_JOB),
                                  .options = options,
                                  .option_count = 6,
                                  .date = "2031-01-01",
                                  .rule = {.budget = imp_default_budget()},
                                  .write = keep,
                                  .write_context = output};
    settings.rule.budget.steps = 2000000;
    settings.rule.budget.memory = rule_memory;
    imp_script *script = NULL;
    imp_host *host = NULL;
    imp_status status = imp_script_open(&engine, &script, error);
    if (status == IMP_OK)
        status = imp_host_open(script, &settings, &host, error);
    if (status == IMP_OK && collects_always)
        status = imp_script_protect(script, collect_always, NULL, 0, error);
    if (status == IMP_OK && path != NULL)
        status = imp_script_run_file(script, path, 0, error);
    else if (status == IMP_OK)
        status = imp_script_run_text(script, text, strlen(text), "engine.lua", 0, error);
    imp_script_close(script);
    imp_host_close(host);
    return status;
}

static void engine_finds_what_its_script_asserts(void **state)
{
    (void)state;
    imp_error error;
    char text[1024];
    written output = {.length = 0};
    if (run_engine(NULL, IMP_TESTS_FOLDER "/lua/engine.lua", 64u << 20, 64u << 20, &output, &error) != IMP_OK)
        fail_msg("%s", imp_error_text(&error, text, sizeof text));
    assert_string_equal(output.text, "written twice");
}

static void engine_finds_it_under_the_most_aggressive_collector_too(void **state)
{
    collects_always = true;
    engine_finds_what_its_script_asserts(state);
    collects_always = false;
}

/* Also under the most aggressive collector. */
static void logs_are_asked_run_and_merged_as_the_script_asserts(void **state)
{
    (void)state;
    for (int always = 0; always < 2; always++) {
        imp_error error;
        char text[1024];
        written output = {.length = 0};
        collects_always = always != 0;
        const imp_status status = run_engine(NULL, IMP_TESTS_FOLDER "/lua/engine_log.lua", 64u << 20, 64u << 20, &output, &error);
        collects_always = false;
        if (status != IMP_OK)
            fail_msg("%s", imp_error_text(&error, text, sizeof text));
    }
}

static const char small_engine[] =
    "local loaded, message = host.load_rules(host.options().folder .. '/good.lua')\n"
    "if not loaded then return end\n"
    "local ok, results, info = host.call(loaded.rules[1].compute, { ['site.altitude'] = q '10 m' }, true)\n"
    "if ok then host.write(tostring(#info.sheets)) end\n"
    "assert(host.job().site.altitude == q '250 m')\n";

static void memory_may_run_out_anywhere_in_the_engine(void **state)
{
    (void)state;
    bool enough = false;
    for (size_t memory = 20000; !enough; memory += 331) {
        written output = {.length = 0};
        imp_error error;
        const imp_status status = run_engine(small_engine, NULL, memory, 1u << 20, &output, &error);
        if (status != IMP_OK)
            assert_int_equal(status, IMP_LIMIT);
        enough = output.length > 0;
        assert_true(memory < 1000000);
    }
}

static void memory_may_run_out_anywhere_in_a_rule_file(void **state)
{
    (void)state;
    bool enough = false;
    for (size_t memory = 20000; !enough; memory += 331) {
        written output = {.length = 0};
        imp_error error;
        assert_int_equal(run_engine(small_engine, NULL, 1u << 20, memory, &output, &error), IMP_OK);
        enough = output.length > 0;
        assert_true(memory < 1000000);
    }
}

/* Field by field, for what a call could have changed. */
static void assert_same_tree(const imp_node *a, const imp_node *b)
{
    assert_ptr_equal(a->row, b->row);
    assert_int_equal(a->given, b->given);
    assert_int_equal(a->is_default, b->is_default);
    assert_int_equal(a->count, b->count);
    assert_true(a->number == b->number || (isnan(a->number) && isnan(b->number)));
    if (a->text == NULL || b->text == NULL)
        assert_ptr_equal(a->text, b->text);
    else
        assert_string_equal(a->text, b->text);
    for (size_t i = 0; i < a->count; i++)
        assert_same_tree(&a->children[i], &b->children[i]);
}

static void job_is_as_it_was_after_every_call(void **state)
{
    imp_node *changed = job;
    assert_int_equal(read_job(state), 0);
    assert_same_tree(changed, job);
    imp_node_free(changed, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(engine_finds_what_its_script_asserts),
        cmocka_unit_test(engine_finds_it_under_the_most_aggressive_collector_too),
        cmocka_unit_test(logs_are_asked_run_and_merged_as_the_script_asserts),
        cmocka_unit_test(memory_may_run_out_anywhere_in_the_engine),
        cmocka_unit_test(memory_may_run_out_anywhere_in_a_rule_file),
        cmocka_unit_test(job_is_as_it_was_after_every_call),
    };
    return cmocka_run_group_tests(tests, read_job, free_job);
}
