#include "daemon/core/agenda.h"

#include "daemon/base/mem.h"
#include "daemon/core/day.h"
#include "daemon/core/forecast.h"
#include "daemon/core/plan.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char *const outcome_words[] = {"done", "dropped", "withdrawn", NULL};

/* A morning: what is wrong first, then meters, since the readings need them; then what the readings may move; the long
 * work while it is cool; walks through the room at the end. */
static const int morning_rank[TASK_KIND_N] = {
    [TASK_LOOK] = 0,    [TASK_CALIBRATE] = 1, [TASK_READ] = 2,   [TASK_PH] = 3,
    [TASK_CHECK] = 4,   [TASK_BUMP] = 5,      [TASK_CHANGE] = 6, [TASK_FILL] = 7,
    [TASK_HARVEST] = 8, [TASK_START] = 9,     [TASK_CARE] = 10,  [TASK_REORDER] = 11,
};

void agenda_deinit(struct agenda *a)
{
    for (size_t i = 0; i < a->n; i++) {
        free(a->task[i].job);
    }
    free(a->task);
    *a = (struct agenda){0};
}

void task_ends_deinit(struct task_ends *t)
{
    free(t->end);
    *t = (struct task_ends){0};
}

const struct task *agenda_find(const struct agenda *a, int64_t id)
{
    for (size_t i = 0; i < a->n; i++) {
        if (a->task[i].id == id) {
            return &a->task[i];
        }
    }
    return NULL;
}

bool task_is_on(const struct task *t, int32_t day, int32_t today)
{
    return t->on == day || (day == today && t->on < today);
}

bool task_is_overdue(const struct task *t, int32_t today)
{
    return today > t->latest;
}

/* What tasks are made of, and where they go. */
struct bundling {
    const struct room *room;
    const struct state *s;
    int64_t now_s;
    int32_t today;
    struct agenda *out;
};

static struct task *new_task(const struct bundling *b, const struct job *first, int32_t on)
{
    struct agenda *a = b->out;
    struct task *t;

    a->task = mem_grow(a->task, &a->cap, a->n + 1, sizeof *a->task);
    t = &a->task[a->n++];
    *t = (struct task){
        .kind = first->kind,
        .care = first->care,
        .earliest = first->earliest,
        .due = first->due,
        .latest = first->latest,
        .on = on > b->today ? on : b->today,
        .recipe = first->recipe,
        .mix_ec_ms_cm = first->ec_ms_cm,
    };
    (void)snprintf(t->why, sizeof t->why, "%s", first->why);
    return t;
}

void task_add_job(struct task *t, const struct job *j)
{
    size_t cap = t->n_jobs;

    /* Room for a power of two of them: t->n_jobs says when it is used up. */
    if ((t->n_jobs & (t->n_jobs - 1)) == 0) {
        t->job = mem_grow(t->job, &cap, t->n_jobs ? t->n_jobs * 2 : 1, sizeof *t->job);
    }
    t->job[t->n_jobs++] = *j;
}

static void put_job(struct task *t, const struct job *j)
{
    task_add_job(t, j);
    t->earliest = j->earliest > t->earliest ? j->earliest : t->earliest;
    t->latest = j->latest < t->latest ? j->latest : t->latest;
    t->due = j->due < t->due ? j->due : t->due;
    t->minutes += j->minutes;
}

/* Windows of jobs that are late and of others may not meet; the task's own must still be one. */
static void mend_window(struct task *t)
{
    if (t->earliest > t->on) {
        t->earliest = t->on;
    }
    if (t->latest < t->earliest) {
        t->latest = t->earliest;
    }
    if (t->due < t->earliest) {
        t->due = t->earliest;
    }
    if (t->due > t->latest) {
        t->due = t->latest;
    }
}

static void say_how_many(struct task *t)
{
    char first[sizeof t->job->why];

    if (t->n_jobs < 2) {
        return;
    }
    memcpy(first, t->job[0].why, sizeof first);
    (void)snprintf(t->why, sizeof t->why, "%.190s, and %zu more like it", first, t->n_jobs - 1);
}

