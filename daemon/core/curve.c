#include "daemon/core/curve.h"

#include <float.h>
#include <math.h>

/* ln(1 + e^x) without overflow, and without losing small values. */
static double softplus(double x)
{
    return x > 0 ? x + log1p(exp(-x)) : log1p(exp(x));
}

/* The x whose softplus is y: ln(e^y - 1). */
static double softplus_inverse(double y)
{
    return y > 1 ? y + log1p(-exp(-y)) : log(expm1(y));
}

static double bounded(double v)
{
    return fmax(-DBL_MAX, fmin(DBL_MAX, v));
}

double curve_rate_l_day(const struct curve *c, double theta, double age_day)
{
    return theta * c->most_l_day / (1 + exp(-(age_day - c->half_day) / c->spread_day));
}

double curve_use_l(const struct curve *c, double theta, double a0_day, double a1_day)
{
    double x0 = (a0_day - c->half_day) / c->spread_day;
    double x1 = (a1_day - c->half_day) / c->spread_day;

    if (!(a1_day > a0_day)) {
        return 0;
    }
    return bounded(theta * c->most_l_day * c->spread_day * (softplus(x1) - softplus(x0)));
}

double curve_age_day(const struct curve *c, double theta, double a0_day, double litres)
{
    double x0 = (a0_day - c->half_day) / c->spread_day;
    double more = litres / (theta * c->most_l_day * c->spread_day);
    double age;

    if (!(litres > 0)) {
        return a0_day;
    }
    age = c->half_day + c->spread_day * softplus_inverse(fmax(softplus(x0) + more, DBL_MIN));
    return bounded(fmax(age, a0_day));
}
