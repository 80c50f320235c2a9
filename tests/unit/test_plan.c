/* Which changes share a mix, and on which day: the promises of plan.h, on drawn and on plain
 * cases. */
#include "daemon/base/mem.h"
#include "daemon/core/plan/plan.h"
#include "daemon/core/plan/plan_amounts.h"
#include "tests/cmocka_all.h"
#include "tests/unit/drawn_jobs.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define DAYS 60

static const double an_hour[DAYS] = {[0 ... DAYS - 1] = 60};

static const struct plan_room a_plan_room = {
    .usable_l = 100,
    .line_loss_l = 2,
    .changeover_min = 25,
    .load_min = 15,
    .budget_min = an_hour,
    .n_days = DAYS,
    .cost = {.open = 10,
             .load = 5,
             .early_per_day = 0.6,
             .late_per_day = 2,
             .deviation_per_pct = 0.1,
             .overtime_per_min = 1,
             .unplanned = 1e4}
};

/* As the daemon asks for it. */
static void plan(const struct plan_room *room, const struct plan_job *job, size_t n,
                 struct plan_slot *slot)
{
    (void)plan_mixes(room, job, n, 1, slot);
    plan_split_fillings(room, job, n, slot);
}

static struct plan_job a_job(int32_t earliest, int32_t due, int32_t latest, double ec)
{
    return (struct plan_job){.kept = PLAN_UNPLANNED,
                             .earliest = earliest,
                             .due = due,
                             .latest = latest,
                             .ec_ms_cm = ec,
                             .tolerance_pct = 10,
                             .volume_l = 8,
                             .minutes = 6};
}

static void alike_jobs_of_one_window_share_one_mix(void **ctx)
{
    struct plan_job job[8];
    struct plan_slot slot[8];

    (void)ctx;
    for (int i = 0; i < 8; i++) {
        job[i] = a_job(0, 3, 6, 1.2);
    }
    job[0].minutes = job[1].minutes = 1; /* 8 together stay within the hour: 40 + 2 + 6 * 3 */
    for (int i = 2; i < 8; i++) {
        job[i].minutes = 3;
    }
    plan(&a_plan_room, job, 8, slot);
    for (int i = 0; i < 8; i++) {
        assert_int_equal(slot[i].load, slot[0].load);
        assert_int_equal(slot[i].day, 3);
        assert_true(fabs(slot[i].ec_ms_cm - 1.2) < 1e-12);
    }
}

static void another_recipe_is_another_mix(void **ctx)
{
    struct plan_job job[2] = {a_job(0, 3, 6, 1.2), a_job(0, 3, 6, 1.2)};
    struct plan_slot slot[2];

    (void)ctx;
    job[1].recipe = 1;
    plan(&a_plan_room, job, 2, slot);
    assert_int_not_equal(slot[0].load, slot[1].load);
}

static void strengths_too_far_apart_do_not_share(void **ctx)
{
    /* 10 % of each: 1.0 bears up to 1.10, 1.3 down to 1.17. */
    struct plan_job job[2] = {a_job(0, 3, 6, 1.0), a_job(0, 3, 6, 1.3)};
    struct plan_slot slot[2];

    (void)ctx;
    plan(&a_plan_room, job, 2, slot);
    assert_int_not_equal(slot[0].load, slot[1].load);
}

static void more_than_the_reservoir_holds_is_another_load(void **ctx)
{
    struct plan_job job[13];
    struct plan_slot slot[13];
    int of_first = 0;

    (void)ctx;
    for (int i = 0; i < 13;
         i++) { /* 12 times 8 L and 2 L of loss are 98 L; a thirteenth is too much */
        job[i] = a_job(3, 3, 3, 1.2);
        job[i].minutes = 0;
    }
    plan(&a_plan_room, job, 13, slot);
    for (int i = 0; i < 13; i++) {
        of_first += slot[i].load == slot[0].load;
    }
    assert_int_equal(of_first, 12);
}

/* 98 L a filling, the largest first: 60; 50 and 40, since 60 + 40 are too much; 39 alone, since
 * 60 + 39 are 99. */
