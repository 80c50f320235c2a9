/* Tasks keep their numbers, their jobs and how they ended, through a restart. */
#include "tests/unit/a_journal.h"

#include <string.h>

/* Written, and read again from the file. */
static struct agenda kept_of(struct fixture *f, struct task *task, size_t n_tasks,
                             struct task_end *end, size_t n_ends)
{
    struct journal_batch b = {.room = &f->room,
                              .task = task,
                              .n_tasks = n_tasks,
                              .end = end,
                              .n_ends = n_ends,
                              .day_started = DAY_NONE};
    struct agenda a = {0};

    if (journal_write(f->j, &b, &f->e) < 0) {
        fail_msg("%s", f->e.msg);
    }
    reopen(f);
    assert_int_equal(journal_load_agenda(f->j, &f->room, &a, &f->e), 0);
    return a;
}

static struct job a_job(enum task_kind kind, size_t container, int cycle)
{
    return (struct job){
        .kind = kind, .subject = {SUBJECT_CONTAINER, container},
             .cycle = cycle
    };
}

static void tasks_keep_their_numbers_and_jobs(void **ctx)
{
    struct fixture *f = *ctx;
    struct job job[2] = {a_job(TASK_CHANGE, A1, 2), a_job(TASK_CHANGE, A3, 5)};
    struct task task[2] = {
        {.id = 7,
         .kind = TASK_CHANGE,
         .earliest = 20550,
         .due = 20552,
         .latest = 20555,
         .on = 20551,
         .job = job,
         .n_jobs = 2},
        {.id = 8, .kind = TASK_BUMP,          .job = job,       .n_jobs = 1}
    };
    struct task_end end = {.id = 8, .outcome = OUTCOME_WITHDRAWN, .reason = "A1 was changed"};
    struct agenda a = kept_of(f, task, 2, &end, 1);

    assert_int_equal(a.n, 1);
    assert_int_equal(a.next_id, 9);
    assert_int_equal(a.task[0].id, 7);
    assert_int_equal(a.task[0].earliest, 20550);
    assert_int_equal(a.task[0].due, 20552);
    assert_int_equal(a.task[0].latest, 20555);
    assert_int_equal(a.task[0].on, 20551);
    assert_int_equal(a.task[0].n_jobs, 2);
    for (size_t i = 0; i < 2; i++) {
        const struct job *got = &a.task[0].job[i];

        assert_int_equal(job_compare_keys(got, &job[i]), 0);
        assert_int_equal(got->earliest, 20550);
        assert_int_equal(got->due, 20552);
        assert_int_equal(got->latest, 20555);
    }
    agenda_deinit(&a);
    close_it(f);
    assert_sql_says(f, "SELECT outcome || ': ' || reason FROM task WHERE id = 8",
                    "withdrawn: A1 was changed");
}

static void every_kind_of_task_and_of_care_is_kept(void **ctx)
{
    struct fixture *f = *ctx;
    struct job job[TASK_KIND_N + CARE_KIND_N];
    struct task task[TASK_KIND_N + CARE_KIND_N];
    struct agenda a;
    size_t n = 0;

    for (int k = 0; k < TASK_KIND_N + CARE_KIND_N; k++) {
        enum task_kind kind = k < TASK_KIND_N ? (enum task_kind)k : TASK_CARE;
        enum care_kind care =
            k < TASK_KIND_N ? (enum care_kind)0 : (enum care_kind)(k - TASK_KIND_N);

        job[n] = a_job(kind, A1, k);
        job[n].care = care;
        task[n] =
            (struct task){.id = k + 1, .kind = kind, .care = care, .job = &job[n], .n_jobs = 1};
        n++;
    }
    a = kept_of(f, task, n, NULL, 0);
    assert_int_equal(a.n, n);
    for (size_t i = 0; i < n; i++) {
        assert_int_equal(a.task[i].id, i + 1);
        assert_int_equal(a.task[i].kind, task[i].kind);
        assert_int_equal(a.task[i].care, task[i].care);
        assert_int_equal(job_compare_keys(&a.task[i].job[0], &job[i]), 0);
    }
    agenda_deinit(&a);
}

static void a_task_is_open_until_it_ended_and_its_number_is_not_given_again(void **ctx)
{
    static const char *const words[] = {"done", "dropped", "withdrawn"};
    struct fixture *f = *ctx;
    struct job job = a_job(TASK_READ, A2, 1);
    struct task task[4];
    struct task_end end[3];
    struct agenda a;

    for (int i = 0; i < 4; i++) {
        task[i] = (struct task){.id = i + 1, .kind = TASK_READ, .job = &job, .n_jobs = 1};
    }
    for (int i = 0; i < 3; i++) {
        end[i] = (struct task_end){.id = i + 2, .outcome = (enum outcome)i, .reason = "so"};
    }
    a = kept_of(f, task, 4, end, 3);
    assert_int_equal(a.n, 1);
    assert_int_equal(a.task[0].id, 1);
    assert_int_equal(a.next_id, 5);
    agenda_deinit(&a);
    close_it(f);
    for (int i = 0; i < 3; i++) {
        char sql[64];

        (void)snprintf(sql, sizeof sql, "SELECT outcome FROM task WHERE id = %d", i + 2);
        assert_sql_says(f, sql, words[i]);
    }
}

