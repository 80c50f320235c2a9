#include "daemon/core/tasks/feeding.h"

#include "daemon/base/mem.h"
#include "daemon/base/order.h"
#include "daemon/core/model/solution.h"
#include "daemon/core/state/dosing.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/pace.h"
#include "daemon/core/state/strength.h"
#include "daemon/core/tasks/bump.h"
#include "daemon/core/tasks/visiting.h"

#include <math.h>
#include <stdlib.h>

#define DAY_S      86400
#define WEEK       7
#define NARROW     0.75
#define OVER       1.15
#define CHANGE_MIN 5    /* a day that a change is late, in minutes; as change_plan.c has it */
#define FILL_FRAC  0.25 /* of the usable volume is gone: it is filled along with a visit */

/* A container that is lived forward, and what was done to it. */
struct living {
    const struct room *room;
    const struct state *s;
    size_t i;
    struct container_state cs;
    int64_t since_s; /* this solution is on float since */
    struct feeding done;
    double share;              /* its food of what its stage wants, this morning */
    double fall;               /* … and how much less that is than the day before */
    double known_day;          /* its figures are known since */
    int spent_day;             /* mornings on which it was found spent, since a visit */
    const struct stage *stage; /* NULL: nothing is done to it today */
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
    struct room worked = pace_room(room, s);
    struct feeding sum = {0};

    for (size_t i = 0; i < s->n_containers; i++) {
        struct feeding one;

        if (s->container[i].crop < 0 || s->container[i].drained) {
            continue;
        }
        one = foresee_one(&worked, s, i, now_s, days);
        sum.bumps += one.bumps;
        sum.changes += one.changes;
        sum.minutes += one.minutes;
        sum.short_day += one.short_day;
    }
    return sum;
}

/* ---- weeks with visits */

struct weeks {
    const struct room *room;
    struct living *l;
    size_t n;
    double day;        /* from now */
    double waited_min; /* what waiting has cost since the last visit */
    int suffers_day;   /* the most of their spent_day */
    double drawn_l;    /* by floats, since the last fill */
    double float_looks, narrow_looks;
    struct feeding_week sum;
};

static double wanted_food(const struct living *l)
{
    const struct crop *crop = &l->room->crop[l->cs.crop];

    return strength_food_ms_cm(l->room, strength_target_ms_cm(l->room, crop, l->stage));
}

static double on_float_day(const struct living *l, int64_t t_s)
{
    return (double)(t_s - l->since_s) / DAY_S;
}

static void look(struct weeks *w, const struct living *l)
{
    double share = solution_food_ms_cm(l->cs.body) / wanted_food(l);

    w->float_looks += 1;
    w->narrow_looks += share >= NARROW && share <= OVER;
}

/* A night more: what it drank, and what it costs that nobody came. */
static void pass_night(struct weeks *w, struct living *l, int64_t t_s)
{
    const struct crop *crop = &w->room->crop[l->cs.crop];
    double before_l = l->cs.drawn_l;
    double due;
    double food;

    l->stage = NULL;
    if ((double)(t_s - l->cs.started_s) > crop->harvest_day * DAY_S) {
        return;
    }
    live_to(l, t_s);
    if (!l->cs.reached_s) {
        return;
    }
    l->stage = &crop->stage[forecast_as(w->room, l->s, l->i, &l->cs, t_s).stage];
    w->drawn_l += l->cs.drawn_l - before_l;
    w->sum.water_l += l->cs.drawn_l - before_l;
    food = solution_food_ms_cm(l->cs.body);
    l->fall = fmax(0, l->share - food / wanted_food(l));
    l->share = food / wanted_food(l);
    due = strength_share_ms_cm(w->room, &l->cs, l->stage, strength_bump_frac(w->room, l->stage));
    if (food < due) {
        w->waited_min += 100 * BUMP_PCT_MIN * fmin(l->fall, BUMP_FALL_MOST);
    }
    if (on_float_day(l, t_s) > l->stage->life_max_day) {
        w->waited_min += CHANGE_MIN;
    }
    l->spent_day += food < strength_spent_ms_cm(w->room, &l->cs, l->stage);
    w->suffers_day = order_max(w->suffers_day, l->spent_day);
    look(w, l);
}

