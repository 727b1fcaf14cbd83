/* Sweeps and drawn uncertainties at their limits: what a refused point leaves, how many draws are made. */
#include "support.h"

#include "catalogue.h"
#include "engine.h"

static const imp_param in_rows[] = {{.name = "x", .low = -1000.0, .high = 1000.0, .help = "x"}};
static const imp_param out_rows[] = {{.name = "first", .help = "y", .trend = "?"}, {.name = "second", .help = "z", .trend = "?"}};

/* Writes before it refuses, as an entry may that finds out late. */
static imp_status refuses_below_zero(const imp_call *call)
{
    call->out[0].number = call->in[0].number;
    call->out[1].number = 2.0 * call->in[0].number;
    return call->in[0].number < 0.0 ? imp_fail(call->error, IMP_NO_SOLUTION, NULL, "below zero") : IMP_OK;
}

static void a_refused_point_of_a_sweep_has_no_value_in_any_result(void **state)
{
    (void)state;
    const imp_calc calc = {.id = "test.late", .inputs = in_rows, .input_count = 1, .outputs = out_rows, .output_count = 2, .evaluate = refuses_below_zero};
    const imp_value in[1] = {{.given = false}};
    double points[5];
    imp_value results[10];
    assert_int_equal(imp_calc_sweep(&calc, in, 0, -2.0, 2.0, 5, points, results, NULL), IMP_OK);
    for (size_t i = 0; i < 5; i++)
        for (size_t k = 0; k < 2; k++) {
            const imp_value *value = &results[2 * i + k];
            assert_close(points[i], (double)i - 2.0, 1e-15);
            if (points[i] < 0.0)
                assert_true(isnan(value->number) && !value->given);
            else
                assert_close(value->number, points[i] * (double)(k + 1), 1e-15);
        }
}

static void an_input_without_an_end_cannot_be_searched(void **state)
{
    (void)state;
    const imp_param open[] = {{.name = "x", .low = 0.0, .high = (double)INFINITY, .help = "x"}};
    const imp_param open_below[] = {{.name = "x", .low = -(double)INFINITY, .high = 1.0, .help = "x"}};
    const imp_value in[1] = {{.given = false}};
    imp_solution found;
    imp_error error;
    for (int i = 0; i < 2; i++) {
        const imp_calc calc = {.id = "test.open", .inputs = i == 0 ? open : open_below, .input_count = 1, .outputs = out_rows, .output_count = 2, .evaluate = refuses_below_zero};
        assert_int_equal(imp_calc_solve(&calc, in, 0, 0, 0.5, &found, &error), IMP_TYPE);
        assert_string_equal(error.message, "has no allowed range to search in");
    }
}

static size_t refused;

/* Answers at the point itself and for its slopes, but for none of the draws, which fall far from it. */
static imp_status only_nearby(const imp_call *call)
{
    call->out[0].number = call->in[0].number;
    if (fabs(call->in[0].number - 1.0) < 1e-2)
        return IMP_OK;
    refused++;
    return imp_fail(call->error, IMP_RANGE, NULL, "not so far away");
}

static void draws_stop_when_more_are_refused_than_were_wanted(void **state)
{
    (void)state;
    const imp_calc calc = {.id = "test.nearby", .inputs = in_rows, .input_count = 1, .outputs = out_rows, .output_count = 1, .evaluate = only_nearby};
    const imp_value in[1] = {{.number = 1.0, .given = true}};
    const double standard[1] = {100.0};
    imp_uncertainty result;
    imp_error error;
    refused = 0;
    assert_int_equal(imp_calc_uncertainty(&calc, in, standard, 50, 1, &result, &error), IMP_RANGE);
    assert_contains(error.message, "more than half of the draws");
    assert_int_equal(refused, 51); /* fifty are borne, the next is not */
}

static void one_draw_shows_no_spread_and_a_negative_uncertainty_is_none(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("pump.flow");
    const imp_value in[3] = {{.number = 9e-5, .given = true}, {.number = 0.5, .given = true}, {.number = 0.95, .given = true}};
    double standard[3] = {1e-6, 0.0, 0.0};
    imp_uncertainty result[IMP_MOST_OUTPUTS];
    imp_error error;
    assert_int_equal(imp_calc_uncertainty(calc, in, standard, 1, 1, result, &error), IMP_RANGE);
    assert_string_equal(error.place, "draws");
    assert_int_equal(imp_calc_uncertainty(calc, in, standard, IMP_MOST_DRAWS + 1, 1, result, &error), IMP_RANGE);
    assert_string_equal(error.place, "draws");
    assert_int_equal(imp_calc_uncertainty(calc, in, standard, 2, 1, result, &error), IMP_OK);
    standard[1] = -0.1;
    assert_int_equal(imp_calc_uncertainty(calc, in, standard, 2, 1, result, &error), IMP_RANGE);
    assert_string_equal(error.place, "cycle_rate");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_refused_point_of_a_sweep_has_no_value_in_any_result),
        cmocka_unit_test(an_input_without_an_end_cannot_be_searched),
        cmocka_unit_test(draws_stop_when_more_are_refused_than_were_wanted),
        cmocka_unit_test(one_draw_shows_no_spread_and_a_negative_uncertainty_is_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
