/* when.h - reads an instant or a day, in a person's words or as a program writes it.
 *
 * Pure: `now_s` is given. The only reader of instants in the house: whatever `--json` prints is
 * taken back by --at, --since and all other places where an instant is told. For people: "now",
 * "07:30", "today 07:30", "yesterday 18:00", "2026-03-01 18:00", "monday 18:00" (the last one
 * before now), "2 h ago", "3 days ago". For programs: RFC 3339, as "2026-03-01T18:00:00+01:00",
 * "2026-03-01T17:00:00Z"; without an offset it is the room's own time, and seconds may be left
 * out. Fractions of seconds are dropped. For days "today", "tomorrow", "yesterday", "2026-03-01",
 * "monday" (the next one after today), "+3 days" (whole ones). A day that the calendar does not
 * have is ERR_RANGE. */
#ifndef TARN_CORE_UNITS_WHEN_H
#define TARN_CORE_UNITS_WHEN_H

#include <stdbool.h>
#include <stdint.h>

struct err;
struct zone;

/* How far ahead of the daemon's clock something told may lie: the clocks of two machines differ,
 * and a meter's by minutes (common practice, no source). More, and it was meant for another day. */
#define WHEN_AHEAD_S 300

/* Can it have happened yet? Where an instant comes as a number; when_parse_past does it by itself.
 */
bool when_is_past(int64_t t_s, int64_t now_s);

/* A point in the past: ERR_SYNTAX with an example of what serves; ERR_RANGE more than WHEN_AHEAD_S
 * after now_s (nothing can have happened yet). A bare time that lies ahead of now is refused with a
 * hint, and so is a day in words without an hour: midnight is not what is meant. */
int when_parse_past(const char *text, const struct zone *z, int64_t now_s, int64_t *out_s,
                    struct err *e);

/* An instant, past or to come (the simulated clock, limits of a listing). A bare day is its 00:00.
 */
int when_parse(const char *text, const struct zone *z, int64_t now_s, int64_t *out_s,
               struct err *e);

/* "07:30", "07:30:15" -> second of the day; -1 when it is no time of day. */
int32_t when_clock_s(const char *text);

/* A civil day. */
int when_parse_day(const char *text, int32_t today, int32_t *out, struct err *e);

#endif
