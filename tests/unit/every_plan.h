/* every_plan.h - the cost of the best plan of a small room, found by trying every plan there is.
 *
 * A job is left out, poured by hand, joins a load or opens one on a day of its window. Loads are
 * any sets of jobs of one recipe, at any strength that can be the best. Shares no code with the
 * planner. */
#ifndef TARN_TESTS_EVERY_PLAN_H
#define TARN_TESTS_EVERY_PLAN_H

#include "daemon/core/plan/plan_problem.h"

#include <math.h>

#define EVERY_PLAN_JOBS 7
#define EVERY_PLAN_DAYS 8

/* Where a job has to be. */
struct pin {
    int32_t day; /* or PLAN_UNPLANNED */
    bool by_hand;
};

struct trying {
    const struct plan_room *room; /* n_days = horizon <= EVERY_PLAN_DAYS */
    const struct plan_job *job;
    const double *left_out; /* what leaving out each job costs; NULL = as the room has it */
    const struct pin *pin;  /* of each job; NULL = wherever it may be */
    size_t n;
    size_t load_of[EVERY_PLAN_JOBS]; /* n = left out, n + 1 = by hand */
    int32_t hand_day[EVERY_PLAN_JOBS];
    size_t first_of[EVERY_PLAN_JOBS]; /* of each load: its first job … */
    int32_t day_of[EVERY_PLAN_JOBS];  /* … and day */
    size_t n_loads;
    double least;
};

/* By how many percent a strength (mS/cm) differs from what the job wants, to either side. */
static inline double pct_off(const struct plan_job *j, double ec)
{
    return 100 * fabs(ec - j->ec_ms_cm) / j->ec_ms_cm;
}

/* The deviation of a load at its best strength: of those wanted and the ends of what is borne. */
static inline double least_deviation(const struct trying *t, size_t load)
{
    double least = INFINITY;

    for (size_t k = 0; k < 3 * t->n; k++) {
        const struct plan_job *of = &t->job[k / 3];
        double ec = of->ec_ms_cm * (1 + ((double)(k % 3) - 1) * of->tolerance_pct / 100);
        double sum = 0;

        for (size_t i = 0; i < t->n; i++) {
            if (t->load_of[i] == load) {
                double off = pct_off(&t->job[i], ec);

                sum += off > t->job[i].tolerance_pct + 1e-9 ? INFINITY
                                                            : t->room->cost.deviation_per_pct * off;
            }
        }
        least = fmin(least, sum);
    }
    return least;
}

/* What it costs to do the job on that day and not on its due day, or where it was kept. */
static inline double cost_of_waiting(const struct trying *t, const struct plan_job *j, int32_t day)
{
    double cost = day < j->due ? t->room->cost.early_per_day * (j->due - day)
                               : t->room->cost.late_per_day * (day - j->due);

    return cost + (j->kept != PLAN_UNPLANNED && j->kept != day ? t->room->cost.move : 0);
}

/* Minutes and water of a day. */
struct tried_day {
    bool open;
    double minutes, taken_l;
};

/* What the days cost beside their jobs and loads: opening, overtime, water thrown away or
 * lacking. */
static inline double cost_of_days(const struct plan_room *room, const struct tried_day *of)
{
    double cost = 0;

    for (size_t day = 0; day < room->n_days; day++) {
        double worked = of[day].minutes + (of[day].open ? room->changeover_min : 0);

        cost += room->cost.overtime_per_min * fmax(0, worked - room->budget_min[day]);
        if (of[day].open) {
            cost += room->cost.open + (room->visit ? room->visit[day] : 0);
            cost += room->plain_l
                        ? room->cost.plain_per_l * fmax(0, room->plain_l[day] - of[day].taken_l)
                        : 0;
            cost += room->spare_l
                        ? room->cost.short_per_l * fmax(0, of[day].taken_l - room->spare_l[day])
                        : 0;
        }
    }
    return cost;
}

