/* The changes of a room as the planner gets them: days, strengths, labour and the water at hand. */
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/prediction.h"
#include "daemon/core/tasks/change_plan.h"
#include "tests/unit/a_working_room.h"

/* The problem of the changes that there are now. Ended with change_plan_deinit. */
static void plan_of(struct fixture *f, int64_t now_s, struct change_plan *out)
{
    const struct job *change[8];
    size_t n = 0;

    (void)job_of(f, now_s, TASK_CHANGE, "A1");
    for (size_t i = 0; i < f->jobs.n; i++) {
        if (f->jobs.job[i].kind == TASK_CHANGE) {
            change[n++] = &f->jobs.job[i];
        }
    }
    change_plan_init(&f->room, &f->s, now_s, change, n, out);
}

static void days_are_counted_from_today(void **ctx)
{
    struct fixture *f = *ctx;
    struct change_plan p;

    on_float(f, "A1", 30); /* from 37 to 44, due at the end */
    plan_of(f, at(39, 7), &p);
    assert_int_equal(p.today, day(39));
    assert_int_equal(p.n, 1);
    assert_int_equal(p.job[0].earliest, -2);
    assert_int_equal(p.job[0].due, 5);
    assert_int_equal(p.job[0].latest, 5);
    assert_int_equal(p.job[0].kept, PLAN_UNPLANNED);
    assert_int_equal(p.slot[0].day, PLAN_UNPLANNED);
    assert_true(p.job[0].volume_l == 7.5 && p.job[0].minutes == 6);
    assert_true(p.job[0].tolerance_pct == 10);
    assert_int_equal(p.job[0].recipe, LEAF_FEED);
    change_plan_deinit(&p);
    assert_int_equal(p.n, 0);
}

/* 8 L are to hold 1.0 and half a tolerance of 10 % more, and half a litre of the old stays:
 * (8 * 1.05 - 0.5 * old) / 7.5, to a hundredth. */
static void a_mix_makes_up_for_what_stays_in_the_tub(void **ctx)
{
    struct fixture *f = *ctx;
    struct change_plan p;
    struct liquid then;
    double old;

    on_float(f, "A1", 30);
    plan_of(f, at(40, 7), &p);
    then = forecast_container(&f->room, &f->s, A1, at(40, 7)).body;
    old = then.ec_ms_cm - then.water_ms_cm + 0.05; /* its food, in water of the source */
    assert_true(old < 0.6);
    assert_float_equal(p.job[0].ec_ms_cm, round((8 * 1.05 - 0.5 * old) / 7.5 * 100) / 100, 1e-9);
    assert_true(p.job[0].ec_ms_cm >= 1.03);
    change_plan_deinit(&p);
}

static void the_planner_gets_the_rooms_labour_and_reservoir(void **ctx)
{
    struct fixture *f = *ctx;
    struct change_plan p;

    f->room.measures.jug_l = 9;
    f->room.labour.pour_min = 11;
    f->room.labour.budget_min[3] = 77; /* 2026-04-09, day 39, is a Thursday */
    f->room.labour.budget_min[4] = 0;
    on_float(f, "A1", 30);
    nobody_works(f, 42, 43);
    plan_of(f, at(39, 7), &p);
    assert_true(p.room.usable_l == 95 && p.room.line_loss_l == 2);
    assert_true(p.room.changeover_min == 25 && p.room.load_min == 15);
    assert_true(p.room.hand_l == 9 && p.room.hand_min == 11);
    assert_true(p.budget_min[0] == 77 && p.budget_min[1] == 0 && p.budget_min[2] == 120);
    for (int i = 0; i < 7; i++) {
        assert_int_equal(p.off[i], i == 1 || i == 3 || i == 4);
    }
    assert_ptr_equal(p.room.off, p.off);
    assert_int_equal(p.room.n_days, CHANGE_PLAN_DAYS);
    change_plan_deinit(&p);
}

/* At the mark it is low, and will be filled: 25 L are no more than that, 26 are. */
static void water_at_the_low_mark_is_low(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry filled = told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(62, 7));
    struct change_plan p;

    on_float(f, "A1", 60);
    tell(f, with(filled, FIGURE_VOLUME_L, 25));
    plan_of(f, at(62, 7), &p);
    assert_float_equal(p.plain_l[0], (100 + 25) / 2.0 - 5, 1e-9);
    change_plan_deinit(&p);
    tell(f, with(filled, FIGURE_VOLUME_L, 26));
    plan_of(f, at(62, 7), &p);
    assert_float_equal(p.plain_l[0], 26 - 5, 1e-9);
    change_plan_deinit(&p);
}

