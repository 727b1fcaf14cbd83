/* What a cable may carry as it is laid: the tables, their factors and the terminals. */
#include <math.h>

#include "cable_view.h"

enum { SECTION, PHASES, METHOD, INSULATION, AMBIENT, GROUPED, CODE, LAYERS, TERMINAL };
const imp_param imp_cable_ampacity_in[9] = {
    ROW_SECTION,
    ROW_PHASES,
    ROW_METHOD,
    ROW_INSULATION,
    ROW_AMBIENT,
    ROW_GROUPED,
    ROW_CODE("iec: metric sections by IEC 60364; nec: AWG and kcmil by the NEC"),
    ROW_LAYERS,
    ROW_TERMINAL,
};
/* Trends are cut in two where "??-" would be a trigraph. */
const imp_param imp_cable_ampacity_out[6] = {
    {.name = "ampacity",
     .symbol = "Iz",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "+???"
              "--?-+",
     .help = "as it is laid"},
    {.name = "tabulated",
     .symbol = "I_table",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "+???00?00",
     .help = "before the factors"},
    {.name = "factor",
     .symbol = "k",
     .dimension = IMP_PURE,
     .unit = "1",
     .high = 1.5,
     .trend = "0???"
              "--?-0",
     .help = "of ambient, grouping and drum together"},
    {.name = "largest_breaker",
     .symbol = "In_max",
     .dimension = IMP_CURRENT,
     .unit = "A",
     .trend = "+???"
              "--?-+",
     .help = "that protects the conductor; nec: the next standard rating, 15, 20, 30 A for 14, 12, 10 AWG"},
    {.name = "working_temperature",
     .symbol = "T_w",
     .dimension = IMP_TEMPERATURE,
     .unit = "degC",
     .trend = "0???00?0+",
     .help = "of the conductor when it carries its ampacity; nec: not above the terminals'"},
    {.name = "fault_k",
     .symbol = "k_fault",
     .dimension = IMP_PURE,
     .unit = "1",
     .trend = "0???00?00",
     .help = "in A s^0.5/mm^2, for electrical.adiabatic_section: of a fault that begins at the insulation's temperature"},
};

static imp_status check_whole(const imp_param *row, double value, imp_error *error)
{
    const imp_status status = imp_check(row, value, error);
    if (status != IMP_OK || value == floor(value))
        return status;
    char text[96];
    return imp_fail(error, IMP_RANGE, row->name, "%s is not a whole number",
                    imp_param_format(row, value, 6, text, sizeof text));
}

static imp_status check_laying(const imp_cable_laying *laying, imp_error *error)
{
    imp_status status = imp_electrical_check_choice(&imp_cable_ampacity_in[PHASES], (int)laying->phases, error);
    if (status == IMP_OK)
        status = imp_electrical_check_choice(&imp_cable_ampacity_in[METHOD], (int)laying->method, error);
    if (status == IMP_OK)
        status = imp_electrical_check_choice(&imp_cable_ampacity_in[INSULATION], (int)laying->insulation, error);
    if (status == IMP_OK)
        status = imp_check(&imp_cable_ampacity_in[AMBIENT], laying->ambient_temperature, error);
    if (status == IMP_OK)
        status = check_whole(&imp_cable_ampacity_in[GROUPED], laying->grouped, error);
    if (status == IMP_OK)
        status = check_whole(&imp_cable_ampacity_in[LAYERS], laying->layers_on_drum, error);
    if (status == IMP_OK && !isnan(laying->terminal_temperature))
        status = imp_check(&imp_cable_ampacity_in[TERMINAL], laying->terminal_temperature, error);
    return status;
}

static double nec_temperature(imp_nec_column column)
{
    return IMP_CELSIUS(45.0 + 15.0 * (double)column);
}

static imp_status terminal_column(const imp_cable_laying *laying, imp_nec_column *column, imp_error *error)
{
    if (isnan(laying->terminal_temperature))
        return IMP_OK;
    for (imp_nec_column own = IMP_NEC_60; own <= IMP_NEC_90; own++)
        if (fabs(nec_temperature(own) - laying->terminal_temperature) < 0.01) {
            *column = own;
            return IMP_OK;
        }
    char text[96];
    const imp_param *row = &imp_cable_ampacity_in[TERMINAL];
    return imp_fail(error, IMP_NOT_APPLICABLE, row->name, "terminals are rated 60 degC, 75 degC or 90 degC, not %s",
                    imp_param_format(row, laying->terminal_temperature, 4, text, sizeof text));
}

/* BS 7671, note 1 to table 4F1A: in free air, or resting on a surface. NEC 400.12 keeps cords out of raceways. */
static imp_status check_rubber(const imp_cable_laying *laying, imp_error *error)
{
    if (laying->insulation != IMP_INSULATION_RUBBER || laying->method == IMP_METHOD_C || laying->method == IMP_METHOD_E)
        return IMP_OK;
    return imp_fail(error, IMP_NOT_APPLICABLE, "method",
                    "flexible rubber cable is rated lying on a surface (C) or in free air (E), not %s in conduit; lay it "
                    "so, or use a cable made for conduit",
                    imp_electrical_methods[laying->method]);
}

