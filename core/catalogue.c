#include "catalogue.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "number.h"
#include "rooms.h"

static const imp_calc *const rooms[] = {
#define IMP_ROOM(name, title) imp_##name##_calcs,
#include "rooms.def"
#undef IMP_ROOM
};
static const struct {
    const char *name, *title;
} room_titles[] = {
#define IMP_ROOM(name, title) {#name, title},
#include "rooms.def"
#undef IMP_ROOM
};
enum { ROOM_COUNT = sizeof rooms / sizeof rooms[0] };

size_t imp_catalogue_count(void)
{
    size_t count = 0;
    for (size_t room = 0; room < ROOM_COUNT; room++)
        for (const imp_calc *calc = rooms[room]; calc->id != NULL; calc++)
            count++;
    return count;
}

const imp_calc *imp_catalogue_at(size_t index)
{
    for (size_t room = 0; room < ROOM_COUNT; room++)
        for (const imp_calc *calc = rooms[room]; calc->id != NULL; calc++)
            if (index-- == 0)
                return calc;
    return NULL;
}

const imp_calc *imp_catalogue_find(const char *id)
{
    for (size_t room = 0; room < ROOM_COUNT; room++)
        for (const imp_calc *calc = rooms[room]; calc->id != NULL; calc++)
            if (strcmp(calc->id, id) == 0)
                return calc;
    return NULL;
}

const char *imp_catalogue_nearest(const char *id)
{
    const char *nearest = NULL;
    int least = (int)(strlen(id) / 3) + 2;
    for (size_t room = 0; room < ROOM_COUNT; room++)
        for (const imp_calc *calc = rooms[room]; calc->id != NULL; calc++) {
            const char *dot = strchr(calc->id, '.');
            const int whole = imp_name_distance(calc->id, id, least);
            const int name = imp_name_distance(dot + 1, id, least); /* "dew_point" alone is near too */
            const int distance = whole < name ? whole : name;
            if (distance < least) {
                least = distance;
                nearest = calc->id;
            }
        }
    return nearest;
}

const char *imp_room_title(const char *id)
{
    for (size_t room = 0; room < ROOM_COUNT; room++) {
        const size_t length = strlen(room_titles[room].name);
        if (strncmp(id, room_titles[room].name, length) == 0 && id[length] == '.')
            return room_titles[room].title;
    }
    return NULL;
}

static const imp_param *find_row(const imp_param *rows, size_t count, const char *name, size_t *index)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(rows[i].name, name) == 0) {
            if (index != NULL)
                *index = i;
            return &rows[i];
        }
    return NULL;
}

const imp_param *imp_calc_input(const imp_calc *calc, const char *name, size_t *index)
{
    return find_row(calc->inputs, calc->input_count, name, index);
}

const imp_param *imp_calc_output(const imp_calc *calc, const char *name, size_t *index)
{
    return find_row(calc->outputs, calc->output_count, name, index);
}

const char *imp_calc_nearest_input(const imp_calc *calc, const char *name)
{
    const char *nearest = NULL;
    int least = (int)(strlen(name) / 3) + 2;
    for (size_t i = 0; i < calc->input_count; i++) {
        const int distance = imp_name_distance(calc->inputs[i].name, name, least);
        if (distance < least) {
            least = distance;
            nearest = calc->inputs[i].name;
        }
    }
    return nearest;
}

/* Required inputs that are absent, all of them in one sentence. */
static imp_status refuse_missing(const imp_calc *calc, const imp_value *in, imp_error *error)
{
    char names[IMP_MESSAGE_SIZE - 32] = "";
    size_t used = 0;
    for (size_t i = 0; i < calc->input_count && used < sizeof names; i++) {
        if (in[i].given || calc->inputs[i].presence != IMP_REQUIRED)
            continue;
        used += (size_t)snprintf(names + used, sizeof names - used, "%s%s", used > 0 ? ", " : "", calc->inputs[i].name);
    }
    return used == 0 ? IMP_OK : imp_fail(error, IMP_MISSING, NULL, "missing %s", names);
}

