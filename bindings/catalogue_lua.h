/* catalogue_lua.h — every entry of the catalogue as a function, and what a script can ask about entries.
 * All of it comes from the entries' rows; no entry is named here. */
#ifndef IMP_CATALOGUE_LUA_H
#define IMP_CATALOGUE_LUA_H

#include "state.h"

/* Put catalogue, explain and sheet into the table on top of the stack. The groups (climate, hose, ...) are made when they are
 * asked for: most scripts use a few, and a check opens many states. */
void imp_catalogue_open(lua_State *L);
/* Make the group of this name, put it into the module's table at stack index `module` and push it; false, and nothing is
 * pushed, when there is none. */
bool imp_catalogue_push_group(lua_State *L, int module, const char *name);
/* Make all that are not there yet. */
void imp_catalogue_make_groups(lua_State *L, int module);

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
