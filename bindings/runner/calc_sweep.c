/* impinge calc --sweep: all outputs over a range of one input, as a table or as charts. */
#include <lauxlib.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "argument.h"
#include "calc_job.h"
#include "engine.h"
#include "engine_lua.h"
#include "module.h"
#include "number.h"
#include "scripts_folder.h"
#include "text_table.h"
#include "value_output.h"

typedef struct swept {
    double from, to;
    size_t steps;
    double *points;
    imp_value *results; /* steps x outputs */
} swept;

/* ---- what is asked ---- */

/* "FROM..TO[/STEPS]": after the last "/" digits alone are the number of steps. */
static imp_status split_range(calc_job *job, const char *range, const char **from, const char **to, size_t *steps, imp_error *error)
{
    const char *dots = strstr(range, ".."), *end = range + strlen(range), *slash = strrchr(range, '/');
    if (dots == NULL || dots == range || dots[2] == '\0')
        return imp_fail(error, IMP_SYNTAX, "--sweep", "expected NAME=FROM..TO or NAME=FROM..TO/STEPS, got \"%s\"",
                        options_text(job->given, OPTION_SWEEP));
    *steps = IMP_DEFAULT_SWEEP_STEPS;
    if (slash != NULL && slash > dots + 2 && slash[1] != '\0' && slash[1 + strspn(slash + 1, "0123456789")] == '\0') {
        double number = 0.0;
        size_t used = 0;
        imp_number_read(slash + 1, strlen(slash + 1), &number, &used);
        if (number < 2.0 || number > IMP_MOST_SWEEP_STEPS)
            return imp_fail(error, IMP_RANGE, "--sweep", "expected 2 to %d steps, got %.40s", IMP_MOST_SWEEP_STEPS, slash + 1);
        *steps = (size_t)number;
        end = slash;
    }
    *from = imp_arena_copy_text(&job->arena, range, (size_t)(dots - range));
    *to = imp_arena_copy_text(&job->arena, dots + 2, (size_t)(end - dots - 2));
    return *from != NULL && *to != NULL ? IMP_OK : imp_fail(error, IMP_MEMORY, NULL, "out of memory");
}

static imp_status read_range(calc_job *job, swept *sweep, imp_error *error)
{
    const char *text = options_text(job->given, OPTION_SWEEP), *equals = strchr(text, '='), *from = NULL, *to = NULL;
    const imp_param *row = &job->calc->inputs[job->unknown];
    imp_value low, high;
    if (row->kind != IMP_NUMBER)
        return imp_fail(error, IMP_TYPE, "--sweep", "%s is not a number; only numbers can be varied", row->name);
    imp_status status = split_range(job, equals != NULL ? equals + 1 : "", &from, &to, &sweep->steps, error);
    if (status == IMP_OK)
        status = imp_argument_read(row, from, &job->arena, &low, error);
    if (status == IMP_OK)
        status = imp_argument_read(row, to, &job->arena, &high, error);
    if (status != IMP_OK) {
        if (strcmp(error->place, "--sweep") != 0)
            imp_error_prefix(error, "--sweep", ": ");
        return status;
    }
    sweep->from = low.number;
    sweep->to = high.number;
    sweep->points = imp_arena_allocate(&job->arena, sweep->steps, sizeof *sweep->points);
    sweep->results = imp_arena_allocate(&job->arena, sweep->steps * job->calc->output_count, sizeof *sweep->results);
    return sweep->points != NULL && sweep->results != NULL ? IMP_OK : imp_fail(error, IMP_MEMORY, NULL, "out of memory");
}

/* Results that fit a cell: no lists, no tables. */
static bool is_shown(const imp_param *row)
{
    return row->kind == IMP_NUMBER || row->kind == IMP_CHOICE || row->kind == IMP_FLAG;
}

static const imp_value *result_at(const calc_job *job, const swept *sweep, size_t step, size_t place)
{
    return &sweep->results[step * job->calc->output_count + place];
}

/* ---- tables ---- */

static const char *cell_text(const imp_param *row, const imp_value *value, int digits, char *text, size_t size)
{
    if (!value->given)
        return "-";
    if (row->kind == IMP_FLAG)
        return value->number != 0.0 ? "true" : "false";
    return imp_param_format_money(row, value->number, value->currency, digits, text, size);
}

