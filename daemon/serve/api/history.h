/* history.h - where the journal has what was told of a thing: under its name, under the one that it
 * had before, and, of a plant that was moved, under the names of the vessels that it stood in. */
#ifndef TARN_SERVE_API_HISTORY_H
#define TARN_SERVE_API_HISTORY_H

#include "daemon/serve/live/live_room.h"

struct journal_job;

/* Makes a job that lists entries list those of s. Of a plant that was moved more often than a
 * listing has parts for, the first vessels are left out. */
void history_of(const struct live_room *live, struct subject s, struct journal_job *job);

#endif
