/* A figure that is learned: it follows what is measured, and not a slip of the pen. */
#include "daemon/core/model/learning.h"
#include "tests/cmocka_all.h"

#include <math.h>

static void what_is_measured_moves_it_from_what_was_believed(void **state)
{
    struct learned l = learned_from(1.6, 0.16, 0);

    (void)state;
    for (int i = 0; i < 20; i++) {
        assert_true(learned_take(&l, 1, 1.8, 0.05));
    }
    assert_true(fabs(l.value - 1.8) < 0.005);
    assert_true(learned_sd(&l) < 0.012); /* 0.05 over the root of 20, and the prior */
    assert_int_equal(l.n_used, 20);
}

/* Of two equally sure figures the mean: the textbook's product of two normal densities. */
static void it_weighs_by_how_sure_each_is(void **state)
{
    struct learned l = learned_from(1.0, 0.1, 0);

    (void)state;
    assert_true(learned_take(&l, 1, 1.2, 0.1));
    assert_true(fabs(l.value - 1.1) < 1e-12);
    assert_true(fabs(learned_sd(&l) - 0.1 / sqrt(2)) < 1e-12);
}

static void a_slip_of_the_pen_is_set_aside(void **state)
{
    struct learned l = learned_from(1.6, 0.05, 0);

    (void)state;
    assert_true(learned_take(&l, 1, 1.62, 0.05));
    assert_false(learned_take(&l, 1, 16.2, 0.05));
    assert_true(fabs(l.value - 1.61) < 0.005);
    assert_int_equal(l.n_aside, 1);
    assert_true(learned_take(&l, 1, 1.6, 0.05));
}

static void three_in_a_row_are_believed(void **state)
{
    struct learned l = learned_from(1.6, 0.05, 0);

    (void)state;
    assert_false(learned_take(&l, 1, 2.4, 0.05));
    assert_false(learned_take(&l, 1, 2.4, 0.05));
    assert_true(learned_take(&l, 1, 2.4, 0.05));
    assert_true(fabs(l.value - 2.4) < 0.01);
    assert_int_equal(l.n_aside, 2);
}

static void three_that_disagree_are_not(void **state)
{
    struct learned l = learned_from(1.6, 0.05, 0);

    (void)state;
    assert_false(learned_take(&l, 1, 2.4, 0.05));
    assert_false(learned_take(&l, 1, 0.8, 0.05));
    assert_false(learned_take(&l, 1, 2.4, 0.05));
    assert_true(l.value == 1.6);
}

static void nothing_believed_takes_the_first_as_it_is(void **state)
{
    struct learned l = learned_from(0, INFINITY, 0.03);

    (void)state;
    assert_true(isinf(learned_sd(&l)));
    assert_true(learned_take(&l, 2, 0.5, 0.1));
    assert_true(l.value == 0.25);
    assert_true(learned_sd(&l) == 0.05);
}

/* The scalar Kalman filter with a random walk, by hand: y = x value, x = 0.5, and the figure may
 * have wandered by 5 % of 2 since the last time. */
static void it_may_have_wandered_since_the_last_time(void **state)
{
    struct learned l = learned_from(2, 0.1, 0.05);
    double prior = 0.1 * 0.1 + 0.1 * 0.1;
    double s = 0.25 * prior + 0.05 * 0.05;

    (void)state;
    assert_true(learned_take(&l, 0.5, 1.1, 0.05));
    assert_true(fabs(l.value - (2 + prior * 0.5 / s * 0.1)) < 1e-12);
    assert_true(fabs(l.var - (prior - 0.25 * prior * prior / s)) < 1e-12);
}

/* sqrt(0.05^2 + 0.12^2) = 0.13: three of them are 0.39. */
static void it_is_set_aside_from_three_standard_deviations(void **state)
{
    static const double sides[] = {1, -1};

    (void)state;
    for (int i = 0; i < 2; i++) {
        struct learned l = learned_from(1.6, 0.05, 0);

        assert_true(learned_take(&l, 1, 1.6 + sides[i] * 0.389, 0.12));
        l = learned_from(1.6, 0.05, 0);
        assert_false(learned_take(&l, 1, 1.6 + sides[i] * 0.391, 0.12));
        assert_int_equal(l.in_a_row, sides[i]);
        assert_int_equal(l.n_used, 0);
        assert_true(l.value == 1.6);
    }
}

static void one_that_is_taken_breaks_the_row(void **state)
{
    struct learned l = learned_from(1.6, 0.05, 0);

    (void)state;
    assert_false(learned_take(&l, 1, 2.4, 0.05));
    assert_false(learned_take(&l, 1, 2.4, 0.05));
    assert_int_equal(l.in_a_row, 2);
    assert_true(learned_take(&l, 1, 1.6, 0.05));
    assert_int_equal(l.in_a_row, 0);
    assert_false(learned_take(&l, 1, 2.4, 0.05));
    assert_false(learned_take(&l, 1, 0.8, 0.05)); /* on the other side a row of its own */
    assert_int_equal(l.in_a_row, -1);
    assert_false(learned_take(&l, 1, 0.8, 0.05));
    assert_true(learned_take(&l, 1, 0.8, 0.05));
    assert_true(fabs(l.value - 0.8) < 0.01);
}

/* It has moved by as much as it was off, 0.8 for x = 2 being 0.4, and is known by the last
 * alone. */
static void what_has_moved_is_as_sure_as_its_last_observation(void **state)
{
    struct learned l = learned_from(1.6, 0.05, 0);

    (void)state;
    (void)learned_take(&l, 2, 4.0, 0.1);
    (void)learned_take(&l, 2, 4.0, 0.1);
    assert_true(learned_take(&l, 2, 4.0, 0.1));
    assert_true(fabs(l.value - (1.6 + 0.4 * 0.64 / (0.64 + 0.01))) < 1e-12);
    assert_true(fabs(l.var - 0.16 * 0.01 / (0.64 + 0.01)) < 1e-12);
    assert_int_equal(l.n_used, 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_measured_moves_it_from_what_was_believed),
        cmocka_unit_test(it_weighs_by_how_sure_each_is),
        cmocka_unit_test(a_slip_of_the_pen_is_set_aside),
        cmocka_unit_test(three_in_a_row_are_believed),
        cmocka_unit_test(three_that_disagree_are_not),
        cmocka_unit_test(nothing_believed_takes_the_first_as_it_is),
        cmocka_unit_test(it_may_have_wandered_since_the_last_time),
        cmocka_unit_test(it_is_set_aside_from_three_standard_deviations),
        cmocka_unit_test(one_that_is_taken_breaks_the_row),
        cmocka_unit_test(what_has_moved_is_as_sure_as_its_last_observation),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
