/* plan_bound_best.h - the best set of jobs for one day, at given prices.
 *
 * Inside the planner only. Exact: recipe by recipe, along the line of strengths, with the minutes
 * already used as a second axis (a knapsack), so that overtime is counted as it is and not by a
 * price. It takes jobs x strengths in reach x slots. */
#ifndef TARN_CORE_PLAN_PLAN_BOUND_BEST_H
#define TARN_CORE_PLAN_PLAN_BOUND_BEST_H

#include "daemon/core/plan/plan_bound_days.h"

/* All arrays are the caller's. */
struct bound_best {
    const struct bound_days *days;
    const double *price; /* of doing each job */
    double *done;        /* how often each job is done at these prices … */
    int32_t *on;         /* … and on which day, the first of them */
    double *closed;      /* most_closed: by job in the day's order, then slot: with no load open */
    double *open;        /* most_open: by seat in the day's order, then slot: with its load open */
};

/* The most that a day is worth at these prices, >= 0. Counts who is done on it in done[], and
 * writes the day to on[] of each: asked from the last day to the first, the first is what stays. */
double plan_bound_best_day(const struct bound_best *b, size_t on);

#endif
