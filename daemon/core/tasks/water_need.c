#include "daemon/core/tasks/water_need.h"

#include "daemon/base/order.h"
#include "daemon/core/room/water_source.h"
#include "daemon/core/state/forecast.h"

#include <math.h>

/* Litres of plain water that a task takes from the source. A change takes its mix, as far
 * as the reservoir has not the water for it, and a reservoir of plain water when it is
 * over; one that leaves its rest to the next mix, or is made in a jug, its mix alone. */
static double need_of(const struct room *room, const struct state *s, const struct task *t,
                      int64_t by_s)
{
    switch (t->kind) {
    case TASK_FILL:
        return t->job[0].volume_l;
    case TASK_START:
        return t->job[0].volume_l * (double)t->n_jobs;
    case TASK_CHANGE:
        if (t->by_hand || t->leaves_rest) {
            return t->mix_l;
        }
        return fmax(0, t->mix_l - forecast_reservoir(room, s, by_s).volume_l) +
               room->reservoir.capacity_l;
    /* Listed, so that a new kind does not compile before somebody asked what water it takes. A
     * bump is a concentrate in what is there. */
    case TASK_CHECK:
    case TASK_BUMP:
    case TASK_PH:
    case TASK_READ:
    case TASK_CALIBRATE:
    case TASK_CARE:
    case TASK_REORDER:
    case TASK_HARVEST:
    case TASK_LOOK:
    case TASK_OVERNIGHT:
    case TASK_KIND_N:
        break;
    }
    return 0;
}

bool water_need_next(const struct room *room, const struct state *s, const struct agenda *a,
                     int64_t now_s, struct water_need *out)
{
    int32_t today = zone_day(&room->zone, now_s);

    /* The first only: the source's tank is empty after it, and what the next takes is another
     * day's water. A day that is past is this morning. */
    for (size_t i = 0; i < a->n; i++) {
        const struct task *t = &a->task[i];
        int64_t by_s = zone_instant_s(&room->zone, order_max(t->on, today), room->day_start_s);
        double need_l = need_of(room, s, t, by_s);

        if (need_l > 0) {
            *out =
                (struct water_need){t, need_l, water_source_has_l(&room->source, now_s, by_s), by_s,
                                    water_source_start_s(&room->source, need_l, by_s, now_s)};
            return true;
        }
    }
    return false;
}
