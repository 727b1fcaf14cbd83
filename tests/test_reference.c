/* Runs every published case of tests/reference/ through the public interface, and writes the verification table. */
#include "support.h"

#include <cjson/cJSON.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>

#include "argument.h"
#include "number.h"
#include "quantity.h"

enum { MOST_FILES = 64, MOST_ENTRIES = 256, MOST_TEXT = 512 };

typedef struct tally {
    char entry[64];
    int cases, from_memory;
    double worst;
    char worst_id[32];
} tally;

typedef struct run {
    tally tallies[MOST_ENTRIES];
    int tally_count;
    int cases, failures;
} run;

static char *read_text(const char *path)
{
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    fseek(file, 0, SEEK_END);
    const long length = ftell(file);
    rewind(file);
    char *text = calloc((size_t)length + 1, 1);
    assert_int_equal(fread(text, 1, (size_t)length, file), (size_t)length);
    fclose(file);
    return text;
}

static tally *tally_of(run *state, const char *entry)
{
    for (int i = 0; i < state->tally_count; i++)
        if (strcmp(state->tallies[i].entry, entry) == 0)
            return &state->tallies[i];
    assert_true(state->tally_count < MOST_ENTRIES);
    tally *added = &state->tallies[state->tally_count++];
    snprintf(added->entry, sizeof added->entry, "%s", entry);
    return added;
}

static const char *text_of(const cJSON *item, const char *key)
{
    const cJSON *member = cJSON_GetObjectItemCaseSensitive(item, key);
    return cJSON_IsString(member) ? member->valuestring : NULL;
}

static void fail_case(run *state, const cJSON *item, const char *reason)
{
    print_error("reference case %s (%s): %s\n", text_of(item, "id"), text_of(item, "source"), reason);
    state->failures++;
}

/* A JSON input as the text a person types; arrays and objects as JSON. */
static char *input_text(const cJSON *input)
{
    if (cJSON_IsString(input))
        return strdup(input->valuestring);
    if (cJSON_IsNumber(input)) {
        char number[IMP_NUMBER_TEXT_SIZE];
        return strdup(imp_number_write(input->valuedouble, 0, number, sizeof number));
    }
    return cJSON_PrintUnformatted(input);
}

/* Tolerance in SI: a relative share of the expected value, or an absolute quantity. */
static double tolerance_of(const cJSON *item, double expected)
{
    const cJSON *relative = cJSON_GetObjectItemCaseSensitive(item, "tolerance_rel");
    if (cJSON_IsNumber(relative))
        return fabs(expected) * relative->valuedouble;
    const cJSON *absolute = cJSON_GetObjectItemCaseSensitive(item, "tolerance_abs");
    if (cJSON_IsNumber(absolute))
        return absolute->valuedouble;
    imp_quantity quantity;
    if (!cJSON_IsString(absolute) ||
        imp_quantity_parse(absolute->valuestring, strlen(absolute->valuestring), &quantity, NULL, NULL) != IMP_OK)
        return -1.0;
    return quantity.si;
}

static void note_deviation(run *state, const cJSON *item, const char *entry, double actual, double expected)
{
    tally *sum = tally_of(state, entry);
    const double deviation = expected != 0.0 ? fabs(actual - expected) / fabs(expected) : fabs(actual);
    const char *how = text_of(item, "how_obtained");
    sum->cases++;
    sum->from_memory += how != NULL && strncmp(how, "from memory", 11) == 0;
    if (deviation >= sum->worst) {
        sum->worst = deviation;
        snprintf(sum->worst_id, sizeof sum->worst_id, "%s", text_of(item, "id"));
    }
}

static void compare(run *state, const cJSON *item, const char *entry, double actual, double expected)
{
    char reason[MOST_TEXT];
    const double tolerance = tolerance_of(item, expected);
    /* ten times the rounding of a double: a printed tolerance of "0.005" must not fail on its own last bit */
    const double rounding = 2e-15 * fabs(expected);
    if (!(tolerance >= 0.0)) {
        fail_case(state, item, "no readable tolerance");
        return;
    }
    note_deviation(state, item, entry, actual, expected);
    if (fabs(actual - expected) <= tolerance + rounding)
        return;
    snprintf(reason, sizeof reason, "%s gives %.10g, published %.10g within %.3g (SI)", entry, actual, expected, tolerance);
    fail_case(state, item, reason);
}

static void run_conversion(run *state, const cJSON *item)
{
    const char *from = text_of(item, "convert"), *to = text_of(item, "to");
    imp_quantity quantity;
    imp_unit unit;
    imp_error error;
    double value = 0.0;
    if (imp_quantity_parse(from, strlen(from), &quantity, NULL, &error) != IMP_OK ||
        imp_unit_parse(to, strlen(to), &unit, &error) != IMP_OK || imp_quantity_in(&quantity, &unit, &value, &error) != IMP_OK)
        fail_case(state, item, error.message);
    else
        compare(state, item, "units", value, cJSON_GetObjectItemCaseSensitive(item, "expected")->valuedouble);
}

