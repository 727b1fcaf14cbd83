/* options.h — the commands of `impinge` and their options: one table, from which parsing, every `--help`, the API list,
 * the manual and the shells' completion come. */
#ifndef IMP_RUNNER_OPTIONS_H
#define IMP_RUNNER_OPTIONS_H

#include <stdbool.h>
#include <stddef.h>

#include "output.h"
#include "status.h"

typedef enum option_id {
    OPTION_SHEET,
    OPTION_SOLVE_FOR,
    OPTION_TARGET,
    OPTION_SWEEP,
    OPTION_SENSITIVITY,
    OPTION_UNCERTAINTY,
    OPTION_DRAWS,
    OPTION_SEED,
    OPTION_DIGITS,
    OPTION_STAGE,
    OPTION_RULES,
    OPTION_UNITS,
    OPTION_REPORT,
    OPTION_REPORT_FILE,
    OPTION_LANGUAGE,
    OPTION_WITH,
    OPTION_FORECAST,
    OPTION_SURFACE_BELOW,
    OPTION_FORMAT,
    OPTION_OUTPUT,
    OPTION_JOB,
    OPTION_COLUMNS,
    OPTION_PARTIAL,
    OPTION_MERGE,
    OPTION_JOIN,
    OPTION_PERIOD,
    OPTION_THREADS,
    OPTION_TRUST,
    OPTION_MAX_MEMORY,
    OPTION_MAX_STEPS,
    OPTION_MAX_SECONDS,
    OPTION_MAX_OUTPUT,
    OPTION_COLOR,
    OPTION_HELP,
    OPTION_VERSION
} option_id;

typedef enum option_kind {
    OPTION_FLAG,   /* takes no value */
    OPTION_CHOICE, /* one of `choices`; the first is the default */
    OPTION_NUMBER, /* from low to high */
    OPTION_FILE,
    OPTION_TEXT /* any text that is not empty */
} option_kind;

/* Commands as bits, so that an option can belong to several. */
enum {
    IN_CALC = 1u << 0,
    IN_EXPLAIN = 1u << 1,
    IN_LIST = 1u << 2,
    IN_CHECK = 1u << 3,
    IN_RUN = 1u << 4,
    IN_EVAL = 1u << 5,
    IN_TEST = 1u << 6,
    IN_NEW = 1u << 7,
    IN_LOG = 1u << 8,
    IN_PROGRAM = 1u << 15, /* `impinge` itself, without a command */
    IN_EVERY = (1u << 16) - 1u
};

typedef struct option_row {
    option_id id;
    unsigned commands;
    const char *name; /* "--format" */
    char letter;      /* 'o' for "-o", or 0 */
    option_kind kind;
    const char *value; /* "FILE" in help */
    const char *const *choices;
    bool no_default; /* of a choice: not given means something of its own */
    double low, high;
    double (*fallback)(void); /* default of a number */
    bool repeats;
    const char *help;
} option_row;

struct options;

typedef struct command_row {
    const char *name;
    unsigned bit;
    const char *arguments; /* "ID NAME=VALUE..." in help */
    size_t least, most;    /* positional arguments */
    bool passes_rest;      /* what follows the first positional argument is the script's */
    const char *summary;
    const char *description; /* a paragraph or two of help */
    const char *examples;    /* lines of help */
    /* Returns the exit code; writes results to the output, everything else to stderr. */
    int (*run)(const struct options *options, output *out);
} command_row;

typedef struct given_option {
    const option_row *row;
    const char *text; /* NULL for a flag */
    double number;    /* of a number */
} given_option;

typedef struct options {
    const command_row *command; /* NULL: the program's own --help or --version */
    given_option *given;
    size_t given_count;
    const char **positional;
    size_t positional_count;
} options;

/* Commands in the order of help, ended by one without name; and option rows, ended by one without name. */
const command_row *command_rows(void);
const option_row *option_rows(void);

/* Parse the command line. Fails with IMP_UNKNOWN, IMP_MISSING, IMP_SYNTAX, IMP_RANGE; place = "impinge calc".
 * On success (only) options_free is due. */
imp_status options_parse(int argc, char **argv, options *parsed, imp_error *error);
void options_free(options *parsed);

bool options_has(const options *parsed, option_id id);
/* Text of an option: as given, else a choice's default, else NULL. */
const char *options_text(const options *parsed, option_id id);
/* Number of an option: as given, else its default. */
double options_number(const options *parsed, option_id id);
/* Texts of a repeated option: the one after `*at` (start with 0), or NULL. */
const char *options_next(const options *parsed, option_id id, size_t *at);

/* "-o, --output FILE"; and what the option is for, with its choices or its default. size >= 64 and >= 512. Return text. */
char *option_name_text(const option_row *row, char *text, size_t size);
char *option_help_text(const option_row *row, char *text, size_t size);

/* What the program is for, in one line; and what holds for all its commands: output, exit codes, cautions. */
const char *program_purpose(void);
const char *program_notes(void);

/* Help of a command, or of the whole program when command is NULL. */
void options_help(const command_row *command, output *out);

#endif
