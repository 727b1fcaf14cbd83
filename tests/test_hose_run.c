/* One hose marched along its sections: limiting cases, conservation, an exact solution, refusals.
 * Over 500 lines: many small cases of one subject. */
#include "support.h"

#include <stdio.h>
#include <stdlib.h>

#include "argument.h"
#include "heat.h"
#include "hose.h"
#include "hose_march.h"

static const double pi = 3.14159265358979323846;
static const double nan_value = (double)NAN;

/* A liquid of one viscosity. */
static imp_fluid plain_liquid(double density, double heat_capacity, double viscosity)
{
    imp_fluid fluid = {.count = 1, .density = density, .heat_capacity = heat_capacity, .reference_temperature = 293.15};
    fluid.points[0] = (imp_fluid_point){293.15, viscosity};
    assert_int_equal(imp_fluid_fit(&fluid, NULL), IMP_OK);
    return fluid;
}

/* An invented resin whose viscosity and density follow the temperature. */
static imp_fluid resin_liquid(void)
{
    imp_fluid fluid = {.count = 3, .density = 1150.0, .heat_capacity = 1900.0, .expansion = 8e-4, .reference_temperature = 298.15};
    fluid.points[0] = (imp_fluid_point){285.15, 1.2};
    fluid.points[1] = (imp_fluid_point){313.15, 0.24};
    fluid.points[2] = (imp_fluid_point){338.15, 0.09};
    assert_int_equal(imp_fluid_fit(&fluid, NULL), IMP_OK);
    return fluid;
}

static imp_hose_section plain_section(double bore, double length)
{
    return (imp_hose_section){.bore = bore, .length = length, .rated_pressure = nan_value};
}

static imp_hose_run_result march(const imp_hose_run *run, imp_hose_trace *trace)
{
    imp_hose_run_result result;
    imp_error error = {.status = IMP_OK};
    if (imp_hose_run_march(run, trace, &result, &error) != IMP_OK)
        fail_msg("%s: %s", error.place, error.message);
    return result;
}

/* Hagen-Poiseuille: dp = 128 mu L Q/(pi d^4) */
static void an_isothermal_laminar_hose_follows_hagen_poiseuille(void **state)
{
    (void)state;
    const imp_fluid fluid = plain_liquid(1150.0, 1900.0, 0.35);
    const imp_hose_section sections[] = {plain_section(0.0095, 15.0), plain_section(0.0095, 15.0), plain_section(0.0064, 3.0)};
    const imp_hose_run run = {.fluid = &fluid, .sections = sections, .section_count = 3, .flow = 5e-5, .inlet_temperature = 320.0, .inlet_pressure = 8e6, .ambient_temperature = 320.0};
    const imp_hose_run_result r = march(&run, NULL);
    const double expected = 128.0 * 0.35 * 5e-5 / pi * (30.0 / pow(0.0095, 4.0) + 3.0 / pow(0.0064, 4.0));
    assert_relative(r.pressure_drop, expected, 1e-12);
    assert_relative(r.outlet_pressure, 8e6 - expected, 1e-12);
}

static void constant_properties_give_the_drop_of_the_whole_line(void **state)
{
    (void)state;
    const imp_fluid fluid = plain_liquid(1000.0, 4180.0, 0.001);
    const imp_hose_line line = {.bore = 0.02, .length = 40.0, .roughness = 2e-5, .fitting_loss = 6.0, .rise = -7.0};
    const double flows[] = {1e-5, 3.5e-5, 5e-5, 7e-5, 1e-3}; /* laminar, between, turbulent */
    for (size_t i = 0; i < sizeof flows / sizeof flows[0]; i++) {
        const imp_hose_section section = {.bore = 0.02, .length = 40.0, .roughness = 2e-5, .fitting_loss = 6.0, .rise = -7.0, .rated_pressure = nan_value};
        const imp_hose_run run = {.fluid = &fluid, .sections = &section, .section_count = 1, .flow = flows[i], .inlet_temperature = 300.0, .ambient_temperature = 300.0};
        imp_hose_drop drop;
        assert_int_equal(imp_hose_pressure_drop(&line, flows[i], 1000.0, 0.001, &drop, NULL), IMP_OK);
        assert_relative(march(&run, NULL).pressure_drop, drop.pressure_drop, 1e-12);
    }
}

