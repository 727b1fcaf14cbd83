#include "published_cases.h"

#include <cjson/cJSON.h>
#include <stdio.h>
#include <string.h>

#include "argument.h"
#include "documents.h"
#include "file.h"
#include "number.h"

enum { LARGEST_FILE = 4 * 1024 * 1024, TEXT_SIZE = 160 };

imp_status read_cases(const char *folder, const char *room, cJSON **cases, imp_error *error)
{
    char path[4096];
    char *text = NULL;
    size_t length = 0;
    *cases = NULL;
    snprintf(path, sizeof path, "%s/%s.json", folder, room);
    FILE *there = fopen(path, "rb");
    if (there == NULL)
        return IMP_OK;
    (void)fclose(there);
    const imp_status status = imp_file_read(path, LARGEST_FILE, NULL, &text, &length, error);
    if (status != IMP_OK)
        return status;
    cJSON *document = cJSON_ParseWithLength(text, length);
    imp_release(NULL, text);
    *cases = cJSON_DetachItemFromObjectCaseSensitive(document, "cases");
    cJSON_Delete(document);
    if (*cases == NULL)
        return imp_fail(error, IMP_SYNTAX, path, "no JSON document with \"cases\"");
    return IMP_OK;
}

static const char *member(const cJSON *item, const char *key)
{
    const cJSON *found = cJSON_GetObjectItemCaseSensitive(item, key);
    return cJSON_IsString(found) ? found->valuestring : "";
}

/* A JSON value as a person types it, in the arena. */
static const char *typed(const cJSON *value, imp_arena *arena)
{
    char number[IMP_NUMBER_TEXT_SIZE];
    if (cJSON_IsString(value))
        return value->valuestring;
    if (cJSON_IsNumber(value)) {
        imp_number_write(value->valuedouble, 0, number, sizeof number);
        return imp_arena_copy_text(arena, number, strlen(number));
    }
    char *text = cJSON_PrintUnformatted(value);
    const char *copy = text != NULL ? imp_arena_copy_text(arena, text, strlen(text)) : NULL;
    cJSON_free(text);
    return copy;
}

/* What impinge gives for a case, to as many digits as show the agreement. */
static imp_status evaluate(const imp_calc *calc, const cJSON *item, imp_arena *arena, char *text, size_t size,
                           imp_error *error)
{
    const char *names[IMP_MOST_INPUTS], *texts[IMP_MOST_INPUTS];
    imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
    size_t count = 0, index = 0;
    const cJSON *input;
    cJSON_ArrayForEach(input, cJSON_GetObjectItemCaseSensitive(item, "inputs"))
    {
        if (count == IMP_MOST_INPUTS)
            return imp_fail(error, IMP_LIMIT, calc->id, "too many inputs");
        names[count] = input->string;
        texts[count] = typed(input, arena);
        if (texts[count++] == NULL)
            return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    }
    imp_status status = imp_arguments_read(calc, count, names, texts, arena, in, error);
    if (status == IMP_OK)
        status = imp_calc_evaluate_in(calc, in, out, NULL, arena, error);
    const imp_param *row = imp_calc_output(calc, member(item, "output"), &index);
    snprintf(text, size, "-");
    if (status == IMP_OK && row != NULL && (row->kind == IMP_NUMBER || row->kind == IMP_CHOICE))
        imp_param_format(row, out[index].number, 6, text, size);
    return status;
}

/* "air_temperature = 20 degC, relative_humidity = 50 %" */
static const char *inputs_text(const cJSON *item, imp_arena *arena)
{
    output text;
    const cJSON *input;
    output_init(&text, "", "never");
    cJSON_ArrayForEach(input, cJSON_GetObjectItemCaseSensitive(item, "inputs"))
    {
        const char *value = typed(input, arena);
        output_format(&text, "%s%s = ", input->prev->next == NULL ? "" : ", ", input->string);
        if (value != NULL)
            output_text(&text, value);
        else
            text.out_of_memory = true;
    }
    const char *shown = collected_text(&text);
    const char *copy = text.out_of_memory ? NULL : imp_arena_copy_text(arena, shown, text.length);
    output_free(&text);
    return copy;
}

