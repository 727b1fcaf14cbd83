#include "column_answers.h"

#include <math.h>
#include <string.h>

#include "budget.h"

static const char metatable_key = 0; /* only its address is used */

enum { MOST_VALUES = 1 << 27, TEXT_SIZE = 200 };

/* ---- boxes ---- */

imp_column_box *imp_column_test(lua_State *L, int index)
{
    imp_column_box *box = lua_type(L, index) == LUA_TUSERDATA ? lua_touserdata(L, index) : NULL;
    return box != NULL && lua_rawlen(L, index) >= sizeof *box && box->mark == &metatable_key ? box : NULL;
}

static void make_metatables(lua_State *L);

/* Before a column is made: it must not hold a day before it has what releases it. */
static void prepare(lua_State *L)
{
    luaL_checkstack(L, 8, "too many values");
    if (lua_rawgetp(L, LUA_REGISTRYINDEX, &metatable_key) == LUA_TNIL)
        make_metatables(L);
    lua_pop(L, 1);
}

static void set_metatable(lua_State *L)
{
    lua_rawgetp(L, LUA_REGISTRYINDEX, &metatable_key);
    lua_setmetatable(L, -2);
}

void imp_column_push(lua_State *L, imp_day *day, imp_column column, const imp_unit *unit)
{
    prepare(L);
    imp_column_box *box = lua_newuserdatauv(L, sizeof *box, 0);
    *box = (imp_column_box){.mark = &metatable_key, .day = day, .column = column, .unit = unit};
    box->kind = imp_columns_kind(day->columns, column);
    day->references++;
    set_metatable(L);
}

imp_column_box *imp_column_push_memory(lua_State *L, size_t count, imp_dimension dimension, bool is_reading,
                                       const imp_unit *unit)
{
    if (count > MOST_VALUES)
        imp_raise_text(L, "column: at most %d values", MOST_VALUES);
    if (imp_lua_known(L)->script != NULL)
        imp_spend(L, count);
    prepare(L);
    imp_column_box *box = lua_newuserdatauv(L, sizeof *box + count * sizeof(double), 0);
    memset(box, 0, sizeof *box);
    box->mark = &metatable_key;
    box->kind.dimension = dimension;
    box->kind.is_reading = is_reading;
    box->kind.length = count;
    box->unit = unit;
    box->count = count;
    set_metatable(L);
    return box;
}

static int column_collect(lua_State *L)
{
    imp_column_box *box = imp_column_test(L, 1);
    if (box != NULL && box->day != NULL) {
        imp_day *day = box->day;
        box->day = NULL;
        box->column = IMP_NO_COLUMN;
        imp_day_release(day);
    }
    return 0;
}

imp_column_box *imp_column_check(lua_State *L, const char *method, int index)
{
    imp_column_box *box = imp_column_test(L, index);
    if (box == NULL) {
        char got[TEXT_SIZE];
        imp_raise_text(L, "%s: expected a column%s, got %s", method, index == 1 ? " before the colon" : "",
                       imp_value_described(L, imp_lua_here(L), index, got, sizeof got));
    }
    return box;
}

void imp_column_check_open(lua_State *L, imp_day *day)
{
    imp_error error;
    if (imp_day_check(day, &error) != IMP_OK)
        imp_raise(L, &error);
}

/* ---- making ---- */

/* imp.column({1.2, 1.3}, "bar"); quantities may stand among the numbers; not-a-number is missing */
static int column_make(lua_State *L)
{
    const imp_lua *lua = imp_lua_here(L);
    size_t length = 0;
    imp_error error;
    char got[TEXT_SIZE];
    if (lua_type(L, 1) != LUA_TTABLE)
        return imp_raise_text(L, "column: expected a list of numbers, got %s",
                              imp_value_described(L, lua, 1, got, sizeof got));
    const char *text = luaL_optlstring(L, 2, "1", &length);
    const imp_unit *unit = imp_unit_cached(L, text, lua_isnoneornil(L, 2) ? 1 : length, &error);
    if (unit == NULL)
        return imp_raise(L, &error);
    lua_settop(L, 1);
    const size_t count = lua_rawlen(L, 1);
    imp_column_box *box = imp_column_push_memory(L, count, unit->dimension, unit->is_reading, unit);
    for (size_t i = 0; i < count; i++) {
        lua_rawgeti(L, 1, (lua_Integer)i + 1);
        const imp_quantity *quantity = imp_quantity_test(L, lua, -1, NULL);
        if (quantity != NULL) {
            double value;
            if (imp_quantity_in(quantity, unit, &value, &error) != IMP_OK)
                return imp_raise(L, &error);
            box->values[i] = quantity->si;
        } else if (lua_type(L, -1) == LUA_TNUMBER) {
            box->values[i] = imp_unit_to_si(unit, (double)lua_tonumber(L, -1));
        } else {
            return imp_raise_text(L, "column: value %d: expected a number, got %s", (int)i + 1,
                                  imp_value_described(L, lua, -1, got, sizeof got));
        }
        if (isinf(box->values[i]))
            return imp_raise_text(L, "column: value %d is not finite", (int)i + 1);
        lua_pop(L, 1);
    }
    return 1;
}

static int push_element(lua_State *L, const imp_column_box *box, lua_Integer i)
{
    if (box->day != NULL)
        return imp_raise_text(L, "a column of a log has no numbered rows; use rows(), resample() or a mask");
    if (i < 1 || (size_t)i > box->count || isnan(box->values[i - 1])) {
        lua_pushnil(L);
        return 1;
    }
    const imp_quantity value = {box->values[i - 1], box->kind.dimension, box->kind.is_reading};
    imp_quantity_push(L, &value, box->unit);
    return 1;
}

