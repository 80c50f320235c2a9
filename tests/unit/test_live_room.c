/* The room in memory, and what has to be written of it. */
#include "tests/cmocka_all.h"
#include "tests/unit/a_room.h"

#include "daemon/serve/live/live_room.h"

#include <stdlib.h>

struct fixture {
    struct live_room live;
    struct unwritten batch;
};

/* What a journal has in which nothing was told. */
static struct restored nothing_told(const struct room *room)
{
    struct restored r = {.agenda = {.next_id = 1}, .day_started = DAY_NONE};

    state_init(&r.state, room);
    return r;
}

static void make(struct fixture *f)
{
    struct room room = a_room();
    struct restored restored = nothing_told(&room);

    live_room_init(&f->live, room, &restored);
    unwritten_init(&f->batch);
}

static void drop(struct fixture *f)
{
    unwritten_deinit(&f->batch);
    live_room_deinit(&f->live);
}

static int64_t tell(struct fixture *f, struct entry e)
{
    struct entries one = {.entry = mem_copy(&e, 1, sizeof e), .n = 1, .cap = 1};
    int64_t first = 0;

    live_room_tell(&f->live, &one, &f->batch, &first);
    assert_null(one.entry); /* they are the batch's now */
    return first;
}

static void plan(struct fixture *f, int64_t now_s)
{
    unwritten_deinit(&f->batch);
    live_room_plan(&f->live, now_s, &f->batch);
}

static int64_t calibration_of(const struct live_room *live, size_t meter)
{
    for (size_t i = 0; i < live->agenda.n; i++) {
        const struct task *t = &live->agenda.task[i];

        if (t->kind == TASK_CALIBRATE && t->job[0].subject.at == meter) {
            return t->id;
        }
    }
    return 0;
}

static struct entry calibrated(void)
{
    return with(told_at(ENTRY_CALIBRATED, "ph-pen", "", at(0, 9)), FIGURE_SLOPE_PCT, 98);
}

static void entries_get_the_next_numbers_and_are_applied_at_once(void **ctx)
{
    struct fixture f;

    (void)ctx;
    make(&f);
    assert_int_equal(tell(&f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 8)),
                                   FIGURE_VOLUME_L, 60)),
                     1);
    assert_int_equal(f.batch.entries.entry[0].seq, 1);
    assert_true(f.live.state.reservoir.body.volume_l == 60);
    assert_int_equal(tell(&f, told_at(ENTRY_NOTE, "room", "", at(0, 9))), 2);
    assert_false(f.live.stale);
    drop(&f);
}

static void a_late_entry_waits_for_the_fold(void **ctx)
{
    struct fixture f;

    (void)ctx;
    make(&f);
    (void)tell(&f, told_at(ENTRY_NOTE, "room", "", at(0, 9)));
    (void)tell(
        &f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 8)), FIGURE_VOLUME_L, 60));
    assert_true(f.live.stale);
    assert_int_equal(f.live.state.reservoir.at_s, 0); /* not applied out of its order */
    assert_int_equal(f.batch.entries.n, 1);           /* and written all the same */
    drop(&f);
}

static void a_void_waits_for_the_fold(void **ctx)
{
    struct fixture f;

    (void)ctx;
    make(&f);
    (void)tell(&f, told_at(ENTRY_VOIDED, "room", "", at(0, 9)));
    assert_true(f.live.stale);
    assert_int_equal(f.live.state.n_entries, 0);
    drop(&f);
}

static void a_plan_is_written_once_and_then_only_what_changed(void **ctx)
{
    struct fixture f;

    (void)ctx;
    make(&f);
    (void)tell(&f, told_at(ENTRY_NOTE, "room", "", at(0, 6)));
    plan(&f, at(0, 7));
    assert_true(f.batch.n_tasks > 0);
    assert_int_equal(f.batch.n_tasks, f.live.agenda.n);
    plan(&f, at(0, 12)); /* nothing was told since */
    assert_true(unwritten_is_empty(&f.batch));
    (void)tell(&f, told_at(ENTRY_NOTE, "room", "", at(0, 13)));
    plan(&f, at(0, 13)); /* planned anew, and nothing moved */
    assert_true(unwritten_is_empty(&f.batch));
    drop(&f);
}

