/* The loads on a supply: their rows, the supply's phasors, and what one load draws. */
#include "electrical_loads.h"

#include <math.h>
#include <stdio.h>

#include "electrical.h"
#include "electrical_rows.h"

static const char *const kinds[] = {"resistive", "motor", "transformer", "other", NULL};
static const char *const connections[] = {"L1-N", "L2-N", "L3-N", "L1-L2", "L2-L3", "L3-L1", "star", "delta", NULL};
static const char *const starts[] = {"direct", "star-delta", "soft", NULL};
static const char *const whens[] = {"heating", "spraying", "always", NULL};
const char *const imp_load_states[] = {"all", "heating", "spraying", NULL};

const imp_param imp_load_rows[] = {
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
    {.name = "must_run",
     .kind = IMP_FLAG,
     .presence = IMP_DEFAULT,
     .fallback = 0.0,
     .help = "whether it stays on when it is asked which loads may run together"},
    {.name = NULL},
};

static const imp_param supply_rows[] = {
    ROW_VOLTAGE("nominal"),
    ROW_MEASURED_VOLTAGE,
    ROW_STATE,
    ROW_LOAD_PHASES,
};

bool imp_load_runs_in(imp_load_when when, imp_supply_state state)
{
    return when == IMP_WHEN_ALWAYS || state == IMP_STATE_ALL ||
           (when == IMP_WHEN_HEATING && state == IMP_STATE_HEATING) ||
           (when == IMP_WHEN_SPRAYING && state == IMP_STATE_SPRAYING);
}

static bool is_line_to_neutral(imp_load_connection connection)
{
    return connection <= IMP_LOAD_L3_N;
}

static bool is_three_phase(imp_load_connection connection)
{
    return connection >= IMP_LOAD_STAR;
}

/* ---- the supply ---- */

static imp_status check_load(const imp_load *load, size_t index, imp_error *error)
{
    const struct {
        int row;
        double value;
    } checks[] = {{IMP_LOAD_POWER, load->power},
                  {IMP_LOAD_RATED_VOLTAGE, load->rated_voltage},
                  {IMP_LOAD_POWER_FACTOR, load->power_factor},
                  {IMP_LOAD_EFFICIENCY, load->efficiency},
                  {IMP_LOAD_DIVERSITY, load->diversity}};
    imp_status status = imp_electrical_check_choice(&imp_load_rows[IMP_LOAD_KIND], (int)load->kind, error);
    if (status == IMP_OK)
        status = imp_electrical_check_choice(&imp_load_rows[IMP_LOAD_CONNECTION], (int)load->connection, error);
    for (size_t i = 0; status == IMP_OK && i < sizeof checks / sizeof checks[0]; i++)
        if (checks[i].row != IMP_LOAD_RATED_VOLTAGE || !isnan(checks[i].value))
            status = imp_check(&imp_load_rows[checks[i].row], checks[i].value, error);
    char place[32];
    snprintf(place, sizeof place, "loads[%zu]", index + 1);
    if (status != IMP_OK)
        imp_error_prefix(error, place, ".");
    return status;
}

/* One phase brings one line, or two where a load stands on the second; nothing of it reaches a third. */
static imp_status count_lines(const imp_load *loads, size_t count, int *lines, imp_error *error)
{
    *lines = 1;
    for (size_t i = 0; i < count; i++) {
        const imp_load_connection connection = loads[i].connection;
        if (connection == IMP_LOAD_L2_N || connection == IMP_LOAD_L1_L2) {
            *lines = 2;
        } else if (connection != IMP_LOAD_L1_N) {
            char place[48];
            snprintf(place, sizeof place, "loads[%zu].connection", i + 1);
            return imp_fail(error, IMP_NOT_APPLICABLE, place,
                            "%s needs three phases, and the supply has one; L1-N, L2-N and L1-L2 stand on one phase",
                            connections[connection]);
        }
    }
    return IMP_OK;
}

