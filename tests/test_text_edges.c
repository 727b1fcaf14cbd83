/* Texts at the edge of their buffers, single bytes where a text should go on, and numbers beyond what there is: nothing is
 * overrun, and no character is cut in two. */
#include "support.h"

#include <stdio.h>
#include <stdlib.h>

#include "impinge.h"
#include "json_scan.h"
#include "json_text.h"
#include "place_text.h"
#include "text_buffer.h"

static const char *const characters[] = {"a", "\xC3\xA9" /* 2 bytes */, "\xE2\x82\xAC" /* 3 */, "\xF0\x9F\x94\xA5" /* 4 */};
enum { CHARACTERS = sizeof characters / sizeof characters[0] };

static void assert_whole(const char *text)
{
    if (imp_utf8_prefix((const unsigned char *)text, strlen(text)) != strlen(text))
        fail_msg("\"%s\" ends in a part of a character", text);
}

/* `shift` bytes, then one character again and again. */
static char *repeated(const char *character, size_t shift, size_t times, char *text)
{
    memset(text, '.', shift);
    text[shift] = '\0';
    for (size_t i = 0; i < times; i++)
        strcat(text, character);
    return text;
}

static void messages_and_places_are_cut_between_characters(void **state)
{
    (void)state;
    char text[4 * 1200];
    for (size_t c = 0; c < CHARACTERS; c++)
        for (size_t shift = 0; shift < 4; shift++) {
            imp_error error;
            repeated(characters[c], shift, 600, text);
            assert_int_equal(imp_fail(&error, IMP_RANGE, text, "%s", text), IMP_RANGE);
            assert_whole(error.message);
            assert_whole(error.place);
            assert_true(strlen(error.message) > IMP_MESSAGE_SIZE - 5 && strlen(error.place) > IMP_PLACE_SIZE - 5);
            error.place[0] = '\0';
            imp_error_prefix(&error, text, ".");
            assert_whole(error.place);
            for (size_t size = 1; size < 12; size++) {
                char cut[12];
                assert_whole(imp_error_text(&error, cut, size));
                assert_true(strlen(cut) < size);
            }
        }
}

static void a_text_that_is_no_utf_8_is_left_as_it_is(void **state)
{
    (void)state;
    imp_error error;
    imp_fail(&error, IMP_RANGE, "\x80\x80", "%s", "\x80\x80\x80\x80\x80\x80");
    assert_string_equal(error.place, "\x80\x80");
    assert_string_equal(error.message, "\x80\x80\x80\x80\x80\x80");
    char shown[16];
    assert_string_equal(imp_shown_text("\x80\x80\x80\x80\x80\x80", 6, 4, shown), "...");
    assert_string_equal(imp_shown_text("\x80\x80", 2, 4, shown), "\x80\x80");
}

static void nothing_is_written_into_no_room(void **state)
{
    (void)state;
    imp_error error;
    char text[2] = "x";
    imp_fail(&error, IMP_RANGE, "place", "message");
    imp_error_text(&error, text, 0);
    assert_string_equal(text, "x");
    imp_error_prefix(NULL, "place", ".");
}

static void every_status_has_its_text_and_no_other_number_has(void **state)
{
    (void)state;
    for (int status = IMP_OK; status <= IMP_INTERNAL; status++)
        assert_string_not_equal(imp_status_text((imp_status)status), "unknown status");
    assert_string_equal(imp_status_text((imp_status)999), "unknown status");
}

static void expect_fault(const char *text, size_t length, const char *message)
{
    imp_json_scan scan;
    imp_issues issues;
    imp_issues_init(&issues, NULL);
    assert_int_equal(imp_json_scan_text("a", text, length, NULL, &scan, &issues), IMP_SYNTAX);
    assert_int_equal(issues.count, 1);
    assert_contains(issues.items[0].message, message);
    assert_whole(issues.items[0].message);
    imp_json_scan_free(&scan);
    imp_issues_free(&issues);
}

static void what_follows_a_document_is_shown_as_one_character(void **state)
{
    (void)state;
    for (size_t c = 0; c < CHARACTERS; c++) {
        char text[32], message[64];
        snprintf(message, sizeof message, "expected the end of the file, found \"%s\"", characters[c]);
        snprintf(text, sizeof text, "{}%s", characters[c]);
        expect_fault(text, strlen(text), message);
        snprintf(text, sizeof text, "{}%s%s", characters[c], characters[c]);
        expect_fault(text, strlen(text), message);
    }
}

static void utf_16_is_named_and_other_bytes_are_not(void **state)
{
    (void)state;
    expect_fault("\xFF\xFE{", 3, "the file is in UTF-16");
    expect_fault("\xFE\xFF{", 3, "the file is in UTF-16");
    expect_fault("\xFF\xFD{", 3, "this is not UTF-8");
    expect_fault("\xFE\xFE{", 3, "this is not UTF-8");
    expect_fault("\xFF", 1, "this is not UTF-8");
    expect_fault("\xEF\xBB\xBF{}", 5, "byte order mark");
    expect_fault("\xEF\xBB", 2, "this is not UTF-8");
}

