#include "daemon/core/plan_bound.h"

#include "daemon/base/mem.h"
#include "daemon/core/plan_day.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#define STEPS_PER_EFFORT 12
#define STEPS_MAX        400
#define PATIENCE         8 /* steps without a better bound, then half as far */
#define WINDOW_MAX       60
#define LARGE            400 /* jobs: a bound for so many takes longer than it is worth */

/* The jobs of one recipe that may be done on one day, sorted by strength. */
struct cell {
    int32_t day;
    uint32_t *at;
    size_t n, cap;
};

struct bounding {
    const struct plan_room *room;
    const struct plan_job *job;
    size_t n;
    size_t n_days;
    struct cell *cell; /* by day, then recipe */
    size_t n_cells;
    double *price;    /* of doing each job */
    double *minute;   /* of a minute of each day, 0 to overtime_per_min */
    double *done;     /* how often each job was done in the last round: the subgradient */
    double *minutes;  /* likewise of each day's minutes */
    double *strength; /* scratch: candidates of a cell, ascending */
    double *best;
    size_t *from;
};

/* What job i is worth in a load of this strength, prices taken off: above 0 it is done. */
static double worth(const struct bounding *b, uint32_t i, int32_t day, double ec)
{
    const struct plan_job *j = &b->job[i];
    double pct = 100 * fabs(ec - j->ec_ms_cm) / j->ec_ms_cm;
    double minute = (size_t)day < b->room->n_days ? b->minute[day] : 0;

    return pct > j->tolerance_pct * (1 + 1e-12)
               ? -INFINITY
               : b->price[i] - plan_wait_cost(b->room, j, day) -
                     b->room->cost.deviation_per_pct * pct - minute * j->minutes;
}

static int ascending(const void *pa, const void *pb)
{
    double a = *(const double *)pa;
    double b = *(const double *)pb;

    return (a > b) - (a < b);
}

/* The strengths at which a load of the cell may be cheapest: those wanted, and the ends of what is
 * borne. */
static size_t candidates(const struct bounding *b, const struct cell *c)
{
    size_t n = 0;
    size_t kept = 0;

    for (size_t k = 0; k < c->n; k++) {
        const struct plan_job *j = &b->job[c->at[k]];
        double slack = j->ec_ms_cm * j->tolerance_pct / 100;

        b->strength[n++] = j->ec_ms_cm;
        b->strength[n++] = j->ec_ms_cm - slack;
        b->strength[n++] = j->ec_ms_cm + slack;
    }
    qsort(b->strength, n, sizeof *b->strength, ascending);
    for (size_t k = 0; k < n; k++) {
        if (kept == 0 || b->strength[k] > b->strength[kept - 1]) {
            b->strength[kept++] = b->strength[k];
        }
    }
    return kept;
}

/* The worth of the jobs wanted strictly above lo and up to hi, each in the better of two loads. A load
 * of NaN is none. */
static double between(const struct bounding *b, const struct cell *c, double lo, double hi,
                      double *out_done)
{
    double sum = 0;

    for (size_t k = 0; k < c->n; k++) {
        double ec = b->job[c->at[k]].ec_ms_cm;
        double w = -INFINITY;

        if ((!isnan(lo) && ec <= lo) || (!isnan(hi) && ec > hi)) {
            continue;
        }
        if (!isnan(lo)) {
            w = worth(b, c->at[k], c->day, lo);
        }
        if (!isnan(hi)) {
            w = fmax(w, worth(b, c->at[k], c->day, hi));
        }
        if (w > 0) {
            sum += w;
            if (out_done) {
                out_done[c->at[k]] += 1;
                if ((size_t)c->day < b->room->n_days) {
                    b->minutes[c->day] += b->job[c->at[k]].minutes;
                }
            }
        }
    }
    return sum;
}

/* The most that loads of this cell are worth, each of them paid for. best[k] is of the jobs up to
 * strength k, with a load there. */
