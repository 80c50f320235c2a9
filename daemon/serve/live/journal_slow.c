#include "daemon/serve/live/journal_slow.h"

#include <string.h>

/* Chosen by us: about two milliseconds of work each, which is as long as a job waits for it. */
#define FOLDED_AT_ONCE  256
#define PAGES_AT_ONCE   256
#define THINNED_AT_ONCE 128

void journal_slow_init(struct journal_slow *s, void (*wake)(void *owner), void *owner)
{
    memset(s, 0, sizeof *s);
    s->wake = wake;
    s->owner = owner;
}

bool journal_slow_is(const struct journal_job *job)
{
    return job->kind == JOURNAL_JOB_BACKUP || job->kind == JOURNAL_JOB_SNAPSHOT ||
           job->kind == JOURNAL_JOB_THIN;
}

void journal_slow_add(struct journal_slow *s, struct journal_job *job)
{
    job->next = NULL;
    if (s->last) {
        s->last->next = job;
    } else {
        s->first = job;
    }
    s->last = job;
}

bool journal_slow_wants(const struct journal_slow *s)
{
    return s->first && (!s->checks || atomic_load(&s->checked));
}

/* ---- a snapshot */

/* True: it is through. */
static bool fold_some(struct journal_slow *s, struct journal *j, struct journal_job *job)
{
    bool done = false;

    if (!s->begun) {
        refold_begin(&s->refold, j, job->room, NULL);
    }
    job->rc = refold_some(&s->refold, FOLDED_AT_ONCE, &done, &job->err);
    if (job->rc == 0 && s->refold.not_kept.code) {
        job->err = s->refold.not_kept;
        job->rc = job->err.code;
    }
    done = done || job->rc < 0;
    if (done) {
        refold_end(&s->refold);
    }
    return done;
}

/* ---- thinning */

/* True: it is through. */
static bool thin_some(struct journal_slow *s, struct journal *j, struct journal_job *job)
{
    bool done = false;

    if (!s->begun) {
        job->rc =
            thinning_begin(&s->thinning, j, job->query.since_s, job->query.until_s, &job->err);
    }
    if (job->rc == 0) {
        job->rc = thinning_some(&s->thinning, j, THINNED_AT_ONCE, &done, &job->err);
    }
    done = done || job->rc < 0;
    if (done) {
        job->seq = s->thinning.n_gone;
        job->query.until_s = s->thinning.until_s;
        thinning_deinit(&s->thinning);
    }
    return done;
}

/* ---- a copy */

static void check_copy(void *arg)
{
    struct journal_slow *s = arg;

    s->check_rc = backup_check(s->backup, &s->check_err);
    atomic_store(&s->checked, true);
    s->wake(s->owner);
}

static int begin_copy(struct journal_slow *s, struct journal *j, struct journal_job *job)
{
    return job->path ? backup_begin(j, job->path, &s->backup, &job->err)
                     : backup_begin_day(j, job->in, job->day, job->keep, &s->backup, &job->err);
}

/* True: without a thread it was looked through here, while others waited. */
static bool start_check(struct journal_slow *s, struct journal_job *job)
{
    atomic_store(&s->checked, false);
    s->checks = uv_thread_create(&s->checker, check_copy, s) == 0;
    if (!s->checks) {
        job->rc = backup_check(s->backup, &job->err);
    }
    return !s->checks;
}

static void join_check(struct journal_slow *s)
{
    if (s->checks) {
        (void)uv_thread_join(&s->checker);
        s->checks = false;
    }
}

static bool end_copy(struct journal_slow *s, struct journal_job *job)
{
    if (s->backup) {
        job->seq = backup_entries(s->backup);
        job->rc = backup_end(s->backup, job->rc, &job->err);
        s->backup = NULL;
    }
    return true;
}

/* True: it is through. */
static bool copy_some(struct journal_slow *s, struct journal *j, struct journal_job *job)
{
    bool all = false;

    if (s->checks) {
        join_check(s);
        job->rc = s->check_rc;
        job->err = s->check_err;
        return end_copy(s, job);
    }
    if (!s->begun) {
        job->rc = begin_copy(s, j, job);
    }
    if (job->rc < 0 || !s->backup) { /* the day's copy may be there already */
        job->seq = journal_last_seq(j);
        return true;
    }
    job->rc = backup_some(s->backup, PAGES_AT_ONCE, &all, &job->err);
    if (job->rc < 0) {
        return end_copy(s, job);
    }
    return all && start_check(s, job) && end_copy(s, job);
}

/* ---- all of them */

static struct journal_job *take_first(struct journal_slow *s)
{
    struct journal_job *job = s->first;

    s->first = job->next;
    s->last = s->first ? s->last : NULL;
    s->begun = false;
    job->next = NULL;
    return job;
}

struct journal_job *journal_slow_do(struct journal_slow *s, struct journal *j)
{
    struct journal_job *job = s->first;
    bool done = job->kind == JOURNAL_JOB_SNAPSHOT ? fold_some(s, j, job)
                : job->kind == JOURNAL_JOB_THIN   ? thin_some(s, j, job)
                                                  : copy_some(s, j, job);

    s->begun = true;
    return done ? take_first(s) : NULL;
}

static void break_off(struct journal_slow *s, struct journal_job *job)
{
    if (job->kind == JOURNAL_JOB_SNAPSHOT) {
        refold_end(&s->refold);
    } else if (job->kind == JOURNAL_JOB_THIN) {
        thinning_deinit(&s->thinning);
    } else {
        join_check(s);
        (void)end_copy(s, job);
    }
}

static struct journal_job *drop(struct journal_slow *s, bool all)
{
    struct journal_slow kept = {0};
    struct journal_job *dropped = NULL;
    struct journal_job *job = s->first;
    bool begun = s->begun;

    for (struct journal_job *next; job; job = next, begun = false) {
        next = job->next;
        if (!all && job->kind != JOURNAL_JOB_SNAPSHOT) {
            journal_slow_add(&kept, job);
            continue;
        }
        if (job->kind == JOURNAL_JOB_BACKUP) {
            job->rc = err_set(&job->err, ERR_BUSY, "tarnd is ending");
        }
        if (begun) {
            break_off(s, job);
            s->begun = false;
        }
        job->next = dropped;
        dropped = job;
    }
    s->first = kept.first;
    s->last = kept.last;
    return dropped;
}

struct journal_job *journal_slow_drop_snapshots(struct journal_slow *s)
{
    return drop(s, false);
}

struct journal_job *journal_slow_drop_all(struct journal_slow *s)
{
    return drop(s, true);
}
