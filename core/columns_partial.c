/* Writing what one piece of a log answers, for merging: see columns_merge.c for the way back. */
#include <math.h>
#include <string.h>

#include "columns_internal.h"
#include "columns_partial.h"
#include "log_internal.h"
#include "text_buffer.h"

/* --- what was asked, as a number, so that only like is merged with like (FNV-1a) --- */

static void mix(uint64_t *hash, const void *bytes, size_t count)
{
    const unsigned char *at = bytes;
    for (size_t i = 0; i < count; i++)
        *hash = (*hash ^ at[i]) * UINT64_C(1099511628211);
}

static void mix_int(uint64_t *hash, int value)
{
    mix(hash, &value, sizeof value);
}

uint64_t imp_columns_questions(const imp_columns *columns)
{
    uint64_t hash = UINT64_C(14695981039346656037);
    mix(&hash, &columns->gap, sizeof columns->gap);
    for (size_t i = 0; i < columns->node_count; i++) {
        const imp_node *node = &columns->nodes[i];
        mix_int(&hash, (int)node->operation);
        mix_int(&hash, node->a);
        mix_int(&hash, node->b);
        mix_int(&hash, node->source);
        mix(&hash, &node->parameter, sizeof node->parameter);
    }
    for (size_t i = 0; i < columns->tally_count; i++) {
        const imp_tally *tally = columns->tallies[i];
        mix_int(&hash, (int)tally->kind);
        mix_int(&hash, tally->value);
        mix_int(&hash, tally->mask);
        mix_int(&hash, (int)tally->wants);
        mix(&hash, &tally->parameter, sizeof tally->parameter);
        for (size_t k = 0; tally->kind == IMP_TALLY_SPANS && k < tally->value_count; k++)
            mix_int(&hash, tally->values[k]);
    }
    return hash;
}

/* --- parts --- */

static void write_sum(imp_text *to, const char *key, const imp_exact_sum *sum)
{
    char text[IMP_EXACT_TEXT_SIZE];
    imp_exact_sum copy = *sum;
    imp_text_format(to, ",\"%s\":", key);
    imp_text_string(to, imp_exact_sum_write(&copy, text, sizeof text));
}

/* All bits of it: the sign of a zero too, which people are never shown. */
static void write_number(imp_text *to, double value)
{
    if (value == 0.0 && signbit(value))
        imp_text_add(to, "-0");
    else
        imp_text_number(to, value);
}

static void write_member(imp_text *to, const char *key, double value)
{
    imp_text_format(to, ",\"%s\":", key);
    write_number(to, value);
}

static void write_moments(imp_text *to, const imp_moments *moments)
{
    imp_text_format(to, "{\"count\":%llu", (unsigned long long)moments->count);
    write_member(to, "least", moments->least);
    write_member(to, "greatest", moments->greatest);
    write_sum(to, "sum", &moments->sum);
    imp_text_add(to, "}");
}

static void write_stretch(imp_text *to, const char *key, const imp_stretch *stretch, size_t values)
{
    if (!stretch->is_used)
        return;
    imp_text_format(to, ",\"%s\":{\"rows\":%llu", key, (unsigned long long)stretch->rows);
    write_member(to, "from", stretch->from);
    write_member(to, "reach", stretch->reach);
    write_member(to, "value", stretch->value);
    imp_text_add(to, ",\"values\":[");
    for (size_t i = 0; i < values; i++) {
        if (i > 0)
            imp_text_add(to, ",");
        write_moments(to, &stretch->values[i]);
    }
    imp_text_add(to, "]}");
}

static void write_numbers(imp_text *to, const double *numbers, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (i > 0)
            imp_text_add(to, " ");
        write_number(to, numbers[i]);
    }
}

