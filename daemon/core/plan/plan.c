#include "daemon/core/plan/plan.h"

#include "daemon/base/mem.h"
#include "daemon/base/order.h"
#include "daemon/core/plan/plan_amounts.h"
#include "daemon/core/plan/plan_bound.h"
#include "daemon/core/plan/plan_day.h"
#include "daemon/core/plan/plan_search.h"

#include <math.h>
#include <stdlib.h>

/* All set by tests/bench/plan.sh, beside the optima of an exact solver. */
#define STEPS        6 /* of the bound, for each effort */
#define ROUNDS_A_JOB 8 /* for each effort … */

/* The rounds of few jobs are quick, and there are as many as if the jobs were … */
#define FEW          3600 /* … this over their number, but no more than their square; */
#define JOBS_MOST    100  /* those of more than this take longer, and there are fewer. */
#define MENDED_LEAST 8    /* A plan is mended as if it had so many jobs at the least … */
#define MENDED_MOST  20   /* … and at the most */

/* The jobs along the lines of strength, as the search wants them. */
struct sorted {
    const struct plan_job *job;
    size_t at; /* where it was */
};

static int by_line(const void *pa, const void *pb)
{
    const struct sorted *a = pa;
    const struct sorted *b = pb;

    /* By their days as well, so that twins stand side by side. */
    return ORDER(a->job->recipe, b->job->recipe)
               ?: ORDER(a->job->ec_ms_cm, b->job->ec_ms_cm)
               ?: ORDER(a->job->due, b->job->due)
               ?: ORDER(a->job->latest, b->job->latest)
               ?: ORDER(a->at, b->at);
}

/* Where the sorted jobs are, by day and then along the line. */
struct placed {
    struct plan_place place;
    uint32_t at;
};

static int by_day(const void *pa, const void *pb)
{
    const struct placed *a = pa;
    const struct placed *b = pb;

    return ORDER(a->place.day, b->place.day)
               ?: ORDER(a->place.by_hand, b->place.by_hand)
               ?: ORDER(a->at, b->at);
}

/* Turns places into slots. */
struct plan_writer {
    const struct plan_room *room;
    const struct plan_job *job; /* sorted */
    struct plan_slot *slot;     /* likewise */
    uint32_t *at;
    uint32_t load;
};

/* The next k jobs that share a recipe. */
static size_t of_one_recipe(const struct plan_writer *w, const uint32_t *at, size_t n)
{
    size_t k = 1;

    while (k < n && w->job[at[k]].recipe == w->job[at[0]].recipe) {
        k++;
    }
    return k;
}

/* The loads of one day: at[0..mixed) from the reservoir, the others up to n by hand. */
static void write_day(struct plan_writer *w, int32_t day, const uint32_t *at, size_t mixed,
                      size_t n)
{
    struct plan_tally t = {.mixed = mixed, .by_hand = n - mixed};
    enum plan_way way;

    for (size_t i = 0; i < n; i++) {
        const struct plan_job *j = &w->job[at[i]];

        t.minutes += j->minutes + (i < mixed ? 0 : w->room->hand_min);
        t.volume_l += i < mixed ? j->volume_l : 0;
        w->slot[at[i]] = (struct plan_slot){day, 0, i >= mixed, j->ec_ms_cm};
    }
    for (size_t i = 0, k; i < mixed; i += k) {
        struct plan_loads loads;

        k = of_one_recipe(w, at + i, mixed - i);
        loads = plan_loads_of(w->room, w->job, at + i, k);
        for (int which = 0; which < PLAN_WAYS; which++) {
            t.loads.cost[which] += loads.cost[which];
            t.loads.fillings[which] += loads.fillings[which];
        }
    }
    /* The day's minutes decide by which way its lines are cut: the same question as in the
     * search. */
    (void)plan_tally_cost(w->room, day, &t, &way);
    for (size_t i = 0, k; i < mixed; i += k) {
        k = of_one_recipe(w, at + i, mixed - i);
        plan_write_loads(w->room, w->job, at + i, k, way, w->slot, &w->load);
    }
    for (size_t i = mixed; i < n; i++) {
        w->slot[at[i]].load = w->load++;
    }
}

