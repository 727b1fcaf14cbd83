/* budget_options.h — what a script may use, from the options. */
#ifndef IMP_RUNNER_BUDGET_OPTIONS_H
#define IMP_RUNNER_BUDGET_OPTIONS_H

#include "options.h"
#include "sandbox.h"

/* Defaults in the options' units: MiB, instructions, seconds, MiB. */
double budget_default_memory(void);
double budget_default_steps(void);
double budget_default_seconds(void);
double budget_default_output(void);

imp_budget budget_of(const options *given);

#endif
