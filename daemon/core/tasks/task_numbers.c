#include "daemon/core/tasks/task_numbers.h"

#include "daemon/base/mem.h"
#include "daemon/base/order.h"

#include <stdio.h>
#include <stdlib.h>

const char *const outcome_words[] = {
    [OUTCOME_DONE] = "done",
    [OUTCOME_DROPPED] = "dropped",
    [OUTCOME_WITHDRAWN] = "withdrawn",
    [OUTCOME_N] = NULL,
};

void task_ends_deinit(struct task_ends *t)
{
    free(t->end);
    *t = (struct task_ends){0};
}

/* Two tasks, one of the plan before and one of the fresh, that have jobs in common. */
struct overlap {
    size_t fresh, before; /* their places in the two agendas */
    size_t shared;        /* how many jobs */
    int64_t id;           /* of the one before */
};

static int by_tasks(const void *pa, const void *pb)
{
    const struct overlap *a = pa;
    const struct overlap *b = pb;

    return ORDER(a->fresh, b->fresh) ?: ORDER(a->before, b->before);
}

/* The task with which most jobs are shared goes on under the number. Ties go to the older
 * number, which more people have heard, and then to the order of the list, so that the same
 * plans always give the same numbers. */
static int by_most_shared(const void *pa, const void *pb)
{
    const struct overlap *a = pa;
    const struct overlap *b = pb;

    return ORDER(b->shared, a->shared) ?: ORDER(a->id, b->id) ?: ORDER(a->fresh, b->fresh);
}

/* The pairs of tasks that share jobs, each once, with how many. */
static struct overlap *find_overlaps(const struct agenda *before, const struct agenda *fresh,
                                     size_t *out_n)
{
    size_t n_old;
    size_t n_new;
    struct keyed *old = agenda_keys(before, &n_old);
    struct keyed *new = agenda_keys(fresh, &n_new);
    struct overlap *overlap = mem_array(n_new, sizeof *overlap);
    size_t n = 0;
    size_t merged = 0;

    /* Both are sorted by key: one walk along the two meets every job that they share. */
    for (size_t i = 0, k = 0; i < n_new && k < n_old;) {
        int order = job_compare_keys(new[i].job, old[k].job);

        if (order == 0) {
            overlap[n++] =
                (struct overlap){new[i].task, old[k].task, 1, before->task[old[k].task].id};
        }
        i += order <= 0;
        k += order >= 0;
    }
    if (n) {
        qsort(overlap, n, sizeof *overlap, by_tasks);
    }
    for (size_t i = 0; i < n; i++) {
        if (merged && by_tasks(&overlap[merged - 1], &overlap[i]) == 0) {
            overlap[merged - 1].shared++;
        } else {
            overlap[merged++] = overlap[i];
        }
    }
    if (merged) {
        qsort(overlap, merged, sizeof *overlap, by_most_shared);
    }
    free(old);
    free(new);
    *out_n = merged;
    return overlap;
}

static void add_end(struct task_ends *ends, int64_t id, enum outcome outcome, const char *reason)
{
    struct task_end *end;

    ends->end = mem_grow(ends->end, &ends->cap, ends->n + 1, sizeof *ends->end);
    end = &ends->end[ends->n++];
    *end = (struct task_end){.id = id, .outcome = outcome};
    (void)snprintf(end->reason, sizeof end->reason, "%s", reason);
}

/* How a task that no longer stands ended: done if any of its jobs was, else dropped, else
 * withdrawn. */
static void end_task(const struct room *room, const struct state *s, int64_t now_s,
                     const struct task *t, int64_t moved_to, struct task_ends *ends)
{
    int32_t today = zone_day(&room->zone, now_s);
    bool dropped = t->n_jobs > 0;
    char reason[240];

    for (size_t i = 0; i < t->n_jobs; i++) {
        if (job_is_done(s, &t->job[i])) {
            add_end(ends, t->id, OUTCOME_DONE, "");
            return;
        }
        dropped = dropped && job_is_dropped(s, &t->job[i], today);
    }
    if (dropped) {
        add_end(ends, t->id, OUTCOME_DROPPED, "");
    } else if (t->n_jobs == 0) {
        add_end(ends, t->id, OUTCOME_WITHDRAWN, "the room file no longer has what it was about");
    } else if (moved_to) {
        (void)snprintf(reason, sizeof reason, "its work is now in task %lld", (long long)moved_to);
        add_end(ends, t->id, OUTCOME_WITHDRAWN, reason);
    } else {
        job_gone_reason(room, s, &t->job[0], now_s, reason, sizeof reason);
        add_end(ends, t->id, OUTCOME_WITHDRAWN, reason);
    }
}

/* A mix of the same recipe on the same day, stronger than the one before, is made from what is
 * left of that one; what the reservoir holds of an earlier one serves as well. */
static void chain_mixes(const struct room *room, const struct state *s, int32_t today,
                        struct agenda *a)
{
    const struct reservoir_state *r = &s->reservoir;
    struct task *last = NULL;

    for (size_t i = 0; i < a->n; i++) {
        struct task *t = &a->task[i];
        bool at_hand = r->holds_mix && t->on <= today && r->recipe == (int)t->recipe &&
                       r->body.ec_ms_cm <= t->mix_ec_ms_cm && r->body.volume_l < t->mix_l &&
                       !task_mix_is_there(s, t, task_jobs_l(t));

        if (t->kind != TASK_CHANGE || t->by_hand) {
            continue;
        }
        if (last && last->on == t->on && last->recipe == t->recipe) {
            last->leaves_rest = true;
            t->rest = (struct liquid){last->mix_l - task_jobs_l(last), last->mix_ec_ms_cm,
                                      room->source.ec_ms_cm};
        } else if (at_hand) {
            t->rest = r->body;
        }
        last = t;
    }
}

void task_numbers_carry_over(const struct room *room, const struct state *s, int64_t now_s,
                             const struct agenda *before, struct agenda *fresh,
                             struct task_ends *ends)
{
    size_t n_overlaps;
    struct overlap *overlap = find_overlaps(before, fresh, &n_overlaps);
    bool *kept = mem_array(before->n, sizeof *kept);
    int64_t *moved_to = mem_array(before->n, sizeof *moved_to);

    /* A number is never given twice, also when its task is long gone: the journal still names
     * it. */
    fresh->next_id = before->next_id ?: 1;
    for (size_t i = 0; i < n_overlaps; i++) {
        /* One number goes to one task: of a task that fell apart the larger part keeps it. */
        if (!kept[overlap[i].before] && fresh->task[overlap[i].fresh].id == 0) {
            kept[overlap[i].before] = true;
            fresh->task[overlap[i].fresh].id = overlap[i].id;
        }
    }
    for (size_t i = 0; i < fresh->n; i++) {
        if (fresh->task[i].id == 0) {
            fresh->task[i].id = fresh->next_id++;
        }
    }
    for (size_t i = 0; i < n_overlaps; i++) {
        /* Where most of its work went: only when all numbers are given, since it may be a new
         * one. */
        if (!moved_to[overlap[i].before]) {
            moved_to[overlap[i].before] = fresh->task[overlap[i].fresh].id;
        }
    }
    for (size_t i = 0; i < before->n; i++) {
        if (!kept[i]) {
            end_task(room, s, now_s, &before->task[i], moved_to[i], ends);
        }
    }
    /* Last, when the tasks have their numbers: a mix that is there is known by its task's. */
    chain_mixes(room, s, zone_day(&room->zone, now_s), fresh);
    free(overlap);
    free(kept);
    free(moved_to);
}
