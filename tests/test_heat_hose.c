/* Heat along the hose: what it loses, and what temperature it ends at. Published values stand in reference/heat.json.
 */
#include "support.h"

#include "heat.h"

static const double pi = 3.14159265358979323846;

static const char *sentence(const imp_error *error)
{
    static char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE];
    return imp_error_text(error, text, sizeof text);
}

/* Loss of the hose */

typedef struct hose {
    double inner, outer, conductivity, fluid, ambient, wind, emissivity;
} hose;
static const hose example = {
    .inner = 0.03, .outer = 0.05, .conductivity = 0.04, .fluid = 333.15, .ambient = 273.15, .emissivity = 0.9};

static imp_heat_loss loss_of(hose h)
{
    imp_heat_loss loss = {0.0, 0.0, 0.0};
    imp_error error;
    if (imp_heat_hose_loss(h.inner, h.outer, h.conductivity, h.fluid, h.ambient, h.wind, h.emissivity, &loss, &error) !=
        IMP_OK)
        fail_msg("%s", sentence(&error));
    return loss;
}

static void no_difference_loses_nothing_and_has_a_finite_coefficient(void **state)
{
    (void)state;
    hose h = example;
    h.fluid = h.ambient = 293.15;
    const imp_heat_loss loss = loss_of(h);
    assert_true(loss.loss_per_length == 0.0);
    assert_true(loss.surface_temperature == 293.15);
    /* Nu = 0.36 without buoyancy, 4 eps sigma T^3 of radiation; air at 20 degC conducts 0.0257 W/(m K) (from memory) */
    const double outside = 0.36 * 0.0257 / h.outer + 4.0 * 0.9 * 5.670374e-8 * pow(293.15, 3.0);
    const double resistance = log(h.outer / h.inner) / (2.0 * pi * h.conductivity) + 1.0 / (pi * h.outer * outside);
    assert_relative(loss.loss_coefficient, 1.0 / resistance, 1e-3);
}

static void conducted_heat_is_what_the_surface_gives_off(void **state)
{
    (void)state;
    for (double fluid = 233.15; fluid < 500.0; fluid += 17.0)
        for (double wind = 0.0; wind < 30.0; wind = wind * 3.0 + 0.5) {
            hose h = example;
            h.fluid = fluid;
            h.wind = wind;
            const imp_heat_loss loss = loss_of(h);
            const double conducted =
                2.0 * pi * h.conductivity * (h.fluid - loss.surface_temperature) / log(h.outer / h.inner);
            assert_close(conducted, loss.loss_per_length, 1e-9 * fabs(loss.loss_per_length) + 1e-12);
            assert_close(loss.loss_coefficient * (h.fluid - h.ambient), loss.loss_per_length,
                         1e-12 * fabs(loss.loss_per_length));
        }
}

static void without_insulation_the_surface_has_the_fluids_temperature(void **state)
{
    (void)state;
    hose h = example;
    h.inner = h.outer;
    assert_close(loss_of(h).surface_temperature, h.fluid, 1e-9);
}

/* Bare, in still air: radiation is Stefan and Boltzmann's law, whatever convection does. */
static void emissivity_adds_exactly_the_radiation_of_a_bare_surface(void **state)
{
    (void)state;
    hose h = example;
    h.inner = h.outer;
    h.emissivity = 0.0;
    const double dull = loss_of(h).loss_per_length;
    h.emissivity = 0.8;
    const double radiation = 0.8 * 5.670374419e-8 * pi * h.outer * (pow(h.fluid, 4.0) - pow(h.ambient, 4.0));
    assert_relative(loss_of(h).loss_per_length - dull, radiation, 1e-10);
}

static void perfect_insulation_is_the_limit_of_no_loss(void **state)
{
    (void)state;
    hose h = example;
    h.conductivity = 0.001;
    const imp_heat_loss loss = loss_of(h);
    const double most = 2.0 * pi * 0.001 * (h.fluid - h.ambient) / log(h.outer / h.inner);
    assert_true(loss.loss_per_length < most && loss.loss_per_length > 0.97 * most);
}

static void wind_never_lowers_the_coefficient_and_a_light_one_leaves_it(void **state)
{
    (void)state;
    hose h = example;
    const double still = loss_of(h).loss_coefficient;
    double before = still;
    for (double wind = 0.01; wind < 60.0; wind *= 1.1) {
        h.wind = wind;
        const double now = loss_of(h).loss_coefficient;
        assert_true(now >= before * (1.0 - 1e-13));
        before = now;
    }
    h.wind = 0.01;
    assert_relative(loss_of(h).loss_coefficient, still, 1e-13); /* natural convection is the larger */
    assert_true(before > 1.05 * still);
}

