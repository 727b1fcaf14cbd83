/* heat.h — heaters, heat carried and lost by a hose, and the electric circuit that heats it.
 *
 * All quantities SI, temperatures in K. Arguments outside their entry's rows are refused with IMP_RANGE. */
#ifndef IMP_HEAT_H
#define IMP_HEAT_H

#include <stddef.h>

#include "status.h"

/* Power rho Q cp dT / efficiency that lifts a flow by a temperature difference. */
imp_status imp_heat_heating_power(double flow, double density, double heat_capacity, double temperature_rise,
                                  double efficiency, double *power, imp_error *error);

/* The largest flow that a heater lifts by a temperature difference. */
imp_status imp_heat_heated_flow(double power, double density, double heat_capacity, double temperature_rise,
                                double efficiency, double *flow, imp_error *error);

/* Rise dp/(rho cp) when a pressure drop turns into heat in the liquid. */
imp_status imp_heat_viscous_rise(double pressure_drop, double density, double heat_capacity, double *temperature_rise,
                                 imp_error *error);

typedef struct imp_heat_loss {
    double loss_per_length;     /* W/m, negative where the hose takes up heat */
    double surface_temperature; /* K */
    double loss_coefficient;    /* W/(m K): loss per length over (fluid - ambient); finite without a difference too */
} imp_heat_loss;

/* Loss of an insulated hose: conduction through the insulation; natural or forced convection, whichever is larger;
 * radiation to surroundings at ambient temperature. inner_diameter <= outer_diameter.
 * Sources: Churchill and Chu 1975, Churchill and Bernstein 1977; air after ISO 2533 at film temperature. */
imp_status imp_heat_hose_loss(double inner_diameter, double outer_diameter, double insulation_conductivity,
                              double fluid_temperature, double ambient_temperature, double wind_speed,
                              double emissivity, imp_heat_loss *loss, imp_error *error);

/* Temperature at the end of a hose with constant heating and loss per metre; a loss coefficient of 0 is allowed. */
imp_status imp_heat_outlet_temperature(double inlet_temperature, double ambient_temperature, double flow,
                                       double density, double heat_capacity, double loss_coefficient, double length,
                                       double heating, double *outlet_temperature, imp_error *error);

typedef struct imp_heat_circuit {
    double current;          /* A */
    double power;            /* W in all hose sections together */
    double power_per_length; /* W/m */
    double lead_loss;        /* W in the leads */
} imp_heat_circuit;

/* Unregulated series loop of hose sections: I = V/(n R + R_lead). */
imp_status imp_heat_hose_circuit(double section_resistance, double sections, double voltage, double section_length,
                                 double lead_resistance, imp_heat_circuit *circuit, imp_error *error);

enum { IMP_HEAT_MOST_TAPS = 32 };

typedef struct imp_heat_tap_supply {
    double section_resistance; /* ohm */
    double sections;
    double section_length;                   /* m */
    const double *taps;                      /* V, nominal, in any order */
    size_t tap_count;                        /* 1 .. IMP_HEAT_MOST_TAPS */
    double current_limit;                    /* A */
    const double *current_setting;           /* A; NULL = not given. Exactly one of these two is given. */
    const double *required_power_per_length; /* W/m; NULL = not given */
    double lead_resistance;                  /* ohm */
    double supply_ratio;                     /* measured over nominal primary voltage */
} imp_heat_tap_supply;

typedef enum imp_heat_limit { IMP_HEAT_NEED_MET, IMP_HEAT_CURRENT, IMP_HEAT_HIGHEST_TAP } imp_heat_limit;

typedef struct imp_heat_tap {
    double voltage;          /* V, nominal voltage of the tap chosen */
    double current;          /* A */
    double power;            /* W in all hose sections together */
    double power_per_length; /* W/m */
    double apparent_power;   /* VA drawn from the tap */
    imp_heat_limit limited_by;
} imp_heat_tap;

/* Regulated current: the lowest tap that can drive the wanted current, or the highest tap and what it gives.
 * IMP_MISSING or IMP_RANGE when neither or both of current_setting and required_power_per_length are given. */
imp_status imp_heat_hose_tap(const imp_heat_tap_supply *supply, imp_heat_tap *tap, imp_error *error);

/* Time and heater energy to warm a lumped heat capacity with constant power against a loss per kelvin.
 * IMP_NO_SOLUTION, naming the temperature that is reached in the end, when the target is not. */
imp_status imp_heat_warm_up_time(double power, double heat_capacity_total, double loss, double ambient_temperature,
                                 double start_temperature, double target_temperature, double *time, double *energy,
                                 imp_error *error);

typedef struct imp_heat_stream {
    double flow, density, heat_capacity, temperature;
} imp_heat_stream;

/* Temperature of two streams mixed, before they react. */
imp_status imp_heat_mixed_temperature(const imp_heat_stream *iso, const imp_heat_stream *resin, double *temperature,
                                      imp_error *error);

#endif
