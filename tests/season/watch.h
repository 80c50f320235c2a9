/* watch.h - what the daemon says of the room, set beside the truth: alarms and foretold days. */
#ifndef TARN_TESTS_SEASON_WATCH_H
#define TARN_TESTS_SEASON_WATCH_H

#include "tests/season/grower.h"

/* Asks for the alarms and books each new one as true or false. Negative with g->err when the daemon
 * is not there. */
int watch_alarms(struct grower *g);

/* Asks for the outlook when a container is half drawn down, or a week has gone by. Negative with
 * g->err when the daemon is not there. */
int watch_outlook(struct grower *g);

/* Books those of the foretold days that have come: was the day inside what was said? */
void watch_settle(struct grower *g);

/* Says on stderr what container i truly holds and what the daemon believes of it. The same. */
int watch_trace(struct grower *g, size_t i);

#endif
