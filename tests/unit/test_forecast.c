/* What the room holds at an instant, and when something will be. */

#include "daemon/core/state/forecast.h"
#include "tests/unit/a_story.h"

static int begin(void **ctx)
{
    int rc = set_up(ctx);

    tell(*ctx, with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 0)), FIGURE_EC_MS_CM, 0.7));
    return rc;
}

static void the_float_line_is_reached_when_the_curve_has_drunk_the_difference(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t float_s = forecast_float_s(&f->room, &f->s, A1);
    double age_day = (double)(float_s - at(0, 0)) / 86400;

    /* 18 L less 8 L, rounded up to a second. */
    assert_true(curve_use_l(&f->room.crop[VINE].use, 1, 0, age_day) >= 10);
    assert_true(curve_use_l(&f->room.crop[VINE].use, 1, 0, age_day - 2 / 86400.0) < 10);
}

static void the_level_falls_to_the_line_and_stands_there(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t float_s = forecast_float_s(&f->room, &f->s, A1);
    double before_l = 18;

    for (int64_t t = at(0, 0); t < float_s; t += DAY_S) {
        struct forecast now = forecast_container(&f->room, &f->s, A1, t);

        assert_int_equal(now.condition, CONDITION_DRAWDOWN);
        assert_true(now.body.volume_l <= before_l && now.body.volume_l >= 8);
        assert_true(now.drawn_l == 0);
        before_l = now.body.volume_l;
    }
    for (int day = 0; day < 60; day++) {
        struct forecast now = forecast_container(&f->room, &f->s, A1, float_s + day * DAY_S);

        assert_int_equal(now.condition, CONDITION_ON_FLOAT);
        assert_true(now.body.volume_l == 8);
    }
}

static void what_was_drunk_is_what_the_level_lost_and_the_float_let_in(void **ctx)
{
    struct fixture *f = *ctx;

    for (int day = 1; day < 120; day += 7) {
        struct forecast now = forecast_container(&f->room, &f->s, A1, at(day, 0));
        double drunk_l = curve_use_l(&f->room.crop[VINE].use, 1, 0, day);

        assert_true(fabs((18 - now.body.volume_l) + now.drawn_l - drunk_l) < 1e-6);
    }
}

static double food_of(const struct fixture *f, int64_t t_s)
{
    return solution_food_ms_cm(forecast_container(&f->room, &f->s, A1, t_s).body);
}

static void on_float_the_food_only_falls(void **ctx)
{
    struct fixture *f = *ctx;
    double last = 20;

    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(30, 0)));
    for (int day = 30; day < 60; day++) {
        struct liquid body = forecast_container(&f->room, &f->s, A1, at(day, 0)).body;
        double food = solution_food_ms_cm(body);

        assert_true(food >= 0 && food <= last);
        assert_true(body.water_ms_cm >= 0.05); /* what the source brings gathers meanwhile */
        last = food;
    }
    assert_true(last < 0.15);
}

static void the_day_a_solution_is_spent_is_the_day_its_strength_is_down(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t spent_s;

    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(30, 0)));
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 0)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 0)), FIGURE_EC_MS_CM, 1.1));
    spent_s = forecast_food_below_s(&f->room, &f->s, A1, 0.6, at(38, 0));
    assert_true(spent_s > at(38, 0) && spent_s < at(58, 0));
    assert_true(food_of(f, spent_s + 60) <= 0.6);
    assert_true(food_of(f, spent_s - 3600) > 0.6);
    assert_int_equal(forecast_food_below_s(&f->room, &f->s, A1, -1, at(38, 0)), FORECAST_NEVER);
}

static void a_stage_comes_on_its_day_or_when_it_is_seen(void **ctx)
{
    struct fixture *f = *ctx;

    assert_int_equal(forecast_container(&f->room, &f->s, A1, at(44, 23)).stage, 0);
    assert_int_equal(forecast_container(&f->room, &f->s, A1, at(45, 1)).stage, 1);
    tell(f, told_at(ENTRY_STAGE_SEEN, "A1", "fruiting", at(36, 0)));
    assert_int_equal(forecast_container(&f->room, &f->s, A1, at(36, 1)).stage, 1);
}

