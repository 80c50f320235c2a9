/* What the reservoir wants: water in time, and its pH set right. */
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/prediction.h"
#include "tests/unit/a_working_room.h"

static void the_reservoir_is_filled_before_its_low_mark(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;
    int64_t low_s;

    on_float(f, "A1", 30);
    fill(f, 30, 50);
    low_s = predict_reservoir_s(&f->room, &f->s, 25, 0.05, at(30, 9));
    j = job_of(f, at(31, 7), TASK_FILL, "reservoir");
    assert_int_equal(j->due, zone_day(&f->room.zone, low_s) -
                                 2); /* 19 times in 20 in time, a day forgotten */
    assert_true(low_s < forecast_reservoir_at_s(&f->room, &f->s, 25, at(30, 9)));
    assert_true(j->earliest <= j->due && j->latest >= j->due);
}

/* Nobody is there when the last drop is drawn: three mornings are left before that, should two be
 * forgotten. */
static void a_fill_before_days_off_can_be_forgotten_twice(void **ctx)
{
    struct fixture *f = *ctx;
    int32_t dry;

    on_float(f, "A1", 30);
    fill(f, 30, 90);
    dry =
        zone_day(&f->room.zone, predict_reservoir_s(&f->room, &f->s, f->room.reservoir.remainder_l,
                                                    0.05, at(30, 9)));
    f->room.labour.off = mem_array(1, sizeof *f->room.labour.off);
    f->room.labour.off[0] = (struct days){dry - 8, dry + 2};
    f->room.labour.n_off = 1;
    assert_int_equal(job_of(f, at(31, 7), TASK_FILL, "reservoir")->due, dry - 11);
}

/* 4,995 L last longer than a year, and are at the mark of 4,800 L in weeks. Where
 * clocks are ahead of UTC "never" has no local time. */
static void a_reservoir_that_lasts_a_year_is_filled_before_its_low_mark(void **ctx)
{
    static const struct zone_step auckland = {INT64_MIN / 2, 12 * 3600};
    struct fixture *f = *ctx;
    const struct job *j;
    int64_t low_s;

    f->room.zone.step = mem_copy(&auckland, 1, sizeof auckland);
    f->room.zone.n = 1;
    f->room.reservoir.capacity_l = 5000;
    f->room.reservoir.low_l = 4800;
    on_float(f, "A1", 30);
    fill(f, 30, 4995);
    low_s = predict_reservoir_s(&f->room, &f->s, 4800, 0.05, at(30, 9));
    assert_true(predict_reservoir_s(&f->room, &f->s, f->room.reservoir.remainder_l, 0.05,
                                    at(30, 9)) == FORECAST_NEVER);
    j = job_of(f, low_s - 10 * 86400LL, TASK_FILL, "reservoir");
    assert_non_null(j);
    assert_int_equal(j->due, zone_day(&f->room.zone, low_s) - 2);
}

static void a_reservoir_that_nobody_draws_from_is_left_alone(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    fill(f, 0, 90);
    assert_null(job_of(f, at(1, 7), TASK_FILL, "reservoir"));
}

static void an_empty_reservoir_is_filled_today(void **ctx)
{
    struct fixture *f = *ctx;

    fill(f, 0, 90);
    tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(3, 9)));
    assert_int_equal(job_of(f, at(3, 10), TASK_FILL, "reservoir")->due, day(3));
}

static void a_reservoir_that_was_never_filled_waits_since_the_journal_began(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j = job_of(f, at(5, 7), TASK_FILL, "reservoir");

    assert_window(j, day(5), day(5), day(5)); /* nothing is known yet: today */
    assert_true(j->volume_l == 100 && j->minutes == 10);
    assert_int_equal(j->done_on, DAY_NONE);
    assert_string_equal(j->why, "the reservoir was never filled");
    assert_string_equal(j->loss, "every container on float runs dry");
    start(f, "A1", 2);
    assert_window(job_of(f, at(2, 10), TASK_FILL, "reservoir"), day(2), day(2), day(2));
}

static void a_reservoir_with_a_mix_in_it_is_emptied_first(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    fill(f, 0, 90);
    tell(f, with(with(told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(3, 9)), FIGURE_VOLUME_L, 40),
                 FIGURE_EC_MS_CM, 1.1));
    j = job_of(f, at(3, 10), TASK_FILL, "reservoir");
    assert_window(j, day(3), day(3), day(3));
    assert_true(j->volume_l == 100); /* all of it: the mix goes */
    assert_string_equal(j->why,
                        "it still holds a mix: empty and rinse it, then fill it with plain water");
}

/* The source gave what it had this morning: the rest tomorrow. */
static void nobody_fills_twice_a_day(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    on_float(f, "A1", 30);
    fill(f, 31, 5); /* no more than what cannot be used */
    j = job_of(f, at(31, 9), TASK_FILL, "reservoir");
    assert_int_equal(j->earliest, day(32));
    assert_int_equal(j->done_on, day(31));
    assert_string_equal(j->why, "the reservoir is empty, and the floats wait for water");
    assert_float_equal(j->volume_l, 95, 1e-9);
}

