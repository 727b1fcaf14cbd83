/* The functions that programs in C call: with each number in turn not a number, each refuses, says which it was, and
 * leaves what it should have written as it was. Entries of the catalogue check their rows before; these have no one before them. */
#include "support.h"

#include "air.h"
#include "climate.h"
#include "electrical.h"
#include "electrical_loads.h"
#include "fluid.h"
#include "gun.h"
#include "heat.h"
#include "hose.h"
#include "mix.h"
#include "pump.h"
#include "stats.h"
#include "yield.h"

#define UNTOUCHED (-12345.0)
enum { MOST_VALUES = 9, MOST_RESULTS = 8 };

typedef imp_status typed(const double *v, double *out, imp_error *error);

#define TYPED(name) static imp_status name(const double *v, double *out, imp_error *error)

TYPED(free_air) { return imp_air_free_air(v[0], v[1], v[2], v[3], out, error); }
TYPED(pump_flow) { return imp_pump_flow(v[0], v[1], v[2], out, error); }
TYPED(cycle_rate) { return imp_pump_cycle_rate(v[0], v[1], v[2], out, error); }
TYPED(hydraulic_power) { return imp_pump_hydraulic_power(v[0], v[1], v[2], out, error); }
TYPED(heating_power) { return imp_heat_heating_power(v[0], v[1], v[2], v[3], v[4], out, error); }
TYPED(heated_flow) { return imp_heat_heated_flow(v[0], v[1], v[2], v[3], v[4], out, error); }
TYPED(viscous_rise) { return imp_heat_viscous_rise(v[0], v[1], v[2], out, error); }
TYPED(outlet) { return imp_heat_outlet_temperature(v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7], out, error); }
TYPED(warm_up) { return imp_heat_warm_up_time(v[0], v[1], v[2], v[3], v[4], v[5], out, out + 1, error); }
TYPED(mixed)
{
    const imp_heat_stream iso = {.flow = v[0], .density = v[1], .heat_capacity = v[2], .temperature = v[3]};
    const imp_heat_stream resin = {.flow = v[4], .density = v[5], .heat_capacity = v[6], .temperature = v[7]};
    return imp_heat_mixed_temperature(&iso, &resin, out, error);
}
TYPED(reynolds) { return imp_hose_reynolds(v[0], v[1], v[2], v[3], out, out + 1, error); }
TYPED(friction) { return imp_hose_friction_factor(v[0], v[1], out, error); }
TYPED(power_law) { return imp_hose_power_law_drop(v[0], v[1], v[2], v[3], v[4], v[5], out, out + 1, error); }
TYPED(hose_volume) { return imp_hose_volume(v[0], v[1], out, error); }
TYPED(residence) { return imp_hose_residence_time(v[0], v[1], v[2], out, error); }
TYPED(orifice_flow) { return imp_gun_orifice_flow(v[0], v[1], v[2], v[3], out, out + 1, error); }
TYPED(orifice_pressure) { return imp_gun_orifice_pressure(v[0], v[1], v[2], v[3], out, error); }
TYPED(discharge) { return imp_gun_discharge_coefficient(v[0], v[1], out, error); }
TYPED(impingement)
{
    const imp_gun_side iso = {.flow = v[0], .density = v[1], .viscosity = v[2], .diameter = v[3], .count = 1};
    const imp_gun_side resin = {.flow = v[4], .density = v[5], .viscosity = v[6], .diameter = v[7], .count = 1};
    return imp_gun_impingement(&iso, &resin, out, out + 1, out + 2, error);
}
TYPED(mass_ratio) { return imp_mix_mass_ratio(v[0], v[1], v[2], out, error); }
TYPED(volume_ratio) { return imp_mix_volume_ratio(v[0], v[1], v[2], out, error); }
TYPED(index_of_masses)
{
    const imp_mix_chemistry chemistry = {.nco_content = v[2], .hydroxyl_number = v[3], .water_content = v[4]};
    return imp_mix_index(v[0], v[1], &chemistry, out, error);
}
TYPED(ratio_for_index)
{
    const imp_mix_chemistry chemistry = {.nco_content = v[1], .hydroxyl_number = v[2], .water_content = v[3]};
    return imp_mix_ratio_for_index(v[0], &chemistry, out, error);
}
TYPED(deviation) { return imp_mix_deviation(v[0], v[1], out, error); }
TYPED(dip_ratio)
{
    const imp_mix_drum iso = {.diameter = v[0], .drop = v[1]}, resin = {.diameter = v[2], .drop = v[3]};
    return imp_mix_dip_ratio(&iso, &resin, v[4], out, out + 1, error);
}
TYPED(counter_ratio) { return imp_mix_counter_ratio(v[0], v[1], v[2], v[3], out, error); }
TYPED(foam) { return imp_yield_foam(v[0], v[1], v[2], v[3], v[4], out, out + 1, out + 2, error); }
TYPED(area) { return imp_yield_area_from_material(v[0], v[1], v[2], v[3], v[4], out, error); }
TYPED(sets) { return imp_yield_sets(v[0], v[1], v[2], v[3], out, out + 1, out + 2, error); }
TYPED(lifts) { return imp_yield_lifts(v[0], v[1], v[2], out, out + 1, error); }
TYPED(spray_time) { return imp_yield_spray_time(v[0], v[1], v[2], out, out + 1, error); }
TYPED(wet_film) { return imp_yield_wet_film(v[0], v[1], v[2], out, error); }
TYPED(coating) { return imp_yield_coating(v[0], v[1], v[2], v[3], v[4], out, out + 1, out + 2, error); }
TYPED(thermal_resistance) { return imp_yield_thermal_resistance(v[0], v[1], out, error); }
TYPED(thickness)
{
    const imp_yield_wall wall = {.target_u = v[0], .existing_resistance = v[1], .conductivity = v[2], .internal_surface = v[3], .external_surface = v[4]};
    return imp_yield_thickness_for_u(&wall, out, error);
}
TYPED(cost)
{
    const imp_yield_job job = {.area = v[0], .mass = v[1], .unit_price = v[2], .labour_time = v[3], .labour_rate = v[4], .crew = v[5], .energy_cost = v[6]};
    return imp_yield_cost(&job, out, out + 1, error);
}
TYPED(saturation) { return imp_climate_saturation_pressure(v[0], out, error); }
TYPED(dew_point) { return imp_climate_dew_point(v[0], v[1], IMP_OVER_WATER, out, error); }
TYPED(wet_bulb) { return imp_climate_wet_bulb(v[0], v[1], v[2], IMP_OVER_WATER, out, error); }
TYPED(humidity_ratio) { return imp_climate_humidity_ratio(v[0], v[1], v[2], IMP_OVER_WATER, out, error); }
TYPED(air_density) { return imp_climate_moist_air_density(v[0], v[1], v[2], IMP_OVER_WATER, out, error); }
TYPED(altitude) { return imp_climate_pressure_at_altitude(v[0], out, error); }
TYPED(wood) { return imp_climate_wood_moisture(v[0], v[1], IMP_OVER_WATER, out, error); }
TYPED(purge) { return imp_climate_purge_time(v[0], v[1], out, error); }
TYPED(walther)
{
    const imp_fluid_oil_point first = {.temperature = v[1], .viscosity = v[2]}, second = {.temperature = v[3], .viscosity = v[4]};
    return imp_fluid_walther_viscosity(v[0], &first, &second, out, error);
}
TYPED(liquid_density) { return imp_fluid_density(v[0], v[1], v[2], v[3], out, error); }
TYPED(three_phases) { return imp_electrical_three_phase_current(v[0], v[1], v[2], v[3], out, out + 1, error); }
TYPED(one_phase) { return imp_electrical_single_phase_current(v[0], v[1], v[2], v[3], out, out + 1, error); }
TYPED(conductor)
{
    const imp_electrical_conductor copper = {.section = v[0], .temperature = v[1], .material = IMP_COPPER_CLASS_5};
    return imp_electrical_resistance(&copper, out, error);
}
TYPED(conductor_of_length)
{
    const imp_electrical_conductor copper = {.section = v[0], .temperature = v[1], .material = IMP_COPPER_CLASS_5};
    return imp_electrical_conductor_resistance(&copper, v[2], out, error);
}
TYPED(voltage_drop)
{
    const imp_electrical_run run = {.conductor = {.section = v[0], .temperature = v[1], .material = IMP_COPPER_CLASS_5},
                                    .current = v[2], .length = v[3], .voltage = v[4], .phases = IMP_THREE_PHASE,
                                    .power_factor = v[5], .reactance = v[6]};
    return imp_electrical_voltage_drop(&run, out, out + 1, error);
}
TYPED(breaker) { return imp_electrical_breaker_rating(v[0], IMP_CODE_IEC, out, error); }
TYPED(standard_section) { return imp_electrical_standard_section(v[0], IMP_CODE_IEC, out, error); }
TYPED(adiabatic) { return imp_electrical_adiabatic_section(v[0], v[1], v[2], out, error); }
TYPED(heater) { return imp_electrical_heater_power(v[0], v[1], v[2], out, error); }
TYPED(motor) { return imp_electrical_motor_current(v[0], v[1], out, error); }
TYPED(mean) { return imp_stats_mean(v, 3, out, error); }
TYPED(deviation_of_values) { return imp_stats_sd(v, 3, out, error); }
TYPED(quantile)
{
    double work[3];
    return imp_stats_quantile(v, 3, v[3], work, out, error);
}

