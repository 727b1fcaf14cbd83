/* Iso and resin hose in one jacket: limiting cases, the parallel-flow exchanger, the control, refusals. */
#include "support.h"

#include <stdio.h>

#include "argument.h"
#include "hose_pair.h"

static const double nan_value = (double)NAN;

typedef struct pair_of_hoses {
    imp_fluid fluid[IMP_SIDES];
    imp_hose_section sections[IMP_SIDES][4];
    imp_hose_control control;
    imp_hose_pair pair;
} pair_of_hoses;

/* Invented iso and resin, four equal sections, a sensor on the resin side. */
static void make_pair(pair_of_hoses *h)
{
    memset(h, 0, sizeof *h);
    static const double viscosity[IMP_SIDES][3] = {{0.46, 0.104, 0.045}, {1.18, 0.238, 0.085}};
    for (int side = 0; side < IMP_SIDES; side++) {
        h->fluid[side] = (imp_fluid){.count = 3,
                                     .density = side == 0 ? 1228.0 : 1164.0,
                                     .heat_capacity = side == 0 ? 1570.0 : 1880.0,
                                     .expansion = 7e-4,
                                     .reference_temperature = 298.15};
        for (int i = 0; i < 3; i++)
            h->fluid[side].points[i] = (imp_fluid_point){285.15 + 25.0 * i, viscosity[side][i]};
        assert_int_equal(imp_fluid_fit(&h->fluid[side], NULL), IMP_OK);
        for (int i = 0; i < 4; i++)
            h->sections[side][i] = (imp_hose_section){.bore = 0.0098,
                                                      .length = 17.5,
                                                      .fitting_loss = 1.4,
                                                      .heating = 14.0,
                                                      .loss_coefficient = 0.31,
                                                      .rated_pressure = nan_value};
        h->pair.run[side] = (imp_hose_run){.fluid = &h->fluid[side],
                                           .sections = h->sections[side],
                                           .section_count = 4,
                                           .flow = 4.5e-5,
                                           .inlet_temperature = 320.0,
                                           .inlet_pressure = 9e6,
                                           .ambient_temperature = 283.0};
    }
    h->control = (imp_hose_control){.side = IMP_RESIN, .position = 35.0, .set_temperature = 321.0};
    h->pair.control = &h->control;
}

static imp_hose_pair_result march(const imp_hose_pair *pair)
{
    imp_hose_pair_result result;
    imp_error error = {.status = IMP_OK};
    if (imp_hose_pair_march(pair, NULL, &result, &error) != IMP_OK)
        fail_msg("%s: %s", error.place, error.message);
    return result;
}

static void without_conductance_each_hose_is_as_if_alone(void **state)
{
    (void)state;
    pair_of_hoses h;
    make_pair(&h);
    h.pair.control = NULL;
    const imp_hose_pair_result both = march(&h.pair);
    assert_int_equal(both.heat, IMP_HOSE_HEAT_FULL);
    for (int side = 0; side < IMP_SIDES; side++) {
        imp_hose_run_result alone;
        assert_int_equal(imp_hose_run_march(&h.pair.run[side], NULL, &alone, NULL), IMP_OK);
        assert_close(both.run[side].outlet_temperature, alone.outlet_temperature, 1e-7);
        assert_relative(both.run[side].pressure_drop, alone.pressure_drop, 1e-9);
    }
}

/* Effectiveness (1 - exp(-NTU (1 + r)))/(1 + r) of two streams that flow side by side; any textbook of heat transfer.
 */
static void two_streams_exchange_heat_like_a_parallel_flow_exchanger(void **state)
{
    (void)state;
    const double conductances[] = {0.01, 0.3, 1.5, 5.0};
    for (size_t i = 0; i < 4; i++) {
        pair_of_hoses h;
        make_pair(&h);
        for (int side = 0; side < IMP_SIDES; side++) {
            h.fluid[side] = (imp_fluid){.count = 1,
                                        .density = 1000.0,
                                        .heat_capacity = 2000.0,
                                        .reference_temperature = 300.0,
                                        .points = {{300.0, 1e-6}}};
            assert_int_equal(imp_fluid_fit(&h.fluid[side], NULL), IMP_OK);
            for (int k = 0; k < 4; k++)
                h.sections[side][k] = (imp_hose_section){.bore = 0.5, .length = 12.5, .rated_pressure = nan_value};
        }
        h.pair.run[IMP_ISO].flow = 2.5e-5; /* 50 W/K */
        h.pair.run[IMP_ISO].inlet_temperature = 353.15;
        h.pair.run[IMP_RESIN].flow = 1.5e-5; /* 30 W/K */
        h.pair.run[IMP_RESIN].inlet_temperature = 293.15;
        h.pair.control = NULL;
        h.pair.mutual_conductance = conductances[i];
        const imp_hose_pair_result r = march(&h.pair);
        const double ntu = conductances[i] * 50.0 / 30.0, ratio = 30.0 / 50.0;
        const double effectiveness = (1.0 - exp(-ntu * (1.0 + ratio))) / (1.0 + ratio);
        assert_close(r.run[IMP_RESIN].outlet_temperature, 293.15 + effectiveness * 60.0, 1e-6);
        assert_close(r.run[IMP_ISO].outlet_temperature, 353.15 - effectiveness * 60.0 * ratio, 1e-6);
        assert_relative(r.run[IMP_RESIN].exchanged, effectiveness * 60.0 * 30.0, 1e-7);
    }
}

