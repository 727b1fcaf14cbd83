/* Arithmetic, comparisons and windows of columns. See column_lua.h. */
#include "column_lua.h"

#include <string.h>

enum { TEXT_SIZE = 200 };

/* ---- operands ---- */

typedef struct operand {
    const imp_column_box *box; /* NULL: a constant */
    imp_quantity constant;
    const imp_unit *unit;
} operand;

static operand read_operand(lua_State *L, const char *verb, int index)
{
    const imp_lua *lua = imp_lua_here(L);
    operand read = {.box = imp_column_test(L, index), .unit = lua->pure};
    if (read.box != NULL) {
        read.unit = read.box->unit;
        return read;
    }
    const imp_quantity *quantity = imp_quantity_test(L, lua, index, &read.unit);
    if (quantity != NULL) {
        read.constant = *quantity;
        return read;
    }
    if (lua_type(L, index) != LUA_TNUMBER) {
        char got[TEXT_SIZE];
        const bool is_text = lua_type(L, index) == LUA_TSTRING;
        imp_value_described(L, lua, index, got, sizeof got);
        imp_raise_text(L, "cannot %s: expected a column, a quantity or a number, got %s%s%s", verb, got,
                       is_text ? "; write q " : "", is_text ? got : "");
    }
    read.constant.si = (double)lua_tonumber(L, index);
    return read;
}

/* The set that both live in: the day's, or a new one for columns in memory. */
typedef struct place {
    imp_day *day;
    imp_columns *set;
    size_t count;
} place;

static place place_of(lua_State *L, const char *verb, const operand *a, const operand *b)
{
    const imp_column_box *first = a->box != NULL ? a->box : b != NULL ? b->box : NULL;
    if (first == NULL) /* an operator of columns is called for a column */
        imp_raise_text(L, "cannot %s: expected a column", verb);
    const imp_column_box *second = a->box != NULL && b != NULL ? b->box : NULL;
    place where = {.day = first->day, .count = first->count};
    imp_error error;
    if (second != NULL && second->day != first->day)
        imp_raise_text(L, "cannot %s: %s", verb,
                       first->day != NULL && second->day != NULL ? "the columns belong to different logs"
                                                                 : "one column is of a log and the other is in memory");
    if (where.day != NULL) {
        imp_column_check_open(L, where.day);
        where.set = where.day->columns;
    } else if (imp_columns_create(NULL, &where.set, &error) != IMP_OK) {
        imp_raise(L, &error);
    }
    return where;
}

static imp_status put(const place *where, const operand *from, imp_column *column, imp_error *error)
{
    if (from->box == NULL)
        return imp_columns_constant(where->set, &from->constant, column, error);
    if (where->day == NULL)
        return imp_column_in_set(where->set, from->box, column, error);
    *column = from->box->column;
    return IMP_OK;
}

/* Push the result; frees the set of columns in memory, also on failure. */
static int push_result(lua_State *L, const char *verb, const place *where, imp_status status, imp_column column,
                       const imp_unit *unit, imp_error *error)
{
    if (status != IMP_OK) {
        if (where->day == NULL)
            imp_columns_free(where->set);
        if (error->place[0] == '\0' && status != IMP_DIMENSION_MISMATCH)
            imp_error_prefix(error, verb, "");
        return imp_raise(L, error);
    }
    if (where->day != NULL)
        imp_column_push(L, where->day, column, unit);
    else
        imp_column_push_from_set(L, where->set, column, where->count, unit);
    return 1;
}

/* The unit a result is shown in, by the rules for quantities. */
static const imp_unit *result_unit(const imp_lua *lua, imp_column_operation operation, const operand *a,
                                   const operand *b)
{
    const imp_dimension a_dimension = a->box != NULL ? a->box->kind.dimension : a->constant.dimension;
    const imp_dimension b_dimension = b->box != NULL ? b->box->kind.dimension : b->constant.dimension;
    const bool a_reading = a->box != NULL ? a->box->kind.is_reading : a->constant.is_reading;
    const bool b_reading = b->box != NULL ? b->box->kind.is_reading : b->constant.is_reading;
    switch (operation) {
    case IMP_COLUMN_ADD:
        return a_reading || !b_reading ? a->unit : b->unit;
    case IMP_COLUMN_SUBTRACT:
        if (!a_reading || !b_reading)
            return a->unit;
        return a->unit != NULL && a->unit->factor != 1.0 ? lua->fahrenheit_difference : lua->kelvin;
    case IMP_COLUMN_MULTIPLY:
        return imp_dimension_is_pure(b_dimension) ? a->unit : imp_dimension_is_pure(a_dimension) ? b->unit : NULL;
    case IMP_COLUMN_DIVIDE:
        if (imp_dimension_same(a_dimension, b_dimension))
            return lua->pure;
        return imp_dimension_is_pure(b_dimension) ? a->unit : NULL;
    case IMP_COLUMN_MINIMUM:
    case IMP_COLUMN_MAXIMUM:
    case IMP_COLUMN_OR_ELSE:
    case IMP_COLUMN_WHERE:
        return a->unit;
    default:
        return lua->pure; /* masks */
    }
}

