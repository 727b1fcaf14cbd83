/* The room's entries: the operating point (rig_entry.c) and the questions on top of it (rig_need.c, rig_heat_up.c). */
#include <math.h>

#include "field_table.h"
#include "rig_entry.h"
#include "rooms.h"

const char *const imp_rig_shortfall_texts[] = {[IMP_RIG_NOTHING] = "nothing",
                                               [IMP_RIG_GUN_PRESSURE] = "pressure at the gun",
                                               [IMP_RIG_FLOW] = "flow",
                                               [IMP_RIG_GUN_TEMPERATURE] = "temperature at the gun",
                                               [IMP_RIG_RANGE_END] = "end of the range",
                                               [IMP_RIG_NO_FLOW] = "no operating point",
                                               [IMP_RIG_HOSE_HEAT] = "heat of the hose",
                                               NULL};

/* ---- rows ---- */

enum { NEED_PRESSURE = RIG_POINT_INPUTS, NEED_TEMPERATURE, NEED_FLOW, NEED_INPUTS };
#define LEAST_PRESSURE_ROW                                                                                             \
    {                                                                                                                  \
        .name = "least_pressure", .symbol = "p_least", .dimension = IMP_PRESSURE, .unit = "bar",                       \
        .presence = IMP_OPTIONAL, .low = 0.0, .high = IMP_BAR(700.0), .ends = IMP_OPEN_LOW,                            \
        .help = "that either side must have at the gun; else the material's window"                                    \
    }
#define LEAST_TEMPERATURE_ROW                                                                                          \
    RIG_TEMPERATURE_LEVER("least_temperature", "T_least", -40.0, 120.0,                                                \
                          "that either side must have at the gun; else the material's window for the hose")
#define LEAST_FLOW_ROW                                                                                                 \
    {                                                                                                                  \
        .name = "least_flow", .symbol = "Q_least", .dimension = IMP_FLOW, .unit = "L/min", .presence = IMP_OPTIONAL,   \
        .low = 0.0, .high = IMP_LITRE_PER_MINUTE(200.0), .ends = IMP_OPEN_LOW,                                         \
        .help = "of both sides together; does not matter when not given"                                               \
    }
#define NEED_ROWS RIG_RECORD_ROWS, RIG_LEVER_ROWS, LEAST_PRESSURE_ROW, LEAST_TEMPERATURE_ROW, LEAST_FLOW_ROW

#define OUT(name_, symbol_, dimension_, unit_, trend_, help_)                                                          \
    {                                                                                                                  \
        .name = (name_), .symbol = (symbol_), .dimension = (dimension_), .unit = (unit_), .trend = (trend_),           \
        .help = (help_)                                                                                                \
    }
#define OUT_OPTIONAL(name_, symbol_, dimension_, unit_, trend_, help_)                                                 \
    {                                                                                                                  \
        .name = (name_), .symbol = (symbol_), .dimension = (dimension_), .unit = (unit_), .presence = IMP_OPTIONAL,    \
        .trend = (trend_), .help = (help_)                                                                             \
    }
#define OUT_CHOICE(name_, choices_, trend_, help_)                                                                     \
    {                                                                                                                  \
        .name = (name_), .kind = IMP_CHOICE, .choices = (choices_), .trend = (trend_), .help = (help_)                 \
    }
/* one sign an input, none of which is declared: records and what stands instead of their fields */
#define POINT_TREND                                                                                                    \
    "???????"                                                                                                          \
    "???????"                                                                                                          \
    "?"
#define NEED_TREND POINT_TREND "???"

#define POINT_ROWS(trend_)                                                                                             \
    OUT("flow", "Q", IMP_FLOW, "L/min", trend_, "of both sides together there"),                                       \
        OUT("iso_gun_pressure", "pg_iso", IMP_PRESSURE, "bar", trend_, "of the iso before its orifices there"),        \
        OUT("resin_gun_pressure", "pg_resin", IMP_PRESSURE, "bar", trend_, "of the resin before its orifices there"),  \
        OUT("iso_gun_temperature", "Tg_iso", IMP_TEMPERATURE, "degC", trend_, "of the iso at the gun there"),          \
        OUT("resin_gun_temperature", "Tg_resin", IMP_TEMPERATURE, "degC", trend_, "of the resin at the gun there"),    \
        OUT_CHOICE("governs", imp_rig_limit_texts, trend_, "what holds the flow there"),                               \
        OUT_CHOICE("limited_by", imp_rig_shortfall_texts, trend_, "what lacks beyond it")
