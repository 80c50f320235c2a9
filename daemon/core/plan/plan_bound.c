/* The idea. A day costs what its jobs, loads and minutes cost, and days meet only in that each job is
 * done once. That rule is paid for by prices, one a job; then every day is by itself, and its best
 * set of jobs is found exactly: recipe by recipe, along the line of strengths, with the minutes
 * already used as a second axis (a knapsack), so that overtime is counted as it is and not by a
 * price. The bound is then that of column generation over whole days (Geoffrion 1974), much nearer
 * than the one of a model with a variable for each choice.
 *
 * The prices climb by subgradient steps (Held, Wolfe & Crowder 1974) along a direction that leans on
 * the last ones (Camerini, Fratta & Maffioli 1975). A step costs jobs x strengths in reach x slots
 * for each day. Minutes are counted in slots: their greatest common measure, or, where that is too
 * fine, a 64th of the budget, rounded down, which keeps the bound one. */
#include "daemon/core/plan/plan_bound.h"

#include "daemon/base/mem.h"
#include "daemon/core/plan/plan_day.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#define STEPS_PER_EFFORT 10
#define STEPS_MAX        20000
#define PATIENCE         10 /* steps without a better bound, then half as far */
#define LEAN             0.6
#define SLOTS_MAX        64
#define LARGE            1000 /* jobs: a bound for so many takes longer than it is worth */

#define NONE UINT32_MAX

/* A load of the line that a job may go into, and what the job costs there besides its price. */
struct seat {
    uint32_t load;   /* of the cell's strengths */
    uint32_t before; /* the last seat in that load, of a weaker job; or NONE */
    double deviation;
};

/* The jobs of one recipe that may be done on one day, sorted by strength, and the strengths at which
 * a load of theirs may be cheapest. Seats of job k: seat[first_seat[k] .. first_seat[k + 1]). */
struct cell {
    uint32_t *at;
    size_t n, cap;
    struct seat *seat;
    size_t *first_seat;
    size_t n_loads;
};

struct day {
    struct cell *cell;
    size_t n_cells, cap_cells;
    size_t slots; /* of minutes within the budget, after opening; the last stands for all beyond */
    double slot_min;
    double over_min; /* by opening alone */
    double minute;   /* what one over the budget costs */
    double jobs_l;   /* that all who may be done on it would take, each from a load of its own */
    double spill;    /* plain water thrown away, if no job took any … */
    double saves;    /* … and what each litre that is taken saves of that */
};

struct bounding {
    const struct plan_room *room;
    const struct plan_job *job;
    size_t n;
    struct day *day;
    size_t n_days;
    size_t *slots; /* that each job takes, and … */
    size_t load_slots;
    double *apart; /* the least that each job costs without a load */
    double *price; /* of doing each job */
    double *lean;  /* the direction of the last steps */
    double *done;  /* how often each job is done at these prices … */
    int32_t *on;   /* … and on which day, the first of them */
    /* of the day at hand: */
    double *closed; /* by job in the day's order, then slot: the best with no load open */
    double *open;   /* by seat in the day's order, then slot: the best with its load open */
};

static int ascending(const void *pa, const void *pb)
{
    double a = *(const double *)pa;
    double b = *(const double *)pb;

    return (a > b) - (a < b);
}

/* Those wanted, and the ends of what is borne. */
static size_t candidates(const struct bounding *b, const struct cell *c, double *strength)
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
static void sort_line(const struct bounding *b, const struct cell *c)
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

static void seat_jobs(const struct bounding *b, struct cell *c)
{
    double *strength = mem_array(3 * c->n, sizeof *strength);
    uint32_t *last;
    size_t cap = 0;
    size_t n = 0;

    sort_line(b, c);
    c->n_loads = candidates(b, c, strength);
    last = mem_array(c->n_loads, sizeof *last);
    for (size_t s = 0; s < c->n_loads; s++) {
        last[s] = NONE;
    }
    c->first_seat = mem_array(c->n + 1, sizeof *c->first_seat);
    for (size_t k = 0; k < c->n; k++) {
        const struct plan_job *j = &b->job[c->at[k]];

        c->first_seat[k] = n;
        for (size_t s = 0; s < c->n_loads; s++) {
            double pct = 100 * fabs(strength[s] - j->ec_ms_cm) / j->ec_ms_cm;

            if (pct <= j->tolerance_pct * (1 + 1e-12)) {
                c->seat = mem_grow(c->seat, &cap, n + 1, sizeof *c->seat);
                c->seat[n] =
                    (struct seat){(uint32_t)s, last[s], b->room->cost.deviation_per_pct * pct};
                last[s] = (uint32_t)n++;
            }
        }
    }
    c->first_seat[c->n] = n;
    free(strength);
    free(last);
}

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
static double measure_slots(const struct bounding *b)
{
    double slot = b->room->load_min;
    double most = 0;

    for (size_t i = 0; i < b->n; i++) {
        slot = common_measure(fmax(slot, b->job[i].minutes), fmin(slot, b->job[i].minutes));
    }
    for (size_t d = 0; d < b->room->n_days; d++) {
        most = fmax(most, b->room->budget_min[d] - b->room->changeover_min);
    }
    slot = fmax(slot, most / (SLOTS_MAX - 2));
    return slot > 0 ? slot : 1;
}

