#include "daemon/serve/live/journal_thread.h"

#include "daemon/base/mem.h"
#include "daemon/core/units/day.h"
#include "daemon/store/backup.h"

#include <stdlib.h>
#include <string.h>

/* Chosen by us: about a millisecond of work, which is as long as a job waits for it. */
#define CHECKED_AT_ONCE 256

#define SLICE_NS 20000000ULL /* chosen by us: 20 ms */

struct journal_job *journal_job_new(enum journal_job_kind kind, void (*done)(struct journal_job *),
                                    void *owner)
{
    struct journal_job *job = mem_array(1, sizeof *job);

    job->kind = kind;
    job->done = done;
    job->owner = owner;
    unwritten_init(&job->batch);
    return job;
}

void journal_job_free(struct journal_job *job)
{
    if (job) {
        unwritten_deinit(&job->batch);
        free(job->row);
        free(job->path);
        free(job);
    }
}

/* The writes at the head of the list, as one batch. Task jobs stay where they are: the copies are
 * shallow. */
struct gathered {
    struct journal_batch batch;
    struct entry *entry;
    struct task *task;
    struct task_end *end;
    size_t cap_entries, cap_tasks, cap_ends;
};

/* A task that is open again was over in a batch before it: its end, written last, would undo that.
 */
static void forget_ends(struct gathered *g, const struct unwritten *b)
{
    size_t kept = 0;

    for (size_t i = 0; i < g->batch.n_ends; i++) {
        bool open = false;

        for (size_t k = 0; k < b->n_tasks && !open; k++) {
            open = b->task[k].id == g->end[i].id;
        }
        if (!open) {
            g->end[kept++] = g->end[i];
        }
    }
    g->batch.n_ends = kept;
}

static void gather(struct gathered *g, const struct journal_job *job)
{
    const struct unwritten *b = &job->batch;

    forget_ends(g, b);

    g->entry =
        mem_grow(g->entry, &g->cap_entries, g->batch.n_entries + b->entries.n, sizeof *g->entry);
    g->task = mem_grow(g->task, &g->cap_tasks, g->batch.n_tasks + b->n_tasks, sizeof *g->task);
    g->end = mem_grow(g->end, &g->cap_ends, g->batch.n_ends + b->ends.n, sizeof *g->end);
    if (b->entries.n) {
        memcpy(g->entry + g->batch.n_entries, b->entries.entry, b->entries.n * sizeof *g->entry);
    }
    if (b->n_tasks) {
        memcpy(g->task + g->batch.n_tasks, b->task, b->n_tasks * sizeof *g->task);
    }
    if (b->ends.n) {
        memcpy(g->end + g->batch.n_ends, b->ends.end, b->ends.n * sizeof *g->end);
    }
    g->batch.n_entries += b->entries.n;
    g->batch.n_tasks += b->n_tasks;
    g->batch.n_ends += b->ends.n;
    g->batch.room = job->room;
    if (b->day_started != DAY_NONE) {
        g->batch.day_started = b->day_started;
    }
}

/* Writes `first` and all writes right behind it. Returns the job after them. */
static struct journal_job *write_all(struct journal_thread *t, struct journal_job *first)
{
    struct gathered g = {.batch = {.day_started = DAY_NONE}};
    struct journal_job *end = first;
    struct err e = {0};
    int rc;

    for (; end && end->kind == JOURNAL_JOB_WRITE; end = end->next) {
        gather(&g, end);
    }
    g.batch.entry = g.entry;
    g.batch.task = g.task;
    g.batch.end = g.end;
    rc = t->full.code;
    e = t->full;
    if (rc == 0) {
        rc = journal_write(t->journal, &g.batch, &e);
    }
    if (rc == ERR_FULL) {
        t->full = e;
    }
    for (struct journal_job *job = first; job != end; job = job->next) {
        job->rc = rc;
        job->err = e;
    }
    free(g.entry);
    free(g.task);
    free(g.end);
    return end;
}

/* Writes are taken again from here on: what was made in the belief that the lost ones
 * were there came before it in the list. */
static void restore(struct journal_thread *t, struct journal_job *job)
{
    t->full.code = 0;
    job->rc = restore_all(t->journal, job->room, &job->restored, &job->err);
}

