/* Quantities in Lua. Over 500 lines: the arithmetic and every method, which share how operands are read. */
#include "quantity_lua.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "number.h"

static const char metatable_key = 0; /* only its address is used */

enum { SHOWN_DIGITS = 6, TEXT_SIZE = 200, LONGEST_TEXT = 256 };

/* Told from other userdata by its mark, which is quicker than looking at metatables: arithmetic does little else. */
typedef struct quantity_box {
    const void *mark; /* &metatable_key */
    imp_quantity quantity;
    const imp_unit *unit; /* in the unit cache; NULL: coherent SI */
} quantity_box;

/* ---- boxes ---- */

static quantity_box *test_box(lua_State *L, int index)
{
    quantity_box *box = lua_touserdata(L, index);
    const bool is_box = box != NULL && lua_rawlen(L, index) == sizeof *box && box->mark == &metatable_key;
    return is_box ? box : NULL;
}

const imp_quantity *imp_quantity_test(lua_State *L, const imp_lua *lua, int index, const imp_unit **unit)
{
    (void)lua; /* the mark is the same in every state */
    const quantity_box *box = test_box(L, index);
    if (box != NULL && unit != NULL)
        *unit = box->unit;
    return box != NULL ? &box->quantity : NULL;
}

/* Push a box whose quantity and unit are still to be filled in. */
static quantity_box *push_box(lua_State *L)
{
    quantity_box *box = lua_newuserdatauv(L, sizeof *box, 0);
    box->mark = &metatable_key;
    lua_rawgetp(L, LUA_REGISTRYINDEX, &metatable_key);
    lua_setmetatable(L, -2);
    return box;
}

void imp_quantity_push(lua_State *L, const imp_quantity *quantity, const imp_unit *unit)
{
    quantity_box *box = push_box(L);
    box->quantity = *quantity;
    box->unit = unit;
}

static quantity_box *check_box(lua_State *L, const char *method)
{
    quantity_box *box = test_box(L, 1);
    if (box == NULL) {
        char got[TEXT_SIZE];
        imp_raise_text(L, "%s: expected a quantity before the colon, got %s", method,
                       imp_value_described(L, imp_lua_here(L), 1, got, sizeof got));
    }
    return box;
}

/* ---- texts ---- */

char *imp_quantity_text(lua_State *L, const imp_quantity *quantity, const imp_unit *unit, int digits, char *text,
                        size_t size)
{
    const imp_unit *shown = imp_quantity_unit(L, quantity, unit);
    if (shown != NULL && imp_quantity_format(quantity, shown, digits, text, size, NULL) == IMP_OK)
        return text;
    char number[IMP_NUMBER_TEXT_SIZE], si[128];
    snprintf(text, size, "%s %s", imp_number_write(quantity->si, digits, number, sizeof number),
             imp_dimension_unit_text(quantity->dimension, si, sizeof si));
    return text;
}

/* A text in quotes, cut at a whole character when long, control characters shown as '?'. */
static char *quoted(const char *from, size_t length, char *text, size_t size)
{
    const size_t room = size < 80 ? size : 80;
    size_t kept = length < room - 6 ? length : room - 6;
    while (kept > 0 && kept < length && ((unsigned char)from[kept] & 0xC0) == 0x80)
        kept--;
    text[0] = '"';
    for (size_t i = 0; i < kept; i++)
        text[i + 1] = (unsigned char)from[i] < 0x20 ? '?' : from[i];
    memcpy(text + kept + 1, kept < length ? "...\"" : "\"", kept < length ? 5 : 2);
    return text;
}

char *imp_value_described(lua_State *L, const imp_lua *lua, int index, char *text, size_t size)
{
    const imp_unit *unit = NULL;
    const imp_quantity *quantity = imp_quantity_test(L, lua, index, &unit);
    char number[TEXT_SIZE];
    size_t length;
    const int type = lua_type(L, index);
    if (quantity != NULL)
        snprintf(text, size, "\"%s\"", imp_quantity_text(L, quantity, unit, SHOWN_DIGITS, number, sizeof number));
    else if (type == LUA_TNUMBER)
        imp_number_write((double)lua_tonumber(L, index), 0, text, size);
    else if (type == LUA_TBOOLEAN)
        snprintf(text, size, "%s", lua_toboolean(L, index) ? "true" : "false");
    else if (type == LUA_TSTRING) {
        const char *from = lua_tolstring(L, index, &length);
        quoted(from, length, text, size);
    } else if (type == LUA_TNIL || type == LUA_TNONE)
        snprintf(text, size, "nothing");
    else if (type == LUA_TUSERDATA && lua->view_metatable != NULL && lua_getmetatable(L, index)) {
        snprintf(text, size, "%s", lua_topointer(L, -1) == lua->view_metatable ? "a record of the job" : "a userdata");
        lua_pop(L, 1);
    } else
        snprintf(text, size, "a %s", lua_typename(L, type));
    return text;
}

