#include "mix.h"

#include <math.h>

#include "check_rows.h"
#include "rooms.h"

#define ISO_DENSITY_ROW                                                                                                \
    {                                                                                                                  \
        .name = "iso_density", .symbol = "rho_i", .dimension = IMP_DENSITY, .unit = "kg/m^3", .low = 300.0,            \
        .high = 3000.0, .help = "density of the iso where its volume is taken"                                         \
    }
#define RESIN_DENSITY_ROW                                                                                              \
    {                                                                                                                  \
        .name = "resin_density", .symbol = "rho_r", .dimension = IMP_DENSITY, .unit = "kg/m^3", .low = 300.0,          \
        .high = 3000.0, .help = "density of the resin where its volume is taken"                                       \
    }
#define NCO_ROW                                                                                                        \
    {                                                                                                                  \
        .name = "nco_content", .symbol = "nco", .dimension = IMP_PURE, .unit = "%", .low = 0.0, .high = 0.6,           \
        .ends = IMP_OPEN_LOW, .help = "mass of NCO groups per mass of iso"                                             \
    }
#define HYDROXYL_ROW                                                                                                   \
    {                                                                                                                  \
        .name = "hydroxyl_number", .symbol = "oh", .dimension = IMP_PURE, .unit = "mgKOH/g", .low = 0.0, .high = 2.0,  \
        .ends = IMP_OPEN_LOW, .help = "hydroxyl number of the resin without its water; amine number is counted alike"  \
    }
#define WATER_ROW                                                                                                      \
    {                                                                                                                  \
        .name = "water_content", .symbol = "w", .dimension = IMP_PURE, .unit = "%", .presence = IMP_DEFAULT,           \
        .fallback = 0.0, .low = 0.0, .high = 0.2, .help = "mass of water per mass of resin"                            \
    }

enum { LEAST_RATIO_INVERSE = 100, MOST_RATIO = 100 };
#define RATIO_RANGE .low = 1.0 / LEAST_RATIO_INVERSE, .high = MOST_RATIO

/* mix.mass_ratio */
static const imp_param mass_ratio_in[] = {
    {.name = "volume_ratio",
     .symbol = "r_v",
     .dimension = IMP_PURE,
     .unit = "1",
     RATIO_RANGE,
     .help = "volume of iso per volume of resin"},
    ISO_DENSITY_ROW,
    RESIN_DENSITY_ROW,
};
static const imp_param mass_ratio_out[] = {
    {.name = "mass_ratio",
     .symbol = "r_m",
     .dimension = IMP_PURE,
     .unit = "1",
     .trend = "++-",
     .help = "mass of iso per mass of resin"},
};

imp_status imp_mix_mass_ratio(double volume_ratio, double iso_density, double resin_density, double *mass_ratio,
                              imp_error *error)
{
    const double values[] = {volume_ratio, iso_density, resin_density};
    const imp_status status = imp_check_rows(mass_ratio_in, values, 3, error);
    if (status == IMP_OK)
        *mass_ratio = volume_ratio * iso_density / resin_density;
    return status;
}

static imp_status mass_ratio_evaluate(const imp_call *call)
{
    return imp_mix_mass_ratio(call->in[0].number, call->in[1].number, call->in[2].number, &call->out[0].number,
                              call->error);
}

/* mix.volume_ratio */
static const imp_param volume_ratio_in[] = {
    {.name = "mass_ratio",
     .symbol = "r_m",
     .dimension = IMP_PURE,
     .unit = "1",
     RATIO_RANGE,
     .help = "mass of iso per mass of resin"},
    ISO_DENSITY_ROW,
    RESIN_DENSITY_ROW,
};
static const imp_param volume_ratio_out[] = {
    {.name = "volume_ratio",
     .symbol = "r_v",
     .dimension = IMP_PURE,
     .unit = "1",
     .trend = "+-+",
     .help = "volume of iso per volume of resin"},
};

imp_status imp_mix_volume_ratio(double mass_ratio, double iso_density, double resin_density, double *volume_ratio,
                                imp_error *error)
{
    const double values[] = {mass_ratio, iso_density, resin_density};
    const imp_status status = imp_check_rows(volume_ratio_in, values, 3, error);
    if (status == IMP_OK)
        *volume_ratio = mass_ratio * resin_density / iso_density;
    return status;
}

