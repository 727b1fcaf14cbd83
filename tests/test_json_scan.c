/* The strict look at JSON text: what it accepts and refuses, where it says values stand, and that cJSON agrees. */
#include "support.h"

#include <cjson/cJSON.h>
#include <dirent.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>

#include "failing_memory.h"
#include "file.h"
#include "json_scan.h"

enum { FILE_LIMIT = 1 << 24 };

static imp_status scan_bytes(const char *text, size_t length, imp_json_scan *scan, imp_issues *issues)
{
    imp_issues_init(issues, NULL);
    return imp_json_scan_text("x.json", text, length, NULL, scan, issues);
}

static bool accepts_bytes(const char *text, size_t length)
{
    imp_json_scan scan;
    imp_issues issues;
    const imp_status status = scan_bytes(text, length, &scan, &issues);
    assert_true((status == IMP_OK) == (issues.count == 0));
    imp_json_scan_free(&scan);
    imp_issues_free(&issues);
    return status == IMP_OK;
}

static bool accepts(const char *text)
{
    return accepts_bytes(text, strlen(text));
}

/* RFC 8259, section 13: its three examples. */
static const char *const rfc_examples[] = {
    "{\n  \"Image\": {\n    \"Width\":  800,\n    \"Height\": 600,\n    \"Title\":  \"View from 15th Floor\",\n"
    "    \"Thumbnail\": {\n      \"Url\":    \"http://www.example.com/image/481989943\",\n      \"Height\": 125,\n"
    "      \"Width\":  100\n    },\n    \"Animated\" : false,\n    \"IDs\": [116, 943, 234, 38793]\n  }\n}",
    "[\n  {\n    \"precision\": \"zip\",\n    \"Latitude\":  37.7668,\n    \"Longitude\": -122.3959,\n    \"Address\": "
    "  \"\",\n"
    "    \"City\":      \"SAN FRANCISCO\",\n    \"State\":     \"CA\",\n    \"Zip\":       \"94107\",\n    "
    "\"Country\":   \"US\"\n  }\n]",
    "\"Hello world!\"",
    "42",
    "true",
};

static const char *const accepted[] = {
    "{}",
    "[]",
    "0",
    "-0",
    "-0.0e-0",
    "1e5",
    "1E+5",
    "0.5",
    "10",
    "null",
    "false",
    " \t\r\n[ ] \t\r\n",
    "\"\"",
    "\"\\\"\\\\\\/\\b\\f\\n\\r\\t\\u00e9\\ud83d\\ude00\"",
    "\"\x7f\"",
    "{\"a\":{\"a\":1},\"b\":[{\"a\":1},{\"a\":2}]}",
    "{\"\":0,\"a\":0,\"aa\":0,\"A\":0}",
    "[[],{},[[]]]",
    "9007199254740991",
    "-9007199254740991",
    "1.7976931348623157e308",
    "1e-400",
    "123456789012345678901234567890e0",
};

/* RFC 8259 refuses these, or we do (json_scan.h). */
static const char *const refused[] = {
    "",
    " ",
    "{",
    "}",
    "[",
    "]",
    "[1,]",
    "[,1]",
    "{,}",
    "{\"a\":1,}",
    "{\"a\"}",
    "{\"a\":}",
    "{\"a\" 1}",
    "{a:1}",
    "{'a':1}",
    "{1:1}",
    "[1 2]",
    "[1]]",
    "[1][2]",
    "{}x",
    "01",
    "-01",
    "00",
    "1.",
    ".5",
    "+1",
    "-",
    "--1",
    "1e",
    "1e+",
    "1.e5",
    "0x10",
    "1_000",
    "1,5",
    "NaN",
    "Infinity",
    "-Infinity",
    "nan",
    "True",
    "TRUE",
    "nul",
    "nulll",
    "truefalse",
    "\"",
    "\"a",
    "\"\\\"",
    "\"\\x41\"",
    "\"\\u12\"",
    "\"\\u12g4\"",
    "\"\\u0000\"",
    "\"\\ud800\"",
    "\"\\udc00\"",
    "\"\\ud800\\ud800\"",
    "\"\\ud800x\"",
    "\"\\ud800\\u0041\"",
    "\"a\tb\"",
    "\"a\nb\"",
    "\"a\x01"
    "b\"",
    "/* c */ 1",
    "1 // c",
    "# c\n1",
    "[1]\f",
    "\v[1]",
    "1e999",
    "-1e999",
    "9007199254740992",
    "-9007199254740993",
    "{\"a\":1,\"a\":2}",
    "{\"a\":1,\"\\u0061\":2}",
    "\xEF\xBB\xBF{}",
    "{}\xEF\xBB\xBF",
};

