/* The field tables of the documents: sound rows, and the same words as the calculations that they feed. */
#include "support.h"

#include <stdio.h>
#include <string.h>

#include "catalogue.h"
#include "document.h"

static void check_row(const imp_param *rows, const imp_param *row)
{
    if (row->name[0] != '$')
        assert_int_equal(row->name[strspn(row->name, "abcdefghijklmnopqrstuvwxyz_0123456789")], '\0');
    for (const imp_param *other = rows; other != row; other++)
        assert_string_not_equal(other->name, row->name);
    assert_non_null(row->help);
    assert_true(strlen(row->help) > 3 && row->help[strlen(row->help) - 1] != '.');
    if (row->kind == IMP_NUMBER || row->kind == IMP_LIST) {
        imp_unit unit;
        imp_error error;
        if (imp_unit_parse(row->unit, strlen(row->unit), &unit, &error) != IMP_OK)
            print_error("%s: %s\n", row->name, error.message);
        assert_int_equal(imp_unit_parse(row->unit, strlen(row->unit), &unit, &error), IMP_OK);
        assert_true(imp_dimension_same(unit.dimension, imp_dimension_of(row->dimension)));
        assert_int_equal(unit.is_reading, row->dimension == IMP_TEMPERATURE);
        assert_true(imp_param_has_range(row) && row->low <= row->high);
    }
    if (row->kind == IMP_CHOICE)
        assert_true(row->choices != NULL && row->choices[0] != NULL);
    if (row->presence == IMP_DEFAULT && row->kind == IMP_NUMBER)
        assert_int_equal(imp_check(row, row->fallback, NULL), IMP_OK);
    assert_int_equal(row->kind == IMP_RECORD || row->kind == IMP_TABLE || row->kind == IMP_FILE_OR_RECORD,
                     row->rows != NULL);
}

static size_t check_rows(const imp_param *rows)
{
    size_t count = 0;
    for (const imp_param *row = rows; row->name != NULL; row++) {
        check_row(rows, row);
        count += 1 + (row->rows != NULL ? check_rows(row->rows) : 0);
    }
    return count;
}

static void every_row_has_help_a_unit_of_its_dimension_and_a_range(void **state)
{
    (void)state;
    for (int kind = 0; kind < IMP_DOCUMENT_KIND_COUNT; kind++)
        assert_true(check_rows(imp_document_rows((imp_document_kind)kind)) > 50);
    assert_string_equal(imp_document_row(IMP_JOB, "material.iso.viscosity[3].temperature")->unit, "degC");
    assert_string_equal(imp_document_row(IMP_RIG, "loads.power")->unit, "kW");
    assert_null(imp_document_row(IMP_RIG, "loads.colour"));
    assert_null(imp_document_row(IMP_JOB, "crew.size"));
}

/* Windows, limits and the confirmations of the pre-job rules are where the rules look for them. */
static void the_rules_find_their_fields(void **state)
{
    (void)state;
    static const char *const paths[] = {"window.pressure.min",
                                        "material.window.wood_moisture.max",
                                        "limits.dew_point_spread",
                                        "material.limits.inlet_pressure",
                                        "rig.limits.air_duty",
                                        "supply.cable.layers_on_drum",
                                        "supply.generator.reactance",
                                        "stock.expiry",
                                        "confirmed.isolation_and_earth_proved",
                                        "confirmed.fire_watch_set",
                                        "material.supplier_reentry_time",
                                        "material.foam.lift_wait",
                                        "measured.dips.reading_uncertainty",
                                        "measured.counters.iso_cycles",
                                        "shift",
                                        "crew",
                                        "rig.compressor.same_supply",
                                        "rig.breathing_air.source",
                                        "rig.transfer_pumps.iso.line_bore",
                                        "hoses.whip"};
    for (size_t i = 0; i < sizeof paths / sizeof paths[0]; i++)
        assert_non_null(imp_document_row(IMP_JOB, paths[i]));
    assert_int_equal(imp_document_row(IMP_JOB, "confirmed")->rows[0].kind, IMP_FLAG);
}

/* A document may say what a calculation takes, and nothing else. */
static void choices_are_those_of_the_calculations(void **state)
{
    (void)state;
    static const struct {
        const char *path, *entry, *input;
    } same[] = {
        {"supply.cable.method", "electrical.cable_size", "method"},
        {"supply.cable.insulation", "electrical.cable_size", "insulation"},
        {"supply.cable.class", "electrical.conductor_resistance", "class"},
        {"supply.cable.material", "electrical.conductor_resistance", "material"},
        {"supply.phases", "electrical.cable_size", "phases"},
        {"supply.code", "electrical.cable_size", "code"},
        {"site.humidity_over", "climate.dew_point", "humidity_over"},
    };
    for (size_t i = 0; i < sizeof same / sizeof same[0]; i++) {
        const imp_param *row = imp_document_row(IMP_JOB, same[i].path);
        const imp_calc *calc = imp_catalogue_find(same[i].entry);
        assert_non_null(row);
        assert_non_null(calc);
        const imp_param *input = imp_calc_input(calc, same[i].input, NULL);
        assert_non_null(input);
        for (size_t j = 0; row->choices[j] != NULL || input->choices[j] != NULL; j++)
            assert_string_equal(row->choices[j], input->choices[j]);
    }
}

static void every_gauge_of_the_calculation_is_a_gauge_of_a_document(void **state)
{
    (void)state;
    const imp_param *gauge = imp_calc_input(imp_catalogue_find("electrical.awg_area"), "gauge", NULL);
    assert_non_null(gauge);
    for (size_t i = 0; gauge->choices[i] != NULL; i++) {
        char text[300];
        imp_node *root = NULL;
        imp_issues issues;
        snprintf(text, sizeof text,
                 "{\"name\":\"j (invented)\",\"rig\":{\"name\":\"r\"},\"material\":{\"name\":\"m\"},"
                 "\"supply\":{\"cable\":{\"gauge\":\"%s\"}}}",
                 gauge->choices[i]);
        imp_issues_init(&issues, NULL);
        assert_int_equal(imp_document_read(IMP_JOB, "job.json", text, strlen(text), NULL, NULL, &root, &issues),
                         IMP_OK);
        imp_node_free(root, NULL);
        imp_issues_free(&issues);
    }
}

static void a_load_of_a_rig_has_the_rows_of_the_calculations(void **state)
{
    (void)state;
    static const char *const entries[] = {"electrical.line_currents", "electrical.may_run"};
    for (size_t i = 0; i < sizeof entries / sizeof entries[0]; i++) {
        const imp_calc *calc = imp_catalogue_find(entries[i]);
        assert_non_null(calc);
        assert_ptr_equal(imp_calc_input(calc, "loads", NULL)->rows, imp_document_row(IMP_RIG, "loads")->rows);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_has_help_a_unit_of_its_dimension_and_a_range),
        cmocka_unit_test(the_rules_find_their_fields),
        cmocka_unit_test(choices_are_those_of_the_calculations),
        cmocka_unit_test(every_gauge_of_the_calculation_is_a_gauge_of_a_document),
        cmocka_unit_test(a_load_of_a_rig_has_the_rows_of_the_calculations),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
