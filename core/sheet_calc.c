/* The sheet of a catalogue entry: its inputs, its formula with the numbers put in, its results. */
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "catalogue.h"

enum { SUBSTITUTED_SIZE = 1024, SHEET_DIGITS = 6 };

/* The value as text; lists as "40 V, 75 V"; a table as its number of records. */
static void value_text(const imp_param *row, const imp_value *value, char *text, size_t size)
{
    if (!value->given) {
        snprintf(text, size, "not given");
    } else if (row->kind == IMP_LIST) {
        size_t used = 0;
        text[0] = '\0';
        for (size_t i = 0; i < value->count && used < size; i++) {
            char item[96];
            imp_param_format(row, value->items[i].number, SHEET_DIGITS, item, sizeof item);
            used += (size_t)snprintf(text + used, size - used, "%s%s", i > 0 ? ", " : "", item);
        }
    } else if (row->kind == IMP_TABLE) {
        snprintf(text, size, "%zu records", value->count);
    } else if (row->kind == IMP_FLAG) {
        snprintf(text, size, "%s", value->number != 0.0 ? "true" : "false");
    } else if (row->kind == IMP_TEXT || row->kind == IMP_DATE) {
        snprintf(text, size, "%s", value->text != NULL ? value->text : "");
    } else if (row->kind == IMP_RECORD || row->kind == IMP_FILE_OR_RECORD) {
        snprintf(text, size, "as given");
    } else {
        imp_param_format_money(row, value->number, value->currency, SHEET_DIGITS, text, size);
    }
}

void imp_sheet_inputs(imp_sheet *sheet, const imp_calc *calc, const imp_value *in)
{
    if (sheet == NULL)
        return;
    for (size_t i = 0; i < calc->input_count; i++) {
        const imp_param *row = &calc->inputs[i];
        char text[256];
        value_text(row, &in[i], text, sizeof text);
        const imp_sheet_line line = {.role = IMP_SHEET_INPUT, .symbol = row->symbol, .name = row->name,
                                     .value = in[i].number, .unit = row->unit, .text = text};
        imp_sheet_add(sheet, &line);
    }
}

static const imp_param *row_with_symbol(const imp_calc *calc, const char *symbol, size_t length, size_t *index)
{
    for (size_t i = 0; i < calc->input_count; i++) {
        const char *own = calc->inputs[i].symbol;
        if (own != NULL && strlen(own) == length && memcmp(own, symbol, length) == 0) {
            *index = i;
            return &calc->inputs[i];
        }
    }
    return NULL;
}

static size_t identifier_length(const char *text)
{
    if (!isalpha((unsigned char)text[0]))
        return 0;
    size_t length = 1;
    while (isalnum((unsigned char)text[length]) || text[length] == '_')
        length++;
    return length;
}

/* The formula with every input's symbol replaced by its value: "dp = f (L/d) ..." becomes "dp = f ((60 m)/(9.5 mm)) ..." */
static void substitute(const imp_calc *calc, const imp_value *in, char *text, size_t size)
{
    size_t used = 0;
    for (const char *at = calc->formula; *at != '\0' && used + 1 < size;) {
        const size_t length = identifier_length(at);
        size_t index = 0;
        const imp_param *row = length > 0 ? row_with_symbol(calc, at, length, &index) : NULL;
        if (row != NULL && row->kind == IMP_NUMBER && in[index].given) {
            char value[96];
            imp_param_format(row, in[index].number, SHEET_DIGITS, value, sizeof value);
            used += (size_t)snprintf(text + used, size - used, strchr(value, ' ') != NULL ? "(%s)" : "%s", value);
            at += length;
        } else {
            const size_t step = length > 0 ? length : 1;
            used += (size_t)snprintf(text + used, size - used, "%.*s", (int)step, at);
            at += step;
        }
    }
}

void imp_sheet_results(imp_sheet *sheet, const imp_calc *calc, const imp_value *in, const imp_value *out)
{
    if (sheet == NULL)
        return;
    char substituted[SUBSTITUTED_SIZE] = "";
    substitute(calc, in, substituted, sizeof substituted);
    for (size_t i = 0; i < calc->output_count; i++) {
        const imp_param *row = &calc->outputs[i];
        char text[256];
        value_text(row, &out[i], text, sizeof text);
        const imp_sheet_line line = {.role = IMP_SHEET_RESULT, .symbol = row->symbol, .name = row->name,
                                     .formula = i == 0 ? calc->formula : NULL,
                                     .substituted = i == 0 ? substituted : NULL, .value = out[i].number,
                                     .unit = row->unit, .text = text};
        imp_sheet_add(sheet, &line);
    }
}
