#include "daemon/core/tasks/notice.h"

#include "daemon/base/mem.h"
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/heat.h"
#include "daemon/core/state/sighted.h"
#include "daemon/core/tasks/water_need.h"
#include "daemon/core/units/day.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void notices_deinit(struct notices *n)
{
    free(n->notice);
    *n = (struct notices){0};
}

/* The key is what makes a notice the same one tomorrow: matter and subject, without figures, so
 * that a reservoir that falls on is told of once. */
struct notice *notices_more(struct notices *all)
{
    struct notice *n;

    all->notice = mem_grow(all->notice, &all->cap, all->n + 1, sizeof *all->notice);
    n = &all->notice[all->n++];
    *n = (struct notice){0};
    return n;
}

__attribute__((format(printf, 4, 5))) static void add(struct notices *out, const char *matter,
                                                      const char *subject, const char *fmt, ...)
{
    struct notice *n = notices_more(out);
    va_list ap;

    (void)snprintf(n->key, sizeof n->key, "%s/%s", matter, subject);
    va_start(ap, fmt);
    (void)vsnprintf(n->text, sizeof n->text, fmt, ap);
    va_end(ap);
}

static void notice_reservoir(const struct room *room, const struct state *s, int64_t now_s,
                             struct notices *out)
{
    const struct reservoir *v = &room->reservoir;
    double volume_l = forecast_reservoir(room, s, now_s).volume_l;
    double draw_l = forecast_draw_l(room, s, now_s, now_s + 86400);
    char is[QUANTITY_TEXT_MAX];
    char low[QUANTITY_TEXT_MAX];
    char draw[QUANTITY_TEXT_MAX];

    /* A reservoir that was never filled is a job and no emergency; while it holds a mix the
     * floats are shut off on purpose; and where nothing draws, low is as good as full. */
    if (!s->reservoir.at_s || s->reservoir.holds_mix || volume_l > v->low_l || !(draw_l > 0)) {
        return;
    }
    quantity_format(is, QUANTITY_VOLUME, volume_l, &room->units);
    quantity_format(low, QUANTITY_VOLUME, v->low_l, &room->units);
    quantity_format(draw, QUANTITY_VOLUME, draw_l, &room->units);
    if (volume_l <= v->remainder_l) {
        add(out, "reservoir-empty", "reservoir",
            "the reservoir should be empty, and the containers draw %s a day: fill it now", draw);
    } else {
        add(out, "reservoir-low", "reservoir",
            "the reservoir should hold %s, below its low mark of %s; the containers draw %s a day",
            is, low, draw);
    }
}

static void notice_alarms(const struct room *room, const struct state *s, int64_t now_s,
                          struct notices *out)
{
    struct alarms alarms;

    /* Also those that were looked at: they are still wrong, and are said to be known. */
    alarms_derive(room, s, now_s, &alarms);
    for (size_t i = 0; i < alarms.n; i++) {
        const struct alarm *a = &alarms.alarm[i];

        add(out, alarm_words[a->kind], room_subject_name(room, a->subject), "%s%s. Look first: %s",
            a->says, a->seen ? " (looked at)" : "", a->look);
        out->notice[out->n - 1].alarm = !a->seen;
    }
    alarms_deinit(&alarms);
}

/* Warm, before it is hot: then it is an alarm. */
static void notice_warm(const struct room *room, const struct state *s, struct subject subject,
                        int64_t now_s, struct notices *out)
{
    bool tank = subject.kind == SUBJECT_RESERVOIR;
    const struct crop *crop;
    const struct measured *temp;
    char is[QUANTITY_TEXT_MAX];
    char hot[QUANTITY_TEXT_MAX];
    char day[DAY_WORDS_MAX];

    if (!heat_is_told(s, subject, now_s)) {
        return;
    }
    crop = tank ? NULL : &room->crop[s->container[subject.at].crop];
    temp = tank ? &s->reservoir.temp : &s->container[subject.at].temp;
    add(out, "warm", room_subject_name(room, subject),
        "the %s %s was %s on %s: warm water holds less oxygen; look at the roots, and keep it from "
        "coming to %s (shade, a light lid, filling at night)",
        tank ? "water of the" : "solution of", room_subject_name(room, subject),
        quantity_format(is, QUANTITY_TEMP, temp->value, &room->units),
        day_words(day, zone_day(&room->zone, temp->at_s), zone_day(&room->zone, now_s)),
        quantity_format(hot, QUANTITY_TEMP, crop_hot_c(crop), &room->units));
}

static void notice_heat(const struct room *room, const struct state *s, int64_t now_s,
                        struct notices *out)
{
    for (size_t i = 0; i < s->n_containers; i++) {
        notice_warm(room, s, (struct subject){SUBJECT_CONTAINER, i}, now_s, out);
    }
    notice_warm(room, s, (struct subject){SUBJECT_RESERVOIR, 0}, now_s, out);
}

