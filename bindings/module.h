/* module.h — the module `impinge` as scripts see it. */
#ifndef IMP_MODULE_H
#define IMP_MODULE_H

#include <lua.h>

#ifndef IMP_VERSION /* the build says it */
#define IMP_VERSION "0.1.0"
#endif
enum { IMP_API_LEVEL = 1 };

/* Push the module's table. In a stock Lua 5.4 (`require "impinge"`) there is no sandbox and no budget: the module
 * promises neither inside somebody else's Lua. */
int luaopen_impinge(lua_State *L);

#endif
