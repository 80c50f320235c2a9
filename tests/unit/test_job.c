/* What each thing in the room wants, when, and why. Day 0 is 2026-03-01; containers drink after the invented
 * vine of a_room.h. */
#include "daemon/base/mem.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/prediction.h"
#include "daemon/core/work/jobs.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <stdlib.h>

struct fixture {
    struct room room;
    struct state s;
    struct jobs jobs;
};

static int set_up(void **ctx)
{
    struct fixture *f = mem_array(1, sizeof *f);

    f->room = a_room();
    for (size_t i = 0; i < f->room.n_containers; i++) {
        f->room.container[i].start_on = DAY_NONE;
    }
    state_init(&f->s, &f->room);
    *ctx = f;
    return 0;
}

static int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    jobs_deinit(&f->jobs);
    state_deinit(&f->s);
    room_deinit(&f->room);
    free(f);
    return 0;
}

static int32_t day(int n)
{
    return 20513 + n;
}

static void tell(struct fixture *f, struct entry e)
{
    fold_entry(&f->s, &f->room, &e);
}

static void start(struct fixture *f, const char *name, int on)
{
    tell(f, with(told_at(ENTRY_STARTED, name, "vine", at(on, 9)), FIGURE_EC_MS_CM, 0.7));
}

static void on_float(struct fixture *f, const char *name, int since)
{
    start(f, name, 0);
    tell(f, told_at(ENTRY_FLOAT_SEEN, name, "yes", at(since, 9)));
}

static void fill(struct fixture *f, int on, double volume_l)
{
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(on, 8)), FIGURE_VOLUME_L,
                 volume_l));
}

/* The job of a kind about one thing; NULL when it wants none within four weeks of now. */
static const struct job *job_of(struct fixture *f, int64_t now_s, enum task_kind kind,
                                const char *subject)
{
    struct subject s = room_find(&f->room, subject);

    jobs_deinit(&f->jobs);
    jobs_derive(&f->room, &f->s, now_s, 28, &f->jobs);
    for (size_t i = 0; i < f->jobs.n; i++) {
        const struct job *j = &f->jobs.job[i];

        if (j->kind == kind && j->subject.kind == s.kind && j->subject.at == s.at) {
            return j;
        }
    }
    return NULL;
}

static void a_container_with_a_day_starts_on_it(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    f->room.container[A1].start_on = day(3);
    j = job_of(f, at(0, 7), TASK_START, "A1");
    assert_int_equal(j->earliest, day(3));
    assert_int_equal(j->due, day(3));
    assert_true(j->ec_ms_cm == 0.7 && j->volume_l == 18);
    assert_null(job_of(f, at(0, 7), TASK_START, "A2")); /* it has no day */
}

static void what_was_cleaned_starts_again_the_day_after(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(120, 9)));
    assert_null(job_of(f, at(120, 10), TASK_START, "A1"));
    assert_int_equal(job_of(f, at(120, 10), TASK_HARVEST, "A1")->due, day(120)); /* to be cleaned */
    tell(f, told_at(ENTRY_CLEANED, "A1", "", at(121, 9)));
    assert_int_equal(job_of(f, at(121, 10), TASK_START, "A1")->due, day(122));
    f->room.container[A1].replant = false;
    assert_null(job_of(f, at(121, 10), TASK_START, "A1"));
}

static double open_by(struct fixture *f, int32_t d)
{
    return predict_float_p(&f->room, &f->s, A1, at(d - 20513, 23));
}

/* As few walks as may be: most looks find it open, and none comes when it can hardly be. */
static void a_look_is_asked_for_when_the_float_is_likely_open(void **ctx)
{
    struct fixture *f = *ctx;
    int32_t float_day;
    const struct job *j;

    start(f, "A1", 0);
    float_day = zone_day(&f->room.zone, forecast_float_s(&f->room, &f->s, A1));
    j = job_of(f, at(float_day - 20513 - 1, 7), TASK_CHECK, "A1");
    assert_true(open_by(f, j->earliest) >= 0.5 && open_by(f, j->earliest - 2) < 0.5);
    assert_true(open_by(f, j->due) >= 0.75 && open_by(f, j->due - 2) < 0.75);
    assert_true(open_by(f, j->latest) >= 0.95);
}

