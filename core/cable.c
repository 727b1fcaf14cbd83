#include "cable.h"

#include <math.h>

#include "check_rows.h"
#include "cable_view.h"

static const char *const limits[] = {"ampacity", "breaker", "drop", NULL};
/* In the order of the NEC tables, after "none" for the metric sections. */
static const char *const gauges[] = {"none",      "14 AWG",    "12 AWG",    "10 AWG",    "8 AWG",     "6 AWG",
                                     "4 AWG",     "3 AWG",     "2 AWG",     "1 AWG",     "1/0 AWG",   "2/0 AWG",
                                     "3/0 AWG",   "4/0 AWG",   "250 kcmil", "300 kcmil", "350 kcmil", "400 kcmil",
                                     "500 kcmil", "600 kcmil", NULL};

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
    SIZE_SECTION
};
const imp_param imp_cable_size_in[17] = {
    ROW_CURRENT("of the load, in each line"),
    ROW_LENGTH,
    ROW_VOLTAGE("at the supply: from line to line on three phases"),
    ROW_PHASES,
    ROW_METHOD,
    ROW_INSULATION,
    ROW_AMBIENT,
    ROW_GROUPED,
    {.name = "drop_limit",
     .symbol = "limit",
     .kind = IMP_NUMBER,
     .dimension = IMP_PURE,
     .unit = "%",
     .presence = IMP_DEFAULT,
     .low = 0.0,
     .high = 0.2,
     .ends = IMP_OPEN_LOW,
     .fallback = 0.05,
     .help = "allowed voltage drop along this cable"},
    ROW_POWER_FACTOR,
    ROW_CODE("iec: metric sections by IEC 60364; nec: AWG and kcmil by the NEC"),
    ROW_CLASS,
    ROW_LAYERS,
    ROW_TERMINAL,
    {.name = "continuous",
     .kind = IMP_FLAG,
     .dimension = IMP_PURE,
     .presence = IMP_DEFAULT,
     .fallback = 1.0,
     .help = "nec: the load lasts three hours or more, so 125 % of it counts"},
    {.name = "breaker",
     .symbol = "In",
     .kind = IMP_NUMBER,
     .dimension = IMP_CURRENT,
     .unit = "A",
     .presence = IMP_OPTIONAL,
     .low = 0.0,
     .high = 10000.0,
     .ends = IMP_OPEN_LOW,
     .help = "rating of the breaker that is there; without it the least standard one"},
    {.name = "section",
     .symbol = "A",
     .kind = IMP_NUMBER,
     .dimension = IMP_AREA,
     .unit = "mm^2",
     .presence = IMP_OPTIONAL,
     .low = IMP_SQUARE_MILLIMETRE(0.5),
     .high = IMP_SQUARE_MILLIMETRE(310.0),
     .help = "section that is there, to be checked; without it the least that does"},
};
const imp_param imp_cable_size_out[6] = {
    {.name = "section",
     .symbol = "A",
     .dimension = IMP_AREA,
     .unit = "mm^2",
     .trend = "++-???++-???+??++",
     .help = "of one conductor"},
    {.name = "breaker",
     .symbol = "In",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "+00???0000??00?+0",
     .help = "rating"},
    {.name = "ampacity",
     .symbol = "Iz",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "++-?????"
              "-??????++",
     .help = "of the section as it is laid"},
    {.name = "drop_fraction",
     .symbol = "du",
     .dimension = IMP_PURE,
     .unit = "%",
     .high = 0.2,
     .trend = "?????????????????",
     .help = "voltage drop over voltage, conductor at its working temperature"},
    {.name = "governed_by",
     .kind = IMP_CHOICE,
     .choices = limits,
     .trend = "?????????????????",
     .help = "why the section is not smaller"},
    {.name = "gauge",
     .kind = IMP_CHOICE,
     .choices = gauges,
     .trend = "?????????????????",
     .help = "nec: the size by its name"},
};

static const double SLACK = 1.0 + 1e-9; /* 40 A carries 40 A after a conversion of units */

/* The current that breaker and terminals must stand: NEC 210.19(A)(1), 210.20(A) and 215.2, 215.3. */
static double design_current(const imp_cable_load *load, const imp_cable_view *view)
{
    return view->laying->code == IMP_CODE_NEC && load->continuous ? 1.25 * load->current : load->current;
}

