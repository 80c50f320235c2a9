#include "daemon/core/tasks/visiting.h"

#include "daemon/base/mem.h"
#include "daemon/base/order.h"
#include "daemon/core/plan/plan_visits.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdlib.h>

/* Minutes, but where it is said; our own judgement, weighed by tests/season. */
#define RARER        1.5 /* the price of a visit rises by so much a try … */
#define RARER_TRIES  10  /* … until no more are planned than were wished for */
#define OVERTIME     0.5 /* a minute over the day's budget */
#define WEEK         7
#define BUMP_LASTS_D 1 /* so many days before a change a bump is poured away */
#define LEFT_D       2 /* so near to a harvest the strength is let be */
#define READ_WAITS_D 2 /* no figure is worth a way of its own, so long as a visit comes */

/* What waiting costs, a day before and after the due one. A bump says its own (jobs_solution.c). */
struct waits {
    double early, late;
};
/* clang-format off */
static const struct waits waits[TASK_KIND_N] = {
    [TASK_START]     = {1,   5  }, /* a seedling outgrows its tray */
    [TASK_CHECK]     = {0.3, 0.7},
    [TASK_PH]        = {0.5, 2  },
    [TASK_READ]      = {0.4, 0.3},
    [TASK_FILL]      = {0.5, 20 }, /* its last day is before the last litre goes */
    [TASK_CALIBRATE] = {0.3, 0.5},
    [TASK_CARE]      = {0.1, 0.1},
    [TASK_REORDER]   = {0.2, 2  },
    [TASK_HARVEST]   = {3,   1.5}, /* an early cut is yield that is not borne */
    [TASK_OVERNIGHT] = {0.3, 1  },
    [TASK_LOOK]      = {0,   20 }, /* what is wrong goes on */
};
/* clang-format on */

/* ---- what a day costs */

/* Our own judgement, weighed by tests/season. */
double visiting_weighs(const struct room *room)
{
    static const double weighs[STRENGTH_DIAL_N] = {
        [STRENGTH_USUAL] = 28, [STRENGTH_CLOSE] = 12, [STRENGTH_EASY] = 50};

    return weighs[room->strength];
}

struct week_plan {
    double cost[PLAN_VISITS_DAYS], budget_min[PLAN_VISITS_DAYS];
    bool there[PLAN_VISITS_DAYS]; /* whatever is planned */
};

static void look_at_days(const struct bundling *b, struct week_plan *w)
{
    *w = (struct week_plan){0};
    for (size_t i = 0; i < b->out->n; i++) {
        int32_t day = order_max(b->out->task[i].on - b->today, 0);

        if (day < PLAN_VISITS_DAYS) {
            w->there[day] = true;
            w->budget_min[day] -= b->out->task[i].minutes;
        }
    }
    for (size_t i = 0; i < b->n_kept && b->today_stands; i++) {
        w->there[0] = w->there[0] || b->before->task[b->kept[i].task].on <= b->today;
    }
    for (int32_t day = 0; day < PLAN_VISITS_DAYS; day++) {
        bool off = room_is_off(b->room, b->today + day);

        w->budget_min[day] += room_budget_min(b->room, b->today + day);
        w->cost[day] = w->there[day] ? 0
                       : off         ? INFINITY
                             : visiting_weighs(b->room) * room_visit_min(b->room, b->today + day);
    }
}

/* ---- jobs */

/* What was on today's list stays on it, and nothing else that may wait comes to it. */
static void pin(const struct bundling *b, const struct job *j, struct visit_job *v)
{
    int32_t on = bundling_kept_day(b, j);

    if (!b->today_stands || on == DAY_NONE) {
        return;
    }
    if (on <= b->today && v->earliest <= 0) {
        v->earliest = v->latest = order_min(v->due, 0);
        v->due = v->latest;
    } else if (on > b->today && v->latest > 0 && v->earliest <= 0) {
        v->earliest = 1;
        v->due = order_max(v->due, 1);
    }
}

