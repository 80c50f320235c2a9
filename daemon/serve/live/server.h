/* server.h - the daemon's shell: what ties the loop, the room, the journal's thread and the
 * clients.
 *
 * Invariants
 *  1. What a request tells is checked and applied to the room in memory at once, then handed to the
 * journal's thread.
 *  2. A reply leaves only when all that was handed to the journal's thread before it is in the journal, so no
 * answer, not even to a question, tells of something that a power cut could take back.
 *  3. While the state is folded anew (a late entry, a void, a new room file, a full disk) no
 * request is looked at.
 *  4. After a write that met a full disk all who wait are told so, and the room in memory is made
 * again from the journal. Questions are answered; before a request that tells something the disk is
 * tried anew. What is planned meanwhile is not written.
 *  5. A write that failed otherwise has an unknown outcome: all who wait are told so, and the
 * daemon ends. */
#ifndef TARN_SERVE_LIVE_SERVER_H
#define TARN_SERVE_LIVE_SERVER_H

#include "daemon/core/work/notice.h"
#include "daemon/serve/live/clock.h"
#include "daemon/serve/live/journal_thread.h"
#include "daemon/serve/live/live_room.h"
#include "daemon/serve/live/room_reload.h"
#include "daemon/serve/net/conn.h"
#include "daemon/serve/net/notify_command.h"

#include <jansson.h>
#include <uv.h>

struct server_options {
    const char *room_path;
    const char *crops_dir;
    const char *state_dir;
    const char *socket_path;
    const char *simulate; /* NULL = the real clock */
};

/* A reply that waits for the journal. */
struct held_reply {
    struct conn *conn;
    json_t *id; /* of the request; NULL = none */
    char *line;
    uint64_t after; /* of server.committed */
    struct held_reply *next;
};

struct server {
    struct server_options options;
    uv_loop_t loop;
    struct live_room live;
    struct journal_thread journal;
    struct clock clock;
    struct conns conns;
    struct notify_command notify;
    struct reload reload;
    uv_signal_t sigterm, sigint, sighup;
    uv_timer_t quiet; /* a while after something was written */
    uv_timer_t watchdog;
    uint64_t submitted, committed; /* writes and folds handed to the journal's thread, and done */
    struct held_reply *held_first, *held_last;
    unsigned n_lost; /* writes that failed … */
    struct err lost; /* … and the words for the last */
    bool folding;
    bool restore_wanted;   /* of the journal, once the fold under way is through */
    bool retrying;         /* the fold under way tries the full disk anew */
    struct err full;       /* the disk takes no writes; code 0 = it does */
    struct room *new_room; /* read, waiting for its fold */
    bool pumping;
    bool stopping;
    bool journal_runs;
    int exit_rc; /* 0, or what went wrong; err says it */
    struct err err;
    struct notices notices; /* as of the last look, to tell which are new */
};

/* Runs until a signal ends it. 0, or what failed, said in *e. */
int server_run(const struct server_options *options, struct err *e);

int64_t server_now_s(const struct server *s);

/* Hands a batch to the journal's thread, and asks for a fold when the live room has become stale. Takes *b. */
void server_submit(struct server *s, struct unwritten *b);

/* Plans if it is needed, and has the changes written. */
void server_plan(struct server *s);

/* Has the state folded anew; with a new room (taken) if not NULL. */
void server_refold(struct server *s, struct room *new_room);

/* Tries a full disk anew, and takes the room from the journal. */
void server_retry(struct server *s);

/* Sends a reply (taken) to the request of that id once all that was submitted so far is in the
 * journal. */
void server_reply(struct server *s, struct conn *c, const json_t *id, char *line);

/* Sends the request's answer, or the error; and lets the connection's next request go. */
void server_answer(struct server *s, struct conn *c, const json_t *id, json_t *result);
void server_refuse(struct server *s, struct conn *c, const json_t *id, const struct err *e);

/* Looks at requests that wait, as far as they may be looked at. */
void server_pump(struct server *s);

void server_stop(struct server *s);

#endif