static void a_cold_hose_takes_up_heat(void **state)
{
    (void)state;
    hose h = example;
    h.fluid = 263.15;
    h.ambient = 303.15;
    const imp_heat_loss loss = loss_of(h);
    assert_true(loss.loss_per_length < 0.0);
    assert_true(loss.surface_temperature > h.fluid && loss.surface_temperature < h.ambient);
    assert_true(loss.loss_coefficient > 0.0);
}

static void the_coefficient_has_no_step_where_the_difference_vanishes(void **state)
{
    (void)state;
    hose h = example;
    h.fluid = h.ambient;
    const double at = loss_of(h).loss_coefficient;
    for (int sign = -1; sign <= 1; sign += 2) {
        h.fluid = h.ambient + sign * 1e-9;
        assert_relative(loss_of(h).loss_coefficient, at, 0.01);
    }
}

/* A thin lagging on a thin tube makes it lose more: critical radius k/h (case H08 of the published values). */
static void a_thin_lagging_below_the_critical_radius_raises_the_loss(void **state)
{
    (void)state;
    hose h = {
        .inner = 0.004, .outer = 0.004, .conductivity = 0.2, .fluid = 333.15, .ambient = 293.15, .emissivity = 0.9};
    const double bare = loss_of(h).loss_per_length;
    h.outer = 0.008;
    assert_true(loss_of(h).loss_per_length > bare);
}

static void insulation_that_is_inside_out_is_refused(void **state)
{
    (void)state;
    imp_heat_loss loss = {.loss_per_length = -7.0};
    imp_error error;
    assert_int_equal(imp_heat_hose_loss(0.03, 0.02, 0.04, 333.15, 273.15, 0.0, 0.9, &loss, &error), IMP_RANGE);
    assert_string_equal(sentence(&error), "outer_diameter: 20 mm is below the inner_diameter of 30 mm");
    assert_true(loss.loss_per_length == -7.0);
}

/* Outlet temperature */

static double outlet(double loss_coefficient, double length, double heating)
{
    double temperature = 0.0;
    assert_int_equal(imp_heat_outlet_temperature(313.15, 278.15, 5e-5, 1100.0, 1800.0, loss_coefficient, length,
                                                 heating, &temperature, NULL),
                     IMP_OK);
    return temperature;
}

static void an_adiabatic_hose_keeps_its_temperature(void **state)
{
    (void)state;
    assert_true(outlet(0.0, 60.0, 0.0) == 313.15);
    assert_true(outlet(0.4, 0.0, 30.0) == 313.15);
}

static void heating_without_loss_rises_linearly(void **state)
{
    (void)state;
    assert_relative(outlet(0.0, 60.0, 30.0) - 313.15, 30.0 * 60.0 / (1100.0 * 5e-5 * 1800.0), 1e-12);
}

static void a_vanishing_loss_tends_to_no_loss(void **state)
{
    (void)state;
    const double limit = outlet(0.0, 60.0, 30.0);
    for (double loss = 1e-3; loss > 1e-300; loss *= 1e-3)
        assert_close(outlet(loss, 60.0, 30.0), limit, 3e4 * loss + 1e-12);
}

static void two_half_hoses_end_as_the_whole(void **state)
{
    (void)state;
    double end = 0.0;
    assert_int_equal(
        imp_heat_outlet_temperature(outlet(0.4, 30.0, 20.0), 278.15, 5e-5, 1100.0, 1800.0, 0.4, 30.0, 20.0, &end, NULL),
        IMP_OK);
    assert_close(end, outlet(0.4, 60.0, 20.0), 1e-10);
}

static void a_very_long_hose_ends_where_heating_meets_loss(void **state)
{
    (void)state;
    assert_close(outlet(0.4, 10000.0, 20.0), 278.15 + 20.0 / 0.4, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_difference_loses_nothing_and_has_a_finite_coefficient),
        cmocka_unit_test(conducted_heat_is_what_the_surface_gives_off),
        cmocka_unit_test(without_insulation_the_surface_has_the_fluids_temperature),
        cmocka_unit_test(emissivity_adds_exactly_the_radiation_of_a_bare_surface),
        cmocka_unit_test(perfect_insulation_is_the_limit_of_no_loss),
        cmocka_unit_test(wind_never_lowers_the_coefficient_and_a_light_one_leaves_it),
        cmocka_unit_test(a_cold_hose_takes_up_heat),
        cmocka_unit_test(the_coefficient_has_no_step_where_the_difference_vanishes),
        cmocka_unit_test(a_thin_lagging_below_the_critical_radius_raises_the_loss),
        cmocka_unit_test(insulation_that_is_inside_out_is_refused),
        cmocka_unit_test(an_adiabatic_hose_keeps_its_temperature),
        cmocka_unit_test(heating_without_loss_rises_linearly),
        cmocka_unit_test(a_vanishing_loss_tends_to_no_loss),
        cmocka_unit_test(two_half_hoses_end_as_the_whole),
        cmocka_unit_test(a_very_long_hose_ends_where_heating_meets_loss),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
