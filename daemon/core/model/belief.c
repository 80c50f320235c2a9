#include "daemon/core/model/belief.h"

#include <math.h>
#include <string.h>

/* Set by tests/bench/predictbench, so that the intervals hold in the worst of its six truths and
 * not in the one that is drawn from these: a crop's file may be off by two in how much its
 * plants drink and in how soon (OD-TOM, OD-DAY: growth of use is far from one S-curve; months of
 * slow rise, plateaus, toppings). */
/* clang-format off */
#define ROOM_SD        0.25 /* of ln theta, that all plants of the room share … */
#define OWN_SD         0.27 /* … and a plant's own */
#define ROOM_SD_LEAST  0.11 /* the weather of a week, which all plants had */
#define SHIFT_FRAC     0.28 /* of the age at half use */
#define SPREAD_SD      0.25 /* of ln spread */
#define PACE_SD        0.25 /* of ln of a factor on both, besides: who is late is slow */
#define APPETITE_SD    0.25 /* of ln of the factor on the uptake concentration */
#define DRIFT_SD_DAY   0.05 /* by which ln theta wanders from one day to the next … */
#define ROOM_DRIFT_DAY 0.05 /* … and ln of the room's factor: heat, light, a topping of all … */
#define SHIFT_DRIFT    0.02 /* … and the shift, of the age at half use … */
#define SPREAD_DRIFT   0.03 /* … and ln spread */
#define WEATHER_SD_DAY 0.20 /* a bright day against a dull one: OD-DAY, 0.09 to 0.32 */
#define WEATHER_LEANS  3.0  /* (1 + r) / (1 - r) with a correlation r of one half from day to day */
/* clang-format on */

/* For derivatives: small beside any doubt of x, and large beside the rounding of a logarithm. */
#define STEP 1e-4

struct gauss belief_room(void)
{
    return (struct gauss){0, ROOM_SD * ROOM_SD};
}

struct belief belief_of(const struct curve *prior)
{
    double shift_sd = SHIFT_FRAC * prior->half_day;
    double late_sd = PACE_SD * prior->half_day;
    struct belief p = {
        .b = {1                         },
          .appetite = { 0, APPETITE_SD * APPETITE_SD}
    };

    p.v[BELIEF_LN_THETA][BELIEF_LN_THETA] = OWN_SD * OWN_SD;
    p.v[BELIEF_SHIFT][BELIEF_SHIFT] = shift_sd * shift_sd + late_sd * late_sd;
    p.v[BELIEF_LN_SPREAD][BELIEF_LN_SPREAD] = SPREAD_SD * SPREAD_SD + PACE_SD * PACE_SD;
    p.v[BELIEF_SHIFT][BELIEF_LN_SPREAD] = p.v[BELIEF_LN_SPREAD][BELIEF_SHIFT] = late_sd * PACE_SD;
    return p;
}

static double mean_of(const struct belief *p, const struct gauss *room, int k)
{
    return p->a[k] + p->b[k] * room->mean;
}

struct curve belief_curve(const struct belief *p, const struct gauss *room,
                          const struct curve *prior)
{
    return (struct curve){prior->most_l_day * exp(mean_of(p, room, BELIEF_LN_THETA)),
                          prior->half_day + mean_of(p, room, BELIEF_SHIFT),
                          prior->spread_day * exp(mean_of(p, room, BELIEF_LN_SPREAD))};
}

struct curve belief_stepped(const struct curve *c, int k, double step)
{
    return (struct curve){k == BELIEF_LN_THETA ? c->most_l_day * exp(step) : c->most_l_day,
                          k == BELIEF_SHIFT ? c->half_day + step : c->half_day,
                          k == BELIEF_LN_SPREAD ? c->spread_day * exp(step) : c->spread_day};
}

void belief_moved(const struct curve *from, const struct curve *to, double out[BELIEF_N])
{
    out[BELIEF_LN_THETA] = log(to->most_l_day / from->most_l_day);
    out[BELIEF_SHIFT] = to->half_day - from->half_day;
    out[BELIEF_LN_SPREAD] = log(to->spread_day / from->spread_day);
}

struct lean belief_lean(const struct curve *now, double a0_day, double a1_day)
{
    double use_l = curve_use_l(now, 1, a0_day, a1_day);
    struct lean out = {{1}};

    for (int k = 1; k < BELIEF_N; k++) {
        struct curve other = belief_stepped(now, k, STEP);

        out.h[k] = use_l > 0 ? log(curve_use_l(&other, 1, a0_day, a1_day) / use_l) / STEP : 0;
    }
    return out;
}

