/* The operating point: the largest flow that satisfies every limit, and what is told of it. Equations: rig.h. */
#include "rig.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "gun.h"
#include "heat.h"
#include "hose.h"
#include "pump.h"
#include "rig_model.h"
#include "solve.h"

static const double pi = 3.14159265358979323846;

/* ---- the largest flow ---- */

static const char *const limit_names[IMP_RIG_LIMITS] = {"the set pressure", "the drive's pressure limit",
                                                        "the motor's power", "the drive's oil flow",
                                                        "the rig's fluid pressure limit"};

/* Before anything flows each pump holds up its column of liquid. Where that alone is too much, nothing satisfies. */
static imp_status refuse_column(const imp_rig_model *m, imp_error *error)
{
    const imp_rig *rig = m->rig;
    imp_rig_trial t = {.flow = 0.0};
    for (int side = 0; side < IMP_SIDES; side++) {
        double density = m->drum_density[side];
        imp_fluid_density_at(&m->fluid[side], rig->ambient_temperature, &density, NULL);
        t.side[side].pump_pressure = density * RIG_GRAVITY * rig->rise;
    }
    imp_rig_load_drive(m, &t);
    const imp_rig_limit limit = imp_rig_most_used(t.used);
    if (!(t.used[limit] >= 1.0))
        return IMP_OK;
    const double needed = t.set_gauge, allowed = t.set_gauge / t.used[limit];
    return imp_fail(
        error, IMP_NO_SOLUTION, "hoses.rise",
        "the liquid in a hose that rises %.4g m needs %.4g bar at the pump before anything flows, %.4g bar more "
        "than %s allows",
        rig->rise, needed / 1e5, (needed - allowed) / 1e5, limit_names[limit]);
}

/* No flow can be larger: even loss-free orifices take more than the set pressure there. */
static double highest_flow(const imp_rig_model *m)
{
    const imp_rig *rig = m->rig;
    double highest = (double)NAN;
    for (int side = 0; side < IMP_SIDES; side++) {
        const imp_rig_side *in = &rig->side[side];
        const double density = m->drum_density[side];
        const double both = rig->side[IMP_ISO].pump_area + rig->side[IMP_RESIN].pump_area;
        const double gauge =
            rig->gauge == IMP_RIG_MEAN_GAUGE ? rig->set_pressure * both / in->pump_area : rig->set_pressure;
        const double driving = gauge + density * RIG_GRAVITY * fmax(0.0, -rig->rise);
        const double area = in->orifice_count * pi * in->orifice * in->orifice / 4.0;
        const double margin = 1.1; /* the hot liquid is lighter than that in the drum */
        highest = imp_rig_least(highest, margin * area * sqrt(2.0 * driving / density) / m->flow_share[side]);
    }
    return highest;
}

typedef struct flow_search {
    const imp_rig_model *m;
    double low, high, at_low, at_high; /* the ends and their values, known before the search */
    imp_rig_trial last;
    imp_rig_limit last_limit; /* this and the next three: of the last flow that could be marched; 0 flow: none */
    double last_flow, last_used, last_gauge;
    imp_status status; /* of the last trial */
    imp_error error;
    int trials;
} flow_search;

/* Nearly linear in the flow, for orifices take its square: the root of the share of the limit that is used most,
 * less 1. A flow that cannot be marched (so cold that the viscosity's fit ends) asks for more than any limit. */
static double excess(flow_search *s, double flow)
{
    s->trials++;
    s->status = imp_rig_try_flow(s->m, flow, NULL, NULL, &s->last, &s->error);
    if (s->status != IMP_OK)
        return 1.0;
    const double used = s->last.used[imp_rig_most_used(s->last.used)];
    s->last_flow = flow;
    s->last_limit = imp_rig_most_used(s->last.used);
    s->last_used = used;
    s->last_gauge = s->last.set_gauge;
    return (used >= 0.0 ? sqrt(used) : -sqrt(-used)) - 1.0;
}

static double excess_between(double flow, void *context)
{
    flow_search *s = context;
    return flow == s->low ? s->at_low : flow == s->high ? s->at_high : excess(s, flow);
}

/* Of the smallest flow that was tried. Flows too small to be marched say nothing new. */
static imp_status refuse_flow(const flow_search *s, imp_error *error)
{
    const bool only_small = s->status == IMP_NO_SOLUTION && s->last_flow > 0.0;
    if (s->status != IMP_OK && !only_small) {
        if (error != NULL)
            *error = s->error;
        return s->status;
    }
    return imp_fail(error, IMP_NO_SOLUTION, NULL,
                    "even %.3g L/min needs %.4g bar at the pump, %.4g times what %s allows; the liquid is too thick or "
                    "the hose too "
                    "long",
                    s->last_flow * 6e4, s->last_gauge / 1e5, s->last_used, limit_names[s->last_limit]);
}

