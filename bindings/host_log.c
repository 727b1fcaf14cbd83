/* What the engine of the log command may call: open logs, let rules ask, run many at once, take the answers.
 *
 *   host.log_open(path, { columns=, gap=, threads= })  a day, or nil, sentence, { status= }
 *   host.log_bind(name, partial)             a day to merge into, made for the header of a partial result
 *   host.log_summary(day, options, seconds)  ask for the standard summary; the least period of a series
 *   host.log_ask(day, remote, criterion)     ok, what the rule gave with { answer = number } in place of what it asked
 *   host.log_run({ days }, partial)          one pass each, the days side by side; { true or sentence, ... }
 *   host.log_merge(day, { partials })        true, or nil, sentence
 *   host.log_partial(day)                    the text that log_merge takes
 *   host.log_answer(day, number, most)       a quantity or nil; a list of spans; a series of numbers
 *   host.log_invoke(remote, first, third)    ok, results, info: remote(first, job, third)
 *   host.log_close(day)
 *   host.json_members(text)                  the members of a JSON object, each value as its text; nil when it is none
 *   host.json_items(text)                    the items of a JSON array, likewise
 *   host.log_column(name)                    whether logs have a column of this name, with a meaning and a dimension
 *   host.file_size(path)                     bytes, or nil where it is no regular file
 * Over 500 lines: every function of the host table in one place. */
#include <pthread.h>
#include <string.h>
#include <sys/stat.h>

#include "budget.h"
#include "column_lua.h"
#include "file.h"
#include "host_state.h"
#include "job_lua.h"
#include "log_lua.h"
#include "memory.h"
#include "sort.h"
#include "values_lua.h"

enum { MOST_DAYS = 64, DEEPEST = 8, TIDY_ABOVE = 600 /* KiB */ };

static imp_day *check_day(lua_State *L, const char *function)
{
    imp_day *day = imp_day_test(L, 1);
    imp_error error;
    if (day == NULL)
        imp_raise_text(L, "%s: expected a day", function);
    else if (imp_day_check(day, &error) != IMP_OK)
        imp_raise(L, &error);
    return day;
}

/* ---- opening ---- */

static imp_status read_mapping(imp_day *day, const char *path, imp_error *error)
{
    char *text = NULL;
    size_t length = 0;
    imp_status status = imp_file_read(path, IMP_LONGEST_MAPPING, NULL, &text, &length, error);
    if (status == IMP_OK) {
        status = imp_log_mapping_read(text, length, NULL, &day->mapping, error);
        imp_release(NULL, text);
    }
    day->has_mapping = status == IMP_OK;
    if (status != IMP_OK)
        imp_error_prefix(error, path, error->place[0] != '\0' ? ": " : "");
    return status;
}

/* Push the day and give up the reference of its maker. */
static void hand_over(lua_State *L, imp_day *day)
{
    imp_day_push(L, day); /* on lack of memory the day is lost, with the program */
    imp_day_release(day);
}

static int log_open(lua_State *L)
{
    const char *path = luaL_checkstring(L, 1);
    imp_error error;
    lua_settop(L, 2);
    luaL_checktype(L, 2, LUA_TTABLE);
    lua_getfield(L, 2, "columns");
    lua_getfield(L, 2, "threads");
    lua_getfield(L, 2, "gap");
    const char *mapping = lua_tostring(L, 3);
    const int threads = (int)luaL_optinteger(L, 4, 1);
    imp_day *day = imp_day_create(path);
    if (day == NULL)
        return imp_raise_memory(L, "log_open");
    day->is_hosted = true;
    imp_status status = mapping != NULL ? read_mapping(day, mapping, &error) : IMP_OK;
    const imp_log_options options = {.threads = threads, .mapping = day->has_mapping ? &day->mapping : NULL};
    const bool is_mapping_wrong = status != IMP_OK;
    if (status == IMP_OK)
        status = imp_day_open(day, &options, &error);
    if (status != IMP_OK) {
        if (!is_mapping_wrong)
            imp_error_prefix(&error, path, error.place[0] != '\0' ? ": " : "");
        imp_day_release(day);
        return imp_host_push_failure(L, false, status, &error);
    }
    if (!lua_isnil(L, 5) && imp_columns_set_gap(day->columns, lua_tonumber(L, 5), &error) != IMP_OK) {
        imp_day_release(day);
        return imp_raise(L, &error);
    }
    hand_over(L, day);
    return 1;
}

