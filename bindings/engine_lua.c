#include "engine_lua.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "budget.h"
#include "catalogue_lua.h"
#include "engine.h"
#include "number.h"
#include "quantity_lua.h"
#include "unit_lua.h"
#include "values_lua.h"

enum { EVALUATION_STEPS = 20 }; /* what one evaluation costs a script's budget, besides its time */

/* ---- paying for evaluations ---- */

typedef struct meter {
    lua_State *L;
    const imp_calc *calc;
} meter;

/* The calculation itself, unless the script's budget is used up. */
static imp_status evaluate_metered(const imp_call *call)
{
    const meter *paid = call->context;
    imp_call inner = *call;
    if (!imp_try_spend(paid->L, EVALUATION_STEPS))
        return imp_fail(call->error, IMP_LIMIT, NULL, "used up the script's budget");
    inner.context = paid->calc->context;
    return paid->calc->evaluate(&inner);
}

/* ---- reading what the script asks ---- */

/* One call of the engine. Stack: 1 the request, then what the reading leaves. */
typedef struct request {
    lua_State *L;
    const char *function; /* "solve_for" */
    const imp_calc *calc;
    imp_calc metered;
    meter paid;
    imp_value_reader reader;
    imp_error error;
    imp_value in[IMP_MOST_INPUTS];
} request;

/* The calculation to be evaluated: in a sandbox each evaluation is paid for. */
static const imp_calc *paid_calc(request *ask)
{
    if (imp_lua_here(ask->L)->script == NULL)
        return ask->calc;
    ask->paid = (meter){.L = ask->L, .calc = ask->calc};
    ask->metered = *ask->calc;
    ask->metered.evaluate = evaluate_metered;
    ask->metered.context = &ask->paid;
    return &ask->metered;
}

static void check_fields(lua_State *L, const char *function, const char *const known[])
{
    for (lua_pushnil(L); lua_next(L, 1) != 0; lua_pop(L, 1)) {
        const char *name = lua_type(L, -2) == LUA_TSTRING ? lua_tostring(L, -2) : "?", *nearest = NULL;
        int least = (int)(strlen(name) / 3) + 2;
        bool found = false;
        for (size_t i = 0; known[i] != NULL && !found; i++) {
            found = strcmp(known[i], name) == 0;
            const int distance = imp_name_distance(known[i], name, least);
            nearest = distance < least ? known[i] : nearest;
            least = distance < least ? distance : least;
        }
        if (!found)
            imp_raise_text(L, nearest != NULL ? "%s: unknown field \"%.60s\"; did you mean \"%s\"?" : "%s: unknown field \"%.60s\"%s",
                           function, name, nearest != NULL ? nearest : "");
    }
}

/* Push a field of the request and return its type. */
static int push_field(const request *ask, const char *name)
{
    lua_pushstring(ask->L, name);
    return lua_rawget(ask->L, 1);
}

static void refuse_field(const request *ask, const char *name, const char *expected)
{
    char got[200];
    imp_raise_text(ask->L, "%s: %s: expected %s, got %s", ask->function, name, expected,
                   imp_value_described(ask->L, imp_lua_here(ask->L), -1, got, sizeof got));
}

/* Read calculation and with; what they hold stays on the stack. */
static void read_request(lua_State *L, request *ask, const char *function, const char *const known[])
{
    if (lua_type(L, 1) != LUA_TTABLE)
        imp_raise_text(L, "%s: expected { calculation = id, with = { ... }, ... }", function);
    lua_settop(L, 1);
    luaL_checkstack(L, 20, "nested too deeply");
    ask->L = L;
    ask->function = function;
    check_fields(L, function, known);
    push_field(ask, "calculation");
    ask->calc = imp_calc_check(L, function, 2);
    if (ask->calc->input_count > IMP_MOST_INPUTS || ask->calc->output_count > IMP_MOST_OUTPUTS)
        imp_raise_text(L, "%s: %s: more inputs or outputs than this program handles", function, ask->calc->id);
    if (push_field(ask, "with") == LUA_TNIL) {
        lua_pop(L, 1);
        lua_newtable(L);
    } else if (lua_type(L, 3) != LUA_TTABLE) {
        refuse_field(ask, "with", "the inputs in braces, as in { name = value }");
    }
    lua_pushnil(L);
    ask->reader = (imp_value_reader){.L = L, .lua = imp_lua_here(L), .anchor = 4, .error = &ask->error};
    if (imp_inputs_read(&ask->reader, ask->calc, 3, ask->in) != IMP_OK)
        imp_raise(L, &ask->error);
}

