/* Humid air, surface, altitude, wood and ventilation: limiting cases, round trips, trends and refusals.
 * Published values are in reference/climate.json. */
#include "support.h"

#include "catalogue.h"
#include "climate.h"

#define CELSIUS(t) ((t) + 273.15)

static double saturation(double celsius)
{
    double pressure = NAN;
    assert_int_equal(imp_climate_saturation_pressure(CELSIUS(celsius), &pressure, NULL), IMP_OK);
    return pressure;
}

static double dew_point(double celsius, double humidity, imp_humidity_over over)
{
    double point = NAN;
    assert_int_equal(imp_climate_dew_point(CELSIUS(celsius), humidity, over, &point, NULL), IMP_OK);
    return point - 273.15;
}

static double wet_bulb(double celsius, double humidity, double pressure)
{
    double bulb = NAN;
    assert_int_equal(imp_climate_wet_bulb(CELSIUS(celsius), humidity, pressure, IMP_OVER_BRANCH, &bulb, NULL), IMP_OK);
    return bulb - 273.15;
}

static double wood(double celsius, double humidity, imp_humidity_over over)
{
    double content = NAN;
    assert_int_equal(imp_climate_wood_moisture(CELSIUS(celsius), humidity, over, &content, NULL), IMP_OK);
    return content;
}

static void saturation_changes_branch_at_the_triple_point_without_a_jump(void **state)
{
    (void)state;
    const double below = imp_humidity_saturation(nextafter(IMP_TRIPLE_POINT, 0.0), IMP_OVER_BRANCH);
    const double above = imp_humidity_saturation(nextafter(IMP_TRIPLE_POINT, 400.0), IMP_OVER_BRANCH);
    assert_relative(above, below, 1e-8);
    assert_true(above >= below);
}

/* Clausius-Clapeyron: ice falls off more steeply than water by the heat of melting, so the curves cross with a kink */
static void saturation_over_ice_is_below_that_over_water_except_at_the_triple_point(void **state)
{
    (void)state;
    for (double t = -60.0; t < 0.0; t += 1.0)
        assert_true(imp_humidity_saturation(CELSIUS(t), IMP_OVER_BRANCH) <
                    imp_humidity_saturation(CELSIUS(t), IMP_OVER_WATER));
    /* 5 % at -5 degC: common practice in humidity tables */
    assert_close(imp_humidity_saturation(CELSIUS(-5.0), IMP_OVER_WATER) / saturation(-5.0), 1.05, 0.001);
}

static void saturated_air_has_its_own_temperature_as_dew_point(void **state)
{
    (void)state;
    for (double t = -60.0; t <= 80.0; t += 0.5)
        assert_close(dew_point(t, 1.0, IMP_OVER_BRANCH), t, 1e-9);
}

static void dew_point_inverts_saturation_to_a_nanokelvin(void **state)
{
    (void)state;
    for (double t = -60.0; t <= 80.0; t += 7.0)
        for (double humidity = 0.001; humidity <= 1.0; humidity *= 1.5) {
            const double point = dew_point(t, humidity, IMP_OVER_BRANCH);
            const double back = imp_humidity_saturation(CELSIUS(point), IMP_OVER_BRANCH);
            /* 1e-9 K is at most 1.2e-10 of the pressure here */
            assert_relative(back, humidity * saturation(t), 1.2e-10);
        }
}

static void dew_point_of_pressure_covers_ice_and_water_over_the_whole_equation(void **state)
{
    (void)state;
    for (double t = -100.0; t <= 200.0; t += 0.25)
        assert_close(imp_humidity_dew_point(imp_humidity_saturation(CELSIUS(t), IMP_OVER_BRANCH)), CELSIUS(t), 1e-9);
}

static void dew_point_passes_the_triple_point_without_a_jump(void **state)
{
    (void)state;
    const double humidity = imp_humidity_saturation(IMP_TRIPLE_POINT, IMP_OVER_BRANCH) / saturation(10.0);
    const double below = dew_point(10.0, humidity * (1.0 - 1e-12), IMP_OVER_BRANCH);
    const double above = dew_point(10.0, humidity * (1.0 + 2e-8), IMP_OVER_BRANCH);
    assert_true(below <= above);
    assert_close(below, 0.01, 1e-9);
    assert_close(above, 0.01, 3e-7);
}

