/* What one size of the table does for a load as the cable is laid, and the sentences that say so. */
#include <math.h>

#include "cable_view.h"
#include "check_rows.h"

const char *const imp_cable_limits[] = {"ampacity", "breaker", "drop", "fault", NULL};
/* In the order of the NEC tables, after "none" for the metric sections. */
const char *const imp_cable_gauges[] = {"none",      "14 AWG",    "12 AWG",    "10 AWG",    "8 AWG",     "6 AWG",
                                     "4 AWG",     "3 AWG",     "2 AWG",     "1 AWG",     "1/0 AWG",   "2/0 AWG",
                                     "3/0 AWG",   "4/0 AWG",   "250 kcmil", "300 kcmil", "350 kcmil", "400 kcmil",
                                     "500 kcmil", "600 kcmil", NULL};


enum { CURRENT, LENGTH, VOLTAGE, DROP_LIMIT, POWER_FACTOR, BREAKER, SECTION };
static const imp_param rows[] = {
    [CURRENT] = ROW_CURRENT(""),
    [LENGTH] = ROW_LENGTH,
    [VOLTAGE] = ROW_VOLTAGE(""),
    [DROP_LIMIT] = ROW_DROP_LIMIT,
    [POWER_FACTOR] = ROW_POWER_FACTOR,
    [BREAKER] = ROW_BREAKER(""),
    [SECTION] = ROW_SECTION,
};

/* NEC 210.19(A)(1), 210.20(A) and 215.2, 215.3. */
double imp_cable_design_current(const imp_cable_load *load, const imp_cable_view *view)
{
    return view->laying->code == IMP_CODE_NEC && load->continuous ? 1.25 * load->current : load->current;
}

bool imp_cable_carries(const imp_cable_load *load, const imp_cable_view *view, size_t row)
{
    const imp_cable_capacity own = imp_cable_capacity_at(view, row);
    return own.tabulated * own.factor * IMP_CABLE_SLACK >= load->current &&
           own.terminal * IMP_CABLE_SLACK >= imp_cable_design_current(load, view);
}

bool imp_cable_protects(const imp_cable_view *view, size_t row, double breaker)
{
    return imp_cable_capacity_at(view, row).largest_breaker * IMP_CABLE_SLACK >= breaker;
}

