#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/store/journal_inside.h"
#include "daemon/store/sql.h"

#include <string.h>

/* What an open task adds to the standing's sum so far; nothing for a new or an ended one. */
static int forget_seal(struct journal *j, int64_t task, struct err *e)
{
    sqlite3_stmt *stmt = j->stmt[STMT_TASK_SEAL];
    int rc =
        sqlite3_bind_int64(stmt, 1, task) == SQLITE_OK ? sql_step(stmt, e) : sql_fail(j->db, e);

    if (rc == 1) {
        j->next.tasks -= (uint64_t)sqlite3_column_int64(stmt, 0);
    }
    (void)sqlite3_reset(stmt);
    return rc < 0 ? rc : 0;
}

static uint64_t whole_seal(const struct room *room, const struct task *t)
{
    uint64_t seal = seal_of_task(&(struct task_figures){.id = t->id,
                                                        .kind = task_words[t->kind],
                                                        .care = (int64_t)t->care,
                                                        .earliest = t->earliest,
                                                        .due = t->due,
                                                        .latest = t->latest,
                                                        .planned = t->on});

    for (size_t i = 0; i < t->n_jobs; i++) {
        seal += seal_of_job(t->id, room_subject_name(room, t->job[i].subject), t->job[i].cycle);
    }
    return seal;
}

static int write_jobs(struct journal *j, const struct room *room, const struct task *t,
                      struct err *e)
{
    sqlite3_stmt *stmt = j->stmt[STMT_TASK_JOB];
    int rc =
        journal_run(j, STMT_TASK_CLEAR, sqlite3_bind_int64(j->stmt[STMT_TASK_CLEAR], 1, t->id), e);

    for (size_t i = 0; i < t->n_jobs && rc == 0; i++) {
        int bad = sqlite3_bind_int64(stmt, 1, t->id);

        bad |= sqlite3_bind_text(stmt, 2, room_subject_name(room, t->job[i].subject), -1,
                                 SQLITE_STATIC);
        bad |= sqlite3_bind_int(stmt, 3, t->job[i].cycle);
        rc = journal_run(j, STMT_TASK_JOB, bad, e);
    }
    return rc;
}

int journal_write_tasks(struct journal *j, const struct journal_batch *b, struct err *e)
{
    sqlite3_stmt *stmt = j->stmt[STMT_TASK];
    int rc = 0;

    for (size_t i = 0; i < b->n_tasks && rc == 0; i++) {
        const struct task *t = &b->task[i];
        uint64_t seal = whole_seal(b->room, t);
        int bad;

        rc = forget_seal(j, t->id, e);
        if (rc < 0) {
            return rc;
        }
        bad = sqlite3_bind_int64(stmt, 1, t->id);
        bad |= sqlite3_bind_text(stmt, 2, task_words[t->kind], -1, SQLITE_STATIC);
        bad |= sqlite3_bind_int(stmt, 3, (int)t->care);
        bad |= sqlite3_bind_int(stmt, 4, t->earliest);
        bad |= sqlite3_bind_int(stmt, 5, t->due);
        bad |= sqlite3_bind_int(stmt, 6, t->latest);
        bad |= sqlite3_bind_int(stmt, 7, t->on);
        bad |= sqlite3_bind_int64(stmt, 8, (int64_t)seal);
        rc = journal_run(j, STMT_TASK, bad, e);
        if (rc == 0) {
            rc = write_jobs(j, b->room, t, e);
        }
        j->next.tasks += seal;
        j->next.last_task = t->id > j->next.last_task ? t->id : j->next.last_task;
    }
    return rc;
}

int journal_write_ends(struct journal *j, const struct journal_batch *b, struct err *e)
{
    sqlite3_stmt *stmt = j->stmt[STMT_TASK_END];
    int rc = 0;

    for (size_t i = 0; i < b->n_ends && rc == 0; i++) {
        const struct task_end *end = &b->end[i];
        int bad;

        rc = forget_seal(j, end->id, e);
        if (rc < 0) {
            return rc;
        }
        bad = sqlite3_bind_int64(stmt, 1, end->id);
        bad |= sqlite3_bind_text(stmt, 2, outcome_words[end->outcome], -1, SQLITE_STATIC);
        bad |= sqlite3_bind_text(stmt, 3, end->reason, -1, SQLITE_STATIC);
        rc = journal_run(j, STMT_TASK_END, bad, e);
    }
    return rc;
}

