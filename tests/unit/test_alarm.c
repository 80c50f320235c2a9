/* Alarms open on evidence, stay while it lasts, and shut by themselves. */
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/tasks/jobs.h"
#include "tests/unit/a_story.h"

/* Borrowed until the next call. */
static struct alarms alarms;

static int alarm_begin(void **ctx)
{
    alarms = (struct alarms){0};
    return set_up(ctx);
}

static int alarm_end(void **ctx)
{
    alarms_deinit(&alarms);
    return tear_down(ctx);
}

static const struct alarm *alarm_of(struct fixture *f, enum alarm_kind kind)
{
    alarms_deinit(&alarms);
    alarms_derive(&f->room, &f->s, f->s.latest_s, &alarms);
    for (size_t i = 0; i < alarms.n; i++) {
        if (alarms.alarm[i].kind == kind) {
            return &alarms.alarm[i];
        }
    }
    return NULL;
}

static void a_level_above_the_line_drowns_roots(void **ctx)
{
    struct fixture *f = *ctx;
    const struct alarm *a;

    on_float(f, "A1");
    reads(f, "A1", 33, FIGURE_VOLUME_L, 8.1);
    assert_null(alarm_of(f, ALARM_HIGH)); /* a ruler's error */
    reads(f, "A1", 34, FIGURE_VOLUME_L, 9.4);
    a = alarm_of(f, ALARM_HIGH);
    assert_non_null(a);
    assert_string_equal(a->says, "A1 was read at 9.4 L, above its float line of 8.0 L: its air "
                                 "roots drown");
    assert_true(a->since_s == at(34, 9));
    reads(f, "A1", 35, FIGURE_VOLUME_L, 8.0);
    assert_null(alarm_of(f, ALARM_HIGH));
}

/* A float that sticks open while the level is still to fall fills the air space. */
static void a_level_that_rises_in_drawdown_drowns_roots(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry look = told_at(ENTRY_FLOAT_SEEN, "A1", "no", at(27, 9));

    tell(f, with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7));
    reads(f, "A1", 20, FIGURE_VOLUME_L, 15.5);
    reads(f, "A1", 24, FIGURE_VOLUME_L, 15.6);
    assert_null(alarm_of(f, ALARM_HIGH)); /* a ruler's error */
    tell(f, with(look, FIGURE_VOLUME_L, 17.9));
    assert_string_equal(alarm_of(f, ALARM_HIGH)->says,
                        "A1 was read at 17.9 L, and held 15.6 L before: its air roots drown");
    reads(f, "A1", 28, FIGURE_VOLUME_L, 17.9); /* by now the level is believed */
    assert_non_null(alarm_of(f, ALARM_HIGH));
    reads(f, "A1", 29, FIGURE_VOLUME_L, 15.0);
    assert_null(alarm_of(f, ALARM_HIGH));
}

static void what_was_added_by_hand_is_no_rise(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry can = told_at(ENTRY_TOPPED_UP, "A1", "", at(24, 9));

    tell(f, with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7));
    reads(f, "A1", 20, FIGURE_VOLUME_L, 15.5);
    tell(f, with(can, FIGURE_ADDED_L, 2));
    reads(f, "A1", 25, FIGURE_VOLUME_L, 16.8);
    assert_null(alarm_of(f, ALARM_HIGH));
}

static void between_open_and_shut_it_stays_as_it_is(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    reads(f, "A1", 33, FIGURE_VOLUME_L, 8.35);
    assert_null(alarm_of(f, ALARM_HIGH));
    reads(f, "A1", 34, FIGURE_VOLUME_L, 9.4);
    reads(f, "A1", 35, FIGURE_VOLUME_L, 8.35);
    assert_non_null(alarm_of(f, ALARM_HIGH));
    assert_true(alarm_of(f, ALARM_HIGH)->since_s == at(34, 9));
}