static int by_due(const void *pa, const void *pb)
{
    const struct job *const *a = pa;
    const struct job *const *b = pb;

    if ((*a)->due != (*b)->due) {
        return (*a)->due < (*b)->due ? -1 : 1;
    }
    return *a < *b ? -1 : *a > *b;
}

static bool may_join(const struct bundling *b, const struct task *t, const struct job *j)
{
    bool in_time = j->earliest <= t->on && (j->latest >= t->on || j->latest < b->today);
    double slack = t->mix_ec_ms_cm * b->room->tolerance_pct / 100;

    if (j->kind != t->kind || j->care != t->care || !in_time) {
        return false;
    }
    if (j->kind == TASK_START || j->kind == TASK_BUMP) {
        return j->recipe == t->recipe && fabs(j->ec_ms_cm - t->mix_ec_ms_cm) <= slack;
    }
    return true;
}

/* One visit for as many as it can serve: the job that is due first sets the day, and all that may
 * be done on that day join it (stabbing intervals by their due day). */
static void bundle_visits(const struct bundling *b, const struct job **job, size_t n)
{
    bool *taken = mem_array(n, sizeof *taken);

    qsort(job, n, sizeof *job, by_due);
    for (size_t i = 0; i < n; i++) {
        struct task *t;

        if (taken[i]) {
            continue;
        }
        t = new_task(b, job[i], job[i]->due);
        for (size_t k = i; k < n; k++) {
            if (!taken[k] && (k == i || may_join(b, t, job[k]))) {
                taken[k] = true;
                put_job(t, job[k]);
            }
        }
        mend_window(t);
        say_how_many(t);
    }
    free(taken);
}

static void bundle_singly(const struct bundling *b, const struct job **job, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        struct task *t = new_task(b, job[i], job[i]->due);

        put_job(t, job[i]);
        mend_window(t);
    }
}

/* The strength to mix so that the container holds what is wanted although some of the old stayed in
 * it. */
static double mix_strength(const struct bundling *b, const struct job *j)
{
    const struct container *c = &b->room->container[j->subject.at];
    struct forecast now = forecast_container(b->room, b->s, j->subject.at, b->now_s);

    return solution_mix_for_rest(j->ec_ms_cm, c->float_volume_l, now.body.ec_ms_cm, c->remainder_l);
}

static void say_mix(const struct bundling *b, struct task *t)
{
    char ec[QUANTITY_TEXT_MAX];

    quantity_format(ec, QUANTITY_EC, t->mix_ec_ms_cm, &b->room->units);
    (void)snprintf(t->why, sizeof t->why, "%s%s%.190s", t->n_jobs > 1 ? "one mix of " : "",
                   t->n_jobs > 1 ? ec : "", t->n_jobs > 1 ? " serves them all; " : t->job[0].why);
    if (t->n_jobs > 1) {
        size_t len = strlen(t->why);

        (void)snprintf(t->why + len, sizeof t->why - len, "%.150s", t->job[0].why);
    }
}

#define BUDGET_DAYS 60
#define PLAN_EFFORT 2 /* a plan is made anew with every acknowledgement */

static void task_of_load(const struct bundling *b, const struct job **job,
                         const struct plan_slot *slot, size_t n, uint32_t load, bool *opened)
{
    const struct reservoir *v = &b->room->reservoir;
    struct task *t = NULL;
    double volume_l = 0;

    for (size_t i = 0; i < n; i++) {
        if (slot[i].load != load) {
            continue;
        }
        if (!t) {
            t = new_task(b, job[i], b->today + slot[i].day);
            t->mix_ec_ms_cm = slot[i].ec_ms_cm;
            t->minutes = b->room->labour.load_min;
            if (slot[i].day >= BUDGET_DAYS || !opened[slot[i].day]) {
                t->minutes += b->room->labour.changeover_min; /* once a day, however many mixes */
            }
            if (slot[i].day < BUDGET_DAYS) {
                opened[slot[i].day] = true;
            }
        }
        put_job(t, job[i]);
        volume_l += job[i]->volume_l;
    }
    if (t) {
        t->mix_l = fmin(volume_l + v->line_loss_l + v->remainder_l, v->capacity_l);
        mend_window(t);
        say_mix(b, t);
    }
}

