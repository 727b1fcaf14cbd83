#include "stats_lua.h"

#include <math.h>

#include "catalogue_lua.h"
#include "column_lua.h"
#include "stats.h"

typedef struct values {
    const imp_column_box *column;
    double *present; /* in a userdata on the stack */
    lua_Integer *places;
    size_t count;
} values;

static values read_values(lua_State *L, const char *function)
{
    values read = {.column = imp_column_test(L, 1)};
    char got[200];
    if (read.column == NULL || read.column->day != NULL)
        imp_raise_text(L, "%s: expected a column in memory, as imp.column or resample() give, got %s", function,
                       read.column != NULL ? "a column of a log"
                                           : imp_value_described(L, imp_lua_here(L), 1, got, sizeof got));
    lua_settop(L, 2);
    /* cppcheck-suppress nullPointerRedundantCheck; imp_raise_text does not return */
    const size_t most = read.column->count;
    read.present = lua_newuserdatauv(L, (most + 1) * sizeof *read.present, 0);
    read.places = lua_newuserdatauv(L, (most + 1) * sizeof *read.places, 0);
    for (size_t i = 0; i < most; i++)
        if (!isnan(read.column->values[i])) {
            read.present[read.count] = read.column->values[i];
            read.places[read.count++] = (lua_Integer)i + 1;
        }
    return read;
}

static void set_quantity(lua_State *L, const values *of, const char *name, double si, bool is_difference)
{
    const imp_lua *lua = imp_lua_here(L);
    const imp_unit *unit = of->column->unit;
    const bool is_reading = of->column->kind.is_reading && !is_difference;
    if (of->column->kind.is_reading && is_difference)
        unit = unit != NULL && unit->factor != 1.0 ? lua->fahrenheit_difference : lua->kelvin;
    const imp_quantity quantity = {si, of->column->kind.dimension, is_reading};
    imp_quantity_push(L, &quantity, unit);
    lua_setfield(L, -2, name);
}

/* A new column of the values' kind, in the field `name` of the table on top. */
static double *set_column(lua_State *L, const values *of, const char *name, bool is_difference)
{
    const bool is_reading = of->column->kind.is_reading && !is_difference;
    imp_column_box *box =
        imp_column_push_memory(L, of->count, of->column->kind.dimension, is_reading,
                               of->column->kind.is_reading && is_difference ? NULL : of->column->unit);
    lua_setfield(L, -2, name);
    return box->values;
}

/* An option of the table at index 2: a quantity of the column's kind, or a number in its unit. false: not given. */
static bool read_option(lua_State *L, const values *of, const char *name, bool is_difference, double *si)
{
    if (lua_isnil(L, 2))
        return false;
    luaL_checktype(L, 2, LUA_TTABLE);
    lua_pushstring(L, name);
    lua_rawget(L, 2);
    const imp_quantity *quantity = imp_quantity_test(L, imp_lua_here(L), -1, NULL);
    const bool is_number = lua_type(L, -1) == LUA_TNUMBER, is_given = !lua_isnil(L, -1);
    const bool is_reading = of->column->kind.is_reading && !is_difference;
    const imp_unit *unit = of->column->unit;
    if (quantity != NULL && imp_dimension_same(quantity->dimension, of->column->kind.dimension) &&
        quantity->is_reading == is_reading)
        *si = quantity->si;
    else if (is_number)
        *si = unit == NULL ? (double)lua_tonumber(L, -1)
              : is_reading ? imp_unit_to_si(unit, (double)lua_tonumber(L, -1))
                           : (double)lua_tonumber(L, -1) * unit->factor;
    else if (is_given)
        imp_raise_text(L, "%s: expected a quantity like the column's values", name);
    lua_pop(L, 1);
    return is_given;
}

static double read_number(lua_State *L, const char *name, double fallback)
{
    double number = fallback;
    if (lua_isnil(L, 2))
        return number;
    luaL_checktype(L, 2, LUA_TTABLE);
    lua_pushstring(L, name);
    lua_rawget(L, 2);
    if (lua_type(L, -1) == LUA_TNUMBER)
        number = (double)lua_tonumber(L, -1);
    else if (!lua_isnil(L, -1))
        imp_raise_text(L, "%s: expected a number", name);
    lua_pop(L, 1);
    return number;
}

static void chart_of(lua_State *L, const values *of, imp_stats_individuals *chart)
{
    imp_error error;
    if (imp_stats_individuals_chart(of->present, of->count, chart, &error) != IMP_OK)
        imp_raise(L, &error);
}

