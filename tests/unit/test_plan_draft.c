/* A plan in the making, and the rounds that mend it: whatever is put in and taken out, in
 * whatever order, the cost is that of the plan as it stands, by code that shares nothing with
 * the planner. */
#include "daemon/core/plan/plan_draft.h"
#include "daemon/core/plan/plan_round.h"
#include "tests/cmocka_all.h"
#include "tests/unit/drawn_jobs.h"
#include "tests/unit/every_plan.h"
#include "tests/unit/near.h"

#include <string.h>

#define JOBS 6
#define DAYS 4

static const double budgets[] = {60, 0, 45, 90};
static const double plain_l[] = {40, 10, 30, 0};
static const double spare_l[] = {8, 30, 30, 12};

static const struct plan_room a_plan_room = {A_PLAN_ROOM(100, budgets, DAYS),
                                             .plain_l = plain_l,
                                             .spare_l = spare_l,
                                             .hand_l = 5,
                                             .hand_min = 12,
                                             .cost.move = 1.5,
                                             .cost.plain_per_l = 0.1,
                                             .cost.short_per_l = 0.4,
                                             .cost.hand = 4};

static void draw_room(uint64_t *random, struct plan_job job[JOBS])
{
    draw_jobs(random, job, JOBS, DAYS);
    for (size_t i = 0; i < JOBS; i++) {
        job[i].earliest = 0; /* any day serves, so that any place can be tried */
        job[i].latest = DAYS - 1;
        job[i].kept = i % 2 ? (int32_t)draw(random, 0, DAYS) : PLAN_UNPLANNED;
    }
    sort_jobs(job, JOBS);
}

static struct plan_place draw_place(uint64_t *random)
{
    return (struct plan_place){(int32_t)draw(random, PLAN_UNPLANNED, DAYS),
                               draw(random, 0, 1) < 0.3};
}

/* By every way to mix what stands on each day. */
static void check_cost(const struct plan_draft *s)
{
    struct pin pin[JOBS];

    for (size_t i = 0; i < JOBS; i++) {
        pin[i] = (struct pin){s->place[i].day, s->place[i].by_hand};
    }
    assert_near(s->cost, least_cost_there(s->room, s->job, JOBS, pin));
}

/* ---- the draft */

static void the_cost_follows_whatever_is_put_in_and_taken_out(void **ctx)
{
    (void)ctx;
    for (uint64_t seed = 1; seed <= 6; seed++) {
        struct plan_job job[JOBS];
        struct plan_draft s;
        uint64_t random = seed;

        draw_room(&random, job);
        plan_draft_init(&s, &a_plan_room, job, JOBS);
        for (uint32_t i = 0; i < JOBS; i++) {
            plan_draft_put(&s, i, draw_place(&random));
        }
        check_cost(&s);
        for (int step = 0; step < 25; step++) {
            uint32_t i = (uint32_t)draw(&random, 0, JOBS);

            plan_draft_take(&s, i);
            plan_draft_put(&s, i, draw_place(&random));
            check_cost(&s);
        }
        for (uint32_t i = 0; i < JOBS; i++) {
            plan_draft_take(&s, i);
        }
        assert_near(s.cost, 0);
        for (size_t day = 0; day < s.n_days; day++) {
            assert_near(s.day_cost[day], 0);
            assert_near(s.tally[day].minutes, 0); /* not even what rounding left */
        }
        plan_draft_deinit(&s);
    }
}

static void a_trial_foretells_what_putting_it_there_costs(void **ctx)
{
    (void)ctx;
    for (uint64_t seed = 1; seed <= 30; seed++) {
        struct plan_job job[JOBS];
        struct plan_draft s;
        uint64_t random = seed;

        draw_room(&random, job);
        plan_draft_init(&s, &a_plan_room, job, JOBS);
        for (uint32_t i = 0; i < JOBS; i++) {
            struct plan_place to = draw_place(&random);
            double trial;

            to.day = to.day == PLAN_UNPLANNED ? 1 : to.day;
            trial = plan_draft_cost_with(&s, to.day, i, to.by_hand);
            assert_near(plan_draft_cost_with(&s, to.day, i, to.by_hand), trial);
            plan_draft_put(&s, i, to);
            assert_near(s.day_cost[to.day], trial);
        }
        plan_draft_deinit(&s);
    }
}

