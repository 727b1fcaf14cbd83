/* string and utf8 for sandboxed scripts: stock functions where they are plain loops, charged by length; our own where a
 * stock one can blow up. */
#include <lauxlib.h>
#include <lua.h>
#include <lualib.h>
#include <string.h>

#include "budget.h"
#include "pattern.h"
#include "sandbox_libraries.h"
#include "state.h"

enum { ITEMS_ON_STACK = 40 };

/* ---- compiling and matching ---- */

static bool spend_steps(void *context, unsigned long long steps)
{
    return imp_try_spend(context, steps);
}

/* A pattern with its text, ready to match. */
typedef struct search {
    imp_matcher matcher;
    bool is_anchored;
} search;

/* Compile into `items`, or, when the pattern is long, into a userdata left on the stack. */
static void prepare(lua_State *L, search *s, const char *text, size_t length, const char *pattern,
                    size_t pattern_length, bool reads_anchor, imp_pattern_item *items)
{
    size_t count = 0;
    s->is_anchored = reads_anchor && pattern_length > 0 && pattern[0] == '^';
    if (s->is_anchored)
        pattern++, pattern_length--;
    if (pattern_length + 1 > ITEMS_ON_STACK && items != NULL) {
        imp_expect_memory(L, pattern_length * sizeof *items);
        items = lua_newuserdatauv(L, (pattern_length + 1) * sizeof *items, 0);
    }
    const char *fault = imp_pattern_compile(pattern, pattern_length, items, &count);
    if (fault != NULL)
        imp_raise_text(L, "%s", fault);
    s->matcher = (imp_matcher){
        .items = items, .item_count = count, .text = text, .length = length, .spend = spend_steps, .context = L};
}

/* Match at one place; raises when the pattern is too deep or the budget is used up. */
static bool match_at(lua_State *L, search *s, size_t at, size_t *end)
{
    switch (imp_pattern_match(&s->matcher, at, end)) {
    case IMP_MATCHED:
        return true;
    case IMP_NOT_MATCHED:
        return false;
    case IMP_MATCH_TOO_DEEP:
        imp_raise_text(L, "pattern too complex");
        return false;
    case IMP_MATCH_EXHAUSTED:
        imp_spend(L, 0); /* raises */
        return false;
    }
    return false;
}

static void push_capture(lua_State *L, const imp_matcher *m, int index, size_t start, size_t end)
{
    if (index >= m->capture_count) {
        if (index > 0)
            imp_raise_text(L, "invalid capture index %%%d", index + 1);
        lua_pushlstring(L, m->text + start, end - start);
    } else if (m->captures[index].length == IMP_CAPTURE_POSITION) {
        lua_pushinteger(L, (lua_Integer)m->captures[index].start + 1);
    } else {
        lua_pushlstring(L, m->text + m->captures[index].start, (size_t)m->captures[index].length);
    }
}

/* All captures, or the whole match where there are none and whole is true. */
static int push_captures(lua_State *L, const imp_matcher *m, bool whole, size_t start, size_t end)
{
    const int count = m->capture_count == 0 && whole ? 1 : m->capture_count;
    luaL_checkstack(L, count + 1, "too many captures");
    for (int i = 0; i < count; i++)
        push_capture(L, m, i, start, end);
    return count;
}

/* Byte index, from 0, of a position argument that counts from 1, or from the end when negative. */
static size_t start_index(lua_Integer position, size_t length)
{
    if (position > 0)
        return (size_t)position - 1;
    if (position == 0 || position < -(lua_Integer)length)
        return 0;
    return length - (size_t)-position;
}

/* ---- find, match ---- */

static bool has_no_magic(const char *pattern, size_t length)
{
    for (size_t i = 0; i < length; i++)
        if (pattern[i] != '\0' && strchr("^$*+?.([%-", pattern[i]) != NULL)
            return false;
    return true;
}

