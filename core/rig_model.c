/* One flow through a rig: heaters, hoses, gun, and what the drive has to do for it. Equations: rig.h. */
#include "rig_model.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "climate.h"
#include "gun.h"
#include "solve.h"

static const double pi = 3.14159265358979323846;

/* ---- preparing ---- */

double imp_rig_least(double a, double b)
{
    return isnan(a) || b < a ? b : a;
}

static void lay_hoses(imp_rig_model *m, double loss)
{
    const imp_rig *rig = m->rig;
    const bool whip = rig->whip_fitted != 0.0;
    const bool on = !isnan(rig->hose_temperature) || !isnan(rig->hose_current);
    m->hose_count = (size_t)rig->sections;
    m->section_count = m->hose_count + (whip ? 1 : 0);
    for (int side = 0; side < IMP_SIDES; side++) {
        const imp_rig_side *s = &rig->side[side];
        const double share = !on ? 0.0 : side == IMP_ISO ? rig->heat_split : 1.0 - rig->heat_split;
        const imp_hose_section hose = {.bore = s->hose_bore,
                                       .length = rig->section_length,
                                       .roughness = rig->roughness,
                                       .fitting_loss = rig->fitting_loss,
                                       .rise = rig->rise / rig->sections,
                                       .heating = share * m->circuit.per_length,
                                       .loss_coefficient = 0.5 * loss,
                                       .rated_pressure = rig->hose_rated_pressure};
        for (size_t i = 0; i < m->hose_count; i++)
            m->sections[side][i] = hose;
        if (whip)
            m->sections[side][m->hose_count] = (imp_hose_section){.bore = s->whip_bore,
                                                                  .length = rig->whip_length,
                                                                  .roughness = rig->roughness,
                                                                  .heating = share * m->circuit.whip_per_length,
                                                                  .loss_coefficient = 0.5 * loss,
                                                                  .rated_pressure = rig->whip_rated_pressure};
    }
    const double end = rig->sections * rig->section_length;
    m->controlled = !isnan(rig->hose_temperature) && m->circuit.per_length > 0.0;
    m->control = (imp_hose_control){.side = rig->sensor_side == 0.0 ? IMP_ISO : IMP_RESIN,
                                    .position = fmin(imp_rig_known_or(rig->sensor_position, end), end),
                                    .set_temperature = rig->hose_temperature};
    m->least_rating =
        imp_rig_least(imp_rig_least(rig->hose_rated_pressure, whip ? rig->whip_rated_pressure : (double)NAN),
                      rig->gun_rated_pressure);
}

static void split_flow(imp_rig_model *m)
{
    const imp_rig_side *iso = &m->rig->side[IMP_ISO], *resin = &m->rig->side[IMP_RESIN];
    const double pumps =
        iso->displacement * iso->volumetric_efficiency / (resin->displacement * resin->volumetric_efficiency);
    m->volume_ratio = imp_rig_known_or(pumps, m->rig->volume_ratio);
    m->flow_share[IMP_ISO] = m->volume_ratio / (1.0 + m->volume_ratio);
    m->flow_share[IMP_RESIN] = 1.0 / (1.0 + m->volume_ratio);
}

static imp_status prepare_side(imp_rig_model *m, int side, imp_error *error)
{
    char place[64];
    m->fluid[side] = m->rig->side[side].fluid;
    imp_status status = imp_fluid_fit(&m->fluid[side], error);
    if (status != IMP_OK && error != NULL && strncmp(error->place, "points", 6) == 0) { /* the name in a material's file */
        memmove(error->place, error->place + 6, strlen(error->place + 6) + 1);
        imp_error_prefix(error, "viscosity", "");
    }
    if (status == IMP_OK)
        status = imp_fluid_density_at(&m->fluid[side], m->drum_temperature, &m->drum_density[side], error);
    if (status != IMP_OK) {
        snprintf(place, sizeof place, "material.%s", imp_rig_side_names[side]);
        imp_error_prefix(error, place, ".");
        return status;
    }
    status = imp_rig_heater_power(m->rig, side, &m->heater_power[side], error);
    snprintf(place, sizeof place, "rig.heaters.%s", imp_rig_side_names[side]);
    if (status != IMP_OK)
        imp_error_prefix(error, place, ".");
    return status;
}

