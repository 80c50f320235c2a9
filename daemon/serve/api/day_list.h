/* day_list.h - the list of a day: its tasks, their minutes, and the minutes that the day has. */
#ifndef TARN_SERVE_API_DAY_LIST_H
#define TARN_SERVE_API_DAY_LIST_H

#include "daemon/serve/live/live_room.h"

#include <jansson.h>

/* As the room is planned now; with the worksheet of each task where it is to be full. A new
 * reference. */
json_t *day_list(const struct live_room *live, int64_t now_s, int32_t day, bool full);

#endif