/* Text inside single quotes of the shell. */
static void write_shell(output *out, const char *text)
{
    output_text(out, "'");
    for (const char *at = text; *at != '\0'; at++)
        output_format(out, *at == '\'' ? "'\\%c'" : "%c", *at);
    output_text(out, "'");
}

const char *case_command(const cJSON *cases, const imp_calc *calc, imp_arena *arena)
{
    const cJSON *item, *input;
    const char *copy = NULL;
    cJSON_ArrayForEach(item, cases)
    {
        if (strcmp(member(item, "entry"), calc->id) != 0)
            continue;
        output text;
        output_init(&text, "", "never");
        output_format(&text, "impinge calc %s", calc->id);
        cJSON_ArrayForEach(input, cJSON_GetObjectItemCaseSensitive(item, "inputs"))
        {
            const char *value = typed(input, arena);
            output_format(&text, " %s=", input->string);
            if (value != NULL)
                write_shell(&text, value);
            else
                text.out_of_memory = true;
        }
        const char *shown = collected_text(&text);
        copy = text.out_of_memory ? NULL : imp_arena_copy_text(arena, shown, text.length);
        output_free(&text);
        break;
    }
    return copy;
}

/* How near it must come: "0.05 K", or "0.1 %" of the value. */
static const char *tolerance_text(const cJSON *item, imp_arena *arena)
{
    const cJSON *relative = cJSON_GetObjectItemCaseSensitive(item, "tolerance_rel");
    const cJSON *absolute = cJSON_GetObjectItemCaseSensitive(item, "tolerance_abs");
    char number[IMP_NUMBER_TEXT_SIZE], text[IMP_NUMBER_TEXT_SIZE + 4];
    if (cJSON_IsNumber(relative)) {
        imp_number_write(100.0 * relative->valuedouble, 6, number, sizeof number);
        snprintf(text, sizeof text, "%s %%", number);
        return imp_arena_copy_text(arena, text, strlen(text));
    }
    return absolute != NULL ? typed(absolute, arena) : "same";
}

static imp_status write_case(paper *page, const imp_calc *calc, const cJSON *item, imp_arena *arena, imp_error *error)
{
    char ours[TEXT_SIZE];
    output source;
    const imp_status status = evaluate(calc, item, arena, ours, sizeof ours, error);
    if (status != IMP_OK) {
        imp_error_prefix(error, member(item, "id"), ": ");
        return status;
    }
    output_init(&source, "", "never");
    output_format(&source, "%s; %s", member(item, "source"), member(item, "how_obtained"));
    if (member(item, "note")[0] != '\0')
        output_format(&source, "; %s", member(item, "note"));
    const char *inputs = inputs_text(item, arena), *tolerance = tolerance_text(item, arena);
    const char *expected = typed(cJSON_GetObjectItemCaseSensitive(item, "expected"), arena);
    const bool whole = !source.out_of_memory && inputs != NULL && tolerance != NULL && expected != NULL;
    if (whole) {
        const char *cells[] = {member(item, "id"),     inputs, member(item, "output"), expected, ours, tolerance,
                               collected_text(&source)};
        paper_row(page, cells, sizeof cells / sizeof cells[0]);
    }
    output_free(&source);
    return whole ? IMP_OK : imp_fail(error, IMP_MEMORY, NULL, "out of memory");
}

imp_status write_cases(paper *page, const cJSON *cases, const imp_calc *calc, imp_error *error)
{
    static const char *const heads[] = {"Case", "Inputs", "Output", "Published", "impinge", "Tolerance", "Source"};
    const cJSON *item;
    bool any = false;
    imp_status status = IMP_OK;
    cJSON_ArrayForEach(item, cases)
    {
        if (strcmp(member(item, "entry"), calc->id) != 0)
            continue;
        if (!any)
            paper_table(page, "Published values that the tests reproduce", heads, sizeof heads / sizeof heads[0]);
        any = true;
        imp_arena arena;
        imp_arena_init(&arena, NULL);
        status = write_case(page, calc, item, &arena, error);
        imp_arena_free(&arena);
        if (status != IMP_OK)
            break;
    }
    if (any)
        paper_table_end(page);
    else
        paper_paragraph(page, "Published values", "none found yet");
    return status;
}
