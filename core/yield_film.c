/* Coating films and insulating layers: the entries of the yield room that look through a layer. */
#include <math.h>

#include "check_rows.h"
#include "yield.h"
#include "yield_rows.h"

#define ROW_DRY_FILM                                                                                                   \
    {                                                                                                                  \
        .name = "dry_film", .symbol = "t", .dimension = IMP_LENGTH, .unit = "um", .low = 0.0,                          \
        .high = IMP_MILLIMETRE(100.0), .ends = IMP_OPEN_LOW, .help = "thickness of the dry film"                       \
    }
#define ROW_SOLIDS                                                                                                     \
    {                                                                                                                  \
        .name = "solids_by_volume", .symbol = "v", .dimension = IMP_PURE, .unit = "%", .low = 0.0, .high = 1.0,        \
        .ends = IMP_OPEN_LOW, .help = "what stays when the film dries"                                                 \
    }

/* ---- yield.wet_film, yield.coating ---- */

const imp_param imp_yield_wet_film_in[3] = {
    ROW_DRY_FILM,
    ROW_SOLIDS,
    {.name = "thinning",
     .symbol = "a",
     .dimension = IMP_PURE,
     .unit = "%",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 1.0,
     .fallback = 0.0,
     .help = "thinner added, by volume of the coating as supplied"},
};
const imp_param imp_yield_wet_film_out[1] = {
    {.name = "wet_film",
     .symbol = "w",
     .dimension = IMP_LENGTH,
     .unit = "um",
     .trend = "+-+",
     .help = "to be read on the comb"},
};

imp_status imp_yield_wet_film(double dry_film, double solids_by_volume, double thinning, double *wet_film,
                              imp_error *error)
{
    const double values[] = {dry_film, solids_by_volume, thinning};
    const imp_status status = imp_check_rows(imp_yield_wet_film_in, values, 3, error);
    if (status == IMP_OK)
        *wet_film = dry_film * (1.0 + thinning) / solids_by_volume;
    return status;
}

imp_status imp_yield_wet_film_evaluate(const imp_call *call)
{
    return imp_yield_wet_film(call->in[0].number, call->in[1].number, call->in[2].number, &call->out[0].number,
                              call->error);
}

const imp_param imp_yield_coating_in[5] = {
    ROW_AREA,
    ROW_DRY_FILM,
    ROW_SOLIDS,
    ROW_LOSS(0.2, "share of the sprayed volume that ends elsewhere"),
    {.name = "profile_dead_volume",
     .symbol = "D",
     .dimension = IMP_LENGTH,
     .unit = "L/m^2",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 5e-3,
     .fallback = 0.0,
     .help = "coating that fills the blast profile before it counts as film"},
};
const imp_param imp_yield_coating_out[3] = {
    {.name = "volume",
     .symbol = "V",
     .dimension = IMP_VOLUME,
     .unit = "L",
     .trend = "++-++",
     .help = "of coating as supplied"},
    {.name = "spreading_rate",
     .symbol = "s",
     .dimension = IMP_COVERAGE,
     .unit = "m^2/L",
     .trend = "0-+--",
     .help = "practical: area over volume"},
    {.name = "theoretical_spreading_rate",
     .symbol = "s_0",
     .dimension = IMP_COVERAGE,
     .unit = "m^2/L",
     .trend = "0-+00",
     .help = "without loss and profile: solids over dry film"},
};

imp_status imp_yield_coating(double area, double dry_film, double solids_by_volume, double loss,
                             double profile_dead_volume, double *volume, double *spreading_rate,
                             double *theoretical_spreading_rate, imp_error *error)
{
    const double values[] = {area, dry_film, solids_by_volume, loss, profile_dead_volume};
    const imp_status status = imp_check_rows(imp_yield_coating_in, values, 5, error);
    if (status != IMP_OK)
        return status;
    const double per_area = (dry_film / solids_by_volume + profile_dead_volume) / (1.0 - loss);
    *volume = area * per_area;
    *spreading_rate = 1.0 / per_area;
    *theoretical_spreading_rate = solids_by_volume / dry_film;
    return IMP_OK;
}

