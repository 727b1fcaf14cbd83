#include "calculator_rows.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "number.h"
#include "quantity_lua.h"
#include "values_lua.h"

enum { LONGEST_TEXT = 4000, LONGEST_NAME = 60, MOST_CHOICES = 64 };

typedef struct reading {
    lua_State *L;
    int kept;          /* stack index of the table that owns what the rows point to */
    char place[200];   /* "calculator foam: inputs: area" */
} reading;

const imp_param *imp_row_nearest(const imp_param *rows, size_t count, const char *name)
{
    const imp_param *nearest = NULL;
    int least = (int)(strlen(name) / 3) + 2;
    for (size_t i = 0; i < count; i++) {
        const int distance = imp_name_distance(rows[i].name, name, least);
        if (distance < least) {
            least = distance;
            nearest = &rows[i];
        }
    }
    return nearest;
}

/* ---- fields ---- */

/* Keep the value on top of the stack (popped) as long as the calculator. */
static void keep(const reading *read)
{
    lua_rawseti(read->L, read->kept, (lua_Integer)lua_rawlen(read->L, read->kept) + 1);
}

static void *new_block(const reading *read, size_t count, size_t size)
{
    void *block = lua_newuserdatauv(read->L, (count > 0 ? count : 1) * size, 0);
    memset(block, 0, (count > 0 ? count : 1) * size);
    keep(read);
    return block;
}

/* Push a field of the table at index and return its type. */
static int push_field(const reading *read, int index, const char *name)
{
    lua_pushstring(read->L, name);
    return lua_rawget(read->L, index);
}

static void refuse_field(const reading *read, const char *name, const char *expected)
{
    char got[200];
    imp_raise_text(read->L, "%s: %s: expected %s, got %s", read->place, name, expected,
                   imp_value_described(read->L, imp_lua_here(read->L), -1, got, sizeof got));
}

/* A text field, kept; `fallback` when it is absent, and an error when there is none. */
static const char *read_text(const reading *read, int index, const char *name, const char *fallback)
{
    size_t length = 0;
    const int type = push_field(read, index, name);
    if (type == LUA_TNIL) {
        if (fallback == NULL)
            refuse_field(read, name, "a text");
        lua_pop(read->L, 1);
        return fallback;
    }
    if (type != LUA_TSTRING)
        refuse_field(read, name, "a text");
    const char *text = lua_tolstring(read->L, -1, &length);
    if (length == 0 || length > LONGEST_TEXT || strlen(text) != length)
        imp_raise_text(read->L, "%s: %s: expected a text of 1 to %d characters", read->place, name, LONGEST_TEXT);
    keep(read);
    return text;
}

/* Every name in the table at index must be one of `known`. */
static void check_names(const reading *read, int index, const char *const known[])
{
    lua_State *const L = read->L;
    for (lua_pushnil(L); lua_next(L, index) != 0; lua_pop(L, 1)) {
        const char *name = lua_type(L, -2) == LUA_TSTRING ? lua_tostring(L, -2) : "?", *nearest = NULL;
        int least = (int)(strlen(name) / 3) + 2;
        bool found = false;
        for (size_t i = 0; known[i] != NULL && !found; i++) {
            found = strcmp(known[i], name) == 0;
            const int distance = imp_name_distance(known[i], name, least);
            if (distance < least) {
                least = distance;
                nearest = known[i];
            }
        }
        if (!found)
            imp_raise_text(L, nearest != NULL ? "%s: unknown field \"%.80s\"; did you mean \"%s\"?" : "%s: unknown field \"%.80s\"%s",
                           read->place, name, nearest != NULL ? nearest : "");
    }
}

/* foam_estimate, foam.estimate (dots where allowed) */
static bool is_name(const char *text, bool dots)
{
    if (text[0] < 'a' || text[0] > 'z' || strlen(text) > LONGEST_NAME)
        return false;
    for (const char *at = text; *at != '\0'; at++)
        if (!((*at >= 'a' && *at <= 'z') || (*at >= '0' && *at <= '9') || *at == '_' || (dots && *at == '.' && at[1] != '\0')))
            return false;
    return true;
}

