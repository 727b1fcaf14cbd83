/* The calculations as functions in C refuse what their catalogue rows refuse: at the row's very end, by the row's name,
 * and without touching a result. Whoever calls them from C gets the checks that imp_calc_evaluate makes before. */
#include "support.h"

#include <stdio.h>

#include "impinge.h"

/* Results of every function below; none of it may be written by a call that is refused. */
typedef union results {
    double number[8];
    imp_air_cycle cycle;
    imp_yield_parts parts;
    imp_heat_loss loss;
    imp_heat_circuit circuit;
    imp_heat_tap tap;
    imp_hose_drop drop;
    imp_climate_surface surface;
    imp_generator_need need;
} results;

/* Calls one function with the numbers of its entry's inputs, in the order of the rows. */
typedef imp_status (*typed_call)(const double *in, results *out, imp_error *error);

#define TYPED(name, call)                                                                                              \
    static imp_status name(const double *in, results *out, imp_error *error)                                           \
    {                                                                                                                  \
        return call;                                                                                                   \
    }
#define OUT(i) (&out->number[i])
#define COMPOUND(...) (&(__VA_ARGS__))

TYPED(free_air, imp_air_free_air(in[0], in[1], in[2], in[3], OUT(0), error))
TYPED(compressor_power, imp_air_compressor_power(COMPOUND((imp_air_compressor){in[0], in[1], in[2], in[3], in[4], in[5], in[6]}), OUT(0), OUT(1), error))
TYPED(receiver_cycle, imp_air_receiver_cycle(in[0], in[1], in[2], in[3], in[4], &out->cycle, error))
TYPED(line_drop, imp_air_line_drop(in[0], in[3], COMPOUND((imp_air_line){in[1], in[2], in[5], in[4], in[6]}), OUT(0), error))
TYPED(condensate, imp_air_condensate(in[0], COMPOUND((imp_air_intake){in[1], in[2], in[5]}), in[3], in[4], OUT(0), OUT(1), error))

TYPED(foam, imp_yield_foam(in[0], in[1], in[2], in[3], in[4], OUT(0), OUT(1), OUT(2), error))
TYPED(area_from_material, imp_yield_area_from_material(in[0], in[1], in[2], in[3], in[4], OUT(0), error))
TYPED(split, imp_yield_split(in[0], in[1], in[2], in[3], &out->parts, error))
TYPED(sets, imp_yield_sets(in[0], in[1], in[2], in[3], OUT(0), OUT(1), OUT(2), error))
TYPED(lifts, imp_yield_lifts(in[0], in[1], in[2], OUT(0), OUT(1), error))
TYPED(spray_time, imp_yield_spray_time(in[0], in[1], in[2], OUT(0), OUT(1), error))
TYPED(wet_film, imp_yield_wet_film(in[0], in[1], in[2], OUT(0), error))
TYPED(coating, imp_yield_coating(in[0], in[1], in[2], in[3], in[4], OUT(0), OUT(1), OUT(2), error))
TYPED(thermal_resistance, imp_yield_thermal_resistance(in[0], in[1], OUT(0), error))
TYPED(thickness_for_u, imp_yield_thickness_for_u(COMPOUND((imp_yield_wall){in[0], in[1], in[2], in[3], in[4]}), OUT(0), error))
TYPED(cost, imp_yield_cost(COMPOUND((imp_yield_job){in[0], in[1], in[2], in[3], in[4], in[5], in[6]}), OUT(0), OUT(1), error))

TYPED(heating_power, imp_heat_heating_power(in[0], in[1], in[2], in[3], in[4], OUT(0), error))
TYPED(heated_flow, imp_heat_heated_flow(in[0], in[1], in[2], in[3], in[4], OUT(0), error))
TYPED(viscous_rise, imp_heat_viscous_rise(in[0], in[1], in[2], OUT(0), error))
TYPED(hose_loss, imp_heat_hose_loss(in[0], in[1], in[2], in[3], in[4], in[5], in[6], &out->loss, error))
TYPED(outlet_temperature, imp_heat_outlet_temperature(in[0], in[1], in[2], in[3], in[4], in[5], in[6], in[7], OUT(0), error))
TYPED(hose_circuit, imp_heat_hose_circuit(in[0], in[1], in[2], in[3], in[4], &out->circuit, error))
TYPED(warm_up_time, imp_heat_warm_up_time(in[0], in[1], in[2], in[3], in[4], in[5], OUT(0), OUT(1), error))
TYPED(mixed_temperature, imp_heat_mixed_temperature(COMPOUND((imp_heat_stream){in[0], in[1], in[2], in[3]}),
                                                    COMPOUND((imp_heat_stream){in[4], in[5], in[6], in[7]}), OUT(0), error))

