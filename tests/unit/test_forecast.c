/* What the room holds at an instant, and when something will be. */

#include "daemon/core/state/forecast.h"
#include "tests/unit/a_told_room.h"

/* A1 is planted on day 0. */
static int set_up_planted(void **ctx)
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

static void on_float_the_strength_only_falls(void **ctx)
{
    struct fixture *f = *ctx;
    double last = 20;

    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(30, 0)));
    for (int day = 30; day < 60; day++) {
        double ec = forecast_container(&f->room, &f->s, A1, at(day, 0)).body.ec_ms_cm;

        assert_true(ec <= last);
        last = ec;
    }
    assert_true(last < 0.3);
}

static void the_day_a_solution_is_spent_is_the_day_its_strength_is_down(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t spent_s;

    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(30, 0)));
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 0)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "grow", at(38, 0)), FIGURE_EC_MS_CM, 1.1));
    spent_s = forecast_ec_below_s(&f->room, &f->s, A1, 0.6, at(38, 0));
    assert_true(spent_s > at(38, 0) && spent_s < at(58, 0));
    assert_true(forecast_container(&f->room, &f->s, A1, spent_s + 60).body.ec_ms_cm <= 0.6);
    assert_true(forecast_container(&f->room, &f->s, A1, spent_s - 3600).body.ec_ms_cm > 0.6);
    assert_int_equal(forecast_ec_below_s(&f->room, &f->s, A1, -1, at(38, 0)), FORECAST_NEVER);
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
    struct entry mix = told_at(ENTRY_MIX_MADE, "reservoir", "grow", at(30, 0));

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

#define PLANTED(name) cmocka_unit_test_setup_teardown(name, set_up_planted, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        PLANTED(the_float_line_is_reached_when_the_curve_has_drunk_the_difference),
        PLANTED(the_level_falls_to_the_line_and_stands_there),
        PLANTED(what_was_drunk_is_what_the_level_lost_and_the_float_let_in),
        PLANTED(on_float_the_strength_only_falls),
        PLANTED(the_day_a_solution_is_spent_is_the_day_its_strength_is_down),
        PLANTED(a_stage_comes_on_its_day_or_when_it_is_seen),
        PLANTED(nothing_may_rise_once_air_roots_have_formed),
        PLANTED(once_on_float_a_high_reading_does_not_make_a_higher_level_safe),
        PLANTED(the_low_mark_is_met_when_the_draw_has_taken_the_difference),
        PLANTED(a_reservoir_that_holds_a_mix_is_drawn_by_nobody),
        PLANTED(an_idle_container_is_never_on_float),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
