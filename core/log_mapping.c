#include "log_header.h"

#include <cjson/cJSON.h>
#include <stdio.h>
#include <string.h>

#include "json_scan.h"
#include "log_internal.h"
#include "number.h"

static const char *const keys[] = {"impinge", "separator", "decimal", "time_format", "time_zone", "columns", NULL};
static const char *const row_keys[] = {"header", "name", "unit", NULL};

static imp_status check_keys(const cJSON *object, const char *const *allowed, const char *place, imp_error *error)
{
    for (const cJSON *item = object->child; item != NULL; item = item->next) {
        const char *nearest = NULL;
        int best = 3;
        bool found = false;
        for (int i = 0; allowed[i] != NULL; i++) {
            const int distance = imp_name_distance(item->string, allowed[i], best);
            found = found || strcmp(item->string, allowed[i]) == 0;
            if (distance < best) {
                best = distance;
                nearest = allowed[i];
            }
        }
        if (!found)
            return imp_fail(error, IMP_UNKNOWN, place, "\"%s\" is not known here%s%s%s", item->string,
                            nearest != NULL ? "; did you mean \"" : "", nearest != NULL ? nearest : "",
                            nearest != NULL ? "\"?" : "");
    }
    return IMP_OK;
}

/* A text member; absent: NULL. */
static imp_status take_text(const cJSON *object, const char *key, const char *place, imp_arena *arena, const char **text,
                            imp_error *error)
{
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(object, key);
    *text = NULL;
    if (item == NULL)
        return IMP_OK;
    if (!cJSON_IsString(item))
        return imp_fail(error, IMP_TYPE, place, "expected a text");
    *text = imp_arena_copy_text(arena, item->valuestring, strlen(item->valuestring));
    return *text != NULL ? IMP_OK : imp_fail(error, IMP_MEMORY, place, "out of memory");
}

static imp_status take_row(const cJSON *item, size_t index, imp_arena *arena, imp_log_mapping_row *row, imp_error *error)
{
    char place[64];
    snprintf(place, sizeof place, "columns[%zu]", index + 1);
    if (!cJSON_IsObject(item))
        return imp_fail(error, IMP_TYPE, place, "expected an object with \"header\" and \"name\"");
    imp_status status = check_keys(item, row_keys, place, error);
    const char **const to[] = {&row->header, &row->name, &row->unit};
    for (int i = 0; i < 3 && status == IMP_OK; i++)
        status = take_text(item, row_keys[i], place, arena, to[i], error);
    if (status != IMP_OK)
        return status;
    if (row->header == NULL || row->name == NULL || row->name[0] == '\0')
        return imp_fail(error, IMP_MISSING, place, "expected both \"header\" and \"name\"");
    imp_unit unit;
    imp_error inner;
    if (row->unit != NULL && imp_unit_parse(row->unit, strlen(row->unit), &unit, &inner) != IMP_OK)
        return imp_fail(error, inner.status, place, "unit: %s", inner.message);
    return IMP_OK;
}

