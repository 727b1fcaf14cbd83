#include "json_scan.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "json_text.h"
#include "number.h"
#include "place_text.h"

/* A key of an object that is still open. */
typedef struct open_key {
    size_t at, length; /* decoded text in the scanner's key buffer */
    unsigned line, column;
    size_t order;
} open_key;

/* One level of nesting, for paths. */
typedef struct level {
    bool is_list;
    size_t item;            /* list: number of the current item, from 1 */
    size_t key, key_length; /* object: current key in the key buffer */
    size_t first_key;       /* object: where its keys begin among the open ones, */
    size_t first_byte;      /* and in the key buffer */
} level;

typedef struct scanner {
    const char *file;
    const unsigned char *text;
    size_t length, at;
    size_t mark; /* byte up to which line and column have been counted */
    unsigned line, column;
    imp_json_scan *scan;
    imp_issues *issues;
    imp_status status; /* of the first fault */
    char *keys;        /* decoded keys of the open objects */
    size_t keys_used;
    open_key *open;
    size_t open_count, open_capacity;
    level levels[IMP_JSON_DEEPEST];
    size_t depth;
} scanner;

/* ---- places and faults ---- */

/* Count line and column forward to byte `to`; it never lies before the mark. */
static void locate(scanner *s, size_t to)
{
    for (; s->mark < to; s->mark++) {
        const unsigned char c = s->text[s->mark];
        const bool next_is_feed = s->mark + 1 < s->length && s->text[s->mark + 1] == '\n';
        if (c == '\n' || (c == '\r' && !next_is_feed)) {
            s->line++;
            s->column = 1;
        } else if ((c & 0xC0u) != 0x80u)
            s->column++;
    }
}

static void write_path(const scanner *s, char *path)
{
    path[0] = '\0';
    for (size_t i = 0; i < s->depth; i++) {
        const level *l = &s->levels[i];
        if (l->is_list)
            imp_path_append_item(path, l->item);
        else if (l->key_length != SIZE_MAX)
            imp_path_append_key(path, s->keys + l->key, l->key_length);
    }
}

static void record(scanner *s, imp_status status, unsigned line, unsigned column, const char *place,
                   const char *message)
{
    const imp_status kept = imp_issues_add(s->issues, status, s->file, line, column, place, "%s", message);
    if (s->status == IMP_OK || kept == IMP_MEMORY)
        s->status = kept;
}

/* A fault of the grammar at byte `at`: the scan ends. Always false. */
static bool fault(scanner *s, size_t at, const char *message)
{
    locate(s, at);
    record(s, IMP_SYNTAX, s->line, s->column, NULL, message);
    return false;
}

static bool no_memory(scanner *s)
{
    s->status = IMP_MEMORY;
    return false;
}

static bool unexpected(scanner *s, const char *expected)
{
    char message[200];
    if (s->at >= s->length)
        snprintf(message, sizeof message, "expected %s, but the text ends here", expected);
    else if (s->text[s->at] == '\n' || s->text[s->at] == '\r')
        snprintf(message, sizeof message, "expected %s, but the line ends here", expected);
    else if (s->text[s->at] < 0x20)
        snprintf(message, sizeof message, "expected %s, found the control character U+%04X", expected,
                 (unsigned)s->text[s->at]);
    else if (s->text[s->at] == '/')
        snprintf(message, sizeof message, "expected %s, found \"/\"; JSON has no comments, the key \"note\" takes them",
                 expected);
    else {
        char shown[8];
        size_t length = 1;
        while (s->at + length < s->length && length < 4 && (s->text[s->at + length] & 0xC0u) == 0x80u)
            length++;
        imp_shown_text((const char *)s->text + s->at, length, 4, shown);
        snprintf(message, sizeof message, "expected %s, found %s%s%s", expected, shown[0] == '"' ? "" : "\"",
                 shown[0] == '"' ? "a text" : shown, shown[0] == '"' ? "" : "\"");
    }
    return fault(s, s->at, message);
}

