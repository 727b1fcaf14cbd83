/* impinge calc --solve-for: the value of an input for which an output meets a target. */
#include <stdio.h>
#include <string.h>

#include "argument.h"
#include "calc_job.h"
#include "engine.h"
#include "value_output.h"

enum { SOLVED_DIGITS = 12 }; /* so that putting the answer back meets the target to nine */

/* An input named by `length` bytes, in an option. */
static imp_status find_input(const calc_job *job, const char *option, const char *name, size_t length, size_t *index,
                             imp_error *error)
{
    char text[96];
    snprintf(text, sizeof text, "%.*s", (int)(length < 90 ? length : 90), name);
    if (imp_calc_input(job->calc, text, index) != NULL)
        return IMP_OK;
    const char *nearest = imp_calc_nearest_input(job->calc, text);
    if (nearest != NULL)
        return imp_fail(error, IMP_UNKNOWN, option, "%s has no input \"%s\"; did you mean \"%s\"?", job->calc->id, text, nearest);
    return imp_fail(error, IMP_UNKNOWN, option, "%s has no input \"%s\"", job->calc->id, text);
}

imp_status calc_find_unknown(calc_job *job, imp_error *error)
{
    imp_status status = IMP_OK;
    const char *sweep = options_text(job->given, OPTION_SWEEP), *solve = options_text(job->given, OPTION_SOLVE_FOR);
    if (job->mode == CALC_SOLVE)
        status = find_input(job, "--solve-for", solve, strlen(solve), &job->unknown, error);
    else if (job->mode == CALC_SWEEP)
        status = find_input(job, "--sweep", sweep, strcspn(sweep, "="), &job->unknown, error);
    if (status == IMP_OK && job->unknown < job->calc->input_count && job->in[job->unknown].given)
        return imp_fail(error, IMP_SYNTAX, job->calc->inputs[job->unknown].name, "is given, and so cannot be %s",
                        job->mode == CALC_SOLVE ? "solved for" : "swept");
    return status;
}

/* --target OUTPUT=VALUE */
static imp_status read_target(calc_job *job, size_t *place, double *target, imp_error *error)
{
    const char *text = options_text(job->given, OPTION_TARGET), *equals = strchr(text, '=');
    char name[96];
    imp_value value;
    if (equals == NULL || equals == text)
        return imp_fail(error, IMP_SYNTAX, "--target", "expected OUTPUT=VALUE, got \"%s\"", text);
    snprintf(name, sizeof name, "%.*s", (int)(equals - text < 90 ? equals - text : 90), text);
    const imp_param *row = imp_calc_output(job->calc, name, place);
    if (row == NULL && job->calc->output_count == 1)
        return imp_fail(error, IMP_UNKNOWN, "--target", "%s has no output \"%s\"; it has %s", job->calc->id, name,
                        job->calc->outputs[0].name);
    if (row == NULL)
        return imp_fail(error, IMP_UNKNOWN, "--target", "%s has no output \"%s\"; \"impinge explain %s\" lists them",
                        job->calc->id, name, job->source.word);
    if (row->kind != IMP_NUMBER)
        return imp_fail(error, IMP_TYPE, "--target", "%s is not a number", name);
    const imp_status status = imp_argument_read(row, equals + 1, &job->arena, &value, error);
    if (status == IMP_OK)
        *target = value.number;
    else
        imp_error_prefix(error, "--target", ": ");
    return status;
}

static void write_text(const calc_job *job, const imp_param *row, const imp_solution *found)
{
    char text[96];
    const int digits = job->out->digits > 0 ? job->out->digits : SOLVED_DIGITS;
    for (size_t i = 0; i < found->count; i++)
        output_format(job->out, "%s\n", imp_param_format(row, found->values[i], digits, text, sizeof text));
    if (job->with_sheet)
        sheet_lines(job->out, job->calc, &job->sheet);
}

static void write_json(const calc_job *job, const imp_param *row, const imp_param *result, double target,
                       const imp_solution *found)
{
    json_writer json;
    const imp_value wanted = {.number = target, .given = true};
    calc_open_json(job, &json);
    json_member_text(&json, "solve_for", row->name);
    json_key(&json, "target");
    json_open_object_inline(&json);
    json_key(&json, result->name);
    value_json(&json, result, &wanted);
    json_close_object(&json);
    json_key(&json, "solutions");
    json_open_array(&json);
    for (size_t i = 0; i < found->count; i++) {
        const imp_value value = {.number = found->values[i], .given = true};
        value_json(&json, row, &value);
    }
    json_close_array(&json);
    calc_close_json(job, &json);
}

imp_status calc_solve(calc_job *job, imp_error *error)
{
    size_t place = 0;
    double target = 0.0;
    imp_solution found = {.count = 0};
    imp_status status = read_target(job, &place, &target, error);
    if (status == IMP_OK)
        status = imp_calc_solve(job->calc, job->in, job->unknown, place, target, &found, error);
    if (status == IMP_OK && job->with_sheet) {
        imp_value *solved = &job->in[job->unknown];
        *solved = (imp_value){.number = found.values[0], .given = true};
        status = calc_evaluate(job, error);
        *solved = (imp_value){.given = false}; /* it is no input */
    }
    if (status != IMP_OK)
        return status;
    if (strcmp(options_text(job->given, OPTION_FORMAT), "json") == 0)
        write_json(job, &job->calc->inputs[job->unknown], &job->calc->outputs[place], target, &found);
    else
        write_text(job, &job->calc->inputs[job->unknown], &found);
    return IMP_OK;
}
