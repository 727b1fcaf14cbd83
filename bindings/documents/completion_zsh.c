/* Completion for zsh. */
#include <string.h>

#include "documents.h"

/* Text inside single quotes; what _arguments and _describe read is written with a backslash. */
static void write_quoted(output *out, const char *text)
{
    for (const char *at = text; *at != '\0'; at++) {
        if (*at == '\'')
            output_text(out, "'\\''");
        else {
            if (strchr("[]:\\", *at) != NULL)
                output_text(out, "\\");
            output_bytes(out, at, 1);
        }
    }
}

static void write_option(output *out, const option_row *row)
{
    char help[512];
    option_help_text(row, help, sizeof help);
    output_text(out, " \\\n      ");
    if (row->letter != 0 && !row->repeats)
        output_format(out, "'(-%c %s)'{-%c,%s}'[", row->letter, row->name, row->letter, row->name);
    else
        output_format(out, "'%s%s[", row->repeats ? "*" : "", row->name);
    write_quoted(out, help);
    output_text(out, "]");
    if (row->value != NULL)
        output_format(out, ":%s:", row->value);
    if (row->kind == OPTION_CHOICE) {
        output_text(out, "(");
        for (size_t i = 0; row->choices[i] != NULL; i++)
            output_format(out, "%s%s", i > 0 ? " " : "", row->choices[i]);
        output_text(out, ")");
    } else if (row->kind == OPTION_FILE) {
        output_text(out, "_files");
    }
    output_text(out, "'");
}

static void write_options(output *out, unsigned bit)
{
    for (const option_row *row = option_rows(); row->name != NULL; row++)
        if ((row->commands & bit) != 0)
            write_option(out, row);
}

static void write_command(output *out, const command_row *command)
{
    const argument_kind kind = argument_kind_of(command);
    output_format(out, "    %s)\n      _arguments", command->name);
    write_options(out, command->bit);
    if (kind.calculation)
        output_text(out, " \\\n      '1:calculation:_impinge_calculations'");
    else if (kind.pattern != NULL)
        output_format(out, " \\\n      '%s:file:_files -g \"%s\"'",
                      command->most > 1 && !command->passes_rest ? "*" : "1", kind.pattern);
    if (kind.inputs)
        output_text(out, " \\\n      '*:input:_impinge_inputs'");
    output_text(out, "\n      ;;\n");
}

static void write_calculations(output *out)
{
    const imp_calc *calc;
    output_text(out, "_impinge_calculations() {\n  local -a calculations=(\n");
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++) {
        output_format(out, "    '%s:", calc->id);
        write_quoted(out, calc->title);
        output_text(out, "'\n");
    }
    output_text(out, "  )\n  _describe calculation calculations\n}\n\n");
    output_text(out, "_impinge_inputs() {\n  local -a inputs\n  case ${words[(r)*.*]} in\n");
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++) {
        output_format(out, "    %s) inputs=(", calc->id);
        for (size_t k = 0; k < calc->input_count; k++)
            output_format(out, "%s%s", k > 0 ? " " : "", calc->inputs[k].name);
        output_text(out, ") ;;\n");
    }
    output_text(out, "  esac\n  compadd -S = -a inputs\n}\n\n");
}

void write_zsh(output *out)
{
    output_text(out, "#compdef impinge\n# Written by the build from the program's own tables.\n\n");
    write_calculations(out);
    output_text(out, "_impinge() {\n  local curcontext=$curcontext state line\n  typeset -A opt_args\n"
                     "  local -a commands=(\n");
    for (const command_row *row = command_rows(); row->name != NULL; row++) {
        output_format(out, "    '%s:", row->name);
        write_quoted(out, row->summary);
        output_text(out, "'\n");
    }
    output_text(out, "  )\n  _arguments -C");
    write_options(out, IN_PROGRAM);
    output_text(out,
                " \\\n      '1:command:->command' '*::argument:->argument'\n"
                "  case $state in\n  command) _describe command commands ;;\n  argument)\n    case $words[1] in\n");
    for (const command_row *row = command_rows(); row->name != NULL; row++)
        write_command(out, row);
    output_text(out, "    esac\n    ;;\n  esac\n}\n\n_impinge \"$@\"\n");
}
