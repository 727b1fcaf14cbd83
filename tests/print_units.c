/* Prints every row of the unit table for compare_units.py: name, factor, offset, SI unit and meaning, tab-separated. */
#include <stdio.h>

#include "unit.h"

int main(void)
{
    char si[128];
    for (size_t i = 0; i < imp_unit_count(); i++) {
        const imp_unit_row *row = imp_unit_at(i);
        printf("%s\t%.17g\t%.17g\t%s\t%s\n", row->name, row->factor, row->offset,
               imp_dimension_si_text(row->dimension, si, sizeof si), row->meaning);
    }
    return 0;
}