enum {
    POINT_FLOW,
    POINT_ISO_PRESSURE,
    POINT_RESIN_PRESSURE,
    POINT_ISO_TEMPERATURE,
    POINT_RESIN_TEMPERATURE,
    POINT_GOVERNS,
    POINT_LIMITED,
    POINT_OUTPUTS
};

static void write_point(imp_value *out, const imp_rig_result *r, imp_rig_shortfall limit)
{
    out[POINT_FLOW].number = r->flow;
    out[POINT_ISO_PRESSURE].number = r->side[IMP_ISO].gun_pressure;
    out[POINT_RESIN_PRESSURE].number = r->side[IMP_RESIN].gun_pressure;
    out[POINT_ISO_TEMPERATURE].number = r->side[IMP_ISO].gun_temperature;
    out[POINT_RESIN_TEMPERATURE].number = r->side[IMP_RESIN].gun_temperature;
    out[POINT_GOVERNS].number = r->governs;
    out[POINT_LIMITED].number = limit;
}

/* The rig, and the need: as asked, else the material's window. */
static imp_status read_need(const imp_call *call, imp_rig *rig, imp_rig_need *need)
{
    const imp_status status = imp_rig_from_call(call, rig);
    if (status != IMP_OK)
        return status;
    const imp_value *in = call->in;
    *need = (imp_rig_need){
        .gun_pressure = in[NEED_PRESSURE].given ? in[NEED_PRESSURE].number : rig->gun_pressure_least,
        .gun_temperature = in[NEED_TEMPERATURE].given ? in[NEED_TEMPERATURE].number : rig->hose_temperature_least,
        .flow = in[NEED_FLOW].given ? in[NEED_FLOW].number : (double)NAN,
    };
    return IMP_OK;
}

/* rig.most_sections */
static const imp_param most_sections_in[] = {NEED_ROWS};
static const imp_param most_sections_out[] = {
    OUT("sections", "n", IMP_PURE, "1", NEED_TREND, "the largest number with which the rig works"),
    POINT_ROWS(NEED_TREND),
};

static imp_status most_sections_evaluate(const imp_call *call)
{
    imp_rig rig;
    imp_rig_need need;
    imp_rig_result result;
    imp_rig_shortfall limit;
    int sections = 0;
    imp_status status = read_need(call, &rig, &need);
    if (status == IMP_OK)
        status = imp_rig_most_sections(&rig, &need, &sections, &limit, &result, call->error);
    if (status != IMP_OK)
        return status;
    call->out[0].number = sections;
    write_point(&call->out[1], &result, limit);
    return IMP_OK;
}

/* rig.largest_orifice */
static const imp_param largest_orifice_in[] = {NEED_ROWS};
static const imp_param largest_orifice_out[] = {
    OUT("iso_orifice", "d_iso", IMP_LENGTH, "mm", NEED_TREND, "diameter of one iso orifice"),
    OUT("resin_orifice", "d_resin", IMP_LENGTH, "mm", NEED_TREND, "diameter of one resin orifice"),
    OUT("factor", "k", IMP_PURE, "1", NEED_TREND, "by which both are wider than the rig's"),
    POINT_ROWS(NEED_TREND),
};

static imp_status largest_orifice_evaluate(const imp_call *call)
{
    imp_rig rig;
    imp_rig_need need;
    imp_rig_result result;
    imp_rig_shortfall limit;
    double factor = 0.0;
    imp_status status = read_need(call, &rig, &need);
    if (status == IMP_OK)
        status = imp_rig_largest_orifice(&rig, &need, &factor, &limit, &result, call->error);
    if (status != IMP_OK)
        return status;
    call->out[0].number = factor * rig.side[IMP_ISO].orifice;
    call->out[1].number = factor * rig.side[IMP_RESIN].orifice;
    call->out[2].number = factor;
    write_point(&call->out[3], &result, limit);
    return IMP_OK;
}

