/* imp.log for scripts. Over 500 lines: opening, reading and answering share one state of a day. */
#include "log_lua.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include "budget.h"
#include "column_lua.h"
#include "file.h"
#include "memory.h"

static const char day_key = 0, grants_key = 0, open_key = 0; /* only their addresses are used */

enum { TEXT_SIZE = 200 };

typedef struct day_box {
    const void *mark;
    imp_day *day; /* a reference of its own */
} day_box;

/* ---- boxes ---- */

imp_day *imp_day_test(lua_State *L, int index)
{
    day_box *box = lua_type(L, index) == LUA_TUSERDATA ? lua_touserdata(L, index) : NULL;
    return box != NULL && lua_rawlen(L, index) == sizeof *box && box->mark == &day_key ? box->day : NULL;
}

static void make_metatable(lua_State *L);

static void prepare(lua_State *L)
{
    luaL_checkstack(L, 8, "too many values");
    if (lua_rawgetp(L, LUA_REGISTRYINDEX, &day_key) == LUA_TNIL)
        make_metatable(L);
    lua_pop(L, 1);
}

static day_box *push_box(lua_State *L)
{
    prepare(L);
    day_box *box = lua_newuserdatauv(L, sizeof *box, 0);
    *box = (day_box){&day_key, NULL};
    lua_rawgetp(L, LUA_REGISTRYINDEX, &day_key);
    lua_setmetatable(L, -2);
    return box;
}

void imp_day_push(lua_State *L, imp_day *day)
{
    day_box *box = push_box(L);
    box->day = day;
    day->references++;
}

static int day_collect(lua_State *L)
{
    day_box *box = lua_touserdata(L, 1);
    if (box != NULL && lua_rawlen(L, 1) == sizeof *box && box->mark == &day_key) {
        imp_day *day = box->day;
        box->day = NULL;
        imp_day_release(day);
    }
    return 0;
}

imp_day *imp_day_check_open(lua_State *L, const char *method)
{
    imp_day *day = imp_day_test(L, 1);
    imp_error error;
    if (day == NULL)
        imp_raise_text(L, "%s: expected a log before the colon", method);
    else if (imp_day_check(day, &error) != IMP_OK)
        imp_raise(L, &error);
    return day;
}

/* ---- opening ---- */

void imp_log_grant(lua_State *L, const char *path)
{
    if (lua_rawgetp(L, LUA_REGISTRYINDEX, &grants_key) != LUA_TTABLE) {
        lua_pop(L, 1);
        lua_newtable(L);
        lua_pushvalue(L, -1);
        lua_rawsetp(L, LUA_REGISTRYINDEX, &grants_key);
    }
    lua_pushstring(L, path);
    lua_rawseti(L, -2, (lua_Integer)lua_rawlen(L, -2) + 1);
    lua_pop(L, 1);
}

static bool same_file(const char *a, const char *b)
{
    struct stat x, y;
    if (strcmp(a, b) == 0)
        return true;
    return stat(a, &x) == 0 && stat(b, &y) == 0 && x.st_dev == y.st_dev && x.st_ino == y.st_ino;
}

/* In somebody else's Lua, and in trusted scripts, every file. */
static void check_granted(lua_State *L, const char *path)
{
    const struct imp_script *script = imp_lua_here(L)->script;
    if (script == NULL || script->trusted)
        return;
    bool is_granted = false;
    const int top = lua_gettop(L);
    if (lua_rawgetp(L, LUA_REGISTRYINDEX, &grants_key) == LUA_TTABLE)
        for (lua_Integer i = 1; !is_granted && lua_rawgeti(L, -1, i) == LUA_TSTRING; i++) {
            is_granted = same_file(lua_tostring(L, -1), path);
            lua_pop(L, 1);
        }
    lua_settop(L, top);
    if (!is_granted)
        imp_raise_text(
            L, "open: a script reads only files named on the command line: add %.120s after the script's name", path);
}