static double best_loads(const struct bounding *b, const struct cell *c, double load_cost,
                         size_t *out_n, size_t *out_last)
{
    size_t n = candidates(b, c);
    double most = 0;

    *out_n = 0;
    *out_last = SIZE_MAX;
    for (size_t k = 0; k < n; k++) {
        b->best[k] = between(b, c, NAN, b->strength[k], NULL) - load_cost;
        b->from[k] = SIZE_MAX;
        for (size_t i = 0; i < k; i++) {
            double w = b->best[i] + between(b, c, b->strength[i], b->strength[k], NULL) - load_cost;

            if (w > b->best[k]) {
                b->best[k] = w;
                b->from[k] = i;
            }
        }
    }
    for (size_t k = 0; k < n; k++) {
        double w = b->best[k] + between(b, c, b->strength[k], NAN, NULL);

        if (w > most) {
            most = w;
            *out_last = k;
        }
    }
    *out_n = n;
    return most;
}

/* Which jobs those loads do, for the next prices. */
static size_t mark_done(const struct bounding *b, const struct cell *c, size_t last)
{
    size_t loads = 0;
    double hi = NAN;

    for (size_t k = last; k != SIZE_MAX; k = b->from[k]) {
        (void)between(b, c, b->strength[k], hi, b->done);
        hi = b->strength[k];
        loads++;
    }
    (void)between(b, c, NAN, hi, b->done);
    return loads;
}

/* The bound at these prices; fills done and minutes with the subgradient. */
static double at_prices(const struct bounding *b)
{
    double sum = 0;

    memset(b->done, 0, b->n * sizeof *b->done);
    memset(b->minutes, 0, b->n_days * sizeof *b->minutes);
    for (size_t i = 0; i < b->n; i++) {
        sum += fmin(b->price[i], b->room->cost.unplanned);
        b->done[i] = b->price[i] > b->room->cost.unplanned ? 1 : 0;
    }
    for (size_t d = 0; d < b->n_days && d < b->room->n_days; d++) {
        sum -= b->minute[d] * b->room->budget_min[d];
    }
    for (size_t k = 0; k < b->n_cells;) {
        int32_t day = b->cell[k].day;
        double minute = (size_t)day < b->room->n_days ? b->minute[day] : 0;
        double load_cost = b->room->cost.load + minute * b->room->load_min;
        double open_cost = b->room->cost.open + minute * b->room->changeover_min;
        double gain = 0;
        size_t end = k;

        while (end < b->n_cells && b->cell[end].day == day) {
            size_t n;
            size_t last;

            gain += best_loads(b, &b->cell[end++], load_cost, &n, &last);
        }
        if (gain > open_cost) {
            sum -= gain - open_cost;
            b->minutes[day] += b->room->changeover_min;
            for (size_t i = k; i < end; i++) {
                size_t n;
                size_t last;

                (void)best_loads(b, &b->cell[i], load_cost, &n, &last);
                if (last != SIZE_MAX) {
                    b->minutes[day] += b->room->load_min * (double)mark_done(b, &b->cell[i], last);
                }
            }
        }
        k = end;
    }
    return sum;
}

/* A step along the subgradient, as long as the gap to a known plan suggests. */
static void step(struct bounding *b, double gap, double share)
{
    double norm = 0;
    double length;

    for (size_t i = 0; i < b->n; i++) {
        norm += (1 - b->done[i]) * (1 - b->done[i]);
    }
    for (size_t d = 0; d < b->n_days && d < b->room->n_days; d++) {
        double over = (b->minutes[d] - b->room->budget_min[d]) / 10;

        norm += b->minute[d] > 0 || over > 0 ? over * over : 0;
    }
    length = norm > 0 ? share * gap / norm : 0;
    for (size_t i = 0; i < b->n; i++) {
        b->price[i] = fmax(0, b->price[i] + length * (1 - b->done[i]));
    }
    for (size_t d = 0; d < b->n_days && d < b->room->n_days; d++) {
        double over = (b->minutes[d] - b->room->budget_min[d]) / 10;

        b->minute[d] =
            fmin(fmax(0, b->minute[d] + length * over / 10), b->room->cost.overtime_per_min);
    }
}

