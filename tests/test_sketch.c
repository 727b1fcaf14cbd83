/* The histogram from which quantiles are read: its bins, its ends, and counts beyond one. */
#include "support.h"

#include "sketch.h"

/* The middle one of five alike: the first and the last of all are known exactly. */
static double found(double value)
{
    const double values[] = {value, value, value, value, value};
    imp_sketch sketch;
    imp_sketch_init(&sketch, NULL);
    assert_int_equal(imp_sketch_add(&sketch, values, 5), IMP_OK);
    const double middle = imp_sketch_quantile(&sketch, 0.5, -1e301, 1e301);
    imp_sketch_free(&sketch);
    return middle;
}

/* The bound of sketch.h, at both ends of a bin, over all the octaves it has. */
static void every_value_is_found_within_half_a_bin(void **state)
{
    (void)state;
    for (int octave = -60; octave < 60; octave++)
        for (int part = 0; part < 8; part++) {
            const double value = ldexp(1.0 + part / 8.0 + 1e-9, octave), least = ldexp(1.0 + part / 8.0, octave);
            assert_relative(found(value), value, IMP_SKETCH_ERROR);
            assert_relative(found(least), least, IMP_SKETCH_ERROR);
            assert_close(found(-value), -found(value), 0.0);
        }
}

static void what_is_too_large_counts_as_the_largest_and_what_is_too_small_as_zero(void **state)
{
    (void)state;
    const double large[] = {1e30, -1e30, 1e300, -1e300};
    for (size_t i = 0; i < 4; i++)
        assert_relative(found(large[i]), copysign(0x1p60, large[i]), IMP_SKETCH_ERROR);
    const double small[] = {0x1p-61, -0x1p-61, 0.0, 1e-300};
    for (size_t i = 0; i < 4; i++)
        assert_close(found(small[i]), 0.0, 0.0);
}

static void bins_are_read_in_rising_order_and_put_back_alike(void **state)
{
    (void)state;
    const double values[] = {3.0, -3.0, 0.0, 3.0, 1e30, -1e30, 7.5, (double)NAN};
    imp_sketch first, second;
    imp_sketch_init(&first, NULL);
    imp_sketch_init(&second, NULL);
    assert_int_equal(imp_sketch_add(&first, values, 8), IMP_OK);
    uint32_t next = 0, last = 0;
    uint64_t total = 0;
    imp_sketch_bin bin;
    for (int bins = 0; imp_sketch_next(&first, &next, &bin); bins++) {
        assert_true(bins == 0 || bin.index > last);
        last = bin.index;
        total += bin.count;
        assert_int_equal(imp_sketch_put(&second, bin), IMP_OK);
    }
    assert_int_equal(total, 7); /* what is no number is left out */
    for (double p = 0.0; p <= 1.0; p += 0.125)
        assert_close(imp_sketch_quantile(&second, p, -1e30, 1e30), imp_sketch_quantile(&first, p, -1e30, 1e30), 0.0);
    assert_int_equal(imp_sketch_put(&second, (imp_sketch_bin){.index = UINT32_MAX, .count = 1}), IMP_RANGE);
    imp_sketch_free(&first);
    imp_sketch_free(&second);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_value_is_found_within_half_a_bin),
        cmocka_unit_test(what_is_too_large_counts_as_the_largest_and_what_is_too_small_as_zero),
        cmocka_unit_test(bins_are_read_in_rising_order_and_put_back_alike),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
