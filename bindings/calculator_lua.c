#include "calculator_lua.h"

#include <stdio.h>
#include <string.h>

#include "budget.h"
#include "calculator_rows.h"
#include "catalogue_lua.h"
#include "memory.h"
#include "quantity_lua.h"
#include "sandbox.h"
#include "values_lua.h"

static const char metatable_key = 0, list_key = 0; /* only their addresses are used */

/* The payload of the userdata. What its rows and texts point to lives in the table `kept`. Uservalues: 1 kept, 2 compute,
 * 3 the metatable of compute's inputs, 4 cases or nil. */
typedef struct declared {
    const void *mark; /* &metatable_key */
    imp_calc calc;    /* its context is this */
    lua_State *L;     /* that calls it now */
    char place[IMP_PLACE_SIZE]; /* "foam.lua:3" */
} declared;
enum { VALUE_KEPT = 1, VALUE_COMPUTE, VALUE_GUARD, VALUE_CASES, VALUE_COUNT = VALUE_CASES };

static declared *test_declared(lua_State *L, int index)
{
    declared *own = lua_type(L, index) == LUA_TUSERDATA ? lua_touserdata(L, index) : NULL;
    return own != NULL && lua_rawlen(L, index) == sizeof *own && own->mark == &metatable_key ? own : NULL;
}

const imp_calc *imp_calculator_test(lua_State *L, int index)
{
    declared *own = test_declared(L, index);
    if (own == NULL)
        return NULL;
    own->L = L;
    return &own->calc;
}

size_t imp_calculator_count(lua_State *L)
{
    lua_rawgetp(L, LUA_REGISTRYINDEX, &list_key);
    const size_t count = lua_type(L, -1) == LUA_TTABLE ? (size_t)lua_rawlen(L, -1) : 0;
    lua_pop(L, 1);
    return count;
}

const imp_calc *imp_calculator_at(lua_State *L, size_t index)
{
    if (index >= imp_calculator_count(L))
        return NULL;
    lua_rawgetp(L, LUA_REGISTRYINDEX, &list_key);
    lua_rawgeti(L, -1, (lua_Integer)index + 1);
    const imp_calc *calc = imp_calculator_test(L, -1);
    lua_pop(L, 2);
    return calc;
}

/* ---- computing ---- */

typedef struct computation {
    const declared *own;
    const imp_call *call;
    imp_status status; /* what compute came to, with call->error filled; or of what it raised */
} computation;

/* Push the userdata of a declared calculator. */
static void push_own(lua_State *L, const declared *own)
{
    lua_rawgetp(L, LUA_REGISTRYINDEX, own);
}

static void push_inputs(lua_State *L, const computation *run, int own_index)
{
    const imp_calc *calc = &run->own->calc;
    lua_createtable(L, 0, (int)calc->input_count);
    for (size_t i = 0; i < calc->input_count; i++) {
        if (!run->call->in[i].given)
            continue;
        lua_pushstring(L, calc->inputs[i].name);
        imp_value_push(L, &calc->inputs[i], &run->call->in[i], run->call->in[i].currency);
        lua_rawset(L, -3);
    }
    lua_getiuservalue(L, own_index, VALUE_GUARD);
    lua_setmetatable(L, -2);
}

/* A fault of what compute returned: "foam.lua:3: compute: mass: expected ..." */
static void blame_compute(computation *run, imp_status status)
{
    imp_error *error = run->call->error;
    run->status = status == IMP_RANGE || status == IMP_MEMORY ? status : IMP_SCRIPT;
    if (error != NULL)
        error->status = run->status;
    imp_error_prefix(error, "compute", ": ");
    imp_error_prefix(error, run->own->place, ": ");
}

static bool read_result(lua_State *L, computation *run, size_t output, int index)
{
    const imp_param *row = &run->own->calc.outputs[output];
    imp_error error = {.status = IMP_OK};
    lua_pushnil(L);
    imp_value_reader reader = {.L = L, .lua = imp_lua_known(L), .anchor = lua_gettop(L), .error = &error};
    const imp_status status = imp_value_read(&reader, row, index, &run->call->out[output]);
    lua_pop(L, 1);
    if (status == IMP_OK)
        return true;
    if (run->call->error != NULL)
        *run->call->error = error;
    blame_compute(run, status);
    return false;
}

static void refuse_result(computation *run, const char *name)
{
    const imp_calc *calc = &run->own->calc;
    const imp_param *nearest = imp_row_nearest(calc->outputs, calc->output_count, name);
    if (nearest != NULL)
        imp_fail(run->call->error, IMP_SCRIPT, NULL, "returned \"%.80s\", which is no output; did you mean \"%s\"?", name, nearest->name);
    else
        imp_fail(run->call->error, IMP_SCRIPT, NULL, "returned \"%.80s\", which is no output of %s", name, calc->id);
    blame_compute(run, IMP_SCRIPT);
}