static void bundle_mixes(const struct bundling *b, const struct job **job, size_t n)
{
    const struct reservoir *v = &b->room->reservoir;
    double budget[BUDGET_DAYS];
    bool opened[BUDGET_DAYS] = {false};
    struct plan_room plan = {.usable_l = v->capacity_l - v->remainder_l,
                             .line_loss_l = v->line_loss_l,
                             .changeover_min = b->room->labour.changeover_min,
                             .load_min = b->room->labour.load_min,
                             .budget_min = budget,
                             .n_days = BUDGET_DAYS,
                             .cost = plan_usual_cost};
    struct plan_job *wish = mem_array(n, sizeof *wish);
    struct plan_slot *slot = mem_array(n, sizeof *slot);
    uint32_t n_loads = 0;

    for (int32_t day = 0; day < BUDGET_DAYS; day++) {
        budget[day] = b->room->labour.budget_min[day_weekday(b->today + day)];
    }
    for (size_t i = 0; i < n; i++) {
        wish[i] = (struct plan_job){.earliest = job[i]->earliest - b->today,
                                    .due = job[i]->due - b->today,
                                    .latest = job[i]->latest - b->today,
                                    .recipe = job[i]->recipe,
                                    .ec_ms_cm = mix_strength(b, job[i]),
                                    .tolerance_pct = b->room->tolerance_pct,
                                    .volume_l = job[i]->volume_l,
                                    .minutes = job[i]->minutes};
    }
    (void)plan_mixes(&plan, wish, n, PLAN_EFFORT, slot);
    plan_split_fillings(&plan, wish, n, slot);
    for (size_t i = 0; i < n; i++) {
        n_loads = slot[i].load >= n_loads ? slot[i].load + 1 : n_loads;
    }
    for (uint32_t load = 0; load < n_loads; load++) {
        task_of_load(b, job, slot, n, load, opened);
    }
    free(wish);
    free(slot);
}

static int in_working_order(const void *pa, const void *pb)
{
    const struct task *a = pa;
    const struct task *b = pb;

    if (a->on != b->on) {
        return a->on < b->on ? -1 : 1;
    }
    if (a->kind != b->kind) {
        return morning_rank[a->kind] - morning_rank[b->kind];
    }
    if (a->care != b->care) {
        return a->care < b->care ? -1 : 1;
    }
    if (a->recipe != b->recipe) {
        return a->recipe < b->recipe ? -1 : 1;
    }
    if (a->mix_ec_ms_cm != b->mix_ec_ms_cm) { /* weak before strong: no rinsing in between */
        return a->mix_ec_ms_cm < b->mix_ec_ms_cm ? -1 : 1;
    }
    if (a->job[0].subject.kind != b->job[0].subject.kind) {
        return a->job[0].subject.kind < b->job[0].subject.kind ? -1 : 1;
    }
    return a->job[0].subject.at < b->job[0].subject.at
               ? -1
               : a->job[0].subject.at > b->job[0].subject.at;
}

/* A fill goes with other work: on the last day of its window on which somebody is there anyway. */
static void join_fills(const struct bundling *b)
{
    for (size_t i = 0; i < b->out->n; i++) {
        struct task *fill = &b->out->task[i];
        int32_t best = DAY_NONE;

        for (size_t k = 0; k < b->out->n && fill->kind == TASK_FILL; k++) {
            int32_t on = b->out->task[k].on;

            if (k != i && on >= fill->earliest && on <= fill->on &&
                (best == DAY_NONE || on > best)) {
                best = on;
            }
        }
        if (best != DAY_NONE) {
            fill->on = best;
        }
    }
}

