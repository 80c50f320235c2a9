/* advise.h - what the dial of the room file and other vessels, water or days would come to.
 *
 * Reckoned by feeding_week of what is believed of this room, as it is and as it is supposed to be.
 * Takes up to a second or two: for a thread (verb_outlook.c). */
#ifndef TARN_SERVE_API_ADVISE_H
#define TARN_SERVE_API_ADVISE_H

#include "daemon/core/room/room.h"
#include "daemon/core/state/state.h"

#include <jansson.h>

/* The answer of `advise`; the room and its state stay as they are. */
json_t *advise(const struct room *room, const struct state *s, int64_t now_s);

#endif
