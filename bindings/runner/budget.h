/* budget.h — what a script may use, from the options; and the watchdog over the whole process. */
#ifndef IMP_RUNNER_BUDGET_H
#define IMP_RUNNER_BUDGET_H

#include "options.h"
#include "sandbox.h"

/* Defaults in the options' units: MiB, instructions, seconds, MiB. */
double budget_default_memory(void);
double budget_default_steps(void);
double budget_default_seconds(void);
double budget_default_output(void);

imp_budget budget_of(const options *given);

/* The second wall: should `seconds` pass (with some grace) before watchdog_end, the process says so and ends with
 * EXIT_LIMIT. Whatever was collected for -o is not written. */
void watchdog_start(double seconds);
void watchdog_end(void);

#endif
