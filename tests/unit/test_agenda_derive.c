/* The tasks of the coming days: what other work does as well is left out, and each
 * day has its order. */
#include "daemon/core/tasks/jobs.h"
#include "tests/unit/a_planned_room.h"

static void a_new_room_is_to_be_filled_calibrated_and_started(void **ctx)
{
    struct fixture *f = *ctx;

    plan(f, at(0, 7));
    assert_non_null(task_of(f, TASK_FILL));
    assert_non_null(task_of(f, TASK_CALIBRATE));
    assert_non_null(task_of(f, TASK_START));
    assert_null(task_of(f, TASK_CHANGE));
    for (size_t i = 0; i < f->agenda.n; i++) {
        assert_int_equal(f->agenda.task[i].id, i + 1); /* numbered in the order of the work */
    }
}

static void containers_that_start_alike_start_together(void **ctx)
{
    struct fixture *f = *ctx;

    plan(f, at(0, 7));
    assert_int_equal(task_of(f, TASK_START)->n_jobs, 4);
    assert_int_equal(task_of(f, TASK_START)->on, 20513);
}

static void a_second_mix_of_a_day_costs_no_second_changeover(void **ctx)
{
    struct fixture *f = *ctx;
    double minutes = 0;
    size_t n = 0;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    tell(f, told_at(ENTRY_STAGE_SEEN, "A2", "fruiting", at(31, 9))); /* another recipe */
    plan(f, at(44, 7)); /* both at the end of their window */
    for (size_t i = 0; i < f->agenda.n; i++) {
        if (f->agenda.task[i].kind == TASK_CHANGE) {
            assert_int_equal(f->agenda.task[i].on, 20513 + 44);
            minutes += f->agenda.task[i].minutes;
            n++;
        }
    }
    assert_int_equal(n, 2);
    assert_true(minutes == 25 + 2 * 15 + 2 * 6); /* changeover once, two loads, two containers */
}

static void todays_list_stands_while_the_day_is_worked(void **ctx)
{
    struct fixture *f = *ctx;
    const struct task *change;
    int64_t id;
    int32_t on;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    plan(f, at(38, 7));
    id = task_of(f, TASK_CHANGE)->id;
    on = task_of(f, TASK_CHANGE)->on;
    f->today_stands = true;
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(on - 20513, 8)), FIGURE_EC_MS_CM, 0.95));
    plan(f, at(on - 20513, 9)); /* its solution lasts, as it turns out */
    change = agenda_find(&f->agenda, id);
    assert_non_null(change);
    assert_int_equal(change->on, on);
    assert_int_equal(change->n_jobs, 2);
}

static void work_is_moved_from_days_off(void **ctx)
{
    struct fixture *f = *ctx;
    int32_t due;

    on_float(f, "A1", 30);
    plan(f, at(33, 7));
    due = task_of(f, TASK_CHANGE)->on;
    f->room.labour.off = mem_array(1, sizeof *f->room.labour.off);
    f->room.labour.off[0] = (struct days){due, due + 1};
    f->room.labour.n_off = 1;
    plan(f, at(33, 7));
    for (size_t i = 0; i < f->agenda.n; i++) {
        assert_false(room_is_off(&f->room, f->agenda.task[i].on));
    }
    assert_int_equal(task_of(f, TASK_CHANGE)->on, due - 1); /* before its latest day is over */
}

static void work_that_is_due_on_days_off_only_comes_before_them(void **ctx)
{
    struct fixture *f = *ctx;
    struct room *room = &f->room;

    on_float(f, "A1", 30);
    room->labour.off = mem_array(1, sizeof *room->labour.off);
    room->labour.off[0] = (struct days){20513 + 37, 20513 + 60};
    room->labour.n_off = 1;
    plan(f, at(36, 7));
    for (size_t i = 0; i < f->agenda.n; i++) {
        assert_false(room_is_off(room, f->agenda.task[i].on));
    }
    assert_int_equal(task_of(f, TASK_CHANGE)->on, 20513 + 36);
}

static void a_fill_that_can_wait_for_a_change_is_not_asked_for(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(37, 8)), FIGURE_VOLUME_L, 40));
    sure_of_all(f);
    plan(f, at(44, 7)); /* the last day for the change */
    assert_int_equal(task_of(f, TASK_CHANGE)->on, 20513 + 44);
    assert_null(task_of(f, TASK_FILL));
}

/* The source's tank is empty, and the mix takes what the reservoir has: the fill has
 * to come before. */
