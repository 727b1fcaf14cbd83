/* Properties that every catalogue entry must have over its whole range, generated from the rows. Each published case of
 * tests/reference/ is a base point; from it every number input in turn is moved over its allowed range. */
#include "support.h"

#include <cjson/cJSON.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>

#include "argument.h"
#include "engine.h"
#include "number.h"

enum { STEPS = 60, BASES_PER_ENTRY = 3, MOST_BASES = 600 };

typedef struct base {
    const imp_calc *calc;
    char id[32];
    imp_value in[IMP_MOST_INPUTS];
} base;

typedef struct bases {
    base list[MOST_BASES];
    size_t count;
    imp_arena arena;
} bases;

/* Outputs that step by their nature: a count, the next standard size, or a wick about to freeze, which has a wet bulb over
 * water and one over ice (ASHRAE eq. 33 and 35 overlap). Everything else must be continuous. */
static const char *const stepping[] = {
    "climate.wet_bulb/wet_bulb",
    "electrical.breaker_rating/rating", "electrical.plug_rating/rating", "electrical.standard_section/standard",
    "electrical.cable_size/section",
    "electrical.cable_size/breaker", "electrical.cable_size/ampacity", "electrical.cable_size/drop_fraction",
    "electrical.cable_ampacity/ampacity", "electrical.cable_ampacity/factor", "electrical.cable_ampacity/largest_breaker",
    "electrical.cable_length/breaker", "electrical.cable_length/ampacity", "electrical.cable_load/current",
    "electrical.cable_load/power", "electrical.cable_load/breaker", "electrical.cable_load/ampacity",
    "electrical.cable_load/drop_fraction", "electrical.cable_size/section_below", "electrical.cable_size/ampacity_below",
    "electrical.cable_size/drop_below", "electrical.cable_size/section_above", "electrical.cable_size/ampacity_above",
    "electrical.cable_size/drop_above",
    "electrical.may_run/power", "electrical.may_run/left_out", "electrical.may_run/largest_current",
    "electrical.may_run/heater_power",
    "yield.sets/sets", "yield.lifts/lifts", "yield.lifts/lift_thickness", "heat.hose_tap/voltage",
    "heat.hose_tap/current", "heat.hose_tap/power", "heat.hose_tap/power_per_length", "heat.hose_tap/apparent_power",
    "yield.sets/iso_left", "yield.sets/resin_left", NULL};

static bool steps_by_nature(const imp_calc *calc, size_t output)
{
    char name[160];
    snprintf(name, sizeof name, "%s/%s", calc->id, calc->outputs[output].name);
    for (size_t i = 0; stepping[i] != NULL; i++)
        if (strcmp(stepping[i], name) == 0)
            return true;
    return calc->outputs[output].kind != IMP_NUMBER;
}

static char *input_text(const cJSON *input)
{
    if (cJSON_IsString(input))
        return strdup(input->valuestring);
    char number[IMP_NUMBER_TEXT_SIZE];
    if (cJSON_IsNumber(input))
        return strdup(imp_number_write(input->valuedouble, 0, number, sizeof number));
    return cJSON_PrintUnformatted(input);
}

static size_t bases_of(const bases *all, const imp_calc *calc)
{
    size_t count = 0;
    for (size_t i = 0; i < all->count; i++)
        count += all->list[i].calc == calc;
    return count;
}

static void add_base(bases *all, const cJSON *item)
{
    const cJSON *entry = cJSON_GetObjectItemCaseSensitive(item, "entry"), *inputs = cJSON_GetObjectItemCaseSensitive(item, "inputs");
    const imp_calc *calc = cJSON_IsString(entry) ? imp_catalogue_find(entry->valuestring) : NULL;
    if (calc == NULL || inputs == NULL || all->count == MOST_BASES || bases_of(all, calc) >= BASES_PER_ENTRY)
        return;
    base *added = &all->list[all->count];
    const char *names[IMP_MOST_INPUTS];
    char *texts[IMP_MOST_INPUTS];
    size_t count = 0;
    for (const cJSON *input = inputs->child; input != NULL && count < IMP_MOST_INPUTS; input = input->next, count++) {
        names[count] = input->string;
        texts[count] = input_text(input);
    }
    added->calc = calc;
    snprintf(added->id, sizeof added->id, "%s", cJSON_GetObjectItemCaseSensitive(item, "id")->valuestring);
    if (imp_arguments_read(calc, count, names, (const char *const *)texts, &all->arena, added->in, NULL) == IMP_OK)
        all->count++;
    for (size_t i = 0; i < count; i++)
        free(texts[i]);
}

