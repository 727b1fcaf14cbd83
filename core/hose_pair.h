/* hose_pair.h — iso and resin hose in one jacket: two runs marched together, one heating circuit, one sensor.
 *
 * Each hose as in hose_run.h, with a term k (T_other - T) more in its heat balance, k being the mutual conductance.
 * The circuit gives every section the same share s of what its `heating` says, 0 <= s <= 1: the least share that holds
 * the set temperature at the sensor's place on the sensor's side, or 1 where that is not enough, or 0 where the liquid
 * is warmer there without any heat. The other side's temperature is a result. */
#ifndef IMP_HOSE_PAIR_H
#define IMP_HOSE_PAIR_H

#include "hose_run.h"

typedef enum imp_side { IMP_ISO, IMP_RESIN } imp_side;
enum { IMP_SIDES = 2 };

typedef struct imp_hose_control {
    imp_side side;
    double position;        /* m from the inlet, up to the length of the run */
    double set_temperature; /* K */
} imp_hose_control;

typedef struct imp_hose_pair {
    imp_hose_run
        run[IMP_SIDES];        /* the same number of sections with the same lengths; `heating` is the most each gets */
    double mutual_conductance; /* W/(m K) between the two liquids */
    const imp_hose_control *control; /* NULL: the circuit gives all it has */
} imp_hose_pair;

typedef enum imp_hose_heat {
    IMP_HOSE_HEAT_HOLDS,      /* the set temperature */
    IMP_HOSE_HEAT_SHORT,      /* gives all and is too weak */
    IMP_HOSE_HEAT_NOT_NEEDED, /* the liquid is warmer without it */
    IMP_HOSE_HEAT_FULL,       /* gives all, for want of a control */
    IMP_HOSE_HEAT_OFF         /* there is none, or it is not used */
} imp_hose_heat;

typedef struct imp_hose_pair_result {
    imp_hose_run_result run[IMP_SIDES];
    double share;              /* of the circuit's heating that is given */
    double sensor_temperature; /* not-a-number without control */
    imp_hose_heat heat;
} imp_hose_pair_result;

/* March both. traces may be NULL, else [IMP_SIDES]. Errors as of imp_hose_run_march; places begin with the side.
 * IMP_RANGE also where the two sides' sections differ in length, or the sensor lies beyond the end. */
imp_status imp_hose_pair_march(const imp_hose_pair *pair, imp_hose_trace *traces, imp_hose_pair_result *result,
                               imp_error *error);

/* The same without checks of the arguments, for solvers that checked them once. A quick march finds outlet, pressure
 * drop, share and sensor temperature only. */
imp_status imp_hose_pair_march_checked(const imp_hose_pair *pair, bool quick, imp_hose_trace *traces,
                                       imp_hose_pair_result *result, imp_error *error);

#endif
