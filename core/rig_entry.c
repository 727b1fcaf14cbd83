/* rig.operating_point: rows and adaptor. The solver is rig.c. Over 500 lines because the two tables of rows are that long. */
#include <math.h>
#include <stdio.h>

#include "field_table.h"
#include "hose_march.h"
#include "rig_entry.h"

enum { TRACE_POINTS = 256 };

const char *const imp_rig_gauge_texts[] = {
    [IMP_RIG_HIGHER_GAUGE] = "higher gauge", [IMP_RIG_MEAN_GAUGE] = "mean gauge", NULL};
const char *const imp_rig_limit_texts[] = {[IMP_RIG_SET_PRESSURE] = "set pressure",
                                           [IMP_RIG_DRIVE_PRESSURE] = "drive pressure",
                                           [IMP_RIG_MOTOR_POWER] = "motor power",
                                           [IMP_RIG_OIL_FLOW] = "oil flow",
                                           [IMP_RIG_FLUID_PRESSURE] = "fluid pressure limit",
                                           NULL};
static const char *const heats[] = {
    [IMP_HOSE_HEAT_HOLDS] = "holds", [IMP_HOSE_HEAT_SHORT] = "too weak", [IMP_HOSE_HEAT_NOT_NEEDED] = "not needed",
    [IMP_HOSE_HEAT_FULL] = "full",   [IMP_HOSE_HEAT_OFF] = "off",        NULL};
static const char *const no_yes[] = {"no", "yes", NULL};

const imp_param imp_rig_point_in[POINT_OWN_INPUTS] = {
    RIG_RECORD_ROWS,
    RIG_LEVER_ROWS,
    {.name = "profile",
     .kind = IMP_CHOICE,
     .presence = IMP_DEFAULT,
     .fallback = 1,
     .choices = no_yes,
     .help = "whether to hand out the state from pump to gun, which takes longer than finding it"},
};

#define TREND                                                                                                          \
    .trend = "??????????????"                                                                                          \
             "??"

enum {
    FLOW,
    ISO_FLOW,
    RESIN_FLOW,
    VOLUME_RATIO,
    CYCLE_RATE,
    ISO_PUMP_PRESSURE,
    ISO_HOSE_END_PRESSURE,
    ISO_GUN_PRESSURE,
    ISO_HEATER_TEMPERATURE,
    ISO_HOSE_END_TEMPERATURE,
    ISO_GUN_TEMPERATURE,
    ISO_HEATER_POWER,
    ISO_HEATER_MARGIN,
    ISO_INLET_PRESSURE,
    ISO_INLET_MARGIN,
    ISO_IMPINGEMENT_REYNOLDS,
    ISO_DISCHARGE_COEFFICIENT,
    ISO_HIGHEST_PRESSURE,
    ISO_RESIDENCE_TIME,
    RESIN_PUMP_PRESSURE,
    RESIN_HOSE_END_PRESSURE,
    RESIN_GUN_PRESSURE,
    RESIN_HEATER_TEMPERATURE,
    RESIN_HOSE_END_TEMPERATURE,
    RESIN_GUN_TEMPERATURE,
    RESIN_HEATER_POWER,
    RESIN_HEATER_MARGIN,
    RESIN_INLET_PRESSURE,
    RESIN_INLET_MARGIN,
    RESIN_IMPINGEMENT_REYNOLDS,
    RESIN_DISCHARGE_COEFFICIENT,
    RESIN_HIGHEST_PRESSURE,
    RESIN_RESIDENCE_TIME,
    IMBALANCE,
    MOMENTUM_RATIO,
    MIXED_TEMPERATURE,
    DRIVE_PRESSURE,
    MOTOR_POWER,
    OIL_FLOW,
    GOVERNS,
    SET_PRESSURE_MARGIN,
    DRIVE_PRESSURE_MARGIN,
    MOTOR_POWER_MARGIN,
    OIL_FLOW_MARGIN,
    FLUID_PRESSURE_MARGIN,
    RATING_MARGIN,
    HOSE_HEATING,
    HOSE_HEATING_MOST,
    HOSE_POWER,
    SENSOR_TEMPERATURE,
    HOSE_HEAT,
    EXTRAPOLATED,
    ORIFICE_OUTSIDE,
    ISO_PROFILE,
    RESIN_PROFILE,
    OUTPUTS
};

