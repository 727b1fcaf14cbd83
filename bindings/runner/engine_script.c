#include "engine_script.h"

#include <lua.h>
#include <stdio.h>

#include "exit_code.h"

void engine_script_write_aside(void *context, const char *text, size_t length)
{
    (void)context;
    fwrite(text, 1, length, stderr);
}

imp_status engine_script_open(engine_script *engine, imp_error *error)
{
    const imp_status status = find_scripts_folder(engine->scripts, sizeof engine->scripts, error);
    if (status != IMP_OK)
        return status;
    engine->folders[0] = engine->scripts;
    const imp_script_options options = {
        .budget = imp_default_budget(),
        .folders = engine->folders,
        .folder_count = 1,
        .trusted = true,
        .write = engine_script_write_aside,
    };
    return imp_script_open(&options, &engine->script, error);
}

imp_status engine_script_run(engine_script *engine, const char *file, int *code, imp_error *error)
{
    char path[FOLDER_SIZE + 64];
    snprintf(path, sizeof path, "%s/engine/%s", engine->scripts, file);
    imp_status status = imp_script_run_file(engine->script, path, 1, error);
    if (status == IMP_OK)
        status = imp_script_call(engine->script, 0, 1, error);
    if (status != IMP_OK)
        return status;
    int is_whole = 0;
    const lua_Integer verdict = lua_tointegerx(imp_script_state(engine->script), -1, &is_whole);
    if (!is_whole || verdict < EXIT_OK || verdict > EXIT_INTERNAL)
        return imp_fail(error, IMP_INTERNAL, file, "gave no exit code");
    *code = (int)verdict;
    return IMP_OK;
}
