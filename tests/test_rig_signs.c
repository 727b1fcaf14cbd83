/* Varying any one input moves every output the way physics says: a table of signs, and no jumps on the way. */
#include "rig_sample.h"

#include <stdio.h>

/* Outputs, in the order of the table's signs. */
typedef struct output {
    const char *name;
    double (*of)(const imp_rig_result *r);
} output;

static double flow(const imp_rig_result *r) { return r->flow; }
static double iso_pump(const imp_rig_result *r) { return r->side[IMP_ISO].pump_pressure; }
static double iso_gun(const imp_rig_result *r) { return r->side[IMP_ISO].gun_pressure; }
static double resin_gun(const imp_rig_result *r) { return r->side[IMP_RESIN].gun_pressure; }
static double resin_temperature(const imp_rig_result *r) { return r->side[IMP_RESIN].gun_temperature; }
static double hose_heat(const imp_rig_result *r) { return r->hose_heat; }
static double heater_power(const imp_rig_result *r) { return r->side[IMP_RESIN].heater_power; }
static double motor(const imp_rig_result *r) { return r->motor_power; }
static double drive(const imp_rig_result *r) { return r->drive_pressure; }
static double oil(const imp_rig_result *r) { return r->oil_flow; }
static double resin_inlet(const imp_rig_result *r) { return r->side[IMP_RESIN].inlet_pressure; }
static double resin_suction(const imp_rig_result *r) { return r->side[IMP_RESIN].inlet_margin; }
static double resin_reynolds(const imp_rig_result *r) { return r->side[IMP_RESIN].impingement_reynolds; }
static double heater_margin(const imp_rig_result *r) { return r->side[IMP_RESIN].heater_margin; }
static double rating(const imp_rig_result *r) { return r->side[IMP_RESIN].rating_margin; }

static const output outputs[] = {{"flow", flow},
                                 {"iso pump pressure", iso_pump},
                                 {"iso gun pressure", iso_gun},
                                 {"resin gun pressure", resin_gun},
                                 {"resin gun temperature", resin_temperature},
                                 {"hose heat", hose_heat},
                                 {"resin heater power", heater_power},
                                 {"motor power", motor},
                                 {"drive pressure", drive},
                                 {"oil flow", oil},
                                 {"resin inlet pressure", resin_inlet},
                                 {"resin suction margin", resin_suction},
                                 {"resin impingement Reynolds number", resin_reynolds},
                                 {"resin heater margin", heater_margin},
                                 {"resin rating margin", rating}};
enum { OUTPUTS = sizeof outputs / sizeof outputs[0], POINTS = 7 };

#define RIG(member_) offsetof(imp_rig, member_)
#define BOTH(member_) RIG(side[0].member_), RIG(side[1].member_)
#define ISO(member_) RIG(side[0].member_), 0
#define RESIN(member_) RIG(side[1].member_), 0

/* An input, or the same one of both sides, moved over a range by factors or by sums; one sign for each output: + rises,
 * - falls, 0 stays, . not said, because two effects oppose each other or it is too small to tell.
 * The resin gauge is the higher one and is held; heat holds, so that temperatures follow their settings. */
typedef struct lever {
    const char *name;
    size_t first, second; /* offsets; second 0: none */
    bool by_factor;
    double low, high;
    const char *signs;
} lever;

