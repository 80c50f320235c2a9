/* A planting: when it is started, looked at, harvested and cleaned. Containers drink
 * after the invented vine of a_room.h. */
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/prediction.h"
#include "tests/unit/a_working_room.h"

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
    start(f, "A1", 122); /* it stands: its second planting wants no start */
    assert_null(job_of(f, at(122, 10), TASK_START, "A1"));
}

static void what_is_not_planted_again_does_not_start_again(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.container[A1].replant = false;
    start(f, "A1", 0);
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(120, 9)));
    tell(f, told_at(ENTRY_CLEANED, "A1", "", at(121, 9)));
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

/* Of a float line that lies behind there is no day to expect it on, least of all one of 1970. */
static void a_float_line_that_is_past_has_no_day(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;
    char day[DAY_WORDS_MAX];
    int32_t float_day;

    start(f, "A1", 0);
    float_day = zone_day(&f->room.zone, predict_float_s(&f->room, &f->s, A1, 0.5));
    j = job_of(f, at(float_day - 20513 - 1, 7), TASK_CHECK, "A1");
    assert_non_null(strstr(j->why, day_words(day, float_day, float_day)));
    j = job_of(f, at(float_day - 20513 + 20, 7), TASK_CHECK, "A1");
    assert_string_equal(j->why,
                        "its float line should be reached by now; see whether the valve works");
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

static void a_seedling_can_wait_in_its_tray_for_a_week(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    f->room.container[A1].start_on = day(3);
    f->room.crop[VINE].stage[0].recipe_at = FRUIT;
    j = job_of(f, at(0, 7), TASK_START, "A1");
    assert_window(j, day(3), day(3), day(10));
    assert_int_equal(j->recipe, FRUIT);
    assert_true(j->minutes == 10);
    assert_string_equal(j->why, "vine starts with a weak solution of 0.70 mS/cm");
    assert_string_equal(j->loss, "the seedling outgrows its tray");
}

static void a_container_that_grows_something_or_is_dirty_is_not_started(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.container[A1].start_on = day(3);
    start(f, "A1", 2);
    assert_null(job_of(f, at(2, 10), TASK_START, "A1"));
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(3, 9)));
    assert_null(job_of(f, at(3, 10), TASK_START, "A1"));
}

/* The day in the room file is that of the first planting: the next has its own. */
static void the_day_of_the_room_file_is_for_the_first_planting_only(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.container[A1].start_on = day(125);
    start(f, "A1", 0);
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(120, 9)));
    tell(f, told_at(ENTRY_CLEANED, "A1", "", at(121, 9)));
    assert_int_equal(job_of(f, at(121, 10), TASK_START, "A1")->due, day(122));
}

/* Harvest at 120 days, a week around it (a_room.h). */
static void a_harvest_has_the_window_of_its_crop(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    start(f, "A1", 0);
    j = job_of(f, at(110, 7), TASK_HARVEST, "A1");
    assert_window(j, day(113), day(120), day(127));
    assert_true(j->minutes == 15);
    assert_string_equal(j->why, "vine is 120 days old then");
    assert_string_equal(j->loss, "it grows past its best and takes the place of the next");
    assert_null(job_of(f, at(110, 7), TASK_HARVEST, "A2")); /* which grows nothing */
}

static void a_harvested_container_is_cleaned_within_three_days(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;

    start(f, "A1", 0);
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(115, 9)));
    j = job_of(f, at(115, 10), TASK_HARVEST, "A1");
    assert_window(j, day(115), day(115), day(118));
    assert_true(j->minutes == 15);
    assert_string_equal(j->why, "its plant is out, and it waits to be cleaned");
    assert_string_equal(j->loss, "old roots rot, and the place stands empty");
}

static void nobody_looks_at_a_float_that_works_or_a_tub_that_is_drained(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.care_every_day[CARE_READ] = 0;
    on_float(f, "A1", 30);
    assert_null(job_of(f, at(31, 7), TASK_CHECK, "A1"));
    start(f, "A2", 0);
    assert_non_null(job_of(f, at(31, 7), TASK_CHECK, "A2"));
    tell(f, told_at(ENTRY_DRAINED, "A2", "", at(31, 9)));
    assert_null(job_of(f, at(31, 10), TASK_CHECK, "A2"));
    assert_null(job_of(f, at(31, 10), TASK_CHECK, "A3")); /* which grows nothing */
}

/* To the day by the odds that are asked for: as likely as not, three in four, all but sure. */
static void the_look_at_the_float_goes_by_the_odds_that_it_is_open(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;
    int even;
    int likely;
    int sure;

    start(f, "A1", 0);
    even = day_number(predict_float_s(&f->room, &f->s, A1, 0.50));
    likely = day_number(predict_float_s(&f->room, &f->s, A1, 0.75));
    sure = day_number(predict_float_s(&f->room, &f->s, A1, 0.95));
    assert_true(even < likely && likely < sure);
    j = job_of(f, at(even - 4, 7), TASK_CHECK, "A1");
    assert_window(j, day(even), day(likely), day(sure + 1));
    assert_true(j->minutes == 3);
    assert_int_equal(j->done_on, DAY_NONE);
    assert_string_equal(j->loss, "a float that does not open lets the plant run dry");
}

static void not_yet_means_two_days_of_peace(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;
    int even;

    start(f, "A1", 0);
    sure_of_all(f);
    even = day_number(predict_float_s(&f->room, &f->s, A1, 0.75));
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "no", at(even + 20, 9)));
    j = job_of(f, at(even + 20, 10), TASK_CHECK, "A1"); /* long overdue: soon */
    assert_true(j->earliest >= day(even + 22));
    assert_int_equal(j->done_on, day(even + 20));
}

