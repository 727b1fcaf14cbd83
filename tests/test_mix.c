/* Ratio and index of iso and resin. Published values are in reference/mix.json. */
#include "support.h"

#include "mix.h"

static const imp_mix_chemistry foam = {
    .nco_content = 0.305, .hydroxyl_number = 0.45, .water_content = 0.02}; /* invented */

static double index_of(double iso_mass, double resin_mass, const imp_mix_chemistry *chemistry)
{
    double index = NAN;
    assert_int_equal(imp_mix_index(iso_mass, resin_mass, chemistry, &index, NULL), IMP_OK);
    return index;
}

static void dip(const imp_mix_drum *iso, const imp_mix_drum *resin, double reading, double *ratio, double *uncertainty)
{
    assert_int_equal(imp_mix_dip_ratio(iso, resin, reading, ratio, uncertainty, NULL), IMP_OK);
}

static void refuse(imp_status status, const imp_error *error, const char *sentence)
{
    char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE];
    assert_int_equal(status, IMP_RANGE);
    assert_string_equal(imp_error_text(error, text, sizeof text), sentence);
}

static void mass_and_volume_ratio_are_inverse(void **state)
{
    (void)state;
    for (double ratio = 0.5; ratio <= 4.0; ratio *= 1.3) {
        double mass_ratio, back;
        assert_int_equal(imp_mix_mass_ratio(ratio, 1230.0, 1100.0, &mass_ratio, NULL), IMP_OK);
        assert_int_equal(imp_mix_volume_ratio(mass_ratio, 1230.0, 1100.0, &back, NULL), IMP_OK);
        assert_relative(back, ratio, 1e-15);
    }
}

static void equal_densities_make_the_two_ratios_equal(void **state)
{
    (void)state;
    double mass_ratio;
    assert_int_equal(imp_mix_mass_ratio(1.7, 1100.0, 1100.0, &mass_ratio, NULL), IMP_OK);
    assert_true(mass_ratio == 1.7);
}

static void one_equivalent_of_each_has_index_100(void **state)
{
    (void)state;
    const imp_mix_chemistry chemistry = {.nco_content = 0.31, .hydroxyl_number = 0.2, .water_content = 0.0};
    assert_relative(index_of(0.04202 / 0.31, 0.0561 / 0.2, &chemistry), 100.0, 1e-14);
}

/* water counts twice: half a mole has the active hydrogen of one mole of hydroxyl */
static void water_counts_as_much_as_its_equivalents_of_hydroxyl(void **state)
{
    (void)state;
    const imp_mix_chemistry dry = {.nco_content = 0.31, .hydroxyl_number = 0.4, .water_content = 0.0};
    const imp_mix_chemistry wet = {
        .nco_content = 0.31, .hydroxyl_number = 0.4 - 0.0561 * 0.02 / 0.009008, .water_content = 0.02};
    assert_relative(index_of(1.2, 1.0, &wet), index_of(1.2, 1.0, &dry), 1e-13);
}

static void index_depends_on_the_ratio_of_the_masses_only(void **state)
{
    (void)state;
    assert_relative(index_of(240.0, 200.0, &foam), index_of(1.2, 1.0, &foam), 1e-14);
}

static void ratio_for_an_index_gives_that_index(void **state)
{
    (void)state;
    for (double wanted = 80.0; wanted <= 300.0; wanted += 20.0) {
        double mass_ratio;
        assert_int_equal(imp_mix_ratio_for_index(wanted, &foam, &mass_ratio, NULL), IMP_OK);
        assert_relative(index_of(mass_ratio, 1.0, &foam), wanted, 1e-13);
    }
}

static void nominal_ratio_has_no_deviation_and_excess_iso_is_positive(void **state)
{
    (void)state;
    double deviation;
    assert_int_equal(imp_mix_deviation(1.3, 1.3, &deviation, NULL), IMP_OK);
    assert_true(deviation == 0.0);
    assert_int_equal(imp_mix_deviation(1.02, 1.0, &deviation, NULL), IMP_OK);
    assert_relative(deviation, 0.02, 1e-13);
}

static void equal_drums_give_the_ratio_of_the_drops(void **state)
{
    (void)state;
    const imp_mix_drum iso = {0.5715, 0.12}, resin = {0.5715, 0.1};
    double ratio, uncertainty;
    dip(&iso, &resin, 0.001, &ratio, &uncertainty);
    assert_relative(ratio, 1.2, 1e-15);
    /* relative variances of the drops add: 2 u^2/h^2 each (GUM 5.1.6) */
    assert_relative(uncertainty / ratio, sqrt(2e-6 / 0.0144 + 2e-6 / 0.01), 1e-14);
}

