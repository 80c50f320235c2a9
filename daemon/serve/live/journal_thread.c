#include "daemon/serve/live/journal_thread.h"

#include "daemon/serve/live/journal_do.h"

#include <string.h>

/* Chosen by us: about a millisecond of work, which is as long as a job waits for it. */
#define CHECKED_AT_ONCE 256

#define SLICE_NS 20000000ULL /* chosen by us: 20 ms */

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

static void begin_work(struct journal_thread *t)
{
    atomic_store(&t->busy_since_ns, uv_hrtime());
}

static void end_work(struct journal_thread *t)
{
    atomic_store(&t->busy_since_ns, 0);
}

uint64_t journal_thread_busy_ns(const struct journal_thread *t)
{
    uint64_t since_ns = atomic_load(&t->busy_since_ns);
    uint64_t now_ns = uv_hrtime();

    return since_ns && now_ns > since_ns ? now_ns - since_ns : 0;
}

/* Looks at a part of the journal; the mutex is not held. False: all of it was looked at. */
static bool check_some(struct journal_thread *t)
{
    struct err e = {0};
    bool done = false;

    int rc;

    begin_work(t);
    rc = journal_check_some(t->journal, CHECKED_AT_ONCE, &done, &e);
    end_work(t);
    if (rc < 0) {
        uv_mutex_lock(&t->mutex);
        t->damage = e;
        t->damage_found = true;
        uv_mutex_unlock(&t->mutex);
        (void)uv_async_send(&t->async);
    }
    return !done;
}

/* Jobs that are finished, in the order in which they were. */
struct finished {
    struct journal_job *first, *last;
};

static void add_finished(struct finished *f, struct journal_job *job)
{
    job->next = NULL;
    if (f->last) {
        f->last->next = job;
    } else {
        f->first = job;
    }
    f->last = job;
}

static void add_all_finished(struct finished *f, struct journal_job *job)
{
    for (struct journal_job *next; job; job = next) {
        next = job->next;
        add_finished(f, job);
    }
}

/* Does the first of the list and all that goes with it; gives the one behind. */
static struct journal_job *do_first(struct journal_thread *t, struct journal_job *job,
                                    struct finished *f)
{
    struct journal_job *end;

    if (journal_slow_is(job)) {
        end = job->next;
        journal_slow_add(&t->slow, job);
        return end;
    }
    if (job->kind == JOURNAL_JOB_REFOLD || job->kind == JOURNAL_JOB_RESTORE) {
        add_all_finished(f, journal_slow_drop_snapshots(&t->slow));
    }
    end = journal_do(t->journal, job, &t->full);
    for (struct journal_job *next; job != end; job = next) {
        next = job->next;
        add_finished(f, job);
    }
    return end;
}

/* Some of what takes long. */
static void do_slow(struct journal_thread *t)
{
    struct journal_job *done;

    begin_work(t);
    done = journal_slow_do(&t->slow, t->journal);
    end_work(t);
    if (done) {
        hand_back(t, done);
    }
}

static void do_all(struct journal_thread *t, struct journal_job *job)
{
    struct finished f = {NULL, NULL};

    while (job) {
        begin_work(t);
        job = do_first(t, job, &f);
    }
    end_work(t);
    if (f.first) {
        hand_back(t, f.first);
    }
    /* Also where jobs never cease to wait. */
    if (journal_slow_wants(&t->slow)) {
        do_slow(t);
    }
}

/* Waits for jobs, and meanwhile does what has time. The mutex is held, but for that. */
static void wait_for_jobs(struct journal_thread *t, bool *checking)
{
    bool slow = journal_slow_wants(&t->slow);

    if (!slow && !*checking) {
        uv_cond_wait(&t->wake, &t->mutex);
        return;
    }
    uv_mutex_unlock(&t->mutex);
    if (slow) {
        do_slow(t);
    } else {
        *checking = check_some(t);
    }
    uv_mutex_lock(&t->mutex);
}

static void work(void *arg)
{
    struct journal_thread *t = arg;
    bool checking = !journal_is_checked(t->journal);

    for (;;) {
        struct journal_job *all;

        uv_mutex_lock(&t->mutex);
        while (!t->first && !t->stopping) {
            wait_for_jobs(t, &checking);
        }
        all = t->first;
        t->first = NULL;
        t->last = NULL;
        uv_mutex_unlock(&t->mutex);
        if (!all) {
            all = journal_slow_drop_all(&t->slow);
            if (all) {
                hand_back(t, all);
            }
            return;
        }
        do_all(t, all);
    }
}

/* A copy was looked through. */
static void wake(void *owner)
{
    struct journal_thread *t = owner;

    uv_mutex_lock(&t->mutex);
    uv_cond_signal(&t->wake);
    uv_mutex_unlock(&t->mutex);
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
    journal_slow_init(&t->slow, wake, t);
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
