/* How good plans are: set beside every plan there is, on rooms small enough for that, and beside a
 * published optimum. */
#include "daemon/base/mem.h"
#include "daemon/core/plan/plan.h"
#include "daemon/core/plan/plan_amounts.h"
#include "tests/cmocka_all.h"
#include "tests/unit/drawn_jobs.h"
#include "tests/unit/every_plan.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define EFFORT 8

static const double budgets[] = {60, 0, 45, 90};

static const struct plan_room a_room = {A_PLAN_ROOM(40, budgets, 4)};

static bool keeps; /* half of the jobs were planned before */

static void compare(const struct plan_room *room, size_t n, unsigned rooms)
{
    for (unsigned seed = 1; seed <= rooms; seed++) {
        struct plan_job job[EVERY_PLAN_JOBS];
        struct plan_slot slot[EVERY_PLAN_JOBS];
        struct plan_sum sum;
        double least;
        uint64_t random = seed * 1000 + n;

        draw_jobs(&random, job, n, room->horizon);
        for (size_t i = 0; i < n && keeps; i++) {
            job[i].kept = i % 2 ? (int32_t)draw(&random, 0, room->horizon) : PLAN_UNPLANNED;
        }
        least = least_cost(room, job, n);
        sum = plan_mixes(room, job, n, EFFORT, slot);
        if (fabs(sum.cost - least) > 1e-6 || sum.bound > least + 1e-6) {
            fail_msg("seed %u: the plan costs %.6f, the best %.6f, the bound is %.6f", seed,
                     sum.cost, least, sum.bound);
        }
        assert_true(fabs(plan_cost_of(room, job, n, slot) - sum.cost) < 1e-9);
    }
}

static void a_plan_is_the_best_there_is_and_the_bound_below_it(void **ctx)
{
    (void)ctx;
    compare(&a_room, 4, 40);
    compare(&a_room, 5, 25);
    compare(&a_room, 6, 8);
}

static void one_day_is_cut_into_the_best_loads(void **ctx)
{
    struct plan_room room = a_room;

    (void)ctx;
    room.horizon = 1;
    room.n_days = 1;
    compare(&room, 6, 25);
    compare(&room, 7, 12);
}

/* A tight reservoir: the best may part neighbours in strength to save a filling, which loads of
 * neighbours cannot. The bound still holds. */
static void a_tight_reservoir_costs_at_most_a_filling_more(void **ctx)
{
    struct plan_room room = a_room;

    (void)ctx;
    room.usable_l = 14;
    for (unsigned seed = 1; seed <= 25; seed++) {
        struct plan_job job[EVERY_PLAN_JOBS];
        struct plan_slot slot[EVERY_PLAN_JOBS];
        struct plan_sum sum;
        double least;
        uint64_t random = seed;

        draw_jobs(&random, job, 5, room.horizon);
        least = least_cost(&room, job, 5);
        sum = plan_mixes(&room, job, 5, EFFORT, slot);
        assert_true(sum.cost >= least - 1e-6);
        assert_true(sum.cost <=
                    least + room.cost.load + room.load_min * room.cost.overtime_per_min + 1e-6);
        assert_true(sum.bound <= least + 1e-6);
    }
}

/* ---- what only some rooms have: each term of the cost beside every plan there is */

static struct plan_room an_easy_room(void)
{
    struct plan_room room = a_room;

    room.usable_l = 100; /* one filling for each load */
    return room;
}

/* Where it waits for water, or keeps some for the floats; the bound may be loose, and holds. */
static void water_that_is_wasted_or_lacking_is_weighed_with_the_rest(void **ctx)
{
    static const double plain_l[] = {80, 5, 60, 20};
    static const double spare_l[] = {6, 14, 25, 9};
    struct plan_room room = an_easy_room();

    (void)ctx;
    room.plain_l = plain_l;
    room.cost.plain_per_l = 0.2;
    compare(&room, 4, 25);
    room.spare_l = spare_l;
    room.cost.short_per_l = 1.5;
    compare(&room, 4, 25);
}

