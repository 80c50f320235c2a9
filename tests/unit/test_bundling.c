/* Which jobs are done in one go, and what window, labour and reason the task has then. */
#include "daemon/core/tasks/bundling.h"
#include "tests/unit/a_planned_room.h"

/* Bundles on day 100 of the calendar. Ended with agenda_deinit. */
static struct bundling on_day_100(struct fixture *f)
{
    return (struct bundling){.room = &f->room, .s = &f->s, .today = 100, .out = &f->agenda};
}

static struct job job(enum task_kind kind, size_t at, int32_t earliest, int32_t due, int32_t latest)
{
    struct job j = {
        .kind = kind,
        .subject = {SUBJECT_CONTAINER, at},
        .earliest = earliest,
        .due = due,
        .latest = latest,
        .minutes = 3
    };

    (void)snprintf(j.why, sizeof j.why, "container %zu wants it", at);
    return j;
}

static void visit(struct fixture *f, struct job *jobs, size_t n)
{
    struct bundling b = on_day_100(f);
    const struct job *p[8];

    for (size_t i = 0; i < n; i++) {
        p[i] = &jobs[i];
    }
    agenda_deinit(&f->agenda);
    bundle_visits(&b, p, n);
}

static void one_visit_serves_all_that_may_be_done_on_its_day(void **ctx)
{
    struct fixture *f = *ctx;
    struct job jobs[] = {job(TASK_CHECK, A3, 101, 108, 110), job(TASK_CHECK, A1, 101, 103, 106),
                         job(TASK_CHECK, A2, 103, 105, 105)};

    visit(f, jobs, 3);
    assert_int_equal(f->agenda.n, 1);
    assert_int_equal(f->agenda.task[0].on, 103); /* when the first is due */
    assert_int_equal(f->agenda.task[0].n_jobs, 3);
    assert_int_equal(f->agenda.task[0].earliest, 103); /* the days that serve for all */
    assert_int_equal(f->agenda.task[0].due, 103);
    assert_int_equal(f->agenda.task[0].latest, 105);
    assert_true(f->agenda.task[0].minutes == 9);
    assert_string_equal(f->agenda.task[0].why,
                        "A1 is the first due of these 3: container 0 wants it");
    assert_int_equal(f->agenda.task[0].job[2].subject.at, A3); /* by their due days */
}

static void what_cannot_be_done_that_day_has_a_visit_of_its_own(void **ctx)
{
    struct fixture *f = *ctx;
    struct job jobs[] = {job(TASK_CHECK, A1, 101, 103, 106), job(TASK_CHECK, A2, 104, 105, 109)};

    visit(f, jobs, 2);
    assert_int_equal(f->agenda.n, 2);
    assert_int_equal(f->agenda.task[1].on, 105);
    assert_string_equal(f->agenda.task[0].why, "container 0 wants it");
}

/* Overdue work is worked off with what is due today; what has its day tomorrow waits. */
static void what_is_late_joins_the_first_visit(void **ctx)
{
    struct fixture *f = *ctx;
    struct job jobs[] = {job(TASK_CHECK, A1, 90, 92, 94), job(TASK_CHECK, A2, 95, 98, 99),
                         job(TASK_CHECK, A3, 100, 101, 102), job(TASK_CHECK, L1, 101, 101, 102)};

    visit(f, jobs, 4);
    assert_int_equal(f->agenda.n, 2);
    assert_int_equal(f->agenda.task[0].n_jobs, 3);
    assert_int_equal(f->agenda.task[0].on, 100); /* today */
    /* Their windows do not meet: the task's own is one all the same. */
    assert_int_equal(f->agenda.task[0].earliest, 100);
    assert_int_equal(f->agenda.task[0].due, 100);
    assert_int_equal(f->agenda.task[0].latest, 100);
    assert_int_equal(f->agenda.task[1].job[0].subject.at, L1);
}

static void what_ends_today_is_not_late(void **ctx)
{
    struct fixture *f = *ctx;
    struct job jobs[] = {job(TASK_CHECK, A1, 101, 101, 103), job(TASK_CHECK, A2, 98, 102, 100)};

    visit(f, jobs, 2); /* the visit is tomorrow, and that would be too late for the other */
    assert_int_equal(f->agenda.n, 2);
}

