#include "host_report.h"

#include "budget.h"
#include "quantity_lua.h"
#include "values_lua.h"

typedef struct handing {
    lua_State *from;
    int index;
    imp_status status;
    imp_error *error;
} handing;

/* In the report's state: leave a copy of the results. */
static int copy_results(lua_State *L)
{
    handing *over = lua_touserdata(L, 1);
    over->status = imp_value_copy(over->from, over->index, L, NULL, NULL, over->error);
    return 1;
}

static imp_status call_report(imp_script *script, const char *path, lua_State *from, int index, imp_error *error)
{
    lua_State *const L = imp_script_state(script);
    char got[200];
    handing over = {.from = from, .index = index, .status = IMP_OK, .error = error};
    imp_status status = imp_script_run_file(script, path, 1, error);
    if (status != IMP_OK)
        return status;
    if (lua_type(L, -1) != LUA_TFUNCTION)
        return imp_fail(error, IMP_SCRIPT, path, "expected it to return a function from the results to a text, got %s",
                        imp_value_described(L, imp_lua_known(L), -1, got, sizeof got));
    status = imp_script_protect(script, copy_results, &over, 1, error);
    if (status == IMP_OK)
        status = over.status;
    if (status == IMP_OK)
        status = imp_script_call(script, 1, 1, error);
    if (status == IMP_OK && lua_type(L, -1) != LUA_TSTRING)
        return imp_fail(error, IMP_SCRIPT, path, "expected its function to return a text, got %s",
                        imp_value_described(L, imp_lua_known(L), -1, got, sizeof got));
    return status;
}

static int close_script(lua_State *L)
{
    imp_script **held = lua_touserdata(L, 1);
    imp_script_close(*held);
    *held = NULL;
    return 0;
}

/* Push the place of a script that the collector closes. */
static imp_script **hold_script(lua_State *L)
{
    imp_script **held = lua_newuserdatauv(L, sizeof *held, 0);
    *held = NULL;
    lua_createtable(L, 0, 1);
    lua_pushcfunction(L, close_script);
    lua_setfield(L, -2, "__gc");
    lua_setmetatable(L, -2);
    return held;
}

/* host.report(path, results). Upvalue 2: how the report's state is opened. */
static int host_report(lua_State *L)
{
    const imp_script_options *options = lua_touserdata(L, lua_upvalueindex(2));
    imp_error error;
    if (lua_type(L, 1) != LUA_TSTRING || lua_type(L, 2) != LUA_TTABLE)
        return imp_raise_text(L, "report: expected a file's path and the results");
    const double before = imp_budget_clock();
    imp_script **held = hold_script(L);
    imp_status status = imp_script_open(options, held, &error);
    if (status == IMP_OK)
        status = call_report(*held, lua_tostring(L, 1), L, 2, &error);
    imp_budget_leave_out(imp_lua_here(L)->script, imp_budget_clock() - before);
    if (status != IMP_OK) {
        char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE + 4];
        lua_pushnil(L);
        lua_pushstring(L, imp_error_text(&error, text, sizeof text));
        return 2;
    }
    size_t length = 0;
    const char *text = lua_tolstring(imp_script_state(*held), -1, &length);
    lua_pushlstring(L, text, length);
    imp_script_close(*held);
    *held = NULL;
    return 1;
}

static int open_report(lua_State *L)
{
    lua_pushglobaltable(L);
    lua_pushliteral(L, "host");
    lua_rawget(L, -2);
    lua_pushlightuserdata(L, imp_lua_open(L));
    lua_pushvalue(L, 1);
    lua_pushcclosure(L, host_report, 2);
    lua_setfield(L, -2, "report");
    return 0;
}

imp_status imp_host_report_open(imp_script *engine, const imp_script_options *options, imp_error *error)
{
    return imp_script_protect(engine, open_report, (void *)options, 0, error); /* never written through */
}
