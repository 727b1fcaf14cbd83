/* A libFuzzer target for the sandbox: no text, whatever it says, may crash it, outlive its budget, write more than it may,
 * or spoil the state of the next script.
 *
 * Inputs are Lua as text. Beside libFuzzer's own changes of bytes, a mutator of ours works on whole tokens, and puts in
 * statements of the attack corpus, of the libraries and of what `imp` gives: what comes out is nearly a program.
 * The mutator is libFuzzer's: sh tests/fuzz/run.sh 600 sandbox */
#include <ctype.h>
#include <time.h>

#include "catalogue.h"
#include "fuzz.h"
#include "sandbox.h"
#include "../sandbox_attacks.h"

size_t LLVMFuzzerMutate(uint8_t *data, size_t size, size_t most);
#pragma weak LLVMFuzzerMutate /* only libFuzzer has it, and only libFuzzer asks for it */
size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t most, unsigned seed);

enum { LONGEST_SECONDS = 20, MOST_OUTPUT = 4096 }; /* of one input, with sanitizers on a busy machine; the budget is 1 s */
static const imp_budget budget = {.memory = 4u << 20, .steps = 100000, .seconds = 1.0, .output = MOST_OUTPUT};

/* ---- judging ---- */

typedef struct printed {
    char text[64];
    size_t length;
} printed;

static void count(void *context, const char *text, size_t length)
{
    printed *all = context;
    for (size_t i = 0; i < length && all->length + i < sizeof all->text - 1; i++)
        all->text[all->length + i] = text[i];
    all->length += length;
}

static void demand(int holds, const char *sentence, const char *more)
{
    if (holds)
        return;
    fprintf(stderr, "not so: %s: %s\n", sentence, more);
    abort();
}

static double seconds_now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

static imp_script *open_script(printed *output)
{
    const imp_script_options options = {.budget = budget, .write = count, .write_context = output};
    imp_script *script = NULL;
    imp_error error;
    demand(imp_script_open(&options, &script, &error) == IMP_OK, "a state opens", "");
    return script;
}

/* The next script finds everything as it should be. */
static void demand_next_is_served(void)
{
    static const char text[] = "print(('x'):rep(3), imp.q '1 m' + imp.q '1 m', math.pi > 3.1, #imp.catalogue() > 50)";
    printed output = {.length = 0};
    imp_script *script = open_script(&output);
    imp_error error = {0};
    demand(imp_script_run_text(script, text, sizeof text - 1, "next.lua", 0, &error) == IMP_OK, "the next script runs", error.message);
    demand(strcmp(output.text, "xxx\t2 m\ttrue\ttrue\n") == 0, "the next script finds what it should", output.text);
    imp_script_close(script);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static unsigned long runs;
    printed output = {.length = 0};
    imp_error error = {0};
    imp_script *script = open_script(&output);
    const double start = seconds_now();
    const imp_status status = imp_script_run_text(script, (const char *)data, size, "script.lua", 0, &error);
    demand(seconds_now() - start < LONGEST_SECONDS, "a script ends in bounded time", error.message);
    demand(status == IMP_OK || status == IMP_SCRIPT || status == IMP_LIMIT, "a script ends well, by an error or by its budget",
           error.message);
    demand(output.length <= MOST_OUTPUT, "no more is written than may be", "");
    demand(imp_script_used(script).memory <= budget.memory, "no more memory is held than may be", "");
    if (status != IMP_OK)
        require_error(status, &error);
    if (status == IMP_LIMIT) {
        const size_t before = output.length;
        demand(imp_script_run_text(script, "print 'alive'", 13, "again.lua", 0, &error) == IMP_LIMIT && output.length == before,
               "a used-up script runs no more", error.message);
    }
    imp_script_close(script);
    if (runs++ % 8 == 0)
        demand_next_is_served();
    return 0;
}

/* ---- changing ---- */

