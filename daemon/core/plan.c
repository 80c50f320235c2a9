/* The idea. Two questions are mixed up in a plan: on which day each job is done, and which jobs of a
 * day share a load. Given the days, the loads of a day are found exactly (plan_day.h), so the search
 * is over days alone.
 *
 * A first plan is built greedily: jobs by the day on which they can wait no longer, each into the
 * load that suits it best, or a new one. O(n log n + n loads).
 *
 * It is then mended by large-neighbourhood search (Shaw 1998; Ropke & Pisinger 2006): some jobs are
 * taken out (all of a day, neighbours in strength, or any) and put back one by one where they cost
 * least. What is worse by a little is kept now and then, less as it goes on (simulated annealing,
 * Kirkpatrick, Gelatt & Vecchi 1983). A round costs as much as a few days' loads, whatever n.
 *
 * How far a plan can be from the best is told by plan_bound.h. The dice have a fixed seed. */
#include "daemon/core/plan.h"

#include "daemon/base/mem.h"
#include "daemon/core/plan_day.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#define WINDOW_MAX 60 /* days looked at for one job */

const struct plan_cost plan_usual_cost = {.open = 10,
                                          .load = 5,
                                          .early_per_day = 0.6,
                                          .late_per_day = 2.0,
                                          .deviation_per_pct = 0.1,
                                          .overtime_per_min = 1.0,
                                          .unplanned = 10000};

struct load {
    int32_t day;
    size_t recipe;
    double lo_ec, hi_ec; /* strengths that serve for all its jobs */
    double ec_litres;    /* sum of strength times litres */
    double volume_l;
};

struct planning {
    const struct plan_room *room;
    const struct plan_job *job;
    struct plan_slot *slot;
    struct load *load;
    size_t n_loads, cap_loads;
    double *minutes; /* per day of the budget … */
    bool *open;      /* … and whether it has a load */
};

struct order {
    int32_t latest, due;
    size_t at;
};

static int by_patience(const void *pa, const void *pb)
{
    const struct order *a = pa;
    const struct order *b = pb;

    if (a->latest != b->latest) {
        return a->latest < b->latest ? -1 : 1;
    }
    if (a->due != b->due) {
        return a->due < b->due ? -1 : 1;
    }
    return a->at < b->at ? -1 : a->at > b->at;
}

static double overtime_cost(const struct planning *p, int32_t day, double more_min)
{
    double over_before;
    double over_after;

    if ((size_t)day >= p->room->n_days) {
        return 0;
    }
    over_before = fmax(0, p->minutes[day] - p->room->budget_min[day]);
    over_after = fmax(0, p->minutes[day] + more_min - p->room->budget_min[day]);
    return p->room->cost.overtime_per_min * (over_after - over_before);
}

static bool load_takes(const struct planning *p, const struct load *l, const struct plan_job *j)
{
    double slack = j->ec_ms_cm * j->tolerance_pct / 100;

    return l->recipe == j->recipe && l->day >= plan_first_day(j) &&
           l->day <= plan_last_day(p->room, j) && j->ec_ms_cm - slack <= l->hi_ec &&
           j->ec_ms_cm + slack >= l->lo_ec &&
           l->volume_l + j->volume_l <= p->room->usable_l - p->room->line_loss_l;
}

/* What the job costs in its cheapest open load; INFINITY and *out_load untouched when none takes
 * it. */
static double best_load(const struct planning *p, const struct plan_job *j, size_t *out_load)
{
    double best = INFINITY;

    for (size_t k = 0; k < p->n_loads; k++) {
        const struct load *l = &p->load[k];
        double cost;

        if (!load_takes(p, l, j)) {
            continue;
        }
        cost = plan_wait_cost(p->room, j, l->day) + overtime_cost(p, l->day, j->minutes);
        if (cost < best) {
            best = cost;
            *out_load = k;
        }
    }
    return best;
}

static bool day_is_open(const struct planning *p, int32_t day)
{
    return (size_t)day < p->room->n_days && p->open[day];
}

