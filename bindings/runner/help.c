/* Help texts, all from the table of commands and options. */
#include <stdio.h>
#include <string.h>

#include "number.h"
#include "options.h"

enum { HELP_WIDTH = 100, NAME_WIDTH = 24 };

char *option_name_text(const option_row *row, char *text, size_t size)
{
    char letter[8] = "";
    if (row->letter != 0)
        snprintf(letter, sizeof letter, "-%c, ", row->letter);
    snprintf(text, size, "%s%s%s%s", letter, row->name, row->value != NULL ? " " : "",
             row->value != NULL ? row->value : "");
    return text;
}

char *option_help_text(const option_row *row, char *text, size_t size)
{
    size_t used = (size_t)snprintf(text, size, "%s", row->help);
    for (size_t i = 0; row->kind == OPTION_CHOICE && row->choices[i] != NULL && used < size; i++)
        used += (size_t)snprintf(text + used, size - used, "%s%s%s",
                                 i == 0                                 ? ": "
                                 : i > 0 && row->choices[i + 1] == NULL ? " or "
                                                                        : ", ",
                                 row->choices[i], i == 0 && !row->no_default ? " (the default)" : "");
    if (row->fallback != NULL && used < size) {
        char number[IMP_NUMBER_TEXT_SIZE];
        snprintf(text + used, size - used, " (default %s)",
                 imp_number_write(row->fallback(), 0, number, sizeof number));
    }
    return text;
}

static void write_entry(output *out, const char *name, const char *help)
{
    char first[80], rest[80];
    snprintf(first, sizeof first, "  %-*s", NAME_WIDTH, name);
    snprintf(rest, sizeof rest, "  %-*s", NAME_WIDTH, "");
    if (strlen(name) >= NAME_WIDTH) {
        output_format(out, "  %s\n", name);
        memcpy(first, rest, sizeof first);
    }
    output_wrapped(out, first, rest, help, HELP_WIDTH);
}

static void write_options(output *out, unsigned bit)
{
    output_text(out, "\n");
    output_heading(out, "Options");
    for (const option_row *row = option_rows(); row->name != NULL; row++) {
        if ((row->commands & bit) == 0)
            continue;
        char name[64], help[512];
        write_entry(out, option_name_text(row, name, sizeof name), option_help_text(row, help, sizeof help));
    }
}

const char *program_purpose(void)
{
    return "Pre-job checks, calculations and scripts for two-component spray rigs.";
}

const char *program_notes(void)
{
    return "\"impinge COMMAND --help\" says more about a command. Results go to standard output, everything else to "
           "standard error.\n"
           "Exit codes: 0 done or go, 1 caution, 2 stop or not known, 3 wrong command line, 4 wrong input file, 5 script "
           "error, 6 a script's budget used up, 7 internal error.\n\n"
           "The figures support and never replace the supplier's data sheets, local codes and licensed practice.";
}

static void program_help(output *out)
{
    output_text(out, "Usage: impinge COMMAND [ARGUMENT]...\n\n");
    output_wrapped(out, "", "", program_purpose(), HELP_WIDTH);
    output_text(out, "\n");
    output_heading(out, "Commands");
    for (const command_row *row = command_rows(); row->name != NULL; row++)
        write_entry(out, row->name, row->summary);
    write_options(out, IN_PROGRAM);
    output_text(out, "\n");
    output_wrapped(out, "", "", program_notes(), HELP_WIDTH);
}

void options_help(const command_row *command, output *out)
{
    if (command == NULL) {
        program_help(out);
        return;
    }
    output_format(out, "Usage: impinge %s [OPTION]... %s\n\n", command->name, command->arguments);
    output_wrapped(out, "", "", command->description, HELP_WIDTH);
    write_options(out, command->bit);
    output_text(out, "\n");
    const char *first_end = strchr(command->examples, '\n');
    output_heading(out, first_end != NULL && first_end[1] != '\0' ? "Examples" : "Example");
    output_text(out, command->examples);
}
