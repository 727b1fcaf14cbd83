/* Pieces of a log that are longer than what their neighbours may change: the rows kept at the end are thinned out on the
 * way, and the merged answers are still those of one run, to the last bit. */
#include "log_support.h"

enum { ROWS = 30000, ANSWERS = 8 };

static int scattered(int i)
{
    uint32_t x = (uint32_t)i * UINT32_C(2654435761);
    x = (x ^ (x >> 15)) * UINT32_C(2246822519);
    x = (x ^ (x >> 13)) * UINT32_C(3266489917);
    return (int)((x ^ (x >> 16)) % 1009);
}

static char *text_of(int first, int last, int with_breaks)
{
    static char text[ROWS * 40];
    size_t used = (size_t)sprintf(text, "time,a,b\n");
    for (int i = first; i < last; i++) {
        const int at = with_breaks ? i + i / 5000 * 100 : i;
        if (i % 97 == 5)
            used += (size_t)sprintf(text + used, "%d,,%d.25\n", at, i % 7);
        else
            used += (size_t)sprintf(text + used, "%d,%d.5,%d\n", at, scattered(i), i / 400 % 3);
    }
    return text;
}

typedef struct set {
    imp_columns *columns;
    imp_reduction answers[ANSWERS], spans;
} set;

static set ask(const imp_log_header *header, double window)
{
    set made = {.columns = NULL};
    imp_column a, b, rolling, limit, above, lasting, rate, still;
    const imp_quantity half = {.si = 500.0};
    imp_columns *c;
    assert_ok(imp_columns_create(NULL, &made.columns, error));
    c = made.columns;
    assert_ok(imp_columns_bind(c, header, error));
    assert_ok(imp_columns_source(c, "a", &a, error));
    assert_ok(imp_columns_source(c, "b", &b, error));
    assert_ok(imp_columns_constant(c, &half, &limit, error));
    assert_ok(imp_columns_over_time(c, IMP_COLUMN_ROLLING, a, window, &rolling, error));
    assert_ok(imp_columns_binary(c, IMP_COLUMN_ABOVE, rolling, limit, &above, error));
    assert_ok(imp_columns_over_time(c, IMP_COLUMN_LASTING, above, 3.0, &lasting, error));
    assert_ok(imp_columns_unary(c, IMP_COLUMN_RATE, a, &rate, error));
    assert_ok(imp_columns_over_time(c, IMP_COLUMN_UNCHANGED, b, 100.0, &still, error));
    static const imp_reduction_kind kinds[] = {IMP_REDUCE_SUM, IMP_REDUCE_SD, IMP_REDUCE_MIN, IMP_REDUCE_LAST};
    for (size_t i = 0; i < 4; i++)
        assert_ok(imp_columns_reduce(c, kinds[i], rolling, lasting, 0.0, &made.answers[i], error));
    assert_ok(imp_columns_reduce(c, IMP_REDUCE_INTEGRAL_TRAPEZOID, a, still, 0.0, &made.answers[4], error));
    assert_ok(imp_columns_reduce(c, IMP_REDUCE_TIME, lasting, IMP_NO_COLUMN, 0.0, &made.answers[5], error));
    assert_ok(imp_columns_reduce(c, IMP_REDUCE_SUM, rate, IMP_NO_COLUMN, 0.0, &made.answers[6], error));
    assert_ok(imp_columns_reduce(c, IMP_REDUCE_INCREASE, a, IMP_NO_COLUMN, 0.0, &made.answers[7], error));
    assert_ok(imp_columns_spans(c, lasting, &rolling, 1, &made.spans, error));
    return made;
}

static char *partial_of(const char *text, double window, size_t *length)
{
    imp_log *log = NULL;
    char *partial = NULL;
    assert_ok(imp_log_open(file_with(text), NULL, &log, error));
    set piece = ask(imp_log_header_of(log), window);
    assert_ok(imp_columns_run_partial(piece.columns, log, &partial, length, error));
    imp_columns_free(piece.columns);
    imp_log_close(log);
    return partial;
}

static void check_pieces(const int *cuts, size_t count, double window, int with_breaks)
{
    imp_log *log = NULL;
    assert_ok(imp_log_open(file_with(text_of(0, ROWS, with_breaks)), NULL, &log, error));
    set whole = ask(imp_log_header_of(log), window), merged = ask(imp_log_header_of(log), window);
    assert_ok(imp_columns_run(whole.columns, log, error));
    for (size_t i = 0; i + 1 < count; i++) {
        size_t length;
        char *partial = partial_of(text_of(cuts[i], cuts[i + 1], with_breaks), window, &length);
        assert_ok(imp_columns_merge(merged.columns, partial, length, error));
        free(partial);
    }
    assert_ok(imp_columns_merge_finish(merged.columns, error));
    for (size_t i = 0; i < ANSWERS; i++) {
        imp_quantity a, b;
        assert_ok(imp_columns_result(whole.columns, whole.answers[i], &a, error));
        assert_ok(imp_columns_result(merged.columns, merged.answers[i], &b, error));
        assert_memory_equal(&a.si, &b.si, sizeof a.si);
    }
    const uint64_t spans = imp_columns_span_count(whole.columns, whole.spans);
    assert_true(spans > (window < 100.0 ? 100 : 0));
    assert_int_equal(imp_columns_span_count(merged.columns, merged.spans), spans);
    for (size_t i = 0; i < imp_columns_spans_kept(whole.columns, whole.spans); i++) {
        imp_span a, b;
        assert_ok(imp_columns_span_at(whole.columns, whole.spans, i, &a, error));
        assert_ok(imp_columns_span_at(merged.columns, merged.spans, i, &b, error));
        assert_true(a.from == b.from && a.to == b.to && a.rows == b.rows && a.values[0].mean == b.values[0].mean);
    }
    imp_columns_free(whole.columns);
    imp_columns_free(merged.columns);
    imp_log_close(log);
}

static void long_pieces_merge_to_one_run_to_the_last_bit(void **state)
{
    (void)state;
    static const int in_one[] = {0, ROWS}, in_two[] = {0, 17000, ROWS}, uneven[] = {0, 1, 9000, 9003, 29999, ROWS};
    check_pieces(in_one, 2, 30.0, 0);
    check_pieces(in_two, 3, 30.0, 0);
    check_pieces(in_two, 3, 7000.0, 0); /* a window that reaches over much of what is kept */
    check_pieces(uneven, 6, 30.0, 0);
    check_pieces(uneven, 6, 900.0, 1);
}

/* More rows may change what a neighbour means than a partial result takes. */
static void a_window_over_a_very_long_piece_is_refused(void **state)
{
    (void)state;
    enum { MANY = 2 * IMP_COLUMNS_WAITING_ROWS + 10 };
    char *text = calloc(MANY, 16);
    size_t used = (size_t)sprintf(text, "time,a,b\n");
    for (int i = 0; i < MANY; i++)
        used += (size_t)sprintf(text + used, "%d,%d,1\n", i, i % 2);
    imp_log *log = NULL;
    char *partial = NULL;
    size_t length;
    imp_error why;
    assert_ok(imp_log_open(file_of(text, used), NULL, &log, error));
    set piece = ask(imp_log_header_of(log), 1e6);
    assert_int_equal(imp_columns_run_partial(piece.columns, log, &partial, &length, &why), IMP_LIMIT);
    assert_contains(why.message, "windows reach over more than 32768 rows of a piece; resample first");
    assert_null(partial);
    imp_columns_free(piece.columns);
    imp_log_close(log);
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(long_pieces_merge_to_one_run_to_the_last_bit),
        cmocka_unit_test(a_window_over_a_very_long_piece_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
