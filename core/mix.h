/* mix.h — ratio and index of iso and resin. Ratios are iso over resin; fractions and mass ratios are pure numbers;
 * a hydroxyl number is kg of KOH per kg (500 mgKOH/g = 0.5). SI.
 * Every function refuses values outside its entry's rows with IMP_RANGE and leaves its results untouched then. */
#ifndef IMP_MIX_H
#define IMP_MIX_H

#include "status.h"

/* Mass ratio from volume ratio and back; densities in kg/m^3, at the temperature at which the volumes are taken. */
imp_status imp_mix_mass_ratio(double volume_ratio, double iso_density, double resin_density, double *mass_ratio,
                              imp_error *error);
imp_status imp_mix_volume_ratio(double mass_ratio, double iso_density, double resin_density, double *volume_ratio,
                                imp_error *error);

/* What one side brings to the reaction. */
typedef struct imp_mix_chemistry {
    double nco_content;     /* mass fraction of NCO in the iso */
    double hydroxyl_number; /* kg KOH per kg of resin, without its water */
    double water_content;   /* mass fraction of water in the resin */
} imp_mix_chemistry;

/* Isocyanate index, 100 at equivalence. Masses in kg.
 * Equivalents: 42.02 g/mol NCO, 56.1 g/mol KOH, 9.008 g/eq water. */
imp_status imp_mix_index(double iso_mass, double resin_mass, const imp_mix_chemistry *chemistry, double *index,
                         imp_error *error);
/* The inverse: iso mass over resin mass for an index. */
imp_status imp_mix_ratio_for_index(double index, const imp_mix_chemistry *chemistry, double *mass_ratio,
                                   imp_error *error);

/* Measured ratio over nominal, less 1. */
imp_status imp_mix_deviation(double measured_ratio, double nominal_ratio, double *deviation, imp_error *error);

/* One drum: inner diameter and fall of the level [m]. */
typedef struct imp_mix_drum {
    double diameter, drop;
} imp_mix_drum;

/* Volume ratio from the fall of two drums' levels, and its standard uncertainty when one reading of a level has the
 * standard uncertainty reading_uncertainty [m]; a drop is two readings, diameters are exact.
 * JCGM 100:2008 (GUM), 5.1.2, uncorrelated inputs. */
imp_status imp_mix_dip_ratio(const imp_mix_drum *iso, const imp_mix_drum *resin, double reading_uncertainty,
                             double *volume_ratio, double *standard_uncertainty, imp_error *error);

/* Volume ratio from pump cycle counts and displacements [m^3 per cycle]. */
imp_status imp_mix_counter_ratio(double iso_cycles, double iso_displacement, double resin_cycles,
                                 double resin_displacement, double *volume_ratio, imp_error *error);

#endif
