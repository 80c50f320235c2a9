#include "daemon/core/model/curve.h"

#include <float.h>
#include <math.h>

/* A belief may wander to an absurd thirst before readings pull it back. Infinity less infinity
 * would be NaN, and that would be the end of a forecast; a huge number is only huge. */
static double bounded(double v)
{
    return fmax(-DBL_MAX, fmin(DBL_MAX, v));
}

static double full_use_l_day(const struct curve *c, double theta)
{
    return bounded(theta * c->most_l_day);
}

/* spread * ln(1 + e^((age - half) / spread)): the days at full use that come to what was used until
 * age. Written so that no intermediate overflows and small values keep their digits. */
static double full_days(const struct curve *c, double age_day)
{
    double past = bounded(age_day - c->half_day);

    return fmax(past, 0) + c->spread_day * log1p(exp(-fabs(past) / c->spread_day));
}

/* The age at which full_days is `days` > 0: half + spread * ln(e^(days / spread) - 1). */
static double age_of_full_days(const struct curve *c, double days)
{
    double x = days / c->spread_day;

    /* Two forms of one formula, each where it keeps its digits: for a large x the 1 is lost in
     * e^x, for a small one e^x - 1 is. */
    if (x > 1) {
        return c->half_day + days + c->spread_day * log1p(-exp(-x));
    }
    return c->half_day + c->spread_day * log(fmax(expm1(x), DBL_MIN));
}

double curve_rate_l_day(const struct curve *c, double theta, double age_day)
{
    double x = bounded(age_day - c->half_day) / c->spread_day;

    return full_use_l_day(c, theta) / (1 + exp(-x));
}

double curve_use_l(const struct curve *c, double theta, double a0_day, double a1_day)
{
    if (!(a1_day > a0_day)) {
        return 0;
    }
    return bounded(full_use_l_day(c, theta) * (full_days(c, a1_day) - full_days(c, a0_day)));
}

double curve_age_day(const struct curve *c, double theta, double a0_day, double litres)
{
    double days;

    if (!(litres > 0)) {
        return a0_day;
    }
    days = bounded(full_days(c, a0_day) + litres / full_use_l_day(c, theta));
    return bounded(fmax(age_of_full_days(c, days), a0_day));
}
