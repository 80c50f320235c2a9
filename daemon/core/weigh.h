/* weigh.h - what the plan of the changes comes to, and what another day would.
 *
 * Pure. Asks for a plan anew for each other day, so it is for a person who asks, and not for every
 * turn. */
#ifndef TARN_CORE_WEIGH_H
#define TARN_CORE_WEIGH_H

#include "daemon/core/agenda.h"
#include "daemon/core/plan.h"

/* The changes of an agenda as they are planned. */
struct plan_amounts weigh_plan(const struct room *room, const struct state *s, int64_t now_s,
                               const struct agenda *a);

/* By how much, in percent of it, the plan costs more than the least that any plan can cost; NaN when
 * there is nothing to plan, or too much for a bound. */
double weigh_gap_pct(const struct room *room, const struct state *s, int64_t now_s,
                     const struct agenda *a);

/* The plan if a task were done on another day, and by how much it would cost more. */
struct other_day {
    int32_t day;
    struct plan_amounts sum;
    double dearer;
};
#define WEIGH_DAYS_MAX 6

/* Those of the days near its own on which this change might be done, by day; *out_is is the plan as
 * it stands. 0 when the task is no change, or has no other day. */
size_t weigh_other_days(const struct room *room, const struct state *s, int64_t now_s,
                        const struct agenda *a, const struct task *t, struct plan_amounts *out_is,
                        struct other_day out[WEIGH_DAYS_MAX]);

#endif
