/* What keeping solutions up will take: by hand for one vine, and against what is supposed. */
#include "daemon/base/err.h"
#include "daemon/core/tasks/feeding.h"
#include "daemon/core/tasks/what_if.h"
#include "tests/unit/a_working_room.h"

#define DAYS 28

/* A vine that was changed on day 60 and drinks 1.9 L a day at 1.8 mS/cm of uptake: 8 L lose 0.43 a
 * day, and 1.8 are spent at 1.08. */
static void a_thirsty_vine(struct fixture *f)
{
    on_float(f, "A1", 45);
    f->s.container[A1].curve = f->room.crop[VINE].use;
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(60, 8)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "fruit", at(60, 9)), FIGURE_EC_MS_CM, 1.8));
}

static struct feeding foresee(const struct fixture *f, int days)
{
    return feeding_foresee(&f->room, &f->s, at(60, 9), days);
}

static void a_solution_is_changed_at_the_end_of_its_life_and_bumped_before(void **ctx)
{
    struct fixture *f = *ctx;
    struct feeding one;

    a_thirsty_vine(f);
    one = foresee(f, DAYS);
    assert_int_equal(one.changes, 2);   /* each lives for 14 days */
    assert_in_range(one.bumps, 10, 14); /* two days for each, in 26 days */
    /* A bump is worth it before it is needed; and before a change it may be spent or not. */
    assert_true(one.short_day > 0 && one.short_day <= one.bumps + one.changes);
    assert_float_equal(one.minutes, 6 * one.changes + 3 * one.bumps, 1e-9);
    assert_int_equal(foresee(f, 1).bumps, 0);
    assert_int_equal(foresee(f, 13).changes, 0);
    assert_int_equal(foresee(f, 14).changes, 1);
}

static void what_does_not_grow_takes_nothing(void **ctx)
{
    struct fixture *f = *ctx;

    assert_int_equal(foresee(f, DAYS).bumps + foresee(f, DAYS).changes, 0);
    a_thirsty_vine(f);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(60, 9))); /* waits for its solution: no forecast */
    assert_int_equal(foresee(f, DAYS).bumps + foresee(f, DAYS).changes, 0);
}

static void nothing_is_done_to_what_was_harvested_meanwhile(void **ctx)
{
    struct fixture *f = *ctx;

    a_thirsty_vine(f);
    f->room.crop[VINE].harvest_day = 70; /* day 60 is its sixtieth */
    assert_int_equal(foresee(f, DAYS).changes, 0);
    assert_int_equal(foresee(f, DAYS).bumps, foresee(f, 10).bumps);
}

static void assert_spares(struct fixture *f, const char *supposed)
{
    struct feeding is = foresee(f, DAYS);
    struct feeding then;
    struct what_if w;
    struct err e;

    what_if_init(&w, &f->room, &f->s);
    assert_int_equal(what_if_suppose(&w, supposed, day(60), &e), 0);
    then = feeding_foresee(&w.room, &w.s, at(60, 9), DAYS);
    assert_true(3 * then.bumps <= 2 * is.bumps + 3);
    assert_true(then.minutes < is.minutes && then.short_day < is.short_day);
    what_if_deinit(&w);
}

/* Twice the litres last twice as long; and a feed of half the uptake leaves half of the fall.
 * By whole mornings a third less at least comes of it. */
static void larger_vessels_and_a_feed_spare_bumps(void **ctx)
{
    struct fixture *f = *ctx;

    a_thirsty_vine(f);
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(60, 9)), FIGURE_VOLUME_L, 90));
    assert_spares(f, "float 16 L like A1");
    assert_spares(f, "feed 0.9 mS/cm");
}

/* ---- weeks with visits */

static struct feeding_week week(const struct fixture *f, double thirst_sd)
{
    return feeding_week(&f->room, &f->s, at(60, 9), DAYS, thirst_sd);
}

/* 8 L at 1.8 lose 0.43 a day, from 14 % above down to 75 % in a day and three quarters; spent, at
 * 60 %, it waits for two mornings at most. */
static void somebody_comes_before_a_plant_has_suffered_for_long(void **ctx)
{
    struct fixture *f = *ctx;
    struct feeding_week w;

    a_thirsty_vine(f);
    w = week(f, 0);
    assert_true(w.visits >= 7.0 / 4 && w.visits <= 7);
    assert_true(w.narrow_pct > 0 && w.narrow_pct < 100);
    assert_true(w.water_l > 7 * 1.8); /* it drinks 1.9 L a day, and is changed */
    assert_true(week(f, 1).water_l > w.water_l);
    assert_true(week(f, -1).water_l < w.water_l);
}

static void the_dial_is_strength_against_visits(void **ctx)
{
    struct fixture *f = *ctx;
    struct feeding_week close;
    struct feeding_week easy;

    a_thirsty_vine(f);
    f->room.labour.visit_min = 0.2; /* a short way: no plant has to suffer for it */
    f->room.strength = STRENGTH_CLOSE;
    close = week(f, 0);
    f->room.strength = STRENGTH_EASY;
    easy = week(f, 0);
    assert_true(close.visits > easy.visits);
    assert_true(close.narrow_pct > easy.narrow_pct);
    assert_true(close.minutes > easy.minutes);
}

static void nobody_comes_on_days_off(void **ctx)
{
    struct fixture *f = *ctx;

    a_thirsty_vine(f);
    for (int day = 1; day < 7; day++) {
        f->room.labour.budget_min[day] = 0;
    }
    assert_true(week(f, 0).visits <= 1);
}

/* Food comes with the water: less is added by hand. */
static void a_feed_saves_work(void **ctx)
{
    struct fixture *f = *ctx;
    struct what_if w;
    struct err e;
    struct feeding_week fed;

    a_thirsty_vine(f);
    what_if_init(&w, &f->room, &f->s);
    assert_int_equal(what_if_suppose(&w, "feed 0.8 mS/cm", day(60), &e), 0);
    fed = feeding_week(&w.room, &w.s, at(60, 9), DAYS, 0);
    what_if_deinit(&w);
    assert_true(fed.minutes < week(f, 0).minutes);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_solution_is_changed_at_the_end_of_its_life_and_bumped_before),
        TEST(what_does_not_grow_takes_nothing),
        TEST(nothing_is_done_to_what_was_harvested_meanwhile),
        TEST(larger_vessels_and_a_feed_spare_bumps),
        TEST(somebody_comes_before_a_plant_has_suffered_for_long),
        TEST(the_dial_is_strength_against_visits),
        TEST(nobody_comes_on_days_off),
        TEST(a_feed_saves_work),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
