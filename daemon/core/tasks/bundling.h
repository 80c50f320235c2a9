/* bundling.h - how jobs become tasks; for agenda_derive.c and the bundling*.c only.
 *
 * Pure. A task is what a person does in one go: a visit to several containers, or one
 * filling of the reservoir that serves several changes. */
#ifndef TARN_CORE_TASKS_BUNDLING_H
#define TARN_CORE_TASKS_BUNDLING_H

#include "daemon/core/tasks/agenda.h"
#include "daemon/core/tasks/change_plan.h"

/* What tasks are made of, and where they go. */
struct bundling {
    const struct room *room;
    const struct state *s;
    int64_t now_s;
    int32_t today;
    const struct agenda *before; /* NULL = there is none */
    struct keyed *kept;          /* its jobs, sorted by their keys */
    size_t n_kept;
    bool today_stands; /* today's list is neither added to nor taken from */
    bool there
        [CHANGE_PLAN_DAYS]; /* somebody is in the room on these days from today, changes or not */
    struct agenda *out;
};

/* The day on which the plan before has a job; DAY_NONE when it has none. */
int32_t bundling_kept_day(const struct bundling *b, const struct job *j);

/* Opens a task of the kind, care, recipe and strength of its first job, on that day
 * or, where it is past, today. The job itself is not put into it yet. Borrowed from
 * the agenda until the next one is opened. */
struct task *bundling_open(const struct bundling *b, const struct job *first, int32_t on);

/* Puts a copy of the job into the task: its minutes are added, and the window is what
 * suits both. */
void bundling_put(struct task *t, const struct job *j);

/* Windows of jobs that are late and of others may not meet: makes the task's own one
 * again, with the planned day not before it. Once, when all jobs are in. */
void bundling_mend_window(struct task *t);

/* One visit for as many as it can serve: the job that is due first sets the day, and all that
 * may be done on that day join it (stabbing intervals by their due day). Sorts job[]. */
void bundle_visits(const struct bundling *b, const struct job **job, size_t n);

void bundle_singly(const struct bundling *b, const struct job **job, size_t n); /* a task each */

/* The changes of bundling_changes.c: on the days and in the mixes that the planner chose.
 * One that no reservoir can hold gets a task of its own, for a person to see to it. */
void bundle_changes(const struct bundling *b, const struct job **job, size_t n);

#endif