static void find_key(struct journal_thread *t, struct journal_job *job)
{
    int64_t first = 0;
    int64_t last = 0;
    int told = *job->key ? journal_find_key(t->journal, job->key, &first, &last, &job->err) : 0;

    job->rc = told < 0 ? told : 0;
    if (told != 1) {
        return;
    }
    job->row = mem_array((size_t)(last - first + 1), sizeof *job->row);
    for (int64_t seq = first; seq <= last && job->rc == 0; seq++) {
        job->rc = journal_get(t->journal, seq, &job->row[job->n_rows++], &job->err);
    }
}

/* An acknowledgement stands first, and what it told follows it: same task, told at the same
 * instant. */
static bool belongs_to(const struct entry *e, const struct entry *ack)
{
    return e->task == ack->task && e->told_s == ack->told_s && e->uid == ack->uid &&
           e->kind != ENTRY_ACKNOWLEDGED && e->kind != ENTRY_VOIDED;
}

static bool same_telling(const struct entry *a, const struct entry *b)
{
    return a->task && a->told_s == b->told_s && a->uid == b->uid && a->task == b->task;
}

/* From where on the telling goes that ends with this entry: by its key, and without one by its
 * task. */
static int telling_begins(struct journal_thread *t, const struct entry *e, int64_t *out_first,
                          struct err *err)
{
    int64_t last;
    int rc = journal_told_with(t->journal, e->seq, out_first, &last, err);

    if (rc != 0) {
        return rc < 0 ? rc : 0;
    }
    for (*out_first = e->seq; *out_first > 1; (*out_first)--) {
        struct journal_row before;

        rc = journal_get(t->journal, *out_first - 1, &before, err);
        if (rc < 0 || !same_telling(&before.entry, e)) {
            break;
        }
    }
    return rc;
}

/* The entry that closed or moved the task, of the same telling as row; seq 0 where there is
 * none. */
static int find_closing(struct journal_thread *t, const struct entry *e, struct journal_row *out,
                        struct err *err)
{
    int rc = 0;

    *out = (struct journal_row){.entry = *e};
    while (rc == 0 && e->task && out->entry.kind != ENTRY_ACKNOWLEDGED && out->entry.seq > 1) {
        struct journal_row before;

        rc = journal_get(t->journal, out->entry.seq - 1, &before, err);
        if (rc == 0 && !same_telling(&before.entry, e)) {
            break;
        }
        *out = before;
    }
    if (e->task == 0 ||
        (out->entry.kind != ENTRY_ACKNOWLEDGED && out->entry.kind != ENTRY_DROPPED)) {
        out->entry.seq = 0;
    }
    return rc;
}

/* Backwards from the newest: what a user told last stands near the end. */
static void find_last(struct journal_thread *t, struct journal_job *job)
{
    int64_t last = journal_last_seq(t->journal);
    struct journal_row row = {0};
    int64_t from = 0;
    size_t cap = 0;

    find_key(t, job);
    job->told = job->n_rows > 0;
    for (; last > 0 && job->rc == 0 && !job->told; last--) {
        job->rc = journal_get(t->journal, last, &row, &job->err);
        if (job->rc == 0 && !row.voided && row.entry.kind != ENTRY_VOIDED &&
            row.entry.uid == job->uid) {
            break;
        }
    }
    if (job->rc < 0 || job->told || last == 0) {
        return;
    }
    job->rc = telling_begins(t, &row.entry, &from, &job->err);
    for (int64_t seq = from; seq <= last && job->rc == 0; seq++) {
        struct journal_row one;

        job->rc = journal_get(t->journal, seq, &one, &job->err);
        if (job->rc == 0 && one.entry.kind == ENTRY_VOIDED) { /* a fix: a void is not voided */
            job->rc = err_set(&job->err, ERR_REFUSED,
                              "what you told last mended entry %lld; mend entry %lld once more "
                              "(tarn fix %lld …)",
                              (long long)one.entry.voids, (long long)last, (long long)last);
        } else if (job->rc == 0 && !one.voided) {
            job->row = mem_grow(job->row, &cap, job->n_rows + 1, sizeof *job->row);
            job->row[job->n_rows++] = one;
        }
    }
    if (job->rc == 0 && job->n_rows) {
        job->rc = find_closing(t, &job->row[0].entry, &job->found, &job->err);
    }
}

