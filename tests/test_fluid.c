/* Viscosity and density of liquids: fits, their limits and their refusals. Published values are in
 * reference/fluid.json. */
#include "support.h"

#include "catalogue.h"
#include "fluid.h"

#define CELSIUS(t) ((t) + 273.15)

static imp_fluid fitted(size_t count, const imp_fluid_point *points)
{
    imp_fluid fluid = {.count = count};
    imp_error error = {.message = ""};
    memcpy(fluid.points, points, count * sizeof *points);
    if (imp_fluid_fit(&fluid, &error) != IMP_OK)
        fail_msg("%s", error.message);
    return fluid;
}

static double viscosity_at(const imp_fluid *fluid, double celsius)
{
    double viscosity = NAN;
    assert_int_equal(imp_fluid_viscosity(fluid, CELSIUS(celsius), &viscosity, NULL, NULL), IMP_OK);
    return viscosity;
}

static double vogel(double a, double b, double c, double celsius)
{
    return exp(a + b / (CELSIUS(celsius) - c));
}

static void refuse(imp_status status, imp_status expected, const imp_error *error, const char *sentence)
{
    char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE];
    assert_int_equal(status, expected);
    assert_string_equal(imp_error_text(error, text, sizeof text), sentence);
}

static void refuse_points(size_t count, const imp_fluid_point *points, imp_status expected, const char *sentence)
{
    imp_fluid fluid = {.count = count, .a = 42.0};
    imp_error error;
    memcpy(fluid.points, points, (count < IMP_FLUID_POINTS ? count : IMP_FLUID_POINTS) * sizeof *points);
    refuse(imp_fluid_fit(&fluid, &error), expected, &error, sentence);
    assert_true(fluid.a == 42.0);
}

static void one_point_gives_its_viscosity_everywhere_and_says_so(void **state)
{
    (void)state;
    const imp_fluid fluid = fitted(1, (imp_fluid_point[]){{CELSIUS(25.0), 0.7}});
    bool extrapolated = true;
    double viscosity;
    assert_int_equal(fluid.method, IMP_FLUID_CONSTANT);
    assert_int_equal(imp_fluid_viscosity(&fluid, CELSIUS(25.0), &viscosity, &extrapolated, NULL), IMP_OK);
    assert_relative(viscosity, 0.7, 1e-15);
    assert_false(extrapolated);
    assert_int_equal(imp_fluid_viscosity(&fluid, CELSIUS(-60.0), &viscosity, &extrapolated, NULL), IMP_OK);
    assert_relative(viscosity, 0.7, 1e-15);
    assert_true(extrapolated);
}

static void two_points_are_met_and_ln_mu_is_straight_in_the_reciprocal_temperature(void **state)
{
    (void)state;
    const imp_fluid fluid = fitted(2, (imp_fluid_point[]){{CELSIUS(50.0), 0.18}, {CELSIUS(25.0), 0.7}});
    assert_int_equal(fluid.method, IMP_FLUID_ANDRADE);
    assert_relative(viscosity_at(&fluid, 25.0), 0.7, 1e-13);
    assert_relative(viscosity_at(&fluid, 50.0), 0.18, 1e-13);
    const double middle = 2.0 / (1.0 / CELSIUS(25.0) + 1.0 / CELSIUS(50.0)) - 273.15; /* mean of the reciprocals */
    assert_relative(viscosity_at(&fluid, middle), sqrt(0.7 * 0.18), 1e-12);
}

static void three_points_are_met_exactly(void **state)
{
    (void)state;
    const imp_fluid_point points[] = {{CELSIUS(20.0), 0.3139}, {CELSIUS(40.0), 0.0756}, {CELSIUS(100.0), 0.0076}};
    const imp_fluid fluid = fitted(3, points);
    assert_int_equal(fluid.method, IMP_FLUID_VOGEL);
    for (size_t i = 0; i < 3; i++) {
        assert_relative(viscosity_at(&fluid, points[i].temperature - 273.15), points[i].viscosity, 1e-11);
        assert_close(fluid.residuals[i], 0.0, 1e-11);
    }
}