/* What the job costs in a load of its own on its cheapest day. */
static double best_day(const struct planning *p, const struct plan_job *j, int32_t *out_day)
{
    int32_t first = plan_first_day(j);
    int32_t last = plan_last_day(p->room, j);
    double best = INFINITY;

    if (last > first + WINDOW_MAX) {
        last = first + WINDOW_MAX;
    }
    for (int32_t day = first; day <= last; day++) {
        bool open = day_is_open(p, day);
        double minutes = j->minutes + p->room->load_min + (open ? 0 : p->room->changeover_min);
        double cost = p->room->cost.load * plan_fillings(p->room, j->volume_l) +
                      (open ? 0 : p->room->cost.open) + plan_wait_cost(p->room, j, day) +
                      overtime_cost(p, day, minutes);

        if (cost < best) {
            best = cost;
            *out_day = day;
        }
    }
    return best;
}

static void spend(struct planning *p, int32_t day, double minutes)
{
    if ((size_t)day < p->room->n_days) {
        p->minutes[day] += minutes;
    }
}

static size_t open_load(struct planning *p, const struct plan_job *j, int32_t day)
{
    spend(p, day, p->room->load_min + (day_is_open(p, day) ? 0 : p->room->changeover_min));
    if ((size_t)day < p->room->n_days) {
        p->open[day] = true;
    }
    p->load = mem_grow(p->load, &p->cap_loads, p->n_loads + 1, sizeof *p->load);
    p->load[p->n_loads] =
        (struct load){.day = day, .recipe = j->recipe, .lo_ec = 0, .hi_ec = INFINITY};
    return p->n_loads++;
}

static void join(struct planning *p, size_t i, size_t k)
{
    const struct plan_job *j = &p->job[i];
    struct load *l = &p->load[k];
    double slack = j->ec_ms_cm * j->tolerance_pct / 100;

    l->lo_ec = fmax(l->lo_ec, j->ec_ms_cm - slack);
    l->hi_ec = fmin(l->hi_ec, j->ec_ms_cm + slack);
    l->ec_litres += j->ec_ms_cm * j->volume_l;
    l->volume_l += j->volume_l;
    spend(p, l->day, j->minutes);
    p->slot[i].load = (uint32_t)k;
    p->slot[i].day = l->day;
}

static void place(struct planning *p, size_t i)
{
    const struct plan_job *j = &p->job[i];
    size_t k = p->n_loads; /* none */
    int32_t day = PLAN_UNPLANNED;
    double joined = best_load(p, j, &k);
    double alone = best_day(p, j, &day);

    if (fmin(joined, alone) >= p->room->cost.unplanned || !isfinite(fmin(joined, alone))) {
        p->slot[i].day = PLAN_UNPLANNED;
    } else if (k < p->n_loads && joined <= alone) {
        join(p, i, k);
    } else {
        join(p, i, open_load(p, j, day));
    }
}

/* The first plan: the day of each job. */
static void plan_greedily(const struct plan_room *room, const struct plan_job *job, size_t n,
                          struct plan_slot *out)
{
    struct planning p = {.room = room, .job = job, .slot = out};
    struct order *order = mem_array(n, sizeof *order);

    p.minutes = mem_array(room->n_days, sizeof *p.minutes);
    p.open = mem_array(room->n_days, sizeof *p.open);
    for (size_t i = 0; i < n; i++) {
        order[i] = (struct order){job[i].latest, job[i].due, i};
    }
    if (n > 1) {
        qsort(order, n, sizeof *order, by_patience);
    }
    for (size_t i = 0; i < n; i++) {
        place(&p, order[i].at);
    }
    free(order);
    free(p.minutes);
    free(p.open);
    free(p.load);
}

/* ---- mending it */

#define ROUNDS_PER_EFFORT 60
#define TAKEN_MAX         12
#define HOT               6.0 /* what may be lost in a round at first, in the coin of the costs … */
#define COLD              0.05 /* … and at the end */
#define LARGE             400  /* jobs: from here on a round takes too long for what it gains */

/* The jobs of a day, sorted, and what they cost together. */
struct day {
    uint32_t *at;
    size_t n, cap;
    double cost;
};

