#include "daemon/core/tasks/feeding.h"

#include "daemon/core/model/solution.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/strength.h"

#include <math.h>

#define DAY_S 86400

/* A container that is lived forward, and what was done to it. */
struct living {
    const struct room *room;
    const struct state *s;
    size_t i;
    struct container_state cs;
    int64_t since_s; /* this solution is on float since */
    struct feeding done;
};

/* Brings it to an instant, with what is forecast of it. */
static void live_to(struct living *l, int64_t t_s)
{
    struct forecast f = forecast_as(l->room, l->s, l->i, &l->cs, t_s);

    l->cs.feed = forecast_feed_as(l->room, l->s, l->i, &l->cs, t_s);
    l->cs.body = f.body;
    l->cs.drawn_l = f.drawn_l;
    l->cs.condition = f.condition;
    l->cs.at_s = t_s;
    if (f.condition == CONDITION_ON_FLOAT && !l->cs.reached_s) {
        l->cs.reached_s = l->since_s = t_s;
    }
}

/* Made to a strength, of source water or in what is there. */
static void strengthen(struct living *l, const struct stage *stage, double food_ms_cm)
{
    double gain = fmax(0, food_ms_cm - solution_food_ms_cm(l->cs.body));
    struct nutrients more = dosing_feed(l->room, l->s, stage->recipe_at, gain);

    if (!nutrients_none(&l->cs.feed)) {
        nutrients_add(&l->cs.feed, &more, 1);
    }
    l->cs.body.ec_ms_cm =
        l->cs.body.water_ms_cm + fmax(food_ms_cm, solution_food_ms_cm(l->cs.body));
    l->cs.strength_ms_cm = strength_as_fresh_ms_cm(l->room, l->cs.body);
}

static void change(struct living *l, const struct stage *stage, int64_t t_s)
{
    double next = strength_next_ms_cm(l->room, &l->cs, stage);
    bool known = !nutrients_none(&l->cs.feed);

    l->cs.body = (struct liquid){l->room->container[l->i].float_volume_l, l->room->source.ec_ms_cm,
                                 l->room->source.ec_ms_cm};
    l->cs.feed =
        known ? dosing_feed(l->room, l->s, stage->recipe_at, strength_food_ms_cm(l->room, next))
              : (struct nutrients){0};
    nutrients_add(&l->cs.feed, &l->room->source.brings, 1);
    l->cs.body.ec_ms_cm = next;
    l->cs.strength_ms_cm = next;
    l->since_s = t_s;
    l->done.changes++;
    l->done.minutes += l->room->labour.change_min;
}

static void work(struct living *l, const struct stage *stage, int64_t t_s)
{
    double wanted = strength_food_ms_cm(l->room, strength_next_ms_cm(l->room, &l->cs, stage));
    double food = solution_food_ms_cm(l->cs.body);
    double days = (double)(t_s - l->since_s) / DAY_S;
    enum feed lacks;
    struct strength_least least = strength_least_of(l->room, l->s, &l->cs, stage);
    bool lack = strength_is_short(&least, &l->cs.feed, &lacks);
    bool spent = food < strength_spent_ms_cm(l->room, &l->cs, stage);
    bool worth =
        food < strength_share_ms_cm(l->room, &l->cs, stage, strength_bump_frac(l->room, stage));
    bool gathered =
        strength_gathered_frac(l->room, &l->cs, l->cs.body) > l->room->ballast_pct / 100;

    l->done.short_day += lack || spent;
    if (days >= stage->life_max_day || (gathered && days >= stage->life_min_day) ||
        (lack && food > STRENGTH_BUMP_MENDS * wanted)) {
        change(l, stage, t_s);
    } else if (lack || spent || worth) {
        strengthen(l, stage, wanted * (1 + l->room->tolerance_pct / 100));
        l->done.bumps++;
        l->done.minutes += l->room->labour.bump_min;
    }
}

static struct feeding foresee_one(const struct room *room, const struct state *s, size_t i,
                                  int64_t now_s, int days)
{
    struct living l = {.room = room, .s = s, .i = i, .cs = s->container[i]};
    const struct crop *crop = &room->crop[l.cs.crop];
    int64_t since_s = forecast_solution_since_s(room, s, i);

    l.since_s = since_s < now_s ? since_s : now_s;
    for (int day = 1; day <= days; day++) {
        int64_t t_s = now_s + (int64_t)day * DAY_S;

        if ((double)(t_s - l.cs.started_s) > crop->harvest_day * DAY_S) {
            break;
        }
        live_to(&l, t_s);
        if (l.cs.reached_s) {
            int stage = forecast_as(room, s, i, &l.cs, t_s).stage;

            work(&l, &crop->stage[stage], t_s);
        }
    }
    return l.done;
}

struct feeding feeding_foresee(const struct room *room, const struct state *s, int64_t now_s,
                               int days)
{
    struct feeding sum = {0};

    for (size_t i = 0; i < s->n_containers; i++) {
        struct feeding one;

        if (s->container[i].crop < 0 || s->container[i].drained) {
            continue;
        }
        one = foresee_one(room, s, i, now_s, days);
        sum.bumps += one.bumps;
        sum.changes += one.changes;
        sum.minutes += one.minutes;
        sum.short_day += one.short_day;
    }
    return sum;
}
