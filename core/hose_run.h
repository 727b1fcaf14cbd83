/* hose_run.h — one hose marched from its inlet to its end: temperature, pressure, viscosity and Reynolds number along
 * it.
 *
 * With x along the hose, m the mass flow, A the bore's area, G = m/A and everything at the local temperature:
 *   m cp dT/dx = q - U (T - Ta) + (m/rho) p_f        heating, loss to the air, and friction that turns into heat
 *        dp/dx = -p_f - rho g (rise/length)          friction and lift
 *          p_f = (f/d + K/length) G^2/(2 rho)        Darcy-Weisbach; the fittings of a section are spread over it
 * f is imp_hose_friction at Re = G d/mu. mu and rho follow the temperature (fluid.h), cp is constant. Left out: the
 * kinetic energy of the liquid (about 1 kPa at 1 m/s), conduction along the hose, and compressibility.
 * Steps are explicit Runge-Kutta of order 5 with an error estimate of order 4 (Dormand and Prince, J. Comput. Appl.
 * Math. 6 (1980) 19-26). Heat is accounted in the same steps, so that inlet, heating, loss and friction add up to the
 * outlet to the last digits. All quantities SI; pressures gauge or absolute alike. */
#ifndef IMP_HOSE_RUN_H
#define IMP_HOSE_RUN_H

#include <stdbool.h>
#include <stddef.h>

#include "fluid.h"
#include "status.h"

enum { IMP_HOSE_MOST_SECTIONS = 104, IMP_HOSE_LEAST_STEPS = 40 };

typedef struct imp_hose_section {
    double bore, length;     /* m */
    double roughness;        /* m, of the wall; at most 0.05 of the bore */
    double fitting_loss;     /* sum of loss coefficients K, on the velocity in the bore */
    double rise;             /* m, end above start */
    double heating;          /* W/m that reach the liquid */
    double loss_coefficient; /* W/(m K) to the ambient */
    double rated_pressure;   /* Pa; not-a-number = not known */
} imp_hose_section;

typedef struct imp_hose_run {
    const imp_fluid *fluid;           /* fitted */
    const imp_hose_section *sections; /* in the direction of flow */
    size_t section_count;             /* 1 .. IMP_HOSE_MOST_SECTIONS */
    double flow;                      /* m^3/s at the inlet */
    double inlet_temperature, inlet_pressure, ambient_temperature;
} imp_hose_run;

typedef struct imp_hose_point {
    double position; /* m from the inlet */
    size_t section;  /* from 0 */
    double temperature, pressure, viscosity, density, velocity, reynolds;
} imp_hose_point;

/* Where the course of a march is kept; the caller's memory, any part may be NULL. When `points` is full, every
 * second one is dropped and the rest of the way kept half as densely. */
typedef struct imp_hose_trace {
    imp_hose_point *points;
    size_t capacity;      /* at least 4 where points are wanted */
    size_t count;         /* written */
    double *drops;        /* [section_count]: inlet less outlet pressure of each section, written; or NULL */
    double *temperatures; /* [section_count]: at the end of each section, written; or NULL */
} imp_hose_trace;

typedef struct imp_hose_run_result {
    double mass_flow; /* kg/s */
    double outlet_temperature, outlet_pressure, outlet_viscosity, outlet_density, outlet_reynolds;
    double pressure_drop;                      /* inlet less outlet */
    double heating, loss, viscous_heating;     /* W in all */
    double exchanged;                          /* W that came from the other hose of a pair; else 0 */
    double residence_time;                     /* s */
    double highest_pressure, highest_position; /* along the run */
    double pressure_margin;                    /* least of rated less local pressure; not-a-number: no rating known */
    size_t weakest_section;                    /* where that is, from 0 */
    bool extrapolated;                         /* viscosity was needed outside the fluid's points */
    size_t steps;                              /* taken */
} imp_hose_run_result;

/* March one hose. trace may be NULL. On failure *result is untouched (the trace may hold a part).
 * IMP_RANGE: an argument outside its row ("sections[2].bore"), or a liquid that gets hotter or colder than a liquid is.
 * IMP_NOT_APPLICABLE: too cold for the viscosity's fit. IMP_LIMIT: too many sections. IMP_NO_SOLUTION: so little flow
 * that the liquid takes on every change at once and the steps get too many. */
imp_status imp_hose_run_march(const imp_hose_run *run, imp_hose_trace *trace, imp_hose_run_result *result,
                              imp_error *error);

#endif