/* What the plan costs that is being tried, all jobs having their place. */
static inline double whole_cost(const struct trying *t)
{
    struct tried_day of[EVERY_PLAN_DAYS] = {{0}};
    double cost = 0;

    for (size_t i = 0; i < t->n; i++) {
        const struct plan_job *j = &t->job[i];
        bool by_hand = t->load_of[i] == t->n + 1;
        int32_t day;

        if (t->load_of[i] == t->n) {
            cost += t->left_out ? t->left_out[i] : t->room->cost.unplanned;
            continue;
        }
        day = by_hand ? t->hand_day[i] : t->day_of[t->load_of[i]];
        cost += cost_of_waiting(t, j, day) + (by_hand ? t->room->cost.hand : 0);
        of[day].minutes += j->minutes + (by_hand ? t->room->hand_min : 0);
    }
    for (size_t k = 0; k < t->n_loads; k++) {
        struct tried_day *day = &of[t->day_of[k]];
        double litres = 0;
        double fillings;

        for (size_t i = 0; i < t->n; i++) {
            litres += t->load_of[i] == k ? t->job[i].volume_l : 0;
        }
        fillings = ceil(litres / (t->room->usable_l - t->room->line_loss_l));
        cost += least_deviation(t, k) + t->room->cost.load * fillings;
        day->minutes += t->room->load_min * fillings;
        day->taken_l += litres + t->room->line_loss_l * fillings;
        day->open = true;
    }
    return cost + cost_of_days(t->room, of);
}

/* May job i be done on that day, from a jug or from a load? Where it is pinned, there alone. */
static inline bool may_be(const struct trying *t, size_t i, int32_t day, bool by_hand)
{
    const struct plan_job *j = &t->job[i];
    int32_t first = j->earliest > 0 ? j->earliest : 0;
    int32_t last = j->latest > first ? j->latest : first;

    if (t->pin) {
        return t->pin[i].day == day && t->pin[i].by_hand == by_hand;
    }
    return day >= first && day <= last && day < t->room->horizon &&
           !(t->room->off && t->room->off[day]) && (!by_hand || j->volume_l <= t->room->hand_l);
}

/* Tries all places of job i and those behind it; the least of their costs goes to t->least. t's
 * places are as they were when it returns. */
static inline void try_all(struct trying *t, size_t i) // NOLINT(misc-no-recursion): as deep as jobs
{
    size_t loads = t->n_loads;

    if (i >= t->n ||
        i >= EVERY_PLAN_JOBS) { /* the second only for compilers, which cannot know n */
        t->least = fmin(t->least, whole_cost(t));
        return;
    }
    if (!t->pin || t->pin[i].day == PLAN_UNPLANNED) {
        t->load_of[i] = t->n;
        try_all(t, i + 1);
    }
    for (size_t k = 0; k < loads; k++) {
        if (t->job[t->first_of[k]].recipe == t->job[i].recipe &&
            may_be(t, i, t->day_of[k], false)) {
            t->load_of[i] = k;
            try_all(t, i + 1);
        }
    }
    for (int32_t day = 0; day < t->room->horizon; day++) {
        if (may_be(t, i, day, false)) {
            t->first_of[loads] = i;
            t->day_of[loads] = day;
            t->load_of[i] = loads;
            t->n_loads = loads + 1;
            try_all(t, i + 1);
            t->n_loads = loads;
        }
        if (may_be(t, i, day, true)) {
            t->load_of[i] = t->n + 1;
            t->hand_day[i] = day;
            try_all(t, i + 1);
        }
    }
}

/* The least cost of what is stated in t; INFINITY where no plan keeps the pins. */
static inline double try_every(struct trying t)
{
    t.least = INFINITY;
    for (size_t i = 0; i < t.n; i++) {
        t.load_of[i] = t.n;
    }
    try_all(&t, 0);
    return t.least;
}

/* The least that a plan of these jobs can cost. At most EVERY_PLAN_JOBS and _DAYS: it takes for
 * ever. */
static inline double least_cost(const struct plan_room *room, const struct plan_job *job, size_t n)
{
    return try_every((struct trying){.room = room, .job = job, .n = n});
}

/* left_out: what leaving out each job costs, in the room's stead. */
static inline double least_cost_at(const struct plan_room *room, const struct plan_job *job,
                                   size_t n, const double *left_out)
{
    return try_every((struct trying){.room = room, .job = job, .n = n, .left_out = left_out});
}

/* Each job where it is pinned: only the loads are free. */
static inline double least_cost_there(const struct plan_room *room, const struct plan_job *job,
                                      size_t n, const struct pin *pin)
{
    return try_every((struct trying){.room = room, .job = job, .n = n, .pin = pin});
}

#endif
