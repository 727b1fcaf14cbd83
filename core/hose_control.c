/* What share of the circuit's heating holds the set temperature at the sensor, and the march of both hoses with it. */
#include <math.h>

#include "hose_march.h"
#include "hose_pair.h"
#include "solve.h"

static const double share_tolerance = 1e-11; /* of the heating: far below a millikelvin */

/* Temperature at the sensor less the set one, as a function of the share of heating that is given. */
typedef struct sensor {
    const imp_hose_pair *pair;
    double at_none, at_all; /* its values at the ends, found before the search */
    imp_status status;
    imp_error *error;
} sensor;

/* Without conductance between the sides the sensor's own side is all that counts. */
static imp_march march_to_sensor(const imp_hose_pair *pair, double share)
{
    const imp_hose_control *control = pair->control;
    const bool alone = pair->mutual_conductance == 0.0;
    return (imp_march){.runs = {alone ? &pair->run[control->side] : &pair->run[0], alone ? NULL : &pair->run[1]},
                       .side_count = alone ? 1 : 2,
                       .mutual_conductance = pair->mutual_conductance,
                       .share = share,
                       .until = control->position,
                       .quick = true};
}

static double excess_at(sensor *s, double share)
{
    const double too_hot = 1e3; /* K: heat beyond what a liquid can be at, which a slow flow reaches soon */
    const imp_march march = march_to_sensor(s->pair, share);
    imp_hose_run_result results[IMP_SIDES];
    s->status = imp_hose_march(&march, NULL, results, s->error);
    if (s->status == IMP_RANGE && share > 0.0) {
        s->status = IMP_OK;
        return too_hot;
    }
    if (s->status != IMP_OK)
        return (double)NAN;
    return results[march.side_count == 1 ? 0 : (int)s->pair->control->side].outlet_temperature -
           s->pair->control->set_temperature;
}

static double excess(double share, void *context)
{
    sensor *s = context;
    return share == 0.0 ? s->at_none : share == 1.0 ? s->at_all : excess_at(s, share);
}

static imp_status find_share(const imp_hose_pair *pair, imp_hose_pair_result *found, imp_error *error)
{
    sensor s = {.pair = pair, .error = error};
    s.at_none = excess_at(&s, 0.0);
    if (s.status != IMP_OK)
        return s.status;
    s.at_all = s.at_none < 0.0 ? excess_at(&s, 1.0) : 0.0;
    if (s.status != IMP_OK)
        return s.status;
    const double set = pair->control->set_temperature;
    if (s.at_none >= 0.0) {
        found->share = 0.0;
        found->heat = IMP_HOSE_HEAT_NOT_NEEDED;
        found->sensor_temperature = set + s.at_none;
        return IMP_OK;
    }
    if (s.at_all <= 0.0) {
        found->share = 1.0;
        found->heat = IMP_HOSE_HEAT_SHORT;
        found->sensor_temperature = set + s.at_all;
        return IMP_OK;
    }
    found->heat = IMP_HOSE_HEAT_HOLDS;
    found->sensor_temperature = set;
    const imp_status status = imp_solve_bracketed(excess, &s, 0.0, 1.0, share_tolerance, &found->share, error);
    return s.status != IMP_OK ? s.status : status;
}

imp_status imp_hose_pair_march_checked(const imp_hose_pair *pair, bool quick, imp_hose_trace *traces,
                                       imp_hose_pair_result *result, imp_error *error)
{
    imp_hose_pair_result found = {.share = 1.0, .sensor_temperature = (double)NAN, .heat = IMP_HOSE_HEAT_FULL};
    imp_status status = pair->control != NULL ? find_share(pair, &found, error) : IMP_OK;
    const imp_march march = {.runs = {&pair->run[0], &pair->run[1]},
                             .side_count = IMP_SIDES,
                             .mutual_conductance = pair->mutual_conductance,
                             .share = found.share,
                             .until = (double)INFINITY,
                             .quick = quick};
    if (status == IMP_OK)
        status = imp_hose_march(&march, traces, found.run, error);
    if (status == IMP_OK)
        *result = found;
    return status;
}