static void compare_output(run *state, const cJSON *item, const imp_calc *calc, const imp_value *out, imp_arena *arena)
{
    const char *name = text_of(item, "output");
    const cJSON *expected_item = cJSON_GetObjectItemCaseSensitive(item, "expected");
    size_t index = 0;
    char reason[MOST_TEXT], written[160];
    imp_error error;
    const imp_param *row = name != NULL ? imp_calc_output(calc, name, &index) : NULL;
    if (row == NULL) {
        fail_case(state, item, "names no output of the entry");
        return;
    }
    imp_param free_row = *row; /* the published value itself need not lie in the row's range */
    free_row.low = free_row.high = 0.0;
    imp_value expected = {.number = 0.0};
    char *text = input_text(expected_item);
    if (imp_argument_read(&free_row, text, arena, &expected, &error) != IMP_OK) {
        fail_case(state, item, imp_error_text(&error, reason, sizeof reason));
    } else if (row->kind == IMP_CHOICE) {
        note_deviation(state, item, calc->id, out[index].number, out[index].number);
        if ((int)expected.number != (int)out[index].number) {
            snprintf(reason, sizeof reason, "%s gives %s, published %s", calc->id,
                     imp_param_format(row, out[index].number, 0, written, sizeof written), text);
            fail_case(state, item, reason);
        }
    } else {
        compare(state, item, calc->id, out[index].number, expected.number);
    }
    free(text);
}

static bool is_told_by(const imp_sheet_line *step, const imp_param *row, const imp_value *value)
{
    return row->kind != IMP_NUMBER || !value->given || row->symbol == NULL || strcmp(row->symbol, step->symbol) != 0 ||
           fabs(step->value - value->number) <= 1e-9 * fabs(value->number);
}

/* A step has a finite number in a unit that there is, and one that goes by the symbol of an input or output is that. */
static void check_step(run *state, const cJSON *item, const imp_calc *calc, const imp_value *in, const imp_value *out,
                       const imp_sheet_line *step)
{
    char reason[MOST_TEXT];
    imp_unit unit;
    bool good = step->symbol != NULL && step->name != NULL && isfinite(step->value) && step->unit != NULL &&
                imp_unit_parse(step->unit, strlen(step->unit), &unit, NULL) == IMP_OK;
    for (size_t i = 0; good && i < calc->input_count; i++)
        good = is_told_by(step, &calc->inputs[i], &in[i]);
    for (size_t i = 0; good && i < calc->output_count; i++)
        good = is_told_by(step, &calc->outputs[i], &out[i]);
    if (good)
        return;
    snprintf(reason, sizeof reason, "%s: the sheet's step %s = %g %s is none, or not what goes by its symbol", calc->id,
             step->symbol != NULL ? step->symbol : "?", step->value, step->unit != NULL ? step->unit : "?");
    fail_case(state, item, reason);
}

/* Writing a sheet changes no result, and its last lines are the results. */
static void check_sheet(run *state, const cJSON *item, const imp_calc *calc, const imp_value *in, const imp_value *out)
{
    char reason[MOST_TEXT];
    imp_value told[IMP_MOST_OUTPUTS];
    imp_sheet sheet;
    imp_sheet_init(&sheet, NULL);
    bool same = imp_calc_evaluate(calc, in, told, &sheet, NULL) == IMP_OK && !sheet.failed && sheet.count >= calc->output_count;
    for (size_t i = 0; same && i < calc->output_count; i++) {
        const imp_sheet_line *line = &sheet.lines[sheet.count - calc->output_count + i];
        same = line->role == IMP_SHEET_RESULT && told[i].given == out[i].given &&
               (!told[i].given || (memcmp(&told[i].number, &out[i].number, sizeof told[i].number) == 0 &&
                                   memcmp(&line->value, &out[i].number, sizeof line->value) == 0));
    }
    if (!same) {
        snprintf(reason, sizeof reason, "%s gives another result on a sheet", calc->id);
        fail_case(state, item, reason);
    }
    for (size_t i = 0; i < sheet.count; i++)
        if (sheet.lines[i].role == IMP_SHEET_STEP)
            check_step(state, item, calc, in, told, &sheet.lines[i]);
    imp_sheet_free(&sheet);
}

