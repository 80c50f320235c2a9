/* jobs_reservoir.c - what the reservoir wants: plain water in time, and its pH set right. */
#include "daemon/base/order.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/overnight.h"
#include "daemon/core/state/prediction.h"
#include "daemon/core/state/standing.h"
#include "daemon/core/state/strength.h"
#include "daemon/core/tasks/deriving.h"
#include "daemon/core/units/day.h"

#include <math.h>

/* Common practice, no source. */
#define FILL_EARLY_D    3
#define FILL_AHEAD_D    2 /* a day may be forgotten, and the plants drink on */
#define FILL_LATE_D     1
#define FILL_RISK       0.05 /* of being at the low mark before it is filled */
#define FILL_WORTH_FRAC 0.25 /* of the usable volume: below that a fill is not worth the walk */
#define LOOK_BACK_D     60   /* for working days before a day; beyond that nobody is there at all */
#define PH_LATE_D       1
#define SECOND_LATE_D   1
/* A night takes an evening and a morning, and is the cheaper where two visits follow each other. */
#define OVERNIGHT_EARLY_D 2
#define OVERNIGHT_LATE_D  5
#define DOUBT_LATE_D      3

/* Its gas has left by then, and what is left of its alkalinity would go into every container. */
static void derive_second_dose(const struct deriving *d, struct job *j)
{
    int32_t due = deriving_day(d, d->s->reservoir.ph.at_s) + 2; /* nearly all of its gas has left */

    if (!standing_reservoir(d->room, d->s, deriving_later(d->now_s, deriving_morning_s(d, due)))) {
        return;
    }
    j->earliest = due - 1;
    j->due = due;
    j->latest = j->due + SECOND_LATE_D;
    deriving_done_at(d, j, d->s->reservoir.ph.at_s);
    j->minutes = d->room->labour.ph_min;
    deriving_say_why(j, "its gas has left by then, and a second dose takes what the first left of "
                        "its alkalinity");
    deriving_say_loss(j, "every container on float drifts with it");
    deriving_add(d, j);
}

void derive_reservoir_ph(const struct deriving *d)
{
    const struct reservoir_state *r = &d->s->reservoir;
    struct job j = deriving_job(TASK_PH, SUBJECT_RESERVOIR, 0, r->readings);

    j.volume_l = forecast_reservoir(d->room, d->s, d->now_s).volume_l;
    /* What is empty is filled first, and has its pH set then. */
    if (!r->ph.at_s || r->holds_mix || j.volume_l <= d->room->reservoir.remainder_l) {
        return;
    }
    if (fabs(r->ph.value - d->room->reservoir.ph_target) <= d->room->reservoir.ph_tolerance) {
        derive_second_dose(d, &j);
        return;
    }
    j.earliest = j.due = deriving_day(d, r->ph.at_s);
    j.latest = j.due + PH_LATE_D;
    j.minutes = d->room->labour.ph_min;
    deriving_say_why(&j, "pH was %.1f, and the reservoir is kept at %.1f", r->ph.value,
                     d->room->reservoir.ph_target);
    deriving_say_loss(&j, "every container on float drifts with it");
    deriving_add(d, &j);
}

/* The last day on which a fill is in time although it be forgotten once, or twice
 * before days on which nobody would see that it was. */
static int32_t in_good_time(const struct deriving *d, int32_t day)
{
    int worked = 0;
    int wanted = 2;

    for (int n = 0; n < LOOK_BACK_D && worked < wanted; n++) {
        bool off = room_is_off(d->room, --day);

        worked += !off;
        wanted = off ? 3 : wanted;
    }
    return day;
}

/* The days on which plain water is to be let in: with some of it still there, and not
 * before there is room for so much that the walk is worth it. False when the low mark
 * is not reached within a year. */
static bool fill_window(const struct deriving *d, struct job *j)
{
    const struct reservoir *v = &d->room->reservoir;
    const struct reservoir_state *r = &d->s->reservoir;
    double worth_l = v->capacity_l - FILL_WORTH_FRAC * (v->capacity_l - v->remainder_l);
    int64_t low_s = predict_reservoir_s(d->room, d->s, v->low_l, FILL_RISK, r->at_s);
    int64_t rest_s = predict_reservoir_s(d->room, d->s, v->remainder_l, FILL_RISK, r->at_s);
    int64_t worth_s = forecast_reservoir_at_s(d->room, d->s, worth_l, r->at_s);
    int32_t safe;
    char day[DAY_WORDS_MAX];
    char low[QUANTITY_TEXT_MAX];

    if (low_s == FORECAST_NEVER) {
        return false;
    }
    safe = in_good_time(d, deriving_day(d, rest_s));
    j->due = order_min(deriving_day(d, low_s) - FILL_AHEAD_D, safe);
    j->due = order_max(j->due, deriving_day(d, r->at_s));
    j->earliest = order_max(deriving_day(d, worth_s), j->due - FILL_EARLY_D);
    j->earliest = order_min(j->earliest, j->due);
    j->latest = rest_s == FORECAST_NEVER ? j->due + FILL_LATE_D : order_max(j->due, safe);
    if (deriving_day(d, low_s) <= d->today) {
        deriving_say_why(j, "it may be down to its low mark of %s already",
                         deriving_volume(low, d, v->low_l));
    } else {
        deriving_say_why(j, "it may be down to its low mark of %s by %s",
                         deriving_volume(low, d, v->low_l), deriving_date(day, d, low_s));
    }
    return true;
}

