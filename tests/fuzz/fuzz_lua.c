/* The Lua module called with anything: every function and method that can be reached from `imp`, with arguments made from
 * the input and from results of the calls before. Errors are expected; a fault of memory, or an error that is no text, is
 * not. */
#define _GNU_SOURCE
#include <lauxlib.h>
#include <lua.h>
#include <lualib.h>

#include "fuzz.h"
#include "fuzz_log.h"
#include "log_lua.h"
#include "sandbox.h"

const char *const fuzz_words[] = {"\x01", "\x02", "\x03", "\x04", "\x05", "\x06", "\x07", "\x08", "\x09", "\xff", "\x00\x00", "q", "air_temperature", "20 degC", NULL};

enum { MOST_CALLS = 12, MOST_ARGUMENTS = 4, DEEPEST = 3, KEPT = 16 };

static const char log_text[] = "time,trigger,iso_flow [L/min],resin_flow [L/min],iso_pressure [bar]\n"
                               "0,0,0,0,90\n1,1,3,3,80\n2,1,3.1,2.9,81\n3,1,3,,82\n4,0,0,0,90\n20,1,3,3,80\n21,0,0,0,90\n";

static const char *const texts[] = {
    "20 degC", "50 %", "1200 psi", "2 m", "3 L/min", "", "bar", "degC", "climate.dew_point", "air_temperature", "relative_humidity",
    "iso_flow", "trigger", "flow", "calculation", "id", "inputs", "outputs", "name", "kind", "number", "unit", "compute", "calculate",
    "formula", "source", "vary", "from", "to", "steps", "output", "target", "unknown", "standard", "draws", "columns", "gap", "hose.pressure_drop",
    "bore", "length", "density", "viscosity", "title", "validity", "required", "default", "low", "high", "choices", "rows", "\xff", "time"};
enum { TEXTS = sizeof texts / sizeof texts[0] };

typedef struct session {
    fuzz_supply supply;
    const char *log;
    int kept; /* index of the table of results */
    lua_Integer kept_count;
} session;

static int answer(lua_State *L) /* a function to hand over: gives back its second argument */
{
    lua_settop(L, 2);
    return 1;
}

static void push_value(lua_State *L, session *all, int depth);

static void push_table(lua_State *L, session *all, int depth)
{
    const int pairs = take_byte(&all->supply) % 6;
    lua_newtable(L);
    for (int i = 0; i < pairs; i++) {
        if (take_byte(&all->supply) % 2 == 0)
            lua_pushinteger(L, i + 1);
        else
            lua_pushstring(L, texts[take_byte(&all->supply) % TEXTS]);
        push_value(L, all, depth + 1);
        lua_rawset(L, -3);
    }
}

static void push_value(lua_State *L, session *all, int depth)
{
    char text[24];
    lua_checkstack(L, 20);
    switch (take_byte(&all->supply) % 13) {
    case 0: lua_pushnil(L); break;
    case 1: lua_pushboolean(L, take_byte(&all->supply) % 2); break;
    case 2: lua_pushinteger(L, (signed char)take_byte(&all->supply)); break;
    case 3: lua_pushnumber(L, take_double(&all->supply)); break;
    case 4: {
        lua_Integer number;
        take_bytes(&all->supply, &number, sizeof number);
        lua_pushinteger(L, number);
        break;
    }
    case 5: {
        const size_t length = take_byte(&all->supply) % sizeof text;
        take_bytes(&all->supply, text, length);
        lua_pushlstring(L, text, length);
        break;
    }
    case 6: lua_pushstring(L, all->log); break;
    case 7: lua_pushcfunction(L, answer); break;
    case 8:
    case 9: lua_pushstring(L, texts[take_byte(&all->supply) % TEXTS]); break;
    case 10:
        if (depth < DEEPEST) {
            push_table(L, all, depth);
            break;
        }
        /* fall through */
    default: /* a result of before */
        lua_rawgeti(L, all->kept, all->kept_count > 0 ? 1 + take_byte(&all->supply) % all->kept_count : 1);
    }
}

static void keep(lua_State *L, session *all)
{
    all->kept_count = all->kept_count < KEPT ? all->kept_count + 1 : KEPT;
    lua_rawseti(L, all->kept, 1 + (all->kept_count - 1 + take_byte(&all->supply)) % all->kept_count);
}

