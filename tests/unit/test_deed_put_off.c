/* Tasks that are put off or dropped. */
#include "tests/unit/a_deed.h"

static void putting_off_beyond_the_window_needs_a_reason(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    assert_int_equal(deed_defer(&f->room, &f->s, &f->task, 20555, &f->d, &f->out, &f->err), 0);
    assert_int_equal(f->out.entry[0].until_day, 20555);
    assert_string_equal(f->out.entry[0].what, "change");
    entries_deinit(&f->out);
    assert_int_equal(deed_defer(&f->room, &f->s, &f->task, 20558, &f->d, &f->out, &f->err),
                     ERR_MISSING);
    assert_string_equal(f->err.field, "why");
    f->d.note = "the pump is away";
    assert_int_equal(deed_defer(&f->room, &f->s, &f->task, 20558, &f->d, &f->out, &f->err), 0);
    entries_deinit(&f->out);
    assert_int_equal(deed_defer(&f->room, &f->s, &f->task, 20552, &f->d, &f->out, &f->err),
                     ERR_RANGE);
}

static void dropping_needs_a_reason_and_rests_the_job(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    assert_int_equal(deed_drop(&f->room, &f->s, &f->task, &f->d, &f->out, &f->err), ERR_MISSING);
    f->d.note = "harvested early";
    assert_int_equal(deed_drop(&f->room, &f->s, &f->task, &f->d, &f->out, &f->err), 0);
    assert_int_equal(f->out.entry[0].until_day, 20513 + 40 + 7); /* a solution's shortest life */
}

static int defer(struct deed_fixture *f, int32_t to)
{
    entries_deinit(&f->out);
    return deed_defer(&f->room, &f->s, &f->task, to, &f->d, &f->out, &f->err);
}

static int32_t dropped_until(struct deed_fixture *f, enum task_kind kind, enum subject_kind of)
{
    a_task(f, kind, 1);
    f->job[0].subject = (struct subject){of, 0};
    f->d.note = "for once";
    entries_deinit(&f->out);
    assert_int_equal(deed_drop(&f->room, &f->s, &f->task, &f->d, &f->out, &f->err), 0);
    assert_int_equal(f->out.n, 1);
    assert_int_equal(f->out.entry[0].kind, ENTRY_DROPPED);
    return f->out.entry[0].until_day;
}

/* Day 40 is 20553; the task may wait until 20556. */
static void a_task_is_put_off_to_today_or_later(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    assert_int_equal(defer(f, 20553), 0);
    assert_int_equal(defer(f, 20552), ERR_RANGE);
    assert_string_equal(f->err.field, "to");
    assert_string_equal(f->err.msg, "Thu 9 Apr lies in the past");
    assert_int_equal(defer(f, 20556), 0); /* its latest day */
    assert_int_equal(defer(f, 20557), ERR_MISSING);
    assert_string_equal(f->err.msg,
                        "Tue 14 Apr is later than task 41 bears (Mon 13 Apr); say why to "
                        "put it off all the same");
}

static void what_is_put_off_keeps_its_cycle_and_its_reason(void **ctx)
{
    struct deed_fixture *f = *ctx;
    const char *only[] = {"A2"};

    on_float(f, "A1");
    on_float(f, "A2");
    a_task(f, TASK_CHANGE, 2);
    f->job[1].cycle = 7;
    f->d.note = "nobody is in";
    assert_int_equal(defer(f, 20555), 0);
    assert_int_equal(f->out.n, 2);
    assert_string_equal(f->out.entry[0].subject, "A1");
    f->d.only = only;
    f->d.n_only = 1;
    assert_int_equal(defer(f, 20555), 0);
    assert_int_equal(f->out.n, 1);
    assert_int_equal(f->out.entry[0].kind, ENTRY_DEFERRED);
    assert_string_equal(f->out.entry[0].subject, "A2");
    assert_int_equal(f->out.entry[0].cycle, 7);
    assert_int_equal(f->out.entry[0].task, 41);
    assert_string_equal(f->out.entry[0].note, "nobody is in");
    f->d.n_only = 0;
    assert_int_equal(defer(f, 20555), ERR_MISSING);
    assert_string_equal(f->err.msg, "task 41: name at least one of its things");
    only[0] = "L1";
    f->d.n_only = 1;
    assert_int_equal(defer(f, 20555), ERR_UNKNOWN);
    assert_string_equal(f->err.msg, "task 41 (change) is not about 'L1'");
}

