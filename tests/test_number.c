/* Numbers to and from text. The C library's strtod, in the C locale, is the outside reference for reading. */
#include "number.h"

#include <locale.h>
#include <stdio.h>
#include <stdlib.h>

#include "support.h"

static double read_all(const char *text)
{
    double value = 0.0;
    size_t used = 0;
    imp_number_read(text, strlen(text), &value, &used);
    assert_int_equal(used, strlen(text));
    return value;
}

static void assert_same_double(double actual, double expected)
{
    if (memcmp(&actual, &expected, sizeof actual) != 0) {
        print_error("%.17g is not %.17g\n", actual, expected);
        fail();
    }
}

static void assert_reads(const char *text, double expected)
{
    assert_same_double(read_all(text), expected);
}

static void assert_takes(const char *text, size_t expected)
{
    double value = -77.0;
    size_t used = 99;
    imp_number_read(text, strlen(text), &value, &used);
    if (used != expected)
        print_error("\"%s\"\n", text);
    assert_int_equal(used, expected);
    if (expected == 0)
        assert_same_double(value, -77.0);
}

static void assert_writes(double value, int digits, const char *expected)
{
    char text[IMP_NUMBER_TEXT_SIZE];
    assert_string_equal(imp_number_write(value, digits, text, sizeof text), expected);
}

static void assert_writes_fixed(double value, int decimals, const char *expected)
{
    char text[IMP_NUMBER_TEXT_SIZE];
    assert_string_equal(imp_number_write_fixed(value, decimals, text, sizeof text), expected);
}

/* The same sequence in every run. */
static uint64_t next_random(uint64_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return *state;
}

static double random_double(uint64_t *state)
{
    for (;;) {
        const uint64_t bits = next_random(state);
        double value;
        memcpy(&value, &bits, sizeof value);
        if (isfinite(value))
            return value;
    }
}

static void plain_numbers_are_read(void **state)
{
    (void)state;
    assert_reads("0", 0.0);
    assert_reads("12", 12.0);
    assert_reads("-3.5", -3.5);
    assert_reads("+3.5", 3.5);
    assert_reads(".5", 0.5);
    assert_reads("5.", 5.0);
    assert_reads("-.25e2", -25.0);
    assert_reads("1e3", 1000.0);
    assert_reads("1E-3", 0.001);
    assert_reads("1.e2", 100.0);
    assert_reads("007", 7.0);
    assert_reads("-0", -0.0);
    assert_reads("0.000000000000000000000000000001", 1e-30);
    assert_reads("0e999999999999999999", 0.0);
}

static void only_the_number_is_taken(void **state)
{
    (void)state;
    assert_takes("12bar", 2);
    assert_takes("1.2.3", 3);
    assert_takes("5eV", 1);
    assert_takes("5e+", 1);
    assert_takes("1e3V", 3);
    assert_takes("0x10", 1);
    assert_takes("1,5", 1);
    assert_takes("5.m", 2);
}