const char *const fuzz_words[] = {
    "and", "break", "do", "else", "elseif", "end", "false", "for", "function", "goto again", "::again::", "if", "in", "local", "nil", "not",
    "or", "repeat", "return", "then", "true", "until", "while", "+", "-", "*", "/", "//", "%", "^", "#", "&", "~", "|", "<<", ">>", "==", "~=",
    "<=", ">=", "<", ">", "=", "(", ")", "{", "}", "[", "]", ";", ":", ",", ".", "..", "...", "<close>", "<const>", "x", "f", "t", "_G", "_ENV",
    "0", "1", "-1", "2", "1e15", "1e308", "math.maxinteger", "math.mininteger", "math.huge", "(0/0)", "0x7fffffff", "''", "'a'", "'%b()'",
    "('a'):rep(1000)", "'[^%z]*$'", "'%f[%w]'", "'1 bar'", "'degC'", "'50 %'", "{}", "{1,2,3}", "setmetatable({}, {__index = print})",
    "q '1 bar'", "q '20 degC'", "q '1 m'", "q(1, 'psi')", "0.5", "function() end", "function(...) return ... end", "imp", "q", "print", "pcall",
    "xpcall", "error", "select", "next", "pairs", "ipairs", "tostring", "tonumber", "type", "rawequal", "rawget", "rawlen", "getmetatable",
    "setmetatable", "load", "require", "assert", "string.rep", "string.format", "string.gsub", "string.find", "string.byte", "string.char",
    "string.pack", "string.unpack", "string.sub", "string.gmatch", "table.concat", "table.insert", "table.remove", "table.sort", "table.move",
    "table.unpack", "table.pack", "utf8.char", "utf8.codes", "utf8.offset", "utf8.codepoint", "utf8.len", "math.random", "math.floor",
    "imp.column", "imp.stats.cusum", "imp.stats.ewma", "imp.solve_for", "imp.sweep", "imp.uncertainty", "imp.sensitivity", "imp.sheet", "imp.explain",
    "imp.sorted_pairs", "imp.path", "imp.exact", "imp.log.open", "calculator", "__index", "__newindex", "__call", "__close", "__eq", "__lt", "__len",
    "__concat", "__tostring", "__name", "__metatable", "__mode", "__pairs", ":to 'bar'", ":value '1'", ":abs()", ":quantile(0.5)", ":rolling(q '5 s')", NULL,
};

/* Statements that are right, or nearly: %s is the id of a calculation. */
static const char *const statements[] = {
    "local x = q '3 bar' + q(1, 'psi') ",
    "local x = imp.column({1, 2, 0/0, 4}, 'bar') print(x:mean(), x:sd(), x:max(), x:sum()) ",
    "local t = setmetatable({}, {__index = function(t, k) return k end}) ",
    "print(pcall(function() return 1 end)) ",
    "for k, v in imp.sorted_pairs({a = 1, b = 2}) do print(k, v) end ",
    "local t = {} for i = 1, 100 do t[i] = i end table.sort(t, function(a, b) return a > b end) ",
    "print(imp.solve_for{ calculation = 'climate.dew_point', with = { air_temperature = q '20 degC' }, unknown = 'relative_humidity', target = { "
    "dew_point = q '5 degC' } }) ",
    "print(pcall(imp.uncertainty, { calculation = 'mix.dip_ratio', with = { iso_diameter = q '571 mm', iso_drop = q '148 mm', resin_diameter = q '571 "
    "mm', resin_drop = q '147 mm' }, sd = { iso_drop = q '2 mm' }, draws = 50 })) ",
    "local c = calculator { id = 'c', title = 'c', inputs = { { name = 'x', unit = 'm' } }, outputs = { { name = 'y', unit = 'm' } }, compute = "
    "function(given) return given.x * 2 end } print(pcall(c, { x = q '1 m' })) ",
    "print(pcall(imp.sweep, { calculation = c, with = {}, vary = 'x', from = q '0 m', to = q '1 m' })) ",
    "print(pcall(imp.explain, '%s')) ",
    "print(pcall(imp.%s, { })) ",
    "print(pcall(imp.%s, imp.explain('%s').inputs[1])) ",
    "local e = imp.explain '%s' local w = {} for _, i in ipairs(e.inputs) do w[i.name] = i.low or 1 end print(pcall(imp.sheet, { calculation = e.id, "
    "with = w })) ",
    "local e = imp.explain '%s' local w = {} for _, i in ipairs(e.inputs) do w[i.name] = i.high or q '1 bar' end print(pcall(imp.sensitivity, { "
    "calculation = e.id, with = w })) ",
};