static imp_status check_value(const imp_param *row, const imp_value *value, imp_error *error);

static imp_status check_items(const imp_param *row, const imp_value *value, imp_error *error)
{
    size_t fields = 1;
    if (row->kind == IMP_TABLE)
        for (fields = 0; row->rows[fields].name != NULL;)
            fields++;
    for (size_t i = 0; i < value->count * fields; i++) {
        const imp_param *item_row = row->kind == IMP_TABLE ? &row->rows[i % fields] : row;
        const imp_value *item = &value->items[i];
        imp_status status = IMP_OK;
        if (row->kind == IMP_LIST)
            status = imp_check(row, item->number, error);
        else if (item->given)
            status = check_value(item_row, item, error);
        else if (item_row->presence == IMP_REQUIRED)
            status = imp_fail(error, IMP_MISSING, item_row->name, "missing");
        if (status == IMP_OK)
            continue;
        char place[64];
        snprintf(place, sizeof place, "%s[%zu]", row->name, i / fields + 1);
        if (row->kind == IMP_LIST && error != NULL)
            error->place[0] = '\0';
        imp_error_prefix(error, place, ".");
        return status;
    }
    return IMP_OK;
}

static imp_status check_choice(const imp_param *row, double index, imp_error *error)
{
    int count = 0;
    while (row->choices != NULL && row->choices[count] != NULL)
        count++;
    for (int i = 0; i < count; i++)
        if (index == (double)i)
            return IMP_OK;
    return imp_fail(error, IMP_RANGE, row->name, "expected one of %d choices, counted from 0", count);
}

/* Fields of a record; a name or another text that a document must have is nothing that a calculation needs. */
static imp_status check_record(const imp_param *row, const imp_value *value, imp_error *error)
{
    imp_status status = IMP_OK;
    for (size_t i = 0; status == IMP_OK && row->rows[i].name != NULL && i < value->count; i++) {
        if (value->items[i].given)
            status = check_value(&row->rows[i], &value->items[i], error);
        else if (row->rows[i].presence == IMP_REQUIRED && row->rows[i].kind != IMP_TEXT)
            status = imp_fail(error, IMP_MISSING, row->rows[i].name, "missing");
    }
    if (status != IMP_OK)
        imp_error_prefix(error, row->name, ".");
    return status;
}

static imp_status check_value(const imp_param *row, const imp_value *value, imp_error *error)
{
    switch (row->kind) {
    case IMP_CHOICE:
        return check_choice(row, value->number, error);
    case IMP_NUMBER:
        return imp_check(row, value->number, error);
    case IMP_LIST:
    case IMP_TABLE:
        return check_items(row, value, error);
    case IMP_RECORD:
    case IMP_FILE_OR_RECORD:
        return check_record(row, value, error);
    default:
        return IMP_OK;
    }
}

/* The one currency of all prices and amounts among the inputs; empty when none names one. */
static imp_status common_currency(const imp_calc *calc, const imp_value *in, char currency[4], imp_error *error)
{
    const imp_param *first = NULL;
    memset(currency, 0, 4);
    for (size_t i = 0; i < calc->input_count; i++) {
        if (!in[i].given || in[i].currency[0] == '\0')
            continue;
        if (first != NULL && memcmp(currency, in[i].currency, 4) != 0)
            return imp_fail(error, IMP_DIMENSION_MISMATCH, calc->inputs[i].name, "is in %s, but %s is in %s; give one currency",
                            in[i].currency, first->name, currency);
        first = &calc->inputs[i];
        memcpy(currency, in[i].currency, 4);
    }
    return IMP_OK;
}

static void name_currency(const imp_calc *calc, const char currency[4], imp_value *out)
{
    for (size_t i = 0; i < calc->output_count; i++)
        if (imp_dimension_of(calc->outputs[i].dimension).halves[IMP_BASE_MONEY] != 0)
            memcpy(out[i].currency, currency, 4);
}