/* ---- rows ---- */

static void read_kind(const reading *read, int index, imp_param *row)
{
    static const struct {
        const char *name;
        imp_kind kind;
    } kinds[] = {{"number", IMP_NUMBER}, {"choice", IMP_CHOICE}, {"list", IMP_LIST}, {"flag", IMP_FLAG}, {"text", IMP_TEXT}};
    const char *name = read_text(read, index, "kind", "");
    push_field(read, index, "choices");
    const bool has_choices = !lua_isnil(read->L, -1);
    lua_pop(read->L, 1);
    row->kind = has_choices ? IMP_CHOICE : IMP_NUMBER;
    if (name[0] == '\0')
        return;
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
        if (strcmp(kinds[i].name, name) == 0) {
            row->kind = kinds[i].kind;
            if (has_choices != (row->kind == IMP_CHOICE))
                imp_raise_text(read->L, "%s: kind: \"choice\" and choices go together", read->place);
            return;
        }
    imp_raise_text(read->L, "%s: kind: expected one of number, choice, list, flag, text, got \"%.60s\"", read->place, name);
}

static void read_choices(const reading *read, int index, imp_param *row)
{
    lua_State *const L = read->L;
    if (push_field(read, index, "choices") != LUA_TTABLE)
        refuse_field(read, "choices", "a list of texts");
    const int list = lua_gettop(L);
    const size_t count = lua_rawlen(L, list);
    if (count < 1 || count > MOST_CHOICES)
        imp_raise_text(L, "%s: choices: expected 1 to %d texts", read->place, MOST_CHOICES);
    const char **choices = new_block(read, count + 1, sizeof *choices);
    for (size_t i = 0; i < count; i++) {
        lua_rawgeti(L, list, (lua_Integer)i + 1);
        if (lua_isinteger(L, -1))
            lua_tostring(L, -1); /* in place: 3 becomes "3" */
        if (lua_type(L, -1) != LUA_TSTRING)
            refuse_field(read, "choices", "texts");
        choices[i] = lua_tostring(L, -1);
        keep(read);
    }
    lua_pop(L, 1);
    row->choices = choices;
}

/* The unit says what kind of quantity the row is. */
static void read_unit(const reading *read, int index, imp_param *row)
{
    imp_unit unit;
    imp_error error;
    char kind[96];
    row->unit = read_text(read, index, "unit", "1");
    if (imp_unit_parse(row->unit, strlen(row->unit), &unit, &error) != IMP_OK)
        imp_raise_text(read->L, "%s: unit: %s", read->place, error.message);
    if (unit.dimension.halves[IMP_BASE_TEMPERATURE] == 2 && unit.is_reading) {
        row->dimension = IMP_TEMPERATURE;
        return;
    }
    for (int i = 0; i < IMP_NAMED_DIMENSION_COUNT; i++)
        if (i != IMP_TEMPERATURE && imp_dimension_same(imp_dimension_of((imp_named_dimension)i), unit.dimension)) {
            row->dimension = (imp_named_dimension)i;
            return;
        }
    imp_raise_text(read->L, "%s: unit: \"%s\" is %s, which no input or output can be", read->place, row->unit,
                   imp_dimension_text(unit.dimension, false, kind, sizeof kind));
}

/* A field that holds a value of the row: a limit or the default. False when it is absent. */
static bool read_value(const reading *read, int index, const char *name, const imp_param *row, double *number)
{
    lua_State *const L = read->L;
    imp_error error;
    imp_value value;
    if (push_field(read, index, name) == LUA_TNIL) {
        lua_pop(L, 1);
        return false;
    }
    const int at = lua_gettop(L);
    lua_pushnil(L);
    imp_value_reader reader = {.L = L, .lua = imp_lua_here(L), .anchor = at + 1, .error = &error};
    if (imp_value_read(&reader, row, at, &value) != IMP_OK)
        imp_raise_text(L, "%s: %s: %s", read->place, name, error.message);
    lua_settop(L, at - 1);
    *number = value.number;
    return true;
}

