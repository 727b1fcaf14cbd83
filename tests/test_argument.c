/* Inputs as a person types them: for every input of every calculation, and every member of its records and tables, texts that can
 * mean nothing are refused with a sentence that names the input, whether somebody wants the sentence or not. */
#include "support.h"

#include <stdio.h>

#include "argument.h"

typedef struct tried {
    size_t refused;
    char place[160];
} tried;

static void must_refuse(const imp_calc *calc, const imp_param *row, const char *text, tried *all)
{
    imp_arena arena;
    imp_value value = {.number = -4.0};
    imp_error error = {.status = IMP_OK};
    imp_arena_init(&arena, NULL);
    const imp_status status = imp_argument_read(row, text, &arena, &value, &error);
    if (status == IMP_OK)
        fail_msg("%s: %s: \"%s\" is not refused", calc->id, row->name, text);
    if (status != imp_argument_read(row, text, &arena, &value, NULL))
        fail_msg("%s: %s: \"%s\" is refused otherwise without a place for the sentence", calc->id, row->name, text);
    if (strncmp(error.place, row->name, strlen(row->name)) != 0 || error.message[0] == '\0')
        fail_msg("%s: %s: \"%s\" is refused with the place \"%s\" and the sentence \"%s\"", calc->id, row->name, text, error.place, error.message);
    assert_true(value.number == -4.0); /* untouched */
    snprintf(all->place, sizeof all->place, "%s", error.place);
    all->refused++;
    imp_arena_free(&arena);
}

static const char *const *wrong_texts(imp_kind kind)
{
    static const char *const numbers[] = {"", "x", "1 glorp", "nan", "inf", "1e999", "1 2", "1 m m m m m m m m m", NULL};
    static const char *const choices[] = {"", "no such choice", "5 5", NULL};
    static const char *const flags[] = {"", "yes", "1", "True", NULL};
    static const char *const lists[] = {"", "x", "[", "[true]", "[{}]", "[[1]]", "[null]", "[\"x\"]", "1,,2", "[1] 2", NULL};
    static const char *const tables[] = {"", "x", "5", "{}", "[", "[5]", "[[]]", "[null]", "[{\"no such name\": 1}]", "[{}, 5]", NULL};
    static const char *const records[] = {"", "x", "5", "[]", "{", "null", "{\"no such name\": 1}", "{\"zzzzzzzzzzzzzzzz\": 1}", NULL};
    static const char *const none[] = {NULL};
    switch (kind) {
    case IMP_NUMBER: return numbers;
    case IMP_CHOICE: return choices;
    case IMP_FLAG: return flags;
    case IMP_LIST: return lists;
    case IMP_TABLE: return tables;
    case IMP_RECORD:
    case IMP_FILE_OR_RECORD: return records;
    default: return none;
    }
}

/* Members of a record or of a table's line, each with a value of a kind that it is not. */
static void damage_members(const imp_calc *calc, const imp_param *row, tried *all)
{
    static const char *const wrong[] = {"null", "[[]]", "\"no such text\"", "{\"zzzz\": 1}"};
    const bool is_table = row->kind == IMP_TABLE;
    for (const imp_param *member = row->rows; member->name != NULL; member++)
        for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
            char text[256];
            if (member->kind == IMP_TEXT || member->kind == IMP_DATE)
                continue;
            snprintf(text, sizeof text, is_table ? "[{\"%s\": %s}]" : "{\"%s\": %s}", member->name, wrong[i]);
            must_refuse(calc, row, text, all);
            if (strstr(all->place, member->name) == NULL)
                fail_msg("%s: %s: refused at \"%s\", which does not name \"%s\"", calc->id, row->name, all->place, member->name);
        }
}

static void what_can_mean_nothing_is_refused_at_its_input(void **state)
{
    (void)state;
    tried all = {.refused = 0};
    for (size_t i = 0; i < imp_catalogue_count(); i++) {
        const imp_calc *calc = imp_catalogue_at(i);
        for (size_t k = 0; k < calc->input_count; k++) {
            const imp_param *row = &calc->inputs[k];
            for (const char *const *text = wrong_texts(row->kind); *text != NULL; text++)
                must_refuse(calc, row, *text, &all);
            if (row->kind == IMP_TABLE || row->kind == IMP_RECORD || row->kind == IMP_FILE_OR_RECORD)
                damage_members(calc, row, &all);
        }
    }
    assert_true(all.refused > 4000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_can_mean_nothing_is_refused_at_its_input),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
