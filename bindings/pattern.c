#include "pattern.h"

#include <string.h>

enum kind { CHARACTER, ANY, CLASS, SET, OPEN, CLOSE, POSITION, BACK_REFERENCE, BALANCE, FRONTIER, END_OF_TEXT };
enum repeat { ONCE, MANY, AT_LEAST_ONE, FEW, OPTIONAL };

enum {
    DEEPEST_MATCH = 200, /* as in stock Lua: nested quantifiers and captures */
    STEPS_A_LOOK = 1000  /* between two looks at the budget */
};

/* ---- classes: ASCII, whatever the locale ---- */

static bool is_lower(unsigned char c)
{
    return c >= 'a' && c <= 'z';
}

static bool is_upper(unsigned char c)
{
    return c >= 'A' && c <= 'Z';
}

static bool is_digit(unsigned char c)
{
    return c >= '0' && c <= '9';
}

static bool is_alpha(unsigned char c)
{
    return is_lower(c) || is_upper(c);
}

static bool is_graph(unsigned char c)
{
    return c > ' ' && c < 0x7F;
}

/* Does the class letter (%a, %D, ...) hold c? Any other character stands for itself. */
static bool class_has(unsigned char letter, unsigned char c)
{
    bool has;
    switch (is_upper(letter) ? letter + ('a' - 'A') : letter) {
    case 'a':
        has = is_alpha(c);
        break;
    case 'c':
        has = c < ' ' || c == 0x7F;
        break;
    case 'd':
        has = is_digit(c);
        break;
    case 'g':
        has = is_graph(c);
        break;
    case 'l':
        has = is_lower(c);
        break;
    case 'p':
        has = is_graph(c) && !is_alpha(c) && !is_digit(c);
        break;
    case 's':
        has = c == ' ' || (c >= '\t' && c <= '\r');
        break;
    case 'u':
        has = is_upper(c);
        break;
    case 'w':
        has = is_alpha(c) || is_digit(c);
        break;
    case 'x':
        has = is_digit(c) || (c >= 'a' && c <= 'f') || (c >= 'A' && c <= 'F');
        break;
    case 'z': /* deprecated, and still there in 5.4 */
        has = c == 0;
        break;
    default:
        return letter == c;
    }
    return is_lower(letter) ? has : !has;
}

/* ---- compiling ---- */

static void add_range(uint32_t set[8], unsigned low, unsigned high)
{
    for (unsigned c = low; c <= high; c++)
        set[c / 32] |= (uint32_t)1 << (c % 32);
}

static void add_class(uint32_t set[8], unsigned char letter)
{
    for (unsigned c = 0; c < 256; c++)
        if (class_has(letter, (unsigned char)c))
            add_range(set, c, c);
}

/* Index of the ] that closes the set at text[at] == '[', or length. The first character of a set is never its end. */
static size_t end_of_set(const unsigned char *text, size_t length, size_t at)
{
    at++;
    if (at < length && text[at] == '^')
        at++;
    do {
        if (at >= length)
            return length;
        if (text[at++] == '%')
            at++;
    } while (at >= length || text[at] != ']');
    return at;
}

static void fill_set(const unsigned char *text, size_t at, size_t end, uint32_t set[8])
{
    const bool is_complement = text[at + 1] == '^';
    memset(set, 0, 8 * sizeof set[0]);
    for (size_t i = at + (is_complement ? 2 : 1); i < end; i++) {
        if (text[i] == '%') {
            add_class(set, text[++i]);
        } else if (text[i + 1] == '-' && i + 2 < end) {
            add_range(set, text[i], text[i + 2]);
            i += 2;
        } else {
            add_range(set, text[i], text[i]);
        }
    }
    for (int i = 0; is_complement && i < 8; i++)
        set[i] = ~set[i];
}

typedef struct compiler {
    const unsigned char *text;
    size_t length, at;
    imp_pattern_item *item;
    bool is_open[IMP_MOST_CAPTURES];
    int captures;
} compiler;

static const char *compile_set(compiler *c, enum kind kind)
{
    const size_t end = end_of_set(c->text, c->length, c->at);
    if (end >= c->length)
        return "malformed pattern (missing ']')";
    c->item->kind = (unsigned char)kind;
    fill_set(c->text, c->at, end, c->item->set);
    c->at = end + 1;
    return NULL;
}

static void compile_repeat(compiler *c)
{
    static const char signs[] = "*+-?";
    const char *sign = c->at < c->length && c->text[c->at] != '\0' ? strchr(signs, c->text[c->at]) : NULL;
    c->item->repeat = ONCE;
    if (sign != NULL) {
        c->item->repeat = (unsigned char)(MANY + (sign - signs));
        c->at++;
    }
}

