#include "heat.h"

#include <math.h>

#include "check_rows.h"
#include "heat_rows.h"
#include "rooms.h"

#define FLOW_ROW(name_, symbol_, help_)                                                                                \
    {                                                                                                                  \
        .name = (name_), .symbol = (symbol_), .kind = IMP_NUMBER, .dimension = IMP_FLOW, .unit = "L/min",              \
        .presence = IMP_REQUIRED, .low = 0.0, .high = IMP_LITRE_PER_MINUTE(60000.0), .ends = IMP_OPEN_LOW,             \
        .help = (help_)                                                                                                \
    }
#define DENSITY_ROW(name_, symbol_, help_)                                                                             \
    {                                                                                                                  \
        .name = (name_), .symbol = (symbol_), .kind = IMP_NUMBER, .dimension = IMP_DENSITY, .unit = "kg/m^3",          \
        .presence = IMP_REQUIRED, .low = 0.1, .high = 25000.0, .help = (help_)                                         \
    }
#define HEAT_CAPACITY_ROW(name_, symbol_, help_)                                                                       \
    {                                                                                                                  \
        .name = (name_), .symbol = (symbol_), .kind = IMP_NUMBER, .dimension = IMP_HEAT_CAPACITY, .unit = "kJ/(kg K)", \
        .presence = IMP_REQUIRED, .low = IMP_KILOJOULE_PER_KILOGRAM_KELVIN(0.1),                                       \
        .high = IMP_KILOJOULE_PER_KILOGRAM_KELVIN(20.0), .help = (help_)                                               \
    }
#define TEMPERATURE_ROW(name_, symbol_, help_)                                                                         \
    {                                                                                                                  \
        .name = (name_), .symbol = (symbol_), .kind = IMP_NUMBER, .dimension = IMP_TEMPERATURE, .unit = "degC",        \
        .presence = IMP_REQUIRED, .low = IMP_CELSIUS(-60.0), .high = IMP_CELSIUS(300.0), .help = (help_)               \
    }
#define EFFICIENCY_ROW                                                                                                 \
    {                                                                                                                  \
        .name = "efficiency", .symbol = "eta", .kind = IMP_NUMBER, .dimension = IMP_PURE, .unit = "%",                 \
        .presence = IMP_DEFAULT, .low = IMP_PERCENT(1.0), .high = IMP_PERCENT(100.0), .fallback = 1.0,                 \
        .help = "share of the heater's power that reaches the liquid"                                                  \
    }

/* heat.heating_power */

static const imp_param heating_power_in[] = {
    FLOW_ROW("flow", "Q", "volume flow through the heater"),
    DENSITY_ROW("density", "rho", "density of the liquid"),
    HEAT_CAPACITY_ROW("heat_capacity", "cp", "specific heat capacity of the liquid"),
    {.name = "temperature_rise",
     .symbol = "dT",
     .kind = IMP_NUMBER,
     .dimension = IMP_TEMPERATURE_DIFFERENCE,
     .unit = "K",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 300.0,
     .help = "outlet less inlet temperature"},
    EFFICIENCY_ROW,
};
static const imp_param heating_power_out[] = {
    {.name = "power",
     .symbol = "P",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER,
     .unit = "kW",
     .trend = "++++-",
     .help = "power the heater takes"},
};

imp_status imp_heat_heating_power(double flow, double density, double heat_capacity, double temperature_rise,
                                  double efficiency, double *power, imp_error *error)
{
    const double values[5] = {flow, density, heat_capacity, temperature_rise, efficiency};
    const imp_status status = imp_check_rows(heating_power_in, values, 5, error);
    if (status != IMP_OK)
        return status;
    *power = density * flow * heat_capacity * temperature_rise / efficiency;
    return IMP_OK;
}

static imp_status heating_power_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    return imp_heat_heating_power(in[0].number, in[1].number, in[2].number, in[3].number, in[4].number,
                                  &call->out[0].number, call->error);
}

/* heat.heated_flow */

