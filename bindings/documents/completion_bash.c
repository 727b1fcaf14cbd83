/* Completion for bash. */
#include "documents.h"

/* The calculations' ids, blank between them. */
static void write_ids(output *out)
{
    const imp_calc *calc;
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++)
        output_format(out, "%s%s", i > 0 ? " " : "", calc->id);
}

static void write_inputs(output *out)
{
    const imp_calc *calc;
    output_text(out, "# NAME= of each input of a calculation\n_impinge_inputs()\n{\n    case $1 in\n");
    for (size_t i = 0; (calc = imp_catalogue_at(i)) != NULL; i++) {
        output_format(out, "    %s) echo \"", calc->id);
        for (size_t k = 0; k < calc->input_count; k++)
            output_format(out, "%s%s=", k > 0 ? " " : "", calc->inputs[k].name);
        output_text(out, "\" ;;\n");
    }
    output_text(out, "    esac\n}\n\n");
}

static void write_value(output *out, const option_row *row)
{
    output_text(out, "        ");
    if (row->letter != 0)
        output_format(out, "-%c|", row->letter);
    output_format(out, "%s) ", row->name);
    if (row->kind == OPTION_CHOICE) {
        output_text(out, "_impinge_words \"");
        for (size_t i = 0; row->choices[i] != NULL; i++)
            output_format(out, "%s%s", i > 0 ? " " : "", row->choices[i]);
        output_text(out, "\"; return ;;\n");
    } else if (row->kind == OPTION_FILE) {
        output_text(out, "_impinge_files '*'; return ;;\n");
    } else {
        output_text(out, "return ;;\n");
    }
}

static void write_options(output *out, unsigned bit)
{
    output_text(out, "        case $previous in\n");
    for (const option_row *row = option_rows(); row->name != NULL; row++)
        if ((row->commands & bit) != 0 && row->kind != OPTION_FLAG)
            write_value(out, row);
    output_text(out, "        esac\n        options=\"");
    bool first = true;
    for (const option_row *row = option_rows(); row->name != NULL; row++) {
        if ((row->commands & bit) == 0)
            continue;
        if (row->letter != 0)
            output_format(out, "%s-%c", first ? "" : " ", row->letter);
        output_format(out, "%s%s", first && row->letter == 0 ? "" : " ", row->name);
        first = false;
    }
    output_text(out, "\"\n");
}

static void write_command(output *out, const command_row *command)
{
    const argument_kind kind = argument_kind_of(command);
    output_format(out, "    %s)\n", command->name);
    write_options(out, command->bit);
    if (kind.calculation)
        output_text(out, "        ids=$_impinge_ids\n");
    if (kind.inputs)
        output_text(out, "        names=yes\n");
    if (kind.pattern != NULL)
        output_format(out, "        pattern='%s'\n", kind.pattern);
    output_text(out, "        ;;\n");
}

static const char helpers[] =
    "_impinge_words()\n"
    "{\n"
    "    mapfile -t COMPREPLY < <(compgen -W \"$1\" -- \"${COMP_WORDS[COMP_CWORD]}\")\n"
    "}\n\n"
    "_impinge_files()\n"
    "{\n"
    "    compopt -o filenames 2>/dev/null\n"
    "    mapfile -t COMPREPLY < <(compgen -d -- \"${COMP_WORDS[COMP_CWORD]}\"; compgen -f -X \"!$1\" -- "
    "\"${COMP_WORDS[COMP_CWORD]}\")\n"
    "}\n\n";

static const char beginning[] =
    "_impinge()\n"
    "{\n"
    "    local current=${COMP_WORDS[COMP_CWORD]} previous=${COMP_WORDS[COMP_CWORD - 1]}\n"
    "    local command='' calculation='' options='' ids='' names='' pattern='' word\n"
    "    COMPREPLY=()\n"
    "    for word in \"${COMP_WORDS[@]:1:COMP_CWORD - 1}\"; do\n"
    "        if [[ -z $command && \" $_impinge_commands \" == *\" $word \"* ]]; then command=$word\n"
    "        elif [[ -n $command && \" $_impinge_ids \" == *\" $word \"* ]]; then calculation=$word; fi\n"
    "    done\n"
    "    case $command in\n";

static const char ending[] = "    esac\n"
                             "    if [[ $current == -* ]]; then _impinge_words \"$options\"\n"
                             "    elif [[ $current == = || $previous == = ]]; then return\n"
                             "    elif [[ -n $names && -n $calculation ]]; then\n"
                             "        compopt -o nospace 2>/dev/null\n"
                             "        _impinge_words \"$(_impinge_inputs \"$calculation\")\"\n"
                             "    elif [[ -n $ids && -z $calculation ]]; then _impinge_words \"$ids\"\n"
                             "    elif [[ -n $pattern ]]; then _impinge_files \"$pattern\"\n"
                             "    fi\n"
                             "}\n\n"
                             "complete -F _impinge impinge\n";

void write_bash(output *out)
{
    output_text(out, "# bash completion of impinge, written by the build from the program's own tables.\n\n");
    output_text(out, "_impinge_commands=\"");
    for (const command_row *row = command_rows(); row->name != NULL; row++)
        output_format(out, "%s%s", row > command_rows() ? " " : "", row->name);
    output_text(out, "\"\n_impinge_ids=\"");
    write_ids(out);
    output_text(out, "\"\n\n");
    write_inputs(out);
    output_text(out, helpers);
    output_text(out, beginning);
    for (const command_row *row = command_rows(); row->name != NULL; row++)
        write_command(out, row);
    output_text(out, "    *)\n");
    write_options(out, IN_PROGRAM);
    output_text(out,
                "        [[ $current == -* ]] || { _impinge_words \"$_impinge_commands\"; return; }\n        ;;\n");
    output_text(out, ending);
}
