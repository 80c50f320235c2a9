#include "daemon/core/state/prediction.h"

#include "daemon/core/state/reading_error.h"

#include <math.h>

#define DAY_S            86400.0
#define HORIZON_S        (366 * 86400LL) /* no planting is longer */
#define STEP             0.02 /* of ln half or ln spread: over the kink where a float opens */
#define MODEL_FRAC       0.08 /* what a sum of curves misses; set by predictbench */
#define ALIKE            0.5  /* correlation of what plants differ by from their crop's file */
#define RESERVOIR_ROUNDS 3    /* the doubt changes little from day to day: they settle */
#define GROWTH_FRAC      0.20 /* of ln of the growth that is still to come: curves are not plants */
#define GROWTH_MOST      1.0  /* … of which a seedling's is another matter */
#define GROWS_FRAC       0.80 /* … and of what a reservoir is to give beyond what it gives now */
#define RATIO_FRAC       0.2  /* of what is taken: plants differ in their proportions */
#define NEAR_S           600  /* nobody needs it nearer than ten minutes */

static double age_at(const struct container_state *cs, int64_t t_s)
{
    return (double)(t_s - cs->started_s) / DAY_S;
}

/* What the room's factor will have wandered by then. */
static double room_drift_var(const struct state *s, int64_t t_s)
{
    return belief_room_drift_ahead_var((double)(t_s - s->wandered_s) / DAY_S);
}

/* … and a plant from its factor. */
static double own_drift_var(const struct container_state *cs, int64_t t_s)
{
    return belief_drift_ahead_var((double)(t_s - cs->wandered_s) / DAY_S);
}

double predict_float_p(const struct room *room, const struct state *s, size_t i, int64_t t_s)
{
    const struct container *c = &room->container[i];
    const struct container_state *cs = &s->container[i];
    bool odd = cs->odd_s > cs->level_s; /* what was told last counts, learned from or not */
    double from = age_at(cs, odd ? cs->odd_s : cs->level_s);
    double to = age_at(cs, t_s);
    double need_l = (odd ? cs->odd_l : cs->level_l) - c->float_volume_l;
    double use_l;
    double level_frac;
    double growth;
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
    growth = fmin(GROWTH_MOST, log(use_l / ((to - from) * curve_rate_l_day(&cs->curve, 1, from))));
    level_frac = reading_level_sd_l(c) / need_l;
    return normal_below(
        log(use_l / need_l) /
        (record_scale(&s->levels) *
         sqrt(belief_var(&cs->belief, &s->common, &lean) + belief_weather_var(to - from) +
              own_drift_var(cs, t_s) + room_drift_var(s, t_s) +
              GROWTH_FRAC * GROWTH_FRAC * growth * growth + level_frac * level_frac)));
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
    int64_t told_s = cs->odd_s > cs->level_s ? cs->odd_s : cs->level_s;
    int64_t from_s = told_s > cs->not_float_s ? told_s : cs->not_float_s;

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
    double scale;

    if (cs->crop < 0) {
        return (struct gauss){cs->body.ec_ms_cm, 0};
    }
    forecast_ec_by(room, s, i, t_s, by);
    thirst = forecast_ec_thirst(by);
    scale = record_scale(&s->strengths);
    return (struct gauss){
        forecast_container(room, s, i, t_s).body.ec_ms_cm,
        cs->ec_var +
            scale * scale *
                (belief_var(&cs->belief, &s->common, &thirst) +
                 by[EC_BY_APPETITE] * by[EC_BY_APPETITE] * cs->belief.appetite.var +
                 by[BELIEF_LN_THETA] * by[BELIEF_LN_THETA] *
                     (belief_weather_var(days) + own_drift_var(cs, t_s) + room_drift_var(s, t_s)))};
}

/* The likeliest way to so rare a strength: what is doubted of the take, and of the strength that it
 * began with, each moved by its share of the doubt (the design point of first-order reliability:
 * Hasofer & Lind 1974, J. Eng. Mech. Div. 100:111), and lived forward. */
