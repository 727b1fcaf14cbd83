/* Questions about a rig: how far can one thing go before what the job needs is no longer met. */
#include <math.h>
#include <stdio.h>

#include "rig_model.h"
#include "solve.h"

/* How well a rig meets the need: above 0 where it does, with the need that is met least. */
typedef struct fit {
    double margin;
    imp_rig_shortfall least;
    imp_rig_result result;
    double hose_loss;  /* W/m that the hose loses standing still at its set temperature */
    imp_status status; /* of the operating point */
    imp_error error;
} fit;

static const double temperature_scale = 50.0; /* K that weigh as much as the whole of a pressure or flow */
static const double no_point = -1.0;          /* margin of a rig without operating point */

static void weigh(fit *f, double margin, imp_rig_shortfall which)
{
    if (margin < f->margin) {
        f->margin = margin;
        f->least = which;
    }
}

/* A hose without heat, or without a temperature set for it, has nothing to hold. */
static imp_status weigh_hose_heat(const imp_rig *rig, fit *f)
{
    double coefficient = 0.0;
    const imp_status status = imp_rig_loss_coefficient(rig, &coefficient, &f->error);
    const double most = f->result.hose_heat_most;
    if (status != IMP_OK || isnan(rig->hose_temperature) || !(most > 0.0))
        return status;
    f->hose_loss = coefficient * (rig->hose_temperature - rig->ambient_temperature);
    if (f->hose_loss > 0.0)
        weigh(f, most / f->hose_loss - 1.0, IMP_RIG_HOSE_HEAT);
    return IMP_OK;
}

static void judge(const imp_rig *rig, const imp_rig_need *need, fit *f)
{
    *f = (fit){.margin = (double)INFINITY, .least = IMP_RIG_NOTHING};
    f->status = imp_rig_solve(rig, NULL, &f->result, &f->error);
    if (f->status == IMP_OK && need->hose_heat)
        f->status = weigh_hose_heat(rig, f);
    if (f->status != IMP_OK) {
        f->margin = no_point;
        f->least = IMP_RIG_NO_FLOW;
        return;
    }
    const imp_rig_side_result *iso = &f->result.side[IMP_ISO], *resin = &f->result.side[IMP_RESIN];
    if (!isnan(need->gun_pressure))
        weigh(f, fmin(iso->gun_pressure, resin->gun_pressure) / need->gun_pressure - 1.0, IMP_RIG_GUN_PRESSURE);
    if (!isnan(need->flow))
        weigh(f, f->result.flow / need->flow - 1.0, IMP_RIG_FLOW);
    if (!isnan(need->gun_temperature))
        weigh(f, (fmin(iso->gun_temperature, resin->gun_temperature) - need->gun_temperature) / temperature_scale,
              IMP_RIG_GUN_TEMPERATURE);
}

static imp_status refuse_need(const fit *f, const imp_rig_need *need, const char *where, imp_error *error)
{
    const imp_rig_side_result *iso = &f->result.side[IMP_ISO], *resin = &f->result.side[IMP_RESIN];
    const double pressure = fmin(iso->gun_pressure, resin->gun_pressure) / 1e5;
    const double temperature = fmin(iso->gun_temperature, resin->gun_temperature) - 273.15;
    switch (f->least) {
    case IMP_RIG_GUN_PRESSURE:
        return imp_fail(error, IMP_NO_SOLUTION, NULL, "%s %.4g bar reaches the gun, %.3g bar less than needed", where,
                        pressure, need->gun_pressure / 1e5 - pressure);
    case IMP_RIG_FLOW:
        return imp_fail(error, IMP_NO_SOLUTION, NULL, "%s the flow is %.4g L/min, %.3g L/min less than needed", where,
                        f->result.flow * 6e4, (need->flow - f->result.flow) * 6e4);
    case IMP_RIG_GUN_TEMPERATURE:
        return imp_fail(error, IMP_NO_SOLUTION, NULL,
                        "%s the liquid reaches the gun at %.3g degC, %.3g K colder than needed", where, temperature,
                        need->gun_temperature - 273.15 - temperature);
    case IMP_RIG_HOSE_HEAT:
        return imp_fail(error, IMP_NO_SOLUTION, "rig.hose",
                        "%s the hose heat gives %.4g W/m, %.3g W/m less than the hose loses at its set temperature",
                        where, f->result.hose_heat_most, f->hose_loss - f->result.hose_heat_most);
    default:
        return imp_fail(error, f->status, f->error.place, "%s %s", where, f->error.message);
    }
}

