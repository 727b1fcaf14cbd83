#include "yield.h"

#include <math.h>

#include "check_rows.h"
#include "rooms.h"
#include "yield_rows.h"

#define ROW_MASS(help_)                                                                                                \
    {                                                                                                                  \
        .name = "mass", .symbol = "m", .dimension = IMP_MASS, .unit = "kg", .low = 0.0, .high = 1e7,                   \
        .ends = IMP_OPEN_LOW, .help = help_                                                                            \
    }
#define ROW_FOAM_DENSITY                                                                                               \
    {                                                                                                                  \
        .name = "in_place_density", .symbol = "rho", .dimension = IMP_DENSITY, .unit = "kg/m^3", .low = 3.0,           \
        .high = 2000.0, .help = "of the finished foam with its skins, higher than the core's"                          \
    }
#define ROW_SURFACE_FACTOR                                                                                             \
    {                                                                                                                  \
        .name = "surface_factor", .symbol = "k", .dimension = IMP_PURE, .unit = "1", .presence = IMP_DEFAULT,          \
        .low = 1.0, .high = 10.0, .fallback = 1.0, .help = "true surface over plain area: corrugated sheet, joists"    \
    }
#define ROW_LIQUID_DENSITY(name_, symbol_)                                                                             \
    {                                                                                                                  \
        .name = name_, .symbol = symbol_, .dimension = IMP_DENSITY, .unit = "kg/m^3", .low = 300.0, .high = 3000.0,    \
        .help = "at the temperature of the drums"                                                                      \
    }

/* ---- yield.foam, yield.area_from_material ---- */

static const imp_param foam_in[] = {
    ROW_AREA,           ROW_THICKNESS, ROW_FOAM_DENSITY, ROW_LOSS(0.1, "share of the sprayed mass that ends elsewhere"),
    ROW_SURFACE_FACTOR,
};
static const imp_param foam_out[] = {
    {.name = "volume",
     .symbol = "V",
     .dimension = IMP_VOLUME,
     .unit = "m^3",
     .trend = "++00+",
     .help = "of foam in place"},
    {.name = "board_feet",
     .symbol = "bf",
     .dimension = IMP_PURE,
     .unit = "1",
     .trend = "++00+",
     .help = "the same volume, counted in board feet of 144 in^3"},
    {.name = "mass", .symbol = "m", .dimension = IMP_MASS, .unit = "kg", .trend = "+++++", .help = "to be sprayed"},
};
static const imp_param area_from_material_in[] = {
    ROW_MASS("to be sprayed"), ROW_THICKNESS,
    ROW_FOAM_DENSITY,          ROW_LOSS(0.1, "share of the sprayed mass that ends elsewhere"),
    ROW_SURFACE_FACTOR,
};
static const imp_param area_from_material_out[] = {
    {.name = "area",
     .symbol = "A",
     .dimension = IMP_AREA,
     .unit = "m^2",
     .trend = "+----",
     .help = "plain area that is covered"},
};

static const double BOARD_FOOT = 0.3048 * 0.3048 * 0.0254; /* m^3 */

imp_status imp_yield_foam(double area, double thickness, double in_place_density, double loss, double surface_factor,
                          double *volume, double *board_feet, double *mass, imp_error *error)
{
    const double values[] = {area, thickness, in_place_density, loss, surface_factor};
    const imp_status status = imp_check_rows(foam_in, values, 5, error);
    if (status != IMP_OK)
        return status;
    const double in_place = area * surface_factor * thickness;
    *volume = in_place;
    *board_feet = in_place / BOARD_FOOT;
    *mass = in_place * in_place_density / (1.0 - loss);
    return IMP_OK;
}

imp_status imp_yield_area_from_material(double mass, double thickness, double in_place_density, double loss,
                                        double surface_factor, double *area, imp_error *error)
{
    const double values[] = {mass, thickness, in_place_density, loss, surface_factor};
    const imp_status status = imp_check_rows(area_from_material_in, values, 5, error);
    if (status == IMP_OK)
        *area = mass * (1.0 - loss) / (in_place_density * thickness * surface_factor);
    return status;
}

static imp_status foam_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    return imp_yield_foam(in[0].number, in[1].number, in[2].number, in[3].number, in[4].number, &call->out[0].number,
                          &call->out[1].number, &call->out[2].number, call->error);
}

static imp_status area_from_material_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    return imp_yield_area_from_material(in[0].number, in[1].number, in[2].number, in[3].number, in[4].number,
                                        &call->out[0].number, call->error);
}

/* ---- yield.split, yield.sets ---- */

