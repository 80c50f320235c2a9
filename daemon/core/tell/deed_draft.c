#include "daemon/core/tell/deed_draft.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/fold.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/tell/rules.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void deed_draft_in_turn(struct deed_draft *m)
{
    state_copy(&m->scratch, m->s);
    m->s = &m->scratch;
    m->copied = true;
}

int deed_draft_end(struct deed_draft *m, int rc, struct entries *out)
{
    if (m->copied) {
        state_deinit(&m->scratch);
    }
    if (rc < 0) {
        entries_deinit(&m->es);
        return rc;
    }
    *out = m->es;
    return 0;
}

struct entry deed_draft_entry(const struct deed_draft *m, enum entry_kind kind, const char *subject)
{
    struct entry e = entry_of(kind, subject, m->d->happened_s, m->d->now_s);

    e.task = m->task ? m->task->id : 0;
    e.sensor = m->d->sensor;
    e.uid = m->d->uid;
    (void)snprintf(e.who, sizeof e.who, "%s", m->d->who);
    (void)snprintf(e.key, sizeof e.key, "%s", m->d->key);
    return e;
}

void deed_set_what(struct entry *e, const char *what)
{
    (void)snprintf(e->what, sizeof e->what, "%s", what);
}

int deed_draft_take(struct deed_draft *m, const struct entry *e)
{
    int rc = entry_check_form(m->room, e, m->d->sure, m->err);

    if (rc == 0) {
        rc = rules_check(m->s, m->room, e, m->d->sure, m->err);
    }
    if (rc < 0) {
        return rc;
    }
    m->es.entry = mem_grow(m->es.entry, &m->es.cap, m->es.n + 1, sizeof *m->es.entry);
    m->es.entry[m->es.n++] = *e;
    if (m->copied) {
        fold_entry(&m->scratch, m->room, e);
    }
    return 0;
}

void deed_put_figures(struct entry *e, const struct told *t)
{
    for (unsigned f = 0; f < FIGURE_N; f++) {
        if (t->has & FIGURE_BIT(f)) {
            entry_set(e, (enum figure)f, t->figure[f]);
        }
    }
}

void deed_put_amounts(struct entry *e, const struct told *t)
{
    memcpy(e->amount, t->amount, sizeof e->amount);
    e->n_amounts = t->n_amounts;
}

void deed_put_planned(const struct deed_draft *m, size_t recipe, const struct dosing_rise *rise,
                      struct entry *e)
{
    struct portion portion[ROOM_DOSES_MAX];
    struct amount planned[ROOM_DOSES_MAX];
    size_t n = dosing_portions(m->room, m->s, recipe, rise, portion);

    n = dosing_as_amounts(m->room, recipe, portion, n, planned);
    for (size_t i = 0; i < n && e->n_amounts < ROOM_DOSES_MAX; i++) {
        bool told = false;

        for (size_t k = 0; k < e->n_amounts; k++) {
            told = told || strcmp(e->amount[k].product, planned[i].product) == 0;
        }
        if (!told) {
            e->amount[e->n_amounts++] = planned[i];
        }
    }
}

void deed_put_feed(const struct deed_draft *m, struct entry *filled)
{
    const struct reservoir_state *r = &m->s->reservoir;
    struct liquid held =
        r->holds_mix ? (struct liquid){0} : forecast_reservoir(m->room, m->s, m->d->happened_s);
    double total_l = entry_figure_or(filled, FIGURE_VOLUME_L, held.volume_l);
    double added_l = entry_figure_or(filled, FIGURE_ADDED_L, fmax(0, total_l - held.volume_l));
    struct dosing_rise rise;

    if (entry_has(filled, FIGURE_VOLUME_L)) {
        held.volume_l = fmax(0, total_l - added_l);
    }
    rise = dosing_fill_rise(m->room, held, added_l);
    if (room_feeds(m->room)) {
        deed_put_planned(m, m->room->reservoir.feed_at, &rise, filled);
    }
}

int deed_check_needs(const struct deed_draft *m, const struct told *t)
{
    for (size_t i = 0; i < task_figures_n(m->figures); i++) {
        enum figure f = m->figures->figure[i].figure;

        if (m->figures->figure[i].need == FIGURE_NEEDED && !(t->has & FIGURE_BIT(f))) {
            return err_field(m->err, ERR_MISSING, figure_defs[f].word,
                             "task %lld (%s) needs %s=… for %s", (long long)m->task->id,
                             task_words[m->task->kind], figure_defs[f].word,
                             *t->subject ? t->subject : "the mix");
        }
    }
    return 0;
}

const char *deed_job_subject(const struct deed_draft *m, const struct job *j)
{
    return room_subject_name(m->room, j->subject);
}

static bool task_has(const struct deed_draft *m, const char *name)
{
    for (size_t i = 0; i < m->task->n_jobs; i++) {
        if (strcmp(deed_job_subject(m, &m->task->job[i]), name) == 0) {
            return true;
        }
    }
    return false;
}

static bool is_named(const struct deed *d, const char *name)
{
    for (size_t i = 0; i < d->n_only; i++) {
        if (strcmp(d->only[i], name) == 0) {
            return true;
        }
    }
    return false;
}

static int not_about(const struct deed_draft *m, const char *field, const char *name)
{
    bool read = m->task->kind == TASK_READ && room_find(m->room, name).kind == SUBJECT_CONTAINER;

    return err_field(m->err, ERR_UNKNOWN, field, "task %lld (%s) is not about '%s'%s%s",
                     (long long)m->task->id, task_words[m->task->kind], name,
                     read ? ", or not any more; tell it by itself: tarn record reading " : "",
                     read ? name : "");
}

const struct told *deed_glance(const struct deed_draft *m)
{
    const struct told *t = NULL;

    for (size_t i = 0; i < m->d->n_told && !t; i++) {
        t = room_find(m->room, m->d->told[i].subject).kind == SUBJECT_RESERVOIR ? &m->d->told[i]
                                                                                : NULL;
    }
    return t && t->has == FIGURE_BIT(FIGURE_VOLUME_L) && !*t->what && !t->n_amounts &&
                   !task_has(m, t->subject)
               ? t
               : NULL;
}

int deed_check_names(const struct deed_draft *m)
{
    for (size_t i = 0; i < m->d->n_only; i++) {
        if (!task_has(m, m->d->only[i])) {
            return not_about(m, "only", m->d->only[i]);
        }
    }
    for (size_t i = 0; i < m->d->n_told; i++) {
        if (*m->d->told[i].subject && &m->d->told[i] != deed_glance(m) &&
            !task_has(m, m->d->told[i].subject)) {
            return not_about(m, "subjects", m->d->told[i].subject);
        }
    }
    return 0;
}

size_t deed_choose(const struct deed_draft *m, bool *chosen)
{
    const struct deed *d = m->d;
    bool told_apart = d->n_told > (deed_glance(m) ? 1U : 0U) && !deed_told_of(d, "");
    size_t n = 0;

    for (size_t i = 0; i < m->task->n_jobs; i++) {
        const char *name = deed_job_subject(m, &m->task->job[i]);

        if (d->only) {
            chosen[i] = is_named(d, name);
        } else {
            chosen[i] = !told_apart || deed_told_of(d, name);
        }
        n += chosen[i];
    }
    return n;
}