static imp_status take_marks(const cJSON *root, imp_log_mapping *mapping, imp_error *error)
{
    const char *text;
    imp_status status = take_text(root, "separator", "separator", &mapping->arena, &text, error);
    if (status == IMP_OK && text != NULL) {
        if (strcmp(text, "tab") != 0 && strcmp(text, "\t") != 0 && strcmp(text, ",") != 0 && strcmp(text, ";") != 0)
            return imp_fail(error, IMP_RANGE, "separator", "expected one of \",\", \";\", \"tab\", got \"%s\"", text);
        mapping->separator = text[0] == 't' ? '\t' : text[0];
    }
    if (status == IMP_OK)
        status = take_text(root, "decimal", "decimal", &mapping->arena, &text, error);
    if (status == IMP_OK && text != NULL) {
        if (strcmp(text, "point") != 0 && strcmp(text, "comma") != 0)
            return imp_fail(error, IMP_RANGE, "decimal", "expected \"point\" or \"comma\", got \"%s\"", text);
        mapping->decimal = text[0] == 'p' ? '.' : ',';
    }
    if (mapping->separator == ',' && mapping->decimal == ',')
        return imp_fail(error, IMP_RANGE, "decimal", "a comma cannot both separate cells and stand in numbers");
    if (status == IMP_OK)
        status = take_text(root, "time_format", "time_format", &mapping->arena, &mapping->time_format, error);
    if (status == IMP_OK && mapping->time_format != NULL) {
        if (strcmp(mapping->time_format, "iso") == 0 || strcmp(mapping->time_format, "seconds") == 0)
            mapping->time_format = NULL; /* what is read anyway */
        else if (strstr(mapping->time_format, "YY") == NULL || strstr(mapping->time_format, "MM") == NULL ||
                 strstr(mapping->time_format, "DD") == NULL || strstr(mapping->time_format, "hh") == NULL)
            return imp_fail(error, IMP_RANGE, "time_format",
                            "expected \"iso\", \"seconds\" or a pattern such as \"DD.MM.YYYY hh:mm:ss\", got \"%s\"",
                            mapping->time_format);
    }
    if (status == IMP_OK)
        status = take_text(root, "time_zone", "time_zone", &mapping->arena, &text, error);
    if (status == IMP_OK && text != NULL) {
        /* read as the zone of a time text, which no more of the time may stand before */
        char whole[64];
        imp_log_clock clock = {.decimal = '.'};
        imp_log_time time;
        const int length = snprintf(whole, sizeof whole, "2000-01-01T00:00:00%.20s", text);
        if (strspn(text, "+-Zz") == 0 || !imp_log_time_read(whole, (size_t)length, &clock, &time) || !time.has_zone)
            return imp_fail(error, IMP_RANGE, "time_zone", "expected an offset such as \"+01:00\" or \"Z\", got \"%s\"", text);
        mapping->has_zone_offset = true;
        mapping->zone_offset = time.zone_offset;
    }
    return status;
}

static imp_status take_document(const cJSON *root, imp_log_mapping *mapping, imp_error *error)
{
    if (!cJSON_IsObject(root))
        return imp_fail(error, IMP_TYPE, NULL, "expected an object");
    imp_status status = check_keys(root, keys, NULL, error);
    if (status != IMP_OK)
        return status;
    const cJSON *version = cJSON_GetObjectItemCaseSensitive(root, "impinge");
    if (!cJSON_IsNumber(version) || version->valuedouble != 1.0)
        return imp_fail(error, IMP_MISSING, "impinge", "expected the format version 1");
    status = take_marks(root, mapping, error);
    if (status != IMP_OK)
        return status;
    const cJSON *list = cJSON_GetObjectItemCaseSensitive(root, "columns");
    if (!cJSON_IsArray(list))
        return imp_fail(error, IMP_MISSING, "columns", "expected a list of {\"header\", \"name\", \"unit\"}");
    const size_t count = (size_t)cJSON_GetArraySize(list);
    imp_log_mapping_row *rows = imp_arena_allocate(&mapping->arena, count, sizeof *rows);
    if (rows == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    mapping->rows = rows;
    for (const cJSON *item = list->child; item != NULL && status == IMP_OK; item = item->next) {
        status = take_row(item, mapping->count, &mapping->arena, &rows[mapping->count], error);
        mapping->count++;
    }
    return status;
}

imp_status imp_log_mapping_read(const char *text, size_t length, const imp_allocator *allocator, imp_log_mapping *mapping,
                                imp_error *error)
{
    imp_issues issues;
    imp_json_scan scan;
    imp_log_mapping found;
    memset(&found, 0, sizeof found);
    imp_arena_init(&found.arena, allocator);
    imp_issues_init(&issues, allocator);
    imp_status status = imp_json_scan_text("", text, length, allocator, &scan, &issues);
    if (status != IMP_OK && issues.count > 0) {
        char place[64];
        snprintf(place, sizeof place, "line %u, column %u", issues.items[0].line, issues.items[0].column);
        imp_fail(error, status, place, "%s", issues.items[0].message);
    } else if (status != IMP_OK) {
        imp_fail(error, status, NULL, "out of memory");
    }
    imp_json_scan_free(&scan);
    imp_issues_free(&issues);
    if (status != IMP_OK)
        return status;
    cJSON *root = cJSON_ParseWithLength(text, length);
    status = root != NULL ? take_document(root, &found, error) : imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    cJSON_Delete(root);
    if (status == IMP_OK)
        *mapping = found;
    else
        imp_arena_free(&found.arena);
    return status;
}

void imp_log_mapping_free(imp_log_mapping *mapping)
{
    imp_arena_free(&mapping->arena);
    mapping->rows = NULL;
    mapping->count = 0;
}
