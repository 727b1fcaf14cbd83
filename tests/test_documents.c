/* The program that writes man pages, completion, stubs and the manual while impinge is built: what it refuses, how it shows
 * published cases, and that nothing half-written stays when memory runs out. Linked with --wrap=malloc and --wrap=realloc. */
#include "shell.h"

#include <sys/stat.h>

#include "documents.h"
#include "published_cases.h"

#define STYLE IMP_SCRIPTS_FOLDER "/report/style.lua"
#define MODULE_STUBS IMP_SOURCE_FOLDER "/bindings/documents/module_stubs.lua"
#define REFERENCES IMP_TESTS_FOLDER "/reference"

void *__real_malloc(size_t size);
void *__real_realloc(void *block, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_realloc(void *block, size_t size);

static unsigned long seen, failing; /* allocations so far; the one that fails, 0: none */

void *__wrap_malloc(size_t size)
{
    return ++seen == failing ? NULL : __real_malloc(size);
}

void *__wrap_realloc(void *block, size_t size)
{
    return ++seen == failing ? NULL : __real_realloc(block, size);
}

/* ---- the program ---- */

static void wrong_arguments_and_files_end_with_one_sentence(void **state)
{
    (void)state;
    write_file("number.lua", "return 7\n");
    write_file("broken.lua", "return (\n");
    write_file("fails.lua", "error 'no style'\n");
    static const struct {
        const char *command, *said;
    } cases[] = {
        {WRITER, "expected man, completions, stubs or manual, a folder, and the sources"},
        {WRITER " man", "expected man, completions, stubs or manual"},
        {WRITER " man . .", "expected man, completions, stubs or manual"},
        {WRITER " completions", "expected man, completions, stubs or manual"},
        {WRITER " stubs .", "expected man, completions, stubs or manual"},
        {WRITER " manual .", "expected man, completions, stubs or manual"},
        {WRITER " handbook .", "expected man, completions, stubs or manual"},
        {WRITER " man none", "none/impinge"},
        {WRITER " completions none", "none/impinge"},
        {WRITER " stubs none " MODULE_STUBS, "none/impinge.lua"},
        {WRITER " stubs . none.lua", "none.lua"},
        {WRITER " man $(printf %5000s x | tr ' ' x)", "the folder's name is too long"},
        {WRITER " manual none true " REFERENCES " " STYLE " " MODULE_STUBS, "none/index.md"},
        {WRITER " manual . true " REFERENCES " none.lua " MODULE_STUBS, "none.lua: returns no text"},
        {WRITER " manual . true " REFERENCES " number.lua " MODULE_STUBS, "number.lua: returns no text"},
        {WRITER " manual . true " REFERENCES " broken.lua " MODULE_STUBS, "broken.lua: returns no text"},
        {WRITER " manual . true " REFERENCES " fails.lua " MODULE_STUBS, "fails.lua: returns no text"},
        {WRITER " manual . true " REFERENCES " " STYLE " none.lua", "none.lua"},
        {WRITER " manual . false " REFERENCES " " STYLE " " MODULE_STUBS, "example ends with code 1: impinge calc "},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        run_result result = shell(cases[i].command);
        if (result.code != 1)
            print_error("%s: exit code %d\n", cases[i].command, result.code);
        assert_int_equal(result.code, 1);
        assert_string_equal(result.out, "");
        assert_contains(result.err, "write_documents: ");
        assert_contains(result.err, cases[i].said);
        assert_null(strchr(strchr(result.err, '\n') + 1, '\n')); /* one line */
        done(&result);
    }
}

static void wrong_files_of_published_cases_are_named(void **state)
{
    (void)state;
    char path[PATH_SIZE];
    static const struct {
        const char *text, *said;
    } cases[] = {
        {"{\"cases\": [\n", "no JSON document with \"cases\""},
        {"[]", "no JSON document with \"cases\""},
        {"{\"tests\": []}", "no JSON document with \"cases\""},
        {"{\"cases\": [{\"id\": \"X1\", \"entry\": \"air.volume_flow\", \"inputs\": {\"nothing\": 1}}]}", NULL},
        {"{\"cases\": [{\"id\": \"X1\", \"entry\": \"climate.dew_point\", \"inputs\": {\"humidity\": \"50 %\"}}]}", "X1: "},
        {"{\"cases\": [{\"id\": \"X2\", \"entry\": \"climate.dew_point\", \"inputs\": {\"air_temperature\": \"20 degC\", "
         "\"relative_humidity\": \"150 %\"}}]}", "X2: "},
    };
    mkdir(in_folder("cases", path), 0700);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        write_file("cases/climate.json", cases[i].text);
        run_result result = shell("rm -f climate.*; " WRITER " manual . true cases " STYLE " " MODULE_STUBS);
        assert_int_equal(result.code, cases[i].said != NULL ? 1 : 0);
        if (cases[i].said != NULL) {
            assert_contains(result.err, cases[i].said);
            assert_null(read_file(in_folder("climate.md", path)));
        }
        done(&result);
    }
}

