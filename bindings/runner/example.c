/* An example for every entry: its own, or values inside the rows' ranges are tried until the calculation accepts them together. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "calculation.h"
#include "example_values.h"
#include "number.h"
#include "value_output.h"

enum { MOST_ATTEMPTS = 4000, FAMILIAR_ATTEMPTS = 60, MOST_CANDIDATES = 16, MOST_RECORDS = 3 };

/* A fixed sequence of picks, so that an entry has the same example every time. */
typedef struct picker {
    const imp_calc *calc;
    unsigned long long state;
    bool first;    /* the first attempt takes the first candidate of everything */
    bool familiar; /* some more attempts keep to the first number */
} picker;

static size_t pick(picker *picks, size_t count)
{
    if (picks->first || count < 2)
        return 0;
    picks->state = picks->state * 6364136223846793005ull + 1442695040888963407ull; /* Knuth, MMIX */
    return (size_t)((picks->state >> 33) % count);
}

/* As pick, but the first candidate, which is the most fitting, at least half of the time. */
static size_t pick_number(picker *picks, size_t count)
{
    return picks->familiar || pick(picks, 2) == 0 ? 0 : pick(picks, count);
}

/* Numbers that look familiar, then such that read well in the row's unit; all in its range. */
static size_t candidates(const picker *picks, const imp_param *row, double *numbers)
{
    static const double nice[] = {20.0, 5.0, 1.0, 100.0, 50.0, 0.5, 2.0, 10.0, 0.1, 0.01, 200.0, 1000.0, 1e4, 1e5};
    size_t count = 0;
    imp_unit unit;
    row_unit(row, &unit);
    if (row->presence == IMP_DEFAULT)
        numbers[count++] = row->fallback;
    count += example_values(picks->calc, row, numbers + count, MOST_CANDIDATES - count);
    for (size_t i = 0; i < sizeof nice / sizeof nice[0] && count < MOST_CANDIDATES; i++)
        if (imp_check(row, imp_unit_to_si(&unit, nice[i]), NULL) == IMP_OK)
            numbers[count++] = imp_unit_to_si(&unit, nice[i]);
    if (count == 0)
        numbers[count++] =
            isfinite(row->high) && imp_check(row, row->high, NULL) == IMP_OK ? row->high : 0.5 * (row->low + row->high);
    return count;
}

static size_t choice_count(const imp_param *row)
{
    size_t count = 0;
    while (row->choices != NULL && row->choices[count] != NULL)
        count++;
    return count;
}

static double pick_choice(picker *picks, const imp_param *row)
{
    double index;
    if (pick(picks, 2) == 0 && example_values(picks->calc, row, &index, 1) == 1)
        return index;
    return (double)pick(picks, choice_count(row));
}

static bool pick_value(const imp_param *row, picker *picks, imp_arena *arena, imp_value *value);

static bool pick_list(const imp_param *row, picker *picks, imp_arena *arena, imp_value *value)
{
    double numbers[MOST_CANDIDATES];
    const size_t choices = candidates(picks, row, numbers);
    const size_t count = 2 + pick(picks, MOST_RECORDS - 1);
    imp_value *items = imp_arena_allocate(arena, count, sizeof *items);
    const bool in_order = picks->familiar || pick(picks, 2) == 0;
    for (size_t i = 0; items != NULL && i < count; i++)
        items[i] = (imp_value){.number = numbers[in_order ? i % choices : pick(picks, choices)], .given = true};
    *value = (imp_value){.items = items, .count = count, .given = items != NULL};
    return items != NULL;
}

static bool pick_table(const imp_param *row, picker *picks, imp_arena *arena, imp_value *value)
{
    size_t fields = 0;
    while (row->rows[fields].name != NULL)
        fields++;
    const size_t count = 1 + pick(picks, MOST_RECORDS);
    imp_value *items = imp_arena_allocate(arena, count * fields, sizeof *items);
    bool complete = items != NULL;
    for (size_t i = 0; complete && i < count * fields; i++)
        complete = pick_value(&row->rows[i % fields], picks, arena, &items[i]);
    *value = (imp_value){.items = items, .count = count, .given = complete};
    return complete;
}

