#include "climate.h"

#include <math.h>

#include "check_rows.h"
#include "rooms.h"
#include "solve.h"

/* Rows that several entries share: no limit is typed twice. */
#define AIR_TEMPERATURE_ROW                                                                                            \
    {                                                                                                                  \
        .name = "air_temperature", .symbol = "t", .dimension = IMP_TEMPERATURE, .unit = "degC",                        \
        .low = IMP_CELSIUS(-60.0), .high = IMP_CELSIUS(80.0), .help = "dry-bulb temperature of the air"                \
    }
#define DAMP_AIR_ROW                                                                                                   \
    {                                                                                                                  \
        .name = "relative_humidity", .symbol = "phi", .dimension = IMP_PURE, .unit = "%", .low = 0.001, .high = 1.0,   \
        .help = "relative humidity of the air; quite dry air has no dew point"                                         \
    }
#define ANY_AIR_ROW                                                                                                    \
    {                                                                                                                  \
        .name = "relative_humidity", .symbol = "phi", .dimension = IMP_PURE, .unit = "%", .low = 0.0, .high = 1.0,     \
        .help = "relative humidity of the air"                                                                         \
    }
#define PRESSURE_ROW                                                                                                   \
    {                                                                                                                  \
        .name = "pressure", .symbol = "p", .dimension = IMP_PRESSURE, .unit = "kPa", .presence = IMP_DEFAULT,          \
        .fallback = IMP_STANDARD_PRESSURE, .low = IMP_KILOPASCAL(50.0), .high = IMP_KILOPASCAL(200.0),                 \
        .help = "absolute air pressure; see climate.pressure_at_altitude"                                              \
    }
static const char *const over_choices[] = {"branch", "water", NULL};
#define OVER_ROW                                                                                                       \
    {                                                                                                                  \
        .name = "humidity_over", .kind = IMP_CHOICE, .presence = IMP_DEFAULT, .fallback = IMP_OVER_BRANCH,             \
        .choices = over_choices,                                                                                       \
        .help = "what the humidity is relative to: branch = over ice below 0.01 degC, water = always over water, as "  \
                "sensors report"                                                                                       \
    }

static imp_humidity_over over_of(const imp_value *value)
{
    return value->number > 0.5 ? IMP_OVER_WATER : IMP_OVER_BRANCH;
}

static double vapour_pressure(double air_temperature, double relative_humidity, imp_humidity_over over)
{
    return relative_humidity * imp_humidity_saturation(air_temperature, over);
}

/* The step that most entries share, for the sheet. */
static void record_vapour_pressure(const imp_call *call, const imp_value *over)
{
    if (call->sheet != NULL)
        imp_sheet_step(call->sheet, "pw", "vapour pressure of the air", "pw = phi pws(t)",
                       vapour_pressure(call->in[0].number, call->in[1].number, over_of(over)), "Pa");
}

/* climate.saturation_pressure */
static const imp_param saturation_pressure_in[] = {
    {.name = "temperature",
     .symbol = "t",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .low = IMP_CELSIUS(-100.0),
     .high = IMP_CELSIUS(200.0),
     .help = "temperature of water or ice and its vapour"},
};
static const imp_param saturation_pressure_out[] = {
    {.name = "pressure",
     .symbol = "pws",
     .dimension = IMP_PRESSURE,
     .unit = "Pa",
     .trend = "+",
     .digits = 6,
     .help = "saturation pressure of water vapour"},
};

imp_status imp_climate_saturation_pressure(double temperature, double *pressure, imp_error *error)
{
    const imp_status status = imp_check(&saturation_pressure_in[0], temperature, error);
    if (status == IMP_OK)
        *pressure = imp_humidity_saturation(temperature, IMP_OVER_BRANCH);
    return status;
}

static imp_status saturation_pressure_evaluate(const imp_call *call)
{
    return imp_climate_saturation_pressure(call->in[0].number, &call->out[0].number, call->error);
}

