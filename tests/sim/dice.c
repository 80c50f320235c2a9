#include "tests/sim/dice.h"

#include <math.h>

static uint64_t dice_next(struct dice *d)
{
    uint64_t z = d->state += 0x9E3779B97F4A7C15ULL;

    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

struct dice dice_of(uint64_t seed, uint64_t purpose, uint64_t subject, uint64_t day)
{
    struct dice d = {seed};

    d.state = dice_next(&d) ^ purpose;
    d.state = dice_next(&d) ^ subject;
    d.state = dice_next(&d) ^ day;
    (void)dice_next(&d);
    return d;
}

double dice_even(struct dice *d)
{
    return (double)(dice_next(d) >> 11) * 0x1p-53;
}

double dice_normal(struct dice *d)
{
    double u = dice_even(d);
    double v = dice_even(d);

    return sqrt(-2 * log(1 - u)) * cos(2 * M_PI * v); /* Box & Muller 1958 */
}
