/* Forecasts with their doubt. Expected values are reckoned here from what belief.h states of a
 * plant before anything was seen of it, by differences over the curve, and by tables of the
 * normal. */
#include "daemon/core/model/gauss.h"
#include "daemon/core/state/prediction.h"
#include "tests/unit/a_prior.h"
#include "tests/unit/a_story.h"

#define Z95 1.6449 /* tables of the normal */

static double age(int64_t t_s)
{
    return (double)(t_s - at(0, 9)) / DAY_S;
}

static void the_float_is_reached_with_the_probability_of_so_much_use(void **ctx)
{
    static const struct {
        double p, z;
    } rows[] = {
        {0.05, -Z95  },
        {0.50, 0     },
        {0.90, 1.2816},
        {0.95, Z95   },
    };
    struct fixture *f = *ctx;
    const struct curve *c = &f->room.crop[VINE].use;

    start(f, "A1");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int64_t t_s = predict_float_s(&f->room, &f->s, A1, rows[i].p);
        double days = age(t_s);
        double sd = sqrt(use_var(c, 0, days) + weather_var(days) + ahead_var(OWN_DAY, days) +
                         ahead_var(SIZE_DAY, days) + sq(0.2) + /* of growth that is to come */
                         sq(0.138 / 10));                      /* a ruler in 18 L, of 10 L */

        assert_near(log(curve_use_l(c, 1, 0, days) / 10) / sd, rows[i].z, 0.01);
        assert_near(predict_float_p(&f->room, &f->s, A1, t_s), rows[i].p, 0.001);
    }
    assert_near(predict_float_p(&f->room, &f->s, A1, at(0, 9)), 0, 0);
}

static void what_is_idle_or_was_seen_is_not_foretold(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1");
    assert_near(predict_float_p(&f->room, &f->s, A2, at(100, 9)), 0, 0);
    assert_int_equal(predict_float_s(&f->room, &f->s, A2, 0.5), FORECAST_NEVER);
    assert_int_equal(predict_food_below_s(&f->room, &f->s, A2, 9, 0.5, at(1, 9)), FORECAST_NEVER);
    f->room.crop[VINE].use.most_l_day = 1e-9;
    begin_again(f);
    start(f, "A1");
    assert_int_equal(predict_float_s(&f->room, &f->s, A1, 0.5), FORECAST_NEVER); /* not in a year */
    f->room.crop[VINE].use.most_l_day = 2;
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(33, 9)));
    assert_near(predict_float_p(&f->room, &f->s, A1, at(1, 9)), 1, 0);
    assert_int_equal(predict_float_s(&f->room, &f->s, A1, 0.95), at(33, 9));
}

/* Looked for in vain yesterday: it is not foretold for the day before. */
static void the_past_is_not_foretold(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1");
    f->s.container[A1].not_float_s = at(60, 9);
    assert_true(predict_float_p(&f->room, &f->s, A1, at(60, 9)) > 0.9);
    assert_int_equal(predict_float_s(&f->room, &f->s, A1, 0.05), at(60, 9));
}

static void filled_to_its_line_it_is_on_float_at_once(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7);

    tell(f, with(e, FIGURE_VOLUME_L, 8));
    assert_near(predict_float_p(&f->room, &f->s, A1, at(0, 9)), 1, 0);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(1, 9))); /* of unknown level: as on float */
    assert_near(predict_float_p(&f->room, &f->s, A1, at(1, 9)), 1, 0);
}

/* The EC of A1 at t_s, had one of x, or of ln appetite (k = 3), been a step more. */
static double ec_moved(const struct fixture *f, int64_t t_s, int k, double step)
{
    struct container_state cs = f->s.container[A1];

    if (k == 3) {
        cs.appetite *= exp(step);
    } else {
        cs.curve = belief_stepped(&cs.curve, k, step);
    }
    return forecast_as(&f->room, &f->s, A1, &cs, t_s).body.ec_ms_cm;
}