/* What is done to it on a visit; gives whether it was changed. */
static bool tend(struct weeks *w, struct living *l, int64_t t_s)
{
    double wanted = strength_food_ms_cm(w->room, strength_next_ms_cm(w->room, &l->cs, l->stage));
    double above = 1 + BUMP_ABOVE * w->room->tolerance_pct / 100;
    double worth = above - BUMP_WORTH * (above - strength_bump_frac(w->room, l->stage));
    double every_day = w->room->care_every_day[CARE_READ];
    double food = solution_food_ms_cm(l->cs.body);
    bool changes =
        food < worth * wanted && on_float_day(l, t_s) >= l->stage->life_max_day - DRAWN_D;

    if (changes) {
        change(l, l->stage, t_s);
        w->sum.water_l += w->room->container[l->i].float_volume_l;
    } else if (food < worth * wanted) {
        strengthen(l, l->stage, wanted * above);
        l->done.minutes += w->room->labour.bump_min;
    } else if (every_day > 0 && w->day - l->known_day >= every_day - 1) {
        l->done.minutes += w->room->labour.read_min;
    } else {
        return false;
    }
    l->known_day = w->day;
    l->share = solution_food_ms_cm(l->cs.body) / wanted_food(l);
    return changes;
}

static void visit(struct weeks *w, int64_t t_s)
{
    const struct reservoir *v = &w->room->reservoir;
    bool mixes = false;

    for (size_t k = 0; k < w->n; k++) {
        w->l[k].spent_day = 0;
        if (w->l[k].stage) {
            mixes = tend(w, &w->l[k], t_s) || mixes;
        }
    }
    w->sum.visits += 1;
    w->sum.minutes += w->room->labour.visit_min;
    if (mixes) { /* and filled after it */
        w->sum.minutes += w->room->labour.changeover_min + w->room->labour.load_min;
        w->drawn_l = 0;
    } else if (w->drawn_l > FILL_FRAC * (v->capacity_l - v->remainder_l)) {
        w->sum.minutes += w->room->labour.fill_min;
        w->drawn_l = 0;
    }
    w->waited_min = 0;
    w->suffers_day = 0;
}

/* Nobody comes on a day off; the reservoir is never let run down to what stays in it. */
static bool is_worth_a_visit(const struct weeks *w, int32_t day)
{
    const struct reservoir *v = &w->room->reservoir;
    double usable_l = v->capacity_l - v->remainder_l;
    double a_day_l = w->day > 0 ? w->sum.water_l / w->day : 0;

    return !room_is_off(w->room, day) &&
           (w->waited_min >= visiting_weighs(w->room) * w->room->labour.visit_min ||
            w->suffers_day >= BUMP_LATE_D || w->drawn_l + 2 * a_day_l > usable_l);
}

static struct living *begin_living(const struct room *room, const struct state *s, int64_t now_s,
                                   double thirst_sd, size_t *out_n)
{
    static const struct lean thirst = {{1}};
    struct living *l = mem_array(s->n_containers + 1, sizeof *l);
    size_t n = 0;

    for (size_t i = 0; i < s->n_containers; i++) {
        const struct container_state *cs = &s->container[i];
        int64_t since_s;

        if (cs->crop < 0 || cs->drained) {
            continue;
        }
        since_s = forecast_solution_since_s(room, s, i);
        l[n] = (struct living){.room = room, .s = s, .i = i, .cs = *cs};
        l[n].since_s = since_s < now_s ? since_s : now_s;
        l[n].cs.curve =
            belief_stepped(&cs->curve, BELIEF_LN_THETA,
                           thirst_sd * sqrt(belief_var(&cs->belief, &s->common, &thirst)));
        n++;
    }
    *out_n = n;
    return l;
}

struct feeding_week feeding_week(const struct room *room, const struct state *s, int64_t now_s,
                                 int days, double thirst_sd)
{
    struct room worked = pace_room(room, s);
    struct weeks w = {.room = &worked};
    double per_week = (double)WEEK / days;

    w.l = begin_living(&worked, s, now_s, thirst_sd, &w.n);
    for (int day = 1; day <= days; day++) {
        int64_t t_s = now_s + (int64_t)day * DAY_S;

        w.day = day;
        for (size_t k = 0; k < w.n; k++) {
            pass_night(&w, &w.l[k], t_s);
        }
        if (is_worth_a_visit(&w, zone_day(&room->zone, t_s))) {
            visit(&w, t_s);
        }
        for (size_t k = 0; k < w.n; k++) {
            if (w.l[k].stage) {
                look(&w, &w.l[k]);
            }
        }
    }
    for (size_t k = 0; k < w.n; k++) {
        w.sum.minutes += w.l[k].done.minutes;
    }
    free(w.l);
    return (struct feeding_week){.visits = w.sum.visits * per_week,
                                 .minutes = w.sum.minutes * per_week,
                                 .narrow_pct =
                                     w.float_looks > 0 ? 100 * w.narrow_looks / w.float_looks : 100,
                                 .water_l = w.sum.water_l * per_week};
}
