/* A job as a value: its word, its key, what a person said of it, whether it was done,
 * and why not. */
#include "daemon/core/units/day.h"
#include "tests/unit/a_working_room.h"

static void a_job_is_done_when_its_cycle_went_on(void **ctx)
{
    struct fixture *f = *ctx;
    struct job j;

    on_float(f, "A1", 30);
    j = *job_of(f, at(31, 7), TASK_CHANGE, "A1");
    assert_false(job_is_done(&f->s, &j));
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 9)));
    assert_false(job_is_done(&f->s, &j));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 10)), FIGURE_EC_MS_CM, 1.0));
    assert_true(job_is_done(&f->s, &j));
}

static struct job job(enum task_kind kind, enum subject_kind subject, size_t at, int32_t cycle)
{
    return (struct job){
        .kind = kind, .subject = {subject, at},
             .cycle = cycle
    };
}

static void a_job_is_named_by_its_kind_and_what_is_cared_for(void **ctx)
{
    struct job j = job(TASK_CHANGE, SUBJECT_CONTAINER, A1, 1);
    char word[ENTRY_WORD_MAX + 1];

    (void)ctx;
    assert_string_equal(job_word(word, &j), "change");
    j.kind = TASK_CARE;
    j.care = CARE_VALVE;
    assert_string_equal(job_word(word, &j), "care valve");
}

/* In this order: each differs from the one before in one part of its key, the rest being less. */
static void keys_are_told_apart_by_each_of_their_parts(void **ctx)
{
    struct job sorted[] = {
        job(TASK_CHECK, SUBJECT_METER, 5, 9),      job(TASK_CARE, SUBJECT_CONTAINER, 5, 9),
        job(TASK_CARE, SUBJECT_RESERVOIR, 5, 9),   job(TASK_CARE, SUBJECT_CONTAINER, 2, 9),
        job(TASK_CARE, SUBJECT_CONTAINER, 3, 1),   job(TASK_CARE, SUBJECT_CONTAINER, 3, 2),
        job(TASK_HARVEST, SUBJECT_CONTAINER, 0, 0)};

    (void)ctx;
    sorted[1].care = CARE_FLOAT;
    for (int i = 2; i < 6; i++) {
        sorted[i].care = CARE_VALVE;
    }
    for (int i = 0; i < 7; i++) {
        for (int k = 0; k < 7; k++) {
            int order = job_compare_keys(&sorted[i], &sorted[k]);

            assert_true(i < k ? order < 0 : i > k ? order > 0 : order == 0);
        }
    }
}

static void bumps_are_counted_anew_with_each_solution(void **ctx)
{
    (void)ctx;
    assert_true(job_bump_cycle(1, 1) > job_bump_cycle(1, 0));
    assert_true(job_bump_cycle(2, 0) > job_bump_cycle(1, 300));
    /* Journals hold such numbers: tasks are found again by them after an update. */
    assert_int_equal(job_bump_cycle(3, 2), 3002);
}

/* The job of a kind now, told to be done by what follows and by nothing before it. */
static struct job wanted(struct fixture *f, int64_t now_s, enum task_kind kind, const char *subject)
{
    const struct job *j = job_of(f, now_s, kind, subject);

    assert_non_null(j);
    assert_false(job_is_done(&f->s, j));
    return *j;
}

static void a_start_is_done_when_the_plant_is_in(void **ctx)
{
    struct fixture *f = *ctx;
    struct job j;

    f->room.container[A1].start_on = day(0);
    j = wanted(f, at(0, 7), TASK_START, "A1");
    start(f, "A2", 0);
    assert_false(job_is_done(&f->s, &j));
    start(f, "A1", 0);
    assert_true(job_is_done(&f->s, &j));
}

static void a_check_is_done_by_a_look_whatever_was_seen(void **ctx)
{
    struct fixture *f = *ctx;
    struct job j;

    f->room.care_every_day[CARE_READ] = 0;
    start(f, "A1", 0);
    j = wanted(f, at(1, 7), TASK_CHECK, "A1");
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "no", at(20, 9)));
    assert_true(job_is_done(&f->s, &j));
    j = wanted(f, at(20, 10), TASK_CHECK, "A1");
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "yes", at(23, 9)));
    assert_true(job_is_done(&f->s, &j));
}