/* ---- published cases ---- */

static const char invented[] =
    "[{\"id\": \"T1\", \"entry\": \"stats.mean\", \"inputs\": {\"values\": [1, 2, 6]}, \"output\": \"mean\", "
    "\"expected\": 3, \"source\": \"by hand\", \"how_obtained\": \"sum over count\"},"
    "{\"id\": \"T2\", \"entry\": \"stats.mean\", \"inputs\": {\"values\": \"4, 4\"}, \"output\": \"mean\", "
    "\"expected\": \"4\", \"tolerance_rel\": 0.001, \"source\": \"by hand\", \"how_obtained\": \"equal values\", \"note\": \"it's plain\"},"
    "{\"id\": \"T3\", \"entry\": \"climate.dew_point\", \"inputs\": {\"air_temperature\": \"20 degC\", \"relative_humidity\": 0.5, "
    "\"humidity_over\": \"it's\"}, \"output\": \"none\", \"expected\": \"9.3 degC\", \"tolerance_abs\": \"0.06 K\"}]";

static void a_published_case_stands_with_its_value_tolerance_and_source(void **state)
{
    (void)state;
    cJSON *cases = cJSON_Parse(invented);
    const imp_calc *mean = imp_catalogue_find("stats.mean");
    imp_error error;
    paper page;
    assert_non_null(cases);
    assert_non_null(mean);
    paper_open(&page, false, NULL, "cases", "Cases");
    assert_int_equal(write_cases(&page, cases, mean, &error), IMP_OK);
    const char *text = collected_text(&page.text);
    assert_contains(text, "| T1 | values = \\[1,2,6\\] | mean | 3 | 3 | same | by hand; sum over count |");
    assert_contains(text, "| T2 | values = 4, 4 | mean | 4 | 4 | 0.1 % | by hand; equal values; it's plain |");
    assert_null(strstr(text, "T3")); /* another entry's */
    output_free(&page.text);
    cJSON_Delete(cases);
}

static void an_entry_without_published_cases_says_so(void **state)
{
    (void)state;
    cJSON *cases = cJSON_Parse("[]");
    imp_error error;
    paper page;
    paper_open(&page, false, NULL, "cases", "Cases");
    assert_int_equal(write_cases(&page, cases, imp_catalogue_find("stats.mean"), &error), IMP_OK);
    assert_contains(collected_text(&page.text), "**Published values** none found yet");
    output_free(&page.text);
    cJSON_Delete(cases);
    paper_open(&page, true, "", "cases", "Cases"); /* a room without a file of cases */
    assert_int_equal(write_cases(&page, NULL, imp_catalogue_find("stats.mean"), &error), IMP_OK);
    assert_contains(collected_text(&page.text), "<p><strong>Published values</strong> none found yet</p>");
    output_free(&page.text);
}

static void a_case_with_more_inputs_than_any_entry_has_is_refused(void **state)
{
    (void)state;
    cJSON *cases = cJSON_Parse("[{\"id\": \"T9\", \"entry\": \"stats.mean\"}]"), *inputs = cJSON_CreateObject();
    imp_error error;
    paper page;
    for (int i = 0; i <= IMP_MOST_INPUTS; i++) {
        char name[16];
        snprintf(name, sizeof name, "n%d", i);
        cJSON_AddNumberToObject(inputs, name, i);
    }
    paper_open(&page, false, NULL, "cases", "Cases");
    assert_int_equal(write_cases(&page, cases, imp_catalogue_find("stats.mean"), &error), IMP_MISSING); /* none at all */
    cJSON_AddItemToObject(cases->child, "inputs", inputs);
    assert_int_equal(write_cases(&page, cases, imp_catalogue_find("stats.mean"), &error), IMP_LIMIT);
    assert_contains(error.message, "too many inputs");
    output_free(&page.text);
    cJSON_Delete(cases);
}

static void cases_of_which_memory_ran_out_are_not_shown_as_whole(void **state)
{
    (void)state;
    cJSON *cases = cJSON_Parse(invented);
    const imp_calc *mean = imp_catalogue_find("stats.mean");
    imp_error error;
    unsigned long total = 0;
    for (unsigned long n = 0; n <= total; n++) {
        paper page;
        imp_arena arena;
        imp_arena_init(&arena, NULL);
        paper_open(&page, false, NULL, "cases", "Cases");
        seen = 0;
        failing = n;
        const imp_status status = write_cases(&page, cases, mean, &error);
        const bool has_page = status == IMP_OK && !page.text.out_of_memory;
        const bool has_command = case_command(cases, mean, &arena) != NULL;
        failing = 0;
        if (n == 0)
            total = seen;
        assert_true(n == 0 ? has_page && has_command : has_page != has_command);
        output_free(&page.text);
        imp_arena_free(&arena);
    }
    assert_true(total > 4);
    cJSON_Delete(cases);
}

