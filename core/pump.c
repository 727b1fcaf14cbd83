#include "pump.h"

#include <math.h>

#include "check_rows.h"
#include "rooms.h"

#define DISPLACEMENT_ROW                                                                                               \
    {                                                                                                                  \
        .name = "displacement", .symbol = "V", .dimension = IMP_VOLUME, .unit = "cm^3", .low = 0.0,                    \
        .high = IMP_CUBIC_CENTIMETRE(1e5), .ends = IMP_OPEN_LOW, .help = "volume that one cycle moves"                 \
    }
#define FILLING_ROW                                                                                                    \
    {                                                                                                                  \
        .name = "volumetric_efficiency", .symbol = "eta", .dimension = IMP_PURE, .unit = "%", .presence = IMP_DEFAULT, \
        .fallback = 1.0, .low = 0.01, .high = 1.0, .help = "flow delivered over displacement times cycle rate"         \
    }
#define EFFICIENCY_ROW                                                                                                 \
    {                                                                                                                  \
        .name = "efficiency", .symbol = "eta", .dimension = IMP_PURE, .unit = "%", .presence = IMP_DEFAULT,            \
        .fallback = 1.0, .low = 0.01, .high = 1.0, .help = "useful share of what the drive puts in"                    \
    }
#define FLOW_RANGE .dimension = IMP_FLOW, .unit = "L/min", .low = 0.0, .high = IMP_LITRE_PER_MINUTE(10000.0)
#define LIQUID_PRESSURE_RANGE .dimension = IMP_PRESSURE, .unit = "bar", .low = 0.0, .high = IMP_BAR(700.0)

/* pump.flow */
static const imp_param flow_in[] = {
    DISPLACEMENT_ROW,
    {.name = "cycle_rate",
     .symbol = "n",
     .dimension = IMP_RATE,
     .unit = "1/min",
     .low = 0.0,
     .high = IMP_PER_MINUTE(10000.0),
     .help = "cycles (both strokes) or turns per time"},
    FILLING_ROW,
};
static const imp_param flow_out[] = {
    {.name = "flow", .symbol = "Q", .dimension = IMP_FLOW, .unit = "L/min", .trend = "+++", .help = "flow delivered"},
};

imp_status imp_pump_flow(double displacement, double cycle_rate, double volumetric_efficiency, double *flow,
                         imp_error *error)
{
    const double values[] = {displacement, cycle_rate, volumetric_efficiency};
    const imp_status status = imp_check_rows(flow_in, values, 3, error);
    if (status == IMP_OK)
        *flow = displacement * cycle_rate * volumetric_efficiency;
    return status;
}

static imp_status flow_evaluate(const imp_call *call)
{
    return imp_pump_flow(call->in[0].number, call->in[1].number, call->in[2].number, &call->out[0].number, call->error);
}

/* pump.cycle_rate */
static const imp_param cycle_rate_in[] = {
    {.name = "flow", .symbol = "Q", FLOW_RANGE, .help = "flow wanted"},
    DISPLACEMENT_ROW,
    FILLING_ROW,
};
static const imp_param cycle_rate_out[] = {
    {.name = "cycle_rate",
     .symbol = "n",
     .dimension = IMP_RATE,
     .unit = "1/min",
     .trend = "+--",
     .help = "cycles (both strokes) or turns per time"},
};

imp_status imp_pump_cycle_rate(double flow, double displacement, double volumetric_efficiency, double *cycle_rate,
                               imp_error *error)
{
    const double values[] = {flow, displacement, volumetric_efficiency};
    const imp_status status = imp_check_rows(cycle_rate_in, values, 3, error);
    if (status == IMP_OK)
        *cycle_rate = flow / (displacement * volumetric_efficiency);
    return status;
}

static imp_status cycle_rate_evaluate(const imp_call *call)
{
    return imp_pump_cycle_rate(call->in[0].number, call->in[1].number, call->in[2].number, &call->out[0].number,
                               call->error);
}

/* pump.hydraulic_power */
static const imp_param hydraulic_power_in[] = {
    {.name = "pressure", .symbol = "p", LIQUID_PRESSURE_RANGE, .help = "pressure rise over the pump"},
    {.name = "flow", .symbol = "Q", FLOW_RANGE, .help = "flow delivered"},
    EFFICIENCY_ROW,
};
static const imp_param hydraulic_power_out[] = {
    {.name = "power", .symbol = "P", .dimension = IMP_POWER, .unit = "kW", .trend = "++-", .help = "power put in"},
};

imp_status imp_pump_hydraulic_power(double pressure, double flow, double efficiency, double *power, imp_error *error)
{
    const double values[] = {pressure, flow, efficiency};
    const imp_status status = imp_check_rows(hydraulic_power_in, values, 3, error);
    if (status == IMP_OK)
        *power = pressure * flow / efficiency;
    return status;
}

static imp_status hydraulic_power_evaluate(const imp_call *call)
{
    return imp_pump_hydraulic_power(call->in[0].number, call->in[1].number, call->in[2].number, &call->out[0].number,
                                    call->error);
}

/* pump.drive_pressure */
#define AREA_RANGE                                                                                                     \
    .dimension = IMP_AREA, .unit = "cm^2", .low = 0.0, .high = IMP_SQUARE_MILLIMETRE(1e7), .ends = IMP_OPEN_LOW
