/* What the engine of a check may call. Over 500 lines: every function of the host table in one place, each with its doc. */
#include "host.h"

#include <lauxlib.h>
#include <stdio.h>
#include <string.h>

#include "budget.h"
#include "catalogue_lua.h"
#include "host_state.h"
#include "number.h"
#include "job_lua.h"
#include "memory.h"
#include "quantity_lua.h"
#include "values_lua.h"

static const char remote_metatable_key = 0; /* only its address is used */

imp_host *imp_host_here(lua_State *L)
{
    return lua_touserdata(L, lua_upvalueindex(2));
}

void imp_host_clear_recording(imp_recording *recording)
{
    for (size_t i = 0; i < recording->sheet_count; i++)
        imp_sheet_free(&recording->sheets[i]);
    recording->sheet_count = 0;
    recording->read_count = 0;
}

/* ---- the job ---- */

static int host_job(lua_State *L)
{
    const imp_host *host = imp_host_here(L);
    if (host->settings.job != NULL)
        imp_view_push(L, host->settings.job);
    else
        lua_pushnil(L);
    return 1;
}

static void push_option(lua_State *L, const imp_host_option *option)
{
    switch (option->kind) {
    case IMP_HOST_TEXT:
        lua_pushstring(L, option->text);
        break;
    case IMP_HOST_FLAG:
        lua_pushboolean(L, option->flag);
        break;
    case IMP_HOST_NUMBER:
        lua_pushnumber(L, option->number);
        break;
    case IMP_HOST_TEXTS:
        lua_createtable(L, (int)option->count, 0);
        for (size_t i = 0; i < option->count; i++) {
            lua_pushstring(L, option->texts[i]);
            lua_rawseti(L, -2, (lua_Integer)i + 1);
        }
        break;
    }
}

static int host_options(lua_State *L)
{
    const imp_host *host = imp_host_here(L);
    lua_newtable(L);
    for (size_t i = 0; i < host->settings.option_count; i++) {
        push_option(L, &host->settings.options[i]);
        lua_setfield(L, -2, host->settings.options[i].name);
    }
    return 1;
}

static const char *check_text(lua_State *L, const char *function, const char *what)
{
    char got[200];
    if (lua_type(L, 1) != LUA_TSTRING)
        imp_raise_text(L, "%s: expected %s, got %s", function, what,
                       imp_value_described(L, imp_lua_here(L), 1, got, sizeof got));
    return lua_tostring(L, 1);
}

/* "site.surface_temperature" is shown as "surface temperature", "material.window.pressure.min" as "pressure min". */
static void push_title(lua_State *L, const char *path)
{
    const char *last = strrchr(path, '.');
    const char *start = last != NULL ? last + 1 : path;
    if (last != NULL && (strcmp(start, "min") == 0 || strcmp(start, "max") == 0))
        for (start = last; start > path && start[-1] != '.';)
            start--;
    char title[IMP_PLACE_SIZE];
    snprintf(title, sizeof title, "%s", start);
    for (char *at = title; *at != '\0'; at++)
        if (*at == '_' || *at == '.')
            *at = ' ';
    lua_pushstring(L, title);
}

/* Row of a dotted path; numbers of items are skipped. NULL when there is none. */
static const imp_param *find_row(const imp_param *rows, const char *path)
{
    const imp_param *row = NULL;
    char name[IMP_PLACE_SIZE];
    while (*path != '\0') {
        const size_t length = strcspn(path, ".[");
        snprintf(name, sizeof name, "%.*s", (int)(length < sizeof name ? length : sizeof name - 1), path);
        row = imp_param_find(row == NULL ? rows : row->rows, name);
        if (row == NULL)
            return NULL;
        path += length + strcspn(path + length, ".");
        path += *path == '.' ? 1 : 0;
    }
    return row;
}

/* host.field(path): what is known of a field of the job, or nil */
static int host_field(lua_State *L)
{
    const char *path = check_text(L, "field", "a path");
    const imp_param *row = find_row(imp_host_here(L)->settings.rows, path);
    if (row == NULL) {
        lua_pushnil(L);
        return 1;
    }
    imp_row_push(L, row);
    lua_pushstring(L, path);
    lua_setfield(L, -2, "path");
    push_title(L, path);
    lua_setfield(L, -2, "title");
    return 1;
}