/* A tap is chosen by the current that is set or by the power that is needed, never by both. */
static imp_status choose_tap(const double *in, const double *setting, const double *power, results *out, imp_error *error)
{
    const double taps[] = {40.0, 60.0};
    const imp_heat_tap_supply supply = {in[0], in[1], in[2], taps, 2, in[4], setting, power, in[7], in[8]};
    return imp_heat_hose_tap(&supply, &out->tap, error);
}
TYPED(tap_for_current, choose_tap(in, &in[5], NULL, out, error))
TYPED(tap_for_power, choose_tap(in, NULL, &in[6], out, error))

TYPED(orifice_flow, imp_gun_orifice_flow(in[0], in[1], in[2], in[3], OUT(0), OUT(1), error))
TYPED(orifice_pressure, imp_gun_orifice_pressure(in[0], in[1], in[2], in[3], OUT(0), error))
TYPED(discharge_coefficient, imp_gun_discharge_coefficient(in[0], in[1], OUT(0), error))
TYPED(impingement, imp_gun_impingement(COMPOUND((imp_gun_side){in[0], in[1], in[2], in[3], 1}), COMPOUND((imp_gun_side){in[4], in[5], in[6], in[7], 1}),
                                       OUT(0), OUT(1), OUT(2), error))

TYPED(reynolds, imp_hose_reynolds(in[0], in[1], in[2], in[3], OUT(0), OUT(1), error))
TYPED(friction_factor, imp_hose_friction_factor(in[0], in[1], OUT(0), error))
TYPED(pressure_drop, imp_hose_pressure_drop(COMPOUND((imp_hose_line){in[1], in[2], in[5], in[6], in[7]}), in[0], in[3], in[4], &out->drop, error))
TYPED(flow_for_drop, imp_hose_flow_for_drop(COMPOUND((imp_hose_line){in[1], in[2], in[5], in[6], in[7]}), in[0], in[3], in[4], OUT(0), error))
TYPED(power_law_drop, imp_hose_power_law_drop(in[0], in[1], in[2], in[3], in[4], in[5], OUT(0), OUT(1), error))
TYPED(contents, imp_hose_volume(in[0], in[1], OUT(0), error))
TYPED(residence_time, imp_hose_residence_time(in[0], in[1], in[2], OUT(0), error))

TYPED(mass_ratio, imp_mix_mass_ratio(in[0], in[1], in[2], OUT(0), error))
TYPED(volume_ratio, imp_mix_volume_ratio(in[0], in[1], in[2], OUT(0), error))
TYPED(mix_index, imp_mix_index(in[0], in[2], COMPOUND((imp_mix_chemistry){in[1], in[3], in[4]}), OUT(0), error))
TYPED(ratio_for_index, imp_mix_ratio_for_index(in[0], COMPOUND((imp_mix_chemistry){in[1], in[2], in[3]}), OUT(0), error))
TYPED(deviation, imp_mix_deviation(in[0], in[1], OUT(0), error))
TYPED(dip_ratio, imp_mix_dip_ratio(COMPOUND((imp_mix_drum){in[0], in[1]}), COMPOUND((imp_mix_drum){in[2], in[3]}), in[4], OUT(0), OUT(1), error))
TYPED(counter_ratio, imp_mix_counter_ratio(in[0], in[1], in[2], in[3], OUT(0), error))

TYPED(saturation_pressure, imp_climate_saturation_pressure(in[0], OUT(0), error))
TYPED(dew_point, imp_climate_dew_point(in[0], in[1], IMP_OVER_WATER, OUT(0), error))
TYPED(wet_bulb, imp_climate_wet_bulb(in[0], in[1], in[2], IMP_OVER_WATER, OUT(0), error))
TYPED(humidity_ratio, imp_climate_humidity_ratio(in[0], in[1], in[2], IMP_OVER_WATER, OUT(0), error))
TYPED(moist_air_density, imp_climate_moist_air_density(in[0], in[1], in[2], IMP_OVER_WATER, OUT(0), error))
TYPED(surface_condition, imp_climate_surface_condition(in[0], in[1], in[2], IMP_OVER_WATER, &out->surface, error))
TYPED(pressure_at_altitude, imp_climate_pressure_at_altitude(in[0], OUT(0), error))
TYPED(wood_moisture, imp_climate_wood_moisture(in[0], in[1], IMP_OVER_WATER, OUT(0), error))
TYPED(purge_time, imp_climate_purge_time(in[0], in[1], OUT(0), error))