static void write_plan(const struct plan_room *room, const struct plan_job *job, size_t n,
                       const struct plan_place *place, struct plan_slot *slot)
{
    struct placed *placed = mem_array(n, sizeof *placed);
    uint32_t *at = mem_array(n, sizeof *at);
    struct plan_writer w = {.room = room, .job = job, .slot = slot};

    for (uint32_t i = 0; i < n; i++) {
        placed[i] = (struct placed){place[i], i};
        slot[i] = (struct plan_slot){.day = PLAN_UNPLANNED};
    }
    qsort(placed, n, sizeof *placed, by_day);
    for (size_t i = 0, k; i < n; i += k) {
        int32_t day = placed[i].place.day;
        size_t mixed = 0;

        for (k = 0; i + k < n && placed[i + k].place.day == day; k++) {
            at[k] = placed[i + k].at;
            mixed += placed[i + k].place.by_hand ? 0 : 1;
        }
        if (day != PLAN_UNPLANNED) {
            write_day(&w, day, at, mixed, k);
        }
    }
    free(placed);
    free(at);
}

/* Larger problems get fewer rounds a job, so that no morning waits for its list. */
static size_t rounds_for(unsigned effort, size_t n)
{
    double jobs = (double)n;
    double like = n > JOBS_MOST ? (double)JOBS_MOST * JOBS_MOST / jobs
                                : fmax(jobs, fmin(FEW / fmax(1, jobs), jobs * jobs));

    if (effort < PLAN_EFFORT_BOUND) {
        like = fmin(fmax(jobs, MENDED_LEAST), MENDED_MOST);
    }
    return (size_t)(effort * ROUNDS_A_JOB * like);
}

/* The plan before, where a job still may be where it was. */
static void as_kept(const struct plan_room *room, const struct plan_job *job, size_t n,
                    struct plan_place *place)
{
    for (size_t i = 0; i < n; i++) {
        int32_t day = plan_may_stay(room, &job[i]) ? job[i].kept : PLAN_UNPLANNED;

        place[i] = (struct plan_place){day, false};
    }
    plan_fill(room, job, n, place);
}

/* Plans the sorted jobs: from the plan that was kept, and where there is the effort for it from
 * none and from where the bound's prices would have them. */
static double plan_sorted(const struct plan_room *room, const struct plan_job *job, size_t n,
                          unsigned effort, struct plan_slot *slot)
{
    enum { KEPT, NONE, PRICED, STARTS };
    struct plan_place *from[STARTS];
    struct plan_place *best = mem_array(n, sizeof *best);
    int32_t *priced = mem_array(n, sizeof *priced);
    bool thorough = effort >= PLAN_EFFORT_BOUND;
    bool kept = false;
    size_t first;
    double bound = 0;

    for (size_t k = 0; k < STARTS; k++) {
        from[k] = mem_array(n, sizeof **from);
    }
    for (size_t i = 0; i < n; i++) {
        from[NONE][i] = (struct plan_place){PLAN_UNPLANNED, false};
        kept = kept || job[i].kept != PLAN_UNPLANNED;
    }
    as_kept(room, job, n, from[KEPT]);
    first = kept ? KEPT : NONE;
    if (thorough || !kept) {
        plan_fill(room, job, n, from[NONE]);
    }
    if (thorough) {
        write_plan(room, job, n, from[NONE], slot);
        bound = plan_bound(room, job, n, effort * STEPS, plan_cost_of(room, job, n, slot), priced);
        for (size_t i = 0; i < n; i++) {
            bool serves = priced[i] != PLAN_UNPLANNED && !plan_is_off(room, priced[i]);

            from[PRICED][i] = (struct plan_place){serves ? priced[i] : PLAN_UNPLANNED, false};
        }
        plan_fill(room, job, n, from[PRICED]);
    }
    plan_search(room, job, n, rounds_for(effort, n), from + first, thorough ? STARTS - first : 1,
                best);
    write_plan(room, job, n, best, slot);
    for (size_t k = 0; k < STARTS; k++) {
        free(from[k]);
    }
    free(best);
    free(priced);
    return bound;
}

