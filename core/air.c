#include "air.h"

#include <math.h>

#include "check_rows.h"
#include "hose.h"
#include "humidity.h"
#include "rooms.h"
#include "solve.h"

/* ISO 8778: reference atmosphere ANR. */
#define REFERENCE_PRESSURE 100e3
#define REFERENCE_TEMPERATURE IMP_CELSIUS(20.0)
#define GAS_CONSTANT 287.05 /* J/(kg K), dry air, ISO 2533 */
#define HEAT_RATIO 1.4      /* of air, ISO 2533 */

#define ROW_FREE_AIR(name_, symbol_, help_)                                                                            \
    {                                                                                                                  \
        .name = name_, .symbol = symbol_, .dimension = IMP_FLOW, .unit = "L/min", .presence = IMP_REQUIRED,            \
        .low = 0.0, .high = IMP_LITRE_PER_MINUTE(200e3), .ends = IMP_OPEN_LOW, .help = help_                           \
    }
#define ROW_GAUGE(name_, symbol_, help_)                                                                               \
    {                                                                                                                  \
        .name = name_, .symbol = symbol_, .dimension = IMP_PRESSURE, .unit = "bar", .presence = IMP_REQUIRED,          \
        .low = 0.0, .high = IMP_BAR(400.0), .ends = IMP_OPEN_LOW, .help = help_                                        \
    }
#define ROW_AMBIENT                                                                                                    \
    {                                                                                                                  \
        .name = "ambient_pressure", .symbol = "pa", .dimension = IMP_PRESSURE, .unit = "kPa", .presence = IMP_DEFAULT, \
        .low = IMP_KILOPASCAL(40.0), .high = IMP_KILOPASCAL(110.0), .fallback = IMP_STANDARD_PRESSURE,                 \
        .help = "absolute, on which the gauge stands; see climate.pressure_at_altitude"                                \
    }
#define ROW_LINE_TEMPERATURE                                                                                           \
    {                                                                                                                  \
        .name = "temperature", .symbol = "T", .dimension = IMP_TEMPERATURE, .unit = "degC", .presence = IMP_DEFAULT,   \
        .low = IMP_CELSIUS(-40.0), .high = IMP_CELSIUS(150.0), .fallback = IMP_CELSIUS(20.0),                          \
        .help = "of the air in the line"                                                                               \
    }

/* ---- air.free_air ---- */

static const imp_param free_air_in[] = {
    {.name = "flow",
     .symbol = "Q",
     .dimension = IMP_FLOW,
     .unit = "L/min",
     .low = 0.0,
     .high = IMP_LITRE_PER_MINUTE(200e3),
     .help = "volume flow as it is in the line"},
    {.name = "gauge_pressure",
     .symbol = "p",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .low = 0.0,
     .high = IMP_BAR(400.0),
     .help = "in the line"},
    ROW_LINE_TEMPERATURE,
    ROW_AMBIENT,
};
static const imp_param free_air_out[] = {
    {.name = "free_air_flow",
     .symbol = "Qn",
     .dimension = IMP_FLOW,
     .unit = "L/min",
     .trend = "++-+",
     .help = "at 20 degC and 100 kPa"},
};

imp_status imp_air_free_air(double flow, double gauge_pressure, double temperature, double ambient_pressure,
                            double *free_air_flow, imp_error *error)
{
    const double values[] = {flow, gauge_pressure, temperature, ambient_pressure};
    const imp_status status = imp_check_rows(free_air_in, values, 4, error);
    if (status == IMP_OK)
        *free_air_flow =
            flow * (gauge_pressure + ambient_pressure) / REFERENCE_PRESSURE * REFERENCE_TEMPERATURE / temperature;
    return status;
}

static imp_status free_air_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    return imp_air_free_air(in[0].number, in[1].number, in[2].number, in[3].number, &call->out[0].number, call->error);
}

/* ---- air.compressor_power ---- */

