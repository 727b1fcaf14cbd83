/* hose.pair: iso and resin hose in one jacket, one circuit, one sensor. The sensor and its share of heating
 * are hose_control.c, the stepping is hose_march.c. */
#include "hose_pair.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "field_table.h"
#include "hose_march.h"
#include "hose_rows.h"

enum { TRACE_POINTS = 256 };

static const char *const side_names[] = {"iso", "resin", NULL};

/* ---- checks ---- */

static double run_length(const imp_hose_run *run)
{
    double length = 0.0;
    for (size_t i = 0; i < run->section_count; i++)
        length += run->sections[i].length;
    return length;
}

static imp_status check_sections_agree(const imp_hose_pair *pair, imp_error *error)
{
    const imp_hose_run *iso = &pair->run[IMP_ISO], *resin = &pair->run[IMP_RESIN];
    if (iso->section_count != resin->section_count)
        return imp_fail(error, IMP_RANGE, "resin.sections",
                        "%zu sections where the iso hose has %zu; both lie in one jacket", resin->section_count,
                        iso->section_count);
    for (size_t i = 0; i < iso->section_count; i++)
        if (iso->sections[i].length != resin->sections[i].length)
            return imp_fail(error, IMP_RANGE, "resin.sections",
                            "section %zu is %.6g m long where the iso hose's is %.6g m; both lie in one jacket", i + 1,
                            resin->sections[i].length, iso->sections[i].length);
    return IMP_OK;
}

/* ---- rows ---- */

enum {
    LENGTH,
    ISO_BORE,
    RESIN_BORE,
    ROUGHNESS,
    FITTING_LOSS,
    RISE,
    HEATING,
    LOSS_COEFFICIENT,
    RATED_PRESSURE,
    SECTION_FIELDS
};
#define BORE_ROW(name_, symbol_, help_)                                                                                \
    {                                                                                                                  \
        .name = (name_), .symbol = (symbol_), .kind = IMP_NUMBER, .dimension = IMP_LENGTH, .unit = "mm",               \
        .presence = IMP_REQUIRED, .low = IMP_MILLIMETRE(0.1), .high = IMP_MILLIMETRE(1000.0), .help = (help_)          \
    }
static const imp_param section_rows[] = {
    HOSE_LENGTH_ROW,
    BORE_ROW("iso_bore", "d_iso", "inside diameter of the iso hose"),
    BORE_ROW("resin_bore", "d_resin", "inside diameter of the resin hose"),
    HOSE_ROUGHNESS_ROW,
    HOSE_FITTING_LOSS_ROW,
    HOSE_RISE_ROW,
    HOSE_HEATING_ROW("the most that the circuit gives to each metre of the pair"),
    HOSE_LOSS_ROW("heat lost to the air by each metre of the pair and kelvin, half from each hose"),
    HOSE_RATED_ROW,
    {.name = NULL},
};

enum { SIDE_FLUID, SIDE_FLOW, SIDE_TEMPERATURE, SIDE_PRESSURE };
static const imp_param side_rows[] = {
    {.name = "fluid",
     .kind = IMP_RECORD,
     .presence = IMP_REQUIRED,
     .rows = imp_liquid_rows,
     .help = "the liquid, as one side of a material: density, heat capacity, viscosity points"},
    HOSE_FLOW_ROW(IMP_REQUIRED, "volume flow at the inlet"),
    {.name = "inlet_temperature", .symbol = "T0", IMP_FLUID_TEMPERATURE_RANGE, .help = "of the liquid at the inlet"},
    HOSE_INLET_PRESSURE_ROW,
    {.name = NULL},
};

enum { CONTROL_SIDE, CONTROL_POSITION, CONTROL_SET };
static const imp_param control_rows[] = {
    {.name = "side",
     .kind = IMP_CHOICE,
     .presence = IMP_REQUIRED,
     .choices = side_names,
     .help = "on which side the sensor is"},
    {.name = "position",
     .symbol = "xs",
     .dimension = IMP_LENGTH,
     .unit = "m",
     .low = 0.0,
     .high = 1e5,
     .help = "of the sensor, from the inlet"},
    {.name = "set_temperature", .symbol = "Ts", IMP_FLUID_TEMPERATURE_RANGE, .help = "to be held there"},
    {.name = NULL},
};

