/* agenda.h - the tasks: jobs that are done together, with an identity that lasts.
 *
 * Pure. Tasks are derived from room and state, but keep their number: a re-plan matches what it
 * derived with the open tasks by the keys of their jobs, so a task is moved and never renumbered.
 */
#ifndef TARN_CORE_TASKS_AGENDA_H
#define TARN_CORE_TASKS_AGENDA_H

#include "daemon/core/tasks/job.h"

struct task {
    int64_t id; /* 0 = not numbered yet */
    enum task_kind kind;
    enum care_kind care;           /* of TASK_CARE */
    int32_t earliest, due, latest; /* the days that serve for all its jobs */
    int32_t on;                    /* the planned day; before today = still open from then */
    struct job *job;               /* owned; >= 1 */
    size_t n_jobs, jobs_cap;
    size_t recipe;       /* of start, change, bump */
    double mix_ec_ms_cm; /* of a change: what the mix is made to */
    double mix_l;        /* of a change: how much, lines and remainder included */
    bool by_hand;        /* of a change: mixed in a jug, and poured */
    bool fills;          /* there is water enough to fill the reservoir when the change is over */
    bool leaves_rest; /* of a change: a stronger mix of its recipe is made from what is left … */
    struct liquid rest; /* … which this one is made from; 0 L = from plain water */
    bool pressing;      /* the fill of a reservoir that is dry by now: before all other work */
    double minutes;     /* changeover and load included */
    char why[400];
};

struct agenda {
    struct task *task; /* what presses first, then by day, then as a morning is worked */
    size_t n, cap;
    int64_t next_id; /* the number that the next new task gets; from 1 */
};

/* Adds a copy of a job; amortised O(1). */
void task_add_job(struct task *t, const struct job *j);

/* A copy that shares no memory with *from; *to must be uninitialised or deinited. */
void agenda_copy(struct agenda *to, const struct agenda *from);
void agenda_deinit(struct agenda *a); /* frees tasks and jobs; *a is empty afterwards */

/* The tasks of today and the horizon, unnumbered (id 0); ended with agenda_deinit.
 * Changes stay on the days that they have in `before` (NULL = none) where another is
 * not worth the move. While `today_stands`, today's list is neither added to nor
 * taken from, but by what has to be and what is over. */
void agenda_derive(const struct room *room, const struct state *s, int64_t now_s, int horizon_days,
                   const struct agenda *before, bool today_stands, struct agenda *out);

/* A job and the task that it stands in. */
struct keyed {
    const struct job *job;
    size_t task;
};

/* The jobs of all tasks, sorted by their keys; owned by the caller, while its jobs
 * are the agenda's. */
struct keyed *agenda_keys(const struct agenda *a, size_t *out_n);

/* The one of n such keys that is this job's; NULL when there is none. */
const struct keyed *agenda_find_key(const struct keyed *keys, size_t n, const struct job *j);

/* The task with a number; NULL when there is none. Borrowed until the agenda changes. */
const struct task *agenda_find(const struct agenda *a, int64_t id);

double task_jobs_l(const struct task *t); /* the litres of its jobs together */

/* Does the reservoir hold the mix that was made for this task (or for none, and is
 * near enough), and as much of it as these litres want? */
bool task_mix_is_there(const struct state *s, const struct task *t, double wanted_l);

/* Is the task on the list of `day`? Planned for it, or planned earlier and still open on it. */
bool task_is_on(const struct task *t, int32_t day, int32_t today);
bool task_is_overdue(const struct task *t, int32_t today); /* today is past its latest day */

#endif