/* The n-th member of the table on top in the order of its keys replaces it; functions are found in tables of tables. */
static void push_member(lua_State *L, session *all)
{
    const char *names[256];
    int count = 0;
    const int from = lua_gettop(L);
    for (lua_pushnil(L); lua_next(L, from) != 0; lua_pop(L, 1))
        if (lua_type(L, -2) == LUA_TSTRING && count < 256)
            names[count++] = lua_tostring(L, -2);
    for (int i = 1; i < count; i++) { /* insertion: few names */
        const char *name = names[i];
        int at = i;
        for (; at > 0 && strcmp(names[at - 1], name) > 0; at--)
            names[at] = names[at - 1];
        names[at] = name;
    }
    if (count == 0)
        lua_pushnil(L);
    else
        lua_getfield(L, from, names[take_byte(&all->supply) % count]);
    lua_replace(L, from);
}

/* What to call: a function of imp, or a method of a kept result (pushed as the first argument). */
static int push_callee(lua_State *L, session *all)
{
    static const char *const methods[] = {
        "to", "value", "unit", "abs", "sqrt", "min", "max", "format", "column", "columns", "has", "spraying", "summary", "faults", "rows",
        "clock", "period", "close", "rolling", "rate", "change", "duration", "lesser", "greater", "or_else", "above", "at_least", "below",
        "at_most", "equals", "differs", "between", "outside", "present", "missing", "unchanged", "both", "either", "opposite", "lasting",
        "where", "count", "sum", "mean", "sd", "first", "last", "quantile", "time", "integral", "trapezoid", "time_mean", "increase",
        "resample", "spans", "later", "get", "values", "iso_flow", "trigger"};
    if (take_byte(&all->supply) % 2 == 0 && all->kept_count > 0) {
        lua_rawgeti(L, all->kept, 1 + take_byte(&all->supply) % all->kept_count);
        const char *name = methods[take_byte(&all->supply) % (sizeof methods / sizeof methods[0])];
        lua_getfield(L, -1, name); /* may raise: the call is protected */
        lua_insert(L, -2);
        return 1;
    }
    lua_getglobal(L, "imp");
    for (int depth = 0; depth < 2 && lua_type(L, -1) == LUA_TTABLE; depth++)
        push_member(L, all);
    return 0;
}

static int one_call(lua_State *L)
{
    session *all = lua_touserdata(L, 1);
    lua_settop(L, 0);
    lua_getfield(L, LUA_REGISTRYINDEX, "kept");
    all->kept = 1;
    const uint8_t how = take_byte(&all->supply);
    if (how % 4 == 3) { /* an operator */
        push_value(L, all, 0);
        push_value(L, all, 0);
        if (how / 4 % 2 == 0)
            lua_arith(L, how / 8 % 14);
        else
            lua_pushboolean(L, lua_compare(L, -2, -1, how / 8 % 3));
        keep(L, all);
        return 0;
    }
    int arguments = push_callee(L, all);
    const int more = take_byte(&all->supply) % (MOST_ARGUMENTS + 1);
    for (int i = 0; i < more; i++, arguments++)
        push_value(L, all, 0);
    lua_call(L, arguments, LUA_MULTRET);
    for (int i = 0; i < 2 && lua_gettop(L) > 1; i++) {
        luaL_tolstring(L, -1, NULL);
        lua_pop(L, 1);
        keep(L, all);
    }
    return 0;
}

static int many_calls(lua_State *L)
{
    session *all = lua_touserdata(L, 1);
    imp_log_grant(L, all->log);
    lua_newtable(L);
    lua_setfield(L, LUA_REGISTRYINDEX, "kept");
    for (int i = 0; i < MOST_CALLS && all->supply.left > 0; i++) {
        lua_settop(L, 1);
        lua_pushcfunction(L, one_call);
        lua_pushlightuserdata(L, all);
        if (lua_pcall(L, 1, 0, 0) != LUA_OK) {
            const int type = lua_type(L, -1);
            require(type == LUA_TSTRING || type == LUA_TTABLE || type == LUA_TUSERDATA, "an error says something");
        }
    }
    return 0;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const imp_script_options options = {
        .budget = {.memory = 32u << 20, .steps = 2000000, .seconds = 2.0, .output = 1u << 16}};
    session all = {.supply = {data, size}, .log = file_of(0, log_text, sizeof log_text - 1)};
    imp_script *script = NULL;
    imp_error error;
    if (imp_script_open(&options, &script, &error) != IMP_OK)
        abort();
    lua_State *L = imp_script_state(script);
    lua_pushcfunction(L, many_calls);
    lua_pushlightuserdata(L, &all);
    const imp_status status = imp_script_call(script, 1, 0, &error);
    require(status == IMP_OK || status == IMP_LIMIT, "a call ends well, or at its budget");
    imp_script_close(script);
    return 0;
}
