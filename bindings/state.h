/* state.h — what the bindings keep for one Lua state, and how they raise errors. Private to the bindings.
 *
 * Every C function of ours has the state's record as its first upvalue: imp_lua_here(L). */
#ifndef IMP_STATE_H
#define IMP_STATE_H

#include <lauxlib.h>
#include <lua.h>

#include "catalogue.h"
#include "document.h"

struct imp_script;

enum { IMP_MOST_RECORDED_SHEETS = 256, IMP_MOST_RECORDED_READS = 1024 };

/* What the check engine learns about one call of a rule: the sheets of its calculations and the job fields it read.
 * Owned by the host; kept outside Lua's memory, so that recording never raises. */
typedef struct imp_recording {
    bool with_sheets; /* the working of every calculation is kept */
    bool with_reads;  /* what was read of the job is kept */
    imp_sheet sheets[IMP_MOST_RECORDED_SHEETS];
    const imp_calc *calcs[IMP_MOST_RECORDED_SHEETS];
    size_t sheet_count;
    const imp_node *reads[IMP_MOST_RECORDED_READS]; /* in order, each once */
    size_t read_count;
    bool is_incomplete; /* the machine had no memory for a sheet */
} imp_recording;

typedef struct imp_lua {
    const void *view_metatable;                            /* identity, for checks */
    const imp_unit *pure, *kelvin, *fahrenheit_difference; /* of the unit cache */
    imp_recording *recording;                              /* NULL: nobody records */
    const imp_node *root;      /* document of the views, for paths in messages; NULL when there is none */
    struct imp_script *script; /* NULL in somebody else's Lua */
    bool ran_short;            /* lack of memory was raised, even if a script caught it */
} imp_lua;

/* The record of this state, made on first use. */
imp_lua *imp_lua_open(lua_State *L);
/* The same without making one: NULL when there is none. Never raises. */
imp_lua *imp_lua_known(lua_State *L);
/* The record from the running C function's first upvalue. */
imp_lua *imp_lua_here(lua_State *L);

/* luaL_setfuncs with the record as first upvalue, into the table on top. */
void imp_set_functions(lua_State *L, const luaL_Reg *functions);

/* Push "script.lua:7: " for the innermost Lua function that is running, or "". */
void imp_push_position(lua_State *L);
/* Raise "script.lua:7: place: message". Never returns; int so that `return imp_raise(...)` reads well. */
_Noreturn int imp_raise(lua_State *L, const imp_error *error);
/* The same for lack of memory, which no script takes for an answer. */
_Noreturn int imp_raise_memory(lua_State *L, const char *function);
/* The status with which imp_raise raised the error value at index; IMP_SCRIPT when something else raised it. */
imp_status imp_raised_status(lua_State *L, int index);
#if defined(__GNUC__)
__attribute__((format(printf, 2, 3)))
#endif
_Noreturn int imp_raise_text(lua_State *L, const char *format, ...);

#endif
