/* rule_cases.h — the cases that a file of rules declares, judged as the pre-job check would judge them. */
#ifndef IMP_RUNNER_RULE_CASES_H
#define IMP_RUNNER_RULE_CASES_H

#include "options.h"

/* Judge the cases of the rule file at path after the standard rules; a line each goes to the output. EXIT_OK, or complains and
 * returns the exit code. */
int rule_cases_run(const options *given, const char *path, output *out, long long *failed, long long *total);

#endif
