/* hose_march.h — the stepping that hose_run and hose_pair share. Private to hose_*.c; the equations stand in hose_run.h
 * and hose_pair.h. */
#ifndef IMP_HOSE_MARCH_H
#define IMP_HOSE_MARCH_H

#include "catalogue.h"
#include "hose_pair.h"

typedef struct imp_march {
    const imp_hose_run *runs[IMP_SIDES]; /* the second is NULL for a hose alone */
    size_t side_count;                   /* 1 or 2 */
    double mutual_conductance;
    double share;      /* of every section's heating that is given */
    double until;      /* m from the inlet; at or beyond the end: all of it */
    bool quick;        /* for solvers: temperature, pressure and the outlet only, in as few steps as the
                        * allowed error permits; no heat sums, residence time, highest pressure or trace */
    double fixed_step; /* m; above 0: steps of this length whatever their error, to measure the order */
} imp_march;

/* March without checks. traces may be NULL. */
imp_status imp_hose_march(const imp_march *march, imp_hose_trace *traces, imp_hose_run_result *results,
                          imp_error *error);

/* Check a run's arguments against the rows of hose.run; places as "sections[2].bore". */
imp_status imp_hose_run_check(const imp_hose_run *run, imp_error *error);

/* Rows and reading that both entries share. */
extern const imp_param imp_hose_profile_rows[], imp_hose_drop_rows[];
imp_status imp_hose_fluid_read(const imp_value *record, imp_fluid *fluid, imp_error *error);
/* The points as a table for an output row of imp_hose_profile_rows; not given where arena is NULL. IMP_MEMORY. */
imp_status imp_hose_profile_value(const imp_hose_trace *trace, imp_arena *arena, imp_value *value, imp_error *error);

extern const imp_param imp_hose_run_in[6];
extern const imp_param imp_hose_run_out[15];
imp_status imp_hose_run_evaluate(const imp_call *call);
extern const imp_param imp_hose_pair_in[7];
extern const imp_param imp_hose_pair_out[23];
imp_status imp_hose_pair_evaluate(const imp_call *call);

#endif
