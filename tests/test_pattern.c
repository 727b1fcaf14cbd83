/* Text patterns: ours against the string library of stock Lua 5.4 (Debian's liblua5.4-0), on random patterns and texts.
 */
#include "support.h"

#include <lauxlib.h>
#include <lualib.h>
#include <stdio.h>

#include "pattern.h"
#include "sandbox.h"

/* One line that says all about a call's outcome; the same code runs in both states. */
static const char compare_text[] =
    "local function say(ok, ...)\n"
    "  if not ok then return 'error' end\n"
    "  local all = {}\n"
    "  for i = 1, select('#', ...) do all[i] = tostring((select(i, ...))) end\n"
    "  return table.concat(all, '|')\n"
    "end\n"
    "local function walk(s, p, init)\n"
    "  local all, count = {}, 0\n"
    "  for a, b in s:gmatch(p, init) do\n"
    "    count = count + 1\n"
    "    all[count] = tostring(a) .. '/' .. tostring(b)\n"
    "  end\n"
    "  return table.concat(all, ';')\n"
    "end\n"
    "return function(s, p, init)\n"
    "  return table.concat({\n"
    "    say(pcall(string.find, s, p, init)), say(pcall(string.match, s, p, init)), say(pcall(walk, s, p, init)),\n"
    "    say(pcall(string.gsub, s, p, '<%0>')), say(pcall(string.gsub, s, p, '%1', 2)),\n"
    "    say(pcall(string.gsub, s, p, {a = 'A', b = false, ab = 1})),\n"
    "    say(pcall(string.gsub, s, p, function(...) return select('#', ...) > 1 and (...) or nil end)),\n"
    "    say(pcall(string.find, s, p, init, true)),\n"
    "  }, ' & ')\n"
    "end\n";

static unsigned long long seed = 20240517; /* any number: the same patterns in every run */

static unsigned next_random(unsigned below)
{
    seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
    return (unsigned)((seed >> 33) % below);
}

static void random_pattern(char *pattern)
{
    static const char *const parts[] = {
        "a",    "b",     ".",     "%a",  "%d",   "%s",   "%A",    "%w",   "%p",   "%x",    "[ab]",   "[^a]",
        "[%d]", "[a-c]", "[%a_]", "[]]", "[^]]", "[a-]", "[%]a]", "%b()", "%b()", "%f[a]", "%f[%W]", "%1",
        "%2",   "(",     ")",     "()",  "*",    "+",    "-",     "?",    "^",    "$",     "%%",     "(a)",
        "(b*)", "(.-)",  "(%a+)", "%",   "[",    "]",    "%.",    "%u",   "%l",   "%z",    "%c",     "%g"};
    pattern[0] = '\0';
    for (unsigned i = 0, count = 1 + next_random(4); i < count; i++)
        strcat(pattern, parts[next_random(sizeof parts / sizeof parts[0])]);
}

static void random_text(char *text)
{
    static const char letters[] = "aaabbbc01 ()_].%A";
    const unsigned length = next_random(9);
    for (unsigned i = 0; i < length; i++)
        text[i] = letters[next_random(sizeof letters - 1)];
    text[length] = '\0';
}

/* Outcome of the function on top of L's stack, which stays there. */
static void outcome(lua_State *L, const char *text, const char *pattern, int init, char *said, size_t size)
{
    lua_pushvalue(L, -1);
    lua_pushstring(L, text);
    lua_pushstring(L, pattern);
    lua_pushinteger(L, init);
    assert_int_equal(lua_pcall(L, 3, 1, 0), LUA_OK);
    snprintf(said, size, "%s", lua_tostring(L, -1));
    lua_pop(L, 1);
}

/* Equal, part by part; a pattern that we refuse as malformed may go unnoticed in stock Lua, which reads on only as far
 * as it matches. */
static bool agree(const char *ours, const char *stock, bool we_refuse)
{
    while (*ours != '\0' || *stock != '\0') {
        const size_t a = strcspn(ours, "&"), b = strcspn(stock, "&");
        const bool same = a == b && memcmp(ours, stock, a) == 0;
        if (!same && !(we_refuse && strncmp(ours + strspn(ours, " "), "error", 5) == 0))
            return false;
        ours += a + (ours[a] != '\0');
        stock += b + (stock[b] != '\0');
    }
    return true;
}

