/* bundling_changes.c - the changes as tasks: one for each mix that the planner put them into. */
#include "daemon/base/order.h"
#include "daemon/core/tasks/bundling.h"
#include "daemon/core/tasks/change_plan.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* How hard the planner looks (plan.h): a person waits for an acknowledgement, and
 * nobody for the day. */
#define EFFORT_NEW   PLAN_EFFORT_BOUND /* for a new day: searched anew, with its bound … */
#define EFFORT_AGAIN 1                 /* … mended at an acknowledgement … */
#define EFFORT_NONE  0                 /* … and left where nothing of it has lost its place */

static void say_mix(const struct bundling *b, struct task *t)
{
    char ec[QUANTITY_TEXT_MAX];

    if (t->n_jobs < 2) {
        (void)snprintf(t->why, sizeof t->why, "%s", t->job[0].why);
        return;
    }
    (void)snprintf(t->why, sizeof t->why, "one mix of %s serves them all; %s: %s",
                   quantity_format(ec, QUANTITY_EC, t->mix_ec_ms_cm, &b->room->units),
                   room_subject_name(b->room, t->job[0].subject), t->job[0].why);
}

/* Is there water enough for a day's mixes, and for the floats after them? */
static bool leaves_enough(const struct change_plan *p, int32_t day)
{
    double taken_l = 0;

    for (size_t i = 0; i < p->n; i++) {
        taken_l += p->slot[i].day == day && !p->slot[i].by_hand ? p->job[i].volume_l : 0;
    }
    return day < CHANGE_PLAN_DAYS && taken_l <= p->spare_l[day];
}

/* The task of a mix, still without its jobs. The reservoir is made ready for mixes, and for water
 * again, once a day, however many mixes it holds in turn: the first of the day bears that. */
static struct task *open_mix(const struct bundling *b, const struct job *first,
                             const struct change_plan *p, const struct plan_slot *slot,
                             bool *opened)
{
    const struct labour *l = &b->room->labour;
    struct task *t = bundling_open(b, first, b->today + slot->day);

    t->mix_ec_ms_cm = slot->ec_ms_cm;
    t->by_hand = slot->by_hand;
    t->fills = !t->by_hand && leaves_enough(p, slot->day);
    t->minutes = t->by_hand ? l->pour_min : l->load_min;
    if (!t->by_hand && !opened[slot->day]) {
        t->minutes += l->changeover_min;
        opened[slot->day] = true;
    }
    return t;
}

/* Lines and reservoir keep some of a mix for themselves; a jug keeps none. */
static double mix_litres(const struct reservoir *v, const struct task *t)
{
    double jobs_l = task_jobs_l(t);

    return t->by_hand ? jobs_l : fmin(jobs_l + v->line_loss_l + v->remainder_l, v->capacity_l);
}

/* The task of one filling of the plan, with the changes that it serves. */
static void task_of_load(const struct bundling *b, const struct job **job,
                         const struct change_plan *p, uint32_t load, bool *opened)
{
    struct task *t = NULL;

    for (size_t i = 0; i < p->n; i++) {
        if (p->slot[i].day == PLAN_UNPLANNED || p->slot[i].load != load) {
            continue;
        }
        if (!t) {
            t = open_mix(b, job[i], p, &p->slot[i], opened);
        }
        bundling_put(t, job[i]);
    }
    if (t) {
        t->mix_l = mix_litres(&b->room->reservoir, t);
        bundling_mend_window(t);
        say_mix(b, t);
    }
}

/* Where the plan before had them; and while today's list stands, what is on it stays there, and
 * what is not comes later if it may. */
static void keep_days(const struct bundling *b, const struct job **job, struct change_plan *p)
{
    for (size_t i = 0; i < p->n; i++) {
        struct plan_job *wish = &p->job[i];
        int32_t on = bundling_kept_day(b, job[i]);
        bool listed = on != DAY_NONE && on <= b->today;

        if (on != DAY_NONE) {
            wish->kept = order_max(on - b->today, 0);
        }
        if (!b->today_stands || p->off[0] || wish->earliest > 0 || wish->latest <= 0) {
            continue;
        }
        wish->earliest = listed ? 0 : 1;
        wish->latest = listed ? 0 : wish->latest;
    }
}

/* Is every job still where the plan before had it? What a jug is for is looked at anew. */
static bool all_in_place(const struct change_plan *p)
{
    bool in_place = !(p->room.hand_l > 0);

    for (size_t i = 0; i < p->n && in_place; i++) {
        in_place = plan_may_stay(&p->room, &p->job[i]);
    }
    return in_place;
}

static unsigned effort_of(const struct bundling *b, const struct change_plan *p)
{
    if (!b->today_stands) {
        return EFFORT_NEW;
    }
    return all_in_place(p) ? EFFORT_NONE : EFFORT_AGAIN;
}

void bundle_changes(const struct bundling *b, const struct job **job, size_t n)
{
    bool opened[PLAN_DAYS_MAX] = {false};
    struct change_plan p;
    uint32_t n_loads = 0;

    change_plan_init(b->room, b->s, b->now_s, job, n, &p);
    change_plan_visits(&p, b->room, b->there);
    keep_days(b, job, &p);
    (void)plan_mixes(&p.room, p.job, n, effort_of(b, &p), p.slot);
    plan_split_fillings(&p.room, p.job, n, p.slot);
    for (size_t i = 0; i < n; i++) {
        if (p.slot[i].day == PLAN_UNPLANNED) { /* no reservoir holds it */
            bundle_singly(b, &job[i], 1);
        } else if (p.slot[i].load >= n_loads) {
            n_loads = p.slot[i].load + 1;
        }
    }
    for (uint32_t load = 0; load < n_loads; load++) {
        task_of_load(b, job, &p, load, opened);
    }
    change_plan_deinit(&p);
}
