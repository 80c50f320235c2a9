/* calendar_notebook.c - a diligent grower without a daemon: two rounds a week with a meter. */
#include "daemon/core/units/day.h"
#include "tests/season/calendar_steps.h"

#include <math.h>

#define MONDAY    0
#define THURSDAY  3
#define WEEK      7
#define HALF      0.5  /* of those on float are due: all are changed */
#define LEFT_DAYS 3    /* before a harvest nothing is bumped */
#define FULL      0.75 /* a reservoir that is fuller is left on a round */

static int32_t civil_day(const struct calendar *c)
{
    return c->h->l->first_day + (int32_t)calendar_today(c);
}

/* A day of a round went by since the last, or is today. */
static bool round_is_due(const struct calendar *c)
{
    if (c->round_day == CALENDAR_NOTHING) {
        return true;
    }
    for (int64_t ago = 0; ago < calendar_today(c) - c->round_day; ago++) {
        int weekday = day_weekday(civil_day(c) - (int32_t)ago);

        if (weekday == MONDAY || weekday == THURSDAY) {
            return true;
        }
    }
    return false;
}

static bool half_are_due(const struct calendar *c)
{
    size_t n = 0;
    size_t due = 0;

    for (size_t i = 0; i < c->h->room->n_containers; i++) {
        if (calendar_wants_change(c, i)) {
            n++;
            due += calendar_today(c) >= c->due_day[i];
        }
    }
    return n > 0 && (double)due >= HALF * (double)n;
}

/* To what it is used to, a step of the crop above the last at most. */
static void bump(struct calendar *c, size_t i, double shows_ms_cm)
{
    const struct container *v = &c->h->room->container[i];
    const struct crop *crop = calendar_crop(c, i);
    const struct stage *stage = truth_stage(c->h->t, i);
    double to_ms_cm =
        fmin(c->habits.bump_to_frac * stage->ec_ms_cm, c->last_ms_cm[i] + crop->step_ec_ms_cm);
    struct doses d =
        hands_by_label(c->h, stage->recipe_at, v->float_volume_l, to_ms_cm - shows_ms_cm);

    if (to_ms_cm > shows_ms_cm && calendar_have(c, stage->recipe_at, &d)) {
        (void)hands_bump(c->h, i, stage->recipe_at, to_ms_cm, &d);
        c->last_ms_cm[i] = fmax(c->last_ms_cm[i], to_ms_cm);
        c->h->l->figures++; /* what it shows after it */
    }
}

static void read_container(struct calendar *c, size_t i, bool changes)
{
    const struct stage *stage = truth_stage(c->h->t, i);
    bool goes = calendar_crop(c, i)->harvest_day - c->h->t->plant[i].age_day < LEFT_DAYS;
    double shows_ms_cm;

    if ((changes && calendar_wants_change(c, i)) || goes) { /* the mix is measured instead */
        return;
    }
    calendar_work(c, WORK_READ, c->h->room->labour.read_min);
    c->h->l->figures += 2; /* EC and pH */
    shows_ms_cm = hands_ec(c->h, &c->h->t->plant[i].water);
    if (c->on_float[i] && shows_ms_cm < c->habits.bump_below_frac * stage->ec_ms_cm) {
        bump(c, i, shows_ms_cm);
    }
    calendar_mind_ph(c, i);
}

/* Gives whether all were changed. */
static bool walk(struct calendar *c)
{
    bool weekly = c->week_day == CALENDAR_NOTHING || calendar_today(c) >= c->week_day + WEEK;
    bool changes;

    calendar_find_faults(c);
    calendar_care(c);
    calendar_harvest_and_start(c);
    for (size_t i = 0; i < c->h->room->n_containers; i++) {
        if (c->h->t->plant[i].growing && weekly) {
            (void)calendar_look(c, i);
        }
    }
    changes = half_are_due(c);
    for (size_t i = 0; i < c->h->room->n_containers; i++) {
        if (c->h->t->plant[i].growing && (weekly || c->on_float[i])) {
            read_container(c, i, changes);
        }
    }
    changes = changes && calendar_change_all(c);
    c->week_day = weekly ? calendar_today(c) : c->week_day;
    c->round_day = calendar_today(c);
    return changes;
}

void calendar_notebook(struct calendar *c, bool leaves)
{
    const struct reservoir *v = &c->h->room->reservoir;
    bool rounds = round_is_due(c);
    bool mixed = rounds && walk(c);
    bool room_for_more = c->h->t->reservoir.volume_l < FULL * v->capacity_l;

    if (mixed || calendar_is_low(c) || ((leaves || rounds) && room_for_more)) {
        calendar_fill(c);
        calendar_work(c, WORK_FILL, mixed ? 0 : c->h->room->labour.fill_min);
    }
}
