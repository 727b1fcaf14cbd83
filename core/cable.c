/* The least section that does for a load. */
#include "cable.h"

#include <math.h>

#include "cable_view.h"

enum {
    SIZE_CURRENT,
    SIZE_LENGTH,
    SIZE_VOLTAGE,
    SIZE_PHASES,
    SIZE_METHOD,
    SIZE_INSULATION,
    SIZE_AMBIENT,
    SIZE_GROUPED,
    SIZE_DROP_LIMIT,
    SIZE_POWER_FACTOR,
    SIZE_CODE,
    SIZE_CLASS,
    SIZE_LAYERS,
    SIZE_TERMINAL,
    SIZE_CONTINUOUS,
    SIZE_BREAKER,
    SIZE_SECTION,
    SIZE_FAULT_CURRENT,
    SIZE_CLEARING_TIME,
    SIZE_INPUTS
};
const imp_param imp_cable_size_in[19] = {
    ROW_CURRENT("of the load, in each line"),
    ROW_LENGTH,
    ROW_VOLTAGE("at the supply: from line to line on three phases"),
    ROW_PHASES,
    ROW_METHOD,
    ROW_INSULATION,
    ROW_AMBIENT,
    ROW_GROUPED,
    ROW_DROP_LIMIT,
    ROW_POWER_FACTOR,
    ROW_CODE("iec: metric sections by IEC 60364; nec: AWG and kcmil by the NEC"),
    ROW_CLASS,
    ROW_LAYERS,
    ROW_TERMINAL,
    ROW_CONTINUOUS,
    ROW_BREAKER("rating of the breaker that is there; without it the least standard one"),
    {.name = "section",
     .symbol = "A",
     .kind = IMP_NUMBER,
     .dimension = IMP_AREA,
     .unit = "mm^2",
     .presence = IMP_OPTIONAL,
     .low = IMP_SQUARE_MILLIMETRE(0.5),
     .high = IMP_SQUARE_MILLIMETRE(310.0),
     .help = "section that is there, to be checked; without it the least that does"},
    {.name = "fault_current",
     .symbol = "I_k",
     .kind = IMP_NUMBER,
     .dimension = IMP_CURRENT,
     .unit = "kA",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 200e3,
     .ends = IMP_OPEN_LOW,
     .help = "prospective short-circuit current that the cable must stand; clearing_time is needed with it"},
    {.name = "clearing_time",
     .symbol = "t",
     .kind = IMP_NUMBER,
     .dimension = IMP_TIME,
     .unit = "s",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 5.0,
     .ends = IMP_OPEN_LOW,
     .help = "until the breaker has cleared that fault"},
};
/* Trends are cut where two question marks would begin a trigraph. */
#define TREND_ALL_UNKNOWN "???????????????????"
#define ROW_NEIGHBOUR(name_, dimension_, unit_, help_)                                                                 \
    {                                                                                                                  \
        .name = name_, .dimension = dimension_, .unit = unit_, .presence = IMP_OPTIONAL, .trend = TREND_ALL_UNKNOWN,   \
        .help = help_                                                                                                  \
    }
#define ROW_NEIGHBOUR_GAUGE(name_, help_)                                                                              \
    {                                                                                                                  \
        .name = name_, .kind = IMP_CHOICE, .choices = imp_cable_gauges, .presence = IMP_OPTIONAL,                      \
        .trend = TREND_ALL_UNKNOWN, .help = help_                                                                      \
    }
