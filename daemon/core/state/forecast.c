#include "daemon/core/state/forecast.h"

#include "daemon/core/model/uptake.h"

#include <math.h>
#include <string.h>

#define DAY_S     86400.0
#define HORIZON_S (366 * 86400LL) /* "never" is: not within a year */
#define MINUTE_S  60              /* a reservoir's low mark is asked for no nearer */
#define TAKES_OF_NA                                                                                \
    0.15 /* of its concentration: OD-TOM (Hemming et al. 2020), 0.07 of 0.3 to 0.5 … */
#define TAKES_OF_CL 0.7  /* … and 3.2 of 2.8 to 6 mmol/L */
#define SCARCE_FRAC 0.1  /* of what goes with a litre: below, a nutrient is taken in proportion */
#define EC_STEP     1e-4 /* for a derivative: small beside any doubt, large beside rounding */

/* A container carried forward from its anchor. Stages and the float line cut the way into legs on
 * each of which uptake is constant and the level either falls or stands. */
struct walk {
    const struct room *room;
    const struct container_state *cs;
    const struct crop *crop;
    double line_l;               /* the float line, at and below which it is topped up */
    struct liquid top;           /* of the water that the float lets in: its strengths … */
    const struct nutrients *fed; /* … and nutrients */
    struct nutrients *feed;      /* mg/L in the body; NULL = not asked for */
    double age_day;
    struct liquid body;
    double drawn_l;
    double float_age_day; /* age at which the line was met; INFINITY = not on this way */
};

static double age_at(const struct container_state *cs, int64_t t_s)
{
    return (double)(t_s - cs->started_s) / DAY_S;
}

/* Rounded up, so that at the instant what it is the instant of has come. */
static int64_t instant_at(const struct container_state *cs, double age_day)
{
    double s = age_day * DAY_S;

    return s < (double)(INT64_MAX / 4) ? cs->started_s + (int64_t)ceil(s) : FORECAST_NEVER;
}

/* The highest stage that a person has seen, or whose day has come; one that is only seen waits. */
static int stage_at(const struct crop *crop, int seen, double age_day)
{
    int at = 0;

    for (size_t k = 1; k < crop->n_stages; k++) {
        if ((int)k <= seen || (!crop->stage[k].seen_only && age_day >= crop->stage[k].from_day)) {
            at = (int)k;
        }
    }
    return at;
}

/* The age at which the next stage begins by itself. */
static double stage_end(const struct crop *crop, int stage, double age_day)
{
    double end = INFINITY;

    for (size_t k = (size_t)stage + 1; k < crop->n_stages; k++) {
        if (!crop->stage[k].seen_only && crop->stage[k].from_day > age_day) {
            end = fmin(end, crop->stage[k].from_day);
        }
    }
    return end;
}

/* While the reservoir holds a mix the containers are shut off from it, and an empty one gives
 * nothing: then the next water is what is kept in it. */
static bool is_fed(const struct state *s)
{
    return s->reservoir.at_s && !s->reservoir.holds_mix && s->reservoir.body.volume_l > 0;
}

static struct liquid top_of(const struct room *room, const struct state *s)
{
    return is_fed(s) ? s->reservoir.body
                     : (struct liquid){0, room_kept_ms_cm(room), room->source.ec_ms_cm};
}

static const struct nutrients *fed_by(const struct room *room, const struct state *s)
{
    return is_fed(s) ? &s->reservoir.feed : &room->source.brings;
}

/* A level below the line that is in question stays what was read until it is looked into: whether
 * the float lets in anything, and where it goes, nobody knows. */
static double line_of(const struct container *c, const struct container_state *cs)
{
    bool in_question = cs->alarms.of[ALARM_LOW].since_s || cs->alarms.of[ALARM_ODD].since_s;

    return in_question ? fmin(c->float_volume_l, cs->body.volume_l) : c->float_volume_l;
}

static struct walk walk_of(const struct room *room, const struct state *s, size_t i,
                           const struct container_state *cs)
{
    return (struct walk){
        .room = room,
        .line_l = line_of(&room->container[i], cs),
        .cs = cs,
        .crop = cs->crop >= 0 ? &room->crop[cs->crop] : NULL,
        .top = top_of(room, s),
        .fed = fed_by(room, s),
        .age_day = age_at(cs, cs->at_s),
        .body = cs->body,
        .drawn_l = cs->drawn_l,
        .float_age_day = INFINITY,
    };
}

