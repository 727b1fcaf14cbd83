/* Which loads may run at once: against trying every set, and at the ends. */
#include "support.h"

#include "argument.h"
#include "catalogue.h"
#include "line_currents.h"

static const double NOT_GIVEN = (double)NAN;
static const imp_line_supply THREE_PHASE = {.voltage = 400.0, .measured_voltage = (double)NAN, .phases = IMP_THREE_PHASE};
static const imp_line_supply ONE_PHASE = {.voltage = 230.0, .measured_voltage = (double)NAN, .phases = IMP_SINGLE_PHASE};

static imp_load load_of(imp_load_kind kind, imp_load_connection connection, double power, double power_factor)
{
    return (imp_load){.kind = kind,
                      .connection = connection,
                      .power = power,
                      .rated_voltage = NOT_GIVEN,
                      .power_factor = power_factor,
                      .efficiency = 1.0,
                      .diversity = 1.0,
                      .start = IMP_START_DIRECT,
                      .when = IMP_WHEN_ALWAYS};
}

static imp_may_run within(const imp_line_supply *supply, const imp_load *loads, const bool *must_run, size_t count, double limit)
{
    imp_may_run result = {.power = -1.0};
    imp_error error = {.message = ""};
    if (imp_may_run_within(supply, loads, must_run, count, IMP_STATE_ALL, limit, &result, &error) != IMP_OK)
        print_error("%s: %s\n", error.place, error.message);
    return result;
}

/* Largest current of a set in the lines and the neutral, from electrical.line_currents' own sum. */
static double current_of(const imp_line_supply *supply, const imp_load *loads, const bool *on, size_t count, double *power)
{
    imp_load running[IMP_MOST_LOADS];
    imp_line_currents sum;
    size_t some = 0;
    for (size_t i = 0; i < count; i++)
        if (on[i])
            running[some++] = loads[i];
    assert_int_equal(imp_line_currents_sum(supply, running, some, IMP_STATE_ALL, &sum, NULL), IMP_OK);
    *power = sum.active_power;
    return fmax(fmax(sum.line[0], sum.line[1]), fmax(sum.line[2], sum.neutral));
}

/* The same random numbers in every run. */
static unsigned next_random(unsigned *state)
{
    *state = *state * 1664525u + 1013904223u;
    return *state >> 8;
}

static void it_finds_what_trying_every_set_finds(void **state)
{
    (void)state;
    unsigned random = 7;
    for (int trial = 0; trial < 300; trial++) {
        enum { COUNT = 9 };
        imp_load loads[COUNT];
        bool must_run[COUNT] = {false};
        for (int i = 0; i < COUNT; i++) {
            loads[i] = load_of((imp_load_kind)(next_random(&random) % 4), (imp_load_connection)(next_random(&random) % 8),
                               200.0 + next_random(&random) % 6000, 0.2 + 0.01 * (next_random(&random) % 81));
            must_run[i] = i == 0 && trial % 3 == 0;
        }
        const double limit = 16.0 + next_random(&random) % 30;
        double best = -1.0;
        for (unsigned set = 0; set < 1u << COUNT; set++) {
            bool on[COUNT];
            double power = 0.0;
            for (int i = 0; i < COUNT; i++)
                on[i] = (set >> i & 1u) != 0;
            if ((must_run[0] && !on[0]) || current_of(&THREE_PHASE, loads, on, COUNT, &power) > limit * (1.0 + 1e-9))
                continue;
            best = fmax(best, power);
        }
        if (best < 0.0)
            continue;
        const imp_may_run result = within(&THREE_PHASE, loads, must_run, COUNT, limit);
        double power = 0.0;
        assert_relative(result.power, best, 1e-9);
        assert_relative(current_of(&THREE_PHASE, loads, result.runs, COUNT, &power), result.largest_current, 1e-9);
        assert_relative(power, best, 1e-9);
        assert_true(result.largest_current <= limit * (1.0 + 1e-9));
        assert_true(!must_run[0] || result.runs[0]);
    }
}