static void a_strength_is_as_sure_as_what_moves_it(void **ctx)
{
    static const double sd[] = {0, HALF_SD, SPREAD_SD, 0.25}; /* of half, spread and appetite */
    struct fixture *f = *ctx;
    const double step = 1e-3;
    struct gauss ec;
    double now;
    double by_theta;
    double by[4];
    double var;

    on_float(f, "A1");
    f->s.container[A1].belief = belief_of(); /* as if just begun */
    f->s.common = belief_room();
    f->s.container[A1].curve = f->room.crop[VINE].use;
    f->s.container[A1].appetite = 1;
    f->s.wandered_s = f->s.container[A1].wandered_s = at(38, 9);
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 9)), FIGURE_EC_MS_CM, 2.4));
    now = forecast_container(&f->room, &f->s, A1, at(41, 9)).body.ec_ms_cm;
    ec = predict_ec(&f->room, &f->s, A1, at(41, 9));
    assert_near(ec.mean, now, 0);
    by_theta = (ec_moved(f, at(41, 9), 0, step) - now) / step;
    assert_true(by_theta < -0.05);
    var = sq(0.02 + 0.02 * 2.4); /* the meter's */
    var += sq(by_theta) * (sq(OWN_SD) + sq(SIZE_SD) + weather_var(3) + ahead_var(OWN_DAY, 3) +
                           ahead_var(SIZE_DAY, 3));
    for (int k = 1; k <= 3; k++) {
        by[k] = (ec_moved(f, at(41, 9), k, step) - now) / step;
        var += sq(by[k] * sd[k]);
    }
    var += (sq(PACE_SD) + sq(ROOM_PACE_SD)) * sq(by[1] + by[2]); /* who is late is slow */
    assert_near(ec.var, var, 0.005 * var);
    /* At the instant of its measurement nothing but the meter's doubt is left. */
    assert_near(predict_ec(&f->room, &f->s, A1, at(38, 9)).var, sq(0.02 + 0.02 * 2.4), 1e-9);
    ec = predict_ec(&f->room, &f->s, A2, at(41, 9)); /* an idle tub */
    assert_near(ec.var, 0, 0);
}

static void a_solution_is_spent_with_the_probability_asked_for(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t last = 0;

    on_float(f, "A1");
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 9)), FIGURE_EC_MS_CM, 1.4));
    for (int i = 1; i < 10; i++) {
        double p = i / 10.0;
        int64_t t_s = predict_food_below_s(&f->room, &f->s, A1, 0.9, p, at(38, 9));
        struct gauss ec = predict_ec(&f->room, &f->s, A1, t_s);

        assert_true(t_s > last);
        double water = forecast_container(&f->room, &f->s, A1, t_s).body.water_ms_cm;

        assert_near((0.9 + water - ec.mean) / sqrt(ec.var), normal_quantile(p), 0.02); /* 10 min */
        last = t_s;
    }
    assert_int_equal(predict_food_below_s(&f->room, &f->s, A1, 0.9, 0.5, at(80, 9)), at(80, 9));
    assert_int_equal(predict_food_below_s(&f->room, &f->s, A1, -1, 0.5, at(38, 9)), FORECAST_NEVER);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(39, 9)));
    assert_int_equal(predict_food_below_s(&f->room, &f->s, A1, 0.9, 0.5, at(39, 9)),
                     FORECAST_NEVER);
}

/* On float a plant draws what it drinks: of a lognormal use the mean lies over the middle. */
static void a_draw_is_the_sum_of_the_plants_with_one_room_and_one_weather(void **ctx)
{
    struct fixture *f = *ctx;
    const double days = 8;
    double mean = 0;
    double own = 0;
    double own_sd = 0;
    double by_room = 0;
    double by_pace = 0;
    double grows = 0;
    struct gauss got;

    for (size_t i = A1; i <= A2; i++) {
        struct container_state *cs = &f->s.container[i];
        double sd = hypot(OWN_SD, SIZE_SD);
        double use;
        double one;
        double h[3];

        on_float(f, f->room.container[i].name);
        cs->belief = belief_of();
        cs->curve = f->room.crop[VINE].use;
        cs->curve.most_l_day *= i == A1 ? 1 : 1.5;
        use = curve_use_l(&cs->curve, 1, 32, 32 + days);
        lean_of(&cs->curve, 32, 32 + days, h);
        mean += use * cosh(sd);
        by_room += use * sinh(sd) / sd;
        by_pace += use * (h[1] + h[2]);
        grows += fmax(0, use - days * curve_rate_l_day(&cs->curve, 1, 32));
        one = sq(use * sinh(sd) / sd) * (sq(OWN_SD) + ahead_var(OWN_DAY, days)) +
              sq(use) * (sq(h[1] * HALF_SD) + sq(h[2] * SPREAD_SD) + sq(PACE_SD * (h[1] + h[2])));
        own += one;
        own_sd += sqrt(one);
    }
    f->s.wandered_s = at(32, 9);
    f->s.common = belief_room();
    got = predict_draw_l(&f->room, &f->s, at(32, 9), at(40, 9));
    assert_near(got.mean, mean, 1e-9);
    /* Half of what they differ by is the crop's file, and the same of both. */
    assert_near(got.var,
                0.5 * own + 0.5 * sq(own_sd) +
                    sq(by_room) * (sq(SIZE_SD) + ahead_var(SIZE_DAY, days)) +
                    sq(by_pace * ROOM_PACE_SD) + sq(mean) * weather_var(days) + sq(0.8 * grows),
                0.015 * got.var); /* differences over 2 % of a curve */
    got = predict_draw_l(&f->room, &f->s, at(40, 9), at(40, 9));
    assert_near(got.mean, 0, 0);
    got = predict_draw_l(&f->room, &f->s, at(40, 9), at(32, 9));
    assert_near(got.mean, 0, 0);
}