/* imp.log.open keeps count of a state's open logs, which hold files and buffers. */
static void count_open(lua_State *L)
{
    prepare(L);
    lua_rawgetp(L, LUA_REGISTRYINDEX, &open_key);
    lua_Integer open = 0;
    for (lua_pushnil(L); lua_next(L, -2) != 0; lua_pop(L, 1)) {
        const imp_day *day = imp_day_test(L, -2);
        open += day != NULL && day->columns != NULL;
    }
    lua_pop(L, 1);
    if (open >= IMP_MOST_OPEN_LOGS)
        imp_raise_text(L, "open: more than %d logs are open at once; close some", IMP_MOST_OPEN_LOGS);
}

static void read_mapping(lua_State *L, imp_day *day, const char *path)
{
    char *text = NULL;
    size_t length = 0;
    imp_error error;
    imp_status status = imp_file_read(path, IMP_LONGEST_MAPPING, NULL, &text, &length, &error);
    if (status == IMP_OK) {
        status = imp_log_mapping_read(text, length, NULL, &day->mapping, &error);
        imp_release(NULL, text);
    }
    if (status != IMP_OK) {
        imp_error_prefix(&error, path, error.place[0] != '\0' ? ": " : "");
        imp_raise(L, &error);
    }
    day->has_mapping = true;
}

static const char *text_field(lua_State *L, int index, const char *name)
{
    const char *text = NULL;
    if (lua_type(L, index) == LUA_TTABLE) {
        lua_pushstring(L, name);
        if (lua_rawget(L, index) == LUA_TSTRING)
            text = lua_tostring(L, -1); /* the table holds it */
        lua_pop(L, 1);
    }
    return text;
}

static double time_field(lua_State *L, int index, const char *name)
{
    double seconds = 0.0;
    if (lua_type(L, index) == LUA_TTABLE) {
        lua_pushstring(L, name);
        if (lua_rawget(L, index) != LUA_TNIL)
            seconds = imp_check_seconds(L, name, lua_gettop(L));
        lua_pop(L, 1);
    }
    return seconds;
}

static int log_open(lua_State *L)
{
    char got[TEXT_SIZE];
    imp_error error;
    if (lua_type(L, 1) != LUA_TSTRING)
        return imp_raise_text(L, "open: expected a file's name, got %s",
                              imp_value_described(L, imp_lua_here(L), 1, got, sizeof got));
    if (!lua_isnoneornil(L, 2) && lua_type(L, 2) != LUA_TTABLE)
        return imp_raise_text(L, "open: expected options such as { gap = q \"10 s\" }");
    lua_settop(L, 2);
    const char *path = lua_tostring(L, 1), *mapping = text_field(L, 2, "columns");
    const double gap = time_field(L, 2, "gap");
    check_granted(L, path);
    if (mapping != NULL)
        check_granted(L, mapping);
    count_open(L);
    day_box *box = push_box(L);
    box->day = imp_day_create(path);
    if (box->day == NULL)
        return imp_raise_memory(L, "open");
    if (mapping != NULL)
        read_mapping(L, box->day, mapping);
    const imp_log_options options = {.threads = 1, .mapping = box->day->has_mapping ? &box->day->mapping : NULL};
    imp_status status = imp_day_open(box->day, &options, &error);
    if (status == IMP_OK && gap != 0.0)
        status = imp_columns_set_gap(box->day->columns, gap, &error);
    if (status != IMP_OK) {
        imp_error_prefix(&error, path, error.place[0] != '\0' ? ": " : "");
        return imp_raise(L, &error);
    }
    lua_rawgetp(L, LUA_REGISTRYINDEX, &open_key);
    lua_pushvalue(L, 3);
    lua_pushboolean(L, 1);
    lua_rawset(L, -3);
    lua_settop(L, 3);
    return 1;
}

/* ---- columns ---- */