static imp_status volume_ratio_evaluate(const imp_call *call)
{
    return imp_mix_volume_ratio(call->in[0].number, call->in[1].number, call->in[2].number, &call->out[0].number,
                                call->error);
}

/* mix.index and mix.ratio_for_index: kg per mole, or per equivalent */
static const double nco_mass = 0.04202, koh_mass = 0.0561, water_equivalent_mass = 0.009008;

/* NCO equivalents of 1 kg of iso over active hydrogen equivalents of 1 kg of resin. */
static double equivalents_ratio(const imp_mix_chemistry *chemistry)
{
    const double nco = chemistry->nco_content / nco_mass;
    const double hydrogen = chemistry->hydroxyl_number / koh_mass + chemistry->water_content / water_equivalent_mass;
    return nco / hydrogen;
}

static const imp_param index_in[] = {
    {.name = "iso_mass",
     .symbol = "m_i",
     .dimension = IMP_MASS,
     .unit = "kg",
     .low = 0.0,
     .high = 1e6,
     .ends = IMP_OPEN_LOW,
     .help = "mass of iso"},
    NCO_ROW,
    {.name = "resin_mass",
     .symbol = "m_r",
     .dimension = IMP_MASS,
     .unit = "kg",
     .low = 0.0,
     .high = 1e6,
     .ends = IMP_OPEN_LOW,
     .help = "mass of resin"},
    HYDROXYL_ROW,
    WATER_ROW,
};
static const imp_param index_out[] = {
    {.name = "index",
     .symbol = "I",
     .dimension = IMP_PURE,
     .unit = "1",
     .trend = "++---",
     .help = "isocyanate index; 100 at equivalence"},
};

imp_status imp_mix_index(double iso_mass, double resin_mass, const imp_mix_chemistry *chemistry, double *index,
                         imp_error *error)
{
    const double values[] = {iso_mass, chemistry->nco_content, resin_mass, chemistry->hydroxyl_number,
                             chemistry->water_content};
    const imp_status status = imp_check_rows(index_in, values, 5, error);
    if (status == IMP_OK)
        *index = 100.0 * iso_mass / resin_mass * equivalents_ratio(chemistry);
    return status;
}

static imp_status index_evaluate(const imp_call *call)
{
    const imp_mix_chemistry chemistry = {call->in[1].number, call->in[3].number, call->in[4].number};
    return imp_mix_index(call->in[0].number, call->in[2].number, &chemistry, &call->out[0].number, call->error);
}

static const imp_param ratio_for_index_in[] = {
    {.name = "index",
     .symbol = "I",
     .dimension = IMP_PURE,
     .unit = "1",
     .low = 1.0,
     .high = 1000.0,
     .help = "isocyanate index wanted; 100 at equivalence"},
    NCO_ROW,
    HYDROXYL_ROW,
    WATER_ROW,
};
static const imp_param ratio_for_index_out[] = {
    {.name = "mass_ratio",
     .symbol = "r_m",
     .dimension = IMP_PURE,
     .unit = "1",
     .trend = "+-++",
     .help = "mass of iso per mass of resin"},
};

imp_status imp_mix_ratio_for_index(double index, const imp_mix_chemistry *chemistry, double *mass_ratio,
                                   imp_error *error)
{
    const double values[] = {index, chemistry->nco_content, chemistry->hydroxyl_number, chemistry->water_content};
    const imp_status status = imp_check_rows(ratio_for_index_in, values, 4, error);
    if (status == IMP_OK)
        *mass_ratio = index / 100.0 / equivalents_ratio(chemistry);
    return status;
}

static imp_status ratio_for_index_evaluate(const imp_call *call)
{
    const imp_mix_chemistry chemistry = {call->in[1].number, call->in[2].number, call->in[3].number};
    return imp_mix_ratio_for_index(call->in[0].number, &chemistry, &call->out[0].number, call->error);
}

