/* Every entry of the catalogue with any numbers: those of its rows' ranges, their very ends, beyond them, and any bits of a
 * double. What is asked: evaluate, solve backwards, sensitivity. */
#include <math.h>

#include "engine.h"
#include "fuzz.h"

const char *const fuzz_words[] = {"\x01\x80\x80", "\x02", "\x03", "\x04", "\x05", "\x06", "\xff\xff", "\xf0\x7f", "\xf8\x7f",
                                  "\xff\xff\xff\xff\xff\xff\xef\x7f", NULL};

enum { MOST_ITEMS = 5, DEEPEST = 4 };

static double take_number(fuzz_supply *supply, const imp_param *row)
{
    const bool ranged = imp_param_has_range(row);
    uint16_t fraction;
    switch (take_byte(supply) % 9) {
    case 1: return row->low;
    case 2: return row->high;
    case 3: return nextafter(row->low, (double)INFINITY);
    case 4: return nextafter(row->high, -(double)INFINITY);
    case 5: return take_double(supply);
    case 6: return row->fallback;
    default:
        take_bytes(supply, &fraction, sizeof fraction);
        if (ranged && row->low > 0.0 && row->high / row->low > 100.0) /* over decades */
            return row->low * pow(row->high / row->low, fraction / 65535.0);
        return ranged && isfinite(row->high) ? row->low + (row->high - row->low) * (fraction / 65535.0)
                                             : (double)fraction - 32768.0;
    }
}

static size_t row_count(const imp_param *rows)
{
    size_t count = 0;
    while (rows[count].name != NULL)
        count++;
    return count;
}

static void fill(fuzz_supply *supply, const imp_param *row, imp_arena *arena, int depth, imp_value *value);

static void fill_items(fuzz_supply *supply, const imp_param *row, imp_arena *arena, int depth, imp_value *value)
{
    const size_t rows = row->kind == IMP_LIST ? 1 : row_count(row->rows);
    const size_t records = row->kind == IMP_TABLE || row->kind == IMP_LIST ? take_byte(supply) % (MOST_ITEMS + 1) : 1;
    imp_value *items = imp_arena_allocate(arena, records * rows + 1, sizeof *items);
    if (items == NULL)
        abort();
    for (size_t i = 0; i < records * rows; i++) {
        if (row->kind == IMP_LIST)
            items[i] = (imp_value){.number = take_number(supply, row), .given = true};
        else
            fill(supply, &row->rows[i % rows], arena, depth + 1, &items[i]);
    }
    value->items = items;
    value->count = records;
}

static void fill(fuzz_supply *supply, const imp_param *row, imp_arena *arena, int depth, imp_value *value)
{
    static const char *const texts[] = {"2031-05-14", "", "hose", "1", "2031-13-99"};
    *value = (imp_value){.given = row->presence == IMP_REQUIRED ? take_byte(supply) != 255 : take_byte(supply) % 3 != 0};
    if (!value->given || depth > DEEPEST) {
        value->given = false;
        return;
    }
    switch (row->kind) {
    case IMP_NUMBER: value->number = take_number(supply, row); break;
    case IMP_CHOICE: value->number = take_byte(supply) % 8; break;
    case IMP_FLAG: value->number = take_byte(supply) % 2; break;
    case IMP_TEXT:
    case IMP_DATE: value->text = texts[take_byte(supply) % 5]; break;
    case IMP_LIST:
    case IMP_TABLE:
    case IMP_RECORD:
    case IMP_FILE_OR_RECORD: fill_items(supply, row, arena, depth, value); break;
    }
}

static imp_status evaluate(const imp_calc *calc, const imp_value *in, imp_value *out, imp_sheet *sheet, imp_arena *arena)
{
    imp_error error;
    const imp_status status = imp_calc_evaluate_in(calc, in, out, sheet, arena, &error);
    if (status != IMP_OK)
        require_error(status, &error);
    for (size_t i = 0; status == IMP_OK && i < calc->output_count; i++)
        require(!out[i].given || calc->outputs[i].kind != IMP_NUMBER || isfinite(out[i].number), "results are finite");
    return status;
}

static void ask_more(fuzz_supply *supply, const imp_calc *calc, const imp_value *in)
{
    static imp_sensitivity table[IMP_MOST_INPUTS * IMP_MOST_OUTPUTS];
    imp_solution solution;
    imp_error error;
    const size_t unknown = take_byte(supply) % calc->input_count, output = take_byte(supply) % calc->output_count;
    imp_status status = imp_calc_sensitivity(calc, in, table, &error);
    if (status != IMP_OK)
        require_error(status, &error);
    status = imp_calc_solve(calc, in, unknown, output, take_double(supply), &solution, &error);
    if (status != IMP_OK)
        require_error(status, &error);
    else
        require(solution.count >= 1 && solution.count <= IMP_MOST_SOLUTIONS, "a solution has values");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    fuzz_supply supply = {data, size};
    const imp_calc *calc = imp_catalogue_at(take_byte(&supply) % imp_catalogue_count());
    const uint8_t more = take_byte(&supply);
    imp_value in[IMP_MOST_INPUTS], out[IMP_MOST_OUTPUTS], again[IMP_MOST_OUTPUTS];
    imp_arena arena;
    imp_sheet sheet;
    imp_arena_init(&arena, NULL);
    imp_sheet_init(&sheet, NULL);
    for (size_t i = 0; i < calc->input_count; i++)
        fill(&supply, &calc->inputs[i], &arena, 0, &in[i]);
    const imp_status status = evaluate(calc, in, out, &sheet, &arena);
    require(evaluate(calc, in, again, NULL, &arena) == status, "the same call ends the same way, with a sheet and without");
    for (size_t i = 0; status == IMP_OK && i < calc->output_count; i++)
        require(!out[i].given || memcmp(&out[i].number, &again[i].number, sizeof out[i].number) == 0,
                "the same call gives the same numbers");
    /* rigs and hoses are marched for each value: too slow for hundreds of them */
    if (more % 8 == 0 && strncmp(calc->id, "rig.", 4) != 0 && strncmp(calc->id, "hose.", 5) != 0)
        ask_more(&supply, calc, in);
    imp_sheet_free(&sheet);
    imp_arena_free(&arena);
    return 0;
}