const imp_param imp_rig_point_out[OUTPUTS] = {
    {.name = "flow",
     .symbol = "Q",
     .dimension = IMP_FLOW,
     .unit = "L/min",
     TREND,
     .help = "of both sides together, at the pumps"},
    {.name = "iso_flow", .symbol = "Q_iso", .dimension = IMP_FLOW, .unit = "L/min", TREND, .help = "at the iso pump"},
    {.name = "resin_flow",
     .symbol = "Q_resin",
     .dimension = IMP_FLOW,
     .unit = "L/min",
     TREND,
     .help = "at the resin pump"},
    {.name = "volume_ratio",
     .symbol = "r",
     .dimension = IMP_PURE,
     .unit = "1",
     TREND,
     .help = "iso over resin, as the pumps deliver it"},
    {.name = "cycle_rate",
     .symbol = "n",
     .dimension = IMP_RATE,
     .unit = "1/min",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "of the pumps; only where their displacement is given"},
    {.name = "iso_pump_pressure",
     .symbol = "p_iso",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     TREND,
     .help = "iso at the pump, gauge, flowing"},
    {.name = "iso_hose_end_pressure",
     .symbol = "ph_iso",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     TREND,
     .help = "iso at the end of the heated hose"},
    {.name = "iso_gun_pressure",
     .symbol = "pg_iso",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     TREND,
     .help = "iso before the gun's orifices"},
    {.name = "iso_heater_temperature",
     .symbol = "Th_iso",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     TREND,
     .help = "iso out of the primary heater"},
    {.name = "iso_hose_end_temperature",
     .symbol = "Te_iso",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     TREND,
     .help = "iso at the end of the heated hose"},
    {.name = "iso_gun_temperature",
     .symbol = "Tg_iso",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     TREND,
     .help = "iso at the gun"},
    {.name = "iso_heater_power",
     .symbol = "Pheat_iso",
     .dimension = IMP_POWER,
     .unit = "kW",
     TREND,
     .help = "iso drawn by the primary heater"},
    {.name = "iso_heater_margin",
     .symbol = "sh_iso",
     .dimension = IMP_POWER,
     .unit = "kW",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "iso: that the primary heater could draw more; negative: it lacks as much to hold its set temperature"},
    {.name = "iso_inlet_pressure",
     .symbol = "pi_iso",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "iso at the pump's inlet, gauge"},
    {.name = "iso_inlet_margin",
     .symbol = "si_iso",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "iso: net positive suction pressure at the pump's inlet"},
    {.name = "iso_impingement_reynolds",
     .symbol = "Re_iso",
     .dimension = IMP_PURE,
     .unit = "1",
     TREND,
     .help = "iso of one jet in its orifice"},
    {.name = "iso_discharge_coefficient",
     .symbol = "Cd_iso",
     .dimension = IMP_PURE,
     .unit = "1",
     TREND,
     .help = "iso of the orifices"},
    {.name = "iso_highest_pressure",
     .symbol = "pm_iso",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     TREND,
     .help = "iso anywhere along the run, still or flowing"},
    {.name = "iso_residence_time",
     .symbol = "t_iso",
     .dimension = IMP_TIME,
     .unit = "s",
     TREND,
     .help = "iso: from the heater to the gun"},
    {.name = "resin_pump_pressure",
     .symbol = "p_resin",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     TREND,
     .help = "resin at the pump, gauge, flowing"},
    {.name = "resin_hose_end_pressure",
     .symbol = "ph_resin",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     TREND,
     .help = "resin at the end of the heated hose"},
    {.name = "resin_gun_pressure",
     .symbol = "pg_resin",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     TREND,
     .help = "resin before the gun's orifices"},
    {.name = "resin_heater_temperature",
     .symbol = "Th_resin",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     TREND,
     .help = "resin out of the primary heater"},
    {.name = "resin_hose_end_temperature",
     .symbol = "Te_resin",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     TREND,
     .help = "resin at the end of the heated hose"},
    {.name = "resin_gun_temperature",
     .symbol = "Tg_resin",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     TREND,
     .help = "resin at the gun"},
    {.name = "resin_heater_power",
     .symbol = "Pheat_resin",
     .dimension = IMP_POWER,
     .unit = "kW",
     TREND,
     .help = "resin drawn by the primary heater"},
    {.name = "resin_heater_margin",
     .symbol = "sh_resin",
     .dimension = IMP_POWER,
     .unit = "kW",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "resin: that the primary heater could draw more; negative: it lacks as much to hold its set temperature"},
    {.name = "resin_inlet_pressure",
     .symbol = "pi_resin",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "resin at the pump's inlet, gauge"},
    {.name = "resin_inlet_margin",
     .symbol = "si_resin",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "resin: net positive suction pressure at the pump's inlet"},
    {.name = "resin_impingement_reynolds",
     .symbol = "Re_resin",
     .dimension = IMP_PURE,
     .unit = "1",
     TREND,
     .help = "resin of one jet in its orifice"},
    {.name = "resin_discharge_coefficient",
     .symbol = "Cd_resin",
     .dimension = IMP_PURE,
     .unit = "1",
     TREND,
     .help = "resin of the orifices"},
    {.name = "resin_highest_pressure",
     .symbol = "pm_resin",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     TREND,
     .help = "resin anywhere along the run, still or flowing"},
    {.name = "resin_residence_time",
     .symbol = "t_resin",
     .dimension = IMP_TIME,
     .unit = "s",
     TREND,
     .help = "resin: from the heater to the gun"},
    {.name = "imbalance",
     .symbol = "b",
     .dimension = IMP_PURE,
     .unit = "%",
     TREND,
     .help = "difference of the two gun pressures over the higher one"},
    {.name = "momentum_ratio",
     .symbol = "M",
     .dimension = IMP_PURE,
     .unit = "1",
     TREND,
     .help = "momentum flux of the jets, iso over resin; 1 is balanced"},
    {.name = "mixed_temperature",
     .symbol = "Tm",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     TREND,
     .help = "of the two streams mixed, before they react"},
    {.name = "drive_pressure",
     .symbol = "pd",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "of the drive's oil or air, by balance of forces, without friction"},
    {.name = "motor_power",
     .symbol = "Pm",
     .dimension = IMP_POWER,
     .unit = "kW",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "that the motor gives"},
    {.name = "oil_flow",
     .symbol = "Qd",
     .dimension = IMP_FLOW,
     .unit = "L/min",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "that moves the drive's piston"},
    {.name = "governs",
     .kind = IMP_CHOICE,
     .choices = imp_rig_limit_texts,
     TREND,
     .help = "what holds the flow where it is"},
    {.name = "set_pressure_margin",
     .symbol = "s_p",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     TREND,
     .help = "set pressure less the gauge that it refers to"},
    {.name = "drive_pressure_margin",
     .symbol = "s_d",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "what the drive pressure could still rise"},
    {.name = "motor_power_margin",
     .symbol = "s_m",
     .dimension = IMP_POWER,
     .unit = "kW",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "what the motor could still give"},
    {.name = "oil_flow_margin",
     .symbol = "s_o",
     .dimension = IMP_FLOW,
     .unit = "L/min",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "what the oil flow could still rise"},
    {.name = "fluid_pressure_margin",
     .symbol = "s_f",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "what the higher pump pressure could still rise to the rig's limit"},
    {.name = "rating_margin",
     .symbol = "s_r",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "weakest rated part less the highest pressure, still or flowing; negative: too much"},
    {.name = "hose_heating",
     .symbol = "q",
     .dimension = IMP_POWER_PER_LENGTH,
     .unit = "W/m",
     TREND,
     .help = "given to the hose pair"},
    {.name = "hose_heating_most",
     .symbol = "q_most",
     .dimension = IMP_POWER_PER_LENGTH,
     .unit = "W/m",
     TREND,
     .help = "the most that the hose circuit gives"},
    {.name = "hose_power",
     .symbol = "P_hose",
     .dimension = IMP_POWER,
     .unit = "kW",
     TREND,
     .help = "given to both liquids in hose and whip"},
    {.name = "sensor_temperature",
     .symbol = "Tx",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .presence = IMP_OPTIONAL,
     TREND,
     .help = "at the hose's sensor; only where the hose heat is controlled"},
    {.name = "hose_heat",
     .kind = IMP_CHOICE,
     .choices = heats,
     TREND,
     .help = "whether the hose heat holds its set temperature"},
    {.name = "extrapolated",
     .kind = IMP_CHOICE,
     .choices = no_yes,
     TREND,
     .help = "whether a viscosity was needed outside its points"},
    {.name = "orifice_outside",
     .kind = IMP_CHOICE,
     .choices = no_yes,
     TREND,
     .help = "whether an orifice's Reynolds number lies outside what its coefficient was measured for"},
    {.name = "iso_profile",
     .kind = IMP_TABLE,
     .presence = IMP_OPTIONAL,
     .rows = imp_hose_profile_rows,
     TREND,
     .help = "iso state from pump to gun"},
    {.name = "resin_profile",
     .kind = IMP_TABLE,
     .presence = IMP_OPTIONAL,
     .rows = imp_hose_profile_rows,
     TREND,
     .help = "resin state from pump to gun"},
};

