/* Solving backwards, sweeping, sensitivity and uncertainty over catalogue entries.
 * Over 500 lines: many small cases of one subject. */
#include "support.h"

#include "argument.h"
#include "engine.h"

static const imp_calc *read_call(const char *id, size_t count, const char *const names[], const char *const texts[],
                                 imp_arena *arena, imp_value *in)
{
    const imp_calc *calc = imp_catalogue_find(id);
    imp_error error = {.status = IMP_OK};
    assert_non_null(calc);
    if (imp_arguments_read(calc, count, names, texts, arena, in, &error) != IMP_OK)
        fail_msg("%s: %s", error.place, error.message);
    return calc;
}

static size_t input_at(const imp_calc *calc, const char *name)
{
    size_t index = 0;
    assert_non_null(imp_calc_input(calc, name, &index));
    return index;
}

static void solving_for_bore_gives_back_the_pressure_drop_to_nine_digits(void **state)
{
    (void)state;
    const char *const names[] = {"flow", "length", "density", "viscosity"};
    const char *const texts[] = {"3 L/min", "60 m", "1100 kg/m^3", "180 cP"};
    imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
    imp_arena arena;
    imp_arena_init(&arena, NULL);
    const imp_calc *calc = read_call("hose.pressure_drop", 4, names, texts, &arena, in);
    const size_t bore = input_at(calc, "bore");
    imp_solution found;
    assert_int_equal(imp_calc_solve(calc, in, bore, 0, 20e5, &found, NULL), IMP_OK);
    assert_int_equal(found.count, 1);
    in[bore] = (imp_value){.number = found.values[0], .given = true};
    assert_int_equal(imp_calc_evaluate(calc, in, out, NULL, NULL), IMP_OK);
    assert_relative(out[0].number, 20e5, 1e-9);
    imp_arena_free(&arena);
}

static void a_target_out_of_reach_names_the_closest(void **state)
{
    (void)state;
    const char *const names[] = {"relative_humidity"}, *const texts[] = {"50 %"};
    imp_value in[IMP_MOST_INPUTS];
    imp_arena arena;
    imp_error error;
    imp_solution found;
    imp_arena_init(&arena, NULL);
    const imp_calc *calc = read_call("climate.dew_point", 1, names, texts, &arena, in);
    assert_int_equal(imp_calc_solve(calc, in, 0, 0, 273.15 + 95.0, &found, &error), IMP_NO_SOLUTION);
    assert_contains(error.message, "no air_temperature between -60 degC");
    assert_contains(error.message, "the closest is");
    imp_arena_free(&arena);
}

static void a_missing_other_input_is_named_when_solving(void **state)
{
    (void)state;
    imp_value in[IMP_MOST_INPUTS];
    imp_arena arena;
    imp_error error;
    imp_solution found;
    imp_arena_init(&arena, NULL);
    const imp_calc *calc = read_call("climate.dew_point", 0, NULL, NULL, &arena, in);
    assert_int_equal(imp_calc_solve(calc, in, 0, 0, 280.0, &found, &error), IMP_MISSING);
    assert_contains(error.message, "missing relative_humidity");
    imp_arena_free(&arena);
}

static imp_status parabola(const imp_call *call)
{
    call->out[0].number = pow(call->in[0].number - 3.0, 2.0);
    return IMP_OK;
}

static void all_sign_changes_are_found(void **state)
{
    (void)state;
    static const imp_param in_rows[] = {{.name = "x", .low = 0.0, .high = 10.0, .help = "x"}};
    static const imp_param out_rows[] = {{.name = "y", .help = "y", .trend = "?"}};
    const imp_calc calc = {.id = "test.parabola", .inputs = in_rows, .input_count = 1, .outputs = out_rows, .output_count = 1, .evaluate = parabola};
    const imp_value in[1] = {{.given = false}};
    imp_solution found;
    assert_int_equal(imp_calc_solve(&calc, in, 0, 0, 4.0, &found, NULL), IMP_OK);
    assert_int_equal(found.count, 2);
    assert_close(found.values[0], 1.0, 1e-12);
    assert_close(found.values[1], 5.0, 1e-12);
}

