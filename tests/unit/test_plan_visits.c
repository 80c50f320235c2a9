/* On which days somebody comes: set beside every choice of days there is, and what a person relies
 * on. */
#include "daemon/core/plan/plan_visits.h"
#include "tests/cmocka_all.h"
#include "tests/unit/drawn_jobs.h"

#include <math.h>

#define DRAWN_DAYS 9
#define DRAWN_JOBS 7

static double cost[PLAN_VISITS_DAYS], budget_min[PLAN_VISITS_DAYS];

static struct visit_days days_of(double each)
{
    for (int d = 0; d < PLAN_VISITS_DAYS; d++) {
        cost[d] = each;
        budget_min[d] = INFINITY;
    }
    return (struct visit_days){cost, budget_min, 1};
}

static struct visit_job job(int32_t earliest, int32_t due, int32_t latest)
{
    return (struct visit_job){.earliest = earliest,
                              .due = due,
                              .latest = latest,
                              .early_per_day = 1,
                              .late_per_day = 2,
                              .minutes = 10};
}

/* What it costs to come on just these days; INFINITY where one of the jobs has none of them. */
static double cost_of_days(const struct visit_job *j, size_t n, unsigned days)
{
    double sum = 0;

    for (int d = 0; d < DRAWN_DAYS; d++) {
        sum += days & 1U << d ? cost[d] : 0;
    }
    for (size_t i = 0; i < n; i++) {
        double least = INFINITY;

        for (int d = 0; d < DRAWN_DAYS; d++) {
            double off = d < j[i].due ? j[i].early_per_day * (j[i].due - d)
                                      : j[i].late_per_day * (d - j[i].due);

            if (days & 1U << d && d >= j[i].earliest && d <= j[i].latest) {
                least = fmin(least, off);
            }
        }
        sum += least;
    }
    return sum;
}

static double price_of(const struct visit_job *j, size_t n)
{
    unsigned days = 0;

    for (size_t i = 0; i < n; i++) {
        assert_in_range(j[i].day, j[i].earliest, j[i].latest);
        days |= 1U << j[i].day;
    }
    return cost_of_days(j, n, days);
}

static void no_choice_of_days_is_cheaper(void **ctx)
{
    (void)ctx;
    for (unsigned seed = 1; seed <= 300; seed++) {
        struct visit_days days = days_of(0);
        struct visit_job j[DRAWN_JOBS];
        uint64_t random = seed;
        double least = INFINITY;
        double told;

        for (int d = 0; d < DRAWN_DAYS; d++) { /* some are free, on some nobody works */
            double u = draw(&random, 0, 1);

            cost[d] = u < 0.2 ? 0 : u < 0.9 ? draw(&random, 1, 12) : INFINITY;
        }
        for (size_t i = 0; i < DRAWN_JOBS; i++) {
            int32_t due = (int32_t)draw(&random, 1, DRAWN_DAYS - 1);

            j[i] = job(due - (int32_t)draw(&random, 1, 2), due, due + 1);
            j[i].early_per_day = draw(&random, 0, 3);
            j[i].late_per_day = draw(&random, 0, 5);
        }
        for (unsigned set = 0; set < 1U << DRAWN_DAYS; set++) {
            least = fmin(least, cost_of_days(j, DRAWN_JOBS, set));
        }
        told = plan_visits(&days, j, DRAWN_JOBS);
        if (isfinite(least) &&
            (fabs(told - least) > 1e-9 || fabs(price_of(j, DRAWN_JOBS) - least) > 1e-9)) {
            fail_msg("seed %u: it says %.4f, costs %.4f, and %.4f is the least", seed, told,
                     price_of(j, DRAWN_JOBS), least);
        }
    }
}

static void what_can_wait_gathers_and_what_cannot_makes_a_visit(void **ctx)
{
    struct visit_days days = days_of(10);
    struct visit_job j[] = {job(2, 4, 6), job(3, 5, 7), job(1, 1, 1)};

    (void)ctx;
    (void)plan_visits(&days, j, 3);
    assert_int_equal(j[2].day, 1);
    assert_int_equal(j[0].day, j[1].day);
    assert_true(j[0].day == 4 || j[0].day == 5);
}

static void nobody_comes_on_a_day_off_but_for_what_has_no_other(void **ctx)
{
    struct visit_days days = days_of(10);
    struct visit_job j[] = {job(3, 5, 6), job(5, 5, 5)};

    (void)ctx;
    cost[5] = INFINITY;
    (void)plan_visits(&days, j, 1);
    assert_int_equal(j[0].day, 4); /* a day early is cheaper than a day late */
    (void)plan_visits(&days, j, 2);
    assert_int_equal(j[1].day, 5);
}

static void what_is_late_is_done_today_and_what_is_far_off_on_its_day(void **ctx)
{
    struct visit_days days = days_of(10);
    struct visit_job j[] = {job(-9, -5, -3), job(PLAN_VISITS_DAYS, PLAN_VISITS_DAYS + 3, 99)};

    (void)ctx;
    (void)plan_visits(&days, j, 2);
    assert_int_equal(j[0].day, 0);
    assert_int_equal(j[1].day, PLAN_VISITS_DAYS + 3);
}

/* Two visits that have to be: of three jobs of ten minutes one goes to the day that has room. */
static void a_day_that_overflows_gives_to_another_visit(void **ctx)
{
    struct visit_days days = days_of(10);
    struct visit_job j[] = {job(2, 2, 2), job(5, 5, 5), job(2, 3, 5), job(2, 3, 5)};

    (void)ctx;
    budget_min[2] = 20;
    (void)plan_visits(&days, j, 4);
    assert_int_equal(j[2].day + j[3].day, 2 + 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_choice_of_days_is_cheaper),
        cmocka_unit_test(what_can_wait_gathers_and_what_cannot_makes_a_visit),
        cmocka_unit_test(nobody_comes_on_a_day_off_but_for_what_has_no_other),
        cmocka_unit_test(what_is_late_is_done_today_and_what_is_far_off_on_its_day),
        cmocka_unit_test(a_day_that_overflows_gives_to_another_visit),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
