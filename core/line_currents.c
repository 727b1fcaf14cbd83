/* The sum of the loads on a supply, line by line. */
#include "line_currents.h"

#include <math.h>

#include "electrical_loads.h"
#include "electrical_rows.h"

enum { SUM_VOLTAGE, SUM_MEASURED, SUM_LOADS, SUM_STATE, SUM_PHASES };
const imp_param imp_line_currents_in[5] = {
    ROW_VOLTAGE("nominal: from line to line; on one phase between its conductors"),
    ROW_MEASURED_VOLTAGE,
    ROW_LOADS,
    ROW_STATE,
    ROW_LOAD_PHASES,
};
#define ROW_LINE_CURRENT(name_, help_)                                                                                 \
    {                                                                                                                  \
        .name = name_, .symbol = name_, .dimension = IMP_CURRENT, .unit = "A", .trend = "?????", .help = help_          \
    }
const imp_param imp_line_currents_out[12] = {
    ROW_LINE_CURRENT("L1", "in line 1, with diversity"),
    ROW_LINE_CURRENT("L2", "in line 2, with diversity"),
    ROW_LINE_CURRENT("L3", "in line 3, with diversity"),
    ROW_LINE_CURRENT("N", "in the neutral, with diversity"),
    {.name = "unbalance",
     .symbol = "u",
     .dimension = IMP_PURE,
     .unit = "%",
     .high = 2.0,
     .trend = "?????",
     .help = "largest deviation of a line from the mean, over the mean"},
    {.name = "apparent_power",
     .symbol = "S",
     .dimension = IMP_POWER,
     .unit = "kVA",
     .trend = "?????",
     .help = "of active and reactive power together, with diversity"},
    {.name = "active_power",
     .symbol = "P",
     .dimension = IMP_POWER,
     .unit = "kW",
     .trend = "?????",
     .help = "with diversity"},
    {.name = "power_factor",
     .symbol = "cos",
     .dimension = IMP_PURE,
     .unit = "1",
     .high = 1.0,
     .trend = "?????",
     .help = "of all the loads together"},
    ROW_LINE_CURRENT("connected_L1", "in line 1, without diversity"),
    ROW_LINE_CURRENT("connected_L2", "in line 2, without diversity"),
    ROW_LINE_CURRENT("connected_L3", "in line 3, without diversity"),
    {.name = "starting_power",
     .symbol = "S_m",
     .dimension = IMP_POWER,
     .unit = "kVA",
     .trend = "?????",
     .help = "of the largest motor as it is started, estimated; the nameplate's locked-rotor figure comes first"},
};

/* Times the rated apparent power. Common practice, no source, except that star-delta takes a third. */
static double starting_multiple(imp_load_start start)
{
    const double direct = 6.5, soft = 3.0;
    return start == IMP_START_DIRECT ? direct : start == IMP_START_STAR_DELTA ? direct / 3.0 : soft;
}

static double unbalance_of(const double line[3], int lines)
{
    double mean = 0.0, largest = 0.0;
    for (int i = 0; i < lines; i++)
        mean += line[i] / lines;
    for (int i = 0; i < lines; i++)
        largest = fmax(largest, fabs(line[i] - mean));
    return mean > 0.0 ? fmin(2.0, largest / mean) : 0.0; /* 2: one line of three alone, to the last bit */
}

imp_status imp_line_currents_sum(const imp_line_supply *supply, const imp_load *loads, size_t count,
                                 imp_supply_state state, imp_line_currents *currents, imp_error *error)
{
    imp_load_supply reduced;
    const imp_status status = imp_load_supply_of(supply, loads, count, state, &reduced, error);
    if (status != IMP_OK)
        return status;

    double complex lines[3] = {0.0, 0.0, 0.0}, connected[3] = {0.0, 0.0, 0.0}, power = 0.0;
    double starting = 0.0;
    for (size_t i = 0; i < count; i++) {
        if (!imp_load_runs_in(loads[i].when, state))
            continue;
        const imp_load_phasors own = imp_load_phasors_of(&loads[i], &reduced);
        power += own.power * loads[i].diversity;
        for (int line = 0; line < 3; line++) {
            lines[line] += own.line[line] * loads[i].diversity;
            connected[line] += own.line[line];
        }
        if (loads[i].kind == IMP_LOAD_MOTOR)
            starting = fmax(starting, cabs(own.power) * starting_multiple(loads[i].start));
    }
    for (int i = 0; i < 3; i++) {
        currents->line[i] = cabs(lines[i]);
        currents->connected[i] = cabs(connected[i]);
    }
    currents->neutral = cabs(lines[0] + lines[1] + lines[2]);
    currents->unbalance = unbalance_of(currents->line, reduced.lines);
    currents->active_power = creal(power);
    currents->apparent_power = cabs(power);
    currents->power_factor = cabs(power) > 0.0 ? fmin(1.0, creal(power) / cabs(power)) : 1.0;
    currents->starting_power = starting;
    return IMP_OK;
}

imp_status imp_line_currents_evaluate(const imp_call *call)
{
    const imp_value *table = &call->in[SUM_LOADS];
    const imp_line_supply supply = {.voltage = call->in[SUM_VOLTAGE].number,
                                    .measured_voltage = call->in[SUM_MEASURED].number,
                                    .phases = (imp_phases)call->in[SUM_PHASES].number};
    imp_load loads[IMP_MOST_LOADS];
    imp_line_currents sum;
    imp_status status = imp_load_read_table(table, loads, NULL, call->error);
    if (status == IMP_OK)
        status = imp_line_currents_sum(&supply, loads, table->count, (imp_supply_state)call->in[SUM_STATE].number, &sum,
                                       call->error);
    if (status != IMP_OK)
        return status;
    const double results[] = {sum.line[0],      sum.line[1],        sum.line[2],      sum.neutral,
                              sum.unbalance,    sum.apparent_power, sum.active_power, sum.power_factor,
                              sum.connected[0], sum.connected[1],   sum.connected[2], sum.starting_power};
    for (size_t i = 0; i < sizeof results / sizeof results[0]; i++)
        call->out[i].number = results[i];
    return IMP_OK;
}