const imp_param imp_cable_size_out[15] = {
    {.name = "section",
     .symbol = "A",
     .dimension = IMP_AREA,
     .unit = "mm^2",
     .trend = "++-???++-???+??++++",
     .help = "of one conductor"},
    {.name = "breaker",
     .symbol = "In",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "+00???0000??00?+000",
     .help = "rating"},
    {.name = "ampacity",
     .symbol = "Iz",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "++-?????"
              "-??????++++",
     .help = "of the section as it is laid"},
    {.name = "drop_fraction",
     .symbol = "du",
     .dimension = IMP_PURE,
     .unit = "%",
     .high = 0.2,
     .trend = TREND_ALL_UNKNOWN,
     .help = "voltage drop over voltage, conductor at its working temperature"},
    {.name = "governed_by",
     .kind = IMP_CHOICE,
     .choices = imp_cable_limits,
     .trend = TREND_ALL_UNKNOWN,
     .help = "why the section is not smaller"},
    {.name = "gauge",
     .kind = IMP_CHOICE,
     .choices = imp_cable_gauges,
     .trend = TREND_ALL_UNKNOWN,
     .help = "nec: the size by its name"},
    {.name = "fault_section",
     .symbol = "A_k",
     .dimension = IMP_AREA,
     .unit = "mm^2",
     .presence = IMP_OPTIONAL,
     .trend = "00000?0000?000000++",
     .help = "that the fault alone would ask for"},
    ROW_NEIGHBOUR("section_below", IMP_AREA, "mm^2", "the next smaller size of the table"),
    ROW_NEIGHBOUR("ampacity_below", IMP_CURRENT, "A", "of the next smaller size, laid alike"),
    ROW_NEIGHBOUR("drop_below", IMP_PURE, "%", "voltage drop over voltage with the next smaller size"),
    ROW_NEIGHBOUR_GAUGE("gauge_below", "nec: the next smaller size by its name"),
    ROW_NEIGHBOUR("section_above", IMP_AREA, "mm^2", "the next larger size of the table"),
    ROW_NEIGHBOUR("ampacity_above", IMP_CURRENT, "A", "of the next larger size, laid alike"),
    ROW_NEIGHBOUR("drop_above", IMP_PURE, "%", "voltage drop over voltage with the next larger size"),
    ROW_NEIGHBOUR_GAUGE("gauge_above", "nec: the next larger size by its name"),
};

static imp_status refuse_all(const imp_cable_load *load, const imp_cable_view *view, double current, bool is_breaker,
                             imp_error *error)
{
    const size_t last = view->row_count - 1;
    const imp_cable_capacity own = imp_cable_capacity_at(view, last);
    const double most = is_breaker ? own.largest_breaker : own.ampacity;
    char size[IMP_CABLE_TEXT], need[IMP_CABLE_TEXT], have[IMP_CABLE_TEXT];
    return imp_fail(error, IMP_NO_SOLUTION, is_breaker ? "breaker" : "current",
                    "no section in the table up to %s %s %s%s: the largest %s %s as it is laid; split the load, or lay "
                    "the cable where it cools better",
                    imp_cable_size_name(view, last, size), is_breaker ? "bears a breaker of" : "carries",
                    imp_cable_amperes(current, need),
                    !is_breaker && current > load->current ? " (125 % of the continuous load)" : "",
                    is_breaker ? "bears" : "carries", imp_cable_amperes(most, have));
}

static imp_status refuse_drop(const imp_cable_load *load, const imp_cable_view *view, imp_error *error)
{
    const size_t last = view->row_count - 1;
    char size[IMP_CABLE_TEXT], limit[IMP_CABLE_TEXT], length[IMP_CABLE_TEXT], most[IMP_CABLE_TEXT];
    return imp_fail(error, IMP_NO_SOLUTION, "length",
                    "no section in the table up to %s keeps the voltage drop within %s over %s: the largest does up to "
                    "%s; split the load or bring the supply closer",
                    imp_cable_size_name(view, last, size),
                    imp_param_format(&imp_cable_size_in[SIZE_DROP_LIMIT], load->drop_limit, 3, limit, sizeof limit),
                    imp_param_format(&imp_cable_size_in[SIZE_LENGTH], load->length, 4, length, sizeof length),
                    imp_cable_at_most(imp_cable_longest(load, view, last), most));
}

