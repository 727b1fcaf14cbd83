/* Which loads may run at once on a supply that is too small for all of them. */
#include <math.h>
#include <stdio.h>

#include "electrical_loads.h"
#include "electrical_rows.h"

static const char *const limiting[] = {"limit_current", "breaker", "plug", "cable", NULL};
static const char *const conductors[] = {"L1", "L2", "L3", "N", NULL};

enum { VOLTAGE, MEASURED, LOADS, STATE, PHASES, LIMIT_CURRENT, BREAKER, BREAKER_LOAD, PLUG, CABLE_AMPACITY };
#define ROW_LIMIT(name_, symbol_, help_)                                                                               \
    {                                                                                                                  \
        .name = name_, .symbol = symbol_, .kind = IMP_NUMBER, .dimension = IMP_CURRENT, .unit = "A",                   \
        .presence = IMP_OPTIONAL, .low = 0.0, .high = 10000.0, .ends = IMP_OPEN_LOW, .help = help_                     \
    }
const imp_param imp_may_run_in[10] = {
    ROW_VOLTAGE("nominal: from line to line; on one phase between its conductors"),
    ROW_MEASURED_VOLTAGE,
    ROW_LOADS,
    ROW_STATE,
    ROW_LOAD_PHASES,
    ROW_LIMIT("limit_current", "I_lim", "that may flow in each line and the neutral, for whatever reason"),
    ROW_LIMIT("breaker", "In", "rating of the breaker"),
    {.name = "breaker_load",
     .symbol = "c",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .unit = "%",
     .presence = IMP_DEFAULT,
     .low = 0.1,
     .high = 1.0,
     .fallback = 1.0,
     .help = "share of the breaker's rating that may be drawn: 80 % by the NEC for three hours or more"},
    ROW_LIMIT("plug", "I_plug", "rating of the plug and socket"),
    ROW_LIMIT("cable_ampacity", "Iz", "of the cable as it is laid: electrical.cable_ampacity"),
};

static const imp_param choice_rows[] = {
    {.name = "load", .kind = IMP_TEXT, .help = "its name, or its place in the table"},
    {.name = "power", .symbol = "P", .dimension = IMP_POWER, .unit = "kW", .help = "that it draws"},
    {.name = "runs", .kind = IMP_FLAG, .help = "whether it may run together with the others that may"},
    {.name = NULL},
};
/* Trends are cut where two question marks would begin a trigraph. */
const imp_param imp_may_run_out[9] = {
    {.name = "power",
     .symbol = "P",
     .dimension = IMP_POWER,
     .unit = "kW",
     .trend = "?????+++++",
     .help = "of the loads that may run together"},
    {.name = "left_out",
     .symbol = "P_0",
     .dimension = IMP_POWER,
     .unit = "kW",
     .trend = "?????"
              "-----",
     .help = "of the loads of this state that may not"},
    {.name = "limit",
     .symbol = "I_max",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "00000+++++",
     .help = "least of what is given: current in each line and the neutral"},
    {.name = "limited_by", .kind = IMP_CHOICE, .choices = limiting, .trend = "??????????", .help = "which is the least"},
    {.name = "largest_current",
     .symbol = "I",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "??????????",
     .help = "with all that may run drawing in full, without diversity"},
    {.name = "worst_conductor",
     .kind = IMP_CHOICE,
     .choices = conductors,
     .trend = "??????????",
     .help = "where it flows"},
    {.name = "heater_power",
     .symbol = "P_h",
     .dimension = IMP_POWER,
     .unit = "kW",
     .trend = "??????????",
     .help = "that may be switched in beside it: by the plate at nominal voltage, in equal parts on all lines"},
    {.name = "heater_power_alone",
     .symbol = "P_h0",
     .dimension = IMP_POWER,
     .unit = "kW",
     .trend = "?????+++++",
     .help = "that may be switched in beside nothing but the loads that must run"},
    {.name = "choice",
     .kind = IMP_TABLE,
     .presence = IMP_OPTIONAL,
     .rows = choice_rows,
     .trend = "??????????",
     .help = "each load of this state, and whether it may run"},
};

static const double SLACK = 1.0 + 1e-9; /* 16 A carries 16 A after a conversion of units */

typedef struct currents {
    double complex line[3];
} currents;

static currents sum_of(const currents *a, const imp_load_phasors *b)
{
    return (currents){{a->line[0] + b->line[0], a->line[1] + b->line[1], a->line[2] + b->line[2]}};
}

/* Largest of the lines and the neutral, and where it flows. */
static double largest_of(const currents *flowing, int *conductor)
{
    const double all[] = {cabs(flowing->line[0]), cabs(flowing->line[1]), cabs(flowing->line[2]),
                          cabs(flowing->line[0] + flowing->line[1] + flowing->line[2])};
    *conductor = 0;
    for (int i = 1; i < 4; i++)
        if (all[i] > all[*conductor] * SLACK) /* a line before the neutral that carries the same */
            *conductor = i;
    return all[*conductor];
}

/* ---- the search ---- */

