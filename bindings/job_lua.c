#include "job_lua.h"

#include <stdio.h>
#include <string.h>

#include "param.h"
#include "quantity_lua.h"
#include "values_lua.h"

static const char view_metatable_key = 0; /* only its address is used */

typedef struct view {
    const imp_node *node; /* a record */
    bool is_quiet;        /* an item of a table: reading its fields is reading the table, which is recorded already */
} view;

/* ---- paths ---- */

enum { MOST_DEPTH = 32 }; /* the document reader's own limit */

/* The way down from `at` to `wanted`: the child taken at each level. No text is made before it is found. */
static bool find_trail(const imp_node *at, const imp_node *wanted, size_t *trail, size_t depth, size_t *length)
{
    if (at == wanted) {
        *length = depth;
        return true;
    }
    for (size_t i = 0; depth < MOST_DEPTH && i < at->count; i++) {
        trail[depth] = i;
        if (find_trail(&at->children[i], wanted, trail, depth + 1, length))
            return true;
    }
    return false;
}

char *imp_node_path(const imp_node *root, const imp_node *node, char *text, size_t size)
{
    size_t trail[MOST_DEPTH], length = 0, used = 0;
    text[0] = '\0';
    if (root == NULL || !find_trail(root, node, trail, 0, &length))
        return text;
    for (size_t depth = 0; depth < length && used < size; depth++) {
        const imp_node *child = &root->children[trail[depth]];
        const int written = root->kind == IMP_RECORD
                                ? snprintf(text + used, size - used, "%s%s", used > 0 ? "." : "", child->row->name)
                                : snprintf(text + used, size - used, "[%zu]", trail[depth] + 1);
        used += (size_t)(written > 0 ? written : 0);
        root = child;
    }
    return text;
}

void imp_record_read(const imp_lua *lua, const imp_node *node)
{
    imp_recording *recording = lua->recording;
    if (recording == NULL || !recording->with_reads || recording->read_count == IMP_MOST_RECORDED_READS)
        return;
    for (size_t i = 0; i < recording->read_count; i++)
        if (recording->reads[i] == node)
            return;
    recording->reads[recording->read_count++] = node;
}

/* ---- values ---- */

static void push_view(lua_State *L, const imp_node *node, bool is_quiet)
{
    view *made = lua_newuserdatauv(L, sizeof *made, 0);
    made->node = node;
    made->is_quiet = is_quiet;
    lua_rawgetp(L, LUA_REGISTRYINDEX, &view_metatable_key);
    lua_setmetatable(L, -2);
}

static void push_number(lua_State *L, const imp_param *row, const imp_node *node)
{
    const imp_unit *unit = NULL;
    if (node->given && !node->is_default)
        unit = imp_unit_cached(L, node->unit.text, strlen(node->unit.text), NULL);
    if (unit == NULL || !imp_dimension_same(unit->dimension, imp_dimension_of(row->dimension))) {
        imp_number_push(L, row, node->number, "");
        return;
    }
    const imp_quantity quantity = {
        .si = node->number, .dimension = unit->dimension, .is_reading = row->dimension == IMP_TEMPERATURE};
    imp_quantity_push(L, &quantity, unit);
}