static void a_bump_is_done_by_a_bump_and_displaced_by_a_change(void **ctx)
{
    struct fixture *f = *ctx;
    char reason[240];
    struct job j;

    on_float(f, "A1", 60);
    refill(f, "A1", 70, 1.1);
    j = wanted(f, at(70, 10), TASK_BUMP, "A1");
    tell(f, with(told_at(ENTRY_BUMPED, "A1", "fruit", at(72, 9)), FIGURE_EC_MS_CM, 1.5));
    assert_true(job_is_done(&f->s, &j));
    j = wanted(f, at(72, 10), TASK_BUMP, "A1");
    refill(f, "A1", 74, 1.5);
    assert_false(job_is_done(&f->s, &j));
    job_gone_reason(&f->room, &f->s, &j, at(74, 10), reason, sizeof reason);
    assert_string_equal(reason, "A1 was changed on Thu 14 May");
}

static void a_ph_is_done_by_setting_it_right(void **ctx)
{
    struct fixture *f = *ctx;
    struct job pot;
    struct job tank;

    on_float(f, "A1", 30);
    fill(f, 30, 90);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(32, 9)), FIGURE_PH, 7.1));
    tell(f, with(told_at(ENTRY_READING, "reservoir", "", at(32, 9)), FIGURE_PH, 7.1));
    pot = wanted(f, at(32, 10), TASK_PH, "A1");
    tank = wanted(f, at(32, 10), TASK_PH, "reservoir");
    tell(f, with(told_at(ENTRY_PH_ADJUSTED, "A1", "", at(32, 11)), FIGURE_PH, 5.9));
    assert_true(job_is_done(&f->s, &pot));
    assert_false(job_is_done(&f->s, &tank));
    tell(f, with(told_at(ENTRY_PH_ADJUSTED, "reservoir", "", at(32, 11)), FIGURE_PH, 5.8));
    assert_true(job_is_done(&f->s, &tank));
}

static void a_reading_is_done_by_a_reading_of_that_thing(void **ctx)
{
    struct fixture *f = *ctx;
    struct job pot;
    struct job tank;

    on_float(f, "A1", 30);
    fill(f, 30, 90);
    pot = wanted(f, at(31, 7), TASK_READ, "A1");
    tank = wanted(f, at(31, 7), TASK_READ, "reservoir");
    tell(f, with(told_at(ENTRY_READING, "reservoir", "", at(32, 9)), FIGURE_PH, 5.8));
    assert_true(job_is_done(&f->s, &tank));
    assert_false(job_is_done(&f->s, &pot));
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(32, 9)), FIGURE_PH, 5.8));
    assert_true(job_is_done(&f->s, &pot));
}

static void a_fill_a_calibration_and_care_are_done_by_their_entries(void **ctx)
{
    struct fixture *f = *ctx;
    struct job fills;
    struct job calibrates;
    struct job floats;
    struct job filter;

    fills = wanted(f, at(0, 7), TASK_FILL, "reservoir");
    calibrates = wanted(f, at(0, 7), TASK_CALIBRATE, "ec-pen");
    fill(f, 0, 90);
    assert_true(job_is_done(&f->s, &fills));
    tell(f, with(told_at(ENTRY_CALIBRATED, "ph-pen", "", at(0, 9)), FIGURE_SLOPE_PCT, 97));
    assert_false(job_is_done(&f->s, &calibrates));
    tell(f, with(told_at(ENTRY_CALIBRATED, "ec-pen", "", at(0, 9)), FIGURE_SLOPE_PCT, 97));
    assert_true(job_is_done(&f->s, &calibrates));
    start(f, "A1", 0);
    floats = wanted(f, at(1, 7), TASK_CARE, "A1");
    filter = wanted(f, at(10, 7), TASK_CARE, "room");
    tell(f, told_at(ENTRY_CARED_FOR, "A1", "float", at(12, 9)));
    assert_true(job_is_done(&f->s, &floats));
    assert_false(job_is_done(&f->s, &filter));
    tell(f, told_at(ENTRY_CARED_FOR, "room", "filter", at(12, 9)));
    assert_true(job_is_done(&f->s, &filter));
}

