/* The inverses of cable_size: how far a given cable reaches, and how much it carries. */
#include <math.h>

#include "cable_view.h"

/* Where the two entries' inputs stand alike, after current and section, or section and length. */
enum {
    FIRST,
    SECOND,
    VOLTAGE,
    PHASES,
    METHOD,
    INSULATION,
    AMBIENT,
    GROUPED,
    DROP_LIMIT,
    POWER_FACTOR,
    CODE,
    CLASS,
    LAYERS,
    TERMINAL,
    CONTINUOUS,
    BREAKER
};
#define ROWS_ALIKE(breaker_help)                                                                                       \
    ROW_VOLTAGE("at the supply: from line to line on three phases"), ROW_PHASES, ROW_METHOD, ROW_INSULATION,           \
        ROW_AMBIENT, ROW_GROUPED, ROW_DROP_LIMIT, ROW_POWER_FACTOR,                                                    \
        ROW_CODE("iec: metric sections by IEC 60364; nec: AWG and kcmil by the NEC"), ROW_CLASS, ROW_LAYERS,           \
        ROW_TERMINAL, ROW_CONTINUOUS, ROW_BREAKER(breaker_help)

const imp_param imp_cable_length_in[16] = {
    ROW_CURRENT("of the load, in each line"),
    ROW_SECTION,
    ROWS_ALIKE("rating of the breaker that is there; without it the least standard one"),
};
/* Trends are cut where two question marks would begin a trigraph. */
const imp_param imp_cable_length_out[4] = {
    {.name = "length",
     .symbol = "L",
     .dimension = IMP_LENGTH,
     .unit = "m",
     .trend = "-++???00+???0?00",
     .help = "over which the drop just reaches its limit, one way"},
    {.name = "breaker",
     .symbol = "In",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "+00???0000?000?+",
     .help = "rating"},
    {.name = "ampacity",
     .symbol = "Iz",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "0+0???"
              "--00?0-+00",
     .help = "of the cable as it is laid"},
    {.name = "gauge",
     .kind = IMP_CHOICE,
     .choices = imp_cable_gauges,
     .trend = "????????????????",
     .help = "nec: the size by its name"},
};

const imp_param imp_cable_load_in[16] = {
    ROW_SECTION,
    ROW_LENGTH,
    ROWS_ALIKE("rating of the breaker that is there; without it the largest standard one that protects the cable"),
};
const imp_param imp_cable_load_out[7] = {
    {.name = "current",
     .symbol = "I",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "+-+???"
              "--+???"
              "-??+",
     .help = "that the cable carries, in each line"},
    {.name = "power",
     .symbol = "P",
     .dimension = IMP_POWER,
     .unit = "kW",
     .trend = "+-+???"
              "--+???"
              "-??+",
     .help = "that it brings at the supply's voltage and this power factor"},
    {.name = "breaker",
     .symbol = "In",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "+00???"
              "--00?0-?0+",
     .help = "rating"},
    {.name = "governed_by",
     .kind = IMP_CHOICE,
     .choices = imp_cable_limits,
     .trend = "????????????????",
     .help = "what the current stops at"},
    {.name = "ampacity",
     .symbol = "Iz",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "+00???"
              "--00?0-+00",
     .help = "of the cable as it is laid"},
    {.name = "drop_fraction",
     .symbol = "du",
     .dimension = IMP_PURE,
     .unit = "%",
     .high = 0.2,
     .trend = "????????????????",
     .help = "voltage drop over voltage at that current"},
    {.name = "gauge",
     .kind = IMP_CHOICE,
     .choices = imp_cable_gauges,
     .trend = "????????????????",
     .help = "nec: the size by its name"},
};

static imp_status look_at_row(const imp_cable_load *load, const imp_cable_laying *laying, imp_cable_view *view,
                              size_t *row, imp_error *error)
{
    *view = (imp_cable_view){.factor = 1.0};
    imp_status status = imp_cable_check_load(load, error);
    if (status == IMP_OK)
        status = imp_cable_look_at(laying, view, error);
    if (status == IMP_OK)
        status = imp_cable_row_of(view, load->section, row, error);
    return status;
}

/* ---- how far ---- */

static imp_status reach(const imp_cable_load *load, const imp_cable_laying *laying, double *length, double *breaker,
                        imp_cable_capacity *capacity, imp_error *error)
{
    imp_cable_load own = *load;
    imp_cable_view view;
    size_t row = 0;
    double rating = 0.0;
    own.length = 1.0;
    imp_status status = look_at_row(&own, laying, &view, &row, error);
    if (status == IMP_OK)
        status = imp_cable_check_current(&own, &view, row, error);
    if (status == IMP_OK)
        status = imp_cable_choose_breaker(&own, &view, &rating, error);
    if (status == IMP_OK)
        status = imp_cable_check_breaker(&view, rating, row, error);
    if (status != IMP_OK)
        return status;
    *length = imp_cable_longest(&own, &view, row);
    *breaker = rating;
    *capacity = imp_cable_capacity_at(&view, row);
    return IMP_OK;
}

imp_status imp_cable_length(const imp_cable_load *load, const imp_cable_laying *laying, double *length,
                            imp_error *error)
{
    double breaker = 0.0;
    imp_cable_capacity capacity;
    return reach(load, laying, length, &breaker, &capacity, error);
}

/* ---- how much ---- */

