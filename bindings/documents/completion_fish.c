/* Completion for fish. */
#include <string.h>

#include "documents.h"

/* Text inside single quotes. */
static void write_quoted(output *out, const char *text)
{
    for (const char *at = text; *at != '\0'; at++) {
        if (strchr("'\\", *at) != NULL)
            output_text(out, "\\");
        output_bytes(out, at, 1);
    }
}

static void write_option(output *out, const char *condition, const option_row *row)
{
    char help[512];
    output_format(out, "complete -c impinge -n '%s' -l %s", condition, row->name + 2);
    if (row->letter != 0)
        output_format(out, " -s %c", row->letter);
    if (row->kind == OPTION_CHOICE) {
        output_text(out, " -x -a '");
        for (size_t i = 0; row->choices[i] != NULL; i++)
            output_format(out, "%s%s", i > 0 ? " " : "", row->choices[i]);
        output_text(out, "'");
    } else if (row->kind == OPTION_FILE) {
        output_text(out, " -r -F");
    } else if (row->kind == OPTION_NUMBER || row->value != NULL) {
        output_text(out, " -x");
    }
    output_text(out, " -d '");
    write_quoted(out, option_help_text(row, help, sizeof help));
    output_text(out, "'\n");
}

static void write_options(output *out, const char *condition, unsigned bit)
{
    for (const option_row *row = option_rows(); row->name != NULL; row++)
        if ((row->commands & bit) != 0)
            write_option(out, condition, row);
}

static void write_command(output *out, const command_row *command)
{
    char condition[128] = "__fish_seen_subcommand_from ";
    const argument_kind kind = argument_kind_of(command);
    strncat(condition, command->name, sizeof condition - strlen(condition) - 1);
    output_format(out, "\ncomplete -c impinge -n __fish_use_subcommand -a %s -d '", command->name);
    write_quoted(out, command->summary);
    output_text(out, "'\n");
    write_options(out, condition, command->bit);
    if (kind.calculation)
        output_format(out, "complete -c impinge -n '%s; and not __impinge_calculation' -a '(__impinge_calculations)'\n",
                      condition);
    if (kind.inputs)
        output_format(out, "complete -c impinge -n '%s' -a '(__impinge_inputs)'\n", condition);
    if (kind.pattern != NULL && !kind.calculation)
        output_format(out, "complete -c impinge -n '%s' -k -a '(__fish_complete_suffix %s)'\n", condition,
                      kind.pattern[1] != '\0' ? kind.pattern + 1 : "''");
}

void write_fish(output *out)
{
    const imp_calc *calc;
    output_text(out, "# fish completion of impinge, written by the build from the program's own tables.\n\n"
                     "function __impinge_calculations\n");
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++) {
        output_format(out, "    printf '%%s\\t%%s\\n' %s '", calc->id);
        write_quoted(out, calc->title);
        output_text(out, "'\n");
    }
    output_text(out, "end\n\nfunction __impinge_inputs\n    for word in (commandline -opc)\n        switch $word\n");
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++) {
        output_format(out, "            case %s\n                printf '%%s\\n'", calc->id);
        for (size_t k = 0; k < calc->input_count; k++)
            output_format(out, " %s=", calc->inputs[k].name);
        output_text(out, "\n");
    }
    output_text(out, "        end\n    end\nend\n\n"
                     "function __impinge_calculation\n    test -n \"$(__impinge_inputs)\"\nend\n\n"
                     "complete -c impinge -f\n");
    write_options(out, "__fish_use_subcommand", IN_PROGRAM);
    for (const command_row *row = command_rows(); row->name != NULL; row++)
        write_command(out, row);
}