/* clang-format off */
static const lever levers[] = {
    /*                                                              flow | iso pump | iso gun | resin gun | T | hose heat | heater | motor | drive | oil | inlet | suction | Re | heater margin | rating */
    {"set pressure",              RIG(set_pressure), 0,        true,  0.7,  1.3, "+++++.++" "++--+--"},
    {"iso orifice",               ISO(orifice),                true,  0.97, 1.2, "0--0000-" "-000000"},
    {"resin orifice",             RESIN(orifice),              true,  0.85, 1.04, "+++-+.++" "++--.-0"},
    {"both orifices",             BOTH(orifice),               true,  0.85, 1.15,"+.--+.++" ".+--.-0"},
    {"discharge coefficient",     RIG(discharge_coefficient), 0, true, 0.8, 1.2, "+.--+.++" ".+--+-0"},
    {"iso bore",                  ISO(hose_bore),              true,  0.9,  1.3, "0-.00.0-" "-000000"},
    {"resin bore",                RESIN(hose_bore),            true,  0.9,  1.08,"++++.+++" "++--+-0"},
    {"resin whip bore",           RESIN(whip_bore),            true,  0.8,  1.2, "++++..++" "++--+-0"},
    {"sections",                  RIG(sections), 0,            false, -2,   1,   "-.--...-" ".-++-+0"},
    {"section length",            RIG(section_length), 0,      true,  0.6,  1.4, "-.--..--" ".-++-+0"},
    {"whip length",               RIG(whip_length), 0,         true,  0.3,  3,   "-.--..--" ".-++-+0"},
    {"fitting loss",              RIG(fitting_loss), 0,        true,  0.2,  5,   "-.--..--" ".-++-+0"},
    {"rise",                      RIG(rise), 0,                false, 0,    30,  "-.--..--" ".-++-+0"},
    {"roughness, laminar",        RIG(roughness), 0,           true,  0.2,  9,   "00000000" "0000000"},
    {"iso temperature",           ISO(set_temperature),        false, -8,   8,   ".-..00.-" "-......"},
    /* the heater takes over from the hose heat, so that past the sensor the resin is colder than before */
    {"resin temperature",         RESIN(set_temperature),      false, -0.3, 0.4, "-.----+-" ".-++--0"},
    {"hose temperature",          RIG(hose_temperature), 0,    false, -0.4, 1,   "++++++++" "++--+-0"},
    {"air temperature",           RIG(ambient_temperature), 0, false, -12,  12,  "....+-.." "......0"},
    {"loss coefficient",          RIG(loss_coefficient), 0,    true,  0.6,  1.3, "....-+.." "......0"},
    {"drum temperature",          RIG(drum_temperature), 0,    false, -6,   10,  ".....0-." "..++.+0"},
    {"resin viscosity",           RIG(side[1].fluid.points),0, true,  0.8,  1.3, "----..--" "--..-+0"},
    {"iso volumetric efficiency", ISO(volumetric_efficiency),  true,  0.9,  1.04,"+++0000+" "+000000"},
    {"heater efficiency",         BOTH(heater_efficiency),     true,  0.8,  1.05,"000000-0" "00000+0"},
    {"heater power",              BOTH(heater_power),          true,  0.8,  1.3, "00000000" "00000+0"},
    {"measured voltage",          RIG(measured_voltage), 0,    true,  0.92, 1.06,"00000000" "00000+0"},
    {"motor efficiency",          RIG(drive_efficiency), 0,    true,  0.8,  1.2, "0000000-" "0000000"},
    {"drive area",                RIG(drive_area), 0,          true,  0.8,  1.3, "00000000" "-+00000"},
    {"transfer air",              BOTH(transfer_air),          true,  0.8,  1.4, "00000000" "00++000"},
    {"drum line bore",            BOTH(line_bore),             true,  0.7,  1.4, "00000000" "00++000"},
    {"drum line length",          BOTH(line_length),           true,  0.5,  2,   "00000000" "00--000"},
    {"drum line rise",            BOTH(line_rise),             true,  0.5,  3,   "00000000" "00--000"},
    {"resin vapour pressure",     RESIN(vapour_pressure),      true,  0.5,  2,   "00000000" "000-000"},
    {"altitude",                  RIG(altitude), 0,            false, 0,    3000,"00000000" "000-000"},
    {"hose rating",               RIG(hose_rated_pressure), 0, true,  0.9,  1.2, "00000000" "000000."},
    {"motor power, to spare",     RIG(motor_power), 0,         true,  0.8,  1.3, "00000000" "0000000"},
    {"current limit, to spare",   RIG(current_limit), 0,       true,  0.9,  1.3, "00000000" "0000000"},
    {"heat to the iso hose",      RIG(heat_split), 0,          true,  0.8,  1.2, "0...0+0." "..00000"},
};
/* clang-format on */

static double *field(imp_rig *rig, size_t offset)
{
    return (double *)(void *)((char *)rig + offset);
}

static void pull(imp_rig *rig, const lever *l, double share)
{
    const double x = l->low + (l->high - l->low) * share;
    if (l->first == RIG(side[1].fluid.points)) { /* every point of the viscosity */
        for (size_t i = 0; i < rig->side[1].fluid.count; i++)
            rig->side[1].fluid.points[i].viscosity *= x;
        return;
    }
    double *const fields[] = {field(rig, l->first), l->second != 0 ? field(rig, l->second) : NULL};
    for (int i = 0; i < 2; i++)
        if (fields[i] != NULL)
            *fields[i] = l->by_factor ? *fields[i] * x : *fields[i] + x;
}

static bool moves_as_said(char sign, double before, double after)
{
    const double small = 1e-8 * fmax(fabs(before), fabs(after)); /* a solver's rounding */
    switch (sign) {
    case '+':
        return after > before + small;
    case '-':
        return after < before - small;
    case '0':
        return fabs(after - before) <= small;
    default:
        return sign == '.';
    }
}

