#include "kernels.h"

/* clang ignores the pragma: it gets the kernels that every machine has. */
#if defined(__GNUC__) && !defined(__clang__) && defined(__x86_64__)

#include <immintrin.h>
#include <math.h>

#if defined(__clang__)
#pragma clang attribute push(__attribute__((target("avx2"))), apply_to = function)
#else
#pragma GCC target("avx2")
#endif
#define IMP_LANES_WIDE
#include "kernels_body.h"

static const imp_kernels wide = {run_binary, run_unary, run_select, run_times, run_split_sum, run_moments, run_convert, run_ones, run_holds,
                                 run_running_sums, run_window_means};

#if defined(__clang__)
#pragma clang attribute pop
#endif

const imp_kernels *imp_kernels_wide(void)
{
    return __builtin_cpu_supports("avx2") ? &wide : NULL;
}

#else

const imp_kernels *imp_kernels_wide(void)
{
    return NULL;
}

#endif
