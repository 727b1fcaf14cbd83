/* impinge log: opens the log engine, which is Lua of the program's own, and gives it the files. */
#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "budget_options.h"
#include "commands.h"
#include "engine_script.h"
#include "exit_code.h"
#include "host.h"
#include "job_file.h"
#include "memory.h"
#include "watchdog.h"

enum { OPTION_FIELDS = 11 };

static const char *const log_words[] = {"event", "fact", "tighten", "silence", "replace", NULL};

/* All that the engine and its host borrow while they live. */
typedef struct log_work {
    const options *given;
    output *out;
    imp_node *job; /* NULL without --job */
    const char **rules;
    size_t rule_count;
    double seconds; /* of the watchdog */
    engine_script engine;
    imp_host_option fields[OPTION_FIELDS];
    imp_host *host;
} log_work;

static void write_result(void *context, const char *text, size_t length)
{
    output_bytes(context, text, length);
}

/* The watchdog is over scripts: reading may take as long as the files are. */
static void waiting(void *context, bool begins)
{
    const log_work *work = context;
    if (begins)
        watchdog_end();
    else
        watchdog_start(work->seconds);
}

static imp_status collect_rules(log_work *work, imp_error *error)
{
    size_t at = 0;
    work->rules = imp_allocate(NULL, work->given->given_count + 1, sizeof *work->rules);
    if (work->rules == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    for (const char *path; (path = options_next(work->given, OPTION_RULES, &at)) != NULL;) {
        if (access(path, R_OK) != 0)
            return imp_fail(error, IMP_IO, NULL, "cannot read the rules \"%s\": %s", path, strerror(errno));
        work->rules[work->rule_count++] = path;
    }
    return IMP_OK;
}

static imp_status open_host(log_work *work, imp_error *error)
{
    const options *given = work->given;
    const imp_host_option fields[OPTION_FIELDS] = {
        {.name = "format", .kind = IMP_HOST_TEXT, .text = options_text(given, OPTION_FORMAT)},
        {.name = "units", .kind = IMP_HOST_TEXT, .text = options_text(given, OPTION_UNITS)},
        {.name = "columns", .kind = IMP_HOST_TEXT, .text = options_text(given, OPTION_COLUMNS)},
        {.name = "period", .kind = IMP_HOST_TEXT, .text = options_text(given, OPTION_PERIOD)},
        {.name = "rules", .kind = IMP_HOST_TEXTS, .texts = work->rules, .count = work->rule_count},
        {.name = "files", .kind = IMP_HOST_TEXTS, .texts = given->positional, .count = given->positional_count},
        {.name = "partial", .kind = IMP_HOST_FLAG, .flag = options_has(given, OPTION_PARTIAL)},
        {.name = "merge", .kind = IMP_HOST_FLAG, .flag = options_has(given, OPTION_MERGE)},
        {.name = "join", .kind = IMP_HOST_FLAG, .flag = options_has(given, OPTION_JOIN)},
        {.name = "threads", .kind = IMP_HOST_NUMBER, .number = options_number(given, OPTION_THREADS)},
        {.name = "max_seconds", .kind = IMP_HOST_NUMBER, .number = options_number(given, OPTION_MAX_SECONDS)},
    };
    memcpy(work->fields, fields, sizeof fields);
    const imp_host_settings settings = {
        .job = work->job,
        .rows = imp_document_rows(IMP_JOB),
        .options = work->fields,
        .option_count = OPTION_FIELDS,
        .words = log_words,
        .waiting = waiting,
        .waiting_context = work,
        .rule = {.budget = budget_of(given), .folders = work->engine.folders, .folder_count = 1, .write = engine_script_write_aside},
        .write = write_result,
        .write_context = work->out,
    };
    return imp_host_open(work->engine.script, &settings, &work->host, error);
}

/* A fault here is the program's: what log rules do wrong is in the report. */
static int judge(log_work *work)
{
    imp_error error;
    int code = EXIT_INTERNAL;
    imp_status status = collect_rules(work, &error);
    const bool are_rules_missing = status == IMP_IO;
    if (status == IMP_OK)
        status = engine_script_open(&work->engine, &error);
    if (status == IMP_OK)
        status = open_host(work, &error);
    if (status == IMP_OK) {
        /* between two readings, each file of rules may use up its budget of time */
        work->seconds = options_number(work->given, OPTION_MAX_SECONDS) * (double)(work->rule_count + 2);
        watchdog_start(work->seconds);
        status = engine_script_run(&work->engine, "log.lua", &code, &error);
        watchdog_end();
        if (status == IMP_OK && imp_host_ran_short(work->host))
            status = imp_fail(&error, IMP_MEMORY, NULL, "out of memory");
    }
    imp_script_close(work->engine.script);
    imp_host_close(work->host);
    imp_release(NULL, (void *)work->rules);
    if (status == IMP_OK)
        return code;
    return complain(&error, are_rules_missing ? EXIT_INPUT : status == IMP_LIMIT ? EXIT_LIMIT : EXIT_INTERNAL);
}

static int refuse(const char *message)
{
    imp_error error;
    imp_fail(&error, IMP_SYNTAX, "impinge log", "%s", message);
    return complain(&error, EXIT_USAGE);
}

static bool is_same_file(const char *a, const char *b)
{
    struct stat x, y;
    return stat(a, &x) == 0 && stat(b, &y) == 0 && x.st_dev == y.st_dev && x.st_ino == y.st_ino;
}

/* What cannot be meant together, and a period that is none. */
static int check_options(const options *given)
{
    const char *period = options_text(given, OPTION_PERIOD);
    imp_quantity time;
    imp_error error;
    if (options_has(given, OPTION_PARTIAL) && options_has(given, OPTION_MERGE))
        return refuse("--partial and --merge cannot be given together");
    if (options_has(given, OPTION_PARTIAL) && options_has(given, OPTION_JOIN))
        return refuse("--join says how partial results are put together: give it with --merge");
    if (options_has(given, OPTION_MERGE) && (period != NULL || options_text(given, OPTION_COLUMNS) != NULL))
        return refuse("--period and --columns are for reading logs, and were given with --partial");
    const char *path = options_text(given, OPTION_OUTPUT);
    for (size_t i = 0; path != NULL && i < given->positional_count; i++)
        if (is_same_file(path, given->positional[i]))
            return refuse("--output names one of the logs, which it would overwrite");
    if (period == NULL)
        return EXIT_OK;
    if (imp_quantity_parse(period, strlen(period), &time, NULL, &error) != IMP_OK ||
        !imp_dimension_same(time.dimension, imp_dimension_of(IMP_TIME)) || !(time.si > 0.0))
        return refuse("--period: expected a time above 0 s such as \"1 min\"");
    return EXIT_OK;
}

int command_log(const options *given, output *out)
{
    log_work work = {.given = given, .out = out};
    const int wrong = check_options(given);
    if (wrong != EXIT_OK)
        return wrong;
    const char *job = options_text(given, OPTION_JOB);
    const int code = job != NULL ? job_file_read(job, &work.job) : EXIT_OK;
    if (code != EXIT_OK)
        return code;
    const int verdict = judge(&work);
    if (work.job != NULL)
        imp_node_free(work.job, NULL);
    return verdict;
}
