/* hose.power_law_drop: pressure drop of a power-law liquid. */
#include <math.h>

#include "check_rows.h"
#include "hose.h"
#include "hose_rows.h"

static const double pi = 3.14159265358979323846;

const imp_param imp_hose_power_law_in[6] = {
    HOSE_FLOW_ROW(IMP_REQUIRED, "volume flow through the hose"),
    HOSE_BORE_ROW,
    HOSE_LENGTH_ROW,
    HOSE_DENSITY_ROW,
    {.name = "consistency",
     .symbol = "K",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .presence = IMP_REQUIRED,
     .low = 1e-6,
     .high = 1e4,
     .help = "consistency K as a bare number in Pa s^n; its unit depends on n"},
    {.name = "flow_index",
     .symbol = "n",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .presence = IMP_REQUIRED,
     .low = 0.3,
     .high = 1.5,
     .help = "n: below 1 the liquid thins when sheared, 1 is Newtonian, above 1 it thickens"},
};

const imp_param imp_hose_power_law_out[2] = {
    {.name = "pressure_drop",
     .symbol = "dp",
     .kind = IMP_NUMBER,
     .dimension = IMP_PRESSURE,
     .unit = "bar",
     .trend = "+-++??",
     .help = "pressure drop along the level hose"},
    {.name = "generalised_reynolds",
     .symbol = "Re_MR",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .trend = "+?0+-?",
     .help = "Metzner-Reed Reynolds number; laminar up to 2100"},
};

imp_status imp_hose_power_law_drop(double flow, double bore, double length, double density, double consistency,
                                   double flow_index, double *pressure_drop, double *generalised_reynolds,
                                   imp_error *error)
{
    const double values[6] = {flow, bore, length, density, consistency, flow_index};
    const imp_status status = imp_check_rows(imp_hose_power_law_in, values, 6, error);
    if (status != IMP_OK)
        return status;
    const double n = flow_index;
    const double velocity = 4.0 * flow / (pi * bore * bore);
    const double reynolds = density * pow(velocity, 2.0 - n) * pow(bore, n) /
                            (consistency * pow(8.0, n - 1.0) * pow((3.0 * n + 1.0) / (4.0 * n), n));
    const double factor = imp_hose_power_law_friction(reynolds, n);
    *pressure_drop = factor * length / bore * density * velocity * velocity / 2.0;
    *generalised_reynolds = reynolds;
    return IMP_OK;
}

imp_status imp_hose_power_law_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    double pressure_drop = 0.0, reynolds = 0.0;
    const imp_status status =
        imp_hose_power_law_drop(in[0].number, in[1].number, in[2].number, in[3].number, in[4].number, in[5].number,
                                &pressure_drop, &reynolds, call->error);
    if (status != IMP_OK)
        return status;
    imp_sheet_step(call->sheet, "v", "mean velocity", "v = 4 Q/(pi d^2)",
                   4.0 * in[0].number / (pi * in[1].number * in[1].number), "m/s");
    imp_sheet_step(call->sheet, "f", "friction factor (Darcy)", "64/Re_MR, or Dodge-Metzner",
                   imp_hose_power_law_friction(reynolds, in[5].number), "1");
    call->out[0].number = pressure_drop;
    call->out[1].number = reynolds;
    return IMP_OK;
}
