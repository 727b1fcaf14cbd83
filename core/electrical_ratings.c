/* Ratings and sections of the supply's parts: breaker, plug, section for a fault, motor by the NEC. */
#include <math.h>

#include "check_rows.h"
#include "electrical.h"
#include "electrical_rows.h"

/* ---- ratings ---- */

const imp_param imp_electrical_breaker_rating_in[2] = {
    ROW_CURRENT("that the circuit carries"),
    ROW_CODE("iec: IEC 60898-1; nec: NEC 240.6(A)"),
};
const imp_param imp_electrical_breaker_rating_out[1] = {
    {.name = "rating",
     .symbol = "In",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "+?",
     .help = "least standard rating not below the current"},
};
const imp_param imp_electrical_plug_rating_in[3] = {
    ROW_CURRENT("that the plug carries"),
    ROW_CODE("iec: series I of IEC 60309; nec: series II"),
    {.name = "plug",
     .kind = IMP_NUMBER,
     .dimension = IMP_CURRENT,
     .unit = "A",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 1000.0,
     .ends = IMP_OPEN_LOW,
     .help = "rating of the plug that is there, to be checked"},
};
const imp_param imp_electrical_plug_rating_out[1] = {
    {.name = "rating",
     .symbol = "In",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "+?0",
     .help = "least standard rating not below the current"},
};

static imp_status least_rating(imp_table_id id, double current, const char *what, double *rating, imp_error *error)
{
    if (imp_table_rating(id, current, rating))
        return IMP_OK;
    const double largest = imp_table_value(id, imp_tables[id].row_count - 1, 0);
    char text[96];
    return imp_fail(error, IMP_NO_SOLUTION, "current", "no %s of %s up to %.0f A carries %s; split the load", what,
                    imp_tables[id].standard, largest,
                    imp_param_format(&imp_electrical_breaker_rating_in[0], current, 4, text, sizeof text));
}

imp_status imp_electrical_breaker_rating(double current, imp_code code, double *rating, imp_error *error)
{
    const imp_status status = imp_check(&imp_electrical_breaker_rating_in[0], current, error);
    if (status != IMP_OK)
        return status;
    return least_rating(code == IMP_CODE_NEC ? IMP_TABLE_NEC_BREAKER : IMP_TABLE_IEC_BREAKER, current,
                        "circuit-breaker", rating, error);
}

imp_status imp_electrical_plug_rating(double current, imp_code code, double plug, double *rating, imp_error *error)
{
    imp_status status = imp_check(&imp_electrical_plug_rating_in[0], current, error);
    if (status == IMP_OK && !isnan(plug))
        status = imp_check(&imp_electrical_plug_rating_in[2], plug, error);
    if (status != IMP_OK)
        return status;
    if (!isnan(plug) && plug * (1.0 + 1e-9) < current) {
        char have[96], need[96];
        imp_param_format(&imp_electrical_plug_rating_in[2], plug, 4, have, sizeof have);
        imp_param_format(&imp_electrical_plug_rating_in[0], current, 4, need, sizeof need);
        return imp_fail(error, IMP_NO_SOLUTION, "plug",
                        "a plug of %s cannot carry %s; use a larger one or split the load", have, need);
    }
    return least_rating(code == IMP_CODE_NEC ? IMP_TABLE_PLUG_SERIES_II : IMP_TABLE_PLUG_SERIES_I, current, "plug",
                        rating, error);
}

imp_status imp_electrical_breaker_rating_evaluate(const imp_call *call)
{
    return imp_electrical_breaker_rating(call->in[0].number, (imp_code)call->in[1].number, &call->out[0].number,
                                         call->error);
}

imp_status imp_electrical_plug_rating_evaluate(const imp_call *call)
{
    return imp_electrical_plug_rating(call->in[0].number, (imp_code)call->in[1].number, call->in[2].number,
                                      &call->out[0].number, call->error);
}

/* ---- standard section ---- */

const imp_param imp_electrical_standard_section_in[2] = {
    {.name = "section",
     .symbol = "S",
     .kind = IMP_NUMBER,
     .dimension = IMP_AREA,
     .unit = "mm^2",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = IMP_SQUARE_MILLIMETRE(1000.0),
     .ends = IMP_OPEN_LOW,
     .help = "that is needed at least"},
    ROW_CODE("iec: IEC 60228; nec: AWG and kcmil of NEC table 310.16"),
};
const imp_param imp_electrical_standard_section_out[1] = {
    {.name = "standard",
     .symbol = "A",
     .dimension = IMP_AREA,
     .unit = "mm^2",
     .trend = "+?",
     .help = "least standard section not below it"},
};

imp_status imp_electrical_standard_section(double section, imp_code code, double *standard, imp_error *error)
{
    const imp_status status = imp_check(&imp_electrical_standard_section_in[0], section, error);
    if (status != IMP_OK)
        return status;
    const imp_table_id id = code == IMP_CODE_NEC ? IMP_TABLE_NEC_AMPACITY : IMP_TABLE_CONDUCTOR;
    for (size_t row = 0; row < imp_tables[id].row_count; row++) {
        const double own =
            code == IMP_CODE_NEC ? imp_table_nec_area(row) : IMP_SQUARE_MILLIMETRE(imp_table_value(id, row, 0));
        if (own * (1.0 + 1e-9) >= section) { /* 6 mm^2 is enough for 6 mm^2 after a conversion of units */
            *standard = own;
            return IMP_OK;
        }
    }
    char text[96];
    return imp_fail(error, IMP_NO_SOLUTION, "section", "%s has no section so large as %s; lay cables side by side",
                    imp_tables[id].standard,
                    imp_param_format(&imp_electrical_standard_section_in[0], section, 4, text, sizeof text));
}