static bool check_encoding(scanner *s)
{
    const unsigned char *text = s->text;
    if (s->length >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0)
        return fault(s, 0, "the file begins with a byte order mark; save it as UTF-8 without one");
    if (s->length >= 2 && ((text[0] == 0xFF && text[1] == 0xFE) || (text[0] == 0xFE && text[1] == 0xFF)))
        return fault(s, 0, "the file is in UTF-16; save it as UTF-8 without a byte order mark");
    const size_t whole = imp_utf8_prefix(text, s->length);
    return whole == s->length || fault(s, whole, "this is not UTF-8; save the file as UTF-8");
}

/* The string at s->at; decoded text goes to `to` where that is not NULL: never more bytes than the text has. */
static bool scan_string(scanner *s, char *to, size_t *length)
{
    const char *message = imp_json_string(s->text, s->length, &s->at, to, length);
    return message == NULL || fault(s, s->at, message);
}

/* ---- numbers ---- */

static size_t skip_digits(scanner *s)
{
    const size_t start = s->at;
    while (s->at < s->length && s->text[s->at] >= '0' && s->text[s->at] <= '9')
        s->at++;
    return s->at - start;
}

static bool is_at(const scanner *s, char a, char b)
{
    return s->at < s->length && (s->text[s->at] == (unsigned char)a || s->text[s->at] == (unsigned char)b);
}

/* 2^53, which 2^53 + 1 is read as too (RFC 8259, section 6). */
#define FIRST_INEXACT 9007199254740992.0

/* A number of the right form may still be one that cannot be kept. */
static void check_number(scanner *s, size_t start, bool is_integer)
{
    double value = 0.0;
    size_t used = 0;
    imp_number_read((const char *)s->text + start, s->at - start, &value, &used);
    char path[IMP_PLACE_SIZE];
    const imp_json_place *place = &s->scan->places[s->scan->count - 1];
    write_path(s, path);
    if (!isfinite(value))
        record(s, IMP_SYNTAX, place->line, place->column, path, "this number is too large for any quantity");
    else if (is_integer && fabs(value) >= FIRST_INEXACT)
        record(s, IMP_SYNTAX, place->line, place->column, path, "whole numbers from 2^53 on cannot be kept exactly");
}

static bool scan_number(scanner *s)
{
    const size_t start = s->at;
    if (is_at(s, '-', '-'))
        s->at++;
    const size_t whole = s->at;
    const size_t digits = skip_digits(s);
    if (digits == 0)
        return unexpected(s, "a digit");
    if (digits > 1 && s->text[whole] == '0')
        return fault(s, start, "a number may not begin with a superfluous 0");
    bool is_integer = true;
    if (is_at(s, '.', '.')) {
        is_integer = false;
        s->at++;
        if (skip_digits(s) == 0)
            return unexpected(s, "a digit behind the decimal point");
    }
    if (is_at(s, 'e', 'E')) {
        is_integer = false;
        s->at++;
        if (is_at(s, '+', '-'))
            s->at++;
        if (skip_digits(s) == 0)
            return unexpected(s, "a digit in the exponent");
    }
    if (s->at - start > IMP_JSON_MOST_NUMBER)
        return fault(s, start, "a number of more than 60 characters");
    check_number(s, start, is_integer);
    return s->status != IMP_MEMORY;
}

/* ---- structure ---- */

static void skip_blanks(scanner *s)
{
    while (s->at < s->length &&
           (s->text[s->at] == ' ' || s->text[s->at] == '\t' || s->text[s->at] == '\n' || s->text[s->at] == '\r'))
        s->at++;
}

static bool add_place(scanner *s, unsigned key_line, unsigned key_column)
{
    imp_json_scan *scan = s->scan;
    if (scan->count == IMP_JSON_MOST_VALUES)
        return fault(s, s->at, "more than 200000 values in one file");
    if (scan->count == scan->capacity) {
        const size_t capacity = scan->capacity > 0 ? 2 * scan->capacity : 64;
        imp_json_place *places = imp_resize(scan->allocator, scan->places, capacity, sizeof *places);
        if (places == NULL)
            return no_memory(s);
        scan->places = places;
        scan->capacity = capacity;
    }
    locate(s, s->at);
    scan->places[scan->count++] = (imp_json_place){
        .start = s->at, .line = s->line, .column = s->column, .key_line = key_line, .key_column = key_column};
    return true;
}