TYPED(walther_viscosity, imp_fluid_walther_viscosity(in[0], COMPOUND((imp_fluid_oil_point){in[1], in[2]}), COMPOUND((imp_fluid_oil_point){in[3], in[4]}),
                                                     OUT(0), error))
TYPED(density, imp_fluid_density(in[0], in[1], in[2], in[3], OUT(0), error))

TYPED(three_phase_current, imp_electrical_three_phase_current(in[0], in[1], in[2], in[3], OUT(0), OUT(1), error))
TYPED(single_phase_current, imp_electrical_single_phase_current(in[0], in[1], in[2], in[3], OUT(0), OUT(1), error))
TYPED(conductor_resistance, imp_electrical_conductor_resistance(COMPOUND((imp_electrical_conductor){.section = in[0], .temperature = in[2]}), in[1],
                                                                OUT(0), error))
TYPED(breaker_rating, imp_electrical_breaker_rating(in[0], IMP_CODE_IEC, OUT(0), error))
TYPED(plug_rating, imp_electrical_plug_rating(in[0], IMP_CODE_IEC, in[2], OUT(0), error))
TYPED(standard_section, imp_electrical_standard_section(in[0], IMP_CODE_IEC, OUT(0), error))
TYPED(adiabatic_section, imp_electrical_adiabatic_section(in[0], in[1], in[2], OUT(0), error))
TYPED(heater_power, imp_electrical_heater_power(in[0], in[1], in[2], OUT(0), error))
TYPED(motor_current, imp_electrical_motor_current(in[0], in[1], OUT(0), error))
TYPED(running_cost, imp_electrical_running_cost(COMPOUND((imp_running_cost){in[0], in[1], in[2], in[3], in[4], in[5]}), OUT(0), OUT(1), OUT(2), error))
TYPED(generator, imp_electrical_generator(COMPOUND((imp_generator_case){in[0], in[1], in[2], in[3], in[4], in[5], in[6], in[7], in[8], in[9], in[10], in[11],
                                                                        in[12]}), &out->need, error))
static imp_status voltage_drop(const double *in, results *out, imp_error *error)
{
    const imp_electrical_run run = {.conductor = {.section = in[2], .temperature = in[6]}, .current = in[0], .length = in[1],
                                    .voltage = in[3], .power_factor = in[5], .reactance = in[7]};
    return imp_electrical_voltage_drop(&run, OUT(0), OUT(1), error);
}

#define ROOM(room, name) {#room "." #name, name}
static const struct {
    const char *id;
    typed_call call;
} typed[] = {
    ROOM(air, free_air), ROOM(air, compressor_power), ROOM(air, receiver_cycle), ROOM(air, line_drop), ROOM(air, condensate),
    ROOM(yield, foam), ROOM(yield, area_from_material), ROOM(yield, split), ROOM(yield, sets), ROOM(yield, lifts),
    ROOM(yield, spray_time), ROOM(yield, wet_film), ROOM(yield, coating), ROOM(yield, thermal_resistance),
    ROOM(yield, thickness_for_u), ROOM(yield, cost),
    ROOM(heat, heating_power), ROOM(heat, heated_flow), ROOM(heat, viscous_rise), ROOM(heat, hose_loss),
    ROOM(heat, outlet_temperature), ROOM(heat, hose_circuit), ROOM(heat, warm_up_time), ROOM(heat, mixed_temperature),
    ROOM(gun, orifice_flow), ROOM(gun, orifice_pressure), ROOM(gun, discharge_coefficient), ROOM(gun, impingement),
    ROOM(hose, reynolds), ROOM(hose, friction_factor), ROOM(hose, pressure_drop), ROOM(hose, flow_for_drop),
    ROOM(hose, power_law_drop), {"hose.fill", residence_time},
    ROOM(mix, mass_ratio), ROOM(mix, volume_ratio), {"mix.index", mix_index}, ROOM(mix, ratio_for_index), ROOM(mix, deviation),
    ROOM(mix, dip_ratio), ROOM(mix, counter_ratio),
    ROOM(climate, saturation_pressure), ROOM(climate, dew_point), ROOM(climate, wet_bulb), ROOM(climate, humidity_ratio),
    ROOM(climate, moist_air_density), ROOM(climate, surface_condition), ROOM(climate, pressure_at_altitude),
    ROOM(climate, wood_moisture), ROOM(climate, purge_time),
    ROOM(fluid, walther_viscosity), ROOM(fluid, density),
    ROOM(electrical, three_phase_current), ROOM(electrical, single_phase_current), ROOM(electrical, conductor_resistance),
    ROOM(electrical, voltage_drop), ROOM(electrical, breaker_rating), ROOM(electrical, plug_rating),
    ROOM(electrical, standard_section), ROOM(electrical, adiabatic_section), ROOM(electrical, heater_power),
    ROOM(electrical, motor_current), ROOM(electrical, generator), ROOM(electrical, running_cost),
};

