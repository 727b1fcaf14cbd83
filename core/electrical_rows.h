/* electrical_rows.h — rows that the supply's entries share, and the entries that stand in files of their own. Private
 * to electrical*.c, cable*.c, line_currents.c and may_run.c; the job document's rows take their lists of choices from
 * here, so that a document and a calculation never differ. */
#ifndef IMP_ELECTRICAL_ROWS_H
#define IMP_ELECTRICAL_ROWS_H

#include "catalogue.h"

#define ROW_CURRENT(help_)                                                                                             \
    {                                                                                                                  \
        .name = "current", .symbol = "I", .kind = IMP_NUMBER, .dimension = IMP_CURRENT, .unit = "A",                   \
        .presence = IMP_REQUIRED, .low = 0.0, .high = 10000.0, .ends = IMP_OPEN_LOW, .help = help_                     \
    }
#define ROW_POWER(help_)                                                                                               \
    {                                                                                                                  \
        .name = "power", .symbol = "P", .kind = IMP_NUMBER, .dimension = IMP_POWER, .unit = "kW",                      \
        .presence = IMP_REQUIRED, .low = 0.0, .high = 1e6, .ends = IMP_OPEN_LOW, .help = help_                         \
    }
#define ROW_VOLTAGE(help_)                                                                                             \
    {                                                                                                                  \
        .name = "voltage", .symbol = "U", .kind = IMP_NUMBER, .dimension = IMP_VOLTAGE, .unit = "V",                   \
        .presence = IMP_REQUIRED, .low = 1.0, .high = 1000.0, .help = help_                                            \
    }
#define ROW_POWER_FACTOR                                                                                               \
    {                                                                                                                  \
        .name = "power_factor", .symbol = "cos", .kind = IMP_NUMBER, .dimension = IMP_PURE, .unit = "1",               \
        .presence = IMP_DEFAULT, .low = 0.0, .high = 1.0, .ends = IMP_OPEN_LOW, .fallback = 1.0,                       \
        .help = "active over apparent power, lagging"                                                                  \
    }
#define ROW_EFFICIENCY                                                                                                 \
    {                                                                                                                  \
        .name = "efficiency", .symbol = "eta", .kind = IMP_NUMBER, .dimension = IMP_PURE, .unit = "%",                 \
        .presence = IMP_DEFAULT, .low = 0.0, .high = 1.0, .ends = IMP_OPEN_LOW, .fallback = 1.0,                       \
        .help = "useful output over electrical input"                                                                  \
    }
#define ROW_LENGTH                                                                                                     \
    {                                                                                                                  \
        .name = "length", .symbol = "L", .kind = IMP_NUMBER, .dimension = IMP_LENGTH, .unit = "m",                     \
        .presence = IMP_REQUIRED, .low = 0.0, .high = 5000.0, .ends = IMP_OPEN_LOW,                                    \
        .help = "length of the cable, one way"                                                                         \
    }
#define ROW_SECTION                                                                                                    \
    {                                                                                                                  \
        .name = "section", .symbol = "A", .kind = IMP_NUMBER, .dimension = IMP_AREA, .unit = "mm^2",                   \
        .presence = IMP_REQUIRED, .low = IMP_SQUARE_MILLIMETRE(0.5), .high = IMP_SQUARE_MILLIMETRE(310.0),             \
        .help = "section of one conductor: a size of IEC 60228, or with code nec the area of an AWG or kcmil size"     \
    }
#define ROW_PHASES                                                                                                     \
    {                                                                                                                  \
        .name = "phases", .kind = IMP_CHOICE, .dimension = IMP_PURE, .presence = IMP_REQUIRED,                         \
        .choices = imp_electrical_phases, .help = "1: two loaded conductors; 3: three"                                 \
    }
#define ROW_CODE(help_)                                                                                                \
    {                                                                                                                  \
        .name = "code", .kind = IMP_CHOICE, .dimension = IMP_PURE, .presence = IMP_DEFAULT, .fallback = IMP_CODE_IEC,  \
        .choices = imp_electrical_codes, .help = help_                                                                 \
    }
#define ROW_CLASS                                                                                                      \
    {                                                                                                                  \
        .name = "class", .kind = IMP_CHOICE, .dimension = IMP_PURE, .presence = IMP_DEFAULT, .fallback = 1,            \
        .choices = imp_electrical_classes, .help = "conductor class of IEC 60228: 2 stranded, 5 flexible"              \
    }

extern const char *const imp_electrical_phases[];
extern const char *const imp_electrical_codes[];
extern const char *const imp_electrical_classes[];
extern const char *const imp_electrical_methods[];
extern const char *const imp_electrical_insulations[];

/* What a mistyped typed argument gets: the rows of kind choice guard the catalogue only. IMP_RANGE, place = row's name.
 */
imp_status imp_electrical_check_choice(const imp_param *row, int index, imp_error *error);

extern const imp_param imp_cable_size_in[19];
extern const imp_param imp_cable_size_out[15];
imp_status imp_cable_size_evaluate(const imp_call *call);

extern const imp_param imp_cable_length_in[16];
extern const imp_param imp_cable_length_out[4];
imp_status imp_cable_length_evaluate(const imp_call *call);

extern const imp_param imp_cable_load_in[16];
extern const imp_param imp_cable_load_out[7];
imp_status imp_cable_load_evaluate(const imp_call *call);

extern const imp_param imp_cable_ampacity_in[9];
extern const imp_param imp_cable_ampacity_out[6];
imp_status imp_cable_ampacity_evaluate(const imp_call *call);

extern const imp_param imp_terminal_voltage_in[5];
extern const imp_param imp_terminal_voltage_out[1];
imp_status imp_terminal_voltage_evaluate(const imp_call *call);

extern const imp_param imp_line_currents_in[5];
extern const imp_param imp_line_currents_out[12];
imp_status imp_line_currents_evaluate(const imp_call *call);

extern const imp_param imp_may_run_in[10];
extern const imp_param imp_may_run_out[9];
imp_status imp_may_run_evaluate(const imp_call *call);

extern const imp_param imp_electrical_breaker_rating_in[2];
extern const imp_param imp_electrical_breaker_rating_out[1];
imp_status imp_electrical_breaker_rating_evaluate(const imp_call *call);

extern const imp_param imp_electrical_plug_rating_in[3];
extern const imp_param imp_electrical_plug_rating_out[1];
imp_status imp_electrical_plug_rating_evaluate(const imp_call *call);

extern const imp_param imp_electrical_standard_section_in[2];
extern const imp_param imp_electrical_standard_section_out[1];
imp_status imp_electrical_standard_section_evaluate(const imp_call *call);

extern const imp_param imp_electrical_adiabatic_section_in[3];
extern const imp_param imp_electrical_adiabatic_section_out[1];
imp_status imp_electrical_adiabatic_section_evaluate(const imp_call *call);

extern const imp_param imp_electrical_motor_current_in[2];
extern const imp_param imp_electrical_motor_current_out[1];
imp_status imp_electrical_motor_current_evaluate(const imp_call *call);

extern const imp_param imp_electrical_generator_in[13];
extern const imp_param imp_electrical_generator_out[5];
imp_status imp_electrical_generator_evaluate(const imp_call *call);

extern const imp_param imp_electrical_running_cost_in[6];
extern const imp_param imp_electrical_running_cost_out[3];
imp_status imp_electrical_running_cost_evaluate(const imp_call *call);

#endif
