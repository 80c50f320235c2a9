/* record.h - how wrong forecasts of one kind have been in this room, and what follows for the next.
 *
 * Pure. Each outcome is scored by its distance in standard deviations, z. Were the doubts right,
 * z^2 would be 1 in the mean; doubts that must allow for any room are too wide for most. The
 * variance is scaled by the mean of z^2, which begins as RECORD_PRIOR outcomes that were as wide as
 * promised (the inverse gamma prior of a normal's variance: Gelman et al., Bayesian Data Analysis,
 * 2.6), and forgets, so that the last outcomes weigh most.
 *
 * For people it counts what came true, and scores it by the continuous ranked probability score of
 * a normal (Gneiting & Raftery 2007, J. Amer. Stat. Assoc. 102:359), beside a straight line through
 * the last two readings, whose score is its distance. */
#ifndef TARN_CORE_MODEL_RECORD_H
#define TARN_CORE_MODEL_RECORD_H

#include <stdint.h>

struct record {
    double n; /* outcomes, the older ones counted less */
    double sum_z2;
    int32_t made, inside; /* all of them, and those within nine in ten as it was promised */
    double score;         /* sum of the CRPS, in the unit of what was foretold */
    int32_t beside;       /* outcomes on which a straight line had a word … */
    double score_beside;  /* … their score … */
    double line;          /* … and the line's */
};

/* One more outcome, z of its standard deviations off, each of which is `sd` (litres, mS/cm); the
 * straight line was off by line_off of them (NaN = there was none). */
void record_add(struct record *r, double z, double sd, double line_off);

/* The factor on a standard deviation that was promised: 1 where nothing came true yet. */
double record_scale(const struct record *r);

/* The same where the promise leans on another kind's record, as long as few of its own came true:
 * the plants that draw from a reservoir are those whose levels fell before. */
double record_scale_beside(const struct record *r, const struct record *other);

#endif