static void a_harvest_is_over_when_the_container_is_clean(void **ctx)
{
    struct fixture *f = *ctx;
    struct job j;

    start(f, "A1", 0);
    j = wanted(f, at(115, 7), TASK_HARVEST, "A1");
    tell(f, told_at(ENTRY_HARVESTED, "A1", "part", at(118, 9)));
    assert_false(job_is_done(&f->s, &j));
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(120, 9)));
    assert_false(job_is_done(&f->s, &j));
    tell(f, told_at(ENTRY_CLEANED, "A1", "", at(120, 10)));
    assert_true(job_is_done(&f->s, &j));
}

static void a_look_is_done_when_a_person_says_so(void **ctx)
{
    struct fixture *f = *ctx;
    struct job j;

    on_float(f, "A1", 30);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(33, 9)), FIGURE_VOLUME_L, 9.4));
    j = wanted(f, at(33, 10), TASK_LOOK, "A1");
    tell(f, told_at(ENTRY_ACKNOWLEDGED, "A1", "look", at(33, 11)));
    assert_true(job_is_done(&f->s, &j));
}

/* An order is as good as the bottle on the shelf; a bottle that comes without one is too. */
static void what_is_ordered_or_has_come_is_reordered(void **ctx)
{
    struct fixture *f = *ctx;
    struct job j;

    f->s.product[CALCIUM_PART].left = 400;
    f->s.product[SULFATE_PART].left = 400;
    j = wanted(f, at(1, 7), TASK_REORDER, "calcium-part");
    tell(f, told_at(ENTRY_ACKNOWLEDGED, "calcium-part", "reorder", at(1, 9)));
    assert_true(job_is_done(&f->s, &j));
    j = wanted(f, at(1, 10), TASK_REORDER, "sulfate-part");
    tell(f, with(told_at(ENTRY_STOCK_RECEIVED, "sulfate-part", "", at(2, 9)), FIGURE_AMOUNT, 5000));
    assert_true(job_is_done(&f->s, &j));
}

static const char *reason_of(struct fixture *f, const struct job *j, int64_t now_s)
{
    static char reason[240];

    job_gone_reason(&f->room, &f->s, j, now_s, reason, sizeof reason);
    return reason;
}

static void a_job_that_went_by_itself_says_why(void **ctx)
{
    struct fixture *f = *ctx;
    struct job change = job(TASK_CHANGE, SUBJECT_CONTAINER, A1, 1);
    struct job start_a2 = job(TASK_START, SUBJECT_CONTAINER, A2, 0);
    struct job order = job(TASK_REORDER, SUBJECT_PRODUCT, CALCIUM_PART, 0);
    struct job read = job(TASK_READ, SUBJECT_RESERVOIR, 0, 0);

    on_float(f, "A1", 30);
    assert_string_equal(reason_of(f, &change, at(31, 9)),
                        "by what is known on Wed 1 Apr, A1 does not need it now");
    change.cycle = 2;
    assert_string_equal(reason_of(f, &change, at(31, 9)), "the last change of A1 was voided");
    assert_string_equal(reason_of(f, &order, at(31, 9)), "there is enough of calcium-part again");
    assert_string_equal(reason_of(f, &read, at(31, 9)),
                        "by what is known on Wed 1 Apr, reservoir does not need it now");
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(32, 9)));
    assert_string_equal(reason_of(f, &change, at(33, 9)), "A1 was harvested on Thu 2 Apr");
    tell(f, told_at(ENTRY_CLEANED, "A1", "", at(33, 9)));
    start(f, "A1", 34);
    change.cycle = 1; /* of what grows in it now nothing was harvested */
    assert_string_equal(reason_of(f, &change, at(35, 9)),
                        "by what is known on Sun 5 Apr, A1 does not need it now");
    start(f, "A2", 0);
    tell(f, told_at(ENTRY_HARVESTED, "A2", "final", at(32, 9)));
    assert_string_equal(reason_of(f, &start_a2, at(33, 9)), /* that it was harvested is no reason */
                        "by what is known on Fri 3 Apr, A2 does not need it now");
}

