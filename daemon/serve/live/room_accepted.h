/* room_accepted.h - a copy of the room file that was accepted last, in the state folder.
 *
 * For a start at which the room file itself has a fault: an editor's slip must not keep a room from
 * being looked after until somebody sees it. */
#ifndef TARN_SERVE_LIVE_ROOM_ACCEPTED_H
#define TARN_SERVE_LIVE_ROOM_ACCEPTED_H

struct err;

/* Where the copy lies; malloc'd. */
char *room_accepted_path(const char *state_dir);

/* Copies the room file there, whole or not at all. */
int room_accepted_keep(const char *room_path, const char *state_dir, struct err *e);

#endif
