/* Root finding and least squares: they find what is there, to the last digit, and refuse what is not. */
#include "support.h"

#include "solve.h"

typedef struct counted {
    int calls;
    double low, high; /* the range that the calls must stay in */
    double root;
} counted;

static void count(counted *seen, double x)
{
    seen->calls++;
    assert_true(x >= seen->low && x <= seen->high);
}

static double cosine_less_x(double x, void *context)
{
    count(context, x);
    return cos(x) - x;
}

static double ninth_power(double x, void *context)
{
    const counted *seen = context;
    count(context, x);
    return pow(x - seen->root, 9.0);
}

static double step_up(double x, void *context)
{
    const counted *seen = context;
    count(context, x);
    return x < seen->root ? -1e-9 : 1.0;
}

static double steep_exponential(double x, void *context)
{
    count(context, x);
    return exp(x) - 1e5;
}

static double pole(double x, void *context)
{
    const counted *seen = context;
    count(context, x);
    return 1.0 / (seen->root - x) - 1e3;
}

static double always_positive(double x, void *context)
{
    count(context, x);
    return x * x + 1.0;
}

static double undefined_in_the_middle(double x, void *context)
{
    count(context, x);
    return fabs(x) < 0.5 ? (double)NAN : x;
}

static double straight_line(double x, void *context)
{
    const counted *seen = context;
    count(context, x);
    return x - seen->root;
}

static double solve(imp_function function, counted *seen, double tolerance)
{
    double root = NAN;
    imp_error error;
    assert_int_equal(imp_solve_bracketed(function, seen, seen->low, seen->high, tolerance, &root, &error), IMP_OK);
    return root;
}

/* OEIS A003957 (from memory) */
static void root_of_cosine_is_found_to_the_last_digit_in_few_calls(void **state)
{
    (void)state;
    counted seen = {.low = 0.0, .high = 1.0};
    assert_relative(solve(cosine_less_x, &seen, 0.0), 0.73908513321516064166, 3e-16);
    assert_true(seen.calls <= 12);
}

static void tolerance_stops_the_search_early_and_is_kept(void **state)
{
    (void)state;
    counted fine = {.low = 0.0, .high = 1.0}, coarse = {.low = 0.0, .high = 1.0};
    const double exact = solve(cosine_less_x, &fine, 0.0);
    assert_close(solve(cosine_less_x, &coarse, 1e-3), exact, 1e-3);
    assert_true(coarse.calls < fine.calls);
}

static void root_over_a_thousand_decades_is_ln_1e5(void **state)
{
    (void)state;
    counted seen = {.low = -700.0, .high = 700.0};
    assert_relative(solve(steep_exponential, &seen, 0.0), 5.0 * log(10.0), 1e-15);
    assert_true(seen.calls <= 60);
}

/* A flat root defeats interpolation; bisection still corners it. */
static void ninefold_root_is_cornered_within_a_bounded_number_of_calls(void **state)
{
    (void)state;
    counted seen = {.low = -1.0, .high = 4.0, .root = 1.0};
    assert_close(solve(ninth_power, &seen, 1e-9), 1.0, 1e-9);
    assert_true(seen.calls <= 150);
}

static void jump_is_located_like_a_root(void **state)
{
    (void)state;
    counted seen = {.low = 0.0, .high = 1.0, .root = 0.3};
    assert_relative(solve(step_up, &seen, 0.0), 0.3, 1e-15);
}

static void root_beside_a_pole_is_found_and_the_bracket_is_not_left(void **state)
{
    (void)state;
    counted seen = {.low = 0.0, .high = 1.0 - 1e-9, .root = 1.0};
    assert_relative(solve(pole, &seen, 0.0), 0.999, 1e-14);
}

/* A root of any flatness or steepness, with waves on it and each side scaled by its own power of ten. */
typedef struct crooked {
    counted seen;
    double power, waves, frequency, left, right;
} crooked;

