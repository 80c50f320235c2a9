/* what_if.h - copies of room and state with one thing supposed to be otherwise: days off, another
 * reservoir, another tolerance, more containers, a feed, larger vessels.
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

/* What is supposed at most: our own choice. */
#define WHAT_IF_MORE_MAX       200 /* containers at once */
#define WHAT_IF_FEED_MAX_MS_CM 5.0
#define WHAT_IF_FLOAT_MAX_L    1000.0

/* Supposes: "off 2026-04-03", "off 2026-04-03..2026-04-05" (days as when.h reads them), "reservoir
 * 60 L" (its capacity), "tolerance 15 %", "strength close" (the dial of the room file), "work
 * saturday" (a day off becomes as long as the longest), "more 4
 * like A1" (containers that stand as that one does), "feed 0.6 mS/cm" (a weak solution in the
 * reservoir instead of plain water), "float 16 L like T1" (that one and all that are as it is,
 * with what they hold in proportion). ERR_SYNTAX, ERR_RANGE, ERR_UNKNOWN with what serves; nothing
 * is changed then. */
int what_if_suppose(struct what_if *w, const char *text, int32_t today, struct err *e);

#endif
