/* Values between Lua and calculations, both ways. A little over 500 lines: reading and writing mirror each other. */
#include "values_lua.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "argument.h"
#include "job_lua.h"
#include "number.h"
#include "quantity_lua.h"
#include "record_value.h"

enum { MOST_ITEMS = 4096, DESCRIBED_SIZE = 200 };

/* ---- Lua to rows ---- */

static imp_status refuse(const imp_value_reader *reader, const imp_param *row, int index)
{
    char expected[200], got[DESCRIBED_SIZE];
    imp_param_expected(row, expected, sizeof expected);
    imp_value_described(reader->L, reader->lua, index, got, sizeof got);
    return imp_fail(reader->error, IMP_TYPE, row->name, "expected %s, got %s", expected, got);
}

static imp_status keep_currency(imp_value_reader *reader, const imp_param *row, const imp_quantity *quantity)
{
    const char *currency = quantity->dimension.currency;
    if (currency[0] == '\0' || quantity->dimension.halves[IMP_BASE_MONEY] == 0)
        return IMP_OK;
    if (reader->currency[0] != '\0' && strcmp(reader->currency, currency) != 0)
        return imp_fail(reader->error, IMP_DIMENSION_MISMATCH, row->name, "is in %s where another amount is in %s",
                        currency, reader->currency);
    memcpy(reader->currency, currency, sizeof reader->currency);
    return IMP_OK;
}

static imp_status accept(imp_value_reader *reader, const imp_param *row, const imp_quantity *quantity, int index,
                         imp_value *value)
{
    if (imp_param_accept(row, quantity, "", &value->number, NULL) == IMP_OK)
        return keep_currency(reader, row, quantity);
    char written[DESCRIBED_SIZE];
    return imp_param_accept(row, quantity, imp_value_described(reader->L, reader->lua, index, written, sizeof written),
                            &value->number, reader->error);
}

/* A text for a number: "20 degC". */
static imp_status read_text_number(imp_value_reader *reader, const imp_param *row, int index, imp_value *value)
{
    size_t length;
    const char *text = lua_tolstring(reader->L, index, &length);
    imp_quantity quantity;
    if (length < 256 && imp_quantity_parse(text, length, &quantity, NULL, NULL) == IMP_OK)
        return accept(reader, row, &quantity, index, value);
    if (length >= 256 || strlen(text) != length)
        return refuse(reader, row, index);
    return imp_argument_read(row, text, NULL, value, reader->error); /* says what is wrong with the text */
}

static imp_status read_number(imp_value_reader *reader, const imp_param *row, int index, imp_value *value)
{
    const imp_quantity *quantity = imp_quantity_test(reader->L, reader->lua, index, NULL);
    if (quantity != NULL)
        return accept(reader, row, quantity, index, value);
    if (lua_type(reader->L, index) == LUA_TNUMBER) {
        const imp_quantity number = {.si = (double)lua_tonumber(reader->L, index)};
        return accept(reader, row, &number, index, value);
    }
    if (lua_type(reader->L, index) == LUA_TSTRING)
        return read_text_number(reader, row, index, value);
    return refuse(reader, row, index);
}

/* A choice is its text, or, where its texts are numbers, a whole number. */
static imp_status read_choice(imp_value_reader *reader, const imp_param *row, int index, imp_value *value)
{
    char number[IMP_NUMBER_TEXT_SIZE];
    const char *text = NULL;
    const imp_quantity *quantity = imp_quantity_test(reader->L, reader->lua, index, NULL);
    if (lua_type(reader->L, index) == LUA_TSTRING)
        text = lua_tostring(reader->L, index);
    else if (lua_type(reader->L, index) == LUA_TNUMBER)
        text = imp_number_write((double)lua_tonumber(reader->L, index), 0, number, sizeof number);
    else if (quantity != NULL && imp_dimension_is_pure(quantity->dimension))
        text = imp_number_write(quantity->si, 0, number, sizeof number);
    const int choice = text != NULL ? imp_param_choice(row, text) : -1;
    if (choice < 0)
        return refuse(reader, row, index);
    value->number = choice;
    return IMP_OK;
}