static const imp_param heated_flow_in[] = {
    {.name = "power",
     .symbol = "P",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER,
     .unit = "kW",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = IMP_KILOWATT(10000.0),
     .help = "power the heater takes"},
    DENSITY_ROW("density", "rho", "density of the liquid"),
    HEAT_CAPACITY_ROW("heat_capacity", "cp", "specific heat capacity of the liquid"),
    {.name = "temperature_rise",
     .symbol = "dT",
     .kind = IMP_NUMBER,
     .dimension = IMP_TEMPERATURE_DIFFERENCE,
     .unit = "K",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 300.0,
     .ends = IMP_OPEN_LOW,
     .help = "outlet less inlet temperature"},
    EFFICIENCY_ROW,
};
static const imp_param heated_flow_out[] = {
    {.name = "flow",
     .symbol = "Q",
     .kind = IMP_NUMBER,
     .dimension = IMP_FLOW,
     .unit = "L/min",
     .trend = "+---+",
     .help = "largest volume flow that the heater lifts by this much"},
};

imp_status imp_heat_heated_flow(double power, double density, double heat_capacity, double temperature_rise,
                                double efficiency, double *flow, imp_error *error)
{
    const double values[5] = {power, density, heat_capacity, temperature_rise, efficiency};
    const imp_status status = imp_check_rows(heated_flow_in, values, 5, error);
    if (status != IMP_OK)
        return status;
    *flow = power * efficiency / (density * heat_capacity * temperature_rise);
    return IMP_OK;
}

static imp_status heated_flow_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    return imp_heat_heated_flow(in[0].number, in[1].number, in[2].number, in[3].number, in[4].number,
                                &call->out[0].number, call->error);
}

/* heat.viscous_rise */

static const imp_param viscous_rise_in[] = {
    {.name = "pressure_drop",
     .symbol = "dp",
     .kind = IMP_NUMBER,
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = IMP_BAR(1000.0),
     .help = "pressure lost to friction"},
    DENSITY_ROW("density", "rho", "density of the liquid"),
    HEAT_CAPACITY_ROW("heat_capacity", "cp", "specific heat capacity of the liquid"),
};
static const imp_param viscous_rise_out[] = {
    {.name = "temperature_rise",
     .symbol = "dT",
     .kind = IMP_NUMBER,
     .dimension = IMP_TEMPERATURE_DIFFERENCE,
     .unit = "K",
     .trend = "+--",
     .help = "rise when no heat leaves the liquid"},
};

imp_status imp_heat_viscous_rise(double pressure_drop, double density, double heat_capacity, double *temperature_rise,
                                 imp_error *error)
{
    const double values[3] = {pressure_drop, density, heat_capacity};
    const imp_status status = imp_check_rows(viscous_rise_in, values, 3, error);
    if (status != IMP_OK)
        return status;
    *temperature_rise = pressure_drop / (density * heat_capacity);
    return IMP_OK;
}

static imp_status viscous_rise_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    return imp_heat_viscous_rise(in[0].number, in[1].number, in[2].number, &call->out[0].number, call->error);
}

/* heat.outlet_temperature */

static const imp_param outlet_temperature_in[] = {
    TEMPERATURE_ROW("inlet_temperature", "Ti", "of the liquid as it enters"),
    TEMPERATURE_ROW("ambient_temperature", "Ta", "of the air around the hose"),
    FLOW_ROW("flow", "Q", "volume flow through the hose"),
    DENSITY_ROW("density", "rho", "density of the liquid"),
    HEAT_CAPACITY_ROW("heat_capacity", "cp", "specific heat capacity of the liquid"),
    {.name = "loss_coefficient",
     .symbol = "U",
     .kind = IMP_NUMBER,
     .dimension = IMP_CONDUCTIVITY,
     .unit = "W/(m K)",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 1000.0,
     .help = "heat lost per metre and kelvin, as heat.hose_loss gives it; 0 loses nothing"},
    {.name = "length",
     .symbol = "L",
     .kind = IMP_NUMBER,
     .dimension = IMP_LENGTH,
     .unit = "m",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 10000.0,
     .help = "length of the hose"},
    {.name = "heating",
     .symbol = "q",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER_PER_LENGTH,
     .unit = "W/m",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 10000.0,
     .fallback = 0.0,
     .help = "heating power per metre of hose"},
};
static const imp_param outlet_temperature_out[] = {
    {.name = "outlet_temperature",
     .symbol = "To",
     .kind = IMP_NUMBER,
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .trend = "++?????+",
     .help = "of the liquid as it leaves"},
};

/* (1 - exp(-x))/x for x >= 0, with its limit 1 at 0. */
static double mean_decay(double x)
{
    return x > 0.0 ? -expm1(-x) / x : 1.0;
}