static void a_first_look_comes_well_before(void **ctx)
{
    struct fixture *f = *ctx;
    int32_t float_day;
    const struct job *j;

    f->room.care_every_day[CARE_READ] = 0; /* readings would tell the level */
    start(f, "A1", 0);
    float_day = zone_day(&f->room.zone, forecast_float_s(&f->room, &f->s, A1));
    j = job_of(f, at(1, 7), TASK_CHECK, "A1");
    /* two fifths of the way, to a day */
    assert_true(abs(j->due - (20513 + (float_day - 20513) * 2 / 5)) <= 1);
}

static void a_first_reading_in_time_is_the_first_look(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.care_every_day[CARE_READ] = 7;
    start(f, "A1", 0);
    assert_null(job_of(f, at(1, 7), TASK_CHECK, "A1"));
    assert_int_equal(job_of(f, at(1, 7), TASK_READ, "A1")->due, day(7));
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(7, 9)), FIGURE_EC_MS_CM, 0.7));
    assert_non_null(job_of(f, at(8, 7), TASK_CHECK, "A1")); /* which told no level */
}

static void after_not_yet_it_is_looked_at_again_in_two_days_or_more(void **ctx)
{
    struct fixture *f = *ctx;
    int n;

    start(f, "A1", 0);
    n = zone_day(&f->room.zone, forecast_float_s(&f->room, &f->s, A1)) - 20513;
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "no", at(n, 9)));
    assert_true(job_of(f, at(n, 10), TASK_CHECK, "A1")->earliest >= day(n + 2));
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(n + 2, 9)));
    assert_null(job_of(f, at(n + 2, 10), TASK_CHECK, "A1"));
}

static void a_change_falls_within_the_life_of_a_solution(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    on_float(f, "A1", 30);
    j = job_of(f, at(30, 10), TASK_CHANGE, "A1");
    assert_int_equal(j->earliest, day(37)); /* 7 to 14 days */
    assert_int_equal(j->due, day(44)); /* no sooner than it must: what is drained is poured away */
    assert_int_equal(j->latest, day(44));
    assert_true(j->volume_l == 7.5); /* 8 L less the half litre that stays */
}

static void the_strength_rises_by_the_largest_step_at_most(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    tell(f, told_at(ENTRY_STAGE_SEEN, "A1", "fruiting", at(31, 9))); /* wants 1.8 */
    assert_true(fabs(job_of(f, at(31, 10), TASK_CHANGE, "A1")->ec_ms_cm - 1.1) <
                1e-12); /* 0.7 + 0.4 */
}

static void burnt_tips_hold_the_strength(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    tell(f, told_at(ENTRY_STAGE_SEEN, "A1", "fruiting", at(31, 9)));
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "tip-burn", at(32, 9)));
    assert_true(job_of(f, at(32, 10), TASK_CHANGE, "A1")->ec_ms_cm == 0.7);
}

static void what_was_drained_wants_its_solution_today(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    on_float(f, "A1", 30);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(33, 9)));
    j = job_of(f, at(33, 10), TASK_CHANGE, "A1");
    assert_int_equal(j->due, day(33));
    assert_string_equal(j->why, "it was drained and waits for its new solution");
}

static void nothing_is_changed_just_before_the_harvest(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "fruit", at(102, 9)), FIGURE_EC_MS_CM, 1.8));
    assert_int_equal(job_of(f, at(103, 7), TASK_CHANGE, "A1")->due, day(116));
    /* A day later it would be for three days only: less than half of the seven that one lasts at least. */
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "fruit", at(103, 9)), FIGURE_EC_MS_CM, 1.8));
    assert_null(job_of(f, at(111, 7), TASK_CHANGE, "A1"));
    assert_int_equal(job_of(f, at(111, 7), TASK_HARVEST, "A1")->due, day(120));
}

