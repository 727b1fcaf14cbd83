/* impinge calc --sensitivity and --uncertainty: how the outputs move with the inputs, and how sure they are. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "argument.h"
#include "calc_job.h"
#include "engine.h"
#include "number.h"
#include "text_table.h"
#include "value_output.h"

static bool wants_json(const calc_job *job)
{
    return strcmp(options_text(job->given, OPTION_FORMAT), "json") == 0;
}

/* ---- sensitivity ---- */

/* A derivative in imp_derivative_unit. */
static double ratio_value(const imp_param *result, const imp_param *input, double si)
{
    const imp_param of = imp_spread_row(result), by = imp_spread_row(input);
    imp_unit above, below;
    row_unit(&of, &above);
    row_unit(&by, &below);
    return si * below.factor / above.factor;
}

static double value_at(const calc_job *job, size_t input)
{
    return job->in[input].given ? job->in[input].number : job->calc->inputs[input].fallback;
}

static void add_number(text_table *table, double value, const char *unit)
{
    char number[IMP_NUMBER_TEXT_SIZE], text[160];
    const bool pure = unit == NULL || strcmp(unit, "1") == 0;
    snprintf(text, sizeof text, pure ? "%s" : "%s %s", imp_number_write(value, 4, number, sizeof number), unit);
    text_table_add(table, isfinite(value) ? text : "-");
}

static void add_row(const calc_job *job, text_table *table, size_t input, size_t place, const imp_sensitivity *cell)
{
    const imp_param *row = &job->calc->inputs[input], *result = &job->calc->outputs[place];
    char text[96], unit[128];
    text_table_add(table, row->name);
    text_table_add(table, imp_param_format(row, value_at(job, input), 6, text, sizeof text));
    add_number(table, ratio_value(result, row, cell->derivative), imp_derivative_unit(result, row, unit, sizeof unit));
    add_number(table, cell->elasticity, NULL);
}

static imp_status sensitivity_text(calc_job *job, const imp_sensitivity *cells, imp_error *error)
{
    const imp_calc *calc = job->calc;
    bool first = true;
    for (size_t k = 0; k < calc->output_count; k++) {
        char text[96];
        text_table table;
        if (calc->outputs[k].kind != IMP_NUMBER)
            continue;
        output_format(job->out, "%s%s = %s\n", first ? "" : "\n", calc->outputs[k].name,
                      imp_param_format(&calc->outputs[k], job->out_values[k].number, job->out->digits, text, sizeof text));
        first = false;
        text_table_init(&table, &job->arena, 4);
        text_table_add(&table, "input");
        text_table_add(&table, "at");
        text_table_add(&table, "derivative");
        text_table_add(&table, "elasticity");
        for (size_t i = 0; i < calc->input_count; i++)
            if (isfinite(cells[i * calc->output_count + k].derivative))
                add_row(job, &table, i, k, &cells[i * calc->output_count + k]);
        if (!text_table_write(&table, job->out, "  "))
            return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    }
    output_text(job->out, "\nElasticity: by how many percent the output changes when the input grows by one percent.\n");
    if (job->with_sheet)
        sheet_lines(job->out, calc, &job->sheet);
    return IMP_OK;
}

static void sensitivity_json(calc_job *job, const imp_sensitivity *cells)
{
    const imp_calc *calc = job->calc;
    json_writer json;
    calc_open_json(job, &json);
    json_key(&json, "sensitivity");
    json_open_object(&json);
    for (size_t k = 0; k < calc->output_count; k++) {
        if (calc->outputs[k].kind != IMP_NUMBER)
            continue;
        json_key(&json, calc->outputs[k].name);
        json_open_object(&json);
        for (size_t i = 0; i < calc->input_count; i++) {
            const imp_sensitivity *cell = &cells[i * calc->output_count + k];
            char unit[128];
            if (!isfinite(cell->derivative))
                continue;
            json_key(&json, calc->inputs[i].name);
            json_open_object_inline(&json);
            json_key(&json, "derivative");
            json_open_object_inline(&json);
            json_key(&json, "value");
            json_number(&json, ratio_value(&calc->outputs[k], &calc->inputs[i], cell->derivative));
            json_member_text(&json, "unit", imp_derivative_unit(&calc->outputs[k], &calc->inputs[i], unit, sizeof unit));
            json_close_object(&json);
            json_key(&json, "elasticity");
            json_number(&json, cell->elasticity);
            json_close_object(&json);
        }
        json_close_object(&json);
    }
    json_close_object(&json);
    calc_close_json(job, &json);
}

