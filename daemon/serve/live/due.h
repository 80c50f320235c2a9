/* due.h - which morning's list is to be made, and when to look next.
 *
 * Pure. A day's list is made once, at the room's start of day or as soon after it as the daemon
 * looks; days that were slept through are not made up for: only the present one is. A clock that
 * goes back repeats none. */
#ifndef TARN_SERVE_LIVE_DUE_H
#define TARN_SERVE_LIVE_DUE_H

#include "daemon/core/state/state.h"

/* Is it time for the list of the day of now_s? *out_day is that day. `started` is the
 * last day whose list was made, DAY_NONE = none. */
bool due_day(const struct room *room, int32_t started, int64_t now_s, int32_t *out_day);

/* The last day that was started, as far as it can be believed: DAY_NONE where it lies more than a
 * month ahead and nothing was told since, as after a start with a clock in a wrong year. */
int32_t due_started(const struct room *room, const struct state *s, int32_t started, int64_t now_s);

/* The next instant after now_s at which something is due: a day's start, or a notice. */
int64_t due_next_s(const struct room *room, const struct state *s, int64_t now_s);

/* By how much the clock lies behind what was told last, or behind the last day that was started;
 * 0 where it does not. Steps of up to a minute are a clock's being kept right. */
int64_t due_back_s(const struct room *room, const struct state *s, int32_t started, int64_t now_s);

#endif
