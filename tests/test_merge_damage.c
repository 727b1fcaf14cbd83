/* Partial results of logs come from files that anybody may have changed. Every member of one is damaged in turn, in several
 * ways: what cannot be meant is refused with a sentence, and whatever is read is bounded, so that answers can be asked for. */
#include "log_support.h"

#include <cjson/cJSON.h>

#include "columns.h"

enum { ROWS = 700 };

typedef struct questions {
    imp_reduction answers[12], spans, stuck, series;
    size_t count;
} questions;

/* One of every kind. */
static void ask_all(imp_columns *columns, questions *asked)
{
    static const imp_reduction_kind kinds[] = {IMP_REDUCE_COUNT, IMP_REDUCE_SUM, IMP_REDUCE_SD, IMP_REDUCE_FIRST, IMP_REDUCE_LAST, IMP_REDUCE_QUANTILE,
                                               IMP_REDUCE_TIME, IMP_REDUCE_INTEGRAL_TRAPEZOID, IMP_REDUCE_TIME_MEAN, IMP_REDUCE_INCREASE};
    imp_column a, b, zero, mask;
    const imp_quantity nothing = {.si = 0.0};
    asked->count = 0;
    assert_ok(imp_columns_source(columns, "a", &a, error));
    assert_ok(imp_columns_source(columns, "b", &b, error));
    assert_ok(imp_columns_constant(columns, &nothing, &zero, error));
    assert_ok(imp_columns_binary(columns, IMP_COLUMN_ABOVE, b, zero, &mask, error));
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
        assert_ok(imp_columns_reduce(columns, kinds[i], a, mask, 0.5, &asked->answers[asked->count++], error));
    assert_ok(imp_columns_spans(columns, mask, &a, 1, &asked->spans, error));
    assert_ok(imp_columns_stuck(columns, a, IMP_NO_COLUMN, 20.0, &asked->stuck, error));
    assert_ok(imp_columns_resample(columns, a, mask, 100.0, &asked->series, error));
}

static char *partial_text(size_t *length)
{
    char text[ROWS * 40];
    size_t used = (size_t)sprintf(text, "time,a,b\n");
    for (int i = 0; i < ROWS; i++) /* a stands still for a while, one cell is none, one row is ragged */
        used += (size_t)sprintf(text + used, "2031-05-14T07:%02d:%02d+02:00,%s,%d%s\n", i / 60, i % 60,
                                i == 30 ? "oops" : i > 300 && i < 350 ? "5" : (char[]){(char)('0' + i % 7), '\0'}, i % 40 > 10, i == 50 ? ",9" : "");
    imp_log *log = NULL;
    imp_columns *columns = NULL;
    questions asked;
    char *partial = NULL;
    assert_ok(imp_log_open(file_of(text, used), NULL, &log, error));
    assert_ok(imp_columns_create(NULL, &columns, error));
    assert_ok(imp_columns_bind(columns, imp_log_header_of(log), error));
    ask_all(columns, &asked);
    assert_ok(imp_columns_run_partial(columns, log, &partial, length, error));
    imp_columns_free(columns);
    imp_log_close(log);
    return partial;
}

/* Merge into a set for the header of the undamaged text, and ask for everything; what comes of it. */
static imp_status merge(const char *text, size_t length, const imp_log_header *header, imp_error *why)
{
    imp_log_header found;
    imp_columns *columns = NULL;
    questions asked;
    memset(why, 0, sizeof *why);
    imp_status status = imp_columns_partial_header(text, length, &found, why);
    if (status != IMP_OK)
        return status;
    assert_ok(imp_columns_create(NULL, &columns, error));
    assert_ok(imp_columns_bind(columns, header, error));
    ask_all(columns, &asked);
    status = imp_columns_merge(columns, text, length, why);
    if (status == IMP_OK)
        status = imp_columns_merge_finish(columns, why);
    if (status == IMP_OK) {
        imp_quantity result;
        imp_span span;
        imp_series_point point;
        char written[64];
        double longest, total;
        for (size_t i = 0; i < asked.count; i++)
            imp_columns_result(columns, asked.answers[i], &result, NULL);
        for (size_t i = 0; i < imp_columns_spans_kept(columns, asked.spans); i++)
            if (imp_columns_span_at(columns, asked.spans, i, &span, NULL) == IMP_OK)
                imp_log_time_text(imp_columns_header(columns), span.from, written, sizeof written);
        for (size_t i = 0; i < imp_columns_series_count(columns, asked.series); i++)
            imp_columns_series_at(columns, asked.series, i, &point, NULL);
        imp_columns_span_totals(columns, asked.stuck, &longest, &total, NULL);
    }
    imp_columns_free(columns);
    return status;
}

