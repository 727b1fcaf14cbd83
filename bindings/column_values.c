/* Columns in memory: nothing is lazy here, so that a script can look at the values, and its budget of memory counts
 * them. */
#include <math.h>
#include <string.h>

#include "column_lua.h"
#include "columns_values.h"

imp_status imp_column_in_set(imp_columns *set, const imp_column_box *box, imp_column *column, imp_error *error)
{
    const imp_quantity one = {.si = 1.0};
    imp_column values, constant;
    imp_status status =
        imp_columns_memory(set, box->values, box->count, box->kind.dimension, box->kind.is_reading, &values, error);
    if (status != IMP_OK || !box->kind.is_mask) {
        if (status == IMP_OK)
            *column = values;
        return status;
    }
    status = imp_columns_constant(set, &one, &constant, error);
    return status == IMP_OK ? imp_columns_binary(set, IMP_COLUMN_EQUALS, values, constant, column, error) : status;
}

typedef struct made_column {
    imp_columns *set;
    imp_column column;
    size_t count;
    const imp_unit *unit;
} made_column;

/* May raise on lack of memory: the caller still frees the set. */
static int push_values(lua_State *L)
{
    const made_column *made = lua_touserdata(L, 1);
    const imp_column_kind kind = imp_columns_kind(made->set, made->column);
    imp_error error;
    imp_column_box *box = imp_column_push_memory(L, made->count, kind.dimension, kind.is_reading, made->unit);
    box->kind.is_mask = kind.is_mask;
    if (imp_columns_values(made->set, made->column, box->values, made->count, &error) != IMP_OK)
        return imp_raise(L, &error);
    return 1;
}

void imp_column_push_from_set(lua_State *L, imp_columns *set, imp_column column, size_t count, const imp_unit *unit)
{
    made_column made = {set, column, count, unit};
    lua_pushcfunction(L, push_values);
    lua_pushlightuserdata(L, &made);
    const int status = lua_pcall(L, 1, 1, 0);
    imp_columns_free(set);
    if (status != LUA_OK)
        lua_error(L);
}