static void nothing_may_rise_once_air_roots_have_formed(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t float_s = forecast_float_s(&f->room, &f->s, A1);
    double level_l = forecast_container(&f->room, &f->s, A1, at(20, 0)).body.volume_l;

    assert_true(forecast_safe_volume_l(&f->room, &f->s, A1, at(3, 0)) == 18);
    assert_true(level_l < 18 && level_l > 8);
    assert_true(forecast_safe_volume_l(&f->room, &f->s, A1, at(20, 0)) == level_l);
    assert_true(forecast_safe_volume_l(&f->room, &f->s, A1, float_s + DAY_S) == 8);
    assert_true(forecast_safe_volume_l(&f->room, &f->s, A2, at(20, 0)) == 18); /* idle */
}

static void once_on_float_a_high_reading_does_not_make_a_higher_level_safe(void **ctx)
{
    struct fixture *f = *ctx;

    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(30, 0)));
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(31, 0)), FIGURE_VOLUME_L, 12));
    assert_true(forecast_safe_volume_l(&f->room, &f->s, A1, at(31, 1)) == 8);
}

static void the_low_mark_is_met_when_the_draw_has_taken_the_difference(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t low_s;

    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(30, 0)));
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(30, 0)), FIGURE_VOLUME_L, 40));
    low_s = forecast_reservoir_at_s(&f->room, &f->s, 25, at(30, 0));
    assert_true(fabs(forecast_draw_l(&f->room, &f->s, at(30, 0), low_s) - 15) < 0.01);
    assert_true(fabs(forecast_reservoir(&f->room, &f->s, low_s).volume_l - 25) < 0.01);
    assert_int_equal(forecast_reservoir_at_s(&f->room, &f->s, 45, at(31, 0)), at(31, 0));
}

static void a_reservoir_that_holds_a_mix_is_drawn_by_nobody(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry mix = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(30, 0));

    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(30, 0)));
    tell(f, with(with(mix, FIGURE_VOLUME_L, 50), FIGURE_EC_MS_CM, 1.2));
    assert_true(forecast_reservoir(&f->room, &f->s, at(40, 0)).volume_l == 50);
    assert_int_equal(forecast_reservoir_at_s(&f->room, &f->s, 25, at(30, 0)), FORECAST_NEVER);
}

static void an_idle_container_is_never_on_float(void **ctx)
{
    struct fixture *f = *ctx;
    struct forecast now = forecast_container(&f->room, &f->s, A2, at(90, 0));

    assert_int_equal(now.condition, CONDITION_IDLE);
    assert_int_equal(now.stage, -1);
    assert_int_equal(forecast_float_s(&f->room, &f->s, A2), FORECAST_NEVER);
}

static const struct curve *vine(const struct fixture *f)
{
    return &f->room.crop[VINE].use;
}

/* Strengths by hand, leg by leg: a young plant takes 1.0 mS/cm of what it drinks, a fruiting one,
 * from day 45, 1.8; drawn down by the mass balance of solution.h, topped up with water of 0.05. */
static void the_strength_follows_the_stages_and_the_float(void **ctx)
{
    struct fixture *f = *ctx;
    double float_day = curve_age_day(vine(f), 1, 0, 10);
    double ec = (18 * 0.7 - 10 * 1.0) / 8;
    double young_l = curve_use_l(vine(f), 1, float_day, 45);

    assert_near(forecast_container(&f->room, &f->s, A1, at(20, 0)).body.ec_ms_cm,
                (18 * 0.7 - curve_use_l(vine(f), 1, 0, 20) * 1.0) /
                    (18 - curve_use_l(vine(f), 1, 0, 20)),
                1e-9);
    f->s.container[A1].body.ec_ms_cm = 3; /* so that it lasts */
    ec = (18 * 3 - 10 * 1.0) / 8 + (0.05 - 1.0) * young_l / 8;
    assert_near(forecast_container(&f->room, &f->s, A1, at(45, 0)).body.ec_ms_cm, ec, 1e-9);
    ec += (0.05 - 1.8) * curve_use_l(vine(f), 1, 45, 47) / 8;
    assert_near(forecast_container(&f->room, &f->s, A1, at(47, 0)).body.ec_ms_cm, ec, 1e-9);
    f->s.container[A1].appetite = 1.1; /* of both */
    ec -= 0.1 * (10 * 1.0 + young_l * 1.0 + curve_use_l(vine(f), 1, 45, 47) * 1.8) / 8;
    assert_near(forecast_container(&f->room, &f->s, A1, at(47, 0)).body.ec_ms_cm, ec, 1e-9);
}

