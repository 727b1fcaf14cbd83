/* lanes.h — several doubles at a time: four where the file is compiled for AVX2 (IMP_LANES_WIDE), two with SSE2, the same in
 * plain C elsewhere. Every operation is the scalar one of each lane, so that results are the same on any machine.
 * A truth is all bits set or none; "missing" is any not-a-number. */
#ifndef IMP_LANES_H
#define IMP_LANES_H

#if defined(IMP_LANES_WIDE)

#include <immintrin.h>

enum { LANES = 4 };
typedef __m256d lanes;
#define LANES_UNARY(name, expression)                                                                                  \
    static inline lanes name(lanes a)                                                                                  \
    {                                                                                                                  \
        return expression;                                                                                             \
    }
#define LANES_BINARY(name, expression)                                                                                 \
    static inline lanes name(lanes a, lanes b)                                                                         \
    {                                                                                                                  \
        return expression;                                                                                             \
    }
static inline lanes lanes_load(const double *from)
{
    return _mm256_loadu_pd(from);
}
static inline void lanes_store(double *to, lanes a)
{
    _mm256_storeu_pd(to, a);
}
static inline lanes lanes_of(double all)
{
    return _mm256_set1_pd(all);
}
LANES_UNARY(lanes_root, _mm256_sqrt_pd(a))
LANES_BINARY(lanes_add, _mm256_add_pd(a, b))
LANES_BINARY(lanes_subtract, _mm256_sub_pd(a, b))
LANES_BINARY(lanes_multiply, _mm256_mul_pd(a, b))
LANES_BINARY(lanes_divide, _mm256_div_pd(a, b))
LANES_BINARY(lanes_least, _mm256_min_pd(a, b))
LANES_BINARY(lanes_greatest, _mm256_max_pd(a, b))
LANES_BINARY(lanes_and, _mm256_and_pd(a, b))
LANES_BINARY(lanes_or, _mm256_or_pd(a, b))
LANES_BINARY(lanes_without, _mm256_andnot_pd(b, a))
LANES_BINARY(lanes_equal, _mm256_cmp_pd(a, b, _CMP_EQ_OQ))
LANES_BINARY(lanes_differ, _mm256_cmp_pd(a, b, _CMP_NEQ_UQ))
LANES_BINARY(lanes_above, _mm256_cmp_pd(a, b, _CMP_GT_OQ))
LANES_BINARY(lanes_at_least, _mm256_cmp_pd(a, b, _CMP_GE_OQ))
LANES_BINARY(lanes_missing, _mm256_cmp_pd(a, b, _CMP_UNORD_Q))
static inline unsigned lanes_bits(lanes truth)
{
    return (unsigned)_mm256_movemask_pd(truth);
}
static inline lanes lanes_running(lanes a)
{
    const lanes none = _mm256_setzero_pd();
    const lanes pairs = _mm256_add_pd(a, _mm256_blend_pd(_mm256_permute4x64_pd(a, 0x90), none, 1));
    return _mm256_add_pd(pairs, _mm256_permute2f128_pd(pairs, pairs, 0x08));
}
LANES_UNARY(lanes_last, _mm256_permute4x64_pd(a, 0xff))

#elif defined(__SSE2__)

#include <emmintrin.h>

enum { LANES = 2 };
typedef __m128d lanes;
#define LANES_UNARY(name, expression)                                                                                  \
    static inline lanes name(lanes a)                                                                                  \
    {                                                                                                                  \
        return expression;                                                                                             \
    }
#define LANES_BINARY(name, expression)                                                                                 \
    static inline lanes name(lanes a, lanes b)                                                                         \
    {                                                                                                                  \
        return expression;                                                                                             \
    }
