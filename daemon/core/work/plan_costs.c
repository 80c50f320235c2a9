#include "daemon/core/work/plan_costs.h"

#include "daemon/base/mem.h"
#include "daemon/core/work/change_plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define EFFORT_BOUND 16
#define EFFORT_OTHER 2

/* The changes of an agenda as a problem, and its answer as it stands. */
struct standing {
    struct change_plan m;
    const struct job **job;   /* owned */
    const struct task **task; /* owned; of each job */
};

static void stand_up(const struct room *room, const struct state *s, int64_t now_s,
                     const struct agenda *a, struct standing *out)
{
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
    change_plan_init(room, s, now_s, out->job, n, &out->m);
    for (size_t i = 0; i < n; i++) {
        const struct task *t = out->task[i];
        int32_t on = t->on > out->m.today ? t->on - out->m.today : 0;
        struct plan_job *j = &out->m.job[i];

        load += i > 0 && t != out->task[i - 1];
        j->kept = on;
        j->earliest = j->earliest > on ? on : j->earliest; /* a task may stand beyond its window */
        j->latest = j->latest < on ? on : j->latest;
        j->tolerance_pct = fmax(j->tolerance_pct, /* strengths go on changing under a plan */
                                100 * fabs(t->mix_ec_ms_cm - j->ec_ms_cm) / j->ec_ms_cm + 1e-6);
        out->m.slot[i] = (struct plan_slot){on, load, t->by_hand, t->mix_ec_ms_cm};
    }
}

static void lie_down(struct standing *st)
{
    change_plan_deinit(&st->m);
    free(st->job);
    free(st->task);
}

struct plan_amounts plan_costs_now(const struct room *room, const struct state *s, int64_t now_s,
                                   const struct agenda *a)
{
    struct standing st;
    struct plan_amounts sum;

    stand_up(room, s, now_s, a, &st);
    sum = plan_amounts_of(&st.m.room, st.m.job, st.m.n, st.m.slot);
    lie_down(&st);
    return sum;
}

double plan_costs_gap_pct(const struct room *room, const struct state *s, int64_t now_s,
                          const struct agenda *a)
{
    struct standing st;
    double cost;
    double least;

    stand_up(room, s, now_s, a, &st);
    cost = plan_cost_of(&st.m.room, st.m.job, st.m.n, st.m.slot);
    least = plan_least(&st.m.room, st.m.job, st.m.n, EFFORT_BOUND, cost);
    lie_down(&st);
    return least > 0 && isfinite(cost) ? 100 * (cost - least) / least : NAN;
}

/* The plan with the task's jobs on one day, and today's list as it is. */
static struct other_day on_day(const struct standing *st, const struct task *t, int32_t day)
{
    const struct change_plan *m = &st->m;
    struct plan_job *job = mem_copy(m->job, m->n, sizeof *job);
    struct plan_slot *slot = mem_array(m->n, sizeof *slot);
    struct other_day o = {.day = m->today + day};

    for (size_t i = 0; i < m->n; i++) {
        if (st->task[i] == t) {
            job[i].earliest = job[i].latest = day;
        } else if (m->slot[i].day == 0) {
            job[i].earliest = job[i].latest = 0;
        }
    }
    (void)plan_mixes(&m->room, job, m->n, EFFORT_OTHER, slot);
    o.sum = plan_amounts_of(&m->room, job, m->n, slot);
    o.sum.moved = 0; /* that it moves is what was asked for */
    o.dearer = plan_price(&m->room.cost, &o.sum);
    free(job);
    free(slot);
    return o;
}

size_t plan_costs_other_days(const struct room *room, const struct state *s, int64_t now_s,
                             const struct agenda *a, const struct task *t,
                             struct plan_amounts *out_is, struct other_day out[PLAN_COSTS_DAYS_MAX])
{
    struct standing st;
    size_t n = 0;
    double is;
    int32_t on;

    *out_is = (struct plan_amounts){.valid = true};
    if (t->kind != TASK_CHANGE) {
        return 0;
    }
    stand_up(room, s, now_s, a, &st);
    *out_is = plan_amounts_of(&st.m.room, st.m.job, st.m.n, st.m.slot);
    is = plan_price(&st.m.room.cost, out_is);
    on = t->on > st.m.today ? t->on - st.m.today : 0;
    for (int32_t day = on - PLAN_COSTS_DAYS_MAX / 2;
         n < PLAN_COSTS_DAYS_MAX && day <= on + PLAN_COSTS_DAYS_MAX; day++) {
        bool serves = day >= 0 && day < CHANGE_PLAN_DAYS && day != on && !st.m.off[day] &&
                      day >= t->earliest - st.m.today && day <= t->latest - st.m.today + 1;

        if (serves) {
            out[n] = on_day(&st, t, day);
            out[n++].dearer -= is;
        }
    }
    lie_down(&st);
    return n;
}
