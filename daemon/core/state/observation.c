#include "daemon/core/state/observation.h"

#include "daemon/base/mem.h"
#include "daemon/core/model/cusum.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/reading_error.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define DAY_S      86400.0
#define ASIDES_MAX 2000 /* at some 170 bytes each */

/* Gates in standard deviations, set by tests/bench/predictbench: by chance one reading in sixteen
 * thousand lies beyond four. */
/* clang-format off */
#define GATE_SD        4.0  /* of a level or a strength beside what was expected */
#define RISE_SD        4.0  /* of a ruler: a level does not rise by itself */
#define AGREE_SD       3.0  /* of a ruler: a second reading like an odd one vouches for it */
#define UNSEEN_SD      3.0  /* of a ruler: a use smaller than this teaches nothing */
#define RESERVOIR_GATE 3.5  /* of the reservoir's loss: one look alone counts for no more */
#define LOG_FROM_FRAC  0.3  /* of what was expected: the log of less would say too much */
#define IMPOSSIBLE     1e-4 /* a float that opens with so little probability did not */
#define LEARN_CUSUM    3.0  /* with so much evidence of a leak its litres are not the plants' */
#define ROUNDS         3    /* of the iterated filter: it settles in two or three */
/* clang-format on */

__attribute__((format(printf, 3, 4))) static void set_aside(struct state *s, const struct entry *e,
                                                            const char *fmt, ...)
{
    struct aside *a;
    va_list ap;

    if (s->n_asides == ASIDES_MAX) { /* a broken sensor must not fill the memory */
        memmove(s->aside, s->aside + ASIDES_MAX / 2, ASIDES_MAX / 2 * sizeof *s->aside);
        s->n_asides = ASIDES_MAX / 2;
    }
    s->aside = mem_grow(s->aside, &s->cap_asides, s->n_asides + 1, sizeof *s->aside);
    a = &s->aside[s->n_asides++];
    a->seq = e->seq;
    va_start(ap, fmt);
    (void)vsnprintf(a->why, sizeof a->why, fmt, ap);
    va_end(ap);
}

const char *observe_aside(const struct state *s, int64_t seq)
{
    for (size_t i = s->n_asides; i > 0; i--) {
        if (s->aside[i - 1].seq == seq) {
            return s->aside[i - 1].why;
        }
    }
    return NULL;
}

static double age_at(const struct container_state *cs, int64_t t_s)
{
    return (double)(t_s - cs->started_s) / DAY_S;
}

static const struct curve *prior_of(const struct room *room, const struct container_state *cs)
{
    return &room->crop[cs->crop].use;
}

/* The curve that belongs to what is believed now. The room's factor moves with every plant's
 * reading; a curve keeps the one it was made with, and is made anew when its own plant is read. */
static void refresh(const struct room *room, const struct state *s, struct container_state *cs)
{
    cs->curve = belief_curve(&cs->belief, &s->factor, prior_of(room, cs));
    cs->appetite = exp(cs->belief.appetite.mean);
    cs->made_with = s->factor.mean;
}

void observe_start(const struct room *room, struct state *s, size_t i)
{
    struct container_state *cs = &s->container[i];

    cs->belief = belief_of(prior_of(room, cs));
    cs->level_s = cs->started_s;
    cs->level_l = cs->body.volume_l;
    observe_ec_known(cs);
    refresh(room, s, cs);
}

/* The use since the level was last known: what is expected, how that leans, and the noise of what
 * is seen of it, as a share. */
struct use {
    double expected_l;
    double days;
    struct lean lean;
};

static struct use use_since_level(const struct container_state *cs, int64_t t_s)
{
    double from = age_at(cs, cs->level_s);
    double to = age_at(cs, t_s);

    return (struct use){.expected_l = curve_use_l(&cs->curve, 1, from, to),
                        .days = to - from,
                        .lean = belief_lean(&cs->curve, from, to)};
}

/* ln of what was seen over what was expected; next to nothing seen would say more than a ruler
 * can, and is taken on the tangent at what was expected instead. */
static double log_off(double seen_l, double expected_l)
{
    return seen_l > LOG_FROM_FRAC * expected_l ? log(seen_l / expected_l)
                                               : (seen_l - expected_l) / expected_l;
}