imp_status imp_heat_outlet_temperature(double inlet_temperature, double ambient_temperature, double flow,
                                       double density, double heat_capacity, double loss_coefficient, double length,
                                       double heating, double *outlet_temperature, imp_error *error)
{
    const double values[8] = {inlet_temperature, ambient_temperature, flow,   density,
                              heat_capacity,     loss_coefficient,    length, heating};
    const imp_status status = imp_check_rows(outlet_temperature_in, values, 8, error);
    if (status != IMP_OK)
        return status;
    const double capacity_flow = density * flow * heat_capacity; /* W/K */
    const double decay = loss_coefficient * length / capacity_flow;
    const double towards_ambient = -expm1(-decay) * (ambient_temperature - inlet_temperature);
    *outlet_temperature = inlet_temperature + towards_ambient + heating * length / capacity_flow * mean_decay(decay);
    return IMP_OK;
}

static imp_status outlet_temperature_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_status status =
        imp_heat_outlet_temperature(in[0].number, in[1].number, in[2].number, in[3].number, in[4].number, in[5].number,
                                    in[6].number, in[7].number, &call->out[0].number, call->error);
    if (status != IMP_OK)
        return status;
    const double capacity_flow = in[3].number * in[2].number * in[4].number;
    imp_sheet_step(call->sheet, "x", "loss over the length against the flow's heat capacity", "U L/(rho Q cp)",
                   in[5].number * in[6].number / capacity_flow, "1");
    if (in[5].number > 0.0)
        imp_sheet_step(call->sheet, "Te", "temperature approached in a very long hose", "Ta + q/U",
                       in[1].number + in[7].number / in[5].number, "degC");
    return IMP_OK;
}

/* heat.warm_up_time */

static const imp_param warm_up_time_in[] = {
    {.name = "power",
     .symbol = "P",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER,
     .unit = "kW",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = IMP_KILOWATT(10000.0),
     .help = "constant heating power"},
    {.name = "heat_capacity_total",
     .symbol = "C",
     .kind = IMP_NUMBER,
     .dimension = IMP_HEAT_CAPACITY_TOTAL,
     .unit = "kJ/K",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 1e9,
     .ends = IMP_OPEN_LOW,
     .help = "mass times specific heat capacity of all that is heated"},
    {.name = "loss",
     .symbol = "G",
     .kind = IMP_NUMBER,
     .dimension = IMP_HEAT_LOSS,
     .unit = "W/K",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 1e5,
     .help = "heat lost per kelvin above ambient; 0 loses nothing"},
    TEMPERATURE_ROW("ambient_temperature", "Ta", "of the surroundings"),
    TEMPERATURE_ROW("start_temperature", "T0", "at the start"),
    TEMPERATURE_ROW("target_temperature", "T1", "to be reached"),
};
static const imp_param warm_up_time_out[] = {
    {.name = "time",
     .symbol = "t",
     .kind = IMP_NUMBER,
     .dimension = IMP_TIME,
     .unit = "min",
     .trend = "-++--+",
     .help = "until the target is reached"},
    {.name = "energy",
     .symbol = "E",
     .kind = IMP_NUMBER,
     .dimension = IMP_ENERGY,
     .unit = "kWh",
     .trend = "?++--+",
     .help = "power times time"},
};

static imp_status refuse_target(double reachable, double target, imp_error *error)
{
    const imp_param *row = &warm_up_time_in[5];
    char wanted[96], settles[96];
    return imp_fail(error, IMP_NO_SOLUTION, row->name, "%s is not reached; this power against this loss settles at %s",
                    imp_param_format(row, target, 0, wanted, sizeof wanted),
                    imp_param_format(row, reachable, 0, settles, sizeof settles));
}

