#include "exact_sum.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "kernels.h"

enum { PIECE_BITS = 32, ADDS_BEFORE_CARRY = 1000, BLOCK = IMP_EXACT_BLOCK };
#define PIECE_BASE INT64_C(4294967296)

void imp_exact_sum_init(imp_exact_sum *sum)
{
    memset(sum, 0, sizeof *sum);
    sum->before_carry = ADDS_BEFORE_CARRY;
    sum->low = IMP_EXACT_PIECES;
    sum->high = -1;
}

/* Brings every piece but the highest into [0, 2^32); the highest keeps the sign and stays within +-2^31. */
static void settle(imp_exact_sum *sum)
{
    sum->before_carry = ADDS_BEFORE_CARRY;
    for (int i = sum->low; i <= sum->high; i++) {
        const int64_t piece = sum->piece[i];
        if (i == sum->high && (i == IMP_EXACT_PIECES - 1 || (piece < PIECE_BASE / 2 && piece >= -PIECE_BASE / 2)))
            break;
        const int64_t rest = piece & (PIECE_BASE - 1);
        sum->piece[i] = rest;
        sum->piece[i + 1] += (piece - rest) / PIECE_BASE;
        if (i == sum->high)
            sum->high++;
    }
}

/* Adds m 2^shift units, m < 2^53, negated where sign is -1 (all ones). */
static void add_shifted(imp_exact_sum *sum, uint64_t m, int shift, int64_t sign)
{
    const int at = shift / PIECE_BITS, bit = shift % PIECE_BITS;
    const int64_t lower = (int64_t)((m << bit) & (PIECE_BASE - 1)), upper = (int64_t)(m >> (PIECE_BITS - bit));
    sum->piece[at] += (lower ^ sign) - sign;
    sum->piece[at + 1] += (upper ^ sign) - sign;
    if (at < sum->low)
        sum->low = (int16_t)at;
    if (at + 1 > sum->high)
        sum->high = (int16_t)(at + 1);
    if (--sum->before_carry == 0)
        settle(sum);
}

void imp_exact_sum_add(imp_exact_sum *sum, double value)
{
    uint64_t bits;
    memcpy(&bits, &value, sizeof bits);
    const int exponent = (int)(bits >> 52) & 0x7ff;
    const int64_t sign = (int64_t)-(bits >> 63);
    uint64_t m = bits & ((UINT64_C(1) << 52) - 1);
    if (exponent == 0x7ff) {
        sum->overflowed = true;
        return;
    }
    if (exponent == 0) {
        if (m != 0)
            add_shifted(sum, m, 0, sign);
        return;
    }
    m |= UINT64_C(1) << 52;
    add_shifted(sum, m, exponent - 1, sign);
}

void imp_exact_sum_add_product(imp_exact_sum *sum, double a, double b)
{
    int a_exponent, b_exponent;
    const double a_part = frexp(a, &a_exponent), b_part = frexp(b, &b_exponent);
    if (!isfinite(a) || !isfinite(b)) {
        sum->overflowed = true;
        return;
    }
    if (a_part == 0.0 || b_part == 0.0)
        return;
    /* two whole numbers of 53 bits; their product in two halves of 53 bits */
    const uint64_t x = (uint64_t)ldexp(fabs(a_part), 53), y = (uint64_t)ldexp(fabs(b_part), 53);
    const uint64_t low_mask = 0xffffffffu;
    const uint64_t ll = (x & low_mask) * (y & low_mask), lh = (x & low_mask) * (y >> 32), hl = (x >> 32) * (y & low_mask),
                   hh = (x >> 32) * (y >> 32);
    const uint64_t middle = (ll >> 32) + (lh & low_mask) + (hl & low_mask);
    const uint64_t low = (middle << 32) | (ll & low_mask), high = hh + (lh >> 32) + (hl >> 32) + (middle >> 32);
    const uint64_t parts[3] = {low & ((UINT64_C(1) << 48) - 1), (low >> 48) | ((high & ((UINT64_C(1) << 32) - 1)) << 16),
                               high >> 32};
    const int64_t sign = (a < 0.0) != (b < 0.0) ? -1 : 0;
    for (int i = 0; i < 3; i++) {
        int shift = a_exponent + b_exponent - 106 + 1074 + 48 * i;
        uint64_t m = parts[i];
        if (shift < 0) {
            m = shift <= -64 ? 0 : m >> -shift;
            shift = 0;
        }
        if (shift > (IMP_EXACT_PIECES - 4) * PIECE_BITS) {
            sum->overflowed = sum->overflowed || m != 0;
            continue;
        }
        if (m != 0)
            add_shifted(sum, m, shift, sign);
    }
}

