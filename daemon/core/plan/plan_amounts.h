/* plan_amounts.h - what a plan comes to in things that a person counts, and what it costs.
 *
 * Pure. Reckoned from the slots alone, and checked against the rules on the way, so that the search
 * cannot pass off a sum that its plan does not have. */
#ifndef TARN_CORE_PLAN_PLAN_AMOUNTS_H
#define TARN_CORE_PLAN_PLAN_AMOUNTS_H

#include "daemon/core/plan/plan_problem.h"

/* What a plan comes to, in things that a person counts. */
struct plan_amounts {
    bool valid; /* false: it breaks a rule, and nothing else is told */
    size_t unplanned, by_hand, moved;
    double open_days, fillings;
    double mixed_l; /* what stays in the lines included */
    double visits;  /* what its days cost besides, in points */
    double minutes, overtime_min;
    double early_days, late_days, deviation_pct; /* summed over the jobs */
    double plain_l;                              /* plain water that goes to waste */
    double short_l;                              /* water that floats will lack */
};

/* Of n slots, one a job, checked against every rule of plan_problem.h. */
struct plan_amounts plan_amounts_of(const struct plan_room *room, const struct plan_job *job,
                                    size_t n, const struct plan_slot *slot);

/* What amounts cost; INFINITY where they are not valid. */
double plan_price(const struct plan_cost *cost, const struct plan_amounts *a);

/* The cost of a plan as it stands; INFINITY when it breaks a rule. */
double plan_cost_of(const struct plan_room *room, const struct plan_job *job, size_t n,
                    const struct plan_slot *slot);

#endif
