/* agenda_derive.c - the tasks of the coming days: jobs that have got their days, bundled kind by
 * kind. */
#include "daemon/base/mem.h"
#include "daemon/base/order.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/pace.h"
#include "daemon/core/tasks/bundling.h"
#include "daemon/core/tasks/jobs.h"
#include "daemon/core/tasks/visiting.h"
#include "daemon/core/units/day.h"

#include <stdlib.h>

/* In the order of the enum: what changes and bumps make needless comes after them. */
static void bundle_kind(const struct bundling *b, enum task_kind kind, const struct job **job,
                        size_t n)
{
    switch (kind) {
    case TASK_START:
    case TASK_CHECK:
    case TASK_BUMP:
    case TASK_READ:
    case TASK_CARE:
    case TASK_HARVEST:
        bundle_visits(b, job, n);
        break;
    case TASK_PH: /* each its own acid … */
    case TASK_FILL:
    case TASK_CALIBRATE: /* … its own buffers … */
    case TASK_REORDER:   /* … its own order … */
    case TASK_OVERNIGHT: /* … its own night … */
    case TASK_LOOK:      /* … and its own trouble */
        bundle_singly(b, job, n);
        break;
    case TASK_CHANGE: /* bundled before (bundle_changes) */
    case TASK_KIND_N:
        break;
    }
}

/* What presses first; then by day, then as a morning is worked; weak mixes before strong ones of a
 * recipe, so that none has to be rinsed out in between; then as the room file has them. */
static int in_working_order(const void *pa, const void *pb)
{
    const struct task *a = pa;
    const struct task *b = pb;
    const struct subject *first_a = &a->job[0].subject;
    const struct subject *first_b = &b->job[0].subject;

    return ORDER(b->pressing, a->pressing)
               ?: ORDER(a->on, b->on)
               ?: ORDER(task_kinds[a->kind].morning_rank, task_kinds[b->kind].morning_rank)
               ?: ORDER(a->care, b->care)
               ?: ORDER(a->recipe, b->recipe)
               ?: ORDER(a->mix_ec_ms_cm, b->mix_ec_ms_cm)
               ?: ORDER(first_a->kind, first_b->kind)
               ?: ORDER(first_a->at, first_b->at);
}

/* Floats that wait for water do not wait for a meter. Where a mix is made in the reservoir that day
 * its water would be drawn off again: the fill comes after that. */
static void note_pressing(const struct room *room, const struct state *s, int64_t now_s,
                          struct agenda *a)
{
    bool dry = !s->reservoir.holds_mix && forecast_is_dry(room, s, now_s);
    int32_t today = zone_day(&room->zone, now_s);

    for (size_t i = 0; i < a->n; i++) {
        const struct task *t = &a->task[i];

        dry = dry && !(t->kind == TASK_CHANGE && !t->by_hand && t->on <= today);
    }
    for (size_t i = 0; i < a->n; i++) {
        a->task[i].pressing = dry && a->task[i].kind == TASK_FILL && a->task[i].on <= today;
    }
}

/* The jobs of a kind, into of_kind[]; gives how many. */
static size_t pick_kind(const struct jobs *jobs, int kind, const struct job **of_kind)
{
    size_t n = 0;

    for (size_t i = 0; i < jobs->n; i++) {
        if ((int)jobs->job[i].kind == kind) {
            of_kind[n++] = &jobs->job[i];
        }
    }
    return n;
}

/* Days first, then tasks. Where the rest is done says on which days a change costs no way of its
 * own; when the changes stand, what they and a harvest make needless goes, and the rest is placed
 * anew on the days on which somebody is there for a mix. */
static void bundle_all(struct bundling *b, struct jobs *jobs)
{
    const struct job **of_kind = mem_array(jobs->n + 1, sizeof *of_kind);

    visiting_place(b, jobs);
    bundle_changes(b, of_kind, pick_kind(jobs, TASK_CHANGE, of_kind));
    visiting_drop_served(b, jobs);
    visiting_place(b, jobs);
    for (int kind = 0; kind < TASK_KIND_N; kind++) {
        bundle_kind(b, (enum task_kind)kind, of_kind, pick_kind(jobs, kind, of_kind));
    }
    free(of_kind);
}

void agenda_derive(const struct room *room, const struct state *s, int64_t now_s, int horizon_days,
                   const struct agenda *before, bool today_stands, struct agenda *out)
{
    struct room worked = pace_room(room, s);
    struct bundling b = {.room = &worked,
                         .s = s,
                         .now_s = now_s,
                         .today = zone_day(&room->zone, now_s),
                         .before = before,
                         .today_stands = before && today_stands,
                         .out = out};
    struct jobs jobs = {0};

    *out = (struct agenda){.next_id = 1};
    if (before) {
        b.kept = agenda_keys(before, &b.n_kept);
    }
    jobs_derive(&worked, s, now_s, horizon_days, &jobs);
    bundle_all(&b, &jobs);
    free(b.kept);
    jobs_deinit(&jobs);
    note_pressing(room, s, now_s, out);
    if (out->n) {
        qsort(out->task, out->n, sizeof *out->task, in_working_order);
    }
}
