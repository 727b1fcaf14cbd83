/* Hose flow: limiting cases, round trips, trends and refusals. Published values stand in reference/hose.json. */
#include "support.h"

#include "catalogue.h"
#include "hose.h"

static const double pi = 3.14159265358979323846;
static const double roughnesses[] = {0.0, 1e-6, 1e-4, 1e-3, 0.01, 0.03, 0.05};
enum { ROUGHNESSES = sizeof roughnesses / sizeof roughnesses[0] };

static double factor_at(double reynolds, double relative_roughness)
{
    double factor = 0.0;
    assert_int_equal(imp_hose_friction_factor(reynolds, relative_roughness, &factor, NULL), IMP_OK);
    return factor;
}

static imp_hose_drop drop_at(const imp_hose_line *line, double flow, double density, double viscosity)
{
    imp_hose_drop drop = {0.0, 0.0, 0.0, 0.0};
    assert_int_equal(imp_hose_pressure_drop(line, flow, density, viscosity, &drop, NULL), IMP_OK);
    return drop;
}

/* The refusal of a pressure drop, as a person reads it; the result must stay as it was. */
static const char *flow_refusal(const imp_hose_line *line, double pressure_drop, double density, double viscosity,
                                imp_status expected)
{
    static char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE];
    imp_error error = {.status = IMP_OK};
    double flow = -7.0;
    assert_int_equal(imp_hose_flow_for_drop(line, pressure_drop, density, viscosity, &flow, &error), expected);
    assert_true(flow == -7.0);
    return imp_error_text(&error, text, sizeof text);
}

/* Hagen-Poiseuille: dp = 128 mu L Q/(pi d^4) */
static void laminar_drop_is_that_of_hagen_and_poiseuille(void **state)
{
    (void)state;
    const imp_hose_line line = {.bore = 0.0095, .length = 60.0};
    const double flow = 5e-5, viscosity = 0.2;
    const imp_hose_drop drop = drop_at(&line, flow, 1200.0, viscosity);
    assert_true(drop.reynolds < 2000.0);
    assert_relative(drop.pressure_drop, 128.0 * viscosity * line.length * flow / (pi * pow(line.bore, 4.0)), 1e-12);
}

static void laminar_factor_is_64_over_reynolds_and_knows_no_roughness(void **state)
{
    (void)state;
    for (double reynolds = 1e-6; reynolds <= 2000.0; reynolds *= 1.7)
        for (size_t i = 0; i < ROUGHNESSES; i++)
            assert_relative(factor_at(reynolds, roughnesses[i]), 64.0 / reynolds, 1e-15);
}

static void turbulent_factor_satisfies_colebrooks_equation(void **state)
{
    (void)state;
    for (double reynolds = 4000.0; reynolds <= 1e8; reynolds *= 1.9)
        for (size_t i = 0; i < ROUGHNESSES; i++) {
            const double root = 1.0 / sqrt(factor_at(reynolds, roughnesses[i]));
            assert_relative(root, -2.0 * log10(roughnesses[i] / 3.7 + 2.51 * root / reynolds), 1e-13);
        }
}

/* Blasius, 0.3164/Re^0.25, holds to a few per cent from 4000 to 1e5 (from memory). */
static void smooth_turbulent_factor_is_near_blasius(void **state)
{
    (void)state;
    for (double reynolds = 4000.0; reynolds <= 1e5; reynolds *= 1.2)
        assert_relative(factor_at(reynolds, 0.0), 0.3164 / pow(reynolds, 0.25), 0.03);
}

/* The limit of Colebrook's equation for a rough wall: 1/sqrt(f) = -2 log10(e/3.7) */
static void rough_turbulent_factor_no_longer_knows_reynolds(void **state)
{
    (void)state;
    const double root = -2.0 * log10(0.05 / 3.7);
    assert_relative(factor_at(1e8, 0.05), 1.0 / (root * root), 1e-5);
}

static double log_slope(double reynolds, double relative_roughness, double step)
{
    return (log(factor_at(reynolds * (1.0 + step), relative_roughness)) -
            log(factor_at(reynolds, relative_roughness))) /
           log1p(step);
}

static void transition_meets_both_laws_without_step_or_kink(void **state)
{
    (void)state;
    static const double ends[] = {2000.0, 4000.0};
    for (size_t i = 0; i < ROUGHNESSES; i++)
        for (size_t end = 0; end < 2; end++) {
            const double at = ends[end], e = roughnesses[i];
            assert_relative(factor_at(at * (1.0 - 1e-13), e), factor_at(at, e), 1e-11);
            assert_relative(factor_at(at * (1.0 + 1e-13), e), factor_at(at, e), 1e-11);
            assert_close(log_slope(at, e, -1e-6), log_slope(at, e, 1e-6), 1e-4);
        }
}