int imp_day_push_column(lua_State *L, imp_day *day, const char *name)
{
    imp_column column;
    imp_error error;
    if (imp_columns_source(day->columns, name, &column, &error) != IMP_OK)
        return imp_raise(L, &error);
    const imp_log_header *header = imp_columns_header(day->columns);
    const int at = imp_log_header_find(header, name);
    const char *unit = at >= 0 ? header->columns[at].unit.text : "s";
    imp_column_push(L, day, column, imp_unit_cached(L, unit, strlen(unit), NULL));
    return 1;
}

static int day_column(lua_State *L)
{
    imp_day *day = imp_day_check_open(L, "column");
    if (lua_type(L, 2) != LUA_TSTRING)
        return imp_raise_text(L, "column: expected a column's name");
    return imp_day_push_column(L, day, lua_tostring(L, 2));
}

/* Upvalue 2: the methods. */
static int day_index(lua_State *L)
{
    lua_pushvalue(L, 2);
    if (lua_rawget(L, lua_upvalueindex(2)) != LUA_TNIL)
        return 1;
    imp_day *day = imp_day_check_open(L, "log");
    if (lua_type(L, 2) != LUA_TSTRING)
        return imp_raise_text(L, "a log has columns by their names");
    return imp_day_push_column(L, day, lua_tostring(L, 2));
}

static int day_has(lua_State *L)
{
    const imp_day *day = imp_day_check_open(L, "has");
    const char *name = luaL_checkstring(L, 2);
    lua_pushboolean(L, strcmp(name, "time") == 0 || imp_log_header_find(imp_columns_header(day->columns), name) >= 0);
    return 1;
}