static const imp_param drive_pressure_in[] = {
    {.name = "iso_pressure", .symbol = "p_i", LIQUID_PRESSURE_RANGE, .help = "gauge pressure at the iso pump"},
    {.name = "resin_pressure", .symbol = "p_r", LIQUID_PRESSURE_RANGE, .help = "gauge pressure at the resin pump"},
    {.name = "iso_area", .symbol = "A_i", AREA_RANGE, .help = "area of the iso plunger"},
    {.name = "resin_area", .symbol = "A_r", AREA_RANGE, .help = "area of the resin plunger"},
    {.name = "drive_area", .symbol = "A_d", AREA_RANGE, .help = "area of the drive piston that both hang on"},
    EFFICIENCY_ROW,
};
static const imp_param drive_pressure_out[] = {
    {.name = "drive_pressure",
     .symbol = "p_d",
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .trend = "++++--",
     .help = "gauge pressure of the drive's oil or air"},
};

imp_status imp_pump_drive_pressure(const imp_pump_drive *drive, double *drive_pressure, imp_error *error)
{
    const double values[] = {drive->iso_pressure, drive->resin_pressure, drive->iso_area,
                             drive->resin_area,   drive->drive_area,     drive->efficiency};
    const imp_status status = imp_check_rows(drive_pressure_in, values, 6, error);
    if (status != IMP_OK)
        return status;
    const double force = drive->iso_pressure * drive->iso_area + drive->resin_pressure * drive->resin_area;
    *drive_pressure = force / (drive->drive_area * drive->efficiency);
    return IMP_OK;
}

static imp_status drive_pressure_evaluate(const imp_call *call)
{
    const imp_pump_drive drive = {.iso_pressure = call->in[0].number,
                                  .resin_pressure = call->in[1].number,
                                  .iso_area = call->in[2].number,
                                  .resin_area = call->in[3].number,
                                  .drive_area = call->in[4].number,
                                  .efficiency = call->in[5].number};
    return imp_pump_drive_pressure(&drive, &call->out[0].number, call->error);
}

/* pump.inlet_margin */
static const imp_param inlet_margin_in[] = {
    {.name = "supply_absolute_pressure",
     .symbol = "p_s",
     .dimension = IMP_PRESSURE,
     .unit = "kPa",
     .low = 0.0,
     .high = IMP_BAR(100.0),
     .help = "absolute pressure on the supply, at its level"},
    {.name = "line_drop",
     .symbol = "dp",
     .dimension = IMP_PRESSURE,
     .unit = "kPa",
     .low = 0.0,
     .high = IMP_BAR(100.0),
     .help = "pressure lost in the line to the pump"},
    {.name = "vapour_pressure",
     .symbol = "p_v",
     .dimension = IMP_PRESSURE,
     .unit = "kPa",
     .presence = IMP_DEFAULT,
     .fallback = 0.0,
     .low = 0.0,
     .high = IMP_BAR(100.0),
     .help = "absolute vapour pressure of the liquid"},
    {.name = "rise",
     .symbol = "z",
     .dimension = IMP_LENGTH,
     .unit = "m",
     .presence = IMP_DEFAULT,
     .fallback = 0.0,
     .low = -100.0,
     .high = 100.0,
     .help = "height of the pump above the supply's level; negative when below it"},
    {.name = "density",
     .symbol = "rho",
     .dimension = IMP_DENSITY,
     .unit = "kg/m^3",
     .low = 300.0,
     .high = 3000.0,
     .help = "density of the liquid"},
};
static const imp_param inlet_margin_out[] = {
    {.name = "margin",
     .symbol = "dp_n",
     .dimension = IMP_PRESSURE,
     .unit = "kPa",
     .trend = "+---?",
     .help = "net positive suction pressure; must stay above what the pump needs"},
};

imp_status imp_pump_inlet_margin(const imp_pump_inlet *inlet, double *margin, imp_error *error)
{
    const double values[] = {inlet->supply_absolute_pressure, inlet->line_drop, inlet->vapour_pressure, inlet->rise,
                             inlet->density};
    const imp_status status = imp_check_rows(inlet_margin_in, values, 5, error);
    if (status != IMP_OK)
        return status;
    const double gravity = 9.80665; /* standard, exact: CGPM 1901 */
    *margin = inlet->supply_absolute_pressure - inlet->line_drop - inlet->vapour_pressure -
              inlet->density * gravity * inlet->rise;
    return IMP_OK;
}

static imp_status inlet_margin_evaluate(const imp_call *call)
{
    const imp_pump_inlet inlet = {.supply_absolute_pressure = call->in[0].number,
                                  .line_drop = call->in[1].number,
                                  .vapour_pressure = call->in[2].number,
                                  .rise = call->in[3].number,
                                  .density = call->in[4].number};
    return imp_pump_inlet_margin(&inlet, &call->out[0].number, call->error);
}

const imp_calc imp_pump_calcs[] = {
    IMP_CALC(flow, "pump.flow", "Flow of a pump", "Q = V n eta", "definition of displacement and volumetric efficiency",
             "mean over whole cycles"),
    IMP_CALC(cycle_rate, "pump.cycle_rate", "Cycle rate for a flow", "n = Q/(V eta)",
             "definition of displacement and volumetric efficiency", "mean over whole cycles"),
    IMP_CALC(hydraulic_power, "pump.hydraulic_power", "Power of a pump", "P = p Q/eta",
             "definition of work; in customary units bar L/min/600 = kW and psi gal/min/1714.29 = hp",
             "liquid taken as incompressible"),
    IMP_CALC(drive_pressure, "pump.drive_pressure", "Drive pressure for two pumps",
             "p_d = (p_i A_i + p_r A_r)/(A_d eta)", "balance of forces on one shared drive",
             "steady stroke; inlet pressures and rod areas left out"),
    IMP_CALC(inlet_margin, "pump.inlet_margin", "Net positive suction pressure",
             "dp_n = p_s - dp - p_v - rho 9.80665 z",
             "definition of net positive suction head, as a pressure (ISO 17769-1)",
             "velocity head and the pulsation of the stroke left out: keep a margin for them"),
    IMP_CALC_END,
};
