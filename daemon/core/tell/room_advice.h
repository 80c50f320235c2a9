/* room_advice.h - what a room file lets one foresee, before anything happens in the room.
 *
 * Pure. No fault: a room like that can be run, with more work or more care. A line each, with what
 * would do better. */
#ifndef TARN_CORE_TELL_ROOM_ADVICE_H
#define TARN_CORE_TELL_ROOM_ADVICE_H

#include "daemon/core/room/room.h"

struct text;

/* Adds: vessels in which a fresh solution does not last a full-grown plant the shortest life that
 * its crop gives one; recipes whose nitrogen is ammonium for more than ROOM_AMMONIUM_FRAC, or
 * nitrate alone; recipes that give less than ROOM_SCARCE_FRAC of the K or Ca, for each mg of N,
 * that a crop takes; a source that gives less in a day than full-grown plants drink; an acid that
 * brings more than ROOM_ACID_FEED_FRAC of what a recipe gives. Nothing where nothing is to be
 * said. */
void room_advice(const struct room *room, struct text *out);

/* Of the nitrogen as ammonium, from this on a solution turns sour: strawberry in deep water,
 * Yafuso & Boldt 2024, HortScience 59(3):384-393. */
#define ROOM_AMMONIUM_FRAC 0.2

/* Below this it is nitrate alone. 5 to 10 % as ammonium keep the pH of solutions without soil from
 * climbing: Sonneveld & Voogt 2009, Plant Nutrition of Greenhouse Crops; from memory. */
#define ROOM_NITRATE_ONLY_FRAC 0.02

/* Our own estimate. */
#define ROOM_SCARCE_FRAC 0.6

/* Common practice, no source. */
#define ROOM_ACID_FEED_FRAC 0.5

#endif
