/* budget.h — what one script may use, and what happens when it is used up. Private to the sandbox.
 *
 * A budget that is used up sets `tripped`, turns the hook to every instruction, and raises. From then on nothing of the
 * script gets any further: pcall raises again, and the next instruction anywhere (a __close handler) raises too. */
#ifndef IMP_BUDGET_H
#define IMP_BUDGET_H

#include "sandbox.h"

/* IMP_TRIP_MACHINE: not a budget; the machine itself has no memory, which no script is to take for an answer. */
typedef enum imp_trip {
    IMP_NOT_TRIPPED,
    IMP_TRIP_STEPS,
    IMP_TRIP_SECONDS,
    IMP_TRIP_MEMORY,
    IMP_TRIP_OUTPUT,
    IMP_TRIP_MACHINE
} imp_trip;

struct imp_script {
    lua_State *L;
    imp_budget budget, used;
    bool trusted;
    double started; /* of the outermost running call, monotonic; used.seconds holds those that have ended */
    int depth;      /* calls running */
    imp_trip tripped;
    bool memory_refused;          /* the allocator has said no at the cap at least once */
    char name[160];               /* of the text that runs, for messages without a line */
    char trip_place[160];         /* "file:line", or empty */
    size_t allocated_since_check; /* bytes of large blocks, which cost time without costing steps */
    unsigned long long steps_since_check;
    bool looks_soon; /* the hook is set to the next instruction */
    imp_write write;
    void *write_context;
    char *own_folder; /* of the running file; NULL at first */
    char **folders;
    size_t folder_count;
};

/* The script of a sandboxed state. */
struct imp_script *imp_script_of(lua_State *L);

/* Allocator for lua_newstate with the script as context: counts, and refuses beyond the cap. */
void *imp_budget_allocate(void *context, void *block, size_t old_size, size_t new_size);

/* Install or take away the hook. */
void imp_budget_start(struct imp_script *script);
void imp_budget_stop(struct imp_script *script);

/* The monotonic clock, in seconds; and time to be left out of the running call, spent in another script's budget. */
double imp_budget_clock(void);
void imp_budget_leave_out(struct imp_script *script, double seconds);

/* Charge work done in C; raises when a budget is used up. */
void imp_spend(lua_State *L, unsigned long long steps);
/* The same without raising: false when a budget is used up. Then imp_spend(L, 0) raises. */
bool imp_try_spend(lua_State *L, unsigned long long steps);
/* Charge a call that may take long by itself: looks at the clock. */
void imp_spend_call(lua_State *L, unsigned long long steps);
/* Charge printed bytes. */
void imp_spend_output(lua_State *L, size_t bytes);
/* A block of this many bytes is about to be asked for: raises at once when it cannot fit. */
void imp_expect_memory(lua_State *L, size_t bytes);

/* After a protected call inside the sandbox returned `status` with its error on top of the stack: raises again when a
 * budget is used up, or when there was no memory for what was called: its failing says nothing of a rig. */
void imp_budget_rethrow(lua_State *L, int status);

/* "used up its budget of 200 million steps" */
imp_status imp_budget_fail(const struct imp_script *script, imp_error *error);

#endif