imp_status imp_electrical_standard_section_evaluate(const imp_call *call)
{
    return imp_electrical_standard_section(call->in[0].number, (imp_code)call->in[1].number, &call->out[0].number,
                                           call->error);
}

/* ---- section for a fault, motor ---- */

const imp_param imp_electrical_adiabatic_section_in[3] = {
    {.name = "fault_current",
     .symbol = "I",
     .kind = IMP_NUMBER,
     .dimension = IMP_CURRENT,
     .unit = "A",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 200e3,
     .ends = IMP_OPEN_LOW,
     .help = "prospective, effective value"},
    {.name = "clearing_time",
     .symbol = "t",
     .kind = IMP_NUMBER,
     .dimension = IMP_TIME,
     .unit = "s",
     .presence = IMP_REQUIRED,
     .low = 0.0,
     .high = 5.0,
     .ends = IMP_OPEN_LOW,
     .help = "until the breaker or fuse has opened; the equation holds up to 5 s"},
    {.name = "k",
     .symbol = "k",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .unit = "1",
     .presence = IMP_DEFAULT,
     .low = 10.0,
     .high = 250.0,
     .fallback = 115.0,
     .help = "in A s^0.5/mm^2, copper: 115 PVC, 143 XLPE or EPR, 141 rubber at 60 degC"},
};
const imp_param imp_electrical_adiabatic_section_out[1] = {
    {.name = "section",
     .symbol = "S",
     .dimension = IMP_AREA,
     .unit = "mm^2",
     .trend = "++-",
     .help = "least section that the fault does not overheat"},
};

imp_status imp_electrical_adiabatic_section(double fault_current, double clearing_time, double k, double *section,
                                            imp_error *error)
{
    const double values[] = {fault_current, clearing_time, k};
    const imp_status status = imp_check_rows(imp_electrical_adiabatic_section_in, values, 3, error);
    if (status == IMP_OK)
        *section = IMP_SQUARE_MILLIMETRE(fault_current * sqrt(clearing_time) / k);
    return status;
}

imp_status imp_electrical_adiabatic_section_evaluate(const imp_call *call)
{
    return imp_electrical_adiabatic_section(call->in[0].number, call->in[1].number, call->in[2].number,
                                            &call->out[0].number, call->error);
}

static const double HORSEPOWER = 0.3048 * 0.45359237 * 9.80665 * 550.0; /* W: 550 ft lbf/s */
const imp_param imp_electrical_motor_current_in[2] = {
    {.name = "power",
     .symbol = "P",
     .kind = IMP_NUMBER,
     .dimension = IMP_POWER,
     .unit = "hp",
     .presence = IMP_REQUIRED,
     .low = 300.0,
     .high = 76e3,
     .help = "of the shaft, as the nameplate gives it in horsepower"},
    ROW_VOLTAGE("208 V, 220 V to 240 V, or 440 V to 480 V"),
};
const imp_param imp_electrical_motor_current_out[1] = {
    {.name = "current",
     .symbol = "I",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "+-",
     .help = "full-load current, for sizing conductors by the NEC"},
};

imp_status imp_electrical_motor_current(double power, double voltage, double *current, imp_error *error)
{
    const double values[] = {power, voltage};
    const imp_status status = imp_check_rows(imp_electrical_motor_current_in, values, 2, error);
    if (status != IMP_OK)
        return status;
    const bool is_208 = fabs(voltage - 208.0) <= 1.0, is_230 = voltage >= 220.0 && voltage <= 240.0;
    const bool is_460 = voltage >= 440.0 && voltage <= 480.0;
    if (!is_208 && !is_230 && !is_460)
        return imp_fail(error, IMP_NOT_APPLICABLE, "voltage",
                        "NEC table 430.250 here has 208 V, 220 V to 240 V and 440 V to 480 V");
    for (size_t row = 0; row < imp_tables[IMP_TABLE_NEC_MOTOR].row_count; row++) {
        const double own = imp_table_value(IMP_TABLE_NEC_MOTOR, row, 0) * HORSEPOWER;
        if (fabs(own - power) <= 0.005 * own) { /* 745.7 W and 746 W are the same horsepower */
            *current = imp_table_value(IMP_TABLE_NEC_MOTOR, row, is_208 ? 1 : is_230 ? 2 : 3);
            return IMP_OK;
        }
    }
    char text[96];
    return imp_fail(error, IMP_NOT_APPLICABLE, "power",
                    "NEC table 430.250 has no motor of %s; take the next larger standard one",
                    imp_param_format(&imp_electrical_motor_current_in[0], power, 4, text, sizeof text));
}

imp_status imp_electrical_motor_current_evaluate(const imp_call *call)
{
    return imp_electrical_motor_current(call->in[0].number, call->in[1].number, &call->out[0].number, call->error);
}
