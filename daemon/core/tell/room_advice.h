/* room_advice.h - what a room file lets one foresee, before anything happens in the room.
 *
 * Pure. No fault: a room like that can be run, with more work or more care. A line each, with what
 * would do better. */
#ifndef TARN_CORE_TELL_ROOM_ADVICE_H
#define TARN_CORE_TELL_ROOM_ADVICE_H

#include "daemon/core/room/room.h"

struct text;

/* Adds: vessels in which a fresh solution does not last a full-grown plant the shortest life that
 * its crop gives one; recipes whose nitrogen is ammonium for more than ROOM_AMMONIUM_FRAC. Nothing
 * where nothing is to be said. */
void room_advice(const struct room *room, struct text *out);

/* Of the nitrogen as ammonium, from this on a solution turns sour: strawberry in deep water, Yafuso
 * & Boldt 2024, HortScience 59(3):384-393. */
#define ROOM_AMMONIUM_FRAC 0.2

#endif