/* A second reading that agrees with one that was set aside is believed. */
static bool agrees_with_odd(const struct container_state *cs, const struct container *c,
                            double told_l, int64_t t_s)
{
    double use_l =
        cs->odd_s ? curve_use_l(&cs->curve, 1, age_at(cs, cs->odd_s), age_at(cs, t_s)) : 0;

    return cs->odd_s && t_s > cs->odd_s &&
           fabs(told_l - (cs->odd_l - use_l)) < AGREE_SD * reading_level_sd_l(c) + use_l / 2;
}

static bool level_is_odd(const struct room *room, struct state *s, size_t i, const struct entry *e,
                         const struct use *use, double noise_var)
{
    const struct container *c = &room->container[i];
    struct container_state *cs = &s->container[i];
    double told_l = e->figure[FIGURE_VOLUME_L];
    double seen_l = cs->level_l - told_l;
    char told[QUANTITY_TEXT_MAX];
    char was[QUANTITY_TEXT_MAX];
    double off;

    quantity_format(told, QUANTITY_VOLUME, told_l, &room->units);
    quantity_format(was, QUANTITY_VOLUME, cs->level_l, &room->units);
    if (seen_l < -RISE_SD * reading_level_sd_l(c)) {
        set_aside(s, e,
                  "set aside: a level does not rise by itself, and %s were left %.0f days before",
                  was, use->days);
        return true;
    }
    off = use->expected_l > 0 ? log_off(seen_l, use->expected_l) : 0;
    if (seen_l > UNSEEN_SD * reading_level_sd_l(c) &&
        fabs(off) > GATE_SD * sqrt(belief_var(&cs->belief, &s->factor, &use->lean) + noise_var)) {
        quantity_format(was, QUANTITY_VOLUME, cs->level_l - use->expected_l, &room->units);
        set_aside(s, e, "set aside: %s is out of character, about %s was expected", told, was);
        return true;
    }
    return false;
}

/* Where the log of the use is not straight in x, the observation is put on the tangent at what
 * comes of it, a few times over (the iterated Kalman filter: Bell & Cathey 1993). */
static void learn_use(const struct room *room, struct state *s, struct container_state *cs,
                      double seen_l, double sd, int64_t t_s)
{
    const struct belief before = cs->belief;
    const struct gauss factor = s->factor;
    const struct curve start = cs->curve;

    for (int round = 0; round < ROUNDS; round++) {
        struct use use = use_since_level(cs, t_s);
        double seen_frac = sd * M_SQRT2 / fmax(seen_l, LOG_FROM_FRAC * use.expected_l);
        double moved[BELIEF_N];
        double off = log_off(seen_l, use.expected_l);

        belief_moved(&start, &cs->curve, moved);
        for (int k = 0; k < BELIEF_N; k++) {
            off += use.lean.h[k] * moved[k];
        }
        cs->belief = before;
        s->factor = factor;
        belief_see(&cs->belief, &s->factor, &use.lean, off,
                   seen_frac * seen_frac + belief_weather_var(use.days));
        refresh(room, s, cs);
    }
}

bool observe_level(const struct room *room, struct state *s, size_t i, const struct entry *e)
{
    const struct container *c = &room->container[i];
    struct container_state *cs = &s->container[i];
    double told_l = e->figure[FIGURE_VOLUME_L];
    double seen_l = cs->level_l - told_l;
    double sd = reading_level_sd_l(c);
    double seen_frac;
    double noise_var;
    struct use use;

    refresh(room, s, cs);
    use = use_since_level(cs, e->happened_s);
    seen_frac = sd * M_SQRT2 / fmax(seen_l, LOG_FROM_FRAC * use.expected_l);
    noise_var = seen_frac * seen_frac + belief_weather_var(use.days);

    if (!agrees_with_odd(cs, c, told_l, e->happened_s) &&
        level_is_odd(room, s, i, e, &use, noise_var)) {
        cs->odd_s = e->happened_s;
        cs->odd_l = told_l;
        return false;
    }
    cs->odd_s = 0;
    if (use.expected_l > UNSEEN_SD * sd) { /* by what is expected: what is seen would choose */
        learn_use(room, s, cs, seen_l, sd, e->happened_s);
        belief_drift(&cs->belief, use.days);
        cs->level_s = e->happened_s;
        cs->level_l = told_l;
    }
    return true;
}

/* That a float works says that at least so much was drunk, that it does not, at most so much: a
 * bound on the log of the use, soft by what the level was read with and by the weather. */