static void a_line_end_in_a_paragraph_is_kept_in_both_forms(void **state)
{
    (void)state;
    paper page;
    paper_open(&page, false, NULL, "lines", "Lines");
    paper_paragraph(&page, NULL, "one\ntwo");
    assert_contains(collected_text(&page.text), "one  \ntwo\n");
    output_free(&page.text);
    paper_open(&page, true, "", "lines", "Lines");
    paper_paragraph(&page, NULL, "one\ntwo");
    assert_contains(collected_text(&page.text), "<p>one<br>\ntwo</p>\n");
    output_free(&page.text);
}

static void a_bar_in_a_cell_does_not_end_it(void **state)
{
    (void)state;
    static const char *const cells[] = {"`a|b", "a|b"};
    paper page;
    paper_open(&page, false, NULL, "cells", "Cells");
    paper_row(&page, cells, 2);
    assert_contains(collected_text(&page.text), "| `a\\|b` | a\\|b |");
    output_free(&page.text);
}

static void a_folder_without_the_rooms_file_has_no_cases(void **state)
{
    (void)state;
    cJSON *cases = cJSON_CreateArray(), *before = cases;
    imp_error error;
    assert_int_equal(read_cases(folder, "no-such-room", &cases, &error), IMP_OK);
    assert_null(cases);
    cJSON_Delete(before);
}

static void a_case_becomes_a_command_that_the_shell_reads_as_it_was(void **state)
{
    (void)state;
    cJSON *cases = cJSON_Parse(invented);
    imp_arena arena;
    char command[COMMAND_SIZE];
    imp_arena_init(&arena, NULL);
    const char *shown = case_command(cases, imp_catalogue_find("climate.dew_point"), &arena);
    assert_non_null(shown);
    snprintf(command, sizeof command, "impinge() { printf '%%s\\n' \"$@\"; }; %s", shown);
    const command_case read = {command, 0, "calc\nclimate.dew_point\nair_temperature=20 degC\nrelative_humidity=0.5\nhumidity_over=it's\n", NULL};
    check_case(&read);
    const char *list = case_command(cases, imp_catalogue_find("stats.mean"), &arena);
    assert_non_null(list);
    const command_case runs = {list, 0, "3\n", NULL};
    check_case(&runs);
    assert_null(case_command(cases, imp_catalogue_find("hose.pressure_drop"), &arena));
    imp_arena_free(&arena);
    cJSON_Delete(cases);
}

/* ---- lack of memory ---- */

typedef imp_status (*writer)(imp_error *error);

static imp_status write_all_man_pages(imp_error *error)
{
    return write_man_pages(folder, error);
}

static imp_status write_all_completions(imp_error *error)
{
    return write_completions(folder, error);
}

static imp_status write_the_stubs(imp_error *error)
{
    return write_stubs(folder, MODULE_STUBS, error);
}

static imp_status write_the_manual(imp_error *error)
{
    const manual_sources sources = {.runner = "true", .references = REFERENCES, .style = STYLE, .stubs = MODULE_STUBS};
    return write_manual(folder, &sources, error);
}

/* The n-th allocation failing, for every step-th n: the writer says that memory ran out. */
static void says_that_memory_ran_out(writer write, unsigned long first, unsigned long most)
{
    imp_error error;
    seen = failing = 0;
    assert_int_equal(write(&error), IMP_OK);
    const unsigned long total = seen, step = total > most ? total / most : 1;
    assert_true(total > 0);
    for (unsigned long n = 1; n <= total; n += n < first ? 1 : step) {
        seen = 0;
        failing = n;
        const imp_status status = write(&error);
        failing = 0;
        if (status != IMP_MEMORY)
            fail_msg("allocation %lu of %lu: status %d, %s", n, total, (int)status, status == IMP_OK ? "" : error.message);
    }
}

static void every_writer_says_that_memory_ran_out(void **state)
{
    (void)state;
    says_that_memory_ran_out(write_all_man_pages, 20, 20);
    says_that_memory_ran_out(write_all_completions, 20, 20);
    says_that_memory_ran_out(write_the_stubs, 20, 20);
    says_that_memory_ran_out(write_the_manual, 60, 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wrong_arguments_and_files_end_with_one_sentence),
        cmocka_unit_test(wrong_files_of_published_cases_are_named),
        cmocka_unit_test(a_published_case_stands_with_its_value_tolerance_and_source),
        cmocka_unit_test(an_entry_without_published_cases_says_so),
        cmocka_unit_test(a_case_with_more_inputs_than_any_entry_has_is_refused),
        cmocka_unit_test(cases_of_which_memory_ran_out_are_not_shown_as_whole),
        cmocka_unit_test(a_line_end_in_a_paragraph_is_kept_in_both_forms),
        cmocka_unit_test(a_bar_in_a_cell_does_not_end_it),
        cmocka_unit_test(a_folder_without_the_rooms_file_has_no_cases),
        cmocka_unit_test(a_case_becomes_a_command_that_the_shell_reads_as_it_was),
        cmocka_unit_test(every_writer_says_that_memory_ran_out),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
