/* plan.h - which changes share a mix, and on which day: asks the planner.
 *
 * Pure and deterministic. What is planned and what it costs stands in plan_problem.h. */
#ifndef TARN_CORE_PLAN_PLAN_H
#define TARN_CORE_PLAN_PLAN_H

#include "daemon/core/plan/plan_problem.h"

/* What a plan costs, and what no plan can cost less than (0 where that was not looked for). */
struct plan_sum {
    double cost, bound;
};

/* Plans with so much effort into out, of n elements: ten times as much looks ten times as long.
 * Less than PLAN_EFFORT_BOUND only mends the plan that was kept, and looks for no bound; no
 * effort leaves it as it is, and adds what has no place in it. A load of more litres than the
 * reservoir holds is several fillings of one strength. The same jobs give the same plan. */
#define PLAN_EFFORT_BOUND 4
struct plan_sum plan_mixes(const struct plan_room *room, const struct plan_job *job, size_t n,
                           unsigned effort, struct plan_slot *out);

/* What no plan can cost less than, looked for with so much effort beside one that costs `upper`;
 * 0 when there are too many jobs to say. */
double plan_least(const struct plan_room *room, const struct plan_job *job, size_t n,
                  unsigned effort, double upper);

/* Makes each filling a load of its own, for who works it: the largest jobs first, each into the
 * first filling that takes it. A job too large for the reservoir is alone. */
void plan_split_fillings(const struct plan_room *room, const struct plan_job *job, size_t n,
                         struct plan_slot *slot);

#endif
