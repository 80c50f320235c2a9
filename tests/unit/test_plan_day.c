/* What the jobs of one day cost together: the cuts of a line of strengths beside every way to
 * cut it, and the sums of a day. */
#include "daemon/core/plan/plan_day.h"
#include "tests/cmocka_all.h"
#include "tests/unit/drawn_jobs.h"
#include "tests/unit/near.h"

#include <math.h>

#define MOST 7

static const double budgets[] = {60, 60};

static const struct plan_room a_plan_room = {
    .usable_l = 100,
    .line_loss_l = 2,
    .changeover_min = 25,
    .load_min = 15,
    .budget_min = budgets,
    .n_days = 2,
    .cost = {.open = 10, .load = 5, .deviation_per_pct = 0.5, .overtime_per_min = 0.4}
};

/* ---- every way to cut a line: bit i of `cuts` parts job i from job i + 1 */

struct cut_cost {
    double cost, fillings;
};

static double deviation_of(const struct plan_room *room, const struct plan_job *job, size_t from,
                           size_t to)
{
    double least = INFINITY;

    for (size_t c = 3 * from; c < 3 * to; c++) {
        double ec =
            job[c / 3].ec_ms_cm * (1 + ((double)(c % 3) - 1) * job[c / 3].tolerance_pct / 100);
        double sum = 0;

        for (size_t i = from; i < to; i++) {
            double off = 100 * fabs(ec - job[i].ec_ms_cm) / job[i].ec_ms_cm;

            sum +=
                off > job[i].tolerance_pct + 1e-9 ? INFINITY : room->cost.deviation_per_pct * off;
        }
        least = fmin(least, sum);
    }
    return least;
}

static struct cut_cost cost_of_cuts(const struct plan_room *room, const struct plan_job *job,
                                    size_t k, unsigned cuts)
{
    struct cut_cost sum = {0, 0};

    for (size_t from = 0, to; from < k; from = to) {
        double volume_l = 0;

        for (to = from; to < k && (to == from || !(cuts >> (to - 1) & 1)); to++) {
            volume_l += job[to].volume_l;
        }
        sum.fillings += ceil(volume_l / (room->usable_l - room->line_loss_l));
        sum.cost += deviation_of(room, job, from, to);
    }
    sum.cost += room->cost.load * sum.fillings;
    return sum;
}

/* The least, where a filling costs so much more than its price. */
static double best_cut(const struct plan_room *room, const struct plan_job *job, size_t k,
                       double more)
{
    double least = INFINITY;

    for (unsigned cuts = 0; cuts < 1U << (k - 1); cuts++) {
        struct cut_cost c = cost_of_cuts(room, job, k, cuts);

        least = fmin(least, c.cost + more * c.fillings);
    }
    return least;
}

static void draw_line(uint64_t *random, struct plan_job *job, size_t k)
{
    draw_jobs(random, job, k, 2);
    for (size_t i = 0; i < k; i++) {
        job[i].recipe = 0;
    }
    sort_jobs(job, k);
}

static void compare(const struct plan_room *room)
{
    static const uint32_t at[MOST] = {0, 1, 2, 3, 4, 5, 6};
    double overtime = room->cost.overtime_per_min * room->load_min;

    for (uint64_t seed = 1; seed <= 150; seed++) {
        struct plan_job job[MOST];
        uint64_t random = seed;
        size_t k = 1 + seed % MOST;
        struct plan_loads l;

        draw_line(&random, job, k);
        l = plan_loads_of(room, job, at, k);
        assert_near(l.cost[PLAN_WITHIN], best_cut(room, job, k, 0));
        assert_near(l.cost[PLAN_BEYOND] + overtime * l.fillings[PLAN_BEYOND],
                    best_cut(room, job, k, overtime));
    }
}

static void a_line_is_cut_where_it_costs_least(void **ctx)
{
    (void)ctx;
    compare(&a_plan_room);
}