void agenda_derive(const struct room *room, const struct state *s, int64_t now_s, int horizon_days,
                   struct agenda *out)
{
    static void (*const bundle[TASK_KIND_N])(const struct bundling *, const struct job **,
                                             size_t) = {
        [TASK_START] = bundle_visits,   [TASK_CHECK] = bundle_visits,
        [TASK_CHANGE] = bundle_mixes,   [TASK_BUMP] = bundle_visits,
        [TASK_PH] = bundle_singly,      [TASK_READ] = bundle_visits,
        [TASK_FILL] = bundle_singly,    [TASK_CALIBRATE] = bundle_singly,
        [TASK_CARE] = bundle_visits,    [TASK_REORDER] = bundle_singly,
        [TASK_HARVEST] = bundle_visits, [TASK_LOOK] = bundle_singly,
    };
    struct bundling b = {
        .room = room, .s = s, .now_s = now_s, .today = zone_day(&room->zone, now_s), .out = out};
    struct jobs jobs = {0};
    const struct job **of_kind;

    *out = (struct agenda){.next_id = 1};
    jobs_derive(room, s, now_s, horizon_days, &jobs);
    of_kind = mem_array(jobs.n, sizeof *of_kind);
    for (int kind = 0; kind < TASK_KIND_N; kind++) {
        size_t n = 0;

        for (size_t i = 0; i < jobs.n; i++) {
            if ((int)jobs.job[i].kind == kind) {
                of_kind[n++] = &jobs.job[i];
            }
        }
        bundle[kind](&b, of_kind, n);
    }
    join_fills(&b);
    free(of_kind);
    jobs_deinit(&jobs);
    if (out->n) {
        qsort(out->task, out->n, sizeof *out->task, in_working_order);
    }
}

/* A job's key and the task it stands in. */
struct keyed {
    const struct job *job;
    size_t task;
};

static int compare_keys(const struct job *a, const struct job *b)
{
    if (a->kind != b->kind) {
        return a->kind < b->kind ? -1 : 1;
    }
    if (a->care != b->care) {
        return a->care < b->care ? -1 : 1;
    }
    if (a->subject.kind != b->subject.kind) {
        return a->subject.kind < b->subject.kind ? -1 : 1;
    }
    if (a->subject.at != b->subject.at) {
        return a->subject.at < b->subject.at ? -1 : 1;
    }
    return a->cycle < b->cycle ? -1 : a->cycle > b->cycle;
}

static int by_key(const void *pa, const void *pb)
{
    const struct keyed *a = pa;
    const struct keyed *b = pb;

    return compare_keys(a->job, b->job);
}

static struct keyed *keys_of(const struct agenda *a, size_t *out_n)
{
    struct keyed *keys;
    size_t n = 0;

    for (size_t i = 0; i < a->n; i++) {
        n += a->task[i].n_jobs;
    }
    keys = mem_array(n, sizeof *keys);
    n = 0;
    for (size_t i = 0; i < a->n; i++) {
        for (size_t k = 0; k < a->task[i].n_jobs; k++) {
            keys[n++] = (struct keyed){&a->task[i].job[k], i};
        }
    }
    qsort(keys, n, sizeof *keys, by_key);
    *out_n = n;
    return keys;
}

/* Two tasks, old and new, with jobs in common. */
struct bond {
    size_t fresh, before;
    size_t shared;
    int64_t id; /* of the old one */
};

static int by_tasks(const void *pa, const void *pb)
{
    const struct bond *a = pa;
    const struct bond *b = pb;

    if (a->fresh != b->fresh) {
        return a->fresh < b->fresh ? -1 : 1;
    }
    return a->before < b->before ? -1 : a->before > b->before;
}

static int by_strength(const void *pa, const void *pb)
{
    const struct bond *a = pa;
    const struct bond *b = pb;

    if (a->shared != b->shared) {
        return a->shared > b->shared ? -1 : 1;
    }
    if (a->id != b->id) {
        return a->id < b->id ? -1 : 1;
    }
    return a->fresh < b->fresh ? -1 : a->fresh > b->fresh;
}

