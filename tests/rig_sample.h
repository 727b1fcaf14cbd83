/* rig_sample.h — an invented rig that the rig's tests start from: everything in order, both liquids laminar, the resin
 * gauge higher, hose heat holding its set temperature with some to spare. */
#ifndef RIG_SAMPLE_H
#define RIG_SAMPLE_H

#include "support.h"

#include "rig.h"

static inline void sample_liquid(imp_fluid *fluid, double density, double heat_capacity, double expansion, const double viscosity[3])
{
    fluid->density = density;
    fluid->heat_capacity = heat_capacity;
    fluid->expansion = expansion;
    fluid->reference_temperature = IMP_CELSIUS(25.0);
    fluid->count = 3;
    for (int i = 0; i < 3; i++)
        fluid->points[i] = (imp_fluid_point){IMP_CELSIUS(12.0 + 22.0 * i), viscosity[i]};
}

static inline imp_rig sample_rig(void)
{
    static const double iso[3] = {0.46, 0.139, 0.055}, resin[3] = {1.15, 0.32, 0.118};
    imp_rig rig;
    imp_rig_init(&rig);
    sample_liquid(&rig.side[IMP_ISO].fluid, 1230.0, 1560.0, 7e-4, iso);
    sample_liquid(&rig.side[IMP_RESIN].fluid, 1160.0, 1890.0, 8e-4, resin);
    for (int side = 0; side < IMP_SIDES; side++) {
        imp_rig_side *s = &rig.side[side];
        s->displacement = 90e-6;
        s->pump_area = 5.5e-4;
        s->volumetric_efficiency = 0.96;
        s->set_temperature = IMP_CELSIUS(46.0);
        s->heater_power = 7000.0;
        s->heater_voltage = 400.0;
        s->heater_efficiency = 0.93;
        s->hose_bore = 0.0096;
        s->whip_bore = 0.0064;
        s->orifice = 0.95e-3;
        s->transfer_ratio = 2.0;
        s->transfer_air = 4.5e5;
        s->line_bore = 0.02;
        s->line_length = 5.0;
        s->line_rise = 1.0;
        s->vapour_pressure = side == IMP_ISO ? 100.0 : 4e4;
        s->drum_least = IMP_CELSIUS(18.0);
    }
    rig.motor_power = 5000.0;
    rig.drive_pressure_limit = 150e5;
    rig.drive_area = 11e-4;
    rig.oil_flow = 28e-3 / 60.0;
    rig.drive_efficiency = 0.7;
    rig.fluid_pressure_limit = 160e5;
    rig.sections = 4.0;
    rig.section_length = 15.0;
    rig.roughness = 1.5e-6;
    rig.fitting_loss = 1.5;
    rig.rise = 3.0;
    rig.section_resistance = 0.42;
    rig.taps[0] = 40.0;
    rig.taps[1] = 60.0;
    rig.taps[2] = 90.0;
    rig.tap_count = 3;
    rig.current_limit = 38.0;
    rig.lead_resistance = 0.02;
    rig.primary_voltage = 230.0;
    rig.loss_coefficient = 0.6;
    rig.heat_capacity_per_length = 900.0;
    rig.hose_rated_pressure = 150e5;
    rig.most_sections = 8.0;
    rig.sensor_side = IMP_RESIN;
    rig.sensor_position = 20.0;
    rig.whip_length = 3.0;
    rig.whip_rated_pressure = 150e5;
    rig.discharge_coefficient = 0.75;
    rig.gun_rated_pressure = 200e5;
    rig.drum_temperature = IMP_CELSIUS(22.0);
    rig.drum_volume = 0.2;
    rig.drum_heater_power = 1000.0;
    rig.drum_heater_efficiency = 0.8;
    rig.drum_loss = 5.0;
    rig.set_pressure = 100e5;
    rig.hose_temperature = IMP_CELSIUS(46.5);
    rig.ambient_temperature = IMP_CELSIUS(12.0);
    rig.supply_voltage = 400.0;
    rig.measured_voltage = 395.0;
    rig.supply_phases = 3.0;
    rig.breaker = 63.0;
    return rig;
}

static inline imp_rig_result solved(const imp_rig *rig)
{
    imp_rig_result result;
    imp_error error = {.status = IMP_OK};
    if (imp_rig_operating_point(rig, NULL, &result, &error) != IMP_OK)
        fail_msg("%s: %s", error.place, error.message);
    return result;
}

#endif
