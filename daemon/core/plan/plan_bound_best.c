#include "daemon/core/plan/plan_bound_best.h"

#include "daemon/base/order.h"

#include <math.h>
#include <string.h>

/* What the minutes of so many slots cost beyond those of opening. */
static double overtime(const struct bound_best *b, const struct bound_day *d, size_t on,
                       size_t slot)
{
    double minutes = (double)slot * d->slot_min;

    return on < b->days->room->n_days
               ? d->minute * (fmax(0, minutes + b->days->room->changeover_min -
                                          b->days->room->budget_min[on]) -
                              d->over_min)
               : 0;
}

/* What a load of the line is worth with one job more: to[u] is raised to from[u - takes] +
 * worth; the last slot stands for all beyond, at what their minutes cost. */
static void raise(const struct bound_day *d, double *to, const double *from, size_t takes,
                  double worth)
{
    size_t last = d->slots - 1;

    for (size_t u = takes; u < last; u++) {
        double w = from[u - takes] + worth;

        to[u] = w > to[u] ? w : to[u];
    }
    for (size_t u = last - order_fewer(takes, last); u <= last; u++) {
        double w = from[u] + worth - d->minute * d->slot_min * (double)(u + takes - last);

        to[last] = w > to[last] ? w : to[last];
    }
}

/* What raise() would make of a slot by itself, and from which slot. */
struct origin {
    double worth;
    size_t slot;
};

/* The tables hold worths alone and not how they came about, which is asked again on the way
 * back: a day is asked for its worth at every step, and few slots of it lie on the way. */
static struct origin origin_of(const struct bound_day *d, const double *from, size_t takes,
                               double worth, size_t slot)
{
    size_t last = d->slots - 1;
    struct origin best = {-INFINITY, slot};

    if (slot < last) {
        return slot >= takes ? (struct origin){from[slot - takes] + worth, slot - takes} : best;
    }
    for (size_t u = last - order_fewer(takes, last); u <= last; u++) {
        double w = from[u] + worth - d->minute * d->slot_min * (double)(u + takes - last);

        if (w > best.worth) {
            best = (struct origin){w, u};
        }
    }
    return best;
}

/* What doing job k in that load brings: its price and the plain water it keeps from the drain,
 * less what it waits and deviates. */
static double worth_in(const struct bound_best *b, const struct bound_cell *c, size_t k,
                       size_t seat, size_t on)
{
    uint32_t i = c->at[k];

    return b->price[i] + b->days->day[on].saves * b->days->job[i].volume_l -
           plan_wait_cost(b->days->room, &b->days->job[i], (int32_t)on) - c->seat[seat].deviation;
}

/* What stays in the lines is taken from the plain water too. */
static double load_cost(const struct bound_best *b, const struct bound_day *d)
{
    return b->days->room->cost.load - d->saves * b->days->room->line_loss_l;
}

/* The line of one recipe, from closed[0] to closed[n]. A job of the line joins the open load of
 * one strength, opens one there, or is passed by. One load is open at a time: loads are groups
 * of neighbours, and what lies between two jobs of a load and is not in it is done on another
 * day. */
static void walk_line(const struct bound_best *b, const struct bound_day *d, size_t on,
                      const struct bound_cell *c, double *closed, double *open)
{
    for (size_t k = 0; k < c->n; k++) {
        size_t takes = b->days->slots[c->at[k]];
        double *before = closed + k * d->slots;
        double *after = before + d->slots;

        memcpy(after, before, d->slots * sizeof *after);
        for (size_t s = c->first_seat[k]; s < c->first_seat[k + 1]; s++) {
            double *here = open + s * d->slots;
            double worth = worth_in(b, c, k, s, on);

            if (c->seat[s].before == BOUND_NO_SEAT) {
                for (size_t u = 0; u < d->slots; u++) {
                    here[u] = -INFINITY;
                }
            } else {
                const double *was = open + c->seat[s].before * d->slots;

                memcpy(here, was, d->slots * sizeof *here);
                raise(d, here, was, takes, worth);
            }
            raise(d, here, before, takes + b->days->load_slots, worth - load_cost(b, d));
            for (size_t u = 0; u < d->slots; u++) {
                after[u] = here[u] > after[u] ? here[u] : after[u];
            }
        }
    }
}

