#include "catalogue_lua.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "budget.h"
#include "calculator_lua.h"
#include "quantity_lua.h"
#include "values_lua.h"

enum { CALL_STEPS = 20 }; /* what a calculation costs a script's budget, besides its time */

/* ---- calling an entry ---- */

/* Where the running call is recorded, or NULL. */
static imp_sheet *recorded_sheet(const imp_lua *lua, const imp_calc *calc)
{
    imp_recording *recording = lua->recording;
    if (recording == NULL || !recording->with_sheets || calc->context != NULL || /* a declared one's own calls are recorded */
         recording->sheet_count == IMP_MOST_RECORDED_SHEETS)
        return NULL;
    imp_sheet *sheet = &recording->sheets[recording->sheet_count];
    imp_sheet_init(sheet, NULL);
    recording->calcs[recording->sheet_count] = calc;
    return sheet;
}

/* Keep the sheet of a call that worked, drop that of one that failed. */
static void finish_sheet(const imp_lua *lua, imp_sheet *sheet, imp_status status)
{
    if (sheet == NULL)
        return;
    lua->recording->is_incomplete = lua->recording->is_incomplete || sheet->failed;
    if (status == IMP_OK && !sheet->failed)
        lua->recording->sheet_count++;
    else
        imp_sheet_free(sheet);
}

/* Where the results go. */
typedef struct outcome {
    imp_value out[IMP_MOST_OUTPUTS];
    imp_sheet *sheet; /* NULL: recorded where somebody records */
    imp_arena *arena; /* NULL: no tables */
    char currency[4]; /* of the amounts of money among the inputs */
} outcome;

/* Read the inputs at index and evaluate; raises with the entry's and the input's name. The stack index `anchor` is nil.
 */
static void evaluate(lua_State *L, const imp_calc *calc, int index, int anchor, outcome *result)
{
    imp_value in[IMP_MOST_INPUTS];
    const imp_lua *lua = imp_lua_here(L);
    imp_error error;
    imp_value_reader reader = {.L = L, .lua = lua, .anchor = anchor, .error = &error};
    if (calc->input_count > IMP_MOST_INPUTS || calc->output_count > IMP_MOST_OUTPUTS)
        imp_raise_text(L, "%s: more inputs or outputs than this program handles", calc->id);
    if (lua_type(L, index) != LUA_TTABLE) {
        char got[200];
        imp_raise_text(L, "%s: expected named inputs in braces, as in { %s = ... }, got %s", calc->id,
                       calc->input_count > 0 ? calc->inputs[0].name : "name",
                       imp_value_described(L, lua, index, got, sizeof got));
    }
    if (imp_inputs_read(&reader, calc, index, in) != IMP_OK)
        imp_raise(L, &error);
    imp_sheet *recorded = result->sheet == NULL ? recorded_sheet(lua, calc) : NULL;
    const imp_status status =
        imp_calc_evaluate_in(calc, in, result->out, recorded != NULL ? recorded : result->sheet, result->arena, &error);
    finish_sheet(lua, recorded, status);
    if (lua->script != NULL)
        imp_spend_call(L, CALL_STEPS);
    if (status != IMP_OK)
        imp_raise(L, &error);
    memcpy(result->currency, reader.currency, sizeof reader.currency);
}

static int free_sheet(lua_State *L)
{
    imp_sheet_free(lua_touserdata(L, 1));
    return 0;
}

/* Give the userdata on top of the stack, empty as yet, a function that frees it when it is collected. */
static void free_with(lua_State *L, lua_CFunction function)
{
    lua_createtable(L, 0, 1);
    lua_pushcfunction(L, function);
    lua_setfield(L, -2, "__gc");
    lua_setmetatable(L, -2);
}

/* Push an arena for tables among the results; NULL and nothing pushed where there are none. */
static imp_arena *new_arena(lua_State *L, const imp_calc *calc)
{
    for (size_t i = 0; i < calc->output_count; i++) {
        if (calc->outputs[i].kind != IMP_TABLE && calc->outputs[i].kind != IMP_LIST)
            continue;
        return imp_arena_push(L);
    }
    return NULL;
}

/* imp.climate.dew_point{ air_temperature = ..., relative_humidity = ... } */
static int call_entry(lua_State *L)
{
    return imp_calc_call(L, lua_touserdata(L, lua_upvalueindex(2)));
}

