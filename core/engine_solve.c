#include "engine.h"

#include <math.h>
#include <string.h>

#include "solve.h"

/* One input of a calculation opened up as a function of one variable. */
typedef struct section {
    const imp_calc *calc;
    imp_value in[IMP_MOST_INPUTS];
    imp_value out[IMP_MOST_OUTPUTS];
    size_t unknown, output;
    double target;
    imp_status status; /* of the last evaluation */
    imp_error *error;
} section;

/* output - target; not-a-number where the calculation refuses x */
static double difference(double x, void *context)
{
    section *cut = context;
    cut->in[cut->unknown] = (imp_value){.number = x, .given = true};
    cut->status = imp_calc_evaluate(cut->calc, cut->in, cut->out, NULL, cut->error);
    if (cut->status != IMP_OK || !cut->out[cut->output].given)
        return (double)NAN;
    return cut->out[cut->output].number - cut->target;
}

static imp_status need_number_row(const imp_param *row, imp_error *error)
{
    if (row->kind != IMP_NUMBER)
        return imp_fail(error, IMP_TYPE, row->name, "is not a number; only numbers can be varied");
    return IMP_OK;
}

/* Scan point i of IMP_SCAN_STEPS: by equal ratios where the range is positive and spans over two decades, else by
 * equal steps. Open ends are approached, not touched. */
static double scan_point(const imp_param *row, size_t i)
{
    const double share = (double)i / IMP_SCAN_STEPS;
    const bool open_low = row->ends == IMP_OPEN_LOW || row->ends == IMP_OPEN;
    const bool open_high = row->ends == IMP_OPEN_HIGH || row->ends == IMP_OPEN;
    const double span = row->high - row->low;
    const bool by_ratio = row->low >= 0.0 && row->dimension != IMP_TEMPERATURE && row->high > 100.0 * row->low;
    const double floor_value = row->low > 0.0 ? row->low : row->high * 1e-9;
    if (i == 0)
        return open_low ? row->low + (by_ratio ? floor_value * 1e-3 : span * 1e-12) : row->low;
    if (i == IMP_SCAN_STEPS)
        return open_high ? row->high - span * 1e-12 : row->high;
    return by_ratio ? floor_value * pow(row->high / floor_value, share) : row->low + span * share;
}

typedef struct closest {
    double x, miss;
    bool any;
} closest;

static void keep_closest(closest *best, double x, double miss)
{
    if (!isfinite(miss) || (best->any && fabs(miss) >= fabs(best->miss)))
        return;
    *best = (closest){.x = x, .miss = miss, .any = true};
}

static void keep_root(imp_solution *found, double x)
{
    if (found->count > 0 && found->values[found->count - 1] == x)
        return;
    if (found->count < IMP_MOST_SOLUTIONS)
        found->values[found->count++] = x;
}

/* Close in on a sign change; a jump across the target is no solution. */
static void close_in(section *cut, double low, double high, double at_low, double at_high, imp_solution *found, closest *best)
{
    double root = 0.0;
    if (imp_solve_bracketed(difference, cut, low, high, 0.0, &root, NULL) != IMP_OK)
        return;
    const double left = difference(root, cut);
    const double scale = fmax(fabs(cut->target), fmax(fabs(at_low), fabs(at_high)));
    keep_closest(best, root, left);
    if (fabs(left) <= 1e-9 * scale)
        keep_root(found, root);
}

/* One step of the scan: from the point before to x, both accepted. */
static void scan_step(section *cut, double x_before, double before, double x, double miss, imp_solution *found, closest *best)
{
    keep_closest(best, x, miss);
    if (fabs(miss) <= 1e-14 * fabs(cut->target))
        keep_root(found, x);
    else if (before != 0.0 && (before < 0.0) != (miss < 0.0))
        close_in(cut, x_before, x, before, miss, found, best);
}

/* The last accepted point on the way from an accepted to a refused one: many a calculation refuses part of a range, and
 * the solution may lie between its edge and the next point of the scan. */
static double accepted_edge(section *cut, double accepted, double refused, double *miss)
{
    double edge = accepted;
    for (int halving = 0; halving < 200; halving++) {
        const double middle = 0.5 * (edge + refused);
        if (middle == edge || middle == refused)
            break;
        if (isfinite(difference(middle, cut)))
            edge = middle;
        else
            refused = middle;
    }
    *miss = difference(edge, cut);
    return edge;
}

static imp_status refuse_target(const section *cut, const closest *best, imp_error *error)
{
    const imp_param *row = &cut->calc->inputs[cut->unknown], *out = &cut->calc->outputs[cut->output];
    char low[96], high[96], target[96], reached[96], at[96];
    imp_fail(error, IMP_NO_SOLUTION, NULL, "no %s between %s and %s gives %s = %s; the closest is %s at %s", row->name,
             imp_param_format(row, row->low, 6, low, sizeof low), imp_param_format(row, row->high, 6, high, sizeof high),
             out->name, imp_param_format(out, cut->target, 6, target, sizeof target),
             imp_param_format(out, cut->target + best->miss, 6, reached, sizeof reached),
             imp_param_format(row, best->x, 6, at, sizeof at));
    imp_error_prefix(error, cut->calc->id, ": ");
    return IMP_NO_SOLUTION;
}

