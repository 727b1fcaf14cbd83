#include "unit.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "unit_table.h"

enum { MOST_POWER = 32, DECIMAL_CHUNK = 22 };

/* ---- the grammar ---- */

typedef struct product {
    double factor;
    int ten; /* powers of ten are kept apart: "mm^2" is then exactly 1e-6 */
    imp_dimension dimension;
    const imp_unit_row *only; /* the one name, if it stands alone and unraised */
} product;

typedef struct reader {
    const char *whole; /* the trimmed text, terminated */
    const char *at, *end;
    imp_error *error;
} reader;

static imp_status fault(const reader *in, const char *what)
{
    if (in->at < in->end)
        return imp_fail(in->error, IMP_SYNTAX, NULL, "unit \"%s\": %s at \"%s\"", in->whole, what, in->at);
    return imp_fail(in->error, IMP_SYNTAX, NULL, "unit \"%s\": %s at its end", in->whole, what);
}

static bool starts(const reader *in, const char *text)
{
    const size_t length = strlen(text);
    return (size_t)(in->end - in->at) >= length && memcmp(in->at, text, length) == 0;
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static void skip_blanks(reader *in)
{
    while (in->at < in->end && is_blank(*in->at))
        in->at++;
}

#define MIDDLE_DOT "\xC2\xB7"
#define DOT_OPERATOR "\xE2\x8B\x85"
#define SUPERSCRIPT_MINUS "\xE2\x81\xBB"

/* Length of a superscript digit at the reader's place and the digit itself, or 0. */
static size_t superscript_digit(const reader *in, int *digit)
{
    static const char *const shapes[] = {"\xE2\x81\xB0", "\xC2\xB9",     "\xC2\xB2",     "\xC2\xB3",
                                         "\xE2\x81\xB4", "\xE2\x81\xB5", "\xE2\x81\xB6", "\xE2\x81\xB7",
                                         "\xE2\x81\xB8", "\xE2\x81\xB9"};
    if (in->at == in->end || ((unsigned char)*in->at != 0xC2 && (unsigned char)*in->at != 0xE2))
        return 0;
    for (int i = 0; i < 10; i++)
        if (starts(in, shapes[i])) {
            *digit = i;
            return strlen(shapes[i]);
        }
    return 0;
}

/* Bytes of the name character at the reader's place, or 0: letters, "_", "%", digits behind the first, and any
 * character beyond ASCII which is no operator and no superscript. */
static size_t name_character(const reader *in, bool first)
{
    if (in->at == in->end)
        return 0;
    const unsigned char c = (unsigned char)*in->at;
    if ((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' || c == '%' || (!first && c >= '0' && c <= '9'))
        return 1;
    if (c < 0xC2)
        return 0;
    int digit;
    if (superscript_digit(in, &digit) > 0 || starts(in, SUPERSCRIPT_MINUS) || starts(in, MIDDLE_DOT) ||
        starts(in, DOT_OPERATOR))
        return 0;
    const size_t size = c < 0xE0 ? 2 : c < 0xF0 ? 3 : 4;
    if ((size_t)(in->end - in->at) < size)
        return 0;
    for (size_t i = 1; i < size; i++)
        if (((unsigned char)in->at[i] & 0xC0u) != 0x80u)
            return 0;
    return size;
}

/* A whole exponent "2", "-3", "+2"; the caller has seen that one should stand here. */
static imp_status read_exponent(reader *in, int *power)
{
    const bool negative = in->at < in->end && *in->at == '-';
    if (in->at < in->end && (*in->at == '-' || *in->at == '+'))
        in->at++;
    if (in->at == in->end || !is_digit(*in->at))
        return fault(in, "expected a whole exponent");
    int value = 0;
    for (; in->at < in->end && is_digit(*in->at); in->at++)
        if (value <= MOST_POWER)
            value = value * 10 + (*in->at - '0');
    if (value > MOST_POWER)
        return imp_fail(in->error, IMP_RANGE, NULL, "unit \"%s\": an exponent is beyond -32 to 32", in->whole);
    *power = negative ? -value : value;
    return IMP_OK;
}

/* "^2", "²" or nothing behind a factor. */
static imp_status read_raised(reader *in, int *power)
{
    int digit = 0;
    *power = 1;
    if (in->at < in->end && *in->at == '^') {
        in->at++;
        return read_exponent(in, power);
    }
    const bool negative = starts(in, SUPERSCRIPT_MINUS);
    if (negative)
        in->at += strlen(SUPERSCRIPT_MINUS);
    size_t size = superscript_digit(in, &digit);
    if (size == 0)
        return negative ? fault(in, "expected a superscript digit") : IMP_OK;
    int value = 0;
    for (; size > 0; size = superscript_digit(in, &digit)) {
        in->at += size;
        value = value * 10 + digit;
        if (value > MOST_POWER)
            return imp_fail(in->error, IMP_RANGE, NULL, "unit \"%s\": an exponent is beyond -32 to 32", in->whole);
    }
    *power = negative ? -value : value;
    return IMP_OK;
}

static double whole_power(double base, int power)
{
    double result = 1.0;
    for (int i = power < 0 ? -power : power; i > 0; i--)
        result *= base;
    return result;
}

static imp_status raise_product(const reader *in, product *of, int power)
{
    if (power == 1)
        return IMP_OK;
    imp_dimension dimension;
    const imp_status status = imp_dimension_power(of->dimension, power, 1, &dimension, in->error);
    if (status != IMP_OK)
        return status;
    const double raised = whole_power(of->factor, power);
    of->factor = power < 0 ? 1.0 / raised : raised;
    of->ten *= power;
    of->dimension = dimension;
    of->only = NULL;
    return IMP_OK;
}

/* Multiply into `into`, or divide when `divides`. */
static imp_status join(const reader *in, product *into, const product *by, bool divides)
{
    imp_dimension dimension;
    const imp_status status = divides ? imp_dimension_divide(into->dimension, by->dimension, &dimension, in->error)
                                      : imp_dimension_multiply(into->dimension, by->dimension, &dimension, in->error);
    if (status != IMP_OK)
        return status;
    into->factor = divides ? into->factor / by->factor : into->factor * by->factor;
    into->ten += divides ? -by->ten : by->ten;
    into->dimension = dimension;
    into->only = NULL;
    return IMP_OK;
}

/* A name with its prefix and its trailing digits: "mm2", "kPa", "s-1", "inH2O". */
static imp_status read_name(reader *in, product *factor)
{
    const char *start = in->at;
    for (size_t size = name_character(in, true); size > 0; size = name_character(in, false))
        in->at += size;
    size_t length = (size_t)(in->at - start);
    int power = 1;
    imp_unit_name found = imp_unit_name_find(start, length);
    if (found.row != NULL) {
        if (in->end - in->at >= 2 && *in->at == '-' && is_digit(in->at[1])) {
            const imp_status status = read_exponent(in, &power);
            if (status != IMP_OK)
                return status;
        }
    } else {
        const char *const behind = in->at;
        while (length > 1 && is_digit(start[length - 1]))
            length--;
        found = imp_unit_name_find(start, length);
        if (found.row == NULL) {
            char typed[IMP_UNIT_NAME_SIZE];
            snprintf(typed, sizeof typed, "%.*s", (int)length, start);
            return imp_unit_name_unknown(typed, in->error);
        }
        in->at = start + length;
        const imp_status status = in->at < behind ? read_exponent(in, &power) : IMP_OK;
        if (status != IMP_OK)
            return status;
    }
    *factor = (product){found.row->factor, found.ten, found.row->dimension, found.row};
    return raise_product(in, factor, power);
}

static imp_status read_product(reader *in, product *result, bool inside);

/* A name, "1" or a group, raised. */
static imp_status read_factor(reader *in, product *factor)
{
    imp_status status;
    if (in->at < in->end && *in->at == '(') {
        in->at++;
        status = read_product(in, factor, true);
        if (status != IMP_OK)
            return status;
        if (in->at == in->end)
            return fault(in, "expected \")\"");
        in->at++;
    } else if (in->at < in->end && is_digit(*in->at)) {
        if (*in->at != '1' || (in->end - in->at > 1 && (is_digit(in->at[1]) || in->at[1] == '.')))
            return fault(in, "a unit holds no number but 1,");
        in->at++;
        *factor = (product){1.0, 0, {{0}, ""}, NULL};
    } else if (name_character(in, true) > 0) {
        status = read_name(in, factor);
        if (status != IMP_OK)
            return status;
    } else {
        if (starts(in, "\"") || starts(in, "'"))
            return imp_fail(in->error, IMP_SYNTAX, NULL, "unit \"%s\": write inches as in and feet as ft", in->whole);
        return fault(in, "expected a unit name");
    }
    int power;
    status = read_raised(in, &power);
    return status == IMP_OK ? raise_product(in, factor, power) : status;
}

/* Step over the sign between two factors; "/" sets *divides. A blank alone multiplies. */
static void skip_operator(reader *in, bool *divides)
{
    skip_blanks(in);
    *divides = in->at < in->end && *in->at == '/';
    if (in->at < in->end && (*in->at == '/' || *in->at == '*' || *in->at == '.'))
        in->at++;
    else if (starts(in, MIDDLE_DOT))
        in->at += strlen(MIDDLE_DOT);
    else if (starts(in, DOT_OPERATOR))
        in->at += strlen(DOT_OPERATOR);
    skip_blanks(in);
}

static imp_status read_product(reader *in, product *result, bool inside)
{
    skip_blanks(in);
    imp_status status = read_factor(in, result);
    while (status == IMP_OK) {
        product factor = {1.0, 0, {{0}, ""}, NULL};
        bool divides;
        skip_blanks(in);
        if (in->at == in->end || (inside && *in->at == ')'))
            return IMP_OK;
        skip_operator(in, &divides);
        status = read_factor(in, &factor);
        if (status == IMP_OK)
            status = join(in, result, &factor, divides);
    }
    return status;
}

/* factor x 10^ten with one rounding in the usual case. */
static double scaled(double factor, int ten)
{
    for (; ten > DECIMAL_CHUNK; ten -= DECIMAL_CHUNK)
        factor *= 1e22;
    for (; ten < -DECIMAL_CHUNK; ten += DECIMAL_CHUNK)
        factor /= 1e22;
    double power = 1.0;
    for (int i = ten < 0 ? -ten : ten; i > 0; i--)
        power *= 10.0; /* exact to 1e22 */
    return ten < 0 ? factor / power : factor * power;
}

/* Copy the trimmed text; control characters and broken UTF-8 become "?", which no unit holds and every message can. */
static void copy_readable(const char *text, size_t length, char *copy)
{
    for (size_t i = 0; i < length;) {
        const unsigned char c = (unsigned char)text[i];
        size_t size = c < 0x80 ? 1 : c < 0xC2 ? 0 : c < 0xE0 ? 2 : c < 0xF0 ? 3 : c < 0xF5 ? 4 : 0;
        if (c < 0x20 && c != '\t')
            size = 0;
        for (size_t j = 1; j < size; j++)
            if (i + j >= length || ((unsigned char)text[i + j] & 0xC0u) != 0x80u)
                size = 0;
        if (size == 0)
            copy[i++] = '?';
        for (; size > 0; size--, i++)
            copy[i] = text[i];
    }
    copy[length] = '\0';
}

imp_status imp_unit_parse(const char *text, size_t length, imp_unit *unit, imp_error *error)
{
    imp_unit parsed;
    while (length > 0 && is_blank(text[0]))
        text++, length--;
    while (length > 0 && is_blank(text[length - 1]))
        length--;
    if (length >= IMP_UNIT_TEXT_SIZE)
        return imp_fail(error, IMP_LIMIT, NULL, "a unit text is at most %d bytes long, this one is %zu",
                        IMP_UNIT_TEXT_SIZE - 1, length);
    copy_readable(text, length, parsed.text);
    product whole = {1.0, 0, {{0}, ""}, NULL};
    if (length > 0) {
        reader in = {parsed.text, parsed.text, parsed.text + length, error};
        const imp_status status = read_product(&in, &whole, false);
        if (status != IMP_OK)
            return status;
    }
    parsed.factor = whole.ten != 0 ? scaled(whole.factor, whole.ten) : whole.factor;
    if (!isnormal(parsed.factor))
        return imp_fail(error, IMP_RANGE, NULL, "unit \"%s\" is too large or too small for a number", parsed.text);
    parsed.dimension = whole.dimension;
    parsed.is_reading = whole.only != NULL && whole.only->is_reading;
    parsed.offset = parsed.is_reading ? whole.only->offset : 0.0;
    parsed.is_absolute = whole.only != NULL && whole.only->is_absolute;
    *unit = parsed;
    return IMP_OK;
}

/* n where the factor is 1/n, else 0. With n the value is rounded once: 2.54 cm is then exactly 1 in. */
static double whole_divisor(double factor)
{
    const double inverse = floor(1.0 / factor + 0.5);
    return inverse > 1.0 && inverse < 1e15 && 1.0 / inverse == factor ? inverse : 0.0;
}

double imp_unit_to_si(const imp_unit *unit, double value)
{
    const double divisor = whole_divisor(unit->factor);
    return (divisor > 0.0 ? value / divisor : value * unit->factor) + unit->offset;
}

double imp_unit_from_si(const imp_unit *unit, double si)
{
    const double divisor = whole_divisor(unit->factor);
    return divisor > 0.0 ? (si - unit->offset) * divisor : (si - unit->offset) / unit->factor;
}

imp_status imp_unit_converter(const imp_unit *from, const imp_unit *to, imp_converter *converter, imp_error *error)
{
    const bool readings_fit = from->is_reading ? to->is_reading || to->is_absolute : !to->is_reading;
    if (!imp_dimension_same(from->dimension, to->dimension) || !readings_fit) {
        char expected[128], got[128];
        return imp_fail(error, IMP_DIMENSION_MISMATCH, NULL, "%s is %s, not %s", from->text,
                        imp_dimension_text(from->dimension, from->is_reading, got, sizeof got),
                        imp_dimension_text(to->dimension, to->is_reading, expected, sizeof expected));
    }
    converter->factor = from->factor / to->factor;
    converter->offset = (from->offset - to->offset) / to->factor;
    return IMP_OK;
}