static void read_file(bases *all, const char *path)
{
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    fseek(file, 0, SEEK_END);
    const long length = ftell(file);
    rewind(file);
    char *text = calloc((size_t)length + 1, 1);
    assert_int_equal(fread(text, 1, (size_t)length, file), (size_t)length);
    fclose(file);
    cJSON *document = cJSON_Parse(text);
    assert_non_null(document);
    const cJSON *item = NULL;
    cJSON_ArrayForEach(item, cJSON_GetObjectItemCaseSensitive(document, "cases")) add_base(all, item);
    cJSON_Delete(document);
    free(text);
}

static int read_bases(void **state)
{
    bases *all = calloc(1, sizeof *all);
    imp_arena_init(&all->arena, NULL);
    DIR *listing = opendir(IMP_TESTS_FOLDER "/reference");
    assert_non_null(listing);
    for (struct dirent *entry = readdir(listing); entry != NULL; entry = readdir(listing)) {
        char path[1024];
        snprintf(path, sizeof path, "%s/reference/%s", IMP_TESTS_FOLDER, entry->d_name);
        if (strstr(entry->d_name, ".json") != NULL)
            read_file(all, path);
    }
    closedir(listing);
    *state = all;
    return 0;
}

static int free_bases(void **state)
{
    bases *all = *state;
    imp_arena_free(&all->arena);
    free(all);
    return 0;
}

/* Calculations over whole records (a rig) take milliseconds: they are looked at in fewer points, and their continuity
 * and inverses are proved in tests of their own. */
static bool is_structured(const imp_calc *calc)
{
    for (size_t i = 0; i < calc->input_count; i++)
        if (calc->inputs[i].kind == IMP_RECORD || calc->inputs[i].kind == IMP_FILE_OR_RECORD || calc->inputs[i].kind == IMP_TABLE)
            return true;
    return false;
}

static size_t stride(const imp_calc *calc)
{
    return is_structured(calc) ? STEPS / 4 : 1;
}

/* Point i of STEPS over the row's range, ends included; by ratios where it spans decades. */
static double range_point(const imp_param *row, size_t i)
{
    const double share = (double)i / STEPS;
    if (row->low >= 0.0 && row->dimension != IMP_TEMPERATURE && row->high > 100.0 * row->low) {
        const double floor_value = row->low > 0.0 ? row->low : row->high * 1e-6;
        return i == 0 ? row->low : floor_value * pow(row->high / floor_value, share);
    }
    return i == STEPS ? row->high : row->low + (row->high - row->low) * share;
}

static imp_status evaluate(const base *from, size_t input, double x, imp_value *out, imp_error *error)
{
    imp_value in[IMP_MOST_INPUTS];
    memcpy(in, from->in, sizeof in);
    in[input] = (imp_value){.number = x, .given = true};
    return imp_calc_evaluate(from->calc, in, out, NULL, error);
}

static bool can_vary(const base *from, size_t input)
{
    const imp_param *row = &from->calc->inputs[input];
    return row->kind == IMP_NUMBER && imp_param_has_range(row) && (from->in[input].given || row->presence == IMP_DEFAULT);
}

static void every_input_of_kind_number_has_a_range_and_help(void **state)
{
    (void)state;
    int missing = 0;
    for (size_t i = 0; i < imp_catalogue_count(); i++) {
        const imp_calc *calc = imp_catalogue_at(i);
        assert_true(calc->title != NULL && calc->formula != NULL && calc->source != NULL && calc->validity != NULL);
        for (size_t k = 0; k < calc->input_count; k++) {
            const imp_param *row = &calc->inputs[k];
            const bool sound = row->help != NULL && (row->kind != IMP_NUMBER || imp_param_has_range(row)) &&
                               (row->presence != IMP_DEFAULT || row->kind == IMP_CHOICE || imp_check(row, row->fallback, NULL) == IMP_OK);
            if (!sound)
                print_error("%s: input %s lacks a range, help or a default inside its range\n", calc->id, row->name);
            missing += !sound;
        }
        for (size_t k = 0; k < calc->output_count; k++) {
            const imp_param *row = &calc->outputs[k];
            imp_unit unit;
            const bool unit_fits = row->kind != IMP_NUMBER || row->unit == NULL ||
                                   (imp_unit_parse(row->unit, strlen(row->unit), &unit, NULL) == IMP_OK &&
                                    imp_dimension_same(unit.dimension, imp_dimension_of(row->dimension)));
            const bool sound = row->help != NULL && row->trend != NULL && strlen(row->trend) == calc->input_count && unit_fits;
            if (!sound)
                print_error("%s: output %s lacks help, a fitting unit or one trend sign an input\n", calc->id, row->name);
            missing += !sound;
        }
    }
    assert_int_equal(missing, 0);
}

static void every_entry_has_a_base_point_from_a_published_case(void **state)
{
    const bases *all = *state;
    int without = 0;
    for (size_t i = 0; i < imp_catalogue_count(); i++)
        if (bases_of(all, imp_catalogue_at(i)) == 0) {
            print_error("%s has no published case\n", imp_catalogue_at(i)->id);
            without++;
        }
    assert_int_equal(without, 0);
}