/* Spans and points, each a text of its numbers. */
static void write_kept(imp_text *to, const imp_tally *tally)
{
    imp_text_add(to, ",\"kept\":[");
    for (size_t i = 0; i < tally->kept; i++) {
        imp_text_add(to, i > 0 ? ",\"" : "\"");
        if (tally->kind == IMP_TALLY_SERIES) {
            const imp_series_point *point = &tally->points[i];
            const double numbers[] = {point->time, (double)point->count, point->mean, point->least, point->greatest};
            write_numbers(to, numbers, 5);
        } else {
            const imp_kept_span *span = &tally->spans[i];
            const double numbers[] = {span->from, span->to, (double)span->rows};
            write_numbers(to, numbers, 3);
            for (size_t k = 0; k < tally->value_count; k++) {
                const imp_span_value *value = &tally->span_values[i * tally->value_count + k];
                const double more[] = {(double)value->count, value->mean, value->least, value->greatest};
                imp_text_add(to, " ");
                write_numbers(to, more, 4);
            }
        }
        imp_text_add(to, "\"");
    }
    imp_text_add(to, "]");
}

static void write_sketch(imp_text *to, const imp_sketch *sketch)
{
    uint32_t next = 0;
    imp_sketch_bin bin;
    imp_text_add(to, ",\"bins\":\"");
    for (bool first = true; imp_sketch_next(sketch, &next, &bin); first = false)
        imp_text_format(to, first ? "%lu %llu" : " %lu %llu", (unsigned long)bin.index, (unsigned long long)bin.count);
    imp_text_add(to, "\"");
}

static void write_flag(imp_text *to, const char *key, bool flag)
{
    if (flag)
        imp_text_format(to, ",\"%s\":true", key);
}

static void write_tally(imp_text *to, const imp_tally *tally)
{
    imp_text_add(to, "{\"moments\":");
    write_moments(to, &tally->moments);
    write_sum(to, "squares", &tally->squares);
    if (tally->has_first)
        write_member(to, "first", tally->first);
    if (tally->has_last)
        write_member(to, "last", tally->last);
    write_flag(to, "has_begun", tally->has_begun);
    write_flag(to, "is_first_counted", tally->is_first_counted);
    write_flag(to, "is_first_parted", tally->is_first_parted);
    write_flag(to, "was_parted", tally->was_parted);
    write_flag(to, "is_open_first", tally->is_open_first);
    if (tally->kind == IMP_TALLY_SKETCH)
        write_sketch(to, &tally->sketch);
    if (tally->kind >= IMP_TALLY_SPANS) {
        write_stretch(to, "open", &tally->open, tally->value_count);
        write_stretch(to, "first_stretch", &tally->first_stretch, tally->value_count);
        write_member(to, "span_count", (double)tally->span_count);
        write_member(to, "longest", tally->longest);
        write_sum(to, "total", &tally->total);
        write_kept(to, tally);
    }
    imp_text_add(to, "}");
}

static void write_rows(imp_text *to, const imp_row_store *store, size_t first)
{
    imp_text_add(to, "[");
    for (size_t i = first; i < store->rows; i++) {
        imp_text_add(to, i > first ? ",\n\"" : "\"");
        write_numbers(to, store->cells + i * store->width, store->width);
        imp_text_add(to, "\"");
    }
    imp_text_add(to, "]");
}

static void write_header(imp_text *to, const imp_log_header *header)
{
    imp_text_format(to, "\"is_calendar\":%s,\"has_zone\":%s,\"zone_offset\":", header->is_calendar ? "true" : "false",
                    header->has_zone ? "true" : "false");
    imp_text_number(to, header->zone_offset);
    imp_text_add(to, ",\"columns\":[");
    for (size_t i = 0; i < header->count; i++) {
        imp_text_add(to, i > 0 ? ",{\"name\":" : "{\"name\":");
        imp_text_string(to, header->columns[i].name);
        imp_text_add(to, ",\"unit\":");
        imp_text_string(to, header->columns[i].unit.text);
        imp_text_add(to, header->columns[i].is_reading ? ",\"is_reading\":true}" : "}");
    }
    imp_text_add(to, "]");
}

