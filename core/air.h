/* air.h — compressed air: free air, compressor power, receiver, line, condensate.
 *
 * SI throughout. "Free air" is volume at the reference atmosphere ANR of ISO 8778: 20 degC, 100 kPa. Gauge pressures
 * stand on ambient_pressure. A compressor's rated delivery is volume at its own intake: that is more than free air
 * where the intake is thinner or warmer than the reference. Numbers outside their entry's rows are refused with
 * IMP_RANGE. */
#ifndef IMP_AIR_H
#define IMP_AIR_H

#include "status.h"

/* Free air [m^3/s] of a flow [m^3/s] measured at line pressure (gauge, Pa) and temperature [K]: Boyle and Charles. */
imp_status imp_air_free_air(double flow, double gauge_pressure, double temperature, double ambient_pressure,
                            double *free_air_flow, imp_error *error);

typedef struct imp_air_compressor {
    double free_air_flow;                       /* m^3/s at the reference atmosphere */
    double gauge_pressure;                      /* Pa, delivered */
    double stages;                              /* whole number, equal pressure ratios, cooled back between them */
    double efficiency;                          /* isentropic power over shaft power */
    double intake_pressure, intake_temperature; /* Pa absolute, K */
    double ambient_pressure;                    /* Pa: on which the gauge stands */
} imp_air_compressor;

/* Power [W] and specific power [W per m^3/s of free air]: isentropic compression of an ideal gas, k = 1.4,
 * P = n k/(k - 1) p1 Q1 ((p2/p1)^((k - 1)/(n k)) - 1)/eta. IMP_NO_SOLUTION when there is nothing to compress. */
imp_status imp_air_compressor_power(const imp_air_compressor *compressor, double *power, double *specific_power,
                                    imp_error *error);

typedef struct imp_air_cycle {
    double run_time, idle_time; /* s */
    double starts;              /* 1/s */
    double duty;                /* share of the time in which the compressor delivers */
} imp_air_cycle;

/* Cycle of a receiver [m^3] between cut_in and cut_out (gauge, Pa) with free-air flows [m^3/s] of demand and supply:
 * the air between the two pressures is volume x difference/100 kPa at 20 degC. IMP_NO_SOLUTION when the supply does not
 * exceed the demand. */
imp_status imp_air_receiver_cycle(double volume, double cut_in, double cut_out, double demand, double supply,
                                  imp_air_cycle *cycle, imp_error *error);

typedef struct imp_air_line {
    double bore, length, roughness; /* m */
    double temperature;             /* K, all along */
    double ambient_pressure;        /* Pa */
} imp_air_line;

/* Pressure drop [Pa] of a free-air flow [m^3/s] from an inlet gauge pressure [Pa]: isothermal flow of an ideal gas,
 * p1^2 - p2^2 = G^2 R T (f L/d + 2 ln(p1/p2)), f by Colebrook (hose.h), viscosity by Sutherland.
 * IMP_NO_SOLUTION when the line cannot pass that flow. */
imp_status imp_air_line_drop(double free_air_flow, double inlet_gauge_pressure, const imp_air_line *line,
                             double *pressure_drop, imp_error *error);

typedef struct imp_air_intake {
    double air_temperature, relative_humidity; /* K; over water or, below 0.01 degC, over ice (ASHRAE) */
    double ambient_pressure;                   /* Pa */
} imp_air_intake;

/* Water [kg/s] that falls out of a flow of free air [m^3/s, dry] when it is compressed to a gauge pressure [Pa] and
 * cooled to line_temperature [K], and the pressure dew point [K] of what is left. */
imp_status imp_air_condensate(double free_air_flow, const imp_air_intake *intake, double gauge_pressure,
                              double line_temperature, double *water_rate, double *pressure_dew_point,
                              imp_error *error);

#endif