static int find_plain(lua_State *L, const char *text, size_t length, const char *wanted, size_t wanted_length,
                      size_t from)
{
    bool exhausted;
    const size_t at = imp_plain_find(text, length, wanted, wanted_length, from, spend_steps, L, &exhausted);
    if (exhausted)
        imp_spend(L, 0);
    if (at == SIZE_MAX) {
        lua_pushnil(L);
        return 1;
    }
    lua_pushinteger(L, (lua_Integer)at + 1);
    lua_pushinteger(L, (lua_Integer)at + (lua_Integer)wanted_length);
    return 2;
}

static int find_or_match(lua_State *L, bool is_find)
{
    size_t length, pattern_length, end = 0;
    const char *text = luaL_checklstring(L, 1, &length), *pattern = luaL_checklstring(L, 2, &pattern_length);
    const size_t from = start_index(luaL_optinteger(L, 3, 1), length);
    imp_spend(L, 1 + length / 4096);
    if (from > length) {
        lua_pushnil(L);
        return 1;
    }
    if (is_find && (lua_toboolean(L, 4) || has_no_magic(pattern, pattern_length)))
        return find_plain(L, text, length, pattern, pattern_length, from);
    imp_pattern_item items[ITEMS_ON_STACK];
    search s;
    prepare(L, &s, text, length, pattern, pattern_length, true, items);
    for (size_t at = from; at <= length; at++) {
        if (match_at(L, &s, at, &end)) {
            if (!is_find)
                return push_captures(L, &s.matcher, true, at, end);
            lua_pushinteger(L, (lua_Integer)at + 1);
            lua_pushinteger(L, (lua_Integer)end);
            return 2 + push_captures(L, &s.matcher, false, 0, 0);
        }
        if (s.is_anchored)
            break;
    }
    lua_pushnil(L);
    return 1;
}

static int text_find(lua_State *L)
{
    return find_or_match(L, true);
}

static int text_match(lua_State *L)
{
    return find_or_match(L, false);
}

/* ---- gmatch ---- */

typedef struct walk {
    size_t at, last_end; /* last_end: SIZE_MAX before the first match */
    search s;
    imp_pattern_item items[]; /* as many as the pattern's bytes */
} walk;

/* Upvalues: the state's record, the text, the walk. */
static int gmatch_next(lua_State *L)
{
    walk *w = lua_touserdata(L, lua_upvalueindex(3));
    size_t end = 0;
    w->s.matcher.context = L;
    for (; w->at <= w->s.matcher.length; w->at++) {
        const size_t start = w->at;
        if (match_at(L, &w->s, start, &end) && end != w->last_end) {
            w->at = w->last_end = end;
            return push_captures(L, &w->s.matcher, true, start, end);
        }
    }
    return 0;
}

static int text_gmatch(lua_State *L)
{
    size_t length, pattern_length;
    const char *text = luaL_checklstring(L, 1, &length), *pattern = luaL_checklstring(L, 2, &pattern_length);
    const size_t from = start_index(luaL_optinteger(L, 3, 1), length);
    const size_t size = sizeof(walk) + (pattern_length + 1) * sizeof(imp_pattern_item);
    imp_expect_memory(L, size);
    lua_pushvalue(L, lua_upvalueindex(1));
    lua_pushvalue(L, 1);
    walk *w = lua_newuserdatauv(L, size, 0);
    imp_pattern_item *items = w->items;
    w->at = from > length ? length + 1 : from;
    w->last_end = SIZE_MAX;
    size_t count = 0;
    const char *fault = imp_pattern_compile(pattern, pattern_length, items, &count);
    if (fault != NULL)
        return imp_raise_text(L, "%s", fault);
    w->s.is_anchored = false; /* a ^ would end the iteration at its first step: it stands for itself here */
    w->s.matcher = (imp_matcher){
        .items = items, .item_count = count, .text = text, .length = length, .spend = spend_steps, .context = L};
    lua_pushcclosure(L, gmatch_next, 3);
    return 1;
}

/* ---- gsub ---- */

