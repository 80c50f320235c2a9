#include "daemon/core/plan/plan_day.h"

#include "daemon/base/mem.h"

#include <math.h>
#include <stdlib.h>

/* Jobs for which the stack serves: the search asks for a line many thousand times, and few are
 * longer. */
#define SMALL 48

/* Jobs of one recipe along the line, and how they are cut. */
struct plan_line {
    const struct plan_room *room;
    const struct plan_job *job;
    const uint32_t *at;
    size_t k;
    double *inverse; /* of the first i: sum of 1 / strength */
    double *best;    /* of the first i */
    size_t *cut;     /* where the last group of the first i begins */
};

/* A group of neighbours: what its strength may be, and what it holds. */
struct plan_group {
    size_t from, to;
    size_t median; /* of strengths weighted by 1 / strength: there the deviation is least */
    double lo, hi;
    double volume_l;
};

static struct plan_group no_group(size_t to)
{
    return (struct plan_group){.from = to, .to = to, .median = to - 1, .lo = 0, .hi = INFINITY};
}

/* Takes in the next weaker job. The sum of 100 |s - c| / c is least where as much of 1 / c lies
 * below s as above it: at the weighted median, which can only move down as weaker jobs come in. */
static void widen(const struct plan_line *l, struct plan_group *g)
{
    const struct plan_job *j = &l->job[l->at[--g->from]];
    double slack = j->ec_ms_cm * j->tolerance_pct / 100;
    double half;

    g->lo = fmax(g->lo, j->ec_ms_cm - slack);
    g->hi = fmin(g->hi, j->ec_ms_cm + slack);
    g->volume_l += j->volume_l;
    half = (l->inverse[g->from] + l->inverse[g->to]) / 2;
    while (g->median > g->from && l->inverse[g->median] >= half) {
        g->median--;
    }
}

static double strength_of(const struct plan_line *l, size_t i)
{
    return l->job[l->at[i]].ec_ms_cm;
}

static double best_strength(const struct plan_line *l, const struct plan_group *g)
{
    /* The sum is convex: where the median is not borne, the nearer end of what is borne is best. */
    return fmin(fmax(strength_of(l, g->median), g->lo), g->hi);
}

/* 100 |s - c| / c for each, in one step for those below the strength and one for those above. */
static double deviation(const struct plan_line *l, const struct plan_group *g)
{
    double ec = best_strength(l, g);
    size_t above = g->median;

    while (above < g->to && strength_of(l, above) <= ec) {
        above++;
    }
    while (above > g->from && strength_of(l, above - 1) > ec) {
        above--;
    }
    return l->room->cost.deviation_per_pct * 100 *
           (ec * (l->inverse[above] - l->inverse[g->from]) - (double)(above - g->from) +
            (double)(g->to - above) - ec * (l->inverse[g->to] - l->inverse[above]));
}

/* Are the jobs before and after i twins? To part them gains nothing. */
static bool parts_twins(const struct plan_line *l, size_t i)
{
    const struct plan_job *a;
    const struct plan_job *b;

    if (i == 0 || i == l->k) {
        return false;
    }
    a = &l->job[l->at[i - 1]];
    b = &l->job[l->at[i]];
    return a->ec_ms_cm == b->ec_ms_cm && a->tolerance_pct == b->tolerance_pct;
}

/* best[to] is what the first `to` jobs cost at least, by where the last of their groups begins. */
static void cut_line(const struct plan_line *l, double load_cost)
{
    l->best[0] = 0;
    for (size_t to = 1; to <= l->k; to++) {
        struct plan_group g = no_group(to);

        if (parts_twins(l, to)) {
            continue;
        }
        l->best[to] = INFINITY;
        l->cut[to] = to - 1;
        while (g.from > 0) {
            double cost;

            widen(l, &g);
            if (g.lo > g.hi) {
                break; /* a wider group bears still less */
            }
            if (parts_twins(l, g.from)) {
                continue;
            }
            cost = l->best[g.from] + load_cost * plan_fillings(l->room, g.volume_l) +
                   fmax(0, deviation(l, &g));
            if (cost <= l->best[to]) { /* of equals the wider: fewer loads to make */
                l->best[to] = cost;
                l->cut[to] = g.from;
            }
        }
    }
}

static struct plan_group last_group(const struct plan_line *l, size_t to)
{
    struct plan_group g = no_group(to);

    while (g.from > l->cut[to]) {
        widen(l, &g);
    }
    return g;
}