static imp_status refuse_fault(const imp_cable_load *load, const imp_cable_view *view, double needed, imp_error *error)
{
    char size[IMP_CABLE_TEXT], fault[IMP_CABLE_TEXT], time[IMP_CABLE_TEXT], need[IMP_CABLE_TEXT];
    return imp_fail(error, IMP_NO_SOLUTION, "fault_current",
                    "no section in the table up to %s stands %s for %s, which asks for %s; use a breaker that clears "
                    "faster or limits the current",
                    imp_cable_size_name(view, view->row_count - 1, size),
                    imp_param_format(&imp_cable_size_in[SIZE_FAULT_CURRENT], load->fault_current, 4, fault, sizeof fault),
                    imp_param_format(&imp_cable_size_in[SIZE_CLEARING_TIME], load->clearing_time, 4, time, sizeof time),
                    imp_param_format(&imp_cable_size_in[SIZE_SECTION], needed, 4, need, sizeof need));
}

/* What stops each row in turn; *row rises to the first that passes. */
static void pass_load(const imp_cable_load *load, const imp_cable_view *view, size_t *row)
{
    while (*row < view->row_count && !imp_cable_carries(load, view, *row))
        ++*row;
}

static void pass_breaker(const imp_cable_view *view, double breaker, size_t *row)
{
    while (*row < view->row_count && !imp_cable_protects(view, *row, breaker))
        ++*row;
}

static void pass_drop(const imp_cable_load *load, const imp_cable_view *view, size_t *row)
{
    while (*row < view->row_count && (!imp_cable_is_given(view, *row) || !(imp_cable_drop_at(load, view, *row) <=
                                                                           load->drop_limit * IMP_CABLE_SLACK)))
        ++*row;
}

static void pass_fault(const imp_cable_view *view, double needed, size_t *row)
{
    while (*row < view->row_count && !isnan(needed) &&
           (!imp_cable_is_given(view, *row) || imp_cable_capacity_at(view, *row).section * IMP_CABLE_SLACK < needed))
        ++*row;
}

/* The size in a row; nothing beyond the table's ends (row is then beyond its count). */
static imp_cable_size_of size_in(const imp_cable_load *load, const imp_cable_view *view, size_t row)
{
    const double none = (double)NAN;
    if (row >= view->row_count)
        return (imp_cable_size_of){none, none, none, 0};
    const imp_cable_capacity own = imp_cable_capacity_at(view, row);
    return (imp_cable_size_of){own.section, own.ampacity, imp_cable_drop_at(load, view, row), own.gauge};
}

/* The least row that does, and what governs it. */
static imp_status find_row(const imp_cable_load *load, const imp_cable_view *view, double breaker, double fault_section,
                           size_t *found, imp_cable_limit *governed_by, imp_error *error)
{
    size_t row = 0;
    *governed_by = IMP_CABLE_AMPACITY;
    pass_load(load, view, &row);
    for (int limit = IMP_CABLE_BREAKER; limit <= IMP_CABLE_FAULT; limit++) {
        const size_t before = row;
        if (limit == IMP_CABLE_BREAKER)
            pass_breaker(view, breaker, &row);
        else if (limit == IMP_CABLE_DROP)
            pass_drop(load, view, &row);
        else
            pass_fault(view, fault_section, &row);
        if (row > before)
            *governed_by = (imp_cable_limit)limit;
        if (row < view->row_count)
            continue;
        return limit == IMP_CABLE_BREAKER ? refuse_all(load, view, breaker, true, error)
               : limit == IMP_CABLE_DROP  ? refuse_drop(load, view, error)
                                          : refuse_fault(load, view, fault_section, error);
    }
    *found = row;
    return IMP_OK;
}

