/* Which mornings are there, whatever the clock does. */
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include "config/read/zone_read.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/state/forecast.h"
#include "daemon/serve/live/due.h"

/* Vienna: clocks go forward on 2026-03-29 (02:00 is 03:00), back on 2026-10-25 (03:00 is 02:00). */
struct fixture {
    struct room room;
    struct state state;
};

static void make(struct fixture *f, int32_t day_start_s)
{
    f->room = a_room();
    f->room.day_start_s = day_start_s;
    assert_int_equal(zone_read("Europe/Vienna", &f->room.zone, NULL), 0);
    state_init(&f->state, &f->room);
}

static void drop(struct fixture *f)
{
    state_deinit(&f->state);
    room_deinit(&f->room);
}

static int64_t local(const struct fixture *f, int month, int mday, int hour, int minute)
{
    return zone_instant_s(&f->room.zone, day_of(2026, month, mday), hour * 3600 + minute * 60);
}

/* Sleeps from one instant to another as the daemon does, and counts the mornings. */
static int count_mornings(const struct fixture *f, int64_t from_s, int64_t to_s)
{
    int32_t started = zone_day(&f->room.zone, from_s);
    int64_t now_s = from_s;
    int n = 0;

    while ((now_s = due_next_s(&f->room, &f->state, now_s)) <= to_s) {
        int32_t day;

        if (due_day(&f->room, started, now_s, &day)) {
            assert_int_equal(day, started + 1); /* none left out */
            started = day;
            n++;
        }
    }
    return n;
}

static void a_day_starts_at_its_hour_and_not_before(void **ctx)
{
    struct fixture f;
    int32_t day = 0;

    (void)ctx;
    make(&f, 7 * 3600);
    assert_false(due_day(&f.room, DAY_NONE, local(&f, 3, 1, 6, 59), &day));
    assert_true(due_day(&f.room, DAY_NONE, local(&f, 3, 1, 7, 0), &day));
    assert_int_equal(day, day_of(2026, 3, 1));
    drop(&f);
}

static void a_day_that_was_started_is_not_started_again(void **ctx)
{
    struct fixture f;
    int32_t day = 0;

    (void)ctx;
    make(&f, 7 * 3600);
    assert_false(due_day(&f.room, day_of(2026, 3, 1), local(&f, 3, 1, 7, 0), &day));
    assert_false(due_day(&f.room, day_of(2026, 3, 1), local(&f, 3, 1, 23, 59), &day));
    assert_false(due_day(&f.room, day_of(2026, 3, 1), local(&f, 3, 2, 6, 59), &day));
    assert_true(due_day(&f.room, day_of(2026, 3, 1), local(&f, 3, 2, 7, 0), &day));
    drop(&f);
}

static void a_clock_set_back_repeats_no_day(void **ctx)
{
    struct fixture f;
    int32_t day = 0;

    (void)ctx;
    make(&f, 7 * 3600);
    assert_false(due_day(&f.room, day_of(2026, 3, 10), local(&f, 3, 8, 12, 0), &day));
    assert_false(due_day(&f.room, day_of(2026, 3, 10), local(&f, 3, 10, 7, 0), &day));
    assert_true(due_day(&f.room, day_of(2026, 3, 10), local(&f, 3, 11, 7, 0), &day));
    drop(&f);
}

/* A machine without a battery for its clock starts in 2038, and tells a list of that day. */
static void a_start_in_a_wrong_year_is_forgotten_when_the_clock_is_right(void **ctx)
{
    struct fixture f;
    int32_t wrong = day_of(2038, 1, 1);
    int64_t now_s;
    int32_t day = 0;

    (void)ctx;
    make(&f, 7 * 3600);
    now_s = local(&f, 3, 8, 12, 0);
    f.state.latest_s = local(&f, 3, 7, 9, 0);
    assert_true(due_day(&f.room, due_started(&f.room, &f.state, wrong, now_s), now_s, &day));
    assert_int_equal(day, day_of(2026, 3, 8));
    assert_int_equal(due_back_s(&f.room, &f.state, wrong, now_s), 0);
    /* What was told in it may have happened: it stays a clock that is behind. */
    f.state.latest_s = zone_instant_s(&f.room.zone, wrong, 9 * 3600);
    assert_int_equal(due_started(&f.room, &f.state, wrong, now_s), wrong);
    assert_true(due_back_s(&f.room, &f.state, wrong, now_s) > 0);
    drop(&f);
}

static void of_days_slept_through_only_the_present_one_is_started(void **ctx)
{
    struct fixture f;
    int32_t day = 0;

    (void)ctx;
    make(&f, 7 * 3600);
    assert_true(due_day(&f.room, day_of(2026, 3, 1), local(&f, 5, 20, 12, 0), &day));
    assert_int_equal(day, day_of(2026, 5, 20));
    assert_false(due_day(&f.room, day, local(&f, 5, 20, 12, 1), &day));
    drop(&f);
}

static void the_next_look_is_at_the_next_morning(void **ctx)
{
    struct fixture f;

    (void)ctx;
    make(&f, 7 * 3600);
    assert_int_equal(due_next_s(&f.room, &f.state, local(&f, 3, 1, 5, 0)), local(&f, 3, 1, 7, 0));
    assert_int_equal(due_next_s(&f.room, &f.state, local(&f, 3, 1, 7, 0)), local(&f, 3, 2, 7, 0));
    drop(&f);
}

/* At 07:00 by the wall on both sides of the change: 23 and 25 hours of sleep. */
static void a_morning_is_at_its_hour_by_the_wall(void **ctx)
{
    struct fixture f;
    int64_t at_s;

    (void)ctx;
    make(&f, 7 * 3600);
    at_s = local(&f, 3, 28, 7, 0);
    assert_int_equal(due_next_s(&f.room, &f.state, at_s) - at_s, 23 * 3600);
    at_s = local(&f, 10, 24, 7, 0);
    assert_int_equal(due_next_s(&f.room, &f.state, at_s) - at_s, 25 * 3600);
    drop(&f);
}

