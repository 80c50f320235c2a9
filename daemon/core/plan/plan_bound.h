/* plan_bound.h - what no plan can cost less than.
 *
 * Pure; inside the planner only. A Lagrangian bound over whole days; how it is found stands in
 * plan_bound.c. Jobs poured by hand and fillings beyond the first of a load are taken for
 * cheaper than they are, and plain water that is thrown away may be: the bound is loose where
 * they matter. */
#ifndef TARN_CORE_PLAN_PLAN_BOUND_H
#define TARN_CORE_PLAN_PLAN_BOUND_H

#include "daemon/core/plan/plan_problem.h"

/* The bound after so many steps of the prices, at most `upper`, the cost of a plan that is known; 0
 * where there are too many jobs for one. out_day, of n elements: the day on which each job would be
 * done at the best prices, or PLAN_UNPLANNED: not a plan, but near a good one. */
double plan_bound(const struct plan_room *room, const struct plan_job *job, size_t n,
                  unsigned steps, double upper, int32_t *out_day);

#endif
