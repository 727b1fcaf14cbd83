/* electrical_loads.h — one load's row, its phasors, and the supply it stands on. Private to line_currents.c, may_run.c
 * and electrical_loads.c. */
#ifndef IMP_ELECTRICAL_LOADS_H
#define IMP_ELECTRICAL_LOADS_H

#include <complex.h>
#include <stdbool.h>
#include <string.h>

#include "catalogue.h"
#include "line_currents.h"

/* A complex number is laid out as its two parts (C11 6.2.5, 13). Not every compiler has CMPLX. */
static inline double complex imp_complex(double real, double imaginary)
{
    const double parts[2] = {real, imaginary};
    double complex value;
    memcpy(&value, parts, sizeof value);
    return value;
}

enum {
    IMP_LOAD_NAME,
    IMP_LOAD_KIND,
    IMP_LOAD_CONNECTION,
    IMP_LOAD_POWER,
    IMP_LOAD_RATED_VOLTAGE,
    IMP_LOAD_POWER_FACTOR,
    IMP_LOAD_EFFICIENCY,
    IMP_LOAD_DIVERSITY,
    IMP_LOAD_START,
    IMP_LOAD_WHEN,
    IMP_LOAD_MUST_RUN,
    IMP_LOAD_FIELDS
};

/* Rows that every entry with a supply and loads shares. */
#define ROW_LOADS                                                                                                      \
    {                                                                                                                  \
        .name = "loads", .kind = IMP_TABLE, .presence = IMP_REQUIRED, .rows = imp_load_rows,                           \
        .help = "what is connected"                                                                                    \
    }
#define ROW_MEASURED_VOLTAGE                                                                                           \
    {                                                                                                                  \
        .name = "measured_voltage", .symbol = "U_m", .kind = IMP_NUMBER, .dimension = IMP_VOLTAGE, .unit = "V",        \
        .presence = IMP_OPTIONAL, .low = 1.0, .high = 1100.0,                                                          \
        .help = "what the meter shows between the same conductors; without it nominal"                                 \
    }
#define ROW_STATE                                                                                                      \
    {                                                                                                                  \
        .name = "state", .kind = IMP_CHOICE, .presence = IMP_DEFAULT, .choices = imp_load_states,                      \
        .fallback = IMP_STATE_ALL,                                                                                     \
        .help = "heating or spraying counts the loads of that state and those that always run"                         \
    }
#define ROW_LOAD_PHASES                                                                                                \
    {                                                                                                                  \
        .name = "phases", .kind = IMP_CHOICE, .dimension = IMP_PURE, .presence = IMP_DEFAULT, .fallback = 1,           \
        .choices = imp_electrical_phases, .help = "1: one line and neutral, or two lines where a load stands on L2"    \
    }
extern const char *const imp_load_states[];

/* The supply, reduced: the voltage of each line to the neutral [V], as it is. */
typedef struct imp_load_supply {
    double nominal, actual; /* V, between lines, or between line and neutral where there is one line only */
    int lines;              /* 1, 2 (one phase, the neutral between them) or 3 */
    double complex phase[3];
} imp_load_supply;

/* Check supply, state and loads against their rows, and reduce the supply. */
imp_status imp_load_supply_of(const imp_line_supply *supply, const imp_load *loads, size_t count,
                              imp_supply_state state, imp_load_supply *reduced, imp_error *error);

/* Currents [A] in the lines and complex power [VA] of one load, without diversity. */
typedef struct imp_load_phasors {
    double complex line[3], power;
} imp_load_phasors;

imp_load_phasors imp_load_phasors_of(const imp_load *load, const imp_load_supply *supply);

bool imp_load_runs_in(imp_load_when when, imp_supply_state state);

/* The loads of a table, at most IMP_MOST_LOADS; must_run (may be NULL) receives the flags. IMP_LIMIT; IMP_MISSING for
 * what a motor's plate gives. */
imp_status imp_load_read_table(const imp_value *table, imp_load *loads, bool *must_run, imp_error *error);

#endif
