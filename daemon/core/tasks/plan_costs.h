/* plan_costs.h - what the plan of the changes costs, how near that is to the least
 * there is, and what it would cost to do a change on another day.
 *
 * Pure. A person who wants to put a change off is told the price before. A plan is searched for
 * anew for each other day, so this is for a person who asks, and not for every acknowledgement. */
#ifndef TARN_CORE_TASKS_PLAN_COSTS_H
#define TARN_CORE_TASKS_PLAN_COSTS_H

#include "daemon/core/plan/plan_amounts.h"
#include "daemon/core/tasks/agenda.h"

/* Days, fillings, litres and minutes of the changes of an agenda, as they are planned. */
struct plan_amounts plan_costs_now(const struct room *room, const struct state *s, int64_t now_s,
                                   const struct agenda *a);

/* By how much, in percent of it, the plan costs more than the least that any plan can
 * cost; NaN when there is nothing to plan, or too much for a bound. */
double plan_costs_gap_pct(const struct room *room, const struct state *s, int64_t now_s,
                          const struct agenda *a);

/* The plan if a task were done on another day, and by how much it would cost more. */
struct other_day {
    int32_t day;             /* civil day */
    struct plan_amounts sum; /* of the whole plan with the task on that day; `moved` is left out */
    double dearer;           /* in the planner's cost; below 0: it would cost less */
};
#define PLAN_COSTS_DAYS_MAX 6 /* a working week beside its own day; each takes a search */

/* Those of the days near its own on which this change might be done, by day; *out_is is the plan
 * as it stands. 0 when the task is no change, or has no other day. */
size_t plan_costs_other_days(const struct room *room, const struct state *s, int64_t now_s,
                             const struct agenda *a, const struct task *t,
                             struct plan_amounts *out_is,
                             struct other_day out[PLAN_COSTS_DAYS_MAX]);

#endif