static void days_that_cost_a_way_there_are_weighed_with_the_rest(void **ctx)
{
    static const double visit[] = {4, 0, 16, 4};
    struct plan_room room = an_easy_room();

    (void)ctx;
    room.visit = visit;
    compare(&room, 4, 25);
    compare(&room, 5, 20);
}

static void a_job_is_poured_by_hand_where_that_is_cheaper(void **ctx)
{
    struct plan_room room = an_easy_room();

    (void)ctx;
    room.hand_l = 5; /* some of the jobs are small enough */
    room.hand_min = 12;
    room.cost.hand = 6;
    compare(&room, 4, 25);
}

static void days_off_and_days_that_were_kept_are_weighed_with_the_rest(void **ctx)
{
    static const bool off[] = {false, true, false, false};
    struct plan_room room = an_easy_room();

    (void)ctx;
    room.off = off;
    room.cost.move = 1.5;
    keeps = true;
    compare(&room, 5, 20);
    keeps = false;
}

/* Wagner & Whitin 1958, Management Science 5(1), table 1: demand and set-up cost of twelve
 * months, 1 for a unit kept for a month. The cheapest programme costs 864; that of the first six
 * months 400, as their table of minimum costs has it. (Values from memory; the forward recursion
 * of the paper gives the same.) A unit of demand is a job that may be early and not late; the
 * set-up cost of a month is what opening it exceeds its budget by. */
static size_t wagner_and_whitin(int32_t months, struct plan_job *job, double *budget)
{
    static const int demand[] = {69, 29, 36, 61, 61, 26, 34, 67, 45, 67, 79, 56};
    static const double set_up[] = {85, 102, 102, 101, 98, 114, 105, 86, 119, 110, 98, 114};
    size_t n = 0;

    for (int32_t month = 0; month < months; month++) {
        budget[month] = 200 - set_up[month];
        for (int unit = 0; unit < demand[month]; unit++) {
            job[n++] = (struct plan_job){.kept = PLAN_UNPLANNED,
                                         .due = month,
                                         .latest = month,
                                         .ec_ms_cm = 1,
                                         .volume_l = 1};
        }
    }
    return n;
}

static struct plan_room a_factory(int32_t months, const double *budget)
{
    return (struct plan_room){
        .usable_l = 1e6,
        .changeover_min = 200,
        .budget_min = budget,
        .n_days = (size_t)months,
        .horizon = months,
        .cost = {.early_per_day = 1, .overtime_per_min = 1, .unplanned = 1e4}
    };
}

static void wagner_and_whitin_is_solved(void **ctx)
{
    double budget[12] = {0};
    struct plan_job job[700];
    struct plan_slot slot[700];
    struct plan_room room = a_factory(6, budget);
    size_t n = wagner_and_whitin(6, job, budget);

    (void)ctx;
    assert_true(fabs(plan_mixes(&room, job, n, 4, slot).cost - 400) < 1e-6);
}

/* The bound of whole days is the optimum here: that of lot sizes has no gap. */
static void the_bound_of_wagner_and_whitin_is_their_optimum(void **ctx)
{
    double budget[12] = {0};
    struct plan_job job[700];
    struct plan_room room = a_factory(12, budget);
    size_t n = wagner_and_whitin(12, job, budget);
    double bound = plan_least(&room, job, n, 100, 950);

    (void)ctx;
    assert_true(bound <= 864 + 1e-6);
    assert_true(bound > 0.999 * 864);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_plan_is_the_best_there_is_and_the_bound_below_it),
        cmocka_unit_test(one_day_is_cut_into_the_best_loads),
        cmocka_unit_test(a_tight_reservoir_costs_at_most_a_filling_more),
        cmocka_unit_test(water_that_is_wasted_or_lacking_is_weighed_with_the_rest),
        cmocka_unit_test(days_that_cost_a_way_there_are_weighed_with_the_rest),
        cmocka_unit_test(a_job_is_poured_by_hand_where_that_is_cheaper),
        cmocka_unit_test(days_off_and_days_that_were_kept_are_weighed_with_the_rest),
        cmocka_unit_test(wagner_and_whitin_is_solved),
        cmocka_unit_test(the_bound_of_wagner_and_whitin_is_their_optimum),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
