/* The viscosity of a fluid from measured points. */
#include <math.h>
#include <stdio.h>

#include "fluid.h"
#include "solve.h"

const imp_param imp_fluid_point_rows[] = {
    {.name = "temperature", .symbol = "T", IMP_FLUID_TEMPERATURE_RANGE, .help = "temperature of the liquid"},
    {.name = "viscosity",
     .symbol = "mu",
     .dimension = IMP_VISCOSITY,
     .unit = "mPa s",
     .low = 0.0,
     .high = IMP_MILLIPASCAL_SECOND(1e6),
     .ends = IMP_OPEN_LOW,
     .help = "dynamic viscosity at that temperature"},
    {.name = NULL},
};
static const imp_param *const temperature_row = &imp_fluid_point_rows[0];
static const imp_param *const viscosity_row = &imp_fluid_point_rows[1];

static const double closest_points = 0.1; /* K: nearer ones tell noise, not a slope */

/* "700 mPa s at 20.0 degC" */
static const char *point_text(const imp_fluid_point *point, char *text, size_t size)
{
    char temperature[96], viscosity[96];
    imp_param_format(temperature_row, point->temperature, 0, temperature, sizeof temperature);
    imp_param_format(viscosity_row, point->viscosity, 6, viscosity, sizeof viscosity);
    snprintf(text, size, "%s at %s", viscosity, temperature);
    return text;
}

static imp_status check_points(const imp_fluid *fluid, imp_error *error)
{
    if (fluid->count < 1 || fluid->count > IMP_FLUID_POINTS)
        return imp_fail(error, IMP_LIMIT, "points", "expected 1 to %d points, got %zu", IMP_FLUID_POINTS, fluid->count);
    for (size_t i = 0; i < fluid->count; i++) {
        imp_status status = imp_check(temperature_row, fluid->points[i].temperature, error);
        if (status == IMP_OK)
            status = imp_check(viscosity_row, fluid->points[i].viscosity, error);
        if (status == IMP_OK)
            continue;
        char place[32];
        snprintf(place, sizeof place, "points[%zu]", i + 1);
        imp_error_prefix(error, place, ".");
        return status;
    }
    return IMP_OK;
}

static void sort_by_temperature(imp_fluid_point *points, size_t count)
{
    for (size_t i = 1; i < count; i++) {
        const imp_fluid_point moving = points[i];
        size_t place = i;
        for (; place > 0 && points[place - 1].temperature > moving.temperature; place--)
            points[place] = points[place - 1];
        points[place] = moving;
    }
}

static imp_status check_order(const imp_fluid_point *sorted, size_t count, imp_error *error)
{
    char colder[224], warmer[224];
    for (size_t i = 1; i < count; i++) {
        point_text(&sorted[i - 1], colder, sizeof colder);
        point_text(&sorted[i], warmer, sizeof warmer);
        if (sorted[i].temperature - sorted[i - 1].temperature < closest_points)
            return imp_fail(error, IMP_NOT_APPLICABLE, "points",
                            "%s and %s are too close in temperature; points must be at least 0.1 K apart", colder,
                            warmer);
        if (sorted[i].viscosity > sorted[i - 1].viscosity)
            return imp_fail(error, IMP_NOT_APPLICABLE, "points",
                            "viscosity rises from %s to %s; a liquid's falls as it warms", colder, warmer);
    }
    return IMP_OK;
}

/* Points by rising temperature, as the search over c sees them. */
typedef struct vogel_data {
    size_t count;
    double temperature[IMP_FLUID_POINTS];
    double log_viscosity[IMP_FLUID_POINTS];
} vogel_data;

/* The best line at a fixed distance u = coldest temperature - c: ln mu = a + slope z, z = u/(T - c). */
typedef struct vogel_line {
    double a, slope;
    double squares;    /* sum of the squared residuals in ln mu */
    double derivative; /* of half that sum with ln u */
} vogel_line;

