#include "gun.h"

#include <math.h>

#include "check_rows.h"
#include "rooms.h"

static const double pi = 3.14159265358979323846;

static double circle_area(double diameter)
{
    return pi * diameter * diameter / 4.0;
}

#define DIAMETER_ROW(name_, symbol_, help_)                                                                            \
    {                                                                                                                  \
        .name = (name_), .symbol = (symbol_), .kind = IMP_NUMBER, .dimension = IMP_LENGTH, .unit = "mm",               \
        .presence = IMP_REQUIRED, .low = IMP_MILLIMETRE(0.01), .high = IMP_MILLIMETRE(1000.0), .help = (help_)         \
    }
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
#define VISCOSITY_ROW(name_, symbol_, help_)                                                                           \
    {                                                                                                                  \
        .name = (name_), .symbol = (symbol_), .kind = IMP_NUMBER, .dimension = IMP_VISCOSITY, .unit = "mPa s",         \
        .presence = IMP_REQUIRED, .low = IMP_MILLIPASCAL_SECOND(1e-3), .high = IMP_MILLIPASCAL_SECOND(1e6),            \
        .help = (help_)                                                                                                \
    }
#define DISCHARGE_COEFFICIENT_ROW                                                                                      \
    {                                                                                                                  \
        .name = "discharge_coefficient", .symbol = "Cd", .kind = IMP_NUMBER, .dimension = IMP_PURE,                    \
        .presence = IMP_DEFAULT, .low = 0.01, .high = 1.0, .fallback = 0.75,                                           \
        .help = "flow over that of a loss-free full jet; gun.discharge_coefficient estimates it"                       \
    }

/* gun.orifice_flow and its inverse, gun.orifice_pressure */

static const imp_param orifice_flow_in[] = {
    DIAMETER_ROW("diameter", "d", "diameter of the orifice"),
    {.name = "pressure_drop",
     .symbol = "dp",
     .kind = IMP_NUMBER,
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = IMP_BAR(1000.0),
     .help = "pressure before the orifice less pressure behind it"},
    DENSITY_ROW("density", "rho", "density of the liquid"),
    DISCHARGE_COEFFICIENT_ROW,
};
static const imp_param orifice_flow_out[] = {
    {.name = "flow",
     .symbol = "Q",
     .kind = IMP_NUMBER,
     .dimension = IMP_FLOW,
     .unit = "L/min",
     .trend = "++-+",
     .help = "volume flow"},
    {.name = "velocity",
     .symbol = "v",
     .kind = IMP_NUMBER,
     .dimension = IMP_VELOCITY,
     .unit = "m/s",
     .trend = "0+-+",
     .help = "flow over the area of the orifice"},
};

imp_status imp_gun_orifice_flow(double diameter, double pressure_drop, double density, double discharge_coefficient,
                                double *flow, double *velocity, imp_error *error)
{
    const double values[4] = {diameter, pressure_drop, density, discharge_coefficient};
    const imp_status status = imp_check_rows(orifice_flow_in, values, 4, error);
    if (status != IMP_OK)
        return status;
    const double mean = discharge_coefficient * sqrt(2.0 * pressure_drop / density);
    *flow = mean * circle_area(diameter);
    *velocity = mean;
    return IMP_OK;
}

static imp_status orifice_flow_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    return imp_gun_orifice_flow(in[0].number, in[1].number, in[2].number, in[3].number, &call->out[0].number,
                                &call->out[1].number, call->error);
}

static const imp_param orifice_pressure_in[] = {
    DIAMETER_ROW("diameter", "d", "diameter of the orifice"),
    FLOW_ROW("flow", "Q", "volume flow"),
    DENSITY_ROW("density", "rho", "density of the liquid"),
    DISCHARGE_COEFFICIENT_ROW,
};
static const imp_param orifice_pressure_out[] = {
    {.name = "pressure_drop",
     .symbol = "dp",
     .kind = IMP_NUMBER,
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .trend = "-++-",
     .help = "pressure before the orifice less pressure behind it"},
};

imp_status imp_gun_orifice_pressure(double diameter, double flow, double density, double discharge_coefficient,
                                    double *pressure_drop, imp_error *error)
{
    const double values[4] = {diameter, flow, density, discharge_coefficient};
    const imp_status status = imp_check_rows(orifice_pressure_in, values, 4, error);
    if (status != IMP_OK)
        return status;
    const double ideal = flow / (discharge_coefficient * circle_area(diameter));
    *pressure_drop = density * ideal * ideal / 2.0;
    return IMP_OK;
}