struct mending {
    const struct plan_room *room;
    const struct plan_job *job;
    size_t n;
    int32_t *on; /* of each job */
    struct day *day;
    size_t n_days;
    double cost;
    uint64_t dice;
    uint32_t *scratch; /* a day's jobs and one more */
    uint32_t taken[TAKEN_MAX];
    size_t n_taken;
};

static uint32_t throw(struct mending * m, uint32_t sides)
{
    m->dice = m->dice * 6364136223846793005ULL + 1442695040888963407ULL; /* Knuth's MMIX */
    return (uint32_t)(m->dice >> 33) % sides;
}

static double cost_of(const struct mending *m, const uint32_t *at, size_t n, int32_t day)
{
    return plan_day_cost(m->room, m->job, at, n, day, NULL, 0, NULL);
}

/* What the day would cost with one job more. */
static double cost_with(struct mending *m, int32_t on, uint32_t job)
{
    struct day *d = &m->day[on];

    if (d->n) {
        memcpy(m->scratch, d->at, d->n * sizeof *d->at);
    }
    m->scratch[d->n] = job;
    plan_sort(m->job, m->scratch, d->n + 1);
    return cost_of(m, m->scratch, d->n + 1, on);
}

static void set_cost(struct mending *m, int32_t on, double cost)
{
    m->cost += cost - m->day[on].cost;
    m->day[on].cost = cost;
}

static void put(struct mending *m, uint32_t job, int32_t on, double cost)
{
    struct day *d = &m->day[on];

    d->at = mem_grow(d->at, &d->cap, d->n + 1, sizeof *d->at);
    d->at[d->n++] = job;
    plan_sort(m->job, d->at, d->n);
    m->on[job] = on;
    set_cost(m, on, cost);
}

/* The day's cost is reckoned anew by the caller: several may be taken of one. */
static void take(struct mending *m, uint32_t job)
{
    struct day *d;
    size_t kept = 0;

    if (m->n_taken == TAKEN_MAX) {
        return;
    }
    m->taken[m->n_taken++] = job;
    if (m->on[job] == PLAN_UNPLANNED) {
        m->cost -= m->room->cost.unplanned;
        return;
    }
    d = &m->day[m->on[job]];
    for (size_t i = 0; i < d->n; i++) {
        if (d->at[i] != job) {
            d->at[kept++] = d->at[i];
        }
    }
    d->n = kept;
}

static bool is_taken(const struct mending *m, uint32_t job)
{
    for (size_t i = 0; i < m->n_taken; i++) {
        if (m->taken[i] == job) {
            return true;
        }
    }
    return false;
}

static void take_day(struct mending *m)
{
    uint32_t job = throw(m, (uint32_t)m->n);
    int32_t on = m->on[job];

    take(m, job);
    while (on >= 0 && m->day[on].n && m->n_taken < TAKEN_MAX) {
        take(m, m->day[on].at[throw(m, (uint32_t)m->day[on].n)]);
    }
}

/* Jobs of one recipe that are near in strength: they may share a load. */
static void take_alike(struct mending *m)
{
    uint32_t first = throw(m, (uint32_t)m->n);
    uint32_t from = throw(m, (uint32_t)m->n);
    size_t want = 2 + throw(m, 6);

    take(m, first);
    for (size_t k = 0; k < m->n && m->n_taken < want; k++) {
        uint32_t job = (uint32_t)((from + k) % m->n);
        const struct plan_job *a = &m->job[first];
        const struct plan_job *b = &m->job[job];

        if (!is_taken(m, job) && a->recipe == b->recipe &&
            fabs(a->ec_ms_cm - b->ec_ms_cm) <=
                (a->tolerance_pct + b->tolerance_pct) / 100 * a->ec_ms_cm) {
            take(m, job);
        }
    }
}

static void take_any(struct mending *m)
{
    size_t want = 1 + throw(m, 5);

    for (size_t k = 0; k < want; k++) {
        uint32_t job = throw(m, (uint32_t)m->n);

        if (!is_taken(m, job)) {
            take(m, job);
        }
    }
}