static void measure_day(const struct bounding *b, struct day *d, size_t on, double slot_min)
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
static void measure_water(const struct bounding *b, struct day *d, size_t on)
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

/* What the minutes of so many slots cost beyond those of opening. */
static double overtime(const struct bounding *b, const struct day *d, size_t on, size_t slot)
{
    double minutes = (double)slot * d->slot_min;

    return on < b->room->n_days
               ? d->minute * (fmax(0, minutes + b->room->changeover_min - b->room->budget_min[on]) -
                              d->over_min)
               : 0;
}

/* What a load of the line is worth with one job more: to[u] is raised to from[u - takes] + worth; the
 * last slot stands for all beyond, at what their minutes cost. */
static void raise(const struct day *d, double *to, const double *from, size_t takes, double worth)
{
    size_t last = d->slots - 1;

    for (size_t u = takes; u < last; u++) {
        double w = from[u - takes] + worth;

        to[u] = w > to[u] ? w : to[u];
    }
    for (size_t u = takes < last ? last - takes : 0; u <= last; u++) {
        double w = from[u] + worth - d->minute * d->slot_min * (double)(u + takes - last);

        to[last] = w > to[last] ? w : to[last];
    }
}

/* What raise() would make of a slot by itself, and from which slot. */
struct origin {
    double worth;
    size_t slot;
};

static struct origin origin_of(const struct day *d, const double *from, size_t takes, double worth,
                               size_t slot)
{
    size_t last = d->slots - 1;
    struct origin best = {-INFINITY, slot};

    if (slot < last) {
        return slot >= takes ? (struct origin){from[slot - takes] + worth, slot - takes} : best;
    }
    for (size_t u = takes < last ? last - takes : 0; u <= last; u++) {
        double w = from[u] + worth - d->minute * d->slot_min * (double)(u + takes - last);

        if (w > best.worth) {
            best = (struct origin){w, u};
        }
    }
    return best;
}

static double worth_in(const struct bounding *b, const struct cell *c, size_t k, size_t seat,
                       size_t on)
{
    uint32_t i = c->at[k];

    return b->price[i] + b->day[on].saves * b->job[i].volume_l -
           plan_wait_cost(b->room, &b->job[i], (int32_t)on) - c->seat[seat].deviation;
}

static double load_cost(const struct bounding *b, const struct day *d)
{
    return b->room->cost.load - d->saves * b->room->line_loss_l;
}

/* The line of one recipe, from closed[0] to closed[n]. */
static void walk_line(const struct bounding *b, const struct day *d, size_t on,
                      const struct cell *c, double *closed, double *open)
{
    for (size_t k = 0; k < c->n; k++) {
        size_t takes = b->slots[c->at[k]];
        double *before = closed + k * d->slots;
        double *after = before + d->slots;

        memcpy(after, before, d->slots * sizeof *after);
        for (size_t s = c->first_seat[k]; s < c->first_seat[k + 1]; s++) {
            double *here = open + s * d->slots;
            double worth = worth_in(b, c, k, s, on);

            if (c->seat[s].before == NONE) {
                for (size_t u = 0; u < d->slots; u++) {
                    here[u] = -INFINITY;
                }
            } else {
                const double *was = open + c->seat[s].before * d->slots;

                memcpy(here, was, d->slots * sizeof *here);
                raise(d, here, was, takes, worth);
            }
            raise(d, here, before, takes + b->load_slots, worth - load_cost(b, d));
            for (size_t u = 0; u < d->slots; u++) {
                after[u] = here[u] > after[u] ? here[u] : after[u];
            }
        }
    }
}

/* The seat of job k at which the best after it was closed, or NONE when the job was left out. */
static uint32_t closed_at(const struct day *d, const struct cell *c, const double *closed,
                          const double *open, size_t k, size_t slot)
{
    double most = closed[k * d->slots + slot];
    uint32_t best = NONE;

    for (size_t s = c->first_seat[k]; s < c->first_seat[k + 1]; s++) {
        if (open[s * d->slots + slot] > most) {
            most = open[s * d->slots + slot];
            best = (uint32_t)s;
        }
    }
    return best;
}

static size_t job_of_seat(const struct cell *c, size_t before, size_t seat)
{
    while (c->first_seat[before] > seat) {
        before--;
    }
    return before;
}

