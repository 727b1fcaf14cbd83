/* commands.h — what each command does. Each returns the exit code, writes results to the output and all else to stderr.
 */
#ifndef IMP_RUNNER_COMMANDS_H
#define IMP_RUNNER_COMMANDS_H

#include "options.h"

int command_calc(const options *given, output *out);
int command_explain(const options *given, output *out);
int command_list(const options *given, output *out);
int command_check(const options *given, output *out);
int command_log(const options *given, output *out);
int command_run(const options *given, output *out);
int command_eval(const options *given, output *out);
int command_test(const options *given, output *out);
int command_new(const options *given, output *out);

#endif