static bool begins_with(const char *path, const char *document)
{
    const size_t length = strlen(document);
    return strncmp(path, document, length) == 0 && path[length] == '.';
}

/* host.origin(path): the document that a value comes from, or nil when there is none */
static int host_origin(lua_State *L)
{
    const imp_host *host = imp_host_here(L);
    const char *path = check_text(L, "origin", "a path");
    imp_error error;
    if (host->settings.job == NULL) {
        lua_pushnil(L);
        return 1;
    }
    const imp_node *node = imp_node_find(host->settings.job, path, &error);
    if (node == NULL)
        return imp_raise(L, &error);
    if (!imp_node_has_value(node))
        lua_pushnil(L);
    else if (node->is_default)
        lua_pushliteral(L, "default");
    else
        lua_pushstring(L, begins_with(path, "material") ? "material" : begins_with(path, "rig") ? "rig" : "job");
    return 1;
}

/* host.date(): the job's own date, else today */
static int host_date(lua_State *L)
{
    const imp_host *host = imp_host_here(L);
    const imp_node *date = host->settings.job != NULL ? imp_node_find(host->settings.job, "date", NULL) : NULL;
    lua_pushstring(L, date != NULL && imp_node_has_value(date) && date->text != NULL ? date->text : host->settings.date);
    return 1;
}

static int host_write(lua_State *L)
{
    const imp_host *host = imp_host_here(L);
    size_t length;
    check_text(L, "write", "a text");
    const char *text = lua_tolstring(L, 1, &length);
    imp_spend_output(L, length);
    if (host->settings.write != NULL)
        host->settings.write(host->settings.write_context, text, length);
    return 0;
}

/* A job of a case. All live as long as the host: the engine may still hold views of an earlier one. */
typedef struct imp_own_job {
    imp_node *root;
    struct imp_own_job *next;
} imp_own_job;

/* host.use_job(text): true, and the job is the one of this document from now on; or nil and the sentence */
static int host_use_job(lua_State *L)
{
    imp_host *host = imp_host_here(L);
    size_t length;
    check_text(L, "use_job", "a document");
    const char *text = lua_tolstring(L, 1, &length);
    imp_issues issues;
    imp_own_job *own = imp_allocate(NULL, 1, sizeof *own);
    imp_issues_init(&issues, NULL);
    const imp_status status =
        own == NULL ? IMP_MEMORY : imp_document_read(IMP_JOB, "job", text, length, NULL, NULL, &own->root, &issues);
    if (status != IMP_OK) {
        char sentence[1024] = "job: out of memory";
        if (issues.count > 0)
            imp_issue_text(&issues.items[0], sentence, sizeof sentence);
        imp_release(NULL, own);
        imp_issues_free(&issues); /* before anything raises */
        lua_pushnil(L);
        lua_pushstring(L, sentence);
        return 2;
    }
    imp_issues_free(&issues);
    own->next = host->own_jobs;
    host->own_jobs = own;
    host->settings.job = own->root;
    lua_pushboolean(L, 1);
    return 1;
}

/* ---- rule files ---- */

/* nil (or false), the sentence, and whether a budget was used up. */
int imp_host_push_failure(lua_State *L, bool as_false, imp_status status, const imp_error *error)
{
    char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE + 4];
    imp_host *host = imp_host_here(L);
    host->ran_short = host->ran_short || status == IMP_MEMORY; /* no answer about a file or a rule */
    if (as_false)
        lua_pushboolean(L, 0);
    else
        lua_pushnil(L);
    lua_pushstring(L, imp_error_text(error, text, sizeof text));
    lua_createtable(L, 0, 2);
    lua_pushboolean(L, status == IMP_LIMIT);
    lua_setfield(L, -2, "limit");
    lua_pushstring(L, imp_status_text(status));
    lua_setfield(L, -2, "status");
    return 3;
}