/* T = Ta + (T0 - Ta) exp(-U L/(m cp)) */
static void without_heating_the_temperature_decays_exponentially(void **state)
{
    (void)state;
    const imp_fluid fluid = plain_liquid(1000.0, 2000.0, 1e-6);
    const double losses[] = {0.01, 0.6, 5.0, 60.0};
    for (size_t i = 0; i < 4; i++) {
        imp_hose_section section = plain_section(0.5, 60.0); /* so wide that friction does not heat */
        section.loss_coefficient = losses[i];
        const imp_hose_run run = {.fluid = &fluid, .sections = &section, .section_count = 1, .flow = 3e-5, .inlet_temperature = 330.0, .ambient_temperature = 270.0};
        const double expected = 270.0 + 60.0 * exp(-losses[i] * 60.0 / (1000.0 * 3e-5 * 2000.0));
        assert_close(march(&run, NULL).outlet_temperature, expected, 1e-6);
    }
}

static void a_heated_hose_agrees_with_the_closed_form(void **state)
{
    (void)state;
    const imp_fluid fluid = plain_liquid(1100.0, 1800.0, 1e-6);
    imp_hose_section section = plain_section(0.5, 60.0);
    section.loss_coefficient = 0.3;
    section.heating = 25.0;
    const imp_hose_run run = {.fluid = &fluid, .sections = &section, .section_count = 1, .flow = 4e-3 / 60.0, .inlet_temperature = 313.15, .ambient_temperature = 278.15};
    double expected;
    assert_int_equal(imp_heat_outlet_temperature(313.15, 278.15, 4e-3 / 60.0, 1100.0, 1800.0, 0.3, 60.0, 25.0, &expected, NULL), IMP_OK);
    const imp_hose_run_result r = march(&run, NULL);
    assert_close(r.outlet_temperature, expected, 1e-6);
    assert_relative(r.heating, 25.0 * 60.0, 1e-14);
}

static void an_unheated_lossless_frictionless_hose_keeps_its_temperature(void **state)
{
    (void)state;
    const imp_fluid fluid = plain_liquid(1000.0, 2000.0, 1e-6);
    const imp_hose_section section = plain_section(0.5, 60.0);
    const imp_hose_run run = {.fluid = &fluid, .sections = &section, .section_count = 1, .flow = 1e-5, .inlet_temperature = 330.0, .ambient_temperature = 250.0};
    assert_close(march(&run, NULL).outlet_temperature, 330.0, 1e-9);
}

/* Nothing leaves an adiabatic hose: what friction takes from the pressure stays as heat, rho cp dT = dp. */
static void in_an_adiabatic_hose_the_drop_turns_into_heat(void **state)
{
    (void)state;
    imp_fluid fluid = resin_liquid();
    fluid.expansion = 0.0;
    const imp_hose_section section = plain_section(0.006, 30.0);
    const imp_hose_run run = {.fluid = &fluid, .sections = &section, .section_count = 1, .flow = 4e-5, .inlet_temperature = 310.0, .inlet_pressure = 2e7, .ambient_temperature = 310.0};
    const imp_hose_run_result r = march(&run, NULL);
    double rise;
    assert_int_equal(imp_heat_viscous_rise(r.pressure_drop, fluid.density, fluid.heat_capacity, &rise, NULL), IMP_OK);
    assert_relative(r.outlet_temperature - 310.0, rise, 1e-11);
}

/* ---- exact solution: an adiabatic laminar hose with viscous heating and ln mu = a + b/(T - c) ----
 * m cp dT/dx = (m/rho) k mu(T), so that x = (rho cp/k) times the integral of dT/mu from T0 to T. The integral is taken by
 * Gauss-Legendre quadrature (nodes of order 10 from memory, halved until it stands), not by marching. */
static double reciprocal_viscosity(const imp_fluid *fluid, double from, double to)
{
    static const double nodes[5] = {0.1488743389816312, 0.4333953941292472, 0.6794095682990244, 0.8650633666889845, 0.9739065285171717};
    static const double weights[5] = {0.2955242247147529, 0.2692667193099963, 0.2190863625159820, 0.1494513491505806, 0.0666713443086881};
    double sum = 0.0;
    const int panels = 16;
    for (int panel = 0; panel < panels; panel++) {
        const double middle = from + (to - from) * (panel + 0.5) / panels, half = 0.5 * (to - from) / panels;
        for (int i = 0; i < 5; i++)
            for (int sign = -1; sign <= 1; sign += 2) {
                double viscosity;
                assert_int_equal(imp_fluid_viscosity(fluid, middle + sign * nodes[i] * half, &viscosity, NULL, NULL), IMP_OK);
                sum += weights[i] * half / viscosity;
            }
    }
    return sum;
}

