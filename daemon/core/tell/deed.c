#include "daemon/core/tell/deed.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"
#include "daemon/core/tell/deed_draft.h"
#include "daemon/core/tell/deed_took.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A figure that no entry of the task would hold is not swallowed: the person believes it was told.
 */
static int check_figures(const struct deed_draft *m)
{
    unsigned takes = task_figures_bits(m->figures);

    for (size_t i = 0; i < m->d->n_told; i++) {
        for (unsigned f = 0; f < FIGURE_N; f++) {
            if (&m->d->told[i] != deed_glance(m) && (m->d->told[i].has & ~takes & FIGURE_BIT(f))) {
                return err_field(m->err, ERR_UNKNOWN, figure_defs[f].word,
                                 "task %lld (%s) takes no %s=…", (long long)m->task->id,
                                 task_words[m->task->kind], figure_defs[f].word);
            }
        }
    }
    return 0;
}

static int tell_acknowledged(struct deed_draft *m, const bool *chosen, size_t n_chosen,
                             double took_min)
{
    char word[ENTRY_WORD_MAX + 1];
    const char *subject = "room";
    struct entry e;
    int rc;

    for (size_t i = 0; i < m->task->n_jobs && n_chosen == 1; i++) {
        if (chosen[i]) {
            subject = deed_job_subject(m, &m->task->job[i]);
        }
    }
    e = deed_draft_entry(m, ENTRY_ACKNOWLEDGED, subject);
    deed_set_what(&e, job_word(word, &m->task->job[0]));
    (void)snprintf(e.note, sizeof e.note, "%s", m->d->note);
    rc = deed_took_put(m, took_min, chosen, &e);
    return rc < 0 ? rc : deed_draft_take(m, &e);
}

/* Read before the work was begun. */
static int tell_glance(struct deed_draft *m)
{
    const struct told *t = deed_glance(m);
    struct entry e;

    if (!t) {
        return 0;
    }
    e = deed_draft_entry(m, ENTRY_READING, t->subject);
    deed_put_figures(&e, t);
    return deed_draft_take(m, &e);
}

/* Does an entry of such a task depend on the one before it? A container is refilled after it was
 * drained, a reservoir filled after it was rinsed, a container cleaned after its harvest. */
static bool is_told_in_turn(enum task_kind kind)
{
    return kind == TASK_CHANGE || kind == TASK_FILL || kind == TASK_HARVEST;
}

static int tell_jobs(struct deed_draft *m, const bool *chosen, size_t n_chosen, double took_min)
{
    int rc = 0;

    if (m->figures->of == TOLD_OF_EACH && n_chosen > 1 && deed_told_of(m->d, "")) {
        return err_field(m->err, ERR_MISSING, "subjects",
                         "task %lld (%s) is about %zu things: say whose figures these are",
                         (long long)m->task->id, task_words[m->task->kind], n_chosen);
    }
    if (is_told_in_turn(m->task->kind)) {
        deed_draft_in_turn(m);
    }
    rc = tell_glance(m);
    rc = rc < 0 ? rc : tell_acknowledged(m, chosen, n_chosen, took_min);
    if (rc == 0 && m->task->kind == TASK_CHANGE) {
        return deed_tell_change(m, chosen);
    }
    for (size_t i = 0; i < m->task->n_jobs && rc == 0; i++) {
        if (chosen[i]) {
            rc = deed_tell_job(m, &m->task->job[i]);
        }
    }
    return rc;
}

static int ack_rest(const struct room *room, const struct state *s, const struct task *t,
                    const struct deed *d, double took_min, struct entries *out, struct err *err)
{
    struct deed_draft m = {.room = room,
                           .s = s,
                           .task = t,
                           .figures = task_figures_of(t->kind, t->by_hand),
                           .d = d,
                           .err = err};
    bool *chosen = NULL;
    size_t n_chosen;
    int rc = deed_check_names(&m);

    if (rc == 0) {
        rc = check_figures(&m);
    }
    if (rc < 0) {
        return rc;
    }
    chosen = mem_array(t->n_jobs, sizeof *chosen);
    n_chosen = deed_choose(&m, chosen);
    rc = n_chosen ? tell_jobs(&m, chosen, n_chosen, took_min)
                  : err_field(err, ERR_MISSING, "only",
                              "task %lld: name at least one of its things", (long long)t->id);
    if (rc == 0) {
        rc = deed_check_used(&m);
    }
    free(chosen);
    return deed_draft_end(&m, rc, out);
}

