/* cable_view.h — a laying reduced to what the rows of the tables are multiplied with, and the rows that the two cable
 * entries share. Private to cable.c and cable_ampacity.c. */
#ifndef IMP_CABLE_VIEW_H
#define IMP_CABLE_VIEW_H

#include "cable.h"
#include "electrical_rows.h"

#define ROW_METHOD                                                                                                     \
    {                                                                                                                  \
        .name = "method", .kind = IMP_CHOICE, .dimension = IMP_PURE, .presence = IMP_REQUIRED,                         \
        .choices = imp_electrical_methods,                                                                             \
        .help = "B1 wires in conduit, B2 cable in conduit, C clipped to a surface or lying on it, E in free air"       \
    }
#define ROW_INSULATION                                                                                                 \
    {                                                                                                                  \
        .name = "insulation", .kind = IMP_CHOICE, .dimension = IMP_PURE, .presence = IMP_REQUIRED,                     \
        .choices = imp_electrical_insulations, .help = "pvc: 70 degC (nec: 75 degC); xlpe, and EPR rubber: 90 degC"    \
    }
#define ROW_AMBIENT                                                                                                    \
    {                                                                                                                  \
        .name = "ambient_temperature", .symbol = "T", .kind = IMP_NUMBER, .dimension = IMP_TEMPERATURE,                \
        .unit = "degC", .presence = IMP_DEFAULT, .low = IMP_CELSIUS(-50.0), .high = IMP_CELSIUS(85.0),                 \
        .fallback = IMP_CELSIUS(30.0), .help = "of the air around the cable, where it is hottest"                      \
    }
#define ROW_GROUPED                                                                                                    \
    {                                                                                                                  \
        .name = "grouped", .symbol = "n", .kind = IMP_NUMBER, .dimension = IMP_PURE, .unit = "1",                      \
        .presence = IMP_DEFAULT, .low = 1.0, .high = 100.0, .fallback = 1.0,                                           \
        .help = "loaded circuits or cables that touch each other, this one counted"                                    \
    }
#define ROW_LAYERS                                                                                                     \
    {                                                                                                                  \
        .name = "layers_on_drum", .symbol = "m", .kind = IMP_NUMBER, .dimension = IMP_PURE, .unit = "1",               \
        .presence = IMP_DEFAULT, .low = 0.0, .high = 100.0, .fallback = 0.0,                                           \
        .help = "layers of the cable left on a ventilated drum; 0: laid out"                                           \
    }
#define ROW_TERMINAL                                                                                                   \
    {                                                                                                                  \
        .name = "terminal_temperature", .symbol = "T_t", .kind = IMP_NUMBER, .dimension = IMP_TEMPERATURE,             \
        .unit = "degC", .presence = IMP_DEFAULT, .low = IMP_CELSIUS(60.0), .high = IMP_CELSIUS(90.0),                  \
        .fallback = IMP_CELSIUS(75.0), .help = "nec: 60, 75 or 90 degC, as the equipment is marked"                    \
    }

/* The laying reduced to what the rows of the tables are multiplied with. */
typedef struct imp_cable_view {
    const imp_cable_laying *laying;
    double factor;
    imp_nec_column insulation_column, terminal_column; /* NEC */
    double working_temperature;                        /* K, of the conductor */
    size_t row_count;
} imp_cable_view;

/* Check a laying and reduce it. view->factor must be 1 before. */
imp_status imp_cable_look_at(const imp_cable_laying *laying, imp_cable_view *view, imp_error *error);
/* What a row may carry. */
imp_cable_capacity imp_cable_capacity_at(const imp_cable_view *view, size_t row);
/* The row of a section [m^2]. */
imp_status imp_cable_row_of(const imp_cable_view *view, double section, size_t *row, imp_error *error);

#endif
