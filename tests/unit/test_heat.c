/* A solution that grows warm: told of from 24 C, grave from 28 C (common practice, no source), one
 * degree of play, three days until a reading is old. */
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/heat.h"
#include "tests/unit/a_story.h"

static const struct subject a1 = {SUBJECT_CONTAINER, A1};
static const struct subject tank = {SUBJECT_RESERVOIR, 0};

/* Is it an alarm now, by the list that a person reads? */
static bool is_hot(struct fixture *f, struct subject subject, int64_t now_s)
{
    struct alarms alarms;
    bool hot = false;

    alarms_derive(&f->room, &f->s, now_s, &alarms);
    for (size_t i = 0; i < alarms.n; i++) {
        hot = hot ||
              (alarms.alarm[i].kind == ALARM_HOT && alarms.alarm[i].subject.kind == subject.kind &&
               alarms.alarm[i].subject.at == subject.at);
    }
    alarms_deinit(&alarms);
    return hot;
}

/* After the reading of a day: nothing, told of, or an alarm. */
static void assert_after(struct fixture *f, const char *name, int day, double temp_c, bool told,
                         bool hot)
{
    struct subject subject = room_find(&f->room, name);

    reads(f, name, day, FIGURE_TEMP_C, temp_c);
    assert_int_equal(heat_is_told(&f->s, subject, at(day, 10)), told);
    assert_int_equal(is_hot(f, subject, at(day, 10)), hot);
}

static void a_container_is_told_of_from_24_and_an_alarm_from_28(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    assert_after(f, "A1", 32, 23.9, false, false);
    assert_after(f, "A1", 33, 24.0, true, false);
    assert_after(f, "A1", 34, 27.9, true, false);
    assert_after(f, "A1", 35, 28.0, false, true); /* once, by the graver */
}

/* A thermometer that shows half a degree more or less is no change. */
static void it_shuts_a_degree_below(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    assert_after(f, "A1", 32, 28.2, false, true);
    assert_after(f, "A1", 33, 27.0, false, true);
    assert_after(f, "A1", 34, 26.9, true, false);
    assert_after(f, "A1", 35, 23.0, true, false);
    assert_after(f, "A1", 36, 22.9, false, false);
    assert_after(f, "A1", 37, 23.5, false, false);
}

static void a_reading_of_three_days_ago_says_nothing(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    reads(f, "A1", 32, FIGURE_TEMP_C, 29);
    assert_true(is_hot(f, a1, at(35, 9)));
    assert_false(is_hot(f, a1, at(35, 10)));
    assert_true(heat_is_old(&f->s, a1, at(35, 10)));
    reads(f, "A1", 42, FIGURE_TEMP_C, 27.5); /* would keep it open, were it not old */
    assert_false(is_hot(f, a1, at(42, 10)));
    assert_true(heat_is_told(&f->s, a1, at(42, 10)));
    assert_false(heat_is_told(&f->s, a1, at(46, 10)));
}

/* A look was at what was hot then: hot anew asks for another. */
static void it_is_another_alarm_when_it_grows_hot_again(void **ctx)
{
    struct fixture *f = *ctx;
    const struct alarm_states *m = &f->s.container[A1].alarms;

    on_float(f, "A1");
    reads(f, "A1", 32, FIGURE_TEMP_C, 29);
    tell(f, told_at(ENTRY_ACKNOWLEDGED, "A1", "look", at(32, 10)));
    reads(f, "A1", 33, FIGURE_TEMP_C, 29.5);
    assert_int_equal(m->opened, 1); /* the same, and known */
    reads(f, "A1", 34, FIGURE_TEMP_C, 22);
    reads(f, "A1", 35, FIGURE_TEMP_C, 29);
    assert_int_equal(m->opened, 2);
    reads(f, "A1", 45, FIGURE_TEMP_C, 29); /* ten days later: nobody knows what was between */
    assert_int_equal(m->opened, 3);
    assert_int_equal(m->seen, 1);
}

static void the_next_solution_is_another_water(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    reads(f, "A1", 32, FIGURE_TEMP_C, 29);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(33, 8)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(33, 9)), FIGURE_EC_MS_CM, 1.1));
    assert_false(is_hot(f, a1, at(33, 10)));
    tell(f, with(with(told_at(ENTRY_BUMPED, "A1", "leaf", at(34, 9)), FIGURE_EC_MS_CM, 1.2),
                 FIGURE_TEMP_C, 28.5)); /* told with other work it counts as well */
    assert_true(is_hot(f, a1, at(34, 10)));
}

static void the_reservoir_goes_by_the_usual_figures(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.crop[0].warm_c = 10;
    f->room.crop[0].hot_c = 12;
    fills(f, 30, 90);
    assert_after(f, "reservoir", 31, 23.9, false, false);
    assert_after(f, "reservoir", 32, 24, true, false);
    assert_after(f, "reservoir", 33, 28, false, true);
    fills(f, 34, 90); /* cool water came to it */
    assert_false(is_hot(f, tank, at(34, 10)));
    tell(f, with(with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(35, 9)), FIGURE_VOLUME_L,
                      90),
                 FIGURE_TEMP_C, 30));
    assert_true(is_hot(f, tank, at(35, 10)));
}

static void a_crop_may_have_figures_of_its_own(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    f->room.crop[f->s.container[A1].crop].warm_c = 21;
    f->room.crop[f->s.container[A1].crop].hot_c = 25;
    assert_after(f, "A1", 32, 20.9, false, false);
    assert_after(f, "A1", 33, 21, true, false);
    assert_after(f, "A1", 34, 25, false, true);
}

static void where_nothing_grows_nobody_is_told(void **ctx)
{
    struct fixture *f = *ctx;

    assert_after(f, "A1", 32, 35, false, false);
    start(f, "A1");
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(33, 9)));
    assert_after(f, "A1", 34, 35, false, false);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_container_is_told_of_from_24_and_an_alarm_from_28),
        TEST(it_shuts_a_degree_below),
        TEST(a_reading_of_three_days_ago_says_nothing),
        TEST(it_is_another_alarm_when_it_grows_hot_again),
        TEST(the_next_solution_is_another_water),
        TEST(the_reservoir_goes_by_the_usual_figures),
        TEST(a_crop_may_have_figures_of_its_own),
        TEST(where_nothing_grows_nobody_is_told),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
