/* quantity_lua.h — quantities as Lua values: a number with its dimension, and the unit in which it is shown.
 *
 * The rules of arithmetic are the core's; a Lua number stands for a pure quantity. */
#ifndef IMP_QUANTITY_LUA_H
#define IMP_QUANTITY_LUA_H

#include "state.h"
#include "unit_lua.h"

/* Prepare the metatable and the unit cache, and put q and is_quantity into the table on top of the stack. */
void imp_quantity_open(lua_State *L);

/* The quantity at index, or NULL; *unit (may be NULL) receives the unit in which it is shown, NULL for coherent SI. */
const imp_quantity *imp_quantity_test(lua_State *L, const imp_lua *lua, int index, const imp_unit **unit);

/* Push a quantity shown in unit, which must come from imp_unit_cached; NULL: in coherent SI. */
void imp_quantity_push(lua_State *L, const imp_quantity *quantity, const imp_unit *unit);

/* Write the quantity as tostring does, in `digits` significant digits (0: all). size >= 160 is enough. Returns text. */
char *imp_quantity_text(lua_State *L, const imp_quantity *quantity, const imp_unit *unit, int digits, char *text,
                        size_t size);

/* How a Lua value reads in a message: "\"12 bar\"", "5", "a table". Runs no script code. Returns text. */
char *imp_value_described(lua_State *L, const imp_lua *lua, int index, char *text, size_t size);

#endif