/* The water that the float lets in is the reservoir's, while it holds water. */
static void the_reservoirs_water_is_what_tops_up(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry mix = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(40, 0));
    double use = curve_use_l(vine(f), 1, 40, 41);
    double by_source;

    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(33, 0)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(40, 0)), FIGURE_EC_MS_CM, 2));
    f->s.container[A1].curve = *vine(f);
    by_source = 2 + (0.05 - 1.0) * use / 8;
    assert_near(forecast_container(&f->room, &f->s, A1, at(41, 0)).body.ec_ms_cm, by_source, 1e-9);
    fills(f, 39, 50);
    f->s.reservoir.body.ec_ms_cm = 0.25;
    assert_near(forecast_container(&f->room, &f->s, A1, at(41, 0)).body.ec_ms_cm,
                by_source + 0.2 * use / 8, 1e-9);
    f->s.reservoir.body.volume_l = 0;
    assert_near(forecast_container(&f->room, &f->s, A1, at(41, 0)).body.ec_ms_cm, by_source, 1e-9);
    tell(f, with(with(mix, FIGURE_VOLUME_L, 50), FIGURE_EC_MS_CM, 1.2)); /* valves are shut */
    assert_near(forecast_container(&f->room, &f->s, A1, at(41, 0)).body.ec_ms_cm, by_source, 1e-9);
}

/* Below its line the float lets in at once what is missing: 2 L of 0.05 to 6 L of 1. */
static void below_its_line_it_is_filled_up_at_once(void **ctx)
{
    struct fixture *f = *ctx;
    struct forecast now;

    f->s.container[A1].body = (struct liquid){6, 1, 0};
    now = forecast_container(&f->room, &f->s, A1, at(0, 0));
    assert_near(now.body.volume_l, 8, 0);
    assert_near(now.body.ec_ms_cm, (6 * 1 + 2 * 0.05) / 8, 1e-12);
    assert_near(now.drawn_l, 2, 1e-12);
    assert_int_equal(now.condition, CONDITION_ON_FLOAT);
    assert_int_equal(forecast_float_s(&f->room, &f->s, A1), at(0, 0));
    f->s.container[A1].drained = true; /* shut off: nothing flows */
    now = forecast_container(&f->room, &f->s, A1, at(5, 0));
    assert_near(now.body.volume_l, 6, 0);
    assert_near(now.drawn_l, 0, 0);
    assert_int_equal(forecast_food_below_s(&f->room, &f->s, A1, 2, at(5, 0)), FORECAST_NEVER);
}

static void what_it_drinks_and_its_age_are_of_the_instant(void **ctx)
{
    struct fixture *f = *ctx;
    struct forecast now = forecast_container(&f->room, &f->s, A1, at(40, 0));

    assert_near(now.age_day, 40, 1e-9);
    assert_near(now.use_l_day, 1, 1e-9); /* half of 2 L at its half day */
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(33, 0)));
    now = forecast_container(&f->room, &f->s, A1, at(20, 0)); /* before the anchor: the anchor */
    assert_near(now.age_day, 33, 1e-9);
    now = forecast_container(&f->room, &f->s, A2, at(20, 0));
    assert_near(now.age_day, 0, 0);
    assert_near(now.use_l_day, 0, 0);
}

static void a_stage_that_is_only_seen_never_comes_by_itself(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.crop[VINE].stage[1].seen_only = true;
    assert_int_equal(forecast_container(&f->room, &f->s, A1, at(90, 0)).stage, 0);
    tell(f, told_at(ENTRY_STAGE_SEEN, "A1", "fruiting", at(30, 0)));
    assert_int_equal(forecast_container(&f->room, &f->s, A1, at(31, 0)).stage, 1);
}

static void roots_form_in_a_week(void **ctx)
{
    struct fixture *f = *ctx;

    assert_near(forecast_safe_volume_l(&f->room, &f->s, A1, at(7, 0) - 1), 18, 0);
    assert_true(forecast_safe_volume_l(&f->room, &f->s, A1, at(7, 0)) < 18);
    f->s.container[A1].reached_s = at(3, 0); /* was on float: then the line, for good */
    assert_near(forecast_safe_volume_l(&f->room, &f->s, A1, at(4, 0)), 8, 0);
}