static void add_one_by_one(imp_exact_sum *sum, const double *values, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (values[i] == values[i])
            imp_exact_sum_add(sum, values[i]);
}

/* 1.5 2^exponent: adding it to a smaller number and taking it off again rounds that to a multiple of 2^(exponent - 52).
 * Written down bit by bit, for normal numbers. */
static double rounder(int exponent)
{
    const uint64_t bits = ((uint64_t)(exponent + 1023) << 52) | (UINT64_C(1) << 51);
    double value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

/* Splits each value at two fixed binary places. The parts above each place add up without rounding, as there are at most
 * 1024 of them; what is left below the second place (hardly ever anything) is added one by one.
 * Source of the splitting: S. M. Rump, T. Ogita, S. Oishi, Accurate floating-point summation, part I, 2008. */
static void add_part(imp_exact_sum *sum, const double *values, size_t count, int exponent)
{
    const double first = rounder(exponent + 10), second = rounder(exponent - 33);
    const imp_split_sum parts = imp_kernels_best()->split_sum(values, count, first, second);
    imp_exact_sum_add(sum, parts.upper);
    imp_exact_sum_add(sum, parts.lower);
    for (size_t i = 0; parts.has_rest && i < count; i++) {
        const double value = values[i] == values[i] ? values[i] : 0.0;
        const double rest = value - ((first + value) - first);
        imp_exact_sum_add(sum, rest - ((second + rest) - second));
    }
}

void imp_exact_sum_add_block(imp_exact_sum *sum, const double *values, size_t count, double least, double greatest)
{
    const double largest = fmax(fabs(least), fabs(greatest));
    if (!(largest > 0.0))
        return;
    int exponent;
    frexp(largest, &exponent);
    if (!isfinite(largest) || exponent > 1000 || exponent < -900) {
        add_one_by_one(sum, values, count);
        return;
    }
    for (size_t i = 0; i < count; i += BLOCK)
        add_part(sum, values + i, count - i < BLOCK ? count - i : BLOCK, exponent);
}

static void combine(imp_exact_sum *sum, const imp_exact_sum *other, int64_t sign)
{
    imp_exact_sum settled = *other;
    settle(&settled);
    settle(sum);
    for (int i = settled.low; i <= settled.high; i++)
        sum->piece[i] += sign * settled.piece[i];
    if (settled.low < sum->low)
        sum->low = settled.low;
    if (settled.high > sum->high)
        sum->high = settled.high;
    sum->overflowed = sum->overflowed || other->overflowed;
    settle(sum);
}

static void add_one_by_one_where(imp_exact_sum *sum, const double *values, const double *mask, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (mask == NULL || mask[i] == 1.0)
            add_one_by_one(sum, values + i, 1);
}

/* As frexp has it, of a positive normal number; others are beyond all that is asked for. */
static int exponent_of(double value)
{
    uint64_t bits;
    memcpy(&bits, &value, sizeof bits);
    return (int)(bits >> 52) - 1022;
}

void imp_exact_sum_find(const double *values, const double *mask, size_t count, int *exponent, imp_block_sum *found)
{
    const imp_kernels *kernels = imp_kernels_best();
    int needed = *exponent >= -900 && *exponent <= 1000 ? *exponent : 0;
    found->is_held = true;
    for (;;) { /* twice at most: the exponent found is the one needed the next time */
        const double first = rounder(needed + 10), second = rounder(needed - 33);
        const imp_split_sum parts = kernels->moments(values, mask, count, first, second, &found->extent);
        const imp_extent *extent = &found->extent;
        const double largest = -extent->least > extent->greatest ? -extent->least : extent->greatest;
        found->upper = parts.upper;
        found->lower = parts.lower;
        if (extent->count == 0 || largest == 0.0)
            return;
        const int exponent_found = exponent_of(largest);
        if (!isfinite(largest) || exponent_found > 1000 || exponent_found < -900)
            break;
        if (exponent_found <= needed && !parts.has_rest) {
            *exponent = needed;
            return;
        }
        if (exponent_found == needed)
            break; /* values too different in size */
        needed = exponent_found;
    }
    found->is_held = false;
}

void imp_exact_sum_add_found(imp_exact_sum *sum, const double *values, const double *mask, size_t count, const imp_block_sum *found)
{
    if (found->is_held) {
        imp_exact_sum_add(sum, found->upper);
        imp_exact_sum_add(sum, found->lower);
    } else {
        add_one_by_one_where(sum, values, mask, count);
    }
}

void imp_exact_sum_add_where(imp_exact_sum *sum, const double *values, const double *mask, size_t count, int *exponent,
                             imp_extent *found)
{
    *found = (imp_extent){0, HUGE_VAL, -HUGE_VAL};
    for (size_t i = 0; i < count; i += BLOCK) {
        imp_block_sum part;
        const double *part_mask = mask != NULL ? mask + i : NULL;
        const size_t part_count = count - i < BLOCK ? count - i : BLOCK;
        imp_exact_sum_find(values + i, part_mask, part_count, exponent, &part);
        imp_exact_sum_add_found(sum, values + i, part_mask, part_count, &part);
        found->count += part.extent.count;
        found->least = part.extent.least < found->least ? part.extent.least : found->least;
        found->greatest = part.extent.greatest > found->greatest ? part.extent.greatest : found->greatest;
    }
}

void imp_exact_sum_merge(imp_exact_sum *sum, const imp_exact_sum *other)
{
    combine(sum, other, 1);
}

void imp_exact_sum_subtract(imp_exact_sum *sum, const imp_exact_sum *other)
{
    combine(sum, other, -1);
}

/* |sum| in pieces of [0, 2^32), highest and lowest ones not zero. low > high where the sum is zero. */
typedef struct magnitude {
    uint32_t piece[IMP_EXACT_PIECES];
    int low, high;
    bool is_negative;
} magnitude;

static void magnitude_of(imp_exact_sum *sum, magnitude *found)
{
    settle(sum);
    while (sum->high >= sum->low && sum->piece[sum->high] == 0)
        sum->high--;
    if (sum->high < sum->low) {
        sum->low = IMP_EXACT_PIECES;
        sum->high = -1;
    }
    found->is_negative = sum->high >= 0 && sum->piece[sum->high] < 0;
    found->low = sum->low;
    found->high = sum->high;
    const int64_t sign = found->is_negative ? -1 : 1;
    int64_t carry = 0;
    for (int i = sum->low; i <= sum->high; i++) {
        const int64_t piece = sign * sum->piece[i] + carry;
        const int64_t rest = piece & (PIECE_BASE - 1);
        found->piece[i] = (uint32_t)rest;
        carry = (piece - rest) / PIECE_BASE;
    }
    while (found->high >= found->low && found->piece[found->high] == 0)
        found->high--;
    while (found->low <= found->high && found->piece[found->low] == 0)
        found->low++;
}

/* Of a word that is not 0. */
static int bit_length(uint32_t word)
{
    int length = 0;
    for (int step = 16; step > 0; step /= 2)
        if (word >> (length + step) != 0)
            length += step;
    return length + 1;
}

/* The bits of the pieces from `first` on, 53 of them; bits beyond the pieces are zero. */
static uint64_t bits_from(const magnitude *from, int first, int count)
{
    uint64_t bits = 0;
    for (int i = first + count - 1; i >= first;) {
        const int at = i / PIECE_BITS, inside = i % PIECE_BITS;
        const int lowest = i - inside < first ? first % PIECE_BITS : 0, taken = inside - lowest + 1;
        const uint64_t word = at >= from->low && at <= from->high ? from->piece[at] : 0;
        /* cppcheck-suppress [shiftNegative, signConversionCond]; lowest <= inside, so at least one bit is taken */
        bits = (bits << taken) | ((word >> lowest) & ((UINT64_C(1) << taken) - 1));
        i -= taken;
    }
    return bits;
}

/* Any bit below one that is set itself; the lowest piece is not 0. */
static bool any_below(const magnitude *from, int bit)
{
    const int at = bit / PIECE_BITS;
    return from->low < at || (from->piece[at] & ((UINT64_C(1) << (bit % PIECE_BITS)) - 1)) != 0;
}

double imp_exact_sum_value(imp_exact_sum *sum)
{
    magnitude found;
    if (sum->overflowed)
        return (double)NAN;
    magnitude_of(sum, &found);
    if (found.high < found.low)
        return 0.0;
    const int top = found.high * PIECE_BITS + bit_length(found.piece[found.high]) - 1;
    uint64_t bits;
    if (top <= 52) {
        bits = bits_from(&found, 0, 53); /* whole units: subnormal, or with the lowest exponent */
    } else {
        const int lowest = top - 52;
        uint64_t m = bits_from(&found, lowest, 53);
        const bool half = bits_from(&found, lowest - 1, 1) != 0;
        if (half && ((m & 1) != 0 || any_below(&found, lowest - 1)))
            m++;
        if (lowest > 2046)
            return found.is_negative ? -HUGE_VAL : HUGE_VAL;
        bits = ((uint64_t)lowest << 52) + m;
        if (bits >= UINT64_C(0x7ff) << 52)
            return found.is_negative ? -HUGE_VAL : HUGE_VAL;
    }
    double value;
    memcpy(&value, &bits, sizeof value);
    return found.is_negative ? -value : value;
}

/* sum as value + rest + further rest, each rounded: three doubles hold 159 of its bits. */
static void expand(const imp_exact_sum *sum, double parts[3])
{
    imp_exact_sum left = *sum;
    for (int i = 0; i < 3; i++) {
        parts[i] = imp_exact_sum_value(&left);
        imp_exact_sum_add(&left, -parts[i]);
    }
}

double imp_exact_sum_deviations(const imp_exact_sum *sum, const imp_exact_sum *squares, uint64_t count)
{
    /* sum (v - m)^2 = sum v^2 - 2 m sum v + n m^2 for m near the mean, every term exact; then - (sum (v - m))^2/n */
    double total[3];
    expand(sum, total);
    const double n = (double)count, m = total[0] / n;
    imp_exact_sum left = *squares, offset = *sum;
    for (int i = 0; i < 3; i++) {
        imp_exact_sum_add_product(&left, -2.0 * m, total[i]);
    }
    imp_exact_sum_add_product(&offset, -n, m);
    imp_exact_sum square;
    imp_exact_sum_init(&square);
    imp_exact_sum_add_product(&square, m, m);
    expand(&square, total);
    for (int i = 0; i < 3; i++)
        imp_exact_sum_add_product(&left, n, total[i]);
    const double rest = imp_exact_sum_value(&offset), deviations = imp_exact_sum_value(&left) - rest * rest / n;
    return deviations > 0.0 || deviations != deviations ? deviations : 0.0;
}

char *imp_exact_sum_write(imp_exact_sum *sum, char *text, size_t size)
{
    magnitude found;
    if (sum->overflowed) {
        snprintf(text, size, "overflow");
        return text;
    }
    magnitude_of(sum, &found);
    if (found.high < found.low) {
        snprintf(text, size, "0");
        return text;
    }
    int used = snprintf(text, size, "%s%d:", found.is_negative ? "-" : "", found.low);
    for (int i = found.low; i <= found.high && used >= 0 && (size_t)used < size; i++)
        used += snprintf(text + used, size - (size_t)used, i > found.low ? ",%x" : "%x", (unsigned)found.piece[i]);
    return text;
}

static int hex_digit(char c)
{
    if (c >= '0' && c <= '9')
        return c - '0';
    return c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

imp_status imp_exact_sum_read(const char *text, imp_exact_sum *sum, imp_error *error)
{
    imp_exact_sum found;
    imp_exact_sum_init(&found);
    if (strcmp(text, "0") == 0 || strcmp(text, "overflow") == 0) {
        found.overflowed = text[0] == 'o';
        *sum = found;
        return IMP_OK;
    }
    const char *at = text;
    const int64_t sign = *at == '-' ? -1 : 1;
    at += *at == '-';
    int piece = 0;
    const char *first = at;
    while (*at >= '0' && *at <= '9' && piece < IMP_EXACT_PIECES)
        piece = piece * 10 + (*at++ - '0');
    if (at == first || *at != ':')
        return imp_fail(error, IMP_SYNTAX, NULL, "\"%.40s\" is no sum as this program writes them", text);
    do {
        at++;
        int64_t value = 0;
        int digits = 0;
        for (; hex_digit(*at) >= 0 && digits < 9; digits++)
            value = value * 16 + hex_digit(*at++);
        if (digits == 0 || value >= PIECE_BASE || piece >= IMP_EXACT_PIECES || (*at != ',' && *at != '\0'))
            return imp_fail(error, IMP_SYNTAX, NULL, "\"%.40s\" is no sum as this program writes them", text);
        found.piece[piece] = sign * value;
        found.low = (int16_t)(piece < found.low ? piece : found.low);
        found.high = (int16_t)piece++;
    } while (*at == ',');
    settle(&found);
    *sum = found;
    return IMP_OK;
}
