/* kernels_body.h — the loops of kernels.h, compiled twice: by kernels.c and kernels_wide.c. */
#include "lanes.h"

static inline lanes finite_or_missing(lanes x)
{
    /* x - x is 0 for finite x only; all bits set are a not-a-number */
    return lanes_or(x, lanes_differ(lanes_subtract(x, x), lanes_of(0.0)));
}

static inline lanes mask_from(lanes truth, lanes a, lanes b)
{
    return lanes_or(lanes_and(truth, lanes_of(1.0)), lanes_missing(a, b));
}

/* 1 where yes, 0 where no, else missing */
static inline lanes decide(lanes yes, lanes no)
{
    const lanes every = lanes_equal(lanes_of(0.0), lanes_of(0.0));
    return lanes_or(lanes_and(yes, lanes_of(1.0)), lanes_without(every, lanes_or(yes, no)));
}

#define EACH_PAIR(expression)                                                                                          \
    for (size_t i = 0; i < rows; i += LANES) {                                                                         \
        const lanes x = lanes_load(a + i), y = lanes_load(b + i);                                                      \
        lanes_store(out + i, (expression));                                                                            \
    }                                                                                                                  \
    return true

/* the same for masks: whether any row is not 0 */
#define EACH_MASK(expression)                                                                                          \
    for (size_t i = 0; i < rows; i += LANES) {                                                                         \
        const lanes x = lanes_load(a + i), y = lanes_load(b + i), found = (expression);                                \
        lanes_store(out + i, found);                                                                                   \
        seen = lanes_or(seen, found);                                                                                  \
    }                                                                                                                  \
    return lanes_bits(lanes_differ(seen, lanes_of(0.0))) != 0

static bool run_binary(imp_column_operation operation, const double *a, const double *b, double *out, size_t rows)
{
    const lanes one = lanes_of(1.0), none = lanes_of(0.0);
    lanes seen = none;
    switch (operation) {
    case IMP_COLUMN_ADD: EACH_PAIR(finite_or_missing(lanes_add(x, y)));
    case IMP_COLUMN_SUBTRACT: EACH_PAIR(finite_or_missing(lanes_subtract(x, y)));
    case IMP_COLUMN_MULTIPLY: EACH_PAIR(finite_or_missing(lanes_multiply(x, y)));
    case IMP_COLUMN_DIVIDE: EACH_PAIR(finite_or_missing(lanes_divide(x, y)));
    case IMP_COLUMN_MINIMUM: EACH_PAIR(lanes_or(lanes_least(x, y), lanes_missing(x, y)));
    case IMP_COLUMN_MAXIMUM: EACH_PAIR(lanes_or(lanes_greatest(x, y), lanes_missing(x, y)));
    case IMP_COLUMN_ABOVE: EACH_MASK(mask_from(lanes_above(x, y), x, y));
    case IMP_COLUMN_AT_LEAST: EACH_MASK(mask_from(lanes_at_least(x, y), x, y));
    case IMP_COLUMN_BELOW: EACH_MASK(mask_from(lanes_above(y, x), x, y));
    case IMP_COLUMN_AT_MOST: EACH_MASK(mask_from(lanes_at_least(y, x), x, y));
    case IMP_COLUMN_EQUALS: EACH_MASK(mask_from(lanes_equal(x, y), x, y));
    case IMP_COLUMN_DIFFERS: EACH_MASK(mask_from(lanes_differ(x, y), x, y));
    case IMP_COLUMN_AND:
        EACH_MASK(decide(lanes_and(lanes_equal(x, one), lanes_equal(y, one)),
                         lanes_or(lanes_equal(x, none), lanes_equal(y, none))));
    case IMP_COLUMN_OR:
        EACH_MASK(decide(lanes_or(lanes_equal(x, one), lanes_equal(y, one)),
                         lanes_and(lanes_equal(x, none), lanes_equal(y, none))));
    case IMP_COLUMN_WHERE: EACH_PAIR(lanes_or(x, lanes_differ(y, one)));
    case IMP_COLUMN_OR_ELSE:
        EACH_PAIR(lanes_or(lanes_without(x, lanes_missing(x, x)), lanes_and(y, lanes_missing(x, x))));
    default: return true;
    }
}

#undef EACH_PAIR
#undef EACH_MASK

#define EACH(expression)                                                                                               \
    for (size_t i = 0; i < rows; i += LANES) {                                                                         \
        const lanes x = lanes_load(a + i);                                                                             \
        lanes_store(out + i, (expression));                                                                            \
    }                                                                                                                  \
    return