/* mix.deviation */
static const imp_param deviation_in[] = {
    {.name = "measured_ratio",
     .symbol = "r",
     .dimension = IMP_PURE,
     .unit = "1",
     RATIO_RANGE,
     .help = "ratio measured"},
    {.name = "nominal_ratio",
     .symbol = "r0",
     .dimension = IMP_PURE,
     .unit = "1",
     RATIO_RANGE,
     .help = "ratio that the material calls for"},
};
static const imp_param deviation_out[] = {
    {.name = "deviation",
     .symbol = "dr",
     .dimension = IMP_PURE,
     .unit = "%",
     .trend = "+-",
     .digits = 3,
     .help = "positive when there is too much iso"},
};

imp_status imp_mix_deviation(double measured_ratio, double nominal_ratio, double *deviation, imp_error *error)
{
    const double values[] = {measured_ratio, nominal_ratio};
    const imp_status status = imp_check_rows(deviation_in, values, 2, error);
    if (status == IMP_OK)
        *deviation = (measured_ratio - nominal_ratio) / nominal_ratio;
    return status;
}

static imp_status deviation_evaluate(const imp_call *call)
{
    return imp_mix_deviation(call->in[0].number, call->in[1].number, &call->out[0].number, call->error);
}

/* mix.dip_ratio */
#define DIAMETER_RANGE                                                                                                 \
    .dimension = IMP_LENGTH, .unit = "mm", .low = IMP_MILLIMETRE(10.0), .high = IMP_MILLIMETRE(5000.0)
#define DROP_RANGE                                                                                                     \
    .dimension = IMP_LENGTH, .unit = "mm", .low = 0.0, .high = IMP_MILLIMETRE(10000.0), .ends = IMP_OPEN_LOW
static const imp_param dip_ratio_in[] = {
    {.name = "iso_diameter", .symbol = "d_i", DIAMETER_RANGE, .help = "inner diameter of the iso drum"},
    {.name = "iso_drop", .symbol = "h_i", DROP_RANGE, .help = "fall of the iso level between two readings"},
    {.name = "resin_diameter", .symbol = "d_r", DIAMETER_RANGE, .help = "inner diameter of the resin drum"},
    {.name = "resin_drop", .symbol = "h_r", DROP_RANGE, .help = "fall of the resin level between two readings"},
    {.name = "reading_uncertainty",
     .symbol = "u",
     .dimension = IMP_LENGTH,
     .unit = "mm",
     .presence = IMP_DEFAULT,
     .fallback = IMP_MILLIMETRE(1.0),
     .low = 0.0,
     .high = IMP_MILLIMETRE(100.0),
     .help = "standard uncertainty of one reading of a level"},
};
static const imp_param dip_ratio_out[] = {
    {.name = "volume_ratio",
     .symbol = "r_v",
     .dimension = IMP_PURE,
     .unit = "1",
     .trend = "++--0",
     .help = "volume of iso per volume of resin"},
    {.name = "standard_uncertainty",
     .symbol = "u_r",
     .dimension = IMP_PURE,
     .unit = "1",
     .trend = "++--+",
     .digits = 2,
     .help = "standard uncertainty of the volume ratio"},
};

imp_status imp_mix_dip_ratio(const imp_mix_drum *iso, const imp_mix_drum *resin, double reading_uncertainty,
                             double *volume_ratio, double *standard_uncertainty, imp_error *error)
{
    const double values[] = {iso->diameter, iso->drop, resin->diameter, resin->drop, reading_uncertainty};
    const imp_status status = imp_check_rows(dip_ratio_in, values, 5, error);
    if (status != IMP_OK)
        return status;
    const double areas = iso->diameter * iso->diameter / (resin->diameter * resin->diameter);
    const double drop_uncertainty = sqrt(2.0) * reading_uncertainty; /* a drop is the difference of two readings */
    /* sensitivities: areas / resin drop to the iso drop, -areas iso drop / resin drop^2 to the resin drop */
    *volume_ratio = areas * iso->drop / resin->drop;
    *standard_uncertainty = areas * drop_uncertainty / resin->drop * hypot(1.0, iso->drop / resin->drop);
    return IMP_OK;
}

static imp_status dip_ratio_evaluate(const imp_call *call)
{
    const imp_mix_drum iso = {call->in[0].number, call->in[1].number};
    const imp_mix_drum resin = {call->in[2].number, call->in[3].number};
    return imp_mix_dip_ratio(&iso, &resin, call->in[4].number, &call->out[0].number, &call->out[1].number, call->error);
}