/* `count` zeroed items that live as long as the anchor table. */
static imp_value *new_items(imp_value_reader *reader, const imp_param *row, size_t count)
{
    lua_State *const L = reader->L;
    if (count > MOST_ITEMS) {
        imp_fail(reader->error, IMP_LIMIT, row->name, "more than %d items", MOST_ITEMS);
        return NULL;
    }
    if (lua_isnil(L, reader->anchor)) {
        lua_newtable(L);
        lua_replace(L, reader->anchor);
    }
    const size_t size = (count > 0 ? count : 1) * sizeof(imp_value);
    imp_value *items = lua_newuserdatauv(L, size, 0);
    memset(items, 0, size);
    lua_rawseti(L, reader->anchor, (lua_Integer)lua_rawlen(L, reader->anchor) + 1);
    return items;
}

static size_t row_count(const imp_param *rows)
{
    size_t count = 0;
    while (rows[count].name != NULL)
        count++;
    return count;
}

static imp_status fill_record(imp_value_reader *reader, const imp_param *rows, imp_value *fields)
{
    for (size_t i = 0; rows[i].name != NULL; i++) {
        if (fields[i].given)
            continue;
        if (rows[i].presence == IMP_REQUIRED && rows[i].kind != IMP_TEXT) /* no calculation needs a name */
            return imp_fail(reader->error, IMP_MISSING, rows[i].name, "missing");
        fields[i].number = rows[i].presence == IMP_DEFAULT ? rows[i].fallback : (double)NAN;
        fields[i].given = rows[i].presence == IMP_DEFAULT;
    }
    return IMP_OK;
}

static const char arena_metatable_key = 0; /* only its address is used */

static int free_arena(lua_State *L)
{
    imp_arena_free(lua_touserdata(L, 1));
    return 0;
}

imp_arena *imp_arena_push(lua_State *L)
{
    imp_arena *arena = lua_newuserdatauv(L, sizeof *arena, 0);
    imp_arena_init(arena, NULL);
    if (lua_rawgetp(L, LUA_REGISTRYINDEX, &arena_metatable_key) == LUA_TNIL) {
        lua_pop(L, 1);
        lua_createtable(L, 0, 1);
        lua_pushcfunction(L, free_arena);
        lua_setfield(L, -2, "__gc");
        lua_pushvalue(L, -1);
        lua_rawsetp(L, LUA_REGISTRYINDEX, &arena_metatable_key);
    }
    lua_setmetatable(L, -2);
    return arena;
}

/* A record of the job, taken whole: the fields that both know. */
static imp_status read_view(imp_value_reader *reader, const imp_param *rows, const imp_node *node, imp_value *fields)
{
    if (reader->arena == NULL) {
        reader->arena = imp_arena_push(reader->L);
        lua_rawseti(reader->L, reader->anchor, (lua_Integer)lua_rawlen(reader->L, reader->anchor) + 1);
    }
    imp_record_read(reader->lua, node);
    return imp_record_fields(node, rows, reader->arena, fields, reader->currency, reader->error);
}

static imp_status refuse_name(const imp_value_reader *reader, const imp_param *rows, const char *name)
{
    const char *nearest = imp_param_nearest(rows, name);
    if (nearest != NULL)
        return imp_fail(reader->error, IMP_UNKNOWN, name, "unknown name; did you mean \"%s\"?", nearest);
    return imp_fail(reader->error, IMP_UNKNOWN, name, "unknown name");
}

static imp_status read_record(imp_value_reader *reader, const imp_param *rows, int index, imp_value *fields)
{
    lua_State *const L = reader->L;
    const imp_node *view = imp_view_test(L, reader->lua, index);
    char got[DESCRIBED_SIZE];
    if (view != NULL)
        return read_view(reader, rows, view, fields);
    if (lua_type(L, index) != LUA_TTABLE)
        return imp_fail(reader->error, IMP_TYPE, NULL, "expected a record in braces, got %s",
                        imp_value_described(L, reader->lua, index, got, sizeof got));
    lua_pushnil(L);
    while (lua_next(L, index) != 0) {
        const bool named = lua_type(L, -2) == LUA_TSTRING;
        const char *name = named ? lua_tostring(L, -2) : "?";
        const imp_param *field = imp_param_find(rows, name);
        const imp_status status = !named ? imp_fail(reader->error, IMP_TYPE, NULL, "fields of a record are named")
                                  : field == NULL ? refuse_name(reader, rows, name)
                                                  : imp_value_read(reader, field, lua_gettop(L), &fields[field - rows]);
        if (status != IMP_OK) {
            lua_pop(L, 2);
            return status;
        }
        lua_pop(L, 1);
    }
    return fill_record(reader, rows, fields);
}