static const struct {
    const char *what;
    typed *call;
    size_t count;
    double values[MOST_VALUES]; /* all in order */
} functions[] = {
    {"free air", free_air, 4, {0.004, 7e5, 293.15, 101325.0}},
    {"pump flow", pump_flow, 3, {90e-6, 0.5, 0.95}},
    {"cycle rate", cycle_rate, 3, {5e-5, 90e-6, 0.95}},
    {"hydraulic power", hydraulic_power, 3, {1e7, 1e-4, 0.8}},
    {"heating power", heating_power, 5, {5e-5, 1100.0, 1800.0, 30.0, 0.9}},
    {"heated flow", heated_flow, 5, {6000.0, 1100.0, 1800.0, 30.0, 0.9}},
    {"viscous rise", viscous_rise, 3, {5e6, 1100.0, 1800.0}},
    {"outlet temperature", outlet, 8, {320.0, 275.0, 5e-5, 1100.0, 1800.0, 0.4, 60.0, 500.0}},
    {"warm-up time", warm_up, 6, {6000.0, 50e3, 4.0, 275.0, 280.0, 320.0}},
    {"mixed temperature", mixed, 8, {5e-5, 1200.0, 1500.0, 320.0, 5e-5, 1100.0, 1900.0, 318.0}},
    {"Reynolds number", reynolds, 4, {5e-5, 0.01, 1100.0, 0.2}},
    {"friction factor", friction, 2, {50000.0, 0.001}},
    {"power law", power_law, 6, {5e-5, 0.01, 60.0, 1100.0, 0.5, 0.8}},
    {"hose volume", hose_volume, 2, {0.01, 60.0}},
    {"residence time", residence, 3, {0.01, 60.0, 5e-5}},
    {"orifice flow", orifice_flow, 4, {1e-3, 8e6, 1100.0, 0.7}},
    {"orifice pressure", orifice_pressure, 4, {1e-3, 5e-5, 1100.0, 0.7}},
    {"discharge coefficient", discharge, 2, {800.0, 4.0}},
    {"impingement", impingement, 8, {5e-5, 1200.0, 0.05, 1e-3, 5e-5, 1100.0, 0.1, 1e-3}},
    {"mass ratio", mass_ratio, 3, {1.0, 1220.0, 1110.0}},
    {"volume ratio", volume_ratio, 3, {1.1, 1220.0, 1110.0}},
    {"index", index_of_masses, 5, {110.0, 100.0, 0.31, 0.25, 0.02}},
    {"ratio for an index", ratio_for_index, 4, {110.0, 0.31, 0.25, 0.02}},
    {"deviation", deviation, 2, {1.03, 1.0}},
    {"dip ratio", dip_ratio, 5, {0.57, 0.2, 0.57, 0.19, 0.001}},
    {"counter ratio", counter_ratio, 4, {500.0, 90e-6, 490.0, 90e-6}},
    {"foam", foam, 5, {120.0, 0.08, 35.0, 0.05, 1.1}},
    {"area from material", area, 5, {400.0, 0.08, 35.0, 0.05, 1.1}},
    {"sets", sets, 4, {0.3, 0.31, 0.2, 0.95}},
    {"lifts", lifts, 3, {0.12, 0.05, 0.01}},
    {"spray time", spray_time, 3, {400.0, 0.1, 0.5}},
    {"wet film", wet_film, 3, {2e-4, 0.6, 0.05}},
    {"coating", coating, 5, {100.0, 2e-4, 0.6, 0.2, 1e-5}},
    {"thermal resistance", thermal_resistance, 2, {0.1, 0.025}},
    {"thickness for a U value", thickness, 5, {0.2, 0.5, 0.025, 0.13, 0.04}},
    {"cost", cost, 7, {100.0, 400.0, 4.0, 28800.0, 0.01, 2.0, 30.0}},
    {"saturation pressure", saturation, 1, {290.0}},
    {"dew point", dew_point, 2, {290.0, 0.5}},
    {"wet bulb", wet_bulb, 3, {290.0, 0.5, 101325.0}},
    {"humidity ratio", humidity_ratio, 3, {290.0, 0.5, 101325.0}},
    {"density of moist air", air_density, 3, {290.0, 0.5, 101325.0}},
    {"pressure at an altitude", altitude, 1, {400.0}},
    {"moisture of wood", wood, 2, {290.0, 0.5}},
    {"purge time", purge, 2, {0.002, 0.05}},
    {"Walther's viscosity", walther, 5, {300.0, 313.15, 46e-6, 373.15, 7e-6}},
    {"density of a liquid", liquid_density, 4, {300.0, 1200.0, 298.15, 7e-4}},
    {"current, three phases", three_phases, 4, {12e3, 400.0, 0.9, 1.0}},
    {"current, one phase", one_phase, 4, {3e3, 230.0, 0.9, 1.0}},
    {"resistance of a conductor", conductor, 2, {16e-6, 320.0}},
    {"resistance of a length", conductor_of_length, 3, {16e-6, 320.0, 50.0}},
    {"voltage drop", voltage_drop, 7, {16e-6, 320.0, 40.0, 50.0, 400.0, 0.9, 8e-5}},
    {"breaker", breaker, 1, {33.0}},
    {"standard section", standard_section, 1, {7e-6}},
    {"adiabatic section", adiabatic, 3, {1200.0, 0.2, 143.0}},
    {"heater power", heater, 3, {6000.0, 230.0, 221.0}},
    {"motor current", motor, 2, {3728.5, 460.0}},
    {"mean", mean, 3, {1.0, 2.0, 4.0}},
    {"standard deviation", deviation_of_values, 3, {1.0, 2.0, 4.0}},
    {"quantile", quantile, 4, {1.0, 2.0, 4.0, 0.5}},
};
enum { FUNCTIONS = sizeof functions / sizeof functions[0] };