imp_status imp_yield_coating_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    return imp_yield_coating(in[0].number, in[1].number, in[2].number, in[3].number, in[4].number, &call->out[0].number,
                             &call->out[1].number, &call->out[2].number, call->error);
}

/* ---- yield.thermal_resistance, yield.thickness_for_u ---- */

#define ROW_CONDUCTIVITY                                                                                               \
    {                                                                                                                  \
        .name = "conductivity", .symbol = "lambda", .dimension = IMP_CONDUCTIVITY, .unit = "W/(m K)", .low = 0.0,      \
        .high = 500.0, .ends = IMP_OPEN_LOW, .help = "declared or design value, aged"                                  \
    }

const imp_param imp_yield_thermal_resistance_in[2] = {ROW_THICKNESS, ROW_CONDUCTIVITY};
const imp_param imp_yield_thermal_resistance_out[1] = {
    {.name = "resistance",
     .symbol = "R",
     .dimension = IMP_THERMAL_RESISTANCE,
     .unit = "m^2 K/W",
     .trend = "+-",
     .help = "of the layer, without surfaces"},
};

imp_status imp_yield_thermal_resistance(double thickness, double conductivity, double *resistance, imp_error *error)
{
    const double values[] = {thickness, conductivity};
    const imp_status status = imp_check_rows(imp_yield_thermal_resistance_in, values, 2, error);
    if (status == IMP_OK)
        *resistance = thickness / conductivity;
    return status;
}

imp_status imp_yield_thermal_resistance_evaluate(const imp_call *call)
{
    return imp_yield_thermal_resistance(call->in[0].number, call->in[1].number, &call->out[0].number, call->error);
}

const imp_param imp_yield_thickness_for_u_in[5] = {
    {.name = "target_u",
     .symbol = "U",
     .dimension = IMP_HEAT_TRANSFER,
     .unit = "W/(m^2 K)",
     .low = 0.01,
     .high = 10.0,
     .help = "thermal transmittance to be reached"},
    {.name = "existing_resistance",
     .symbol = "R",
     .dimension = IMP_THERMAL_RESISTANCE,
     .unit = "m^2 K/W",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 100.0,
     .fallback = 0.0,
     .help = "of the wall as it is, without surfaces"},
    ROW_CONDUCTIVITY,
    {.name = "internal_surface",
     .symbol = "Rsi",
     .dimension = IMP_THERMAL_RESISTANCE,
     .unit = "m^2 K/W",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 1.0,
     .fallback = 0.13,
     .help = "heat flow sideways 0.13, upwards 0.10, downwards 0.17"},
    {.name = "external_surface",
     .symbol = "Rse",
     .dimension = IMP_THERMAL_RESISTANCE,
     .unit = "m^2 K/W",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 1.0,
     .fallback = 0.04,
     .help = "to outdoor air 0.04"},
};
const imp_param imp_yield_thickness_for_u_out[1] = {
    {.name = "thickness",
     .symbol = "d",
     .dimension = IMP_LENGTH,
     .unit = "mm",
     .trend = "--+--",
     .help = "to be added; 0 when the wall is there already"},
};

imp_status imp_yield_thickness_for_u(const imp_yield_wall *wall, double *thickness, imp_error *error)
{
    const double values[] = {wall->target_u, wall->existing_resistance, wall->conductivity, wall->internal_surface,
                             wall->external_surface};
    const imp_status status = imp_check_rows(imp_yield_thickness_for_u_in, values, 5, error);
    if (status != IMP_OK)
        return status;
    const double missing =
        1.0 / wall->target_u - wall->existing_resistance - wall->internal_surface - wall->external_surface;
    *thickness = fmax(0.0, missing * wall->conductivity);
    return IMP_OK;
}

imp_status imp_yield_thickness_for_u_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_yield_wall wall = {in[0].number, in[1].number, in[2].number, in[3].number, in[4].number};
    return imp_yield_thickness_for_u(&wall, &call->out[0].number, call->error);
}
