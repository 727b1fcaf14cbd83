/* heat.hose_circuit and heat.hose_tap: the electric circuit that heats the hose. */
#include <math.h>

#include "check_rows.h"
#include "heat.h"
#include "heat_rows.h"

#define SECTION_RESISTANCE_ROW                                                                                         \
    {                                                                                                                  \
        .name = "section_resistance", .symbol = "R", .kind = IMP_NUMBER, .dimension = IMP_RESISTANCE, .unit = "ohm",   \
        .presence = IMP_REQUIRED, .low = 1e-4, .high = 1e4, .help = "of one hose section, measured there and back"     \
    }
#define SECTIONS_ROW                                                                                                   \
    {                                                                                                                  \
        .name = "sections", .symbol = "n", .kind = IMP_NUMBER, .dimension = IMP_PURE, .presence = IMP_REQUIRED,        \
        .low = 0.01, .high = 100.0,                                                                                    \
        .help = "hose sections in series; a shorter piece of the same hose counts as its fraction"                     \
    }
#define SECTION_LENGTH_ROW                                                                                             \
    {                                                                                                                  \
        .name = "section_length", .symbol = "Ls", .kind = IMP_NUMBER, .dimension = IMP_LENGTH, .unit = "m",            \
        .presence = IMP_REQUIRED, .low = 0.1, .high = 1000.0, .help = "length of one hose section"                     \
    }
#define LEAD_RESISTANCE_ROW                                                                                            \
    {                                                                                                                  \
        .name = "lead_resistance", .symbol = "Rl", .kind = IMP_NUMBER, .dimension = IMP_RESISTANCE, .unit = "ohm",     \
        .presence = IMP_DEFAULT, .low = 0.0, .high = 1e3, .fallback = 0.0,                                             \
        .help = "of leads and connections between supply and hose, there and back"                                     \
    }

/* heat.hose_circuit */

const imp_param imp_heat_hose_circuit_in[5] = {
    SECTION_RESISTANCE_ROW,
    SECTIONS_ROW,
    {.name = "voltage",
     .symbol = "V",
     .kind = IMP_NUMBER,
     .dimension = IMP_VOLTAGE,
     .unit = "V",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 1000.0,
     .help = "of the supply to the loop"},
    SECTION_LENGTH_ROW,
    LEAD_RESISTANCE_ROW,
};

const imp_param imp_heat_hose_circuit_out[4] = {
    {.name = "current",
     .symbol = "I",
     .kind = IMP_NUMBER,
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "--+0-",
     .help = "through the loop"},
    {.name = "power",
     .symbol = "P",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER,
     .unit = "W",
     .trend = "??+0-",
     .help = "in all hose sections together"},
    {.name = "power_per_length",
     .symbol = "q",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER_PER_LENGTH,
     .unit = "W/m",
     .trend = "?-+--",
     .help = "per metre of hose"},
    {.name = "lead_loss",
     .symbol = "Pl",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER,
     .unit = "W",
     .trend = "--+0?",
     .help = "in the leads"},
};

imp_status imp_heat_hose_circuit(double section_resistance, double sections, double voltage, double section_length,
                                 double lead_resistance, imp_heat_circuit *circuit, imp_error *error)
{
    const double values[5] = {section_resistance, sections, voltage, section_length, lead_resistance};
    const imp_status status = imp_check_rows(imp_heat_hose_circuit_in, values, 5, error);
    if (status != IMP_OK)
        return status;
    const double current = voltage / (sections * section_resistance + lead_resistance);
    const double section_power = current * current * section_resistance;
    *circuit = (imp_heat_circuit){.current = current,
                                  .power = section_power * sections,
                                  .power_per_length = section_power / section_length,
                                  .lead_loss = current * current * lead_resistance};
    return IMP_OK;
}

imp_status imp_heat_hose_circuit_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    imp_heat_circuit circuit;
    const imp_status status = imp_heat_hose_circuit(in[0].number, in[1].number, in[2].number, in[3].number,
                                                    in[4].number, &circuit, call->error);
    if (status != IMP_OK)
        return status;
    call->out[0].number = circuit.current;
    call->out[1].number = circuit.power;
    call->out[2].number = circuit.power_per_length;
    call->out[3].number = circuit.lead_loss;
    return IMP_OK;
}

/* heat.hose_tap */

enum {
    RESISTANCE,
    SECTIONS,
    SECTION_LENGTH,
    TAPS,
    CURRENT_LIMIT,
    CURRENT_SETTING,
    REQUIRED_POWER,
    LEAD,
    SUPPLY_RATIO,
    TAP_INPUTS
};

