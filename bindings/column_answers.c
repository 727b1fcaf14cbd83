/* Answers of columns that come now or later, and series. See column_lua.h. */
#include "column_answers.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "budget.h"

static const char answer_key = 0; /* only its address is used */

enum { TEXT_SIZE = 200 };

/* ---- answers ---- */

void *imp_marked_test(lua_State *L, int index, const void *mark, size_t size)
{
    const void **box = lua_type(L, index) == LUA_TUSERDATA ? lua_touserdata(L, index) : NULL;
    return box != NULL && lua_rawlen(L, index) == size && *box == mark ? box : NULL;
}

imp_day *imp_answer_test(lua_State *L, int index, size_t *number)
{
    imp_answer_box *box = imp_marked_test(L, index, &answer_key, sizeof *box);
    if (box == NULL)
        return NULL;
    *number = box->number;
    return box->day;
}

static int answer_collect(lua_State *L)
{
    imp_answer_box *box = imp_marked_test(L, 1, &answer_key, sizeof *box);
    if (box != NULL) {
        imp_day_release(box->day);
        box->mark = NULL;
    }
    return 0;
}

void imp_answer_push(lua_State *L, imp_day *day, size_t number)
{
    imp_answer_box *box = lua_newuserdatauv(L, sizeof *box, 0);
    *box = (imp_answer_box){&answer_key, day, number};
    day->references++;
    lua_rawgetp(L, LUA_REGISTRYINDEX, &answer_key);
    lua_setmetatable(L, -2);
}

const imp_unit *imp_answers_unit(lua_State *L, const imp_unit *unit, bool has_unit)
{
    return has_unit ? imp_unit_cached(L, unit->text, strlen(unit->text), NULL) : NULL;
}

void imp_answers_check_open(lua_State *L, const imp_day *day)
{
    imp_error error;
    if (imp_day_check(day, &error) != IMP_OK)
        imp_raise(L, &error);
}

/* Make the pass that answers everything asked for so far. */
void imp_answers_run(lua_State *L, imp_day *day)
{
    imp_error error;
    if (day->is_hosted) {
        if (!day->is_ran)
            imp_raise_text(L,
                           "this needs the whole log, which is still to be read: ask with later(), and take the answer "
                           "when the rule is given it");
        return;
    }
    if (imp_columns_run(day->columns, day->log, &error) != IMP_OK)
        imp_raise(L, &error);
    day->is_ran = true;
    if (imp_lua_known(L)->script != NULL)
        imp_spend_call(L, 1000);
}

bool imp_answers_has(const imp_day *day, const imp_answer *answer)
{
    imp_quantity ignored;
    return imp_columns_result(day->columns, answer->reduction, &ignored, NULL) != IMP_NOT_APPLICABLE;
}

int imp_answer_push_number(lua_State *L, const imp_day *day, const imp_answer *answer)
{
    imp_quantity result;
    imp_error error;
    const imp_status status = imp_columns_result(day->columns, answer->reduction, &result, &error);
    if (status == IMP_OK && answer->is_count)
        lua_pushinteger(L, (lua_Integer)result.si);
    else if (status == IMP_OK)
        imp_quantity_push(L, &result, imp_answers_unit(L, &answer->unit, answer->has_unit));
    else if (status == IMP_MISSING)
        lua_pushnil(L);
    else
        return imp_raise(L, &error);
    return 1;
}

imp_column_box *imp_column_self(lua_State *L, const char *method)
{
    imp_column_box *box = imp_column_test(L, 1);
    if (box == NULL)
        imp_raise_text(L, "%s: expected a column before the colon", method);
    return box;
}

imp_column_box *imp_column_mask_argument(lua_State *L, const char *method, int index)
{
    imp_column_box *mask = imp_column_test(L, index);
    if (mask == NULL) {
        char got[TEXT_SIZE];
        imp_raise_text(L, "%s: expected a mask or a span, got %s", method,
                       imp_value_described(L, imp_lua_here(L), index, got, sizeof got));
    }
    return mask;
}

/* ---- series ---- */

static double point_value(const imp_series_point *point, int which)
{
    switch (which) {
    case 0:
        return point->time;
    case 1:
        return (double)point->count;
    case 2:
        return point->mean;
    case 3:
        return point->least;
    default:
        return point->greatest;
    }
}

static int push_series(lua_State *L, const imp_day *day, const imp_answer *answer)
{
    static const char *const names[] = {"time", "count", "mean", "min", "max"};
    const size_t count = imp_columns_series_count(day->columns, answer->reduction);
    const imp_unit *unit = imp_answers_unit(L, &answer->unit, answer->has_unit);
    imp_dimension dimension;
    bool is_reading;
    imp_columns_result_kind(day->columns, answer->reduction, &dimension, &is_reading);
    lua_createtable(L, 0, 5);
    for (int which = 0; which < 5; which++) {
        const imp_dimension kinds[] = {imp_dimension_of(IMP_TIME), imp_dimension_of(IMP_PURE), dimension};
        const imp_unit *units[] = {imp_unit_cached(L, "s", 1, NULL), imp_lua_known(L)->pure, unit};
        const int kind = which < 2 ? which : 2;
        imp_column_box *box = imp_column_push_memory(L, count, kinds[kind], which >= 2 && is_reading, units[kind]);
        for (size_t i = 0; i < count; i++) {
            imp_series_point point;
            imp_error error;
            if (imp_columns_series_at(day->columns, answer->reduction, i, &point, &error) != IMP_OK)
                return imp_raise(L, &error);
            box->values[i] = point_value(&point, which);
        }
        lua_setfield(L, -2, names[which]);
    }
    return 1;
}