/* What serves a line: on the stack where it is short. */
struct scratch {
    double sums[2 * (SMALL + 1)];
    size_t cuts[SMALL + 1];
    double *long_sums;
    size_t *long_cuts;
};

static struct plan_line lay_line(struct scratch *s, const struct plan_room *room,
                                 const struct plan_job *job, const uint32_t *at, size_t k)
{
    struct plan_line l = {.room = room, .job = job, .at = at, .k = k};

    s->long_sums = k > SMALL ? mem_array(2 * (k + 1), sizeof *s->long_sums) : NULL;
    s->long_cuts = k > SMALL ? mem_array(k + 1, sizeof *s->long_cuts) : NULL;
    l.inverse = k > SMALL ? s->long_sums : s->sums;
    l.best = l.inverse + k + 1;
    l.cut = k > SMALL ? s->long_cuts : s->cuts;
    l.inverse[0] = 0;
    for (size_t i = 0; i < k; i++) {
        l.inverse[i + 1] = l.inverse[i] + 1 / job[at[i]].ec_ms_cm;
    }
    return l;
}

static void clear(struct scratch *s)
{
    free(s->long_sums);
    free(s->long_cuts);
}

/* What a filling weighs while the line is cut. */
static double filling_cost(const struct plan_room *room, enum plan_way way)
{
    return room->cost.load +
           (way == PLAN_BEYOND ? room->cost.overtime_per_min * room->load_min : 0);
}

struct plan_loads plan_loads_of(const struct plan_room *room, const struct plan_job *job,
                                const uint32_t *at, size_t k)
{
    struct scratch s;
    struct plan_line l = lay_line(&s, room, job, at, k);
    struct plan_loads sum = {0};

    for (int way = 0; way < PLAN_WAYS; way++) {
        cut_line(&l, filling_cost(room, way));
        for (size_t to = k; to > 0; to = l.cut[to]) {
            struct plan_group g = last_group(&l, to);
            double fillings = plan_fillings(room, g.volume_l);

            sum.fillings[way] += fillings;
            /* The overtime of its minutes is the day's to reckon, and no part of this sum. */
            sum.cost[way] += room->cost.load * fillings + fmax(0, deviation(&l, &g));
        }
    }
    clear(&s);
    return sum;
}

void plan_write_loads(const struct plan_room *room, const struct plan_job *job, const uint32_t *at,
                      size_t k, enum plan_way way, struct plan_slot *slots, uint32_t *load)
{
    struct scratch s;
    struct plan_line l = lay_line(&s, room, job, at, k);

    cut_line(&l, filling_cost(room, way));
    for (size_t to = k; to > 0; to = l.cut[to]) {
        struct plan_group g = last_group(&l, to);

        for (size_t i = g.from; i < to; i++) {
            slots[at[i]].load = *load;
            slots[at[i]].ec_ms_cm = best_strength(&l, &g);
        }
        ++*load;
    }
    clear(&s);
}

/* Of what a day's mixes leave in the reservoir to be thrown away, and of what they leave too
 * little of. */
static double water_cost(const struct plan_room *room, int32_t day, double taken_l)
{
    double cost = 0;

    if (room->plain_l) {
        cost += room->cost.plain_per_l * fmax(0, room->plain_l[day] - taken_l);
    }
    if (room->spare_l) {
        cost += room->cost.short_per_l * fmax(0, taken_l - room->spare_l[day]);
    }
    return cost;
}

/* The day's own, without the jobs'. */
static double cost_by(const struct plan_room *room, int32_t day, const struct plan_tally *t,
                      enum plan_way way)
{
    bool known = (size_t)day < room->n_days;
    double minutes = t->minutes;
    double cost = t->apart;

    if (t->mixed) {
        minutes += room->changeover_min + room->load_min * t->loads.fillings[way];
        cost += room->cost.open + plan_visit_cost(room, day) + t->loads.cost[way];
        cost +=
            known ? water_cost(room, day, t->volume_l + room->line_loss_l * t->loads.fillings[way])
                  : 0;
    }
    return cost +
           (known ? room->cost.overtime_per_min * fmax(0, minutes - room->budget_min[day]) : 0);
}

double plan_tally_cost(const struct plan_room *room, int32_t day, const struct plan_tally *t,
                       enum plan_way *out_way)
{
    double within = cost_by(room, day, t, PLAN_WITHIN);
    double beyond = cost_by(room, day, t, PLAN_BEYOND);

    if (out_way) {
        *out_way = beyond < within ? PLAN_BEYOND : PLAN_WITHIN;
    }
    return fmin(within, beyond);
}