/* The largest standard rating that protects a row; 0 when there is none. */
static double largest_standard_breaker(const imp_cable_view *view, size_t row)
{
    const imp_table_id id = view->laying->code == IMP_CODE_NEC ? IMP_TABLE_NEC_BREAKER : IMP_TABLE_IEC_BREAKER;
    double largest = 0.0;
    for (size_t i = 0; i < imp_tables[id].row_count; i++)
        if (imp_cable_protects(view, row, imp_table_value(id, i, 0)))
            largest = fmax(largest, imp_table_value(id, i, 0));
    return largest;
}

static imp_status breaker_for_row(const imp_cable_load *load, const imp_cable_view *view, size_t row, double *breaker,
                                  imp_error *error)
{
    *breaker = load->breaker;
    if (!isnan(load->breaker))
        return imp_cable_check_breaker(view, load->breaker, row, error);
    *breaker = largest_standard_breaker(view, row);
    if (*breaker > 0.0)
        return IMP_OK;
    char size[IMP_CABLE_TEXT], have[IMP_CABLE_TEXT];
    return imp_fail(error, IMP_NO_SOLUTION, "section",
                    "%s carries %s as it is laid, and no standard breaker is so small; use a larger section, or lay the "
                    "cable where it cools better",
                    imp_cable_size_name(view, row, size),
                    imp_cable_amperes(imp_cable_capacity_at(view, row).ampacity, have));
}

imp_status imp_cable_most_current(const imp_cable_load *load, const imp_cable_laying *laying, imp_cable_most *most,
                                  imp_error *error)
{
    imp_cable_load own = *load;
    imp_cable_view view;
    size_t row = 0;
    double breaker = 0.0;
    own.current = 1e-3; /* the drop is proportional to the current */
    imp_status status = look_at_row(&own, laying, &view, &row, error);
    if (status == IMP_OK)
        status = breaker_for_row(&own, &view, row, &breaker, error);
    if (status != IMP_OK)
        return status;
    const imp_cable_capacity capacity = imp_cable_capacity_at(&view, row);
    const double per_ampere = imp_cable_design_current(&own, &view) / own.current;
    const double by_ampacity = fmin(capacity.tabulated * capacity.factor, capacity.terminal / per_ampere);
    const double by_breaker = breaker / per_ampere;
    const double drop_per_ampere = imp_cable_drop_at(&own, &view, row) / own.current;
    const double by_drop = own.drop_limit / drop_per_ampere;
    most->current = fmin(by_drop, fmin(by_ampacity, by_breaker));
    most->governed_by = by_drop < fmin(by_ampacity, by_breaker) ? IMP_CABLE_DROP
                        : by_breaker < by_ampacity              ? IMP_CABLE_BREAKER
                                                                : IMP_CABLE_AMPACITY;
    most->breaker = breaker;
    most->ampacity = capacity.ampacity;
    most->drop_fraction = fmin(own.drop_limit, most->current * drop_per_ampere);
    most->gauge = capacity.gauge;
    return IMP_OK;
}

/* ---- the entries ---- */

static imp_cable_laying laying_of(const imp_value *in)
{
    return (imp_cable_laying){.phases = (imp_phases)in[PHASES].number,
                              .method = (imp_cable_method)in[METHOD].number,
                              .insulation = (imp_insulation)in[INSULATION].number,
                              .ambient_temperature = in[AMBIENT].number,
                              .grouped = in[GROUPED].number,
                              .code = (imp_code)in[CODE].number,
                              .layers_on_drum = in[LAYERS].number,
                              .terminal_temperature = in[TERMINAL].number};
}

static imp_cable_load load_of(const imp_value *in, double current, double section, double length)
{
    return (imp_cable_load){.current = current,
                            .length = length,
                            .voltage = in[VOLTAGE].number,
                            .power_factor = in[POWER_FACTOR].number,
                            .drop_limit = in[DROP_LIMIT].number,
                            .conductor = in[CLASS].number > 0.5 ? IMP_COPPER_CLASS_5 : IMP_COPPER_CLASS_2,
                            .continuous = in[CONTINUOUS].number > 0.5,
                            .breaker = in[BREAKER].number,
                            .section = section,
                            .fault_current = (double)NAN,
                            .clearing_time = (double)NAN};
}

imp_status imp_cable_length_evaluate(const imp_call *call)
{
    const imp_cable_laying laying = laying_of(call->in);
    const imp_cable_load load = load_of(call->in, call->in[FIRST].number, call->in[SECOND].number, 1.0);
    imp_cable_capacity capacity;
    double length = 0.0, breaker = 0.0;
    const imp_status status = reach(&load, &laying, &length, &breaker, &capacity, call->error);
    if (status != IMP_OK)
        return status;
    imp_sheet_step(call->sheet, "T_w", "working temperature of the conductor", "", capacity.working_temperature, "degC");
    call->out[0].number = length;
    call->out[1].number = breaker;
    call->out[2].number = capacity.ampacity;
    call->out[3].number = capacity.gauge;
    return IMP_OK;
}

imp_status imp_cable_load_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_cable_laying laying = laying_of(in);
    const imp_cable_load load = load_of(in, (double)NAN, in[FIRST].number, in[SECOND].number);
    imp_cable_most most;
    const imp_status status = imp_cable_most_current(&load, &laying, &most, call->error);
    if (status != IMP_OK)
        return status;
    const double lines = laying.phases == IMP_THREE_PHASE ? sqrt(3.0) : 1.0;
    const double results[] = {most.current,     lines * load.voltage * most.current * load.power_factor,
                              most.breaker,     most.governed_by,
                              most.ampacity,    most.drop_fraction,
                              (double)most.gauge};
    for (size_t i = 0; i < sizeof results / sizeof results[0]; i++)
        call->out[i].number = results[i];
    return IMP_OK;
}
