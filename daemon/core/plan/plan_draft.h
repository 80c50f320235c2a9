/* plan_draft.h - a plan in the making: jobs are put on days and taken off again, and its cost
 * kept up.
 *
 * Inside the planner only. Deterministic. The jobs of one recipe on one day are a bunch. What
 * the loads of a bunch cost depends on its jobs and not on the day, and is remembered under a
 * hash of them (Zobrist 1970), so that most trials cost a look-up and not a dynamic programme. */
#ifndef TARN_CORE_PLAN_PLAN_DRAFT_H
#define TARN_CORE_PLAN_PLAN_DRAFT_H

#include "daemon/core/plan/plan_day.h"

/* Where a job is. */
struct plan_place {
    int32_t day; /* or PLAN_UNPLANNED */
    bool by_hand;
};

/* Jobs, ascending, of one recipe on one day. */
struct plan_bunch {
    uint32_t *at;
    size_t n, cap;
    uint64_t key;
    struct plan_loads loads;
};

struct plan_memory {
    uint64_t key;
    size_t n;
    struct plan_loads loads;
};

struct plan_draft {
    const struct plan_room *room;
    const struct plan_job *job; /* sorted by recipe, strength, due and latest day */
    size_t n;
    size_t n_days, n_recipes;
    size_t *recipe;           /* of each job, from 0 */
    uint64_t *sign;           /* of each job, for the keys */
    struct plan_bunch *bunch; /* by day, then recipe */
    struct plan_tally *tally; /* of each day … */
    double *day_cost;         /* … and what it comes to */
    struct plan_place *place; /* of each job */
    double cost;              /* of the whole plan, what is left out included */
    struct plan_memory *memory;
    size_t memory_mask;
    uint32_t *trial; /* a bunch and one job more */
    uint64_t dice;   /* the only chance there is: the same jobs give the same plan */
};

/* For n >= 1 sorted jobs, none of them placed or counted as left out yet; borrows room and jobs. */
void plan_draft_init(struct plan_draft *s, const struct plan_room *room, const struct plan_job *job,
                     size_t n);
void plan_draft_deinit(struct plan_draft *s);

/* A draw, even, of 0 .. n - 1; n < 2^32. */
uint32_t plan_draft_draw(struct plan_draft *s, size_t n);

/* Puts in a job that is nowhere, or takes one out of where it is: PLAN_UNPLANNED is a place too,
 * and costs what a job that is left out does. */
void plan_draft_put(struct plan_draft *s, uint32_t job, struct plan_place at);
void plan_draft_take(struct plan_draft *s, uint32_t job);

/* The cost of the day with that job, which is nowhere, put on it. */
double plan_draft_cost_with(struct plan_draft *s, int32_t day, uint32_t job, bool by_hand);

#endif