imp_status imp_rig_prepare(imp_rig_model *m, const imp_rig *rig, imp_error *error)
{
    double loss = 0.0;
    memset(m, 0, sizeof *m);
    m->rig = rig;
    m->drum_temperature = imp_rig_known_or(rig->drum_temperature, rig->ambient_temperature);
    if (rig->sections + 1.0 > IMP_HOSE_MOST_SECTIONS)
        return imp_fail(error, IMP_LIMIT, "hoses.sections", "%.6g sections; at most %d can be marched", rig->sections,
                        IMP_HOSE_MOST_SECTIONS - 1);
    imp_status status = prepare_side(m, IMP_ISO, error);
    if (status == IMP_OK)
        status = prepare_side(m, IMP_RESIN, error);
    if (status == IMP_OK)
        status = imp_rig_loss_coefficient(rig, &loss, error);
    if (status == IMP_OK)
        status = imp_rig_hose_circuit(rig, &m->circuit, error);
    if (status == IMP_OK)
        status = imp_climate_pressure_at_altitude(rig->altitude, &m->ambient_pressure, error);
    if (status != IMP_OK)
        return status;
    split_flow(m);
    lay_hoses(m, loss);
    return IMP_OK;
}

/* ---- one flow ---- */

static void heat_side(const imp_rig_model *m, int side, imp_rig_side_result *s)
{
    const imp_rig_side *in = &m->rig->side[side];
    const double capacity =
        s->mass_flow * m->fluid[side].heat_capacity / in->heater_efficiency; /* W drawn for a kelvin */
    const double wanted = fmax(0.0, in->set_temperature - m->drum_temperature) * capacity;
    const double most = m->heater_power[side];
    s->heater_power = wanted > most ? most : wanted; /* no limit known: most is not-a-number */
    s->heater_margin = most - wanted;
    s->heater_temperature = m->drum_temperature + s->heater_power / capacity;
}

/* The coefficient that its own Reynolds number gives: law(Re_Q/Cd) - Cd falls as Cd rises. */
typedef struct coefficient_search {
    double flow_reynolds, length_ratio;
    bool outside;
} coefficient_search;

static double coefficient_excess(double coefficient, void *context)
{
    coefficient_search *c = context;
    const double low = 10.0 * (1.0 + 1e-9), high = 2e4 * (1.0 - 1e-9); /* where the law was measured */
    const double reynolds = c->flow_reynolds / coefficient;
    double law = (double)NAN;
    c->outside = reynolds < low || reynolds > high;
    imp_gun_discharge_coefficient(fmin(fmax(reynolds, low), high), c->length_ratio, &law, NULL);
    return law - coefficient;
}

static imp_status orifice_coefficient(const imp_rig_model *m, double flow_reynolds, double *coefficient, bool *outside,
                                      imp_error *error)
{
    coefficient_search search = {.flow_reynolds = flow_reynolds, .length_ratio = m->rig->orifice_length_ratio};
    *coefficient = m->rig->discharge_coefficient;
    if (!isnan(*coefficient))
        return IMP_OK;
    double unused;
    imp_status status =
        imp_gun_discharge_coefficient(1000.0, search.length_ratio, &unused, error); /* is the ratio fit? */
    if (status == IMP_OK)
        status = imp_solve_bracketed(coefficient_excess, &search, 1e-4, 1.0, 1e-14, coefficient, error);
    if (status != IMP_OK) {
        imp_error_prefix(error, "rig.gun.orifice", ": ");
        return status;
    }
    coefficient_excess(*coefficient, &search);
    *outside = *outside || search.outside;
    return IMP_OK;
}

static imp_status shoot(const imp_rig_model *m, int side, imp_rig_side_result *s, bool *outside, imp_error *error)
{
    const imp_rig_side *in = &m->rig->side[side];
    s->gun_viscosity = s->run.outlet_viscosity;
    s->gun_density = s->run.outlet_density;
    s->gun_temperature = s->run.outlet_temperature;
    const double flow = s->mass_flow / s->gun_density / in->orifice_count;
    const double reynolds = 4.0 * s->gun_density * flow / (pi * in->orifice * s->gun_viscosity);
    imp_status status = orifice_coefficient(m, reynolds, &s->discharge_coefficient, outside, error);
    if (status == IMP_OK)
        status = imp_gun_orifice_pressure(in->orifice, flow, s->gun_density, s->discharge_coefficient, &s->gun_pressure,
                                          error);
    if (status == IMP_OK)
        s->pump_pressure = s->gun_pressure + s->run.pressure_drop;
    return status;
}

