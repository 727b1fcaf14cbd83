#include "kernels.h"

#if defined(__GNUC__) && defined(__x86_64__)

#include <math.h>

#pragma GCC target("avx2")
#define IMP_LANES_WIDE
#include "kernels_body.h"

static const imp_kernels wide = {run_binary, run_unary, run_select, run_times, run_split_sum};

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
