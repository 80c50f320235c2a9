/* thin_day.h - once a day, lets go of sensors' readings that the room file wants no longer. */
#ifndef TARN_SERVE_LIVE_THIN_DAY_H
#define TARN_SERVE_LIVE_THIN_DAY_H

struct server;

/* Has it done, where the room file says how long all are kept. The first time since the start all
 * that is older is looked at, then what became so since; what is told late goes after the next
 * start. */
void thin_day(struct server *s);

#endif