/* Two numbers that differ by less than this stand for the same voltage: 3 x 0.1 ohm at 100 A needs 30 V, not more. */
static const double rounding = 1e-12;

static const char *const limits[] = {
    [IMP_HEAT_NEED_MET] = "need met", [IMP_HEAT_CURRENT] = "current", [IMP_HEAT_HIGHEST_TAP] = "highest tap", NULL};

const imp_param imp_heat_hose_tap_in[TAP_INPUTS] = {
    SECTION_RESISTANCE_ROW,
    SECTIONS_ROW,
    SECTION_LENGTH_ROW,
    {.name = "taps",
     .symbol = NULL,
     .kind = IMP_LIST,
     .dimension = IMP_VOLTAGE,
     .unit = "V",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 1000.0,
     .ends = IMP_OPEN_LOW,
     .help = "nominal voltages of the transformer's taps, in any order"},
    {.name = "current_limit",
     .symbol = "Im",
     .kind = IMP_NUMBER,
     .dimension = IMP_CURRENT,
     .unit = "A",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 1e4,
     .ends = IMP_OPEN_LOW,
     .help = "largest current the supply or the hose bears"},
    {.name = "current_setting",
     .symbol = "Is",
     .kind = IMP_NUMBER,
     .dimension = IMP_CURRENT,
     .unit = "A",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 1e4,
     .ends = IMP_OPEN_LOW,
     .help = "current that the regulator holds; or give required_power_per_length"},
    {.name = "required_power_per_length",
     .symbol = "qn",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER_PER_LENGTH,
     .unit = "W/m",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 1e4,
     .ends = IMP_OPEN_LOW,
     .help = "power the hose needs per metre; or give current_setting"},
    LEAD_RESISTANCE_ROW,
    {.name = "supply_ratio",
     .symbol = "s",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .presence = IMP_DEFAULT,
     .low = 0.1,
     .high = 2.0,
     .fallback = 1.0,
     .help = "measured over nominal primary voltage"},
};

const imp_param imp_heat_hose_tap_out[6] = {
    {.name = "voltage",
     .symbol = "V",
     .kind = IMP_NUMBER,
     .dimension = IMP_VOLTAGE,
     .unit = "V",
     .trend = "?++?++++-",
     .help = "nominal voltage of the tap chosen"},
    {.name = "current",
     .symbol = "I",
     .kind = IMP_NUMBER,
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "--+?+++-+",
     .help = "through the loop"},
    {.name = "power",
     .symbol = "P",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER,
     .unit = "W",
     .trend = "??+?+++-+",
     .help = "in all hose sections together"},
    {.name = "power_per_length",
     .symbol = "q",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER_PER_LENGTH,
     .unit = "W/m",
     .trend = "?-"
              "??+++-+",
     .help = "per metre of hose"},
    {.name = "apparent_power",
     .symbol = "S",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER,
     .unit = "VA",
     .trend = "??+?+++??",
     .help = "tap voltage as supplied times current; the primary current follows from it"},
    {.name = "limited_by",
     .symbol = NULL,
     .kind = IMP_CHOICE,
     .choices = limits,
     .trend = "?????????",
     .help = "need met, current (cut to the limit), or highest tap (no tap drives the current)"},
};

static imp_status check_taps(const imp_heat_tap_supply *supply, imp_error *error)
{
    const imp_param *row = &imp_heat_hose_tap_in[TAPS];
    if (supply->tap_count == 0)
        return imp_fail(error, IMP_MISSING, row->name, "the list is empty; give the voltage of at least one tap");
    if (supply->tap_count > IMP_HEAT_MOST_TAPS)
        return imp_fail(error, IMP_LIMIT, row->name, "%zu taps are more than the %d that are handled",
                        supply->tap_count, (int)IMP_HEAT_MOST_TAPS);
    for (size_t i = 0; i < supply->tap_count; i++) {
        const imp_status status = imp_check(row, supply->taps[i], error);
        if (status != IMP_OK)
            return status;
    }
    return IMP_OK;
}

static imp_status check_need(const imp_heat_tap_supply *supply, imp_error *error)
{
    const imp_param *setting = &imp_heat_hose_tap_in[CURRENT_SETTING];
    const imp_param *required = &imp_heat_hose_tap_in[REQUIRED_POWER];
    if (supply->current_setting == NULL && supply->required_power_per_length == NULL)
        return imp_fail(error, IMP_MISSING, setting->name, "missing; give either %s or %s", setting->name,
                        required->name);
    if (supply->current_setting != NULL && supply->required_power_per_length != NULL)
        return imp_fail(error, IMP_RANGE, setting->name, "given together with %s; give only one of the two",
                        required->name);
    if (supply->current_setting != NULL)
        return imp_check(setting, *supply->current_setting, error);
    return imp_check(required, *supply->required_power_per_length, error);
}

