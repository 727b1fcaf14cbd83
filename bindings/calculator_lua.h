/* calculator_lua.h — calculators that a script declares: entries like the catalogue's own, whose function is Lua.
 *
 * A declared calculator lives as long as its state. Its compute runs protected and within the script's budget, wherever
 * it is called from: a script, the engine that solves and sweeps, or the runner. */
#ifndef IMP_CALCULATOR_LUA_H
#define IMP_CALCULATOR_LUA_H

#include "state.h"

enum { IMP_MOST_CALCULATORS = 1000 };

/* Put calculator and calculators into the table on top of the stack. */
void imp_calculator_open(lua_State *L);

/* The declared calculator at index, made ready to be evaluated from L; NULL when there is another value. */
const imp_calc *imp_calculator_test(lua_State *L, int index);

/* How many calculators this state has declared, and each in the order of declaration (from 0; NULL beyond), ready to be
 * evaluated from L. They need two stack slots and never raise. */
size_t imp_calculator_count(lua_State *L);
const imp_calc *imp_calculator_at(lua_State *L, size_t index);

#endif