static int log_bind(lua_State *L)
{
    size_t length;
    const char *name = luaL_checkstring(L, 1), *text = luaL_checklstring(L, 2, &length);
    imp_error error;
    imp_log_header *header = imp_allocate(NULL, 1, sizeof *header);
    imp_day *day = header != NULL ? imp_day_create(name) : NULL;
    if (day == NULL) {
        imp_release(NULL, header);
        return imp_raise_memory(L, "log_bind");
    }
    day->is_hosted = true;
    imp_status status = imp_columns_partial_header(text, length, header, &error);
    if (status == IMP_OK)
        status = imp_day_bind(day, header, &error);
    imp_release(NULL, header);
    if (status != IMP_OK) {
        imp_day_release(day);
        return imp_host_push_failure(L, false, status, &error);
    }
    if (lua_type(L, 3) == LUA_TNUMBER)
        imp_columns_set_gap(day->columns, lua_tonumber(L, 3), NULL);
    hand_over(L, day);
    return 1;
}

static int log_summary(lua_State *L)
{
    imp_day *day = check_day(L, "log_summary");
    imp_log_summary_options options;
    imp_error error;
    imp_summary_options_read(L, 2, &options);
    if (imp_day_ask_summary(day, &options, &error) != IMP_OK)
        return imp_raise(L, &error);
    day->period = luaL_optnumber(L, 3, 0.0);
    return 0;
}

static int log_close(lua_State *L)
{
    imp_day *day = imp_day_test(L, 1);
    if (day != NULL)
        imp_day_close(day);
    return 0;
}

/* ---- asking ---- */

/* What goes into a rule's state: arguments are a value of the engine's, the job, and another value. */
typedef struct ask_call {
    const imp_host *host;
    lua_State *engine;
    imp_day *day; /* NULL: the first value is copied */
    int first, third;
} ask_call;

static void push_copy(const ask_call *call, int index, lua_State *to)
{
    imp_error error;
    if (imp_value_copy(call->engine, index, to, NULL, NULL, &error) != IMP_OK)
        imp_raise(to, &error);
}

static int push_arguments(lua_State *L, void *context)
{
    const ask_call *call = context;
    if (call->day != NULL)
        imp_day_push(L, call->day);
    else
        push_copy(call, call->first, L);
    if (call->host->settings.job != NULL)
        imp_view_push(L, call->host->settings.job);
    else
        lua_pushnil(L);
    push_copy(call, call->third, L);
    return 3;
}

static void push_answer_number(lua_State *L, size_t number)
{
    lua_createtable(L, 0, 2);
    lua_pushinteger(L, (lua_Integer)number);
    lua_setfield(L, -2, "answer");
}

/* A mask with the list { { "label", column }, ... } of values that its spans carry. */
static void push_spans(lua_State *L, const imp_column_box *mask, int values_at)
{
    const imp_column_box *values[IMP_SPAN_VALUES];
    size_t count = 0;
    lua_newtable(L);
    const int labels = lua_gettop(L);
    for (lua_Integer i = 1; values_at != 0 && lua_rawgeti(L, values_at, i) == LUA_TTABLE; i++) {
        lua_rawgeti(L, -1, 1);
        lua_rawgeti(L, -2, 2);
        const imp_column_box *box = imp_column_test(L, -1);
        if (count == IMP_SPAN_VALUES || box == NULL || lua_type(L, -2) != LUA_TSTRING)
            imp_raise_text(L, "the values of an event are a list of at most %d: { { \"label\", column }, ... }",
                           IMP_SPAN_VALUES);
        /* cppcheck-suppress arrayIndexOutOfBoundsCond; imp_raise_text does not return */
        values[count++] = box; /* the rule's list holds it */
        lua_pushvalue(L, -2);
        lua_rawseti(L, labels, i);
        lua_settop(L, labels);
    }
    lua_settop(L, labels);
    push_answer_number(L, imp_column_ask_spans(L, mask, values, count));
    lua_pushvalue(L, labels);
    lua_setfield(L, -2, "labels");
    lua_remove(L, labels);
}

