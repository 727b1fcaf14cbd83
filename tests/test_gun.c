/* Gun: orifices and the balance of the two jets. Published values stand in reference/gun.json. */
#include "support.h"

#include "argument.h"
#include "gun.h"

static const double pi = 3.14159265358979323846;

static double flow_at(double diameter, double pressure_drop, double density, double coefficient)
{
    double flow = -1.0, velocity = -1.0;
    assert_int_equal(imp_gun_orifice_flow(diameter, pressure_drop, density, coefficient, &flow, &velocity, NULL),
                     IMP_OK);
    assert_relative(velocity * pi * diameter * diameter / 4.0, flow, 1e-14);
    return flow;
}

static double coefficient_at(double reynolds, double length_ratio)
{
    double coefficient = -1.0;
    assert_int_equal(imp_gun_discharge_coefficient(reynolds, length_ratio, &coefficient, NULL), IMP_OK);
    return coefficient;
}

static void orifice_pressure_returns_the_pressure_that_made_the_flow(void **state)
{
    (void)state;
    for (double pressure = 1.0; pressure < 1e8; pressure *= 7.0) {
        double found = 0.0;
        assert_int_equal(
            imp_gun_orifice_pressure(0.0012, flow_at(0.0012, pressure, 1230.0, 0.75), 1230.0, 0.75, &found, NULL),
            IMP_OK);
        assert_relative(found, pressure, 1e-13);
    }
}

static void without_pressure_nothing_flows(void **state)
{
    (void)state;
    assert_true(flow_at(0.0012, 0.0, 1230.0, 0.75) == 0.0);
}

/* Torricelli: a loss-free jet under a head h flows at sqrt(2 g h) */
static void a_loss_free_jet_has_the_speed_of_free_fall(void **state)
{
    (void)state;
    double flow = 0.0, velocity = 0.0;
    assert_int_equal(imp_gun_orifice_flow(0.01, 1000.0 * 9.80665 * 20.0, 1000.0, 1.0, &flow, &velocity, NULL), IMP_OK);
    assert_relative(velocity, sqrt(2.0 * 9.80665 * 20.0), 1e-14);
}

static void twice_the_flow_takes_four_times_the_pressure(void **state)
{
    (void)state;
    double once = 0.0, twice = 0.0;
    assert_int_equal(imp_gun_orifice_pressure(0.0012, 2e-5, 1100.0, 0.75, &once, NULL), IMP_OK);
    assert_int_equal(imp_gun_orifice_pressure(0.0012, 4e-5, 1100.0, 0.75, &twice, NULL), IMP_OK);
    assert_relative(twice, 4.0 * once, 1e-14);
}

static void an_orifice_without_coefficient_takes_the_default(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("gun.orifice_flow");
    double in[4] = {0.0012, 5e6, 1100.0, (double)NAN}, out[2];
    assert_int_equal(imp_calc_numbers(calc, in, out, NULL), IMP_OK);
    assert_relative(out[0], flow_at(0.0012, 5e6, 1100.0, 0.75), 1e-15);
}

/* At the end of the range the coefficient is within 1 % of the paper's ultimate value, 0.827 - 0.0085 l/d. */
static void discharge_coefficient_tends_to_its_ultimate_value(void **state)
{
    (void)state;
    for (double length_ratio = 2.0; length_ratio <= 10.0; length_ratio += 0.5)
        assert_relative(coefficient_at(19999.0, length_ratio), 0.827 - 0.0085 * length_ratio, 0.01);
}

/* Creeping flow: the pressure goes into friction, and the coefficient into Re/(20 (1 + 2.25 l/d)). */
static void discharge_coefficient_of_creeping_flow_is_proportional_to_reynolds(void **state)
{
    (void)state;
    assert_relative(coefficient_at(10.001, 10.0), 10.001 / (20.0 * 23.5), 0.04);
}

static void discharge_coefficient_rises_with_reynolds_and_falls_with_length(void **state)
{
    (void)state;
    for (double length_ratio = 2.0; length_ratio <= 9.75; length_ratio += 0.25)
        for (double reynolds = 10.1; reynolds * 1.01 < 2e4; reynolds *= 1.01) {
            assert_true(coefficient_at(reynolds * 1.01, length_ratio) > coefficient_at(reynolds, length_ratio));
            assert_true(coefficient_at(reynolds, length_ratio + 0.25) < coefficient_at(reynolds, length_ratio));
        }
}