/* Push what stands for a function of a rule file; false when it was not part of a declaration. */
static bool push_remote(void *context, lua_State *from, int index, lua_State *to)
{
    const lua_Integer number = imp_rule_function_number(from, index);
    if (number == 0)
        return false;
    imp_remote_function *remote = lua_newuserdatauv(to, sizeof *remote, 0);
    remote->file = context;
    remote->number = number;
    lua_rawgetp(to, LUA_REGISTRYINDEX, &remote_metatable_key);
    lua_setmetatable(to, -2);
    return true;
}

static imp_rule_file *new_file(imp_host *host)
{
    imp_rule_file *file = imp_allocate(NULL, 1, sizeof *file);
    if (file != NULL) {
        file->words = host->settings.words;
        file->next = host->files;
        host->files = file;
    }
    return file;
}

/* host.load_rules(path): { script = handle, rules = { declarations } }, or nil and the sentence */
static int host_load_rules(lua_State *L)
{
    imp_host *host = imp_host_here(L);
    const char *path = check_text(L, "load_rules", "a file's path");
    imp_error error;
    imp_rule_file *file = new_file(host);
    if (file == NULL)
        return imp_raise_memory(L, "load_rules");
    const double before = imp_budget_clock();
    imp_status status = imp_rule_file_load(file, &host->settings.rule, path, &error);
    imp_budget_leave_out(host->engine, imp_budget_clock() - before);
    if (status != IMP_OK)
        return imp_host_push_failure(L, false, status, &error);
    lua_createtable(L, 0, 2);
    lua_pushlightuserdata(L, file);
    lua_setfield(L, -2, "script");
    imp_rule_file_declarations(file);
    status = imp_value_copy(imp_script_state(file->script), -1, L, push_remote, file, &error);
    if (status != IMP_OK) {
        imp_error_prefix(&error, path, ": ");
        return imp_host_push_failure(L, false, status, &error);
    }
    lua_setfield(L, -2, "rules");
    return 1;
}

/* ---- overlays ---- */

/* A node whose value is another one during a call. */
typedef struct overlay {
    imp_node *node;
    imp_node saved, changed;
} overlay;

static imp_status read_overlay(lua_State *L, const imp_host *host, overlay *made, imp_error *error)
{
    imp_value_reader reader = {.L = L, .lua = imp_lua_here(L), .error = error};
    imp_value value;
    const char *path = lua_tostring(L, -2);
    const imp_unit *unit = NULL;
    const imp_node *node = imp_node_find(host->settings.job, path, error);
    if (node == NULL)
        return IMP_UNKNOWN;
    if (node->kind != IMP_NUMBER && node->kind != IMP_CHOICE && node->kind != IMP_FLAG)
        return imp_fail(error, IMP_TYPE, path, "only a number, a choice or a flag can be tried out");
    imp_status status = imp_value_read(&reader, node->row, lua_gettop(L), &value);
    if (status != IMP_OK)
        return status;
    made->node = (imp_node *)node; /* the host's own tree, which is not const */
    made->saved = made->changed = *node;
    made->changed.number = value.number;
    made->changed.given = true;
    made->changed.is_default = false;
    if (node->kind != IMP_NUMBER)
        return IMP_OK;
    imp_quantity_test(L, reader.lua, lua_gettop(L), &unit);
    const char *row_unit = node->row->unit != NULL ? node->row->unit : "1";
    if (unit != NULL)
        made->changed.unit = *unit;
    else
        status = imp_unit_parse(row_unit, strlen(row_unit), &made->changed.unit, error);
    made->changed.text = NULL;
    return status;
}

