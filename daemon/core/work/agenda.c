#include "daemon/core/work/agenda.h"

#include "daemon/base/mem.h"
#include "daemon/core/units/day.h"
#include "daemon/core/work/change_plan.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define NEAR_FRAC    0.25
#define SCARCE_FRAC  0.25 /* of what is wanted may be lacking of a mix: floats take what is left */
#define EFFORT_NEW   4    /* of a plan for a new day … */
#define EFFORT_AGAIN 1    /* … of one that is mended at an acknowledgement … */
#define EFFORT_NONE  0    /* … and where nothing of it has lost its place */

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

const struct task *agenda_find(const struct agenda *a, int64_t id)
{
    for (size_t i = 0; i < a->n; i++) {
        if (a->task[i].id == id) {
            return &a->task[i];
        }
    }
    return NULL;
}

bool task_mix_is_there(const struct state *s, const struct task *t, double wanted_l)
{
    const struct reservoir_state *r = &s->reservoir;
    bool near = fabs(r->body.ec_ms_cm - t->mix_ec_ms_cm) <= NEAR_FRAC * t->mix_ec_ms_cm;

    return r->holds_mix && r->recipe == (int)t->recipe &&
           (r->mix_task == t->id || (r->mix_task == 0 && near)) &&
           r->body.volume_l >= wanted_l * (1 - SCARCE_FRAC);
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
    const struct agenda *before; /* NULL = there is none */
    struct keyed *kept;          /* its jobs, sorted by their keys */
    size_t n_kept;
    bool today_stands;
    struct agenda *out;
};

static int by_key(const void *pa, const void *pb)
{
    const struct keyed *a = pa;
    const struct keyed *b = pb;

    return job_compare_keys(a->job, b->job);
}

struct keyed *agenda_keys(const struct agenda *a, size_t *out_n)
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

/* The day on which the plan before has a job; DAY_NONE when it has none. */
static int32_t kept_day(const struct bundling *b, const struct job *j)
{
    struct keyed key = {.job = j};
    const struct keyed *found =
        b->n_kept ? bsearch(&key, b->kept, b->n_kept, sizeof *b->kept, by_key) : NULL;

    return found ? b->before->task[found->task].on : DAY_NONE;
}

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