/* Twelve jobs that share no strength, of 1 to 12 fillings: a set of them costs 10 for the day
 * and 5 for each of its fillings. There are more sets than are remembered. */
static void one_set_of_jobs_is_not_taken_for_another(void **ctx)
{
    struct plan_room room = {
        .usable_l = 100,
        .line_loss_l = 2,
        .horizon = 1,
        .cost = {.open = 10, .load = 5, .deviation_per_pct = 1}
    };
    struct plan_job job[12];
    bool in[12] = {false};
    double fillings = 0;
    struct plan_draft s;
    uint64_t random = 5;

    (void)ctx;
    for (int i = 0; i < 12; i++) {
        job[i] = (struct plan_job){.kept = PLAN_UNPLANNED,
                                   .ec_ms_cm = pow(1.5, i),
                                   .tolerance_pct = 1,
                                   .volume_l = 98.0 * (i + 1)};
    }
    plan_draft_init(&s, &room, job, 12);
    for (int step = 0; step < 6000; step++) {
        uint32_t i = (uint32_t)draw(&random, 0, 12);

        if (in[i]) {
            plan_draft_take(&s, i);
        } else {
            plan_draft_put(&s, i, (struct plan_place){0, false});
        }
        fillings += in[i] ? -(i + 1.0) : i + 1.0;
        in[i] = !in[i];
        assert_near(s.cost, fillings > 0 ? 10 + 5 * fillings : 0);
    }
    plan_draft_deinit(&s);
}

/* Splitmix64's draws: a thousand of six are each between 120 and 220 (expected 167, sd 12). */
static void draws_are_even_and_below_what_was_asked(void **ctx)
{
    struct plan_job job[1] = {
        {.ec_ms_cm = 1, .kept = PLAN_UNPLANNED}
    };
    struct plan_draft s;
    int of[6] = {0};

    (void)ctx;
    plan_draft_init(&s, &a_plan_room, job, 1);
    for (int i = 0; i < 1000; i++) {
        uint32_t drawn = plan_draft_draw(&s, 6);

        assert_true(drawn < 6);
        of[drawn]++;
        assert_int_equal(plan_draft_draw(&s, 1), 0);
    }
    for (int i = 0; i < 6; i++) {
        assert_in_range(of[i], 120, 220);
    }
    plan_draft_deinit(&s);
}

/* ---- rounds */

static void a_job_goes_where_it_costs_least(void **ctx)
{
    static const bool off[] = {false, false, true, false};

    (void)ctx;
    for (uint64_t seed = 1; seed <= 40; seed++) {
        struct plan_room room = a_plan_room;
        struct plan_job job[JOBS];
        struct plan_draft s;
        struct plan_round r;
        uint64_t random = seed;

        room.off = seed % 2 ? off : NULL;
        room.cost.unplanned = seed % 5 ? 60 : 14; /* now and then it is better left out */
        draw_room(&random, job);
        plan_draft_init(&s, &room, job, JOBS);
        plan_round_init(&r, &s);
        for (uint32_t i = 0; i < JOBS; i++) {
            double least = room.cost.unplanned;
            double before = s.cost;

            for (int32_t day = 0; day < DAYS; day++) {
                for (int hand = 0; hand <= (job[i].volume_l <= room.hand_l); hand++) {
                    double more = plan_draft_cost_with(&s, day, i, hand) - s.day_cost[day];

                    least = fmin(least, room.off && off[day] ? INFINITY : more);
                }
            }
            plan_round_put_where_cheapest(&r, i);
            assert_near(s.cost - before, least);
            assert_false(room.off && s.place[i].day == 2);
        }
        plan_draft_deinit(&s);
    }
}

static void nothing_is_mixed_where_all_of_it_stays_in_the_lines(void **ctx)
{
    struct plan_room room = a_plan_room;
    struct plan_job job[2] = {
        {.ec_ms_cm = 1, .volume_l = 4, .latest = 3, .kept = PLAN_UNPLANNED},
        {.ec_ms_cm = 1, .volume_l = 8, .latest = 3, .kept = PLAN_UNPLANNED}
    };
    struct plan_draft s;
    struct plan_round r;

    (void)ctx;
    room.usable_l = room.line_loss_l;
    plan_draft_init(&s, &room, job, 2);
    plan_round_init(&r, &s);
    plan_round_put_where_cheapest(&r, 0);
    plan_round_put_where_cheapest(&r, 1);
    assert_true(s.place[0].by_hand && s.place[0].day == 0);
    assert_int_equal(s.place[1].day, PLAN_UNPLANNED); /* too much for the jug */
    plan_draft_deinit(&s);
}

