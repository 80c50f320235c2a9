/* The rules of a planning problem: which day serves for which job, and what waiting costs. */
#include "daemon/core/plan/plan_problem.h"
#include "tests/cmocka_all.h"
#include "tests/unit/near.h"

#include <math.h>

static const struct plan_room a_plan_room = {
    .usable_l = 100,
    .line_loss_l = 2,
    .cost = {.early_per_day = 0.6, .late_per_day = 2, .move = 1}
};

static struct plan_job window(int32_t earliest, int32_t due, int32_t latest)
{
    return (struct plan_job){
        .earliest = earliest, .due = due, .latest = latest, .kept = PLAN_UNPLANNED};
}

static void a_window_ends_within_the_horizon(void **ctx)
{
    struct plan_room room = a_plan_room;
    struct plan_job j = window(2, 3, 5);

    (void)ctx;
    assert_int_equal(plan_first_day(&j), 2);
    assert_int_equal(plan_last_day(&room, &j), 5);
    room.horizon = 6; /* days 0 to 5 */
    assert_int_equal(plan_last_day(&room, &j), 5);
    room.horizon = 5;
    assert_int_equal(plan_last_day(&room, &j), 4);
    room.horizon = 2; /* before the window: no day serves */
    assert_true(plan_last_day(&room, &j) < plan_first_day(&j));
}

static void no_horizon_reaches_past_what_can_be_planned_at_all(void **ctx)
{
    struct plan_room room = a_plan_room;
    struct plan_job j = window(2, 3, 5000);

    (void)ctx;
    assert_int_equal(plan_last_day(&room, &j), PLAN_DAYS_MAX - 1);
    room.horizon = PLAN_DAYS_MAX + 100;
    assert_int_equal(plan_last_day(&room, &j), PLAN_DAYS_MAX - 1);
    room.horizon = 10;
    assert_int_equal(plan_last_day(&room, &j), 9);
}

static void what_is_overdue_is_for_today(void **ctx)
{
    struct plan_job begun = window(-3, -1, 2);
    struct plan_job late = window(-9, -5, -2);

    (void)ctx;
    assert_int_equal(plan_first_day(&begun), 0);
    assert_int_equal(plan_last_day(&a_plan_room, &begun), 2);
    assert_int_equal(plan_first_day(&late), 0);
    assert_int_equal(plan_last_day(&a_plan_room, &late), 0);
}

static void a_day_off_is_known_as_far_as_days_are_told(void **ctx)
{
    static const bool off[] = {false, true, true};
    struct plan_room room = a_plan_room;

    (void)ctx;
    assert_false(plan_is_off(&room, 1));
    room.off = off;
    room.n_days = 2;
    assert_false(plan_is_off(&room, 0));
    assert_true(plan_is_off(&room, 1));
    assert_false(plan_is_off(&room, 2)); /* past what was told */
}

static void waiting_costs_by_the_day_and_a_move_once(void **ctx)
{
    struct plan_job j = window(0, 3, 9);

    (void)ctx;
    assert_near(plan_wait_cost(&a_plan_room, &j, 3), 0);
    assert_near(plan_wait_cost(&a_plan_room, &j, 1), 2 * 0.6);
    assert_near(plan_wait_cost(&a_plan_room, &j, 5), 2 * 2.0);
    assert_false(plan_is_move(&j, 5)); /* it had no day */
    j.kept = 4;
    assert_false(plan_is_move(&j, 4));
    assert_true(plan_is_move(&j, 5));
    assert_near(plan_wait_cost(&a_plan_room, &j, 4), 2.0);
    assert_near(plan_wait_cost(&a_plan_room, &j, 5), 4 + 1);
}

static void a_jug_takes_no_more_than_it_holds(void **ctx)
{
    struct plan_room room = a_plan_room;
    struct plan_job j = {.volume_l = 8};

    (void)ctx;
    assert_false(plan_by_hand(&room, &j));
    room.hand_l = 8;
    assert_true(plan_by_hand(&room, &j));
    j.volume_l = 8.1;
    assert_false(plan_by_hand(&room, &j));
}

/* 98 L of each filling reach the containers. */
static void a_load_is_as_many_fillings_as_its_litres_take(void **ctx)
{
    struct plan_room room = a_plan_room;

    (void)ctx;
    assert_near(plan_fillings(&room, 0), 1);
    assert_near(plan_fillings(&room, 98), 1);
    assert_near(plan_fillings(&room, 98.1), 2);
    assert_near(plan_fillings(&room, 196), 2);
    room.usable_l = 2; /* all of it stays in the lines */
    assert_true(isinf(plan_fillings(&room, 1)));
}

static void a_job_may_stay_where_its_window_and_the_week_allow(void **ctx)
{
    static const bool off[] = {false, false, false, true, false, false};
    struct plan_room room = a_plan_room;
    struct plan_job j = window(2, 3, 4);

    (void)ctx;
    assert_false(plan_may_stay(&room, &j)); /* it was nowhere */
    j.kept = 1;
    assert_false(plan_may_stay(&room, &j));
    j.kept = 2;
    assert_true(plan_may_stay(&room, &j));
    j.kept = 4;
    assert_true(plan_may_stay(&room, &j));
    j.kept = 5;
    assert_false(plan_may_stay(&room, &j));
    room.off = off;
    room.n_days = 6;
    j.kept = 3;
    assert_false(plan_may_stay(&room, &j));
}

/* The figures are our judgement. What can be said of them is their order: a load is cheaper than
 * a day, late is worse than early, water that floats lack is worse than water that is thrown
 * away, and nothing is as bad as a plant that is left out. */
static void usual_costs_are_in_the_order_that_growers_have_them(void **ctx)
{
    const struct plan_cost *c = &plan_usual_cost;

    (void)ctx;
    assert_true(c->load < c->open && c->hand < c->load);
    assert_true(c->early_per_day < c->late_per_day);
    assert_true(c->plain_per_l < c->short_per_l);
    assert_true(c->early_per_day < c->move && c->move < c->late_per_day);
    assert_true(c->unplanned > 100 * (c->open + c->load + 14 * c->late_per_day));
    assert_true(c->deviation_per_pct * 10 < c->load &&
                c->deviation_per_pct > 0); /* 10 %: still shared */
    assert_true(c->overtime_per_min * 60 > c->open + c->load && c->overtime_per_min < 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_window_ends_within_the_horizon),
        cmocka_unit_test(no_horizon_reaches_past_what_can_be_planned_at_all),
        cmocka_unit_test(what_is_overdue_is_for_today),
        cmocka_unit_test(a_day_off_is_known_as_far_as_days_are_told),
        cmocka_unit_test(waiting_costs_by_the_day_and_a_move_once),
        cmocka_unit_test(a_jug_takes_no_more_than_it_holds),
        cmocka_unit_test(a_load_is_as_many_fillings_as_its_litres_take),
        cmocka_unit_test(a_job_may_stay_where_its_window_and_the_week_allow),
        cmocka_unit_test(usual_costs_are_in_the_order_that_growers_have_them),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