static double crooked_line(double x, void *context)
{
    crooked *shape = context;
    count(&shape->seen, x);
    const double offset = x - shape->seen.root, wave = sin(shape->frequency * x);
    const double value = copysign(pow(fabs(offset), shape->power), offset) * (1.0 + shape->waves * wave * wave);
    return value * (offset > 0.0 ? shape->right : shape->left);
}

static double random_between(uint32_t *seed, double low, double high)
{
    *seed = *seed * 1664525u + 1013904223u; /* Numerical Recipes' quick generator, from memory */
    return low + (high - low) * ((double)*seed / 4294967296.0);
}

static void crooked_functions_are_solved_inside_their_bracket_in_a_bounded_number_of_calls(void **state)
{
    (void)state;
    uint32_t seed = 1;
    for (int i = 0; i < 100000; i++) {
        crooked shape = {.seen.root = random_between(&seed, 0.0, 1.0)};
        shape.power = pow(10.0, random_between(&seed, -2.5, 1.5));
        shape.waves = random_between(&seed, 0.0, 20.0);
        shape.frequency = pow(10.0, random_between(&seed, 0.0, 5.0));
        shape.left = pow(10.0, random_between(&seed, -20.0, 20.0));
        shape.right = pow(10.0, random_between(&seed, -20.0, 20.0));
        shape.seen.low = -random_between(&seed, 0.0, 1000.0);
        shape.seen.high = 1.0 + random_between(&seed, 0.0, 1000.0);
        double root;
        assert_int_equal(imp_solve_bracketed(crooked_line, &shape, shape.seen.low, shape.seen.high, 1e-9, &root, NULL),
                         IMP_OK);
        if (crooked_line(root, &shape) != 0.0) /* high powers underflow to zero near the root */
            assert_close(root, shape.seen.root, 1e-9 + 1e-15);
        assert_true(shape.seen.calls <= 250);
    }
}

static void ends_may_be_given_in_either_order(void **state)
{
    (void)state;
    counted seen = {.low = 0.0, .high = 1.0};
    double root;
    assert_int_equal(imp_solve_bracketed(cosine_less_x, &seen, 1.0, 0.0, 0.0, &root, NULL), IMP_OK);
    assert_relative(root, 0.73908513321516064166, 3e-16);
}

static void root_at_an_end_is_returned_exactly(void **state)
{
    (void)state;
    counted at_low = {.low = 2.0, .high = 5.0, .root = 2.0}, at_high = {.low = 2.0, .high = 5.0, .root = 5.0};
    assert_true(solve(straight_line, &at_low, 0.0) == 2.0);
    assert_true(solve(straight_line, &at_high, 0.0) == 5.0);
}

static void root_at_zero_needs_no_relative_accuracy(void **state)
{
    (void)state;
    counted seen = {.low = -1.0, .high = 3.0, .root = 0.0};
    assert_close(solve(straight_line, &seen, 0.0), 0.0, 1e-300);
}

static void no_change_of_sign_is_refused_and_the_result_left_alone(void **state)
{
    (void)state;
    counted seen = {.low = -1.0, .high = 2.0};
    double root = 42.0;
    imp_error error;
    assert_int_equal(imp_solve_bracketed(always_positive, &seen, -1.0, 2.0, 0.0, &root, &error), IMP_NO_SOLUTION);
    assert_string_equal(error.message, "no change of sign between -1 (value 2) and 2 (value 5)");
    assert_true(root == 42.0);
}

static void value_that_is_not_a_number_ends_the_search(void **state)
{
    (void)state;
    counted seen = {.low = -1.0, .high = 1.0};
    double root = 42.0;
    imp_error error;
    assert_int_equal(imp_solve_bracketed(undefined_in_the_middle, &seen, -1.0, 1.0, 0.0, &root, &error),
                     IMP_NO_SOLUTION);
    assert_string_equal(error.message, "the function has no value at 0");
    assert_true(root == 42.0);
}