static const imp_param compressor_power_in[] = {
    ROW_FREE_AIR("free_air_flow", "Q", "delivered, as volume at 20 degC and 100 kPa"),
    ROW_GAUGE("gauge_pressure", "p", "delivered"),
    {.name = "stages",
     .symbol = "n",
     .dimension = IMP_PURE,
     .unit = "1",
     .presence = IMP_DEFAULT,
     .low = 1.0,
     .high = 6.0,
     .fallback = 1.0,
     .help = "of equal pressure ratio, with cooling back to intake temperature between them"},
    {.name = "efficiency",
     .symbol = "eta",
     .dimension = IMP_PURE,
     .unit = "%",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 1.0,
     .ends = IMP_OPEN_LOW,
     .fallback = 0.65,
     .help = "isentropic power over shaft power"},
    {.name = "intake_pressure",
     .symbol = "p1",
     .dimension = IMP_PRESSURE,
     .unit = "kPa",
     .presence = IMP_DEFAULT,
     .low = IMP_KILOPASCAL(40.0),
     .high = IMP_KILOPASCAL(110.0),
     .fallback = IMP_KILOPASCAL(100.0),
     .help = "absolute"},
    {.name = "intake_temperature",
     .symbol = "T1",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .presence = IMP_DEFAULT,
     .low = IMP_CELSIUS(-50.0),
     .high = IMP_CELSIUS(70.0),
     .fallback = IMP_CELSIUS(20.0),
     .help = "of the air it takes in"},
    ROW_AMBIENT,
};
static const imp_param compressor_power_out[] = {
    {.name = "power", .symbol = "P", .dimension = IMP_POWER, .unit = "kW", .trend = "++---++", .help = "at the shaft"},
    {.name = "specific_power",
     .symbol = "w",
     .dimension = IMP_SPECIFIC_POWER,
     .unit = "kW/(m^3/min)",
     .trend = "0+---++",
     .help = "power over free-air flow"},
};

imp_status imp_air_compressor_power(const imp_air_compressor *compressor, double *power, double *specific_power,
                                    imp_error *error)
{
    const double values[] = {compressor->free_air_flow,   compressor->gauge_pressure,  compressor->stages,
                             compressor->efficiency,      compressor->intake_pressure, compressor->intake_temperature,
                             compressor->ambient_pressure};
    const imp_status status = imp_check_rows(compressor_power_in, values, 7, error);
    if (status != IMP_OK)
        return status;
    char text[96];
    const double stages = compressor->stages;
    if (stages != floor(stages))
        return imp_fail(error, IMP_RANGE, "stages", "%s is not a whole number",
                        imp_param_format(&compressor_power_in[2], stages, 6, text, sizeof text));
    const double ratio = (compressor->gauge_pressure + compressor->ambient_pressure) / compressor->intake_pressure;
    if (!(ratio > 1.0))
        return imp_fail(
            error, IMP_NO_SOLUTION, "gauge_pressure",
            "the air leaves at no more than its intake pressure; check intake_pressure and ambient_pressure");
    /* p1 Q1 of the intake is p_ref Q T1/T_ref of the free air: the same air. */
    const double pressure_flow = REFERENCE_PRESSURE * compressor->intake_temperature / REFERENCE_TEMPERATURE;
    const double exponent = (HEAT_RATIO - 1.0) / (stages * HEAT_RATIO);
    const double specific = pressure_flow * (pow(ratio, exponent) - 1.0) / (exponent * compressor->efficiency);
    *power = specific * compressor->free_air_flow;
    *specific_power = specific;
    return IMP_OK;
}

static imp_status compressor_power_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_air_compressor compressor = {in[0].number, in[1].number, in[2].number, in[3].number,
                                           in[4].number, in[5].number, in[6].number};
    const imp_status status =
        imp_air_compressor_power(&compressor, &call->out[0].number, &call->out[1].number, call->error);
    if (status == IMP_OK)
        imp_sheet_step(call->sheet, "p2", "delivery pressure, absolute", "p2 = p + pa",
                       compressor.gauge_pressure + compressor.ambient_pressure, "kPa");
    return status;
}

/* ---- air.receiver_cycle ---- */

