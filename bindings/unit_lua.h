/* unit_lua.h — the units of a Lua state: each text is parsed once, and never freed before the state, so that quantities
 * can point to their unit. */
#ifndef IMP_UNIT_LUA_H
#define IMP_UNIT_LUA_H

#include "state.h"

/* Prepare the cache and the units that the state's record names. */
void imp_units_open(lua_State *L);

/* The state's own copy of a unit text. On failure NULL and error; may raise on lack of memory. */
const imp_unit *imp_unit_cached(lua_State *L, const char *text, size_t length, imp_error *error);

/* The same for the text of a row, which outlives the state: found by its address, without looking at the text. NULL where it
 * is no unit. */
const imp_unit *imp_unit_of_row(lua_State *L, const char *text);

/* The unit in which a quantity shows itself; its own, or a coherent SI one; NULL where no unit text can say it. */
const imp_unit *imp_quantity_unit(lua_State *L, const imp_quantity *quantity, const imp_unit *unit);

#endif