double task_jobs_l(const struct task *t)
{
    double sum = 0;

    for (size_t i = 0; i < t->n_jobs; i++) {
        sum += t->job[i].volume_l;
    }
    return sum;
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

/* Is there water enough for a day's mixes, and for the floats after them? */
static bool leaves_enough(const struct change_plan *m, int32_t day)
{
    double taken_l = 0;

    for (size_t i = 0; i < m->n; i++) {
        taken_l += m->slot[i].day == day && !m->slot[i].by_hand ? m->job[i].volume_l : 0;
    }
    return day < CHANGE_PLAN_DAYS && taken_l <= m->spare_l[day];
}

/* The tasks of a plan: one for each filling, in the order in which they were numbered. */
static void task_of_load(const struct bundling *b, const struct job **job,
                         const struct change_plan *m, uint32_t load, bool *opened)
{
    const struct plan_slot *slot = m->slot;
    const struct labour *l = &b->room->labour;
    const struct reservoir *v = &b->room->reservoir;
    struct task *t = NULL;
    double volume_l = 0;

    for (size_t i = 0; i < m->n; i++) {
        if (slot[i].day == PLAN_UNPLANNED || slot[i].load != load) {
            continue;
        }
        if (!t) {
            t = new_task(b, job[i], b->today + slot[i].day);
            t->mix_ec_ms_cm = slot[i].ec_ms_cm;
            t->by_hand = slot[i].by_hand;
            t->fills = !t->by_hand && leaves_enough(m, slot[i].day);
            t->minutes = t->by_hand ? l->pour_min : l->load_min;
            if (!t->by_hand && !opened[slot[i].day]) {
                t->minutes += l->changeover_min; /* once a day, however many mixes */
                opened[slot[i].day] = true;
            }
        }
        put_job(t, job[i]);
        volume_l += job[i]->volume_l;
    }
    if (t) {
        t->mix_l =
            t->by_hand ? volume_l : fmin(volume_l + v->line_loss_l + v->remainder_l, v->capacity_l);
        mend_window(t);
        say_mix(b, t);
    }
}

/* Where the plan before had them; and while today's list stands, what is on it stays there, and
 * what is not comes later if it may. */
static void keep_days(const struct bundling *b, const struct job **job, struct change_plan *m)
{
    for (size_t i = 0; i < m->n; i++) {
        struct plan_job *wish = &m->job[i];
        int32_t on = kept_day(b, job[i]);
        bool listed = on != DAY_NONE && on <= b->today;

        if (on != DAY_NONE) {
            wish->kept = on > b->today ? on - b->today : 0;
        }
        if (!b->today_stands || m->off[0] || wish->earliest > 0 || wish->latest <= 0) {
            continue;
        }
        wish->earliest = listed ? 0 : 1;
        wish->latest = listed ? 0 : wish->latest;
    }
}

/* Is every job still where the plan before had it? What a jug is for is looked at anew. */
static bool all_in_place(const struct change_plan *m)
{
    bool in_place = !(m->room.hand_l > 0);

    for (size_t i = 0; i < m->n && in_place; i++) {
        in_place = plan_may_stay(&m->room, &m->job[i]);
    }
    return in_place;
}

static unsigned effort_of(const struct bundling *b, const struct change_plan *m)
{
    if (!b->today_stands) {
        return EFFORT_NEW;
    }
    return all_in_place(m) ? EFFORT_NONE : EFFORT_AGAIN;
}

static void bundle_mixes(const struct bundling *b, const struct job **job, size_t n)
{
    bool opened[PLAN_DAYS_MAX] = {false};
    struct change_plan m;
    uint32_t n_loads = 0;

    change_plan_init(b->room, b->s, b->now_s, job, n, &m);
    keep_days(b, job, &m);
    (void)plan_mixes(&m.room, m.job, n, effort_of(b, &m), m.slot);
    plan_split_fillings(&m.room, m.job, n, m.slot);
    for (size_t i = 0; i < n; i++) {
        if (m.slot[i].day ==
            PLAN_UNPLANNED) { /* no reservoir holds it: a person has to see to it */
            bundle_singly(b, &job[i], 1);
        } else if (m.slot[i].load >= n_loads) {
            n_loads = m.slot[i].load + 1;
        }
    }
    for (uint32_t load = 0; load < n_loads; load++) {
        task_of_load(b, job, &m, load, opened);
    }
    change_plan_deinit(&m);
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

/* After a change the reservoir is full of plain water, if the source has enough: a fill that can wait
 * for one, and a day more if that is forgotten, is not needed. */
static bool change_fills(const struct bundling *b, const struct job *fill)
{
    for (size_t i = 0; i < b->out->n; i++) {
        const struct task *t = &b->out->task[i];

        if (t->kind == TASK_CHANGE && t->fills && (t->on <= fill->due || t->on < fill->latest)) {
            return true;
        }
    }
    return false;
}

/* Is there work on a container by the end of a job's window that does for it as well? */
static bool other_serves(const struct bundling *b, const struct job *j, unsigned kinds)
{
    for (size_t i = 0; i < b->out->n && j->subject.kind == SUBJECT_CONTAINER; i++) {
        const struct task *t = &b->out->task[i];
        bool may = (kinds & 1U << (unsigned)t->kind) && t->on <= j->latest;

        for (size_t k = 0; may && k < t->n_jobs; k++) {
            if (t->job[k].subject.at == j->subject.at) {
                return true;
            }
        }
    }
    return false;
}

static void bundle_unless_served(const struct bundling *b, const struct job **job, size_t n,
                                 unsigned by)
{
    size_t kept = 0;

    for (size_t i = 0; i < n; i++) {
        if (!other_serves(b, job[i], by)) {
            job[kept++] = job[i];
        }
    }
    bundle_visits(b, job, kept);
}

/* The strength need not be raised where the change comes as soon. */
static void bundle_bumps(const struct bundling *b, const struct job **job, size_t n)
{
    bundle_unless_served(b, job, n, 1U << TASK_CHANGE);
}

/* A bump measures what it did, and after a change the figures are the mix's. */
static void bundle_readings(const struct bundling *b, const struct job **job, size_t n)
{
    bundle_unless_served(b, job, n, 1U << TASK_CHANGE | 1U << TASK_BUMP);
}

static void bundle_fills(const struct bundling *b, const struct job **job, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (!change_fills(b, job[i])) {
            bundle_singly(b, &job[i], 1);
        }
    }
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

/* What is on today's list and may be done today stays on it. */
static void pin_visits(const struct bundling *b, struct jobs *jobs)
{
    for (size_t i = 0; i < jobs->n && b->today_stands; i++) {
        struct job *j = &jobs->job[i];
        int32_t on = kept_day(b, j);

        if (j->kind != TASK_CHANGE && on != DAY_NONE && on <= b->today && j->earliest <= b->today &&
            j->due > b->today) {
            j->due = b->today;
        }
    }
}

void agenda_derive(const struct room *room, const struct state *s, int64_t now_s, int horizon_days,
                   const struct agenda *before, bool today_stands, struct agenda *out)
{
    static void (*const bundle[TASK_KIND_N])(const struct bundling *, const struct job **,
                                             size_t) = {
        [TASK_START] = bundle_visits,   [TASK_CHECK] = bundle_visits,
        [TASK_CHANGE] = bundle_mixes,   [TASK_BUMP] = bundle_bumps,
        [TASK_PH] = bundle_singly,      [TASK_READ] = bundle_readings,
        [TASK_FILL] = bundle_fills,     [TASK_CALIBRATE] = bundle_singly,
        [TASK_CARE] = bundle_visits,    [TASK_REORDER] = bundle_singly,
        [TASK_HARVEST] = bundle_visits, [TASK_LOOK] = bundle_singly,
    };
    struct bundling b = {.room = room,
                         .s = s,
                         .now_s = now_s,
                         .today = zone_day(&room->zone, now_s),
                         .before = before,
                         .today_stands = before && today_stands,
                         .out = out};
    struct jobs jobs = {0};
    const struct job **of_kind;

    *out = (struct agenda){.next_id = 1};
    if (before) {
        b.kept = agenda_keys(before, &b.n_kept);
    }
    jobs_derive(room, s, now_s, horizon_days, &jobs);
    pin_visits(&b, &jobs);
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
    free(b.kept);
    jobs_deinit(&jobs);
    if (out->n) {
        qsort(out->task, out->n, sizeof *out->task, in_working_order);
    }
}
