/* A read document handed to rows that are not its own, as a calculator does that names its inputs like the job's: what both know
 * is taken, what does not fit is refused at its place. */
#include "support.h"

#include <stdlib.h>

#include "document.h"
#include "failing_memory.h"
#include "field_table.h"
#include "record_value.h"

enum { MOST_FIELDS = 8 };

typedef struct taken {
    imp_value fields[MOST_FIELDS];
    imp_arena arena;
    imp_error error;
    char currency[4];
} taken;

static const char rig_text[] =
    "{\"name\":\"r (invented)\",\"hose\":{\"section_length\":\"15 m\",\"taps\":[\"40 V\",\"90 V\"],\"sensor_side\":\"resin\","
    "\"insulation\":{\"inner_diameter\":\"30 mm\"}},"
    "\"loads\":[{\"name\":\"drive\",\"kind\":\"motor\",\"connection\":\"star\",\"power\":\"4 kW\",\"power_factor\":0.8,\"efficiency\":0.9},"
    "{\"name\":\"lamp\",\"kind\":\"resistive\",\"connection\":\"star\",\"power\":\"9 kW\"}]}";
static const char job_text[] =
    "{\"name\":\"j (invented)\",\"date\":\"1970-01-03\",\"rig\":{\"name\":\"r\"},\"material\":{\"name\":\"m\",\"unit_price\":\"4 USD/kg\"},"
    "\"confirmed\":{\"fire_watch_set\":true},\"prices\":{\"labour_rate\":\"40 EUR/h\",\"energy_price\":\"0.3 EUR/kWh\",\"fuel_price\":\"2 USD/L\"}}";

static imp_node *read_text(imp_document_kind kind, const char *text)
{
    imp_node *root = NULL;
    imp_issues issues;
    imp_issues_init(&issues, NULL);
    if (imp_document_read(kind, "a.json", text, strlen(text), NULL, NULL, &root, &issues) != IMP_OK)
        fail_msg("%s: %s", issues.items[0].place, issues.items[0].message);
    imp_issues_free(&issues);
    return root;
}

static imp_status take_from(const imp_node *root, const char *path, const imp_param *rows, taken *t)
{
    memset(t, 0, sizeof *t);
    imp_arena_init(&t->arena, NULL);
    return imp_record_fields(imp_node_find(root, path, NULL), rows, &t->arena, t->fields, t->currency, &t->error);
}

static void assert_refused(imp_document_kind kind, const char *text, const char *path, const imp_param *rows, imp_status status,
                           const char *place, const char *message)
{
    imp_node *root = read_text(kind, text);
    taken t;
    assert_int_equal(take_from(root, path, rows, &t), status);
    assert_string_equal(t.error.place, place);
    assert_contains(t.error.message, message);
    imp_arena_free(&t.arena);
    imp_node_free(root, NULL);
}

static const char *const sides[] = {"resin", "iso", NULL}; /* not in the document's order */
static const char *const other_sides[] = {"left", "right", NULL};

