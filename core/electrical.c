#include "electrical.h"

#include <math.h>

#include "cable.h"
#include "check_rows.h"
#include "electrical_rows.h"
#include "line_currents.h"
#include "rooms.h"

const char *const imp_electrical_phases[] = {"1", "3", NULL};
const char *const imp_electrical_codes[] = {"iec", "nec", NULL};
const char *const imp_electrical_classes[] = {"2", "5", NULL};
const char *const imp_electrical_methods[] = {"B1", "B2", "C", "E", NULL};
const char *const imp_electrical_insulations[] = {"pvc", "xlpe", "rubber", NULL};
static const char *const materials[] = {"copper", "aluminium", NULL};

imp_status imp_electrical_check_choice(const imp_param *row, int index, imp_error *error)
{
    for (int i = 0; row->choices[i] != NULL; i++)
        if (i == index)
            return IMP_OK;
    return imp_fail(error, IMP_RANGE, row->name, "%d is not one of its choices", index);
}

/* ---- current of a balanced load ---- */

static const imp_param three_phase_current_in[] = {
    ROW_POWER("useful output: shaft power of a motor, heat of a heater"),
    ROW_VOLTAGE("from line to line"),
    ROW_POWER_FACTOR,
    ROW_EFFICIENCY,
};
static const imp_param three_phase_current_out[] = {
    {.name = "current", .symbol = "I", .dimension = IMP_CURRENT, .unit = "A", .trend = "+---", .help = "in each line"},
    {.name = "apparent_power",
     .symbol = "S",
     .dimension = IMP_POWER,
     .unit = "kVA",
     .trend = "+0--",
     .help = "what the supply has to give"},
};
static const imp_param single_phase_current_in[] = {
    ROW_POWER("useful output: shaft power of a motor, heat of a heater"),
    ROW_VOLTAGE("across the load"),
    ROW_POWER_FACTOR,
    ROW_EFFICIENCY,
};
static const imp_param single_phase_current_out[] = {
    {.name = "current",
     .symbol = "I",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "+---",
     .help = "in both conductors"},
    {.name = "apparent_power",
     .symbol = "S",
     .dimension = IMP_POWER,
     .unit = "kVA",
     .trend = "+0--",
     .help = "what the supply has to give"},
};

static imp_status balanced_current(const imp_param *rows, double conductors, const double values[4], double *current,
                                   double *apparent_power, imp_error *error)
{
    const imp_status status = imp_check_rows(rows, values, 4, error);
    if (status != IMP_OK)
        return status;
    const double power = values[0], voltage = values[1], power_factor = values[2], efficiency = values[3];
    const double apparent = power / (power_factor * efficiency);
    *current = apparent / (conductors * voltage);
    *apparent_power = apparent;
    return IMP_OK;
}

imp_status imp_electrical_three_phase_current(double power, double voltage, double power_factor, double efficiency,
                                              double *current, double *apparent_power, imp_error *error)
{
    const double values[4] = {power, voltage, power_factor, efficiency};
    return balanced_current(three_phase_current_in, sqrt(3.0), values, current, apparent_power, error);
}

imp_status imp_electrical_single_phase_current(double power, double voltage, double power_factor, double efficiency,
                                               double *current, double *apparent_power, imp_error *error)
{
    const double values[4] = {power, voltage, power_factor, efficiency};
    return balanced_current(single_phase_current_in, 1.0, values, current, apparent_power, error);
}

static imp_status three_phase_current_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    return imp_electrical_three_phase_current(in[0].number, in[1].number, in[2].number, in[3].number,
                                              &call->out[0].number, &call->out[1].number, call->error);
}

static imp_status single_phase_current_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    return imp_electrical_single_phase_current(in[0].number, in[1].number, in[2].number, in[3].number,
                                               &call->out[0].number, &call->out[1].number, call->error);
}

/* ---- resistance of a conductor ---- */