static void grammar_of_rfc_8259_is_held(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rfc_examples / sizeof rfc_examples[0]; i++)
        if (!accepts(rfc_examples[i]))
            fail_msg("refused: %s", rfc_examples[i]);
    for (size_t i = 0; i < sizeof accepted / sizeof accepted[0]; i++)
        if (!accepts(accepted[i]))
            fail_msg("refused: %s", accepted[i]);
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++)
        if (accepts(refused[i]))
            fail_msg("accepted: %s", refused[i]);
    assert_false(accepts_bytes("[1]\0", 4));
    assert_false(accepts_bytes("\"a\0b\"", 5));
    assert_false(accepts_bytes("[1, \0 2]", 8));
}

/* The Unicode Standard, table 3-7 (well-formed UTF-8 byte sequences): the first and last of each row, and their
 * neighbours on the outside. */
static void utf8_is_that_of_unicode_table_3_7(void **state)
{
    (void)state;
    static const char *const good[] = {"\xC2\x80",         "\xDF\xBF",         "\xE0\xA0\x80",     "\xE0\xBF\xBF",
                                       "\xE1\x80\x80",     "\xEC\xBF\xBF",     "\xED\x80\x80",     "\xED\x9F\xBF",
                                       "\xEE\x80\x80",     "\xEF\xBF\xBF",     "\xF0\x90\x80\x80", "\xF0\xBF\xBF\xBF",
                                       "\xF1\x80\x80\x80", "\xF3\xBF\xBF\xBF", "\xF4\x80\x80\x80", "\xF4\x8F\xBF\xBF"};
    static const char *const bad[] = {"\x80",
                                      "\xBF",
                                      "\xC0\x80",
                                      "\xC1\xBF",
                                      "\xC2",
                                      "\xC2\x7F",
                                      "\xC2\xC0",
                                      "\xE0\x9F\xBF",
                                      "\xE0\x80\x80",
                                      "\xE1\x80",
                                      "\xE1\x7F\x80",
                                      "\xE1\x80\xC0",
                                      "\xED\xA0\x80",
                                      "\xED\xBF\xBF",
                                      "\xF0\x8F\xBF\xBF",
                                      "\xF0\x90\x80",
                                      "\xF4\x90\x80\x80",
                                      "\xF5\x80\x80\x80",
                                      "\xF8\x88\x80\x80\x80",
                                      "\xFE",
                                      "\xFF"};
    char text[16];
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        snprintf(text, sizeof text, "\"%s\"", good[i]);
        assert_true(accepts(text));
    }
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        snprintf(text, sizeof text, "\"%s\"", bad[i]);
        assert_false(accepts(text));
        assert_false(accepts_bytes(text, 1 + strlen(bad[i]))); /* cut off at the end of the file */
    }
}

/* ---- limits ---- */

static bool accepts_nested(size_t depth, const char *open, const char *close, const char *inside)
{
    char text[1024] = "";
    for (size_t i = 0; i < depth; i++)
        strcat(text, open);
    strcat(text, inside);
    for (size_t i = 0; i < depth; i++)
        strcat(text, close);
    return accepts(text);
}

static void thirty_two_levels_are_the_deepest(void **state)
{
    (void)state;
    assert_true(accepts_nested(32, "[", "]", ""));
    assert_false(accepts_nested(33, "[", "]", ""));
    assert_true(accepts_nested(32, "{\"a\":", "}", "1"));
    assert_false(accepts_nested(33, "{\"a\":", "}", "1"));
    char *bomb = malloc(1 << 20); /* the scan does not follow it down */
    memset(bomb, '[', 1 << 20);
    assert_false(accepts_bytes(bomb, 1 << 20));
    free(bomb);
}

static void size_values_and_digits_have_their_limits(void **state)
{
    (void)state;
    const size_t longest = IMP_JSON_LONGEST;
    char *text = malloc(longest + 1);
    memset(text, ' ', longest + 1);
    text[0] = '7';
    assert_true(accepts_bytes(text, longest));
    assert_false(accepts_bytes(text, longest + 1));
    const size_t most = IMP_JSON_MOST_VALUES;
    text[0] = '[';
    for (size_t i = 0; i < most; i++)
        memcpy(text + 1 + 2 * i, "1,", 2);
    text[2 * (most - 1)] = ']'; /* the list itself is a value too */
    assert_true(accepts_bytes(text, 2 * (most - 1) + 1));
    text[2 * (most - 1)] = ',';
    text[2 * most] = ']';
    assert_false(accepts_bytes(text, 2 * most + 1));
    free(text);
    char number[80] = "0.";
    memset(number + 2, '3', 58);
    assert_true(accepts_bytes(number, 60));
    number[60] = '3';
    assert_false(accepts_bytes(number, 61));
}

