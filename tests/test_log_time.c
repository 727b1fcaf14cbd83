/* Times of a log: which texts are read as times and which are not, what they mean, and how a time is written. The calendar is
 * held against the C library's timegm and gmtime_r; the notation is that of ISO 8601 (RFC 3339, section 5.6, for its parts). */
#include "support.h"

#include <stdio.h>
#include <time.h>

#include "log_internal.h"

static bool read_as(const char *text, const char *format, char decimal, imp_log_time *time)
{
    imp_log_clock clock = {.format = format, .decimal = decimal};
    return imp_log_time_read(text, strlen(text), &clock, time);
}

static double seconds_of(const char *text, const char *format)
{
    imp_log_time time = {.seconds = 0.0};
    if (!read_as(text, format, '.', &time))
        fail_msg("\"%s\" is not read as a time", text);
    return time.seconds;
}

static void is_no_time(const char *text, const char *format)
{
    imp_log_time time;
    if (read_as(text, format, '.', &time))
        fail_msg("\"%s\" is read as a time (%s)", text, format != NULL ? format : "ISO 8601");
}

/* Every 17th day and a bit over eight thousand years, and back from text. */
static void the_calendar_is_that_of_the_c_library(void **state)
{
    (void)state;
    const imp_log_header header = {.is_calendar = true};
    for (time_t moment = -62167219200 /* year 0 */; moment < 190000000000; moment += 17 * 86400 + 3661) {
        struct tm parts;
        char expected[64], written[64];
        assert_non_null(gmtime_r(&moment, &parts));
        snprintf(expected, sizeof expected, "%04d-%02d-%02dT%02d:%02d:%02d", parts.tm_year + 1900, parts.tm_mon + 1, parts.tm_mday,
                 parts.tm_hour, parts.tm_min, parts.tm_sec);
        assert_string_equal(imp_log_time_text(&header, (double)moment, written, sizeof written), expected);
        assert_true(seconds_of(expected, NULL) == (double)timegm(&parts));
    }
    /* before the year 0 there is no text to read, but a zone may lead there */
    time_t before = -62167219200 - 400;
    struct tm parts;
    char written[64], expected[64];
    gmtime_r(&before, &parts);
    snprintf(expected, sizeof expected, "%04d-%02d-%02d", parts.tm_year + 1900, parts.tm_mon + 1, parts.tm_mday);
    imp_log_time_text(&header, (double)before, written, sizeof written);
    assert_memory_equal(written, expected, strlen(expected));
}

static void a_text_cut_short_anywhere_is_a_shorter_time_or_none(void **state)
{
    (void)state;
    static const char whole[] = "2031-05-14T07:00:01.25+02:00";
    static const size_t good[] = {1, 2, 3, 4 /* numbers: seconds */, 16, 19, 21, 22, 25 /* +02 */, 28};
    size_t next = 0;
    for (size_t length = 0; length <= strlen(whole); length++) {
        imp_log_clock clock = {.decimal = '.'};
        imp_log_time time;
        const bool is_good = next < sizeof good / sizeof good[0] && good[next] == length;
        next += is_good;
        if (imp_log_time_read(whole, length, &clock, &time) != is_good)
            fail_msg("\"%.*s\" is%s read as a time", (int)length, whole, is_good ? " not" : "");
    }
}

static void impossible_dates_and_times_are_none(void **state)
{
    (void)state;
    static const char *const wrong[] = {
        "2031-00-14T07:00", "2031-13-14T07:00", "2031-05-00T07:00", "2031-05-32T07:00", "2031-04-31T07:00", "2031-02-29T07:00",
        "1900-02-29T07:00", /* no leap year: a hundred, not four hundred */
        "2031-05-14T24:00", "2031-05-14T07:60", "2031-05-14T07:00:61", "2031-05-14X07:00", "2031/05/14T07:00", "2031-05/14T07:00",
        "2031-5-14T07:00", "2031-05-14T7:00", "2031-05-14T07-00", "2031-05-14T07:0x", "2031-05-14T07:00:0x", "2031-05-14T07:00:01.",
        "2031-05-14T07:00:01.x", "2031-05-14T07:00:01.Z", "2031-05-14T07:00+1", "2031-05-14T07:00+19:00", "2031-05-14T07:00+18:60",
        "2031-05-14T07:00+02:", "2031-05-14T07:00+02:0", "2031-05-14T07:00+020", "2031-05-14T07:00 +02:00x", "2031-05-14T07:00Zx",
        "2031-05-14T07:00 x", "2031-05-14T07:00  Z", "20310514T0700", "2031-05-14", "x", "-", "1e15", "-1e15", "1e400", "12 s",
        "00000000000000000000000000000000000000000000000000000000000000001" /* 65 characters */};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        is_no_time(wrong[i], NULL);
}

