/* water_need.h - the next task that needs plain water, and whether the source can have it by then.
 *
 * Pure. A source gives a few litres an hour: making the water has to begin hours
 * before the work. */
#ifndef TARN_CORE_TASKS_WATER_NEED_H
#define TARN_CORE_TASKS_WATER_NEED_H

#include "daemon/core/tasks/agenda.h"

struct water_need {
    const struct task *task; /* borrowed from the agenda */
    double need_l, has_l;    /* what the task takes, and what the source can have by then */
    int64_t by_s, start_s;   /* when it is to be there, and when making it has to begin */
};

/* The first task of the agenda that takes plain water; false when none does. */
bool water_need_next(const struct room *room, const struct state *s, const struct agenda *a,
                     int64_t now_s, struct water_need *out);

#endif
