/* day:rows(): every row of a log handed to a script's function. See log_lua.h. */
#include <math.h>

#include "budget.h"
#include "column_lua.h"
#include "log_lua.h"

enum { TEXT_SIZE = 200 };

/* ---- rows ---- */

typedef struct row_call {
    lua_State *L;
    int function; /* stack index */
    size_t count;
    const imp_unit *units[IMP_LOG_MOST_COLUMNS];
    /* of one block */
    size_t rows;
    const double *time;
    const double *const *values;
    bool has_stopped, has_raised;
} row_call;

/* Runs the rows of one block: arguments are the call and the script's function. */
static int call_rows(lua_State *L)
{
    row_call *call = lua_touserdata(L, 1);
    const bool is_counted = imp_lua_known(L)->script != NULL;
    luaL_checkstack(L, (int)call->count + 4, "too many columns");
    for (size_t row = 0; row < call->rows; row++) {
        lua_pushvalue(L, 2);
        lua_pushnumber(L, call->time[row]);
        for (size_t i = 0; i < call->count; i++) {
            const double si = call->values[i][row];
            if (isnan(si))
                lua_pushnil(L);
            else
                lua_pushnumber(L, call->units[i] != NULL ? imp_unit_from_si(call->units[i], si) : si);
        }
        lua_call(L, (int)call->count + 1, 1);
        if (lua_type(L, -1) == LUA_TBOOLEAN && !lua_toboolean(L, -1)) {
            call->has_stopped = true;
            return 0;
        }
        lua_pop(L, 1);
    }
    if (is_counted)
        imp_spend(L, call->rows);
    return 0;
}

static imp_status take_rows(void *context, size_t rows, const double *time, const double *duration,
                            const double *const *values, imp_error *error)
{
    row_call *call = context;
    (void)duration;
    call->rows = rows;
    call->time = time;
    call->values = values;
    lua_pushcfunction(call->L, call_rows);
    lua_pushlightuserdata(call->L, call);
    lua_pushvalue(call->L, call->function);
    if (lua_pcall(call->L, 2, 0, 0) != LUA_OK) {
        call->has_raised = true; /* the error stays on the stack */
        return imp_fail(error, IMP_SCRIPT, NULL, "the script failed");
    }
    return call->has_stopped ? imp_fail(error, IMP_NOT_APPLICABLE, NULL, "stopped") : IMP_OK;
}

/* The columns of the list at index 2: columns or their names. */
static void read_wanted(lua_State *L, imp_day *day, imp_column *wanted, row_call *call)
{
    char got[TEXT_SIZE];
    luaL_checktype(L, 2, LUA_TTABLE);
    call->count = lua_rawlen(L, 2);
    if (call->count > IMP_LOG_MOST_COLUMNS)
        imp_raise_text(L, "rows: at most %d columns", IMP_LOG_MOST_COLUMNS);
    for (size_t i = 0; i < call->count; i++) {
        if (lua_rawgeti(L, 2, (lua_Integer)i + 1) == LUA_TSTRING)
            imp_day_push_column(L, day, lua_tostring(L, -1));
        const imp_column_box *box = imp_column_test(L, -1);
        if (box == NULL || box->day != day) {
            imp_raise_text(L, "rows: column %d: expected a column of this log or its name, got %s", (int)i + 1,
                           imp_value_described(L, imp_lua_here(L), -1, got, sizeof got));
            return;
        }
        wanted[i] = box->column;
        const imp_quantity sample = {1.0, box->kind.dimension, box->kind.is_reading};
        call->units[i] = imp_quantity_unit(L, &sample, box->unit);
        lua_settop(L, 3);
    }
}

int imp_day_rows(lua_State *L)
{
    imp_day *day = imp_day_check_open(L, "rows");
    imp_column wanted[IMP_LOG_MOST_COLUMNS];
    row_call call = {.L = L, .function = 3};
    imp_error error;
    lua_settop(L, 3);
    if (lua_type(L, 2) != LUA_TTABLE || lua_type(L, 3) != LUA_TFUNCTION)
        return imp_raise_text(L, "rows: expected a list of columns and a function, as in "
                                 "day:rows({ \"iso_flow\" }, function(time, iso_flow) ... end)");
    if (day->is_hosted)
        return imp_raise_text(L, "rows: a log rule speaks of columns; rows() is for scripts of their own");
    read_wanted(L, day, wanted, &call);
    imp_status status = imp_columns_each(day->columns, wanted, call.count, take_rows, &call, &error);
    if (status == IMP_OK)
        status = imp_columns_run(day->columns, day->log, &error);
    imp_columns_each(day->columns, NULL, 0, NULL, NULL, NULL);
    if (call.has_raised)
        return lua_error(L);
    if (status != IMP_OK && !call.has_stopped)
        return imp_raise(L, &error);
    return 0;
}
