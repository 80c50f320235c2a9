/* a_prior.h - what belief.h states of a vine before anything was seen of it, for tests to reckon
 * with.
 *
 * Shares no code with belief.c: leans are differences over the curve. */
#ifndef TARN_TESTS_A_PRIOR_H
#define TARN_TESTS_A_PRIOR_H

#include "daemon/core/model/curve.h"

#include <math.h>

/* The square: of a standard deviation its variance. */
static inline double sq(double x)
{
    return x * x;
}

/* Standard deviations: of ln theta a plant's own, and the room's; of ln half and ln spread; of a
 * factor on both, the plant's, and the room's. */
#define OWN_SD       0.27
#define SIZE_SD      0.30
#define HALF_SD      0.25
#define SPREAD_SD    0.22
#define PACE_SD      0.25
#define ROOM_PACE_SD 0.25

/* By which they wander in a day. */
#define OWN_DAY       0.05
#define SIZE_DAY      0.06
#define HALF_DAY      0.02
#define SPREAD_DAY    0.03
#define ROOM_PACE_DAY 0.005

/* Of ln of what is used in so many days: weather of 27 % a day, leaning on the day before by a
 * half … */
static inline double weather_var(double days)
{
    return sq(0.27) * 3 / (days + 2);
}

/* … and a plant that wanders from its factor, in a room that wanders too … */
static inline double wander_var(double days)
{
    return (sq(OWN_DAY) + sq(SIZE_DAY)) * days;
}

/* … and what one of a day's standard deviation will have done in days to come, of which it comes
 * back within six (Ornstein-Uhlenbeck). */
static inline double ahead_var(double day_sd, double days)
{
    return sq(day_sd) * 6 / 2 * (1 - exp(-2 * days / 6));
}

/* … and its curve with it. */
#define WANDER_HALF_VAR(h, days)   (sq((h)[1] * HALF_DAY) * (days))
#define WANDER_SPREAD_VAR(h, days) (sq((h)[2] * SPREAD_DAY) * (days))

/* ln of what a plant of this curve uses between two ages, as it leans on ln theta, ln half and
 * ln spread. */
static inline void lean_of(const struct curve *c, double from, double to, double out[3])
{
    const double step = 1e-5;
    struct curve later = {c->most_l_day, c->half_day * exp(step), c->spread_day};
    struct curve slower = {c->most_l_day, c->half_day, c->spread_day * exp(step)};
    double use = curve_use_l(c, 1, from, to);

    out[0] = 1;
    out[1] = log(curve_use_l(&later, 1, from, to) / use) / step;
    out[2] = log(curve_use_l(&slower, 1, from, to) / use) / step;
}

/* Who is late is slow, a plant and a whole room. */
static inline double use_var(const struct curve *c, double from, double to)
{
    double h[3];

    lean_of(c, from, to, h);
    return sq(OWN_SD) + sq(SIZE_SD) + sq(h[1] * HALF_SD) + sq(h[2] * SPREAD_SD) +
           (sq(PACE_SD) + sq(ROOM_PACE_SD)) * sq(h[1] + h[2]);
}

#endif