/* c:resample(q"1 min", [mask]) */
static int column_resample(lua_State *L)
{
    const imp_column_box *box = imp_column_self(L, "resample");
    const double period = imp_check_seconds(L, "resample", 2);
    imp_answer answer;
    imp_error error;
    imp_column mask = IMP_NO_COLUMN;
    size_t number = 0;
    lua_settop(L, 3);
    if (box->day == NULL)
        return imp_raise_text(L, "resample: a column in memory has no time");
    imp_answers_check_open(L, box->day);
    if (!lua_isnil(L, 3)) {
        const imp_column_box *given = imp_column_mask_argument(L, "resample", 3);
        if (given->day != box->day)
            return imp_raise_text(L, "resample: the mask is not of the same log");
        mask = given->column;
    }
    memset(&answer, 0, sizeof answer);
    answer.kind = IMP_ANSWER_SERIES;
    answer.has_unit = box->unit != NULL;
    if (box->unit != NULL)
        answer.unit = *box->unit;
    imp_status status = imp_columns_resample(box->day->columns, box->column, mask, period, &answer.reduction, &error);
    if (status == IMP_OK)
        status = imp_day_ask(box->day, &answer, &number, &error);
    if (status != IMP_OK)
        return imp_raise(L, &error);
    if (box->is_later) {
        imp_answer_push(L, box->day, number);
        return 1;
    }
    imp_answers_run(L, box->day);
    return push_series(L, box->day, &box->day->answers[number]);
}

/* ---- answers that come later ---- */

void imp_day_push_answer(lua_State *L, imp_day *day, size_t number, bool values, size_t most)
{
    imp_answers_check_open(L, day);
    if (number >= day->answer_count)
        imp_raise_text(L, "no such answer");
    const imp_answer *answer = &day->answers[number];
    if (answer->kind == IMP_ANSWER_NUMBER) {
        imp_answer_push_number(L, day, answer);
    } else if (answer->kind == IMP_ANSWER_SERIES) {
        push_series(L, day, answer);
        static const char *const names[] = {"time", "count", "mean", "min", "max"};
        for (int i = 0; values && i < 5; i++) { /* plain numbers, for another state */
            lua_getfield(L, -1, names[i]);
            const imp_column_box *box = imp_column_test(L, -1);
            const imp_quantity sample = {1.0, box->kind.dimension, box->kind.is_reading};
            const imp_unit *unit = imp_quantity_unit(L, &sample, box->unit);
            lua_createtable(L, (int)box->count, 0);
            for (size_t k = 0; k < box->count; k++) {
                lua_pushnumber(L, unit != NULL ? imp_unit_from_si(unit, box->values[k]) : box->values[k]);
                lua_rawseti(L, -2, (lua_Integer)k + 1);
            }
            lua_setfield(L, -3, names[i]);
            if (i == 2) {
                char text[128];
                lua_pushstring(L, unit != NULL ? unit->text
                                               : imp_dimension_unit_text(sample.dimension, text, sizeof text));
                lua_setfield(L, -3, "unit");
            }
            lua_pop(L, 1);
        }
    } else {
        imp_span_list_push(L, day, answer, most < IMP_MOST_SPANS_LATER ? most : IMP_MOST_SPANS_LATER);
    }
}

/* answer:get(): a quantity or nil; spans as a list; a series. Makes the pass that is needed. */
static int answer_get(lua_State *L)
{
    imp_answer_box *box = imp_marked_test(L, 1, &answer_key, sizeof *box);
    if (box == NULL)
        return imp_raise_text(L, "get: expected an answer before the colon");
    imp_answers_check_open(L, box->day);
    if (!imp_answers_has(box->day, &box->day->answers[box->number]))
        imp_answers_run(L, box->day);
    imp_day_push_answer(L, box->day, box->number, false, IMP_MOST_SPANS_LATER);
    return 1;
}

static const luaL_Reg answer_methods[] = {{"get", answer_get}, {NULL, NULL}};

const luaL_Reg imp_column_answer_methods[] = {{"resample", column_resample}, {NULL, NULL}};

void imp_marked_metatable(lua_State *L, const void *key, const char *name, const luaL_Reg *metamethods)
{
    lua_newtable(L);
    imp_set_functions(L, metamethods);
    lua_pushboolean(L, 0);
    lua_setfield(L, -2, "__metatable");
    lua_pushstring(L, name);
    lua_setfield(L, -2, "__name");
    lua_rawsetp(L, LUA_REGISTRYINDEX, key);
}

void imp_column_answers_open(lua_State *L)
{
    static const luaL_Reg of_answer[] = {{"__gc", answer_collect}, {NULL, NULL}};
    imp_marked_metatable(L, &answer_key, "answer", of_answer);
    lua_rawgetp(L, LUA_REGISTRYINDEX, &answer_key);
    lua_newtable(L);
    imp_set_functions(L, answer_methods);
    lua_setfield(L, -2, "__index");
    lua_pop(L, 1);
    imp_column_spans_open(L);
}