static bool read_named_results(lua_State *L, computation *run, int index)
{
    const imp_calc *calc = &run->own->calc;
    for (lua_pushnil(L); lua_next(L, index) != 0; lua_pop(L, 1)) {
        size_t output = 0;
        const char *name = lua_type(L, -2) == LUA_TSTRING ? lua_tostring(L, -2) : "?";
        if (imp_calc_output(calc, name, &output) == NULL) {
            refuse_result(run, name);
            return false;
        }
        if (!read_result(L, run, output, lua_gettop(L)))
            return false;
    }
    return true;
}

/* The results of compute at `index`: a table by name, or, of one output, its value bare. */
static void read_results(lua_State *L, computation *run, int index)
{
    const imp_calc *calc = &run->own->calc;
    for (size_t i = 0; i < calc->output_count; i++)
        run->call->out[i].given = false;
    if (lua_type(L, index) == LUA_TTABLE) {
        if (!read_named_results(L, run, index))
            return;
    } else if (calc->output_count == 1 && !lua_isnil(L, index)) {
        if (!read_result(L, run, 0, index))
            return;
    } else {
        char got[200];
        imp_fail(run->call->error, IMP_SCRIPT, NULL, "expected a table of the outputs, as in { %s = ... }, got %s",
                 calc->outputs[0].name, imp_value_described(L, imp_lua_known(L), index, got, sizeof got));
        blame_compute(run, IMP_SCRIPT);
        return;
    }
    for (size_t i = 0; i < calc->output_count; i++) {
        if (run->call->out[i].given || calc->outputs[i].presence == IMP_OPTIONAL)
            continue;
        imp_fail(run->call->error, IMP_SCRIPT, NULL, "returned no \"%s\"", calc->outputs[i].name);
        blame_compute(run, IMP_SCRIPT);
        return;
    }
}

/* The protected part: inputs to Lua, compute, results from Lua. */
static int compute(lua_State *L)
{
    computation *run = lua_touserdata(L, 1);
    lua_settop(L, 0);
    luaL_checkstack(L, 20, "nested too deeply");
    push_own(L, run->own);
    lua_getiuservalue(L, 1, VALUE_COMPUTE);
    push_inputs(L, run, 1);
    const int status = lua_pcall(L, 1, 2, 0);
    if (status != LUA_OK) {
        if (imp_lua_known(L)->script != NULL)
            imp_budget_rethrow(L, status);
        run->status = imp_raised_status(L, -1);
        return lua_error(L);
    }
    if (lua_isnil(L, 2) && lua_type(L, 3) == LUA_TSTRING)
        run->status = imp_fail(run->call->error, IMP_NOT_APPLICABLE, NULL, "%s", lua_tostring(L, 3));
    else
        read_results(L, run, 2);
    return 0;
}

/* In somebody else's Lua, or in a coroutine: protected, and no budget. */
static imp_status call_plainly(lua_State *L, imp_error *error)
{
    char text[IMP_MESSAGE_SIZE];
    const int status = lua_pcall(L, 1, 0, 0);
    if (status == LUA_OK)
        return IMP_OK;
    imp_script_error_text(L, -1, text, sizeof text);
    lua_pop(L, 1);
    return imp_fail(error, status == LUA_ERRMEM ? IMP_MEMORY : IMP_SCRIPT, NULL, "%s", text);
}

/* A refusal by the core inside compute is one here too, so that solving and sweeping take the point as refused. */
static bool is_refusal(imp_status status)
{
    return status == IMP_RANGE || status == IMP_NO_SOLUTION || status == IMP_NOT_APPLICABLE;
}

/* Calculators inside calculators each add where they stand; the reason comes last and must not be cut off. */
static void shorten(imp_error *error)
{
    enum { LONGEST = 300, HEAD = 80, TAIL = 200 };
    char shorter[HEAD + TAIL + 8];
    const size_t length = strlen(error->message);
    if (length <= LONGEST)
        return;
    size_t head = HEAD, tail = length - TAIL; /* at whole characters */
    while (head > 0 && ((unsigned char)error->message[head] & 0xC0) == 0x80)
        head--;
    while (tail < length && ((unsigned char)error->message[tail] & 0xC0) == 0x80)
        tail++;
    snprintf(shorter, sizeof shorter, "%.*s ... %s", (int)head, error->message, error->message + tail);
    snprintf(error->message, sizeof error->message, "%s", shorter);
}