static void drum_of_twice_the_diameter_gives_four_times_the_volume(void **state)
{
    (void)state;
    const imp_mix_drum narrow = {0.3, 0.1}, wide = {0.6, 0.1};
    double ratio, uncertainty;
    dip(&wide, &narrow, 0.001, &ratio, &uncertainty);
    assert_relative(ratio, 4.0, 1e-15);
}

static void exact_readings_leave_no_uncertainty_and_longer_drops_leave_less(void **state)
{
    (void)state;
    double ratio, uncertainty, before = INFINITY;
    for (double drop = 0.02; drop < 0.8; drop *= 2.0) {
        const imp_mix_drum drum = {0.5715, drop};
        dip(&drum, &drum, 0.001, &ratio, &uncertainty);
        assert_true(ratio == 1.0 && uncertainty < before);
        assert_relative(uncertainty, 2.0 * 0.001 / drop, 1e-14); /* two readings a side, two sides */
        before = uncertainty;
        dip(&drum, &drum, 0.0, &ratio, &uncertainty);
        assert_true(uncertainty == 0.0);
    }
}

static void equal_pumps_give_the_ratio_of_their_cycles(void **state)
{
    (void)state;
    double ratio;
    assert_int_equal(imp_mix_counter_ratio(1520.0, 6e-5, 1490.0, 6e-5, &ratio, NULL), IMP_OK);
    assert_relative(ratio, 1520.0 / 1490.0, 1e-15);
}

static void values_outside_their_range_are_refused_in_one_sentence(void **state)
{
    (void)state;
    imp_error error;
    double result = 42.0, second = 42.0;
    imp_mix_chemistry bad = foam;
    bad.hydroxyl_number = 450.0; /* mgKOH/g taken for kg/kg */
    refuse(imp_mix_index(1.0, 1.0, &bad, &result, &error), &error,
           "hydroxyl_number: 450000 mgKOH/g is above 2000 mgKOH/g");
    bad = foam;
    bad.nco_content = 30.5;
    refuse(imp_mix_ratio_for_index(100.0, &bad, &result, &error), &error, "nco_content: 3050 % is above 60 %");
    bad = foam;
    bad.water_content = -0.01;
    refuse(imp_mix_index(1.0, 1.0, &bad, &result, &error), &error, "water_content: -1 % is below 0 %");
    refuse(imp_mix_index(1.0, 0.0, &foam, &result, &error), &error, "resin_mass: 0 kg is not above 0 kg");
    refuse(imp_mix_mass_ratio(1.0, 1.23, 1100.0, &result, &error), &error,
           "iso_density: 1.23 kg/m^3 is below 300 kg/m^3");
    refuse(imp_mix_deviation(NAN, 1.0, &result, &error), &error, "measured_ratio: not a finite number");
    const imp_mix_drum drum = {0.5715, 0.1}, untouched = {0.5715, 0.0};
    refuse(imp_mix_dip_ratio(&drum, &untouched, 0.001, &result, &second, &error), &error,
           "resin_drop: 0 mm is not above 0 mm");
    refuse(imp_mix_counter_ratio(1.0, 6e-5, 0.0, 6e-5, &result, &error), &error, "resin_cycles: 0 is not above 0");
    assert_true(result == 42.0 && second == 42.0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(mass_and_volume_ratio_are_inverse),
        cmocka_unit_test(equal_densities_make_the_two_ratios_equal),
        cmocka_unit_test(one_equivalent_of_each_has_index_100),
        cmocka_unit_test(water_counts_as_much_as_its_equivalents_of_hydroxyl),
        cmocka_unit_test(index_depends_on_the_ratio_of_the_masses_only),
        cmocka_unit_test(ratio_for_an_index_gives_that_index),
        cmocka_unit_test(nominal_ratio_has_no_deviation_and_excess_iso_is_positive),
        cmocka_unit_test(equal_drums_give_the_ratio_of_the_drops),
        cmocka_unit_test(drum_of_twice_the_diameter_gives_four_times_the_volume),
        cmocka_unit_test(exact_readings_leave_no_uncertainty_and_longer_drops_leave_less),
        cmocka_unit_test(equal_pumps_give_the_ratio_of_their_cycles),
        cmocka_unit_test(values_outside_their_range_are_refused_in_one_sentence),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