/* Read the overlays at stack index 2 into a userdata that is left on the stack; NULL and status when one is refused. */
static overlay *read_overlays(lua_State *L, const imp_host *host, size_t *count, imp_status *status, imp_error *error)
{
    size_t wanted = 0;
    *status = IMP_OK;
    *count = 0;
    if (lua_isnoneornil(L, 2))
        return NULL;
    if (lua_type(L, 2) != LUA_TTABLE || host->settings.job == NULL)
        imp_raise_text(L, "call: overlays are a table from paths of the job to values");
    for (lua_pushnil(L); lua_next(L, 2) != 0; lua_pop(L, 1)) {
        if (lua_type(L, -2) != LUA_TSTRING)
            imp_raise_text(L, "call: overlays are a table from paths of the job to values");
        wanted++;
    }
    overlay *made = lua_newuserdatauv(L, (wanted + 1) * sizeof *made, 0);
    for (lua_pushnil(L); lua_next(L, 2) != 0; lua_pop(L, 1)) {
        *status = read_overlay(L, host, &made[*count], error);
        if (*status != IMP_OK)
            return NULL;
        (*count)++;
    }
    return made;
}

static void apply(const overlay *overlays, size_t count)
{
    for (size_t i = 0; overlays != NULL && i < count; i++)
        *overlays[i].node = overlays[i].changed;
}

static void take_back(const overlay *overlays, size_t count)
{
    for (size_t i = count; i > 0; i--)
        *overlays[i - 1].node = overlays[i - 1].saved;
}

/* ---- calling ---- */

const imp_remote_function *imp_host_check_remote(lua_State *L, int index)
{
    bool is_remote = false;
    if (lua_type(L, index) == LUA_TUSERDATA && lua_getmetatable(L, index)) {
        lua_rawgetp(L, LUA_REGISTRYINDEX, &remote_metatable_key);
        is_remote = lua_rawequal(L, -1, -2);
        lua_pop(L, 2);
    }
    if (!is_remote)
        imp_raise_text(L, "call: expected a function of a rule file");
    return lua_touserdata(L, index);
}

