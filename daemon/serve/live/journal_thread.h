/* journal_thread.h - the thread that keeps the journal, so that no sync of the disk
 * holds up the loop.
 *
 * Once started it alone touches the journal. It does its jobs in the order given, but
 * takes all writes that wait next to each other into one transaction: thirty
 * acknowledgements cost one sync. `done` of a job is called on the loop's thread.
 *
 * What takes long, copies and snapshots, it does a part at a time, between the jobs and while
 * nothing waits (journal_slow.h).
 *
 * Where nothing waits it looks through what of the journal was not checked when it was opened, and
 * says what is wrong in `damage`, once, with a call of on_damage on the loop's thread.
 *
 * After a write met a full disk every write fails alike until a JOURNAL_JOB_RESTORE has given
 * out what the journal holds: those behind it were made in the belief that it would be there. */
#ifndef TARN_SERVE_LIVE_JOURNAL_THREAD_H
#define TARN_SERVE_LIVE_JOURNAL_THREAD_H

#include "daemon/serve/live/journal_job.h"
#include "daemon/serve/live/journal_slow.h"

#include <stdatomic.h>
#include <uv.h>

struct journal_thread {
    struct journal *journal; /* taken; closed by journal_thread_stop */
    uv_thread_t thread;
    uv_mutex_t mutex;
    uv_cond_t wake;
    uv_async_t async;
    struct journal_job *first, *last;           /* waiting */
    struct journal_job *done_first, *done_last; /* finished, for the loop */
    struct journal_slow slow;                   /* the thread's own */
    bool stopping;
    atomic_uint_fast64_t busy_since_ns; /* by uv_hrtime; 0 = it waits */
    struct err damage; /* what the check found; code 0 = nothing. The loop's, once it is told */
    bool damage_found; /* … and it is to be told */
    void (*on_damage)(struct journal_thread *t);
    void *owner;
    struct err full; /* of the write that met a full disk; code 0 = none. The thread's own */
};

/* Takes the journal over; on failure it is the caller's still. `owner` is for on_damage, which may
 * be NULL. */
int journal_thread_start(struct journal_thread *t, uv_loop_t *loop, struct journal *journal,
                         void (*on_damage)(struct journal_thread *t), void *owner, struct err *e);

/* The job (taken until its `done`) comes after those that were submitted before. */
void journal_thread_submit(struct journal_thread *t, struct journal_job *job);

/* For how long it has been at one job, or at one part of what takes long; 0 = it waits for some. A
 * disk that never answers shows here. For the loop's thread. */
uint64_t journal_thread_busy_ns(const struct journal_thread *t);

/* Ends the thread after what waits is done, calls the last `done`s and closes the journal. The
 * async handle is closed with the loop's next turn. */
void journal_thread_stop(struct journal_thread *t);

#endif