void observe_float(const struct room *room, struct state *s, size_t i, const struct entry *e,
                   bool works)
{
    const struct container *c = &room->container[i];
    struct container_state *cs = &s->container[i];
    double need_l = cs->level_l - c->float_volume_l;
    double level_frac = reading_level_sd_l(c) * M_SQRT2 / need_l;
    double soft_sd;
    double off;
    double wide;
    struct use use;

    refresh(room, s, cs);
    use = use_since_level(cs, e->happened_s);
    soft_sd = sqrt(level_frac * level_frac + belief_weather_var(use.days));
    if (!(need_l > 0) || !(use.expected_l > 0)) {
        return;
    }
    off = log(need_l / use.expected_l);
    wide = sqrt(belief_var(&cs->belief, &s->factor, &use.lean) + soft_sd * soft_sd);
    if (normal_below((works ? -off : off) / wide) < IMPOSSIBLE) {
        set_aside(s, e,
                  works ? "nothing learned: the level can hardly be down to the float yet"
                        : "nothing learned: the level must be down to the float by now");
        return;
    }
    belief_bound(&cs->belief, &s->factor, &use.lean, off, soft_sd, works);
    refresh(room, s, cs);
}

void observe_ec_known(struct container_state *cs)
{
    double sd = reading_ec_sd_ms_cm(cs->body.ec_ms_cm);

    cs->ec_var = sd * sd;
    for (int k = 0; k < EC_BY_N; k++) {
        cs->ec_by[k] = 0;
    }
}

/* A strength beside the anchor's forecast. */
struct beside {
    double off; /* of the forecast */
    double h;   /* how it leans on the plant's take */
    struct lean thirst;
    double appetite_var, thirst_var; /* what of its variance is due to them … */
    double noise_var;                /* … and to all else */
    double z;
};

static struct beside set_beside(const struct state *s, size_t i, int64_t t_s, double ec_ms_cm,
                                double sd)
{
    const struct container_state *cs = &s->container[i];
    struct lean thirst = forecast_ec_thirst(cs->ec_by);
    double days = (double)(t_s - (cs->ec.at_s ? cs->ec.at_s : cs->changed_s)) / DAY_S;
    double weather = (belief_weather_var(days) + belief_drift_var(days)) *
                     cs->ec_by[BELIEF_LN_THETA] * cs->ec_by[BELIEF_LN_THETA];
    struct beside b = {.off = ec_ms_cm - cs->body.ec_ms_cm,
                       .h = cs->ec_by[EC_BY_APPETITE],
                       .thirst = thirst,
                       .thirst_var = belief_var(&cs->belief, &s->factor, &thirst),
                       .noise_var = sd * sd + cs->ec_var + weather};

    b.appetite_var = b.h * b.h * cs->belief.appetite.var;
    b.z = b.off / sqrt(b.appetite_var + b.thirst_var + b.noise_var);
    return b;
}

/* A strength that fell faster than expected may be of thirst or of appetite: each takes its share
 * of it, with the other's doubt as noise. */
static void learn_fall(const struct room *room, struct state *s, size_t i, const struct beside *b)
{
    struct container_state *cs = &s->container[i];

    if (b->h != 0) {
        cs->belief.appetite =
            gauss_see(cs->belief.appetite, b->h, b->h * cs->belief.appetite.mean + b->off,
                      b->thirst_var + b->noise_var);
        belief_see(&cs->belief, &s->factor, &b->thirst, b->off, b->appetite_var + b->noise_var);
        refresh(room, s, cs);
    }
}

bool observe_ec(const struct room *room, struct state *s, size_t i, const struct entry *e,
                enum figure figure, double *out_z)
{
    struct container_state *cs = &s->container[i];
    double told = e->figure[figure];
    struct beside b = set_beside(s, i, e->happened_s, told, reading_ec_sd_ms_cm(told));
    char was[QUANTITY_TEXT_MAX];

    *out_z = b.z;
    if (fabs(b.z) > GATE_SD) {
        set_aside(s, e, "nothing learned: about %s was expected",
                  quantity_format(was, QUANTITY_EC, cs->body.ec_ms_cm, &room->units));
        return false;
    }
    learn_fall(room, s, i, &b);
    return true;
}