static void friction_is_never_below_laminar_friction(void **state)
{
    (void)state;
    for (double reynolds = 1000.0; reynolds <= 1e8; reynolds *= 1.003)
        for (size_t i = 0; i < ROUGHNESSES; i++)
            assert_true(factor_at(reynolds, roughnesses[i]) >= 64.0 / reynolds * (1.0 - 1e-15));
}

static void a_rougher_wall_never_lowers_friction(void **state)
{
    (void)state;
    for (double reynolds = 1000.0; reynolds <= 1e8; reynolds *= 1.03)
        for (double e = 0.0; e < 0.0495; e += 0.0005)
            assert_true(factor_at(reynolds, e + 0.0005) >= factor_at(reynolds, e) * (1.0 - 1e-15));
}

static void pressure_drop_rises_with_flow_through_all_regimes(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROUGHNESSES; i++) {
        const imp_hose_line line = {.bore = 0.01, .length = 30.0, .roughness = roughnesses[i] * 0.01};
        double before = 0.0;
        for (double reynolds = 1500.0; reynolds < 6000.0; reynolds *= 1.0005) {
            const double flow = reynolds * pi * line.bore * 0.004 / (4.0 * 1100.0);
            const double drop = drop_at(&line, flow, 1100.0, 0.004).pressure_drop;
            assert_true(drop > before);
            before = drop;
        }
    }
}

static void fittings_and_lift_add_to_the_loss(void **state)
{
    (void)state;
    const imp_hose_line plain = {.bore = 0.0127, .length = 20.0};
    imp_hose_line line = plain;
    line.fitting_loss = 4.0;
    line.rise = -7.0;
    const imp_hose_drop without = drop_at(&plain, 1e-4, 1100.0, 0.05), with = drop_at(&line, 1e-4, 1100.0, 0.05);
    const double velocity = 1e-4 / (pi * 0.0127 * 0.0127 / 4.0);
    assert_close(with.pressure_drop - without.pressure_drop,
                 4.0 * 1100.0 * velocity * velocity / 2.0 - 7.0 * 1100.0 * 9.80665, 1e-6);
    assert_relative(with.velocity, velocity, 1e-14);
}

static void two_half_hoses_lose_as_much_as_the_whole(void **state)
{
    (void)state;
    const imp_hose_line whole = {.bore = 0.0095, .length = 60.0, .roughness = 1e-5, .fitting_loss = 6.0, .rise = 8.0};
    const imp_hose_line half = {.bore = 0.0095, .length = 30.0, .roughness = 1e-5, .fitting_loss = 3.0, .rise = 4.0};
    assert_relative(2.0 * drop_at(&half, 2e-4, 1100.0, 0.003).pressure_drop,
                    drop_at(&whole, 2e-4, 1100.0, 0.003).pressure_drop, 1e-13);
}

static void flow_for_drop_returns_the_flow_that_made_the_drop(void **state)
{
    (void)state;
    for (size_t i = 0; i < ROUGHNESSES; i++)
        for (double fitting_loss = 0.0; fitting_loss < 100.0; fitting_loss = fitting_loss * 9.0 + 1.0)
            for (double reynolds = 0.01; reynolds < 1e7; reynolds *= 1.37) {
                const imp_hose_line line = {
                    .bore = 0.0127, .length = 45.0, .roughness = roughnesses[i] * 0.0127, .fitting_loss = fitting_loss};
                const double flow = reynolds * pi * line.bore * 0.004 / (4.0 * 1100.0);
                const double drop = drop_at(&line, flow, 1100.0, 0.004).pressure_drop;
                double found = 0.0;
                imp_error error;
                if (drop > 1e8) /* beyond the pressures that are accepted */
                    continue;
                if (imp_hose_flow_for_drop(&line, drop, 1100.0, 0.004, &found, &error) != IMP_OK)
                    fail_msg("Re %g: %s", reynolds, error.message);
                assert_relative(found, flow, 1e-10);
            }
}

static void flow_for_drop_allows_for_the_lift_both_ways(void **state)
{
    (void)state;
    imp_hose_line line = {.bore = 0.0127, .length = 45.0, .roughness = 1e-6, .fitting_loss = 3.0, .rise = 25.0};
    for (int turn = 0; turn < 2; turn++, line.rise = -line.rise) {
        double found = 0.0;
        const double drop = drop_at(&line, 1.5e-4, 1100.0, 0.01).pressure_drop;
        assert_int_equal(imp_hose_flow_for_drop(&line, drop, 1100.0, 0.01, &found, NULL), IMP_OK);
        assert_relative(found, 1.5e-4, 1e-10);
    }
}