static void add_replacement_text(lua_State *L, luaL_Buffer *result, const imp_matcher *m, size_t start, size_t end)
{
    size_t length;
    const char *text = lua_tolstring(L, 3, &length);
    for (size_t i = 0; i < length; i++) {
        if (text[i] != '%') {
            luaL_addchar(result, text[i]);
            continue;
        }
        const char sign = ++i < length ? text[i] : '\0';
        if (sign == '%') {
            luaL_addchar(result, '%');
        } else if (sign == '0') {
            luaL_addlstring(result, m->text + start, end - start);
        } else if (sign >= '1' && sign <= '9') {
            push_capture(L, m, sign - '1', start, end);
            luaL_tolstring(L, -1, NULL);
            lua_remove(L, -2);
            luaL_addvalue(result);
        } else {
            imp_raise_text(L, "invalid use of '%%' in replacement string");
        }
    }
}

/* Add what takes the place of a match. */
static void add_replacement(lua_State *L, luaL_Buffer *result, const imp_matcher *m, int type, size_t start, size_t end)
{
    if (type == LUA_TFUNCTION) {
        lua_pushvalue(L, 3);
        lua_call(L, push_captures(L, m, true, start, end), 1);
    } else if (type == LUA_TTABLE) {
        push_capture(L, m, 0, start, end);
        lua_gettable(L, 3);
    } else {
        imp_spend(L, 1 + lua_rawlen(L, 3) / 16);
        add_replacement_text(L, result, m, start, end);
        return;
    }
    if (!lua_toboolean(L, -1)) {
        lua_pop(L, 1);
        luaL_addlstring(result, m->text + start, end - start);
        return;
    }
    if (lua_type(L, -1) != LUA_TSTRING && lua_type(L, -1) != LUA_TNUMBER)
        imp_raise_text(L, "invalid replacement value (a %s)", luaL_typename(L, -1));
    luaL_addvalue(result);
}

static int text_gsub(lua_State *L)
{
    size_t length, pattern_length, at = 0, last_end = SIZE_MAX, end = 0;
    const char *text = luaL_checklstring(L, 1, &length), *pattern = luaL_checklstring(L, 2, &pattern_length);
    int type = lua_type(L, 3);
    luaL_argexpected(L, type == LUA_TNUMBER || type == LUA_TSTRING || type == LUA_TFUNCTION || type == LUA_TTABLE, 3,
                     "string/function/table");
    const lua_Integer most = luaL_optinteger(L, 4, (lua_Integer)length + 1);
    lua_settop(L, 4);
    if (type == LUA_TNUMBER) {
        lua_tostring(L, 3);
        type = LUA_TSTRING;
    }
    imp_pattern_item items[ITEMS_ON_STACK];
    search s;
    prepare(L, &s, text, length, pattern, pattern_length, true, items);
    luaL_Buffer result;
    luaL_buffinit(L, &result);
    lua_Integer count = 0;
    while (count < most) {
        if (match_at(L, &s, at, &end) && end != last_end) {
            count++;
            const size_t start = at;
            at = last_end = end;
            add_replacement(L, &result, &s.matcher, type, start, end);
        } else if (at < length) {
            luaL_addchar(&result, text[at]);
            at++;
        } else {
            break;
        }
        if (s.is_anchored)
            break;
    }
    luaL_addlstring(&result, text + at, length - at);
    luaL_pushresult(&result);
    lua_pushinteger(L, count);
    return 2;
}

/* ---- rep ---- */

static int text_rep(lua_State *L)
{
    size_t length, separator_length;
    const char *text = luaL_checklstring(L, 1, &length);
    const lua_Integer count = luaL_checkinteger(L, 2);
    const char *separator = luaL_optlstring(L, 3, "", &separator_length);
    if (count <= 0 || length + separator_length == 0) {
        lua_pushliteral(L, "");
        return 1;
    }
    const size_t times = (size_t)count;
    if (times > SIZE_MAX / 2 / (length + separator_length))
        imp_expect_memory(L, SIZE_MAX); /* raises */
    const size_t total = times * length + (times - 1) * separator_length;
    imp_expect_memory(L, total);
    luaL_Buffer result;
    char *to = luaL_buffinitsize(L, &result, total);
    for (size_t i = 0; i < times; i++) {
        memcpy(to, text, length);
        to += length;
        if (i + 1 < times) {
            memcpy(to, separator, separator_length);
            to += separator_length;
        }
    }
    luaL_pushresultsize(&result, total);
    return 1;
}

