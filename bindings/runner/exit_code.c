#include "exit_code.h"

#include <stdio.h>

int exit_code_of_script(imp_status status)
{
    switch (status) {
    case IMP_LIMIT:
        return EXIT_LIMIT;
    case IMP_IO:
        return EXIT_INPUT;
    case IMP_MEMORY:
    case IMP_INTERNAL:
        return EXIT_INTERNAL;
    default:
        return EXIT_SCRIPT;
    }
}

int exit_code_of_argument(imp_status status)
{
    return status == IMP_MEMORY || status == IMP_INTERNAL ? EXIT_INTERNAL : EXIT_USAGE;
}

int complain(const imp_error *error, int code)
{
    char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE + 2];
    imp_error_text(error, text, sizeof text);
    fprintf(stderr, "%s%s\n", error->place[0] == '\0' ? "impinge: " : "", text);
    return code;
}

int complain_memory(void)
{
    fputs("impinge: out of memory; close other programs or work on less at once\n", stderr);
    return EXIT_INTERNAL;
}
