#include <stdio.h>
#include <string.h>

#include "number.h"
#include "unit_table.h"

#define MICRO_SIGN "\xC2\xB5"
#define MU "\xCE\xBC"

/* SI brochure, 9th edition, table 7; both Unicode characters that look like a micro sign, and "u". */
static const struct {
    const char *text;
    int power;
} prefixes[] = {
    {"Q", 30}, {"R", 27},  {"Y", 24},  {"Z", 21},  {"E", 18},  {"P", 15},  {"T", 12},  {"G", 9},         {"M", 6},
    {"k", 3},  {"h", 2},   {"da", 1},  {"d", -1},  {"c", -2},  {"m", -3},  {"u", -6},  {MICRO_SIGN, -6}, {MU, -6},
    {"n", -9}, {"p", -12}, {"f", -15}, {"a", -18}, {"z", -21}, {"y", -24}, {"r", -27}, {"q", -30},
};
enum { PREFIX_COUNT = sizeof prefixes / sizeof prefixes[0] };

/* ---- the table ---- */

size_t imp_unit_count(void)
{
    return imp_unit_table_count;
}

const imp_unit_row *imp_unit_at(size_t index)
{
    return index < imp_unit_table_count ? &imp_unit_table[index] : NULL;
}

const imp_unit_row *imp_unit_find(const char *name, size_t length)
{
    size_t low = 0, high = imp_unit_table_count;
    if (length == 0 || length >= IMP_UNIT_NAME_SIZE || memchr(name, '\0', length) != NULL)
        return NULL;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        const char *const row = imp_unit_table[middle].name;
        size_t same = 0; /* a loop of one's own: names are so short that calling strncmp costs more */
        while (same < length && row[same] == name[same])
            same++;
        if (same == length && row[same] == '\0')
            return &imp_unit_table[middle];
        if (same < length && (unsigned char)row[same] < (unsigned char)name[same])
            low = middle + 1;
        else
            high = middle;
    }
    return NULL;
}

/* ---- one name with its prefix ---- */

/* Row behind an SI prefix; `refused` (may be NULL) receives a row that takes none. */
static imp_unit_name find_prefixed(const char *name, size_t length, const imp_unit_row **refused)
{
    for (size_t i = 0; i < PREFIX_COUNT; i++) {
        const size_t skip = strlen(prefixes[i].text);
        if (length <= skip || memcmp(name, prefixes[i].text, skip) != 0)
            continue;
        const imp_unit_row *row = imp_unit_find(name + skip, length - skip);
        if (row != NULL && row->takes_prefix)
            return (imp_unit_name){row, prefixes[i].power};
        if (row != NULL && refused != NULL)
            *refused = row;
    }
    return (imp_unit_name){NULL, 0};
}

imp_unit_name imp_unit_name_find(const char *name, size_t length)
{
    const imp_unit_row *row = imp_unit_find(name, length);
    return row != NULL ? (imp_unit_name){row, 0} : find_prefixed(name, length, NULL);
}

/* ---- what to say about an unknown name ---- */

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

/* Names that people write and that a near name would not explain. */
static const struct {
    const char *name, *advice;
} hints[] = {
    {"ton", "write \"t\", \"ton_us\" (short) or \"ton_uk\" (long)"},
    {"tons", "write \"t\", \"ton_us\" (short) or \"ton_uk\" (long)"},
    {"mt", "write \"t\" for a tonne"},
    {"Nm", "write \"N m\" for a newton metre, and \"m^3\" for a gas: the input's name tells its reference conditions"},
    {"scfm", "write \"cfm\": the input's name tells the reference conditions"},
    {"acfm", "write \"cfm\": the input's name tells the reference conditions"},
};

static const char *find_hint(const char *typed)
{
    for (size_t i = 0; i < sizeof hints / sizeof hints[0]; i++)
        if (strcmp(typed, hints[i].name) == 0)
            return hints[i].advice;
    return NULL;
}

static bool same_ignoring_case(const char *a, const char *b)
{
    while (*a != '\0' && lower(*a) == lower(*b))
        a++, b++;
    return *a == *b;
}