static void a_falling_hose_flows_without_pressure(void **state)
{
    (void)state;
    const imp_hose_line falling = {.bore = 0.0127, .length = 45.0, .rise = -10.0};
    const imp_hose_line level = {.bore = 0.0127, .length = 45.0};
    double by_gravity = 0.0, by_pressure = 0.0;
    assert_int_equal(imp_hose_flow_for_drop(&falling, 0.0, 1000.0, 0.3, &by_gravity, NULL), IMP_OK);
    assert_int_equal(imp_hose_flow_for_drop(&level, 10.0 * 1000.0 * 9.80665, 1000.0, 0.3, &by_pressure, NULL), IMP_OK);
    assert_relative(by_gravity, by_pressure, 1e-14);
}

static void no_driving_pressure_is_refused_in_a_sentence(void **state)
{
    (void)state;
    imp_hose_line line = {.bore = 0.0127, .length = 45.0};
    assert_string_equal(flow_refusal(&line, 0.0, 1000.0, 0.3, IMP_NO_SOLUTION),
                        "pressure_drop: 0 bar drives no flow; it must be above 0 bar");
    line.rise = 20.0;
    assert_string_equal(flow_refusal(&line, 1e5, 1000.0, 0.3, IMP_NO_SOLUTION),
                        "pressure_drop: 1 bar drives no flow; with a rise of 20 m it must be above 1.96133 bar");
}

static void too_rough_a_wall_is_refused(void **state)
{
    (void)state;
    const imp_hose_line line = {.bore = 0.01, .length = 45.0, .roughness = 0.0006};
    assert_string_equal(flow_refusal(&line, 1e6, 1000.0, 0.3, IMP_RANGE),
                        "roughness: 0.6 mm is more than 0.05 of the bore of 10 mm");
}

static void not_a_number_and_no_flow_are_refused_and_the_result_is_left_alone(void **state)
{
    (void)state;
    const imp_hose_line line = {.bore = 0.01, .length = 45.0};
    imp_hose_drop drop = {.pressure_drop = -7.0};
    imp_error error;
    char text[640];
    assert_int_equal(imp_hose_pressure_drop(&line, 0.0, 1000.0, 0.3, &drop, &error), IMP_RANGE);
    assert_string_equal(imp_error_text(&error, text, sizeof text), "flow: 0 L/min is not above 0 L/min");
    assert_int_equal(imp_hose_pressure_drop(&line, 1e-4, (double)NAN, 0.3, &drop, &error), IMP_RANGE);
    assert_string_equal(imp_error_text(&error, text, sizeof text), "density: not a finite number");
    assert_true(drop.pressure_drop == -7.0);
    double factor = -7.0;
    assert_int_equal(imp_hose_friction_factor(1e9, 0.0, &factor, NULL), IMP_RANGE);
    assert_int_equal(imp_hose_friction_factor(1e5, 0.06, &factor, NULL), IMP_RANGE);
    assert_true(factor == -7.0);
}

static double power_law_drop(double flow, double consistency, double flow_index, double *reynolds)
{
    double drop = 0.0;
    assert_int_equal(imp_hose_power_law_drop(flow, 0.01, 30.0, 1100.0, consistency, flow_index, &drop, reynolds, NULL),
                     IMP_OK);
    return drop;
}

static void a_power_law_liquid_with_index_1_is_newtonian(void **state)
{
    (void)state;
    const imp_hose_line line = {.bore = 0.01, .length = 30.0};
    for (double flow = 1e-6; flow < 3e-3; flow *= 1.3) {
        double reynolds = 0.0;
        const double drop = power_law_drop(flow, 0.004, 1.0, &reynolds);
        const imp_hose_drop newtonian = drop_at(&line, flow, 1100.0, 0.004);
        assert_relative(reynolds, newtonian.reynolds, 1e-13);
        if (reynolds <= 2000.0)
            assert_relative(drop, newtonian.pressure_drop, 1e-13);
        if (reynolds >= 4000.0) /* Dodge-Metzner with n = 1 is Nikuradse's smooth law, within 0.1 % of Colebrook's */
            assert_relative(drop, newtonian.pressure_drop, 1e-3);
    }
}

/* Coulson and Richardson, Chemical Engineering vol. 1, problem 3.40: doubling the laminar flow of a liquid with
 * n = 0.585 raises the drop by half (n printed to 3 digits). */
