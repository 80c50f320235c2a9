#include "daemon/core/predict.h"

#include "daemon/core/observe.h"

#include <math.h>

#define DAY_S     86400.0
#define HORIZON_S (366 * 86400LL)
#define NEAR_S    600 /* nobody needs it nearer than ten minutes */

static double age_at(const struct container_state *cs, int64_t t_s)
{
    return (double)(t_s - cs->started_s) / DAY_S;
}

double predict_float_p(const struct room *room, const struct state *s, size_t i, int64_t t_s)
{
    const struct container *c = &room->container[i];
    const struct container_state *cs = &s->container[i];
    double from = age_at(cs, cs->level_s);
    double to = age_at(cs, t_s);
    double need_l = cs->level_l - c->float_volume_l;
    double use_l;
    double level_frac;
    struct lean lean;

    if (cs->crop < 0) {
        return 0;
    }
    if (cs->float_s || need_l <= 0 || cs->level_s == 0) {
        return 1;
    }
    use_l = curve_use_l(&cs->curve, 1, from, to);
    if (!(use_l > 0)) {
        return 0;
    }
    lean = belief_lean(&cs->curve, from, to);
    level_frac = observe_level_sd(c) / need_l;
    return normal_below(log(use_l / need_l) /
                        sqrt(belief_var(&cs->belief, &s->factor, &lean) +
                             belief_weather_var(to - from) + level_frac * level_frac));
}

/* What has come with a probability that never falls: found by halving. */
struct question {
    const struct room *room;
    const struct state *s;
    size_t i;
    double level; /* a strength, or litres */
    double (*p)(const struct question *q, int64_t t_s);
};

static int64_t first_with(const struct question *q, double p, int64_t from_s)
{
    int64_t before = from_s;
    int64_t after = from_s + HORIZON_S;

    if (q->p(q, before) >= p) {
        return before;
    }
    if (q->p(q, after) < p) {
        return FORECAST_NEVER;
    }
    while (after - before > NEAR_S) {
        int64_t middle = before + (after - before) / 2;

        if (q->p(q, middle) >= p) {
            after = middle;
        } else {
            before = middle;
        }
    }
    return after;
}

static double p_float(const struct question *q, int64_t t_s)
{
    return predict_float_p(q->room, q->s, q->i, t_s);
}

int64_t predict_float_s(const struct room *room, const struct state *s, size_t i, double p)
{
    const struct container_state *cs = &s->container[i];
    struct question q = {.room = room, .s = s, .i = i, .p = p_float};
    int64_t from_s = cs->level_s > cs->not_float_s ? cs->level_s : cs->not_float_s;

    if (cs->crop < 0) {
        return FORECAST_NEVER;
    }
    return cs->float_s ? cs->reached_s : first_with(&q, p, from_s);
}

struct gauss predict_ec(const struct room *room, const struct state *s, size_t i, int64_t t_s)
{
    const struct container_state *cs = &s->container[i];
    double by[EC_BY_N];
    struct lean thirst;
    double days = (double)(t_s - cs->at_s) / DAY_S;

    if (cs->crop < 0) {
        return (struct gauss){cs->body.ec_ms_cm, 0};
    }
    observe_ec_forecast(room, s, i, t_s, by);
    thirst = (struct lean){
        {by[EC_BY_THETA], by[EC_BY_SHIFT]}
    };
    return (struct gauss){forecast_container(room, s, i, t_s).body.ec_ms_cm,
                          cs->ec_var + belief_var(&cs->belief, &s->factor, &thirst) +
                              by[EC_BY_TAKE] * by[EC_BY_TAKE] * cs->belief.take.var +
                              by[EC_BY_THETA] * by[EC_BY_THETA] * belief_weather_var(days)};
}

static double p_ec_below(const struct question *q, int64_t t_s)
{
    struct gauss ec = predict_ec(q->room, q->s, q->i, t_s);

    return normal_below((q->level - ec.mean) / sqrt(ec.var));
}

int64_t predict_ec_below_s(const struct room *room, const struct state *s, size_t i, double ec_low,
                           double p, int64_t from_s)
{
    struct question q = {.room = room, .s = s, .i = i, .level = ec_low, .p = p_ec_below};

    return s->container[i].crop < 0 || s->container[i].drained ? FORECAST_NEVER
                                                               : first_with(&q, p, from_s);
}

/* The part of a window on which a container stood at its float. */
static struct lean lean_of_draw(const struct state *s, size_t i, int64_t from_s, int64_t to_s)
{
    const struct container_state *cs = &s->container[i];

    return belief_lean(&cs->curve, age_at(cs, cs->reached_s > from_s ? cs->reached_s : from_s),
                       age_at(cs, to_s));
}

struct gauss predict_draw_l(const struct room *room, const struct state *s, int64_t from_s,
                            int64_t to_s)
{
    double days = (double)(to_s - from_s) / DAY_S;
    double room_lean = 0;
    struct gauss sum = {0};

    for (size_t i = 0; i < s->n_containers && to_s > from_s; i++) {
        const struct container_state *cs = &s->container[i];
        double litres;
        struct lean lean;

        if (cs->crop < 0) {
            continue;
        }
        litres = forecast_container(room, s, i, to_s).drawn_l -
                 forecast_container(room, s, i, from_s).drawn_l;
        if (litres > 0) {
            lean = lean_of_draw(s, i, from_s, to_s);
            sum.mean += litres;
            sum.var += litres * litres * belief_own_var(&cs->belief, &lean);
            room_lean += litres * belief_room_lean(&cs->belief, &lean);
        }
    }
    sum.var +=
        room_lean * room_lean * s->factor.var + sum.mean * sum.mean * belief_weather_var(days);
    return sum;
}

static double p_reservoir(const struct question *q, int64_t t_s)
{
    const struct reservoir_state *r = &q->s->reservoir;
    double sd = observe_reservoir_sd(&q->room->reservoir);
    struct gauss gone = predict_draw_l(q->room, q->s, r->at_s, t_s);

    return normal_below((q->level - (r->body.volume_l - gone.mean)) / sqrt(gone.var + sd * sd));
}

int64_t predict_reservoir_s(const struct room *room, const struct state *s, double volume_l,
                            double p, int64_t from_s)
{
    struct question q = {.room = room, .s = s, .level = volume_l, .p = p_reservoir};

    return s->reservoir.at_s && !s->reservoir.holds_mix ? first_with(&q, p, from_s)
                                                        : FORECAST_NEVER;
}