/* On one phase, resistive loads add like weights in a knapsack: 8 and 6 A fill 14 A; within 13.9 A it is 7 and 6 A. */
static void the_largest_load_is_left_out_where_two_others_fill_the_socket_better(void **state)
{
    (void)state;
    const imp_load loads[] = {load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L1_N, 8 * 230.0, 1.0), load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L1_N, 7 * 230.0, 1.0),
                              load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L1_N, 6 * 230.0, 1.0)};
    const bool none[3] = {false};
    imp_may_run result = within(&ONE_PHASE, loads, none, 3, 14.0);
    assert_true(result.runs[0] && !result.runs[1] && result.runs[2]); /* 8 + 6 = 14: exactly full */
    assert_close(result.largest_current, 14.0, 1e-9);
    assert_close(result.heater_power, 0.0, 1e-6);
    assert_relative(result.left_out, 7 * 230.0, 1e-12);
    result = within(&ONE_PHASE, loads, none, 3, 13.9);
    assert_true(!result.runs[0] && result.runs[1] && result.runs[2]);
    assert_relative(result.heater_power, 0.9 * 230.0, 1e-9);
    assert_relative(result.heater_power_alone, 13.9 * 230.0, 1e-9);
    const bool first[3] = {true, false, false};
    result = within(&ONE_PHASE, loads, first, 3, 13.9);
    assert_true(result.runs[0] && !result.runs[1] && !result.runs[2]);
    assert_relative(result.heater_power_alone, 5.9 * 230.0, 1e-9);
}

static void everything_runs_where_everything_fits(void **state)
{
    (void)state;
    const imp_load loads[] = {load_of(IMP_LOAD_MOTOR, IMP_LOAD_STAR, 4e3, 0.8), load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L2_N, 1e3, 1.0),
                              load_of(IMP_LOAD_OTHER, IMP_LOAD_L3_L1, 0.0, 0.9)};
    const bool none[3] = {false};
    const imp_may_run result = within(&THREE_PHASE, loads, none, 3, 63.0);
    assert_true(result.runs[0] && result.runs[1] && result.runs[2]);
    assert_relative(result.power, 5e3, 1e-12);
    assert_close(result.left_out, 0.0, 0.0);
    assert_int_equal(result.worst_conductor, 1);
    const imp_may_run nothing = within(&THREE_PHASE, loads, none, 0, 16.0);
    assert_close(nothing.power, 0.0, 0.0);
    assert_relative(nothing.heater_power, sqrt(3.0) * 400.0 * 16.0, 1e-12);
}

/* The heater that is said to fit brings the fullest line to the limit, and not beyond, at any voltage. */
static void the_heater_power_fills_the_fullest_line_exactly(void **state)
{
    (void)state;
    for (int phases = 0; phases < 2; phases++)
        for (double measured = 0.85; measured < 1.11; measured += 0.05) {
            imp_line_supply supply = phases == 0 ? ONE_PHASE : THREE_PHASE;
            supply.measured_voltage = measured * supply.voltage;
            imp_load loads[3] = {load_of(IMP_LOAD_MOTOR, phases == 0 ? IMP_LOAD_L1_L2 : IMP_LOAD_DELTA, 1500.0, 0.7),
                                 load_of(IMP_LOAD_TRANSFORMER, IMP_LOAD_L1_L2, 900.0, 0.9)};
            const bool all[3] = {true, true, true};
            const imp_may_run result = within(&supply, loads, all, 2, 25.0);
            loads[2] = load_of(IMP_LOAD_RESISTIVE, phases == 0 ? IMP_LOAD_L1_L2 : IMP_LOAD_STAR, result.heater_power, 1.0);
            double power = 0.0;
            assert_relative(current_of(&supply, loads, all, 3, &power), 25.0, 1e-9);
        }
}

static void a_larger_limit_never_lets_less_run(void **state)
{
    (void)state;
    imp_load loads[7];
    const bool none[7] = {false};
    for (int i = 0; i < 7; i++)
        loads[i] = load_of(IMP_LOAD_OTHER, (imp_load_connection)i, 700.0 + 410.0 * i, 0.6 + 0.05 * i);
    double last = 0.0;
    for (double limit = 1.0; limit < 60.0; limit += 0.7) {
        const double power = within(&THREE_PHASE, loads, none, 7, limit).power;
        assert_true(power >= last);
        last = power;
    }
    assert_relative(last, 7 * 700.0 + 21 * 410.0, 1e-12);
}