static void a_spent_solution_is_bumped_when_the_change_is_far(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *bump;

    on_float(f, "A1", 60); /* a thirsty plant: about 2 L a day from 8 L */
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(70, 8)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "fruit", at(70, 9)), FIGURE_EC_MS_CM, 1.1));
    /* Spent at 0.66, a day later: 0.44 * 8 L / ((1.8 - 0.05) * 1.97 L a day). Bumps carry it on to the
     * end of its life. */
    bump = job_of(f, at(70, 10), TASK_BUMP, "A1");
    assert_non_null(bump);
    assert_int_equal(bump->earliest, day(71));
    assert_int_equal(bump->latest, day(72));
    assert_true(fabs(bump->ec_ms_cm - 1.5) < 1e-12); /* a step above 1.1 */
    assert_int_equal(job_of(f, at(70, 10), TASK_CHANGE, "A1")->due, day(84));
}

/* 1.5 is spent at 0.9: 0.6 * 8 L / (1.75 * 1.97 L a day) are 1.4 days. A step brings it to the target of
 * 1.8, and since it falls from there it is made as much stronger as a shared mix might be. */
static void a_full_strength_is_bumped_by_the_tolerance_more(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *bump;

    on_float(f, "A1", 60);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(70, 8)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "fruit", at(70, 9)), FIGURE_EC_MS_CM, 1.5));
    bump = job_of(f, at(70, 10), TASK_BUMP, "A1");
    assert_int_equal(bump->earliest, day(71));
    assert_float_equal(bump->ec_ms_cm, 1.8 * (1 + f->room.tolerance_pct / 100), 1e-9);
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "tip-burn", at(70, 11)));
    assert_float_equal(job_of(f, at(70, 12), TASK_BUMP, "A1")->ec_ms_cm, 1.5, 1e-9);
}

static void nobody_works(struct fixture *f, int from, int to)
{
    free(f->room.labour.off);
    f->room.labour.off = mem_array(1, sizeof *f->room.labour.off);
    f->room.labour.off[0] = (struct days){day(from), day(to)};
    f->room.labour.n_off = 1;
}

/* 1.98 is spent at 1.08: 0.9 * 8 L / (1.75 * 1.97 L a day) are 2.1 days. */
static void what_would_be_spent_on_days_off_is_bumped_before_them(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 60);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(70, 8)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "fruit", at(70, 9)), FIGURE_EC_MS_CM, 1.98));
    assert_int_equal(job_of(f, at(70, 10), TASK_BUMP, "A1")->due, day(72));
    nobody_works(f, 72, 75);
    assert_int_equal(job_of(f, at(70, 10), TASK_BUMP, "A1")->due, day(71));
    nobody_works(f, 71, 75); /* the day after it was made there is nothing to bump yet */
    assert_int_equal(job_of(f, at(70, 10), TASK_BUMP, "A1")->due, day(76));
}

static void days_off_bring_nothing_back_on_the_day_on_which_it_was_done(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 60);
    nobody_works(f, 73, 76);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(70, 8)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "fruit", at(70, 9)), FIGURE_EC_MS_CM, 1.1));
    tell(f, with(told_at(ENTRY_BUMPED, "A1", "fruit", at(72, 9)), FIGURE_EC_MS_CM, 1.5));
    assert_int_equal(job_of(f, at(72, 10), TASK_BUMP, "A1")->earliest, day(77));
}

