/* notice.h - what a person should know now, whatever is on the list: the reservoir
 * runs low, an alarm is open, a task that loses plants is overdue.
 *
 * Pure. Notices come with the status, and are told to the notification command when
 * they are new. */
#ifndef TARN_CORE_TASKS_NOTICE_H
#define TARN_CORE_TASKS_NOTICE_H

#include "daemon/core/tasks/agenda.h"

struct notice {
    char key[64];   /* "reservoir-low/reservoir": the same matter keeps its key, and is told once */
    char text[400]; /* expected, seen, and what to look at first; whole sentences */
    bool alarm;     /* by an alarm (alarm.h) that nobody has looked at yet */
};

struct notices {
    struct notice *notice;
    size_t n, cap;
};

/* One more, empty; to be filled in before the next is asked for. */
struct notice *notices_more(struct notices *all);

/* Reservoir at its low mark or empty while containers draw from it; every alarm
 * (alarm.h); a solution that grows warm (heat.h); what people saw (sighting.h); a
 * product of which more was used than there ever was; a source that cannot have the
 * water for the next work; an overdue task that loses plants; entries about things the
 * room file no longer has. Ended with notices_deinit. */
void notices_derive(const struct room *room, const struct state *s, const struct agenda *a,
                    int64_t now_s, struct notices *out);
void notices_deinit(struct notices *n); /* frees them; *n is empty afterwards */

/* The next instant after now_s at which a notice appears by itself: the reservoir is at
 * its low mark or, where it is below that, empty. FORECAST_NEVER when none is foreseen. */
int64_t notices_next_s(const struct room *room, const struct state *s, int64_t now_s);

#endif
