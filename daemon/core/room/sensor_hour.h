/* sensor_hour.h - which of a sensor's readings count.
 *
 * Pure. A sensor tells more in an hour than the room knows how to use: readings a minute apart err
 * alike, and little changes from one to the next. So of each hour the first reading counts, and a
 * later one where it tells a figure that none told yet. The fold goes by that from the beginning
 * (fold.c), and so what did not count can go from the journal later (thinning.h) without the state
 * ever being another. */
#ifndef TARN_CORE_ROOM_SENSOR_HOUR_H
#define TARN_CORE_ROOM_SENSOR_HOUR_H

#include "daemon/core/room/entry.h"

#define SENSOR_HOUR_S 3600

/* What sensors told of one subject in the hour of their last reading. All zero: nothing yet. */
struct sensor_hour {
    int64_t hour; /* since 1970 */
    int32_t told; /* FIGURE_BITs */
};

/* Does a sensor's reading count? Asked of those of one subject in the order of (happened, seq),
 * voided ones left out; remembers it in *h. */
bool sensor_hour_counts(struct sensor_hour *h, const struct entry *e);

#endif