static imp_status step(const imp_call *call)
{
    call->out[0].number = call->in[0].number < 5.05 ? 0.0 : 2.0;
    return IMP_OK;
}

static void a_jump_across_the_target_is_no_solution(void **state)
{
    (void)state;
    static const imp_param in_rows[] = {{.name = "x", .low = 0.0, .high = 10.0, .help = "x"}};
    static const imp_param out_rows[] = {{.name = "y", .help = "y", .trend = "+"}};
    const imp_calc calc = {.id = "test.step", .inputs = in_rows, .input_count = 1, .outputs = out_rows, .output_count = 1, .evaluate = step};
    const imp_value in[1] = {{.given = false}};
    imp_solution found;
    assert_int_equal(imp_calc_solve(&calc, in, 0, 0, 1.0, &found, NULL), IMP_NO_SOLUTION);
}

static imp_status silent(const imp_call *call)
{
    call->out[0].given = false;
    return IMP_OK;
}

static void a_target_that_nothing_can_meet_is_refused_with_a_sentence(void **state)
{
    (void)state;
    static const imp_param in_rows[] = {{.name = "x", .low = 0.0, .high = 10.0, .help = "x"}};
    static const imp_param out_rows[] = {{.name = "y", .help = "y", .trend = "+", .presence = IMP_OPTIONAL}};
    imp_calc calc = {.id = "test.step", .inputs = in_rows, .input_count = 1, .outputs = out_rows, .output_count = 1, .evaluate = step};
    const imp_value in[1] = {{.given = false}};
    const double targets[] = {(double)NAN, (double)INFINITY, -(double)INFINITY};
    imp_solution found;
    imp_error error;
    for (size_t i = 0; i < 3; i++) {
        assert_int_equal(imp_calc_solve(&calc, in, 0, 0, targets[i], &found, &error), IMP_RANGE);
        assert_string_equal(error.place, "test.step: y");
    }
    calc.evaluate = silent;
    assert_int_equal(imp_calc_solve(&calc, in, 0, 0, 1.0, &found, &error), IMP_NO_SOLUTION);
    assert_string_equal(error.message, "is not among the results that these inputs give");
}

static void a_sweep_ends_exactly_at_its_ends_and_marks_refused_points(void **state)
{
    (void)state;
    const char *const names[] = {"relative_humidity"}, *const texts[] = {"50 %"};
    imp_value in[IMP_MOST_INPUTS], results[11];
    double points[11];
    imp_arena arena;
    imp_arena_init(&arena, NULL);
    const imp_calc *calc = read_call("climate.dew_point", 1, names, texts, &arena, in);
    assert_int_equal(imp_calc_sweep(calc, in, 0, 273.15, 303.15, 11, points, results, NULL), IMP_OK);
    assert_true(points[0] == 273.15 && points[10] == 303.15);
    for (int i = 1; i < 11; i++)
        assert_true(results[i].number > results[i - 1].number);
    assert_int_equal(imp_calc_sweep(calc, in, 0, 273.15, 1000.0, 11, points, results, NULL), IMP_RANGE);
    imp_arena_free(&arena);
}

/* Hagen-Poiseuille: the drop goes with flow and length to the 1, with the bore to the -4 */
static void elasticities_of_laminar_flow_are_its_exponents(void **state)
{
    (void)state;
    const char *const names[] = {"flow", "bore", "length", "density", "viscosity"};
    const char *const texts[] = {"1 L/min", "10 mm", "60 m", "1100 kg/m^3", "500 cP"};
    imp_value in[IMP_MOST_INPUTS];
    imp_sensitivity table[IMP_MOST_INPUTS * IMP_MOST_OUTPUTS];
    imp_arena arena;
    imp_arena_init(&arena, NULL);
    const imp_calc *calc = read_call("hose.pressure_drop", 5, names, texts, &arena, in);
    assert_int_equal(imp_calc_sensitivity(calc, in, table, NULL), IMP_OK);
    const size_t outputs = calc->output_count;
    assert_close(table[input_at(calc, "flow") * outputs].elasticity, 1.0, 1e-8);
    assert_close(table[input_at(calc, "bore") * outputs].elasticity, -4.0, 1e-7);
    assert_close(table[input_at(calc, "viscosity") * outputs].elasticity, 1.0, 1e-8);
    assert_close(table[input_at(calc, "density") * outputs].elasticity, 0.0, 1e-8);
    imp_arena_free(&arena);
}

