/* learning.h - one figure learned from what was measured, with its doubt.
 *
 * Pure. Recursive least squares with forgetting of a line through the origin, y = value x + noise
 * (Plackett 1950, Biometrika 37:149; the scalar Kalman filter with a random walk). An observation
 * more than three standard deviations away is set aside; three of them in a row on the same side
 * are believed: then it is the figure that has moved. */
#ifndef TARN_CORE_MODEL_LEARNING_H
#define TARN_CORE_MODEL_LEARNING_H

#include <stdbool.h>
#include <stdint.h>

/* Common practice, no source: by chance one observation in 370 lies so far out, and three of them
 * on one side in a row are no chance but a bottle that is another. */
#define LEARN_GATE_SD  3.0
#define LEARN_STUBBORN 3

struct learned {
    double value;
    double var;        /* of value; INFINITY = nothing is known */
    int32_t n_used;    /* observations that were taken */
    int32_t n_aside;   /* and that were set aside */
    int32_t in_a_row;  /* set aside since the last that was taken: below 0 when too low */
    double drift_frac; /* by which the figure may wander from one observation to the next */
};

/* Starts from what is believed beforehand, with its standard deviation (INFINITY: nothing is). */
struct learned learned_from(double value, double sd, double drift_frac);

/* Takes y, seen at x > 0 with a noise of noise_sd > 0. False when it was set aside. */
bool learned_take(struct learned *l, double x, double y, double noise_sd);

/* Standard deviation of the value; INFINITY when nothing is known. */
double learned_sd(const struct learned *l);

#endif
