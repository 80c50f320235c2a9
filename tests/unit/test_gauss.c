/* Figures that are known so and so well. tests/published/check_belief.c sets them beside
 * textbooks. */
#include "daemon/core/model/gauss.h"
#include "tests/cmocka_all.h"

#include <math.h>

static void assert_near(double got, double want, double within)
{
    if (!(fabs(got - want) <= within)) {
        fail_msg("%.17g is not %.17g", got, want);
    }
}

/* y = 2 x + noise: of x alone it is y / 2 with half of the noise. */
static void an_observation_counts_by_how_it_leans_on_the_figure(void **state)
{
    struct gauss straight = gauss_see((struct gauss){1, 4}, 1, 3, 1);
    struct gauss twice = gauss_see((struct gauss){1, 4}, 2, 6, 4);

    (void)state;
    assert_near(straight.mean, 2.6, 1e-12); /* 4 of 5 parts of the way */
    assert_near(straight.var, 0.8, 1e-12);
    assert_near(twice.mean, straight.mean, 1e-12);
    assert_near(twice.var, straight.var, 1e-12);
}

/* Above and below are each other's mirror; a bound far below teaches nothing, one at the mean of a
 * figure known to 1 takes it to sqrt(2 / pi) = 0.7979 over it, with a variance of 1 - 2 / pi. */
static void a_bound_takes_the_half_that_it_leaves(void **state)
{
    struct gauss above = gauss_bound((struct gauss){5, 1}, 5, 1e-9, true);
    struct gauss below = gauss_bound((struct gauss){5, 1}, 5, 1e-9, false);
    struct gauss idle = gauss_bound((struct gauss){5, 1}, -5, 0.1, true);
    struct gauss soft = gauss_bound((struct gauss){5, 4}, 5, 2, true);

    (void)state;
    assert_near(above.mean, 5.797884560802865, 1e-9);
    assert_near(above.var, 1 - 2 / M_PI, 1e-9);
    assert_near(below.mean, 4.202115439197135, 1e-9);
    assert_near(below.var, above.var, 1e-12);
    assert_near(idle.mean, 5, 1e-9);
    assert_near(idle.var, 1, 1e-9);
    /* As wide a bound as the figure: x.var / wide = 4 / sqrt(8) of it. */
    assert_near(soft.mean, 5 + 4 / sqrt(8) * 0.7978845608028654, 1e-9);
    assert_near(soft.var, 4 - 4 * 4 / 8.0 * 2 / M_PI, 1e-9);
}

/* Where erfc has no digits left it is followed by its asymptote, without a step. */
static void a_bound_far_beyond_belief_takes_it_there(void **state)
{
    (void)state;
    assert_near(gauss_bound((struct gauss){0, 1}, 29.9, 1e-6, true).mean, 29.93, 0.01);
    assert_near(gauss_bound((struct gauss){0, 1}, 30.1, 1e-6, true).mean, 30.13, 0.04);
    assert_near(gauss_bound((struct gauss){0, 1}, 500, 1e-6, true).mean, 500, 0.01);
}

static void what_was_learned_can_be_told_as_one_observation(void **state)
{
    struct gauss before = {3, 2};
    struct gauss after = gauss_see(before, 1, 7, 0.5);
    struct gauss seen = gauss_as_observation(before, after);

    (void)state;
    assert_near(seen.mean, 7, 1e-12);
    assert_near(seen.var, 0.5, 1e-12);
    assert_true(isinf(gauss_as_observation(before, before).var));
    assert_true(isinf(gauss_as_observation(before, (struct gauss){3, 2.5}).var));
}

static void quantiles_meet_at_the_joints_of_the_formula(void **state)
{
    static const double joints[] = {0.075, 0.925, 1.3887943864964021e-11}; /* e^-25 */

    (void)state;
    for (int i = 0; i < 3; i++) {
        double p = joints[i];
        double before = normal_quantile(p * (1 - 1e-12));
        double after = normal_quantile(p * (1 + 1e-12));

        assert_true(before <= after);
        assert_near(after, before, 1e-10);
        assert_near(normal_below(normal_quantile(p)) / p, 1, 1e-12);
    }
    assert_near(normal_quantile(0.5), 0, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_observation_counts_by_how_it_leans_on_the_figure),
        cmocka_unit_test(a_bound_takes_the_half_that_it_leaves),
        cmocka_unit_test(a_bound_far_beyond_belief_takes_it_there),
        cmocka_unit_test(what_was_learned_can_be_told_as_one_observation),
        cmocka_unit_test(quantiles_meet_at_the_joints_of_the_formula),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
