/* The idea. A first plan puts the jobs in one by one, those that can wait least before the
 * others, each where it costs least. It is then mended in rounds (plan_round.h): some jobs are
 * taken out and put back. What is worse by a little is kept now and then, less as it goes on
 * (simulated annealing; Kirkpatrick, Gelatt & Vecchi 1983). A round costs a few jobs times the
 * days of their windows, whatever n (plan_draft.h). */
#include "daemon/core/plan/plan_search.h"

#include "daemon/base/mem.h"
#include "daemon/base/order.h"
#include "daemon/core/plan/plan_round.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* In units of plan_usual_cost, where a load costs 5 and a day 10. Set by tests/bench/plan.sh. */
#define HOT        3   /* a round that costs so much more is kept with some luck at the start … */
#define COLD       0.3 /* … and one of this at the end */
#define RUN_ROUNDS 4000 /* that a cooling has, where there are so many */
#define RUNS_MAX   8    /* then each is longer instead */
#define CROWD      5000 /* jobs: from here on each goes to its due day, or a morning would not do */

/* ---- the first plan */

struct order {
    int32_t latest, due;
    uint32_t job;
};

/* Those that can wait least choose first: the others have more days to go to. */
static int by_patience(const void *pa, const void *pb)
{
    const struct order *a = pa;
    const struct order *b = pb;

    return ORDER(a->latest, b->latest) ?: ORDER(a->due, b->due) ?: ORDER(a->job, b->job);
}

static void fill(struct plan_draft *s)
{
    struct order *order = mem_array(s->n, sizeof *order);
    struct plan_round r;
    size_t left = 0;

    for (uint32_t i = 0; i < s->n; i++) {
        if (s->place[i].day == PLAN_UNPLANNED) {
            order[left++] = (struct order){s->job[i].latest, s->job[i].due, i};
            plan_draft_take(s, i);
        }
    }
    qsort(order, left, sizeof *order, by_patience);
    plan_round_init(&r, s);
    for (size_t i = 0; i < left; i++) {
        plan_round_put_where_cheapest(&r, order[i].job);
    }
    free(order);
}

/* One cooling, from HOT to COLD by equal factors. A round that makes the plan dearer is kept the
 * more readily the less it does and the hotter it is. best is the plan as it stands, and then
 * the best that was met; gives its cost. */
static double mend(struct plan_round *r, size_t rounds, struct plan_place *best)
{
    struct plan_draft *s = r->s;
    double least = s->cost;
    double heat = HOT;
    double cools = rounds ? pow(COLD / HOT, 1.0 / (double)rounds) : 1;

    for (size_t k = 0; k < rounds; k++) {
        double before = s->cost;

        plan_round_mend(r);
        if (s->cost < least - 1e-9) {
            least = s->cost;
            memcpy(best, s->place, s->n * sizeof *best);
        } else if (s->cost > before &&
                   (s->cost - before) * 65536 > heat * (double)plan_draft_draw(s, 65536)) {
            plan_round_undo(r);
        }
        heat *= cools;
    }
    return least;
}

static void set_out(struct plan_draft *s, const struct plan_place *from)
{
    for (uint32_t i = 0; i < s->n; i++) {
        plan_draft_put(s, i, from[i]);
    }
}

static void clear(struct plan_draft *s)
{
    for (uint32_t i = 0; i < s->n; i++) {
        plan_draft_take(s, i);
    }
}

/* Several coolings: which days are open is soon settled in each, and not always well. */
static void mend_in_runs(struct plan_draft *s, size_t rounds, struct plan_place *const *from,
                         size_t n_from, struct plan_place *best)
{
    struct plan_place *mine = mem_array(s->n, sizeof *mine);
    size_t runs = order_more(order_fewer(rounds / RUN_ROUNDS, RUNS_MAX), n_from);
    double least = INFINITY;
    struct plan_round r;

    plan_round_init(&r, s);
    r.passes_over = true;
    for (size_t run = 0; run < runs; run++) {
        double cost;

        set_out(s, from[run % n_from]);
        memcpy(mine, s->place, s->n * sizeof *mine);
        cost = mend(&r, rounds / runs, mine);
        if (cost < least - 1e-9) {
            least = cost;
            memcpy(best, mine, s->n * sizeof *best);
        }
        clear(s);
    }
    free(mine);
}

/* Each on its due day, or the nearest before it that is no day off, else after it. */
static void due_day_each(const struct plan_room *room, const struct plan_job *job, size_t n,
                         struct plan_place *out)
{
    for (size_t i = 0; i < n; i++) {
        int32_t first = plan_first_day(&job[i]);
        int32_t last = plan_last_day(room, &job[i]);
        int32_t due = order_min(order_max(job[i].due, first), last);
        int32_t day = due;

        while (day > first && plan_is_off(room, day)) {
            day--;
        }
        while (day < last && plan_is_off(room, day)) {
            day++;
        }
        out[i].day = first <= last && !plan_is_off(room, day) && room->usable_l > room->line_loss_l
                         ? day
                         : PLAN_UNPLANNED;
        out[i].by_hand = false;
    }
}

void plan_fill(const struct plan_room *room, const struct plan_job *job, size_t n,
               struct plan_place *place)
{
    struct plan_draft s;

    if (n == 0) {
        return;
    }
    if (n > CROWD) {
        due_day_each(room, job, n, place);
        return;
    }
    plan_draft_init(&s, room, job, n);
    set_out(&s, place);
    fill(&s);
    memcpy(place, s.place, n * sizeof *place);
    plan_draft_deinit(&s);
}

void plan_search(const struct plan_room *room, const struct plan_job *job, size_t n, size_t rounds,
                 struct plan_place *const *from, size_t n_from, struct plan_place *out)
{
    struct plan_draft s;

    if (n == 0 || n > CROWD) {
        memcpy(out, from[0], n * sizeof *out);
        return;
    }
    plan_draft_init(&s, room, job, n);
    mend_in_runs(&s, rounds, from, n_from, out);
    plan_draft_deinit(&s);
}