/* The length of hose after which the liquid has a temperature. */
static double exact_length(const imp_fluid *fluid, double bore, double flow, double from, double to)
{
    const double gradient_over_viscosity = 128.0 * flow / (pi * pow(bore, 4.0));
    return fluid->density * fluid->heat_capacity / gradient_over_viscosity * reciprocal_viscosity(fluid, from, to);
}

static double error_with_steps(int steps, double *pressure_error)
{
    imp_fluid fluid = resin_liquid();
    fluid.expansion = 0.0;
    const double bore = 0.004, flow = 3e-5, from = 290.0, to = 345.0;
    const imp_hose_section section = plain_section(bore, exact_length(&fluid, bore, flow, from, to));
    const imp_hose_run run = {.fluid = &fluid, .sections = &section, .section_count = 1, .flow = flow, .inlet_temperature = from, .ambient_temperature = 300.0};
    const imp_march fixed = {.runs = {&run}, .side_count = 1, .share = 1.0, .until = (double)INFINITY, .fixed_step = section.length / steps};
    imp_hose_run_result r;
    assert_int_equal(imp_hose_march(&fixed, NULL, &r, NULL), IMP_OK);
    assert_int_equal(r.steps, steps);
    *pressure_error = fabs(r.pressure_drop - fluid.density * fluid.heat_capacity * (to - from));
    return fabs(r.outlet_temperature - to);
}

static void the_march_converges_to_an_exact_nonlinear_solution_with_order_five_or_more(void **state)
{
    (void)state;
    double last = 0.0, last_pressure = 0.0;
    for (int steps = 8; steps <= 256; steps *= 2) {
        double pressure;
        const double temperature = error_with_steps(steps, &pressure);
        if (steps > 8) {
            const double order = log2(last / temperature), pressure_order = log2(last_pressure / pressure);
            print_message("%d steps: error %.3g K, order %.2f; %.3g Pa, order %.2f\n", steps, temperature, order, pressure, pressure_order);
            assert_true(order > 4.8 && pressure_order > 4.8);
        }
        last = temperature;
        last_pressure = pressure;
    }
}

/* exp(-z) from a method of order five that takes z/n a step: its error falls with the fifth power of n. */
static void the_march_converges_to_the_exponential_with_order_five(void **state)
{
    (void)state;
    const imp_fluid fluid = plain_liquid(1000.0, 2000.0, 1e-6);
    imp_hose_section section = plain_section(0.5, 60.0);
    section.loss_coefficient = 6.0;
    const imp_hose_run run = {.fluid = &fluid, .sections = &section, .section_count = 1, .flow = 3e-5, .inlet_temperature = 350.0, .ambient_temperature = 250.0};
    const double exact = 250.0 + 100.0 * exp(-6.0 * 60.0 / (1000.0 * 3e-5 * 2000.0));
    double last = 0.0;
    for (int steps = 24; steps <= 96; steps *= 2) {
        const imp_march fixed = {.runs = {&run}, .side_count = 1, .share = 1.0, .until = (double)INFINITY, .fixed_step = 60.0 / steps};
        imp_hose_run_result r;
        assert_int_equal(imp_hose_march(&fixed, NULL, &r, NULL), IMP_OK);
        const double error = fabs(r.outlet_temperature - exact), order = log2(last / error);
        if (steps > 24) {
            print_message("%d steps: error %.3g K, order %.2f\n", steps, error, order);
            assert_close(order, 5.0, 0.3);
        }
        last = error;
    }
}

static void chosen_steps_reach_the_exact_solution(void **state)
{
    (void)state;
    imp_fluid fluid = resin_liquid();
    fluid.expansion = 0.0;
    const double bore = 0.004, flow = 3e-5;
    const imp_hose_section section = plain_section(bore, exact_length(&fluid, bore, flow, 300.0, 318.0));
    const imp_hose_run run = {.fluid = &fluid, .sections = &section, .section_count = 1, .flow = flow, .inlet_temperature = 300.0, .ambient_temperature = 300.0};
    assert_close(march(&run, NULL).outlet_temperature, 318.0, 1e-6);
}

/* ---- conservation ---- */

typedef struct cold_hose {
    imp_fluid fluid;
    imp_hose_section sections[5];
    imp_hose_run run;
} cold_hose;