void imp_open_string(lua_State *L)
{
    static const char *const charged[] = {"byte", "char", "format", "len", "lower", "reverse", "sub", "upper", NULL};
    static const luaL_Reg own[] = {{"find", text_find}, {"match", text_match}, {"gmatch", text_gmatch},
                                   {"gsub", text_gsub}, {"rep", text_rep},     {NULL, NULL}};
    lua_pushcfunction(L, luaopen_string);
    lua_call(L, 0, 1);
    const int stock = lua_gettop(L);
    lua_newtable(L);
    imp_copy_charged(L, stock, charged);
    imp_set_functions(L, own);
    lua_pushliteral(L, "");
    lua_getmetatable(L, -1); /* arithmetic on texts that are numbers stays */
    lua_pushvalue(L, -3);
    lua_setfield(L, -2, "__index");
    lua_pushboolean(L, 0);
    lua_setfield(L, -2, "__metatable");
    lua_pop(L, 2);
    lua_setglobal(L, "string");
    lua_pop(L, 1);
}

/* ---- utf8 ---- */

/* Length of the character that begins at text[at], its code in *code; 0 when it is not UTF-8. */
static size_t decode(const unsigned char *text, size_t length, size_t at, lua_Integer *code)
{
    static const lua_Integer least[] = {0, 0, 0x80, 0x800, 0x10000};
    const unsigned char lead = text[at];
    const size_t bytes = lead < 0x80 ? 1 : lead >= 0xF0 && lead < 0xF8 ? 4 : lead >= 0xE0 ? 3 : lead >= 0xC0 ? 2 : 0;
    if (bytes == 0 || lead >= 0xF8 || bytes > length - at)
        return 0;
    lua_Integer value = bytes == 1 ? lead : lead & (0xFF >> (bytes + 1));
    for (size_t i = 1; i < bytes; i++) {
        if ((text[at + i] & 0xC0) != 0x80)
            return 0;
        value = value << 6 | (text[at + i] & 0x3F);
    }
    if (value < least[bytes] || value > 0x10FFFF || (value >= 0xD800 && value <= 0xDFFF))
        return 0;
    *code = value;
    return bytes;
}

static int codes_next(lua_State *L)
{
    size_t length;
    lua_Integer code;
    const unsigned char *text = (const unsigned char *)luaL_checklstring(L, 1, &length);
    const lua_Integer last = luaL_checkinteger(L, 2); /* where the last character began, from 1; 0 at first */
    size_t at = 0;
    if (last > 0 && (size_t)last <= length) {
        const size_t bytes = decode(text, length, (size_t)last - 1, &code);
        if (bytes == 0)
            return imp_raise_text(L, "invalid UTF-8 code");
        at = (size_t)last - 1 + bytes;
    } else if (last != 0) {
        return 0;
    }
    if (at >= length)
        return 0;
    if (decode(text, length, at, &code) == 0)
        return imp_raise_text(L, "invalid UTF-8 code");
    lua_pushinteger(L, (lua_Integer)at + 1);
    lua_pushinteger(L, code);
    return 2;
}

/* utf8.codes(text): the stock one's step can scan the whole text */
static int utf8_codes(lua_State *L)
{
    luaL_checkstring(L, 1);
    lua_pushvalue(L, lua_upvalueindex(2));
    lua_pushvalue(L, 1);
    lua_pushinteger(L, 0);
    return 3;
}

void imp_open_utf8(lua_State *L)
{
    static const char *const charged[] = {"char", "codepoint", "len", "offset", NULL};
    static const char *const plain[] = {"charpattern", NULL};
    lua_pushcfunction(L, luaopen_utf8);
    lua_call(L, 0, 1);
    const int stock = lua_gettop(L);
    lua_newtable(L);
    imp_copy_charged(L, stock, charged);
    imp_copy_plain(L, stock, plain);
    lua_pushlightuserdata(L, imp_lua_open(L));
    lua_pushvalue(L, -1);
    lua_pushcclosure(L, codes_next, 1);
    lua_pushcclosure(L, utf8_codes, 2);
    lua_setfield(L, -2, "codes");
    lua_setglobal(L, "utf8");
    lua_pop(L, 1);
}
