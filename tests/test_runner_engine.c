/* impinge calc beyond one evaluation, calculators in files, their cases, and starting points. */
#include "shell.h"
#include "support.h"

#include <sys/stat.h>

/* A hose of 60 m; everything but its bore. */
#define HOSE "impinge calc hose.pressure_drop flow='3 L/min' length='60 m' density='1.1 kg/L' viscosity='180 cP' "

static double number_of(const cJSON *quantity)
{
    return member(quantity, "value")->valuedouble;
}

/* The command must succeed; its standard output, without the line's end, to be freed. */
static char *answer(const char *command)
{
    run_result result = shell(command);
    if (result.code != 0)
        fail_msg("%s: %s", command, result.err);
    free(result.err);
    result.out[strcspn(result.out, "\n")] = '\0';
    return result.out;
}

/* ---- solving ---- */

static void putting_the_solved_bore_back_gives_the_target_to_nine_digits(void **state)
{
    (void)state;
    char command[512];
    char *bore = answer(HOSE "--solve-for bore --target pressure_drop='20 bar'");
    snprintf(command, sizeof command, HOSE "bore='%s' --format json", bore);
    cJSON *json = json_of(command);
    assert_relative(number_of(member(member(json, "outputs"), "pressure_drop")), 20.0, 1e-9);
    cJSON_Delete(json);
    free(bore);
    json = json_of(HOSE "--solve-for bore --target pressure_drop='20 bar' --format json");
    const cJSON *solutions = member(json, "solutions");
    assert_int_equal(cJSON_GetArraySize(solutions), 1);
    assert_string_equal(member(solutions->child, "unit")->valuestring, "mm");
    /* Hagen-Poiseuille, by hand: d^4 = 128 mu L Q/(pi dp) */
    const double by_hand = pow(128.0 * 0.18 * 60.0 * (3e-3 / 60.0) / (M_PI * 20e5), 0.25) * 1e3;
    assert_relative(number_of(solutions->child), by_hand, 1e-12);
    assert_null(cJSON_GetObjectItem(member(json, "inputs"), "bore"));
    cJSON_Delete(json);
}

static const char parabola[] =
    "return calculator { id = 'parabola', title = 'Two answers', inputs = { { name = 'x', low = -5, high = 5 } },\n"
    "outputs = { { name = 'y' } }, compute = function(given) return given.x ^ 2 end }\n";

static void several_solutions_stand_each_on_a_line(void **state)
{
    (void)state;
    write_file("parabola.lua", parabola);
    static const command_case cases[] = {
        {"impinge calc parabola.lua --solve-for x --target y=4", 0, "-2\n2\n", NULL},
        {"impinge calc parabola.lua --solve-for x --target y=2 --digits 3", 0, "-1.41\n1.41\n", NULL},
        {"impinge calc parabola.lua --solve-for x --target y=-1", 3, NULL,
         "parabola: no x between -5 and 5 gives y = -1; the closest is 0 at 0\n"},
    };
    CHECK_CASES(cases);
}

