/* change_plan.h - writes the coming changes of a room down as a problem for the planner (plan.h).
 *
 * Pure. The planner knows loads, days, minutes and water, and nothing of containers and crops:
 * this is where the one becomes the other. Days are counted from today. Work on days off is left
 * out, minutes are those of labour, and the plain water that the reservoir is foreseen to hold
 * is dearer to throw away the more it is. Of the water at hand in a morning, the reservoir's and
 * the source's, floats want theirs until the source has made more: mixes may take the rest. */
#ifndef TARN_CORE_TASKS_CHANGE_PLAN_H
#define TARN_CORE_TASKS_CHANGE_PLAN_H

#include "daemon/core/plan/plan.h"
#include "daemon/core/tasks/job.h"

#define CHANGE_PLAN_DAYS 60 /* whose labour and water are looked at */

struct change_plan {
    struct plan_room room;  /* points at the arrays below */
    struct plan_job *job;   /* owned; one for each change, in the order given; none is kept */
    struct plan_slot *slot; /* owned; likewise; of no meaning until it is filled */
    size_t n;
    int32_t today;
    double budget_min[CHANGE_PLAN_DAYS], plain_l[CHANGE_PLAN_DAYS], spare_l[CHANGE_PLAN_DAYS];
    double visit[CHANGE_PLAN_DAYS];
    bool off[CHANGE_PLAN_DAYS];
};

/* What its pieces cost: as is usual (plan_problem.h), with the minutes of this room's own work. */
struct plan_cost change_plan_cost(const struct room *room);

/* The problem of n changes (jobs of TASK_CHANGE, borrowed for the call) as of now_s; ended with
 * change_plan_deinit. *out must stay where it is: its room points into it. */
void change_plan_init(const struct room *room, const struct state *s, int64_t now_s,
                      const struct job *const *change, size_t n, struct change_plan *out);

/* Tells it on which days from today somebody is in the room anyway: others cost their way
 * (room_visit_min). Until then all days are alike. */
void change_plan_visits(struct change_plan *p, const struct room *room,
                        const bool there[CHANGE_PLAN_DAYS]);

void change_plan_deinit(struct change_plan *p); /* frees jobs and slots */

#endif
