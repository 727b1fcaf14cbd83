/* Partial results that do not belong together, and answers asked for where there are none. */
#include "log_support.h"

#include "catalogue.h"
#include "columns_values.h"
#include "stats.h"

/* A set over this log that asks for the sum of its first column. */
static imp_columns *set_of(const imp_log_header *header, imp_reduction *sum)
{
    imp_columns *columns = NULL;
    imp_column first;
    assert_ok(imp_columns_create(NULL, &columns, error));
    assert_ok(imp_columns_bind(columns, header, error));
    assert_ok(imp_columns_source(columns, header->columns[0].name, &first, error));
    assert_ok(imp_columns_reduce(columns, IMP_REDUCE_SUM, first, IMP_NO_COLUMN, 0.0, sum, error));
    return columns;
}

static char *partial_of(const char *text, size_t *length, imp_log_header *header)
{
    imp_log *log = NULL;
    char *partial = NULL;
    imp_reduction sum;
    assert_ok(imp_log_open(file_with(text), NULL, &log, error));
    *header = *imp_log_header_of(log);
    imp_columns *columns = set_of(header, &sum);
    assert_ok(imp_columns_run_partial(columns, log, &partial, length, error));
    imp_columns_free(columns);
    imp_log_close(log);
    return partial;
}

static void pieces_of_unlike_logs_do_not_merge(void **state)
{
    (void)state;
    static const struct {
        const char *second, *message;
    } cases[] = {
        {"time,a [bar]\n2,3\n", "is of a log with other columns"},
        {"time,a [bar],c\n2,3,4\n", "is of a log with other columns"},
        {"time,a [kPa],b\n2,3,4\n", "is of a log with other columns"},
        {"time,a [bar],b\n2031-05-14T07:00:00,3,4\n", "one piece has calendar times and another has not"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        size_t length, other_length;
        imp_log_header header, other_header;
        imp_reduction sum;
        imp_error why;
        char *first = partial_of("time,a [bar],b\n0,1,2\n1,2,3\n", &length, &header), *second = partial_of(cases[i].second, &other_length, &other_header);
        imp_columns *columns = set_of(&header, &sum);
        assert_ok(imp_columns_merge(columns, first, length, error));
        assert_int_equal(imp_columns_merge(columns, second, other_length, &why), IMP_TYPE);
        assert_contains(why.message, cases[i].message);
        free(first);
        free(second);
        imp_columns_free(columns);
    }
}

static void a_piece_without_rows_says_nothing_of_the_times(void **state)
{
    (void)state;
    size_t lengths[3];
    imp_log_header header, with_rows;
    imp_reduction sum;
    imp_quantity found;
    char *pieces[3] = {partial_of("time,a [bar],b\nno time,1,1\n", &lengths[0], &header),
                       partial_of("time,a [bar],b\n2031-05-14T07:00:00,1,2\n2031-05-14T07:00:01,2,3\n", &lengths[1], &with_rows),
                       partial_of("time,a [bar],b\nno time,1,1\n", &lengths[2], &header)};
    imp_columns *columns = set_of(&header, &sum);
    for (size_t i = 0; i < 3; i++)
        assert_ok(imp_columns_merge(columns, pieces[i], lengths[i], error));
    assert_ok(imp_columns_merge_finish(columns, error));
    assert_true(imp_columns_header(columns)->is_calendar);
    assert_ok(imp_columns_result(columns, sum, &found, error));
    assert_relative(found.si, 3e5, 1e-15);
    assert_int_equal(imp_columns_faults(columns)->kind[IMP_FAULT_NO_TIME].count, 2);
    for (size_t i = 0; i < 3; i++)
        free(pieces[i]);
    imp_columns_free(columns);
}

static void a_header_of_more_columns_than_a_log_has_is_not_ours(void **state)
{
    (void)state;
    size_t length;
    imp_log_header header;
    imp_error why;
    char *partial = partial_of("time,a\n0,1\n", &length, &header);
    const char *const at = strstr(partial, "\"columns\":[");
    assert_non_null(at);
    const size_t before = (size_t)(at - partial) + strlen("\"columns\":[");
    for (int more = IMP_LOG_MOST_COLUMNS - 1; more <= IMP_LOG_MOST_COLUMNS; more++) {
        char *text = calloc(length + 200 * IMP_LOG_MOST_COLUMNS, 1);
        memcpy(text, partial, before);
        for (int i = 0; i < more; i++)
            sprintf(text + strlen(text), "{\"name\":\"x%d\",\"unit\":\"bar\",\"is_reading\":false},", i);
        strcat(text, partial + before);
        assert_int_equal(imp_columns_partial_header(text, strlen(text), &header, &why), more < IMP_LOG_MOST_COLUMNS ? IMP_OK : IMP_SYNTAX);
        free(text);
    }
    free(partial);
}

static void numbers_of_no_reduction_have_no_answer(void **state)
{
    (void)state;
    size_t length;
    imp_log_header header;
    imp_reduction sum;
    imp_quantity found;
    imp_span span;
    imp_series_point point;
    imp_error why;
    double longest, total;
    free(partial_of("time,a\n0,1\n", &length, &header));
    imp_columns *columns = set_of(&header, &sum);
    static const imp_reduction none[] = {-1, 1, 1000};
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++) {
        assert_int_equal(imp_columns_result(columns, none[i], &found, &why), IMP_INTERNAL);
        assert_contains(why.message, "is not of this set");
        assert_int_equal(imp_columns_span_count(columns, none[i]), 0);
        assert_int_equal(imp_columns_spans_kept(columns, none[i]), 0);
        assert_int_equal(imp_columns_series_count(columns, none[i]), 0);
        assert_int_equal(imp_columns_span_at(columns, none[i], 0, &span, &why), IMP_INTERNAL);
        assert_int_equal(imp_columns_series_at(columns, none[i], 0, &point, &why), IMP_INTERNAL);
        assert_int_equal(imp_columns_span_totals(columns, none[i], &longest, &total, &why), IMP_INTERNAL);
    }
    imp_columns_free(columns);
}

