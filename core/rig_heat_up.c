/* The time to heat a rig up, with the supply's power shared by all that is on.
 * Each load is a lump: C dT/dt = P eta - L (T - Ta). While several are on, each gets the same share of what it wants.
 */
#include <math.h>
#include <string.h>

#include "rig_model.h"

static const double pi = 3.14159265358979323846;

enum { DRUM_ISO, DRUM_RESIN, HEATER_ISO, HEATER_RESIN, HOSE, LOADS };
static const char *const load_names[LOADS] = {"the iso drum", "the resin drum", "the iso heater", "the resin heater",
                                              "the hose"};

typedef struct load {
    double power, efficiency; /* W drawn, share that heats */
    double capacity, loss;    /* J/K, W/K */
    double temperature, target, time;
    bool on;
} load;

static double holding_power(const load *l, double ambient)
{
    return fmin(l->power, fmax(0.0, l->loss * (l->target - ambient)) / l->efficiency);
}

/* Temperature after a time with a share of the power, and the time to a temperature; exact for a lump. */
static double reached(const load *l, double share, double ambient, double time)
{
    const double heat = share * l->power * l->efficiency;
    if (l->loss <= 0.0)
        return l->temperature + heat * time / l->capacity;
    const double end = ambient + heat / l->loss;
    return end + (l->temperature - end) * exp(-l->loss * time / l->capacity);
}

static double time_left(const load *l, double share, double ambient)
{
    const double heat = share * l->power * l->efficiency;
    if (l->loss <= 0.0)
        return heat > 0.0 ? l->capacity * (l->target - l->temperature) / heat : (double)INFINITY;
    const double end = ambient + heat / l->loss;
    if (!(end > l->target))
        return (double)INFINITY;
    return l->capacity / l->loss * log((end - l->temperature) / (end - l->target));
}

static double fluid_capacity(const imp_rig *rig, int side, double volume)
{
    return volume * rig->side[side].fluid.density * rig->side[side].fluid.heat_capacity;
}

static imp_status lay_loads(const imp_rig *rig, double heater_capacity, load loads[LOADS], imp_error *error)
{
    imp_rig_circuit circuit;
    double loss = 0.0;
    imp_status status = imp_rig_hose_circuit(rig, &circuit, error);
    if (status == IMP_OK)
        status = imp_rig_loss_coefficient(rig, &loss, error);
    if (status != IMP_OK)
        return status;
    const double ambient = rig->ambient_temperature, drum = imp_rig_known_or(rig->drum_temperature, ambient);
    const double length = rig->sections * rig->section_length;
    double contents = 0.0;
    memset(loads, 0, LOADS * sizeof *loads);
    for (int side = 0; side < IMP_SIDES; side++) {
        const imp_rig_side *s = &rig->side[side];
        double power;
        status = imp_rig_heater_power(rig, side, &power, error);
        if (status != IMP_OK)
            return status;
        contents += fluid_capacity(rig, side, pi * s->hose_bore * s->hose_bore / 4.0 * length);
        loads[DRUM_ISO + side] = (load){.power = rig->drum_heater_power,
                                        .efficiency = rig->drum_heater_efficiency,
                                        .capacity = fluid_capacity(rig, side, rig->drum_volume),
                                        .loss = rig->drum_loss,
                                        .temperature = drum,
                                        .target = s->drum_least};
        loads[HEATER_ISO + side] = (load){.power = power,
                                          .efficiency = s->heater_efficiency,
                                          .capacity = heater_capacity,
                                          .temperature = ambient,
                                          .target = s->set_temperature};
    }
    loads[HOSE] = (load){.power = circuit.power,
                         .efficiency = 1.0,
                         .capacity = contents + rig->heat_capacity_per_length * length,
                         .loss = loss * length,
                         .temperature = ambient,
                         .target = rig->hose_temperature};
    for (int i = 0; i < LOADS; i++) {
        load *l = &loads[i];
        l->on = l->target > l->temperature && (l->capacity > 0.0 || isnan(l->capacity));
        if (l->on && isnan(l->capacity))
            return imp_fail(error, IMP_MISSING,
                            i == HOSE ? "rig.hose.heat_capacity_per_length" : "material.drum_volume",
                            "missing; %s cannot be timed without it", load_names[i]);
        if (l->on && !(l->power > 0.0))
            return imp_fail(error, IMP_MISSING, NULL,
                            "missing the heating power of %s, which is colder than it must be", load_names[i]);
    }
    return IMP_OK;
}