static void a_hundred_thousand_keys_are_compared_quickly_and_the_one_repeated_is_found(void **state)
{
    (void)state;
    const int keys = 100000;
    char *text = malloc((size_t)keys * 16 + 64);
    size_t used = 0;
    text[used++] = '{';
    for (int i = 0; i < keys; i++)
        used += (size_t)sprintf(text + used, "\"k%d\":%d,\n", i, i);
    used += (size_t)sprintf(text + used, "\"k777\":0}");
    imp_json_scan scan;
    imp_issues issues;
    assert_int_equal(scan_bytes(text, used, &scan, &issues), IMP_SYNTAX);
    assert_true(scan.readable);
    assert_int_equal(issues.count, 1);
    assert_string_equal(issues.items[0].place, "k777");
    assert_string_equal(issues.items[0].message, "this key stands twice; it is already in line 778");
    assert_int_equal(issues.items[0].line, keys + 1);
    imp_json_scan_free(&scan);
    imp_issues_free(&issues);
    free(text);
}

/* ---- places ---- */

static void lines_and_columns_count_characters(void **state)
{
    (void)state;
    const char *text = "{\"\xC3\xB6\": 1,\r\n  \"b\":\t[true,\r\"x\"],\n\n\"c\": {}}";
    imp_json_scan scan;
    imp_issues issues;
    assert_int_equal(scan_bytes(text, strlen(text), &scan, &issues), IMP_OK);
    static const struct {
        unsigned line, column, key_line, key_column;
        size_t span;
    } wanted[] = {{1, 1, 0, 0, 6}, {1, 7, 1, 2, 1}, {2, 8, 2, 3, 3}, {2, 9, 0, 0, 1}, {3, 1, 0, 0, 1}, {5, 6, 5, 1, 1}};
    assert_int_equal(scan.count, sizeof wanted / sizeof wanted[0]);
    for (size_t i = 0; i < scan.count; i++) {
        assert_int_equal(scan.places[i].line, wanted[i].line);
        assert_int_equal(scan.places[i].column, wanted[i].column);
        assert_int_equal(scan.places[i].key_line, wanted[i].key_line);
        assert_int_equal(scan.places[i].key_column, wanted[i].key_column);
        assert_int_equal(scan.places[i].span, wanted[i].span);
    }
    imp_json_scan_free(&scan);
    imp_issues_free(&issues);
}

/* Every node of the tree has its place: the same kind of value at that byte, and the same number of values inside. */
static size_t match_places(const cJSON *item, const imp_json_scan *scan, size_t at, const char *text)
{
    assert_true(at < scan->count);
    const imp_json_place *place = &scan->places[at];
    const char first = text[place->start];
    assert_true(place->start < place->end);
    if (cJSON_IsObject(item))
        assert_true(first == '{' && text[place->end - 1] == '}');
    else if (cJSON_IsArray(item))
        assert_true(first == '[' && text[place->end - 1] == ']');
    else if (cJSON_IsString(item))
        assert_true(first == '"' && text[place->end - 1] == '"' &&
                    place->end - place->start >= strlen(item->valuestring) + 2);
    else if (cJSON_IsNumber(item))
        assert_true(first == '-' || (first >= '0' && first <= '9'));
    else
        assert_true(first == (cJSON_IsTrue(item) ? 't' : cJSON_IsFalse(item) ? 'f' : 'n'));
    size_t next = at + 1;
    for (const cJSON *child = item->child; child != NULL; child = child->next)
        next = match_places(child, scan, next, text);
    assert_int_equal(next, at + place->span);
    return next;
}

/* What the scan accepts, cJSON accepts, and only blanks follow what it consumes. Returns whether it was accepted. */
static bool hold_invariant(const char *text, size_t length)
{
    imp_json_scan scan;
    imp_issues issues;
    char *exact = malloc(length > 0 ? length : 1); /* so that the sanitizer sees any read beyond the end */
    memcpy(exact, text, length);
    const bool accepted_here = scan_bytes(exact, length, &scan, &issues) == IMP_OK;
    if (scan.readable) {
        const char *end = NULL;
        cJSON *tree = cJSON_ParseWithLengthOpts(exact, length, &end, 0);
        if (tree == NULL)
            fail_msg("cJSON refuses: %.*s", (int)length, exact);
        for (; end < exact + length; end++)
            assert_true(*end == ' ' || *end == '\t' || *end == '\r' || *end == '\n');
        assert_int_equal(match_places(tree, &scan, 0, exact), scan.count);
        cJSON_Delete(tree);
    }
    imp_json_scan_free(&scan);
    imp_issues_free(&issues);
    free(exact);
    return accepted_here;
}

static uint32_t next_random(uint64_t *seed)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u; /* Knuth's MMIX generator */
    return (uint32_t)(*seed >> 33);
}

