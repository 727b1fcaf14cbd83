/* Merging pieces of a log: the rows at their edges are evaluated again, now with their neighbours; the rest is added up.
 * A little over 500 lines: writing and merging mirror each other. */
#include <cjson/cJSON.h>
#include <math.h>
#include <string.h>

#include "columns_internal.h"
#include "columns_partial.h"
#include "json_scan.h"
#include "log_internal.h"
#include "number.h"

enum { ROWS_AT_ONCE = 256 };
#define WIDEST_ZONE (19.0 * 3600.0) /* a log's zone is at most 18:59 */

static imp_status not_ours(imp_error *error)
{
    return imp_fail(error, IMP_SYNTAX, NULL, "this is no partial result as impinge log --partial writes them");
}

/* --- reading values; a fault is kept in *good --- */

static const cJSON *member(const cJSON *object, const char *key)
{
    return cJSON_GetObjectItemCaseSensitive(object, key);
}

static double number_of(const cJSON *object, const char *key, double missing, bool *good)
{
    const cJSON *item = member(object, key);
    if (item == NULL || cJSON_IsNull(item))
        return missing;
    if (!cJSON_IsNumber(item))
        *good = false;
    return item->valuedouble;
}

static uint64_t count_of(const cJSON *object, const char *key, bool *good)
{
    const double value = number_of(object, key, 0.0, good);
    if (!(value >= 0.0 && value < 9007199254740992.0) || value != floor(value)) {
        *good = false;
        return 0;
    }
    return (uint64_t)value;
}

static const char *text_of(const cJSON *object, const char *key, bool *good)
{
    const cJSON *item = member(object, key);
    if (!cJSON_IsString(item)) {
        *good = false;
        return "";
    }
    return item->valuestring;
}

static void read_sum(const cJSON *object, const char *key, imp_exact_sum *sum, bool *good)
{
    if (imp_exact_sum_read(text_of(object, key, good), sum, NULL) != IMP_OK)
        *good = false;
}

/* The next number of a text of numbers; "null" is a missing one. What is read is finite. */
static double next_number(const char **at, bool *good)
{
    double value = IMP_NO_VALUE;
    size_t used = 0;
    while (**at == ' ')
        ++*at;
    if (strncmp(*at, "null", 4) == 0) {
        *at += 4;
        return value;
    }
    imp_number_read(*at, strlen(*at), &value, &used);
    *good = *good && used > 0 && isfinite(value);
    *at += used;
    return value;
}

static uint64_t next_count(const char **at, bool *good)
{
    const double value = next_number(at, good);
    if (!(value >= 0.0 && value < 9007199254740992.0)) {
        *good = false;
        return 0;
    }
    return (uint64_t)value;
}

/* A column's number; -1 is none. */
static int column_number(double value, size_t columns, bool *good)
{
    if (value == floor(value) && value >= -1.0 && value < (double)columns)
        return (int)value;
    *good = false;
    return -1;
}

static bool has_more(const char *at)
{
    return *at != '\0';
}

static void read_moments(const cJSON *object, imp_moments *moments, bool *good)
{
    moments->count = count_of(object, "count", good);
    moments->least = number_of(object, "least", HUGE_VAL, good);
    moments->greatest = number_of(object, "greatest", -HUGE_VAL, good);
    read_sum(object, "sum", &moments->sum, good);
}

static void read_stretch(const cJSON *parent, const char *key, imp_stretch *stretch, size_t values, bool *good)
{
    const cJSON *object = member(parent, key);
    if (object == NULL)
        return;
    stretch->is_used = true;
    stretch->rows = count_of(object, "rows", good);
    stretch->from = number_of(object, "from", 0.0, good);
    stretch->reach = number_of(object, "reach", 0.0, good);
    stretch->value = number_of(object, "value", IMP_NO_VALUE, good);
    const cJSON *list = member(object, "values");
    if (!cJSON_IsArray(list) || (size_t)cJSON_GetArraySize(list) != values) {
        *good = false;
        return;
    }
    const cJSON *item = list->child;
    for (size_t i = 0; i < values; i++, item = item->next)
        read_moments(item, &stretch->values[i], good);
}

