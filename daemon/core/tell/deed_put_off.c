/* A task that is not done: put off to a day, or dropped this time. */
#include "daemon/core/tell/deed.h"
#include "daemon/core/tell/deed_draft.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/core/units/day.h"

#include <stdio.h>
#include <stdlib.h>

/* One entry of a kind (deferred, dropped) for each job that the deed is about. */
static int tell_each(struct deed_draft *m, enum entry_kind kind,
                     int32_t (*until)(const struct deed_draft *m, const struct job *j, int32_t day),
                     int32_t day)
{
    bool *chosen;
    int rc = deed_check_names(m);

    if (rc < 0) {
        return rc;
    }
    chosen = mem_array(m->task->n_jobs, sizeof *chosen);
    if (deed_choose(m, chosen) == 0) {
        rc = err_field(m->err, ERR_MISSING, "only", "task %lld: name at least one of its things",
                       (long long)m->task->id);
    }
    for (size_t i = 0; i < m->task->n_jobs && rc == 0; i++) {
        const struct job *j = &m->task->job[i];
        struct entry e = deed_draft_entry(m, kind, deed_job_subject(m, j));

        if (chosen[i]) {
            (void)job_word(e.what, j);
            e.cycle = j->cycle;
            e.until_day = until(m, j, day);
            (void)snprintf(e.note, sizeof e.note, "%s", m->d->note);
            rc = deed_draft_take(m, &e);
        }
    }
    free(chosen);
    return rc;
}

static int32_t until_deferred(const struct deed_draft *m, const struct job *j, int32_t to)
{
    (void)m;
    (void)j;
    return to;
}

int deed_defer(const struct room *room, const struct state *s, const struct task *t, int32_t to_day,
               const struct deed *d, struct entries *out, struct err *err)
{
    struct deed_draft m = {.room = room, .s = s, .task = t, .d = d, .err = err};
    int32_t today = zone_day(&room->zone, d->now_s);
    char to[DAY_WORDS_MAX];
    char latest[DAY_WORDS_MAX];

    if (to_day < today) {
        return err_field(err, ERR_RANGE, "to", "%s lies in the past", day_words(to, to_day, today));
    }
    if (to_day > t->latest && *d->note == '\0') {
        return err_field(
            err, ERR_MISSING, "why",
            "%s is later than task %lld bears (%s); say why to put it off all the same",
            day_words(to, to_day, today), (long long)t->id, day_words(latest, t->latest, today));
    }
    return deed_draft_end(&m, tell_each(&m, ENTRY_DEFERRED, until_deferred, to_day), out);
}

static int32_t until_dropped(const struct deed_draft *m, const struct job *j, int32_t today)
{
    return job_rests_until(m->room, m->s, j, today);
}

int deed_drop(const struct room *room, const struct state *s, const struct task *t,
              const struct deed *d, struct entries *out, struct err *err)
{
    struct deed_draft m = {.room = room, .s = s, .task = t, .d = d, .err = err};

    if (*d->note == '\0') {
        return err_field(err, ERR_MISSING, "why", "say why task %lld is dropped", (long long)t->id);
    }
    return deed_draft_end(
        &m, tell_each(&m, ENTRY_DROPPED, until_dropped, zone_day(&room->zone, d->now_s)), out);
}