/* Everything at once: heating, loss, friction, fittings, rise, a narrow end. */
static void make_cold_hose(cold_hose *h)
{
    h->fluid = resin_liquid();
    for (int i = 0; i < 5; i++)
        h->sections[i] = (imp_hose_section){.bore = i < 4 ? 0.0095 : 0.0064, .length = i < 4 ? 15.0 : 3.0, .roughness = 1.5e-6, .fitting_loss = 1.5, .rise = i < 4 ? 1.2 : -0.5,
                                            .heating = i < 4 ? 20.0 : 0.0, .loss_coefficient = 0.35, .rated_pressure = i < 4 ? 1.4e7 : 1.3e7};
    h->run = (imp_hose_run){.fluid = &h->fluid, .sections = h->sections, .section_count = 5, .flow = 4e-5, .inlet_temperature = 321.0, .inlet_pressure = 1.1e7, .ambient_temperature = 263.0};
}

static void energy_is_conserved_to_nine_digits(void **state)
{
    (void)state;
    const double flows[] = {1e-6, 1e-5, 1e-4, 4e-4};
    for (size_t i = 0; i < 4; i++) {
        cold_hose h;
        make_cold_hose(&h);
        h.run.flow = flows[i];
        const imp_hose_run_result r = march(&h.run, NULL);
        const double carried = r.mass_flow * h.fluid.heat_capacity * (r.outlet_temperature - h.run.inlet_temperature);
        const double given = r.heating - r.loss + r.viscous_heating;
        assert_close(carried, given, 1e-9 * (r.heating + fabs(r.loss) + r.viscous_heating));
    }
}

/* The loss again, from the profile, by the trapezoidal rule: not from the march's own sum. */
static void loss_and_friction_are_those_of_the_profile(void **state)
{
    (void)state;
    cold_hose h;
    make_cold_hose(&h);
    imp_hose_point points[256];
    imp_hose_trace trace = {.points = points, .capacity = 256};
    const imp_hose_run_result r = march(&h.run, &trace);
    double loss = 0.0, time = 0.0;
    for (size_t i = 1; i < trace.count; i++) {
        const double step = points[i].position - points[i - 1].position;
        const double mean = 0.5 * (points[i].temperature + points[i - 1].temperature);
        loss += 0.35 * (mean - 263.0) * step;
        time += step * 2.0 / (points[i].velocity + points[i - 1].velocity);
    }
    assert_relative(r.loss, loss, 1e-4);
    assert_relative(r.residence_time, time, 2e-2); /* one step spans the change of bore */
}

static void mass_flow_is_the_same_at_every_point(void **state)
{
    (void)state;
    cold_hose h;
    make_cold_hose(&h);
    imp_hose_point points[256];
    imp_hose_trace trace = {.points = points, .capacity = 256};
    const imp_hose_run_result r = march(&h.run, &trace);
    assert_true(trace.count > 40);
    for (size_t i = 0; i < trace.count; i++) {
        const double bore = h.sections[points[i].section].bore;
        assert_relative(points[i].density * points[i].velocity * pi * bore * bore / 4.0, r.mass_flow, 1e-12);
    }
}

static void profile_begins_at_the_inlet_and_ends_at_the_outlet(void **state)
{
    (void)state;
    cold_hose h;
    make_cold_hose(&h);
    imp_hose_point points[256];
    double drops[5], temperatures[5], sum = 0.0;
    imp_hose_trace trace = {.points = points, .capacity = 256, .drops = drops, .temperatures = temperatures};
    const imp_hose_run_result r = march(&h.run, &trace);
    assert_close(points[0].position, 0.0, 0.0);
    assert_close(points[0].temperature, 321.0, 0.0);
    assert_close(points[trace.count - 1].position, 63.0, 1e-12);
    assert_close(points[trace.count - 1].temperature, r.outlet_temperature, 0.0);
    assert_close(points[trace.count - 1].pressure, r.outlet_pressure, 0.0);
    for (size_t i = 1; i < trace.count; i++)
        assert_true(points[i].position >= points[i - 1].position);
    for (int i = 0; i < 5; i++)
        sum += drops[i];
    assert_relative(sum, r.pressure_drop, 1e-12);
    assert_close(temperatures[4], r.outlet_temperature, 0.0);
}

