/* jobs_plant.c - a planting: its start, the looks at its level, its harvest and the
 * cleaning after. */
#include "daemon/base/order.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/prediction.h"
#include "daemon/core/state/strength.h"
#include "daemon/core/tasks/deriving.h"
#include "daemon/core/units/day.h"

/* Common practice, no source, but where it is said. */
#define START_LATE_D     7           /* a seedling in its tray can wait for a week */
#define WIDE_S           (6 * 86400) /* from as likely as not to all but sure */
#define CHECK_LATE_D     3
#define CHECK_AGAIN_D    2   /* not yet open: a day more tells little */
#define FIRST_LOOK_FRAC  0.4 /* of the drawdown: shows a slow or a thirsty plant in time */
#define FIRST_LOOK_CLEAR 4   /* days between the first look and the one at the float line */
#define CLEAN_LATE_D     3

/* Probabilities that the float is open: looked at sooner most looks are in vain, and
 * later a valve that does not open is found too late. Our own choice; tests/season
 * shows what another costs in walks and in plants that run dry. */
#define EVEN_P   0.50
#define LIKELY_P 0.75
#define SURE_P   0.95

/* The first planting has its day in the room file; the next follows the day after its container
 * was cleaned, so that it can dry. DAY_NONE when none is to come. */
static int32_t start_day(const struct deriving *d, size_t i)
{
    const struct container *c = &d->room->container[i];
    const struct container_state *cs = &d->s->container[i];

    if (cs->crop >= 0 || cs->needs_cleaning) {
        return DAY_NONE;
    }
    if (cs->planting == 0) {
        return c->start_on;
    }
    return c->replant && cs->cleaned_s ? deriving_day(d, cs->cleaned_s) + 1 : DAY_NONE;
}

/* Seedlings are sown to be ready on a day: a start does not come before it, and others that come
 * to the same day are done in the same visit. */
void derive_start(const struct deriving *d, size_t i)
{
    const struct container *c = &d->room->container[i];
    const struct crop *crop = &d->room->crop[c->crop];
    struct job j = deriving_job(TASK_START, SUBJECT_CONTAINER, i, d->s->container[i].planting);
    int32_t day = start_day(d, i);
    char ec[QUANTITY_TEXT_MAX];

    if (day == DAY_NONE) {
        return;
    }
    j.earliest = j.due = day;
    j.latest = day + START_LATE_D;
    j.recipe = crop->stage[0].recipe_at;
    j.ec_ms_cm = room_fresh_ms_cm(d->room, crop, crop->start_ec_ms_cm);
    j.food_ms_cm = strength_food_ms_cm(d->room, j.ec_ms_cm);
    j.volume_l = c->start_volume_l;
    j.minutes = d->room->labour.start_min;
    deriving_say_why(&j, "%s starts with a weak solution of %s", crop->name,
                     deriving_strength(ec, d, j.ec_ms_cm));
    deriving_say_loss(&j, "the seedling outgrows its tray");
    deriving_add(d, &j);
}

/* A look halfway: two fifths of the way to the float line, and clear of the look at that. */
static void first_look(const struct deriving *d, size_t i, struct job *j, int64_t even_s)
{
    const struct container_state *cs = &d->s->container[i];
    int64_t first_s = cs->started_s + (int64_t)(FIRST_LOOK_FRAC * (double)(even_s - cs->started_s));

    j->due = deriving_day(d, first_s);
    j->earliest = j->due - 1;
    j->latest = order_max(
        j->due, order_min(j->due + CHECK_LATE_D, deriving_day(d, even_s) - FIRST_LOOK_CLEAR));
    if (deriving_first_reading_by(d, i, j->latest)) {
        return;
    }
    deriving_say_why(j, "a first look at the level shows a slow or a thirsty plant in time");
    deriving_say_loss(j, "the forecast of the float line stays a guess");
    deriving_add(d, j);
}

