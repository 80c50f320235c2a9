/* plan_day.h - the cheapest loads for the jobs of one day.
 *
 * Pure; inside the planner only. In one dimension, strength, loads are groups of neighbours: jobs
 * sorted by strength are cut into groups by dynamic programming, O(k^2) groups of k jobs, each with
 * the strength that is the median of its jobs, weighted by what a percent costs them. */
#ifndef TARN_CORE_PLAN_DAY_H
#define TARN_CORE_PLAN_DAY_H

#include "daemon/core/plan.h"

/* The days that serve for a job: from first to last, both within the horizon. None when first is
 * past last. */
int32_t plan_first_day(const struct plan_job *j);
int32_t plan_last_day(const struct plan_room *room, const struct plan_job *j);

/* Waiting for or being ahead of its due day. */
double plan_wait_cost(const struct plan_room *room, const struct plan_job *j, int32_t day);

/* Fillings that so many litres take. */
double plan_fillings(const struct plan_room *room, double volume_l);

/* What the jobs at[0..k) cost together on a day; INFINITY when they cannot be. With slots, writes
 * day, strength and load (from first_load on) of each, and the number of loads to *out_loads. at is
 * sorted by recipe, strength and index, as plan_sort does. */
double plan_day_cost(const struct plan_room *room, const struct plan_job *job, const uint32_t *at,
                     size_t k, int32_t day, struct plan_slot *slots, uint32_t first_load,
                     uint32_t *out_loads);

void plan_sort(const struct plan_job *job, uint32_t *at, size_t k);

#endif
