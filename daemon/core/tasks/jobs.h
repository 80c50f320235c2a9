/* jobs.h - what everything in the room wants done, thing by thing, as of an instant.
 *
 * Pure. Each kind's rule stands by its subject: jobs_plant.c, jobs_solution.c, jobs_reservoir.c,
 * jobs_care.c, jobs_stock.c. */
#ifndef TARN_CORE_TASKS_JOBS_H
#define TARN_CORE_TASKS_JOBS_H

#include "daemon/core/tasks/job.h"

struct jobs {
    struct job *job; /* owned */
    size_t n, cap;
};
void jobs_deinit(struct jobs *js); /* frees the jobs; *js is empty afterwards */

void jobs_add(struct jobs *js, const struct job *j); /* appends a copy */

/* Appends to *out every job whose earliest day lies before today + horizon_days, by state and room
 * as of now_s. What a person put off has its window moved, what was dropped is left out while it
 * rests, and nothing falls on days off that can be done before or after them. Order: kind, then
 * subject; care by what is cared for. */
void jobs_derive(const struct room *room, const struct state *s, int64_t now_s, int horizon_days,
                 struct jobs *out);

#endif