static imp_status read_item(imp_value_reader *reader, const imp_param *row, int index, imp_value *item)
{
    if (row->kind == IMP_TABLE)
        return read_record(reader, row->rows, index, item);
    imp_param item_row = *row; /* messages are about a number */
    item_row.kind = IMP_NUMBER;
    const imp_status status = read_number(reader, &item_row, index, item);
    item->given = status == IMP_OK;
    return status;
}

static imp_status read_items(imp_value_reader *reader, const imp_param *row, int index, imp_value *value)
{
    lua_State *const L = reader->L;
    if (lua_type(L, index) != LUA_TTABLE)
        return refuse(reader, row, index);
    const size_t count = lua_rawlen(L, index);
    const size_t fields = row->kind == IMP_TABLE ? row_count(row->rows) : 1;
    size_t entries = 0;
    for (lua_pushnil(L); lua_next(L, index) != 0; lua_pop(L, 1))
        entries++;
    if (entries != count)
        return imp_fail(reader->error, IMP_TYPE, row->name, "expected a list without gaps or names");
    imp_value *items = new_items(reader, row, count * fields);
    if (items == NULL)
        return IMP_LIMIT;
    for (size_t i = 0; i < count; i++) {
        lua_rawgeti(L, index, (lua_Integer)i + 1);
        const imp_status status = read_item(reader, row, lua_gettop(L), items + i * fields);
        lua_pop(L, 1);
        if (status != IMP_OK) {
            char place[96];
            snprintf(place, sizeof place, "%s[%zu]", row->name, i + 1);
            if (row->kind == IMP_LIST && reader->error != NULL)
                reader->error->place[0] = '\0';
            imp_error_prefix(reader->error, place, ".");
            return status;
        }
    }
    value->items = items;
    value->count = count;
    return IMP_OK;
}

imp_status imp_value_read(imp_value_reader *reader, const imp_param *row, int index, imp_value *value)
{
    lua_State *const L = reader->L;
    imp_value read = {.number = 0.0};
    imp_status status = IMP_OK;
    const bool is_nested = row->kind != IMP_NUMBER && row->kind != IMP_CHOICE; /* those two need no room of their own */
    if (is_nested && !lua_checkstack(L, 16))
        return imp_fail(reader->error, IMP_MEMORY, row->name, "out of memory");
    switch (row->kind) {
    case IMP_NUMBER:
        status = read_number(reader, row, index, &read);
        break;
    case IMP_CHOICE:
        status = read_choice(reader, row, index, &read);
        break;
    case IMP_LIST:
    case IMP_TABLE:
        status = read_items(reader, row, index, &read);
        break;
    case IMP_RECORD:
    case IMP_FILE_OR_RECORD: {
        imp_value *fields = new_items(reader, row, row_count(row->rows));
        status = fields != NULL ? read_record(reader, row->rows, index, fields) : IMP_LIMIT;
        if (status != IMP_OK && fields != NULL)
            imp_error_prefix(reader->error, row->name, ".");
        read.items = fields;
        read.count = row_count(row->rows);
        break;
    }
    case IMP_FLAG:
        if (lua_type(L, index) != LUA_TBOOLEAN)
            return refuse(reader, row, index);
        read.number = lua_toboolean(L, index);
        break;
    case IMP_TEXT:
    case IMP_DATE:
        if (lua_type(L, index) != LUA_TSTRING)
            return refuse(reader, row, index);
        read.text = lua_tostring(L, index);
        break;
    }
    if (status == IMP_OK) {
        read.given = true;
        *value = read;
    }
    return status;
}

static imp_status refuse_input(const imp_value_reader *reader, const imp_calc *calc, const char *name)
{
    const char *nearest = imp_calc_nearest_input(calc, name);
    if (nearest != NULL)
        return imp_fail(reader->error, IMP_UNKNOWN, name, "unknown input; did you mean \"%s\"?", nearest);
    return imp_fail(reader->error, IMP_UNKNOWN, name, "unknown input; \"impinge explain %s\" lists them", calc->id);
}

