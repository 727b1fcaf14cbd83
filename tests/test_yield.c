/* Material, lifts, coating, insulation and cost of a job. */
#include "support.h"

#include "catalogue.h"
#include "yield.h"

static void a_board_foot_is_a_square_foot_one_inch_thick(void **state)
{
    (void)state;
    double volume = 0.0, board_feet = 0.0, mass = 0.0;
    assert_int_equal(imp_yield_foam(0.3048 * 0.3048, 0.0254, 32.0, 0.0, 1.0, &volume, &board_feet, &mass, NULL), IMP_OK);
    assert_close(board_feet, 1.0, 1e-12);
    assert_relative(volume, 144.0 * 0.0254 * 0.0254 * 0.0254, 1e-12);
    assert_relative(mass, 32.0 * volume, 1e-12);
}

static void the_sprayed_mass_less_the_loss_stays_on_the_surface(void **state)
{
    (void)state;
    double volume = 0.0, board_feet = 0.0, mass = 0.0;
    assert_int_equal(imp_yield_foam(250.0, 0.06, 38.0, 0.15, 1.3, &volume, &board_feet, &mass, NULL), IMP_OK);
    assert_relative(mass * 0.85, volume * 38.0, 1e-12);
    assert_relative(volume, 250.0 * 1.3 * 0.06, 1e-12);
}

static void the_area_from_the_material_is_the_area_it_was_reckoned_for(void **state)
{
    (void)state;
    for (double loss = 0.0; loss < 0.6; loss += 0.13)
        for (double factor = 1.0; factor < 2.0; factor += 0.4) {
            double volume = 0.0, board_feet = 0.0, mass = 0.0, area = 0.0;
            assert_int_equal(imp_yield_foam(120.0, 0.08, 41.0, loss, factor, &volume, &board_feet, &mass, NULL), IMP_OK);
            assert_int_equal(imp_yield_area_from_material(mass, 0.08, 41.0, loss, factor, &area, NULL), IMP_OK);
            assert_relative(area, 120.0, 1e-12);
        }
}

static void a_total_loss_is_refused(void **state)
{
    (void)state;
    imp_error error;
    double volume = 1.0, board_feet = 2.0, mass = 3.0;
    assert_int_equal(imp_yield_foam(10.0, 0.05, 40.0, 1.0, 1.0, &volume, &board_feet, &mass, &error), IMP_RANGE);
    assert_string_equal(error.place, "loss");
    assert_string_equal(error.message, "100 % is not below 100 %");
    assert_int_equal(imp_yield_foam(10.0, 0.05, 40.0, 0.1, 0.9, &volume, &board_feet, &mass, &error), IMP_RANGE);
    assert_string_equal(error.place, "surface_factor");
    assert_true(volume == 1.0 && board_feet == 2.0 && mass == 3.0);
}

static void a_split_mixture_adds_up_again(void **state)
{
    (void)state;
    imp_yield_parts parts;
    assert_int_equal(imp_yield_split(500.0, 1.08, 1230.0, 1100.0, &parts, NULL), IMP_OK);
    assert_relative(parts.iso_mass + parts.resin_mass, 500.0, 1e-12);
    assert_relative(parts.iso_mass / parts.resin_mass, 1.08, 1e-12);
    assert_relative(parts.iso_volume * 1230.0, parts.iso_mass, 1e-12);
    assert_relative(parts.resin_volume * 1100.0, parts.resin_mass, 1e-12);
}

static void sets_are_whole_and_the_scarcer_side_decides(void **state)
{
    (void)state;
    double sets = 0.0, iso_left = 0.0, resin_left = 0.0;
    assert_int_equal(imp_yield_sets(0.5, 0.3, 0.2, 0.97, &sets, &iso_left, &resin_left, NULL), IMP_OK);
    assert_close(sets, 3.0, 0.0);
    assert_close(iso_left, 3.0 * 0.194 - 0.5, 1e-12);
    assert_close(resin_left, 3.0 * 0.194 - 0.3, 1e-12);
    assert_int_equal(imp_yield_sets(0.3, 0.5, 0.2, 0.97, &sets, &iso_left, &resin_left, NULL), IMP_OK);
    assert_close(sets, 3.0, 0.0);
    assert_int_equal(imp_yield_sets(0.0, 0.0, 0.2, 0.97, &sets, &iso_left, &resin_left, NULL), IMP_OK);
    assert_close(sets, 0.0, 0.0);
}

