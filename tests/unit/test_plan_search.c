/* On which day each job is done: crowds go to their due days, few jobs where they cost least,
 * and a search never ends with a dearer plan than it began with. */
#include "daemon/core/plan/plan_search.h"
#include "tests/cmocka_all.h"
#include "tests/unit/drawn_jobs.h"
#include "tests/unit/every_plan.h"
#include "tests/unit/near.h"

#include <stdlib.h>

#define CROWD 5001 /* one more than are searched */
#define JOBS  6
#define DAYS  6

static const double budgets[] = {60, 60, 0, 60, 45, 90};

static const struct plan_room a_plan_room = {A_PLAN_ROOM(100, budgets, DAYS)};

static int32_t day_in_a_crowd(const struct plan_room *room, struct plan_job first)
{
    struct plan_job *job = calloc(CROWD, sizeof *job);
    struct plan_place *place = calloc(CROWD, sizeof *place);
    int32_t day;

    assert_true(job && place);
    for (size_t i = 0; i < CROWD; i++) {
        job[i] = (struct plan_job){.ec_ms_cm = 1, .kept = PLAN_UNPLANNED};
    }
    job[0] = first;
    plan_fill(room, job, CROWD, place);
    day = place[0].day;
    assert_false(place[0].by_hand);
    free(job);
    free(place);
    return day;
}

static struct plan_job window(int32_t earliest, int32_t due, int32_t latest)
{
    return (struct plan_job){.earliest = earliest,
                             .due = due,
                             .latest = latest,
                             .ec_ms_cm = 1,
                             .volume_l = 5,
                             .minutes = 5,
                             .kept = PLAN_UNPLANNED};
}

static void in_a_crowd_each_goes_to_its_due_day(void **ctx)
{
    (void)ctx;
    assert_int_equal(day_in_a_crowd(&a_plan_room, window(1, 3, 4)), 3);
    assert_int_equal(day_in_a_crowd(&a_plan_room, window(-4, -2, 3)), 0); /* late */
    assert_int_equal(day_in_a_crowd(&a_plan_room, window(1, 4, 3)), 3);
    assert_int_equal(day_in_a_crowd(&a_plan_room, window(3, 8, 9)), 5); /* the horizon's last */
    assert_int_equal(day_in_a_crowd(&a_plan_room, window(7, 8, 9)), PLAN_UNPLANNED);
}

static void in_a_crowd_too_nobody_works_on_a_day_off(void **ctx)
{
    static const bool off[DAYS] = {false, false, true, true, false, false};
    struct plan_room room = a_plan_room;

    (void)ctx;
    room.off = off;
    assert_int_equal(day_in_a_crowd(&room, window(1, 3, 5)), 1); /* rather early … */
    assert_int_equal(day_in_a_crowd(&room, window(2, 3, 5)), 4); /* … than late */
    assert_int_equal(day_in_a_crowd(&room, window(2, 3, 3)), PLAN_UNPLANNED);
    room.usable_l = room.line_loss_l; /* nothing can be mixed */
    assert_int_equal(day_in_a_crowd(&room, window(1, 1, 5)), PLAN_UNPLANNED);
}

static double cost_there(const struct plan_room *room, const struct plan_job *job, size_t n,
                         const struct plan_place *place)
{
    struct pin pin[JOBS];

    for (size_t i = 0; i < n; i++) {
        pin[i] = (struct pin){place[i].day, place[i].by_hand};
    }
    return least_cost_there(room, job, n, pin);
}

static void few_are_put_in_and_those_that_have_a_day_stay(void **ctx)
{
    struct plan_job job[3] = {window(0, 1, 1), window(0, 3, 5), window(0, 3, 5)};
    struct plan_place place[3] = {
        {PLAN_UNPLANNED, false},
        {4,              false},
        {PLAN_UNPLANNED, false}
    };

    (void)ctx;
    plan_fill(&a_plan_room, job, 3, place);
    assert_int_equal(place[1].day, 4);
    assert_int_equal(place[0].day, 1); /* its window ends before day 4 */
    /* with the one on day 4 a day late, 2 and 2.5 of overtime: (25 + 15 + 10 - 45) / 2; on day 1
     * two days early, 1.2, and not a minute over the hour */
    assert_int_equal(place[2].day, 1);
}

