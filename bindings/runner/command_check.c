/* impinge check: opens the check engine, which is Lua of the program's own, and gives it the job. */
#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "budget_options.h"
#include "commands.h"
#include "display_units.h"
#include "engine_script.h"
#include "exit_code.h"
#include "host.h"
#include "host_report.h"
#include "job_file.h"
#include "memory.h"
#include "watchdog.h"

enum { OPTION_FIELDS = 12 };

/* All that the engine and its host borrow while they live. */
typedef struct check {
    const options *given;
    output *out;
    imp_node *job;
    const char **rules;
    size_t rule_count;
    char date[16];
    display_units units;
    engine_script engine;
    imp_host_option fields[OPTION_FIELDS];
    imp_script_options rule; /* how the states of rule files and reports are opened */
    imp_host *host;
} check;

static void write_result(void *context, const char *text, size_t length)
{
    output_bytes(context, text, length);
}

static imp_status collect_rules(check *work, imp_error *error)
{
    size_t at = 0;
    work->rules = imp_allocate(NULL, work->given->given_count + 1, sizeof *work->rules);
    if (work->rules == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    for (const char *path; (path = options_next(work->given, OPTION_RULES, &at)) != NULL;)
        work->rules[work->rule_count++] = path;
    return IMP_OK;
}

/* The day that expiry is judged by: the job's own, else today. */
static const char *date_of(check *work)
{
    const imp_node *date = imp_node_find(work->job, "date", NULL);
    if (date != NULL && date->given && date->text != NULL)
        return date->text;
    const time_t now = time(NULL);
    struct tm today;
    if (localtime_r(&now, &today) == NULL || strftime(work->date, sizeof work->date, "%Y-%m-%d", &today) == 0)
        return NULL;
    return work->date;
}

static imp_status open_host(check *work, imp_error *error)
{
    const imp_host_option fields[OPTION_FIELDS] = {
        {.name = "stage", .kind = IMP_HOST_TEXT, .text = options_text(work->given, OPTION_STAGE)},
        {.name = "format", .kind = IMP_HOST_TEXT, .text = options_text(work->given, OPTION_FORMAT)},
        {.name = "units", .kind = IMP_HOST_TEXT, .text = work->units.base},
        {.name = "unit_pairs", .kind = IMP_HOST_TEXTS, .texts = work->units.pairs, .count = work->units.count},
        {.name = "report", .kind = IMP_HOST_TEXT, .text = options_text(work->given, OPTION_REPORT)},
        {.name = "report_file", .kind = IMP_HOST_TEXT, .text = options_text(work->given, OPTION_REPORT_FILE)},
        {.name = "language", .kind = IMP_HOST_TEXT, .text = options_text(work->given, OPTION_LANGUAGE)},
        {.name = "with", .kind = IMP_HOST_TEXT, .text = options_text(work->given, OPTION_WITH)},
        {.name = "rules", .kind = IMP_HOST_TEXTS, .texts = work->rules, .count = work->rule_count},
        {.name = "forecast", .kind = IMP_HOST_TEXT, .text = options_text(work->given, OPTION_FORECAST)},
        {.name = "surface_below", .kind = IMP_HOST_TEXT, .text = options_text(work->given, OPTION_SURFACE_BELOW)},
        {.name = "file", .kind = IMP_HOST_TEXT, .text = work->given->positional[0]},
    };
    memcpy(work->fields, fields, sizeof fields);
    const imp_host_settings settings = {
        .job = work->job,
        .rows = imp_document_rows(IMP_JOB),
        .options = work->fields,
        .option_count = OPTION_FIELDS,
        .date = date_of(work),
        .rule = {.budget = budget_of(work->given), .folders = work->engine.folders, .folder_count = 1, .write = engine_script_write_aside},
        .write = write_result,
        .write_context = work->out,
    };
    const imp_status status = imp_host_open(work->engine.script, &settings, &work->host, error);
    work->rule = settings.rule;
    return status == IMP_OK ? imp_host_report_open(work->engine.script, &work->rule, error) : status;
}

/* A fault here is the program's: what company rules do wrong is a finding. */
static int judge(check *work)
{
    imp_error error;
    int code = EXIT_INTERNAL;
    imp_status status = collect_rules(work, &error);
    if (status == IMP_OK)
        status = engine_script_open(&work->engine, &error);
    if (status == IMP_OK)
        status = open_host(work, &error);
    if (status == IMP_OK) {
        /* the standard rules together, the engine, and each file of rules have a budget of time */
        watchdog_start(options_number(work->given, OPTION_MAX_SECONDS) * (double)(work->rule_count + 2));
        status = engine_script_run(&work->engine, "check.lua", &code, &error);
        watchdog_end();
        if (status == IMP_OK && imp_host_ran_short(work->host))
            status = imp_fail(&error, IMP_MEMORY, NULL, "out of memory");
    }
    imp_script_close(work->engine.script);
    imp_host_close(work->host);
    imp_release(NULL, (void *)work->rules);
    return status == IMP_OK ? code : complain(&error, status == IMP_LIMIT ? EXIT_LIMIT : EXIT_INTERNAL);
}

static int find_file(const char *path, const char *what)
{
    if (access(path, R_OK) == 0)
        return EXIT_OK;
    fprintf(stderr, "impinge: cannot read the %s \"%s\": %s\n", what, path, strerror(errno));
    return EXIT_INPUT;
}

/* A file of rules, a report or a forecast that is not there is a wrong input file, and no script error. */
static int find_script_files(const options *given)
{
    size_t at = 0;
    const char *report = options_text(given, OPTION_REPORT_FILE), *forecast = options_text(given, OPTION_FORECAST);
    for (const char *path; (path = options_next(given, OPTION_RULES, &at)) != NULL;)
        if (find_file(path, "rules") != EXIT_OK)
            return EXIT_INPUT;
    if (forecast != NULL && find_file(forecast, "forecast") != EXIT_OK)
        return EXIT_INPUT;
    return report != NULL ? find_file(report, "report") : EXIT_OK;
}

/* The report on hours needs a forecast, and no other does. */
static int check_forecast(const options *given)
{
    imp_error error;
    const bool is_asked = options_text(given, OPTION_REPORT_FILE) == NULL &&
                          strcmp(options_text(given, OPTION_REPORT), "spray-hours") == 0;
    const char *message = NULL;
    if (is_asked && !options_has(given, OPTION_FORECAST))
        message = "--report spray-hours needs --forecast FILE.csv, a weather forecast with a row an hour";
    else if (!is_asked && (options_has(given, OPTION_FORECAST) || options_has(given, OPTION_SURFACE_BELOW)))
        message = "--forecast and --surface-below are for --report spray-hours; add it, or leave them out";
    if (message == NULL)
        return EXIT_OK;
    imp_fail(&error, IMP_SYNTAX, "impinge check", "%s", message);
    return complain(&error, EXIT_USAGE);
}

int command_check(const options *given, output *out)
{
    check work = {.given = given, .out = out};
    if (check_forecast(given) != EXIT_OK)
        return EXIT_USAGE;
    if (find_script_files(given) != EXIT_OK)
        return EXIT_INPUT;
    const int code = job_file_read(given->positional[0], &work.job);
    if (code != EXIT_OK)
        return code;
    int verdict =
        display_units_find(options_text(given, OPTION_UNITS), given->positional[0], work.job, &work.units);
    if (verdict == EXIT_OK)
        verdict = judge(&work);
    display_units_free(&work.units);
    imp_node_free(work.job, NULL);
    return verdict;
}