static imp_status write_text(calc_job *job, const swept *sweep, imp_error *error)
{
    const imp_calc *calc = job->calc;
    const imp_param *row = &calc->inputs[job->unknown];
    text_table table;
    char text[96];
    size_t columns = 1;
    for (size_t k = 0; k < calc->output_count; k++)
        columns += is_shown(&calc->outputs[k]);
    text_table_init(&table, &job->arena, columns);
    text_table_add(&table, row->name);
    for (size_t k = 0; k < calc->output_count; k++)
        if (is_shown(&calc->outputs[k]))
            text_table_add(&table, calc->outputs[k].name);
    for (size_t i = 0; i < sweep->steps; i++) {
        const int digits = job->out->digits > 0 ? job->out->digits : 6; /* a step may be small beside the value */
        text_table_add(&table, imp_param_format(row, sweep->points[i], digits, text, sizeof text));
        for (size_t k = 0; k < calc->output_count; k++)
            if (is_shown(&calc->outputs[k]))
                text_table_add(&table, cell_text(&calc->outputs[k], result_at(job, sweep, i, k), job->out->digits, text, sizeof text));
    }
    if (!text_table_write(&table, job->out, ""))
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    if (job->with_sheet)
        sheet_lines(job->out, calc, &job->sheet);
    return IMP_OK;
}

static void csv_heading(output *out, const imp_param *row, bool first)
{
    const bool has_unit = row->kind == IMP_NUMBER && row->unit != NULL && strcmp(row->unit, "1") != 0;
    output_format(out, "%s%s%s%s%s", first ? "" : ",", row->name, has_unit ? " [" : "", has_unit ? row->unit : "", has_unit ? "]" : "");
}

static void csv_number(output *out, const imp_param *row, double si)
{
    char text[IMP_NUMBER_TEXT_SIZE];
    imp_unit unit;
    row_unit(row, &unit);
    output_text(out, imp_quantity_exact(&unit, si, text, sizeof text));
}

/* Headings as in a log, "length [m]"; numbers with all digits; an empty cell where a point was refused. */
static void write_csv(calc_job *job, const swept *sweep)
{
    const imp_calc *calc = job->calc;
    const imp_param *row = &calc->inputs[job->unknown];
    csv_heading(job->out, row, true);
    for (size_t k = 0; k < calc->output_count; k++)
        if (is_shown(&calc->outputs[k]))
            csv_heading(job->out, &calc->outputs[k], false);
    for (size_t i = 0; i < sweep->steps; i++) {
        output_text(job->out, "\n");
        csv_number(job->out, row, sweep->points[i]);
        for (size_t k = 0; k < calc->output_count; k++) {
            const imp_value *value = result_at(job, sweep, i, k);
            char text[96], quoted[200];
            if (!is_shown(&calc->outputs[k]))
                continue;
            output_text(job->out, ",");
            if (!value->given)
                continue;
            if (calc->outputs[k].kind == IMP_NUMBER) {
                csv_number(job->out, &calc->outputs[k], value->number);
            } else {
                const char *cell = cell_text(&calc->outputs[k], value, 0, text, sizeof text);
                snprintf(quoted, sizeof quoted, strpbrk(cell, ",\"") != NULL ? "\"%s\"" : "%s", cell);
                output_text(job->out, quoted);
            }
        }
    }
    output_text(job->out, "\n");
}

static void write_json(calc_job *job, const swept *sweep)
{
    const imp_calc *calc = job->calc;
    const imp_param *row = &calc->inputs[job->unknown];
    json_writer json;
    calc_open_json(job, &json);
    json_member_text(&json, "sweep", row->name);
    json_key(&json, "points");
    json_open_array(&json);
    for (size_t i = 0; i < sweep->steps; i++) {
        const imp_value at = {.number = sweep->points[i], .given = true};
        json_open_object_inline(&json);
        json_key(&json, row->name);
        value_json(&json, row, &at);
        for (size_t k = 0; k < calc->output_count; k++) {
            if (!is_shown(&calc->outputs[k]))
                continue;
            json_key(&json, calc->outputs[k].name);
            value_json(&json, &calc->outputs[k], result_at(job, sweep, i, k));
        }
        json_close_object(&json);
    }
    json_close_array(&json);
    calc_close_json(job, &json);
}

/* ---- charts, which are Lua ---- */

typedef struct chart_data {
    const calc_job *job;
    const swept *sweep;
} chart_data;

static void set_text(lua_State *L, const char *name, const char *text)
{
    lua_pushstring(L, text);
    lua_setfield(L, -2, name);
}

/* Open a column: name, unit and an empty list of values on top of the stack. */
static imp_unit open_column(lua_State *L, const imp_param *row, size_t steps)
{
    imp_unit unit;
    row_unit(row, &unit);
    lua_newtable(L);
    set_text(L, "name", row->name);
    set_text(L, "unit", row->unit != NULL ? row->unit : "1");
    lua_createtable(L, (int)steps, 0);
    return unit;
}

static void push_outputs(lua_State *L, const chart_data *data)
{
    const imp_calc *calc = data->job->calc;
    lua_newtable(L);
    for (size_t k = 0; k < calc->output_count; k++) {
        if (calc->outputs[k].kind != IMP_NUMBER)
            continue;
        const imp_unit unit = open_column(L, &calc->outputs[k], data->sweep->steps);
        for (size_t i = 0; i < data->sweep->steps; i++) {
            const imp_value *value = result_at(data->job, data->sweep, i, k);
            lua_pushnumber(L, value->given ? imp_unit_from_si(&unit, value->number) : (double)NAN);
            lua_rawseti(L, -2, (lua_Integer)i + 1);
        }
        lua_setfield(L, -2, "values");
        lua_rawseti(L, -2, (lua_Integer)lua_rawlen(L, -2) + 1);
    }
}