static imp_status read_kept(imp_columns *columns, const cJSON *object, imp_tally *tally, bool *good)
{
    const cJSON *list = member(object, "kept");
    const size_t count = cJSON_IsArray(list) ? (size_t)cJSON_GetArraySize(list) : 0;
    if (count == 0)
        return IMP_OK;
    const bool is_series = tally->kind == IMP_TALLY_SERIES;
    if (is_series)
        tally->points = imp_allocate(columns->allocator, count, sizeof *tally->points);
    else
        tally->spans = imp_allocate(columns->allocator, count, sizeof *tally->spans);
    if (!is_series && tally->value_count > 0)
        tally->span_values = imp_allocate(columns->allocator, count * tally->value_count, sizeof *tally->span_values);
    if (is_series ? tally->points == NULL : tally->spans == NULL || (tally->value_count > 0 && tally->span_values == NULL))
        return IMP_MEMORY;
    for (const cJSON *item = list->child; item != NULL; item = item->next) {
        const char *at = cJSON_IsString(item) ? item->valuestring : "";
        if (is_series) {
            imp_series_point *point = &tally->points[tally->kept++];
            point->time = next_number(&at, good);
            point->count = next_count(&at, good);
            point->mean = next_number(&at, good);
            point->least = next_number(&at, good);
            point->greatest = next_number(&at, good);
            continue;
        }
        imp_span_value *values = tally->span_values + tally->kept * tally->value_count;
        imp_kept_span *span = &tally->spans[tally->kept++];
        span->from = next_number(&at, good);
        span->to = next_number(&at, good);
        span->rows = next_count(&at, good);
        for (size_t k = 0; k < tally->value_count; k++) {
            values[k].count = next_count(&at, good);
            values[k].mean = next_number(&at, good);
            values[k].least = next_number(&at, good);
            values[k].greatest = next_number(&at, good);
        }
    }
    return IMP_OK;
}

static imp_status read_tally(imp_columns *columns, const cJSON *object, imp_tally *tally, bool *good)
{
    read_moments(member(object, "moments"), &tally->moments, good);
    read_sum(object, "squares", &tally->squares, good);
    tally->has_first = member(object, "first") != NULL;
    tally->first = number_of(object, "first", 0.0, good);
    tally->has_last = member(object, "last") != NULL;
    tally->last = number_of(object, "last", 0.0, good);
    tally->has_begun = cJSON_IsTrue(member(object, "has_begun"));
    tally->is_first_counted = cJSON_IsTrue(member(object, "is_first_counted"));
    tally->is_first_parted = cJSON_IsTrue(member(object, "is_first_parted"));
    tally->was_parted = cJSON_IsTrue(member(object, "was_parted"));
    tally->is_open_first = cJSON_IsTrue(member(object, "is_open_first"));
    if (tally->kind == IMP_TALLY_SKETCH) {
        for (const char *at = text_of(object, "bins", good); *good && has_more(at);) {
            imp_sketch_bin bin;
            const uint64_t index = next_count(&at, good);
            bin.index = index <= UINT32_MAX ? (uint32_t)index : UINT32_MAX; /* which no sketch has */
            bin.count = next_count(&at, good);
            const imp_status status = imp_sketch_put(&tally->sketch, bin);
            if (status == IMP_MEMORY)
                return status;
            *good = *good && status == IMP_OK;
        }
    }
    if (tally->kind < IMP_TALLY_SPANS)
        return IMP_OK;
    read_stretch(object, "open", &tally->open, tally->value_count, good);
    read_stretch(object, "first_stretch", &tally->first_stretch, tally->value_count, good);
    tally->span_count = count_of(object, "span_count", good);
    tally->longest = number_of(object, "longest", 0.0, good);
    read_sum(object, "total", &tally->total, good);
    return read_kept(columns, object, tally, good);
}