static void read_limits(const reading *read, int index, imp_param *row)
{
    static const struct {
        const char *name;
        imp_ends ends;
    } ends[] = {{"", IMP_CLOSED}, {"low", IMP_OPEN_LOW}, {"high", IMP_OPEN_HIGH}, {"both", IMP_OPEN}};
    imp_param bare = *row; /* a limit is a number without limits */
    bare.kind = IMP_NUMBER;
    double low = -HUGE_VAL, high = HUGE_VAL;
    const bool has_low = read_value(read, index, "low", &bare, &low), has_high = read_value(read, index, "high", &bare, &high);
    const char *open = read_text(read, index, "open", "");
    if ((has_low || has_high) && !(low < high))
        imp_raise_text(read->L, "%s: low: is not below high", read->place);
    row->low = has_low || has_high ? low : 0.0;
    row->high = has_low || has_high ? high : 0.0;
    for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++)
        if (strcmp(ends[i].name, open) == 0) {
            row->ends = ends[i].ends;
            return;
        }
    imp_raise_text(read->L, "%s: open: expected low, high or both, got \"%.60s\"", read->place, open);
}

static bool read_flag(const reading *read, int index, const char *name)
{
    const int type = push_field(read, index, name);
    if (type != LUA_TNIL && type != LUA_TBOOLEAN)
        refuse_field(read, name, "true or false");
    const bool flag = lua_toboolean(read->L, -1);
    lua_pop(read->L, 1);
    return flag;
}

static void read_presence(const reading *read, int index, imp_param *row)
{
    if (read_flag(read, index, "optional"))
        row->presence = IMP_OPTIONAL;
    const int type = push_field(read, index, "default");
    lua_pop(read->L, 1);
    if (type == LUA_TNIL)
        return;
    if (row->kind == IMP_LIST || row->kind == IMP_TEXT)
        imp_raise_text(read->L, "%s: default: a list or a text has none; make it optional", read->place);
    if (row->presence == IMP_OPTIONAL)
        imp_raise_text(read->L, "%s: default: an input is optional or has a default, not both", read->place);
    read_value(read, index, "default", row, &row->fallback);
    row->presence = IMP_DEFAULT;
}

static void read_digits(const reading *read, int index, imp_param *row)
{
    int whole = 0;
    if (push_field(read, index, "digits") != LUA_TNIL) {
        const lua_Integer digits = lua_type(read->L, -1) == LUA_TNUMBER ? lua_tointegerx(read->L, -1, &whole) : 0;
        if (!whole || digits < 1 || digits > 15)
            refuse_field(read, "digits", "a whole number from 1 to 15");
        row->digits = (int)digits;
    }
    lua_pop(read->L, 1);
}

static void read_row(const reading *read, int index, bool is_input, imp_param *row)
{
    static const char *const input_fields[] = {"name", "symbol", "kind", "unit", "low", "high", "open", "choices",
                                               "default", "optional", "help", NULL};
    static const char *const output_fields[] = {"name", "symbol", "kind", "unit", "low", "high", "open", "choices",
                                                "optional", "help", "digits", NULL};
    reading inside = *read;
    row->name = read_text(read, index, "name", NULL);
    if (!is_name(row->name, false))
        imp_raise_text(read->L, "%s: name: expected small letters, digits and _, got \"%.80s\"", read->place, row->name);
    snprintf(inside.place, sizeof inside.place, "%.120s: %s", read->place, row->name);
    check_names(&inside, index, is_input ? input_fields : output_fields);
    row->symbol = read_text(&inside, index, "symbol", row->name);
    row->help = read_text(&inside, index, "help", "");
    if (row->help[0] == '\0')
        row->help = NULL;
    read_kind(&inside, index, row);
    if (!is_input && (row->kind == IMP_LIST || row->kind == IMP_TEXT))
        imp_raise_text(read->L, "%s: kind: an output is a number, a choice or a flag", inside.place);
    if (row->kind == IMP_CHOICE)
        read_choices(&inside, index, row);
    if (row->kind == IMP_NUMBER || row->kind == IMP_LIST) {
        read_unit(&inside, index, row);
        read_limits(&inside, index, row);
    }
    read_presence(&inside, index, row);
    read_digits(&inside, index, row);
}

