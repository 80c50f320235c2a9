/* journal_slow.h - what takes long, done a part at a time: copies of the journal, snapshots of the
 * state, and the thinning of sensors' readings.
 *
 * Between two parts others have their turn, and may write: a copy has what was told until its last
 * page was copied. It is looked through on a thread of its own, which does not touch the journal.
 * All else is for the journal's thread. */
#ifndef TARN_SERVE_LIVE_JOURNAL_SLOW_H
#define TARN_SERVE_LIVE_JOURNAL_SLOW_H

#include "daemon/serve/live/journal_job.h"
#include "daemon/serve/live/refold.h"
#include "daemon/store/backup.h"
#include "daemon/store/thinning.h"

#include <stdatomic.h>
#include <uv.h>

struct journal_slow {
    struct journal_job *first, *last; /* the first is under way */
    bool begun;
    struct refold refold;
    struct thinning thinning;
    struct backup *backup;
    uv_thread_t checker; /* of the copy */
    bool checks;         /* it runs, or has to be joined */
    atomic_bool checked;
    int check_rc; /* the checker's until it is joined … */
    struct err check_err;
    void (*wake)(void *owner); /* called by the checker at its end */
    void *owner;
};

void journal_slow_init(struct journal_slow *s, void (*wake)(void *owner), void *owner);

/* Is it for here? */
bool journal_slow_is(const struct journal_job *job);

void journal_slow_add(struct journal_slow *s, struct journal_job *job);

/* Is there something to do now? Not where there is nothing, nor while a copy is looked through. */
bool journal_slow_wants(const struct journal_slow *s);

/* Does a part. The job that it was the last of, or NULL. */
struct journal_job *journal_slow_do(struct journal_slow *s, struct journal *j);

/* Ends all snapshots unfinished, or all there is (the daemon ends), and gives them as a list: their
 * room may be another from here on. */
struct journal_job *journal_slow_drop_snapshots(struct journal_slow *s);
struct journal_job *journal_slow_drop_all(struct journal_slow *s);

#endif