static bool carries_load(const imp_cable_load *load, const imp_cable_view *view, size_t row)
{
    const imp_cable_capacity own = imp_cable_capacity_at(view, row);
    return own.tabulated * own.factor * SLACK >= load->current && own.terminal * SLACK >= design_current(load, view);
}

/* Drop over voltage, conductor at its working temperature; 1 when it would take all the voltage. */
static double drop_at(const imp_cable_load *load, const imp_cable_view *view, size_t row)
{
    const imp_electrical_run run = {.conductor = {.section = imp_cable_capacity_at(view, row).section,
                                                  .temperature = view->working_temperature,
                                                  .material = load->conductor,
                                                  .code = view->laying->code},
                                    .current = load->current,
                                    .length = load->length,
                                    .voltage = load->voltage,
                                    .phases = view->laying->phases,
                                    .power_factor = load->power_factor,
                                    .reactance = 0.08e-3 /* IEC 60364-5-52 annex G */};
    double drop = 0.0, fraction = 0.0;
    return imp_electrical_voltage_drop(&run, &drop, &fraction, NULL) == IMP_OK ? fraction : 1.0;
}

static bool protects(const imp_cable_view *view, size_t row, double breaker)
{
    return imp_cable_capacity_at(view, row).largest_breaker * SLACK >= breaker;
}

static imp_status check_load(const imp_cable_load *load, imp_error *error)
{
    const double values[] = {load->current, load->length, load->voltage};
    imp_status status = imp_check_rows(imp_cable_size_in, values, 3, error);
    if (status == IMP_OK)
        status = imp_check(&imp_cable_size_in[SIZE_DROP_LIMIT], load->drop_limit, error);
    if (status == IMP_OK)
        status = imp_check(&imp_cable_size_in[SIZE_POWER_FACTOR], load->power_factor, error);
    if (status == IMP_OK && !isnan(load->breaker))
        status = imp_check(&imp_cable_size_in[SIZE_BREAKER], load->breaker, error);
    if (status == IMP_OK && load->conductor == IMP_ALUMINIUM_CLASS_2)
        status = imp_fail(error, IMP_NOT_APPLICABLE, "class", "the capacities here are of copper only");
    return status;
}

enum { TEXT = 96 };

static const char *amperes(double current, char *text)
{
    return imp_param_format(&imp_cable_size_in[SIZE_CURRENT], current, 4, text, TEXT);
}

static const char *percent(double fraction, char *text)
{
    return imp_param_format(&imp_cable_size_in[SIZE_DROP_LIMIT], fraction, 3, text, TEXT);
}

/* "6 mm^2" or "6 AWG" */
static const char *size_name(const imp_cable_view *view, size_t row, char *text)
{
    if (view->laying->code == IMP_CODE_NEC)
        return imp_table_nec_size(row, text, TEXT);
    return imp_param_format(&imp_cable_size_in[SIZE_SECTION], imp_cable_capacity_at(view, row).section, 4, text, TEXT);
}

static imp_status refuse_all(const imp_cable_view *view, double current, const char *what, imp_error *error)
{
    char size[TEXT], need[TEXT];
    return imp_fail(
        error, IMP_NO_SOLUTION, NULL,
        "no section in the table up to %s carries %s%s; split the load, or lay the cable where it cools better",
        size_name(view, view->row_count - 1, size), what, amperes(current, need));
}

static imp_status choose_breaker(const imp_cable_load *load, const imp_cable_view *view, double *breaker,
                                 imp_error *error)
{
    const double need = design_current(load, view);
    char have[TEXT], least[TEXT];
    if (!isnan(load->breaker)) {
        *breaker = load->breaker;
        if (load->breaker * SLACK >= need)
            return IMP_OK;
        return imp_fail(error, IMP_NO_SOLUTION, "breaker",
                        "a breaker of %s is too small for %s%s; use a larger one or split the load",
                        amperes(load->breaker, have), amperes(need, least),
                        need > load->current ? " (125 % of the continuous load)" : "");
    }
    const imp_table_id id = view->laying->code == IMP_CODE_NEC ? IMP_TABLE_NEC_BREAKER : IMP_TABLE_IEC_BREAKER;
    if (imp_table_rating(id, need, breaker))
        return IMP_OK;
    return imp_fail(error, IMP_NO_SOLUTION, "breaker",
                    "no circuit-breaker of %s carries %s; give the rating of the one that is there, or split the load",
                    imp_tables[id].standard, amperes(need, least));
}

