/* impinge calc: one calculation of the catalogue, from the inputs on the command line. */
#include <stdio.h>
#include <string.h>

#include "argument.h"
#include "calculation.h"
#include "commands.h"
#include "exit_code.h"
#include "value_output.h"

typedef struct job {
    const imp_calc *calc;
    imp_arena arena;
    imp_value in[IMP_MOST_INPUTS];
    imp_value out[IMP_MOST_OUTPUTS];
    imp_sheet sheet;
    bool with_sheet;
} job;

/* Split "name=value" words into names and texts that live in the arena. */
static imp_status split_words(job *work, size_t count, const char *const words[], const char **names,
                              const char **texts, imp_error *error)
{
    for (size_t i = 0; i < count; i++) {
        const char *equals = strchr(words[i], '=');
        if (equals == NULL || equals == words[i])
            return imp_fail(error, IMP_SYNTAX, work->calc->id, "expected NAME=VALUE, got \"%s\"", words[i]);
        names[i] = imp_arena_copy_text(&work->arena, words[i], (size_t)(equals - words[i]));
        texts[i] = equals + 1;
        if (names[i] == NULL)
            return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    }
    return IMP_OK;
}

static imp_status read_inputs(job *work, const options *given, imp_error *error)
{
    const size_t count = given->positional_count - 1;
    if (work->calc->input_count > IMP_MOST_INPUTS || work->calc->output_count > IMP_MOST_OUTPUTS)
        return imp_fail(error, IMP_INTERNAL, work->calc->id, "more than %d inputs or outputs", IMP_MOST_INPUTS);
    const char **names = imp_arena_allocate(&work->arena, count + 1, sizeof *names);
    const char **texts = imp_arena_allocate(&work->arena, count + 1, sizeof *texts);
    if (names == NULL || texts == NULL)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    const imp_status status = split_words(work, count, given->positional + 1, names, texts, error);
    if (status != IMP_OK)
        return status;
    return imp_arguments_read(work->calc, count, names, texts, &work->arena, work->in, error);
}

static imp_status evaluate(job *work, imp_error *error)
{
    imp_sheet *sheet = work->with_sheet ? &work->sheet : NULL;
    const imp_status status = imp_calc_evaluate_in(work->calc, work->in, work->out, sheet, &work->arena, error);
    if (status == IMP_OK && work->sheet.failed)
        return imp_fail(error, IMP_MEMORY, NULL, "out of memory");
    return status;
}

static void write_text(const job *work, output *out)
{
    if (work->calc->output_count == 1)
        value_lines(out, work->calc->outputs, work->out, "");
    else
        values_lines(out, work->calc->outputs, work->calc->output_count, work->out, "");
    if (work->with_sheet)
        sheet_lines(out, work->calc, &work->sheet);
}

/* Inputs as the calculation saw them: defaults filled in, absent ones left out. */
static void write_inputs_json(const job *work, json_writer *json)
{
    json_open_object(json);
    for (size_t i = 0; i < work->calc->input_count; i++) {
        const imp_param *row = &work->calc->inputs[i];
        imp_value value = work->in[i];
        if (!value.given && row->presence == IMP_DEFAULT && row->kind != IMP_LIST && row->kind != IMP_TABLE)
            value = (imp_value){.number = row->fallback, .given = true};
        if (!value.given)
            continue;
        json_key(json, row->name);
        value_json(json, row, &value);
    }
    json_close_object(json);
}

static void write_json(const job *work, output *out)
{
    json_writer json;
    json_init(&json, out);
    json_open_object(&json);
    json_key(&json, "impinge");
    json_raw(&json, "1");
    json_member_text(&json, "calculation", work->calc->id);
    json_key(&json, "inputs");
    write_inputs_json(work, &json);
    json_key(&json, "outputs");
    json_open_object(&json);
    for (size_t i = 0; i < work->calc->output_count; i++) {
        json_key(&json, work->calc->outputs[i].name);
        value_json(&json, &work->calc->outputs[i], &work->out[i]);
    }
    json_close_object(&json);
    if (work->with_sheet) {
        json_key(&json, "sheet");
        sheet_json(&json, work->calc, &work->sheet);
    }
    json_close_object(&json);
}

int command_calc(const options *given, output *out)
{
    imp_error error;
    job work = {.calc = find_calculation(given->positional[0], &error), .with_sheet = options_has(given, OPTION_SHEET)};
    if (work.calc == NULL)
        return complain(&error, EXIT_USAGE);
    imp_arena_init(&work.arena, NULL);
    imp_sheet_init(&work.sheet, NULL);
    imp_status status = read_inputs(&work, given, &error);
    if (status == IMP_OK)
        status = evaluate(&work, &error);
    if (status == IMP_OK && strcmp(options_text(given, OPTION_FORMAT), "json") == 0)
        write_json(&work, out);
    else if (status == IMP_OK)
        write_text(&work, out);
    imp_sheet_free(&work.sheet);
    imp_arena_free(&work.arena);
    return status == IMP_OK ? EXIT_OK : complain(&error, exit_code_of_argument(status));
}