static void what_one_side_gives_the_other_gets(void **state)
{
    (void)state;
    pair_of_hoses h;
    make_pair(&h);
    h.pair.mutual_conductance = 0.8;
    h.pair.run[IMP_ISO].inlet_temperature = 330.0;
    const imp_hose_pair_result r = march(&h.pair);
    assert_close(r.run[IMP_ISO].exchanged, -r.run[IMP_RESIN].exchanged, 0.0);
    assert_true(r.run[IMP_RESIN].exchanged > 0.0);
}

static void energy_is_conserved_on_each_side_to_nine_digits(void **state)
{
    (void)state;
    pair_of_hoses h;
    make_pair(&h);
    h.pair.mutual_conductance = 0.8;
    h.pair.run[IMP_ISO].inlet_temperature = 330.0;
    const imp_hose_pair_result r = march(&h.pair);
    for (int side = 0; side < IMP_SIDES; side++) {
        const imp_hose_run_result *run = &r.run[side];
        const double carried = run->mass_flow * h.fluid[side].heat_capacity *
                               (run->outlet_temperature - h.pair.run[side].inlet_temperature);
        const double given = run->heating - run->loss + run->viscous_heating + run->exchanged;
        assert_close(carried, given, 1e-9 * (run->heating + run->loss + run->viscous_heating));
    }
}

static void the_heat_holds_the_set_temperature_at_the_sensor(void **state)
{
    (void)state;
    const double places[] = {5.0, 17.5, 33.3, 70.0};
    for (int side = 0; side < IMP_SIDES; side++)
        for (size_t i = 0; i < 4; i++) {
            pair_of_hoses h;
            make_pair(&h);
            h.control = (imp_hose_control){.side = (imp_side)side, .position = places[i], .set_temperature = 319.5};
            h.pair.mutual_conductance = i % 2 == 0 ? 0.0 : 0.4;
            imp_hose_point points[IMP_SIDES][256];
            imp_hose_trace traces[IMP_SIDES] = {{.points = points[0], .capacity = 256},
                                                {.points = points[1], .capacity = 256}};
            imp_hose_pair_result r;
            assert_int_equal(imp_hose_pair_march(&h.pair, traces, &r, NULL), IMP_OK);
            assert_int_equal(r.heat, IMP_HOSE_HEAT_HOLDS);
            assert_true(r.share > 0.0 && r.share < 1.0);
            size_t at = 1; /* between two points of the profile, along a straight line */
            while (points[side][at].position < places[i] - 1e-9)
                at++;
            const imp_hose_point *p = &points[side][at - 1], *q = &points[side][at];
            const double weight = (places[i] - p->position) / (q->position - p->position);
            assert_close(p->temperature + weight * (q->temperature - p->temperature), 319.5, 2e-3);
        }
}

static void a_weak_circuit_gives_all_it_has(void **state)
{
    (void)state;
    pair_of_hoses h;
    make_pair(&h);
    h.control.set_temperature = 345.0;
    const imp_hose_pair_result r = march(&h.pair);
    assert_int_equal(r.heat, IMP_HOSE_HEAT_SHORT);
    assert_close(r.share, 1.0, 0.0);
    assert_true(r.sensor_temperature < 345.0);
    assert_relative(r.run[IMP_ISO].heating, 14.0 * 70.0, 1e-12);
}

static void a_hose_that_is_warm_enough_is_not_heated(void **state)
{
    (void)state;
    pair_of_hoses h;
    make_pair(&h);
    h.control.set_temperature = 300.0;
    const imp_hose_pair_result r = march(&h.pair);
    assert_int_equal(r.heat, IMP_HOSE_HEAT_NOT_NEEDED);
    assert_close(r.run[IMP_ISO].heating, 0.0, 0.0);
    assert_true(r.sensor_temperature > 300.0);
}