static imp_status gauge_block(const imp_call *call)
{
    call->out[0].number = call->in[0].number + call->in[1].number + call->in[2].number + call->in[3].number;
    return IMP_OK;
}

/* JCGM 100:2008 (GUM), annex H.1, end-gauge calibration: components 25, 9.7, 2.9 and 16.6 nm combine to u_c = 32 nm
 * (31.7 unrounded) */
static void gum_end_gauge_example_is_reproduced_by_both_methods(void **state)
{
    (void)state;
    static const imp_param in_rows[] = {
        {.name = "l_s", .low = -1e9, .high = 1e9, .help = "nm"}, {.name = "d", .low = -1e9, .high = 1e9, .help = "nm"},
        {.name = "alpha", .low = -1e9, .high = 1e9, .help = "nm"}, {.name = "theta", .low = -1e9, .high = 1e9, .help = "nm"}};
    static const imp_param out_rows[] = {{.name = "l", .help = "nm", .trend = "++++"}};
    const imp_calc calc = {.id = "test.gauge", .inputs = in_rows, .input_count = 4, .outputs = out_rows, .output_count = 1, .evaluate = gauge_block};
    const imp_value in[4] = {{.number = 50000623.0, .given = true}, {.number = 215.0, .given = true}, {.number = 0.0, .given = true}, {.number = 0.0, .given = true}};
    const double standard[4] = {25.0, 9.7, 2.9, 16.6};
    imp_uncertainty result;
    assert_int_equal(imp_calc_uncertainty(&calc, in, standard, 200000, 7, &result, NULL), IMP_OK);
    assert_close(result.linear, 32.0, 0.5);
    assert_close(result.simulated, result.linear, 4.0 * result.simulated_error);
}

static void the_same_seed_gives_the_same_draws(void **state)
{
    (void)state;
    const char *const names[] = {"iso_diameter", "iso_drop", "resin_diameter", "resin_drop"};
    const char *const texts[] = {"571 mm", "200 mm", "571 mm", "201 mm"};
    imp_value in[IMP_MOST_INPUTS];
    double standard[IMP_MOST_INPUTS] = {0.0};
    imp_uncertainty first[IMP_MOST_OUTPUTS], again[IMP_MOST_OUTPUTS], other[IMP_MOST_OUTPUTS];
    imp_arena arena;
    imp_arena_init(&arena, NULL);
    const imp_calc *calc = read_call("mix.dip_ratio", 4, names, texts, &arena, in);
    standard[input_at(calc, "iso_drop")] = 2e-3;
    assert_int_equal(imp_calc_uncertainty(calc, in, standard, 5000, 1, first, NULL), IMP_OK);
    assert_int_equal(imp_calc_uncertainty(calc, in, standard, 5000, 1, again, NULL), IMP_OK);
    assert_int_equal(imp_calc_uncertainty(calc, in, standard, 5000, 2, other, NULL), IMP_OK);
    assert_true(first[0].simulated == again[0].simulated);
    assert_true(first[0].simulated != other[0].simulated);
    /* the ratio is iso_drop / resin_drop here: 2 mm in 201 mm */
    assert_relative(first[0].linear, 2.0 / 201.0, 1e-6);
    assert_close(first[0].simulated, first[0].linear, 4.0 * first[0].simulated_error);
    imp_arena_free(&arena);
}