static void a_ph_out_of_its_band_is_set_right_at_once(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    on_float(f, "A1", 30);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(32, 9)), FIGURE_PH, 7.1));
    j = job_of(f, at(32, 10), TASK_PH, "A1");
    assert_int_equal(j->due, day(32));
    assert_string_equal(j->why, "pH was 7.1, and young wants 5.5 to 6.5");
    tell(f, with(told_at(ENTRY_PH_ADJUSTED, "A1", "", at(32, 11)), FIGURE_PH, 5.9));
    assert_null(job_of(f, at(32, 12), TASK_PH, "A1"));
}

static void readings_come_at_their_interval(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    assert_int_equal(job_of(f, at(1, 7), TASK_READ, "A1")->due, day(7));
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(5, 9)), FIGURE_EC_MS_CM, 0.8));
    assert_int_equal(job_of(f, at(5, 10), TASK_READ, "A1")->due, day(12));
    f->room.care_every_day[CARE_READ] = 0;
    assert_null(job_of(f, at(5, 10), TASK_READ, "A1"));
}

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
    fill(f, 30, 50);
    dry =
        zone_day(&f->room.zone, predict_reservoir_s(&f->room, &f->s, f->room.reservoir.remainder_l,
                                                    0.05, at(30, 9)));
    f->room.labour.off = mem_array(1, sizeof *f->room.labour.off);
    f->room.labour.off[0] = (struct days){dry - 8, dry + 2};
    f->room.labour.n_off = 1;
    assert_int_equal(job_of(f, at(31, 7), TASK_FILL, "reservoir")->due, dry - 11);
}

/* 4,995 L last longer than a year, and are at the mark of 4,800 L in weeks. Where clocks are ahead of UTC
 * "never" has no local time. */
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

static void what_runs_out_is_ordered_once(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry mix = told_at(ENTRY_MIX_MADE, "reservoir", "grow", at(1, 9));

    mix = with(with(mix, FIGURE_VOLUME_L, 40), FIGURE_EC_MS_CM, 1.1);
    mix.amount[0] = (struct amount){.product = "grow-a", .amount = 4600};
    mix.n_amounts = 1;
    tell(f, mix);
    assert_string_equal(job_of(f, at(1, 10), TASK_REORDER, "grow-a")->why,
                        "400 mL left, and the next two weeks take 0 mL");
    tell(f, told_at(ENTRY_ACKNOWLEDGED, "grow-a", "reorder", at(1, 11)));
    assert_null(job_of(f, at(1, 12), TASK_REORDER, "grow-a"));
    assert_null(job_of(f, at(1, 12), TASK_REORDER, "grow-b"));
}

/* A probe that failed its calibration is not waited for until the next one is due. */
static void a_meter_that_failed_is_seen_to_at_once(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    tell(f, with(told_at(ENTRY_CALIBRATED, "ph-pen", "", at(3, 9)), FIGURE_SLOPE_PCT, 97));
    j = job_of(f, at(4, 7), TASK_CALIBRATE, "ph-pen");
    assert_int_equal(j->due, day(17));
    tell(f, with(told_at(ENTRY_CALIBRATED, "ph-pen", "", at(4, 9)), FIGURE_SLOPE_PCT, 80));
    j = job_of(f, at(4, 10), TASK_CALIBRATE, "ph-pen");
    assert_int_equal(j->due, day(4));
    assert_string_equal(j->why, "ph-pen was unfit: its slope of 80.0 % is not within 85 to 105 %: "
                                "clean or replace it");
}

static void meters_and_floats_are_seen_to_at_their_intervals(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    assert_int_equal(job_of(f, at(0, 10), TASK_CALIBRATE, "ph-pen")->due, day(0));
    tell(f, with(told_at(ENTRY_CALIBRATED, "ph-pen", "", at(1, 9)), FIGURE_SLOPE_PCT, 97));
    assert_int_equal(job_of(f, at(1, 10), TASK_CALIBRATE, "ph-pen")->due, day(15));
    assert_int_equal(job_of(f, at(1, 10), TASK_CARE, "A1")->due, day(14));
    tell(f, told_at(ENTRY_CARED_FOR, "A1", "float", at(13, 9)));
    assert_int_equal(job_of(f, at(13, 10), TASK_CARE, "A1")->due, day(27));
}

