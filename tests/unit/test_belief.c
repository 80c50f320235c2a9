/* What is believed of a plant before anything was seen, as belief.h states it, and how time and
 * bounds change it. What plants teach of each other is in tests/published/check_belief.c. */
#include "daemon/core/model/belief.h"
#include "tests/cmocka_all.h"

#include <math.h>

static const struct curve vine = {.most_l_day = 2, .half_day = 40, .spread_day = 7};

static void assert_near(double got, double want, double within)
{
    if (!(fabs(got - want) <= within)) {
        fail_msg("%.17g is not %.17g", got, want);
    }
}

static void at_first_a_plant_is_its_crops_give_or_take_a_third(void **state)
{
    struct belief_room room = belief_room();
    struct belief p = belief_of();
    struct curve c = belief_curve(&p, &room, &vine);

    (void)state;
    assert_near(c.most_l_day, 2, 0);
    assert_near(c.half_day, 40, 0);
    assert_near(c.spread_day, 7, 0);
    assert_near(sqrt(belief_var(&p, &room, &(struct lean){{1}})), hypot(0.27, 0.30), 1e-9);
    assert_near(sqrt(belief_own_var(&p, &(struct lean){{1}})), 0.27, 1e-12);
    assert_near(sqrt(belief_var(&p, &room,
                                &(struct lean){
                                    {0, 1}
    })),
                hypot(0.25, hypot(0.25, 0.25)), 1e-12);
    assert_near(sqrt(belief_var(&p, &room,
                                &(struct lean){
                                    {0, 0, 1}
    })),
                hypot(0.22, hypot(0.25, 0.25)), 1e-12);
    assert_near(sqrt(p.appetite.var), 0.25, 1e-12);
    assert_near(p.appetite.mean, 0, 0);
    assert_near(room.mean[ROOM_SIZE], 0, 0);
    assert_near(room.mean[ROOM_PACE], 0, 0);
}

/* A room that is thirsty by a tenth makes all its plants so, and one that is slow all of them late
 * and slow. */
static void the_room_is_in_what_a_plant_drinks(void **state)
{
    struct belief_room room = {
        {0.1, 0.2},
        {{0}  }
    };
    struct belief p = belief_of();
    struct curve c;

    (void)state;
    p.a[BELIEF_LN_HALF] = 0.1;
    p.a[BELIEF_LN_SPREAD] = 0.3;
    c = belief_curve(&p, &room, &vine);
    assert_near(c.most_l_day, 2 * exp(0.1), 1e-12);
    assert_near(c.half_day, 40 * exp(0.3), 1e-12);
    assert_near(c.spread_day, 7 * exp(0.5), 1e-12);
}

static void a_curve_is_moved_by_one_thing_at_a_time_and_back(void **state)
{
    (void)state;
    for (int k = 0; k < BELIEF_N; k++) {
        struct curve c = belief_stepped(&vine, k, 0.25);
        double moved[BELIEF_N];

        belief_moved(&vine, &c, moved);
        for (int i = 0; i < BELIEF_N; i++) {
            assert_near(moved[i], i == k ? 0.25 : 0, 1e-12);
        }
    }
}

/* Where all is at full use a later start is that much less of it: -1 / days for each day. */
static void a_use_leans_on_what_makes_it(void **state)
{
    struct lean grown =
        belief_lean(&vine, 40, 640); /* 600 days, of which half a spread ln 2 is lost */
    double full_days = curve_use_l(&vine, 1, 40, 640) / 2;
    struct lean none = belief_lean(&vine, 10, 10);

    (void)state;
    assert_near(grown.h[BELIEF_LN_THETA], 1, 0);
    assert_near(grown.h[BELIEF_LN_HALF], -0.5 * 40 / full_days,
                4e-5); /* the first day is used by half */
    assert_near(grown.h[BELIEF_LN_SPREAD], -7 * log(2) / full_days, 1e-6);
    assert_near(none.h[BELIEF_LN_HALF], 0, 0);
    assert_near(none.h[BELIEF_LN_SPREAD], 0, 0);
}

static void days_make_a_plant_less_sure_and_the_weather_average_out(void **state)
{
    struct belief p = belief_of();

    (void)state;
    belief_drift(&p, 30);
    assert_near(p.v[0][0], 0.27 * 0.27 + 30 * 0.05 * 0.05, 1e-12);
    belief_drift(&p, -5);
    belief_drift(&p, 0);
    assert_near(p.v[0][0], 0.27 * 0.27 + 30 * 0.05 * 0.05, 1e-12);
    assert_near(belief_drift_var(-5), 0, 0);
    assert_near(belief_weather_var(1), 0.27 * 0.27, 1e-12); /* a day: 27 % */
    assert_near(belief_weather_var(0), 0.27 * 0.27, 1e-12); /* and never more */
    assert_near(belief_weather_var(-3), 0.27 * 0.27, 1e-12);
    /* Ahead it comes back within six days, so a month is no surer than a year. */
    assert_near(belief_drift_ahead_var(1e-3), 1e-3 * 0.05 * 0.05, 1e-9);
    assert_near(belief_drift_ahead_var(400), 0.05 * 0.05 * 6 / 2, 1e-12);
    assert_near(belief_room_drift_ahead_var(400), 0.06 * 0.06 * 6 / 2, 1e-12);
    assert_near(belief_weather_var(10), 0.27 * 0.27 * 3 / 12, 1e-12);
}

/* The same as the observation that takes the plant from before to after the bound. */
static void a_bound_teaches_the_room_and_the_plant(void **state)
{
    struct belief_room room = belief_room();
    struct belief p = belief_of();
    struct belief idle = belief_of();
    const struct lean h = {
        {1, -0.1, 0.2}
    };
    double var = belief_var(&p, &room, &h);
    double mean = 0;
    struct gauss whole = gauss_bound((struct gauss){0, var}, 0.3, 0.1, true);

    (void)state;
    belief_bound(&p, &room, &h, 0.3, 0.1, true);
    for (int k = 0; k < BELIEF_N; k++) {
        mean += h.h[k] * (p.a[k] + p.b[k][ROOM_SIZE] * room.mean[ROOM_SIZE] +
                          p.b[k][ROOM_PACE] * room.mean[ROOM_PACE]);
    }
    assert_near(mean, whole.mean, 1e-9);
    assert_near(belief_var(&p, &room, &h), whole.var, 1e-9);
    assert_true(room.mean[ROOM_SIZE] > 0.02);
    room = belief_room();
    belief_bound(&idle, &room, &h, -30, 0.1, true); /* as anybody knew */
    assert_near(room.mean[ROOM_SIZE], 0, 1e-9);
    assert_near(idle.a[0], 0, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(at_first_a_plant_is_its_crops_give_or_take_a_third),
        cmocka_unit_test(the_room_is_in_what_a_plant_drinks),
        cmocka_unit_test(a_curve_is_moved_by_one_thing_at_a_time_and_back),
        cmocka_unit_test(a_use_leans_on_what_makes_it),
        cmocka_unit_test(days_make_a_plant_less_sure_and_the_weather_average_out),
        cmocka_unit_test(a_bound_teaches_the_room_and_the_plant),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
