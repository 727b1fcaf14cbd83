#include "kernels.h"

#include <math.h>

#include "kernels_body.h"

const imp_kernels imp_kernels_plain = {run_binary, run_unary, run_select, run_times, run_split_sum, run_moments, run_convert, run_ones, run_holds,
                                       run_running_sums, run_window_means};

const imp_kernels *imp_kernels_best(void)
{
    const imp_kernels *wide = imp_kernels_wide();
    return wide != NULL ? wide : &imp_kernels_plain;
}
