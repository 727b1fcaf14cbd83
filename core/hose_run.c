/* hose.run: one hose with sections; its rows, checks and entry. The stepping is hose_march.c. */
#include "hose_run.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "field_table.h"
#include "hose_march.h"
#include "hose_rows.h"

enum { TRACE_POINTS = 256 };

/* ---- rows ---- */

enum { BORE, LENGTH, ROUGHNESS, FITTING_LOSS, RISE, HEATING, LOSS_COEFFICIENT, RATED_PRESSURE, SECTION_FIELDS };
static const imp_param section_rows[] = {
    HOSE_BORE_ROW,
    HOSE_LENGTH_ROW,
    HOSE_ROUGHNESS_ROW,
    HOSE_FITTING_LOSS_ROW,
    HOSE_RISE_ROW,
    HOSE_HEATING_ROW("heat that reaches the liquid in each metre"),
    HOSE_LOSS_ROW("heat lost to the air by each metre and kelvin"),
    HOSE_RATED_ROW,
    {.name = NULL},
};

enum { FLUID, SECTIONS, FLOW, INLET_TEMPERATURE, INLET_PRESSURE, AMBIENT, RUN_INPUTS };
const imp_param imp_hose_run_in[RUN_INPUTS] = {
    {.name = "fluid",
     .kind = IMP_RECORD,
     .presence = IMP_REQUIRED,
     .rows = imp_liquid_rows,
     .help = "the liquid, as one side of a material: density, heat capacity, viscosity points"},
    {.name = "sections",
     .kind = IMP_TABLE,
     .presence = IMP_REQUIRED,
     .rows = section_rows,
     .help = "the hose's sections in the direction of flow"},
    HOSE_FLOW_ROW(IMP_REQUIRED, "volume flow at the inlet"),
    {.name = "inlet_temperature", .symbol = "T0", IMP_FLUID_TEMPERATURE_RANGE, .help = "of the liquid at the inlet"},
    HOSE_INLET_PRESSURE_ROW,
    HOSE_AMBIENT_ROW,
};

#define NUMBER_OUT(name_, symbol_, dimension_, unit_, trend_, help_)                                                   \
    {                                                                                                                  \
        .name = (name_), .symbol = (symbol_), .dimension = (dimension_), .unit = (unit_), .trend = (trend_),           \
        .help = (help_)                                                                                                \
    }
static const char *const no_yes[] = {"no", "yes", NULL};

const imp_param imp_hose_profile_rows[] = {
    NUMBER_OUT("position", "x", IMP_LENGTH, "m", NULL, "from the inlet"),
    NUMBER_OUT("section", NULL, IMP_PURE, "1", NULL, "counted from 1"),
    NUMBER_OUT("temperature", "T", IMP_TEMPERATURE, "degC", NULL, "of the liquid"),
    NUMBER_OUT("pressure", "p", IMP_PRESSURE, "bar", NULL, "of the liquid"),
    NUMBER_OUT("viscosity", "mu", IMP_VISCOSITY, "mPa s", NULL, "of the liquid there"),
    NUMBER_OUT("velocity", "v", IMP_VELOCITY, "m/s", NULL, "mean velocity in the bore"),
    NUMBER_OUT("reynolds", "Re", IMP_PURE, "1", NULL, "laminar up to 2000, turbulent from 4000"),
    {.name = NULL},
};
enum { PROFILE_FIELDS = 7 };

const imp_param imp_hose_drop_rows[] = {
    NUMBER_OUT("section", NULL, IMP_PURE, "1", NULL, "counted from 1"),
    NUMBER_OUT("pressure_drop", "dp", IMP_PRESSURE, "bar", NULL, "inlet pressure less outlet pressure of the section"),
    {.name = NULL},
};