static imp_status orifice_pressure_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    return imp_gun_orifice_pressure(in[0].number, in[1].number, in[2].number, in[3].number, &call->out[0].number,
                                    call->error);
}

/* gun.discharge_coefficient */

static const imp_param discharge_coefficient_in[] = {
    {.name = "reynolds",
     .symbol = "Re",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .presence = IMP_REQUIRED,
     .low = 10.0,
     .high = 2e4,
     .ends = IMP_OPEN,
     .help = "rho v d/mu on the theoretical jet velocity v = sqrt(2 dp/rho), not on the mean velocity"},
    {.name = "length_ratio",
     .symbol = "ld",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .presence = IMP_REQUIRED,
     .low = 2.0,
     .high = 10.0,
     .help = "length of the orifice over its diameter, l/d"},
};
static const imp_param discharge_coefficient_out[] = {
    {.name = "discharge_coefficient",
     .symbol = "Cd",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .low = 0.0,
     .high = 1.0,
     .ends = IMP_OPEN,
     .trend = "+-",
     .help = "flow over that of a loss-free full jet"},
};

static double ultimate_coefficient(double length_ratio)
{
    return 0.827 - 0.0085 * length_ratio;
}

imp_status imp_gun_discharge_coefficient(double reynolds, double length_ratio, double *discharge_coefficient,
                                         imp_error *error)
{
    const double values[2] = {reynolds, length_ratio};
    const imp_status status = imp_check_rows(discharge_coefficient_in, values, 2, error);
    if (status != IMP_OK)
        return status;
    const double hump = log10(1.5e-4 * reynolds);
    const double inverse = 1.0 / ultimate_coefficient(length_ratio) + 20.0 / reynolds * (1.0 + 2.25 * length_ratio) -
                           0.005 * length_ratio / (1.0 + 7.5 * hump * hump);
    *discharge_coefficient = 1.0 / inverse;
    return IMP_OK;
}

static imp_status discharge_coefficient_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_status status =
        imp_gun_discharge_coefficient(in[0].number, in[1].number, &call->out[0].number, call->error);
    if (status == IMP_OK)
        imp_sheet_step(call->sheet, "Cu", "coefficient at high Reynolds number", "0.827 - 0.0085 ld",
                       ultimate_coefficient(in[1].number), "1");
    return status;
}

/* gun.impingement */

static const char *const counts[] = {"1", "2", "3", "4", "5", "6", "7", "8", NULL};
enum { MOST_ORIFICES = 8 };

#define COUNT_ROW(name_, symbol_, help_)                                                                               \
    {                                                                                                                  \
        .name = (name_), .symbol = (symbol_), .kind = IMP_CHOICE, .presence = IMP_DEFAULT, .fallback = 0.0,            \
        .choices = counts, .help = (help_)                                                                             \
    }

enum { SIDE_ROWS = 4, ISO_COUNT = 2 * SIDE_ROWS, RESIN_COUNT };

static const imp_param impingement_in[] = {
    FLOW_ROW("iso_flow", "Q_iso", "volume flow of the iso side, all its orifices together"),
    DENSITY_ROW("iso_density", "rho_iso", "density of the iso at the gun"),
    VISCOSITY_ROW("iso_viscosity", "mu_iso", "dynamic viscosity of the iso at the gun"),
    DIAMETER_ROW("iso_diameter", "d_iso", "diameter of one iso orifice"),
    FLOW_ROW("resin_flow", "Q_resin", "volume flow of the resin side, all its orifices together"),
    DENSITY_ROW("resin_density", "rho_resin", "density of the resin at the gun"),
    VISCOSITY_ROW("resin_viscosity", "mu_resin", "dynamic viscosity of the resin at the gun"),
    DIAMETER_ROW("resin_diameter", "d_resin", "diameter of one resin orifice"),
    COUNT_ROW("iso_count", "n_iso", "equal iso orifices that share the flow"),
    COUNT_ROW("resin_count", "n_resin", "equal resin orifices that share the flow"),
};
static const imp_param impingement_out[] = {
    {.name = "momentum_ratio",
     .symbol = "M",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .trend = "++0-"
              "--0+"
              "??",
     .help = "momentum flux of iso over resin; 1 is balanced"},
    {.name = "iso_reynolds",
     .symbol = "Re_iso",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .trend = "++--"
              "0000"
              "??",
     .help = "in one iso orifice"},
    {.name = "resin_reynolds",
     .symbol = "Re_resin",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .trend = "0000"
              "++--"
              "??",
     .help = "in one resin orifice"},
};