/* The march goes as far in one step as its error allows: a cold hose of four bores needs some dozens, not hundreds. */
static void an_ordinary_hose_needs_some_dozens_of_steps(void **state)
{
    (void)state;
    cold_hose h;
    make_cold_hose(&h);
    assert_in_range(march(&h.run, NULL).steps, IMP_HOSE_LEAST_STEPS, 2 * IMP_HOSE_LEAST_STEPS);
}

static void a_small_trace_still_spans_the_hose(void **state)
{
    (void)state;
    cold_hose h;
    make_cold_hose(&h);
    imp_hose_point points[8];
    imp_hose_trace trace = {.points = points, .capacity = 8};
    march(&h.run, &trace);
    assert_in_range(trace.count, 4, 8);
    assert_close(points[0].position, 0.0, 0.0);
    /* every second, fourth or eighth of all its points */
    imp_hose_point every[256];
    imp_hose_trace whole = {.points = every, .capacity = 256};
    march(&h.run, &whole);
    size_t stride = 1;
    while (stride < whole.count && every[stride].position != points[1].position)
        stride *= 2;
    for (size_t i = 0; i < trace.count; i++) {
        assert_true(i * stride < whole.count);
        assert_close(points[i].position, every[i * stride].position, 0.0);
    }
    assert_true(points[trace.count - 1].position > 40.0);
}

static void cutting_a_section_in_pieces_changes_nothing(void **state)
{
    (void)state;
    cold_hose h;
    make_cold_hose(&h);
    const imp_hose_run_result whole = march(&h.run, NULL);
    imp_hose_section pieces[28];
    size_t count = 0;
    for (int i = 0; i < 4; i++)
        for (int k = 0; k < 6; k++) {
            pieces[count] = h.sections[i];
            pieces[count].length /= 6.0;
            pieces[count].rise /= 6.0;
            pieces[count++].fitting_loss /= 6.0;
        }
    pieces[count++] = h.sections[4];
    h.run.sections = pieces;
    h.run.section_count = count;
    const imp_hose_run_result cut = march(&h.run, NULL);
    assert_close(cut.outlet_temperature, whole.outlet_temperature, 1e-6);
    assert_relative(cut.pressure_drop, whole.pressure_drop, 1e-8);
}

static void without_expansion_the_residence_time_is_contents_over_flow(void **state)
{
    (void)state;
    cold_hose h;
    make_cold_hose(&h);
    h.fluid.expansion = 0.0;
    const double contents = pi / 4.0 * (60.0 * 0.0095 * 0.0095 + 3.0 * 0.0064 * 0.0064);
    assert_relative(march(&h.run, NULL).residence_time, contents / 4e-5, 1e-12);
}

static void the_highest_pressure_is_found_where_the_hose_leads_down(void **state)
{
    (void)state;
    const imp_fluid fluid = plain_liquid(1000.0, 2000.0, 0.001);
    imp_hose_section sections[2] = {plain_section(0.05, 30.0), plain_section(0.05, 30.0)};
    sections[0].rise = -20.0;
    sections[1].rise = 25.0;
    sections[0].rated_pressure = sections[1].rated_pressure = 5e5;
    const imp_hose_run run = {.fluid = &fluid, .sections = sections, .section_count = 2, .flow = 1e-5, .inlet_temperature = 300.0, .inlet_pressure = 3e5, .ambient_temperature = 300.0};
    const imp_hose_run_result r = march(&run, NULL);
    assert_relative(r.highest_pressure, 3e5 + 1000.0 * 9.80665 * 20.0, 1e-4);
    assert_close(r.highest_position, 30.0, 1e-12);
    assert_close(r.pressure_margin, 5e5 - r.highest_pressure, 1e-6);
}

static void a_viscosity_outside_its_points_is_told(void **state)
{
    (void)state;
    cold_hose h;
    make_cold_hose(&h);
    assert_false(march(&h.run, NULL).extrapolated);
    h.run.inlet_temperature = 350.0;
    assert_true(march(&h.run, NULL).extrapolated);
}

/* ---- refusals: one sentence each ---- */

static void refuse(const imp_hose_run *run, imp_status status, const char *place, const char *reason)
{
    imp_hose_run_result result, untouched;
    imp_error error = {.status = IMP_OK};
    memset(&result, 0x5a, sizeof result);
    memcpy(&untouched, &result, sizeof result);
    assert_int_equal(imp_hose_run_march(run, NULL, &result, &error), status);
    assert_string_equal(error.place, place);
    assert_contains(error.message, reason);
    assert_memory_equal(&result, &untouched, sizeof result);
}

