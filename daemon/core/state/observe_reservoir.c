/* The reservoir's part of observation.h: what it lost, and which plants drank it. */
#include "daemon/core/model/cusum.h"
#include "daemon/core/state/observation.h"
#include "daemon/core/state/observe_common.h"
#include "daemon/core/state/prediction.h"
#include "daemon/core/state/reading_error.h"

#include <math.h>

#define DAY_S      86400.0
#define LACK_FRAC  0.3 /* of what they drink: short of so much is the crop's file, or the weather */
#define PLEDGED_S  (5 * 86400LL)
#define PLEDGED_SD 5.0 /* of the mark: less than so much it cannot tell */
#define NOBODYS_SD 5.0 /* what lies so far off is no plant's doing: one in two million by chance */

/* Set by tests/bench/predictbench: leaks of a fifth against nights that were asked for in vain. */
#define UNEASY_FRAC 0.15 /* of what they drink: weather that a night need not be asked for */
#define UNEASY_SLACK                                                                               \
    0.25 /* half of the shift that is looked for: a leak of a fifth in a few days */
#define UNEASY_MOST 3.0

/* What the containers were expected to draw since the reservoir was last seen, and how it leans. */
struct draw {
    double expected_l;
    double own_var;             /* of the plants, given the room, litres squared */
    struct room_lean room_lean; /* litres for a unit of what the room shares */
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
    return belief_lean(&cs->curve, observe_age_day(cs, from_s), observe_age_day(cs, cs->at_s));
}

/* What a lean makes of the room's mean with which a curve was made. */
static double made_with(const struct container_state *cs, const struct room_lean *c)
{
    double sum = 0;

    for (int k = 0; k < ROOM_N; k++) {
        sum += c->of[k] * cs->made_with[k];
    }
    return sum;
}

static struct draw expect_draw(const struct state *s)
{
    struct draw d = {0};

    for (size_t i = 0; i < s->n_containers; i++) {
        const struct container_state *cs = &s->container[i];
        double litres = drawn_since(cs);
        struct lean lean;

        if (litres > 0) {
            struct room_lean c;

            lean = lean_since(s, cs);
            c = belief_room_lean(&cs->belief, &lean);
            litres *= exp(belief_room_mean(&s->common, &c) -
                          made_with(cs, &c)); /* as it is believed by now */
            d.expected_l += litres;
            d.own_var += litres * litres * belief_own_var(&cs->belief, &lean);
            for (int k = 0; k < ROOM_N; k++) {
                d.room_lean.of[k] += litres * c.of[k];
            }
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
    double left_l = off_l + belief_room_mean(&s->common, &d->room_lean);

    for (size_t i = 0; i < s->n_containers; i++) {
        struct container_state *cs = &s->container[i];
        double litres = drawn_since(cs);
        struct lean lean;

        if (litres > 0) {
            lean = lean_since(s, cs);
            belief_share(&cs->belief, &lean, litres, left_l, &d->room_lean, whole_var);
        }
    }
    belief_room_sees(&s->common, &d->room_lean, left_l, whole_var);
    for (size_t i = 0; i < s->n_containers; i++) {
        if (s->container[i].crop >= 0) {
            observe_refresh(room, s, &s->container[i]);
        }
    }
}

/* What is lost is anything above what is drunk, and nights tell it from thirst (overnight.h); a
 * lack is told from crops that drink less than their file by its size. A belief that allows for
 * every weather allows for every leak too, and has learned it as thirst within a week: whether to
 * ask for a night is weighed against what plants do from one day to the next. */
static void sum_up(struct reservoir_state *r, double off_l, double expected_l, double sd_l,
                   double mark_sd)
{
    double near_l = hypot(M_SQRT2 * mark_sd, UNEASY_FRAC * expected_l);

    r->excess = cusum_add(r->excess, off_l / sd_l);
    r->lack = cusum_add(r->lack, -(off_l + LACK_FRAC * expected_l) / sd_l);
    r->unease = fmin(UNEASY_MOST, fmax(0, r->unease + off_l / near_l - UNEASY_SLACK));
}

/* Nothing is learned of thirst while an alarm says that it leaks, and nobody has looked yet. */
static bool may_leak(const struct reservoir_state *r)
{
    return r->alarms.of[ALARM_LEAK].since_s && r->alarms.seen != r->alarms.opened;
}

/* What the next days will take is foretold, and set beside what was lost when they are over: a week
 * or so is what fills are planned by. */
static void foretell(const struct room *room, struct state *s, int64_t t_s)
{
    struct reservoir_state *r = &s->reservoir;
    struct gauss litres = predict_draw_l(room, s, t_s, t_s + PLEDGED_S);

    r->pledge = (struct pledge){t_s, r->lost_l, litres.mean / ((double)PLEDGED_S / DAY_S),
                                predict_doubt_of(&litres), fmax(0, r->lost_l_day)};
}

static void settle(struct reservoir_state *r, struct record *draws, double mark_sd, int64_t t_s)
{
    struct pledge p = r->pledge;
    double days = (double)(t_s - p.from_s) / DAY_S;
    double expected_l = p.l_day * days;
    double lost_l = r->lost_l - p.lost_l;
    double mark_frac = M_SQRT2 * mark_sd / fmax(expected_l, mark_sd);
    double sd = hypot(p.share, mark_frac);
    double line_l;

    if (!p.from_s || t_s - p.from_s < PLEDGED_S) {
        return;
    }
    r->pledge.from_s = 0;
    if (t_s - p.from_s <= 2 * PLEDGED_S && expected_l > PLEDGED_SD * mark_sd &&
        !r->alarms.of[ALARM_LEAK].since_s) {
        line_l = p.line_l_day * days;
        record_add(draws, log(fmax(lost_l, mark_sd) / expected_l) / sd, sd * expected_l,
                   line_l > 0 ? lost_l - line_l : NAN);
    }
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
    double sd_l;
    double z;

    observe_wander_room(s, e->happened_s);
    for (size_t i = 0; i < s->n_containers; i++) {
        if (s->container[i].crop >= 0) {
            observe_wander(s, &s->container[i], e->happened_s);
        }
    }
    if (!r->seen_s) {
        r->pledge.from_s = 0;
    }
    if (r->seen_s && days > 0) {
        d = expect_draw(s);
        off_l = r->seen_l + r->let_in_l - told_l - d.expected_l;
        noise_var = 2 * sd * sd + d.expected_l * d.expected_l * belief_weather_var(days);
        sd_l = sqrt(d.own_var + belief_room_var(&s->common, &d.room_lean) + noise_var);
        z = off_l / sd_l;
        r->lost_l_day = (off_l + d.expected_l) / days;
        r->expected_l_day = d.expected_l / days;
        sum_up(r, off_l, d.expected_l, sd_l, sd);
        r->lost_l += off_l + d.expected_l;
        settle(r, &s->draws, sd, e->happened_s);
        /* What runs off is nobody's thirst. Short of that no one look pulls at all plants more than
         * OBSERVE_PULL_SD. */
        if (d.expected_l > 0 && fabs(z) < NOBODYS_SD && r->excess < CUSUM_OPEN &&
            r->lack < CUSUM_OPEN && !may_leak(r)) {
            noise_var *= fmax(1, observe_sq(z / OBSERVE_PULL_SD));
            learn_draw(room, s, &d, off_l, noise_var);
        }
    }
    observe_reservoir_known(s, told_l, e->happened_s);
    if (!r->pledge.from_s) {
        foretell(room, s, e->happened_s);
    }
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