/* What the containers were expected to draw since the reservoir was last seen, and how it leans. */
struct draw {
    double expected_l;
    double own_var;   /* of the plants, given the room, litres squared */
    double room_lean; /* litres for a unit of the room's factor */
};

static double drawn_since(const struct container_state *cs)
{
    return cs->crop >= 0 ? cs->drawn_l - cs->drawn_seen_l : 0;
}

/* One that came on float since the reservoir was last seen has drawn from then on only. */
static struct lean lean_since(const struct state *s, const struct container_state *cs)
{
    int64_t from_s = s->reservoir.seen_s;

    from_s = cs->reached_s > from_s ? cs->reached_s : from_s;
    return belief_lean(&cs->curve, age_at(cs, from_s), age_at(cs, cs->at_s));
}

static struct draw expect_draw(const struct state *s)
{
    struct draw d = {0};

    for (size_t i = 0; i < s->n_containers; i++) {
        const struct container_state *cs = &s->container[i];
        double litres = drawn_since(cs);
        struct lean lean;

        if (litres > 0) {
            double c;

            lean = lean_since(s, cs);
            c = belief_room_lean(&cs->belief, &lean);
            litres *= exp(c * (s->factor.mean - cs->made_with)); /* as it is believed by now */
            d.expected_l += litres;
            d.own_var += litres * litres * belief_own_var(&cs->belief, &lean);
            d.room_lean += litres * c;
        } else if (cs->crop < 0) {
            d.expected_l += cs->drawn_l - cs->drawn_seen_l; /* harvested in between */
        }
    }
    return d;
}

/* The same gain for all: each moves by its share of what was not expected. */
static void learn_draw(const struct room *room, struct state *s, const struct draw *d, double off_l,
                       double noise_var)
{
    double whole_var = d->own_var + noise_var;
    double left_l = off_l + d->room_lean * s->factor.mean;

    for (size_t i = 0; i < s->n_containers; i++) {
        struct container_state *cs = &s->container[i];
        double litres = drawn_since(cs);
        struct lean lean;

        if (litres > 0) {
            lean = lean_since(s, cs);
            belief_share(&cs->belief, &lean, litres, left_l, d->room_lean, whole_var);
        }
    }
    s->factor = belief_room_sees(s->factor, d->room_lean, left_l, whole_var);
    for (size_t i = 0; i < s->n_containers; i++) {
        if (s->container[i].crop >= 0) {
            refresh(room, s, &s->container[i]);
        }
    }
}

/* Both sums see each look: what speaks for a leak speaks against a lack. */
static void sum_up(struct reservoir_state *r, double z)
{
    r->excess = cusum_add(r->excess, z);
    r->lack = cusum_add(r->lack, -z);
}

void observe_reservoir(const struct room *room, struct state *s, const struct entry *e)
{
    struct reservoir_state *r = &s->reservoir;
    double told_l = e->figure[FIGURE_VOLUME_L];
    double days = (double)(e->happened_s - r->seen_s) / DAY_S;
    double sd = reading_reservoir_sd_l(&room->reservoir);
    struct draw d;
    double noise_var;
    double off_l;
    double z;

    if (r->seen_s && days > 0) {
        d = expect_draw(s);
        off_l = r->seen_l + r->let_in_l - told_l - d.expected_l;
        noise_var = 2 * sd * sd + d.expected_l * d.expected_l * belief_weather_var(days);
        z = off_l / sqrt(d.own_var + d.room_lean * d.room_lean * s->factor.var + noise_var);
        r->lost_l_day = (off_l + d.expected_l) / days;
        r->expected_l_day = d.expected_l / days;
        sum_up(r, fmax(-RESERVOIR_GATE, fmin(z, RESERVOIR_GATE)));
        if (fabs(z) <= RESERVOIR_GATE && r->excess < LEARN_CUSUM && r->lack < LEARN_CUSUM &&
            d.expected_l > 0) {
            learn_draw(room, s, &d, off_l, noise_var);
        }
    }
    observe_reservoir_known(s, told_l, e->happened_s);
}

void observe_reservoir_known(struct state *s, double volume_l, int64_t t_s)
{
    s->reservoir.seen_s = t_s;
    s->reservoir.seen_l = volume_l;
    s->reservoir.let_in_l = 0;
    for (size_t i = 0; i < s->n_containers; i++) {
        s->container[i].drawn_seen_l = s->container[i].drawn_l;
    }
}
