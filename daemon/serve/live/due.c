#include "daemon/serve/live/due.h"

#include "daemon/core/tasks/notice.h"
#include "daemon/core/units/day.h"

#define BACK_STRANGE_S 60

/* Chosen by us: no clock is set back by so much that was right before. */
#define AHEAD_STRANGE_DAYS 31

static int64_t start_of_day_s(const struct room *room, int32_t day)
{
    return zone_instant_s(&room->zone, day, room->day_start_s);
}

bool due_day(const struct room *room, int32_t started, int64_t now_s, int32_t *out_day)
{
    *out_day = zone_day(&room->zone, now_s);
    return *out_day > started && now_s >= start_of_day_s(room, *out_day);
}

int32_t due_started(const struct room *room, const struct state *s, int32_t started, int64_t now_s)
{
    bool ahead = started != DAY_NONE && started - zone_day(&room->zone, now_s) > AHEAD_STRANGE_DAYS;

    return ahead && s->latest_s <= now_s ? DAY_NONE : started;
}

int64_t due_next_s(const struct room *room, const struct state *s, int64_t now_s)
{
    int64_t notice_s = notices_next_s(room, s, now_s);
    int32_t day = zone_day(&room->zone, now_s);
    int64_t start_s = start_of_day_s(room, day);

    if (start_s <= now_s) {
        start_s = start_of_day_s(room, day + 1);
    }
    return start_s < notice_s ? start_s : notice_s;
}

int64_t due_back_s(const struct room *room, const struct state *s, int32_t started, int64_t now_s)
{
    int64_t back_s = s->latest_s - now_s;

    started = due_started(room, s, started, now_s);
    if (started != DAY_NONE && zone_instant_s(&room->zone, started, 0) - now_s > back_s) {
        back_s = zone_instant_s(&room->zone, started, 0) - now_s;
    }
    return back_s > BACK_STRANGE_S ? back_s : 0;
}