static void a_new_journal_has_no_task_and_begins_with_number_one(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda a = kept_of(f, NULL, 0, NULL, 0);

    assert_int_equal(a.n, 0);
    assert_int_equal(a.next_id, 1);
    agenda_deinit(&a);
}

/* A re-plan moves a task and never renumbers it; its jobs are those of the new plan alone. */
static void a_task_is_moved_and_its_jobs_are_replaced(void **ctx)
{
    struct fixture *f = *ctx;
    struct job before[2] = {a_job(TASK_CHANGE, A1, 2), a_job(TASK_CHANGE, A3, 5)};
    struct job after = a_job(TASK_CHANGE, A2, 4);
    struct task task = {.id = 1,
                        .kind = TASK_CHANGE,
                        .earliest = 10,
                        .due = 12,
                        .latest = 15,
                        .on = 11,
                        .job = before,
                        .n_jobs = 2};
    struct agenda a = kept_of(f, &task, 1, NULL, 0);

    assert_int_equal(a.task[0].n_jobs, 2);
    agenda_deinit(&a);
    task = (struct task){.id = 1,
                         .kind = TASK_CHANGE,
                         .earliest = 20,
                         .due = 22,
                         .latest = 25,
                         .on = 21,
                         .job = &after,
                         .n_jobs = 1};
    a = kept_of(f, &task, 1, NULL, 0);
    assert_int_equal(a.n, 1);
    assert_int_equal(a.task[0].earliest, 20);
    assert_int_equal(a.task[0].due, 22);
    assert_int_equal(a.task[0].latest, 25);
    assert_int_equal(a.task[0].on, 21);
    assert_int_equal(a.task[0].n_jobs, 1);
    assert_int_equal(job_compare_keys(&a.task[0].job[0], &after), 0);
    agenda_deinit(&a);
}

/* The room file was changed while the daemon was off. */
static void a_thing_that_the_room_no_longer_has_takes_its_jobs_and_not_the_task(void **ctx)
{
    struct fixture *f = *ctx;
    struct job job[2] = {a_job(TASK_READ, A1, 1), a_job(TASK_READ, A2, 1)};
    struct task task[2] = {
        {.id = 1, .kind = TASK_READ, .job = job, .n_jobs = 2},
        {.id = 2, .kind = TASK_READ, .job = job, .n_jobs = 1}
    };
    struct agenda a = kept_of(f, task, 2, NULL, 0);

    agenda_deinit(&a);
    name_it(f->room.container[A1].name, sizeof f->room.container[A1].name, "Z9");
    assert_int_equal(room_index(&f->room, NULL), 0);
    assert_int_equal(journal_load_agenda(f->j, &f->room, &a, &f->e), 0);
    assert_int_equal(a.n, 2);
    assert_int_equal(a.task[0].n_jobs, 1);
    assert_int_equal(a.task[0].job[0].subject.at, A2);
    assert_int_equal(a.task[1].n_jobs, 0); /* the next plan withdraws it */
    agenda_deinit(&a);
}

/* As a newer program would have written it. */
static void a_task_of_a_kind_that_is_not_known_keeps_its_number(void **ctx)
{
    struct fixture *f = *ctx;
    struct agenda a;

    close_it(f);
    assert_sql_says(f,
                    "INSERT INTO task (id, kind, care, earliest, due, latest, planned)"
                    " VALUES (6, 'graft', 0, 1, 2, 3, 2);"
                    "INSERT INTO task_job (task, subject, cycle) VALUES (6, 'A1', 1)",
                    "");
    assert_int_equal(seal_anew(f), 0);
    reopen(f);
    a = kept_of(f, NULL, 0, NULL, 0);
    assert_int_equal(a.n, 0);
    assert_int_equal(a.next_id, 7);
    agenda_deinit(&a);
}

static void a_task_that_cannot_be_written_spoils_the_group(void **ctx)
{
    struct fixture *f = *ctx;
    struct entry e = told_at(ENTRY_NOTE, "A1", "", at(1, 9));
    struct job twice[2] = {a_job(TASK_READ, A1, 1), a_job(TASK_READ, A1, 1)};
    struct task task[2] = {
        {.id = 1, .kind = TASK_READ, .job = twice, .n_jobs = 1},
        {.id = 2, .kind = TASK_READ, .job = twice, .n_jobs = 2}  /* one job, two times */
    };
    struct journal_batch b = {.room = &f->room,
                              .entry = &e,
                              .n_entries = 1,
                              .task = task,
                              .n_tasks = 2,
                              .day_started = DAY_NONE};
    struct agenda a;

    assert_int_equal(journal_write(f->j, &b, &f->e), ERR_STORE);
    reopen(f);
    assert_int_equal(journal_last_seq(f->j), 0);
    assert_int_equal(journal_load_agenda(f->j, &f->room, &a, &f->e), 0);
    assert_int_equal(a.n, 0);
    agenda_deinit(&a);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(tasks_keep_their_numbers_and_jobs),
        TEST(every_kind_of_task_and_of_care_is_kept),
        TEST(a_task_is_open_until_it_ended_and_its_number_is_not_given_again),
        TEST(a_new_journal_has_no_task_and_begins_with_number_one),
        TEST(a_task_is_moved_and_its_jobs_are_replaced),
        TEST(a_thing_that_the_room_no_longer_has_takes_its_jobs_and_not_the_task),
        TEST(a_task_of_a_kind_that_is_not_known_keeps_its_number),
        TEST(a_task_that_cannot_be_written_spoils_the_group),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
