/* old_sheet.h - the sheet of a task that is over, as it was when it was closed.
 *
 * Sheets are not kept: this one is worked out again, of the room's file as it is now, from what was
 * known before the entry that closed it. */
#ifndef TARN_SERVE_API_OLD_SHEET_H
#define TARN_SERVE_API_OLD_SHEET_H

#include "daemon/serve/live/live_room.h"

#include <jansson.h>

/* The room as it stood at closed_s, and in was->agenda that task alone. A new reference; NULL where
 * a plan of that room has not the same task in it any more. */
json_t *old_sheet(const struct live_room *live, const struct restored *was, int64_t closed_s);

#endif
