#include "daemon/core/tasks/bundling.h"

#include "daemon/base/mem.h"
#include "daemon/base/order.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Vessels that differ by less are filled by the same ruler. Common practice, no source. */
#define SAME_VESSEL_FRAC 0.02

/* By the job's key and not by the task: tasks are put together anew, jobs go on. */
int32_t bundling_kept_day(const struct bundling *b, const struct job *j)
{
    const struct keyed *found = agenda_find_key(b->kept, b->n_kept, j);

    return found ? b->before->task[found->task].on : DAY_NONE;
}

/* The window begins as the first job's and narrows as others are put in (bundling_put). A day
 * that is past becomes today: what is late is done now. */
struct task *bundling_open(const struct bundling *b, const struct job *first, int32_t on)
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
        .on = order_max(on, b->today),
        .recipe = first->recipe,
        .mix_ec_ms_cm = first->ec_ms_cm,
    };
    (void)snprintf(t->why, sizeof t->why, "%s", first->why);
    return t;
}

/* A visit has to suit every one of its jobs, so the windows are cut to what they share; it is
 * due when the first of them is. */
void bundling_put(struct task *t, const struct job *j)
{
    task_add_job(t, j);
    t->earliest = order_max(j->earliest, t->earliest);
    t->latest = order_min(j->latest, t->latest);
    t->due = order_min(j->due, t->due);
    t->minutes += j->minutes;
}

/* What is late joins any visit (may_join), and its window lies before that of the others: cut to
 * what they share the two ends change places. */
void bundling_mend_window(struct task *t)
{
    t->earliest = order_min(t->earliest, t->on);
    t->latest = order_max(t->latest, t->earliest);
    t->due = order_min(order_max(t->due, t->earliest), t->latest);
}

/* The reason of the job that set the day, and whose it is where others have reasons of their own:
 * a list of all would fit no line of a screen. */
static void say_whose(const struct bundling *b, struct task *t)
{
    bool one_for_all = true;

    for (size_t i = 1; i < t->n_jobs; i++) {
        one_for_all = one_for_all && strcmp(t->job[i].why, t->job[0].why) == 0;
    }
    if (!one_for_all) {
        (void)snprintf(t->why, sizeof t->why, "%s is the first due of these %zu: %s",
                       room_subject_name(b->room, t->job[0].subject), t->n_jobs, t->job[0].why);
    }
}

/* The day that the plan of the visits gave it, or its due one where there is no such plan. */
static int32_t bundle_day(const struct job *j)
{
    return j->placed ? j->on : j->due;
}

/* By their last days where the due ones are alike: what is on today's list is due today
 * (pin_visits), and a plan that is made anew is to give the list in the same order. Then as they
 * came: the jobs lie in one array, so that their addresses say which came first. */
static int by_due(const void *pa, const void *pb)
{
    const struct job *const *a = pa;
    const struct job *const *b = pb;

    return ORDER(bundle_day(*a), bundle_day(*b))
               ?: ORDER((*a)->due, (*b)->due)
               ?: ORDER((*a)->latest, (*b)->latest)
               ?: ORDER(*a, *b);
}

/* What is late joins any visit. A start or a bump joins only where the same solution
 * serves, as nearly as the room's tolerance says; and a start only vessels that are alike, for its
 * sheet says the litres and the dose of one of them. */
static bool may_join(const struct bundling *b, const struct task *t, const struct job *j)
{
    /* Late is past its latest day: every day is as good for that, the sooner the better. */
    bool in_time = j->placed ? order_max(j->on, b->today) == t->on
                             : j->earliest <= t->on && (j->latest >= t->on || j->latest < b->today);
    double slack = t->mix_ec_ms_cm * b->room->tolerance_pct / 100;

    if (j->kind != t->kind || j->care != t->care || !in_time) {
        return false;
    }
    if (j->kind == TASK_START &&
        fabs(j->volume_l - t->job[0].volume_l) > SAME_VESSEL_FRAC * j->volume_l) {
        return false;
    }
    if (task_kinds[j->kind].has_recipe) {
        return j->recipe == t->recipe && fabs(j->ec_ms_cm - t->mix_ec_ms_cm) <= slack;
    }
    return true;
}

/* Nobody walks to and fro: what is read together is read in the order of the room. */
static int in_room_order(const void *pa, const void *pb)
{
    const struct job *a = pa;
    const struct job *b = pb;

    return ORDER(a->subject.kind, b->subject.kind) ?: ORDER(a->subject.at, b->subject.at);
}

/* The textbook stabs intervals at their last day, which makes the fewest visits. Here it is the
 * due day of the job that is due first: work on the last moment leaves no day for a visit that
 * is forgotten, and what is due later still joins if its window is open. */
void bundle_visits(const struct bundling *b, const struct job **job, size_t n)
{
    bool *taken = mem_array(n, sizeof *taken);

    qsort(job, n, sizeof *job, by_due);
    for (size_t i = 0; i < n; i++) {
        struct task *t;

        if (taken[i]) {
            continue;
        }
        t = bundling_open(b, job[i], bundle_day(job[i]));
        for (size_t k = i; k < n; k++) {
            if (!taken[k] && (k == i || may_join(b, t, job[k]))) {
                taken[k] = true;
                bundling_put(t, job[k]);
            }
        }
        bundling_mend_window(t);
        say_whose(b, t);
        qsort(t->job, t->n_jobs, sizeof *t->job, in_room_order);
    }
    free(taken);
}

void bundle_singly(const struct bundling *b, const struct job **job, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        struct task *t = bundling_open(b, job[i], bundle_day(job[i]));

        bundling_put(t, job[i]);
        bundling_mend_window(t);
    }
}