/* rig.lowest_ambient */
static const imp_param lowest_ambient_in[] = {NEED_ROWS};
static const imp_param lowest_ambient_out[] = {
    OUT("ambient_temperature", "Ta", IMP_TEMPERATURE, "degC", NEED_TREND,
        "the lowest at which the rig works and its hose heat holds; drums follow it unless their temperature is given"),
    POINT_ROWS(NEED_TREND),
};

static imp_status lowest_ambient_evaluate(const imp_call *call)
{
    imp_rig rig;
    imp_rig_need need;
    imp_rig_result result;
    imp_rig_shortfall limit;
    double ambient = 0.0;
    imp_status status = read_need(call, &rig, &need);
    if (status == IMP_OK)
        status = imp_rig_lowest_ambient(&rig, &need, &ambient, &limit, &result, call->error);
    if (status != IMP_OK)
        return status;
    call->out[0].number = ambient;
    write_point(&call->out[1], &result, limit);
    return IMP_OK;
}

/* rig.balancing_temperature */
enum { BALANCE_AT = RIG_POINT_INPUTS };
static const char *const places[] = {[IMP_RIG_AT_GUN] = "gun", [IMP_RIG_AT_PUMP] = "pump", NULL};
static const imp_param balancing_temperature_in[] = {
    RIG_RECORD_ROWS,
    RIG_LEVER_ROWS,
    {.name = "balance_at",
     .kind = IMP_CHOICE,
     .presence = IMP_DEFAULT,
     .fallback = IMP_RIG_AT_GUN,
     .choices = places,
     .help = "where iso and resin pressure shall be equal; at the pumps is what the gauges show"},
};
#define BALANCE_TREND POINT_TREND "?"
static const imp_param balancing_temperature_out[] = {
    OUT_OPTIONAL("iso_temperature", "T_iso", IMP_TEMPERATURE, "degC", BALANCE_TREND,
                 "set temperature of the iso side that balances, the resin as it is; not given where none does"),
    OUT_OPTIONAL("resin_temperature", "T_resin", IMP_TEMPERATURE, "degC", BALANCE_TREND,
                 "set temperature of the resin side that balances, the iso as it is; not given where none does"),
    OUT_OPTIONAL("iso_balanced_pressure", "pg_1", IMP_PRESSURE, "bar", BALANCE_TREND,
                 "there, with that iso temperature"),
    OUT_OPTIONAL("resin_balanced_pressure", "pg_2", IMP_PRESSURE, "bar", BALANCE_TREND,
                 "there, with that resin temperature"),
    OUT("imbalance", "b", IMP_PURE, "%", BALANCE_TREND, "at the gun as the rig is set, of the higher pressure"),
};

static imp_status balancing_temperature_evaluate(const imp_call *call)
{
    imp_rig rig;
    imp_rig_result as_set, balanced;
    imp_status status = imp_rig_from_call(call, &rig);
    if (status == IMP_OK)
        status = imp_rig_operating_point(&rig, NULL, &as_set, call->error);
    if (status != IMP_OK)
        return status;
    const imp_rig_place place = (imp_rig_place)call->in[BALANCE_AT].number;
    bool found = false;
    for (int side = 0; side < IMP_SIDES; side++) {
        double temperature = (double)NAN;
        const imp_status own =
            imp_rig_balancing_temperature(&rig, (imp_side)side, place, &temperature, &balanced, call->error);
        const imp_rig_side_result *own_side = &balanced.side[side];
        const double pressure = own != IMP_OK             ? (double)NAN
                                : place == IMP_RIG_AT_GUN ? own_side->gun_pressure
                                                          : own_side->pump_pressure;
        call->out[side] = imp_rig_optional(temperature);
        call->out[2 + side] = imp_rig_optional(pressure);
        found = found || own == IMP_OK;
        status = own;
    }
    if (!found)
        return status;
    call->out[4].number = as_set.imbalance;
    return IMP_OK;
}