/* mix.counter_ratio */
#define CYCLES_RANGE .dimension = IMP_PURE, .unit = "1", .low = 0.0, .high = 1e9, .ends = IMP_OPEN_LOW
#define DISPLACEMENT_RANGE                                                                                             \
    .dimension = IMP_VOLUME, .unit = "cm^3", .low = 0.0, .high = IMP_CUBIC_CENTIMETRE(1e5), .ends = IMP_OPEN_LOW
static const imp_param counter_ratio_in[] = {
    {.name = "iso_cycles", .symbol = "n_i", CYCLES_RANGE, .help = "cycles of the iso pump"},
    {.name = "iso_displacement", .symbol = "V_i", DISPLACEMENT_RANGE, .help = "volume of iso per cycle"},
    {.name = "resin_cycles", .symbol = "n_r", CYCLES_RANGE, .help = "cycles of the resin pump"},
    {.name = "resin_displacement", .symbol = "V_r", DISPLACEMENT_RANGE, .help = "volume of resin per cycle"},
};
static const imp_param counter_ratio_out[] = {
    {.name = "volume_ratio",
     .symbol = "r_v",
     .dimension = IMP_PURE,
     .unit = "1",
     .trend = "++--",
     .help = "volume of iso per volume of resin"},
};

imp_status imp_mix_counter_ratio(double iso_cycles, double iso_displacement, double resin_cycles,
                                 double resin_displacement, double *volume_ratio, imp_error *error)
{
    const double values[] = {iso_cycles, iso_displacement, resin_cycles, resin_displacement};
    const imp_status status = imp_check_rows(counter_ratio_in, values, 4, error);
    if (status == IMP_OK)
        *volume_ratio = iso_cycles * iso_displacement / (resin_cycles * resin_displacement);
    return status;
}

static imp_status counter_ratio_evaluate(const imp_call *call)
{
    return imp_mix_counter_ratio(call->in[0].number, call->in[1].number, call->in[2].number, call->in[3].number,
                                 &call->out[0].number, call->error);
}

#define EQUIVALENTS                                                                                                    \
    "equivalent weights as in the Polyurethane Manufacturers Association technical library, section 5 "                \
    "(42.02 g/mol NCO, 56.1 g/mol KOH); water 18.016 g/mol counted twice"

const imp_calc imp_mix_calcs[] = {
    IMP_CALC(mass_ratio, "mix.mass_ratio", "Mass ratio from volume ratio", "r_m = r_v rho_i/rho_r",
             "definition of density", "both densities at the temperatures at which the volumes are taken"),
    IMP_CALC(volume_ratio, "mix.volume_ratio", "Volume ratio from mass ratio", "r_v = r_m rho_r/rho_i",
             "definition of density", "both densities at the temperatures at which the volumes are taken"),
    IMP_CALC(index, "mix.index", "Isocyanate index of a mix",
             "I = 100 (m_i nco/0.04202)/(m_r (oh/0.0561 + w/0.009008))", EQUIVALENTS,
             "index on the 100 scale; the hydroxyl number is that of the resin without its water"),
    IMP_CALC(ratio_for_index, "mix.ratio_for_index", "Mass ratio for an index",
             "r_m = I/100 (oh/0.0561 + w/0.009008)/(nco/0.04202)", EQUIVALENTS,
             "index on the 100 scale; the hydroxyl number is that of the resin without its water"),
    IMP_CALC(deviation, "mix.deviation", "Deviation of a ratio", "dr = (r - r0)/r0", "definition",
             "what deviation is allowed stands in the material's data"),
    IMP_CALC(dip_ratio, "mix.dip_ratio", "Volume ratio from drum levels",
             "r_v = d_i^2 h_i/(d_r^2 h_r), u_r = r_v 2^0.5 u (1/h_i^2 + 1/h_r^2)^0.5",
             "JCGM 100:2008 (GUM), 5.1.2, uncorrelated inputs",
             "round drums with straight walls, diameters taken as exact; linear, so drops well above the uncertainty"),
    IMP_CALC(counter_ratio, "mix.counter_ratio", "Volume ratio from cycle counts", "r_v = n_i V_i/(n_r V_r)",
             "definition of displacement", "both pumps filling wholly, without slip"),
    IMP_CALC_END,
};