static void refuses(const imp_line_supply *supply, const imp_load *loads, const bool *must_run, size_t count, double limit,
                    imp_status expected, const char *text)
{
    imp_may_run result = {.power = 42.0};
    imp_error error = {.message = ""};
    char found[IMP_MESSAGE_SIZE + IMP_PLACE_SIZE];
    assert_int_equal(imp_may_run_within(supply, loads, must_run, count, IMP_STATE_ALL, limit, &result, &error), expected);
    assert_string_equal(imp_error_text(&error, found, sizeof found), text);
    assert_true(result.power == 42.0);
}

static void what_cannot_be_answered_is_refused_in_a_sentence(void **state)
{
    (void)state;
    imp_load loads[17];
    bool must_run[17] = {false};
    for (int i = 0; i < 17; i++)
        loads[i] = load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L1_N, 230.0, 1.0);
    refuses(&ONE_PHASE, loads, must_run, 17, 16.0, IMP_LIMIT,
            "loads: more than 16 loads to choose from; take some together, or mark those that must_run");
    must_run[4] = true;
    assert_relative(within(&ONE_PHASE, loads, must_run, 17, 16.0).power, 16 * 230.0, 1e-9);
    for (int i = 0; i < 17; i++)
        must_run[i] = true;
    refuses(&ONE_PHASE, loads, must_run, 17, 16.0, IMP_NO_SOLUTION,
            "loads: what must run draws 17 A in L1, above 16 A; let less of it run, or use a larger supply");
    refuses(&ONE_PHASE, loads, must_run, 17, 0.0, IMP_RANGE, "limit_current: 0 A is not above 0 A");
    loads[2].connection = IMP_LOAD_STAR;
    refuses(&ONE_PHASE, loads, must_run, 17, 16.0, IMP_NOT_APPLICABLE,
            "loads[3].connection: star needs three phases, and the supply has one; L1-N, L2-N and L1-L2 stand on one phase");
}

/* 240 V with a neutral between its lines: the lights of both halves cancel in the neutral, a load across both adds to both. */
static void one_phase_with_two_lines_and_a_neutral_between_them(void **state)
{
    (void)state;
    const imp_line_supply supply = {.voltage = 240.0, .measured_voltage = NOT_GIVEN, .phases = IMP_SINGLE_PHASE};
    const imp_load loads[] = {load_of(IMP_LOAD_RESISTIVE, IMP_LOAD_L1_L2, 4800.0, 1.0), load_of(IMP_LOAD_OTHER, IMP_LOAD_L1_N, 1200.0, 1.0),
                              load_of(IMP_LOAD_OTHER, IMP_LOAD_L2_N, 600.0, 1.0)};
    imp_line_currents sum;
    assert_int_equal(imp_line_currents_sum(&supply, loads, 3, IMP_STATE_ALL, &sum, NULL), IMP_OK);
    assert_close(sum.line[0], 30.0, 1e-12);
    assert_close(sum.line[1], 25.0, 1e-12);
    assert_close(sum.line[2], 0.0, 0.0);
    assert_close(sum.neutral, 5.0, 1e-12);
    assert_relative(sum.unbalance, 2.5 / 27.5, 1e-12);
    assert_int_equal(imp_line_currents_sum(&ONE_PHASE, &loads[1], 1, IMP_STATE_ALL, &sum, NULL), IMP_OK);
    assert_relative(sum.line[0], 1200.0 / 230.0, 1e-12);
    assert_relative(sum.neutral, 1200.0 / 230.0, 1e-12);
}