static void a_fill_is_asked_for_where_the_change_leaves_too_little(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    f->room.source.stored_l = 0;
    f->room.source.rate_l_h = 0.5;
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(42, 8)), FIGURE_VOLUME_L,
                 f->room.reservoir.remainder_l + 6));
    plan(f, at(44, 7));
    assert_non_null(task_of(f, TASK_CHANGE));
    assert_false(task_of(f, TASK_CHANGE)->fills);
    assert_non_null(task_of(f, TASK_FILL));
}

static void nothing_is_read_that_a_change_will_measure(void **ctx)
{
    struct fixture *f = *ctx;
    size_t n = 0;

    f->room.labour.visit_min = 0; /* each on its own day */
    on_float(f, "A1", 30);
    start(f, "L1", 38);
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(38, 9)), FIGURE_EC_MS_CM, 0.6));
    plan(f, at(38, 10)); /* a week later both would be due: a day after the change of A1 */
    assert_int_equal(task_of(f, TASK_CHANGE)->on, 20513 + 44);
    for (size_t i = 0; i < f->agenda.n; i++) {
        const struct task *t = &f->agenda.task[i];

        for (size_t k = 0; t->kind == TASK_READ && k < t->n_jobs; k++) {
            if (t->job[k].subject.kind == SUBJECT_CONTAINER) {
                assert_string_equal(room_subject_name(&f->room, t->job[k].subject), "L1");
                n++;
            }
        }
    }
    assert_int_equal(n, 1);
}

static void a_small_change_is_mixed_in_a_jug_where_there_is_one(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    f->room.measures.jug_l = 10;
    f->room.labour.pour_min = 10;
    plan(f, at(38, 7));
    assert_true(task_of(f, TASK_CHANGE)->by_hand);
    assert_true(task_of(f, TASK_CHANGE)->mix_l == 7.5); /* up to the float line and no more */
    assert_true(task_of(f, TASK_CHANGE)->minutes == 10 + 6);
}

static void the_window_of_a_task_is_one(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    start(f, "L1", 5);
    for (int day = 31; day < 130; day++) {
        plan(f, at(day, 7));
        for (size_t i = 0; i < f->agenda.n; i++) {
            const struct task *t = &f->agenda.task[i];

            assert_true(t->earliest <= t->due && t->due <= t->latest);
            assert_true(t->on >= 20513 + day);
            assert_true(t->n_jobs > 0 && t->id > 0 && *t->why);
        }
    }
}

/* What is wrong, then meters, readings, pH, floats, strengths, changes, and so on (task_kind.h). */
static void a_day_is_worked_in_the_order_of_a_morning(void **ctx)
{
    struct fixture *f = *ctx;
    bool several = false;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    on_float(f, "A3", 30);
    fill(f, 31, 60);
    f->room.care_every_day[CARE_VALVE] = 14;
    tell(f, with(told_at(ENTRY_READING, "A1", "", at(33, 9)), FIGURE_VOLUME_L, 9.4));
    plan(f, at(44, 7));
    for (size_t i = 1; i < f->agenda.n; i++) {
        const struct task *a = &f->agenda.task[i - 1];
        const struct task *b = &f->agenda.task[i];

        assert_true(a->on <= b->on);
        assert_true(a->on < b->on ||
                    task_kinds[a->kind].morning_rank <= task_kinds[b->kind].morning_rank);
        several = several || (a->on == b->on && a->kind != b->kind);
    }
    assert_true(several);
    assert_int_equal(f->agenda.task[0].kind, TASK_LOOK);
}

/* Two pH jobs of one day: as the room file has the containers; the reservoir is before them. */
static void alike_tasks_of_a_day_come_as_the_room_has_them(void **ctx)
{
    static const char *const order[] = {"reservoir", "A1", "A2", "A3"};
    struct fixture *f = *ctx;
    size_t n = 0;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    on_float(f, "A3", 30);
    fill(f, 31, 60);
    for (size_t i = 0; i < 4; i++) {
        tell(f, with(told_at(ENTRY_READING, order[3 - i], "", at(32, 9)), FIGURE_PH, 7.1));
    }
    plan(f, at(32, 10));
    for (size_t i = 0; i < f->agenda.n; i++) {
        if (f->agenda.task[i].kind == TASK_PH) {
            assert_string_equal(room_subject_name(&f->room, f->agenda.task[i].job[0].subject),
                                order[n++]);
        }
    }
    assert_int_equal(n, 4);
}