static void humidity_over_water_below_freezing_gives_a_higher_frost_point(void **state)
{
    (void)state;
    assert_true(dew_point(-10.0, 0.8, IMP_OVER_WATER) > dew_point(-10.0, 0.8, IMP_OVER_BRANCH));
    assert_true(dew_point(-10.0, 1.0, IMP_OVER_WATER) > -10.0); /* supersaturated over ice */
    assert_close(dew_point(5.0, 0.8, IMP_OVER_WATER), dew_point(5.0, 0.8, IMP_OVER_BRANCH), 0.0);
}

static void wet_bulb_lies_between_dew_point_and_air(void **state)
{
    (void)state;
    for (double t = -40.0; t <= 80.0; t += 3.0)
        for (double humidity = 0.05; humidity < 1.0; humidity += 0.1) {
            const double bulb = wet_bulb(t, humidity, 101325.0);
            assert_true(bulb < t);
            assert_true(bulb > dew_point(t, humidity, IMP_OVER_BRANCH));
        }
}

static void saturated_air_has_its_own_temperature_as_wet_bulb(void **state)
{
    (void)state;
    for (double t = -60.0; t <= 80.0; t += 4.0)
        assert_close(wet_bulb(t, 1.0, 90000.0), t, 1e-9);
    assert_close(wet_bulb(0.01, 1.0, 90000.0), 0.01, 1e-7);
}

/* Energy balance of the bulb, written out again from ASHRAE 2017 ch. 1 eq. 33 and 35 with the answer put in */
static void wet_bulb_satisfies_its_equation(void **state)
{
    (void)state;
    const double pressure = 95461.0;
    for (double t = -20.0; t <= 60.0; t += 5.0)
        for (double humidity = 0.1; humidity < 1.0; humidity += 0.2) {
            const double tw = wet_bulb(t, humidity, pressure);
            const double saturated =
                imp_humidity_ratio(imp_humidity_saturation(CELSIUS(tw), IMP_OVER_BRANCH), pressure);
            const double ratio = imp_humidity_ratio(humidity * saturation(t), pressure);
            const double latent = tw > 0.01 ? 2501.0 - 2.326 * tw : 2830.0 - 0.24 * tw;
            const double cooling = tw > 0.01 ? 2501.0 + 1.86 * t - 4.186 * tw : 2830.0 + 1.86 * t - 2.1 * tw;
            assert_close(ratio * cooling, latent * saturated - 1.006 * (t - tw), 1e-8);
        }
}

/* Where a wet and an iced bulb both stand in balance, the wet one is given; only drier air ices the bulb. */
static void wet_bulb_falls_through_freezing_in_one_step_and_stays_monotone(void **state)
{
    (void)state;
    double before = -100.0, step = 0.0;
    for (int i = 0; i <= 1000; i++) {
        const double bulb = wet_bulb(5.0, (double)i / 1000.0, 101325.0);
        assert_true(bulb >= before);
        assert_true(bulb >= 0.01 || bulb < -0.2);
        if (before < 0.0 && bulb >= 0.01)
            step = bulb - before;
        before = bulb;
    }
    assert_true(step > 0.2 && step < 0.5);
}

static void dry_air_still_has_a_wet_bulb(void **state)
{
    (void)state;
    assert_true(wet_bulb(30.0, 0.0, 101325.0) < 11.0 && wet_bulb(30.0, 0.0, 101325.0) > 9.0);
    assert_true(wet_bulb(-60.0, 0.0, 101325.0) < -60.0);
}

static void supersaturated_cold_air_warms_an_iced_bulb(void **state)
{
    (void)state;
    for (double t = -60.0; t < 0.0; t += 1.0) {
        double bulb;
        assert_int_equal(imp_climate_wet_bulb(CELSIUS(t), 1.0, 101325.0, IMP_OVER_WATER, &bulb, NULL), IMP_OK);
        assert_true(bulb > CELSIUS(t) && bulb < CELSIUS(dew_point(t, 1.0, IMP_OVER_WATER)));
    }
}

static void dry_air_has_no_water_and_the_density_of_the_gas_law(void **state)
{
    (void)state;
    double ratio, density;
    assert_int_equal(imp_climate_humidity_ratio(CELSIUS(20.0), 0.0, 101325.0, IMP_OVER_BRANCH, &ratio, NULL), IMP_OK);
    assert_true(ratio == 0.0);
    assert_int_equal(imp_climate_moist_air_density(CELSIUS(20.0), 0.0, 101325.0, IMP_OVER_BRANCH, &density, NULL),
                     IMP_OK);
    /* universal gas constant over the molar mass of dry air, CODATA 2018 and CIPM-2007: 8.314462618/0.02896546 */
    assert_relative(density, 101325.0 * 0.02896546 / (8.314462618 * 293.15), 2e-5);
}