static void run_unary(imp_column_operation operation, const double *a, double *out, size_t rows)
{
    switch (operation) {
    case IMP_COLUMN_NEGATE: EACH(lanes_subtract(lanes_of(-0.0), x));
    case IMP_COLUMN_ABS: EACH(lanes_without(x, lanes_of(-0.0)));
    case IMP_COLUMN_SQRT: EACH(lanes_root(x));
    case IMP_COLUMN_NOT: EACH(lanes_subtract(lanes_of(1.0), x));
    case IMP_COLUMN_PRESENT: EACH(lanes_without(lanes_of(1.0), lanes_missing(x, x)));
    default: return;
    }
}

#undef EACH

static void count_one(imp_extent *extent, double value)
{
    if (value != value)
        return;
    extent->count++;
    extent->least = value < extent->least ? value : extent->least;
    extent->greatest = value > extent->greatest ? value : extent->greatest;
}

static imp_extent run_select(const double *values, const double *mask, size_t rows, double *to)
{
    lanes least[2] = {lanes_of(HUGE_VAL), lanes_of(HUGE_VAL)};
    lanes greatest[2] = {lanes_of(-HUGE_VAL), lanes_of(-HUGE_VAL)};
    lanes present[2] = {lanes_of(0.0), lanes_of(0.0)};
    const size_t whole = rows - rows % (2 * LANES);
    if (mask == NULL)
        for (size_t i = 0; i < whole; i += 2 * LANES)
            for (size_t k = 0; k < 2; k++) {
                const lanes value = lanes_load(values + i + k * LANES);
                least[k] = lanes_least(value, least[k]);
                greatest[k] = lanes_greatest(value, greatest[k]);
                present[k] = lanes_add(present[k], lanes_without(lanes_of(1.0), lanes_missing(value, value)));
            }
    else
        for (size_t i = 0; i < whole; i += 2 * LANES)
            for (size_t k = 0; k < 2; k++) {
                const lanes value = lanes_or(lanes_load(values + i + k * LANES),
                                             lanes_differ(lanes_load(mask + i + k * LANES), lanes_of(1.0)));
                lanes_store(to + i + k * LANES, value);
                least[k] = lanes_least(value, least[k]);
                greatest[k] = lanes_greatest(value, greatest[k]);
                present[k] = lanes_add(present[k], lanes_without(lanes_of(1.0), lanes_missing(value, value)));
            }
    double lows[2 * LANES], highs[2 * LANES], counts[2 * LANES];
    for (size_t k = 0; k < 2; k++) {
        lanes_store(lows + k * LANES, least[k]);
        lanes_store(highs + k * LANES, greatest[k]);
        lanes_store(counts + k * LANES, present[k]);
    }
    imp_extent extent = {0, HUGE_VAL, -HUGE_VAL};
    for (size_t k = 0; k < 2 * LANES; k++) {
        extent.least = lows[k] < extent.least ? lows[k] : extent.least;
        extent.greatest = highs[k] > extent.greatest ? highs[k] : extent.greatest;
        extent.count += (uint64_t)counts[k];
    }
    for (size_t i = whole; i < rows; i++) {
        const double value = mask == NULL || mask[i] == 1.0 ? values[i] : (double)NAN;
        if (to != NULL)
            to[i] = value;
        count_one(&extent, value);
    }
    return extent;
}

static void run_times(const double *values, bool is_mask, const double *mask, const double *duration, double *to, size_t rows)
{
    const lanes one = lanes_of(1.0);
    for (size_t i = 0; i < rows; i += LANES) {
        const lanes value = lanes_load(values + i);
        const lanes out = is_mask ? lanes_differ(value, one) : lanes_missing(value, value);
        lanes time = lanes_without(lanes_load(duration + i), out);
        if (mask != NULL)
            time = lanes_and(time, lanes_equal(lanes_load(mask + i), one));
        lanes_store(to + i, time);
    }
}

