#include "daemon/core/state/observation.h"

#include "daemon/core/model/cusum.h"
#include "daemon/core/state/alarm.h"
#include "daemon/core/state/forecast.h"
#include "daemon/core/state/observe_common.h"
#include "daemon/core/state/reading_error.h"

#include <math.h>

#define DAY_S 86400.0

/* Of the float line's litres: no plant drinks a level down so far past a float that opens. */
#define SUNK_FRAC 0.8

/* Gates in standard deviations, set by tests/bench/predictbench: by chance one reading in sixteen
 * thousand lies beyond four. */
/* clang-format off */
#define ASK_SD         2.5  /* of a level: from here on it is asked whether it was read aright */
#define RISE_SD        4.0  /* of a ruler: a level does not rise by itself */
#define UNSEEN_SD      3.0  /* of a ruler: a use smaller than this teaches nothing */
#define PLAIN_SD       6.0  /* … but so much that was not expected at all is no ruler's doing */
#define LOG_FROM_FRAC  0.3  /* of what was expected: the log of less would say too much */
#define IMPOSSIBLE     1e-4 /* a float that opens with so little probability did not */
#define ROUNDS         3    /* of the iterated filter: it settles in two or three */
#define AIR_L_DAY      0.012 /* lost through lid and pot, whatever is drunk … */
#define AIR_SD_L_DAY   0.02  /* … or none, or three times as much */
#define GUARD_SD       0.42 /* of ln: by which a healthy plant differs from its neighbours … */
#define GUARD_WEATHER  0.4  /* of the weather's variance: most of it all had alike */
#define COMMON_PULL    1.2  /* sd: one vessel that is further off says little of all */
#define DOUBT_SD       1.2  /* of the guard: so far off a level waits for the next one … */
#define DOUBT_SUM      0.6  /* … but where there was as much to say so before */
#define COMMON_SD      0.70 /* … and all from what is believed: a crop's file off by two … */
#define COMMON_DRIFT   0.15 /* … and so much from one day to the next */
#define LEAST_DAY      0.04 /* an hour: a pace over less is no pace */
#define ROUND_S        (12 * 3600) /* two levels of one round were told within so long */
#define SWAP_FROM_Z    2.0  /* a level that is so far off may be another's … */
#define SWAP_GAIN      12.0 /* … where the squares of both then fall by this: e^6 to 1 */
/* clang-format on */

const char *observe_aside(const struct state *s, int64_t seq)
{
    for (size_t i = s->n_asides; i > 0; i--) {
        if (s->aside[i - 1].seq == seq) {
            return s->aside[i - 1].why;
        }
    }
    return NULL;
}

void observe_start(const struct room *room, struct state *s, size_t i)
{
    struct container_state *cs = &s->container[i];

    cs->belief = belief_of();
    cs->wandered_s = cs->started_s;
    observe_wander_room(s, cs->started_s);
    cs->level_s = cs->started_s;
    cs->level_l = cs->body.volume_l;
    cs->lost_l_day = 0;
    observe_ec_known(cs);
    observe_refresh(room, s, cs);
}

/* The use between two instants, mostly since the level was last known: what is expected, how
 * that leans, and the noise of what is seen of it, as a share. */
struct use {
    double expected_l;
    double days;
    struct lean lean;
};

