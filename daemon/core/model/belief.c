#include "daemon/core/model/belief.h"

#include <math.h>
#include <string.h>

/* Set by tests/bench/predictbench, so that the intervals hold in the worst of its six truths and
 * not in the one that is drawn alike: a crop's file may be off by two in how much its
 * plants drink and in how soon (OD-TOM, OD-DAY: growth of use is far from one S-curve; months of
 * slow rise, plateaus, toppings). */
/* clang-format off */
#define ROOM_SD        0.30 /* of ln theta, that all plants of the room share … */
#define OWN_SD         0.27 /* … and a plant's own */
#define ROOM_SD_LEAST  0.11 /* the weather of a week, which all plants had */
#define ROOM_PACE_SD   0.25 /* of ln of a factor on half and spread, that all share … */
#define ROOM_PACE_LEAST 0.12 /* … and no dozen of plants knows it better: no curve is a plant's */
#define HALF_SD        0.25 /* of ln half, a plant's own … */
#define SPREAD_SD      0.22 /* … and of ln spread … */
#define PACE_SD        0.25 /* … and of both */
#define APPETITE_SD    0.25 /* of ln of the factor on the uptake concentration */
#define DRIFT_SD_DAY   0.05 /* by which ln theta wanders from one day to the next … */
#define ROOM_DRIFT_DAY 0.06 /* … and the room's: heat, light, a topping of all … */
#define PACE_DRIFT_DAY 0.005 /* … and its pace, from planting to planting … */
#define HALF_DRIFT     0.02 /* … and a plant's ln half … */
#define SPREAD_DRIFT   0.03 /* … and ln spread */
#define BACK_DAY       6.0 /* weather ahead comes back to what is usual within so many days */
#define WEATHER_SD_DAY 0.27 /* a bright day against a dull one: OD-DAY, 0.09 to 0.32 */
#define WEATHER_LEANS  3.0  /* (1 + r) / (1 - r) with a correlation r of one half from day to day */
/* clang-format on */

/* For derivatives: small beside any doubt of x, and large beside the rounding of a logarithm. */
#define STEP 1e-4

struct belief_room belief_room(void)
{
    return (struct belief_room){
        .var = {{ROOM_SD * ROOM_SD, 0}, {0, ROOM_PACE_SD * ROOM_PACE_SD}}
    };
}

struct belief belief_of(void)
{
    struct belief p = {
        .b = {{1, 0}, {0, 1}, {0, 1}},
          .appetite = {0,      APPETITE_SD * APPETITE_SD           }
    };

    p.v[BELIEF_LN_THETA][BELIEF_LN_THETA] = OWN_SD * OWN_SD;
    p.v[BELIEF_LN_HALF][BELIEF_LN_HALF] = HALF_SD * HALF_SD + PACE_SD * PACE_SD;
    p.v[BELIEF_LN_SPREAD][BELIEF_LN_SPREAD] = SPREAD_SD * SPREAD_SD + PACE_SD * PACE_SD;
    p.v[BELIEF_LN_HALF][BELIEF_LN_SPREAD] = p.v[BELIEF_LN_SPREAD][BELIEF_LN_HALF] =
        PACE_SD * PACE_SD;
    return p;
}

static double mean_of(const struct belief *p, const struct belief_room *room, int k)
{
    double sum = p->a[k];

    for (int r = 0; r < ROOM_N; r++) {
        sum += p->b[k][r] * room->mean[r];
    }
    return sum;
}

struct curve belief_curve(const struct belief *p, const struct belief_room *room,
                          const struct curve *prior)
{
    return (struct curve){prior->most_l_day * exp(mean_of(p, room, BELIEF_LN_THETA)),
                          prior->half_day * exp(mean_of(p, room, BELIEF_LN_HALF)),
                          prior->spread_day * exp(mean_of(p, room, BELIEF_LN_SPREAD))};
}

struct curve belief_stepped(const struct curve *c, int k, double step)
{
    return (struct curve){k == BELIEF_LN_THETA ? c->most_l_day * exp(step) : c->most_l_day,
                          k == BELIEF_LN_HALF ? c->half_day * exp(step) : c->half_day,
                          k == BELIEF_LN_SPREAD ? c->spread_day * exp(step) : c->spread_day};
}

void belief_moved(const struct curve *from, const struct curve *to, double out[BELIEF_N])
{
    out[BELIEF_LN_THETA] = log(to->most_l_day / from->most_l_day);
    out[BELIEF_LN_HALF] = log(to->half_day / from->half_day);
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

struct room_lean belief_room_lean(const struct belief *p, const struct lean *h)
{
    struct room_lean out = {{0}};

    for (int i = 0; i < BELIEF_N; i++) {
        for (int r = 0; r < ROOM_N; r++) {
            out.of[r] += h->h[i] * p->b[i][r];
        }
    }
    return out;
}

double belief_room_var(const struct belief_room *room, const struct room_lean *c)
{
    double sum = 0;

    for (int r = 0; r < ROOM_N; r++) {
        for (int q = 0; q < ROOM_N; q++) {
            sum += c->of[r] * room->var[r][q] * c->of[q];
        }
    }
    return sum;
}

double belief_room_mean(const struct belief_room *room, const struct room_lean *c)
{
    double sum = 0;

    for (int r = 0; r < ROOM_N; r++) {
        sum += c->of[r] * room->mean[r];
    }
    return sum;
}

double belief_var(const struct belief *p, const struct belief_room *room, const struct lean *h)
{
    struct room_lean c = belief_room_lean(p, h);

    return belief_own_var(p, h) + belief_room_var(room, &c);
}

/* Conditioning a normal on a sum of which it is a part: the gain is its covariance with the sum
 * over the sum's variance. b falls, since what the sum showed is no longer put down to the room
 * alone. */
void belief_share(struct belief *p, const struct lean *h, double litres, double left_l,
                  const struct room_lean *room_lean, double whole_var)
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
        for (int r = 0; r < ROOM_N; r++) {
            p->b[i][r] -= gain[i] * room_lean->of[r];
        }
        for (int k = 0; k < BELIEF_N; k++) {
            p->v[i][k] -= gain[i] * hv[k];
        }
    }
}

