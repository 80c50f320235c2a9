#include "daemon/serve/live/live_room.h"

#include "daemon/base/mem.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/units/day.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void unwritten_init(struct unwritten *b)
{
    *b = (struct unwritten){.day_started = DAY_NONE};
}

void unwritten_deinit(struct unwritten *b)
{
    entries_deinit(&b->entries);
    for (size_t i = 0; i < b->n_tasks; i++) {
        free(b->task[i].job);
    }
    free(b->task);
    task_ends_deinit(&b->ends);
    unwritten_init(b);
}

bool unwritten_is_empty(const struct unwritten *b)
{
    return b->entries.n == 0 && b->n_tasks == 0 && b->ends.n == 0 && b->day_started == DAY_NONE;
}

void live_room_init(struct live_room *live, struct room room, const struct restored *from)
{
    *live = (struct live_room){.room = room,
                               .state = from->state,
                               .agenda = from->agenda,
                               .next_seq = from->last_seq + 1,
                               .day_started = from->day_started,
                               .day_written = from->day_started,
                               .n_changes = 1};
}

void live_room_deinit(struct live_room *live)
{
    free(live->reopened);
    agenda_deinit(&live->agenda);
    state_deinit(&live->state);
    room_deinit(&live->room);
}

/* What was taken back and is told again is not to be opened by the next plan: that would give its
 * number to what comes after it. */
static void forget_reopened(struct live_room *live, const struct entry *e)
{
    for (size_t i = 0; i < live->n_reopened; i++) {
        struct reopened *r = &live->reopened[i];

        if (e->task && r->id == e->task && strcmp(r->subject, e->subject) == 0) {
            r->id = 0; /* it keeps its place: a plan under way counts those that it knew of */
        }
    }
}

void live_room_tell(struct live_room *live, struct entries *es, struct unwritten *b,
                    int64_t *out_first)
{
    *out_first = live->next_seq;
    for (size_t i = 0; i < es->n; i++) {
        struct entry *e = &es->entry[i];

        e->seq = live->next_seq++;
        if (e->kind == ENTRY_VOIDED || e->happened_s < live->state.latest_s) {
            live->stale = true;
        }
        if (!live->stale) {
            fold_entry(&live->state, &live->room, e);
        }
        forget_reopened(live, e);
    }
    entries_deinit(&b->entries);
    b->entries = *es;
    *es = (struct entries){0};
    live->n_changes++;
}

static int by_id(const void *pa, const void *pb)
{
    const struct task *const *a = pa;
    const struct task *const *b = pb;

    return (*a)->id < (*b)->id ? -1 : (*a)->id > (*b)->id;
}

static const struct task **sorted_tasks(const struct agenda *a)
{
    const struct task **t = mem_array(a->n, sizeof *t);

    for (size_t i = 0; i < a->n; i++) {
        t[i] = &a->task[i];
    }
    if (a->n) {
        qsort(t, a->n, sizeof(*t), by_id);
    }
    return t;
}

/* The same to the journal: window, day and the keys of the jobs. */
static bool is_as_written(const struct task *a, const struct task *b)
{
    bool same = a->earliest == b->earliest && a->due == b->due && a->latest == b->latest &&
                a->on == b->on && a->n_jobs == b->n_jobs;

    for (size_t i = 0; same && i < a->n_jobs; i++) {
        same = job_compare_keys(&a->job[i], &b->job[i]) == 0;
    }
    return same;
}

static void put_task(struct unwritten *b, const struct task *t)
{
    b->task = mem_grow(b->task, &b->cap_tasks, b->n_tasks + 1, sizeof *b->task);
    b->task[b->n_tasks] = *t;
    b->task[b->n_tasks].jobs_cap = t->n_jobs;
    b->task[b->n_tasks++].job = mem_copy(t->job, t->n_jobs, sizeof *t->job);
}

static void collect_changes(const struct agenda *before, const struct agenda *fresh,
                            struct unwritten *b)
{
    const struct task **old = sorted_tasks(before);

    for (size_t i = 0; i < fresh->n; i++) {
        const struct task *t = &fresh->task[i];
        const struct task *const *found =
            before->n ? bsearch(&t, old, before->n, sizeof *old, by_id) : NULL;

        if (!found || !is_as_written(*found, t)) {
            put_task(b, t);
        }
    }
    free(old);
}

void live_room_reopen(struct live_room *live, int64_t id, const char *what, const char *subject)
{
    struct reopened *r;

    live->reopened =
        mem_grow(live->reopened, &live->cap_reopened, live->n_reopened + 1, sizeof *live->reopened);
    r = &live->reopened[live->n_reopened++];
    *r = (struct reopened){.id = id};
    (void)snprintf(r->what, sizeof r->what, "%s", what);
    (void)snprintf(r->subject, sizeof r->subject, "%s", subject);
}

static struct task *task_to_reopen(struct agenda *a, int64_t id, const struct task *like)
{
    for (size_t i = 0; i < a->n; i++) {
        if (a->task[i].id == id) {
            return &a->task[i];
        }
    }
    a->task = mem_grow(a->task, &a->cap, a->n + 1, sizeof *a->task);
    a->task[a->n] = (struct task){.id = id, .kind = like->kind, .care = like->care};
    return &a->task[a->n++];
}

