/* What each job of a task becomes in the journal, for the kinds whose jobs stand by themselves. */
#include "daemon/core/tell/deed_draft.h"

#include "daemon/base/err.h"
#include "daemon/core/state/forecast.h"

#include <math.h>
#include <string.h>

/* Farther from the sheet is asked back: a slip moves a digit, and no meter is off by so much
 * (our own choice, no source). A fill is often in part, for want of water. */
#define STRENGTH_FAR 1.6
#define FILL_FAR     4.0

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

/* A start is as strong as the sheet aims at, within reason. */
static int check_strength(const struct deed_draft *m, double ec, double aim)
{
    char got[QUANTITY_TEXT_MAX];
    char want[QUANTITY_TEXT_MAX];

    if (m->d->sure || !(aim > 0) || (ec <= aim * STRENGTH_FAR && ec >= aim / STRENGTH_FAR)) {
        return 0;
    }
    return err_field(m->err, ERR_UNSURE, "ec",
                     "it was to be %s, and %s is far from it; say so if you are sure",
                     quantity_format(want, QUANTITY_EC, aim, &m->room->units),
                     quantity_format(got, QUANTITY_EC, ec, &m->room->units));
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
    rc = check_strength(m, t.figure[FIGURE_EC_MS_CM], m->task->mix_ec_ms_cm);
    rc = rc < 0 ? rc
                : deed_put_mix(m, j->recipe,
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
    if (look && (e.has & ~FIGURE_BIT(FIGURE_VOLUME_L))) { /* a meter was there too */
        struct entry reading = deed_draft_entry(m, ENTRY_READING, t.subject);
        int rc;

        reading.has = e.has & ~FIGURE_BIT(FIGURE_VOLUME_L);
        memcpy(reading.figure, e.figure, sizeof reading.figure);
        e.has &= FIGURE_BIT(FIGURE_VOLUME_L);
        rc = deed_draft_take(m, &reading);
        if (rc < 0) {
            return rc;
        }
    }
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

static bool has_meter(const struct room *room, enum meter_kind kind)
{
    for (size_t i = 0; i < room->n_meters; i++) {
        if (room->meter[i].kind == kind) {
            return true;
        }
    }
    return room->n_meters == 0; /* of which the room file says nothing */
}

/* A task that asks for two figures is not closed by one, unless a person says that it is all. */
static int tell_read(struct deed_draft *m, const struct job *j)
{
    struct told t = deed_told_for(m->d, deed_job_subject(m, j));
    bool ec = !(t.has & FIGURE_BIT(FIGURE_EC_MS_CM)) && has_meter(m->room, METER_EC);
    bool ph = !(t.has & FIGURE_BIT(FIGURE_PH)) && has_meter(m->room, METER_PH);

    if (t.has && (ec || ph) && !m->d->sure) {
        return err_field(m->err, ERR_UNSURE, ec ? "ec" : "ph",
                         "task %lld (read) asks for %s%s%s of %s too: tell %s, or say that this is "
                         "all",
                         (long long)m->task->id, ec ? "ec=…" : "", ec && ph ? " and " : "",
                         ph ? "ph=…" : "", t.subject, ec && ph ? "them" : "it");
    }
    return tell_plain(m, j, ENTRY_READING);
}

/* Ordered is not there: stock is told only with the amount that came. */
static int tell_reorder(struct deed_draft *m, const struct job *j)
{
    struct told t = deed_told_for(m->d, deed_job_subject(m, j));

    struct entry e = deed_draft_entry(m, ENTRY_STOCK_RECEIVED, t.subject);

    if (t.n_amounts == 1 && !t.has && strcmp(t.amount[0].product, t.subject) == 0) {
        entry_set(&e, FIGURE_AMOUNT, t.amount[0].amount); /* calcium-part=5L: the same */
        return deed_draft_take(m, &e);
    }
    return t.has ? tell_plain(m, j, ENTRY_STOCK_RECEIVED) : 0;
}

/* How much went in is what a fill is about; a pH alone says nothing of it. */
static int check_fill_litres(const struct deed_draft *m, const struct told *t)
{
    if (t->has & (FIGURE_BIT(FIGURE_VOLUME_L) | FIGURE_BIT(FIGURE_ADDED_L))) {
        return 0;
    }
    return err_field(m->err, ERR_MISSING, figure_defs[FIGURE_VOLUME_L].word,
                     "task %lld (fill) needs volume=…, what it holds now, or added=…, what was let "
                     "in",
                     (long long)m->task->id);
}

/* 22 L for 220: what goes in is about what there is room for. */
static int check_fill(const struct deed_draft *m, const struct told *t)
{
    double held_l = m->s->reservoir.holds_mix
                        ? 0
                        : forecast_reservoir(m->room, m->s, m->d->happened_s).volume_l;
    bool added = (t->has & FIGURE_BIT(FIGURE_ADDED_L)) != 0;
    double let_in_l =
        added ? t->figure[FIGURE_ADDED_L] : t->figure[FIGURE_VOLUME_L] - fmax(0, held_l);
    double room_l = m->room->reservoir.capacity_l - held_l;
    char got[QUANTITY_TEXT_MAX];
    char want[QUANTITY_TEXT_MAX];

    if (m->d->sure || !(room_l > 0) || let_in_l >= room_l / FILL_FAR ||
        t->figure[FIGURE_VOLUME_L] >= m->room->reservoir.capacity_l / 2) {
        return 0;
    }
    return err_field(m->err, ERR_UNSURE, added ? "added" : "volume",
                     "%s let in is far less than the %s that there is room for; say so if you are "
                     "sure",
                     quantity_format(got, QUANTITY_VOLUME, fmax(0, let_in_l), &m->room->units),
                     quantity_format(want, QUANTITY_VOLUME, room_l, &m->room->units));
}

/* Plain water is not let into a mix: whoever filled has rinsed before. */
static int tell_fill(struct deed_draft *m, const struct job *j)
{
    struct told t = deed_told_for(m->d, deed_job_subject(m, j));
    struct entry rinsed = deed_draft_entry(m, ENTRY_RESERVOIR_RINSED, t.subject);
    struct entry filled = deed_draft_entry(m, ENTRY_RESERVOIR_FILLED, t.subject);
    int rc = check_fill_litres(m, &t);

    rc = rc < 0 ? rc : check_fill(m, &t);
    if (rc == 0 && m->s->reservoir.holds_mix) {
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
        /* With what it weighed, of a crop that is cut again and again: it goes on. */
        bool part = t.has && m->room->crop[m->s->container[j->subject.at].crop].cut_again;

        deed_set_what(&taken, *t.what ? t.what : part ? "part" : "final");
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
        return tell_read(m, j);
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
    case TASK_OVERNIGHT:
        return tell_plain(m, j, ENTRY_STOOD);
    case TASK_LOOK:   /* the acknowledgement says it all */
    case TASK_CHANGE: /* deed_change.c */
    case TASK_KIND_N:
        break;
    }
    return 0;
}