static struct walk walk_from(const struct room *room, const struct state *s, size_t i)
{
    return walk_of(room, s, i, &s->container[i]);
}

/* At or below the line: the float is open until the level stands at it. */
static void walk_meet_float(struct walk *w)
{
    double short_l = w->line_l - w->body.volume_l;

    if (short_l > 0) {
        if (w->feed) {
            nutrients_pour(w->feed, w->body.volume_l, w->fed, short_l);
        }
        w->top.volume_l = short_l;
        w->body = solution_mix(w->body, w->top);
        w->drawn_l += short_l;
    }
    w->body.volume_l = w->line_l;
    w->float_age_day = fmin(w->float_age_day, w->age_day);
}

/* The nutrients in what has become of a body. What the crop does not say anything of goes as the
 * food does. */
static void walk_feed(struct walk *w, const struct nutrients *with_1_ms_cm, double uptake,
                      struct liquid was, double use_l)
{
    double food = solution_food_ms_cm(was);
    double rest = food > 0 ? solution_food_ms_cm(w->body) / food : 1;
    bool topped = w->body.volume_l >= was.volume_l;
    double volumes = topped ? use_l / was.volume_l : w->body.volume_l / was.volume_l;

    for (int k = 0; k < NUTRIENT_COUNT; k++) {
        double takes = with_1_ms_cm->mg[k] * uptake;
        struct uptake u = {takes, SCARCE_FRAC * takes};
        double c = w->feed->mg[k];

        if (k == NUTRIENT_NA || k == NUTRIENT_CL) {
            double share = k == NUTRIENT_NA ? TAKES_OF_NA : TAKES_OF_CL;

            w->feed->mg[k] = topped ? uptake_share_topped(c, volumes, share, w->fed->mg[k])
                                    : uptake_share_drawn(c, volumes, share);
        } else if (!(takes > 0)) {
            w->feed->mg[k] = c * rest;
        } else if (topped) {
            w->feed->mg[k] = uptake_topped(c, volumes, u, w->fed->mg[k]);
        } else if (volumes > 0) {
            w->feed->mg[k] = uptake_drawn(c, volumes, u);
        }
    }
}

/* One leg: to `to_day`, the next stage or the float line, whichever comes first. */
static void walk_leg(struct walk *w, double to_day)
{
    int stage = stage_at(w->crop, w->cs->stage, w->age_day);
    double uptake = w->crop->stage[stage].uptake_ms_cm * w->cs->appetite;
    double end = fmin(to_day, stage_end(w->crop, stage, w->age_day));
    double above_l = w->body.volume_l - w->line_l;
    double meet = above_l > 0 ? curve_age_day(&w->cs->curve, 1, w->age_day, above_l) : INFINITY;
    struct liquid was = w->body;
    double use_l = meet <= end ? above_l : curve_use_l(&w->cs->curve, 1, w->age_day, end);

    if (above_l > 0) {
        w->body = solution_drawn(was, use_l, uptake);
    } else {
        w->body = solution_topped(was, use_l, uptake, w->top);
        w->drawn_l += use_l;
    }
    if (w->feed) {
        walk_feed(w, crop_takes(w->crop, stage), uptake, was, use_l);
    }
    w->age_day = fmin(end, meet);
    if (meet <= end) {
        walk_meet_float(w);
    }
}

/* Ends, since each leg reaches its day, the next stage or the line, and there are a handful of
 * stages and one line. Shut off and drained nothing is drunk. */
static void walk_to(struct walk *w, double to_day)
{
    if (!w->crop || w->cs->drained) {
        return;
    }
    if (w->body.volume_l <= w->line_l) {
        walk_meet_float(w);
    }
    while (w->age_day < to_day) {
        walk_leg(w, to_day);
    }
}

struct forecast forecast_container(const struct room *room, const struct state *s, size_t i,
                                   int64_t t_s)
{
    return forecast_as(room, s, i, &s->container[i], t_s);
}

struct forecast forecast_as(const struct room *room, const struct state *s, size_t i,
                            const struct container_state *cs, int64_t t_s)
{
    struct walk w = walk_of(room, s, i, cs);
    struct forecast f = {.condition = cs->condition, .stage = -1};

    if (w.crop) {
        walk_to(&w, age_at(cs, t_s));
        f.age_day = fmax(w.age_day, age_at(cs, t_s));
        f.stage = stage_at(w.crop, cs->stage, f.age_day);
        f.use_l_day = curve_rate_l_day(&cs->curve, 1, f.age_day);
        if (isfinite(w.float_age_day)) {
            f.condition = CONDITION_ON_FLOAT;
        }
    }
    f.body = w.body;
    f.drawn_l = w.drawn_l;
    return f;
}

