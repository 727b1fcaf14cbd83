/* Times the core's everyday operations: one line each, "name<TAB>nanoseconds". Not a test: run_core.sh compares ratios. */
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "catalogue.h"
#include "engine.h"
#include "hose.h"
#include "quantity.h"

static double now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec * 1e9 + (double)time.tv_nsec;
}

static volatile double sink; /* keeps the work from being optimised away */

/* Best of five rounds of at least 0.1 s each: the least disturbed one. */
static void report(const char *name, void (*work)(size_t turns))
{
    double best = 1e300;
    for (int round = 0; round < 5; round++) {
        size_t turns = 64;
        double spent = 0.0;
        while (spent < 1e8) {
            turns *= 2;
            const double start = now();
            work(turns);
            spent = now() - start;
        }
        if (spent / (double)turns < best)
            best = spent / (double)turns;
    }
    printf("%s\t%.1f\n", name, best);
}

static void parse_and_convert(size_t turns)
{
    for (size_t i = 0; i < turns; i++) {
        imp_unit from, to;
        imp_unit_parse("lb/ft^3", 7, &from, NULL);
        imp_unit_parse("kg/m^3", 6, &to, NULL);
        sink = imp_unit_from_si(&to, imp_unit_to_si(&from, (double)i));
    }
}

static void cached_conversion(size_t turns)
{
    imp_unit from, to;
    imp_unit_parse("lb/ft^3", 7, &from, NULL);
    imp_unit_parse("kg/m^3", 6, &to, NULL);
    imp_converter converter = {0.0, 0.0};
    imp_unit_converter(&from, &to, &converter, NULL);
    for (size_t i = 0; i < turns; i++)
        sink = imp_convert(&converter, (double)i);
}

static void quantity_text(size_t turns)
{
    imp_quantity quantity;
    for (size_t i = 0; i < turns; i++) {
        imp_quantity_parse("1200 psi", 8, &quantity, NULL, NULL);
        sink = quantity.si;
    }
}

static void evaluate(const char *id, const double *in, size_t turns)
{
    const imp_calc *calc = imp_catalogue_find(id);
    double out[IMP_MOST_OUTPUTS], inputs[IMP_MOST_INPUTS];
    for (size_t i = 0; i < calc->input_count; i++)
        inputs[i] = in[i];
    const double first = inputs[0];
    for (size_t i = 0; i < turns; i++) {
        inputs[0] = first * (1.0 + 1e-6 * (double)(i & 1023u));
        imp_calc_numbers(calc, inputs, out, NULL);
        sink = out[0];
    }
}

static const double missing = __builtin_nan("");

static void dew_point(size_t turns)
{
    evaluate("climate.dew_point", (const double[]){293.15, 0.5, missing}, turns);
}

static void friction(size_t turns)
{
    evaluate("hose.friction_factor", (const double[]){1e5, 1e-4}, turns);
}

static void pressure_drop(size_t turns)
{
    evaluate("hose.pressure_drop", (const double[]){5e-5, 9.5e-3, 60.0, 1100.0, 0.18, missing, missing, missing}, turns);
}

static void hydraulic_power(size_t turns)
{
    evaluate("pump.hydraulic_power", (const double[]){1e7, 1e-4, missing}, turns);
}

static void foam(size_t turns)
{
    evaluate("yield.foam", (const double[]){200.0, 0.08, 38.0, missing, missing}, turns);
}

static void colebrook_alone(size_t turns)
{
    double factor = 0.0;
    for (size_t i = 0; i < turns; i++) {
        imp_hose_friction_factor(1e5 * (1.0 + 1e-6 * (double)(i & 1023u)), 1e-4, &factor, NULL);
        sink = factor;
    }
}

static void solve_bore(size_t turns)
{
    const imp_calc *calc = imp_catalogue_find("hose.pressure_drop");
    const double in[] = {5e-5, missing, 60.0, 1100.0, 0.18};
    imp_value values[IMP_MOST_INPUTS] = {{.given = false}};
    imp_solution found;
    for (size_t i = 0; i < 5; i++)
        values[i] = (imp_value){.number = in[i], .given = i != 1};
    for (size_t i = 0; i < turns; i++) {
        imp_calc_solve(calc, values, 1, 0, 2e6, &found, NULL);
        sink = found.values[0];
    }
}

int main(void)
{
    report("parse two unit texts and convert", parse_and_convert);
    report("convert between cached units", cached_conversion);
    report("read the quantity 1200 psi", quantity_text);
    report("evaluate climate.dew_point", dew_point);
    report("evaluate hose.friction_factor", friction);
    report("call imp_hose_friction_factor", colebrook_alone);
    report("evaluate hose.pressure_drop", pressure_drop);
    report("evaluate pump.hydraulic_power", hydraulic_power);
    report("evaluate yield.foam", foam);
    report("solve hose.pressure_drop for bore", solve_bore);
    return 0;
}