static void find_match_gmatch_and_gsub_agree_with_stock_lua(void **state)
{
    (void)state;
    const imp_script_options options = {
        .budget = {.memory = 64u << 20, .steps = 2000000000u, .seconds = 300.0, .output = 0}};
    imp_script *script = NULL;
    imp_error error;
    lua_State *stock = luaL_newstate();
    assert_non_null(stock);
    luaL_openlibs(stock);
    assert_int_equal(luaL_loadstring(stock, compare_text), LUA_OK);
    assert_int_equal(lua_pcall(stock, 0, 1, 0), LUA_OK);
    assert_int_equal(imp_script_open(&options, &script, &error), IMP_OK);
    assert_int_equal(imp_script_run_text(script, compare_text, sizeof compare_text - 1, "compare", 1, &error), IMP_OK);
    int wrong = 0, refused = 0, matched = 0;
    for (int i = 0; i < 60000; i++) {
        char pattern[64], text[16], ours[1024], theirs[1024];
        imp_pattern_item items[64];
        size_t count;
        random_pattern(pattern);
        random_text(text);
        const int init = (int)next_random(12) - 5;
        outcome(imp_script_state(script), text, pattern, init, ours, sizeof ours);
        outcome(stock, text, pattern, init, theirs, sizeof theirs);
        const char *body = pattern[0] == '^' ? pattern + 1 : pattern;
        const bool we_refuse = imp_pattern_compile(body, strlen(body), items, &count) != NULL ||
                               imp_pattern_compile(pattern, strlen(pattern), items, &count) != NULL;
        refused += we_refuse;
        matched += strncmp(ours, "nil", 3) != 0 && strncmp(ours, "error", 5) != 0;
        if (!agree(ours, theirs, we_refuse) && wrong++ < 20)
            print_error("\"%s\" on \"%s\" from %d:\n  ours  %s\n  stock %s\n", pattern, text, init, ours, theirs);
    }
    print_message("%d matched, %d refused\n", matched, refused);
    assert_true(matched > 8000);
    assert_true(refused < 30000);
    lua_close(stock);
    imp_script_close(script);
    assert_int_equal(wrong, 0);
}

static bool never_enough(void *context, unsigned long long steps)
{
    unsigned long long *left = context;
    *left = steps < *left ? *left - steps : 0;
    return *left > 0;
}

static void blow_up_ends_when_the_budget_does(void **state)
{
    (void)state;
    imp_pattern_item items[64];
    size_t count = 0, end = 0;
    unsigned long long left = 100000;
    assert_null(imp_pattern_compile("a*a*a*a*a*b", 11, items, &count));
    char text[200];
    memset(text, 'a', sizeof text);
    imp_matcher matcher = {.items = items,
                           .item_count = count,
                           .text = text,
                           .length = sizeof text,
                           .spend = never_enough,
                           .context = &left};
    assert_int_equal(imp_pattern_match(&matcher, 0, &end), IMP_MATCH_EXHAUSTED);
    assert_int_equal(left, 0);
}

static void malformed_pattern_is_refused_with_its_fault(void **state)
{
    (void)state;
    static const struct {
        const char *pattern, *fault;
    } cases[] = {{"a%", "ends with '%'"},         {"[a", "missing ']'"},
                 {"[%", "missing ']'"},           {"[]", "missing ']'"},
                 {"[^]", "missing ']'"},          {"%b(", "missing arguments"},
                 {"%f", "missing '['"},           {"%fa", "missing '['"},
                 {"(a", "unfinished capture"},    {"a)", "invalid pattern capture"},
                 {"%1", "invalid capture index"}, {"(%1)", "invalid capture index"},
                 {"%0", "invalid capture index"}};
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        imp_pattern_item items[64];
        size_t count;
        const char *fault = imp_pattern_compile(cases[i].pattern, strlen(cases[i].pattern), items, &count);
        assert_non_null(fault);
        assert_contains(fault, cases[i].fault);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(find_match_gmatch_and_gsub_agree_with_stock_lua),
        cmocka_unit_test(blow_up_ends_when_the_budget_does),
        cmocka_unit_test(malformed_pattern_is_refused_with_its_fault),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
