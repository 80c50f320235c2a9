/* How good plans are: set beside every plan there is, on rooms small enough for that, and beside a
 * published optimum. */
#include "daemon/base/mem.h"
#include "daemon/core/plan/plan.h"
#include "daemon/core/plan/plan_amounts.h"
#include "tests/cmocka_all.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MOST   7 /* jobs, where every plan is tried */
#define EFFORT 8

static const double budgets[] = {60, 0, 45, 90};

static const struct plan_room a_room = {
    .usable_l = 40,
    .line_loss_l = 2,
    .changeover_min = 25,
    .load_min = 15,
    .budget_min = budgets,
    .n_days = 4,
    .horizon = 4,
    .cost = {.open = 10,
             .load = 5,
             .early_per_day = 0.6,
             .late_per_day = 2,
             .deviation_per_pct = 0.3,
             .overtime_per_min = 0.5,
             .unplanned = 60}
};

static uint64_t random_state;

static double draw(double lo, double hi)
{
    random_state = random_state * 6364136223846793005ULL + 1442695040888963407ULL;
    return lo + (hi - lo) * (double)(random_state >> 40) / (double)(1 << 24);
}

static void draw_jobs(struct plan_job *job, size_t n, int32_t days)
{
    for (size_t i = 0; i < n; i++) {
        int32_t due = (int32_t)draw(0, days);

        job[i] = (struct plan_job){.kept = PLAN_UNPLANNED,
                                   .earliest = due - (int32_t)draw(0, 3),
                                   .due = due,
                                   .latest = due + (int32_t)draw(0, 3),
                                   .recipe = (size_t)draw(0, 1.4),
                                   .ec_ms_cm = draw(0.9, 1.5),
                                   .tolerance_pct = draw(4, 14),
                                   .volume_l = draw(2, 9),
                                   .minutes = draw(2, 9)};
    }
}

/* ---- every plan there is: a job is left out, joins a load or opens one on a day of its window.
 * Shares no code with the planner. */

struct trying {
    const struct plan_room *room;
    const struct plan_job *job;
    size_t n;
    size_t load_of[MOST];  /* n = left out */
    size_t first_of[MOST]; /* of each load: its first job … */
    int32_t day_of[MOST];  /* … and day */
    size_t n_loads;
    double least;
};

static double pct_off(const struct plan_job *j, double ec)
{
    return 100 * fabs(ec - j->ec_ms_cm) / j->ec_ms_cm;
}

/* The deviation of a load at its best strength: of those wanted and the ends of what is borne. */
static double least_deviation(const struct trying *t, size_t load)
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

static double whole_cost(const struct trying *t)
{
    double minutes[8] = {0};
    bool open[8] = {false};
    double cost = 0;

    for (size_t i = 0; i < t->n; i++) {
        const struct plan_job *j = &t->job[i];
        int32_t day;

        if (t->load_of[i] == t->n) {
            cost += t->room->cost.unplanned;
            continue;
        }
        day = t->day_of[t->load_of[i]];
        cost += day < j->due ? t->room->cost.early_per_day * (j->due - day)
                             : t->room->cost.late_per_day * (day - j->due);
        minutes[day] += j->minutes;
    }
    for (size_t k = 0; k < t->n_loads; k++) {
        double litres = 0;
        double fillings;

        for (size_t i = 0; i < t->n; i++) {
            litres += t->load_of[i] == k ? t->job[i].volume_l : 0;
        }
        fillings = ceil(litres / (t->room->usable_l - t->room->line_loss_l));
        cost += least_deviation(t, k) + t->room->cost.load * fillings;
        minutes[t->day_of[k]] += t->room->load_min * fillings;
        open[t->day_of[k]] = true;
    }
    for (int day = 0; day < (int)t->room->n_days; day++) {
        double worked = minutes[day] + (open[day] ? t->room->changeover_min : 0);

        cost += open[day] ? t->room->cost.open : 0;
        cost += t->room->cost.overtime_per_min * fmax(0, worked - t->room->budget_min[day]);
    }
    return cost;
}

static bool serves(const struct trying *t, const struct plan_job *j, int32_t day)
{
    int32_t first = j->earliest > 0 ? j->earliest : 0;
    int32_t last = j->latest > first ? j->latest : first;

    return day >= first && day <= last && day < t->room->horizon;
}

static void try_all(struct trying *t, size_t i) // NOLINT(misc-no-recursion): as deep as jobs
{
    size_t loads = t->n_loads;

    if (i == t->n) {
        t->least = fmin(t->least, whole_cost(t));
        return;
    }
    t->load_of[i] = t->n;
    try_all(t, i + 1);
    for (size_t k = 0; k < loads; k++) {
        if (t->job[t->first_of[k]].recipe == t->job[i].recipe &&
            serves(t, &t->job[i], t->day_of[k])) {
            t->load_of[i] = k;
            try_all(t, i + 1);
        }
    }
    for (int32_t day = 0; day < t->room->horizon; day++) {
        if (serves(t, &t->job[i], day)) {
            t->first_of[loads] = i;
            t->day_of[loads] = day;
            t->load_of[i] = loads;
            t->n_loads = loads + 1;
            try_all(t, i + 1);
            t->n_loads = loads;
        }
    }
}

