/* Prints the JSON Schema of one kind of document: print_schema material|rig|job. Its output is kept in scripts/schema/.
 */
#include <stdio.h>
#include <string.h>

#include "schema.h"

int main(int count, char **arguments)
{
    for (int kind = 0; count == 2 && kind < IMP_DOCUMENT_KIND_COUNT; kind++) {
        char *text = NULL;
        size_t length = 0;
        if (strcmp(arguments[1], imp_document_name((imp_document_kind)kind)) != 0)
            continue;
        if (imp_schema_write((imp_document_kind)kind, NULL, &text, &length, NULL) != IMP_OK)
            return 1;
        const int written = fwrite(text, 1, length, stdout) == length && fflush(stdout) == 0;
        imp_release(NULL, text);
        return written ? 0 : 1;
    }
    fprintf(stderr, "usage: print_schema material|rig|job\n");
    return 2;
}
