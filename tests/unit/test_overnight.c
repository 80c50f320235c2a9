/* A night with every shut-off closed: what it says of a leak, whatever plants drink. The reservoir
 * holds 100 L, so a night is read to 0.25 L (reading_error.h). */
#include "daemon/core/state/overnight.h"

#include "daemon/core/state/alarm.h"
#include "daemon/core/state/forecast.h"
#include "tests/unit/a_story.h"

static int nightly(void **ctx)
{
    int rc = set_up(ctx);
    struct fixture *f = *ctx;

    f->room.reservoir.capacity_l = 100;
    f->room.care_every_day[CARE_OVERNIGHT] = 3;
    return rc;
}

#define NIGHTLY(name) cmocka_unit_test_setup_teardown(name, nightly, tear_down)

static void night(struct fixture *f, int day, double added_l)
{
    tell(f, with(told_at(ENTRY_STOOD, "reservoir", "", at(day, 7)), FIGURE_ADDED_L, added_l));
}

static bool leaks(const struct fixture *f)
{
    return f->s.reservoir.alarms.of[ALARM_LEAK].since_s != 0;
}

static void a_litre_lost_in_a_night_is_a_leak(void **ctx)
{
    struct fixture *f = *ctx;
    struct alarms alarms;

    on_float(f, "A1");
    fills(f, 32, 90);
    night(f, 35, 1.0);
    assert_true(leaks(f));
    alarms_derive(&f->room, &f->s, at(35, 8), &alarms);
    assert_int_equal(alarms.n, 1);
    assert_string_equal(alarms.alarm[0].says, "with every shut-off closed the reservoir lost 1.0 L "
                                              "overnight, and should lose nothing");
    alarms_deinit(&alarms);
}

/* Wald's test: two nights that may be chance are none. */
static void a_slow_leak_takes_a_few_nights(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    fills(f, 32, 90);
    night(f, 35, 0.4);
    assert_false(leaks(f));
    night(f, 36, 0.4);
    assert_false(leaks(f));
    night(f, 37, 0.4);
    assert_true(leaks(f));
}

static void tight_nights_say_nothing_and_clear_what_was_thirst(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    fills(f, 32, 90);
    f->s.reservoir.excess = 3;
    for (int day = 35; day < 60; day++) {
        night(f, day, day % 2 ? 0.2 : 0);
    }
    assert_false(leaks(f));
    assert_near(f->s.reservoir.excess, 0, 0);
}

static void once_mended_one_night_shuts_it(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    fills(f, 32, 90);
    night(f, 35, 1.2);
    reads(f, "reservoir", 36, FIGURE_VOLUME_L, 89); /* a level of chance shuts nothing */
    assert_true(leaks(f));
    night(f, 37, 0.9);
    assert_true(leaks(f));
    night(f, 38, 0.1);
    assert_false(leaks(f));
}

/* Floats let in the night's drink when the shut-offs are opened: nobody's leak. */
static void a_level_read_while_floats_fill_is_no_evidence(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry level = told_at(ENTRY_READING, "reservoir", "", at(35, 7) + 1800);
    struct entry pot = told_at(ENTRY_READING, "A1", "", at(35, 7) + 1800);

    on_float(f, "A1");
    fills(f, 32, 90);
    reads(f, "reservoir", 34, FIGURE_VOLUME_L, 88);
    night(f, 35, 0);
    tell(f, with(level, FIGURE_VOLUME_L, 60));
    tell(f, with(pot, FIGURE_VOLUME_L, 6.5));
    assert_near(f->s.reservoir.excess, 0, 0.5);
    assert_int_equal(f->s.container[0].alarms.of[ALARM_LOW].since_s, 0);
    pot.happened_s = at(35, 8) + 60;
    tell(f, with(pot, FIGURE_VOLUME_L, 6.5));
    assert_true(f->s.container[0].alarms.of[ALARM_LOW].since_s != 0);
}

