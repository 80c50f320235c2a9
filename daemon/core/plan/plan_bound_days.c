#include "daemon/core/plan/plan_bound_days.h"

#include "daemon/base/mem.h"
#include "daemon/base/order.h"

#include <math.h>
#include <stdlib.h>

#define SLOTS_MAX 64 /* finer takes longer and raises the bound little (tests/bench/plan.sh) */

static int ascending(const void *pa, const void *pb)
{
    double a = *(const double *)pa;
    double b = *(const double *)pb;

    return (a > b) - (a < b);
}

/* Those wanted, and the ends of what is borne: deviation is piecewise linear in the strength,
 * with its corners there, so that one of them is the best for any set of jobs. */
static size_t candidates(const struct bound_days *b, const struct bound_cell *c, double *strength)
{
    size_t n = 0;
    size_t kept = 0;

    for (size_t k = 0; k < c->n; k++) {
        const struct plan_job *j = &b->job[c->at[k]];
        double slack = j->ec_ms_cm * j->tolerance_pct / 100;

        strength[n++] = j->ec_ms_cm;
        strength[n++] = j->ec_ms_cm - slack;
        strength[n++] = j->ec_ms_cm + slack;
    }
    qsort(strength, n, sizeof *strength, ascending);
    for (size_t k = 0; k < n; k++) {
        if (kept == 0 || strength[k] > strength[kept - 1]) {
            strength[kept++] = strength[k];
        }
    }
    return kept;
}

/* By strength, by insertion: the lists are short. */
static void sort_line(const struct bound_days *b, const struct bound_cell *c)
{
    for (size_t i = 1; i < c->n; i++) {
        uint32_t x = c->at[i];
        size_t to = i;

        for (; to > 0 && b->job[c->at[to - 1]].ec_ms_cm > b->job[x].ec_ms_cm; to--) {
            c->at[to] = c->at[to - 1];
        }
        c->at[to] = x;
    }
}

static void seat_jobs(const struct bound_days *b, struct bound_cell *c)
{
    double *strength = mem_array(3 * c->n, sizeof *strength);
    uint32_t *last;
    size_t cap = 0;
    size_t n = 0;

    sort_line(b, c);
    c->n_loads = candidates(b, c, strength);
    last = mem_array(c->n_loads, sizeof *last);
    for (size_t s = 0; s < c->n_loads; s++) {
        last[s] = BOUND_NO_SEAT;
    }
    c->first_seat = mem_array(c->n + 1, sizeof *c->first_seat);
    for (size_t k = 0; k < c->n; k++) {
        const struct plan_job *j = &b->job[c->at[k]];

        c->first_seat[k] = n;
        for (size_t s = 0; s < c->n_loads; s++) {
            double pct = 100 * fabs(strength[s] - j->ec_ms_cm) / j->ec_ms_cm;

            if (pct <= j->tolerance_pct * (1 + 1e-12)) {
                c->seat = mem_grow(c->seat, &cap, n + 1, sizeof *c->seat);
                c->seat[n] = (struct bound_seat){(uint32_t)s, last[s],
                                                 b->room->cost.deviation_per_pct * pct};
                last[s] = (uint32_t)n++;
            }
        }
    }
    c->first_seat[c->n] = n;
    free(strength);
    free(last);
}

/* Euclid's, for minutes; what is below a millionth is rounding. */
static double common_measure(double a, double b)
{
    while (b > 1e-6) {
        double rest = fmod(a, b);

        a = b;
        b = rest;
    }
    return a;
}

/* Slots for the day with the largest budget serve for all. */
static double measure_slots(const struct bound_days *b)
{
    double slot = b->room->load_min;
    double most = 0;

    for (size_t i = 0; i < b->n; i++) {
        slot = common_measure(fmax(slot, b->job[i].minutes), fmin(slot, b->job[i].minutes));
    }
    for (size_t d = 0; d < b->room->n_days; d++) {
        most = fmax(most, b->room->budget_min[d] - b->room->changeover_min);
    }
    slot = fmax(slot, most / (SLOTS_MAX - 2)); /* one slot for minute 0, one for all beyond */
    return slot > 0 ? slot : 1;
}