static void weak_mixes_are_made_before_strong_ones(void **ctx)
{
    struct fixture *f = *ctx;
    double last = 0;
    size_t n = 0;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    tell(f, with(told_at(ENTRY_BUMPED, "A1", "", at(32, 9)), FIGURE_EC_MS_CM, 1.4));
    tell(f, with(told_at(ENTRY_BUMPED, "A2", "", at(32, 9)), FIGURE_EC_MS_CM, 0.3));
    f->room.crop[VINE].stage[0].ec_ms_cm = 1.8; /* 1.1 and 0.7: a step at most */
    plan(f, at(44, 7));
    for (size_t i = 0; i < f->agenda.n; i++) {
        if (f->agenda.task[i].kind == TASK_CHANGE) {
            assert_int_equal(f->agenda.task[i].on, day(44));
            assert_true(f->agenda.task[i].mix_ec_ms_cm > last);
            last = f->agenda.task[i].mix_ec_ms_cm;
            n++;
        }
    }
    assert_int_equal(n, 2);
}

/* Spent on the very day of its change: the change is enough. A bump that is wanted
 * before it is not. */
static void nothing_is_bumped_that_a_change_renews(void **ctx)
{
    struct fixture *f = *ctx;
    const struct task *bump;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    refill(f, "A1", 70, 1.1);
    plan(f, at(71, 7));
    bump = task_with(f, TASK_BUMP, "A1");
    assert_non_null(bump);
    assert_true(bump->job[0].latest < task_with(f, TASK_CHANGE, "A1")->on);
    plan(f, at(84, 7)); /* the last day of its life, and spent long since */
    assert_int_equal(task_with(f, TASK_CHANGE, "A1")->on, day(84));
    assert_null(task_with(f, TASK_BUMP, "A1"));
}

/* The reservoir is read by itself: what is done to the first container is not done to it. */
static void a_change_reads_no_reservoir(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    fill(f, 31, 60);
    plan(f, at(44, 7));
    assert_non_null(task_with(f, TASK_CHANGE, "A1"));
    assert_non_null(task_with(f, TASK_READ, "reservoir"));
    assert_null(task_with(f, TASK_READ, "A1"));
}

static void a_bump_measures_what_a_reading_would(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1", 30);
    f->room.care_every_day[CARE_READ] = 2;
    refill(f, "A1", 70, 1.1);
    plan(f, at(70, 10)); /* a bump tomorrow */
    assert_non_null(task_with(f, TASK_BUMP, "A1"));
    assert_null(task_with(f, TASK_READ, "A1"));
}

/* Somebody is there anyway the day before: the fill goes with that, on the last such
 * day of its window. */
static void a_fill_goes_with_other_work(void **ctx)
{
    struct fixture *f = *ctx;
    const struct task *t;
    int32_t last = DAY_NONE;
    int32_t due = DAY_NONE;
    struct jobs jobs = {0};

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    on_float(f, "A3", 30);
    fill(f, 45, 95);
    f->room.care_every_day[CARE_READ] = 0;
    for (int k = 0; k < 2; k++) { /* no change comes that would fill it */
        f->room.crop[VINE].stage[k].life_min_day = 60;
        f->room.crop[VINE].stage[k].life_max_day = 70;
    }
    plan(f, at(46, 7));
    t = task_of(f, TASK_FILL);
    jobs_derive(&f->room, &f->s, at(46, 7), 28, &jobs);
    for (size_t i = 0; i < jobs.n; i++) {
        due = jobs.job[i].kind == TASK_FILL ? jobs.job[i].due : due;
    }
    jobs_deinit(&jobs);
    assert_non_null(t);
    for (size_t i = 0; i < f->agenda.n; i++) {
        const struct task *o = &f->agenda.task[i];

        if (o != t && o->on >= t->earliest && o->on <= due && o->on > last) {
            last = o->on;
        }
    }
    assert_int_equal(t->on, last == DAY_NONE ? due : last);
}

/* On today's list since this morning, though by now it could be later: it stays. */
static void what_is_on_todays_list_stays_on_it(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t id;

    f->room.labour.visit_min = 0; /* each on its own day */
    f->room.care_every_day[CARE_READ] = 0;
    start(f, "A1", 0);
    plan(f, at(14, 7)); /* the care of its float is due */
    id = task_of(f, TASK_CARE)->id;
    assert_int_equal(task_of(f, TASK_CARE)->on, day(14));
    f->room.care_every_day[CARE_FLOAT] = 16;
    plan(f, at(14, 9)); /* a new list would have it on its day */
    assert_int_equal(task_of(f, TASK_CARE)->on, day(16));
    f->room.care_every_day[CARE_FLOAT] = 14;
    plan(f, at(14, 10));
    f->today_stands = true;
    f->room.care_every_day[CARE_FLOAT] = 16;
    plan(f, at(14, 11));
    assert_int_equal(agenda_find(&f->agenda, id)->on, day(14));
    f->room.care_every_day[CARE_FLOAT] = 20; /* not before the 17th: it may not be done today */
    plan(f, at(14, 12));
    assert_int_equal(agenda_find(&f->agenda, id)->on, day(20));
}