static void ends_and_tolerance_must_be_finite_numbers(void **state)
{
    (void)state;
    counted seen = {.low = -1.0, .high = 1.0};
    const double bad[][3] = {{NAN, 1.0, 0.0}, {-1.0, INFINITY, 0.0}, {-1.0, 1.0, -1e-9}, {-1.0, 1.0, NAN}};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        double root;
        assert_int_equal(imp_solve_bracketed(straight_line, &seen, bad[i][0], bad[i][1], bad[i][2], &root, NULL),
                         IMP_RANGE);
    }
    assert_int_equal(seen.calls, 0);
}

static void square_system_is_solved_exactly(void **state)
{
    (void)state;
    /* x = 1, y = -2, z = 3, w = 0.5 */
    const double matrix[] = {2, 1, -1, 4, 0, 3, 2, 2, 1, 1, 1, 2, 5, -1, 2, 8};
    const double right[] = {-1, 1, 3, 17};
    double x[4], residual;
    assert_int_equal(imp_least_squares(matrix, right, 4, 4, x, &residual, NULL), IMP_OK);
    assert_close(x[0], 1.0, 1e-14);
    assert_close(x[1], -2.0, 1e-14);
    assert_close(x[2], 3.0, 1e-14);
    assert_close(x[3], 0.5, 1e-14);
    assert_close(residual, 0.0, 1e-14);
}

/* F. J. Anscombe, The American Statistician 27 (1973) 17 (from memory): y = 3.00 + 0.500 x, residual sum of squares
 * 13.76 */
static void anscombe_first_set_has_its_published_line(void **state)
{
    (void)state;
    const double xs[] = {10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5};
    const double ys[] = {8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68};
    double matrix[22], line[2], residual;
    for (size_t i = 0; i < 11; i++) {
        matrix[2 * i] = 1.0;
        matrix[2 * i + 1] = xs[i];
    }
    assert_int_equal(imp_least_squares(matrix, ys, 11, 2, line, &residual, NULL), IMP_OK);
    assert_close(line[0], 3.00, 0.005);
    assert_close(line[1], 0.500, 0.0005);
    assert_close(residual * residual, 13.76, 0.01);
}

/* What is left stands at right angles to every column: the property that defines the least squares. */
static void residual_is_orthogonal_to_every_column(void **state)
{
    (void)state;
    double matrix[30], right[10], x[3];
    for (size_t i = 0; i < 10; i++) {
        const double t = 0.1 * (double)i;
        matrix[3 * i] = 1.0;
        matrix[3 * i + 1] = t;
        matrix[3 * i + 2] = t * t;
        right[i] = sin(7.0 * t);
    }
    assert_int_equal(imp_least_squares(matrix, right, 10, 3, x, NULL, NULL), IMP_OK);
    for (size_t column = 0; column < 3; column++) {
        double product = 0.0;
        for (size_t i = 0; i < 10; i++) {
            const double fitted = matrix[3 * i] * x[0] + matrix[3 * i + 1] * x[1] + matrix[3 * i + 2] * x[2];
            product += matrix[3 * i + column] * (right[i] - fitted);
        }
        assert_close(product, 0.0, 1e-14);
    }
}

static void dependent_columns_are_refused(void **state)
{
    (void)state;
    const double matrix[] = {0.1, 0.3, 0.2, 0.6, 0.7, 2.1}, right[] = {1, 2, 4};
    double x[2] = {42.0, 42.0};
    imp_error error;
    assert_int_equal(imp_least_squares(matrix, right, 3, 2, x, NULL, &error), IMP_NO_SOLUTION);
    assert_string_equal(error.message, "column 2 of the least squares depends on the others");
    assert_true(x[0] == 42.0 && x[1] == 42.0);
}