static void what_cannot_be_solved_or_swept_is_refused_in_one_sentence(void **state)
{
    (void)state;
    write_file("parabola.lua", parabola);
    static const command_case cases[] = {
        {HOSE "--solve-for bor --target pressure_drop='20 bar'", 3, NULL,
         "--solve-for: hose.pressure_drop has no input \"bor\"; did you mean \"bore\"?\n"},
        {HOSE "--solve-for bore", 3, NULL,
         "impinge calc: --solve-for and --target go together: --solve-for NAME --target OUTPUT=VALUE\n"},
        {HOSE "--solve-for flow --target pressure_drop='20 bar'", 3, NULL,
         "flow: is given, and so cannot be solved for\n"},
        {HOSE "--solve-for bore --target drop='20 bar'", 3, NULL,
         "--target: hose.pressure_drop has no output \"drop\"; \"impinge explain hose.pressure_drop\" lists them\n"},
        {HOSE "--solve-for bore --target pressure_drop='20 m'", 3, NULL,
         "--target: pressure_drop: expected a pressure such as \"20 bar\", got \"20 m\"\n"},
        {HOSE "--solve-for bore --target pressure_drop='20 bar' --sensitivity", 3, NULL,
         "impinge calc: --solve-for and --sensitivity do not go together\n"},
        {HOSE "--sweep bore=8mm", 3, NULL,
         "--sweep: expected NAME=FROM..TO or NAME=FROM..TO/STEPS, got \"bore=8mm\"\n"},
        {HOSE "--sweep bore=8mm..12mm/1", 3, NULL, "--sweep: expected 2 to 10000 steps, got 1\n"},
        {HOSE "--sweep bore=8mm..12bar", 3, NULL,
         "--sweep: bore: expected a length such as \"20 mm\", got \"12bar\"\n"},
        {HOSE "bore=9mm --format svg", 3, NULL,
         "impinge calc: --format svg is for a --sweep; without one text or json\n"},
        {HOSE "bore=9mm --uncertainty bore=1bar", 3, NULL,
         "--uncertainty: bore: expected a length such as \"20 mm\", got \"1bar\"\n"},
        {HOSE "bore=9mm --uncertainty bore=-1mm", 3, NULL, "--uncertainty: bore: -1 mm is below 0 mm\n"},
        {HOSE "bore=9mm --uncertainty bor=1mm", 3, NULL,
         "--uncertainty: hose.pressure_drop has no input \"bor\"; did you mean \"bore\"?\n"},
        {HOSE "bore=9mm --uncertainty bore=1mm --draws 2.5", 3, NULL, "--draws: expected a whole number\n"},
    };
    CHECK_CASES(cases);
}

/* ---- sweeps ---- */

static void a_sweep_is_a_table_with_its_ends_exact(void **state)
{
    (void)state;
    write_file("parabola.lua", parabola);
    static const command_case cases[] = {
        {"impinge calc parabola.lua --sweep x=0..4/3", 0, "x  y\n0  0\n2  4\n4  16\n", NULL},
        /* by hand: 2 m^3 are 2/(144 0.0254^3) board feet and, at 35 kg/m^3, 70 kg */
        {"impinge calc yield.foam area='100 m^2' in_place_density='35 kg/m^3' loss=0 --sweep thickness='20 mm..40 "
         "mm/2' --format csv",
         0,
         "thickness [mm],volume [m^3],board_feet,mass [kg]\n20,2,847.5520013157261,70\n40,4,1695.1040026314522,140\n",
         NULL},
    };
    CHECK_CASES(cases);
    cJSON *json = json_of(HOSE "--sweep bore='8 mm..12 mm' --format json");
    assert_int_equal(cJSON_GetArraySize(member(json, "points")), 21);
    cJSON_Delete(json);
}

static void a_refused_point_leaves_an_empty_cell(void **state)
{
    (void)state;
    write_file("part.lua",
               "return calculator { id = 'part', title = 'Part', inputs = { { name = 'x', low = 0, high = 9 } }, "
               "outputs = { { name = 'y' } },\n"
               "compute = function(given) if given.x > 5 then return nil, 'too much' end return given.x end }\n");
    static const command_case cases[] = {
        {"impinge calc part.lua --sweep x=4..6/3 --format csv", 0, "x,y\n4,4\n5,5\n6,\n", NULL},
        {"impinge calc part.lua --sweep x=4..6/3", 0, "x  y\n4  4\n5  5\n6  -\n", NULL},
        {"impinge calc part.lua x=7", 3, NULL, "part: too much\n"},
    };
    CHECK_CASES(cases);
}

static void a_sweep_is_drawn_as_svg_and_as_a_page(void **state)
{
    (void)state;
    run_result svg = shell(HOSE "--sweep bore='8 mm..12 mm' --format svg");
    assert_int_equal(svg.code, 0);
    assert_memory_equal(svg.out, "<svg ", 5);
    assert_contains(svg.out, "pressure drop over bore");
    done(&svg);
    run_result page = shell(HOSE "--sweep bore='8 mm..12 mm/5' --format html -o sweep.html && cat sweep.html");
    assert_int_equal(page.code, 0);
    assert_memory_equal(page.out, "<!DOCTYPE html>", 15);
    assert_contains(page.out, "<figure");
    assert_contains(page.out, "180 mPa s");
    assert_contains(page.out, "</html>");
    done(&page);
}

/* ---- sensitivity and uncertainty ---- */