static imp_status check_results(const imp_calc *calc, const imp_value *out, imp_error *error)
{
    for (size_t i = 0; i < calc->output_count; i++) {
        if (calc->outputs[i].kind == IMP_NUMBER && out[i].given && !isfinite(out[i].number))
            return imp_fail(error, IMP_NO_SOLUTION, calc->outputs[i].name,
                            "has no finite value for these inputs; move them away from the ends of their ranges");
    }
    return IMP_OK;
}

static imp_status fail_in(const imp_calc *calc, imp_status status, imp_error *error)
{
    imp_error_prefix(error, calc->id, ": ");
    return status;
}

/* The inputs as the calculation sees them: checked against their rows, defaults filled in. */
static imp_status fill_inputs(const imp_calc *calc, const imp_value *in, imp_value *filled, imp_error *error)
{
    for (size_t i = 0; i < calc->input_count; i++) {
        const imp_param *row = &calc->inputs[i];
        filled[i] = in[i];
        if (!in[i].given) {
            filled[i] = (imp_value){.number = row->presence == IMP_DEFAULT ? row->fallback : (double)NAN};
            filled[i].given = row->presence == IMP_DEFAULT;
            continue;
        }
        const imp_status status = check_value(row, &in[i], error);
        if (status != IMP_OK)
            return status;
    }
    return IMP_OK;
}

imp_status imp_calc_evaluate(const imp_calc *calc, const imp_value *in, imp_value *out, imp_sheet *sheet, imp_error *error)
{
    return imp_calc_evaluate_in(calc, in, out, sheet, NULL, error);
}

imp_status imp_calc_evaluate_in(const imp_calc *calc, const imp_value *in, imp_value *out, imp_sheet *sheet,
                                imp_arena *arena, imp_error *error)
{
    imp_value filled[IMP_MOST_INPUTS];
    imp_value results[IMP_MOST_OUTPUTS];
    if (calc->input_count > IMP_MOST_INPUTS || calc->output_count > IMP_MOST_OUTPUTS)
        return fail_in(calc, imp_fail(error, IMP_LIMIT, NULL, "more than %d inputs or outputs", IMP_MOST_INPUTS), error);
    char currency[4];
    imp_status status = refuse_missing(calc, in, error);
    if (status == IMP_OK)
        status = fill_inputs(calc, in, filled, error);
    if (status == IMP_OK)
        status = common_currency(calc, filled, currency, error);
    if (status != IMP_OK)
        return fail_in(calc, status, error);
    for (size_t i = 0; i < calc->output_count; i++)
        results[i] = (imp_value){.number = (double)NAN, .given = true};
    const imp_call call = {.in = filled, .out = results, .sheet = sheet, .error = error, .context = calc->context,
                           .arena = arena};
    imp_sheet_inputs(sheet, calc, filled);
    if ((status = calc->evaluate(&call)) != IMP_OK)
        return fail_in(calc, status, error);
    if ((status = check_results(calc, results, error)) != IMP_OK)
        return fail_in(calc, status, error);
    name_currency(calc, currency, results);
    imp_sheet_results(sheet, calc, filled, results);
    memcpy(out, results, calc->output_count * sizeof *out);
    return IMP_OK;
}

imp_status imp_calc_numbers(const imp_calc *calc, const double *in, double *out, imp_error *error)
{
    imp_value values[IMP_MOST_INPUTS], results[IMP_MOST_OUTPUTS];
    for (size_t i = 0; i < calc->input_count && i < IMP_MOST_INPUTS; i++)
        values[i] = (imp_value){.number = in[i], .given = !isnan(in[i])};
    const imp_status status = imp_calc_evaluate(calc, values, results, NULL, error);
    for (size_t i = 0; status == IMP_OK && i < calc->output_count; i++)
        out[i] = results[i].number;
    return status;
}