static void fit_recovers_the_law_that_made_the_points(void **state)
{
    (void)state;
    const double laws[][3] = {
        {-10.63, 570.6, 140.0}, {-9.2, 750.0, 200.0}, {-14.0, 3200.0, 0.0}, {-42.0, 30000.0, -500.0}};
    for (size_t law = 0; law < sizeof laws / sizeof laws[0]; law++)
        for (size_t count = 3; count <= IMP_FLUID_POINTS; count += 6) {
            imp_fluid_point points[IMP_FLUID_POINTS];
            for (size_t i = 0; i < count; i++) {
                const double t = 10.0 + 70.0 * (double)i / (double)(count - 1);
                points[i] = (imp_fluid_point){CELSIUS(t), vogel(laws[law][0], laws[law][1], laws[law][2], t)};
            }
            const imp_fluid fluid = fitted(count, points);
            assert_relative(fluid.b, laws[law][1], 1e-6);
            assert_close(fluid.c, laws[law][2], 1e-4);
            assert_true(fluid.worst_residual < 1e-10);
            assert_relative(viscosity_at(&fluid, 45.0), vogel(laws[law][0], laws[law][1], laws[law][2], 45.0), 1e-10);
        }
}

static void order_of_the_points_does_not_matter(void **state)
{
    (void)state;
    const imp_fluid_point up[] = {{288.15, 0.42}, {298.15, 0.215}, {308.15, 0.121}, {323.15, 0.0595}};
    const imp_fluid_point mixed[] = {{308.15, 0.121}, {288.15, 0.42}, {323.15, 0.0595}, {298.15, 0.215}};
    const imp_fluid a = fitted(4, up), b = fitted(4, mixed);
    assert_close(a.a, b.a, 0.0);
    assert_close(a.c, b.c, 0.0);
    assert_close(a.residuals[2], b.residuals[0], 0.0); /* residuals follow the points as they were given */
    assert_close(a.residuals[0], b.residuals[1], 0.0);
}

/* No nearby a, b or c leaves less: the property that defines the fit. */
static void no_neighbouring_fit_is_better(void **state)
{
    (void)state;
    const imp_fluid_point points[] = {
        {288.15, 0.42}, {298.15, 0.215}, {308.15, 0.121}, {323.15, 0.0595}, {338.15, 0.033}};
    const imp_fluid fluid = fitted(5, points);
    double least = 0.0;
    for (size_t i = 0; i < 5; i++) {
        const double left = log(points[i].viscosity) - fluid.a - fluid.b / (points[i].temperature - fluid.c);
        least += left * left;
    }
    assert_true(least > 1e-8);
    for (int k = 0; k < 6; k++) {
        const double sign = k % 2 == 0 ? 1.0 : -1.0;
        const double a = fluid.a + (k / 2 == 0 ? sign * 1e-3 : 0.0), b = fluid.b + (k / 2 == 1 ? sign * 0.1 : 0.0);
        const double c = fluid.c + (k / 2 == 2 ? sign * 0.1 : 0.0);
        double squares = 0.0;
        for (size_t i = 0; i < 5; i++) {
            const double left = log(points[i].viscosity) - a - b / (points[i].temperature - c);
            squares += left * left;
        }
        assert_true(squares > least);
    }
}

static void fitted_viscosity_never_rises_with_temperature(void **state)
{
    (void)state;
    /* invented, noisy, even bent the wrong way for the law: ln mu falls ever faster */
    const imp_fluid_point sets[][5] = {
        {{283.15, 0.50}, {293.15, 0.49}, {303.15, 0.47}, {313.15, 0.40}, {323.15, 0.10}},
        {{283.15, 5.0}, {293.15, 0.30}, {303.15, 0.29}, {313.15, 0.28}, {323.15, 0.279}},
        {{283.15, 0.5}, {293.15, 0.5}, {303.15, 0.5}, {313.15, 0.5}, {323.15, 0.5}},
    };
    for (size_t set = 0; set < 3; set++) {
        const imp_fluid fluid = fitted(5, sets[set]);
        assert_true(fluid.b >= 0.0 && fluid.c < 283.15);
        double before = INFINITY;
        for (double t = 10.0; t <= 50.0; t += 0.5) {
            const double viscosity = viscosity_at(&fluid, t);
            assert_true(viscosity <= before);
            before = viscosity;
        }
    }
}

static void worst_residual_is_the_largest_of_the_residuals(void **state)
{
    (void)state;
    const imp_fluid_point points[] = {{283.15, 0.50}, {293.15, 0.30}, {303.15, 0.21}, {313.15, 0.12}, {323.15, 0.09}};
    const imp_fluid fluid = fitted(5, points);
    double worst = 0.0;
    for (size_t i = 0; i < 5; i++) {
        const double viscosity = viscosity_at(&fluid, points[i].temperature - 273.15);
        assert_close(fluid.residuals[i], viscosity / points[i].viscosity - 1.0, 1e-13);
        worst = fmax(worst, fabs(fluid.residuals[i]));
    }
    assert_true(worst > 0.01);
    assert_close(fluid.worst_residual, worst, 0.0);
}