imp_status imp_heat_warm_up_time(double power, double heat_capacity_total, double loss, double ambient_temperature,
                                 double start_temperature, double target_temperature, double *time, double *energy,
                                 imp_error *error)
{
    const double values[6] = {
        power, heat_capacity_total, loss, ambient_temperature, start_temperature, target_temperature};
    const imp_status status = imp_check_rows(warm_up_time_in, values, 6, error);
    if (status != IMP_OK)
        return status;
    const double rise = target_temperature - start_temperature;
    if (rise < 0.0) {
        const imp_param *row = &warm_up_time_in[5];
        char target[96], start[96];
        return imp_fail(error, IMP_RANGE, row->name, "%s is below the start_temperature of %s; this warms up only",
                        imp_param_format(row, target_temperature, 0, target, sizeof target),
                        imp_param_format(row, start_temperature, 0, start, sizeof start));
    }
    double needed = 0.0;
    if (rise > 0.0) {
        const double surplus =
            power - loss * (start_temperature - ambient_temperature); /* W into the mass at the start */
        if (!(surplus > 0.0) || loss * rise >= surplus)
            return refuse_target(loss > 0.0 ? ambient_temperature + power / loss : start_temperature,
                                 target_temperature, error);
        const double without_loss = heat_capacity_total * rise / surplus;
        const double share = loss * rise / surplus; /* of the way to where the temperature settles */
        needed = share > 0.0 ? without_loss * -log1p(-share) / share : without_loss;
    }
    *time = needed;
    *energy = power * needed;
    return IMP_OK;
}

static imp_status warm_up_time_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_status status =
        imp_heat_warm_up_time(in[0].number, in[1].number, in[2].number, in[3].number, in[4].number, in[5].number,
                              &call->out[0].number, &call->out[1].number, call->error);
    if (status == IMP_OK && in[2].number > 0.0)
        imp_sheet_step(call->sheet, "Te", "temperature reached in the end", "Ta + P/G",
                       in[3].number + in[0].number / in[2].number, "degC");
    return status;
}

/* heat.mixed_temperature */

enum { STREAM_ROWS = 4 };

static const imp_param mixed_temperature_in[] = {
    FLOW_ROW("iso_flow", "Q_iso", "volume flow of the iso"),
    DENSITY_ROW("iso_density", "rho_iso", "density of the iso"),
    HEAT_CAPACITY_ROW("iso_heat_capacity", "c_iso", "specific heat capacity of the iso"),
    TEMPERATURE_ROW("iso_temperature", "T_iso", "of the iso at the gun"),
    FLOW_ROW("resin_flow", "Q_resin", "volume flow of the resin"),
    DENSITY_ROW("resin_density", "rho_resin", "density of the resin"),
    HEAT_CAPACITY_ROW("resin_heat_capacity", "c_resin", "specific heat capacity of the resin"),
    TEMPERATURE_ROW("resin_temperature", "T_resin", "of the resin at the gun"),
};
static const imp_param mixed_temperature_out[] = {
    {.name = "temperature",
     .symbol = "T",
     .kind = IMP_NUMBER,
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .trend = "???+"
              "???+",
     .help = "of the mixture before it reacts"},
};

imp_status imp_heat_mixed_temperature(const imp_heat_stream *iso, const imp_heat_stream *resin, double *temperature,
                                      imp_error *error)
{
    const double values[2 * STREAM_ROWS] = {iso->flow,   iso->density,   iso->heat_capacity,   iso->temperature,
                                            resin->flow, resin->density, resin->heat_capacity, resin->temperature};
    const imp_status status = imp_check_rows(mixed_temperature_in, values, sizeof values / sizeof values[0], error);
    if (status != IMP_OK)
        return status;
    const double iso_capacity = iso->density * iso->flow * iso->heat_capacity;
    const double resin_capacity = resin->density * resin->flow * resin->heat_capacity;
    const double resin_share = resin_capacity / (iso_capacity + resin_capacity);
    *temperature = iso->temperature + resin_share * (resin->temperature - iso->temperature);
    return IMP_OK;
}

static imp_heat_stream stream_of(const imp_value *in)
{
    return (imp_heat_stream){
        .flow = in[0].number, .density = in[1].number, .heat_capacity = in[2].number, .temperature = in[3].number};
}

static imp_status mixed_temperature_evaluate(const imp_call *call)
{
    const imp_heat_stream iso = stream_of(call->in);
    const imp_heat_stream resin = stream_of(call->in + STREAM_ROWS);
    return imp_heat_mixed_temperature(&iso, &resin, &call->out[0].number, call->error);
}