double predict_ec_at(const struct room *room, const struct state *s, size_t i, int64_t t_s,
                     double p)
{
    struct container_state cs = s->container[i];
    struct gauss ec = predict_ec(room, s, i, t_s);
    double sd = sqrt(ec.var);
    double z = normal_quantile(p);
    double by[EC_BY_N];
    double take_var = ec.var - cs.ec_var;

    if (cs.crop < 0 || !(ec.var > 0)) {
        return ec.mean;
    }
    forecast_ec_by(room, s, i, t_s, by);
    if (by[EC_BY_APPETITE] != 0) {
        cs.appetite *= exp(z * take_var / (sd * by[EC_BY_APPETITE]));
    }
    cs.body.ec_ms_cm = fmax(cs.body.water_ms_cm, cs.body.ec_ms_cm + z * cs.ec_var / sd);
    return forecast_as(room, s, i, &cs, t_s).body.ec_ms_cm;
}

void predict_feed_sd_mg_l(const struct room *room, const struct state *s, size_t i, int64_t t_s,
                          double out_sd[FEED_COUNT])
{
    const struct container_state *cs = &s->container[i];
    struct forecast f = forecast_container(room, s, i, t_s);
    double ec_sd = sqrt(predict_ec(room, s, i, t_s).var);
    double went_ms_cm = fmax(0, cs->strength_ms_cm - f.body.ec_ms_cm);

    for (int k = 0; k < FEED_COUNT; k++) {
        double with_1_ms_cm =
            f.stage < 0
                ? 0
                : nutrients_feed_mg(crop_takes(&room->crop[cs->crop], f.stage), (enum feed)k);

        out_sd[k] = with_1_ms_cm * hypot(ec_sd, RATIO_FRAC * went_ms_cm);
    }
}

/* Of a strength that is taken for normal: near the threshold, where it is asked for, the curve of
 * the mean is nearly straight in what is believed. */
static double p_food_below(const struct question *q, int64_t t_s)
{
    struct gauss ec = predict_ec(q->room, q->s, q->i, t_s);
    struct forecast f = forecast_container(q->room, q->s, q->i, t_s);

    return normal_below((q->level - solution_food_ms_cm(f.body)) / sqrt(ec.var));
}

int64_t predict_food_below_s(const struct room *room, const struct state *s, size_t i,
                             double food_low, double p, int64_t from_s)
{
    struct question q = {.room = room, .s = s, .i = i, .level = food_low, .p = p_food_below};

    return s->container[i].crop < 0 || s->container[i].drained ? FORECAST_NEVER
                                                               : first_with(&q, p, from_s);
}

/* Litres that a container draws between two instants, had it a state of *cs. */
static double draws_as(const struct room *room, const struct state *s, size_t i,
                       const struct container_state *cs, int64_t from_s, int64_t to_s)
{
    return forecast_as(room, s, i, cs, to_s).drawn_l - forecast_as(room, s, i, cs, from_s).drawn_l;
}

/* The litres of one container: their mean, their own variance given the room, and how they lean on
 * the room's factor. One that is not at its float yet draws later when it drinks less, so the whole
 * way is asked, not just the rate: ln theta at its mean and a standard deviation to either side. */
struct share {
    double mean, own_var;
    double grows_l; /* of the mean, what it draws more than it does at the beginning */
    struct room_lean room_lean;
};

static struct share share_of(const struct room *room, const struct state *s, size_t i,
                             int64_t from_s, int64_t to_s)
{
    static const struct lean thirst = {{1}};
    const struct container_state *cs = &s->container[i];
    struct container_state other = *cs;
    double sd = sqrt(belief_var(&cs->belief, &s->common, &thirst));
    double middle = draws_as(room, s, i, cs, from_s, to_s);
    struct lean lean;
    double more;
    double less;
    double begins_l;

    other.curve = belief_stepped(&cs->curve, BELIEF_LN_THETA, sd);
    more = draws_as(room, s, i, &other, from_s, to_s);
    other.curve = belief_stepped(&cs->curve, BELIEF_LN_THETA, -sd);
    less = draws_as(room, s, i, &other, from_s, to_s);
    lean.h[BELIEF_LN_THETA] = (more - less) / (2 * sd);
    for (int k = BELIEF_LN_THETA + 1; k < BELIEF_N; k++) {
        other.curve = belief_stepped(&cs->curve, k, STEP);
        lean.h[k] = (draws_as(room, s, i, &other, from_s, to_s) - middle) / STEP;
    }
    begins_l = draws_as(room, s, i, cs, from_s, from_s + NEAR_S) * (double)(to_s - from_s) / NEAR_S;
    return (struct share){middle + (more + less - 2 * middle) / 2,
                          belief_own_var(&cs->belief, &lean) +
                              lean.h[BELIEF_LN_THETA] * lean.h[BELIEF_LN_THETA] *
                                  belief_drift_ahead_var((double)(to_s - from_s) / DAY_S),
                          fmax(0, middle - begins_l), belief_room_lean(&cs->belief, &lean)};
}