static double supply_power(const imp_rig *rig)
{
    const double voltage = imp_rig_known_or(rig->measured_voltage, rig->supply_voltage);
    return voltage * rig->breaker * (rig->supply_phases == 3.0 ? sqrt(3.0) : 1.0);
}

/* The same share for all that is on, after what is warm has taken what it loses. */
static double share_now(const load loads[LOADS], double ambient, double available)
{
    double wanted = 0.0, held = 0.0;
    for (int i = 0; i < LOADS; i++) {
        wanted += loads[i].on ? loads[i].power : 0.0;
        held += !loads[i].on && loads[i].time > 0.0 ? holding_power(&loads[i], ambient) : 0.0;
    }
    return isnan(available) ? 1.0 : fmin(1.0, fmax(0.0, available - held) / wanted);
}

static bool any_on(const load loads[LOADS])
{
    for (int i = 0; i < LOADS; i++)
        if (loads[i].on)
            return true;
    return false;
}

static imp_status refuse_reach(const load loads[LOADS], double share, double ambient, imp_error *error)
{
    for (int i = 0; i < LOADS; i++)
        if (loads[i].on && share <= 0.0)
            return imp_fail(error, IMP_NO_SOLUTION, NULL, "nothing of the supply's power is left for %s",
                            load_names[i]);
        else if (loads[i].on)
            return imp_fail(error, IMP_NO_SOLUTION, NULL,
                            "%s only reaches %.3g degC of %.3g degC with %.3g kW of its %.3g kW", load_names[i],
                            ambient + share * loads[i].power * loads[i].efficiency / loads[i].loss - 273.15,
                            loads[i].target - 273.15, share * loads[i].power / 1e3, loads[i].power / 1e3);
    return IMP_OK;
}

/* From one event, a load getting warm, to the next. */
static imp_status run(load loads[LOADS], double ambient, double available, imp_rig_heat_up *r, imp_error *error)
{
    while (any_on(loads)) {
        const double share = share_now(loads, ambient, available);
        double step = (double)INFINITY;
        int first = LOADS;
        for (int i = 0; i < LOADS; i++)
            if (loads[i].on && time_left(&loads[i], share, ambient) < step) {
                step = time_left(&loads[i], share, ambient);
                first = i;
            }
        if (first == LOADS)
            return refuse_reach(loads, share, ambient, error);
        for (int i = 0; i < LOADS; i++) {
            if (loads[i].on) {
                r->energy += share * loads[i].power * step;
                loads[i].temperature = reached(&loads[i], share, ambient, step);
                loads[i].time += step;
            } else if (loads[i].time > 0.0) {
                r->energy += holding_power(&loads[i], ambient) * step;
            }
        }
        loads[first].temperature = loads[first].target;
        loads[first].on = false;
        r->time += step;
    }
    return IMP_OK;
}

imp_status imp_rig_heat_up_time(const imp_rig *rig, double heater_heat_capacity, double available,
                                imp_rig_heat_up *result, imp_error *error)
{
    load loads[LOADS];
    imp_rig_heat_up r = {0};
    imp_status status = imp_rig_check(rig, error);
    if (status == IMP_OK)
        status = lay_loads(rig, imp_rig_known_or(heater_heat_capacity, 0.0), loads, error);
    if (status != IMP_OK)
        return status;
    for (int i = 0; i < LOADS; i++)
        r.power_wanted += loads[i].on ? loads[i].power : 0.0;
    r.power_available = imp_rig_known_or(available, supply_power(rig));
    r.share = any_on(loads) ? share_now(loads, rig->ambient_temperature, r.power_available) : 1.0;
    status = run(loads, rig->ambient_temperature, r.power_available, &r, error);
    if (status != IMP_OK)
        return status;
    r.drum_time = fmax(loads[DRUM_ISO].time, loads[DRUM_RESIN].time);
    r.heater_time = fmax(loads[HEATER_ISO].time, loads[HEATER_RESIN].time);
    r.hose_time = loads[HOSE].time;
    *result = r;
    return IMP_OK;
}