static void doubling_the_flow_of_a_thinning_liquid_raises_the_drop_by_half(void **state)
{
    (void)state;
    double reynolds = 0.0;
    const double once = power_law_drop(1e-4, 5.0, 0.585, &reynolds);
    const double twice = power_law_drop(2e-4, 5.0, 0.585, &reynolds);
    assert_true(reynolds < 2100.0);
    assert_relative(twice / once, 1.5, 5e-4);
}

/* Rabinowitsch and Mooney for a power law: wall stress dp d/(4 L) = K ((3n+1)/(4n) 8 v/d)^n */
static void laminar_power_law_drop_is_the_wall_stress_of_its_shear_rate(void **state)
{
    (void)state;
    for (double n = 0.3; n <= 1.5; n += 0.1) {
        double reynolds = 0.0;
        const double drop = power_law_drop(2e-5, 3.0, n, &reynolds), velocity = 2e-5 / (pi * 0.01 * 0.01 / 4.0);
        assert_true(reynolds < 2100.0);
        assert_relative(drop * 0.01 / (4.0 * 30.0), 3.0 * pow((3.0 * n + 1.0) / (4.0 * n) * 8.0 * velocity / 0.01, n),
                        1e-12);
    }
}

static void power_law_drop_rises_with_flow_and_has_no_step(void **state)
{
    (void)state;
    for (double n = 0.3; n <= 1.5; n += 0.05) {
        assert_relative(imp_hose_power_law_friction(2100.0 * (1.0 + 1e-12), n), 64.0 / 2100.0, 1e-10);
        assert_relative(imp_hose_power_law_friction(4000.0 * (1.0 - 1e-12), n), imp_hose_power_law_friction(4000.0, n),
                        1e-10);
        double before = 0.0, reynolds = 0.0, least_reynolds = (double)INFINITY;
        for (double flow = 1e-6; flow < 1e-2; flow *= 1.001) {
            const double drop = power_law_drop(flow, 1e-3, n, &reynolds);
            assert_true(drop > before);
            before = drop;
            least_reynolds = fmin(least_reynolds, reynolds);
        }
        assert_true(least_reynolds < 2100.0);
        assert_true(reynolds > 4000.0);
    }
}

static void dodge_and_metzners_equation_is_satisfied(void **state)
{
    (void)state;
    for (double n = 0.3; n <= 1.5; n += 0.1)
        for (double reynolds = 4000.0; reynolds < 1e7; reynolds *= 3.0) {
            const double fanning = imp_hose_power_law_friction(reynolds, n) / 4.0;
            assert_relative(1.0 / sqrt(fanning),
                            4.0 / pow(n, 0.75) * log10(reynolds * pow(fanning, 1.0 - n / 2.0)) - 0.4 / pow(n, 1.2),
                            1e-12);
        }
}

static void fill_gives_a_residence_time_only_where_a_flow_is_given(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("hose.fill");
    imp_value in[3] = {{.number = 0.01, .given = true}, {.number = 60.0, .given = true}, {.given = false}}, out[2];
    assert_int_equal(imp_calc_evaluate(calc, in, out, NULL, NULL), IMP_OK);
    assert_relative(out[0].number, pi * 1e-4 / 4.0 * 60.0, 1e-14);
    assert_false(out[1].given);
    in[2] = (imp_value){.number = 1e-4, .given = true};
    assert_int_equal(imp_calc_evaluate(calc, in, out, NULL, NULL), IMP_OK);
    assert_true(out[1].given);
    assert_relative(out[1].number, out[0].number / 1e-4, 1e-14);
}

static void a_sheet_shows_what_the_drop_is_made_of(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("hose.pressure_drop");
    const double numbers[8] = {1e-4, 0.01, 60.0, 1100.0, 0.05, 0.0, 5.0, 10.0};
    imp_value in[8], out[4];
    for (size_t i = 0; i < 8; i++)
        in[i] = (imp_value){.number = numbers[i], .given = true};
    imp_sheet sheet;
    imp_sheet_init(&sheet, NULL);
    assert_int_equal(imp_calc_evaluate(calc, in, out, &sheet, NULL), IMP_OK);
    double sum = 0.0;
    int steps = 0;
    for (size_t i = 0; i < sheet.count; i++)
        if (sheet.lines[i].role == IMP_SHEET_STEP) {
            sum += sheet.lines[i].value;
            steps++;
        }
    assert_int_equal(steps, 3);
    assert_relative(sum, out[0].number, 1e-12);
    imp_sheet_free(&sheet);
}