static void push_inputs(lua_State *L, const calc_job *job)
{
    lua_newtable(L);
    for (size_t i = 0; i < job->calc->input_count; i++) {
        const imp_param *row = &job->calc->inputs[i];
        char text[96];
        if (!job->in[i].given || !is_shown(row) || i == job->unknown)
            continue;
        lua_newtable(L);
        set_text(L, "name", row->name);
        set_text(L, "text", cell_text(row, &job->in[i], 6, text, sizeof text));
        lua_rawseti(L, -2, (lua_Integer)lua_rawlen(L, -2) + 1);
    }
}

/* A C function: leaves the table that report/sweep.lua takes. */
static int push_data(lua_State *L)
{
    const chart_data *data = lua_touserdata(L, 1);
    const calc_job *job = data->job;
    luaL_checkstack(L, 20, "chart");
    lua_newtable(L);
    set_text(L, "id", job->calc->id);
    set_text(L, "title", job->calc->title);
    set_text(L, "source", job->calc->source);
    set_text(L, "validity", job->calc->validity);
    set_text(L, "version", IMP_VERSION);
    push_inputs(L, job);
    lua_setfield(L, -2, "inputs");
    const imp_unit unit = open_column(L, &job->calc->inputs[job->unknown], data->sweep->steps);
    for (size_t i = 0; i < data->sweep->steps; i++) {
        lua_pushnumber(L, imp_unit_from_si(&unit, data->sweep->points[i]));
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    lua_setfield(L, -2, "values");
    lua_setfield(L, -2, "x");
    push_outputs(L, data);
    lua_setfield(L, -2, "outputs");
    return 1;
}

/* Call the writer for the format and take its text. */
static imp_status draw(imp_script *script, const calc_job *job, const swept *sweep, const char *format, imp_error *error)
{
    lua_State *const L = imp_script_state(script);
    chart_data data = {job, sweep};
    char source[96];
    const int length = snprintf(source, sizeof source, "return require('report.sweep').%s", format);
    imp_status status = imp_script_run_text(script, source, (size_t)length, "chart", 1, error);
    if (status == IMP_OK)
        status = imp_script_protect(script, push_data, &data, 1, error);
    if (status == IMP_OK)
        status = imp_script_call(script, 1, 1, error);
    if (status != IMP_OK)
        return status;
    size_t size = 0;
    const char *text = lua_tolstring(L, -1, &size);
    if (text == NULL)
        return imp_fail(error, IMP_INTERNAL, "report/sweep.lua", "gave no text");
    output_bytes(job->out, text, size);
    return IMP_OK;
}

static imp_status write_chart(const calc_job *job, const swept *sweep, const char *format, imp_error *error)
{
    char folder[FOLDER_SIZE];
    imp_script *script = NULL;
    bool any = false;
    for (size_t k = 0; k < job->calc->output_count; k++)
        any = any || job->calc->outputs[k].kind == IMP_NUMBER;
    if (!any)
        return imp_fail(error, IMP_TYPE, job->calc->id, "has no output that is a number, so there is nothing to draw");
    imp_status status = find_scripts_folder(folder, sizeof folder, error);
    if (status != IMP_OK)
        return status;
    const char *const folders[] = {folder};
    const imp_script_options trusted = {.budget = imp_default_budget(), .folders = folders, .folder_count = 1, .trusted = true};
    status = imp_script_open(&trusted, &script, error);
    if (status == IMP_OK)
        status = draw(script, job, sweep, format, error);
    imp_script_close(script);
    return status;
}

imp_status calc_sweep(calc_job *job, imp_error *error)
{
    swept sweep = {.steps = 0};
    const char *format = options_text(job->given, OPTION_FORMAT);
    imp_status status = read_range(job, &sweep, error);
    if (status == IMP_OK)
        status = imp_calc_sweep(job->calc, job->in, job->unknown, sweep.from, sweep.to, sweep.steps, sweep.points, sweep.results, error);
    if (status == IMP_OK && job->with_sheet) {
        job->in[job->unknown] = (imp_value){.number = sweep.from, .given = true};
        status = calc_evaluate(job, error);
    }
    if (status != IMP_OK)
        return status;
    if (strcmp(format, "csv") == 0)
        write_csv(job, &sweep);
    else if (strcmp(format, "json") == 0)
        write_json(job, &sweep);
    else if (strcmp(format, "text") == 0)
        return write_text(job, &sweep, error);
    else
        return write_chart(job, &sweep, format, error);
    return IMP_OK;
}