static void a_piece_that_is_too_long_fails_the_text(void **state)
{
    (void)state;
    static char piece[600];
    imp_text text;
    memset(piece, 'a', sizeof piece - 1);
    imp_text_init(&text, NULL);
    imp_text_format(&text, "%.500s", piece);
    assert_false(text.failed);
    assert_int_equal(text.length, 500);
    imp_text_format(&text, "%s", piece);
    assert_true(text.failed);
    imp_text_free(&text);
}

static void quotes_and_backslashes_are_escaped(void **state)
{
    (void)state;
    imp_text text;
    imp_text_init(&text, NULL);
    imp_text_string(&text, "a\"b\\c\n");
    imp_text_number(&text, NAN);
    assert_string_equal(text.text, "\"a\\\"b\\\\c\\u000a\"null");
    imp_text_free(&text);
}

/* The C library's strtod is the outside reference. */
static void digits_beyond_all_that_count_still_set_the_power(void **state)
{
    (void)state;
    static char text[2000];
    static const char *const ends[] = {"e-900", "", "1", ".5e-890", "e-1300"};
    for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++) {
        double value = 0.0;
        size_t used = 0;
        strcpy(text, "3");
        memset(text + 1, '0', 899);
        strcpy(text + 900, ends[i]);
        imp_number_read(text, strlen(text), &value, &used);
        assert_int_equal(used, strlen(text));
        assert_true(value == strtod(text, NULL));
    }
    /* one digit far behind decides a tie */
    double tie = 0.0, above = 0.0;
    size_t used;
    strcpy(text, "9007199254740993.");
    memset(text + strlen(text), '0', 900);
    imp_number_read(text, strlen(text), &tie, &used);
    strcat(text, "1");
    imp_number_read(text, strlen(text), &above, &used);
    assert_true(tie == 9007199254740992.0 && above == 9007199254740994.0);
}

static void decimals_beyond_what_a_double_has_are_not_written(void **state)
{
    (void)state;
    char text[64];
    assert_string_equal(imp_number_write_fixed(2.25, -3, text, sizeof text), "2");
    assert_string_equal(imp_number_write_fixed(0.5, 40, text, sizeof text), "0.500000000000000");
}

static void units_with_broken_characters_are_refused(void **state)
{
    (void)state;
    static const char *const texts[] = {"m\xC3", "\xE2\x82", "\xF0\x9F\x94", "\xC3(", "\xE2\x82m", "\xF0\x9F\x94\xA5", "m\xC3\xA9", "m/", "m*", "kg m\xB7"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        imp_unit unit;
        imp_error error = {.status = IMP_OK};
        if (imp_unit_parse(texts[i], strlen(texts[i]), &unit, &error) == IMP_OK)
            fail_msg("\"%s\" is read", texts[i]);
        assert_true(error.message[0] != '\0');
    }
    assert_null(imp_unit_find("", 0));
    assert_null(imp_unit_find("m\0m", 3));
    assert_null(imp_unit_find("a_name_far_longer_than_any_unit_has_ever_had", 44));
}

static void signs_alone_are_no_quantity(void **state)
{
    (void)state;
    static const char *const texts[] = {"", "-", "+", "- m", "+1/2", "-1/4 m"};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        imp_quantity quantity;
        imp_unit unit;
        imp_error error;
        const bool is_number = strchr(texts[i], '/') != NULL;
        assert_int_equal(imp_quantity_parse(texts[i], strlen(texts[i]), &quantity, &unit, &error) == IMP_OK, is_number);
        if (is_number)
            assert_true(quantity.si == (texts[i][0] == '-' ? -0.25 : 0.5));
    }
}

static void what_is_not_finite_is_written_and_never_compared(void **state)
{
    (void)state;
    char text[64];
    imp_unit bar;
    imp_error error;
    assert_int_equal(imp_unit_parse("bar", 3, &bar, NULL), IMP_OK);
    assert_string_equal(imp_quantity_exact(&bar, HUGE_VAL, text, sizeof text), "inf");
    const imp_quantity one = imp_quantity_from(1.0, &bar), none = imp_quantity_from(NAN, &bar);
    int order = 7;
    assert_int_equal(imp_quantity_compare(&one, &none, &order, &error), IMP_RANGE);
    assert_int_equal(imp_quantity_compare(&none, &one, &order, &error), IMP_RANGE);
    assert_int_equal(order, 7);
}

static void numbers_of_no_name_have_a_harmless_text(void **state)
{
    (void)state;
    assert_string_equal(imp_dimension_name((imp_named_dimension)9999), "an unknown kind of quantity");
    assert_true(imp_dimension_is_pure(imp_dimension_of((imp_named_dimension)9999)));
    assert_string_equal(imp_log_fault_key((imp_log_fault)99), "");
    assert_string_equal(imp_log_fault_text((imp_log_fault)99), "");
}