bool imp_cable_is_given(const imp_cable_view *view, size_t row)
{
    return row < view->row_count && imp_cable_capacity_at(view, row).tabulated > 0.0;
}

/* Rows up to the last that gives a current. */
static size_t count_rows(const imp_cable_view *view, imp_table_id id)
{
    size_t count = imp_tables[id].row_count;
    while (count > 0 && imp_cable_capacity_at(view, count - 1).tabulated <= 0.0)
        count--;
    return count;
}

static imp_status view_iec(imp_cable_view *view, imp_error *error)
{
    const imp_cable_laying *laying = view->laying;
    double ambient = 1.0, grouping = 1.0;
    imp_status status = imp_table_ambient(laying->insulation, laying->ambient_temperature, &ambient, error);
    if (status == IMP_OK)
        status = imp_table_grouping(laying->method, (int)laying->grouped, &grouping, error);
    view->factor *= ambient * grouping;
    view->row_count = count_rows(view, IMP_TABLE_PVC_2);
    return status;
}

static imp_status view_nec(imp_cable_view *view, imp_error *error)
{
    const imp_cable_laying *laying = view->laying;
    double ambient = 1.0;
    static const imp_nec_column columns[] = {IMP_NEC_75, IMP_NEC_90, IMP_NEC_60};
    view->insulation_column = columns[laying->insulation];
    imp_status status = terminal_column(laying, &view->terminal_column, error);
    if (status == IMP_OK)
        status = imp_table_nec_ambient(view->insulation_column, laying->ambient_temperature, &ambient, error);
    if (status != IMP_OK)
        return status;
    const int conductors = (int)laying->grouped * (laying->phases == IMP_THREE_PHASE ? 3 : 2);
    view->factor *= ambient * imp_table_nec_adjustment(conductors);
    view->row_count = count_rows(view, IMP_TABLE_NEC_AMPACITY);
    return IMP_OK;
}

imp_status imp_cable_look_at(const imp_cable_laying *laying, imp_cable_view *view, imp_error *error)
{
    imp_status status = check_laying(laying, error);
    view->laying = laying;
    if (status == IMP_OK)
        status = check_rubber(laying, error);
    if (status == IMP_OK)
        status = imp_table_drum((int)laying->layers_on_drum, &view->factor, error);
    if (status == IMP_OK)
        status = laying->code == IMP_CODE_NEC ? view_nec(view, error) : view_iec(view, error);
    return status;
}

/* Column of the terminals. NEC 110.14(C)(1): where nothing is marked, 60 degC for 14 to 1 AWG and for circuits up to
 * 100 A, 75 degC above. A larger conductor on so small a circuit has more than enough at either; 1 AWG on a circuit
 * above 100 A is taken at 60 degC, which is the stricter reading. */
static imp_nec_column terminal_column_at(const imp_cable_view *view, size_t row)
{
    const size_t one_awg = 8; /* of the rows, 14 AWG first */
    imp_nec_column column = view->terminal_column;
    if (isnan(view->laying->terminal_temperature))
        column = row <= one_awg ? IMP_NEC_60 : IMP_NEC_75;
    return column < view->insulation_column ? column : view->insulation_column;
}

/* NEC 240.4(D): largest breaker of the small conductors; infinity for the others. */
static double small_conductor_limit(size_t row)
{
    static const double largest[] = {15.0, 20.0, 30.0}; /* 14, 12, 10 AWG */
    return row < sizeof largest / sizeof largest[0] ? largest[row] : (double)INFINITY;
}

/* NEC 240.4(B): an ampacity between standard ratings may have the next one, up to 800 A. */
static double next_rating(double ampacity)
{
    double next = 0.0;
    return imp_table_rating(IMP_TABLE_NEC_BREAKER, ampacity, &next) && next <= 800.0 ? next : ampacity;
}

/* IEC 60364-4-43 table 43A, copper. The NEC's PVC is at 75 degC when the fault begins: IEC 60364-5-54 annex A from there
 * to the 150 degC of ICEA P-32-382. Rubber from 60 to 200 degC. */
static double fault_k(const imp_cable_laying *laying)
{
    if (laying->insulation == IMP_INSULATION_XLPE)
        return 143.0;
    if (laying->insulation == IMP_INSULATION_RUBBER)
        return 141.0;
    return laying->code == IMP_CODE_NEC ? 105.0 : 115.0;
}

/* NEC 400.5(A)(1): column A for three current-carrying conductors, B for two. */
static double cord_ampacity(const imp_cable_laying *laying, size_t row)
{
    return imp_table_value(IMP_TABLE_NEC_CORD, row, laying->phases == IMP_THREE_PHASE ? 1 : 2);
}

