/* impinge new: a commented, working starting point, copied from the program's templates with its name filled in. */
#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "commands.h"
#include "exit_code.h"
#include "file.h"
#include "memory.h"
#include "number.h"
#include "scripts_folder.h"

typedef struct template_row {
    const char *kind;    /* as on the command line */
    const char *file;    /* in scripts/templates */
    const char *ending;  /* of the written file */
    const char *how[2];  /* the commands that run it, around the file's name */
    const char *more;    /* what is still to be filled in; may be NULL */
} template_row;

static const template_row templates[] = {
    {"rule", "rule.lua", ".lua", {"impinge check JOB.json --rules ", ""}, NULL},
    {"calculator", "calculator.lua", ".lua", {"impinge calc ", ""}, NULL},
    {"report", "report.lua", ".lua", {"impinge check JOB.json --report-file ", ""}, NULL},
    {"job", "job.json", ".json", {"impinge check ", " --stage plan"},
     "Its figures are made up: put in your own. Left out, and so not known, are\n"
     "  in the office: supply.breaker, supply.plug, supply.cable.length, work.area, work.thickness, hoses.sections\n"
     "  on site: site.air_temperature, site.relative_humidity, site.surface_temperature, site.wind_speed, site.wood_moisture,\n"
     "           supply.measured_voltage, stock.drum_temperature, measured.dips, and what somebody has seen, under confirmed\n"},
};
enum { TEMPLATE_COUNT = sizeof templates / sizeof templates[0], LONGEST_NAME = 40, MOST_BYTES = 1024 * 1024 };

static const template_row *find_template(const char *kind)
{
    for (size_t i = 0; i < TEMPLATE_COUNT; i++)
        if (strcmp(templates[i].kind, kind) == 0)
            return &templates[i];
    return NULL;
}

static bool is_name(const char *name)
{
    const size_t length = strlen(name);
    const bool right = isalpha((unsigned char)name[0]) && length <= LONGEST_NAME;
    return right && strspn(name, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-") == length;
}

/* What stands in a template for the name: my_rule, my-rule, My-Rule.lua, My-Rule. */
enum { MARK_COUNT = 4, FILLED_SIZE = LONGEST_NAME + 8 };
static const char *const marks[MARK_COUNT] = {"NEW_NAME", "NEW-NAME", "NEW.FILE", "NEW.NAME"};

/* The name in small letters, with one sign for both - and _. */
static void as_identifier(const char *name, char joint, char *identifier)
{
    snprintf(identifier, FILLED_SIZE, "%s", name);
    for (char *at = identifier; *at != '\0'; at++)
        *at = *at == '-' || *at == '_' ? joint : (char)tolower((unsigned char)*at);
}

/* The template's text with what stands for each mark. */
static void fill(output *filled, const char *text, char names[MARK_COUNT][FILLED_SIZE])
{
    const size_t length = strlen(marks[0]); /* all are as long */
    for (const char *at = strstr(text, "NEW"); at != NULL; at = strstr(at, "NEW")) {
        size_t mark = 0;
        while (mark < MARK_COUNT && strncmp(at, marks[mark], length) != 0)
            mark++;
        at += mark < MARK_COUNT ? 0 : 1;
        if (mark == MARK_COUNT)
            continue;
        output_bytes(filled, text, (size_t)(at - text));
        output_text(filled, names[mark]);
        text = at += length;
    }
    output_text(filled, text);
}

static imp_status write_new(const template_row *template, const char *name, const char *path, imp_error *error)
{
    char folder[FOLDER_SIZE], from[FOLDER_SIZE + 64], names[MARK_COUNT][FILLED_SIZE];
    char *text = NULL;
    size_t length = 0;
    output filled;
    imp_status status = find_scripts_folder(folder, sizeof folder, error);
    if (status != IMP_OK)
        return status;
    snprintf(from, sizeof from, "%s/templates/%s", folder, template->file);
    status = imp_file_read(from, MOST_BYTES, NULL, &text, &length, error);
    if (status != IMP_OK) {
        imp_error_prefix(error, from, ": ");
        return status;
    }
    as_identifier(name, '_', names[0]);
    as_identifier(name, '-', names[1]);
    snprintf(names[2], FILLED_SIZE, "%s", path);
    snprintf(names[3], FILLED_SIZE, "%s", name);
    output_init(&filled, NULL, "never");
    fill(&filled, text, names);
    imp_release(NULL, text);
    status = filled.out_of_memory ? imp_fail(error, IMP_MEMORY, NULL, "out of memory")
                                  : imp_file_write_atomic(path, filled.text, filled.length, error);
    output_free(&filled);
    if (status == IMP_IO)
        imp_error_prefix(error, path, ": ");
    return status;
}

int command_new(const options *given, output *out)
{
    imp_error error;
    char path[LONGEST_NAME + 8];
    const char *kind = given->positional[0], *name = given->positional[1];
    const template_row *template = find_template(kind);
    if (template == NULL) {
        imp_fail(&error, IMP_UNKNOWN, "impinge new", "expected rule, calculator, report or job, got \"%s\"", kind);
        return complain(&error, EXIT_USAGE);
    }
    if (!is_name(name)) {
        imp_fail(&error, IMP_SYNTAX, "impinge new",
                 "expected a name of letters, digits, _ and - (at most %d, a letter first), got \"%s\"", LONGEST_NAME, name);
        return complain(&error, EXIT_USAGE);
    }
    snprintf(path, sizeof path, "%s%s", name, template->ending);
    if (access(path, F_OK) == 0) {
        imp_fail(&error, IMP_IO, path, "is there already, and was left as it is; choose another name");
        return complain(&error, EXIT_USAGE);
    }
    const imp_status status = write_new(template, name, path, &error);
    if (status != IMP_OK)
        return complain(&error, EXIT_INTERNAL);
    output_format(out, "%s is written. Run it: %s%s%s\n", path, template->how[0], path, template->how[1]);
    if (template->more != NULL)
        output_text(out, template->more);
    return EXIT_OK;
}
