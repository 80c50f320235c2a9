#include "daemon/core/plan/plan_round.h"

#include <math.h>
#include <string.h>

/* Found with tests/bench/plan.sh: larger rounds are slower and mend little more. Twins go together,
 * however many: one by one they never leave a day that is open for all of them. */
#define TAKEN_FEW  16   /* jobs that a round takes out */
#define LOOKS_MOST 64   /* at others, for company to a job; then the round is as small as it is */
#define NO_DAY     (-2) /* neither a day nor PLAN_UNPLANNED */

static bool are_twins(const struct plan_job *a, const struct plan_job *b)
{
    return a->recipe == b->recipe && a->ec_ms_cm == b->ec_ms_cm && a->earliest == b->earliest &&
           a->due == b->due && a->latest == b->latest;
}

void plan_round_init(struct plan_round *r, struct plan_draft *s)
{
    *r = (struct plan_round){.s = s, .shut = NO_DAY, .free = NO_DAY};
    for (size_t i = 1; i < s->n; i++) {
        r->n_twins += are_twins(&s->job[i], &s->job[i - 1]);
    }
}

/* A day is passed over once in 24 trials: now and then the second best is the way to a better
 * plan (the blinks of Christiaens & Vanden Berghe, who pass over one in a hundred). */
void plan_round_put_where_cheapest(struct plan_round *r, uint32_t job)
{
    const struct plan_job *j = &r->s->job[job];
    int32_t last = plan_last_day(r->s->room, j);
    bool may_mix = r->s->room->usable_l > r->s->room->line_loss_l;
    bool may_pour = plan_by_hand(r->s->room, j);
    struct plan_place best = {PLAN_UNPLANNED, false};
    double least = r->s->room->cost.unplanned;

    for (int32_t day = plan_first_day(j); day <= last; day++) {
        for (int by_hand = may_mix ? 0 : 1; by_hand <= (int)may_pour; by_hand++) {
            double more;

            if (day == r->shut || plan_is_off(r->s->room, day) ||
                (r->passes_over && plan_draft_draw(r->s, 24) == 0)) {
                continue;
            }
            more = plan_draft_cost_with(r->s, day, job, by_hand) - r->s->day_cost[day];
            if (day == r->free && !by_hand && r->s->tally[day].mixed == 0) {
                more -= r->lure;
            }
            if (more < least) {
                least = more;
                best = (struct plan_place){day, by_hand};
            }
        }
    }
    plan_draft_put(r->s, job, best);
}

/* ---- mending it */

static bool is_taken(const struct plan_round *r, uint32_t job)
{
    for (size_t i = 0; i < r->n_taken; i++) {
        if (r->taken[i] == job) {
            return true;
        }
    }
    return false;
}

static void take_out(struct plan_round *r, uint32_t job)
{
    if (r->n_taken < PLAN_TAKEN_MAX && !is_taken(r, job)) {
        r->taken[r->n_taken] = job;
        r->was[r->n_taken++] = r->s->place[job];
        plan_draft_take(r->s, job);
    }
}

/* Whole days, and those who were on them may not come back. */
static void take_day(struct plan_round *r, uint32_t seed)
{
    int32_t day = r->s->place[seed].day;

    take_out(r, seed);
    if (day == PLAN_UNPLANNED) {
        return;
    }
    for (size_t k = 0; k < r->s->n_recipes; k++) {
        const struct plan_bunch *b = &r->s->bunch[(size_t)day * r->s->n_recipes + k];

        while (b->n && r->n_taken < TAKEN_FEW) {
            take_out(r, b->at[plan_draft_draw(r->s, b->n)]);
        }
    }
    if (plan_draft_draw(r->s, 4)) {
        r->shut = day;
        r->free = day - 2 + (int32_t)plan_draft_draw(r->s, 5);
    }
}

static bool may_meet(const struct plan_round *r, const struct plan_job *a, const struct plan_job *b)
{
    return plan_first_day(a) <= plan_last_day(r->s->room, b) &&
           plan_first_day(b) <= plan_last_day(r->s->room, a);
}