static const imp_param split_in[] = {
    ROW_MASS("of the mixture"),
    {.name = "mass_ratio",
     .symbol = "r",
     .dimension = IMP_PURE,
     .unit = "1",
     .low = 0.01,
     .high = 100.0,
     .help = "iso over resin, by mass"},
    ROW_LIQUID_DENSITY("iso_density", "rho_iso"),
    ROW_LIQUID_DENSITY("resin_density", "rho_resin"),
};
static const imp_param split_out[] = {
    {.name = "iso_mass", .symbol = "m_iso", .dimension = IMP_MASS, .unit = "kg", .trend = "++00", .help = "of iso"},
    {.name = "resin_mass",
     .symbol = "m_resin",
     .dimension = IMP_MASS,
     .unit = "kg",
     .trend = "+-00",
     .help = "of resin"},
    {.name = "iso_volume", .symbol = "V_iso", .dimension = IMP_VOLUME, .unit = "L", .trend = "++-0", .help = "of iso"},
    {.name = "resin_volume",
     .symbol = "V_resin",
     .dimension = IMP_VOLUME,
     .unit = "L",
     .trend = "+-0-",
     .help = "of resin"},
};

imp_status imp_yield_split(double mass, double mass_ratio, double iso_density, double resin_density,
                           imp_yield_parts *parts, imp_error *error)
{
    const double values[] = {mass, mass_ratio, iso_density, resin_density};
    const imp_status status = imp_check_rows(split_in, values, 4, error);
    if (status != IMP_OK)
        return status;
    const double iso = mass * mass_ratio / (1.0 + mass_ratio), resin = mass / (1.0 + mass_ratio);
    *parts = (imp_yield_parts){iso, resin, iso / iso_density, resin / resin_density};
    return IMP_OK;
}

static imp_status split_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    imp_yield_parts parts;
    const imp_status status =
        imp_yield_split(in[0].number, in[1].number, in[2].number, in[3].number, &parts, call->error);
    if (status != IMP_OK)
        return status;
    call->out[0].number = parts.iso_mass;
    call->out[1].number = parts.resin_mass;
    call->out[2].number = parts.iso_volume;
    call->out[3].number = parts.resin_volume;
    return IMP_OK;
}

static const imp_param sets_in[] = {
    {.name = "iso_volume",
     .symbol = "V_iso",
     .dimension = IMP_VOLUME,
     .unit = "L",
     .low = 0.0,
     .high = 1e4,
     .help = "of iso that the job takes"},
    {.name = "resin_volume",
     .symbol = "V_resin",
     .dimension = IMP_VOLUME,
     .unit = "L",
     .low = 0.0,
     .high = 1e4,
     .help = "of resin that the job takes"},
    {.name = "drum_volume",
     .symbol = "V_drum",
     .dimension = IMP_VOLUME,
     .unit = "L",
     .low = IMP_LITRE(1.0),
     .high = 50.0,
     .help = "filled into one drum"},
    {.name = "usable_fraction",
     .symbol = "f",
     .dimension = IMP_PURE,
     .unit = "%",
     .presence = IMP_DEFAULT,
     .low = 0.1,
     .high = 1.0,
     .fallback = 0.97,
     .help = "share of a drum that the pump can empty"},
};
static const imp_param sets_out[] = {
    {.name = "sets",
     .symbol = "n",
     .dimension = IMP_PURE,
     .unit = "1",
     .trend = "++--",
     .digits = 8,
     .help = "sets of one drum of iso and one of resin"},
    {.name = "iso_left",
     .symbol = "L_iso",
     .dimension = IMP_VOLUME,
     .unit = "L",
     .trend = "????",
     .help = "usable iso that is left"},
    {.name = "resin_left",
     .symbol = "L_resin",
     .dimension = IMP_VOLUME,
     .unit = "L",
     .trend = "????",
     .help = "usable resin that is left"},
};

/* Whole pieces that a quantity takes; a trillionth over a whole number is rounding, not material. */
static double whole_pieces(double quantity, double piece)
{
    return ceil(quantity / piece * (1.0 - 1e-12));
}

imp_status imp_yield_sets(double iso_volume, double resin_volume, double drum_volume, double usable_fraction,
                          double *sets, double *iso_left, double *resin_left, imp_error *error)
{
    const double values[] = {iso_volume, resin_volume, drum_volume, usable_fraction};
    const imp_status status = imp_check_rows(sets_in, values, 4, error);
    if (status != IMP_OK)
        return status;
    const double usable = drum_volume * usable_fraction;
    const double count = whole_pieces(fmax(iso_volume, resin_volume), usable);
    *sets = count;
    *iso_left = fmax(0.0, count * usable - iso_volume);
    *resin_left = fmax(0.0, count * usable - resin_volume);
    return IMP_OK;
}

