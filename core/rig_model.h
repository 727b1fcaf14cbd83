/* rig_model.h — one flow through a rig and all that follows from it. Private to rig*.c; equations: rig.h. */
#ifndef IMP_RIG_MODEL_H
#define IMP_RIG_MODEL_H

#include "rig_fields.h"

#define RIG_GRAVITY 9.80665 /* m/s^2, ISO 80000-3 */

/* What does not change with the flow. */
typedef struct imp_rig_model {
    const imp_rig *rig;
    imp_fluid fluid[IMP_SIDES];
    imp_hose_section sections[IMP_SIDES][IMP_HOSE_MOST_SECTIONS];
    size_t hose_count, section_count; /* heated hose alone; with the whip */
    imp_hose_control control;
    bool controlled;
    imp_rig_circuit circuit;
    double drum_temperature, drum_density[IMP_SIDES];
    double flow_share[IMP_SIDES]; /* of the whole flow */
    double volume_ratio;
    double heater_power[IMP_SIDES]; /* electrical; not-a-number: no limit */
    double ambient_pressure;
    double least_rating; /* of hose, whip, gun; not-a-number: none known */
} imp_rig_model;

/* What follows from one flow, before pressures are tied to anything but the gun's chamber. */
typedef struct imp_rig_trial {
    double flow;
    imp_rig_side_result side[IMP_SIDES];
    imp_hose_pair_result hoses;
    double set_gauge, drive_pressure, motor_power, oil_flow;
    double used[IMP_RIG_LIMITS];
    bool outside_orifice_range;
} imp_rig_trial;

/* Fit the liquids and lay the hoses; everything of the rig that does not depend on the flow. */
imp_status imp_rig_prepare(imp_rig_model *model, const imp_rig *rig, imp_error *error);

/* What follows from a flow. The hoses' inlet pressures are 0 where inlet_pressure is NULL: only drops are known then.
 */
imp_status imp_rig_try_flow(const imp_rig_model *model, double flow, imp_hose_trace *traces,
                            const double inlet_pressure[IMP_SIDES], imp_rig_trial *trial, imp_error *error);

/* Fill in what the drive has to do from the pump pressures and flows of a trial. */
void imp_rig_load_drive(const imp_rig_model *model, imp_rig_trial *trial);

/* The limit of which the largest share is used. */
imp_rig_limit imp_rig_most_used(const double used[IMP_RIG_LIMITS]);

/* The smaller one, of which either may be not known. */
double imp_rig_least(double a, double b);

#endif