static void values_are_those_of_columns_in_memory_only(void **state)
{
    (void)state;
    enum { COUNT = 3000 };
    static double values[COUNT], doubled[COUNT];
    size_t length;
    imp_log_header header;
    imp_reduction sum;
    imp_column streamed, memory, empty, twice, two;
    imp_error why;
    free(partial_of("time,a\n0,1\n", &length, &header));
    imp_columns *columns = set_of(&header, &sum);
    const imp_quantity quantity = {.si = 2.0};
    for (int i = 0; i < COUNT; i++)
        values[i] = i % 7 == 0 ? (double)NAN : i;
    assert_ok(imp_columns_source(columns, "a", &streamed, error));
    assert_ok(imp_columns_memory(columns, values, COUNT, quantity.dimension, false, &memory, error));
    assert_ok(imp_columns_memory(columns, values, 0, quantity.dimension, false, &empty, error));
    assert_ok(imp_columns_constant(columns, &quantity, &two, error));
    assert_ok(imp_columns_binary(columns, IMP_COLUMN_MULTIPLY, memory, two, &twice, error));
    assert_ok(imp_columns_values(columns, twice, doubled, COUNT, error));
    for (int i = 0; i < COUNT; i++)
        assert_true(isnan(values[i]) ? isnan(doubled[i]) : doubled[i] == 2.0 * i);
    assert_ok(imp_columns_values(columns, empty, doubled, 0, error));
    assert_int_equal(imp_columns_values(columns, streamed, doubled, 1, &why), IMP_TYPE);
    assert_int_equal(imp_columns_values(columns, memory, doubled, COUNT - 1, &why), IMP_TYPE);
    assert_contains(why.message, "expected a column in memory of 2999 rows");
    imp_columns_free(columns);
}

/* Lists from a script may be longer than those that are typed. */
static void every_entry_over_a_list_has_the_same_most(void **state)
{
    (void)state;
    enum { MOST = 4096 };
    static imp_value items[MOST + 1];
    static const char *const ids[] = {"stats.mean", "stats.sd", "stats.quantile", "stats.individuals"};
    for (int i = 0; i <= MOST; i++)
        items[i] = (imp_value){.number = i % 3, .given = true};
    for (size_t i = 0; i < sizeof ids / sizeof ids[0]; i++)
        for (size_t count = MOST; count <= MOST + 1; count++) {
            imp_value in[IMP_MOST_INPUTS] = {{.items = items, .count = count, .given = true}, {.number = 0.5, .given = true}}, out[IMP_MOST_OUTPUTS];
            imp_error why = {.status = IMP_OK};
            assert_int_equal(imp_calc_evaluate(imp_catalogue_find(ids[i]), in, out, NULL, &why), count == MOST ? IMP_OK : IMP_LIMIT);
            if (count > MOST)
                assert_contains(why.message, "there are more than 4096 numbers; use a column");
        }
}

static void any_of_a_charts_rows_may_be_left_out(void **state)
{
    (void)state;
    static const double values[] = {9.9, 10.4, 10.1};
    double averages[3], lower[3], upper[3], alone[3];
    assert_ok(imp_stats_ewma(values, 3, 10.0, 0.5, 0.3, 3.0, averages, lower, upper, error));
    assert_ok(imp_stats_ewma(values, 3, 10.0, 0.5, 0.3, 3.0, NULL, NULL, alone, error));
    assert_memory_equal(alone, upper, sizeof alone);
    assert_ok(imp_stats_ewma(values, 3, 10.0, 0.5, 0.3, 3.0, alone, NULL, NULL, error));
    assert_memory_equal(alone, averages, sizeof alone);
    assert_ok(imp_stats_ewma(values, 3, 10.0, 0.5, 0.3, 3.0, NULL, alone, NULL, error));
    assert_memory_equal(alone, lower, sizeof alone);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pieces_of_unlike_logs_do_not_merge),
        cmocka_unit_test(a_piece_without_rows_says_nothing_of_the_times),
        cmocka_unit_test(a_header_of_more_columns_than_a_log_has_is_not_ours),
        cmocka_unit_test(numbers_of_no_reduction_have_no_answer),
        cmocka_unit_test(values_are_those_of_columns_in_memory_only),
        cmocka_unit_test(every_entry_over_a_list_has_the_same_most),
        cmocka_unit_test(any_of_a_charts_rows_may_be_left_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