/* What a sighting changes, as the notice says it; NULL where an alarm tells of it. */
static const char *sighting_changes(enum sighting_does does)
{
    switch (does) {
    case SIGHTING_TELLS:
        return "";
    case SIGHTING_HOLDS:
        return "the next solution is made no stronger than this one; ";
    case SIGHTING_STEPS:
        return "the next solution goes on towards what its stage wants; ";
    case SIGHTING_LOOKS:
        break;
    }
    return NULL;
}

static void notice_seen(const struct room *room, const struct state *s, struct subject subject,
                        int64_t now_s, struct notices *out)
{
    for (int k = 0; k < SIGHTING_N; k++) {
        int64_t at_s = sighted_s(s, subject, (enum sighting)k, now_s);
        const char *changes = sighting_changes(sightings[k].does);
        char matter[48];
        char day[DAY_WORDS_MAX];

        if (at_s && changes) {
            (void)snprintf(matter, sizeof matter, "saw-%s", sightings[k].word);
            add(out, matter, room_subject_name(room, subject), "%s: %s (%s): %scheck first: %s",
                room_subject_name(room, subject), sightings[k].says,
                day_words(day, zone_day(&room->zone, at_s), zone_day(&room->zone, now_s)), changes,
                sightings[k].check);
        }
    }
}

static void notice_sightings(const struct room *room, const struct state *s, int64_t now_s,
                             struct notices *out)
{
    for (size_t i = 0; i < s->n_containers; i++) {
        notice_seen(room, s, (struct subject){SUBJECT_CONTAINER, i}, now_s, out);
    }
    notice_seen(room, s, (struct subject){SUBJECT_RESERVOIR, 0}, now_s, out);
}

/* Less than nothing is a delivery that was not told, not a theft: the person is asked for it. */
static void notice_stock(const struct room *room, const struct state *s, struct notices *out)
{
    for (size_t i = 0; i < s->n_products; i++) {
        if (s->product[i].left < 0) {
            add(out, "stock-below-nothing", room->product[i].name,
                "more %s was used than was ever there: tell what came (stock-received)",
                room->product[i].name);
        }
    }
}

/* The source cannot have what the next work takes: it is heard of while there is time. */
static void notice_source(const struct room *room, const struct state *s, const struct agenda *a,
                          int64_t now_s, struct notices *out)
{
    struct water_need n;
    char need[QUANTITY_TEXT_MAX];
    char has[QUANTITY_TEXT_MAX];

    /* Once the morning has come it is too late to be warned. */
    if (!water_need_next(room, s, a, now_s, &n) || n.by_s <= now_s || n.has_l >= n.need_l) {
        return;
    }
    add(out, "source-weak", task_kinds[n.task->kind].word,
        "task %lld (%s) takes %s of plain water, and the source can have %s by then: put it off, "
        "split it, or get water from elsewhere",
        (long long)n.task->id, task_kinds[n.task->kind].word,
        quantity_format(need, QUANTITY_VOLUME, n.need_l, &room->units),
        quantity_format(has, QUANTITY_VOLUME, n.has_l, &room->units));
}

static void notice_overdue(const struct room *room, const struct agenda *a, int64_t now_s,
                           struct notices *out)
{
    int32_t today = zone_day(&room->zone, now_s);
    char id[24];

    for (size_t i = 0; i < a->n; i++) {
        const struct task *t = &a->task[i];

        /* Only what loses plants: a late calibration told every morning teaches people not to
         * read notices. */
        if (task_is_overdue(t, today) && task_kinds[t->kind].loses_plants) {
            (void)snprintf(id, sizeof id, "%lld", (long long)t->id);
            add(out, "overdue", id, "task %s (%s) is %d day%s over: %s", id,
                task_kinds[t->kind].word, (int)(today - t->latest),
                today - t->latest == 1 ? "" : "s", t->job[0].loss);
        }
    }
}

void notices_derive(const struct room *room, const struct state *s, const struct agenda *a,
                    int64_t now_s, struct notices *out)
{
    *out = (struct notices){0};
    notice_reservoir(room, s, now_s, out);
    notice_alarms(room, s, now_s, out);
    notice_heat(room, s, now_s, out);
    notice_sightings(room, s, now_s, out);
    notice_stock(room, s, out);
    notice_source(room, s, a, now_s, out);
    notice_overdue(room, a, now_s, out);
    /* A name that was changed in the room file alone leaves its history behind; nothing else
     * tells of it. */
    if (s->n_skipped) {
        add(out, "skipped", "room",
            "%lld of the journal's entries %s about things that the room file no longer has; %s "
            "kept",
            (long long)s->n_skipped, s->n_skipped == 1 ? "is" : "are",
            s->n_skipped == 1 ? "it is" : "they are");
    }
}

/* All others come with an entry or with the day's start, at which the daemon looks anyway. The
 * draw is known, so these two instants are as well, and it need not wake to look. */
int64_t notices_next_s(const struct room *room, const struct state *s, int64_t now_s)
{
    int64_t low_s = forecast_reservoir_at_s(room, s, room->reservoir.low_l, now_s);
    int64_t empty_s = forecast_reservoir_at_s(room, s, room->reservoir.remainder_l, now_s);

    return low_s > now_s ? low_s : empty_s > now_s ? empty_s : FORECAST_NEVER;
}