imp_status imp_inputs_read(imp_value_reader *reader, const imp_calc *calc, int index, imp_value *in)
{
    lua_State *const L = reader->L;
    for (size_t i = 0; i < calc->input_count; i++)
        in[i] = (imp_value){.number = (double)NAN};
    imp_status status = IMP_OK;
    lua_pushnil(L);
    while (lua_next(L, index) != 0) {
        size_t input = 0;
        const imp_param *row = NULL;
        if (lua_type(L, -2) != LUA_TSTRING)
            status = imp_fail(reader->error, IMP_TYPE, NULL, "inputs are named, as in { name = value }");
        else if ((row = imp_calc_input(calc, lua_tostring(L, -2), &input)) == NULL)
            status = refuse_input(reader, calc, lua_tostring(L, -2));
        else
            status = imp_value_read(reader, row, lua_gettop(L), &in[input]);
        if (status != IMP_OK) {
            lua_pop(L, 2);
            imp_error_prefix(reader->error, calc->id, ": ");
            return status;
        }
        lua_pop(L, 1);
    }
    return IMP_OK;
}

/* ---- rows to Lua ---- */

/* The row's unit with a currency in the place of "money". */
static const imp_unit *unit_of(lua_State *L, const imp_param *row, const char *currency)
{
    char text[IMP_UNIT_TEXT_SIZE];
    if (currency[0] == '\0')
        return imp_unit_of_row(L, row->unit != NULL ? row->unit : "1");
    imp_param_unit_text(row, currency, text, sizeof text);
    return imp_unit_cached(L, text, strlen(text), NULL);
}

void imp_number_push(lua_State *L, const imp_param *row, double si, const char *currency)
{
    imp_quantity quantity = {
        .si = si, .dimension = imp_dimension_of(row->dimension), .is_reading = row->dimension == IMP_TEMPERATURE};
    if (quantity.dimension.halves[IMP_BASE_MONEY] != 0 && currency[0] != '\0')
        memcpy(quantity.dimension.currency, currency, sizeof quantity.dimension.currency);
    imp_quantity_push(L, &quantity, unit_of(L, row, currency));
}

static void push_record(lua_State *L, const imp_param *rows, const imp_value *fields, const char *currency)
{
    lua_newtable(L);
    for (size_t i = 0; rows[i].name != NULL; i++) {
        imp_value_push(L, &rows[i], &fields[i], currency);
        lua_setfield(L, -2, rows[i].name);
    }
}

static void push_items(lua_State *L, const imp_param *row, const imp_value *value, const char *currency)
{
    const size_t fields = row->kind == IMP_TABLE ? row_count(row->rows) : 1;
    lua_createtable(L, (int)value->count, 0);
    for (size_t i = 0; i < value->count; i++) {
        if (row->kind == IMP_TABLE)
            push_record(L, row->rows, value->items + i * fields, currency);
        else
            imp_number_push(L, row, value->items[i].number, currency);
        lua_rawseti(L, -2, (lua_Integer)i + 1);
    }
}

void imp_value_push(lua_State *L, const imp_param *row, const imp_value *value, const char *currency)
{
    char text[96];
    luaL_checkstack(L, 8, "nested too deeply");
    if (!value->given) {
        lua_pushnil(L);
        return;
    }
    switch (row->kind) {
    case IMP_NUMBER:
        imp_number_push(L, row, value->number, currency);
        break;
    case IMP_CHOICE:
        lua_pushstring(L, imp_param_format(row, value->number, 0, text, sizeof text));
        break;
    case IMP_FLAG:
        lua_pushboolean(L, value->number != 0.0);
        break;
    case IMP_TEXT:
    case IMP_DATE:
        lua_pushstring(L, value->text); /* nil when there is none */
        break;
    case IMP_LIST:
    case IMP_TABLE:
        push_items(L, row, value, currency);
        break;
    case IMP_RECORD:
    case IMP_FILE_OR_RECORD:
        push_record(L, row->rows, value->items, currency);
        break;
    }
}

/* ---- one state to another ---- */

enum { DEEPEST_COPY = 16, MOST_COPIED = 200000 };

typedef struct copy {
    lua_State *from, *to;
    const imp_lua *from_lua;
    imp_copy_function function;
    void *context;
    size_t count;
    imp_error *error;
} copy;

