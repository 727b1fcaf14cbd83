/* The catalogue's frame: checks, messages, defaults, lists and sheets, the same for every entry. */
#include "support.h"

#include "argument.h"
#include "rooms.h"

static const char *refusal(const char *id, size_t count, const char *const names[], const char *const texts[])
{
    static char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE];
    imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
    imp_error error = {.status = IMP_OK};
    imp_arena arena;
    imp_arena_init(&arena, NULL);
    const imp_calc *calc = imp_catalogue_find(id);
    assert_non_null(calc);
    imp_status status = imp_arguments_read(calc, count, names, texts, &arena, in, &error);
    if (status == IMP_OK)
        status = imp_calc_evaluate(calc, in, out, NULL, &error);
    imp_arena_free(&arena);
    assert_int_not_equal(status, IMP_OK);
    return imp_error_text(&error, text, sizeof text);
}

static void a_value_out_of_range_names_entry_input_and_limit(void **state)
{
    (void)state;
    const char *const names[] = {"air_temperature", "relative_humidity"}, *const texts[] = {"20 degC", "140 %"};
    assert_string_equal(refusal("climate.dew_point", 2, names, texts), "climate.dew_point: relative_humidity: 140 % is above 100 %");
}

static void a_wrong_dimension_names_what_was_expected_and_what_came(void **state)
{
    (void)state;
    const char *const names[] = {"flow", "bore"}, *const texts[] = {"3 L/min", "3 bar"};
    const char *text = refusal("hose.pressure_drop", 2, names, texts);
    assert_contains(text, "hose.pressure_drop: bore: expected a length such as");
    assert_contains(text, "got \"3 bar\"");
}

static void a_number_without_unit_is_refused_where_one_is_due(void **state)
{
    (void)state;
    const char *const names[] = {"flow", "bore"}, *const texts[] = {"3 L/min", "10"};
    assert_contains(refusal("hose.pressure_drop", 2, names, texts), "a number needs its unit here");
}

static void a_difference_is_no_reading(void **state)
{
    (void)state;
    const char *const names[] = {"air_temperature", "relative_humidity"}, *const texts[] = {"20 K", "50 %"};
    assert_contains(refusal("climate.dew_point", 2, names, texts), "a difference; a reading is written in degC or degF");
}

static void all_missing_inputs_are_named_at_once(void **state)
{
    (void)state;
    assert_string_equal(refusal("climate.dew_point", 0, NULL, NULL), "climate.dew_point: missing air_temperature, relative_humidity");
}

static void an_unknown_input_names_the_nearest(void **state)
{
    (void)state;
    const char *const names[] = {"air_temprature"}, *const texts[] = {"20 degC"};
    assert_string_equal(refusal("climate.dew_point", 1, names, texts),
                        "climate.dew_point: air_temprature: unknown input; did you mean \"air_temperature\"?");
}

static void an_input_given_twice_is_refused(void **state)
{
    (void)state;
    const char *const names[] = {"air_temperature", "air_temperature"}, *const texts[] = {"20 degC", "21 degC"};
    assert_string_equal(refusal("climate.dew_point", 2, names, texts), "climate.dew_point: air_temperature: given twice");
}

static void an_unknown_choice_lists_the_choices(void **state)
{
    (void)state;
    const char *const names[] = {"method"}, *const texts[] = {"D"};
    assert_contains(refusal("electrical.cable_size", 1, names, texts), "expected one of B1, B2, C, E, got \"D\"");
}

static void prices_in_two_currencies_are_refused(void **state)
{
    (void)state;
    const char *const names[] = {"area", "mass", "unit_price", "labour_time", "labour_rate"};
    const char *const texts[] = {"100 m^2", "400 kg", "4.7 USD/kg", "8 h", "50 EUR/h"};
    assert_string_equal(refusal("yield.cost", 5, names, texts),
                        "yield.cost: labour_rate: is in EUR, but unit_price is in USD; give one currency");
}

static void a_cost_carries_the_currency_of_its_prices(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("yield.cost");
    const char *const names[] = {"area", "mass", "unit_price", "labour_time", "labour_rate"};
    const char *const texts[] = {"100 m^2", "400 kg", "4.5 NOK/kg", "8 h", "50 NOK/h"};
    imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
    imp_arena arena;
    char text[96];
    imp_arena_init(&arena, NULL);
    assert_int_equal(imp_arguments_read(calc, 5, names, texts, &arena, in, NULL), IMP_OK);
    assert_int_equal(imp_calc_evaluate(calc, in, out, NULL, NULL), IMP_OK);
    /* 400 x 4.5 + 8 x 50 = 2200 */
    assert_string_equal(imp_param_format_money(&calc->outputs[0], out[0].number, out[0].currency, 0, text, sizeof text), "2200 NOK");
    imp_arena_free(&arena);
}

static void outputs_stay_untouched_on_failure(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("climate.dew_point");
    double in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS] = {42.0};
    for (size_t i = 0; i < IMP_MOST_INPUTS; i++)
        in[i] = (double)NAN;
    in[0] = 293.15;
    in[1] = 3.0;
    assert_int_equal(imp_calc_numbers(calc, in, out, NULL), IMP_RANGE);
    assert_true(out[0] == 42.0);
}

