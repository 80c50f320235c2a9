#include "daemon/core/state/fold_rules.h"

#include "daemon/base/mem.h"
#include "daemon/core/state/alarm.h"
#include "daemon/core/units/day.h"

#include <math.h>

bool fold_died(const struct fold *f)
{
    if (f->pot->crop < 0) {
        return false;
    }
    fold_ends_planting(f);
    return true;
}

/* What a name counts by goes on: a task of the plant that stood here before must not pass for one
 * of the plant that stands here now. */
static void count_on(struct container_state *cs, int32_t planting, int32_t opened)
{
    cs->planting = planting;
    cs->alarms.seen += opened - cs->alarms.opened;
    cs->alarms.opened = opened;
}

static void leave(struct container_state *cs, size_t container, const struct entry *e)
{
    cs->home = mem_grow(cs->home, &cs->cap_homes, cs->n_homes + 1, sizeof *cs->home);
    cs->home[cs->n_homes++] = (struct home){container, e->happened_s, e->seq};
}

/* Plants, water and all that was learned of them change places. */
bool fold_moved(const struct fold *f)
{
    struct subject to = room_find(f->room, f->e->what);
    struct fold other = *f;
    struct container_state here;
    int32_t planting;
    int32_t opened;

    if (to.kind != SUBJECT_CONTAINER || to.at == f->at) {
        return false;
    }
    other.at = to.at;
    other.pot = &f->s->container[to.at];
    other.vessel = &f->room->container[to.at];
    fold_anchor_container(f);
    fold_anchor_container(&other);
    here = *f->pot;
    planting = (here.planting > other.pot->planting ? here.planting : other.pot->planting) + 1;
    opened = here.alarms.opened > other.pot->alarms.opened ? here.alarms.opened
                                                           : other.pot->alarms.opened;
    *f->pot = *other.pot;
    *other.pot = here;
    leave(f->pot, to.at, f->e);
    leave(other.pot, f->at, f->e);
    count_on(f->pot, planting, opened);
    count_on(other.pot, planting, opened);
    fold_forget_holds(f, f->at);
    fold_forget_holds(f, to.at);
    return true;
}

/* No thirst is learned from it: the next level is the first that says something again. */
bool fold_container_emptied(const struct fold *f)
{
    if (f->pot->crop < 0) {
        return false;
    }
    fold_anchor_container(f);
    f->pot->level_s = 0;
    f->pot->odd_s = 0;
    fold_level_is(f, f->e->figure[FIGURE_VOLUME_L]);
    return true;
}

/* It was seen, and is no leak that goes on. */
bool fold_reservoir_emptied(const struct fold *f)
{
    fold_anchor_all(f);
    fold_anchor_reservoir(f);
    f->s->reservoir.body.volume_l = f->e->figure[FIGURE_VOLUME_L];
    f->s->reservoir.seen_s = 0;
    return true;
}

bool fold_spilled(const struct fold *f)
{
    f->s->product[f->at].left -= f->e->figure[FIGURE_AMOUNT];
    return true;
}

bool fold_stock_counted(const struct fold *f)
{
    f->s->product[f->at].left = f->e->figure[FIGURE_AMOUNT];
    return true;
}

/* Not calibrated yet. What the old one showed is judged by the old one's calibrations. */
bool fold_meter_new(const struct fold *f)
{
    struct meter_state *m = &f->s->meter[f->at];

    alarm_meter(f->s, (int)f->at, false, f->e->happened_s);
    m->calibrated_s = 0;
    m->calibrations++;
    m->slope_pct = NAN;
    m->offset_mv = NAN;
    m->odd = 0;
    m->calibrated =
        mem_grow(m->calibrated, &m->cap_calibrated, m->n_calibrated + 1, sizeof *m->calibrated);
    m->calibrated[m->n_calibrated++] =
        (struct calibrated){.at_s = f->e->happened_s, .slope_pct = NAN, .offset_mv = NAN};
    return true;
}
