/* line_currents.h — what a list of loads draws from each line and the neutral of a supply, and which of them may run at
 * once within a current.
 *
 * Phasor sum, sinusoidal, the voltages symmetrical: on three phases L1 at 0, L2 at -120, L3 at +120 degrees; on one
 * phase one line, or two lines with the neutral between them. SI throughout. */
#ifndef IMP_LINE_CURRENTS_H
#define IMP_LINE_CURRENTS_H

#include <stdbool.h>
#include <stddef.h>

#include "electrical.h"
#include "param.h"

/* The orders of the rows' choices. */
typedef enum imp_load_kind { IMP_LOAD_RESISTIVE, IMP_LOAD_MOTOR, IMP_LOAD_TRANSFORMER, IMP_LOAD_OTHER } imp_load_kind;
typedef enum imp_load_connection {
    IMP_LOAD_L1_N,
    IMP_LOAD_L2_N,
    IMP_LOAD_L3_N,
    IMP_LOAD_L1_L2,
    IMP_LOAD_L2_L3,
    IMP_LOAD_L3_L1,
    IMP_LOAD_STAR,
    IMP_LOAD_DELTA
} imp_load_connection;
typedef enum imp_load_start { IMP_START_DIRECT, IMP_START_STAR_DELTA, IMP_START_SOFT } imp_load_start;
typedef enum imp_load_when { IMP_WHEN_HEATING, IMP_WHEN_SPRAYING, IMP_WHEN_ALWAYS } imp_load_when;
typedef enum imp_supply_state { IMP_STATE_ALL, IMP_STATE_HEATING, IMP_STATE_SPRAYING } imp_supply_state;

enum { IMP_MOST_LOADS = 64, IMP_MOST_LOADS_TO_CHOOSE = 16 };

/* The rows of one load, for every table of loads: the calculations' and the rig document's. */
extern const imp_param imp_load_rows[];
/* What a table of loads without a motor's power factor or efficiency is told. */
#define IMP_LOAD_PLATE_MISSING "missing; a motor's nameplate gives it"

typedef struct imp_load {
    imp_load_kind kind;
    imp_load_connection connection;
    double power;         /* W, useful output: shaft power of a motor, electrical power of a heater */
    double rated_voltage; /* V at the load's own terminals; NAN: the supply's nominal one there */
    double power_factor, efficiency, diversity;
    imp_load_start start; /* motors */
    imp_load_when when;
} imp_load;

typedef struct imp_line_currents {
    double line[3], neutral; /* A, with diversity */
    double connected[3];     /* A, without diversity */
    double unbalance;        /* largest deviation from the mean of the lines, over the mean; 0 without load */
    double active_power, apparent_power; /* W, VA: of the sum of the complex powers */
    double power_factor;                 /* 1 without load */
    double starting_power;               /* VA: largest of the motors' starting powers; 0 without motors */
} imp_line_currents;

typedef struct imp_line_supply {
    double voltage;          /* V, nominal: line to line; on one phase between its two conductors, or its two lines */
    double measured_voltage; /* V, what the meter shows there; NAN: nominal */
    imp_phases phases;
} imp_line_supply;

/* Sum the loads that run in `state`. A resistive load draws (U/U_rated)^2 times its power, every other load its power
 * at any voltage. Starting power: common practice, no source: 6.5 times the motor's rated apparent power started
 * direct, a third of that in star-delta, 3 times with a soft starter.
 * Errors: place "loads[2].power_factor". IMP_NOT_APPLICABLE for a load that needs more phases than there are. */
imp_status imp_line_currents_sum(const imp_line_supply *supply, const imp_load *loads, size_t count,
                                 imp_supply_state state, imp_line_currents *currents, imp_error *error);

typedef struct imp_may_run {
    bool runs[IMP_MOST_LOADS];
    double power, left_out; /* W drawn by what may run, and by what would run in this state and may not */
    double largest_current; /* A, of the lines and the neutral, everything that may run drawing in full */
    int worst_conductor;    /* 0 to 2: line 1 to 3; 3: the neutral */
    double heater_power;    /* W: what a heater beside it may have */
    double heater_power_alone; /* W: the same beside nothing but the loads that must run */
} imp_may_run;

/* The loads with the largest power together that keep every line and the neutral within `limit` [A] when each draws in
 * full (no diversity). Exact: every set of loads is tried or shown to be worse. must_run: loads that stay on. A heater's
 * power is that of its plate at the nominal voltage, in equal parts on all lines (from line to line on two).
 * IMP_NO_SOLUTION when the loads that must run exceed the limit; IMP_LIMIT beyond IMP_MOST_LOADS_TO_CHOOSE others. */
imp_status imp_may_run_within(const imp_line_supply *supply, const imp_load *loads, const bool *must_run, size_t count,
                              imp_supply_state state, double limit, imp_may_run *result, imp_error *error);

#endif
