/* What columns answer: reductions, spans and series. See column_lua.h. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "budget.h"
#include "column_lua.h"

static const char answer_key = 0, span_key = 0; /* only their addresses are used */

enum { TEXT_SIZE = 200, MOST_SPANS = 1000 /* of an answer that comes later: each is a table */ };

typedef struct answer_box {
    const void *mark;
    imp_day *day; /* a reference of its own */
    size_t number;
} answer_box;

/* A span stays usable after the list of spans is gone: it knows its times, and which spans it came from. */
typedef struct span_box {
    const void *mark;
    imp_day *day; /* a reference of its own */
    size_t answer, index;
    imp_span span;
} span_box;

/* ---- answers ---- */

static void *test_marked(lua_State *L, int index, const void *mark, size_t size)
{
    const void **box = lua_type(L, index) == LUA_TUSERDATA ? lua_touserdata(L, index) : NULL;
    return box != NULL && lua_rawlen(L, index) == size && *box == mark ? box : NULL;
}

imp_day *imp_answer_test(lua_State *L, int index, size_t *number)
{
    answer_box *box = test_marked(L, index, &answer_key, sizeof *box);
    if (box == NULL)
        return NULL;
    *number = box->number;
    return box->day;
}

static int answer_collect(lua_State *L)
{
    answer_box *box = test_marked(L, 1, &answer_key, sizeof *box);
    if (box != NULL) {
        imp_day_release(box->day);
        box->mark = NULL;
    }
    return 0;
}

static void push_answer_box(lua_State *L, imp_day *day, size_t number)
{
    answer_box *box = lua_newuserdatauv(L, sizeof *box, 0);
    *box = (answer_box){&answer_key, day, number};
    day->references++;
    lua_rawgetp(L, LUA_REGISTRYINDEX, &answer_key);
    lua_setmetatable(L, -2);
}

static const imp_unit *cached_unit(lua_State *L, const imp_unit *unit, bool has_unit)
{
    return has_unit ? imp_unit_cached(L, unit->text, strlen(unit->text), NULL) : NULL;
}

static void check_open(lua_State *L, const imp_day *day)
{
    imp_error error;
    if (imp_day_check(day, &error) != IMP_OK)
        imp_raise(L, &error);
}

/* Make the pass that answers everything asked for so far. */
static void run(lua_State *L, imp_day *day)
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

static bool is_answered(const imp_day *day, const imp_answer *answer)
{
    imp_quantity ignored;
    return imp_columns_result(day->columns, answer->reduction, &ignored, NULL) != IMP_NOT_APPLICABLE;
}

static int push_number(lua_State *L, const imp_day *day, const imp_answer *answer)
{
    imp_quantity result;
    imp_error error;
    const imp_status status = imp_columns_result(day->columns, answer->reduction, &result, &error);
    if (status == IMP_OK && answer->is_count)
        lua_pushinteger(L, (lua_Integer)result.si);
    else if (status == IMP_OK)
        imp_quantity_push(L, &result, cached_unit(L, &answer->unit, answer->has_unit));
    else if (status == IMP_MISSING)
        lua_pushnil(L);
    else
        return imp_raise(L, &error);
    return 1;
}

/* ---- spans ---- */

static void push_time_text(lua_State *L, const imp_day *day, double time)
{
    char text[64];
    lua_pushstring(L, imp_log_time_text(imp_columns_header(day->columns), time, text, sizeof text));
}

static void push_seconds(lua_State *L, double seconds)
{
    const imp_quantity quantity = {.si = seconds, .dimension = imp_dimension_of(IMP_TIME)};
    imp_quantity_push(L, &quantity, imp_unit_cached(L, "s", 1, NULL));
}

static int span_collect(lua_State *L)
{
    span_box *box = test_marked(L, 1, &span_key, sizeof *box);
    if (box != NULL) {
        imp_day_release(box->day);
        box->mark = NULL;
    }
    return 0;
}

static const span_box *span_test(lua_State *L, int index)
{
    return test_marked(L, index, &span_key, sizeof(span_box));
}