/* What stands above the outlet is thrown away when a mix is made, until the reservoir
 * is down to its low mark: then it is filled again, and as full as half-way between
 * that and the brim for all one knows. */
static void plain_water_is_foreseen_until_the_reservoir_is_low(void **ctx)
{
    struct fixture *f = *ctx;
    struct change_plan p;
    int32_t low = 0;

    on_float(f, "A1", 60);
    on_float(f, "A2", 60);
    fill(f, 61, 60);
    plan_of(f, at(62, 7), &p);
    for (int32_t i = 0; i < CHANGE_PLAN_DAYS; i++) {
        double l = forecast_reservoir(&f->room, &f->s, at(62 + i, 7)).volume_l;

        if (l > 25) {
            assert_float_equal(p.plain_l[i], l - 5, 1e-9);
            low = i;
        } else {
            assert_float_equal(p.plain_l[i], (100 + 25) / 2.0 - 5, 1e-9);
        }
    }
    assert_true(low > 3 && low < 20);
    change_plan_deinit(&p);
}

/* At hand: what the reservoir holds with nine chances in ten, and the source's 100 L
 * and two hours of 8 L; floats want theirs until the second working day after. */
static void mixes_may_take_what_floats_leave(void **ctx)
{
    struct fixture *f = *ctx;
    struct change_plan p;

    on_float(f, "A1", 60);
    on_float(f, "A2", 60);
    fill(f, 61, 60);
    nobody_works(f, 64, 65);
    plan_of(f, at(62, 7), &p);
    for (int i = 0; i < 3; i++) {
        static const int fills_after[] = {4, 4, 3}; /* days, for the two that are off */
        double sure = predict_reservoir_l(&f->room, &f->s, at(62 + i, 7), 0.1) - 5;
        double draw = forecast_draw_l(&f->room, &f->s, at(62 + i, 7), at(63 + i, 7));

        assert_float_equal(p.spare_l[i], sure + 100 + 2 * 8 - draw * fills_after[i], 1e-6);
    }
    change_plan_deinit(&p);
    f->room.source.stored_l = 0;
    f->room.source.rate_l_h = 0;
    f->room.reservoir.remainder_l = 55;
    plan_of(f, at(62, 7), &p);
    assert_true(p.spare_l[0] == 0); /* less than nothing is nothing */
    change_plan_deinit(&p);
}

/* Three weeks ahead the plants drink as they do then: it is not asked for beyond. */
static void thirst_is_asked_for_three_weeks_ahead(void **ctx)
{
    struct fixture *f = *ctx;
    struct change_plan p;
    double draw;

    on_float(f, "A1", 30);
    fill(f, 31, 60);
    f->room.reservoir.low_l = 5;
    plan_of(f, at(31, 9), &p);
    draw = forecast_draw_l(&f->room, &f->s, at(51, 7), at(52, 7));
    for (int i = 30; i < 40; i++) { /* by then it was filled again */
        assert_float_equal(p.spare_l[i], (100 + 5) / 2.0 - 5 + 100 + 2 * 8 - 2 * draw, 1e-6);
    }
    change_plan_deinit(&p);
}

/* No water is thrown away with a mix in it, and none of it is water for another: only
 * what the source has. From tomorrow on it is full of water for all one knows. */
static void a_reservoir_with_a_mix_holds_no_water_today(void **ctx)
{
    struct fixture *f = *ctx;
    struct change_plan p;

    on_float(f, "A1", 30);
    fill(f, 38, 90);
    tell(f, with(with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(39, 8)), FIGURE_VOLUME_L, 40),
                 FIGURE_EC_MS_CM, 1.1));
    plan_of(f, at(39, 9), &p);
    assert_true(p.plain_l[0] == 0);
    assert_true(p.spare_l[0] <= 116 && p.spare_l[0] > 110);
    assert_float_equal(p.plain_l[1], 57.5, 1e-9);
    assert_true(p.spare_l[1] > 160);
    change_plan_deinit(&p);
}

static void a_room_without_changes_has_no_problem(void **ctx)
{
    struct fixture *f = *ctx;
    struct change_plan p;

    plan_of(f, at(0, 7), &p);
    assert_int_equal(p.n, 0);
    change_plan_deinit(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(days_are_counted_from_today),
        TEST(a_mix_makes_up_for_what_stays_in_the_tub),
        TEST(the_planner_gets_the_rooms_labour_and_reservoir),
        TEST(water_at_the_low_mark_is_low),
        TEST(plain_water_is_foreseen_until_the_reservoir_is_low),
        TEST(mixes_may_take_what_floats_leave),
        TEST(thirst_is_asked_for_three_weeks_ahead),
        TEST(a_reservoir_with_a_mix_holds_no_water_today),
        TEST(a_room_without_changes_has_no_problem),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