/* The seat of job k at which the best after it was closed, or BOUND_NO_SEAT when the job was
 * left out. */
static uint32_t closed_at(const struct bound_day *d, const struct bound_cell *c,
                          const double *closed, const double *open, size_t k, size_t slot)
{
    double most = closed[k * d->slots + slot];
    uint32_t best = BOUND_NO_SEAT;

    for (size_t s = c->first_seat[k]; s < c->first_seat[k + 1]; s++) {
        if (open[s * d->slots + slot] > most) {
            most = open[s * d->slots + slot];
            best = (uint32_t)s;
        }
    }
    return best;
}

static size_t job_of_seat(const struct bound_cell *c, size_t before, size_t seat)
{
    while (c->first_seat[before] > seat) {
        before--;
    }
    return before;
}

/* Back along a load from its last seat to its first job: marks those who are in it, and gives
 * the job before which it was opened. */
static size_t unload(const struct bound_best *b, const struct bound_day *d, size_t on,
                     const struct bound_cell *c, const double *closed, const double *open, size_t k,
                     uint32_t seat, size_t *slot)
{
    while (seat != BOUND_NO_SEAT) {
        uint32_t before = c->seat[seat].before;
        const double *was = before == BOUND_NO_SEAT ? NULL : open + before * d->slots;
        struct origin joined = {-INFINITY, *slot};
        struct origin opened;
        double worth;
        size_t takes;

        k = job_of_seat(c, k, seat);
        worth = worth_in(b, c, k, seat, on);
        takes = b->days->slots[c->at[k]];
        if (was) {
            joined = origin_of(d, was, takes, worth, *slot);
        }
        opened = origin_of(d, closed + k * d->slots, takes + b->days->load_slots,
                           worth - load_cost(b, d), *slot);
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

/* Back along the line from a slot: marks the jobs that were done, and gives the slot it began
 * at. */
static size_t walk_back(const struct bound_best *b, const struct bound_day *d, size_t on,
                        const struct bound_cell *c, const double *closed, const double *open,
                        size_t slot)
{
    for (size_t k = c->n; k > 0;) {
        uint32_t seat = closed_at(d, c, closed, open, k - 1, slot);

        k = seat == BOUND_NO_SEAT ? k - 1 : unload(b, d, on, c, closed, open, k - 1, seat, &slot);
    }
    return slot;
}

double plan_bound_best_day(const struct bound_best *b, size_t on)
{
    const struct bound_day *d = &b->days->day[on];
    double most = 0;
    size_t best = SIZE_MAX;
    size_t jobs = 0;
    size_t seats = 0;

    for (size_t u = 0; u < d->slots; u++) {
        b->closed[u] = u == 0 ? 0 : -INFINITY;
    }
    for (size_t k = 0; k < d->n_cells; k++) {
        const struct bound_cell *c = &d->cell[k];

        walk_line(b, d, on, c, b->closed + jobs * d->slots, b->open + seats * d->slots);
        jobs += c->n;
        seats += c->first_seat[c->n];
    }
    for (size_t u = 0; u < d->slots; u++) {
        double w = b->closed[jobs * d->slots + u] - overtime(b, d, on, u) -
                   b->days->room->cost.open - d->visit - d->spill - d->minute * d->over_min;

        if (w > most) {
            most = w;
            best = u;
        }
    }
    for (size_t k = d->n_cells; k-- > 0 && best != SIZE_MAX;) {
        const struct bound_cell *c = &d->cell[k];

        jobs -= c->n;
        seats -= c->first_seat[c->n];
        best =
            walk_back(b, d, on, c, b->closed + jobs * d->slots, b->open + seats * d->slots, best);
    }
    return most;
}