void belief_room_sees(struct belief_room *room, const struct room_lean *c, double left, double var)
{
    double whole_var = belief_room_var(room, c) + var;
    double off = left - belief_room_mean(room, c);
    double rc[ROOM_N] = {0};

    for (int r = 0; r < ROOM_N; r++) {
        for (int q = 0; q < ROOM_N; q++) {
            rc[r] += room->var[r][q] * c->of[q];
        }
    }
    for (int r = 0; r < ROOM_N; r++) {
        room->mean[r] += rc[r] / whole_var * off;
        for (int q = 0; q < ROOM_N; q++) {
            room->var[r][q] -= rc[r] * rc[q] / whole_var;
        }
    }
    room->var[ROOM_SIZE][ROOM_SIZE] =
        fmax(room->var[ROOM_SIZE][ROOM_SIZE], ROOM_SD_LEAST * ROOM_SD_LEAST);
    room->var[ROOM_PACE][ROOM_PACE] =
        fmax(room->var[ROOM_PACE][ROOM_PACE], ROOM_PACE_LEAST * ROOM_PACE_LEAST);
}

/* y - h a = off + h b r: what is left when the plant's own mean is taken off. */
void belief_see(struct belief *p, struct belief_room *room, const struct lean *h, double off,
                double noise_var)
{
    struct room_lean c = belief_room_lean(p, h);
    double var = belief_own_var(p, h) + noise_var;
    double left = off + belief_room_mean(room, &c);

    belief_share(p, h, 1, left, &c, var);
    belief_room_sees(room, &c, left, var);
}

/* A bound is first made of the whole, h x; the observation of h x that would have taught the same
 * is then shared out as any other, so that there is one way only in which a plant and the room
 * learn. */
void belief_bound(struct belief *p, struct belief_room *room, const struct lean *h, double off,
                  double soft_sd, bool above)
{
    struct gauss before = {0, belief_var(p, room, h)};
    struct gauss after = gauss_bound(before, off, soft_sd, above);
    struct gauss seen = gauss_as_observation(before, after);

    if (isfinite(seen.var)) {
        belief_see(p, room, h, seen.mean, seen.var);
    }
}

void belief_drift(struct belief *p, double days)
{
    if (days > 0) {
        p->v[BELIEF_LN_THETA][BELIEF_LN_THETA] += belief_drift_var(days);
        p->v[BELIEF_LN_HALF][BELIEF_LN_HALF] += HALF_DRIFT * HALF_DRIFT * days;
        p->v[BELIEF_LN_SPREAD][BELIEF_LN_SPREAD] += SPREAD_DRIFT * SPREAD_DRIFT * days;
    }
}

double belief_drift_var(double days)
{
    return DRIFT_SD_DAY * DRIFT_SD_DAY * fmax(days, 0);
}

/* What the room's size moved by moves all plants alike, also those that were told apart from it
 * (b below 1). Of the sum of both, b rho and the move, one factor again: its variance is kept, and
 * its covariance with other plants where they lean on the room as this one does. */
void belief_room_moved(struct belief *p, const struct belief_room *room, double days)
{
    double var = room->var[ROOM_SIZE][ROOM_SIZE];
    double moved = fmin(var, belief_room_drift_var(days));
    double *b = &p->b[BELIEF_LN_THETA][ROOM_SIZE];
    double with_pace = p->b[BELIEF_LN_THETA][ROOM_PACE] * room->var[ROOM_SIZE][ROOM_PACE];
    double kept = *b * *b * (var - moved) + 2 * *b * with_pace + moved;
    double more = (sqrt(fmax(0, with_pace * with_pace + var * kept)) - with_pace) / var;

    if (moved > 0 && *b < 1) {
        p->a[BELIEF_LN_THETA] += (*b - more) * room->mean[ROOM_SIZE];
        *b = more;
    }
}

void belief_room_drift(struct belief_room *room, double days)
{
    room->var[ROOM_SIZE][ROOM_SIZE] += belief_room_drift_var(days);
    room->var[ROOM_PACE][ROOM_PACE] += PACE_DRIFT_DAY * PACE_DRIFT_DAY * fmax(days, 0);
}

double belief_room_drift_var(double days)
{
    return ROOM_DRIFT_DAY * ROOM_DRIFT_DAY * fmax(days, 0);
}

/* An Ornstein-Uhlenbeck process: what is usual draws it back. */
static double ahead_var(double sd_day, double days)
{
    return sd_day * sd_day * BACK_DAY / 2 * (1 - exp(-2 * fmax(days, 0) / BACK_DAY));
}

double belief_drift_ahead_var(double days)
{
    return ahead_var(DRIFT_SD_DAY, days);
}

double belief_room_drift_ahead_var(double days)
{
    return ahead_var(ROOM_DRIFT_DAY, days);
}

/* The mean of n days that lean on each other has the variance of (n + leans - 1) / leans days
 * that do not, for long n; a single day has its own. */
double belief_weather_var(double days)
{
    double one = WEATHER_SD_DAY * WEATHER_SD_DAY;

    return one * fmin(1, WEATHER_LEANS / (fmax(days, 0) + WEATHER_LEANS - 1));
}