/* ---- making ---- */

/* The unit argument at index; raises when it isn't one. */
static const imp_unit *check_unit(lua_State *L, const char *function, int index)
{
    size_t length;
    imp_error error;
    if (lua_type(L, index) != LUA_TSTRING) {
        char got[TEXT_SIZE];
        imp_raise_text(L, "%s: expected a unit such as \"bar\", got %s", function,
                       imp_value_described(L, imp_lua_here(L), index, got, sizeof got));
    }
    const char *text = lua_tolstring(L, index, &length);
    const imp_unit *unit = imp_unit_cached(L, text, length, &error);
    if (unit == NULL)
        imp_raise(L, &error);
    return unit;
}

static int push_parsed(lua_State *L, int index)
{
    size_t length;
    const char *text = lua_tolstring(L, index, &length);
    imp_quantity quantity;
    imp_unit unit;
    imp_error error;
    if (length > LONGEST_TEXT)
        return imp_raise_text(L, "q: a quantity's text has at most %d characters", LONGEST_TEXT);
    if (imp_quantity_parse(text, length, &quantity, &unit, &error) != IMP_OK)
        return imp_raise(L, &error);
    const imp_unit *shown = imp_unit_cached(L, unit.text, strlen(unit.text), &error);
    if (shown == NULL)
        return imp_raise(L, &error);
    imp_quantity_push(L, &quantity, shown);
    return 1;
}

/* q "12 bar", q(12, "bar"), q(12); q(quantity, "psi"): the same quantity, shown in another unit */
static int quantity_q(lua_State *L)
{
    const imp_lua *lua = imp_lua_here(L);
    const quantity_box *box = test_box(L, 1);
    const bool has_unit = !lua_isnoneornil(L, 2);
    const imp_unit *unit = has_unit ? check_unit(L, "q", 2) : NULL;
    imp_error error;
    double value;
    if (box != NULL) {
        if (has_unit && imp_quantity_in(&box->quantity, unit, &value, &error) != IMP_OK)
            return imp_raise(L, &error);
        imp_quantity same = box->quantity;
        imp_quantity_push(L, &same, has_unit ? unit : box->unit);
        return 1;
    }
    if (lua_type(L, 1) == LUA_TNUMBER) {
        const imp_quantity quantity = imp_quantity_from((double)lua_tonumber(L, 1), has_unit ? unit : lua->pure);
        if (!isfinite(quantity.si))
            return imp_raise_text(L, "q: expected a finite number");
        imp_quantity_push(L, &quantity, has_unit ? unit : lua->pure);
        return 1;
    }
    if (lua_type(L, 1) == LUA_TSTRING && !has_unit)
        return push_parsed(L, 1);
    char got[TEXT_SIZE];
    return imp_raise_text(L, "q: expected a text such as \"12 bar\", or a number and a unit, got %s%s",
                          imp_value_described(L, lua, 1, got, sizeof got), has_unit ? " and a unit" : "");
}

static int quantity_is_quantity(lua_State *L)
{
    lua_pushboolean(L, test_box(L, 1) != NULL);
    return 1;
}

/* ---- arithmetic ---- */

/* Operand at index: a quantity, or a number as a pure one, made in *number. verb as in "cannot add ...". */
static const quantity_box *operand(lua_State *L, int index, const char *verb, quantity_box *number)
{
    const quantity_box *box = test_box(L, index);
    if (box != NULL)
        return box;
    if (lua_type(L, index) != LUA_TNUMBER) {
        char got[TEXT_SIZE];
        const bool is_text = lua_type(L, index) == LUA_TSTRING;
        imp_value_described(L, imp_lua_here(L), index, got, sizeof got);
        imp_raise_text(L, "cannot %s: expected a quantity or a number, got %s%s%s", verb, got,
                       is_text ? "; write q " : "", is_text ? got : "");
    }
    number->quantity = (imp_quantity){.si = (double)lua_tonumber(L, index)};
    number->unit = imp_lua_here(L)->pure;
    return number;
}

