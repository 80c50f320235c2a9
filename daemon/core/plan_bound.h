/* plan_bound.h - what no plan can cost less than.
 *
 * Pure; inside the planner only. A Lagrangian bound: that each job is done once, and what a minute
 * over the budget costs, are paid for by prices; then every day and recipe can be planned by itself,
 * in one dimension, as a line of strengths on which loads are opened (a k-median on a line, by dynamic
 * programming). The prices are found by subgradient steps (Held, Wolfe & Crowder 1974). Fillings
 * beyond the first of a load are taken in proportion to the litres where that is less. */
#ifndef TARN_CORE_PLAN_BOUND_H
#define TARN_CORE_PLAN_BOUND_H

#include "daemon/core/plan.h"

/* `upper` is the cost of a plan that is known. */
double plan_bound(const struct plan_room *room, const struct plan_job *job, size_t n,
                  unsigned effort, double upper);

#endif