static void what_is_put_off_waits_and_what_is_dropped_rests(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_DEFERRED, "A1", "change", at(31, 9));

    on_float(f, "A1", 30);
    e.cycle = 1;
    e.until_day = day(40);
    tell(f, e);
    assert_true(job_of(f, at(31, 10), TASK_CHANGE, "A1")->earliest == day(40));
    e.kind = ENTRY_DROPPED;
    e.until_day = day(45);
    tell(f, e);
    assert_null(job_of(f, at(32, 10), TASK_CHANGE, "A1"));
    assert_non_null(job_of(f, at(45, 10), TASK_CHANGE, "A1"));
}

static void a_new_planting_forgets_what_was_put_off_in_the_last(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_DROPPED, "A1", "check", at(3, 9));

    f->room.care_every_day[CARE_READ] = 0; /* readings would tell the level */
    start(f, "A1", 0);
    e.until_day = DAY_NONE; /* not in this cycle */
    tell(f, e);
    assert_null(job_of(f, at(4, 7), TASK_CHECK, "A1"));
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(5, 9)));
    tell(f, told_at(ENTRY_CLEANED, "A1", "", at(5, 10)));
    start(f, "A1", 6);
    assert_non_null(job_of(f, at(7, 7), TASK_CHECK, "A1"));
}

static void a_job_is_done_when_its_cycle_went_on(void **ctx)
{
    struct fixture *f = *ctx;
    struct job j;

    on_float(f, "A1", 30);
    j = *job_of(f, at(31, 7), TASK_CHANGE, "A1");
    assert_false(job_is_done(&f->s, &j));
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 9)));
    assert_false(job_is_done(&f->s, &j));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "grow", at(38, 10)), FIGURE_EC_MS_CM, 1.0));
    assert_true(job_is_done(&f->s, &j));
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_container_with_a_day_starts_on_it),
        TEST(what_was_cleaned_starts_again_the_day_after),
        TEST(a_look_is_asked_for_when_the_float_is_likely_open),
        TEST(a_first_look_comes_well_before),
        TEST(a_first_reading_in_time_is_the_first_look),
        TEST(after_not_yet_it_is_looked_at_again_in_two_days_or_more),
        TEST(a_change_falls_within_the_life_of_a_solution),
        TEST(the_strength_rises_by_the_largest_step_at_most),
        TEST(burnt_tips_hold_the_strength),
        TEST(what_was_drained_wants_its_solution_today),
        TEST(nothing_is_changed_just_before_the_harvest),
        TEST(a_spent_solution_is_bumped_when_the_change_is_far),
        TEST(a_full_strength_is_bumped_by_the_tolerance_more),
        TEST(what_would_be_spent_on_days_off_is_bumped_before_them),
        TEST(days_off_bring_nothing_back_on_the_day_on_which_it_was_done),
        TEST(a_ph_out_of_its_band_is_set_right_at_once),
        TEST(readings_come_at_their_interval),
        TEST(the_reservoir_is_filled_before_its_low_mark),
        TEST(a_fill_before_days_off_can_be_forgotten_twice),
        TEST(a_reservoir_that_lasts_a_year_is_filled_before_its_low_mark),
        TEST(a_reservoir_that_nobody_draws_from_is_left_alone),
        TEST(an_empty_reservoir_is_filled_today),
        TEST(what_runs_out_is_ordered_once),
        TEST(a_meter_that_failed_is_seen_to_at_once),
        TEST(meters_and_floats_are_seen_to_at_their_intervals),
        TEST(what_is_put_off_waits_and_what_is_dropped_rests),
        TEST(a_new_planting_forgets_what_was_put_off_in_the_last),
        TEST(a_job_is_done_when_its_cycle_went_on),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
