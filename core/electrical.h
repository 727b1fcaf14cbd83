/* electrical.h — the supply: currents, cable resistance and voltage drop, ratings, generator, running cost.
 *
 * All quantities SI; resistance of a cable is that of one conductor. Numbers outside their entry's rows are refused
 * with IMP_RANGE, place = the input's name. Results help to plan; local codes and a licensed electrician decide. */
#ifndef IMP_ELECTRICAL_H
#define IMP_ELECTRICAL_H

#include "status.h"
#include "tables.h"

/* Whose rules and tables: IEC (metric sections) or NEC (AWG and kcmil). The order of the rows' choices. */
typedef enum imp_code { IMP_CODE_IEC, IMP_CODE_NEC } imp_code;
/* The order of the rows' choices "1", "3". */
typedef enum imp_phases { IMP_SINGLE_PHASE, IMP_THREE_PHASE } imp_phases;

/* Line current [A] and apparent power [VA] of a balanced load: power is the useful output [W], voltage from line to
 * line [V], power_factor and efficiency above 0 to 1. I = P/(sqrt(3) U cos eta), S = P/(cos eta). IEC 60050-141. */
imp_status imp_electrical_three_phase_current(double power, double voltage, double power_factor, double efficiency,
                                              double *current, double *apparent_power, imp_error *error);
/* The same on one phase: I = P/(U cos eta). */
imp_status imp_electrical_single_phase_current(double power, double voltage, double power_factor, double efficiency,
                                               double *current, double *apparent_power, imp_error *error);

/* One conductor of a cable. */
typedef struct imp_electrical_conductor {
    double section;         /* m^2: a section of IEC 60228, or the area of an NEC size within 1 % */
    double temperature;     /* K, of the conductor */
    imp_conductor material; /* IEC only: metal and class */
    imp_code code;
} imp_electrical_conductor;

/* Resistance per length [ohm/m] at the conductor's temperature: IEC 60228 at 20 degC with alpha 0.00393 /K (copper) or
 * 0.00403 /K (aluminium); NEC chapter 9 table 8 at 75 degC with its note's 0.00323 /K. IMP_NOT_APPLICABLE for a section
 * that the table does not have. */
imp_status imp_electrical_resistance(const imp_electrical_conductor *conductor, double *resistance, imp_error *error);
/* Resistance [ohm] of a length [m]. */
imp_status imp_electrical_conductor_resistance(const imp_electrical_conductor *conductor, double length,
                                               double *resistance, imp_error *error);

typedef struct imp_electrical_run {
    imp_electrical_conductor conductor;
    double current, length, voltage; /* A; m, one way; V, line to line on three phases */
    imp_phases phases;
    double power_factor;
    double reactance; /* ohm/m */
} imp_electrical_run;

/* Voltage drop [V] and its share of the voltage: sqrt(3) (three phases) or 2 (one) x I L (R cos + X sin).
 * IEC 60364-5-52 annex G with the resistance above. IMP_NO_SOLUTION when the drop would exceed the voltage. */
imp_status imp_electrical_voltage_drop(const imp_electrical_run *run, double *drop, double *fraction, imp_error *error);

/* Least standard rating [A] of a circuit-breaker not below current: IEC 60898-1 to 125 A, NEC 240.6(A) to 6000 A.
 * IMP_NO_SOLUTION beyond. */
imp_status imp_electrical_breaker_rating(double current, imp_code code, double *rating, imp_error *error);
/* The same for an industrial plug, IEC 60309: series I (iec) to 125 A, series II (nec) to 100 A. plug [A], NAN when
 * none is given: a plug that is there; IMP_NO_SOLUTION when the current is above it. */
imp_status imp_electrical_plug_rating(double current, imp_code code, double plug, double *rating, imp_error *error);