/* One litre above what cannot be used is no longer empty. */
static void a_litre_above_the_outlet_is_water(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    fill(f, 31, 6);
    assert_non_null(strstr(job_of(f, at(31, 9), TASK_FILL, "reservoir")->why,
                           "it may be down to its low mark of 25.0 L already"));
}

static int low_day(struct fixture *f, double volume_l)
{
    return day_number(predict_reservoir_s(&f->room, &f->s, volume_l, 0.05, f->s.reservoir.at_s));
}

/* Worth the walk when a quarter of the usable 95 L is gone, but not sooner than three
 * days before it is due; at the latest so that the day may be forgotten before the outlet runs
 * dry. */
static void a_fill_has_a_window_in_which_it_is_worth_the_walk(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;
    int due;
    int worth;

    on_float(f, "A1", 60);
    on_float(f, "A2", 60);
    fill(f, 61, 90);
    sure_of_all(f);
    due = low_day(f, 25) - 2;
    worth = day_number(forecast_reservoir_at_s(&f->room, &f->s, 100 - 0.25 * 95, at(61, 8)));
    assert_true(worth < due - 3);
    j = job_of(f, at(62, 7), TASK_FILL, "reservoir");
    assert_window(j, day(due - 3), day(due), day(low_day(f, 5) - 2));
    assert_float_equal(j->volume_l, 100 - forecast_reservoir(&f->room, &f->s, at(due, 7)).volume_l,
                       1e-9);
    for (f->room.reservoir.low_l = 75; low_day(f, f->room.reservoir.low_l) - 2 <= worth;) {
        f->room.reservoir.low_l -= 1; /* until it is due just after so much is gone */
    }
    j = job_of(f, at(62, 7), TASK_FILL, "reservoir");
    assert_window(j, day(worth), day(worth + 1), day(low_day(f, 5) - 2));
    f->room.reservoir.low_l = 88; /* due on the day of the last fill: never before that */
    j = job_of(f, at(61, 9), TASK_FILL, "reservoir");
    assert_int_equal(j->due, day(62));
}

/* A low mark just above the outlet gives no time: two mornings before it is dry, should one be
 * forgotten; three before days on which nobody would see it. */
static void a_low_mark_at_the_outlet_is_not_waited_for(void **ctx)
{
    struct fixture *f = *ctx;
    int dry;

    on_float(f, "A1", 60);
    on_float(f, "A2", 60);
    f->room.reservoir.low_l = 5;
    fill(f, 61, 90);
    dry = low_day(f, 5);
    assert_int_equal(job_of(f, at(62, 7), TASK_FILL, "reservoir")->due, day(dry - 2));
    nobody_works(f, dry - 1, dry - 1);
    assert_int_equal(job_of(f, at(62, 7), TASK_FILL, "reservoir")->due, day(dry - 4));
    nobody_works(f, dry - 2, dry - 2);
    assert_int_equal(job_of(f, at(62, 7), TASK_FILL, "reservoir")->due, day(dry - 4));
    nobody_works(f, dry - 3, dry - 3);
    assert_int_equal(job_of(f, at(62, 7), TASK_FILL, "reservoir")->due, day(dry - 2));
}

/* 4,995 L last longer than a year: from its due day it has one more. */
static void a_fill_that_can_wait_for_ever_is_late_a_day_after(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    f->room.reservoir.capacity_l = 5000;
    f->room.reservoir.low_l = 4900;
    on_float(f, "A1", 60);
    fill(f, 60, 4995);
    j = job_of(f, at(low_day(f, 4900) - 10, 7), TASK_FILL, "reservoir");
    assert_int_equal(j->latest, j->due + 1);
}

/* Kept at 5.8, give or take 0.3 (a_room.h): the edge is good. */
static void the_reservoir_is_kept_at_its_ph(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    fill(f, 0, 90);
    assert_null(job_of(f, at(0, 9), TASK_PH, "reservoir")); /* which nobody has measured */
    tell(f, with(told_at(ENTRY_READING, "reservoir", "", at(1, 9)), FIGURE_PH, 6.05));
    assert_null(job_of(f, at(1, 10), TASK_PH, "reservoir"));
    tell(f, with(told_at(ENTRY_READING, "reservoir", "", at(2, 9)), FIGURE_PH, 5.4));
    j = job_of(f, at(2, 10), TASK_PH, "reservoir");
    assert_window(j, day(2), day(2), day(3));
    assert_true(j->minutes == 3);
    assert_float_equal(j->volume_l, 90, 1e-9);
    assert_string_equal(j->why, "pH was 5.4, and the reservoir is kept at 5.8");
    assert_string_equal(j->loss, "every container on float drifts with it");
    f->room.reservoir.ph_tolerance = 0.5;
    assert_null(job_of(f, at(2, 10), TASK_PH, "reservoir"));
}

/* The water of 2 meq/L is set to 5.8, and holds a fifth of that still: on the morrow, when its gas
 * has left, it takes a second dose, and no third. Pure water takes none. */