static void a_morning_in_the_hour_that_is_skipped_comes_right_after_it(void **ctx)
{
    struct fixture f;
    int64_t at_s;

    (void)ctx;
    make(&f, 2 * 3600 + 1800); /* 02:30 */
    at_s = due_next_s(&f.room, &f.state, local(&f, 3, 28, 12, 0));
    assert_int_equal(at_s, 1774746000); /* 2026-03-29 01:00 UTC, 03:00 in Vienna */
    assert_int_equal(count_mornings(&f, local(&f, 3, 27, 12, 0), local(&f, 3, 31, 12, 0)), 4);
    drop(&f);
}

static void a_morning_in_the_hour_that_comes_twice_comes_once(void **ctx)
{
    struct fixture f;
    int64_t at_s;

    (void)ctx;
    make(&f, 2 * 3600 + 1800);
    at_s = due_next_s(&f.room, &f.state, local(&f, 10, 24, 12, 0));
    assert_int_equal(at_s, 1792888200); /* 2026-10-25 00:30 UTC, the first 02:30 */
    assert_int_equal(due_next_s(&f.room, &f.state, at_s), local(&f, 10, 26, 2, 30));
    assert_int_equal(count_mornings(&f, local(&f, 10, 23, 12, 0), local(&f, 10, 27, 12, 0)), 4);
    drop(&f);
}

static void a_year_has_a_morning_a_day(void **ctx)
{
    static const int32_t starts[] = {0, 1800, 2 * 3600 + 1800, 3 * 3600, 7 * 3600, 86399};
    struct fixture f;

    (void)ctx;
    for (size_t i = 0; i < sizeof starts / sizeof *starts; i++) {
        make(&f, starts[i]);
        assert_int_equal(count_mornings(&f, local(&f, 1, 1, 0, 0), local(&f, 12, 31, 23, 59) + 59),
                         364);
        drop(&f);
    }
}

static void the_reservoirs_low_mark_is_looked_at_when_it_is_reached(void **ctx)
{
    struct fixture f;
    struct entry e;
    int64_t start_s;
    int64_t next_s;
    int n = 0;

    (void)ctx;
    make(&f, 7 * 3600);
    start_s = local(&f, 3, 1, 12, 0);
    e = with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", start_s), FIGURE_VOLUME_L, 26);
    fold_entry(&f.state, &f.room, &e);
    e = with(with(told_at(ENTRY_STARTED, "A1", "vine", start_s), FIGURE_VOLUME_L, 18),
             FIGURE_EC_MS_CM, 0.7);
    fold_entry(&f.state, &f.room, &e);
    next_s = start_s;
    do {
        next_s = due_next_s(&f.room, &f.state, next_s);
        assert_true(++n < 100);
    } while (zone_second_of_day(&f.room.zone, next_s) == 7 * 3600);
    /* a morning is one look, the mark another: 1 L is drunk from a float tub within the season */
    assert_true(forecast_reservoir(&f.room, &f.state, next_s - 60).volume_l > 25);
    assert_true(forecast_reservoir(&f.room, &f.state, next_s + 60).volume_l < 25.001);
    drop(&f);
}

static void a_clock_behind_what_was_told_is_noticed(void **ctx)
{
    struct fixture f;
    struct entry e;

    (void)ctx;
    make(&f, 7 * 3600);
    e = told_at(ENTRY_NOTE, "room", "", local(&f, 3, 1, 12, 0));
    fold_entry(&f.state, &f.room, &e);
    assert_int_equal(due_back_s(&f.room, &f.state, DAY_NONE, local(&f, 3, 1, 12, 0)), 0);
    assert_int_equal(due_back_s(&f.room, &f.state, DAY_NONE, local(&f, 3, 1, 11, 59)), 0);
    assert_int_equal(due_back_s(&f.room, &f.state, DAY_NONE, local(&f, 3, 1, 11, 0)), 3600);
    drop(&f);
}

static void a_clock_behind_the_last_morning_is_noticed(void **ctx)
{
    struct fixture f;

    (void)ctx;
    make(&f, 7 * 3600);
    assert_int_equal(due_back_s(&f.room, &f.state, day_of(2026, 3, 2), local(&f, 3, 2, 6, 0)), 0);
    assert_int_equal(due_back_s(&f.room, &f.state, day_of(2026, 3, 2), local(&f, 3, 1, 0, 0)),
                     86400);
    drop(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_day_starts_at_its_hour_and_not_before),
        cmocka_unit_test(a_start_in_a_wrong_year_is_forgotten_when_the_clock_is_right),
        cmocka_unit_test(a_day_that_was_started_is_not_started_again),
        cmocka_unit_test(a_clock_set_back_repeats_no_day),
        cmocka_unit_test(of_days_slept_through_only_the_present_one_is_started),
        cmocka_unit_test(the_next_look_is_at_the_next_morning),
        cmocka_unit_test(a_morning_is_at_its_hour_by_the_wall),
        cmocka_unit_test(a_morning_in_the_hour_that_is_skipped_comes_right_after_it),
        cmocka_unit_test(a_morning_in_the_hour_that_comes_twice_comes_once),
        cmocka_unit_test(a_year_has_a_morning_a_day),
        cmocka_unit_test(the_reservoirs_low_mark_is_looked_at_when_it_is_reached),
        cmocka_unit_test(a_clock_behind_what_was_told_is_noticed),
        cmocka_unit_test(a_clock_behind_the_last_morning_is_noticed),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
