/* watch.h - what the daemon says of the room, set beside the truth: alarms and foretold days. */
#ifndef TARN_TESTS_SEASON_WATCH_H
#define TARN_TESTS_SEASON_WATCH_H

#include "tests/season/grower.h"

int watch_alarms(struct grower *g);

/* Asks for the outlook when a container is half drawn down, or a week has gone by. */
int watch_outlook(struct grower *g);
void watch_settle(struct grower *g);

/* Says on stderr what container i truly holds and what the daemon believes of it. */
int watch_trace(struct grower *g, size_t i);

#endif
