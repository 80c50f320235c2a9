/* What comes at intervals: readings, calibrations, care; and looks at what is wrong. */
#include "tests/unit/a_working_room.h"

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

/* The job of one kind of care. */
static const struct job *care_of(struct fixture *f, int64_t now_s, enum care_kind care,
                                 const char *subject)
{
    struct subject s = room_find(&f->room, subject);

    (void)job_of(f, now_s, TASK_CARE, subject);
    for (size_t i = 0; i < f->jobs.n; i++) {
        const struct job *j = &f->jobs.job[i];

        if (j->kind == TASK_CARE && j->care == care && j->subject.kind == s.kind &&
            j->subject.at == s.at) {
            return j;
        }
    }
    return NULL;
}

static void a_reading_may_come_two_days_sooner_or_later(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    start(f, "A1", 0);
    j = job_of(f, at(1, 7), TASK_READ, "A1");
    assert_window(j, day(5), day(7), day(9));
    assert_true(j->minutes == 3);
    assert_int_equal(j->done_on, day(0));
    assert_string_equal(j->why, "last measured on Sun 1 Mar"); /* when it was started */
    assert_string_equal(j->loss, "nobody knows what is in there");
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(3, 9)), FIGURE_PH, 5.8));
    assert_int_equal(job_of(f, at(3, 10), TASK_READ, "A1")->due, day(7)); /* for its strength */
    assert_int_equal(job_of(f, at(3, 10), TASK_READ, "A1")->done_on, day(3));
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(4, 9)), FIGURE_EC_MS_CM, 0.7));
    assert_int_equal(job_of(f, at(4, 10), TASK_READ, "A1")->due, day(10)); /* for its pH */
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(5, 9)));
    assert_null(job_of(f, at(5, 10), TASK_READ, "A1"));
    assert_null(job_of(f, at(5, 10), TASK_READ, "A2")); /* which grows nothing */
}

static void the_reservoir_is_read_at_the_same_interval(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    assert_null(job_of(f, at(1, 7), TASK_READ, "reservoir")); /* never filled */
    fill(f, 2, 90);
    assert_int_equal(job_of(f, at(2, 9), TASK_READ, "reservoir")->due, day(7)); /* since day 0 */
    tell(f, with(told_at(ENTRY_READING, "reservoir", "", at(3, 9)), FIGURE_PH, 5.8));
    assert_int_equal(job_of(f, at(3, 10), TASK_READ, "reservoir")->due, day(10));
    tell(f, with(told_at(ENTRY_READING, "reservoir", "", at(4, 9)), FIGURE_EC_MS_CM, 0.05));
    assert_int_equal(job_of(f, at(4, 10), TASK_READ, "reservoir")->due, day(11));
    tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(8, 9)));
    fill(f, 8, 90); /* it holds what nobody has measured, but nothing old */
    assert_int_equal(job_of(f, at(8, 10), TASK_READ, "reservoir")->due, day(15));
    f->room.care_every_day[CARE_READ] = 0;
    assert_null(job_of(f, at(8, 10), TASK_READ, "reservoir"));
}

static void a_meter_is_calibrated_three_days_around_its_day(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j = job_of(f, at(4, 7), TASK_CALIBRATE, "ph-pen");

    assert_window(j, day(1), day(4), day(7)); /* nothing is known yet: today */
    assert_string_equal(j->why, "never calibrated yet, as far as the journal knows");
    assert_string_equal(j->loss, "every figure it gives is in doubt");
    assert_true(j->minutes == 10);
    start(f, "A1", 2);
    assert_window(job_of(f, at(4, 7), TASK_CALIBRATE, "ph-pen"), day(-1), day(2), day(5));
    tell(f, with(told_at(ENTRY_CALIBRATED, "ph-pen", "", at(4, 9)), FIGURE_SLOPE_PCT, 97));
    j = job_of(f, at(4, 10), TASK_CALIBRATE, "ph-pen");
    assert_window(j, day(15), day(18), day(21));
    assert_int_equal(j->done_on, day(4));
    assert_string_equal(j->why, "last calibrated on Thu 5 Mar");
}

static void care_comes_three_days_sooner_or_a_week_later(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    start(f, "A1", 0);
    j = care_of(f, at(1, 7), CARE_FLOAT, "A1");
    assert_window(j, day(11), day(14), day(21));
    assert_true(j->minutes == 2);
    assert_string_equal(j->why, "last seen to on Sun 1 Mar");
    assert_string_equal(j->loss, "it clogs or sticks when nobody looks");
    assert_null(care_of(f, at(1, 7), CARE_FLOAT, "A2")); /* which grows nothing */
}

/* Each kind of care has its interval and its subject; 0 days = not asked for. */
static void each_kind_of_care_is_asked_for_by_its_own_interval(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    fill(f, 0, 90);
    assert_int_equal(care_of(f, at(5, 7), CARE_FILTER, "room")->due, day(30));
    assert_null(care_of(f, at(5, 7), CARE_VALVE, "A1"));
    assert_null(care_of(f, at(5, 7), CARE_RESERVOIR, "reservoir"));
    f->room.care_every_day[CARE_FILTER] = 0;
    f->room.care_every_day[CARE_FLOAT] = 0;
    f->room.care_every_day[CARE_VALVE] = 10;
    f->room.care_every_day[CARE_RESERVOIR] = 20;
    assert_null(care_of(f, at(5, 7), CARE_FILTER, "room"));
    assert_null(care_of(f, at(5, 7), CARE_FLOAT, "A1"));
    assert_int_equal(care_of(f, at(5, 7), CARE_VALVE, "A1")->due, day(10));
    assert_int_equal(care_of(f, at(5, 7), CARE_RESERVOIR, "reservoir")->due, day(20));
    tell(f, told_at(ENTRY_CARED_FOR, "reservoir", "reservoir", at(6, 9)));
    tell(f, told_at(ENTRY_CARED_FOR, "A1", "valve", at(7, 9)));
    assert_int_equal(care_of(f, at(7, 10), CARE_RESERVOIR, "reservoir")->due, day(26));
    assert_int_equal(care_of(f, at(7, 10), CARE_VALVE, "A1")->due, day(17));
}

