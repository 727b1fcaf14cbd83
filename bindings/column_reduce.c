/* Reductions of columns: one quantity for all rows, or for those of a mask or span. See column_lua.h. */
#include "column_answers.h"

#include <string.h>

/* ---- reductions ---- */

/* The rows of a span as a mask: from its first row on, until the end of it. */
static imp_column span_mask(lua_State *L, const imp_day *day, const imp_span *span)
{
    const imp_quantity from = {.si = span->from, .dimension = imp_dimension_of(IMP_TIME)};
    const imp_quantity to = {.si = span->to, .dimension = imp_dimension_of(IMP_TIME)};
    imp_column time, low, high, after, before, mask = IMP_NO_COLUMN;
    imp_error error;
    imp_columns *const set = day->columns;
    imp_status status = imp_columns_source(set, "time", &time, &error);
    if (status == IMP_OK)
        status = imp_columns_constant(set, &from, &low, &error);
    if (status == IMP_OK)
        status = imp_columns_constant(set, &to, &high, &error);
    if (status == IMP_OK)
        status = imp_columns_binary(set, IMP_COLUMN_AT_LEAST, time, low, &after, &error);
    if (status == IMP_OK)
        status = imp_columns_binary(set, span->to > span->from ? IMP_COLUMN_BELOW : IMP_COLUMN_AT_MOST, time, high,
                                    &before, &error);
    if (status == IMP_OK)
        status = imp_columns_binary(set, IMP_COLUMN_AND, after, before, &mask, &error);
    if (status != IMP_OK)
        imp_raise(L, &error);
    return mask;
}

static const imp_unit *answer_unit(lua_State *L, imp_reduction_kind kind, const imp_column_box *box)
{
    const imp_lua *lua = imp_lua_here(L);
    switch (kind) {
    case IMP_REDUCE_COUNT:
        return lua->pure;
    case IMP_REDUCE_TIME:
    case IMP_REDUCE_INTEGRAL:
    case IMP_REDUCE_INTEGRAL_TRAPEZOID:
        return NULL;
    case IMP_REDUCE_SD:
        if (!box->kind.is_reading)
            return box->unit;
        return box->unit != NULL && box->unit->factor != 1.0 ? lua->fahrenheit_difference : lua->kelvin;
    default:
        return box->unit;
    }
}

static int reduce_memory(lua_State *L, imp_reduction_kind kind, const imp_column_box *box, const imp_column_box *mask,
                         double parameter)
{
    imp_columns *set = NULL;
    imp_column column, rows = IMP_NO_COLUMN;
    imp_reduction reduction;
    imp_quantity result;
    imp_error error;
    imp_status status = imp_columns_create(NULL, &set, &error);
    if (status == IMP_OK)
        status = imp_column_in_set(set, box, &column, &error);
    if (status == IMP_OK && mask != NULL)
        status = imp_column_in_set(set, mask, &rows, &error);
    if (status == IMP_OK)
        status = imp_columns_reduce(set, kind, column, rows, parameter, &reduction, &error);
    if (status == IMP_OK)
        status = imp_columns_run_memory(set, &error);
    if (status == IMP_OK)
        status = imp_columns_result(set, reduction, &result, &error);
    imp_columns_free(set);
    if (status == IMP_MISSING) {
        lua_pushnil(L);
        return 1;
    }
    if (status != IMP_OK)
        return imp_raise(L, &error);
    if (kind == IMP_REDUCE_COUNT)
        lua_pushinteger(L, (lua_Integer)result.si);
    else
        imp_quantity_push(L, &result, answer_unit(L, kind, box));
    return 1;
}

/* Unit of an integral: of flows "L", of pure numbers and masks "s"; else coherent SI. */
static const imp_unit *shown_unit(lua_State *L, imp_reduction_kind kind, const imp_column_box *box,
                                  imp_dimension dimension)
{
    if (imp_dimension_same(dimension, imp_dimension_of(IMP_TIME)) && kind != IMP_REDUCE_MEAN)
        return imp_unit_cached(L, "s", 1, NULL);
    if (imp_dimension_same(dimension, imp_dimension_of(IMP_VOLUME)) && kind != IMP_REDUCE_MEAN && box->unit != NULL &&
        (kind == IMP_REDUCE_INTEGRAL || kind == IMP_REDUCE_INTEGRAL_TRAPEZOID))
        return imp_unit_cached(
            L, strstr(box->unit->text, "gal") != NULL || strcmp(box->unit->text, "gpm") == 0 ? "gal" : "L",
            strstr(box->unit->text, "gal") != NULL || strcmp(box->unit->text, "gpm") == 0 ? 3 : 1, NULL);
    return answer_unit(L, kind, box);
}

static size_t ask(lua_State *L, imp_reduction_kind kind, const imp_column_box *box, imp_column mask, double parameter)
{
    imp_answer answer;
    imp_error error;
    imp_dimension dimension;
    bool is_reading;
    size_t number = 0;
    memset(&answer, 0, sizeof answer);
    answer.kind = IMP_ANSWER_NUMBER;
    answer.is_count = kind == IMP_REDUCE_COUNT;
    imp_status status =
        imp_columns_reduce(box->day->columns, kind, box->column, mask, parameter, &answer.reduction, &error);
    if (status != IMP_OK)
        imp_raise(L, &error);
    imp_columns_result_kind(box->day->columns, answer.reduction, &dimension, &is_reading);
    const imp_unit *unit = shown_unit(L, kind, box, dimension);
    answer.has_unit = unit != NULL;
    if (unit != NULL)
        answer.unit = *unit;
    status = imp_day_ask(box->day, &answer, &number, &error);
    if (status != IMP_OK)
        imp_raise(L, &error);
    return number;
}

