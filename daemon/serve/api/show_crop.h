/* show_crop.h - parts of `show` that are no thing of the room: a crop, how forecasts came true, and
 * the list of all there is. New references. */
#ifndef TARN_SERVE_API_SHOW_CROP_H
#define TARN_SERVE_API_SHOW_CROP_H

#include "daemon/serve/live/live_room.h"

#include <jansson.h>

/* The answer to show with the name of a crop: its schedule, and where its figures come from. */
json_t *show_crop(const struct live_room *live, size_t at);

/* The answer to show forecasts: each kind's own record (record.h). */
json_t *show_forecasts(const struct live_room *live);

/* The answer to show without a name: what there is to be shown. */
json_t *show_things(const struct live_room *live);

#endif