static void fields_are_taken_by_name_whatever_their_order(void **state)
{
    (void)state;
    static const imp_param insulation[] = {IMP_FIELD_DEFAULT_QUANTITY("gap", IMP_LENGTH, "mm", 0.0, 1.0, IMP_CLOSED, 0.5, ""),
                                           IMP_FIELD_QUANTITY("inner_diameter", IMP_LENGTH, "mm", 0.0, 1.0, IMP_CLOSED, ""), IMP_FIELD_END};
    static const imp_param rows[] = {IMP_FIELD_LIST("taps", IMP_VOLTAGE, "V", 0.0, 100.0, IMP_CLOSED, ""),
                                     IMP_FIELD_CHOICE("sensor_side", sides, ""),
                                     IMP_FIELD_RECORD("insulation", insulation, ""),
                                     IMP_FIELD_QUANTITY("section_length", IMP_LENGTH, "m", 0.0, 100.0, IMP_CLOSED, ""),
                                     IMP_FIELD_QUANTITY("no_field_of_the_rig", IMP_LENGTH, "m", 0.0, 100.0, IMP_CLOSED, ""),
                                     IMP_FIELD_QUANTITY("current_limit", IMP_CURRENT, "A", 0.0, 100.0, IMP_CLOSED, ""),
                                     IMP_FIELD_END};
    imp_node *root = read_text(IMP_RIG, rig_text);
    taken t;
    assert_int_equal(take_from(root, "hose", rows, &t), IMP_OK);
    assert_int_equal(t.fields[0].count, 2);
    assert_true(t.fields[0].items[0].given && t.fields[0].items[1].given);
    assert_close(t.fields[0].items[1].number, 90.0, 1e-12);
    assert_close(t.fields[1].number, 0.0, 0.0); /* the resin is this row's first */
    assert_true(t.fields[2].items[0].given);
    assert_close(t.fields[2].items[0].number, 0.5, 0.0); /* by default */
    assert_close(t.fields[2].items[1].number, 0.03, 1e-12);
    assert_close(t.fields[3].number, 15.0, 0.0);
    assert_false(t.fields[4].given);
    assert_true(isnan(t.fields[4].number));
    assert_false(t.fields[5].given);
    imp_arena_free(&t.arena);
    imp_node_free(root, NULL);
}

static void tables_are_taken_line_by_line(void **state)
{
    (void)state;
    static const imp_param load[] = {IMP_FIELD_QUANTITY("power", IMP_POWER, "kW", 0.0, 1e5, IMP_CLOSED, ""), IMP_FIELD_TEXT("name", IMP_REQUIRED, ""), IMP_FIELD_END};
    static const imp_param rows[] = {IMP_FIELD_TABLE("loads", load, ""), IMP_FIELD_TEXT("name", IMP_REQUIRED, ""), IMP_FIELD_END};
    imp_node *root = read_text(IMP_RIG, rig_text);
    taken t;
    assert_int_equal(take_from(root, "", rows, &t), IMP_OK);
    assert_int_equal(t.fields[0].count, 2);
    assert_close(t.fields[0].items[2].number, 9000.0, 1e-9);
    assert_string_equal(t.fields[0].items[3].text, "lamp");
    assert_string_equal(t.fields[1].text, "r (invented)");
    imp_arena_free(&t.arena);
    imp_node_free(root, NULL);
}

static void dates_flags_and_whole_documents_are_taken_too(void **state)
{
    (void)state;
    static const imp_param confirmed[] = {IMP_FIELD_FLAG("fire_watch_set", ""), IMP_FIELD_END};
    static const imp_param rig[] = {IMP_FIELD_TEXT("name", IMP_REQUIRED, ""), IMP_FIELD_END};
    static const imp_param rows[] = {IMP_FIELD_DATE("date", ""), IMP_FIELD_RECORD("confirmed", confirmed, ""), IMP_FIELD_RECORD("rig", rig, ""),
                                     IMP_FIELD_RECORD("hoses", rig, ""), IMP_FIELD_END};
    imp_node *root = read_text(IMP_JOB, job_text);
    taken t;
    assert_int_equal(take_from(root, "", rows, &t), IMP_OK);
    assert_string_equal(t.fields[0].text, "1970-01-03");
    assert_close(t.fields[0].number, 2.0, 0.0);
    assert_close(t.fields[1].items[0].number, 1.0, 0.0);
    assert_string_equal(t.fields[2].items[0].text, "r");
    assert_false(t.fields[3].given); /* a record that the job does not have */
    imp_arena_free(&t.arena);
    imp_node_free(root, NULL);
}