static void push_plain(lua_State *L, int index, int values_at, int depth);

static bool is_text(lua_State *L, int index, const char *text)
{
    return lua_type(L, index) == LUA_TSTRING && strcmp(lua_tostring(L, index), text) == 0;
}

/* { label =, mask =, values = { { "label", column }, ... } }: one part of an event, whose spans carry values of their own. */
static bool holds_mask(lua_State *L, int part)
{
    lua_pushliteral(L, "mask");
    lua_rawget(L, part);
    const imp_column_box *box = imp_column_test(L, -1);
    lua_pop(L, 1);
    return box != NULL && box->kind.is_mask;
}

/* In the order of the keys, so that the same questions always come in the same order. */
static void push_plain_table(lua_State *L, int from, int depth)
{
    lua_Integer count = 0;
    lua_newtable(L);
    const int copy = lua_gettop(L), values = copy + 1, keys = copy + 2;
    lua_pushliteral(L, "values");
    lua_rawget(L, from);
    lua_newtable(L);
    for (lua_pushnil(L); lua_next(L, from) != 0; lua_pop(L, 1)) {
        if (lua_type(L, -2) != LUA_TSTRING && lua_type(L, -2) != LUA_TNUMBER)
            imp_raise_text(L, "what a log rule gives has texts and numbers as keys");
        lua_pushvalue(L, -2);
        lua_rawseti(L, keys, ++count);
    }
    imp_sort(L, keys, count, imp_key_less, NULL);
    const bool has_values = lua_type(L, values) == LUA_TTABLE && holds_mask(L, from);
    for (lua_Integer i = 1; i <= count; i++) {
        lua_rawgeti(L, keys, i);
        lua_pushvalue(L, -1);
        lua_rawget(L, from);
        if (!has_values || !is_text(L, keys + 1, "values")) {
            push_plain(L, keys + 2, has_values && is_text(L, keys + 1, "mask") ? values : 0, depth + 1);
            lua_replace(L, keys + 2);
            lua_rawset(L, copy);
        }
        lua_settop(L, keys);
    }
    lua_settop(L, copy);
}

static void push_plain(lua_State *L, int index, int values_at, int depth)
{
    const imp_column_box *box = imp_column_test(L, index);
    size_t number;
    luaL_checkstack(L, 8, "nested too deeply");
    if (box != NULL) {
        if (!box->kind.is_mask)
            imp_raise_text(L, "a log rule gives a mask, or asks with later(): a column is no answer by itself");
        push_spans(L, box, values_at);
    } else if (imp_answer_test(L, index, &number) != NULL) {
        push_answer_number(L, number);
    } else if (lua_type(L, index) == LUA_TTABLE) {
        if (depth > DEEPEST)
            imp_raise_text(L, "what a log rule gives is nested more than %d deep", DEEPEST);
        push_plain_table(L, lua_absindex(L, index), depth);
    } else {
        lua_pushvalue(L, index);
    }
}

/* Columns and answers cannot leave their state: numbers stand for them. */
static void take_questions(lua_State *L, void *context)
{
    (void)context;
    const bool has_values = imp_column_test(L, 1) != NULL && lua_type(L, 2) == LUA_TTABLE;
    if (has_values) {
        push_plain(L, 1, 2, 0);
        lua_replace(L, 1);
        lua_settop(L, 1);
        return;
    }
    const int count = lua_gettop(L);
    for (int i = 1; i <= count; i++) {
        push_plain(L, i, 0, 0);
        lua_replace(L, i);
    }
}

static int call_remote(lua_State *L, ask_call *call, const imp_remote_function *remote, imp_take_results take)
{
    imp_host *host = imp_host_here(L);
    imp_error error;
    imp_host_clear_recording(&host->recording);
    host->recording.with_sheets = host->recording.with_reads = true;
    const double before = imp_budget_clock();
    imp_status status =
        imp_rule_file_invoke(remote->file, remote->number, push_arguments, take, call, &host->recording, &error);
    imp_budget_leave_out(host->engine, imp_budget_clock() - before);
    host->ran_short = host->ran_short || host->recording.is_incomplete;
    if (status != IMP_OK)
        return imp_host_push_failure(L, true, status, &error);
    lua_pushboolean(L, 1);
    lua_State *const rules = imp_script_state(remote->file->script);
    status = imp_host_push_results(L, rules, &error);
    lua_settop(rules, 0);
    if (lua_gc(rules, LUA_GCCOUNT) > TIDY_ABOVE)
        lua_gc(rules, LUA_GCCOLLECT); /* answers of a long log: not left to many states at once */
    if (status != IMP_OK)
        return imp_host_push_failure(L, true, status, &error);
    imp_host_push_recording(L, host);
    return 3;
}

