/* journal_job.h - what the loop wants of the journal, and what came of it.
 *
 * A job is the caller's memory until its `done` is called; results stand in the job then. */
#ifndef TARN_SERVE_LIVE_JOURNAL_JOB_H
#define TARN_SERVE_LIVE_JOURNAL_JOB_H

#include "daemon/base/err.h"
#include "daemon/serve/live/live_room.h"
#include "daemon/serve/live/restored.h"
#include "daemon/store/journal.h"

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
    JOURNAL_JOB_STOOD,   /* seq: an entry that closed the task task.end.id, room -> found, and in
                            restored the room before that entry, and that task in its agenda */
    JOURNAL_JOB_KEY,     /* key -> row, n_rows: the entries told with it; none when it is new */
    JOURNAL_JOB_REFOLD,  /* room -> restored.state: the entries folded anew */
    JOURNAL_JOB_RESTORE, /* room -> restored: all that the journal has; does it take writes? */
    JOURNAL_JOB_CHECKPOINT, /* the log into the file */
    JOURNAL_JOB_BACKUP,     /* path (NULL: keep, day, and `in`) -> a copy; seq = its last entry */
    JOURNAL_JOB_SNAPSHOT,   /* room -> a snapshot of its state beside the journal */
    JOURNAL_JOB_THIN,       /* query.since_s, until_s: of sensors' readings of then what never
                               counted goes -> seq: so many went; until_s: to where it was looked */
};

struct journal_job {
    enum journal_job_kind kind;
    const struct room *room; /* must stay until done */
    struct unwritten batch;
    struct journal_query query;
    char of[NAME_LEN_MAX + 1]; /* of JOURNAL_JOB_LIST: what it is about; "" = nothing … */
    struct journal_part *part; /* … and query.part; owned */
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

/* A job of that kind with nothing in it; `done` frees it with journal_job_free, or
 * submits it anew. */
struct journal_job *journal_job_new(enum journal_job_kind kind, void (*done)(struct journal_job *),
                                    void *owner);
void journal_job_free(struct journal_job *job);

#endif