static void names_are_unique_and_ids_stand_in_their_room(void **state)
{
    (void)state;
    for (size_t i = 0; i < imp_catalogue_count(); i++) {
        const imp_calc *calc = imp_catalogue_at(i);
        assert_non_null(imp_room_title(calc->id));
        assert_ptr_equal(imp_catalogue_find(calc->id), calc);
        for (size_t k = 0; k < calc->input_count; k++)
            for (size_t other = k + 1; other < calc->input_count; other++)
                assert_string_not_equal(calc->inputs[k].name, calc->inputs[other].name);
    }
    assert_null(imp_catalogue_at(imp_catalogue_count()));
    assert_string_equal(imp_catalogue_nearest("climate.dewpoint"), "climate.dew_point");
    assert_string_equal(imp_catalogue_nearest("dew_point"), "climate.dew_point");
}

static void a_sheet_holds_inputs_formula_with_numbers_and_result(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("pump.hydraulic_power");
    const char *const names[] = {"pressure", "flow"}, *const texts[] = {"100 bar", "6 L/min"};
    imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
    imp_arena arena;
    imp_sheet sheet;
    imp_arena_init(&arena, NULL);
    imp_sheet_init(&sheet, NULL);
    assert_int_equal(imp_arguments_read(calc, 2, names, texts, &arena, in, NULL), IMP_OK);
    assert_int_equal(imp_calc_evaluate(calc, in, out, &sheet, NULL), IMP_OK);
    assert_close(out[0].number, 1000.0, 1e-9); /* 1e7 Pa x 1e-4 m^3/s */
    assert_false(sheet.failed);
    assert_int_equal(sheet.count, calc->input_count + calc->output_count);
    assert_int_equal(sheet.lines[0].role, IMP_SHEET_INPUT);
    const imp_sheet_line *result = &sheet.lines[calc->input_count];
    assert_int_equal(result->role, IMP_SHEET_RESULT);
    assert_string_equal(result->formula, calc->formula);
    assert_contains(result->substituted, "(100 bar)");
    imp_sheet_free(&sheet);
    imp_arena_free(&arena);
}

typedef struct failing {
    size_t left;
} failing;

static void *resize_until(void *context, void *block, size_t size)
{
    failing *count = context;
    if (size > 0 && count->left-- == 0) {
        count->left = 0;
        return NULL;
    }
    return imp_allocator_default()->resize(NULL, block, size);
}

static void every_failed_allocation_of_a_sheet_marks_it_failed_and_leaks_nothing(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("climate.dew_point");
    const double in[] = {293.15, 0.5};
    bool complete = false;
    for (size_t nth = 0; nth < 200 && !complete; nth++) {
        failing count = {nth};
        const imp_allocator allocator = {resize_until, &count};
        imp_value values[IMP_MOST_INPUTS] = {{.given = false}}, out[IMP_MOST_OUTPUTS];
        imp_sheet sheet;
        values[0] = (imp_value){.number = in[0], .given = true};
        values[1] = (imp_value){.number = in[1], .given = true};
        imp_sheet_init(&sheet, &allocator);
        assert_int_equal(imp_calc_evaluate(calc, values, out, &sheet, NULL), IMP_OK);
        complete = !sheet.failed;
        imp_sheet_free(&sheet);
    }
    assert_true(complete);
}

static void a_list_is_read_from_text_and_from_json(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("heat.hose_tap");
    const imp_param *row = imp_calc_input(calc, "taps", NULL);
    imp_arena arena;
    imp_value plain, json;
    imp_error error;
    imp_arena_init(&arena, NULL);
    assert_int_equal(imp_argument_read(row, "48 V, 64 V; 90 V", &arena, &plain, NULL), IMP_OK);
    assert_int_equal(imp_argument_read(row, "[\"48 V\", \"64 V\", \"90 V\"]", &arena, &json, NULL), IMP_OK);
    assert_int_equal(plain.count, 3);
    for (size_t i = 0; i < 3; i++)
        assert_true(plain.items[i].number == json.items[i].number);
    assert_int_equal(imp_argument_read(row, "48 V, 64 A", &arena, &plain, &error), IMP_DIMENSION_MISMATCH);
    imp_arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_value_out_of_range_names_entry_input_and_limit),
        cmocka_unit_test(a_wrong_dimension_names_what_was_expected_and_what_came),
        cmocka_unit_test(a_number_without_unit_is_refused_where_one_is_due),
        cmocka_unit_test(a_difference_is_no_reading),
        cmocka_unit_test(all_missing_inputs_are_named_at_once),
        cmocka_unit_test(an_unknown_input_names_the_nearest),
        cmocka_unit_test(an_input_given_twice_is_refused),
        cmocka_unit_test(an_unknown_choice_lists_the_choices),
        cmocka_unit_test(prices_in_two_currencies_are_refused),
        cmocka_unit_test(a_cost_carries_the_currency_of_its_prices),
        cmocka_unit_test(outputs_stay_untouched_on_failure),
        cmocka_unit_test(names_are_unique_and_ids_stand_in_their_room),
        cmocka_unit_test(a_sheet_holds_inputs_formula_with_numbers_and_result),
        cmocka_unit_test(every_failed_allocation_of_a_sheet_marks_it_failed_and_leaks_nothing),
        cmocka_unit_test(a_list_is_read_from_text_and_from_json),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
