/* What the reservoir's level teaches of all plants at once, and what it says of leaks: beside the
 * closed forms of the normal distribution, for plants of which nothing was seen. */
#include "daemon/core/state/forecast.h"
#include "tests/unit/a_prior.h"
#include "tests/unit/a_story.h"

/* Day 32 to 40 with these plants on float, believed to be as at first. */
static void plants(struct fixture *f, size_t n)
{
    begin_again(f);
    for (size_t i = A1; i < n; i++) {
        struct container_state *cs = &f->s.container[i];

        on_float(f, f->room.container[i].name);
        cs->belief = belief_of();
        cs->curve = f->room.crop[VINE].use;
        cs->made_with[ROOM_SIZE] = cs->made_with[ROOM_PACE] = 0;
        cs->wandered_s = at(32, 9);
    }
    f->s.wandered_s = at(32, 9);
    f->s.common = belief_room();
    fills(f, 32, 90);
}

/* A draw of n plants in 8 days: its mean, how it moves with the room's size and with its pace, and
 * its variance given those, with two readings of a mark that is right to 1 L and a weather that all
 * had. */
struct sum {
    double litres, by_room, by_pace, own_var, noise_var, whole_var;
};

/* What belief.h states of wandering, in the 8 days. */
#define ROOM_VAR (sq(SIZE_SD) + 8 * sq(SIZE_DAY))
#define PACE_VAR (sq(ROOM_PACE_SD) + 8 * sq(ROOM_PACE_DAY))
#define OWN_VAR  (sq(OWN_SD) + 8 * sq(OWN_DAY))

static struct sum sum_of(const struct fixture *f, size_t n)
{
    const struct curve *c = &f->room.crop[VINE].use;
    double use = curve_use_l(c, 1, 32, 40);
    struct sum s = {.litres = (double)n * use, .by_room = (double)n * use};
    double h[3];

    lean_of(c, 32, 40, h);
    s.by_pace = s.litres * (h[1] + h[2]);
    s.own_var = (double)n * sq(use) *
                (OWN_VAR + sq(h[1]) * (sq(HALF_SD) + 8 * sq(HALF_DAY)) +
                 sq(h[2]) * (sq(SPREAD_SD) + 8 * sq(SPREAD_DAY)) + sq(PACE_SD * (h[1] + h[2])));
    s.noise_var = 2 + sq(s.litres) * weather_var(8);
    s.whole_var = s.own_var + sq(s.by_room) * ROOM_VAR + sq(s.by_pace) * PACE_VAR + s.noise_var;
    return s;
}

static void lost(struct fixture *f, double litres)
{
    reads(f, "reservoir", 40, FIGURE_VOLUME_L, 90 - litres);
}

static void what_was_lost_is_set_beside_what_was_expected(void **ctx)
{
    struct fixture *f = *ctx;
    struct sum s = sum_of(f, 2);
    const struct reservoir_state *r = &f->s.reservoir;

    plants(f, 2);
    lost(f, s.litres + 2 * sqrt(s.whole_var));
    assert_near(r->expected_l_day, s.litres / 8, 1e-9);
    assert_near(r->lost_l_day, (s.litres + 2 * sqrt(s.whole_var)) / 8, 1e-9);
    assert_near(r->excess, 2 - 0.5, 0.002); /* Page's slack of half a standard deviation */
    assert_near(r->lack, 0, 0);
    plants(f, 2);
    lost(f, 0.7 * s.litres - 1.5 * sqrt(s.whole_var)); /* a lack begins at 30 % */
    assert_near(r->lack, 1.5 - 0.5, 0.002);
    assert_near(r->excess, 0, 0);
}

/* A look that no chance explains needs no second one. */
static void one_look_alone_can_tell_of_a_leak(void **ctx)
{
    struct fixture *f = *ctx;
    struct sum s = sum_of(f, 2);

    plants(f, 2);
    lost(f, s.litres + 4.8 * sqrt(s.whole_var));
    assert_near(f->s.reservoir.excess, 4.3, 0.003);
    assert_true(f->s.reservoir.alarms.of[ALARM_LEAK].since_s == 0);
    plants(f, 2);
    lost(f, s.litres + 5 * sqrt(s.whole_var));
    assert_true(f->s.reservoir.alarms.of[ALARM_LEAK].since_s == at(40, 9));
    /* … and it does not pull at what is believed of the room as one that is believed would. */
    assert_true(f->s.common.mean[ROOM_SIZE] < 0.95 * ROOM_VAR * s.by_room * 5 / sqrt(s.whole_var));
}