static int span_index(lua_State *L)
{
    const span_box *box = span_test(L, 1);
    const char *name = lua_type(L, 2) == LUA_TSTRING ? lua_tostring(L, 2) : "";
    if (box == NULL)
        return imp_raise_text(L, "expected a span");
    if (strcmp(name, "duration") == 0)
        push_seconds(L, box->span.duration);
    else if (strcmp(name, "start") == 0)
        push_seconds(L, box->span.from);
    else if (strcmp(name, "finish") == 0)
        push_seconds(L, box->span.to);
    else if (strcmp(name, "rows") == 0)
        lua_pushinteger(L, (lua_Integer)box->span.rows);
    else if (strcmp(name, "from") == 0 || strcmp(name, "to") == 0) {
        check_open(L, box->day);
        push_time_text(L, box->day, name[0] == 'f' ? box->span.from : box->span.to);
    } else
        return imp_raise_text(L, "a span has from, to, start, finish, duration and rows, no \"%.40s\"", name);
    return 1;
}

static int span_tostring(lua_State *L)
{
    const span_box *box = span_test(L, 1);
    if (box == NULL || box->day->columns == NULL) {
        lua_pushliteral(L, "span");
        return 1;
    }
    push_time_text(L, box->day, box->span.from);
    lua_pushliteral(L, " to ");
    push_time_text(L, box->day, box->span.to);
    lua_concat(L, 3);
    return 1;
}

static void push_span(lua_State *L, imp_day *day, size_t number, size_t index)
{
    imp_span span;
    imp_error error;
    if (imp_columns_span_at(day->columns, day->answers[number].reduction, index, &span, &error) != IMP_OK)
        imp_raise(L, &error);
    span_box *box = lua_newuserdatauv(L, sizeof *box, 0);
    *box = (span_box){&span_key, day, number, index, span};
    day->references++;
    lua_rawgetp(L, LUA_REGISTRYINDEX, &span_key);
    lua_setmetatable(L, -2);
}

size_t imp_column_ask_spans(lua_State *L, const imp_column_box *mask, const imp_column_box *const *values, size_t count)
{
    imp_day *day = mask->day;
    imp_answer answer;
    imp_error error;
    size_t number = 0;
    if (day == NULL)
        imp_raise_text(L, "spans: a column in memory has no time");
    check_open(L, day);
    if (count > IMP_SPAN_VALUES)
        imp_raise_text(L, "spans: at most %d columns", IMP_SPAN_VALUES);
    memset(&answer, 0, sizeof answer);
    answer.kind = IMP_ANSWER_SPANS;
    answer.mask = mask->column;
    answer.value_count = count;
    for (size_t i = 0; i < count; i++) {
        if (values[i]->day != day)
            imp_raise_text(L, "spans: column %d is not of the same log", (int)i + 1);
        answer.values[i] = values[i]->column;
        answer.value_dimensions[i] = values[i]->kind.dimension;
        answer.value_readings[i] = values[i]->kind.is_reading;
        answer.value_has_unit[i] = values[i]->unit != NULL;
        if (values[i]->unit != NULL)
            answer.value_units[i] = *values[i]->unit;
    }
    /* asked before: the same spans with the same values */
    for (size_t i = 0; i < day->answer_count; i++)
        if (day->answers[i].kind == IMP_ANSWER_SPANS && day->answers[i].mask == answer.mask &&
            day->answers[i].value_count == count &&
            memcmp(day->answers[i].values, answer.values, sizeof answer.values) == 0)
            return i;
    imp_status status = imp_columns_spans(day->columns, answer.mask, answer.values, count, &answer.reduction, &error);
    if (status == IMP_OK)
        status = imp_day_ask(day, &answer, &number, &error);
    if (status != IMP_OK)
        imp_raise(L, &error);
    return number;
}

/* for span in mask:spans(columns...) do ... end */
static int next_span(lua_State *L)
{
    imp_day *day = lua_touserdata(L, lua_upvalueindex(2));
    const size_t number = (size_t)lua_tointeger(L, lua_upvalueindex(3));
    const lua_Integer at = lua_tointeger(L, lua_upvalueindex(4));
    check_open(L, day);
    if ((size_t)at >= imp_columns_spans_kept(day->columns, day->answers[number].reduction)) {
        lua_pushnil(L);
        return 1;
    }
    lua_pushinteger(L, at + 1);
    lua_replace(L, lua_upvalueindex(4));
    push_span(L, day, number, (size_t)at);
    return 1;
}

static imp_column_box *self_column(lua_State *L, const char *method)
{
    imp_column_box *box = imp_column_test(L, 1);
    if (box == NULL)
        imp_raise_text(L, "%s: expected a column before the colon", method);
    return box;
}