static void nonsense_is_refused_in_one_sentence(void **state)
{
    (void)state;
    cold_hose h;
    make_cold_hose(&h);
    h.sections[1].bore = 0.0;
    refuse(&h.run, IMP_RANGE, "sections[2].bore", "0 mm is below 0.1 mm");
    make_cold_hose(&h);
    h.sections[2].heating = -5.0;
    refuse(&h.run, IMP_RANGE, "sections[3].heating", "-5 W/m is below 0 W/m");
    make_cold_hose(&h);
    h.sections[0].roughness = 0.001;
    refuse(&h.run, IMP_RANGE, "sections[1].roughness", "1 mm is more than 5 % of the bore of 9.5 mm");
    make_cold_hose(&h);
    h.run.flow = nan_value;
    refuse(&h.run, IMP_RANGE, "flow", "not a finite number");
    make_cold_hose(&h);
    h.run.section_count = 0;
    refuse(&h.run, IMP_RANGE, "sections", "0 sections");
}

static void a_liquid_that_boils_or_freezes_away_is_refused(void **state)
{
    (void)state;
    cold_hose h;
    make_cold_hose(&h);
    h.run.flow = 1e-9;
    h.sections[0].heating = 2000.0;
    h.sections[0].loss_coefficient = 0.0;
    refuse(&h.run, IMP_RANGE, "temperature", "is above 250 degC");
    make_cold_hose(&h);
    h.run.inlet_temperature = 220.0;
    const double thick[] = {60.0, 6.0, 1.2};
    for (int i = 0; i < 3; i++)
        h.fluid.points[i].viscosity = thick[i];
    assert_int_equal(imp_fluid_fit(&h.fluid, NULL), IMP_OK);
    refuse(&h.run, IMP_NOT_APPLICABLE, "temperature", "too far outside the viscosity points");
}

static void hardly_any_flow_is_refused_in_finite_time(void **state)
{
    (void)state;
    cold_hose h;
    make_cold_hose(&h);
    h.run.ambient_temperature = 290.0;
    h.run.flow = 1e-12;
    refuse(&h.run, IMP_NO_SOLUTION, "flow", "is so small that the liquid follows its surroundings at once");
}

/* ---- the entry ---- */

static const char liquid_text[] = "{\"density\":\"1150 kg/m^3\",\"reference_temperature\":\"25 degC\",\"expansion\":\"0.0008 1/K\",\"heat_capacity\":\"1.9 kJ/(kg K)\","
                                  "\"viscosity\":[{\"temperature\":\"12 degC\",\"viscosity\":\"1200 mPa s\"},{\"temperature\":\"40 degC\",\"viscosity\":\"240 mPa s\"}]}";

static imp_status evaluate(const char *fluid, imp_arena *in_arena, imp_arena *out_arena, imp_value *out, imp_error *error)
{
    const imp_calc *calc = imp_catalogue_find("hose.run");
    const char *names[] = {"fluid", "sections", "flow", "inlet_temperature", "inlet_pressure", "ambient_temperature"};
    const char *texts[] = {fluid, "[{\"bore\":\"9.5 mm\",\"length\":\"15 m\",\"loss_coefficient\":\"0.3 W/(m K)\"},{\"bore\":\"6.4 mm\",\"length\":\"3 m\"}]", "2.5 L/min", "45 degC", "90 bar", "5 degC"};
    imp_value in[IMP_MOST_INPUTS];
    imp_status status = imp_arguments_read(calc, 6, names, texts, in_arena, in, error);
    return status == IMP_OK ? imp_calc_evaluate_in(calc, in, out, NULL, out_arena, error) : status;
}

static void a_liquid_that_cannot_be_fitted_is_refused_by_its_place(void **state)
{
    (void)state;
    imp_arena arena;
    imp_value out[IMP_MOST_OUTPUTS];
    imp_error error = {.status = IMP_OK};
    imp_arena_init(&arena, NULL);
    assert_int_equal(evaluate("{\"density\":\"1150 kg/m^3\",\"heat_capacity\":\"1.9 kJ/(kg K)\",\"viscosity\":"
                              "[{\"temperature\":\"20 degC\",\"viscosity\":\"100 mPa s\"},{\"temperature\":\"50 degC\",\"viscosity\":\"400 mPa s\"}]}",
                              &arena, NULL, out, &error), IMP_NOT_APPLICABLE);
    assert_string_equal(error.place, "hose.run: fluid.viscosity: points");
    assert_contains(error.message, "a liquid's falls as it warms");
    imp_arena_free(&arena);
}