/* Inputs in order: fluid, sections, flow, inlet temperature, inlet pressure, ambient temperature. */
enum {
    OUTLET_TEMPERATURE,
    OUTLET_PRESSURE,
    PRESSURE_DROP,
    MASS_FLOW,
    HEATING_POWER,
    LOSS_POWER,
    VISCOUS_POWER,
    RESIDENCE_TIME,
    OUTLET_VISCOSITY,
    OUTLET_REYNOLDS,
    HIGHEST_PRESSURE,
    PRESSURE_MARGIN,
    EXTRAPOLATED,
    DROPS,
    PROFILE,
    RUN_OUTPUTS
};
const imp_param imp_hose_run_out[RUN_OUTPUTS] = {
    NUMBER_OUT("outlet_temperature", "T1", IMP_TEMPERATURE, "degC", "???+0+", "of the liquid at the end"),
    NUMBER_OUT("outlet_pressure", "p1", IMP_PRESSURE, "bar", "????+?", "at the end"),
    NUMBER_OUT("pressure_drop", "dp", IMP_PRESSURE, "bar", "????0?", "inlet less outlet pressure"),
    NUMBER_OUT("mass_flow", "m", IMP_MASS_FLOW, "kg/s", "?0+-00", "the same everywhere along the hose"),
    NUMBER_OUT("heating_power", "Ph", IMP_POWER, "W", "0?0000", "given to the liquid by the hose heat"),
    NUMBER_OUT("loss_power", "Pl", IMP_POWER, "W", "???+0-", "lost to the air; negative where it is warmer"),
    NUMBER_OUT("viscous_power", "Pf", IMP_POWER, "W", "????0?", "friction that turns into heat"),
    NUMBER_OUT("residence_time", "t", IMP_TIME, "s", "????0?", "for the liquid to pass through"),
    NUMBER_OUT("outlet_viscosity", "mu1", IMP_VISCOSITY, "mPa s",
               "???"
               "-0-",
               "at the end"),
    NUMBER_OUT("outlet_reynolds", "Re1", IMP_PURE, "1", "????0+", "at the end"),
    NUMBER_OUT("highest_pressure", "pm", IMP_PRESSURE, "bar", "????+?", "anywhere along the hose, flowing"),
    {.name = "pressure_margin",
     .symbol = "s",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .presence = IMP_OPTIONAL,
     .trend = "????"
              "-?",
     .help = "least of rated less local pressure; only where a rating is given"},
    {.name = "extrapolated",
     .kind = IMP_CHOICE,
     .choices = no_yes,
     .trend = "??????",
     .help = "whether the viscosity was needed outside its points"},
    {.name = "drops",
     .kind = IMP_TABLE,
     .presence = IMP_OPTIONAL,
     .rows = imp_hose_drop_rows,
     .trend = "??????",
     .help = "pressure drop of each section"},
    {.name = "profile",
     .kind = IMP_TABLE,
     .presence = IMP_OPTIONAL,
     .rows = imp_hose_profile_rows,
     .trend = "??????",
     .help = "the state along the hose"},
};

/* ---- checks ---- */

static imp_status check_section(const imp_hose_section *s, size_t index, imp_error *error)
{
    const double values[SECTION_FIELDS] = {s->bore, s->length,  s->roughness,        s->fitting_loss,
                                           s->rise, s->heating, s->loss_coefficient, s->rated_pressure};
    imp_status status = IMP_OK;
    for (int i = 0; status == IMP_OK && i < SECTION_FIELDS; i++)
        if (i != RATED_PRESSURE || !isnan(values[i]))
            status = imp_check(&section_rows[i], values[i], error);
    if (status == IMP_OK && s->roughness > HOSE_ROUGHEST * s->bore)
        status = imp_fail(error, IMP_RANGE, "roughness", "%.4g mm is more than %g %% of the bore of %.4g mm",
                          s->roughness * 1e3, HOSE_ROUGHEST * 100.0, s->bore * 1e3);
    char place[32];
    snprintf(place, sizeof place, "sections[%zu]", index + 1);
    if (status != IMP_OK)
        imp_error_prefix(error, place, ".");
    return status;
}

imp_status imp_hose_run_check(const imp_hose_run *run, imp_error *error)
{
    if (run->section_count < 1 || run->section_count > IMP_HOSE_MOST_SECTIONS)
        return imp_fail(error, run->section_count < 1 ? IMP_RANGE : IMP_LIMIT, "sections",
                        "%zu sections; 1 to %d can be marched", run->section_count, IMP_HOSE_MOST_SECTIONS);
    const double values[] = {run->flow, run->inlet_temperature, run->inlet_pressure, run->ambient_temperature};
    imp_status status = IMP_OK;
    for (int i = 0; status == IMP_OK && i < 4; i++)
        status = imp_check(&imp_hose_run_in[FLOW + i], values[i], error);
    for (size_t i = 0; status == IMP_OK && i < run->section_count; i++)
        status = check_section(&run->sections[i], i, error);
    return status;
}