static void every_input_moves_every_output_the_way_physics_says(void **state)
{
    (void)state;
    int faults = 0, said = 0;
    for (size_t i = 0; i < sizeof levers / sizeof levers[0]; i++) {
        const lever *l = &levers[i];
        imp_rig_result before;
        const bool whole = l->first == RIG(sections);
        const int points = whole ? 4 : POINTS;
        assert_int_equal(strlen(l->signs), OUTPUTS);
        for (int step = 0; step < points; step++) {
            imp_rig rig = sample_rig();
            pull(&rig, l, (double)step / (points - 1));
            const imp_rig_result now = solved(&rig);
            assert_int_equal(now.governs, IMP_RIG_SET_PRESSURE);
            for (int k = 0; step > 0 && k < OUTPUTS; k++) {
                said += l->signs[k] != '.';
                const double y0 = outputs[k].of(&before), y1 = outputs[k].of(&now);
                if (moves_as_said(l->signs[k], y0, y1))
                    continue;
                print_error("%s, step %d: %s goes from %.12g to %.12g; expected '%c'\n", l->name, step, outputs[k].name, y0, y1, l->signs[k]);
                faults++;
            }
            before = now;
        }
    }
    print_message("%d moves held to their sign\n", said);
    assert_int_equal(faults, 0);
}

/* Where a limit takes over from another, the flow bends but does not jump. */
static void nothing_jumps_where_another_limit_takes_over(void **state)
{
    (void)state;
    int limits = 0;
    for (int i = 0; i < 3; i++) {
        double before = 0.0;
        imp_rig_limit governs = IMP_RIG_SET_PRESSURE;
        for (int step = 0; step <= 200; step++) {
            imp_rig rig = sample_rig();
            double *const lever_of[] = {&rig.motor_power, &rig.drive_pressure_limit, &rig.oil_flow};
            const double full[] = {1700.0, 110e5, 8e-3 / 60.0};
            *lever_of[i] = full[i] * (0.5 + 0.5 * step / 200.0);
            const imp_rig_result r = solved(&rig);
            if (step > 0) {
                assert_true(r.flow >= before * (1.0 - 1e-9));
                assert_true(r.flow - before < 0.02 * r.flow);
                limits += r.governs != governs;
            }
            before = r.flow;
            governs = r.governs;
        }
    }
    assert_true(limits >= 3);
}

/* From the holding of a temperature into the limit of the circuit, and into no heat at all. */
static void nothing_jumps_where_the_hose_heat_reaches_its_limits(void **state)
{
    (void)state;
    bool seen[5] = {false};
    double before_flow = 0.0, before_temperature = 0.0;
    for (int step = 0; step <= 300; step++) {
        imp_rig rig = sample_rig();
        rig.hose_temperature = IMP_CELSIUS(30.0 + 40.0 * step / 300.0);
        const imp_rig_result r = solved(&rig);
        seen[r.heat] = true;
        if (step > 0) {
            assert_true(fabs(r.flow - before_flow) < 0.01 * r.flow);
            assert_true(fabs(r.side[IMP_RESIN].gun_temperature - before_temperature) < 0.6);
        }
        before_flow = r.flow;
        before_temperature = r.side[IMP_RESIN].gun_temperature;
    }
    assert_true(seen[IMP_HOSE_HEAT_NOT_NEEDED] && seen[IMP_HOSE_HEAT_HOLDS] && seen[IMP_HOSE_HEAT_SHORT]);
}

/* The larger set pressure never gives less flow, over the whole range a rig can be set to, thick or thin. */
static void more_pressure_never_gives_less_flow(void **state)
{
    (void)state;
    for (double thinner = 1.0; thinner > 0.005; thinner *= 0.3) {
        double before = 0.0;
        for (double set = 5e5; set < 150e5; set *= 1.1) {
            imp_rig rig = sample_rig();
            for (int side = 0; side < IMP_SIDES; side++)
                for (size_t i = 0; i < 3; i++)
                    rig.side[side].fluid.points[i].viscosity *= thinner;
            rig.set_pressure = set;
            const imp_rig_result r = solved(&rig);
            assert_true(r.flow >= before * (1.0 - 1e-9));
            before = r.flow;
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_input_moves_every_output_the_way_physics_says),
        cmocka_unit_test(nothing_jumps_where_another_limit_takes_over),
        cmocka_unit_test(nothing_jumps_where_the_hose_heat_reaches_its_limits),
        cmocka_unit_test(more_pressure_never_gives_less_flow),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
