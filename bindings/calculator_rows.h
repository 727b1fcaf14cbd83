/* calculator_rows.h — what a script declares of a calculator, read into rows. Private to the bindings. */
#ifndef IMP_CALCULATOR_ROWS_H
#define IMP_CALCULATOR_ROWS_H

#include "state.h"

/* Read id, title, formula, source, validity, inputs and outputs of the declaration at `index` into calc. All that calc
 * points to lives in the table at `kept`. Raises "calculator foam: inputs: area: unit: ..." when something is wrong. */
void imp_calculator_read(lua_State *L, int index, int kept, imp_calc *calc);

/* The row whose name is nearest to a mistyped one, or NULL. */
const imp_param *imp_row_nearest(const imp_param *rows, size_t count, const char *name);

#endif