imp_status imp_hose_run_march(const imp_hose_run *run, imp_hose_trace *trace, imp_hose_run_result *result,
                              imp_error *error)
{
    const imp_status status = imp_hose_run_check(run, error);
    if (status != IMP_OK)
        return status;
    const imp_march march = {.runs = {run}, .side_count = 1, .share = 1.0, .until = (double)INFINITY};
    return imp_hose_march(&march, trace, result, error);
}

/* ---- entry ---- */

static const imp_value *field(const imp_value *record, const imp_param *rows, const char *name)
{
    return &record->items[imp_param_find(rows, name) - rows];
}

/* Names of what a liquid lacks, for one sentence. */
static imp_status refuse_lacking(const imp_value *record, imp_error *error)
{
    static const char *const needed[] = {"density", "heat_capacity", "viscosity"};
    char names[96] = "";
    size_t used = 0;
    for (size_t i = 0; i < sizeof needed / sizeof needed[0]; i++)
        if (!field(record, imp_liquid_rows, needed[i])->given)
            used += (size_t)snprintf(names + used, sizeof names - used, "%s%s", used > 0 ? ", " : "", needed[i]);
    return used == 0 ? IMP_OK : imp_fail(error, IMP_MISSING, NULL, "missing %s", names);
}

imp_status imp_hose_fluid_read(const imp_value *record, imp_fluid *fluid, imp_error *error)
{
    const imp_status status = refuse_lacking(record, error);
    if (status != IMP_OK)
        return status;
    const imp_value *points = field(record, imp_liquid_rows, "viscosity");
    const imp_value *expansion = field(record, imp_liquid_rows, "expansion");
    const imp_value *reference = field(record, imp_liquid_rows, "reference_temperature");
    const bool expands = expansion->given && reference->given; /* else the density is as measured at any temperature */
    *fluid = (imp_fluid){.count = points->count,
                         .density = field(record, imp_liquid_rows, "density")->number,
                         .reference_temperature = expands ? reference->number : IMP_CELSIUS(20.0),
                         .expansion = expands ? expansion->number : 0.0,
                         .heat_capacity = field(record, imp_liquid_rows, "heat_capacity")->number};
    for (size_t i = 0; i < points->count && i < IMP_FLUID_POINTS; i++)
        fluid->points[i] = (imp_fluid_point){points->items[2 * i].number, points->items[2 * i + 1].number};
    const imp_status fitted = imp_fluid_fit(fluid, error);
    if (fitted != IMP_OK)
        imp_error_prefix(error, "viscosity", ": ");
    return fitted;
}

static imp_value number_value(double number)
{
    return (imp_value){.number = number, .given = true};
}

