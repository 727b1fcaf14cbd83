/* show.h — the values of an evaluated line, for a person. */
#ifndef IMP_RUNNER_SHOW_H
#define IMP_RUNNER_SHOW_H

#include <lua.h>

/* A Lua function. Arguments: the output as light userdata, then the values. Writes a line each, nothing for nil:
 * quantities in their display unit and numbers with all digits that matter, texts as they are, a list's items one a
 * line, a table's fields as "name = value" sorted by name. Reads tables raw. */
int show_values(lua_State *L);

#endif
