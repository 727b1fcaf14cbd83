/* pump.h — reciprocating pumps on a shared drive: flow, power, drive pressure, inlet. SI; pressures in Pa.
 * Every function refuses values outside its entry's rows with IMP_RANGE and leaves its results untouched then. */
#ifndef IMP_PUMP_H
#define IMP_PUMP_H

#include "status.h"

/* Flow [m^3/s] of a pump with a displacement [m^3 per cycle] at a cycle rate [1/s]. */
imp_status imp_pump_flow(double displacement, double cycle_rate, double volumetric_efficiency, double *flow,
                         imp_error *error);
/* The inverse: cycle rate [1/s] for a flow. */
imp_status imp_pump_cycle_rate(double flow, double displacement, double volumetric_efficiency, double *cycle_rate,
                               imp_error *error);

/* Power [W] that lifts a flow by a pressure: p Q / efficiency. */
imp_status imp_pump_hydraulic_power(double pressure, double flow, double efficiency, double *power, imp_error *error);

/* One shared drive: gauge pressures of iso and resin on their plungers, areas in m^2. */
typedef struct imp_pump_drive {
    double iso_pressure, resin_pressure;
    double iso_area, resin_area, drive_area;
    double efficiency;
} imp_pump_drive;

/* Gauge pressure [Pa] that the drive piston needs: balance of forces over the efficiency. */
imp_status imp_pump_drive_pressure(const imp_pump_drive *drive, double *drive_pressure, imp_error *error);

/* What reaches the pump from its supply. */
typedef struct imp_pump_inlet {
    double supply_absolute_pressure; /* at the supply's level [Pa] */
    double line_drop;                /* [Pa] */
    double vapour_pressure;          /* absolute [Pa] */
    double rise;                     /* from the supply's level up to the pump [m] */
    double density;                  /* [kg/m^3] */
} imp_pump_inlet;

/* Net positive suction pressure [Pa]: what is left above the vapour pressure at the inlet. Negative: the pump starves.
 */
imp_status imp_pump_inlet_margin(const imp_pump_inlet *inlet, double *margin, imp_error *error);

#endif