static void push_items(lua_State *L, const imp_node *node)
{
    lua_createtable(L, (int)node->count, 0);
    for (size_t i = 0; i < node->count; i++) {
        if (node->kind == IMP_TABLE)
            push_view(L, &node->children[i], true);
        else
            push_number(L, node->row, &node->children[i]);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
}

static void push_node(lua_State *L, const imp_lua *lua, const imp_node *node, bool is_quiet)
{
    char text[96];
    luaL_checkstack(L, 8, "nested too deeply");
    if (node->kind == IMP_RECORD || node->kind == IMP_FILE_OR_RECORD) {
        push_view(L, node, is_quiet);
        return;
    }
    if (!is_quiet)
        imp_record_read(lua, node);
    if (!imp_node_has_value(node)) {
        lua_pushnil(L);
        return;
    }
    switch (node->kind) {
    case IMP_NUMBER:
        push_number(L, node->row, node);
        break;
    case IMP_CHOICE:
        lua_pushstring(L, imp_param_format(node->row, node->number, 0, text, sizeof text));
        break;
    case IMP_FLAG:
        lua_pushboolean(L, node->number != 0.0);
        break;
    case IMP_LIST:
    case IMP_TABLE:
        push_items(L, node);
        break;
    default:
        lua_pushstring(L, node->text);
        break;
    }
}

void imp_node_push(lua_State *L, const imp_lua *lua, const imp_node *node)
{
    push_node(L, lua, node, false);
}

/* ---- views ---- */

static view *test_view(lua_State *L, const imp_lua *lua, int index)
{
    if (lua->view_metatable == NULL || lua_type(L, index) != LUA_TUSERDATA || !lua_getmetatable(L, index))
        return NULL;
    const void *metatable = lua_topointer(L, -1);
    lua_pop(L, 1);
    return metatable == lua->view_metatable ? lua_touserdata(L, index) : NULL;
}

const imp_node *imp_view_test(lua_State *L, const imp_lua *lua, int index)
{
    const view *found = test_view(L, lua, index);
    return found != NULL ? found->node : NULL;
}

void imp_view_push(lua_State *L, const imp_node *root)
{
    imp_lua_open(L)->root = root;
    push_view(L, root, false);
}

static view *check_view(lua_State *L, const imp_lua *lua)
{
    view *found = test_view(L, lua, 1);
    if (found == NULL) {
        char got[200];
        imp_raise_text(L, "expected a record of the job, got %s", imp_value_described(L, lua, 1, got, sizeof got));
    }
    return found;
}

static const char *document_name(const imp_lua *lua)
{
    const char *name = lua->root != NULL && lua->root->row != NULL ? lua->root->row->name : NULL;
    return name != NULL ? name : "job";
}

static int refuse_key(lua_State *L, const imp_lua *lua, const imp_node *record, const char *key)
{
    char path[IMP_PLACE_SIZE], nearest_text[80] = "";
    const char *nearest = imp_param_nearest(record->row->rows, key);
    imp_node_path(lua->root, record, path, sizeof path);
    if (nearest != NULL)
        snprintf(nearest_text, sizeof nearest_text, "; did you mean \"%s\"?", nearest);
    return imp_raise_text(L, "%s has no \"%s%s%.60s\"%s", document_name(lua), path, path[0] != '\0' ? "." : "", key,
                          nearest_text);
}

/* Index of the field with this name, or the number of fields. */
static size_t field_index(const imp_node *record, const char *name)
{
    size_t i = 0;
    while (i < record->count && strcmp(record->children[i].row->name, name) != 0)
        i++;
    return i;
}

static int view_index(lua_State *L)
{
    const imp_lua *lua = imp_lua_here(L);
    const view *self = check_view(L, lua);
    if (lua_type(L, 2) != LUA_TSTRING) {
        char got[200];
        return imp_raise_text(L, "fields of a job record are named; got %s",
                              imp_value_described(L, lua, 2, got, sizeof got));
    }
    const char *key = lua_tostring(L, 2);
    const size_t field = field_index(self->node, key);
    if (field == self->node->count)
        return refuse_key(L, lua, self->node, key);
    push_node(L, lua, &self->node->children[field], self->is_quiet);
    return 1;
}

static int view_newindex(lua_State *L)
{
    char got[200];
    return imp_raise_text(L, "the job is read-only; %s cannot be set",
                          imp_value_described(L, imp_lua_here(L), 2, got, sizeof got));
}

static bool is_shown(const imp_node *field)
{
    return field->kind == IMP_RECORD || field->kind == IMP_FILE_OR_RECORD ? field->given : imp_node_has_value(field);
}

/* Fields in the order of the field table; absent ones are left out. */
static int view_next(lua_State *L)
{
    const imp_lua *lua = imp_lua_here(L);
    const view *self = check_view(L, lua);
    size_t field = lua_type(L, 2) == LUA_TSTRING ? field_index(self->node, lua_tostring(L, 2)) + 1 : 0;
    while (field < self->node->count && !is_shown(&self->node->children[field]))
        field++;
    if (field >= self->node->count) {
        lua_pushnil(L);
        return 1;
    }
    lua_pushstring(L, self->node->children[field].row->name);
    push_node(L, lua, &self->node->children[field], self->is_quiet);
    return 2;
}

static const luaL_Reg next_function[] = {{"next", view_next}, {NULL, NULL}};

static int view_pairs(lua_State *L)
{
    check_view(L, imp_lua_here(L));
    lua_newtable(L);
    imp_set_functions(L, next_function);
    lua_getfield(L, -1, "next");
    lua_pushvalue(L, 1);
    lua_pushnil(L);
    return 3;
}

static int view_equal(lua_State *L)
{
    const imp_lua *lua = imp_lua_here(L);
    const view *a = test_view(L, lua, 1), *b = test_view(L, lua, 2);
    lua_pushboolean(L, a != NULL && b != NULL && a->node == b->node);
    return 1;
}

static int view_tostring(lua_State *L)
{
    const imp_lua *lua = imp_lua_here(L);
    char path[IMP_PLACE_SIZE];
    imp_node_path(lua->root, check_view(L, lua)->node, path, sizeof path);
    lua_pushfstring(L, path[0] != '\0' ? "%s: %s" : "%s", document_name(lua), path);
    return 1;
}

/* imp.path(job, "material.window.pressure.min"): the value at a path, or nil when it isn't given */
static int job_path(lua_State *L)
{
    const imp_lua *lua = imp_lua_here(L);
    const view *self = check_view(L, lua);
    imp_error error;
    char got[200];
    if (lua_type(L, 2) != LUA_TSTRING)
        return imp_raise_text(L, "path: expected a path such as \"site.altitude\", got %s",
                              imp_value_described(L, lua, 2, got, sizeof got));
    const imp_node *node = imp_node_find(self->node, lua_tostring(L, 2), &error);
    if (node == NULL)
        return imp_raise(L, &error);
    push_node(L, lua, node, self->is_quiet);
    return 1;
}

static const luaL_Reg metamethods[] = {{"__index", view_index}, {"__newindex", view_newindex}, {"__pairs", view_pairs},
                                       {"__eq", view_equal},    {"__tostring", view_tostring}, {NULL, NULL}};

static const luaL_Reg functions[] = {{"path", job_path}, {NULL, NULL}};

void imp_job_open(lua_State *L)
{
    imp_lua *lua = imp_lua_open(L);
    if (lua->view_metatable == NULL) {
        lua_newtable(L);
        imp_set_functions(L, metamethods);
        lua_pushliteral(L, "job record");
        lua_setfield(L, -2, "__name");
        lua_pushliteral(L, "job record");
        lua_setfield(L, -2, "__metatable");
        lua->view_metatable = lua_topointer(L, -1);
        lua_rawsetp(L, LUA_REGISTRYINDEX, &view_metatable_key);
    }
    imp_set_functions(L, functions);
}