static void temperature_outside_the_points_is_flagged_and_at_their_ends_is_not(void **state)
{
    (void)state;
    const imp_fluid fluid =
        fitted(3, (imp_fluid_point[]){{CELSIUS(20.0), 0.4}, {CELSIUS(40.0), 0.1}, {CELSIUS(60.0), 0.04}});
    const double temperatures[] = {20.0, 60.0, 19.9, 60.1};
    for (size_t i = 0; i < 4; i++) {
        double viscosity;
        bool extrapolated;
        assert_int_equal(imp_fluid_viscosity(&fluid, CELSIUS(temperatures[i]), &viscosity, &extrapolated, NULL),
                         IMP_OK);
        assert_int_equal(extrapolated, i >= 2);
    }
}

static void beyond_half_the_way_from_the_coldest_point_to_the_pole_the_fit_is_refused(void **state)
{
    (void)state;
    const imp_fluid_point points[] = {{CELSIUS(20.0), vogel(-10.6, 570.6, 140.0, 20.0)},
                                      {CELSIUS(40.0), vogel(-10.6, 570.6, 140.0, 40.0)},
                                      {CELSIUS(60.0), vogel(-10.6, 570.6, 140.0, 60.0)}};
    const imp_fluid fluid = fitted(3, points);
    const double half_way = 0.5 * (fluid.coldest + fluid.c);
    double viscosity = 42.0;
    imp_error error;
    refuse(imp_fluid_viscosity(&fluid, half_way - 0.1, &viscosity, NULL, &error), IMP_NOT_APPLICABLE, &error,
           "temperature: -56.7 degC is too far outside the viscosity points, 20.0 degC to 60.0 degC, for their fit to "
           "hold");
    assert_true(viscosity == 42.0);
    assert_int_equal(imp_fluid_viscosity(&fluid, half_way + 0.1, &viscosity, NULL, &error), IMP_OK);
    assert_relative(viscosity, vogel(-10.6, 570.6, 140.0, half_way + 0.1 - 273.15), 1e-8);
}

static void viscosity_that_rises_is_refused_naming_both_points(void **state)
{
    (void)state;
    refuse_points(
        3, (imp_fluid_point[]){{CELSIUS(40.0), 0.1}, {CELSIUS(20.0), 0.3}, {CELSIUS(30.0), 0.4}}, IMP_NOT_APPLICABLE,
        "points: viscosity rises from 300 mPa s at 20.0 degC to 400 mPa s at 30.0 degC; a liquid's falls as it warms");
}

static void three_points_of_one_viscosity_give_it_everywhere(void **state)
{
    (void)state;
    imp_fluid fluid = {.count = 3, .points = {{283.15, 0.3}, {303.15, 0.3}, {323.15, 0.3}}};
    assert_int_equal(imp_fluid_fit(&fluid, NULL), IMP_OK);
    for (double temperature = 285.0; temperature < 323.0; temperature += 7.0) {
        double viscosity;
        assert_int_equal(imp_fluid_viscosity(&fluid, temperature, &viscosity, NULL, NULL), IMP_OK);
        assert_relative(viscosity, 0.3, 1e-12);
    }
}

static void points_a_tenth_of_a_kelvin_apart_are_the_closest(void **state)
{
    (void)state;
    imp_fluid fluid = {.count = 2, .points = {{293.15, 0.3}, {293.255, 0.29}}};
    imp_error error;
    assert_int_equal(imp_fluid_fit(&fluid, &error), IMP_OK);
    fluid.points[1].temperature = 293.245;
    assert_int_not_equal(imp_fluid_fit(&fluid, &error), IMP_OK);
}

static void points_at_one_temperature_are_refused(void **state)
{
    (void)state;
    refuse_points(
        2, (imp_fluid_point[]){{CELSIUS(20.0), 0.3}, {CELSIUS(20.04), 0.29}}, IMP_NOT_APPLICABLE,
        "points: 300 mPa s at 20.0 degC and 290 mPa s at 20.0 degC are too close in temperature; points must be at "
        "least 0.1 K apart");
}

static void number_of_points_is_limited(void **state)
{
    (void)state;
    const imp_fluid_point points[IMP_FLUID_POINTS] = {{CELSIUS(20.0), 0.3}};
    refuse_points(0, points, IMP_LIMIT, "points: expected 1 to 16 points, got 0");
    refuse_points(17, points, IMP_LIMIT, "points: expected 1 to 16 points, got 17");
}