/* climate.dew_point */
static const imp_param dew_point_in[] = {AIR_TEMPERATURE_ROW, DAMP_AIR_ROW, OVER_ROW};
static const imp_param dew_point_out[] = {
    {.name = "dew_point",
     .symbol = "td",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .trend = "++?",
     .help = "dew point; frost point below 0.01 degC"},
};

imp_status imp_climate_dew_point(double air_temperature, double relative_humidity, imp_humidity_over over,
                                 double *dew_point, imp_error *error)
{
    const double values[] = {air_temperature, relative_humidity};
    const imp_status status = imp_check_rows(dew_point_in, values, 2, error);
    if (status == IMP_OK)
        *dew_point =
            imp_humidity_dew_point_of_log(log(relative_humidity) + imp_humidity_log_saturation(air_temperature, over));
    return status;
}

static imp_status dew_point_evaluate(const imp_call *call)
{
    record_vapour_pressure(call, &call->in[2]);
    return imp_climate_dew_point(call->in[0].number, call->in[1].number, over_of(&call->in[2]), &call->out[0].number,
                                 call->error);
}

/* climate.wet_bulb */
static const imp_param wet_bulb_in[] = {AIR_TEMPERATURE_ROW, ANY_AIR_ROW, PRESSURE_ROW, OVER_ROW};
static const imp_param wet_bulb_out[] = {
    {.name = "wet_bulb",
     .symbol = "tw",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .trend = "++??",
     .help = "thermodynamic wet-bulb temperature; of an iced bulb below 0.01 degC"},
};

typedef struct wet_bulb_air {
    double celsius, pressure, humidity_ratio;
} wet_bulb_air;

/* The humidity ratio at which a bulb of this temperature is in balance, less the air's. */
static double wet_excess(double bulb, void *context)
{
    const wet_bulb_air *air = context;
    const double t = air->celsius, tw = bulb - 273.15;
    const double saturated = imp_humidity_ratio(imp_humidity_saturation(bulb, IMP_OVER_WATER), air->pressure);
    return ((2501.0 - 2.326 * tw) * saturated - 1.006 * (t - tw)) / (2501.0 + 1.86 * t - 4.186 * tw) -
           air->humidity_ratio;
}

static double iced_excess(double bulb, void *context)
{
    const wet_bulb_air *air = context;
    const double t = air->celsius, tw = bulb - 273.15;
    const double saturated = imp_humidity_ratio(imp_humidity_saturation(bulb, IMP_OVER_BRANCH), air->pressure);
    return ((2830.0 - 0.24 * tw) * saturated - 1.006 * (t - tw)) / (2830.0 + 1.86 * t - 2.1 * tw) - air->humidity_ratio;
}

enum { BULB_LOWEST = 173, BULB_ABOVE_AIR = 10 }; /* K: below any bulb's; more than supersaturation can lift one */

imp_status imp_climate_wet_bulb(double air_temperature, double relative_humidity, double pressure,
                                imp_humidity_over over, double *wet_bulb, imp_error *error)
{
    const double values[] = {air_temperature, relative_humidity, pressure};
    imp_status status = imp_check_rows(wet_bulb_in, values, 3, error);
    if (status != IMP_OK)
        return status;

    const double vapour = vapour_pressure(air_temperature, relative_humidity, over);
    wet_bulb_air air = {air_temperature - 273.15, pressure, imp_humidity_ratio(vapour, pressure)};
    const double accuracy = 1e-12;
    double bulb = IMP_TRIPLE_POINT;
    if (air_temperature > IMP_TRIPLE_POINT && wet_excess(IMP_TRIPLE_POINT, &air) <= 0.0) {
        if (wet_excess(air_temperature, &air) <= 0.0)
            bulb = air_temperature; /* saturated */
        else
            status = imp_solve_bracketed(wet_excess, &air, IMP_TRIPLE_POINT, air_temperature, accuracy, &bulb, error);
    } else {
        const double highest = fmin(air_temperature + BULB_ABOVE_AIR, IMP_TRIPLE_POINT);
        if (iced_excess(highest, &air) > 0.0) /* else saturated at the triple point itself */
            status = imp_solve_bracketed(iced_excess, &air, BULB_LOWEST, highest, accuracy, &bulb, error);
    }
    if (status == IMP_OK)
        *wet_bulb = bulb;
    return status;
}