double forecast_drunk_l(const struct container_state *cs, const struct forecast *then)
{
    double drew_l = fmax(0, then->drawn_l - cs->drawn_l);

    return fmax(0, cs->body.volume_l - then->body.volume_l + drew_l);
}

double forecast_turns(const struct container_state *cs, const struct forecast *then)
{
    double held_l = (cs->body.volume_l + then->body.volume_l) / 2;

    return cs->crop >= 0 && held_l > 0 ? forecast_drunk_l(cs, then) / held_l : 0;
}

double forecast_turns_day(const struct forecast *f)
{
    return f->body.volume_l > 0 ? f->use_l_day / f->body.volume_l : 0;
}

double forecast_ph_day(const struct state *s, size_t i, const struct forecast *then)
{
    return ph_drift_ph_turn(&s->container[i].drift, &s->drift) * forecast_turns_day(then);
}

struct nutrients forecast_feed(const struct room *room, const struct state *s, size_t i,
                               int64_t t_s)
{
    return forecast_feed_as(room, s, i, &s->container[i], t_s);
}

struct nutrients forecast_feed_as(const struct room *room, const struct state *s, size_t i,
                                  const struct container_state *cs, int64_t t_s)
{
    struct nutrients feed = cs->feed;
    struct walk w = walk_of(room, s, i, cs);

    w.feed = &feed;
    walk_to(&w, age_at(cs, t_s));
    return feed;
}

/* What the EC at t_s becomes when one of the beliefs is a little more, the anchor's EC moved
 * along. */
static double ec_when(const struct room *room, const struct state *s, size_t i, int64_t t_s, int by)
{
    struct container_state cs = s->container[i];

    cs.body.ec_ms_cm = fmax(0, cs.body.ec_ms_cm + EC_STEP * cs.ec_by[by]);
    if (by == EC_BY_APPETITE) {
        cs.appetite *= exp(EC_STEP);
    } else {
        cs.curve = belief_stepped(&cs.curve, by, EC_STEP);
    }
    return forecast_as(room, s, i, &cs, t_s).body.ec_ms_cm;
}

void forecast_ec_by(const struct room *room, const struct state *s, size_t i, int64_t t_s,
                    double out_by[EC_BY_N])
{
    double ec = forecast_container(room, s, i, t_s).body.ec_ms_cm;

    for (int k = 0; k < EC_BY_N; k++) {
        out_by[k] = (ec_when(room, s, i, t_s, k) - ec) / EC_STEP;
    }
}

struct lean forecast_ec_thirst(const double by[EC_BY_N])
{
    struct lean out;

    memcpy(out.h, by, sizeof out.h);
    return out;
}

/* By the closed form at once: until the line no stage changes how fast the level falls, since
 * stages differ in what is taken up and not in what is drunk. */
int64_t forecast_float_s(const struct room *room, const struct state *s, size_t i)
{
    const struct container_state *cs = &s->container[i];
    struct walk w = walk_from(room, s, i);
    double above_l;

    if (!w.crop) {
        return FORECAST_NEVER;
    }
    if (cs->reached_s) {
        return cs->reached_s;
    }
    above_l = w.body.volume_l - w.line_l;
    if (above_l <= 0) {
        return cs->at_s;
    }
    return instant_at(cs, curve_age_day(&cs->curve, 1, w.age_day, above_l));
}

/* On float alone, where water is topped up and salt is not. Leg by leg, as walk_to goes, since
 * the uptake is another in each stage. */
