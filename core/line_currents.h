/* line_currents.h — what a list of loads draws from each line and the neutral of a three-phase supply.
 *
 * Phasor sum, sinusoidal, the voltages symmetrical: L1 at 0, L2 at -120, L3 at +120 degrees. SI throughout. */
#ifndef IMP_LINE_CURRENTS_H
#define IMP_LINE_CURRENTS_H

#include <stddef.h>

#include "status.h"

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

/* Sum the loads that run in `state`. voltage: nominal, line to line [V]; measured_voltage: what the meter shows, NAN
 * for nominal. A resistive load draws (U/U_rated)^2 times its power, every other load its power at any voltage.
 * Starting power: common practice, no source: 6.5 times the motor's rated apparent power started direct, a third of
 * that in star-delta, 3 times with a soft starter. Errors: place "loads[2].power_factor". */
imp_status imp_line_currents_sum(double voltage, double measured_voltage, const imp_load *loads, size_t count,
                                 imp_supply_state state, imp_line_currents *currents, imp_error *error);

#endif