static imp_status wet_bulb_evaluate(const imp_call *call)
{
    record_vapour_pressure(call, &call->in[3]);
    return imp_climate_wet_bulb(call->in[0].number, call->in[1].number, call->in[2].number, over_of(&call->in[3]),
                                &call->out[0].number, call->error);
}

/* climate.humidity_ratio */
static const imp_param humidity_ratio_in[] = {AIR_TEMPERATURE_ROW, ANY_AIR_ROW, PRESSURE_ROW, OVER_ROW};
static const imp_param humidity_ratio_out[] = {
    {.name = "humidity_ratio",
     .symbol = "W",
     .dimension = IMP_PURE,
     .unit = "kg/kg",
     .trend = "++-?",
     .help = "mass of water vapour per mass of dry air"},
};

imp_status imp_climate_humidity_ratio(double air_temperature, double relative_humidity, double pressure,
                                      imp_humidity_over over, double *humidity_ratio, imp_error *error)
{
    const double values[] = {air_temperature, relative_humidity, pressure};
    const imp_status status = imp_check_rows(humidity_ratio_in, values, 3, error);
    if (status == IMP_OK)
        *humidity_ratio = imp_humidity_ratio(vapour_pressure(air_temperature, relative_humidity, over), pressure);
    return status;
}

static imp_status humidity_ratio_evaluate(const imp_call *call)
{
    record_vapour_pressure(call, &call->in[3]);
    return imp_climate_humidity_ratio(call->in[0].number, call->in[1].number, call->in[2].number, over_of(&call->in[3]),
                                      &call->out[0].number, call->error);
}

/* climate.moist_air_density */
static const imp_param moist_air_density_in[] = {AIR_TEMPERATURE_ROW, ANY_AIR_ROW, PRESSURE_ROW, OVER_ROW};
static const imp_param moist_air_density_out[] = {
    {.name = "density",
     .symbol = "rho",
     .dimension = IMP_DENSITY,
     .unit = "kg/m^3",
     .trend = "--+?",
     .help = "mass of moist air per volume"},
};

imp_status imp_climate_moist_air_density(double air_temperature, double relative_humidity, double pressure,
                                         imp_humidity_over over, double *density, imp_error *error)
{
    double ratio;
    const imp_status status =
        imp_climate_humidity_ratio(air_temperature, relative_humidity, pressure, over, &ratio, error);
    if (status != IMP_OK)
        return status;
    const double dry_air = 287.042; /* gas constant [J/(kg K)], as in eq. 26 */
    const double volume = dry_air * air_temperature * (1.0 + 1.607858 * ratio) / pressure; /* per kg of dry air */
    *density = (1.0 + ratio) / volume;
    return IMP_OK;
}

static imp_status moist_air_density_evaluate(const imp_call *call)
{
    double ratio;
    record_vapour_pressure(call, &call->in[3]);
    if (call->sheet != NULL && imp_climate_humidity_ratio(call->in[0].number, call->in[1].number, call->in[2].number,
                                                          over_of(&call->in[3]), &ratio, NULL) == IMP_OK)
        imp_sheet_step(call->sheet, "W", "humidity ratio", "W = 0.621945 pw/(p - pw)", ratio, "kg/kg");
    return imp_climate_moist_air_density(call->in[0].number, call->in[1].number, call->in[2].number,
                                         over_of(&call->in[3]), &call->out[0].number, call->error);
}

