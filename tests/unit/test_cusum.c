/* Evidence that is summed up: Page's one-sided cusum with a slack of half a standard deviation. */
#include "daemon/core/model/cusum.h"
#include "tests/cmocka_all.h"

#include <math.h>
#include <stdlib.h>

static void assert_near(double got, double want)
{
    if (!(fabs(got - want) <= 1e-12)) {
        fail_msg("%.17g is not %.17g", got, want);
    }
}

static void what_lies_within_the_slack_takes_off_and_what_is_above_adds(void **state)
{
    (void)state;
    assert_near(cusum_add(0, 0.4), 0);
    assert_near(cusum_add(0, 0.5), 0);
    assert_near(cusum_add(0, 1.5), 1);
    assert_near(cusum_add(2, 0), 1.5);
    assert_near(cusum_add(2, 3), 4.5);
    assert_near(cusum_add(0.2, -3), 0); /* never below 0 */
}

/* So that after the longest fault it shuts again after ten looks at which nothing was wrong: the
 * top is 1.5 over the threshold of 4.4, and it shuts at 1. */
static void it_does_not_climb_without_end(void **state)
{
    double sum = 0;
    int looks = 0;

    (void)state;
    for (int i = 0; i < 100; i++) {
        sum = cusum_add(sum, 3);
    }
    assert_near(sum, 5.9);
    for (; sum > CUSUM_SHUT; looks++) {
        sum = cusum_add(sum, 0);
    }
    assert_int_equal(looks, 10);
}

/* Kemp's and Siegmund's approximation of the average run by chance at a slack k and a threshold h,
 * (e^(2 k (h + 1.166)) - 1 - 2 k (h + 1.166)) / (2 k^2), is 510 looks at k = 1/2 and h = 4.4: read
 * twice a week, one false alarm in five years for each of the two (Siegmund 1985, from memory). */
static void by_chance_it_opens_once_in_hundreds_of_looks(void **state)
{
    unsigned seed = 7;
    double sum = 0;
    int opened = 0;

    (void)state;
    for (int i = 0; i < 200000; i++) {
        double z = 0;

        for (int k = 0; k < 12; k++) { /* twelve uniforms less six: nearly normal */
            z += rand_r(&seed) / (RAND_MAX + 1.0);
        }
        sum = cusum_add(sum, z - 6);
        if (sum >= CUSUM_OPEN) {
            opened++;
            sum = 0;
        }
    }
    assert_true(opened > 200000 / 700 && opened < 200000 / 350);
}

static void its_certainty_is_that_of_a_sum_by_chance(void **state)
{
    (void)state;
    assert_near(cusum_sure_pct(0), 0);
    assert_near(cusum_sure_pct(log(4)), 75);
    assert_near(cusum_sure_pct(log(100)), 99);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_lies_within_the_slack_takes_off_and_what_is_above_adds),
        cmocka_unit_test(it_does_not_climb_without_end),
        cmocka_unit_test(by_chance_it_opens_once_in_hundreds_of_looks),
        cmocka_unit_test(its_certainty_is_that_of_a_sum_by_chance),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