/* Hagen-Poiseuille: the drop goes with bore^-4, and with all else but the density in proportion */
static void sensitivity_gives_the_powers_of_laminar_flow(void **state)
{
    (void)state;
    cJSON *json = json_of(HOSE "bore='10 mm' --sensitivity --format json");
    const cJSON *drop = member(member(json, "sensitivity"), "pressure_drop");
    assert_close(member(member(drop, "bore"), "elasticity")->valuedouble, -4.0, 1e-6);
    assert_close(member(member(drop, "length"), "elasticity")->valuedouble, 1.0, 1e-6);
    assert_string_equal(member(member(member(drop, "bore"), "derivative"), "unit")->valuestring, "bar/mm");
    cJSON_Delete(json);
    run_result text = shell(HOSE "bore='10 mm' --sensitivity");
    assert_contains(text.out, "bore          10 mm        -8.801 bar/mm           -4");
    done(&text);
}

/* JCGM 100:2008, example H.1: 32 nm to first order (H.1.4), 34 nm with the second (H.1.7), which the simulation has */
static void gum_end_gauge_example_gives_both_published_uncertainties(void **state)
{
    (void)state;
    write_file(
        "gauge.lua",
        "return calculator { id = 'end_gauge', title = 'End gauge by comparison', source = 'JCGM 100:2008, H.1',\n"
        "inputs = { { name = 'ls', unit = 'nm' }, { name = 'd', unit = 'nm' }, { name = 'da', unit = '1/K' },\n"
        "{ name = 't', unit = 'K' }, { name = 'as', unit = '1/K' }, { name = 'dt', unit = 'K' } },\n"
        "outputs = { { name = 'l', unit = 'nm', digits = 8 } },\n"
        "compute = function(g) return g.ls + g.d - g.ls * (g.da * g.t + g.as * g.dt) end }\n");
#define GAUGE                                                                                                          \
    "impinge calc gauge.lua ls='50000623 nm' d='215 nm' da='0 1/K' t='-0.1 K' as='11.5e-6 1/K' dt='0 K' "              \
    "--uncertainty ls='25 nm' --uncertainty d='9.7 nm' --uncertainty da='0.58e-6 1/K' --uncertainty t='0.41 K' "       \
    "--uncertainty as='1.2e-6 1/K' --uncertainty dt='0.029 K' --draws 100000 "
    cJSON *json = json_of(GAUGE "--format json");
    const cJSON *length = member(member(json, "uncertainty"), "l");
    assert_close(number_of(member(length, "value")), 50000838.0, 0.5);
    assert_close(number_of(member(length, "linear")), 32.0, 0.5);
    assert_close(number_of(member(length, "simulated")), 34.0,
                 0.5 + 3.0 * number_of(member(length, "simulated_error")));
    assert_true(number_of(member(length, "simulated_error")) < 0.1);
    cJSON_Delete(json);
    run_result first = shell(GAUGE "--seed 5"), again = shell(GAUGE "--seed 5"), other = shell(GAUGE "--seed 6");
    assert_string_equal(first.out, again.out);
    assert_string_not_equal(first.out, other.out);
    assert_contains(first.out, "l       50000838 nm  31.7");
    done(&first);
    done(&again);
    done(&other);
}

/* Two readings of 1 mm make 2^(1/2) mm a drop, which is what mix.dip_ratio itself reckons with */
static void dip_ratio_shows_both_methods_side_by_side(void **state)
{
    (void)state;
    cJSON *json = json_of("impinge calc mix.dip_ratio iso_diameter='571 mm' iso_drop='148 mm' resin_diameter='571 mm' "
                          "resin_drop='147 mm' "
                          "--uncertainty iso_drop='1.4142135623730951 mm' --uncertainty resin_drop='1.4142135623730951 "
                          "mm' --format json");
    const cJSON *ratio = member(member(json, "uncertainty"), "volume_ratio");
    const double own = number_of(member(member(member(json, "uncertainty"), "standard_uncertainty"), "value"));
    assert_relative(number_of(member(ratio, "linear")), own, 1e-8);
    assert_close(number_of(member(ratio, "simulated")), own,
                 4.0 * number_of(member(ratio, "simulated_error")) + 1e-3 * own);
    cJSON_Delete(json);
    run_result text = shell("impinge calc mix.dip_ratio iso_diameter='571 mm' iso_drop='148 mm' resin_diameter='571 "
                            "mm' resin_drop='147 mm' "
                            "--uncertainty iso_drop='2 mm' --sheet");
    assert_contains(text.out, "output                value  linear");
    assert_contains(text.out, "20000 draws, seed 1");
    assert_contains(text.out, "Formula");
    done(&text);
}