static imp_status fit_line(const vogel_data *data, double distance, vogel_line *line, imp_error *error)
{
    const double c = data->temperature[0] - distance;
    double matrix[2 * IMP_FLUID_POINTS], z[IMP_FLUID_POINTS], coefficients[2];
    for (size_t i = 0; i < data->count; i++) {
        z[i] = distance / (data->temperature[i] - c);
        matrix[2 * i] = 1.0;
        matrix[2 * i + 1] = z[i];
    }
    const imp_status status = imp_least_squares(matrix, data->log_viscosity, data->count, 2, coefficients, NULL, error);
    if (status != IMP_OK)
        return status;
    *line = (vogel_line){.a = coefficients[0], .slope = coefficients[1]};
    for (size_t i = 0; i < data->count; i++) {
        const double residual = data->log_viscosity[i] - (line->a + line->slope * z[i]);
        line->squares += residual * residual;
        line->derivative +=
            residual * line->slope * z[i] * z[i]; /* a and slope are at their best: only c moves the sum */
    }
    return IMP_OK;
}

static double line_derivative(double log_distance, void *context)
{
    vogel_line line;
    return fit_line(context, exp(log_distance), &line, NULL) == IMP_OK ? line.derivative : (double)NAN;
}

/* The distance u at which the squares are least: a scan finds the valley, the derivative's root its floor. From 1 K
 * (nearly a pole at the coldest point) to 5000 K (nearly ln mu linear in T). */
static imp_status search_distance(vogel_data *data, double *distance, imp_error *error)
{
    enum { SCAN_STEPS = 64 };
    const double first = log(1.0), step = (log(5000.0) - first) / SCAN_STEPS;
    double derivative[SCAN_STEPS + 1] = {0};
    double least = (double)INFINITY;
    size_t best = 0;
    for (size_t i = 0; i <= SCAN_STEPS; i++) {
        vogel_line line;
        const imp_status status = fit_line(data, exp(first + step * (double)i), &line, error);
        if (status != IMP_OK)
            return status;
        derivative[i] = line.derivative;
        if (line.squares < least) {
            least = line.squares;
            best = i;
        }
    }
    double floor_at = first + step * (double)best;
    size_t low = best, high = best; /* the steps between which the derivative turns positive */
    if (best > 0 && derivative[best] > 0.0 && derivative[best - 1] < 0.0)
        low = best - 1;
    else if (best < SCAN_STEPS && derivative[best] < 0.0 && derivative[best + 1] > 0.0)
        high = best + 1;
    if (low < high) {
        const imp_status status = imp_solve_bracketed(line_derivative, data, first + step * (double)low,
                                                      first + step * (double)high, 0.0, &floor_at, error);
        if (status != IMP_OK)
            return status;
    }
    *distance = exp(floor_at);
    return IMP_OK;
}

static imp_status fit_vogel(imp_fluid *fluid, const imp_fluid_point *sorted, imp_error *error)
{
    vogel_data data = {.count = fluid->count};
    for (size_t i = 0; i < fluid->count; i++) {
        data.temperature[i] = sorted[i].temperature;
        data.log_viscosity[i] = log(sorted[i].viscosity);
    }
    fluid->method = IMP_FLUID_VOGEL;
    if (data.log_viscosity[0] == data.log_viscosity[data.count - 1]) { /* one viscosity everywhere: any c would do */
        fluid->a = data.log_viscosity[0];
        fluid->b = fluid->c = 0.0;
        return IMP_OK;
    }
    double distance;
    vogel_line line;
    imp_status status = search_distance(&data, &distance, error);
    if (status == IMP_OK)
        status = fit_line(&data, distance, &line, error);
    if (status != IMP_OK)
        return status;
    fluid->a = line.a;
    fluid->b = line.slope * distance;
    fluid->c = data.temperature[0] - distance;
    return IMP_OK;
}