static imp_status sets_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    return imp_yield_sets(in[0].number, in[1].number, in[2].number, in[3].number, &call->out[0].number,
                          &call->out[1].number, &call->out[2].number, call->error);
}

/* ---- yield.lifts, yield.spray_time ---- */

static const imp_param lifts_in[] = {
    ROW_THICKNESS,
    {.name = "maximum_lift",
     .symbol = "d_max",
     .dimension = IMP_LENGTH,
     .unit = "mm",
     .low = 0.0,
     .high = 2.0,
     .ends = IMP_OPEN_LOW,
     .help = "thickest lift that the supplier allows"},
    {.name = "minimum_lift",
     .symbol = "d_min",
     .dimension = IMP_LENGTH,
     .unit = "mm",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 2.0,
     .fallback = 0.0,
     .help = "thinnest lift that the supplier allows"},
};
static const imp_param lifts_out[] = {
    {.name = "lifts",
     .symbol = "n",
     .dimension = IMP_PURE,
     .unit = "1",
     .trend = "+-0",
     .digits = 8,
     .help = "equal ones"},
    {.name = "lift_thickness",
     .symbol = "d_lift",
     .dimension = IMP_LENGTH,
     .unit = "mm",
     .trend = "?+0",
     .help = "of each"},
};

imp_status imp_yield_lifts(double thickness, double maximum_lift, double minimum_lift, double *lifts,
                           double *lift_thickness, imp_error *error)
{
    const double values[] = {thickness, maximum_lift, minimum_lift};
    const imp_status status = imp_check_rows(lifts_in, values, 3, error);
    if (status != IMP_OK)
        return status;
    const double count = whole_pieces(thickness, maximum_lift);
    const double each = thickness / count;
    if (each < minimum_lift * (1.0 - 1e-12)) {
        char have[96], need[96];
        return imp_fail(error, IMP_NO_SOLUTION, "minimum_lift",
                        "%.0f %s of %s would be thinner than %s; choose another thickness or ask the supplier", count,
                        count > 1.0 ? "lifts" : "lift", imp_param_format(&lifts_out[1], each, 4, have, sizeof have),
                        imp_param_format(&lifts_in[2], minimum_lift, 4, need, sizeof need));
    }
    *lifts = count;
    *lift_thickness = each;
    return IMP_OK;
}

static imp_status lifts_evaluate(const imp_call *call)
{
    return imp_yield_lifts(call->in[0].number, call->in[1].number, call->in[2].number, &call->out[0].number,
                           &call->out[1].number, call->error);
}

static const imp_param spray_time_in[] = {
    ROW_MASS("to be sprayed"),
    {.name = "mass_flow",
     .symbol = "q",
     .dimension = IMP_MASS_FLOW,
     .unit = "kg/min",
     .low = 0.0,
     .high = 10.0,
     .ends = IMP_OPEN_LOW,
     .help = "while the trigger is pulled"},
    {.name = "trigger_fraction",
     .symbol = "f",
     .dimension = IMP_PURE,
     .unit = "%",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 1.0,
     .ends = IMP_OPEN_LOW,
     .fallback = 0.5,
     .help = "share of the time in which the trigger is pulled"},
};
static const imp_param spray_time_out[] = {
    {.name = "spraying_time",
     .symbol = "t",
     .dimension = IMP_TIME,
     .unit = "h",
     .trend = "+-0",
     .help = "on the trigger"},
    {.name = "elapsed_time",
     .symbol = "T",
     .dimension = IMP_TIME,
     .unit = "h",
     .trend = "+--",
     .help = "from start to end"},
};

imp_status imp_yield_spray_time(double mass, double mass_flow, double trigger_fraction, double *spraying_time,
                                double *elapsed_time, imp_error *error)
{
    const double values[] = {mass, mass_flow, trigger_fraction};
    const imp_status status = imp_check_rows(spray_time_in, values, 3, error);
    if (status != IMP_OK)
        return status;
    *spraying_time = mass / mass_flow;
    *elapsed_time = mass / mass_flow / trigger_fraction;
    return IMP_OK;
}

static imp_status spray_time_evaluate(const imp_call *call)
{
    return imp_yield_spray_time(call->in[0].number, call->in[1].number, call->in[2].number, &call->out[0].number,
                                &call->out[1].number, call->error);
}

/* ---- yield.cost ---- */