/* More than there are addresses: refused before anything is multiplied. */
static void sizes_beyond_all_memory_are_refused(void **state)
{
    (void)state;
    imp_arena arena;
    char kept[1];
    const volatile size_t all = SIZE_MAX;
    imp_arena_init(&arena, NULL);
    assert_null(imp_allocate(NULL, all / 2, 16));
    assert_null(imp_resize(NULL, NULL, all, 2));
    assert_null(imp_arena_allocate(&arena, all / 4, 16));
    assert_null(imp_arena_allocate(&arena, all - 8, 1));
    void *const nothing = imp_allocate(NULL, 0, 16); /* as much as nothing, and still a block */
    assert_non_null(nothing);
    imp_release(NULL, nothing);
    assert_non_null(imp_arena_allocate(&arena, sizeof kept, 0));
    imp_arena_free(&arena);
}

static void a_dimension_in_a_small_buffer_is_cut(void **state)
{
    (void)state;
    char whole[IMP_UNIT_TEXT_SIZE], text[IMP_UNIT_TEXT_SIZE];
    const imp_dimension dimension = imp_dimension_of(IMP_CONDUCTIVITY);
    imp_dimension_si_text(dimension, whole, sizeof whole);
    assert_true(strlen(whole) > 4);
    for (size_t size = 1; size <= strlen(whole) + 1; size++) {
        memset(text, 'x', sizeof text);
        imp_dimension_si_text(dimension, text, size);
        assert_true(strlen(text) < size && strncmp(text, whole, strlen(text)) == 0 && text[size] == 'x');
    }
    text[0] = 'x';
    imp_dimension_si_text(dimension, text, 0);
    assert_true(text[0] == 'x');
}

static double nothing_below_one(double x, void *context)
{
    (void)context;
    return x < 1.0 ? (double)NAN : x - 1.5;
}

static double nothing_above_one(double x, void *context)
{
    (void)context;
    return x > 1.0 ? (double)NAN : x - 0.5;
}

static void an_end_without_a_value_is_named(void **state)
{
    (void)state;
    double root = 7.0;
    imp_error error;
    assert_int_equal(imp_solve_bracketed(nothing_below_one, NULL, 0.25, 2.0, 0.0, &root, &error), IMP_NO_SOLUTION);
    assert_contains(error.message, "no value at 0.25");
    assert_int_equal(imp_solve_bracketed(nothing_above_one, NULL, 0.25, 2.0, 0.0, &root, &error), IMP_NO_SOLUTION);
    assert_contains(error.message, "no value at 2");
    assert_true(root == 7.0);
}

static void a_chamber_has_one_to_eight_orifices_a_side(void **state)
{
    (void)state;
    const imp_gun_side side = {4e-5, 1150.0, 0.1, 0.001, 1};
    double ratio = 7.0, iso, resin;
    static const int wrong[] = {0, -1, 9};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        imp_gun_side other = side;
        imp_error error;
        other.count = wrong[i];
        assert_int_equal(imp_gun_impingement(&other, &side, &ratio, &iso, &resin, &error), IMP_RANGE);
        assert_string_equal(error.place, "iso_count");
        assert_int_equal(imp_gun_impingement(&side, &other, &ratio, &iso, &resin, &error), IMP_RANGE);
        assert_string_equal(error.place, "resin_count");
        assert_contains(error.message, "is not a whole number from 1 to 8");
    }
    assert_true(ratio == 7.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(messages_and_places_are_cut_between_characters),
        cmocka_unit_test(a_text_that_is_no_utf_8_is_left_as_it_is),
        cmocka_unit_test(nothing_is_written_into_no_room),
        cmocka_unit_test(every_status_has_its_text_and_no_other_number_has),
        cmocka_unit_test(what_follows_a_document_is_shown_as_one_character),
        cmocka_unit_test(utf_16_is_named_and_other_bytes_are_not),
        cmocka_unit_test(a_piece_that_is_too_long_fails_the_text),
        cmocka_unit_test(quotes_and_backslashes_are_escaped),
        cmocka_unit_test(digits_beyond_all_that_count_still_set_the_power),
        cmocka_unit_test(decimals_beyond_what_a_double_has_are_not_written),
        cmocka_unit_test(units_with_broken_characters_are_refused),
        cmocka_unit_test(signs_alone_are_no_quantity),
        cmocka_unit_test(what_is_not_finite_is_written_and_never_compared),
        cmocka_unit_test(numbers_of_no_name_have_a_harmless_text),
        cmocka_unit_test(sizes_beyond_all_memory_are_refused),
        cmocka_unit_test(a_dimension_in_a_small_buffer_is_cut),
        cmocka_unit_test(an_end_without_a_value_is_named),
        cmocka_unit_test(a_chamber_has_one_to_eight_orifices_a_side),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