const imp_calc imp_heat_calcs[] = {
    IMP_CALC(heating_power, "heat.heating_power", "Power to heat a flow", "P = rho Q cp dT/eta",
             "energy balance; any thermodynamics textbook", "steady flow, constant heat capacity, no change of phase"),
    IMP_CALC(heated_flow, "heat.heated_flow", "Flow that a heater can lift", "Q = P eta/(rho cp dT)",
             "energy balance; any thermodynamics textbook", "steady flow, constant heat capacity, no change of phase"),
    IMP_CALC(
        viscous_rise, "heat.viscous_rise", "Temperature rise from a pressure drop", "dT = dp/(rho cp)",
        "energy balance; any thermodynamics textbook",
        "liquid of constant density that neither gives off heat nor does work; expansion of the liquid is neglected"),
    IMP_CALC(
        imp_heat_hose_loss, "heat.hose_loss", "Heat loss of an insulated hose",
        "q = 2 pi k (Tf - Ts)/ln(d2/d1) = pi d2 (hc (Ts - Ta) + eps sigma (Ts^4 - Ta^4)); U = q/(Tf - Ta); hc = Nu "
        "ka/d2; "
        "Nu is the larger of (0.60 + 0.387 Ra^(1/6)/(1 + (0.559/Pr)^(9/16))^(8/27))^2 and "
        "0.3 + 0.62 Re^(1/2) Pr^(1/3)/(1 + (0.4/Pr)^(2/3))^(1/4) (1 + (Re/282000)^(5/8))^(4/5); air at Tm = (Ts + "
        "Ta)/2",
        "conduction: Fourier; still air: S. W. Churchill and H. H. S. Chu, Int. J. Heat Mass Transfer 18 (1975) 1049; "
        "wind: S. W. Churchill and M. Bernstein, J. Heat Transfer 99 (1977) 300; air properties: ISO 2533:1975 "
        "(Sutherland viscosity, conductivity, perfect gas, kappa 1.4) at 101.325 kPa; sigma: CODATA 2018",
        "horizontal hose, dry air near sea level, Ra to 1e12, Re Pr above 0.2 for the wind law; no resistance inside "
        "the "
        "liquid; surroundings at ambient temperature, no sun and no rain; the larger of natural and forced "
        "convection stands for both in a light wind"),
    IMP_CALC(outlet_temperature, "heat.outlet_temperature", "Temperature at the end of a hose",
             "To = Te + (Ti - Te) exp(-U L/(rho Q cp)), Te = Ta + q/U; without loss To = Ti + q L/(rho Q cp)",
             "F. P. Incropera et al., Fundamentals of Heat and Mass Transfer, 6th ed., eq. 8.45a (number from memory), "
             "with constant heating added",
             "steady flow, constant properties, heating and loss even along the hose, viscous heating not counted"),
    IMP_CALC(imp_heat_hose_circuit, "heat.hose_circuit", "Hose heating on an unregulated supply",
             "I = V/(n R + Rl); P = n R I^2; q = R I^2/Ls; Pl = Rl I^2", "Ohm and Joule",
             "sections in series, resistance as it is when warm, no regulation"),
    IMP_CALC(
        imp_heat_hose_tap, "heat.hose_tap", "Transformer tap for the hose heating",
        "I = Is, or sqrt(qn Ls/R), at most Im; V = the lowest tap with V s >= I (n R + Rl), else the highest, and then "
        "I = V s/(n R + Rl); P = n R I^2; q = R I^2/Ls; S = V s I",
        "Ohm and Joule; choice of the tap: common practice, no source",
        "a regulator holds the current at or below what the tap would drive; sections in series, resistance as it is "
        "when warm; the transformer's own drop is not counted"),
    IMP_CALC(warm_up_time, "heat.warm_up_time", "Time to warm up",
             "t = (C/G) ln((Te - T0)/(Te - T1)), Te = Ta + P/G; without loss t = C (T1 - T0)/P; E = P t",
             "lumped heat capacity; F. P. Incropera et al., Fundamentals of Heat and Mass Transfer, 6th ed., section "
             "5.3 (number from memory)",
             "one temperature throughout (well stirred or slow), constant power and loss per kelvin"),
    IMP_CALC(mixed_temperature, "heat.mixed_temperature", "Temperature of the mixed components",
             "T = (rho_iso Q_iso c_iso T_iso + rho_resin Q_resin c_resin T_resin)/(rho_iso Q_iso c_iso + rho_resin "
             "Q_resin c_resin)",
             "energy balance; any thermodynamics textbook",
             "before any reaction, constant heat capacities, no heat of mixing"),
    IMP_CALC_END,
};
