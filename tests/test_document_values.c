/* Single fields of documents at the edge of what they may be: dates, gauges, names of files, currencies, and fields that
 * are wrong in two ways, which get one sentence. */
#include "support.h"

#include <stdio.h>

#include "document.h"
#include "document_check.h"

#define JOB(fields) "{\"name\":\"j (invented)\",\"rig\":{\"name\":\"r\"},\"material\":{\"name\":\"m\"}," fields "}"

static imp_status read_text(imp_document_kind kind, const char *text, imp_node **root, imp_issues *issues)
{
    imp_issues_init(issues, NULL);
    return imp_document_read(kind, "a.json", text, strlen(text), NULL, NULL, root, issues);
}

static void assert_taken(imp_document_kind kind, const char *text)
{
    imp_node *root = NULL;
    imp_issues issues;
    if (read_text(kind, text, &root, &issues) != IMP_OK)
        fail_msg("%s: %s: %s", text, issues.items[0].place, issues.items[0].message);
    imp_node_free(root, NULL);
    imp_issues_free(&issues);
}

/* One sentence and no more. */
static void assert_refused(imp_document_kind kind, const char *text, const char *place, const char *message)
{
    imp_node *root = NULL;
    imp_issues issues;
    if (read_text(kind, text, &root, &issues) == IMP_OK)
        fail_msg("%s: not refused", text);
    if (issues.count != 1 || strcmp(issues.items[0].place, place) != 0 || strstr(issues.items[0].message, message) == NULL)
        fail_msg("%s: %zu sentences, %s: %s", text, issues.count, issues.items[0].place, issues.items[0].message);
    assert_null(root);
    imp_issues_free(&issues);
}

static void a_date_is_a_day_of_the_calendar(void **state)
{
    (void)state;
    static const char *const days[] = {"0001-01-01", "1900-02-28", "2000-02-29", "2032-02-29", "2031-12-31", "2031-04-30", "9999-12-31"};
    static const char *const none[] = {"0000-01-01", "2031-00-10", "2031-13-10", "2031-04-00", "2031-04-31", "2031-02-29", "1900-02-29",
                                       "2032-02-30", "2031-4-17",  "2031-04-1:", "2031-04-/1", "2031/04-17", "2031-04.17", "20310-4-17"};
    char text[200];
    for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
        snprintf(text, sizeof text, JOB("\"date\":\"%s\""), days[i]);
        assert_taken(IMP_JOB, text);
    }
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++) {
        snprintf(text, sizeof text, JOB("\"date\":\"%s\""), none[i]);
        assert_refused(IMP_JOB, text, "date", none[i]);
    }
}

static void the_day_after_the_last_of_a_month_is_the_first_of_the_next(void **state)
{
    (void)state;
    static const char *const pairs[][2] = {{"2031-12-31", "2032-01-01"}, {"2032-02-29", "2032-03-01"}, {"2031-02-28", "2031-03-01"},
                                           {"1900-02-28", "1900-03-01"}, {"2000-02-29", "2000-03-01"}, {"2031-11-30", "2031-12-01"}};
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
        double days[2];
        for (size_t k = 0; k < 2; k++) {
            char text[200];
            imp_node *root = NULL;
            imp_issues issues;
            snprintf(text, sizeof text, JOB("\"date\":\"%s\""), pairs[i][k]);
            assert_int_equal(read_text(IMP_JOB, text, &root, &issues), IMP_OK);
            days[k] = imp_node_find(root, "date", NULL)->number;
            imp_node_free(root, NULL);
            imp_issues_free(&issues);
        }
        assert_true(days[1] - days[0] == 1.0);
    }
}