#define ROW_CONDUCTOR_TEMPERATURE(name_, fallback_)                                                                    \
    {                                                                                                                  \
        .name = name_, .symbol = "T", .kind = IMP_NUMBER, .dimension = IMP_TEMPERATURE, .unit = "degC",                \
        .presence = IMP_DEFAULT, .low = IMP_CELSIUS(-50.0), .high = IMP_CELSIUS(250.0), .fallback = fallback_,         \
        .help = "of the conductor"                                                                                     \
    }

static const imp_param conductor_resistance_in[] = {
    ROW_SECTION,
    ROW_LENGTH,
    ROW_CONDUCTOR_TEMPERATURE("temperature", IMP_CELSIUS(20.0)),
    ROW_CLASS,
    {.name = "material",
     .kind = IMP_CHOICE,
     .dimension = IMP_PURE,
     .presence = IMP_DEFAULT,
     .choices = materials,
     .fallback = 0,
     .help = "aluminium is made in class 2 only"},
    ROW_CODE("iec: IEC 60228; nec: NEC chapter 9 table 8, copper, where class does not matter"),
};
static const imp_param conductor_resistance_out[] = {
    {.name = "resistance",
     .symbol = "R",
     .dimension = IMP_RESISTANCE,
     .unit = "mohm",
     .trend = "-++???",
     .help = "greatest the standard allows, of one conductor, direct current"},
};
enum { RESISTANCE_SECTION, RESISTANCE_LENGTH, RESISTANCE_TEMPERATURE };

imp_status imp_electrical_resistance(const imp_electrical_conductor *conductor, double *resistance, imp_error *error)
{
    imp_status status = imp_check(&conductor_resistance_in[RESISTANCE_SECTION], conductor->section, error);
    if (status == IMP_OK)
        status = imp_check(&conductor_resistance_in[RESISTANCE_TEMPERATURE], conductor->temperature, error);
    if (status != IMP_OK)
        return status;
    const double celsius = conductor->temperature - 273.15;
    if (conductor->code == IMP_CODE_NEC) {
        size_t row = 0;
        status = imp_table_nec_row(conductor->section, &row, error);
        if (status == IMP_OK) /* NEC chapter 9, table 8, note on change of temperature */
            *resistance = imp_table_nec_resistance(row) * (1.0 + 0.00323 * (celsius - 75.0));
        return status;
    }
    double at_20 = 0.0;
    status = imp_table_resistance(conductor->section, conductor->material, &at_20, error);
    /* IEC 60028 (copper), IEC 60889 (aluminium) */
    const double coefficient = conductor->material == IMP_ALUMINIUM_CLASS_2 ? 0.00403 : 0.00393;
    if (status == IMP_OK)
        *resistance = at_20 * (1.0 + coefficient * (celsius - 20.0));
    return status;
}

imp_status imp_electrical_conductor_resistance(const imp_electrical_conductor *conductor, double length,
                                               double *resistance, imp_error *error)
{
    double per_length = 0.0;
    imp_status status = imp_check(&conductor_resistance_in[RESISTANCE_LENGTH], length, error);
    if (status == IMP_OK)
        status = imp_electrical_resistance(conductor, &per_length, error);
    if (status == IMP_OK)
        *resistance = per_length * length;
    return status;
}

static imp_status conductor_resistance_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const bool flexible = in[3].number > 0.5, aluminium = in[4].number > 0.5;
    const imp_code code = (imp_code)in[5].number;
    if (aluminium && code == IMP_CODE_NEC)
        return imp_fail(call->error, IMP_NOT_APPLICABLE, "material", "the NEC table here is of copper only");
    if (aluminium && flexible)
        return imp_fail(call->error, IMP_NOT_APPLICABLE, "class",
                        "IEC 60228 has no class 5 aluminium; give class 2, or copper");
    const imp_electrical_conductor conductor = {.section = in[0].number,
                                                .temperature = in[2].number,
                                                .code = code,
                                                .material = aluminium  ? IMP_ALUMINIUM_CLASS_2
                                                            : flexible ? IMP_COPPER_CLASS_5
                                                                       : IMP_COPPER_CLASS_2};
    return imp_electrical_conductor_resistance(&conductor, in[1].number, &call->out[0].number, call->error);
}