static void fit_andrade(imp_fluid *fluid, const imp_fluid_point *sorted)
{
    const double log_ratio = log(sorted[0].viscosity / sorted[1].viscosity);
    const double t0 = sorted[0].temperature, t1 = sorted[1].temperature;
    fluid->method = IMP_FLUID_ANDRADE;
    fluid->b = log_ratio * t0 * t1 / (t1 - t0);
    fluid->a = log(sorted[0].viscosity) - fluid->b / t0;
    fluid->c = 0.0;
}

static double fitted_log(const imp_fluid *fluid, double temperature)
{
    return fluid->b == 0.0 ? fluid->a : fluid->a + fluid->b / (temperature - fluid->c);
}

imp_status imp_fluid_fit(imp_fluid *fluid, imp_error *error)
{
    imp_status status = check_points(fluid, error);
    if (status != IMP_OK)
        return status;
    imp_fluid_point sorted[IMP_FLUID_POINTS] = {{0}};
    for (size_t i = 0; i < fluid->count; i++)
        sorted[i] = fluid->points[i];
    sort_by_temperature(sorted, fluid->count);
    status = check_order(sorted, fluid->count, error);
    if (status != IMP_OK)
        return status;

    imp_fluid fitted = *fluid;
    fitted.coldest = sorted[0].temperature;
    fitted.hottest = sorted[fluid->count - 1].temperature;
    if (fluid->count == 1) {
        fitted.method = IMP_FLUID_CONSTANT;
        fitted.a = log(sorted[0].viscosity);
        fitted.b = fitted.c = 0.0;
    } else if (fluid->count == 2) {
        fit_andrade(&fitted, sorted);
    } else if ((status = fit_vogel(&fitted, sorted, error)) != IMP_OK) {
        return status;
    }
    fitted.worst_residual = 0.0;
    for (size_t i = 0; i < fluid->count; i++) {
        const imp_fluid_point *point = &fluid->points[i];
        fitted.residuals[i] = exp(fitted_log(&fitted, point->temperature) - log(point->viscosity)) - 1.0;
        fitted.worst_residual = fmax(fitted.worst_residual, fabs(fitted.residuals[i]));
    }
    *fluid = fitted;
    return IMP_OK;
}

double imp_fluid_viscosity_or_nan(const imp_fluid *fluid, double temperature)
{
    /* Towards c the fit rises without bound: half the way from the coldest point is as far as it is trusted. */
    const bool too_cold = fluid->b != 0.0 && temperature - fluid->c < 0.5 * (fluid->coldest - fluid->c);
    const double value = too_cold ? (double)INFINITY : exp(fitted_log(fluid, temperature));
    const bool liquid = temperature >= temperature_row->low && temperature <= temperature_row->high;
    return liquid && value > 1e-7 && value <= viscosity_row->high ? value : (double)NAN;
}

imp_status imp_fluid_viscosity(const imp_fluid *fluid, double temperature, double *viscosity, bool *extrapolated,
                               imp_error *error)
{
    const imp_status status = imp_check(temperature_row, temperature, error);
    if (status != IMP_OK)
        return status;
    const double value = imp_fluid_viscosity_or_nan(fluid, temperature);
    if (isnan(value)) {
        char asked[96], coldest[96], hottest[96];
        imp_param_format(temperature_row, temperature, 0, asked, sizeof asked);
        imp_param_format(temperature_row, fluid->coldest, 0, coldest, sizeof coldest);
        imp_param_format(temperature_row, fluid->hottest, 0, hottest, sizeof hottest);
        return imp_fail(error, IMP_NOT_APPLICABLE, "temperature",
                        "%s is too far outside the viscosity points, %s to %s, for their fit to hold", asked, coldest,
                        hottest);
    }
    *viscosity = value;
    if (extrapolated != NULL)
        *extrapolated = temperature < fluid->coldest || temperature > fluid->hottest;
    return IMP_OK;
}

imp_status imp_fluid_density_at(const imp_fluid *fluid, double temperature, double *density, imp_error *error)
{
    return imp_fluid_density(temperature, fluid->density, fluid->reference_temperature, fluid->expansion, density,
                             error);
}
