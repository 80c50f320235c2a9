/* Tasks keep their numbers while the plan moves under them, and say how they ended. */
#include "tests/unit/a_planned_room.h"

static void numbers_last_while_days_go_by(void **ctx)
{
    struct fixture *f = *ctx;
    int64_t id;

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
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

    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
    plan(f, at(38, 7));
    id = task_of(f, TASK_CHANGE)->id;
    assert_int_equal(task_of(f, TASK_CHANGE)->n_jobs, 2);
    tell(f, told_at(ENTRY_DRAINED, "A1", "", at(38, 9)));
    tell(f, with(told_at(ENTRY_REFILLED, "A1", "leaf", at(38, 9)), FIGURE_EC_MS_CM, 1.0));
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

    on_float(f, "A1", 30);
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

    on_float(f, "A1", 30);
    plan(f, at(38, 7));
    id = task_of(f, TASK_CHANGE)->id;
    tell(f, told_at(ENTRY_HARVESTED, "A1", "final", at(38, 8)));
    plan(f, at(38, 9));
    assert_int_equal(end_of(f, id)->outcome, OUTCOME_WITHDRAWN);
    assert_string_equal(end_of(f, id)->reason, "A1 was harvested on Wed 8 Apr");
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

    on_float(f, "A1", 30);
    plan(f, at(38, 7));
    id = task_of(f, TASK_CHANGE)->id;
    e.cycle = 1;
    e.until_day = 20513 + 41;
    tell(f, e);
    plan(f, at(38, 9));
    assert_int_equal(task_of(f, TASK_CHANGE)->id, id);
    assert_true(task_of(f, TASK_CHANGE)->on >= 20513 + 41);
}

