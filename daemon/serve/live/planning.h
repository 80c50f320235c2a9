/* planning.h - the room's plan, made on a thread of its own while requests are served.
 *
 * What was told is answered without a plan: it is made when somebody asks for the list, and with
 * what is due. One is under way at a time; what is told meanwhile is for the next. Where the last
 * one took next to nothing the next is made at once. For the loop's thread. */
#ifndef TARN_SERVE_LIVE_PLANNING_H
#define TARN_SERVE_LIVE_PLANNING_H

#include <stdbool.h>
#include <stdint.h>

struct server;

/* Who waits for a plan; planning.c has them. */
struct planning_wait {
    void (*done)(void *owner);
    void *owner;
    uint64_t due;
    struct planning_wait *next;
};

/* Does the list know of all that was told until now? Else a plan is under way from then on, if
 * there was none, and it is to be asked again when server.n_plans has come to *due: 0 when it is
 * asked for the first time, and again when the answer is yes. While others tell more it is yes
 * then all the same. */
bool planning_is_done(struct server *s, uint64_t *due);

/* Calls done(owner) once the list knows of all that was told until now, or the server ends: later,
 * or within this call. */
void planning_wait(struct server *s, void (*done)(void *owner), void *owner);

/* Calls those whose time has come: a plan was made, a fold is through, the server ends. */
void planning_look_at_waits(struct server *s);

/* Plans now, if it is needed, while everybody waits: where it takes little, and for a clock that is
 * simulated. */
void planning_do_now(struct server *s);

#endif