static void tables_of_results_are_given_with_an_arena_only(void **state)
{
    (void)state;
    imp_arena arena;
    imp_value out[IMP_MOST_OUTPUTS];
    imp_error error;
    size_t profile, drops;
    const imp_calc *calc = imp_catalogue_find("hose.run");
    imp_arena_init(&arena, NULL);
    assert_non_null(imp_calc_output(calc, "profile", &profile));
    assert_non_null(imp_calc_output(calc, "drops", &drops));
    assert_int_equal(evaluate(liquid_text, &arena, NULL, out, &error), IMP_OK);
    assert_false(out[profile].given);
    assert_int_equal(evaluate(liquid_text, &arena, &arena, out, &error), IMP_OK);
    assert_true(out[profile].given && out[profile].count > 40);
    const size_t fields = 7;
    assert_string_equal(calc->outputs[profile].rows[0].name, "position");
    assert_null(calc->outputs[profile].rows[fields].name);
    for (size_t i = 0; i < out[profile].count * fields; i++)
        assert_true(out[profile].items[i].given);
    assert_close(out[profile].items[0].number, 0.0, 0.0);
    assert_close(out[profile].items[(out[profile].count - 1) * fields].number, 18.0, 1e-12); /* m of hose and whip */
    assert_int_equal(out[drops].count, 2);
    assert_relative(out[drops].items[1].number + out[drops].items[3].number, out[2].number, 1e-12);
    imp_arena_free(&arena);
}

static void what_the_liquid_lacks_is_named_at_once(void **state)
{
    (void)state;
    imp_arena arena;
    imp_value out[IMP_MOST_OUTPUTS];
    imp_error error;
    imp_arena_init(&arena, NULL);
    assert_int_equal(evaluate("{\"density\":\"1150 kg/m^3\"}", &arena, NULL, out, &error), IMP_MISSING);
    assert_string_equal(error.place, "hose.run: fluid");
    assert_string_equal(error.message, "missing heat_capacity, viscosity");
    imp_arena_free(&arena);
}

static void a_viscosity_that_rises_with_temperature_is_refused(void **state)
{
    (void)state;
    imp_arena arena;
    imp_value out[IMP_MOST_OUTPUTS];
    imp_error error;
    imp_arena_init(&arena, NULL);
    const char *rising = "{\"density\":\"1150 kg/m^3\",\"heat_capacity\":\"1.9 kJ/(kg K)\",\"viscosity\":[{\"temperature\":\"12 degC\",\"viscosity\":\"100 mPa s\"},{\"temperature\":\"40 degC\",\"viscosity\":\"240 mPa s\"}]}";
    assert_int_equal(evaluate(rising, &arena, NULL, out, &error), IMP_NOT_APPLICABLE);
    assert_contains(error.message, "a liquid's falls as it warms");
    imp_arena_free(&arena);
}

typedef struct failing {
    int left;
} failing;

static void *failing_resize(void *context, void *block, size_t size)
{
    failing *f = context;
    if (size == 0) {
        free(block);
        return NULL;
    }
    return f->left-- > 0 ? realloc(block, size) : NULL;
}

static void lack_of_memory_for_tables_is_an_error_and_leaks_nothing(void **state)
{
    (void)state;
    imp_status status = IMP_MEMORY;
    int allowed = 0;
    for (; status == IMP_MEMORY && allowed < 50; allowed++) {
        failing f = {.left = allowed};
        const imp_allocator allocator = {.resize = failing_resize, .context = &f};
        imp_arena in_arena, out_arena;
        imp_value out[IMP_MOST_OUTPUTS];
        imp_arena_init(&in_arena, NULL);
        imp_arena_init(&out_arena, &allocator);
        status = evaluate(liquid_text, &in_arena, &out_arena, out, NULL);
        imp_arena_free(&out_arena);
        imp_arena_free(&in_arena);
    }
    assert_int_equal(status, IMP_OK);
    assert_true(allowed > 1);
}

