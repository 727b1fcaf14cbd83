/* Calculations with inputs that lack one of a pair, name what the tables do not have, or are too many; and every one of them
 * when it finds no memory for its lists, records and tables. */
#include "log_support.h"

#include <cjson/cJSON.h>
#include <dirent.h>

#include "impinge.h"

enum { MOST_ARGUMENTS = 20 };

typedef struct arguments {
    const char *names[MOST_ARGUMENTS], *texts[MOST_ARGUMENTS];
    size_t count;
} arguments;

/* "name", "text", ..., NULL */
static arguments arguments_of(const char *const *words)
{
    arguments made = {.count = 0};
    for (; words[2 * made.count] != NULL; made.count++) {
        assert_true(made.count < MOST_ARGUMENTS);
        made.names[made.count] = words[2 * made.count];
        made.texts[made.count] = words[2 * made.count + 1];
    }
    return made;
}

static imp_status evaluate(const char *id, const arguments *given, imp_arena *arena, imp_value *out, imp_error *error)
{
    const imp_calc *calc = imp_catalogue_find(id);
    imp_value in[IMP_MOST_INPUTS];
    assert_non_null(calc);
    const imp_status status = imp_arguments_read(calc, given->count, given->names, given->texts, arena, in, error);
    return status == IMP_OK ? imp_calc_evaluate_in(calc, in, out, NULL, arena, error) : status;
}

static void expect(const char *id, const char *const *words, imp_status status, const char *place, const char *message)
{
    const arguments given = arguments_of(words);
    imp_arena arena;
    imp_value out[IMP_MOST_OUTPUTS];
    imp_error error = {.status = IMP_OK};
    imp_arena_init(&arena, NULL);
    const imp_status found = evaluate(id, &given, &arena, out, &error);
    if (found != status || strstr(error.place, place) == NULL || strstr(error.message, message) == NULL)
        fail_msg("%s: status %d, %s: %s (expected %s: %s)", id, (int)found, error.place, error.message, place, message);
    if (status != IMP_OK)
        assert_int_equal(evaluate(id, &given, &arena, out, NULL), status);
    imp_arena_free(&arena);
}
#define WORDS(...) ((const char *const[]){__VA_ARGS__, NULL})

static double value_of(const char *id, const char *const *words, const char *output)
{
    const arguments given = arguments_of(words);
    imp_arena arena;
    imp_value out[IMP_MOST_OUTPUTS];
    imp_error error = {.status = IMP_OK};
    size_t index = 0;
    imp_arena_init(&arena, NULL);
    if (evaluate(id, &given, &arena, out, &error) != IMP_OK)
        fail_msg("%s: %s: %s", id, error.place, error.message);
    assert_non_null(imp_calc_output(imp_catalogue_find(id), output, &index));
    imp_arena_free(&arena);
    return out[index].number;
}

#define CABLE "current", "20 A", "length", "5 m", "voltage", "400 V", "phases", "3", "method", "C", "insulation", "pvc"

static void one_of_two_that_go_together_asks_for_the_other(void **state)
{
    (void)state;
    expect("electrical.cable_size", WORDS(CABLE, "fault_current", "3000 A"), IMP_MISSING, "clearing_time", "a fault needs both");
    expect("electrical.cable_size", WORDS(CABLE, "clearing_time", "0.4 s"), IMP_MISSING, "fault_current", "a fault needs both");
    expect("electrical.cable_size", WORDS(CABLE), IMP_OK, "", "");
    expect("electrical.generator", WORDS("running_power", "20 kW", "running_power_factor", "0.9", "starting_power", "0 kVA", "voltage", "400 V"), IMP_MISSING, "largest_line_current", "needs both");
    expect("electrical.generator", WORDS("running_power", "20 kW", "running_power_factor", "0.9", "starting_power", "0 kVA", "largest_line_current", "60 A"), IMP_MISSING, "voltage", "needs both");
    expect("electrical.generator", WORDS("running_power", "20 kW", "running_power_factor", "0.9", "starting_power", "0 kVA", "specific_consumption", "0.3 L/kWh"), IMP_MISSING, "time",
           "fuel needs the time");
}