static double least_cost(const struct plan_room *room, const struct plan_job *job, size_t n)
{
    struct trying t = {.room = room, .job = job, .n = n, .least = INFINITY};

    for (size_t i = 0; i < n; i++) {
        t.load_of[i] = n;
    }
    try_all(&t, 0);
    return t.least;
}

static void compare(const struct plan_room *room, size_t n, unsigned rooms)
{
    for (unsigned seed = 1; seed <= rooms; seed++) {
        struct plan_job job[MOST];
        struct plan_slot slot[MOST];
        struct plan_sum sum;
        double least;

        random_state = seed * 1000 + n;
        draw_jobs(job, n, room->horizon);
        least = least_cost(room, job, n);
        sum = plan_mixes(room, job, n, EFFORT, slot);
        if (fabs(sum.cost - least) > 1e-6 || sum.bound > least + 1e-6) {
            fail_msg("seed %u: the plan costs %.6f, the best %.6f, the bound is %.6f", seed,
                     sum.cost, least, sum.bound);
        }
        assert_true(fabs(plan_cost_of(room, job, n, slot) - sum.cost) < 1e-9);
    }
}

static void a_plan_is_the_best_there_is_and_the_bound_below_it(void **ctx)
{
    (void)ctx;
    compare(&a_room, 4, 40);
    compare(&a_room, 5, 25);
    compare(&a_room, 6, 8);
}

static void one_day_is_cut_into_the_best_loads(void **ctx)
{
    struct plan_room room = a_room;

    (void)ctx;
    room.horizon = 1;
    room.n_days = 1;
    compare(&room, 6, 40);
    compare(&room, 7, 30);
}

/* A tight reservoir: the best may part neighbours in strength to save a filling, which loads of
 * neighbours cannot. The bound still holds. */
static void a_tight_reservoir_costs_at_most_a_filling_more(void **ctx)
{
    struct plan_room room = a_room;

    (void)ctx;
    room.usable_l = 14;
    for (unsigned seed = 1; seed <= 25; seed++) {
        struct plan_job job[MOST];
        struct plan_slot slot[MOST];
        struct plan_sum sum;
        double least;

        random_state = seed;
        draw_jobs(job, 5, room.horizon);
        least = least_cost(&room, job, 5);
        sum = plan_mixes(&room, job, 5, EFFORT, slot);
        assert_true(sum.cost >= least - 1e-6);
        assert_true(sum.cost <=
                    least + room.cost.load + room.load_min * room.cost.overtime_per_min + 1e-6);
        assert_true(sum.bound <= least + 1e-6);
    }
}

/* Wagner & Whitin 1958, Management Science 5(1), table 1: twelve months, demand and set-up cost of
 * each, 1 for a unit kept for a month; the cheapest programme costs 864. (Values from memory.) A
 * unit of demand is a job that may be early and not late; the set-up cost of a month is what opening
 * it exceeds its budget by. */
static void wagner_and_whitin_is_solved(void **ctx)
{
    static const int demand[] = {69, 29, 36, 61, 61, 26, 34, 67, 45, 67, 79, 56};
    static const double set_up[] = {85, 102, 102, 101, 98, 114, 105, 86, 119, 110, 98, 114};
    double budget[12];
    struct plan_room room = {
        .usable_l = 1e6,
        .changeover_min = 200,
        .budget_min = budget,
        .n_days = 12,
        .horizon = 12,
        .cost = {.early_per_day = 1, .overtime_per_min = 1, .unplanned = 1e4}
    };
    struct plan_job job[700];
    struct plan_slot slot[700];
    struct plan_sum sum;
    size_t n = 0;

    (void)ctx;
    for (int32_t month = 0; month < 12; month++) {
        budget[month] = 200 - set_up[month];
        for (int unit = 0; unit < demand[month]; unit++) {
            job[n++] = (struct plan_job){.kept = PLAN_UNPLANNED,
                                         .due = month,
                                         .latest = month,
                                         .ec_ms_cm = 1,
                                         .volume_l = 1};
        }
    }
    sum = plan_mixes(&room, job, n, 24, slot);
    assert_true(fabs(sum.cost - 864) < 1e-6);
    assert_true(sum.bound <= 864 + 1e-6 && sum.bound > 0.999 * 864);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_plan_is_the_best_there_is_and_the_bound_below_it),
        cmocka_unit_test(one_day_is_cut_into_the_best_loads),
        cmocka_unit_test(a_tight_reservoir_costs_at_most_a_filling_more),
        cmocka_unit_test(wagner_and_whitin_is_solved),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
