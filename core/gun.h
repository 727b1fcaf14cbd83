/* gun.h — flow through the orifices of a gun, and how the two jets meet in its mixing chamber.
 *
 * All quantities SI. Arguments outside their entry's rows are refused with IMP_RANGE. */
#ifndef IMP_GUN_H
#define IMP_GUN_H

#include "status.h"

/* Q = Cd A sqrt(2 dp/rho), and Q/A. The velocity upstream is neglected. */
imp_status imp_gun_orifice_flow(double diameter, double pressure_drop, double density, double discharge_coefficient,
                                double *flow, double *velocity, imp_error *error);

/* The inverse: pressure drop at a flow. */
imp_status imp_gun_orifice_pressure(double diameter, double flow, double density, double discharge_coefficient,
                                    double *pressure_drop, imp_error *error);

/* Discharge coefficient of a short cylindrical orifice with a sharp inlet that runs full; 10 < reynolds < 2e4 on the
 * theoretical jet velocity sqrt(2 dp/rho), length_ratio 2 .. 10 (length over diameter).
 * Source: Lichtarowicz, Duggins and Markland, J. Mech. Eng. Sci. 7 (1965) 210. */
imp_status imp_gun_discharge_coefficient(double reynolds, double length_ratio, double *discharge_coefficient,
                                         imp_error *error);

/* One side of the mixing chamber: `count` equal orifices share the flow. */
typedef struct imp_gun_side {
    double flow, density, viscosity, diameter;
    int count; /* 1 .. 8 */
} imp_gun_side;

/* Momentum flux rho Q^2/A of iso over resin, and the Reynolds number in one orifice of each side. */
imp_status imp_gun_impingement(const imp_gun_side *iso, const imp_gun_side *resin, double *momentum_ratio,
                               double *iso_reynolds, double *resin_reynolds, imp_error *error);

#endif
