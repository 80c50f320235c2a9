/* How wrong forecasts were, and how much wider or narrower the next ones are for it. */
#include "daemon/core/model/record.h"
#include "tests/cmocka_all.h"

#include <math.h>

static double after(double z, int n)
{
    struct record r = {0};

    for (int i = 0; i < n; i++) {
        record_add(&r, i % 2 ? z : -z);
    }
    return record_scale(&r);
}

static void without_outcomes_a_promise_stands_as_it_is(void **state)
{
    (void)state;
    assert_true(after(0, 0) == 1);
}

/* Outcomes one standard deviation off, as often as not to either side, are what was promised. */
static void outcomes_as_promised_change_nothing(void **state)
{
    (void)state;
    assert_true(fabs(after(1, 5) - 1) < 1e-12);
    assert_true(fabs(after(1, 500) - 1) < 1e-12);
}

static void a_room_that_is_easily_foretold_has_narrow_forecasts(void **state)
{
    (void)state;
    assert_true(after(0.5, 5) < 1);
    assert_true(after(0.5, 50) < after(0.5, 5));
    assert_true(after(0.5, 500) > 0.5); /* it is not taken at its word for good */
}

static void a_room_that_is_not_has_wide_ones_soon(void **state)
{
    (void)state;
    assert_true(after(2, 5) > 1.2);
    assert_true(after(2, 50) > after(2, 5));
}

/* A bucket that leaks is not how wrong forecasts are: nine sd count as three. */
static void a_fault_does_not_widen_all_that_comes(void **state)
{
    (void)state;
    assert_true(after(9, 1) == after(3, 1));
}

static void the_last_outcomes_count_most(void **state)
{
    struct record r = {0};

    (void)state;
    for (int i = 0; i < 40; i++) {
        record_add(&r, 2);
    }
    for (int i = 0; i < 40; i++) {
        record_add(&r, 0.5);
    }
    assert_true(record_scale(&r) < 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_outcomes_a_promise_stands_as_it_is),
        cmocka_unit_test(outcomes_as_promised_change_nothing),
        cmocka_unit_test(a_room_that_is_easily_foretold_has_narrow_forecasts),
        cmocka_unit_test(a_room_that_is_not_has_wide_ones_soon),
        cmocka_unit_test(a_fault_does_not_widen_all_that_comes),
        cmocka_unit_test(the_last_outcomes_count_most),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