/* The patient one would open day 3 for itself; the one that cannot wait is put in first, on day
 * 1, and the other joins it. */
static void those_that_can_wait_least_choose_first(void **ctx)
{
    struct plan_job job[2] = {window(0, 3, 5), window(0, 1, 1)};
    struct plan_place place[2] = {
        {PLAN_UNPLANNED, false},
        {PLAN_UNPLANNED, false}
    };

    (void)ctx;
    plan_fill(&a_plan_room, job, 2, place);
    assert_int_equal(place[0].day, 1);
    assert_int_equal(place[1].day, 1);
    job[1].latest = 5; /* as long, and due sooner */
    place[0].day = place[1].day = PLAN_UNPLANNED;
    plan_fill(&a_plan_room, job, 2, place);
    assert_int_equal(place[0].day, 1);
}

static void a_search_takes_the_best_of_what_it_begins_with_and_finds(void **ctx)
{
    size_t better = 0;

    (void)ctx;
    for (uint64_t seed = 1; seed <= 15; seed++) {
        struct plan_job job[JOBS];
        struct plan_place due[JOBS];
        struct plan_place none[JOBS];
        struct plan_place out[JOBS];
        struct plan_place *from[2] = {due, none};
        uint64_t random = seed;
        double start;
        double cost;

        draw_jobs(&random, job, JOBS, DAYS);
        sort_jobs(job, JOBS);
        for (size_t i = 0; i < JOBS; i++) {
            due[i] = (struct plan_place){job[i].due, false};
            none[i] = (struct plan_place){PLAN_UNPLANNED, false};
        }
        plan_fill(&a_plan_room, job, JOBS, none);
        start = fmin(cost_there(&a_plan_room, job, JOBS, due),
                     cost_there(&a_plan_room, job, JOBS, none));
        plan_search(&a_plan_room, job, JOBS, 0, from, 2, out);
        assert_near(cost_there(&a_plan_room, job, JOBS, out), start);
        plan_search(&a_plan_room, job, JOBS, 400, from, 2, out);
        cost = cost_there(&a_plan_room, job, JOBS, out);
        assert_true(cost <= start + 1e-9);
        assert_near(cost, least_cost(&a_plan_room, job, JOBS));
        better += cost < start - 1e-6;
    }
    assert_true(better >= 3);
}

static void a_crowd_is_left_as_it_is(void **ctx)
{
    struct plan_job *job = calloc(CROWD, sizeof *job);
    struct plan_place *from = calloc(CROWD, sizeof *from);
    struct plan_place *out = calloc(CROWD, sizeof *out);

    (void)ctx;
    assert_true(job && from && out);
    for (size_t i = 0; i < CROWD; i++) {
        job[i] = (struct plan_job){.ec_ms_cm = 1, .latest = 3, .kept = PLAN_UNPLANNED};
        from[i].day = (int32_t)(i % 4);
    }
    plan_search(&a_plan_room, job, CROWD, 1000, &from, 1, out);
    for (size_t i = 0; i < CROWD; i++) {
        assert_int_equal(out[i].day, i % 4);
    }
    free(job);
    free(from);
    free(out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(in_a_crowd_each_goes_to_its_due_day),
        cmocka_unit_test(in_a_crowd_too_nobody_works_on_a_day_off),
        cmocka_unit_test(few_are_put_in_and_those_that_have_a_day_stay),
        cmocka_unit_test(those_that_can_wait_least_choose_first),
        cmocka_unit_test(a_search_takes_the_best_of_what_it_begins_with_and_finds),
        cmocka_unit_test(a_crowd_is_left_as_it_is),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