static int day_columns(lua_State *L)
{
    const imp_day *day = imp_day_check_open(L, "columns");
    const imp_log_header *header = imp_columns_header(day->columns);
    lua_createtable(L, (int)header->count, 0);
    for (size_t i = 0; i < header->count; i++) {
        lua_createtable(L, 0, 3);
        lua_pushstring(L, header->columns[i].name);
        lua_setfield(L, -2, "name");
        lua_pushstring(L, header->columns[i].unit.text);
        lua_setfield(L, -2, "unit");
        lua_pushboolean(L, header->columns[i].is_known);
        lua_setfield(L, -2, "known");
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 1;
}

/* ---- summary ---- */

static double quantity_field(lua_State *L, int index, const char *name, imp_named_dimension dimension, double fallback)
{
    double si = fallback;
    imp_dimension wanted = imp_dimension_of(dimension);
    char text[128];
    lua_pushstring(L, name);
    if (lua_rawget(L, index) != LUA_TNIL) {
        const imp_quantity *quantity = imp_quantity_test(L, imp_lua_here(L), -1, NULL);
        if (quantity != NULL && imp_dimension_same(quantity->dimension, wanted))
            si = quantity->si;
        else if (dimension == IMP_PURE && lua_type(L, -1) == LUA_TNUMBER)
            si = (double)lua_tonumber(L, -1);
        else
            imp_raise_text(L, "%s: expected %s", name, imp_dimension_text(wanted, false, text, sizeof text));
    }
    lua_pop(L, 1);
    return si;
}

static double window_end(lua_State *L, int index, const char *name)
{
    double si = (double)NAN;
    lua_pushstring(L, name);
    if (lua_rawget(L, index) != LUA_TNIL) {
        const imp_quantity *quantity = imp_quantity_test(L, imp_lua_here(L), -1, NULL);
        if (quantity == NULL)
            imp_raise_text(L, "%s: expected a quantity", name);
        else
            si = quantity->si;
    }
    lua_pop(L, 1);
    return si;
}

static void read_windows(lua_State *L, int index, imp_log_summary_options *options)
{
    const int list = index;
    for (lua_Integer i = 1; options->window_count < IMP_LOG_MOST_WINDOWS; i++) {
        if (lua_rawgeti(L, list, i) != LUA_TTABLE) {
            lua_pop(L, 1);
            break;
        }
        const int at = lua_gettop(L);
        const char *column = text_field(L, at, "column");
        imp_log_window *window = &options->windows[options->window_count++];
        if (column == NULL)
            imp_raise_text(L, "windows: each needs a column");
        /* cppcheck-suppress nullPointerRedundantCheck; imp_raise_text does not return */
        snprintf(window->column, sizeof window->column, "%s", column);
        window->low = window_end(L, at, "low");
        window->high = window_end(L, at, "high");
        lua_pop(L, 1);
    }
}

void imp_summary_options_read(lua_State *L, int index, imp_log_summary_options *options)
{
    memset(options, 0, sizeof *options);
    if (lua_isnoneornil(L, index))
        return;
    luaL_checktype(L, index, LUA_TTABLE);
    options->iso_displacement = quantity_field(L, index, "iso_displacement", IMP_VOLUME, 0.0);
    options->resin_displacement = quantity_field(L, index, "resin_displacement", IMP_VOLUME, 0.0);
    options->iso_density = quantity_field(L, index, "iso_density", IMP_DENSITY, 0.0);
    options->resin_density = quantity_field(L, index, "resin_density", IMP_DENSITY, 0.0);
    options->nominal_ratio = quantity_field(L, index, "nominal_ratio", IMP_PURE, 0.0);
    options->ratio_tolerance = quantity_field(L, index, "ratio_tolerance", IMP_PURE, 0.0);
    options->ratio_window = quantity_field(L, index, "ratio_window", IMP_TIME, 0.0);
    options->flow_uncertainty = quantity_field(L, index, "flow_uncertainty", IMP_PURE, 0.0);
    options->flow_threshold = quantity_field(L, index, "flow_threshold", IMP_FLOW, 0.0);
    options->gap = quantity_field(L, index, "gap", IMP_TIME, 0.0);
    lua_pushliteral(L, "windows");
    if (lua_rawget(L, index) == LUA_TTABLE)
        read_windows(L, lua_gettop(L), options);
    lua_pop(L, 1);
}

static void ask_summary(lua_State *L, imp_day *day, int options_at)
{
    imp_log_summary_options options;
    imp_error error;
    imp_summary_options_read(L, options_at, &options);
    if (imp_day_ask_summary(day, &options, &error) != IMP_OK)
        imp_raise(L, &error);
}

/* day:spraying(): a mask, or nil where the log does not tell */
static int day_spraying(lua_State *L)
{
    imp_day *day = imp_day_check_open(L, "spraying");
    lua_settop(L, 2);
    ask_summary(L, day, 2);
    if (day->spraying == IMP_NO_COLUMN)
        lua_pushnil(L);
    else
        imp_column_push(L, day, day->spraying, imp_lua_here(L)->pure);
    return 1;
}

typedef struct summary_call {
    const imp_day *day;
    const imp_log_summary *summary;
} summary_call;

static int push_collected(lua_State *L)
{
    const summary_call *call = lua_touserdata(L, 1);
    imp_summary_push(L, call->day, call->summary);
    return 1;
}

/* Collected outside Lua's memory: the summary is large. */
int imp_day_push_summary(lua_State *L, const imp_day *day)
{
    imp_error error;
    imp_log_summary *summary = imp_allocate(NULL, 1, sizeof *summary);
    if (summary == NULL)
        return imp_raise_memory(L, "summary");
    const imp_status status = imp_log_summary_collect(day->columns, day->plan, summary, &error);
    if (status != IMP_OK) {
        imp_release(NULL, summary);
        return imp_raise(L, &error);
    }
    summary_call call = {day, summary};
    lua_pushcfunction(L, push_collected);
    lua_pushlightuserdata(L, &call);
    const int raised = lua_pcall(L, 1, 1, 0);
    imp_release(NULL, summary);
    return raised == LUA_OK ? 1 : lua_error(L);
}

static int day_summary(lua_State *L)
{
    imp_day *day = imp_day_check_open(L, "summary");
    imp_error error;
    lua_settop(L, 2);
    ask_summary(L, day, 2);
    if (day->is_hosted && !day->is_ran)
        return imp_raise_text(L, "summary: this needs the whole log, which is still to be read");
    if (!day->is_hosted && imp_columns_run(day->columns, day->log, &error) != IMP_OK)
        return imp_raise(L, &error);
    return imp_day_push_summary(L, day);
}

static int day_faults(lua_State *L)
{
    imp_day *day = imp_day_check_open(L, "faults");
    imp_error error;
    if (!day->is_hosted && !day->is_ran) {
        if (imp_columns_run(day->columns, day->log, &error) != IMP_OK)
            return imp_raise(L, &error);
        day->is_ran = true;
    }
    imp_faults_push(L, imp_columns_header(day->columns), imp_columns_faults(day->columns));
    return 1;
}

/* day:period(q"5 min"): the same time, or the longer one that a log of this length needs for a series */
static int day_period(lua_State *L)
{
    const imp_day *day = imp_day_check_open(L, "period");
    const double wanted = imp_check_seconds(L, "period", 2);
    lua_settop(L, 2);
    if (wanted < day->period) {
        const imp_quantity longer = {.si = day->period, .dimension = imp_dimension_of(IMP_TIME)};
        imp_quantity_push(L, &longer, imp_unit_cached(L, "s", 1, NULL));
    }
    return 1;
}

/* day:clock(): whether time is a date and time of day, and how far its zone is from UTC */
static int day_clock(lua_State *L)
{
    const imp_log_header *header = imp_columns_header(imp_day_check_open(L, "clock")->columns);
    const imp_quantity offset = {.si = header->zone_offset, .dimension = imp_dimension_of(IMP_TIME)};
    lua_pushboolean(L, header->is_calendar);
    imp_quantity_push(L, &offset, imp_unit_cached(L, "s", 1, NULL));
    return 2;
}

static int day_close(lua_State *L)
{
    imp_day *day = imp_day_test(L, 1);
    if (day != NULL && !day->is_hosted)
        imp_day_close(day);
    return 0;
}

static int day_tostring(lua_State *L)
{
    const imp_day *day = imp_day_test(L, 1);
    lua_pushfstring(L, "log %s", day != NULL ? day->name : "?");
    return 1;
}

static const luaL_Reg methods[] = {{"column", day_column},
                                   {"columns", day_columns},
                                   {"has", day_has},
                                   {"spraying", day_spraying},
                                   {"summary", day_summary},
                                   {"faults", day_faults},
                                   {"rows", imp_day_rows},
                                   {"clock", day_clock},
                                   {"period", day_period},
                                   {"close", day_close},
                                   {NULL, NULL}};

static const luaL_Reg metamethods[] = {
    {"__gc", day_collect}, {"__close", day_close}, {"__tostring", day_tostring}, {NULL, NULL}};

/* The metatable of logs, and the list of those that are open. Most scripts have none. */
static void make_metatable(lua_State *L)
{
    lua_newtable(L); /* weak: the open logs of this state */
    lua_newtable(L);
    lua_pushliteral(L, "k");
    lua_setfield(L, -2, "__mode");
    lua_setmetatable(L, -2);
    lua_rawsetp(L, LUA_REGISTRYINDEX, &open_key);
    lua_newtable(L);
    imp_set_functions(L, metamethods);
    lua_pushboolean(L, 0);
    lua_setfield(L, -2, "__metatable");
    lua_pushliteral(L, "log");
    lua_setfield(L, -2, "__name");
    lua_pushlightuserdata(L, imp_lua_open(L));
    lua_newtable(L);
    imp_set_functions(L, methods);
    lua_pushcclosure(L, day_index, 2);
    lua_setfield(L, -2, "__index");
    lua_rawsetp(L, LUA_REGISTRYINDEX, &day_key); /* last: both are there, or none */
}

void imp_log_open_library(lua_State *L)
{
    static const luaL_Reg functions[] = {{"open", log_open}, {NULL, NULL}};
    lua_newtable(L);
    imp_set_functions(L, functions);
    lua_setfield(L, -2, "log");
}