static void what_is_no_number_takes_nothing(void **state)
{
    (void)state;
    static const char *const texts[] = {"", "-", "+", ".", "-.", "e5", ".e5", "inf", "nan", "-inf", " 1", "--1", "bar"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        assert_takes(texts[i], 0);
}

static void reading_stops_at_the_given_length(void **state)
{
    (void)state;
    char *text = malloc(3); /* not terminated: a byte too far is seen by the address sanitizer */
    assert_non_null(text);
    memcpy(text, "125", 3);
    double value = 0.0;
    size_t used = 0;
    imp_number_read(text, 3, &value, &used);
    assert_int_equal(used, 3);
    assert_same_double(value, 125.0);
    imp_number_read(text, 2, &value, &used);
    assert_int_equal(used, 2);
    assert_same_double(value, 12.0);
    imp_number_read(text, 0, &value, &used);
    assert_int_equal(used, 0);
    memcpy(text, "1e5", 3);
    imp_number_read(text, 2, &value, &used);
    assert_int_equal(used, 1);
    free(text);
}

static void overflow_reads_as_infinity_and_underflow_as_zero(void **state)
{
    (void)state;
    assert_reads("1e309", INFINITY);
    assert_reads("-1e999999999999", -INFINITY);
    assert_reads("1e-400", 0.0);
    assert_reads("1e-999999999999", 0.0);
    assert_reads("4.9e-324", 4.9406564584124654e-324);
}

/* A value exactly between two doubles is a tie, and one digit a thousand places on breaks it. */
static void reading_rounds_correctly_at_the_halfway_point(void **state)
{
    (void)state;
    assert_reads("9007199254740993", 9007199254740992.0);
    assert_reads("9007199254740993.00000000000000000001", 9007199254740994.0);
    assert_reads("9007199254740995", 9007199254740996.0);
    char text[1200] = "9007199254740993.";
    memset(text + 17, '0', 1000);
    text[1017] = '\0';
    assert_reads(text, 9007199254740992.0);
    text[1016] = '1';
    assert_reads(text, 9007199254740994.0);
}

static void reading_agrees_with_strtod(void **state)
{
    (void)state;
    uint64_t seed = 88172645463325252u;
    for (int i = 0; i < 200000; i++) {
        char text[64];
        const double value = random_double(&seed);
        const int digits = (int)(next_random(&seed) % 25);
        snprintf(text, sizeof text, "%.*e", digits, value);
        assert_reads(text, strtod(text, NULL));
        snprintf(text, sizeof text, "%.*f", (int)(next_random(&seed) % 20),
                 (double)(next_random(&seed) % 1000000007) / 997.0);
        assert_reads(text, strtod(text, NULL));
    }
}

static void shortest_text_reads_back_as_the_same_double(void **state)
{
    (void)state;
    uint64_t seed = 2463534242u;
    for (int i = 0; i < 200000; i++) {
        char text[IMP_NUMBER_TEXT_SIZE];
        const double value = i % 2 == 0 ? random_double(&seed) : (double)(next_random(&seed) % 100000) / 1000.0;
        imp_number_write(value, 0, text, sizeof text);
        if (value != 0.0)
            assert_reads(text, value);
        assert_true(strlen(text) < 26);
    }
}

static void numbers_are_written_without_superfluous_zeros(void **state)
{
    (void)state;
    assert_writes(0.1, 0, "0.1");
    assert_writes(1.0 / 3.0, 0, "0.3333333333333333");
    assert_writes(0.1 + 0.2, 0, "0.30000000000000004");
    assert_writes(1200.0, 0, "1200");
    assert_writes(-3.5, 0, "-3.5");
    assert_writes(5e-324, 0, "5e-324");
    assert_writes(82.73708751, 6, "82.7371");
    assert_writes(2.0, 6, "2");
    assert_writes(99.99999, 3, "100");
    assert_writes(123456.0, 2, "120000");
    assert_writes(0.00012345, 3, "0.000123");
}

static void very_small_and_large_numbers_have_an_exponent(void **state)
{
    (void)state;
    assert_writes(1e-4, 0, "0.0001");
    assert_writes(9.9e-5, 0, "9.9e-5");
    assert_writes(999999999999999.0, 0, "999999999999999");
    assert_writes(1e15, 0, "1e15");
    assert_writes(-1.25e300, 0, "-1.25e300");
    assert_writes(9.9999e14, 3, "1e15");
}

static void zero_has_no_sign(void **state)
{
    (void)state;
    assert_writes(-0.0, 0, "0");
    assert_writes(-0.0, 4, "0");
    assert_writes_fixed(-0.0, 2, "0.00");
    assert_writes_fixed(-0.001, 2, "0.00");
}

static void what_is_not_finite_is_named(void **state)
{
    (void)state;
    assert_writes((double)NAN, 0, "nan");
    assert_writes((double)INFINITY, 3, "inf");
    assert_writes(-(double)INFINITY, 0, "-inf");
    assert_writes_fixed((double)NAN, 2, "nan");
}

static void fixed_decimals_are_kept(void **state)
{
    (void)state;
    assert_writes_fixed(9.3, 2, "9.30");
    assert_writes_fixed(-1234.5678, 1, "-1234.6");
    assert_writes_fixed(2.5, 0, "2");
    assert_writes_fixed(999999999999999.0, 15, "999999999999999.000000000000000");
    assert_writes_fixed(1e15, 2, "1e15");
}

static void a_small_buffer_is_never_overrun(void **state)
{
    (void)state;
    for (size_t size = 0; size < 12; size++) {
        char *text = malloc(size > 0 ? size : 1);
        assert_non_null(text);
        imp_number_write(-1234.5678, 0, text, size);
        if (size > 0)
            assert_true(strlen(text) < size);
        imp_number_write_fixed(-1234.5678, 3, text, size);
        if (size > 0)
            assert_true(strlen(text) < size);
        free(text);
    }
}

/* Switch to a locale with a decimal comma; where none is installed, one is compiled into a folder of its own. */
static const char *switch_to_decimal_comma(void)
{
    static const char *const locales[] = {"de_DE.UTF-8", "de_DE.utf8", "de_DE", "fr_FR.UTF-8", "ru_RU.UTF-8"};
    const char *found = NULL;
    for (size_t i = 0; found == NULL && i < sizeof locales / sizeof locales[0]; i++)
        found = setlocale(LC_ALL, locales[i]);
    char folder[] = "/tmp/test_number_XXXXXX", command[200];
    if (found == NULL && mkdtemp(folder) != NULL) {
        snprintf(command, sizeof command, "localedef -i de_DE -f UTF-8 %s/de_DE.UTF-8 >/dev/null 2>&1", folder);
        if (system(command) == 0 && setenv("LOCPATH", folder, 1) == 0)
            found = setlocale(LC_ALL, "de_DE.UTF-8");
        snprintf(command, sizeof command, "rm -r %s", folder);
        if (system(command) != 0)
            print_message("%s is left over\n", folder);
    }
    return found;
}

static void nothing_changes_under_a_locale_with_a_decimal_comma(void **state)
{
    (void)state;
    const char *const found = switch_to_decimal_comma();
    if (found == NULL) {
        print_message("no locale with a decimal comma is installed, and localedef makes none: not tested\n");
        skip();
    }
    char comma[16];
    snprintf(comma, sizeof comma, "%.1f", 1.5);
    assert_string_equal(comma, "1,5"); /* the locale is really at work */
    assert_reads("1.5", 1.5);
    assert_reads("1234567890.12345678901234", 1234567890.1234567);
    assert_reads("1.7976931348623157e308", 1.7976931348623157e308);
    assert_takes("1,5", 1);
    assert_writes(0.1 + 0.2, 0, "0.30000000000000004");
    assert_writes(82.73708751, 6, "82.7371");
    assert_writes(-1.25e300, 0, "-1.25e300");
    assert_writes_fixed(-1234.5, 2, "-1234.50");
    setlocale(LC_ALL, "C");
}

static void distance_counts_edits_and_swaps(void **state)
{
    (void)state;
    assert_int_equal(imp_name_distance("psi", "psi", 3), 0);
    assert_int_equal(imp_name_distance("pis", "psi", 3), 1);
    assert_int_equal(imp_name_distance("bar", "bare", 3), 1);
    assert_int_equal(imp_name_distance("ca", "abc", 5), 3); /* optimal string alignment, not Damerau-Levenshtein's 2 */
    assert_int_equal(imp_name_distance("kitten", "sitting", 5), 3);
    assert_int_equal(imp_name_distance("", "abc", 3), 3);
    assert_int_equal(imp_name_distance("relative_humidty", "relative_humidity", 3), 1);
}

static void distance_stops_above_the_limit(void **state)
{
    (void)state;
    assert_int_equal(imp_name_distance("abc", "xyz", 1), 2);
    assert_int_equal(imp_name_distance("a", "abcdefgh", 2), 3);
    char longer[200];
    memset(longer, 'x', sizeof longer - 1);
    longer[sizeof longer - 1] = '\0';
    assert_int_equal(imp_name_distance(longer, longer, 2), 3);
}

/* The quick exit above the limit never changes an answer at or below it. */
static void distance_is_the_same_under_every_limit(void **state)
{
    (void)state;
    uint64_t seed = 12345;
    for (int i = 0; i < 20000; i++) {
        char a[9], b[9];
        for (size_t j = 0; j < 8; j++) {
            a[j] = (char)('a' + next_random(&seed) % 3);
            b[j] = (char)('a' + next_random(&seed) % 3);
        }
        a[next_random(&seed) % 8] = a[8] = '\0';
        b[next_random(&seed) % 8] = b[8] = '\0';
        const int whole = imp_name_distance(a, b, 20);
        assert_int_equal(whole, imp_name_distance(b, a, 20));
        for (int limit = 0; limit < 6; limit++)
            assert_int_equal(imp_name_distance(a, b, limit), whole <= limit ? whole : limit + 1);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plain_numbers_are_read),
        cmocka_unit_test(only_the_number_is_taken),
        cmocka_unit_test(what_is_no_number_takes_nothing),
        cmocka_unit_test(reading_stops_at_the_given_length),
        cmocka_unit_test(overflow_reads_as_infinity_and_underflow_as_zero),
        cmocka_unit_test(reading_rounds_correctly_at_the_halfway_point),
        cmocka_unit_test(reading_agrees_with_strtod),
        cmocka_unit_test(shortest_text_reads_back_as_the_same_double),
        cmocka_unit_test(numbers_are_written_without_superfluous_zeros),
        cmocka_unit_test(very_small_and_large_numbers_have_an_exponent),
        cmocka_unit_test(zero_has_no_sign),
        cmocka_unit_test(what_is_not_finite_is_named),
        cmocka_unit_test(fixed_decimals_are_kept),
        cmocka_unit_test(a_small_buffer_is_never_overrun),
        cmocka_unit_test(nothing_changes_under_a_locale_with_a_decimal_comma),
        cmocka_unit_test(distance_counts_edits_and_swaps),
        cmocka_unit_test(distance_stops_above_the_limit),
        cmocka_unit_test(distance_is_the_same_under_every_limit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
