/* Tasks keep their numbers while the plan moves under them, and say how they ended. */
#include "daemon/base/mem.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/work/task_numbers.h"
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include <math.h>
#include <stdlib.h>

struct fixture {
    struct room room;
    struct state s;
    struct agenda agenda;
    struct task_ends ends;
    bool today_stands;
};

static int set_up(void **ctx)
{
    struct fixture *f = mem_array(1, sizeof *f);

    f->room = a_room();
    state_init(&f->s, &f->room);
    f->agenda.next_id = 1;
    *ctx = f;
    return 0;
}

static int tear_down(void **ctx)
{
    struct fixture *f = *ctx;

    task_ends_deinit(&f->ends);
    agenda_deinit(&f->agenda);
    state_deinit(&f->s);
    room_deinit(&f->room);
    free(f);
    return 0;
}

static void tell(struct fixture *f, struct entry e)
{
    fold_entry(&f->s, &f->room, &e);
}

static void plan(struct fixture *f, int64_t now_s)
{
    struct agenda fresh;

    task_ends_deinit(&f->ends);
    agenda_derive(&f->room, &f->s, now_s, 28, &f->agenda, f->today_stands, &fresh);
    task_numbers_carry_over(&f->room, &f->s, now_s, &f->agenda, &fresh, &f->ends);
    agenda_deinit(&f->agenda);
    f->agenda = fresh;
}

static const struct task *task_of(const struct fixture *f, enum task_kind kind)
{
    for (size_t i = 0; i < f->agenda.n; i++) {
        if (f->agenda.task[i].kind == kind) {
            return &f->agenda.task[i];
        }
    }
    return NULL;
}

static const struct task_end *end_of(const struct fixture *f, int64_t id)
{
    for (size_t i = 0; i < f->ends.n; i++) {
        if (f->ends.end[i].id == id) {
            return &f->ends.end[i];
        }
    }
    return NULL;
}

static void start(struct fixture *f, const char *name, int64_t t_s)
{
    tell(f, with(told_at(ENTRY_STARTED, name, "vine", t_s), FIGURE_EC_MS_CM, 0.7));
}

static void on_float(struct fixture *f, const char *name)
{
    start(f, name, at(0, 9));
    tell(f, told_at(ENTRY_FLOAT_SEEN, name, "yes", at(30, 9)));
}

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

static void numbers_last_while_days_go_by(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t id;

    on_float(f, "A1");
    on_float(f, "A2");
    plan(f, at(31, 7));
    id = task_of(f, TASK_CHANGE)->id;
    for (int day = 32; day < 36; day++) {
        plan(f, at(day, 7));
        assert_int_equal(task_of(f, TASK_CHANGE)->id, id);
        assert_null(end_of(f, id));
    }
}

static void a_change_done_in_part_keeps_its_number_for_the_rest(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t id;

    on_float(f, "A1");
    on_float(f, "A2");
    plan(f, at(38, 7));
    id = task_of(f, TASK_CHANGE)->id;
    assert_int_equal(task_of(f, TASK_CHANGE)->n_jobs, 2);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 9)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "grow", at(38, 9)), FIGURE_EC_MS_CM, 1.0));
    plan(f, at(38, 10));
    assert_non_null(agenda_find(&f->agenda, id));
    assert_int_equal(agenda_find(&f->agenda, id)->n_jobs, 1);
    assert_int_equal(agenda_find(&f->agenda, id)->job[0].subject.at, A2);
}

static void a_task_that_was_done_ends_as_done(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t id;

    plan(f, at(0, 7));
    id = task_of(f, TASK_FILL)->id;
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 8)), FIGURE_VOLUME_L, 90));
    plan(f, at(0, 9));
    assert_int_equal(end_of(f, id)->outcome, OUTCOME_DONE);
    assert_null(agenda_find(&f->agenda, id));
}

static void a_task_that_was_dropped_ends_as_dropped(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_DROPPED, "A1", "change", at(38, 8));
    int64_t id;

    on_float(f, "A1");
    plan(f, at(38, 7));
    id = task_of(f, TASK_CHANGE)->id;
    e.cycle = 1;
    e.until_day = 20513 + 45;
    tell(f, e);
    plan(f, at(38, 9));
    assert_int_equal(end_of(f, id)->outcome, OUTCOME_DROPPED);
}

static void a_task_that_is_needed_no_more_is_withdrawn_with_its_reason(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t id;

    on_float(f, "A1");
    plan(f, at(38, 7));
    id = task_of(f, TASK_CHANGE)->id;
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(38, 8)));
    plan(f, at(38, 9));
    assert_int_equal(end_of(f, id)->outcome, OUTCOME_WITHDRAWN);
    assert_string_equal(end_of(f, id)->reason, "A1 was harvested on 2026-04-08");
}

static void a_number_is_never_given_twice(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t highest;

    plan(f, at(0, 7));
    highest = f->agenda.next_id - 1;
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 8)), FIGURE_VOLUME_L, 90));
    tell(f, told_at(ENTRY_RESERVOIR_RINSED, "reservoir", "", at(0, 9)));
    plan(f, at(0, 10));
    assert_true(task_of(f, TASK_FILL)->id > highest);
}

