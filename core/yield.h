/* yield.h — how much material a job takes, in what pieces, how long it takes and what it costs.
 *
 * SI throughout; money in the currency of the prices. Fractions are 0 .. 1. Numbers outside their entry's rows are
 * refused with IMP_RANGE, place = the input's name. */
#ifndef IMP_YIELD_H
#define IMP_YIELD_H

#include "status.h"

/* Foam on an area [m^2]: volume in place [m^3], the same in board feet (144 in^3), and mass sprayed [kg]
 * = volume x density/(1 - loss). surface_factor: true over plain area. */
imp_status imp_yield_foam(double area, double thickness, double in_place_density, double loss, double surface_factor,
                          double *volume, double *board_feet, double *mass, imp_error *error);
/* Area [m^2] that a mass [kg] covers: the inverse. */
imp_status imp_yield_area_from_material(double mass, double thickness, double in_place_density, double loss,
                                        double surface_factor, double *area, imp_error *error);

typedef struct imp_yield_parts {
    double iso_mass, resin_mass, iso_volume, resin_volume; /* kg, m^3 */
} imp_yield_parts;

/* Iso and resin in a mass [kg] of mixture; mass_ratio is iso over resin. */
imp_status imp_yield_split(double mass, double mass_ratio, double iso_density, double resin_density,
                           imp_yield_parts *parts, imp_error *error);

/* Sets of one drum each [m^3] that two volumes take, and what is left of the usable volume [m^3]. */
imp_status imp_yield_sets(double iso_volume, double resin_volume, double drum_volume, double usable_fraction,
                          double *sets, double *iso_left, double *resin_left, imp_error *error);

/* Fewest equal lifts of at most maximum_lift [m]. IMP_NO_SOLUTION when they are thinner than minimum_lift. */
imp_status imp_yield_lifts(double thickness, double maximum_lift, double minimum_lift, double *lifts,
                           double *lift_thickness, imp_error *error);

/* Time on the trigger and time from start to end [s] for a mass [kg] at a mass flow [kg/s]. */
imp_status imp_yield_spray_time(double mass, double mass_flow, double trigger_fraction, double *spraying_time,
                                double *elapsed_time, imp_error *error);

/* Wet film [m] that leaves a dry film: dry (1 + thinning)/solids. */
imp_status imp_yield_wet_film(double dry_film, double solids_by_volume, double thinning, double *wet_film,
                              imp_error *error);

/* Coating for an area [m^2]: volume [m^3] = area (dry/solids + profile_dead_volume)/(1 - loss); spreading rates [1/m].
 */
imp_status imp_yield_coating(double area, double dry_film, double solids_by_volume, double loss,
                             double profile_dead_volume, double *volume, double *spreading_rate,
                             double *theoretical_spreading_rate, imp_error *error);

/* Thermal resistance [m^2 K/W] of a layer: d/lambda. ISO 6946:2017, 6.7.1. */
imp_status imp_yield_thermal_resistance(double thickness, double conductivity, double *resistance, imp_error *error);

typedef struct imp_yield_wall {
    double target_u;                           /* W/(m^2 K) */
    double existing_resistance;                /* m^2 K/W, without surfaces */
    double conductivity;                       /* W/(m K), of what is added */
    double internal_surface, external_surface; /* m^2 K/W */
} imp_yield_wall;

/* Thickness [m] that brings a wall to a U value: lambda (1/U - R - Rsi - Rse); 0 when the wall is there already.
 * ISO 6946:2017, 6.5 and 6.7. */
imp_status imp_yield_thickness_for_u(const imp_yield_wall *wall, double *thickness, imp_error *error);

typedef struct imp_yield_job {
    double area, mass;        /* m^2, kg */
    double unit_price;        /* money/kg */
    double labour_time;       /* s, from start to end */
    double labour_rate, crew; /* money/s a person, persons */
    double energy_cost;       /* money */
} imp_yield_job;

/* Cost and cost per area: material, labour = time x rate x crew, energy. */
imp_status imp_yield_cost(const imp_yield_job *job, double *cost, double *cost_per_area, imp_error *error);

#endif
