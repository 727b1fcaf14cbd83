#include "hose_march.h"

#include <math.h>
#include <string.h>

#include "hose.h"

static const double pi = 3.14159265358979323846;
static const double standard_gravity = 9.80665; /* m/s^2, ISO 80000-3 */

enum { MOST_STEPS = 5000, STAGES = 7, QUICK_LEAST_STEPS = 8 };

/* Error allowed in one step. A solver around a march needs it smooth, so this is far below the 0.1 % that a person
 * needs. */
static const double temperature_tolerance = 1e-7; /* K */
static const double pressure_tolerance = 1e-9; /* of the friction that the whole run would have at the step's start */

/* What is carried along one hose; the pressure less that at the inlet, so that a drop keeps its digits. The last three
 * are sums from the inlet, which a quick march leaves out. */
enum { TEMPERATURE, PRESSURE, LOSS, VISCOUS, TIME, STATES, QUICK_STATES = PRESSURE + 1 };

typedef struct state {
    double y[IMP_SIDES][STATES];
    double exchanged; /* W from the first side to the second, summed */
} state;

/* One side of one section, ready for many steps. */
typedef struct piece {
    const imp_fluid *fluid;
    double mass_flow, mass_flux;               /* kg/s, kg/(m^2 s) */
    double bore, relative_roughness, fittings; /* fittings: K/length */
    double slope;                              /* rise over length */
    double heating, loss_coefficient, ambient;
} piece;

typedef struct local {
    double viscosity, density, reynolds;
} local;

/* False where the liquid's data end. */
static bool local_at(const piece *p, double temperature, local *l)
{
    const imp_fluid *f = p->fluid;
    l->viscosity = imp_fluid_viscosity_or_nan(f, temperature);
    l->density = /* NOLINTNEXTLINE(clang-analyzer-core.NullDereference): each side's piece has the fluid of its run */
        f->density / (1.0 + f->expansion * (temperature - f->reference_temperature)); /* as imp_fluid_density */
    l->reynolds = p->mass_flux * p->bore / l->viscosity;
    return l->viscosity > 0.0 && l->density > 0.0;
}

/* Why local_at is false. */
static imp_status refuse_local(const piece *p, double temperature, imp_error *error)
{
    double unused;
    imp_status status = imp_fluid_viscosity(p->fluid, temperature, &unused, NULL, error);
    if (status == IMP_OK)
        status = imp_fluid_density_at(p->fluid, temperature, &unused, error);
    return status != IMP_OK ? status : imp_fail(error, IMP_RANGE, "expansion", "leaves no density at this temperature");
}

/* Friction [Pa/m], fittings included. */
static double friction_gradient(const piece *p, const local *l)
{
    const double factor = imp_hose_friction(l->reynolds, p->relative_roughness);
    return (factor / p->bore + p->fittings) * p->mass_flux * p->mass_flux / (2.0 * l->density);
}

typedef struct walk {
    const imp_march *march;
    piece pieces[IMP_SIDES]; /* of the section being marched */
    double length;           /* of the whole run */
    int states;              /* that are carried */
} walk;

static imp_status derive(const walk *w, const state *s, state *rate, imp_error *error)
{
    const size_t sides = w->march->side_count;
    rate->exchanged = sides == 2 ? w->march->mutual_conductance * (s->y[0][TEMPERATURE] - s->y[1][TEMPERATURE]) : 0.0;
    for (size_t side = 0; side < sides; side++) {
        const piece *p = &w->pieces[side];
        const double temperature = s->y[side][TEMPERATURE];
        local l;
        if (!local_at(p, temperature, &l))
            return refuse_local(p, temperature, error);
        const double friction = friction_gradient(p, &l);
        const double loss = p->loss_coefficient * (temperature - p->ambient);
        const double viscous = p->mass_flow / l.density * friction;
        const double gained = side == 0 ? -rate->exchanged : rate->exchanged;
        double *const out = rate->y[side];
        out[TEMPERATURE] = (p->heating - loss + viscous + gained) / (p->mass_flow * p->fluid->heat_capacity);
        out[PRESSURE] = -(friction + l.density * standard_gravity * p->slope);
        out[LOSS] = loss;
        out[VISCOUS] = viscous;
        out[TIME] = l.density / p->mass_flux;
    }
    return IMP_OK;
}