static void what_is_put_off_moves_and_keeps_its_number(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_DEFERRED, "A1", "change", at(38, 8));
    int64_t id;

    on_float(f, "A1");
    plan(f, at(38, 7));
    id = task_of(f, TASK_CHANGE)->id;
    e.cycle = 1;
    e.until_day = 20513 + 41;
    tell(f, e);
    plan(f, at(38, 9));
    assert_int_equal(task_of(f, TASK_CHANGE)->id, id);
    assert_true(task_of(f, TASK_CHANGE)->on >= 20513 + 41);
}

static void a_task_stays_on_todays_list_until_it_is_done(void **ctx)
{
    struct task t = {.on = 100, .latest = 103};

    (void)ctx;
    assert_true(task_is_on(&t, 100, 100));
    assert_true(task_is_on(&t, 105, 105));
    assert_false(task_is_on(&t, 106, 105));
    assert_false(task_is_overdue(&t, 103));
    assert_true(task_is_overdue(&t, 104));
}

static void a_second_mix_of_a_day_costs_no_second_changeover(void **ctx)
{
    struct fixture *f = *ctx;
    double minutes = 0;
    size_t n = 0;

    on_float(f, "A1");
    on_float(f, "A2");
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

    on_float(f, "A1");
    on_float(f, "A2");
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

    on_float(f, "A1");
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

    on_float(f, "A1");
    room->labour.off = mem_array(1, sizeof *room->labour.off);
    room->labour.off[0] = (struct days){20513 + 37, 20513 + 60};
    room->labour.n_off = 1;
    plan(f, at(36, 7));
    for (size_t i = 0; i < f->agenda.n; i++) {
        assert_false(room_is_off(room, f->agenda.task[i].on));
    }
    assert_int_equal(task_of(f, TASK_CHANGE)->on, 20513 + 36);
}

/* A1 and A2 far enough apart that no mix serves both, both due. */
static void two_strengths(struct fixture *f)
{
    on_float(f, "A1");
    on_float(f, "A2");
    tell(f, with(told_at(ENTRY_BUMPED, "A2", "", at(32, 9)), FIGURE_EC_MS_CM, 0.3));
}

static void a_second_mix_is_made_from_the_rest_of_the_weaker_one(void **ctx)
{
    struct fixture *f = *ctx;
    struct task mix[2] = {{0}};
    size_t n = 0;

    two_strengths(f);
    plan(f, at(44, 7)); /* both at the end of their window */
    for (size_t i = 0; i < f->agenda.n && n < 2; i++) {
        if (f->agenda.task[i].kind == TASK_CHANGE) {
            mix[n++] = f->agenda.task[i];
        }
    }
    assert_int_equal(n, 2);
    assert_true(mix[0].mix_ec_ms_cm < mix[1].mix_ec_ms_cm);
    assert_true(mix[0].leaves_rest && !mix[1].leaves_rest);
    assert_true(fabs(mix[1].rest.volume_l - (mix[0].mix_l - 7.5)) < 1e-9);
    assert_true(mix[1].rest.ec_ms_cm == mix[0].mix_ec_ms_cm);
}

static void a_fill_that_can_wait_for_a_change_is_not_asked_for(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
    tell(f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(37, 8)), FIGURE_VOLUME_L, 40));
    plan(f, at(44, 7)); /* the last day for the change */
    assert_int_equal(task_of(f, TASK_CHANGE)->on, 20513 + 44);
    assert_null(task_of(f, TASK_FILL));
}

/* The source's tank is empty, and the mix takes what the reservoir has: the fill has to come before. */
static void a_fill_is_asked_for_where_the_change_leaves_too_little(void **ctx)
{
    struct fixture *f = *ctx;

    on_float(f, "A1");
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

    on_float(f, "A1");
    start(f, "L1", at(38, 9));
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

    on_float(f, "A1");
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

    on_float(f, "A1");
    start(f, "L1", at(5, 9));
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

#define TEST(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_new_room_is_to_be_filled_calibrated_and_started),
        TEST(containers_that_start_alike_start_together),
        TEST(numbers_last_while_days_go_by),
        TEST(a_change_done_in_part_keeps_its_number_for_the_rest),
        TEST(a_task_that_was_done_ends_as_done),
        TEST(a_task_that_was_dropped_ends_as_dropped),
        TEST(a_task_that_is_needed_no_more_is_withdrawn_with_its_reason),
        TEST(a_number_is_never_given_twice),
        TEST(what_is_put_off_moves_and_keeps_its_number),
        TEST(a_task_stays_on_todays_list_until_it_is_done),
        TEST(a_second_mix_of_a_day_costs_no_second_changeover),
        TEST(todays_list_stands_while_the_day_is_worked),
        TEST(work_is_moved_from_days_off),
        TEST(work_that_is_due_on_days_off_only_comes_before_them),
        TEST(a_second_mix_is_made_from_the_rest_of_the_weaker_one),
        TEST(a_fill_that_can_wait_for_a_change_is_not_asked_for),
        TEST(a_fill_is_asked_for_where_the_change_leaves_too_little),
        TEST(nothing_is_read_that_a_change_will_measure),
        TEST(a_small_change_is_mixed_in_a_jug_where_there_is_one),
        TEST(the_window_of_a_task_is_one),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
