/* Documents: no input may crash the reader, and what the scan accepts, cJSON accepts and consumes whole. The first byte
 * chooses the kind of document. */
#include <cjson/cJSON.h>

#include "document.h"
#include "fuzz.h"
#include "json_scan.h"

const char *const fuzz_words[] = {"\"impinge\": 1", "\"rig\": {", "\"material\": {", "\"site\": {", "{", "}", "[", "]", ",", ":",
                                  "\"14 degC\"", "\"240 m^2\"", "null", "true", "1e308", "\\u0000", "\\ud800", "\"iso\": {",
                                  "\"viscosity\": [", "\"sections\": [", "\"kind\": \"rig\"", "\"file.json\"", NULL};

static void hold_invariant(const char *text, size_t length)
{
    imp_json_scan scan;
    imp_issues issues;
    imp_issues_init(&issues, NULL);
    if (imp_json_scan_text("fuzz.json", text, length, NULL, &scan, &issues) == IMP_OK) {
        const char *end = NULL;
        cJSON *tree = cJSON_ParseWithLengthOpts(text, length, &end, 0);
        require(tree != NULL, "what the scan accepts, cJSON accepts");
        for (; end < text + length; end++)
            require(*end == ' ' || *end == '\t' || *end == '\r' || *end == '\n', "cJSON consumes all of it");
        cJSON_Delete(tree);
    }
    imp_json_scan_free(&scan);
    imp_issues_free(&issues);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size == 0)
        return 0;
    const char *text = (const char *)data + 1;
    imp_node *root = NULL;
    imp_issues issues;
    hold_invariant(text, size - 1);
    imp_issues_init(&issues, NULL);
    const imp_document_kind kind = (imp_document_kind)(data[0] % IMP_DOCUMENT_KIND_COUNT);
    const imp_status status = imp_document_read(kind, "fuzz.json", text, size - 1, NULL, NULL, &root, &issues);
    require((status == IMP_OK) == (root != NULL), "a document comes with success only");
    require((status == IMP_OK) == (issues.count == 0), "a refusal names a fault");
    imp_node_free(root, NULL);
    imp_issues_free(&issues);
    return 0;
}
