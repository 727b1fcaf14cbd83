/* example_values.h — values that look familiar on a job, for examples alone: invented, and no recommendation. */
#ifndef IMP_RUNNER_EXAMPLE_VALUES_H
#define IMP_RUNNER_EXAMPLE_VALUES_H

#include "catalogue.h"

/* SI values (or indices of a choice) that the row of an entry accepts, the most fitting first; at most `most`. Returns
 * their number, which is 0 where nothing familiar fits. */
size_t example_values(const imp_calc *calc, const imp_param *row, double *numbers, size_t most);

#endif