/* climate.surface_condition */
static const imp_param surface_condition_in[] = {
    AIR_TEMPERATURE_ROW,
    DAMP_AIR_ROW,
    {.name = "surface_temperature",
     .symbol = "ts",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .low = IMP_CELSIUS(-60.0),
     .high = IMP_CELSIUS(120.0),
     .help = "temperature of the surface to be sprayed"},
    OVER_ROW,
};
static const imp_param surface_condition_out[] = {
    {.name = "dew_point",
     .symbol = "td",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .trend = "++0?",
     .help = "dew point; frost point below 0.01 degC"},
    {.name = "spread",
     .symbol = "ds",
     .dimension = IMP_TEMPERATURE_DIFFERENCE,
     .unit = "K",
     .trend = "--+?",
     .digits = 3,
     .help = "surface temperature less dew point; ISO 8502-4 guides to at least 3 K"},
    {.name = "surface_humidity",
     .symbol = "phis",
     .dimension = IMP_PURE,
     .unit = "%",
     .trend = "++-?",
     .help = "humidity of the air where it touches the surface; above 100 % water or frost falls out"},
};

imp_status imp_climate_surface_condition(double air_temperature, double relative_humidity, double surface_temperature,
                                         imp_humidity_over over, imp_climate_surface *condition, imp_error *error)
{
    const double values[] = {air_temperature, relative_humidity, surface_temperature};
    const imp_status status = imp_check_rows(surface_condition_in, values, 3, error);
    if (status != IMP_OK)
        return status;
    const double log_vapour = log(relative_humidity) + imp_humidity_log_saturation(air_temperature, over);
    condition->dew_point = imp_humidity_dew_point_of_log(log_vapour);
    condition->spread = surface_temperature - condition->dew_point;
    condition->humidity = exp(log_vapour - imp_humidity_log_saturation(surface_temperature, IMP_OVER_BRANCH));
    return IMP_OK;
}

static imp_status surface_condition_evaluate(const imp_call *call)
{
    imp_climate_surface condition;
    record_vapour_pressure(call, &call->in[3]);
    const imp_status status = imp_climate_surface_condition(call->in[0].number, call->in[1].number, call->in[2].number,
                                                            over_of(&call->in[3]), &condition, call->error);
    if (status != IMP_OK)
        return status;
    call->out[0].number = condition.dew_point;
    call->out[1].number = condition.spread;
    call->out[2].number = condition.humidity;
    return IMP_OK;
}

/* climate.pressure_at_altitude */
static const imp_param pressure_at_altitude_in[] = {
    {.name = "altitude",
     .symbol = "H",
     .dimension = IMP_LENGTH,
     .unit = "m",
     .low = -2000.0,
     .high = 11000.0,
     .help = "geopotential altitude above mean sea level"},
};
static const imp_param pressure_at_altitude_out[] = {
    {.name = "pressure",
     .symbol = "p",
     .dimension = IMP_PRESSURE,
     .unit = "kPa",
     .trend = "-",
     .digits = 5,
     .help = "absolute pressure of the standard atmosphere"},
};

imp_status imp_climate_pressure_at_altitude(double altitude, double *pressure, imp_error *error)
{
    const imp_status status = imp_check(&pressure_at_altitude_in[0], altitude, error);
    if (status != IMP_OK)
        return status;
    const double sea_level = 288.15, lapse = 0.0065, gravity = 9.80665, dry_air = 287.05287; /* ISO 2533 */
    *pressure = IMP_STANDARD_PRESSURE * pow(1.0 - lapse * altitude / sea_level, gravity / (lapse * dry_air));
    return IMP_OK;
}

static imp_status pressure_at_altitude_evaluate(const imp_call *call)
{
    return imp_climate_pressure_at_altitude(call->in[0].number, &call->out[0].number, call->error);
}