static int column_spans(lua_State *L)
{
    const imp_column_box *mask = self_column(L, "spans");
    const imp_column_box *values[IMP_SPAN_VALUES] = {NULL};
    const int count = lua_gettop(L) - 1;
    if (count > IMP_SPAN_VALUES)
        return imp_raise_text(L, "spans: at most %d columns", IMP_SPAN_VALUES);
    for (int i = 0; i < count; i++) {
        values[i] = imp_column_test(L, i + 2);
        if (values[i] == NULL)
            return imp_raise_text(L, "spans: argument %d: expected a column", i + 1);
    }
    const size_t number = imp_column_ask_spans(L, mask, values, (size_t)count);
    if (mask->is_later) {
        push_answer_box(L, mask->day, number);
        return 1;
    }
    if (!is_answered(mask->day, &mask->day->answers[number]))
        run(L, mask->day);
    lua_pushlightuserdata(L, imp_lua_here(L));
    lua_pushlightuserdata(L, mask->day);
    lua_pushinteger(L, (lua_Integer)number);
    lua_pushinteger(L, 0);
    lua_pushvalue(L, 1); /* keeps the day alive */
    lua_pushcclosure(L, next_span, 5);
    return 1;
}

/* ---- reductions ---- */

static imp_column_box *mask_argument(lua_State *L, const char *method, int index)
{
    imp_column_box *mask = imp_column_test(L, index);
    if (mask == NULL) {
        char got[TEXT_SIZE];
        imp_raise_text(L, "%s: expected a mask or a span, got %s", method,
                       imp_value_described(L, imp_lua_here(L), index, got, sizeof got));
    }
    return mask;
}

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
static int push_span_value(lua_State *L, imp_reduction_kind kind, const imp_column_box *box, const span_box *span)
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
        if (!is_answered(day, &day->answers[number]))
            run(L, day);
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
    const imp_column_box *box = self_column(L, method);
    lua_settop(L, argument);
    if (box->day == NULL) {
        const imp_column_box *mask = lua_isnil(L, argument) ? NULL : mask_argument(L, method, argument);
        if (mask != NULL && mask->day != NULL)
            return imp_raise_text(L, "%s: the mask is of a log and the column is in memory", method);
        return reduce_memory(L, kind, box, mask, parameter);
    }
    check_open(L, box->day);
    const span_box *span = span_test(L, argument);
    if (span != NULL && span->day != box->day)
        return imp_raise_text(L, "%s: the span is of another log", method);
    const bool is_simple = kind == IMP_REDUCE_MEAN || kind == IMP_REDUCE_MIN || kind == IMP_REDUCE_MAX;
    if (span != NULL && is_simple && !box->is_later)
        return push_span_value(L, kind, box, span);
    imp_column mask = IMP_NO_COLUMN;
    if (span != NULL)
        mask = span_mask(L, box->day, &span->span);
    else if (!lua_isnil(L, argument)) {
        const imp_column_box *given = mask_argument(L, method, argument);
        if (given->day != box->day)
            return imp_raise_text(L, "%s: the mask is not of the same log", method);
        mask = given->column;
    }
    const size_t number = ask(L, kind, box, mask, parameter);
    if (box->is_later) {
        push_answer_box(L, box->day, number);
        return 1;
    }
    if (!is_answered(box->day, &box->day->answers[number]))
        run(L, box->day);
    return push_number(L, box->day, &box->day->answers[number]);
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
    const imp_unit *unit = cached_unit(L, &answer->unit, answer->has_unit);
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
    const imp_column_box *box = self_column(L, "resample");
    const double period = imp_check_seconds(L, "resample", 2);
    imp_answer answer;
    imp_error error;
    imp_column mask = IMP_NO_COLUMN;
    size_t number = 0;
    lua_settop(L, 3);
    if (box->day == NULL)
        return imp_raise_text(L, "resample: a column in memory has no time");
    check_open(L, box->day);
    if (!lua_isnil(L, 3))
        mask = mask_argument(L, "resample", 3)->column;
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
        push_answer_box(L, box->day, number);
        return 1;
    }
    run(L, box->day);
    return push_series(L, box->day, &box->day->answers[number]);
}

/* ---- answers that come later ---- */

