/* near.h - are two doubles the same but for rounding? cmocka's assert_float_equal compares as
 * float. */
#ifndef TARN_TESTS_NEAR_H
#define TARN_TESTS_NEAR_H

#include "tests/cmocka_all.h"

#include <math.h>

#define assert_near(got, wanted)                                                                   \
    do {                                                                                           \
        double near_got = (got);                                                                   \
        double near_wanted = (wanted);                                                             \
                                                                                                   \
        if (!(fabs(near_got - near_wanted) <= 1e-9 * fmax(1, fabs(near_wanted)))) {                \
            fail_msg("%s is %.12g, not %.12g", #got, near_got, near_wanted);                       \
        }                                                                                          \
    } while (0)

#endif