static void a_clogged_float_is_known_by_a_low_level_or_by_eye(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    on_float(f, "A2");
    reads(f, "A1", 34, FIGURE_VOLUME_L, 6.5);
    assert_non_null(alarm_of(f, ALARM_LOW));
    reads(f, "A1", 35, FIGURE_VOLUME_L, 8.0);
    assert_null(alarm_of(f, ALARM_LOW));
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A2", "no", at(36, 9)));
    assert_string_equal(alarm_of(f, ALARM_LOW)->says,
                        "the float of A2 lets in no water, below its line of 8.0 L");
}

/* Two litres a day leave it unseen: what is read is what is there, also below its line. */
static void a_leaking_bucket_holds_what_was_read_of_it(void **ctx)
{
    struct fixture *f = *ctx;
    double level_l = 15;

    tell(f, with(told_at(ENTRY_STARTED, "A1", "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7));
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 9)), FIGURE_VOLUME_L, 90));
    reads(f, "A1", 14, FIGURE_VOLUME_L, 17);
    for (int day = 15; day < 21; day++, level_l -= 2.2) {
        reads(f, "A1", day, FIGURE_VOLUME_L, level_l);
        assert_float_equal(forecast_container(&f->room, &f->s, 0, at(day, 9)).body.volume_l,
                           level_l, 1e-9);
    }
    assert_non_null(alarm_of(f, ALARM_ODD));
}

static void where_the_reservoir_gives_nothing_no_float_is_to_blame(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry fill = told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(30, 9));

    on_float(f, "A1");
    on_float(f, "A2");
    tell(f, with(fill, FIGURE_VOLUME_L, 90));
    reads(f, "reservoir", 34, FIGURE_VOLUME_L, 5); /* all that the outlet leaves */
    reads(f, "A1", 34, FIGURE_VOLUME_L, 6.5);
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A2", "no", at(34, 9)));
    assert_null(alarm_of(f, ALARM_LOW));
    fill.happened_s = at(34, 10);
    tell(f, with(fill, FIGURE_VOLUME_L, 90));
    reads(f, "A1", 35, FIGURE_VOLUME_L, 6.2);
    assert_non_null(alarm_of(f, ALARM_LOW));
}

static void strength_that_rises_on_float_is_told_of(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    reads(f, "A1", 33, FIGURE_EC_MS_CM, 0.5);
    assert_null(alarm_of(f, ALARM_STRONG));
    reads(f, "A1", 35, FIGURE_EC_MS_CM, 1.3);
    assert_non_null(alarm_of(f, ALARM_STRONG));
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(36, 9)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(36, 9)), FIGURE_EC_MS_CM, 1.1));
    assert_null(alarm_of(f, ALARM_STRONG)); /* another solution */
}

static void solution_left_in_the_reservoir_is_told_of(void **ctx)
{
    struct fixture *f = *ctx;

    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(1, 8)), FIGURE_VOLUME_L, 90));
    reads(f, "reservoir", 2, FIGURE_EC_MS_CM, 0.35);
    assert_string_equal(alarm_of(f, ALARM_SALT)->says,
                        "the reservoir reads 0.35 mS/cm; the plain water is 0.05 mS/cm");
    reads(f, "reservoir", 3, FIGURE_EC_MS_CM, 0.06);
    assert_null(alarm_of(f, ALARM_SALT));
}

/* The reservoir loses by so much more, or less, than the plants were to drink, every day. */
static void live(struct fixture *f, int from, int days, double times)
{
    for (int day = from; day < from + days; day++) {
        struct liquid then = forecast_reservoir(&f->room, &f->s, at(day, 9));
        double drawn = f->s.reservoir.body.volume_l - then.volume_l;

        reads(f, "reservoir", day, FIGURE_VOLUME_L, f->s.reservoir.body.volume_l - times * drawn);
        tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(day, 9)), FIGURE_VOLUME_L,
                     95));
    }
}

