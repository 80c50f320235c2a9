/* plan_day.h - what the jobs of one day cost together.
 *
 * Pure; inside the planner only. In one dimension, strength, loads are groups of neighbours: the
 * jobs of one recipe, sorted by strength, are cut into groups by dynamic programming, each with
 * the strength that is the median of its jobs, weighted by what a percent costs them. Of k jobs
 * with g in reach of one strength it takes O(k g). The cuts are the best when a filling costs
 * what it does within the day's budget (PLAN_WITHIN) and beyond it (PLAN_BEYOND); a day takes
 * the cheaper. */
#ifndef TARN_CORE_PLAN_PLAN_DAY_H
#define TARN_CORE_PLAN_PLAN_DAY_H

#include "daemon/core/plan/plan_problem.h"

/* Beyond the budget each filling costs its minutes too, and fewer of them are worth more
 * deviation. */
enum plan_way { PLAN_WITHIN, PLAN_BEYOND, PLAN_WAYS };

/* The loads of jobs of one recipe: fillings, their price and what the jobs deviate. */
struct plan_loads {
    double cost[PLAN_WAYS], fillings[PLAN_WAYS];
};

/* The best cuts, each way, of k >= 1 jobs of one recipe; at[0..k) are sorted by strength. */
struct plan_loads plan_loads_of(const struct plan_room *room, const struct plan_job *job,
                                const uint32_t *at, size_t k);

/* Writes the strength and the load of each, as plan_loads_of reckoned them; *load numbers the
 * loads, and is moved on by as many. */
void plan_write_loads(const struct plan_room *room, const struct plan_job *job, const uint32_t *at,
                      size_t k, enum plan_way way, struct plan_slot *slots, uint32_t *load);

/* The sums of a day. */
struct plan_tally {
    size_t mixed, by_hand; /* jobs */
    struct plan_loads loads;
    double apart; /* what each job costs by itself */
    double minutes, volume_l;
};

/* What the day costs in all, by the cheaper way, which out_way (NULL = who cares) is told. */
double plan_tally_cost(const struct plan_room *room, int32_t day, const struct plan_tally *t,
                       enum plan_way *out_way);

#endif