static int binary(lua_State *L, const char *verb, imp_column_operation operation)
{
    const operand a = read_operand(L, verb, 1), b = read_operand(L, verb, 2);
    const place where = place_of(L, verb, &a, &b);
    imp_column x, y, column = IMP_NO_COLUMN;
    imp_error error;
    imp_status status = put(&where, &a, &x, &error);
    if (status == IMP_OK)
        status = put(&where, &b, &y, &error);
    if (status == IMP_OK)
        status = imp_columns_binary(where.set, operation, x, y, &column, &error);
    return push_result(L, verb, &where, status, column, result_unit(imp_lua_here(L), operation, &a, &b), &error);
}

static int unary(lua_State *L, const char *verb, imp_column_operation operation, const imp_unit *unit)
{
    const operand a = {.box = imp_column_check(L, verb, 1)};
    const place where = place_of(L, verb, &a, &a);
    imp_column x, column = IMP_NO_COLUMN;
    imp_error error;
    imp_status status = put(&where, &a, &x, &error);
    if (status == IMP_OK)
        status = imp_columns_unary(where.set, operation, x, &column, &error);
    return push_result(L, verb, &where, status, column, unit, &error);
}

double imp_check_seconds(lua_State *L, const char *method, int index)
{
    const imp_quantity *quantity = imp_quantity_test(L, imp_lua_here(L), index, NULL);
    if (quantity == NULL || !imp_dimension_same(quantity->dimension, imp_dimension_of(IMP_TIME))) {
        char got[TEXT_SIZE];
        imp_raise_text(L, "%s: expected a time such as q \"5 s\", got %s", method,
                       imp_value_described(L, imp_lua_here(L), index, got, sizeof got));
        return 0.0;
    }
    return quantity->si;
}

static int over_time(lua_State *L, const char *verb, imp_column_operation operation, bool keeps_unit)
{
    const operand a = {.box = imp_column_check(L, verb, 1)};
    const double seconds = imp_check_seconds(L, verb, 2);
    const place where = place_of(L, verb, &a, &a);
    imp_column x, column = IMP_NO_COLUMN;
    imp_error error;
    imp_status status = put(&where, &a, &x, &error);
    if (status == IMP_OK)
        status = imp_columns_over_time(where.set, operation, x, seconds, &column, &error);
    return push_result(L, verb, &where, status, column, keeps_unit ? a.box->unit : imp_lua_here(L)->pure, &error);
}

/* ---- operators and methods ---- */

#define BINARY(name, verb, operation)                                                                                  \
    static int column_##name(lua_State *L)                                                                             \
    {                                                                                                                  \
        return binary(L, verb, operation);                                                                             \
    }
BINARY(add, "add", IMP_COLUMN_ADD)
BINARY(subtract, "subtract", IMP_COLUMN_SUBTRACT)
BINARY(multiply, "multiply", IMP_COLUMN_MULTIPLY)
BINARY(divide, "divide", IMP_COLUMN_DIVIDE)
BINARY(lesser, "lesser", IMP_COLUMN_MINIMUM)
BINARY(greater, "greater", IMP_COLUMN_MAXIMUM)
BINARY(above, "above", IMP_COLUMN_ABOVE)
BINARY(at_least, "at_least", IMP_COLUMN_AT_LEAST)
BINARY(below, "below", IMP_COLUMN_BELOW)
BINARY(at_most, "at_most", IMP_COLUMN_AT_MOST)
BINARY(equals, "equals", IMP_COLUMN_EQUALS)
BINARY(differs, "differs", IMP_COLUMN_DIFFERS)
BINARY(both, "both", IMP_COLUMN_AND)
BINARY(either, "either", IMP_COLUMN_OR)
BINARY(where, "where", IMP_COLUMN_WHERE)
BINARY(or_else, "or_else", IMP_COLUMN_OR_ELSE)

static int column_negate(lua_State *L)
{
    return unary(L, "negate", IMP_COLUMN_NEGATE, imp_column_check(L, "negate", 1)->unit);
}

static int column_abs(lua_State *L)
{
    return unary(L, "abs", IMP_COLUMN_ABS, imp_column_check(L, "abs", 1)->unit);
}