static struct cell *cell_of(struct bounding *b, size_t *cap, int32_t day, size_t recipe)
{
    for (size_t k = b->n_cells; k > 0 && b->cell[k - 1].day == day; k--) {
        if (b->job[b->cell[k - 1].at[0]].recipe == recipe) {
            return &b->cell[k - 1];
        }
    }
    b->cell = mem_grow(b->cell, cap, b->n_cells + 1, sizeof *b->cell);
    b->cell[b->n_cells] = (struct cell){.day = day};
    return &b->cell[b->n_cells++];
}

static void lay_out(struct bounding *b)
{
    size_t cap = 0;

    for (int32_t day = 0; day < (int32_t)b->n_days; day++) {
        for (uint32_t i = 0; i < b->n; i++) {
            const struct plan_job *j = &b->job[i];
            struct cell *c;

            if (day >= plan_first_day(j) && day <= plan_last_day(b->room, j)) {
                c = cell_of(b, &cap, day, j->recipe);
                c->at = mem_grow(c->at, &c->cap, c->n + 1, sizeof *c->at);
                c->at[c->n++] = i;
            }
        }
    }
    for (size_t k = 0; k < b->n_cells; k++) {
        plan_sort(b->job, b->cell[k].at, b->cell[k].n);
    }
}

static double climb(struct bounding *b, unsigned steps, double upper)
{
    double best = 0; /* nothing costs less than nothing */
    double share = 1.5;
    unsigned stale = 0;

    for (unsigned k = 0; k < steps && best < upper - 1e-6; k++) {
        double bound = at_prices(b);

        if (bound > best + 1e-6 * fabs(best)) {
            best = bound;
            stale = 0;
        } else if (++stale == PATIENCE) {
            share /= 2;
            stale = 0;
        }
        step(b, fmax(upper - bound, 0.01 * upper), share);
    }
    return fmin(best, upper);
}

double plan_bound(const struct plan_room *room, const struct plan_job *job, size_t n,
                  unsigned effort, double upper)
{
    struct bounding b = {.room = room, .job = job, .n = n};
    unsigned steps = effort * STEPS_PER_EFFORT < STEPS_MAX ? effort * STEPS_PER_EFFORT : STEPS_MAX;
    double best;

    if (n == 0 || n > LARGE || !isfinite(upper)) {
        return 0;
    }
    for (size_t i = 0; i < n; i++) {
        int32_t last = plan_last_day(room, &job[i]);

        last = last > plan_first_day(&job[i]) + WINDOW_MAX ? plan_first_day(&job[i]) + WINDOW_MAX
                                                           : last;
        b.n_days = last + 1 > (int32_t)b.n_days ? (size_t)last + 1 : b.n_days;
    }
    b.price = mem_array(n, sizeof *b.price);
    b.done = mem_array(n, sizeof *b.done);
    b.minute = mem_array(b.n_days, sizeof *b.minute);
    b.minutes = mem_array(b.n_days, sizeof *b.minutes);
    b.strength = mem_array(3 * n, sizeof *b.strength);
    b.best = mem_array(3 * n, sizeof *b.best);
    b.from = mem_array(3 * n, sizeof *b.from);
    for (size_t i = 0; i < n; i++) {
        b.price[i] = fmin(upper / (double)n, room->cost.unplanned);
    }
    lay_out(&b);
    best = climb(&b, steps, upper);
    for (size_t k = 0; k < b.n_cells; k++) {
        free(b.cell[k].at);
    }
    free(b.cell);
    free(b.price);
    free(b.done);
    free(b.minute);
    free(b.minutes);
    free(b.strength);
    free(b.best);
    free(b.from);
    return best;
}
