/* heat.hose_loss: what an insulated hose loses to the air around it. */
#include <math.h>

#include "check_rows.h"
#include "heat.h"
#include "heat_rows.h"
#include "solve.h"

static const double pi = 3.14159265358979323846;
static const double standard_gravity = 9.80665;        /* m/s^2, ISO 80000-3 */
static const double stefan_boltzmann = 5.670374419e-8; /* W/(m^2 K^4), CODATA 2018, exact */

enum { INNER, OUTER, CONDUCTIVITY, FLUID, AMBIENT, WIND, EMISSIVITY, LOSS_INPUTS };

const imp_param imp_heat_hose_loss_in[LOSS_INPUTS] = {
    {.name = "inner_diameter",
     .symbol = "d1",
     .kind = IMP_NUMBER,
     .dimension = IMP_LENGTH,
     .unit = "mm",
     .presence = IMP_REQUIRED,
     .low = IMP_MILLIMETRE(1.0),
     .high = IMP_MILLIMETRE(2000.0),
     .help = "inside diameter of the insulation"},
    {.name = "outer_diameter",
     .symbol = "d2",
     .kind = IMP_NUMBER,
     .dimension = IMP_LENGTH,
     .unit = "mm",
     .presence = IMP_REQUIRED,
     .low = IMP_MILLIMETRE(1.0),
     .high = IMP_MILLIMETRE(2000.0),
     .help = "outside diameter of the insulation; equal to the inside one where there is none"},
    {.name = "insulation_conductivity",
     .symbol = "k",
     .kind = IMP_NUMBER,
     .dimension = IMP_CONDUCTIVITY,
     .unit = "W/(m K)",
     .presence = IMP_REQUIRED,
     .low = 0.001,
     .high = 500.0,
     .help = "thermal conductivity of the insulation"},
    {.name = "fluid_temperature",
     .symbol = "Tf",
     .kind = IMP_NUMBER,
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .presence = IMP_REQUIRED,
     .low = IMP_CELSIUS(-60.0),
     .high = IMP_CELSIUS(300.0),
     .help = "temperature at the inside of the insulation"},
    {.name = "ambient_temperature",
     .symbol = "Ta",
     .kind = IMP_NUMBER,
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .presence = IMP_REQUIRED,
     .low = IMP_CELSIUS(-60.0),
     .high = IMP_CELSIUS(80.0),
     .help = "temperature of the air and of what the hose radiates to"},
    {.name = "wind_speed",
     .symbol = "w",
     .kind = IMP_NUMBER,
     .dimension = IMP_VELOCITY,
     .unit = "m/s",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 60.0,
     .fallback = 0.0,
     .help = "speed of the air across the hose"},
    {.name = "emissivity",
     .symbol = "eps",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 1.0,
     .fallback = 0.9,
     .help = "of the outside; about 0.9 for most but bare metal"},
};

const imp_param imp_heat_hose_loss_out[3] = {
    {.name = "loss_per_length",
     .symbol = "q",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER_PER_LENGTH,
     .unit = "W/m",
     .trend = "???+"
              "-??",
     .help = "heat lost per metre of hose; negative where the hose takes up heat"},
    {.name = "surface_temperature",
     .symbol = "Ts",
     .kind = IMP_NUMBER,
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .trend = "???++??",
     .help = "of the outside of the insulation"},
    {.name = "loss_coefficient",
     .symbol = "U",
     .kind = IMP_NUMBER,
     .dimension = IMP_CONDUCTIVITY,
     .unit = "W/(m K)",
     .trend = "+?+??++",
     .help = "loss per length over the difference of fluid and ambient temperature"},
};

typedef struct air {
    double conductivity;        /* W/(m K) */
    double kinematic_viscosity; /* m^2/s */
    double prandtl;
} air;

/* Dry air at 101.325 kPa: Sutherland viscosity, conductivity, perfect gas with kappa = 1.4, all from ISO 2533:1975. */
static air air_at(double temperature)
{
    const double gas_constant = 287.05287, pressure = 101325.0;
    const double root_cube = temperature * sqrt(temperature);
    const double viscosity = 1.458e-6 * root_cube / (temperature + 110.4);
    const double conductivity = 2.648151e-3 * root_cube / (temperature + 245.4 * pow(10.0, -12.0 / temperature));
    const double heat_capacity = 3.5 * gas_constant;
    return (air){.conductivity = conductivity,
                 .kinematic_viscosity = viscosity * gas_constant * temperature / pressure,
                 .prandtl = viscosity * heat_capacity / conductivity};
}

/* Churchill and Chu (1975), horizontal cylinder in still air, Ra up to 1e12. */
static double natural_nusselt(double rayleigh, double prandtl)
{
    const double prandtl_term = pow(1.0 + pow(0.559 / prandtl, 9.0 / 16.0), 8.0 / 27.0);
    const double root = 0.60 + 0.387 * pow(rayleigh, 1.0 / 6.0) / prandtl_term;
    return root * root;
}

/* Churchill and Bernstein (1977), cylinder in cross flow, Re Pr above 0.2. */
static double forced_nusselt(double reynolds, double prandtl)
{
    const double prandtl_term = pow(1.0 + pow(0.4 / prandtl, 2.0 / 3.0), 0.25);
    const double reynolds_term = pow(1.0 + pow(reynolds / 282000.0, 5.0 / 8.0), 0.8);
    return 0.3 + 0.62 * sqrt(reynolds) * cbrt(prandtl) / prandtl_term * reynolds_term;
}

typedef struct surface {
    double diameter, insulation; /* m; m^2 K/W on the outside area */
    double fluid, ambient, wind, emissivity;
} surface;