/* As if the task had been there in the plan before, with the jobs that are wanted again. */
static void reopen_tasks(struct live_room *live, const struct agenda *fresh)
{
    char word[ENTRY_WORD_MAX + 1];

    for (size_t r = 0; r < live->n_reopened; r++) {
        const struct reopened *again = &live->reopened[r];
        struct subject s = room_find(&live->room, again->subject);

        for (size_t i = 0; i < fresh->n && again->id; i++) {
            const struct task *t = &fresh->task[i];

            for (size_t k = 0; k < t->n_jobs; k++) {
                const struct job *j = &t->job[k];

                if (j->subject.kind == s.kind && j->subject.at == s.at &&
                    strcmp(job_word(word, j), again->what) == 0) {
                    task_add_job(task_to_reopen(&live->agenda, again->id, t), j);
                }
            }
        }
    }
    live->n_reopened = 0;
}

bool live_room_is_planned(const struct live_room *live, int64_t now_s)
{
    return live->n_planned == live->n_changes && live->planned_s &&
           zone_day(&live->room.zone, live->planned_s) == zone_day(&live->room.zone, now_s);
}

void live_room_plan(struct live_room *live, int64_t now_s, struct unwritten *b)
{
    int32_t today = zone_day(&live->room.zone, now_s);
    struct agenda fresh;

    if (live_room_is_planned(live, now_s)) {
        return;
    }
    agenda_derive(&live->room, &live->state, now_s, LIVE_ROOM_PLAN_DAYS, &live->agenda,
                  live->day_started == today, &fresh);
    reopen_tasks(live, &fresh);
    task_numbers_carry_over(&live->room, &live->state, now_s, &live->agenda, &fresh, &b->ends);
    collect_changes(&live->agenda, &fresh, b);
    agenda_deinit(&live->agenda);
    live->agenda = fresh;
    live->planned_s = now_s;
    live->n_planned = live->n_changes;
    live->n_agendas++;
    if (live->day_written != live->day_started) {
        live->day_written = live->day_started;
        b->day_started = live->day_started;
    }
}

void live_room_copy(struct live_room *to, const struct live_room *from)
{
    *to = *from;
    state_copy(&to->state, &from->state);
    agenda_copy(&to->agenda, &from->agenda);
    to->reopened = mem_copy(from->reopened, from->n_reopened, sizeof *from->reopened);
    to->cap_reopened = from->n_reopened;
}

void live_room_drop_copy(struct live_room *copy)
{
    state_deinit(&copy->state);
    agenda_deinit(&copy->agenda);
    free(copy->reopened);
    *copy = (struct live_room){0};
}

bool live_room_take_plan(struct live_room *live, struct live_room *copy)
{
    if (live->n_agendas + 1 != copy->n_agendas || live->day_started != copy->day_started) {
        return false;
    }
    agenda_deinit(&live->agenda);
    live->agenda = copy->agenda;
    copy->agenda = (struct agenda){0};
    live->planned_s = copy->planned_s;
    live->n_planned = copy->n_planned;
    live->n_agendas = copy->n_agendas;
    live->day_written = copy->day_written;
    live->n_reopened -= copy->cap_reopened; /* those that it knew of come first */
    for (size_t i = 0; i < live->n_reopened; i++) {
        live->reopened[i] = live->reopened[copy->cap_reopened + i];
    }
    return true;
}

bool live_room_open_task(const struct live_room *live, int64_t id, int64_t now_s, struct task *out)
{
    const struct task *t = agenda_find(&live->agenda, id);
    int32_t today = zone_day(&live->room.zone, now_s);

    *out = t ? *t : (struct task){0};
    out->job = NULL;
    out->n_jobs = 0;
    for (size_t i = 0; t && i < t->n_jobs; i++) {
        if (!job_is_done(&live->state, &t->job[i]) &&
            !job_is_dropped(&live->state, &t->job[i], today)) {
            task_add_job(out, &t->job[i]);
        }
    }
    return out->n_jobs > 0;
}

void live_room_drop_task(struct task *t)
{
    free(t->job);
    *t = (struct task){0};
}

void live_room_start_day(struct live_room *live, int32_t day, struct unwritten *b)
{
    live->day_started = day;
    live->day_written = day;
    b->day_started = day;
}

/* Jobs of the open tasks point at things by index: a new room may have them elsewhere, or not at
 * all. */
static void rename_jobs(struct agenda *a, const struct room *from, const struct room *to)
{
    for (size_t i = 0; i < a->n; i++) {
        struct task *t = &a->task[i];
        size_t kept = 0;

        for (size_t j = 0; j < t->n_jobs; j++) {
            struct subject s = room_find(to, room_subject_name(from, t->job[j].subject));

            if (s.kind == t->job[j].subject.kind) {
                t->job[kept] = t->job[j];
                t->job[kept++].subject = s;
            }
        }
        t->n_jobs = kept;
    }
}

void live_room_restored(struct live_room *live, const struct restored *from)
{
    state_deinit(&live->state);
    agenda_deinit(&live->agenda);
    live->state = from->state;
    live->agenda = from->agenda;
    live->next_seq = from->last_seq + 1;
    live->day_written = from->day_started;
    live->n_reopened = 0;
    live->stale = false;
    live->n_changes++;
    live->n_agendas++;
}

void live_room_refolded(struct live_room *live, struct state fresh, struct room *new_room)
{
    state_deinit(&live->state);
    live->state = fresh;
    if (new_room) {
        rename_jobs(&live->agenda, &live->room, new_room);
        room_deinit(&live->room);
        live->room = *new_room;
        *new_room = (struct room){0};
    }
    live->stale = false;
    live->n_changes++;
    live->n_agendas++;
}