static imp_status check_section(const imp_cable_load *load, const imp_cable_view *view, double breaker, size_t row,
                                imp_error *error)
{
    const imp_cable_capacity own = imp_cable_capacity_at(view, row);
    const double drop = drop_at(load, view, row);
    char size[TEXT], have[TEXT], need[TEXT], length[TEXT];
    size_name(view, row, size);
    if (!carries_load(load, view, row))
        return imp_fail(
            error, IMP_NO_SOLUTION, "section",
            "%s carries %s as it is laid, less than the load's %s%s; use a larger section, split the load, or lay "
            "the cable where it cools better",
            size, amperes(own.ampacity, have), amperes(design_current(load, view), need),
            design_current(load, view) > load->current ? " (125 % of the continuous load)" : "");
    if (!protects(view, row, breaker))
        return imp_fail(
            error, IMP_NO_SOLUTION, "section",
            "%s bears a breaker of %s at most as it is laid, not one of %s; use a smaller breaker or a larger section",
            size, amperes(own.largest_breaker, have), amperes(breaker, need));
    if (!(drop <= load->drop_limit * SLACK)) {
        imp_param_format(&imp_cable_size_in[SIZE_LENGTH], load->length, 4, length, sizeof length);
        return imp_fail(error, IMP_NO_SOLUTION, "section",
                        "over %s of %s the voltage drop is %s, above %s; use a larger section or a shorter cable",
                        length, size, percent(drop, have), percent(load->drop_limit, need));
    }
    return IMP_OK;
}

imp_status imp_cable_size(const imp_cable_load *load, const imp_cable_laying *laying, imp_cable_choice *choice,
                          imp_error *error)
{
    imp_cable_view view = {.factor = 1.0};
    double breaker = 0.0;
    size_t given = 0;
    imp_status status = check_load(load, error);
    if (status == IMP_OK)
        status = imp_cable_look_at(laying, &view, error);
    if (status == IMP_OK && !isnan(load->section))
        status = imp_cable_row_of(&view, load->section, &given, error);
    if (status != IMP_OK)
        return status;

    size_t row = 0;
    while (row < view.row_count && !carries_load(load, &view, row))
        row++;
    if (row == view.row_count)
        return refuse_all(&view, design_current(load, &view), "", error);
    const size_t for_ampacity = row;
    status = choose_breaker(load, &view, &breaker, error);
    if (status == IMP_OK && !isnan(load->section))
        status = check_section(load, &view, breaker, given, error);
    if (status != IMP_OK)
        return status;
    while (row < view.row_count && !protects(&view, row, breaker))
        row++;
    if (row == view.row_count)
        return refuse_all(&view, breaker, "the breaker's ", error);
    const size_t for_breaker = row;
    while (row < view.row_count && !(drop_at(load, &view, row) <= load->drop_limit * SLACK))
        row++;
    if (row == view.row_count) {
        char size[TEXT], limit[TEXT], length[TEXT];
        imp_param_format(&imp_cable_size_in[SIZE_LENGTH], load->length, 4, length, sizeof length);
        return imp_fail(
            error, IMP_NO_SOLUTION, NULL,
            "no section in the table up to %s keeps the voltage drop within %s over %s; split the load or bring "
            "the supply closer",
            size_name(&view, view.row_count - 1, size), percent(load->drop_limit, limit), length);
    }

    choice->governed_by = row > for_breaker            ? IMP_CABLE_DROP
                          : for_breaker > for_ampacity ? IMP_CABLE_BREAKER
                                                       : IMP_CABLE_AMPACITY;
    if (!isnan(load->section))
        row = given;
    const imp_cable_capacity capacity = imp_cable_capacity_at(&view, row);
    choice->section = capacity.section;
    choice->breaker = breaker;
    choice->ampacity = capacity.ampacity;
    choice->drop_fraction = drop_at(load, &view, row);
    choice->gauge = capacity.gauge;
    return IMP_OK;
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
                                 .section = in[SIZE_SECTION].number};
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
    call->out[0].number = choice.section;
    call->out[1].number = choice.breaker;
    call->out[2].number = choice.ampacity;
    call->out[3].number = choice.drop_fraction;
    call->out[4].number = choice.governed_by;
    call->out[5].number = choice.gauge;
    return IMP_OK;
}