/* What the piece counted, joined to what there is. */
static imp_status join_tally(imp_columns *columns, imp_tally *tally, const cJSON *object, imp_error *error)
{
    imp_tally *next = imp_allocate(columns->allocator, 1, sizeof *next);
    bool good = true;
    if (next == NULL)
        return imp_columns_out_of_memory(error);
    next->kind = tally->kind;
    next->value = tally->value;
    next->mask = tally->mask;
    next->parameter = tally->parameter;
    next->value_count = tally->value_count;
    imp_sketch_init(&next->sketch, columns->allocator);
    imp_status status = imp_stretch_init(columns, &next->open, next->value_count);
    if (status == IMP_OK)
        status = imp_stretch_init(columns, &next->first_stretch, next->value_count);
    if (status == IMP_OK) {
        imp_tally_reset(next);
        status = read_tally(columns, object, next, &good);
    }
    if (status == IMP_MEMORY)
        imp_columns_out_of_memory(error);
    else if (!good)
        status = not_ours(error);
    else
        status = imp_tally_join(columns, tally, next, error);
    imp_tally_free(columns, next);
    imp_release(columns->allocator, next);
    return status;
}

/* --- rows --- */

typedef struct row_block {
    imp_log_block block;
    double time[ROWS_AT_ONCE], values[IMP_LOG_MOST_COLUMNS][ROWS_AT_ONCE];
    uint64_t line[ROWS_AT_ONCE];
} row_block;

/* Feed rows [first, last) of a list of texts. */
static imp_status feed_rows(imp_engine *engine, const cJSON *list, size_t first, size_t last, uint64_t line_shift,
                            row_block *rows, imp_error *error)
{
    imp_status status = IMP_OK;
    bool good = cJSON_IsArray(list);
    const cJSON *item = good ? list->child : NULL;
    for (size_t i = 0; i < first && item != NULL; i++)
        item = item->next;
    rows->block.rows = 0;
    rows->block.capacity = ROWS_AT_ONCE;
    for (size_t i = first; i < last && status == IMP_OK && good; i++, item = item->next) {
        if (!cJSON_IsString(item))
            return not_ours(error);
        const char *at = item->valuestring; /* NOLINT(clang-analyzer-core.NullDereference): nothing is no string for cJSON either */
        const size_t row = rows->block.rows++;
        rows->time[row] = next_number(&at, &good);
        rows->line[row] = next_count(&at, &good) + line_shift;
        for (size_t c = 0; c < engine->source_count; c++)
            rows->values[engine->source_columns[c]][row] = next_number(&at, &good);
        good = good && rows->time[row] == rows->time[row];
        if (rows->block.rows == ROWS_AT_ONCE || i + 1 == last) {
            if (good)
                status = imp_engine_feed(engine, &rows->block, error);
            rows->block.rows = 0;
        }
    }
    return !good ? not_ours(error) : status;
}

static size_t list_length(const cJSON *list)
{
    return cJSON_IsArray(list) ? (size_t)cJSON_GetArraySize(list) : 0;
}

/* The piece's rows and body, behind what was merged before. */
static imp_status merge_rows(imp_engine *engine, const cJSON *root, uint64_t line_shift, row_block *rows, imp_error *error)
{
    imp_columns *columns = engine->columns;
    bool good = true;
    const cJSON *head = member(root, "head"), *tail = member(root, "tail"), *tallies = member(root, "tallies");
    const size_t split = (size_t)count_of(root, "split", &good), due = (size_t)count_of(root, "due", &good);
    const size_t head_rows = list_length(head), tail_rows = list_length(tail);
    if (!good || split > head_rows || due > tail_rows)
        return not_ours(error);
    engine->notes_faults = true;
    imp_status status = feed_rows(engine, head, 0, split, line_shift, rows, error);
    engine->notes_faults = false;
    if (status != IMP_OK || !cJSON_IsTrue(member(root, "has_body")))
        return status;
    if (list_length(tallies) != columns->tally_count)
        return not_ours(error);
    /* rows that the body counts itself; here they only say how those before them end */
    engine->count_to = engine->fed;
    status = feed_rows(engine, head, split, head_rows, line_shift, rows, error);
    if (status == IMP_OK)
        status = imp_engine_flush(engine, error);
    const cJSON *item = tallies->child;
    for (size_t i = 0; i < columns->tally_count && status == IMP_OK; i++, item = item->next)
        status = join_tally(columns, columns->tallies[i], item, error);
    if (status != IMP_OK)
        return status;
    imp_engine_restart(engine);
    engine->count_from = engine->fed + due;
    engine->count_to = UINT64_MAX;
    return feed_rows(engine, tail, 0, tail_rows, line_shift, rows, error);
}