static bool add_key(scanner *s, size_t length, unsigned line, unsigned column)
{
    level *l = &s->levels[s->depth - 1];
    if (s->open_count == s->open_capacity) {
        const size_t capacity = s->open_capacity > 0 ? 2 * s->open_capacity : 32;
        open_key *open = imp_resize(s->scan->allocator, s->open, capacity, sizeof *open);
        if (open == NULL)
            return no_memory(s);
        s->open = open;
        s->open_capacity = capacity;
    }
    l->key = s->keys_used;
    l->key_length = length;
    s->open[s->open_count] = (open_key){s->keys_used, length, line, column, s->open_count};
    s->open_count++;
    s->keys_used += length;
    return true;
}

/* Order of keys by text, then as they stand; `keys` is the scanner's buffer. */
static bool key_before(const char *keys, const open_key *a, const open_key *b)
{
    const size_t shorter = a->length < b->length ? a->length : b->length;
    const int order = memcmp(keys + a->at, keys + b->at, shorter);
    if (order != 0)
        return order < 0;
    return a->length != b->length ? a->length < b->length : a->order < b->order;
}

static void sift_down(const char *keys, open_key *heap, size_t root, size_t count)
{
    while (2 * root + 1 < count) {
        size_t child = 2 * root + 1;
        if (child + 1 < count && key_before(keys, &heap[child], &heap[child + 1]))
            child++;
        if (!key_before(keys, &heap[root], &heap[child]))
            return;
        const open_key swapped = heap[root];
        heap[root] = heap[child];
        heap[child] = swapped;
        root = child;
    }
}

/* Heap sort: in place, and no list of keys makes it slow. */
static void sort_keys(const char *keys, open_key *open, size_t count)
{
    for (size_t i = count / 2; i > 0; i--)
        sift_down(keys, open, i - 1, count);
    for (size_t i = count; i > 1; i--) {
        const open_key swapped = open[0];
        open[0] = open[i - 1];
        open[i - 1] = swapped;
        sift_down(keys, open, 0, i - 1);
    }
}

/* Report keys that stand more than once in the object that ends here, and forget its keys. */
static bool close_object(scanner *s)
{
    level *l = &s->levels[s->depth - 1];
    const size_t count = s->open_count - l->first_key;
    open_key *own = count > 0 ? s->open + l->first_key : NULL;
    if (count > 1)
        sort_keys(s->keys, own, count);
    for (size_t i = 1; i < count; i++) {
        if (own[i].length != own[i - 1].length ||
            memcmp(s->keys + own[i].at, s->keys + own[i - 1].at, own[i].length) != 0)
            continue;
        char path[IMP_PLACE_SIZE], message[80];
        l->key = own[i].at;
        l->key_length = own[i].length;
        write_path(s, path);
        snprintf(message, sizeof message, "this key stands twice; it is already in line %u", own[i - 1].line);
        record(s, IMP_SYNTAX, own[i].line, own[i].column, path, message);
    }
    s->open_count = l->first_key;
    s->keys_used = l->first_byte;
    return s->status != IMP_MEMORY;
}

static bool scan_value(scanner *s, unsigned key_line, unsigned key_column);

static bool scan_member(scanner *s)
{
    skip_blanks(s);
    if (!is_at(s, '"', '"'))
        return unexpected(s, "a key in quotes");
    locate(s, s->at);
    const unsigned line = s->line, column = s->column;
    size_t length = 0;
    if (!scan_string(s, s->keys + s->keys_used, &length) || !add_key(s, length, line, column))
        return false;
    skip_blanks(s);
    if (!is_at(s, ':', ':'))
        return unexpected(s, "a colon behind the key");
    s->at++;
    return scan_value(s, line, column);
}