static const imp_param receiver_cycle_in[] = {
    {.name = "volume",
     .symbol = "V",
     .dimension = IMP_VOLUME,
     .unit = "L",
     .low = 0.0,
     .high = 100.0,
     .ends = IMP_OPEN_LOW,
     .help = "of the receiver and what is always open to it"},
    ROW_GAUGE("cut_in", "p_in", "pressure at which the compressor starts"),
    ROW_GAUGE("cut_out", "p_out", "pressure at which it stops"),
    ROW_FREE_AIR("demand", "Qd", "drawn, free air"),
    ROW_FREE_AIR("supply", "Qs", "delivered by the compressor, free air"),
};
static const imp_param receiver_cycle_out[] = {
    {.name = "run_time",
     .symbol = "t_run",
     .dimension = IMP_TIME,
     .unit = "s",
     .trend = "+-++-",
     .help = "from cut-in to cut-out"},
    {.name = "idle_time",
     .symbol = "t_idle",
     .dimension = IMP_TIME,
     .unit = "s",
     .trend = "+-+-0",
     .help = "from cut-out to cut-in"},
    {.name = "starts_per_hour",
     .symbol = "z",
     .dimension = IMP_RATE,
     .unit = "1/h",
     .trend = "-+-?+",
     .help = "starts of the compressor"},
    {.name = "duty",
     .symbol = "duty",
     .dimension = IMP_PURE,
     .unit = "%",
     .high = 1.0,
     .trend = "000+-",
     .help = "share of the time in which it delivers"},
};

imp_status imp_air_receiver_cycle(double volume, double cut_in, double cut_out, double demand, double supply,
                                  imp_air_cycle *cycle, imp_error *error)
{
    const double values[] = {volume, cut_in, cut_out, demand, supply};
    const imp_status status = imp_check_rows(receiver_cycle_in, values, 5, error);
    if (status != IMP_OK)
        return status;
    char have[96], need[96];
    if (!(cut_out > cut_in))
        return imp_fail(error, IMP_NO_SOLUTION, "cut_out", "%s is not above the cut-in pressure of %s",
                        imp_param_format(&receiver_cycle_in[2], cut_out, 4, have, sizeof have),
                        imp_param_format(&receiver_cycle_in[1], cut_in, 4, need, sizeof need));
    if (!(supply > demand))
        return imp_fail(error, IMP_NO_SOLUTION, "supply",
                        "a supply of %s never fills the receiver while %s are drawn; draw less or supply more",
                        imp_param_format(&receiver_cycle_in[4], supply, 4, have, sizeof have),
                        imp_param_format(&receiver_cycle_in[3], demand, 4, need, sizeof need));
    const double stored = volume * (cut_out - cut_in) / REFERENCE_PRESSURE;
    cycle->run_time = stored / (supply - demand);
    cycle->idle_time = stored / demand;
    cycle->starts = 1.0 / (cycle->run_time + cycle->idle_time);
    cycle->duty = demand / supply;
    return IMP_OK;
}

static imp_status receiver_cycle_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    imp_air_cycle cycle;
    const imp_status status = imp_air_receiver_cycle(in[0].number, in[1].number, in[2].number, in[3].number,
                                                     in[4].number, &cycle, call->error);
    if (status != IMP_OK)
        return status;
    call->out[0].number = cycle.run_time;
    call->out[1].number = cycle.idle_time;
    call->out[2].number = cycle.starts;
    call->out[3].number = cycle.duty;
    return IMP_OK;
}

/* ---- air.line_drop ---- */

static const imp_param line_drop_in[] = {
    ROW_FREE_AIR("free_air_flow", "Q", "through the line, free air"),
    {.name = "bore",
     .symbol = "d",
     .dimension = IMP_LENGTH,
     .unit = "mm",
     .low = IMP_MILLIMETRE(1.0),
     .high = IMP_MILLIMETRE(500.0),
     .help = "inside diameter"},
    {.name = "length",
     .symbol = "L",
     .dimension = IMP_LENGTH,
     .unit = "m",
     .low = 0.0,
     .high = 5000.0,
     .ends = IMP_OPEN_LOW,
     .help = "of the line"},
    ROW_GAUGE("inlet_gauge_pressure", "p", "where the line begins"),
    ROW_LINE_TEMPERATURE,
    {.name = "roughness",
     .symbol = "e",
     .dimension = IMP_LENGTH,
     .unit = "mm",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = IMP_MILLIMETRE(5.0),
     .fallback = 0.0,
     .help = "of the wall; 0 for a hose, 0.045 mm for new steel"},
    ROW_AMBIENT,
};
static const imp_param line_drop_out[] = {
    {.name = "pressure_drop",
     .symbol = "dp",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .trend = "+-+-++-",
     .help = "from one end to the other"},
};

