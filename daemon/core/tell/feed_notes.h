/* feed_notes.h - what a container's nutrients say of one another, beside what was published.
 *
 * Pure. How much there is of each is another matter: bumps and changes see to that. */
#ifndef TARN_CORE_TELL_FEED_NOTES_H
#define TARN_CORE_TELL_FEED_NOTES_H

#include "daemon/core/room/room.h"

/* Potassium over calcium, by weight: off what was published for the stage by more than this factor,
 * the one keeps the other from the plant. Our own estimate. */
#define FEED_NOTES_K_CA_OFF 2.0

#define FEED_NOTES_MAX 2
#define FEED_NOTE_LEN  200

/* Of mg_l in a solution of crop's stage: K to Ca out of range, nitrogen that is ammonium for more
 * than ROOM_AMMONIUM_FRAC (room_advice.h). How many notes there are; nothing is said of what nobody
 * knows, or published. */
size_t feed_notes(const struct crop *crop, int stage, const struct nutrients *mg_l,
                  char out[FEED_NOTES_MAX][FEED_NOTE_LEN]);

#endif
