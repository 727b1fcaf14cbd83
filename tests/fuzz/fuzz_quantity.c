/* Quantity texts, one a line: what is read can be written and read again, and arithmetic on it stays defined. */
#include <math.h>

#include "fuzz.h"
#include "number.h"
#include "quantity.h"

const char *const fuzz_words[] = {"psi", "degC", "1/2", "5 5/8 in", "e308", "1e-320", "kg/m^3", " %", "+", "-", ".", "m²", "EUR/kg",
                                  "degF_diff", "K", "gal/min", "0", "9007199254740993", "L/min", "\xc2\xb7", NULL};

static void read_back(const imp_quantity *quantity, const imp_unit *unit)
{
    char number[IMP_NUMBER_TEXT_SIZE], text[IMP_NUMBER_TEXT_SIZE + IMP_UNIT_TEXT_SIZE + 1];
    imp_quantity again;
    imp_quantity_exact(unit, quantity->si, number, sizeof number);
    snprintf(text, sizeof text, "%s %s", number, unit->text);
    if (imp_quantity_parse(text, strlen(text), &again, NULL, NULL) != IMP_OK) {
        /* the value in the unit may not be a finite number, although the SI value is */
        require(!isfinite(imp_unit_from_si(unit, quantity->si)), "a quantity that was read can be written and read again");
        return;
    }
    require(again.si == quantity->si, "the exact text reads back the same value");
    require(again.is_reading == quantity->is_reading, "the exact text reads back the same kind");
}

static void show(const imp_quantity *quantity, const imp_unit *unit)
{
    for (int digits = 0; digits <= 17; digits += 4) {
        char text[96];
        imp_error error;
        const imp_status status = imp_quantity_format(quantity, unit, digits, text, sizeof text, &error);
        if (status != IMP_OK)
            require_error(status, &error);
        else
            require(strlen(text) < sizeof text, "a formatted quantity ends");
    }
}

static void combine(const imp_quantity *a, const imp_quantity *b)
{
    typedef imp_status (*operation)(const imp_quantity *, const imp_quantity *, imp_quantity *, imp_error *);
    static const operation operations[] = {imp_quantity_add, imp_quantity_subtract, imp_quantity_multiply,
                                           imp_quantity_divide};
    imp_error error;
    imp_quantity result;
    int order;
    for (size_t i = 0; i < sizeof operations / sizeof operations[0]; i++) {
        const imp_status status = operations[i](a, b, &result, &error);
        if (status != IMP_OK)
            require_error(status, &error);
        else
            require(isfinite(result.si), "arithmetic gives a finite number or says why not");
    }
    imp_status status = imp_quantity_power(a, b->si, &result, &error);
    if (status != IMP_OK)
        require_error(status, &error);
    status = imp_quantity_compare(a, b, &order, &error);
    if (status != IMP_OK)
        require_error(status, &error);
    else
        require(order == -1 || order == 0 || order == 1, "a comparison has three answers");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    fuzz_supply supply = {data, size};
    imp_quantity last = {.si = 1.0};
    const char *line;
    size_t length;
    while (take_line(&supply, &line, &length)) {
        char *text = malloc(length + 1); /* of its own, so that reading beyond it is seen */
        imp_quantity quantity;
        imp_unit unit;
        imp_error error;
        if (text == NULL)
            return 0;
        memcpy(text, line, length);
        const imp_status status = imp_quantity_parse(text, length, &quantity, &unit, &error);
        free(text);
        if (status != IMP_OK) {
            require_error(status, &error);
            continue;
        }
        require(isfinite(quantity.si), "a quantity is finite");
        read_back(&quantity, &unit);
        show(&quantity, &unit);
        combine(&quantity, &last);
        last = quantity;
    }
    return 0;
}
