/* Man pages, in the man(7) macros, from the table of commands and options. */
#include <stdio.h>
#include <string.h>

#include "documents.h"

/* Text in which nothing is read as a request or an escape; a line end is a line break, an empty line a paragraph. */
static void write_text(output *out, const char *text)
{
    bool at_start = true;
    for (const char *at = text; *at != '\0'; at++) {
        if (*at == '\n') {
            const bool paragraph = at[1] == '\n';
            output_text(out, paragraph ? "\n.PP\n" : "\n.br\n");
            at += paragraph ? 1 : 0;
            at_start = true;
            continue;
        }
        if (at_start && (*at == '.' || *at == '\''))
            output_text(out, "\\&");
        if (*at == '-')
            output_text(out, "\\-");
        else if (*at == '\\')
            output_text(out, "\\e");
        else
            output_bytes(out, at, 1);
        at_start = false;
    }
}

/* A heading. */
static void write_section(output *out, const char *title)
{
    output_format(out, ".SH %s\n", title);
}

static void write_options(output *out, unsigned bit)
{
    write_section(out, "OPTIONS");
    for (const option_row *row = option_rows(); row->name != NULL; row++) {
        if ((row->commands & bit) == 0)
            continue;
        char name[64], help[512];
        output_text(out, ".TP\n.B ");
        write_text(out, option_name_text(row, name, sizeof name));
        output_text(out, "\n");
        write_text(out, option_help_text(row, help, sizeof help));
        output_text(out, "\n");
    }
}

static void write_title(output *out, const char *name, const char *summary)
{
    output_text(out, ".\\\" Written by the build from the program's own tables.\n");
    output_text(out, ".TH \"");
    for (const char *at = name; *at != '\0'; at++) {
        const char capital = *at >= 'a' && *at <= 'z' ? (char)(*at - 'a' + 'A') : *at;
        output_bytes(out, &capital, 1);
    }
    output_format(out, "\" 1 \"\" \"impinge %s\" \"impinge\"\n", IMP_VERSION);
    write_section(out, "NAME");
    output_format(out, "%s \\- ", name);
    write_text(out, summary);
    output_text(out, "\n");
}

/* Each line of the examples as it is typed. */
static void write_examples(output *out, const char *examples)
{
    write_section(out, "EXAMPLES");
    output_text(out, ".nf\n");
    for (const char *at = examples; *at != '\0';) {
        const size_t length = strcspn(at, "\n");
        char line[512];
        snprintf(line, sizeof line, "%.*s", (int)length, at);
        write_text(out, line + strspn(line, " "));
        output_text(out, "\n");
        at += length + (at[length] == '\n' ? 1 : 0);
    }
    output_text(out, ".fi\n");
}

static imp_status write_command(const command_row *command, const char *folder, imp_error *error)
{
    output out;
    char name[64], file[80];
    snprintf(name, sizeof name, "impinge-%s", command->name);
    snprintf(file, sizeof file, "%s.1", name);
    output_init(&out, file, "never");
    write_title(&out, name, command->summary);
    write_section(&out, "SYNOPSIS");
    output_text(&out, ".B ");
    output_format(&out, "impinge %s\n[OPTION]... ", command->name);
    write_text(&out, command->arguments);
    output_text(&out, "\n");
    write_section(&out, "DESCRIPTION");
    write_text(&out, command->description);
    output_text(&out, "\n");
    write_options(&out, command->bit);
    write_examples(&out, command->examples);
    write_section(&out, "NOTES");
    write_text(&out, program_notes());
    output_text(&out, "\n");
    write_section(&out, "SEE ALSO");
    output_text(&out, ".BR impinge (1)\n");
    return finish_file(&out, folder, file, error);
}

static imp_status write_program(const char *folder, imp_error *error)
{
    output out;
    output_init(&out, "impinge.1", "never");
    write_title(&out, "impinge", program_purpose());
    write_section(&out, "SYNOPSIS");
    output_text(&out, ".B impinge\nCOMMAND [ARGUMENT]...\n");
    write_section(&out, "COMMANDS");
    for (const command_row *row = command_rows(); row->name != NULL; row++) {
        output_format(&out, ".TP\n.BR impinge\\-%s (1)\n", row->name);
        write_text(&out, row->summary);
        output_text(&out, "\n");
    }
    write_options(&out, IN_PROGRAM);
    write_section(&out, "NOTES");
    write_text(&out, program_notes());
    output_text(&out, "\n");
    write_section(&out, "SEE ALSO");
    for (const command_row *row = command_rows(); row->name != NULL; row++)
        output_format(&out, ".BR impinge\\-%s (1)%s\n", row->name, row[1].name != NULL ? "," : "");
    return finish_file(&out, folder, "impinge.1", error);
}

imp_status write_man_pages(const char *folder, imp_error *error)
{
    imp_status status = write_program(folder, error);
    for (const command_row *row = command_rows(); row->name != NULL && status == IMP_OK; row++)
        status = write_command(row, folder, error);
    return status;
}
