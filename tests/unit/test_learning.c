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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_measured_moves_it_from_what_was_believed),
        cmocka_unit_test(it_weighs_by_how_sure_each_is),
        cmocka_unit_test(a_slip_of_the_pen_is_set_aside),
        cmocka_unit_test(three_in_a_row_are_believed),
        cmocka_unit_test(three_that_disagree_are_not),
        cmocka_unit_test(nothing_believed_takes_the_first_as_it_is),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