static void put_back(struct mending *m, uint32_t job)
{
    const struct plan_job *j = &m->job[job];
    int32_t first = plan_first_day(j);
    int32_t last = plan_last_day(m->room, j);
    double best = m->room->cost.unplanned;
    double best_cost = 0;
    int32_t best_on = PLAN_UNPLANNED;

    for (int32_t on = first; on <= last && on < (int32_t)m->n_days; on++) {
        double with = cost_with(m, on, job);

        if (with - m->day[on].cost < best) {
            best = with - m->day[on].cost;
            best_cost = with;
            best_on = on;
        }
    }
    if (best_on == PLAN_UNPLANNED) {
        m->on[job] = PLAN_UNPLANNED;
        m->cost += m->room->cost.unplanned;
    } else {
        put(m, job, best_on, best_cost);
    }
}

static void mend_round(struct mending *m)
{
    m->n_taken = 0;
    switch (throw(m, 3)) {
    case 0:
        take_day(m);
        break;
    case 1:
        take_alike(m);
        break;
    default:
        take_any(m);
        break;
    }
    for (size_t i = 0; i < m->n_taken; i++) {
        int32_t on = m->on[m->taken[i]];

        if (on >= 0) {
            set_cost(m, on, cost_of(m, m->day[on].at, m->day[on].n, on));
        }
    }
    for (size_t left = m->n_taken; left > 0; left--) { /* in any order */
        size_t i = throw(m, (uint32_t)left);
        uint32_t job = m->taken[i];

        m->taken[i] = m->taken[left - 1];
        put_back(m, job);
    }
}

static void lay_out(struct mending *m, const int32_t *on)
{
    m->cost = 0;
    for (size_t d = 0; d < m->n_days; d++) {
        m->day[d].n = 0;
    }
    for (uint32_t i = 0; i < m->n; i++) {
        m->on[i] = on[i];
        if (on[i] < 0) {
            m->cost += m->room->cost.unplanned;
        } else {
            struct day *d = &m->day[on[i]];

            d->at = mem_grow(d->at, &d->cap, d->n + 1, sizeof *d->at);
            d->at[d->n++] = i;
        }
    }
    for (size_t d = 0; d < m->n_days; d++) {
        plan_sort(m->job, m->day[d].at, m->day[d].n);
        m->day[d].cost = cost_of(m, m->day[d].at, m->day[d].n, (int32_t)d);
        m->cost += m->day[d].cost;
    }
}

static void mend(struct mending *m, int32_t *best_on, unsigned effort)
{
    unsigned rounds = m->n > 1 && m->n <= LARGE ? effort * ROUNDS_PER_EFFORT : 0;
    double best = m->cost;
    double heat = HOT;
    double cools = rounds ? pow(COLD / HOT, 1.0 / rounds) : 1;
    int32_t *before = mem_array(m->n, sizeof *before);

    for (unsigned k = 0; k < rounds; k++) {
        double cost = m->cost;

        memcpy(before, m->on, m->n * sizeof *before);
        mend_round(m);
        if (m->cost < best - 1e-9) {
            best = m->cost;
            memcpy(best_on, m->on, m->n * sizeof *best_on);
        } else if (m->cost > cost && (m->cost - cost) * 1000 > heat * throw(m, 1000)) {
            lay_out(m, before);
        }
        heat *= cools;
    }
    free(before);
}

static size_t days_of(const struct plan_room *room, const struct plan_job *job, size_t n)
{
    int32_t last = 0;

    for (size_t i = 0; i < n; i++) {
        int32_t of_job = plan_last_day(room, &job[i]);

        if (of_job > plan_first_day(&job[i]) + WINDOW_MAX) {
            of_job = plan_first_day(&job[i]) + WINDOW_MAX;
        }
        last = of_job > last ? of_job : last;
    }
    return (size_t)last + 1;
}

static void write_plan(const struct mending *m, struct plan_slot *out)
{
    uint32_t load = 0;

    for (size_t i = 0; i < m->n; i++) {
        out[i] = (struct plan_slot){PLAN_UNPLANNED, 0, 0};
    }
    for (size_t d = 0; d < m->n_days; d++) {
        uint32_t loads = 0;

        if (m->day[d].n) {
            (void)plan_day_cost(m->room, m->job, m->day[d].at, m->day[d].n, (int32_t)d, out, load,
                                &loads);
        }
        load += loads;
    }
}