static int column_sqrt(lua_State *L)
{
    const imp_column_box *box = imp_column_check(L, "sqrt", 1);
    return unary(L, "sqrt", IMP_COLUMN_SQRT, imp_dimension_is_pure(box->kind.dimension) ? box->unit : NULL);
}

static int column_opposite(lua_State *L)
{
    return unary(L, "opposite", IMP_COLUMN_NOT, imp_lua_here(L)->pure);
}

static int column_present(lua_State *L)
{
    return unary(L, "present", IMP_COLUMN_PRESENT, imp_lua_here(L)->pure);
}

static int column_missing(lua_State *L)
{
    lua_settop(L, 1);
    column_present(L);
    lua_replace(L, 1);
    return column_opposite(L);
}

static int column_rate(lua_State *L)
{
    return unary(L, "rate", IMP_COLUMN_RATE, NULL);
}

static int column_change(lua_State *L)
{
    const imp_column_box *box = imp_column_check(L, "change", 1);
    const imp_lua *lua = imp_lua_here(L);
    const imp_unit *unit = box->unit;
    if (box->kind.is_reading)
        unit = unit != NULL && unit->factor != 1.0 ? lua->fahrenheit_difference : lua->kelvin;
    return unary(L, "change", IMP_COLUMN_CHANGE, unit);
}

static int column_duration(lua_State *L)
{
    return unary(L, "duration", IMP_COLUMN_DURATION, NULL);
}

static int column_lasting(lua_State *L)
{
    return over_time(L, "lasting", IMP_COLUMN_LASTING, false);
}

static int column_unchanged(lua_State *L)
{
    return over_time(L, "unchanged", IMP_COLUMN_UNCHANGED, false);
}

static int column_rolling(lua_State *L)
{
    return over_time(L, "rolling", IMP_COLUMN_ROLLING, true);
}

/* Call two comparisons with (column, low) and (column, high), and join them. */
static int range(lua_State *L, lua_CFunction low, lua_CFunction high, lua_CFunction join)
{
    const lua_CFunction steps[] = {low, high};
    lua_settop(L, 3);
    for (int i = 0; i < 2; i++) {
        lua_pushlightuserdata(L, imp_lua_here(L));
        lua_pushcclosure(L, steps[i], 1);
        lua_pushvalue(L, 1);
        lua_pushvalue(L, 2 + i);
        lua_call(L, 2, 1);
    }
    lua_pushlightuserdata(L, imp_lua_here(L));
    lua_pushcclosure(L, join, 1);
    lua_insert(L, -3);
    lua_call(L, 2, 1);
    return 1;
}

static int column_between(lua_State *L)
{
    return range(L, column_at_least, column_at_most, column_both);
}

static int column_outside(lua_State *L)
{
    return range(L, column_below, column_above, column_either);
}

static int column_power(lua_State *L)
{
    const double exponent = lua_type(L, 2) == LUA_TNUMBER ? (double)lua_tonumber(L, 2) : 0.0;
    lua_settop(L, 2);
    if (exponent == 0.5) {
        lua_settop(L, 1);
        return column_sqrt(L);
    }
    if (exponent == 1.0) {
        lua_settop(L, 1);
        return 1;
    }
    if (exponent != 2.0)
        return imp_raise_text(L, "a column is raised to 2 or 0.5 only");
    lua_pushvalue(L, 1);
    lua_replace(L, 2);
    return column_multiply(L);
}

/* Element i of a column in memory. */

const luaL_Reg imp_column_operators[] = {{"__add", column_add},       {"__sub", column_subtract},
                                         {"__mul", column_multiply},  {"__div", column_divide},
                                         {"__unm", column_negate},    {"__pow", column_power},
                                         {"__band", column_both},     {"__bor", column_either},
                                         {"__bnot", column_opposite}, {NULL, NULL}};

const luaL_Reg imp_column_operator_methods[] = {{"abs", column_abs},           {"sqrt", column_sqrt},
                                                {"rate", column_rate},         {"change", column_change},
                                                {"duration", column_duration}, {"rolling", column_rolling},
                                                {"lesser", column_lesser},     {"greater", column_greater},
                                                {"or_else", column_or_else},   {"above", column_above},
                                                {"at_least", column_at_least}, {"below", column_below},
                                                {"at_most", column_at_most},   {"equals", column_equals},
                                                {"differs", column_differs},   {"between", column_between},
                                                {"outside", column_outside},   {"present", column_present},
                                                {"missing", column_missing},   {"unchanged", column_unchanged},
                                                {"both", column_both},         {"either", column_either},
                                                {"opposite", column_opposite}, {"lasting", column_lasting},
                                                {"where", column_where},       {NULL, NULL}};
