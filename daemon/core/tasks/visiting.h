/* visiting.h - on which days work is done: everything but the changes, which have a planner of
 * their own (change_plan.h).
 *
 * Pure. A day of work costs its way (`labour: visit`), more on a day that is not wished for; a job
 * costs for each day before or after its due one, and has a first and a last day. plan_visits.h
 * finds the days. What cannot wait makes a visit, the rest gathers on it. */
#ifndef TARN_CORE_TASKS_VISITING_H
#define TARN_CORE_TASKS_VISITING_H

#include "daemon/core/tasks/bundling.h"
#include "daemon/core/tasks/jobs.h"

/* By so much the way of a visit is multiplied: what is done on one day comes again together, so
 * that a visit draws others. It goes by the dial of the room file. */
double visiting_weighs(const struct room *room);

/* Gives every job but the changes its day, and notes in b->there who is there when: the days of
 * changes that are bundled already cost nothing more, and so does today where its list stands. */
void visiting_place(struct bundling *b, struct jobs *jobs);

/* Takes out what other work makes needless: a bump or a pH shortly before a change, a reading by
 * which the figures are known anyway, all that is asked of plants which are cut by then, a fill
 * that a change brings. The changes are bundled, and the rest has its days. */
void visiting_drop_served(const struct bundling *b, struct jobs *jobs);

#endif