/* Neighbours in strength that may be done on one day: they may share a load. */
static void take_alike(struct plan_round *r, uint32_t seed, size_t want)
{
    size_t up = seed + 1;
    size_t down = seed;
    size_t looks = 0;

    take_out(r, seed);
    while (r->n_taken < want && looks++ < LOOKS_MOST && (down > 0 || up < r->s->n)) {
        uint32_t job;

        if (up >= r->s->n || (down > 0 && plan_draft_draw(r->s, 2))) {
            job = (uint32_t)--down;
        } else {
            job = (uint32_t)up++;
        }
        if (r->s->recipe[job] == r->s->recipe[seed] &&
            may_meet(r, &r->s->job[seed], &r->s->job[job]) && plan_draft_draw(r->s, 4)) {
            take_out(r, job);
        }
    }
}

static void take_any(struct plan_round *r, size_t want)
{
    while (want-- > 0) {
        take_out(r, plan_draft_draw(r->s, r->s->n));
    }
}

/* Jobs that may all be done on one day, which is made free for the first of them. */
static void take_to_one(struct plan_round *r, uint32_t seed, size_t want)
{
    const struct plan_job *j = &r->s->job[seed];
    int32_t first = plan_first_day(j);
    size_t looks = 0;

    take_out(r, seed);
    r->free =
        first + (int32_t)plan_draft_draw(r->s, (size_t)(plan_last_day(r->s->room, j) - first) + 1);
    while (r->n_taken < want && looks++ < LOOKS_MOST) {
        uint32_t job = plan_draft_draw(r->s, r->s->n);

        if (plan_first_day(&r->s->job[job]) <= r->free &&
            plan_last_day(r->s->room, &r->s->job[job]) >= r->free) {
            take_out(r, job);
        }
    }
}

/* All jobs that are like the seed and stand with it, to a day that is made free for them. */
static void take_twins(struct plan_round *r, uint32_t seed)
{
    const struct plan_job *j = &r->s->job[seed];
    int32_t first = plan_first_day(j);
    int32_t on = r->s->place[seed].day;
    size_t from = seed;

    while (from > 0 && are_twins(&r->s->job[from - 1], j)) {
        from--;
    }
    for (size_t i = from; i < r->s->n && are_twins(&r->s->job[i], j); i++) {
        if (r->s->place[i].day == on) {
            take_out(r, (uint32_t)i);
        }
    }
    r->free =
        first + (int32_t)plan_draft_draw(r->s, (size_t)(plan_last_day(r->s->room, j) - first) + 1);
    r->lure = INFINITY;
}

/* What a round takes out. */
enum taking { TAKE_DAY, TAKE_ALIKE, TAKE_ANY, TAKE_TO_ONE, TAKE_TWINS };

void plan_round_mend(struct plan_round *r)
{
    uint32_t seed = plan_draft_draw(r->s, r->s->n);
    uint32_t put_back[PLAN_TAKEN_MAX];

    r->n_taken = 0;
    r->shut = r->free = NO_DAY;
    r->lure = r->s->room->cost.open + r->s->room->cost.load / 2;
    switch (r->n_twins && plan_draft_draw(r->s, 3) == 0
                ? TAKE_TWINS
                : (enum taking)plan_draft_draw(r->s, TAKE_TWINS)) {
    case TAKE_DAY:
        take_day(r, seed);
        break;
    case TAKE_ALIKE:
        take_alike(r, seed, 2 + plan_draft_draw(r->s, 7));
        break;
    case TAKE_ANY:
        take_any(r, 1 + plan_draft_draw(r->s, 5));
        break;
    case TAKE_TO_ONE:
        take_to_one(r, seed, 2 + plan_draft_draw(r->s, 9));
        break;
    case TAKE_TWINS:
        take_twins(r, seed);
        break;
    }
    memcpy(put_back, r->taken, r->n_taken * sizeof *put_back);
    for (size_t left = r->n_taken; left > 0; left--) { /* in any order */
        size_t i = plan_draft_draw(r->s, left);

        plan_round_put_where_cheapest(r, put_back[i]);
        put_back[i] = put_back[left - 1];
    }
}

void plan_round_undo(struct plan_round *r)
{
    for (size_t i = 0; i < r->n_taken; i++) {
        plan_draft_take(r->s, r->taken[i]);
    }
    for (size_t i = 0; i < r->n_taken; i++) {
        plan_draft_put(r->s, r->taken[i], r->was[i]);
    }
}