static void sizes_and_entries_out_of_bounds_are_refused(void **state)
{
    (void)state;
    const double matrix[] = {1, 2, NAN, 4}, right[] = {1, 2};
    double x[5];
    imp_error error;
    assert_int_equal(imp_least_squares(matrix, right, 2, 2, x, NULL, &error), IMP_RANGE);
    assert_string_equal(error.message, "row 2 of the least squares is not finite");
    assert_int_equal(imp_least_squares(matrix, right, 1, 2, x, NULL, NULL), IMP_LIMIT);
    assert_int_equal(imp_least_squares(matrix, right, 2, 0, x, NULL, NULL), IMP_LIMIT);
    assert_int_equal(imp_least_squares(matrix, right, 5, 5, x, NULL, NULL), IMP_LIMIT);
    assert_int_equal(imp_least_squares(matrix, right, IMP_LEAST_SQUARES_ROWS + 1, 1, x, NULL, NULL), IMP_LIMIT);
}

typedef struct looked_at {
    double (*of)(double x);
    int calls;
} looked_at;

static double count_look(double x, void *context)
{
    looked_at *c = context;
    c->calls++;
    return c->of(x);
}

static double cosine_less_itself(double x) { return cos(x) - x; }
static double cube_less_two(double x) { return x * x * x - 2.0; }
static double exponential_less_five(double x) { return exp(x) - 5.0; }
static double steep(double x) { return tanh(3.0 * (x - 0.7)); }
static double quintic(double x) { return pow(x, 5.0) + x - 1.0; }

/* Interpolation pays: halving alone takes 50 looks at a function to close in to the last bits. Bounds measured on this
 * search, a fifth above what it takes. */
static void a_smooth_function_is_looked_at_a_few_times(void **state)
{
    (void)state;
    const struct {
        double (*of)(double x);
        double low, high;
        int most;
    } cases[] = {{cosine_less_itself, 0.0, 1.0, 9}, {cube_less_two, 0.0, 2.0, 11}, {exponential_less_five, 0.0, 3.0, 14}, {steep, 0.0, 2.0, 11}, {quintic, 0.0, 1.0, 13}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        looked_at c = {.of = cases[i].of};
        double root;
        assert_int_equal(imp_solve_bracketed(count_look, &c, cases[i].low, cases[i].high, 0.0, &root, NULL), IMP_OK);
        assert_true(fabs(cases[i].of(root)) < 1e-13);
        assert_in_range(c.calls, 3, cases[i].most);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_smooth_function_is_looked_at_a_few_times),
        cmocka_unit_test(root_of_cosine_is_found_to_the_last_digit_in_few_calls),
        cmocka_unit_test(tolerance_stops_the_search_early_and_is_kept),
        cmocka_unit_test(root_over_a_thousand_decades_is_ln_1e5),
        cmocka_unit_test(ninefold_root_is_cornered_within_a_bounded_number_of_calls),
        cmocka_unit_test(jump_is_located_like_a_root),
        cmocka_unit_test(root_beside_a_pole_is_found_and_the_bracket_is_not_left),
        cmocka_unit_test(crooked_functions_are_solved_inside_their_bracket_in_a_bounded_number_of_calls),
        cmocka_unit_test(ends_may_be_given_in_either_order),
        cmocka_unit_test(root_at_an_end_is_returned_exactly),
        cmocka_unit_test(root_at_zero_needs_no_relative_accuracy),
        cmocka_unit_test(no_change_of_sign_is_refused_and_the_result_left_alone),
        cmocka_unit_test(value_that_is_not_a_number_ends_the_search),
        cmocka_unit_test(ends_and_tolerance_must_be_finite_numbers),
        cmocka_unit_test(square_system_is_solved_exactly),
        cmocka_unit_test(anscombe_first_set_has_its_published_line),
        cmocka_unit_test(residual_is_orthogonal_to_every_column),
        cmocka_unit_test(dependent_columns_are_refused),
        cmocka_unit_test(sizes_and_entries_out_of_bounds_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
