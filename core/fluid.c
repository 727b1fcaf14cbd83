#include "fluid.h"

#include <math.h>

#include "check_rows.h"
#include "rooms.h"

#define OIL_VISCOSITY_RANGE                                                                                            \
    .dimension = IMP_KINEMATIC_VISCOSITY, .unit = "mm^2/s", .low = IMP_SQUARE_MILLIMETRE_PER_SECOND(2.0),              \
    .high = IMP_SQUARE_MILLIMETRE_PER_SECOND(2e7)

/* fluid.walther_viscosity */
static const imp_param walther_viscosity_in[] = {
    {.name = "temperature",
     .symbol = "T",
     IMP_FLUID_TEMPERATURE_RANGE,
     .help = "temperature at which the viscosity is wanted"},
    {.name = "temperature_1",
     .symbol = "T_1",
     IMP_FLUID_TEMPERATURE_RANGE,
     .help = "temperature of the first known viscosity"},
    {.name = "viscosity_1", .symbol = "nu_1", OIL_VISCOSITY_RANGE, .help = "kinematic viscosity at temperature_1"},
    {.name = "temperature_2",
     .symbol = "T_2",
     IMP_FLUID_TEMPERATURE_RANGE,
     .help = "temperature of the second known viscosity"},
    {.name = "viscosity_2", .symbol = "nu_2", OIL_VISCOSITY_RANGE, .help = "kinematic viscosity at temperature_2"},
};
static const imp_param walther_viscosity_out[] = {
    {.name = "kinematic_viscosity",
     .symbol = "nu",
     OIL_VISCOSITY_RANGE,
     .trend = "-????",
     .help = "kinematic viscosity at the temperature wanted"},
};

static double walther(double viscosity)
{
    return log10(log10(viscosity * 1e6 + 0.7)); /* the equation is written in mm^2/s */
}

static imp_status check_oil_points(const imp_fluid_oil_point *first, const imp_fluid_oil_point *second,
                                   imp_error *error)
{
    const double apart = second->temperature - first->temperature;
    if (fabs(apart) < 0.1)
        return imp_fail(error, IMP_NOT_APPLICABLE, "temperature_2",
                        "is within 0.1 K of temperature_1; two temperatures well apart are needed");
    if (apart * (second->viscosity - first->viscosity) <= 0.0)
        return IMP_OK;
    char nu_1[96], t_1[96], nu_2[96], t_2[96];
    imp_param_format(&walther_viscosity_in[1], first->temperature, 0, t_1, sizeof t_1);
    imp_param_format(&walther_viscosity_in[2], first->viscosity, 6, nu_1, sizeof nu_1);
    imp_param_format(&walther_viscosity_in[3], second->temperature, 0, t_2, sizeof t_2);
    imp_param_format(&walther_viscosity_in[4], second->viscosity, 6, nu_2, sizeof nu_2);
    return imp_fail(error, IMP_NOT_APPLICABLE, "viscosity_2",
                    "viscosity rises with temperature (%s at %s, %s at %s); a liquid's falls as it warms", nu_1, t_1,
                    nu_2, t_2);
}

imp_status imp_fluid_walther_viscosity(double temperature, const imp_fluid_oil_point *first,
                                       const imp_fluid_oil_point *second, double *viscosity, imp_error *error)
{
    const double values[] = {temperature, first->temperature, first->viscosity, second->temperature, second->viscosity};
    imp_status status = imp_check_rows(walther_viscosity_in, values, 5, error);
    if (status == IMP_OK)
        status = check_oil_points(first, second, error);
    if (status != IMP_OK)
        return status;

    const double log_t1 = log10(first->temperature), log_t2 = log10(second->temperature);
    const double slope = (walther(first->viscosity) - walther(second->viscosity)) / (log_t2 - log_t1);
    const double form = walther(first->viscosity) + slope * (log_t1 - log10(temperature));
    const double result = (pow(10.0, pow(10.0, form)) - 0.7) * 1e-6;
    if (imp_check(&walther_viscosity_out[0], result, NULL) != IMP_OK) {
        char low[96], high[96];
        imp_param_format(&walther_viscosity_out[0], walther_viscosity_out[0].low, 3, low, sizeof low);
        imp_param_format(&walther_viscosity_out[0], walther_viscosity_out[0].high, 3, high, sizeof high);
        return imp_fail(error, IMP_NOT_APPLICABLE, "temperature",
                        "the viscosity there would leave %s to %s, where the equation holds", low, high);
    }
    *viscosity = result;
    return IMP_OK;
}

static imp_status walther_viscosity_evaluate(const imp_call *call)
{
    const imp_fluid_oil_point first = {call->in[1].number, call->in[2].number};
    const imp_fluid_oil_point second = {call->in[3].number, call->in[4].number};
    return imp_fluid_walther_viscosity(call->in[0].number, &first, &second, &call->out[0].number, call->error);
}

/* fluid.density */
static const imp_param density_in[] = {
    {.name = "temperature",
     .symbol = "T",
     IMP_FLUID_TEMPERATURE_RANGE,
     .help = "temperature at which the density is wanted"},
    {.name = "reference_density",
     .symbol = "rho_0",
     .dimension = IMP_DENSITY,
     .unit = "kg/m^3",
     .low = 300.0,
     .high = 3000.0,
     .help = "density at the reference temperature"},
    {.name = "reference_temperature",
     .symbol = "T_0",
     IMP_FLUID_TEMPERATURE_RANGE,
     .help = "temperature at which the density was measured"},
    {.name = "expansion",
     .symbol = "beta",
     .dimension = IMP_PER_TEMPERATURE,
     .unit = "1/K",
     .low = 0.0,
     .high = 0.003,
     .help = "coefficient of volumetric expansion at the reference temperature"},
};
static const imp_param density_out[] = {
    {.name = "density",
     .symbol = "rho",
     .dimension = IMP_DENSITY,
     .unit = "kg/m^3",
     .trend = "-++?",
     .help = "density at the temperature wanted"},
};

