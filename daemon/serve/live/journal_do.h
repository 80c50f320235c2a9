/* journal_do.h - jobs are done: what each kind of them does to the journal.
 *
 * For the journal's thread; blocks on the disk. */
#ifndef TARN_SERVE_LIVE_JOURNAL_DO_H
#define TARN_SERVE_LIVE_JOURNAL_DO_H

#include "daemon/serve/live/journal_job.h"

/* Does the first of a list of jobs, and with it the writes right behind a write, as one group;
 * gives the job behind what it did. The slow ones (journal_slow.h) are not for it.
 *
 * *full: of the write that met a full disk; code 0 = none. */
struct journal_job *journal_do(struct journal *j, struct journal_job *job, struct err *full);

#endif