int deed_ack(const struct room *room, const struct state *s, const struct task *t,
             const struct deed *d, struct entries *out, struct err *err)
{
    struct deed_took took;
    int rc = deed_took_begin(d, &took, err);

    rc = rc < 0 ? rc : ack_rest(room, s, t, &took.d, took.took_min, out, err);
    deed_took_end(&took);
    return rc;
}

/* What goes without saying when work is recorded straight. */
static bool cut_again(const struct deed_draft *m, size_t container)
{
    int crop = m->s->container[container].crop;

    return crop >= 0 && m->room->crop[crop].cut_again;
}

static const char *default_what(const struct deed_draft *m, enum entry_kind kind,
                                const char *subject)
{
    struct subject s = room_find(m->room, subject);

    switch (kind) {
    case ENTRY_STARTED:
        return s.kind == SUBJECT_CONTAINER ? m->room->crop[m->room->container[s.at].crop].name : "";
    case ENTRY_FLOAT_SEEN:
        return "yes";
    case ENTRY_HARVESTED:
        return s.kind == SUBJECT_CONTAINER && cut_again(m, s.at) ? "part" : "final";
    default:
        return "";
    }
}

int deed_record(const struct room *room, const struct state *s, enum entry_kind kind,
                const struct deed *d, struct entries *out, struct err *err)
{
    struct deed_draft m = {.room = room, .s = s, .d = d, .err = err};
    int rc = 0;

    if (!entry_kinds[kind].recordable) {
        return err_field(err, ERR_REFUSED, "kind",
                         "'%s' comes of a task or an entry; it is not recorded by itself",
                         entry_kinds[kind].word);
    }
    if (d->sensor && kind != ENTRY_READING) {
        return err_field(err, ERR_REFUSED, "sensor", "a sensor tells readings; '%s' a person tells",
                         entry_kinds[kind].word);
    }
    if (d->n_told == 0) {
        return err_field(err, ERR_MISSING, "subjects", "say of what: '%s' is about something",
                         entry_kinds[kind].word);
    }
    for (size_t i = 0; i < d->n_told && rc == 0; i++) {
        const struct told *t = &d->told[i];
        struct entry e = deed_draft_entry(&m, kind, t->subject);

        deed_set_what(&e, *t->what ? t->what : default_what(&m, kind, t->subject));
        deed_put_figures(&e, t);
        deed_put_amounts(&e, t);
        (void)snprintf(e.note, sizeof e.note, "%s", d->note);
        rc = deed_took_check(&m, &e);
        rc = rc < 0 ? rc : deed_draft_take(&m, &e);
    }
    return deed_draft_end(&m, rc, out);
}

int deed_void(const struct entry *target, bool voided_already, const struct deed *d,
              struct entries *out, struct err *err)
{
    struct deed_draft m = {.d = d, .err = err};
    struct entry e;

    if (*d->note == '\0') {
        return err_field(err, ERR_MISSING, "why", "say why entry %lld is voided",
                         (long long)target->seq);
    }
    if (target->kind == ENTRY_VOIDED) {
        return err_field(err, ERR_REFUSED, "entry",
                         "entry %lld voids another; tell what happened anew instead",
                         (long long)target->seq);
    }
    if (voided_already) {
        return err_field(err, ERR_REFUSED, "entry", "entry %lld was voided already",
                         (long long)target->seq);
    }
    e = deed_draft_entry(&m, ENTRY_VOIDED, target->subject);
    e.happened_s = d->now_s; /* the void itself is of now, whatever the deed's `at` says */
    e.voids = target->seq;
    (void)snprintf(e.note, sizeof e.note, "%s", d->note);
    m.es.entry = mem_grow(NULL, &m.es.cap, 1, sizeof e);
    m.es.entry[m.es.n++] = e;
    return deed_draft_end(&m, 0, out);
}