static imp_status same(const imp_call *call)
{
    call->out[0].number = call->in[0].number;
    return IMP_OK;
}

/* The first outputs of splitmix64 for seed 1234567, as they are published beside its implementations (from memory). */
static void two_draws_are_those_of_splitmix64_and_box_and_muller(void **state)
{
    (void)state;
    static const uint64_t published[] = {6457827717110365317u, 3203168211198807973u, 9817491932198370423u, 4593380528125082431u};
    static const imp_param in_rows[] = {{.name = "x", .low = -1e9, .high = 1e9, .help = "x"}};
    static const imp_param out_rows[] = {{.name = "y", .help = "y", .trend = "+"}};
    const imp_calc calc = {.id = "test.same", .inputs = in_rows, .input_count = 1, .outputs = out_rows, .output_count = 1, .evaluate = same};
    const imp_value in[1] = {{.number = 0.0, .given = true}};
    const double standard[1] = {1.0};
    double uniform[4], normal[2];
    imp_uncertainty result;
    for (int i = 0; i < 4; i++)
        uniform[i] = ((double)(published[i] >> 11) + 0.5) / 9007199254740992.0;
    for (int i = 0; i < 2; i++)
        normal[i] = sqrt(-2.0 * log(uniform[2 * i])) * cos(2.0 * M_PI * uniform[2 * i + 1]);
    assert_int_equal(imp_calc_uncertainty(&calc, in, standard, 2, 1234567, &result, NULL), IMP_OK);
    assert_relative(result.mean, (normal[0] + normal[1]) / 2.0, 1e-12);
    assert_relative(result.simulated, fabs(normal[0] - normal[1]) / sqrt(2.0), 1e-12);
    assert_relative(result.simulated_error, result.simulated / sqrt(2.0), 1e-12); /* s / sqrt(2 (n - 1)) */
}

static imp_status without_memory(const imp_call *call)
{
    return imp_fail(call->error, IMP_MEMORY, NULL, "out of memory");
}

/* applies to every second value only */
static imp_status above_zero(const imp_call *call)
{
    if (call->in[0].number < 0.0)
        return imp_fail(call->error, IMP_NOT_APPLICABLE, NULL, "does not apply");
    call->out[0].number = 1.0;
    return IMP_OK;
}

static void a_failure_that_is_no_refusal_ends_a_search_a_sweep_and_draws(void **state)
{
    (void)state;
    static const imp_param in_rows[] = {{.name = "x", .low = -10.0, .high = 10.0, .help = "x"}};
    static const imp_param out_rows[] = {{.name = "y", .help = "y", .trend = "+"}};
    imp_calc calc = {.id = "test.memory", .inputs = in_rows, .input_count = 1, .outputs = out_rows, .output_count = 1, .evaluate = without_memory};
    const imp_value in[1] = {{.number = 1.0, .given = true}};
    const double standard[1] = {1.0}, wide[1] = {5.0};
    double points[3];
    imp_value results[3];
    imp_solution found;
    imp_uncertainty result;
    assert_int_equal(imp_calc_solve(&calc, in, 0, 0, 1.0, &found, NULL), IMP_MEMORY);
    assert_int_equal(imp_calc_sweep(&calc, in, 0, 0.0, 1.0, 3, points, results, NULL), IMP_MEMORY);
    assert_int_equal(imp_calc_uncertainty(&calc, in, standard, 10, 1, &result, NULL), IMP_MEMORY);
    calc.evaluate = above_zero; /* what does not apply is drawn again, and is a point without a result */
    assert_int_equal(imp_calc_uncertainty(&calc, in, wide, 100, 1, &result, NULL), IMP_OK);
    assert_close(result.mean, 1.0, 0.0);
    assert_int_equal(imp_calc_sweep(&calc, in, 0, -1.0, 1.0, 3, points, results, NULL), IMP_OK);
    assert_false(results[0].given);
    assert_true(results[1].given && results[2].given);
}