static void fillings_are_packed_the_largest_first(void **ctx)
{
    static const double volume_l[] = {39, 40, 50, 60};
    struct plan_job job[5];
    struct plan_slot slot[5] = {{0}};

    (void)ctx;
    for (int i = 0; i < 5; i++) {
        job[i] = a_job(3, 3, 3, 1.2);
        job[i].volume_l = i < 4 ? volume_l[i] : 98;
        slot[i] = (struct plan_slot){.day = 3, .load = i < 4 ? 1 : 0, .ec_ms_cm = 1.2};
    }
    slot[4].load = 4; /* another load, numbered with a gap */
    plan_split_fillings(&a_plan_room, job, 5, slot);
    assert_int_equal(slot[3].load, 0);
    assert_int_equal(slot[2].load, 1);
    assert_int_equal(slot[1].load, 1);
    assert_int_equal(slot[0].load, 2);
    assert_int_equal(slot[4].load, 3);
    slot[2].day = PLAN_UNPLANNED;
    slot[2].load = 77;
    plan_split_fillings(&a_plan_room, job, 5, slot);
    assert_int_equal(slot[2].load, 77); /* in no filling */
    assert_int_equal(slot[4].load, 3);
}

/* Without effort the plan of yesterday stands, though it could be mended, and what is new finds
 * a place. */
static void without_effort_a_plan_is_kept_as_it_is(void **ctx)
{
    struct plan_job job[3] = {a_job(0, 3, 6, 1.2), a_job(0, 3, 6, 1.2), a_job(0, 3, 6, 1.2)};
    struct plan_slot slot[3];
    struct plan_sum sum;

    (void)ctx;
    job[0].kept = 1;
    job[1].kept = 6;
    sum = plan_mixes(&a_plan_room, job, 3, 0, slot);
    assert_int_equal(slot[0].day, 1);
    assert_int_equal(slot[1].day, 6);
    assert_int_equal(slot[2].day, 1); /* with the first: two days early are 1.2 */
    assert_float_equal(sum.bound, 0, 0);
    sum = plan_mixes(&a_plan_room, job, 3, PLAN_EFFORT_BOUND, slot);
    assert_int_equal(slot[1].day, slot[0].day);
    assert_true(sum.bound > 0 && sum.bound <= sum.cost);
    (void)plan_mixes(&a_plan_room, job, 3, PLAN_EFFORT_BOUND - 1, slot);
    assert_true(plan_mixes(&a_plan_room, job, 3, PLAN_EFFORT_BOUND - 1, slot).bound == 0);
}

static void a_job_larger_than_the_reservoir_has_a_load_of_its_own(void **ctx)
{
    struct plan_job job[2] = {a_job(0, 3, 6, 1.2), a_job(0, 3, 6, 1.2)};
    struct plan_slot slot[2];

    (void)ctx;
    job[0].volume_l = 300;
    plan(&a_plan_room, job, 2, slot);
    assert_int_not_equal(slot[0].load, slot[1].load);
}

static void what_is_overdue_is_planned_for_today(void **ctx)
{
    struct plan_job job = a_job(-9, -5, -2, 1.2);
    struct plan_slot slot;

    (void)ctx;
    plan(&a_plan_room, &job, 1, &slot);
    assert_int_equal(slot.day, 0);
}

static void a_day_off_is_avoided_where_the_window_allows(void **ctx)
{
    double budget[DAYS];
    struct plan_room room = a_plan_room;
    struct plan_job job = a_job(2, 3, 5, 1.2);
    struct plan_slot slot;

    (void)ctx;
    memcpy(budget, an_hour, sizeof budget);
    budget[3] = 0;
    room.budget_min = budget;
    plan(&room, &job, 1, &slot);
    assert_int_equal(slot.day, 2); /* a day early costs less than a day late */
}

static void what_was_planned_stays_unless_moving_is_worth_it(void **ctx)
{
    struct plan_room room = a_plan_room;
    struct plan_job job = a_job(2, 3, 5, 1.2);
    struct plan_slot slot;

    (void)ctx;
    room.cost.move = 1;
    job.kept = 2; /* a day early costs 0.6 */
    plan(&room, &job, 1, &slot);
    assert_int_equal(slot.day, 2);
    job.kept = 5; /* two days late cost 4 */
    plan(&room, &job, 1, &slot);
    assert_int_equal(slot.day, 3);
}

