#include "daemon/core/tasks/deriving.h"

#include "daemon/base/order.h"
#include "daemon/core/units/day.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

/* Days off in a row beyond which work is not put off any more: whoever is away for
 * two months has left the room to somebody. Our own choice. */
#define OFF_MOST_D 60

struct job deriving_job(enum task_kind kind, enum subject_kind subject, size_t at, int32_t cycle)
{
    return (struct job){
        .kind = kind, .subject = {subject, at},
             .cycle = cycle, .done_on = DAY_NONE
    };
}

void deriving_say_why(struct job *j, const char *fmt, ...)
{
    va_list ap;

    va_start(ap, fmt);
    (void)vsnprintf(j->why, sizeof j->why, fmt, ap);
    va_end(ap);
}

void deriving_say_loss(struct job *j, const char *fmt, ...)
{
    va_list ap;

    va_start(ap, fmt);
    (void)vsnprintf(j->loss, sizeof j->loss, fmt, ap);
    va_end(ap);
}

int64_t deriving_later(int64_t a_s, int64_t b_s)
{
    return a_s > b_s ? a_s : b_s;
}

int64_t deriving_earlier(int64_t a_s, int64_t b_s)
{
    return a_s < b_s ? a_s : b_s;
}

/* Days of 24 hours. When clocks change the instant is an hour off by the wall, which moves a job
 * only where it lies within that hour of midnight: nothing here is due to the hour. */
int64_t deriving_days_after(int64_t t_s, double days)
{
    return t_s + (int64_t)(days * 86400);
}

int32_t deriving_day(const struct deriving *d, int64_t t_s)
{
    return zone_day(&d->room->zone, t_s);
}

/* Volumes and strengths of a day are those that whoever comes in the morning will find; at
 * midnight a container holds a night's use more. */
int64_t deriving_morning_s(const struct deriving *d, int32_t day)
{
    return zone_instant_s(&d->room->zone, order_max(day, d->today), d->room->day_start_s);
}

void deriving_done_at(const struct deriving *d, struct job *j, int64_t last_s)
{
    j->done_on = last_s ? deriving_day(d, last_s) : DAY_NONE;
}

char *deriving_date(char buf[DAY_WORDS_MAX], const struct deriving *d, int64_t t_s)
{
    return day_words(buf, deriving_day(d, t_s), d->today);
}

char *deriving_volume(char buf[QUANTITY_TEXT_MAX], const struct deriving *d, double volume_l)
{
    return quantity_format(buf, QUANTITY_VOLUME, volume_l, &d->room->units);
}

char *deriving_strength(char buf[QUANTITY_TEXT_MAX], const struct deriving *d, double ec_ms_cm)
{
    return quantity_format(buf, QUANTITY_EC, ec_ms_cm, &d->room->units);
}

/* The working day that is nearest to `day`, sooner rather than later; DAY_NONE where there is none
 * from `from` to `to`. */
static int32_t working_day(const struct room *room, int32_t day, int32_t from, int32_t to)
{
    for (int32_t near = order_min(day, to); near >= from; near--) {
        if (!room_is_off(room, near)) {
            return near;
        }
    }
    for (int32_t near = order_max(day, from); near <= to; near++) {
        if (!room_is_off(room, near)) {
            return near;
        }
    }
    return DAY_NONE;
}

/* Nobody works on days off: what falls on them is done before, or else as soon as may
 * be after. What cannot wait is done before, sooner than its window if need be; and
 * where there is no day for that either, it stands on the day off all the same. */
static void leave_days_off(const struct deriving *d, const struct hold *h, struct job *j)
{
    /* Not twice a day, nor before the day that it was put off to. */
    int32_t again = j->done_on >= d->today ? d->today + 1 : d->today;
    int32_t soonest = h ? order_max(again, h->until_day) : again;
    /* The part of the window that is still to come; a window that is past is today. */
    int32_t from = order_max(j->earliest, d->today);
    int32_t to = order_max(j->latest, from);
    int32_t due = working_day(d->room, j->due, from, to);

    if (due != DAY_NONE) {
        j->due = j->due < d->today ? j->due : due; /* what is late stays as late as it is */
        j->latest = order_max(j->due, working_day(d->room, j->latest, from, to));
        return;
    }
    due = working_day(d->room, from, soonest,
                      task_kinds[j->kind].waits_for_days_off ? from + OFF_MOST_D : from);
    if (due != DAY_NONE) {
        j->earliest = j->due = j->latest = due;
    }
}

/* What a person said comes first: a job that was put off to a day off is moved on from there,
 * and not put back to before it. The horizon comes last, since both may carry a job beyond it. */
void deriving_add(const struct deriving *d, struct job *j)
{
    const struct hold *h = job_hold(d->s, j);

    if (h && h->dropped && h->until_day > d->today) {
        return;
    }
    if (h && !h->dropped) {
        j->earliest = order_max(j->earliest, h->until_day);
    }
    j->due = order_max(j->due, j->earliest);
    j->latest = order_max(j->latest, j->due);
    leave_days_off(d, h, j);
    if (j->earliest >= d->end_day) {
        return;
    }
    jobs_add(d->out, j);
}

double deriving_ph_leaves_day(const struct deriving *d, size_t i, const struct forecast *now,
                              const struct stage *stage)
{
    const struct ph_drift *drift = &d->s->container[i].drift;
    double lo = fmin(stage->ph_min, fmax(drift->from_ph, stage->ph_min - PH_DOUBT));
    double hi = fmax(stage->ph_max, fmin(drift->from_ph, stage->ph_max + PH_DOUBT));

    return ph_drift_days_within(drift, &d->s->drift, forecast_turns_day(now), lo, hi);
}