/* A number that the row takes: in the middle of its range. */
static double middle_of(const imp_param *row)
{
    return imp_param_has_range(row) ? row->low + 0.5 * (row->high - row->low) : 1.0;
}

static void assert_refused(const imp_calc *calc, typed_call call, const double *in, size_t input)
{
    results before, out;
    imp_error error = {.status = IMP_OK};
    memset(&before, 0x55, sizeof before);
    out = before;
    const imp_status status = call(in, &out, &error);
    if (status != IMP_RANGE || strcmp(error.place, calc->inputs[input].name) != 0 || memcmp(&out, &before, sizeof out) != 0)
        fail_msg("%s with %s = %.17g: status %d, %s: %s%s", calc->id, calc->inputs[input].name, in[input], (int)status, error.place, error.message,
                 memcmp(&out, &before, sizeof out) != 0 ? "; a result was written" : "");
}

/* Each input in turn (but the one `left_out`) at the first number that its row does not take, below and above, and no
 * number at all. */
static void check_ends(const imp_calc *calc, typed_call call, const char *left_out)
{
    double in[IMP_MOST_INPUTS];
    for (size_t i = 0; i < calc->input_count; i++)
        in[i] = middle_of(&calc->inputs[i]);
    for (size_t i = 0; i < calc->input_count; i++) {
        const imp_param *row = &calc->inputs[i];
        if (row->kind != IMP_NUMBER || strcmp(row->name, left_out) == 0)
            continue;
        const bool open_low = row->ends == IMP_OPEN_LOW || row->ends == IMP_OPEN, open_high = row->ends == IMP_OPEN_HIGH || row->ends == IMP_OPEN;
        const double beyond[] = {imp_param_has_range(row) ? open_low ? row->low : nextafter(row->low, -INFINITY) : -(double)INFINITY,
                                 imp_param_has_range(row) ? open_high ? row->high : nextafter(row->high, INFINITY) : (double)INFINITY,
                                 (double)NAN};
        const size_t count = row->presence == IMP_OPTIONAL ? 2 : 3; /* an optional one is not given when it is no number */
        for (size_t k = 0; k < count; k++) {
            in[i] = beyond[k];
            assert_refused(calc, call, in, i);
        }
        in[i] = middle_of(row);
    }
}

static void every_function_refuses_what_its_rows_refuse_and_writes_nothing(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof typed / sizeof typed[0]; i++) {
        const imp_calc *calc = imp_catalogue_find(typed[i].id);
        if (calc == NULL)
            fail_msg("no entry %s", typed[i].id);
        else
            check_ends(calc, typed[i].call, "");
    }
}

static void a_tap_is_refused_beyond_every_row_of_either_way_to_choose_it(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("heat.hose_tap");
    check_ends(calc, tap_for_current, "required_power_per_length");
    check_ends(calc, tap_for_power, "current_setting");
}

/* hose.fill is two functions in C; the first has no flow. */
static void the_contents_of_a_hose_are_refused_beyond_its_bore_and_length(void **state)
{
    (void)state;
    const imp_calc *fill = imp_catalogue_find("hose.fill");
    double in[] = {0.0, 10.0};
    assert_refused(fill, contents, in, 0);
    in[0] = 0.01;
    in[1] = -1.0;
    assert_refused(fill, contents, in, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_function_refuses_what_its_rows_refuse_and_writes_nothing),
        cmocka_unit_test(a_tap_is_refused_beyond_every_row_of_either_way_to_choose_it),
        cmocka_unit_test(the_contents_of_a_hose_are_refused_beyond_its_bore_and_length),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