/* Both operands of a metamethod. */
typedef struct operands {
    const quantity_box *a, *b;
    quantity_box numbers[2]; /* where they were plain numbers */
} operands;

static void read_operands(lua_State *L, const char *verb, operands *read)
{
    read->a = operand(L, 1, verb, &read->numbers[0]);
    read->b = operand(L, 2, verb, &read->numbers[1]);
}

/* A quantity before a column: Lua asks the first operand's operator, and the second's knows. Its result is on the stack then. */
static bool is_left_to_second(lua_State *L, const char *operator)
{
    if (lua_type(L, 2) != LUA_TUSERDATA || test_box(L, 2) != NULL || luaL_getmetafield(L, 2, operator) == LUA_TNIL)
        return false;
    lua_insert(L, 1);
    lua_call(L, 2, 1);
    return true;
}

/* A sum is shown as its first term, but a temperature reading as a reading and a difference as a difference. */
static const imp_unit *sum_unit(lua_State *L, const operands *of, const imp_quantity *sum)
{
    if (of->a->quantity.is_reading == sum->is_reading)
        return of->a->unit;
    if (of->b->quantity.is_reading == sum->is_reading)
        return of->b->unit;
    return of->a->unit != NULL && of->a->unit->factor != 1.0 ? imp_lua_here(L)->fahrenheit_difference : imp_lua_here(L)->kelvin;
}

static int quantity_add(lua_State *L)
{
    operands read;
    imp_error error;
    if (is_left_to_second(L, "__add"))
        return 1;
    read_operands(L, "add", &read);
    quantity_box *sum = push_box(L);
    if (imp_quantity_add(&read.a->quantity, &read.b->quantity, &sum->quantity, &error) != IMP_OK)
        return imp_raise(L, &error);
    sum->unit = sum_unit(L, &read, &sum->quantity);
    return 1;
}

static int quantity_subtract(lua_State *L)
{
    operands read;
    imp_error error;
    if (is_left_to_second(L, "__sub"))
        return 1;
    read_operands(L, "subtract", &read);
    quantity_box *difference = push_box(L);
    if (imp_quantity_subtract(&read.a->quantity, &read.b->quantity, &difference->quantity, &error) != IMP_OK)
        return imp_raise(L, &error);
    difference->unit = sum_unit(L, &read, &difference->quantity);
    return 1;
}

/* The unit of a product or quotient: coherent SI, unless a pure number leaves the other's unit. */
static int quantity_multiply(lua_State *L)
{
    operands read;
    imp_error error;
    if (is_left_to_second(L, "__mul"))
        return 1;
    read_operands(L, "multiply", &read);
    quantity_box *product = push_box(L);
    if (imp_quantity_multiply(&read.a->quantity, &read.b->quantity, &product->quantity, &error) != IMP_OK)
        return imp_raise(L, &error);
    product->unit = imp_dimension_is_pure(product->quantity.dimension)   ? imp_lua_here(L)->pure
                    : imp_dimension_is_pure(read.b->quantity.dimension) ? read.a->unit
                    : imp_dimension_is_pure(read.a->quantity.dimension) ? read.b->unit
                                                                        : NULL;
    return 1;
}

static int quantity_divide(lua_State *L)
{
    operands read;
    imp_error error;
    if (is_left_to_second(L, "__div"))
        return 1;
    read_operands(L, "divide", &read);
    quantity_box *quotient = push_box(L);
    if (imp_quantity_divide(&read.a->quantity, &read.b->quantity, &quotient->quantity, &error) != IMP_OK)
        return imp_raise(L, &error);
    quotient->unit = imp_dimension_is_pure(quotient->quantity.dimension)  ? imp_lua_here(L)->pure
                     : imp_dimension_is_pure(read.b->quantity.dimension) ? read.a->unit
                                                                         : NULL;
    return 1;
}

static int push_power(lua_State *L, const imp_quantity *base, double exponent, const imp_unit *unit)
{
    imp_quantity power;
    imp_error error;
    if (imp_quantity_power(base, exponent, &power, &error) != IMP_OK)
        return imp_raise(L, &error);
    const bool pure = imp_dimension_is_pure(power.dimension);
    imp_quantity_push(L, &power, pure ? imp_lua_here(L)->pure : exponent == 1.0 ? unit : NULL);
    return 1;
}