static void zones_and_fractions_mean_what_iso_8601_says(void **state)
{
    (void)state;
    const double noon = seconds_of("2000-02-29T12:00", NULL); /* a leap year: four hundred */
    assert_true(noon == 951825600.0);
    assert_true(seconds_of("2000-02-29 12:00:00", NULL) == noon);
    assert_true(seconds_of("2000-02-29T12:00Z", NULL) == noon && seconds_of("2000-02-29T12:00z", NULL) == noon);
    assert_true(seconds_of("2000-02-29T14:00+02", NULL) == noon && seconds_of("2000-02-29T14:30 +0230", NULL) == noon);
    assert_true(seconds_of("2000-02-29T08:30:00-03:30", NULL) == noon && seconds_of("2000-03-01T06:00+18:00", NULL) == noon);
    assert_true(seconds_of("2000-02-29T12:00:00,5", NULL) == noon + 0.5);
    assert_true(seconds_of("2000-02-29T12:00:00.1234567891234", NULL) == noon + 0.123456789); /* nine digits count */
    assert_true(seconds_of("2000-02-29T12:00:60", NULL) == noon + 60.0); /* a leap second */
    imp_log_time time;
    assert_true(read_as("2000-02-29T08:30-03:30", NULL, '.', &time));
    assert_true(time.is_calendar && time.has_zone && time.zone_offset == -3.5 * 3600.0);
    assert_true(read_as("2000-02-29T08:30", NULL, '.', &time));
    assert_true(time.is_calendar && !time.has_zone);
}

static void numbers_are_seconds_with_the_logs_decimal_sign(void **state)
{
    (void)state;
    imp_log_time time;
    assert_true(read_as("12,5", NULL, ',', &time) && time.seconds == 12.5 && !time.is_calendar);
    assert_true(read_as("12.5", NULL, ',', &time) && time.seconds == 12.5);
    assert_true(read_as("-3e2", NULL, '.', &time) && time.seconds == -300.0);
    assert_false(read_as("12,5", NULL, '.', &time));
}

static void a_pattern_reads_its_own_texts_only(void **state)
{
    (void)state;
    const double expected = seconds_of("2031-05-14T07:08:09", NULL);
    assert_true(seconds_of("14.05.2031 07:08:09", "DD.MM.YYYY hh:mm:ss") == expected);
    assert_true(seconds_of("14.05.31 07:08:09", "DD.MM.YY hh:mm:ss") == expected); /* two digits: of this century */
    assert_true(seconds_of("14.05.2031 07:08:09.25", "DD.MM.YYYY hh:mm:ss") == expected + 0.25);
    assert_true(seconds_of("14.05.2031 07:08:09,25", "DD.MM.YYYY hh:mm:ss") == expected + 0.25);
    assert_true(seconds_of("2031-05-14T07:08:09", "YYYY-MM-DDThh:mm:ss") == expected);
    static const char *const wrong[] = {"14.05.2031 07:08", "14.05.2031 07:08:9", "14.05.2031 07:08:09 ", "14-05.2031 07:08:09", "14.05.2031 07:08:09.",
                                        "14.05.2031 07:08:09,x", "32.05.2031 07:08:09", "14.05.2031 07:08:09Z", "12.5", ""};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        is_no_time(wrong[i], "DD.MM.YYYY hh:mm:ss");
}

