/* water_need.h - the next task that needs plain water, and whether the source can have it by then.
 *
 * Pure. */
#ifndef TARN_CORE_WORK_WATER_NEED_H
#define TARN_CORE_WORK_WATER_NEED_H

#include "daemon/core/work/agenda.h"

struct water_need {
    const struct task *task; /* borrowed from the agenda */
    double need_l, has_l;
    int64_t by_s, start_s; /* when it is to be there, and when making it has to begin */
};

/* False when none of the tasks needs any. */
bool water_need_next(const struct room *room, const struct state *s, const struct agenda *a,
                     int64_t now_s, struct water_need *out);

#endif