static void a_sweep_takes_two_to_ten_thousand_points(void **state)
{
    (void)state;
    static const imp_param in_rows[] = {{.name = "x", .low = 0.0, .high = 1.0, .help = "x"}};
    static const imp_param out_rows[] = {{.name = "y", .help = "y", .trend = "+"}};
    const imp_calc calc = {.id = "test.same", .inputs = in_rows, .input_count = 1, .outputs = out_rows, .output_count = 1, .evaluate = same};
    const imp_value in[1] = {{.given = false}};
    static double points[10000];
    static imp_value results[10000];
    imp_error error;
    assert_int_equal(imp_calc_sweep(&calc, in, 0, 0.1, 0.7, 1, points, results, &error), IMP_RANGE);
    assert_string_equal(error.message, "expected 2 to 10000, got 1");
    assert_int_equal(imp_calc_sweep(&calc, in, 0, 0.1, 0.7, 10001, points, results, &error), IMP_RANGE);
    assert_int_equal(imp_calc_sweep(&calc, in, 0, 0.03, 0.29, 2, points, results, NULL), IMP_OK);
    assert_true(points[1] == 0.29); /* 0.03 + (0.29 - 0.03) is another double */
    for (size_t steps = 2; steps <= 10000; steps += 4999) {
        assert_int_equal(imp_calc_sweep(&calc, in, 0, 0.1, 0.7, steps, points, results, NULL), IMP_OK);
        assert_true(points[0] == 0.1 && points[steps - 1] == 0.7);
        assert_relative(points[1], 0.1 + 0.6 / (double)(steps - 1), 1e-12);
    }
}

static void a_spread_is_a_difference_in_the_unit_of_its_value(void **state)
{
    (void)state;
    const imp_param celsius = {.name = "t", .dimension = IMP_TEMPERATURE, .unit = "degC"};
    const imp_param fahrenheit = {.name = "t", .dimension = IMP_TEMPERATURE, .unit = "degF"};
    const imp_param length = {.name = "l", .dimension = IMP_LENGTH, .unit = "mm"};
    assert_string_equal(imp_spread_row(&celsius).unit, "K");
    assert_string_equal(imp_spread_row(&fahrenheit).unit, "degF_diff");
    assert_int_equal(imp_spread_row(&fahrenheit).dimension, IMP_TEMPERATURE_DIFFERENCE);
    assert_string_equal(imp_spread_row(&length).unit, "mm");
}

/* ---- where a search looks, and what ends it ---- */

static double visited[1024]; /* by the newest search: a calculation is given nothing of its caller's */
static size_t visits;

static imp_status note_visit(const imp_call *call)
{
    assert_true(visits < sizeof visited / sizeof visited[0]);
    visited[visits++] = call->in[0].number;
    call->out[0].number = 1.0;
    return IMP_OK;
}

static void visit_all(double low, double high, imp_ends ends, imp_named_dimension dimension)
{
    const imp_param in_rows[] = {{.name = "x", .dimension = dimension, .low = low, .high = high, .ends = ends, .help = "x"}};
    static const imp_param out_rows[] = {{.name = "y", .help = "y", .trend = "0"}};
    const imp_calc calc = {.id = "test.visit", .inputs = in_rows, .input_count = 1, .outputs = out_rows, .output_count = 1, .evaluate = note_visit};
    const imp_value in[1] = {{.given = false}};
    imp_solution found;
    visits = 0;
    assert_int_equal(imp_calc_solve(&calc, in, 0, 0, 2.0, &found, NULL), IMP_NO_SOLUTION);
    assert_int_equal(visits, IMP_SCAN_STEPS + 1);
}

