/* What a plan comes to, told from its slots: each amount, what breaks a rule, and what each
 * costs. The sums stand in the comments. */
#include "daemon/core/plan/plan_amounts.h"
#include "tests/cmocka_all.h"
#include "tests/unit/near.h"

#include <math.h>

#define DAYS 6

static const double budget_min[DAYS] = {60, 60, 60, 60, 60, 60};

static const struct plan_room a_plan_room = {
    .usable_l = 20,
    .line_loss_l = 2,
    .changeover_min = 25,
    .load_min = 15,
    .budget_min = budget_min,
    .n_days = DAYS,
    .hand_l = 3,
    .hand_min = 10,
};

static struct plan_job a_job(double volume_l)
{
    return (struct plan_job){.kept = PLAN_UNPLANNED,
                             .due = 2,
                             .latest = 5,
                             .ec_ms_cm = 1.0,
                             .tolerance_pct = 10,
                             .volume_l = volume_l,
                             .minutes = 6};
}

static struct plan_slot slot_on(int32_t day, uint32_t load, double ec)
{
    return (struct plan_slot){.day = day, .load = load, .ec_ms_cm = ec};
}

/* Two loads on day 2 and one by hand: one open day. The first load is 19 L: two fillings of 18. */
static void a_day_is_opened_once_and_fillings_are_counted(void **ctx)
{
    struct plan_job job[4] = {a_job(9), a_job(10), a_job(4), a_job(3)};
    struct plan_slot slot[4] = {
        slot_on(2, 0, 1.0),
        slot_on(2, 0, 1.0),
        slot_on(2, 1, 1.05),
        {.day = 2, .load = 2, .by_hand = true, .ec_ms_cm = 1.0}
    };
    struct plan_amounts a = plan_amounts_of(&a_plan_room, job, 4, slot);

    (void)ctx;
    assert_true(a.valid);
    assert_near(a.open_days, 1);
    assert_near(a.fillings, 3);
    assert_int_equal(a.by_hand, 1);
    assert_int_equal(a.unplanned, 0);
    assert_float_equal(a.mixed_l, 9 + 10 + 4 + 3 * 2,
                       1e-9); /* what is poured by hand is not mixed in it */
    assert_near(a.minutes, 25 + 3 * 15 + 4 * 6 + 10);
    assert_near(a.overtime_min, 104 - 60);
    assert_near(a.deviation_pct, 5);
    assert_near(a.early_days + a.late_days, 0);
}

static void work_by_hand_alone_opens_no_day(void **ctx)
{
    struct plan_job job = a_job(3);
    struct plan_slot slot = {.day = 1, .by_hand = true, .ec_ms_cm = 1.0};
    struct plan_amounts a = plan_amounts_of(&a_plan_room, &job, 1, &slot);

    (void)ctx;
    assert_true(a.valid);
    assert_near(a.open_days, 0);
    assert_near(a.fillings, 0);
    assert_near(a.mixed_l, 0);
    assert_near(a.minutes, 16);
    assert_near(a.early_days, 1);
}

static void days_early_and_late_and_moves_are_summed_apart(void **ctx)
{
    struct plan_job job[4] = {a_job(2), a_job(2), a_job(2), a_job(2)};
    struct plan_slot slot[4] = {slot_on(0, 0, 1.0), slot_on(5, 1, 1.0), slot_on(1, 2, 0.96),
                                slot_on(PLAN_UNPLANNED, 0, 0)};
    struct plan_amounts a;

    (void)ctx;
    job[0].kept = 0;
    job[1].kept = 4;
    a = plan_amounts_of(&a_plan_room, job, 4, slot);
    assert_near(a.early_days, 2 + 1);
    assert_near(a.late_days, 3);
    assert_int_equal(a.moved, 1);
    assert_int_equal(a.unplanned, 1);
    assert_near(a.open_days, 3);
    assert_near(a.deviation_pct, 4); /* weaker is as far off as stronger */
}

/* On day 2 a mix of 8 L and 2 L in the lines leaves 30 of 40 L to be thrown away, and lacks 10 -
 * 7. On other days nothing is thrown away. */
static void plain_water_counts_on_days_with_a_mix(void **ctx)
{
    static const double plain_l[DAYS] = {90, 90, 40, 90, 90, 90};
    static const double spare_l[DAYS] = {50, 50, 7, 50, 50, 50};
    struct plan_room room = a_plan_room;
    struct plan_job job = a_job(8);
    struct plan_slot slot = slot_on(2, 0, 1.0);
    struct plan_amounts a;

    (void)ctx;
    a = plan_amounts_of(&room, &job, 1, &slot);
    assert_near(a.plain_l, 0);
    assert_near(a.short_l, 0);
    room.plain_l = plain_l;
    room.spare_l = spare_l;
    a = plan_amounts_of(&room, &job, 1, &slot);
    assert_near(a.plain_l, 30);
    assert_near(a.short_l, 3);
    slot.day = 3; /* enough to spare, and 80 L to be thrown away */
    a = plan_amounts_of(&room, &job, 1, &slot);
    assert_near(a.plain_l, 80);
    assert_near(a.short_l, 0);
    room.n_days = 3; /* nothing is known of day 3 */
    a = plan_amounts_of(&room, &job, 1, &slot);
    assert_true(a.valid);
    assert_near(a.plain_l, 0);
    assert_near(a.overtime_min, 0);
}

/* ---- what breaks a rule */

static bool is_valid(const struct plan_room *room, const struct plan_job *job, size_t n,
                     const struct plan_slot *slot)
{
    bool valid = plan_amounts_of(room, job, n, slot).valid;

    assert_true(valid == isfinite(plan_cost_of(room, job, n, slot)));
    return valid;
}