static void a_plan_that_was_kept_is_mended_where_it_no_longer_serves(void **ctx)
{
    struct plan_job job[3] = {a_job(0, 3, 6, 1.2), a_job(0, 3, 6, 1.2), a_job(4, 5, 6, 1.2)};
    struct plan_slot slot[3];

    (void)ctx;
    job[0].kept = job[1].kept = job[2].kept = 3; /* where the third may not be any more */
    plan(&a_plan_room, job, 3, slot);
    assert_int_equal(slot[0].load, slot[1].load);
    assert_int_equal(slot[0].load, slot[2].load);
    assert_in_range(slot[2].day, 4, 6);
}

static void nobody_works_on_a_day_off(void **ctx)
{
    bool off[DAYS] = {[2] = true, [3] = true, [4] = true};
    struct plan_room room = a_plan_room;
    struct plan_job job[2] = {a_job(1, 3, 5, 1.2), a_job(2, 3, 4, 1.2)};
    struct plan_slot slot[2];

    (void)ctx;
    room.off = off;
    for (unsigned effort = 1; effort <= PLAN_EFFORT_BOUND; effort += PLAN_EFFORT_BOUND - 1) {
        (void)plan_mixes(&room, job, 2, effort, slot);
        assert_int_equal(slot[0].day, 1); /* two days early cost less than two late */
        assert_int_equal(slot[1].day, PLAN_UNPLANNED);
    }
    slot[0].day = 3;
    assert_true(isinf(plan_cost_of(&room, job, 2, slot)));
}

static void a_plan_is_told_in_things_that_a_person_counts(void **ctx)
{
    struct plan_job job[3] = {a_job(0, 2, 6, 1.0), a_job(0, 3, 6, 1.0), a_job(0, 5, 6, 1.0)};
    struct plan_slot slot[3] = {
        {.day = 3, .load = 0, .ec_ms_cm = 1.0 },
        {.day = 3, .load = 0, .ec_ms_cm = 1.0 },
        {.day = 4, .load = 1, .ec_ms_cm = 1.05},
    };
    struct plan_amounts a = plan_amounts_of(&a_plan_room, job, 3, slot);

    (void)ctx;
    assert_true(a.valid);
    assert_float_equal(a.open_days, 2, 0);
    assert_float_equal(a.fillings, 2, 0);
    assert_float_equal(a.late_days, 1, 0);
    assert_float_equal(a.early_days, 1, 0);
    assert_float_equal(a.deviation_pct, 5, 1e-9);
    assert_float_equal(a.mixed_l, 3 * 8 + 2 * a_plan_room.line_loss_l, 1e-9);
    assert_float_equal(a.minutes, 2 * (a_plan_room.changeover_min + a_plan_room.load_min) + 3 * 6,
                       1e-9);
}

static void a_mix_waits_until_the_reservoir_is_low(void **ctx)
{
    double plain_l[DAYS];
    struct plan_room room = a_plan_room;
    struct plan_job job = a_job(2, 3, 5, 1.2);
    struct plan_slot slot;

    (void)ctx;
    for (int day = 0; day < DAYS; day++) {
        plain_l[day] = day < 4 ? 90 : 10;
    }
    room.plain_l = plain_l;
    room.cost.plain_per_l = 0.05; /* 80 L that the mix does not take up: 4, and a day late is 2 */
    plan(&room, &job, 1, &slot);
    assert_int_equal(slot.day, 4);
}

static void a_mix_leaves_the_floats_their_water(void **ctx)
{
    double spare_l[DAYS];
    struct plan_room room = a_plan_room;
    struct plan_job job[4];
    struct plan_slot slot[4];
    struct plan_amounts a;

    (void)ctx;
    for (int day = 0; day < DAYS; day++) {
        spare_l[day] = day < 5 ? 14 : 40;
    }
    for (size_t i = 0; i < 4; i++) {
        job[i] = a_job(2, 4, 6, 1.2);
    }
    room.spare_l = spare_l;
    room.cost.short_per_l =
        0.6; /* 32 + 2 L are 20 too many on day 4: 12, and four a day late are 8 */
    plan(&room, job, 4, slot);
    a = plan_amounts_of(&room, job, 4, slot);
    assert_int_equal(slot[0].day, 5);
    assert_float_equal(a.short_l, 0, 1e-9);
    spare_l[5] = spare_l[6] = 30; /* 4 L too few there: 2.4 more */
    plan(&room, job, 4, slot);
    a = plan_amounts_of(&room, job, 4, slot);
    assert_int_equal(slot[0].day, 5);
    assert_float_equal(a.short_l, 4, 1e-9);
    assert_float_equal(plan_cost_of(&room, job, 4, slot), 10 + 5 + 4 * 2 + 0.6 * 4 + 4, 1e-9);
}