static void read_faults(const cJSON *object, imp_log_faults *faults, size_t columns, bool *good)
{
    memset(faults, 0, sizeof *faults);
    faults->lines = count_of(object, "lines", good);
    faults->rows = count_of(object, "rows", good);
    faults->bytes = count_of(object, "bytes", good);
    const char *sample = text_of(object, "sample", good);
    strncpy(faults->sample, sample, sizeof faults->sample - 1);
    faults->sample_column = column_number(number_of(object, "sample_column", 0.0, good), columns, good);
    *good = *good && faults->sample_column >= 0;
    const char *at = text_of(object, "missing", good);
    for (size_t i = 0; i < columns; i++) {
        faults->missing[i] = next_count(&at, good);
        faults->unreadable[i] = next_count(&at, good);
    }
    for (int i = 0; i < IMP_LOG_FAULT_COUNT; i++) {
        const char *key = imp_log_fault_key((imp_log_fault)i);
        if (member(object, key) == NULL)
            continue;
        imp_log_fault_count *kind = &faults->kind[i];
        at = text_of(object, key, good);
        kind->count = next_count(&at, good);
        while (*good && has_more(at) && kind->kept < IMP_LOG_LINES_KEPT) {
            kind->line[kind->kept] = next_count(&at, good);
            kind->column[kind->kept++] = column_number(next_number(&at, good), columns, good);
        }
    }
}

/* --- the document --- */

static imp_status parse(const char *text, size_t length, const imp_allocator *allocator, cJSON **root, imp_error *error)
{
    imp_issues issues;
    imp_json_scan scan;
    imp_issues_init(&issues, allocator);
    imp_status status = imp_json_scan_text("", text, length, allocator, &scan, &issues);
    if (status != IMP_OK && issues.count > 0)
        imp_fail(error, status, NULL, "line %u: %s", issues.items[0].line, issues.items[0].message);
    else if (status != IMP_OK)
        imp_columns_out_of_memory(error);
    imp_json_scan_free(&scan);
    imp_issues_free(&issues);
    if (status != IMP_OK)
        return status;
    *root = cJSON_ParseWithLength(text, length);
    if (*root == NULL)
        return imp_columns_out_of_memory(error);
    const cJSON *kind = member(*root, "document"), *version = member(*root, "impinge");
    if (!cJSON_IsString(kind) || strcmp(kind->valuestring, "partial log") != 0 || !cJSON_IsNumber(version) ||
        version->valuedouble != 1.0) {
        cJSON_Delete(*root);
        return not_ours(error);
    }
    return IMP_OK;
}

static imp_status read_header(const cJSON *root, imp_log_header *header, imp_error *error)
{
    bool good = true;
    imp_log_header found;
    memset(&found, 0, sizeof found);
    found.is_calendar = cJSON_IsTrue(member(root, "is_calendar"));
    found.has_zone = cJSON_IsTrue(member(root, "has_zone"));
    found.zone_offset = number_of(root, "zone_offset", 0.0, &good);
    good = good && fabs(found.zone_offset) < WIDEST_ZONE;
    const cJSON *list = member(root, "columns"), *item = NULL;
    cJSON_ArrayForEach(item, list)
    {
        if (found.count == IMP_LOG_MOST_COLUMNS)
            return not_ours(error);
        imp_log_column *column = &found.columns[found.count++];
        const char *name = text_of(item, "name", &good), *unit = text_of(item, "unit", &good);
        if (!good || strlen(name) >= sizeof column->name || imp_unit_parse(unit, strlen(unit), &column->unit, NULL) != IMP_OK)
            return not_ours(error);
        memcpy(column->name, name, strlen(name) + 1);
        column->dimension = column->unit.dimension;
        column->is_reading = cJSON_IsTrue(member(item, "is_reading"));
        column->is_known = imp_log_known_find(name) != NULL;
    }
    if (!good || found.count == 0)
        return not_ours(error);
    *header = found;
    return IMP_OK;
}