imp_cable_capacity imp_cable_capacity_at(const imp_cable_view *view, size_t row)
{
    const imp_cable_laying *laying = view->laying;
    const bool is_rubber = laying->insulation == IMP_INSULATION_RUBBER;
    imp_cable_capacity capacity = {.factor = view->factor, .terminal = (double)INFINITY};
    if (laying->code == IMP_CODE_NEC) {
        capacity.section = imp_table_nec_area(row);
        capacity.gauge = (int)row + 1;
        capacity.tabulated = imp_table_value(IMP_TABLE_NEC_AMPACITY, row, (size_t)view->insulation_column);
        capacity.terminal = imp_table_value(IMP_TABLE_NEC_AMPACITY, row, (size_t)terminal_column_at(view, row));
        capacity.working_temperature = nec_temperature(terminal_column_at(view, row));
        if (is_rubber) /* 125 % of a load that lasts counts before the factors, as at terminals */
            capacity.tabulated = capacity.terminal = cord_ampacity(laying, row);
    } else {
        capacity.section = IMP_SQUARE_MILLIMETRE(imp_table_value(IMP_TABLE_PVC_2, row, 0));
        capacity.tabulated =
            imp_table_capacity(laying->method, laying->insulation, laying->phases == IMP_THREE_PHASE ? 3 : 2, row);
        static const double highest[] = {70.0, 90.0, 60.0};
        capacity.working_temperature = IMP_CELSIUS(highest[laying->insulation]);
    }
    capacity.ampacity = fmin(capacity.tabulated * capacity.factor, capacity.terminal);
    capacity.largest_breaker = laying->code == IMP_CODE_NEC && !is_rubber
                                   ? fmin(next_rating(capacity.ampacity), small_conductor_limit(row))
                                   : capacity.ampacity;
    capacity.fault_k = fault_k(laying);
    return capacity;
}

/* A size that exists and that the table of rubber leaves out. */
static imp_status refuse_gap(const imp_cable_view *view, size_t row, imp_error *error)
{
    const bool is_nec = view->laying->code == IMP_CODE_NEC;
    char size[IMP_CABLE_TEXT], last[IMP_CABLE_TEXT];
    return imp_fail(error, IMP_NOT_APPLICABLE, "section",
                    "%s gives no current for a rubber cable of %s on %s; its largest is %s",
                    is_nec ? "NEC table 400.5(A)(1)" : "BS 7671 table 4F1A", imp_cable_size_name(view, row, size),
                    view->laying->phases == IMP_THREE_PHASE ? "three phases" : "one phase",
                    imp_cable_size_name(view, view->row_count - 1, last));
}

/* The row of a given section. */
imp_status imp_cable_row_of(const imp_cable_view *view, double section, size_t *row, imp_error *error)
{
    imp_status status = imp_check(&imp_cable_ampacity_in[SECTION], section, error);
    if (status != IMP_OK)
        return status;
    if (view->laying->code == IMP_CODE_NEC) {
        status = imp_table_nec_row(section, row, error);
        return status != IMP_OK || imp_cable_is_given(view, *row) ? status : refuse_gap(view, *row, error);
    }
    double unused = 0.0;
    status = imp_table_resistance(section, IMP_COPPER_CLASS_2, &unused, error); /* names the neighbours */
    if (status == IMP_OK && !imp_table_row(IMP_TABLE_PVC_2, section * 1e6, row))
        return imp_fail(error, IMP_NOT_APPLICABLE, "section", "IEC 60364-5-52 gives no current below 1.5 mm^2");
    if (status == IMP_OK && !imp_cable_is_given(view, *row))
        return refuse_gap(view, *row, error);
    return status;
}

imp_status imp_cable_ampacity(double section, const imp_cable_laying *laying, imp_cable_capacity *capacity,
                              imp_error *error)
{
    imp_cable_view view = {.factor = 1.0};
    size_t row = 0;
    imp_status status = imp_cable_look_at(laying, &view, error);
    if (status == IMP_OK)
        status = imp_cable_row_of(&view, section, &row, error);
    if (status == IMP_OK)
        *capacity = imp_cable_capacity_at(&view, row);
    return status;
}

imp_status imp_cable_ampacity_evaluate(const imp_call *call)
{
    const imp_value *in = call->in;
    const imp_cable_laying laying = {.phases = (imp_phases)in[PHASES].number,
                                     .method = (imp_cable_method)in[METHOD].number,
                                     .insulation = (imp_insulation)in[INSULATION].number,
                                     .ambient_temperature = in[AMBIENT].number,
                                     .grouped = in[GROUPED].number,
                                     .code = (imp_code)in[CODE].number,
                                     .layers_on_drum = in[LAYERS].number,
                                     .terminal_temperature = in[TERMINAL].number};
    imp_cable_capacity capacity;
    const imp_status status = imp_cable_ampacity(in[SECTION].number, &laying, &capacity, call->error);
    if (status != IMP_OK)
        return status;
    call->out[0].number = capacity.ampacity;
    call->out[1].number = capacity.tabulated;
    call->out[2].number = capacity.factor;
    call->out[3].number = capacity.largest_breaker;
    call->out[4].number = capacity.working_temperature;
    call->out[5].number = capacity.fault_k;
    return IMP_OK;
}