static int column_index(lua_State *L)
{
    const imp_column_box *box = imp_column_check(L, "column", 1);
    if (lua_type(L, 2) == LUA_TNUMBER)
        return push_element(L, box, (lua_Integer)lua_tonumber(L, 2));
    lua_pushvalue(L, 2);
    lua_rawget(L, lua_upvalueindex(2));
    if (!lua_isnil(L, -1))
        return 1;
    return imp_raise_text(L, "a column has no \"%.60s\"", lua_type(L, 2) == LUA_TSTRING ? lua_tostring(L, 2) : "?");
}

static int column_length(lua_State *L)
{
    const imp_column_box *box = imp_column_check(L, "#", 1);
    if (box->day != NULL)
        return imp_raise_text(L, "the length of a log's column is not known before it is read; use count()");
    lua_pushinteger(L, (lua_Integer)box->count);
    return 1;
}

/* c:values("bar"): plain numbers of a column in memory; missing ones are not-a-number */
static int column_values(lua_State *L)
{
    const imp_column_box *box = imp_column_check(L, "values", 1);
    imp_error error;
    size_t length;
    if (box->day != NULL)
        return imp_raise_text(L, "values: a log's column may be of any length; use rows() or resample()");
    const imp_quantity sample = {0.0, box->kind.dimension, box->kind.is_reading};
    const imp_unit *unit = imp_quantity_unit(L, &sample, box->unit);
    if (!lua_isnoneornil(L, 2)) {
        const char *text = luaL_checklstring(L, 2, &length);
        unit = imp_unit_cached(L, text, length, &error);
        double ignored;
        if (unit == NULL || imp_quantity_in(&sample, unit, &ignored, &error) != IMP_OK)
            return imp_raise(L, &error);
    }
    lua_createtable(L, (int)box->count, 0);
    for (size_t i = 0; i < box->count; i++) {
        lua_pushnumber(L, unit != NULL ? imp_unit_from_si(unit, box->values[i]) : box->values[i]);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 1;
}

/* c:unit(): the text of the unit in which it is shown */
static int column_unit(lua_State *L)
{
    const imp_column_box *box = imp_column_check(L, "unit", 1);
    const imp_quantity sample = {1.0, box->kind.dimension, box->kind.is_reading};
    const imp_unit *unit = imp_quantity_unit(L, &sample, box->unit);
    char text[128];
    lua_pushstring(L, unit != NULL ? unit->text : imp_dimension_unit_text(box->kind.dimension, text, sizeof text));
    return 1;
}

static int column_tostring(lua_State *L)
{
    const imp_column_box *box = imp_column_check(L, "tostring", 1);
    char kind[128];
    imp_dimension_text(box->kind.dimension, box->kind.is_reading, kind, sizeof kind);
    if (box->day != NULL)
        lua_pushfstring(L, "%s of a log (%s)", box->kind.is_mask ? "mask" : "column", kind);
    else
        lua_pushfstring(L, "%s of %d values (%s)", box->kind.is_mask ? "mask" : "column", (int)box->count, kind);
    return 1;
}

/* c:later(): the same column, whose answers wait for the next pass */
static int column_later(lua_State *L)
{
    const imp_column_box *box = imp_column_check(L, "later", 1);
    if (box->day == NULL)
        return imp_raise_text(L, "later: a column in memory answers at once");
    imp_column_check_open(L, box->day);
    imp_column_push(L, box->day, box->column, box->unit);
    ((imp_column_box *)lua_touserdata(L, -1))->is_later = true;
    return 1;
}

static int is_column(lua_State *L)
{
    lua_pushboolean(L, imp_column_test(L, 1) != NULL);
    return 1;
}

static const luaL_Reg metamethods[] = {
    {"__len", column_length}, {"__tostring", column_tostring}, {"__gc", column_collect}, {NULL, NULL}};

static const luaL_Reg methods[] = {
    {"values", column_values}, {"unit", column_unit}, {"later", column_later}, {NULL, NULL}};

static const luaL_Reg functions[] = {{"column", column_make}, {"is_column", is_column}, {NULL, NULL}};

/* The metatables of columns and of their answers and spans. Most scripts have no column. */
static void make_metatables(lua_State *L)
{
    lua_newtable(L);
    imp_set_functions(L, metamethods);
    imp_set_functions(L, imp_column_operators);
    lua_pushboolean(L, 0);
    lua_setfield(L, -2, "__metatable");
    lua_pushliteral(L, "column");
    lua_setfield(L, -2, "__name");
    lua_pushlightuserdata(L, imp_lua_open(L));
    lua_newtable(L);
    imp_set_functions(L, methods);
    imp_set_functions(L, imp_column_operator_methods);
    imp_set_functions(L, imp_column_reduction_methods);
    imp_set_functions(L, imp_column_span_methods);
    imp_set_functions(L, imp_column_answer_methods);
    lua_pushcclosure(L, column_index, 2);
    lua_setfield(L, -2, "__index");
    imp_column_answers_open(L);
    lua_rawsetp(L, LUA_REGISTRYINDEX, &metatable_key); /* last: all are there, or none */
}

void imp_column_open(lua_State *L)
{
    imp_set_functions(L, functions);
}