static const char *compile_capture(compiler *c)
{
    if (c->text[c->at] == ')') {
        int last = c->captures - 1;
        while (last >= 0 && !c->is_open[last])
            last--;
        if (last < 0)
            return "invalid pattern capture";
        c->is_open[last] = false;
        c->item->kind = CLOSE;
        c->item->first = (unsigned char)last;
        c->at++;
        return NULL;
    }
    if (c->captures == IMP_MOST_CAPTURES)
        return "too many captures";
    const bool is_position = c->at + 1 < c->length && c->text[c->at + 1] == ')';
    c->item->kind = is_position ? POSITION : OPEN;
    c->is_open[c->captures++] = !is_position;
    c->at += is_position ? 2 : 1;
    return NULL;
}

static const char *compile_escape(compiler *c)
{
    if (c->at + 1 >= c->length)
        return "malformed pattern (ends with '%')";
    const unsigned char letter = c->text[c->at + 1];
    if (letter == 'b') {
        if (c->at + 3 >= c->length)
            return "malformed pattern (missing arguments to '%b')";
        c->item->kind = BALANCE;
        c->item->first = c->text[c->at + 2];
        c->item->second = c->text[c->at + 3];
        c->at += 4;
    } else if (letter == 'f') {
        c->at += 2;
        if (c->at >= c->length || c->text[c->at] != '[')
            return "missing '[' after '%f' in pattern";
        return compile_set(c, FRONTIER);
    } else if (is_digit(letter)) {
        const int capture = letter - '1';
        if (capture < 0 || capture >= c->captures || c->is_open[capture])
            return "invalid capture index in pattern";
        c->item->kind = BACK_REFERENCE;
        c->item->first = (unsigned char)capture;
        c->at += 2;
    } else {
        c->item->kind = CLASS;
        c->item->first = letter;
        c->at += 2;
        compile_repeat(c);
    }
    return NULL;
}

static const char *compile_item(compiler *c)
{
    const unsigned char sign = c->text[c->at];
    const char *fault = NULL;
    if (sign == '(' || sign == ')')
        return compile_capture(c);
    if (sign == '%')
        return compile_escape(c);
    if (sign == '$' && c->at + 1 == c->length) {
        c->item->kind = END_OF_TEXT;
        c->at++;
        return NULL;
    }
    if (sign == '[') {
        fault = compile_set(c, SET);
    } else {
        c->item->kind = sign == '.' ? ANY : CHARACTER;
        c->item->first = sign;
        c->at++;
    }
    if (fault == NULL)
        compile_repeat(c);
    return fault;
}

const char *imp_pattern_compile(const char *pattern, size_t length, imp_pattern_item *items, size_t *count)
{
    compiler c = {.text = (const unsigned char *)pattern, .length = length, .item = items};
    while (c.at < length) {
        const char *fault = compile_item(&c);
        if (fault != NULL)
            return fault;
        c.item++;
    }
    for (int i = 0; i < c.captures; i++)
        if (c.is_open[i])
            return "unfinished capture";
    *count = (size_t)(c.item - items);
    return NULL;
}

/* ---- matching ---- */

static bool set_has(const imp_pattern_item *item, unsigned char c)
{
    return (item->set[c / 32] >> (c % 32) & 1u) != 0;
}

static unsigned char byte_at(const imp_matcher *m, size_t at)
{
    return (unsigned char)m->text[at];
}

/* Does one item for a single byte match at this place? */
static bool fits(const imp_matcher *m, const imp_pattern_item *item, size_t at)
{
    if (at >= m->length)
        return false;
    switch ((enum kind)item->kind) {
    case CHARACTER:
        return byte_at(m, at) == item->first;
    case ANY:
        return true;
    case CLASS:
        return class_has(item->first, byte_at(m, at));
    default:
        return set_has(item, byte_at(m, at));
    }
}

/* Count work; false when the budget is used up. */
static bool work(imp_matcher *m, unsigned long long steps)
{
    m->steps += steps;
    if (m->steps >= STEPS_A_LOOK) {
        if (!m->spend(m->context, m->steps))
            m->failure = IMP_MATCH_EXHAUSTED;
        m->steps = 0;
    }
    return m->failure == IMP_NOT_MATCHED;
}

static bool match_rest(imp_matcher *m, size_t item, size_t at, size_t *end);

/* As many as there are, then fewer and fewer. */
static bool match_many(imp_matcher *m, size_t item, size_t at, size_t least, size_t *end)
{
    size_t count = 0;
    while (fits(m, &m->items[item], at + count))
        count++;
    if (!work(m, 1 + count / 4))
        return false;
    for (; count >= least; count--) {
        if (match_rest(m, item + 1, at + count, end))
            return true;
        if (count == 0 || m->failure != IMP_NOT_MATCHED)
            return false;
    }
    return false;
}

/* As few as will do. */
static bool match_few(imp_matcher *m, size_t item, size_t at, size_t *end)
{
    for (;; at++) {
        if (match_rest(m, item + 1, at, end))
            return true;
        if (m->failure != IMP_NOT_MATCHED || !work(m, 1) || !fits(m, &m->items[item], at))
            return false;
    }
}

static bool match_open(imp_matcher *m, size_t item, size_t at, size_t *end)
{
    const ptrdiff_t length = m->items[item].kind == POSITION ? IMP_CAPTURE_POSITION : IMP_CAPTURE_OPEN;
    m->captures[m->capture_count++] = (imp_capture){at, length};
    if (match_rest(m, item + 1, at, end))
        return true;
    m->capture_count--;
    return false;
}