static bool is_refusal(imp_status status)
{
    return status == IMP_RANGE || status == IMP_NO_SOLUTION || status == IMP_NOT_APPLICABLE || status == IMP_MISSING;
}

static void whole_range_gives_finite_results_or_one_sentence(void **state)
{
    const bases *all = *state;
    int faults = 0;
    for (size_t b = 0; b < all->count; b++)
        for (size_t i = 0; i < all->list[b].calc->input_count; i++) {
            const base *from = &all->list[b];
            for (size_t s = 0; can_vary(from, i) && s <= STEPS; s += stride(from->calc)) {
                imp_value out[IMP_MOST_OUTPUTS];
                imp_error error = {.status = IMP_OK};
                const double x = range_point(&from->calc->inputs[i], s);
                const imp_status status = evaluate(from, i, x, out, &error);
                bool sound = status == IMP_OK || (is_refusal(status) && strlen(error.message) > 8 && strncmp(error.place, from->calc->id, strlen(from->calc->id)) == 0);
                for (size_t k = 0; status == IMP_OK && k < from->calc->output_count; k++) {
                    sound = sound && (!out[k].given || isfinite(out[k].number));
                    if (out[k].given && from->calc->outputs[k].kind == IMP_NUMBER && imp_param_has_range(&from->calc->outputs[k]))
                        sound = sound && imp_check(&from->calc->outputs[k], out[k].number, NULL) == IMP_OK;
                }
                if (!sound)
                    print_error("%s (case %s): %s = %g (SI): %s: %s\n", from->calc->id, from->id, from->calc->inputs[i].name, x, imp_status_text(status), error.message);
                faults += !sound;
            }
        }
    assert_int_equal(faults, 0);
}

/* The trend sign's word on a step from y0 to y1; a rounding's worth of the other way is allowed, also of an input of the
 * same kind that cancels out (the drop between two pressures). */
static bool trend_holds(char sign, double y0, double y1, double cancelled)
{
    const double rounding = 1e-11 * (fabs(y0) + fabs(y1)) + 1e-14 * cancelled + 1e-300;
    switch (sign) {
    case '+':
        return y1 >= y0 - rounding;
    case '-':
        return y1 <= y0 + rounding;
    case '0':
        return fabs(y1 - y0) <= rounding;
    default:
        return sign == '?';
    }
}

static void declared_trends_hold_over_the_whole_range(void **state)
{
    const bases *all = *state;
    int faults = 0;
    for (size_t b = 0; b < all->count; b++)
        for (size_t i = 0; i < all->list[b].calc->input_count; i++) {
            const base *from = &all->list[b];
            const imp_calc *calc = from->calc;
            imp_value before[IMP_MOST_OUTPUTS], out[IMP_MOST_OUTPUTS];
            bool has_before = false;
            for (size_t s = 0; can_vary(from, i) && s <= STEPS; s += stride(from->calc)) {
                const double x = range_point(&calc->inputs[i], s);
                if (evaluate(from, i, x, out, NULL) != IMP_OK)
                    continue;
                for (size_t k = 0; has_before && k < calc->output_count; k++) {
                    if (!before[k].given || !out[k].given) /* an output that only some inputs have */
                        continue;
                    const bool same_kind = calc->outputs[k].dimension == calc->inputs[i].dimension;
                    if (trend_holds(calc->outputs[k].trend[i], before[k].number, out[k].number, same_kind ? fabs(x) : 0.0))
                        continue;
                    print_error("%s (case %s): %s moves from %.12g to %.12g as %s rises to %g (SI); declared '%c'\n", calc->id, from->id,
                                calc->outputs[k].name, before[k].number, out[k].number, calc->inputs[i].name, x, calc->outputs[k].trend[i]);
                    faults++;
                }
                memcpy(before, out, sizeof before);
                has_before = true;
            }
        }
    assert_int_equal(faults, 0);
}

/* Halve the interval towards the larger change until it is tiny; what change is then left is a jump. */
static double jump_between(const base *from, size_t input, size_t output, double low, double high, double *where)
{
    imp_value at_low[IMP_MOST_OUTPUTS], at_high[IMP_MOST_OUTPUTS], at_middle[IMP_MOST_OUTPUTS];
    if (evaluate(from, input, low, at_low, NULL) != IMP_OK || evaluate(from, input, high, at_high, NULL) != IMP_OK)
        return 0.0;
    if (!at_low[output].given || !at_high[output].given)
        return 0.0;
    for (int halving = 0; halving < 44; halving++) {
        const double middle = 0.5 * (low + high);
        if (evaluate(from, input, middle, at_middle, NULL) != IMP_OK || !at_middle[output].given)
            return 0.0;
        const double left = fabs(at_middle[output].number - at_low[output].number);
        const double right = fabs(at_high[output].number - at_middle[output].number);
        if (left > right) {
            high = middle;
            memcpy(at_high, at_middle, sizeof at_high);
        } else {
            low = middle;
            memcpy(at_low, at_middle, sizeof at_low);
        }
    }
    *where = low;
    return fabs(at_high[output].number - at_low[output].number);
}