static void alkaline_water_takes_a_second_dose(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    report_water(&f->room, 2, 7.4);
    state_deinit(&f->s);
    state_init(&f->s, &f->room);
    tell(f,
         with(with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 9)), FIGURE_VOLUME_L, 90),
              FIGURE_PH, 5.8));
    j = job_of(f, at(0, 10), TASK_PH, "reservoir");
    assert_window(j, day(1), day(2), day(3));
    assert_float_equal(j->volume_l, 90, 1e-9);
    assert_string_equal(j->loss, "every container on float drifts with it");
    tell(f, with(told_at(ENTRY_PH_ADJUSTED, "reservoir", "", at(1, 9)), FIGURE_PH, 5.8));
    assert_null(job_of(f, at(1, 10), TASK_PH, "reservoir"));
    assert_null(job_of(f, at(3, 10), TASK_PH, "reservoir"));

    report_water(&f->room, 0.3, 7.4);
    state_deinit(&f->s);
    state_init(&f->s, &f->room);
    tell(f,
         with(with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 9)), FIGURE_VOLUME_L, 90),
              FIGURE_PH, 5.8));
    assert_null(job_of(f, at(2, 10), TASK_PH, "reservoir"));
}

/* A mix is measured and poured within the hour; its acid is a step of its making. */
static void the_ph_of_a_mix_is_no_job_of_its_own(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry mix = told_at(ENTRY_MIX_MADE, "reservoir", "leaf", at(3, 9));

    fill(f, 0, 90);
    mix = with(with(with(mix, FIGURE_VOLUME_L, 40), FIGURE_EC_MS_CM, 1.1), FIGURE_PH, 7.1);
    tell(f, mix);
    assert_null(job_of(f, at(3, 10), TASK_PH, "reservoir"));
    assert_null(job_of(f, at(3, 10), TASK_READ, "reservoir"));
}

/* Told the next morning, so somebody has to come then. */
static void a_night_is_asked_for_when_somebody_comes_in_the_morning(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    f->room.care_every_day[CARE_OVERNIGHT] = 3;
    fill(f, 30, 90);
    assert_null(job_of(f, at(31, 7), TASK_OVERNIGHT, "reservoir"));
    on_float(f, "A1", 30);
    j = job_of(f, at(31, 7), TASK_OVERNIGHT, "reservoir");
    assert_window(j, day(31), day(33), day(38)); /* on two visits that follow each other */
    assert_string_equal(j->why, "nobody has seen yet whether it holds its water");
    nobody_works(f, 34, 35); /* on the evening of day 35 nobody is there either */
    assert_int_equal(job_of(f, at(31, 7), TASK_OVERNIGHT, "reservoir")->due, day(36));
    tell(f, with(told_at(ENTRY_STOOD, "reservoir", "", at(36, 7)), FIGURE_ADDED_L, 0.4));
    j = job_of(f, at(36, 9), TASK_OVERNIGHT, "reservoir");
    assert_window(j, day(36), day(36), day(39)); /* again, and soon */
    assert_string_equal(j->why, "it lost a little in its last night with every shut-off closed");
    tell(f, with(told_at(ENTRY_STOOD, "reservoir", "", at(37, 7)), FIGURE_ADDED_L, 0));
    tell(f, with(told_at(ENTRY_STOOD, "reservoir", "", at(38, 7)), FIGURE_ADDED_L, 0));
    assert_int_equal(job_of(f, at(38, 9), TASK_OVERNIGHT, "reservoir")->due, day(41));
}

/* A day is forgotten now and then: plants would stand behind closed shut-offs over the next. */
static void a_night_before_the_last_day_of_work_is_not_asked_for(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.care_every_day[CARE_OVERNIGHT] = 3;
    fill(f, 30, 90);
    on_float(f, "A1", 30);
    nobody_works(f, 35, 36);
    assert_int_equal(job_of(f, at(31, 7), TASK_OVERNIGHT, "reservoir")->due, day(37));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(the_reservoir_is_filled_before_its_low_mark),
        TEST(a_fill_before_days_off_can_be_forgotten_twice),
        TEST(a_reservoir_that_lasts_a_year_is_filled_before_its_low_mark),
        TEST(a_reservoir_that_nobody_draws_from_is_left_alone),
        TEST(an_empty_reservoir_is_filled_today),
        TEST(a_reservoir_that_was_never_filled_waits_since_the_journal_began),
        TEST(a_reservoir_with_a_mix_in_it_is_emptied_first),
        TEST(nobody_fills_twice_a_day),
        TEST(a_night_is_asked_for_when_somebody_comes_in_the_morning),
        TEST(a_night_before_the_last_day_of_work_is_not_asked_for),
        TEST(a_litre_above_the_outlet_is_water),
        TEST(a_fill_has_a_window_in_which_it_is_worth_the_walk),
        TEST(a_low_mark_at_the_outlet_is_not_waited_for),
        TEST(a_fill_that_can_wait_for_ever_is_late_a_day_after),
        TEST(the_reservoir_is_kept_at_its_ph),
        TEST(alkaline_water_takes_a_second_dose),
        TEST(the_ph_of_a_mix_is_no_job_of_its_own),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