static imp_status find_flow(const imp_rig_model *m, double *flow, int *trials, imp_error *error)
{
    const double step = 0.75, smallest = 1e-4;
    flow_search s = {.m = m, .high = highest_flow(m), .at_high = 1.0};
    const double top = s.high;
    for (;;) {
        s.low = step * s.high;
        s.at_low = excess(&s, s.low);
        if (s.status == IMP_OK && s.at_low <= 0.0)
            break;
        s.high = s.low;
        s.at_high = s.at_low;
        if (s.high < smallest * top)
            return refuse_flow(&s, error);
    }
    const imp_status status = imp_solve_bracketed(excess_between, &s, s.low, s.high, 1e-12 * top, flow, error);
    *trials = s.trials;
    return status;
}

/* An edge at which no limit is used up is where a larger flow cannot be marched at all. */
static imp_status refuse_jump(const imp_rig_trial *t, imp_error *error)
{
    const imp_rig_limit limit = imp_rig_most_used(t->used);
    if (fabs(t->used[limit] - 1.0) < 1e-6)
        return IMP_OK;
    return imp_fail(
        error, IMP_NO_SOLUTION, NULL,
        "near %.4g L/min the liquid changes from flowing well to being too cold or too hot for its data; no flow holds "
        "%s there",
        t->flow * 6e4, limit_names[limit]);
}

/* ---- results ---- */

static imp_status inlet(const imp_rig_model *m, int side, imp_rig_side_result *s, imp_error *error)
{
    const imp_rig_side *in = &m->rig->side[side];
    const double supply = in->transfer_ratio * imp_rig_known_or(m->rig->transfer_air, in->transfer_air);
    const double density = m->drum_density[side];
    double viscosity;
    s->inlet_pressure = s->inlet_margin = (double)NAN;
    if (isnan(supply) || isnan(in->line_bore) || isnan(in->line_length))
        return IMP_OK;
    imp_status status = imp_fluid_viscosity(&m->fluid[side], m->drum_temperature, &viscosity, NULL, error);
    if (status != IMP_OK)
        return status;
    const imp_hose_line line = {.bore = in->line_bore, .length = in->line_length};
    imp_hose_drop drop;
    status = imp_hose_pressure_drop(&line, s->flow, density, viscosity, &drop, error);
    if (status != IMP_OK)
        return status;
    s->inlet_pressure = supply - drop.pressure_drop - density * RIG_GRAVITY * in->line_rise;
    if (isnan(in->vapour_pressure))
        return IMP_OK;
    const imp_pump_inlet pump = {.supply_absolute_pressure = m->ambient_pressure + supply,
                                 .line_drop = drop.pressure_drop,
                                 .vapour_pressure = in->vapour_pressure,
                                 .rise = in->line_rise,
                                 .density = density};
    return imp_pump_inlet_margin(&pump, &s->inlet_margin, error);
}

static imp_status inlets(const imp_rig_model *m, imp_rig_trial *t, imp_error *error)
{
    for (int side = 0; side < IMP_SIDES; side++) {
        const imp_status status = inlet(m, side, &t->side[side], error);
        char place[64];
        snprintf(place, sizeof place, "rig.transfer_pumps.%s", imp_rig_side_names[side]);
        if (status != IMP_OK) {
            imp_error_prefix(error, place, ": ");
            return status;
        }
    }
    return IMP_OK;
}

static void pressures_along(const imp_rig_model *m, int side, const imp_hose_trace *trace, imp_rig_trial *t)
{
    const imp_rig *rig = m->rig;
    imp_rig_side_result *s = &t->side[side];
    const double below = fmax(0.0, -rig->rise);
    const double still = rig->set_pressure + m->drum_density[side] * RIG_GRAVITY * below;
    s->run = t->hoses.run[side];
    s->hose_end_pressure = s->pump_pressure;
    for (size_t i = 0; i < m->hose_count; i++)
        s->hose_end_pressure -= trace->drops[i];
    s->hose_end_temperature = trace->temperatures[m->hose_count - 1];
    s->highest_pressure = fmax(still, s->run.highest_pressure);
    s->rating_margin = m->least_rating - s->highest_pressure;
    s->residence_time = s->run.residence_time;
}

static imp_status mix(const imp_rig_model *m, const imp_rig_trial *t, imp_rig_result *r, imp_error *error)
{
    imp_gun_side jet[IMP_SIDES];
    imp_heat_stream stream[IMP_SIDES];
    for (int side = 0; side < IMP_SIDES; side++) {
        const imp_rig_side_result *s = &t->side[side];
        const double flow = s->mass_flow / s->gun_density;
        jet[side] = (imp_gun_side){.flow = flow,
                                   .density = s->gun_density,
                                   .viscosity = s->gun_viscosity,
                                   .diameter = m->rig->side[side].orifice,
                                   .count = (int)m->rig->side[side].orifice_count};
        stream[side] = (imp_heat_stream){.flow = flow,
                                         .density = s->gun_density,
                                         .heat_capacity = m->fluid[side].heat_capacity,
                                         .temperature = s->gun_temperature};
    }
    imp_status status =
        imp_gun_impingement(&jet[IMP_ISO], &jet[IMP_RESIN], &r->momentum_ratio, &r->side[IMP_ISO].impingement_reynolds,
                            &r->side[IMP_RESIN].impingement_reynolds, error);
    if (status == IMP_OK)
        status = imp_heat_mixed_temperature(&stream[IMP_ISO], &stream[IMP_RESIN], &r->mixed_temperature, error);
    if (status != IMP_OK)
        imp_error_prefix(error, "rig.gun", ".");
    return status;
}

