/* What each job of a task becomes in the journal, for the kinds whose jobs stand by themselves. */
#include "daemon/core/tell/deed_draft.h"

#include "daemon/base/err.h"
#include "daemon/core/state/forecast.h"

#include <string.h>

/* One figure that was told of several is one observation, and not as many: a slip in it would
 * outvote all that was known. */
static bool is_told_already(const struct deed_draft *m, const struct entry *e)
{
    const struct told *own = deed_told_of(m->d, e->subject);
    bool by_itself =
        own && (own->has & (FIGURE_BIT(FIGURE_EC_MS_CM) | FIGURE_BIT(FIGURE_WAS_MS_CM)));

    for (size_t i = 0; i < m->es.n; i++) {
        if (!by_itself && m->es.entry[i].kind == e->kind) {
            return true;
        }
    }
    return false;
}

static int tell_start(struct deed_draft *m, const struct job *j)
{
    struct told t = deed_told_for(m->d, deed_job_subject(m, j));
    const struct container *c = &m->room->container[j->subject.at];
    struct entry e = deed_draft_entry(m, ENTRY_STARTED, c->name);
    int rc;

    deed_set_what(&e, *t.what ? t.what : m->room->crop[c->crop].name);
    deed_put_figures(&e, &t);
    if (!entry_has(&e, FIGURE_VOLUME_L)) {
        entry_set(&e, FIGURE_VOLUME_L, c->start_volume_l);
    }
    rc = deed_put_mix(m, j->recipe,
                      (struct liquid){e.figure[FIGURE_VOLUME_L], m->task->mix_ec_ms_cm, 0},
                      m->room->source.ec_ms_cm, &t, &e);
    if (is_told_already(m, &e)) {
        e.has &= ~FIGURE_BIT(FIGURE_WAS_MS_CM);
    }
    return rc < 0 ? rc : deed_draft_take(m, &e);
}

/* A look at the float, or a level that says as much. */
static int tell_check(struct deed_draft *m, const struct job *j)
{
    struct told t = deed_told_for(m->d, deed_job_subject(m, j));
    bool look = *t.what != '\0';
    struct entry e = deed_draft_entry(m, look ? ENTRY_FLOAT_SEEN : ENTRY_READING, t.subject);

    if (!look && !(t.has & FIGURE_BIT(FIGURE_VOLUME_L))) {
        return err_field(m->err, ERR_MISSING, "float",
                         "task %lld (check) needs float=yes, float=no or volume=… for %s",
                         (long long)m->task->id, t.subject);
    }
    if (look) {
        deed_set_what(&e, t.what);
    }
    deed_put_figures(&e, &t);
    return deed_draft_take(m, &e);
}

static int tell_bump(struct deed_draft *m, const struct job *j)
{
    struct told t = deed_told_for(m->d, deed_job_subject(m, j));
    struct entry e = deed_draft_entry(m, ENTRY_BUMPED, t.subject);
    struct liquid now = forecast_container(m->room, m->s, j->subject.at, m->d->happened_s).body;

    deed_set_what(&e, m->room->recipe[j->recipe].name);
    deed_put_figures(&e, &t);
    deed_put_amounts(&e, &t);
    if (entry_has(&e, FIGURE_WAS_MS_CM)) {
        solution_shows(&now, e.figure[FIGURE_WAS_MS_CM]); /* a meter knows better */
    }
    deed_put_planned(
        m, j->recipe,
        &(struct dosing_rise){now.volume_l, now.ec_ms_cm, j->food_ms_cm - solution_food_ms_cm(now)},
        &e);
    return deed_draft_take(m, &e);
}

/* Kinds that are told as one entry with the figures as they are. */
static int tell_plain(struct deed_draft *m, const struct job *j, enum entry_kind kind)
{
    struct told t = deed_told_for(m->d, deed_job_subject(m, j));
    struct entry e = deed_draft_entry(m, kind, t.subject);

    deed_set_what(&e, kind == ENTRY_CARED_FOR ? care_word(j->care) : t.what);
    deed_put_figures(&e, &t);
    deed_put_amounts(&e, &t);
    return deed_draft_take(m, &e);
}

/* Ordered is not there: stock is told only with the amount that came. */
static int tell_reorder(struct deed_draft *m, const struct job *j)
{
    struct told t = deed_told_for(m->d, deed_job_subject(m, j));

    return t.has ? tell_plain(m, j, ENTRY_STOCK_RECEIVED) : 0;
}

/* Plain water is not let into a mix: whoever filled has rinsed before. */
static int tell_fill(struct deed_draft *m, const struct job *j)
{
    struct told t = deed_told_for(m->d, deed_job_subject(m, j));
    struct entry rinsed = deed_draft_entry(m, ENTRY_RESERVOIR_RINSED, t.subject);
    struct entry filled = deed_draft_entry(m, ENTRY_RESERVOIR_FILLED, t.subject);
    int rc = 0;

    if (m->s->reservoir.holds_mix) {
        rc = deed_draft_take(m, &rinsed);
    }
    if (rc < 0) {
        return rc;
    }
    deed_put_figures(&filled, &t);
    deed_put_amounts(&filled, &t);
    deed_put_feed(m, &filled);
    return deed_draft_take(m, &filled);
}

/* The final harvest ends a planting, and its container is cleaned with it. Where nothing grows any
 * more (it was told by itself) only the cleaning is left. */
static int tell_harvest(struct deed_draft *m, const struct job *j)
{
    struct told t = deed_told_for(m->d, deed_job_subject(m, j));
    struct entry taken = deed_draft_entry(m, ENTRY_HARVESTED, t.subject);
    struct entry cleaned = deed_draft_entry(m, ENTRY_CLEANED, t.subject);
    int rc = 0;

    if (m->s->container[j->subject.at].crop >= 0) {
        deed_set_what(&taken, *t.what ? t.what : "final");
        deed_put_figures(&taken, &t);
        rc = deed_draft_take(m, &taken);
    }
    if (rc < 0 || strcmp(taken.what, "part") == 0) {
        return rc;
    }
    return deed_draft_take(m, &cleaned);
}

int deed_tell_job(struct deed_draft *m, const struct job *j)
{
    struct told t = deed_told_for(m->d, deed_job_subject(m, j));
    int rc = deed_check_needs(m, &t);

    if (rc < 0) {
        return rc;
    }
    switch (j->kind) {
    case TASK_START:
        return tell_start(m, j);
    case TASK_CHECK:
        return tell_check(m, j);
    case TASK_BUMP:
        return tell_bump(m, j);
    case TASK_PH:
        return tell_plain(m, j, ENTRY_PH_ADJUSTED);
    case TASK_READ:
        return tell_plain(m, j, ENTRY_READING);
    case TASK_FILL:
        return tell_fill(m, j);
    case TASK_CALIBRATE:
        return tell_plain(m, j, ENTRY_CALIBRATED);
    case TASK_CARE:
        return tell_plain(m, j, ENTRY_CARED_FOR);
    case TASK_REORDER:
        return tell_reorder(m, j);
    case TASK_HARVEST:
        return tell_harvest(m, j);
    case TASK_LOOK:   /* the acknowledgement says it all */
    case TASK_CHANGE: /* deed_change.c */
    case TASK_KIND_N:
        break;
    }
    return 0;
}
