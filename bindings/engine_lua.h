/* engine_lua.h — solving backwards, sweeping, sensitivity and uncertainty from a script, for a catalogue entry's id and a
 * declared calculator alike. */
#ifndef IMP_ENGINE_LUA_H
#define IMP_ENGINE_LUA_H

#include "state.h"

enum { IMP_DEFAULT_SWEEP_STEPS = 21 };

/* Put solve_for, sweep, sensitivity and uncertainty into the table on top of the stack. */
void imp_engine_open(lua_State *L);

#endif