imp_status imp_load_supply_of(const imp_line_supply *supply, const imp_load *loads, size_t count,
                              imp_supply_state state, imp_load_supply *reduced, imp_error *error)
{
    const bool measured = !isnan(supply->measured_voltage);
    imp_status status = imp_check(&supply_rows[0], supply->voltage, error);
    if (status == IMP_OK && measured)
        status = imp_check(&supply_rows[1], supply->measured_voltage, error);
    if (status == IMP_OK)
        status = imp_electrical_check_choice(&supply_rows[2], (int)state, error);
    if (status == IMP_OK)
        status = imp_electrical_check_choice(&supply_rows[3], (int)supply->phases, error);
    for (size_t i = 0; status == IMP_OK && i < count; i++)
        status = check_load(&loads[i], i, error);
    int lines = 3;
    if (status == IMP_OK && supply->phases == IMP_SINGLE_PHASE)
        status = count_lines(loads, count, &lines, error);
    if (status != IMP_OK)
        return status;

    const double actual = measured ? supply->measured_voltage : supply->voltage;
    const double sine = 0.5 * sqrt(3.0), root = sqrt(3.0);
    *reduced = (imp_load_supply){.nominal = supply->voltage, .actual = actual, .lines = lines};
    if (lines == 1) {
        reduced->phase[0] = imp_complex(actual, 0.0);
    } else if (lines == 2) {
        reduced->phase[0] = imp_complex(0.5 * actual, 0.0);
        reduced->phase[1] = imp_complex(-0.5 * actual, 0.0);
    } else {
        reduced->phase[0] = imp_complex(actual / root, 0.0);
        reduced->phase[1] = imp_complex(-0.5 * actual / root, -sine * actual / root);
        reduced->phase[2] = imp_complex(-0.5 * actual / root, sine * actual / root);
    }
    return IMP_OK;
}

/* ---- the voltage across a load ---- */

enum { AT_VOLTAGE, AT_MEASURED, AT_LINES, AT_CONNECTION, AT_RATED };
static const char *const line_counts[] = {"1", "2", "3", NULL};
const imp_param imp_terminal_voltage_in[5] = {
    ROW_VOLTAGE("nominal: from line to line; on one line to the neutral"),
    ROW_MEASURED_VOLTAGE,
    {.name = "lines",
     .kind = IMP_CHOICE,
     .dimension = IMP_PURE,
     .presence = IMP_DEFAULT,
     .choices = line_counts,
     .fallback = 2,
     .help = "of the supply; 2: one phase with the neutral between its two lines"},
    {.name = "connection",
     .kind = IMP_CHOICE,
     .dimension = IMP_PURE,
     .presence = IMP_OPTIONAL,
     .choices = connections,
     .help = "between which conductors the load stands"},
    {.name = "rated_voltage",
     .symbol = "U_r",
     .kind = IMP_NUMBER,
     .dimension = IMP_VOLTAGE,
     .unit = "V",
     .presence = IMP_OPTIONAL,
     .low = 1.0,
     .high = 1000.0,
     .help = "tells the connection where it is not given: under 75 % of the nominal voltage is to the neutral"},
};
const imp_param imp_terminal_voltage_out[1] = {
    {.name = "voltage",
     .symbol = "U_t",
     .dimension = IMP_VOLTAGE,
     .unit = "V",
     .trend = "?????",
     .help = "across the load"},
};

double imp_electrical_to_neutral(double voltage, int lines)
{
    return lines == 1 ? voltage : lines == 2 ? 0.5 * voltage : voltage / sqrt(3.0);
}

bool imp_electrical_is_to_neutral(double rated, double nominal)
{
    const double clearly_below = 0.75; /* between 1 and 1/sqrt(3), and far enough from both for any tolerance */
    return !(rated > clearly_below * nominal);
}

imp_status imp_terminal_voltage_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    if (!in[AT_CONNECTION].given && !in[AT_RATED].given)
        return imp_fail(call->error, IMP_MISSING, "connection", "either the connection or the rated voltage is needed");
    const bool to_neutral = in[AT_CONNECTION].given
                                ? is_line_to_neutral((imp_load_connection)in[AT_CONNECTION].number)
                                : imp_electrical_is_to_neutral(in[AT_RATED].number, in[AT_VOLTAGE].number);
    const double actual = in[AT_MEASURED].given ? in[AT_MEASURED].number : in[AT_VOLTAGE].number;
    call->out[0].number = to_neutral ? imp_electrical_to_neutral(actual, (int)in[AT_LINES].number + 1) : actual;
    return IMP_OK;
}