/* Days, from common practice: no source. */
static void a_dropped_job_rests_for_its_interval_or_the_days_of_its_kind(void **ctx)
{
    static const struct {
        enum task_kind kind;
        enum care_kind care;
        int days; /* 0 = for the cycle */
    } rests[] = {
        {TASK_START,     CARE_FLOAT,  0 },
        {TASK_CHECK,     CARE_FLOAT,  3 },
        {TASK_CHANGE,    CARE_FLOAT,  7 },
        {TASK_BUMP,      CARE_FLOAT,  0 },
        {TASK_PH,        CARE_FLOAT,  2 },
        {TASK_READ,      CARE_FLOAT,  6 },
        {TASK_FILL,      CARE_FLOAT,  1 },
        {TASK_CALIBRATE, CARE_FLOAT,  14},
        {TASK_CARE,      CARE_FLOAT,  14},
        {TASK_CARE,      CARE_FILTER, 30},
        {TASK_CARE,      CARE_VALVE,  1 }, /* which nothing asks for */
        {TASK_REORDER,   CARE_FLOAT,  0 },
        {TASK_HARVEST,   CARE_FLOAT,  7 },
        {TASK_LOOK,      CARE_FLOAT,  3 },
    };
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    f->room.care_every_day[CARE_READ] = 5.5;
    f->room.crop[VINE].stage[1].life_min_day = 5;
    for (size_t i = 0; i < sizeof rests / sizeof *rests; i++) {
        struct job j = job(rests[i].kind, SUBJECT_CONTAINER, A1, 1);

        j.care = rests[i].care;
        assert_int_equal(job_rests_until(&f->room, &f->s, &j, 100),
                         rests[i].days ? 100 + rests[i].days : DAY_NONE);
    }
    tell(f, told_at(ENTRY_STAGE_SEEN, "A1", "fruiting", at(31, 9)));
    assert_int_equal(job_rests_until(&f->room, &f->s,
                                     &(struct job){
                                         .kind = TASK_CHANGE, .subject = {SUBJECT_CONTAINER, A1}
    },
                                     100),
                     105); /* by the life of a solution in the stage that was seen */
}

static void a_dropped_job_rests_until_its_day(void **ctx)
{
    struct fixture *f = *ctx;
    struct job j = job(TASK_CHANGE, SUBJECT_CONTAINER, A1, 1);
    struct job other = job(TASK_CHANGE, SUBJECT_CONTAINER, A2, 1);
    struct job next = job(TASK_CHANGE, SUBJECT_CONTAINER, A1, 2);

    on_float(f, "A1", 30);
    assert_null(job_hold(&f->s, &j));
    hold(f, ENTRY_DROPPED, "A1", "change", 1, day(45), at(40, 9));
    assert_true(job_is_dropped(&f->s, &j, day(44)));
    assert_false(job_is_dropped(&f->s, &j, day(45)));
    assert_null(job_hold(&f->s, &other));
    assert_null(job_hold(&f->s, &next));
    hold(f, ENTRY_DEFERRED, "A1", "change", 1, day(45), at(41, 9));
    assert_non_null(job_hold(&f->s, &j));
    assert_false(job_is_dropped(&f->s, &j, day(44)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_job_is_done_when_its_cycle_went_on),
        TEST(a_job_is_named_by_its_kind_and_what_is_cared_for),
        TEST(keys_are_told_apart_by_each_of_their_parts),
        TEST(bumps_are_counted_anew_with_each_solution),
        TEST(a_start_is_done_when_the_plant_is_in),
        TEST(a_check_is_done_by_a_look_whatever_was_seen),
        TEST(a_bump_is_done_by_a_bump_and_displaced_by_a_change),
        TEST(a_ph_is_done_by_setting_it_right),
        TEST(a_reading_is_done_by_a_reading_of_that_thing),
        TEST(a_fill_a_calibration_and_care_are_done_by_their_entries),
        TEST(a_harvest_is_over_when_the_container_is_clean),
        TEST(a_look_is_done_when_a_person_says_so),
        TEST(what_is_ordered_or_has_come_is_reordered),
        TEST(a_job_that_went_by_itself_says_why),
        TEST(a_dropped_job_rests_for_its_interval_or_the_days_of_its_kind),
        TEST(a_dropped_job_rests_until_its_day),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