/* By the room's rhythms (a_room.h): read every 7 days, calibrate every 14; for the rest common
 * practice. */
static void what_is_dropped_rests_as_long_as_its_rhythm(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    assert_int_equal(dropped_until(f, TASK_READ, SUBJECT_CONTAINER), 20553 + 7);
    assert_int_equal(dropped_until(f, TASK_CALIBRATE, SUBJECT_METER), 20553 + 14);
    assert_int_equal(dropped_until(f, TASK_CHANGE, SUBJECT_CONTAINER), 20553 + 7);
    assert_int_equal(dropped_until(f, TASK_CHECK, SUBJECT_CONTAINER), 20553 + 3);
    assert_int_equal(dropped_until(f, TASK_PH, SUBJECT_CONTAINER), 20553 + 2);
    assert_int_equal(dropped_until(f, TASK_FILL, SUBJECT_RESERVOIR), 20553 + 1);
    assert_int_equal(dropped_until(f, TASK_HARVEST, SUBJECT_CONTAINER), 20553 + 7);
    assert_int_equal(dropped_until(f, TASK_LOOK, SUBJECT_CONTAINER), 20553 + 3);
    assert_int_equal(dropped_until(f, TASK_START, SUBJECT_CONTAINER), DAY_NONE);
    assert_int_equal(dropped_until(f, TASK_BUMP, SUBJECT_CONTAINER), DAY_NONE);
    assert_int_equal(dropped_until(f, TASK_REORDER, SUBJECT_PRODUCT), DAY_NONE);
}

static void care_rests_as_long_as_that_kind_of_care(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CARE, 1);
    f->job[0].care = CARE_FLOAT;
    f->d.note = "they are new";
    assert_int_equal(deed_drop(&f->room, &f->s, &f->task, &f->d, &f->out, &f->err), 0);
    assert_int_equal(f->out.entry[0].until_day, 20553 + 14);
    assert_string_equal(f->out.entry[0].what, "care float");
    entries_deinit(&f->out);
    f->job[0].care = CARE_VALVE; /* the room never asks for it: it rests a day all the same */
    assert_int_equal(deed_drop(&f->room, &f->s, &f->task, &f->d, &f->out, &f->err), 0);
    assert_int_equal(f->out.entry[0].until_day, 20553 + 1);
    entries_deinit(&f->out);
    f->room.care_every_day[CARE_VALVE] = 2.5;
    assert_int_equal(deed_drop(&f->room, &f->s, &f->task, &f->d, &f->out, &f->err), 0);
    assert_int_equal(f->out.entry[0].until_day, 20553 + 3);
}

static void dropping_without_a_reason_is_asked_back(void **ctx)
{
    struct deed_fixture *f = *ctx;

    on_float(f, "A1");
    a_task(f, TASK_CHANGE, 1);
    assert_int_equal(deed_drop(&f->room, &f->s, &f->task, &f->d, &f->out, &f->err), ERR_MISSING);
    assert_string_equal(f->err.field, "why");
    assert_string_equal(f->err.msg, "say why task 41 is dropped");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        DEED_TEST(putting_off_beyond_the_window_needs_a_reason),
        DEED_TEST(dropping_needs_a_reason_and_rests_the_job),
        DEED_TEST(a_task_is_put_off_to_today_or_later),
        DEED_TEST(what_is_put_off_keeps_its_cycle_and_its_reason),
        DEED_TEST(what_is_dropped_rests_as_long_as_its_rhythm),
        DEED_TEST(care_rests_as_long_as_that_kind_of_care),
        DEED_TEST(dropping_without_a_reason_is_asked_back),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