imp_status imp_calc_solve(const imp_calc *calc, const imp_value *in, size_t unknown, size_t output, double target,
                          imp_solution *solution, imp_error *error)
{
    const imp_param *row = &calc->inputs[unknown];
    imp_status status = need_number_row(row, error);
    if (status == IMP_OK)
        status = need_number_row(&calc->outputs[output], error);
    if (status == IMP_OK && (!imp_param_has_range(row) || !isfinite(row->low) || !isfinite(row->high)))
        status = imp_fail(error, IMP_TYPE, row->name, "has no allowed range to search in");
    if (status == IMP_OK && !isfinite(target))
        status = imp_fail(error, IMP_RANGE, calc->outputs[output].name, "the target is not a finite number");
    if (status != IMP_OK) {
        imp_error_prefix(error, calc->id, ": ");
        return status;
    }
    section cut = {.calc = calc, .unknown = unknown, .output = output, .target = target, .error = error};
    memcpy(cut.in, in, calc->input_count * sizeof *in);
    imp_solution found = {.count = 0};
    closest best = {.any = false};
    double before = (double)NAN, x_before = 0.0;
    for (size_t i = 0; i <= IMP_SCAN_STEPS; i++) {
        const double x = scan_point(row, i), miss = difference(x, &cut);
        if (cut.status != IMP_OK && cut.status != IMP_RANGE && cut.status != IMP_NO_SOLUTION && cut.status != IMP_NOT_APPLICABLE)
            return cut.status; /* not this point's fault: a missing input, no memory, a script error */
        const bool accepted = isfinite(miss), accepted_before = i > 0 && isfinite(before);
        double at_edge = 0.0;
        if (accepted && accepted_before) {
            scan_step(&cut, x_before, before, x, miss, &found, &best);
        } else if (accepted && i > 0) {
            const double edge = accepted_edge(&cut, x, x_before, &at_edge);
            scan_step(&cut, edge, at_edge, edge, at_edge, &found, &best);
            scan_step(&cut, edge, at_edge, x, miss, &found, &best);
        } else if (accepted) {
            scan_step(&cut, x, miss, x, miss, &found, &best);
        } else if (accepted_before) {
            const double edge = accepted_edge(&cut, x_before, x, &at_edge);
            scan_step(&cut, x_before, before, edge, at_edge, &found, &best);
        }
        before = miss;
        x_before = x;
    }
    if (!best.any && cut.status == IMP_OK) {
        status = imp_fail(error, IMP_NO_SOLUTION, calc->outputs[output].name, "is not among the results that these inputs give");
        imp_error_prefix(error, calc->id, ": ");
        return status;
    }
    if (!best.any)
        return cut.status; /* refused everywhere: the last reason stands in error */
    if (found.count == 0)
        return refuse_target(&cut, &best, error);
    *solution = found;
    return IMP_OK;
}

imp_status imp_calc_sweep(const imp_calc *calc, const imp_value *in, size_t vary, double from, double to, size_t steps,
                          double *points, imp_value *results, imp_error *error)
{
    const imp_param *row = &calc->inputs[vary];
    imp_status status = need_number_row(row, error);
    if (status == IMP_OK && (steps < 2 || steps > IMP_MOST_SWEEP_STEPS))
        status = imp_fail(error, IMP_RANGE, "steps", "expected 2 to %d, got %zu", IMP_MOST_SWEEP_STEPS, steps);
    if (status == IMP_OK)
        status = imp_check(row, from, error);
    if (status == IMP_OK)
        status = imp_check(row, to, error);
    if (status != IMP_OK) {
        imp_error_prefix(error, calc->id, ": ");
        return status;
    }
    imp_value varied[IMP_MOST_INPUTS];
    size_t refused = 0;
    memcpy(varied, in, calc->input_count * sizeof *in);
    for (size_t i = 0; i < steps; i++) {
        const double share = (double)i / (double)(steps - 1);
        imp_value *out = results + i * calc->output_count;
        points[i] = i + 1 == steps ? to : from + (to - from) * share;
        varied[vary] = (imp_value){.number = points[i], .given = true};
        const imp_status one = imp_calc_evaluate(calc, varied, out, NULL, error);
        if (one == IMP_OK)
            continue;
        status = one;
        refused++;
        for (size_t k = 0; k < calc->output_count; k++)
            out[k] = (imp_value){.number = (double)NAN, .given = false};
    }
    return refused == steps ? status : IMP_OK;
}
