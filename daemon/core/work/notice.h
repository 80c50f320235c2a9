/* notice.h - what a person should know of without being asked to do something on a day.
 *
 * Pure. Notices come with the status, and are told to the notification command when they are new.
 */
#ifndef TARN_CORE_WORK_NOTICE_H
#define TARN_CORE_WORK_NOTICE_H

#include "daemon/core/work/agenda.h"

struct notice {
    char key[64];   /* lasting: the same matter has the same key */
    char text[400]; /* expected, seen, and what to look at first */
};

struct notices {
    struct notice *notice;
    size_t n, cap;
};

/* Reservoir below its low mark or empty while containers draw from it; every alarm (alarm.h); a
 * product used up; a source that cannot have the water for the next work; an overdue task that loses plants; entries about things the room file no
 * longer has. */
void notices_derive(const struct room *room, const struct state *s, const struct agenda *a,
                    int64_t now_s, struct notices *out);
void notices_deinit(struct notices *n);

/* The next instant after now_s at which a notice appears by itself (the reservoir's low mark);
 * FORECAST_NEVER when none is foreseen. */
int64_t notices_next_s(const struct room *room, const struct state *s, int64_t now_s);

#endif
