/* engine_script.h — the program's own engines, scripts/engine/check.lua and log.lua: opened and run alike. */
#ifndef IMP_RUNNER_ENGINE_SCRIPT_H
#define IMP_RUNNER_ENGINE_SCRIPT_H

#include "sandbox.h"
#include "scripts_folder.h"

typedef struct engine_script {
    char scripts[FOLDER_SIZE];
    const char *folders[1]; /* where rules and reports too look for modules */
    imp_script *script;
} engine_script;

/* Find the scripts folder and open a state for the engine. IMP_IO: no such folder; what imp_script_open gives. The caller
 * closes engine->script, also after a failure. */
imp_status engine_script_open(engine_script *engine, imp_error *error);

/* Run scripts/engine/FILE, which gives a function, which gives the program's exit code. */
imp_status engine_script_run(engine_script *engine, const char *file, int *code, imp_error *error);

/* For imp_script_options: what a script prints is not the result, and goes to stderr. */
void engine_script_write_aside(void *context, const char *text, size_t length);

#endif
