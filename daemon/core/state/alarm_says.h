/* alarm_says.h - the words and sentences in which a person reads of an alarm.
 *
 * Pure. */
#ifndef TARN_CORE_STATE_ALARM_SAYS_H
#define TARN_CORE_STATE_ALARM_SAYS_H

#include "daemon/core/state/state.h"

#define ALARM_SAYS_MAX 200

/* By enum alarm_kind. Without their length, so that the tables have that of their
 * rows, and a kind without its row does not compile. */
extern const char *const alarm_words[]; /* in JSON: "level-high", "leak", … */
extern const char *const alarm_looks[]; /* what to look at first, the likeliest first */

/* What was expected of a subject, and what was seen: one sentence without a period, in the room's
 * units. Cut where it is longer than out. */
void alarm_say(const struct room *room, enum alarm_kind kind, struct subject subject,
               const struct alarm_state *m, char out[ALARM_SAYS_MAX]);

#endif