/* The clock remembers a minute only where the next text can be read by its seconds alone. */
static void a_clock_remembers_no_minute_that_seconds_do_not_follow(void **state)
{
    (void)state;
    static const struct { const char *format, *text; bool is_kept; } cases[] = {
        {NULL, "2031-05-14T07:08:09", true}, {NULL, "2031-05-14T07:08:09.5+02:00", true}, {NULL, "2031-05-14T07:08", false},
        {NULL, "2031-05-14T07:08 +02:00", false}, {NULL, "1936501201", false},
        {"DD.MM.YYYY hh:mm:ss", "14.05.2031 07:08:09", true}, {"DD.MM.YYYY hh:mm", "14.05.2031 07:08", false},
        {"YYYY-MM-DDThh:mm:ssZ", "2031-05-14T07:08:09Z", false}, {"YYYY ss mm hh:MM:DD", "2031 09 08 07:05:14", false},
        {"YYYY-MM-DD hhmm :ss", "2031-05-14 0708 :09", true}, {"hhmmss YYYY-MM:DDxx", "070809 2031-05:14xx", false},
        {"mmss YYYY-MM-DD:hhx", "0809 2031-05-14:07x", false}, {"YYYY-MM-DD hh mm:xss", "2031-05-14 07 08:x09", false}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        imp_log_clock clock = {.format = cases[i].format, .decimal = '.'};
        imp_log_time time;
        if (!imp_log_time_read(cases[i].text, strlen(cases[i].text), &clock, &time))
            fail_msg("\"%s\" is not read", cases[i].text);
        if (clock.is_set != cases[i].is_kept)
            fail_msg("\"%s\": the minute is%s kept", cases[i].text, clock.is_set ? "" : " not");
    }
}

static void a_time_in_a_small_buffer_is_cut_wherever_it_ends(void **state)
{
    (void)state;
    const imp_log_header header = {.is_calendar = true, .has_zone = true, .zone_offset = 7200.0};
    char whole[64], text[64];
    imp_log_time_text(&header, 1936501201.25, whole, sizeof whole);
    assert_string_equal(whole, "2031-05-14T07:00:01.250+02:00");
    for (size_t size = 1; size < sizeof whole; size++) {
        memset(text, 'x', sizeof text);
        imp_log_time_text(&header, 1936501201.25, text, size);
        assert_true(strlen(text) < size && strncmp(text, whole, strlen(text)) == 0);
        assert_true(size == sizeof text - 1 || text[size] == 'x');
    }
}

static void a_time_is_written_in_the_logs_zone_to_the_millisecond(void **state)
{
    (void)state;
    static const struct { double time, offset; bool is_calendar, has_zone; const char *text; } cases[] = {
        {0.0, 0.0, true, false, "1970-01-01T00:00:00"},
        {0.0, 0.0, true, true, "1970-01-01T00:00:00Z"},
        {0.0, 7200.0, true, true, "1970-01-01T02:00:00+02:00"},
        {0.0, -12600.0, true, true, "1969-12-31T20:30:00-03:30"},
        {-0.0004, 0.0, true, false, "1970-01-01T00:00:00"},
        {-0.001, 0.0, true, true, "1969-12-31T23:59:59.999Z"},
        {86399.9996, 0.0, true, false, "1970-01-02T00:00:00"},
        {12.25, 3600.0, false, true, "12.25 s"},
        {2e11, 0.0, true, false, "200000000000 s"},
        {-3e11, 0.0, true, false, "-300000000000 s"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const imp_log_header header = {.is_calendar = cases[i].is_calendar, .has_zone = cases[i].has_zone, .zone_offset = cases[i].offset};
        char text[64], cut[12];
        assert_string_equal(imp_log_time_text(&header, cases[i].time, text, sizeof text), cases[i].text);
        imp_log_time_text(&header, cases[i].time, cut, sizeof cut); /* a smaller buffer gets the text cut */
        assert_true(strncmp(cut, text, strlen(cut)) == 0 && strlen(cut) < sizeof cut);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_calendar_is_that_of_the_c_library),
        cmocka_unit_test(a_text_cut_short_anywhere_is_a_shorter_time_or_none),
        cmocka_unit_test(impossible_dates_and_times_are_none),
        cmocka_unit_test(zones_and_fractions_mean_what_iso_8601_says),
        cmocka_unit_test(numbers_are_seconds_with_the_logs_decimal_sign),
        cmocka_unit_test(a_pattern_reads_its_own_texts_only),
        cmocka_unit_test(a_clock_remembers_no_minute_that_seconds_do_not_follow),
        cmocka_unit_test(a_time_in_a_small_buffer_is_cut_wherever_it_ends),
        cmocka_unit_test(a_time_is_written_in_the_logs_zone_to_the_millisecond),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