/* ---- calculators in files ---- */

static void stock_calculators_hold_their_own_cases_and_are_listed_by_their_files_names(void **state)
{
    (void)state;
    cJSON *json = json_of("impinge list --format json");
    const cJSON *calculators = member(json, "calculators");
    assert_true(cJSON_GetArraySize(calculators) >= 8);
    for (const cJSON *each = calculators->child; each != NULL; each = each->next) {
        char command[512];
        const char *id = member(each, "id")->valuestring;
        snprintf(command, sizeof command,
                 "impinge test " IMP_SCRIPTS_FOLDER "/calculators/%s.lua && impinge explain %s", id, id);
        run_result result = shell(command);
        if (result.code != 0)
            fail_msg("%s\n%s", result.out, result.err);
        assert_contains(result.out, "cases hold");
        assert_contains(result.out, "\nExample\n");
        done(&result);
        assert_true(strlen(member(each, "source")->valuestring) > 0 &&
                    strlen(member(each, "validity")->valuestring) > 0);
    }
    cJSON_Delete(json);
    run_result listed = shell("impinge list dew point plan");
    assert_contains(listed.out, "dew_point_plan");
    done(&listed);
}

/* 1 psi = 6.894757 kPa, 1 in = 25.4 mm (NIST SP 811, appendix B.8): water that stands 10 m high in a hose that hardly
 * flows, 1000 kg/m3 x 9.80665 m/s2 x 10 m = 98.0665 kPa = 14.22 psi. 0 degC = 32 degF, and a difference of 1 K = 1.8 degF. */