static void a_day_may_be_shut_or_made_free_for_a_round(void **ctx)
{
    struct plan_room room = a_plan_room;
    struct plan_job job[1] = {
        {.ec_ms_cm = 1,
         .volume_l = 8,
         .due = 2,
         .latest = 3,
         .minutes = 5,
         .kept = PLAN_UNPLANNED}
    };
    struct plan_draft s;
    struct plan_round r;

    (void)ctx;
    room.budget_min = (const double[]){120, 120, 120, 120};
    room.plain_l = room.spare_l = NULL;
    plan_draft_init(&s, &room, job, 1);
    plan_round_init(&r, &s);
    plan_round_put_where_cheapest(&r, 0);
    assert_int_equal(s.place[0].day, 2);
    plan_draft_take(&s, 0);
    r.shut = 2; /* a day early is cheaper than a day late */
    plan_round_put_where_cheapest(&r, 0);
    assert_int_equal(s.place[0].day, 1);
    plan_draft_take(&s, 0);
    r.free = 3;
    r.lure = 5; /* more than the 2 of a day late */
    plan_round_put_where_cheapest(&r, 0);
    assert_int_equal(s.place[0].day, 3);
    assert_near(s.cost, 10 + 5 + 2); /* the lure is no part of the cost */
    plan_draft_deinit(&s);
}

static void a_round_keeps_to_the_windows_and_can_be_undone(void **ctx)
{
    size_t moved = 0;

    (void)ctx;
    for (uint64_t seed = 1; seed <= 8; seed++) {
        struct plan_job job[JOBS];
        struct plan_draft s;
        struct plan_round r;
        uint64_t random = seed;

        draw_room(&random, job);
        for (size_t i = 0; i < JOBS; i++) {
            job[i].earliest = job[i].due - 1;
            job[i].latest = job[i].due + 1;
        }
        job[1] = job[0]; /* twins */
        sort_jobs(job, JOBS);
        plan_draft_init(&s, &a_plan_room, job, JOBS);
        plan_round_init(&r, &s);
        assert_int_equal(r.n_twins, 1);
        r.passes_over = true;
        for (uint32_t i = 0; i < JOBS; i++) {
            plan_round_put_where_cheapest(&r, i);
        }
        for (int round = 0; round < 60; round++) {
            struct plan_place was[JOBS];
            double cost = s.cost;

            memcpy(was, s.place, sizeof was);
            plan_round_mend(&r);
            assert_in_range(r.n_taken, 1, JOBS);
            for (size_t i = 0; i < JOBS; i++) {
                const struct plan_place *p = &s.place[i];

                assert_true(p->day == PLAN_UNPLANNED || (p->day >= plan_first_day(&job[i]) &&
                                                         p->day <= plan_last_day(s.room, &job[i])));
                moved += p->day != was[i].day;
            }
            if (round % 6 == 0) {
                check_cost(&s);
            }
            if (round % 2) {
                plan_round_undo(&r);
                assert_near(s.cost, cost);
                for (size_t i = 0; i < JOBS; i++) {
                    assert_int_equal(s.place[i].day, was[i].day);
                    assert_int_equal(s.place[i].by_hand, was[i].by_hand);
                }
            }
        }
        plan_draft_deinit(&s);
    }
    assert_true(moved > 100); /* of 2,880: rounds that change nothing would keep all the rules */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_cost_follows_whatever_is_put_in_and_taken_out),
        cmocka_unit_test(a_trial_foretells_what_putting_it_there_costs),
        cmocka_unit_test(one_set_of_jobs_is_not_taken_for_another),
        cmocka_unit_test(draws_are_even_and_below_what_was_asked),
        cmocka_unit_test(a_job_goes_where_it_costs_least),
        cmocka_unit_test(nothing_is_mixed_where_all_of_it_stays_in_the_lines),
        cmocka_unit_test(a_day_may_be_shut_or_made_free_for_a_round),
        cmocka_unit_test(a_round_keeps_to_the_windows_and_can_be_undone),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
