/* support.h — what every cmocka test of ours uses: comparisons of doubles that print both numbers. */
#ifndef IMP_TEST_SUPPORT_H
#define IMP_TEST_SUPPORT_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* |actual - expected| <= tolerance, an absolute one. */
#define assert_close(actual, expected, tolerance)                                                                      \
    do {                                                                                                               \
        const double actual_ = (actual), expected_ = (expected), tolerance_ = (tolerance);                             \
        if (!(fabs(actual_ - expected_) <= tolerance_)) {                                                              \
            print_error("%s = %.17g, expected %.17g within %g (relative deviation %.3g)\n", #actual, actual_,          \
                        expected_, tolerance_, (actual_ - expected_) / expected_);                                     \
            _fail(__FILE__, __LINE__);                                                                                 \
        }                                                                                                              \
    } while (0)

/* Relative to the expected value. */
#define assert_relative(actual, expected, tolerance)                                                                   \
    assert_close(actual, expected, fabs(expected) * (tolerance))

/* The text contains the part; prints both when not. */
#define assert_contains(text, part)                                                                                    \
    do {                                                                                                               \
        const char *text_ = (text), *part_ = (part);                                                                   \
        if (strstr(text_, part_) == NULL) {                                                                            \
            print_error("\"%s\" does not contain \"%s\"\n", text_, part_);                                             \
            _fail(__FILE__, __LINE__);                                                                                 \
        }                                                                                                              \
    } while (0)

#endif
