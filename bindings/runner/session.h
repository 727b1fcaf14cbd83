/* session.h — a sandboxed script whose print() goes to the command's output, with the budget of the options. */
#ifndef IMP_RUNNER_SESSION_H
#define IMP_RUNNER_SESSION_H

#include "options.h"
#include "sandbox.h"

/* Open a script that finds the program's own modules. IMP_IO, IMP_MEMORY, IMP_LIMIT. */
imp_status session_open(const options *given, output *out, imp_script **script, imp_error *error);

/* How it is opened. folders: that of find_scripts_folder, borrowed as out is. */
imp_script_options session_options(const options *given, const char *const *folders, output *out);

/* print(): to the output. Ends the program quietly when the reader has gone away. context is the output. */
void session_write(void *context, const char *text, size_t length);

#endif