static void find_before(struct journal_thread *t, struct journal_job *job)
{
    find_key(t, job);
    job->told = job->n_rows > 0;
    if (job->rc == 0 && !job->told) {
        job->rc = journal_get(t->journal, job->seq, &job->found, &job->err);
    }
    if (job->rc == 0 && !job->told) {
        job->rc = restore_state_before(t->journal, job->room, &job->found.entry,
                                       &job->restored.state, &job->err);
    }
}

static void find_task(struct journal_thread *t, struct journal_job *job)
{
    job->rc = journal_task(t->journal, job->seq, &job->task, &job->row, &job->n_rows, &job->err);
    job->told = job->rc == 1;
    job->rc = job->rc < 0 ? job->rc : 0;
}

static void find_deed(struct journal_thread *t, struct journal_job *job)
{
    size_t cap = 0;
    int64_t seq = job->seq;
    struct journal_row row;

    find_key(t, job);
    job->told = job->n_rows > 0;
    if (job->rc < 0 || job->told) {
        return;
    }
    job->rc = journal_get(t->journal, seq, &row, &job->err);
    if (job->rc == 0) {
        job->rc = find_closing(t, &row.entry, &job->found, &job->err);
    }
    while (job->rc == 0 && (job->n_rows == 0 || belongs_to(&row.entry, &job->row[0].entry))) {
        job->row = mem_grow(job->row, &cap, job->n_rows + 1, sizeof *job->row);
        job->row[job->n_rows++] = row;
        if (job->row[0].entry.kind != ENTRY_ACKNOWLEDGED || seq == journal_last_seq(t->journal)) {
            return;
        }
        job->rc = journal_get(t->journal, ++seq, &row, &job->err);
    }
}

static void back_up(struct journal_thread *t, struct journal_job *job)
{
    job->rc = job->path ? journal_backup(t->journal, job->path, &job->err)
                        : journal_backup_day(t->journal, job->in, job->day, job->keep, &job->err);
    job->seq = journal_last_seq(t->journal);
}

static struct journal_job *do_job(struct journal_thread *t, struct journal_job *job)
{
    switch (job->kind) {
    case JOURNAL_JOB_WRITE:
        return write_all(t, job);
    case JOURNAL_JOB_LIST:
        job->query.of = *job->of ? job->of : NULL;
        job->rc = journal_list(t->journal, &job->query, &job->row, &job->n_rows, &job->err);
        break;
    case JOURNAL_JOB_GET:
        job->rc = journal_get(t->journal, job->seq, &job->found, &job->err);
        break;
    case JOURNAL_JOB_DEED:
        find_deed(t, job);
        break;
    case JOURNAL_JOB_LAST:
        find_last(t, job);
        break;
    case JOURNAL_JOB_BEFORE:
        find_before(t, job);
        break;
    case JOURNAL_JOB_TASK:
        find_task(t, job);
        break;
    case JOURNAL_JOB_KEY:
        find_key(t, job);
        break;
    case JOURNAL_JOB_REFOLD:
        job->rc = restore_state(t->journal, job->room, &job->restored.state, &job->err);
        break;
    case JOURNAL_JOB_RESTORE:
        restore(t, job);
        break;
    case JOURNAL_JOB_CHECKPOINT:
        job->rc = journal_checkpoint(t->journal, &job->err);
        break;
    case JOURNAL_JOB_BACKUP:
        back_up(t, job);
        break;
    }
    return job->next;
}

static void hand_back(struct journal_thread *t, struct journal_job *first)
{
    struct journal_job *last = first;

    while (last->next) {
        last = last->next;
    }
    uv_mutex_lock(&t->mutex);
    if (t->done_last) {
        t->done_last->next = first;
    } else {
        t->done_first = first;
    }
    t->done_last = last;
    uv_mutex_unlock(&t->mutex);
    (void)uv_async_send(&t->async);
}