static void a_search_goes_by_equal_steps_and_by_ratios_over_two_decades(void **state)
{
    (void)state;
    const struct {
        double low, high;
        imp_named_dimension dimension;
    } evenly[] = {{1.0, 9.0, IMP_PURE}, {-5.0, 900.0, IMP_PURE}, {1.0, 99.0, IMP_PURE}, {1.0, 1000.0, IMP_TEMPERATURE}};
    for (size_t k = 0; k < 4; k++) {
        visit_all(evenly[k].low, evenly[k].high, IMP_CLOSED, evenly[k].dimension);
        for (size_t i = 0; i < visits; i++)
            assert_close(visited[i], evenly[k].low + (evenly[k].high - evenly[k].low) * (double)i / (double)(visits - 1), 1e-9);
    }
    visit_all(0.5, 5000.0, IMP_CLOSED, IMP_PURE); /* four decades */
    for (size_t i = 0; i < visits; i++)
        assert_relative(visited[i], 0.5 * pow(10.0, 4.0 * (double)i / (double)(visits - 1)), 1e-12);
    visit_all(1.0, 102.0, IMP_CLOSED, IMP_PURE);
    assert_relative(visited[100], sqrt(102.0), 1e-12);
    visit_all(0.0, 5000.0, IMP_CLOSED, IMP_PURE); /* from nothing: nine decades below the top */
    assert_true(visited[0] == 0.0);
    assert_relative(visited[1] / visited[2], visited[100] / visited[101], 1e-12);
    assert_relative(visited[visits - 2] / 5000.0, visited[100] / visited[101], 1e-12);
}

static void open_ends_are_approached_and_closed_ones_are_touched(void **state)
{
    (void)state;
    const imp_ends ends[] = {IMP_CLOSED, IMP_OPEN_LOW, IMP_OPEN_HIGH, IMP_OPEN};
    for (size_t k = 0; k < 4; k++)
        for (int by_ratio = 0; by_ratio < 2; by_ratio++) {
            const double low = by_ratio ? 0.0 : 2.0;
            const bool open_low = ends[k] == IMP_OPEN_LOW || ends[k] == IMP_OPEN, open_high = ends[k] == IMP_OPEN_HIGH || ends[k] == IMP_OPEN;
            visit_all(low, 5.0, ends[k], IMP_PURE);
            assert_true((visited[0] > low) == open_low && (visited[visits - 1] < 5.0) == open_high);
            assert_close(visited[0], low, 1e-10);
            assert_close(visited[visits - 1], 5.0, 1e-10);
        }
}

static imp_status refusal_outside = IMP_OK, failure_above_9 = IMP_OK;

static imp_status refused_outside(const imp_call *call)
{
    const double x = call->in[0].number;
    if (x > 9.0 && failure_above_9 != IMP_OK)
        return imp_fail(call->error, failure_above_9, NULL, "out of memory");
    if (x < 2.03 || x > 6.06)
        return imp_fail(call->error, refusal_outside, NULL, "x is outside 2.03 to 6.06");
    call->out[0].number = x;
    return IMP_OK;
}

/* The points of the search stand 0.1 apart, so that the solutions next to 2.03 and 6.06 lie between the last accepted
 * point and a refused one. */
static void what_refuses_part_of_a_range_leaves_the_rest_to_be_searched(void **state)
{
    (void)state;
    static const imp_param in_rows[] = {{.name = "x", .low = -10.0, .high = 10.0, .help = "x"}};
    static const imp_param out_rows[] = {{.name = "y", .help = "y", .trend = "+"}};
    const imp_calc calc = {.id = "test.part", .inputs = in_rows, .input_count = 1, .outputs = out_rows, .output_count = 1, .evaluate = refused_outside};
    const imp_value in[1] = {{.number = 3.0, .given = true}};
    const double standard[1] = {1.0}, wide[1] = {100.0}, targets[] = {2.031, 3.14, 6.059};
    const imp_status refusals[] = {IMP_RANGE, IMP_NO_SOLUTION, IMP_NOT_APPLICABLE};
    imp_solution found;
    imp_uncertainty result;
    imp_error error;
    for (size_t i = 0; i < 3; i++) {
        refusal_outside = refusals[i];
        failure_above_9 = IMP_OK;
        for (size_t k = 0; k < 3; k++) {
            assert_int_equal(imp_calc_solve(&calc, in, 0, 0, targets[k], &found, &error), IMP_OK);
            assert_int_equal(found.count, 1);
            assert_close(found.values[0], targets[k], 1e-12);
        }
        assert_int_equal(imp_calc_solve(&calc, in, 0, 0, 1.0, &found, &error), IMP_NO_SOLUTION);
        assert_contains(error.message, "the closest is 2.03");
        assert_int_equal(imp_calc_solve(&calc, in, 0, 0, 7.0, &found, &error), IMP_NO_SOLUTION);
        assert_contains(error.message, "the closest is 6.06");
        assert_int_equal(imp_calc_uncertainty(&calc, in, standard, 1000, 3, &result, &error), IMP_OK);
        assert_close(result.mean, 3.3, 0.15); /* a normal cut off at -0.97: 3 + 0.2492/0.834 = 3.299 */
        assert_int_equal(imp_calc_uncertainty(&calc, in, wide, 1000, 3, &result, &error), IMP_RANGE);
        assert_contains(error.message, "more than half of the draws");
        failure_above_9 = IMP_MEMORY;
        assert_int_equal(imp_calc_solve(&calc, in, 0, 0, 3.14, &found, &error), IMP_MEMORY);
    }
    failure_above_9 = IMP_OK;
}