static void the_entry_tells_whether_the_viscosity_was_extrapolated(void **state)
{
    (void)state;
    static const char narrow[] = "{\"density\":\"1150 kg/m^3\",\"reference_temperature\":\"25 degC\",\"expansion\":\"0.0008 1/K\",\"heat_capacity\":\"1.9 kJ/(kg K)\","
                                 "\"viscosity\":[{\"temperature\":\"12 degC\",\"viscosity\":\"1200 mPa s\"},{\"temperature\":\"30 degC\",\"viscosity\":\"400 mPa s\"}]}";
    static const char wide[] = "{\"density\":\"1150 kg/m^3\",\"reference_temperature\":\"25 degC\",\"expansion\":\"0.0008 1/K\",\"heat_capacity\":\"1.9 kJ/(kg K)\","
                               "\"viscosity\":[{\"temperature\":\"12 degC\",\"viscosity\":\"1200 mPa s\"},{\"temperature\":\"60 degC\",\"viscosity\":\"100 mPa s\"}]}";
    imp_arena arena;
    imp_value out[IMP_MOST_OUTPUTS];
    imp_error error;
    size_t extrapolated;
    assert_non_null(imp_calc_output(imp_catalogue_find("hose.run"), "extrapolated", &extrapolated));
    imp_arena_init(&arena, NULL);
    assert_int_equal(evaluate(narrow, &arena, NULL, out, &error), IMP_OK); /* the liquid enters at 45 degC */
    assert_close(out[extrapolated].number, 1.0, 0.0);
    assert_int_equal(evaluate(wide, &arena, NULL, out, &error), IMP_OK);
    assert_close(out[extrapolated].number, 0.0, 0.0);
    imp_arena_free(&arena);
}

/* Hairer, Norsett and Wanner, Solving ordinary differential equations I, II.4: the next step by the fifth root of the error is
 * made for this, that few steps are refused. */
static void few_steps_are_tried_in_vain(void **state)
{
    (void)state;
    cold_hose h;
    make_cold_hose(&h);
    for (double flow = 3e-8; flow < 1e-6; flow *= 1.5) {
        imp_hose_point points[4096];
        imp_hose_trace trace = {.points = points, .capacity = 4096};
        h.run.flow = flow;
        const imp_hose_run_result r = march(&h.run, &trace);
        const size_t taken = trace.count - h.run.section_count; /* a point at each section's beginning */
        assert_true(10 * (r.steps - taken) <= taken);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_isothermal_laminar_hose_follows_hagen_poiseuille),
        cmocka_unit_test(constant_properties_give_the_drop_of_the_whole_line),
        cmocka_unit_test(without_heating_the_temperature_decays_exponentially),
        cmocka_unit_test(a_heated_hose_agrees_with_the_closed_form),
        cmocka_unit_test(an_unheated_lossless_frictionless_hose_keeps_its_temperature),
        cmocka_unit_test(in_an_adiabatic_hose_the_drop_turns_into_heat),
        cmocka_unit_test(the_march_converges_to_an_exact_nonlinear_solution_with_order_five_or_more),
        cmocka_unit_test(the_march_converges_to_the_exponential_with_order_five),
        cmocka_unit_test(chosen_steps_reach_the_exact_solution),
        cmocka_unit_test(energy_is_conserved_to_nine_digits),
        cmocka_unit_test(loss_and_friction_are_those_of_the_profile),
        cmocka_unit_test(mass_flow_is_the_same_at_every_point),
        cmocka_unit_test(profile_begins_at_the_inlet_and_ends_at_the_outlet),
        cmocka_unit_test(an_ordinary_hose_needs_some_dozens_of_steps),
        cmocka_unit_test(a_small_trace_still_spans_the_hose),
        cmocka_unit_test(cutting_a_section_in_pieces_changes_nothing),
        cmocka_unit_test(without_expansion_the_residence_time_is_contents_over_flow),
        cmocka_unit_test(the_highest_pressure_is_found_where_the_hose_leads_down),
        cmocka_unit_test(a_viscosity_outside_its_points_is_told),
        cmocka_unit_test(nonsense_is_refused_in_one_sentence),
        cmocka_unit_test(a_liquid_that_boils_or_freezes_away_is_refused),
        cmocka_unit_test(hardly_any_flow_is_refused_in_finite_time),
        cmocka_unit_test(a_liquid_that_cannot_be_fitted_is_refused_by_its_place),
        cmocka_unit_test(tables_of_results_are_given_with_an_arena_only),
        cmocka_unit_test(what_the_liquid_lacks_is_named_at_once),
        cmocka_unit_test(a_viscosity_that_rises_with_temperature_is_refused),
        cmocka_unit_test(lack_of_memory_for_tables_is_an_error_and_leaks_nothing),
        cmocka_unit_test(the_entry_tells_whether_the_viscosity_was_extrapolated),
        cmocka_unit_test(few_steps_are_tried_in_vain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