imp_value imp_rig_optional(double number)
{
    return (imp_value){.number = number, .given = isfinite(number)};
}

imp_status imp_rig_from_call(const imp_call *call, imp_rig *rig)
{
    const imp_value *in = call->in;
    const imp_status status = imp_rig_read(in, rig, call->error);
    if (status != IMP_OK)
        return status;
    rig->gauge = (imp_rig_gauge)in[LEVER_GAUGE].number;
    const struct {
        int input;
        double *field;
    } levers[] = {{LEVER_MUTUAL, &rig->mutual_conductance},
                  {LEVER_PRESSURE, &rig->set_pressure},
                  {LEVER_AIR, &rig->ambient_temperature},
                  {LEVER_DRUM, &rig->drum_temperature},
                  {LEVER_ISO, &rig->side[IMP_ISO].set_temperature},
                  {LEVER_RESIN, &rig->side[IMP_RESIN].set_temperature},
                  {LEVER_HOSE, &rig->hose_temperature}};
    for (size_t i = 0; i < sizeof levers / sizeof levers[0]; i++)
        if (in[levers[i].input].given)
            *levers[i].field = in[levers[i].input].number;
    return IMP_OK;
}

static void write_side(imp_value *out, const imp_rig_side_result *s)
{
    const double numbers[] = {s->pump_pressure,      s->hose_end_pressure,    s->gun_pressure,
                              s->heater_temperature, s->hose_end_temperature, s->gun_temperature,
                              s->heater_power,       s->heater_margin,        s->inlet_pressure,
                              s->inlet_margin,       s->impingement_reynolds, s->discharge_coefficient,
                              s->highest_pressure,   s->residence_time};
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
        out[i] = imp_rig_optional(numbers[i]);
}