static void each_kind_of_care_has_a_visit_of_its_own(void **ctx)
{
    struct fixture *f = *ctx;
    struct job jobs[] = {job(TASK_CARE, A1, 101, 103, 106), job(TASK_CARE, A1, 101, 103, 106)};

    jobs[1].care = CARE_VALVE;
    visit(f, jobs, 2);
    assert_int_equal(f->agenda.n, 2);
    assert_int_equal(f->agenda.task[0].care, CARE_FLOAT);
    assert_int_equal(f->agenda.task[1].care, CARE_VALVE);
}

/* Started or strengthened together is what the same solution serves: 10 % of 1.0
 * apart (a_room.h). */
static void one_solution_serves_what_is_alike_within_the_tolerance(void **ctx)
{
    static const enum task_kind kinds[] = {TASK_START, TASK_BUMP};
    struct fixture *f = *ctx;

    for (size_t k = 0; k < 2; k++) {
        struct job jobs[] = {job(kinds[k], A1, 101, 103, 106), job(kinds[k], A2, 101, 104, 106),
                             job(kinds[k], A3, 101, 105, 106), job(kinds[k], L1, 101, 106, 106)};

        jobs[0].ec_ms_cm = 1.0;
        jobs[1].ec_ms_cm = 1.09;
        jobs[2].ec_ms_cm = 0.89;
        jobs[3].ec_ms_cm = 1.0;
        jobs[3].recipe = FRUIT;
        visit(f, jobs, 4);
        assert_int_equal(f->agenda.n, 3);
        assert_int_equal(f->agenda.task[0].n_jobs, 2);
        assert_true(f->agenda.task[0].mix_ec_ms_cm == 1.0);
        assert_int_equal(f->agenda.task[1].job[0].subject.at, A3);
        assert_int_equal(f->agenda.task[2].recipe, FRUIT);
    }
}

/* The sheet of a start says the litres of one tub: those within 2 % of it are filled by the same
 * ruler (common practice, no source). A bump has each container's litres by itself. */
static void only_tubs_that_are_alike_are_started_together(void **ctx)
{
    static const struct {
        enum task_kind kind;
        double first_l, other_l;
        size_t tasks;
    } rows[] = {
        {TASK_START, 20, 20.3, 1},
        {TASK_START, 20, 20.5, 2},
        {TASK_START, 20, 19.7, 1},
        {TASK_START, 20, 19.5, 2},
        {TASK_BUMP,  20, 10,   1},
    };
    struct fixture *f = *ctx;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct job jobs[] = {job(rows[i].kind, A1, 101, 103, 106),
                             job(rows[i].kind, A2, 101, 104, 106)};

        jobs[0].ec_ms_cm = jobs[1].ec_ms_cm = 1.0;
        jobs[0].volume_l = rows[i].first_l;
        jobs[1].volume_l = rows[i].other_l;
        visit(f, jobs, 2);
        assert_int_equal(f->agenda.n, rows[i].tasks);
    }
}

/* Whoever is due first: nobody walks to and fro between tubs. */
static void jobs_of_one_day_are_in_the_order_of_the_room(void **ctx)
{
    struct fixture *f = *ctx;
    struct job jobs[] = {job(TASK_CHECK, A2, 101, 103, 106), job(TASK_CHECK, A1, 101, 103, 106),
                         job(TASK_CHECK, L1, 101, 103, 106), job(TASK_CHECK, A3, 101, 102, 106)};

    visit(f, jobs, 4);
    assert_int_equal(f->agenda.task[0].due, 102); /* A3's */
    for (size_t i = 0; i < 4; i++) {
        assert_int_equal(f->agenda.task[0].job[i].subject.at, i);
    }
}

static void work_by_itself_is_a_task_each(void **ctx)
{
    struct fixture *f = *ctx;
    struct bundling b = on_day_100(f);
    struct job jobs[] = {job(TASK_PH, A1, 101, 103, 106), job(TASK_PH, A2, 95, 96, 97)};
    const struct job *p[] = {&jobs[0], &jobs[1]};

    bundle_singly(&b, p, 2);
    assert_int_equal(f->agenda.n, 2);
    assert_int_equal(f->agenda.task[0].on, 103);
    assert_int_equal(f->agenda.task[1].on, 100);
    assert_int_equal(f->agenda.task[1].latest, 97); /* it stays overdue */
    assert_int_equal(f->agenda.task[1].n_jobs, 1);
    assert_true(f->agenda.task[1].minutes == 3);
}