static void results_are_shown_in_the_units_asked_for(void **state)
{
    (void)state;
#define STANDING "impinge calc hose.pressure_drop flow='1e-9 L/min' bore='10 mm' length='10 m' density='1000 kg/m^3' viscosity='1 mPa s' rise='10 m' "
#define FREEZING "impinge calc climate.dew_point relative_humidity='100 %' air_temperature='0 degC' humidity_over=water "
    write_file("units.json", "{\"impinge\": 1, \"kind\": \"units\", \"base\": \"us\", \"show\": {\"psi\": \"kPa\"}}");
    write_file("kinds.json", "{\"impinge\": 1, \"kind\": \"units\", \"show\": {\"bar\": \"mm\"}}");
    write_file("slab.lua", "return calculator { id = 'slab', title = 'Slabs', formula = 'm = L q', inputs = { { name = 'length', unit = 'm' } },\n"
                           "outputs = { { name = 'mass', unit = 'kg' } }, compute = function(given) return given.length * q '2 kg/m' end }\n");
    static const command_case cases[] = {
        {FREEZING, 0, "0.0 degC\n", ""},
        {FREEZING "--units si", 0, "0.0 degC\n", ""},
        {FREEZING "--units us", 0, "32.0 degF\n", ""},
        {STANDING "--units us | head -1", 0, "pressure_drop    14.22 psi\n", ""},
        {STANDING "--units units.json | head -1", 0, "pressure_drop    98.07 kPa\n", ""},
        {STANDING "--units us --format json | grep -c '\"value\": 0.39370078740157[0-9]*, \"unit\": \"in\"'", 0, "1\n", ""},
        {"impinge calc climate.dew_point relative_humidity='100 %' --sweep air_temperature='0 degC..10 degC/2' --units us --format csv | head -1",
         0, "air_temperature [degF],dew_point [degF]\n", ""},
        {"impinge calc slab.lua length='0.45359237 m' --units us", 0, "2 lb\n", ""},
        {FREEZING "--units kinds.json", 4, "", "kinds.json: show.bar: bar is a pressure, not a length\n"},
        {FREEZING "--units none.json 2>&1 | grep -c 'units are \"si\", \"us\" or the name of a file'", 0, "1\n", ""},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        check_case(&cases[i]);
}

static void a_calculator_file_answers_as_an_entry_does(void **state)
{
    (void)state;
    write_file("slab.lua", "return calculator { id = 'slab', title = 'Mass of a slab', formula = 'm = L q',\n"
                           "inputs = { { name = 'length', symbol = 'L', unit = 'm', low = q '0 m', high = q '10 m' }, "
                           "{ name = 'line_mass', symbol = 'q', unit = 'kg/m', default = q '2 kg/m' } },\n"
                           "outputs = { { name = 'mass', unit = 'kg' } }, compute = function(given) print 'aside' "
                           "return given.length * given.line_mass end }\n");
    static const command_case cases[] = {
        {"impinge calc slab.lua length='3 m'", 0, "6 kg\n", "aside\n"},
        {"impinge calc ./slab.lua length='3 m' line_mass='4 kg/m' 2>/dev/null", 0, "12 kg\n", NULL},
        {"impinge calc slab.lua", 3, NULL, "slab: missing length\n"},
        {"impinge calc slab.lua length='30 m'", 3, NULL, "slab: length: 30 m is above 10 m\n"},
        {"impinge calc slab.lua lenght='3 m'", 3, NULL, "slab: lenght: unknown input; did you mean \"length\"?\n"},
        {"impinge calc slab.lua --solve-for length --target mass='6 kg' 2>/dev/null", 0, "3 m\n", NULL},
        {"impinge calc none.lua length='3 m'", 4, NULL,
         "none.lua: cannot read \"none.lua\": there is no such file (2)\n"},
        {"impinge calc foam_estimat area='3 m^2'", 3, NULL,
         "foam_estimat: unknown calculation; did you mean \"foam_estimate\"?\n"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        if (cases[i].code == 4) { /* the reason is the system's words */
            run_result missing = shell(cases[i].command);
            assert_int_equal(missing.code, 4);
            assert_contains(missing.err, "none.lua");
            done(&missing);
        } else {
            check_case(&cases[i]);
        }
    }
    run_result sheet = shell("impinge calc slab.lua length='3 m' --sheet 2>/dev/null");
    assert_contains(sheet.out, "m = (3 m) (2 kg/m)");
    done(&sheet);
    run_result about = shell("impinge explain slab.lua 2>/dev/null");
    assert_contains(about.out, "Mass of a slab");
    assert_contains(about.out, "impinge calc slab.lua length=");
    done(&about);
}

static void what_goes_wrong_in_a_calculator_file_names_the_place(void **state)
{
    (void)state;
    write_file("wrong.lua", "return calculator { id = 'wrong', title = 'Wrong', inputs = { { name = 'x', unit = 'm' } "
                            "}, outputs = { { name = 'y', unit = 'm' } },\n"
                            "compute = function(given)\n return given.x + q '3 bar' end }\n");
    write_file("endless.lua", "return calculator { id = 'endless', title = 'Endless', inputs = { { name = 'x' } }, "
                              "outputs = { { name = 'y' } },\n"
                              "compute = function(given) while true do end end }\n");
    write_file("nothing.lua", "local x = 1\nreturn x\n");
    write_file("syntax.lua", "return calculator {\n");
    static const command_case cases[] = {
        {"impinge calc wrong.lua x='1 m'", 5, NULL, "wrong: wrong.lua:3: cannot add a length and a pressure\n"},
        {"impinge calc endless.lua x=1 --max-steps 100000", 6, NULL,
         "endless: endless.lua:2: used up its budget of 100000 steps\n"},
        {"impinge calc nothing.lua x=1", 4, NULL,
         "nothing.lua: declares no calculator; \"impinge new calculator NAME\" writes one to begin with\n"},
        {"impinge calc syntax.lua x=1", 5, NULL, "syntax.lua:2: unexpected symbol near <eof>\n"},
    };
    CHECK_CASES(cases);
}

/* A script cannot catch its way past its budget through the engine, and the engine's own work counts. */
static void the_engine_keeps_to_a_scripts_budget(void **state)
{
    (void)state;
    write_file("loop.lua",
               "local c = calculator { id = 'c', title = 'c', inputs = { { name = 'x', low = 0, high = 9 } }, outputs "
               "= { { name = 'y' } },\n"
               "compute = function() while true do end end }\n"
               "for _ = 1, 100 do pcall(imp.sweep, { calculation = c, vary = 'x', from = 0, to = 1, steps = 10000 })\n"
               "pcall(imp.solve_for, { calculation = c, unknown = 'x', target = { y = 1 } }) pcall(c, { x = 1 })\n"
               "pcall(imp.uncertainty, { calculation = c, with = { x = 1 }, sd = { x = 1 }, draws = 10000000 }) "
               "end\nprint 'escaped'\n");
    write_file("draws.lua", "pcall(imp.uncertainty, { calculation = 'climate.wet_bulb', with = { air_temperature = '20 "
                            "degC', relative_humidity = '50 %' },\n"
                            "sd = { air_temperature = '1 K' }, draws = 10000000 }) print 'escaped'\n");
    write_file("many.lua", "for i = 1, 3000 do calculator { id = 'c' .. i, title = 'c', inputs = {}, outputs = { { "
                           "name = 'y' } }, compute = print } end\n");
    static const command_case cases[] = {
        {"impinge run --max-steps 1000000 loop.lua", 6, NULL, "loop.lua:2: used up its budget of 1 million steps\n"},
        {"impinge run --max-steps 1000000 draws.lua", 6, NULL, "draws.lua:1: used up its budget of 1 million steps\n"},
        {"impinge run --max-seconds 0.3 draws.lua", 6, NULL, "draws.lua:1: used up its budget of 0.3 s\n"},
        {"impinge run many.lua", 5, NULL, "many.lua:1: calculator c1001: more than 1000 calculators\n"},
    };
    CHECK_CASES(cases);
}

static void failing_cases_end_with_2_and_say_what_was_expected(void **state)
{
    (void)state;
    write_file("cases.lua", "return calculator { id = 'double', title = 'Double', inputs = { { name = 'x', unit = 'm', "
                            "high = q '9 m' } }, outputs = { { name = 'y', unit = 'm' } },\n"
                            "compute = function(given) return given.x * 2 end,\n"
                            "cases = { { name = 'right', inputs = { x = '1 m' }, expect = { y = q '2 m' } },\n"
                            "{ name = 'near', inputs = { x = '1 m' }, expect = { y = q '2.01 m' }, within = '1 %' },\n"
                            "{ name = 'wrong', inputs = { x = '1 m' }, expect = { y = q '3 m' }, within = q '1 mm' },\n"
                            "{ name = 'kind', inputs = { x = '1 m' }, expect = { y = q '3 bar' } },\n"
                            "{ name = 'refused', inputs = { x = '10 m' }, refuses = 'above 9 m' },\n"
                            "{ name = 'not refused', inputs = { x = '1 m' }, refuses = 'above 9 m' },\n"
                            "{ name = 'empty', inputs = { x = '1 m' } } } }\n");
    run_result result = shell("impinge test cases.lua");
    assert_int_equal(result.code, 2);
    assert_contains(result.out,
                    "ok      double: right\nok      double: near\nFAILED  double: wrong: y is 2 m, expected 3 m\n");
    assert_contains(result.out, "FAILED  double: kind: y: ");
    assert_contains(result.out, "ok      double: refused\nFAILED  double: not refused: was not refused\nFAILED  "
                                "double: empty: expects nothing\n");
    assert_contains(result.out, "3 of 7 cases hold\n");
    done(&result);
    write_file("parabola.lua", parabola);
    static const command_case none = {
        "impinge test parabola.lua", 4, NULL,
        "parabola.lua: declares no cases; add cases = { { inputs = {...}, expect = {...} } } to the calculator\n"};
    check_case(&none);
}

/* ---- starting points ---- */

static void starting_points_run_as_they_are(void **state)
{
    (void)state;
    static const struct {
        const char *command;
        int code;
        const char *out;
    } cases[] = {
        {"impinge new job My-job", 0, "on site: site.air_temperature, "},
        {"grep '\"name\": \"My-job (invented' My-job.json", 0, "My-job"},
        {"impinge check My-job.json --stage plan", 2, "NOT KNOWN"}, /* invented figures alone never give a go */
        {"impinge check My-job.json --stage plan", 2, "missing: cable length (supply.cable.length)"},
        {"impinge check My-job.json --stage plan --format json | grep -c '\"verdict\": \"stop\"' || true", 0, "0"},
        {"impinge check My-job.json", 2, "NOT KNOWN"}, /* nothing is read or confirmed before somebody was on site */
        {"impinge check My-job.json --format json | grep -c '\"verdict\": \"stop\"' || true", 0, "0"},
        {"impinge new rule My-rule && impinge check My-job.json --stage plan --rules My-rule.lua", 2,
         "Two people are on site"},
        {"impinge test My-rule.lua", 0, "5 of 5 cases hold"},
        {"impinge new report My-report && impinge check My-job.json --stage plan --report-file My-report.lua", 2,
         "Verdict: **not known**"},
        {"impinge new calculator My-sum && impinge test My-sum.lua", 0, "3 of 3 cases hold"},
        {"impinge calc My-sum.lua area='100 m^2' thickness='60 mm'", 0, "drums"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        run_result result = shell(cases[i].command);
        if (result.code != cases[i].code)
            fail_msg("%s\n%s%s", cases[i].command, result.out, result.err);
        assert_contains(result.out, cases[i].out);
        done(&result);
    }
}

static void starting_points_overwrite_nothing(void **state)
{
    (void)state;
    write_file("kept.lua", "mine\n");
    static const command_case cases[] = {
        {"impinge new rule kept", 3, NULL, "kept.lua: is there already, and was left as it is; choose another name\n"},
        {"cat kept.lua", 0, "mine\n", NULL},
        {"impinge new thing x", 3, NULL, "impinge new: expected rule, calculator, report or job, got \"thing\"\n"},
        {"impinge new rule ../x", 3, NULL,
         "impinge new: expected a name of letters, digits, _ and - (at most 40, a letter first), got \"../x\"\n"},
        {"impinge new rule", 3, NULL,
         "impinge new: expected rule|calculator|report|job NAME; \"impinge new --help\" says more\n"},
    };
    CHECK_CASES(cases);
}

static void a_report_of_ones_own_that_is_wrong_is_named(void **state)
{
    (void)state;
    write_file("number.lua", "return function(results) return #results.findings end\n");
    write_file("table.lua", "return {}\n");
    write_file("throws.lua", "return function(results)\n error 'no'\nend\n");
    static const command_case cases[] = {
        {"test -e Job.json || impinge new job Job >/dev/null; impinge check Job.json --report-file number.lua", 5, NULL,
         "impinge: number.lua: expected its function to return a text, got 68\n"},
        {"impinge check Job.json --report-file table.lua", 5, NULL,
         "impinge: table.lua: expected it to return a function from the results to a text, got a table\n"},
        {"impinge check Job.json --report-file throws.lua", 5, NULL, "impinge: throws.lua:2: no\n"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        run_result result = shell(cases[i].command);
        assert_int_equal(result.code, cases[i].code);
        if (i > 0)
            assert_string_equal(result.err, cases[i].err);
        else
            assert_contains(result.err,
                            "expected its function to return a text, got "); /* how many findings is not ours */
        done(&result);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(putting_the_solved_bore_back_gives_the_target_to_nine_digits),
        cmocka_unit_test(several_solutions_stand_each_on_a_line),
        cmocka_unit_test(what_cannot_be_solved_or_swept_is_refused_in_one_sentence),
        cmocka_unit_test(a_sweep_is_a_table_with_its_ends_exact),
        cmocka_unit_test(a_refused_point_leaves_an_empty_cell),
        cmocka_unit_test(a_sweep_is_drawn_as_svg_and_as_a_page),
        cmocka_unit_test(sensitivity_gives_the_powers_of_laminar_flow),
        cmocka_unit_test(gum_end_gauge_example_gives_both_published_uncertainties),
        cmocka_unit_test(dip_ratio_shows_both_methods_side_by_side),
        cmocka_unit_test(stock_calculators_hold_their_own_cases_and_are_listed_by_their_files_names),
        cmocka_unit_test(results_are_shown_in_the_units_asked_for),
        cmocka_unit_test(a_calculator_file_answers_as_an_entry_does),
        cmocka_unit_test(what_goes_wrong_in_a_calculator_file_names_the_place),
        cmocka_unit_test(the_engine_keeps_to_a_scripts_budget),
        cmocka_unit_test(failing_cases_end_with_2_and_say_what_was_expected),
        cmocka_unit_test(starting_points_run_as_they_are),
        cmocka_unit_test(starting_points_overwrite_nothing),
        cmocka_unit_test(a_report_of_ones_own_that_is_wrong_is_named),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