enum { TOKENS = sizeof fuzz_words / sizeof fuzz_words[0] - 1, STATEMENTS = sizeof statements / sizeof statements[0], LONGEST_PIECE = 1024 };

static unsigned next_random(unsigned *state)
{
    *state = *state * 1664525u + 1013904223u;
    return *state >> 8;
}

/* Something to put in, into piece. */
static size_t choose_piece(unsigned *state, char *piece)
{
    const unsigned kind = next_random(state) % 8;
    int length;
    if (kind < 5)
        length = snprintf(piece, LONGEST_PIECE, " %s ", fuzz_words[next_random(state) % TOKENS]);
    else if (kind == 5)
        length = snprintf(piece, LONGEST_PIECE, " %s ", attacks[next_random(state) % ATTACK_COUNT].text);
    else {
        const imp_calc *calc = imp_catalogue_at(next_random(state) % imp_catalogue_count());
        const char *from = statements[next_random(state) % STATEMENTS];
        length = 0;
        while (*from != '\0' && length < LONGEST_PIECE - 100) {
            const int is_id = from[0] == '%' && from[1] == 's';
            length += snprintf(piece + length, (size_t)(LONGEST_PIECE - length), is_id ? "%s" : "%.1s", is_id ? calc->id : from);
            from += is_id ? 2 : 1;
        }
    }
    return length < LONGEST_PIECE ? (size_t)length : LONGEST_PIECE - 1;
}

static int is_word(uint8_t c)
{
    return isalnum(c) || c == '_';
}

/* The token at or behind a random place: *start to *end. */
static void choose_token(unsigned *state, const uint8_t *data, size_t size, size_t *start, size_t *end)
{
    size_t at = size > 0 ? next_random(state) % size : 0;
    while (at > 0 && is_word(data[at]) && is_word(data[at - 1]))
        at--;
    *start = at;
    while (at < size && is_word(data[at]))
        at++;
    *end = at > *start ? at : at < size ? at + 1 : at;
}

/* Put piece in the place of start to end; nothing where there is no room. */
static size_t replace(uint8_t *data, size_t size, size_t most, size_t start, size_t end, const char *piece, size_t length)
{
    if (size - (end - start) + length > most)
        return size;
    memmove(data + start + length, data + end, size - end);
    memcpy(data + start, piece, length);
    return size - (end - start) + length;
}

size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t most, unsigned seed)
{
    unsigned state = seed;
    const unsigned changes = 1 + next_random(&state) % 4;
    if (next_random(&state) % 4 == 0)
        return LLVMFuzzerMutate(data, size, most);
    for (unsigned i = 0; i < changes; i++) {
        char piece[LONGEST_PIECE];
        size_t start, end, from, to;
        choose_token(&state, data, size, &start, &end);
        switch (next_random(&state) % 5) {
        case 0: /* out */
            size = replace(data, size, most, start, end, "", 0);
            break;
        case 1: /* another token of the same text */
            choose_token(&state, data, size, &from, &to);
            if (to - from < sizeof piece) {
                memcpy(piece, data + from, to - from);
                size = replace(data, size, most, start, end, piece, to - from);
            }
            break;
        case 2: /* instead */
            size = replace(data, size, most, start, end, piece, choose_piece(&state, piece));
            break;
        default: /* before it */
            size = replace(data, size, most, start, start, piece, choose_piece(&state, piece));
        }
    }
    return size;
}