/* A1 and A2 far enough apart that no mix serves both, both due. */
static void two_strengths(struct fixture *f)
{
    on_float(f, "A1", 30);
    on_float(f, "A2", 30);
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

/* By hand: a plan whose tasks have these jobs, each a reading of one container. */
static void put_task(struct agenda *a, int64_t id, const size_t *containers, size_t n)
{
    struct task *t;

    a->task = mem_grow(a->task, &a->cap, a->n + 1, sizeof *a->task);
    t = &a->task[a->n++];
    *t = (struct task){.id = id, .kind = TASK_READ};
    for (size_t i = 0; i < n; i++) {
        task_add_job(t, &(struct job){
                            .kind = TASK_READ, .subject = {SUBJECT_CONTAINER, containers[i]}
        });
    }
}

/* Task 5 had A1 and A2, task 6 had A3. The fresh plan has A2 and A3 together with L1, and A1 alone:
 * of one each the lower number wins the task, and the other one goes on with what is left. */
static void a_number_goes_with_most_of_its_jobs(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda before = {.next_id = 9};
    struct agenda fresh = {0};

    put_task(&before, 5, (size_t[]){A1, A2, A3}, 3);
    put_task(&before, 6, (size_t[]){L1}, 1);
    put_task(&fresh, 0, (size_t[]){A1, L1}, 2);
    put_task(&fresh, 0, (size_t[]){A2, A3}, 2);
    task_numbers_carry_over(&f->room, &f->s, at(0, 7), &before, &fresh, &f->ends);
    assert_int_equal(fresh.task[1].id, 5); /* two of its jobs */
    assert_int_equal(fresh.task[0].id, 6);
    assert_int_equal(fresh.next_id, 9); /* no new one was needed */
    assert_int_equal(f->ends.n, 0);
    agenda_deinit(&before);
    agenda_deinit(&fresh);
}

static void the_lower_number_stays_where_two_tasks_become_one(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda before = {.next_id = 9};
    struct agenda fresh = {0};

    put_task(&before, 7, (size_t[]){A1}, 1);
    put_task(&before, 6, (size_t[]){A2}, 1);
    put_task(&fresh, 0, (size_t[]){A1, A2}, 2);
    task_numbers_carry_over(&f->room, &f->s, at(0, 7), &before, &fresh, &f->ends);
    assert_int_equal(fresh.task[0].id, 6);
    assert_int_equal(f->ends.n, 1);
    assert_int_equal(f->ends.end[0].id, 7);
    assert_int_equal(f->ends.end[0].outcome, OUTCOME_WITHDRAWN);
    assert_string_equal(f->ends.end[0].reason, "its work is now in task 6");
    agenda_deinit(&before);
    agenda_deinit(&fresh);
}

static void a_task_that_is_split_stays_with_its_larger_part(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda before = {.next_id = 9};
    struct agenda fresh = {0};

    put_task(&before, 5, (size_t[]){A1, A2, A3}, 3);
    put_task(&fresh, 0, (size_t[]){A1}, 1);
    put_task(&fresh, 0, (size_t[]){A2, A3}, 2);
    put_task(&fresh, 0, (size_t[]){L1}, 1);
    task_numbers_carry_over(&f->room, &f->s, at(0, 7), &before, &fresh, &f->ends);
    assert_int_equal(fresh.task[0].id, 9); /* new ones, in the order of the plan */
    assert_int_equal(fresh.task[1].id, 5);
    assert_int_equal(fresh.task[2].id, 10);
    assert_int_equal(fresh.next_id, 11);
    assert_int_equal(f->ends.n, 0);
    agenda_deinit(&before);
    agenda_deinit(&fresh);
}

static void equal_parts_leave_the_number_to_the_first(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda before = {0}; /* numbers begin at 1 */
    struct agenda fresh = {0};

    put_task(&before, 5, (size_t[]){A1, A2}, 2);
    put_task(&fresh, 0, (size_t[]){A2}, 1);
    put_task(&fresh, 0, (size_t[]){A1}, 1);
    task_numbers_carry_over(&f->room, &f->s, at(0, 7), &before, &fresh, &f->ends);
    assert_int_equal(fresh.task[0].id, 5);
    assert_int_equal(fresh.task[1].id, 1);
    agenda_deinit(&before);
    agenda_deinit(&fresh);
}

/* As the journal gives back a task whose things are not in the room file any more. */
static void a_task_about_things_that_are_gone_is_withdrawn(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda before = {.next_id = 9};
    struct agenda fresh = {0};

    put_task(&before, 5, NULL, 0);
    task_numbers_carry_over(&f->room, &f->s, at(0, 7), &before, &fresh, &f->ends);
    assert_int_equal(f->ends.n, 1);
    assert_int_equal(f->ends.end[0].outcome, OUTCOME_WITHDRAWN);
    assert_string_equal(f->ends.end[0].reason, "the room file no longer has what it was about");
    agenda_deinit(&before);
}

/* A visit to two of which one was read and the other was dropped is done; one of
 * which one was dropped and the other needs nothing is not dropped. */
static void a_task_is_done_when_any_of_it_was_and_dropped_when_all_of_it_was(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda before = {.next_id = 9};
    struct agenda fresh = {0};
    struct entry drop = told_at(ENTRY_DROPPED, "A1", "read", at(1, 9));

    drop.until_day = day(8);
    tell(f, drop);
    put_task(&before, 5, (size_t[]){A1, A2}, 2);
    task_numbers_carry_over(&f->room, &f->s, at(1, 10), &before, &fresh, &f->ends);
    assert_int_equal(f->ends.end[0].outcome, OUTCOME_WITHDRAWN);
    assert_string_equal(f->ends.end[0].reason,
                        "by what is known on Mon 2 Mar, A1 does not need it now");
    name_it(drop.subject, sizeof drop.subject, "A2");
    tell(f, drop);
    task_ends_deinit(&f->ends);
    task_numbers_carry_over(&f->room, &f->s, at(1, 10), &before, &fresh, &f->ends);
    assert_int_equal(f->ends.end[0].outcome, OUTCOME_DROPPED);
    assert_string_equal(f->ends.end[0].reason, "");
    f->s.container[A2].readings = 1;
    task_ends_deinit(&f->ends);
    assert_int_equal(f->ends.n, 0);
    task_numbers_carry_over(&f->room, &f->s, at(1, 10), &before, &fresh, &f->ends);
    assert_int_equal(f->ends.end[0].outcome, OUTCOME_DONE);
    assert_string_equal(f->ends.end[0].reason, "");
    agenda_deinit(&before);
}

static void ends_have_their_words(void **ctx)
{
    (void)ctx;
    assert_string_equal(outcome_words[OUTCOME_DONE], "done");
    assert_string_equal(outcome_words[OUTCOME_DROPPED], "dropped");
    assert_string_equal(outcome_words[OUTCOME_WITHDRAWN], "withdrawn");
    assert_null(outcome_words[OUTCOME_N]);
}

/* A plan of mixes by hand, and how they lean on each other. */
static void put_mix(struct agenda *a, int32_t on, size_t recipe, double ec_ms_cm, bool by_hand)
{
    struct task *t;

    put_task(a, 0, (size_t[]){A1}, 1);
    t = &a->task[a->n - 1];
    t->kind = TASK_CHANGE;
    t->on = on;
    t->recipe = recipe;
    t->mix_ec_ms_cm = ec_ms_cm;
    t->mix_l = 14.5;
    t->by_hand = by_hand;
    t->job[0].volume_l = 7.5;
    t->job[0].cycle = (int32_t)a->n;
}

static void a_rest_serves_the_next_mix_of_its_recipe_and_day_alone(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda before = {0};
    struct agenda fresh = {0};

    put_mix(&fresh, day(1), LEAF_FEED, 1.0, false);
    put_mix(&fresh, day(1), LEAF_FEED, 1.1,
            true); /* a jug is made from water, and leaves nothing */
    put_mix(&fresh, day(1), LEAF_FEED, 1.2, false);
    put_mix(&fresh, day(1), FRUIT, 1.3, false);
    put_mix(&fresh, day(2), FRUIT, 1.4, false);
    task_numbers_carry_over(&f->room, &f->s, at(1, 7), &before, &fresh, &f->ends);
    for (size_t i = 0; i < fresh.n; i++) {
        assert_int_equal(fresh.task[i].leaves_rest, i == 0);
        assert_true(fresh.task[i].rest.volume_l == (i == 2 ? 7.0 : 0));
    }
    assert_true(fresh.task[2].rest.ec_ms_cm == 1.0);
    agenda_deinit(&fresh);
}

/* 10 L of leaf at 1.0 are in the reservoir, made for no task that is left: too little
 * for a mix of 14.5 L, and good to begin one with that is as strong or stronger. */
static void what_the_reservoir_holds_of_an_earlier_mix_is_used(void **ctx)
{
    static const struct {
        int on;
        size_t recipe;
        double ec_ms_cm;
        bool used;
    } mixes[] = {
        {1, LEAF_FEED, 1.2, true },
        {0, LEAF_FEED, 1.2, true },
        {1, LEAF_FEED, 1.0, true },
        {1, LEAF_FEED, 0.9, false},
        {1, FRUIT,     1.2, false},
        {2, LEAF_FEED, 1.2, false},
    };
    struct fixture *f = *ctx;

    fill(f, 0, 90);
    mix(f, at(1, 8), 10, 1.0, 77);
    for (size_t i = 0; i < sizeof mixes / sizeof *mixes; i++) {
        struct agenda before = {0};
        struct agenda fresh = {0};

        put_mix(&fresh, day(mixes[i].on), mixes[i].recipe, mixes[i].ec_ms_cm, false);
        task_numbers_carry_over(&f->room, &f->s, at(1, 9), &before, &fresh, &f->ends);
        assert_true(fresh.task[0].rest.volume_l == (mixes[i].used ? 10 : 0));
        assert_true(fresh.task[0].rest.ec_ms_cm == (mixes[i].used ? 1.0 : 0));
        fresh.task[0].rest = (struct liquid){0};
        fresh.task[0].mix_l = 10; /* enough: it is the mix, and not its beginning */
        task_numbers_carry_over(&f->room, &f->s, at(1, 9), &before, &fresh, &f->ends);
        assert_true(fresh.task[0].rest.volume_l == 0);
        agenda_deinit(&fresh);
    }
}

/* Its own mix is there, a little short: floats take what is left, and nothing is mixed on top. */
static void a_mix_that_was_made_for_the_task_is_not_made_again(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda before = {0};
    struct agenda fresh = {0};

    fill(f, 0, 90);
    mix(f, at(1, 8), 10, 1.2, 1);
    put_mix(&fresh, day(1), LEAF_FEED, 1.2, false);
    fresh.task[0].id = 1;
    task_numbers_carry_over(&f->room, &f->s, at(1, 9), &before, &fresh, &f->ends);
    assert_true(fresh.task[0].rest.volume_l == 0);
    agenda_deinit(&fresh);
}

/* Two jobs weigh more than one, also where the one stands between them in the order of the keys. */
static void jobs_in_common_are_counted_whatever_their_order(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda before = {.next_id = 9};
    struct agenda fresh = {0};

    put_task(&before, 8, (size_t[]){A1, A3}, 2);
    put_task(&before, 5, (size_t[]){A2}, 1);
    put_task(&fresh, 0, (size_t[]){A1, A2, A3}, 3);
    task_numbers_carry_over(&f->room, &f->s, at(0, 7), &before, &fresh, &f->ends);
    assert_int_equal(fresh.task[0].id, 8);
    assert_int_equal(f->ends.n, 1);
    assert_int_equal(f->ends.end[0].id, 5);
    agenda_deinit(&before);
    agenda_deinit(&fresh);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(numbers_last_while_days_go_by),
        TEST(a_change_done_in_part_keeps_its_number_for_the_rest),
        TEST(a_task_that_was_done_ends_as_done),
        TEST(a_task_that_was_dropped_ends_as_dropped),
        TEST(a_task_that_is_needed_no_more_is_withdrawn_with_its_reason),
        TEST(a_number_is_never_given_twice),
        TEST(what_is_put_off_moves_and_keeps_its_number),
        TEST(a_second_mix_is_made_from_the_rest_of_the_weaker_one),
        TEST(a_number_goes_with_most_of_its_jobs),
        TEST(the_lower_number_stays_where_two_tasks_become_one),
        TEST(a_task_that_is_split_stays_with_its_larger_part),
        TEST(equal_parts_leave_the_number_to_the_first),
        TEST(a_task_about_things_that_are_gone_is_withdrawn),
        TEST(a_task_is_done_when_any_of_it_was_and_dropped_when_all_of_it_was),
        TEST(ends_have_their_words),
        TEST(a_rest_serves_the_next_mix_of_its_recipe_and_day_alone),
        TEST(what_the_reservoir_holds_of_an_earlier_mix_is_used),
        TEST(a_mix_that_was_made_for_the_task_is_not_made_again),
        TEST(jobs_in_common_are_counted_whatever_their_order),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