int64_t forecast_food_below_s(const struct room *room, const struct state *s, size_t i,
                              double food_ms_cm, int64_t from_s)
{
    const struct container_state *cs = &s->container[i];
    struct walk w = walk_from(room, s, i);
    int64_t float_s = forecast_float_s(room, s, i);
    double last_day;

    if (!w.crop || float_s == FORECAST_NEVER || cs->drained) {
        return FORECAST_NEVER;
    }
    from_s = from_s > float_s ? from_s : float_s;
    walk_to(&w, age_at(cs, from_s));
    last_day = age_at(cs, from_s + HORIZON_S);
    while (w.age_day < last_day && solution_food_ms_cm(w.body) > food_ms_cm) {
        int stage = stage_at(w.crop, cs->stage, w.age_day);
        double end = fmin(last_day, stage_end(w.crop, stage, w.age_day));
        double use_l = solution_use_until(w.body, food_ms_cm,
                                          w.crop->stage[stage].uptake_ms_cm * cs->appetite, w.top);
        double meet = isfinite(use_l) ? curve_age_day(&cs->curve, 1, w.age_day, use_l) : INFINITY;

        if (meet <= end) {
            return instant_at(cs, meet);
        }
        walk_to(&w, end);
    }
    return solution_food_ms_cm(w.body) > food_ms_cm ? FORECAST_NEVER : instant_at(cs, w.age_day);
}

/* The life of a solution is counted from the float line: before that the container is drunk down
 * and not topped up, and the solution is the starting one. */
int64_t forecast_solution_since_s(const struct room *room, const struct state *s, size_t i)
{
    int64_t float_s = forecast_float_s(room, s, i);
    int64_t changed_s = s->container[i].changed_s;

    return float_s > changed_s ? float_s : changed_s;
}

/* Roots that grew in the air above the solution drown when it rises over them (common practice
 * with passive hydroponics; the rule itself stands in rules.c). A plant that is days old has
 * none yet. */
double forecast_safe_volume_of(const struct room *room, const struct state *s, size_t i,
                               const struct forecast *then)
{
    const struct container *c = &room->container[i];
    const struct container_state *cs = &s->container[i];

    if (cs->crop < 0) {
        return c->start_volume_l;
    }
    if (cs->reached_s || then->condition == CONDITION_ON_FLOAT) {
        return c->float_volume_l;
    }
    if (then->age_day < FORECAST_AIR_ROOT_DAYS) {
        return c->start_volume_l;
    }
    return fmax(then->body.volume_l, c->float_volume_l);
}

double forecast_safe_volume_l(const struct room *room, const struct state *s, size_t i, int64_t t_s)
{
    struct forecast then = forecast_container(room, s, i, t_s);

    return forecast_safe_volume_of(room, s, i, &then);
}

/* Of a container that stands idle what it drew in its life counts on: the reservoir gave it. */
double forecast_drawn_l(const struct room *room, const struct state *s, int64_t t_s)
{
    double sum = 0;

    for (size_t i = 0; i < s->n_containers; i++) {
        sum += s->container[i].crop < 0 ? s->container[i].drawn_l
                                        : forecast_container(room, s, i, t_s).drawn_l;
    }
    return sum;
}

double forecast_draw_l(const struct room *room, const struct state *s, int64_t from_s, int64_t to_s)
{
    return to_s > from_s ? forecast_drawn_l(room, s, to_s) - forecast_drawn_l(room, s, from_s) : 0;
}

struct liquid forecast_reservoir(const struct room *room, const struct state *s, int64_t t_s)
{
    struct liquid body = s->reservoir.body;

    if (s->reservoir.at_s && !s->reservoir.holds_mix) {
        double gone_l = forecast_drawn_l(room, s, t_s) - s->reservoir.drawn_l;

        body.volume_l = fmax(0, body.volume_l - gone_l);
    }
    return body;
}

bool forecast_is_dry(const struct room *room, const struct state *s, int64_t t_s)
{
    return s->reservoir.at_s &&
           !(forecast_reservoir(room, s, t_s).volume_l > room->reservoir.remainder_l);
}

int64_t forecast_reservoir_at_s(const struct room *room, const struct state *s, double volume_l,
                                int64_t from_s)
{
    double spare_l = s->reservoir.body.volume_l - volume_l + s->reservoir.drawn_l;
    int64_t before = from_s;
    int64_t after = from_s + HORIZON_S;

    if (!s->reservoir.at_s || s->reservoir.holds_mix) {
        return FORECAST_NEVER;
    }
    if (forecast_drawn_l(room, s, before) >= spare_l) {
        return from_s;
    }
    if (forecast_drawn_l(room, s, after) < spare_l) {
        return FORECAST_NEVER;
    }
    /* By halves: the sum over containers of different age has no inverse in closed form, and it
     * never falls. */
    while (after - before > MINUTE_S) {
        int64_t middle = before + (after - before) / 2;

        if (forecast_drawn_l(room, s, middle) >= spare_l) {
            after = middle;
        } else {
            before = middle;
        }
    }
    return after;
}