static void a_tight_reservoir_is_cut_by_its_fillings_too(void **ctx)
{
    struct plan_room room = a_plan_room;

    (void)ctx;
    room.usable_l = 13;
    compare(&room);
}

/* What is written is what was reckoned: the same sum, by the slots alone. */
static void loads_are_written_as_they_were_reckoned(void **ctx)
{
    static const uint32_t at[MOST] = {0, 1, 2, 3, 4, 5, 6};

    (void)ctx;
    for (uint64_t seed = 1; seed <= 60; seed++) {
        for (int way = 0; way < PLAN_WAYS; way++) {
            struct plan_job job[MOST];
            struct plan_slot slot[MOST] = {{0}};
            uint64_t random = seed;
            uint32_t load = 3; /* others were numbered before */
            double cost = 0;
            struct plan_loads l;

            draw_line(&random, job, MOST);
            l = plan_loads_of(&a_plan_room, job, at, MOST);
            plan_write_loads(&a_plan_room, job, at, MOST, (enum plan_way)way, slot, &load);
            assert_near(load - 3, l.fillings[way]); /* 100 L take all of them at once */
            for (size_t i = 0; i < MOST; i++) {
                double pct = 100 * fabs(slot[i].ec_ms_cm - job[i].ec_ms_cm) / job[i].ec_ms_cm;

                assert_true(slot[i].load >= 3 && slot[i].load < load);
                assert_true(pct <= job[i].tolerance_pct + 1e-9);
                cost += a_plan_room.cost.deviation_per_pct * pct;
            }
            assert_near(cost + 5 * l.fillings[way], l.cost[way]);
        }
    }
}

/* Sixty, in three crowds of twenty that no strength serves two of. In a crowd ten are half a
 * percent over the others, so that at the strength of those they are off by 0.5 / 1.005 %: 2.5
 * for all ten, less than another load. */
static void a_long_line_is_cut_like_a_short_one(void **ctx)
{
    struct plan_job job[60];
    uint32_t at[60];
    struct plan_slot slot[60] = {{0}};
    uint32_t load = 0;
    struct plan_loads l;

    (void)ctx;
    for (uint32_t i = 0; i < 60; i++) {
        uint32_t crowd = i / 20;
        double ec = 1.0 + crowd;

        at[i] = i;
        job[i] = (struct plan_job){
            .ec_ms_cm = i % 20 < 10 ? ec : ec * 1.005, .tolerance_pct = 5, .volume_l = 4};
    }
    l = plan_loads_of(&a_plan_room, job, at, 60);
    assert_near(l.fillings[PLAN_WITHIN], 3);
    assert_near(l.cost[PLAN_WITHIN], 3 * 5 + 3 * 10 * 0.5 * 0.5 / 1.005);
    plan_write_loads(&a_plan_room, job, at, 60, PLAN_WITHIN, slot, &load);
    assert_int_equal(load, 3);
    for (size_t i = 1; i < 60; i++) {
        assert_true((slot[i].load == slot[i - 1].load) == (i % 20 != 0));
    }
}

/* Weighted by what a percent of each is: of 1.0 and 2.0, both bearing all, the weaker one wins,
 * since a tenth of a unit is more of it. */
static void the_weaker_of_two_sets_the_strength(void **ctx)
{
    static const uint32_t at[] = {0, 1};
    struct plan_job job[2] = {
        {.ec_ms_cm = 1.0, .tolerance_pct = 60, .volume_l = 1},
        {.ec_ms_cm = 1.2, .tolerance_pct = 60, .volume_l = 1}
    };
    struct plan_slot slot[2] = {{0}};
    uint32_t load = 0;

    (void)ctx;
    plan_write_loads(&a_plan_room, job, at, 2, PLAN_BEYOND, slot, &load);
    assert_int_equal(load, 1);
    assert_near(slot[0].ec_ms_cm, 1.0);
    assert_near(slot[1].ec_ms_cm, 1.0);
}

/* ---- the sums of a day */

