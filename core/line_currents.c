#include "line_currents.h"

#include <complex.h>
#include <math.h>
#include <stdio.h>

#include "electrical_rows.h"

static const char *const kinds[] = {"resistive", "motor", "transformer", "other", NULL};
static const char *const connections[] = {"L1-N", "L2-N", "L3-N", "L1-L2", "L2-L3", "L3-L1", "star", "delta", NULL};
static const char *const starts[] = {"direct", "star-delta", "soft", NULL};
static const char *const whens[] = {"heating", "spraying", "always", NULL};
static const char *const states[] = {"all", "heating", "spraying", NULL};

enum {
    LOAD_NAME,
    LOAD_KIND,
    LOAD_CONNECTION,
    LOAD_POWER,
    LOAD_RATED_VOLTAGE,
    LOAD_POWER_FACTOR,
    LOAD_EFFICIENCY,
    LOAD_DIVERSITY,
    LOAD_START,
    LOAD_WHEN,
    LOAD_FIELDS
};
static const imp_param load_rows[] = {
    {.name = "name", .kind = IMP_TEXT, .presence = IMP_OPTIONAL, .help = "what it is"},
    {.name = "kind",
     .kind = IMP_CHOICE,
     .presence = IMP_REQUIRED,
     .choices = kinds,
     .help = "resistive: power follows the voltage squared; the others keep their power"},
    {.name = "connection",
     .kind = IMP_CHOICE,
     .presence = IMP_REQUIRED,
     .choices = connections,
     .help = "between which conductors"},
    {.name = "power",
     .symbol = "P",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER,
     .unit = "kW",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 1e6,
     .help = "useful output: shaft power of a motor, electrical power of a heater"},
    {.name = "rated_voltage",
     .symbol = "U_r",
     .kind = IMP_NUMBER,
     .dimension = IMP_VOLTAGE,
     .unit = "V",
     .presence = IMP_OPTIONAL,
     .low = 1.0,
     .high = 1000.0,
     .help = "where the power holds, from line to line for star and delta; without it the supply's nominal one"},
    {.name = "power_factor",
     .symbol = "cos",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .unit = "1",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 1.0,
     .ends = IMP_OPEN_LOW,
     .help = "lagging; 1 except for a motor, which needs it"},
    {.name = "efficiency",
     .symbol = "eta",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .unit = "%",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 1.0,
     .ends = IMP_OPEN_LOW,
     .help = "output over electrical input; 1 except for a motor, which needs it"},
    {.name = "diversity",
     .symbol = "g",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .unit = "%",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 1.0,
     .fallback = 1.0,
     .help = "share of it that counts at the same time as the others"},
    {.name = "start",
     .kind = IMP_CHOICE,
     .presence = IMP_DEFAULT,
     .choices = starts,
     .fallback = IMP_START_DIRECT,
     .help = "of a motor"},
    {.name = "when",
     .kind = IMP_CHOICE,
     .presence = IMP_DEFAULT,
     .choices = whens,
     .fallback = IMP_WHEN_ALWAYS,
     .help = "in which state it runs"},
    {.name = NULL},
};

enum { SUM_VOLTAGE, SUM_MEASURED, SUM_LOADS, SUM_STATE };
const imp_param imp_line_currents_in[4] = {
    ROW_VOLTAGE("nominal, from line to line"),
    {.name = "measured_voltage",
     .symbol = "U_m",
     .kind = IMP_NUMBER,
     .dimension = IMP_VOLTAGE,
     .unit = "V",
     .presence = IMP_OPTIONAL,
     .low = 1.0,
     .high = 1100.0,
     .help = "what the meter shows from line to line; without it nominal"},
    {.name = "loads", .kind = IMP_TABLE, .presence = IMP_REQUIRED, .rows = load_rows, .help = "what is connected"},
    {.name = "state",
     .kind = IMP_CHOICE,
     .presence = IMP_DEFAULT,
     .choices = states,
     .fallback = IMP_STATE_ALL,
     .help = "heating or spraying counts the loads of that state and those that always run"},
};
#define ROW_LINE_CURRENT(name_, help_)                                                                                 \
    {                                                                                                                  \
        .name = name_, .symbol = name_, .dimension = IMP_CURRENT, .unit = "A", .trend = "????", .help = help_          \
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
     .trend = "????",
     .help = "largest deviation of a line from the mean, over the mean"},
    {.name = "apparent_power",
     .symbol = "S",
     .dimension = IMP_POWER,
     .unit = "kVA",
     .trend = "????",
     .help = "of active and reactive power together, with diversity"},
    {.name = "active_power",
     .symbol = "P",
     .dimension = IMP_POWER,
     .unit = "kW",
     .trend = "????",
     .help = "with diversity"},
    {.name = "power_factor",
     .symbol = "cos",
     .dimension = IMP_PURE,
     .unit = "1",
     .high = 1.0,
     .trend = "????",
     .help = "of all the loads together"},
    ROW_LINE_CURRENT("connected_L1", "in line 1, without diversity"),
    ROW_LINE_CURRENT("connected_L2", "in line 2, without diversity"),
    ROW_LINE_CURRENT("connected_L3", "in line 3, without diversity"),
    {.name = "starting_power",
     .symbol = "S_m",
     .dimension = IMP_POWER,
     .unit = "kVA",
     .trend = "????",
     .help = "of the largest motor as it is started, estimated; the nameplate's locked-rotor figure comes first"},
};

