/* drawn_jobs.h - small planning problems drawn by a seed, for tests of the planner. */
#ifndef TARN_TESTS_DRAWN_JOBS_H
#define TARN_TESTS_DRAWN_JOBS_H

#include "daemon/core/plan/plan_problem.h"

/* Knuth's MMIX multiplier: any linear congruence would do. */
static inline double draw(uint64_t *random, double lo, double hi)
{
    *random = *random * 6364136223846793005ULL + 1442695040888963407ULL;
    return lo + (hi - lo) * (double)(*random >> 40) / (double)(1 << 24);
}

/* The initializers of a room for them: so many litres above the outlet, the minutes of so many
 * days, and what matters in a plan but water, hands and moves, which may follow. */
#define A_PLAN_ROOM(litres, minutes, days)                                                         \
    .usable_l = (litres), .line_loss_l = 2, .changeover_min = 25, .load_min = 15,                  \
    .budget_min = (minutes), .n_days = (days), .horizon = (days),                                  \
    .cost = {.open = 10,                                                                           \
             .load = 5,                                                                            \
             .early_per_day = 0.6,                                                                 \
             .late_per_day = 2,                                                                    \
             .deviation_per_pct = 0.3,                                                             \
             .overtime_per_min = 0.5,                                                              \
             .unplanned = 60}

/* Two recipes, strengths that often nearly meet, windows of up to five days. */
static inline void draw_jobs(uint64_t *random, struct plan_job *job, size_t n, int32_t days)
{
    for (size_t i = 0; i < n; i++) {
        int32_t due = (int32_t)draw(random, 0, days);

        job[i].kept = PLAN_UNPLANNED;
        job[i].due = due;
        job[i].earliest = due - (int32_t)draw(random, 0, 3);
        job[i].latest = due + (int32_t)draw(random, 0, 3);
        job[i].recipe = (size_t)draw(random, 0, 1.4);
        job[i].ec_ms_cm = draw(random, 0.9, 1.5);
        job[i].tolerance_pct = draw(random, 4, 14);
        job[i].volume_l = draw(random, 2, 9);
        job[i].minutes = draw(random, 2, 9);
    }
}

/* As the planner's inner parts want them: by recipe, then by strength. */
static inline void sort_jobs(struct plan_job *job, size_t n)
{
    for (size_t i = 1; i < n; i++) {
        for (size_t k = i; k > 0 && (job[k].recipe < job[k - 1].recipe ||
                                     (job[k].recipe == job[k - 1].recipe &&
                                      job[k].ec_ms_cm < job[k - 1].ec_ms_cm));
             k--) {
            struct plan_job swapped = job[k];

            job[k] = job[k - 1];
            job[k - 1] = swapped;
        }
    }
}

#endif