/* y = x t^2 with a default and an optional input: dy/dx = t^2, the elasticities are 1 and 2. */
static imp_status scaled_square(const imp_call *call)
{
    call->out[0].number = call->in[0].number * pow(call->in[1].number, 2.0);
    call->out[1].number = 300.0 + call->in[0].number;
    call->out[2].number = 0.0;
    return IMP_OK;
}

static void sensitivity_takes_defaults_and_has_no_elasticity_of_temperatures_zeros_and_what_is_not_given(void **state)
{
    (void)state;
    static const imp_param in_rows[] = {{.name = "x", .low = 0.0, .high = 10.0, .help = "x"},
                                        {.name = "t", .low = 0.0, .high = 10.0, .presence = IMP_DEFAULT, .fallback = 3.0, .help = "t"},
                                        {.name = "spare", .low = 0.0, .high = 10.0, .presence = IMP_OPTIONAL, .help = "unused"},
                                        {.name = "air", .dimension = IMP_TEMPERATURE, .low = 200.0, .high = 400.0, .help = "unused"}};
    static const imp_param out_rows[] = {{.name = "y", .help = "y", .trend = "++00"},
                                         {.name = "reading", .dimension = IMP_TEMPERATURE, .help = "y", .trend = "+000"},
                                         {.name = "nothing", .help = "y", .trend = "0000"}};
    const imp_calc calc = {.id = "test.square", .inputs = in_rows, .input_count = 4, .outputs = out_rows, .output_count = 3, .evaluate = scaled_square};
    const imp_value in[4] = {{.number = 2.0, .given = true}, {.given = false}, {.given = false}, {.number = 300.0, .given = true}};
    imp_sensitivity table[12];
    assert_int_equal(imp_calc_sensitivity(&calc, in, table, NULL), IMP_OK);
    assert_relative(table[0].derivative, 9.0, 1e-8);
    assert_relative(table[0].elasticity, 1.0, 1e-8);
    assert_relative(table[3].derivative, 2.0 * 2.0 * 3.0, 1e-8); /* about the default */
    assert_relative(table[3].elasticity, 2.0, 1e-8);
    assert_relative(table[1].derivative, 1.0, 1e-8);
    assert_true(isnan(table[1].elasticity)); /* kelvin count from no zero that matters */
    assert_close(table[2].derivative, 0.0, 0.0);
    assert_true(isnan(table[2].elasticity));
    assert_true(isnan(table[6].derivative) && isnan(table[6].elasticity)); /* not given, no default */
    assert_close(table[9].derivative, 0.0, 0.0);
    assert_true(isnan(table[9].elasticity));
    const double standard[4] = {0.1, 0.2, 0.0, 0.0};
    imp_uncertainty results[3];
    assert_int_equal(imp_calc_uncertainty(&calc, in, standard, 20000, 1, results, NULL), IMP_OK);
    assert_relative(results[0].linear, sqrt(pow(9.0 * 0.1, 2.0) + pow(12.0 * 0.2, 2.0)), 1e-7); /* GUM 5.1.2 */
    assert_relative(results[0].simulated, results[0].linear, 0.05);
}