/* Upvalue 2: the catalogue's function of this name, which takes a table. */
static int stats_individuals(lua_State *L)
{
    if (imp_column_test(L, 1) == NULL && lua_type(L, lua_upvalueindex(2)) == LUA_TFUNCTION) {
        lua_pushvalue(L, lua_upvalueindex(2));
        lua_insert(L, 1);
        lua_call(L, lua_gettop(L) - 1, LUA_MULTRET);
        return lua_gettop(L);
    }
    const values of = read_values(L, "individuals");
    imp_stats_individuals chart;
    lua_Integer signals = 0;
    chart_of(L, &of, &chart);
    lua_createtable(L, 0, 6);
    set_quantity(L, &of, "centre", chart.centre, false);
    set_quantity(L, &of, "lower", chart.lower, false);
    set_quantity(L, &of, "upper", chart.upper, false);
    set_quantity(L, &of, "moving_range", chart.moving_range, true);
    set_quantity(L, &of, "moving_range_upper", chart.moving_range_upper, true);
    lua_newtable(L);
    for (size_t i = 0; i < of.count; i++)
        if (of.present[i] < chart.lower || of.present[i] > chart.upper) {
            lua_pushinteger(L, of.places[i]);
            lua_rawseti(L, -2, ++signals);
        }
    lua_setfield(L, -2, "signals");
    return 1;
}

/* Target and standard deviation: given, or the individuals chart's. */
static void read_target(lua_State *L, const values *of, double *target, double *sd)
{
    imp_stats_individuals chart;
    const bool has_target = read_option(L, of, "target", false, target), has_sd = read_option(L, of, "sd", true, sd);
    if (has_target && has_sd)
        return;
    chart_of(L, of, &chart);
    if (!has_target)
        *target = chart.centre;
    if (!has_sd)
        *sd = (chart.upper - chart.centre) / 3.0; /* its limits are 3 of them away */
}

static int stats_ewma(lua_State *L)
{
    const values of = read_values(L, "ewma");
    const double weight = read_number(L, "weight", 0.3), width = read_number(L, "width", 3.0);
    double target = 0.0, sd = 0.0;
    lua_Integer signals = 0;
    imp_error error;
    read_target(L, &of, &target, &sd);
    lua_createtable(L, 0, 6);
    double *averages = set_column(L, &of, "averages", false);
    double *lower = set_column(L, &of, "lower", false), *upper = set_column(L, &of, "upper", false);
    if (imp_stats_ewma(of.present, of.count, target, sd, weight, width, averages, lower, upper, &error) != IMP_OK)
        return imp_raise(L, &error);
    set_quantity(L, &of, "target", target, false);
    set_quantity(L, &of, "sd", sd, true);
    lua_newtable(L);
    for (size_t i = 0; i < of.count; i++)
        if (averages[i] < lower[i] || averages[i] > upper[i]) {
            lua_pushinteger(L, of.places[i]);
            lua_rawseti(L, -2, ++signals);
        }
    lua_setfield(L, -2, "signals");
    return 1;
}

static int stats_cusum(lua_State *L)
{
    const values of = read_values(L, "cusum");
    const double k = read_number(L, "k", 0.5), h = read_number(L, "h", 5.0);
    double target = 0.0, sd = 0.0;
    size_t first = 0;
    lua_Integer signals = 0;
    imp_error error;
    read_target(L, &of, &target, &sd);
    lua_createtable(L, 0, 8);
    double *high = set_column(L, &of, "high", true), *low = set_column(L, &of, "low", true);
    if (imp_stats_cusum(of.present, of.count, target, k * sd, h * sd, high, low, &first, &error) != IMP_OK)
        return imp_raise(L, &error);
    set_quantity(L, &of, "target", target, false);
    set_quantity(L, &of, "sd", sd, true);
    set_quantity(L, &of, "k", k * sd, true);
    set_quantity(L, &of, "h", h * sd, true);
    if (first < of.count) {
        lua_pushinteger(L, of.places[first]);
        lua_setfield(L, -2, "first");
    }
    lua_newtable(L);
    for (size_t i = 0; i < of.count; i++)
        if (high[i] > h * sd || low[i] > h * sd) {
            lua_pushinteger(L, of.places[i]);
            lua_rawseti(L, -2, ++signals);
        }
    lua_setfield(L, -2, "signals");
    return 1;
}

static void set_function(lua_State *L, const char *name, lua_CFunction function)
{
    lua_pushstring(L, name);
    lua_pushlightuserdata(L, imp_lua_open(L));
    lua_pushvalue(L, -2);
    lua_rawget(L, -4);
    lua_pushcclosure(L, function, 2);
    lua_rawset(L, -3);
}

void imp_stats_open(lua_State *L)
{
    if (!imp_catalogue_push_group(L, lua_gettop(L), "stats")) /* beside the catalogue's entries */
        luaL_error(L, "no entries for stats");
    set_function(L, "individuals", stats_individuals);
    set_function(L, "ewma", stats_ewma);
    set_function(L, "cusum", stats_cusum);
    lua_pop(L, 1);
}
