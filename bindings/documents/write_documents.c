/* The program that writes impinge's documents while it is built:
 *   write_documents man FOLDER
 *   write_documents completions FOLDER
 *   write_documents stubs FOLDER FUNCTIONS.lua
 *   write_documents manual FOLDER RUNNER REFERENCE_FOLDER STYLE.lua STUBS.lua */
#include <stdio.h>
#include <string.h>

#include "documents.h"

static imp_status write_one(int count, char **arguments, imp_error *error)
{
    const char *what = count > 1 ? arguments[1] : "";
    if (strcmp(what, "man") == 0 && count == 3)
        return write_man_pages(arguments[2], error);
    if (strcmp(what, "completions") == 0 && count == 3)
        return write_completions(arguments[2], error);
    if (strcmp(what, "stubs") == 0 && count == 4)
        return write_stubs(arguments[2], arguments[3], error);
    if (strcmp(what, "manual") == 0 && count == 7) {
        const manual_sources sources = {
            .runner = arguments[3], .references = arguments[4], .style = arguments[5], .stubs = arguments[6]};
        return write_manual(arguments[2], &sources, error);
    }
    return imp_fail(error, IMP_SYNTAX, NULL, "expected man, completions, stubs or manual, a folder, and the sources");
}

int main(int count, char **arguments)
{
    imp_error error;
    char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE];
    if (write_one(count, arguments, &error) == IMP_OK)
        return 0;
    fprintf(stderr, "write_documents: %s\n", imp_error_text(&error, text, sizeof text));
    return 1;
}
