#include "daemon/core/plan/plan_visits.h"

#include "daemon/base/mem.h"
#include "daemon/base/order.h"

#include <math.h>
#include <stdlib.h>

#define DAYS PLAN_VISITS_DAYS

/* The days of the horizon on which a job may be done. */
static int32_t first_day(const struct visit_job *j)
{
    return order_max(j->earliest, 0);
}

static int32_t last_day(const struct visit_job *j)
{
    return order_min(order_max(j->latest, first_day(j)), DAYS - 1);
}

static int32_t due_day(const struct visit_job *j)
{
    return order_min(order_max(j->due, first_day(j)), last_day(j));
}

static double cost_on(const struct visit_job *j, int32_t day)
{
    double late = (double)day - (double)due_day(j);

    if (day < first_day(j) || day > last_day(j)) {
        return INFINITY;
    }
    return late < 0 ? -late * j->early_per_day : late * j->late_per_day;
}

/* Is there a day for it at all, within the horizon? */
static bool takes_part(const struct visit_days *days, const struct visit_job *j)
{
    if (first_day(j) >= DAYS || j->due >= DAYS) {
        return false;
    }
    for (int32_t day = first_day(j); day <= last_day(j); day++) {
        if (isfinite(days->cost[day])) {
            return true;
        }
    }
    return false;
}

/* Of two visits that follow each other (-1 and DAYS stand for none), the one for a job that is due
 * after the first, and not after the second. */
static double cost_between(const struct visit_job *j, int32_t before, int32_t after)
{
    double early = before >= 0 ? cost_on(j, before) : INFINITY;
    double late = after < DAYS ? cost_on(j, after) : INFINITY;

    return fmin(early, late);
}

/* What the jobs cost that are due between two such visits; `by_due` has those of each day. */
static double gap_cost(const struct visit_job *const *by_due, const size_t *from, int32_t before,
                       int32_t after)
{
    size_t end = from[order_min(after, DAYS - 1) + 1];
    double sum = 0;

    for (size_t k = from[before + 1]; k < end && sum < INFINITY; k++) {
        sum += cost_between(by_due[k], before, after);
    }
    return sum;
}

/* Which days are visited, the cheapest way; gives what it costs. */
static double choose_days(const struct visit_days *days, const struct visit_job *const *by_due,
                          const size_t *from, bool visited[DAYS])
{
    double
        best[DAYS + 2]; /* of all that is due by day d - 1, which is visited; [0]: before today */
    int32_t before[DAYS + 2];

    best[0] = 0;
    for (int32_t d = 0; d <= DAYS; d++) {
        best[d + 1] = INFINITY;
        before[d + 1] = -1;
        for (int32_t b = -1; b < d && (d == DAYS || isfinite(days->cost[d])); b++) {
            double cost = isfinite(best[b + 1]) ? best[b + 1] + (d < DAYS ? days->cost[d] : 0) +
                                                      gap_cost(by_due, from, b, d)
                                                : INFINITY;

            if (cost < best[d + 1]) {
                best[d + 1] = cost;
                before[d + 1] = b;
            }
        }
    }
    for (int32_t d = before[DAYS + 1]; d >= 0; d = before[d + 1]) {
        visited[d] = true;
    }
    return best[DAYS + 1];
}

/* The cheapest of the visited days for a job. */
static int32_t best_day(const struct visit_job *j, const bool visited[DAYS])
{
    int32_t best = due_day(j);
    double least = INFINITY;

    for (int32_t day = first_day(j); day <= last_day(j); day++) {
        double cost = visited[day] ? cost_on(j, day) : INFINITY;

        if (cost < least) {
            least = cost;
            best = day;
        }
    }
    return best;
}

/* The day that it had better be on, with what is done on each already; its own where none is. */
static int32_t cheaper_day(const struct visit_days *days, const struct visit_job *j,
                           const bool visited[DAYS], const double minutes[DAYS])
{
    double over = minutes[j->day] - days->budget_min[j->day];
    double saves = days->overtime_per_min * fmin(over, j->minutes) + cost_on(j, j->day);
    int32_t best = j->day;

    for (int32_t day = first_day(j); day <= last_day(j); day++) {
        double more = fmax(0, minutes[day] + j->minutes - days->budget_min[day]) -
                      fmax(0, minutes[day] - days->budget_min[day]);
        double cost = cost_on(j, day) + days->overtime_per_min * more;

        if (day != j->day && visited[day] && cost < saves) {
            saves = cost;
            best = day;
        }
    }
    return best;
}

/* What overflows is done on other visits, the last of the list first. */
static void spread(const struct visit_days *days, struct visit_job *const *job, size_t n,
                   const bool visited[DAYS])
{
    double minutes[DAYS] = {0};

    for (size_t i = 0; i < n; i++) {
        minutes[job[i]->day] += job[i]->minutes;
    }
    for (size_t i = n; i-- > 0;) {
        int32_t from = job[i]->day;
        int32_t to = from;

        if (minutes[from] > days->budget_min[from]) {
            to = cheaper_day(days, job[i], visited, minutes);
        }
        minutes[from] -= job[i]->minutes;
        minutes[to] += job[i]->minutes;
        job[i]->day = to;
    }
}

/* Those that take part, by their due days; from[d] = the first that is due on day d or later. */
static struct visit_job **sort_by_due(const struct visit_days *days, struct visit_job *job,
                                      size_t n, size_t from[DAYS + 1])
{
    struct visit_job **by_due = mem_array(n + 1, sizeof(struct visit_job *));
    size_t at[DAYS + 1] = {0};

    for (size_t i = 0; i < n; i++) {
        if (takes_part(days, &job[i])) {
            at[due_day(&job[i]) + 1]++;
        }
    }
    for (int32_t d = 0; d < DAYS; d++) {
        at[d + 1] += at[d];
    }
    for (int32_t d = 0; d <= DAYS; d++) {
        from[d] = at[d];
    }
    for (size_t i = 0; i < n; i++) {
        if (takes_part(days, &job[i])) {
            by_due[at[due_day(&job[i])]++] = &job[i];
        }
    }
    return by_due;
}

double plan_visits(const struct visit_days *days, struct visit_job *job, size_t n)
{
    bool visited[DAYS] = {false};
    size_t from[DAYS + 1];
    struct visit_job **by_due = sort_by_due(days, job, n, from);
    double cost = choose_days(days, (const struct visit_job *const *)by_due, from, visited);

    for (size_t i = 0; i < n; i++) {
        job[i].day = order_max(job[i].due, first_day(&job[i]));
    }
    for (size_t k = 0; k < from[DAYS]; k++) {
        by_due[k]->day = best_day(by_due[k], visited);
    }
    spread(days, by_due, from[DAYS], visited);
    free(by_due);
    return cost;
}