static bool scan_item(scanner *s)
{
    s->levels[s->depth - 1].item++;
    return scan_value(s, 0, 0);
}

/* The rest of an object or list behind its opening bracket: members between commas up to `close`. */
static bool scan_members(scanner *s, char close, bool (*scan_one)(scanner *), const char *expected)
{
    skip_blanks(s);
    if (is_at(s, close, close)) {
        s->at++;
        return true;
    }
    for (;;) {
        if (!scan_one(s))
            return false;
        skip_blanks(s);
        if (is_at(s, close, close)) {
            s->at++;
            return true;
        }
        if (!is_at(s, ',', ','))
            return unexpected(s, expected);
        const size_t comma = s->at++;
        skip_blanks(s);
        if (is_at(s, close, close))
            return fault(s, comma, "a comma with nothing behind it; remove it");
    }
}

static bool scan_structure(scanner *s, bool is_list)
{
    if (s->depth == IMP_JSON_DEEPEST)
        return fault(s, s->at, "more than 32 levels of brackets");
    s->levels[s->depth++] =
        (level){.is_list = is_list, .key_length = SIZE_MAX, .first_key = s->open_count, .first_byte = s->keys_used};
    s->at++;
    const bool whole = is_list ? scan_members(s, ']', scan_item, "a comma or \"]\"")
                               : scan_members(s, '}', scan_member, "a comma or \"}\"") && close_object(s);
    s->depth--;
    return whole;
}

static bool scan_word(scanner *s)
{
    static const char *const words[] = {"true", "false", "null"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        const size_t length = strlen(words[i]);
        if (s->length - s->at >= length && memcmp(s->text + s->at, words[i], length) == 0) {
            s->at += length;
            return true;
        }
    }
    return unexpected(s, "a value: a text in quotes, a number, true, false, {...} or [...]");
}

static bool scan_value(scanner *s, unsigned key_line, unsigned key_column)
{
    skip_blanks(s);
    const size_t index = s->scan->count;
    if (s->at >= s->length)
        return unexpected(s, "a value");
    if (!add_place(s, key_line, key_column))
        return false;
    bool whole = false;
    size_t length = 0;
    const unsigned char c = s->text[s->at];
    if (c == '{' || c == '[')
        whole = scan_structure(s, c == '[');
    else if (c == '"')
        whole = scan_string(s, NULL, &length);
    else if (c == '-' || (c >= '0' && c <= '9'))
        whole = scan_number(s);
    else
        whole = scan_word(s);
    s->scan->places[index].end = s->at;
    s->scan->places[index].span = s->scan->count - index;
    return whole;
}

static bool scan_document(scanner *s)
{
    if (s->length > IMP_JSON_LONGEST) {
        record(s, IMP_LIMIT, 0, 0, NULL, "the file is larger than 16 MiB");
        return false;
    }
    if (!check_encoding(s))
        return false;
    skip_blanks(s);
    if (s->at == s->length)
        return fault(s, s->at, "the file is empty");
    if (!scan_value(s, 0, 0))
        return false;
    skip_blanks(s);
    return s->at == s->length || unexpected(s, "the end of the file");
}

imp_status imp_json_scan_text(const char *file, const char *text, size_t length, const imp_allocator *allocator,
                              imp_json_scan *scan, imp_issues *issues)
{
    *scan = (imp_json_scan){.allocator = allocator};
    scanner s = {.file = file,
                 .text = (const unsigned char *)text,
                 .length = length,
                 .line = 1,
                 .column = 1,
                 .scan = scan,
                 .issues = issues,
                 .status = IMP_OK};
    s.keys = imp_allocate(allocator, length <= IMP_JSON_LONGEST ? length + 4 : 1, 1);
    if (s.keys == NULL)
        return IMP_MEMORY;
    scan->readable = scan_document(&s);
    imp_release(allocator, s.open);
    imp_release(allocator, s.keys);
    return s.status;
}

void imp_json_scan_free(imp_json_scan *scan)
{
    imp_release(scan->allocator, scan->places);
    *scan = (imp_json_scan){.allocator = scan->allocator};
}
