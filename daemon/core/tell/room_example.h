/* room_example.h - an example of what to type, with the names of this room.
 *
 * Pure. The tables of words have examples with names of no room: A1 and A3, calcium-part, ph-down,
 * leaf, ph-pen. Whoever types what stands there should not be told that there is no A1. */
#ifndef TARN_CORE_TELL_ROOM_EXAMPLE_H
#define TARN_CORE_TELL_ROOM_EXAMPLE_H

#include "daemon/base/text.h"
#include "daemon/core/room/room.h"

/* Adds the example with names that the room has in the place of those; where it has none, as is. */
void room_example(const struct room *room, const char *example, struct text *out);

#endif