static void outputs_are_continuous_across_changes_of_regime(void **state)
{
    const bases *all = *state;
    int faults = 0;
    for (size_t b = 0; b < all->count; b++)
        for (size_t i = 0; i < all->list[b].calc->input_count; i++) {
            const base *from = &all->list[b];
            const imp_calc *calc = from->calc;
            for (size_t s = 1; can_vary(from, i) && !is_structured(calc) && s <= STEPS; s++)
                for (size_t k = 0; k < calc->output_count; k++) {
                    if (steps_by_nature(calc, k))
                        continue;
                    const double low = range_point(&calc->inputs[i], s - 1), high = range_point(&calc->inputs[i], s);
                    imp_value out[IMP_MOST_OUTPUTS];
                    double where = 0.0;
                    const double jump = jump_between(from, i, k, low, high, &where);
                    if (jump == 0.0 || evaluate(from, i, where, out, NULL) != IMP_OK)
                        continue;
                    const double scale = calc->outputs[k].dimension == IMP_TEMPERATURE ? 1.0 : fabs(out[k].number);
                    if (jump > 1e-6 * scale && scale > 1e-12 && jump > 1e-14) {
                        print_error("%s (case %s): %s jumps by %g at %s = %.12g (SI)\n", calc->id, from->id, calc->outputs[k].name, jump, calc->inputs[i].name, where);
                        faults++;
                    }
                }
        }
    assert_int_equal(faults, 0);
}

static bool holds_input(const imp_solution *found, double x, double span)
{
    for (size_t i = 0; i < found->count; i++)
        if (fabs(found->values[i] - x) <= 1e-9 * fmax(fabs(x), 1e-3 * span))
            return true;
    return false;
}

/* Outputs whose slope at the base point is too flat for nine digits of the input to be recoverable are left out by the slope itself. */
static void evaluating_then_solving_returns_the_input(void **state)
{
    const bases *all = *state;
    int faults = 0, tried = 0;
    for (size_t b = 0; b < all->count; b++)
        for (size_t i = 0; i < all->list[b].calc->input_count; i++) {
            const base *from = &all->list[b];
            const imp_calc *calc = from->calc;
            if (!can_vary(from, i) || !from->in[i].given || is_structured(calc))
                continue;
            imp_value out[IMP_MOST_OUTPUTS];
            imp_sensitivity table[IMP_MOST_INPUTS * IMP_MOST_OUTPUTS];
            const double x = from->in[i].number, span = calc->inputs[i].high - calc->inputs[i].low;
            if (imp_calc_evaluate(calc, from->in, out, NULL, NULL) != IMP_OK || imp_calc_sensitivity(calc, from->in, table, NULL) != IMP_OK)
                continue;
            for (size_t k = 0; k < calc->output_count; k++) {
                const char trend = calc->outputs[k].trend[i];
                const double slope = fabs(table[i * calc->output_count + k].derivative);
                const double noise = 1e-14 * fmax(fabs(out[k].number), 1e-300);
                if (steps_by_nature(calc, k) || (trend != '+' && trend != '-') || !(slope * fabs(x) * 1e-9 > 50.0 * noise))
                    continue;
                imp_solution found;
                imp_error error = {.status = IMP_OK};
                tried++;
                if (imp_calc_solve(calc, from->in, i, k, out[k].number, &found, &error) == IMP_OK && holds_input(&found, x, span))
                    continue;
                print_error("%s (case %s): solving %s for %s = %.17g does not return %.12g (%s)\n", calc->id, from->id, calc->inputs[i].name, calc->outputs[k].name, out[k].number, x, error.message);
                faults++;
            }
        }
    print_message("%d inputs solved for\n", tried);
    assert_true(tried > 100);
    assert_int_equal(faults, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_input_of_kind_number_has_a_range_and_help),
        cmocka_unit_test(every_entry_has_a_base_point_from_a_published_case),
        cmocka_unit_test(whole_range_gives_finite_results_or_one_sentence),
        cmocka_unit_test(declared_trends_hold_over_the_whole_range),
        cmocka_unit_test(outputs_are_continuous_across_changes_of_regime),
        cmocka_unit_test(evaluating_then_solving_returns_the_input),
    };
    return cmocka_run_group_tests(tests, read_bases, free_bases);
}
