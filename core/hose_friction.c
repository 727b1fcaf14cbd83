/* Friction factors: laminar, turbulent, and the transition between them. */
#include <math.h>

#include "hose.h"
#include "hose_rows.h"

static const double laminar_constant = 64.0;        /* f Re, Hagen-Poiseuille */
static const double power_law_laminar_end = 2100.0; /* Metzner and Reed 1955 */
static const double power_law_turbulent_start = 4000.0;
static const double natural_log_of_10 = 2.302585092994045684;

enum { MOST_STEPS = 50 }; /* Newton's method takes three to six; the limit is for safety only */

/* One end of the transition: ln f and its slope at ln Re. */
typedef struct transition_end {
    double log_reynolds, log_factor, slope;
} transition_end;

/* Cubic in ln f over ln Re that meets values and slopes at both ends. With the slopes of friction laws it satisfies the
 * condition of Fritsch and Carlson (1980) for f Re^2 over Re, and so for the pressure drop over the flow, to be
 * monotone. */
static double transition(double reynolds, transition_end low, transition_end high)
{
    const double width = high.log_reynolds - low.log_reynolds;
    const double t = (log(reynolds) - low.log_reynolds) / width;
    const double rest = 1.0 - t;
    const double value = low.log_factor * (1.0 + 2.0 * t) * rest * rest + high.log_factor * t * t * (3.0 - 2.0 * t);
    const double slope = width * t * rest * (low.slope * rest - high.slope * t);
    return exp(value + slope);
}

static transition_end laminar_end(double reynolds)
{
    return (transition_end){log(reynolds), log(laminar_constant / reynolds), -1.0};
}

/* 1/sqrt(f) of Colebrook's equation, 1/sqrt(f) = -2 log10(e/3.7 + 2.51/(Re sqrt(f))), by Newton's method. The function
 * x + 2 log10(a + b x) rises and is concave, so the steps converge from any start. */
static double colebrook_root(double reynolds, double relative_roughness)
{
    const double a = relative_roughness / 3.7, b = 2.51 / reynolds;
    const double scale = 2.0 / natural_log_of_10;
    double x = -scale * log(a + b * 6.0); /* 1/sqrt(f) lies between 3.6 and 12 or so */
    for (int step = 0; step < MOST_STEPS; step++) {
        const double inside = a + b * x;
        const double change = (x + scale * log(inside)) / (1.0 + scale * b / inside);
        x -= change;
        if (fabs(change) <= 1e-8 * x) /* convergence is quadratic: the error left is below the last digit */
            break;
    }
    return x;
}

/* d ln f / d ln Re of Colebrook's equation, where root = 1/sqrt(f). */
static double colebrook_slope(double reynolds, double relative_roughness, double root)
{
    const double b = 2.51 / reynolds;
    const double w = 2.0 / natural_log_of_10 * b / (relative_roughness / 3.7 + b * root);
    return -2.0 * w / (1.0 + w);
}

double imp_hose_friction(double reynolds, double relative_roughness)
{
    if (reynolds <= HOSE_LAMINAR_REYNOLDS)
        return laminar_constant / reynolds;
    if (reynolds >= HOSE_TURBULENT_REYNOLDS) {
        const double root = colebrook_root(reynolds, relative_roughness);
        return 1.0 / (root * root);
    }
    const double root = colebrook_root(HOSE_TURBULENT_REYNOLDS, relative_roughness);
    const transition_end turbulent = {log(HOSE_TURBULENT_REYNOLDS), -2.0 * log(root),
                                      colebrook_slope(HOSE_TURBULENT_REYNOLDS, relative_roughness, root)};
    return transition(reynolds, laminar_end(HOSE_LAMINAR_REYNOLDS), turbulent);
}

/* 1/sqrt(Fanning f) of Dodge and Metzner's equation (1959),
 * 1/sqrt(f) = 4/n^0.75 log10(Re' f^(1 - n/2)) - 0.4/n^1.2. As a function of 1/sqrt(f) it rises and is concave;
 * Newton's method started below the root climbs to it. `steepness` is 4/(n^0.75 ln 10). */
static double dodge_metzner_root(double reynolds, double flow_index, double steepness)
{
    const double exponent = 2.0 - flow_index;
    const double constant = 0.4 / pow(flow_index, 1.2) - steepness * log(reynolds);
    double x = 4.0;
    for (int step = 0; step < MOST_STEPS; step++) {
        const double change = (x + steepness * exponent * log(x) + constant) / (1.0 + steepness * exponent / x);
        x -= change;
        if (fabs(change) <= 1e-8 * x)
            break;
    }
    return x;
}

double imp_hose_power_law_friction(double reynolds, double flow_index)
{
    if (reynolds <= power_law_laminar_end)
        return laminar_constant / reynolds;
    const double steepness = 4.0 / (pow(flow_index, 0.75) * natural_log_of_10);
    if (reynolds >= power_law_turbulent_start) {
        const double root = dodge_metzner_root(reynolds, flow_index, steepness);
        return 4.0 / (root * root);
    }
    const double root = dodge_metzner_root(power_law_turbulent_start, flow_index, steepness);
    const transition_end turbulent = {log(power_law_turbulent_start), log(4.0 / (root * root)),
                                      -2.0 * steepness / (root + steepness * (2.0 - flow_index))};
    return transition(reynolds, laminar_end(power_law_laminar_end), turbulent);
}
