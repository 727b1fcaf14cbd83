/* fluid.h — a liquid: how its viscosity and density change with temperature. SI: K, Pa s, m^2/s, kg/m^3. */
#ifndef IMP_FLUID_H
#define IMP_FLUID_H

#include <stdbool.h>
#include <stddef.h>

#include "param.h"
#include "status.h"

/* Kinematic viscosity [m^2/s] of an oil from its viscosities at two temperatures, each 2 to 2e7 mm^2/s.
 * IMP_NOT_APPLICABLE: equal temperatures, a viscosity that rises with temperature, or a result outside that range.
 * ASTM D341 (MacCoull's form of Walther's equation), made for petroleum liquids; not verified for iso and resin. */
typedef struct imp_fluid_oil_point {
    double temperature, viscosity; /* K, m^2/s */
} imp_fluid_oil_point;
imp_status imp_fluid_walther_viscosity(double temperature, const imp_fluid_oil_point *first,
                                       const imp_fluid_oil_point *second, double *viscosity, imp_error *error);

/* Density [kg/m^3] by linear volumetric expansion [1/K] from a reference. */
imp_status imp_fluid_density(double temperature, double reference_density, double reference_temperature,
                             double expansion, double *density, imp_error *error);

/* Temperatures of liquids: the range of every row that takes one. */
#define IMP_FLUID_TEMPERATURE_RANGE                                                                                    \
    .dimension = IMP_TEMPERATURE, .unit = "degC", .low = IMP_CELSIUS(-60.0), .high = IMP_CELSIUS(250.0)

enum { IMP_FLUID_POINTS = 16 };

typedef struct imp_fluid_point {
    double temperature, viscosity; /* K, dynamic viscosity in Pa s */
} imp_fluid_point;

typedef enum imp_fluid_method {
    IMP_FLUID_CONSTANT, /* one point: the viscosity at any temperature */
    IMP_FLUID_ANDRADE,  /* two points: ln mu = a + b/T */
    IMP_FLUID_VOGEL     /* three or more: ln mu = a + b/(T - c) */
} imp_fluid_method;

typedef struct imp_fluid {
    /* given, in any order */
    imp_fluid_point points[IMP_FLUID_POINTS];
    size_t count;
    double density, reference_temperature, expansion; /* kg/m^3 at K, 1/K */
    double heat_capacity;                             /* J/(kg K) */
    /* found by imp_fluid_fit */
    imp_fluid_method method;
    double a, b, c;                     /* ln mu = a + b/(T - c), mu in Pa s, b >= 0, c below every point */
    double coldest, hottest;            /* temperatures of the outermost points */
    double residuals[IMP_FLUID_POINTS]; /* fit over point, less 1; in the points' order */
    double worst_residual;              /* largest magnitude of these */
} imp_fluid;

/* The rows of one point (temperature, viscosity), ended by a row without name. */
extern const imp_param imp_fluid_point_rows[];

/* Fit the viscosity of fluid->points; on failure nothing of *fluid is changed. Three and more points are fitted by
 * least squares in ln mu: linear in a and b, searched over c. A fitted viscosity never rises with temperature.
 * IMP_LIMIT: no points or more than IMP_FLUID_POINTS. IMP_RANGE: a point outside its rows. IMP_NOT_APPLICABLE: two
 * points within 0.1 K of each other, or a viscosity that rises with temperature (both points are named). Andrade 1930;
 * Vogel 1921 (Phys. Z. 22, 645). */
imp_status imp_fluid_fit(imp_fluid *fluid, imp_error *error);

/* Viscosity [Pa s] of a fitted fluid; *extrapolated (may be NULL) tells whether the temperature lies outside the
 * points. IMP_RANGE: temperature outside -60 degC to 250 degC. IMP_NOT_APPLICABLE: so far outside that the fit has no
 * meaning. */
imp_status imp_fluid_viscosity(const imp_fluid *fluid, double temperature, double *viscosity, bool *extrapolated,
                               imp_error *error);

/* The same without message, for marching solvers: not-a-number where the above refuses. */
double imp_fluid_viscosity_or_nan(const imp_fluid *fluid, double temperature);

/* Density [kg/m^3] of a fluid at a temperature. */
imp_status imp_fluid_density_at(const imp_fluid *fluid, double temperature, double *density, imp_error *error);

#endif
