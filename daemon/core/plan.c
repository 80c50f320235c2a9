/* The idea: jobs are taken by the day on which they can wait no longer. Each joins the open load
 * that suits it best (same recipe, a day in its window, a strength within everybody's tolerance,
 * room in the reservoir), and where there is none it opens one, on the day of its window that costs
 * least: near its due day, where the reservoir is changed over anyway, and where the labour is not
 * used up. O(n log n + n * loads), deterministic: equal jobs go by their index. */
#include "daemon/core/plan.h"

#include "daemon/base/mem.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

/* Costs in the coin of one day too early. A changeover takes half a morning. */
#define EARLY_PER_DAY    0.6
#define LATE_PER_DAY     2.0
#define CHANGEOVER       10.0
#define LOAD             5.0
#define OVERTIME_PER_MIN 1.0
#define WINDOW_MAX       60 /* days looked at for one job */

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

static double wait_cost(const struct plan_job *j, int32_t day)
{
    return day < j->due ? EARLY_PER_DAY * (j->due - day) : LATE_PER_DAY * (day - j->due);
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
    return OVERTIME_PER_MIN * (over_after - over_before);
}

static int32_t first_day(const struct plan_job *j)
{
    return j->earliest > 0 ? j->earliest : 0;
}

static int32_t last_day(const struct plan_job *j)
{
    int32_t last = j->latest > 0 ? j->latest : 0;

    return last < first_day(j) ? first_day(j) : last;
}

static bool load_takes(const struct planning *p, const struct load *l, const struct plan_job *j)
{
    double slack = j->ec_ms_cm * j->tolerance_pct / 100;

    return l->recipe == j->recipe && l->day >= first_day(j) && l->day <= last_day(j) &&
           j->ec_ms_cm - slack <= l->hi_ec && j->ec_ms_cm + slack >= l->lo_ec &&
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
        cost = wait_cost(j, l->day) + overtime_cost(p, l->day, j->minutes);
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
    int32_t last = last_day(j);
    double best = INFINITY;

    if (last > first_day(j) + WINDOW_MAX) {
        last = first_day(j) + WINDOW_MAX;
    }
    for (int32_t day = first_day(j); day <= last; day++) {
        bool open = day_is_open(p, day);
        double minutes = j->minutes + p->room->load_min + (open ? 0 : p->room->changeover_min);
        double cost =
            LOAD + (open ? 0 : CHANGEOVER) + wait_cost(j, day) + overtime_cost(p, day, minutes);

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
    int32_t day = first_day(j);
    double joined = best_load(p, j, &k);
    double alone = best_day(p, j, &day);

    if (k < p->n_loads && joined <= alone) {
        join(p, i, k);
    } else {
        join(p, i, open_load(p, j, day));
    }
}

void plan_mixes(const struct plan_room *room, const struct plan_job *job, size_t n,
                struct plan_slot *out)
{
    struct planning p = {.room = room, .job = job, .slot = out};
    struct order *order = mem_array(n, sizeof *order);

    p.minutes = mem_array(room->n_days, sizeof *p.minutes);
    p.open = mem_array(room->n_days, sizeof *p.open);
    for (size_t i = 0; i < n; i++) {
        order[i] = (struct order){job[i].latest, job[i].due, i};
    }
    qsort(order, n, sizeof *order, by_patience);
    for (size_t i = 0; i < n; i++) {
        place(&p, order[i].at);
    }
    for (size_t i = 0; i < n; i++) {
        const struct load *l = &p.load[out[i].load];
        double mean = l->volume_l > 0 ? l->ec_litres / l->volume_l : job[i].ec_ms_cm;

        out[i].ec_ms_cm = fmin(fmax(mean, l->lo_ec), l->hi_ec);
    }
    free(order);
    free(p.minutes);
    free(p.open);
    free(p.load);
}