static void a_gauge_is_one_of_the_american_wire_gauges(void **state)
{
    (void)state;
    static const char *const gauges[] = {"4/0", "1/0", "1", "9", "10", "40", "6 AWG", "6awg", "3/0 AWG", "12 awg"};
    static const char *const none[] = {"5/0", "0/0", "1-0", "1/1", "0", "00", "05", "41", "99", "123", "6 A", "6 mm2", "a", "AWG", "AWG 6", "12AWGx"};
    char text[200];
    for (size_t i = 0; i < sizeof gauges / sizeof gauges[0]; i++) {
        snprintf(text, sizeof text, JOB("\"supply\":{\"cable\":{\"gauge\":\"%s\"}}"), gauges[i]);
        assert_taken(IMP_JOB, text);
    }
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++) {
        snprintf(text, sizeof text, JOB("\"supply\":{\"cable\":{\"gauge\":\"%s\"}}"), none[i]);
        assert_refused(IMP_JOB, text, "supply.cable.gauge", none[i]);
    }
}

static void a_name_beside_is_relative_and_stays_there(void **state)
{
    (void)state;
    static const char *const beside[] = {"a", "a.json", ".a", "..a", "a..", "a/b", "a/..b/c", "a b", "\xC3\xB6", "~"};
    static const char *const elsewhere[] = {"", "/", "/a", "a/", "a//b", ".", "..", "./a", "a/.", "../a", "a/../b", "a/..", "c:a", "a\\b", "a\nb", "a\x7f"};
    char longest[257];
    for (size_t i = 0; i < sizeof beside / sizeof beside[0]; i++)
        if (!imp_is_file_beside(beside[i]))
            fail_msg("\"%s\" is refused", beside[i]);
    for (size_t i = 0; i < sizeof elsewhere / sizeof elsewhere[0]; i++)
        if (imp_is_file_beside(elsewhere[i]))
            fail_msg("\"%s\" is taken", elsewhere[i]);
    memset(longest, 'a', 256);
    longest[256] = '\0';
    assert_false(imp_is_file_beside(longest));
    longest[255] = '\0';
    assert_true(imp_is_file_beside(longest));
}

static void a_currency_is_three_letters_that_name_money(void **state)
{
    (void)state;
    static const char *const none[] = {"EU", "EURO", "eur", "bar", "qqq"};
    char text[200];
    assert_taken(IMP_JOB, JOB("\"currency\":\"EUR\""));
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++) {
        snprintf(text, sizeof text, JOB("\"currency\":\"%s\""), none[i]);
        assert_refused(IMP_JOB, text, "currency", "expected an ISO 4217 code such as \"EUR\"");
    }
}

/* What was refused for itself is not compared with another field too. */
static void a_field_that_is_wrong_by_itself_gets_one_sentence(void **state)
{
    (void)state;
    assert_refused(IMP_RIG, "{\"name\":\"r\",\"compressor\":{\"cut_in\":\"8 m\",\"cut_out\":\"7 bar\"}}", "compressor.cut_in", "8 m");
    assert_refused(IMP_RIG, "{\"name\":\"r\",\"compressor\":{\"cut_in\":\"8 bar\",\"cut_out\":true}}", "compressor.cut_out", "got true");
    assert_refused(IMP_RIG, "{\"name\":\"r\",\"hose\":{\"most_sections\":\"some\"}}", "hose.most_sections", "some");
    assert_refused(IMP_RIG, "{\"name\":\"r\",\"hose\":{\"most_sections\":false}}", "hose.most_sections", "got false");
    assert_refused(IMP_JOB, JOB("\"currency\":5,\"prices\":{\"labour_rate\":\"40 USD/h\"}"), "currency", "got the number 5");
    assert_refused(IMP_JOB, JOB("\"display_units\":[]"), "display_units", "got a list");
    assert_refused(IMP_MATERIAL, "{\"name\":\"m\",\"iso\":{\"storage\":{\"min\":\"30 degC\",\"max\":null}}}", "iso.storage.max", "leave out what is not known");
    assert_refused(IMP_MATERIAL, "{\"name\":\"m\",\"iso\":{\"storage\":{\"min\":{},\"max\":\"10 degC\"}}}", "iso.storage.min", "got a record");
}

