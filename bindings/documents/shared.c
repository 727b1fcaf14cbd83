/* What the writers of documents share. */
#include <stdio.h>
#include <string.h>

#include "documents.h"

imp_status finish_file(output *text, const char *folder, const char *name, imp_error *error)
{
    char path[4096];
    const int length = snprintf(path, sizeof path, "%s/%s", folder, name);
    imp_status status;
    if (length < 0 || (size_t)length >= sizeof path)
        status = imp_fail(error, IMP_LIMIT, folder, "the folder's name is too long");
    else
        status = output_finish(text, path, error);
    output_free(text);
    return status;
}

const char *collected_text(output *text)
{
    output_bytes(text, "", 1);
    if (text->out_of_memory)
        return "";
    text->length--; /* the end is not part of it */
    return text->text;
}

argument_kind argument_kind_of(const command_row *command)
{
    static const struct {
        const char *end, *pattern;
    } files[] = {{".json", "*.json"}, {".lua", "*.lua"}, {".csv", "*.csv"}, {"FILE", "*"}};
    argument_kind kind = {.calculation = strncmp(command->arguments, "ID", 2) == 0,
                          .inputs = strstr(command->arguments, "NAME=VALUE") != NULL};
    for (size_t i = 0; i < sizeof files / sizeof files[0] && kind.pattern == NULL; i++)
        if (strstr(command->arguments, files[i].end) != NULL)
            kind.pattern = files[i].pattern;
    return kind;
}