static void a_window_is_mended_to_be_one(void **ctx)
{
    static const struct {
        int32_t is[4], mended[4]; /* on, earliest, due, latest */
    } windows[] = {
        {{103, 101, 103, 106}, {103, 101, 103, 106}}, /* it is one */
        {{103, 105, 103, 106}, {103, 103, 103, 106}},
        {{103, 103, 101, 106}, {103, 103, 103, 106}},
        {{103, 103, 103, 101}, {103, 103, 103, 103}},
        {{103, 101, 105, 104}, {103, 101, 104, 104}},
    };

    (void)ctx;
    for (size_t i = 0; i < sizeof windows / sizeof *windows; i++) {
        const int32_t *is = windows[i].is;
        struct task t = {.on = is[0], .earliest = is[1], .due = is[2], .latest = is[3]};

        bundling_mend_window(&t);
        assert_int_equal(t.on, windows[i].mended[0]);
        assert_int_equal(t.earliest, windows[i].mended[1]);
        assert_int_equal(t.due, windows[i].mended[2]);
        assert_int_equal(t.latest, windows[i].mended[3]);
    }
}

/* ---- the changes, by the planner */

static void one_mix_serves_two_and_says_so(void **ctx)
{
    struct fixture *f = *ctx;
    const struct task *t;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    plan(f, at(40, 7));
    t = task_of(f, TASK_CHANGE);
    assert_int_equal(t->n_jobs, 2);
    assert_int_equal(strncmp(t->why, "one mix of 1.1", 14), 0);
    assert_non_null(
        strstr(t->why, " mS/cm serves them all; A1: 14 days on float with this solution, "));
    assert_true(t->minutes == 25 + 15 + 6 + 6); /* changeover, load, two containers */
    assert_true(t->mix_l == 15 + 2 + 5); /* … what stays in the lines, and in the reservoir */
    assert_false(t->by_hand);
}

static void a_change_alone_gives_its_own_reason(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    plan(f, at(40, 7));
    assert_string_equal(task_of(f, TASK_CHANGE)->why, task_of(f, TASK_CHANGE)->job[0].why);
}

static void a_mix_is_no_larger_than_the_reservoir(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.container[A1].float_volume_l = 94.5;
    f->room.container[A1].start_volume_l = 120;
    on_float(f, "A1", 30);
    plan(f, at(40, 7));
    assert_true(task_of(f, TASK_CHANGE)->job[0].volume_l == 94);
    assert_true(task_of(f, TASK_CHANGE)->mix_l == 100);
}

static void a_jug_needs_neither_changeover_nor_load(void **ctx)
{
    struct fixture *f = *ctx;
    const struct task *t;

    f->room.measures.jug_l = 10;
    f->room.labour.pour_min = 11;
    on_float(f, "A1", 30);
    plan(f, at(40, 7));
    t = task_of(f, TASK_CHANGE);
    assert_true(t->by_hand && !t->fills);
    assert_true(t->minutes == 11 + 6);
    assert_true(t->mix_l == 7.5);
}

/* The reservoir's 55 L and the source's 116 L are enough for 15 L and the floats;
 * without the source, and with next to nothing in the reservoir, they are not. */
static void a_change_fills_the_reservoir_if_there_is_water(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    fill(f, 38, 60);
    plan(f, at(40, 7));
    assert_true(task_of(f, TASK_CHANGE)->fills);
    f->room.source.stored_l = f->room.source.rate_l_h = 0;
    fill(f, 44, 15);
    plan(f, at(44, 9)); /* today: until another day it would be filled again */
    assert_false(task_of(f, TASK_CHANGE)->fills);
}

/* On the one day that is left to it a change serves for a fill as on any other. */
static void a_fill_is_served_by_the_change_of_its_only_day(void **ctx)
{
    struct fixture *f = *ctx;
    const struct job *fill_job;
    int32_t on;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    fill(f, 38, 40);
    plan(f, at(38, 9));
    on = task_of(f, TASK_CHANGE)->on;
    fill_job = job_of(f, at(38, 9), TASK_FILL, "reservoir");
    hold(f, ENTRY_DEFERRED, "reservoir", "fill", fill_job->cycle, on, at(38, 9));
    assert_true(fill_job->latest <= on);
    assert_window(job_of(f, at(38, 10), TASK_FILL, "reservoir"), on, on, on);
    plan(f, at(38, 10));
    assert_int_equal(task_of(f, TASK_CHANGE)->on, on);
    assert_true(task_of(f, TASK_CHANGE)->fills);
    assert_null(task_of(f, TASK_FILL));
}