/* Dormand and Prince 1980, table 2: the stages, and the difference of the two orders. The last stage is the new point.
 */
static const double stage_weight[STAGES][STAGES - 1] = {
    {0},
    {1.0 / 5.0},
    {3.0 / 40.0, 9.0 / 40.0},
    {44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0},
    {19372.0 / 6561.0, -25360.0 / 2187.0, 64448.0 / 6561.0, -212.0 / 729.0},
    {9017.0 / 3168.0, -355.0 / 33.0, 46732.0 / 5247.0, 49.0 / 176.0, -5103.0 / 18656.0},
    {35.0 / 384.0, 0.0, 500.0 / 1113.0, 125.0 / 192.0, -2187.0 / 6784.0, 11.0 / 84.0},
};
static const double error_weight[STAGES] = {71.0 / 57600.0,      0.0,          -71.0 / 16695.0, 71.0 / 1920.0,
                                            -17253.0 / 339200.0, 22.0 / 525.0, -1.0 / 40.0};

static void combine(const walk *w, const state *from, const state *rates, int stage, double step, state *to)
{
    *to = *from;
    for (int k = 0; k < stage; k++) {
        const double weight = step * stage_weight[stage][k];
        if (weight == 0.0)
            continue;
        for (size_t side = 0; side < w->march->side_count; side++)
            for (int i = 0; i < w->states; i++)
                to->y[side][i] += weight * rates[k].y[side][i];
        to->exchanged += weight * rates[k].exchanged;
    }
}

/* Largest estimated error of a step over what is allowed. */
static double step_error(const walk *w, const state *rates, double step)
{
    double worst = 0.0;
    for (size_t side = 0; side < w->march->side_count; side++) {
        double temperature = 0.0, pressure = 0.0;
        for (int k = 0; k < STAGES; k++) {
            temperature += error_weight[k] * rates[k].y[side][TEMPERATURE];
            pressure += error_weight[k] * rates[k].y[side][PRESSURE];
        }
        const double allowed = pressure_tolerance * w->length * fabs(rates[0].y[side][PRESSURE]) + 1e-3;
        worst = fmax(worst, fabs(step * temperature) / temperature_tolerance);
        worst = fmax(worst, fabs(step * pressure) / allowed);
    }
    return worst;
}

/* One trial step from *from, whose rates stand in rates[0]; rates[STAGES - 1] are those at *to. */
static imp_status try_step(const walk *w, const state *from, double step, state rates[STAGES], state *to,
                           imp_error *error)
{
    for (int stage = 1; stage < STAGES; stage++) {
        combine(w, from, rates, stage, step, to);
        const imp_status status = derive(w, to, &rates[stage], error);
        if (status != IMP_OK)
            return status;
    }
    return IMP_OK;
}

/* ---- what is kept of the course ---- */

static void keep_point(imp_hose_trace *trace, size_t *stride, size_t index, const imp_hose_point *point)
{
    if (trace == NULL || trace->points == NULL || index % *stride != 0)
        return;
    if (trace->count == trace->capacity) {
        for (size_t i = 0; 2 * i < trace->count; i++)
            trace->points[i] = trace->points[2 * i];
        trace->count = (trace->count + 1) / 2;
        *stride *= 2;
        if (index % *stride != 0)
            return;
    }
    trace->points[trace->count++] = *point;
}

typedef struct course {
    const imp_march *march;
    imp_hose_trace *traces;
    imp_hose_run_result *results;
    size_t seen[IMP_SIDES], stride[IMP_SIDES];
} course;

