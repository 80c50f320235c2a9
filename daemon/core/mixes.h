/* mixes.h - the changes of a room as the planner's problem (plan.h).
 *
 * Pure. Days are counted from today. Work on days off is left out, minutes are those of labour, and
 * the plain water that the reservoir is foreseen to hold is dearer to throw away the more it is. Of the
 * water at hand in a morning, the reservoir's and the source's, floats want theirs until the source has
 * made more: mixes may take the rest. */
#ifndef TARN_CORE_MIXES_H
#define TARN_CORE_MIXES_H

#include "daemon/core/job.h"
#include "daemon/core/plan.h"

#define MIXES_DAYS 60 /* whose labour and water are looked at */

struct mixes {
    struct plan_room room;  /* points at the arrays below */
    struct plan_job *job;   /* owned; one for each change, in the order given; none is kept */
    struct plan_slot *slot; /* owned; likewise; of no meaning until it is filled */
    size_t n;
    int32_t today;
    double budget_min[MIXES_DAYS], plain_l[MIXES_DAYS], spare_l[MIXES_DAYS];
    bool off[MIXES_DAYS];
};

/* *out must stay where it is: its room points into it. */
void mixes_init(const struct room *room, const struct state *s, int64_t now_s,
                const struct job *const *change, size_t n, struct mixes *out);
void mixes_deinit(struct mixes *m);

#endif
