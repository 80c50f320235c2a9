/* plan_bound_days.h - the days of a planning problem as the bound looks at them.
 *
 * Inside the planner only. Laid out once for a bound, which then asks each day many times: who
 * may be done on it, in which loads at which strengths, and its minutes in slots. Owns its
 * arrays.
 *
 * Minutes are counted in slots: their greatest common measure, or, where that is too fine, a
 * 64th of the budget. They are rounded down, so that a day seems to hold more than it does and
 * never less: that keeps the bound below every plan. */
#ifndef TARN_CORE_PLAN_PLAN_BOUND_DAYS_H
#define TARN_CORE_PLAN_PLAN_BOUND_DAYS_H

#include "daemon/core/plan/plan_problem.h"

#define BOUND_NO_SEAT UINT32_MAX /* no weaker job is in that load */

/* A load of the line that a job may go into, and what the job costs there besides its price. */
struct bound_seat {
    uint32_t load;   /* of the cell's strengths */
    uint32_t before; /* the last seat in that load, of a weaker job; or BOUND_NO_SEAT */
    double deviation;
};

/* The jobs of one recipe that may be done on one day, sorted by strength, and the strengths at
 * which a load of theirs may be cheapest. Seats of job k: seat[first_seat[k] .. first_seat[k +
 * 1]). */
struct bound_cell {
    uint32_t *at;
    size_t n, cap;
    struct bound_seat *seat;
    size_t *first_seat;
    size_t n_loads;
};

/* A day, with what does not change from price to price. */
struct bound_day {
    struct bound_cell *cell;
    size_t n_cells, cap_cells;
    size_t slots; /* of minutes within the budget, after opening; the last stands for all beyond */
    double slot_min;
    double over_min; /* by opening alone */
    double visit;    /* what being there costs */
    double minute;   /* what one over the budget costs */
    double jobs_l;   /* that all who may be done on it would take, each from a load of its own */
    double spill;    /* plain water thrown away, if no job took any … */
    double saves;    /* … and what each litre that is taken saves of that */
};

/* All days from today to the last that serves for a job. */
struct bound_days {
    const struct plan_room *room;
    const struct plan_job *job;
    size_t n;
    struct bound_day *day;
    size_t n_days;
    size_t *slots;                 /* that each job takes */
    size_t load_slots;             /* that a filling takes */
    size_t most_closed, most_open; /* numbers that the largest day needs (plan_bound_best.h) */
};

/* For n >= 1 jobs; room and jobs are borrowed until they are cleared. */
void plan_bound_lay_days(const struct plan_room *room, const struct plan_job *job, size_t n,
                         struct bound_days *out);

/* Frees all that was laid out. */
void plan_bound_clear_days(struct bound_days *b);

#endif