static void an_exact_number_of_drums_is_not_rounded_up(void **state)
{
    (void)state;
    for (int wanted = 1; wanted <= 40; wanted++) {
        double sets = 0.0, iso_left = 0.0, resin_left = 0.0;
        const double volume = wanted * (0.2 * 0.97);
        assert_int_equal(imp_yield_sets(volume, volume, 0.2, 0.97, &sets, &iso_left, &resin_left, NULL), IMP_OK);
        assert_close(sets, wanted, 0.0);
        assert_close(iso_left, 0.0, 1e-12);
        assert_int_equal(imp_yield_sets(volume * 1.0001, volume, 0.2, 0.97, &sets, &iso_left, &resin_left, NULL), IMP_OK);
        assert_close(sets, wanted + 1.0, 0.0);
    }
}

static void lifts_are_equal_few_and_within_the_limits(void **state)
{
    (void)state;
    imp_error error;
    double lifts = 0.0, each = 0.0;
    assert_int_equal(imp_yield_lifts(0.15, 0.05, 0.0, &lifts, &each, NULL), IMP_OK);
    assert_close(lifts, 3.0, 0.0);
    assert_relative(each, 0.05, 1e-12);
    assert_int_equal(imp_yield_lifts(0.151, 0.05, 0.0, &lifts, &each, NULL), IMP_OK);
    assert_close(lifts, 4.0, 0.0);
    for (double thickness = 0.005; thickness < 0.4; thickness += 0.0037) {
        assert_int_equal(imp_yield_lifts(thickness, 0.05, 0.0, &lifts, &each, NULL), IMP_OK);
        assert_true(each <= 0.05 * (1.0 + 1e-12) && (lifts == 1.0 || thickness / (lifts - 1.0) > 0.05));
        assert_relative(lifts * each, thickness, 1e-12);
    }
    lifts = 7.0;
    assert_int_equal(imp_yield_lifts(0.06, 0.05, 0.04, &lifts, &each, &error), IMP_NO_SOLUTION);
    assert_string_equal(error.place, "minimum_lift");
    assert_string_equal(error.message, "2 lifts of 30 mm would be thinner than 40 mm; choose another thickness or ask the supplier");
    assert_close(lifts, 7.0, 0.0);
}

static void a_trigger_that_is_always_pulled_takes_no_longer_than_spraying(void **state)
{
    (void)state;
    double spraying = 0.0, elapsed = 0.0;
    assert_int_equal(imp_yield_spray_time(100.0, 0.1, 1.0, &spraying, &elapsed, NULL), IMP_OK);
    assert_close(spraying, 1000.0, 1e-9);
    assert_close(elapsed, spraying, 0.0);
    assert_int_equal(imp_yield_spray_time(100.0, 0.1, 0.4, &spraying, &elapsed, NULL), IMP_OK);
    assert_relative(elapsed, 2500.0, 1e-12);
}

/* ISO 3233: a coating of 100 % solids dries to the film that was sprayed. */
static void a_film_without_solvent_does_not_shrink(void **state)
{
    (void)state;
    double wet = 0.0;
    assert_int_equal(imp_yield_wet_film(200e-6, 1.0, 0.0, &wet, NULL), IMP_OK);
    assert_close(wet, 200e-6, 1e-18);
    assert_int_equal(imp_yield_wet_film(200e-6, 0.5, 0.1, &wet, NULL), IMP_OK);
    assert_relative(wet, 440e-6, 1e-12);
}

static void without_loss_and_profile_practice_is_theory(void **state)
{
    (void)state;
    double volume = 0.0, practical = 0.0, theoretical = 0.0;
    assert_int_equal(imp_yield_coating(50.0, 250e-6, 0.7, 0.0, 0.0, &volume, &practical, &theoretical, NULL), IMP_OK);
    assert_relative(practical, theoretical, 1e-12);
    assert_relative(volume * practical, 50.0, 1e-12);
    double with_loss = 0.0;
    assert_int_equal(imp_yield_coating(50.0, 250e-6, 0.7, 0.3, 50e-6, &volume, &with_loss, &theoretical, NULL), IMP_OK);
    assert_true(with_loss < 0.7 * theoretical);
    assert_relative(volume, 50.0 * (250e-6 / 0.7 + 50e-6) / 0.7, 1e-12);
}