static imp_status copy_value(copy *run, int index, int depth);

static imp_status copy_table(copy *run, int index, int depth)
{
    if (depth >= DEEPEST_COPY)
        return imp_fail(run->error, IMP_LIMIT, NULL, "a table nested more than %d deep, or one that holds itself",
                        DEEPEST_COPY);
    lua_createtable(run->to, (int)(lua_rawlen(run->from, index) & 0xFFFF), 0);
    lua_pushnil(run->from);
    while (lua_next(run->from, index) != 0) {
        const int key_type = lua_type(run->from, -2);
        imp_status status = IMP_OK;
        if (key_type != LUA_TSTRING && key_type != LUA_TNUMBER && key_type != LUA_TBOOLEAN)
            status = imp_fail(run->error, IMP_TYPE, NULL, "keys must be texts or numbers, got a %s",
                              lua_typename(run->from, key_type));
        if (status == IMP_OK)
            status = copy_value(run, lua_gettop(run->from) - 1, depth + 1);
        if (status == IMP_OK)
            status = copy_value(run, lua_gettop(run->from), depth + 1);
        if (status != IMP_OK) {
            lua_pop(run->from, 2);
            return status;
        }
        lua_rawset(run->to, -3);
        lua_pop(run->from, 1);
    }
    return IMP_OK;
}

static void copy_quantity(const copy *run, const imp_quantity *quantity, const imp_unit *unit)
{
    const imp_unit *own = unit != NULL ? imp_unit_cached(run->to, unit->text, strlen(unit->text), NULL) : NULL;
    imp_quantity_push(run->to, quantity, own);
}

static imp_status copy_value(copy *run, int index, int depth)
{
    size_t length;
    const imp_unit *unit = NULL;
    if (++run->count > MOST_COPIED)
        return imp_fail(run->error, IMP_LIMIT, NULL, "more than %d values", MOST_COPIED);
    if (!lua_checkstack(run->from, 8) || !lua_checkstack(run->to, 8))
        return imp_fail(run->error, IMP_MEMORY, NULL, "out of memory");
    const int type = lua_type(run->from, index);
    const imp_quantity *quantity = imp_quantity_test(run->from, run->from_lua, index, &unit);
    if (quantity != NULL) {
        copy_quantity(run, quantity, unit);
    } else if (type == LUA_TNIL || type == LUA_TNONE) {
        lua_pushnil(run->to);
    } else if (type == LUA_TBOOLEAN) {
        lua_pushboolean(run->to, lua_toboolean(run->from, index));
    } else if (type == LUA_TNUMBER && lua_isinteger(run->from, index)) {
        lua_pushinteger(run->to, lua_tointeger(run->from, index));
    } else if (type == LUA_TNUMBER) {
        if (!isfinite((double)lua_tonumber(run->from, index)))
            return imp_fail(run->error, IMP_RANGE, NULL, "a number that is not finite");
        lua_pushnumber(run->to, lua_tonumber(run->from, index));
    } else if (type == LUA_TSTRING) {
        const char *text = lua_tolstring(run->from, index, &length);
        lua_pushlstring(run->to, text, length);
    } else if (type == LUA_TTABLE) {
        return copy_table(run, index, depth);
    } else if (type != LUA_TFUNCTION || run->function == NULL ||
               !run->function(run->context, run->from, index, run->to)) {
        char got[DESCRIBED_SIZE];
        return imp_fail(run->error, IMP_TYPE, NULL, "%s cannot be handed over; only data can",
                        imp_value_described(run->from, run->from_lua, index, got, sizeof got));
    }
    return IMP_OK;
}

imp_status imp_value_copy(lua_State *from, int index, lua_State *to, imp_copy_function function, void *context,
                          imp_error *error)
{
    const int to_top = lua_gettop(to), from_top = lua_gettop(from);
    copy run = {.from = from,
                .to = to,
                .from_lua = imp_lua_known(from),
                .function = function,
                .context = context,
                .error = error};
    const imp_status status = copy_value(&run, lua_absindex(from, index), 0);
    if (status != IMP_OK) {
        lua_settop(to, to_top);
        lua_settop(from, from_top);
        lua_pushnil(to);
    }
    return status;
}
