#include "daemon/core/model/gauss.h"

#include <math.h>

#define FAR_OUT        (-30.0) /* where the tail is taken by its asymptote */
#define QUANTILE_FAR   40.0
#define QUANTILE_STEPS 80

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

double normal_quantile(double p)
{
    double lo = -QUANTILE_FAR;
    double hi = QUANTILE_FAR;

    for (int i = 0; i < QUANTILE_STEPS; i++) {
        double z = (lo + hi) / 2;

        if (normal_below(z) < p) {
            lo = z;
        } else {
            hi = z;
        }
    }
    return (lo + hi) / 2;
}