imp_status imp_columns_partial_header(const char *text, size_t length, imp_log_header *header, imp_error *error)
{
    cJSON *root;
    imp_status status = parse(text, length, NULL, &root, error);
    if (status != IMP_OK)
        return status;
    status = read_header(root, header, error);
    cJSON_Delete(root);
    return status;
}

static bool same_header(const imp_log_header *a, const imp_log_header *b)
{
    if (a->count != b->count)
        return false;
    for (size_t i = 0; i < a->count; i++)
        if (strcmp(a->columns[i].name, b->columns[i].name) != 0 ||
            strcmp(a->columns[i].unit.text, b->columns[i].unit.text) != 0)
            return false;
    return true;
}

static bool same_questions(const imp_columns *columns, const cJSON *root)
{
    bool good = true;
    uint64_t asked = 0;
    for (const char *at = text_of(root, "questions", &good); *at != '\0'; at++)
        asked = asked * 16 + (uint64_t)(*at >= 'a' ? *at - 'a' + 10 : *at - '0');
    return good && asked == imp_columns_questions(columns);
}

static imp_status merge_piece(imp_columns *columns, const cJSON *root, imp_error *error)
{
    imp_log_header header;
    imp_log_faults faults;
    bool good = true;
    imp_status status = read_header(root, &header, error);
    if (status != IMP_OK)
        return status;
    if (!same_header(&header, &columns->header))
        return imp_fail(error, IMP_TYPE, NULL, "this partial result is of a log with other columns");
    if (!same_questions(columns, root))
        return imp_fail(error, IMP_TYPE, NULL, "this partial result was made with other questions (rules, job or version)");
    const uint64_t header_lines = count_of(root, "header_lines", &good);
    read_faults(member(root, "faults"), &faults, header.count, &good);
    if (!good || faults.lines < header_lines)
        return not_ours(error);
    if (columns->merging == NULL) {
        for (size_t i = 0; i < columns->tally_count; i++)
            imp_tally_reset(columns->tallies[i]);
        memset(&columns->faults, 0, sizeof columns->faults);
        columns->faults.lines = header_lines;
        status = imp_engine_create(columns, 0, false, &columns->merging, error);
        if (status != IMP_OK)
            return status;
    }
    const uint64_t line_shift = columns->faults.lines - header_lines;
    row_block *rows = imp_allocate(columns->allocator, 1, sizeof *rows);
    if (rows == NULL)
        return imp_columns_out_of_memory(error);
    rows->block.time = rows->time;
    rows->block.line = rows->line;
    for (size_t c = 0; c < IMP_LOG_MOST_COLUMNS; c++)
        rows->block.values[c] = rows->values[c];
    if (columns->faults.rows == 0 && faults.rows > 0) {
        /* the first piece that has rows says what their times are */
        columns->header.is_calendar = header.is_calendar;
        columns->header.has_zone = header.has_zone;
        columns->header.zone_offset = header.zone_offset;
    }
    if (faults.rows > 0 && header.is_calendar != columns->header.is_calendar)
        status = imp_fail(error, IMP_TYPE, "time", "one piece has calendar times and another has not");
    else
        status = merge_rows(columns->merging, root, line_shift, rows, error);
    imp_release(columns->allocator, rows);
    faults.lines -= header_lines;
    imp_log_faults_append(&columns->faults, &faults, line_shift);
    return status;
}

imp_status imp_columns_merge(imp_columns *columns, const char *text, size_t length, imp_error *error)
{
    cJSON *root;
    imp_status status = parse(text, length, columns->allocator, &root, error);
    if (status != IMP_OK)
        return status;
    status = merge_piece(columns, root, error);
    cJSON_Delete(root);
    return status;
}

imp_status imp_columns_merge_finish(imp_columns *columns, imp_error *error)
{
    imp_engine *engine = columns->merging;
    if (engine == NULL)
        return imp_fail(error, IMP_MISSING, NULL, "there is no partial result to merge");
    imp_status status = columns->faults.rows > 0 ? imp_engine_flush(engine, error)
                                                 : imp_log_nothing_left(&columns->header, &columns->faults, '.', error);
    for (size_t i = 0; i < columns->tally_count && status == IMP_OK; i++)
        status = imp_tally_finish(columns, columns->tallies[i], error);
    imp_engine_free(engine);
    columns->merging = NULL;
    return status;
}