static void push_span_values(lua_State *L, const imp_answer *answer, const imp_span *span)
{
    static const char *const names[] = {"mean", "min", "max"};
    lua_createtable(L, (int)answer->value_count, 0);
    for (size_t i = 0; i < answer->value_count; i++) {
        const imp_span_value *value = &span->values[i];
        const double si[] = {value->mean, value->least, value->greatest};
        lua_createtable(L, 0, 4);
        for (int k = 0; k < 3 && value->count > 0; k++) {
            const imp_quantity quantity = {si[k], answer->value_dimensions[i], answer->value_readings[i]};
            imp_quantity_push(L, &quantity, cached_unit(L, &answer->value_units[i], answer->value_has_unit[i]));
            lua_setfield(L, -2, names[k]);
        }
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
}

/* { { from=, to=, start=, finish=, duration=, rows=, values = { { mean=, min=, max= } } }, count=, longest=, total= }
 */
static void push_span_table(lua_State *L, imp_day *day, const imp_answer *answer, size_t most)
{
    const size_t all = imp_columns_spans_kept(day->columns, answer->reduction);
    const size_t kept = all < most ? all : most;
    imp_error error;
    double longest = 0.0, total = 0.0;
    lua_createtable(L, (int)kept, 3);
    for (size_t i = 0; i < kept; i++) {
        imp_span span;
        if (imp_columns_span_at(day->columns, answer->reduction, i, &span, &error) != IMP_OK)
            imp_raise(L, &error);
        lua_createtable(L, 0, 7);
        push_time_text(L, day, span.from);
        lua_setfield(L, -2, "from");
        push_time_text(L, day, span.to);
        lua_setfield(L, -2, "to");
        push_seconds(L, span.from);
        lua_setfield(L, -2, "start");
        push_seconds(L, span.to);
        lua_setfield(L, -2, "finish");
        push_seconds(L, span.duration);
        lua_setfield(L, -2, "duration");
        lua_pushinteger(L, (lua_Integer)span.rows);
        lua_setfield(L, -2, "rows");
        push_span_values(L, answer, &span);
        lua_setfield(L, -2, "values");
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    if (imp_columns_span_totals(day->columns, answer->reduction, &longest, &total, &error) != IMP_OK)
        imp_raise(L, &error);
    push_seconds(L, longest);
    lua_setfield(L, -2, "longest");
    push_seconds(L, total);
    lua_setfield(L, -2, "total");
    lua_pushinteger(L, (lua_Integer)imp_columns_span_count(day->columns, answer->reduction));
    lua_setfield(L, -2, "count");
}

void imp_day_push_answer(lua_State *L, imp_day *day, size_t number, bool values, size_t most)
{
    check_open(L, day);
    if (number >= day->answer_count)
        imp_raise_text(L, "no such answer");
    const imp_answer *answer = &day->answers[number];
    if (answer->kind == IMP_ANSWER_NUMBER) {
        push_number(L, day, answer);
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
        push_span_table(L, day, answer, most < MOST_SPANS ? most : MOST_SPANS);
    }
}

/* answer:get(): a quantity or nil; spans as a list; a series. Makes the pass that is needed. */
static int answer_get(lua_State *L)
{
    answer_box *box = test_marked(L, 1, &answer_key, sizeof *box);
    if (box == NULL)
        return imp_raise_text(L, "get: expected an answer before the colon");
    check_open(L, box->day);
    if (!is_answered(box->day, &box->day->answers[box->number]))
        run(L, box->day);
    imp_day_push_answer(L, box->day, box->number, false, MOST_SPANS);
    return 1;
}

static const luaL_Reg answer_methods[] = {{"get", answer_get}, {NULL, NULL}};

const luaL_Reg imp_column_answer_methods[] = {{"count", column_count},
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
                                              {"spans", column_spans},
                                              {"resample", column_resample},
                                              {NULL, NULL}};

static void make_metatable(lua_State *L, const void *key, const char *name, const luaL_Reg *metamethods)
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
    static const luaL_Reg of_span[] = {
        {"__gc", span_collect}, {"__index", span_index}, {"__tostring", span_tostring}, {NULL, NULL}};
    make_metatable(L, &answer_key, "answer", of_answer);
    lua_rawgetp(L, LUA_REGISTRYINDEX, &answer_key);
    lua_newtable(L);
    imp_set_functions(L, answer_methods);
    lua_setfield(L, -2, "__index");
    lua_pop(L, 1);
    make_metatable(L, &span_key, "span", of_span);
}
