/* The JSON Schemas in scripts/schema/ are what the field tables say today. */
#include "support.h"

#include <cjson/cJSON.h>
#include <stdio.h>
#include <stdlib.h>

#include "failing_memory.h"
#include "file.h"
#include "json_scan.h"
#include "schema.h"

enum { FILE_LIMIT = 1 << 24 };

static void the_kept_schemas_are_those_of_the_field_tables(void **state)
{
    (void)state;
    for (int kind = 0; kind < IMP_DOCUMENT_KIND_COUNT; kind++) {
        char path[600], *kept = NULL, *written = NULL;
        size_t kept_length = 0, length = 0;
        const char *name = imp_document_name((imp_document_kind)kind);
        snprintf(path, sizeof path, IMP_SOURCE_FOLDER "/scripts/schema/%s.schema.json", name);
        assert_int_equal(imp_schema_write((imp_document_kind)kind, NULL, &written, &length, NULL), IMP_OK);
        assert_int_equal(imp_file_read(path, FILE_LIMIT, NULL, &kept, &kept_length, NULL), IMP_OK);
        if (kept_length != length || memcmp(kept, written, length) != 0)
            fail_msg("%s is out of date: write it again with print_schema %s", path, name);
        imp_release(NULL, kept);
        imp_release(NULL, written);
    }
}

static void a_schema_is_strict_json_itself(void **state)
{
    (void)state;
    for (int kind = 0; kind < IMP_DOCUMENT_KIND_COUNT; kind++) {
        char *text = NULL;
        size_t length = 0;
        imp_json_scan scan;
        imp_issues issues;
        imp_issues_init(&issues, NULL);
        assert_int_equal(imp_schema_write((imp_document_kind)kind, NULL, &text, &length, NULL), IMP_OK);
        assert_int_equal(strlen(text), length);
        assert_int_equal(imp_json_scan_text("schema", text, length, NULL, &scan, &issues), IMP_OK);
        imp_json_scan_free(&scan);
        imp_issues_free(&issues);
        imp_release(NULL, text);
    }
}

/* Every row is a property, and nothing else is. */
static void match_rows(const imp_param *rows, const cJSON *schema)
{
    const cJSON *properties = cJSON_GetObjectItemCaseSensitive(schema, "properties");
    int count = 0;
    assert_true(cJSON_IsFalse(cJSON_GetObjectItemCaseSensitive(schema, "additionalProperties")));
    for (; rows->name != NULL; rows++, count++) {
        const cJSON *property = cJSON_GetObjectItemCaseSensitive(properties, rows->name);
        assert_non_null(property);
        const cJSON *description = cJSON_GetObjectItemCaseSensitive(property, "description");
        assert_true(strncmp(description->valuestring, rows->help, strlen(rows->help)) == 0);
        if (rows->kind == IMP_RECORD)
            match_rows(rows->rows, property);
        if (rows->kind == IMP_TABLE)
            match_rows(rows->rows, cJSON_GetObjectItemCaseSensitive(property, "items"));
    }
    assert_int_equal(count, cJSON_GetArraySize(properties));
}

static void every_field_is_described_and_nothing_else_is_allowed(void **state)
{
    (void)state;
    for (int kind = 0; kind < IMP_DOCUMENT_KIND_COUNT; kind++) {
        char *text = NULL;
        size_t length = 0;
        assert_int_equal(imp_schema_write((imp_document_kind)kind, NULL, &text, &length, NULL), IMP_OK);
        cJSON *schema = cJSON_ParseWithLength(text, length);
        assert_non_null(schema);
        match_rows(imp_document_rows((imp_document_kind)kind), schema);
        cJSON_Delete(schema);
        imp_release(NULL, text);
    }
}

static void lack_of_memory_is_reported(void **state)
{
    (void)state;
    imp_status status = IMP_MEMORY;
    long n = 0;
    for (; status == IMP_MEMORY; n++) {
        long left = n;
        const imp_allocator allocator = {fail_at, &left};
        char *text = NULL;
        size_t length = 0;
        status = imp_schema_write(IMP_JOB, &allocator, &text, &length, NULL);
        assert_true((status == IMP_OK) == (text != NULL));
        imp_release(&allocator, text);
    }
    assert_int_equal(status, IMP_OK);
    assert_true(n > 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_kept_schemas_are_those_of_the_field_tables),
        cmocka_unit_test(a_schema_is_strict_json_itself),
        cmocka_unit_test(every_field_is_described_and_nothing_else_is_allowed),
        cmocka_unit_test(lack_of_memory_is_reported),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
