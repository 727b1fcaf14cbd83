/* The table of commands and options. Nothing about them is written anywhere else. */
#include "budget_options.h"
#include "commands.h"
#include "engine.h"
#include "options.h"

#define WITH_RESULTS (IN_CALC | IN_EXPLAIN | IN_LIST | IN_CHECK | IN_RUN | IN_TEST)
#define WITH_SCRIPTS (IN_CALC | IN_EXPLAIN | IN_CHECK | IN_RUN | IN_EVAL | IN_TEST)

static const char *const stages[] = {"site", "plan", NULL};
static const char *const plain_formats[] = {"text", "json", NULL};
static const char *const calc_formats[] = {"text", "json", "csv", "html", "svg", NULL};
static const char *const check_formats[] = {"text", "json", "html", "csv", "markdown", NULL};
static const char *const reports[] = {"prejob", "set-up", "estimate", NULL};
static const char *const languages[] = {"en", "es", NULL}; /* those of scripts/report/messages */
static const char *const additions[] = {"sheets", NULL};
static const char *const colors[] = {"auto", "always", "never", NULL};

static double default_draws(void)
{
    return IMP_DEFAULT_DRAWS;
}

static double default_seed(void)
{
    return 1.0;
}

static const option_row options_table[] = {
    {.id = OPTION_SHEET,
     .commands = IN_CALC,
     .name = "--sheet",
     .kind = OPTION_FLAG,
     .help = "show the inputs, the formula with its numbers, the steps and the source too"},
    {.id = OPTION_SOLVE_FOR,
     .commands = IN_CALC,
     .name = "--solve-for",
     .kind = OPTION_TEXT,
     .value = "NAME",
     .help = "find the value of an input, not given, for which an output meets --target; several values, each on a line"},
    {.id = OPTION_TARGET,
     .commands = IN_CALC,
     .name = "--target",
     .kind = OPTION_TEXT,
     .value = "OUTPUT=VALUE",
     .help = "what --solve-for is to meet"},
    {.id = OPTION_SWEEP,
     .commands = IN_CALC,
     .name = "--sweep",
     .kind = OPTION_TEXT,
     .value = "NAME=FROM..TO[/STEPS]",
     .help = "all outputs over a range of an input, at 21 or STEPS values; as text, json, csv, or charts in html or svg"},
    {.id = OPTION_SENSITIVITY,
     .commands = IN_CALC,
     .name = "--sensitivity",
     .kind = OPTION_FLAG,
     .help = "how each output moves with each input: derivative and elasticity"},
    {.id = OPTION_UNCERTAINTY,
     .commands = IN_CALC,
     .name = "--uncertainty",
     .kind = OPTION_TEXT,
     .value = "NAME=SD",
     .repeats = true,
     .help = "the outputs' standard uncertainty when NAME has the standard uncertainty SD, by the linear law and simulated; "
             "may be given several times"},
    {.id = OPTION_DRAWS,
     .commands = IN_CALC,
     .name = "--draws",
     .kind = OPTION_NUMBER,
     .value = "COUNT",
     .low = 2,
     .high = 10000000,
     .fallback = default_draws,
     .help = "draws of the simulated uncertainty"},
    {.id = OPTION_SEED,
     .commands = IN_CALC,
     .name = "--seed",
     .kind = OPTION_NUMBER,
     .value = "NUMBER",
     .low = 0,
     .high = 9007199254740991.0,
     .fallback = default_seed,
     .help = "begins the draws; the same number gives the same draws on every machine"},
    {.id = OPTION_DIGITS,
     .commands = IN_CALC,
     .name = "--digits",
     .kind = OPTION_NUMBER,
     .value = "COUNT",
     .low = 1,
     .high = 17,
     .help = "significant digits of the values shown as text; without it as many as each deserves"},
    {.id = OPTION_STAGE,
     .commands = IN_CHECK,
     .name = "--stage",
     .kind = OPTION_CHOICE,
     .value = "STAGE",
     .choices = stages,
     .help = "site counts every rule; plan is for the office before anybody drives out, and does not count what can "
             "only be read on site"},
    {.id = OPTION_RULES,
     .commands = IN_CHECK,
     .name = "--rules",
     .kind = OPTION_FILE,
     .value = "FILE",
     .repeats = true,
     .help = "a file of rules of your own, after the standard ones; may be given several times"},
    {.id = OPTION_UNITS,
     .commands = IN_CHECK,
     .name = "--units",
     .kind = OPTION_FILE,
     .value = "SYSTEM",
     .help = "units to show: si, us, or the name of a file of your own; without it the job's own"},
    {.id = OPTION_REPORT,
     .commands = IN_CHECK,
     .name = "--report",
     .kind = OPTION_CHOICE,
     .value = "REPORT",
     .choices = reports,
     .help = "prejob says what may start and why; set-up is one page for the rig, with what to set and to read; estimate "
             "is material, time, energy and cost"},
    {.id = OPTION_REPORT_FILE,
     .commands = IN_CHECK,
     .name = "--report-file",
     .kind = OPTION_FILE,
     .value = "FILE",
     .help = "a report of your own, a script that makes a text of the results (\"impinge new report NAME\" writes one to begin "
             "with); --report and --format then have no say"},
    {.id = OPTION_LANGUAGE,
     .commands = IN_CHECK,
     .name = "--language",
     .kind = OPTION_CHOICE,
     .value = "LANGUAGE",
     .choices = languages,
     .help = "language of the report's own words; what rules say in their own words stays as they say it"},
    {.id = OPTION_WITH,
     .commands = IN_CHECK,
     .name = "--with",
     .kind = OPTION_CHOICE,
     .value = "WHAT",
     .choices = additions,
     .no_default = true,
     .help = "add the sheets of all calculations as an appendix, to be printed with the pre-job report"},
    {.id = OPTION_FORMAT,
     .commands = IN_CALC,
     .name = "--format",
     .kind = OPTION_CHOICE,
     .value = "FORMAT",
     .choices = calc_formats,
     .help = "form of the result; csv, html and svg for a --sweep"},
    {.id = OPTION_FORMAT,
     .commands = IN_EXPLAIN | IN_LIST,
     .name = "--format",
     .kind = OPTION_CHOICE,
     .value = "FORMAT",
     .choices = plain_formats,
     .help = "form of the result"},
    {.id = OPTION_FORMAT,
     .commands = IN_CHECK,
     .name = "--format",
     .kind = OPTION_CHOICE,
     .value = "FORMAT",
     .choices = check_formats,
     .help = "form of the report"},
    {.id = OPTION_OUTPUT,
     .commands = WITH_RESULTS,
     .name = "--output",
     .letter = 'o',
     .kind = OPTION_FILE,
     .value = "FILE",
     .help = "write the result to FILE, whole or not at all, instead of standard output"},
    {.id = OPTION_TRUST,
     .commands = IN_RUN | IN_EVAL | IN_CALC | IN_EXPLAIN | IN_TEST,
     .name = "--trust",
     .kind = OPTION_FLAG,
     .help = "lift the sandbox: for a script that you wrote or read yourself"},
    {.id = OPTION_MAX_MEMORY,
     .commands = WITH_SCRIPTS,
     .name = "--max-memory",
     .kind = OPTION_NUMBER,
     .value = "MIB",
     .low = 1,
     .high = 1048576,
     .fallback = budget_default_memory,
     .help = "memory that one script may use, in MiB"},
    {.id = OPTION_MAX_STEPS,
     .commands = WITH_SCRIPTS,
     .name = "--max-steps",
     .kind = OPTION_NUMBER,
     .value = "COUNT",
     .low = 1000,
     .high = 1e15,
     .fallback = budget_default_steps,
     .help = "Lua instructions that one script may run"},
    {.id = OPTION_MAX_SECONDS,
     .commands = WITH_SCRIPTS,
     .name = "--max-seconds",
     .kind = OPTION_NUMBER,
     .value = "SECONDS",
     .low = 0.01,
     .high = 86400,
     .fallback = budget_default_seconds,
     .help = "time that one script may take, in seconds"},
    {.id = OPTION_MAX_OUTPUT,
     .commands = WITH_SCRIPTS,
     .name = "--max-output",
     .kind = OPTION_NUMBER,
     .value = "MIB",
     .low = 0.001,
     .high = 1024,
     .fallback = budget_default_output,
     .help = "text that one script may write, in MiB"},
    {.id = OPTION_COLOR,
     .commands = IN_CALC | IN_EXPLAIN | IN_LIST | IN_PROGRAM,
     .name = "--color",
     .kind = OPTION_CHOICE,
     .value = "WHEN",
     .choices = colors,
     .help = "coloured headings; auto means on a terminal, unless the variable NO_COLOR is set"},
    {.id = OPTION_HELP,
     .commands = IN_EVERY,
     .name = "--help",
     .letter = 'h',
     .kind = OPTION_FLAG,
     .help = "show this help"},
    {.id = OPTION_VERSION, .commands = IN_EVERY, .name = "--version", .kind = OPTION_FLAG, .help = "show the version"},
    {.name = NULL},
};