/* ---- one load ---- */

/* Complex power [VA] that a load draws. */
static double complex drawn(const imp_load *load, const imp_load_supply *supply)
{
    const double to_terminals =
        is_line_to_neutral(load->connection) ? imp_electrical_to_neutral(1.0, supply->lines) : 1.0;
    const double rated = isnan(load->rated_voltage) ? supply->nominal * to_terminals : load->rated_voltage;
    double active = load->power / load->efficiency;
    if (load->kind == IMP_LOAD_RESISTIVE)
        active *= pow(supply->actual * to_terminals / rated, 2.0);
    const double cosine = load->power_factor;
    return imp_complex(active, active * sqrt(1.0 - cosine * cosine) / cosine);
}

imp_load_phasors imp_load_phasors_of(const imp_load *load, const imp_load_supply *supply)
{
    imp_load_phasors own = {.power = drawn(load, supply)};
    if (is_three_phase(load->connection)) { /* balanced: star and delta draw alike */
        for (int i = 0; i < 3; i++)
            own.line[i] = conj(own.power / 3.0 / supply->phase[i]);
    } else if (is_line_to_neutral(load->connection)) {
        own.line[load->connection] = conj(own.power / supply->phase[load->connection]);
    } else {
        const int from = (int)load->connection - IMP_LOAD_L1_L2, to = (from + 1) % 3;
        const double complex current = conj(own.power / (supply->phase[from] - supply->phase[to]));
        own.line[from] = current;
        own.line[to] = -current;
    }
    return own;
}

/* ---- from the table of loads ---- */

static double given_or(const imp_value *value, double otherwise)
{
    return value->given ? value->number : otherwise;
}

static imp_status read_load(const imp_value *fields, size_t index, imp_load *load, imp_error *error)
{
    load->kind = (imp_load_kind)fields[IMP_LOAD_KIND].number;
    load->connection = (imp_load_connection)fields[IMP_LOAD_CONNECTION].number;
    for (int field = IMP_LOAD_POWER_FACTOR; field <= IMP_LOAD_EFFICIENCY; field++)
        if (load->kind == IMP_LOAD_MOTOR && !fields[field].given) {
            char place[64];
            snprintf(place, sizeof place, "loads[%zu].%s", index + 1, imp_load_rows[field].name);
            return imp_fail(error, IMP_MISSING, place, "%s", IMP_LOAD_PLATE_MISSING);
        }
    load->power = fields[IMP_LOAD_POWER].number;
    load->rated_voltage = given_or(&fields[IMP_LOAD_RATED_VOLTAGE], (double)NAN);
    load->power_factor = given_or(&fields[IMP_LOAD_POWER_FACTOR], 1.0);
    load->efficiency = given_or(&fields[IMP_LOAD_EFFICIENCY], 1.0);
    load->diversity = given_or(&fields[IMP_LOAD_DIVERSITY], imp_load_rows[IMP_LOAD_DIVERSITY].fallback);
    load->start = (imp_load_start)given_or(&fields[IMP_LOAD_START], imp_load_rows[IMP_LOAD_START].fallback);
    load->when = (imp_load_when)given_or(&fields[IMP_LOAD_WHEN], imp_load_rows[IMP_LOAD_WHEN].fallback);
    return IMP_OK;
}

imp_status imp_load_read_table(const imp_value *table, imp_load *loads, bool *must_run, imp_error *error)
{
    if (table->count > IMP_MOST_LOADS)
        return imp_fail(error, IMP_LIMIT, "loads", "%zu loads; %d at most, take some together", table->count,
                        IMP_MOST_LOADS);
    for (size_t i = 0; i < table->count; i++) {
        const imp_value *fields = table->items + i * IMP_LOAD_FIELDS;
        const imp_status status = read_load(fields, i, &loads[i], error);
        if (status != IMP_OK)
            return status;
        if (must_run != NULL)
            must_run[i] = given_or(&fields[IMP_LOAD_MUST_RUN], 0.0) > 0.5;
    }
    return IMP_OK;
}