static int quantity_power(lua_State *L)
{
    operands read;
    read_operands(L, "raise to a power", &read);
    if (!imp_dimension_is_pure(read.b->quantity.dimension))
        return imp_raise_text(L, "cannot raise to a power: the exponent must be a pure number");
    return push_power(L, &read.a->quantity, read.b->quantity.si, read.a->unit);
}

static int quantity_negate(lua_State *L)
{
    const quantity_box *box = check_box(L, "-");
    if (box->quantity.is_reading)
        return imp_raise_text(L, "a temperature reading cannot be negated; write q \"-5 degC\" for five below zero");
    imp_quantity negative = box->quantity;
    negative.si = -negative.si;
    imp_quantity_push(L, &negative, box->unit);
    return 1;
}

static int compare(lua_State *L)
{
    operands read;
    imp_error error;
    int order;
    read_operands(L, "compare", &read);
    if (imp_quantity_compare(&read.a->quantity, &read.b->quantity, &order, &error) != IMP_OK)
        imp_raise(L, &error);
    return order;
}

/* Two userdata of which one is a quantity; Lua never asks for a quantity and a number. */
static int quantity_equal(lua_State *L)
{
    const bool both = test_box(L, 1) != NULL && test_box(L, 2) != NULL;
    lua_pushboolean(L, both && compare(L) == 0);
    return 1;
}

static int quantity_less(lua_State *L)
{
    lua_pushboolean(L, compare(L) < 0);
    return 1;
}

static int quantity_at_most(lua_State *L)
{
    lua_pushboolean(L, compare(L) <= 0);
    return 1;
}

/* ---- methods ---- */

static int push_text(lua_State *L, const quantity_box *box, int digits)
{
    char text[TEXT_SIZE];
    lua_pushstring(L, imp_quantity_text(L, &box->quantity, box->unit, digits, text, sizeof text));
    return 1;
}

/* Significant digits at index: 1 to 17, or 0 for as many as read back the same. */
static int check_digits(lua_State *L, const char *method, int index)
{
    int exact = 0;
    if (lua_isnoneornil(L, index))
        return SHOWN_DIGITS;
    const lua_Integer digits = lua_type(L, index) == LUA_TNUMBER ? lua_tointegerx(L, index, &exact) : 0;
    if (!exact || digits < 0 || digits > 17)
        imp_raise_text(L, "%s: expected 1 to 17 significant digits, or 0 for all of them", method);
    return (int)digits;
}

static int quantity_tostring(lua_State *L)
{
    return push_text(L, check_box(L, "tostring"), SHOWN_DIGITS);
}

static int quantity_format(lua_State *L)
{
    return push_text(L, check_box(L, "format"), check_digits(L, "format", 2));
}

static int quantity_to(lua_State *L)
{
    const quantity_box *box = check_box(L, "to");
    const imp_unit *unit = check_unit(L, "to", 2);
    char text[TEXT_SIZE];
    imp_error error;
    if (imp_quantity_format(&box->quantity, unit, check_digits(L, "to", 3), text, sizeof text, &error) != IMP_OK)
        return imp_raise(L, &error);
    lua_pushstring(L, text);
    return 1;
}

static int quantity_value(lua_State *L)
{
    const quantity_box *box = check_box(L, "value");
    const imp_unit *unit = check_unit(L, "value", 2);
    double value;
    imp_error error;
    if (imp_quantity_in(&box->quantity, unit, &value, &error) != IMP_OK)
        return imp_raise(L, &error);
    lua_pushnumber(L, value);
    return 1;
}

static int quantity_unit(lua_State *L)
{
    const quantity_box *box = check_box(L, "unit");
    const imp_unit *unit = imp_quantity_unit(L, &box->quantity, box->unit);
    char text[128];
    lua_pushstring(L, unit != NULL ? unit->text : imp_dimension_unit_text(box->quantity.dimension, text, sizeof text));
    return 1;
}

static int quantity_abs(lua_State *L)
{
    const quantity_box *box = check_box(L, "abs");
    if (box->quantity.is_reading)
        return imp_raise_text(L, "a temperature reading has no absolute value; subtract another reading first");
    imp_quantity result = box->quantity;
    result.si = fabs(result.si);
    imp_quantity_push(L, &result, box->unit);
    return 1;
}

static int quantity_sqrt(lua_State *L)
{
    const quantity_box *box = check_box(L, "sqrt");
    return push_power(L, &box->quantity, 0.5, NULL);
}

