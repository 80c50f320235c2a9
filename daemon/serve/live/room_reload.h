/* room_reload.h - reads the room file again, when it changes and when told to (SIGHUP).
 *
 * A faulty file is refused whole: the running room stays, and `fault` says why. A
 * good one is handed to the owner, who folds the journal anew for it. */
#ifndef TARN_SERVE_LIVE_ROOM_RELOAD_H
#define TARN_SERVE_LIVE_ROOM_RELOAD_H

#include "daemon/core/room/room.h"

#include <stdbool.h>
#include <uv.h>

struct err;

/* Fill in the first five, zero the others. */
struct room_reload {
    const char *room_path, *crops_dir;
    void *owner;
    bool (*may_reload)(void *owner); /* false: it is read later, once this is true */
    /* A good room file (malloc'd, taken). The service manager was told of a reload,
     * and is to be told "READY=1" when the room is in use. */
    void (*on_room)(void *owner, struct room *room);

    uv_fs_event_t watch;
    uv_timer_t soon; /* an editor writes a file in several steps */
    char fault[400]; /* why the file on disk was refused; "" = it is the running one */
};

/* Watches the folder of the room file. Without a watch (none left for this user) SIGHUP still
 * serves. */
int room_reload_start(struct room_reload *r, uv_loop_t *loop, struct err *e);

/* Reads the file now, or as soon as it may be. */
void room_reload_now(struct room_reload *r);

/* Reads it no more. Its handles are closed with the loop's next turns. */
void room_reload_stop(struct room_reload *r);

#endif
