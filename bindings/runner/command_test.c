/* impinge test: the cases that a file of calculators declares, each computed and compared. */
#include <stdio.h>

#include "calculation_file.h"
#include "commands.h"
#include "exit_code.h"
#include "scripts_folder.h"
#include "session.h"
#include "watchdog.h"

/* Run scripts/engine/cases.lua in the state of the file; it gives how many failed and how many there are. */
static imp_status run_cases(imp_script *script, lua_Integer *failed, lua_Integer *total, imp_error *error)
{
    char folder[FOLDER_SIZE], path[FOLDER_SIZE + 32];
    imp_status status = find_scripts_folder(folder, sizeof folder, error);
    if (status != IMP_OK)
        return status;
    snprintf(path, sizeof path, "%s/engine/cases.lua", folder);
    status = imp_script_run_file(script, path, 2, error);
    if (status == IMP_OK) {
        *failed = lua_tointeger(imp_script_state(script), -2);
        *total = lua_tointeger(imp_script_state(script), -1);
    }
    return status;
}

static int judge(imp_script *script, const char *path)
{
    imp_error error;
    lua_Integer failed = 0, total = 0;
    const int code = run_calculator_file(script, path);
    if (code != EXIT_OK)
        return code;
    const imp_status status = run_cases(script, &failed, &total, &error);
    if (status != IMP_OK)
        return complain(&error, exit_code_of_script(status));
    if (total > 0)
        return failed > 0 ? EXIT_STOP : EXIT_OK;
    imp_fail(&error, IMP_MISSING, path, "declares no cases; add cases = { { inputs = {...}, expect = {...} } } to the calculator");
    return complain(&error, EXIT_INPUT);
}

int command_test(const options *given, output *out)
{
    imp_error error;
    imp_script *script = NULL;
    const imp_status status = session_open(given, out, &script, &error);
    if (status != IMP_OK)
        return complain(&error, status == IMP_IO ? EXIT_INTERNAL : exit_code_of_script(status));
    if (!options_has(given, OPTION_TRUST))
        watchdog_start(options_number(given, OPTION_MAX_SECONDS));
    const int code = judge(script, given->positional[0]);
    watchdog_end();
    imp_script_close(script);
    return code;
}
