/* clerk.h - the thread that keeps the journal, so that no sync of the disk holds up the loop.
 *
 * Once started it alone touches the journal. It does its jobs in the order given, but takes all
 * writes that wait next to each other into one transaction. A job is the caller's memory until its
 * `done` is called, on the loop's thread; results stand in the job then.
 *
 * After a write met a full disk every write fails alike until a CLERK_RELOAD has given out what the
 * journal holds: those behind it were made in the belief that it would be there. */
#ifndef TARN_SERVE_CLERK_H
#define TARN_SERVE_CLERK_H

#include "daemon/base/err.h"
#include "daemon/serve/keeper.h"
#include "daemon/store/journal.h"

#include <uv.h>

enum clerk_kind {
    CLERK_WRITE,  /* batch */
    CLERK_LIST,   /* query -> row, n_rows */
    CLERK_GET,    /* seq -> found; ERR_UNKNOWN when there is none */
    CLERK_DEED,   /* seq -> row, n_rows: the entry, and all that was told with it if it is an
                     acknowledgement */
    CLERK_KEY,    /* key -> row, n_rows: the entries told with it; none when it is new */
    CLERK_REFOLD, /* room -> state */
    CLERK_RELOAD, /* room -> state, agenda, seq (of the last entry), day_started, probed */
    CLERK_SETTLE, /* the log into the file */
};

struct clerk_job {
    enum clerk_kind kind;
    const struct room *room; /* must stay until done */
    struct batch batch;
    struct journal_query query;
    char of[ROOM_NAME_MAX + 1]; /* what query.of points at */
    bool told;               /* CLERK_DEED with a key: row is what was told with that key before */
    struct journal_row *row; /* owned by the job */
    size_t n_rows;
    int64_t seq;
    struct journal_row found;
    char key[ENTRY_KEY_MAX + 1];
    struct state state; /* the caller's from `done` on, and so is the agenda; when rc is 0 */
    struct agenda agenda;
    int32_t day_started;
    int probed;            /* 0, or ERR_FULL with … */
    struct err probed_err; /* … the words for it */
    int rc;
    struct err err;
    void (*done)(struct clerk_job *job);
    void *owner;
    struct clerk_job *next;
};

struct clerk {
    struct journal *journal; /* taken; closed by clerk_stop */
    uv_thread_t thread;
    uv_mutex_t mutex;
    uv_cond_t wake;
    uv_async_t async;
    struct clerk_job *first, *last;           /* waiting */
    struct clerk_job *done_first, *done_last; /* finished, for the loop */
    bool stopping;
    struct err full; /* of the write that met a full disk; code 0 = none. The thread's own */
};

int clerk_start(struct clerk *c, uv_loop_t *loop, struct journal *journal, struct err *e);
void clerk_submit(struct clerk *c, struct clerk_job *job);

/* Ends the thread after what waits is done, calls the last `done`s and closes the journal. The
 * async handle is closed with the loop's next turn. */
void clerk_stop(struct clerk *c);

struct clerk_job *clerk_job_new(enum clerk_kind kind, void (*done)(struct clerk_job *),
                                void *owner);
void clerk_job_free(struct clerk_job *job);

#endif