static imp_status note(course *c, const walk *w, const state *s, size_t section, double position, imp_error *error)
{
    for (size_t side = 0; side < c->march->side_count; side++) {
        const piece *p = &w->pieces[side];
        const double temperature = s->y[side][TEMPERATURE];
        const double pressure = c->march->runs[side]->inlet_pressure + s->y[side][PRESSURE];
        imp_hose_run_result *result = &c->results[side];
        local l;
        if (!local_at(p, temperature, &l))
            return refuse_local(p, temperature, error);
        const double margin = c->march->runs[side]->sections[section].rated_pressure - pressure;
        if (!(pressure <= result->highest_pressure)) {
            result->highest_pressure = pressure;
            result->highest_position = position;
        }
        if (margin < result->pressure_margin || (isnan(result->pressure_margin) && !isnan(margin))) {
            result->pressure_margin = margin;
            result->weakest_section = section;
        }
        result->extrapolated =
            result->extrapolated || temperature < p->fluid->coldest || temperature > p->fluid->hottest;
        result->outlet_viscosity = l.viscosity;
        result->outlet_density = l.density;
        result->outlet_reynolds = l.reynolds;
        const imp_hose_point point = {.position = position,
                                      .section = section,
                                      .temperature = temperature,
                                      .pressure = pressure,
                                      .viscosity = l.viscosity,
                                      .density = l.density,
                                      .velocity = p->mass_flux / l.density,
                                      .reynolds = l.reynolds};
        keep_point(c->traces != NULL ? &c->traces[side] : NULL, &c->stride[side], c->seen[side]++, &point);
    }
    return IMP_OK;
}

/* ---- the march ---- */

static void prepare_pieces(walk *w, size_t section, const double *mass_flow)
{
    for (size_t side = 0; side < w->march->side_count; side++) {
        const imp_hose_run *run = w->march->runs[side];
        const imp_hose_section *s = &run->sections[section];
        w->pieces[side] = (piece){.fluid = run->fluid,
                                  .mass_flow = mass_flow[side],
                                  .mass_flux = mass_flow[side] / (pi * s->bore * s->bore / 4.0),
                                  .bore = s->bore,
                                  .relative_roughness = s->roughness / s->bore,
                                  .fittings = s->fitting_loss / s->length,
                                  .slope = s->rise / s->length,
                                  .heating = w->march->share * s->heating,
                                  .loss_coefficient = s->loss_coefficient,
                                  .ambient = run->ambient_temperature};
    }
}

static imp_status too_little_flow(double position, imp_error *error)
{
    return imp_fail(error, IMP_NO_SOLUTION, "flow",
                    "is so small that the liquid follows its surroundings at once; the march stopped %.4g m from the "
                    "inlet after %d steps",
                    position, MOST_STEPS);
}

/* March one section, from its start at `start` over `length`. */
static imp_status march_section(walk *w, course *c, size_t section, double start, double length, state *s, double *step,
                                size_t *steps, imp_error *error)
{
    const bool quick = w->march->quick;
    const double longest = w->length / (quick ? QUICK_LEAST_STEPS : IMP_HOSE_LEAST_STEPS), shortest = 1e-9 * w->length;
    state rates[STAGES], next;
    double done = 0.0;
    imp_status status = derive(w, s, &rates[0], error);
    if (status == IMP_OK && !quick)
        status = note(c, w, s, section, start, error);
    while (status == IMP_OK && done < length) {
        const double left = length - done;
        const double fixed = w->march->fixed_step;
        double h = fixed > 0.0 ? fixed : fmin(*step, longest);
        h = left / ceil(left / h * (1.0 - 1e-12)); /* equal steps to the end, no sliver */
        if (++*steps > MOST_STEPS)
            return too_little_flow(start + done, error);
        if (try_step(w, s, h, rates, &next, NULL) != IMP_OK) { /* a trial may overshoot what a liquid can be */
            *step = 0.25 * h;
            if (*step < shortest)
                return try_step(w, s, h, rates, &next, error);
            continue;
        }
        const double error_ratio = step_error(w, rates, h);
        const double factor = error_ratio > 0.0 ? 0.9 * pow(error_ratio, -0.2) : 5.0;
        *step = h * fmin(5.0, fmax(0.2, factor));
        if (error_ratio > 1.0 && h > shortest && !(fixed > 0.0))
            continue;
        done = h >= left * (1.0 - 1e-12) ? length : done + h;
        *s = next;
        rates[0] = rates[STAGES - 1];
        if (!quick || done >= length)
            status = note(c, w, s, section, start + done, error);
    }
    return status;
}

