/* sandbox_libraries.h — the libraries a sandboxed script sees. Private to the sandbox. */
#ifndef IMP_SANDBOX_LIBRARIES_H
#define IMP_SANDBOX_LIBRARIES_H

#include <lauxlib.h>
#include <lua.h>

/* The running C function's upvalue 1 is the stock function to run in its place, after a charge for the texts it reads.
 */
int imp_charged_call(lua_State *L);
/* Put the named functions of the library at `library` into the table on top, each charged for the texts it reads. */
void imp_copy_charged(lua_State *L, int library, const char *const names[]);
/* Put the named fields of the library at `library` into the table on top as they are. */
void imp_copy_plain(lua_State *L, int library, const char *const names[]);

/* Each fills the globals, or the library of its name in them. */
void imp_open_base(lua_State *L);
void imp_open_loading(lua_State *L); /* load and require */
void imp_open_string(lua_State *L);
void imp_open_table(lua_State *L);
void imp_open_math(lua_State *L);
void imp_open_utf8(lua_State *L);
/* Reading or assigning a global that isn't there is an error from now on. */
void imp_close_globals(lua_State *L);

/* Bytes at the start of a script's text that are no Lua: a byte order mark, and the text of a first line beginning with
 * #. */
size_t imp_text_head(const char *text, size_t length);
enum { IMP_LONGEST_SCRIPT = 4 * 1024 * 1024 };

/* The module's table, in the registry under this key once it's open. */
extern const char imp_module_key;

#endif