static double share_of(double value, double limit)
{
    return isnan(value) || isnan(limit) ? (double)NAN : value / limit;
}

static double gauge_of(const imp_rig_model *m, const double pressure[IMP_SIDES])
{
    const double iso = m->rig->side[IMP_ISO].pump_area, resin = m->rig->side[IMP_RESIN].pump_area;
    if (m->rig->gauge == IMP_RIG_MEAN_GAUGE)
        return (pressure[IMP_ISO] * iso + pressure[IMP_RESIN] * resin) / (iso + resin);
    return fmax(pressure[IMP_ISO], pressure[IMP_RESIN]);
}

void imp_rig_load_drive(const imp_rig_model *m, imp_rig_trial *t)
{
    const imp_rig *rig = m->rig;
    double pressure[IMP_SIDES], force = 0.0, power = 0.0, speed = (double)NAN;
    for (int side = 0; side < IMP_SIDES; side++) {
        const imp_rig_side *in = &rig->side[side];
        const double own = t->side[side].flow / (in->volumetric_efficiency * in->pump_area);
        pressure[side] = t->side[side].pump_pressure;
        force += pressure[side] * in->pump_area;
        power += pressure[side] * t->side[side].flow;
        speed = isnan(speed) || own > speed ? own : speed;
    }
    t->set_gauge = gauge_of(m, pressure);
    t->drive_pressure = force / rig->drive_area;
    t->motor_power = power / rig->drive_efficiency;
    t->oil_flow = speed * rig->drive_area;
    t->used[IMP_RIG_SET_PRESSURE] = t->set_gauge / rig->set_pressure;
    t->used[IMP_RIG_DRIVE_PRESSURE] = share_of(t->drive_pressure, rig->drive_pressure_limit);
    t->used[IMP_RIG_MOTOR_POWER] = share_of(t->motor_power, rig->motor_power);
    t->used[IMP_RIG_OIL_FLOW] = share_of(t->oil_flow, rig->oil_flow);
    t->used[IMP_RIG_FLUID_PRESSURE] = share_of(fmax(pressure[IMP_ISO], pressure[IMP_RESIN]), rig->fluid_pressure_limit);
}

imp_status imp_rig_try_flow(const imp_rig_model *m, double flow, imp_hose_trace *traces,
                            const double inlet_pressure[IMP_SIDES], imp_rig_trial *t, imp_error *error)
{
    imp_hose_pair pair = {.mutual_conductance = imp_rig_known_or(m->rig->mutual_conductance, 0.0),
                          .control = m->controlled ? &m->control : NULL};
    memset(t, 0, sizeof *t);
    t->flow = flow;
    for (int side = 0; side < IMP_SIDES; side++) {
        imp_rig_side_result *s = &t->side[side];
        s->flow = flow * m->flow_share[side];
        s->mass_flow = m->drum_density[side] * s->flow;
        heat_side(m, side, s);
        double density = m->drum_density[side];
        const imp_status status = imp_fluid_density_at(&m->fluid[side], s->heater_temperature, &density, error);
        if (status != IMP_OK)
            return status;
        pair.run[side] = (imp_hose_run){.fluid = &m->fluid[side],
                                        .sections = m->sections[side],
                                        .section_count = m->section_count,
                                        .flow = s->mass_flow / density,
                                        .inlet_temperature = s->heater_temperature,
                                        .inlet_pressure = inlet_pressure != NULL ? inlet_pressure[side] : 0.0,
                                        .ambient_temperature = m->rig->ambient_temperature};
    }
    imp_status status = imp_hose_pair_march_checked(&pair, traces == NULL, traces, &t->hoses, error);
    for (int side = 0; status == IMP_OK && side < IMP_SIDES; side++) {
        t->side[side].run = t->hoses.run[side];
        status = shoot(m, side, &t->side[side], &t->outside_orifice_range, error);
    }
    if (status == IMP_OK)
        imp_rig_load_drive(m, t);
    return status;
}

imp_rig_limit imp_rig_most_used(const double used[IMP_RIG_LIMITS])
{
    int most = IMP_RIG_SET_PRESSURE;
    for (int i = 0; i < IMP_RIG_LIMITS; i++)
        if (used[i] > used[most])
            most = i;
    return (imp_rig_limit)most;
}
