/* What readings of the pH teach of its drift, and where it is set for that. */
#include "tests/cmocka_all.h"

#include "daemon/core/model/ph_drift.h"

#include <math.h>

#define DAY_S 86400

static int64_t day(double n)
{
    return 1770000000 + (int64_t)(n * DAY_S);
}

/* A grown plant in a bucket: it drinks a tenth of what that holds in a day. */
static double turns(double days)
{
    return days / 10;
}

static void assert_near(double got, double want, double within)
{
    if (!(fabs(got - want) <= within)) {
        fail_msg("%.17g is not %.17g", got, want);
    }
}

/* Set to 5.8 and read a week later, over and over. */
static void weeks(struct ph_drift *d, struct gauss *room, int n, double ph_day)
{
    for (int i = 0; i < n; i++) {
        ph_drift_set(d, 5.8, day(7 * i), turns(7 * i));
        ph_drift_read(d, room, 5.8 + 7 * ph_day, day(7 * (i + 1)), turns(7 * (i + 1)));
    }
}

static void a_steady_rise_is_learned(void **state)
{
    struct gauss room = ph_drift_room();
    struct ph_drift d = ph_drift_of_plant();

    (void)state;
    weeks(&d, &room, 12, 0.06);
    assert_near(ph_drift_ph_turn(&d, &room), 0.6, 0.05);
}

static void what_one_plant_does_is_expected_of_the_next(void **state)
{
    struct gauss room = ph_drift_room();
    struct ph_drift next = ph_drift_of_plant();

    (void)state;
    for (int i = 0; i < 12; i++) {
        struct ph_drift d = ph_drift_of_plant();

        weeks(&d, &room, 2, -0.03);
    }
    assert_near(ph_drift_ph_turn(&next, &room), -0.3, 0.1);
}

static void plants_that_differ_are_told_apart(void **state)
{
    struct gauss room = ph_drift_room();
    struct ph_drift up = ph_drift_of_plant();
    struct ph_drift down = ph_drift_of_plant();

    (void)state;
    for (int i = 0; i < 20; i++) {
        weeks(&up, &room, 1, 0.04);
        weeks(&down, &room, 1, -0.02);
    }
    assert_near(ph_drift_ph_turn(&up, &room), 0.4, 0.06);
    assert_near(ph_drift_ph_turn(&down, &room), -0.2, 0.06);
}

static void hours_show_nothing_and_a_week_shows_more_than_a_day(void **state)
{
    const struct gauss before = ph_drift_room();
    struct gauss by_hours = before;
    struct gauss by_day = before;
    struct gauss by_week = before;
    struct ph_drift d = ph_drift_of_plant();

    (void)state;
    ph_drift_set(&d, 5.8, day(0), turns(0));
    ph_drift_read(&d, &by_hours, 5.9, day(0.3), turns(0.3));
    assert_true(by_hours.var == before.var && by_hours.mean == before.mean);
    d = ph_drift_of_plant();
    ph_drift_set(&d, 5.8, day(0), turns(0));
    ph_drift_read(&d, &by_day, 5.85, day(1), turns(1));
    d = ph_drift_of_plant();
    ph_drift_set(&d, 5.8, day(0), turns(0));
    ph_drift_read(&d, &by_week, 6.1, day(7), turns(7));
    assert_true(by_week.var < by_day.var && by_day.var < before.var);
}

static void a_leap_teaches_nothing_and_the_next_reading_counts_from_it(void **state)
{
    struct gauss room = ph_drift_room();
    struct ph_drift d = ph_drift_of_plant();
    double before = ph_drift_ph_turn(&d, &room);

    (void)state;
    ph_drift_set(&d, 5.8, day(0), turns(0));
    ph_drift_read(&d, &room, 9.9, day(7),
                  turns(7)); /* a meter out of its bottle, or a wrong refill */
    assert_true(ph_drift_ph_turn(&d, &room) == before);
    ph_drift_read(&d, &room, 9.9 + 0.7 * before, day(14), turns(14));
    assert_near(ph_drift_ph_turn(&d, &room), before, 1e-9);
    assert_true(room.var < ph_drift_room().var);
}

static void from_a_ph_that_nobody_knows_nothing_follows(void **state)
{
    struct gauss room = ph_drift_room();
    struct ph_drift d = ph_drift_of_plant();

    (void)state;
    ph_drift_set(&d, 5.0, day(0), turns(0));
    ph_drift_unknown(&d);
    ph_drift_read(&d, &room, 5.8, day(7), turns(7));
    assert_true(room.var == ph_drift_room().var);
}

static void it_is_set_as_far_before_the_middle_as_it_will_drift_beyond(void **state)
{
    (void)state;
    assert_near(ph_drift_aim(5.4, 6.6, 0, 14), 6.0, 1e-9);
    assert_near(ph_drift_aim(5.4, 6.6, 0.04, 10), 5.8, 1e-9);
    assert_near(ph_drift_aim(5.4, 6.6, -0.02, 10), 6.1, 1e-9);
    assert_near(ph_drift_aim(5.4, 6.6, 0.02, 10), 5.9, 1e-9);
}