/* ISO 6946: the wall with the thickness found has the U value asked for. */
static void the_thickness_found_gives_the_u_value_asked_for(void **state)
{
    (void)state;
    imp_yield_wall wall = {.existing_resistance = 0.4, .conductivity = 0.025, .internal_surface = 0.13, .external_surface = 0.04};
    double thickness = 0.0, resistance = 0.0;
    for (wall.target_u = 0.1; wall.target_u < 1.5; wall.target_u += 0.1) {
        assert_int_equal(imp_yield_thickness_for_u(&wall, &thickness, NULL), IMP_OK);
        assert_int_equal(imp_yield_thermal_resistance(thickness, wall.conductivity, &resistance, NULL), IMP_OK);
        assert_relative(1.0 / (0.13 + 0.4 + resistance + 0.04), wall.target_u, 1e-12);
    }
    wall.target_u = 2.0; /* 1/0.57 = 1.754 is better already */
    assert_int_equal(imp_yield_thickness_for_u(&wall, &thickness, NULL), IMP_OK);
    assert_close(thickness, 0.0, 0.0);
}

static void cost_is_material_and_crew_time_and_energy(void **state)
{
    (void)state;
    imp_yield_job job = {.area = 200.0, .mass = 0.0, .unit_price = 5.0, .labour_time = 3600.0, .labour_rate = 36.0 / 3600.0, .crew = 2.0};
    double cost = 0.0, per_area = 0.0;
    assert_int_equal(imp_yield_cost(&job, &cost, &per_area, NULL), IMP_OK);
    assert_relative(cost, 72.0, 1e-12);
    job.mass = 100.0;
    job.energy_cost = 28.0;
    assert_int_equal(imp_yield_cost(&job, &cost, &per_area, NULL), IMP_OK);
    assert_relative(cost, 600.0, 1e-12);
    assert_relative(per_area, 3.0, 1e-12);
}

static void defaults_are_those_of_the_catalogue(void **state)
{
    (void)state;
    static const struct {
        const char *id, *input;
        double fallback;
    } rows[] = {{"yield.foam", "loss", 0.10},           {"yield.foam", "surface_factor", 1.0},
                {"yield.coating", "loss", 0.20},        {"yield.sets", "usable_fraction", 0.97},
                {"yield.spray_time", "trigger_fraction", 0.5}, {"yield.thickness_for_u", "internal_surface", 0.13},
                {"yield.thickness_for_u", "external_surface", 0.04}, {"yield.cost", "crew", 1.0},
                {"yield.lifts", "minimum_lift", 0.0}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const imp_calc *calc = imp_catalogue_find(rows[i].id);
        assert_non_null(calc);
        const imp_param *row = imp_calc_input(calc, rows[i].input, NULL);
        assert_non_null(row);
        assert_int_equal(row->presence, IMP_DEFAULT);
        assert_close(row->fallback, rows[i].fallback, 0.0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_board_foot_is_a_square_foot_one_inch_thick),
        cmocka_unit_test(the_sprayed_mass_less_the_loss_stays_on_the_surface),
        cmocka_unit_test(the_area_from_the_material_is_the_area_it_was_reckoned_for),
        cmocka_unit_test(a_total_loss_is_refused),
        cmocka_unit_test(a_split_mixture_adds_up_again),
        cmocka_unit_test(sets_are_whole_and_the_scarcer_side_decides),
        cmocka_unit_test(an_exact_number_of_drums_is_not_rounded_up),
        cmocka_unit_test(lifts_are_equal_few_and_within_the_limits),
        cmocka_unit_test(a_trigger_that_is_always_pulled_takes_no_longer_than_spraying),
        cmocka_unit_test(a_film_without_solvent_does_not_shrink),
        cmocka_unit_test(without_loss_and_profile_practice_is_theory),
        cmocka_unit_test(the_thickness_found_gives_the_u_value_asked_for),
        cmocka_unit_test(cost_is_material_and_crew_time_and_energy),
        cmocka_unit_test(defaults_are_those_of_the_catalogue),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
