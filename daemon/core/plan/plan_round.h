/* plan_round.h - one round of the search: takes some jobs out of a draft, and puts them back.
 *
 * Inside the planner only. Deterministic by the draft's dice. Large-neighbourhood search (Shaw
 * 1998; Ropke & Pisinger 2006): what is taken out together is what could share a mix, and each
 * is put back where it costs least, now and then passing over a day (Christiaens & Vanden Berghe
 * 2020). A day is shut for a round, or made free, so that whole days close and open: one job
 * alone never pays for opening a day that five would share. */
#ifndef TARN_CORE_PLAN_PLAN_ROUND_H
#define TARN_CORE_PLAN_PLAN_ROUND_H

#include "daemon/core/plan/plan_draft.h"

#define PLAN_TAKEN_MAX 96 /* jobs in a round */

struct plan_round {
    struct plan_draft *s;
    uint32_t taken[PLAN_TAKEN_MAX];
    struct plan_place was[PLAN_TAKEN_MAX];
    size_t n_taken;
    int32_t shut, free; /* days */
    double lure;        /* what the free day is made cheaper by for its first job */
    bool passes_over;   /* days, now and then */
    size_t n_twins;     /* jobs like the one before them */
};

/* No day shut or free, and none passed over; borrows the draft. */
void plan_round_init(struct plan_round *r, struct plan_draft *s);

/* Puts a job that is nowhere on the day, or leaves it out, as costs least. */
void plan_round_put_where_cheapest(struct plan_round *r, uint32_t job);

/* One round on a draft that has all its jobs: the cost may be more afterwards, and is for the
 * caller to judge. */
void plan_round_mend(struct plan_round *r);

/* Puts back what plan_round_mend moved last, and nothing else may have moved since. */
void plan_round_undo(struct plan_round *r);

#endif
