#include "daemon/core/tasks/agenda.h"

#include "daemon/base/mem.h"

#include <math.h>
#include <stdlib.h>

/* Common practice, no source. */
#define NEAR_FRAC   0.25 /* so far from what is wanted a mix that was made for no task may be */
#define SCARCE_FRAC 0.25 /* of what is wanted may be lacking of a mix: floats take what is left */

void agenda_copy(struct agenda *to, const struct agenda *from)
{
    *to = *from;
    to->task = mem_copy(from->task, from->n, sizeof *from->task);
    to->cap = from->n;
    for (size_t i = 0; i < to->n; i++) {
        struct task *t = &to->task[i];

        t->job = mem_copy(t->job, t->n_jobs, sizeof *t->job);
        t->jobs_cap = t->n_jobs;
    }
}

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

/* Sorted once and searched by halves: each plan asks of each of its jobs where the plan before
 * had it, and walking all pairs would grow with the square of the room. */
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

const struct keyed *agenda_find_key(const struct keyed *keys, size_t n, const struct job *j)
{
    struct keyed key = {.job = j};

    return n ? bsearch(&key, keys, n, sizeof *keys, by_key) : NULL;
}

void task_add_job(struct task *t, const struct job *j)
{
    if (!t->job) { /* most have one */
        t->jobs_cap = 1;
        t->job = mem_array(1, sizeof *t->job);
    }
    t->job = mem_grow(t->job, &t->jobs_cap, t->n_jobs + 1, sizeof *t->job);
    t->job[t->n_jobs++] = *j;
}

double task_jobs_l(const struct task *t)
{
    double sum = 0;

    for (size_t i = 0; i < t->n_jobs; i++) {
        sum += t->job[i].volume_l;
    }
    return sum;
}

/* A mix that was made for another task is left to that, however near it is: its changes still
 * want it. One that was made for this task serves whatever its strength came out at: it was made
 * to be used. One that was told without a task has to be near. */
bool task_mix_is_there(const struct state *s, const struct task *t, double wanted_l)
{
    const struct reservoir_state *r = &s->reservoir;
    bool near = fabs(r->body.ec_ms_cm - t->mix_ec_ms_cm) <= NEAR_FRAC * t->mix_ec_ms_cm;

    return r->holds_mix && r->recipe == (int)t->recipe &&
           (r->mix_task == t->id || (r->mix_task == 0 && near)) &&
           r->body.volume_l >= wanted_l * (1 - SCARCE_FRAC);
}

/* Nobody goes back to a day that is past: what was left then is work of today. */
bool task_is_on(const struct task *t, int32_t day, int32_t today)
{
    return t->on == day || (day == today && t->on < today);
}

/* By the end of the window and not by the due day, which is when work is done best: a window is
 * there to be used. */
bool task_is_overdue(const struct task *t, int32_t today)
{
    return today > t->latest;
}
