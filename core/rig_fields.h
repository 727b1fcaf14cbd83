/* rig_fields.h — which documents' fields make up a rig. Private to rig*.c. */
#ifndef IMP_RIG_FIELDS_H
#define IMP_RIG_FIELDS_H

#include "catalogue.h"
#include "rig.h"

/* The rows that every entry of the room begins with, in this order; each is a record of the documents. */
enum { RIG_RIG, RIG_MATERIAL, RIG_HOSES, RIG_SETTINGS, RIG_SITE, RIG_SUPPLY, RIG_STOCK, RIG_RECORDS };
#define RIG_RECORD_ROW(name_, presence_, rows_, help_)                                                                 \
    {                                                                                                                  \
        .name = (name_), .kind = IMP_RECORD, .presence = (presence_), .rows = (rows_), .help = (help_)                 \
    }
#define RIG_RECORD_ROWS                                                                                                \
    RIG_RECORD_ROW("rig", IMP_REQUIRED, imp_rig_rows, "the rig: pumps, drive, heaters, hose, whip, gun"),              \
        RIG_RECORD_ROW("material", IMP_REQUIRED, imp_material_rows, "the material: iso, resin, volume ratio"),         \
        RIG_RECORD_ROW("hoses", IMP_REQUIRED, imp_hoses_rows, "the hoses as laid: sections, whip, rise"),              \
        RIG_RECORD_ROW("settings", IMP_REQUIRED, imp_settings_rows, "set pressure and temperatures"),                  \
        RIG_RECORD_ROW("site", IMP_REQUIRED, imp_site_rows, "air temperature, altitude, wind"),                        \
        RIG_RECORD_ROW("supply", IMP_OPTIONAL, imp_supply_rows, "voltages; without it heaters get their rated one"),   \
        RIG_RECORD_ROW("stock", IMP_OPTIONAL, imp_stock_rows, "drum temperature; without it that of the air")

/* Read the records of in[RIG_RECORDS] into a rig; what is absent stays unknown. IMP_LIMIT: too many taps or points. */
imp_status imp_rig_read(const imp_value *in, imp_rig *rig, imp_error *error);

/* Refuse a rig that lacks what the solver needs (all of it in one sentence), has a value outside its row, or parts that
 * do not go together. */
imp_status imp_rig_check(const imp_rig *rig, imp_error *error);

/* Voltage across a load rated for `rated` volts: as measured where it was, else nominal; a rating clearly below the
 * supply's stands from line to neutral, or across half of a single-phase supply. The rated voltage itself where the
 * supply is not known. */
double imp_rig_voltage_at(const imp_rig *rig, double rated);

/* What the hose circuit gives at most, W/m to the pair and W in all; 0 where the hose is not heated. */
typedef struct imp_rig_circuit {
    double per_length, whip_per_length, power, current;
} imp_rig_circuit;
imp_status imp_rig_hose_circuit(const imp_rig *rig, imp_rig_circuit *circuit, imp_error *error);

/* Loss coefficient of the pair: as given, or from its insulation. */
imp_status imp_rig_loss_coefficient(const imp_rig *rig, double *coefficient, imp_error *error);

/* Electrical power that a primary heater draws at most; not-a-number: no limit known. */
imp_status imp_rig_heater_power(const imp_rig *rig, int side, double *power, imp_error *error);

/* The operating point of a rig that imp_rig_check has passed. */
imp_status imp_rig_solve(const imp_rig *rig, imp_hose_trace *traces, imp_rig_result *result, imp_error *error);

extern const char *const imp_rig_side_names[IMP_SIDES];

/* Value or, where it is not known, another one. */
double imp_rig_known_or(double value, double otherwise);

#endif