static double length_of(const imp_hose_run *run)
{
    double length = 0.0;
    for (size_t i = 0; i < run->section_count; i++)
        length += run->sections[i].length;
    return length;
}

static imp_status begin(const imp_march *march, course *c, state *s, double *mass_flow, imp_error *error)
{
    memset(s, 0, sizeof *s);
    for (size_t side = 0; side < march->side_count; side++) {
        const imp_hose_run *run = march->runs[side];
        double density;
        const imp_status status = imp_fluid_density_at(run->fluid, run->inlet_temperature, &density, error);
        if (status != IMP_OK)
            return status;
        mass_flow[side] = density * run->flow;
        s->y[side][TEMPERATURE] = run->inlet_temperature;
        c->results[side] = (imp_hose_run_result){
            .mass_flow = mass_flow[side], .highest_pressure = (double)NAN, .pressure_margin = (double)NAN};
        c->stride[side] = 1;
        if (c->traces != NULL)
            c->traces[side].count = 0;
    }
    return IMP_OK;
}

static void finish(const imp_march *march, const state *s, size_t steps, imp_hose_run_result *results)
{
    for (size_t side = 0; side < march->side_count; side++) {
        imp_hose_run_result *r = &results[side];
        r->outlet_temperature = s->y[side][TEMPERATURE];
        r->outlet_pressure = march->runs[side]->inlet_pressure + s->y[side][PRESSURE];
        r->pressure_drop = -s->y[side][PRESSURE];
        r->loss = s->y[side][LOSS];
        r->viscous_heating = s->y[side][VISCOUS];
        r->residence_time = s->y[side][TIME];
        r->exchanged = side == 0 ? -s->exchanged : s->exchanged;
        r->steps = steps;
    }
}

imp_status imp_hose_march(const imp_march *march, imp_hose_trace *traces, imp_hose_run_result *results,
                          imp_error *error)
{
    imp_hose_run_result own[IMP_SIDES] = {{0}};
    course c = {.march = march, .traces = traces, .results = own};
    walk w = {.march = march, .length = length_of(march->runs[0]), .states = march->quick ? QUICK_STATES : STATES};
    state s;
    double mass_flow[IMP_SIDES] = {0};
    imp_status status = begin(march, &c, &s, mass_flow, error);
    double position = 0.0, step = w.length;
    size_t steps = 0;
    for (size_t i = 0; status == IMP_OK && i < march->runs[0]->section_count && position < march->until; i++) {
        const double length = fmin(march->runs[0]->sections[i].length, march->until - position);
        const state before = s;
        prepare_pieces(&w, i, mass_flow);
        status = march_section(&w, &c, i, position, length, &s, &step, &steps, error);
        position += march->runs[0]->sections[i].length;
        for (size_t side = 0; side < march->side_count; side++) {
            own[side].heating += w.pieces[side].heating * length;
            if (traces != NULL && traces[side].drops != NULL)
                traces[side].drops[i] = before.y[side][PRESSURE] - s.y[side][PRESSURE];
            if (traces != NULL && traces[side].temperatures != NULL)
                traces[side].temperatures[i] = s.y[side][TEMPERATURE];
        }
    }
    if (status != IMP_OK)
        return status;
    finish(march, &s, steps, own);
    memcpy(results, own, march->side_count * sizeof *results);
    return IMP_OK;
}