static void what_the_tables_do_not_have_is_not_made_up(void **state)
{
    (void)state;
    expect("electrical.conductor_resistance", WORDS("section", "13.3 mm^2", "length", "10 m", "material", "aluminium", "code", "nec"), IMP_NOT_APPLICABLE,
           "material", "of copper only");
    expect("electrical.conductor_resistance", WORDS("section", "16 mm^2", "length", "10 m", "material", "aluminium", "class", "5"), IMP_NOT_APPLICABLE, "class",
           "no class 5 aluminium");
    expect("electrical.conductor_resistance", WORDS("section", "13.3 mm^2", "length", "10 m", "material", "copper", "code", "nec"), IMP_OK, "", "");
    expect("electrical.cable_size", WORDS("current", "400 A", "length", "5 m", "voltage", "400 V", "phases", "3", "method", "C", "insulation", "pvc", "breaker",
                                          "16 A"), IMP_NO_SOLUTION, "breaker", "is too small for");
    expect("electrical.cable_size", WORDS(CABLE, "grouped", "1.5"), IMP_RANGE, "grouped", "is not a whole number");
    expect("electrical.cable_size", WORDS(CABLE, "grouped", "0"), IMP_RANGE, "grouped", "0");
}

/* A star-delta starter takes a third of the direct current (IEC 60034-12), a soft one less than the direct. */
static void the_way_of_starting_says_how_much_a_motor_draws(void **state)
{
    (void)state;
    static const char *const starts[] = {"direct", "star-delta", "soft"};
    double power[3];
    for (size_t i = 0; i < 3; i++) {
        char loads[300];
        snprintf(loads, sizeof loads,
                 "[{\"kind\":\"motor\",\"connection\":\"star\",\"power\":\"5 kW\",\"power_factor\":0.84,\"efficiency\":0.88,\"start\":\"%s\"}]", starts[i]);
        power[i] = value_of("electrical.line_currents", WORDS("voltage", "400 V", "loads", loads), "starting_power");
    }
    assert_relative(power[1], power[0] / 3.0, 1e-12);
    assert_true(power[2] < power[0] && power[2] > power[1]);
}

static void lists_have_a_most(void **state)
{
    (void)state;
    enum { MANY = 4097 };
    char *text = calloc(MANY, 4);
    for (int i = 0; i < MANY; i++)
        memcpy(text + 2 * i, i + 1 < MANY ? "1," : "1", 2);
    expect("stats.mean", WORDS("values", text), IMP_LIMIT, "values", "more than 4096 items");
    text[2 * MANY - 3] = '\0'; /* one item and its comma less */
    assert_true(value_of("stats.mean", WORDS("values", text), "mean") == 1.0);
    free(text);
    text = calloc(IMP_MOST_LOADS + 2, 100);
    strcpy(text, "[");
    for (int i = 0; i < IMP_MOST_LOADS + 1; i++)
        sprintf(text + strlen(text), "%s{\"kind\":\"other\",\"connection\":\"L1-N\",\"power\":\"1 W\"}", i > 0 ? "," : "");
    strcat(text, "]");
    expect("electrical.may_run", WORDS("voltage", "400 V", "limit_current", "25 A", "loads", text), IMP_LIMIT, "loads", "take some together");
    free(text);
}

static void a_mistyped_member_of_a_record_gets_the_nearest_name(void **state)
{
    (void)state;
    expect("electrical.line_currents", WORDS("voltage", "400 V", "loads", "[{\"kindd\":\"other\"}]"), IMP_UNKNOWN, "kindd", "did you mean \"kind\"?");
    expect("electrical.line_currents", WORDS("voltage", "400 V", "loads", "[{\"qqqqqqqqqqqq\":\"other\"}]"), IMP_UNKNOWN, "qqqqqqqqqqqq", "unknown name");
}

