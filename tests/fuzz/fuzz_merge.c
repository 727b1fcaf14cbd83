/* Partial results of logs, as they come from other machines, with form feeds between them. They are not trusted; the number that
 * says what was asked is put right, or hardly any would get further. */
#define _GNU_SOURCE
#include "columns_partial.h"
#include "fuzz_log.h"

const char *const fuzz_words[] = {"\"tail\":[", "\"head\":[", "\"tallies\":[", "\"moments\":{", "\"sum\":\"", "\"kept\":[\"", "true",
                                  "null", "9007199254740991", "-1", "1e308", "\"bins\":\"0 1 5 2\"", "\"split\":", "\"due\":", "0",
                                  "\"has_body\":true", "\f", "\"first_stretch\":{", "\"open\":{", "\"rows\":", NULL};

static void set_questions(char *text, size_t length, uint64_t number)
{
    static const char key[] = "\"questions\":\"";
    char digits[17];
    snprintf(digits, sizeof digits, "%016llx", (unsigned long long)number);
    for (size_t i = 0; i + sizeof key - 1 + 16 <= length; i++)
        if (memcmp(text + i, key, sizeof key - 1) == 0)
            memcpy(text + i + sizeof key - 1, digits, 16);
}

static void merge_all(imp_columns *columns, const questions *all, char *text, size_t length)
{
    imp_error error;
    imp_status status = IMP_OK;
    for (char *at = text; at < text + length && status == IMP_OK;) {
        const size_t left = (size_t)(text + length - at);
        const char *end = memchr(at, '\f', left);
        const size_t piece = end != NULL ? (size_t)(end - at) : left;
        set_questions(at, piece, imp_columns_questions(columns));
        status = imp_columns_merge(columns, at, piece, &error);
        at += piece + 1;
    }
    if (status == IMP_OK)
        status = imp_columns_merge_finish(columns, &error);
    if (status == IMP_OK)
        answers_of(columns, all);
    else
        require_error(status, &error);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1);
    imp_log_header header;
    imp_columns *columns = NULL;
    questions all;
    imp_error error;
    if (text == NULL)
        return 0;
    memcpy(text, data, size);
    const char *end = memchr(text, '\f', size);
    const imp_status status = imp_columns_partial_header(text, end != NULL ? (size_t)(end - text) : size, &header, &error);
    if (status != IMP_OK)
        require_error(status, &error);
    else if (imp_columns_create(NULL, &columns, NULL) == IMP_OK && imp_columns_bind(columns, &header, NULL) == IMP_OK &&
             ask_questions(columns, &all, NULL) == IMP_OK)
        merge_all(columns, &all, text, size);
    imp_columns_free(columns);
    free(text);
    return 0;
}
