#include "sort.h"

#include <string.h>

/* Let the item on top of the stack sink from place `hole` of a heap of `count`; takes it off the stack. */
static void sink(lua_State *L, int index, lua_Integer hole, lua_Integer count, imp_less less, void *context)
{
    const int item = lua_gettop(L);
    for (lua_Integer child = 2 * hole; child <= count; child = 2 * hole) {
        lua_rawgeti(L, index, child);
        if (child < count) {
            lua_rawgeti(L, index, child + 1);
            if (less(L, item + 1, item + 2, context)) {
                lua_replace(L, item + 1);
                child++;
            } else {
                lua_pop(L, 1);
            }
        }
        if (!less(L, item, item + 1, context)) {
            lua_pop(L, 1);
            break;
        }
        lua_rawseti(L, index, hole);
        hole = child;
    }
    lua_rawseti(L, index, hole);
}

void imp_sort(lua_State *L, int index, lua_Integer count, imp_less less, void *context)
{
    for (lua_Integer i = count / 2; i >= 1; i--) {
        lua_rawgeti(L, index, i);
        sink(L, index, i, count, less, context);
    }
    for (lua_Integer end = count; end > 1; end--) {
        lua_rawgeti(L, index, end);
        lua_rawgeti(L, index, 1);
        lua_rawseti(L, index, end);
        sink(L, index, 1, end - 1, less, context);
    }
}

static int rank(int type)
{
    return type == LUA_TNUMBER ? 0 : type == LUA_TSTRING ? 1 : type == LUA_TBOOLEAN ? 2 : 3;
}

bool imp_key_less(lua_State *L, int a, int b, void *context)
{
    (void)context;
    const int a_type = lua_type(L, a), b_type = lua_type(L, b);
    if (a_type != b_type)
        return rank(a_type) < rank(b_type);
    if (a_type == LUA_TNUMBER)
        return lua_compare(L, a, b, LUA_OPLT) != 0;
    if (a_type == LUA_TBOOLEAN)
        return !lua_toboolean(L, a) && lua_toboolean(L, b);
    size_t a_length, b_length;
    const char *a_text = lua_tolstring(L, a, &a_length), *b_text = lua_tolstring(L, b, &b_length);
    const int order = memcmp(a_text, b_text, a_length < b_length ? a_length : b_length);
    return order != 0 ? order < 0 : a_length < b_length;
}