static void a_night_is_wanted_every_few_days_and_sooner_in_doubt(void **ctx)
{
    struct fixture *f = *ctx;

    fills(f, 2, 90);
    start(f, "A1");
    assert_int_equal(overnight_wanted_s(&f->room, &f->s), 0); /* no float lets in anything yet */
    on_float(f, "A1");
    fills(f, 32, 90);
    assert_int_equal(overnight_wanted_s(&f->room, &f->s), at(35, 9));
    night(f, 35, 0);
    assert_int_equal(overnight_wanted_s(&f->room, &f->s), at(38, 7));
    night(f, 38, 0.5);
    assert_true(overnight_is_doubted(&f->s));
    assert_int_equal(overnight_wanted_s(&f->room, &f->s), at(38, 7));
    night(f, 39, 0);
    f->s.reservoir.excess = 1.5;
    f->s.reservoir.seen_s = at(40, 9);
    assert_int_equal(overnight_wanted_s(&f->room, &f->s), at(40, 9));
    f->room.care_every_day[CARE_OVERNIGHT] = 0;
    assert_int_equal(overnight_wanted_s(&f->room, &f->s), 0);
}

/* What runs off beside `share` more than the plants drink, from one morning to the next. */
static void day_passes(struct fixture *f, int day, double share)
{
    double was_l = f->s.reservoir.seen_l;
    double meant_l = forecast_reservoir(&f->room, &f->s, at(day, 9)).volume_l;

    reads(f, "reservoir", day, FIGURE_VOLUME_L, meant_l - share * (was_l - meant_l));
}

static void a_few_days_of_a_fifth_more_ask_for_a_night(void **ctx)
{
    struct fixture *f = *ctx;

    for (int leaks = 0; leaks < 2; leaks++) {
        begin_again(f);
        for (size_t i = A1; i <= A3; i++) {
            on_float(f, f->room.container[i].name);
        }
        fills(f, 32, 90);
        night(f, 35, 0);
        day_passes(f, 35, 0);
        for (int day = 36; day <= 38; day++) {
            day_passes(f, day, leaks * 0.2);
        }
        assert_int_equal(overnight_is_doubted(&f->s), leaks);
        night(f, 39, 0); /* it was thirst */
        assert_false(overnight_is_doubted(&f->s));
    }
}

static void what_an_alarm_says_leaks_is_not_learned_as_thirst_until_somebody_looked(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry looked = told_at(ENTRY_ACKNOWLEDGED, "reservoir", "look", at(37, 12));
    double believed;

    on_float(f, "A1");
    fills(f, 32, 90);
    day_passes(f, 34, 0);
    night(f, 35, 1.0);
    assert_true(leaks(f));
    believed = f->s.container[A1].curve.most_l_day;
    day_passes(f, 36, 1);
    day_passes(f, 37, 1);
    assert_near(f->s.container[A1].curve.most_l_day, believed, 0);
    tell(f, looked);
    day_passes(f, 38, 1);
    assert_true(f->s.container[A1].curve.most_l_day > believed);
}

/* Where nights tell, thirst is not called a leak short of twice what was believed. */
static void heat_is_no_leak_where_nights_tell(void **ctx)
{
    struct fixture *f = *ctx;

    for (int nights = 0; nights < 2; nights++) {
        begin_again(f);
        f->room.care_every_day[CARE_OVERNIGHT] = nights ? 3 : 0;
        on_float(f, "A1");
        fills(f, 32, 90);
        f->s.reservoir.excess = 5.9;
        f->s.reservoir.seen_s = at(32, 9);
        reads(f, "reservoir", 40, FIGURE_VOLUME_L,
              90 - 1.6 * (90 - forecast_reservoir(&f->room, &f->s, at(40, 9)).volume_l));
        assert_int_equal(leaks(f), !nights);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        NIGHTLY(a_litre_lost_in_a_night_is_a_leak),
        NIGHTLY(a_slow_leak_takes_a_few_nights),
        NIGHTLY(tight_nights_say_nothing_and_clear_what_was_thirst),
        NIGHTLY(once_mended_one_night_shuts_it),
        NIGHTLY(a_level_read_while_floats_fill_is_no_evidence),
        NIGHTLY(a_night_is_wanted_every_few_days_and_sooner_in_doubt),
        NIGHTLY(a_few_days_of_a_fifth_more_ask_for_a_night),
        NIGHTLY(what_an_alarm_says_leaks_is_not_learned_as_thirst_until_somebody_looked),
        NIGHTLY(heat_is_no_leak_where_nights_tell),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
