/* plan_search.h - on which day each job is done.
 *
 * Pure and deterministic; inside the planner only. The search is over days alone: given the
 * days, the loads follow (plan_day.h). */
#ifndef TARN_CORE_PLAN_PLAN_SEARCH_H
#define TARN_CORE_PLAN_PLAN_SEARCH_H

#include "daemon/core/plan/plan_draft.h"

/* The jobs are sorted by recipe, strength, due and latest day. Puts in one by one those that
 * have no day yet (PLAN_UNPLANNED), the least patient first, each where it costs least. */
void plan_fill(const struct plan_room *room, const struct plan_job *job, size_t n,
               struct plan_place *place);

/* The best of so many rounds, begun in turn from each of n_from plans, which are filled. */
void plan_search(const struct plan_room *room, const struct plan_job *job, size_t n, size_t rounds,
                 struct plan_place *const *from, size_t n_from, struct plan_place *out);

#endif
