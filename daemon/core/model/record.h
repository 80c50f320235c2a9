/* record.h - how wrong forecasts of one kind have been in this room, and what follows for the next.
 *
 * Pure. Each outcome is scored by its distance in standard deviations, z. Were the doubts right,
 * z^2 would be 1 in the mean; doubts that must allow for any room are too wide for most. The
 * variance is scaled by the mean of z^2, which begins as RECORD_PRIOR outcomes that were as wide as
 * promised (the inverse gamma prior of a normal's variance: Gelman et al., Bayesian Data Analysis,
 * 2.6), and forgets, so that the last outcomes weigh most. */
#ifndef TARN_CORE_MODEL_RECORD_H
#define TARN_CORE_MODEL_RECORD_H

struct record {
    double n; /* outcomes, the older ones counted less */
    double sum_z2;
};

/* One more outcome. */
void record_add(struct record *r, double z);

/* The factor on a standard deviation that was promised: 1 where nothing came true yet. */
double record_scale(const struct record *r);

#endif
