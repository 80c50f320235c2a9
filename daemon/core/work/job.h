/* job.h - what each thing in the room wants done, by itself, with its window.
 *
 * Pure. A job is one subject's need; tasks (agenda.h) are jobs that are done together. A job's
 * natural key is (word, subject, cycle): the cycle counts how often this was done for the subject,
 * so a job keeps its key while it is moved about and gets a new one when it was done. */
#ifndef TARN_CORE_WORK_JOB_H
#define TARN_CORE_WORK_JOB_H

#include "daemon/core/room/room.h"
#include "daemon/core/state/state.h"

enum task_kind {
    TASK_START,
    TASK_CHECK,
    TASK_CHANGE,
    TASK_BUMP,
    TASK_PH,
    TASK_READ,
    TASK_FILL,
    TASK_CALIBRATE,
    TASK_CARE,
    TASK_REORDER,
    TASK_HARVEST,
    TASK_LOOK, /* at what an alarm says */
    TASK_KIND_N
};
extern const char *const task_words[TASK_KIND_N]; /* "start", "check", "change", … */

struct job {
    enum task_kind kind;
    enum care_kind care; /* of TASK_CARE */
    struct subject subject;
    int32_t cycle;
    int32_t earliest, due, latest; /* civil days, earliest <= due <= latest */
    int32_t done_on;               /* the day on which it was done last; DAY_NONE = not yet */
    size_t recipe;                 /* of start, change, bump */
    double ec_ms_cm; /* strength wanted in the container afterwards (start, change, bump) */
    double volume_l; /* solution needed (start, change); litres in it (bump); to add (fill) */
    double minutes;  /* of labour for this subject alone */
    char why[200];   /* a sentence without its full stop */
    char loss[120];  /* what happens if it is left */
};

/* "change", "care float": kind, and for care the kind of care. Returns buf. */
char *job_word(char buf[ENTRY_WORD_MAX + 1], const struct job *j);
int job_compare_keys(const struct job *a, const struct job *b); /* as strcmp; 0 = the same key */

struct jobs {
    struct job *job;
    size_t n, cap;
};
void jobs_deinit(struct jobs *js);

/* Was it done since, or is it resting because a person dropped it? */
bool job_is_done(const struct state *s, const struct job *j);
bool job_is_dropped(const struct state *s, const struct job *j, int32_t today);

/* Every job whose earliest day lies before today + horizon_days, by state and room as of now_s.
 * Jobs on hold have their window moved, or are left out while they rest. Order: kind, then subject.
 */
void jobs_derive(const struct room *room, const struct state *s, int64_t now_s, int horizon_days,
                 struct jobs *out);

/* Why a job that was wanted is wanted no more, for the person who had it on the list. */
void job_gone_reason(const struct room *room, const struct state *s, const struct job *j,
                     int64_t now_s, char *buf, size_t len);

#endif