static void point_outside_its_range_is_named_by_its_number(void **state)
{
    (void)state;
    refuse_points(2, (imp_fluid_point[]){{CELSIUS(20.0), 0.3}, {CELSIUS(40.0), 0.0}}, IMP_RANGE,
                  "points[2].viscosity: 0 mPa s is not above 0 mPa s");
    refuse_points(1, (imp_fluid_point[]){{20.0, 0.3}}, IMP_RANGE,
                  "points[1].temperature: -253.15 degC is below -60 degC");
}

static void sixteen_points_are_accepted(void **state)
{
    (void)state;
    imp_fluid_point points[IMP_FLUID_POINTS];
    for (size_t i = 0; i < IMP_FLUID_POINTS; i++)
        points[i] = (imp_fluid_point){CELSIUS(5.0 * (double)i), vogel(-10.0, 900.0, 170.0, 5.0 * (double)i)};
    assert_relative(fitted(IMP_FLUID_POINTS, points).c, 170.0, 1e-6);
}

static void oil_has_its_own_viscosities_at_its_two_temperatures(void **state)
{
    (void)state;
    const imp_fluid_oil_point cold = {CELSIUS(40.0), 46e-6}, hot = {CELSIUS(100.0), 6.8e-6};
    double viscosity, swapped;
    assert_int_equal(imp_fluid_walther_viscosity(CELSIUS(40.0), &cold, &hot, &viscosity, NULL), IMP_OK);
    assert_relative(viscosity, 46e-6, 1e-12);
    assert_int_equal(imp_fluid_walther_viscosity(CELSIUS(100.0), &cold, &hot, &viscosity, NULL), IMP_OK);
    assert_relative(viscosity, 6.8e-6, 1e-12);
    assert_int_equal(imp_fluid_walther_viscosity(CELSIUS(55.0), &cold, &hot, &viscosity, NULL), IMP_OK);
    assert_int_equal(imp_fluid_walther_viscosity(CELSIUS(55.0), &hot, &cold, &swapped, NULL), IMP_OK);
    assert_relative(swapped, viscosity, 1e-12);
}

static void oil_points_that_make_no_sense_are_refused(void **state)
{
    (void)state;
    const imp_fluid_oil_point cold = {CELSIUS(40.0), 46e-6}, hot = {CELSIUS(100.0), 6.8e-6},
                              wrong = {CELSIUS(100.0), 60e-6};
    double viscosity = 42.0;
    imp_error error;
    refuse(
        imp_fluid_walther_viscosity(CELSIUS(50.0), &cold, &wrong, &viscosity, &error), IMP_NOT_APPLICABLE, &error,
        "viscosity_2: viscosity rises with temperature (46 mm^2/s at 40.0 degC, 60 mm^2/s at 100.0 degC); a liquid's "
        "falls as it warms");
    refuse(imp_fluid_walther_viscosity(CELSIUS(50.0), &cold, &cold, &viscosity, &error), IMP_NOT_APPLICABLE, &error,
           "temperature_2: is within 0.1 K of temperature_1; two temperatures well apart are needed");
    refuse(imp_fluid_walther_viscosity(CELSIUS(240.0), &cold, &hot, &viscosity, &error), IMP_NOT_APPLICABLE, &error,
           "temperature: the viscosity there would leave 2 mm^2/s to 20000000 mm^2/s, where the equation holds");
    assert_true(viscosity == 42.0);
}

static void liquid_keeps_its_mass_when_it_expands(void **state)
{
    (void)state;
    double density, back;
    assert_int_equal(imp_fluid_density(CELSIUS(60.0), 1230.0, CELSIUS(25.0), 7e-4, &density, NULL), IMP_OK);
    assert_relative(density * (1.0 + 7e-4 * 35.0), 1230.0, 1e-15);
    assert_int_equal(imp_fluid_density(CELSIUS(25.0), 1230.0, CELSIUS(25.0), 7e-4, &back, NULL), IMP_OK);
    assert_true(back == 1230.0);
    const imp_fluid fluid = {.density = 1230.0, .reference_temperature = CELSIUS(25.0), .expansion = 7e-4};
    assert_int_equal(imp_fluid_density_at(&fluid, CELSIUS(60.0), &back, NULL), IMP_OK);
    assert_true(back == density);
}

static void density_without_a_reference_is_refused(void **state)
{
    (void)state;
    const imp_fluid fluid = {.reference_temperature = CELSIUS(25.0)};
    double density = 42.0;
    imp_error error;
    refuse(imp_fluid_density_at(&fluid, CELSIUS(60.0), &density, &error), IMP_RANGE, &error,
           "reference_density: 0 kg/m^3 is below 300 kg/m^3");
    assert_true(density == 42.0);
}