static inline lanes lanes_load(const double *from)
{
    return _mm_loadu_pd(from);
}
static inline void lanes_store(double *to, lanes a)
{
    _mm_storeu_pd(to, a);
}
static inline lanes lanes_of(double all)
{
    return _mm_set1_pd(all);
}
LANES_UNARY(lanes_root, _mm_sqrt_pd(a))
LANES_BINARY(lanes_add, _mm_add_pd(a, b))
LANES_BINARY(lanes_subtract, _mm_sub_pd(a, b))
LANES_BINARY(lanes_multiply, _mm_mul_pd(a, b))
LANES_BINARY(lanes_divide, _mm_div_pd(a, b))
LANES_BINARY(lanes_least, _mm_min_pd(a, b))
LANES_BINARY(lanes_greatest, _mm_max_pd(a, b))
LANES_BINARY(lanes_and, _mm_and_pd(a, b))
LANES_BINARY(lanes_or, _mm_or_pd(a, b))
LANES_BINARY(lanes_without, _mm_andnot_pd(b, a))
LANES_BINARY(lanes_equal, _mm_cmpeq_pd(a, b))
LANES_BINARY(lanes_differ, _mm_cmpneq_pd(a, b))
LANES_BINARY(lanes_above, _mm_cmpgt_pd(a, b))
LANES_BINARY(lanes_at_least, _mm_cmpge_pd(a, b))
LANES_BINARY(lanes_missing, _mm_cmpunord_pd(a, b))
static inline unsigned lanes_bits(lanes truth)
{
    return (unsigned)_mm_movemask_pd(truth);
}
LANES_UNARY(lanes_running, _mm_add_pd(a, _mm_unpacklo_pd(_mm_setzero_pd(), a)))
LANES_UNARY(lanes_last, _mm_unpackhi_pd(a, a))

#else

#include <math.h>
#include <stdint.h>
#include <string.h>

enum { LANES = 1 };
typedef double lanes;
#define LANES_UNARY(name, expression)                                                                                  \
    static inline lanes name(lanes a)                                                                                  \
    {                                                                                                                  \
        return expression;                                                                                             \
    }
#define LANES_BINARY(name, expression)                                                                                 \
    static inline lanes name(lanes a, lanes b)                                                                         \
    {                                                                                                                  \
        return expression;                                                                                             \
    }
static inline uint64_t lane_bits(double a)
{
    uint64_t bits;
    memcpy(&bits, &a, sizeof bits);
    return bits;
}
static inline double lane_from(uint64_t bits)
{
    double a;
    memcpy(&a, &bits, sizeof a);
    return a;
}
static inline lanes lanes_load(const double *from)
{
    return *from;
}
static inline void lanes_store(double *to, lanes a)
{
    *to = a;
}
static inline lanes lanes_of(double all)
{
    return all;
}
LANES_UNARY(lanes_root, sqrt(a))
LANES_BINARY(lanes_add, a + b)
LANES_BINARY(lanes_subtract, a - b)
LANES_BINARY(lanes_multiply, a *b)
LANES_BINARY(lanes_divide, a / b)
LANES_BINARY(lanes_least, a < b ? a : b)
LANES_BINARY(lanes_greatest, a > b ? a : b)
LANES_BINARY(lanes_and, lane_from(lane_bits(a) & lane_bits(b)))
LANES_BINARY(lanes_or, lane_from(lane_bits(a) | lane_bits(b)))
LANES_BINARY(lanes_without, lane_from(lane_bits(a) & ~lane_bits(b)))
LANES_BINARY(lanes_equal, lane_from(a == b ? UINT64_MAX : 0))
LANES_BINARY(lanes_differ, lane_from(a != b ? UINT64_MAX : 0))
LANES_BINARY(lanes_above, lane_from(a > b ? UINT64_MAX : 0))
LANES_BINARY(lanes_at_least, lane_from(a >= b ? UINT64_MAX : 0))
LANES_BINARY(lanes_missing, lane_from(a != a || b != b ? UINT64_MAX : 0))
static inline unsigned lanes_bits(lanes truth)
{
    return lane_bits(truth) >> 63 != 0 ? 1 : 0;
}
LANES_UNARY(lanes_running, a)
LANES_UNARY(lanes_last, a)

#endif

/* lanes_least and lanes_greatest give b where a is missing; lanes_without(a, b) clears in a the bits of b;
 * lanes_bits has a bit for each lane, the first the lowest. lanes_running adds to each lane those before it; lanes_last has
 * the last lane in all. */

#endif