/* Doubt of what is drawn, as a share: what the sum leaves out, 8 %, is added (predictbench). */
static double draw_doubt(const struct fixture *f, int64_t from_s, int64_t to_s)
{
    struct gauss d = predict_draw_l(&f->room, &f->s, from_s, to_s);

    return hypot(sqrt(d.var) / d.mean, 0.08);
}

static void what_the_reservoir_holds_is_the_less_sure_the_later(void **ctx)
{
    struct fixture *f = *ctx;
    double drawn;
    double doubt;

    assert_near(predict_reservoir_l(&f->room, &f->s, at(1, 9), 0.5), 0, 0); /* never filled */
    on_float(f, "A1");
    fills(f, 32, 80);
    drawn = forecast_draw_l(&f->room, &f->s, at(32, 9), at(42, 9));
    doubt = draw_doubt(f, at(32, 9), at(42, 9));
    assert_near(predict_reservoir_l(&f->room, &f->s, at(42, 9), 0.5), 80 - drawn, 1e-9);
    /* A mark on a wall of 100 L is right to 1 L. */
    assert_near(predict_reservoir_l(&f->room, &f->s, at(42, 9), 0.95),
                80 - drawn * exp(-Z95 * doubt) + Z95, 0.003);
    assert_near(predict_reservoir_l(&f->room, &f->s, at(42, 9), 0.05),
                80 - drawn * exp(Z95 * doubt) - Z95, 0.003);
    assert_near(predict_reservoir_l(&f->room, &f->s, at(200, 9), 0.05), 0, 0);
    assert_near(predict_reservoir_l(&f->room, &f->s, at(32, 9), 0.95), 80 + Z95, 0.001);
    tell(f, with(with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(43, 9)), FIGURE_VOLUME_L, 40),
                 FIGURE_EC_MS_CM, 1));
    assert_near(predict_reservoir_l(&f->room, &f->s, at(44, 9), 0.5), 0, 0); /* no water */
    assert_int_equal(predict_reservoir_s(&f->room, &f->s, 25, 0.5, at(43, 9)), FORECAST_NEVER);
}

/* What a plant drank before it was bumped is gone from the reservoir all the same: who writes down
 * that he bumped has not put water back. */
static void a_bump_gives_the_reservoir_nothing_back(void **ctx)
{
    struct fixture *f = *ctx;
    double before[3];
    static const double p[] = {0.05, 0.50, 0.95};

    on_float(f, "A1");
    fills(f, 32, 80);
    for (int k = 0; k < 3; k++) {
        before[k] = predict_reservoir_l(&f->room, &f->s, at(42, 9), p[k]);
    }
    tell(f, with(told_at(ENTRY_BUMPED, "A1", "", at(41, 9)), FIGURE_EC_MS_CM, 1.4));
    for (int k = 0; k < 3; k++) {
        assert_near(predict_reservoir_l(&f->room, &f->s, at(42, 9), p[k]), before[k], 1);
    }
    assert_true(predict_reservoir_l(&f->room, &f->s, at(42, 9), p[0]) <
                forecast_reservoir(&f->room, &f->s, at(42, 9)).volume_l);
    assert_near(predict_reservoir_l(&f->room, &f->s, at(42, 9), 0.5),
                forecast_reservoir(&f->room, &f->s, at(42, 9)).volume_l, 1e-9);
}

