/* Exact sums: against whole-number arithmetic, and against what exactness implies. */
#include "log_support.h"

#include <float.h>

#include "exact_sum.h"
#include "kernels.h"

static uint64_t next_random(uint64_t *state)
{
    /* splitmix64 */
    uint64_t z = (*state += UINT64_C(0x9e3779b97f4a7c15));
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

/* Any finite double, all exponents alike. */
static double any_double(uint64_t *state)
{
    for (;;) {
        const uint64_t bits = next_random(state);
        double value;
        memcpy(&value, &bits, sizeof value);
        if (isfinite(value) && fabs(value) < 1e300)
            return value;
    }
}

static double sum_of(const double *values, size_t count)
{
    imp_exact_sum sum;
    imp_exact_sum_init(&sum);
    for (size_t i = 0; i < count; i++)
        imp_exact_sum_add(&sum, values[i]);
    return imp_exact_sum_value(&sum);
}

static void small_terms_survive_between_large_ones_that_cancel(void **state)
{
    (void)state;
    const double values[] = {1e300, 1.0, -1e300, 1e-300, DBL_TRUE_MIN, -1.0};
    imp_exact_sum sum;
    imp_exact_sum_init(&sum);
    for (size_t i = 0; i < 6; i++)
        imp_exact_sum_add(&sum, values[i]);
    imp_exact_sum_add(&sum, -1e-300);
    assert_true(imp_exact_sum_value(&sum) == DBL_TRUE_MIN);
}

/* IEEE 754: one rounding to nearest, ties to even; 2^53 + 1 is a tie */
static void the_sum_is_rounded_once_to_nearest_even(void **state)
{
    (void)state;
    const double tie[] = {0x1p53, 1.0}, above[] = {0x1p53, 1.0, 0x1p-1000}, odd[] = {0x1p53 + 2.0, 1.0}, below[] = {0x1p53, 1.0, -0x1p-1000};
    assert_true(sum_of(tie, 2) == 0x1p53);
    assert_true(sum_of(above, 3) == 0x1p53 + 2.0);
    assert_true(sum_of(odd, 2) == 0x1p53 + 4.0);
    assert_true(sum_of(below, 3) == 0x1p53);
}

static void a_sum_of_two_is_the_machine_sum(void **state)
{
    (void)state;
    uint64_t seed = 1;
    for (int i = 0; i < 200000; i++) {
        const double pair[] = {any_double(&seed), i % 2 ? any_double(&seed) : ldexp(any_double(&seed) > 0 ? 1.25 : -1.5, i % 80)};
        assert_true(sum_of(pair, 2) == pair[0] + pair[1]);
    }
}

/* whole numbers below 2^53 in total: the machine's own integers are the outside reference */
static void whole_numbers_add_up_as_integers_do(void **state)
{
    (void)state;
    uint64_t seed = 7;
    imp_exact_sum sum;
    imp_exact_sum_init(&sum);
    int64_t whole = 0;
    for (int i = 0; i < 100000; i++) {
        const int64_t term = (int64_t)(next_random(&seed) >> 28) - (INT64_C(1) << 35);
        whole += term;
        imp_exact_sum_add(&sum, (double)term);
    }
    assert_true(imp_exact_sum_value(&sum) == (double)whole);
}

static void order_grouping_and_text_do_not_matter(void **state)
{
    (void)state;
    enum { COUNT = 3000 };
    static double values[COUNT];
    uint64_t seed = 3;
    for (int round = 0; round < 20; round++) {
        for (int i = 0; i < COUNT; i++)
            values[i] = any_double(&seed);
        imp_exact_sum forward, back, parts[3], read;
        imp_exact_sum_init(&forward);
        imp_exact_sum_init(&back);
        for (int i = 0; i < 3; i++)
            imp_exact_sum_init(&parts[i]);
        for (int i = 0; i < COUNT; i++) {
            imp_exact_sum_add(&forward, values[i]);
            imp_exact_sum_add(&back, values[COUNT - 1 - i]);
            imp_exact_sum_add(&parts[next_random(&seed) % 3], values[i]);
        }
        imp_exact_sum_merge(&parts[0], &parts[1]);
        imp_exact_sum_merge(&parts[2], &parts[0]);
        char a[IMP_EXACT_TEXT_SIZE], b[IMP_EXACT_TEXT_SIZE], c[IMP_EXACT_TEXT_SIZE], d[IMP_EXACT_TEXT_SIZE];
        imp_exact_sum_write(&forward, a, sizeof a);
        assert_string_equal(a, imp_exact_sum_write(&back, b, sizeof b));
        assert_string_equal(a, imp_exact_sum_write(&parts[2], c, sizeof c));
        assert_int_equal(imp_exact_sum_read(a, &read, NULL), IMP_OK);
        assert_string_equal(a, imp_exact_sum_write(&read, d, sizeof d));
        assert_true(imp_exact_sum_value(&forward) == imp_exact_sum_value(&read));
        imp_exact_sum_subtract(&read, &back);
        assert_true(imp_exact_sum_value(&read) == 0.0);
        assert_string_equal(imp_exact_sum_write(&read, d, sizeof d), "0");
    }
}

static void check_block(const double *values, size_t count)
{
    imp_exact_sum one, all;
    double least = HUGE_VAL, greatest = -HUGE_VAL;
    char a[IMP_EXACT_TEXT_SIZE], b[IMP_EXACT_TEXT_SIZE];
    imp_exact_sum_init(&one);
    imp_exact_sum_init(&all);
    for (size_t i = 0; i < count; i++)
        if (values[i] == values[i]) {
            imp_exact_sum_add(&one, values[i]);
            least = fmin(least, values[i]);
            greatest = fmax(greatest, values[i]);
        }
    if (least <= greatest)
        imp_exact_sum_add_block(&all, values, count, least, greatest);
    assert_string_equal(imp_exact_sum_write(&one, a, sizeof a), imp_exact_sum_write(&all, b, sizeof b));
}

static void blocks_add_up_as_single_values_do(void **state)
{
    (void)state;
    static double values[2500];
    uint64_t seed = 11;
    for (size_t count = 0; count < 2500; count += count < 40 ? 1 : 613) {
        for (int kind = 0; kind < 6; kind++) {
            for (size_t i = 0; i < count; i++) {
                const double u = (double)(next_random(&seed) >> 11) * 0x1p-53;
                values[i] = kind == 0   ? 8e6 + u * 1e4
                            : kind == 1 ? (u - 0.5) * 1e-5
                            : kind == 2 ? any_double(&seed)
                            : kind == 3 ? (i % 3 == 0 ? (double)NAN : 300.0 + u)
                            : kind == 4 ? (i % 7 == 0 ? 1e30 : u * 1e-30)
                                        : 0.0;
            }
            check_block(values, count);
        }
    }
}

static void both_sets_of_loops_give_the_same_bits(void **state)
{
    (void)state;
    const imp_kernels *wide = imp_kernels_wide(), *plain = &imp_kernels_plain;
    static double a[1000], b[1000], mask[1000], x[1008], y[1008];
    uint64_t seed = 5;
    if (wide == NULL)
        skip();
    for (size_t i = 0; i < 1000; i++) {
        a[i] = i % 5 == 0 ? (double)NAN : i % 7 == 0 ? 0.0 : any_double(&seed) * 1e-3;
        b[i] = i % 11 == 0 ? (double)NAN : i % 13 == 0 ? a[i] : i % 17 == 0 ? 0.0 : any_double(&seed);
        mask[i] = i % 3 == 0 ? 1.0 : i % 3 == 1 ? 0.0 : (double)NAN;
    }
    for (int operation = IMP_COLUMN_ADD; operation <= IMP_COLUMN_OR_ELSE; operation++) {
        const bool logical = operation == IMP_COLUMN_AND || operation == IMP_COLUMN_OR;
        plain->binary((imp_column_operation)operation, logical ? mask : a, logical ? mask + 1 : b, x, 992);
        wide->binary((imp_column_operation)operation, logical ? mask : a, logical ? mask + 1 : b, y, 992);
        for (size_t i = 0; i < 992; i++)
            assert_true(x[i] == y[i] || (x[i] != x[i] && y[i] != y[i]));
    }
    for (size_t rows = 0; rows < 60; rows++) {
        const imp_extent p = plain->select(a, mask, rows, x), w = wide->select(a, mask, rows, y);
        assert_true(p.count == w.count && p.least == w.least && p.greatest == w.greatest);
    }
    for (size_t rows = 0; rows < 300; rows++) {
        const imp_conversion by = {.text_divisor = 10.0, .divisor = rows % 2 == 0 ? 0.0 : 60000.0, .factor = 1e5, .offset = (double)(rows % 3)};
        uint64_t p[5] = {0}, w[5] = {0};
        plain->ones(mask, rows, p);
        wide->ones(mask, rows, w);
        assert_memory_equal(p, w, sizeof p);
        for (size_t i = 0; i < rows; i++)
            assert_int_equal(p[i / 64] >> i % 64 & 1, mask[i] == 1.0);
        double greatest = 0.0;
        for (size_t i = 0; i < rows; i++) {
            x[i] = mask[i] == 1.0 ? (double)(i * 7 % 31) : 0.0; /* durations */
            greatest = fmax(greatest, x[i]);
        }
        assert_true(plain->holds(x, rows, p) == greatest && wide->holds(x, rows, w) == greatest);
        assert_memory_equal(p, w, sizeof p);
        for (size_t i = 0; i < rows; i++)
            assert_int_equal(p[i / 64] >> i % 64 & 1, x[i] > 0.0);
        memcpy(x, a, sizeof a);
        memcpy(y, a, sizeof a);
        plain->convert(x, rows, &by);
        wide->convert(y, rows, &by);
        for (size_t i = 0; i < rows; i++) {
            const double scaled = rows % 2 == 0 ? a[i] / 10.0 * 1e5 : a[i] / 10.0 / 60000.0;
            assert_true(a[i] != a[i] ? x[i] != x[i] && y[i] != y[i] : x[i] == scaled + by.offset && y[i] == x[i]);
        }
    }
}

/* Whole eighths below 64: their sums are exact as they are. */
static void both_sets_have_the_same_means_of_windows(void **state)
{
    (void)state;
    enum { MOST = 200, ROOM = MOST + 2 * IMP_KERNEL_ROUND };
    const imp_kernels *sets[] = {&imp_kernels_plain, imp_kernels_best()};
    const imp_sum_places places = {.first = 0x1.8p14, .second = 0x1.8p-30, .limit = 64.0};
    double values[ROOM], upper[ROOM] = {0.0}, lower[ROOM] = {0.0}, count[ROOM] = {0.0}, means[ROOM];
    uint32_t first[ROOM] = {0};
    for (size_t set = 0; set < 2; set++)
        for (size_t rows = 1; rows < MOST; rows++) {
            const imp_running_sums sums = {upper, lower, count};
            for (size_t i = 0; i < ROOM; i++) {
                values[i] = i >= rows || i * i % 7 == 2 ? (double)NAN : (double)(i * i * i % 500) / 8.0;
                first[i] = (uint32_t)(i < 40 ? 0 : i < 120 ? i - 39 : i - i % 3);
            }
            assert_true(sets[set]->running_sums(values, rows, &places, &sums));
            sets[set]->window_means(&sums, first, 0, rows, means);
            for (size_t i = 0; i < rows; i++) {
                double sum = 0.0, found = 0.0;
                for (size_t k = first[i]; k <= i; k++)
                    if (values[k] == values[k]) {
                        sum += values[k];
                        found += 1.0;
                    }
                assert_true(found > 0.0 ? means[i] == sum / found : means[i] != means[i]);
            }
            values[rows / 2] = rows % 2 == 0 ? 64.0 : 0x1p-90; /* too large, too fine */
            assert_false(sets[set]->running_sums(values, rows, &places, &sums));
        }
}

static void values_under_a_mask_add_up_to_the_same_whatever_was_guessed(void **state)
{
    (void)state;
    static double values[1500], mask[1500];
    uint64_t seed = 9;
    int exponent = 0;
    for (int kind = 0; kind < 40; kind++) {
        const size_t count = kind % 2 == 0 ? 1500 : (size_t)(kind * 7 % 90);
        imp_exact_sum one_by_one, at_once;
        imp_extent found;
        double least = HUGE_VAL, greatest = -HUGE_VAL;
        uint64_t present = 0;
        char expected[IMP_EXACT_TEXT_SIZE], got[IMP_EXACT_TEXT_SIZE];
        imp_exact_sum_init(&one_by_one);
        imp_exact_sum_init(&at_once);
        for (size_t i = 0; i < count; i++) {
            const double u = any_double(&seed), size = kind % 8 < 5 ? 1.0 : kind % 8 == 5 ? 1e-310 : kind % 8 == 6 ? 1e-20 : 1e290;
            values[i] = i % 13 == 5 ? (double)NAN : kind % 5 == 0 ? (double)(i % 50) * size : u * 1e-3 * size;
            if (!isfinite(values[i]))
                values[i] = 1.0;
            mask[i] = i % 3 == 0 ? 1.0 : i % 3 == 1 ? 0.0 : (double)NAN;
            if (values[i] != values[i] || (kind % 3 != 0 && mask[i] != 1.0))
                continue;
            imp_exact_sum_add(&one_by_one, values[i]);
            least = fmin(least, values[i]);
            greatest = fmax(greatest, values[i]);
            present++;
        }
        exponent = kind % 4 == 0 ? 900 - 50 * kind : exponent; /* a bad guess now and then */
        imp_exact_sum_add_where(&at_once, values, kind % 3 != 0 ? mask : NULL, count, &exponent, &found);
        assert_string_equal(imp_exact_sum_write(&at_once, got, sizeof got), imp_exact_sum_write(&one_by_one, expected, sizeof expected));
        assert_true(found.count == present && found.least == least && found.greatest == greatest);
    }
}

/* (2^53 - 1)^2 = 2^106 - 2^54 + 1 */
static void products_are_exact(void **state)
{
    (void)state;
    imp_exact_sum sum;
    imp_exact_sum_init(&sum);
    imp_exact_sum_add_product(&sum, 0x1p53 - 1.0, 0x1p53 - 1.0);
    imp_exact_sum_add(&sum, -0x1p106);
    imp_exact_sum_add(&sum, 0x1p54);
    assert_true(imp_exact_sum_value(&sum) == 1.0);
    imp_exact_sum_add_product(&sum, -0.1, 0.1);
    imp_exact_sum_add_product(&sum, 0.1, 0.1);
    assert_true(imp_exact_sum_value(&sum) == 1.0);
}

static void overflow_is_kept_and_not_undone(void **state)
{
    (void)state;
    imp_exact_sum sum, read;
    char text[IMP_EXACT_TEXT_SIZE];
    imp_exact_sum_init(&sum);
    for (int i = 0; i < 4; i++)
        imp_exact_sum_add(&sum, DBL_MAX);
    assert_true(isinf(imp_exact_sum_value(&sum)));
    for (int i = 0; i < 3; i++)
        imp_exact_sum_add(&sum, -DBL_MAX);
    assert_true(imp_exact_sum_value(&sum) == DBL_MAX);
    imp_exact_sum_add(&sum, (double)INFINITY);
    assert_true(isnan(imp_exact_sum_value(&sum)));
    assert_int_equal(imp_exact_sum_read(imp_exact_sum_write(&sum, text, sizeof text), &read, NULL), IMP_OK);
    assert_true(read.overflowed);
}

static void foreign_texts_are_refused(void **state)
{
    (void)state;
    static const char *const bad[] = {"", "1", "1:", "1:g", "70:1", "999999:1", "1:123456789", "1:1,", "1:1 ", "x", "-", "69:1,1"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        imp_exact_sum sum;
        imp_error error;
        assert_int_equal(imp_exact_sum_read(bad[i], &sum, &error), IMP_SYNTAX);
        assert_contains(error.message, "no sum");
    }
}

static void what_overflowed_has_no_deviations_and_equal_values_have_none(void **state)
{
    (void)state;
    imp_exact_sum sum, squares;
    imp_exact_sum_init(&sum);
    imp_exact_sum_init(&squares);
    for (int i = 0; i < 7; i++) {
        imp_exact_sum_add(&sum, 0.1);
        imp_exact_sum_add_product(&squares, 0.1, 0.1);
    }
    assert_true(imp_exact_sum_deviations(&sum, &squares, 7) == 0.0);
    imp_exact_sum_add_product(&squares, HUGE_VAL, 1.0);
    assert_true(isnan(imp_exact_sum_deviations(&sum, &squares, 7)));
}

/* Sums of the largest doubles leave the range of doubles, and are an infinity only then. */
static void a_sum_too_large_for_a_double_is_an_infinity_of_its_sign(void **state)
{
    (void)state;
    const double twice[] = {DBL_MAX, DBL_MAX}, rounds_up[] = {DBL_MAX, 0x1p970}, stays[] = {DBL_MAX, 0x1p969}, back[] = {DBL_MAX, DBL_MAX, -DBL_MAX};
    assert_true(sum_of(twice, 2) == HUGE_VAL && sum_of(rounds_up, 2) == HUGE_VAL);
    assert_true(sum_of(stays, 2) == DBL_MAX && sum_of(back, 3) == DBL_MAX);
    const double minus_twice[] = {-DBL_MAX, -DBL_MAX}, rounds_down[] = {-DBL_MAX, -0x1p970};
    assert_true(sum_of(minus_twice, 2) == -HUGE_VAL && sum_of(rounds_down, 2) == -HUGE_VAL);
}

static void the_highest_piece_is_written_and_read(void **state)
{
    (void)state;
    static const char *const texts[] = {"69:7", "-69:7", "68:ffffffff,ffffffff"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        imp_exact_sum sum;
        char text[IMP_EXACT_TEXT_SIZE];
        assert_int_equal(imp_exact_sum_read(texts[i], &sum, NULL), IMP_OK);
        assert_string_equal(imp_exact_sum_write(&sum, text, sizeof text), texts[i]);
        assert_true(imp_exact_sum_value(&sum) == (texts[i][0] == '-' ? -HUGE_VAL : HUGE_VAL));
    }
    imp_exact_sum sum;
    imp_error error;
    assert_int_equal(imp_exact_sum_read("70:1", &sum, &error), IMP_SYNTAX);
    assert_int_equal(imp_exact_sum_read("69:1,1", &sum, &error), IMP_SYNTAX);
    assert_int_equal(imp_exact_sum_read("0:1234567890", &sum, &error), IMP_SYNTAX);
    assert_int_equal(imp_exact_sum_read("0:123456789", &sum, &error), IMP_SYNTAX);
}

static void a_short_buffer_gets_the_beginning_of_the_text(void **state)
{
    (void)state;
    imp_exact_sum sum;
    char whole[IMP_EXACT_TEXT_SIZE], cut[12];
    imp_exact_sum_init(&sum);
    imp_exact_sum_add(&sum, 1e300);
    imp_exact_sum_add(&sum, -1e-300);
    imp_exact_sum_write(&sum, whole, sizeof whole);
    imp_exact_sum_write(&sum, cut, sizeof cut);
    assert_int_equal(strlen(cut), sizeof cut - 1);
    assert_memory_equal(cut, whole, sizeof cut - 1);
    imp_exact_sum_write(&sum, cut, 2);
    assert_int_equal(strlen(cut), 1);
}

static void products_beyond_the_range_overflow_and_tiny_ones_keep_their_upper_bits(void **state)
{
    (void)state;
    imp_exact_sum sum, other;
    imp_exact_sum_init(&sum);
    imp_exact_sum_add_product(&sum, 0x1p-500, -0x1p-537);
    assert_true(imp_exact_sum_value(&sum) == -0x1p-1037);
    imp_exact_sum_add_product(&sum, DBL_TRUE_MIN, DBL_TRUE_MIN); /* far below what is kept */
    assert_true(imp_exact_sum_value(&sum) == -0x1p-1037);
    imp_exact_sum_add_product(&sum, 0x1p1000, 0x1p900);
    assert_true(isnan(imp_exact_sum_value(&sum)));
    imp_exact_sum_add_product(&sum, DBL_MAX, DBL_MAX); /* and stays so */
    assert_true(isnan(imp_exact_sum_value(&sum)));
    imp_exact_sum_init(&other);
    imp_exact_sum_add(&other, 1.0);
    imp_exact_sum_merge(&other, &sum);
    assert_true(isnan(imp_exact_sum_value(&other)));
    imp_exact_sum_init(&other);
    imp_exact_sum_merge(&sum, &other); /* an overflow is not undone by what is sound */
    assert_true(isnan(imp_exact_sum_value(&sum)));
}

/* Products of full mantissas around the smallest place kept, 2^-1074: what lies below it is cut off and nothing else is lost. */
static void a_tiny_product_is_off_by_less_than_the_smallest_double(void **state)
{
    (void)state;
    const double full = 2.0 - DBL_EPSILON;
    for (int exponent = -560; exponent < -480; exponent++) {
        imp_exact_sum sum;
        imp_exact_sum_init(&sum);
        const double a = ldexp(full, exponent), b = ldexp(full, -520);
        imp_exact_sum_add_product(&sum, a, b);
        assert_true(fabs(imp_exact_sum_value(&sum) - a * b) <= DBL_TRUE_MIN);
    }
}

/* Blocks that cannot be added up in two doubles, and guesses that mean nothing. */
static void blocks_of_any_size_add_up_as_single_values_do(void **state)
{
    (void)state;
    static const double blocks[][4] = {{DBL_MAX, -DBL_MAX, 1.0, 0x1p1020}, {0x1p-1000, 0x1p-1060, -0x1p-1074, 0.0}, {1e300, 1e-300, NAN, -1e300},
                                       {1.0, 0x1p-200, NAN, 0x1p-400}, {NAN, NAN, NAN, NAN}};
    static const int guesses[] = {0, 5000, -5000, 1000, -900};
    for (size_t b = 0; b < sizeof blocks / sizeof blocks[0]; b++) {
        double least = HUGE_VAL, greatest = -HUGE_VAL, expected = 0.0;
        imp_exact_sum single, block;
        imp_exact_sum_init(&single);
        for (size_t i = 0; i < 4; i++)
            if (!isnan(blocks[b][i])) {
                imp_exact_sum_add(&single, blocks[b][i]);
                least = fmin(least, blocks[b][i]);
                greatest = fmax(greatest, blocks[b][i]);
            }
        expected = imp_exact_sum_value(&single);
        imp_exact_sum_init(&block);
        if (least <= greatest)
            imp_exact_sum_add_block(&block, blocks[b], 4, least, greatest);
        assert_true(imp_exact_sum_value(&block) == expected);
        for (size_t g = 0; g < sizeof guesses / sizeof guesses[0]; g++) {
            int exponent = guesses[g];
            imp_extent extent;
            imp_exact_sum_init(&block);
            imp_exact_sum_add_where(&block, blocks[b], NULL, 4, &exponent, &extent);
            assert_true(imp_exact_sum_value(&block) == expected);
        }
    }
    const double infinite[] = {1.0, HUGE_VAL};
    imp_exact_sum sum;
    imp_extent extent;
    int exponent = 0;
    imp_exact_sum_init(&sum);
    imp_exact_sum_add_block(&sum, infinite, 2, 1.0, HUGE_VAL);
    assert_true(isnan(imp_exact_sum_value(&sum)));
    imp_exact_sum_init(&sum);
    imp_exact_sum_add_where(&sum, infinite, NULL, 2, &exponent, &extent);
    assert_true(isnan(imp_exact_sum_value(&sum)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(small_terms_survive_between_large_ones_that_cancel),
        cmocka_unit_test(the_sum_is_rounded_once_to_nearest_even),
        cmocka_unit_test(a_sum_of_two_is_the_machine_sum),
        cmocka_unit_test(whole_numbers_add_up_as_integers_do),
        cmocka_unit_test(order_grouping_and_text_do_not_matter),
        cmocka_unit_test(blocks_add_up_as_single_values_do),
        cmocka_unit_test(both_sets_of_loops_give_the_same_bits),
        cmocka_unit_test(both_sets_have_the_same_means_of_windows),
        cmocka_unit_test(values_under_a_mask_add_up_to_the_same_whatever_was_guessed),
        cmocka_unit_test(products_are_exact),
        cmocka_unit_test(overflow_is_kept_and_not_undone),
        cmocka_unit_test(foreign_texts_are_refused),
        cmocka_unit_test(a_sum_too_large_for_a_double_is_an_infinity_of_its_sign),
        cmocka_unit_test(the_highest_piece_is_written_and_read),
        cmocka_unit_test(a_short_buffer_gets_the_beginning_of_the_text),
        cmocka_unit_test(products_beyond_the_range_overflow_and_tiny_ones_keep_their_upper_bits),
        cmocka_unit_test(a_tiny_product_is_off_by_less_than_the_smallest_double),
        cmocka_unit_test(blocks_of_any_size_add_up_as_single_values_do),
        cmocka_unit_test(what_overflowed_has_no_deviations_and_equal_values_have_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
