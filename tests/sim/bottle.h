/* bottle.h - what the room's source and its bottles hold, in ions.
 *
 * Of the room file only what a person could read off it: the source's strength, alkalinity and pH,
 * a product's label. What a label leaves out to make the charges even is chloride or sodium; a
 * product whose label says nothing is taken for Hoagland & Arnon's second solution (1950),
 * concentrated. */
#ifndef TARN_TESTS_SIM_BOTTLE_H
#define TARN_TESTS_SIM_BOTTLE_H

#include "daemon/core/room/room.h"
#include "tests/sim/water.h"

/* A litre of the source's water: as hard as its alkalinity (calcium and magnesium bicarbonate, as
 * in most supplies; common practice, no source), and sodium chloride and calcium sulfate up to its
 * EC. */
struct water_body bottle_source(const struct source_water *s);

/* Adds an amount (mL or g, as the product is) to a water. An acid or base adds what it is. */
void bottle_add(struct water_body *to, const struct room *room, size_t product, double amount);

#endif