/* Sorted along the lines; both arrays are owned by the caller. */
static struct plan_job *sort_jobs(const struct plan_job *job, size_t n, struct sorted **out_order)
{
    struct sorted *order = mem_array(n, sizeof *order);
    struct plan_job *sorted = mem_array(n, sizeof *sorted);

    for (size_t i = 0; i < n; i++) {
        order[i] = (struct sorted){&job[i], i};
    }
    qsort(order, n, sizeof *order, by_line);
    for (size_t i = 0; i < n; i++) {
        sorted[i] = *order[i].job;
    }
    *out_order = order;
    return sorted;
}

struct plan_sum plan_mixes(const struct plan_room *room, const struct plan_job *job, size_t n,
                           unsigned effort, struct plan_slot *out)
{
    struct sorted *order;
    struct plan_job *sorted = sort_jobs(job, n, &order);
    struct plan_slot *slot = mem_array(n, sizeof *slot);
    struct plan_sum sum = {.bound = plan_sorted(room, sorted, n, effort, slot)};

    for (size_t i = 0; i < n; i++) {
        out[order[i].at] = slot[i];
    }
    free(order);
    free(sorted);
    free(slot);
    sum.cost = plan_cost_of(room, job, n, out);
    sum.bound = fmin(sum.bound, sum.cost); /* rounding may lift it over the cost by a hair */
    return sum;
}

double plan_least(const struct plan_room *room, const struct plan_job *job, size_t n,
                  unsigned effort, double upper)
{
    struct sorted *order;
    struct plan_job *sorted = sort_jobs(job, n, &order);
    int32_t *priced = mem_array(n, sizeof *priced);
    double bound = plan_bound(room, sorted, n, effort * STEPS, upper, priced);

    free(order);
    free(sorted);
    free(priced);
    return fmin(bound, upper);
}

/* By load, and within it the largest first. */
struct filled {
    uint32_t load, at;
    double volume_l;
};

static int by_load_then_size(const void *pa, const void *pb)
{
    const struct filled *a = pa;
    const struct filled *b = pb;

    return ORDER(a->load, b->load) ?: ORDER(b->volume_l, a->volume_l) ?: ORDER(a->at, b->at);
}

void plan_split_fillings(const struct plan_room *room, const struct plan_job *job, size_t n,
                         struct plan_slot *slot)
{
    double each_l = room->usable_l - room->line_loss_l;
    struct filled *all = mem_array(n, sizeof *all);
    double *holds_l = mem_array(n, sizeof *holds_l); /* of each filling so far */
    size_t n_all = 0;
    uint32_t fillings = 0;

    for (uint32_t i = 0; i < n; i++) {
        if (slot[i].day != PLAN_UNPLANNED) {
            all[n_all++] = (struct filled){slot[i].load, i, job[i].volume_l};
        }
    }
    qsort(all, n_all, sizeof *all, by_load_then_size);
    for (size_t k = 0, first = 0, was = 0; k < n_all; k++) {
        uint32_t to;

        if (k > 0 && all[k].load != was) {
            first = fillings;
        }
        was = all[k].load;
        to = (uint32_t)first;
        /* First fit, the largest first: at most 11/9 of the fewest fillings, and two thirds of a
         * filling (Dosa 2007; from memory). */
        while (to < fillings && holds_l[to] + all[k].volume_l > each_l + 1e-9) {
            to++;
        }
        fillings = to == fillings ? fillings + 1 : fillings;
        holds_l[to] += all[k].volume_l;
        slot[all[k].at].load = to;
    }
    free(all);
    free(holds_l);
}