static void run_entry(run *state, const cJSON *item)
{
    const char *id = text_of(item, "entry");
    const imp_calc *calc = id != NULL ? imp_catalogue_find(id) : NULL;
    const cJSON *inputs = cJSON_GetObjectItemCaseSensitive(item, "inputs");
    const char *names[IMP_MOST_INPUTS];
    char *texts[IMP_MOST_INPUTS], reason[MOST_TEXT + 160];
    size_t count = 0;
    imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
    imp_error error;
    imp_arena arena;
    if (calc == NULL) {
        fail_case(state, item, "names no entry");
        return;
    }
    imp_arena_init(&arena, NULL);
    for (const cJSON *input = inputs->child; input != NULL && count < IMP_MOST_INPUTS; input = input->next, count++) {
        names[count] = input->string;
        texts[count] = input_text(input);
    }
    imp_status status = imp_arguments_read(calc, count, names, (const char *const *)texts, &arena, in, &error);
    if (status == IMP_OK)
        status = imp_calc_evaluate(calc, in, out, NULL, &error);
    if (status == IMP_OK) {
        compare_output(state, item, calc, out, &arena);
        check_sheet(state, item, calc, in, out);
    } else {
        fail_case(state, item, imp_error_text(&error, reason, sizeof reason));
    }
    for (size_t i = 0; i < count; i++)
        free(texts[i]);
    imp_arena_free(&arena);
}

static void run_case(run *state, const cJSON *item)
{
    state->cases++;
    if (text_of(item, "id") == NULL || text_of(item, "source") == NULL || text_of(item, "how_obtained") == NULL)
        fail_case(state, item, "lacks id, source or how_obtained");
    else if (cJSON_HasObjectItem(item, "convert"))
        run_conversion(state, item);
    else
        run_entry(state, item);
}

static int by_name(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

static void run_folder(run *state, const char *folder)
{
    char *files[MOST_FILES], path[1024];
    int count = 0;
    DIR *listing = opendir(folder);
    assert_non_null(listing);
    for (struct dirent *entry = readdir(listing); entry != NULL; entry = readdir(listing)) {
        const size_t length = strlen(entry->d_name);
        if (length > 5 && strcmp(entry->d_name + length - 5, ".json") == 0 && count < MOST_FILES)
            files[count++] = strdup(entry->d_name);
    }
    closedir(listing);
    qsort(files, (size_t)count, sizeof files[0], by_name);
    for (int i = 0; i < count; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, files[i]);
        char *text = read_text(path);
        cJSON *document = cJSON_Parse(text);
        if (document == NULL)
            fail_msg("%s is not JSON near: %.60s", path, cJSON_GetErrorPtr());
        const cJSON *item = NULL;
        cJSON_ArrayForEach(item, cJSON_GetObjectItemCaseSensitive(document, "cases")) run_case(state, item);
        cJSON_Delete(document);
        free(text);
        free(files[i]);
    }
}

static void write_line(FILE *table, const char *entry, const tally *sum)
{
    char worst[64];
    if (sum == NULL) {
        fprintf(table, "| %s | none | | | |\n", entry);
        return;
    }
    snprintf(worst, sizeof worst, "%.1e in %s", sum->worst, sum->worst_id);
    /* smaller ones are rounding, which differs between builds */
    fprintf(table, "| %s | %d | %d | %s |\n", entry, sum->cases, sum->from_memory,
            sum->worst < 1e-8 ? "below 1e-8" : worst);
}

static const tally *tally_if_any(const run *state, const char *entry)
{
    for (int i = 0; i < state->tally_count; i++)
        if (strcmp(state->tallies[i].entry, entry) == 0)
            return &state->tallies[i];
    return NULL;
}

/* The table that the README links. A deviation may be as large as the published figure's own rounding. */
static void write_table(const run *state, const char *path)
{
    int without = 0, from_memory = 0;
    FILE *table = fopen(path, "w");
    assert_non_null(table);
    fprintf(table, "# Verification against published values\n\n"
                   "Written by the test `test_reference` from tests/reference/*.json, where each case names its source.\n"
                   "A deviation includes the rounding of the published figure.\n\n"
                   "| entry | cases | from memory | worst relative deviation |\n"
                   "|---|---|---|---|\n");
    write_line(table, "units", tally_if_any(state, "units"));
    for (size_t i = 0; i < imp_catalogue_count(); i++) {
        const char *id = imp_catalogue_at(i)->id;
        const tally *sum = tally_if_any(state, id);
        write_line(table, id, sum);
        without += sum == NULL;
    }
    for (int i = 0; i < state->tally_count; i++)
        from_memory += state->tallies[i].from_memory;
    fprintf(table, "\n%d cases in all, %d of them from memory; %d entries without an outside case.\n", state->cases, from_memory, without);
    fclose(table);
}

static void published_values_are_reproduced_within_their_printed_digits(void **context)
{
    (void)context;
    run *state = calloc(1, sizeof *state);
    run_folder(state, IMP_TESTS_FOLDER "/reference");
    write_table(state, IMP_TABLE_FILE);
    const int cases = state->cases, failures = state->failures;
    free(state);
    print_message("%d published cases, %d failed\n", cases, failures);
    assert_true(cases > 0);
    assert_int_equal(failures, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_values_are_reproduced_within_their_printed_digits),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