/* The same, where water is wanted at once or as soon as the water left says. */
static bool fill_wanted(const struct deriving *d, struct job *j)
{
    const struct reservoir_state *r = &d->s->reservoir;

    if (!r->at_s) {
        j->earliest = j->due = d->s->first_s ? deriving_day(d, d->s->first_s) : d->today;
        j->latest = j->due;
        deriving_say_why(j, "the reservoir was never filled");
        return true;
    }
    if (r->holds_mix) {
        j->earliest = j->due = j->latest = deriving_day(d, r->at_s);
        deriving_say_why(j, "it still holds a mix: empty and rinse it, then fill it with %s",
                         room_feeds(d->room) ? "its feed" : "plain water");
        return true;
    }
    if (r->body.volume_l <= d->room->reservoir.remainder_l) {
        j->earliest = j->due = j->latest = deriving_day(d, r->at_s);
        deriving_say_why(j, "the reservoir is empty, and the floats wait for water");
        return true;
    }
    return fill_window(d, j);
}

void derive_fill(const struct deriving *d)
{
    const struct reservoir_state *r = &d->s->reservoir;
    struct job j = deriving_job(TASK_FILL, SUBJECT_RESERVOIR, 0, r->fills);
    struct liquid then;

    if (!fill_wanted(d, &j)) {
        return;
    }
    if (r->filled_s && !r->holds_mix) { /* the source had no more that day */
        j.earliest = order_max(j.earliest, deriving_day(d, r->filled_s) + 1);
    }
    then = forecast_reservoir(d->room, d->s, deriving_morning_s(d, j.due));
    j.volume_l = d->room->reservoir.capacity_l - (r->holds_mix ? 0 : then.volume_l);
    deriving_done_at(d, &j, r->filled_s);
    j.minutes = d->room->labour.fill_min;
    if (room_feeds(d->room)) {
        j.recipe = d->room->reservoir.feed_at;
        j.ec_ms_cm = d->room->reservoir.feed_ms_cm;
        j.food_ms_cm = strength_food_ms_cm(d->room, j.ec_ms_cm);
    }
    deriving_say_loss(&j, "every container on float runs dry");
    deriving_add(d, &j);
}

/* Shut-offs are not left closed over a day off: the first day, from this one on, on which somebody
 * comes and after which somebody comes; and on the day after that too, should one be forgotten. */
static int32_t evening_before_work(const struct deriving *d, int32_t day)
{
    day = order_max(day, d->today);
    for (int n = 0;
         n < LOOK_BACK_D && (room_is_off(d->room, day) || room_is_off(d->room, day + 1) ||
                             room_is_off(d->room, day + 2));
         n++) {
        day++;
    }
    return day;
}

/* The reading that needs no model of plants: what is lost with every shut-off closed is a leak. */
void derive_overnight(const struct deriving *d)
{
    const struct reservoir_state *r = &d->s->reservoir;
    int64_t wanted_s = overnight_wanted_s(d->room, d->s);
    bool doubted = overnight_is_doubted(d->s);
    struct job j = deriving_job(TASK_OVERNIGHT, SUBJECT_RESERVOIR, 0, r->nights);
    char day[DAY_WORDS_MAX];

    if (!wanted_s) {
        return;
    }
    j.earliest = j.due = evening_before_work(d, deriving_day(d, wanted_s));
    j.earliest -= doubted ? 0 : OVERNIGHT_EARLY_D;
    j.latest = j.due + (doubted ? DOUBT_LATE_D : OVERNIGHT_LATE_D);
    deriving_done_at(d, &j, r->stood_s);
    j.minutes = d->room->labour.care_min;
    if (r->seeps > 0) {
        deriving_say_why(&j, "it lost a little in its last night with every shut-off closed");
    } else if (doubted) {
        deriving_say_why(&j, "it lost more of late than the plants were to drink");
    } else if (r->stood_s) {
        deriving_say_why(&j, "last seen to hold its water on %s",
                         deriving_date(day, d, r->stood_s));
    } else {
        deriving_say_why(&j, "nobody has seen yet whether it holds its water");
    }
    deriving_say_loss(&j, "a slow leak looks like thirst");
    deriving_add(d, &j);
}