/* Opening is paid for beforehand: all slots are of loads and jobs. */
static void measure_day(const struct bound_days *b, struct bound_day *d, size_t on, double slot_min)
{
    double left;

    d->slot_min = slot_min;
    d->slots = 1;
    if (on >= b->room->n_days) {
        return;
    }
    left = b->room->budget_min[on] - b->room->changeover_min;
    d->minute = b->room->cost.overtime_per_min;
    d->over_min = fmax(0, -left);
    d->slots = left > 0 ? (size_t)ceil(left / slot_min) + 1 : 1;
}

/* Plain water is thrown away for p max(0, P - taken), which is never less than q (P - taken) with q
 * between 0 and p: p serves while the jobs of the day cannot take much more than there is. */
static void measure_water(const struct bound_days *b, struct bound_day *d, size_t on)
{
    const struct plan_room *room = b->room;
    double per_l = room->cost.plain_per_l;
    bool known = room->plain_l && on < room->n_days;

    if (known && room->plain_l[on] >= d->jobs_l / 2 &&
        room->cost.load >= per_l * room->line_loss_l) {
        d->saves = per_l;
        d->spill = per_l * room->plain_l[on];
    }
}

static struct bound_cell *cell_of(const struct bound_days *b, struct bound_day *d, size_t recipe)
{
    for (size_t k = 0; k < d->n_cells; k++) {
        if (b->job[d->cell[k].at[0]].recipe == recipe) {
            return &d->cell[k];
        }
    }
    d->cell = mem_grow(d->cell, &d->cap_cells, d->n_cells + 1, sizeof *d->cell);
    d->cell[d->n_cells] = (struct bound_cell){0};
    return &d->cell[d->n_cells++];
}

/* What the largest day needs to be worked out. */
static void widen(struct bound_days *b, const struct bound_day *d)
{
    size_t jobs = 1;
    size_t seats = 0;

    for (size_t k = 0; k < d->n_cells; k++) {
        jobs += d->cell[k].n;
        seats += d->cell[k].first_seat[d->cell[k].n];
    }
    b->most_closed = order_more(jobs * d->slots, b->most_closed);
    b->most_open = order_more(seats * d->slots, b->most_open);
}

/* Puts a job into the cells of the days that serve for it. */
static void enter_job(struct bound_days *b, uint32_t i)
{
    const struct plan_job *j = &b->job[i];

    for (int32_t day = plan_first_day(j); day <= plan_last_day(b->room, j); day++) {
        struct bound_cell *c;

        if (plan_is_off(b->room, day)) {
            continue;
        }
        c = cell_of(b, &b->day[day], j->recipe);
        b->day[day].jobs_l += j->volume_l + b->room->line_loss_l;
        c->at = mem_grow(c->at, &c->cap, c->n + 1, sizeof *c->at);
        c->at[c->n++] = i;
    }
}

void plan_bound_lay_days(const struct plan_room *room, const struct plan_job *job, size_t n,
                         struct bound_days *out)
{
    struct bound_days *b = out;
    double slot_min;

    *b = (struct bound_days){.room = room, .job = job, .n = n};
    for (size_t i = 0; i < n; i++) {
        size_t days = (size_t)plan_last_day(room, &job[i]) + 1;

        b->n_days = order_more(days, b->n_days);
    }
    b->day = mem_array(b->n_days, sizeof *b->day);
    b->slots = mem_array(n, sizeof *b->slots);
    slot_min = measure_slots(b);
    b->load_slots = (size_t)floor(room->load_min / slot_min + 1e-9);
    for (uint32_t i = 0; i < n; i++) {
        b->slots[i] = (size_t)floor(job[i].minutes / slot_min + 1e-9);
        enter_job(b, i);
    }
    for (size_t on = 0; on < b->n_days; on++) {
        measure_day(b, &b->day[on], on, slot_min);
        measure_water(b, &b->day[on], on);
        b->day[on].visit = plan_visit_cost(room, (int32_t)on);
        for (size_t k = 0; k < b->day[on].n_cells; k++) {
            seat_jobs(b, &b->day[on].cell[k]);
        }
        widen(b, &b->day[on]);
    }
}

void plan_bound_clear_days(struct bound_days *b)
{
    for (size_t on = 0; on < b->n_days; on++) {
        for (size_t k = 0; k < b->day[on].n_cells; k++) {
            free(b->day[on].cell[k].at);
            free(b->day[on].cell[k].seat);
            free(b->day[on].cell[k].first_seat);
        }
        free(b->day[on].cell);
    }
    free(b->day);
    free(b->slots);
    *b = (struct bound_days){0};
}