static void loads_in_c_are_checked_like_those_of_a_document(void **state)
{
    (void)state;
    const imp_load good = {.kind = IMP_LOAD_OTHER, .connection = IMP_LOAD_L1_N, .power = 100.0, .rated_voltage = (double)NAN, .power_factor = 1.0,
                           .efficiency = 1.0, .diversity = 1.0};
    const imp_line_supply mains = {400.0, (double)NAN, IMP_THREE_PHASE};
    const bool must_run[IMP_MOST_LOADS + 1] = {false};
    imp_load loads[IMP_MOST_LOADS + 1];
    imp_may_run result;
    imp_error error;
    for (size_t i = 0; i < IMP_MOST_LOADS + 1; i++)
        loads[i] = good;
    assert_int_equal(imp_may_run_within(&mains, loads, must_run, 2, IMP_STATE_SPRAYING, 16.0, &result, &error), IMP_OK);
    assert_int_equal(imp_may_run_within(&mains, loads, must_run, IMP_MOST_LOADS + 1, IMP_STATE_SPRAYING, 16.0, &result, &error), IMP_LIMIT);
    assert_int_equal(imp_may_run_within(&mains, loads, must_run, 2, IMP_STATE_SPRAYING, -1.0, &result, &error), IMP_RANGE);
    imp_line_supply wrong = mains;
    wrong.voltage = -1.0;
    assert_int_equal(imp_may_run_within(&wrong, loads, must_run, 2, IMP_STATE_SPRAYING, 16.0, &result, &error), IMP_RANGE);
    assert_string_equal(error.place, "voltage");
    wrong = mains;
    wrong.measured_voltage = -1.0;
    assert_int_equal(imp_may_run_within(&wrong, loads, must_run, 2, IMP_STATE_SPRAYING, 16.0, &result, &error), IMP_RANGE);
    assert_string_equal(error.place, "measured_voltage");
    wrong = mains;
    wrong.phases = (imp_phases)7;
    assert_int_not_equal(imp_may_run_within(&wrong, loads, must_run, 2, IMP_STATE_SPRAYING, 16.0, &result, &error), IMP_OK);
    assert_string_equal(error.place, "phases");
    assert_int_not_equal(imp_may_run_within(&mains, loads, must_run, 2, (imp_supply_state)7, 16.0, &result, &error), IMP_OK);
    assert_string_equal(error.place, "state");
    loads[1].kind = (imp_load_kind)9;
    assert_int_not_equal(imp_may_run_within(&mains, loads, must_run, 2, IMP_STATE_SPRAYING, 16.0, &result, &error), IMP_OK);
    assert_string_equal(error.place, "loads[2].kind");
    loads[1] = good;
    loads[1].power = -5.0;
    assert_int_equal(imp_may_run_within(&mains, loads, must_run, 2, IMP_STATE_SPRAYING, 16.0, &result, &error), IMP_RANGE);
    assert_string_equal(error.place, "loads[2].power");
}

/* ---- lack of memory ---- */

static char *text_of_input(const cJSON *input)
{
    char number[IMP_NUMBER_TEXT_SIZE];
    if (cJSON_IsString(input))
        return strdup(input->valuestring);
    if (cJSON_IsNumber(input))
        return strdup(imp_number_write(input->valuedouble, 0, number, sizeof number));
    return cJSON_PrintUnformatted(input);
}

static size_t failures;

/* The n-th allocation fails, for every n until none does; whatever fails says that memory is short, and the results stay. */
static void evaluate_with_scarce_memory(const char *id, const arguments *given)
{
    for (long left = 0;; left++) {
        counted_memory memory = {.left = left, .taken = 0};
        const imp_allocator scarce = {counted_resize, &memory};
        imp_arena arena;
        imp_value out[IMP_MOST_OUTPUTS];
        imp_error error = {.status = IMP_OK};
        out[0].number = -7.0;
        imp_arena_init(&arena, &scarce);
        const imp_status status = evaluate(id, given, &arena, out, &error);
        imp_arena_free(&arena);
        if (status != IMP_MEMORY) {
            assert_true(memory.taken <= left);
            return;
        }
        failures++;
        assert_contains(error.message, "out of memory");
        assert_true(out[0].number == -7.0);
    }
}