static void clear(double *out, imp_error *error)
{
    for (size_t i = 0; i < MOST_RESULTS; i++)
        out[i] = UNTOUCHED;
    memset(error, 0, sizeof *error);
}

static void numbers_in_order_give_a_result(void **state)
{
    (void)state;
    double out[MOST_RESULTS];
    imp_error error;
    for (size_t f = 0; f < FUNCTIONS; f++) {
        clear(out, &error);
        if (functions[f].call(functions[f].values, out, &error) != IMP_OK)
            fail_msg("%s: %s: %s", functions[f].what, error.place, error.message);
        assert_true(isfinite(out[0]) && out[0] != UNTOUCHED);
    }
}

static void whichever_number_is_none_is_refused_and_nothing_is_written(void **state)
{
    (void)state;
    double out[MOST_RESULTS], values[MOST_VALUES];
    imp_error error;
    for (size_t f = 0; f < FUNCTIONS; f++)
        for (size_t i = 0; i < functions[f].count; i++) {
            memcpy(values, functions[f].values, sizeof values);
            values[i] = (double)NAN;
            clear(out, &error);
            const imp_status status = functions[f].call(values, out, &error);
            if (status != IMP_RANGE || error.place[0] == '\0' || error.message[0] == '\0')
                fail_msg("%s, number %zu: status %d, \"%s: %s\"", functions[f].what, i + 1, (int)status, error.place, error.message);
            for (size_t k = 0; k < MOST_RESULTS; k++)
                assert_true(out[k] == UNTOUCHED);
        }
}

