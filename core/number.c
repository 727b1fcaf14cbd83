#include "number.h"

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Every power of ten that a double holds exactly. */
static const double exact_powers[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                      1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

/* A double's rounding can hang on 767 significant digits; all later ones only say "a little more". */
enum { EXACT_DIGITS = 15, EXACT_POWER = 22, KEPT_DIGITS = 800, EXPONENT_LIMIT = 100000 };

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* The significant digits of a number as a whole number times a power of ten. */
typedef struct decimal {
    char digits[KEPT_DIGITS + 16]; /* room for the exponent behind them */
    size_t count;
    uint64_t small; /* the same digits as a number, while there are few */
    long power;
    bool more; /* digits other than zero were left out */
} decimal;

static void take_digit(decimal *number, char digit, bool behind_point)
{
    if (number->count == 0 && digit == '0') {
        if (behind_point)
            number->power--;
        return;
    }
    if (number->count == KEPT_DIGITS) {
        number->more = number->more || digit != '0';
        if (!behind_point)
            number->power++;
        return;
    }
    number->digits[number->count++] = digit;
    if (number->count <= EXACT_DIGITS)
        number->small = number->small * 10 + (uint64_t)(digit - '0');
    if (behind_point)
        number->power--;
}

/* Reads "e-12" at the start of text, if it is there; returns the bytes taken. */
static size_t read_exponent(const char *text, size_t length, long *power)
{
    size_t at = 0;
    if (length == 0 || (text[0] != 'e' && text[0] != 'E'))
        return 0;
    at++;
    bool negative = false;
    if (at < length && (text[at] == '+' || text[at] == '-'))
        negative = text[at++] == '-';
    if (at == length || !is_digit(text[at]))
        return 0;
    long exponent = 0;
    for (; at < length && is_digit(text[at]); at++)
        if (exponent < EXPONENT_LIMIT)
            exponent = exponent * 10 + (text[at] - '0');
    *power += negative ? -exponent : exponent;
    return at;
}

static double decimal_value(decimal *number)
{
    if (number->count == 0)
        return 0.0;
    if (number->count <= EXACT_DIGITS && labs(number->power) <= EXACT_POWER) {
        /* Both operands are exact, so the one rounding is the right one. */
        const double whole = (double)number->small;
        return number->power < 0 ? whole / exact_powers[-number->power] : whole * exact_powers[number->power];
    }
    /* Without a decimal sign strtod reads the same in every locale. */
    if (number->more)
        number->digits[KEPT_DIGITS - 1] = '1';
    snprintf(number->digits + number->count, sizeof number->digits - number->count, "e%ld", number->power);
    return strtod(number->digits, NULL);
}

void imp_number_read(const char *text, size_t length, double *value, size_t *used)
{
    decimal number;
    number.count = 0;
    number.small = 0;
    number.power = 0;
    number.more = false;
    size_t at = 0;
    bool negative = false, any = false;
    *used = 0;
    if (at < length && (text[at] == '+' || text[at] == '-'))
        negative = text[at++] == '-';
    for (; at < length && is_digit(text[at]); at++) {
        take_digit(&number, text[at], false);
        any = true;
    }
    if (at < length && text[at] == '.') {
        size_t behind = at + 1;
        for (; behind < length && is_digit(text[behind]); behind++) {
            take_digit(&number, text[behind], true);
            any = true;
        }
        if (any)
            at = behind;
    }
    if (!any)
        return;
    at += read_exponent(text + at, length - at, &number.power);
    const double magnitude = decimal_value(&number);
    *value = negative ? -magnitude : magnitude;
    *used = at;
}

/* The digits and the decimal exponent of |value| rounded to `count` digits, whatever the locale prints between them. */
static int split_digits(double value, int count, char *digits)
{
    char scientific[64];
    snprintf(scientific, sizeof scientific, "%.*e", count - 1, fabs(value));
    int taken = 0;
    const char *at = scientific;
    for (; *at != '\0' && *at != 'e'; at++)
        if (is_digit(*at) && taken < count)
            digits[taken++] = *at;
    while (taken > 1 && digits[taken - 1] == '0')
        taken--;
    digits[taken] = '\0';
    return *at == 'e' ? (int)strtol(at + 1, NULL, 10) : 0;
}

/* Lay out digits d.ddd x 10^exponent as a person writes them. `text` has IMP_NUMBER_TEXT_SIZE bytes. */
static void lay_out(bool negative, const char *digits, int exponent, char *text)
{
    const int count = (int)strlen(digits);
    char *to = text;
    if (negative)
        *to++ = '-';
    if (exponent < -4 || exponent >= 15) {
        *to++ = digits[0];
        if (count > 1) {
            *to++ = '.';
            memcpy(to, digits + 1, (size_t)count - 1);
            to += count - 1;
        }
        snprintf(to, 8, "e%d", exponent);
        return;
    }
    if (exponent < 0) {
        *to++ = '0';
        *to++ = '.';
        for (int i = -1; i > exponent; i--)
            *to++ = '0';
        memcpy(to, digits, (size_t)count + 1);
        return;
    }
    for (int i = 0; i <= exponent; i++)
        *to++ = i < count ? digits[i] : '0';
    if (count > exponent + 1) {
        *to++ = '.';
        for (int i = exponent + 1; i < count; i++)
            *to++ = digits[i];
    }
    *to = '\0';
}

static char *copy_out(const char *from, char *text, size_t size)
{
    if (size > 0)
        snprintf(text, size, "%s", from);
    return text;
}

static const char *not_finite_text(double value)
{
    return isnan(value) ? "nan" : value > 0 ? "inf" : "-inf";
}

char *imp_number_write(double value, int digits, char *text, size_t size)
{
    if (!isfinite(value))
        return copy_out(not_finite_text(value), text, size);
    if (value == 0.0)
        return copy_out("0", text, size);
    char figures[32] = "", written[IMP_NUMBER_TEXT_SIZE];
    if (digits > 0) {
        const int exponent = split_digits(value, digits > 17 ? 17 : digits, figures);
        lay_out(value < 0, figures, exponent, written);
        return copy_out(written, text, size);
    }
    /* 15 digits always name a normal double's shortest text if that has 15 or fewer; a subnormal one can need fewer. */
    for (int count = fabs(value) < DBL_MIN ? 1 : EXACT_DIGITS; count <= 17; count++) {
        const int exponent = split_digits(value, count, figures);
        lay_out(value < 0, figures, exponent, written);
        double back = 0.0;
        size_t used;
        imp_number_read(written, strlen(written), &back, &used);
        if (back == value)
            break;
    }
    return copy_out(written, text, size);
}

char *imp_number_write_fixed(double value, int decimals, char *text, size_t size)
{
    if (!(fabs(value) < 1e15))
        return imp_number_write(value, 0, text, size);
    char written[64];
    const int places = decimals < 0 ? 0 : decimals > 15 ? 15 : decimals;
    snprintf(written, sizeof written, "%.*f", places, fabs(value));
    char plain[64];
    char *to = plain;
    bool is_zero = true;
    for (const char *at = written; *at != '\0'; at++)
        if (is_digit(*at))
            is_zero = is_zero && *at == '0';
    if (value < 0 && !is_zero)
        *to++ = '-';
    const char *at = written;
    while (is_digit(*at))
        *to++ = *at++;
    if (places > 0) {
        *to++ = '.';
        while (*at != '\0' && !is_digit(*at))
            at++;
        while (is_digit(*at))
            *to++ = *at++;
    }
    *to = '\0';
    return copy_out(plain, text, size);
}

static int least(int a, int b)
{
    return a < b ? a : b;
}

enum { LONGEST_NAME = 63 };

/* Optimal string alignment distance, row by row. */
int imp_name_distance(const char *a, const char *b, int limit)
{
    const size_t a_length = strlen(a), b_length = strlen(b);
    const int beyond = limit + 1;
    if (a_length > LONGEST_NAME || b_length > LONGEST_NAME || abs((int)a_length - (int)b_length) > limit)
        return beyond;
    int rows[3][LONGEST_NAME + 1];
    int *before = rows[0], *last = rows[1], *now = rows[2];
    for (size_t j = 0; j <= b_length; j++)
        last[j] = (int)j;
    memcpy(before, last, sizeof rows[0]);
    for (size_t i = 1; i <= a_length; i++) {
        now[0] = (int)i;
        int best = now[0];
        for (size_t j = 1; j <= b_length; j++) {
            const int change = a[i - 1] == b[j - 1] ? 0 : 1;
            int cost = least(least(last[j] + 1, now[j - 1] + 1), last[j - 1] + change);
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                cost = least(cost, before[j - 2] + 1);
            now[j] = cost;
            best = least(best, cost);
        }
        if (best > beyond) /* a swap can still step back by one row */
            return beyond;
        int *const free_row = before;
        before = last;
        last = now;
        now = free_row;
    }
    return least(last[b_length], beyond);
}