/* ---- voltage drop ---- */

enum {
    DROP_CURRENT,
    DROP_LENGTH,
    DROP_SECTION,
    DROP_VOLTAGE,
    DROP_PHASES,
    DROP_POWER_FACTOR,
    DROP_TEMPERATURE,
    DROP_REACTANCE,
    DROP_CLASS,
    DROP_CODE
};
static const imp_param voltage_drop_in[] = {
    ROW_CURRENT("in each line"),
    ROW_LENGTH,
    ROW_SECTION,
    ROW_VOLTAGE("at the supply: from line to line on three phases"),
    ROW_PHASES,
    ROW_POWER_FACTOR,
    ROW_CONDUCTOR_TEMPERATURE("conductor_temperature", IMP_CELSIUS(70.0)),
    {.name = "reactance",
     .symbol = "X",
     .kind = IMP_NUMBER,
     .dimension = IMP_RESISTANCE_PER_LENGTH,
     .unit = "mohm/m",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 1e-3,
     .fallback = 0.08e-3,
     .help = "of one conductor, 50 Hz"},
    ROW_CLASS,
    ROW_CODE("iec: resistances of IEC 60228; nec: of NEC chapter 9 table 8, where class does not matter"),
};
static const imp_param voltage_drop_out[] = {
    {.name = "drop",
     .symbol = "dU",
     .dimension = IMP_VOLTAGE,
     .unit = "V",
     .trend = "++-0??++??",
     .help = "from supply to load"},
    {.name = "drop_fraction",
     .symbol = "du",
     .dimension = IMP_PURE,
     .unit = "%",
     .high = 1.0,
     .trend = "++--??++??",
     .help = "drop over voltage"},
};

imp_status imp_electrical_voltage_drop(const imp_electrical_run *run, double *drop, double *fraction, imp_error *error)
{
    const double values[] = {run->current, run->length, run->conductor.section, run->voltage};
    double resistance = 0.0;
    imp_status status = imp_check_rows(voltage_drop_in, values, 4, error);
    if (status == IMP_OK)
        status = imp_electrical_check_choice(&voltage_drop_in[DROP_PHASES], (int)run->phases, error);
    if (status == IMP_OK)
        status = imp_check(&voltage_drop_in[DROP_POWER_FACTOR], run->power_factor, error);
    if (status == IMP_OK)
        status = imp_check(&voltage_drop_in[DROP_TEMPERATURE], run->conductor.temperature, error);
    if (status == IMP_OK)
        status = imp_check(&voltage_drop_in[DROP_REACTANCE], run->reactance, error);
    if (status == IMP_OK)
        status = imp_electrical_resistance(&run->conductor, &resistance, error);
    if (status != IMP_OK)
        return status;

    const double cosine = run->power_factor, sine = sqrt(1.0 - cosine * cosine);
    const double ways = run->phases == IMP_THREE_PHASE ? sqrt(3.0) : 2.0;
    const double volts = ways * run->current * run->length * (resistance * cosine + run->reactance * sine);
    if (!(volts <= run->voltage)) {
        char need[96], have[96];
        imp_param_format(&voltage_drop_out[0], volts, 4, need, sizeof need);
        imp_param_format(&voltage_drop_in[DROP_VOLTAGE], run->voltage, 4, have, sizeof have);
        return imp_fail(error, IMP_NO_SOLUTION, NULL,
                        "the drop would be %s out of %s; give less current, a shorter cable or a larger section", need,
                        have);
    }
    *drop = volts;
    *fraction = volts / run->voltage;
    return IMP_OK;
}