/* Change a few bytes: replace, remove, repeat or insert one that matters to JSON. */
static size_t mutate(char *text, size_t length, size_t size, uint64_t *seed)
{
    static const char bytes[] = "{}[]\",:\\u0019.-+eE tnfd8\n\t\x01\x80\xC3\xEF/";
    for (uint32_t changes = 1 + next_random(seed) % 3; changes > 0 && length > 1; changes--) {
        const size_t at = next_random(seed) % length;
        const char byte = bytes[next_random(seed) % (sizeof bytes - 1)];
        switch (next_random(seed) % 4) {
        case 0:
            text[at] = byte;
            break;
        case 1:
            memmove(text + at, text + at + 1, length - at - 1);
            length--;
            break;
        default:
            if (length < size) {
                memmove(text + at + 1, text + at, length - at);
                text[at] = next_random(seed) % 2 == 0 ? byte : text[at + 1];
                length++;
            }
        }
    }
    return length;
}

static void what_the_scan_accepts_cjson_accepts_and_consumes_whole(void **state)
{
    (void)state;
    enum { ROUNDS = 1200, SIZE = 4096 };
    uint64_t seed = 20310417;
    char *text = malloc(SIZE);
    size_t tried = 0, accepted_count = 0;
    for (size_t i = 0; i < sizeof rfc_examples / sizeof rfc_examples[0] + sizeof accepted / sizeof accepted[0]; i++) {
        const size_t examples = sizeof rfc_examples / sizeof rfc_examples[0];
        const char *original = i < examples ? rfc_examples[i] : accepted[i - examples];
        assert_true(hold_invariant(original, strlen(original)));
        for (int round = 0; round < ROUNDS; round++) {
            memcpy(text, original, strlen(original));
            const size_t length = mutate(text, strlen(original), SIZE, &seed);
            accepted_count += hold_invariant(text, length);
            tried++;
        }
    }
    free(text);
    assert_true(accepted_count > tried / 50 && accepted_count < tried); /* both verdicts were met often */
}

static void mutated_documents_hold_the_invariant_too(void **state)
{
    (void)state;
    enum { ROUNDS = 150, SIZE = 1 << 15 };
    uint64_t seed = 7;
    char *copy = malloc(SIZE), path[600];
    size_t accepted_count = 0;
    DIR *directory = opendir(IMP_TESTS_FOLDER "/documents/good");
    assert_non_null(directory);
    for (struct dirent *entry; (entry = readdir(directory)) != NULL;) {
        char *text = NULL;
        size_t length = 0;
        if (strstr(entry->d_name, ".json") == NULL)
            continue;
        snprintf(path, sizeof path, IMP_TESTS_FOLDER "/documents/good/%s", entry->d_name);
        assert_int_equal(imp_file_read(path, FILE_LIMIT, NULL, &text, &length, NULL), IMP_OK);
        assert_true(length < SIZE);
        for (int round = 0; round < ROUNDS; round++) {
            memcpy(copy, text, length);
            const size_t changed = mutate(copy, length, SIZE, &seed);
            accepted_count += hold_invariant(copy, changed);
        }
        imp_release(NULL, text);
    }
    closedir(directory);
    free(copy);
    assert_true(accepted_count > 100);
}

/* ---- lack of memory ---- */

static void each_failing_allocation_is_reported(void **state)
{
    (void)state;
    const char *text = "{\"a\":[1,2,3],\"b\":{\"a\":1,\"a\":2},\"a\":1e999}";
    imp_status status = IMP_MEMORY;
    for (long n = 0; status == IMP_MEMORY; n++) {
        long left = n;
        const imp_allocator allocator = {fail_at, &left};
        imp_json_scan scan;
        imp_issues issues;
        imp_issues_init(&issues, &allocator);
        status = imp_json_scan_text("x.json", text, strlen(text), &allocator, &scan, &issues);
        assert_true(n > 0 || status == IMP_MEMORY);
        if (status != IMP_MEMORY)
            assert_int_equal(issues.count, 3);
        imp_json_scan_free(&scan);
        imp_issues_free(&issues);
    }
    assert_int_equal(status, IMP_SYNTAX);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(grammar_of_rfc_8259_is_held),
        cmocka_unit_test(utf8_is_that_of_unicode_table_3_7),
        cmocka_unit_test(thirty_two_levels_are_the_deepest),
        cmocka_unit_test(size_values_and_digits_have_their_limits),
        cmocka_unit_test(a_hundred_thousand_keys_are_compared_quickly_and_the_one_repeated_is_found),
        cmocka_unit_test(lines_and_columns_count_characters),
        cmocka_unit_test(what_the_scan_accepts_cjson_accepts_and_consumes_whole),
        cmocka_unit_test(mutated_documents_hold_the_invariant_too),
        cmocka_unit_test(each_failing_allocation_is_reported),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
