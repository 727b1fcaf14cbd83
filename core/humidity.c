#include "humidity.h"

#include <math.h>
#include <stdbool.h>

/* Both equations as their values and their slopes per kelvin, so that Newton's method needs one logarithm a turn.
 * The constants agree in ASHRAE Fundamentals 2017 as coded by the reference library psychrolib and in independent
 * public code of the same equations. */
static double log_over_ice(double t, double log_t)
{
    return -5.6745359e3 / t + 6.3925247 +
           t * (-9.677843e-3 + t * (6.2215701e-7 + t * (2.0747825e-9 + t * -9.484024e-13))) + 4.1635019 * log_t;
}

static double slope_over_ice(double t)
{
    return (5.6745359e3 / t + 4.1635019) / t - 9.677843e-3 +
           t * (2.0 * 6.2215701e-7 + t * (3.0 * 2.0747825e-9 + t * (4.0 * -9.484024e-13)));
}

static double log_over_water(double t, double log_t)
{
    return -5.8002206e3 / t + 1.3914993 + t * (-4.8640239e-2 + t * (4.1764768e-5 + t * -1.4452093e-8)) +
           6.5459673 * log_t;
}

static double slope_over_water(double t)
{
    return (5.8002206e3 / t + 6.5459673) / t - 4.8640239e-2 + t * (2.0 * 4.1764768e-5 + t * (3.0 * -1.4452093e-8));
}

double imp_humidity_log_saturation(double temperature, imp_humidity_over over)
{
    const double log_t = log(temperature);
    const double water = log_over_water(temperature, log_t);
    return over == IMP_OVER_WATER || temperature > IMP_TRIPLE_POINT ? water : log_over_ice(temperature, log_t);
}

double imp_humidity_saturation(double temperature, imp_humidity_over over)
{
    return exp(imp_humidity_log_saturation(temperature, over));
}

/* First guess, within 0.4 K from -100 degC to 80 degC: Magnus' form turned round, with Sonntag's 1990 constants. */
static double guess(double log_pressure, bool ice)
{
    const double over_triple = log_pressure - 6.41517; /* ln 611.2 Pa */
    const double a = ice ? 22.46 : 17.62, b = ice ? 272.62 : 243.12;
    return 273.15 + b * over_triple / (a - over_triple);
}

double imp_humidity_dew_point_of_log(double log_pressure)
{
    /* The branches' pressures at the triple point differ by 6e-9; a pressure between them belongs to that point. */
    const double log_t = log(IMP_TRIPLE_POINT);
    const bool ice = log_pressure <= log_over_ice(IMP_TRIPLE_POINT, log_t);
    if (!ice && log_pressure <= log_over_water(IMP_TRIPLE_POINT, log_t))
        return IMP_TRIPLE_POINT;
    double t = guess(log_pressure, ice);
    for (int turn = 0; turn < 12; turn++) { /* two or three in practice; ln p is concave and smooth in t */
        const double miss = (ice ? log_over_ice(t, log(t)) : log_over_water(t, log(t))) - log_pressure;
        const double step = miss / (ice ? slope_over_ice(t) : slope_over_water(t));
        t -= step;
        if (fabs(step) < 1e-6) /* Newton squares the step: what is left is below 1e-13 K */
            break;
    }
    return t;
}

double imp_humidity_dew_point(double vapour_pressure)
{
    return imp_humidity_dew_point_of_log(log(vapour_pressure));
}

double imp_humidity_ratio(double vapour_pressure, double pressure)
{
    return 0.621945 * vapour_pressure / (pressure - vapour_pressure);
}
