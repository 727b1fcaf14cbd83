/* impinge test: the cases that a file of calculators or of rules declares, each computed and compared. */
#include <stdio.h>

#include "budget_options.h"
#include "calculator_lua.h"
#include "commands.h"
#include "exit_code.h"
#include "host_rules.h"
#include "rule_cases.h"
#include "scripts_folder.h"
#include "session.h"
#include "watchdog.h"

/* Run scripts/engine/cases.lua in the state of the file; it gives how many failed and how many there are. */
static imp_status run_calculator_cases(imp_script *script, long long *failed, long long *total, imp_error *error)
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

/* What a file without cases is told. */
static int refuse(const char *path, bool has_calculators, bool has_rules)
{
    imp_error error;
    imp_fail(&error, IMP_MISSING, path, "%s",
             has_rules         ? "declares no cases; add case { rule = \"...\", job = {...}, verdict = \"...\" } behind the rules"
             : has_calculators ? "declares no cases; add cases = { { inputs = {...}, expect = {...} } } to the calculator"
                               : "declares no calculator and no rule; \"impinge new calculator NAME\" and \"impinge new rule NAME\" "
                                 "write one to begin with");
    return complain(&error, EXIT_INPUT);
}

/* Run the file once, to see what it declares; then its calculators' cases where they are, and its rules' in the engine. */
static int judge(const options *given, imp_rule_file *file, const imp_script_options *wanted, output *out)
{
    const char *path = given->positional[0];
    imp_error error;
    imp_status status = imp_rule_file_load(file, wanted, path, &error);
    if (status != IMP_OK)
        return complain(&error, exit_code_of_script(status));
    const bool has_calculators = imp_calculator_count(imp_script_state(file->script)) > 0, has_rules = imp_rule_file_count(file) > 0;
    long long failed = 0, total = 0, rules_failed = 0, rules_total = 0;
    if (has_calculators)
        status = run_calculator_cases(file->script, &failed, &total, &error);
    if (status != IMP_OK)
        return complain(&error, exit_code_of_script(status));
    const int code = has_rules ? rule_cases_run(given, path, out, &rules_failed, &rules_total) : EXIT_OK;
    if (code != EXIT_OK)
        return code;
    if (total + rules_total == 0)
        return refuse(path, has_calculators, has_rules);
    return failed + rules_failed > 0 ? EXIT_STOP : EXIT_OK;
}

int command_test(const options *given, output *out)
{
    imp_error error;
    char folder[FOLDER_SIZE];
    imp_rule_file file = {.script = NULL};
    const imp_status status = find_scripts_folder(folder, sizeof folder, &error);
    if (status != IMP_OK)
        return complain(&error, EXIT_INTERNAL);
    const char *const folders[] = {folder};
    const imp_script_options wanted = session_options(given, folders, out);
    if (!options_has(given, OPTION_TRUST))
        watchdog_start(options_number(given, OPTION_MAX_SECONDS) * 3.0); /* the file twice, and the standard rules */
    const int code = judge(given, &file, &wanted, out);
    watchdog_end();
    imp_script_close(file.script);
    return code;
}