static imp_status run_compute(declared *own, const imp_call *call)
{
    lua_State *const L = own->L;
    imp_script *script = imp_lua_known(L)->script;
    computation run = {.own = own, .call = call, .status = IMP_OK};
    imp_error raised = {.status = IMP_OK};
    if (!lua_checkstack(L, 4))
        return imp_fail(call->error, IMP_MEMORY, NULL, "out of memory");
    lua_pushcfunction(L, compute);
    lua_pushlightuserdata(L, &run);
    const imp_status status = script != NULL && imp_script_state(script) == L ? imp_script_call(script, 1, 0, &raised)
                                                                              : call_plainly(L, &raised);
    own->L = L; /* compute may have called it from elsewhere */
    if (status == IMP_OK)
        return run.status;
    shorten(&raised);
    raised.status = status == IMP_SCRIPT && is_refusal(run.status) ? run.status : status;
    if (call->error != NULL)
        *call->error = raised;
    return raised.status;
}

/* Add what the calculations inside compute came to as steps of the sheet. */
static void add_steps(imp_sheet *sheet, const imp_recording *recording)
{
    for (size_t i = 0; i < recording->sheet_count; i++) {
        const imp_calc *calc = recording->calcs[i];
        for (size_t k = 0; k < recording->sheets[i].count; k++) {
            const imp_sheet_line *line = &recording->sheets[i].lines[k];
            const imp_param *row = line->role == IMP_SHEET_RESULT ? imp_calc_output(calc, line->name, NULL) : NULL;
            char name[160];
            if (row == NULL || row->kind != IMP_NUMBER)
                continue;
            snprintf(name, sizeof name, "%s by %s", line->name, calc->id);
            imp_sheet_step(sheet, line->symbol, name, line->substituted, line->value, line->unit);
        }
    }
}

static imp_status run_recorded(declared *own, const imp_call *call)
{
    imp_lua *lua = imp_lua_known(own->L);
    imp_recording *const before = lua->recording;
    imp_recording *recording = imp_allocate(NULL, 1, sizeof *recording);
    if (recording == NULL)
        return imp_fail(call->error, IMP_MEMORY, NULL, "out of memory");
    recording->with_sheets = recording->with_reads = true;
    lua->recording = recording;
    const imp_status status = run_compute(own, call);
    lua->recording = before;
    if (status == IMP_OK)
        add_steps(call->sheet, recording);
    for (size_t i = 0; i < recording->sheet_count; i++)
        imp_sheet_free(&recording->sheets[i]);
    imp_release(NULL, recording);
    return status;
}

static imp_status evaluate(const imp_call *call)
{
    declared *own = call->context;
    return call->sheet != NULL ? run_recorded(own, call) : run_compute(own, call);
}

/* ---- declaring ---- */

static void set_place(lua_State *L, declared *own)
{
    lua_Debug frame;
    for (int level = 1; lua_getstack(L, level, &frame); level++) {
        lua_getinfo(L, "Sl", &frame);
        if (frame.currentline <= 0)
            continue;
        snprintf(own->place, sizeof own->place, "%s:%d", frame.short_src, frame.currentline);
        return;
    }
}

/* Reading an input that the calculator hasn't got. Upvalue 2: the calculator. */
static int refuse_input(lua_State *L)
{
    const declared *own = lua_touserdata(L, lua_upvalueindex(2));
    const char *name = lua_type(L, 2) == LUA_TSTRING ? lua_tostring(L, 2) : "?";
    if (imp_calc_input(&own->calc, name, NULL) != NULL)
        return 0; /* optional and not given */
    const char *nearest = imp_calc_nearest_input(&own->calc, name);
    return imp_raise_text(L, nearest != NULL ? "%s has no input \"%.80s\"; did you mean \"%s\"?" : "%s has no input \"%.80s\"%s",
                          own->calc.id, name, nearest != NULL ? nearest : "");
}

static void make_guard(lua_State *L, int own_index)
{
    lua_createtable(L, 0, 2);
    lua_pushlightuserdata(L, imp_lua_open(L));
    lua_pushvalue(L, own_index);
    lua_pushcclosure(L, refuse_input, 2);
    lua_setfield(L, -2, "__index");
    lua_pushboolean(L, 0);
    lua_setfield(L, -2, "__metatable");
    lua_setiuservalue(L, own_index, VALUE_GUARD);
}

/* Keep a list of the declared, and each by its address. */
static void remember(lua_State *L, declared *own, int own_index)
{
    lua_rawgetp(L, LUA_REGISTRYINDEX, &list_key);
    const size_t count = lua_rawlen(L, -1);
    for (size_t i = 0; i < count; i++) {
        lua_rawgeti(L, -1, (lua_Integer)i + 1);
        if (strcmp(test_declared(L, -1)->calc.id, own->calc.id) == 0)
            imp_raise_text(L, "calculator %s: declared twice", own->calc.id);
        lua_pop(L, 1);
    }
    if (count >= IMP_MOST_CALCULATORS)
        imp_raise_text(L, "calculator %s: more than %d calculators", own->calc.id, IMP_MOST_CALCULATORS);
    lua_pushvalue(L, own_index);
    lua_rawsetp(L, LUA_REGISTRYINDEX, own);
    lua_pushvalue(L, own_index);
    lua_rawseti(L, -2, (lua_Integer)count + 1);
    lua_pop(L, 1);
}