static const imp_param cost_in[] = {
    ROW_AREA,
    {.name = "mass",
     .symbol = "m",
     .dimension = IMP_MASS,
     .unit = "kg",
     .low = 0.0,
     .high = 1e7,
     .help = "of material bought for it"},
    {.name = "unit_price",
     .symbol = "p",
     .dimension = IMP_MONEY_PER_MASS,
     .unit = "money/kg",
     .low = 0.0,
     .high = 1e9,
     .help = "of the material, with its currency"},
    {.name = "labour_time",
     .symbol = "t",
     .dimension = IMP_TIME,
     .unit = "h",
     .low = 0.0,
     .high = IMP_DAY(36525.0),
     .help = "from start to end"},
    {.name = "labour_rate",
     .symbol = "w",
     .dimension = IMP_MONEY_PER_TIME,
     .unit = "money/h",
     .low = 0.0,
     .high = 1e9,
     .help = "of one person, with its currency"},
    {.name = "crew",
     .symbol = "n",
     .dimension = IMP_PURE,
     .unit = "1",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 1000.0,
     .fallback = 1.0,
     .help = "persons; half a person is one who is there half the time"},
    {.name = "energy_cost",
     .symbol = "E",
     .dimension = IMP_MONEY,
     .unit = "money",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 1e15,
     .fallback = 0.0,
     .help = "as electrical.running_cost gives it"},
};
static const imp_param cost_out[] = {
    {.name = "cost", .symbol = "C", .dimension = IMP_MONEY, .unit = "money", .trend = "0++++++", .help = "of the job"},
    {.name = "cost_per_area",
     .symbol = "c",
     .dimension = IMP_MONEY_PER_AREA,
     .unit = "money/m^2",
     .trend = "-++++++",
     .help = "cost over area"},
};

imp_status imp_yield_cost(const imp_yield_job *job, double *cost, double *cost_per_area, imp_error *error)
{
    const double values[] = {job->area,        job->mass, job->unit_price, job->labour_time,
                             job->labour_rate, job->crew, job->energy_cost};
    const imp_status status = imp_check_rows(cost_in, values, 7, error);
    if (status != IMP_OK)
        return status;
    const double total =
        job->mass * job->unit_price + job->labour_time * job->labour_rate * job->crew + job->energy_cost;
    *cost = total;
    *cost_per_area = total / job->area;
    return IMP_OK;
}

static imp_status cost_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_yield_job job = {in[0].number, in[1].number, in[2].number, in[3].number,
                               in[4].number, in[5].number, in[6].number};
    return imp_yield_cost(&job, &call->out[0].number, &call->out[1].number, call->error);
}

const imp_calc imp_yield_calcs[] = {
    IMP_CALC(foam, "yield.foam", "Foam for an area", "m = A k d rho/(1 - x), V = A k d",
             "arithmetic; board foot = 144 in^3", "density in place, not of the core; the loss is an estimate"),
    IMP_CALC(area_from_material, "yield.area_from_material", "Area that a mass of material covers",
             "A = m (1 - x)/(rho d k)", "arithmetic, inverse of yield.foam", "as yield.foam"),
    IMP_CALC(split, "yield.split", "Iso and resin in a mass of mixture",
             "m_iso = m r/(1 + r), m_resin = m/(1 + r), V = m/rho", "arithmetic", "densities at one temperature"),
    IMP_CALC(sets, "yield.sets", "Sets of drums", "n = ceil(max(V_iso, V_resin)/(V_drum f))", "arithmetic",
             "drums of one size; what is left counts usable volume only"),
    IMP_CALC(lifts, "yield.lifts", "Lifts for a thickness", "n = ceil(d/d_max), d_lift = d/n", "arithmetic",
             "limits of the lift are the supplier's; thick lifts can overheat and burn"),
    IMP_CALC(spray_time, "yield.spray_time", "Time to spray a mass", "t = m/q, T = t/f", "arithmetic", "steady flow"),
    IMP_CALC(imp_yield_wet_film, "yield.wet_film", "Wet film for a dry film", "w = t (1 + a)/v",
             "arithmetic; solids by volume as in ISO 3233", "film that shrinks in thickness only"),
    IMP_CALC(imp_yield_coating, "yield.coating", "Coating for an area", "V = A (t/v + D)/(1 - x)",
             "arithmetic; solids by volume as in ISO 3233", "the loss is an estimate; the profile is the blaster's"),
    IMP_CALC(imp_yield_thermal_resistance, "yield.thermal_resistance", "Thermal resistance of a layer", "R = d/lambda",
             "ISO 6946:2017, 6.7.1", "homogeneous layer"),
    IMP_CALC(imp_yield_thickness_for_u, "yield.thickness_for_u", "Thickness for a U value",
             "d = lambda (1/U - R - Rsi - Rse)", "ISO 6946:2017, 6.5 and 6.7",
             "homogeneous layers, no thermal bridges"),
    IMP_CALC(cost, "yield.cost", "Cost of a job", "C = m p + t w n + E", "arithmetic", "one currency"),
    IMP_CALC_END,
};