/* Two fifths of the way to the float line; a day sooner or three later; four days
 * clear of the other. */
static void the_first_look_keeps_clear_of_the_second(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *j;
    int even;
    int first;

    f->room.care_every_day[CARE_READ] = 0;
    start(f, "A1", 0);
    even = day_number(predict_float_s(&f->room, &f->s, A1, 0.50));
    first = day_number(at(0, 9) + (predict_float_s(&f->room, &f->s, A1, 0.50) - at(0, 9)) * 2 / 5);
    j = job_of(f, at(1, 7), TASK_CHECK, "A1");
    assert_window(j, day(first - 1), day(first), day(first + 3));
    assert_string_equal(j->why,
                        "a first look at the level shows a slow or a thirsty plant in time");
    assert_string_equal(j->loss, "the forecast of the float line stays a guess");
    /* Five days before the line a first look is worth it still, four days before it is the look. */
    assert_int_equal(job_of(f, at(even - 5, 7), TASK_CHECK, "A1")->due, day(first));
    assert_int_equal(job_of(f, at(even - 4, 7), TASK_CHECK, "A1")->earliest, day(even));
}

/* A forecast that is sure to six days wants no look in between. */
static void a_sure_forecast_wants_no_first_look(void **ctx)
{
    struct fixture *f = *ctx;
    int even;

    f->room.care_every_day[CARE_READ] = 0;
    f->room.crop[VINE].use = (struct curve){2, 5, 2}; /* at its line within ten days or so */
    start(f, "A1", 0);
    for (size_t k = 0; k < BELIEF_N * BELIEF_N; k++) { /* the matrix and all that leans on it */
        f->s.container[A1].belief.v[k / BELIEF_N][k % BELIEF_N] *= 0.01;
    }
    for (size_t k = 0; k < BELIEF_N * ROOM_N; k++) {
        f->s.container[A1].belief.b[k / ROOM_N][k % ROOM_N] *= 0.1;
    }
    f->s.common.var[ROOM_SIZE][ROOM_SIZE] *= 0.01;
    f->s.common.var[ROOM_PACE][ROOM_PACE] *= 0.01;
    even = day_number(predict_float_s(&f->room, &f->s, A1, 0.50));
    assert_true(predict_float_s(&f->room, &f->s, A1, 0.95) -
                    predict_float_s(&f->room, &f->s, A1, 0.50) <
                6 * DAY_S);
    jobs_deinit(&f->jobs);
    jobs_derive(&f->room, &f->s, at(1, 7), 100, &f->jobs);
    for (size_t i = 0; i < f->jobs.n; i++) {
        if (f->jobs.job[i].kind == TASK_CHECK) {
            assert_int_equal(f->jobs.job[i].earliest, day(even));
        }
    }
}

static void a_look_that_was_had_is_no_first_look(void **ctx)
{
    struct fixture *f = *ctx;
    int even;

    f->room.care_every_day[CARE_READ] = 0;
    start(f, "A1", 0);
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A1", "no", at(1, 9)));
    even = day_number(predict_float_s(&f->room, &f->s, A1, 0.50));
    assert_int_equal(job_of(f, at(even - 20, 10), TASK_CHECK, "A1")->earliest, day(even));
}

/* The reading that comes first tells the level as well; the second is for its figures. */
static void a_reading_replaces_the_first_look_only_if_it_comes_in_time(void **ctx)
{
    struct fixture *f = *ctx;
    int latest;

    f->room.care_every_day[CARE_READ] = 0;
    start(f, "A1", 0);
    latest = job_of(f, at(1, 7), TASK_CHECK, "A1")->latest - 20513;
    f->room.care_every_day[CARE_READ] = latest;
    assert_null(job_of(f, at(1, 7), TASK_CHECK, "A1"));
    f->room.care_every_day[CARE_READ] = latest + 1;
    assert_non_null(job_of(f, at(1, 7), TASK_CHECK, "A1"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_container_with_a_day_starts_on_it),
        TEST(what_was_cleaned_starts_again_the_day_after),
        TEST(what_is_not_planted_again_does_not_start_again),
        TEST(a_look_is_asked_for_when_the_float_is_likely_open),
        TEST(a_first_look_comes_well_before),
        TEST(a_float_line_that_is_past_has_no_day),
        TEST(a_first_reading_in_time_is_the_first_look),
        TEST(after_not_yet_it_is_looked_at_again_in_two_days_or_more),
        TEST(a_seedling_can_wait_in_its_tray_for_a_week),
        TEST(a_container_that_grows_something_or_is_dirty_is_not_started),
        TEST(the_day_of_the_room_file_is_for_the_first_planting_only),
        TEST(a_harvest_has_the_window_of_its_crop),
        TEST(a_harvested_container_is_cleaned_within_three_days),
        TEST(nobody_looks_at_a_float_that_works_or_a_tub_that_is_drained),
        TEST(the_look_at_the_float_goes_by_the_odds_that_it_is_open),
        TEST(not_yet_means_two_days_of_peace),
        TEST(the_first_look_keeps_clear_of_the_second),
        TEST(a_sure_forecast_wants_no_first_look),
        TEST(a_look_that_was_had_is_no_first_look),
        TEST(a_reading_replaces_the_first_look_only_if_it_comes_in_time),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
