/* How much a plant drinks. tests/published/check_drawdown.c sets the closed forms beside numerical
 * integration and published fits. */
#include "tests/cmocka_all.h"

#include "daemon/core/model/curve.h"

#include <float.h>
#include <math.h>

static const struct curve vine = {.most_l_day = 2, .half_day = 40, .spread_day = 7};

static void assert_near(double got, double want, double within)
{
    if (!(fabs(got - want) <= within)) {
        fail_msg("%.17g is not %.17g", got, want);
    }
}

static void half_of_the_most_is_reached_at_half_day(void **state)
{
    (void)state;
    assert_near(curve_rate_l_day(&vine, 1, 40), 1, 1e-15);
    assert_near(curve_rate_l_day(&vine, 1.5, 40), 1.5, 1e-15);
    /* One spread later 1 / (1 + 1/e) of it, one earlier the rest. */
    assert_near(curve_rate_l_day(&vine, 1, 47), 2 * 0.7310585786300049, 1e-15);
    assert_near(curve_rate_l_day(&vine, 1, 33), 2 * 0.2689414213699951, 1e-15);
}

static void a_seedling_drinks_little_and_a_grown_plant_the_most(void **state)
{
    (void)state;
    assert_true(curve_rate_l_day(&vine, 1, 0) < 0.01);
    assert_true(curve_rate_l_day(&vine, 1, 0) > 0);
    assert_near(curve_rate_l_day(&vine, 1, 300), 2, 1e-12);
}

/* Around the half day the curve is symmetric: the average rate is half of the most. */
static void from_either_side_of_the_half_day_use_is_half_the_most(void **state)
{
    (void)state;
    assert_near(curve_use_l(&vine, 1, 35, 45), 10, 1e-12);
    assert_near(curve_use_l(&vine, 1, 0, 80), 80, 1e-12);
    assert_near(curve_use_l(&vine, 0.5, 0, 80), 40, 1e-12);
}

static void use_adds_up_over_days(void **state)
{
    double sum_l = 0;

    (void)state;
    for (int day = 0; day < 120; day++) {
        sum_l += curve_use_l(&vine, 1.2, day, day + 1);
    }
    assert_near(sum_l, curve_use_l(&vine, 1.2, 0, 120), 1e-10);
}

static void no_time_is_no_use(void **state)
{
    (void)state;
    assert_true(curve_use_l(&vine, 1, 30, 30) == 0);
    assert_true(curve_use_l(&vine, 1, 30, 20) == 0);
    assert_true(curve_age_day(&vine, 1, 30, 0) == 30);
    assert_true(curve_age_day(&vine, 1, 30, -1) == 30);
}

static void the_age_is_where_the_litres_are_used_up(void **state)
{
    (void)state;
    assert_near(curve_age_day(&vine, 1, 35, 10), 45, 1e-12);
    assert_near(curve_age_day(&vine, 1, 0, 80), 80, 1e-10);
    assert_near(curve_age_day(&vine, 1, 500, 2), 501, 1e-10); /* full-grown: 2 L a day */
}

static void use_and_age_are_each_others_inverse(void **state)
{
    (void)state;
    for (int i = 0; i < 20 * 12 * 4; i++) {
        double a0 = 7.3 * (i % 20);
        double litres = 0.001 * pow(3, i / 20 % 12);
        double theta = 0.3 * pow(2, i / 240.0);
        double age = curve_age_day(&vine, theta, a0, litres);

        assert_true(age >= a0);
        assert_near(curve_use_l(&vine, theta, a0, age), litres, 1e-11 * (1 + litres));
    }
}

static void very_small_use_keeps_its_digits(void **state)
{
    static const struct curve slow = {.most_l_day = 1, .half_day = 100, .spread_day = 1};

    (void)state;
    /* Far before the half day the curve is U s e^((a-a50)/s): e^-60 (e - 1) litres. */
    assert_near(curve_use_l(&slow, 1, 40, 41) / 1.5046153324e-26, 1, 1e-9);
    assert_near(curve_age_day(&slow, 1, 40, 1.5046153324e-26), 41, 1e-9);
}

/* Whatever finite figures come, and in whatever order of size. */
static void every_finite_argument_has_a_finite_result(void **state)
{
    static const double sizes[] = {DBL_MIN, 1e-300, 1e-9, 0.5, 7, 1e4, 1e18, 1e154, 1e300, DBL_MAX};
    const size_t n = sizeof sizes / sizeof *sizes;

    (void)state;
    for (size_t i = 0; i < n * n * n * n * n; i++) {
        struct curve c = {sizes[i % n], sizes[i / n % n], sizes[i / n / n % n]};
        double theta = sizes[i / n / n / n % n];
        double a = sizes[i / n / n / n / n % n];

        assert_true(isfinite(curve_rate_l_day(&c, theta, a)));
        assert_true(isfinite(curve_rate_l_day(&c, theta, -a)));
        assert_true(curve_use_l(&c, theta, -a, a) >= 0 && curve_use_l(&c, theta, 0, a) <= DBL_MAX);
        assert_true(curve_use_l(&c, theta, a, DBL_MAX) <= DBL_MAX);
        assert_true(isfinite(curve_age_day(&c, theta, 0, a)));
        assert_true(curve_age_day(&c, theta, a, a) >= a);
        assert_true(curve_age_day(&c, theta, -a, a) >= -a);
    }
}

static void later_is_never_less(void **state)
{
    static const struct curve steep = {.most_l_day = 3, .half_day = 1e6, .spread_day = 1e-6};
    double last_l = 0;
    double last_day = 0;

    (void)state;
    for (int i = 1; i < 2000; i++) {
        double use_l = curve_use_l(&steep, 1, 0, i * 1000.0);
        double age_day = curve_age_day(&steep, 1, 0, i * 10.0);

        assert_true(use_l >= last_l && age_day > last_day);
        last_l = use_l;
        last_day = age_day;
    }
    assert_near(last_l, 3 * 999e3, 1e-6);
    assert_near(last_day, 1e6 + 19990 / 3.0, 1e-6);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(half_of_the_most_is_reached_at_half_day),
        cmocka_unit_test(a_seedling_drinks_little_and_a_grown_plant_the_most),
        cmocka_unit_test(from_either_side_of_the_half_day_use_is_half_the_most),
        cmocka_unit_test(use_adds_up_over_days),
        cmocka_unit_test(no_time_is_no_use),
        cmocka_unit_test(the_age_is_where_the_litres_are_used_up),
        cmocka_unit_test(use_and_age_are_each_others_inverse),
        cmocka_unit_test(very_small_use_keeps_its_digits),
        cmocka_unit_test(every_finite_argument_has_a_finite_result),
        cmocka_unit_test(later_is_never_less),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