static bool is_line_to_neutral(imp_load_connection connection)
{
    return connection <= IMP_LOAD_L3_N;
}

static bool is_three_phase(imp_load_connection connection)
{
    return connection >= IMP_LOAD_STAR;
}

static bool runs_in(imp_load_when when, imp_supply_state state)
{
    return when == IMP_WHEN_ALWAYS || state == IMP_STATE_ALL ||
           (when == IMP_WHEN_HEATING && state == IMP_STATE_HEATING) ||
           (when == IMP_WHEN_SPRAYING && state == IMP_STATE_SPRAYING);
}

/* Complex power [VA] that a load draws at `voltage` from line to line. */
static double complex drawn(const imp_load *load, double nominal, double voltage)
{
    const double to_terminals = is_line_to_neutral(load->connection) ? 1.0 / sqrt(3.0) : 1.0;
    const double rated = isnan(load->rated_voltage) ? nominal * to_terminals : load->rated_voltage;
    double active = load->power / load->efficiency;
    if (load->kind == IMP_LOAD_RESISTIVE)
        active *= pow(voltage * to_terminals / rated, 2.0);
    const double cosine = load->power_factor;
    return CMPLX(active, active * sqrt(1.0 - cosine * cosine) / cosine);
}

/* Cosine and sine of 0, -120 and +120 degrees. */
static const double TURN[3][2] = {{1.0, 0.0}, {-0.5, -0.86602540378443864676}, {-0.5, 0.86602540378443864676}};

/* Add the currents of a load of complex power to the lines; the neutral follows from them. */
static void add_currents(imp_load_connection connection, double complex power, double voltage, double complex lines[3])
{
    double complex phase[3];
    for (int i = 0; i < 3; i++)
        phase[i] = voltage / sqrt(3.0) * CMPLX(TURN[i][0], TURN[i][1]);
    if (is_three_phase(connection)) { /* balanced: star and delta draw alike */
        for (int i = 0; i < 3; i++)
            lines[i] += conj(power / 3.0 / phase[i]);
    } else if (is_line_to_neutral(connection)) {
        lines[connection] += conj(power / phase[connection]);
    } else {
        const int from = (int)connection - IMP_LOAD_L1_L2, to = (from + 1) % 3;
        const double complex current = conj(power / (phase[from] - phase[to]));
        lines[from] += current;
        lines[to] -= current;
    }
}

/* Times the rated apparent power. Common practice, no source, except that star-delta takes a third. */
static double starting_multiple(imp_load_start start)
{
    const double direct = 6.5, soft = 3.0;
    return start == IMP_START_DIRECT ? direct : start == IMP_START_STAR_DELTA ? direct / 3.0 : soft;
}

static imp_status check_load(const imp_load *load, size_t index, imp_error *error)
{
    const struct {
        int row;
        double value;
    } checks[] = {{LOAD_POWER, load->power},
                  {LOAD_RATED_VOLTAGE, load->rated_voltage},
                  {LOAD_POWER_FACTOR, load->power_factor},
                  {LOAD_EFFICIENCY, load->efficiency},
                  {LOAD_DIVERSITY, load->diversity}};
    imp_status status = imp_electrical_check_choice(&load_rows[LOAD_KIND], (int)load->kind, error);
    if (status == IMP_OK)
        status = imp_electrical_check_choice(&load_rows[LOAD_CONNECTION], (int)load->connection, error);
    for (size_t i = 0; status == IMP_OK && i < sizeof checks / sizeof checks[0]; i++)
        if (checks[i].row != LOAD_RATED_VOLTAGE || !isnan(checks[i].value))
            status = imp_check(&load_rows[checks[i].row], checks[i].value, error);
    char place[32];
    snprintf(place, sizeof place, "loads[%zu]", index + 1);
    if (status != IMP_OK)
        imp_error_prefix(error, place, ".");
    return status;
}

static double unbalance_of(const double line[3])
{
    const double mean = (line[0] + line[1] + line[2]) / 3.0;
    double largest = 0.0;
    for (int i = 0; i < 3; i++)
        largest = fmax(largest, fabs(line[i] - mean));
    return mean > 0.0 ? fmin(2.0, largest / mean) : 0.0; /* 2: one line alone, to the last bit */
}

