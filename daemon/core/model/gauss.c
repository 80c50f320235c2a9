#include "daemon/core/model/gauss.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>

/* Where the tail is taken by its asymptote: erfc keeps its digits down to -37, and there the two
 * agree to 1e-3 already. */
#define FAR_OUT (-30.0)

struct gauss gauss_see(struct gauss x, double h, double y, double noise_var)
{
    double gain = x.var * h / (h * h * x.var + noise_var);

    return (struct gauss){x.mean + gain * (y - h * x.mean), x.var * (1 - gain * h)};
}

double normal_below(double z)
{
    return erfc(-z * M_SQRT1_2) / 2;
}

static double density(double z)
{
    return exp(-z * z / 2) / sqrt(2 * M_PI);
}

/* density / distribution; far out to the left it goes like -z. */
static double hazard(double z)
{
    return z < FAR_OUT ? -z : density(z) / normal_below(z);
}

struct gauss gauss_bound(struct gauss x, double bound, double soft_sd, bool above)
{
    double sign = above ? 1 : -1;
    double wide = sqrt(x.var + soft_sd * soft_sd);
    double z = sign * (x.mean - bound) / wide;
    double ratio = hazard(z);

    return (struct gauss){x.mean + sign * x.var * ratio / wide,
                          x.var - x.var * x.var * ratio * (z + ratio) / (wide * wide)};
}

struct gauss gauss_as_observation(struct gauss from, struct gauss to)
{
    double told = 1 / to.var - 1 / from.var;

    if (!(told > 0)) {
        return (struct gauss){to.mean, INFINITY};
    }
    return (struct gauss){(to.mean / to.var - from.mean / from.var) / told, 1 / told};
}

/* ---- the quantile: algorithm AS 241, PPND16 (Wichura 1988, Applied Statistics 37:477): three
 * quotients of polynomials of the seventh degree, right to about one part in 10^16. The numbers
 * are the paper's, from memory, and beside GSL's and the printed table in
 * tests/published/check_belief.c. */

/* clang-format off */
#define MIDDLE_HALF 0.425 /* |p - 1/2| up to this: in r = 0.425^2 - (p - 1/2)^2 */
#define NEAR_SHIFT  1.6   /* else in r = sqrt(-ln of the tail), less this … */
#define TAIL_FAR    5.0   /* … or, where r is above this (a tail below e^-25), less this */

enum { DEGREE = 7 };

struct quotient {
    double above[DEGREE + 1]; /* from the highest power to the constant */
    double below[DEGREE + 1];
};

static const struct quotient middle = {
    {2.5090809287301226727e+3, 3.3430575583588128105e+4, 6.7265770927008700853e+4,
     4.5921953931549871457e+4, 1.3731693765509461125e+4, 1.9715909503065514427e+3,
     1.3314166789178437745e+2, 3.3871328727963666080e+0},
    {5.2264952788528545610e+3, 2.8729085735721942674e+4, 3.9307895800092710610e+4,
     2.1213794301586595867e+4, 5.3941960214247511077e+3, 6.8718700749205790830e+2,
     4.2313330701600911252e+1, 1},
};
static const struct quotient near_tail = {
    {7.74545014278341407640e-4, 2.27238449892691845833e-2, 2.41780725177450611770e-1,
     1.27045825245236838258e+0, 3.64784832476320460504e+0, 5.76949722146069140550e+0,
     4.63033784615654529590e+0, 1.42343711074968357734e+0},
    {1.05075007164441684324e-9, 5.47593808499534494600e-4, 1.51986665636164571966e-2,
     1.48103976427480074590e-1, 6.89767334985100004550e-1, 1.67638483018380384940e+0,
     2.05319162663775882187e+0, 1},
};
static const struct quotient far_tail = {
    {2.01033439929228813265e-7, 2.71155556874348757815e-5, 1.24266094738807843860e-3,
     2.65321895265761230930e-2, 2.96560571828504891230e-1, 1.78482653991729133580e+0,
     5.46378491116411436990e+0, 6.65790464350110377720e+0},
    {2.04426310338993978564e-15, 1.42151175831644588870e-7, 1.84631831751005468180e-5,
     7.86869131145613259100e-4, 1.48753612908506148525e-2, 1.36929880922735805310e-1,
     5.99832206555887937690e-1, 1},
};
/* clang-format on */

static double quotient_at(const struct quotient *q, double r)
{
    double above = 0;
    double below = 0;

    for (size_t i = 0; i <= DEGREE; i++) {
        above = above * r + q->above[i];
        below = below * r + q->below[i];
    }
    return above / below;
}

double normal_quantile(double p)
{
    double off = p - 0.5;
    double r;
    double z;

    assert(p > 0 && p < 1);
    if (fabs(off) <= MIDDLE_HALF) {
        return off * quotient_at(&middle, MIDDLE_HALF * MIDDLE_HALF - off * off);
    }
    r = sqrt(-log(off < 0 ? p : 1 - p));
    z = r <= TAIL_FAR ? quotient_at(&near_tail, r - NEAR_SHIFT)
                      : quotient_at(&far_tail, r - TAIL_FAR);
    return off < 0 ? -z : z;
}