/* By the food that it had when it came on float, and what is taken of it each day. */
static void a_solution_is_spent_no_sooner_than_on_float(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t float_s = forecast_float_s(&f->room, &f->s, A1);
    double then = food_of(f, float_s);
    int64_t spent_s = forecast_food_below_s(&f->room, &f->s, A1, then - 0.1, at(0, 0));

    assert_true(spent_s > float_s);
    assert_near(food_of(f, spent_s), then - 0.1, 1e-4);
    /* Stronger than it is: at once, to the second that an instant is rounded up to. */
    assert_near((double)(forecast_food_below_s(&f->room, &f->s, A1, 5, at(0, 0)) - float_s), 0, 1);
    assert_near((double)(forecast_food_below_s(&f->room, &f->s, A1, 5, float_s + 99) - float_s), 99,
                1);
    assert_int_equal(forecast_food_below_s(&f->room, &f->s, A2, 5, at(0, 0)), FORECAST_NEVER);
    f->room.source.ec_ms_cm = 2; /* gathers, and feeds nobody: sooner or later it is spent */
    assert_true(forecast_food_below_s(&f->room, &f->s, A1, then - 0.1, at(0, 0)) < at(60, 0));
    assert_int_equal(forecast_solution_since_s(&f->room, &f->s, A1), float_s);
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(33, 0)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 0)), FIGURE_EC_MS_CM, 1.1));
    assert_int_equal(forecast_solution_since_s(&f->room, &f->s, A1), at(38, 0));
}

static void the_draw_of_the_room_is_that_of_all_and_of_who_was_harvested(void **ctx)
{
    struct fixture *f = *ctx;
    double until_l;

    start(f, "A2");
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(33, 0)));
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A2", "yes", at(33, 0)));
    until_l = forecast_drawn_l(&f->room, &f->s, at(40, 0));
    assert_near(until_l,
                forecast_container(&f->room, &f->s, A1, at(40, 0)).drawn_l +
                    forecast_container(&f->room, &f->s, A2, at(40, 0)).drawn_l,
                1e-9);
    tell(f, told_at(ENTRY_HARVESTED, "A2", "final", at(40, 0)));
    assert_near(forecast_drawn_l(&f->room, &f->s, at(50, 0)) - until_l,
                curve_use_l(&f->s.container[A1].curve, 1, 40, 50), 1e-6);
    assert_near(forecast_draw_l(&f->room, &f->s, at(50, 0), at(40, 0)), 0, 0);
    assert_int_equal(forecast_reservoir_at_s(&f->room, &f->s, 25, at(40, 0)), FORECAST_NEVER);
    fills(f, 40, 90);
    f->room.crop[VINE].use.most_l_day = 1e-9;
    f->s.container[A1].curve.most_l_day = 1e-9;
    assert_int_equal(forecast_reservoir_at_s(&f->room, &f->s, 25, at(41, 0)), FORECAST_NEVER);
    f->s.container[A1].curve.most_l_day = 1e6; /* it cannot hold less than nothing */
    assert_near(forecast_reservoir(&f->room, &f->s, at(50, 0)).volume_l, 0, 0);
}

#define PLANTED(name) cmocka_unit_test_setup_teardown(name, begin, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        PLANTED(the_float_line_is_reached_when_the_curve_has_drunk_the_difference),
        PLANTED(the_level_falls_to_the_line_and_stands_there),
        PLANTED(what_was_drunk_is_what_the_level_lost_and_the_float_let_in),
        PLANTED(on_float_the_food_only_falls),
        PLANTED(the_day_a_solution_is_spent_is_the_day_its_strength_is_down),
        PLANTED(a_stage_comes_on_its_day_or_when_it_is_seen),
        PLANTED(nothing_may_rise_once_air_roots_have_formed),
        PLANTED(once_on_float_a_high_reading_does_not_make_a_higher_level_safe),
        PLANTED(the_low_mark_is_met_when_the_draw_has_taken_the_difference),
        PLANTED(a_reservoir_that_holds_a_mix_is_drawn_by_nobody),
        PLANTED(an_idle_container_is_never_on_float),
        PLANTED(the_strength_follows_the_stages_and_the_float),
        PLANTED(the_reservoirs_water_is_what_tops_up),
        PLANTED(below_its_line_it_is_filled_up_at_once),
        PLANTED(what_it_drinks_and_its_age_are_of_the_instant),
        PLANTED(a_stage_that_is_only_seen_never_comes_by_itself),
        PLANTED(roots_form_in_a_week),
        PLANTED(a_solution_is_spent_no_sooner_than_on_float),
        PLANTED(the_draw_of_the_room_is_that_of_all_and_of_who_was_harvested),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
