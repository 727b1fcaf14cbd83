/* calc_job.h — what the parts of `impinge calc` share: the calculation, its inputs and how they are shown. */
#ifndef IMP_RUNNER_CALC_JOB_H
#define IMP_RUNNER_CALC_JOB_H

#include "calculation_file.h"
#include "display_units.h"
#include "document.h"
#include "json.h"
#include "options.h"

typedef enum calc_mode { CALC_PLAIN, CALC_SOLVE, CALC_SWEEP, CALC_SENSITIVITY, CALC_UNCERTAINTY } calc_mode;

typedef struct calc_job {
    const options *given;
    output *out;
    calculation source;
    const imp_calc *calc;
    calc_mode mode;
    size_t unknown; /* the input that is solved for or swept, else the number of inputs */
    imp_node *document; /* the job of --job, or NULL */
    imp_arena arena;
    imp_value in[IMP_MOST_INPUTS];
    imp_value out_values[IMP_MOST_OUTPUTS];
    imp_sheet sheet;
    bool with_sheet;
} calc_job;

/* Evaluate at the job's inputs, with the sheet where one is wanted. */
imp_status calc_evaluate(calc_job *job, imp_error *error);

/* The result's head as JSON, the object left open: version, calculation, inputs (defaults filled in, absent ones left
 * out). */
void calc_open_json(const calc_job *job, json_writer *json);
/* The sheet where one is wanted, and the end of the object. */
void calc_close_json(const calc_job *job, json_writer *json);

/* The modes that go beyond one evaluation: compute and write. */
imp_status calc_solve(calc_job *job, imp_error *error);
imp_status calc_sweep(calc_job *job, imp_error *error);
imp_status calc_sensitivity(calc_job *job, imp_error *error);
imp_status calc_uncertainty(calc_job *job, imp_error *error);

/* The input that --solve-for or --sweep names, before any input is read. */
imp_status calc_find_unknown(calc_job *job, imp_error *error);

/* Take the records among the inputs that were not given otherwise from the job of --job; does nothing without one. */
imp_status calc_take_job(calc_job *job, imp_error *error);

/* Show inputs and results in these units from here on: job->calc becomes a copy with other units in its rows. */
imp_status calc_take_units(calc_job *job, const display_units *units, imp_error *error);

/* Ask a person at a terminal for the required inputs that are missing; does nothing elsewhere. */
imp_status calc_prompt(calc_job *job, imp_error *error);

#endif