static void a_small_job_alone_is_poured_by_hand(void **ctx)
{
    struct plan_room room = a_plan_room;
    struct plan_job job[3] = {a_job(0, 3, 6, 1.2), a_job(0, 3, 6, 1.2), a_job(0, 3, 6, 1.2)};
    struct plan_slot slot[3];

    (void)ctx;
    room.hand_l = 8;
    room.hand_min = 10;
    room.cost.hand = 6;
    plan(&room, job, 1, slot);
    assert_true(slot[0].by_hand);
    assert_true(fabs(plan_cost_of(&room, job, 1, slot) - 6) < 1e-9);
    plan(&room, job, 3, slot); /* 18 by hand, 15 from the reservoir, and 3 less minutes */
    assert_false(slot[0].by_hand || slot[1].by_hand || slot[2].by_hand);
    job[0].volume_l = 8.1;
    plan(&room, job, 1, slot);
    assert_false(slot[0].by_hand);
}

/* By hand: opening 10, a load of 2 x 8 L 5; a day early and two late 0.6 + 4; 5 % of 1.0 off and
 * none 0.5; 25 + 15 + 12 minutes are 52 of 60. */
static void the_cost_of_a_plan_is_the_sum_that_is_promised(void **ctx)
{
    struct plan_room room = a_plan_room;
    struct plan_job job[2] = {a_job(0, 4, 6, 1.0), a_job(0, 1, 6, 1.05)};
    struct plan_slot slot[2] = {
        {.day = 3, .ec_ms_cm = 1.05},
        {.day = 3, .ec_ms_cm = 1.05}
    };

    (void)ctx;
    assert_true(fabs(plan_cost_of(&room, job, 2, slot) - 20.1) < 1e-9);
    slot[1].load = 1; /* another load, and 67 minutes */
    assert_true(fabs(plan_cost_of(&room, job, 2, slot) - 32.1) < 1e-9);
    slot[1].load = 0;
    slot[1].day = 4; /* one load on two days */
    assert_true(isinf(plan_cost_of(&room, job, 2, slot)));
    slot[1].day = 7; /* past its window */
    slot[1].load = 1;
    assert_true(isinf(plan_cost_of(&room, job, 2, slot)));
    slot[1].day = PLAN_UNPLANNED;
    assert_true(fabs(plan_cost_of(&room, job, 2, slot) - (10 + 5 + 0.6 + 0.5 + 1e4)) < 1e-9);
}

static void nothing_to_plan_is_planned(void **ctx)
{
    (void)ctx;
    plan(&a_plan_room, NULL, 0, NULL);
}

/* ---- drawn cases: every promise, checked by code that shares nothing with the planner */

static void draw_many(uint64_t *random, struct plan_job *job, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        int32_t earliest = (int32_t)draw(random, -5, 20);
        int32_t due = earliest + (int32_t)draw(random, 0, 8);

        job[i] = (struct plan_job){.kept = PLAN_UNPLANNED,
                                   .earliest = earliest,
                                   .due = due,
                                   .latest = due + (int32_t)draw(random, 0, 8),
                                   .recipe = (size_t)draw(random, 0, 3),
                                   .ec_ms_cm = draw(random, 0.5, 2.5),
                                   .tolerance_pct = draw(random, 0, 15),
                                   .volume_l = draw(random, 1, 30),
                                   .minutes = draw(random, 0, 12)};
    }
}