/* Back along a load from its last seat to its first job: marks those who are in it, and gives the job
 * before which it was opened. */
static size_t unload(const struct bounding *b, const struct day *d, size_t on, const struct cell *c,
                     const double *closed, const double *open, size_t k, uint32_t seat,
                     size_t *slot)
{
    while (seat != NONE) {
        uint32_t before = c->seat[seat].before;
        const double *was = before == NONE ? NULL : open + before * d->slots;
        struct origin joined = {-INFINITY, *slot};
        struct origin opened;
        double worth;
        size_t takes;

        k = job_of_seat(c, k, seat);
        worth = worth_in(b, c, k, seat, on);
        takes = b->slots[c->at[k]];
        if (was) {
            joined = origin_of(d, was, takes, worth, *slot);
        }
        opened = origin_of(d, closed + k * d->slots, takes + b->load_slots, worth - load_cost(b, d),
                           *slot);
        if (!was || was[*slot] < fmax(joined.worth, opened.worth)) {
            b->done[c->at[k]] += 1;
            b->on[c->at[k]] = (int32_t)on;
            *slot = opened.worth > joined.worth ? opened.slot : joined.slot;
            if (opened.worth > joined.worth) {
                return k;
            }
        }
        seat = before;
    }
    return k;
}

/* Back along the line from a slot: marks the jobs that were done, and gives the slot it began at. */
static size_t walk_back(const struct bounding *b, const struct day *d, size_t on,
                        const struct cell *c, const double *closed, const double *open, size_t slot)
{
    for (size_t k = c->n; k > 0;) {
        uint32_t seat = closed_at(d, c, closed, open, k - 1, slot);

        k = seat == NONE ? k - 1 : unload(b, d, on, c, closed, open, k - 1, seat, &slot);
    }
    return slot;
}

/* The most that a day is worth at these prices, and marks what is done on it. */
static double best_day(const struct bounding *b, size_t on)
{
    const struct day *d = &b->day[on];
    double most = 0;
    size_t best = SIZE_MAX;
    size_t jobs = 0;
    size_t seats = 0;

    for (size_t u = 0; u < d->slots; u++) {
        b->closed[u] = u == 0 ? 0 : -INFINITY;
    }
    for (size_t k = 0; k < d->n_cells; k++) {
        const struct cell *c = &d->cell[k];

        walk_line(b, d, on, c, b->closed + jobs * d->slots, b->open + seats * d->slots);
        jobs += c->n;
        seats += c->first_seat[c->n];
    }
    for (size_t u = 0; u < d->slots; u++) {
        double w = b->closed[jobs * d->slots + u] - overtime(b, d, on, u) - b->room->cost.open -
                   d->spill - d->minute * d->over_min;

        if (w > most) {
            most = w;
            best = u;
        }
    }
    for (size_t k = d->n_cells; k-- > 0 && best != SIZE_MAX;) {
        const struct cell *c = &d->cell[k];

        jobs -= c->n;
        seats -= c->first_seat[c->n];
        best =
            walk_back(b, d, on, c, b->closed + jobs * d->slots, b->open + seats * d->slots, best);
    }
    return most;
}

/* The bound at these prices; fills done. */
static double at_prices(const struct bounding *b)
{
    double sum = 0;

    for (size_t i = 0; i < b->n; i++) {
        sum += b->price[i];
        b->done[i] = 0;
        b->on[i] = PLAN_UNPLANNED;
    }
    for (size_t on = b->n_days; on-- > 0;) {
        sum -= best_day(b, on);
    }
    return sum;
}

/* A step as long as the gap to a known plan suggests. A price above that of doing the job apart
 * would gain nothing. */
static void move_prices(const struct bounding *b, double gap, double share)
{
    double norm = 0;
    double length;

    for (size_t i = 0; i < b->n; i++) {
        b->lean[i] = LEAN * b->lean[i] + (1 - b->done[i]);
        norm += b->lean[i] * b->lean[i];
    }
    length = norm > 0 ? share * gap / norm : 0;
    for (size_t i = 0; i < b->n; i++) {
        b->price[i] = fmin(fmax(0, b->price[i] + length * b->lean[i]), b->apart[i]);
    }
}

/* Left out, or by hand, on whichever day, without its minutes. */
static double cost_apart(const struct plan_room *room, const struct plan_job *j)
{
    double least = room->cost.unplanned;

    for (int32_t day = plan_first_day(j); day <= plan_last_day(room, j); day++) {
        if (plan_by_hand(room, j)) {
            least = fmin(least, room->cost.hand + plan_wait_cost(room, j, day));
        }
    }
    return least;
}

