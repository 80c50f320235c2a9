/* The idea. A day costs what its jobs, loads and minutes cost, and days meet only in that each
 * job is done once. That rule is paid for by prices, one a job; then every day is by itself, and
 * its best set of jobs is found exactly (plan_bound_best.h). The bound is then that of column
 * generation over whole days (Geoffrion 1974), much nearer than the one of a model with a
 * variable for each choice.
 *
 * The prices climb by subgradient steps (Held, Wolfe & Crowder 1974) along a direction that
 * leans on the last ones (Camerini, Fratta & Maffioli 1975). */
#include "daemon/core/plan/plan_bound.h"

#include "daemon/base/mem.h"
#include "daemon/core/plan/plan_bound_best.h"
#include "daemon/core/plan/plan_bound_days.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

/* With any of them what is found is a bound: with others it is found later, or is a lower one. */
#define PATIENCE 10   /* steps without a better bound, then half as far */
#define LEAN     0.6  /* how much of the last direction stays in the next; by tests/bench/plan.sh */
#define LARGE    1000 /* jobs: a bound for so many takes longer than it is worth */

/* The prices on their way up. */
struct bounding {
    struct bound_days days;
    struct bound_best best;
    double *apart; /* the least that each job costs without a load */
    double *price; /* of doing each job */
    double *lean;  /* the direction of the last steps */
};

/* The bound at these prices; fills done. Weak duality: a plan pays every price once and each of
 * its days is worth no more than the best of that day, so that it costs at least the sum of the
 * prices less those. From the last day to the first, so that on[] keeps the first day of a job
 * that is wanted on several. */
static double at_prices(const struct bounding *b)
{
    double sum = 0;

    for (size_t i = 0; i < b->days.n; i++) {
        sum += b->price[i];
        b->best.done[i] = 0;
        b->best.on[i] = PLAN_UNPLANNED;
    }
    for (size_t on = b->days.n_days; on-- > 0;) {
        sum -= plan_bound_best_day(&b->best, on);
    }
    return sum;
}

/* A step as long as the gap to a known plan suggests. A price above that of doing the job apart
 * would gain nothing. */
static void move_prices(const struct bounding *b, double gap, double share)
{
    double norm = 0;
    double length;

    for (size_t i = 0; i < b->days.n; i++) {
        b->lean[i] = LEAN * b->lean[i] + (1 - b->best.done[i]);
        norm += b->lean[i] * b->lean[i];
    }
    length = norm > 0 ? share * gap / norm : 0;
    for (size_t i = 0; i < b->days.n; i++) {
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
    double *best_price = mem_copy(b->price, b->days.n, sizeof *b->price);

    for (unsigned k = 0; k < steps && best < upper - 1e-6; k++) {
        double bound = at_prices(b);

        if (bound > best + 1e-5 * fabs(best)) { /* less is no progress worth waiting for */
            best = bound;
            stale = 0;
            memcpy(best_price, b->price, b->days.n * sizeof *best_price);
            memcpy(out_day, b->best.on, b->days.n * sizeof *out_day);
        } else if (++stale == PATIENCE) {
            share /= 2;
            stale = 0;
            memcpy(b->price, best_price, b->days.n * sizeof *best_price);
            memset(b->lean, 0, b->days.n * sizeof *b->lean);
            (void)at_prices(b);
        }
        /* Never a step of nothing: at a bound that is nearly met the last of the gap is still
         * climbed. */
        move_prices(b, fmax(upper - bound, 0.002 * upper), share);
    }
    free(best_price);
    return fmin(best, upper);
}

static void begin(struct bounding *b, const struct plan_room *room, const struct plan_job *job,
                  size_t n, double upper)
{
    plan_bound_lay_days(room, job, n, &b->days);
    b->apart = mem_array(n, sizeof *b->apart);
    b->price = mem_array(n, sizeof *b->price);
    b->lean = mem_array(n, sizeof *b->lean);
    b->best = (struct bound_best){
        .days = &b->days,
        .price = b->price,
        .done = mem_array(n, sizeof *b->best.done),
        .on = mem_array(n, sizeof *b->best.on),
        .closed = mem_array(b->days.most_closed, sizeof *b->best.closed),
        .open = mem_array(b->days.most_open, sizeof *b->best.open),
    };
    /* Even prices to begin with: what the known plan takes for a job on average. */
    for (size_t i = 0; i < n; i++) {
        b->apart[i] = cost_apart(room, &job[i]);
        b->price[i] = fmin(upper / (double)n, b->apart[i]);
    }
}

static void end(struct bounding *b)
{
    plan_bound_clear_days(&b->days);
    free(b->apart);
    free(b->price);
    free(b->lean);
    free(b->best.done);
    free(b->best.on);
    free(b->best.closed);
    free(b->best.open);
}

double plan_bound(const struct plan_room *room, const struct plan_job *job, size_t n,
                  unsigned steps, double upper, int32_t *out_day)
{
    struct bounding b;
    double best;

    for (size_t i = 0; i < n; i++) {
        out_day[i] = PLAN_UNPLANNED;
    }
    if (n == 0 || n > LARGE || !isfinite(upper)) {
        return 0;
    }
    begin(&b, room, job, n, upper);
    best = climb(&b, steps, upper, out_day);
    end(&b);
    return best;
}
