/* How wrong forecasts were, and how much wider or narrower the next ones are for it. */
#include "daemon/core/model/record.h"
#include "tests/cmocka_all.h"

#include <math.h>

static double after(double z, int n)
{
    struct record r = {0};

    for (int i = 0; i < n; i++) {
        record_add(&r, i % 2 ? z : -z, 1, NAN);
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
        record_add(&r, 2, 1, NAN);
    }
    for (int i = 0; i < 40; i++) {
        record_add(&r, 0.5, 1, NAN);
    }
    assert_true(record_scale(&r) < 1);
}

/* Of a normal with mean 0 and standard deviation 1 the score of 0 is (sqrt(2) - 1) / sqrt(pi), and
 * of 1 it is 0.602441 (Gneiting & Raftery 2007, eq. 21, by hand with tables of the normal). */
static void what_came_true_is_counted_and_scored(void **state)
{
    struct record r = {0};

    (void)state;
    record_add(&r, 0, 2, NAN);
    assert_true(fabs(r.score - 2 * 0.233695) < 2e-6);
    assert_int_equal(r.beside, 0);
    r = (struct record){0};
    record_add(&r, 1, 3, -4);
    assert_true(fabs(r.score - 3 * 0.602441) < 3e-6);
    assert_true(r.score_beside == r.score && r.line == 4 && r.beside == 1);
    r = (struct record){0};
    record_add(&r, 1.64, 1, NAN);
    assert_int_equal(r.inside, 1);
    r = (struct record){0};
    record_add(&r, -1.66, 1, NAN);
    assert_int_equal(r.inside, 0);
    assert_int_equal(r.made, 1);
}

/* Nine in ten is judged by what was promised, the record's own width included. */
static void a_narrowed_promise_is_missed_sooner(void **state)
{
    struct record r = {0};

    (void)state;
    for (int i = 0; i < 50; i++) {
        record_add(&r, 0.3, 1, NAN);
    }
    record_add(&r, 1.2, 1, NAN);
    assert_int_equal(r.made - r.inside, 1);
}

static void a_kind_without_outcomes_leans_on_another(void **state)
{
    struct record none = {0};
    struct record wild = {0};
    struct record tame = {0};

    (void)state;
    for (int i = 0; i < 50; i++) {
        record_add(&wild, 2, 1, NAN);
        record_add(&tame, 0.1, 1, NAN);
    }
    assert_true(record_scale_beside(&none, &none) == 1);
    assert_true(record_scale_beside(&none, &wild) == record_scale(&wild));
    assert_true(record_scale_beside(&none, &tame) > record_scale(&tame)); /* not all the way */
    assert_true(record_scale_beside(&none, &tame) < 1);
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
        cmocka_unit_test(what_came_true_is_counted_and_scored),
        cmocka_unit_test(a_narrowed_promise_is_missed_sooner),
        cmocka_unit_test(a_kind_without_outcomes_leans_on_another),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