/* Looks at a part of the journal; the mutex is not held. False: all of it was looked at. */
static bool check_some(struct journal_thread *t)
{
    struct err e = {0};
    bool done = false;

    if (journal_check_some(t->journal, CHECKED_AT_ONCE, &done, &e) < 0) {
        uv_mutex_lock(&t->mutex);
        t->damage = e;
        t->damage_found = true;
        uv_mutex_unlock(&t->mutex);
        (void)uv_async_send(&t->async);
    }
    return !done;
}

static void work(void *arg)
{
    struct journal_thread *t = arg;
    bool checking = !journal_is_checked(t->journal);

    for (;;) {
        struct journal_job *all;

        uv_mutex_lock(&t->mutex);
        while (!t->first && !t->stopping) {
            if (checking) {
                uv_mutex_unlock(&t->mutex);
                checking = check_some(t);
                uv_mutex_lock(&t->mutex);
            } else {
                uv_cond_wait(&t->wake, &t->mutex);
            }
        }
        all = t->first;
        t->first = NULL;
        t->last = NULL;
        uv_mutex_unlock(&t->mutex);
        if (!all) {
            return;
        }
        for (struct journal_job *job = all; job;) {
            job = do_job(t, job);
        }
        hand_back(t, all);
    }
}

static struct journal_job *take_done(struct journal_thread *t)
{
    struct journal_job *job;

    uv_mutex_lock(&t->mutex);
    job = t->done_first;
    if (job) {
        t->done_first = job->next;
        t->done_last = job->next ? t->done_last : NULL;
        job->next = NULL;
    }
    uv_mutex_unlock(&t->mutex);
    return job;
}

/* For so long at a time: a long answer for each of many clients would else keep the loop from all
 * others, and from letting go of what was closed meanwhile. */
static void call_done(struct journal_thread *t, uint64_t most_ns)
{
    uint64_t from_ns = uv_hrtime();
    struct journal_job *job = NULL;

    while (uv_hrtime() - from_ns < most_ns && (job = take_done(t)) != NULL) {
        job->done(job);
    }
    if (job) {
        (void)uv_async_send(&t->async);
    }
}

static void tell_damage(struct journal_thread *t)
{
    bool found;

    uv_mutex_lock(&t->mutex);
    found = t->damage_found;
    t->damage_found = false;
    uv_mutex_unlock(&t->mutex);
    if (found && t->on_damage) {
        t->on_damage(t);
    }
}

static void on_async(uv_async_t *async)
{
    call_done(async->data, SLICE_NS);
    tell_damage(async->data);
}

int journal_thread_start(struct journal_thread *t, uv_loop_t *loop, struct journal *journal,
                         void (*on_damage)(struct journal_thread *t), void *owner, struct err *e)
{
    int rc;

    memset(t, 0, sizeof *t);
    t->journal = journal;
    t->on_damage = on_damage;
    t->owner = owner;
    rc = uv_async_init(loop, &t->async, on_async);
    if (rc < 0) {
        return err_set(e, rc, "cannot start the journal's thread: %s", uv_strerror(rc));
    }
    t->async.data = t;
    if (uv_mutex_init(&t->mutex) < 0 || uv_cond_init(&t->wake) < 0 ||
        uv_thread_create(&t->thread, work, t) < 0) {
        return err_set(e, ERR_STORE, "cannot start the journal's thread");
    }
    return 0;
}

void journal_thread_submit(struct journal_thread *t, struct journal_job *job)
{
    job->next = NULL;
    uv_mutex_lock(&t->mutex);
    if (t->last) {
        t->last->next = job;
    } else {
        t->first = job;
    }
    t->last = job;
    uv_cond_signal(&t->wake);
    uv_mutex_unlock(&t->mutex);
}

void journal_thread_stop(struct journal_thread *t)
{
    uv_mutex_lock(&t->mutex);
    t->stopping = true;
    uv_cond_signal(&t->wake);
    uv_mutex_unlock(&t->mutex);
    (void)uv_thread_join(&t->thread);
    call_done(t, UINT64_MAX);
    uv_close((uv_handle_t *)&t->async, NULL);
    uv_cond_destroy(&t->wake);
    uv_mutex_destroy(&t->mutex);
    journal_close(t->journal);
    t->journal = NULL;
}