static imp_status supply_of(imp_line_supply supply, imp_supply_state when, imp_error *error)
{
    const imp_load load = {.kind = IMP_LOAD_RESISTIVE, .connection = IMP_LOAD_STAR, .power = 6e3, .rated_voltage = (double)NAN,
                           .power_factor = 1.0, .efficiency = 1.0, .diversity = 1.0};
    imp_load_supply reduced;
    memset(error, 0, sizeof *error);
    return imp_load_supply_of(&supply, &load, 1, when, &reduced, error);
}

static void a_supply_refuses_what_is_no_voltage_no_state_and_no_number_of_phases(void **state)
{
    (void)state;
    imp_error error;
    const imp_line_supply sound = {.voltage = 400.0, .measured_voltage = 392.0, .phases = IMP_THREE_PHASE};
    assert_int_equal(supply_of(sound, IMP_STATE_ALL, &error), IMP_OK);
    imp_line_supply supply = sound;
    supply.voltage = (double)NAN;
    assert_int_equal(supply_of(supply, IMP_STATE_ALL, &error), IMP_RANGE);
    assert_string_equal(error.place, "voltage");
    supply = sound;
    supply.measured_voltage = -1.0;
    assert_int_equal(supply_of(supply, IMP_STATE_ALL, &error), IMP_RANGE);
    assert_string_equal(error.place, "measured_voltage");
    supply.measured_voltage = (double)NAN; /* not measured: not refused */
    assert_int_equal(supply_of(supply, IMP_STATE_ALL, &error), IMP_OK);
    assert_int_not_equal(supply_of(sound, (imp_supply_state)99, &error), IMP_OK);
    assert_string_equal(error.place, "state");
    supply = sound;
    supply.phases = (imp_phases)7;
    assert_int_not_equal(supply_of(supply, IMP_STATE_ALL, &error), IMP_OK);
    assert_string_equal(error.place, "phases");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_in_order_give_a_result),
        cmocka_unit_test(whichever_number_is_none_is_refused_and_nothing_is_written),
        cmocka_unit_test(a_supply_refuses_what_is_no_voltage_no_state_and_no_number_of_phases),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