static imp_status check_need(const imp_rig_need *need, imp_error *error)
{
    if (isnan(need->gun_pressure) && isnan(need->flow) && isnan(need->gun_temperature))
        return imp_fail(error, IMP_MISSING, NULL,
                        "missing what must be met: a least pressure or temperature at the gun, or a least flow");
    if (need->gun_pressure <= 0.0 || need->flow <= 0.0)
        return imp_fail(error, IMP_RANGE, NULL, "a least pressure or flow must be above 0");
    return IMP_OK;
}

imp_status imp_rig_most_sections(const imp_rig *rig, const imp_rig_need *need, int *sections, imp_rig_shortfall *limit,
                                 imp_rig_result *result, imp_error *error)
{
    imp_status status = imp_rig_check(rig, error);
    if (status == IMP_OK)
        status = check_need(need, error);
    if (status != IMP_OK)
        return status;
    const double rated = imp_rig_known_or(rig->most_sections, IMP_HOSE_MOST_SECTIONS - 2.0);
    const int most = (int)fmin(rated, IMP_HOSE_MOST_SECTIONS - 2.0);
    imp_rig with = *rig;
    imp_rig_need with_hose = *need;
    with_hose.hose_heat = true;
    fit last, next;
    int count = 0;
    do {
        with.sections = count + 1;
        judge(&with, &with_hose, &next);
        if (next.margin < 0.0)
            break;
        last = next;
        count++;
    } while (count < most);
    if (count == 0)
        return refuse_need(&next, &with_hose, "with one section", error);
    *sections = count;
    *limit = next.margin < 0.0 ? next.least : IMP_RIG_RANGE_END;
    *result = last.result;
    return IMP_OK;
}

/* ---- a continuous lever ---- */

typedef struct lever {
    const imp_rig *rig;
    const imp_rig_need *need;
    void (*move)(imp_rig *rig, double x);
    fit last;
} lever;

static double margin_at(double x, void *context)
{
    lever *l = context;
    imp_rig moved = *l->rig;
    l->move(&moved, x);
    judge(&moved, l->need, &l->last);
    return l->last.margin;
}

/* From `good` towards `bad` in equal steps to the first place where the need is not met, then close in on the edge.
 * Nothing is passed over but what comes and goes between two steps. */
static imp_status find_edge(lever *l, double good, double bad, double *edge, imp_rig_shortfall *limit,
                            imp_rig_result *result, const char *where, imp_error *error)
{
    enum { STEPS = 24 };
    if (margin_at(good, l) < 0.0)
        return refuse_need(&l->last, l->need, where, error);
    *result = l->last.result;
    *edge = good;
    *limit = IMP_RIG_RANGE_END;
    for (int i = 1; i <= STEPS; i++) {
        const double x = good + (bad - good) * i / STEPS, before = *edge;
        if (margin_at(x, l) >= 0.0) {
            *edge = x;
            *result = l->last.result;
            continue;
        }
        *limit = l->last.least;
        double met = before, missed = x;
        for (int halving = 0; halving < 40 && fabs(missed - met) > 1e-9 * fabs(bad - good); halving++) {
            const double middle = 0.5 * (met + missed);
            const bool meets = margin_at(middle, l) >= 0.0;
            met = meets ? middle : met;
            missed = meets ? missed : middle;
            if (meets)
                *result = l->last.result;
            else
                *limit = l->last.least;
        }
        *edge = met;
        return IMP_OK;
    }
    return IMP_OK;
}

static void scale_orifices(imp_rig *rig, double log_factor)
{
    rig->side[IMP_ISO].orifice *= exp(log_factor);
    rig->side[IMP_RESIN].orifice *= exp(log_factor);
}

imp_status imp_rig_largest_orifice(const imp_rig *rig, const imp_rig_need *need, double *factor,
                                   imp_rig_shortfall *limit, imp_rig_result *result, imp_error *error)
{
    imp_status status = imp_rig_check(rig, error);
    if (status == IMP_OK)
        status = check_need(need, error);
    if (status == IMP_OK && !isnan(need->flow))
        status = imp_fail(error, IMP_NOT_APPLICABLE, NULL,
                          "a wider orifice only adds flow; ask for a least pressure or temperature");
    if (status != IMP_OK)
        return status;
    double widest = 5.0; /* and never as wide as the hose before it */
    for (int side = 0; side < IMP_SIDES; side++) {
        const imp_rig_side *s = &rig->side[side];
        widest = fmin(widest, 0.99 * imp_rig_least(s->hose_bore, s->whip_bore) / s->orifice);
    }
    lever l = {.rig = rig, .need = need, .move = scale_orifices};
    double edge = 0.0;
    imp_rig_shortfall which = IMP_RIG_NOTHING;
    imp_rig_result found;
    /* narrow orifices are not always better: the little flow may cool on its way */
    const double from = margin_at(0.0, &l) >= 0.0 ? 0.0 : log(0.2);
    status = find_edge(&l, from, log(widest), &edge, &which, &found, "even through orifices a fifth as wide", error);
    if (status != IMP_OK)
        return status;
    *factor = exp(edge);
    *limit = which;
    *result = found;
    return IMP_OK;
}