static int find_task_kind(const char *word)
{
    for (int k = 0; k < TASK_KIND_N; k++) {
        if (strcmp(task_words[k], word) == 0) {
            return k;
        }
    }
    return -1;
}

/* A row of task joined with one of its jobs; the rows of a task follow each other. Jobs of things
 * that the room file no longer has are left out; their task stays, if need be without a job, so
 * that the next plan ends it with a reason and its number is not given to another. A kind that this
 * program does not know comes of a newer one, and only its number counts. */
static void add_task_row(sqlite3_stmt *stmt, const struct room *room, struct agenda *a)
{
    int64_t id = sqlite3_column_int64(stmt, 0);
    struct task *t = a->n ? &a->task[a->n - 1] : NULL;
    char word[32];
    char subject[NAME_LEN_MAX + 1];
    struct job j = {0};
    int kind;

    sql_copy_text(stmt, 1, word, sizeof word);
    kind = find_task_kind(word);
    if (kind < 0) {
        return;
    }
    if (!t || t->id != id) {
        a->task = mem_grow(a->task, &a->cap, a->n + 1, sizeof *a->task);
        t = &a->task[a->n++];
        *t = (struct task){.id = id,
                           .kind = (enum task_kind)kind,
                           .care = (enum care_kind)sqlite3_column_int(stmt, 2),
                           .earliest = sqlite3_column_int(stmt, 3),
                           .due = sqlite3_column_int(stmt, 4),
                           .latest = sqlite3_column_int(stmt, 5),
                           .on = sqlite3_column_int(stmt, 6)};
    }
    sql_copy_text(stmt, 7, subject, sizeof subject);
    j = (struct job){.kind = t->kind,
                     .care = t->care,
                     .subject = room_find(room, subject),
                     .cycle = sqlite3_column_int(stmt, 8),
                     .earliest = t->earliest,
                     .due = t->due,
                     .latest = t->latest};
    if (j.subject.kind != SUBJECT_NONE) {
        task_add_job(t, &j);
    }
}

#define TASKS_WITH_JOBS                                                                            \
    "SELECT id, kind, care, earliest, due, latest, planned, subject, cycle"                        \
    " FROM task JOIN task_job ON task_job.task = task.id WHERE "

/* The tasks of a query, with their jobs; `only` is its parameter, 0 = it has none. */
static int load_tasks(struct journal *j, const struct room *room, const char *query, int64_t only,
                      struct agenda *out, struct err *e)
{
    struct agenda a = {.next_id = 1};
    sqlite3_stmt *stmt = NULL;
    int64_t newest = 0;
    int rc = sql_int(j->db, "SELECT coalesce(max(id), 0) FROM task", &newest, e);

    if (rc == 0) {
        rc = sql_prepare(j->db, query, &stmt, e);
    }
    if (rc == 0 && only) {
        rc = sqlite3_bind_int64(stmt, 1, only) == SQLITE_OK ? 0 : sql_fail(j->db, e);
    }
    if (rc == 0) {
        rc = 1;
    }
    while (rc == 1 && (rc = sql_step(stmt, e)) == 1) {
        add_task_row(stmt, room, &a);
    }
    (void)sqlite3_finalize(stmt);
    if (rc < 0) {
        agenda_deinit(&a);
        return rc;
    }
    a.next_id = newest + 1;
    *out = a;
    return 0;
}

int journal_load_agenda(struct journal *j, const struct room *room, struct agenda *out,
                        struct err *e)
{
    return load_tasks(j, room, TASKS_WITH_JOBS "outcome IS NULL ORDER BY id, subject", 0, out, e);
}

int journal_load_task(struct journal *j, const struct room *room, int64_t id, struct agenda *out,
                      struct err *e)
{
    return load_tasks(j, room, TASKS_WITH_JOBS "id = ? ORDER BY subject", id, out, e);
}