/* Dynamic viscosity of air [Pa s]: Sutherland's law with the constants of ISO 2533 (1.458e-6, 110.4 K). */
static double viscosity(double temperature)
{
    return 1.458e-6 * pow(temperature, 1.5) / (temperature + 110.4);
}

static imp_status refuse_flow(double least_outlet, const imp_air_line *line, imp_error *error)
{
    const bool choked = least_outlet > line->ambient_pressure;
    return imp_fail(
        error, IMP_NO_SOLUTION, "free_air_flow",
        "the line cannot pass it from this pressure: %s; take a wider bore, a shorter line or more pressure",
        choked ? "the air would have to flow at the speed of sound" : "nothing would be left at its end");
}

typedef struct isothermal_line {
    double inlet;   /* Pa absolute */
    double inertia; /* G^2 R T, Pa^2 */
    double losses;  /* f L/d */
} isothermal_line;

/* p1^2 - p2^2 - G^2 R T (f L/d + 2 ln(p1/p2)) with p2 = p1 - drop: rises with the drop until the flow chokes. */
static double unbalanced(double drop, void *context)
{
    const isothermal_line *line = context;
    return drop * (2.0 * line->inlet - drop) - line->inertia * (line->losses - 2.0 * log1p(-drop / line->inlet));
}

imp_status imp_air_line_drop(double free_air_flow, double inlet_gauge_pressure, const imp_air_line *line,
                             double *pressure_drop, imp_error *error)
{
    const double values[] = {free_air_flow,     line->bore,      line->length,          inlet_gauge_pressure,
                             line->temperature, line->roughness, line->ambient_pressure};
    imp_status status = imp_check_rows(line_drop_in, values, 7, error);
    if (status != IMP_OK)
        return status;
    const double pi = acos(-1.0), area = pi / 4.0 * line->bore * line->bore;
    const double mass_flow = free_air_flow * REFERENCE_PRESSURE / (GAS_CONSTANT * REFERENCE_TEMPERATURE);
    const double flux = mass_flow / area; /* kg/(m^2 s), the same all along */
    double friction = 0.0;
    status = imp_hose_friction_factor(flux * line->bore / viscosity(line->temperature), line->roughness / line->bore,
                                      &friction, error);
    if (status != IMP_OK) {
        imp_fail(error, status, "free_air_flow",
                 "outside what the friction law covers in this bore (Reynolds number to 1e8, "
                 "roughness to 5 %% of the bore)");
        return status;
    }

    const double inlet = inlet_gauge_pressure + line->ambient_pressure;
    const double inertia = flux * flux * GAS_CONSTANT * line->temperature; /* Pa^2 */
    const double losses = friction * line->length / line->bore;
    isothermal_line flow = {.inlet = inlet, .inertia = inertia, .losses = losses};
    const double choke = sqrt(inertia), least = fmax(choke, line->ambient_pressure);
    if (!(least < inlet) || unbalanced(inlet - least, &flow) < 0.0)
        return refuse_flow(choke, line, error);
    return imp_solve_bracketed(unbalanced, &flow, 0.0, inlet - least, 0.0, pressure_drop, error);
}

static imp_status line_drop_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_air_line line = {.bore = in[1].number,
                               .length = in[2].number,
                               .temperature = in[4].number,
                               .roughness = in[5].number,
                               .ambient_pressure = in[6].number};
    return imp_air_line_drop(in[0].number, in[3].number, &line, &call->out[0].number, call->error);
}

/* ---- air.condensate ---- */

static const imp_param condensate_in[] = {
    ROW_FREE_AIR("free_air_flow", "Q", "of dry air, as volume at 20 degC and 100 kPa"),
    {.name = "air_temperature",
     .symbol = "t",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .low = IMP_CELSIUS(-40.0),
     .high = IMP_CELSIUS(60.0),
     .help = "of the air it takes in"},
    {.name = "relative_humidity",
     .symbol = "phi",
     .dimension = IMP_PURE,
     .unit = "%",
     .low = 0.001,
     .high = 1.0,
     .help = "of the air it takes in"},
    ROW_GAUGE("gauge_pressure", "p", "in the line"),
    {.name = "line_temperature",
     .symbol = "T",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .low = IMP_CELSIUS(-40.0),
     .high = IMP_CELSIUS(100.0),
     .help = "to which the air has cooled where the water is taken out"},
    ROW_AMBIENT,
};
static const imp_param condensate_out[] = {
    {.name = "water_rate",
     .symbol = "m",
     .dimension = IMP_MASS_FLOW,
     .unit = "g/min",
     .trend = "+++"
              "+-?",
     .help = "that falls out"},
    {.name = "pressure_dew_point",
     .symbol = "Td",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .trend = "0++"
              "++?",
     .help = "of the air after the water is taken out, at line pressure"},
};

