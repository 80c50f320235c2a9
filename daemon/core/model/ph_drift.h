/* ph_drift.h - how fast the pH of a solution drifts, and where in its band it is to be set.
 *
 * Pure. Roots that take up nitrate raise the pH of their solution, those that take up ammonium
 * lower it (Raven & Smith 1976, New Phytologist 76:415; from memory). Which of the two, and how
 * fast, is a matter of feed, water and plant, and is learned from readings: what all plants of
 * the room have in common, and what is a plant's own.
 *
 * What roots take up goes with what they drink, so time is counted in turns: one for each time
 * that a plant has drunk as much as its vessel holds. A seedling in a full bucket moves its pH in a
 * month less than a grown plant in a jar does overnight. */
#ifndef TARN_CORE_MODEL_PH_DRIFT_H
#define TARN_CORE_MODEL_PH_DRIFT_H

#include "daemon/core/model/gauss.h"

#include <stdint.h>

/* So far outside a shown pH may be inside all the same, by a cared-for pen (common practice, no
 * source). */
#define PH_DOUBT 0.1

struct ph_drift {
    struct gauss own;  /* pH a turn, over what the room has in common */
    int64_t from_s;    /* the pH was last known then (0 = it is not known) … */
    double from_turns; /* … when the plant had made so many turns … */
    double from_ph;    /* … to be this, or to come to it by itself as its gas leaves */
};

/* What is believed before anything was read. */
struct gauss ph_drift_room(void);
struct ph_drift ph_drift_of_plant(void);

/* The pH was set, or that of a new solution is known. */
void ph_drift_set(struct ph_drift *d, double ph, int64_t t_s, double turns);
void ph_drift_unknown(struct ph_drift *d);

/* The pH was read: what it did since it was last known teaches about both, if a day or more went by
 * and it is not out of all reason. */
void ph_drift_read(struct ph_drift *d, struct gauss *room, double ph, int64_t t_s, double turns);

/* What is expected of it, pH a turn; below 0 where it falls. */
double ph_drift_ph_turn(const struct ph_drift *d, const struct gauss *room);

/* Days from when the pH was last known until it is expected to leave lo to hi, of a plant that
 * makes so many turns in a day; 0 where it was outside, INFINITY where it never does or nothing is
 * known. */
double ph_drift_days_within(const struct ph_drift *d, const struct gauss *room, double turns_day,
                            double lo, double hi);

/* The pH to set, to a tenth, so that in `days` it drifts as far beyond the middle of lo to hi as it
 * was set before it; never nearer to an end than a quarter of the band. */
double ph_drift_aim(double lo, double hi, double ph_day, double days);

#endif