static void check_job(const struct plan_job *j, const struct plan_slot *s)
{
    int32_t first = j->earliest > 0 ? j->earliest : 0;
    int32_t last = j->latest > first ? j->latest : first;

    assert_true(s->day >= first && s->day <= last);
    assert_true(fabs(s->ec_ms_cm - j->ec_ms_cm) <= j->ec_ms_cm * j->tolerance_pct / 100 + 1e-9);
}

static void check_pair(const struct plan_job *a, const struct plan_slot *sa,
                       const struct plan_job *b, const struct plan_slot *sb)
{
    if (sa->load == sb->load) {
        assert_int_equal(a->recipe, b->recipe);
        assert_int_equal(sa->day, sb->day);
        assert_true(sa->ec_ms_cm == sb->ec_ms_cm);
    }
}

static void check_volumes(const struct plan_job *job, const struct plan_slot *slot, size_t n)
{
    double *volume_l = mem_array(n, sizeof *volume_l);

    for (size_t i = 0; i < n; i++) {
        volume_l[slot[i].load] += job[i].volume_l;
        assert_true(volume_l[slot[i].load] <= 98 + 1e-9);
    }
    free(volume_l);
}

static void every_promise_holds_on_drawn_rooms_and_twice_the_same(void **ctx)
{
    (void)ctx;
    for (unsigned seed = 1; seed <= 30; seed++) {
        size_t n = 5 + seed * 3;
        struct plan_job *job = mem_array(n, sizeof *job);
        struct plan_slot *slot = mem_array(n, sizeof *slot);
        struct plan_slot *again = mem_array(n, sizeof *again);
        uint64_t random = seed;

        draw_many(&random, job, n);
        plan(&a_plan_room, job, n, slot);
        plan(&a_plan_room, job, n, again);
        for (size_t i = 0; i < n; i++) {
            check_job(&job[i], &slot[i]);
            assert_int_equal(slot[i].day, again[i].day);
            assert_int_equal(slot[i].load, again[i].load);
            for (size_t k = 0; k < i; k++) {
                check_pair(&job[i], &slot[i], &job[k], &slot[k]);
            }
        }
        check_volumes(job, slot, n);
        free(job);
        free(slot);
        free(again);
    }
}

static void ten_thousand_jobs_are_planned(void **ctx)
{
    size_t n = 10000;
    struct plan_job *job = mem_array(n, sizeof *job);
    struct plan_slot *slot = mem_array(n, sizeof *slot);
    uint64_t random = 7;

    (void)ctx;
    draw_many(&random, job, n);
    plan(&a_plan_room, job, n, slot);
    for (size_t i = 0; i < n; i++) {
        check_job(&job[i], &slot[i]);
    }
    free(job);
    free(slot);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(alike_jobs_of_one_window_share_one_mix),
        cmocka_unit_test(another_recipe_is_another_mix),
        cmocka_unit_test(strengths_too_far_apart_do_not_share),
        cmocka_unit_test(more_than_the_reservoir_holds_is_another_load),
        cmocka_unit_test(fillings_are_packed_the_largest_first),
        cmocka_unit_test(without_effort_a_plan_is_kept_as_it_is),
        cmocka_unit_test(a_job_larger_than_the_reservoir_has_a_load_of_its_own),
        cmocka_unit_test(what_is_overdue_is_planned_for_today),
        cmocka_unit_test(a_day_off_is_avoided_where_the_window_allows),
        cmocka_unit_test(what_was_planned_stays_unless_moving_is_worth_it),
        cmocka_unit_test(a_plan_that_was_kept_is_mended_where_it_no_longer_serves),
        cmocka_unit_test(nobody_works_on_a_day_off),
        cmocka_unit_test(a_plan_is_told_in_things_that_a_person_counts),
        cmocka_unit_test(a_mix_waits_until_the_reservoir_is_low),
        cmocka_unit_test(a_mix_leaves_the_floats_their_water),
        cmocka_unit_test(a_small_job_alone_is_poured_by_hand),
        cmocka_unit_test(the_cost_of_a_plan_is_the_sum_that_is_promised),
        cmocka_unit_test(nothing_to_plan_is_planned),
        cmocka_unit_test(every_promise_holds_on_drawn_rooms_and_twice_the_same),
        cmocka_unit_test(ten_thousand_jobs_are_planned),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