static void at_the_end_of_a_range_a_derivative_is_one_sided(void **state)
{
    (void)state;
    static const imp_param in_rows[] = {{.name = "x", .low = 1.0, .high = 2.0, .help = "x"}};
    static const imp_param out_rows[] = {{.name = "y", .help = "y", .trend = "+"}};
    const imp_calc calc = {.id = "test.same", .inputs = in_rows, .input_count = 1, .outputs = out_rows, .output_count = 1, .evaluate = same};
    for (double x = 1.0; x <= 2.0; x += 0.5) {
        const imp_value in[1] = {{.number = x, .given = true}};
        imp_sensitivity cell;
        assert_int_equal(imp_calc_sensitivity(&calc, in, &cell, NULL), IMP_OK);
        assert_relative(cell.derivative, 1.0, 1e-9);
    }
}

static void a_derivative_has_the_unit_of_a_quotient(void **state)
{
    (void)state;
    const imp_param celsius = {.name = "t", .dimension = IMP_TEMPERATURE, .unit = "degC"}, pure = {.name = "n"};
    const imp_param length = {.name = "l", .dimension = IMP_LENGTH, .unit = "mm"};
    const imp_param density = {.name = "rho", .dimension = IMP_DENSITY, .unit = "kg/m^3"};
    char text[64];
    assert_string_equal(imp_derivative_unit(&celsius, &pure, text, sizeof text), "K");
    assert_string_equal(imp_derivative_unit(&pure, &pure, text, sizeof text), "1");
    assert_string_equal(imp_derivative_unit(&celsius, &length, text, sizeof text), "K/mm");
    assert_string_equal(imp_derivative_unit(&pure, &celsius, text, sizeof text), "1/K");
    assert_string_equal(imp_derivative_unit(&length, &density, text, sizeof text), "mm/(kg/m^3)");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(solving_for_bore_gives_back_the_pressure_drop_to_nine_digits),
        cmocka_unit_test(a_target_out_of_reach_names_the_closest),
        cmocka_unit_test(a_missing_other_input_is_named_when_solving),
        cmocka_unit_test(all_sign_changes_are_found),
        cmocka_unit_test(a_jump_across_the_target_is_no_solution),
        cmocka_unit_test(a_target_that_nothing_can_meet_is_refused_with_a_sentence),
        cmocka_unit_test(a_sweep_ends_exactly_at_its_ends_and_marks_refused_points),
        cmocka_unit_test(elasticities_of_laminar_flow_are_its_exponents),
        cmocka_unit_test(gum_end_gauge_example_is_reproduced_by_both_methods),
        cmocka_unit_test(the_same_seed_gives_the_same_draws),
        cmocka_unit_test(two_draws_are_those_of_splitmix64_and_box_and_muller),
        cmocka_unit_test(a_failure_that_is_no_refusal_ends_a_search_a_sweep_and_draws),
        cmocka_unit_test(a_sweep_takes_two_to_ten_thousand_points),
        cmocka_unit_test(a_spread_is_a_difference_in_the_unit_of_its_value),
        cmocka_unit_test(a_search_goes_by_equal_steps_and_by_ratios_over_two_decades),
        cmocka_unit_test(open_ends_are_approached_and_closed_ones_are_touched),
        cmocka_unit_test(what_refuses_part_of_a_range_leaves_the_rest_to_be_searched),
        cmocka_unit_test(sensitivity_takes_defaults_and_has_no_elasticity_of_temperatures_zeros_and_what_is_not_given),
        cmocka_unit_test(at_the_end_of_a_range_a_derivative_is_one_sided),
        cmocka_unit_test(a_derivative_has_the_unit_of_a_quotient),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
