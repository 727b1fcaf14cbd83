#include "rule_cases.h"

#include <stdio.h>

#include "budget_options.h"
#include "exit_code.h"
#include "host.h"
#include "scripts_folder.h"
#include "session.h"

enum { OPTION_FIELDS = 1 };

/* Any day will do: cases say their own where a rule asks for one. */
static const char date[] = "2031-01-01";

/* Run the engine's function, which gives how many cases failed and how many there are. */
static imp_status run_engine(imp_script *engine, const char *scripts, long long *failed, long long *total, imp_error *error)
{
    char path[FOLDER_SIZE + 32];
    snprintf(path, sizeof path, "%s/engine/rule_cases.lua", scripts);
    imp_status status = imp_script_run_file(engine, path, 1, error);
    if (status == IMP_OK)
        status = imp_script_call(engine, 0, 2, error);
    if (status == IMP_OK) {
        *failed = lua_tointeger(imp_script_state(engine), -2);
        *total = lua_tointeger(imp_script_state(engine), -1);
    }
    return status;
}

int rule_cases_run(const options *given, const char *path, output *out, long long *failed, long long *total)
{
    char scripts[FOLDER_SIZE];
    imp_error error;
    imp_script *engine = NULL;
    imp_host *host = NULL;
    imp_status status = find_scripts_folder(scripts, sizeof scripts, &error);
    const char *const folders[] = {scripts}, *const rules[] = {path};
    const imp_script_options wanted = {.budget = imp_default_budget(), .folders = folders, .folder_count = 1, .trusted = true};
    const imp_host_option fields[OPTION_FIELDS] = {{.name = "rules", .kind = IMP_HOST_TEXTS, .texts = rules, .count = 1}};
    const imp_host_settings settings = {
        .rows = imp_document_rows(IMP_JOB),
        .options = fields,
        .option_count = OPTION_FIELDS,
        .date = date,
        /* what the file prints has been printed when it was looked at first */
        .rule = {.budget = budget_of(given), .folders = folders, .folder_count = 1, .trusted = options_has(given, OPTION_TRUST)},
        .write = session_write,
        .write_context = out,
    };
    if (status == IMP_OK)
        status = imp_script_open(&wanted, &engine, &error);
    if (status == IMP_OK)
        status = imp_host_open(engine, &settings, &host, &error);
    if (status == IMP_OK)
        status = run_engine(engine, scripts, failed, total, &error);
    if (status == IMP_OK && imp_host_ran_short(host))
        status = imp_fail(&error, IMP_MEMORY, NULL, "out of memory");
    imp_script_close(engine);
    imp_host_close(host);
    return status == IMP_OK ? EXIT_OK : complain(&error, exit_code_of_script(status));
}