/* Push { sheets = { ... }, reads = { ... } }. */
void imp_host_push_recording(lua_State *L, const imp_host *host)
{
    const imp_recording *recording = &host->recording;
    char path[IMP_PLACE_SIZE];
    lua_createtable(L, 0, 2);
    lua_createtable(L, (int)recording->sheet_count, 0);
    for (size_t i = 0; i < recording->sheet_count; i++) {
        imp_sheet_push(L, recording->calcs[i], &recording->sheets[i]);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    lua_setfield(L, -2, "sheets");
    lua_createtable(L, (int)recording->read_count, 0);
    for (size_t i = 0; i < recording->read_count; i++) {
        lua_pushstring(L, imp_node_path(host->settings.job, recording->reads[i], path, sizeof path));
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    lua_setfield(L, -2, "reads");
}

/* Push the results on the file's stack as a list with n. */
imp_status imp_host_push_results(lua_State *L, lua_State *from, imp_error *error)
{
    const int count = lua_gettop(from);
    lua_createtable(L, count, 1);
    lua_pushinteger(L, count);
    lua_setfield(L, -2, "n");
    for (int i = 1; i <= count; i++) {
        const imp_status status = imp_value_copy(from, i, L, NULL, NULL, error);
        if (status != IMP_OK) {
            char place[40];
            snprintf(place, sizeof place, "result %d", i);
            imp_error_prefix(error, place, ": ");
            return status;
        }
        lua_rawseti(L, -2, i);
    }
    return IMP_OK;
}

/* host.name_distance(a, b, limit): how many letters differ, as "did you mean" counts; limit where it is more */
static int host_name_distance(lua_State *L)
{
    if (lua_type(L, 1) != LUA_TSTRING || lua_type(L, 2) != LUA_TSTRING)
        return imp_raise_text(L, "name_distance: expected two names");
    lua_pushinteger(L, imp_name_distance(lua_tostring(L, 1), lua_tostring(L, 2), (int)lua_tointeger(L, 3)));
    return 1;
}

/* host.call(remote, overlays or nil, record = true, "reads" (what is read of the job, no sheets) or nil): true, results, info; or false, the sentence, info */
static int host_call(lua_State *L)
{
    imp_host *host = imp_host_here(L);
    const imp_remote_function *remote = imp_host_check_remote(L, 1);
    const bool with_reads = lua_toboolean(L, 3) != 0, with_sheets = with_reads && lua_type(L, 3) != LUA_TSTRING;
    size_t count = 0;
    imp_error error;
    imp_status status;
    lua_settop(L, 3);
    const overlay *overlays = read_overlays(L, host, &count, &status, &error);
    if (status != IMP_OK)
        return imp_host_push_failure(L, true, status, &error);
    imp_host_clear_recording(&host->recording);
    host->recording.with_sheets = with_sheets;
    host->recording.with_reads = with_reads;
    const double before = imp_budget_clock();
    apply(overlays, count); /* nothing raises until they are taken back */
    status = imp_rule_file_call(remote->file, remote->number, host->settings.job, &host->recording, &error);
    take_back(overlays, count);
    imp_budget_leave_out(host->engine, imp_budget_clock() - before);
    host->ran_short = host->ran_short || host->recording.is_incomplete;
    if (status != IMP_OK)
        return imp_host_push_failure(L, true, status, &error);
    lua_pushboolean(L, 1);
    status = imp_host_push_results(L, imp_script_state(remote->file->script), &error);
    if (status != IMP_OK)
        return imp_host_push_failure(L, true, status, &error);
    imp_host_push_recording(L, host);
    return 3;
}

/* ---- opening ---- */

static const luaL_Reg functions[] = {
    {"job", host_job},   {"options", host_options}, {"field", host_field},           {"origin", host_origin},
    {"date", host_date}, {"write", host_write},     {"load_rules", host_load_rules}, {"call", host_call},
    {"use_job", host_use_job}, {"name_distance", host_name_distance},
    {NULL, NULL}};

static int open_host(lua_State *L)
{
    imp_host *host = lua_touserdata(L, 1);
    lua_createtable(L, 0, 2);
    lua_pushliteral(L, "remote function");
    lua_setfield(L, -2, "__name");
    lua_pushboolean(L, 0);
    lua_setfield(L, -2, "__metatable");
    lua_rawsetp(L, LUA_REGISTRYINDEX, &remote_metatable_key);
    lua_pushglobaltable(L);
    lua_pushliteral(L, "host");
    luaL_newlibtable(L, functions);
    lua_pushlightuserdata(L, imp_lua_open(L));
    lua_pushlightuserdata(L, host);
    lua_pushvalue(L, -3); /* the table, and its two upvalues again for the functions of logs */
    lua_pushvalue(L, -3);
    lua_pushvalue(L, -3);
    luaL_setfuncs(L, imp_host_log_functions, 2);
    lua_pop(L, 1);
    luaL_setfuncs(L, functions, 2);
    lua_getglobal(L, "imp");
    lua_getfield(L, -1, "sorted_pairs");
    lua_setfield(L, -3, "sorted_pairs");
    lua_pop(L, 1);
    lua_rawset(L, -3);
    return 0;
}

imp_status imp_host_open(imp_script *engine, const imp_host_settings *settings, imp_host **host, imp_error *error)
{
    imp_host *made = imp_allocate(NULL, 1, sizeof *made);
    if (made == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    made->engine = engine;
    made->settings = *settings;
    const imp_status status = imp_script_protect(engine, open_host, made, 0, error);
    if (status != IMP_OK) {
        imp_host_close(made);
        return status;
    }
    *host = made;
    return IMP_OK;
}

bool imp_host_ran_short(const imp_host *host)
{
    const imp_lua *lua = imp_lua_known(imp_script_state(host->engine)); /* the engine's own scripts may catch errors */
    return host->ran_short || (lua != NULL && lua->ran_short);
}

void imp_host_close(imp_host *host)
{
    if (host == NULL)
        return;
    for (imp_rule_file *file = host->files; file != NULL;) {
        imp_rule_file *next = file->next;
        imp_script_close(file->script);
        imp_release(NULL, file);
        file = next;
    }
    for (imp_own_job *own = host->own_jobs; own != NULL;) {
        imp_own_job *next = own->next;
        imp_node_free(own->root, NULL);
        imp_release(NULL, own);
        own = next;
    }
    imp_host_clear_recording(&host->recording);
    imp_release(NULL, host);
}