imp_status imp_air_condensate(double free_air_flow, const imp_air_intake *intake, double gauge_pressure,
                              double line_temperature, double *water_rate, double *pressure_dew_point, imp_error *error)
{
    const double values[] = {free_air_flow,  intake->air_temperature, intake->relative_humidity,
                             gauge_pressure, line_temperature,        intake->ambient_pressure};
    const imp_status status = imp_check_rows(condensate_in, values, 6, error);
    if (status != IMP_OK)
        return status;
    const double line_pressure = gauge_pressure + intake->ambient_pressure;
    const double vapour = intake->relative_humidity * imp_humidity_saturation(intake->air_temperature, IMP_OVER_BRANCH);
    const double saturation = imp_humidity_saturation(line_temperature, IMP_OVER_BRANCH);
    /* Compression keeps the share of vapour, so its pressure rises with the total. */
    const double compressed = vapour * line_pressure / intake->ambient_pressure;
    const double dry_air = free_air_flow * REFERENCE_PRESSURE / (GAS_CONSTANT * REFERENCE_TEMPERATURE);
    if (compressed > saturation) {
        *water_rate = dry_air * (imp_humidity_ratio(vapour, intake->ambient_pressure) -
                                 imp_humidity_ratio(saturation, line_pressure));
        *pressure_dew_point = line_temperature;
    } else {
        *water_rate = 0.0;
        *pressure_dew_point = imp_humidity_dew_point(compressed);
    }
    return IMP_OK;
}

static imp_status condensate_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_air_intake intake = {
        .air_temperature = in[1].number, .relative_humidity = in[2].number, .ambient_pressure = in[5].number};
    return imp_air_condensate(in[0].number, &intake, in[3].number, in[4].number, &call->out[0].number,
                              &call->out[1].number, call->error);
}

const imp_calc imp_air_calcs[] = {
    IMP_CALC(free_air, "air.free_air", "Free air of a flow in the line", "Qn = Q (p + pa)/100 kPa 293.15 K/T",
             "ISO 8778:2003 reference atmosphere; ideal gas", "dry air; ideal-gas error below 2 % to 50 bar"),
    IMP_CALC(compressor_power, "air.compressor_power", "Power of a compressor",
             "P = n k/(k - 1) p1 Q1 (((p + pa)/p1)^((k - 1)/(n k)) - 1)/eta, p1 Q1 = 100 kPa Q T1/293.15 K, k = 1.4",
             "isentropic work of an ideal gas; ISO 8778:2003 reference atmosphere",
             "Q is free air; a maker's delivery is volume at the intake and gives more power as such"),
    IMP_CALC(receiver_cycle, "air.receiver_cycle", "Running and standing times of a compressor with receiver",
             "t_run = V (p_out - p_in)/100 kPa/(Qs - Qd), t_idle = V (p_out - p_in)/100 kPa/Qd", "ideal gas at 20 degC",
             "steady demand below the supply"),
    IMP_CALC(line_drop, "air.line_drop", "Pressure drop along an air line",
             "p1^2 - p2^2 = G^2 R T (f L/d + 2 ln(p1/p2)), p1 = p + pa",
             "isothermal flow of an ideal gas; Colebrook 1939; Sutherland's law, ISO 2533:1975",
             "dry air, no fittings, below the speed of sound at the end"),
    IMP_CALC(condensate, "air.condensate", "Water that falls out of compressed air",
             "m = m_dry (w(phi pws(t), pa) - w(pws(T), p + pa)), w(pw, p) = 0.621945 pw/(p - pw)",
             "ASHRAE Fundamentals 2017, ch. 1, eq. 5, 6, 20; ISO 8778:2003",
             "complete separation at line temperature; no enhancement factor"),
    IMP_CALC_END,
};