static int log_ask(lua_State *L)
{
    ask_call call = {.host = imp_host_here(L), .engine = L, .day = check_day(L, "log_ask"), .third = 3};
    const imp_remote_function *remote = imp_host_check_remote(L, 2);
    lua_settop(L, 3);
    return call_remote(L, &call, remote, take_questions);
}

static int log_invoke(lua_State *L)
{
    ask_call call = {.host = imp_host_here(L), .engine = L, .first = 2, .third = 3};
    const imp_remote_function *remote = imp_host_check_remote(L, 1);
    lua_settop(L, 3);
    return call_remote(L, &call, remote, NULL);
}

static int log_answer(lua_State *L)
{
    imp_day *day = check_day(L, "log_answer");
    imp_day_push_answer(L, day, (size_t)luaL_checkinteger(L, 2), true, (size_t)luaL_optinteger(L, 3, LUA_MAXINTEGER));
    return 1;
}

/* ---- running ---- */

static void *run_day(void *context)
{
    imp_day *day = context;
    imp_day_run(day, NULL);
    return NULL;
}

static void run_all(imp_day *const *days, size_t count)
{
    pthread_t threads[MOST_DAYS];
    bool is_started[MOST_DAYS] = {false};
    for (size_t i = 1; i < count; i++)
        is_started[i] = pthread_create(&threads[i], NULL, run_day, days[i]) == 0;
    for (size_t i = 0; i < count; i++) {
        if (!is_started[i])
            run_day(days[i]); /* the first always, and those for which there was no thread */
        else
            pthread_join(threads[i], NULL);
    }
}

static int log_run(lua_State *L)
{
    imp_host *host = imp_host_here(L);
    imp_day *days[MOST_DAYS];
    luaL_checktype(L, 1, LUA_TTABLE);
    lua_settop(L, 2);
    const size_t count = lua_rawlen(L, 1);
    if (count > MOST_DAYS)
        return imp_raise_text(L, "log_run: at most %d days", MOST_DAYS);
    for (size_t i = 0; i < count; i++) {
        lua_rawgeti(L, 1, (lua_Integer)i + 1);
        days[i] = imp_day_test(L, -1);
        if (days[i] == NULL || days[i]->log == NULL)
            return imp_raise_text(L, "log_run: expected open days");
        days[i]->wants_partial = lua_toboolean(L, 2) != 0;
        lua_pop(L, 1);
    }
    const double before = imp_budget_clock();
    if (host->settings.waiting != NULL)
        host->settings.waiting(host->settings.waiting_context, true);
    run_all(days, count);
    if (host->settings.waiting != NULL)
        host->settings.waiting(host->settings.waiting_context, false);
    imp_budget_leave_out(host->engine, imp_budget_clock() - before);
    lua_createtable(L, (int)count, 0);
    for (size_t i = 0; i < count; i++) {
        char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE + 4];
        host->ran_short = host->ran_short || days[i]->status == IMP_MEMORY;
        if (days[i]->status == IMP_OK)
            lua_pushboolean(L, 1);
        else
            lua_pushstring(L, imp_error_text(&days[i]->error, text, sizeof text));
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 1;
}

static int log_partial(lua_State *L)
{
    const imp_day *day = check_day(L, "log_partial");
    if (day->partial == NULL)
        return imp_raise_text(L, "log_partial: the day was not run in part");
    lua_pushlstring(L, day->partial, day->partial_length);
    return 1;
}