static void a_colder_site_asks_for_more_of_the_heat(void **state)
{
    (void)state;
    double before = 2.0;
    for (double ambient = 263.0; ambient < 319.0; ambient += 4.0) {
        pair_of_hoses h;
        make_pair(&h);
        for (int side = 0; side < IMP_SIDES; side++)
            h.pair.run[side].ambient_temperature = ambient;
        const imp_hose_pair_result r = march(&h.pair);
        assert_true(r.share < before || (r.share == 1.0 && before >= 1.0));
        before = r.share;
    }
    assert_true(before < 0.5);
}

static void hoses_that_do_not_fit_one_jacket_are_refused(void **state)
{
    (void)state;
    pair_of_hoses h;
    imp_hose_pair_result r;
    imp_error error;
    make_pair(&h);
    h.sections[IMP_RESIN][2].length = 18.0;
    assert_int_equal(imp_hose_pair_march(&h.pair, NULL, &r, &error), IMP_RANGE);
    assert_string_equal(error.place, "resin.sections");
    assert_contains(error.message, "section 3 is 18 m long where the iso hose's is 17.5 m");
    make_pair(&h);
    h.control.position = 71.0;
    assert_int_equal(imp_hose_pair_march(&h.pair, NULL, &r, &error), IMP_RANGE);
    assert_string_equal(error.place, "control.position");
    assert_contains(error.message, "71 m lies beyond the end of the hose at 70 m");
    make_pair(&h);
    h.sections[IMP_ISO][0].bore = 0.0;
    assert_int_equal(imp_hose_pair_march(&h.pair, NULL, &r, &error), IMP_RANGE);
    assert_string_equal(error.place, "iso.sections[1].bore");
}

/* The entry splits heat and loss of the pair; with an even split of everything both sides fare alike. */
static void equal_sides_with_an_even_split_fare_alike(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("hose.pair");
    const char *side = "{\"fluid\":{\"density\":\"1100 kg/m^3\",\"heat_capacity\":\"1.8 kJ/(kg "
                       "K)\",\"viscosity\":[{\"temperature\":\"20 degC\",\"viscosity\":\"600 mPa s\"},"
                       "{\"temperature\":\"50 degC\",\"viscosity\":\"120 mPa s\"}]},\"flow\":\"2.5 "
                       "L/min\",\"inlet_temperature\":\"46 degC\",\"inlet_pressure\":\"90 bar\"}";
    const char *names[] = {"iso", "resin", "sections", "ambient_temperature", "control"};
    const char *texts[] = {side, side,
                           "[{\"length\":\"45 m\",\"iso_bore\":\"9.6 mm\",\"resin_bore\":\"9.6 mm\",\"heating\":\"40 "
                           "W/m\",\"loss_coefficient\":\"0.6 W/(m K)\"}]",
                           "2 degC", "{\"side\":\"iso\",\"position\":\"20 m\",\"set_temperature\":\"46 degC\"}"};
    imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
    imp_error error = {.status = IMP_OK};
    imp_arena arena;
    imp_arena_init(&arena, NULL);
    if (imp_arguments_read(calc, 5, names, texts, &arena, in, &error) != IMP_OK ||
        imp_calc_evaluate_in(calc, in, out, NULL, &arena, &error) != IMP_OK)
        fail_msg("%s: %s", error.place, error.message);
    size_t iso, resin, heating, share;
    assert_non_null(imp_calc_output(calc, "iso_outlet_temperature", &iso));
    assert_non_null(imp_calc_output(calc, "resin_outlet_temperature", &resin));
    assert_non_null(imp_calc_output(calc, "heating_power", &heating));
    assert_non_null(imp_calc_output(calc, "heating_share", &share));
    assert_close(out[iso].number, out[resin].number, 1e-9);
    assert_relative(out[heating].number, out[share].number * 40.0 * 45.0, 1e-12);
    size_t profile;
    assert_non_null(imp_calc_output(calc, "resin_profile", &profile));
    assert_true(out[profile].given && out[profile].count > 40);
    imp_arena_free(&arena);
}

static double output_of(const imp_calc *calc, const imp_value *out, const char *name)
{
    size_t at;
    assert_non_null(imp_calc_output(calc, name, &at));
    return out[at].number;
}