static imp_param *read_rows(const reading *read, int index, const char *name, size_t most, bool is_input, size_t *count)
{
    lua_State *const L = read->L;
    reading inside = *read;
    if (push_field(read, index, name) != LUA_TTABLE)
        refuse_field(read, name, "a list, as in { { name = \"area\", unit = \"m^2\" } }");
    const int list = lua_gettop(L);
    *count = lua_rawlen(L, list);
    if (*count > most || (*count == 0 && !is_input))
        imp_raise_text(L, "%s: %s: expected %d to %d of them, got %d", read->place, name, is_input ? 0 : 1, (int)most, (int)*count);
    imp_param *rows = new_block(read, *count + 1, sizeof *rows); /* ended by a row without a name */
    snprintf(inside.place, sizeof inside.place, "%.120s: %s", read->place, name);
    for (size_t i = 0; i < *count; i++) {
        lua_rawgeti(L, list, (lua_Integer)i + 1);
        if (lua_type(L, -1) != LUA_TTABLE)
            refuse_field(&inside, "each", "a row in braces, as in { name = \"area\", unit = \"m^2\" }");
        read_row(&inside, lua_gettop(L), is_input, &rows[i]);
        for (size_t k = 0; k < i; k++)
            if (strcmp(rows[k].name, rows[i].name) == 0)
                imp_raise_text(L, "%s: %s: named twice", inside.place, rows[i].name);
        lua_settop(L, list);
    }
    lua_settop(L, list - 1);
    return rows;
}

void imp_calculator_read(lua_State *L, int index, int kept, imp_calc *calc)
{
    static const char *const fields[] = {"id", "title", "formula", "source", "validity", "inputs", "outputs", "compute", "cases", NULL};
    reading read = {.L = L, .kept = kept, .place = "calculator"};
    luaL_checkstack(L, 20, "nested too deeply");
    calc->id = read_text(&read, index, "id", NULL);
    if (!is_name(calc->id, true))
        imp_raise_text(L, "calculator: id: expected small letters, digits, _ and dots, got \"%.80s\"", calc->id);
    if (imp_catalogue_find(calc->id) != NULL)
        imp_raise_text(L, "calculator: id: \"%s\" is a calculation of the catalogue", calc->id);
    snprintf(read.place, sizeof read.place, "calculator %s", calc->id);
    check_names(&read, index, fields);
    calc->title = read_text(&read, index, "title", NULL);
    calc->formula = read_text(&read, index, "formula", "by the script");
    calc->source = read_text(&read, index, "source", "not stated");
    calc->validity = read_text(&read, index, "validity", "not stated");
    size_t count = 0;
    calc->inputs = read_rows(&read, index, "inputs", IMP_MOST_INPUTS, true, &count);
    calc->input_count = count;
    calc->outputs = read_rows(&read, index, "outputs", IMP_MOST_OUTPUTS, false, &count);
    calc->output_count = count;
    if (push_field(&read, index, "compute") != LUA_TFUNCTION)
        refuse_field(&read, "compute", "a function of the inputs");
    lua_pop(L, 1);
    const int cases = push_field(&read, index, "cases");
    if (cases != LUA_TNIL && cases != LUA_TTABLE)
        refuse_field(&read, "cases", "a list of cases");
    lua_pop(L, 1);
}
