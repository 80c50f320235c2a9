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

/* Of ln of what is used in so many days: weather of 20 % a day, leaning on the day before by a
 * half … */
static inline double weather_var(double days)
{
    return sq(0.20) * 3 / (days + 2);
}

/* … and a plant that wanders from its factor by 1 % a day. */
static inline double wander_var(double days)
{
    return sq(0.01) * days;
}

/* ln of what a plant of this curve uses between two ages, as it leans on theta, shift and
 * spread. */
static inline void lean_of(const struct curve *c, double from, double to, double out[3])
{
    const double step = 1e-3;
    struct curve later = {c->most_l_day, c->half_day + step, c->spread_day};
    struct curve slower = {c->most_l_day, c->half_day, c->spread_day * exp(step)};
    double use = curve_use_l(c, 1, from, to);

    out[0] = 1;
    out[1] = log(curve_use_l(&later, 1, from, to) / use) / step;
    out[2] = log(curve_use_l(&slower, 1, from, to) / use) / step;
}

/* ln theta: 0.29 of the plant's own and 0.20 of the room's; shift: 12 % of 40 days; spread:
 * 0.15. */
static inline double use_var(const struct curve *c, double from, double to)
{
    double h[3];

    lean_of(c, from, to, h);
    return sq(0.29) + sq(0.20) + sq(h[1] * 0.12 * 40) + sq(h[2] * 0.15);
}

#endif