static void points_without_a_temperature_are_not_called_the_same(void **state)
{
    (void)state;
    static const char *const tables[] = {"[{\"temperature\":true,\"viscosity\":\"200 mPa s\"},{\"temperature\":\"25 degC\",\"viscosity\":\"200 mPa s\"}]",
                                         "[{\"temperature\":\"25 degC\",\"viscosity\":\"200 mPa s\"},{\"temperature\":true,\"viscosity\":\"200 mPa s\"}]"};
    char text[300];
    for (size_t i = 0; i < 2; i++) {
        snprintf(text, sizeof text, "{\"name\":\"m\",\"iso\":{\"viscosity\":%s}}", tables[i]);
        assert_refused(IMP_MATERIAL, text, i == 0 ? "iso.viscosity[1].temperature" : "iso.viscosity[2].temperature", "got true");
    }
}

static void a_choice_that_is_no_text_and_no_number_is_refused(void **state)
{
    (void)state;
    assert_refused(IMP_JOB, JOB("\"supply\":{\"phases\":true}"), "supply.phases", "got true");
    assert_refused(IMP_JOB, JOB("\"supply\":{\"phases\":2.5}"), "supply.phases", "got the number 2.5");
    assert_taken(IMP_JOB, JOB("\"supply\":{\"phases\":3}"));
}

static void paths_that_lead_nowhere_have_no_row(void **state)
{
    (void)state;
    char long_name[400];
    memset(long_name, 'a', sizeof long_name - 1);
    long_name[sizeof long_name - 1] = '\0';
    assert_non_null(imp_document_row(IMP_JOB, "hoses.sections"));
    assert_non_null(imp_document_row(IMP_JOB, "material.iso.viscosity[2].temperature"));
    static const char *const nowhere[] = {"hoses.", "hoses..sections", ".", "[1]", "hoses[", "hoses[1", "hoses[1]sections", "hoses.sections.more", "crew[:]", "crew[/]"};
    for (size_t i = 0; i < sizeof nowhere / sizeof nowhere[0]; i++)
        if (imp_document_row(IMP_JOB, nowhere[i]) != NULL)
            fail_msg("\"%s\" has a row", nowhere[i]);
    assert_null(imp_document_row(IMP_JOB, long_name));
    assert_null(imp_document_row(IMP_JOB, "no_such_field"));
    assert_false(imp_node_has_value(NULL));
}

static void heads_of_another_kind_or_number_are_said_once(void **state)
{
    (void)state;
    assert_refused(IMP_RIG, "{\"kind\":\"job\",\"no_such_field\":1}", "kind", "this is a job, expected a rig");
    assert_refused(IMP_RIG, "{\"name\":\"r\",\"kind\":7}", "kind", "got the number 7");
    assert_refused(IMP_RIG, "{\"name\":\"r\",\"impinge\":\"1 m\"}", "impinge", "1 m");
    assert_refused(IMP_RIG, "{\"name\":\"r\",\"impinge\":2}", "impinge", "use a newer program");
    assert_taken(IMP_RIG, "{\"name\":\"r\",\"impinge\":1,\"kind\":\"rig\"}");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_date_is_a_day_of_the_calendar),
        cmocka_unit_test(the_day_after_the_last_of_a_month_is_the_first_of_the_next),
        cmocka_unit_test(a_gauge_is_one_of_the_american_wire_gauges),
        cmocka_unit_test(a_name_beside_is_relative_and_stays_there),
        cmocka_unit_test(a_currency_is_three_letters_that_name_money),
        cmocka_unit_test(a_field_that_is_wrong_by_itself_gets_one_sentence),
        cmocka_unit_test(points_without_a_temperature_are_not_called_the_same),
        cmocka_unit_test(a_choice_that_is_no_text_and_no_number_is_refused),
        cmocka_unit_test(paths_that_lead_nowhere_have_no_row),
        cmocka_unit_test(heads_of_another_kind_or_number_are_said_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
