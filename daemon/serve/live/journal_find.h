/* journal_find.h - what jobs look for in the journal.
 *
 * Each does the job of its kind as journal_job.h says; what it found stands in the job. */
#ifndef TARN_SERVE_LIVE_JOURNAL_FIND_H
#define TARN_SERVE_LIVE_JOURNAL_FIND_H

struct journal;
struct journal_job;

void journal_find_told(struct journal *j, struct journal_job *job); /* with a client's key */
void journal_find_deed(struct journal *j, struct journal_job *job);
void journal_find_last(struct journal *j, struct journal_job *job);
void journal_find_before(struct journal *j, struct journal_job *job);
void journal_find_stood(struct journal *j, struct journal_job *job);
void journal_find_task(struct journal *j, struct journal_job *job);

#endif