static double step_of(const imp_sheet *sheet, const char *symbol)
{
    for (size_t i = 0; i < sheet->count; i++)
        if (sheet->lines[i].role == IMP_SHEET_STEP && strcmp(sheet->lines[i].symbol, symbol) == 0)
            return sheet->lines[i].value;
    return (double)NAN;
}

/* The sheet of the flow found: its Reynolds number and factor are those of its drop. */
static void the_sheet_of_a_flow_found_tells_what_its_drop_would(void **state)
{
    (void)state;
    const imp_calc *drop = imp_catalogue_find("hose.pressure_drop"), *flow = imp_catalogue_find("hose.flow_for_drop");
    const double viscosities[] = {0.5, 0.02, 0.001}; /* laminar, transition and turbulent */
    for (size_t k = 0; k < 3; k++) {
        const double numbers[8] = {3e5, 0.01, 60.0, 1100.0, viscosities[k], 1e-5, 5.0, 1.0};
        imp_value in[8], out[4], back[4];
        for (size_t i = 0; i < 8; i++)
            in[i] = (imp_value){.number = numbers[i], .given = true};
        imp_sheet sheet;
        imp_sheet_init(&sheet, NULL);
        assert_int_equal(imp_calc_evaluate(flow, in, out, &sheet, NULL), IMP_OK);
        in[0].number = out[0].number;
        assert_int_equal(imp_calc_evaluate(drop, in, back, NULL, NULL), IMP_OK);
        assert_relative(back[0].number, 3e5, 1e-10);
        assert_relative(step_of(&sheet, "Re"), back[2].number, 1e-12);
        assert_relative(step_of(&sheet, "f"), back[3].number, 1e-12);
        imp_sheet_free(&sheet);
    }
}

static double power_law_slope(double reynolds, double n, double step)
{
    return (log(imp_hose_power_law_friction(reynolds * (1.0 + step), n)) - log(imp_hose_power_law_friction(reynolds, n))) / log1p(step);
}

static void the_power_law_transition_meets_both_laws_without_kink(void **state)
{
    (void)state;
    for (double n = 0.3; n <= 1.5; n += 0.1) {
        assert_close(power_law_slope(2100.0, n, 1e-6), -1.0, 1e-4); /* 64/Re' */
        assert_close(power_law_slope(4000.0, n, -1e-6), power_law_slope(4000.0, n, 1e-6), 1e-4);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(laminar_drop_is_that_of_hagen_and_poiseuille),
        cmocka_unit_test(laminar_factor_is_64_over_reynolds_and_knows_no_roughness),
        cmocka_unit_test(turbulent_factor_satisfies_colebrooks_equation),
        cmocka_unit_test(smooth_turbulent_factor_is_near_blasius),
        cmocka_unit_test(rough_turbulent_factor_no_longer_knows_reynolds),
        cmocka_unit_test(transition_meets_both_laws_without_step_or_kink),
        cmocka_unit_test(friction_is_never_below_laminar_friction),
        cmocka_unit_test(a_rougher_wall_never_lowers_friction),
        cmocka_unit_test(pressure_drop_rises_with_flow_through_all_regimes),
        cmocka_unit_test(fittings_and_lift_add_to_the_loss),
        cmocka_unit_test(two_half_hoses_lose_as_much_as_the_whole),
        cmocka_unit_test(flow_for_drop_returns_the_flow_that_made_the_drop),
        cmocka_unit_test(flow_for_drop_allows_for_the_lift_both_ways),
        cmocka_unit_test(a_falling_hose_flows_without_pressure),
        cmocka_unit_test(no_driving_pressure_is_refused_in_a_sentence),
        cmocka_unit_test(too_rough_a_wall_is_refused),
        cmocka_unit_test(not_a_number_and_no_flow_are_refused_and_the_result_is_left_alone),
        cmocka_unit_test(a_power_law_liquid_with_index_1_is_newtonian),
        cmocka_unit_test(doubling_the_flow_of_a_thinning_liquid_raises_the_drop_by_half),
        cmocka_unit_test(laminar_power_law_drop_is_the_wall_stress_of_its_shear_rate),
        cmocka_unit_test(power_law_drop_rises_with_flow_and_has_no_step),
        cmocka_unit_test(dodge_and_metzners_equation_is_satisfied),
        cmocka_unit_test(fill_gives_a_residence_time_only_where_a_flow_is_given),
        cmocka_unit_test(a_sheet_shows_what_the_drop_is_made_of),
        cmocka_unit_test(the_sheet_of_a_flow_found_tells_what_its_drop_would),
        cmocka_unit_test(the_power_law_transition_meets_both_laws_without_kink),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