static void set_ambient(imp_rig *rig, double temperature)
{
    rig->ambient_temperature = temperature;
}

imp_status imp_rig_lowest_ambient(const imp_rig *rig, const imp_rig_need *need, double *ambient,
                                  imp_rig_shortfall *limit, imp_rig_result *result, imp_error *error)
{
    imp_status status = imp_rig_check(rig, error);
    if (status == IMP_OK)
        status = check_need(need, error);
    if (status != IMP_OK)
        return status;
    const double warm = IMP_CELSIUS(40.0), cold = IMP_CELSIUS(-60.0);
    imp_rig_need with_hose = *need;
    with_hose.hose_heat = true;
    lever l = {.rig = rig, .need = &with_hose, .move = set_ambient};
    double edge = warm;
    imp_rig_shortfall which = IMP_RIG_NOTHING;
    imp_rig_result found;
    status = find_edge(&l, warm, cold, &edge, &which, &found, "even in air of 40 degC", error);
    if (status != IMP_OK)
        return status;
    *ambient = edge;
    *limit = which;
    *result = found;
    return IMP_OK;
}

/* ---- balance ---- */

typedef struct balance {
    const imp_rig *rig;
    imp_side side;
    imp_rig_place place;
    imp_rig_result result;
    imp_status status;
    imp_error error;
} balance;

static double difference_at(double temperature, void *context)
{
    balance *b = context;
    imp_rig moved = *b->rig;
    moved.side[b->side].set_temperature = temperature;
    if ((b->rig->sensor_side == 0.0 ? IMP_ISO : IMP_RESIN) == b->side && !isnan(moved.hose_temperature))
        moved.hose_temperature = temperature;
    b->status = imp_rig_solve(&moved, NULL, &b->result, &b->error);
    if (b->status != IMP_OK)
        return (double)NAN;
    const imp_rig_side_result *iso = &b->result.side[IMP_ISO], *resin = &b->result.side[IMP_RESIN];
    if (b->place == IMP_RIG_AT_PUMP)
        return iso->pump_pressure / resin->pump_pressure - 1.0;
    return iso->gun_pressure / resin->gun_pressure - 1.0;
}

imp_status imp_rig_balancing_temperature(const imp_rig *rig, imp_side side, imp_rig_place place, double *temperature,
                                         imp_rig_result *result, imp_error *error)
{
    enum { STEPS = 24 };
    imp_status status = imp_rig_check(rig, error);
    if (status != IMP_OK)
        return status;
    balance b = {.rig = rig, .side = side, .place = place};
    const double low = imp_rig_known_or(rig->drum_temperature, rig->ambient_temperature), high = IMP_CELSIUS(120.0);
    double before = (double)NAN, at = low, nearest = low, least = (double)INFINITY, root = (double)NAN;
    for (int i = 0; i <= STEPS && isnan(root); i++) {
        const double x = low + (high - low) * i / STEPS, value = difference_at(x, &b);
        if (fabs(value) < least) {
            least = fabs(value);
            nearest = x;
        }
        if ((before < 0.0 && value >= 0.0) || (before > 0.0 && value <= 0.0))
            status = imp_solve_bracketed(difference_at, &b, at, x, 1e-9, &root, error);
        before = value;
        at = x;
    }
    if (!isnan(root) && status == IMP_OK) {
        difference_at(root, &b);
        *temperature = root;
        *result = b.result;
        return IMP_OK;
    }
    if (!isfinite(least))
        return imp_fail(error, b.status, b.error.place, "%s", b.error.message);
    return imp_fail(
        error, IMP_NO_SOLUTION, NULL,
        "no %s temperature from %.3g degC to 120 degC makes the pressures at the %s equal; at %.3g degC they differ "
        "least, by %.3g %%%s",
        imp_rig_side_names[side], low - 273.15, place == IMP_RIG_AT_GUN ? "gun" : "pumps", nearest - 273.15,
        100.0 * least,
        place == IMP_RIG_AT_GUN && !isnan(rig->discharge_coefficient)
            ? "; with a fixed ratio and discharge coefficient the orifices decide"
            : "");
}