/* Mean, least or greatest of a span that came from spans(): known already, or known for all its spans after one pass.
 */
static int push_span_value(lua_State *L, imp_reduction_kind kind, const imp_column_box *box, const imp_span_box *span)
{
    imp_day *day = box->day;
    imp_answer *of = &day->answers[span->answer];
    size_t number = span->answer, place = 0;
    while (place < of->value_count && of->values[place] != box->column)
        place++;
    if (place == of->value_count) {
        imp_column_box mask = {.day = day, .column = of->mask, .kind = imp_columns_kind(day->columns, of->mask)};
        number = imp_column_ask_spans(L, &mask, &box, 1);
        place = 0;
        if (!imp_answers_has(day, &day->answers[number]))
            imp_answers_run(L, day);
    }
    imp_span found;
    imp_error error;
    if (imp_columns_span_at(day->columns, day->answers[number].reduction, span->index, &found, &error) != IMP_OK)
        return imp_raise(L, &error);
    const imp_span_value *value = &found.values[place];
    if (value->count == 0) {
        lua_pushnil(L);
        return 1;
    }
    const double si = kind == IMP_REDUCE_MEAN ? value->mean : kind == IMP_REDUCE_MIN ? value->least : value->greatest;
    const imp_quantity quantity = {si, box->kind.dimension, box->kind.is_reading};
    imp_quantity_push(L, &quantity, box->unit);
    return 1;
}

/* method([mask or span]); argument: where the mask stands */
static int reduce(lua_State *L, const char *method, imp_reduction_kind kind, double parameter, int argument)
{
    const imp_column_box *box = imp_column_self(L, method);
    lua_settop(L, argument);
    if (box->day == NULL) {
        const imp_column_box *mask = lua_isnil(L, argument) ? NULL : imp_column_mask_argument(L, method, argument);
        if (mask != NULL && mask->day != NULL)
            return imp_raise_text(L, "%s: the mask is of a log and the column is in memory", method);
        return reduce_memory(L, kind, box, mask, parameter);
    }
    imp_answers_check_open(L, box->day);
    const imp_span_box *span = imp_span_test(L, argument);
    if (span != NULL && span->day != box->day)
        return imp_raise_text(L, "%s: the span is of another log", method);
    const bool is_simple = kind == IMP_REDUCE_MEAN || kind == IMP_REDUCE_MIN || kind == IMP_REDUCE_MAX;
    if (span != NULL && is_simple && !box->is_later)
        return push_span_value(L, kind, box, span);
    imp_column mask = IMP_NO_COLUMN;
    if (span != NULL)
        mask = span_mask(L, box->day, &span->span);
    else if (!lua_isnil(L, argument)) {
        const imp_column_box *given = imp_column_mask_argument(L, method, argument);
        if (given->day != box->day)
            return imp_raise_text(L, "%s: the mask is not of the same log", method);
        mask = given->column;
    }
    const size_t number = ask(L, kind, box, mask, parameter);
    if (box->is_later) {
        imp_answer_push(L, box->day, number);
        return 1;
    }
    if (!imp_answers_has(box->day, &box->day->answers[number]))
        imp_answers_run(L, box->day);
    return imp_answer_push_number(L, box->day, &box->day->answers[number]);
}

#define REDUCTION(name, kind)                                                                                          \
    static int column_##name(lua_State *L)                                                                             \
    {                                                                                                                  \
        return reduce(L, #name, kind, 0.0, 2);                                                                         \
    }
REDUCTION(count, IMP_REDUCE_COUNT)
REDUCTION(sum, IMP_REDUCE_SUM)
REDUCTION(mean, IMP_REDUCE_MEAN)
REDUCTION(sd, IMP_REDUCE_SD)
REDUCTION(min, IMP_REDUCE_MIN)
REDUCTION(max, IMP_REDUCE_MAX)
REDUCTION(first, IMP_REDUCE_FIRST)
REDUCTION(last, IMP_REDUCE_LAST)
REDUCTION(time, IMP_REDUCE_TIME)
REDUCTION(integral, IMP_REDUCE_INTEGRAL)
REDUCTION(trapezoid, IMP_REDUCE_INTEGRAL_TRAPEZOID)
REDUCTION(time_mean, IMP_REDUCE_TIME_MEAN)
REDUCTION(increase, IMP_REDUCE_INCREASE)

/* c:quantile(0.95, [mask]) */
static int column_quantile(lua_State *L)
{
    const imp_quantity *share = imp_quantity_test(L, imp_lua_here(L), 2, NULL);
    double p;
    if (share != NULL && imp_dimension_is_pure(share->dimension))
        p = share->si;
    else if (lua_type(L, 2) == LUA_TNUMBER)
        p = (double)lua_tonumber(L, 2);
    else
        return imp_raise_text(L, "quantile: expected a share such as 0.95");
    return reduce(L, "quantile", IMP_REDUCE_QUANTILE, p, 3);
}

const luaL_Reg imp_column_reduction_methods[] = {{"count", column_count},
                                                 {"sum", column_sum},
                                                 {"mean", column_mean},
                                                 {"sd", column_sd},
                                                 {"min", column_min},
                                                 {"max", column_max},
                                                 {"first", column_first},
                                                 {"last", column_last},
                                                 {"quantile", column_quantile},
                                                 {"time", column_time},
                                                 {"integral", column_integral},
                                                 {"trapezoid", column_trapezoid},
                                                 {"time_mean", column_time_mean},
                                                 {"increase", column_increase},
                                                 {NULL, NULL}};