/* climate.wood_moisture */
static const imp_param wood_moisture_in[] = {
    {.name = "air_temperature",
     .symbol = "t",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .low = IMP_CELSIUS(-20.0),
     .high = IMP_CELSIUS(80.0),
     .help = "temperature of the air around the wood"},
    ANY_AIR_ROW,
    OVER_ROW,
};
static const imp_param wood_moisture_out[] = {
    {.name = "moisture_content",
     .symbol = "M",
     .dimension = IMP_PURE,
     .unit = "%",
     .low = 0.0,
     .high = 1.0,
     .trend = "?+?",
     .digits = 3,
     .help = "mass of water per mass of dry wood, after long enough in this air"},
};

imp_status imp_climate_wood_moisture(double air_temperature, double relative_humidity, imp_humidity_over over,
                                     double *moisture_content, imp_error *error)
{
    const double values[] = {air_temperature, relative_humidity};
    const imp_status status = imp_check_rows(wood_moisture_in, values, 2, error);
    if (status != IMP_OK)
        return status;
    const double t = air_temperature - 273.15;
    const double h = relative_humidity * exp(imp_humidity_log_saturation(air_temperature, over) -
                                             imp_humidity_log_saturation(air_temperature, IMP_OVER_WATER));
    const double molar = 349.0 + t * (1.29 + t * 0.0135);
    const double k = 0.805 + t * (0.000736 - t * 0.00000273);
    const double k1 = 6.27 - t * (0.00938 + t * 0.000303);
    const double k2 = 1.91 + t * (0.0407 - t * 0.000293);
    const double kh = k * h, bound = k1 * kh, twice = k1 * k2 * kh * kh;
    *moisture_content = 18.0 / molar * (kh / (1.0 - kh) + (bound + 2.0 * twice) / (1.0 + bound + twice));
    return IMP_OK;
}

static imp_status wood_moisture_evaluate(const imp_call *call)
{
    return imp_climate_wood_moisture(call->in[0].number, call->in[1].number, over_of(&call->in[2]),
                                     &call->out[0].number, call->error);
}

/* climate.purge_time */
static const imp_param purge_time_in[] = {
    {.name = "air_change_rate",
     .symbol = "n",
     .dimension = IMP_RATE,
     .unit = "1/h",
     .low = 0.0,
     .high = IMP_PER_HOUR(1000.0),
     .ends = IMP_OPEN_LOW,
     .help = "fresh air per hour over the volume of the space"},
    {.name = "remaining_fraction",
     .symbol = "c",
     .dimension = IMP_PURE,
     .unit = "%",
     .low = 0.0,
     .high = 1.0,
     .ends = IMP_OPEN_LOW,
     .help = "concentration at the end over that at the start"},
};
static const imp_param purge_time_out[] = {
    {.name = "time",
     .symbol = "T",
     .dimension = IMP_TIME,
     .unit = "min",
     .trend = "--",
     .help = "time of ventilation; not a re-entry time, which the supplier states"},
};

imp_status imp_climate_purge_time(double air_change_rate, double remaining_fraction, double *time, imp_error *error)
{
    const double values[] = {air_change_rate, remaining_fraction};
    const imp_status status = imp_check_rows(purge_time_in, values, 2, error);
    if (status == IMP_OK)
        *time = fabs(log(remaining_fraction)) / air_change_rate;
    return status;
}

static imp_status purge_time_evaluate(const imp_call *call)
{
    return imp_climate_purge_time(call->in[0].number, call->in[1].number, &call->out[0].number, call->error);
}

#define HUMIDITY_NOTE "; no enhancement factor"
#define ASHRAE "ASHRAE Handbook Fundamentals (SI) 2017, ch. 1, "