imp_status imp_cable_size(const imp_cable_load *load, const imp_cable_laying *laying, imp_cable_choice *choice,
                          imp_error *error)
{
    imp_cable_view view = {.factor = 1.0};
    double breaker = 0.0, fault_section = (double)NAN;
    size_t given = 0, row = 0;
    imp_cable_limit governed_by = IMP_CABLE_AMPACITY;
    imp_status status = imp_cable_check_load(load, error);
    if (status == IMP_OK)
        status = imp_cable_look_at(laying, &view, error);
    if (status == IMP_OK)
        status = imp_cable_fault_section(load, &view, &fault_section, error);
    if (status == IMP_OK && !isnan(load->section))
        status = imp_cable_row_of(&view, load->section, &given, error);
    if (status != IMP_OK)
        return status;
    pass_load(load, &view, &row);
    if (row == view.row_count)
        return refuse_all(load, &view, imp_cable_design_current(load, &view), false, error);
    status = imp_cable_choose_breaker(load, &view, &breaker, error);
    if (status == IMP_OK && !isnan(load->section))
        status = imp_cable_check_row(load, &view, breaker, fault_section, given, error);
    if (status == IMP_OK)
        status = find_row(load, &view, breaker, fault_section, &row, &governed_by, error);
    if (status != IMP_OK)
        return status;

    if (!isnan(load->section))
        row = given;
    const imp_cable_size_of own = size_in(load, &view, row);
    size_t below = row == 0 ? view.row_count : row - 1, above = row + 1;
    while (below < view.row_count && !imp_cable_is_given(&view, below))
        below = below == 0 ? view.row_count : below - 1;
    while (above < view.row_count && !imp_cable_is_given(&view, above))
        above++;
    *choice = (imp_cable_choice){.section = own.section,
                                 .breaker = breaker,
                                 .ampacity = own.ampacity,
                                 .drop_fraction = own.drop_fraction,
                                 .governed_by = governed_by,
                                 .gauge = own.gauge,
                                 .fault_section = fault_section,
                                 .below = size_in(load, &view, below),
                                 .above = size_in(load, &view, above)};
    return IMP_OK;
}

static void tell_size(imp_value *out, const imp_cable_size_of *size)
{
    const double values[] = {size->section, size->ampacity, size->drop_fraction, size->gauge};
    for (int i = 0; i < 4; i++)
        out[i] = (imp_value){.number = values[i], .given = !isnan(size->section)};
}

imp_status imp_cable_size_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_cable_laying laying = {.phases = (imp_phases)in[SIZE_PHASES].number,
                                     .method = (imp_cable_method)in[SIZE_METHOD].number,
                                     .insulation = (imp_insulation)in[SIZE_INSULATION].number,
                                     .ambient_temperature = in[SIZE_AMBIENT].number,
                                     .grouped = in[SIZE_GROUPED].number,
                                     .code = (imp_code)in[SIZE_CODE].number,
                                     .layers_on_drum = in[SIZE_LAYERS].number,
                                     .terminal_temperature = in[SIZE_TERMINAL].number};
    const imp_cable_load load = {.current = in[SIZE_CURRENT].number,
                                 .length = in[SIZE_LENGTH].number,
                                 .voltage = in[SIZE_VOLTAGE].number,
                                 .power_factor = in[SIZE_POWER_FACTOR].number,
                                 .drop_limit = in[SIZE_DROP_LIMIT].number,
                                 .conductor = in[SIZE_CLASS].number > 0.5 ? IMP_COPPER_CLASS_5 : IMP_COPPER_CLASS_2,
                                 .continuous = in[SIZE_CONTINUOUS].number > 0.5,
                                 .breaker = in[SIZE_BREAKER].number,
                                 .section = in[SIZE_SECTION].number,
                                 .fault_current = in[SIZE_FAULT_CURRENT].number,
                                 .clearing_time = in[SIZE_CLEARING_TIME].number};
    imp_cable_choice choice;
    imp_cable_capacity capacity;
    const imp_status status = imp_cable_size(&load, &laying, &choice, call->error);
    if (status != IMP_OK)
        return status;
    if (call->sheet != NULL && imp_cable_ampacity(choice.section, &laying, &capacity, NULL) == IMP_OK) {
        imp_sheet_step(call->sheet, "I_table", "tabulated capacity of the section", "", capacity.tabulated, "A");
        imp_sheet_step(call->sheet, "k", "ambient, grouping and drum together", "k_ambient k_grouping k_drum",
                       capacity.factor, "1");
    }
    const double results[] = {choice.section,     choice.breaker,     choice.ampacity,     choice.drop_fraction,
                              choice.governed_by, (double)choice.gauge, choice.fault_section};
    for (size_t i = 0; i < sizeof results / sizeof results[0]; i++)
        call->out[i].number = results[i];
    call->out[6].given = !isnan(choice.fault_section);
    tell_size(&call->out[7], &choice.below);
    tell_size(&call->out[11], &choice.above);
    return IMP_OK;
}
