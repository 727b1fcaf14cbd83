/* impinge calc: one calculation, from the inputs on the command line: evaluated, solved backwards, swept, or opened. */
#include <stdio.h>
#include <string.h>

#include "argument.h"
#include "calc_job.h"
#include "commands.h"
#include "exit_code.h"
#include "job_file.h"
#include "value_output.h"
#include "watchdog.h"

/* ---- the inputs ---- */

/* Split "name=value" words into names and texts that live in the arena. */
static imp_status split_words(calc_job *job, size_t count, const char *const words[], const char **names,
                              const char **texts, imp_error *error)
{
    for (size_t i = 0; i < count; i++) {
        const char *equals = strchr(words[i], '=');
        if (equals == NULL || equals == words[i])
            return imp_fail(error, IMP_SYNTAX, job->calc->id, "expected NAME=VALUE, got \"%s\"", words[i]);
        names[i] = imp_arena_copy_text(&job->arena, words[i], (size_t)(equals - words[i]));
        texts[i] = equals + 1;
        if (names[i] == NULL)
            return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    }
    return IMP_OK;
}

static imp_status read_inputs(calc_job *job, imp_error *error)
{
    const size_t count = job->given->positional_count - 1;
    if (job->calc->input_count > IMP_MOST_INPUTS || job->calc->output_count > IMP_MOST_OUTPUTS)
        return imp_fail(error, IMP_INTERNAL, job->calc->id, "more than %d inputs or outputs", IMP_MOST_INPUTS);
    const char **names = imp_arena_allocate(&job->arena, count + 1, sizeof *names);
    const char **texts = imp_arena_allocate(&job->arena, count + 1, sizeof *texts);
    if (names == NULL || texts == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    imp_status status = split_words(job, count, job->given->positional + 1, names, texts, error);
    if (status == IMP_OK)
        status = imp_arguments_read(job->calc, count, names, texts, &job->arena, job->in, error);
    if (status == IMP_OK)
        status = calc_take_job(job, error);
    if (status == IMP_OK)
        status = calc_find_unknown(job, error);
    return status == IMP_OK ? calc_prompt(job, error) : status;
}

imp_status calc_evaluate(calc_job *job, imp_error *error)
{
    imp_sheet *sheet = job->with_sheet ? &job->sheet : NULL;
    const imp_status status = imp_calc_evaluate_in(job->calc, job->in, job->out_values, sheet, &job->arena, error);
    if (status == IMP_OK && job->sheet.failed)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    return status;
}

/* ---- one evaluation ---- */

static void write_text(const calc_job *job)
{
    if (job->calc->output_count == 1)
        value_lines(job->out, job->calc->outputs, job->out_values, "");
    else
        values_lines(job->out, job->calc->outputs, job->calc->output_count, job->out_values, "");
    if (job->with_sheet)
        sheet_lines(job->out, job->calc, &job->sheet);
}

/* Inputs as the calculation saw them: defaults filled in, absent ones left out. */
static void write_inputs_json(const calc_job *job, json_writer *json)
{
    json_open_object(json);
    for (size_t i = 0; i < job->calc->input_count; i++) {
        const imp_param *row = &job->calc->inputs[i];
        imp_value value = job->in[i];
        if (!value.given && row->presence == IMP_DEFAULT && row->kind != IMP_LIST && row->kind != IMP_TABLE)
            value = (imp_value){.number = row->fallback, .given = true};
        if (!value.given || (i == job->unknown && job->mode == CALC_SWEEP))
            continue;
        json_key(json, row->name);
        value_json(json, row, &value);
    }
    json_close_object(json);
}

void calc_open_json(const calc_job *job, json_writer *json)
{
    json_init(json, job->out);
    json_open_object(json);
    json_key(json, "impinge");
    json_raw(json, "1");
    json_member_text(json, "calculation", job->calc->id);
    json_key(json, "inputs");
    write_inputs_json(job, json);
}

void calc_close_json(const calc_job *job, json_writer *json)
{
    if (job->with_sheet) {
        json_key(json, "sheet");
        sheet_json(json, job->calc, &job->sheet);
    }
    json_close_object(json);
}

static void write_json(const calc_job *job)
{
    json_writer json;
    calc_open_json(job, &json);
    json_key(&json, "outputs");
    json_open_object(&json);
    for (size_t i = 0; i < job->calc->output_count; i++) {
        json_key(&json, job->calc->outputs[i].name);
        value_json(&json, &job->calc->outputs[i], &job->out_values[i]);
    }
    json_close_object(&json);
    calc_close_json(job, &json);
}

static imp_status calculate(calc_job *job, imp_error *error)
{
    const imp_status status = calc_evaluate(job, error);
    if (status == IMP_OK && strcmp(options_text(job->given, OPTION_FORMAT), "json") == 0)
        write_json(job);
    else if (status == IMP_OK)
        write_text(job);
    return status;
}

/* ---- which of them ---- */

static imp_status run_mode(calc_job *job, imp_error *error)
{
    switch (job->mode) {
    case CALC_SOLVE:
        return calc_solve(job, error);
    case CALC_SWEEP:
        return calc_sweep(job, error);
    case CALC_SENSITIVITY:
        return calc_sensitivity(job, error);
    case CALC_UNCERTAINTY:
        return calc_uncertainty(job, error);
    default:
        return calculate(job, error);
    }
}

/* The one mode that the options ask for; only it has more formats than text and JSON. */
static imp_status find_mode(calc_job *job, imp_error *error)
{
    static const struct {
        option_id option;
        calc_mode mode;
        const char *name;
    } modes[] = {{OPTION_SOLVE_FOR, CALC_SOLVE, "--solve-for"},
                 {OPTION_SWEEP, CALC_SWEEP, "--sweep"},
                 {OPTION_SENSITIVITY, CALC_SENSITIVITY, "--sensitivity"},
                 {OPTION_UNCERTAINTY, CALC_UNCERTAINTY, "--uncertainty"}};
    const char *format = options_text(job->given, OPTION_FORMAT), *chosen = NULL;
    for (size_t i = 0; i < sizeof modes / sizeof modes[0]; i++) {
        if (!options_has(job->given, modes[i].option))
            continue;
        if (chosen != NULL)
            return imp_fail(error, IMP_SYNTAX, "impinge calc", "%s and %s do not go together", chosen, modes[i].name);
        chosen = modes[i].name;
        job->mode = modes[i].mode;
    }
    if (options_has(job->given, OPTION_TARGET) != (job->mode == CALC_SOLVE))
        return imp_fail(error, IMP_SYNTAX, "impinge calc", "--solve-for and --target go together: --solve-for NAME --target OUTPUT=VALUE");
    if (job->mode != CALC_SWEEP && strcmp(format, "text") != 0 && strcmp(format, "json") != 0)
        return imp_fail(error, IMP_SYNTAX, "impinge calc", "--format %s is for a --sweep; without one text or json", format);
    return IMP_OK;
}

int command_calc(const options *given, output *out)
{
    imp_error error;
    calc_job job = {.given = given, .out = out, .with_sheet = options_has(given, OPTION_SHEET)};
    imp_status status = find_mode(&job, &error);
    if (status != IMP_OK)
        return complain(&error, EXIT_USAGE);
    int code = calculation_open(given, given->positional[0], &job.source);
    if (code != EXIT_OK)
        return code;
    display_units units = {.base = NULL};
    if (options_has(given, OPTION_UNITS)) /* a job's own wish is for reports */
        code = display_units_find(options_text(given, OPTION_UNITS), "", NULL, &units);
    if (code == EXIT_OK && options_has(given, OPTION_JOB))
        code = job_file_read(options_text(given, OPTION_JOB), &job.document);
    if (code != EXIT_OK) {
        display_units_free(&units);
        calculation_close(&job.source);
        return code;
    }
    job.calc = job.source.calc;
    job.unknown = job.calc->input_count;
    out->digits = (int)options_number(given, OPTION_DIGITS);
    imp_arena_init(&job.arena, NULL);
    imp_sheet_init(&job.sheet, NULL);
    status = read_inputs(&job, &error);
    if (status == IMP_OK && units.base != NULL)
        status = calc_take_units(&job, &units, &error);
    display_units_free(&units);
    if (status == IMP_OK) {
        if (job.source.script != NULL)
            watchdog_start(options_number(given, OPTION_MAX_SECONDS));
        status = run_mode(&job, &error);
        watchdog_end();
    }
    const int failed = status == IMP_OK ? EXIT_OK : complain(&error, calculation_exit_code(&job.source, status));
    imp_sheet_free(&job.sheet);
    imp_arena_free(&job.arena);
    imp_node_free(job.document, NULL);
    calculation_close(&job.source);
    return failed;
}
