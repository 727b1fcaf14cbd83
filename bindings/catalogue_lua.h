/* catalogue_lua.h — every entry of the catalogue as a function, and what a script can ask about entries.
 * All of it comes from the entries' rows; no entry is named here. */
#ifndef IMP_CATALOGUE_LUA_H
#define IMP_CATALOGUE_LUA_H

#include "state.h"

/* Put a table for each group (climate, hose, ...) and catalogue, explain, sheet into the table on top of the stack. */
void imp_catalogue_open(lua_State *L);

/* The calculation at index, an id or a declared calculator; raises "function: expected ..." when it is neither. */
const imp_calc *imp_calc_check(lua_State *L, const char *function, int index);

/* A C function's body: the inputs are the table at index 1; leaves the results as a catalogue function gives them. */
int imp_calc_call(lua_State *L, const imp_calc *calc);

/* Push a recorded sheet as the table that imp.sheet gives. */
void imp_sheet_push(lua_State *L, const imp_calc *calc, const imp_sheet *sheet);

/* Push a row as the table that imp.explain gives: name, symbol, kind, dimension, unit, low, high, ...; not the rows below
 * it. */
void imp_row_push(lua_State *L, const imp_param *row);

#endif