static imp_status voltage_drop_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_electrical_run run = {
        .conductor = {.section = in[DROP_SECTION].number,
                      .temperature = in[DROP_TEMPERATURE].number,
                      .material = in[DROP_CLASS].number > 0.5 ? IMP_COPPER_CLASS_5 : IMP_COPPER_CLASS_2,
                      .code = (imp_code)in[DROP_CODE].number},
        .current = in[DROP_CURRENT].number,
        .length = in[DROP_LENGTH].number,
        .voltage = in[DROP_VOLTAGE].number,
        .phases = (imp_phases)in[DROP_PHASES].number,
        .power_factor = in[DROP_POWER_FACTOR].number,
        .reactance = in[DROP_REACTANCE].number};
    double per_length = 0.0;
    if (call->sheet != NULL && imp_electrical_resistance(&run.conductor, &per_length, NULL) == IMP_OK)
        imp_sheet_step(call->sheet, "R", "resistance of one conductor per length", "R20 (1 + alpha (T - 20 degC))",
                       per_length, "mohm/m");
    return imp_electrical_voltage_drop(&run, &call->out[0].number, &call->out[1].number, call->error);
}

/* ---- heater at another voltage, wire gauge ---- */

static const imp_param heater_power_in[] = {
    {.name = "rated_power",
     .symbol = "P_r",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER,
     .unit = "kW",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 1e6,
     .ends = IMP_OPEN_LOW,
     .help = "on the nameplate"},
    {.name = "rated_voltage",
     .symbol = "U_r",
     .kind = IMP_NUMBER,
     .dimension = IMP_VOLTAGE,
     .unit = "V",
     .presence = IMP_REQUIRED,
     .low = 1.0,
     .high = 1000.0,
     .help = "at which the nameplate power holds"},
    {.name = "voltage",
     .symbol = "U",
     .kind = IMP_NUMBER,
     .dimension = IMP_VOLTAGE,
     .unit = "V",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 1000.0,
     .help = "at the heater"},
};
static const imp_param heater_power_out[] = {
    {.name = "power", .symbol = "P", .dimension = IMP_POWER, .unit = "kW", .trend = "+-+", .help = "at that voltage"},
};

imp_status imp_electrical_heater_power(double rated_power, double rated_voltage, double voltage, double *power,
                                       imp_error *error)
{
    const double values[] = {rated_power, rated_voltage, voltage};
    const imp_status status = imp_check_rows(heater_power_in, values, 3, error);
    if (status == IMP_OK)
        *power = rated_power * (voltage / rated_voltage) * (voltage / rated_voltage);
    return status;
}

static imp_status heater_power_evaluate(const imp_call *call)
{
    return imp_electrical_heater_power(call->in[0].number, call->in[1].number, call->in[2].number, &call->out[0].number,
                                       call->error);
}

/* The place of a gauge in the list is its distance from 4/0: number = place - 3. */
static const char *const gauges[] = {"4/0", "3/0", "2/0", "1/0", "1",  "2",  "3",  "4",  "5",  "6",  "7",  "8",
                                     "9",   "10",  "11",  "12",  "13", "14", "15", "16", "17", "18", "19", "20",
                                     "21",  "22",  "23",  "24",  "25", "26", "27", "28", "29", "30", "31", "32",
                                     "33",  "34",  "35",  "36",  "37", "38", "39", "40", NULL};
static const imp_param awg_area_in[] = {
    {.name = "gauge",
     .symbol = "n",
     .kind = IMP_CHOICE,
     .dimension = IMP_PURE,
     .presence = IMP_REQUIRED,
     .choices = gauges,
     .help = "American wire gauge; 1/0 to 4/0 are 0 to -3 in the formula"},
};
static const imp_param awg_area_out[] = {
    {.name = "section", .symbol = "A", .dimension = IMP_AREA, .unit = "mm^2", .trend = "?", .help = "of a solid wire"},
    {.name = "diameter", .symbol = "d", .dimension = IMP_LENGTH, .unit = "mm", .trend = "?", .help = "of a solid wire"},
};

