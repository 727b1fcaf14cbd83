#include "state.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static const char state_key = 0, raised_key = 0, raised_status_key = 0; /* only their addresses are used */

imp_lua *imp_lua_known(lua_State *L)
{
    lua_rawgetp(L, LUA_REGISTRYINDEX, &state_key);
    imp_lua *lua = lua_touserdata(L, -1);
    lua_pop(L, 1);
    return lua;
}

imp_lua *imp_lua_open(lua_State *L)
{
    imp_lua *lua = imp_lua_known(L);
    if (lua != NULL)
        return lua;
    lua = lua_newuserdatauv(L, sizeof *lua, 0);
    memset(lua, 0, sizeof *lua);
    lua_rawsetp(L, LUA_REGISTRYINDEX, &state_key);
    return lua;
}

imp_lua *imp_lua_here(lua_State *L)
{
    return lua_touserdata(L, lua_upvalueindex(1));
}

void imp_set_functions(lua_State *L, const luaL_Reg *functions)
{
    imp_lua_open(L);
    lua_rawgetp(L, LUA_REGISTRYINDEX, &state_key);
    luaL_setfuncs(L, functions, 1);
}

void imp_push_position(lua_State *L)
{
    lua_Debug frame;
    for (int level = 1; lua_getstack(L, level, &frame); level++) {
        lua_getinfo(L, "Sl", &frame);
        if (frame.currentline > 0) {
            lua_pushfstring(L, "%s:%d: ", frame.short_src, frame.currentline);
            return;
        }
    }
    lua_pushliteral(L, "");
}

int imp_raise(lua_State *L, const imp_error *error)
{
    char text[IMP_PLACE_SIZE + IMP_MESSAGE_SIZE + 4];
    imp_lua *lua = imp_lua_known(L);
    if (lua != NULL && error->status == IMP_MEMORY)
        lua->ran_short = true;
    imp_push_position(L);
    lua_pushstring(L, imp_error_text(error, text, sizeof text));
    lua_concat(L, 2);
    lua_pushvalue(L, -1);
    lua_rawsetp(L, LUA_REGISTRYINDEX, &raised_key);
    lua_pushinteger(L, (lua_Integer)error->status);
    lua_rawsetp(L, LUA_REGISTRYINDEX, &raised_status_key);
    for (;;)
        lua_error(L); /* which never returns, but its header does not say so */
}

int imp_raise_memory(lua_State *L, const char *function)
{
    imp_error error;
    imp_fail(&error, IMP_MEMORY, function, "out of memory");
    imp_raise(L, &error);
}

imp_status imp_raised_status(lua_State *L, int index)
{
    const int value = lua_absindex(L, index);
    lua_rawgetp(L, LUA_REGISTRYINDEX, &raised_key);
    lua_rawgetp(L, LUA_REGISTRYINDEX, &raised_status_key);
    const bool ours = lua_type(L, -2) == LUA_TSTRING && lua_rawequal(L, -2, value);
    const imp_status status = ours ? (imp_status)lua_tointeger(L, -1) : IMP_SCRIPT;
    lua_pop(L, 2);
    return status;
}

int imp_raise_text(lua_State *L, const char *format, ...)
{
    char text[IMP_MESSAGE_SIZE];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    imp_push_position(L);
    lua_pushstring(L, text);
    lua_concat(L, 2);
    for (;;)
        lua_error(L); /* which never returns, but its header does not say so */
}