static imp_status check_supply(const imp_heat_tap_supply *supply, imp_error *error)
{
    const struct {
        int row;
        double value;
    } numbers[] = {
        {RESISTANCE, supply->section_resistance}, {SECTIONS, supply->sections},
        {SECTION_LENGTH, supply->section_length}, {CURRENT_LIMIT, supply->current_limit},
        {LEAD, supply->lead_resistance},          {SUPPLY_RATIO, supply->supply_ratio},
    };
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        const imp_status status = imp_check(&imp_heat_hose_tap_in[numbers[i].row], numbers[i].value, error);
        if (status != IMP_OK)
            return status;
    }
    const imp_status status = check_taps(supply, error);
    return status == IMP_OK ? check_need(supply, error) : status;
}

static double wanted_current(const imp_heat_tap_supply *supply)
{
    if (supply->current_setting != NULL)
        return *supply->current_setting;
    /* NOLINTNEXTLINE(clang-analyzer-core.NullDereference): check_need asks for one of the two */
    return sqrt(*supply->required_power_per_length * supply->section_length / supply->section_resistance);
}

imp_status imp_heat_hose_tap(const imp_heat_tap_supply *supply, imp_heat_tap *tap, imp_error *error)
{
    const imp_status status = check_supply(supply, error);
    if (status != IMP_OK)
        return status;

    const double resistance = supply->sections * supply->section_resistance + supply->lead_resistance;
    const double wanted = wanted_current(supply);
    double current = fmin(wanted, supply->current_limit);
    imp_heat_limit limit = wanted > supply->current_limit ? IMP_HEAT_CURRENT : IMP_HEAT_NEED_MET;

    double lowest = (double)INFINITY, highest = 0.0; /* lowest: of the taps that can drive the current */
    for (size_t i = 0; i < supply->tap_count; i++) {
        const double tap_voltage = supply->taps[i];
        highest = fmax(highest, tap_voltage);
        if (tap_voltage * supply->supply_ratio >= current * resistance * (1.0 - rounding))
            lowest = fmin(lowest, tap_voltage);
    }
    double voltage = lowest;
    if (lowest > highest) {
        voltage = highest;
        current = highest * supply->supply_ratio / resistance;
        limit = IMP_HEAT_HIGHEST_TAP;
    }
    const double section_power = current * current * supply->section_resistance;
    *tap = (imp_heat_tap){.voltage = voltage,
                          .current = current,
                          .power = section_power * supply->sections,
                          .power_per_length = section_power / supply->section_length,
                          .apparent_power = voltage * supply->supply_ratio * current,
                          .limited_by = limit};
    return IMP_OK;
}

imp_status imp_heat_hose_tap_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    double taps[IMP_HEAT_MOST_TAPS];
    for (size_t i = 0; i < in[TAPS].count && i < IMP_HEAT_MOST_TAPS; i++)
        taps[i] = in[TAPS].items[i].number;
    const imp_heat_tap_supply supply = {
        .section_resistance = in[RESISTANCE].number,
        .sections = in[SECTIONS].number,
        .section_length = in[SECTION_LENGTH].number,
        .taps = taps,
        .tap_count = in[TAPS].count,
        .current_limit = in[CURRENT_LIMIT].number,
        .current_setting = in[CURRENT_SETTING].given ? &in[CURRENT_SETTING].number : NULL,
        .required_power_per_length = in[REQUIRED_POWER].given ? &in[REQUIRED_POWER].number : NULL,
        .lead_resistance = in[LEAD].number,
        .supply_ratio = in[SUPPLY_RATIO].number,
    };
    imp_heat_tap tap;
    const imp_status status = imp_heat_hose_tap(&supply, &tap, call->error);
    if (status != IMP_OK)
        return status;
    imp_sheet_step(call->sheet, "Iw", "wanted current", "Is, or sqrt(qn Ls/R)", wanted_current(&supply), "A");
    imp_sheet_step(call->sheet, "Rt", "resistance of the loop", "n R + Rl",
                   supply.sections * supply.section_resistance + supply.lead_resistance, "ohm");
    call->out[0].number = tap.voltage;
    call->out[1].number = tap.current;
    call->out[2].number = tap.power;
    call->out[3].number = tap.power_per_length;
    call->out[4].number = tap.apparent_power;
    call->out[5].number = tap.limited_by;
    return IMP_OK;
}
