/* ruler.h - a level that was read off a ruler, in litres.
 *
 * Pure. A straight line through two heights of which the volume is known. A vessel that is wider at
 * the top is no straight line, but between two such marks it is off by little: a bucket of 19 L, 26
 * cm wide below and 30 cm above, by at most 0.21 L (the chord of a cone; test_ruler reckons it). */
#ifndef TARN_CORE_ROOM_RULER_H
#define TARN_CORE_ROOM_RULER_H

#include "daemon/core/room/room.h"

struct ruler {
    double low_m, low_l;   /* at the lower mark */
    double high_m, high_l; /* at the upper mark; high_m > low_m, high_l > low_l */
};

/* The scale of a container or the reservoir; false where the room file gives none. Where it
 * gives the upper height alone, the walls are taken to be straight, and the ruler stands on the
 * floor. */
bool ruler_of(const struct room *room, struct subject s, struct ruler *out);

/* Litres at a height; below 0 where the scale says that this is below the floor. */
double ruler_volume_l(const struct ruler *r, double height_m);

/* The height at which so many litres stand. */
double ruler_height_m(const struct ruler *r, double volume_l);

#endif