static void a_room_on_float(struct fixture *f)
{
    on_float(f, "A1");
    on_float(f, "A2");
    on_float(f, "A3");
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(40, 9)), FIGURE_VOLUME_L, 95));
}

static void a_stuck_float_is_heard_of_in_days(void **ctx)
{
    struct fixture *f = *ctx;

    a_room_on_float(f);
    live(f, 41, 6, 1.0);
    assert_null(alarm_of(f, ALARM_LEAK));
    live(f, 47, 4, 2.5);
    assert_non_null(alarm_of(f, ALARM_LEAK));
    assert_true(alarm_of(f, ALARM_LEAK)->sure_pct > 95);
    live(f, 51, 12, 1.0);
    assert_null(alarm_of(f, ALARM_LEAK));
}

static void a_closed_line_is_heard_of_too(void **ctx)
{
    struct fixture *f = *ctx;

    a_room_on_float(f);
    live(f, 41, 6, 1.0);
    live(f, 47, 12, 0.1);
    assert_non_null(alarm_of(f, ALARM_LACK));
}

static bool is_asked_to_look(struct fixture *f, int day)
{
    struct jobs jobs = {0};
    bool found = false;

    jobs_derive(&f->room, &f->s, at(day, 10), 28, &jobs);
    for (size_t i = 0; i < jobs.n; i++) {
        found = found || jobs.job[i].kind == TASK_LOOK;
    }
    jobs_deinit(&jobs);
    return found;
}

static void an_alarm_asks_for_a_look_until_somebody_has_looked(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    reads(f, "A1", 34, FIGURE_VOLUME_L, 9.4);
    assert_true(is_asked_to_look(f, 34));
    assert_false(alarm_of(f, ALARM_HIGH)->seen);
    tell(f, told_at(ENTRY_ACKNOWLEDGED, "A1", "look", at(34, 11)));
    assert_false(is_asked_to_look(f, 34));
    assert_true(alarm_of(f, ALARM_HIGH)->seen); /* still wrong, and on the list */
    reads(f, "A1", 35, FIGURE_VOLUME_L, 8.0);
    reads(f, "A1", 39, FIGURE_VOLUME_L, 9.6);
    assert_true(is_asked_to_look(f, 39)); /* another one */
}

static void a_ph_that_stays_outside_or_jumps_is_told_of(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    reads(f, "A1", 33, FIGURE_PH, 6.9);
    assert_null(alarm_of(f, ALARM_PH)); /* once: a task sets it right */
    reads(f, "A1", 36, FIGURE_PH, 7.0);
    assert_non_null(alarm_of(f, ALARM_PH));
    reads(f, "A1", 37, FIGURE_PH, 6.1);
    assert_null(alarm_of(f, ALARM_PH));
    reads(f, "A1", 39, FIGURE_PH, 7.2);
    assert_non_null(alarm_of(f, ALARM_PH));
}

#define WATCHED(name) cmocka_unit_test_setup_teardown(name, alarm_begin, alarm_end)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WATCHED(a_level_above_the_line_drowns_roots),
        WATCHED(a_level_that_rises_in_drawdown_drowns_roots),
        WATCHED(what_was_added_by_hand_is_no_rise),
        WATCHED(between_open_and_shut_it_stays_as_it_is),
        WATCHED(a_clogged_float_is_known_by_a_low_level_or_by_eye),
        WATCHED(a_leaking_bucket_holds_what_was_read_of_it),
        WATCHED(where_the_reservoir_gives_nothing_no_float_is_to_blame),
        WATCHED(strength_that_rises_on_float_is_told_of),
        WATCHED(solution_left_in_the_reservoir_is_told_of),
        WATCHED(a_stuck_float_is_heard_of_in_days),
        WATCHED(a_closed_line_is_heard_of_too),
        WATCHED(an_alarm_asks_for_a_look_until_somebody_has_looked),
        WATCHED(a_ph_that_stays_outside_or_jumps_is_told_of),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