static imp_split_sum run_split_sum(const double *values, size_t rows, double first, double second)
{
    const lanes first_lanes = lanes_of(first), second_lanes = lanes_of(second);
    lanes upper[2], lower[2], left[2];
    for (size_t k = 0; k < 2; k++)
        upper[k] = lower[k] = left[k] = lanes_of(0.0);
    const size_t whole = rows - rows % (2 * LANES);
    for (size_t i = 0; i < whole; i += 2 * LANES)
        for (size_t k = 0; k < 2; k++) {
            const lanes given = lanes_load(values + i + k * LANES);
            const lanes value = lanes_without(given, lanes_missing(given, given));
            const lanes a = lanes_subtract(lanes_add(first_lanes, value), first_lanes);
            const lanes rest = lanes_subtract(value, a);
            const lanes b = lanes_subtract(lanes_add(second_lanes, rest), second_lanes);
            upper[k] = lanes_add(upper[k], a);
            lower[k] = lanes_add(lower[k], b);
            left[k] = lanes_or(left[k], lanes_subtract(rest, b));
        }
    double uppers[LANES], lowers[LANES], lefts[LANES];
    lanes_store(uppers, lanes_add(upper[0], upper[1]));
    lanes_store(lowers, lanes_add(lower[0], lower[1]));
    lanes_store(lefts, lanes_or(left[0], left[1]));
    imp_split_sum sum = {0.0, 0.0, false};
    for (size_t k = 0; k < LANES; k++) {
        sum.upper += uppers[k];
        sum.lower += lowers[k];
        sum.has_rest = sum.has_rest || lefts[k] != 0.0;
    }
    for (size_t i = whole; i < rows; i++) {
        const double value = values[i] == values[i] ? values[i] : 0.0;
        const double a = (first + value) - first, rest = value - a, b = (second + rest) - second;
        sum.upper += a;
        sum.lower += b;
        sum.has_rest = sum.has_rest || rest - b != 0.0;
    }
    return sum;
}

static double lanes_sum(lanes a)
{
    double each[LANES], sum = 0.0;
    lanes_store(each, a);
    for (size_t k = 0; k < LANES; k++)
        sum += each[k];
    return sum;
}

static imp_split_sum run_moments(const double *values, const double *mask, size_t rows, double first, double second,
                                 imp_extent *extent)
{
    const lanes first_lanes = lanes_of(first), second_lanes = lanes_of(second), one = lanes_of(1.0);
    lanes least = lanes_of(HUGE_VAL), greatest = lanes_of(-HUGE_VAL), present = lanes_of(0.0);
    lanes upper = present, lower = present, left = present;
    const size_t whole = rows - rows % LANES;
    for (size_t i = 0; i < whole; i += LANES) {
        lanes given = lanes_load(values + i);
        if (mask != NULL)
            given = lanes_or(given, lanes_differ(lanes_load(mask + i), one));
        const lanes missing = lanes_missing(given, given), value = lanes_without(given, missing);
        const lanes a = lanes_subtract(lanes_add(first_lanes, value), first_lanes), rest = lanes_subtract(value, a);
        const lanes b = lanes_subtract(lanes_add(second_lanes, rest), second_lanes);
        least = lanes_least(given, least);
        greatest = lanes_greatest(given, greatest);
        present = lanes_add(present, lanes_without(one, missing));
        upper = lanes_add(upper, a);
        lower = lanes_add(lower, b);
        left = lanes_or(left, lanes_subtract(rest, b));
    }
    imp_split_sum sum = {lanes_sum(upper), lanes_sum(lower), lanes_bits(lanes_differ(left, lanes_of(0.0))) != 0};
    double lows[LANES], highs[LANES];
    lanes_store(lows, least);
    lanes_store(highs, greatest);
    *extent = (imp_extent){(uint64_t)(int64_t)lanes_sum(present), lows[0], highs[0]};
    for (size_t k = 1; k < LANES; k++) {
        extent->least = lows[k] < extent->least ? lows[k] : extent->least;
        extent->greatest = highs[k] > extent->greatest ? highs[k] : extent->greatest;
    }
    for (size_t i = whole; i < rows; i++) {
        if (values[i] != values[i] || (mask != NULL && mask[i] != 1.0))
            continue;
        const double value = values[i], a = (first + value) - first, rest = value - a, b = (second + rest) - second;
        count_one(extent, value);
        sum.upper += a;
        sum.lower += b;
        sum.has_rest = sum.has_rest || rest - b != 0.0;
    }
    return sum;
}

static void run_ones(const double *mask, size_t rows, uint64_t *bits)
{
    const lanes one = lanes_of(1.0);
    for (size_t first = 0; first < rows; first += 64) {
        const size_t count = rows - first < 64 ? rows - first : 64, whole = count - count % LANES;
        uint64_t word = 0;
        for (size_t i = 0; i < whole; i += LANES)
            word |= (uint64_t)lanes_bits(lanes_equal(lanes_load(mask + first + i), one)) << i;
        for (size_t i = whole; i < count; i++)
            word |= (uint64_t)(mask[first + i] == 1.0) << i;
        bits[first / 64] = word;
    }
}

