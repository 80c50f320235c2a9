/* plan_problem.h - the planning problem: jobs, days, costs, and which day serves for which job.
 *
 * Pure. A header of its own, so that the search, the bound and the price of a plan speak of one
 * problem and none of them knows the others. Days are offsets from today (0 = today). Each job
 * (a container that wants a change) gets a day of its window and a load of its recipe whose
 * strength lies within its tolerance, or is left unplanned, so that the sum is least of
 *
 *     open        for each day with a load (the reservoir is changed over once)
 *     visit       on such a day besides, what the room's day costs where nobody is there anyway
 *     load        for each load; a load of one strength is as many fillings as its litres take
 *     early, late for each day before or after the due day, and deviation for each percent that the
 *                 strength is off
 *     overtime    for each minute over the day's budget; minutes are those of opening, of the loads
 *                 and of the jobs
 *     unplanned   for each job that is left out
 *     move        for each job that is not on the day on which it was kept before
 *     plain       for each litre of plain water that the reservoir holds on a day with a load and
 *                 that the day's mixes do not take up
 *     short       for each litre that they take of the water that the floats will want
 *     hand        for each job whose solution is mixed in a jug and poured by hand: it needs
 *                 neither load nor open day
 *
 * A relative of capacitated rectangle stabbing and of joint replenishment (Even, Levi, Rawitz,
 * Schieber, Shahar & Sviridenko 2008, ACM Trans. Algorithms 4(3)). */
#ifndef TARN_CORE_PLAN_PLAN_PROBLEM_H
#define TARN_CORE_PLAN_PLAN_PROBLEM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define PLAN_UNPLANNED (-1) /* the day of a job that has none */
#define PLAN_DAYS_MAX  400  /* days from today on which can be planned at all */

/* A container that wants a change. */
struct plan_job {
    int32_t earliest, due,
        latest;   /* days from today, earliest <= due <= latest; may be negative when overdue */
    int32_t kept; /* the day of the plan before, or PLAN_UNPLANNED where there is none */
    size_t recipe;
    double ec_ms_cm;      /* that it wants, > 0 … */
    double tolerance_pct; /* … and how far off a mix may be */
    double volume_l;      /* of the mix */
    double minutes;       /* to drain and refill it, whatever it shares */
};

/* Points a piece, all >= 0; which is which stands at the top. */
struct plan_cost {
    double open, load, early_per_day, late_per_day, deviation_per_pct, overtime_per_min, unplanned;
    double move, plain_per_l, short_per_l, hand;
};
extern const struct plan_cost plan_usual_cost; /* of a room that does not say otherwise */

/* What there is to plan with; all arrays are borrowed. */
struct plan_room {
    double usable_l;    /* reservoir capacity less what cannot be used */
    double line_loss_l; /* at each load */
    double changeover_min, load_min;
    const double *budget_min; /* per day from today, n_days of them; later days have no limit */
    const double *plain_l;    /* plain water foreseen in the reservoir, likewise; NULL = none */
    const double *spare_l;    /* what mixes may take of the water at hand and leave the floats
                                 theirs, likewise; NULL = without end */
    const double *visit;      /* what a day with a load costs besides, likewise; NULL = nothing */
    const bool *off;          /* days on which nobody works, likewise; NULL = none */
    size_t n_days;
    int32_t horizon; /* days >= this are not planned for; 0 = PLAN_DAYS_MAX */
    double hand_l;   /* the most that is poured by hand for one job; 0 = nothing is */
    double hand_min; /* that it takes, beside the job's own minutes */
    struct plan_cost cost;
};

/* Where a plan has a job. */
struct plan_slot {
    int32_t day;     /* >= 0, or PLAN_UNPLANNED */
    uint32_t load;   /* jobs with equal load share one strength; numbered from 0 */
    bool by_hand;    /* the only job of its load */
    double ec_ms_cm; /* strength of that mix */
};

/* May the job be on the day on which it was kept? False where there is none. */
bool plan_may_stay(const struct plan_room *room, const struct plan_job *j);

/* The days that serve for a job: from first to last, both within the horizon. None when first is
 * past last. An overdue job serves today. */
int32_t plan_first_day(const struct plan_job *j);
int32_t plan_last_day(const struct plan_room *room, const struct plan_job *j);

double plan_visit_cost(const struct plan_room *room, int32_t day); /* of a day with a load */
bool plan_is_off(const struct plan_room *room, int32_t day);       /* nobody works then */
bool plan_is_move(const struct plan_job *j, int32_t day);          /* elsewhere than it was kept */

/* The cost of waiting for or being ahead of its due day, and of being moved. */
double plan_wait_cost(const struct plan_room *room, const struct plan_job *j, int32_t day);

/* Is the job small enough for the jug? */
bool plan_by_hand(const struct plan_room *room, const struct plan_job *j);

/* Fillings that a load of so many litres takes, >= 1; INFINITY where all of one stays in the
 * lines. */
double plan_fillings(const struct plan_room *room, double volume_l);

#endif
