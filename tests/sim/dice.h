/* dice.h - a generator of random numbers of its own, so that a seed means the same everywhere.
 *
 * splitmix64 (Steele, Lea & Flood 2014); normal numbers by Box & Muller 1958. */
#ifndef TARN_TESTS_SIM_DICE_H
#define TARN_TESTS_SIM_DICE_H

#include <stdint.h>

struct dice {
    uint64_t state;
};

double dice_even(struct dice *d);   /* in [0, 1) */
double dice_normal(struct dice *d); /* mean 0, standard deviation 1 */

/* The dice of one purpose, one subject and one day: the same whenever they are asked for. */
struct dice dice_of(uint64_t seed, uint64_t purpose, uint64_t subject, uint64_t day);

#endif
