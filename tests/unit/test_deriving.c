/* What holds for jobs of every kind: put off, dropped, days off, the horizon. */
#include "tests/unit/a_working_room.h"

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

static void what_is_put_off_comes_on_its_day_at_the_soonest(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30); /* the change: 37 to 44 */
    hold(f, ENTRY_DEFERRED, "A1", "change", 1, day(40), at(31, 9));
    assert_window(job_of(f, at(31, 10), TASK_CHANGE, "A1"), day(40), day(44), day(44));
    hold(f, ENTRY_DEFERRED, "A1", "change", 1, day(47), at(31, 9));
    assert_window(job_of(f, at(31, 10), TASK_CHANGE, "A1"), day(47), day(47), day(47));
    hold(f, ENTRY_DEFERRED, "A1", "change", 1, day(35), at(31, 9)); /* sooner than it is wanted */
    assert_window(job_of(f, at(31, 10), TASK_CHANGE, "A1"), day(37), day(44), day(44));
    hold(f, ENTRY_DEFERRED, "A1", "change", 2, day(47), at(31, 9)); /* not this one */
    assert_window(job_of(f, at(31, 10), TASK_CHANGE, "A1"), day(37), day(44), day(44));
}

static void a_dropped_job_is_back_on_the_day_on_which_its_rest_is_over(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    hold(f, ENTRY_DROPPED, "A1", "change", 1, day(40), at(31, 9));
    assert_null(job_of(f, at(39, 23), TASK_CHANGE, "A1"));
    /* Its window is its own again: dropping it moved nothing. */
    assert_window(job_of(f, at(40, 7), TASK_CHANGE, "A1"), day(37), day(44), day(44));
}

/* A look-ahead of four weeks: what may be done on its last day is in it. */
static void the_horizon_ends_before_its_last_day_is_over(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.container[A1].start_on = day(27);
    assert_non_null(job_of(f, at(0, 7), TASK_START, "A1"));
    f->room.container[A1].start_on = day(28);
    assert_null(job_of(f, at(0, 7), TASK_START, "A1"));
}

/* Care of a float: wanted on day 14, from three days before to seven after. */
static void what_falls_on_days_off_is_done_on_the_nearest_day_before(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    assert_window(job_of(f, at(1, 7), TASK_CARE, "A1"), day(11), day(14), day(21));
    nobody_works(f, 13, 15);
    assert_window(job_of(f, at(1, 7), TASK_CARE, "A1"), day(11), day(12), day(21));
    nobody_works(f, 14, 16); /* the day before is the nearest, and the last day stands */
    assert_window(job_of(f, at(1, 7), TASK_CARE, "A1"), day(11), day(13), day(21));
    nobody_works(f, 19, 25); /* so is the last day on which it may be done */
    assert_window(job_of(f, at(1, 7), TASK_CARE, "A1"), day(11), day(14), day(18));
}

static void what_cannot_be_done_before_days_off_is_done_after_them(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    nobody_works(f, 9, 16); /* the window begins among them */
    assert_window(job_of(f, at(1, 7), TASK_CARE, "A1"), day(11), day(17), day(21));
    assert_window(job_of(f, at(10, 7), TASK_CARE, "A1"), day(11), day(17), day(21));
}

/* All of the window is off: sooner than that if somebody is there still, else on the day after. */
static void a_window_that_is_all_off_is_left_for_the_day_before_it_or_after(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    nobody_works(f, 10, 24);
    assert_window(job_of(f, at(5, 7), TASK_CARE, "A1"), day(9), day(9), day(9));
    assert_window(job_of(f, at(9, 7), TASK_CARE, "A1"), day(9), day(9), day(9));
    assert_window(job_of(f, at(10, 7), TASK_CARE, "A1"), day(25), day(25), day(25));
}

/* Done this morning, it is not asked for again today only because its next day is off. */
static void nothing_is_brought_forward_to_the_day_on_which_it_was_done(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    f->room.care_every_day[CARE_FLOAT] = 5; /* from two days after the last to twelve */
    tell(f, told_at(ENTRY_CARED_FOR, "A1", "float", at(14, 9)));
    nobody_works(f, 15, 30);
    assert_window(job_of(f, at(14, 10), TASK_CARE, "A1"), day(31), day(31), day(31));
    nobody_works(f, 16, 30);
    assert_window(job_of(f, at(14, 10), TASK_CARE, "A1"), day(15), day(15), day(15));
}

static void nothing_is_brought_forward_from_the_day_to_which_it_was_put_off(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    hold(f, ENTRY_DEFERRED, "A1", "change", 1, day(40), at(31, 9));
    nobody_works(f, 40, 50);
    assert_window(job_of(f, at(33, 7), TASK_CHANGE, "A1"), day(51), day(51), day(51));
}