/* The pairs of tasks that share jobs, each once, with how many. */
static struct bond *find_bonds(const struct agenda *before, const struct agenda *fresh,
                               size_t *out_n)
{
    size_t n_old;
    size_t n_new;
    struct keyed *old = keys_of(before, &n_old);
    struct keyed *new = keys_of(fresh, &n_new);
    struct bond *bond = mem_array(n_new, sizeof *bond);
    size_t n = 0;
    size_t merged = 0;

    for (size_t i = 0, k = 0; i < n_new && k < n_old;) {
        int order = compare_keys(new[i].job, old[k].job);

        if (order == 0) {
            bond[n++] = (struct bond){new[i].task, old[k].task, 1, before->task[old[k].task].id};
        }
        i += order <= 0;
        k += order >= 0;
    }
    if (n) {
        qsort(bond, n, sizeof *bond, by_tasks);
    }
    for (size_t i = 0; i < n; i++) {
        if (merged && by_tasks(&bond[merged - 1], &bond[i]) == 0) {
            bond[merged - 1].shared++;
        } else {
            bond[merged++] = bond[i];
        }
    }
    if (merged) {
        qsort(bond, merged, sizeof *bond, by_strength);
    }
    free(old);
    free(new);
    *out_n = merged;
    return bond;
}

static void end_task(struct task_ends *ends, int64_t id, enum outcome outcome, const char *reason)
{
    struct task_end *end;

    ends->end = mem_grow(ends->end, &ends->cap, ends->n + 1, sizeof *ends->end);
    end = &ends->end[ends->n++];
    *end = (struct task_end){.id = id, .outcome = outcome};
    (void)snprintf(end->reason, sizeof end->reason, "%s", reason);
}

/* How a task that no longer stands ended: done if any of its jobs was, else dropped, else
 * withdrawn. */
static void say_end(const struct room *room, const struct state *s, int64_t now_s,
                    const struct task *t, int64_t moved_to, struct task_ends *ends)
{
    int32_t today = zone_day(&room->zone, now_s);
    bool dropped = t->n_jobs > 0;
    char reason[240];

    for (size_t i = 0; i < t->n_jobs; i++) {
        if (job_is_done(s, &t->job[i])) {
            end_task(ends, t->id, OUTCOME_DONE, "");
            return;
        }
        dropped = dropped && job_is_dropped(s, &t->job[i], today);
    }
    if (dropped) {
        end_task(ends, t->id, OUTCOME_DROPPED, "");
    } else if (t->n_jobs == 0) {
        end_task(ends, t->id, OUTCOME_WITHDRAWN, "the room file no longer has what it was about");
    } else if (moved_to) {
        (void)snprintf(reason, sizeof reason, "its work is now in task %lld", (long long)moved_to);
        end_task(ends, t->id, OUTCOME_WITHDRAWN, reason);
    } else {
        job_gone_reason(room, s, &t->job[0], now_s, reason, sizeof reason);
        end_task(ends, t->id, OUTCOME_WITHDRAWN, reason);
    }
}

void agenda_settle(const struct room *room, const struct state *s, int64_t now_s,
                   const struct agenda *before, struct agenda *fresh, struct task_ends *ends)
{
    size_t n_bonds;
    struct bond *bond = find_bonds(before, fresh, &n_bonds);
    bool *kept = mem_array(before->n, sizeof *kept);
    int64_t *moved_to = mem_array(before->n, sizeof *moved_to);

    fresh->next_id = before->next_id > 1 ? before->next_id : 1;
    for (size_t i = 0; i < n_bonds; i++) {
        if (!kept[bond[i].before] && fresh->task[bond[i].fresh].id == 0) {
            kept[bond[i].before] = true;
            fresh->task[bond[i].fresh].id = bond[i].id;
        }
    }
    for (size_t i = 0; i < fresh->n; i++) {
        if (fresh->task[i].id == 0) {
            fresh->task[i].id = fresh->next_id++;
        }
    }
    for (size_t i = 0; i < n_bonds; i++) {
        if (!moved_to[bond[i].before]) {
            moved_to[bond[i].before] = fresh->task[bond[i].fresh].id;
        }
    }
    for (size_t i = 0; i < before->n; i++) {
        if (!kept[i]) {
            say_end(room, s, now_s, &before->task[i], moved_to[i], ends);
        }
    }
    free(bond);
    free(kept);
    free(moved_to);
}