enum { ISO, RESIN, SECTIONS, AMBIENT, HEAT_SPLIT, MUTUAL, CONTROL, PAIR_INPUTS };
const imp_param imp_hose_pair_in[PAIR_INPUTS] = {
    {.name = "iso", .kind = IMP_RECORD, .presence = IMP_REQUIRED, .rows = side_rows, .help = "iso at the inlet"},
    {.name = "resin", .kind = IMP_RECORD, .presence = IMP_REQUIRED, .rows = side_rows, .help = "resin at the inlet"},
    {.name = "sections",
     .kind = IMP_TABLE,
     .presence = IMP_REQUIRED,
     .rows = section_rows,
     .help = "the pair's sections in the direction of flow"},
    HOSE_AMBIENT_ROW,
    {.name = "heat_split",
     .symbol = "g",
     .dimension = IMP_PURE,
     .unit = "%",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 1.0,
     .fallback = 0.5,
     .help = "share of the heating that the iso hose gets"},
    {.name = "mutual_conductance",
     .symbol = "k",
     .dimension = IMP_CONDUCTIVITY,
     .unit = "W/(m K)",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 10.0,
     .fallback = 0.0,
     .help = "heat that passes between the two liquids, per metre and kelvin"},
    {.name = "control",
     .kind = IMP_RECORD,
     .presence = IMP_OPTIONAL,
     .rows = control_rows,
     .help = "sensor and set temperature; without it the circuit gives all it has"},
};

#define SIDE_OUTPUTS(side_)                                                                                            \
    {.name = side_ "_outlet_temperature",                                                                              \
     .symbol = "T1_" side_,                                                                                            \
     .dimension = IMP_TEMPERATURE,                                                                                     \
     .unit = "degC",                                                                                                   \
     .trend = "???????",                                                                                               \
     .help = "of the " side_ " at the end"},                                                                           \
        {.name = side_ "_outlet_pressure",                                                                             \
         .symbol = "p1_" side_,                                                                                        \
         .dimension = IMP_PRESSURE,                                                                                    \
         .unit = "bar",                                                                                                \
         .trend = "???????",                                                                                           \
         .help = "of the " side_ " at the end"},                                                                       \
        {.name = side_ "_pressure_drop",                                                                               \
         .symbol = "dp_" side_,                                                                                        \
         .dimension = IMP_PRESSURE,                                                                                    \
         .unit = "bar",                                                                                                \
         .trend = "???????",                                                                                           \
         .help = "inlet less outlet pressure"},                                                                        \
        {.name = side_ "_residence_time",                                                                              \
         .symbol = "t_" side_,                                                                                         \
         .dimension = IMP_TIME,                                                                                        \
         .unit = "s",                                                                                                  \
         .trend = "???????",                                                                                           \
         .help = "for the " side_ " to pass through"},                                                                 \
        {.name = side_ "_outlet_reynolds",                                                                             \
         .symbol = "Re_" side_,                                                                                        \
         .dimension = IMP_PURE,                                                                                        \
         .unit = "1",                                                                                                  \
         .trend = "???????",                                                                                           \
         .help = "of the " side_ " at the end"},                                                                       \
        {.name = side_ "_highest_pressure",                                                                            \
         .symbol = "pm_" side_,                                                                                        \
         .dimension = IMP_PRESSURE,                                                                                    \
         .unit = "bar",                                                                                                \
         .trend = "???????",                                                                                           \
         .help = "anywhere along the " side_ " hose, flowing"},                                                        \
    {                                                                                                                  \
        .name = side_ "_profile", .kind = IMP_TABLE, .presence = IMP_OPTIONAL, .rows = imp_hose_profile_rows,          \
        .trend = "???????", .help = "the state along the " side_ " hose"                                               \
    }

static const char *const heats[] = {[IMP_HOSE_HEAT_HOLDS] = "holds",
                                    [IMP_HOSE_HEAT_SHORT] = "too weak",
                                    [IMP_HOSE_HEAT_NOT_NEEDED] = "not needed",
                                    [IMP_HOSE_HEAT_FULL] = "full",
                                    NULL};
static const char *const no_yes[] = {"no", "yes", NULL};

