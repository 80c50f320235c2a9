/* zone_read.h - a time zone of the system's tz database as a value.
 *
 * Uses the C library's own reader. It switches the TZ of the process while it works and puts it
 * back: call it from one thread, while no other thread asks for local time. */
#ifndef TARN_CONFIG_READ_ZONE_READ_H
#define TARN_CONFIG_READ_ZONE_READ_H

#include "daemon/base/err.h"
#include "daemon/core/units/zone.h"

/* "Europe/Vienna", "UTC". All changes of offset from 1970 to 2100. ERR_UNKNOWN for a name that the
 * tz database has not (and for names that would leave its folder). */
int zone_read(const char *name, struct zone *out, struct err *e);

#endif