static void outside_its_measurements_the_discharge_coefficient_is_refused(void **state)
{
    (void)state;
    static const struct {
        double reynolds, length_ratio;
        const char *text;
    } cases[] = {
        {10.0, 4.0, "reynolds: 10 is not above 10"},         {20000.0, 4.0, "reynolds: 20000 is not below 20000"},
        {1000.0, 1.5, "length_ratio: 1.5 is below 2"},       {1000.0, 11.0, "length_ratio: 11 is above 10"},
        {(double)NAN, 4.0, "reynolds: not a finite number"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double coefficient = -7.0;
        imp_error error;
        char text[640];
        assert_int_equal(imp_gun_discharge_coefficient(cases[i].reynolds, cases[i].length_ratio, &coefficient, &error),
                         IMP_RANGE);
        assert_string_equal(imp_error_text(&error, text, sizeof text), cases[i].text);
        assert_true(coefficient == -7.0);
    }
}

static const imp_gun_side example_iso = {
    .flow = 5e-5, .density = 1200.0, .viscosity = 0.06, .diameter = 0.0012, .count = 1};
static const imp_gun_side example_resin = {
    .flow = 5.2e-5, .density = 1100.0, .viscosity = 0.09, .diameter = 0.0010, .count = 2};

static double ratio_of(const imp_gun_side *iso, const imp_gun_side *resin, double *iso_reynolds, double *resin_reynolds)
{
    double ratio = -1.0;
    assert_int_equal(imp_gun_impingement(iso, resin, &ratio, iso_reynolds, resin_reynolds, NULL), IMP_OK);
    return ratio;
}

static void equal_sides_are_balanced(void **state)
{
    (void)state;
    double iso = 0.0, resin = 0.0;
    assert_true(ratio_of(&example_iso, &example_iso, &iso, &resin) == 1.0);
    assert_true(iso == resin);
}

static void exchanging_the_sides_inverts_the_ratio(void **state)
{
    (void)state;
    double a = 0.0, b = 0.0, c = 0.0, d = 0.0;
    const double forth = ratio_of(&example_iso, &example_resin, &a, &b),
                 back = ratio_of(&example_resin, &example_iso, &c, &d);
    assert_relative(forth * back, 1.0, 1e-15);
    assert_true(a == d && b == c);
}

static void two_orifices_of_the_same_area_keep_the_momentum_and_lower_reynolds(void **state)
{
    (void)state;
    imp_gun_side split = example_iso;
    split.count = 2;
    split.diameter /= sqrt(2.0);
    double whole = 0.0, half = 0.0, resin = 0.0;
    const double before = ratio_of(&example_iso, &example_resin, &whole, &resin);
    assert_relative(ratio_of(&split, &example_resin, &half, &resin), before, 1e-14);
    assert_relative(half * sqrt(2.0), whole, 1e-14);
}

static void a_count_that_is_no_count_is_refused(void **state)
{
    (void)state;
    imp_gun_side resin = example_resin;
    resin.count = 0;
    double ratio = -7.0, iso_reynolds = -7.0, resin_reynolds = -7.0;
    imp_error error;
    char text[640];
    assert_int_equal(imp_gun_impingement(&example_iso, &resin, &ratio, &iso_reynolds, &resin_reynolds, &error),
                     IMP_RANGE);
    assert_string_equal(imp_error_text(&error, text, sizeof text), "resin_count: 0 is not a whole number from 1 to 8");
    assert_true(ratio == -7.0 && iso_reynolds == -7.0 && resin_reynolds == -7.0);
}

static void counts_are_read_as_whole_numbers_and_are_1_unless_given(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("gun.impingement");
    const char *const names[] = {"iso_flow",      "iso_density",     "iso_viscosity",  "iso_diameter", "resin_flow",
                                 "resin_density", "resin_viscosity", "resin_diameter", "resin_count"};
    const char *texts[] = {"3 L/min",     "1200 kg/m^3", "60 mPa s", "1.2 mm", "3.12 L/min",
                           "1100 kg/m^3", "90 mPa s",    "1 mm",     "2"};
    imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
    imp_arena arena;
    imp_arena_init(&arena, NULL);
    double iso = 0.0, resin = 0.0;
    assert_int_equal(imp_arguments_read(calc, 9, names, texts, &arena, in, NULL), IMP_OK);
    assert_int_equal(imp_calc_evaluate(calc, in, out, NULL, NULL), IMP_OK);
    assert_relative(out[0].number, ratio_of(&example_iso, &example_resin, &iso, &resin), 1e-13);
    assert_relative(out[2].number, resin, 1e-13);
    texts[8] = "2.5";
    assert_int_not_equal(imp_arguments_read(calc, 9, names, texts, &arena, in, NULL), IMP_OK);
    imp_arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(orifice_pressure_returns_the_pressure_that_made_the_flow),
        cmocka_unit_test(without_pressure_nothing_flows),
        cmocka_unit_test(a_loss_free_jet_has_the_speed_of_free_fall),
        cmocka_unit_test(twice_the_flow_takes_four_times_the_pressure),
        cmocka_unit_test(an_orifice_without_coefficient_takes_the_default),
        cmocka_unit_test(discharge_coefficient_tends_to_its_ultimate_value),
        cmocka_unit_test(discharge_coefficient_of_creeping_flow_is_proportional_to_reynolds),
        cmocka_unit_test(discharge_coefficient_rises_with_reynolds_and_falls_with_length),
        cmocka_unit_test(outside_its_measurements_the_discharge_coefficient_is_refused),
        cmocka_unit_test(equal_sides_are_balanced),
        cmocka_unit_test(exchanging_the_sides_inverts_the_ratio),
        cmocka_unit_test(two_orifices_of_the_same_area_keep_the_momentum_and_lower_reynolds),
        cmocka_unit_test(a_count_that_is_no_count_is_refused),
        cmocka_unit_test(counts_are_read_as_whole_numbers_and_are_1_unless_given),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