double belief_own_var(const struct belief *p, const struct lean *h)
{
    double sum = 0;

    for (int i = 0; i < BELIEF_N; i++) {
        for (int k = 0; k < BELIEF_N; k++) {
            sum += h->h[i] * p->v[i][k] * h->h[k];
        }
    }
    return sum;
}

double belief_room_lean(const struct belief *p, const struct lean *h)
{
    double sum = 0;

    for (int i = 0; i < BELIEF_N; i++) {
        sum += h->h[i] * p->b[i];
    }
    return sum;
}

double belief_var(const struct belief *p, const struct gauss *room, const struct lean *h)
{
    double c = belief_room_lean(p, h);

    return belief_own_var(p, h) + c * c * room->var;
}

/* Conditioning a normal on a sum of which it is a part: the gain is its covariance with the sum
 * over the sum's variance. b falls, since what the sum showed is no longer put down to the room
 * alone. */
void belief_share(struct belief *p, const struct lean *h, double litres, double left_l,
                  double room_lean, double whole_var)
{
    double gain[BELIEF_N];
    double hv[BELIEF_N];

    for (int i = 0; i < BELIEF_N; i++) {
        hv[i] = 0;
        for (int k = 0; k < BELIEF_N; k++) {
            hv[i] += litres * h->h[k] * p->v[k][i];
        }
        gain[i] = hv[i] / whole_var;
    }
    for (int i = 0; i < BELIEF_N; i++) {
        p->a[i] += gain[i] * left_l;
        p->b[i] -= gain[i] * room_lean;
        for (int k = 0; k < BELIEF_N; k++) {
            p->v[i][k] -= gain[i] * hv[k];
        }
    }
}

struct gauss belief_room_sees(struct gauss room, double room_lean, double left, double var)
{
    struct gauss out = gauss_see(room, room_lean, left, var);

    out.var = fmax(out.var, ROOM_SD_LEAST * ROOM_SD_LEAST);
    return out;
}

/* y - h a = off + h b rho: what is left when the plant's own mean is taken off. */
void belief_see(struct belief *p, struct gauss *room, const struct lean *h, double off,
                double noise_var)
{
    double c = belief_room_lean(p, h);
    double var = belief_own_var(p, h) + noise_var;
    double left = off + c * room->mean;

    belief_share(p, h, 1, left, c, var);
    *room = belief_room_sees(*room, c, left, var);
}

/* A bound is first made of the whole, h x; the observation of h x that would have taught the same
 * is then shared out as any other, so that there is one way only in which a plant and the room
 * learn. */
void belief_bound(struct belief *p, struct gauss *room, const struct lean *h, double off,
                  double soft_sd, bool above)
{
    struct gauss before = {0, belief_var(p, room, h)};
    struct gauss after = gauss_bound(before, off, soft_sd, above);
    struct gauss seen = gauss_as_observation(before, after);

    if (isfinite(seen.var)) {
        belief_see(p, room, h, seen.mean, seen.var);
    }
}

void belief_drift(struct belief *p, const struct curve *prior, double days)
{
    double shift_sd = SHIFT_DRIFT * prior->half_day;

    if (days > 0) {
        p->v[BELIEF_LN_THETA][BELIEF_LN_THETA] += belief_drift_var(days);
        p->v[BELIEF_SHIFT][BELIEF_SHIFT] += shift_sd * shift_sd * days;
        p->v[BELIEF_LN_SPREAD][BELIEF_LN_SPREAD] += SPREAD_DRIFT * SPREAD_DRIFT * days;
    }
}

double belief_drift_var(double days)
{
    return DRIFT_SD_DAY * DRIFT_SD_DAY * fmax(days, 0);
}

/* What the room's factor moved by moves all plants alike, also those that were told apart from it
 * (b below 1). Of the sum of both, b rho and the move, one factor again: its variance is kept, and
 * its covariance with other plants where they lean on the room as this one does. */
void belief_room_moved(struct belief *p, const struct gauss *room, double days)
{
    double moved = fmin(1, belief_room_drift_var(days) / room->var);
    double b = p->b[BELIEF_LN_THETA];
    double more = sqrt(b * b + (1 - b * b) * moved);

    if (b < 1 && moved > 0) {
        p->a[BELIEF_LN_THETA] += (b - more) * room->mean;
        p->b[BELIEF_LN_THETA] = more;
    }
}

double belief_room_drift_var(double days)
{
    return ROOM_DRIFT_DAY * ROOM_DRIFT_DAY * fmax(days, 0);
}

/* The mean of n days that lean on each other has the variance of (n + leans - 1) / leans days
 * that do not, for long n; a single day has its own. */
double belief_weather_var(double days)
{
    double one = WEATHER_SD_DAY * WEATHER_SD_DAY;

    return one * fmin(1, WEATHER_LEANS / (fmax(days, 0) + WEATHER_LEANS - 1));
}