typedef struct search {
    const imp_load_supply *supply;
    double limit;
    size_t count;                                     /* loads to choose from, the most powerful first */
    size_t index[IMP_MOST_LOADS_TO_CHOOSE];           /* their places in the table */
    imp_load_phasors own[IMP_MOST_LOADS_TO_CHOOSE];
    double power_from[IMP_MOST_LOADS_TO_CHOOSE + 1];  /* of this one and all after it */
    unsigned chosen, best;                            /* a bit for each */
    double best_power;                                /* negative: nothing fits yet */
} search;

/* A current can shrink as loads are added, but not its part 30 degrees behind the line's voltage: every load that stands
 * on a line, lagging by 0 to 90 degrees, draws from it between 120 degrees behind and 30 degrees before its voltage. */
static bool can_not_fit_any_more(const search *s, const currents *flowing)
{
    const double complex behind = imp_complex(0.5 * sqrt(3.0), -0.5);
    for (int i = 0; i < s->supply->lines; i++) {
        const double complex direction = s->supply->phase[i] / cabs(s->supply->phase[i]) * behind;
        if (creal(flowing->line[i] * conj(direction)) > s->limit * SLACK)
            return true;
    }
    return false;
}

static void search_from(search *s, size_t at, currents flowing, double power)
{
    int unused = 0;
    if (power + s->power_from[at] <= s->best_power * SLACK || can_not_fit_any_more(s, &flowing))
        return;
    if (at == s->count) {
        if (largest_of(&flowing, &unused) <= s->limit * SLACK) {
            s->best = s->chosen;
            s->best_power = power;
        }
        return;
    }
    s->chosen |= 1u << at;
    search_from(s, at + 1, sum_of(&flowing, &s->own[at]), power + creal(s->own[at].power));
    s->chosen &= ~(1u << at);
    search_from(s, at + 1, flowing, power);
}

/* The most powerful first, which finds good sets early; equal ones stay in their order. */
static void add_to_search(search *s, size_t index, const imp_load_phasors *own)
{
    size_t at = s->count++;
    for (; at > 0 && creal(s->own[at - 1].power) < creal(own->power); at--) {
        s->own[at] = s->own[at - 1];
        s->index[at] = s->index[at - 1];
    }
    s->own[at] = *own;
    s->index[at] = index;
}

/* ---- heater power ---- */

/* Plate power [W] of a heater in equal parts on all lines that brings the first of them to the limit. */
static double heater_beside(const imp_load_supply *supply, const currents *flowing, double limit)
{
    double most = (double)INFINITY;
    for (int i = 0; i < supply->lines; i++) {
        const double complex own = flowing->line[i] * conj(supply->phase[i]) / cabs(supply->phase[i]);
        const double across = cimag(own);
        most = fmin(most, sqrt(fmax(0.0, limit * limit - across * across)) - creal(own));
    }
    const double times = supply->lines == 3 ? sqrt(3.0) : 1.0, ratio = supply->nominal / supply->actual;
    return fmax(0.0, most) * times * supply->actual * ratio * ratio;
}

static imp_status refuse_must_run(double current, int conductor, double limit, imp_error *error)
{
    char have[96], most[96];
    return imp_fail(error, IMP_NO_SOLUTION, "loads",
                    "what must run draws %s in %s, above %s; let less of it run, or use a larger supply",
                    imp_param_format(&imp_may_run_in[LIMIT_CURRENT], current, 4, have, sizeof have),
                    conductors[conductor],
                    imp_param_format(&imp_may_run_in[LIMIT_CURRENT], limit, 4, most, sizeof most));
}

imp_status imp_may_run_within(const imp_line_supply *supply, const imp_load *loads, const bool *must_run, size_t count,
                              imp_supply_state state, double limit, imp_may_run *result, imp_error *error)
{
    imp_load_supply reduced;
    imp_status status = imp_check(&imp_may_run_in[LIMIT_CURRENT], limit, error);
    if (status == IMP_OK && count > IMP_MOST_LOADS)
        status = imp_fail(error, IMP_LIMIT, "loads", "%zu loads; %d at most, take some together", count, IMP_MOST_LOADS);
    if (status == IMP_OK)
        status = imp_load_supply_of(supply, loads, count, state, &reduced, error);
    if (status != IMP_OK)
        return status;

    search s = {.supply = &reduced, .limit = limit, .best_power = -1.0};
    currents fixed = {{0.0, 0.0, 0.0}};
    double fixed_power = 0.0, all_power = 0.0;
    bool runs[IMP_MOST_LOADS] = {false};
    for (size_t i = 0; i < count; i++) {
        if (!imp_load_runs_in(loads[i].when, state))
            continue;
        const imp_load_phasors own = imp_load_phasors_of(&loads[i], &reduced);
        all_power += creal(own.power);
        if (must_run[i]) {
            fixed = sum_of(&fixed, &own);
            fixed_power += creal(own.power);
            runs[i] = true;
        } else if (s.count < IMP_MOST_LOADS_TO_CHOOSE) {
            add_to_search(&s, i, &own);
        } else {
            return imp_fail(error, IMP_LIMIT, "loads",
                            "more than %d loads to choose from; take some together, or mark those that must_run",
                            IMP_MOST_LOADS_TO_CHOOSE);
        }
    }
    int conductor = 0;
    const double fixed_current = largest_of(&fixed, &conductor);
    if (fixed_current > limit * SLACK)
        return refuse_must_run(fixed_current, conductor, limit, error);
    for (size_t i = s.count; i > 0; i--)
        s.power_from[i - 1] = s.power_from[i] + creal(s.own[i - 1].power);
    search_from(&s, 0, fixed, 0.0);

    currents flowing = fixed;
    double power = fixed_power;
    for (size_t i = 0; i < s.count; i++)
        if ((s.best >> i & 1u) != 0) {
            flowing = sum_of(&flowing, &s.own[i]);
            power += creal(s.own[i].power);
            runs[s.index[i]] = true;
        }
    memcpy(result->runs, runs, sizeof runs);
    result->power = power;
    result->left_out = fmax(0.0, all_power - power);
    result->largest_current = largest_of(&flowing, &result->worst_conductor);
    result->heater_power = heater_beside(&reduced, &flowing, limit);
    result->heater_power_alone = heater_beside(&reduced, &fixed, limit);
    return IMP_OK;
}