static double climb(const struct bounding *b, unsigned steps, double upper, int32_t *out_day)
{
    double best = 0; /* nothing costs less than nothing */
    double share = 1;
    unsigned stale = 0;
    double *best_price = mem_copy(b->price, b->n, sizeof *b->price);

    for (unsigned k = 0; k < steps && best < upper - 1e-6; k++) {
        double bound = at_prices(b);

        if (bound > best + 1e-5 * fabs(best)) {
            best = bound;
            stale = 0;
            memcpy(best_price, b->price, b->n * sizeof *best_price);
            memcpy(out_day, b->on, b->n * sizeof *out_day);
        } else if (++stale == PATIENCE) {
            share /= 2;
            stale = 0;
            memcpy(b->price, best_price, b->n * sizeof *best_price);
            memset(b->lean, 0, b->n * sizeof *b->lean);
            (void)at_prices(b);
        }
        move_prices(b, fmax(upper - bound, 0.002 * upper), share);
    }
    free(best_price);
    return fmin(best, upper);
}

static struct cell *cell_of(const struct bounding *b, struct day *d, size_t recipe)
{
    for (size_t k = 0; k < d->n_cells; k++) {
        if (b->job[d->cell[k].at[0]].recipe == recipe) {
            return &d->cell[k];
        }
    }
    d->cell = mem_grow(d->cell, &d->cap_cells, d->n_cells + 1, sizeof *d->cell);
    d->cell[d->n_cells] = (struct cell){0};
    return &d->cell[d->n_cells++];
}

/* What a day needs to be worked out. */
struct extent {
    size_t closed, open;
};

static void widen(struct extent *e, const struct day *d)
{
    size_t jobs = 1;
    size_t seats = 0;

    for (size_t k = 0; k < d->n_cells; k++) {
        jobs += d->cell[k].n;
        seats += d->cell[k].first_seat[d->cell[k].n];
    }
    e->closed = jobs * d->slots > e->closed ? jobs * d->slots : e->closed;
    e->open = seats * d->slots > e->open ? seats * d->slots : e->open;
}

static void lay_out(struct bounding *b)
{
    double slot_min = measure_slots(b);
    struct extent most = {0};

    b->load_slots = (size_t)floor(b->room->load_min / slot_min + 1e-9);
    for (uint32_t i = 0; i < b->n; i++) {
        const struct plan_job *j = &b->job[i];

        b->slots[i] = (size_t)floor(j->minutes / slot_min + 1e-9);
        for (int32_t day = plan_first_day(j); day <= plan_last_day(b->room, j); day++) {
            struct cell *c;

            if (plan_is_off(b->room, day)) {
                continue;
            }
            c = cell_of(b, &b->day[day], j->recipe);
            b->day[day].jobs_l += j->volume_l + b->room->line_loss_l;
            c->at = mem_grow(c->at, &c->cap, c->n + 1, sizeof *c->at);
            c->at[c->n++] = i;
        }
    }
    for (size_t on = 0; on < b->n_days; on++) {
        measure_day(b, &b->day[on], on, slot_min);
        measure_water(b, &b->day[on], on);
        for (size_t k = 0; k < b->day[on].n_cells; k++) {
            seat_jobs(b, &b->day[on].cell[k]);
        }
        widen(&most, &b->day[on]);
    }
    b->closed = mem_array(most.closed, sizeof *b->closed);
    b->open = mem_array(most.open, sizeof *b->open);
}

static void deinit(struct bounding *b)
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
    free(b->apart);
    free(b->price);
    free(b->lean);
    free(b->done);
    free(b->on);
    free(b->closed);
    free(b->open);
}

double plan_bound(const struct plan_room *room, const struct plan_job *job, size_t n,
                  unsigned steps, double upper, int32_t *out_day)
{
    struct bounding b = {.room = room, .job = job, .n = n};
    double best;

    for (size_t i = 0; i < n; i++) {
        out_day[i] = PLAN_UNPLANNED;
    }
    if (n == 0 || n > LARGE || !isfinite(upper)) {
        return 0;
    }
    for (size_t i = 0; i < n; i++) {
        size_t days = (size_t)plan_last_day(room, &job[i]) + 1;

        b.n_days = days > b.n_days ? days : b.n_days;
    }
    b.day = mem_array(b.n_days, sizeof *b.day);
    b.slots = mem_array(n, sizeof *b.slots);
    b.apart = mem_array(n, sizeof *b.apart);
    b.price = mem_array(n, sizeof *b.price);
    b.lean = mem_array(n, sizeof *b.lean);
    b.done = mem_array(n, sizeof *b.done);
    b.on = mem_array(n, sizeof *b.on);
    for (size_t i = 0; i < n; i++) {
        b.apart[i] = cost_apart(room, &job[i]);
        b.price[i] = fmin(upper / (double)n, b.apart[i]);
    }
    lay_out(&b);
    best = climb(&b, steps, upper, out_day);
    deinit(&b);
    return best;
}
