/* agenda_derive.c - the tasks of the coming days: jobs bundled kind by kind, without
 * those that other work serves as well. */
#include "daemon/base/mem.h"
#include "daemon/base/order.h"
#include "daemon/core/tasks/bundling.h"
#include "daemon/core/tasks/jobs.h"
#include "daemon/core/units/day.h"

#include <stdlib.h>

/* Is there work on a container by the end of a job's window that does for it as well? `kinds` are
 * bits 1 << enum task_kind. */
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

/* Before the rest is bundled, so that a visit is not set on a day by a job that falls away. */
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

/* After a change the reservoir is full of plain water, if the source has enough: a
 * fill that can wait for one, and a day more if that is forgotten, is not needed. */
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

static void bundle_fills(const struct bundling *b, const struct job **job, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (!change_fills(b, job[i])) {
            bundle_singly(b, &job[i], 1);
        }
    }
}

/* In the order of the enum: what changes and bumps make needless comes after them. */
static void bundle_kind(const struct bundling *b, enum task_kind kind, const struct job **job,
                        size_t n)
{
    switch (kind) {
    case TASK_START:
    case TASK_CHECK:
    case TASK_CARE:
    case TASK_HARVEST:
        bundle_visits(b, job, n);
        break;
    case TASK_CHANGE:
        bundle_changes(b, job, n);
        break;
    case TASK_BUMP:
        bundle_bumps(b, job, n);
        break;
    case TASK_READ:
        bundle_readings(b, job, n);
        break;
    case TASK_FILL:
        bundle_fills(b, job, n);
        break;
    case TASK_PH:        /* each its own acid … */
    case TASK_CALIBRATE: /* … its own buffers … */
    case TASK_REORDER:   /* … its own order … */
    case TASK_OVERNIGHT: /* … its own night … */
    case TASK_LOOK:      /* … and its own trouble */
        bundle_singly(b, job, n);
        break;
    case TASK_KIND_N:
        break;
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

            if (k != i && on >= fill->earliest && on <= fill->on) {
                best = order_max(best, on); /* DAY_NONE is before all days */
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
        int32_t on = bundling_kept_day(b, j);

        if (j->kind != TASK_CHANGE && on != DAY_NONE && on <= b->today && j->earliest <= b->today &&
            j->due > b->today) {
            j->due = b->today;
        }
    }
}

/* By day, then as a morning is worked; weak mixes before strong ones of a recipe, so
 * that none has to be rinsed out in between; then as the room file has them. */
static int in_working_order(const void *pa, const void *pb)
{
    const struct task *a = pa;
    const struct task *b = pb;
    const struct subject *first_a = &a->job[0].subject;
    const struct subject *first_b = &b->job[0].subject;

    return ORDER(a->on, b->on)
               ?: ORDER(task_kinds[a->kind].morning_rank, task_kinds[b->kind].morning_rank)
               ?: ORDER(a->care, b->care)
               ?: ORDER(a->recipe, b->recipe)
               ?: ORDER(a->mix_ec_ms_cm, b->mix_ec_ms_cm)
               ?: ORDER(first_a->kind, first_b->kind)
               ?: ORDER(first_a->at, first_b->at);
}

static void bundle_all(const struct bundling *b, const struct jobs *jobs)
{
    const struct job **of_kind = mem_array(jobs->n, sizeof *of_kind);

    for (int kind = 0; kind < TASK_KIND_N; kind++) {
        size_t n = 0;

        for (size_t i = 0; i < jobs->n; i++) {
            if ((int)jobs->job[i].kind == kind) {
                of_kind[n++] = &jobs->job[i];
            }
        }
        bundle_kind(b, (enum task_kind)kind, of_kind, n);
    }
    free(of_kind);
}

void agenda_derive(const struct room *room, const struct state *s, int64_t now_s, int horizon_days,
                   const struct agenda *before, bool today_stands, struct agenda *out)
{
    struct bundling b = {.room = room,
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
    jobs_derive(room, s, now_s, horizon_days, &jobs);
    pin_visits(&b, &jobs);
    bundle_all(&b, &jobs);
    join_fills(&b);
    free(b.kept);
    jobs_deinit(&jobs);
    if (out->n) {
        qsort(out->task, out->n, sizeof *out->task, in_working_order);
    }
}