static struct use use_between(const struct container_state *cs, int64_t from_s, int64_t to_s)
{
    double from = observe_age_day(cs, from_s);
    double to = observe_age_day(cs, to_s);

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

/* How far a level lies from what was expected, in standard deviations: above 0 when more was lost.
 * Below what a ruler can tell nothing is off. */
static double level_z(const struct state *s, const struct container_state *cs,
                      const struct use *use, double seen_l, double ruler_l)
{
    double seen_frac = ruler_l * M_SQRT2 / fmax(seen_l, LOG_FROM_FRAC * use->expected_l);
    double var = belief_var(&cs->belief, &s->common, &use->lean) + belief_weather_var(use->days) +
                 seen_frac * seen_frac;

    if (seen_l < -RISE_SD * ruler_l) {
        return (seen_l - use->expected_l) / (ruler_l * M_SQRT2);
    }
    if (!(use->expected_l > 0) || fmax(seen_l, use->expected_l) <= UNSEEN_SD * ruler_l) {
        return 0;
    }
    return log_off(seen_l, use->expected_l) / sqrt(var);
}

/* A level that is far off is taken all the same, and asked about. */
static void question(const struct room *room, struct state *s, const struct container_state *cs,
                     const struct entry *e, const struct use *use)
{
    double told_l = e->figure[FIGURE_VOLUME_L];
    double meant_l = cs->level_l - use->expected_l;
    char off[QUANTITY_TEXT_MAX];
    char was[QUANTITY_TEXT_MAX];

    quantity_format(off, QUANTITY_VOLUME, fabs(told_l - meant_l), &room->units);
    if (told_l > cs->level_l) {
        quantity_format(was, QUANTITY_VOLUME, cs->level_l, &room->units);
        observe_set_aside(s, e,
                          "a level does not rise by itself, and %s were left %.0f days before: "
                          "measured again?",
                          was, use->days);
        return;
    }
    quantity_format(was, QUANTITY_VOLUME, meant_l, &room->units);
    observe_set_aside(s, e, "%s %s than expected, which was %s: measured again?", off,
                      told_l < meant_l ? "less" : "more", was);
}

/* Where the log of the use is not straight in x, the observation is put on the tangent at what
 * comes of it, a few times over (the iterated Kalman filter: Bell & Cathey 1993). */
static void learn_use(const struct room *room, struct state *s, struct container_state *cs,
                      double seen_l, double sd, double z, int64_t t_s)
{
    double doubt = fmax(1, observe_sq(z / OBSERVE_PULL_SD));
    const struct belief before = cs->belief;
    const struct belief_room common = s->common;
    const struct curve start = cs->curve;

    for (int round = 0; round < ROUNDS; round++) {
        struct use use = use_between(cs, cs->level_s, t_s);
        double drunk_l = seen_l - AIR_L_DAY * use.days;
        double least_l = fmax(drunk_l, LOG_FROM_FRAC * use.expected_l);
        double seen_frac = hypot(sd * M_SQRT2, AIR_SD_L_DAY * use.days) / least_l;
        double moved[BELIEF_N];
        double off = log_off(drunk_l, use.expected_l);

        belief_moved(&start, &cs->curve, moved);
        for (int k = 0; k < BELIEF_N; k++) {
            off += use.lean.h[k] * moved[k];
        }
        cs->belief = before;
        s->common = common;
        belief_see(&cs->belief, &s->common, &use.lean, off,
                   doubt * (seen_frac * seen_frac + belief_weather_var(use.days)));
        observe_refresh(room, s, cs);
    }
}

/* Do two levels of one round fit each other's vessels better than their own? By the squares of
 * their distances, which are twice the logarithm of their likelihood. */
static bool are_swapped(const struct level_look *a, const struct level_look *b)
{
    double own = observe_sq((a->told_l - a->expected_l) / a->sd_l) +
                 observe_sq((b->told_l - b->expected_l) / b->sd_l);
    double other = observe_sq((a->told_l - b->expected_l) / b->sd_l) +
                   observe_sq((b->told_l - a->expected_l) / a->sd_l);

    return own - other > SWAP_GAIN;
}

static void look_for_swap(const struct room *room, struct state *s, size_t i, const struct entry *e)
{
    const struct level_look *mine = &s->container[i].look;

    for (size_t k = 0; k < s->n_containers; k++) {
        struct container_state *other = &s->container[k];

        if (k != i && other->crop >= 0 && other->look.at_s &&
            mine->at_s - other->look.at_s <= ROUND_S && are_swapped(mine, &other->look)) {
            observe_set_aside(s, e,
                              "this fits %s better, and what was told of that fits here: swapped?",
                              room->container[k].name);
            alarm_swapped(s, i, k, e->happened_s);
            return;
        }
    }
}

static void keep_look(const struct state *s, struct container_state *cs, const struct use *use,
                      double told_l, double ruler_l, int64_t t_s)
{
    double var = belief_var(&cs->belief, &s->common, &use->lean) + belief_weather_var(use->days);

    cs->look = (struct level_look){t_s, told_l, cs->level_l - use->expected_l,
                                   hypot(ruler_l * M_SQRT2, use->expected_l * sqrt(var))};
}

/* What was drunk since the level was last told, learned from or not. */
static struct use since_last_look(const struct container_state *cs, int64_t t_s, double told_l,
                                  double *out_seen_l)
{
    bool slip = cs->odd_s && !isnan(cs->odd_meant_l);
    bool later = cs->look.at_s > cs->level_s && cs->look.at_s < t_s && !slip;

    *out_seen_l = (later ? cs->look.told_l : cs->level_l) - told_l;
    return use_between(cs, later ? cs->look.at_s : cs->level_s, t_s);
}

/* Both sums see each level: what speaks for a loss speaks against a gain. */
static void sum_up_level(struct state *s, size_t i, double z, double lost_l, const struct use *use,
                         int64_t t_s)
{
    struct container_state *cs = &s->container[i];
    double days = fmax(use->days, LEAST_DAY);

    cs->fast = cusum_add(cs->fast, z);
    cs->slow = cusum_add(cs->slow, -z);
    alarm_level(s, i, lost_l / days, use->expected_l / days, t_s);
}

/* A belief that has to allow for every crop's file allows for every leak too. A guard asks
 * something else: does this vessel do what the others do, and what it did before? What all
 * plants of late were off by is the room's (a level that is tracked by a filter of its own: the
 * crop's file, the weather), and what is left is a plant's own, no wider than GUARD_SD. */
static double guard_level(struct state *s, const struct container_state *cs, const struct use *use,
                          double seen_l, double ruler_l, int64_t t_s)
{
    double seen_frac = ruler_l * M_SQRT2 / fmax(seen_l, LOG_FROM_FRAC * use->expected_l);
    double own_var = fmin(belief_own_var(&cs->belief, &use->lean), observe_sq(GUARD_SD)) +
                     GUARD_WEATHER * belief_weather_var(use->days) + seen_frac * seen_frac;
    double days = s->surprised_s ? (double)(t_s - s->surprised_s) / DAY_S : 0;
    double off;
    double z;

    if (seen_l < -RISE_SD * ruler_l) {
        return (seen_l - use->expected_l) / (ruler_l * M_SQRT2);
    }
    if (!(use->expected_l > 0) || fmax(seen_l, use->expected_l) <= UNSEEN_SD * ruler_l) {
        return 0;
    }
    s->surprise.var = s->surprised_s
                          ? fmin(s->surprise.var + observe_sq(COMMON_DRIFT) * fmax(days, 0),
                                 observe_sq(COMMON_SD))
                          : observe_sq(COMMON_SD);
    s->surprised_s = t_s;
    off = log_off(seen_l, use->expected_l);
    z = (off - s->surprise.mean) / sqrt(s->surprise.var + own_var);
    s->surprise = gauss_see(s->surprise, 1, off, own_var * fmax(1, observe_sq(z / COMMON_PULL)));
    return z;
}

/* A level that holds, and of which nothing is learned yet. */
static void keep_odd(struct container_state *cs, int64_t t_s, double told_l, double meant_l)
{
    cs->odd_s = t_s;
    cs->odd_l = told_l;
    cs->odd_meant_l = meant_l;
}

/* What was told is what is there, at once: the fold takes the level. Here it is asked whether it
 * can be, and learned from: one that is far off only once a second one lies on the same side, since
 * a slip is not followed by another. */
void observe_level(const struct room *room, struct state *s, size_t i, const struct entry *e)
{
    const struct container *c = &room->container[i];
    struct container_state *cs = &s->container[i];
    double told_l = e->figure[FIGURE_VOLUME_L];
    double seen_l = cs->level_l - told_l;
    double sd = reading_level_sd_l(c);
    struct use use;
    double z;
    struct use last;
    double last_l;
    double guard_z;
    double before;
    bool again;

    observe_wander_room(s, e->happened_s);
    observe_wander(s, cs, e->happened_s);
    observe_refresh(room, s, cs);
    use = use_between(cs, cs->level_s, e->happened_s);
    z = level_z(s, cs, &use, seen_l, sd);
    again = cs->odd_s && e->happened_s > cs->odd_s && z * (cs->odd_l - cs->odd_meant_l) < 0;
    if (z != 0) {
        record_add(&s->levels, z, (seen_l - use.expected_l) / z,
                   cs->lost_l_day > 0 ? seen_l - cs->lost_l_day * use.days : NAN);
    }
    last = since_last_look(cs, e->happened_s, told_l, &last_l);
    guard_z = guard_level(s, cs, &last, last_l, sd, e->happened_s);
    z = fabs(guard_z) > fabs(z) ? guard_z : z;
    before = z > 0 ? cs->fast : cs->slow;
    if (z != 0) {
        sum_up_level(s, i, z, seen_l, &use, e->happened_s);
    }
    keep_look(s, cs, &use, told_l, sd, e->happened_s);
    if (fabs(z) > SWAP_FROM_Z) {
        look_for_swap(room, s, i, e);
    }
    if (fabs(z) > ASK_SD) {
        question(room, s, cs, e, &use);
        if (!again) {
            keep_odd(cs, e->happened_s, told_l, cs->level_l - use.expected_l);
            return;
        }
    } else if (fabs(guard_z) > DOUBT_SD && before < DOUBT_SUM) {
        keep_odd(cs, e->happened_s, told_l, NAN);
        return;
    }
    cs->odd_s = 0;
    if (use.expected_l > UNSEEN_SD * sd || seen_l > PLAIN_SD * sd || z < -ASK_SD) {
        if (seen_l > 0 || z > -ASK_SD) {
            learn_use(room, s, cs, seen_l, sd, z, e->happened_s);
        }
        cs->lost_l_day = seen_l / fmax(use.days, LEAST_DAY);
        cs->level_s = e->happened_s;
        cs->level_l = told_l;
    }
}

/* A level so far below the float line that it says nothing of a float that works, nor of thirst. */
static bool is_sunk(const struct room *room, struct state *s, const struct container *c,
                    const struct entry *e, double meant_l)
{
    char line[QUANTITY_TEXT_MAX];
    char meant[QUANTITY_TEXT_MAX];

    if (!entry_has(e, FIGURE_VOLUME_L) ||
        e->figure[FIGURE_VOLUME_L] >= SUNK_FRAC * c->float_volume_l - reading_level_sd_l(c) ||
        meant_l <= c->float_volume_l) {
        return false;
    }
    observe_set_aside(s, e,
                      "it lies below the float line (%s), where the float lets water in, and %s "
                      "were expected: measured again?",
                      quantity_format(line, QUANTITY_VOLUME, c->float_volume_l, &room->units),
                      quantity_format(meant, QUANTITY_VOLUME, meant_l, &room->units));
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

    observe_wander_room(s, e->happened_s);
    observe_wander(s, cs, e->happened_s);
    observe_refresh(room, s, cs);
    use = use_between(cs, cs->level_s, e->happened_s);
    soft_sd = sqrt(level_frac * level_frac + belief_weather_var(use.days));
    if (is_sunk(room, s, c, e, cs->level_l - use.expected_l) || !(need_l > 0) ||
        !(use.expected_l > 0)) {
        return;
    }
    off = log(need_l / use.expected_l);
    wide = sqrt(belief_var(&cs->belief, &s->common, &use.lean) + soft_sd * soft_sd);
    if (normal_below((works ? -off : off) / wide) < IMPOSSIBLE) {
        observe_set_aside(s, e,
                          works ? "the level can hardly be down to the float yet: look again?"
                                : "the level must be down to the float by now: look again?");
        sum_up_level(s, i, off / wide, need_l, &use, e->happened_s);
        return;
    }
    belief_bound(&cs->belief, &s->common, &use.lean, off, soft_sd, works);
    observe_refresh(room, s, cs);
}