/* Dalton: moist air is a mixture of two ideal gases of known molar masses (28.966 and 18.015268 g/mol) */
static void density_is_the_sum_of_dry_air_and_vapour(void **state)
{
    (void)state;
    const double t = CELSIUS(30.0), vapour = 0.7 * saturation(30.0), gas = 8.314462618;
    double density;
    assert_int_equal(imp_climate_moist_air_density(t, 0.7, 101325.0, IMP_OVER_BRANCH, &density, NULL), IMP_OK);
    assert_relative(density, ((101325.0 - vapour) * 0.028966 + vapour * 0.018015268) / (gas * t), 5e-5);
}

static void surface_at_the_dew_point_has_no_spread_and_full_humidity(void **state)
{
    (void)state;
    imp_climate_surface condition;
    const double point = CELSIUS(dew_point(18.0, 0.65, IMP_OVER_BRANCH));
    assert_int_equal(imp_climate_surface_condition(CELSIUS(18.0), 0.65, point, IMP_OVER_BRANCH, &condition, NULL),
                     IMP_OK);
    assert_close(condition.spread, 0.0, 1e-9);
    assert_relative(condition.humidity, 1.0, 1e-10);
    assert_close(condition.dew_point, point, 0.0);
}

static void surface_at_air_temperature_has_the_air_humidity(void **state)
{
    (void)state;
    imp_climate_surface condition;
    assert_int_equal(
        imp_climate_surface_condition(CELSIUS(-7.0), 0.65, CELSIUS(-7.0), IMP_OVER_BRANCH, &condition, NULL), IMP_OK);
    assert_relative(condition.humidity, 0.65, 1e-14);
}

/* What the sensor refers to does not change what the surface sees: frost forms at saturation over ice. */
static void frost_on_a_cold_surface_counts_from_saturation_over_ice(void **state)
{
    (void)state;
    imp_climate_surface condition;
    const double point = CELSIUS(dew_point(-5.0, 0.7, IMP_OVER_WATER));
    assert_int_equal(imp_climate_surface_condition(CELSIUS(-5.0), 0.7, point, IMP_OVER_WATER, &condition, NULL),
                     IMP_OK);
    assert_relative(condition.humidity, 1.0, 1e-10);
}

static void standard_atmosphere_is_in_hydrostatic_balance(void **state)
{
    (void)state;
    for (double altitude = -1900.0; altitude < 10900.0; altitude += 100.0) {
        double below, above, here;
        assert_int_equal(imp_climate_pressure_at_altitude(altitude - 1.0, &below, NULL), IMP_OK);
        assert_int_equal(imp_climate_pressure_at_altitude(altitude + 1.0, &above, NULL), IMP_OK);
        assert_int_equal(imp_climate_pressure_at_altitude(altitude, &here, NULL), IMP_OK);
        const double density = here / (287.05287 * (288.15 - 0.0065 * altitude));
        assert_relative((below - above) / 2.0, density * 9.80665, 1e-6);
    }
}

static void wood_dries_out_in_dry_air_and_gets_wetter_with_humidity(void **state)
{
    (void)state;
    assert_true(wood(20.0, 0.0, IMP_OVER_BRANCH) == 0.0);
    for (double t = -20.0; t <= 80.0; t += 5.0)
        for (double humidity = 0.0; humidity < 0.99; humidity += 0.01)
            assert_true(wood(t, humidity + 0.01, IMP_OVER_BRANCH) > wood(t, humidity, IMP_OVER_BRANCH));
}

/* USDA Wood Handbook ch. 4: fibre saturation near 30 % */
static void saturated_air_brings_wood_near_fibre_saturation(void **state)
{
    (void)state;
    assert_close(wood(20.0, 1.0, IMP_OVER_BRANCH), 0.30, 0.02);
}

static void wood_below_freezing_counts_humidity_over_water(void **state)
{
    (void)state;
    const double ratio = saturation(-10.0) / imp_humidity_saturation(CELSIUS(-10.0), IMP_OVER_WATER);
    assert_relative(wood(-10.0, 0.8, IMP_OVER_BRANCH), wood(-10.0, 0.8 * ratio, IMP_OVER_WATER), 1e-13);
    assert_close(wood(10.0, 0.8, IMP_OVER_BRANCH), wood(10.0, 0.8, IMP_OVER_WATER), 0.0);
}

