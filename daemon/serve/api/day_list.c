#include "daemon/serve/api/day_list.h"

#include "daemon/serve/api/shapes.h"

static json_t *task_whole(const struct live_room *live, const struct task *t, int64_t now_s,
                          bool full)
{
    json_t *o = out_task(live, t, zone_day(&live->room.zone, now_s));

    if (full) {
        json_object_set_new(o, "worksheet", out_worksheet(live, t, now_s));
    }
    return o;
}

json_t *day_list(const struct live_room *live, int64_t now_s, int32_t day, bool full)
{
    int32_t today = zone_day(&live->room.zone, now_s);
    json_t *tasks = json_array();
    double minutes = 0;

    for (size_t i = 0; i < live->agenda.n; i++) {
        const struct task *t = &live->agenda.task[i];

        if (task_is_on(t, day, today)) {
            json_array_append_new(tasks, task_whole(live, t, now_s, full));
            minutes += t->minutes;
        }
    }
    return json_pack("{s:o,s:o,s:o,s:o}", "date", out_day(day), "tasks", tasks, "minutes",
                     out_number(minutes), "budget_min",
                     out_number(room_budget_min(&live->room, day)));
}