/* The entry: its least limit, and its table. */
static void the_least_limit_holds_and_every_load_is_told(void **state)
{
    (void)state;
    const imp_calc *calc = imp_catalogue_find("electrical.may_run");
    assert_non_null(calc);
    const char *names[] = {"voltage", "phases", "breaker", "breaker_load", "plug", "cable_ampacity", "loads", "state"};
    const char *texts[] = {"230 V", "1", "20 A", "80 %", "32 A", "19 A",
                           "[{\"name\":\"heater\",\"kind\":\"resistive\",\"connection\":\"L1-N\",\"power\":\"3 kW\"},"
                           "{\"kind\":\"other\",\"connection\":\"L1-N\",\"power\":\"1 kW\",\"must_run\":true},"
                           "{\"name\":\"pump\",\"kind\":\"other\",\"connection\":\"L1-N\",\"power\":\"1 kW\",\"when\":\"spraying\"}]",
                           "heating"};
    imp_arena arena;
    imp_arena_init(&arena, NULL);
    imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
    imp_error error = {.message = ""};
    assert_int_equal(imp_arguments_read(calc, 8, names, texts, &arena, in, &error), IMP_OK);
    assert_int_equal(imp_calc_evaluate_in(calc, in, out, NULL, &arena, &error), IMP_OK);
    size_t limit, by, choice;
    assert_non_null(imp_calc_output(calc, "limit", &limit));
    const imp_param *by_row = imp_calc_output(calc, "limited_by", &by);
    assert_non_null(imp_calc_output(calc, "choice", &choice));
    assert_close(out[limit].number, 16.0, 1e-12);
    assert_string_equal(by_row->choices[(int)out[by].number], "breaker");
    assert_int_equal(out[choice].count, 2); /* the pump runs while spraying only */
    const imp_value *items = out[choice].items;
    assert_string_equal(items[0].text, "heater");
    assert_close(items[2].number, 0.0, 0.0);
    assert_string_equal(items[3].text, "load 2");
    assert_relative(items[4].number, 1e3, 1e-12);
    assert_close(items[5].number, 1.0, 0.0);
    assert_int_equal(imp_arguments_read(calc, 2, names, texts, &arena, in, &error), IMP_OK);
    in[2] = (imp_value){.items = NULL, .count = 0, .given = true};
    assert_int_equal(imp_calc_evaluate(calc, in, out, NULL, &error), IMP_MISSING);
    assert_string_equal(error.message, "missing limit_current, breaker, plug or cable_ampacity: one at least");
    imp_arena_free(&arena);
}

/* A limit is kept when it is met exactly, whatever the angle between current and voltage. */
static void a_load_that_fills_the_limit_exactly_runs(void **state)
{
    (void)state;
    const double power_factors[] = {0.3, 0.5, 0.8, 0.8660254037844387, 0.95, 1.0};
    const bool none[1] = {false};
    for (size_t i = 0; i < sizeof power_factors / sizeof power_factors[0]; i++)
        for (int connection = IMP_LOAD_L1_N; connection <= IMP_LOAD_L3_N; connection++) {
            const imp_load load = load_of(IMP_LOAD_MOTOR, (imp_load_connection)connection, 400.0 / sqrt(3.0) * 16.0 * power_factors[i], power_factors[i]);
            const imp_may_run result = within(&THREE_PHASE, &load, none, 1, 16.0);
            assert_true(result.runs[0]);
            assert_relative(result.largest_current, 16.0, 1e-12);
            assert_false(within(&THREE_PHASE, &load, none, 1, 16.0 * (1.0 - 1e-7)).runs[0]);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_finds_what_trying_every_set_finds),
        cmocka_unit_test(the_largest_load_is_left_out_where_two_others_fill_the_socket_better),
        cmocka_unit_test(everything_runs_where_everything_fits),
        cmocka_unit_test(the_heater_power_fills_the_fullest_line_exactly),
        cmocka_unit_test(a_larger_limit_never_lets_less_run),
        cmocka_unit_test(what_cannot_be_answered_is_refused_in_a_sentence),
        cmocka_unit_test(one_phase_with_two_lines_and_a_neutral_between_them),
        cmocka_unit_test(the_least_limit_holds_and_every_load_is_told),
        cmocka_unit_test(a_load_that_fills_the_limit_exactly_runs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
