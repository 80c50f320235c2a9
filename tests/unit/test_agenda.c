/* Tasks as values: their jobs, their keys, their litres, and the mix that was made for them. */
#include "tests/unit/a_planned_room.h"

static void a_task_grows_by_copies_of_jobs(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda a = {0};
    struct agenda copy;
    struct keyed *keys;
    size_t n;

    (void)f;
    a.task = mem_array(2, sizeof *a.task);
    a.n = 2;
    for (int32_t i = 0; i < 9; i++) { /* past each power of two */
        task_add_job(&a.task[i % 2],
                     &(struct job){.kind = TASK_CHANGE, .cycle = 9 - i, .volume_l = i + 1});
    }
    assert_int_equal(a.task[0].n_jobs, 5);
    assert_true(task_jobs_l(&a.task[0]) == 1 + 3 + 5 + 7 + 9);
    assert_true(task_jobs_l(&a.task[1]) == 2 + 4 + 6 + 8);
    keys = agenda_keys(&a, &n);
    assert_int_equal(n, 9);
    for (size_t i = 0; i < n; i++) {
        assert_int_equal(keys[i].job->cycle, i + 1); /* sorted */
        assert_int_equal(keys[i].task, i % 2);
        assert_ptr_equal(agenda_find_key(keys, n, keys[i].job), &keys[i]);
    }
    assert_null(agenda_find_key(keys, n, &(struct job){.kind = TASK_CHANGE, .cycle = 10}));
    assert_null(agenda_find_key(NULL, 0, keys[0].job));
    free(keys);
    agenda_copy(&copy, &a);
    task_add_job(&copy.task[0], &(struct job){.kind = TASK_CHANGE, .volume_l = 11});
    assert_true(task_jobs_l(&copy.task[0]) == 1 + 3 + 5 + 7 + 9 + 11);
    assert_int_equal(a.task[0].n_jobs, 5);
    agenda_deinit(&copy);
    agenda_deinit(&a);
    assert_int_equal(a.n, 0);
}

static void a_task_is_found_by_its_number(void **ctx)
{
    struct fixture *f = *ctx;

    plan(f, at(0, 7));
    for (size_t i = 0; i < f->agenda.n; i++) {
        assert_ptr_equal(agenda_find(&f->agenda, f->agenda.task[i].id), &f->agenda.task[i]);
    }
    assert_null(agenda_find(&f->agenda, 999));
}

/* A mix of 1.0 for 10 L: up to a quarter may be lacking, and one that was made for no task may be a
 * quarter off. */
static void a_mix_is_there_if_it_was_made_for_the_task_or_is_near_enough(void **ctx)
{
    static const struct {
        double litres, ec_ms_cm;
        int64_t task;
        bool there;
    } made[] = {
        {10,  1.0,  7, true },
        {7.5, 1.0,  7, true },
        {7.4, 1.0,  7, false}, /* too little */
        {10,  2.0,  7, true }, /* it was made for it, as well as it went */
        {10,  1.0,  8, false}, /* for another */
        {10,  1.0,  0, true },
        {10,  1.25, 0, true },
        {10,  0.75, 0, true },
        {10,  1.26, 0, false},
        {10,  0.74, 0, false},
    };
    struct fixture *f = *ctx;
    struct task t = {.id = 7, .recipe = LEAF_FEED, .mix_ec_ms_cm = 1.0};

    assert_false(task_mix_is_there(&f->s, &t, 0));
    for (size_t i = 0; i < sizeof made / sizeof *made; i++) {
        mix(f, at(1, 8 + (int)i), made[i].litres, made[i].ec_ms_cm, made[i].task);
        assert_int_equal(task_mix_is_there(&f->s, &t, 10), made[i].there);
        t.recipe = FRUIT;
        assert_false(task_mix_is_there(&f->s, &t, 10));
        t.recipe = LEAF_FEED;
    }
    fill(f, 2, 90);
    t.mix_ec_ms_cm = 0;
    f->s.reservoir.recipe = LEAF_FEED;
    f->s.reservoir.holds_mix = false; /* plain water is no mix of anything */
    assert_false(task_mix_is_there(&f->s, &t, 10));
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_task_grows_by_copies_of_jobs),
        TEST(a_task_is_found_by_its_number),
        TEST(a_mix_is_there_if_it_was_made_for_the_task_or_is_near_enough),
        TEST(a_task_stays_on_todays_list_until_it_is_done),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