/* A night that stood on the list of a day before: it is told this morning. */
static bool is_begun(const struct bundling *b, const struct job *j)
{
    int32_t on = bundling_kept_day(b, j);

    return j->kind == TASK_OVERNIGHT && on != DAY_NONE && on < b->today;
}

static struct visit_job visit_of(const struct bundling *b, const struct job *j)
{
    const struct hold *hold = job_hold(b->s, j);
    struct visit_job v = {
        .earliest = j->earliest - b->today,
        .due = j->due - b->today,
        .latest = j->latest - b->today,
        .early_per_day = j->kind == TASK_BUMP ? j->early_per_day : waits[j->kind].early,
        .late_per_day = j->kind == TASK_BUMP ? j->late_per_day : waits[j->kind].late,
        .minutes = j->minutes};

    if (j->kind == TASK_READ) {
        v.latest += READ_WAITS_D;
    }
    if (j->kind == TASK_HARVEST && j->placed) { /* others were dropped because of it */
        v.earliest = v.due = v.latest = j->on - b->today;
    }
    if (j->kind == TASK_PH && v.due == 0) { /* whoever read it today stands at the bucket */
        v.earliest = v.latest = 0;
    }
    if (hold && !hold->dropped && hold->until_day == j->due) { /* somebody said that day */
        v.earliest = v.latest = v.due;
    }
    if (is_begun(b, j)) {
        v.earliest = v.due = v.latest = 0;
    }
    pin(b, j, &v);
    return v;
}

static size_t visits_of_a_week(const struct visit_job *v, size_t n)
{
    bool visited[WEEK] = {false};
    size_t sum = 0;

    for (size_t i = 0; i < n; i++) {
        if (v[i].day < WEEK) {
            sum += !visited[v[i].day];
            visited[v[i].day] = true;
        }
    }
    return sum;
}

/* A night with the shut-offs closed takes its evening and the morning after it: where two visits
 * follow each other it costs no way, and whoever comes in the evening comes again. */
static void place_night(struct week_plan *w, struct visit_job *v, size_t n, size_t night)
{
    bool visited[PLAN_VISITS_DAYS + 1] = {false};
    struct visit_job *j = &v[night];
    int32_t best = j->day;
    double least = INFINITY;

    for (size_t i = 0; i < n; i++) {
        if (i != night && v[i].day < PLAN_VISITS_DAYS) {
            visited[v[i].day] = true;
        }
    }
    for (int32_t day = order_max(j->earliest, 0); day <= j->latest && day + 1 < PLAN_VISITS_DAYS;
         day++) {
        double waits_min =
            day < j->due ? (j->due - day) * j->early_per_day : (day - j->due) * j->late_per_day;
        double cost = waits_min + (visited[day] ? 0 : w->cost[day]) +
                      (visited[day + 1] ? 0 : w->cost[day + 1]);

        if (cost < least) {
            least = cost;
            best = day;
        }
    }
    if (least < INFINITY) {
        j->earliest = j->due = j->latest = best;
        w->there[best] = w->there[best + 1] = true;
        w->cost[best] = w->cost[best + 1] = 0;
    }
}

static void plan(const struct bundling *b, struct week_plan *w, struct visit_job *v, size_t n,
                 size_t night)
{
    struct visit_days days = {w->cost, w->budget_min, OVERTIME};

    (void)plan_visits(&days, v, n);
    if (night < n) {
        place_night(w, v, n, night);
        (void)plan_visits(&days, v, n);
    }
    for (int k = 0; k < RARER_TRIES && b->room->labour.visits_week > 0 &&
                    (double)visits_of_a_week(v, n) > b->room->labour.visits_week;
         k++) {
        for (int32_t day = 0; day < PLAN_VISITS_DAYS; day++) {
            w->cost[day] *= RARER;
        }
        (void)plan_visits(&days, v, n);
    }
}