/* A fill may wait for the change if that comes by its last day. */
static void a_fill_waits_for_a_change_that_comes_in_time(void **ctx)
{
    struct fixture *f = *ctx;
    int waited = 0;
    int filled = 0;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    sure_of_all(f);
    for (int litres = 60; litres > 8; litres -= 2) {
        struct jobs jobs = {0};
        const struct job *fill_job = NULL;
        const struct task *change;
        bool serves;

        fill(f, 38, litres);
        plan(f, at(38, 9));
        jobs_derive(&f->room, &f->s, at(38, 9), 28, &jobs);
        for (size_t i = 0; i < jobs.n; i++) {
            fill_job = jobs.job[i].kind == TASK_FILL ? &jobs.job[i] : fill_job;
        }
        change = task_of(f, TASK_CHANGE);
        if (fill_job && change->fills) {
            serves = change->on <= fill_job->latest;
            assert_int_equal(task_of(f, TASK_FILL) == NULL, serves);
            waited += serves;
            filled += !serves;
        }
        jobs_deinit(&jobs);
    }
    assert_true(waited > 0 && filled > 0);
}

/* A change that comes up during the day is for another day, where it may. */
static void while_todays_list_stands_new_changes_come_later(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    plan(f, at(44, 7));
    assert_int_equal(task_with(f, TASK_CHANGE, "A1")->on, day(44));
    f->today_stands = true;
    tell(f, with(told_at(ENTRY_STARTED, "A2", "vine", at(0, 9)), FIGURE_EC_MS_CM, 0.7));
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A2", "yes", at(33, 9))); /* told late: from 40 to 47 */
    plan(f, at(44, 10));
    assert_int_equal(task_with(f, TASK_CHANGE, "A1")->on, day(44));
    assert_true(task_with(f, TASK_CHANGE, "A2")->on > day(44));
    f->today_stands = false; /* a new list would have had both */
    plan(f, at(44, 11));
    assert_int_equal(task_with(f, TASK_CHANGE, "A2")->on, day(44));
}

/* So does one whose first day is today: the list was read, and the water made for it. */
static void while_todays_list_stands_what_begins_today_comes_later(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    plan(f, at(44, 7));
    f->today_stands = true;
    tell(f, with(told_at(ENTRY_STARTED, "A2", "vine", at(2, 9)), FIGURE_EC_MS_CM, 0.7));
    tell(f, told_at(ENTRY_FLOAT_SEEN, "A2", "yes", at(37, 9))); /* from 44 to 51 */
    assert_int_equal(job_of(f, at(44, 10), TASK_CHANGE, "A2")->earliest, day(44));
    plan(f, at(44, 10));
    assert_int_equal(task_with(f, TASK_CHANGE, "A1")->on, day(44));
    assert_true(task_with(f, TASK_CHANGE, "A2")->on > day(44));
}

/* What has to be done today is added to today's list all the same. */
static void what_cannot_wait_is_added_to_todays_list(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    plan(f, at(40, 7));
    f->today_stands = true;
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(40, 9)));
    plan(f, at(40, 10));
    assert_int_equal(task_with(f, TASK_CHANGE, "A1")->on, day(40));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(one_visit_serves_all_that_may_be_done_on_its_day),
        TEST(what_cannot_be_done_that_day_has_a_visit_of_its_own),
        TEST(what_is_late_joins_the_first_visit),
        TEST(what_ends_today_is_not_late),
        TEST(each_kind_of_care_has_a_visit_of_its_own),
        TEST(one_solution_serves_what_is_alike_within_the_tolerance),
        TEST(only_tubs_that_are_alike_are_started_together),
        TEST(jobs_of_one_day_are_in_the_order_of_the_room),
        TEST(work_by_itself_is_a_task_each),
        TEST(a_window_is_mended_to_be_one),
        TEST(one_mix_serves_two_and_says_so),
        TEST(a_change_alone_gives_its_own_reason),
        TEST(a_mix_is_no_larger_than_the_reservoir),
        TEST(a_jug_needs_neither_changeover_nor_load),
        TEST(a_change_fills_the_reservoir_if_there_is_water),
        TEST(a_fill_is_served_by_the_change_of_its_only_day),
        TEST(a_fill_waits_for_a_change_that_comes_in_time),
        TEST(while_todays_list_stands_new_changes_come_later),
        TEST(while_todays_list_stands_what_begins_today_comes_later),
        TEST(what_cannot_wait_is_added_to_todays_list),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
