/* values_lua.h — values between Lua and rows, and between two Lua states. */
#ifndef IMP_VALUES_LUA_H
#define IMP_VALUES_LUA_H

#include "state.h"

/* Reads arguments for rows. Items of lists and tables live in userdata that a table at stack index `anchor` holds; the
 * index must be the caller's own, nil at first. Nothing here runs a script's code. */
typedef struct imp_value_reader {
    lua_State *L;
    const imp_lua *lua;
    int anchor;
    char currency[4]; /* of the first amount of money read */
    imp_arena *arena; /* of job records read whole; the anchor holds it. NULL: none yet */
    imp_error *error;
} imp_value_reader;

/* Push an arena that is freed when it is collected. */
imp_arena *imp_arena_push(lua_State *L);

/* Read the Lua value at index for a row: a quantity, a number, a text as a person types it ("20 degC"), a choice's text
 * or number, a boolean, an array of these, an array of tables or of job records. The value is not yet checked against
 * a range where the core's evaluation does so itself. place in the error = the row's name. May raise on lack of memory.
 */
imp_status imp_value_read(imp_value_reader *reader, const imp_param *row, int index, imp_value *value);

/* Read named inputs of an entry from the table at index into in[input_count]; unknown names give the nearest. */
imp_status imp_inputs_read(imp_value_reader *reader, const imp_calc *calc, int index, imp_value *in);

/* Push a value of a row: a quantity (money in `currency`, when not empty), a choice's text, a boolean, an array, ... */
void imp_value_push(lua_State *L, const imp_param *row, const imp_value *value, const char *currency);

/* Push the quantity that stands for an SI number of a number row, shown in the row's unit. */
void imp_number_push(lua_State *L, const imp_param *row, double si, const char *currency);

/* Copy the value at `index` of one state onto the stack of another: nil, booleans, numbers, texts, quantities and
 * tables of these (raw, at most 16 deep). Functions go through `function`, which pushes what stands for it onto `to`
 * and returns true; NULL: functions are refused. `from` never raises here; `to` may, on lack of memory. On failure one
 * nil is pushed. */
typedef bool (*imp_copy_function)(void *context, lua_State *from, int index, lua_State *to);
imp_status imp_value_copy(lua_State *from, int index, lua_State *to, imp_copy_function function, void *context,
                          imp_error *error);

#endif
