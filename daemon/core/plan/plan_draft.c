#include "daemon/core/plan/plan_draft.h"

#include "daemon/base/mem.h"
#include "daemon/base/order.h"

#include <stdlib.h>
#include <string.h>

/* Bunches remembered: 128 a job, a power of two, within these. A bunch that meets another's place
 * takes it, so a small memory is slow and never wrong. */
#define MEMORY_MIN 1024
#define MEMORY_MAX 16384
#define SEED       20080701 /* any number; it stands still, so that a plan is the same twice */

/* ---- dice (splitmix64: Steele, Lea & Flood 2014) */

static uint64_t roll(struct plan_draft *s)
{
    uint64_t z = (s->dice += 0x9E3779B97F4A7C15ULL);

    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

uint32_t plan_draft_draw(struct plan_draft *s, size_t n)
{
    return (uint32_t)(((roll(s) >> 32) * n) >> 32);
}

/* ---- bunches */

static struct plan_bunch *bunch_of(struct plan_draft *s, int32_t day, uint32_t job)
{
    return &s->bunch[(size_t)day * s->n_recipes + s->recipe[job]];
}

/* Two bunches of one key and size are taken for the same: that they are not is, in 64 bits, out
 * of all reason. */
static struct plan_loads recall(struct plan_draft *s, uint64_t key, const uint32_t *at, size_t n)
{
    struct plan_memory *m = &s->memory[key & s->memory_mask];

    if (n == 0) {
        return (struct plan_loads){0};
    }
    if (m->key != key || m->n != n) {
        *m = (struct plan_memory){key, n, plan_loads_of(s->room, s->job, at, n)};
    }
    return m->loads;
}

/* Where the job is in the bunch, or would be. */
static size_t seat_of(const struct plan_bunch *b, uint32_t job)
{
    size_t lo = 0;
    size_t hi = b->n;

    while (lo < hi) {
        size_t mid = (lo + hi) / 2;

        if (b->at[mid] < job) {
            lo = mid + 1;
        } else {
            hi = mid;
        }
    }
    return lo;
}

/* Looks before it copies: most trials are of bunches that were tried before. */
static struct plan_loads loads_with(struct plan_draft *s, const struct plan_bunch *b, uint32_t job)
{
    uint64_t key = b->key ^ s->sign[job];
    const struct plan_memory *m = &s->memory[key & s->memory_mask];
    size_t seat;

    if (m->key == key && m->n == b->n + 1) {
        return m->loads;
    }
    seat = seat_of(b, job);
    if (seat > 0) {
        memcpy(s->trial, b->at, seat * sizeof *b->at);
    }
    s->trial[seat] = job;
    if (seat < b->n) {
        memcpy(s->trial + seat + 1, b->at + seat, (b->n - seat) * sizeof *b->at);
    }
    return recall(s, key, s->trial, b->n + 1);
}

static void swap_loads(struct plan_tally *t, const struct plan_loads *out,
                       const struct plan_loads *in)
{
    for (int way = 0; way < PLAN_WAYS; way++) {
        t->loads.cost[way] += in->cost[way] - out->cost[way];
        t->loads.fillings[way] += in->fillings[way] - out->fillings[way];
    }
}

/* ---- places */

static void tally_job(const struct plan_draft *s, struct plan_tally *t, uint32_t job, int32_t day,
                      bool by_hand, int sign)
{
    const struct plan_job *j = &s->job[job];

    t->apart += sign * (plan_wait_cost(s->room, j, day) + (by_hand ? s->room->cost.hand : 0));
    t->minutes += sign * (j->minutes + (by_hand ? s->room->hand_min : 0));
    if (by_hand) {
        t->by_hand += (size_t)sign;
    } else {
        t->mixed += (size_t)sign;
        t->volume_l += sign * j->volume_l;
    }
    if (t->mixed + t->by_hand == 0) {
        *t = (struct plan_tally){0}; /* what rounding left */
    }
}

double plan_draft_cost_with(struct plan_draft *s, int32_t day, uint32_t job, bool by_hand)
{
    struct plan_tally t = s->tally[day];

    tally_job(s, &t, job, day, by_hand, 1);
    if (!by_hand) {
        const struct plan_bunch *b = bunch_of(s, day, job);
        struct plan_loads with = loads_with(s, b, job);

        swap_loads(&t, &b->loads, &with);
    }
    return plan_tally_cost(s->room, day, &t, NULL);
}

/* An empty day costs nothing, to the last bit: sums that went up and down again are not trusted
 * for that. */
static void reckon(struct plan_draft *s, int32_t day)
{
    double cost = s->tally[day].mixed + s->tally[day].by_hand
                      ? plan_tally_cost(s->room, day, &s->tally[day], NULL)
                      : 0;

    s->cost += cost - s->day_cost[day];
    s->day_cost[day] = cost;
}

static void set_loads(struct plan_draft *s, int32_t day, struct plan_bunch *b)
{
    struct plan_loads fresh = recall(s, b->key, b->at, b->n);

    swap_loads(&s->tally[day], &b->loads, &fresh);
    b->loads = fresh;
}

void plan_draft_put(struct plan_draft *s, uint32_t job, struct plan_place at)
{
    s->place[job] = at;
    if (at.day == PLAN_UNPLANNED) {
        s->cost += s->room->cost.unplanned;
        return;
    }
    tally_job(s, &s->tally[at.day], job, at.day, at.by_hand, 1);
    if (!at.by_hand) {
        struct plan_bunch *b = bunch_of(s, at.day, job);
        size_t seat = seat_of(b, job);

        b->at = mem_grow(b->at, &b->cap, b->n + 1, sizeof *b->at);
        memmove(b->at + seat + 1, b->at + seat, (b->n - seat) * sizeof *b->at);
        b->at[seat] = job;
        b->n++;
        b->key ^= s->sign[job];
        set_loads(s, at.day, b);
    }
    reckon(s, at.day);
}

void plan_draft_take(struct plan_draft *s, uint32_t job)
{
    struct plan_place at = s->place[job];

    if (at.day == PLAN_UNPLANNED) {
        s->cost -= s->room->cost.unplanned;
        return;
    }
    if (!at.by_hand) {
        struct plan_bunch *b = bunch_of(s, at.day, job);
        size_t seat = seat_of(b, job);

        b->n--;
        memmove(b->at + seat, b->at + seat + 1, (b->n - seat) * sizeof *b->at);
        b->key ^= s->sign[job];
        set_loads(s, at.day, b);
    }
    tally_job(s, &s->tally[at.day], job, at.day, at.by_hand, -1);
    reckon(s, at.day);
}

static void lay_out(struct plan_draft *s)
{
    size_t want = MEMORY_MIN;

    s->recipe = mem_array(s->n, sizeof *s->recipe);
    s->sign = mem_array(s->n, sizeof *s->sign);
    for (size_t i = 0; i < s->n; i++) {
        size_t days = (size_t)plan_last_day(s->room, &s->job[i]) + 1;

        s->recipe[i] = i == 0 ? 0 : s->recipe[i - 1] + (s->job[i].recipe != s->job[i - 1].recipe);
        s->sign[i] = roll(s);
        s->n_days = order_more(days, s->n_days);
    }
    s->n_recipes = s->recipe[s->n - 1] + 1;
    while (want < MEMORY_MAX && want < 128 * s->n) {
        want *= 2;
    }
    s->memory = mem_array(want, sizeof *s->memory);
    s->memory_mask = want - 1;
    s->bunch = mem_array(s->n_days * s->n_recipes, sizeof *s->bunch);
    s->tally = mem_array(s->n_days, sizeof *s->tally);
    s->day_cost = mem_array(s->n_days, sizeof *s->day_cost);
    s->trial = mem_array(s->n + 1, sizeof *s->trial);
    s->place = mem_array(s->n, sizeof *s->place);
}

void plan_draft_init(struct plan_draft *s, const struct plan_room *room, const struct plan_job *job,
                     size_t n)
{
    *s = (struct plan_draft){.room = room, .job = job, .n = n, .dice = SEED};
    lay_out(s);
}

void plan_draft_deinit(struct plan_draft *s)
{
    for (size_t k = 0; k < s->n_days * s->n_recipes; k++) {
        free(s->bunch[k].at);
    }
    free(s->recipe);
    free(s->sign);
    free(s->memory);
    free(s->bunch);
    free(s->tally);
    free(s->day_cost);
    free(s->trial);
    free(s->place);
}