enum {
    SIDE_NUMBERS = 6,
    SIDE_OUTS = SIDE_NUMBERS + 1,
    SHARE = 2 * SIDE_OUTS,
    SENSOR,
    HEATING_POWER,
    LOSS_POWER,
    VISCOUS_POWER,
    EXCHANGED,
    MARGIN,
    HEAT,
    EXTRAPOLATED,
    PAIR_OUTPUTS
};
const imp_param imp_hose_pair_out[PAIR_OUTPUTS] = {
    SIDE_OUTPUTS("iso"),
    SIDE_OUTPUTS("resin"),
    {.name = "heating_share",
     .symbol = "s",
     .dimension = IMP_PURE,
     .unit = "%",
     .low = 0.0,
     .high = 1.0,
     .trend = "???????",
     .help = "of the circuit's heating that is given"},
    {.name = "sensor_temperature",
     .symbol = "Tx",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .presence = IMP_OPTIONAL,
     .trend = "???????",
     .help = "at the sensor; only with a control"},
    {.name = "heating_power",
     .symbol = "Ph",
     .dimension = IMP_POWER,
     .unit = "W",
     .trend = "???????",
     .help = "given to both liquids"},
    {.name = "loss_power",
     .symbol = "Pl",
     .dimension = IMP_POWER,
     .unit = "W",
     .trend = "???????",
     .help = "lost to the air by both"},
    {.name = "viscous_power",
     .symbol = "Pf",
     .dimension = IMP_POWER,
     .unit = "W",
     .trend = "???????",
     .help = "friction that turns into heat in both"},
    {.name = "exchanged_power",
     .symbol = "Px",
     .dimension = IMP_POWER,
     .unit = "W",
     .trend = "???????",
     .help = "that passes from iso to resin"},
    {.name = "pressure_margin",
     .symbol = "sp",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .presence = IMP_OPTIONAL,
     .trend = "???????",
     .help = "least of rated less local pressure; only where a rating is given"},
    {.name = "heat",
     .kind = IMP_CHOICE,
     .choices = heats,
     .trend = "???????",
     .help = "whether the heating holds the set temperature"},
    {.name = "extrapolated",
     .kind = IMP_CHOICE,
     .choices = no_yes,
     .trend = "???????",
     .help = "whether a viscosity was needed outside its points"},
};

static imp_status check_pair(const imp_hose_pair *pair, imp_error *error)
{
    imp_status status = IMP_OK;
    for (int side = 0; status == IMP_OK && side < IMP_SIDES; side++) {
        status = imp_hose_run_check(&pair->run[side], error);
        if (status != IMP_OK)
            imp_error_prefix(error, side_names[side], ".");
    }
    if (status == IMP_OK)
        status = check_sections_agree(pair, error);
    if (status == IMP_OK)
        status = imp_check(&imp_hose_pair_in[MUTUAL], pair->mutual_conductance, error);
    if (status != IMP_OK || pair->control == NULL)
        return status;
    status = imp_check(&control_rows[CONTROL_POSITION], pair->control->position, error);
    if (status == IMP_OK)
        status = imp_check(&control_rows[CONTROL_SET], pair->control->set_temperature, error);
    const double length = run_length(&pair->run[0]);
    if (status == IMP_OK && pair->control->position > length * (1.0 + 1e-12))
        status = imp_fail(error, IMP_RANGE, "position", "%.6g m lies beyond the end of the hose at %.6g m",
                          pair->control->position, length);
    if (status != IMP_OK)
        imp_error_prefix(error, "control", ".");
    return status;
}

imp_status imp_hose_pair_march(const imp_hose_pair *pair, imp_hose_trace *traces, imp_hose_pair_result *result,
                               imp_error *error)
{
    const imp_status status = check_pair(pair, error);
    return status == IMP_OK ? imp_hose_pair_march_checked(pair, false, traces, result, error) : status;
}

/* ---- entry ---- */

static double number_or(const imp_value *value, double otherwise)
{
    return value->given ? value->number : otherwise;
}

/* One side of a section of the pair: its share of the heating, half of the loss. */
static imp_hose_section side_of_section(const imp_value *fields, imp_side side, double share)
{
    return (imp_hose_section){.bore = fields[side == IMP_ISO ? ISO_BORE : RESIN_BORE].number,
                              .length = fields[LENGTH].number,
                              .roughness = number_or(&fields[ROUGHNESS], 0.0),
                              .fitting_loss = number_or(&fields[FITTING_LOSS], 0.0),
                              .rise = number_or(&fields[RISE], 0.0),
                              .heating = share * number_or(&fields[HEATING], 0.0),
                              .loss_coefficient = 0.5 * number_or(&fields[LOSS_COEFFICIENT], 0.0),
                              .rated_pressure = number_or(&fields[RATED_PRESSURE], (double)NAN)};
}

static imp_status read_side(const imp_value *record, imp_fluid *fluid, imp_hose_run *run, imp_error *error)
{
    const imp_status status = imp_hose_fluid_read(&record->items[SIDE_FLUID], fluid, error);
    if (status != IMP_OK) {
        imp_error_prefix(error, "fluid", ".");
        return status;
    }
    run->fluid = fluid;
    run->flow = record->items[SIDE_FLOW].number;
    run->inlet_temperature = record->items[SIDE_TEMPERATURE].number;
    run->inlet_pressure = number_or(&record->items[SIDE_PRESSURE], 0.0);
    return IMP_OK;
}

static double least(double a, double b)
{
    return isnan(a) || b < a ? b : a;
}

static void write_side(imp_value *out, const imp_hose_run_result *r)
{
    const double numbers[SIDE_NUMBERS] = {r->outlet_temperature, r->outlet_pressure, r->pressure_drop,
                                          r->residence_time,     r->outlet_reynolds, r->highest_pressure};
    for (int i = 0; i < SIDE_NUMBERS; i++)
        out[i].number = numbers[i];
}