static int push_extreme(lua_State *L, const char *method, int wanted)
{
    check_box(L, method);
    lua_settop(L, 2);
    const int order = compare(L);
    lua_pushvalue(L, order == 0 || order == wanted ? 1 : 2);
    if (test_box(L, -1) == NULL) {
        const imp_quantity number = {.si = (double)lua_tonumber(L, -1)};
        imp_quantity_push(L, &number, imp_lua_here(L)->pure);
    }
    return 1;
}

static int quantity_min(lua_State *L)
{
    return push_extreme(L, "min", -1);
}

static int quantity_max(lua_State *L)
{
    return push_extreme(L, "max", 1);
}

/* A text with a quantity in it: "surface at " .. q */
static int quantity_concat(lua_State *L)
{
    const imp_lua *lua = imp_lua_here(L);
    for (int i = 1; i <= 2; i++) {
        const quantity_box *box = test_box(L, i);
        char got[TEXT_SIZE];
        if (box != NULL)
            push_text(L, box, SHOWN_DIGITS);
        else if (lua_type(L, i) == LUA_TSTRING || lua_type(L, i) == LUA_TNUMBER)
            lua_pushvalue(L, i);
        else
            return imp_raise_text(L, "cannot join a quantity and %s", imp_value_described(L, lua, i, got, sizeof got));
    }
    lua_concat(L, 2);
    return 1;
}

static const luaL_Reg methods[] = {{"to", quantity_to},   {"value", quantity_value},   {"unit", quantity_unit},
                                   {"abs", quantity_abs}, {"sqrt", quantity_sqrt},     {"min", quantity_min},
                                   {"max", quantity_max}, {"format", quantity_format}, {NULL, NULL}};

static const luaL_Reg metamethods[] = {
    {"__add", quantity_add},       {"__sub", quantity_subtract},      {"__mul", quantity_multiply},
    {"__div", quantity_divide},    {"__pow", quantity_power},         {"__unm", quantity_negate},
    {"__eq", quantity_equal},      {"__lt", quantity_less},           {"__le", quantity_at_most},
    {"__concat", quantity_concat}, {"__tostring", quantity_tostring}, {NULL, NULL}};

/* imp.exact(quantity [, unit]), imp.exact(number): the number with the fewest digits that read back the same, as a text */
static int quantity_exact(lua_State *L)
{
    const quantity_box *box = test_box(L, 1);
    const bool has_unit = !lua_isnoneornil(L, 2);
    char text[IMP_NUMBER_TEXT_SIZE], got[TEXT_SIZE];
    imp_error error;
    double value;
    if (box != NULL) {
        const imp_unit *unit =
            has_unit ? check_unit(L, "exact", 2) : imp_quantity_unit(L, &box->quantity, box->unit);
        if (unit != NULL && imp_quantity_in(&box->quantity, unit, &value, &error) != IMP_OK)
            return imp_raise(L, &error);
        lua_pushstring(L, unit != NULL ? imp_quantity_exact(unit, box->quantity.si, text, sizeof text)
                                       : imp_number_write(box->quantity.si, 0, text, sizeof text));
    } else if (lua_type(L, 1) == LUA_TNUMBER && !has_unit) {
        lua_pushstring(L, imp_number_write((double)lua_tonumber(L, 1), 0, text, sizeof text));
    } else {
        return imp_raise_text(L, "exact: expected a quantity, and a unit or none, or a number, got %s",
                              imp_value_described(L, imp_lua_here(L), 1, got, sizeof got));
    }
    return 1;
}

static const luaL_Reg functions[] = {
    {"q", quantity_q}, {"is_quantity", quantity_is_quantity}, {"exact", quantity_exact}, {NULL, NULL}};

void imp_quantity_open(lua_State *L)
{
    imp_lua *lua = imp_lua_open(L);
    if (lua->pure == NULL) {
        imp_units_open(L);
        lua_newtable(L);
        imp_set_functions(L, metamethods);
        lua_newtable(L);
        imp_set_functions(L, methods);
        lua_setfield(L, -2, "__index");
        lua_pushliteral(L, "quantity");
        lua_setfield(L, -2, "__name");
        lua_pushliteral(L, "quantity");
        lua_setfield(L, -2, "__metatable");
        lua_rawsetp(L, LUA_REGISTRYINDEX, &metatable_key);
    }
    imp_set_functions(L, functions);
}