static void look_at_float(const struct deriving *d, size_t i, struct job *j, int64_t even_s,
                          int64_t sure_s)
{
    const struct container_state *cs = &d->s->container[i];
    int64_t likely_s = predict_float_s(d->room, d->s, i, LIKELY_P);
    char day[DAY_WORDS_MAX];

    j->earliest = deriving_day(d, even_s);
    if (cs->looked_s) {
        j->earliest = order_max(j->earliest, deriving_day(d, cs->looked_s) + CHECK_AGAIN_D);
    }
    j->due = order_max(j->earliest, deriving_day(d, likely_s));
    j->latest = order_max(j->due, deriving_day(d, sure_s)) + 1;
    if (deriving_day(d, even_s) < d->today) { /* long ago, where nothing tells of its level */
        deriving_say_why(j, "its float line should be reached by now; see whether the valve works");
    } else {
        deriving_say_why(j, "the float line is expected on %s; see whether the valve works",
                         deriving_date(day, d, even_s));
    }
    deriving_say_loss(j, "a float that does not open lets the plant run dry");
    deriving_add(d, j);
}

/* A first look is worth its walk only while the forecast is wide, and the look at the float is
 * days away. */
static bool wants_first_look(const struct deriving *d, const struct container_state *cs,
                             int64_t even_s, int64_t sure_s)
{
    return cs->looks == 0 && sure_s - even_s > WIDE_S &&
           d->today < deriving_day(d, even_s) - FIRST_LOOK_CLEAR;
}

/* When the level is to be looked at: not before the float is as likely as not to be open, and not
 * after it is all but sure, so that one look mostly serves. */
void derive_check(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    struct job j = deriving_job(TASK_CHECK, SUBJECT_CONTAINER, i, cs->looks);
    int64_t even_s;
    int64_t sure_s;

    if (cs->crop < 0 || cs->float_s || cs->drained) {
        return;
    }
    even_s = predict_float_s(d->room, d->s, i, EVEN_P);
    sure_s = predict_float_s(d->room, d->s, i, SURE_P);
    if (even_s == FORECAST_NEVER || sure_s == FORECAST_NEVER) {
        return;
    }
    deriving_done_at(d, &j, cs->looked_s);
    j.minutes = d->room->labour.check_min;
    if (wants_first_look(d, cs, even_s, sure_s)) {
        first_look(d, i, &j, even_s);
    } else {
        look_at_float(d, i, &j, even_s, sure_s);
    }
}

/* Also for the rules that leave a plant alone when it is about to go: they ask for the window
 * and add no job. */
struct job deriving_harvest_window(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    const struct crop *crop = &d->room->crop[cs->crop];
    struct job j = deriving_job(TASK_HARVEST, SUBJECT_CONTAINER, i, cs->planting);

    j.due = deriving_day(d, deriving_days_after(cs->started_s, crop->harvest_day));
    j.earliest = j.due - (int32_t)crop->harvest_window_day;
    j.latest = j.due + (int32_t)crop->harvest_window_day;
    return j;
}

/* The cleaning is the second half of a harvest: it stays on the list until the
 * container is clean. */
static struct job cleaning(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    struct job j = deriving_job(TASK_HARVEST, SUBJECT_CONTAINER, i, cs->planting);

    j.earliest = j.due = deriving_day(d, cs->harvested_s);
    j.latest = j.due + CLEAN_LATE_D;
    deriving_say_why(&j, "its plant is out, and it waits to be cleaned");
    deriving_say_loss(&j, "old roots rot, and the place stands empty");
    return j;
}

void derive_harvest(const struct deriving *d, size_t i)
{
    const struct container_state *cs = &d->s->container[i];
    struct job j;

    if (cs->needs_cleaning) {
        j = cleaning(d, i);
    } else if (cs->crop >= 0) {
        j = deriving_harvest_window(d, i);
        deriving_say_why(&j, "%s is %.0f days old then", d->room->crop[cs->crop].name,
                         d->room->crop[cs->crop].harvest_day);
        deriving_say_loss(&j, "it grows past its best and takes the place of the next");
    } else {
        return;
    }
    j.minutes = d->room->labour.harvest_min;
    deriving_add(d, &j);
}