/* Of a sum that was seen each part has the mean that its share of the variance gives it. */
static void the_rooms_factor_and_each_plant_take_their_share(void **ctx)
{
    struct fixture *f = *ctx;
    struct sum s = sum_of(f, 3);
    double off = 1.0 * sqrt(s.whole_var);
    double use = s.litres / 3;
    double ln_theta;

    plants(f, 3);
    lost(f, s.litres + off);
    assert_near(f->s.common.mean[ROOM_SIZE], ROOM_VAR * s.by_room * off / s.whole_var, 1e-4);
    assert_near(f->s.common.mean[ROOM_PACE], PACE_VAR * s.by_pace * off / s.whole_var, 1e-4);
    assert_near(f->s.common.var[ROOM_SIZE][ROOM_SIZE],
                ROOM_VAR - sq(ROOM_VAR * s.by_room) / s.whole_var, 1e-5);
    assert_near(f->s.common.var[ROOM_SIZE][ROOM_PACE],
                -ROOM_VAR * s.by_room * PACE_VAR * s.by_pace / s.whole_var, 1e-5);
    for (size_t i = A1; i <= A3; i++) {
        ln_theta = log(f->s.container[i].curve.most_l_day / 2);
        /* The room's part, and the plant's own of a share of `use` litres. */
        assert_near(ln_theta, (ROOM_VAR * s.by_room + OWN_VAR * use) * off / s.whole_var, 0.002);
    }
}

/* All had the same weather, of which a week is 11 %: the room is never known better than that. */
static void many_plants_do_not_make_the_room_surer_than_the_weather(void **ctx)
{
    struct fixture *f = *ctx;

    plants(f, 3);
    for (size_t i = A1; i <= A3; i++) { /* all of it is the room's */
        memset(f->s.container[i].belief.v, 0, sizeof f->s.container[i].belief.v);
    }
    for (int day = 40; day < 90; day += 2) {
        reads(f, "reservoir", day, FIGURE_VOLUME_L,
              forecast_reservoir(&f->room, &f->s, at(day, 9)).volume_l);
        fills(f, day, 90);
    }
    assert_true(f->s.common.var[ROOM_SIZE][ROOM_SIZE] >= sq(0.11));
}

static void a_room_that_draws_nothing_teaches_nothing(void **ctx)
{
    struct fixture *f = *ctx;

    begin_again(f);
    fills(f, 32, 90);
    lost(f, 1); /* and not a sum over nobody */
    assert_near(f->s.common.mean[ROOM_SIZE], 0, 0);
    assert_near(f->s.reservoir.lost_l_day, 1.0 / 8, 1e-9);
    assert_near(f->s.reservoir.expected_l_day, 0, 0);
    assert_near(f->s.reservoir.excess, 1 / sqrt(2) - 0.5, 1e-9); /* a litre, of two marks */
}

/* One that came on float in between has drawn since then only, and one that was harvested until
 * then. */
static void who_drew_for_a_part_of_the_time_counts_for_that_part(void **ctx)
{
    struct fixture *f = *ctx;
    const struct curve *c = &f->room.crop[VINE].use;
    double expected;

    plants(f, 2);
    tell(f, told_at(ENTRY_HARVESTED, "A2", "final", at(36, 9)));
    lost(f, 10);
    assert_near(f->s.reservoir.expected_l_day,
                (curve_use_l(c, 1, 32, 40) + curve_use_l(c, 1, 32, 36)) / 8, 1e-9);
    lost(f, 10); /* at the same instant: nothing new */
    assert_near(f->s.reservoir.lost_l_day, 10.0 / 8, 1e-9);
    expected = curve_use_l(&f->s.container[A1].curve, 1, 40, 48);
    reads(f, "reservoir", 48, FIGURE_VOLUME_L, 60);
    assert_near(f->s.reservoir.lost_l_day, 20.0 / 8, 1e-9); /* since the last look */
    assert_near(f->s.reservoir.expected_l_day, expected / 8, 1e-9);
}

static void filled_up_to_a_mark_it_is_counted_from_there(void **ctx)
{
    struct fixture *f = *ctx;
    double drawn;

    plants(f, 1);
    fills(f, 36, 95);
    assert_near(f->s.reservoir.seen_l, 95, 0);
    assert_int_equal(f->s.reservoir.seen_s, at(36, 9));
    assert_near(f->s.container[A1].drawn_seen_l, f->s.container[A1].drawn_l, 0);
    drawn = curve_use_l(&f->s.container[A1].curve, 1, 36, 40);
    reads(f, "reservoir", 40, FIGURE_VOLUME_L, 95 - drawn);
    assert_near(f->s.reservoir.lost_l_day, drawn / 4, 1e-9);
    assert_near(f->s.reservoir.expected_l_day, drawn / 4, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(what_was_lost_is_set_beside_what_was_expected),
        TEST(one_look_alone_can_tell_of_a_leak),
        TEST(the_rooms_factor_and_each_plant_take_their_share),
        TEST(many_plants_do_not_make_the_room_surer_than_the_weather),
        TEST(a_room_that_draws_nothing_teaches_nothing),
        TEST(who_drew_for_a_part_of_the_time_counts_for_that_part),
        TEST(filled_up_to_a_mark_it_is_counted_from_there),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
