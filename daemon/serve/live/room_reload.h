/* room_reload.h - the room file anew, on SIGHUP and when it changes.
 *
 * A faulty file is refused whole: the running room stays, and the status shows the fault. */
#ifndef TARN_SERVE_LIVE_ROOM_RELOAD_H
#define TARN_SERVE_LIVE_ROOM_RELOAD_H

#include <stdbool.h>
#include <uv.h>

struct err;
struct server;

struct reload {
    uv_fs_event_t watch;
    uv_timer_t soon; /* an editor writes a file in several steps */
    bool under_way;  /* a good file was read, and its fold is not through */
    char fault[400]; /* why the file on disk was refused; "" = it is the running one */
};

int reload_start(struct server *s, struct err *e);
void reload_now(struct server *s);

/* The fold with the new room is through. */
void reload_done(struct server *s);
void reload_stop(struct server *s);

#endif
