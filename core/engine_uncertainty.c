#include "engine.h"

#include <float.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static double or_default(const imp_param *row, const imp_value *value)
{
    if (value->given)
        return value->number;
    return row->presence == IMP_DEFAULT ? row->fallback : (double)NAN;
}

static imp_status evaluate_at(const imp_calc *calc, const imp_value *in, size_t input, double x, imp_value *out, imp_error *error)
{
    imp_value moved[IMP_MOST_INPUTS];
    memcpy(moved, in, calc->input_count * sizeof *in);
    moved[input] = (imp_value){.number = x, .given = true};
    return imp_calc_evaluate(calc, moved, out, NULL, error);
}

/* Step of a central difference: the cube root of the double's precision balances rounding and curvature. */
static double difference_step(const imp_param *row, double x)
{
    const double span = imp_param_has_range(row) ? row->high - row->low : 0.0;
    double scale = fabs(x);
    if (row->dimension == IMP_TEMPERATURE)
        scale = 10.0; /* kelvin: a reading's size says nothing about the scale on which things change */
    else if (scale == 0.0)
        scale = span > 0.0 ? 1e-3 * span : 1.0;
    return cbrt(DBL_EPSILON) * scale;
}

/* Derivatives of all outputs with respect to one input; one-sided where the range or the calculation ends. */
static void differentiate(const imp_calc *calc, const imp_value *in, const imp_value *centre, size_t input, double *derivative)
{
    const double x = or_default(&calc->inputs[input], &in[input]);
    const double step = difference_step(&calc->inputs[input], x);
    imp_value above[IMP_MOST_OUTPUTS], below[IMP_MOST_OUTPUTS];
    const bool has_above = evaluate_at(calc, in, input, x + step, above, NULL) == IMP_OK;
    const bool has_below = evaluate_at(calc, in, input, x - step, below, NULL) == IMP_OK;
    const double high = has_above ? x + step : x, low = has_below ? x - step : x;
    for (size_t k = 0; k < calc->output_count; k++) {
        const double upper = has_above ? above[k].number : centre[k].number;
        const double lower = has_below ? below[k].number : centre[k].number;
        derivative[k] = high > low && calc->outputs[k].kind == IMP_NUMBER ? (upper - lower) / (high - low) : (double)NAN;
    }
}

imp_status imp_calc_sensitivity(const imp_calc *calc, const imp_value *in, imp_sensitivity *table, imp_error *error)
{
    imp_value centre[IMP_MOST_OUTPUTS];
    const imp_status status = imp_calc_evaluate(calc, in, centre, NULL, error);
    if (status != IMP_OK)
        return status;
    for (size_t i = 0; i < calc->input_count; i++) {
        const imp_param *row = &calc->inputs[i];
        const double x = or_default(row, &in[i]);
        const bool varies = row->kind == IMP_NUMBER && isfinite(x);
        double derivative[IMP_MOST_OUTPUTS];
        if (varies)
            differentiate(calc, in, centre, i, derivative);
        for (size_t k = 0; k < calc->output_count; k++) {
            imp_sensitivity *cell = &table[i * calc->output_count + k];
            const double y = centre[k].number;
            const bool relative = varies && row->dimension != IMP_TEMPERATURE && calc->outputs[k].dimension != IMP_TEMPERATURE && y != 0.0;
            cell->derivative = varies ? derivative[k] : (double)NAN;
            cell->elasticity = relative ? derivative[k] * x / y : (double)NAN;
        }
    }
    return IMP_OK;
}

/* splitmix64: small, seeded by any number, the same on every machine. Source: Steele, Lea and Flood 2014 (constants
 * from memory, checked by the published first outputs for seed 1234567 in the tests). */