static void a_filter_that_was_seen_to_is_asked_for_an_interval_later(void **ctx)
{
    struct fixture *f = *ctx;

    assert_null(care_of(f, at(5, 7), CARE_FILTER, "room")); /* nothing has begun yet */
    start(f, "A1", 0);
    tell(f, told_at(ENTRY_CARED_FOR, "room", "filter", at(9, 9)));
    assert_int_equal(care_of(f, at(12, 10), CARE_FILTER, "room")->due, day(39));
    assert_int_equal(care_of(f, at(12, 10), CARE_FILTER, "room")->done_on, day(9));
}

/* What was seen to before the plant was set in counts from then. */
static void a_new_plant_has_a_float_that_was_seen_to(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    tell(f, told_at(ENTRY_CARED_FOR, "A1", "float", at(1, 9)));
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(4, 9)));
    tell(f, told_at(ENTRY_CLEANED, "A1", "", at(5, 9)));
    start(f, "A1", 6);
    assert_int_equal(care_of(f, at(7, 7), CARE_FLOAT, "A1")->due, day(20));
}

/* A level above the float line drowns air roots: a look at once. */
static void what_is_wrong_is_looked_at_the_same_day(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    on_float(f, "A1", 30);
    assert_null(job_of(f, at(33, 7), TASK_LOOK, "A1"));
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(33, 9)), FIGURE_VOLUME_L, 9.4));
    j = job_of(f, at(33, 10), TASK_LOOK, "A1");
    assert_window(j, day(33), day(33), day(34));
    assert_true(j->minutes == 3);
    assert_string_equal(j->why, "A1 was read at 9.4 L, above its float line of 8.0 L: its air "
                                "roots drown. Look first: does its float stick open? Shut its "
                                "valve, and drain what is too much");
    assert_string_equal(j->loss, "what is wrong goes on");
    tell(f, told_at(ENTRY_ACKNOWLEDGED, "A1", "look", at(33, 11)));
    assert_null(job_of(f, at(33, 12), TASK_LOOK, "A1"));
}

static void what_a_person_saw_is_looked_at_today_or_tomorrow(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    on_float(f, "A1", 30);
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "pests", at(33, 9)));
    assert_null(job_of(f, at(33, 10), TASK_LOOK, "A1"));
    tell(f, told_at(ENTRY_OBSERVATION, "A1", "wilting", at(33, 9)));
    j = job_of(f, at(33, 10), TASK_LOOK, "A1");
    assert_window(j, day(33), day(33), day(34));
    assert_string_equal(j->why, "A1 was seen wilting; nobody told lately how warm its solution is. "
                                "Look first: is there water, does the float let it in? Then how "
                                "warm it is, and the roots");
    tell(f, told_at(ENTRY_ACKNOWLEDGED, "A1", "look", at(33, 11)));
    assert_null(job_of(f, at(33, 12), TASK_LOOK, "A1"));
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(34, 9)), FIGURE_TEMP_C, 29));
    assert_non_null(job_of(f, at(34, 10), TASK_LOOK, "A1"));
    assert_null(job_of(f, at(38, 10), TASK_LOOK, "A1")); /* the reading is old */
}

/* Two things wrong with one container are one walk, and what is wrong with another one more. */
static void a_subject_is_looked_at_once_for_all_that_is_wrong_with_it(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;
    size_t looks = 0;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(33, 9)), FIGURE_VOLUME_L, 9.4));
    tell(f, with(told_at(ENTRY_READING, "A2", "", at(33, 9)), FIGURE_VOLUME_L, 9.4));
    f->s.container[A1].alarms.of[ALARM_PH] = f->s.container[A1].alarms.of[ALARM_HIGH];
    j = job_of(f, at(33, 10), TASK_LOOK, "A1");
    assert_non_null(j);
    assert_non_null(j ? strstr(j->why, "its air roots drown") : NULL); /* the graver */
    for (size_t i = 0; i < f->jobs.n; i++) {
        looks += f->jobs.job[i].kind == TASK_LOOK;
    }
    assert_int_equal(looks, 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(readings_come_at_their_interval),
        TEST(a_meter_that_failed_is_seen_to_at_once),
        TEST(meters_and_floats_are_seen_to_at_their_intervals),
        TEST(a_reading_may_come_two_days_sooner_or_later),
        TEST(the_reservoir_is_read_at_the_same_interval),
        TEST(a_meter_is_calibrated_three_days_around_its_day),
        TEST(care_comes_three_days_sooner_or_a_week_later),
        TEST(each_kind_of_care_is_asked_for_by_its_own_interval),
        TEST(a_filter_that_was_seen_to_is_asked_for_an_interval_later),
        TEST(a_new_plant_has_a_float_that_was_seen_to),
        TEST(what_is_wrong_is_looked_at_the_same_day),
        TEST(what_a_person_saw_is_looked_at_today_or_tomorrow),
        TEST(a_subject_is_looked_at_once_for_all_that_is_wrong_with_it),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