typedef struct damage {
    cJSON *root;
    imp_log_header header;
    size_t tried, refused;
} damage;

/* Replaces the item for as long as the merge takes; what came of it. */
static imp_status merge_with(damage *all, cJSON *item, cJSON *other, imp_error *why)
{
    cJSON kept = *item;
    item->type = other->type;
    item->valuestring = other->valuestring;
    item->valuedouble = other->valuedouble;
    item->valueint = other->valueint;
    item->child = other->child;
    char *text = cJSON_PrintUnformatted(all->root);
    assert_non_null(text);
    const imp_status status = merge(text, strlen(text), &all->header, why);
    *item = kept;
    cJSON_free(text);
    cJSON_Delete(other);
    all->tried++;
    all->refused += status != IMP_OK;
    if (status != IMP_OK && why->message[0] == '\0')
        fail_msg("\"%s\" is refused without a sentence", item->string != NULL ? item->string : "an item");
    return status;
}

static void must_refuse(damage *all, cJSON *item, cJSON *other, const char *what)
{
    imp_error why;
    if (merge_with(all, item, other, &why) == IMP_OK)
        fail_msg("%s in place of \"%s\" is not refused", what, item->string != NULL ? item->string : "an item");
}

static void damage_all(damage *all, cJSON *item)
{
    imp_error why;
    size_t members = 0;
    for (cJSON *child = item->child; child != NULL; child = child->next)
        if (++members <= 30 || child->next == NULL) /* rows of long lists are alike */
            damage_all(all, child);
    if (cJSON_IsNumber(item)) {
        must_refuse(all, item, cJSON_CreateString("7"), "a text");
        merge_with(all, item, cJSON_CreateNumber(-item->valuedouble - 1.0), &why);
        merge_with(all, item, cJSON_CreateNumber(1e300), &why);
        merge_with(all, item, cJSON_CreateNumber(0.5), &why);
    } else if (cJSON_IsString(item)) {
        must_refuse(all, item, cJSON_CreateNumber(7.0), "a number");
        if (item->string == NULL || strcmp(item->string, "sample") != 0) /* a cell as it stood in the log: any text */
            must_refuse(all, item, cJSON_CreateString("?"), "\"?\"");
        merge_with(all, item, cJSON_CreateString(""), &why);
    } else if (cJSON_IsObject(item) || cJSON_IsArray(item)) {
        merge_with(all, item, cJSON_CreateNumber(7.0), &why);
        merge_with(all, item, cJSON_CreateObject(), &why);
        merge_with(all, item, cJSON_CreateArray(), &why);
    }
    if (item != all->root)
        merge_with(all, item, cJSON_CreateNull(), &why);
}

static void every_member_that_cannot_be_meant_is_refused(void **state)
{
    (void)state;
    size_t length;
    char *text = partial_text(&length);
    imp_error why;
    damage all = {.root = cJSON_ParseWithLength(text, length)};
    assert_non_null(all.root);
    assert_ok(imp_columns_partial_header(text, length, &all.header, error));
    assert_int_equal(merge(text, length, &all.header, &why), IMP_OK);
    damage_all(&all, all.root);
    if (all.refused * 2 < all.tried)
        fail_msg("%zu of %zu damaged partial results are refused", all.refused, all.tried);
    cJSON_Delete(all.root);
    imp_release(NULL, text);
}

/* Times are written with the zone: one that no log has would be no whole number of minutes any more. */
static void a_zone_that_no_log_has_is_refused(void **state)
{
    (void)state;
    static const double zones[] = {68400.0, -68400.0, 1e300};
    size_t length;
    char *text = partial_text(&length);
    imp_error why;
    damage all = {.root = cJSON_ParseWithLength(text, length)};
    assert_non_null(all.root);
    assert_ok(imp_columns_partial_header(text, length, &all.header, error));
    assert_true(all.header.zone_offset == 7200.0);
    cJSON *zone = cJSON_GetObjectItemCaseSensitive(all.root, "zone_offset");
    assert_non_null(zone);
    for (size_t i = 0; i < sizeof zones / sizeof zones[0]; i++) {
        assert_int_equal(merge_with(&all, zone, cJSON_CreateNumber(zones[i]), &why), IMP_SYNTAX);
        assert_contains(why.message, "no partial result");
    }
    assert_int_equal(merge_with(&all, zone, cJSON_CreateNumber(-68340.0), &why), IMP_OK);
    cJSON_Delete(all.root);
    imp_release(NULL, text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_member_that_cannot_be_meant_is_refused),
        cmocka_unit_test(a_zone_that_no_log_has_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
