#include "daemon/serve/api/advise.h"

#include "daemon/base/order.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/tasks/feeding.h"
#include "daemon/core/tasks/what_if.h"
#include "daemon/serve/api/shapes.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define ADVISE_DAYS 28 /* two lives of a solution */
#define BEST        3
#define ADVICE_MAX  5
#define ADVICE_TEXT 96
#define FEED_SHARE  0.4 /* of the strongest food: more builds up where plants drink fast */
#define TIMES       2.0 /* as large a vessel, or reservoir */
#define MINUTES_A_PCT                                                                              \
    3.0 /* that a percent more of days in the narrow band is worth; our own choice */
#define DOUBT_SD 1.0

/* A week as likely as not, and where plants are a standard deviation less or more thirsty. */
struct weeks {
    struct feeding_week less, mid, more;
};

struct advice {
    char text[ADVICE_TEXT];
    struct weeks then;
    double saves_lo, saves_mid, saves_hi; /* minutes a week */
    double worth;
};

static struct weeks weeks_of(const struct room *room, const struct state *s, int64_t now_s)
{
    return (struct weeks){feeding_week(room, s, now_s, ADVISE_DAYS, -DOUBT_SD),
                          feeding_week(room, s, now_s, ADVISE_DAYS, 0),
                          feeding_week(room, s, now_s, ADVISE_DAYS, DOUBT_SD)};
}

static json_t *out_week(const struct feeding_week *w)
{
    return json_pack("{s:o,s:o,s:o,s:o}", "visits", out_number(w->visits), "minutes",
                     out_number(w->minutes), "narrow_pct", out_number(w->narrow_pct), "water_l",
                     out_number(w->water_l));
}

static json_t *list_dial(const struct room *room, const struct state *s, int64_t now_s)
{
    static const enum strength_dial in_order[] = {STRENGTH_CLOSE, STRENGTH_USUAL, STRENGTH_EASY};
    json_t *list = json_array();

    for (size_t k = 0; k < sizeof in_order / sizeof *in_order; k++) {
        struct room supposed = *room; /* of which nothing but the dial is another */
        struct feeding_week week;

        supposed.strength = in_order[k];
        week = feeding_week(&supposed, s, now_s, ADVISE_DAYS, 0);
        json_array_append_new(
            list, json_pack("{s:s,s:b,s:o}", "strength", strength_dial_words[in_order[k]], "set",
                            room->strength == in_order[k], "week", out_week(&week)));
    }
    return list;
}

/* ---- what might be worth it */

static double strongest_ms_cm(const struct room *room, const struct state *s)
{
    double most = 0;

    for (size_t i = 0; i < room->n_containers; i++) {
        const struct crop *crop = &room->crop[room->container[i].crop];

        for (size_t k = 0; k < crop->n_stages && s->container[i].crop >= 0; k++) {
            most = fmax(most, crop->stage[k].ec_ms_cm);
        }
    }
    return most;
}

/* The one that drinks most of what its vessel holds in a day; n_containers = nothing grows. */
static size_t thirstiest(const struct room *room, const struct state *s)
{
    size_t found = room->n_containers;
    double most = 0;

    for (size_t i = 0; i < room->n_containers; i++) {
        double turns = s->container[i].crop < 0 ? 0
                                                : room->crop[s->container[i].crop].use.most_l_day /
                                                      room->container[i].float_volume_l;

        if (turns > most) {
            most = turns;
            found = i;
        }
    }
    return found;
}

static size_t list_ideas(const struct room *room, const struct state *s, struct advice *out)
{
    static const char *const weekdays[] = {"monday", "tuesday",  "wednesday", "thursday",
                                           "friday", "saturday", "sunday"};
    size_t i = thirstiest(room, s);
    size_t n = 0;

    if (!room_feeds(room) && room->n_recipes) {
        (void)snprintf(out[n++].text, ADVICE_TEXT, "feed %.1f mS/cm",
                       FEED_SHARE * strongest_ms_cm(room, s) + room->source.ec_ms_cm);
    }
    if (i < room->n_containers) {
        (void)snprintf(out[n++].text, ADVICE_TEXT, "float %.1f L like %s",
                       TIMES * room->container[i].float_volume_l, room->container[i].name);
    }
    (void)snprintf(out[n++].text, ADVICE_TEXT, "reservoir %.0f L",
                   TIMES * room->reservoir.capacity_l);
    for (int day = 0; day < 7; day++) {
        if (!(room->labour.budget_min[day] > 0)) {
            (void)snprintf(out[n++].text, ADVICE_TEXT, "work %s", weekdays[day]);
            break;
        }
    }
    return n;
}

/* False where it cannot be supposed of this room. */
static bool weigh(const struct room *room, const struct state *s, int64_t now_s,
                  const struct weeks *is, struct advice *a)
{
    struct what_if w;
    struct err e;
    bool can;
    double each[3];

    what_if_init(&w, room, s);
    can = what_if_suppose(&w, a->text, zone_day(&room->zone, now_s), &e) == 0;
    if (can) {
        a->then = weeks_of(&w.room, &w.s, now_s);
        each[0] = is->less.minutes - a->then.less.minutes;
        each[1] = is->mid.minutes - a->then.mid.minutes;
        each[2] = is->more.minutes - a->then.more.minutes;
        a->saves_mid = each[1];
        a->saves_lo = fmin(each[1], fmin(each[0], each[2]));
        a->saves_hi = fmax(each[1], fmax(each[0], each[2]));
        a->worth = a->saves_mid + MINUTES_A_PCT * (a->then.mid.narrow_pct - is->mid.narrow_pct);
    }
    what_if_deinit(&w);
    return can;
}

static int by_worth(const void *pa, const void *pb)
{
    const struct advice *a = pa;
    const struct advice *b = pb;

    return ORDER(b->worth, a->worth);
}

static json_t *list_advice(const struct room *room, const struct state *s, int64_t now_s,
                           const struct weeks *is)
{
    struct advice a[ADVICE_MAX] = {0};
    json_t *list = json_array();
    size_t n = list_ideas(room, s, a);
    size_t kept = 0;

    for (size_t i = 0; i < n; i++) {
        if (weigh(room, s, now_s, is, &a[i])) {
            a[kept++] = a[i];
        }
    }
    qsort(a, kept, sizeof *a, by_worth);
    for (size_t i = 0; i < kept && i < BEST && a[i].worth > 0; i++) {
        json_array_append_new(
            list, json_pack("{s:s,s:o,s:{s:o,s:o,s:o}}", "if", a[i].text, "week",
                            out_week(&a[i].then.mid), "saves_min", "lo", out_number(a[i].saves_lo),
                            "mid", out_number(a[i].saves_mid), "hi", out_number(a[i].saves_hi)));
    }
    return list;
}

json_t *advise(const struct room *room, const struct state *s, int64_t now_s)
{
    struct weeks is = weeks_of(room, s, now_s);

    return json_pack("{s:i,s:o,s:o,s:o}", "days", ADVISE_DAYS, "week", out_week(&is.mid), "dial",
                     list_dial(room, s, now_s), "advice", list_advice(room, s, now_s, &is));
}