static imp_status gather(const imp_rig_model *m, const imp_rig_trial *t, imp_rig_result *r, imp_error *error)
{
    const imp_rig_side *iso = &m->rig->side[IMP_ISO];
    const double pressure[IMP_SIDES] = {t->side[IMP_ISO].gun_pressure, t->side[IMP_RESIN].gun_pressure};
    memset(r, 0, sizeof *r);
    memcpy(r->side, t->side, sizeof r->side);
    memcpy(r->used, t->used, sizeof r->used);
    r->flow = t->flow;
    r->volume_ratio = m->volume_ratio;
    r->cycle_rate = t->side[IMP_ISO].flow / (iso->displacement * iso->volumetric_efficiency);
    r->set_gauge = t->set_gauge;
    r->imbalance = fabs(pressure[IMP_ISO] - pressure[IMP_RESIN]) / fmax(pressure[IMP_ISO], pressure[IMP_RESIN]);
    r->drive_pressure = t->drive_pressure;
    r->motor_power = t->motor_power;
    r->oil_flow = t->oil_flow;
    r->governs = imp_rig_most_used(t->used);
    r->hose_share = t->hoses.share;
    r->hose_heat_most = m->circuit.per_length;
    r->hose_heat = t->hoses.share * m->circuit.per_length;
    r->hose_power = t->hoses.run[IMP_ISO].heating + t->hoses.run[IMP_RESIN].heating;
    r->sensor_temperature = t->hoses.sensor_temperature;
    r->heat = t->hoses.run[IMP_ISO].heating + t->hoses.run[IMP_RESIN].heating > 0.0 || m->controlled
                  ? t->hoses.heat
                  : IMP_HOSE_HEAT_OFF;
    r->extrapolated = t->side[IMP_ISO].run.extrapolated || t->side[IMP_RESIN].run.extrapolated;
    r->outside_orifice_range = t->outside_orifice_range;
    return mix(m, t, r, error);
}

imp_status imp_rig_solve(const imp_rig *rig, imp_hose_trace *traces, imp_rig_result *result, imp_error *error)
{
    imp_rig_model m;
    imp_rig_trial t;
    imp_rig_result found;
    double flow = 0.0, drops[IMP_SIDES][IMP_HOSE_MOST_SECTIONS], temperatures[IMP_SIDES][IMP_HOSE_MOST_SECTIONS];
    imp_hose_trace own[IMP_SIDES];
    int trials = 0;
    imp_status status = imp_rig_prepare(&m, rig, error);
    if (status == IMP_OK)
        status = refuse_column(&m, error);
    if (status == IMP_OK)
        status = find_flow(&m, &flow, &trials, error);
    if (status == IMP_OK)
        status = imp_rig_try_flow(&m, flow, NULL, NULL, &t, error);
    if (status == IMP_OK)
        status = refuse_jump(&t, error);
    if (status != IMP_OK)
        return status;
    const double inlet_pressure[IMP_SIDES] = {t.side[IMP_ISO].pump_pressure, t.side[IMP_RESIN].pump_pressure};
    for (int side = 0; side < IMP_SIDES; side++) {
        own[side] = traces != NULL ? traces[side] : (imp_hose_trace){.points = NULL};
        own[side].drops = drops[side];
        own[side].temperatures = temperatures[side];
    }
    status = imp_rig_try_flow(&m, flow, own, inlet_pressure, &t, error);
    for (int side = 0; status == IMP_OK && side < IMP_SIDES; side++)
        pressures_along(&m, side, &own[side], &t);
    if (status == IMP_OK)
        status = inlets(&m, &t, error);
    if (status == IMP_OK)
        status = gather(&m, &t, &found, error);
    if (status != IMP_OK)
        return status;
    found.trials = trials;
    for (int side = 0; traces != NULL && side < IMP_SIDES; side++) {
        traces[side].count = own[side].count;
        if (traces[side].drops != NULL)
            memcpy(traces[side].drops, drops[side], m.section_count * sizeof(double));
        if (traces[side].temperatures != NULL)
            memcpy(traces[side].temperatures, temperatures[side], m.section_count * sizeof(double));
    }
    *result = found;
    return IMP_OK;
}

imp_status imp_rig_operating_point(const imp_rig *rig, imp_hose_trace *traces, imp_rig_result *result, imp_error *error)
{
    const imp_status status = imp_rig_check(rig, error);
    return status == IMP_OK ? imp_rig_solve(rig, traces, result, error) : status;
}
