/* room_compared.h - a room file that was changed while tarnd did not run. */
#ifndef TARN_SERVE_LIVE_ROOM_COMPARED_H
#define TARN_SERVE_LIVE_ROOM_COMPARED_H

#include "daemon/core/room/room.h"

struct server;

/* After a start: tells what the room file says of products otherwise than the one that was in use
 * before, and then keeps a copy of it, so that a start that was cut short tells it again. */
void room_compared_tell(struct server *s, const struct room *before);

#endif