static void a_field_of_another_kind_is_refused(void **state)
{
    (void)state;
    static const imp_param length[] = {IMP_FIELD_TEXT("section_length", IMP_REQUIRED, ""), IMP_FIELD_END};
    static const imp_param time[] = {IMP_FIELD_QUANTITY("section_length", IMP_TIME, "h", 0.0, 100.0, IMP_CLOSED, ""), IMP_FIELD_END};
    static const imp_param record[] = {IMP_FIELD_RECORD("section_length", length, ""), IMP_FIELD_END};
    static const imp_param number[] = {IMP_FIELD_QUANTITY("insulation", IMP_TIME, "h", 0.0, 100.0, IMP_CLOSED, ""), IMP_FIELD_END};
    static const char message[] = "the document's field of this name is another";
    assert_refused(IMP_RIG, rig_text, "hose", length, IMP_TYPE, "section_length", message);
    assert_refused(IMP_RIG, rig_text, "hose", time, IMP_TYPE, "section_length", "expected a time such as");
    assert_refused(IMP_RIG, rig_text, "hose", record, IMP_TYPE, "section_length", message);
    assert_refused(IMP_RIG, rig_text, "hose", number, IMP_TYPE, "insulation", message);
}

static void a_choice_that_the_row_does_not_have_is_refused(void **state)
{
    (void)state;
    static const imp_param rows[] = {IMP_FIELD_CHOICE("sensor_side", other_sides, ""), IMP_FIELD_END};
    assert_refused(IMP_RIG, rig_text, "hose", rows, IMP_UNKNOWN, "sensor_side", "has no choice \"resin\"");
}

static void what_the_row_does_not_allow_is_refused_at_its_item(void **state)
{
    (void)state;
    static const imp_param load[] = {IMP_FIELD_QUANTITY("power", IMP_POWER, "kW", 0.0, 5000.0, IMP_CLOSED, ""), IMP_FIELD_END};
    static const imp_param insulation[] = {IMP_FIELD_QUANTITY("inner_diameter", IMP_LENGTH, "mm", 0.0, 0.01, IMP_CLOSED, ""), IMP_FIELD_END};
    static const imp_param taps[] = {IMP_FIELD_LIST("taps", IMP_VOLTAGE, "V", 0.0, 50.0, IMP_CLOSED, ""), IMP_FIELD_END};
    static const imp_param currents[] = {IMP_FIELD_LIST("taps", IMP_CURRENT, "A", 0.0, 50.0, IMP_CLOSED, ""), IMP_FIELD_END};
    static const imp_param loads[] = {IMP_FIELD_TABLE("loads", load, ""), IMP_FIELD_END};
    static const imp_param below[] = {IMP_FIELD_RECORD("insulation", insulation, ""), IMP_FIELD_END};
    assert_refused(IMP_RIG, rig_text, "hose", taps, IMP_RANGE, "taps[2]", "90 V is above 50 V");
    assert_refused(IMP_RIG, rig_text, "hose", currents, IMP_TYPE, "taps[1]", "expected a list, each a current");
    assert_refused(IMP_RIG, rig_text, "", loads, IMP_RANGE, "loads[2].power", "9 kW is above 5 kW");
    assert_refused(IMP_RIG, rig_text, "hose", below, IMP_RANGE, "insulation.inner_diameter", "30 mm is above 10 mm");
}

static void nobody_has_to_want_the_sentence(void **state)
{
    (void)state;
    static const imp_param taps[] = {IMP_FIELD_LIST("taps", IMP_VOLTAGE, "V", 0.0, 50.0, IMP_CLOSED, ""), IMP_FIELD_END};
    imp_node *root = read_text(IMP_RIG, rig_text);
    imp_value field = {.number = 0.0};
    imp_arena arena;
    char currency[4] = "";
    imp_arena_init(&arena, NULL);
    assert_int_equal(imp_record_fields(imp_node_find(root, "hose", NULL), taps, &arena, &field, currency, NULL), IMP_RANGE);
    imp_arena_free(&arena);
    imp_node_free(root, NULL);
}