/* A value for a row; an optional one is mostly left out. */
static bool pick_value(const imp_param *row, picker *picks, imp_arena *arena, imp_value *value)
{
    double numbers[MOST_CANDIDATES];
    *value = (imp_value){.number = (double)NAN};
    if (row->presence != IMP_REQUIRED && pick(picks, 4) < 3)
        return true;
    if (row->kind == IMP_LIST)
        return pick_list(row, picks, arena, value);
    if (row->kind == IMP_TABLE)
        return pick_table(row, picks, arena, value);
    value->given = true;
    if (row->kind == IMP_NUMBER)
        value->number = numbers[pick_number(picks, candidates(picks, row, numbers))];
    else if (row->kind == IMP_CHOICE)
        value->number = pick_choice(picks, row);
    else if (row->kind == IMP_FLAG)
        value->number = (double)pick(picks, 2);
    else if (row->kind == IMP_TEXT)
        value->text = row->name;
    else
        value->given = false;
    return true;
}

static imp_status find_values(const imp_calc *calc, imp_arena *arena, imp_value *in)
{
    picker picks = {.calc = calc, .state = 20, .first = true, .familiar = true};
    for (int attempt = 0; attempt < MOST_ATTEMPTS; attempt++) {
        imp_value results[IMP_MOST_OUTPUTS];
        for (size_t i = 0; i < calc->input_count; i++)
            if (!pick_value(&calc->inputs[i], &picks, arena, &in[i]))
                return IMP_MEMORY;
        if (imp_calc_evaluate(calc, in, results, NULL, NULL) == IMP_OK)
            return IMP_OK;
        picks.first = false;
        picks.familiar = attempt < FAMILIAR_ATTEMPTS;
    }
    return IMP_NO_SOLUTION;
}

/* ---- as a person types it ---- */

static void write_number(output *out, const imp_param *row, double si)
{
    char number[IMP_NUMBER_TEXT_SIZE];
    imp_unit unit;
    row_unit(row, &unit);
    output_text(out, imp_quantity_exact(&unit, si, number, sizeof number));
    if (row->unit != NULL && strcmp(row->unit, "1") != 0)
        output_format(out, " %s", row->unit);
}

static void write_scalar(output *out, const imp_param *row, const imp_value *value)
{
    if (row->kind == IMP_NUMBER)
        write_number(out, row, value->number);
    else
        value_text(out, row, value);
}

/* Double quotes in the shell: only where they are needed, and around nothing that the shell would read. */
static void write_argument(output *out, const imp_param *row, const imp_value *value)
{
    output_format(out, " %s=", row->name);
    if (row->kind == IMP_TABLE) {
        size_t fields = 0;
        while (row->rows[fields].name != NULL)
            fields++;
        output_text(out, "'[");
        for (size_t i = 0; i < value->count * fields; i++) {
            bool first = true; /* of the record's given fields */
            for (size_t before = i - i % fields; before < i; before++)
                first = first && !value->items[before].given;
            output_text(out, i % fields == 0 ? (i > 0 ? ", {" : "{") : "");
            if (value->items[i].given) {
                output_format(out, "%s\"%s\": \"", first ? "" : ", ", row->rows[i % fields].name);
                write_scalar(out, &row->rows[i % fields], &value->items[i]);
                output_text(out, "\"");
            }
            output_text(out, i % fields == fields - 1 ? "}" : "");
        }
        output_text(out, "]'");
    } else if (row->kind == IMP_LIST) {
        output_text(out, "\"");
        for (size_t i = 0; i < value->count; i++) {
            output_text(out, i > 0 ? ", " : "");
            write_number(out, row, value->items[i].number);
        }
        output_text(out, "\"");
    } else {
        const size_t start = out->length;
        write_scalar(out, row, value);
        if (out->out_of_memory || memchr(out->text + start, ' ', out->length - start) == NULL)
            return;
        out->length = start;
        output_text(out, "\"");
        write_scalar(out, row, value);
        output_text(out, "\"");
    }
}

imp_status example_command(const imp_calc *calc, const char *word, imp_arena *arena, const char **command)
{
    imp_value in[IMP_MOST_INPUTS];
    output text;
    if (calc->input_count > IMP_MOST_INPUTS || calc->output_count > IMP_MOST_OUTPUTS)
        return IMP_LIMIT;
    const imp_status status = calc->example == NULL ? find_values(calc, arena, in) : IMP_OK;
    if (status != IMP_OK)
        return status;
    output_init(&text, NULL, "never");
    output_format(&text, "impinge calc %s", word);
    if (calc->example != NULL)
        output_format(&text, " %s", calc->example);
    for (size_t i = 0; calc->example == NULL && i < calc->input_count; i++)
        if (in[i].given)
            write_argument(&text, &calc->inputs[i], &in[i]);
    char *copy = text.out_of_memory ? NULL : imp_arena_copy_text(arena, text.text, text.length);
    output_free(&text);
    if (copy == NULL)
        return IMP_MEMORY;
    *command = copy;
    return IMP_OK;
}