/* What is late stays as late as it is: that today is off does not make it any better. */
static void what_is_late_keeps_its_day(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    assert_window(job_of(f, at(20, 7), TASK_CARE, "A1"), day(11), day(14), day(21));
    assert_window(job_of(f, at(30, 7), TASK_CARE, "A1"), day(11), day(14), day(30));
    nobody_works(f, 20, 22);
    assert_window(job_of(f, at(19, 7), TASK_CARE, "A1"), day(11), day(14), day(19));
}

/* Nobody comes for two months after it, and longer than that work is not put off. */
static void work_waits_for_sixty_days_off_and_no_longer(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    nobody_works(f, 5, 70); /* the day after is sixty days after the beginning of the window */
    assert_null(job_of(f, at(5, 7), TASK_CARE, "A1")); /* beyond the horizon */
    jobs_deinit(&f->jobs);
    jobs_derive(&f->room, &f->s, at(5, 7), 100, &f->jobs);
    for (size_t i = 0; i < f->jobs.n; i++) {
        if (f->jobs.job[i].kind == TASK_CARE) {
            assert_int_equal(f->jobs.job[i].due, day(71));
            break;
        }
        assert_true(i + 1 < f->jobs.n);
    }
    nobody_works(f, 5, 71);
    assert_window(job_of(f, at(5, 7), TASK_CARE, "A1"), day(11), day(14), day(21));
}

/* An empty reservoir cannot wait: with no working day before, it stands on the day
 * off all the same. */
static void what_keeps_plants_alive_is_asked_for_on_a_day_off(void **ctx)
{
    struct fixture *f = *ctx;

    fill(f, 0, 90);
    tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(3, 9)));
    nobody_works(f, 4, 6);
    assert_window(job_of(f, at(5, 10), TASK_FILL, "reservoir"), day(3), day(3), day(3));
}

/* Put off to a day off, past its window, with no day for it before: that day is all there is. */
static void what_cannot_wait_stands_on_the_day_off_that_it_was_put_off_to(void **ctx)
{
    struct fixture *f = *ctx;

    fill(f, 0, 90);
    tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(3, 9)));
    hold(f, ENTRY_DEFERRED, "reservoir", "fill",
         job_of(f, at(3, 10), TASK_FILL, "reservoir")->cycle, day(6), at(3, 10));
    nobody_works(f, 5, 8);
    assert_window(job_of(f, at(4, 10), TASK_FILL, "reservoir"), day(6), day(6), day(6));
}

static void a_job_that_was_never_done_says_so(void **ctx)
{
    struct fixture *f = *ctx;

    start(f, "A1", 0);
    f->room.container[A2].start_on = day(3);
    assert_int_equal(job_of(f, at(1, 7), TASK_START, "A2")->done_on, DAY_NONE);
    assert_int_equal(job_of(f, at(1, 7), TASK_CALIBRATE, "ph-pen")->done_on, DAY_NONE);
    assert_int_equal(job_of(f, at(1, 7), TASK_CARE, "A1")->done_on, day(0));
}

static void jobs_come_by_kind_and_then_by_subject(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A2", 30);
    on_float(f, "A1", 30);
    (void)job_of(f, at(31, 7), TASK_LOOK, "A1");
    assert_true(f->jobs.n > 4);
    for (size_t i = 1; i < f->jobs.n; i++) {
        const struct job *a = &f->jobs.job[i - 1];
        const struct job *b = &f->jobs.job[i];

        assert_true(a->kind <= b->kind);
        assert_true(a->kind < b->kind || a->subject.kind != b->subject.kind ||
                    a->subject.at < b->subject.at);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(what_is_put_off_waits_and_what_is_dropped_rests),
        TEST(a_new_planting_forgets_what_was_put_off_in_the_last),
        TEST(what_is_put_off_comes_on_its_day_at_the_soonest),
        TEST(a_dropped_job_is_back_on_the_day_on_which_its_rest_is_over),
        TEST(the_horizon_ends_before_its_last_day_is_over),
        TEST(what_falls_on_days_off_is_done_on_the_nearest_day_before),
        TEST(what_cannot_be_done_before_days_off_is_done_after_them),
        TEST(a_window_that_is_all_off_is_left_for_the_day_before_it_or_after),
        TEST(nothing_is_brought_forward_to_the_day_on_which_it_was_done),
        TEST(nothing_is_brought_forward_from_the_day_to_which_it_was_put_off),
        TEST(what_is_late_keeps_its_day),
        TEST(work_waits_for_sixty_days_off_and_no_longer),
        TEST(what_keeps_plants_alive_is_asked_for_on_a_day_off),
        TEST(what_cannot_wait_stands_on_the_day_off_that_it_was_put_off_to),
        TEST(a_job_that_was_never_done_says_so),
        TEST(jobs_come_by_kind_and_then_by_subject),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
