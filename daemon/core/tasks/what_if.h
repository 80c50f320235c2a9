/* what_if.h - copies of room and state with one thing supposed to be otherwise: days off, another
 * reservoir, another tolerance, more containers.
 *
 * Pure. A plan made for the copy tells what that would come to before anybody buys or
 * books it. The copy shares with the original what no supposition changes; the
 * original must outlive it and is not touched. */
#ifndef TARN_CORE_TASKS_WHAT_IF_H
#define TARN_CORE_TASKS_WHAT_IF_H

#include "daemon/core/room/room.h"
#include "daemon/core/state/state.h"

struct what_if {
    struct room room;
    struct state s;
};

/* Copies both as they are; ended with what_if_deinit. */
void what_if_init(struct what_if *w, const struct room *room, const struct state *s);
void what_if_deinit(struct what_if *w);

#define WHAT_IF_MORE_MAX 200 /* containers supposed at once: our own choice */

/* Supposes: "off 2026-04-03", "off 2026-04-03..2026-04-05" (days as when.h reads them), "reservoir
 * 60 L" (its capacity), "tolerance 15 %", "more 4 like A1" (containers that stand as that one
 * does). ERR_SYNTAX, ERR_RANGE, ERR_UNKNOWN with what serves; nothing is changed then. */
int what_if_suppose(struct what_if *w, const char *text, int32_t today, struct err *e);

#endif
