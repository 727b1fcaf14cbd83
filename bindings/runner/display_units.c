#include "display_units.h"

#include <cjson/cJSON.h>
#include <stdio.h>
#include <string.h>

#include "exit_code.h"
#include "file.h"
#include "json_scan.h"
#include "memory.h"
#include "unit.h"

enum { MOST_BYTES = 64 * 1024 };

static bool is_system(const char *text)
{
    return strcmp(text, "si") == 0 || strcmp(text, "us") == 0;
}

static int refuse(const char *path, const char *place, const char *message, const char *more)
{
    fprintf(stderr, "%s: %s%s%s%s\n", path, place, place[0] != '\0' ? ": " : "", message, more);
    return EXIT_INPUT;
}

/* Both are units, and of the same kind. */
static int check_pair(const char *path, const char *from, const char *to)
{
    char place[80];
    imp_unit units[2];
    imp_converter converter;
    imp_error error;
    snprintf(place, sizeof place, "show.%.60s", from);
    if (imp_unit_parse(from, strlen(from), &units[0], &error) != IMP_OK ||
        imp_unit_parse(to, strlen(to), &units[1], &error) != IMP_OK ||
        imp_unit_converter(&units[0], &units[1], &converter, &error) != IMP_OK)
        return refuse(path, place, error.message, "");
    if (units[0].is_reading != units[1].is_reading)
        return refuse(path, place, "a reading of temperature cannot be shown as a difference, nor the other way round", "");
    return EXIT_OK;
}

static int take_pairs(const char *path, cJSON *show, display_units *units)
{
    const int count = cJSON_GetArraySize(show);
    units->pairs = imp_allocate(NULL, 2 * (size_t)count + 1, sizeof *units->pairs);
    if (units->pairs == NULL)
        return complain_memory();
    size_t length = 1;
    for (const cJSON *item = show->child; item != NULL; item = item->next)
        length += strlen(item->string) + (cJSON_IsString(item) ? strlen(item->valuestring) : 0) + 2;
    units->text = imp_allocate(NULL, length, 1);
    if (units->text == NULL)
        return complain_memory();
    char *to = units->text;
    for (const cJSON *item = show->child; item != NULL; item = item->next) {
        if (!cJSON_IsString(item))
            return refuse(path, "show", "expected a unit in quotes for each unit, such as \"bar\": \"kPa\"", "");
        const int code = check_pair(path, item->string, item->valuestring);
        if (code != EXIT_OK)
            return code;
        for (int side = 0; side < 2; side++) {
            const char *text = side == 0 ? item->string : item->valuestring;
            const size_t size = strlen(text) + 1;
            units->pairs[units->count++] = memcpy(to, text, size);
            to += size;
        }
    }
    return EXIT_OK;
}

static int take_document(const char *path, cJSON *root, display_units *units)
{
    static const char *const known[] = {"impinge", "kind", "name", "note", "base", "show"};
    if (!cJSON_IsObject(root))
        return refuse(path, "", "expected a document in braces", "");
    for (const cJSON *item = root->child; item != NULL; item = item->next) {
        size_t i = 0;
        while (i < sizeof known / sizeof *known && strcmp(known[i], item->string) != 0)
            i++;
        if (i == sizeof known / sizeof *known)
            return refuse(path, item->string, "unknown key; expected base and show", "");
    }
    const cJSON *version = cJSON_GetObjectItemCaseSensitive(root, "impinge");
    if (version != NULL && !(cJSON_IsNumber(version) && version->valuedouble == IMP_DOCUMENT_VERSION))
        return refuse(path, "impinge", "expected the version 1", "");
    const cJSON *kind = cJSON_GetObjectItemCaseSensitive(root, "kind");
    if (kind != NULL && !(cJSON_IsString(kind) && strcmp(kind->valuestring, "units") == 0))
        return refuse(path, "kind", "expected \"units\"", "");
    const cJSON *base = cJSON_GetObjectItemCaseSensitive(root, "base");
    if (base != NULL && !(cJSON_IsString(base) && is_system(base->valuestring)))
        return refuse(path, "base", "expected \"si\" or \"us\"", "");
    units->base = base != NULL && strcmp(base->valuestring, "us") == 0 ? "us" : "si";
    cJSON *show = cJSON_GetObjectItemCaseSensitive(root, "show");
    if (!cJSON_IsObject(show))
        return refuse(path, "show", "missing: expected which unit is shown as which, such as {\"bar\": \"kPa\"}", "");
    return take_pairs(path, show, units);
}

/* Strictly JSON, or every fault told. */
static int scan(const char *path, const char *text, size_t length)
{
    imp_json_scan found;
    imp_issues issues;
    imp_issues_init(&issues, NULL);
    const imp_status status = imp_json_scan_text(path, text, length, NULL, &found, &issues);
    for (size_t i = 0; i < issues.count; i++) {
        char line[2048];
        fprintf(stderr, "%s\n", imp_issue_text(&issues.items[i], line, sizeof line));
    }
    imp_json_scan_free(&found);
    imp_issues_free(&issues);
    return status == IMP_OK ? EXIT_OK : status == IMP_MEMORY ? complain_memory() : EXIT_INPUT;
}

static int read_units(const char *path, display_units *units)
{
    imp_error error;
    char *text = NULL;
    size_t length = 0;
    const imp_status status = imp_file_read(path, MOST_BYTES, NULL, &text, &length, &error);
    if (status == IMP_MEMORY)
        return complain_memory();
    if (status != IMP_OK)
        return refuse(path, "", error.message, "; units are \"si\", \"us\" or the name of a file");
    int code = scan(path, text, length);
    if (code == EXIT_OK) {
        cJSON *root = cJSON_ParseWithLength(text, length);
        code = root == NULL ? complain_memory() : take_document(path, root, units);
        cJSON_Delete(root);
    }
    imp_release(NULL, text);
    return code;
}

int display_units_find(const char *given, const char *job_path, const imp_node *job, display_units *units)
{
    *units = (display_units){.base = NULL};
    const imp_node *own = job != NULL ? imp_node_find(job, "display_units", NULL) : NULL;
    const char *wanted = given != NULL ? given : own != NULL && own->given ? own->text : NULL;
    if (wanted == NULL)
        return EXIT_OK;
    if (is_system(wanted)) {
        units->base = strcmp(wanted, "us") == 0 ? "us" : "si";
        return EXIT_OK;
    }
    const char *slash = given == NULL ? strrchr(job_path, '/') : NULL;
    const size_t folder = slash != NULL ? (size_t)(slash - job_path) + 1 : 0;
    const size_t size = folder + strlen(wanted) + 1;
    char *path = imp_allocate(NULL, size, 1);
    if (path == NULL)
        return complain_memory();
    snprintf(path, size, "%.*s%s", (int)folder, job_path, wanted);
    const int code = read_units(path, units);
    imp_release(NULL, path);
    return code;
}

void display_units_free(display_units *units)
{
    imp_release(NULL, (void *)units->pairs);
    imp_release(NULL, units->text);
    *units = (display_units){.base = NULL};
}