#define SIDE_FORMAT                                                                                                    \
    "{\"fluid\":{\"density\":\"1100 kg/m^3\",\"heat_capacity\":\"1.8 kJ/(kg "                                          \
    "K)\",\"viscosity\":[{\"temperature\":\"20 degC\",\"viscosity\":\"600 mPa s\"},"                                   \
    "{\"temperature\":\"50 degC\",\"viscosity\":\"120 mPa s\"}]},\"flow\":\"2.5 L/min\",\"inlet_temperature\":\"%d "   \
    "degC\",\"inlet_pressure\":\"90 bar\"}"

/* All the heat to one side: that side comes out warmer, by the same on either. */
static void the_heat_goes_to_the_side_that_it_is_given_to(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("hose.pair");
    double iso[2], resin[2];
    for (int share = 0; share < 2; share++) {
        char side[512];
        snprintf(side, sizeof side, SIDE_FORMAT, 40);
        const char *names[] = {"iso", "resin", "sections", "ambient_temperature", "heat_split"};
        const char *texts[] = {side, side,
                               "[{\"length\":\"15 m\",\"iso_bore\":\"9.6 mm\",\"resin_bore\":\"9.6 "
                               "mm\",\"heating\":\"30 W/m\",\"loss_coefficient\":\"0.3 W/(m K)\"}]",
                               "30 degC", share == 1 ? "100 %" : "0 %"};
        imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
        imp_error error = {.status = IMP_OK};
        imp_arena arena;
        imp_arena_init(&arena, NULL);
        if (imp_arguments_read(calc, 5, names, texts, &arena, in, &error) != IMP_OK ||
            imp_calc_evaluate_in(calc, in, out, NULL, &arena, &error) != IMP_OK)
            fail_msg("%s: %s", error.place, error.message);
        iso[share] = output_of(calc, out, "iso_outlet_temperature");
        resin[share] = output_of(calc, out, "resin_outlet_temperature");
        imp_arena_free(&arena);
    }
    assert_true(iso[1] > resin[1] + 1.0);
    assert_relative(iso[1], resin[0], 1e-12);
    assert_relative(iso[0], resin[1], 1e-12);
}

/* The points of the viscosity span 20 degC to 50 degC; what enters at 60 degC on either side leaves them. */
static void either_side_outside_its_viscosity_points_is_told(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("hose.pair");
    for (int which = 0; which < 4; which++) {
        char iso[512], resin[512];
        snprintf(iso, sizeof iso, SIDE_FORMAT, (which & 1) != 0 ? 60 : 46);
        snprintf(resin, sizeof resin, SIDE_FORMAT, (which & 2) != 0 ? 60 : 46);
        const char *names[] = {"iso", "resin", "sections", "ambient_temperature"};
        const char *texts[] = {iso, resin,
                               "[{\"length\":\"15 m\",\"iso_bore\":\"9.6 mm\",\"resin_bore\":\"9.6 "
                               "mm\",\"heating\":\"10 W/m\",\"loss_coefficient\":\"0.3 W/(m K)\"}]",
                               "20 degC"};
        imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
        imp_error error = {.status = IMP_OK};
        imp_arena arena;
        imp_arena_init(&arena, NULL);
        if (imp_arguments_read(calc, 4, names, texts, &arena, in, &error) != IMP_OK ||
            imp_calc_evaluate_in(calc, in, out, NULL, &arena, &error) != IMP_OK)
            fail_msg("%s: %s", error.place, error.message);
        assert_close(output_of(calc, out, "extrapolated"), which != 0 ? 1.0 : 0.0, 0.0);
        imp_arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_conductance_each_hose_is_as_if_alone),
        cmocka_unit_test(two_streams_exchange_heat_like_a_parallel_flow_exchanger),
        cmocka_unit_test(what_one_side_gives_the_other_gets),
        cmocka_unit_test(energy_is_conserved_on_each_side_to_nine_digits),
        cmocka_unit_test(the_heat_holds_the_set_temperature_at_the_sensor),
        cmocka_unit_test(a_weak_circuit_gives_all_it_has),
        cmocka_unit_test(a_hose_that_is_warm_enough_is_not_heated),
        cmocka_unit_test(a_colder_site_asks_for_more_of_the_heat),
        cmocka_unit_test(hoses_that_do_not_fit_one_jacket_are_refused),
        cmocka_unit_test(equal_sides_with_an_even_split_fare_alike),
        cmocka_unit_test(the_heat_goes_to_the_side_that_it_is_given_to),
        cmocka_unit_test(either_side_outside_its_viscosity_points_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