/* calculator { id = ..., inputs = { ... }, outputs = { ... }, compute = function(inputs) ... end } */
static int declare(lua_State *L)
{
    char got[200];
    if (lua_type(L, 1) != LUA_TTABLE)
        return imp_raise_text(L, "calculator: expected its fields in braces, as in calculator { id = \"...\", ... }, got %s",
                              imp_value_described(L, imp_lua_here(L), 1, got, sizeof got));
    lua_settop(L, 1);
    declared *own = lua_newuserdatauv(L, sizeof *own, VALUE_COUNT);
    memset(own, 0, sizeof *own);
    lua_newtable(L);
    lua_pushvalue(L, 3);
    lua_setiuservalue(L, 2, VALUE_KEPT);
    imp_calculator_read(L, 1, 3, &own->calc);
    own->calc.evaluate = evaluate;
    own->calc.context = own;
    own->L = L;
    set_place(L, own);
    lua_pushliteral(L, "compute");
    lua_rawget(L, 1);
    lua_setiuservalue(L, 2, VALUE_COMPUTE);
    lua_pushliteral(L, "cases");
    lua_rawget(L, 1);
    lua_setiuservalue(L, 2, VALUE_CASES);
    make_guard(L, 2);
    own->mark = &metatable_key; /* complete */
    lua_rawgetp(L, LUA_REGISTRYINDEX, &metatable_key);
    lua_setmetatable(L, 2);
    remember(L, own, 2);
    lua_settop(L, 2);
    return 1;
}

/* imp.calculators(): those declared in this state so far, in order */
static int list_declared(lua_State *L)
{
    lua_rawgetp(L, LUA_REGISTRYINDEX, &list_key);
    const lua_Integer count = (lua_Integer)lua_rawlen(L, -1);
    lua_createtable(L, (int)count, 0);
    for (lua_Integer i = 1; i <= count; i++) {
        lua_rawgeti(L, -2, i);
        lua_rawseti(L, -2, i);
    }
    return 1;
}

/* ---- the object ---- */

/* id, title, formula, source, validity, place, cases */
static int read_field(lua_State *L)
{
    const declared *own = test_declared(L, 1);
    const char *name = lua_type(L, 2) == LUA_TSTRING ? lua_tostring(L, 2) : "?";
    if (own == NULL)
        return imp_raise_text(L, "expected a calculator");
    const struct {
        const char *name, *text;
    } texts[] = {{"id", own->calc.id},         {"title", own->calc.title},       {"formula", own->calc.formula},
                 {"source", own->calc.source}, {"validity", own->calc.validity}, {"place", own->place}};
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        if (strcmp(texts[i].name, name) == 0) {
            lua_pushstring(L, texts[i].text);
            return 1;
        }
    if (strcmp(name, "cases") == 0) {
        lua_getiuservalue(L, 1, VALUE_CASES);
        return 1;
    }
    return imp_raise_text(L, "a calculator has no \"%.80s\"; it has id, title, formula, source, validity, place and cases", name);
}

/* thecalculator { area = ... } */
static int call_declared(lua_State *L)
{
    const imp_calc *calc = imp_calculator_test(L, 1);
    if (calc == NULL)
        return imp_raise_text(L, "expected a calculator");
    lua_remove(L, 1); /* the state keeps it */
    return imp_calc_call(L, calc);
}

static int show_declared(lua_State *L)
{
    const declared *own = test_declared(L, 1);
    lua_pushfstring(L, "calculator %s", own != NULL ? own->calc.id : "?");
    return 1;
}

void imp_calculator_open(lua_State *L)
{
    static const luaL_Reg functions[] = {{"calculator", declare}, {"calculators", list_declared}, {NULL, NULL}};
    static const luaL_Reg methods[] = {
        {"__index", read_field}, {"__call", call_declared}, {"__tostring", show_declared}, {NULL, NULL}};
    lua_newtable(L);
    lua_rawsetp(L, LUA_REGISTRYINDEX, &list_key);
    lua_createtable(L, 0, 4);
    imp_set_functions(L, methods);
    lua_pushboolean(L, 0);
    lua_setfield(L, -2, "__metatable");
    lua_rawsetp(L, LUA_REGISTRYINDEX, &metatable_key);
    imp_set_functions(L, functions);
}
