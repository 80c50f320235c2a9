#include "daemon/core/state/fold_rules.h"

#include "daemon/base/mem.h"
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/sighted.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* False for a word that a later version knows. */
bool fold_observation(const struct fold *f)
{
    int seen = sighting_find(f->e->what);

    if (seen < 0) {
        return false;
    }
    sighted_take(f->room, f->s,
                 (struct subject){f->pot ? SUBJECT_CONTAINER : SUBJECT_RESERVOIR, f->at},
                 (enum sighting)seen, f->e->happened_s);
    return true;
}

/* All calibrations are kept: a reading that is told late is judged by the one that stood then. */
bool fold_calibrated(const struct fold *f)
{
    struct meter_state *m = &f->s->meter[f->at];

    m->calibrated_s = f->e->happened_s;
    m->calibrations++;
    alarm_meter(f->s, (int)f->at, false, f->e->happened_s);
    /* A slope is always told; an offset only meters for pH have, and not all of them show it. */
    m->slope_pct = f->e->figure[FIGURE_SLOPE_PCT];
    m->offset_mv = entry_figure_or(f->e, FIGURE_OFFSET_MV, NAN);
    m->calibrated =
        mem_grow(m->calibrated, &m->cap_calibrated, m->n_calibrated + 1, sizeof *m->calibrated);
    m->calibrated[m->n_calibrated++] =
        (struct calibrated){m->calibrated_s, m->slope_pct, m->offset_mv};
    return true;
}

/* Which kind of care a word of the journal means; -1 when none does any more. */
static int find_care(const char *word)
{
    for (int k = 0; k < CARE_KIND_N; k++) {
        if (strcmp(care_word((enum care_kind)k), word) == 0) {
            return k;
        }
    }
    return -1;
}

bool fold_cared_for(const struct fold *f)
{
    int k = find_care(f->e->what);

    if (k < 0) {
        return false;
    }
    if (f->pot) {
        f->pot->care_s[k] = f->e->happened_s;
        f->pot->cares[k]++;
    } else {
        f->s->care_s[k] = f->e->happened_s;
        f->s->cares[k]++;
    }
    return true;
}

/* One hold a job word and subject: the last word counts, so that holds stay as few as the room's
 * things. */
static struct hold *hold_of(const struct fold *f)
{
    struct state *s = f->s;
    struct subject subject = room_find(f->room, f->e->subject);

    for (size_t i = 0; i < s->n_holds; i++) {
        struct hold *h = &s->hold[i];

        if (h->subject.kind == subject.kind && h->subject.at == subject.at &&
            strcmp(h->what, f->e->what) == 0) {
            return h;
        }
    }
    s->hold = mem_grow(s->hold, &s->cap_holds, s->n_holds + 1, sizeof *s->hold);
    memset(&s->hold[s->n_holds], 0, sizeof *s->hold);
    s->hold[s->n_holds].subject = subject;
    return &s->hold[s->n_holds++];
}

/* It holds for this cycle of the job: once done, the next one comes by its own window. */
bool fold_deferred(const struct fold *f)
{
    struct hold *h = hold_of(f);

    (void)snprintf(h->what, sizeof h->what, "%s", f->e->what);
    h->cycle = f->e->cycle;
    h->until_day = f->e->until_day;
    h->dropped = false;
    return true;
}

/* The entry says until when a dropped job rests; deed_drop knows the kind's interval. */
bool fold_dropped(const struct fold *f)
{
    struct hold *h = hold_of(f);

    (void)snprintf(h->what, sizeof h->what, "%s", f->e->what);
    h->cycle = f->e->cycle;
    h->until_day = f->e->until_day == DAY_NONE ? INT32_MAX : f->e->until_day;
    h->dropped = true;
    return true;
}

/* Of jobs that are done by saying so: a reorder, and a look at what an alarm tells of. */
bool fold_acknowledged(const struct fold *f)
{
    struct subject subject = room_find(f->room, f->e->subject);

    if (subject.kind == SUBJECT_PRODUCT && strcmp(f->e->what, "reorder") == 0) {
        f->s->product[subject.at].ordered = true;
    }
    if (strcmp(f->e->what, "look") == 0) {
        alarm_acknowledge(f->s, subject);
    }
    return true;
}