static imp_status awg_area_evaluate(const imp_call *call)
{
    const int gauge = (int)call->in[0].number - 3;
    call->out[0].number = imp_awg_area(gauge);
    call->out[1].number = imp_awg_diameter(gauge);
    return IMP_OK;
}

#define TO_PLAN "; helps to plan, local codes and a licensed electrician decide"

const imp_calc imp_electrical_calcs[] = {
    IMP_CALC(three_phase_current, "electrical.three_phase_current", "Current of a three-phase load",
             "I = P/(sqrt(3) U cos eta)", "IEC 60050-141: apparent and active power", "balanced load, sinusoidal"),
    IMP_CALC(single_phase_current, "electrical.single_phase_current", "Current of a single-phase load",
             "I = P/(U cos eta)", "IEC 60050-141: apparent and active power", "sinusoidal"),
    IMP_CALC(conductor_resistance, "electrical.conductor_resistance", "Resistance of a cable's conductor",
             "R = R20 (1 + alpha (T - 20 degC)) L",
             "IEC 60228:2004 tables 2 and 3; IEC 60028 (alpha); NEC chapter 9 table 8",
             "greatest value the standard allows, direct current; tinned strands have 2 to 3 % more"),
    IMP_CALC(voltage_drop, "electrical.voltage_drop", "Voltage drop along a cable",
             "dU = b I L (R cos + X sin(phi)), b = sqrt(3) on three phases, 2 on one",
             "IEC 60364-5-52:2009 annex G; IEC 60228:2004",
             "copper; R is IEC 60228's at the conductor's temperature; X as for 50 Hz, 1.2 times that at 60 Hz"),
    IMP_CALC(imp_electrical_breaker_rating, "electrical.breaker_rating", "Rating of a circuit-breaker", "In >= I",
             "IEC 60898-1:2015 preferred values; NFPA 70 (NEC) 2023, 240.6(A)",
             "the cable must carry the rating: electrical.cable_size" TO_PLAN),
    IMP_CALC(imp_electrical_plug_rating, "electrical.plug_rating", "Rating of an industrial plug", "In >= I",
             "IEC 60309-1 and -2: series I and II", "colour and hour position are to match voltage and frequency"),
    IMP_CALC(
        imp_cable_size, "electrical.cable_size", "Cable section, breaker and voltage drop",
        "I <= In <= Iz, Iz = I_table k_ambient k_grouping k_drum, dU/U <= limit, A >= I_k sqrt(t)/k_fault",
        "IEC 60364-5-52:2009 tables B.52.2 to B.52.17 and annex G, IEC 60364-4-43:2008 433.1 and 434.5.2; rubber: BS "
        "7671 4F1A and 4F3A; NFPA 70 (NEC) 2023: 310.16, 310.15, 240.4, 240.6, 110.14(C), chapter 9 table 8; rubber: "
        "400.5(A)(1), 240.5(A)",
        "copper, one cable; pvc is 70 degC with iec and 75 degC with nec, xlpe 90 degC, rubber a flexible cable of 60 "
        "degC in free air or on a surface; nec knows no method else and no class; a fault is counted where its current and time are given" TO_PLAN),
    IMP_CALC(imp_cable_length, "electrical.cable_length", "How far a given cable reaches",
             "L = limit U/(b I (R cos + X sin(phi))), b = sqrt(3) on three phases, 2 on one; I <= In <= Iz",
             "IEC 60364-5-52:2009 annex G, IEC 60364-4-43:2008 433.1; NFPA 70 (NEC) 2023, chapter 9 table 8",
             "as electrical.cable_size; no fault is counted"),
    IMP_CALC(imp_cable_load, "electrical.cable_load", "How much a given cable carries",
             "I = min(Iz, In, limit U/(b L (R cos + X sin(phi)))), In <= Iz; nec: 125 % of a continuous load",
             "IEC 60364-5-52:2009, IEC 60364-4-43:2008 433.1; NFPA 70 (NEC) 2023: 310.16, 240.4, 210.19",
             "as electrical.cable_size; iec breakers without one given: up to 125 A; no fault is counted"),
    IMP_CALC(imp_cable_ampacity, "electrical.cable_ampacity", "What a cable may carry",
             "Iz = I_table k_ambient k_grouping k_drum",
             "IEC 60364-5-52:2009 tables B.52.2 to B.52.17; rubber: BS 7671 4F1A and 4F3A; NFPA 70 (NEC) 2023: 310.16, "
             "310.15, 110.14(C), 400.5(A)(1)",
             "as electrical.cable_size"),
    IMP_CALC(imp_electrical_standard_section, "electrical.standard_section", "Next standard section of a conductor",
             "least A >= S", "IEC 60228:2004; NFPA 70 (NEC) 2023, table 310.16",
             "sizes of the tables; what it carries is electrical.cable_ampacity"),
    IMP_CALC(imp_electrical_adiabatic_section, "electrical.adiabatic_section", "Section that a fault does not overheat",
             "S = I sqrt(t)/k", "IEC 60364-4-43:2008, 434.5.2",
             "0.1 s to 5 s; below 0.1 s the let-through energy counts" TO_PLAN),
    IMP_CALC(heater_power, "electrical.heater_power", "Heater power at another voltage", "P = P_r (U/U_r)^2",
             "Joule's law", "constant resistance"),
    IMP_CALC(awg_area, "electrical.awg_area", "Section of an American wire gauge",
             "A = pi/4 d^2, d = 0.127 mm 92^((36 - n)/39)", "ASTM B258", "solid wire"),
    IMP_CALC(imp_electrical_motor_current, "electrical.motor_current", "Full-load current of a three-phase motor (NEC)",
             "table look-up", "NFPA 70 (NEC) 2023, table 430.250",
             "squirrel-cage induction motors; conductors take 125 % of it (430.22)" TO_PLAN),
    IMP_CALC(imp_electrical_generator, "electrical.generator", "Rating and fuel of a generator",
             "S = max(P/cos, x (1/d - 1) S_m, sqrt(3) U I_max)/k, k = (1 - 3.5 % (h - 150 m)/300 m) (1 - 1 % (T - 25 "
             "degC)/5 K); E = P duty t; V = b E",
             "voltage divider of transient reactance and locked rotor; derating by altitude and heat: common practice, "
             "no source",
             "the bare need, no margin; the maker's derating, dip and fuel curves come first" TO_PLAN),
    IMP_CALC(imp_terminal_voltage, "electrical.terminal_voltage", "Voltage across a load",
             "U_t = U from line to line; to the neutral U/sqrt(3) on three lines, U/2 on two, U on one",
             "IEC 60050-141: line-to-line and line-to-neutral voltage", "symmetrical voltages"),
    IMP_CALC(imp_line_currents, "electrical.line_currents", "Currents in the lines of a supply",
             "I_k = sum of the phasors of the loads; u = max|I_k - mean|/mean",
             "Kirchhoff's current law; unbalance as in NEMA MG 1",
             "sinusoidal, symmetrical voltages; power follows V^2 for resistive loads and is constant for the "
             "others" TO_PLAN),
    IMP_CALC(imp_may_run, "electrical.may_run", "What may run at once on this supply",
             "greatest P so that |I| <= I_max in L1, L2, L3 and N; I_max = min(I_lim, c In, I_plug, Iz)",
             "Kirchhoff's current law; branch and bound over all sets of loads (exact)",
             "as electrical.line_currents, every load drawing in full; 16 loads to choose from at most; starting "
             "currents are not counted" TO_PLAN),
    IMP_CALC(imp_electrical_running_cost, "electrical.running_cost", "Energy and what it costs", "E = P duty t",
             "arithmetic", "one of the two prices"),
    IMP_CALC_END,
};