static bool match_close(imp_matcher *m, size_t item, size_t at, size_t *end)
{
    imp_capture *capture = &m->captures[m->items[item].first];
    capture->length = (ptrdiff_t)(at - capture->start);
    if (match_rest(m, item + 1, at, end))
        return true;
    capture->length = IMP_CAPTURE_OPEN;
    return false;
}

/* %bxy: move *at behind the balanced text. */
static bool pass_balance(imp_matcher *m, const imp_pattern_item *item, size_t *at)
{
    if (*at >= m->length || byte_at(m, *at) != item->first)
        return false;
    size_t open = 1;
    for (size_t i = *at + 1; i < m->length; i++) {
        if (i % 64 == 0 && !work(m, 16))
            return false;
        if (byte_at(m, i) == item->second) {
            if (--open == 0) {
                *at = i + 1;
                return true;
            }
        } else if (byte_at(m, i) == item->first) {
            open++;
        }
    }
    return false;
}

static bool pass_reference(imp_matcher *m, const imp_pattern_item *item, size_t *at)
{
    const imp_capture *capture = &m->captures[item->first];
    if (capture->length < 0)
        return false; /* a position has no text */
    const size_t length = (size_t)capture->length;
    if (m->length - *at < length || !work(m, length / 64) ||
        memcmp(m->text + capture->start, m->text + *at, length) != 0)
        return false;
    *at += length;
    return true;
}

static bool at_frontier(const imp_matcher *m, const imp_pattern_item *item, size_t at)
{
    const unsigned char before = at > 0 ? byte_at(m, at - 1) : 0;
    const unsigned char here = at < m->length ? byte_at(m, at) : 0;
    return !set_has(item, before) && set_has(item, here);
}

/* Match the items from `item` on. Items that can't be taken another way are passed in the loop; the others recurse. */
static bool match_items(imp_matcher *m, size_t item, size_t at, size_t *end)
{
    for (; item < m->item_count; item++) {
        const imp_pattern_item *here = &m->items[item];
        if (!work(m, 1))
            return false;
        switch ((enum kind)here->kind) {
        case OPEN:
        case POSITION:
            return match_open(m, item, at, end);
        case CLOSE:
            return match_close(m, item, at, end);
        case BALANCE:
            if (!pass_balance(m, here, &at))
                return false;
            continue;
        case BACK_REFERENCE:
            if (!pass_reference(m, here, &at))
                return false;
            continue;
        case FRONTIER:
            if (!at_frontier(m, here, at))
                return false;
            continue;
        case END_OF_TEXT:
            if (at != m->length)
                return false;
            continue;
        default:
            break;
        }
        switch ((enum repeat)here->repeat) {
        case ONCE:
            if (!fits(m, here, at++))
                return false;
            break;
        case MANY:
            return match_many(m, item, at, 0, end);
        case AT_LEAST_ONE:
            return match_many(m, item, at, 1, end);
        case FEW:
            return match_few(m, item, at, end);
        case OPTIONAL:
            if (fits(m, here, at)) {
                if (match_rest(m, item + 1, at + 1, end))
                    return true;
                if (m->failure != IMP_NOT_MATCHED)
                    return false;
            }
            break;
        }
    }
    *end = at;
    return true;
}

static bool match_rest(imp_matcher *m, size_t item, size_t at, size_t *end)
{
    if (m->depth >= DEEPEST_MATCH) {
        m->failure = IMP_MATCH_TOO_DEEP;
        return false;
    }
    m->depth++;
    const bool matched = match_items(m, item, at, end);
    m->depth--;
    return matched;
}

imp_match_status imp_pattern_match(imp_matcher *m, size_t at, size_t *end)
{
    m->failure = IMP_NOT_MATCHED;
    m->capture_count = 0;
    m->depth = 0;
    return match_rest(m, 0, at, end) ? IMP_MATCHED : m->failure;
}

size_t imp_plain_find(const char *text, size_t length, const char *wanted, size_t wanted_length, size_t from,
                      bool (*spend)(void *context, unsigned long long steps), void *context, bool *exhausted)
{
    unsigned long long steps = 0;
    *exhausted = false;
    if (from > length || wanted_length > length - from)
        return SIZE_MAX;
    if (wanted_length == 0)
        return from;
    const size_t last = length - wanted_length;
    for (size_t at = from; at <= last; at++) {
        const char *found = memchr(text + at, wanted[0], last - at + 1);
        if (found == NULL)
            break;
        steps += 1 + (size_t)(found - (text + at)) / 64 + wanted_length / 64;
        at = (size_t)(found - text);
        if (steps >= STEPS_A_LOOK) {
            if (!spend(context, steps)) {
                *exhausted = true;
                return SIZE_MAX;
            }
            steps = 0;
        }
        if (memcmp(found, wanted, wanted_length) == 0)
            return at;
    }
    return SIZE_MAX;
}
