/* impinge calc --units: the calculation with its rows in other units. What each is shown in, scripts/report/display.lua
 * says, as for reports. */
#include <lauxlib.h>
#include <string.h>

#include "calc_job.h"
#include "module.h"
#include "scripts_folder.h"

/* All units of the rows, one after the other, and then what each is shown in. */
typedef struct unit_list {
    const display_units *wanted;
    const imp_calc *calc;
    const char *next; /* of the answer, while it is handed out */
} unit_list;

static const char source[] = "local display = require 'report.display'\n"
                             "return function(asked)\n"
                             "  local system = display.system(asked.base, asked.pairs)\n"
                             "  for i, unit in ipairs(asked.units) do asked.units[i] = display.unit(unit, system) end\n"
                             "  return table.concat(asked.units, '\\n')\n"
                             "end\n";

static bool has_unit(const imp_param *row)
{
    return row->unit != NULL && row->unit[0] != '\0';
}

static size_t row_count(const imp_param *rows)
{
    size_t count = 0;
    while (rows != NULL && rows[count].name != NULL)
        count++;
    return count;
}

static void push_rows(lua_State *L, const imp_param *rows, size_t count, bool nested)
{
    luaL_checkstack(L, 4, "units");
    for (size_t i = 0; i < count; i++) {
        if (has_unit(&rows[i])) {
            lua_pushstring(L, rows[i].unit);
            lua_rawseti(L, -2, (lua_Integer)lua_rawlen(L, -2) + 1);
        }
        if (nested)
            push_rows(L, rows[i].rows, row_count(rows[i].rows), true);
    }
}

/* A C function: leaves the table that the chunk's function takes. */
static int push_units(lua_State *L)
{
    const unit_list *list = lua_touserdata(L, 1);
    lua_newtable(L);
    lua_pushstring(L, list->wanted->base);
    lua_setfield(L, -2, "base");
    lua_newtable(L);
    for (size_t i = 0; i < list->wanted->count; i++) {
        lua_pushstring(L, list->wanted->pairs[i]);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    lua_setfield(L, -2, "pairs");
    lua_newtable(L);
    push_rows(L, list->calc->inputs, list->calc->input_count, false);
    push_rows(L, list->calc->outputs, list->calc->output_count, true);
    lua_setfield(L, -2, "units");
    return 1;
}

/* ---- the rows anew ---- */

static const char *take_unit(calc_job *job, unit_list *list)
{
    const size_t length = strcspn(list->next, "\n");
    const char *unit = imp_arena_copy_text(&job->arena, list->next, length);
    list->next += length + (list->next[length] == '\n');
    return unit;
}

/* A copy of rows with what their units are shown in; NULL when out of memory. Rows inside rows only where results are
 * made of them: what reads records knows its own rows. */
static imp_param *shown_rows(calc_job *job, unit_list *list, const imp_param *rows, size_t count, bool nested)
{
    imp_param *shown = imp_arena_allocate(&job->arena, count + 1, sizeof *shown);
    if (shown == NULL)
        return NULL;
    memset(shown, 0, (count + 1) * sizeof *shown);
    for (size_t i = 0; i < count; i++) {
        shown[i] = rows[i];
        if (has_unit(&rows[i]) && (shown[i].unit = take_unit(job, list)) == NULL)
            return NULL;
        if (nested && rows[i].rows != NULL &&
            (shown[i].rows = shown_rows(job, list, rows[i].rows, row_count(rows[i].rows), true)) == NULL)
            return NULL;
    }
    return shown;
}

static imp_status show_in(calc_job *job, unit_list *list, imp_error *error)
{
    imp_calc *shown = imp_arena_allocate(&job->arena, 1, sizeof *shown);
    if (shown == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    *shown = *job->calc;
    shown->inputs = shown_rows(job, list, job->calc->inputs, job->calc->input_count, false);
    if (shown->inputs != NULL)
        shown->outputs = shown_rows(job, list, job->calc->outputs, job->calc->output_count, true);
    if (shown->inputs == NULL || shown->outputs == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    job->calc = shown;
    return IMP_OK;
}

static imp_status ask(imp_script *script, calc_job *job, unit_list *list, imp_error *error)
{
    imp_status status = imp_script_run_text(script, source, strlen(source), "units", 1, error);
    if (status == IMP_OK)
        status = imp_script_protect(script, push_units, list, 1, error);
    if (status == IMP_OK)
        status = imp_script_call(script, 1, 1, error);
    if (status != IMP_OK)
        return status;
    list->next = lua_tostring(imp_script_state(script), -1);
    if (list->next == NULL)
        return imp_fail(error, IMP_INTERNAL, "report/display.lua", "gave no units");
    return show_in(job, list, error);
}

imp_status calc_take_units(calc_job *job, const display_units *units, imp_error *error)
{
    char folder[FOLDER_SIZE];
    imp_script *script = NULL;
    unit_list list = {.wanted = units, .calc = job->calc};
    imp_status status = find_scripts_folder(folder, sizeof folder, error);
    if (status != IMP_OK)
        return status;
    const char *const folders[] = {folder};
    const imp_script_options trusted = {.budget = imp_default_budget(), .folders = folders, .folder_count = 1, .trusted = true};
    status = imp_script_open(&trusted, &script, error);
    if (status == IMP_OK)
        status = ask(script, job, &list, error);
    imp_script_close(script);
    return status;
}