static const command_row commands_table[] = {
    {.name = "check",
     .bit = IN_CHECK,
     .arguments = "JOB.json",
     .least = 1,
     .most = 1,
     .run = command_check,
     .summary = "the pre-job check: go, caution or stop, and why",
     .description = "Reads a job with its rig and material, applies the standard rules and then your own, and reports "
                    "each finding "
                    "with its value, limit, margin and source, and what would make it pass.\n"
                    "Exit code 0 is go, 1 caution, 2 stop or not known.",
     .examples = "  impinge check job.json --stage plan\n"
                 "  impinge check job.json --rules company.lua --format html -o report.html\n"},
    {.name = "calc",
     .bit = IN_CALC,
     .arguments = "ID-or-FILE.lua [NAME=VALUE]...",
     .least = 1,
     .most = (size_t)-1,
     .run = command_calc,
     .summary = "one calculation: of the catalogue, or a calculator of your own",
     .description = "ID is one that \"impinge list\" shows; FILE.lua declares a calculator (\"impinge new calculator NAME\" writes one to "
                    "begin with). At a terminal it asks for what is missing. Values carry their unit: length=\"60 m\", bore=\"3/8 in\", relative_humidity=\"50 %\". A list is "
                    "\"40 V, 75 V\"; a table "
                    "is a JSON array of objects. \"impinge explain ID\" shows the inputs.",
     .examples = "  impinge calc climate.dew_point air_temperature=\"20 degC\" relative_humidity=\"50 %\"\n"
                 "  impinge calc hose.pressure_drop flow=\"3 L/min\" length=\"60 m\" density=\"1.1 kg/L\" viscosity=\"180 cP\" "
                 "--solve-for bore --target pressure_drop=\"20 bar\"\n"},
    {.name = "explain",
     .bit = IN_EXPLAIN,
     .arguments = "ID-or-FILE.lua",
     .least = 1,
     .most = 1,
     .run = command_explain,
     .summary = "formula, inputs, ranges and source of a calculation",
     .description = "Shows what a calculation computes and from what, where its formula comes from and where it holds.",
     .examples = "  impinge explain climate.dew_point\n"},
    {.name = "list",
     .bit = IN_LIST,
     .arguments = "[TEXT]...",
     .least = 0,
     .most = (size_t)-1,
     .run = command_list,
     .summary = "the calculations there are",
     .description =
         "With TEXT only those that mention every word of it. With --format json every calculation with all its "
         "inputs and outputs and every command with its options: the whole interface in one document.",
     .examples = "  impinge list dew point\n"
                 "  impinge list --format json -o api.json\n"},
    {.name = "run",
     .bit = IN_RUN,
     .arguments = "SCRIPT.lua [ARG]...",
     .least = 1,
     .most = (size_t)-1,
     .passes_rest = true,
     .run = command_run,
     .summary = "a Lua script in the sandbox",
     .description = "What follows the script's name is the script's: it finds it in the table arg. The script may "
                    "require modules that "
                    "lie beside it. It can reach no other file, no program and no network unless --trust is given.",
     .examples = "  impinge run estimate.lua 240 60\n"},
    {.name = "eval",
     .bit = IN_EVAL,
     .arguments = "['EXPRESSION']",
     .least = 0,
     .most = 1,
     .run = command_eval,
     .summary = "one line of Lua, with q and imp at hand",
     .description = "Shows the value of an expression, numbers in the shortest form that reads back the same. Without "
                    "EXPRESSION it reads "
                    "lines: at a terminal with a prompt, else from standard input. Put -- before an expression that "
                    "begins with a minus sign.",
     .examples = "  impinge eval 'q\"1200 psi\":to \"bar\"'\n"},
    {.name = "test",
     .bit = IN_TEST,
     .arguments = "FILE.lua",
     .least = 1,
     .most = 1,
     .run = command_test,
     .summary = "the cases that a file of calculators declares",
     .description = "Computes each case of each calculator in the file and compares it with what the case expects. Exit code 0 when all "
                    "hold, 2 when one fails.",
     .examples = "  impinge test estimate.lua\n"},
    {.name = "new",
     .bit = IN_NEW,
     .arguments = "rule|calculator|report|job NAME",
     .least = 2,
     .most = 2,
     .run = command_new,
     .summary = "a commented, working starting point",
     .description = "Writes NAME.lua, or NAME.json for a job, into the present folder, and says how to run it. A file that is there already "
                    "is left alone.",
     .examples = "  impinge new calculator estimate\n"
                 "  impinge new job north_wall\n"},
    {.name = NULL},
};

const command_row *command_rows(void)
{
    return commands_table;
}

const option_row *option_rows(void)
{
    return options_table;
}