static void write_results(const imp_rig *rig, const imp_rig_result *r, imp_value *out)
{
    const imp_rig_side_result *iso = &r->side[IMP_ISO], *resin = &r->side[IMP_RESIN];
    const double higher = fmax(iso->pump_pressure, resin->pump_pressure);
    out[FLOW].number = r->flow;
    out[ISO_FLOW].number = iso->flow;
    out[RESIN_FLOW].number = resin->flow;
    out[VOLUME_RATIO].number = r->volume_ratio;
    out[CYCLE_RATE] = imp_rig_optional(r->cycle_rate);
    write_side(&out[ISO_PUMP_PRESSURE], iso);
    write_side(&out[RESIN_PUMP_PRESSURE], resin);
    out[IMBALANCE].number = r->imbalance;
    out[MOMENTUM_RATIO].number = r->momentum_ratio;
    out[MIXED_TEMPERATURE].number = r->mixed_temperature;
    out[DRIVE_PRESSURE] = imp_rig_optional(r->drive_pressure);
    out[MOTOR_POWER] = imp_rig_optional(r->motor_power);
    out[OIL_FLOW] = imp_rig_optional(r->oil_flow);
    out[GOVERNS].number = r->governs;
    out[SET_PRESSURE_MARGIN].number = rig->set_pressure - r->set_gauge;
    out[DRIVE_PRESSURE_MARGIN] = imp_rig_optional(rig->drive_pressure_limit - r->drive_pressure);
    out[MOTOR_POWER_MARGIN] = imp_rig_optional(rig->motor_power - r->motor_power);
    out[OIL_FLOW_MARGIN] = imp_rig_optional(rig->oil_flow - r->oil_flow);
    out[FLUID_PRESSURE_MARGIN] = imp_rig_optional(rig->fluid_pressure_limit - higher);
    out[RATING_MARGIN] = imp_rig_optional(fmin(iso->rating_margin, resin->rating_margin));
    out[HOSE_HEATING].number = r->hose_heat;
    out[HOSE_HEATING_MOST].number = r->hose_heat_most;
    out[HOSE_POWER].number = r->hose_power;
    out[SENSOR_TEMPERATURE] = imp_rig_optional(r->sensor_temperature);
    out[HOSE_HEAT].number = r->heat;
    out[EXTRAPOLATED].number = r->extrapolated ? 1.0 : 0.0;
    out[ORIFICE_OUTSIDE].number = r->outside_orifice_range ? 1.0 : 0.0;
}

imp_status imp_rig_point_evaluate(const imp_call *call)
{
    imp_rig rig;
    imp_rig_result result;
    imp_hose_point points[IMP_SIDES][TRACE_POINTS];
    imp_hose_trace traces[IMP_SIDES];
    imp_arena *arena = call->in[POINT_PROFILE].number != 0.0 ? call->arena : NULL;
    for (int side = 0; side < IMP_SIDES; side++)
        traces[side] = (imp_hose_trace){.points = arena != NULL ? points[side] : NULL, .capacity = TRACE_POINTS};
    imp_status status = imp_rig_from_call(call, &rig);
    if (status == IMP_OK)
        status = imp_rig_operating_point(&rig, traces, &result, call->error);
    for (int side = 0; status == IMP_OK && side < IMP_SIDES; side++)
        status = imp_hose_profile_value(&traces[side], arena, &call->out[ISO_PROFILE + side], call->error);
    if (status != IMP_OK)
        return status;
    write_results(&rig, &result, call->out);
    imp_rig_record(call->sheet, &rig, &result);
    return IMP_OK;
}
