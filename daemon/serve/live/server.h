/* server.h - the live room with its journal, its clock and its clients.
 *
 * What a request means is none of its business: lines are handed to on_line (daemon/serve/api), and
 * what is due to on_due. Here stands what both may rely on.
 *
 * Invariants
 *  1. What a request tells is checked and applied to the room in memory at once, then handed to the
 *     journal's thread.
 *  2. A reply leaves only when all that was handed to the journal's thread before it is in the
 *     journal, so no answer, not even to a question, tells of something that a power cut could take
 *     back (held_replies.h).
 *  3. While the state is folded anew (a late entry, a void, a new room file, a full disk) no
 *     request is looked at.
 *  4. After a write that met a full disk all who wait are told so, and the room in memory is
 *     restored from the journal. Questions are answered; before a request that tells something the
 *     disk is tried anew. What is planned meanwhile is not written.
 *  5. A write that failed otherwise has an unknown outcome: all who wait are told so, and the
 *     daemon ends. */
#ifndef TARN_SERVE_LIVE_SERVER_H
#define TARN_SERVE_LIVE_SERVER_H

#include "daemon/core/tasks/notice.h"
#include "daemon/serve/live/clock.h"
#include "daemon/serve/live/journal_thread.h"
#include "daemon/serve/live/live_room.h"
#include "daemon/serve/live/room_reload.h"
#include "daemon/serve/net/conn.h"
#include "daemon/serve/net/held_replies.h"
#include "daemon/serve/net/listener.h"
#include "daemon/serve/net/notify_command.h"

#include <jansson.h>
#include <uv.h>

struct server;

/* What those above the server do for it. All must be there. */
struct server_hooks {
    /* Looks at a request and answers it, now or later. False: it cannot be looked at yet, and is to
     * come again after the fold or the plan that was started. */
    bool (*on_line)(struct server *s, struct conn *c, const char *line, size_t len);
    /* Does what is due now: the room was restored, or something was told a while ago. */
    void (*on_due)(struct server *s);
    /* Requests may be looked at, or the server is ending: who waits for something goes on. */
    void (*on_turn)(struct server *s);
    /* The server is ending: what else keeps the loop running has to be closed. */
    void (*on_stop)(struct server *s);
};

struct call;
struct planning_wait;
struct supposing;

struct server {
    uv_loop_t loop;
    struct server_hooks hooks;
    struct live_room live;
    struct journal_thread journal;
    struct clock clock;
    struct conns conns;
    struct listener listener;
    struct held_replies held;
    struct notify_command notify;
    struct room_reload reload;
    uv_timer_t quiet; /* a while after something was written */
    uv_timer_t again; /* when requests are left after a slice of time */
    unsigned n_lost;  /* writes that failed … */
    struct err lost;  /* … and the words for the last */
    bool folding;
    bool restore_wanted; /* of the room, once the fold under way is through */
    bool retrying;       /* the fold under way tries the full disk anew */
    struct err full;     /* the disk takes no writes; code 0 = it does */
    const char *state_dir;
    char old_room[400]; /* why the room file accepted last is used and not the one there is; "" */
    char left_off[240]; /* what was on its way when tarnd ended, and is not there; "" = nothing … */
    int64_t left_off_until_s; /* … as it is said for a day */
    struct err backup;        /* why the last copy of a day was not made; code 0 = it was */
    bool backing_up;          /* such a copy is under way */
    bool snapping;            /* a snapshot of the state is under way … */
    int64_t snapped;          /* … or was, when this was the last entry */
    int64_t thinned_s;        /* up to when sensors' readings were thinned; INT64_MIN = not yet */
    struct err damage;        /* of the journal, found while it is served; code 0 = none */
    struct room *new_room;    /* read, waiting for its fold */
    bool planning;            /* a plan is being made on a thread (planning.h) … */
    uint64_t n_plans;         /* … and so many were, and are in use */
    int64_t plan_took_ns;     /* the last, of work; 0 = none was made yet */
    struct planning_wait *plan_waits; /* who waits for one */
    uint64_t due_plan;    /* what is due waits for the plan of that number; 0 = for none */
    bool keeps_room_file; /* a copy of it, when the next write is on the disk */
    bool looking;         /* at requests */
    bool stopping;
    bool journal_runs;
    struct err exit_err;         /* what ended it; code 0 = nothing failed */
    struct supposing *supposing; /* suppositions being reckoned, and who waits (verb_outlook.c) */
    struct call *keyed;          /* calls that tell with a key, under way (api/call.h) */
    struct notices notices;      /* as of the last look, to tell which are new */
};

/* Nothing runs yet. *s is zeroed, but for its loop, which is initialised. */
void server_init(struct server *s, const struct server_hooks *hooks);

/* Watches the room file: a good one comes into use by itself, or with
 * room_reload_now. The paths must stay. */
int server_watch_room_file(struct server *s, const char *room_path, const char *crops_dir,
                           struct err *e);

/* Keeps a copy of the room file, which is in use, for a start at which it has a fault. */
void server_keep_room_file(struct server *s, const char *room_path);

/* Hands the journal (taken, unless it fails) to its thread, which runs from now on.
 * The live room is there. */
int server_start(struct server *s, struct journal *journal, struct err *e);

/* Takes no more requests; when what waits is written and the last replies have left, closes the
 * journal and every handle, so that the loop ends. Twice is as once. */
void server_stop(struct server *s);

/* Frees the room. The loop has ended. */
void server_deinit(struct server *s);

/* What time it is, by the real clock or the simulated one. */
int64_t server_now_s(const struct server *s);

/* Hands a batch (taken) to the journal's thread, and asks for a fold when the live room has become
 * stale. On a full disk it is dropped: the room is restored without it. */
void server_submit(struct server *s, struct unwritten *b);

/* Has the day's copy of the journal made, where the room file wants any and none is under way. */
void server_back_up_day(struct server *s, int32_t day);

/* Names the file of a copy that was asked for without a name, by the time. */
void server_name_backup(struct server *s, struct journal_job *job);

/* Tries a full disk anew, and restores the room from the journal. */
void server_retry(struct server *s);

/* Sends a reply (a line, taken) to the request of that id, NULL = to none, in its turn. */
void server_reply(struct server *s, struct conn *c, const json_t *id, char *line);

/* Sends the answer (result taken) to the request of that id. */
void server_answer(struct server *s, struct conn *c, const json_t *id, json_t *result);

/* Sends the error to the request of that id. */
void server_refuse(struct server *s, struct conn *c, const json_t *id, const struct err *e);

/* Looks at requests that wait, as far as they may be looked at. */
void server_look_at_requests(struct server *s);

#endif
