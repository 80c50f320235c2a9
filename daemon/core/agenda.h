/* agenda.h - the tasks: jobs that are done together, with an identity that lasts.
 *
 * Pure. Tasks are derived from room and state, but keep their number: a re-plan matches what it
 * derived with the open tasks by the keys of their jobs, so a task is moved and never renumbered.
 */
#ifndef TARN_CORE_AGENDA_H
#define TARN_CORE_AGENDA_H

#include "daemon/core/job.h"

struct task {
    int64_t id; /* 0 = not numbered yet */
    enum task_kind kind;
    enum care_kind care;           /* of TASK_CARE */
    int32_t earliest, due, latest; /* the days that serve for all its jobs */
    int32_t on;                    /* the planned day; before today = still open from then */
    struct job *job;               /* owned; >= 1 */
    size_t n_jobs;
    size_t recipe;       /* of start, change, bump */
    double mix_ec_ms_cm; /* of a change: what the mix is made to */
    double mix_l;        /* of a change: how much, lines and remainder included */
    double minutes;      /* changeover and load included */
    char why[240];
};

struct agenda {
    struct task *task; /* ordered by day, then in the order in which a morning is worked */
    size_t n, cap;
    int64_t next_id; /* the number that the next new task gets; from 1 */
};

enum outcome { OUTCOME_DONE, OUTCOME_DROPPED, OUTCOME_WITHDRAWN };
extern const char *const outcome_words[]; /* "done", "dropped", "withdrawn" */

struct task_end {
    int64_t id;
    enum outcome outcome;
    char reason[240];
};

struct task_ends {
    struct task_end *end;
    size_t n, cap;
};

/* Adds a copy of a job; amortised O(1). */
void task_add_job(struct task *t, const struct job *j);

void agenda_deinit(struct agenda *a);
void task_ends_deinit(struct task_ends *t);

/* The tasks of today and the horizon, unnumbered (id 0). */
void agenda_derive(const struct room *room, const struct state *s, int64_t now_s, int horizon_days,
                   struct agenda *out);

/* Gives the tasks in *fresh their numbers: those of the tasks in *before with which they share most
 * jobs, else new ones. Fills *ends with every task of *before that is over, and how: done when one
 * of its jobs' cycles went on, dropped when a person dropped them all, withdrawn with its reason
 * otherwise. */
void agenda_settle(const struct room *room, const struct state *s, int64_t now_s,
                   const struct agenda *before, struct agenda *fresh, struct task_ends *ends);

const struct task *agenda_find(const struct agenda *a, int64_t id);

/* Is the task on the list of `day`? Planned for it, or planned earlier and still open on it. */
bool task_is_on(const struct task *t, int32_t day, int32_t today);
bool task_is_overdue(const struct task *t, int32_t today); /* today is past its latest day */

#endif