imp_status imp_hose_profile_value(const imp_hose_trace *trace, imp_arena *arena, imp_value *value, imp_error *error)
{
    *value = (imp_value){.given = false};
    if (arena == NULL)
        return IMP_OK;
    imp_value *items = imp_arena_allocate(arena, trace->count * PROFILE_FIELDS, sizeof *items);
    if (items == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    for (size_t i = 0; i < trace->count; i++) {
        const imp_hose_point *p = &trace->points[i];
        const double numbers[PROFILE_FIELDS] = {
            p->position, (double)p->section + 1.0, p->temperature, p->pressure, p->viscosity, p->velocity, p->reynolds};
        for (size_t k = 0; k < PROFILE_FIELDS; k++)
            items[i * PROFILE_FIELDS + k] = number_value(numbers[k]);
    }
    *value = (imp_value){.items = items, .count = trace->count, .given = true};
    return IMP_OK;
}

static imp_status drops_value(const double *drops, size_t count, imp_arena *arena, imp_value *value, imp_error *error)
{
    *value = (imp_value){.given = false};
    if (arena == NULL)
        return IMP_OK;
    imp_value *items = imp_arena_allocate(arena, 2 * count, sizeof *items);
    if (items == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    for (size_t i = 0; i < count; i++) {
        items[2 * i] = number_value((double)i + 1.0);
        items[2 * i + 1] = number_value(drops[i]);
    }
    *value = (imp_value){.items = items, .count = count, .given = true};
    return IMP_OK;
}

static double number_or(const imp_value *value, double otherwise)
{
    return value->given ? value->number : otherwise;
}

static void read_section(const imp_value *fields, imp_hose_section *section)
{
    *section = (imp_hose_section){.bore = fields[BORE].number,
                                  .length = fields[LENGTH].number,
                                  .roughness = number_or(&fields[ROUGHNESS], 0.0),
                                  .fitting_loss = number_or(&fields[FITTING_LOSS], 0.0),
                                  .rise = number_or(&fields[RISE], 0.0),
                                  .heating = number_or(&fields[HEATING], 0.0),
                                  .loss_coefficient = number_or(&fields[LOSS_COEFFICIENT], 0.0),
                                  .rated_pressure = number_or(&fields[RATED_PRESSURE], (double)NAN)};
}

static void record_balances(imp_sheet *sheet, const imp_hose_run *run, const imp_hose_run_result *r)
{
    imp_sheet_step(sheet, "m", "mass flow", "rho(T0) Q", r->mass_flow, "kg/s");
    imp_sheet_step(sheet, "Ph", "hose heat given", "sum of q L", r->heating, "W");
    imp_sheet_step(sheet, "Pl", "heat lost to the air", "integral of U (T - Ta) dx", r->loss, "W");
    imp_sheet_step(sheet, "Pf", "heat of friction", "integral of (m/rho) p_f dx", r->viscous_heating, "W");
    imp_sheet_step(sheet, "dT", "rise of the liquid, by heat balance", "(Ph - Pl + Pf)/(m cp)",
                   (r->heating - r->loss + r->viscous_heating) / (r->mass_flow * run->fluid->heat_capacity), "K");
    imp_sheet_step(sheet, "N", "steps taken", NULL, (double)r->steps, "1");
}

imp_status imp_hose_run_evaluate(const imp_call *call)
{
    const imp_value *in = call->in, *table = &in[SECTIONS];
    imp_fluid fluid;
    imp_hose_section sections[IMP_HOSE_MOST_SECTIONS];
    double drops[IMP_HOSE_MOST_SECTIONS];
    imp_hose_point points[TRACE_POINTS];
    imp_status status = imp_hose_fluid_read(&in[FLUID], &fluid, call->error);
    if (status != IMP_OK) {
        imp_error_prefix(call->error, "fluid", ".");
        return status;
    }
    for (size_t i = 0; i < table->count && i < IMP_HOSE_MOST_SECTIONS; i++)
        read_section(table->items + i * SECTION_FIELDS, &sections[i]);
    const imp_hose_run run = {.fluid = &fluid,
                              .sections = sections,
                              .section_count = table->count,
                              .flow = in[FLOW].number,
                              .inlet_temperature = in[INLET_TEMPERATURE].number,
                              .inlet_pressure = in[INLET_PRESSURE].number,
                              .ambient_temperature = in[AMBIENT].number};
    imp_hose_trace trace = {.points = points, .capacity = TRACE_POINTS, .drops = drops};
    imp_hose_run_result r;
    status = imp_hose_run_march(&run, &trace, &r, call->error);
    if (status == IMP_OK)
        status = drops_value(drops, run.section_count, call->arena, &call->out[DROPS], call->error);
    if (status == IMP_OK)
        status = imp_hose_profile_value(&trace, call->arena, &call->out[PROFILE], call->error);
    if (status != IMP_OK)
        return status;
    record_balances(call->sheet, &run, &r);
    const double numbers[] = {
        r.outlet_temperature, r.outlet_pressure, r.pressure_drop,    r.mass_flow,       r.heating,         r.loss,
        r.viscous_heating,    r.residence_time,  r.outlet_viscosity, r.outlet_reynolds, r.highest_pressure};
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
        call->out[i].number = numbers[i];
    const bool rated = !isnan(r.pressure_margin);
    call->out[PRESSURE_MARGIN] = (imp_value){.number = rated ? r.pressure_margin : 0.0, .given = rated};
    call->out[EXTRAPOLATED].number = r.extrapolated ? 1.0 : 0.0;
    return IMP_OK;
}
