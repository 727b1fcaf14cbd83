/* impinge run: a script in the sandbox, with its arguments in the table arg. */
#include "commands.h"
#include "exit_code.h"
#include "log_lua.h"
#include "session.h"
#include "watchdog.h"

/* The files named on the command line are those that the script may read as job logs. */
static int grant_files(lua_State *L)
{
    const options *given = lua_touserdata(L, 1);
    for (size_t i = 1; i < given->positional_count; i++)
        imp_log_grant(L, given->positional[i]);
    return 0;
}

int command_run(const options *given, output *out)
{
    imp_error error;
    imp_script *script = NULL;
    out->passes_on = !options_has(given, OPTION_OUTPUT);
    imp_status status = session_open(given, out, &script, &error);
    if (status != IMP_OK)
        return complain(&error, status == IMP_IO ? EXIT_INTERNAL : exit_code_of_script(status));
    status = imp_script_set_arguments(script, given->positional_count - 1, given->positional + 1, &error);
    if (status == IMP_OK)
        status = imp_script_protect(script, grant_files, (void *)given, 0, &error);
    if (status == IMP_OK) {
        if (!options_has(given, OPTION_TRUST))
            watchdog_start(options_number(given, OPTION_MAX_SECONDS));
        status = imp_script_run_file(script, given->positional[0], 0, &error);
        watchdog_end();
    }
    imp_script_close(script);
    return status == IMP_OK ? EXIT_OK : complain(&error, exit_code_of_script(status));
}