/* ---- the entry ---- */

static imp_status least_limit(const imp_value *in, double *limit, int *by, imp_error *error)
{
    const double limits[] = {in[LIMIT_CURRENT].number, in[BREAKER].number * in[BREAKER_LOAD].number, in[PLUG].number,
                             in[CABLE_AMPACITY].number};
    *by = -1;
    for (int i = 0; i < 4; i++)
        if (!isnan(limits[i]) && (*by < 0 || limits[i] < limits[*by]))
            *by = i;
    if (*by < 0)
        return imp_fail(error, IMP_MISSING, NULL, "missing limit_current, breaker, plug or cable_ampacity: one at least");
    *limit = limits[*by];
    return IMP_OK;
}

/* The table needs an arena; without one it is left out. */
static imp_status tell_choice(const imp_call *call, const imp_load *loads, const imp_may_run *result)
{
    enum { FIELDS = 3, NAME_SIZE = 32 };
    const imp_value *in = call->in, *table = &in[LOADS];
    imp_value *choice = &call->out[8];
    const imp_line_supply supply = {in[VOLTAGE].number, in[MEASURED].number, (imp_phases)in[PHASES].number};
    const imp_supply_state state = (imp_supply_state)in[STATE].number;
    imp_load_supply reduced;
    choice->given = call->arena != NULL;
    if (call->arena == NULL)
        return IMP_OK;
    imp_value *items = imp_arena_allocate(call->arena, table->count * FIELDS + 1, sizeof *items);
    if (items == NULL)
        return imp_fail(call->error, IMP_MEMORY, NULL, "out of memory");
    const imp_status status = imp_load_supply_of(&supply, loads, table->count, state, &reduced, call->error);
    if (status != IMP_OK)
        return status;
    size_t count = 0;
    for (size_t i = 0; i < table->count; i++) {
        if (!imp_load_runs_in(loads[i].when, state))
            continue;
        const imp_value *name = &table->items[i * IMP_LOAD_FIELDS + IMP_LOAD_NAME];
        char *text = imp_arena_allocate(call->arena, NAME_SIZE, 1);
        if (text == NULL)
            return imp_fail(call->error, IMP_MEMORY, NULL, "out of memory");
        imp_value *record = &items[FIELDS * count++];
        snprintf(text, NAME_SIZE, "load %zu", i + 1);
        record[0] = (imp_value){.text = name->given && name->text != NULL ? name->text : text, .given = true};
        record[1] = (imp_value){.number = creal(imp_load_phasors_of(&loads[i], &reduced).power), .given = true};
        record[2] = (imp_value){.number = result->runs[i] ? 1.0 : 0.0, .given = true};
    }
    choice->items = items;
    choice->count = count;
    return IMP_OK;
}

imp_status imp_may_run_evaluate(const imp_call *call)
{
    const imp_value *in = call->in, *table = &in[LOADS];
    const imp_line_supply supply = {in[VOLTAGE].number, in[MEASURED].number, (imp_phases)in[PHASES].number};
    imp_load loads[IMP_MOST_LOADS];
    bool must_run[IMP_MOST_LOADS];
    imp_may_run result;
    double limit = 0.0;
    int by = 0;
    imp_status status = least_limit(in, &limit, &by, call->error);
    if (status == IMP_OK)
        status = imp_load_read_table(table, loads, must_run, call->error);
    if (status == IMP_OK)
        status = imp_may_run_within(&supply, loads, must_run, table->count, (imp_supply_state)in[STATE].number, limit,
                                    &result, call->error);
    if (status == IMP_OK)
        status = tell_choice(call, loads, &result);
    if (status != IMP_OK)
        return status;
    const double results[] = {result.power,
                              result.left_out,
                              limit,
                              by,
                              result.largest_current,
                              result.worst_conductor,
                              result.heater_power,
                              result.heater_power_alone};
    for (size_t i = 0; i < sizeof results / sizeof results[0]; i++)
        call->out[i].number = results[i];
    return IMP_OK;
}