static int log_merge(lua_State *L)
{
    imp_day *day = check_day(L, "log_merge");
    imp_error error;
    imp_status status = IMP_OK;
    luaL_checktype(L, 2, LUA_TTABLE);
    const lua_Integer count = (lua_Integer)lua_rawlen(L, 2);
    for (lua_Integer i = 1; i <= count && status == IMP_OK; i++) {
        size_t length;
        lua_rawgeti(L, 2, i);
        const char *text = luaL_checklstring(L, -1, &length);
        status = imp_columns_merge(day->columns, text, length, &error);
        lua_pop(L, 1);
    }
    if (status == IMP_OK)
        status = imp_columns_merge_finish(day->columns, &error);
    day->is_ran = true;
    if (status != IMP_OK)
        return imp_host_push_failure(L, false, status, &error);
    lua_pushboolean(L, 1);
    return 1;
}

/* ---- texts ---- */

/* Past the value that begins at text[at]: brackets are counted, and what stands in quotes is passed over. */
static size_t after_value(const char *text, size_t length, size_t at)
{
    size_t depth = 0;
    for (; at < length; at++) {
        const char c = text[at];
        if (c == '"') {
            for (at++; at < length && text[at] != '"'; at++)
                at += text[at] == '\\';
            if (depth == 0)
                return at < length ? at + 1 : length;
        } else if (c == '{' || c == '[') {
            depth++;
        } else if (c == '}' || c == ']') {
            if (depth == 0)
                return at;
            if (--depth == 0)
                return at + 1;
        } else if (depth == 0 && (c == ',' || c == ' ' || c == '\n' || c == '\r' || c == '\t')) {
            return at;
        }
    }
    return length;
}

static size_t past_blanks(const char *text, size_t length, size_t at)
{
    while (at < length && (text[at] == ' ' || text[at] == '\n' || text[at] == '\r' || text[at] == '\t'))
        at++;
    return at;
}

static int json_parts(lua_State *L, char opens, char closes)
{
    size_t length, at;
    const char *text = luaL_checklstring(L, 1, &length);
    lua_newtable(L);
    at = past_blanks(text, length, 0);
    if (at >= length || text[at] != opens)
        return 0;
    for (at = past_blanks(text, length, at + 1); at < length && text[at] != closes;) {
        if (opens == '{') {
            const size_t end = after_value(text, length, at);
            if (text[at] != '"' || end < at + 2)
                return 0;
            lua_pushlstring(L, text + at + 1, end - at - 2);
            at = past_blanks(text, length, end);
            if (at >= length || text[at] != ':')
                return 0;
            at = past_blanks(text, length, at + 1);
        }
        const size_t end = after_value(text, length, at);
        if (end == at)
            return 0;
        lua_pushlstring(L, text + at, end - at);
        if (opens == '{')
            lua_rawset(L, 2);
        else
            lua_rawseti(L, 2, (lua_Integer)lua_rawlen(L, 2) + 1);
        at = past_blanks(text, length, end);
        if (at < length && text[at] == ',')
            at = past_blanks(text, length, at + 1);
    }
    if (at >= length)
        return 0;
    lua_settop(L, 2);
    return 1;
}

static int json_members(lua_State *L)
{
    return json_parts(L, '{', '}');
}

static int json_items(lua_State *L)
{
    return json_parts(L, '[', ']');
}

static int file_size(lua_State *L)
{
    struct stat found;
    if (stat(luaL_checkstring(L, 1), &found) != 0 || !S_ISREG(found.st_mode))
        return 0;
    lua_pushinteger(L, (lua_Integer)found.st_size);
    return 1;
}

static int log_column(lua_State *L)
{
    lua_pushboolean(L, lua_type(L, 1) == LUA_TSTRING && imp_log_known_find(lua_tostring(L, 1)) != NULL);
    return 1;
}

const luaL_Reg imp_host_log_functions[] = {{"log_open", log_open},         {"log_bind", log_bind},
                                           {"log_summary", log_summary},   {"log_ask", log_ask},
                                           {"log_run", log_run},           {"log_merge", log_merge},
                                           {"log_partial", log_partial},   {"log_answer", log_answer},
                                           {"log_invoke", log_invoke},     {"log_close", log_close},
                                           {"json_members", json_members}, {"json_items", json_items},
                                           {"file_size", file_size},       {"log_column", log_column},
                                           {NULL, NULL}};