/* rig.heat_up_time */
enum { HEATER_CAPACITY = RIG_POINT_INPUTS, AVAILABLE_POWER, HEAT_UP_INPUTS };
static const imp_param heat_up_time_in[] = {
    RIG_RECORD_ROWS,
    RIG_LEVER_ROWS,
    {.name = "heater_heat_capacity",
     .symbol = "C_heater",
     .dimension = IMP_HEAT_CAPACITY_TOTAL,
     .unit = "kJ/K",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 1e6,
     .help = "of one primary heater with the liquid in it; not counted when not given"},
    {.name = "available_power",
     .symbol = "P_max",
     .dimension = IMP_POWER,
     .unit = "kW",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 1e6,
     .ends = IMP_OPEN_LOW,
     .help = "what the supply gives for heating; else breaker times voltage, else no limit"},
};
#define HEAT_UP_TREND POINT_TREND "??"
static const imp_param heat_up_time_out[] = {
    OUT("time", "t", IMP_TIME, "min", HEAT_UP_TREND, "until drums, heaters and hose are warm"),
    OUT("drum_time", "t_drum", IMP_TIME, "min", HEAT_UP_TREND, "until both drums have what the material asks for"),
    OUT("hose_time", "t_hose", IMP_TIME, "min", HEAT_UP_TREND, "until the hose has its set temperature"),
    OUT("heater_time", "t_heater", IMP_TIME, "min", HEAT_UP_TREND,
        "until both primary heaters have their set temperatures"),
    OUT("power_wanted", "P", IMP_POWER, "kW", HEAT_UP_TREND, "with everything on"),
    OUT_OPTIONAL("power_available", "P_max", IMP_POWER, "kW", HEAT_UP_TREND,
                 "what the supply gives; not given where it sets no limit"),
    OUT("share", "s", IMP_PURE, "%", HEAT_UP_TREND, "of what it wants that each load gets at first"),
    OUT("energy", "E", IMP_ENERGY, "kWh", HEAT_UP_TREND, "from the supply"),
};

static imp_status heat_up_time_evaluate(const imp_call *call)
{
    imp_rig rig;
    imp_rig_heat_up r;
    const imp_value *capacity = &call->in[HEATER_CAPACITY], *available = &call->in[AVAILABLE_POWER];
    imp_status status = imp_rig_from_call(call, &rig);
    if (status == IMP_OK)
        status = imp_rig_heat_up_time(&rig, capacity->given ? capacity->number : (double)NAN,
                                      available->given ? available->number : (double)NAN, &r, call->error);
    if (status != IMP_OK)
        return status;
    const double numbers[] = {r.time,         r.drum_time,       r.hose_time, r.heater_time,
                              r.power_wanted, r.power_available, r.share,     r.energy};
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++)
        call->out[i] = imp_rig_optional(numbers[i]);
    return IMP_OK;
}

#define POINT_SOURCE                                                                                                   \
    "balances of force, heat and flow; the parts' own sources: hose.pair, hose.pressure_drop, gun.orifice_pressure, "  \
    "gun.discharge_coefficient, heat.hose_tap, heat.hose_loss, pump.drive_pressure, pump.inlet_margin, "               \
    "gun.impingement"
#define POINT_VALIDITY                                                                                                 \
    "steady spraying; heaters without pressure loss, no friction in the drive's force balance, atmospheric pressure "  \
    "in the "                                                                                                          \
    "gun's chamber; between the material's viscosity points, outside them it is marked. It supports and never "        \
    "replaces the "                                                                                                    \
    "makers' data and the gauges on the rig"

/* Invented, and no recommendation. */
#define EXAMPLE_LIQUID(density_, heat_capacity_, cool_, warm_)                                                         \
    "{\"density\": \"" density_ " kg/m^3\", \"heat_capacity\": \"" heat_capacity_ " kJ/(kg K)\", \"viscosity\": "      \
    "[{\"temperature\": \"20 degC\", \"viscosity\": \"" cool_ " mPa s\"}, "                                            \
    "{\"temperature\": \"50 degC\", \"viscosity\": \"" warm_                                                           \
    " mPa s\"}], \"drum_temperature\": {\"min\": \"18 degC\"}}"