/* The place of an input named in a text field. */
static size_t read_input_name(const request *ask, const char *field)
{
    size_t index = 0;
    if (push_field(ask, field) != LUA_TSTRING)
        refuse_field(ask, field, "the name of an input");
    const char *name = lua_tostring(ask->L, -1);
    if (imp_calc_input(ask->calc, name, &index) == NULL) {
        const char *nearest = imp_calc_nearest_input(ask->calc, name);
        imp_raise_text(ask->L,
                       nearest != NULL ? "%s: %s: %s has no input \"%.60s\"; did you mean \"%s\"?"
                                       : "%s: %s: %s has no input \"%.60s\"%s",
                       ask->function, field, ask->calc->id, name, nearest != NULL ? nearest : "");
    }
    lua_pop(ask->L, 1);
    return index;
}

/* The value on top of the stack (popped) for a row; `field` is where it stands. */
static double read_number(request *ask, const imp_param *row, const char *field)
{
    imp_value value;
    if (imp_value_read(&ask->reader, row, lua_gettop(ask->L), &value) != IMP_OK) {
        imp_error_prefix(&ask->error, field, ": ");
        imp_error_prefix(&ask->error, ask->function, ": ");
        imp_raise(ask->L, &ask->error);
    }
    lua_pop(ask->L, 1);
    return value.number;
}

static lua_Integer read_whole(const request *ask, const char *field, lua_Integer low, lua_Integer high, lua_Integer fallback)
{
    int whole = 1;
    char expected[96];
    lua_Integer value = fallback;
    if (push_field(ask, field) != LUA_TNIL)
        value = lua_type(ask->L, -1) == LUA_TNUMBER ? lua_tointegerx(ask->L, -1, &whole) : low - 1;
    if (!whole || value < low || value > high) {
        snprintf(expected, sizeof expected, "a whole number from %lld to %lld", (long long)low, (long long)high);
        refuse_field(ask, field, expected);
    }
    lua_pop(ask->L, 1);
    return value;
}

/* After the engine: raises when it failed, and when the budget is used up. */
static void finish(request *ask, imp_status status)
{
    if (imp_lua_here(ask->L)->script != NULL)
        imp_spend_call(ask->L, 0);
    if (status != IMP_OK)
        imp_raise(ask->L, &ask->error);
}

/* A number in the unit of a row and its kind. */
static void push_number(const request *ask, const imp_param *row, double si)
{
    imp_number_push(ask->L, row, si, ask->reader.currency);
}

/* ---- solve_for ---- */

/* The one output that the target names, its value left on top of the stack. */
static size_t read_target(const request *ask)
{
    lua_State *const L = ask->L;
    size_t index = 0;
    if (push_field(ask, "target") != LUA_TTABLE)
        refuse_field(ask, "target", "one output with its value, as in { pressure_drop = q \"20 bar\" }");
    const int target = lua_gettop(L);
    lua_pushnil(L);
    if (lua_next(L, target) == 0)
        imp_raise_text(L, "%s: target: expected one output with its value, got an empty table", ask->function);
    const char *name = lua_type(L, -2) == LUA_TSTRING ? lua_tostring(L, -2) : "?";
    if (imp_calc_output(ask->calc, name, &index) == NULL)
        imp_raise_text(L, "%s: target: %s has no output \"%.60s\"", ask->function, ask->calc->id, name);
    lua_pushvalue(L, -2);
    if (lua_next(L, target) != 0)
        imp_raise_text(L, "%s: target: expected one output, got several", ask->function);
    return index;
}

