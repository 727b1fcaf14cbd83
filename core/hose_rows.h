/* hose_rows.h — rows that the hose entries share, and the entries that stand in files of their own. Private to hose*.c.
 */
#ifndef IMP_HOSE_ROWS_H
#define IMP_HOSE_ROWS_H

#include "catalogue.h"

#define HOSE_FLOW_ROW(presence_, help_)                                                                                \
    {                                                                                                                  \
        .name = "flow", .symbol = "Q", .kind = IMP_NUMBER, .dimension = IMP_FLOW, .unit = "L/min",                     \
        .presence = (presence_), .low = 0.0, .high = IMP_LITRE_PER_MINUTE(60000.0), .ends = IMP_OPEN_LOW,              \
        .help = (help_)                                                                                                \
    }
#define HOSE_BORE_ROW                                                                                                  \
    {                                                                                                                  \
        .name = "bore", .symbol = "d", .kind = IMP_NUMBER, .dimension = IMP_LENGTH, .unit = "mm",                      \
        .presence = IMP_REQUIRED, .low = IMP_MILLIMETRE(0.1), .high = IMP_MILLIMETRE(1000.0),                          \
        .help = "inside diameter"                                                                                      \
    }
#define HOSE_LENGTH_ROW                                                                                                \
    {                                                                                                                  \
        .name = "length", .symbol = "L", .kind = IMP_NUMBER, .dimension = IMP_LENGTH, .unit = "m",                     \
        .presence = IMP_REQUIRED, .low = 0.0, .high = 10000.0, .ends = IMP_OPEN_LOW, .help = "length of the hose"      \
    }
#define HOSE_DENSITY_ROW                                                                                               \
    {                                                                                                                  \
        .name = "density", .symbol = "rho", .kind = IMP_NUMBER, .dimension = IMP_DENSITY, .unit = "kg/m^3",            \
        .presence = IMP_REQUIRED, .low = 0.1, .high = 25000.0, .help = "density at flowing temperature"                \
    }
#define HOSE_VISCOSITY_ROW                                                                                             \
    {                                                                                                                  \
        .name = "viscosity", .symbol = "mu", .kind = IMP_NUMBER, .dimension = IMP_VISCOSITY, .unit = "mPa s",          \
        .presence = IMP_REQUIRED, .low = IMP_MILLIPASCAL_SECOND(1e-3), .high = IMP_MILLIPASCAL_SECOND(1e6),            \
        .help = "dynamic viscosity at flowing temperature"                                                             \
    }

#define HOSE_ROUGHNESS_ROW                                                                                             \
    {                                                                                                                  \
        .name = "roughness", .symbol = "k", .kind = IMP_NUMBER, .dimension = IMP_LENGTH, .unit = "mm",                 \
        .presence = IMP_DEFAULT, .low = 0.0, .high = IMP_MILLIMETRE(5.0), .fallback = 0.0,                             \
        .help = "roughness of the wall, at most 0.05 of the bore; 0 is smooth, as a lined hose nearly is"              \
    }
#define HOSE_FITTING_LOSS_ROW                                                                                          \
    {                                                                                                                  \
        .name = "fitting_loss", .symbol = "K", .kind = IMP_NUMBER, .dimension = IMP_PURE, .presence = IMP_DEFAULT,     \
        .low = 0.0, .high = 1e4, .fallback = 0.0,                                                                      \
        .help = "sum of the loss coefficients of the fittings, on the velocity in the bore"                            \
    }
#define HOSE_RISE_ROW                                                                                                  \
    {                                                                                                                  \
        .name = "rise", .symbol = "z", .kind = IMP_NUMBER, .dimension = IMP_LENGTH, .unit = "m",                       \
        .presence = IMP_DEFAULT, .low = -1000.0, .high = 1000.0, .fallback = 0.0,                                      \
        .help = "height of the outlet above the inlet; negative where the hose leads down"                             \
    }

#define HOSE_HEATING_ROW(help_)                                                                                        \
    {                                                                                                                  \
        .name = "heating", .symbol = "q", .kind = IMP_NUMBER, .dimension = IMP_POWER_PER_LENGTH, .unit = "W/m",        \
        .presence = IMP_DEFAULT, .low = 0.0, .high = 1e4, .fallback = 0.0, .help = (help_)                             \
    }
#define HOSE_LOSS_ROW(help_)                                                                                           \
    {                                                                                                                  \
        .name = "loss_coefficient", .symbol = "U", .kind = IMP_NUMBER, .dimension = IMP_CONDUCTIVITY,                  \
        .unit = "W/(m K)", .presence = IMP_DEFAULT, .low = 0.0, .high = 100.0, .fallback = 0.0, .help = (help_)        \
    }
#define HOSE_RATED_ROW                                                                                                 \
    {                                                                                                                  \
        .name = "rated_pressure", .symbol = "pr", .kind = IMP_NUMBER, .dimension = IMP_PRESSURE, .unit = "bar",        \
        .presence = IMP_OPTIONAL, .low = 0.0, .high = IMP_BAR(1000.0), .ends = IMP_OPEN_LOW,                           \
        .help = "highest working pressure, gauge"                                                                      \
    }
#define HOSE_INLET_PRESSURE_ROW                                                                                        \
    {                                                                                                                  \
        .name = "inlet_pressure", .symbol = "p0", .kind = IMP_NUMBER, .dimension = IMP_PRESSURE, .unit = "bar",        \
        .presence = IMP_DEFAULT, .low = 0.0, .high = IMP_BAR(1000.0), .fallback = 0.0,                                 \
        .help = "at the inlet, gauge; with 0 bar the pressures along the hose are what it takes"                       \
    }
#define HOSE_AMBIENT_ROW                                                                                               \
    {                                                                                                                  \
        .name = "ambient_temperature", .symbol = "Ta", .kind = IMP_NUMBER, .dimension = IMP_TEMPERATURE,               \
        .unit = "degC", .presence = IMP_REQUIRED, .low = IMP_CELSIUS(-60.0), .high = IMP_CELSIUS(150.0),               \
        .help = "of the air round the hose"                                                                            \
    }

/* Roughest wall, over the bore, for which the friction factors hold. */
#define HOSE_ROUGHEST 0.05

/* Upper end of laminar flow, and lower end of fully turbulent flow, of a Newtonian liquid. */
#define HOSE_LAMINAR_REYNOLDS 2000.0
#define HOSE_TURBULENT_REYNOLDS 4000.0

extern const imp_param imp_hose_power_law_in[6];
extern const imp_param imp_hose_power_law_out[2];
imp_status imp_hose_power_law_evaluate(const imp_call *call);

#endif