static void a_task_that_was_done_is_ended(void **ctx)
{
    struct fixture f;
    int64_t id;

    (void)ctx;
    make(&f);
    plan(&f, at(0, 7));
    id = calibration_of(&f.live, 0);
    assert_true(id > 0);
    (void)tell(&f, calibrated());
    plan(&f, at(0, 9));
    assert_int_equal(f.batch.ends.n, 1);
    assert_int_equal(f.batch.ends.end[0].id, id);
    assert_int_equal(f.batch.ends.end[0].outcome, OUTCOME_DONE);
    drop(&f);
}

/* Whoever tells one thing after the other waits for no plan between them. */
static void what_is_open_of_a_task_is_known_without_a_plan(void **ctx)
{
    struct fixture f;
    struct task t;
    int64_t id;

    (void)ctx;
    make(&f);
    plan(&f, at(0, 7));
    id = calibration_of(&f.live, 0);
    assert_true(live_room_open_task(&f.live, id, at(0, 8), &t));
    assert_int_equal(t.id, id);
    assert_int_equal(t.n_jobs, 1);
    live_room_drop_task(&t);
    (void)tell(&f, calibrated());
    assert_false(live_room_is_planned(&f.live, at(0, 9)));
    assert_false(live_room_open_task(&f.live, id, at(0, 9), &t));
    assert_int_equal(t.n_jobs, 0);
    assert_false(live_room_open_task(&f.live, 999, at(0, 9), &t));
    drop(&f);
}

static void a_task_of_several_is_open_for_those_that_are_left(void **ctx)
{
    struct fixture f;
    struct task t;
    const struct task *start;
    size_t at_task = 0;
    size_t n;
    size_t other;

    (void)ctx;
    make(&f);
    plan(&f, at(0, 7));
    while (f.live.agenda.task[at_task].kind != TASK_START ||
           f.live.agenda.task[at_task].n_jobs < 2) {
        at_task++;
        assert_true(at_task < f.live.agenda.n);
    }
    start = &f.live.agenda.task[at_task];
    n = start->n_jobs;
    other = start->job[1].subject.at;
    (void)tell(&f,
               with(told_at(ENTRY_STARTED, room_subject_name(&f.live.room, start->job[0].subject),
                            "vine", at(0, 9)),
                    FIGURE_VOLUME_L, 4));
    assert_true(live_room_open_task(&f.live, start->id, at(0, 9), &t));
    assert_int_equal(t.n_jobs, n - 1);
    assert_int_equal(t.job[0].subject.at, other);
    live_room_drop_task(&t);
    drop(&f);
}

/* A plan on a thread: what was told meanwhile is for the next one. */
static void a_plan_that_was_made_on_a_copy_is_taken_and_knows_what_was_told_before(void **ctx)
{
    struct fixture f;
    struct live_room copy;
    int64_t id;

    (void)ctx;
    make(&f);
    plan(&f, at(0, 7));
    id = calibration_of(&f.live, 0);
    (void)tell(&f, told_at(ENTRY_NOTE, "room", "", at(0, 8)));
    live_room_copy(&copy, &f.live);
    (void)tell(&f, calibrated());
    unwritten_deinit(&f.batch);
    live_room_plan(&copy, at(0, 9), &f.batch);
    assert_true(live_room_take_plan(&f.live, &copy));
    assert_non_null(agenda_find(&f.live.agenda, id)); /* of the calibration it does not know … */
    assert_false(live_room_is_planned(&f.live, at(0, 9)));
    live_room_drop_copy(&copy);
    plan(&f, at(0, 9)); /* … and the next does */
    assert_int_equal(f.batch.ends.n, 1);
    assert_int_equal(f.batch.ends.end[0].id, id);
    assert_true(live_room_is_planned(&f.live, at(0, 9)));
    drop(&f);
}