double imp_cable_drop_at(const imp_cable_load *load, const imp_cable_view *view, size_t row)
{
    const imp_cable_capacity capacity = imp_cable_capacity_at(view, row);
    const imp_electrical_run run = {.conductor = {.section = capacity.section,
                                                  .temperature = capacity.working_temperature,
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

/* The drop is proportional to the length: from that of a short piece, which never takes all the voltage. */
double imp_cable_longest(const imp_cable_load *load, const imp_cable_view *view, size_t row)
{
    imp_cable_load piece = *load;
    piece.length = 1e-4;
    return load->drop_limit / imp_cable_drop_at(&piece, view, row) * piece.length;
}

imp_status imp_cable_fault_section(const imp_cable_load *load, const imp_cable_view *view, double *section,
                                   imp_error *error)
{
    const bool current = !isnan(load->fault_current), time = !isnan(load->clearing_time);
    *section = (double)NAN;
    if (!current && !time)
        return IMP_OK;
    if (!current || !time)
        return imp_fail(error, IMP_MISSING, current ? "clearing_time" : "fault_current",
                        "missing; a fault needs both its current and its time");
    return imp_electrical_adiabatic_section(load->fault_current, load->clearing_time,
                                            imp_cable_capacity_at(view, 0).fault_k, section, error);
}

imp_status imp_cable_check_load(const imp_cable_load *load, imp_error *error)
{
    const double values[] = {load->current, load->length, load->voltage, load->drop_limit, load->power_factor};
    imp_status status = imp_check_rows(rows, values, sizeof values / sizeof values[0], error);
    if (status == IMP_OK && !isnan(load->breaker))
        status = imp_check(&rows[BREAKER], load->breaker, error);
    if (status == IMP_OK && load->conductor == IMP_ALUMINIUM_CLASS_2)
        status = imp_fail(error, IMP_NOT_APPLICABLE, "class", "the capacities here are of copper only");
    return status;
}

const char *imp_cable_amperes(double current, char *text)
{
    return imp_param_format(&rows[CURRENT], current, 4, text, IMP_CABLE_TEXT);
}

const char *imp_cable_at_most(double length, char *text)
{
    const double digit = pow(10.0, floor(log10(length)) - 2.0);
    return imp_param_format(&rows[LENGTH], floor(length / digit * IMP_CABLE_SLACK) * digit, 3, text, IMP_CABLE_TEXT);
}

static const char *percent(double fraction, char *text)
{
    return imp_param_format(&rows[DROP_LIMIT], fraction, 3, text, IMP_CABLE_TEXT);
}

const char *imp_cable_size_name(const imp_cable_view *view, size_t row, char *text)
{
    if (view->laying->code == IMP_CODE_NEC)
        return imp_table_nec_size(row, text, IMP_CABLE_TEXT);
    return imp_param_format(&rows[SECTION], imp_cable_capacity_at(view, row).section, 4, text, IMP_CABLE_TEXT);
}

static const char *continuous_note(const imp_cable_load *load, const imp_cable_view *view)
{
    return imp_cable_design_current(load, view) > load->current ? " (125 % of the continuous load)" : "";
}

imp_status imp_cable_choose_breaker(const imp_cable_load *load, const imp_cable_view *view, double *breaker,
                                    imp_error *error)
{
    const double need = imp_cable_design_current(load, view);
    const imp_table_id id = view->laying->code == IMP_CODE_NEC ? IMP_TABLE_NEC_BREAKER : IMP_TABLE_IEC_BREAKER;
    char have[IMP_CABLE_TEXT], least[IMP_CABLE_TEXT], next[IMP_CABLE_TEXT];
    double standard = 0.0;
    const bool has_standard = imp_table_rating(id, need, &standard);
    if (isnan(load->breaker)) {
        if (!has_standard)
            return imp_fail(error, IMP_NO_SOLUTION, "breaker",
                            "no circuit-breaker of %s carries %s; give the rating of the one that is there, or split "
                            "the load",
                            imp_tables[id].standard, imp_cable_amperes(need, least));
        *breaker = standard;
        return IMP_OK;
    }
    *breaker = load->breaker;
    if (load->breaker * IMP_CABLE_SLACK >= need)
        return IMP_OK;
    imp_cable_amperes(load->breaker, have);
    imp_cable_amperes(need, least);
    if (!has_standard)
        return imp_fail(error, IMP_NO_SOLUTION, "breaker",
                        "a breaker of %s is too small for %s%s; use a larger one or split the load", have, least,
                        continuous_note(load, view));
    return imp_fail(error, IMP_NO_SOLUTION, "breaker",
                    "a breaker of %s is too small for %s%s; use one of %s or split the load", have, least,
                    continuous_note(load, view), imp_cable_amperes(standard, next));
}

imp_status imp_cable_check_breaker(const imp_cable_view *view, double breaker, size_t row, imp_error *error)
{
    char size[IMP_CABLE_TEXT], have[IMP_CABLE_TEXT], need[IMP_CABLE_TEXT];
    if (imp_cable_protects(view, row, breaker))
        return IMP_OK;
    return imp_fail(
        error, IMP_NO_SOLUTION, "section",
        "%s bears a breaker of %s at most as it is laid, not one of %s; use a smaller breaker or a larger section",
        imp_cable_size_name(view, row, size),
        imp_cable_amperes(imp_cable_capacity_at(view, row).largest_breaker, have), imp_cable_amperes(breaker, need));
}

imp_status imp_cable_check_current(const imp_cable_load *load, const imp_cable_view *view, size_t row, imp_error *error)
{
    char size[IMP_CABLE_TEXT], have[IMP_CABLE_TEXT], need[IMP_CABLE_TEXT];
    if (imp_cable_carries(load, view, row))
        return IMP_OK;
    return imp_fail(error, IMP_NO_SOLUTION, "section",
                    "%s carries %s as it is laid, less than the load's %s%s; use a larger section, split the load, or "
                    "lay the cable where it cools better",
                    imp_cable_size_name(view, row, size),
                    imp_cable_amperes(imp_cable_capacity_at(view, row).ampacity, have),
                    imp_cable_amperes(imp_cable_design_current(load, view), need), continuous_note(load, view));
}

imp_status imp_cable_check_row(const imp_cable_load *load, const imp_cable_view *view, double breaker,
                               double fault_section, size_t row, imp_error *error)
{
    const double drop = imp_cable_drop_at(load, view, row);
    char size[IMP_CABLE_TEXT], have[IMP_CABLE_TEXT], need[IMP_CABLE_TEXT], length[IMP_CABLE_TEXT],
        most[IMP_CABLE_TEXT];
    imp_status status = imp_cable_check_current(load, view, row, error);
    if (status == IMP_OK)
        status = imp_cable_check_breaker(view, breaker, row, error);
    if (status != IMP_OK)
        return status;
    imp_cable_size_name(view, row, size);
    if (!(drop <= load->drop_limit * IMP_CABLE_SLACK)) {
        imp_param_format(&rows[LENGTH], load->length, 4, length, sizeof length);
        return imp_fail(error, IMP_NO_SOLUTION, "section",
                        "over %s of %s the voltage drop is %s, above %s; use a larger section, or at most %s of this one",
                        length, size, percent(drop, have), percent(load->drop_limit, need),
                        imp_cable_at_most(imp_cable_longest(load, view, row), most));
    }
    if (imp_cable_capacity_at(view, row).section * IMP_CABLE_SLACK < fault_section)
        return imp_fail(error, IMP_NO_SOLUTION, "section",
                        "%s is too thin for the fault, which asks for %s; use a larger section or a breaker that "
                        "clears faster",
                        size, imp_param_format(&rows[SECTION], fault_section, 4, need, sizeof need));
    return IMP_OK;
}