imp_status imp_fluid_density(double temperature, double reference_density, double reference_temperature,
                             double expansion, double *density, imp_error *error)
{
    const double values[] = {temperature, reference_density, reference_temperature, expansion};
    const imp_status status = imp_check_rows(density_in, values, 4, error);
    if (status == IMP_OK)
        *density = reference_density / (1.0 + expansion * (temperature - reference_temperature));
    return status;
}

static imp_status density_evaluate(const imp_call *call)
{
    return imp_fluid_density(call->in[0].number, call->in[1].number, call->in[2].number, call->in[3].number,
                             &call->out[0].number, call->error);
}

/* fluid.viscosity */
static const char *const method_choices[] = {"constant", "andrade", "vogel",
                                             NULL}; /* in the order of imp_fluid_method */
static const char *const no_yes[] = {"no", "yes", NULL};
static const imp_param viscosity_in[] = {
    {.name = "points",
     .symbol = "points",
     .kind = IMP_TABLE,
     .rows = imp_fluid_point_rows,
     .help = "1 to 16 measured points: temperature and dynamic viscosity"},
    {.name = "temperature",
     .symbol = "T",
     IMP_FLUID_TEMPERATURE_RANGE,
     .help = "temperature at which the viscosity is wanted"},
};
static const imp_param viscosity_out[] = {
    {.name = "viscosity",
     .symbol = "mu",
     .dimension = IMP_VISCOSITY,
     .unit = "mPa s",
     .trend = "?-",
     .help = "dynamic viscosity"},
    {.name = "method",
     .kind = IMP_CHOICE,
     .choices = method_choices,
     .trend = "??",
     .help = "constant from one point, andrade from two, vogel from three or more"},
    {.name = "extrapolated",
     .kind = IMP_CHOICE,
     .choices = no_yes,
     .trend = "??",
     .help = "whether the temperature lies outside the points"},
    {.name = "worst_residual",
     .symbol = "r",
     .dimension = IMP_PURE,
     .unit = "%",
     .trend = "?0",
     .digits = 2,
     .help = "largest deviation of the fit from a point"},
};

static void record_fit(imp_sheet *sheet, const imp_fluid *fluid)
{
    imp_sheet_step(sheet, "a", "fit, viscosity in Pa s", "ln mu = a + b/(T - c)", fluid->a, "1");
    imp_sheet_step(sheet, "b", "fit", "ln mu = a + b/(T - c)", fluid->b, "K");
    imp_sheet_step(sheet, "c", "fit, absolute temperature", "ln mu = a + b/(T - c)", fluid->c, "K");
}

static imp_status viscosity_evaluate(const imp_call *call)
{
    const imp_value *points = &call->in[0];
    imp_fluid fluid = {.count = points->count};
    for (size_t i = 0; i < points->count && i < IMP_FLUID_POINTS; i++)
        fluid.points[i] = (imp_fluid_point){points->items[2 * i].number, points->items[2 * i + 1].number};
    imp_status status = imp_fluid_fit(&fluid, call->error);
    double viscosity;
    bool extrapolated;
    if (status == IMP_OK)
        status = imp_fluid_viscosity(&fluid, call->in[1].number, &viscosity, &extrapolated, call->error);
    if (status != IMP_OK)
        return status;
    if (fluid.method != IMP_FLUID_CONSTANT)
        record_fit(call->sheet, &fluid);
    call->out[0].number = viscosity;
    call->out[1].number = fluid.method;
    call->out[2].number = extrapolated ? 1.0 : 0.0;
    call->out[3].number = fluid.worst_residual;
    return IMP_OK;
}

const imp_calc imp_fluid_calcs[] = {
    IMP_CALC(
        walther_viscosity, "fluid.walther_viscosity", "Viscosity of an oil from two temperatures",
        "W(nu) = W(nu_1) + (W(nu_1) - W(nu_2)) lg(T_1/T)/lg(T_2/T_1), W(x) = lg(lg(x + 0.7))",
        "ASTM D341 (Walther 1931, MacCoull 1921)",
        "T in K, nu in mm^2/s; petroleum liquids such as hydraulic oil, 2 to 2e7 mm^2/s (below that the standard adds "
        "terms). Not verified for iso and resin: use fluid.viscosity for them"),
    IMP_CALC(density, "fluid.density", "Density of a liquid", "rho = rho_0/(1 + beta (T - T_0))",
             "definition of the coefficient of volumetric expansion, taken as constant",
             "some tens of kelvins about the reference temperature"),
    IMP_CALC(
        viscosity, "fluid.viscosity", "Viscosity of a liquid from measured points", "ln mu = a + b/(T - c)",
        "Andrade 1930 (two points, c = 0); Vogel, Phys. Z. 22 (1921) 645 (three and more, least squares in ln mu)",
        "T in K, mu in Pa s; between the points. Outside them the result is marked as extrapolated, and refused more "
        "than half the way from the coldest point to c; one point gives its viscosity at any temperature"),
    IMP_CALC_END,
};
