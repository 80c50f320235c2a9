/* plan_visits.h - on which days somebody goes into the room, and what is done on each.
 *
 * Pure. The second half of the planning problem (the first is plan_problem.h): whatever is neither
 * mixed nor shared has a window and a due day, and days of work have a price of their own. Each
 * job gets a day of its window, so that the sum is least of
 *
 *     visit        for each day with a job: what the room's day costs
 *     early, late  of each job, for each day before or after its due day
 *     overtime     for each minute over the day's budget
 *
 * Without budgets it is solved to the optimum, by a dynamic programme over the days: between two
 * visits that follow each other a job goes to the nearer of the two that its window allows. Of n
 * jobs and d days it takes O(n d^2). What a day then has too much of goes to other days one by
 * one, where that is cheaper: no proof stands behind that part. Costs are minutes. */
#ifndef TARN_CORE_PLAN_PLAN_VISITS_H
#define TARN_CORE_PLAN_PLAN_VISITS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define PLAN_VISITS_DAYS 28 /* from today; what is due later is left on its due day */

struct visit_job {
    int32_t earliest, due,
        latest; /* days from today, earliest <= due <= latest; overdue serves today */
    double early_per_day, late_per_day;
    double minutes;
    int32_t day; /* out: days from today, >= 0 */
};

/* All arrays are of PLAN_VISITS_DAYS, from today, and borrowed. */
struct visit_days {
    const double *cost;       /* of being there; 0 = somebody is anyway, INFINITY = nobody works */
    const double *budget_min; /* what is left of the day */
    double overtime_per_min;
};

/* Gives each of n jobs its day. A job none of whose days is worked on is left on its due day, or
 * today where that is past. Gives what it costs in all, overtime left out. */
double plan_visits(const struct visit_days *days, struct visit_job *job, size_t n);

#endif