imp_status calc_sensitivity(calc_job *job, imp_error *error)
{
    imp_sensitivity *cells = imp_arena_allocate(&job->arena, job->calc->input_count * job->calc->output_count + 1, sizeof *cells);
    if (cells == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    imp_status status = calc_evaluate(job, error);
    if (status == IMP_OK)
        status = imp_calc_sensitivity(job->calc, job->in, cells, error);
    if (status != IMP_OK)
        return status;
    if (!wants_json(job))
        return sensitivity_text(job, cells, error);
    sensitivity_json(job, cells);
    return IMP_OK;
}

/* ---- uncertainty ---- */

static imp_status read_spread(calc_job *job, const char *text, double *standard, imp_error *error)
{
    const char *equals = strchr(text, '=');
    char name[96];
    size_t input = 0;
    imp_value value;
    if (equals == NULL || equals == text)
        return imp_fail(error, IMP_SYNTAX, "--uncertainty", "expected NAME=VALUE, got \"%s\"", text);
    snprintf(name, sizeof name, "%.*s", (int)(equals - text < 90 ? equals - text : 90), text);
    const imp_param *row = imp_calc_input(job->calc, name, &input);
    if (row == NULL) {
        const char *nearest = imp_calc_nearest_input(job->calc, name);
        return imp_fail(error, IMP_UNKNOWN, "--uncertainty", nearest != NULL ? "%s has no input \"%s\"; did you mean \"%s\"?" : "%s has no input \"%s\"%s",
                        job->calc->id, name, nearest != NULL ? nearest : "");
    }
    if (row->kind != IMP_NUMBER)
        return imp_fail(error, IMP_TYPE, "--uncertainty", "%s is not a number", name);
    if (standard[input] > 0.0)
        return imp_fail(error, IMP_SYNTAX, "--uncertainty", "%s is given twice", name);
    const imp_param spread = imp_spread_row(row);
    const imp_status status = imp_argument_read(&spread, equals + 1, &job->arena, &value, error);
    if (status == IMP_OK)
        standard[input] = value.number;
    else
        imp_error_prefix(error, "--uncertainty", ": ");
    return status;
}

static imp_status read_whole(const calc_job *job, option_id id, const char *name, double *number, imp_error *error)
{
    *number = options_number(job->given, id);
    return *number == floor(*number) ? IMP_OK : imp_fail(error, IMP_RANGE, name, "expected a whole number");
}

static imp_status uncertainty_text(calc_job *job, const imp_uncertainty *results, double draws, double seed, imp_error *error)
{
    const imp_calc *calc = job->calc;
    char text[96], draws_text[IMP_NUMBER_TEXT_SIZE], seed_text[IMP_NUMBER_TEXT_SIZE];
    text_table table;
    text_table_init(&table, &job->arena, 5);
    text_table_add(&table, "output");
    text_table_add(&table, "value");
    text_table_add(&table, "linear");
    text_table_add(&table, "simulated");
    text_table_add(&table, "its error");
    for (size_t k = 0; k < calc->output_count; k++) {
        const imp_param spread = imp_spread_row(&calc->outputs[k]);
        if (calc->outputs[k].kind != IMP_NUMBER)
            continue;
        text_table_add(&table, calc->outputs[k].name);
        text_table_add(&table, imp_param_format(&calc->outputs[k], job->out_values[k].number, job->out->digits, text, sizeof text));
        text_table_add(&table, imp_param_format(&spread, results[k].linear, 4, text, sizeof text));
        text_table_add(&table, imp_param_format(&spread, results[k].simulated, 4, text, sizeof text));
        text_table_add(&table, imp_param_format(&spread, results[k].simulated_error, 2, text, sizeof text));
    }
    if (!text_table_write(&table, job->out, ""))
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    output_format(job->out, "\nStandard uncertainties: linear by JCGM 100 (GUM) eq. 10; simulated by JCGM 101 with %s draws, seed %s;\n"
                            "its error: the standard error of the simulated one.\n",
                  imp_number_write(draws, 0, draws_text, sizeof draws_text), imp_number_write(seed, 0, seed_text, sizeof seed_text));
    if (job->with_sheet)
        sheet_lines(job->out, calc, &job->sheet);
    return IMP_OK;
}

static void spread_json(json_writer *json, const char *key, const imp_param *row, double si)
{
    imp_unit unit;
    row_unit(row, &unit);
    json_key(json, key);
    quantity_json(json, &unit, si);
}

static void uncertainty_json(calc_job *job, const imp_uncertainty *results, const double *standard, double draws, double seed)
{
    const imp_calc *calc = job->calc;
    json_writer json;
    calc_open_json(job, &json);
    json_key(&json, "standard_uncertainties");
    json_open_object(&json);
    for (size_t i = 0; i < calc->input_count; i++) {
        const imp_param spread = imp_spread_row(&calc->inputs[i]);
        if (standard[i] > 0.0)
            spread_json(&json, spread.name, &spread, standard[i]);
    }
    json_close_object(&json);
    json_key(&json, "draws");
    json_number(&json, draws);
    json_key(&json, "seed");
    json_number(&json, seed);
    json_key(&json, "uncertainty");
    json_open_object(&json);
    for (size_t k = 0; k < calc->output_count; k++) {
        const imp_param spread = imp_spread_row(&calc->outputs[k]);
        if (calc->outputs[k].kind != IMP_NUMBER)
            continue;
        json_key(&json, calc->outputs[k].name);
        json_open_object(&json);
        spread_json(&json, "value", &calc->outputs[k], job->out_values[k].number);
        spread_json(&json, "linear", &spread, results[k].linear);
        spread_json(&json, "simulated", &spread, results[k].simulated);
        spread_json(&json, "simulated_error", &spread, results[k].simulated_error);
        spread_json(&json, "mean", &calc->outputs[k], results[k].mean);
        json_close_object(&json);
    }
    json_close_object(&json);
    calc_close_json(job, &json);
}

imp_status calc_uncertainty(calc_job *job, imp_error *error)
{
    double standard[IMP_MOST_INPUTS] = {0.0}, draws = 0.0, seed = 0.0;
    imp_uncertainty results[IMP_MOST_OUTPUTS];
    size_t at = 0;
    imp_status status = read_whole(job, OPTION_DRAWS, "--draws", &draws, error);
    if (status == IMP_OK)
        status = read_whole(job, OPTION_SEED, "--seed", &seed, error);
    for (const char *text; status == IMP_OK && (text = options_next(job->given, OPTION_UNCERTAINTY, &at)) != NULL;)
        status = read_spread(job, text, standard, error);
    if (status == IMP_OK)
        status = calc_evaluate(job, error);
    if (status == IMP_OK)
        status = imp_calc_uncertainty(job->calc, job->in, standard, (size_t)draws, (uint64_t)seed, results, error);
    if (status != IMP_OK)
        return status;
    if (!wants_json(job))
        return uncertainty_text(job, results, draws, seed, error);
    uncertainty_json(job, results, standard, draws, seed);
    return IMP_OK;
}