static void a_slot_outside_of_its_window_is_refused(void **ctx)
{
    struct plan_job job = a_job(8);
    struct plan_slot slot = slot_on(5, 0, 1.0);

    (void)ctx;
    job.earliest = 1;
    assert_true(is_valid(&a_plan_room, &job, 1, &slot));
    slot.day = 6;
    assert_false(is_valid(&a_plan_room, &job, 1, &slot));
    slot.day = 0;
    assert_false(is_valid(&a_plan_room, &job, 1, &slot));
    slot.day = 1;
    assert_true(is_valid(&a_plan_room, &job, 1, &slot));
    slot.load = 1; /* loads are numbered below the number of jobs */
    assert_false(is_valid(&a_plan_room, &job, 1, &slot));
}

static void a_strength_beyond_what_is_borne_is_refused(void **ctx)
{
    struct plan_job job = a_job(8);
    struct plan_slot slot = slot_on(2, 0, 1.1);

    (void)ctx;
    assert_true(is_valid(&a_plan_room, &job, 1, &slot));
    slot.ec_ms_cm = 1.101;
    assert_false(is_valid(&a_plan_room, &job, 1, &slot));
    slot.ec_ms_cm = 0.899;
    assert_false(is_valid(&a_plan_room, &job, 1, &slot));
}

static void one_load_is_one_recipe_strength_and_day(void **ctx)
{
    struct plan_job job[2] = {a_job(3), a_job(3)};
    struct plan_slot slot[2] = {slot_on(2, 0, 1.0), slot_on(2, 0, 1.0)};

    (void)ctx;
    assert_true(is_valid(&a_plan_room, job, 2, slot));
    slot[1].ec_ms_cm = 1.01;
    assert_false(is_valid(&a_plan_room, job, 2, slot));
    slot[1] = slot_on(3, 0, 1.0);
    assert_false(is_valid(&a_plan_room, job, 2, slot));
    slot[1] = slot_on(2, 0, 1.0);
    job[1].recipe = 1;
    assert_false(is_valid(&a_plan_room, job, 2, slot));
    slot[1].load = 1;
    assert_true(is_valid(&a_plan_room, job, 2, slot));
}

static void what_is_poured_by_hand_is_small_and_alone(void **ctx)
{
    struct plan_job job[2] = {a_job(3), a_job(3)};
    struct plan_slot slot[2] = {
        {.day = 2, .load = 0, .by_hand = true, .ec_ms_cm = 1.0},
        {.day = 2, .load = 1, .by_hand = true, .ec_ms_cm = 1.0}
    };

    (void)ctx;
    assert_true(is_valid(&a_plan_room, job, 2, slot));
    slot[1].load = 0;
    assert_false(is_valid(&a_plan_room, job, 2, slot));
    slot[1].by_hand = false;
    assert_false(is_valid(&a_plan_room, job, 2, slot));
    slot[1].load = 1;
    assert_true(is_valid(&a_plan_room, job, 2, slot));
    job[0].volume_l = 3.1;
    assert_false(is_valid(&a_plan_room, job, 2, slot));
}

/* Each amount is asked by itself: 1 of it costs what its figure says. */
static void each_amount_has_its_own_price(void **ctx)
{
    static const struct plan_cost cost = {.open = 2,
                                          .load = 3,
                                          .early_per_day = 5,
                                          .late_per_day = 7,
                                          .deviation_per_pct = 11,
                                          .overtime_per_min = 13,
                                          .unplanned = 17,
                                          .move = 19,
                                          .plain_per_l = 23,
                                          .short_per_l = 29,
                                          .hand = 31};
    static const struct plan_amounts one[] = {
        {.valid = true, .open_days = 1    },
        {.valid = true, .fillings = 1     },
        {.valid = true, .early_days = 1   },
        {.valid = true, .late_days = 1    },
        {.valid = true, .deviation_pct = 1},
        {.valid = true, .overtime_min = 1 },
        {.valid = true, .unplanned = 1    },
        {.valid = true, .moved = 1        },
        {.valid = true, .plain_l = 1      },
        {.valid = true, .short_l = 1      },
        {.valid = true, .by_hand = 1      },
        {.valid = true, .visits = 1       },
    };
    static const double price[] = {2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 1};
    static const struct plan_amounts all = {true, 1, 1, 1, 1, 1, 9, 1, 9, 1, 1, 1, 1, 1, 1};

    (void)ctx;
    for (size_t i = 0; i < sizeof price / sizeof *price; i++) {
        assert_near(plan_price(&cost, &one[i]), price[i]);
    }
    /* litres mixed and minutes within the budget cost nothing by themselves */
    assert_float_equal(plan_price(&cost, &all),
                       2 + 3 + 5 + 7 + 11 + 13 + 17 + 19 + 23 + 29 + 31 + 1, 0);
    assert_true(isinf(plan_price(&cost, &(struct plan_amounts){.open_days = 1})));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_day_is_opened_once_and_fillings_are_counted),
        cmocka_unit_test(work_by_hand_alone_opens_no_day),
        cmocka_unit_test(days_early_and_late_and_moves_are_summed_apart),
        cmocka_unit_test(plain_water_counts_on_days_with_a_mix),
        cmocka_unit_test(a_slot_outside_of_its_window_is_refused),
        cmocka_unit_test(a_strength_beyond_what_is_borne_is_refused),
        cmocka_unit_test(one_load_is_one_recipe_strength_and_day),
        cmocka_unit_test(what_is_poured_by_hand_is_small_and_alone),
        cmocka_unit_test(each_amount_has_its_own_price),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
