/* lanes.h — two doubles at a time where the machine has them (SSE2), the same in plain C elsewhere.
 * Every operation is the scalar one of each half, so that results are the same on any machine. */
#ifndef IMP_LANES_H
#define IMP_LANES_H

#include <stdint.h>
#include <string.h>

#if defined(__SSE2__)

#include <emmintrin.h>

typedef __m128d imp_lanes;

static inline imp_lanes imp_lanes_load(const double *from)
{
    return _mm_loadu_pd(from);
}
static inline void imp_lanes_store(double *to, imp_lanes a)
{
    _mm_storeu_pd(to, a);
}
static inline imp_lanes imp_lanes_of(double both)
{
    return _mm_set1_pd(both);
}
static inline imp_lanes imp_lanes_add(imp_lanes a, imp_lanes b)
{
    return _mm_add_pd(a, b);
}
static inline imp_lanes imp_lanes_subtract(imp_lanes a, imp_lanes b)
{
    return _mm_sub_pd(a, b);
}
/* b where a is not-a-number */
static inline imp_lanes imp_lanes_least(imp_lanes a, imp_lanes b)
{
    return _mm_min_pd(a, b);
}
static inline imp_lanes imp_lanes_greatest(imp_lanes a, imp_lanes b)
{
    return _mm_max_pd(a, b);
}
/* 0 where a is not-a-number */
static inline imp_lanes imp_lanes_present(imp_lanes a)
{
    return _mm_and_pd(a, _mm_cmpord_pd(a, a));
}
/* 1 where a is a number, else 0 */
static inline imp_lanes imp_lanes_is_present(imp_lanes a)
{
    return _mm_and_pd(_mm_set1_pd(1.0), _mm_cmpord_pd(a, a));
}
/* not zero where a or b is not zero; signs do not matter */
static inline imp_lanes imp_lanes_either(imp_lanes a, imp_lanes b)
{
    return _mm_or_pd(a, b);
}
/* a where mask is 1, else not-a-number */
static inline imp_lanes imp_lanes_where(imp_lanes a, imp_lanes mask)
{
    return _mm_or_pd(a, _mm_cmpneq_pd(mask, _mm_set1_pd(1.0)));
}

#else

typedef struct imp_lanes {
    double half[2];
} imp_lanes;

#define IMP_LANES_EACH(expression)                                                                                     \
    imp_lanes result;                                                                                                  \
    for (int i = 0; i < 2; i++)                                                                                        \
        result.half[i] = (expression);                                                                                 \
    return result

static inline imp_lanes imp_lanes_load(const double *from)
{
    IMP_LANES_EACH(from[i]);
}
static inline void imp_lanes_store(double *to, imp_lanes a)
{
    to[0] = a.half[0];
    to[1] = a.half[1];
}
static inline imp_lanes imp_lanes_of(double both)
{
    IMP_LANES_EACH(both);
}
static inline imp_lanes imp_lanes_add(imp_lanes a, imp_lanes b)
{
    IMP_LANES_EACH(a.half[i] + b.half[i]);
}
static inline imp_lanes imp_lanes_subtract(imp_lanes a, imp_lanes b)
{
    IMP_LANES_EACH(a.half[i] - b.half[i]);
}
static inline imp_lanes imp_lanes_least(imp_lanes a, imp_lanes b)
{
    IMP_LANES_EACH(a.half[i] < b.half[i] ? a.half[i] : b.half[i]);
}
static inline imp_lanes imp_lanes_greatest(imp_lanes a, imp_lanes b)
{
    IMP_LANES_EACH(a.half[i] > b.half[i] ? a.half[i] : b.half[i]);
}
static inline imp_lanes imp_lanes_present(imp_lanes a)
{
    IMP_LANES_EACH(a.half[i] == a.half[i] ? a.half[i] : 0.0);
}
static inline imp_lanes imp_lanes_is_present(imp_lanes a)
{
    IMP_LANES_EACH(a.half[i] == a.half[i] ? 1.0 : 0.0);
}
static inline imp_lanes imp_lanes_either(imp_lanes a, imp_lanes b)
{
    IMP_LANES_EACH(a.half[i] != 0.0 ? a.half[i] : b.half[i]);
}
static inline imp_lanes imp_lanes_where(imp_lanes a, imp_lanes mask)
{
    const uint64_t quiet = UINT64_C(0x7ff8) << 48;
    double missing;
    memcpy(&missing, &quiet, sizeof missing);
    IMP_LANES_EACH(mask.half[i] == 1.0 ? a.half[i] : missing);
}

#undef IMP_LANES_EACH

#endif

#endif