static void purging_in_two_parts_takes_as_long_as_in_one(void **state)
{
    (void)state;
    double whole, first, second;
    const double rate = 6.0 / 3600.0;
    assert_int_equal(imp_climate_purge_time(rate, 0.01, &whole, NULL), IMP_OK);
    assert_int_equal(imp_climate_purge_time(rate, 0.2, &first, NULL), IMP_OK);
    assert_int_equal(imp_climate_purge_time(rate, 0.05, &second, NULL), IMP_OK);
    assert_relative(first + second, whole, 1e-14);
    assert_int_equal(imp_climate_purge_time(rate, 1.0, &whole, NULL), IMP_OK);
    assert_true(whole == 0.0);
}

static void ventilation_time_says_that_it_is_no_re_entry_time(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("climate.purge_time");
    assert_non_null(calc);
    assert_contains(calc->validity, "NOT a re-entry time");
    assert_contains(calc->validity, "without a supplier's time it is not known");
}

static void refuse(imp_status status, const imp_error *error, const char *sentence)
{
    char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE];
    assert_int_equal(status, IMP_RANGE);
    assert_string_equal(imp_error_text(error, text, sizeof text), sentence);
}

static void values_outside_their_range_are_refused_in_one_sentence(void **state)
{
    (void)state;
    imp_error error;
    double result = 42.0;
    refuse(imp_climate_dew_point(CELSIUS(20.0), 1.4, IMP_OVER_BRANCH, &result, &error), &error,
           "relative_humidity: 140 % is above 100 %");
    refuse(imp_climate_dew_point(CELSIUS(20.0), 0.0, IMP_OVER_BRANCH, &result, &error), &error,
           "relative_humidity: 0 % is below 0.1 %");
    refuse(imp_climate_dew_point(CELSIUS(20.0), NAN, IMP_OVER_BRANCH, &result, &error), &error,
           "relative_humidity: not a finite number");
    refuse(imp_climate_dew_point(20.0, 0.5, IMP_OVER_BRANCH, &result, &error), &error,
           "air_temperature: -253.15 degC is below -60 degC");
    refuse(imp_climate_wet_bulb(CELSIUS(20.0), 0.5, 1013.25, IMP_OVER_BRANCH, &result, &error), &error,
           "pressure: 1.01325 kPa is below 50 kPa");
    refuse(imp_climate_pressure_at_altitude(12000.0, &result, &error), &error, "altitude: 12000 m is above 11000 m");
    refuse(imp_climate_purge_time(0.0, 0.01, &result, &error), &error, "air_change_rate: 0 1/h is not above 0 1/h");
    refuse(imp_climate_purge_time(1.0 / 3600.0, 0.0, &result, &error), &error,
           "remaining_fraction: 0 % is not above 0 %");
    assert_true(result == 42.0);
}

static void refused_surface_leaves_the_result_untouched(void **state)
{
    (void)state;
    imp_error error;
    imp_climate_surface condition = {1.0, 2.0, 3.0};
    refuse(imp_climate_surface_condition(CELSIUS(20.0), 0.5, CELSIUS(200.0), IMP_OVER_BRANCH, &condition, &error),
           &error, "surface_temperature: 200 degC is above 120 degC");
    assert_true(condition.dew_point == 1.0 && condition.spread == 2.0 && condition.humidity == 3.0);
}

static void entry_takes_sensor_humidity_over_water_as_a_choice(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("climate.dew_point");
    assert_non_null(calc);
    const double by_default[] = {CELSIUS(-10.0), 0.8, NAN}, over_water[] = {CELSIUS(-10.0), 0.8, IMP_OVER_WATER};
    double branch, water;
    assert_int_equal(imp_calc_numbers(calc, by_default, &branch, NULL), IMP_OK);
    assert_int_equal(imp_calc_numbers(calc, over_water, &water, NULL), IMP_OK);
    assert_close(branch - 273.15, dew_point(-10.0, 0.8, IMP_OVER_BRANCH), 1e-12);
    assert_close(water - 273.15, dew_point(-10.0, 0.8, IMP_OVER_WATER), 1e-12);
}

static void entry_records_the_vapour_pressure_on_its_sheet(void **state)
{
    (void)state;
    imp_sheet sheet;
    imp_sheet_init(&sheet, NULL);
    const imp_calc *calc = imp_catalogue_find("climate.dew_point");
    const imp_value in[] = {{.number = CELSIUS(20.0), .given = true}, {.number = 0.5, .given = true}, {.given = false}};
    imp_value out[1];
    assert_int_equal(imp_calc_evaluate(calc, in, out, &sheet, NULL), IMP_OK);
    double vapour = NAN;
    for (size_t i = 0; i < sheet.count; i++)
        if (sheet.lines[i].symbol != NULL && strcmp(sheet.lines[i].symbol, "pw") == 0)
            vapour = sheet.lines[i].value;
    assert_relative(vapour, 0.5 * saturation(20.0), 1e-14);
    imp_sheet_free(&sheet);
}