int imp_calc_call(lua_State *L, const imp_calc *calc)
{
    outcome result;
    lua_settop(L, 1);
    lua_pushnil(L); /* the anchor */
    result.sheet = NULL;
    result.arena = new_arena(L, calc);
    evaluate(L, calc, 1, 2, &result);
    if (calc->output_count == 1) {
        imp_value_push(L, &calc->outputs[0], &result.out[0], result.currency);
        return 1;
    }
    lua_createtable(L, 0, (int)calc->output_count);
    for (size_t i = 0; i < calc->output_count; i++) {
        imp_value_push(L, &calc->outputs[i], &result.out[i], result.currency);
        lua_setfield(L, -2, calc->outputs[i].name);
    }
    return 1;
}

/* ---- asking about an entry ---- */

static int catalogue_list(lua_State *L)
{
    const size_t count = imp_catalogue_count();
    lua_createtable(L, (int)count, 0);
    for (size_t i = 0; i < count; i++) {
        lua_pushstring(L, imp_catalogue_at(i)->id);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 1;
}

const imp_calc *imp_calc_check(lua_State *L, const char *function, int index)
{
    char got[200];
    const imp_calc *declared = imp_calculator_test(L, index);
    if (declared != NULL)
        return declared;
    if (lua_type(L, index) != LUA_TSTRING)
        imp_raise_text(L, "%s: expected the id of a calculation such as \"climate.dew_point\", or a calculator, got %s", function,
                       imp_value_described(L, imp_lua_here(L), index, got, sizeof got));
    const char *id = lua_tostring(L, index);
    const imp_calc *calc = imp_catalogue_find(id);
    if (calc == NULL) {
        const char *nearest = imp_catalogue_nearest(id);
        imp_raise_text(L,
                       nearest != NULL ? "%s: no calculation \"%.60s\"; did you mean \"%s\"?"
                                       : "%s: no calculation \"%.60s\"%s",
                       function, id, nearest != NULL ? nearest : "");
    }
    return calc;
}

static void set_text(lua_State *L, const char *name, const char *text)
{
    lua_pushstring(L, text); /* nil for NULL */
    lua_setfield(L, -2, name);
}

static const char *kind_name(imp_kind kind)
{
    static const char *const names[] = {
        [IMP_NUMBER] = "number", [IMP_CHOICE] = "choice", [IMP_LIST] = "list",
        [IMP_TABLE] = "table",   [IMP_RECORD] = "record", [IMP_TEXT] = "text",
        [IMP_FLAG] = "flag",     [IMP_DATE] = "date",     [IMP_FILE_OR_RECORD] = "file or record"};
    return names[kind];
}

static bool is_number(const imp_param *row)
{
    return row->kind == IMP_NUMBER || row->kind == IMP_LIST;
}

static void push_nested_row(lua_State *L, const imp_param *row);

static void push_rows(lua_State *L, const imp_param *rows, size_t count)
{
    lua_createtable(L, (int)count, 0);
    for (size_t i = 0; i < count; i++) {
        push_nested_row(L, &rows[i]);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
}

static void set_range(lua_State *L, const imp_param *row)
{
    if (!is_number(row) || !imp_param_has_range(row))
        return;
    imp_number_push(L, row, row->low, "");
    lua_setfield(L, -2, "low");
    if (isfinite(row->high)) {
        imp_number_push(L, row, row->high, "");
        lua_setfield(L, -2, "high");
    }
    lua_pushboolean(L, row->ends == IMP_OPEN_LOW || row->ends == IMP_OPEN);
    lua_setfield(L, -2, "open_low");
    lua_pushboolean(L, row->ends == IMP_OPEN_HIGH || row->ends == IMP_OPEN);
    lua_setfield(L, -2, "open_high");
}

static void set_choices(lua_State *L, const imp_param *row)
{
    if (row->choices == NULL)
        return;
    lua_newtable(L);
    for (int i = 0; row->choices[i] != NULL; i++) {
        lua_pushstring(L, row->choices[i]);
        lua_rawseti(L, -2, i + 1);
    }
    lua_setfield(L, -2, "choices");
}

void imp_row_push(lua_State *L, const imp_param *row)
{
    luaL_checkstack(L, 8, "nested too deeply");
    lua_createtable(L, 0, 12);
    set_text(L, "name", row->name);
    set_text(L, "symbol", row->symbol);
    set_text(L, "kind", kind_name(row->kind));
    set_text(L, "help", row->help);
    if (is_number(row)) {
        set_text(L, "dimension", imp_dimension_name(row->dimension));
        set_text(L, "unit", row->unit != NULL ? row->unit : "1");
    }
    lua_pushboolean(L, row->presence == IMP_REQUIRED);
    lua_setfield(L, -2, "required");
    if (row->presence == IMP_DEFAULT) {
        const imp_value fallback = {.number = row->fallback, .given = true};
        imp_value_push(L, row, &fallback, "");
        lua_setfield(L, -2, "default");
    }
    set_range(L, row);
    set_choices(L, row);
}

static void push_nested_row(lua_State *L, const imp_param *row)
{
    imp_row_push(L, row);
    if (row->rows != NULL) {
        size_t count = 0;
        while (row->rows[count].name != NULL)
            count++;
        push_rows(L, row->rows, count);
        lua_setfield(L, -2, "rows");
    }
}

static void set_description(lua_State *L, const imp_calc *calc)
{
    set_text(L, "title", calc->title);
    set_text(L, "formula", calc->formula);
    set_text(L, "source", calc->source);
    set_text(L, "validity", calc->validity);
}

/* imp.explain "climate.dew_point" */
static int catalogue_explain(lua_State *L)
{
    const imp_calc *calc = imp_calc_check(L, "explain", 1);
    lua_createtable(L, 0, 8);
    set_text(L, "id", calc->id);
    set_description(L, calc);
    push_rows(L, calc->inputs, calc->input_count);
    lua_setfield(L, -2, "inputs");
    push_rows(L, calc->outputs, calc->output_count);
    lua_setfield(L, -2, "outputs");
    return 1;
}

/* ---- sheets ---- */

static const imp_param *row_of_line(const imp_calc *calc, const imp_sheet_line *line)
{
    if (line->name == NULL || line->role == IMP_SHEET_STEP)
        return NULL;
    return line->role == IMP_SHEET_INPUT ? imp_calc_input(calc, line->name, NULL)
                                         : imp_calc_output(calc, line->name, NULL);
}

/* The line's value as a quantity; nil where it is no number. */
static void push_line_value(lua_State *L, const imp_calc *calc, const imp_sheet_line *line)
{
    const imp_param *row = row_of_line(calc, line);
    if (!isfinite(line->value) || (row != NULL && row->kind != IMP_NUMBER)) {
        lua_pushnil(L);
    } else if (row != NULL) {
        imp_number_push(L, row, line->value, "");
    } else {
        const char *text = line->unit != NULL ? line->unit : "1";
        const imp_unit *unit = imp_unit_cached(L, text, strlen(text), NULL);
        if (unit == NULL) {
            lua_pushnil(L);
            return;
        }
        const imp_quantity quantity = {.si = line->value, .dimension = unit->dimension, .is_reading = unit->is_reading};
        imp_quantity_push(L, &quantity, unit);
    }
}

/* The line's text, into the table below the value on top of the stack. */
static void set_line_text(lua_State *L, const imp_sheet_line *line)
{
    const imp_unit *unit = NULL;
    const imp_quantity *value = imp_quantity_test(L, imp_lua_open(L), -1, &unit);
    char text[200];
    if (line->text != NULL)
        lua_pushstring(L, line->text);
    else if (value != NULL)
        lua_pushstring(L, imp_quantity_text(L, value, unit, 6, text, sizeof text));
    else
        lua_pushnil(L);
    lua_setfield(L, -3, "text");
}

static void push_line(lua_State *L, const imp_calc *calc, const imp_sheet_line *line)
{
    static const char *const roles[] = {
        [IMP_SHEET_INPUT] = "input", [IMP_SHEET_STEP] = "step", [IMP_SHEET_RESULT] = "result"};
    lua_createtable(L, 0, 8);
    set_text(L, "role", roles[line->role]);
    set_text(L, "symbol", line->symbol);
    set_text(L, "name", line->name);
    set_text(L, "formula", line->formula);
    set_text(L, "substituted", line->substituted);
    push_line_value(L, calc, line);
    set_line_text(L, line);
    lua_setfield(L, -2, "value");
}

void imp_sheet_push(lua_State *L, const imp_calc *calc, const imp_sheet *sheet)
{
    luaL_checkstack(L, 12, "nested too deeply");
    lua_createtable(L, 0, 8);
    set_text(L, "calculation", calc->id);
    set_description(L, calc);
    lua_createtable(L, (int)sheet->count, 0);
    for (size_t i = 0; i < sheet->count; i++) {
        push_line(L, calc, &sheet->lines[i]);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    lua_setfield(L, -2, "lines");
}

/* imp.sheet{ calculation = "climate.dew_point", with = { ... } } */
static int catalogue_sheet(lua_State *L)
{
    outcome result = {.arena = NULL};
    lua_settop(L, 1);
    if (lua_type(L, 1) != LUA_TTABLE)
        return imp_raise_text(L, "sheet: expected { calculation = id, with = { ... } }");
    lua_pushliteral(L, "calculation");
    lua_rawget(L, 1);
    const imp_calc *calc = imp_calc_check(L, "sheet", 2);
    lua_pushliteral(L, "with");
    lua_rawget(L, 1);
    lua_pushnil(L); /* the anchor */
    result.sheet = lua_newuserdatauv(L, sizeof *result.sheet, 0);
    imp_sheet_init(result.sheet, NULL);
    free_with(L, free_sheet);
    evaluate(L, calc, 3, 4, &result);
    if (result.sheet->failed)
        return imp_raise_memory(L, "sheet");
    imp_sheet_push(L, calc, result.sheet);
    return 1;
}

/* ---- the groups ---- */

/* Reading a name that a group hasn't got: upvalue 2 is the group's name. */
static int refuse_entry(lua_State *L)
{
    char id[120];
    const char *name = lua_type(L, 2) == LUA_TSTRING ? lua_tostring(L, 2) : "?";
    snprintf(id, sizeof id, "%s.%.80s", lua_tostring(L, lua_upvalueindex(2)), name);
    const char *nearest = imp_catalogue_nearest(id);
    return imp_raise_text(L,
                          nearest != NULL ? "no calculation \"%s\"; did you mean \"%s\"?" : "no calculation \"%s\"%s",
                          id, nearest != NULL ? nearest : "");
}

/* Whether an id is that of an entry in the group. */
static bool is_in_group(const char *id, const char *group, size_t length)
{
    return strncmp(id, group, length) == 0 && id[length] == '.';
}

/* Push a new group with all its entries. */
static void push_group(lua_State *L, const char *group, size_t length)
{
    imp_lua *lua = imp_lua_open(L);
    const size_t count = imp_catalogue_count();
    lua_newtable(L);
    for (size_t i = 0; i < count; i++) {
        const imp_calc *calc = imp_catalogue_at(i);
        if (!is_in_group(calc->id, group, length))
            continue;
        lua_pushstring(L, calc->id + length + 1);
        lua_pushlightuserdata(L, lua);
        lua_pushlightuserdata(L, (void *)calc); /* never written through */
        lua_pushcclosure(L, call_entry, 2);
        lua_rawset(L, -3);
    }
    lua_createtable(L, 0, 2); /* metatable */
    lua_pushlightuserdata(L, lua);
    lua_pushlstring(L, group, length);
    lua_pushcclosure(L, refuse_entry, 2);
    lua_setfield(L, -2, "__index");
    lua_pushboolean(L, 0);
    lua_setfield(L, -2, "__metatable");
    lua_setmetatable(L, -2);
}

/* Put the group into the module's table at index, and leave it on the stack too. */
static void make_group(lua_State *L, int module, const char *group, size_t length)
{
    push_group(L, group, length);
    lua_pushlstring(L, group, length);
    lua_pushvalue(L, -2);
    lua_rawset(L, module);
}

bool imp_catalogue_push_group(lua_State *L, int module, const char *name)
{
    const size_t count = imp_catalogue_count(), length = strlen(name);
    for (size_t i = 0; i < count; i++)
        if (is_in_group(imp_catalogue_at(i)->id, name, length)) {
            make_group(L, module, name, length);
            return true;
        }
    return false;
}

void imp_catalogue_make_groups(lua_State *L, int module)
{
    const size_t count = imp_catalogue_count();
    luaL_checkstack(L, 8, "too many values");
    for (size_t i = 0; i < count; i++) {
        const char *id = imp_catalogue_at(i)->id, *dot = strchr(id, '.');
        if (dot == NULL)
            continue;
        lua_pushlstring(L, id, (size_t)(dot - id));
        const bool is_new = lua_rawget(L, module) == LUA_TNIL;
        lua_pop(L, 1);
        if (is_new) {
            make_group(L, module, id, (size_t)(dot - id));
            lua_pop(L, 1);
        }
    }
}

static const luaL_Reg functions[] = {
    {"catalogue", catalogue_list}, {"explain", catalogue_explain}, {"sheet", catalogue_sheet}, {NULL, NULL}};

void imp_catalogue_open(lua_State *L)
{
    imp_set_functions(L, functions);
}