static void a_plan_of_a_room_that_became_another_is_not_taken(void **ctx)
{
    struct fixture f;
    struct live_room copy;
    struct state fresh;
    struct unwritten unused;

    (void)ctx;
    make(&f);
    live_room_copy(&copy, &f.live);
    unwritten_init(&unused);
    live_room_plan(&copy, at(0, 7), &unused);
    unwritten_deinit(&unused);
    state_init(&fresh, &f.live.room);
    live_room_refolded(&f.live, fresh, NULL);
    assert_false(live_room_take_plan(&f.live, &copy));
    assert_int_equal(f.live.agenda.n, 0);
    live_room_drop_copy(&copy);

    live_room_copy(&copy, &f.live);
    live_room_plan(&copy, at(0, 7), &unused);
    unwritten_deinit(&unused);
    live_room_start_day(&f.live, 20513, &f.batch); /* the list of today stands from now on */
    assert_false(live_room_take_plan(&f.live, &copy));
    live_room_drop_copy(&copy);
    drop(&f);
}

static void a_days_start_is_written_with_its_batch(void **ctx)
{
    struct fixture f;

    (void)ctx;
    make(&f);
    live_room_start_day(&f.live, 20513, &f.batch);
    assert_int_equal(f.batch.day_started, 20513);
    assert_false(unwritten_is_empty(&f.batch));
    plan(&f, at(0, 7));
    assert_int_equal(f.batch.day_started, DAY_NONE);
    drop(&f);
}

/* The full disk: what was told in vain is forgotten, but no morning comes twice. */
static void after_a_restore_the_room_is_the_journals_and_the_day_is_written_later(void **ctx)
{
    struct fixture f;
    struct restored restored;

    (void)ctx;
    make(&f);
    (void)tell(
        &f, with(told_at(ENTRY_RESERVOIR_FILLED, "reservoir", "", at(0, 8)), FIGURE_VOLUME_L, 60));
    live_room_start_day(&f.live, 20513, &f.batch);
    restored = nothing_told(&f.live.room);
    live_room_restored(&f.live, &restored);
    assert_int_equal(f.live.state.reservoir.at_s, 0);
    assert_int_equal(f.live.day_started, 20513);
    plan(&f, at(0, 9));
    assert_int_equal(f.batch.day_started, 20513);
    assert_int_equal(tell(&f, told_at(ENTRY_NOTE, "room", "", at(0, 9))), 1);
    drop(&f);
}

static void a_new_room_finds_its_tasks_by_name(void **ctx)
{
    struct fixture f;
    struct room *other = mem_array(1, sizeof *other);
    struct state state;
    struct container first;
    int64_t next_id;

    (void)ctx;
    make(&f);
    plan(&f, at(0, 7));
    next_id = f.live.agenda.next_id;
    *other = a_room();
    first = other->container[A1];
    other->container[A1] = other->container[L1]; /* the file lists them in another order */
    other->container[L1] = first;
    assert_int_equal(room_index(other, NULL), 0);
    state_init(&state, other);
    live_room_refolded(&f.live, state, other);
    free(other);
    plan(&f, at(0, 7));
    assert_int_equal(f.batch.ends.n, 0); /* the same tasks, with the numbers that they had */
    assert_int_equal(f.live.agenda.next_id, next_id);
    drop(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(entries_get_the_next_numbers_and_are_applied_at_once),
        cmocka_unit_test(a_late_entry_waits_for_the_fold),
        cmocka_unit_test(a_void_waits_for_the_fold),
        cmocka_unit_test(a_plan_is_written_once_and_then_only_what_changed),
        cmocka_unit_test(a_task_that_was_done_is_ended),
        cmocka_unit_test(what_is_open_of_a_task_is_known_without_a_plan),
        cmocka_unit_test(a_task_of_several_is_open_for_those_that_are_left),
        cmocka_unit_test(a_plan_that_was_made_on_a_copy_is_taken_and_knows_what_was_told_before),
        cmocka_unit_test(a_plan_of_a_room_that_became_another_is_not_taken),
        cmocka_unit_test(a_days_start_is_written_with_its_batch),
        cmocka_unit_test(after_a_restore_the_room_is_the_journals_and_the_day_is_written_later),
        cmocka_unit_test(a_new_room_finds_its_tasks_by_name),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
