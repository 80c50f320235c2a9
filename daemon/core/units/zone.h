/* zone.h - a time zone as a value: which civil day and hour an instant is, and back.
 *
 * Pure. The table of offsets is built by the shell from the system's zone data
 * (config/zone_read.h); nothing here knows where it came from. Instants are seconds UTC since 1970.
 */
#ifndef TARN_CORE_UNITS_ZONE_H
#define TARN_CORE_UNITS_ZONE_H

#include <stddef.h>
#include <stdint.h>

struct zone_step {
    int64_t from_s;   /* the offset holds from this instant on */
    int32_t offset_s; /* local minus UTC */
};

/* Steps by rising from_s; the first holds before its instant as well. n = 0 is UTC. */
struct zone {
    struct zone_step *step; /* owned */
    size_t n;
};

void zone_deinit(struct zone *z); /* leaves UTC */

/* Local minus UTC at an instant. */
int32_t zone_offset_s(const struct zone *z, int64_t t_s);
/* The civil day of an instant. INT64_MAX, the instant of what never comes, gives
 * DAY_NEVER: it has no local time, and comes after all days. */
int32_t zone_day(const struct zone *z, int64_t t_s);
/* The second of the local day at an instant, 0 .. 86399. */
int32_t zone_second_of_day(const struct zone *z, int64_t t_s);

/* The instant at which a local clock shows `second` of `day` (0..86399). A time that a clock change
 * skips gives the first instant after the gap; one that occurs twice gives its first occurrence. */
int64_t zone_instant_s(const struct zone *z, int32_t day, int32_t second);

/* "2026-03-01 07:05" local; returns buf. */
#define ZONE_TEXT_MAX 24
char *zone_format(char buf[ZONE_TEXT_MAX], const struct zone *z, int64_t t_s);

#endif