static void amounts_in_two_currencies_are_refused(void **state)
{
    (void)state;
    static const imp_param rate[] = {IMP_FIELD_QUANTITY("labour_rate", IMP_MONEY_PER_TIME, "EUR/h", 0.0, 1e3, IMP_CLOSED, ""), IMP_FIELD_END};
    static const imp_param both[] = {IMP_FIELD_QUANTITY("labour_rate", IMP_MONEY_PER_TIME, "EUR/h", 0.0, 1e3, IMP_CLOSED, ""),
                                     IMP_FIELD_QUANTITY("energy_price", IMP_MONEY_PER_ENERGY, "EUR/kWh", 0.0, 1.0, IMP_CLOSED, ""), IMP_FIELD_END};
    static const imp_param mixed[] = {IMP_FIELD_QUANTITY("labour_rate", IMP_MONEY_PER_TIME, "EUR/h", 0.0, 1e3, IMP_CLOSED, ""),
                                      IMP_FIELD_QUANTITY("fuel_price", IMP_MONEY_PER_VOLUME, "EUR/L", 0.0, 1e7, IMP_CLOSED, ""), IMP_FIELD_END};
    static const imp_param price[] = {IMP_FIELD_QUANTITY("unit_price", IMP_MONEY_PER_MASS, "EUR/kg", 0.0, 1e6, IMP_CLOSED, ""), IMP_FIELD_END};
    imp_node *root = read_text(IMP_JOB, job_text);
    taken t;
    assert_int_equal(take_from(root, "prices", both, &t), IMP_OK);
    assert_string_equal(t.currency, "EUR");
    assert_string_equal(t.fields[1].currency, "EUR");
    imp_arena_free(&t.arena);
    assert_refused(IMP_JOB, job_text, "prices", mixed, IMP_DIMENSION_MISMATCH, "fuel_price", "is in USD where another amount is in EUR");
    /* one record after another */
    assert_int_equal(take_from(root, "prices", rate, &t), IMP_OK);
    imp_value value = {.number = 0.0};
    assert_int_equal(imp_record_fields(imp_node_find(root, "material", NULL), price, &t.arena, &value, t.currency, &t.error), IMP_DIMENSION_MISMATCH);
    imp_arena_free(&t.arena);
    imp_node_free(root, NULL);
}

static void lack_of_memory_is_reported(void **state)
{
    (void)state;
    static const imp_param insulation[] = {IMP_FIELD_QUANTITY("inner_diameter", IMP_LENGTH, "mm", 0.0, 1.0, IMP_CLOSED, ""), IMP_FIELD_END};
    static const imp_param list[] = {IMP_FIELD_LIST("taps", IMP_VOLTAGE, "V", 0.0, 100.0, IMP_CLOSED, ""), IMP_FIELD_END};
    static const imp_param record[] = {IMP_FIELD_RECORD("insulation", insulation, ""), IMP_FIELD_END};
    const imp_param *const rows[] = {list, record};
    imp_node *root = read_text(IMP_RIG, rig_text);
    for (size_t i = 0; i < 2; i++) {
        long left = 0;
        const imp_allocator scarce = {fail_at, &left};
        imp_value field = {.number = 0.0};
        imp_arena arena;
        imp_error error;
        char currency[4] = "";
        imp_arena_init(&arena, &scarce);
        assert_int_equal(imp_record_fields(imp_node_find(root, "hose", NULL), rows[i], &arena, &field, currency, &error), IMP_MEMORY);
        assert_contains(error.message, "out of memory");
        assert_false(field.given);
        imp_arena_free(&arena);
    }
    imp_node_free(root, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fields_are_taken_by_name_whatever_their_order),
        cmocka_unit_test(tables_are_taken_line_by_line),
        cmocka_unit_test(dates_flags_and_whole_documents_are_taken_too),
        cmocka_unit_test(a_field_of_another_kind_is_refused),
        cmocka_unit_test(a_choice_that_the_row_does_not_have_is_refused),
        cmocka_unit_test(what_the_row_does_not_allow_is_refused_at_its_item),
        cmocka_unit_test(nobody_has_to_want_the_sentence),
        cmocka_unit_test(amounts_in_two_currencies_are_refused),
        cmocka_unit_test(lack_of_memory_is_reported),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