static void try_case(const cJSON *item, const char **last)
{
    const cJSON *entry = cJSON_GetObjectItemCaseSensitive(item, "entry"), *inputs = cJSON_GetObjectItemCaseSensitive(item, "inputs");
    if (!cJSON_IsString(entry) || inputs == NULL || strcmp(entry->valuestring, *last) == 0)
        return; /* one case of an entry does */
    arguments given = {.count = 0};
    for (const cJSON *input = inputs->child; input != NULL; input = input->next, given.count++) {
        given.names[given.count] = input->string;
        given.texts[given.count] = text_of_input(input);
    }
    *last = entry->valuestring;
    evaluate_with_scarce_memory(entry->valuestring, &given);
    for (size_t i = 0; i < given.count; i++)
        free((char *)(uintptr_t)given.texts[i]);
}

static void every_calculation_that_finds_no_memory_says_so(void **state)
{
    (void)state;
    DIR *listing = opendir(IMP_TESTS_FOLDER "/reference");
    assert_non_null(listing);
    failures = 0;
    for (struct dirent *found; (found = readdir(listing)) != NULL;) {
        char path[512], *text = NULL;
        size_t length = 0;
        if (strstr(found->d_name, ".json") == NULL)
            continue;
        snprintf(path, sizeof path, IMP_TESTS_FOLDER "/reference/%s", found->d_name);
        assert_int_equal(imp_file_read(path, 1 << 24, NULL, &text, &length, NULL), IMP_OK);
        cJSON *document = cJSON_ParseWithLength(text, length);
        const char *last = "";
        const cJSON *item = NULL;
        cJSON_ArrayForEach(item, cJSON_GetObjectItemCaseSensitive(document, "cases")) try_case(item, &last);
        cJSON_Delete(document);
        imp_release(NULL, text);
    }
    closedir(listing);
    assert_true(failures > 10);
}

static long json_left;

static void *scarce_json(size_t size)
{
    return json_left-- == 0 ? NULL : malloc(size);
}

static void a_list_that_is_sound_but_finds_no_memory_is_not_called_unreadable(void **state)
{
    (void)state;
    const arguments given = arguments_of(WORDS("values", "[1, 2, 4]"));
    cJSON_Hooks hooks = {scarce_json, free};
    cJSON_InitHooks(&hooks);
    imp_status status = IMP_MEMORY;
    for (long n = 0; status == IMP_MEMORY; n++) {
        imp_arena arena;
        imp_value out[IMP_MOST_OUTPUTS];
        imp_error error = {.status = IMP_OK};
        imp_arena_init(&arena, NULL);
        json_left = n;
        status = evaluate("stats.mean", &given, &arena, out, &error);
        if (status != IMP_OK)
            assert_string_equal(error.message, "out of memory");
        imp_arena_free(&arena);
    }
    cJSON_InitHooks(NULL);
    assert_int_equal(status, IMP_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_of_two_that_go_together_asks_for_the_other),
        cmocka_unit_test(what_the_tables_do_not_have_is_not_made_up),
        cmocka_unit_test(the_way_of_starting_says_how_much_a_motor_draws),
        cmocka_unit_test(lists_have_a_most),
        cmocka_unit_test(a_mistyped_member_of_a_record_gets_the_nearest_name),
        cmocka_unit_test(loads_in_c_are_checked_like_those_of_a_document),
        cmocka_unit_test(every_calculation_that_finds_no_memory_says_so),
        cmocka_unit_test(a_list_that_is_sound_but_finds_no_memory_is_not_called_unreadable),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