static void write_faults(imp_text *to, const imp_log_faults *faults, size_t columns)
{
    imp_text_format(to, "{\"lines\":%llu,\"rows\":%llu,\"bytes\":%llu,\"sample\":", (unsigned long long)faults->lines,
                    (unsigned long long)faults->rows, (unsigned long long)faults->bytes);
    imp_text_string(to, faults->sample);
    imp_text_format(to, ",\"sample_column\":%d,\"missing\":\"", faults->sample_column);
    for (size_t i = 0; i < columns; i++)
        imp_text_format(to, i > 0 ? " %llu %llu" : "%llu %llu", (unsigned long long)faults->missing[i],
                        (unsigned long long)faults->unreadable[i]);
    imp_text_add(to, "\"");
    for (int i = 0; i < IMP_LOG_FAULT_COUNT; i++) {
        const imp_log_fault_count *kind = &faults->kind[i];
        if (kind->count == 0)
            continue;
        imp_text_format(to, ",\"%s\":\"%llu", imp_log_fault_key((imp_log_fault)i), (unsigned long long)kind->count);
        for (unsigned k = 0; k < kind->kept; k++)
            imp_text_format(to, " %llu %d", (unsigned long long)kind->line[k], kind->column[k]);
        imp_text_add(to, "\"");
    }
    imp_text_add(to, "}");
}

/* A piece with a body, or (when it is too short for one) its rows alone. */
static void write_piece(imp_text *to, const imp_engine *engine, uint64_t header_lines)
{
    const imp_columns *columns = engine->columns;
    const bool has_body = engine->head_complete;
    imp_text_add(to, "{\"impinge\":1,\"document\":\"partial log\",\n");
    write_header(to, &columns->header);
    imp_text_format(to, ",\n\"questions\":\"%016llx\",\"header_lines\":%llu,\"has_body\":%s",
                    (unsigned long long)imp_columns_questions(columns), (unsigned long long)header_lines,
                    has_body ? "true" : "false");
    imp_text_add(to, ",\n\"faults\":");
    write_faults(to, &columns->faults, columns->header.count);
    imp_text_format(to, ",\n\"split\":%zu,\"head\":", has_body ? engine->head_split : engine->head.rows);
    write_rows(to, &engine->head, 0);
    if (has_body) {
        const uint64_t counted = engine->counted > engine->tail_first ? engine->counted - engine->tail_first : 0;
        const size_t due = counted < engine->tail.rows ? (size_t)counted : engine->tail.rows;
        const size_t first = imp_piece_context(engine, &engine->tail, due);
        imp_text_format(to, ",\n\"due\":%zu,\"tail\":", due - first);
        write_rows(to, &engine->tail, first);
        imp_text_add(to, ",\n\"tallies\":[");
        for (size_t i = 0; i < columns->tally_count; i++) {
            imp_text_add(to, i > 0 ? ",\n" : "\n");
            write_tally(to, columns->tallies[i]);
        }
        imp_text_add(to, "]");
    }
    imp_text_add(to, "}\n");
}

static imp_status take_block(void *context, imp_log_block *block, imp_error *error)
{
    return imp_engine_feed(context, block, error);
}

imp_status imp_columns_run_partial(imp_columns *columns, imp_log *log, char **text, size_t *length, imp_error *error)
{
    imp_engine *engine;
    uint64_t header_lines, header_bytes;
    imp_text made;
    for (size_t i = 0; i < columns->tally_count; i++)
        imp_tally_reset(columns->tallies[i]);
    imp_status status = imp_engine_create(columns, 0, true, &engine, error);
    if (status != IMP_OK)
        return status;
    memset(&columns->faults, 0, sizeof columns->faults);
    imp_text_init(&made, columns->allocator);
    status = imp_log_run_piece(log, take_block, engine, error);
    if (status == IMP_OK && engine->fill > 1)
        status = imp_engine_complete_frame(engine, error);
    if (status == IMP_OK) {
        if (!engine->head_complete) /* its rows are all looked at again, and faults of their order found then */
            memset(&columns->faults, 0, sizeof columns->faults);
        imp_log_faults_append(&columns->faults, imp_log_faults_of(log), 0);
        imp_log_header_extent(log, &header_lines, &header_bytes);
        columns->faults.bytes -= header_bytes;
        write_piece(&made, engine, header_lines);
        status = made.failed ? imp_columns_out_of_memory(error) : IMP_OK;
    }
    for (size_t i = 0; i < columns->tally_count; i++)
        imp_tally_reset(columns->tallies[i]);
    imp_engine_free(engine);
    if (status == IMP_OK) {
        *text = made.text;
        *length = made.length;
    } else {
        imp_text_free(&made);
    }
    return status;
}