void visiting_place(struct bundling *b, struct jobs *jobs)
{
    struct visit_job *v = mem_array(jobs->n + 1, sizeof *v);
    struct week_plan w;
    size_t n = 0;
    size_t night = SIZE_MAX;

    look_at_days(b, &w);
    for (size_t i = 0; i < jobs->n; i++) {
        if (jobs->job[i].kind != TASK_CHANGE) {
            night = jobs->job[i].kind == TASK_OVERNIGHT && !is_begun(b, &jobs->job[i]) ? n : night;
            v[n++] = visit_of(b, &jobs->job[i]);
        }
    }
    plan(b, &w, v, n, night);
    for (int32_t day = 0; day < PLAN_VISITS_DAYS; day++) {
        b->there[day] = w.there[day];
    }
    n = 0;
    for (size_t i = 0; i < jobs->n; i++) {
        struct job *j = &jobs->job[i];

        if (j->kind == TASK_CHANGE) {
            continue;
        }
        j->placed = true;
        j->on = b->today + v[n++].day;
        if (j->on - b->today < CHANGE_PLAN_DAYS) {
            b->there[j->on - b->today] = true;
        }
    }
    free(v);
}

/* ---- what other work serves */

/* When something comes to each container; DAY_NEVER where it does not. */
struct coming {
    int32_t change, bump, harvest;
};

static void note_coming(const struct bundling *b, const struct jobs *jobs, struct coming *c)
{
    for (size_t i = 0; i < b->s->n_containers; i++) {
        c[i] = (struct coming){DAY_NEVER, DAY_NEVER, DAY_NEVER};
    }
    for (size_t i = 0; i < b->out->n; i++) {
        for (size_t k = 0; k < b->out->task[i].n_jobs; k++) {
            c[b->out->task[i].job[k].subject.at].change = b->out->task[i].on;
        }
    }
    for (size_t i = 0; i < jobs->n; i++) {
        const struct job *j = &jobs->job[i];

        if (j->kind == TASK_HARVEST) {
            c[j->subject.at].harvest = j->on;
        }
    }
}

/* After a change the reservoir is full of plain water, if the source has enough: a fill that can
 * wait for one is not needed. Its last day may be forgotten, as jobs_reservoir.c has it. */
static bool change_fills(const struct bundling *b, const struct job *fill)
{
    for (size_t i = 0; i < b->out->n; i++) {
        const struct task *t = &b->out->task[i];

        if (t->kind == TASK_CHANGE && t->fills && t->on <= fill->latest) {
            return true;
        }
    }
    return false;
}

static bool is_served(const struct bundling *b, const struct coming *coming, const struct job *j)
{
    struct coming c = j->subject.kind == SUBJECT_CONTAINER
                          ? coming[j->subject.at]
                          : (struct coming){DAY_NEVER, DAY_NEVER, DAY_NEVER};

    switch (j->kind) {
    case TASK_BUMP:
        return c.change <= order_max(j->due, j->on) + BUMP_LASTS_D || c.harvest <= j->on + LEFT_D;
    case TASK_READ:
        return c.change <= j->latest || c.bump <= j->latest || c.harvest <= j->latest;
    case TASK_PH:
        return c.change <= j->on + 1 || c.harvest <= j->latest;
    case TASK_CHECK:
    case TASK_CARE:
        return c.harvest <= j->latest;
    case TASK_FILL:
        return change_fills(b, j);
    default:
        return false;
    }
}

/* Bumps are looked at before readings: one that falls away measures nothing. The order of the
 * kinds (task_kind.h) sees to that. */
void visiting_drop_served(const struct bundling *b, struct jobs *jobs)
{
    struct coming *coming = mem_array(b->s->n_containers + 1, sizeof *coming);
    size_t kept = 0;

    note_coming(b, jobs, coming);
    for (size_t i = 0; i < jobs->n; i++) {
        const struct job *j = &jobs->job[i];

        if (is_served(b, coming, j)) {
            continue;
        }
        if (j->kind == TASK_BUMP) {
            coming[j->subject.at].bump = j->on;
        }
        jobs->job[kept++] = *j;
    }
    jobs->n = kept;
    free(coming);
}
