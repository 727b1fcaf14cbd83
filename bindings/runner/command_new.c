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
} template_row;

static const template_row templates[] = {
    {"rule", "rule.lua", ".lua", {"impinge check JOB.json --rules ", ""}},
    {"calculator", "calculator.lua", ".lua", {"impinge calc ", " (and: impinge test FILE)"}},
    {"report", "report.lua", ".lua", {"impinge run ", ""}},
    {"job", "job.json", ".json", {"impinge check ", ""}},
};
enum { TEMPLATE_COUNT = sizeof templates / sizeof templates[0], LONGEST_NAME = 40, MOST_BYTES = 1024 * 1024 };
static const char mark[] = "NEW_NAME"; /* in a template: the name, as an identifier */

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

/* The name in small letters with _ for -, as ids are written. */
static void as_identifier(const char *name, char *identifier, size_t size)
{
    snprintf(identifier, size, "%s", name);
    for (char *at = identifier; *at != '\0'; at++)
        *at = *at == '-' ? '_' : (char)tolower((unsigned char)*at);
}

/* The template's text with the name in the place of every mark. */
static void fill(output *filled, const char *text, const char *identifier)
{
    for (const char *at; (at = strstr(text, mark)) != NULL; text = at + strlen(mark)) {
        output_bytes(filled, text, (size_t)(at - text));
        output_text(filled, identifier);
    }
    output_text(filled, text);
}

static imp_status write_new(const template_row *template, const char *name, const char *path, imp_error *error)
{
    char folder[FOLDER_SIZE], from[FOLDER_SIZE + 64], identifier[LONGEST_NAME + 1];
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
    as_identifier(name, identifier, sizeof identifier);
    output_init(&filled, NULL, "never");
    fill(&filled, text, identifier);
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
    return EXIT_OK;
}