static imp_status check_side(const imp_param *rows, const imp_param *count_row, const imp_gun_side *side,
                             imp_error *error)
{
    const double values[SIDE_ROWS] = {side->flow, side->density, side->viscosity, side->diameter};
    const imp_status status = imp_check_rows(rows, values, SIDE_ROWS, error);
    if (status != IMP_OK)
        return status;
    if (side->count < 1 || side->count > MOST_ORIFICES)
        return imp_fail(error, IMP_RANGE, count_row->name, "%d is not a whole number from 1 to %d", side->count,
                        (int)MOST_ORIFICES);
    return IMP_OK;
}

static double momentum_flux(const imp_gun_side *side)
{
    return side->density * side->flow * side->flow / (side->count * circle_area(side->diameter));
}

static double orifice_reynolds(const imp_gun_side *side)
{
    return 4.0 * side->density * side->flow / (side->count * pi * side->diameter * side->viscosity);
}

imp_status imp_gun_impingement(const imp_gun_side *iso, const imp_gun_side *resin, double *momentum_ratio,
                               double *iso_reynolds, double *resin_reynolds, imp_error *error)
{
    imp_status status = check_side(impingement_in, &impingement_in[ISO_COUNT], iso, error);
    if (status == IMP_OK)
        status = check_side(impingement_in + SIDE_ROWS, &impingement_in[RESIN_COUNT], resin, error);
    if (status != IMP_OK)
        return status;
    *momentum_ratio = momentum_flux(iso) / momentum_flux(resin);
    *iso_reynolds = orifice_reynolds(iso);
    *resin_reynolds = orifice_reynolds(resin);
    return IMP_OK;
}

static imp_gun_side side_of(const imp_value *side, const imp_value *count)
{
    return (imp_gun_side){.flow = side[0].number,
                          .density = side[1].number,
                          .viscosity = side[2].number,
                          .diameter = side[3].number,
                          .count = (int)count->number + 1}; /* the choices begin with "1" */
}

static imp_status impingement_evaluate(const imp_call *call)
{
    const imp_gun_side iso = side_of(call->in, &call->in[ISO_COUNT]);
    const imp_gun_side resin = side_of(call->in + SIDE_ROWS, &call->in[RESIN_COUNT]);
    return imp_gun_impingement(&iso, &resin, &call->out[0].number, &call->out[1].number, &call->out[2].number,
                               call->error);
}

const imp_calc imp_gun_calcs[] = {
    IMP_CALC(orifice_flow, "gun.orifice_flow", "Flow through an orifice",
             "Q = Cd (pi d^2/4) sqrt(2 dp/rho); v = Q/(pi d^2/4)",
             "Bernoulli and Torricelli with a discharge coefficient; any fluid mechanics textbook",
             "liquid, no cavitation, velocity before the orifice small against the jet's"),
    IMP_CALC(orifice_pressure, "gun.orifice_pressure", "Pressure drop over an orifice",
             "dp = rho/2 (Q/(Cd pi d^2/4))^2",
             "Bernoulli and Torricelli with a discharge coefficient; any fluid mechanics textbook",
             "liquid, no cavitation, velocity before the orifice small against the jet's"),
    IMP_CALC(
        discharge_coefficient, "gun.discharge_coefficient", "Discharge coefficient of a short cylindrical orifice",
        "1/Cd = 1/(0.827 - 0.0085 ld) + (20/Re)(1 + 2.25 ld) - 0.005 ld/(1 + 7.5 (log10(0.00015 Re))^2)",
        "A. Lichtarowicz, R. K. Duggins and E. Markland, J. Mech. Eng. Sci. 7 (1965) 210-219",
        "sharp inlet, cylindrical, running full without cavitation; 10 < Re < 20000 on the velocity sqrt(2 dp/rho), "
        "2 <= l/d <= 10"),
    IMP_CALC(impingement, "gun.impingement", "Momentum balance of the two jets in the mixing chamber",
             "M = (rho_iso Q_iso^2/(n_iso d_iso^2))/(rho_resin Q_resin^2/(n_resin d_resin^2)); "
             "Re_iso = 4 rho_iso Q_iso/(n_iso pi d_iso mu_iso); Re_resin = 4 rho_resin Q_resin/(n_resin pi d_resin "
             "mu_resin)",
             "momentum flux of a jet, rho Q^2/A; impingement mixing, C. W. Macosko, RIM Fundamentals of Reaction "
             "Injection Molding, 1989, ch. 4 (from memory)",
             "jets that fill their orifices; a wall roughened or worn orifice is larger than its nominal diameter"),
    IMP_CALC_END,
};
