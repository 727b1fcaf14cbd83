/* rig_entry.h — rows that the entries of the room share. Private to rig*.c. */
#ifndef IMP_RIG_ENTRY_H
#define IMP_RIG_ENTRY_H

#include "rig_fields.h"

/* Single numbers that stand instead of a document's field, so that they can be varied and solved for. */
enum {
    LEVER_GAUGE = RIG_RECORDS,
    LEVER_MUTUAL,
    LEVER_PRESSURE,
    LEVER_AIR,
    LEVER_DRUM,
    LEVER_ISO,
    LEVER_RESIN,
    LEVER_HOSE,
    RIG_POINT_INPUTS
};
#define RIG_TEMPERATURE_LEVER(name_, symbol_, low_, high_, help_)                                                      \
    {                                                                                                                  \
        .name = (name_), .symbol = (symbol_), .dimension = IMP_TEMPERATURE, .unit = "degC", .presence = IMP_OPTIONAL,  \
        .low = IMP_CELSIUS(low_), .high = IMP_CELSIUS(high_), .help = (help_)                                          \
    }
#define RIG_LEVER_ROWS                                                                                                 \
    {.name = "set_pressure_on",                                                                                        \
     .kind = IMP_CHOICE,                                                                                               \
     .presence = IMP_DEFAULT,                                                                                          \
     .fallback = IMP_RIG_HIGHER_GAUGE,                                                                                 \
     .choices = imp_rig_gauge_texts,                                                                                   \
     .help =                                                                                                           \
         "what the set pressure refers to: the higher of the two gauges at the pumps, or their mean by pump area"},    \
        {.name = "mutual_conductance",                                                                                 \
         .symbol = "k",                                                                                                \
         .dimension = IMP_CONDUCTIVITY,                                                                                \
         .unit = "W/(m K)",                                                                                            \
         .presence = IMP_OPTIONAL,                                                                                     \
         .low = 0.0,                                                                                                   \
         .high = 10.0,                                                                                                 \
         .help = "heat that passes between iso and resin hose, per metre and kelvin; 0 when not given"},               \
        {.name = "set_pressure",                                                                                       \
         .symbol = "p_set",                                                                                            \
         .dimension = IMP_PRESSURE,                                                                                    \
         .unit = "bar",                                                                                                \
         .presence = IMP_OPTIONAL,                                                                                     \
         .low = 0.0,                                                                                                   \
         .high = IMP_BAR(700.0),                                                                                       \
         .ends = IMP_OPEN_LOW,                                                                                         \
         .help = "instead of settings.pressure"},                                                                      \
        RIG_TEMPERATURE_LEVER("air_temperature", "Ta", -60.0, 80.0, "instead of site.air_temperature"),                \
        RIG_TEMPERATURE_LEVER("drum_temperature", "T_drum", -40.0, 80.0, "instead of stock.drum_temperature"),         \
        RIG_TEMPERATURE_LEVER("iso_temperature", "T_iso", -20.0, 150.0, "instead of settings.iso_temperature"),        \
        RIG_TEMPERATURE_LEVER("resin_temperature", "T_resin", -20.0, 150.0, "instead of settings.resin_temperature"),  \
        RIG_TEMPERATURE_LEVER("hose_temperature", "T_hose", -20.0, 150.0, "instead of settings.hose_temperature")

/* A rig from the first RIG_POINT_INPUTS inputs. */
imp_status imp_rig_from_call(const imp_call *call, imp_rig *rig);
/* Record the balances of an operating point; does nothing without a sheet. */
void imp_rig_record(imp_sheet *sheet, const imp_rig *rig, const imp_rig_result *r);
/* The result of a value that may be not known. */
imp_value imp_rig_optional(double number);

/* Only the operating point's own input: whether to hand out the profiles. */
enum { POINT_PROFILE = RIG_POINT_INPUTS, POINT_OWN_INPUTS };
extern const imp_param imp_rig_point_in[POINT_OWN_INPUTS], imp_rig_point_out[55];
imp_status imp_rig_point_evaluate(const imp_call *call);

extern const char *const imp_rig_gauge_texts[], *const imp_rig_limit_texts[], *const imp_rig_shortfall_texts[];

#endif