static void nothing_is_pinned_that_was_for_another_day(void **ctx)
{
    struct fixture *f = *ctx;

    f->room.labour.visit_min = 0; /* each on its own day */
    f->room.care_every_day[CARE_READ] = 0;
    start(f, "A1", 0);
    plan(f, at(12, 7));
    assert_int_equal(task_of(f, TASK_CARE)->on, day(14));
    f->today_stands = true;
    plan(f, at(12, 9)); /* it might be done today, and is not on the list */
    assert_int_equal(task_of(f, TASK_CARE)->on, day(14));
}

/* No change in the weeks ahead, a float to be seen to every so many days, and a fill that is due
 * on `*out_due` and may be done from `*out_earliest` on. */
static void a_fill_among_visits(struct fixture *f, double care_day, int32_t *out_earliest,
                                int32_t *out_due)
{
    struct jobs jobs = {0};

    for (int k = 0; k < 2; k++) {
        f->room.crop[VINE].stage[k].life_min_day = 60;
        f->room.crop[VINE].stage[k].life_max_day = 70;
        f->room.crop[VINE].stage[k].spent_frac = 0; /* never */
        f->room.crop[VINE].stage[k].bump_frac = 0;
    }
    for (int k = 0; k < CARE_KIND_N; k++) {
        f->room.care_every_day[k] = 0;
    }
    for (size_t i = 0; i < f->room.n_containers; i++) {
        f->room.container[i].start_on = DAY_NONE;
    }
    f->room.n_meters = f->s.n_meters = 0;
    f->room.care_every_day[CARE_FLOAT] = care_day;
    plan(f, at(46, 7));
    jobs_derive(&f->room, &f->s, at(46, 7), 28, &jobs);
    *out_due = *out_earliest = DAY_NONE;
    for (size_t i = 0; i < jobs.n; i++) {
        if (jobs.job[i].kind == TASK_FILL) {
            *out_due = jobs.job[i].due;
            *out_earliest = jobs.job[i].earliest;
        }
    }
    jobs_deinit(&jobs);
    assert_true(*out_due > *out_earliest);
}

/* Seen to last on day 45, so that the care can be due on any day after: one way serves both. */
static void a_fill_and_what_is_due_about_then_are_one_visit(void **ctx)
{
    struct fixture *f = *ctx;
    int32_t earliest;
    int32_t due;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    fill(f, 45, 95);
    sure_of_all(f);
    f->s.container[A1].curve = f->s.container[A2].curve = f->room.crop[VINE].use;
    tell(f, told_at(ENTRY_CARED_FOR, "A1", "float", at(45, 9)));
    tell(f, told_at(ENTRY_CARED_FOR, "A2", "float", at(45, 9)));
    f->room.labour.visit_min = 0;
    a_fill_among_visits(f, 0, &earliest, &due);
    assert_int_equal(task_of(f, TASK_FILL)->on, due); /* a way costs nothing */
    f->room.labour.visit_min = 10;
    for (int32_t visit = earliest - 1; visit <= due + 1; visit++) {
        a_fill_among_visits(f, visit - day(45), &earliest, &due);
        assert_in_range(task_of(f, TASK_FILL)->on, earliest, due);
        assert_int_equal(task_of(f, TASK_CARE)->on, task_of(f, TASK_FILL)->on);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_new_room_is_to_be_filled_calibrated_and_started),
        TEST(containers_that_start_alike_start_together),
        TEST(a_second_mix_of_a_day_costs_no_second_changeover),
        TEST(todays_list_stands_while_the_day_is_worked),
        TEST(work_is_moved_from_days_off),
        TEST(work_that_is_due_on_days_off_only_comes_before_them),
        TEST(a_fill_that_can_wait_for_a_change_is_not_asked_for),
        TEST(a_fill_is_asked_for_where_the_change_leaves_too_little),
        TEST(nothing_is_read_that_a_change_will_measure),
        TEST(a_small_change_is_mixed_in_a_jug_where_there_is_one),
        TEST(the_window_of_a_task_is_one),
        TEST(a_day_is_worked_in_the_order_of_a_morning),
        TEST(alike_tasks_of_a_day_come_as_the_room_has_them),
        TEST(weak_mixes_are_made_before_strong_ones),
        TEST(nothing_is_bumped_that_a_change_renews),
        TEST(a_change_reads_no_reservoir),
        TEST(a_bump_measures_what_a_reading_would),
        TEST(a_fill_goes_with_other_work),
        TEST(what_is_on_todays_list_stays_on_it),
        TEST(nothing_is_pinned_that_was_for_another_day),
        TEST(a_fill_and_what_is_due_about_then_are_one_visit),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