/* imp.solve_for{ calculation =, with =, unknown =, target = { output = q } }: the first value, and all of them */
static int engine_solve_for(lua_State *L)
{
    static const char *const fields[] = {"calculation", "with", "unknown", "target", NULL};
    request ask;
    imp_solution found = {.count = 0};
    read_request(L, &ask, "solve_for", fields);
    const size_t unknown = read_input_name(&ask, "unknown"), output = read_target(&ask);
    const imp_param *row = &ask.calc->outputs[output];
    if (row->kind != IMP_NUMBER)
        return imp_raise_text(L, "solve_for: target: %s is not a number", row->name);
    const double target = read_number(&ask, row, "target");
    finish(&ask, imp_calc_solve(paid_calc(&ask), ask.in, unknown, output, target, &found, &ask.error));
    push_number(&ask, &ask.calc->inputs[unknown], found.values[0]);
    lua_createtable(L, (int)found.count, 0);
    for (size_t i = 0; i < found.count; i++) {
        push_number(&ask, &ask.calc->inputs[unknown], found.values[i]);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    return 2;
}

/* ---- sweep ---- */

/* A result of a sweep; false where there is none, so that the array has no hole. */
static void push_cell(const request *ask, const imp_param *row, const imp_value *value)
{
    if (value->given)
        imp_value_push(ask->L, row, value, ask->reader.currency);
    else
        lua_pushboolean(ask->L, 0);
}

static void push_columns(const request *ask, size_t vary, size_t steps, const double *points, const imp_value *results)
{
    lua_State *const L = ask->L;
    const imp_calc *calc = ask->calc;
    lua_createtable(L, 0, (int)calc->output_count + 1);
    lua_createtable(L, (int)steps, 0);
    for (size_t i = 0; i < steps; i++) {
        push_number(ask, &calc->inputs[vary], points[i]);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
    lua_setfield(L, -2, calc->inputs[vary].name);
    for (size_t k = 0; k < calc->output_count; k++) {
        lua_createtable(L, (int)steps, 0);
        for (size_t i = 0; i < steps; i++) {
            push_cell(ask, &calc->outputs[k], &results[i * calc->output_count + k]);
            lua_rawseti(L, -2, (lua_Integer)i + 1);
        }
        lua_setfield(L, -2, calc->outputs[k].name);
    }
}

/* imp.sweep{ calculation =, with =, vary =, from =, to =, steps? }: arrays by name, and the names in order */
static int engine_sweep(lua_State *L)
{
    static const char *const fields[] = {"calculation", "with", "vary", "from", "to", "steps", NULL};
    request ask;
    read_request(L, &ask, "sweep", fields);
    const imp_calc *calc = ask.calc;
    const size_t vary = read_input_name(&ask, "vary");
    const imp_param *row = &calc->inputs[vary];
    if (row->kind != IMP_NUMBER)
        return imp_raise_text(L, "sweep: vary: %s is not a number; only numbers can be varied", row->name);
    push_field(&ask, "from");
    const double from = read_number(&ask, row, "from");
    push_field(&ask, "to");
    const double to = read_number(&ask, row, "to");
    const size_t steps = (size_t)read_whole(&ask, "steps", 2, IMP_MOST_SWEEP_STEPS, IMP_DEFAULT_SWEEP_STEPS);
    double *points = lua_newuserdatauv(L, steps * sizeof *points, 0);
    imp_value *results = lua_newuserdatauv(L, steps * calc->output_count * sizeof *results, 0);
    memset(results, 0, steps * calc->output_count * sizeof *results);
    finish(&ask, imp_calc_sweep(paid_calc(&ask), ask.in, vary, from, to, steps, points, results, &ask.error));
    push_columns(&ask, vary, steps, points, results);
    lua_createtable(L, (int)calc->output_count + 1, 0);
    lua_pushstring(L, row->name);
    lua_rawseti(L, -2, 1);
    for (size_t k = 0; k < calc->output_count; k++) {
        lua_pushstring(L, calc->outputs[k].name);
        lua_rawseti(L, -2, (lua_Integer)k + 2);
    }
    return 2;
}

/* ---- sensitivity ---- */

/* A derivative as a quantity, in the output's unit over the input's where that can be written. */
static void push_derivative(const request *ask, const imp_param *output, const imp_param *input, double si)
{
    lua_State *const L = ask->L;
    const imp_param of = imp_spread_row(output), by = imp_spread_row(input);
    imp_quantity quantity = {.si = si};
    char text[128];
    if (imp_dimension_divide(imp_dimension_of(of.dimension), imp_dimension_of(by.dimension), &quantity.dimension, NULL) != IMP_OK) {
        lua_pushnil(L);
        return;
    }
    imp_derivative_unit(output, input, text, sizeof text);
    imp_quantity_push(L, &quantity, imp_unit_cached(L, text, strlen(text), NULL));
}

/* imp.sensitivity{ calculation =, with = }: by output, by input: derivative and elasticity */
static int engine_sensitivity(lua_State *L)
{
    static const char *const fields[] = {"calculation", "with", NULL};
    request ask;
    read_request(L, &ask, "sensitivity", fields);
    const imp_calc *calc = ask.calc;
    imp_sensitivity *table = lua_newuserdatauv(L, (calc->input_count * calc->output_count + 1) * sizeof *table, 0);
    finish(&ask, imp_calc_sensitivity(paid_calc(&ask), ask.in, table, &ask.error));
    lua_createtable(L, 0, (int)calc->output_count);
    for (size_t k = 0; k < calc->output_count; k++) {
        if (calc->outputs[k].kind != IMP_NUMBER)
            continue;
        lua_createtable(L, 0, (int)calc->input_count);
        for (size_t i = 0; i < calc->input_count; i++) {
            const imp_sensitivity *cell = &table[i * calc->output_count + k];
            if (!isfinite(cell->derivative))
                continue;
            lua_createtable(L, 0, 2);
            push_derivative(&ask, &calc->outputs[k], &calc->inputs[i], cell->derivative);
            lua_setfield(L, -2, "derivative");
            if (isfinite(cell->elasticity)) {
                lua_pushnumber(L, cell->elasticity);
                lua_setfield(L, -2, "elasticity");
            }
            lua_setfield(L, -2, calc->inputs[i].name);
        }
        lua_setfield(L, -2, calc->outputs[k].name);
    }
    return 1;
}

/* ---- uncertainty ---- */

static void read_spreads(request *ask, double *standard)
{
    lua_State *const L = ask->L;
    for (size_t i = 0; i < ask->calc->input_count; i++)
        standard[i] = 0.0;
    if (push_field(ask, "sd") != LUA_TTABLE)
        refuse_field(ask, "sd", "standard uncertainties of inputs, as in { length = q \"5 mm\" }");
    const int spreads = lua_gettop(L);
    for (lua_pushnil(L); lua_next(L, spreads) != 0;) {
        size_t input = 0;
        const char *name = lua_type(L, -2) == LUA_TSTRING ? lua_tostring(L, -2) : "?";
        const imp_param *row = imp_calc_input(ask->calc, name, &input);
        if (row == NULL || row->kind != IMP_NUMBER)
            imp_raise_text(L, "uncertainty: sd: %s has no input \"%.60s\" that is a number", ask->calc->id, name);
        const imp_param spread = imp_spread_row(row);
        standard[input] = read_number(ask, &spread, "sd");
    }
    lua_settop(L, spreads - 1);
}

static void push_uncertainty(const request *ask, const imp_param *row, const imp_uncertainty *result)
{
    const imp_param spread = imp_spread_row(row);
    lua_createtable(ask->L, 0, 4);
    push_number(ask, &spread, result->linear);
    lua_setfield(ask->L, -2, "linear");
    push_number(ask, &spread, result->simulated);
    lua_setfield(ask->L, -2, "simulated");
    push_number(ask, &spread, result->simulated_error);
    lua_setfield(ask->L, -2, "simulated_error");
    push_number(ask, row, result->mean);
    lua_setfield(ask->L, -2, "mean");
}

/* imp.uncertainty{ calculation =, with =, sd = { input = q }, draws?, seed? }: by output, both methods */
static int engine_uncertainty(lua_State *L)
{
    static const char *const fields[] = {"calculation", "with", "sd", "draws", "seed", NULL};
    request ask;
    double standard[IMP_MOST_INPUTS];
    imp_uncertainty results[IMP_MOST_OUTPUTS];
    read_request(L, &ask, "uncertainty", fields);
    read_spreads(&ask, standard);
    const size_t draws = (size_t)read_whole(&ask, "draws", 2, IMP_MOST_DRAWS, IMP_DEFAULT_DRAWS);
    const uint64_t seed = (uint64_t)read_whole(&ask, "seed", 0, LUA_MAXINTEGER, 1);
    finish(&ask, imp_calc_uncertainty(paid_calc(&ask), ask.in, standard, draws, seed, results, &ask.error));
    lua_createtable(L, 0, (int)ask.calc->output_count);
    for (size_t k = 0; k < ask.calc->output_count; k++) {
        if (ask.calc->outputs[k].kind != IMP_NUMBER)
            continue;
        push_uncertainty(&ask, &ask.calc->outputs[k], &results[k]);
        lua_setfield(L, -2, ask.calc->outputs[k].name);
    }
    return 1;
}

void imp_engine_open(lua_State *L)
{
    static const luaL_Reg functions[] = {{"solve_for", engine_solve_for},
                                         {"sweep", engine_sweep},
                                         {"sensitivity", engine_sensitivity},
                                         {"uncertainty", engine_uncertainty},
                                         {NULL, NULL}};
    imp_set_functions(L, functions);
}