/* Newton's method ends at a step of 1 microkelvin, and squares it: what is left is far below that of a wrong slope. */
static void dew_point_closes_in_to_a_few_roundings(void **state)
{
    (void)state;
    for (double t = -100.0; t <= 200.0; t += 0.03125)
        assert_close(imp_humidity_dew_point(imp_humidity_saturation(CELSIUS(t), IMP_OVER_BRANCH)), CELSIUS(t), 1e-11);
}

static void the_sheet_of_moist_air_shows_its_humidity_ratio(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("climate.moist_air_density");
    imp_value in[4] = {{.number = CELSIUS(25.0), .given = true}, {.number = 0.6, .given = true}, {.number = 101325.0, .given = true}, {.given = false}};
    imp_value out[IMP_MOST_OUTPUTS];
    imp_sheet sheet;
    double ratio;
    assert_int_equal(imp_climate_humidity_ratio(CELSIUS(25.0), 0.6, 101325.0, IMP_OVER_BRANCH, &ratio, NULL), IMP_OK);
    imp_sheet_init(&sheet, NULL);
    assert_int_equal(imp_calc_evaluate(calc, in, out, &sheet, NULL), IMP_OK);
    int found = 0;
    for (size_t i = 0; i < sheet.count; i++)
        if (sheet.lines[i].role == IMP_SHEET_STEP && strcmp(sheet.lines[i].symbol, "W") == 0) {
            assert_relative(sheet.lines[i].value, ratio, 1e-12);
            found++;
        }
    assert_int_equal(found, 1);
    imp_sheet_free(&sheet);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_sheet_of_moist_air_shows_its_humidity_ratio),
        cmocka_unit_test(saturation_changes_branch_at_the_triple_point_without_a_jump),
        cmocka_unit_test(saturation_over_ice_is_below_that_over_water_except_at_the_triple_point),
        cmocka_unit_test(saturated_air_has_its_own_temperature_as_dew_point),
        cmocka_unit_test(dew_point_inverts_saturation_to_a_nanokelvin),
        cmocka_unit_test(dew_point_of_pressure_covers_ice_and_water_over_the_whole_equation),
        cmocka_unit_test(dew_point_passes_the_triple_point_without_a_jump),
        cmocka_unit_test(humidity_over_water_below_freezing_gives_a_higher_frost_point),
        cmocka_unit_test(wet_bulb_lies_between_dew_point_and_air),
        cmocka_unit_test(saturated_air_has_its_own_temperature_as_wet_bulb),
        cmocka_unit_test(wet_bulb_satisfies_its_equation),
        cmocka_unit_test(wet_bulb_falls_through_freezing_in_one_step_and_stays_monotone),
        cmocka_unit_test(dry_air_still_has_a_wet_bulb),
        cmocka_unit_test(supersaturated_cold_air_warms_an_iced_bulb),
        cmocka_unit_test(dry_air_has_no_water_and_the_density_of_the_gas_law),
        cmocka_unit_test(density_is_the_sum_of_dry_air_and_vapour),
        cmocka_unit_test(surface_at_the_dew_point_has_no_spread_and_full_humidity),
        cmocka_unit_test(surface_at_air_temperature_has_the_air_humidity),
        cmocka_unit_test(frost_on_a_cold_surface_counts_from_saturation_over_ice),
        cmocka_unit_test(standard_atmosphere_is_in_hydrostatic_balance),
        cmocka_unit_test(wood_dries_out_in_dry_air_and_gets_wetter_with_humidity),
        cmocka_unit_test(saturated_air_brings_wood_near_fibre_saturation),
        cmocka_unit_test(wood_below_freezing_counts_humidity_over_water),
        cmocka_unit_test(purging_in_two_parts_takes_as_long_as_in_one),
        cmocka_unit_test(ventilation_time_says_that_it_is_no_re_entry_time),
        cmocka_unit_test(values_outside_their_range_are_refused_in_one_sentence),
        cmocka_unit_test(refused_surface_leaves_the_result_untouched),
        cmocka_unit_test(entry_takes_sensor_humidity_over_water_as_a_choice),
        cmocka_unit_test(entry_records_the_vapour_pressure_on_its_sheet),
        cmocka_unit_test(dew_point_closes_in_to_a_few_roundings),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
