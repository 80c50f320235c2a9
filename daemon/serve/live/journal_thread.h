/* journal_thread.h - the thread that keeps the journal, so that no sync of the disk
 * holds up the loop.
 *
 * Once started it alone touches the journal. It does its jobs in the order given, but
 * takes all writes that wait next to each other into one transaction: thirty
 * acknowledgements cost one sync. A job is the caller's memory until its `done` is
 * called, on the loop's thread; results stand in the job then.
 *
 * Where nothing waits it looks through what of the journal was not checked when it was opened, and
 * says what is wrong in `damage`, once, with a call of on_damage on the loop's thread.
 *
 * After a write met a full disk every write fails alike until a JOURNAL_JOB_RESTORE has given
 * out what the journal holds: those behind it were made in the belief that it would be there. */
#ifndef TARN_SERVE_LIVE_JOURNAL_THREAD_H
#define TARN_SERVE_LIVE_JOURNAL_THREAD_H

#include "daemon/base/err.h"
#include "daemon/serve/live/live_room.h"
#include "daemon/serve/live/restored.h"
#include "daemon/store/journal.h"

#include <uv.h>

enum journal_job_kind {
    JOURNAL_JOB_WRITE,   /* batch */
    JOURNAL_JOB_LIST,    /* query -> row, n_rows */
    JOURNAL_JOB_GET,     /* seq -> found; ERR_UNKNOWN when there is none */
    JOURNAL_JOB_DEED,    /* seq -> row, n_rows: the entry, and if it is an acknowledgement all that
                            was told with it; found: the acknowledgement (seq 0 = none) */
    JOURNAL_JOB_LAST,    /* uid -> row, n_rows: what that user told last and is not voided, whole;
                            found as for a deed */
    JOURNAL_JOB_BEFORE,  /* seq, room -> found, restored.state: the room without that entry and
                            without what came after it */
    JOURNAL_JOB_TASK,    /* seq: a task's number -> task, told: there is or was one; row, n_rows */
    JOURNAL_JOB_KEY,     /* key -> row, n_rows: the entries told with it; none when it is new */
    JOURNAL_JOB_REFOLD,  /* room -> restored.state: the entries folded anew */
    JOURNAL_JOB_RESTORE, /* room -> restored: all that the journal has; does it take writes? */
    JOURNAL_JOB_CHECKPOINT, /* the log into the file */
    JOURNAL_JOB_BACKUP,     /* path (NULL: keep, day, and `in`) -> a copy; seq = its last entry */
};

struct journal_job {
    enum journal_job_kind kind;
    const struct room *room; /* must stay until done */
    struct unwritten batch;
    struct journal_query query;
    char of[NAME_LEN_MAX + 1]; /* what query.of points at */
    bool told; /* the jobs that mend, with a key: row is what was told with that key before */
    uint32_t uid;
    struct journal_task task;
    struct journal_row *row; /* owned by the job */
    size_t n_rows;
    int64_t seq;
    struct journal_row found;
    char key[ENTRY_KEY_MAX + 1];
    char *path; /* owned; of a copy that was asked for */
    char day[16];
    char in[256]; /* the folder of copies of days; "" = the usual one */
    int keep;
    struct restored restored; /* the caller's from `done` on; when rc is 0 */
    int rc;
    struct err err;
    void (*done)(struct journal_job *job);
    void *owner;
    struct journal_job *next;
};

struct journal_thread {
    struct journal *journal; /* taken; closed by journal_thread_stop */
    uv_thread_t thread;
    uv_mutex_t mutex;
    uv_cond_t wake;
    uv_async_t async;
    struct journal_job *first, *last;           /* waiting */
    struct journal_job *done_first, *done_last; /* finished, for the loop */
    bool stopping;
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

/* Ends the thread after what waits is done, calls the last `done`s and closes the journal. The
 * async handle is closed with the loop's next turn. */
void journal_thread_stop(struct journal_thread *t);

/* A job of that kind with nothing in it; `done` frees it with journal_job_free, or
 * submits it anew. */
struct journal_job *journal_job_new(enum journal_job_kind kind, void (*done)(struct journal_job *),
                                    void *owner);
void journal_job_free(struct journal_job *job);

#endif
