#include "daemon/core/tasks/plan_costs.h"

#include "daemon/base/mem.h"
#include "daemon/base/order.h"
#include "daemon/core/state/pace.h"
#include "daemon/core/tasks/change_plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* How hard the planner looks (plan.h): a person waits for one bound, or for half a dozen plans. */
#define EFFORT_BOUND 16
#define EFFORT_OTHER 2

/* The changes of an agenda as a problem, and the plan that the agenda has for them. */
struct planned_changes {
    struct change_plan plan;
    const struct job **job;   /* owned */
    const struct task **task; /* owned; of each job */
};

/* Somebody is there on the days of all other tasks. */
static void note_visits(const struct room *room, const struct agenda *a, struct change_plan *p)
{
    bool there[CHANGE_PLAN_DAYS] = {false};

    for (size_t i = 0; i < a->n; i++) {
        int32_t day = order_max(a->task[i].on - p->today, 0);

        if (a->task[i].kind != TASK_CHANGE && day < CHANGE_PLAN_DAYS) {
            there[day] = true;
        }
    }
    change_plan_visits(p, room, there);
}

/* The plan is priced as it stands, and not as it would be made today: it may stand outside of
 * windows that have moved since, which are widened here until it fits. Otherwise the plan that
 * people work by would have no price at all. */
static void read_agenda(const struct room *room, const struct state *s, int64_t now_s,
                        const struct agenda *a, struct planned_changes *out)
{
    struct room worked = pace_room(room, s);
    size_t n = 0;
    uint32_t load = 0;

    for (size_t i = 0; i < a->n; i++) {
        n += a->task[i].kind == TASK_CHANGE ? a->task[i].n_jobs : 0;
    }
    out->job = mem_array(n, sizeof(*out->job));
    out->task = mem_array(n, sizeof(*out->task));
    n = 0;
    for (size_t i = 0; i < a->n; i++) {
        for (size_t k = 0; a->task[i].kind == TASK_CHANGE && k < a->task[i].n_jobs; k++) {
            out->task[n] = &a->task[i];
            out->job[n++] = &a->task[i].job[k];
        }
    }
    change_plan_init(&worked, s, now_s, out->job, n, &out->plan);
    note_visits(&worked, a, &out->plan);
    for (size_t i = 0; i < n; i++) {
        const struct task *t = out->task[i];
        int32_t on = order_max(t->on - out->plan.today, 0);
        struct plan_job *j = &out->plan.job[i];

        load += i > 0 && t != out->task[i - 1];
        j->kept = on;
        j->earliest = order_min(j->earliest, on); /* a task may stand beyond its window */
        j->latest = order_max(j->latest, on);
        j->tolerance_pct = fmax(j->tolerance_pct, /* strengths go on changing under a plan */
                                100 * fabs(t->mix_ec_ms_cm - j->ec_ms_cm) / j->ec_ms_cm + 1e-6);
        out->plan.slot[i] = (struct plan_slot){on, load, t->by_hand, t->mix_ec_ms_cm};
    }
}

static void planned_changes_deinit(struct planned_changes *c)
{
    change_plan_deinit(&c->plan);
    free(c->job);
    free(c->task);
}

struct plan_amounts plan_costs_now(const struct room *room, const struct state *s, int64_t now_s,
                                   const struct agenda *a)
{
    struct planned_changes c;
    struct plan_amounts sum;

    read_agenda(room, s, now_s, a, &c);
    sum = plan_amounts_of(&c.plan.room, c.plan.job, c.plan.n, c.plan.slot);
    planned_changes_deinit(&c);
    return sum;
}

double plan_costs_gap_pct(const struct room *room, const struct state *s, int64_t now_s,
                          const struct agenda *a)
{
    struct planned_changes c;
    double cost;
    double least;

    read_agenda(room, s, now_s, a, &c);
    cost = plan_cost_of(&c.plan.room, c.plan.job, c.plan.n, c.plan.slot);
    /* What the plan costs says nothing by itself. The bound is a lower one: the true gap is at
     * most this. */
    least = plan_least(&c.plan.room, c.plan.job, c.plan.n, EFFORT_BOUND, cost);
    planned_changes_deinit(&c);
    return least > 0 && isfinite(cost) ? 100 * (cost - least) / least : NAN;
}

/* The plan with the task's jobs on one day, and today's list as it is. */
static struct other_day on_day(const struct planned_changes *c, const struct task *t, int32_t day)
{
    const struct change_plan *p = &c->plan;
    struct plan_job *job = mem_copy(p->job, p->n, sizeof *job);
    struct plan_slot *slot = mem_array(p->n, sizeof *slot);
    struct other_day o = {.day = p->today + day};

    for (size_t i = 0; i < p->n; i++) {
        /* What is on today's list was read and prepared for: a choice about another day leaves
         * it alone. */
        if (c->task[i] == t) {
            job[i].earliest = job[i].latest = day;
        } else if (p->slot[i].day == 0) {
            job[i].earliest = job[i].latest = 0;
        }
    }
    (void)plan_mixes(&p->room, job, p->n, EFFORT_OTHER, slot);
    o.sum = plan_amounts_of(&p->room, job, p->n, slot);
    o.sum.moved = 0; /* that it moves is what was asked for */
    o.dearer = plan_price(&p->room.cost, &o.sum);
    free(job);
    free(slot);
    return o;
}

size_t plan_costs_other_days(const struct room *room, const struct state *s, int64_t now_s,
                             const struct agenda *a, const struct task *t,
                             struct plan_amounts *out_is, struct other_day out[PLAN_COSTS_DAYS_MAX])
{
    struct planned_changes c;
    size_t n = 0;
    double is;
    int32_t on;

    *out_is = (struct plan_amounts){.valid = true};
    if (t->kind != TASK_CHANGE) {
        return 0;
    }
    read_agenda(room, s, now_s, a, &c);
    *out_is = plan_amounts_of(&c.plan.room, c.plan.job, c.plan.n, c.plan.slot);
    is = plan_price(&c.plan.room.cost, out_is);
    on = order_max(t->on - c.plan.today, 0);
    /* Up to a day past its window, so that a person sees what being late costs. Half of the days
     * lie before the planned one, where so many serve. */
    for (int32_t day = on - PLAN_COSTS_DAYS_MAX / 2;
         n < PLAN_COSTS_DAYS_MAX && day <= on + PLAN_COSTS_DAYS_MAX; day++) {
        bool serves = day >= 0 && day < CHANGE_PLAN_DAYS && day != on && !c.plan.off[day] &&
                      day >= t->earliest - c.plan.today && day <= t->latest - c.plan.today + 1;

        if (serves) {
            out[n] = on_day(&c, t, day);
            out[n++].dearer -= is;
        }
    }
    planned_changes_deinit(&c);
    return n;
}