static uint64_t next_random(uint64_t *state)
{
    uint64_t z = (*state += 0x9E3779B97F4A7C15u);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

static double next_uniform(uint64_t *state)
{
    return ((double)(next_random(state) >> 11) + 0.5) * 0x1p-53; /* never 0 */
}

/* Standard normal by Box and Muller (1958); the second of the pair is not kept, so that draws stay independent of order. */
static double next_normal(uint64_t *state)
{
    const double radius = sqrt(-2.0 * log(next_uniform(state)));
    return radius * cos(2.0 * M_PI * next_uniform(state));
}

imp_param imp_spread_row(const imp_param *row)
{
    imp_param spread = {.name = row->name, .symbol = row->symbol, .kind = IMP_NUMBER, .dimension = row->dimension,
                        .unit = row->unit, .low = 0.0, .high = HUGE_VAL};
    if (row->dimension == IMP_TEMPERATURE) {
        const bool fahrenheit = row->unit != NULL && strcmp(row->unit, "degF") == 0;
        spread.dimension = IMP_TEMPERATURE_DIFFERENCE;
        spread.unit = fahrenheit ? "degF_diff" : "K";
    }
    return spread;
}

char *imp_derivative_unit(const imp_param *output, const imp_param *input, char *text, size_t size)
{
    const imp_param of = imp_spread_row(output), by = imp_spread_row(input);
    const char *above = of.unit != NULL ? of.unit : "1", *below = by.unit != NULL ? by.unit : "1";
    if (strcmp(below, "1") == 0)
        snprintf(text, size, "%s", above);
    else
        snprintf(text, size, strpbrk(below, " /*") != NULL ? "%s/(%s)" : "%s/%s", above, below);
    return text;
}

typedef struct moments {
    double mean, squares;
    size_t count;
} moments;

static void add_draw(moments *sum, double value) /* Welford 1962 */
{
    sum->count++;
    const double delta = value - sum->mean;
    sum->mean += delta / (double)sum->count;
    sum->squares += delta * (value - sum->mean);
}

static bool is_uncertain(const imp_calc *calc, size_t input, const double *standard)
{
    return calc->inputs[input].kind == IMP_NUMBER && standard[input] > 0.0;
}

static imp_status simulate(const imp_calc *calc, const imp_value *in, const double *standard, size_t draws, uint64_t seed,
                           moments *sums, imp_error *error)
{
    imp_value drawn[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS];
    size_t refused = 0;
    memcpy(drawn, in, calc->input_count * sizeof *in);
    for (size_t done = 0; done < draws;) {
        for (size_t i = 0; i < calc->input_count; i++)
            if (is_uncertain(calc, i, standard))
                drawn[i] = (imp_value){.number = or_default(&calc->inputs[i], &in[i]) + standard[i] * next_normal(&seed), .given = true};
        const imp_status status = imp_calc_evaluate(calc, drawn, out, NULL, error);
        if (status != IMP_OK && status != IMP_RANGE && status != IMP_NO_SOLUTION && status != IMP_NOT_APPLICABLE)
            return status;
        if (status != IMP_OK) {
            if (++refused > draws)
                return imp_fail(error, IMP_RANGE, calc->id, "more than half of the draws leave the allowed range; the uncertainty is too large for it");
            continue;
        }
        for (size_t k = 0; k < calc->output_count; k++)
            add_draw(&sums[k], out[k].number);
        done++;
    }
    return IMP_OK;
}

imp_status imp_calc_uncertainty(const imp_calc *calc, const imp_value *in, const double *standard, size_t draws,
                                uint64_t seed, imp_uncertainty *results, imp_error *error)
{
    imp_sensitivity table[IMP_MOST_INPUTS * IMP_MOST_OUTPUTS] = {{0}};
    moments sums[IMP_MOST_OUTPUTS] = {{0}};
    if (draws < 2 || draws > IMP_MOST_DRAWS)
        return imp_fail(error, IMP_RANGE, "draws", "expected 2 to %d, got %zu", IMP_MOST_DRAWS, draws);
    for (size_t i = 0; i < calc->input_count; i++)
        if (isfinite(standard[i]) && standard[i] < 0.0)
            return imp_fail(error, IMP_RANGE, calc->inputs[i].name, "a standard uncertainty is not negative");
    imp_status status = imp_calc_sensitivity(calc, in, table, error);
    if (status == IMP_OK)
        status = simulate(calc, in, standard, draws, seed, sums, error);
    if (status != IMP_OK)
        return status;
    for (size_t k = 0; k < calc->output_count; k++) {
        double variance = 0.0;
        for (size_t i = 0; i < calc->input_count; i++)
            if (is_uncertain(calc, i, standard))
                variance += pow(table[i * calc->output_count + k].derivative * standard[i], 2.0);
        const bool number = calc->outputs[k].kind == IMP_NUMBER;
        const double spread = sqrt(sums[k].squares / (double)(sums[k].count - 1));
        results[k].linear = number ? sqrt(variance) : (double)NAN;
        results[k].simulated = number ? spread : (double)NAN;
        results[k].simulated_error = number ? spread / sqrt(2.0 * (double)(draws - 1)) : (double)NAN;
        results[k].mean = number ? sums[k].mean : (double)NAN;
    }
    return IMP_OK;
}
