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

/* … and a plant that wanders from its factor by 5 % a day, in a room that wanders as much. */
static inline double wander_var(double days)
{
    return (sq(0.05) + sq(0.05)) * days;
}

/* … and its curve with it, by 2 % of 40 days and 3 % of its spread. */
#define WANDER_SHIFT_VAR(h, days)  (sq((h)[1] * 0.02 * 40) * (days))
#define WANDER_SPREAD_VAR(h, days) (sq((h)[2] * 0.03) * (days))

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

/* ln theta: 0.27 of the plant's own and 0.25 of the room's; shift: 28 % of 40 days; spread: 0.25;
 * and 25 % of both at once, since who is late is slow. */
static inline double use_var(const struct curve *c, double from, double to)
{
    double h[3];

    lean_of(c, from, to, h);
    return sq(0.27) + sq(0.25) + sq(h[1] * 0.28 * 40) + sq(h[2] * 0.25) +
           sq(0.25 * (h[1] * 40 + h[2]));
}

#endif
