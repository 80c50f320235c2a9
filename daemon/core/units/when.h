/* when.h - an instant or a day in a person's words.
 *
 * Pure: `now_s` is given. Words: "now", "07:30", "today 07:30", "yesterday 18:00", "2026-03-01
 * 18:00", "2026-03-01T18:00", "monday 18:00" (the last one before now), "2 h ago", "3 days ago";
 * for days "today", "tomorrow", "yesterday", "2026-03-01", "monday" (the next one after today), "+3
 * days" (whole ones). A day that the calendar does not have is ERR_RANGE. */
#ifndef TARN_CORE_UNITS_WHEN_H
#define TARN_CORE_UNITS_WHEN_H

#include <stdint.h>

struct err;
struct zone;

/* A point in the past: ERR_SYNTAX with an example of what serves; ERR_RANGE more than 5 minutes
 * after now_s (nothing can have happened yet). A bare time that lies ahead of now is refused with a
 * hint. */
int when_parse_past(const char *text, const struct zone *z, int64_t now_s, int64_t *out_s,
                    struct err *e);

/* An instant, past or to come (the simulated clock, limits of a listing). A bare day is its 00:00.
 */
int when_parse(const char *text, const struct zone *z, int64_t now_s, int64_t *out_s,
               struct err *e);

/* A civil day. */
int when_parse_day(const char *text, int32_t today, int32_t *out, struct err *e);

#endif
