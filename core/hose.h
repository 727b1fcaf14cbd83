/* hose.h — flow of a liquid through a hose: Reynolds number, friction, pressure drop, contents.
 *
 * All quantities SI. Friction factors are Darcy's (four times Fanning's). A pressure drop is positive in the direction
 * of flow, a rise is positive upwards. Arguments outside their entry's rows are refused with IMP_RANGE. */
#ifndef IMP_HOSE_H
#define IMP_HOSE_H

#include "status.h"

/* The round bore between two points. */
typedef struct imp_hose_line {
    double bore;         /* m */
    double length;       /* m */
    double roughness;    /* m, of the wall */
    double fitting_loss; /* sum of the loss coefficients K of the fittings, on the velocity in the bore */
    double rise;         /* m, outlet above inlet */
} imp_hose_line;

typedef struct imp_hose_drop {
    double pressure_drop; /* Pa */
    double velocity;      /* m/s, mean */
    double reynolds;
    double friction_factor; /* Darcy */
} imp_hose_drop;

/* Reynolds number 4 rho Q / (pi d mu) and mean velocity 4 Q / (pi d^2). */
imp_status imp_hose_reynolds(double flow, double bore, double density, double viscosity, double *reynolds,
                             double *velocity, imp_error *error);

/* Darcy friction factor of a round bore; 0 < reynolds <= 1e8, relative_roughness 0 .. 0.05.
 * 64/Re to 2000; Colebrook (1939) from 4000, solved to 1e-12; between them the cubic in ln f over ln Re that meets both
 * values and both slopes, so that f has no step, and f Re^2 (the pressure drop over the flow) always rises. */
imp_status imp_hose_friction_factor(double reynolds, double relative_roughness, double *factor, imp_error *error);

/* The same without checks, for marching solvers: reynolds > 0, relative_roughness 0 .. 0.05. */
double imp_hose_friction(double reynolds, double relative_roughness);

/* Darcy friction factor of a power-law liquid from its generalised Reynolds number (Metzner and Reed 1955):
 * 64/Re' to 2100; Dodge and Metzner (1959) from 4000; blended as above. Without checks: reynolds > 0, flow_index 0.3
 * .. 1.5. */
double imp_hose_power_law_friction(double reynolds, double flow_index);

/* Darcy-Weisbach with fittings and lift: (f L/d + K) rho v^2/2 + rho g z. */
imp_status imp_hose_pressure_drop(const imp_hose_line *line, double flow, double density, double viscosity,
                                  imp_hose_drop *drop, imp_error *error);

/* The flow that a pressure drop drives: inverse of the above. IMP_NO_SOLUTION when the lift takes all of it. */
imp_status imp_hose_flow_for_drop(const imp_hose_line *line, double pressure_drop, double density, double viscosity,
                                  double *flow, imp_error *error);

/* Pressure drop of a liquid with shear stress = consistency x (shear rate)^flow_index in a smooth level hose;
 * consistency in Pa s^n. generalised_reynolds is Metzner and Reed's. */
imp_status imp_hose_power_law_drop(double flow, double bore, double length, double density, double consistency,
                                   double flow_index, double *pressure_drop, double *generalised_reynolds,
                                   imp_error *error);

/* Contents of a hose, m^3. */
imp_status imp_hose_volume(double bore, double length, double *volume, imp_error *error);
/* Time for a flow to replace the contents once, s. */
imp_status imp_hose_residence_time(double bore, double length, double flow, double *time, imp_error *error);

#endif