/* Made of the same letters, in another order or one of them doubled. */
static bool has_same_letters(const char *a, const char *b)
{
    bool in_a[256] = {false}, in_b[256] = {false};
    for (; *a != '\0'; a++)
        in_a[(unsigned char)*a] = true;
    for (; *b != '\0'; b++)
        in_b[(unsigned char)*b] = true;
    return memcmp(in_a, in_b, sizeof in_a) == 0;
}

/* How unlikely it is that `candidate` was meant: smaller is nearer, negative is not near at all. */
static int unlikeness(const char *typed, const char *candidate, int prefix_power, bool is_money)
{
    const int rareness = prefix_power == 0 ? 0 : prefix_power >= -3 && prefix_power <= 3 ? 1 : 2;
    if (same_ignoring_case(typed, candidate))
        return is_money ? 25 : rareness; /* "usd" means USD, but "kgs" means kg before KGS */
    const size_t length = strlen(typed);
    const int limit = length < 4 ? 1 : length < 9 ? 2 : 3;
    const int distance = imp_name_distance(typed, candidate, limit);
    if (distance > limit || (size_t)distance >= length)
        return -1;
    return 16 * distance + (has_same_letters(typed, candidate) ? 0 : 8) + (typed[0] == candidate[0] ? 0 : 4) +
           (is_money ? 4 : 0) + rareness;
}

typedef struct nearest_name {
    int unlikeness;
    char name[IMP_UNIT_NAME_SIZE];
} nearest_name;

static void consider(nearest_name *nearest, const char *typed, const char *prefix, int power, const imp_unit_row *row)
{
    char candidate[IMP_UNIT_NAME_SIZE];
    snprintf(candidate, sizeof candidate, "%s%s", prefix, row->name);
    const int value = unlikeness(typed, candidate, power, row->dimension.currency[0] != '\0');
    if (value >= 0 && (nearest->unlikeness < 0 || value < nearest->unlikeness)) {
        nearest->unlikeness = value;
        memcpy(nearest->name, candidate, sizeof candidate);
    }
}

static nearest_name find_nearest(const char *typed)
{
    nearest_name nearest = {-1, ""};
    for (size_t i = 0; i < imp_unit_table_count; i++)
        consider(&nearest, typed, "", 0, &imp_unit_table[i]);
    for (size_t i = 0; i < imp_unit_table_count; i++)
        for (size_t j = 0; imp_unit_table[i].takes_prefix && j < PREFIX_COUNT; j++)
            consider(&nearest, typed, prefixes[j].text, prefixes[j].power, &imp_unit_table[i]);
    return nearest;
}

/* "psig", "bara": gauge or absolute is no property of a unit. */
static bool is_gauge_or_absolute(const char *typed)
{
    const size_t length = strlen(typed);
    if (length < 3 || (typed[length - 1] != 'g' && typed[length - 1] != 'a'))
        return false;
    const imp_unit_name found = imp_unit_name_find(typed, length - 1);
    return found.row != NULL && imp_dimension_same(found.row->dimension, imp_dimension_of(IMP_PRESSURE));
}

imp_status imp_unit_name_unknown(const char *typed, imp_error *error)
{
    if (error == NULL)
        return IMP_UNKNOWN;
    if (is_gauge_or_absolute(typed))
        return imp_fail(error, IMP_UNKNOWN, NULL,
                        "unknown unit \"%s\"; write \"%.*s\", the input's name tells gauge from absolute", typed,
                        (int)strlen(typed) - 1, typed);
    const char *const hint = find_hint(typed);
    if (hint != NULL)
        return imp_fail(error, IMP_UNKNOWN, NULL, "unknown unit \"%s\"; %s", typed, hint);
    const nearest_name nearest = find_nearest(typed);
    const imp_unit_row *refused = NULL;
    find_prefixed(typed, strlen(typed), &refused);
    if (refused != NULL && nearest.unlikeness != 0)
        return imp_fail(error, IMP_UNKNOWN, NULL, "unknown unit \"%s\"; \"%s\" takes no SI prefix", typed,
                        refused->name);
    if (nearest.unlikeness >= 0)
        return imp_fail(error, IMP_UNKNOWN, NULL, "unknown unit \"%s\"; did you mean \"%s\"?", typed, nearest.name);
    return imp_fail(error, IMP_UNKNOWN, NULL, "unknown unit \"%s\"", typed);
}
