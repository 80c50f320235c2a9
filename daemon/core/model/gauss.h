/* gauss.h - a figure that is known so and so well, and what an observation makes of it.
 *
 * Pure. The scalar Kalman filter (Kalman 1960), and moment matching where only a bound was seen
 * (a probit likelihood: Minka 2001, expectation propagation; Rasmussen & Williams 2006, eq.
 * 3.85). */
#ifndef TARN_CORE_MODEL_GAUSS_H
#define TARN_CORE_MODEL_GAUSS_H

#include <stdbool.h>

struct gauss {
    double mean;
    double var; /* >= 0 */
};

/* After y = h x + noise of noise_var > 0 was seen. */
struct gauss gauss_see(struct gauss x, double h, double y, double noise_var);

/* After it was seen that x lies above `bound` (or below it), give or take soft_sd > 0. */
struct gauss gauss_bound(struct gauss x, double bound, double soft_sd, bool above);

/* An observation of x itself that takes `from` to `to`: its value and noise. The noise is INFINITY
 * when nothing was learned. */
struct gauss gauss_as_observation(struct gauss from, struct gauss to);

/* Standard normal distribution: P(Z <= z), and the z of a probability, which must lie between 0
 * and 1 and be neither (Wichura 1988, AS 241). */
double normal_below(double z);
double normal_quantile(double p);

#endif
