#include "daemon/core/plan_day.h"

#include "daemon/base/mem.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#define SMALL 64 /* jobs of a recipe and day for which the stack serves */

int32_t plan_first_day(const struct plan_job *j)
{
    return j->earliest > 0 ? j->earliest : 0;
}

int32_t plan_last_day(const struct plan_room *room, const struct plan_job *j)
{
    int32_t first = plan_first_day(j);
    int32_t last = j->latest > first ? j->latest : first; /* overdue: at once */

    return room->horizon > 0 && last >= room->horizon ? room->horizon - 1 : last;
}

double plan_wait_cost(const struct plan_room *room, const struct plan_job *j, int32_t day)
{
    return day < j->due ? room->cost.early_per_day * (j->due - day)
                        : room->cost.late_per_day * (day - j->due);
}

double plan_fillings(const struct plan_room *room, double volume_l)
{
    double each_l = room->usable_l - room->line_loss_l;

    return each_l > 0 ? fmax(1, ceil(volume_l / each_l - 1e-9)) : INFINITY;
}

/* A group of neighbours: what its strength may be, and what it holds. */
struct group {
    double lo, hi;
    double volume_l;
};

static struct group group_with(struct group g, const struct plan_job *j)
{
    double slack = j->ec_ms_cm * j->tolerance_pct / 100;

    return (struct group){fmax(g.lo, j->ec_ms_cm - slack), fmin(g.hi, j->ec_ms_cm + slack),
                          g.volume_l + j->volume_l};
}

/* Deviation costs 100 |s - c| / c a percent: the median of the strengths weighted by 1 / c, or the
 * nearest strength that all bear. at[from..to) is sorted by strength. */
static double best_strength(const struct plan_job *job, const uint32_t *at, size_t from, size_t to,
                            const struct group *g)
{
    double half = 0;
    double sum = 0;
    double median = job[at[from]].ec_ms_cm;

    for (size_t i = from; i < to; i++) {
        half += 0.5 / job[at[i]].ec_ms_cm;
    }
    for (size_t i = from; i < to && sum < half; i++) {
        sum += 1 / job[at[i]].ec_ms_cm;
        median = job[at[i]].ec_ms_cm;
    }
    return fmin(fmax(median, g->lo), g->hi);
}

static double deviation(const struct plan_room *room, const struct plan_job *job,
                        const uint32_t *at, size_t from, size_t to, double ec)
{
    double sum = 0;

    for (size_t i = from; i < to; i++) {
        double c = job[at[i]].ec_ms_cm;

        sum += 100 * fabs(ec - c) / c;
    }
    return room->cost.deviation_per_pct * sum;
}

/* Cuts one recipe's jobs into loads; each filling costs load_cost. best[i] and cut[i] are of the
 * first i jobs. */
static void cut_loads(const struct plan_room *room, const struct plan_job *job, const uint32_t *at,
                      size_t k, double load_cost, double *best, size_t *cut)
{
    best[0] = 0;
    cut[0] = 0;
    for (size_t to = 1; to <= k; to++) {
        struct group g = {0, INFINITY, 0};

        best[to] = INFINITY;
        cut[to] = to - 1;
        for (size_t from = to; from-- > 0;) {
            double cost;

            g = group_with(g, &job[at[from]]);
            if (g.lo > g.hi) {
                break; /* a wider group bears still less */
            }
            cost = best[from] + load_cost * plan_fillings(room, g.volume_l) +
                   deviation(room, job, at, from, to, best_strength(job, at, from, to, &g));
            if (cost < best[to]) {
                best[to] = cost;
                cut[to] = from;
            }
        }
    }
}

/* What a day comes to, when each filling is given this weight in choosing the cuts. */
struct day_sum {
    double cost;     /* loads, deviation and waiting */
    double fillings; /* of all loads */
};