/* A crop's file that is wrong is wrong of all its plants, so what each differs by is partly the
 * same: ALIKE of it does not even out in the sum. */
struct gauss predict_draw_l(const struct room *room, const struct state *s, int64_t from_s,
                            int64_t to_s)
{
    double days = (double)(to_s - from_s) / DAY_S;
    struct room_lean room_lean = {{0}};
    double own_sd = 0;
    double grows_l = 0;
    struct gauss sum = {0};

    for (size_t i = 0; i < s->n_containers && to_s > from_s; i++) {
        struct share one;

        if (s->container[i].crop >= 0) {
            one = share_of(room, s, i, from_s, to_s);
            sum.mean += one.mean;
            sum.var += (1 - ALIKE) * one.own_var;
            own_sd += sqrt(one.own_var);
            grows_l += one.grows_l;
            for (int k = 0; k < ROOM_N; k++) {
                room_lean.of[k] += one.room_lean.of[k];
            }
        }
    }
    sum.var += ALIKE * own_sd * own_sd + belief_room_var(&s->common, &room_lean) +
               room_lean.of[ROOM_SIZE] * room_lean.of[ROOM_SIZE] * room_drift_var(s, to_s) +
               sum.mean * sum.mean * belief_weather_var(days) +
               GROWS_FRAC * GROWS_FRAC * grows_l * grows_l;
    return sum;
}

double predict_doubt_of(const struct gauss *gone)
{
    return gone->mean > 0 ? hypot(sqrt(gone->var) / gone->mean, MODEL_FRAC) : 0;
}

/* The middle of the draw of which `spare` litres are the p-th part, give or take what the wall's
 * mark is read with. A sum of thirsts is skewed as they are: its logarithm is taken for normal. */
static double draw_for(double spare_l, double z, double share, double mark_sd)
{
    return spare_l > 0 ? spare_l * exp(z * hypot(share, mark_sd / spare_l)) : 0;
}

/* The doubt of what was drawn since the reservoir's anchor. Some containers have been anchored
 * since, by a reading or a bump, and of what these drew before nothing is asked any more: as many
 * days from when all of them stand at their anchors are as much in doubt. */
static double doubt_until(const struct room *room, const struct state *s, int64_t t_s)
{
    int64_t from_s = s->reservoir.at_s;
    int64_t days_s = t_s > from_s ? t_s - from_s : 1;
    struct gauss gone;

    for (size_t i = 0; i < s->n_containers; i++) {
        if (s->container[i].crop >= 0 && s->container[i].at_s > from_s) {
            from_s = s->container[i].at_s;
        }
    }
    gone = predict_draw_l(room, s, from_s, from_s + days_s);
    return predict_doubt_of(&gone) * record_scale_beside(&s->draws, &s->levels);
}

double predict_reservoir_l(const struct room *room, const struct state *s, int64_t t_s, double p)
{
    const struct reservoir_state *r = &s->reservoir;
    double mark_sd = reading_reservoir_sd_l(&room->reservoir);
    double z = normal_quantile(p);
    double middle_l;

    if (!r->at_s || r->holds_mix) {
        return 0;
    }
    middle_l = fmax(0, forecast_drawn_l(room, s, t_s) - r->drawn_l);
    return fmax(0, r->body.volume_l - middle_l * exp(-z * doubt_until(room, s, t_s)) + z * mark_sd);
}

int64_t predict_reservoir_s(const struct room *room, const struct state *s, double volume_l,
                            double p, int64_t from_s)
{
    const struct reservoir_state *r = &s->reservoir;
    double mark_sd = reading_reservoir_sd_l(&room->reservoir);
    double spare_l = r->body.volume_l - volume_l;
    double z = normal_quantile(p);
    int64_t t_s = forecast_reservoir_at_s(room, s, volume_l, from_s);

    /* The doubt is asked for at the day that comes of it; it changes little from day to day. */
    for (int i = 0; i < RESERVOIR_ROUNDS && r->at_s && t_s != FORECAST_NEVER; i++) {
        double share = doubt_until(room, s, t_s);

        t_s = forecast_reservoir_at_s(
            room, s, r->body.volume_l - draw_for(spare_l, z, share, mark_sd), from_s);
    }
    return t_s;
}
