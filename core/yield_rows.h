/* yield_rows.h — rows that the yield entries share, and the entries that stand in yield_film.c. Private to yield*.c. */
#ifndef IMP_YIELD_ROWS_H
#define IMP_YIELD_ROWS_H

#include "catalogue.h"

#define ROW_AREA                                                                                                       \
    {                                                                                                                  \
        .name = "area", .symbol = "A", .dimension = IMP_AREA, .unit = "m^2", .low = 0.0, .high = 1e7,                  \
        .ends = IMP_OPEN_LOW, .help = "plain area of the surface"                                                      \
    }
#define ROW_THICKNESS                                                                                                  \
    {                                                                                                                  \
        .name = "thickness", .symbol = "d", .dimension = IMP_LENGTH, .unit = "mm", .low = 0.0, .high = 2.0,            \
        .ends = IMP_OPEN_LOW, .help = "of the finished layer"                                                          \
    }
#define ROW_LOSS(fallback_, help_)                                                                                     \
    {                                                                                                                  \
        .name = "loss", .symbol = "x", .dimension = IMP_PURE, .unit = "%", .presence = IMP_DEFAULT, .low = 0.0,        \
        .high = 1.0, .ends = IMP_OPEN_HIGH, .fallback = fallback_, .help = help_                                       \
    }

extern const imp_param imp_yield_wet_film_in[3];
extern const imp_param imp_yield_wet_film_out[1];
imp_status imp_yield_wet_film_evaluate(const imp_call *call);

extern const imp_param imp_yield_coating_in[5];
extern const imp_param imp_yield_coating_out[3];
imp_status imp_yield_coating_evaluate(const imp_call *call);

extern const imp_param imp_yield_thermal_resistance_in[2];
extern const imp_param imp_yield_thermal_resistance_out[1];
imp_status imp_yield_thermal_resistance_evaluate(const imp_call *call);

extern const imp_param imp_yield_thickness_for_u_in[5];
extern const imp_param imp_yield_thickness_for_u_out[1];
imp_status imp_yield_thickness_for_u_evaluate(const imp_call *call);

#endif