/* Opening 10, two fillings 10, 3 by themselves; 25 + 30 + 20 minutes are 15 over the hour: 6. */
static void a_day_pays_for_opening_loads_and_overtime(void **ctx)
{
    struct plan_tally t = {
        .mixed = 3,
        .loads = {.cost = {10, 10}, .fillings = {2, 2}},
        .apart = 3,
        .minutes = 20,
        .volume_l = 24
    };
    enum plan_way way = PLAN_WAYS;

    (void)ctx;
    assert_near(plan_tally_cost(&a_plan_room, 1, &t, &way), 10 + 10 + 3 + 6);
    assert_int_equal(way, PLAN_WITHIN); /* of equals */
    t.minutes = 5;                      /* just the hour */
    assert_near(plan_tally_cost(&a_plan_room, 1, &t, NULL), 23);
    t.minutes = 500;
    assert_float_equal(plan_tally_cost(&a_plan_room, 2, &t, NULL), 23,
                       1e-12); /* no limit is told */
}

static void work_by_hand_alone_pays_for_its_minutes(void **ctx)
{
    struct plan_tally t = {.by_hand = 2, .apart = 9, .minutes = 70};

    (void)ctx;
    assert_near(plan_tally_cost(&a_plan_room, 0, &t, NULL), 9 + 4);
}

/* Two loads cost 12 within the budget; one costs 16, and 15 minutes less. Within: 10 + 12 +
 * overtime of (25 + 30 + m - 60) x 0.4; beyond: 10 + 16 + (25 + 15 + m - 60) x 0.4. */
static void a_full_day_has_fewer_loads(void **ctx)
{
    struct plan_tally t = {
        .mixed = 3, .loads = {.cost = {12, 16}, .fillings = {2, 1}},
             .minutes = 5
    };
    enum plan_way way;

    (void)ctx;
    assert_near(plan_tally_cost(&a_plan_room, 0, &t, &way), 22);
    assert_int_equal(way, PLAN_WITHIN);
    t.minutes = 20;
    assert_near(plan_tally_cost(&a_plan_room, 0, &t, &way), 26);
    assert_int_equal(way, PLAN_BEYOND);
}

/* 24 L and 2 L in the lines for each of two fillings are 28: 12 of 40 L are thrown away, 8 more
 * than the 20 to spare are taken. */
static void water_is_weighed_on_days_that_are_known(void **ctx)
{
    static const double plain_l[] = {40, 40};
    static const double spare_l[] = {20, 20};
    struct plan_room room = a_plan_room;
    struct plan_tally t = {
        .mixed = 3, .loads = {.cost = {10, 10}, .fillings = {2, 2}},
             .volume_l = 24
    };

    (void)ctx;
    room.cost.plain_per_l = 0.1;
    room.cost.short_per_l = 3;
    room.plain_l = plain_l;
    assert_near(plan_tally_cost(&room, 1, &t, NULL), 20 + 1.2);
    room.spare_l = spare_l;
    assert_near(plan_tally_cost(&room, 1, &t, NULL), 20 + 1.2 + 24);
    assert_near(plan_tally_cost(&room, 2, &t, NULL), 20);
    t.mixed = 0; /* no mix takes any, and none is drained for one */
    assert_near(plan_tally_cost(&room, 1, &t, NULL), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_line_is_cut_where_it_costs_least),
        cmocka_unit_test(a_tight_reservoir_is_cut_by_its_fillings_too),
        cmocka_unit_test(loads_are_written_as_they_were_reckoned),
        cmocka_unit_test(a_long_line_is_cut_like_a_short_one),
        cmocka_unit_test(the_weaker_of_two_sets_the_strength),
        cmocka_unit_test(a_day_pays_for_opening_loads_and_overtime),
        cmocka_unit_test(work_by_hand_alone_pays_for_its_minutes),
        cmocka_unit_test(a_full_day_has_fewer_loads),
        cmocka_unit_test(water_is_weighed_on_days_that_are_known),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