static void it_is_never_set_near_an_end_of_its_band(void **state)
{
    (void)state;
    assert_near(ph_drift_aim(5.4, 6.6, 1, 14), 5.7, 1e-9);
    assert_near(ph_drift_aim(5.4, 6.6, -1, 14), 6.3, 1e-9);
}

/* Feeds are mostly nitrate: 0.4 a turn, give or take 0.8, is believed of a room at first, and 0.4
 * of what a plant differs. Two readings are right to 0.05 each, and a pH wanders by 0.03 in a
 * day. */
static void a_week_teaches_the_plant_and_the_room_their_share(void **state)
{
    struct gauss room = ph_drift_room();
    struct ph_drift d = ph_drift_of_plant();
    double noise = (2 * 0.05 * 0.05 + 7 * 0.03 * 0.03) / (0.7 * 0.7);
    double whole = 0.8 * 0.8 + 0.4 * 0.4 + noise;

    (void)state;
    assert_near(ph_drift_ph_turn(&d, &room), 0.4, 1e-12);
    ph_drift_set(&d, 5.8, day(0), turns(0));
    ph_drift_read(&d, &room, 5.8 + 0.7 * 0.5, day(7), turns(7));
    assert_near(d.own.mean, 0.4 * 0.4 / whole * 0.1, 1e-9); /* 0.1 over what was expected */
    assert_near(d.own.var, 0.4 * 0.4 * (1 - 0.4 * 0.4 / whole), 1e-9);
    assert_near(room.mean, 0.4 + 0.8 * 0.8 / whole * 0.1, 1e-9);
    assert_near(room.var, 0.8 * 0.8 * (1 - 0.8 * 0.8 / whole), 1e-9);
    assert_near(d.from_ph, 6.15, 1e-12);
    assert_true(d.from_s == day(7));
}

static void what_is_off_by_four_sd_teaches_nothing(void **state)
{
    double noise = (2 * 0.05 * 0.05 + 7 * 0.03 * 0.03) / (0.7 * 0.7);
    double four = 4 * sqrt(0.8 * 0.8 + 0.4 * 0.4 + noise);

    (void)state;
    for (int side = -1; side <= 1; side += 2) {
        for (int over = 0; over < 2; over++) {
            struct gauss room = ph_drift_room();
            struct ph_drift d = ph_drift_of_plant();

            ph_drift_set(&d, 5.8, day(0), turns(0));
            ph_drift_read(&d, &room, 5.8 + 0.7 * (0.4 + side * four * (over ? 1.01 : 0.99)), day(7),
                          turns(7));
            assert_true((room.mean != 0.4) == !over);
        }
    }
}

/* What a seedling does in a full bucket is no measure of what a grown plant does in it: the same
 * rise in as many days, of which the one drank a tenth of what the other did. */
static void it_goes_by_what_is_drunk(void **state)
{
    struct gauss room = {0.5, 0};
    struct ph_drift d = ph_drift_of_plant();

    (void)state;
    ph_drift_set(&d, 5.8, day(0), 0);
    assert_near(ph_drift_days_within(&d, &room, 0.1, 5.5, 6.5), 0.7 / 0.05, 1e-9);
    assert_near(ph_drift_days_within(&d, &room, 0.01, 5.5, 6.5), 0.7 / 0.005, 1e-9);
    assert_true(isinf(ph_drift_days_within(&d, &room, 0, 5.5, 6.5)));
    /* It is outside, whichever way it drifts. */
    assert_true(ph_drift_days_within(&d, &room, 0.1, 6.0, 6.5) == 0);
    assert_true(ph_drift_days_within(&d, &room, 0.1, 5.0, 5.5) == 0);
    ph_drift_read(&d, &room, 5.9, day(7), 0); /* it drank nothing: whatever that was */
    assert_near(d.own.mean, 0, 0);
    assert_near(d.from_ph, 5.9, 0);
}

static void a_day_is_the_least_that_shows_anything(void **state)
{
    (void)state;
    for (int less = 0; less < 2; less++) {
        struct gauss room = ph_drift_room();
        struct ph_drift d = ph_drift_of_plant();

        ph_drift_set(&d, 5.8, day(0), turns(0));
        ph_drift_read(&d, &room, 5.9, day(1) - less, turns(1));
        assert_true((room.mean != 0.4) == !less);
        assert_true(d.from_s == day(1) - less);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_steady_rise_is_learned),
        cmocka_unit_test(what_one_plant_does_is_expected_of_the_next),
        cmocka_unit_test(plants_that_differ_are_told_apart),
        cmocka_unit_test(hours_show_nothing_and_a_week_shows_more_than_a_day),
        cmocka_unit_test(a_leap_teaches_nothing_and_the_next_reading_counts_from_it),
        cmocka_unit_test(from_a_ph_that_nobody_knows_nothing_follows),
        cmocka_unit_test(it_is_set_as_far_before_the_middle_as_it_will_drift_beyond),
        cmocka_unit_test(it_is_never_set_near_an_end_of_its_band),
        cmocka_unit_test(a_week_teaches_the_plant_and_the_room_their_share),
        cmocka_unit_test(what_is_off_by_four_sd_teaches_nothing),
        cmocka_unit_test(it_goes_by_what_is_drunk),
        cmocka_unit_test(a_day_is_the_least_that_shows_anything),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
