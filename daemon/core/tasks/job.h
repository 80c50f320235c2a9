/* job.h - one thing that wants doing to one subject: its window, its reason, and
 * whether it was done.
 *
 * Pure. Jobs are derived from room and state (jobs.h); tasks (agenda.h) are jobs that are done
 * together. A job's natural key is (word, subject, cycle): the cycle counts how often this was
 * done for the subject, so a job keeps its key while it is moved about and gets a new one when it
 * was done. */
#ifndef TARN_CORE_TASKS_JOB_H
#define TARN_CORE_TASKS_JOB_H

#include "daemon/core/room/room.h"
#include "daemon/core/state/state.h"
#include "daemon/core/words/task_kind.h"

struct job {
    enum task_kind kind;
    enum care_kind care; /* of TASK_CARE */
    struct subject subject;
    int32_t cycle;
    int32_t earliest, due, latest; /* civil days, earliest <= due <= latest */
    bool placed;                   /* the plan of the visits has it … */
    int32_t on;                    /* … on this day */
    double early_per_day,
        late_per_day;  /* what a day before or after the due one costs, in minutes */
    int32_t done_on;   /* the day on which it was done last; DAY_NONE = not yet */
    size_t recipe;     /* of start, change, bump */
    double ec_ms_cm;   /* strength wanted in the container afterwards (start, change, bump) … */
    double food_ms_cm; /* … and of it what is not the water's own salts */
    double volume_l;   /* solution needed (start, change); litres in it (bump); to add (fill) */
    double minutes;    /* of labour for this subject alone */
    char why[320];     /* a sentence without its full stop */
    char loss[120];    /* what happens if it is left */
};

/* "change", "care float": kind, and for care the kind of care. Returns buf. */
char *job_word(char buf[ENTRY_WORD_MAX + 1], const struct job *j);

/* Orders jobs by their keys, as strcmp does words; 0 = the same key. */
int job_compare_keys(const struct job *a, const struct job *b);

/* The cycle of a bump: bumps are counted anew with each solution, and a change ends
 * those of the last. */
int32_t job_bump_cycle(int32_t solution, int32_t bumps);

/* Did its cycle go on since, which is to say: was it done? */
bool job_is_done(const struct state *s, const struct job *j);

/* What a person said of this very job, to put it off or to drop it; NULL when nobody did. Borrowed
 * from the state until that changes. */
const struct hold *job_hold(const struct state *s, const struct job *j);

/* Was it dropped by a person, and does it still rest on `today`? */
bool job_is_dropped(const struct state *s, const struct job *j, int32_t today);

/* The day on which a job that is dropped today may be asked for again, one day later at least;
 * DAY_NONE = not in this cycle. */
int32_t job_rests_until(const struct room *room, const struct state *s, const struct job *j,
                        int32_t today);

/* Why a job that was wanted is wanted no more, for the person who had it on the list: a sentence
 * without its full stop, cut to len. */
void job_gone_reason(const struct room *room, const struct state *s, const struct job *j,
                     int64_t now_s, char *buf, size_t len);

#endif
