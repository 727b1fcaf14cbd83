/* cable_view.h — a laying reduced to what the rows of the tables are multiplied with, and the rows that the cable
 * entries share. Private to cable*.c. */
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
        .choices = imp_electrical_insulations,                                                                         \
        .help = "pvc: 70 degC (nec: 75 degC); xlpe: 90 degC, also EPR in fixed cables; rubber: a flexible cable or "   \
                "cord, counted at 60 degC also where it bears more"                                                    \
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
        .unit = "degC", .presence = IMP_OPTIONAL, .low = IMP_CELSIUS(60.0), .high = IMP_CELSIUS(90.0),                 \
        .help = "nec: 60, 75 or 90 degC, as the equipment is marked; without it 60 degC to 1 AWG, 75 degC above"       \
    }

#define ROW_DROP_LIMIT                                                                                                 \
    {                                                                                                                  \
        .name = "drop_limit", .symbol = "limit", .kind = IMP_NUMBER, .dimension = IMP_PURE, .unit = "%",               \
        .presence = IMP_DEFAULT, .low = 0.0, .high = 0.2, .ends = IMP_OPEN_LOW, .fallback = 0.05,                      \
        .help = "allowed voltage drop along this cable"                                                                \
    }
#define ROW_CONTINUOUS                                                                                                 \
    {                                                                                                                  \
        .name = "continuous", .kind = IMP_FLAG, .dimension = IMP_PURE, .presence = IMP_DEFAULT, .fallback = 1.0,       \
        .help = "nec: the load lasts three hours or more, so 125 % of it counts"                                       \
    }
#define ROW_BREAKER(help_)                                                                                             \
    {                                                                                                                  \
        .name = "breaker", .symbol = "In", .kind = IMP_NUMBER, .dimension = IMP_CURRENT, .unit = "A",                  \
        .presence = IMP_OPTIONAL, .low = 0.0, .high = 10000.0, .ends = IMP_OPEN_LOW, .help = help_                     \
    }

/* The laying reduced to what the rows of the tables are multiplied with. */
typedef struct imp_cable_view {
    const imp_cable_laying *laying;
    double factor;
    imp_nec_column insulation_column, terminal_column; /* NEC; terminal_column: where the laying gives it */
    size_t row_count;
} imp_cable_view;

/* Check a laying and reduce it. view->factor must be 1 before. */
imp_status imp_cable_look_at(const imp_cable_laying *laying, imp_cable_view *view, imp_error *error);
/* What a row may carry. */
imp_cable_capacity imp_cable_capacity_at(const imp_cable_view *view, size_t row);
/* Whether the table gives a current in a row: it may have gaps. False beyond its end. */
bool imp_cable_is_given(const imp_cable_view *view, size_t row);
/* The row of a section [m^2]. */
imp_status imp_cable_row_of(const imp_cable_view *view, double section, size_t *row, imp_error *error);

/* ---- what one row does for a load ---- */

#define IMP_CABLE_SLACK (1.0 + 1e-9) /* 40 A carries 40 A after a conversion of units */
enum { IMP_CABLE_TEXT = 96 };
extern const char *const imp_cable_limits[], *const imp_cable_gauges[];

/* The current that breaker and terminals must stand: with the NEC 125 % of one that lasts. */
double imp_cable_design_current(const imp_cable_load *load, const imp_cable_view *view);
bool imp_cable_carries(const imp_cable_load *load, const imp_cable_view *view, size_t row);
bool imp_cable_protects(const imp_cable_view *view, size_t row, double breaker);
/* Drop over voltage, conductor at its working temperature; 1 when it would take all the voltage. */
double imp_cable_drop_at(const imp_cable_load *load, const imp_cable_view *view, size_t row);
/* Length [m] over which the drop reaches its limit. */
double imp_cable_longest(const imp_cable_load *load, const imp_cable_view *view, size_t row);
/* Section [m^2] that the load's fault asks for; NAN without a fault. */
imp_status imp_cable_fault_section(const imp_cable_load *load, const imp_cable_view *view, double *section,
                                   imp_error *error);

/* "6 mm^2" or "6 AWG"; "12.5 A". Into text of IMP_CABLE_TEXT, which is returned. */
const char *imp_cable_size_name(const imp_cable_view *view, size_t row, char *text);
const char *imp_cable_amperes(double current, char *text);
/* A length to three digits, rounded down, so that what is said still works. */
const char *imp_cable_at_most(double length, char *text);

/* Check the numbers of a load but section and fault. */
imp_status imp_cable_check_load(const imp_cable_load *load, imp_error *error);
/* The given breaker, or the least standard one for the load. */
imp_status imp_cable_choose_breaker(const imp_cable_load *load, const imp_cable_view *view, double *breaker,
                                    imp_error *error);
/* Whether a row carries the load, stands the breaker, or does altogether; a sentence when it does not. */
imp_status imp_cable_check_current(const imp_cable_load *load, const imp_cable_view *view, size_t row,
                                   imp_error *error);
imp_status imp_cable_check_breaker(const imp_cable_view *view, double breaker, size_t row, imp_error *error);
imp_status imp_cable_check_row(const imp_cable_load *load, const imp_cable_view *view, double breaker,
                               double fault_section, size_t row, imp_error *error);

#endif