const imp_calc imp_climate_calcs[] = {
    IMP_CALC(saturation_pressure, "climate.saturation_pressure", "Saturation pressure of water vapour",
             "ice: ln pws = C1/t + C2 + C3 t + C4 t^2 + C5 t^3 + C6 t^4 + C7 ln t; "
             "water: ln pws = C8/t + C9 + C10 t + C11 t^2 + C12 t^3 + C13 ln t",
             ASHRAE "eq. 5 and 6 (Hyland and Wexler 1983)",
             "-100 degC to 200 degC, t in K; over ice up to 0.01 degC, over water above; pure vapour, "
             "no enhancement factor"),
    IMP_CALC(dew_point, "climate.dew_point", "Dew point of humid air", "pws(td) = phi pws(t)",
             ASHRAE "eq. 5 and 6, inverted",
             "over water above 0.01 degC, over ice below, for the humidity given (unless over water) and for the point "
             "found; the driest cold air reaches a frost point of -102 degC, 2 K below the equation's range"),
    IMP_CALC(wet_bulb, "climate.wet_bulb", "Wet-bulb temperature of humid air",
             "W = ((2501 - 2.326 tw) Ws(tw) - 1.006 (t - tw))/(2501 + 1.86 t - 4.186 tw); "
             "iced: W = ((2830 - 0.24 tw) Ws(tw) - 1.006 (t - tw))/(2830 + 1.86 t - 2.1 tw)",
             ASHRAE "eq. 33 and 35, inverted",
             "t and tw in degC; iced bulb below 0.01 degC; where a wet and an iced bulb could both stand, the wet "
             "one" HUMIDITY_NOTE),
    IMP_CALC(humidity_ratio, "climate.humidity_ratio", "Humidity ratio of air",
             "W = 0.621945 phi pws(t)/(p - phi pws(t))", ASHRAE "eq. 20", "per mass of dry air" HUMIDITY_NOTE),
    IMP_CALC(moist_air_density, "climate.moist_air_density", "Density of moist air",
             "rho = (1 + W) p/(287.042 t (1 + 1.607858 W)), W = 0.621945 phi pws(t)/(p - phi pws(t))",
             ASHRAE "eq. 11 with 26", "t in K, p in Pa; ideal gases" HUMIDITY_NOTE),
    IMP_CALC(surface_condition, "climate.surface_condition", "Condensation on a surface",
             "ds = ts - td, pws(td) = phi pws(t), phis = phi pws(t)/pws(ts)",
             "ISO 8502-4 (guidance: at least 3 K above the dew point); " ASHRAE "eq. 5 and 6",
             "a surface in still balance with the air measured beside it; guidance only: the material's own data and "
             "local rules stand above it"),
    IMP_CALC(pressure_at_altitude, "climate.pressure_at_altitude", "Air pressure at altitude",
             "p = 101325 (1 - 0.0065 H/288.15)^(9.80665/(0.0065 287.05287))", "ISO 2533:1975, standard atmosphere",
             "geopotential altitude -2000 m to 11000 m; the weather moves the pressure of a day by some 3 %"),
    IMP_CALC(
        wood_moisture, "climate.wood_moisture", "Equilibrium moisture content of wood",
        "M = 18/w (K h/(1 - K h) + (K1 K h + 2 K1 K2 K^2 h^2)/(1 + K1 K h + K1 K2 K^2 h^2)), h = phi pws(t)/pwater(t)",
        "Hailwood and Horrobin 1946; constants of USDA Wood Handbook, FPL-GTR-190 (2010), ch. 4, eq. 4-5",
        "data from -1 degC up; below it an extrapolation. Wood takes days to weeks to follow the air, and species "
        "differ by some 1 %: measure the wood itself before spraying"),
    IMP_CALC(
        purge_time, "climate.purge_time", "Ventilation time of a mixed space", "T = -ln(c)/n",
        "dilution of a well-mixed space; tabulated in CDC, MMWR 43 (RR-13), 1994, table S3-1",
        "perfect mixing, and nothing given off any more. NOT a re-entry time: re-entry is the longer of this and the "
        "supplier's time, and without a supplier's time it is not known; local rules stand above both"),
    IMP_CALC_END,
};