/* Least standard section [m^2] not below section [m^2]: IEC 60228, or AWG and kcmil. IMP_NO_SOLUTION beyond. */
imp_status imp_electrical_standard_section(double section, imp_code code, double *standard, imp_error *error);

/* Least section [m^2] that bears a fault current [A] for a time of 0.1 s to 5 s: S = I sqrt(t)/k, k in A s^0.5/mm^2.
 * IEC 60364-4-43, 434.5.2. */
imp_status imp_electrical_adiabatic_section(double fault_current, double clearing_time, double k, double *section,
                                            imp_error *error);

/* Power [W] of a resistive heater at another voltage: P (U/U_rated)^2, constant resistance. */
imp_status imp_electrical_heater_power(double rated_power, double rated_voltage, double voltage, double *power,
                                       imp_error *error);

/* Voltage [V] from a line to the neutral: all of it on one line, half of it on two with the neutral between them,
 * 1/sqrt(3) of the voltage from line to line on three. */
double imp_electrical_to_neutral(double voltage, int lines);
/* Whether a load stands between a line and the neutral by its rated voltage [V], where nothing else tells. */
bool imp_electrical_is_to_neutral(double rated, double nominal);

/* Full-load current [A] of a three-phase motor, NEC table 430.250. power [W] is a row of the table; voltage 208 V,
 * 220 V to 240 V or 440 V to 480 V. IMP_NOT_APPLICABLE otherwise. */
imp_status imp_electrical_motor_current(double power, double voltage, double *current, imp_error *error);

typedef struct imp_generator_case {
    double running_power, running_power_factor; /* W */
    double starting_power;                      /* VA, of the largest motor, locked rotor; 0 without motors */
    double dip_limit, reactance;                /* fractions: allowed dip, transient reactance per unit */
    double altitude, ambient_temperature;       /* m, K */
    double installed;                           /* VA; NAN when there is none yet */
    /* NAN where not given. The largest current of the lines comes with the voltage from line to line. */
    double largest_line_current, voltage; /* A, V */
    double time, duty;                    /* s of running; mean power over running_power, 0 to 1 */
    double specific_consumption;          /* m^3/J; time is needed with it */
} imp_generator_case;

typedef enum imp_generator_limit {
    IMP_GENERATOR_RUNNING,
    IMP_GENERATOR_STARTING,
    IMP_GENERATOR_UNBALANCE
} imp_generator_limit;

typedef struct imp_generator_need {
    double rating;                   /* VA on the nameplate, without any margin */
    imp_generator_limit governed_by; /* the largest of the needs */
    double voltage_dip;              /* with the installed rating; NAN when none was given */
    double energy, fuel;             /* J, m^3; NAN without time, without specific_consumption */
} imp_generator_need;

/* Rating of a generator: the largest of running P/cos, starting x (1/dip - 1) S and, where the largest line current is
 * given, sqrt(3) U I: three times what the most loaded line draws, since no line may carry more than its third. Each
 * over the derating factor. IMP_MISSING: a line current without voltage, a consumption without time.
 * The dip is x/(x + S_rated/S_start): a voltage divider of the transient reactance and a locked rotor.
 * Derating: common practice, no source: 3.5 % for each 300 m above 150 m, 1 % for each 5 K above 25 degC. */
imp_status imp_electrical_generator(const imp_generator_case *load, imp_generator_need *need, imp_error *error);

typedef struct imp_running_cost {
    double power, duty, time; /* W, fraction, s */
    /* NAN where not given; exactly one of the prices is needed, and specific_consumption with a fuel price */
    double energy_price, fuel_price, specific_consumption; /* money/J, money/m^3, m^3/J */
} imp_running_cost;

/* Energy [J], fuel [m^3; NAN without specific_consumption] and cost [money]. IMP_MISSING, IMP_NOT_APPLICABLE. */
imp_status imp_electrical_running_cost(const imp_running_cost *run, double *energy, double *fuel, double *cost,
                                       imp_error *error);

#endif
