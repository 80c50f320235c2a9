#include "daemon/core/model/learning.h"

#include <math.h>
#include <stdlib.h>

struct learned learned_from(double value, double sd, double drift_frac)
{
    return (struct learned){.value = value, .var = sd * sd, .drift_frac = drift_frac};
}

double learned_sd(const struct learned *l)
{
    return sqrt(l->var);
}

/* Where nothing is known the first observation is taken as it is: there is nothing to weigh it
 * by. A figure that may have wandered is less sure before each observation than it was after the
 * last. */
bool learned_take(struct learned *l, double x, double y, double noise_sd)
{
    double drift = l->drift_frac * l->value;
    double noise_var = noise_sd * noise_sd;
    double off = y - l->value * x;
    double gain;

    if (isinf(l->var)) {
        l->value = y / x;
        l->var = noise_var / (x * x);
        l->n_used++;
        return true;
    }
    l->var += drift * drift;
    if (fabs(off) > LEARN_GATE_SD * sqrt(l->var * x * x + noise_var)) {
        bool same_side = (off > 0) == (l->in_a_row > 0) || l->in_a_row == 0;

        l->in_a_row = (same_side ? abs(l->in_a_row) + 1 : 1) * (off > 0 ? 1 : -1);
        if (abs(l->in_a_row) < LEARN_STUBBORN) {
            l->n_aside++;
            return false;
        }
        l->var = off * off / (x * x); /* it has moved by as much as this */
    }
    gain = l->var * x / (l->var * x * x + noise_var);
    l->value += gain * off;
    l->var *= 1 - gain * x;
    l->in_a_row = 0;
    l->n_used++;
    return true;
}