/* What the outside gives to the air and its surroundings at one surface temperature. */
typedef struct outside {
    double rayleigh, reynolds, nusselt;
    double convection, radiation; /* W/(m^2 K) */
} outside;

static outside outside_at(const surface *s, double surface_temperature)
{
    const double film = 0.5 * (surface_temperature + s->ambient);
    const air a = air_at(film);
    const double difference = fabs(surface_temperature - s->ambient);
    const double viscosity = a.kinematic_viscosity;
    const double rayleigh = standard_gravity / film * difference * s->diameter * s->diameter * s->diameter * a.prandtl /
                            (viscosity * viscosity);
    const double reynolds = s->wind * s->diameter / viscosity;
    const double nusselt = fmax(natural_nusselt(rayleigh, a.prandtl), forced_nusselt(reynolds, a.prandtl));
    const double sum = surface_temperature + s->ambient;
    const double squares = surface_temperature * surface_temperature + s->ambient * s->ambient;
    return (outside){.rayleigh = rayleigh,
                     .reynolds = reynolds,
                     .nusselt = nusselt,
                     .convection = nusselt * a.conductivity / s->diameter,
                     .radiation = s->emissivity * stefan_boltzmann * squares * sum};
}

static double temperature_at(const surface *s, double share)
{
    return s->ambient + share * (s->fluid - s->ambient);
}

/* Heat given off less heat conducted to the outside, over what would be conducted to a surface at ambient temperature.
 * share = (surface - ambient)/(fluid - ambient). Written in the share, the equation keeps its sense when there is no
 * temperature difference at all. */
static double excess_heat(double share, void *context)
{
    const surface *s = context;
    const outside o = outside_at(s, temperature_at(s, share));
    return (o.convection + o.radiation) * s->insulation * share - (1.0 - share);
}

static imp_status solve_surface(const double *in, surface *s, double *share, imp_error *error)
{
    imp_status status = imp_check_rows(imp_heat_hose_loss_in, in, LOSS_INPUTS, error);
    if (status != IMP_OK)
        return status;
    if (in[OUTER] < in[INNER]) {
        char outer[96], inner[96];
        return imp_fail(error, IMP_RANGE, imp_heat_hose_loss_in[OUTER].name, "%s is below the inner_diameter of %s",
                        imp_param_format(&imp_heat_hose_loss_in[OUTER], in[OUTER], 6, outer, sizeof outer),
                        imp_param_format(&imp_heat_hose_loss_in[INNER], in[INNER], 6, inner, sizeof inner));
    }
    *s = (surface){.diameter = in[OUTER],
                   .insulation = in[OUTER] * log(in[OUTER] / in[INNER]) / (2.0 * in[CONDUCTIVITY]),
                   .fluid = in[FLUID],
                   .ambient = in[AMBIENT],
                   .wind = in[WIND],
                   .emissivity = in[EMISSIVITY]};
    return imp_solve_bracketed(excess_heat, s, 0.0, 1.0, 1e-14, share, error);
}

static imp_heat_loss loss_at(const surface *s, double share)
{
    const double temperature = temperature_at(s, share);
    const outside o = outside_at(s, temperature);
    const double coefficient = pi * s->diameter / (s->insulation + 1.0 / (o.convection + o.radiation));
    return (imp_heat_loss){.loss_per_length = coefficient * (s->fluid - s->ambient),
                           .surface_temperature = temperature,
                           .loss_coefficient = coefficient};
}

imp_status imp_heat_hose_loss(double inner_diameter, double outer_diameter, double insulation_conductivity,
                              double fluid_temperature, double ambient_temperature, double wind_speed,
                              double emissivity, imp_heat_loss *loss, imp_error *error)
{
    const double in[LOSS_INPUTS] = {inner_diameter,    outer_diameter,      insulation_conductivity,
                                    fluid_temperature, ambient_temperature, wind_speed,
                                    emissivity};
    surface s;
    double share = 0.0;
    const imp_status status = solve_surface(in, &s, &share, error);
    if (status == IMP_OK)
        *loss = loss_at(&s, share);
    return status;
}

imp_status imp_heat_hose_loss_evaluate(const imp_call *call)
{
    double in[LOSS_INPUTS];
    for (size_t i = 0; i < LOSS_INPUTS; i++)
        in[i] = call->in[i].number;
    surface s;
    double share = 0.0;
    const imp_status status = solve_surface(in, &s, &share, call->error);
    if (status != IMP_OK)
        return status;
    const imp_heat_loss loss = loss_at(&s, share);
    const outside o = outside_at(&s, loss.surface_temperature);
    imp_sheet_step(call->sheet, "Ra", "Rayleigh number of the outside", "g |Ts - Ta| d2^3 Pr/(Tm nu^2)", o.rayleigh,
                   "1");
    imp_sheet_step(call->sheet, "Re", "Reynolds number of the wind", "w d2/nu", o.reynolds, "1");
    imp_sheet_step(call->sheet, "Nu", "Nusselt number", "the larger of natural and forced", o.nusselt, "1");
    imp_sheet_step(call->sheet, "hc", "convection coefficient", "Nu ka/d2", o.convection, "W/(m^2 K)");
    imp_sheet_step(call->sheet, "hr", "radiation coefficient", "eps sigma (Ts^2 + Ta^2)(Ts + Ta)", o.radiation,
                   "W/(m^2 K)");
    call->out[0].number = loss.loss_per_length;
    call->out[1].number = loss.surface_temperature;
    call->out[2].number = loss.loss_coefficient;
    return IMP_OK;
}
