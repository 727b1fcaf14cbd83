/* How the operating point explains itself: the balances of each side, and how far each limit is used. */
#include <math.h>
#include <stdio.h>

#include "rig_entry.h"

static void record_side(imp_sheet *sheet, const imp_rig *rig, const imp_rig_side_result *s, int side)
{
    const char *name = imp_rig_side_names[side];
    const imp_fluid *fluid = &rig->side[side].fluid;
    const double heat = s->heater_power * rig->side[side].heater_efficiency;
    struct {
        const char *symbol, *what, *formula;
        double value;
        const char *unit;
    } steps[] = {
        {"Q", "flow at the pump", side == IMP_ISO ? "Q r/(1 + r)" : "Q/(1 + r)", s->flow, "L/min"},
        {"m", "mass flow", "rho(T_drum) Q", s->mass_flow, "kg/s"},
        {"P", "heat given by the primary heater", "min(m cp (T_set - T_drum), P_rated eta (U/U_rated)^2)", heat, "kW"},
        {"dT", "rise in the primary heater", "P/(m cp)", heat / (s->mass_flow * fluid->heat_capacity), "K"},
        {"Ph", "hose heat given", "integral of q dx", s->run.heating, "W"},
        {"Pl", "heat lost along hose and whip", "integral of U/2 (T - Ta) dx", s->run.loss, "W"},
        {"Pf", "heat of friction", "integral of (m/rho) p_f dx", s->run.viscous_heating, "W"},
        {"Tg", "temperature at the gun, by heat balance", "T_h + (Ph - Pl + Pf)/(m cp)", s->gun_temperature, "degC"},
        {"dp", "drop along hose and whip", "integral of p_f + rho g dz/dx", s->run.pressure_drop, "bar"},
        {"mu", "viscosity at the gun", "mu(Tg)", s->gun_viscosity, "mPa s"},
        {"dp_g", "drop over the gun's orifices", "rho/2 (m/(rho n Cd pi d^2/4))^2", s->gun_pressure, "bar"},
        {"p", "gauge at the pump", "dp_g + dp", s->pump_pressure, "bar"},
    };
    for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
        char symbol[32], what[64];
        snprintf(symbol, sizeof symbol, "%s_%s", steps[i].symbol, name);
        snprintf(what, sizeof what, "%s: %s", name, steps[i].what);
        imp_sheet_step(sheet, symbol, what, steps[i].formula, steps[i].value, steps[i].unit);
    }
}

void imp_rig_record(imp_sheet *sheet, const imp_rig *rig, const imp_rig_result *r)
{
    static const char *const names[IMP_RIG_LIMITS] = {
        "share of the set pressure used", "share of the drive pressure used", "share of the motor power used",
        "share of the oil flow used", "share of the fluid pressure limit used"};
    static const char *const formulas[IMP_RIG_LIMITS] = {
        "gauge/p_set", "(p_iso A_iso + p_resin A_resin)/(A_drive p_limit)",
        "(p_iso Q_iso + p_resin Q_resin)/(eta P_motor)", "A_drive Q_side/(eta_v A_side)/Q_oil",
        "max(p_iso, p_resin)/p_most"};
    imp_sheet_step(sheet, "r", "volume ratio", "(V eta_v)_iso/(V eta_v)_resin, else the material's", r->volume_ratio,
                   "1");
    for (int side = 0; side < IMP_SIDES; side++)
        record_side(sheet, rig, &r->side[side], side);
    imp_sheet_step(sheet, "q", "hose heating",
                   "min(what holds the set temperature at the sensor, what the circuit gives)", r->hose_heat, "W/m");
    for (int i = 0; i < IMP_RIG_LIMITS; i++)
        if (!isnan(r->used[i]))
            imp_sheet_step(sheet, "u", names[i], formulas[i], r->used[i], "%");
    imp_sheet_step(sheet, "N", "flows tried; the largest with every share at most 100 % stands", NULL, r->trials, "1");
}