double plan_mixes(const struct plan_room *room, const struct plan_job *job, size_t n,
                  unsigned effort, struct plan_slot *out)
{
    struct mending m = {.room = room, .job = job, .n = n, .dice = 20080701};
    int32_t *best_on = mem_array(n, sizeof *best_on);
    double cost;

    plan_greedily(room, job, n, out);
    m.n_days = days_of(room, job, n);
    m.on = mem_array(n, sizeof *m.on);
    m.day = mem_array(m.n_days, sizeof *m.day);
    m.scratch = mem_array(n + 1, sizeof *m.scratch);
    for (size_t i = 0; i < n; i++) {
        best_on[i] = out[i].day;
    }
    lay_out(&m, best_on);
    mend(&m, best_on, effort);
    lay_out(&m, best_on);
    write_plan(&m, out);
    cost = m.cost;
    for (size_t d = 0; d < m.n_days; d++) {
        free(m.day[d].at);
    }
    free(m.day);
    free(m.on);
    free(m.scratch);
    free(best_on);
    return cost;
}

/* A load as its slots have it: what it holds. */
struct tally {
    int32_t day;
    size_t recipe;
    double ec_ms_cm, volume_l;
};

double plan_cost_of(const struct plan_room *room, const struct plan_job *job, size_t n,
                    const struct plan_slot *slot)
{
    struct tally *load = mem_array(n, sizeof *load);
    size_t n_days = days_of(room, job, n) + 1;
    double *minutes = mem_array(n_days, sizeof *minutes);
    double cost = 0;

    for (size_t i = 0; i < n && isfinite(cost); i++) {
        const struct plan_job *j = &job[i];
        struct tally *l = &load[slot[i].load < n ? slot[i].load : 0];
        double pct = 100 * fabs(slot[i].ec_ms_cm - j->ec_ms_cm) / j->ec_ms_cm;

        if (slot[i].day == PLAN_UNPLANNED) {
            cost += room->cost.unplanned;
            continue;
        }
        if (slot[i].load >= n || slot[i].day < plan_first_day(j) ||
            slot[i].day > plan_last_day(room, j) || pct > j->tolerance_pct * (1 + 1e-9) ||
            (l->volume_l > 0 && (l->day != slot[i].day || l->recipe != j->recipe ||
                                 l->ec_ms_cm != slot[i].ec_ms_cm))) {
            cost = INFINITY;
            continue;
        }
        *l = (struct tally){slot[i].day, j->recipe, slot[i].ec_ms_cm, l->volume_l + j->volume_l};
        cost += plan_wait_cost(room, j, slot[i].day) + room->cost.deviation_per_pct * pct;
        minutes[slot[i].day] += j->minutes + (minutes[slot[i].day] > 0 ? 0 : room->changeover_min);
    }
    for (size_t k = 0; k < n && isfinite(cost); k++) {
        if (load[k].volume_l > 0) {
            cost += room->cost.load * plan_fillings(room, load[k].volume_l);
            minutes[load[k].day] += room->load_min * plan_fillings(room, load[k].volume_l);
        }
    }
    for (size_t d = 0; d < n_days && isfinite(cost); d++) {
        cost += minutes[d] > 0 ? room->cost.open : 0;
        cost += d < room->n_days
                    ? room->cost.overtime_per_min * fmax(0, minutes[d] - room->budget_min[d])
                    : 0;
    }
    free(load);
    free(minutes);
    return cost;
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

    if (a->load != b->load) {
        return a->load < b->load ? -1 : 1;
    }
    if (a->volume_l != b->volume_l) {
        return a->volume_l > b->volume_l ? -1 : 1;
    }
    return a->at < b->at ? -1 : a->at > b->at;
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
    if (n_all > 1) {
        qsort(all, n_all, sizeof *all, by_load_then_size);
    }
    for (size_t k = 0, first = 0; k < n_all; k++) {
        uint32_t to;

        if (k > 0 && all[k].load != all[k - 1].load) {
            first = fillings;
        }
        to = (uint32_t)first;
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