/* Durations are not below 0, and none is missing. */
static double run_holds(const double *duration, size_t rows, uint64_t *bits)
{
    const lanes none = lanes_of(0.0);
    lanes most = none;
    double each[LANES], greatest = 0.0;
    for (size_t first = 0; first < rows; first += 64) {
        const size_t count = rows - first < 64 ? rows - first : 64, whole = count - count % LANES;
        uint64_t word = 0;
        for (size_t i = 0; i < whole; i += LANES) {
            const lanes held = lanes_load(duration + first + i);
            word |= (uint64_t)lanes_bits(lanes_above(held, none)) << i;
            most = lanes_greatest(held, most);
        }
        for (size_t i = whole; i < count; i++) {
            word |= (uint64_t)(duration[first + i] > 0.0) << i;
            greatest = duration[first + i] > greatest ? duration[first + i] : greatest;
        }
        bits[first / 64] = word;
    }
    lanes_store(each, most);
    for (size_t k = 0; k < LANES; k++)
        greatest = each[k] > greatest ? each[k] : greatest;
    return greatest;
}

#define EACH_CONVERTED(expression)                                                                                     \
    {                                                                                                                  \
        for (size_t i = 0; i < rows; i += LANES) {                                                                     \
            const lanes x = lanes_divide(lanes_load(values + i), text_divisor);                                        \
            lanes_store(values + i, (expression));                                                                     \
        }                                                                                                              \
        return;                                                                                                        \
    }

static void run_convert(double *values, size_t rows, const imp_conversion *by)
{
    const lanes text_divisor = lanes_of(by->text_divisor), factor = lanes_of(by->factor), divisor = lanes_of(by->divisor);
    const lanes offset = lanes_of(by->offset);
    const bool divides = by->divisor > 0.0, adds = by->offset != 0.0;
    if (divides && adds)
        EACH_CONVERTED(lanes_add(lanes_divide(x, divisor), offset))
    if (divides)
        EACH_CONVERTED(lanes_divide(x, divisor))
    if (adds)
        EACH_CONVERTED(lanes_add(lanes_multiply(x, factor), offset))
    if (by->factor != 1.0)
        EACH_CONVERTED(lanes_multiply(x, factor))
    if (by->text_divisor != 1.0)
        EACH_CONVERTED(x)
}

#undef EACH_CONVERTED

static bool run_running_sums(const double *values, size_t rows, const imp_sum_places *places, const imp_running_sums *sums)
{
    const lanes first = lanes_of(places->first), second = lanes_of(places->second), one = lanes_of(1.0);
    lanes upper = lanes_of(sums->upper[0]), lower = lanes_of(sums->lower[0]), present = lanes_of(sums->count[0]);
    lanes left = lanes_of(0.0), largest = left;
    for (size_t i = 0; i < rows; i += LANES) {
        const lanes given = lanes_load(values + i), missing = lanes_missing(given, given);
        const lanes value = lanes_without(given, missing);
        const lanes a = lanes_subtract(lanes_add(first, value), first), rest = lanes_subtract(value, a);
        const lanes b = lanes_subtract(lanes_add(second, rest), second);
        largest = lanes_greatest(lanes_without(value, lanes_of(-0.0)), largest);
        left = lanes_or(left, lanes_subtract(rest, b));
        const lanes upper_steps = lanes_running(a), lower_steps = lanes_running(b), ones = lanes_running(lanes_without(one, missing));
        lanes_store(sums->upper + i + 1, lanes_add(upper, upper_steps));
        lanes_store(sums->lower + i + 1, lanes_add(lower, lower_steps));
        lanes_store(sums->count + i + 1, lanes_add(present, ones));
        upper = lanes_add(upper, lanes_last(upper_steps));
        lower = lanes_add(lower, lanes_last(lower_steps));
        present = lanes_add(present, lanes_last(ones));
    }
    return lanes_bits(lanes_or(lanes_differ(left, lanes_of(0.0)), lanes_at_least(largest, lanes_of(places->limit)))) == 0;
}

/* The sums at the places before[0], before[1], ...: next to each other as a rule. */
static inline lanes sums_before(const double *sums, const uint32_t *before, bool is_run)
{
    double each[LANES];
    if (is_run)
        return lanes_load(sums + before[0]);
    for (size_t k = 0; k < LANES; k++)
        each[k] = sums[before[k]];
    return lanes_load(each);
}

static void run_window_means(const imp_running_sums *sums, const uint32_t *first, size_t from, size_t rows, double *out)
{
    for (size_t i = 0; i < rows; i += LANES) {
        const size_t to = from + i + 1;
        bool is_run = true;
        for (size_t k = 1; k < LANES; k++)
            is_run &= first[i + k] == first[i] + k;
        const lanes upper = lanes_subtract(lanes_load(sums->upper + to), sums_before(sums->upper, first + i, is_run));
        const lanes lower = lanes_subtract(lanes_load(sums->lower + to), sums_before(sums->lower, first + i, is_run));
        const lanes count = lanes_subtract(lanes_load(sums->count + to), sums_before(sums->count, first + i, is_run));
        lanes_store(out + i, lanes_divide(lanes_add(upper, lower), count)); /* 0/0 is missing */
    }
}
