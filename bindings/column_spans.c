/* Spans: unbroken runs of rows where a mask is 1. See column_lua.h. */
#include "column_answers.h"

#include <string.h>

static const char span_key = 0; /* only its address is used */

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
    imp_span_box *box = imp_marked_test(L, 1, &span_key, sizeof *box);
    if (box != NULL) {
        imp_day_release(box->day);
        box->mark = NULL;
    }
    return 0;
}

const imp_span_box *imp_span_test(lua_State *L, int index)
{
    return imp_marked_test(L, index, &span_key, sizeof(imp_span_box));
}

static int span_index(lua_State *L)
{
    const imp_span_box *box = imp_span_test(L, 1);
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
        imp_answers_check_open(L, box->day);
        push_time_text(L, box->day, name[0] == 'f' ? box->span.from : box->span.to);
    } else
        return imp_raise_text(L, "a span has from, to, start, finish, duration and rows, no \"%.40s\"", name);
    return 1;
}

static int span_tostring(lua_State *L)
{
    const imp_span_box *box = imp_span_test(L, 1);
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
    imp_span_box *box = lua_newuserdatauv(L, sizeof *box, 0);
    *box = (imp_span_box){&span_key, day, number, index, span};
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
    imp_answers_check_open(L, day);
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
    imp_answers_check_open(L, day);
    if ((size_t)at >= imp_columns_spans_kept(day->columns, day->answers[number].reduction)) {
        lua_pushnil(L);
        return 1;
    }
    lua_pushinteger(L, at + 1);
    lua_replace(L, lua_upvalueindex(4));
    push_span(L, day, number, (size_t)at);
    return 1;
}

static int column_spans(lua_State *L)
{
    const imp_column_box *mask = imp_column_self(L, "spans");
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
        imp_answer_push(L, mask->day, number);
        return 1;
    }
    if (!imp_answers_has(mask->day, &mask->day->answers[number]))
        imp_answers_run(L, mask->day);
    lua_pushlightuserdata(L, imp_lua_here(L));
    lua_pushlightuserdata(L, mask->day);
    lua_pushinteger(L, (lua_Integer)number);
    lua_pushinteger(L, 0);
    lua_pushvalue(L, 1); /* keeps the day alive */
    lua_pushcclosure(L, next_span, 5);
    return 1;
}

/* ---- as tables ---- */

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
            imp_quantity_push(L, &quantity, imp_answers_unit(L, &answer->value_units[i], answer->value_has_unit[i]));
            lua_setfield(L, -2, names[k]);
        }
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
}

void imp_span_list_push(lua_State *L, imp_day *day, const imp_answer *answer, size_t most)
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

const luaL_Reg imp_column_span_methods[] = {{"spans", column_spans}, {NULL, NULL}};

void imp_column_spans_open(lua_State *L)
{
    static const luaL_Reg of_span[] = {
        {"__gc", span_collect}, {"__index", span_index}, {"__tostring", span_tostring}, {NULL, NULL}};
    imp_marked_metatable(L, &span_key, "span", of_span);
}
