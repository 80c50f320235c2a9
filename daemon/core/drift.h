/* drift.h - how fast the pH of a solution drifts, and where in its band it is to be set.
 *
 * Pure. Roots that take up nitrate raise the pH of their solution, those that take up ammonium lower
 * it (Raven & Smith 1976, New Phytologist 76:415; from memory). Which of the two, and how fast, is a
 * matter of feed, water and plant, and is learned from readings: what all plants of the room have in
 * common, and what is a plant's own. */
#ifndef TARN_CORE_DRIFT_H
#define TARN_CORE_DRIFT_H

#include "daemon/core/gauss.h"

#include <stdint.h>

struct drift {
    struct gauss own; /* pH a day, over what the room has in common */
    int64_t from_s;   /* the pH was last known then (0 = it is not known) … */
    double from_ph;   /* … to be this */
};

/* What is believed before anything was read. */
struct gauss drift_room(void);
struct drift drift_of_plant(void);

/* The pH was set, or that of a new solution is known. */
void drift_set(struct drift *d, double ph, int64_t t_s);
void drift_unknown(struct drift *d);

/* The pH was read: what it did since it was last known teaches about both, if a day or more went by
 * and it is not out of all reason. */
void drift_read(struct drift *d, struct gauss *room, double ph, int64_t t_s);

/* What is expected of it, pH a day; below 0 where it falls. */
double drift_ph_day(const struct drift *d, const struct gauss *room);

/* The pH to set, to a tenth, so that in `days` it drifts as far beyond the middle of lo to hi as it
 * was set before it; never nearer to an end than a quarter of the band. */
double drift_aim(double lo, double hi, double ph_day, double days);

#endif