static void write_loads(const struct plan_room *room, const struct plan_job *job,
                        const uint32_t *at, size_t k, int32_t day, const size_t *cut,
                        struct day_sum *sum, struct plan_slot *slots, uint32_t *load)
{
    for (size_t to = k; to > 0; to = cut[to]) {
        struct group g = {0, INFINITY, 0};
        double ec;

        for (size_t i = cut[to]; i < to; i++) {
            g = group_with(g, &job[at[i]]);
        }
        ec = best_strength(job, at, cut[to], to, &g);
        sum->fillings += plan_fillings(room, g.volume_l);
        sum->cost += room->cost.load * plan_fillings(room, g.volume_l) +
                     deviation(room, job, at, cut[to], to, ec);
        for (size_t i = cut[to]; i < to && slots; i++) {
            slots[at[i]] = (struct plan_slot){day, *load, ec};
        }
        ++*load;
    }
}

static struct day_sum sum_day(const struct plan_room *room, const struct plan_job *job,
                              const uint32_t *at, size_t k, int32_t day, double load_cost,
                              struct plan_slot *slots, uint32_t *load)
{
    double best_small[SMALL + 1];
    size_t cut_small[SMALL + 1];
    bool small = k <= SMALL;
    double *best = small ? best_small : mem_array(k + 1, sizeof *best);
    size_t *cut = small ? cut_small : mem_array(k + 1, sizeof *cut);
    struct day_sum sum = {0};

    for (size_t from = 0, to; from < k; from = to) {
        to = from + 1;
        while (to < k && job[at[to]].recipe == job[at[from]].recipe) {
            to++;
        }
        cut_loads(room, job, at + from, to - from, load_cost, best, cut);
        write_loads(room, job, at + from, to - from, day, cut, &sum, slots, load);
    }
    if (!small) {
        free(best);
        free(cut);
    }
    return sum;
}

static double overtime(const struct plan_room *room, int32_t day, double minutes)
{
    return (size_t)day < room->n_days
               ? room->cost.overtime_per_min * fmax(0, minutes - room->budget_min[day])
               : 0;
}

double plan_day_cost(const struct plan_room *room, const struct plan_job *job, const uint32_t *at,
                     size_t k, int32_t day, struct plan_slot *slots, uint32_t first_load,
                     uint32_t *out_loads)
{
    double fixed = room->cost.open;
    double minutes = room->changeover_min;
    double load_costs[2] = {room->cost.load,
                            room->cost.load + room->cost.overtime_per_min * room->load_min};
    double best = INFINITY;
    int best_at = 0;

    if (out_loads) {
        *out_loads = 0;
    }
    if (k == 0) {
        return 0;
    }
    for (size_t i = 0; i < k; i++) {
        const struct plan_job *j = &job[at[i]];

        if (day < plan_first_day(j) || day > plan_last_day(room, j)) {
            return INFINITY;
        }
        fixed += plan_wait_cost(room, j, day);
        minutes += j->minutes;
    }
    /* The cuts are best for fillings that cost as they do within the budget, or beyond it. */
    for (int way = 0; way < 2; way++) {
        uint32_t load = 0;
        struct day_sum sum = sum_day(room, job, at, k, day, load_costs[way], NULL, &load);
        double over = overtime(room, day, minutes + room->load_min * sum.fillings);

        if (fixed + sum.cost + over < best) {
            best = fixed + sum.cost + over;
            best_at = way;
        }
        if (over == 0) {
            break;
        }
    }
    if (slots) {
        uint32_t load = first_load;

        (void)sum_day(room, job, at, k, day, load_costs[best_at], slots, &load);
        if (out_loads) {
            *out_loads = load - first_load;
        }
    }
    return best;
}

/* Sorted by insertion: the lists are short, and mostly sorted already. */
void plan_sort(const struct plan_job *job, uint32_t *at, size_t k)
{
    for (size_t i = 1; i < k; i++) {
        uint32_t x = at[i];
        size_t to = i;

        while (to > 0) {
            const struct plan_job *a = &job[at[to - 1]];
            const struct plan_job *b = &job[x];
            bool after = a->recipe != b->recipe       ? a->recipe > b->recipe
                         : a->ec_ms_cm != b->ec_ms_cm ? a->ec_ms_cm > b->ec_ms_cm
                                                      : at[to - 1] > x;

            if (!after) {
                break;
            }
            at[to] = at[to - 1];
            to--;
        }
        at[to] = x;
    }
}
