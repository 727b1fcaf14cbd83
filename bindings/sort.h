/* sort.h — sorting a Lua list in place, whatever the comparison says. */
#ifndef IMP_SORT_H
#define IMP_SORT_H

#include <lua.h>
#include <stdbool.h>

/* Is the value at stack index a less than the one at index b? May raise. */
typedef bool (*imp_less)(lua_State *L, int a, int b, void *context);

/* Sort items 1 .. count of the table at index: heapsort, so n log n comparisons at most even when they contradict each
 * other. Raw access. Not stable. */
void imp_sort(lua_State *L, int index, lua_Integer count, imp_less less, void *context);

/* An order for keys: numbers, then texts by their bytes, then false and true. */
bool imp_key_less(lua_State *L, int a, int b, void *context);

#endif