/* Down to 25 L when 55 L are drawn. By when that is with probability p: when the middle of the
 * draw is as much more, or less, as the doubt of it at that time makes it. */
static void the_low_mark_is_met_with_the_probability_asked_for(void **ctx)
{
    static const struct {
        double p, z;
    } rows[] = {
        {0.05, -Z95},
        {0.50, 0   },
        {0.95, Z95 }
    };
    struct fixture *f = *ctx;

    on_float(f, "A1");
    on_float(f, "A2");
    fills(f, 32, 80);
    for (size_t i = 0; i < 3; i++) {
        int64_t t_s = predict_reservoir_s(&f->room, &f->s, 25, rows[i].p, at(32, 9));
        double drawn = forecast_draw_l(&f->room, &f->s, at(32, 9), t_s);
        double doubt = hypot(draw_doubt(f, at(32, 9), t_s), 1 / 55.0);

        assert_near(log(drawn / 55), rows[i].z * doubt, 0.01);
    }
    assert_int_equal(predict_reservoir_s(&f->room, &f->s, 80, 0.5, at(33, 9)), at(33, 9));
    assert_int_equal(predict_reservoir_s(&f->room, &f->s, 90, 0.05, at(33, 9)), at(33, 9));
}

/* Plants that all drink less than their crop's file says, and come to it later, are what the next
 * planting is taken for. */
static void a_planting_is_foretold_by_what_the_one_before_did(void **ctx)
{
    static const char *const name[] = {"A1", "A2", "A3"};
    struct fixture *f = *ctx;
    const struct curve *file = &f->room.crop[VINE].use;
    const struct curve slow = {0.8 * file->most_l_day, 1.3 * file->half_day,
                               1.3 * file->spread_day};
    double due_day = curve_age_day(&slow, 1, 0, 10);
    double first_off;
    double again_off;

    for (int k = 0; k < 3; k++) {
        start(f, name[k]);
    }
    first_off = fabs(age(predict_float_s(&f->room, &f->s, A1, 0.5)) - due_day);
    for (int day = 7; day < due_day; day += 7) {
        for (int k = 0; k < 3; k++) {
            reads(f, name[k], day, FIGURE_VOLUME_L, 18 - curve_use_l(&slow, 1, 0, day));
        }
    }
    for (int k = 0; k < 3; k++) {
        tell(f, told_at(ENTRY_HARVESTED, name[k], "final", at(100, 9)));
    }
    tell(f, with(told_at(ENTRY_STARTED, "A1", "vine", at(101, 9)), FIGURE_EC_MS_CM, 0.7));
    again_off = fabs(age(predict_float_s(&f->room, &f->s, A1, 0.5)) - 101 - due_day);
    assert_true(again_off < 0.5 * first_off);
}

/* However thirsty the plant may be: it takes the less the less is left, and no water goes. */
static void no_strength_is_foretold_below_what_is_left(void **ctx)
{
    struct fixture *f = *ctx;
    double last = 0;

    on_float(f, "A1");
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 9)), FIGURE_EC_MS_CM, 0.6));
    for (int i = 1; i < 20; i++) {
        double ec = predict_ec_at(&f->room, &f->s, A1, at(46, 9), i / 20.0);

        assert_true(ec >= last && ec > 0 && ec < 0.8);
        last = ec;
    }
    assert_near(predict_ec_at(&f->room, &f->s, A1, at(46, 9), 0.5),
                predict_ec(&f->room, &f->s, A1, at(46, 9)).mean, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(the_float_is_reached_with_the_probability_of_so_much_use),
        TEST(what_is_idle_or_was_seen_is_not_foretold),
        TEST(the_past_is_not_foretold),
        TEST(filled_to_its_line_it_is_on_float_at_once),
        TEST(a_strength_is_as_sure_as_what_moves_it),
        TEST(a_solution_is_spent_with_the_probability_asked_for),
        TEST(a_draw_is_the_sum_of_the_plants_with_one_room_and_one_weather),
        TEST(what_the_reservoir_holds_is_the_less_sure_the_later),
        TEST(a_bump_gives_the_reservoir_nothing_back),
        TEST(the_low_mark_is_met_with_the_probability_asked_for),
        TEST(a_planting_is_foretold_by_what_the_one_before_did),
        TEST(no_strength_is_foretold_below_what_is_left),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