#define EXAMPLE                                                                                                        \
    "rig='{\"hose\": {\"section_length\": \"15 m\", \"iso_bore\": \"9.6 mm\", \"resin_bore\": \"9.6 mm\", "            \
    "\"loss_coefficient\": \"0.6 W/(m K)\"}, "                                                                         \
    "\"gun\": {\"iso_orifice\": \"1 mm\", \"resin_orifice\": \"1 mm\", \"discharge_coefficient\": \"75 %\"}, "         \
    "\"drum_heater\": {\"power\": \"1 kW\", \"loss\": \"5 W/K\"}}' "                                                   \
    "material='{\"volume_ratio\": 1, \"drum_volume\": \"200 L\", \"iso\": " EXAMPLE_LIQUID(                            \
        "1230", "1.6", "290",                                                                                          \
        "65") ", \"resin\": " EXAMPLE_LIQUID("1150", "1.9", "700",                                                     \
                                             "150") "}' "                                                              \
                                                    "hoses='{\"sections\": 3, \"whip\": false}' "                      \
                                                    "settings='{\"iso_temperature\": \"45 degC\", "                    \
                                                    "\"resin_temperature\": \"45 degC\", \"pressure\": \"90 bar\"}' "  \
                                                    "site='{\"air_temperature\": \"15 degC\"}'"

const imp_calc imp_rig_calcs[] = {
    IMP_CALC_EXAMPLE(
        imp_rig_point, "rig.operating_point", "Operating point of the rig from drum to gun",
        "the largest Q with gauge <= p_set and drive pressure, motor power, oil flow and fluid pressure each "
        "within its limit; "
        "Q_iso = Q r/(1 + r), m = rho Q_side; T_h = min(T_set, T_drum + P/(m cp)); hoses as hose.pair; "
        "p_gun = rho/2 (m/(rho n Cd pi d^2/4))^2; p_pump = p_gun + drop; p_drive = sum of p A/A_drive; "
        "P_motor = sum of p Q/eta; gauge = the higher p_pump (or the mean by area)",
        POINT_SOURCE, POINT_VALIDITY, EXAMPLE),
    IMP_CALC_EXAMPLE(
        most_sections, "rig.most_sections", "Largest number of hose sections that the rig can feed",
        "the largest n of 1, 2, ... up to which every operating point meets the least gun pressure, temperature "
        "and flow, and k (T_hose - Ta) <= P' of the hose circuit: the hose holds its set temperature standing still",
        POINT_SOURCE, POINT_VALIDITY, EXAMPLE " least_pressure=\"60 bar\""),
    IMP_CALC_EXAMPLE(
        largest_orifice, "rig.largest_orifice", "Largest orifices, and with them the largest flow, of the rig",
        "the largest factor k of 0.2 .. 5 on both orifices with which the operating point meets the least gun "
        "pressure and "
        "temperature",
        POINT_SOURCE, POINT_VALIDITY, EXAMPLE " least_pressure=\"60 bar\""),
    IMP_CALC_EXAMPLE(
        lowest_ambient, "rig.lowest_ambient", "Lowest air temperature at which the rig works",
        "the lowest Ta from 40 degC down to which the operating point meets the least gun pressure, temperature "
        "and flow, and k (T_hose - Ta) <= P' of the hose circuit: the hose holds its set temperature standing still",
        POINT_SOURCE, POINT_VALIDITY, EXAMPLE " least_pressure=\"60 bar\""),
    IMP_CALC_EXAMPLE(
        balancing_temperature, "rig.balancing_temperature", "Set temperature that balances iso and resin pressure",
        "T of one side (its heater's, and the hose's where the sensor is on that side) with pg_iso = pg_resin, or "
        "p_iso = p_resin at the pumps",
        POINT_SOURCE, POINT_VALIDITY, EXAMPLE " balance_at=pump"),
    IMP_CALC_EXAMPLE(
        heat_up_time, "rig.heat_up_time", "Time to heat up drums, heaters and hose",
        "C dT/dt = s P eta - L (T - Ta) for each load; s = min(1, (P_max - what warm loads lose)/sum of P of "
        "those still heating)",
        "heat balance of a lumped body, solved exactly between one load's end and the next",
        "the liquid still and evenly warm; each load gets the same share of what it wants; power factor 1", EXAMPLE),
    IMP_CALC_END,
};
