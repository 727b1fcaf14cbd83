/* Unit texts, one a line: what is read has a meaning that its own text gives again, and converts to what it fits. */
#include <math.h>

#include "fuzz.h"
#include "unit.h"

const char *const fuzz_words[] = {"kg", "m^3", "/", "(", ")", "^-2", "²", "\xc2\xb7", "*", "W/(m K)", "lb", "degC", "inH2O", "kPa", "mm2",
                                  "1", "%", "EUR", "USD", "32", "yd3", "ns", "Gm", "^", " ", NULL};

static void convert(const imp_unit *from, const imp_unit *to)
{
    imp_converter converter;
    imp_error error;
    const imp_status status = imp_unit_converter(from, to, &converter, &error);
    if (status != IMP_OK)
        require_error(status, &error);
    else
        require(!isnan(imp_convert(&converter, 1.0)), "what converts gives a number");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    fuzz_supply supply = {data, size};
    imp_unit last, unit, again;
    const char *line;
    size_t length;
    imp_unit_parse("", 0, &last, NULL);
    while (take_line(&supply, &line, &length)) {
        char *text = malloc(length + 1);
        imp_error error;
        if (text == NULL)
            return 0;
        memcpy(text, line, length);
        const imp_status status = imp_unit_parse(text, length, &unit, &error);
        free(text);
        if (status != IMP_OK) {
            require_error(status, &error);
            continue;
        }
        require(isfinite(unit.factor) && unit.factor > 0.0, "a unit has a finite factor above zero");
        require(imp_unit_parse(unit.text, strlen(unit.text), &again, NULL) == IMP_OK, "a unit's text can be read again");
        require(again.factor == unit.factor && again.offset == unit.offset && again.is_reading == unit.is_reading &&
                    again.is_absolute == unit.is_absolute && imp_dimension_same(again.dimension, unit.dimension),
                "a unit's text means the same again");
        require(fabs(imp_unit_from_si(&unit, imp_unit_to_si(&unit, 20.0)) - 20.0) < 1e-9, "there and back again");
        convert(&unit, &last);
        convert(&last, &unit);
        last = unit;
    }
    return 0;
}