imp_status imp_line_currents_sum(double voltage, double measured_voltage, const imp_load *loads, size_t count,
                                 imp_supply_state state, imp_line_currents *currents, imp_error *error)
{
    imp_status status = imp_check(&imp_line_currents_in[SUM_VOLTAGE], voltage, error);
    if (status == IMP_OK && !isnan(measured_voltage))
        status = imp_check(&imp_line_currents_in[SUM_MEASURED], measured_voltage, error);
    if (status == IMP_OK)
        status = imp_electrical_check_choice(&imp_line_currents_in[SUM_STATE], (int)state, error);
    for (size_t i = 0; status == IMP_OK && i < count; i++)
        status = check_load(&loads[i], i, error);
    if (status != IMP_OK)
        return status;

    const double actual = isnan(measured_voltage) ? voltage : measured_voltage;
    double complex lines[3] = {0.0, 0.0, 0.0}, connected[3] = {0.0, 0.0, 0.0}, power = 0.0;
    double starting = 0.0;
    for (size_t i = 0; i < count; i++) {
        if (!runs_in(loads[i].when, state))
            continue;
        const double complex own = drawn(&loads[i], voltage, actual);
        power += own * loads[i].diversity;
        add_currents(loads[i].connection, own * loads[i].diversity, actual, lines);
        add_currents(loads[i].connection, own, actual, connected);
        if (loads[i].kind == IMP_LOAD_MOTOR)
            starting = fmax(starting, cabs(own) * starting_multiple(loads[i].start));
    }
    for (int i = 0; i < 3; i++) {
        currents->line[i] = cabs(lines[i]);
        currents->connected[i] = cabs(connected[i]);
    }
    currents->neutral = cabs(lines[0] + lines[1] + lines[2]);
    currents->unbalance = unbalance_of(currents->line);
    currents->active_power = creal(power);
    currents->apparent_power = cabs(power);
    currents->power_factor = cabs(power) > 0.0 ? creal(power) / cabs(power) : 1.0;
    currents->starting_power = starting;
    return IMP_OK;
}

/* ---- from the table of loads ---- */

static imp_status missing_for_motor(size_t index, int field, imp_error *error)
{
    char place[64];
    snprintf(place, sizeof place, "loads[%zu].%s", index + 1, load_rows[field].name);
    return imp_fail(error, IMP_MISSING, place, "missing; a motor's nameplate gives it");
}

static double given_or(const imp_value *value, double otherwise)
{
    return value->given ? value->number : otherwise;
}

static imp_status read_load(const imp_value *fields, size_t index, imp_load *load, imp_error *error)
{
    load->kind = (imp_load_kind)fields[LOAD_KIND].number;
    load->connection = (imp_load_connection)fields[LOAD_CONNECTION].number;
    for (int field = LOAD_POWER_FACTOR; field <= LOAD_EFFICIENCY; field++)
        if (load->kind == IMP_LOAD_MOTOR && !fields[field].given)
            return missing_for_motor(index, field, error);
    load->power = fields[LOAD_POWER].number;
    load->rated_voltage = given_or(&fields[LOAD_RATED_VOLTAGE], (double)NAN);
    load->power_factor = given_or(&fields[LOAD_POWER_FACTOR], 1.0);
    load->efficiency = given_or(&fields[LOAD_EFFICIENCY], 1.0);
    load->diversity = given_or(&fields[LOAD_DIVERSITY], load_rows[LOAD_DIVERSITY].fallback);
    load->start = (imp_load_start)given_or(&fields[LOAD_START], load_rows[LOAD_START].fallback);
    load->when = (imp_load_when)given_or(&fields[LOAD_WHEN], load_rows[LOAD_WHEN].fallback);
    return IMP_OK;
}

enum { MOST_LOADS = 64 };

imp_status imp_line_currents_evaluate(const imp_call *call)
{
    const imp_value *table = &call->in[SUM_LOADS];
    imp_load loads[MOST_LOADS];
    if (table->count > MOST_LOADS)
        return imp_fail(call->error, IMP_LIMIT, "loads", "%zu loads; %d at most, take some together", table->count,
                        MOST_LOADS);
    imp_status status = IMP_OK;
    for (size_t i = 0; status == IMP_OK && i < table->count; i++)
        status = read_load(table->items + i * LOAD_FIELDS, i, &loads[i], call->error);
    imp_line_currents sum;
    if (status == IMP_OK)
        status = imp_line_currents_sum(call->in[SUM_VOLTAGE].number, call->in[SUM_MEASURED].number, loads, table->count,
                                       (imp_supply_state)call->in[SUM_STATE].number, &sum, call->error);
    if (status != IMP_OK)
        return status;
    const double results[] = {sum.line[0],      sum.line[1],        sum.line[2],      sum.neutral,
                              sum.unbalance,    sum.apparent_power, sum.active_power, sum.power_factor,
                              sum.connected[0], sum.connected[1],   sum.connected[2], sum.starting_power};
    for (size_t i = 0; i < sizeof results / sizeof results[0]; i++)
        call->out[i].number = results[i];
    return IMP_OK;
}