static void write_results(const imp_call *call, const imp_hose_pair_result *r)
{
    const imp_hose_run_result *iso = &r->run[IMP_ISO], *resin = &r->run[IMP_RESIN];
    const double margin = least(iso->pressure_margin, resin->pressure_margin);
    imp_value *out = call->out;
    write_side(&out[0], iso);
    write_side(&out[SIDE_OUTS], resin);
    out[SHARE].number = r->share;
    out[SENSOR] = (imp_value){.number = r->sensor_temperature, .given = !isnan(r->sensor_temperature)};
    out[HEATING_POWER].number = iso->heating + resin->heating;
    out[LOSS_POWER].number = iso->loss + resin->loss;
    out[VISCOUS_POWER].number = iso->viscous_heating + resin->viscous_heating;
    out[EXCHANGED].number = resin->exchanged;
    out[MARGIN] = (imp_value){.number = margin, .given = !isnan(margin)};
    out[HEAT].number = r->heat;
    out[EXTRAPOLATED].number = iso->extrapolated || resin->extrapolated ? 1.0 : 0.0;
}

/* By side, since the entry's own symbols are those of both together. */
static void record_step(imp_sheet *sheet, int side, const char *symbol, const char *what, const char *formula, double value,
                        const char *unit)
{
    char own[16], name[48];
    snprintf(own, sizeof own, "%s_%s", symbol, side_names[side]);
    snprintf(name, sizeof name, "%s, %s", side_names[side], what);
    imp_sheet_step(sheet, own, name, formula, value, unit);
}

static void record_steps(imp_sheet *sheet, const imp_hose_pair_result *r)
{
    for (int side = 0; side < IMP_SIDES; side++) {
        const imp_hose_run_result *run = &r->run[side];
        record_step(sheet, side, "m", "mass flow", "rho(T0) Q", run->mass_flow, "kg/s");
        record_step(sheet, side, "Ph", "hose heat given", side == IMP_ISO ? "s g q L" : "s (1 - g) q L", run->heating, "W");
        record_step(sheet, side, "Pl", "heat lost to the air", "integral of U/2 (T - Ta) dx", run->loss, "W");
        record_step(sheet, side, "Pf", "heat of friction", "integral of (m/rho) p_f dx", run->viscous_heating, "W");
    }
}

imp_status imp_hose_pair_evaluate(const imp_call *call)
{
    const imp_value *in = call->in, *table = &in[SECTIONS];
    imp_fluid fluids[IMP_SIDES];
    imp_hose_section sections[IMP_SIDES][IMP_HOSE_MOST_SECTIONS];
    imp_hose_point points[IMP_SIDES][TRACE_POINTS];
    imp_hose_trace traces[IMP_SIDES];
    imp_hose_pair pair = {.mutual_conductance = in[MUTUAL].number};
    imp_hose_control control;
    imp_status status = IMP_OK;
    for (int side = 0; status == IMP_OK && side < IMP_SIDES; side++) {
        const double share = side == IMP_ISO ? in[HEAT_SPLIT].number : 1.0 - in[HEAT_SPLIT].number;
        for (size_t i = 0; i < table->count && i < IMP_HOSE_MOST_SECTIONS; i++)
            sections[side][i] = side_of_section(table->items + i * SECTION_FIELDS, (imp_side)side, share);
        pair.run[side] = (imp_hose_run){
            .sections = sections[side], .section_count = table->count, .ambient_temperature = in[AMBIENT].number};
        traces[side] = (imp_hose_trace){.points = points[side], .capacity = TRACE_POINTS};
        status = read_side(&in[ISO + side], &fluids[side], &pair.run[side], call->error);
        if (status != IMP_OK)
            imp_error_prefix(call->error, side_names[side], ".");
    }
    if (in[CONTROL].given) {
        const imp_value *fields = in[CONTROL].items;
        control = (imp_hose_control){.side = (imp_side)fields[CONTROL_SIDE].number,
                                     .position = fields[CONTROL_POSITION].number,
                                     .set_temperature = fields[CONTROL_SET].number};
        pair.control = &control;
    }
    imp_hose_pair_result r;
    if (status == IMP_OK)
        status = imp_hose_pair_march(&pair, traces, &r, call->error);
    for (int side = 0; status == IMP_OK && side < IMP_SIDES; side++)
        status = imp_hose_profile_value(&traces[side], call->arena, &call->out[side * SIDE_OUTS + SIDE_NUMBERS],
                                        call->error);
    if (status != IMP_OK)
        return status;
    write_results(call, &r);
    record_steps(call->sheet, &r);
    return IMP_OK;
}