static void entry_reports_method_extrapolation_and_fit(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("fluid.viscosity");
    assert_non_null(calc);
    const imp_value items[] = {{.number = CELSIUS(25.0), .given = true},
                               {.number = 0.7, .given = true},
                               {.number = CELSIUS(50.0), .given = true},
                               {.number = 0.18, .given = true}};
    const imp_value in[] = {{.items = items, .count = 2, .given = true}, {.number = CELSIUS(60.0), .given = true}};
    imp_value out[4];
    imp_sheet sheet;
    imp_sheet_init(&sheet, NULL);
    assert_int_equal(imp_calc_evaluate(calc, in, out, &sheet, NULL), IMP_OK);
    assert_string_equal(calc->outputs[1].choices[(int)out[1].number], "andrade");
    assert_string_equal(calc->outputs[2].choices[(int)out[2].number], "yes");
    assert_close(out[3].number, 0.0, 1e-13);
    assert_true(sheet.count > 6 && !sheet.failed);
    imp_sheet_free(&sheet);
}

static void entry_refuses_an_empty_table(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("fluid.viscosity");
    const imp_value in[] = {{.count = 0, .given = true}, {.number = CELSIUS(60.0), .given = true}};
    imp_value out[4];
    imp_error error;
    refuse(imp_calc_evaluate(calc, in, out, NULL, &error), IMP_LIMIT, &error,
           "fluid.viscosity: points: expected 1 to 16 points, got 0");
}

/* Three points of one law give it back wherever its pole lies, from 1.1 K to 4900 K below the coldest. */
static void fit_finds_a_pole_at_any_distance(void **state)
{
    (void)state;
    for (double distance = 1.1; distance < 4900.0; distance *= 1.01) {
        const double c = CELSIUS(20.0) - distance, b = 2.0 * distance * (distance + 40.0) / 40.0, a = -b / distance;
        imp_fluid_point points[3];
        for (int i = 0; i < 3; i++)
            points[i] = (imp_fluid_point){CELSIUS(20.0 + 20.0 * i), vogel(a, b, c, 20.0 + 20.0 * i)};
        const imp_fluid fluid = fitted(3, points);
        const double rounding = 1e-12 + 2e-15 * distance * distance; /* far poles bend the line between the points ever less */
        assert_true(fluid.worst_residual < rounding);
        assert_relative(viscosity_at(&fluid, 30.0), vogel(a, b, c, 30.0), rounding);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_point_gives_its_viscosity_everywhere_and_says_so),
        cmocka_unit_test(two_points_are_met_and_ln_mu_is_straight_in_the_reciprocal_temperature),
        cmocka_unit_test(three_points_are_met_exactly),
        cmocka_unit_test(fit_recovers_the_law_that_made_the_points),
        cmocka_unit_test(order_of_the_points_does_not_matter),
        cmocka_unit_test(no_neighbouring_fit_is_better),
        cmocka_unit_test(fitted_viscosity_never_rises_with_temperature),
        cmocka_unit_test(worst_residual_is_the_largest_of_the_residuals),
        cmocka_unit_test(temperature_outside_the_points_is_flagged_and_at_their_ends_is_not),
        cmocka_unit_test(beyond_half_the_way_from_the_coldest_point_to_the_pole_the_fit_is_refused),
        cmocka_unit_test(viscosity_that_rises_is_refused_naming_both_points),
        cmocka_unit_test(three_points_of_one_viscosity_give_it_everywhere),
        cmocka_unit_test(points_a_tenth_of_a_kelvin_apart_are_the_closest),
        cmocka_unit_test(points_at_one_temperature_are_refused),
        cmocka_unit_test(number_of_points_is_limited),
        cmocka_unit_test(point_outside_its_range_is_named_by_its_number),
        cmocka_unit_test(sixteen_points_are_accepted),
        cmocka_unit_test(oil_has_its_own_viscosities_at_its_two_temperatures),
        cmocka_unit_test(oil_points_that_make_no_sense_are_refused),
        cmocka_unit_test(liquid_keeps_its_mass_when_it_expands),
        cmocka_unit_test(density_without_a_reference_is_refused),
        cmocka_unit_test(entry_reports_method_extrapolation_and_fit),
        cmocka_unit_test(entry_refuses_an_empty_table),
        cmocka_unit_test(fit_finds_a_pole_at_any_distance),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
