#ifndef _XOPEN_SOURCE
#define _XOPEN_SOURCE 700 /* clock_gettime */
#endif

#include "budget.h"

#include <lauxlib.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "number.h"
#include "state.h"

enum {
    HOOK_STEPS = 1000,
    CLOCK_STEPS = 20000,     /* work in C between two looks at the clock */
    LARGE_BLOCK = 64 * 1024, /* from here on a block's time is counted */
    BYTES_A_STEP = 16,
    CHECK_BYTES = 4 * 1024 * 1024
};

imp_budget imp_default_budget(void)
{
    return (imp_budget){
        .memory = IMP_SCRIPT_MEMORY, .steps = IMP_SCRIPT_STEPS, .seconds = IMP_SCRIPT_SECONDS, .output = IMP_SCRIPT_OUTPUT};
}

imp_script *imp_script_of(lua_State *L)
{
    return *(imp_script **)lua_getextraspace(L);
}

double imp_budget_clock(void)
{
    struct timespec time;
    if (clock_gettime(CLOCK_MONOTONIC, &time) != 0)
        return 0.0;
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

/* ---- tripping ---- */

static void count_hook(lua_State *L, lua_Debug *frame);

static void set_hook(imp_script *script, int steps)
{
    lua_sethook(script->L, count_hook, LUA_MASKCOUNT, steps);
}

static void note_place(lua_State *L, imp_script *script, lua_Debug *frame)
{
    lua_Debug found;
    for (int level = 0; frame == NULL && lua_getstack(L, level, &found); level++)
        if (lua_getinfo(L, "Sl", &found) != 0 && found.currentline > 0)
            frame = &found;
    if (frame != NULL)
        snprintf(script->trip_place, sizeof script->trip_place, "%s:%d", frame->short_src, frame->currentline);
}

/* frame: of the hook, with source and line; NULL: found from the stack. */
static void trip(lua_State *L, imp_script *script, imp_trip what, lua_Debug *frame)
{
    if (script->tripped != IMP_NOT_TRIPPED)
        return;
    script->tripped = what;
    note_place(L, script, frame);
    set_hook(script, 1);
}

static void raise_trip(lua_State *L, const imp_script *script)
{
    imp_error error;
    imp_budget_fail(script, &error);
    lua_pushfstring(L, "%s%s%s", error.place, error.place[0] != '\0' ? ": " : "", error.message);
    lua_error(L);
}

static bool over_steps(const imp_script *script)
{
    return script->used.steps > script->budget.steps;
}

static bool over_time(const imp_script *script)
{
    return script->depth > 0 && script->used.seconds + (imp_budget_clock() - script->started) > script->budget.seconds;
}

/* Let the hook look at the clock at the next instruction. */
static void look_soon(imp_script *script)
{
    if (script->depth > 0 && script->tripped == IMP_NOT_TRIPPED && !script->looks_soon) {
        script->looks_soon = true;
        set_hook(script, 1);
    }
}

static void charge_allocations(imp_script *script)
{
    script->used.steps += script->allocated_since_check / BYTES_A_STEP;
    script->allocated_since_check = 0;
}

static void count_hook(lua_State *L, lua_Debug *frame)
{
    imp_script *script = imp_script_of(L);
    if (script->tripped == IMP_NOT_TRIPPED) {
        script->used.steps += HOOK_STEPS;
        charge_allocations(script);
        if (script->looks_soon)
            set_hook(script, HOOK_STEPS);
        script->looks_soon = false;
        lua_getinfo(L, "Sl", frame);
        if (over_steps(script))
            trip(L, script, IMP_TRIP_STEPS, frame);
        else if (over_time(script))
            trip(L, script, IMP_TRIP_SECONDS, frame);
    }
    if (script->tripped != IMP_NOT_TRIPPED)
        raise_trip(L, script);
}

/* ---- charging ---- */

bool imp_try_spend(lua_State *L, unsigned long long steps)
{
    imp_script *script = imp_script_of(L);
    if (script == NULL || script->trusted)
        return true;
    if (script->tripped != IMP_NOT_TRIPPED)
        return false;
    const unsigned long long left =
        script->used.steps <= script->budget.steps ? script->budget.steps - script->used.steps : 0;
    script->used.steps += steps <= left ? steps : left + 1;
    script->steps_since_check += steps;
    if (over_steps(script)) {
        trip(L, script, IMP_TRIP_STEPS, NULL);
    } else if (script->steps_since_check >= CLOCK_STEPS) {
        script->steps_since_check = 0;
        if (over_time(script))
            trip(L, script, IMP_TRIP_SECONDS, NULL);
    }
    return script->tripped == IMP_NOT_TRIPPED;
}

void imp_spend(lua_State *L, unsigned long long steps)
{
    if (!imp_try_spend(L, steps))
        raise_trip(L, imp_script_of(L));
}

void imp_spend_call(lua_State *L, unsigned long long steps)
{
    imp_script *script = imp_script_of(L);
    script->steps_since_check += CLOCK_STEPS;
    imp_spend(L, steps);
}

void imp_spend_output(lua_State *L, size_t bytes)
{
    imp_script *script = imp_script_of(L);
    if (script == NULL || script->trusted)
        return;
    if (bytes > script->budget.output - script->used.output)
        trip(L, script, IMP_TRIP_OUTPUT, NULL);
    else
        script->used.output += bytes;
    imp_spend(L, bytes / BYTES_A_STEP);
}

void imp_expect_memory(lua_State *L, size_t bytes)
{
    imp_script *script = imp_script_of(L);
    if (script == NULL || script->trusted)
        return;
    if (bytes > script->budget.memory)
        trip(L, script, IMP_TRIP_MEMORY, NULL);
    imp_spend(L, bytes / BYTES_A_STEP);
}

void imp_budget_rethrow(lua_State *L, int status)
{
    imp_script *script = imp_script_of(L);
    if (script == NULL || script->trusted)
        return;
    if (status == LUA_ERRMEM || imp_raised_status(L, -1) == IMP_MEMORY)
        trip(L, script, script->memory_refused ? IMP_TRIP_MEMORY : IMP_TRIP_MACHINE, NULL);
    if (script->tripped != IMP_NOT_TRIPPED)
        raise_trip(L, script);
}

void imp_budget_start(imp_script *script)
{
    if (script->depth++ > 0 || script->trusted)
        return;
    script->started = imp_budget_clock();
    script->looks_soon = false;
    set_hook(script, script->tripped != IMP_NOT_TRIPPED ? 1 : HOOK_STEPS);
}

void imp_budget_stop(imp_script *script)
{
    if (--script->depth > 0 || script->trusted)
        return;
    script->used.seconds += imp_budget_clock() - script->started;
    lua_sethook(script->L, NULL, 0, 0);
}

void imp_budget_leave_out(imp_script *script, double seconds)
{
    script->started += seconds;
}

/* ---- memory ---- */

void *imp_budget_allocate(void *context, void *block, size_t old_size, size_t new_size)
{
    imp_script *script = context;
    const size_t held = block != NULL ? old_size : 0; /* without a block, old_size is the kind of object */
    if (new_size == 0) {
        free(block);
        script->used.memory -= held;
        return NULL;
    }
    if (!script->trusted && new_size > held && new_size - held > script->budget.memory - script->used.memory) {
        script->memory_refused = true;
        look_soon(script); /* Lua now collects everything, which takes long when it holds much */
        return NULL;
    }
    void *moved = block == NULL ? malloc(new_size) : realloc(block, new_size);
    if (moved == NULL)
        return NULL;
    script->used.memory = script->used.memory - held + new_size;
    if (new_size >= LARGE_BLOCK && !script->trusted) {
        script->allocated_since_check += new_size;
        if (script->allocated_since_check >= CHECK_BYTES)
            look_soon(script);
    }
    return moved;
}

/* ---- saying so ---- */

static void steps_text(unsigned long long steps, char *text, size_t size)
{
    char number[IMP_NUMBER_TEXT_SIZE];
    const bool millions = steps >= 1000000;
    imp_number_write(millions ? (double)steps / 1e6 : (double)steps, 4, number, sizeof number);
    snprintf(text, size, "%s%s steps", number, millions ? " million" : "");
}

static void bytes_text(size_t bytes, const char *of, char *text, size_t size)
{
    char number[IMP_NUMBER_TEXT_SIZE];
    const bool large = bytes >= 1048576;
    imp_number_write((double)bytes / (large ? 1048576.0 : 1024.0), 4, number, sizeof number);
    snprintf(text, size, "%s %s of %s", number, large ? "MiB" : "KiB", of);
}

imp_status imp_budget_fail(const imp_script *script, imp_error *error)
{
    char text[80] = "", number[IMP_NUMBER_TEXT_SIZE];
    switch (script->tripped) {
    case IMP_NOT_TRIPPED:
        return imp_fail(error, IMP_INTERNAL, NULL, "no budget is used up");
    case IMP_TRIP_STEPS:
        steps_text(script->budget.steps, text, sizeof text);
        break;
    case IMP_TRIP_SECONDS:
        snprintf(text, sizeof text, "%s s", imp_number_write(script->budget.seconds, 4, number, sizeof number));
        break;
    case IMP_TRIP_MEMORY:
        bytes_text(script->budget.memory, "memory", text, sizeof text);
        break;
    case IMP_TRIP_MACHINE:
        return imp_fail(error, IMP_MEMORY, script->trip_place[0] != '\0' ? script->trip_place : script->name,
                        "out of memory");
    case IMP_TRIP_OUTPUT:
        bytes_text(script->budget.output, "output", text, sizeof text);
        break;
    }
    return imp_fail(error, IMP_LIMIT, script->trip_place[0] != '\0' ? script->trip_place : script->name,
                    "used up its budget of %s", text);
}
